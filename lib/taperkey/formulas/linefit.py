"""A straight line through stations, with the uncertainty of its two constants."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from taperkey.arrays import np
from taperkey.checks import (
    require_at_least,
    require_finite,
    require_one_each,
    require_positive,
)
from taperkey.formulas.measure import Values

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = ["LineFit", "Prediction", "fit_line", "predict"]


@dataclass(frozen=True, slots=True)
class LineFit:
    """Line ``y = intercept + slope x`` and how well it is known.

    The last three fields hold the same fit about its center, where it loses no figures.
    """

    intercept: float
    slope: float
    intercept_sd: float
    slope_sd: float
    covariance: float
    correlation: float
    residual_sd: float
    dof: int
    sum_of_squares: float
    x_mean: float
    y_mean: float
    y_mean_sd: float


class Prediction(NamedTuple):
    """Height of the line and its standard uncertainty."""

    value: Values
    sd: Values


def fit_line(*, x: ArrayLike, y: ArrayLike, sd: ArrayLike | None = None) -> LineFit:
    r"""Fit a straight line by least squares.

    .. math:: b = \frac{\sum w (x - \bar x)(y - \bar y)}{\sum w (x - \bar x)^2}, \quad
        a = \bar y - b \bar x, \quad s_b^2 = \frac{s^2}{\sum w (x - \bar x)^2}, \quad
        s_a^2 = \frac{s^2}{\sum w} + \bar x^2 s_b^2

    with :math:`\bar x, \bar y` weighted means. Without `sd`, w = 1 and
    :math:`s^2 = \sum r^2 / (n - 2)`; with it, w = 1/sd\ :sup:`2` and s = 1.

    Parameters
    ----------
    x : array, shape (n,)
        Places of the stations, not all the same; n is 2 or more.
    y : array, shape (n,)
        Values found there.
    sd : float or array, shape (n,), optional
        Known standard deviation of each value, above 0. If left out, the scatter about the
        line tells it.

    Returns
    -------
    LineFit
        Constants, their standard deviations, covariance and correlation. `sum_of_squares` is of
        the residuals, divided by `sd` where it is given, and `residual_sd` is its root per
        degree of freedom: near 1 when a given `sd` is right. With two stations no scatter is
        seen: `residual_sd`, and without `sd` all standard deviations, are nan.

    Raises
    ------
    ValueError
        If there are fewer than two stations, the counts differ, all stations are at one place,
        a value is not finite, or an sd is not above 0.

    Assumptions
    -----------
    Places known exactly; values independent, scatter alike (or as given).

    Examples
    --------
    >>> line = fit_line(x=[0, 1, 2, 3], y=[1, 3, 5, 8])
    >>> round(line.intercept, 6), round(line.slope, 6), round(line.sum_of_squares, 6), line.dof
    (0.8, 2.3, 0.3, 2)

    Source
    ------
    JCGM 100:2008, H.3.2, equations H.13a to H.13f, written about the center.
    """
    places = np.asarray(x, dtype=float).ravel()
    values = np.asarray(y, dtype=float).ravel()
    count = places.size
    require_at_least("number of stations", count, 2, "", "Measure at one more station.")
    require_one_each("values", values.size, count)
    require_finite("place of a station", places)
    require_finite("value at a station", values)
    if sd is None:
        weights = np.ones(count)
    else:
        deviations = np.asarray(sd, dtype=float).ravel()
        if deviations.size == 1:
            deviations = np.full(count, deviations[0])
        require_one_each("standard deviations", deviations.size, count)
        require_positive("standard deviation at a station", deviations)
        weights = deviations**-2
    total = float(weights.sum())
    x_mean = float(weights @ places) / total
    y_mean = float(weights @ values) / total
    dx = places - x_mean
    dy = values - y_mean
    spread = float(weights @ dx**2)
    require_positive("spread of the stations", float(np.ptp(places)), "", "Use stations apart.")
    slope = float(weights @ (dx * dy)) / spread
    residuals = dy - slope * dx
    squares = float(weights @ residuals**2)
    dof = count - 2
    residual_sd = math.sqrt(squares / dof) if dof > 0 else math.nan
    s = residual_sd if sd is None else 1.0
    slope_sd = s / math.sqrt(spread)
    y_mean_sd = s / math.sqrt(total)
    shape = math.hypot(1 / math.sqrt(total), x_mean / math.sqrt(spread))
    return LineFit(
        intercept=y_mean - slope * x_mean,
        slope=slope,
        intercept_sd=s * shape,
        slope_sd=slope_sd,
        covariance=-x_mean * slope_sd**2,
        correlation=-x_mean / (shape * math.sqrt(spread)),
        residual_sd=residual_sd,
        dof=dof,
        sum_of_squares=squares,
        x_mean=x_mean,
        y_mean=y_mean,
        y_mean_sd=y_mean_sd,
    )


def predict(*, fit: LineFit, x: ArrayLike) -> Prediction:
    r"""Height of a fitted line and its standard uncertainty.

    .. math:: y = \bar y + b (x - \bar x), \quad u^2 = u^2(\bar y) + s_b^2 (x - \bar x)^2

    Parameters
    ----------
    fit : LineFit
        Result of `fit_line`.
    x : float or array
        Where to read the line.

    Returns
    -------
    Prediction
        ``value`` and ``sd``, of the shape of `x`: of the line itself, not of one more reading.

    Raises
    ------
    ValueError
        If a place is not finite.

    Assumptions
    -----------
    The line goes on straight where it was not measured.

    Examples
    --------
    >>> line = fit_line(x=[0, 1, 2, 3], y=[1, 3, 5, 8])
    >>> value, sd = predict(fit=line, x=1.5)
    >>> round(value, 6), round(sd, 6)
    (4.25, 0.193649)

    Source
    ------
    JCGM 100:2008, H.3.4, equations H.14 and H.15, written about the center.
    """
    require_finite("place on the line", x)
    away = (x if isinstance(x, (int, float)) else np.asarray(x, dtype=float)) - fit.x_mean
    value = fit.y_mean + fit.slope * away
    if isinstance(away, (int, float)):
        return Prediction(value, math.hypot(fit.y_mean_sd, fit.slope_sd * away))
    return Prediction(value, np.hypot(fit.y_mean_sd, fit.slope_sd * away))
