"""Pearson's data with York's weights: the line with both coordinates uncertain.

Data: K. Pearson, Philosophical Magazine 2 (1901) 559. Weights: D. York, Canadian Journal of Physics
44 (1966) 1079. Constants as printed by York, Evensen, Martinez and Delgado, American Journal of
Physics 72 (2004) 367, from memory.
"""

import numpy as np
import pytest

from taperkey.formulas.misfit import york_line

X = np.array([0.0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4])
Y = np.array([5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5])
X_WEIGHT = np.array([1000.0, 1000.0, 500.0, 800.0, 200.0, 80.0, 60.0, 20.0, 1.8, 1.0])
Y_WEIGHT = np.array([1.0, 1.8, 4.0, 8.0, 20.0, 20.0, 70.0, 70.0, 100.0, 500.0])


def test_constants_are_those_printed():
    fit = york_line(x=X, y=Y, x_sd=X_WEIGHT**-0.5, y_sd=Y_WEIGHT**-0.5)
    assert fit.slope == pytest.approx(-0.480533407, abs=1e-9)  # printed to nine places
    assert fit.intercept == pytest.approx(5.47991022, abs=1e-8)  # printed to eight places
    assert fit.slope_sd == pytest.approx(0.0580, abs=5e-5)
    assert fit.intercept_sd == pytest.approx(0.2950, abs=5e-5)
    assert fit.sum_of_squares == pytest.approx(11.8664, abs=5e-5)


def test_turned_round_it_is_the_same_line():
    """X from y: slope and intercept follow, which no plain fit does."""
    fit = york_line(x=X, y=Y, x_sd=X_WEIGHT**-0.5, y_sd=Y_WEIGHT**-0.5)
    back = york_line(x=Y, y=X, x_sd=Y_WEIGHT**-0.5, y_sd=X_WEIGHT**-0.5)
    assert back.slope == pytest.approx(1 / fit.slope, rel=1e-7)
    assert back.intercept == pytest.approx(-fit.intercept / fit.slope, rel=1e-7)
