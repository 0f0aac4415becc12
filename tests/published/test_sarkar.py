"""B. K. Sarkar, *Strength of Materials*, Example 7.14, p. 194.

Found in the open companion of the book: 100 kW at 120 rpm, shaft 10 cm, key 14 cm by 2.5 cm.
"""

import math

import pytest

from taperkey.formulas.strength import key_shear_stress_psi


def test_example_7_14_shear_in_the_key():
    stress = key_shear_stress_psi(
        torque_lbf_in=100e5 * 60 / (2 * math.pi * 120),  # N cm
        shaft_diameter_in=10,
        width_in=2.5,
        length_in=14,
    )
    assert stress == pytest.approx(4547.28, abs=0.005)  # N/cm2, two decimals printed
