"""Laws of the gauge: tilt never shortens by more than the taper allows; units of scatter."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from keycourse.measure.bench.gauge import span_at_tilt_in, take_reading
from keycourse.measure.bench.slot import SlotParameters, draw_slot

PERFECT = {"form_error_in": 0.0, "waviness_in": 0.0, "high_spot_count": 0}


@settings(max_examples=60, deadline=None)
@given(st.floats(-0.3, 0.3), st.floats(1.0, 7.0), st.floats(0.5, 3.0), st.floats(-1 / 48, 1 / 48))
def test_span_between_straight_faces_has_a_closed_form(tilt, station, height, taper):
    slot = draw_slot(
        parameters=SlotParameters(mouth_height_in=height, taper_in_per_in=taper, **PERFECT), seed=1
    )
    opening = height - taper * station
    span = span_at_tilt_in(
        slot=slot, station_in=station, offset_in=0.0, tilt_rad=tilt, angle_rad=math.pi
    )
    # s cos(tilt) = h - taper s/2 sin(tilt)
    assert span == pytest.approx(opening / (math.cos(tilt) + taper / 2 * math.sin(tilt)), abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 0.3), st.floats(0.0, 0.3))
def test_wider_rocking_never_reads_more(first, second):
    slot = draw_slot(parameters=SlotParameters(), seed=2)
    low, high = sorted((first, second))
    narrow = take_reading(slot=slot, station_in=4.0, seed=1, tilt_rad=low, rock_to_rad=-low)
    wide = take_reading(slot=slot, station_in=4.0, seed=1, tilt_rad=high, rock_to_rad=-high)
    # the rocking is followed at ten leans, so the smallest span is met to 2e-5 in
    assert wide.span_in <= narrow.span_in + 2e-5


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 2 * math.pi))
def test_keyway_at_the_bottom_reads_the_most(angle):
    slot = draw_slot(parameters=SlotParameters(diametral_clearance_in=0.01), seed=2)
    bottom = take_reading(slot=slot, station_in=4.0, seed=1)
    turned = take_reading(slot=slot, station_in=4.0, seed=1, keyway_angle_rad=angle)
    expected = 0.005 * (1 + math.cos(angle))
    assert bottom.shown_in - turned.shown_in == pytest.approx(expected, abs=1e-6)
