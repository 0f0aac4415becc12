"""Taper, its comparison with the standard, the reversed hub and the taper bar."""

import math

import numpy as np
import pytest

from taperkey.formulas import taper

STATIONS = {"distances_in": [0, 2, 4, 6], "heights_in": [1.060, 1.041, 1.019, 1.000]}


def test_two_point_taper_by_hand():
    found = taper.two_point_taper(
        mouth_height_in=1.02, inside_height_in=1.00, distance_in=2.0, height_sd_in=0.001
    )
    assert found.taper_in_per_in == pytest.approx(0.01, abs=1e-14)
    assert found.sd_in_per_in == pytest.approx(0.001 * math.sqrt(2) / 2, rel=1e-14)
    assert found.dof == math.inf


def test_reversed_hub_has_a_negative_taper():
    found = taper.two_point_taper(mouth_height_in=1.0, inside_height_in=1.01, distance_in=1.0)
    assert found.taper_in_per_in < 0


def test_stations_by_hand():
    """Slope = -(3 x .060 + 1 x .022) / 20 in/in about the middle at 3 in, mean height 1.030 in."""
    found = taper.taper_from_stations(**STATIONS)
    assert found.taper_in_per_in == pytest.approx((3 * 0.060 + 0.022) / 20, rel=1e-12)
    line = [1.030 - found.taper_in_per_in * (x - 3) for x in STATIONS["distances_in"]]
    squares = sum((h - y) ** 2 for h, y in zip(STATIONS["heights_in"], line, strict=True))
    assert found.scatter_in == pytest.approx(math.sqrt(squares / 2), rel=1e-10)
    assert found.sd_in_per_in == pytest.approx(found.scatter_in / math.sqrt(20), rel=1e-10)
    assert found.dof == 2


def test_given_uncertainty_is_used_and_the_scatter_shown_beside_it():
    found = taper.taper_from_stations(**STATIONS, height_sd_in=0.0005)
    assert found.sd_in_per_in == pytest.approx(0.0005 / math.sqrt(20), rel=1e-12)
    assert found.dof == math.inf
    assert found.scatter_in == pytest.approx(
        taper.taper_from_stations(**STATIONS).scatter_in, rel=1e-12
    )


def test_two_stations_with_uncertainty_agree_with_two_points():
    stations = taper.taper_from_stations(
        distances_in=[0, 3], heights_in=[1.03, 1.00], height_sd_in=0.0005
    )
    points = taper.two_point_taper(
        mouth_height_in=1.03, inside_height_in=1.00, distance_in=3.0, height_sd_in=0.0005
    )
    assert stations.taper_in_per_in == pytest.approx(points.taper_in_per_in, rel=1e-12)
    assert stations.sd_in_per_in == pytest.approx(points.sd_in_per_in, rel=1e-12)


def test_forms_of_the_standard_tapers():
    assert taper.taper_per_foot_in(taper_in_per_in=taper.STANDARD_INCH) == 0.125
    assert taper.taper_ratio(taper_in_per_in=taper.STANDARD_INCH) == pytest.approx(96)
    assert taper.taper_ratio(taper_in_per_in=np.array([0.01, -0.02])) == pytest.approx([100, -50])


def test_comparison_holds_a_clear_difference_and_its_limit():
    held = taper.compare_with_standard(
        taper_in_per_in=0.0156, sd_in_per_in=0.0007, standard_in_per_in=1 / 96
    )
    assert not held.compatible
    assert held.difference == pytest.approx(0.0156 - 1 / 96, abs=1e-15)
    assert held.coverage_factor == pytest.approx(1.959964, abs=1e-6)
    assert held.limit == pytest.approx(held.coverage_factor * 0.0007, rel=1e-12)


def test_few_degrees_of_freedom_widen_the_limit():
    few = taper.compare_with_standard(taper_in_per_in=0.0128, sd_in_per_in=0.0007, dof=2)
    many = taper.compare_with_standard(taper_in_per_in=0.0128, sd_in_per_in=0.0007)
    assert few.compatible
    assert not many.compatible


def test_exact_standard_without_uncertainty_is_compatible():
    assert taper.compare_with_standard(
        taper_in_per_in=0.125 / 12, sd_in_per_in=0.0, standard_in_per_in=1 / 96
    ).compatible


@pytest.mark.parametrize(
    ("value", "end"),
    [(0.0104, "mouth"), (-0.0104, "inside"), (0.0013, "undecided"), (-0.0013, "undecided")],
)
def test_which_end_is_large(value, end):
    assert taper.which_end_is_large(taper_in_per_in=value, sd_in_per_in=0.0007) == end


