"""A. K. Tayal, *Engineering Mechanics*, Example 6.9, p. 135.

Found in the open companion of the book. Block A 1000 N against a wall, wedge 500 N, 15 degrees,
friction 0.2. The companion remarks that the book's printed locking friction is wrong and gives
.1309, which is 7.5 degrees in radians (tan 7.5 degrees is .1317).
"""

import math

import pytest

from taperkey.formulas.free_body import raising_force_lbf
from taperkey.formulas.wedge import self_holding

SLOPE = math.tan(math.radians(15))


def test_push_that_raises_block_a():
    push = raising_force_lbf(
        load_lbf=1000,
        taper_in_per_in=SLOPE,
        floor_friction=0.2,
        roof_friction=0.2,
        wall_friction=0.2,
        wedge_weight_lbf=500,
    )
    assert push == pytest.approx(871, abs=0.5)  # printed to 1 N


def test_locking_is_half_the_wedge_angle():
    # .1309 rad as the friction angle of each face
    for friction_angle_rad, holds in ((0.1309 + 0.0001, True), (0.1309 - 0.0001, False)):
        friction = math.tan(friction_angle_rad)
        answer = self_holding(
            taper_in_per_in=SLOPE, floor_friction=friction, roof_friction=friction
        )
        assert answer.holds is holds
