"""R. C. Hibbeler, *Engineering Mechanics: Statics*, the uniform stone on a wedge.

From memory, not seen: stone 500 kg, wedge 7 degrees, friction 0.3; at the wedge V = 2452.5 N;
N_B = 2383.1 N and P = 1154.9 N to draw the wedge, which holds by itself.
"""

import math

import pytest

from taperkey.formulas.free_body import wedge_free_body
from taperkey.formulas.wedge import self_holding, withdrawal_force_lbf

WEDGE = {
    "taper_in_per_in": math.tan(math.radians(7)),
    "floor_friction": 0.3,
    "roof_friction": 0.3,
}


def test_pull_that_draws_the_wedge():
    pull = withdrawal_force_lbf(normal_force_lbf=2452.5, **WEDGE)
    assert pull == pytest.approx(1154.9, abs=0.05)  # printed to 0.1 N


def test_pressure_on_the_slope():
    forces = wedge_free_body(normal_force_lbf=2452.5, direction="withdrawing", **WEDGE)
    roof = next(one for one in forces if (one.body, one.name) == ("key", "roof pressure"))
    assert math.hypot(roof.along_lbf, roof.outward_lbf) == pytest.approx(2383.1, abs=0.05)


def test_the_wedge_holds_by_itself():
    assert self_holding(**WEDGE).holds
