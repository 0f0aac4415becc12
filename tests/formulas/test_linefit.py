"""The line fit against SciPy, against the uncertainties package, and by hand."""

import math

import numpy as np
import pytest
import scipy.optimize
import scipy.stats
import uncertainties

from taperkey.formulas.linefit import fit_line, predict

X = [0.0, 1.0, 2.5, 4.0, 6.0, 7.5]
Y = [1.0603, 1.0498, 1.0342, 1.0189, 0.9976, 0.9823]


def test_against_scipy_linregress():
    fit, other = fit_line(x=X, y=Y), scipy.stats.linregress(X, Y)
    assert (fit.slope, fit.intercept) == pytest.approx((other.slope, other.intercept), rel=1e-12)
    assert fit.slope_sd == pytest.approx(other.stderr, rel=1e-10)
    assert fit.intercept_sd == pytest.approx(other.intercept_stderr, rel=1e-10)


def test_weighted_against_scipy_curve_fit():
    sd = [0.0002, 0.0004, 0.0003, 0.0002, 0.0008, 0.0005]
    fit = fit_line(x=X, y=Y, sd=sd)
    best, covariance = scipy.optimize.curve_fit(
        lambda x, a, b: a + b * x, X, Y, sigma=sd, absolute_sigma=True
    )
    assert (fit.intercept, fit.slope) == pytest.approx(best, rel=1e-8)  # its solver iterates
    assert fit.intercept_sd**2 == pytest.approx(covariance[0, 0], rel=1e-6)
    assert fit.slope_sd**2 == pytest.approx(covariance[1, 1], rel=1e-6)
    assert fit.covariance == pytest.approx(covariance[0, 1], rel=1e-6)
    chi = (np.array(Y) - fit.intercept - fit.slope * np.array(X)) / sd
    assert fit.sum_of_squares == pytest.approx(chi @ chi, rel=1e-9)


def test_uncertainty_of_a_prediction_against_the_uncertainties_package():
    fit = fit_line(x=X, y=Y)
    pair = [[fit.intercept_sd**2, fit.covariance], [fit.covariance, fit.slope_sd**2]]
    a, b = uncertainties.correlated_values((fit.intercept, fit.slope), pair)
    for place in (-2.0, 0.0, 3.7, 12.0):
        value, sd = predict(fit=fit, x=place)
        line = a + b * place
        assert value == pytest.approx(line.nominal_value, rel=1e-12)
        assert sd == pytest.approx(line.std_dev, rel=1e-9)


def test_prediction_keeps_the_shape():
    fit = fit_line(x=X, y=Y)
    value, sd = predict(fit=fit, x=np.zeros((2, 3)))
    assert value.shape == sd.shape == (2, 3)
    assert isinstance(predict(fit=fit, x=1).value, float)


def test_two_stations_show_no_scatter():
    fit = fit_line(x=[0, 1], y=[2, 3])
    assert (fit.intercept, fit.slope, fit.dof) == (2.0, 1.0, 0)
    assert math.isnan(fit.residual_sd)
    assert math.isnan(fit.slope_sd)


def test_two_stations_with_known_sd():
    fit = fit_line(x=[0, 2], y=[2, 3], sd=0.1)
    assert fit.slope_sd == pytest.approx(0.1 * math.sqrt(2) / 2, rel=1e-12)
    assert fit.intercept_sd == pytest.approx(0.1, rel=1e-12)


def test_no_figures_are_lost_far_from_zero():
    near = fit_line(x=X, y=Y)
    far = fit_line(x=[place + 1e6 for place in X], y=Y)
    assert far.slope == pytest.approx(near.slope, rel=1e-9)  # the places themselves are rounded
    assert predict(fit=far, x=1e6 + 3.0).sd == pytest.approx(predict(fit=near, x=3.0).sd, rel=1e-7)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (
            {"x": [0.0], "y": [1.0]},
            "number of stations is 1; it must be 2 or more. Measure at one more station.",
        ),
        (
            {"x": [0.0, 1.0], "y": [1.0]},
            "number of values is 1; it must be 2, one for each station.",
        ),
        (
            {"x": [0.0, 1.0, 2.0], "y": [1.0, 1.0, 1.0], "sd": [1.0, 1.0]},
            "number of standard deviations is 2; it must be 3, one for each station.",
        ),
        (
            {"x": [1.0, 1.0], "y": [1.0, 2.0]},
            "spread of the stations is 0; it must be above 0. Use stations apart.",
        ),
        (
            {"x": [0.0, 1.0], "y": [1.0, math.nan]},
            "value at a station is nan; it must be a finite number.",
        ),
        (
            {"x": [0.0, 1.0], "y": [1.0, 2.0], "sd": 0.0},
            "standard deviation at a station is 0; it must be above 0.",
        ),
    ],
)
def test_refusals(arguments, message):
    with pytest.raises(ValueError) as caught:  # noqa: PT011  the whole sentence is compared
        fit_line(**arguments)
    assert str(caught.value) == message
