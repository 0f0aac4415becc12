"""The key itself: size, depths of its seats, and what the slot asks of it.

The key's flat face lies in the shaft slot, its sloping face bears in the hub. How it is cut from
a bar is in `cutting`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from taperkey import practice
from taperkey.checks import (
    require_above,
    require_finite,
    require_in,
    require_non_negative,
    require_positive,
    sentence,
)
from taperkey.formulas.key_form import (
    SteppedKey,
    TappedEnd,
    chamfer_clears,
    held_off_height_in,
    stepped_key,
    tapped_end,
)
from taperkey.formulas.measure import Values
from taperkey.formulas.taper import STANDARD_INCH, STANDARD_METRIC
from taperkey.tables.keys import depth_constant_in, inch_key_size, metric_key_size

__all__ = [
    "FITTING_ALLOWANCE_IN",
    "KeyBlank",
    "KeySize",
    "KeyseatDepths",
    "SteppedKey",
    "TappedEnd",
    "chamfer_clears",
    "height_for_travel_in",
    "held_off_height_in",
    "key_blank",
    "key_size",
    "keyseat_depths",
    "metric_keyseat_depths",
    "stepped_key",
    "tapped_end",
    "travel_for_height_in",
]

FITTING_ALLOWANCE_IN = practice.value("fitting_allowance")

_TAPER_STEP = "Measure from the large end of the opening."


@dataclass(frozen=True, slots=True)
class KeySize:
    """Nominal key for a shaft: width, height at the large end, form, taper and where it stands."""

    width_in: float
    height_in: float
    form: Literal["square", "rectangular"]
    taper_in_per_in: float
    standard: str
    status: str


def key_size(*, shaft_diameter_in: float, system: str = "inch", form: str = "preferred") -> KeySize:
    """Choose the nominal taper key for a shaft.

    The size comes from the row "over ... to and including" of the standard.

    Parameters
    ----------
    shaft_diameter_in : float
        Shaft diameter: over 5/16 to 30 for inch keys, over 6 mm to 260 mm for metric [in].
    system : str
        ``"inch"`` or ``"metric"``.
    form : str
        ``"preferred"``, ``"square"`` or ``"rectangular"``; metric keys come in one form.

    Returns
    -------
    KeySize
        Width and height [in], form, standard taper [in/in], standard, and whether its row was
        found in print or is from memory.

    Raises
    ------
    ValueError
        If the table has no key for that shaft, system or form.

    Assumptions
    -----------
    A slot cut to the standard. A worn or recut slot decides its own key: measure it.

    Examples
    --------
    >>> key = key_size(shaft_diameter_in=4.0)
    >>> key.width_in, key.height_in, key.form
    (1.0, 1.0, 'square')
    >>> key = key_size(shaft_diameter_in=100 / 25.4, system="metric")
    >>> round(key.width_in * 25.4, 6), round(key.height_in * 25.4, 6)
    (28.0, 16.0)

    Source
    ------
    ASME B17.1-1967 (R2013), Table 1; DIN 6886.
    """
    require_in("system of keys", system, ("inch", "metric"))
    require_in("form of key", form, ("preferred", "square", "rectangular"))
    if system == "metric":
        row = metric_key_size(shaft_diameter_in=shaft_diameter_in)
        only: Literal["square", "rectangular"]
        only = "square" if row.width_mm == row.height_mm else "rectangular"
        if form not in ("preferred", only):
            rule = f"'preferred' or {only!r} for this shaft"
            raise ValueError(sentence("form of key", repr(form), "", rule))
        return KeySize(row.width_in, row.height_in, only, STANDARD_METRIC, "DIN 6886", row.status)
    inch = inch_key_size(shaft_diameter_in=shaft_diameter_in)
    square = form == "square" or (form == "preferred" and inch.preferred == "square")
    height = inch.square_height_in if square else inch.rectangular_height_in
    if height is None:
        other = "rectangular" if square else "square"
        raise ValueError(sentence("form of key", repr(form), "", f"{other!r} for this shaft"))
    chosen: Literal["square", "rectangular"] = "square" if square else "rectangular"
    return KeySize(inch.width_in, height, chosen, STANDARD_INCH, "ASME B17.1", inch.status)


@dataclass(frozen=True, slots=True)
class KeyseatDepths:
    """Depths of both keyseats as they are measured across shaft and bore.

    `chord_rise_in` is Y, `shaft_depth_in` S and `hub_depth_in` T of the standard.
    """

    chord_rise_in: float
    shaft_depth_in: float
    hub_depth_in: float


def keyseat_depths(
    *, shaft_diameter_in: float, width_in: float, height_in: float, kind: str = "taper"
) -> KeyseatDepths:
    r"""Depths of an inch keyseat across the shaft and across the bore.

    .. math:: Y = \frac{D - \sqrt{D^2 - W^2}}{2}, \quad S = D - Y - \frac{H}{2}, \quad
        T = D - Y + \frac{H}{2} + C

    with C = -0.020 in for a taper key and +0.005 in for a parallel one.

    Parameters
    ----------
    shaft_diameter_in : float
        Shaft diameter D, above the key's width [in].
    width_in : float
        Key width W, above 0 [in].
    height_in : float
        Nominal key height H, above 0 [in].
    kind : str
        ``"taper"`` or ``"parallel"``.

    Returns
    -------
    KeyseatDepths
        Y, S from the far side of the shaft to the bottom of its slot, and T from the far side
        of the bore to the bottom of the hub slot, for a taper key at its deeper end [in].

    Raises
    ------
    ValueError
        If a size is not above 0, the key is not narrower than the shaft, or the kind is unknown.

    Assumptions
    -----------
    Bore and shaft of one nominal diameter.

    Examples
    --------
    >>> depths = keyseat_depths(shaft_diameter_in=2.0, width_in=0.5, height_in=0.5)
    >>> round(depths.shaft_depth_in, 3), round(depths.hub_depth_in, 3)
    (1.718, 2.198)

    Source
    ------
    ASME B17.1-1967 (R2013), formulas from memory; they give Machinery's Handbook, 31st ed.,
    p. 2552, Table 2, to its last figure.
    """
    W, H = width_in, height_in
    require_positive("key width", W, "in", "Enter the nominal width.")
    require_positive("key height", H, "in", "Enter the nominal height.")
    require_above("shaft diameter", shaft_diameter_in, W, "in", "The key must fit in the shaft.")
    C = depth_constant_in(kind=kind)
    D = shaft_diameter_in
    # (D - sqrt(D2 - W2)) / 2 without the loss of figures for a thin key
    Y = W * W / (2 * (D + math.sqrt(D * D - W * W)))
    return KeyseatDepths(Y, D - Y - H / 2, D - Y + H / 2 + C)


def metric_keyseat_depths(*, shaft_diameter_in: float, kind: str = "taper") -> KeyseatDepths:
    r"""Depths of a metric keyseat across the shaft and across the bore.

    .. math:: S = D - t_1, \quad T = D + t_2

    Parameters
    ----------
    shaft_diameter_in : float
        Shaft diameter D, over 6 mm to and including 260 mm, given in inches [in].
    kind : str
        ``"taper"`` or ``"parallel"``.

    Returns
    -------
    KeyseatDepths
        Y of the key's width, S and, for a taper key at its deeper end, T [in].

    Raises
    ------
    ValueError
        If the table has no row for the shaft or the kind is unknown.

    Assumptions
    -----------
    Bore and shaft of one nominal diameter; depths counted from the full diameter.

    Examples
    --------
    >>> depths = metric_keyseat_depths(shaft_diameter_in=100 / 25.4)
    >>> round(depths.shaft_depth_in * 25.4, 6), round(depths.hub_depth_in * 25.4, 6)
    (90.0, 105.4)

    Source
    ------
    DIN 6886 (t1 and largest t2); parallel t2 from DIN 6885-1.
    """
    require_in("kind of key", kind, ("taper", "parallel"))
    row = metric_key_size(shaft_diameter_in=shaft_diameter_in)
    D, W = shaft_diameter_in, row.width_in
    t2 = row.hub_depth_taper_in if kind == "taper" else row.hub_depth_parallel_in
    Y = W * W / (2 * (D + math.sqrt(D * D - W * W)))
    return KeyseatDepths(Y, D - row.shaft_depth_in, D + t2)


def travel_for_height_in(*, height_in: Values, taper_in_per_in: Values) -> Values:
    r"""Travel of a key for a change of height.

    .. math:: x = h / t

    Parameters
    ----------
    height_in : float or array
        Height filed off, or still too high [in].
    taper_in_per_in : float or array
        Taper, above 0 [in/in].

    Returns
    -------
    float or array
        Travel along the slot [in].

    Raises
    ------
    ValueError
        If the taper is not above 0 or the height is not finite.

    Assumptions
    -----------
    Key and slot have the same taper and bear along their whole length.

    Examples
    --------
    At 1:96 a thousandth of height is 0.096 in of travel.

    >>> round(travel_for_height_in(height_in=0.001, taper_in_per_in=1 / 96), 6)
    0.096

    Source
    ------
    Derived here: definition of the taper.
    """
    require_finite("height", height_in, "in")
    require_positive("taper", taper_in_per_in, "in/in", _TAPER_STEP)
    return height_in / taper_in_per_in


def height_for_travel_in(*, travel_in: Values, taper_in_per_in: Values) -> Values:
    r"""Change of height that goes with a travel of the key.

    .. math:: h = t \, x

    Parameters
    ----------
    travel_in : float or array
        Travel along the slot [in].
    taper_in_per_in : float or array
        Taper, above 0 [in/in].

    Returns
    -------
    float or array
        Height [in].

    Raises
    ------
    ValueError
        If the taper is not above 0 or the travel is not finite.

    Assumptions
    -----------
    As `travel_for_height_in`.

    Examples
    --------
    >>> round(height_for_travel_in(travel_in=0.96, taper_in_per_in=1 / 96), 6)
    0.01

    Source
    ------
    Derived here: definition of the taper.
    """
    require_finite("travel", travel_in, "in")
    require_positive("taper", taper_in_per_in, "in/in", _TAPER_STEP)
    return travel_in * taper_in_per_in


@dataclass(frozen=True, slots=True)
class KeyBlank:
    """Key as it is cut, before fitting.

    `travel_to_home_in` is how far the blank stops short of home when first pushed in by hand. A
    rule from the hub face finds more where some of the finished key stays outside: the stand-out
    is that length and the travel to home together.
    """

    large_end_height_in: float
    small_end_height_in: float
    length_in: float
    travel_to_home_in: float


def key_blank(
    *,
    mouth_height_in: float,
    taper_in_per_in: float,
    engaged_length_in: float,
    allowance_in: float = FITTING_ALLOWANCE_IN,
    extra_length_in: float = 0.0,
) -> KeyBlank:
    r"""Find heights, length and travel to home of the blank for a measured opening.

    .. math:: H = h_0 + t e + a, \quad H_s = h_0 - t L + a, \quad p = a / t

    Parameters
    ----------
    mouth_height_in : float
        Height h0 of the opening at the mouth, keyway at the bottom, above 0 [in].
    taper_in_per_in : float
        Taper t of the opening, above 0 [in/in].
    engaged_length_in : float
        Length L of the fitted key inside the slot, above 0 [in].
    allowance_in : float
        Over size in height a for fitting and drive, 0 or more [in].
    extra_length_in : float
        Length e of the fitted key that stays outside the mouth, 0 or more [in].

    Returns
    -------
    KeyBlank
        Heights at the large and small ends, length, and travel to home [in].

    Raises
    ------
    ValueError
        If a value is out of its range, or the slot would close before the key's small end.

    Assumptions
    -----------
    Straight slot. The height was taken with the keyway turned to the bottom, so that it holds
    the clearance.

    Examples
    --------
    >>> blank = key_blank(mouth_height_in=1.0, taper_in_per_in=1 / 96, engaged_length_in=9.6)
    >>> round(blank.large_end_height_in, 4), round(blank.small_end_height_in, 4)
    (1.01, 0.91)
    >>> round(blank.travel_to_home_in, 3)
    0.96

    Source
    ------
    Derived here; allowance: common practice.
    """
    require_positive("mouth height", mouth_height_in, "in", "Enter the reading at the open end.")
    require_positive("taper", taper_in_per_in, "in/in", _TAPER_STEP)
    require_positive("length in the slot", engaged_length_in, "in", "Measure the hub.")
    require_non_negative("fitting allowance", allowance_in, "in")
    require_non_negative("length outside the mouth", extra_length_in, "in")
    small = mouth_height_in - taper_in_per_in * engaged_length_in + allowance_in
    require_positive("height of the small end", small, "in", "Check taper and length.")
    return KeyBlank(
        large_end_height_in=mouth_height_in + taper_in_per_in * extra_length_in + allowance_in,
        small_end_height_in=small,
        length_in=engaged_length_in + extra_length_in,
        travel_to_home_in=allowance_in / taper_in_per_in,
    )
