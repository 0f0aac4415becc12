"""A wedge's push by Lami's theorem, worked by hand: sine rule at the block, then at the wedge.

Load 25 kN, friction angle 18 degrees, slope 20 degrees. Block: roof reaction = 25 x sin 72 / sin 34
= 42.5192 kN. Wedge: push = 42.5192 x sin 56 / sin 72 = 37.0640 kN.
"""

import math

import pytest

from taperkey.formulas.free_body import raising_force_lbf


def test_push_by_lami():
    friction = math.tan(math.radians(18))
    push = raising_force_lbf(
        load_lbf=25,
        taper_in_per_in=math.tan(math.radians(20)),
        floor_friction=friction,
        roof_friction=friction,
        wall_friction=friction,
    )
    assert push == pytest.approx(37.0640, abs=0.00005)  # written to four decimals
