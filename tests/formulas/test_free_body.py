"""Free bodies: what acts on what, and the guided load."""

import math

import pytest

from taperkey.formulas.free_body import lowering_force_lbf, raising_force_lbf, wedge_free_body


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
