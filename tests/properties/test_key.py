"""Properties of key and blank: geometry against a second way, round trips, units, monotony."""

import math

import numpy as np
import pint
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from taperkey.formulas import cutting, key
from taperkey.tables.keys import inch_key_size

ureg = pint.get_application_registry()

shafts = st.floats(0.32, 30.0)
tapers = st.floats(0.002, 0.05)
lengths = st.floats(1.0, 12.0)
small = st.floats(0.0, 0.2)


@given(shafts, st.sampled_from(["taper", "parallel"]))
def test_depths_leave_the_key_height_but_for_the_constant(shaft, kind):
    size = key.key_size(shaft_diameter_in=shaft)
    depths = key.keyseat_depths(
        shaft_diameter_in=shaft, width_in=size.width_in, height_in=size.height_in, kind=kind
    )
    opening = depths.hub_depth_in - depths.shaft_depth_in
    constant = {"taper": -0.020, "parallel": 0.005}[kind]
    assert opening == pytest.approx(size.height_in + constant, abs=1e-12)


@given(shafts)
def test_chord_rise_lies_on_the_shaft(shaft):
    size = inch_key_size(shaft_diameter_in=shaft)
    depths = key.keyseat_depths(shaft_diameter_in=shaft, width_in=size.width_in, height_in=0.1)
    edge = math.hypot(size.width_in / 2, shaft / 2 - depths.chord_rise_in)
    assert edge == pytest.approx(shaft / 2, rel=1e-12)


@given(shafts, st.floats(1.0, 1.2))
def test_a_larger_shaft_never_has_a_narrower_key(shaft, more):
    larger = min(shaft * more, 30.0)
    widths = [key.key_size(shaft_diameter_in=d).width_in for d in (shaft, larger)]
    assert widths[0] <= widths[1]


@given(small, tapers)
def test_height_and_travel_come_back(height, t):
    travel = key.travel_for_height_in(height_in=height, taper_in_per_in=t)
    back = key.height_for_travel_in(travel_in=travel, taper_in_per_in=t)
    assert back == pytest.approx(height, rel=1e-13, abs=1e-16)


@given(st.floats(0.5, 3.0), tapers, lengths, small, st.floats(0, 2))
def test_blank_pushed_in_touches_along_its_whole_length(mouth, t, length, allowance, extra):
    """Lay the blank back by its stand-out: it must just fill the slot."""
    assume(mouth - t * length > 0.05)
    blank = key.key_blank(
        mouth_height_in=mouth,
        taper_in_per_in=t,
        engaged_length_in=length,
        allowance_in=allowance,
        extra_length_in=extra,
    )
    taper = (blank.large_end_height_in - blank.small_end_height_in) / blank.length_in
    assert taper == pytest.approx(t, rel=1e-9)
    u = np.linspace(0, blank.length_in, 7)  # along the key from its large end
    x = u - extra - blank.travel_to_home_in  # along the slot
    assert blank.large_end_height_in - t * u == pytest.approx(mouth - t * x, abs=1e-12)


slots = {
    "hub": st.floats(0.5, 1.5),
    "shaft": st.floats(0.5, 1.5),
    "depth": st.floats(0.1, 0.5),
    "relief": st.floats(0.0, 0.05),
}


@given(**slots)
def test_step_turns_over_with_the_slots(hub, shaft, depth, relief):
    rest = {
        "shaft_slot_side_depth_in": depth,
        "large_end_height_in": 1.0,
        "small_end_height_in": 0.9,
        "relief_in": relief,
    }
    one = key.stepped_key(hub_slot_width_in=hub, shaft_slot_width_in=shaft, **rest)
    other = key.stepped_key(hub_slot_width_in=shaft, shaft_slot_width_in=hub, **rest)
    assert one.step_in == other.step_in
    swap = {"hub": "shaft", "shaft": "hub", "neither": "neither"}
    assert other.wide_portion == swap[one.wide_portion]
    for found in (one, other):
        top = found.shaft_portion_height_in + found.hub_portion_large_end_in
        assert top == pytest.approx(1.0, abs=1e-14)


@given(st.floats(0.0, 0.4), st.floats(0.0, 0.4), st.floats(0.0, 0.1))
def test_key_rides_on_the_radius_only_when_the_edge_is_too_sharp(radius, chamfer, gap):
    held = key.held_off_height_in(slot_radius_in=radius, chamfer_in=chamfer, side_gap_in=gap)
    assert 0 <= held <= radius
    if key.chamfer_clears(slot_radius_in=radius, chamfer_in=chamfer):
        assert held == 0


