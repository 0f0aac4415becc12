"""Gap, tilt and warmth: values that can be checked by hand, and every refusal."""

import math

import numpy as np
import pytest

from taperkey.formulas import measure

HALF_TURN = math.pi


def test_gap_is_nothing_at_the_top_and_the_whole_clearance_at_the_bottom():
    assert measure.gap_at_angle_in(diametral_clearance_in=0.012, angle_rad=0.0) == 0.0
    assert measure.gap_at_angle_in(diametral_clearance_in=0.012, angle_rad=HALF_TURN) == 0.012


def test_gap_takes_an_array_of_angles():
    gaps = measure.gap_at_angle_in(
        diametral_clearance_in=0.012, angle_rad=np.array([0, math.pi / 3, HALF_TURN])
    )
    assert gaps == pytest.approx([0, 0.003, 0.012], abs=1e-15)


def test_exact_gap_against_a_construction_of_the_two_circles():
    """Walk out from the shaft's center until the bore is met, by bisection."""
    D, c, angle = 3.0, 0.4, 2.0  # a huge clearance, so that the difference shows
    low, high = D / 2, D / 2 + c
    for _ in range(80):
        middle = (low + high) / 2
        x, y = middle * math.sin(angle), middle * math.cos(angle)
        inside = math.hypot(x, y + c / 2) < D / 2 + c / 2
        low, high = (middle, high) if inside else (low, middle)
    gap = measure.exact_gap_at_angle_in(
        shaft_diameter_in=D, diametral_clearance_in=c, angle_rad=angle
    )
    assert gap == pytest.approx(low - D / 2, abs=1e-12)
    rule = measure.gap_at_angle_in(diametral_clearance_in=c, angle_rad=angle)
    assert 0 < rule - gap <= c**2 / (4 * D)


def test_exact_gap_takes_arrays():
    # bore radius 5, its center 3 below the shaft's, shaft radius 2: across, the bore stands
    # sqrt(25 - 9) = 4 from the shaft's center, a gap of 2; at top and bottom 0 and 6
    sizes = {"shaft_diameter_in": 4.0, "diametral_clearance_in": 6.0}
    gaps = measure.exact_gap_at_angle_in(**sizes, angle_rad=np.array([0.0, math.pi / 2, math.pi]))
    assert gaps == pytest.approx([0, 2, 6], abs=1e-12)
    across = measure.exact_gap_at_angle_in(
        shaft_diameter_in=4.0, diametral_clearance_in=np.array([0.0, 6.0]), angle_rad=math.pi / 2
    )
    assert across == pytest.approx([0, 2], abs=1e-12)


def test_height_left_out_and_its_travel():
    at_side = {"diametral_clearance_in": 0.010, "angle_rad": math.pi / 2}
    assert measure.height_left_out_in(**at_side) == pytest.approx(0.005, abs=1e-15)
    travel = measure.travel_from_height_left_out_in(**at_side, taper_in_per_in=0.01)
    assert travel == pytest.approx(0.5, abs=1e-12)


def test_tilted_span_at_60_degrees_is_double():
    assert measure.tilted_span_in(height_in=1.0, tilt_rad=math.pi / 3) == pytest.approx(2.0)


def test_a_gauge_lying_almost_flat_is_taken_and_one_lying_flat_is_not():
    # a millionth of a radian from flat: the span is the height over that angle
    for way in (1, -1):
        span = measure.tilted_span_in(height_in=1.0, tilt_rad=way * (math.pi / 2 - 1e-6))
        assert span == pytest.approx(1e6, rel=1e-9)  # the angle itself is known to 1e-16
        with pytest.raises(ValueError) as caught:  # noqa: PT011  the whole sentence is compared
            measure.tilted_span_in(height_in=1.0, tilt_rad=way * math.pi / 2)
        assert str(caught.value) == (
            f"lean of the gauge is {way * 1.5708} rad; it must be from -1.5708 to 1.5708 rad. "
            "Hold it nearer to square."
        )


def test_warm_part_measured_with_a_cool_tool_reads_large():
    size = measure.size_at_reference_in(
        reading_in=10.0,
        part_temperature_degF=168.0,
        tool_temperature_degF=68.0,
        part_expansion_per_degF=6.5e-6,
    )
    assert size == pytest.approx(10 / 1.00065, rel=1e-14)


def test_cooling_shrinks():
    assert measure.thermal_growth_in(
        length_in=10.0, expansion_per_degF=6.5e-6, temperature_change_degF=-100.0
    ) == pytest.approx(-0.0065, abs=1e-15)


