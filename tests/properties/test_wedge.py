"""Wedge: limits, symmetry, equilibrium of every body, scaling, units."""

import math

import pint
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from taperkey.formulas.free_body import lowering_force_lbf, raising_force_lbf, wedge_free_body
from taperkey.formulas.reversed_hub import pull_from_small_end
from taperkey.formulas.wedge import (
    drive_ratio,
    driving_efficiency,
    driving_force_lbf,
    self_holding,
    withdraw_ratio,
    withdrawal_force_lbf,
)

TAPERS = st.floats(0, 0.6)
FRICTIONS = st.floats(0, 1.5)
FORCES = st.floats(1, 1e6)
REGISTRY = pint.get_application_registry()


@given(taper=TAPERS, floor=FRICTIONS, roof=FRICTIONS)
def test_agrees_with_the_angles_of_the_textbook(taper, floor, roof):
    alpha, phi1, phi2 = math.atan(taper), math.atan(floor), math.atan(roof)
    key = {"taper_in_per_in": taper, "floor_friction": floor, "roof_friction": roof}
    assert drive_ratio(**key) == pytest.approx(
        math.tan(phi1) + math.tan(phi2 + alpha), rel=1e-9, abs=1e-12
    )
    assert withdraw_ratio(**key) == pytest.approx(
        math.tan(phi1) + math.tan(phi2 - alpha), rel=1e-9, abs=1e-12
    )


@given(taper=TAPERS, force=FORCES)
def test_without_friction_only_the_slope_is_left(taper, force):
    key = {
        "normal_force_lbf": force,
        "taper_in_per_in": taper,
        "floor_friction": 0,
        "roof_friction": 0,
    }
    assert driving_force_lbf(**key) == pytest.approx(force * taper, rel=1e-12)
    assert withdrawal_force_lbf(**key) == pytest.approx(-force * taper, rel=1e-12)


@given(floor=FRICTIONS, roof=FRICTIONS, force=FORCES)
def test_without_taper_in_and_out_are_the_same(floor, roof, force):
    key = {
        "normal_force_lbf": force,
        "taper_in_per_in": 0,
        "floor_friction": floor,
        "roof_friction": roof,
    }
    assert driving_force_lbf(**key) == pytest.approx(force * (floor + roof), rel=1e-12)
    assert withdrawal_force_lbf(**key) == driving_force_lbf(**key)


@given(taper=TAPERS, floor=FRICTIONS, roof=FRICTIONS)
def test_sum_and_difference_of_in_and_out(taper, floor, roof):
    key = {"taper_in_per_in": taper, "floor_friction": floor, "roof_friction": roof}
    drive, withdraw = drive_ratio(**key), withdraw_ratio(**key)
    square = 1 - (roof * taper) ** 2
    # sum: twice the friction, the roof's a little more; difference: twice the slope
    assert drive + withdraw == pytest.approx(
        2 * floor + 2 * roof * (1 + taper**2) / square, rel=1e-9, abs=1e-12
    )
    assert drive - withdraw == pytest.approx(
        2 * taper * (1 + roof**2) / square, rel=1e-9, abs=1e-12
    )
    assert drive >= withdraw


@given(taper=TAPERS, floor=FRICTIONS, roof=FRICTIONS)
def test_holding_and_the_sign_of_the_pull_agree(taper, floor, roof):
    key = {"taper_in_per_in": taper, "floor_friction": floor, "roof_friction": roof}
    ratio = withdraw_ratio(**key)
    assume(abs(ratio) > 1e-12)
    assert self_holding(**key).holds is (ratio > 0)


@given(taper=st.floats(1e-4, 0.6), friction=st.floats(1e-4, 1.5))
def test_equal_faces_hold_below_twice_the_friction_angle(taper, friction):
    assume(abs(math.atan(taper) - 2 * math.atan(friction)) > 1e-9)
    answer = self_holding(taper_in_per_in=taper, floor_friction=friction, roof_friction=friction)
    assert answer.holds is (math.atan(taper) < 2 * math.atan(friction))


@given(taper=st.floats(1e-4, 0.6), friction=st.floats(1e-4, 1.4), more=st.floats(1e-3, 0.1))
def test_more_friction_costs_more_both_ways(taper, friction, more):
    ends = [
        {"taper_in_per_in": taper, "floor_friction": mu, "roof_friction": mu}
        for mu in (friction, friction + more)
    ]
    assert drive_ratio(**ends[1]) > drive_ratio(**ends[0])
    assert withdraw_ratio(**ends[1]) > withdraw_ratio(**ends[0])
    assert driving_efficiency(**ends[1]) < driving_efficiency(**ends[0])


@given(taper=st.floats(1e-4, 0.6), floor=FRICTIONS, roof=FRICTIONS)
def test_a_key_that_holds_takes_under_half_the_work(taper, floor, roof):
    key = {"taper_in_per_in": taper, "floor_friction": floor, "roof_friction": roof}
    efficiency = driving_efficiency(**key)
    assert 0 < efficiency <= 1
    if self_holding(**key).holds:
        assert efficiency <= 0.5 + 1e-12


