"""Fields and defaults that no printed table shows, each worked out by hand."""

from __future__ import annotations

import math

import pytest

from taperkey.formulas.key import key_blank, key_size, metric_keyseat_depths
from taperkey.formulas.taper import (
    compare_with_standard,
    mouth_height_from_parallel_in,
    taper_from_stations,
    two_point_taper,
    which_end_is_large,
)
from taperkey.formulas.thread import stripping_force_lbf, thread_limits
from taperkey.formulas.wedge import driving_efficiency, normal_from_pull_lbf, self_holding


def test_chord_of_a_metric_keyway() -> None:
    # shaft 100 mm, key 28 mm: (100 - sqrt(100^2 - 28^2)) / 2 = (100 - 96) / 2 = 2 mm
    depths = metric_keyseat_depths(shaft_diameter_in=100 / 25.4)
    assert depths.chord_rise_in * 25.4 == pytest.approx(2.0)
    assert metric_keyseat_depths(shaft_diameter_in=100 / 25.4) == metric_keyseat_depths(
        shaft_diameter_in=100 / 25.4, kind="taper"
    )


def test_a_key_size_names_its_standard() -> None:
    inch = key_size(shaft_diameter_in=4.0)
    assert (inch.standard, inch.form, inch.taper_in_per_in) == ("ASME B17.1", "square", 1 / 96)
    assert inch.status in ("found", "memory")
    metric = key_size(shaft_diameter_in=100 / 25.4, system="metric")
    assert (metric.standard, metric.form, metric.taper_in_per_in) == (
        "DIN 6886", "rectangular", 0.01,
    )  # fmt: skip
    assert metric.width_in * 25.4 == pytest.approx(28.0)
    assert metric.height_in * 25.4 == pytest.approx(16.0)
    assert metric.status in ("found", "memory")


def test_a_form_that_the_table_does_not_have_is_said() -> None:
    with pytest.raises(ValueError) as square:  # noqa: PT011 - compared below
        key_size(shaft_diameter_in=25.0, form="square")
    assert str(square.value) == "form of key is 'square'; it must be 'rectangular' for this shaft."
    with pytest.raises(ValueError) as metric:  # noqa: PT011 - compared below
        key_size(shaft_diameter_in=100 / 25.4, system="metric", form="square")
    assert str(metric.value) == (
        "form of key is 'square'; it must be 'preferred' or 'rectangular' for this shaft."
    )


def test_a_blank_without_more_is_as_long_as_its_slot() -> None:
    blank = key_blank(mouth_height_in=1.0, taper_in_per_in=0.01, engaged_length_in=8.0)
    assert blank.length_in == pytest.approx(8.0)
    assert blank.large_end_height_in == pytest.approx(1.010)  # 0.010 in for fitting
    longer = key_blank(
        mouth_height_in=1.0, taper_in_per_in=0.01, engaged_length_in=8.0, extra_length_in=1.0
    )
    assert longer.length_in == pytest.approx(9.0)
    assert longer.large_end_height_in == pytest.approx(1.020)


def test_pitch_tolerance_grows_with_the_diameter() -> None:
    # ASME B1.1 at 2 in, 8 threads: 0.0015 x 2^(1/3) + 0.0015 x sqrt 2 + 0.015 x 0.125^(2/3)
    tolerance = 0.0015 * 1.259921 + 0.0015 * 1.414214 + 0.015 * 0.25
    limits = thread_limits(diameter_in=2.0, pitch_in=0.125)
    pitch_diameter = 2.0 - 0.75 * 0.8660254 * 0.125
    assert limits.hole_pitch_high_in == pytest.approx(pitch_diameter + 1.3 * tolerance, abs=1e-6)
    assert limits.rod_pitch_low_in == pytest.approx(pitch_diameter - 1.3 * tolerance, abs=1e-6)
    assert limits.rod_major_low_in == pytest.approx(2.0 - 0.3 * tolerance - 0.015, abs=1e-6)


def test_the_thread_that_strips_first_is_named() -> None:
    thread = {"diameter_in": 1.0, "pitch_in": 0.125, "engagement_in": 1.5}
    assert stripping_force_lbf(**thread, rod_shear_psi=9e4, hole_shear_psi=2e4)[1] == "hole"
    assert stripping_force_lbf(**thread, rod_shear_psi=2e4, hole_shear_psi=9e4)[1] == "rod"


