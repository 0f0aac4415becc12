"""What the three routes to the seat say of a key that this bench drove, beside its own force.

Travel and last blow get what somebody at the drive would have: stand-outs read with a rule, the
sledge, the travel of its last blow. The bench knows the force; a route is as good as it comes near
it. The pressure is for whoever was not there: it plans for an unknown hand.
"""

from __future__ import annotations

from collections.abc import Sequence

from keycourse.fit.bench.driving import SLEDGE_BLOW_IN_LBF, SLEDGE_LB
from keycourse.fit.bench.fitting import FittingSession
from keycourse.fit.bench.fitting_steps import HUB_BORE_IN, HUB_OUTSIDE_IN
from taperkey import practice
from taperkey.formulas.hubring import CLOSE, LOOSE, ring_opening_in_per_lbf
from taperkey.formulas.seat import (
    SeatEstimate,
    seat_from_last_blow,
    seat_from_pressure,
    seat_from_travel,
)
from taperkey.tables.rigging import friction_range

__all__ = ["seat_routes"]

_RULE_IN = 1 / 64  # to what a difference of two stand-outs is read
_IN_PER_FT = 12


def seat_routes(session: FittingSession) -> Sequence[SeatEstimate]:
    """Return the normal force of a driven key by pressure, by travel and by the last blow.

    Parameters
    ----------
    session : FittingSession
        Driven; without a push before it there is no route by travel.

    Returns
    -------
    sequence of SeatEstimate
        The routes that can be gone.

    Assumptions
    -----------
    Travel counts from the last tap. The last blow counts as used up, also where the
    key came flush before it was.

    Source
    ------
    `taperkey.formulas.seat`; ranges: practice.csv.
    """
    state, key = session.state, session.state.key
    length, width = key.length_in, key.width_in
    low, high = practice.span("seat_pressure")
    share_low, share_high = practice.span("bearing_share")
    routes = [
        seat_from_pressure(
            pressure_low_psi=low,
            pressure_high_psi=high,
            width_in=width,
            contact_length_in=length,
            bearing_share_low=share_low,
            bearing_share_high=share_high,
        )
    ]
    travel = state.pushes[-1].projection_in - state.projection_in if state.pushes else 0.0
    if travel > 0:
        close, loose = (
            width
            * length
            * ring_opening_in_per_lbf(
                outside_in=HUB_OUTSIDE_IN, bore_in=HUB_BORE_IN, length_in=length, shaft=shaft
            )
            for shaft in (CLOSE, LOOSE)
        )
        routes.append(
            seat_from_travel(
                travel_low_in=max(travel - _RULE_IN, 0.5 * travel),
                travel_high_in=travel + _RULE_IN,
                taper_in_per_in=key.taper_in_per_in,
                height_in=float(key.top_in.mean() - key.bottom_in.mean()),
                width_in=width,
                contact_length_in=length,
                ring_low_in_per_psi=close,
                ring_high_in_per_psi=loose,
            )
        )
    if state.blows and state.blows[-1].advance_in > 0:
        driven = next(step for step in reversed(session.steps) if step["do"] == "drive")
        swing = (driven.get("energy_in_lbf", 1000.0) / SLEDGE_BLOW_IN_LBF) ** 0.5
        slow, fast = (swing * _IN_PER_FT * one for one in practice.span("drive_speed_ends"))
        useful = practice.span("drive_useful_ends")
        advance = state.blows[-1].advance_in
        friction = friction_range(state="dry" if state.lubricant == "none" else "lubricated")
        routes.append(
            seat_from_last_blow(
                weight_lbf=SLEDGE_LB,
                speed_low_in_per_s=slow,
                speed_high_in_per_s=fast,
                useful_share_low=useful[0],
                useful_share_high=useful[1],
                advance_low_in=max(advance - _RULE_IN, 0.5 * advance),
                advance_high_in=advance + _RULE_IN,
                taper_in_per_in=key.taper_in_per_in,
                friction_low=friction.low,
                friction_high=friction.high,
            )
        )
    return routes
