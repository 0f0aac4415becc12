"""Where a stiff key first touches, and how a load spreads: hand cases and another solver."""

import math

import numpy as np
import pytest
from scipy.optimize import linprog

from keycourse.fit.bench.bodies import key_between
from keycourse.fit.bench.contact import HARDNESS_PSI, press_faces, squeeze_faces
from keycourse.fit.bench.insertion import faces_at
from keycourse.fit.bench.keyblank import KeyParameters, draw_key
from keycourse.fit.bench.touch import Faces, first_touch
from keycourse.measure.bench.slot import SlotParameters, draw_slot


def flat_faces(over_in, under_in=0.0, shape=(64, 24), length_in=8.0, width_in=1.5):
    m, n = shape
    x = (np.arange(m) + 0.5) / m * length_in
    y = ((np.arange(n) + 0.5) / n - 0.5) * width_in
    return Faces(
        x_in=x,
        y_in=y,
        under_in=np.zeros(shape) + under_in,
        over_in=np.zeros(shape) + over_in,
        patch_area_in2=length_in * width_in / (m * n),
    )


def drawn_faces(seed, shape=(256, 48), projection_in=1.0):
    slot = draw_slot(parameters=SlotParameters(), seed=seed)
    key, grid = draw_key(
        slot=slot,
        parameters=KeyParameters(taper_error_in=0.004 * math.sin(seed)),
        seed=seed,
        length_count=shape[0],
        width_count=shape[1],
    )
    return faces_at(key=key, grid=grid, projection_in=projection_in)


def largest_clearance_by_linear_programme(faces):
    x = faces.x_in - 0.5 * (faces.x_in[0] + faces.x_in[-1])
    big_x, big_y = np.meshgrid(x, faces.y_in, indexing="ij")
    ones = np.ones(big_x.size)
    rows = np.vstack(
        [
            np.column_stack([-ones, -big_x.ravel(), -big_y.ravel(), ones]),
            np.column_stack([ones, big_x.ravel(), big_y.ravel(), ones]),
        ]
    )
    thousandths = 1e3  # so that the other solver's tolerance of 1e-7 is 1e-10 in
    bounds = np.concatenate([-faces.under_in.ravel(), faces.over_in.ravel()]) * thousandths
    found = linprog([0, 0, 0, -1], A_ub=rows, b_ub=bounds, bounds=[(None, None)] * 4)
    assert found.status == 0
    return found.x[3] / thousandths


@pytest.mark.parametrize("seed", range(6))
def test_first_touch_agrees_with_a_general_solver(seed):
    faces = drawn_faces(seed)
    found = first_touch(faces=faces)
    assert found.clearance_in == pytest.approx(
        largest_clearance_by_linear_programme(faces), abs=1e-9
    )


@pytest.mark.parametrize("seed", range(20))
def test_first_touch_keeps_clear_of_every_place_and_is_the_largest(seed):
    faces = drawn_faces(seed, shape=(64, 16))
    found = first_touch(faces=faces)
    x = faces.x_in - 0.5 * (faces.x_in[0] + faces.x_in[-1])
    plane = found.lift_in + found.pitch_rad * x[:, None] + found.roll_rad * faces.y_in[None, :]
    assert (plane - faces.under_in).min() >= found.clearance_in - 1e-12
    assert (faces.over_in - plane).min() >= found.clearance_in - 1e-12
    # the four places hold it: each is at the clearance
    for side, i, j in found.points:
        gap = plane[i, j] - faces.under_in[i, j]
        if side == "roof":
            gap = faces.over_in[i, j] - plane[i, j]
        assert gap == pytest.approx(found.clearance_in, abs=1e-12)


def test_warm_start_gives_the_same_answer_in_fewer_exchanges():
    faces = drawn_faces(3)
    cold = first_touch(faces=faces)
    warm = first_touch(faces=faces, start=cold.points)
    assert warm.clearance_in == pytest.approx(cold.clearance_in, abs=1e-15)
    assert warm.exchanges == 0


def test_one_high_spot_in_the_middle_takes_its_height_off_the_room():
    over = np.full((64, 24), 0.004)
    over[31, 11] -= 0.001
    found = first_touch(faces=flat_faces(over))
    assert found.clearance_in == pytest.approx((0.004 - 0.001) / 2, abs=1e-15)


def test_parallel_faces_leave_half_the_room_on_each_side():
    found = first_touch(faces=flat_faces(0.003))
    assert found.clearance_in == pytest.approx(0.0015, abs=1e-15)


def bodies_for(faces, **options):
    m, n = faces.under_in.shape
    width = (faces.y_in[1] - faces.y_in[0]) * n
    return key_between(
        length_in=faces.patch_area_in2 * m * n / width,
        width_in=width,
        height_in=1.0,
        length_count=m,
        width_count=n,
        **options,
    )


def pressed(faces, force_lbf, **options):
    options = {"bodies": bodies_for(faces)} | options
    return press_faces(faces=faces, normal_force_lbf=force_lbf, **options)


