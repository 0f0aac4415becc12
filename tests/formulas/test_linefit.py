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


def test_three_stations_by_hand():
    # places 1, 2, 3 and values 1, 1, 4: means 2 and 2, slope 3/2, residuals 1/2, -1, 1/2, sum of
    # squares 3/2 on 1 degree of freedom, spread 2; at 0 the line stands at -1
    fit = fit_line(x=[1, 2, 3], y=[1, 1, 4])
    assert (fit.slope, fit.intercept) == pytest.approx((1.5, -1.0))
    assert (fit.sum_of_squares, fit.dof) == (pytest.approx(1.5), 1)
    assert fit.residual_sd == pytest.approx(math.sqrt(1.5))
    assert fit.slope_sd == pytest.approx(math.sqrt(1.5 / 2))
    assert fit.intercept_sd == pytest.approx(math.sqrt(1.5 * (1 / 3 + 4 / 2)))
    assert fit.covariance == pytest.approx(-2 * 0.75)
    assert fit.correlation == pytest.approx(-2 * 0.75 / math.sqrt(0.75 * 3.5))
    assert (fit.x_mean, fit.y_mean) == pytest.approx((2, 2))
    assert fit.y_mean_sd == pytest.approx(math.sqrt(0.5))


def test_weights_pull_the_line_by_hand():
    # deviations 1, 1, 1/2 are weights 1, 1, 4: at places 0, 3, 3 the last two count as 5, so the
    # means are 15/6 of place and (0 + 1 x 5 + 4 x 2) / 6 of value, the line runs from 0 to 13/5
    # at 3, and what is left is 13/5 - 5 and 13/5 - 2, squared and weighted 144/25 + 36/25
    fit = fit_line(x=[0, 3, 3], y=[0, 5, 2], sd=[1, 1, 0.5])
    assert (fit.x_mean, fit.y_mean) == pytest.approx((2.5, 13 / 6))
    assert (fit.intercept, fit.slope) == (pytest.approx(0, abs=1e-12), pytest.approx(13 / 15))
    assert fit.sum_of_squares == pytest.approx(180 / 25)
    assert fit.residual_sd == pytest.approx(math.sqrt(180 / 25))
    assert fit.y_mean_sd == pytest.approx(1 / math.sqrt(6))
    assert fit.slope_sd == pytest.approx(1 / math.sqrt(7.5))  # (5/2)^2 + 5 (1/2)^2


def test_whole_numbers_of_deviation_are_weights_too():
    # places -1 and 1 of weight 1, the middle of weight 1/4: it does not turn the line, and lifts
    # it by its share, 3 x 1/4 over 9/4
    fit = fit_line(x=[-1, 0, 1], y=[0, 3, 0], sd=[1, 2, 1])
    assert fit.slope == pytest.approx(0, abs=1e-15)
    assert fit.intercept == pytest.approx(1 / 3)


def test_one_deviation_in_a_list_is_that_of_all_stations():
    one, each = (fit_line(x=X, y=Y, sd=sd) for sd in ([0.0005], [0.0005] * len(X)))
    assert one == each


def test_figures_kept_short_are_reckoned_in_full():
    # 4-byte numbers far from 0 have no figures to spare: they are widened before anything else
    short = [np.array(part, dtype=np.float32) for part in ([1000.1, 1000.2, 1000.4], [1, 1.1, 1.4])]
    long = [part.astype(float) for part in short]
    for sd in (None, np.array([0.1, 0.2, 0.3], dtype=np.float32)):
        fit = fit_line(x=short[0], y=short[1], sd=sd)
        assert fit == fit_line(x=long[0], y=long[1], sd=None if sd is None else sd.astype(float))
        value, doubt = predict(fit=fit, x=short[0])
        assert value.tolist() == predict(fit=fit, x=long[0]).value.tolist()
        assert doubt.tolist() == predict(fit=fit, x=long[0]).sd.tolist()


def test_many_places_are_read_like_each_of_them():
    fit = fit_line(x=X, y=Y)
    places = [-1.0, 2.0, 9.0]
    value, sd = predict(fit=fit, x=places)
    for index, place in enumerate(places):
        one = predict(fit=fit, x=place)
        assert (value[index], sd[index]) == pytest.approx((one.value, one.sd), rel=1e-12)


def test_a_place_that_is_no_number_is_refused():
    with pytest.raises(ValueError) as caught:  # noqa: PT011  the whole sentence is compared
        predict(fit=fit_line(x=X, y=Y), x=math.nan)
    assert str(caught.value) == "place on the line is nan; it must be a finite number."


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
            {"x": [], "y": []},
            "number of stations is 0; it must be 2 or more. Measure at one more station.",
        ),
        (
            {"x": [0.0, math.inf], "y": [1.0, 1.0]},
            "place of a station is inf; it must be a finite number.",
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
