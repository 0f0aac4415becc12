"""Sadhu Singh, *Machine Design*, keys: Examples 7.4 (p. 204), 7.8 (p. 208), 7.10 (p. 212).

Found in the open companion of the book. Newton and millimeter; the formulas do not mind.
"""

import math

import pytest

from taperkey.formulas.bearing import key_length_for_bearing_in
from taperkey.formulas.strength import (
    equal_strength_height_in,
    key_length_for_shear_in,
    key_strength,
)
from taperkey.formulas.torque import solid_shaft_torque_lbf_in


def test_example_7_4_height_and_length():
    height = equal_strength_height_in(width_in=20, allowable_shear_psi=50, allowable_bearing_psi=75)
    assert height == pytest.approx(26.67, abs=0.005)
    torque = solid_shaft_torque_lbf_in(shaft_diameter_in=75, shear_stress_psi=50)
    length = key_length_for_shear_in(
        torque_lbf_in=torque, shaft_diameter_in=75, width_in=20, allowable_shear_psi=50
    )
    assert length == pytest.approx(110.4, abs=0.06)  # printed cut off, exact 110.45
    assert key_length_for_bearing_in(
        torque_lbf_in=torque,
        shaft_diameter_in=75,
        bearing_height_in=height / 2,
        allowable_bearing_psi=75,
    ) == pytest.approx(length, rel=1e-12)


TORQUE_7_8 = 12e6 * 60 / (2 * math.pi * 550)  # 12 kW at 550 rpm, N mm


def test_example_7_8_lengths_for_shear_and_bearing():
    shear = key_length_for_shear_in(
        torque_lbf_in=TORQUE_7_8, shaft_diameter_in=25, width_in=7, allowable_shear_psi=80
    )
    bearing = key_length_for_bearing_in(
        torque_lbf_in=TORQUE_7_8,
        shaft_diameter_in=25,
        bearing_height_in=3.5,
        allowable_bearing_psi=160,
    )
    assert shear == pytest.approx(29.76, abs=0.005)
    assert bearing == pytest.approx(29.76, abs=0.005)


def test_example_7_8_at_its_length_is_used_in_full():
    answer = key_strength(
        torque_lbf_in=TORQUE_7_8,
        shaft_diameter_in=25,
        width_in=7,
        shaft_height_in=3.5,
        hub_height_in=3.5,
        length_in=29.76,
        key_yield_psi=400,
        shaft_yield_psi=400,
        hub_yield_psi=400,
        design_factor=2.5,
        shear_share=0.5,
    )
    assert answer.allowable_shear_psi == 80
    assert answer.bearing.allowable_psi == 160
    assert answer.utilisation == pytest.approx(1, abs=0.0002)  # 29.76 rounded from 29.764


def test_example_7_10_length():
    length = key_length_for_shear_in(
        torque_lbf_in=800e3, shaft_diameter_in=35, width_in=10, allowable_shear_psi=46
    )
    assert math.ceil(length) == 100  # the book rounds up
