"""Laws that the contact keeps for any faces: scaling, symmetry, limits; and another solver."""

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from keycourse.fit.bench.bodies import beam_shapes, half_space, key_between
from keycourse.fit.bench.book import practice_fit
from keycourse.fit.bench.contact import press_faces, squeeze_faces
from keycourse.fit.bench.fitting import start_fitting
from keycourse.fit.bench.insertion import faces_at
from keycourse.fit.bench.touch import Faces, first_touch

M, N = 24, 10
BODIES = key_between(length_in=8.0, width_in=1.5, height_in=1.0, length_count=M, width_count=N)
TIGHT = 1e-4  # gap left over mean sinking
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
        patch_area_in2=8.0 * 1.5 / (M * N),
    )


def pressed(faces, force_lbf, **options):
    options = {"bodies": BODIES, "close_enough": TIGHT} | options
    return press_faces(faces=faces, normal_force_lbf=force_lbf, **options)


def changed(faces, under=None, over=None):
    return Faces(
        x_in=faces.x_in,
        y_in=faces.y_in,
        under_in=faces.under_in if under is None else np.ascontiguousarray(under),
        over_in=faces.over_in if over is None else np.ascontiguousarray(over),
        patch_area_in2=faces.patch_area_in2,
    )


@settings(max_examples=60, deadline=None)
@given(heights)
def test_room_added_everywhere_adds_half_of_it_to_the_clearance(numbers):
    faces = faces_from(numbers)
    before = first_touch(faces=faces).clearance_in
    after = first_touch(faces=changed(faces, over=faces.over_in + 0.001)).clearance_in
    assert after - before == pytest.approx(0.0005, abs=1e-12)


@settings(max_examples=10, deadline=None)
@given(heights, st.floats(-0.001, 0.001), st.floats(-0.001, 0.001))
def test_tilting_both_faces_together_changes_nothing(numbers, pitch, roll):
    faces = faces_from(numbers)
    tilt = pitch * faces.x_in[:, None] + roll * faces.y_in[None, :]
    tilted = changed(faces, under=faces.under_in + tilt, over=faces.over_in + tilt)
    assert first_touch(faces=tilted).clearance_in == pytest.approx(
        first_touch(faces=faces).clearance_in, abs=1e-12
    )
    straight, leaning = pressed(faces, 5_000.0), pressed(tilted, 5_000.0)
    # the gap that may be left is 1e-4 of a sinking of some thousandths
    assert leaning.squeeze_in == pytest.approx(straight.squeeze_in, abs=3e-7)


@settings(max_examples=10, deadline=None)
@given(heights)
def test_turned_upside_down_it_is_the_same(numbers):
    faces = faces_from(numbers)
    turned = changed(faces, under=-faces.over_in, over=-faces.under_in)
    assert first_touch(faces=turned).clearance_in == pytest.approx(
        first_touch(faces=faces).clearance_in, abs=1e-12
    )
    one, other = pressed(faces, 3_000.0), pressed(turned, 3_000.0)
    assert other.squeeze_in == pytest.approx(one.squeeze_in, abs=3e-7)
    assert other.floor_pressure_psi.max() == pytest.approx(one.roof_pressure_psi.max(), rel=0.01)


@settings(max_examples=10, deadline=None)
@given(heights)
def test_all_heights_and_the_force_doubled_double_the_squeeze(numbers):
    faces = faces_from(numbers)
    double = changed(faces, under=2 * faces.under_in, over=2 * faces.over_in)
    # below the hardness elastic bodies are a scale model of themselves
    one = pressed(faces, 2_000.0, hardness_psi=1e9)
    two = pressed(double, 4_000.0, hardness_psi=1e9)
    assert two.squeeze_in == pytest.approx(2 * one.squeeze_in, abs=6e-7)


@settings(max_examples=6, deadline=None)
@given(heights, st.floats(100.0, 100_000.0))
def test_force_and_squeeze_are_each_others_answer(numbers, force_lbf):
    faces = faces_from(numbers)
    seat = pressed(faces, force_lbf)
    held = squeeze_faces(faces=faces, bodies=BODIES, squeeze_in=seat.squeeze_in, close_enough=TIGHT)
    # held to 1e-4 of the squeeze; force rises up to three times as fast as the squeeze
    assert held.squeeze_in == pytest.approx(seat.squeeze_in, abs=2e-4 * abs(seat.squeeze_in) + 2e-7)
    assert held.normal_force_lbf == pytest.approx(force_lbf, rel=0.005, abs=1.0)


