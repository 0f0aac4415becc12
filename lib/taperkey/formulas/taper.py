"""Taper of the opening from heights along it, compared with the standard, and which end is large.

Distance is measured inward from the mouth. Taper is positive when the opening gets lower going
in: ``(height at the mouth - height inside) / distance``. A negative taper grows inward: the hub
is reversed, and the key that shows cannot be drawn out at this end.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from taperkey.arrays import np
from taperkey.checks import (
    require_at_least,
    require_finite,
    require_non_negative,
    require_positive,
)
from taperkey.formulas.linefit import fit_line
from taperkey.formulas.measure import Values, coverage_factor
from taperkey.formulas.taper_forms import (
    taper_angle_rad,
    taper_from_angle_in_per_in,
    taper_from_per_foot_in_per_in,
    taper_from_ratio_in_per_in,
    taper_per_foot_in,
    taper_ratio,
)

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = [
    "STANDARD_INCH",
    "STANDARD_METRIC",
    "Comparison",
    "ParallelMismatch",
    "Taper",
    "base_length_for_in",
    "compare_with_standard",
    "mouth_height_from_parallel_in",
    "parallel_mismatch",
    "taper_angle_rad",
    "taper_from_angle_in_per_in",
    "taper_from_per_foot_in_per_in",
    "taper_from_ratio_in_per_in",
    "taper_from_stations",
    "taper_per_foot_in",
    "taper_ratio",
    "taper_sd_in_per_in",
    "two_point_taper",
    "which_end_is_large",
]

STANDARD_INCH = 1 / 96  # 1/8 in per foot, ASME B17.1
STANDARD_METRIC = 1 / 100  # DIN 6886, ISO/R 774


@dataclass(frozen=True, slots=True)
class Taper:
    """Taper, its standard uncertainty, and the degrees of freedom behind it.

    `scatter_in` is the scatter of the heights about the line; nan where none is seen.
    """

    taper_in_per_in: float
    sd_in_per_in: float
    dof: float
    scatter_in: float = math.nan


def two_point_taper(
    *,
    mouth_height_in: float,
    inside_height_in: float,
    distance_in: float,
    height_sd_in: float = 0.0,
) -> Taper:
    r"""Taper from a height at the mouth and one inside.

    .. math:: t = \frac{h_0 - h_1}{d}, \quad u(t) = \frac{\sqrt 2 \, u(h)}{d}

    Parameters
    ----------
    mouth_height_in : float
        Height of the opening at the mouth, above 0 [in].
    inside_height_in : float
        Height of the opening at the marked place inside, above 0 [in].
    distance_in : float
        Distance from the mouth to that place, above 0 [in].
    height_sd_in : float
        Standard uncertainty of each height, 0 or more [in].

    Returns
    -------
    Taper
        Taper and its standard uncertainty [in/in]; degrees of freedom infinite, since the
        uncertainty is given and not found from scatter.

    Raises
    ------
    ValueError
        If a height or the distance is not above 0, or the uncertainty is below 0.

    Assumptions
    -----------
    Straight slot; distance known exactly; both heights equally well known and independent.

    Examples
    --------
    >>> taper = two_point_taper(mouth_height_in=1.0104, inside_height_in=1.0, distance_in=1.0)
    >>> round(taper.taper_in_per_in, 4)
    0.0104

    Source
    ------
    Common practice; uncertainty by JCGM 100:2008, equation 10.
    """
    require_positive("mouth height", mouth_height_in, "in", "Enter the reading at the open end.")
    require_positive("inside height", inside_height_in, "in", "Enter the reading at the mark.")
    require_positive("distance", distance_in, "in", "Enter how far inside the mark is.")
    require_non_negative("uncertainty of a height", height_sd_in, "in")
    taper = (mouth_height_in - inside_height_in) / distance_in
    return Taper(taper, math.sqrt(2) * height_sd_in / distance_in, math.inf)


def taper_from_stations(
    *, distances_in: ArrayLike, heights_in: ArrayLike, height_sd_in: ArrayLike | None = None
) -> Taper:
    r"""Taper from heights at several stations, by least squares.

    .. math:: t = - \frac{\sum (x - \bar x)(h - \bar h)}{\sum (x - \bar x)^2}

    Parameters
    ----------
    distances_in : array, shape (n,)
        Distances of the stations from the mouth, 0 or more, not all the same [in].
    heights_in : array, shape (n,)
        Heights of the opening there, above 0 [in].
    height_sd_in : float or array, shape (n,), optional
        Standard uncertainty of each height, above 0 [in]. Give it when the stations are few,
        say fewer than six: their scatter alone says too little. If left out, n is 3 or more and
        the scatter about the line tells the uncertainty.

    Returns
    -------
    Taper
        Taper and its standard uncertainty [in/in]; degrees of freedom n - 2, or infinite with a
        given `height_sd_in`; ``scatter_in``, the scatter about the line [in], to hold beside a
        given `height_sd_in`: a scatter far above it says that something else moved.

    Raises
    ------
    ValueError
        If there are too few stations, the counts differ, or a value is out of its range.

    Assumptions
    -----------
    Straight slot; distances known exactly; heights independent.

    Examples
    --------
    >>> taper = taper_from_stations(
    ...     distances_in=[0, 2, 4, 6], heights_in=[1.060, 1.040, 1.020, 1.000], height_sd_in=0.0005
    ... )
    >>> round(taper.taper_in_per_in, 6), round(taper.sd_in_per_in, 6)
    (0.01, 0.000112)

    Source
    ------
    JCGM 100:2008, H.3.2.
    """
    distances = np.asarray(distances_in, dtype=float).ravel()
    heights = np.asarray(heights_in, dtype=float).ravel()
    least, step = (
        (3, "Measure at one more station, or give the uncertainty of a height.")
        if height_sd_in is None
        else (2, "Measure at one more station.")
    )
    require_at_least("number of stations", distances.size, least, "", step)
    require_non_negative("distance", distances, "in", "Measure it inward from the mouth.")
    require_positive("height", heights, "in", "Enter the reading at this station.")
    fit = fit_line(x=distances, y=heights, sd=height_sd_in)
    plain = fit if height_sd_in is None else fit_line(x=distances, y=heights)
    dof = float(fit.dof) if height_sd_in is None else math.inf
    return Taper(-fit.slope, fit.slope_sd, dof, plain.residual_sd)


def taper_sd_in_per_in(*, distances_in: ArrayLike, height_sd_in: float) -> float:
    r"""Uncertainty of a taper that a plan of stations will give.

    .. math:: u(t) = \frac{u(h)}{\sqrt{\sum (x - \bar x)^2}}

    Parameters
    ----------
    distances_in : array, shape (n,)
        Distances of the stations from the mouth, 0 or more; name one twice to measure twice [in].
    height_sd_in : float
        Standard uncertainty of one height, 0 or more [in].

    Returns
    -------
    float
        Standard uncertainty of the taper [in/in].

    Raises
    ------
    ValueError
        If all stations are at one place or a value is out of its range.

    Assumptions
    -----------
    As `taper_from_stations`.

    Examples
    --------
    >>> round(taper_sd_in_per_in(distances_in=[0, 1], height_sd_in=0.0005), 6)
    0.000707
    >>> round(taper_sd_in_per_in(distances_in=[0, 2, 4, 6], height_sd_in=0.0005), 6)
    0.000112

    Source
    ------
    JCGM 100:2008, H.3.2, equation H.13d.
    """
    distances = np.asarray(distances_in, dtype=float).ravel()
    require_at_least("number of stations", distances.size, 2, "", "Measure at one more station.")
    require_non_negative("distance", distances, "in", "Measure it inward from the mouth.")
    require_non_negative("uncertainty of a height", height_sd_in, "in")
    spread = float(np.sum((distances - distances.mean()) ** 2))
    require_positive("spread of the stations", spread, "in2", "Use stations apart.")
    return height_sd_in / math.sqrt(spread)


def base_length_for_in(*, wanted_sd_in_per_in: Values, height_sd_in: Values) -> Values:
    r"""Distance between two heights that brings the taper to a wanted uncertainty.

    .. math:: d = \frac{\sqrt 2 \, u(h)}{u(t)}

    Parameters
    ----------
    wanted_sd_in_per_in : float or array
        Standard uncertainty wanted of the taper, above 0 [in/in].
    height_sd_in : float or array
        Standard uncertainty of each height, 0 or more [in].

    Returns
    -------
    float or array
        Distance from the mouth to the place inside [in].

    Raises
    ------
    ValueError
        If the wanted uncertainty is not above 0 or the other is below 0.

    Assumptions
    -----------
    As `two_point_taper`.

    Examples
    --------
    Heights to half a thousandth, the taper wanted to 0.001 in per foot:

    >>> round(base_length_for_in(wanted_sd_in_per_in=0.001 / 12, height_sd_in=0.0005), 1)
    8.5

    Source
    ------
    Derived here from `two_point_taper`.
    """
    require_positive("wanted uncertainty", wanted_sd_in_per_in, "in/in", "Enter a small number.")
    require_non_negative("uncertainty of a height", height_sd_in, "in")
    return math.sqrt(2) * height_sd_in / wanted_sd_in_per_in


@dataclass(frozen=True, slots=True)
class Comparison:
    """A measured taper held against a standard one.

    `difference` and `limit` are in inches per inch.
    """

    compatible: bool
    difference: float
    limit: float
    coverage_factor: float


def compare_with_standard(
    *,
    taper_in_per_in: float,
    sd_in_per_in: float,
    standard_in_per_in: float = STANDARD_INCH,
    coverage: float = 0.95,
    dof: float = math.inf,
) -> Comparison:
    r"""Hold a measured taper against a standard one, within what the measurement can tell.

    .. math:: |t - t_0| \le k_p \, u(t)

    Parameters
    ----------
    taper_in_per_in : float
        Taper measured [in/in].
    sd_in_per_in : float
        Its standard uncertainty, 0 or more [in/in].
    standard_in_per_in : float
        Standard taper; 1/96 if left out; negative to hold a reversed hub against it [in/in].
    coverage : float
        Share of true standard slots that pass, between 0 and 1.
    dof : float
        Degrees of freedom of the uncertainty, above 0; infinity for a well known one.

    Returns
    -------
    Comparison
        ``compatible``, ``difference`` and ``limit`` [in/in], ``coverage_factor``. Compatible
        says only that the readings do not tell them apart, not that they are the same.

    Raises
    ------
    ValueError
        If a value is out of its range.

    Assumptions
    -----------
    Normal scatter.

    Examples
    --------
    A gauge good to half a thousandth on a 1 in base cannot tell 1:96 from 1:100:

    >>> compare_with_standard(
    ...     taper_in_per_in=0.0100, sd_in_per_in=0.0007, standard_in_per_in=1 / 96
    ... ).compatible
    True

    Source
    ------
    JCGM 100:2008, G.1; decision rule derived here.
    """
    require_finite("taper", taper_in_per_in, "in/in")
    require_non_negative("uncertainty of the taper", sd_in_per_in, "in/in")
    require_finite("standard taper", standard_in_per_in, "in/in")
    k = coverage_factor(coverage=coverage, dof=dof)
    difference = taper_in_per_in - standard_in_per_in
    limit = k * sd_in_per_in
    rounding = 1e-12 * abs(standard_in_per_in)
    return Comparison(abs(difference) <= limit + rounding, difference, limit, k)


def which_end_is_large(
    *,
    taper_in_per_in: float,
    sd_in_per_in: float,
    coverage: float = 0.95,
    dof: float = math.inf,
) -> Literal["mouth", "inside", "undecided"]:
    r"""Tell which end of the opening is the large one, or that the readings cannot tell.

    .. math:: |t| > k_p \, u(t)

    Parameters
    ----------
    taper_in_per_in : float
        Taper measured, positive when the opening gets lower going in [in/in].
    sd_in_per_in : float
        Its standard uncertainty, 0 or more [in/in].
    coverage : float
        Share of straight slots that stay undecided, between 0 and 1.
    dof : float
        Degrees of freedom of the uncertainty, above 0; infinity for a well known one.

    Returns
    -------
    str
        ``"mouth"``: the key comes out at the mouth. ``"inside"``: the hub is reversed, and a
        pull at the mouth tightens the key. ``"undecided"``: measure again on a longer base.

    Raises
    ------
    ValueError
        If a value is out of its range.

    Assumptions
    -----------
    Normal scatter.

    Examples
    --------
    >>> which_end_is_large(taper_in_per_in=-0.0104, sd_in_per_in=0.0007)
    'inside'
    >>> which_end_is_large(taper_in_per_in=0.0010, sd_in_per_in=0.0007)
    'undecided'

    Source
    ------
    Derived here from `compare_with_standard` with a straight slot.
    """
    straight = compare_with_standard(
        taper_in_per_in=taper_in_per_in,
        sd_in_per_in=sd_in_per_in,
        standard_in_per_in=0.0,
        coverage=coverage,
        dof=dof,
    )
    if straight.compatible:
        return "undecided"
    return "mouth" if taper_in_per_in > 0 else "inside"


def mouth_height_from_parallel_in(
    *,
    large_end_height_in: Values,
    stand_out_in: Values = 0.0,
    parallel_taper_in_per_in: Values = STANDARD_INCH,
) -> Values:
    r"""Height at the mouth from a taper bar that was slid in until tight.

    .. math:: h_0 = H - s \, p

    Parameters
    ----------
    large_end_height_in : float or array
        Height of the bar at its large end, above 0 [in].
    stand_out_in : float or array
        How far that end stands out of the mouth; negative when it is inside [in].
    parallel_taper_in_per_in : float or array
        Taper to which the bar is ground; 1/96 if left out [in/in].

    Returns
    -------
    float or array
        Height of the opening at the mouth [in].

    Raises
    ------
    ValueError
        If the height is not above 0 or a value is not finite.

    Assumptions
    -----------
    Slot and bar have the same taper. If not, the mouth is higher by the gap that
    `parallel_mismatch` finds there.

    Examples
    --------
    >>> mouth_height_from_parallel_in(large_end_height_in=1.010, stand_out_in=0.96)
    1.0

    Source
    ------
    Derived here: straight line back from the large end.
    """
    require_positive("height of the large end", large_end_height_in, "in", "Measure it again.")
    require_finite("stand-out", stand_out_in, "in")
    require_finite("taper of the bar", parallel_taper_in_per_in, "in/in")
    return large_end_height_in - parallel_taper_in_per_in * stand_out_in


@dataclass(frozen=True, slots=True)
class ParallelMismatch:
    """Where a taper bar bears in a slot of another taper, and the gap left elsewhere.

    `bears_at` and `gap_at` are "mouth" or "inside"; "whole length" and "nowhere" when alike.
    `mouth_gap_in` is what `mouth_height_from_parallel_in` reads too low.
    """

    bears_at: Literal["mouth", "inside", "whole length"]
    gap_at: Literal["mouth", "inside", "nowhere"]
    gap_in: float
    mouth_gap_in: float


def parallel_mismatch(
    *,
    engaged_length_in: float,
    slot_taper_in_per_in: float,
    parallel_taper_in_per_in: float = STANDARD_INCH,
) -> ParallelMismatch:
    r"""Find which end bears, and the gap at the other, when the slot's taper differs.

    .. math:: g = |t - s| \, L

    Parameters
    ----------
    engaged_length_in : float
        Length of the bar inside the slot, above 0 [in].
    slot_taper_in_per_in : float
        Taper of the slot [in/in].
    parallel_taper_in_per_in : float
        Taper of the bar, or of a key; 1/96 if left out [in/in].

    Returns
    -------
    ParallelMismatch
        ``bears_at``, ``gap_at``, ``gap_in`` there, and ``mouth_gap_in`` [in].

    Raises
    ------
    ValueError
        If the length is not above 0 or a value is not finite.

    Assumptions
    -----------
    Straight faces, tight by hand only: nothing gives.

    Examples
    --------
    A 1:96 bar in a slot of 3/16 in per foot: it bears inside and rattles at the mouth.

    >>> found = parallel_mismatch(engaged_length_in=6.0, slot_taper_in_per_in=0.1875 / 12)
    >>> found.bears_at, found.gap_at, round(found.gap_in, 5)
    ('inside', 'mouth', 0.03125)

    Source
    ------
    Derived here: two straight lines touching at one end.
    """
    require_positive("length in the slot", engaged_length_in, "in", "Measure what is inside.")
    require_finite("taper of the slot", slot_taper_in_per_in, "in/in")
    require_finite("taper of the bar", parallel_taper_in_per_in, "in/in")
    gap = (slot_taper_in_per_in - parallel_taper_in_per_in) * engaged_length_in
    if gap > 0:
        return ParallelMismatch("inside", "mouth", gap, gap)
    if gap < 0:
        return ParallelMismatch("mouth", "inside", -gap, 0.0)
    return ParallelMismatch("whole length", "nowhere", 0.0, 0.0)
