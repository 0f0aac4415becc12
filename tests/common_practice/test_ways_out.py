"""What a shop goes by where a key does not come: common practice, no print gives it."""

import pytest

from taperkey import practice
from taperkey.formulas.gauge import gauge_reading_psi
from taperkey.formulas.ways_out import drift_size_in, drill_sizes_in

MM = 25.4


def test_a_one_inch_key_is_drilled_in_eighths_up_to_an_eighth_less():
    rules = [practice.value(f"drill_{name}") for name in ("pilot", "step", "left")]
    sizes = drill_sizes_in(
        smaller_side_in=1.0, **dict(zip(("pilot_in", "step_in", "left_in"), rules, strict=True))
    )
    assert sizes == (1 / 4, 3 / 8, 1 / 2, 5 / 8, 3 / 4, 7 / 8)


def test_a_metric_shop_drills_in_steps_of_three():
    rules = [practice.metric(f"drill_{name}") / MM for name in ("pilot", "step", "left")]
    sizes = drill_sizes_in(
        smaller_side_in=16 / MM,
        **dict(zip(("pilot_in", "step_in", "left_in"), rules, strict=True)),
    )
    assert [one * MM for one in sizes] == pytest.approx([6, 9, 12])


def test_a_drift_is_a_sixteenth_less_each_way():
    assert drift_size_in(
        width_in=1.0, height_in=0.75, less_in=practice.value("drift_less")
    ) == pytest.approx((15 / 16, 11 / 16))
    assert practice.metric("drift_less") == 1.5


def test_an_unread_gauge_is_read_to_a_hundred_psi():
    """2.24 in2 under 10,000 lbf is 4,464 psi: the mark below."""
    mark = gauge_reading_psi(load_each_lbf=10_000, effective_area_in2=2.24,
                             division_psi=practice.value("gauge_division"))  # fmt: skip
    assert mark == 4400
    assert practice.value("gauge_division_bar") == 10


def test_no_steel_hub_is_warmed_beyond_where_its_temper_begins_to_change():
    """From memory: a temper of medium-carbon steel is drawn from some 400 °F (205 °C) on."""
    assert practice.value("hub_warmest") <= 400


def test_a_key_that_leaves_no_room_for_the_pilot_is_not_drilled():
    sizes = {"pilot_in": 1 / 4, "step_in": 1 / 8, "left_in": 1 / 8}
    assert drill_sizes_in(smaller_side_in=3 / 8, **sizes) == (1 / 4,)  # just the pilot
    for smaller in (0.37, 1 / 4, 1 / 16):
        assert drill_sizes_in(smaller_side_in=smaller, **sizes) == ()
