"""Key size, depths, blank, step, edges, tapped end, and the way from bar to blank."""

import math

import pytest

from taperkey.formulas import cutting, key, micrometer

STEP = {
    "hub_slot_width_in": 1.03,
    "shaft_slot_width_in": 1.00,
    "shaft_slot_side_depth_in": 0.48,
    "large_end_height_in": 1.01,
    "small_end_height_in": 0.93,
}
PLAN = {
    "stock_height_in": 1.125,
    "large_end_height_in": 1.010,
    "small_end_height_in": 0.910,
    "length_in": 9.6,
    "relief_cut_in": 0.03,
    "deepest_pass_in": 0.05,
}


def test_preferred_form_changes_over_6_5_in():
    small, large = key.key_size(shaft_diameter_in=6.5), key.key_size(shaft_diameter_in=8.0)
    assert (small.width_in, small.height_in, small.form) == (1.5, 1.5, "square")
    assert (large.width_in, large.height_in, large.form) == (2.0, 1.5, "rectangular")
    assert small.taper_in_per_in == 1 / 96


def test_other_form_can_be_asked_for():
    assert key.key_size(shaft_diameter_in=2.0, form="rectangular").height_in == 0.375
    assert key.key_size(shaft_diameter_in=8.0, form="square").height_in == 2.0


def test_small_metric_keys_are_square():
    assert key.key_size(shaft_diameter_in=20 / 25.4, system="metric").form == "square"
    assert key.key_size(shaft_diameter_in=25 / 25.4, system="metric").form == "rectangular"


def test_taper_hub_is_25_thousandths_shallower_than_parallel():
    size = {"shaft_diameter_in": 12.0, "width_in": 3.0, "height_in": 2.0}
    taper = key.keyseat_depths(**size, kind="taper")
    parallel = key.keyseat_depths(**size, kind="parallel")
    assert parallel.hub_depth_in - taper.hub_depth_in == pytest.approx(0.025, abs=1e-14)


def test_chord_rise_by_a_3_4_5_triangle():
    depths = key.keyseat_depths(shaft_diameter_in=5.0, width_in=3.0, height_in=1.0)
    assert depths.chord_rise_in == pytest.approx(0.5, abs=1e-14)
    assert depths.shaft_depth_in == pytest.approx(4.0, abs=1e-14)


def test_blank_with_a_head_outside_the_mouth():
    blank = key.key_blank(
        mouth_height_in=1.0,
        taper_in_per_in=0.01,
        engaged_length_in=8.0,
        allowance_in=0.01,
        extra_length_in=1.0,
    )
    assert blank.length_in == 9.0
    assert blank.large_end_height_in == pytest.approx(1.02, abs=1e-14)
    assert blank.small_end_height_in == pytest.approx(0.93, abs=1e-14)
    assert blank.travel_to_home_in == pytest.approx(1.0, abs=1e-14)


def test_wide_portion_in_the_hub_starts_above_the_shaft_slot():
    found = key.stepped_key(**STEP, relief_in=0.02, side_clearance_in=0.002)
    assert found.wide_portion == "hub"
    assert found.shaft_portion_height_in > STEP["shaft_slot_side_depth_in"]
    assert (found.hub_width_in, found.shaft_width_in) == pytest.approx((1.028, 0.998))
    assert found.step_in == pytest.approx(0.015, abs=1e-14)


def test_wide_portion_in_the_shaft_ends_below_the_hub_slot():
    wide_shaft = STEP | {"hub_slot_width_in": 1.00, "shaft_slot_width_in": 1.03}
    found = key.stepped_key(**wide_shaft, relief_in=0.02)
    assert found.wide_portion == "shaft"
    assert found.shaft_portion_height_in == pytest.approx(0.46, abs=1e-14)
    assert found.shaft_portion_height_in + found.hub_portion_large_end_in == pytest.approx(1.01)
    assert found.shaft_portion_height_in + found.hub_portion_small_end_in == pytest.approx(0.93)


def test_equal_slots_need_no_step():
    found = key.stepped_key(**STEP | {"hub_slot_width_in": 1.0}, relief_in=0.02)
    assert (found.wide_portion, found.step_in) == ("neither", 0.0)
    assert found.shaft_portion_height_in == 0.48


def test_sharp_key_in_a_slot_with_radii_rides_a_whole_radius_high():
    assert key.held_off_height_in(slot_radius_in=0.0625, chamfer_in=0.0) == 0.0625


def test_side_gap_lets_a_sharp_key_down_a_little():
    """Edge at x = 0.2 r: height r - sqrt(r2 - 0.64 r2) = 0.4 r."""
    held = key.held_off_height_in(slot_radius_in=0.05, chamfer_in=0.0, side_gap_in=0.01)
    assert held == pytest.approx(0.02, abs=1e-14)


def test_chamfer_equal_to_the_radius_is_not_called_clear():
    assert not key.chamfer_clears(slot_radius_in=0.0625, chamfer_in=0.0625)
    assert key.chamfer_clears(slot_radius_in=0.0625, chamfer_in=0.0626)


def test_hole_larger_than_the_key_does_not_fit():
    end = key.tapped_end(
        width_in=0.5,
        large_end_height_in=0.5,
        taper_in_per_in=0.01,
        hole_diameter_in=0.5,
        hole_depth_in=1.0,
    )
    assert not end.fits
    assert end.top_wall_in < 0
    assert end.end_section_in2 == pytest.approx(0.25 - math.pi / 16, abs=1e-14)


