"""Laws of filing: metal only comes off, and only down to the file."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from keycourse.fit.bench.filing import FACES, file_spot
from keycourse.fit.bench.keyblank import KeyParameters, draw_key
from keycourse.measure.bench.slot import SlotParameters, draw_slot

SLOT = draw_slot(parameters=SlotParameters(), seed=4)
KEY = draw_key(
    slot=SLOT,
    parameters=KeyParameters(form_error_in=0.001, waviness_in=0.0005),
    seed=4,
    length_count=96,
    width_count=16,
)[0]
places = st.tuples(st.floats(0.0, 8.0), st.floats(-0.6, 0.6))


def off(before, after, face):
    if face == "top":
        return before.top_in - after.top_in
    return after.bottom_in - before.bottom_in


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(FACES), places, st.floats(0.0, 0.003))
def test_metal_only_comes_off_and_never_more_than_the_depth_off_the_highest(face, place, depth):
    filed, volume = file_spot(key=KEY, face=face, u_in=place[0], y_in=place[1], depth_in=depth)
    gone = off(KEY, filed, face)
    assert gone.min() >= -1e-15
    assert gone.max() <= depth + 1e-12
    assert volume >= 0


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(FACES), places)
def test_deeper_takes_at_least_as_much_everywhere(face, place):
    shallow, _ = file_spot(key=KEY, face=face, u_in=place[0], y_in=place[1], depth_in=0.0002)
    deep, _ = file_spot(key=KEY, face=face, u_in=place[0], y_in=place[1], depth_in=0.0005)
    assert (off(KEY, deep, face) >= off(KEY, shallow, face) - 1e-15).all()


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(FACES), places, st.integers(2, 5))
def test_a_cut_made_in_parts_equals_the_cut_made_at_once(face, place, parts):
    whole, _ = file_spot(key=KEY, face=face, u_in=place[0], y_in=place[1], depth_in=0.0006)
    key = KEY
    for _ in range(parts):
        key, _ = file_spot(
            key=key, face=face, u_in=place[0], y_in=place[1], depth_in=0.0006 / parts
        )
    assert np.abs(off(key, whole, face)).max() == pytest.approx(0.0, abs=1e-12)
