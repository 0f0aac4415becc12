"""Properties of gap, tilt, warmth and repeated readings: limits, symmetry, units, scaling."""

import math

import numpy as np
import pint
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from taperkey.formulas import measure

ureg = pint.get_application_registry()

clearances = st.floats(0.0, 0.05)
angles = st.floats(-10.0, 10.0)
diameters = st.floats(0.5, 30.0)
heights = st.floats(0.05, 6.0)
readings = st.lists(st.floats(0.5, 2.0), min_size=3, max_size=12)


@given(diameters, clearances, angles)
def test_gap_lies_between_nothing_and_the_clearance(D, c, angle):
    gap = measure.exact_gap_at_angle_in(
        shaft_diameter_in=D, diametral_clearance_in=c, angle_rad=angle
    )
    assert -1e-15 <= gap <= c + 1e-15


@given(diameters, clearances, angles)
def test_rule_errs_on_the_large_side_by_a_known_limit(D, c, angle):
    rule = measure.gap_at_angle_in(diametral_clearance_in=c, angle_rad=angle)
    exact = measure.exact_gap_at_angle_in(
        shaft_diameter_in=D, diametral_clearance_in=c, angle_rad=angle
    )
    assert -1e-15 <= rule - exact <= c**2 / (4 * D) + 1e-15


@given(diameters, clearances, angles)
def test_gap_is_the_same_left_and_right(D, c, angle):
    for gap in (
        lambda at: measure.gap_at_angle_in(diametral_clearance_in=c, angle_rad=at),
        lambda at: measure.exact_gap_at_angle_in(
            shaft_diameter_in=D, diametral_clearance_in=c, angle_rad=at
        ),
    ):
        assert gap(angle) == gap(-angle)


@given(diameters, clearances, st.floats(0, math.pi), st.floats(0, math.pi))
def test_gap_grows_toward_the_bottom(D, c, one, other):
    low, high = sorted((one, other))
    gaps = [
        measure.exact_gap_at_angle_in(shaft_diameter_in=D, diametral_clearance_in=c, angle_rad=at)
        for at in (low, high)
    ]
    assert gaps[0] <= gaps[1] + 1e-15


@given(diameters, st.floats(1e-4, 0.05), angles)
def test_gap_scales_with_the_drive(D, c, angle):
    small, large = (
        measure.exact_gap_at_angle_in(
            shaft_diameter_in=scale * D, diametral_clearance_in=scale * c, angle_rad=angle
        )
        for scale in (1, 3)
    )
    assert large == pytest.approx(3 * small, rel=1e-9, abs=1e-15)


@given(clearances, angles)
def test_gap_and_what_is_left_out_make_the_clearance(c, angle):
    at = {"diametral_clearance_in": c, "angle_rad": angle}
    assert measure.gap_at_angle_in(**at) + measure.height_left_out_in(**at) == pytest.approx(
        c, abs=1e-15
    )


@given(heights, st.floats(-1.4, 1.4))
def test_a_leaning_gauge_never_reads_low(height, tilt):
    span = measure.tilted_span_in(height_in=height, tilt_rad=tilt)
    assert span >= height
    assert span == measure.tilted_span_in(height_in=height, tilt_rad=-tilt)


@given(heights, st.floats(-0.05, 0.05))
def test_small_lean_costs_half_its_square(height, tilt):
    over = measure.tilted_span_in(height_in=height, tilt_rad=tilt) - height
    assert over == pytest.approx(height * tilt**2 / 2, rel=1e-2, abs=1e-14)


@given(heights, st.floats(-40, 140), st.floats(4e-6, 14e-6))
def test_like_part_and_tool_need_no_correction(reading, temperature, expansion):
    size = measure.size_at_reference_in(
        reading_in=reading,
        part_temperature_degF=temperature,
        tool_temperature_degF=temperature,
        part_expansion_per_degF=expansion,
        tool_expansion_per_degF=expansion,
    )
    assert size == reading


@given(heights, st.floats(-40, 140), st.floats(4e-6, 14e-6))
def test_correction_takes_back_the_growth(height, temperature, expansion):
    grown = height + measure.thermal_growth_in(
        length_in=height, expansion_per_degF=expansion, temperature_change_degF=temperature - 68.0
    )
    back = measure.size_at_reference_in(
        reading_in=grown,
        part_temperature_degF=temperature,
        tool_temperature_degF=68.0,
        part_expansion_per_degF=expansion,
    )
    assert back == pytest.approx(height, rel=1e-14)


@given(readings, st.floats(0.1, 0.4))
def test_mean_moves_with_the_readings_and_scatter_does_not(values, shift):
    here = measure.mean_reading(readings_in=values)
    there = measure.mean_reading(readings_in=[value + shift for value in values])
    assert there.mean_in == pytest.approx(here.mean_in + shift, rel=1e-12)
    assert there.sd_in == pytest.approx(here.sd_in, rel=1e-6, abs=1e-14)


