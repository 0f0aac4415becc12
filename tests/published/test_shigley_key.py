"""Shigley, *Mechanical Engineering Design*, Example 7-6, key of a 1-7/16 in shaft.

From memory, not seen: 40 hp at 600 rpm, 3/8 in square key, yield 65 ksi, shear yield 37.5 ksi,
factor 1.5; T 4200 lbf in, F 5850 lbf, length .624 in for shear, .720 in for crushing. The yield
of the example is higher than Table A-20 gives for the same steel, so do not design with it.
"""

import pytest

from taperkey.formulas.strength import (
    key_force_lbf,
    key_length_for_crushing_in,
    key_length_for_shear_in,
    torque_lbf_in,
)


def test_torque_and_force():
    torque = torque_lbf_in(power_hp=40, speed_rpm=600)
    assert torque == pytest.approx(4200, abs=5)  # three figures printed
    force = key_force_lbf(torque_lbf_in=torque, shaft_diameter_in=1.4375)
    assert force == pytest.approx(5850, abs=5)


def test_lengths():
    torque = torque_lbf_in(power_hp=40, speed_rpm=600)
    shear = key_length_for_shear_in(
        torque_lbf_in=torque,
        shaft_diameter_in=1.4375,
        width_in=0.375,
        allowable_shear_psi=37500 / 1.5,
    )
    crushing = key_length_for_crushing_in(
        torque_lbf_in=torque,
        shaft_diameter_in=1.4375,
        bearing_height_in=0.375 / 2,
        allowable_crushing_psi=65000 / 1.5,
    )
    assert shear == pytest.approx(0.624, abs=0.0006)  # the book carries the force as 5850
    assert crushing == pytest.approx(0.720, abs=0.0006)
