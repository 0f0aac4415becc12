"""Readings behave as the tools do, and a session can be put away and taken up again."""

import json
import math

import numpy as np
import pytest

from keycourse.measure.bench.gauge import slide_parallel, span_at_tilt_in, take_reading
from keycourse.measure.bench.measuring import start_measuring
from keycourse.measure.bench.slot import SlotParameters, draw_slot

PERFECT = {"form_error_in": 0.0, "waviness_in": 0.0, "high_spot_count": 0}


@pytest.fixture
def slot():
    return draw_slot(
        parameters=SlotParameters(mouth_height_in=2.0, diametral_clearance_in=0.006, **PERFECT),
        seed=1,
    )


def test_tilted_gauge_reads_height_over_cosine():
    level = draw_slot(parameters=SlotParameters(taper_in_per_in=0.0, **PERFECT), seed=1)
    span = span_at_tilt_in(
        slot=level, station_in=4.0, offset_in=0.0, tilt_rad=0.1, angle_rad=math.pi
    )
    assert span == pytest.approx(1.0 / math.cos(0.1), abs=1e-12)


def test_rocking_through_square_finds_the_opening_and_no_rocking_does_not(slot):
    rocked = take_reading(slot=slot, station_in=4.0, seed=1)
    tilted = take_reading(slot=slot, station_in=4.0, seed=1, tilt_rad=0.1, rock_to_rad=None)
    true = 2.0 - 4 / 96
    # square to the floor is not quite the shortest span: h (taper/2)^2 / 2 = 3e-5 in
    assert rocked.span_in == pytest.approx(true, abs=3e-5)
    assert tilted.span_in - true == pytest.approx(true * 0.1**2 / 2, abs=0.002)
    assert tilted.span_in - true > 0.007


def test_shown_value_without_scatter_source_differs_only_by_feel(slot):
    light = take_reading(slot=slot, station_in=2.0, seed=7)
    forced = take_reading(slot=slot, station_in=2.0, seed=7, squeeze=1.0)
    tight = take_reading(slot=slot, station_in=2.0, seed=7, zero_error_in=0.001)
    assert forced.shown_in == pytest.approx(light.shown_in - 0.0006, abs=1e-9)
    assert tight.shown_in == pytest.approx(light.shown_in + 0.001, abs=1e-9)


@pytest.mark.parametrize(("experience", "deviation_in"), [(0.0, 0.0010), (1.0, 0.0003)])
def test_scatter_follows_experience(slot, experience, deviation_in):
    shown = [
        take_reading(slot=slot, station_in=2.0, seed=f"s{i}", experience=experience).shown_in
        for i in range(300)
    ]
    assert np.std(shown) == pytest.approx(deviation_in, rel=0.15)  # 3.7 standard errors


def test_loose_lock_scatters_more_and_reads_small(slot):
    good = [take_reading(slot=slot, station_in=2.0, seed=f"s{i}").shown_in for i in range(200)]
    loose = [
        take_reading(slot=slot, station_in=2.0, seed=f"s{i}", tightness=0.0).shown_in
        for i in range(200)
    ]
    assert np.std(loose) > 2 * np.std(good)
    assert np.mean(loose) < np.mean(good) - 0.0003


def test_warm_hub_reads_large(slot):
    cold = take_reading(slot=slot, station_in=0.0, seed=1)
    warm = take_reading(slot=slot, station_in=0.0, seed=1, part_temperature_f=168.0)
    # 2 in x 6.39e-6 x 100 F = 0.00128 in
    assert warm.shown_in - cold.shown_in == pytest.approx(0.001278, abs=2e-6)
    both = take_reading(
        slot=slot, station_in=0.0, seed=1, part_temperature_f=168.0, tool_temperature_f=168.0
    )
    assert both.shown_in == pytest.approx(cold.shown_in, abs=1e-8)


def test_keyway_not_turned_down_leaves_clearance_out(slot):
    down = take_reading(slot=slot, station_in=0.0, seed=1)
    side = take_reading(slot=slot, station_in=0.0, seed=1, keyway_angle_rad=math.pi / 2)
    assert down.shown_in - side.shown_in == pytest.approx(0.003, abs=1e-6)


def test_inside_micrometer_does_not_go_into_a_low_slot():
    low = draw_slot(parameters=SlotParameters(**PERFECT), seed=1)
    reading = take_reading(slot=low, station_in=1.0, seed=1, tool="inside micrometer")
    assert not reading.taken
    assert reading.note == "The inside micrometer does not go in: it starts at 1.5 in."
    assert json.loads(json.dumps(reading.to_dict()))["shown_in"] is None


def test_parallel_bears_at_the_tight_end():
    def bears(taper):
        slot = draw_slot(parameters=SlotParameters(taper_in_per_in=taper, **PERFECT), seed=1)
        return slide_parallel(slot=slot, seed=1)

    assert bears(1 / 100).station_in == 0.0
    assert bears(1 / 100).span_in == pytest.approx(1.0, abs=1e-9)
    steep = bears(1 / 90)
    assert steep.station_in == 4.0
    assert steep.span_in == pytest.approx(1.0 - 4 / 90 + 4 / 96, abs=1e-9)


def _session(slot):
    session = start_measuring(slot=slot, seed=42, experience=0.3)
    for station in (0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 7.0, 7.0, 7.0):
        session = session.read(station_in=station)
    return session


def test_session_resumes_from_its_record_with_the_same_readings(slot):
    session = _session(slot).slide().strike_out(number=2, why="gauge slipped")
    record = json.loads(json.dumps(session.record()))
    again = start_measuring(slot=slot, seed=0, experience=0.3).resumed(record)
    assert again.readings() == session.readings()
    assert again.summary() == session.summary()
    assert again.struck_out() == frozenset({2})


def test_record_holds_no_true_value(slot):
    text = json.dumps(_session(slot).record())
    for hidden in ("span", "true", "mouth", "taper", "slot"):
        assert hidden not in text


def test_summary_shows_what_the_base_does(slot):
    summary = _session(slot).summary()
    short, long = summary.bases
    assert (short.base_in, long.base_in) == (1.0, 7.0)
    assert short.uncertainty_in_per_in == pytest.approx(7 * long.uncertainty_in_per_in)
    assert long.true_taper_in_per_in == pytest.approx(1 / 96)
    assert abs(long.taper_in_per_in - 1 / 96) < 4 * long.uncertainty_in_per_in
    assert summary.stations[0].true_in == pytest.approx(2.0)
    assert summary.line_mouth_in == pytest.approx(2.0, abs=0.002)
    assert summary.true_taper_in_per_in == pytest.approx(1 / 96)


def test_struck_out_reading_does_not_count(slot):
    session = _session(slot)
    shown = session.readings()[1].shown_in
    before, after = session.summary(), session.strike_out(number=2).summary()
    assert after.stations[0].count == 2
    assert 3 * before.stations[0].mean_in - shown == pytest.approx(2 * after.stations[0].mean_in)


def test_unknown_choice_is_refused(slot):
    with pytest.raises(ValueError, match=r"^choice is 'depth_in'; it must be one of: "):
        start_measuring(slot=slot, seed=1).read(station_in=1.0, depth_in=2.0)
    with pytest.raises(ValueError, match=r"^station is 9 in; it must be from 0 to 8 in\.$"):
        start_measuring(slot=slot, seed=1).read(station_in=9.0)