def test_mean_reading_by_hand():
    mean = measure.mean_reading(readings_in=[1.000, 1.002, 1.004, 1.006])
    assert mean.mean_in == pytest.approx(1.003, abs=1e-15)
    assert mean.sd_in == pytest.approx(math.sqrt(20e-6 / 3), rel=1e-12)
    assert mean.standard_uncertainty_in == pytest.approx(math.sqrt(20e-6 / 12), rel=1e-12)
    assert mean.count == 4


def test_equal_readings_have_no_scatter_at_all():
    mean = measure.mean_reading(readings_in=[0.1, 0.1, 0.1])
    assert (mean.mean_in, mean.sd_in) == (0.1, 0.0)
    assert measure.find_outlier(readings_in=[0.1, 0.1, 0.1, 0.1]).index is None


def test_reading_uncertainty_joins_division_and_scatter():
    alone = measure.reading_uncertainty_in(division_in=0.001)
    assert alone == pytest.approx(0.0005 / math.sqrt(3), rel=1e-12)
    both = measure.reading_uncertainty_in(division_in=0.001, standard_uncertainty_in=alone)
    assert both == pytest.approx(alone * math.sqrt(2), rel=1e-12)


def test_a_low_outlier_is_found_too():
    found = measure.find_outlier(readings_in=[1.001, 0.991, 1.002, 1.001, 1.000])
    assert found.index == 1
    assert found.rule == "Grubbs test, two-sided"
    assert found.statistic > found.limit


def test_combined_uncertainty_with_limited_degrees_of_freedom():
    """Two equal parts of 9 and infinite degrees of freedom: 4 x 9 = 36."""
    joined = measure.combine_uncertainty(
        contributions=[measure.Contribution(3.0, dof=9), measure.Contribution(3.0)]
    )
    assert joined.effective_dof == pytest.approx(36, rel=1e-12)
    assert joined.coverage_factor == pytest.approx(2.0281, abs=5e-5)  # Student table, 36 dof
    assert joined.expanded_uncertainty == joined.coverage_factor * joined.standard_uncertainty


def test_no_doubt_at_all_joins_to_none():
    joined = measure.combine_uncertainty(contributions=[measure.Contribution(0.0, dof=3)])
    assert joined.standard_uncertainty == joined.expanded_uncertainty == 0.0
    assert joined.effective_dof == math.inf


@pytest.mark.parametrize(
    ("call", "arguments", "message"),
    [
        (
            measure.gap_at_angle_in,
            {"diametral_clearance_in": -0.001, "angle_rad": 0.0},
            "clearance is -0.001 in; it must be 0 or more. "
            "Enter bore diameter less shaft diameter.",
        ),
        (
            measure.exact_gap_at_angle_in,
            {"shaft_diameter_in": 0.0, "diametral_clearance_in": 0.01, "angle_rad": 0.0},
            "shaft diameter is 0 in; it must be above 0. Enter the shaft's diameter.",
        ),
        (
            measure.travel_from_height_left_out_in,
            {"diametral_clearance_in": 0.01, "angle_rad": 0.0, "taper_in_per_in": -0.01},
            "taper is -0.01 in/in; it must be above 0. Enter the taper as a positive number.",
        ),
        (
            measure.tilted_span_in,
            {"height_in": 1.0, "tilt_rad": 2.0},
            "lean of the gauge is 2 rad; it must be from -1.5708 to 1.5708 rad. "
            "Hold it nearer to square.",
        ),
        (
            measure.mean_reading,
            {"readings_in": [1.0]},
            "number of readings is 1; it must be 2 or more. Take more readings at this station.",
        ),
        (
            measure.mean_reading,
            {"readings_in": [1.0, 0.0]},
            "reading is 0 in; it must be above 0. Enter the reading in inches.",
        ),
        (
            measure.reading_uncertainty_in,
            {"division_in": 0.0},
            "division is 0 in; it must be above 0. Enter the smallest division of the scale.",
        ),
        (
            measure.find_outlier,
            {"readings_in": [1.0, 1.1]},
            "number of readings is 2; it must be 3 or more. Take more readings at this station.",
        ),
        (
            measure.coverage_factor,
            {"coverage": 95.0},
            "coverage is 95; it must be from 1e-09 to 1. Enter a share such as 0.95.",
        ),
        (
            measure.combine_uncertainty,
            {"contributions": [measure.Contribution(-1.0, name="gauge")]},
            "standard uncertainty of gauge is -1; it must be 0 or more.",
        ),
        (
            measure.combine_uncertainty,
            {"contributions": []},
            "number of contributions is 0; it must be 1 or more.",
        ),
    ],
)
def test_refusals(call, arguments, message):
    with pytest.raises(ValueError) as caught:  # noqa: PT011  the whole sentence is compared
        call(**arguments)
    assert str(caught.value) == message
