"""Torque of a drive, and the force that it puts on a key.

Book symbols in the bodies: T torque, D shaft diameter, F = 2T/D force at the shaft surface.
"""

from __future__ import annotations

import math

from taperkey.checks import require_positive

__all__ = [
    "key_force_lbf",
    "solid_shaft_torque_lbf_in",
    "torque_lbf_in",
]

LBF_IN_PER_MIN_PER_HP = 396000.0  # 33,000 ft lbf per minute, in inches


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
