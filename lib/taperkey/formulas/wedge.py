"""The taper key as a wedge: driving, holding and drawing.

One face lies flat in the shaft (the floor), the other is tapered in the hub
(the roof), and each has its own friction. The book symbols in the bodies:
V normal force on the flat floor, t taper (tan of the slope), mu1 floor friction,
mu2 roof friction. tan(phi2 + alpha) is written as (mu2 + t)/(1 - mu2 t), which
is the same thing without an angle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from taperkey.checks import require_non_negative, require_positive, require_range

__all__ = [
    "AS_DECIMAL",
    "MAX_FRICTION",
    "MAX_TAPER_IN_PER_IN",
    "PER_FOOT",
    "SelfHolding",
    "drive_ratio",
    "driving_efficiency",
    "driving_force_lbf",
    "friction_share",
    "normal_from_drive_lbf",
    "normal_from_pull_lbf",
    "require_wedge",
    "self_holding",
    "withdraw_ratio",
    "withdrawal_force_lbf",
]

MAX_FRICTION = 1.5  # above this a number is a slip of the decimal point
MAX_TAPER_IN_PER_IN = 0.6  # about 31 degrees; keeps friction times taper below 1
AS_DECIMAL = "Take it from the friction table as a decimal."
PER_FOOT = "Divide the taper per foot by 12."


def require_wedge(*, taper_in_per_in: float, floor_friction: float, roof_friction: float) -> None:
    """Refuse a taper or a friction that no key has.

    Parameters
    ----------
    taper_in_per_in : float
        Taper of the roof, 0 to 0.6 [in/in].
    floor_friction : float
        Friction coefficient of the flat face on the shaft, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of the tapered face in the hub, 0 to 1.5 [-].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Source
    ------
    Own limits: a slope above 31 degrees or a friction above 1.5 is a slip of the pen.
    """
    require_range("taper", taper_in_per_in, 0, MAX_TAPER_IN_PER_IN, "in/in", PER_FOOT)
    for name, friction in (("floor friction", floor_friction), ("roof friction", roof_friction)):
        require_range(name, friction, 0, MAX_FRICTION, "", AS_DECIMAL)


def drive_ratio(*, taper_in_per_in: float, floor_friction: float, roof_friction: float) -> float:
    """Return the push per pound of normal force while the key is driven in.

    P/V = mu1 + tan(phi2 + alpha)

    Parameters
    ----------
    taper_in_per_in : float
        Taper of the roof, 0 to 0.6 [in/in].
    floor_friction : float
        Friction coefficient of the flat face on the shaft, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of the tapered face in the hub, 0 to 1.5 [-].

    Returns
    -------
    float
        Push per normal force on the flat face [lbf/lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Hub and shaft are held along the shaft, so both faces slide. The sides of the
    key are clear. The key moves slowly: no blow is in this formula.

    Examples
    --------
    >>> round(drive_ratio(taper_in_per_in=1 / 96, floor_friction=0.1, roof_friction=0.1), 4)
    0.2105

    Source
    ------
    Wedge with dry friction, any statics text, such as Beer and Johnston, *Vector
    Mechanics: Statics*, chapter 8, wedges.
    """
    require_wedge(
        taper_in_per_in=taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )
    t, mu1, mu2 = taper_in_per_in, floor_friction, roof_friction
    return mu1 + (mu2 + t) / (1 - mu2 * t)


def withdraw_ratio(*, taper_in_per_in: float, floor_friction: float, roof_friction: float) -> float:
    """Return the pull per pound of normal force while the key is drawn by its large end.

    P/V = mu1 + tan(phi2 - alpha)

    Parameters
    ----------
    taper_in_per_in : float
        Taper of the roof, 0 to 0.6 [in/in].
    floor_friction : float
        Friction coefficient of the flat face on the shaft, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of the tapered face in the hub, 0 to 1.5 [-].

    Returns
    -------
    float
        Pull per normal force on the flat face [lbf/lbf]; 0 or less means that the
        key does not hold by itself.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    As for driving. Rust that has grown the faces together is more than friction
    and is not in this formula.

    Examples
    --------
    >>> round(withdraw_ratio(taper_in_per_in=1 / 96, floor_friction=0.1, roof_friction=0.1), 4)
    0.1895

    Source
    ------
    Wedge with dry friction, as for `drive_ratio`, friction reversed.
    """
    require_wedge(
        taper_in_per_in=taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )
    t, mu1, mu2 = taper_in_per_in, floor_friction, roof_friction
    return mu1 + (mu2 - t) / (1 + mu2 * t)


def driving_force_lbf(
    *,
    normal_force_lbf: float,
    taper_in_per_in: float,
    floor_friction: float,
    roof_friction: float,
) -> float:
    """Return the push that moves the key further in at a given normal force.

    P = V (mu1 + tan(phi2 + alpha))

    Parameters
    ----------
    normal_force_lbf : float
        Force square to the flat face, 0 or more [lbf].
    taper_in_per_in : float
        Taper of the roof, 0 to 0.6 [in/in].
    floor_friction : float
        Friction coefficient of the flat face on the shaft, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of the tapered face in the hub, 0 to 1.5 [-].

    Returns
    -------
    float
        Push along the shaft, inward [lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    As for `drive_ratio`.

    Examples
    --------
    10 units of weight, 25 degrees, friction 0.2 on both faces:

    >>> import math
    >>> push = driving_force_lbf(normal_force_lbf=10, taper_in_per_in=math.tan(math.radians(25)),
    ...                          floor_friction=0.2, roof_friction=0.2)
    >>> round(push, 2)
    9.35

    Source
    ------
    Wedge with dry friction; the example is from *Engineering Statics: Open and
    Interactive*, chapter 9.
    """
    require_non_negative("normal force", normal_force_lbf, "lbf")
    return normal_force_lbf * drive_ratio(
        taper_in_per_in=taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )


def withdrawal_force_lbf(
    *,
    normal_force_lbf: float,
    taper_in_per_in: float,
    floor_friction: float,
    roof_friction: float,
) -> float:
    """Return the pull on the large end that starts the key out.

    P = V (mu1 + tan(phi2 - alpha))

    Parameters
    ----------
    normal_force_lbf : float
        Force square to the flat face, 0 or more [lbf].
    taper_in_per_in : float
        Taper of the roof, 0 to 0.6 [in/in].
    floor_friction : float
        Friction coefficient of the flat face on the shaft, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of the tapered face in the hub, 0 to 1.5 [-].

    Returns
    -------
    float
        Pull along the shaft, outward at the large end [lbf]. Below 0 it is the
        push that keeps the key from creeping out.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    As for `withdraw_ratio`. The pull is at the large end; for the small end see
    `pull_from_small_end`.

    Examples
    --------
    >>> round(withdrawal_force_lbf(normal_force_lbf=10000, taper_in_per_in=0.01,
    ...                            floor_friction=0.1, roof_friction=0.1))
    1899

    Source
    ------
    Wedge with dry friction, as for `withdraw_ratio`.
    """
    require_non_negative("normal force", normal_force_lbf, "lbf")
    return normal_force_lbf * withdraw_ratio(
        taper_in_per_in=taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )


def normal_from_drive_lbf(
    *,
    push_lbf: float,
    taper_in_per_in: float,
    floor_friction: float,
    roof_friction: float,
) -> float:
    """Return the normal force that a driving push builds up.

    V = P / (mu1 + tan(phi2 + alpha))

    Parameters
    ----------
    push_lbf : float
        Push along the shaft, 0 or more [lbf].
    taper_in_per_in : float
        Taper of the roof, above 0 to 0.6 [in/in].
    floor_friction : float
        Friction coefficient of the flat face on the shaft, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of the tapered face in the hub, 0 to 1.5 [-].

    Returns
    -------
    float
        Force square to the flat face [lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    As for `drive_ratio`; the key is touching top and bottom.

    Examples
    --------
    >>> round(normal_from_drive_lbf(push_lbf=2105, taper_in_per_in=1 / 96,
    ...                             floor_friction=0.1, roof_friction=0.1), -1)
    10000.0

    Source
    ------
    Wedge with dry friction, as for `drive_ratio`, solved for V.
    """
    require_non_negative("push", push_lbf, "lbf")
    require_positive("taper", taper_in_per_in, "in/in", "A straight key does not wedge.")
    return push_lbf / drive_ratio(
        taper_in_per_in=taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )


def normal_from_pull_lbf(
    *,
    pull_lbf: float,
    taper_in_per_in: float,
    floor_friction: float,
    roof_friction: float,
) -> float | None:
    """Return the normal force that a measured pull at the first movement tells of.

    V = P / (mu1 + tan(phi2 - alpha))

    Parameters
    ----------
    pull_lbf : float
        Pull on the large end at the first movement, 0 or more [lbf].
    taper_in_per_in : float
        Taper of the roof, 0 to 0.6 [in/in].
    floor_friction : float
        Friction coefficient of the flat face on the shaft, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of the tapered face in the hub, 0 to 1.5 [-].

    Returns
    -------
    float or None
        Force square to the flat face [lbf]; None if a key with this friction does
        not hold by itself, so that no pull is needed.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    As for `withdraw_ratio`.

    Examples
    --------
    >>> normal_from_pull_lbf(pull_lbf=20, taper_in_per_in=0, floor_friction=0.1, roof_friction=0.1)
    100.0

    Source
    ------
    Wedge with dry friction, as for `withdraw_ratio`, solved for V.
    """
    require_non_negative("pull", pull_lbf, "lbf")
    ratio = withdraw_ratio(
        taper_in_per_in=taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )
    return pull_lbf / ratio if ratio > 0 else None


def driving_efficiency(
    *, taper_in_per_in: float, floor_friction: float, roof_friction: float
) -> float:
    """Return the part of the driving work that goes into squeezing the key.

    efficiency = V t / P = t / (mu1 + tan(phi2 + alpha))

    Parameters
    ----------
    taper_in_per_in : float
        Taper of the roof, 0 to 0.6, above 0 where there is no friction [in/in].
    floor_friction : float
        Friction coefficient of the flat face on the shaft, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of the tapered face in the hub, 0 to 1.5 [-].

    Returns
    -------
    float
        Share of the work, 0 to 1 [-].

    Raises
    ------
    ValueError
        If an argument is outside its range, or taper and friction are all 0.

    Assumptions
    -----------
    As for `drive_ratio`.

    Examples
    --------
    At 1:96 and 0.10 only one twentieth of the work squeezes the key:

    >>> round(driving_efficiency(taper_in_per_in=1 / 96, floor_friction=0.1, roof_friction=0.1), 3)
    0.049

    Source
    ------
    Ratio of work out to work in, derived here from `drive_ratio`.
    """
    ratio = drive_ratio(
        taper_in_per_in=taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )
    require_positive("push per normal force", ratio, "", "Give a taper or a friction above 0.")
    return taper_in_per_in / ratio


def friction_share(*, taper_in_per_in: float, floor_friction: float, roof_friction: float) -> float:
    """Return friction's share of the driving force.

    share = 1 - t / (mu1 + tan(phi2 + alpha))

    Parameters
    ----------
    taper_in_per_in : float
        Taper of the roof, 0 to 0.6, above 0 where there is no friction [in/in].
    floor_friction : float
        Friction coefficient of the flat face on the shaft, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of the tapered face in the hub, 0 to 1.5 [-].

    Returns
    -------
    float
        Share of the push, 0 to 1 [-].

    Raises
    ------
    ValueError
        If an argument is outside its range, or taper and friction are all 0.

    Assumptions
    -----------
    As for `drive_ratio`.

    Examples
    --------
    >>> round(friction_share(taper_in_per_in=1 / 96, floor_friction=0.1, roof_friction=0.1), 2)
    0.95

    Source
    ------
    Derived here: what is left of the push when `driving_efficiency` is taken off.
    """
    return 1 - driving_efficiency(
        taper_in_per_in=taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )


@dataclass(frozen=True, kw_only=True)
class SelfHolding:
    """Whether a driven key stays where it is.

    Attributes
    ----------
    holds : bool
        True if the slope is below the two friction angles together.
    slope_rad : float
        Slope of the tapered face [rad].
    friction_angles_rad : float
        Friction angle of the floor plus that of the roof [rad].
    reason : str
        One sentence with the numbers.
    """

    holds: bool
    slope_rad: float
    friction_angles_rad: float
    reason: str


def self_holding(
    *, taper_in_per_in: float, floor_friction: float, roof_friction: float
) -> SelfHolding:
    """Return whether the key holds by friction alone.

    holds when alpha < phi1 + phi2; with equal friction, alpha < 2 phi

    Parameters
    ----------
    taper_in_per_in : float
        Taper of the roof, 0 to 0.6 [in/in].
    floor_friction : float
        Friction coefficient of the flat face on the shaft, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of the tapered face in the hub, 0 to 1.5 [-].

    Returns
    -------
    SelfHolding
        The answer, both angles [rad] and a sentence.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Still load. Shaking and reversing torque can walk out a key that holds here.

    Examples
    --------
    >>> self_holding(taper_in_per_in=1 / 96, floor_friction=0.1, roof_friction=0.1).holds
    True
    >>> self_holding(taper_in_per_in=1 / 96, floor_friction=0.005, roof_friction=0.005).holds
    False

    Source
    ------
    Sign of the withdrawing force of `withdraw_ratio`; the same rule gives the
    largest angle of a splitting wedge as twice the friction angle.
    """
    require_wedge(
        taper_in_per_in=taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )
    slope = math.atan(taper_in_per_in)
    friction = math.atan(floor_friction) + math.atan(roof_friction)
    holds = slope < friction
    reason = (
        f"slope {math.degrees(slope):.3f} deg is {'below' if holds else 'not below'} the two"
        f" friction angles together, {math.degrees(friction):.3f} deg, so the key"
        f" {'holds by friction' if holds else 'creeps out by itself'}."
    )
    return SelfHolding(holds=holds, slope_rad=slope, friction_angles_rad=friction, reason=reason)
