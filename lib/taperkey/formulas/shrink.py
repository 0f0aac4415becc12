"""Shrink and limits: pressure of a thick ring on a shaft, and the two ends of a fit.

Book symbols in the bodies: a inner, b common, c outer radius, p pressure at the joint,
E modulus, nu Poisson's ratio. Kept beside the key because both grip by pressure.
"""

from __future__ import annotations

from dataclasses import dataclass

from taperkey import practice
from taperkey.checks import (
    require_above,
    require_at_least,
    require_non_negative,
    require_positive,
    require_range,
)
from taperkey.formulas.squeeze import STEEL_MODULUS_PSI

__all__ = ["FitRange", "fit_range", "shrink_interference_in", "shrink_pressure_psi"]

STEEL_POISSON = practice.value("steel_poisson")


def _compliance_in_per_psi(
    *,
    inner_radius_in: float,
    common_radius_in: float,
    outer_radius_in: float,
    shaft_modulus_psi: float,
    hub_modulus_psi: float,
    poisson: float,
) -> float:
    require_non_negative("inner radius", inner_radius_in, "in")
    require_above("common radius", common_radius_in, inner_radius_in, "in")
    require_above("outer radius", outer_radius_in, common_radius_in, "in")
    require_positive("shaft modulus", shaft_modulus_psi, "psi")
    require_positive("hub modulus", hub_modulus_psi, "psi")
    require_range("Poisson's ratio", poisson, 0, 0.5)
    a2, b2, c2 = inner_radius_in**2, common_radius_in**2, outer_radius_in**2
    hub = ((c2 + b2) / (c2 - b2) + poisson) / hub_modulus_psi
    shaft = ((b2 + a2) / (b2 - a2) - poisson) / shaft_modulus_psi
    return common_radius_in * (hub + shaft)


def shrink_interference_in(
    *,
    pressure_psi: float,
    inner_radius_in: float,
    common_radius_in: float,
    outer_radius_in: float,
    shaft_modulus_psi: float = STEEL_MODULUS_PSI,
    hub_modulus_psi: float = STEEL_MODULUS_PSI,
    poisson: float = STEEL_POISSON,
) -> float:
    """Return the radial interference that gives a pressure at the joint.

    delta = p b [((c2 + b2)/(c2 - b2) + nu)/E_hub + ((b2 + a2)/(b2 - a2) - nu)/E_shaft]

    Parameters
    ----------
    pressure_psi : float
        Pressure at the joint, 0 or more [psi].
    inner_radius_in : float
        Radius of the hole in the shaft, 0 for a solid shaft [in].
    common_radius_in : float
        Radius of the joint, above the inner radius [in].
    outer_radius_in : float
        Outside radius of the hub, above the common radius [in].
    shaft_modulus_psi : float
        Modulus of elasticity of the shaft, above 0 [psi].
    hub_modulus_psi : float
        Modulus of elasticity of the hub, above 0 [psi].
    poisson : float
        Poisson's ratio of both, 0 to 0.5 [-].

    Returns
    -------
    float
        Interference on the radius; twice this on the diameter [in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Lame: long round rings, even pressure, elastic. A keyway spoils the ring.

    Examples
    --------
    >>> round(shrink_interference_in(pressure_psi=30, inner_radius_in=100, common_radius_in=125,
    ...     outer_radius_in=150, shaft_modulus_psi=2e5, hub_modulus_psi=2e5), 3)
    0.189

    Source
    ------
    Lame's thick cylinder; the example is Bhavikatti, *Mechanics of Solids*, Example
    8.16, p. 348, in its open companion (millimeters and MPa, same formula).
    """
    require_non_negative("pressure", pressure_psi, "psi")
    return pressure_psi * _compliance_in_per_psi(
        inner_radius_in=inner_radius_in,
        common_radius_in=common_radius_in,
        outer_radius_in=outer_radius_in,
        shaft_modulus_psi=shaft_modulus_psi,
        hub_modulus_psi=hub_modulus_psi,
        poisson=poisson,
    )


