"""Pressure on the faces, and how much key, shaft and hub give under it.

Book symbols in the bodies: N normal force, p pressure, E modulus, W width, H height.
"""

from __future__ import annotations

from dataclasses import dataclass

from taperkey import practice
from taperkey.checks import (
    require_at_least,
    require_non_negative,
    require_positive,
    require_range,
)
from taperkey.formulas.measure import STEEL_EXPANSION_PER_DEGF, thermal_growth_in

__all__ = [
    "SEAT_DEPTH_HIGH",
    "SEAT_DEPTH_LOW",
    "STEEL_MODULUS_PSI",
    "HeatToFree",
    "face_pressure_psi",
    "heat_for_squeeze",
    "heat_to_free",
    "key_squeeze_in",
    "opening_growth_in",
    "seat_compliance_in_per_psi",
]

SEAT_DEPTH_LOW, SEAT_DEPTH_HIGH = practice.span("seat_depth")

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


def opening_growth_in(
    *,
    difference_degF: float,
    bore_in: float,
    height_in: float,
    expansion_per_degF: float = STEEL_EXPANSION_PER_DEGF,
) -> float:
    """Return how much the opening grows when the hub is warmer than shaft and key.

    growth = a dT (bore + H)

    Parameters
    ----------
    difference_degF : float
        Hub above shaft and key, at the key itself, 0 to 600 [degF].
    bore_in : float
        Bore of the hub, above 0 [in].
    height_in : float
        Key height, above 0 [in].
    expansion_per_degF : float
        Expansion of hub and key steel [1/degF].

    Returns
    -------
    float
        Growth of the height of the opening [in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    The hub is warm all round and right through, shaft and key are not warm at all: on a real
    drive the shaft warms too, within minutes, and the gain is less.

    Examples
    --------
    >>> round(opening_growth_in(difference_degF=10, bore_in=6, height_in=1), 5)
    0.00045

    Source
    ------
    Thermal expansion; 11.5e-6 for each degC, JCGM 100:2008, H.1.
    """
    require_range("hub above shaft and key", difference_degF, 0, 600, "degF")
    require_positive("bore", bore_in, "in")
    require_positive("key height", height_in, "in")
    return float(
        thermal_growth_in(
            length_in=bore_in + height_in,
            expansion_per_degF=expansion_per_degF,
            temperature_change_degF=difference_degF,
        )
    )


@dataclass(frozen=True, kw_only=True)
class HeatToFree:
    """How far a drive squeezes a key, and the heat at the key that takes it off again.

    Attributes
    ----------
    squeeze_low_in, squeeze_high_in : float
        What key, shaft and hub give together, between a stiff seat and a soft one [in].
    difference_low_degF, difference_high_degF : float
        Hub above shaft and key, at the key itself, that opens the hub as far [degF].
    """

    squeeze_low_in: float
    squeeze_high_in: float
    difference_low_degF: float  # noqa: N815 - as everywhere in the formulas
    difference_high_degF: float  # noqa: N815


def heat_for_squeeze(
    *, squeeze_low_in: float, squeeze_high_in: float, bore_in: float, height_in: float
) -> HeatToFree:
    """Return how much warmer than shaft and key a hub must be to open by a squeeze.

    dT = squeeze / (a (bore + H))

    Parameters
    ----------
    squeeze_low_in : float
        Squeeze of the driven key, low end, above 0; travel past full contact times taper [in].
    squeeze_high_in : float
        The same, high end, not below the low end [in].
    bore_in : float
        Bore of the hub, above 0 [in].
    height_in : float
        Mean key height, above 0 [in].

    Returns
    -------
    HeatToFree
        Both ranges; low with low and high with high.

    Raises
    ------
    ValueError
        If an argument is outside its range or an end is the wrong way round.

    Assumptions
    -----------
    Those of `opening_growth_in`. It does not matter what gives way under the squeeze.

    Examples
    --------
    1/8 in of travel at 1:96, 1 in key, 6 in bore:

    >>> heat = heat_for_squeeze(squeeze_low_in=0.0013, squeeze_high_in=0.0013, bore_in=6,
    ...                         height_in=1)
    >>> round(heat.difference_low_degF)
    29

    Source
    ------
    `opening_growth_in`, turned round.
    """
    require_positive("low end of the squeeze", squeeze_low_in, "in")
    require_at_least("high end of the squeeze", squeeze_high_in, squeeze_low_in, "in")
    for_each_degree = opening_growth_in(difference_degF=1.0, bore_in=bore_in, height_in=height_in)
    return HeatToFree(
        squeeze_low_in=squeeze_low_in,
        squeeze_high_in=squeeze_high_in,
        difference_low_degF=squeeze_low_in / for_each_degree,
        difference_high_degF=squeeze_high_in / for_each_degree,
    )


