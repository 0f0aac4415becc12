"""Tapers per foot and corresponding angles.

A shop handbook's table "Tapers per Foot and Corresponding Angles" (pages 551 to 566) gives
0 deg 35' 48" for 1/8 in per foot. "About 1/8 in per foot": Appleton's Cyclopaedia of Applied
Mechanics. Metric keys of 1:100: DIN 6886.
"""

import math

import pytest

from taperkey.formulas.taper import (
    STANDARD_INCH,
    STANDARD_METRIC,
    taper_angle_rad,
    taper_per_foot_in,
)


def test_angle_of_an_eighth_in_a_foot():
    degrees = math.degrees(taper_angle_rad(taper_in_per_in=0.125 / 12))
    assert degrees == pytest.approx(35 / 60 + 48 / 3600, abs=1 / 3600)  # the table cuts to 1"


def test_standard_inch_taper_is_an_eighth_in_a_foot():
    assert taper_per_foot_in(taper_in_per_in=STANDARD_INCH) == pytest.approx(1 / 8, abs=1e-15)


def test_angle_of_the_metric_taper():
    degrees = math.degrees(taper_angle_rad(taper_in_per_in=STANDARD_METRIC))
    assert degrees == pytest.approx(0.57294, abs=5e-6)  # from memory, five decimals
