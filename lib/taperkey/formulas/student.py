"""Student's t for few readings, without a large library: a page of the course opens faster.

Bench pages need one number from it, the coverage factor; the library that has it
takes longer to load than all the rest of a page.
"""

from __future__ import annotations

import math
from functools import lru_cache

from taperkey.checks import require_positive, require_range

__all__ = ["student_quantile"]

_TINY = 1e-300
_MOST_TERMS = 10_000
_MOST_STEPS = 200
_MANY = 1e5  # degrees of freedom from which on the continued fraction loses figures


@lru_cache(maxsize=512)
def student_quantile(*, dof: float, probability: float) -> float:
    r"""Return the t that a reading's scaled error does not exceed with a given probability.

    .. math:: P(T \le t) = 1 - \tfrac12 I_x(\nu/2, 1/2), \quad x = \nu/(\nu + t^2), \; t \ge 0

    solved for t; I is the regularised incomplete beta function.

    Parameters
    ----------
    dof : float
        Degrees of freedom ν, above 0.
    probability : float
        Between 0 and 1, both excluded.

    Returns
    -------
    float
        The quantile t.

    Raises
    ------
    ValueError
        If the degrees of freedom are not above 0 or the probability is not between 0 and 1.

    Assumptions
    -----------
    Readings scatter like a bell curve (normal distribution).

    Examples
    --------
    >>> round(student_quantile(dof=1, probability=0.75), 12)
    1.0
    >>> round(student_quantile(dof=4, probability=0.975), 2)
    2.78

    Source
    ------
    NIST Digital Library of Mathematical Functions, 8.17.22 (continued fraction) and 8.17.4; for
    many degrees of freedom Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.5 (from
    memory).
    """
    require_positive("degrees of freedom", dof)
    require_range("probability", probability, 1e-15, 1 - 1e-15)
    if probability < 0.5:
        return -student_quantile(dof=dof, probability=1 - probability)
    if probability == 0.5:
        return 0.0
    from statistics import NormalDist  # slower to start than all the formulas

    if dof > _MANY:
        z = NormalDist().inv_cdf(probability)
        return z + (z**3 + z) / (4 * dof) + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * dof * dof)
    tail = 1 - probability
    t = max(NormalDist().inv_cdf(probability), 1e-12)
    low, high = 0.0, math.inf
    for _ in range(_MOST_STEPS):
        over = _upper_tail(t, dof) - tail
        if over > 0:
            low = t
        else:
            high = t
        step = t + over / _density(t, dof)
        if not low < step < high:
            step = 2 * t if high == math.inf else (low + high) / 2
        if abs(step - t) <= 4e-15 * step:
            return step
        t = step
    return t


def _density(t: float, dof: float) -> float:
    front = math.lgamma((dof + 1) / 2) - math.lgamma(dof / 2) - math.log(dof * math.pi) / 2
    return math.exp(front - (dof + 1) / 2 * math.log1p(t * t / dof))


def _upper_tail(t: float, dof: float) -> float:
    square = t * t
    return 0.5 * _beta_share(dof / 2, 0.5, dof / (dof + square), square / (dof + square))


def _beta_share(a: float, b: float, x: float, rest: float) -> float:
    """Return the regularised incomplete beta function at x, with 1 - x given as `rest`."""
    if x <= 0 or rest <= 0:
        return 0.0 if x <= 0 else 1.0
    if x > (a + 1) / (a + b + 2):
        return 1 - _beta_share(b, a, rest, x)
    front = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    front += a * math.log(x) + b * math.log(rest)
    return math.exp(front) / (a * _fraction(a, b, x))


def _fraction(a: float, b: float, x: float) -> float:
    """Return the continued fraction of the incomplete beta function (Lentz's way)."""
    value, c, d = 1.0, 1.0, 0.0
    for term in range(1, _MOST_TERMS):
        m = term // 2
        if term % 2:
            factor = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        else:
            factor = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        d = 1 / (1 + factor * d or _TINY)
        c = 1 + factor / c or _TINY
        value *= c * d
        if abs(c * d - 1) < 1e-16:
            break
    return value
