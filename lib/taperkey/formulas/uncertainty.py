"""How well a reading holds: repeated readings, the odd one out, doubts joined to one.

Every name here can also be had from `measure`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from taperkey.arrays import np
from taperkey.checks import (
    require_above,
    require_at_least,
    require_finite,
    require_non_negative,
    require_positive,
    require_range,
)
from taperkey.formulas.student import student_quantile

__all__ = [
    "Values",
    "CombinedUncertainty",
    "Contribution",
    "MeanReading",
    "Outlier",
    "combine_uncertainty",
    "coverage_factor",
    "find_outlier",
    "grubbs_limit",
    "mean_reading",
    "reading_uncertainty_in",
]

Values: TypeAlias = Any  # a float, or an array of floats whose shape is kept


@dataclass(frozen=True, slots=True)
class MeanReading:
    """Mean of repeated readings, their scatter, and how well the mean is known."""

    mean_in: float
    sd_in: float
    standard_uncertainty_in: float
    count: int


def mean_reading(*, readings_in: Sequence[float]) -> MeanReading:
    r"""Mean, standard deviation and standard uncertainty of repeated readings.

    .. math:: \bar h = \sum h_i / n, \quad s^2 = \sum (h_i - \bar h)^2 / (n - 1), \quad
        u = s / \sqrt n

    Parameters
    ----------
    readings_in : sequence of float
        Two or more readings of the same height, each above 0 [in].

    Returns
    -------
    MeanReading
        ``mean_in``, ``sd_in`` and ``standard_uncertainty_in`` [in], and ``count``.

    Raises
    ------
    ValueError
        If there are fewer than two readings or one is not above 0.

    Assumptions
    -----------
    Independent readings. A gauge that is wrong by the same amount each time does not show here.

    Examples
    --------
    >>> mean = mean_reading(readings_in=[1.001, 1.002, 1.003])
    >>> round(mean.mean_in, 6), round(mean.sd_in, 6), round(mean.standard_uncertainty_in, 6)
    (1.002, 0.001, 0.000577)

    Source
    ------
    JCGM 100:2008, 4.2.1 to 4.2.3.
    """
    readings = _readings(readings_in, least=2)
    mean, sd = _mean_and_sd(readings)
    count = len(readings)
    return MeanReading(mean, sd, sd / math.sqrt(count), count)


def reading_uncertainty_in(*, division_in: Values, standard_uncertainty_in: Values = 0.0) -> Values:
    r"""Uncertainty of a reading rounded to the nearest division, joined with its scatter.

    .. math:: u = \sqrt{\left(\frac{d/2}{\sqrt 3}\right)^2 + u_s^2}

    Parameters
    ----------
    division_in : float or array
        Smallest division read, above 0 [in].
    standard_uncertainty_in : float or array
        Standard uncertainty from repeated readings; 0 if left out [in].

    Returns
    -------
    float or array
        Standard uncertainty [in].

    Raises
    ------
    ValueError
        If the division is not above 0 or the scatter is below 0.

    Assumptions
    -----------
    Read to the nearest division: the true value is equally likely anywhere in half a division
    either side. When the scatter is many divisions wide the first part is already in it.

    Examples
    --------
    >>> round(reading_uncertainty_in(division_in=0.001), 6)
    0.000289

    Source
    ------
    JCGM 100:2008, 4.3.7 and F.2.2.1.
    """
    require_positive("division", division_in, "in", "Enter the smallest division of the scale.")
    require_non_negative("standard uncertainty", standard_uncertainty_in, "in")
    variance = division_in**2 / 12 + standard_uncertainty_in**2
    return math.sqrt(variance) if isinstance(variance, (int, float)) else np.sqrt(variance)


@dataclass(frozen=True, slots=True)
class Outlier:
    """The reading that stands out, if one does, and the rule that said so."""

    index: int | None
    statistic: float
    limit: float
    rule: str


def grubbs_limit(*, count: int, significance: float = 0.05) -> float:
    r"""Limit of Grubbs' test, two-sided.

    .. math:: G = \frac{n - 1}{\sqrt n} \sqrt{\frac{t^2}{n - 2 + t^2}}, \quad
        t = t_{1 - \alpha / (2n),\; n - 2}

    Parameters
    ----------
    count : int
        Number of readings, 3 or more.
    significance : float
        Chance of throwing out a reading although all belong together, between 0 and 1.

    Returns
    -------
    float
        Largest distance from the mean, in standard deviations, that still belongs.

    Raises
    ------
    ValueError
        If there are fewer than 3 readings or the significance is not between 0 and 1.

    Assumptions
    -----------
    Readings scatter like a bell curve (normal distribution).

    Examples
    --------
    >>> round(grubbs_limit(count=5), 3)
    1.715

    Source
    ------
    F. E. Grubbs, Technometrics 11 (1969); NIST/SEMATECH e-Handbook, 1.3.5.17.1.
    """
    require_at_least("number of readings", count, 3, "", "Take more readings at this station.")
    require_range("significance", significance, 1e-9, 1 - 1e-9)
    t = student_quantile(dof=count - 2, probability=1 - significance / (2 * count))
    return (count - 1) / math.sqrt(count) * math.sqrt(t * t / (count - 2 + t * t))


def find_outlier(*, readings_in: Sequence[float], significance: float = 0.05) -> Outlier:
    r"""Find the reading that does not belong with the others.

    .. math:: G = \max_i |h_i - \bar h| / s

    compared with `grubbs_limit`.

    Parameters
    ----------
    readings_in : sequence of float
        Three or more readings of the same height, each above 0 [in].
    significance : float
        Chance of a false alarm when all readings belong together, between 0 and 1.

    Returns
    -------
    Outlier
        ``index`` of the odd reading or None, ``statistic`` and ``limit`` (both in standard
        deviations), and ``rule``, the name of the test.

    Raises
    ------
    ValueError
        If there are fewer than 3 readings, one is not above 0, or the significance is not
        between 0 and 1.

    Assumptions
    -----------
    Normal scatter and at most one odd reading; two odd ones can hide each other. With three
    readings of which two are equal the test always says odd, so take at least five.

    Examples
    --------
    >>> find_outlier(readings_in=[1.001, 1.002, 1.001, 1.011, 1.000]).index
    3
    >>> find_outlier(readings_in=[1.001, 1.002, 1.001, 1.003, 1.000]).index is None
    True

    Source
    ------
    F. E. Grubbs, Technometrics 11 (1969); NIST/SEMATECH e-Handbook, 1.3.5.17.1.
    """
    readings = _readings(readings_in, least=3)
    limit = grubbs_limit(count=len(readings), significance=significance)
    mean, sd = _mean_and_sd(readings)
    away = [abs(reading - mean) for reading in readings]
    statistic = max(away) / sd if sd > 0 else 0.0
    index = away.index(max(away)) if statistic > limit else None
    return Outlier(index, statistic, limit, "Grubbs test, two-sided")


@dataclass(frozen=True, slots=True)
class Contribution:
    """One source of doubt: standard uncertainty, degrees of freedom, and how strongly it acts.

    `sensitivity` times `standard_uncertainty` is in the unit of the result.
    """

    standard_uncertainty: float
    dof: float = math.inf
    sensitivity: float = 1.0
    name: str = ""


@dataclass(frozen=True, slots=True)
class CombinedUncertainty:
    """Contributions joined: standard, effective degrees of freedom, factor and expanded."""

    standard_uncertainty: float
    effective_dof: float
    coverage_factor: float
    expanded_uncertainty: float
    coverage: float


def coverage_factor(*, coverage: float = 0.95, dof: float = math.inf) -> float:
    r"""Factor from a standard uncertainty to one with a stated coverage.

    .. math:: k = t_{(1 + p) / 2,\; \nu}

    Parameters
    ----------
    coverage : float
        Share of cases inside, between 0 and 1.
    dof : float
        Degrees of freedom, above 0; infinity for a well known uncertainty.

    Returns
    -------
    float
        Coverage factor.

    Raises
    ------
    ValueError
        If the coverage is not between 0 and 1 or the degrees of freedom are not above 0.

    Assumptions
    -----------
    Normal scatter.

    Examples
    --------
    >>> round(coverage_factor(), 3), round(coverage_factor(coverage=0.99, dof=16), 2)
    (1.96, 2.92)

    Source
    ------
    JCGM 100:2008, Table G.2.
    """
    require_range("coverage", coverage, 1e-9, 1 - 1e-9, "", "Enter a share such as 0.95.")
    if dof == math.inf:
        from statistics import NormalDist  # slower to start than all the formulas

        return NormalDist().inv_cdf((1 + coverage) / 2)
    return student_quantile(dof=dof, probability=(1 + coverage) / 2)


def combine_uncertainty(
    *, contributions: Sequence[Contribution], coverage: float = 0.95
) -> CombinedUncertainty:
    r"""Join independent sources of doubt to one uncertainty.

    .. math:: u_c^2 = \sum (c_i u_i)^2, \quad
        \nu = u_c^4 \Big/ \sum \frac{(c_i u_i)^4}{\nu_i}, \quad U = t_p(\lfloor\nu\rfloor) u_c

    Parameters
    ----------
    contributions : sequence of Contribution
        One or more, each with a standard uncertainty of 0 or more and degrees of freedom above 0.
    coverage : float
        Share of cases inside the expanded uncertainty, between 0 and 1.

    Returns
    -------
    CombinedUncertainty
        Standard and expanded uncertainty in the unit of the contributions, effective degrees
        of freedom as computed, and the coverage factor at its next lower whole number.

    Raises
    ------
    ValueError
        If there is no contribution, or a value is out of its range.

    Assumptions
    -----------
    Independent contributions that act in proportion (first order).

    Examples
    --------
    >>> both = combine_uncertainty(contributions=[Contribution(0.0003), Contribution(0.0004)])
    >>> round(both.standard_uncertainty, 6), round(both.expanded_uncertainty, 5)
    (0.0005, 0.00098)

    Source
    ------
    JCGM 100:2008, 5.1.2 and G.4.1, equation G.2b (Welch-Satterthwaite).
    """
    require_at_least("number of contributions", len(contributions), 1)
    for one in contributions:
        name = one.name or "contribution"
        require_non_negative(f"standard uncertainty of {name}", one.standard_uncertainty)
        require_finite(f"sensitivity of {name}", one.sensitivity)
        if one.dof != math.inf:
            require_above(f"degrees of freedom of {name}", one.dof, 0.0)
    parts = [abs(one.sensitivity * one.standard_uncertainty) for one in contributions]
    u = math.hypot(*parts)
    spread = math.fsum(
        (part / u) ** 4 / one.dof for part, one in zip(parts, contributions, strict=True) if u > 0
    )
    dof = 1 / spread if spread > 0 else math.inf
    # a hair above, so that exactly 9 found as 8.999999999 stays 9
    whole = dof if dof == math.inf else max(1.0, float(math.floor(dof * (1 + 1e-12))))
    k = coverage_factor(coverage=coverage, dof=whole)
    return CombinedUncertainty(u, dof, k, k * u, coverage)


def _readings(readings_in: Sequence[float], *, least: int) -> list[float]:
    readings = [float(reading) for reading in readings_in]
    require_at_least(
        "number of readings", len(readings), least, "", "Take more readings at this station."
    )
    require_positive("reading", readings, "in", "Enter the reading in inches.")
    return readings


def _mean_and_sd(readings: list[float]) -> tuple[float, float]:
    if min(readings) == max(readings):
        return readings[0], 0.0
    mean = math.fsum(readings) / len(readings)
    squares = math.fsum((reading - mean) ** 2 for reading in readings)
    return mean, math.sqrt(squares / (len(readings) - 1))