@settings(max_examples=10, deadline=None)
@given(heights)
@example(  # three places bear, and the way to them is long
    [0.0, 0.0, -0.0019085006020614194, -0.0017407149015755046, 0.0008319353490971147,
     -0.0016541517235781065, -0.0013168679515710774, -0.0017407149015755046, 0.0,
     0.0008319353490971147, 0.001953125, 0.001953125]
)  # fmt: skip
def test_a_light_push_comes_down_to_first_touch(numbers):
    faces = faces_from(numbers)
    room = 2 * first_touch(faces=faces).clearance_in
    light = pressed(faces, 0.1).squeeze_in
    # 0.1 lbf on one patch of 0.05 in2, and 0.1 lbf that bends the key: 2e-7 in together
    assert light == pytest.approx(room, abs=1e-6)


@settings(max_examples=20, deadline=None)
@given(heights, st.floats(50.0, 200_000.0))
def test_force_and_moments_balance_at_every_stop(numbers, force_lbf):
    seat = pressed(faces_from(numbers), force_lbf, close_enough=0.01)
    assert seat.normal_force_lbf == pytest.approx(force_lbf, rel=1e-5)
    assert max(abs(one) for one in seat.unbalance) < 1e-5 * 4 * force_lbf
    assert (seat.floor_pressure_psi >= 0).all()
    assert (seat.roof_pressure_psi[seat.roof_gap_in > 0] == 0).all()


@settings(max_examples=10, deadline=None)
@given(heights, st.floats(200.0, 50_000.0))
def test_more_force_squeezes_more_and_a_stiff_key_less(numbers, force_lbf):
    faces = faces_from(numbers)
    seat = pressed(faces, force_lbf)
    assert pressed(faces, 1.5 * force_lbf).squeeze_in > seat.squeeze_in
    size = {"length_in": 8.0, "width_in": 1.5, "length_count": M, "width_count": N}
    straight = key_between(**size, height_in=1.0, bends=False)
    left = 1e-6  # what the solver may leave at the greatest of these loads
    assert pressed(faces, force_lbf, bodies=straight).squeeze_in <= seat.squeeze_in + left


def test_an_even_load_sinks_a_layer_by_its_height_and_a_deep_body_by_its_mean():
    # half a key of 1 in: p c (1 - nu^2)/E. Deep body: the mean of 1/r over two points of the
    # rectangle, over pi E', here by drawing the points
    rng = np.random.default_rng(1)
    one, other = (rng.random((400_000, 2)) * (8.0, 1.5) for _ in range(2))
    mean = (1 / np.hypot(*(one - other).T)).mean()
    plane_psi = 30e6 / 0.91
    deep = 8.0 * 1.5 * mean / (np.pi * plane_psi)
    # three standard errors of so many points are 0.8 %
    assert BODIES.kernel_in_per_psi[0, 0] == pytest.approx(0.5 / plane_psi + deep, rel=0.008)


def test_long_waves_are_a_layer_and_short_ones_a_deep_body():
    fine = key_between(length_in=8.0, width_in=1.5, height_in=1.0, length_count=128, width_count=24)
    deep = half_space(length_in=8.0, width_in=1.5, length_count=128, width_count=24)
    # two deep bodies of 1/2 in waves and shorter: key and bore, one each
    ratio = fine.kernel_in_per_psi[32:, 6:] / deep.kernel_in_per_psi[32:, 6:]
    assert ratio == pytest.approx(2.0, rel=1e-3)


