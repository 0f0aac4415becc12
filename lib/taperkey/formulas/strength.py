"""Strength of the key under the drive torque: shear and crushing.

Book symbols in the bodies: T torque, D shaft diameter, W key width, L key length,
h bearing height on one side, F = 2T/D force at the shaft surface, S yield strength.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from taperkey.checks import require_at_least, require_positive, require_range

__all__ = [
    "KeyStrength",
    "equal_strength_height_in",
    "key_crushing_stress_psi",
    "key_force_lbf",
    "key_length_for_crushing_in",
    "key_length_for_shear_in",
    "key_shear_stress_psi",
    "key_strength",
    "solid_shaft_torque_lbf_in",
    "torque_lbf_in",
]

LBF_IN_PER_MIN_PER_HP = 396000.0  # 33,000 ft lbf per minute, in inches
SHEAR_SHARE = 0.577  # shear yield over tensile yield, distortion energy


def torque_lbf_in(*, power_hp: float, speed_rpm: float) -> float:
    """Return the steady torque of a shaft from its power and speed.

    T = 396,000 hp / (2 pi rpm)

    Parameters
    ----------
    power_hp : float
        Power, above 0 [hp].
    speed_rpm : float
        Speed, above 0 [rev/min].

    Returns
    -------
    float
        Torque [lbf_in].

    Raises
    ------
    ValueError
        If power or speed is not above 0.

    Assumptions
    -----------
    Steady load. A crusher does not run steadily: use a service factor with it.

    Examples
    --------
    >>> round(torque_lbf_in(power_hp=40, speed_rpm=600))
    4202

    Source
    ------
    Definition of the horsepower, 33,000 ft lbf in a minute.
    """
    require_positive("power", power_hp, "hp")
    require_positive("speed", speed_rpm, "rpm")
    return LBF_IN_PER_MIN_PER_HP * power_hp / (2 * math.pi * speed_rpm)


def solid_shaft_torque_lbf_in(*, shaft_diameter_in: float, shear_stress_psi: float) -> float:
    """Return the torque that brings a solid shaft to a shear stress.

    T = pi D^3 tau / 16

    Parameters
    ----------
    shaft_diameter_in : float
        Diameter, above 0 [in].
    shear_stress_psi : float
        Shear stress at the surface, above 0 [psi].

    Returns
    -------
    float
        Torque [lbf_in].

    Raises
    ------
    ValueError
        If diameter or stress is not above 0.

    Assumptions
    -----------
    Round, solid, no keyseat: the keyseat weakens it.

    Examples
    --------
    >>> round(solid_shaft_torque_lbf_in(shaft_diameter_in=2, shear_stress_psi=16 / 3.14159))
    8

    Source
    ------
    Torsion of a round bar, any text on strength of materials.
    """
    require_positive("shaft diameter", shaft_diameter_in, "in")
    require_positive("shear stress", shear_stress_psi, "psi")
    return math.pi * shaft_diameter_in**3 * shear_stress_psi / 16


def key_force_lbf(*, torque_lbf_in: float, shaft_diameter_in: float) -> float:
    """Return the force at the shaft surface that the torque puts on the key.

    F = 2 T / D

    Parameters
    ----------
    torque_lbf_in : float
        Torque, above 0 [lbf_in].
    shaft_diameter_in : float
        Shaft diameter, above 0 [in].

    Returns
    -------
    float
        Force [lbf].

    Raises
    ------
    ValueError
        If torque or diameter is not above 0.

    Assumptions
    -----------
    The key alone carries the torque, at the shaft surface.

    Examples
    --------
    >>> key_force_lbf(torque_lbf_in=4000, shaft_diameter_in=2)
    4000.0

    Source
    ------
    Shigley, *Mechanical Engineering Design*, keys and pins.
    """
    require_positive("torque", torque_lbf_in, "lbf in")
    require_positive("shaft diameter", shaft_diameter_in, "in")
    return 2 * torque_lbf_in / shaft_diameter_in


def key_shear_stress_psi(
    *, torque_lbf_in: float, shaft_diameter_in: float, width_in: float, length_in: float
) -> float:
    """Return the shear stress in the key at the shaft surface.

    tau = 2 T / (D W L)

    Parameters
    ----------
    torque_lbf_in : float
        Torque, above 0 [lbf_in].
    shaft_diameter_in : float
        Shaft diameter, above 0 [in].
    width_in : float
        Key width, above 0; of a stepped key the narrower part [in].
    length_in : float
        Length that lies in both slots, above 0 [in].

    Returns
    -------
    float
        Mean shear stress [psi].

    Raises
    ------
    ValueError
        If an argument is not above 0.

    Assumptions
    -----------
    The key alone carries the torque; the stress is even along its length.

    Examples
    --------
    >>> key_shear_stress_psi(torque_lbf_in=4000, shaft_diameter_in=2, width_in=0.5, length_in=2)
    4000.0

    Source
    ------
    Shigley, *Mechanical Engineering Design*, keys and pins.
    """
    require_positive("key width", width_in, "in")
    require_positive("key length", length_in, "in")
    force = key_force_lbf(torque_lbf_in=torque_lbf_in, shaft_diameter_in=shaft_diameter_in)
    return force / (width_in * length_in)


def key_crushing_stress_psi(
    *, torque_lbf_in: float, shaft_diameter_in: float, bearing_height_in: float, length_in: float
) -> float:
    """Return the crushing stress on the side of the key.

    sigma = 2 T / (D h L)

    Parameters
    ----------
    torque_lbf_in : float
        Torque, above 0 [lbf_in].
    shaft_diameter_in : float
        Shaft diameter, above 0 [in].
    bearing_height_in : float
        Height that bears on one side, in shaft or hub, the lesser, above 0; about
        half the key height [in].
    length_in : float
        Length that lies in both slots, above 0 [in].

    Returns
    -------
    float
        Mean pressure on the side [psi].

    Raises
    ------
    ValueError
        If an argument is not above 0.

    Assumptions
    -----------
    The key alone carries the torque. A taper key has clear sides until it has
    slipped, so this is the state after slipping.

    Examples
    --------
    >>> key_crushing_stress_psi(torque_lbf_in=4000, shaft_diameter_in=2, bearing_height_in=0.25,
    ...                         length_in=2)
    8000.0

    Source
    ------
    Shigley, *Mechanical Engineering Design*, keys and pins.
    """
    require_positive("bearing height", bearing_height_in, "in")
    require_positive("key length", length_in, "in")
    force = key_force_lbf(torque_lbf_in=torque_lbf_in, shaft_diameter_in=shaft_diameter_in)
    return force / (bearing_height_in * length_in)


def key_length_for_shear_in(
    *,
    torque_lbf_in: float,
    shaft_diameter_in: float,
    width_in: float,
    allowable_shear_psi: float,
) -> float:
    """Return the key length that brings the shear stress to the allowable.

    L = 2 T / (D W tau)

    Parameters
    ----------
    torque_lbf_in : float
        Torque, above 0 [lbf_in].
    shaft_diameter_in : float
        Shaft diameter, above 0 [in].
    width_in : float
        Key width, above 0 [in].
    allowable_shear_psi : float
        Allowable shear stress, above 0 [psi].

    Returns
    -------
    float
        Least length [in].

    Raises
    ------
    ValueError
        If an argument is not above 0.

    Assumptions
    -----------
    As for `key_shear_stress_psi`.

    Examples
    --------
    >>> key_length_for_shear_in(torque_lbf_in=4000, shaft_diameter_in=2, width_in=0.5,
    ...                         allowable_shear_psi=4000)
    2.0

    Source
    ------
    `key_shear_stress_psi` solved for the length.
    """
    require_positive("allowable shear stress", allowable_shear_psi, "psi")
    require_positive("key width", width_in, "in")
    force = key_force_lbf(torque_lbf_in=torque_lbf_in, shaft_diameter_in=shaft_diameter_in)
    return force / (width_in * allowable_shear_psi)


def key_length_for_crushing_in(
    *,
    torque_lbf_in: float,
    shaft_diameter_in: float,
    bearing_height_in: float,
    allowable_crushing_psi: float,
) -> float:
    """Return the key length that brings the crushing stress to the allowable.

    L = 2 T / (D h sigma)

    Parameters
    ----------
    torque_lbf_in : float
        Torque, above 0 [lbf_in].
    shaft_diameter_in : float
        Shaft diameter, above 0 [in].
    bearing_height_in : float
        Height that bears on one side, the lesser, above 0 [in].
    allowable_crushing_psi : float
        Allowable pressure on the side, above 0 [psi].

    Returns
    -------
    float
        Least length [in].

    Raises
    ------
    ValueError
        If an argument is not above 0.

    Assumptions
    -----------
    As for `key_crushing_stress_psi`.

    Examples
    --------
    >>> key_length_for_crushing_in(torque_lbf_in=4000, shaft_diameter_in=2,
    ...                            bearing_height_in=0.25, allowable_crushing_psi=8000)
    2.0

    Source
    ------
    `key_crushing_stress_psi` solved for the length.
    """
    require_positive("allowable crushing stress", allowable_crushing_psi, "psi")
    require_positive("bearing height", bearing_height_in, "in")
    force = key_force_lbf(torque_lbf_in=torque_lbf_in, shaft_diameter_in=shaft_diameter_in)
    return force / (bearing_height_in * allowable_crushing_psi)


def equal_strength_height_in(
    *, width_in: float, allowable_shear_psi: float, allowable_crushing_psi: float
) -> float:
    """Return the key height at which shear and crushing need the same length.

    H = 2 W tau / sigma

    Parameters
    ----------
    width_in : float
        Key width, above 0 [in].
    allowable_shear_psi : float
        Allowable shear stress, above 0 [psi].
    allowable_crushing_psi : float
        Allowable pressure on the side, above 0 [psi].

    Returns
    -------
    float
        Whole key height [in].

    Raises
    ------
    ValueError
        If an argument is not above 0.

    Assumptions
    -----------
    Half the height bears in the shaft, half in the hub.

    Examples
    --------
    >>> equal_strength_height_in(width_in=0.5, allowable_shear_psi=1, allowable_crushing_psi=2)
    0.5

    Source
    ------
    The two lengths set equal, as in Sadhu Singh, *Machine Design*, Example 7.4.
    """
    require_positive("key width", width_in, "in")
    require_positive("allowable shear stress", allowable_shear_psi, "psi")
    require_positive("allowable crushing stress", allowable_crushing_psi, "psi")
    return 2 * width_in * allowable_shear_psi / allowable_crushing_psi


@dataclass(frozen=True, kw_only=True)
class KeyStrength:
    """What a key bears in shear and crushing, compared with what is asked of it.

    Attributes
    ----------
    shear_stress_psi : float
        Shear stress at the torque times the service factor [psi].
    allowable_shear_psi : float
        Shear yield over the design factor [psi].
    crushing_stress_psi : float
        Pressure on the side at the torque times the service factor [psi].
    allowable_crushing_psi : float
        Yield over the design factor [psi].
    torque_capacity_lbf_in : float
        Torque, before the service factor, that the weaker way carries [lbf_in].
    utilisation : float
        Torque over capacity; above 1 is over [-].
    governs : str
        "shear" or "crushing".
    within : bool
        True if the utilisation is 1 or less.
    reason : str
        One sentence with the numbers compared.
    """

    shear_stress_psi: float
    allowable_shear_psi: float
    crushing_stress_psi: float
    allowable_crushing_psi: float
    torque_capacity_lbf_in: float
    utilisation: float
    governs: str
    within: bool
    reason: str


def key_strength(
    *,
    torque_lbf_in: float,
    shaft_diameter_in: float,
    width_in: float,
    bearing_height_in: float,
    length_in: float,
    yield_psi: float,
    design_factor: float,
    service_factor: float = 1.0,
    shear_share: float = SHEAR_SHARE,
) -> KeyStrength:
    """Return how much of the key's strength a torque uses.

    tau_allow = shear_share S / n;  sigma_allow = S / n

    Parameters
    ----------
    torque_lbf_in : float
        Steady drive torque, above 0 [lbf_in].
    shaft_diameter_in : float
        Shaft diameter, above 0 [in].
    width_in : float
        Key width, above 0; of a stepped key the narrower part [in].
    bearing_height_in : float
        Height that bears on one side, the lesser, above 0 [in].
    length_in : float
        Length that lies in both slots, above 0 [in].
    yield_psi : float
        Yield strength of the weakest of key, shaft and hub, above 0 [psi].
    design_factor : float
        Yield over allowable, 1 or more, stated by whoever answers for the drive [-].
    service_factor : float
        Peak over steady torque, 1 or more [-].
    shear_share : float
        Shear yield over yield, 0.4 to 0.6: 0.577 distortion energy, 0.5 greatest shear [-].

    Returns
    -------
    KeyStrength
        Stresses and allowables in [psi], capacity in [lbf_in], what governs.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    The key alone carries the torque, friction carries nothing: the cautious view.
    Load without reversal; for reversing or shock loads raise the factors.

    Examples
    --------
    >>> key_strength(torque_lbf_in=4000, shaft_diameter_in=2, width_in=0.5,
    ...     bearing_height_in=0.25, length_in=2, yield_psi=54000, design_factor=3).governs
    'crushing'

    Source
    ------
    Shigley, *Mechanical Engineering Design*, keys and pins.
    """
    require_positive("yield strength", yield_psi, "psi")
    require_at_least("design factor", design_factor, 1)
    require_at_least("service factor", service_factor, 1)
    require_range("shear share", shear_share, 0.4, 0.6)
    peak = torque_lbf_in * service_factor
    shear = key_shear_stress_psi(
        torque_lbf_in=peak,
        shaft_diameter_in=shaft_diameter_in,
        width_in=width_in,
        length_in=length_in,
    )
    crushing = key_crushing_stress_psi(
        torque_lbf_in=peak,
        shaft_diameter_in=shaft_diameter_in,
        bearing_height_in=bearing_height_in,
        length_in=length_in,
    )
    allow_shear = shear_share * yield_psi / design_factor
    allow_crushing = yield_psi / design_factor
    governs = "shear" if shear / allow_shear >= crushing / allow_crushing else "crushing"
    stress, allow = (shear, allow_shear) if governs == "shear" else (crushing, allow_crushing)
    used = stress / allow
    reason = (
        f"{governs} {stress:,.0f} psi against {allow:,.0f} psi allowed (yield {yield_psi:,.0f} psi,"
        f" design factor {design_factor:g}, service factor {service_factor:g}):"
        f" {used * 100:.0f} % used."
    )
    return KeyStrength(
        shear_stress_psi=shear,
        allowable_shear_psi=allow_shear,
        crushing_stress_psi=crushing,
        allowable_crushing_psi=allow_crushing,
        torque_capacity_lbf_in=torque_lbf_in / used,
        utilisation=used,
        governs=governs,
        within=used <= 1,
        reason=reason,
    )
