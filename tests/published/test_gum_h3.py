"""JCGM 100:2008 (GUM), example H.3: calibration of a thermometer, a straight-line fit.

Data and results as in the MSL documentation of GTC (GUM_H3.rst) and the METAS UncLib example
"GUM H3". Tolerances are half the last figure printed.
"""

import pytest

from taperkey.formulas.linefit import fit_line, predict

READINGS = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
CORRECTIONS = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]  # fmt: skip  # noqa: E501
REFERENCE = 20.0


@pytest.fixture(scope="module")
def fit():
    return fit_line(x=[reading - REFERENCE for reading in READINGS], y=CORRECTIONS)


def test_intercept_and_its_uncertainty(fit):
    assert fit.intercept == pytest.approx(-0.1712, abs=0.00005)
    assert fit.intercept_sd == pytest.approx(0.0029, abs=0.00005)


def test_slope_and_its_uncertainty(fit):
    assert fit.slope == pytest.approx(0.0021826977, abs=5e-11)  # GTC prints ten decimals
    assert fit.slope_sd == pytest.approx(0.00066794, abs=5e-9)


def test_correlation_and_scatter(fit):
    assert fit.correlation == pytest.approx(-0.930, abs=0.0005)
    assert fit.sum_of_squares == pytest.approx(0.000110096583, abs=5e-13)
    assert fit.residual_sd == pytest.approx(0.0035, abs=0.00005)  # from memory


def test_correction_at_30_degrees(fit):
    value, sd = predict(fit=fit, x=30.0 - REFERENCE)
    assert value == pytest.approx(-0.1494, abs=0.00005)
    assert sd == pytest.approx(0.0041, abs=0.00005)
