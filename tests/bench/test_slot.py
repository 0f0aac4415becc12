"""The true slot comes out as asked, and the same every time."""

import json
import math

import numpy as np
import pytest

from coursework.draws import Draws
from keycourse.measure.bench.slot import SlotParameters, draw_slot

PERFECT = {"form_error_in": 0.0, "waviness_in": 0.0, "high_spot_count": 0}


def test_draws_are_pinned_to_the_promised_sequence():
    draws = Draws(1)
    # random.Random(1).random() starts 0.13436424411240122, 0.8474337369372327 (Python's promise)
    assert draws.uniform(low=0.0, high=1.0) == 0.13436424411240122
    assert draws.uniform(low=10.0, high=20.0) == pytest.approx(18.474337369372327, abs=1e-12)


def test_normal_draws_have_mean_and_deviation():
    draws = Draws("spread")
    values = [draws.normal(mean=5.0, deviation=2.0) for _ in range(4000)]
    assert np.mean(values) == pytest.approx(5.0, abs=0.12)  # 4 standard errors
    assert np.std(values) == pytest.approx(2.0, abs=0.09)


def test_perfect_slot_falls_by_the_taper():
    slot = draw_slot(parameters=SlotParameters(**PERFECT), seed=3)
    assert float(slot.height_in(0.0)) == pytest.approx(1.0, abs=1e-12)
    assert float(slot.height_in(8.0)) == pytest.approx(1.0 - 8 / 96, abs=1e-12)
    assert slot.line() == pytest.approx((1.0, 1 / 96), abs=1e-12)


def test_reversed_hub_opens_going_in():
    slot = draw_slot(parameters=SlotParameters(taper_in_per_in=-1 / 96, **PERFECT), seed=3)
    assert float(slot.height_in(8.0)) == pytest.approx(1.0 + 8 / 96, abs=1e-12)


@pytest.mark.parametrize(
    ("angle_rad", "left_out_in"), [(math.pi, 0.0), (math.pi / 2, 0.003), (0.0, 0.006)]
)
def test_keyway_not_at_the_bottom_leaves_out_clearance(angle_rad, left_out_in):
    slot = draw_slot(parameters=SlotParameters(diametral_clearance_in=0.006, **PERFECT), seed=3)
    assert float(slot.height_in(0.0, 0.0, angle_rad)) == pytest.approx(1.0 - left_out_in, abs=1e-12)


def test_form_error_has_the_asked_peak_to_valley():
    asked = SlotParameters(form_error_in=0.002, waviness_in=0.0, high_spot_count=0)
    slot = draw_slot(parameters=asked, seed=11)
    x, y = np.linspace(0, 8, 200)[:, None], np.linspace(-0.75, 0.75, 40)[None, :]
    face = slot.floor_error.height_in(x, y)
    # finer points than the ones used for scaling: at most a little more
    assert np.ptp(face) == pytest.approx(0.002, rel=0.03)


def test_wear_step_bell_mouth_and_burr_where_they_belong():
    worn = draw_slot(
        parameters=SlotParameters(wear_step_in=0.005, wear_step_station_in=5.0, **PERFECT), seed=1
    )
    assert float(worn.height_in(4.0)) == pytest.approx(1.005 - 4 / 96, abs=1e-6)
    assert float(worn.height_in(6.0)) == pytest.approx(1.0 - 6 / 96, abs=1e-6)
    bell = draw_slot(parameters=SlotParameters(bell_mouth_in=0.004, **PERFECT), seed=1)
    assert float(bell.height_in(0.0)) == pytest.approx(1.004, abs=1e-9)
    assert float(bell.height_in(0.5)) == pytest.approx(1.0 - 0.5 / 96, abs=1e-9)
    burr = draw_slot(parameters=SlotParameters(burr_height_in=0.003, **PERFECT), seed=1)
    assert float(burr.height_in(0.0)) == pytest.approx(0.997, abs=1e-9)
    assert float(burr.height_in(0.2)) == pytest.approx(1.0 - 0.2 / 96, abs=1e-9)


def test_corner_radius_closes_the_corners_only():
    slot = draw_slot(parameters=SlotParameters(corner_radius_in=0.03, **PERFECT), seed=1)
    assert float(slot.height_in(0.0, 0.72)) == pytest.approx(1.0, abs=1e-12)
    assert float(slot.height_in(0.0, 0.75)) == pytest.approx(1.0 - 2 * 0.03, abs=1e-12)


def test_same_seed_same_slot_other_seed_other_slot():
    asked = SlotParameters()
    one, again, other = (draw_slot(parameters=asked, seed=s) for s in (5, 5, 6))
    assert one == again
    assert one != other


def test_parameters_go_through_json():
    asked = SlotParameters(hub_width_in=1.625, wear_step_in=0.002)
    assert SlotParameters.from_dict(json.loads(json.dumps(asked.to_dict()))) == asked


def test_grid_matches_the_fields():
    slot = draw_slot(parameters=SlotParameters(), seed=5)
    grid = slot.grid(length_count=32, width_count=8, ease_in=0.05)
    assert grid.floor_in.shape == (32, 8)
    assert grid.x_in[0] == pytest.approx(0.125)
    assert grid.y_in[-1] == pytest.approx(0.7 * 7 / 8)
    assert grid.roof_in[3, 2] == pytest.approx(
        float(slot.roof_in(grid.x_in[3], grid.y_in[2])), abs=1e-15
    )


def test_slot_that_cannot_be_is_refused_in_one_sentence():
    with pytest.raises(ValueError, match=r"^slot length is 0 in; it must be above 0\.$"):
        SlotParameters(length_in=0.0)
    with pytest.raises(
        ValueError, match=r"^lowest opening is -0\.0333333 in; it must be above 0\."
    ):
        SlotParameters(mouth_height_in=0.05)