def test_two_points_without_an_uncertainty_have_none() -> None:
    taper = two_point_taper(mouth_height_in=1.02, inside_height_in=1.0, distance_in=2.0)
    assert (taper.taper_in_per_in, taper.sd_in_per_in) == (pytest.approx(0.01), 0.0)


def test_stations_with_a_given_uncertainty_still_tell_their_scatter() -> None:
    # heights off a line of 0.01 in/in by +d, -2d, +d: scatter of 1 degree of freedom is d sqrt 6
    d = 0.0002
    taper = taper_from_stations(
        distances_in=[0, 2, 4], heights_in=[1.04 + d, 1.02 - 2 * d, 1.0 + d], height_sd_in=0.0005
    )
    assert taper.taper_in_per_in == pytest.approx(0.01)
    assert taper.scatter_in == pytest.approx(d * math.sqrt(6))
    assert taper.sd_in_per_in == pytest.approx(0.0005 / math.sqrt(8))  # sum of squares is 8
    assert taper.dof == math.inf


def test_whole_numbers_are_measured_as_well() -> None:
    taper = taper_from_stations(distances_in=[0, 2, 4], heights_in=[3, 2, 1], height_sd_in=1)
    assert taper.taper_in_per_in == pytest.approx(0.5)


def test_coverage_and_degrees_of_freedom_decide() -> None:
    near = {"taper_in_per_in": 0.001, "sd_in_per_in": 0.0005}  # twice its uncertainty
    assert which_end_is_large(**near) == "mouth"
    assert which_end_is_large(**near, dof=3.0) == "undecided"  # t is 3.18
    assert which_end_is_large(**near, coverage=0.99) == "undecided"  # z is 2.58
    assert which_end_is_large(taper_in_per_in=-0.001, sd_in_per_in=0.0001) == "inside"
    wide = compare_with_standard(taper_in_per_in=0.01, sd_in_per_in=0.001, coverage=0.99)
    assert wide.coverage_factor == pytest.approx(2.5758, abs=1e-4)
    assert wide.limit == pytest.approx(0.0025758, abs=1e-7)


def test_on_the_very_limit_a_taper_agrees() -> None:
    same = compare_with_standard(
        taper_in_per_in=1 / 96, sd_in_per_in=0.0, standard_in_per_in=1 / 96
    )
    assert same.compatible


def test_a_parallel_measured_at_the_mouth_tells_the_mouth() -> None:
    assert mouth_height_from_parallel_in(large_end_height_in=1.0) == 1.0
    out = mouth_height_from_parallel_in(large_end_height_in=1.0, stand_out_in=0.96)
    assert out == pytest.approx(0.99)


def test_self_holding_tells_both_angles() -> None:
    found = self_holding(taper_in_per_in=0.01, floor_friction=0.1, roof_friction=0.2)
    assert found.slope_rad == pytest.approx(math.atan(0.01))
    assert found.friction_angles_rad == pytest.approx(math.atan(0.1) + math.atan(0.2))
    # slope and friction alike: nothing is left that holds
    edge = self_holding(taper_in_per_in=0.1, floor_friction=0.1, roof_friction=0.0)
    assert not edge.holds
    assert (
        normal_from_pull_lbf(
            pull_lbf=1.0, taper_in_per_in=0.0, floor_friction=0.0, roof_friction=0.0
        )
        is None
    )


def test_self_holding_is_said_with_both_angles() -> None:
    holding = self_holding(taper_in_per_in=1 / 96, floor_friction=0.1, roof_friction=0.1)
    assert holding.reason == (
        "slope 0.597 deg is below the two friction angles together, 11.421 deg, so the key holds "
        "by friction."
    )
    loose = self_holding(taper_in_per_in=1 / 96, floor_friction=0.005, roof_friction=0.005)
    assert loose.reason == (
        "slope 0.597 deg is not below the two friction angles together, 0.573 deg, so the key "
        "creeps out by itself."
    )


def test_nothing_is_gained_where_nothing_is_pushed() -> None:
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - compared below
        driving_efficiency(taper_in_per_in=0.0, floor_friction=0.0, roof_friction=0.0)
    assert str(caught.value) == (
        "push per normal force is 0; it must be above 0. Give a taper or a friction above 0."
    )
