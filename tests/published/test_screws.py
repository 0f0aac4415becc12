"""A square thread is a wedge wound round a core: screws check tan(phi + alpha).

Found in open companions of two textbooks: Example 10.11, p. 280 (mean diameter 50 mm, pitch
10 mm, friction .08, 20 kN, collar mean radius 17.5 mm), and R. K. Bansal, *Engineering
Mechanics*, Example 9.22, p. 327 (diameter .06 m, pitch .009 m, friction .095, 1500 N, lever
.7 m). A screw has one rubbing face, so the floor friction is 0 here.
"""

import math

import pytest

from taperkey.formulas.wedge import drive_ratio, driving_efficiency, withdraw_ratio


def test_example_10_11_efficiency_without_collar():
    efficiency = driving_efficiency(
        taper_in_per_in=10 / (math.pi * 50), floor_friction=0, roof_friction=0.08
    )
    assert 100 * efficiency == pytest.approx(44.1, abs=0.05)  # printed to 0.1 %


def test_example_10_11_efficiency_with_collar():
    lead = 10 / (math.pi * 50)
    screw = 25 * drive_ratio(taper_in_per_in=lead, floor_friction=0, roof_friction=0.08)
    collar = 17.5 * 0.08
    assert 100 * 25 * lead / (screw + collar) == pytest.approx(31.8, abs=0.05)
    # the two printed moments, 7717 and 10 710, stand in the same proportion; the book's
    # rounded angles make them 0.1 % high, the proportion much less
    assert (screw + collar) / screw == pytest.approx(10710 / 7717, rel=5e-4)


def test_bansal_9_22_lift_and_lower():
    lead = 0.009 / (math.pi * 0.06)
    arm = 1500 * 0.03 / 0.7
    lift = arm * drive_ratio(taper_in_per_in=lead, floor_friction=0, roof_friction=0.095)
    lower = arm * withdraw_ratio(taper_in_per_in=lead, floor_friction=0, roof_friction=0.095)
    assert lift == pytest.approx(9.22, abs=0.005)  # printed to 0.01 N
    assert lower == pytest.approx(3.02, abs=0.005)
