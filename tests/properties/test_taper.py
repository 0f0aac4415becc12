"""Properties of the taper: round trips, mirror, shift, units, refinement."""

import math

import numpy as np
import pint
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from taperkey.formulas import taper

ureg = pint.get_application_registry()

tapers = st.floats(-0.05, 0.05).filter(lambda t: abs(t) > 1e-6)
heights = st.floats(0.2, 4.0)
lengths = st.floats(0.25, 12.0)


@given(tapers)
def test_forms_come_back(t):
    per_foot = taper.taper_per_foot_in(taper_in_per_in=t)
    ratio = taper.taper_ratio(taper_in_per_in=t)
    angle = taper.taper_angle_rad(taper_in_per_in=t)
    back = [
        taper.taper_from_per_foot_in_per_in(taper_per_foot_in=per_foot),
        taper.taper_from_ratio_in_per_in(ratio=ratio),
        taper.taper_from_angle_in_per_in(angle_rad=angle),
    ]
    assert back == pytest.approx([t, t, t], rel=1e-13)
    assert math.copysign(1, per_foot) == math.copysign(1, ratio) == math.copysign(1, t)


@given(heights, tapers, lengths)
def test_two_points_of_a_straight_slot_give_its_taper(height, t, distance):
    inside = height - t * distance
    assume(inside > 0)
    found = taper.two_point_taper(
        mouth_height_in=height, inside_height_in=inside, distance_in=distance
    )
    assert found.taper_in_per_in == pytest.approx(t, abs=1e-13)


@given(heights, heights, lengths)
def test_measured_from_the_other_end_the_taper_turns_round(one, other, distance):
    here = taper.two_point_taper(mouth_height_in=one, inside_height_in=other, distance_in=distance)
    there = taper.two_point_taper(mouth_height_in=other, inside_height_in=one, distance_in=distance)
    assert here.taper_in_per_in == -there.taper_in_per_in


@given(heights, tapers, st.floats(-0.05, 0.05))
def test_a_gauge_that_is_off_by_the_same_amount_does_not_change_the_taper(height, t, off):
    x = np.array([0.0, 1.0, 2.5, 4.0])
    h = height + 0.3 - t * x
    true = taper.taper_from_stations(distances_in=x, heights_in=h, height_sd_in=0.0005)
    shifted = taper.taper_from_stations(distances_in=x, heights_in=h + off, height_sd_in=0.0005)
    assert shifted.taper_in_per_in == pytest.approx(true.taper_in_per_in, abs=1e-13)


@given(st.floats(0.001, 0.05), st.floats(1e-5, 0.01), st.sampled_from([1.0, 3.0, math.inf]))
def test_the_answer_turns_with_the_hub(t, sd, dof):
    ends = {"mouth": "inside", "inside": "mouth", "undecided": "undecided"}
    here = taper.which_end_is_large(taper_in_per_in=t, sd_in_per_in=sd, dof=dof)
    there = taper.which_end_is_large(taper_in_per_in=-t, sd_in_per_in=sd, dof=dof)
    assert there == ends[here]
    assert here != "inside"


@given(tapers, st.floats(1e-6, 0.01), st.floats(1.0, 5.0))
def test_more_doubt_never_makes_a_taper_less_compatible(t, sd, more):
    before = taper.compare_with_standard(taper_in_per_in=t, sd_in_per_in=sd)
    after = taper.compare_with_standard(taper_in_per_in=t, sd_in_per_in=sd * more)
    assert after.compatible or not before.compatible
    assert after.limit >= before.limit


@given(lengths, st.integers(2, 20))
def test_more_stations_on_the_same_base_never_hurt(base, count):
    few = taper.taper_sd_in_per_in(distances_in=[0, base], height_sd_in=0.0005)
    many = taper.taper_sd_in_per_in(distances_in=np.linspace(0, base, count), height_sd_in=0.0005)
    assert many <= few * (1 + 1e-12)


@given(lengths, st.floats(1.1, 8.0))
def test_a_longer_base_helps_in_proportion(base, longer):
    short = taper.taper_sd_in_per_in(distances_in=[0, base], height_sd_in=0.0005)
    long = taper.taper_sd_in_per_in(distances_in=[0, base * longer], height_sd_in=0.0005)
    assert long == pytest.approx(short / longer, rel=1e-12)


@given(lengths, st.floats(0.0, 0.03), st.floats(0.0, 0.03), heights)
def test_parallel_touches_and_never_cuts_in(length, slot, parallel, mouth):
    """Lay the bar as found and measure the gap along the whole length."""
    found = taper.parallel_mismatch(
        engaged_length_in=length, slot_taper_in_per_in=slot, parallel_taper_in_per_in=parallel
    )
    x = np.linspace(0, length, 11)
    gap = (mouth - slot * x) - (mouth - found.mouth_gap_in - parallel * x)
    assert gap.min() == pytest.approx(0, abs=1e-14)
    assert gap.max() == pytest.approx(found.gap_in, abs=1e-14)
    end = {"mouth": 0, "inside": -1, "nowhere": 0}[found.gap_at]
    assert gap[end] == pytest.approx(found.gap_in, abs=1e-14)


@given(heights, st.floats(-1, 3), st.floats(0.001, 0.03))
def test_mouth_height_does_not_depend_on_where_the_parallel_stops(mouth, stand_out, t):
    large_end = mouth + t * stand_out
    assert taper.mouth_height_from_parallel_in(
        large_end_height_in=large_end, stand_out_in=stand_out, parallel_taper_in_per_in=t
    ) == pytest.approx(mouth, abs=1e-14)


def test_units_come_out_right():
    found = taper.two_point_taper(
        mouth_height_in=25.4 * ureg.mm,
        inside_height_in=0.99 * ureg.inch,
        distance_in=1.0 * ureg.inch,
        height_sd_in=0.0254 * ureg.mm,
    )
    assert found.taper_in_per_in.to("inch/inch").magnitude == pytest.approx(0.01, rel=1e-9)
    assert found.sd_in_per_in.to("inch/inch").magnitude == pytest.approx(
        0.001 * math.sqrt(2), rel=1e-9
    )
    base = taper.base_length_for_in(
        wanted_sd_in_per_in=0.0001 * ureg.dimensionless, height_sd_in=0.0127 * ureg.mm
    )
    assert base.to("inch").magnitude == pytest.approx(5 * math.sqrt(2), rel=1e-9)
    mouth = taper.mouth_height_from_parallel_in(
        large_end_height_in=1.0 * ureg.inch,
        stand_out_in=25.4 * ureg.mm,
        parallel_taper_in_per_in=0.01 * ureg.dimensionless,
    )
    assert mouth.to("inch").magnitude == pytest.approx(0.99, rel=1e-12)
