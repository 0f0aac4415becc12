"""Stations that miss their line: how much wider the doubt gets, which one it is, and York's fit."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from taperkey.arrays import np
from taperkey.checks import (
    require_at_least,
    require_non_negative,
    require_one_each,
    require_positive,
)
from taperkey.formulas.linefit import fit_line, predict

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = ["Odd", "YorkFit", "birge_ratio", "odd_station", "york_line"]


@dataclass(frozen=True, kw_only=True)
class YorkFit:
    """Line with both coordinates uncertain.

    Attributes
    ----------
    intercept, slope, intercept_sd, slope_sd : float
        Constants of the line and their standard uncertainties.
    sum_of_squares : float
        Weighted squares of the residuals.
    """

    intercept: float
    slope: float
    intercept_sd: float
    slope_sd: float
    sum_of_squares: float


@dataclass(frozen=True, kw_only=True)
class Odd:
    """The station that fits least to the line through the others.

    Attributes
    ----------
    place : int
        Which one, from 0.
    off : float
        How far it lies above that line; below it is negative.
    off_sd : float
        Standard uncertainty of that.
    """

    place: int
    off: float
    off_sd: float


def birge_ratio(*, residual_sd: float, stated_sd: float) -> float:
    """Return the factor by which stations scatter more about their line than their readings allow.

    R = s / u, 1 at the least

    Parameters
    ----------
    residual_sd : float
        Scatter about the line, with n - 2 degrees of freedom, 0 or more.
    stated_sd : float
        Standard uncertainty of one station, above 0, in the same unit.

    Returns
    -------
    float
        Factor for every uncertainty that comes from the fit [-].

    Raises
    ------
    ValueError
        If the scatter is below 0, or the stated uncertainty not above 0.

    Assumptions
    -----------
    All stations are known alike; what makes them miss the line may happen at any of them.

    Examples
    --------
    >>> birge_ratio(residual_sd=0.0010, stated_sd=0.0005)
    2.0

    Source
    ------
    R. T. Birge, Physical Review 40 (1932) 207; the random effect of JCGM 100:2008, 4.2.
    """
    require_non_negative("scatter about the line", residual_sd)
    require_positive("uncertainty of a height", stated_sd)
    return max(1.0, residual_sd / stated_sd)


def odd_station(*, x: ArrayLike, y: ArrayLike, sd: float) -> Odd:
    """Leave each station out in turn, and return the one that lies furthest from the rest.

    off = y - line(x) through the others, held against its own uncertainty

    Parameters
    ----------
    x : array, shape (n,)
        Places of the stations; n is 4 or more.
    y : array, shape (n,)
        Their heights.
    sd : float
        Standard uncertainty of a height, above 0.

    Returns
    -------
    Odd
        Place, distance from the line through the others, and its standard uncertainty.

    Raises
    ------
    ValueError
        If there are fewer than 4 stations, or not a height for each.

    Assumptions
    -----------
    Not more than one station is odd.

    Examples
    --------
    >>> odd = odd_station(x=[0, 2, 4, 6], y=[1.064, 1.040, 1.020, 1.000], sd=0.0005)
    >>> odd.place, round(odd.off, 6)
    (0, 0.004)

    Source
    ------
    Deleted residuals, any text on regression.
    """
    places, heights = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    require_at_least("number of stations", places.size, 4, "", "Measure at one more station.")
    require_one_each("heights", heights.size, places.size)
    found: list[Odd] = []
    for one in range(places.size):
        others = np.arange(places.size) != one
        rest = fit_line(x=places[others], y=heights[others], sd=np.full(places.size - 1, sd))
        there = predict(fit=rest, x=float(places[one]))
        off_sd = math.hypot(sd, float(there.sd))
        found.append(Odd(place=one, off=float(heights[one] - there.value), off_sd=off_sd))
    return max(found, key=lambda one: abs(one.off) / one.off_sd)


def york_line(*, x: ArrayLike, y: ArrayLike, x_sd: ArrayLike, y_sd: ArrayLike) -> YorkFit:
    """Fit a straight line where both coordinates are uncertain.

    b = sum W beta V / sum W beta U, with W = wx wy / (wx + b^2 wy), until it stands still

    Parameters
    ----------
    x, y : array, shape (n,)
        Coordinates, n is 3 or more.
    x_sd, y_sd : array, shape (n,)
        Their standard uncertainties, above 0, independent of each other.

    Returns
    -------
    YorkFit
        Constants and their standard uncertainties.

    Raises
    ------
    ValueError
        If there are too few points, the counts differ, or an uncertainty is not above 0.

    Assumptions
    -----------
    Errors of the two coordinates are not correlated.

    Examples
    --------
    >>> fit = york_line(x=[0, 2, 4], y=[1.02, 1.00, 0.98], x_sd=[0.01] * 3, y_sd=[0.0005] * 3)
    >>> round(fit.slope, 6)
    -0.01

    Source
    ------
    York, Evensen, Martinez and Delgado, American Journal of Physics 72 (2004) 367.
    """
    x1, y1 = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    require_at_least("number of points", x1.size, 3, "", "Measure at one more station.")
    require_one_each("heights", y1.size, x1.size)
    for name, sd in (("place", x_sd), ("height", y_sd)):
        require_one_each(f"uncertainties of a {name}", np.size(sd), x1.size)
        require_positive(f"uncertainty of a {name}", sd)
    wx, wy = 1 / np.asarray(x_sd, dtype=float) ** 2, 1 / np.asarray(y_sd, dtype=float) ** 2
    slope = fit_line(x=x1, y=y1).slope
    for _ in range(200):
        weight = wx * wy / (wx + slope**2 * wy)
        x_mean, y_mean = np.average(x1, weights=weight), np.average(y1, weights=weight)
        u, v = x1 - x_mean, y1 - y_mean
        beta = weight * (u / wy + slope * v / wx)
        new = float(np.sum(weight * beta * v) / np.sum(weight * beta * u))
        done = abs(new - slope) <= 1e-15 * max(1.0, abs(new))
        slope = new
        if done:
            break
    intercept = float(y_mean - slope * x_mean)
    adjusted = x_mean + beta
    adjusted_mean = float(np.average(adjusted, weights=weight))
    slope_sd = float(1 / np.sqrt(np.sum(weight * (adjusted - adjusted_mean) ** 2)))
    return YorkFit(
        intercept=intercept,
        slope=slope,
        intercept_sd=float(np.sqrt(1 / np.sum(weight) + (adjusted_mean * slope_sd) ** 2)),
        slope_sd=slope_sd,
        sum_of_squares=float(np.sum(weight * (y1 - slope * x1 - intercept) ** 2)),
    )