def test_bar_may_be_under_size_and_keystock_not():
    bar = cutting.choose_stock(key_width_in=0.5, key_height_in=0.5, kind="bar")
    keystock = cutting.choose_stock(key_width_in=0.5, key_height_in=0.5, kind="keystock")
    assert (bar.width_in, bar.height_in) == (0.5625, 0.5625)
    assert (keystock.width_in, keystock.height_in) == (0.5, 0.5)


def test_bar_may_be_laid_on_its_other_side():
    stock = cutting.choose_stock(key_width_in=0.49, key_height_in=0.70)
    assert (stock.width_in, stock.height_in) == (0.5, 0.75)
    assert stock.height_to_remove_in == pytest.approx(0.05, abs=1e-14)


def test_passes_divide_the_cut_at_the_small_end():
    plan = cutting.cutting_plan(**PLAN)
    assert plan.height_after_relief_in == pytest.approx(1.095, abs=1e-14)
    assert plan.small_end_cut_in == pytest.approx(0.185, abs=1e-14)
    assert plan.passes == 4
    assert plan.passes * plan.depth_per_pass_in == pytest.approx(plan.small_end_cut_in, rel=1e-14)
    assert plan.taper_in_per_in == pytest.approx(0.1 / 9.6, rel=1e-12)


def test_a_cut_of_exactly_two_passes_is_not_three():
    plan = cutting.cutting_plan(**PLAN | {"deepest_pass_in": 0.185 / 2})
    assert plan.passes == 2


def test_metric_half_millimetre_line_counts():
    without = micrometer.metric_micrometer_in(
        sleeve_millimetres=5, half_millimetre_shows=False, thimble_line=0
    )
    shown = micrometer.metric_micrometer_in(
        sleeve_millimetres=5, half_millimetre_shows=True, thimble_line=0, range_low_mm=25.0
    )
    assert (without * 25.4, shown * 25.4) == pytest.approx((5.0, 30.5), abs=1e-12)


@pytest.mark.parametrize(
    ("call", "arguments", "message"),
    [
        (
            key.key_size,
            {"shaft_diameter_in": 0.25},
            "shaft diameter is 0.25 in; it must be over 0.3125 in, up to and including 30 in. "
            "Enter the shaft's diameter, or look further in the standard.",
        ),
        (
            key.key_size,
            {"shaft_diameter_in": 0.4, "form": "rectangular"},
            "form of key is 'rectangular'; it must be 'square' for this shaft.",
        ),
        (
            key.key_size,
            {"shaft_diameter_in": 4.0, "system": "metric", "form": "square"},
            "form of key is 'square'; it must be 'preferred' or 'rectangular' for this shaft.",
        ),
        (
            key.key_size,
            {"shaft_diameter_in": 4.0, "system": "imperial"},
            "system of keys is 'imperial'; it must be one of: inch, metric.",
        ),
        (
            key.keyseat_depths,
            {"shaft_diameter_in": 1.0, "width_in": 1.0, "height_in": 1.0},
            "shaft diameter is 1 in; it must be above 1 in. The key must fit in the shaft.",
        ),
        (
            key.key_blank,
            {"mouth_height_in": 1.0, "taper_in_per_in": -0.0104, "engaged_length_in": 8.0},
            "taper is -0.0104 in/in; it must be above 0. "
            "Measure from the large end of the opening.",
        ),
        (
            key.key_blank,
            {"mouth_height_in": 0.1, "taper_in_per_in": 0.1, "engaged_length_in": 8.0},
            "height of the small end is -0.69 in; it must be above 0. Check taper and length.",
        ),
        (
            key.stepped_key,
            STEP | {"large_end_height_in": 0.9},
            "height of the large end is 0.9 in; it must be 0.93 in or more, as at the small end.",
        ),
        (
            key.stepped_key,
            STEP | {"shaft_slot_side_depth_in": 0.95},
            "height of the hub portion is -0.02 in; it must be above 0. Check both depths.",
        ),
        (
            key.held_off_height_in,
            {"slot_radius_in": -0.1, "chamfer_in": 0.1},
            "radius in the slot is -0.1 in; it must be 0 or more. Use a radius gauge.",
        ),
        (
            key.tapped_end,
            {
                "width_in": 1.0,
                "large_end_height_in": 1.0,
                "taper_in_per_in": 0.5,
                "hole_diameter_in": 0.5,
                "hole_depth_in": 2.0,
            },
            "key height at the bottom of the hole is 0 in; it must be above 0. Check the depth.",
        ),
        (
            cutting.choose_stock,
            {"key_width_in": 8.0, "key_height_in": 4.0},
            "stock needed is 8 x 4 in; it must be within the largest bar of the list, 6 x 4 in. "
            "Cut it from plate or a forging.",
        ),
        (
            cutting.cutting_plan,
            PLAN | {"relief_cut_in": 0.0},
            "relief cut is 0 in; it must be above 0. Without it the key bows.",
        ),
        (
            cutting.cutting_plan,
            PLAN | {"stock_height_in": 1.0},
            "height of the bar is 1 in; it must be 1.04 in or more, large end and relief cut. "
            "Take a larger bar.",
        ),
        (
            cutting.cutting_plan,
            PLAN | {"large_end_height_in": 0.9},
            "height of the large end is 0.9 in; "
            "it must be above 0.91 in, the height of the small end.",
        ),
        (
            micrometer.inch_micrometer_in,
            {"sleeve_number": 2, "sleeve_lines": 4, "thimble_line": 0},
            "lines after the number is 4; it must be from 0 to 3. Count the short lines again.",
        ),
    ],
)
def test_refusals(call, arguments, message):
    with pytest.raises(ValueError) as caught:  # noqa: PT011  the whole sentence is compared
        call(**arguments)
    assert str(caught.value) == message