def test_bending_of_the_key_is_that_of_a_beam():
    # mid-load on a beam that an even load holds: by superposition, between simple supports,
    # P l^3/48 EI at the middle less 5 P l^3/384 EI for the even load, measured from the ends
    place = np.linspace(0.0, 1.0, 201)
    shapes = beam_shapes(place)
    stiff = 30e6 * 1.5 / 12
    slender = 8.0**3 / stiff / np.array([4.730040745, 7.853204624, 10.99560784, 14.13716549]) ** 4
    middle, end = 100, 0
    sag = 1_000 * slender * shapes[:, middle] @ (shapes[:, middle] - shapes[:, end])
    assert sag == pytest.approx(1_000 * 8**3 / stiff * (1 / 48 - 5 / 384), rel=0.02)
    assert BODIES.bending_in_per_lbf[0] > slender[0]  # shear on top of it
    assert (shapes**2).mean(axis=1) == pytest.approx(1.0, rel=0.02)
    assert shapes.mean(axis=1) == pytest.approx(0.0, abs=0.02)


def bench_surface(seed):
    """Return a roof as the bench draws it, less its slope, as gaps to a flat; and its width."""
    session = practice_fit(seed=seed)
    roof, x = session.grid.roof_in, session.grid.x_in
    slope = np.polyfit(x, roof.mean(axis=1), 1)
    return roof - np.polyval(slope, x)[:, None], session.state.key.width_in


@pytest.mark.parametrize("mean_psi", [25.0, 100.0, 500.0, 2_000.0, 8_000.0])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_bench_surface_bears_as_by_another_solver(seed, mean_psi):
    tamaas = pytest.importorskip("tamaas", reason="tamaas comes built for another Python")
    tamaas.set_log_level(tamaas.LogLevel.error)
    gap, width = bench_surface(seed)
    m, n = gap.shape
    faces = Faces(
        x_in=(np.arange(m) + 0.5) * 8.0 / m,
        y_in=((np.arange(n) + 0.5) / n - 0.5) * width,
        under_in=-gap,
        over_in=gap,
        patch_area_in2=8.0 * width / (m * n),
    )
    seat = pressed(
        faces,
        mean_psi * 8.0 * width,
        bodies=half_space(length_in=8.0, width_in=width, length_count=m, width_count=n),
        hardness_psi=1e9,
        close_enough=1e-3,
    )
    # the other one repeats its surface; with its mirrors in it, it is the same surface
    mirrored = np.block([[gap, gap[:, ::-1]], [gap[::-1], gap[::-1, ::-1]]])
    model = tamaas.ModelFactory.createModel(
        tamaas.model_type.basic_2d, [16.0, 2 * width], list(mirrored.shape)
    )
    model.E, model.nu = 30e6, 0.3
    tamaas.PolonskyKeerRey(model, -mirrored, 1e-4).solve(mean_psi)
    theirs = np.asarray(model.traction)[:m, :n]
    ours = seat.roof_pressure_psi
    assert (ours > 0).mean() == pytest.approx((theirs > 0).mean(), rel=0.05)
    assert ours[ours > 0].mean() == pytest.approx(theirs[theirs > 0].mean(), rel=0.05)
    assert ours.max() == pytest.approx(theirs.max(), rel=0.02)


@pytest.mark.parametrize("load_psi", [20.0, 400.0, 6_000.0])
@pytest.mark.parametrize("seed", [4, 5])
def test_finer_grid_bears_the_same(seed, load_psi):
    """Bench grid against one twice as fine, on the same surfaces: what the grid costs."""
    shares, squeezes = [], []
    for finer in (1, 2):
        one = practice_fit(seed=seed)
        bigger = start_fitting(
            slot=one.slot,
            seed=seed,
            key_parameters=one.key_parameters,
            length_count=128 * finer,
            width_count=24 * finer,
        )
        key, grid = bigger.state.key, bigger.grid
        faces = faces_at(key=key, grid=grid, projection_in=1.0)
        bodies = key_between(
            length_in=8.0,
            width_in=key.width_in,
            height_in=1.0,
            length_count=128 * finer,
            width_count=24 * finer,
        )
        seat = pressed(faces, load_psi * 8 * key.width_in, bodies=bodies, close_enough=0.01)
        shares.append(seat.bearing_share)
        squeezes.append(seat.squeeze_in)
    assert shares[0] == pytest.approx(shares[1], abs=0.02)
    assert squeezes[0] == pytest.approx(squeezes[1], abs=1e-5)
