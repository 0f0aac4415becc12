"""How hard a driven key sits: the normal force on its faces, by three routes.

None of the three is a measurement. Each gives a range, and says which of its
inputs makes the range wide. Book symbols in the bodies: N normal force, p pressure,
E modulus, W width, L length of contact, H height, t taper, m weight, v speed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from taperkey.checks import (
    require_at_least,
    require_non_negative,
    require_positive,
    require_range,
)
from taperkey.formulas.seat_routes import (
    seat_by_blow_lbf,
    seat_by_pressure_lbf,
    seat_by_travel_lbf,
)
from taperkey.formulas.squeeze import (
    SEAT_DEPTH_HIGH,
    SEAT_DEPTH_LOW,
    STEEL_MODULUS_PSI,
    seat_compliance_in_per_psi,
)
from taperkey.formulas.wedge import MAX_FRICTION, MAX_TAPER_IN_PER_IN, drive_ratio

__all__ = [
    "SEAT_DEPTH_HIGH",
    "SEAT_DEPTH_LOW",
    "SeatEstimate",
    "SeatRange",
    "blow_energy_lbf_in",
    "combined_seat",
    "seat_from_last_blow",
    "seat_from_pressure",
    "seat_from_travel",
]

GRAVITY_IN_PER_S2 = 386.09  # standard gravity


@dataclass(frozen=True, kw_only=True)
class SeatEstimate:
    """Normal force of a driven key by one route.

    Attributes
    ----------
    route : str
        "pressure", "travel" or "last blow".
    low_lbf : float
        Low end of the normal force [lbf].
    high_lbf : float
        High end of the normal force [lbf].
    assumption : str
        The sentence that names the input which makes the range.
    """

    route: str
    low_lbf: float
    high_lbf: float
    assumption: str


@dataclass(frozen=True, kw_only=True)
class SeatRange:
    """All routes taken together.

    Attributes
    ----------
    low_lbf : float
        Lowest end of any route [lbf].
    high_lbf : float
        Highest end of any route: the one to choose a rig by [lbf].
    agreed_low_lbf : float or None
        Low end of where all routes agree; None if they do not [lbf].
    agreed_high_lbf : float or None
        High end of where all routes agree; None if they do not [lbf].
    estimates : tuple of SeatEstimate
        The routes.
    dominant_route : str
        The route that sets the high end.
    dominant : str
        Which assumption the high end rests on, as a sentence.
    """

    low_lbf: float
    high_lbf: float
    agreed_low_lbf: float | None
    agreed_high_lbf: float | None
    estimates: tuple[SeatEstimate, ...]
    dominant_route: str
    dominant: str


def _require_ends(name: str, low: float, high: float, unit: str) -> None:
    require_positive(f"{name}, low end", low, unit)
    require_at_least(f"{name}, high end", high, low, unit)


def _require_friction_ends(low: float, high: float) -> None:
    require_non_negative("friction, low end", low)
    require_range("friction, high end", high, low, MAX_FRICTION)


def _widest(ends: Mapping[str, float]) -> str:
    # the input whose own range stretches the answer most
    name = max(ends, key=lambda one: ends[one])
    if ends[name] <= 1:
        return "every input is a single figure, which is less than is known of any of them"
    return f"{name} drives this range: alone it changes the answer {ends[name]:.1f} times"


def seat_from_pressure(
    *,
    pressure_low_psi: float,
    pressure_high_psi: float,
    width_in: float,
    contact_length_in: float,
    bearing_share_low: float,
    bearing_share_high: float,
) -> SeatEstimate:
    """Return the normal force from the pressure that the faces may bear.

    N = p W L share

    Parameters
    ----------
    pressure_low_psi : float
        Low end of the mean pressure where the key bears, above 0 [psi].
    pressure_high_psi : float
        High end; at most the yield strength of the softest part [psi].
    width_in : float
        Key width, above 0 [in].
    contact_length_in : float
        Length of the key inside the hub, above 0 [in].
    bearing_share_low : float
        Low end of the part of the face that bears, above 0 [-].
    bearing_share_high : float
        High end of that part, at most 1 [-].

    Returns
    -------
    SeatEstimate
        Range in [lbf] and the assumption that drives it.

    Raises
    ------
    ValueError
        If an argument is outside its range or an end is the wrong way round.

    Assumptions
    -----------
    Somebody knows the pressure: from a key of the same make, or yield as the bound.

    Examples
    --------
    >>> seat = seat_from_pressure(pressure_low_psi=8000, pressure_high_psi=16000, width_in=1.5,
    ...     contact_length_in=8, bearing_share_low=0.7, bearing_share_high=1)
    >>> round(seat.low_lbf), round(seat.high_lbf)
    (67200, 192000)

    Source
    ------
    Force over area; derived here.
    """
    _require_ends("pressure", pressure_low_psi, pressure_high_psi, "psi")
    _require_ends("bearing share", bearing_share_low, bearing_share_high, "")
    require_range("bearing share, high end", bearing_share_high, 0, 1)
    require_positive("key width", width_in, "in")
    require_positive("contact length", contact_length_in, "in")
    low, high = (
        seat_by_pressure_lbf(
            pressure_psi=psi,
            width_in=width_in,
            contact_length_in=contact_length_in,
            bearing_share=share,
        )
        for psi, share in (
            (pressure_low_psi, bearing_share_low),
            (pressure_high_psi, bearing_share_high),
        )
    )
    widest = _widest(
        {
            f"the pressure ({pressure_low_psi:,.0f} to {pressure_high_psi:,.0f} psi)": (
                pressure_high_psi / pressure_low_psi
            ),
            f"the bearing share ({bearing_share_low:g} to {bearing_share_high:g})": (
                bearing_share_high / bearing_share_low
            ),
        }
    )
    return SeatEstimate(
        route="pressure",
        low_lbf=low,
        high_lbf=high,
        assumption=f"By pressure on the faces: {widest}.",
    )


def seat_from_travel(
    *,
    travel_low_in: float,
    travel_high_in: float,
    taper_in_per_in: float,
    height_in: float,
    width_in: float,
    contact_length_in: float,
    seat_depth_low: float = SEAT_DEPTH_LOW,
    seat_depth_high: float = SEAT_DEPTH_HIGH,
    modulus_psi: float = STEEL_MODULUS_PSI,
    ring_low_in_per_psi: float = 0.0,
    ring_high_in_per_psi: float = 0.0,
) -> SeatEstimate:
    """Return the normal force from how far the key went in after full contact.

    N = t s W L / (give + ring)

    Parameters
    ----------
    travel_low_in : float
        Low end of the travel after contact along the whole length, above 0 [in].
    travel_high_in : float
        High end of that travel, not below the low end [in].
    taper_in_per_in : float
        Taper, above 0 to 0.6 [in/in].
    height_in : float
        Mean key height, above 0 [in].
    width_in : float
        Key width, above 0 [in].
    contact_length_in : float
        Length of the key inside the hub, above 0 [in].
    seat_depth_low : float
        Least depth of giving metal behind each slot, in key widths, 0 to 5 [-].
    seat_depth_high : float
        Greatest such depth, not below the least, to 5 [-].
    modulus_psi : float
        Modulus of elasticity of all three parts, above 0 [psi].
    ring_low_in_per_psi : float
        Opening of the hub's ring for each psi on the faces, least, 0 or more [in/psi].
    ring_high_in_per_psi : float
        The same, greatest, not below the least [in/psi].

    Returns
    -------
    SeatEstimate
        Range in [lbf] and the assumption that drives it.

    Raises
    ------
    ValueError
        If an argument is outside its range or an end is the wrong way round.

    Assumptions
    -----------
    Elastic. Travel that only flattens high spots counts for little: start the
    travel where the marks run the whole length. With a ring of 0 the force comes out too high,
    since a hub opens as a ring besides.

    Examples
    --------
    >>> seat = seat_from_travel(travel_low_in=0.06, travel_high_in=0.12, taper_in_per_in=1 / 96,
    ...     height_in=1, width_in=1.5, contact_length_in=8)
    >>> round(seat.low_lbf, -3), round(seat.high_lbf, -3)
    (37000.0, 180000.0)

    Source
    ------
    Derived here: squeeze = taper times travel, over `seat_compliance_in_per_psi`.
    """
    _require_ends("travel after contact", travel_low_in, travel_high_in, "in")
    require_positive("taper", taper_in_per_in, "in/in", "A straight key does not wedge.")
    require_range("taper", taper_in_per_in, 0, MAX_TAPER_IN_PER_IN, "in/in")
    require_positive("contact length", contact_length_in, "in")
    require_at_least("seat depth, high end", seat_depth_high, seat_depth_low, "key widths")
    require_non_negative("ring's opening, low end", ring_low_in_per_psi, "in/psi")
    require_at_least(
        "ring's opening, high end", ring_high_in_per_psi, ring_low_in_per_psi, "in/psi"
    )
    stiff, soft = (
        ring
        + seat_compliance_in_per_psi(
            height_in=height_in,
            width_in=width_in,
            seat_depth=depth,
            key_modulus_psi=modulus_psi,
            shaft_modulus_psi=modulus_psi,
            hub_modulus_psi=modulus_psi,
        )
        for depth, ring in (
            (seat_depth_low, ring_low_in_per_psi),
            (seat_depth_high, ring_high_in_per_psi),
        )
    )
    low, high = (
        seat_by_travel_lbf(
            travel_in=travel,
            taper_in_per_in=taper_in_per_in,
            height_in=height_in,
            width_in=width_in,
            contact_length_in=contact_length_in,
            seat_depth=depth,
            modulus_psi=modulus_psi,
            ring_in_per_psi=ring,
        )
        for travel, depth, ring in (
            (travel_low_in, seat_depth_high, ring_high_in_per_psi),
            (travel_high_in, seat_depth_low, ring_low_in_per_psi),
        )
    )
    gives = f"the depth of metal that gives ({seat_depth_low:g} to {seat_depth_high:g} key widths)"
    if ring_high_in_per_psi > 0:
        gives = "what gives under the key, the metal behind it and the ring of the hub"
    widest = _widest(
        {
            f"the travel after contact ({travel_low_in:g} to {travel_high_in:g} in)": (
                travel_high_in / travel_low_in
            ),
            gives: soft / stiff,
        }
    )
    return SeatEstimate(
        route="travel",
        low_lbf=low,
        high_lbf=high,
        assumption=f"By travel after contact: {widest}.",
    )


def blow_energy_lbf_in(*, weight_lbf: float, speed_in_per_s: float) -> float:
    """Return the energy of a hammer or a slide hammer as it strikes.

    energy = m v^2 / (2 g)

    Parameters
    ----------
    weight_lbf : float
        Weight of the head, above 0 [lbf].
    speed_in_per_s : float
        Speed as it strikes, above 0; 30 ft/s is 360 in/s [in/s].

    Returns
    -------
    float
        Energy [lbf_in].

    Raises
    ------
    ValueError
        If weight or speed is not above 0.

    Assumptions
    -----------
    The handle adds nothing.

    Examples
    --------
    >>> round(blow_energy_lbf_in(weight_lbf=12, speed_in_per_s=360))
    2014

    Source
    ------
    Energy of motion, any mechanics text.
    """
    require_positive("weight", weight_lbf, "lbf")
    require_positive("speed", speed_in_per_s, "in/s")
    return weight_lbf * speed_in_per_s**2 / (2 * GRAVITY_IN_PER_S2)


def seat_from_last_blow(
    *,
    weight_lbf: float,
    speed_low_in_per_s: float,
    speed_high_in_per_s: float,
    useful_share_low: float,
    useful_share_high: float,
    advance_low_in: float,
    advance_high_in: float,
    taper_in_per_in: float,
    friction_low: float,
    friction_high: float,
) -> SeatEstimate:
    """Return the normal force from the last blow and how far it moved the key.

    P = share energy / advance;  N = P / (mu + tan(phi + alpha))

    Parameters
    ----------
    weight_lbf : float
        Weight of the hammer head, above 0 [lbf].
    speed_low_in_per_s : float
        Low end of the speed of the blow, above 0 [in/s].
    speed_high_in_per_s : float
        High end of the speed, not below the low end [in/s].
    useful_share_low : float
        Low end of the part of the energy that moves the key, above 0 [-].
    useful_share_high : float
        High end of that part, at most 1 [-].
    advance_low_in : float
        Low end of the last advance, above 0 [in].
    advance_high_in : float
        High end of the last advance, not below the low end [in].
    taper_in_per_in : float
        Taper, above 0 to 0.6 [in/in].
    friction_low : float
        Low end of the friction while driving, on both faces, 0 or more [-].
    friction_high : float
        High end of that friction, not below the low end, to 1.5 [-].

    Returns
    -------
    SeatEstimate
        Range in [lbf] and the assumption that drives it.

    Raises
    ------
    ValueError
        If an argument is outside its range or an end is the wrong way round.

    Assumptions
    -----------
    The mean push over the last advance is taken for the final one. The push rises
    while the key goes in, so the final push is somewhat higher. Friction is that of
    the day of driving, not of the day of pulling.

    Examples
    --------
    A 12 lb sledge at 30 ft/s, half of it into 1/32 in, friction 0.10:

    >>> seat = seat_from_last_blow(weight_lbf=12, speed_low_in_per_s=360, speed_high_in_per_s=360,
    ...     useful_share_low=0.5, useful_share_high=0.5, advance_low_in=1 / 32,
    ...     advance_high_in=1 / 32, taper_in_per_in=1 / 96, friction_low=0.1, friction_high=0.1)
    >>> round(seat.low_lbf, -3)
    153000.0

    Source
    ------
    Derived here: work and energy, then the wedge of `drive_ratio`.
    """
    _require_ends("speed", speed_low_in_per_s, speed_high_in_per_s, "in/s")
    _require_ends("useful share", useful_share_low, useful_share_high, "")
    require_range("useful share, high end", useful_share_high, 0, 1)
    _require_ends("last advance", advance_low_in, advance_high_in, "in")
    require_positive("taper", taper_in_per_in, "in/in", "A straight key does not wedge.")
    _require_friction_ends(friction_low, friction_high)
    slick, rough = (
        drive_ratio(taper_in_per_in=taper_in_per_in, floor_friction=mu, roof_friction=mu)
        for mu in (friction_low, friction_high)
    )
    low_energy = blow_energy_lbf_in(weight_lbf=weight_lbf, speed_in_per_s=speed_low_in_per_s)
    high_energy = blow_energy_lbf_in(weight_lbf=weight_lbf, speed_in_per_s=speed_high_in_per_s)
    low, high = (
        seat_by_blow_lbf(
            energy_lbf_in=energy,
            useful_share=share,
            advance_in=advance,
            taper_in_per_in=taper_in_per_in,
            friction=mu,
        )
        for energy, share, advance, mu in (
            (low_energy, useful_share_low, advance_high_in, friction_high),
            (high_energy, useful_share_high, advance_low_in, friction_low),
        )
    )
    widest = _widest(
        {
            f"the last advance ({advance_low_in:.3g} to {advance_high_in:.3g} in)": (
                advance_high_in / advance_low_in
            ),
            f"the speed of the blow ({speed_low_in_per_s:g} to {speed_high_in_per_s:g} in/s)": (
                high_energy / low_energy
            ),
            f"the useful share of the blow ({useful_share_low:g} to {useful_share_high:g})": (
                useful_share_high / useful_share_low
            ),
            f"the friction while driving ({friction_low:g} to {friction_high:g})": rough / slick,
        }
    )
    return SeatEstimate(
        route="last blow",
        low_lbf=low,
        high_lbf=high,
        assumption=f"By the last blow: {widest}.",
    )


def combined_seat(*, estimates: Sequence[SeatEstimate]) -> SeatRange:
    """Return what the routes say together, and which assumption the high end rests on.

    low = lowest of all lows, high = highest of all highs; agreed = where all overlap

    Parameters
    ----------
    estimates : sequence of SeatEstimate
        One or more routes, forces in [lbf].

    Returns
    -------
    SeatRange
        The whole range, the agreed range if there is one, the dominant assumption.

    Raises
    ------
    ValueError
        If there is no estimate.

    Assumptions
    -----------
    No route is better than another: the whole range is kept, because a rig is
    chosen by the high end.

    Examples
    --------
    >>> one = SeatEstimate(route="pressure", low_lbf=50, high_lbf=150, assumption="By pressure.")
    >>> two = SeatEstimate(route="travel", low_lbf=100, high_lbf=300, assumption="By travel.")
    >>> both = combined_seat(estimates=[one, two])
    >>> both.low_lbf, both.high_lbf, both.agreed_low_lbf, both.agreed_high_lbf
    (50, 300, 100, 150)

    Source
    ------
    Derived here.
    """
    require_at_least("number of estimates", len(estimates), 1, "", "Give at least one route.")
    top = max(estimates, key=lambda one: one.high_lbf)
    low = min(one.low_lbf for one in estimates)
    meet_low = max(one.low_lbf for one in estimates)
    meet_high = min(one.high_lbf for one in estimates)
    agree = meet_low <= meet_high
    spread = top.high_lbf / low if low > 0 else math.inf
    between = (
        f"all {len(estimates)} routes agree on {meet_low:,.0f} to {meet_high:,.0f} lbf"
        if agree and len(estimates) > 1
        else "there is one route only"
        if agree
        else "the routes do not agree, so one of the assumptions is wrong"
    )
    return SeatRange(
        low_lbf=low,
        high_lbf=top.high_lbf,
        agreed_low_lbf=meet_low if agree else None,
        agreed_high_lbf=meet_high if agree else None,
        estimates=tuple(estimates),
        dominant_route=top.route,
        dominant=(
            f"The high end, {top.high_lbf:,.0f} lbf, comes from the {top.route} route and is"
            f" {spread:.1f} times the low end; {between}. {top.assumption}"
        ),
    )
