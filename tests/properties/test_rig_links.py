"""The rig as one: links come as its method needs them, and a rig's parts are reckoned alone."""

from dataclasses import replace

import pytest

from keycourse.jobsheet.fields import FIELDS
from taperkey.formulas.chain import REQUIRED_LINKS
from taperkey.formulas.rig import Rig, rig_links
from taperkey.tables.strengths import steel
from taperkey.units import parse_quantity


@pytest.mark.parametrize("method", sorted(REQUIRED_LINKS))
def test_a_rig_has_every_link_of_its_method_and_no_other(method: str) -> None:
    rig = Rig(method=method, thread_name="3/4-10 UNC", grade_name="ASTM A193 B7")
    links = rig_links(rig=rig, width_in=1.5, end_height_in=1.5)
    assert {link.name for link in links} == set(REQUIRED_LINKS[method])


def test_a_rod_of_unknown_grade_gives_no_link() -> None:
    rig = Rig(method="strongback", thread_name="3/4-10 UNC")
    names = {link.name for link in rig_links(rig=rig, width_in=1.5, end_height_in=1.5)}
    assert names == {"jacks", "strongback", "seat"}


def test_a_gib_head_is_one_more_link_and_shears_below_its_yield() -> None:
    plain = Rig(method="welded strongback")
    gib = Rig(method="welded strongback", gib_head=True)
    before = {o.name: o.capacity_lbf for o in rig_links(rig=plain, width_in=1.0, end_height_in=1)}
    after = {o.name: o.capacity_lbf for o in rig_links(rig=gib, width_in=1.0, end_height_in=1)}
    assert after.pop("head") < steel(name=gib.steel_name).yield_psi  # on 1 in²
    assert after == before


def test_sizes_left_out_are_those_of_the_examples_on_the_sheets_form() -> None:
    """The form asks for each of these; its example is the size that a script may leave out."""
    examples = {one.key.removeprefix("pull."): one.example for one in FIELDS}
    rig = Rig(method="strongback")
    for key, size in (
        ("bar-width", rig.bar_width_in),
        ("bar-depth", rig.bar_depth_in),
        ("bar-span", rig.bar_span_in),
        ("weld-size", rig.weld_size_in),
    ):
        assert parse_quantity(examples[key]).value == size, key
    for key, name in (
        ("bar-steel", rig.bar_steel_name),
        ("foot-on", rig.seat_steel_name),
        ("weld", rig.weld_kind),
        ("electrode", rig.electrode_name),
        ("weld-sides", str(rig.weld_sides)),
    ):
        assert examples[key] == name, key


def test_a_rig_as_it_comes_is_two_jacks_a_foot_each_and_a_hole_that_the_rod_goes_through() -> None:
    rig = Rig(method="strongback", thread_name="3/4-10 UNC", grade_name="ASTM A193 B7")
    found = {one.name: one for one in rig_links(rig=rig, width_in=1.5, end_height_in=1.5)}
    # 2 jacks of 10 US tons of 2,000 lbf, four fifths of them used
    assert found["jacks"].capacity_lbf == pytest.approx(2 * 10 * 2000 * 0.8)
    one_foot = rig_links(rig=replace(rig, seat_feet=1), width_in=1.5, end_height_in=1.5)
    seat = next(one for one in one_foot if one.name == "seat").capacity_lbf
    assert found["seat"].capacity_lbf == pytest.approx(2 * seat)
    # a rod in good order, and none less than the thread's diameter of nut
    worn = rig_links(rig=replace(rig, rod_condition=0.8), width_in=1.5, end_height_in=1.5)
    rod = next(one for one in worn if one.name == "rod").capacity_lbf
    assert rod == pytest.approx(0.8 * found["rod"].capacity_lbf)
    drilled = replace(rig, bar_hole_in=0.75 + 1 / 16)
    assert rig_links(rig=drilled, width_in=1.5, end_height_in=1.5) == tuple(found.values())
    wide = replace(rig, bar_hole_in=2.0)
    bars = rig_links(rig=wide, width_in=1.5, end_height_in=1.5)
    assert next(o for o in bars if o.name == "strongback").capacity_lbf == pytest.approx(
        found["strongback"].capacity_lbf * (4 - 2) / (4 - 0.8125)
    )