@given(st.floats(0.01, 0.4), st.floats(0.0, 0.4), st.floats(0.0, 0.1))
def test_held_off_height_against_walking_along_the_edge(radius, chamfer, gap):
    """Lift the chamfer until no point of it lies in the corner's metal, point by point."""
    s = np.linspace(0, 1, 201)
    x, y = gap + chamfer * s, chamfer * (1 - s)
    inside = np.clip(radius - x, 0, None)
    metal = radius - np.sqrt(radius**2 - inside**2)
    lift = max(0.0, float(np.max(metal - y)))
    held = key.held_off_height_in(slot_radius_in=radius, chamfer_in=chamfer, side_gap_in=gap)
    assert held == pytest.approx(lift, abs=1e-7)  # the root loses half the figures near the wall


def test_held_off_height_takes_arrays():
    radii = np.array([0.03, 0.06, 0.09])
    held = key.held_off_height_in(slot_radius_in=radii, chamfer_in=0.06)
    alone = [key.held_off_height_in(slot_radius_in=r, chamfer_in=0.06) for r in radii.tolist()]
    assert held == pytest.approx(alone, abs=1e-15)


@given(st.floats(0.1, 3.4), st.floats(0.1, 3.4), small, small)
def test_chosen_bar_holds_the_key_at_its_low_limit_and_none_smaller_does(W, H, cw, ch):
    found = cutting.choose_stock(
        key_width_in=W, key_height_in=H, width_clean_up_in=cw, height_clean_up_in=ch
    )
    limit = found.tolerance
    low = min(limit.width_lower_in, limit.height_lower_in)
    assert found.width_in + low >= W + cw - 1e-9
    assert found.height_in + low >= H + ch - 1e-9
    assert found.width_to_remove_in == pytest.approx(found.width_in - W, abs=1e-12)
    more = cutting.choose_stock(
        key_width_in=W, key_height_in=H, width_clean_up_in=cw + 0.1, height_clean_up_in=ch + 0.1
    )
    assert more.width_in * more.height_in >= found.width_in * found.height_in


@given(st.floats(0.3, 2.0), tapers, lengths, st.floats(0.01, 0.1), st.floats(0.02, 0.2))
def test_cuts_and_what_is_left_make_the_bar(large, t, length, relief, deepest):
    end = large - t * length
    assume(end > 0.05)
    stock = large + relief + 0.05
    plan = cutting.cutting_plan(
        stock_height_in=stock,
        large_end_height_in=large,
        small_end_height_in=end,
        length_in=length,
        relief_cut_in=relief,
        deepest_pass_in=deepest,
    )
    assert plan.relief_cut_in + plan.large_end_cut_in + large == pytest.approx(stock, abs=1e-12)
    assert plan.relief_cut_in + plan.small_end_cut_in + end == pytest.approx(stock, abs=1e-12)
    assert plan.taper_in_per_in == pytest.approx(t, rel=1e-9)
    assert plan.depth_per_pass_in <= deepest * (1 + 1e-8)
    assert plan.passes == 1 or plan.small_end_cut_in / (plan.passes - 1) > deepest


@given(st.floats(0.5, 2.0), st.floats(0.5, 2.0), tapers, st.floats(0.1, 0.4), st.floats(0, 2))
def test_a_deeper_hole_leaves_less(W, H, t, hole, depth):
    common = {"width_in": W, "large_end_height_in": H, "taper_in_per_in": t}
    end = key.tapped_end(**common, hole_diameter_in=hole, hole_depth_in=depth)
    assert end.smallest_section_in2 <= end.end_section_in2
    deeper = key.tapped_end(**common, hole_diameter_in=hole, hole_depth_in=depth + 0.5)
    assert deeper.smallest_section_in2 < end.smallest_section_in2
    assert deeper.side_wall_in == end.side_wall_in
    sides = 2 * end.top_wall_in + hole + t * depth
    assert sides == pytest.approx(H, abs=1e-12)


def test_units_come_out_right():
    travel = key.travel_for_height_in(
        height_in=0.0254 * ureg.mm, taper_in_per_in=ureg.Quantity(1 / 96, "inch/inch")
    )
    assert travel.to("inch").magnitude == pytest.approx(0.096, rel=1e-12)
    height = key.height_for_travel_in(
        travel_in=2.54 * ureg.cm, taper_in_per_in=0.01 * ureg.dimensionless
    )
    assert height.to("inch").magnitude == pytest.approx(0.01, rel=1e-12)
    blank = key.key_blank(
        mouth_height_in=1.0 * ureg.inch,
        taper_in_per_in=0.01 * ureg.dimensionless,
        engaged_length_in=203.2 * ureg.mm,
        allowance_in=0.254 * ureg.mm,
        extra_length_in=1.0 * ureg.inch,
    )
    assert blank.small_end_height_in.to("inch").magnitude == pytest.approx(0.93, rel=1e-12)
    assert blank.large_end_height_in.to("inch").magnitude == pytest.approx(1.02, rel=1e-12)
    assert blank.travel_to_home_in.to("inch").magnitude == pytest.approx(1.0, rel=1e-12)
