"""Free bodies: what acts on what, and the guided load."""

import math

import pytest

from taperkey.formulas.free_body import (
    lowering_force_lbf,
    raising_force_lbf,
    reaction_of_pull,
    wedge_free_body,
)
from taperkey.formulas.wedge import withdraw_ratio


@pytest.mark.parametrize(("direction", "along"), [("driving", 1), ("withdrawing", -1)])
def test_push_and_pull_point_the_right_way(direction, along):
    forces = wedge_free_body(
        normal_force_lbf=1000,
        taper_in_per_in=1 / 96,
        floor_friction=0.1,
        roof_friction=0.1,
        direction=direction,
    )
    outer = forces[0]
    assert outer.name == ("push" if along > 0 else "pull")
    assert math.copysign(1, outer.along_lbf) == along
    friction = [one for one in forces if one.body == "key" and "friction" in one.name]
    assert all(math.copysign(1, one.along_lbf) == -along for one in friction)


def test_a_jammed_load_cannot_be_raised():
    push = raising_force_lbf(
        load_lbf=100, taper_in_per_in=0.5, floor_friction=0.8, roof_friction=0.8, wall_friction=0.8
    )
    assert push == math.inf


def test_a_slippery_wedge_comes_out_by_itself():
    pull = lowering_force_lbf(
        load_lbf=100, taper_in_per_in=0.3, floor_friction=0.05, roof_friction=0.05
    )
    assert pull < 0


def flat(forces):
    return [(one.body, one.name, one.along_lbf, one.outward_lbf) for one in forces]


def test_every_force_while_driving_by_hand():
    # taper 5/12 is the triangle 5-12-13; V = 9 and roof friction 0.6 make the roof normal
    # 9 / (12/13 - 0.6 x 5/13) = 13: pressure 5 out of the slot and 12 down, friction 7.2 and 3;
    # floor friction 0.2 x 9 = 1.8; the push is 1.8 + 5 + 7.2
    forces = wedge_free_body(
        normal_force_lbf=9,
        taper_in_per_in=5 / 12,
        floor_friction=0.2,
        roof_friction=0.6,
        direction="driving",
    )
    assert flat(forces) == [
        ("key", "push", pytest.approx(14.0), 0.0),
        ("key", "floor pressure", 0.0, 9.0),
        ("key", "floor friction", pytest.approx(-1.8), 0.0),
        ("key", "roof pressure", pytest.approx(-5.0), pytest.approx(-12.0)),
        ("key", "roof friction", pytest.approx(-7.2), pytest.approx(3.0)),
        ("hub", "roof pressure", pytest.approx(5.0), pytest.approx(12.0)),
        ("hub", "roof friction", pytest.approx(7.2), pytest.approx(-3.0)),
        ("hub", "bore on shaft, opposite the key", 0.0, -9.0),
        ("hub", "stop", pytest.approx(-12.2), 0.0),
        ("shaft", "floor pressure", 0.0, -9.0),
        ("shaft", "floor friction", pytest.approx(1.8), 0.0),
        ("shaft", "bore on shaft, opposite the key", 0.0, 9.0),
        ("shaft", "stop", pytest.approx(-1.8), 0.0),
    ]


def test_every_force_while_withdrawing_by_hand():
    # as above with V = 15: 15 / (12/13 + 0.6 x 5/13) = 13; friction turns about, the pull is
    # 0.2 x 15 + 7.2 - 5
    forces = wedge_free_body(
        normal_force_lbf=15,
        taper_in_per_in=5 / 12,
        floor_friction=0.2,
        roof_friction=0.6,
        direction="withdrawing",
    )
    assert flat(forces) == [
        ("key", "pull", pytest.approx(-5.2), 0.0),
        ("key", "floor pressure", 0.0, 15.0),
        ("key", "floor friction", pytest.approx(3.0), 0.0),
        ("key", "roof pressure", pytest.approx(-5.0), pytest.approx(-12.0)),
        ("key", "roof friction", pytest.approx(7.2), pytest.approx(-3.0)),
        ("hub", "roof pressure", pytest.approx(5.0), pytest.approx(12.0)),
        ("hub", "roof friction", pytest.approx(-7.2), pytest.approx(3.0)),
        ("hub", "bore on shaft, opposite the key", 0.0, -15.0),
        ("hub", "stop", pytest.approx(2.2), 0.0),
        ("shaft", "floor pressure", 0.0, -15.0),
        ("shaft", "floor friction", pytest.approx(-3.0), 0.0),
        ("shaft", "bore on shaft, opposite the key", 0.0, 15.0),
        ("shaft", "stop", pytest.approx(3.0), 0.0),
    ]


