"""Torque on a nut, from Shigley's Mechanical Engineering Design, 9th edition.

The figures are written from memory; the book was not opened for them.
"""

import pytest

from taperkey import practice
from taperkey.formulas.gauge import nut_torque_lbf_in


def test_torque_of_the_printed_bolt():
    """Example 8-3: a 3/4 in-16 bolt, 25 kip of preload, K = 0.20: T = 0.2 (25)(10^3)(0.75)."""
    torque = nut_torque_lbf_in(pull_lbf=25_000, diameter_in=0.75, nut_factor=0.20)
    assert torque == pytest.approx(3750, abs=0.5)  # printed to the inch-pound


def test_factors_are_those_of_the_table():
    """Table 8-15: lubricated 0.18, black without plating 0.30."""
    assert practice.values("nut_factor") == (0.18, 0.30)
