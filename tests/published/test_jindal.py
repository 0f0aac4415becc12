"""U. C. Jindal, *Machine Design*, Example 4-2, p. 112: limits of an interference fit.

Found in the open companion of the book: hole 25 +.021/0, shaft 25 +.041/+.028 mm; greatest
interference .041, and by the same rule the least is .007.
"""

import pytest

from taperkey.formulas.shrink import fit_range


def test_example_4_2():
    fit = fit_range(hole_low_in=25, hole_high_in=25.021, shaft_low_in=25.028, shaft_high_in=25.041)
    assert fit.tightest_in == pytest.approx(0.041, abs=1e-9)
    assert fit.loosest_in == pytest.approx(0.007, abs=1e-9)
    assert fit.kind == "interference"
