"""Threads: stress area, limits of size, and the areas that strip.

Book symbols in the bodies: D diameter, P pitch, n threads per inch, Le engagement,
Es least pitch diameter of the rod, Kn greatest minor diameter of the hole, Ds least
major diameter of the rod, En greatest pitch diameter of the hole.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from taperkey.checks import require_above, require_positive, require_range

__all__ = [
    "INCH_PITCH_SHARE",
    "METRIC_PITCH_SHARE",
    "ThreadLimits",
    "hole_stripping_area_in2",
    "rod_stripping_area_in2",
    "strong_rod_stress_area_in2",
    "stress_area_in2",
    "stripping_force_lbf",
    "tap_drill_in",
    "thread_limits",
    "thread_share",
]

INCH_PITCH_SHARE = 0.9743
METRIC_PITCH_SHARE = 0.9382
FULL_THREAD = 1.29904  # twice the height of a full thread, over the pitch
SHARP_HEIGHT = math.sqrt(3) / 2  # height of the sharp thread over the pitch


def stress_area_in2(
    *, diameter_in: float, pitch_in: float, pitch_share: float = INCH_PITCH_SHARE
) -> float:
    """Return the tensile stress area of a thread.

    At = .7854 (D - .9743 P)^2; metric .7854 (D - .9382 P)^2

    Parameters
    ----------
    diameter_in : float
        Basic major diameter, above 0 [in].
    pitch_in : float
        Pitch, above 0 [in].
    pitch_share : float
        Share of the pitch taken off, .9743 inch, .9382 metric [-].

    Returns
    -------
    float
        Tensile stress area [in2].

    Raises
    ------
    ValueError
        If diameter or pitch is outside its range.

    Assumptions
    -----------
    60 degree thread in good order.

    Examples
    --------
    >>> round(stress_area_in2(diameter_in=1.25, pitch_in=1 / 7), 3)
    0.969

    Source
    ------
    ASME B1.1 and ASME PCC-1, Table H-1; ISO 898-1.
    """
    require_positive("thread diameter", diameter_in, "in")
    require_positive("pitch", pitch_in, "in")
    require_range("share of the pitch", pitch_share, 0.9, 1)
    return math.pi / 4 * (diameter_in - pitch_share * pitch_in) ** 2


def strong_rod_stress_area_in2(*, least_pitch_diameter_in: float, pitch_in: float) -> float:
    """Return the stress area for rods above 100 ksi tensile.

    At = pi (Es/2 - .16238 P)^2

    Parameters
    ----------
    least_pitch_diameter_in : float
        Least pitch diameter of the rod's thread, above 0 [in].
    pitch_in : float
        Pitch, above 0 [in].

    Returns
    -------
    float
        Tensile stress area [in2].

    Raises
    ------
    ValueError
        If an argument is not above 0.

    Assumptions
    -----------
    For steels above 100,000 psi tensile strength; a little below the usual area.

    Examples
    --------
    >>> round(strong_rod_stress_area_in2(least_pitch_diameter_in=0.4435, pitch_in=1 / 13), 5)
    0.13757

    Source
    ------
    Screw-Thread Standards for Federal Services H28, as quoted in Machinery's Handbook.
    """
    require_positive("least pitch diameter", least_pitch_diameter_in, "in")
    require_positive("pitch", pitch_in, "in")
    return math.pi * (least_pitch_diameter_in / 2 - 0.16238 * pitch_in) ** 2


@dataclass(frozen=True, kw_only=True)
class ThreadLimits:
    """The limits of size that decide stripping, and the least hole.

    Attributes
    ----------
    rod_pitch_low_in : float
        Least pitch diameter of the rod [in].
    rod_major_low_in : float
        Least major diameter of the rod [in].
    hole_minor_low_in, hole_minor_high_in : float
        Least and greatest minor diameter of the hole [in].
    hole_pitch_high_in : float
        Greatest pitch diameter of the hole [in].
    """

    rod_pitch_low_in: float
    rod_major_low_in: float
    hole_minor_low_in: float
    hole_minor_high_in: float
    hole_pitch_high_in: float


def thread_limits(*, diameter_in: float, pitch_in: float) -> ThreadLimits:
    """Return the limits of a coarse thread, class 2A rod in a 2B hole.

    TD = .0015 D^(1/3) + .0015 D^(1/2) + .015 P^(2/3); hole 1.3 TD; allowance .3 TD

    Parameters
    ----------
    diameter_in : float
        Basic major diameter, 0.25 to 4 [in].
    pitch_in : float
        Pitch, 0.035 to 0.25 [in].

    Returns
    -------
    ThreadLimits
        Limits of size [in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Engagement of one diameter. Used for ISO coarse threads as well, whose 6g and
    6H limits are close: an approximation, good to about 1 % of the area.

    Examples
    --------
    >>> limits = thread_limits(diameter_in=0.75, pitch_in=0.1)
    >>> round(limits.hole_pitch_high_in, 4), round(limits.hole_minor_high_in, 3)
    (0.6927, 0.663)

    Source
    ------
    ASME B1.1 tolerance formulas (memory); they give the printed limits of 1/2-13
    and 3/4-10.
    """
    require_range("thread diameter", diameter_in, 0.25, 4, "in")
    require_range("pitch", pitch_in, 0.035, 0.25, "in")
    D, P = diameter_in, pitch_in
    tolerance = 0.0015 * D ** (1 / 3) + 0.0015 * D**0.5 + 0.015 * P ** (2 / 3)
    allowance = 0.3 * tolerance
    pitch_diameter = D - 0.75 * SHARP_HEIGHT * P
    minor_tolerance = 0.25 * P - 0.4 * P**2
    minor = D - 1.25 * SHARP_HEIGHT * P
    return ThreadLimits(
        rod_pitch_low_in=pitch_diameter - allowance - tolerance,
        rod_major_low_in=D - allowance - 0.060 * P ** (2 / 3),
        hole_minor_low_in=minor,
        hole_minor_high_in=minor + minor_tolerance,
        hole_pitch_high_in=pitch_diameter + 1.3 * tolerance,
    )


def rod_stripping_area_in2(
    *,
    pitch_in: float,
    engagement_in: float,
    rod_pitch_low_in: float,
    hole_minor_high_in: float,
) -> float:
    """Return the area in shear when the rod's thread strips.

    AS = pi n Le Kn [1/(2n) + .57735 (Es - Kn)]

    Parameters
    ----------
    pitch_in : float
        Pitch, above 0 [in].
    engagement_in : float
        Length of full thread engaged, above 0 [in].
    rod_pitch_low_in : float
        Least pitch diameter of the rod, above 0 [in].
    hole_minor_high_in : float
        Greatest minor diameter of the hole, above 0 [in].

    Returns
    -------
    float
        Shear area of the rod's thread [in2].

    Raises
    ------
    ValueError
        If an argument is not above 0.

    Assumptions
    -----------
    All engaged threads share the load evenly.

    Examples
    --------
    >>> round(rod_stripping_area_in2(pitch_in=1 / 13, engagement_in=0.5,
    ...                              rod_pitch_low_in=0.4435, hole_minor_high_in=0.434), 3)
    0.389

    Source
    ------
    H28 and ASME B1.1, as quoted in Machinery's Handbook.
    """
    require_positive("pitch", pitch_in, "in")
    require_positive("engagement", engagement_in, "in")
    require_positive("least pitch diameter of the rod", rod_pitch_low_in, "in")
    require_positive("greatest minor diameter of the hole", hole_minor_high_in, "in")
    P, Le, Es, Kn = pitch_in, engagement_in, rod_pitch_low_in, hole_minor_high_in
    return math.pi * (Le / P) * Kn * (P / 2 + 0.57735 * (Es - Kn))


def hole_stripping_area_in2(
    *,
    pitch_in: float,
    engagement_in: float,
    rod_major_low_in: float,
    hole_pitch_high_in: float,
) -> float:
    """Return the area in shear when the thread in the hole strips.

    AS = pi n Le Ds [1/(2n) + .57735 (Ds - En)]

    Parameters
    ----------
    pitch_in : float
        Pitch, above 0 [in].
    engagement_in : float
        Length of full thread engaged, above 0 [in].
    rod_major_low_in : float
        Least major diameter of the rod, above 0 [in].
    hole_pitch_high_in : float
        Greatest pitch diameter of the hole, above 0 [in].

    Returns
    -------
    float
        Shear area of the thread in the hole [in2].

    Raises
    ------
    ValueError
        If an argument is not above 0.

    Assumptions
    -----------
    All engaged threads share the load evenly.

    Examples
    --------
    >>> round(hole_stripping_area_in2(pitch_in=1 / 13, engagement_in=0.5,
    ...                               rod_major_low_in=0.4876, hole_pitch_high_in=0.4565), 3)
    0.562

    Source
    ------
    H28 and ASME B1.1, as quoted in Machinery's Handbook.
    """
    require_positive("pitch", pitch_in, "in")
    require_positive("engagement", engagement_in, "in")
    require_positive("least major diameter of the rod", rod_major_low_in, "in")
    require_positive("greatest pitch diameter of the hole", hole_pitch_high_in, "in")
    P, Le, Ds, En = pitch_in, engagement_in, rod_major_low_in, hole_pitch_high_in
    return math.pi * (Le / P) * Ds * (P / 2 + 0.57735 * (Ds - En))


def stripping_force_lbf(
    *,
    diameter_in: float,
    pitch_in: float,
    engagement_in: float,
    rod_shear_psi: float,
    hole_shear_psi: float,
) -> tuple[float, str]:
    """Return the force at which the weaker thread reaches its shear strength.

    F = min(AS rod tau rod, AS hole tau hole)

    Parameters
    ----------
    diameter_in : float
        Basic major diameter, 0.25 to 4 [in].
    pitch_in : float
        Pitch, 0.035 to 0.25 [in].
    engagement_in : float
        Length of full thread engaged, above 0 [in].
    rod_shear_psi : float
        Shear strength of the rod's steel, above 0 [psi].
    hole_shear_psi : float
        Shear strength of the steel around the hole, above 0 [psi].

    Returns
    -------
    tuple of float and str
        Force [lbf] and which thread is weaker, "rod" or "hole".

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Class 2A in 2B; the engagement counts full threads only, no chamfer, no drill point.

    Examples
    --------
    >>> force, weaker = stripping_force_lbf(diameter_in=0.75, pitch_in=0.1, engagement_in=0.75,
    ...                                     rod_shear_psi=60000, hole_shear_psi=30000)
    >>> round(force, -2), weaker
    (38800.0, 'hole')

    Source
    ------
    The two stripping areas of this file.
    """
    require_positive("shear strength of the rod", rod_shear_psi, "psi")
    require_positive("shear strength around the hole", hole_shear_psi, "psi")
    limits = thread_limits(diameter_in=diameter_in, pitch_in=pitch_in)
    rod = rod_shear_psi * rod_stripping_area_in2(
        pitch_in=pitch_in,
        engagement_in=engagement_in,
        rod_pitch_low_in=limits.rod_pitch_low_in,
        hole_minor_high_in=limits.hole_minor_high_in,
    )
    hole = hole_shear_psi * hole_stripping_area_in2(
        pitch_in=pitch_in,
        engagement_in=engagement_in,
        rod_major_low_in=limits.rod_major_low_in,
        hole_pitch_high_in=limits.hole_pitch_high_in,
    )
    return (rod, "rod") if rod < hole else (hole, "hole")


def tap_drill_in(*, diameter_in: float, pitch_in: float) -> float:
    """Return the diameter to drill for a tap.

    drill = D - P: about three quarters of the full thread

    Parameters
    ----------
    diameter_in : float
        Major diameter, above 0 [in].
    pitch_in : float
        Pitch, above 0 and below the diameter [in].

    Returns
    -------
    float
        Diameter of the hole, before it is rounded to a drill [in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Cut threads in steel; a forming tap wants a larger hole.

    Examples
    --------
    >>> round(64 * tap_drill_in(diameter_in=0.75, pitch_in=0.1))  # 42/64 is 21/32
    42

    Source
    ------
    ISO 2306 for coarse threads; the same rule gives the inch drills of any shop table.
    """
    require_positive("diameter", diameter_in, "in")
    require_positive("pitch", pitch_in, "in")
    require_above("diameter", diameter_in, pitch_in, "in")
    return diameter_in - pitch_in


def thread_share(*, diameter_in: float, pitch_in: float, drill_in: float) -> float:
    """Return how much of a full thread a tap cuts in a drilled hole.

    share = (D - drill) / (1.299 P)

    Parameters
    ----------
    diameter_in : float
        Major diameter, above 0 [in].
    pitch_in : float
        Pitch, above 0 and below the diameter [in].
    drill_in : float
        Diameter of the hole, above 0 to the major diameter [in].

    Returns
    -------
    float
        Share of the full thread's height [-].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    60 degree thread; the drill cuts its own size.

    Examples
    --------
    >>> round(thread_share(diameter_in=0.75, pitch_in=0.1, drill_in=21 / 32), 2)
    0.72

    Source
    ------
    Machinery's Handbook, tap drill sizes and percentage of thread (memory).
    """
    require_positive("diameter", diameter_in, "in")
    require_positive("pitch", pitch_in, "in")
    require_above("diameter", diameter_in, pitch_in, "in")
    require_positive("drill", drill_in, "in")
    require_range("drill", drill_in, 0, diameter_in, "in")
    return (diameter_in - drill_in) / (FULL_THREAD * pitch_in)