def test_parallel_of_the_slots_own_taper_bears_all_along():
    found = taper.parallel_mismatch(engaged_length_in=6.0, slot_taper_in_per_in=1 / 96)
    assert (found.bears_at, found.gap_at, found.gap_in) == ("whole length", "nowhere", 0.0)


def test_parallel_in_a_slower_slot_bears_at_the_mouth_and_reads_it_right():
    found = taper.parallel_mismatch(
        engaged_length_in=5.0, slot_taper_in_per_in=0.008, parallel_taper_in_per_in=0.010
    )
    assert (found.bears_at, found.gap_at) == ("mouth", "inside")
    assert found.gap_in == pytest.approx(0.010, abs=1e-14)
    assert found.mouth_gap_in == 0.0


def test_parallel_in_a_steeper_slot_reads_the_mouth_too_low():
    """Slot 1.000 in at the mouth and 0.012 in/in; parallel 0.010 in/in, 5 in inside."""
    slot, parallel, length, stand_out = 0.012, 0.010, 5.0, 2.0
    tight_inside = 1.000 - slot * length  # the bar's height there
    large_end = tight_inside + parallel * (length + stand_out)
    read = taper.mouth_height_from_parallel_in(
        large_end_height_in=large_end, stand_out_in=stand_out, parallel_taper_in_per_in=parallel
    )
    found = taper.parallel_mismatch(
        engaged_length_in=length, slot_taper_in_per_in=slot, parallel_taper_in_per_in=parallel
    )
    assert found.bears_at == "inside"
    assert read + found.mouth_gap_in == pytest.approx(1.000, abs=1e-14)


def test_base_length_brings_the_wanted_uncertainty():
    length = taper.base_length_for_in(wanted_sd_in_per_in=0.0001, height_sd_in=0.0005)
    assert taper.taper_sd_in_per_in(distances_in=[0, length], height_sd_in=0.0005) == pytest.approx(
        0.0001, rel=1e-12
    )


@pytest.mark.parametrize(
    ("call", "arguments", "message"),
    [
        (
            taper.two_point_taper,
            {"mouth_height_in": 0.0, "inside_height_in": 1.0, "distance_in": 1.0},
            "mouth height is 0 in; it must be above 0. Enter the reading at the open end.",
        ),
        (
            taper.two_point_taper,
            {"mouth_height_in": 1.0, "inside_height_in": 1.0, "distance_in": 0.0},
            "distance is 0 in; it must be above 0. Enter how far inside the mark is.",
        ),
        (
            taper.taper_from_stations,
            {"distances_in": [0, 1], "heights_in": [1.0, 0.9]},
            "number of stations is 2; it must be 3 or more. "
            "Measure at one more station, or give the uncertainty of a height.",
        ),
        (
            taper.taper_from_stations,
            {"distances_in": [-1, 0, 1], "heights_in": [1.0, 0.9, 0.8]},
            "distance is -1 in; it must be 0 or more. Measure it inward from the mouth.",
        ),
        (
            taper.taper_ratio,
            {"taper_in_per_in": 0.0},
            "taper is 0 in/in; it must be other than 0. A straight slot has no ratio.",
        ),
        (
            taper.taper_from_ratio_in_per_in,
            {"ratio": 0},
            "ratio is 0; it must be other than 0. Enter the 96 of 1:96.",
        ),
        (
            taper.taper_from_angle_in_per_in,
            {"angle_rad": 1.6},
            "angle is 1.6 rad; it must be from -1.5 to 1.5 rad. "
            "Enter the angle of the sloping face.",
        ),
        (
            taper.taper_sd_in_per_in,
            {"distances_in": [1, 1], "height_sd_in": 0.001},
            "spread of the stations is 0 in²; it must be above 0. Use stations apart.",
        ),
        (
            taper.compare_with_standard,
            {"taper_in_per_in": 0.01, "sd_in_per_in": -0.1},
            "uncertainty of the taper is -0.1 in/in; it must be 0 or more.",
        ),
        (
            taper.parallel_mismatch,
            {"engaged_length_in": 0.0, "slot_taper_in_per_in": 0.01},
            "length in the slot is 0 in; it must be above 0. Measure what is inside.",
        ),
    ],
)
def test_refusals(call, arguments, message):
    with pytest.raises(ValueError) as caught:  # noqa: PT011  the whole sentence is compared
        call(**arguments)
    assert str(caught.value) == message
