"""Threads, strengths, jacks, friction: look-ups total over their domain, refusals in a sentence."""

import pytest

from taperkey.tables.reader import read_table
from taperkey.tables.rigging import friction_range, jack, jack_names, surface_states
from taperkey.tables.strengths import (
    electrode_names,
    electrode_strength_psi,
    rod_grade,
    rod_grade_names,
    steel,
    steel_names,
)
from taperkey.tables.threads import thread, thread_names


def test_every_name_is_found():
    for name in thread_names():
        assert 0 < thread(name=name).stress_area_in2 < thread(name=name).diameter_in ** 2
    for name in steel_names():
        assert 0 < steel(name=name).yield_psi < steel(name=name).tensile_psi
    for name in electrode_names():
        assert electrode_strength_psi(name=name) == 1000 * int(name.removeprefix("E"))
    for name in jack_names():
        one = jack(name=name)
        assert (one.hole_in is None) is (one.kind == "solid")
    for state in surface_states():
        one = friction_range(state=state)
        assert 0 < one.low < one.high < 1


@pytest.mark.parametrize("name", rod_grade_names())
def test_rod_rows_join_and_ends_are_to_and_including(name):
    rows = [row for row in read_table("rod_grades") if row["name"] == name]
    for row, after in zip(rows, rows[1:], strict=False):
        assert row["to_in"] == after["over_in"]
    for row in rows:
        assert rod_grade(name=name, diameter_in=row["to_in"]).yield_psi == row["yield_ksi"] * 1000
        just_over = row["over_in"] + 1e-9
        assert rod_grade(name=name, diameter_in=just_over).yield_psi == row["yield_ksi"] * 1000


def test_out_of_range_is_one_sentence():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        rod_grade(name="SAE J429 grade 5", diameter_in=2)
    assert str(caught.value) == (
        "rod diameter is 2 in; it must be over 0.249 to and including 1.5 in for SAE J429 grade 5."
        " Choose another grade or size."
    )


@pytest.mark.parametrize(
    ("look_up", "start", "end"),
    [
        (lambda: thread(name="M13"), "thread is 'M13'; it must be one of: ", "thread gauge."),
        (lambda: steel(name="brass"), "steel is 'brass'; it must be one of: ", "certificate."),
        (lambda: jack(name="big"), "jack is 'big'; it must be one of: ", "rating on the jack."),
        (
            lambda: friction_range(state="wet"),
            "surface state is 'wet'; it must be one of: dry, lubricated, rusted. ",
            "Look at the end that shows.",
        ),
        (
            lambda: electrode_strength_psi(name="E7"),
            "electrode is 'E7'; it must be one of: E60, E70, E80, E90. ",
            "Read the class off the rod or its packet.",
        ),
    ],
)
def test_unknown_names_are_refused(look_up, start, end):
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        look_up()
    assert str(caught.value).startswith(start)
    assert str(caught.value).endswith(end)


@pytest.mark.parametrize(
    "name",
    [
        "threads_inch", "threads_metric", "rod_grades", "steels", "weld_electrodes", "jacks",
        "friction_published", "friction_states",
    ],
)  # fmt: skip
def test_every_row_names_source_and_status(name):
    for row in read_table(name):
        assert row["source"]
        assert row["status"]
