"""Shigley, *Mechanical Engineering Design*, Example 7-6, key of a 1-7/16 in shaft.

From memory, not seen: 40 hp at 600 rpm, 3/8 in square key, yield 65 ksi, shear yield 37.5 ksi,
factor 1.5, shaft of a steel that yields at 75 ksi; T 4200 lbf in, F 5850 lbf, length .624 in for
shear, .720 in for bearing ("crushing" in the book). The yield of the example is higher than
Table A-20 gives for the same steel, so do not design with it.
"""

import pytest

from taperkey.formulas.bearing import key_bearing, key_length_for_bearing_in
from taperkey.formulas.strength import key_length_for_shear_in
from taperkey.formulas.torque import key_force_lbf, torque_lbf_in


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
    bearing = key_length_for_bearing_in(
        torque_lbf_in=torque,
        shaft_diameter_in=1.4375,
        bearing_height_in=0.375 / 2,
        allowable_bearing_psi=65000 / 1.5,
    )
    assert shear == pytest.approx(0.624, abs=0.0006)  # the book carries the force as 5850
    assert bearing == pytest.approx(0.720, abs=0.0006)


def test_at_that_length_the_key_and_not_the_shaft_is_used_in_full():
    # The example takes the key because it is the weakest; of the hub it says nothing: as the shaft.
    found = key_bearing(
        torque_lbf_in=torque_lbf_in(power_hp=40, speed_rpm=600),
        shaft_diameter_in=1.4375,
        length_in=0.720,
        shaft_height_in=0.375 / 2,
        hub_height_in=0.375 / 2,
        key_allowable_psi=65000 / 1.5,
        shaft_allowable_psi=75000 / 1.5,
        hub_allowable_psi=75000 / 1.5,
    )
    assert found.metal == "key"
    assert found.stress_psi == pytest.approx(found.allowable_psi, rel=0.001)  # length to 0.0005
