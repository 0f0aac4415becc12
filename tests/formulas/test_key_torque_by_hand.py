"""A key's torque, worked by hand, in newtons and millimeters.

Shaft 50 mm, square key 12.5 mm, length 37.5 mm, shear 200 MPa: force 12.5 x 37.5 x 200 = 93,750 N,
times 25 mm is 2.34375 kN m.
"""

import pytest

from taperkey.formulas.strength import key_shear_stress_psi


def test_torque_of_a_key_at_its_shear():
    stress = key_shear_stress_psi(
        torque_lbf_in=2.34375e6, shaft_diameter_in=50, width_in=12.5, length_in=37.5
    )
    assert stress == pytest.approx(200, rel=1e-12)  # the arithmetic is exact
