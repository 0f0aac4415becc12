"""How far the key goes in."""

from dataclasses import replace

import numpy as np
import pytest

from keycourse.fit.bench.bodies import Ring, key_between
from keycourse.fit.bench.insertion import (
    faces_at,
    first_projection,
    insert_key,
    seat_at,
)
from keycourse.fit.bench.keyblank import KeyParameters, draw_key
from keycourse.measure.bench.slot import SlotParameters, draw_slot
from taperkey.formulas.wedge import drive_ratio

PERFECT = {"form_error_in": 0.0, "waviness_in": 0.0, "high_spot_count": 0}


GRID = {"length_count": 128, "width_count": 24}


def perfect(oversize_in=0.010, **shape):
    shape = shape or GRID
    slot = draw_slot(parameters=SlotParameters(**PERFECT), seed=1)
    parameters = KeyParameters(oversize_in=oversize_in, form_error_in=0.0, waviness_in=0.0)
    return draw_key(slot=slot, parameters=parameters, seed=1, **shape)


def rough(seed, **shape):
    shape = shape or GRID
    slot = draw_slot(parameters=SlotParameters(), seed=seed)
    return draw_key(slot=slot, parameters=KeyParameters(), seed=seed, **shape)


def bodies_of(key, **options):
    return key_between(
        length_in=8.0,
        width_in=key.width_in,
        height_in=1.0,
        length_count=key.top_in.shape[0],
        width_count=key.top_in.shape[1],
        **options,
    )


def push(key, grid, load_lbf, bodies=None, **options):
    return insert_key(
        key=key,
        grid=grid,
        bodies=bodies or bodies_of(key),
        load_lbf=load_lbf,
        floor_friction=0.1,
        roof_friction=0.1,
        **options,
    )


@pytest.mark.parametrize("oversize_in", [0.001, 0.005, 0.010])
def test_perfect_key_stands_out_by_oversize_over_taper(oversize_in):
    key, grid = perfect(oversize_in)
    projection, touch = first_projection(key=key, grid=grid)
    assert projection == pytest.approx(oversize_in * 96, abs=1e-6)
    assert touch.clearance_in == pytest.approx(0.0, abs=1e-9)


def test_thin_key_slides_home_free():
    key, grid = perfect(-0.002)
    projection, touch = first_projection(key=key, grid=grid)
    assert projection == 0.0
    assert touch.clearance_in == pytest.approx(0.001, abs=1e-9)
    assert seat_at(key=key, grid=grid, bodies=bodies_of(key), projection_in=0.0) is None


@pytest.mark.parametrize("seed", range(4))
def test_height_taken_off_everywhere_gives_height_over_taper_of_travel(seed):
    key, grid = rough(seed)
    before, _ = first_projection(key=key, grid=grid)
    lower = replace(key, top_in=key.top_in - 0.001)
    after, _ = first_projection(key=lower, grid=grid)
    # the key's own surface moves along too; its slope is a few parts in a hundred of the taper
    assert before - after == pytest.approx(0.096, abs=0.008)
    smooth, smooth_grid = perfect()
    down = replace(smooth, top_in=smooth.top_in - 0.001)
    gained = push(smooth, smooth_grid, 500.0).projection_in
    gained -= push(down, smooth_grid, 500.0).projection_in
    # a little more face meets further in: 0.001 in of travel
    assert gained == pytest.approx(0.096, abs=0.001)


