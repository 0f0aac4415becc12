"""The same taper written per inch, per foot, as a ratio and as an angle.

Every name here can also be had from `taper`.
"""

from __future__ import annotations

import math

from taperkey.arrays import np
from taperkey.checks import require_finite, require_range, sentence
from taperkey.formulas.measure import Values

__all__ = [
    "taper_angle_rad",
    "taper_from_angle_in_per_in",
    "taper_from_per_foot_in_per_in",
    "taper_from_ratio_in_per_in",
    "taper_per_foot_in",
    "taper_ratio",
]


def taper_per_foot_in(*, taper_in_per_in: Values) -> Values:
    r"""Taper per foot.

    .. math:: t_{ft} = 12 \, t

    Parameters
    ----------
    taper_in_per_in : float or array
        Taper [in/in].

    Returns
    -------
    float or array
        Taper per foot [in/ft].

    Raises
    ------
    ValueError
        If the taper is not finite.

    Assumptions
    -----------
    None.

    Examples
    --------
    >>> taper_per_foot_in(taper_in_per_in=1 / 96)
    0.125

    Source
    ------
    Definition.
    """
    require_finite("taper", taper_in_per_in, "in/in")
    return 12 * taper_in_per_in


def taper_from_per_foot_in_per_in(*, taper_per_foot_in: Values) -> Values:
    r"""Taper per inch from a taper per foot.

    .. math:: t = t_{ft} / 12

    Parameters
    ----------
    taper_per_foot_in : float or array
        Taper per foot [in/ft].

    Returns
    -------
    float or array
        Taper [in/in].

    Raises
    ------
    ValueError
        If the taper is not finite.

    Assumptions
    -----------
    None.

    Examples
    --------
    >>> round(taper_from_per_foot_in_per_in(taper_per_foot_in=0.125), 4)
    0.0104

    Source
    ------
    Definition.
    """
    require_finite("taper per foot", taper_per_foot_in, "in/ft")
    return taper_per_foot_in / 12


def taper_ratio(*, taper_in_per_in: Values) -> Values:
    r"""Give the n of a taper written 1:n.

    .. math:: n = 1 / t

    Parameters
    ----------
    taper_in_per_in : float or array
        Taper, not 0 [in/in].

    Returns
    -------
    float or array
        Length in which the height changes by one; negative for a reversed hub.

    Raises
    ------
    ValueError
        If the taper is 0 or not finite.

    Assumptions
    -----------
    None.

    Examples
    --------
    >>> taper_ratio(taper_in_per_in=0.01)
    100.0

    Source
    ------
    Definition.
    """
    require_finite("taper", taper_in_per_in, "in/in")
    _refuse_zero("taper", taper_in_per_in, "in/in", "A straight slot has no ratio.")
    return 1 / taper_in_per_in


def taper_from_ratio_in_per_in(*, ratio: Values) -> Values:
    r"""Taper per inch from the n of a taper written 1:n.

    .. math:: t = 1 / n

    Parameters
    ----------
    ratio : float or array
        Length in which the height changes by one, not 0.

    Returns
    -------
    float or array
        Taper [in/in].

    Raises
    ------
    ValueError
        If the ratio is 0 or not finite.

    Assumptions
    -----------
    None.

    Examples
    --------
    >>> taper_from_ratio_in_per_in(ratio=100)
    0.01

    Source
    ------
    Definition.
    """
    require_finite("ratio", ratio)
    _refuse_zero("ratio", ratio, "", "Enter the 96 of 1:96.")
    return 1 / ratio


def taper_angle_rad(*, taper_in_per_in: Values) -> Values:
    r"""Angle between the sloping face and the flat one.

    .. math:: \alpha = \arctan t

    Parameters
    ----------
    taper_in_per_in : float or array
        Taper, all of it on one face [in/in].

    Returns
    -------
    float or array
        Angle [rad].

    Raises
    ------
    ValueError
        If the taper is not finite.

    Assumptions
    -----------
    The whole taper is in one face, as in a key: not half on each side as in a plug gauge.

    Examples
    --------
    >>> round(math.degrees(taper_angle_rad(taper_in_per_in=1 / 96)), 4)
    0.5968

    Source
    ------
    Definition.
    """
    require_finite("taper", taper_in_per_in, "in/in")
    if isinstance(taper_in_per_in, (int, float)):
        return math.atan(taper_in_per_in)
    return np.arctan(taper_in_per_in)


def taper_from_angle_in_per_in(*, angle_rad: Values) -> Values:
    r"""Taper per inch from the angle between the sloping face and the flat one.

    .. math:: t = \tan\alpha

    Parameters
    ----------
    angle_rad : float or array
        Angle, between -1.5 and 1.5 [rad].

    Returns
    -------
    float or array
        Taper [in/in].

    Raises
    ------
    ValueError
        If the angle is not between -1.5 and 1.5.

    Assumptions
    -----------
    The whole taper is in one face.

    Examples
    --------
    >>> round(1 / taper_from_angle_in_per_in(angle_rad=math.radians(0.59681)), 2)
    96.0

    Source
    ------
    Definition.
    """
    require_range("angle", angle_rad, -1.5, 1.5, "rad", "Enter the angle of the sloping face.")
    return math.tan(angle_rad) if isinstance(angle_rad, (int, float)) else np.tan(angle_rad)


def _refuse_zero(name: str, value: Values, unit: str, next_step: str) -> None:
    if hasattr(value, "dimensionality"):
        return
    if value == 0 if isinstance(value, (int, float)) else np.any(np.asarray(value) == 0):
        raise ValueError(sentence(name, 0, unit, "other than 0", next_step))