SLOPE = {"taper_in_per_in": 0.5, "floor_friction": 0.5, "roof_friction": 0.0}


def test_raising_between_rough_walls_by_hand():
    # the load leans on the wall with half of V, the wall holds back a quarter of V: V is 400 of
    # a load of 300; the push is half of V for the slope, and half of V and of the wedge's 100
    push = raising_force_lbf(load_lbf=300, wall_friction=0.5, wedge_weight_lbf=100, **SLOPE)
    assert push == pytest.approx(200 + 250)
    # smooth wall and no weight of the wedge, if nothing is said of them
    assert raising_force_lbf(load_lbf=300, **SLOPE) == pytest.approx(150 + 150)


def test_lowering_between_rough_walls_by_hand():
    # now the wall carries a quarter of V: V is 400 of a load of 500; the slope gives 200 back
    pull = lowering_force_lbf(load_lbf=500, wall_friction=0.5, wedge_weight_lbf=100, **SLOPE)
    assert pull == pytest.approx(250 - 200)
    assert lowering_force_lbf(load_lbf=500, **SLOPE) == pytest.approx(250 - 250)


def test_two_faces_at_45_degrees_just_jam():
    # roof friction 1 pushes the load to the wall with all of V, wall friction 1 holds all of it
    jammed = {"taper_in_per_in": 0.0, "floor_friction": 0.1, "roof_friction": 1.0}
    assert raising_force_lbf(load_lbf=100, wall_friction=1.0, **jammed) == math.inf
    assert raising_force_lbf(load_lbf=100, wall_friction=0.5, **jammed) == pytest.approx(220)


def test_an_unknown_direction_is_refused():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        wedge_free_body(
            normal_force_lbf=1,
            taper_in_per_in=0,
            floor_friction=0,
            roof_friction=0,
            direction="sideways",
        )
    assert str(caught.value) == (
        "direction is 'sideways'; it must be one of: driving, withdrawing."
    )


@pytest.mark.parametrize(("floor", "roof"), [(0.1, 0.1), (0.27, 0.27), (0.15, 0.4)])
def test_hub_and_shaft_share_the_pull_between_them(floor, roof):
    taper, pull = 1 / 96, 28_400.0
    found = reaction_of_pull(
        pull_lbf=pull, taper_in_per_in=taper, floor_friction=floor, roof_friction=roof
    )
    assert found.hub_lbf + found.shaft_lbf == pytest.approx(pull)
    ratio = withdraw_ratio(taper_in_per_in=taper, floor_friction=floor, roof_friction=roof)
    assert found.normal_lbf == pytest.approx(pull / ratio)
    # by hand: the tapered face holds N tan(phi - alpha), the flat one N mu
    drag = math.tan(math.atan(roof) - math.atan(taper))
    assert found.hub_lbf == pytest.approx(found.normal_lbf * drag)
    assert found.shaft_lbf == pytest.approx(found.normal_lbf * floor)
    # friction in the bore that just holds the hub on a rig that stands on the shaft
    assert found.friction_to_hold * found.normal_lbf == pytest.approx(found.hub_lbf)


def test_a_key_that_comes_out_by_itself_drags_nothing():
    with pytest.raises(ValueError, match="comes out by itself"):
        reaction_of_pull(pull_lbf=1.0, taper_in_per_in=0.1, floor_friction=0.0, roof_friction=0.05)
