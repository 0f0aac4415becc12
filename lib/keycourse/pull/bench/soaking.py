"""Penetrant on the bench: it creeps with the hours, dries, is put on again, or does not get in.

Own model: the root of time is published, how fast and how much it takes off is not.
"""

from __future__ import annotations

import math
from dataclasses import replace

from keycourse.pull.bench.seated import SeatedKey
from keycourse.pull.bench.state import PullingState, observed
from taperkey import practice
from taperkey.checks import require_range
from taperkey.formulas.penetrant import crept_depth_in, wetted_share
from taperkey.said import Said, number
from taperkey.tables.rigging import friction_range

__all__ = ["SOAK_AGAIN_H", "open_share", "penetrant", "soaked_share"]

SOAK_AGAIN_H = practice.value("soak_again")
"""After so many hours an application has dried at the edge [h]."""

_BEST_FRICTION = friction_range(state="lubricated").low
_SOAK_SHARE, _SOAK_H = practice.value("soak_share"), practice.value("soak_pace")
# two thirds of a joint of 8 in are wet, from both ends, after the pace of practice.csv
_FIRST_HOUR_IN = 2 / 3 * 8.0 / 2 / math.sqrt(_SOAK_H)
_SHUT = 0.1  # a joint less open than that is seen not to take any


def open_share(key: SeatedKey) -> float:
    """Return how open the joint is to penetrant: 1 without rust across it, 0 as one scale.

    1 - bond / (pull - bond), where the pull less the bond is what friction holds

    Parameters
    ----------
    key : SeatedKey
        As found.
    """
    rubs = key.start_lbf - key.bond_lbf
    return max(0.0, 1 - key.bond_lbf / rubs) if rubs > 0 else float(key.bond_lbf == 0)


def soaked_share(*, wet_h: float, open_to_it: float, length_in: float) -> float:
    """Return the part of rust and friction above the best that penetrant has taken off.

    Parameters
    ----------
    wet_h : float
        Hours of creeping [h].
    open_to_it : float
        How open the joint was, 0 to 1 [-].
    length_in : float
        Of the joint [in].
    """
    depth = crept_depth_in(hours=wet_h, first_hour_in=open_to_it * _FIRST_HOUR_IN)
    return _SOAK_SHARE * wetted_share(depth_in=depth, length_in=length_in)


def penetrant(
    state: PullingState, seed: str, *, hours: float, creeps: bool = False
) -> PullingState:
    """Return the state after penetrant was put on at both ends and left for hours.

    Parameters
    ----------
    state : PullingState
        Before it.
    seed : str
        Not used.
    hours : float
        0.1 to 500 [h].
    creeps : bool
        Whether it creeps and dries; a record from before says nothing of it, and soaked evenly.

    Raises
    ------
    ValueError
        If the hours are outside their range.
    """
    require_range("soaking time", hours, 0.1, 500.0, "h")
    done = replace(state, oiled=True, soaked_h=state.soaked_h + hours, blows=0)
    if not creeps:
        before, after = _evenly(state.soaked_h), _evenly(done.soaked_h)
        key = _freer(state.key, 1 - (1 - after) / (1 - before))
        note = f"Penetrant has soaked for {hours:g} h from both ends."
        return observed(replace(done, key=key), "penetrant", "done", note)
    open_to_it = open_share(state.key) if state.open_share is None else state.open_share
    wet_h = state.wet_h + min(hours, SOAK_AGAIN_H)
    soaked = soaked_share(wet_h=wet_h, open_to_it=open_to_it, length_in=state.key.length_in)
    key = _freer(state.key, 1 - (1 - soaked) / (1 - state.soaked_share))
    done = replace(done, key=key, wet_h=wet_h, open_share=open_to_it, soaked_share=soaked)
    return observed(done, "penetrant", "done", _seen(state, hours, open_to_it))


def _seen(before: PullingState, hours: float, open_to_it: float) -> Said:
    rusty = before.key.roof_friction > 2 * _BEST_FRICTION
    if open_to_it < _SHUT:
        drew = (
            " It stands at the edge as on the first minute and does not draw in: rust closes the"
            " joint, and more hours will not open it."
        )
    elif rusty:
        drew = " It drew in, and what comes back at the edge is rusty."
    else:
        drew = " It drew in, and comes back clean."
    note = Said("Penetrant has soaked for {hours} h from both ends.", hours=f"{hours:g}") + drew
    if hours > SOAK_AGAIN_H and open_to_it >= _SHUT:
        note = note + Said(
            " After {again} the edge was dry and it crept no further: put it on again each time.",
            again=number(SOAK_AGAIN_H, "h", "g"),
        )
    return note


def _freer(key: SeatedKey, share: float) -> SeatedKey:
    def freer(friction: float) -> float:
        return friction - share * max(0.0, friction - _BEST_FRICTION)

    return replace(
        key,
        floor_friction=freer(key.floor_friction),
        roof_friction=freer(key.roof_friction),
        bond_lbf=key.bond_lbf * (1 - share),
    )


def _evenly(hours: float) -> float:
    """Return the part that so many hours took off in all, as the bench had it before."""
    return _SOAK_SHARE * (1 - math.exp(-hours / _SOAK_H))
