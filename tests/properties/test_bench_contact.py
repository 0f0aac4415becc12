"""Laws that the contact keeps for any faces: scaling, symmetry, limits."""

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from keycourse.fit.bench.contact import press_faces, squeeze_faces
from keycourse.fit.bench.touch import Faces, first_touch

M, N = 24, 10
heights = st.lists(
    st.floats(min_value=-0.002, max_value=0.002, allow_nan=False), min_size=12, max_size=12
)


def faces_from(numbers, room_in=0.003):
    """Smooth faces from a dozen numbers: six low waves each."""
    x = (np.arange(M) + 0.5) / M * 8.0
    y = ((np.arange(N) + 0.5) / N - 0.5) * 1.5
    along, across = x[:, None] / 8.0, y[None, :] / 1.5
    shapes = [
        np.cos(np.pi * along) * np.ones_like(across),
        np.cos(2 * np.pi * along) * np.ones_like(across),
        np.cos(3 * np.pi * along) * np.ones_like(across),
        np.sin(np.pi * across) * np.ones_like(along),
        np.cos(2 * np.pi * across) * np.ones_like(along),
        np.cos(np.pi * along) * np.sin(np.pi * across),
    ]
    under = sum(a * s for a, s in zip(numbers[:6], shapes, strict=True))
    over = room_in + sum(a * s for a, s in zip(numbers[6:], shapes, strict=True))
    return Faces(
        x_in=x,
        y_in=y,
        under_in=np.ascontiguousarray(under),
        over_in=np.ascontiguousarray(over),
        row_share=np.ones(M),
        patch_area_in2=8.0 * 1.5 / (M * N),
    )


def changed(faces, under=None, over=None):
    return Faces(
        x_in=faces.x_in,
        y_in=faces.y_in,
        under_in=faces.under_in if under is None else np.ascontiguousarray(under),
        over_in=faces.over_in if over is None else np.ascontiguousarray(over),
        row_share=faces.row_share,
        patch_area_in2=faces.patch_area_in2,
    )


@settings(max_examples=60, deadline=None)
@given(heights)
def test_room_added_everywhere_adds_half_of_it_to_the_clearance(numbers):
    faces = faces_from(numbers)
    before = first_touch(faces=faces).clearance_in
    after = first_touch(faces=changed(faces, over=faces.over_in + 0.001)).clearance_in
    assert after - before == pytest.approx(0.0005, abs=1e-12)


@settings(max_examples=60, deadline=None)
@given(heights, st.floats(-0.001, 0.001), st.floats(-0.001, 0.001))
def test_tilting_both_faces_together_changes_nothing(numbers, pitch, roll):
    faces = faces_from(numbers)
    tilt = pitch * faces.x_in[:, None] + roll * faces.y_in[None, :]
    tilted = changed(faces, under=faces.under_in + tilt, over=faces.over_in + tilt)
    assert first_touch(faces=tilted).clearance_in == pytest.approx(
        first_touch(faces=faces).clearance_in, abs=1e-12
    )
    straight = press_faces(faces=faces, normal_force_lbf=5_000.0)
    leaning = press_faces(faces=tilted, normal_force_lbf=5_000.0)
    assert leaning.squeeze_in == pytest.approx(straight.squeeze_in, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(heights)
def test_turned_upside_down_it_is_the_same(numbers):
    faces = faces_from(numbers)
    turned = changed(faces, under=-faces.over_in, over=-faces.under_in)
    assert first_touch(faces=turned).clearance_in == pytest.approx(
        first_touch(faces=faces).clearance_in, abs=1e-12
    )
    one = press_faces(faces=faces, normal_force_lbf=3_000.0)
    other = press_faces(faces=turned, normal_force_lbf=3_000.0)
    assert other.squeeze_in == pytest.approx(one.squeeze_in, abs=1e-9)
    assert np.abs(other.floor_pressure_psi - one.roof_pressure_psi).max() < 1.0


@settings(max_examples=40, deadline=None)
@given(heights)
def test_all_heights_and_the_force_doubled_double_the_squeeze(numbers):
    faces = faces_from(numbers)
    double = changed(faces, under=2 * faces.under_in, over=2 * faces.over_in)
    # below yield the foundation is a scale model of itself
    one = press_faces(faces=faces, normal_force_lbf=2_000.0, yield_psi=1e9)
    two = press_faces(faces=double, normal_force_lbf=4_000.0, yield_psi=1e9)
    assert two.squeeze_in == pytest.approx(2 * one.squeeze_in, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(heights, st.floats(100.0, 100_000.0))
def test_force_and_squeeze_are_each_others_answer(numbers, force_lbf):
    faces = faces_from(numbers)
    pressed = press_faces(faces=faces, normal_force_lbf=force_lbf)
    held = squeeze_faces(faces=faces, squeeze_in=pressed.squeeze_in)
    assert held.normal_force_lbf == pytest.approx(force_lbf, rel=1e-6)


@settings(max_examples=40, deadline=None)
@given(heights)
@example(  # three places bear, and the way to them is long
    [0.0, 0.0, -0.0019085006020614194, -0.0017407149015755046, 0.0008319353490971147,
     -0.0016541517235781065, -0.0013168679515710774, -0.0017407149015755046, 0.0,
     0.0008319353490971147, 0.001953125, 0.001953125]
)  # fmt: skip
def test_a_light_push_comes_down_to_first_touch(numbers):
    faces = faces_from(numbers)
    room = 2 * first_touch(faces=faces).clearance_in
    light = press_faces(faces=faces, normal_force_lbf=1e-3).squeeze_in
    assert light >= room - 1e-9
    # 0.001 lbf on one patch of 0.05 in2 gives way 1e-9 in; a few patches, a lever of 4 in
    assert light == pytest.approx(room, abs=1e-7)


@settings(max_examples=40, deadline=None)
@given(heights, st.floats(50.0, 200_000.0))
def test_force_and_moments_balance_at_every_stop(numbers, force_lbf):
    seat = press_faces(faces=faces_from(numbers), normal_force_lbf=force_lbf)
    assert seat.normal_force_lbf == pytest.approx(force_lbf, rel=1e-6)
    assert max(abs(one) for one in seat.unbalance) < 1e-5 * force_lbf
    assert (seat.floor_pressure_psi >= 0).all()
    assert (seat.roof_pressure_psi[seat.roof_gap_in > 0] == 0).all()
