"""The normal force on the faces of a driven key by each route, for one value of each input.

Floats or arrays of the same shape: `seat` takes the ends of ranges, `pull_spread` takes draws.
Book symbols in the bodies: N normal force, p pressure, W width, L length of contact, t taper.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from taperkey.checks import require_non_negative, require_positive, require_range
from taperkey.formulas.measure import Values
from taperkey.formulas.squeeze import STEEL_MODULUS_PSI, seat_compliance_in_per_psi
from taperkey.formulas.wedge import MAX_TAPER_IN_PER_IN, PER_FOOT, drive_ratio

__all__ = ["seat_by_blow_lbf", "seat_by_pressure_lbf", "seat_by_travel_lbf"]

# these two take arrays as well as floats
_give: Callable[..., Any] = seat_compliance_in_per_psi
_drive: Callable[..., Any] = drive_ratio


def seat_by_pressure_lbf(
    *, pressure_psi: Values, width_in: float, contact_length_in: float, bearing_share: Values
) -> Values:
    """Return the normal force of a pressure where the key bears.

    N = p W L share

    Parameters
    ----------
    pressure_psi : float or array
        Mean pressure where the key bears, above 0 [psi].
    width_in : float
        Key width, above 0 [in].
    contact_length_in : float
        Length of the key inside the hub, above 0 [in].
    bearing_share : float or array
        Part of the face that bears, above 0 to 1 [-].

    Returns
    -------
    float or array
        Normal force [lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    The same pressure wherever it bears.

    Examples
    --------
    >>> seat_by_pressure_lbf(pressure_psi=10_000, width_in=1, contact_length_in=4,
    ...                      bearing_share=0.5)
    20000.0

    Source
    ------
    Force over area.
    """
    require_positive("pressure", pressure_psi, "psi")
    require_positive("bearing share", bearing_share)
    require_range("bearing share", bearing_share, 0, 1)
    require_positive("key width", width_in, "in")
    require_positive("contact length", contact_length_in, "in")
    return pressure_psi * (width_in * contact_length_in) * bearing_share


def seat_by_travel_lbf(
    *,
    travel_in: Values,
    taper_in_per_in: float,
    height_in: float,
    width_in: float,
    contact_length_in: float,
    seat_depth: Values,
    modulus_psi: float = STEEL_MODULUS_PSI,
    ring_in_per_psi: Values = 0.0,
) -> Values:
    """Return the normal force of a travel after contact along the whole length.

    N = t s W L / (give + ring)

    Parameters
    ----------
    travel_in : float or array
        Travel after contact, above 0 [in].
    taper_in_per_in : float
        Taper, above 0 to 0.6 [in/in].
    height_in : float
        Mean key height, above 0 [in].
    width_in : float
        Key width, above 0 [in].
    contact_length_in : float
        Length of the key inside the hub, above 0 [in].
    seat_depth : float or array
        Depth of giving metal behind each slot, in key widths, 0 to 5 [-].
    modulus_psi : float
        Modulus of elasticity of all three parts, above 0 [psi].
    ring_in_per_psi : float or array
        Opening of the hub's ring for each psi on the faces, 0 or more [in/psi].

    Returns
    -------
    float or array
        Normal force [lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Elastic; the travel counts from where the marks run the whole length. A ring of 0 leaves the
    hub's opening out, and the force comes out too high.

    Examples
    --------
    A key between rigid seats: 0.0006 in of squeeze on 1 in of height, over 4 in2.

    >>> round(seat_by_travel_lbf(travel_in=0.06, taper_in_per_in=0.01, height_in=1, width_in=1,
    ...                          contact_length_in=4, seat_depth=0))
    72000

    Source
    ------
    Derived here: squeeze = taper times travel, over `seat_compliance_in_per_psi` and the ring.
    """
    require_positive("travel after contact", travel_in, "in")
    require_positive("taper", taper_in_per_in, "in/in", "A straight key does not wedge.")
    require_range("taper", taper_in_per_in, 0, MAX_TAPER_IN_PER_IN, "in/in", PER_FOOT)
    require_positive("contact length", contact_length_in, "in")
    require_non_negative("opening of the ring", ring_in_per_psi, "in/psi")
    give = _give(
        height_in=height_in,
        width_in=width_in,
        seat_depth=seat_depth,
        key_modulus_psi=modulus_psi,
        shaft_modulus_psi=modulus_psi,
        hub_modulus_psi=modulus_psi,
    )
    return taper_in_per_in * travel_in * (width_in * contact_length_in) / (give + ring_in_per_psi)


def seat_by_blow_lbf(
    *,
    energy_lbf_in: Values,
    useful_share: Values,
    advance_in: Values,
    taper_in_per_in: float,
    friction: Values,
) -> Values:
    """Return the normal force of a last blow and how far it moved the key.

    N = share energy / (advance (mu + tan(phi + alpha)))

    Parameters
    ----------
    energy_lbf_in : float or array
        Energy of the blow, above 0 [lbf_in].
    useful_share : float or array
        Part of it that moves the key, above 0 to 1 [-].
    advance_in : float or array
        How far the blow moved the key, above 0 [in].
    taper_in_per_in : float
        Taper, above 0 to 0.6 [in/in].
    friction : float or array
        Friction on both faces while driving, 0 to 1.5 [-].

    Returns
    -------
    float or array
        Normal force [lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    The mean push over the advance is taken for the final one.

    Examples
    --------
    >>> round(seat_by_blow_lbf(energy_lbf_in=2014, useful_share=0.5, advance_in=1 / 32,
    ...                        taper_in_per_in=1 / 96, friction=0.1), -3)
    153000.0

    Source
    ------
    Derived here: work and energy, then the wedge of `drive_ratio`.
    """
    require_positive("energy of the blow", energy_lbf_in, "lbf in")
    require_positive("useful share", useful_share)
    require_range("useful share", useful_share, 0, 1)
    require_positive("last advance", advance_in, "in")
    require_positive("taper", taper_in_per_in, "in/in", "A straight key does not wedge.")
    ratio = _drive(taper_in_per_in=taper_in_per_in, floor_friction=friction, roof_friction=friction)
    return useful_share * energy_lbf_in / advance_in / ratio
