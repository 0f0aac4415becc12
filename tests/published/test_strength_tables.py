"""Strengths as printed in four sources.

SAE J429 in Shigley and Mischke 5th ed. p. 341; ASTM A193, grade B7 (from memory);
Shigley 9th ed. Table A-20, SA-36 Table 3.
"""

import pytest

from taperkey.tables.strengths import rod_grade, steel

ROWS = [  # grade, diameter, proof, yield, tensile in ksi
    ("SAE J429 grade 5", 0.25, 85, 92, 120),
    ("SAE J429 grade 5", 1.0, 85, 92, 120),
    ("SAE J429 grade 5", 1.125, 74, 81, 105),
    ("SAE J429 grade 8", 1.5, 120, 130, 150),
    ("ASTM A193 B7", 2.5, None, 105, 125),
    ("ASTM A193 B7", 2.75, None, 95, 115),
    ("ASTM A193 B7", 7.0, None, 75, 100),
]


@pytest.mark.parametrize(("name", "diameter_in", "proof", "yields", "tensile"), ROWS)
def test_rod_grades(name, diameter_in, proof, yields, tensile):
    grade = rod_grade(name=name, diameter_in=diameter_in)
    assert grade.proof_psi == (None if proof is None else proof * 1000)
    assert (grade.yield_psi, grade.tensile_psi) == (yields * 1000, tensile * 1000)
    assert grade.status == ("memory" if name.startswith("ASTM A193") else "found")


@pytest.mark.parametrize(
    ("name", "yields", "tensile"),
    [
        ("1018 cold-drawn", 54, 64),
        ("1020 cold-drawn", 57, 68),
        ("1045 cold-drawn", 77, 91),
        ("A36 plate", 36, 58),
    ],
)
def test_steels(name, yields, tensile):
    one = steel(name=name)
    assert (one.yield_psi, one.tensile_psi) == (yields * 1000, tensile * 1000)
    assert one.status == "found"