def test_perfect_key_under_load_gives_way_by_key_bore_and_ring():
    key, grid = perfect(0.007)
    force = 20_000.0 / drive_ratio(taper_in_per_in=1 / 96, floor_friction=0.1, roof_friction=0.1)
    ring = Ring(loose_in_per_lbf=5e-8, close_in_per_lbf=2e-8, close_from_lbf=40_000.0)
    stiff, soft = (push(key, grid, 20_000.0, bodies_of(key, **one)) for one in ({}, {"ring": ring}))
    squeeze = (0.007 * 96 - stiff.projection_in) / 96
    # the strip that meets is shorter than the key, and its middle sinks more than its mean
    even = 2 * bodies_of(key).kernel_in_per_psi[0, 0] * force / (8.0 * key.width_in)
    assert squeeze == pytest.approx(even, rel=0.15)
    opened = 5e-8 * 40_000 + 2e-8 * (force - 40_000)
    assert soft.seat.ring_in == pytest.approx(opened, rel=1e-6)
    assert (stiff.projection_in - soft.projection_in) / 96 == pytest.approx(opened, rel=0.05)


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("load_lbf", [50.0, 1_000.0, 30_000.0])
def test_key_rests_where_the_force_balances(seed, load_lbf):
    key, grid = rough(seed)
    went = push(key, grid, load_lbf)
    ratio = drive_ratio(taper_in_per_in=1 / 96, floor_friction=0.1, roof_friction=0.1)
    normal = load_lbf / ratio
    assert went.seat.normal_force_lbf == pytest.approx(normal, rel=1e-5)
    assert abs(went.seat.unbalance[0]) < 1e-5 * normal
    assert max(abs(one) for one in went.seat.unbalance[1:]) < 1e-4 * normal
    # held at that place the same force comes out: it was found to 2e-4 in of place
    held = seat_at(key=key, grid=grid, bodies=bodies_of(key), projection_in=went.projection_in)
    assert held.normal_force_lbf == pytest.approx(normal, rel=0.05, abs=20.0)


def test_harder_push_goes_further():
    key, grid = rough(5)
    places = [push(key, grid, load).projection_in for load in (50, 200, 1_000, 5_000, 30_000)]
    assert places == sorted(places, reverse=True)
    assert places[0] - places[-1] > 0.05


def test_key_that_comes_home_reports_what_it_took():
    key, grid = perfect(0.0008)
    went = push(key, grid, 30_000.0)
    assert went.home
    assert went.projection_in == 0.0
    assert 2_000 < went.load_lbf < 30_000
    assert went.seat.normal_force_lbf > 5_000


@pytest.mark.parametrize("load_lbf", [500.0, 20_000.0])
def test_finer_grid_settles_to_the_same_place(load_lbf):
    places = {}
    for shape in ((64, 12), (128, 24), (256, 48)):
        key, grid = rough(4, length_count=shape[0], width_count=shape[1])
        places[shape] = push(key, grid, load_lbf).projection_in
    assert abs(places[128, 24] - places[256, 48]) < 4e-3


def test_warm_push_comes_to_the_place_of_a_cold_one():
    key, grid = rough(2)
    before = push(key, grid, 500.0)
    lower = replace(key, top_in=key.top_in - 0.0005)
    cold = push(lower, grid, 500.0)
    warm = push(lower, grid, 500.0, start=before.seat, guess_in=before.projection_in)
    assert warm.projection_in == pytest.approx(cold.projection_in, abs=1e-3)
    assert warm.seat.bearing_share == pytest.approx(cold.seat.bearing_share, abs=0.01)


def test_strip_that_only_half_enters_is_eased_by_half():
    key, grid = perfect()
    whole = faces_at(key=key, grid=grid, projection_in=0.0)
    half = faces_at(key=key, grid=grid, projection_in=key.spacing_in / 2)
    assert half.over_in.shape == whole.over_in.shape
    further = half.over_in[-1] - half.over_in[-2]
    # the edge of the small end is rounded by 0.004 in over its last strip
    assert further == pytest.approx(whole.over_in[-1] - whole.over_in[-2] + 0.002, abs=1e-6)
    assert np.isfinite(half.over_in).all()


def test_oversize_that_does_not_enter_is_refused():
    key, grid = perfect()
    thick = replace(key, top_in=key.top_in + 0.060)
    with pytest.raises(ValueError, match=r"^stand-out at first touch is 4\.8 in or more; it must"):
        first_projection(key=thick, grid=grid)
