"""Strength of the key under the drive torque: shear in the key, bearing on key, shaft and hub.

Book symbols in the bodies: T torque, D shaft diameter, W key width, L key length,
h height that bears on one side, F = 2T/D force at the shaft surface, S yield strength.
"""

from __future__ import annotations

from dataclasses import dataclass

from taperkey.checks import require_at_least, require_positive, require_range
from taperkey.formulas.bearing import KeyBearing, key_bearing
from taperkey.formulas.torque import key_force_lbf

__all__ = [
    "KeyStrength",
    "equal_strength_height_in",
    "key_length_for_shear_in",
    "key_shear_stress_psi",
    "key_strength",
]

SHEAR_SHARE = 0.577  # shear yield over tensile yield, distortion energy


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


def equal_strength_height_in(
    *, width_in: float, allowable_shear_psi: float, allowable_bearing_psi: float
) -> float:
    """Return the key height at which shear and bearing need the same length.

    H = 2 W tau / sigma

    Parameters
    ----------
    width_in : float
        Key width, above 0 [in].
    allowable_shear_psi : float
        Allowable shear stress, above 0 [psi].
    allowable_bearing_psi : float
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
    >>> equal_strength_height_in(width_in=0.5, allowable_shear_psi=1, allowable_bearing_psi=2)
    0.5

    Source
    ------
    The two lengths set equal, as in Sadhu Singh, *Machine Design*, Example 7.4.
    """
    require_positive("key width", width_in, "in")
    require_positive("allowable shear stress", allowable_shear_psi, "psi")
    require_positive("allowable bearing stress", allowable_bearing_psi, "psi")
    return 2 * width_in * allowable_shear_psi / allowable_bearing_psi


@dataclass(frozen=True, kw_only=True)
class KeyStrength:
    """What a key carries in shear and bearing, compared with what is asked of it.

    Attributes
    ----------
    shear_stress_psi : float
        Shear stress at the torque times the service factor [psi].
    allowable_shear_psi : float
        Shear yield over the design factor [psi].
    bearing : KeyBearing
        Bearing on the side that decides, at the torque times the service factor.
    torque_capacity_lbf_in : float
        Torque, before the service factor, that the weaker way carries [lbf_in].
    utilisation : float
        Torque over capacity; above 1 is over [-].
    governs : str
        "shear" or "bearing".
    within : bool
        True if the utilisation is 1 or less.
    reason : str
        One sentence with the numbers compared.
    """

    shear_stress_psi: float
    allowable_shear_psi: float
    bearing: KeyBearing
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
    shaft_height_in: float,
    hub_height_in: float,
    length_in: float,
    key_yield_psi: float,
    shaft_yield_psi: float,
    hub_yield_psi: float,
    design_factor: float,
    service_factor: float = 1.0,
    shear_share: float = SHEAR_SHARE,
) -> KeyStrength:
    """Return how much of the key's strength a torque uses.

    tau_allow = shear_share S / n of the key;  sigma_allow = S / n of the softer metal of a side

    Parameters
    ----------
    torque_lbf_in : float
        Steady drive torque, above 0 [lbf_in].
    shaft_diameter_in : float
        Shaft diameter, above 0 [in].
    width_in : float
        Key width, above 0; of a stepped key the narrower part [in].
    shaft_height_in : float
        Height that bears in the shaft, above 0: see `bearing_height_in` [in].
    hub_height_in : float
        Height that bears in the hub, above 0 [in].
    length_in : float
        Length that lies in both slots, above 0 [in].
    key_yield_psi : float
        Yield strength of the key, above 0 [psi].
    shaft_yield_psi : float
        Yield strength of the shaft, above 0 [psi].
    hub_yield_psi : float
        Yield strength of the hub, above 0 [psi].
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
    ...     shaft_height_in=0.25, hub_height_in=0.2, length_in=2, key_yield_psi=54000,
    ...     shaft_yield_psi=45000, hub_yield_psi=36000, design_factor=3).bearing.metal
    'hub'

    Source
    ------
    Shigley, *Mechanical Engineering Design*, keys and pins.
    """
    for name, yield_psi in (
        ("key", key_yield_psi),
        ("shaft", shaft_yield_psi),
        ("hub", hub_yield_psi),
    ):
        require_positive(f"yield strength of the {name}", yield_psi, "psi")
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
    bearing = key_bearing(
        torque_lbf_in=peak,
        shaft_diameter_in=shaft_diameter_in,
        length_in=length_in,
        shaft_height_in=shaft_height_in,
        hub_height_in=hub_height_in,
        key_allowable_psi=key_yield_psi / design_factor,
        shaft_allowable_psi=shaft_yield_psi / design_factor,
        hub_allowable_psi=hub_yield_psi / design_factor,
    )
    allow_shear = shear_share * key_yield_psi / design_factor
    if shear / allow_shear >= bearing.stress_psi / bearing.allowable_psi:
        governs, stress, allow, metal = "shear", shear, allow_shear, "key"
    else:
        governs, stress, allow = "bearing", bearing.stress_psi, bearing.allowable_psi
        metal = bearing.metal
    used = stress / allow
    yields = {"key": key_yield_psi, "shaft": shaft_yield_psi, "hub": hub_yield_psi}
    reason = (
        f"{governs} {stress:,.0f} psi against {allow:,.0f} psi allowed for the {metal} (yield"
        f" {yields[metal]:,.0f} psi, design factor {design_factor:g}, service factor"
        f" {service_factor:g}): {used * 100:.0f} % used."
    )
    return KeyStrength(
        shear_stress_psi=shear,
        allowable_shear_psi=allow_shear,
        bearing=bearing,
        torque_capacity_lbf_in=torque_lbf_in / used,
        utilisation=used,
        governs=governs,
        within=used <= 1,
        reason=reason,
    )
