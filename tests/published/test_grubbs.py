"""Critical values of Grubbs' test.

Two-sided: D. Harvey, Analytical Chemistry 2.1, Appendix 7 (LibreTexts), found. Two entries there
are misprints and left out: n = 7 at 0.05 ("2.202") and n = 15 at 0.01 (repeats n = 14).
One-sided at 5 % (ASTM E178, Table 1), equal to two-sided at 10 %: values found in a public
transcription.
"""

import pytest

from taperkey.formulas.uncertainty import find_outlier, grubbs_limit

TWO_SIDED = {
    3: (1.155, 1.155), 4: (1.481, 1.496), 5: (1.715, 1.764), 6: (1.887, 1.973),
    8: (2.126, 2.274), 9: (2.215, 2.387), 10: (2.290, 2.482), 11: (2.355, 2.564),
    12: (2.412, 2.636), 13: (2.462, 2.699), 14: (2.507, 2.755),
}  # fmt: skip

ONE_SIDED = {3: 1.1531, 4: 1.4625, 5: 1.6714, 6: 1.8221, 7: 1.9381, 8: 2.0317, 9: 2.1096,
             10: 2.1761, 12: 2.2850, 15: 2.4090, 20: 2.5566}  # fmt: skip


@pytest.mark.parametrize("count", TWO_SIDED)
def test_two_sided_limits(count):
    five, one = TWO_SIDED[count]
    # table rounds to 0.001, some entries one unit off in the last figure
    assert grubbs_limit(count=count, significance=0.05) == pytest.approx(five, abs=0.0015)
    assert grubbs_limit(count=count, significance=0.01) == pytest.approx(one, abs=0.0015)


@pytest.mark.parametrize("count", ONE_SIDED)
def test_one_sided_limits(count):
    # table gives four decimals from simulated and interpolated t values
    assert grubbs_limit(count=count, significance=0.10) == pytest.approx(ONE_SIDED[count], abs=2e-4)


def test_mass_spectrometer_readings():
    """NIST/SEMATECH e-Handbook, 1.3.5.17.1 (data of Tietjen and Moore 1972): G = 2.4687."""
    readings = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]
    found = find_outlier(readings_in=readings, significance=0.10)
    assert found.statistic == pytest.approx(2.4687, abs=0.0001)
    assert found.limit == pytest.approx(2.032, abs=0.0005)
    assert found.index == 7
