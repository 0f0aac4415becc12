"""Laws of filing: metal only comes off, and only down to the file."""

from dataclasses import replace

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
@given(st.sampled_from(FACES), places, st.floats(0.0, 0.002), st.floats(0.0, 0.003))
def test_metal_only_comes_off_no_more_than_the_strokes_take_and_no_deeper(face, place, take, deep):
    filed, volume = file_spot(
        key=KEY, face=face, u_in=place[0], y_in=place[1], volume_in3=take, deepest_in=deep
    )
    gone = off(KEY, filed, face)
    assert gone.min() >= -1e-15
    assert gone.max() <= deep + 1e-12
    assert 0 <= volume <= take + 1e-12
    # what the strokes can take is taken, unless the file is down as far as it goes
    assert volume == pytest.approx(take, abs=1e-9) or gone.max() == pytest.approx(deep, rel=1e-6)


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(FACES), places)
def test_more_strokes_take_at_least_as_much_everywhere(face, place):
    few, _ = file_spot(key=KEY, face=face, u_in=place[0], y_in=place[1], volume_in3=0.0002)
    many, _ = file_spot(key=KEY, face=face, u_in=place[0], y_in=place[1], volume_in3=0.0005)
    assert (off(KEY, many, face) >= off(KEY, few, face) - 1e-15).all()


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(FACES), places, st.integers(2, 5))
def test_a_cut_made_in_parts_equals_the_cut_made_at_once(face, place, parts):
    whole, _ = file_spot(key=KEY, face=face, u_in=place[0], y_in=place[1], volume_in3=0.0006)
    key = KEY
    for _ in range(parts):
        key, _ = file_spot(
            key=key, face=face, u_in=place[0], y_in=place[1], volume_in3=0.0006 / parts
        )
    assert np.abs(off(key, whole, face)).max() == pytest.approx(0.0, abs=1e-12)


def test_a_narrow_spot_goes_down_faster_than_a_wide_one():
    flat = replace(KEY, top_in=np.zeros_like(KEY.top_in) - KEY.u_in()[:, None] / 96)
    u, y = KEY.u_in()[:, None], KEY.y_in[None, :]
    ridge = replace(flat, top_in=flat.top_in + 0.001 * np.exp(-(((u - 4.0) / 0.2) ** 2) + 0 * y))
    deep = [
        off(one, file_spot(key=one, face="top", u_in=4.0, y_in=0.0, volume_in3=0.0002)[0], "top")
        for one in (flat, ridge)
    ]
    assert deep[1].max() > 1.5 * deep[0].max()