def heat_to_free(
    *,
    pressure_low_psi: float,
    pressure_high_psi: float,
    height_in: float,
    width_in: float,
    bore_in: float,
    seat_depth_low: float = SEAT_DEPTH_LOW,
    seat_depth_high: float = SEAT_DEPTH_HIGH,
    ring_low_in_per_psi: float = 0.0,
    ring_high_in_per_psi: float = 0.0,
) -> HeatToFree:
    """Return the squeeze of a driven key, and how much warmer the hub must be to take it off.

    squeeze = p (give + ring);  dT = squeeze / (a (bore + H))

    Parameters
    ----------
    pressure_low_psi : float
        Mean pressure on the faces, low end, above 0 [psi].
    pressure_high_psi : float
        The same, high end, not below the low end [psi].
    height_in : float
        Mean key height, above 0 [in].
    width_in : float
        Key width, above 0 [in].
    bore_in : float
        Bore of the hub, above 0 [in].
    seat_depth_low : float
        Least depth of giving metal behind each slot, in key widths, 0 to 5 [-].
    seat_depth_high : float
        Greatest such depth, not below the least, to 5 [-].
    ring_low_in_per_psi : float
        Opening of the hub's ring for each psi on the faces, least, 0 or more [in/psi].
    ring_high_in_per_psi : float
        The same, greatest, not below the least [in/psi].

    Returns
    -------
    HeatToFree
        Both ranges; low with low and high with high.

    Raises
    ------
    ValueError
        If an argument is outside its range or an end is the wrong way round.

    Assumptions
    -----------
    Those of `seat_compliance_in_per_psi` and `opening_growth_in`. With a ring of 0 it is the least
    heat: a hub opens as a ring besides, and often further than all else gives. At the key only a
    part of what a torch makes outside is left; friction and rust are not looked at.

    Examples
    --------
    A 1.5 x 8 in key, 1 in high, in a 6 in bore, pressed by 150,000 lbf:

    >>> heat = heat_to_free(pressure_low_psi=12_500, pressure_high_psi=12_500, height_in=1,
    ...                     width_in=1.5, bore_in=6)
    >>> round(heat.squeeze_low_in, 4), round(heat.squeeze_high_in, 4)
    (0.001, 0.0025)
    >>> round(heat.difference_low_degF), round(heat.difference_high_degF)
    (23, 57)

    Source
    ------
    Derived here from `seat_compliance_in_per_psi` and `opening_growth_in`.
    """
    require_positive("low end of the pressure", pressure_low_psi, "psi")
    require_at_least("high end of the pressure", pressure_high_psi, pressure_low_psi, "psi")
    require_at_least("high end of the seat depth", seat_depth_high, seat_depth_low, "key widths")
    require_non_negative("low end of the ring's opening", ring_low_in_per_psi, "in/psi")
    require_at_least(
        "high end of the ring's opening", ring_high_in_per_psi, ring_low_in_per_psi, "in/psi"
    )
    low, high = (
        pressure
        * (
            seat_compliance_in_per_psi(height_in=height_in, width_in=width_in, seat_depth=depth)
            + ring
        )
        for pressure, depth, ring in (
            (pressure_low_psi, seat_depth_low, ring_low_in_per_psi),
            (pressure_high_psi, seat_depth_high, ring_high_in_per_psi),
        )
    )
    return heat_for_squeeze(
        squeeze_low_in=low, squeeze_high_in=high, bore_in=bore_in, height_in=height_in
    )
