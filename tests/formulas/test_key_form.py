"""Form of the key: bounds that still pass, and figures at once for many slots."""

from __future__ import annotations

import math

import numpy as np
import pytest

from taperkey.formulas.key_form import (
    chamfer_clears,
    held_off_height_in,
    stepped_key,
    tapped_end,
)

SLOTS = {
    "hub_slot_width_in": 1.5, "shaft_slot_width_in": 1.0, "shaft_slot_side_depth_in": 0.5,
    "large_end_height_in": 1.25, "small_end_height_in": 1.0,
}  # fmt: skip


def test_a_straight_stepped_key_has_two_equal_ends() -> None:
    key = stepped_key(**(SLOTS | {"large_end_height_in": 1.0}))
    assert (key.hub_portion_large_end_in, key.hub_portion_small_end_in) == (0.5, 0.5)


def test_left_out_clearance_and_relief_are_nothing() -> None:
    key = stepped_key(**SLOTS)
    assert (key.hub_width_in, key.shaft_width_in, key.step_in) == (1.5, 1.0, 0.25)
    assert (key.shaft_portion_height_in, key.hub_portion_large_end_in) == (0.5, 0.75)


def test_a_relief_as_high_as_a_wide_shaft_portion_leaves_nothing_of_it() -> None:
    wide_shaft = SLOTS | {"hub_slot_width_in": 1.0, "shaft_slot_width_in": 1.5}
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole sentence is compared
        stepped_key(**wide_shaft, relief_in=0.5)
    assert str(caught.value) == (
        "height of the shaft portion is 0 in; it must be above 0. Lower the relief."
    )


# radius 5 and edge 1, 2 or 5 from the wall: the quarter-circle stands 5 - 3, 5 - 4 and 0 high
# there (3-4-5 triangles: 1 from the wall is 4 from the center, 2 is 3)
@pytest.mark.parametrize(
    ("chamfer", "gap", "held"),
    [
        (0.0, 0.0, 5.0),  # sharp, against the wall: a whole radius
        (0.0, 1.0, 2.0),
        (0.0, 2.0, 1.0),
        (1.0, 0.0, 4.0),  # the upper end of the chamfer rides: 5 - 1
        (1.0, 1.0, 1.0),  # both ends touch: 2 - 1 above, 1 below
        (0.5, 1.0, 1.5),  # upper end: 2 - 0.5
        (5.0, 0.0, 0.0),
        (0.0, 5.0, 0.0),
        (6.0, 6.0, 0.0),
    ],
)
def test_held_off_by_3_4_5_triangles(chamfer, gap, held) -> None:
    one = held_off_height_in(slot_radius_in=5.0, chamfer_in=chamfer, side_gap_in=gap)
    assert one == pytest.approx(held, abs=1e-12)
    assert type(one) is float
    many = held_off_height_in(
        slot_radius_in=np.array([5.0, 10.0]),
        chamfer_in=np.array([1, 2]) * chamfer,
        side_gap_in=np.array([1, 2]) * gap,
    )
    # a slot twice as large all over holds the key twice as high
    assert many == pytest.approx([held, 2 * held], abs=1e-12)
    # whole numbers are sizes as well
    whole = held_off_height_in(slot_radius_in=5, chamfer_in=chamfer, side_gap_in=gap)
    assert whole == pytest.approx(held, abs=1e-12)


def test_one_of_the_sizes_may_be_many() -> None:
    held = held_off_height_in(slot_radius_in=5, chamfer_in=np.array([0.0, 1.0]), side_gap_in=1)
    assert held == pytest.approx([2.0, 1.0], abs=1e-12)
    held = held_off_height_in(slot_radius_in=np.array([5.0]), chamfer_in=0)
    assert held == pytest.approx([5.0], abs=1e-12)


def test_a_square_corner_asks_for_some_chamfer_only() -> None:
    assert chamfer_clears(slot_radius_in=0.0, chamfer_in=0.001)
    assert not chamfer_clears(slot_radius_in=0.0, chamfer_in=0.0)


def test_a_tapped_end_by_hand() -> None:
    # 2 in wide, 1.5 in high, 0.1 in/in over 2.5 in leaves 1.25 in; hole 1 in of pi/4 in2
    end = tapped_end(
        width_in=2.0, large_end_height_in=1.5, taper_in_per_in=0.1, hole_diameter_in=1.0,
        hole_depth_in=2.5,
    )  # fmt: skip
    assert end.end_section_in2 == pytest.approx(3 - math.pi / 4, rel=1e-12)
    assert end.smallest_section_in2 == pytest.approx(2.5 - math.pi / 4, rel=1e-12)
    assert end.top_wall_in == pytest.approx(0.125, rel=1e-12)
    assert end.side_wall_in == pytest.approx(0.5, rel=1e-12)
    assert end.fits is True


@pytest.mark.parametrize(("width", "height"), [(0.5, 2.0), (2.0, 0.5), (0.4, 2.0), (2.0, 0.4)])
def test_a_hole_that_reaches_a_face_does_not_fit(width, height) -> None:
    end = tapped_end(
        width_in=width, large_end_height_in=height, taper_in_per_in=0.0, hole_diameter_in=0.5,
        hole_depth_in=1.0,
    )  # fmt: skip
    assert end.fits is False
