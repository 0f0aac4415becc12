"""What is looked up in the tables of stock, metals and rods, and what is refused there."""

import pytest

from taperkey.tables.stock import key_tolerance
from taperkey.tables.strengths import hub_metal, hub_metal_names, rod_grade

STEEL_MODULUS = 30e6  # Shigley, Table A-5, psi
#: Modulus of gray iron in tension, millions of psi, least to greatest: Shigley 9th ed., Table A-24
#: (from memory).
GRAY = {20: (9.6, 14.0), 25: (11.5, 14.8), 30: (13.0, 16.4), 35: (14.5, 17.2), 40: (16.0, 20.0)}


@pytest.mark.parametrize("number", GRAY)
def test_gray_iron_is_as_stiff_as_printed(number):
    found = hub_metal(name=f"gray iron class {number}")
    low, high = GRAY[number]
    assert low * 1e6 < found.modulus_psi <= high * 1e6
    assert found.tensile_psi >= number * 1000  # the class is its least tensile strength in ksi
    assert found.yield_psi == found.tensile_psi  # it has no yield point


def test_a_hub_of_iron_gives_more_than_one_of_steel():
    kinds = set()
    for name in hub_metal_names():
        found = hub_metal(name=name)
        kinds.add(found.kind)
        assert found.yield_psi <= found.tensile_psi
        if found.kind == "steel":
            assert found.modulus_psi is None  # any steel's: the formulas take their own
        else:
            assert found.modulus_psi is not None
            assert 9e6 < found.modulus_psi < STEEL_MODULUS
    assert {"steel", "gray iron", "ductile iron"} <= kinds


@pytest.mark.parametrize(
    ("look", "said"),
    [
        (lambda: hub_metal(name="brass"), "metal of the hub is 'brass'; it must be one of: "),
        (lambda: rod_grade(name="wire", diameter_in=1.0), "rod grade is 'wire'; it must be one"),
        (
            lambda: key_tolerance(kind="brass", form="square", width_in=0.75),
            "kind of stock is 'brass'; it must be one of: bar, keystock, taper key.",
        ),
        (
            lambda: key_tolerance(kind="bar", form="round", width_in=0.75),
            "form of key is 'round'; it must be one of: rectangular, square.",
        ),
    ],
)
def test_what_stands_in_no_table_is_refused_by_name(look, said):
    with pytest.raises(ValueError) as refused:  # noqa: PT011 the words are compared below
        look()
    assert str(refused.value).startswith(said)
