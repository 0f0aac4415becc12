"""Pressure on the faces, and how much key, shaft and hub give under it.

Book symbols in the bodies: N normal force, p pressure, E modulus, W width, H height.
"""

from __future__ import annotations

from taperkey import practice
from taperkey.checks import require_non_negative, require_positive, require_range

__all__ = ["STEEL_MODULUS_PSI", "face_pressure_psi", "key_squeeze_in", "seat_compliance_in_per_psi"]

STEEL_MODULUS_PSI = practice.value("steel_modulus")


def face_pressure_psi(
    *, normal_force_lbf: float, width_in: float, contact_length_in: float, bearing_share: float = 1
) -> float:
    """Return the mean pressure on the bearing part of one face.

    p = N / (W L share)

    Parameters
    ----------
    normal_force_lbf : float
        Force square to the face, 0 or more [lbf].
    width_in : float
        Key width, above 0 [in].
    contact_length_in : float
        Length of the key inside the hub, above 0 [in].
    bearing_share : float
        Part of the face that bears, above 0 to 1 [-].

    Returns
    -------
    float
        Mean pressure [psi].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Even pressure on what bears; the peaks are higher.

    Examples
    --------
    >>> face_pressure_psi(normal_force_lbf=150000, width_in=1.5, contact_length_in=8)
    12500.0

    Source
    ------
    Force over area.
    """
    require_non_negative("normal force", normal_force_lbf, "lbf")
    require_positive("key width", width_in, "in")
    require_positive("contact length", contact_length_in, "in")
    require_positive("bearing share", bearing_share)
    require_range("bearing share", bearing_share, 0, 1)
    return normal_force_lbf / (width_in * contact_length_in * bearing_share)


def key_squeeze_in(
    *, pressure_psi: float, height_in: float, modulus_psi: float = STEEL_MODULUS_PSI
) -> float:
    """Return how much a pressure squeezes the key itself in height.

    squeeze = p H / E

    Parameters
    ----------
    pressure_psi : float
        Mean pressure on the faces, 0 or more [psi].
    height_in : float
        Mean key height, above 0 [in].
    modulus_psi : float
        Modulus of elasticity, above 0 [psi].

    Returns
    -------
    float
        Squeeze of the key alone, shaft and hub not counted [in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Elastic; free to bulge at the sides.

    Examples
    --------
    >>> key_squeeze_in(pressure_psi=12000, height_in=1)
    0.0004

    Source
    ------
    Hooke's law.
    """
    require_non_negative("pressure", pressure_psi, "psi")
    require_positive("key height", height_in, "in")
    require_positive("modulus", modulus_psi, "psi")
    return pressure_psi * height_in / modulus_psi


def seat_compliance_in_per_psi(
    *,
    height_in: float,
    width_in: float,
    seat_depth: float,
    key_modulus_psi: float = STEEL_MODULUS_PSI,
    shaft_modulus_psi: float = STEEL_MODULUS_PSI,
    hub_modulus_psi: float = STEEL_MODULUS_PSI,
) -> float:
    """Return how much key, shaft and hub give together for each psi on the faces.

    give = H/E_key + depth W/E_shaft + depth W/E_hub

    Parameters
    ----------
    height_in : float
        Mean key height, above 0 [in].
    width_in : float
        Key width, above 0 [in].
    seat_depth : float
        Depth of metal behind each slot that gives, in key widths, 0 for a rigid
        seat, to 5 [-].
    key_modulus_psi : float
        Modulus of elasticity of the key, above 0 [psi].
    shaft_modulus_psi : float
        Modulus of elasticity of the shaft, above 0 [psi].
    hub_modulus_psi : float
        Modulus of elasticity of the hub, above 0 [psi].

    Returns
    -------
    float
        Give in height for each psi of mean pressure [in/psi].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Elastic and even. The depth is the weak number: about 1.7 for a patch five times
    as long as wide on a deep block, less where the section is stiff.

    Examples
    --------
    A 1 in high, 1.5 in wide key between rigid seats, then between real ones:

    >>> 1 / seat_compliance_in_per_psi(height_in=1, width_in=1.5, seat_depth=0)
    30000000.0
    >>> 1 / seat_compliance_in_per_psi(height_in=1, width_in=1.5, seat_depth=0.5)
    12000000.0

    Source
    ------
    Derived here: three springs in a row; depth from the mean sinking of a loaded
    rectangle on a half-space (memory of Timoshenko and Goodier).
    """
    require_positive("key height", height_in, "in")
    require_positive("key width", width_in, "in")
    require_range("seat depth", seat_depth, 0, 5, "key widths")
    for name, modulus in (
        ("key modulus", key_modulus_psi),
        ("shaft modulus", shaft_modulus_psi),
        ("hub modulus", hub_modulus_psi),
    ):
        require_positive(name, modulus, "psi")
    behind = seat_depth * width_in
    return height_in / key_modulus_psi + behind / shaft_modulus_psi + behind / hub_modulus_psi
