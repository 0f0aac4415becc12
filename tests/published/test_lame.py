"""Lame's thick cylinder: S. S. Bhavikatti, *Mechanics of Solids*, Example 8.16, p. 348.

Found in the open companion of the book: radii 100, 125, 150 mm, 30 N/mm2 at the joint,
E 2e5 N/mm2; difference of radii .189 mm (on the radius, not on the diameter).
"""

import pytest

from taperkey.formulas.shrink import shrink_interference_in, shrink_pressure_psi

RINGS = {
    "inner_radius_in": 100,
    "common_radius_in": 125,
    "outer_radius_in": 150,
    "shaft_modulus_psi": 2e5,
    "hub_modulus_psi": 2e5,
}


@pytest.mark.parametrize("poisson", [0.25, 0.3])  # it cancels when both rings are one metal
def test_example_8_16(poisson):
    interference = shrink_interference_in(pressure_psi=30, poisson=poisson, **RINGS)
    assert interference == pytest.approx(0.189, abs=0.0005)
    assert shrink_pressure_psi(
        interference_in=interference, poisson=poisson, **RINGS
    ) == pytest.approx(30, rel=1e-12)