def test_whole_face_contact_by_hand():
    # 120,000 lbf on 12 in2 is 10,000 psi; half a key of 1 in gives 10,000 x 0.5/32.97e6 a face,
    # the steel behind it, 8 in by 1.5 in, 8.48e-8 in/psi in the mean
    faces = flat_faces(0.0)
    seat = pressed(faces, 120_000)
    assert seat.roof_pressure_psi == pytest.approx(np.full((64, 24), 10_000.0))
    assert seat.squeeze_in == pytest.approx(2 * 10_000 * (0.5 / (30e6 / 0.91) + 8.48e-8), rel=1e-3)
    back = squeeze_faces(faces=faces, bodies=bodies_for(faces), squeeze_in=seat.squeeze_in)
    assert back.normal_force_lbf == pytest.approx(120_000, rel=1e-3)


def test_key_that_stands_free_carries_nothing():
    faces = flat_faces(0.003)
    assert squeeze_faces(faces=faces, bodies=bodies_for(faces), squeeze_in=0.002) is None


def test_pressure_stops_at_the_hardness_and_leaves_a_set():
    over = np.full((64, 24), 0.02)
    over[20:44, 6:18] = 0.0
    faces = flat_faces(over)
    force = 0.9 * HARDNESS_PSI * 24 * 12 * faces.patch_area_in2
    seat = pressed(faces, force)
    assert seat.roof_pressure_psi.max() <= HARDNESS_PSI * (1 + 1e-12)
    assert seat.normal_force_lbf == pytest.approx(force, rel=1e-5)
    # the edge of the block is where it flattens; its middle only gives way
    flat = seat.roof_set_in > 0
    assert flat[20, 6]
    assert not flat[32, 12]
    assert seat.floor_set_in.max() == 0.0


def test_force_beyond_the_whole_face_at_its_hardness_is_refused():
    with pytest.raises(
        ValueError,
        match=r"^force on the faces is 2,000,000 lbf; it must be below 1,814,400 lbf, what the "
        r"whole face carries when it flattens\. Use less force\.$",
    ):
        pressed(flat_faces(0.0), 2_000_000)


def test_field_that_is_not_finite_is_refused():
    over = np.zeros((64, 24))
    over[3, 3] = np.nan
    with pytest.raises(ValueError, match=r"^gap between key and slot is nan in; it must be a fin"):
        first_touch(faces=flat_faces(over))


@pytest.mark.parametrize("force_lbf", [240.0, 4_700.0, 142_500.0])
@pytest.mark.parametrize("seed", range(3))
def test_force_and_moments_balance(seed, force_lbf):
    faces = drawn_faces(seed, shape=(128, 24))
    seat = press_faces(faces=faces, bodies=key_bodies(), normal_force_lbf=force_lbf)
    area = faces.patch_area_in2
    x = (faces.x_in - 0.5 * (faces.x_in[0] + faces.x_in[-1]))[:, None]
    floor, roof = seat.floor_pressure_psi * area, seat.roof_pressure_psi * area
    assert floor.sum() == pytest.approx(force_lbf, rel=1e-5)
    assert roof.sum() == pytest.approx(force_lbf, rel=1e-5)
    arm = force_lbf * 1e-5
    assert (floor * x).sum() == pytest.approx((roof * x).sum(), abs=4 * arm)
    assert (floor * faces.y_in).sum() == pytest.approx((roof * faces.y_in).sum(), abs=arm)


def key_bodies():
    width = drawn_faces(0, shape=(128, 24)).patch_area_in2 * 128 * 24 / 8
    return key_between(
        length_in=8.0, width_in=width, height_in=1.0, length_count=128, width_count=24
    )


def test_more_force_squeezes_more_and_bears_on_more():
    faces = drawn_faces(2, shape=(128, 24))
    seats = [
        press_faces(faces=faces, bodies=key_bodies(), normal_force_lbf=n)
        for n in (200, 2_000, 20_000, 120_000)
    ]
    squeezes = [seat.squeeze_in for seat in seats]
    shares = [seat.bearing_share for seat in seats]
    assert squeezes == sorted(squeezes)
    assert shares == sorted(shares)
    assert shares[-1] > 0.5
    assert shares[0] < 0.05


def test_three_places_carry_a_light_push_on_rough_faces():
    # where few places bear, they are found one set after the other
    rng = np.random.default_rng(3)
    faces = flat_faces(0.01 + 0.004 * rng.random((64, 24)), under_in=0.004 * rng.random((64, 24)))
    seat = pressed(faces, 5.0)
    room = 2 * first_touch(faces=faces).clearance_in
    assert seat.squeeze_in == pytest.approx(room, abs=2e-5)
    assert seat.normal_force_lbf == pytest.approx(5.0, rel=1e-5)
    assert (seat.roof_pressure_psi > 0).sum() < 12