def shrink_pressure_psi(
    *,
    interference_in: float,
    inner_radius_in: float,
    common_radius_in: float,
    outer_radius_in: float,
    shaft_modulus_psi: float = STEEL_MODULUS_PSI,
    hub_modulus_psi: float = STEEL_MODULUS_PSI,
    poisson: float = STEEL_POISSON,
) -> float:
    """Return the pressure at the joint that a radial interference gives.

    p = delta / (b [((c2 + b2)/(c2 - b2) + nu)/E_hub + ((b2 + a2)/(b2 - a2) - nu)/E_shaft])

    Parameters
    ----------
    interference_in : float
        Interference on the radius, 0 or more [in].
    inner_radius_in : float
        Radius of the hole in the shaft, 0 for a solid shaft [in].
    common_radius_in : float
        Radius of the joint, above the inner radius [in].
    outer_radius_in : float
        Outside radius of the hub, above the common radius [in].
    shaft_modulus_psi : float
        Modulus of elasticity of the shaft, above 0 [psi].
    hub_modulus_psi : float
        Modulus of elasticity of the hub, above 0 [psi].
    poisson : float
        Poisson's ratio of both, 0 to 0.5 [-].

    Returns
    -------
    float
        Pressure at the joint [psi].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    As for `shrink_interference_in`.

    Examples
    --------
    >>> round(shrink_pressure_psi(interference_in=0.001, inner_radius_in=0, common_radius_in=2,
    ...     outer_radius_in=4))
    5625

    Source
    ------
    Lame's thick cylinder, solved for the pressure.
    """
    require_non_negative("interference", interference_in, "in")
    return interference_in / _compliance_in_per_psi(
        inner_radius_in=inner_radius_in,
        common_radius_in=common_radius_in,
        outer_radius_in=outer_radius_in,
        shaft_modulus_psi=shaft_modulus_psi,
        hub_modulus_psi=hub_modulus_psi,
        poisson=poisson,
    )


@dataclass(frozen=True, kw_only=True)
class FitRange:
    """The two ends of a fit; interference positive, clearance negative.

    Attributes
    ----------
    tightest_in : float
        Largest shaft in smallest hole [in].
    loosest_in : float
        Smallest shaft in largest hole [in].
    kind : str
        "interference", "transition" or "clearance".
    """

    tightest_in: float
    loosest_in: float
    kind: str


def fit_range(
    *, hole_low_in: float, hole_high_in: float, shaft_low_in: float, shaft_high_in: float
) -> FitRange:
    """Return the tightest and the loosest fit of a hole and a shaft.

    tightest = shaft high - hole low;  loosest = shaft low - hole high

    Parameters
    ----------
    hole_low_in : float
        Smallest hole, above 0 [in].
    hole_high_in : float
        Largest hole, not below the smallest [in].
    shaft_low_in : float
        Smallest shaft, above 0 [in].
    shaft_high_in : float
        Largest shaft, not below the smallest [in].

    Returns
    -------
    FitRange
        Both ends [in] and the kind of fit.

    Raises
    ------
    ValueError
        If a size is not above 0 or a high limit is below its low limit.

    Assumptions
    -----------
    Limits on the diameter, or on a slot and a key, at one temperature.

    Examples
    --------
    >>> fit = fit_range(hole_low_in=25, hole_high_in=25.021, shaft_low_in=25.028,
    ...                 shaft_high_in=25.041)
    >>> round(fit.tightest_in, 3), round(fit.loosest_in, 3), fit.kind
    (0.041, 0.007, 'interference')

    Source
    ------
    Limits and fits by subtraction, as in Jindal, *Machine Design*, Example 4-2
    (open companion).
    """
    require_positive("smallest hole", hole_low_in, "in")
    require_positive("smallest shaft", shaft_low_in, "in")
    require_at_least("largest hole", hole_high_in, hole_low_in, "in")
    require_at_least("largest shaft", shaft_high_in, shaft_low_in, "in")
    tightest, loosest = shaft_high_in - hole_low_in, shaft_low_in - hole_high_in
    kind = "interference" if loosest >= 0 else "clearance" if tightest <= 0 else "transition"
    return FitRange(tightest_in=tightest, loosest_in=loosest, kind=kind)
