"""A solved wedge example by Lami's theorem in a public question bank.

Found. Load 25 kN, friction angle 18 degrees, slope 20 degrees; the slope is inferred from the
sine rule printed there. Answer printed 37.0640 kN.
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
    assert push == pytest.approx(37.0640, abs=0.00005)  # four decimals printed
