"""*Engineering Statics: Open and Interactive* (Baker and Haynes), chapter 9, wedges.

Found in the book's source. The follow-up question (force to hold) is left out: its printed
answer does not agree with equilibrium.
"""

import math

import pytest

from taperkey.formulas.free_body import raising_force_lbf, wedge_free_body
from taperkey.formulas.wedge import driving_force_lbf

SLOPE = math.tan(math.radians(25))


def test_push_under_a_load_with_a_roller_wall():
    push = raising_force_lbf(
        load_lbf=10, taper_in_per_in=SLOPE, floor_friction=0.2, roof_friction=0.2
    )
    assert push == pytest.approx(9.35, abs=0.005)  # printed to 0.01
    assert push == pytest.approx(
        driving_force_lbf(
            normal_force_lbf=10, taper_in_per_in=SLOPE, floor_friction=0.2, roof_friction=0.2
        ),
        rel=1e-12,
    )


def test_normal_force_on_the_slope():
    forces = wedge_free_body(
        normal_force_lbf=10,
        taper_in_per_in=SLOPE,
        floor_friction=0.2,
        roof_friction=0.2,
        direction="driving",
    )
    roof = next(one for one in forces if (one.body, one.name) == ("key", "roof pressure"))
    assert math.hypot(roof.along_lbf, roof.outward_lbf) == pytest.approx(12.17, abs=0.005)
