"""NIST Statistical Reference Datasets, Linear Regression, "Norris" (lower difficulty).

Data and certified values as transcribed in SciPy's test_stats.py (test_nist_norris); the
covariance and the fit with unit weights as in the GNU Scientific Library's linear-fit tests.
Certified values carry 15 figures; 1e-11 relative leaves room for rounding in double precision.
"""

import pytest

from taperkey.formulas.linefit import fit_line

Y_X = """0.1 0.2 338.8 337.4 118.1 118.2 888.0 884.6 9.2 10.1 228.1 226.5 668.5 666.3 998.5 996.3
449.1 448.6 778.9 777.0 559.2 558.2 0.3 0.4 0.1 0.6 778.1 775.5 668.8 666.9 339.3 338.0
448.9 447.5 10.8 11.6 557.7 556.0 228.3 228.1 998.0 995.8 888.8 887.6 119.6 120.2 0.3 0.3
0.6 0.3 557.6 556.8 339.3 339.1 888.0 887.2 998.5 999.0 778.9 779.0 10.2 11.1 117.6 118.3
228.9 229.2 668.4 669.1 449.2 448.9 0.2 0.5"""


@pytest.fixture(scope="module")
def data():
    numbers = [float(number) for number in Y_X.split()]
    return {"x": numbers[1::2], "y": numbers[0::2]}


def test_there_are_36_pairs(data):
    assert len(data["x"]) == len(data["y"]) == 36


def test_certified_constants_and_deviations(data):
    fit = fit_line(**data)
    assert fit.intercept == pytest.approx(-0.262323073774029, rel=1e-11)
    assert fit.slope == pytest.approx(1.00211681802045, rel=1e-13)
    assert fit.intercept_sd == pytest.approx(0.232818234301152, rel=1e-11)
    assert fit.slope_sd == pytest.approx(0.429796848199937e-03, rel=1e-11)
    assert fit.residual_sd == pytest.approx(0.884796396144373, rel=1e-11)
    assert fit.sum_of_squares == pytest.approx(26.6173985294224, rel=1e-11)
    assert fit.dof == 34


def test_certified_f_statistic(data):
    fit = fit_line(**data)
    assert (fit.slope / fit.slope_sd) ** 2 == pytest.approx(5436385.54079785, rel=1e-10)


def test_covariance_of_the_gsl_tests(data):
    assert fit_line(**data).covariance == pytest.approx(-7.74327536339570e-05, rel=1e-11)


def test_unit_weights_leave_the_covariance_unscaled(data):
    fit = fit_line(**data, sd=1.0)
    assert fit.intercept_sd**2 == pytest.approx(6.92384428759429e-02, rel=1e-11)
    assert fit.covariance == pytest.approx(-9.89095016390515e-05, rel=1e-11)
    assert fit.slope_sd**2 == pytest.approx(2.35960747164148e-07, rel=1e-11)