@given(
    force=FORCES,
    taper=TAPERS,
    floor=FRICTIONS,
    roof=FRICTIONS,
    direction=st.sampled_from(["driving", "withdrawing"]),
)
def test_every_free_body_is_in_equilibrium(force, taper, floor, roof, direction):
    key = {
        "normal_force_lbf": force,
        "taper_in_per_in": taper,
        "floor_friction": floor,
        "roof_friction": roof,
    }
    forces = wedge_free_body(**key, direction=direction)
    scale = max(math.hypot(one.along_lbf, one.outward_lbf) for one in forces)
    for body in ("key", "hub", "shaft"):
        mine = [one for one in forces if one.body == body]
        assert len(mine) >= 4
        assert abs(math.fsum(one.along_lbf for one in mine)) <= 1e-9 * scale
        assert abs(math.fsum(one.outward_lbf for one in mine)) <= 1e-9 * scale
    # what the hub and the shaft get is what the key gives
    for name, other in (("floor", "shaft"), ("roof", "hub")):
        for part in ("pressure", "friction"):
            on_key, on_other = (
                next(one for one in forces if (one.body, one.name) == (body, f"{name} {part}"))
                for body in ("key", other)
            )
            assert on_key.along_lbf == -on_other.along_lbf
            assert on_key.outward_lbf == -on_other.outward_lbf
    # friction is the coefficient times the pressure, square to it
    for name, friction in (("floor", floor), ("roof", roof)):
        pressure, rub = (
            next(one for one in forces if (one.body, one.name) == ("key", f"{name} {part}"))
            for part in ("pressure", "friction")
        )
        size = math.hypot(pressure.along_lbf, pressure.outward_lbf)
        assert math.hypot(rub.along_lbf, rub.outward_lbf) == pytest.approx(
            friction * size, rel=1e-9, abs=1e-9
        )
        dot = pressure.along_lbf * rub.along_lbf + pressure.outward_lbf * rub.outward_lbf
        assert abs(dot) <= 1e-9 * scale**2
    expected = driving_force_lbf(**key) if direction == "driving" else -withdrawal_force_lbf(**key)
    assert forces[0].along_lbf == pytest.approx(expected, rel=1e-9, abs=1e-9 * scale)


@given(
    pull=st.floats(0, 1e6),
    more=st.floats(1, 1e6),
    seat=st.floats(0, 1e6),
    taper=st.floats(1e-3, 0.05),
    friction=st.floats(0, 1),
)
def test_the_small_end_never_comes_and_never_loosens(pull, more, seat, taper, friction):
    key = {
        "normal_force_lbf": seat,
        "taper_in_per_in": taper,
        "floor_friction": friction,
        "roof_friction": friction,
    }
    first = pull_from_small_end(pull_lbf=pull, **key)
    second = pull_from_small_end(pull_lbf=pull + more, **key)
    for one in (first, second):
        assert not one.possible
        assert one.normal_force_after_lbf >= seat
        assert "safe" not in one.reason
    assert second.normal_force_after_lbf >= first.normal_force_after_lbf
    if pull >= first.pull_to_move_lbf:
        added = second.normal_force_after_lbf - first.normal_force_after_lbf
        assert added == pytest.approx(more * first.added_normal_per_pull, rel=1e-6)


@given(load=FORCES, taper=st.floats(0, 0.4), friction=st.floats(0, 0.5))
def test_equal_friction_with_a_wall_collapses_to_one_tangent(load, taper, friction):
    phi, alpha = math.atan(friction), math.atan(taper)
    assume(2 * phi + alpha < 1.5)
    push = raising_force_lbf(
        load_lbf=load,
        taper_in_per_in=taper,
        floor_friction=friction,
        roof_friction=friction,
        wall_friction=friction,
    )
    assert push == pytest.approx(load * math.tan(2 * phi + alpha), rel=1e-9, abs=1e-9)


@given(load=FORCES, taper=TAPERS, floor=FRICTIONS, roof=FRICTIONS)
def test_without_a_rough_wall_a_load_is_a_normal_force(load, taper, floor, roof):
    wedge = {"taper_in_per_in": taper, "floor_friction": floor, "roof_friction": roof}
    assert raising_force_lbf(load_lbf=load, **wedge) == pytest.approx(
        driving_force_lbf(normal_force_lbf=load, **wedge), rel=1e-12
    )
    assert lowering_force_lbf(load_lbf=load, **wedge) == pytest.approx(
        withdrawal_force_lbf(normal_force_lbf=load, **wedge), rel=1e-12, abs=1e-9
    )


@pytest.mark.parametrize(
    ("function", "force_name"),
    [
        (driving_force_lbf, "normal_force_lbf"),
        (withdrawal_force_lbf, "normal_force_lbf"),
        (raising_force_lbf, "load_lbf"),
        (lowering_force_lbf, "load_lbf"),
    ],
)
def test_newtons_give_newtons(function, force_name):
    wedge = {"taper_in_per_in": 1 / 96, "floor_friction": 0.12, "roof_friction": 0.15}
    pounds = function(**{force_name: 1000.0}, **wedge)
    extra = {"wedge_weight_lbf": REGISTRY.Quantity(0, "newton")} if force_name == "load_lbf" else {}
    force = REGISTRY.Quantity(1000.0, "lbf").to("newton")
    answer = function(**{force_name: force}, **wedge, **extra)
    assert answer.to("lbf").magnitude == pytest.approx(pounds, rel=1e-9)