@given(readings)
def test_mean_against_numpy(values):
    mean = measure.mean_reading(readings_in=values)
    assert mean.mean_in == pytest.approx(np.mean(values), rel=1e-14)
    assert mean.sd_in == pytest.approx(np.std(values, ddof=1), rel=1e-9, abs=1e-15)


@given(readings, st.floats(1.0, 25.4))
def test_outlier_does_not_depend_on_the_unit(values, scale):
    assume(max(values) - min(values) > 1e-6)  # less is rounding, not scatter
    here = measure.find_outlier(readings_in=values)
    there = measure.find_outlier(readings_in=[scale * value for value in values])
    assert there.statistic == pytest.approx(here.statistic, rel=1e-6, abs=1e-12)
    assert there.limit == here.limit


@given(st.integers(3, 60), st.floats(0.001, 0.2), st.floats(0.001, 0.2))
def test_a_stricter_test_has_a_higher_limit_below_the_largest_possible(count, one, other):
    low, high = sorted((one, other))
    strict = measure.grubbs_limit(count=count, significance=low)
    assert strict >= measure.grubbs_limit(count=count, significance=high)
    assert strict <= (count - 1) / math.sqrt(count)


def test_false_alarms_come_as_often_as_the_significance_says():
    """4000 sets of 6 good readings, seeded: 5 % of 4000 is 200, give or take 4 x 14."""
    draw = np.random.default_rng(20)
    sets = draw.normal(1.0, 0.001, size=(4000, 6))
    limit = measure.grubbs_limit(count=6)
    away = np.abs(sets - sets.mean(axis=1, keepdims=True)).max(axis=1)
    alarms = int(np.sum(away / sets.std(axis=1, ddof=1) > limit))
    assert 144 <= alarms <= 256


contributions = st.lists(
    st.builds(
        measure.Contribution,
        st.floats(1e-6, 1.0),
        dof=st.one_of(st.just(math.inf), st.floats(1.0, 200.0)),
        # not so small that its product can no longer be told from 0
        sensitivity=st.floats(-3.0, 3.0).filter(lambda one: not 0 < abs(one) < 1e-100),
    ),
    min_size=1,
    max_size=6,
)


@given(contributions)
def test_joined_doubt_lies_between_the_largest_and_the_sum(items):
    joined = measure.combine_uncertainty(contributions=items)
    parts = [abs(one.sensitivity) * one.standard_uncertainty for one in items]
    assert max(parts) * (1 - 1e-12) <= joined.standard_uncertainty <= sum(parts) * (1 + 1e-12)


@given(contributions)
def test_effective_freedom_lies_between_the_least_and_the_sum(items):
    joined = measure.combine_uncertainty(contributions=items)
    acting = [one.dof for one in items if one.sensitivity * one.standard_uncertainty != 0]
    if acting:
        assert min(acting) * (1 - 1e-9) <= joined.effective_dof
        assert joined.effective_dof <= sum(acting) * (1 + 1e-9)


@given(st.floats(0.5, 0.999), st.floats(1.0, 300.0), st.floats(1.0, 300.0))
def test_coverage_factor_falls_with_freedom_toward_the_normal_one(coverage, one, other):
    low, high = sorted((one, other))
    few = measure.coverage_factor(coverage=coverage, dof=low)
    many = measure.coverage_factor(coverage=coverage, dof=high)
    assert few >= many * (1 - 1e-9)
    assert many > measure.coverage_factor(coverage=coverage) * (1 - 1e-9)


def test_units_come_out_right():
    inch, rad = ureg.inch, ureg.radian
    gap = measure.gap_at_angle_in(diametral_clearance_in=0.254 * ureg.mm, angle_rad=math.pi * rad)
    assert gap.to("inch").magnitude == pytest.approx(0.010, rel=1e-12)
    exact = measure.exact_gap_at_angle_in(
        shaft_diameter_in=100 * ureg.mm, diametral_clearance_in=0.01 * inch, angle_rad=1.0 * rad
    )
    assert exact.to("inch").magnitude == pytest.approx(
        measure.exact_gap_at_angle_in(
            shaft_diameter_in=100 / 25.4, diametral_clearance_in=0.01, angle_rad=1.0
        ),
        rel=1e-9,
    )
    growth = measure.thermal_growth_in(
        length_in=1.0 * ureg.foot,
        expansion_per_degF=11.5e-6 / ureg.delta_degC,
        temperature_change_degF=18.0 * ureg.delta_degF,
    )
    assert growth.to("inch").magnitude == pytest.approx(0.00138, rel=1e-12)
    doubt = measure.reading_uncertainty_in(
        division_in=0.0254 * ureg.mm, standard_uncertainty_in=0.0 * inch
    )
    assert doubt.to("inch").magnitude == pytest.approx(0.001 / math.sqrt(12), rel=1e-12)
