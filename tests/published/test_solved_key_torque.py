"""A solved key problem, numbered 8.6, in a public problem collection.

Found: shaft 50 mm, square key 12.5 mm, length 37.5 mm, shear 200 MPa; torque 2.344 kN m.
"""

import pytest

from taperkey.formulas.strength import key_shear_stress_psi


def test_problem_8_6_torque():
    stress = key_shear_stress_psi(
        torque_lbf_in=2.344e6, shaft_diameter_in=50, width_in=12.5, length_in=37.5
    )
    assert stress == pytest.approx(200, rel=0.0005 / 2.344)  # torque printed to 1 N m
