"""Ways out for a key that no pull at its end draws: pushed, drilled out, or the hub off first.

Book symbols in the bodies: N normal force, t taper, mu friction.
"""

from __future__ import annotations

import math

from taperkey.checks import (
    require_above,
    require_at_least,
    require_non_negative,
    require_positive,
    require_range,
)
from taperkey.formulas.rig_parts import PLATE_FACTOR
from taperkey.formulas.wedge import AS_DECIMAL, MAX_FRICTION, withdraw_ratio

__all__ = [
    "drift_size_in",
    "drill_sizes_in",
    "hub_off_force_lbf",
    "pressed_end_lbf",
    "travel_to_free_in",
]


def hub_off_force_lbf(
    *,
    normal_force_lbf: float,
    taper_in_per_in: float,
    bore_friction: float,
    roof_friction: float,
) -> float:
    """Return the force that moves a hub off its key, toward the key's small end.

    P = N (mu bore + tan(phi - alpha))

    Parameters
    ----------
    normal_force_lbf : float
        Force square to the faces of the key, 0 or more [lbf].
    taper_in_per_in : float
        Taper of the key, 0 to 0.6 [in/in].
    bore_friction : float
        Friction between bore and shaft, opposite the key, 0 to 1.5 [-].
    roof_friction : float
        Friction on the tapered face, 0 to 1.5 [-].

    Returns
    -------
    float
        Force along the shaft, on the hub; 0 where the hub comes by itself [lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    The key stays on the shaft and presses hub and shaft together opposite itself, with the same
    force. No shoulder, collar or shrink holds the hub.

    Examples
    --------
    >>> round(hub_off_force_lbf(normal_force_lbf=10_000, taper_in_per_in=0.01, bore_friction=0.1,
    ...                         roof_friction=0.1))
    1899

    Source
    ------
    Derived here: the wedge of `withdraw_ratio`, with the bore in place of the flat face.
    """
    require_non_negative("normal force", normal_force_lbf, "lbf")
    require_range("bore friction", bore_friction, 0, MAX_FRICTION, "", AS_DECIMAL)
    ratio = withdraw_ratio(
        taper_in_per_in=taper_in_per_in, floor_friction=bore_friction, roof_friction=roof_friction
    )
    return normal_force_lbf * max(0.0, ratio)


def travel_to_free_in(*, squeeze_in: float, taper_in_per_in: float) -> float:
    """Return how far key or hub must move before the squeeze is off.

    travel = squeeze / t

    Parameters
    ----------
    squeeze_in : float
        What key, shaft and hub give together, 0 or more [in].
    taper_in_per_in : float
        Taper, above 0 [in/in].

    Returns
    -------
    float
        Travel along the shaft [in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Examples
    --------
    >>> travel_to_free_in(squeeze_in=0.0025, taper_in_per_in=0.01)
    0.25

    Source
    ------
    Slope of a wedge.
    """
    require_non_negative("squeeze", squeeze_in, "in")
    require_positive("taper", taper_in_per_in, "in/in", "A straight key does not wedge.")
    return squeeze_in / taper_in_per_in


def drill_sizes_in(
    *, smaller_side_in: float, pilot_in: float, step_in: float, left_in: float
) -> tuple[float, ...]:
    """Return the drills that take the core out of a key, in their order.

    pilot, then one step more each time, up to the smaller side less what is left

    Parameters
    ----------
    smaller_side_in : float
        Smaller of width and height where the key is lowest, above 0 [in].
    pilot_in : float
        First drill, above 0 [in].
    step_in : float
        From one drill to the next, above 0 [in].
    left_in : float
        What stays of the smaller side, both walls together, 0 or more [in].

    Returns
    -------
    tuple of float
        Diameters [in]; empty where not even the pilot leaves so much.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Examples
    --------
    >>> drill_sizes_in(smaller_side_in=0.75, pilot_in=1 / 4, step_in=1 / 8, left_in=1 / 8)
    (0.25, 0.375, 0.5, 0.625)

    Source
    ------
    Common practice.
    """
    require_positive("smaller side of the key", smaller_side_in, "in")
    require_positive("pilot drill", pilot_in, "in")
    require_positive("step of the drills", step_in, "in")
    require_non_negative("rest of the key", left_in, "in")
    room = smaller_side_in - left_in - pilot_in
    return tuple(
        pilot_in + place * step_in for place in range(math.floor(room / step_in + 1e-9) + 1)
    )


def drift_size_in(*, width_in: float, height_in: float, less_in: float) -> tuple[float, float]:
    """Return width and height of a drift that follows the key through its slot.

    slot less what keeps it clear

    Parameters
    ----------
    width_in : float
        Width of the slot, above what it is to be less [in].
    height_in : float
        Height of the slot at its low end, above what it is to be less [in].
    less_in : float
        How much smaller each way, 0 or more [in].

    Returns
    -------
    tuple of float
        Width and height [in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Examples
    --------
    >>> drift_size_in(width_in=1.0, height_in=0.75, less_in=1 / 16)
    (0.9375, 0.6875)

    Source
    ------
    Common practice.
    """
    require_non_negative("clearance of the drift", less_in, "in")
    require_above("width of the slot", width_in, less_in, "in")
    require_above("height of the slot", height_in, less_in, "in")
    return width_in - less_in, height_in - less_in


def pressed_end_lbf(
    *,
    width_in: float,
    height_in: float,
    yield_psi: float,
    design_factor: float = PLATE_FACTOR,
) -> float:
    """Return the push that an end of a key, or a drift, takes.

    P = W H Fy / factor

    Parameters
    ----------
    width_in : float
        Width, above 0 [in].
    height_in : float
        Height, above 0 [in].
    yield_psi : float
        Yield strength, above 0 [psi].
    design_factor : float
        Yield over allowable, 1 or more [-].

    Returns
    -------
    float
        Push along the key [lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    In line and short: a long drift bows out. A pushed key also swells, by 0.3 of its shortening.

    Examples
    --------
    >>> pressed_end_lbf(width_in=1.0, height_in=0.5, yield_psi=54_000, design_factor=1.5)
    18000.0

    Source
    ------
    Force over area; factor: practice.csv, plate_factor.
    """
    require_positive("width", width_in, "in")
    require_positive("height", height_in, "in")
    require_positive("yield strength", yield_psi, "psi")
    require_at_least("design factor", design_factor, 1)
    return width_in * height_in * yield_psi / design_factor
