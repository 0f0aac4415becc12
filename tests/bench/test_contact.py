"""Where a stiff key first touches, and how a load spreads: hand cases and another solver."""

import math

import numpy as np
import pytest
from scipy.optimize import linprog

from keycourse.fit.bench.contact import press_faces, squeeze_faces
from keycourse.fit.bench.insertion import faces_at
from keycourse.fit.bench.keyblank import KeyParameters, draw_key
from keycourse.fit.bench.touch import Faces, first_touch
from keycourse.measure.bench.slot import SlotParameters, draw_slot

STIFFNESS = 2.0e7


def flat_faces(over_in, under_in=0.0, shape=(64, 24), length_in=8.0, width_in=1.5):
    m, n = shape
    x = (np.arange(m) + 0.5) / m * length_in
    y = ((np.arange(n) + 0.5) / n - 0.5) * width_in
    return Faces(
        x_in=x,
        y_in=y,
        under_in=np.zeros(shape) + under_in,
        over_in=np.zeros(shape) + over_in,
        row_share=np.ones(m),
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


def test_whole_face_contact_by_hand():
    # both faces give way by d/2, so N = k d/2 A: 2e7 x 0.0005 x 12 = 120,000 lbf
    seat = squeeze_faces(faces=flat_faces(0.0), squeeze_in=0.001)
    assert seat.normal_force_lbf == pytest.approx(120_000, rel=1e-9)
    assert seat.roof_pressure_psi == pytest.approx(np.full((64, 24), 10_000.0))
    back = press_faces(faces=flat_faces(0.0), normal_force_lbf=120_000)
    assert back.squeeze_in == pytest.approx(0.001, rel=1e-9)


def test_one_round_high_spot_by_hand():
    # spot z = -r^2/(2R): depth a over a circle of area 2 pi R a, N = k pi R a^2;
    # the flat floor gives N/(k A): squeeze = a + N/(k A) from first touch
    shape, radius = (800, 200), 60.0
    flat = flat_faces(0.0, shape=shape, length_in=4.0, width_in=1.0)
    x = (flat.x_in - 2.0)[:, None]
    over = (x**2 + flat.y_in[None, :] ** 2) / (2 * radius)
    faces = flat_faces(over, shape=shape, length_in=4.0, width_in=1.0)
    depth = 0.0004
    force = STIFFNESS * math.pi * radius * depth**2
    seat = press_faces(faces=faces, normal_force_lbf=force)
    # 0.3 % for the grid of 0.005 in
    assert seat.squeeze_in == pytest.approx(depth + force / (STIFFNESS * 4.0), rel=0.003)
    assert seat.roof_pressure_psi.max() == pytest.approx(STIFFNESS * depth, rel=0.003)


def test_pressure_stops_at_yield_and_the_force_is_still_carried():
    over = np.full((64, 24), 0.004)
    over[20:44, 6:18] = 0.0
    faces = flat_faces(over)
    force = 0.9 * 54_000 * 24 * 12 * faces.patch_area_in2
    seat = press_faces(faces=faces, normal_force_lbf=force)
    assert seat.roof_pressure_psi.max() <= 54_000 + 1e-6
    assert seat.normal_force_lbf == pytest.approx(force, rel=1e-8)


def test_force_beyond_the_whole_face_at_yield_is_refused():
    with pytest.raises(
        ValueError,
        match=r"^force on the faces is 700,000 lbf; it must be below 648,000 lbf, what the whole "
        r"face carries at yield\. Use less force\.$",
    ):
        press_faces(faces=flat_faces(0.0), normal_force_lbf=700_000)


def test_field_that_is_not_finite_is_refused():
    over = np.zeros((64, 24))
    over[3, 3] = np.nan
    with pytest.raises(ValueError, match=r"^gap between key and slot is nan in; it must be a fin"):
        first_touch(faces=flat_faces(over))


@pytest.mark.parametrize("force_lbf", [240.0, 4_700.0, 142_500.0])
@pytest.mark.parametrize("seed", range(5))
def test_force_and_moments_balance(seed, force_lbf):
    faces = drawn_faces(seed)
    seat = press_faces(faces=faces, normal_force_lbf=force_lbf)
    area = faces.patch_area_in2 * faces.row_share[:, None]
    x = (faces.x_in - 0.5 * (faces.x_in[0] + faces.x_in[-1]))[:, None]
    floor, roof = seat.floor_pressure_psi * area, seat.roof_pressure_psi * area
    assert floor.sum() == pytest.approx(force_lbf, rel=1e-8)
    assert roof.sum() == pytest.approx(force_lbf, rel=1e-8)
    arm = force_lbf * 1e-6
    assert (floor * x).sum() == pytest.approx((roof * x).sum(), abs=4 * arm)
    assert (floor * faces.y_in).sum() == pytest.approx((roof * faces.y_in).sum(), abs=arm)


def test_more_force_squeezes_more_and_bears_on_more():
    faces = drawn_faces(2)
    seats = [press_faces(faces=faces, normal_force_lbf=n) for n in (200, 2_000, 20_000, 120_000)]
    squeezes = [seat.squeeze_in for seat in seats]
    shares = [(seat.roof_gap_in < 0).mean() for seat in seats]
    assert squeezes == sorted(squeezes)
    assert shares == sorted(shares)
    assert shares[-1] > 0.7
