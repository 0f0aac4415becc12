"""Bearing of a key's sides on shaft and hub: the height that bears, the stress, what decides.

Book symbols in the bodies: T torque, D shaft diameter, L key length, h height that bears on one
side, d depth of the slot along its side wall, c chamfer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from taperkey.checks import require_non_negative, require_positive, sentence
from taperkey.formulas.torque import key_force_lbf

__all__ = [
    "KeyBearing",
    "bearing_height_in",
    "key_bearing",
    "key_bearing_stress_psi",
    "key_length_for_bearing_in",
]


def bearing_height_in(*, slot_side_depth_in: float, chamfer_in: float) -> float:
    """Return the height over which the key's side bears in a keyseat or a keyway.

    h = d - c

    Parameters
    ----------
    slot_side_depth_in : float
        Depth d of the slot along its side wall, above 0; in a keyway that gets lower, half way
        along the length that bears [in].
    chamfer_in : float
        Leg c of the key's 45 degree chamfer, 0 or more [in].

    Returns
    -------
    float
        Height that bears [in].

    Raises
    ------
    ValueError
        If the depth is not above 0, or the chamfer is not below the depth.

    Assumptions
    -----------
    The chamfer is larger than the radius in the corner, so it is what takes the height away.
    The edges of the slot at the shaft's surface and at the bore are sharp.

    Examples
    --------
    >>> bearing_height_in(slot_side_depth_in=0.5, chamfer_in=0.15625)
    0.34375

    Source
    ------
    Side of a rectangle less its chamfer; the height that bears is counted in this way in DIN 6892
    (parallel keys; from memory).
    """
    require_positive("depth of the slot", slot_side_depth_in, "in", "Measure it along the side.")
    require_non_negative("chamfer", chamfer_in, "in")
    if chamfer_in >= slot_side_depth_in:
        rule = f"below {slot_side_depth_in:.6g} in, the depth of the slot"
        raise ValueError(sentence("chamfer", chamfer_in, "in", rule, "No side is left to bear."))
    return slot_side_depth_in - chamfer_in


def key_bearing_stress_psi(
    *, torque_lbf_in: float, shaft_diameter_in: float, bearing_height_in: float, length_in: float
) -> float:
    """Return the bearing stress on the side of the key.

    sigma = 2 T / (D h L)

    Parameters
    ----------
    torque_lbf_in : float
        Torque, above 0 [lbf_in].
    shaft_diameter_in : float
        Shaft diameter, above 0 [in].
    bearing_height_in : float
        Height that bears on one side, in shaft or hub, above 0: see `bearing_height_in` [in].
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
    >>> key_bearing_stress_psi(torque_lbf_in=4000, shaft_diameter_in=2, bearing_height_in=0.25,
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


def key_length_for_bearing_in(
    *,
    torque_lbf_in: float,
    shaft_diameter_in: float,
    bearing_height_in: float,
    allowable_bearing_psi: float,
) -> float:
    """Return the key length that brings the bearing stress to the allowable.

    L = 2 T / (D h sigma)

    Parameters
    ----------
    torque_lbf_in : float
        Torque, above 0 [lbf_in].
    shaft_diameter_in : float
        Shaft diameter, above 0 [in].
    bearing_height_in : float
        Height that bears on one side, the lesser, above 0 [in].
    allowable_bearing_psi : float
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
    As for `key_bearing_stress_psi`.

    Examples
    --------
    >>> key_length_for_bearing_in(torque_lbf_in=4000, shaft_diameter_in=2,
    ...                            bearing_height_in=0.25, allowable_bearing_psi=8000)
    2.0

    Source
    ------
    `key_bearing_stress_psi` solved for the length.
    """
    require_positive("allowable bearing stress", allowable_bearing_psi, "psi")
    require_positive("bearing height", bearing_height_in, "in")
    force = key_force_lbf(torque_lbf_in=torque_lbf_in, shaft_diameter_in=shaft_diameter_in)
    return force / (bearing_height_in * allowable_bearing_psi)


@dataclass(frozen=True, kw_only=True)
class KeyBearing:
    """Bearing of a key where it decides.

    Attributes
    ----------
    side : str
        "shaft" or "hub": the side that uses more of what is allowed there.
    metal : str
        "key", "shaft" or "hub": the softer of the two metals that meet there.
    stress_psi : float
        Bearing stress on that side [psi].
    allowable_psi : float
        What is allowed for that metal [psi].
    """

    side: Literal["shaft", "hub"]
    metal: Literal["key", "shaft", "hub"]
    stress_psi: float
    allowable_psi: float


def key_bearing(
    *,
    torque_lbf_in: float,
    shaft_diameter_in: float,
    length_in: float,
    shaft_height_in: float,
    hub_height_in: float,
    key_allowable_psi: float,
    shaft_allowable_psi: float,
    hub_allowable_psi: float,
) -> KeyBearing:
    """Return where a key's bearing decides: the weakest of key, shaft and hub.

    sigma = 2 T / (D h L) on each side, against the lesser of what the two metals there allow

    Parameters
    ----------
    torque_lbf_in : float
        Torque, above 0 [lbf_in].
    shaft_diameter_in : float
        Shaft diameter, above 0 [in].
    length_in : float
        Length that lies in both slots, above 0 [in].
    shaft_height_in : float
        Height that bears in the shaft, above 0 [in].
    hub_height_in : float
        Height that bears in the hub, above 0 [in].
    key_allowable_psi : float
        Bearing stress allowed for the key, above 0 [psi].
    shaft_allowable_psi : float
        Bearing stress allowed for the shaft, above 0 [psi].
    hub_allowable_psi : float
        Bearing stress allowed for the hub, above 0 [psi].

    Returns
    -------
    KeyBearing
        Side and metal that decide, with stress and allowable [psi].

    Raises
    ------
    ValueError
        If an argument is not above 0.

    Assumptions
    -----------
    As for `key_bearing_stress_psi`. Where both sides use the same, the hub is named.

    Examples
    --------
    >>> found = key_bearing(torque_lbf_in=4000, shaft_diameter_in=2, length_in=2,
    ...     shaft_height_in=0.25, hub_height_in=0.2, key_allowable_psi=18000,
    ...     shaft_allowable_psi=15000, hub_allowable_psi=13000)
    >>> found.side, found.metal, found.stress_psi
    ('hub', 'hub', 10000.0)

    Source
    ------
    Shigley, *Mechanical Engineering Design*, keys and pins: the key is checked in bearing with
    the weakest of the materials that meet.
    """
    require_positive("bearing stress allowed for the key", key_allowable_psi, "psi")
    require_positive("bearing stress allowed for the shaft", shaft_allowable_psi, "psi")
    require_positive("bearing stress allowed for the hub", hub_allowable_psi, "psi")

    def on(side: Literal["shaft", "hub"], height: float, allowable: float) -> KeyBearing:
        return KeyBearing(
            side=side,
            metal=side if allowable < key_allowable_psi else "key",
            stress_psi=key_bearing_stress_psi(
                torque_lbf_in=torque_lbf_in,
                shaft_diameter_in=shaft_diameter_in,
                bearing_height_in=height,
                length_in=length_in,
            ),
            allowable_psi=min(allowable, key_allowable_psi),
        )

    hub = on("hub", hub_height_in, hub_allowable_psi)
    shaft = on("shaft", shaft_height_in, shaft_allowable_psi)
    more = shaft.stress_psi * hub.allowable_psi > hub.stress_psi * shaft.allowable_psi
    return shaft if more else hub
