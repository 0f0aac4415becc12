"""The pump, stroke by stroke: slack, oil, bar and rod; the hand stops where a stop sign shows."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from keycourse.pull.bench.give import THROWN_IN, Give, rod_set_in
from keycourse.pull.bench.loading import (
    NOTHING,
    happens,
    happens_at,
    held_on,
    over_working,
    rod_now,
    thrown,
    tighten,
)
from keycourse.pull.bench.state import (
    NO_RIG,
    PUMPED,
    STANDS,
    STILL,
    PullingState,
    by_blows,
    observed,
)
from taperkey.checks import require_in, require_non_negative, require_positive, require_range
from taperkey.said import Said, number

__all__ = ["MOST_STROKES", "hold", "pump"]

MOST_STROKES = 200
_SHOWN = 12  # readings of the gauge that are told, the last ones
_PIECES = 16  # of a stroke, for its work
_SEEN_IN = 0.001  # stretch of a rod in one stroke that the gauge tells
_TIPS_IN = THROWN_IN / 2
_SHOWS_FROM = 0.8  # of what a link really carries, and above its working load
_SIGNS = {
    "jacks": "Oil weeps at a jack's seal.",
    "nut": "The nut has turned a little on its thread, and a bright line shows under it.",
    "thread": "The rod has come out of the key by the width of a line; the key has not moved.",
    "key section": "The end of the key has grown narrow beside the hole.",
    "weld": "A crack shows at the end of the weld.",
    "strongback": "The strongback bows more than it did, and a straightedge shows it.",
    "seat": "The feet of the jacks have sunk in and stand in a bright ring.",
    "head": "A line shows across the root of the gib head.",
}
"""What is seen of a link that is about to go; a rod is told by its gauge. Own model."""


@dataclass(frozen=True, kw_only=True)
class _Stood:
    """Load and stretch of the rig with its jacks run out so far."""

    load_lbf: float
    set_in: float


def _stands(state: PullingState, give: Give, run_in: float) -> _Stood:
    """Return what a run of the jacks makes of the rig: slack first, then springs and rod."""
    room = run_in - state.slack_in
    springs = give.spring_lbf_per_in * (room - state.set_in)
    if springs <= 0:
        return _Stood(load_lbf=0.0, set_in=state.set_in)
    yields, parts = rod_now(state, give)
    if not 0 < yields < springs:
        return _Stood(load_lbf=springs, set_in=state.set_in)

    def longer(load: float) -> float:
        return max(state.set_in, rod_set_in(load_lbf=load, yields_lbf=yields, parts_lbf=parts))

    low, high = yields, springs
    for _ in range(60):
        middle = (low + high) / 2
        if give.stretch_in(middle) + longer(middle) < room:
            low = middle
        else:
            high = middle
    return _Stood(load_lbf=high, set_in=longer(high))


def _run_for(state: PullingState, give: Give, load_lbf: float) -> float:
    """Return how far the jacks have run out at a load [in]."""
    yields, parts = rod_now(state, give)
    set_in = max(state.set_in, rod_set_in(load_lbf=load_lbf, yields_lbf=yields, parts_lbf=parts))
    return state.slack_in + set_in + give.stretch_in(load_lbf)


def _mean(runs_in: tuple[float, ...]) -> float:
    return sum(runs_in) / len(runs_in)


def _begun(state: PullingState, give: Give) -> PullingState:
    """Return the state with the jacks where they are; a load of an earlier record ran them out."""
    if state.runs_in:
        return state
    out = _run_for(state, give, state.load_lbf) if state.load_lbf > 0 else 0.0
    return replace(state, runs_in=(out,) * int(give.jacks))


def _to(state: PullingState, give: Give, runs_in: tuple[float, ...]) -> PullingState:
    """Return the state with the jacks run out to there, and the work of the pump in it."""
    before, after = _mean(state.runs_in), _mean(runs_in)
    first = now = _Stood(load_lbf=state.load_lbf, set_in=state.set_in)
    spent = 0.0
    last = _stands(state, give, after)
    for piece in range(1, _PIECES + 1) if last.set_in > first.set_in else ():
        then = _stands(state, give, before + (after - before) * piece / _PIECES)
        spent += (now.load_lbf + then.load_lbf) / 2 * (then.set_in - now.set_in)
        now = then
    now = last
    work = give.stored_lbf_in(now.load_lbf) - give.stored_lbf_in(first.load_lbf) + spent
    return replace(
        state,
        runs_in=runs_in,
        load_lbf=now.load_lbf,
        peak_lbf=max(state.peak_lbf, now.load_lbf),
        set_in=now.set_in,
        tilt_in=abs(runs_in[0] - runs_in[-1]),
        pumped_lbf_in=state.pumped_lbf_in + work,
        set_lbf_in=state.set_lbf_in + spent,
    )


def pump(
    state: PullingState,
    seed: str,
    *,
    strokes: float | None = None,
    to_lbf: float | None = None,
    stand: str = STANDS[0],
    held_min: float | None = None,
    pumped: str = PUMPED[0],
) -> PullingState:
    """Return the state after some strokes of the pump, or after pumping up to a load.

    Parameters
    ----------
    state : PullingState
        Before it.
    seed : str
        Not used: where links go and how much slack there is was drawn when the rig was set up.
    strokes : float, optional
        How many, 0.1 to 200 [-].
    to_lbf : float, optional
        Or the load to stop at, above what is on; the last stroke is then a part of one [lbf].
    stand : str
        One of :data:`STANDS`.
    held_min : float, optional
        How long the load before was held, 0 or more; a minute before a load, none before
        strokes, when left out [min].
    pumped : str
        One of :data:`PUMPED`, for a rig of two jacks.

    Raises
    ------
    ValueError
        If no rig of jacks stands, or a choice is outside its range.

    Assumptions
    -----------
    Rod in the middle of the bar, so that both jacks carry the same. The hand looks at gauge, mark
    and bar after each stroke, and stops where one of them shows a stop sign.
    """
    require_in("where you stand", stand, STANDS)
    require_in("how the jacks are pumped", pumped, PUMPED)
    give = _jacks_of(state)
    if (strokes is None) == (to_lbf is None):
        raise ValueError("Choose strokes, or a load to pump up to.")
    if strokes is not None:
        require_range("strokes", strokes, 0.1, MOST_STROKES)
    else:
        require_positive("load", to_lbf, "lbf")
    if held_min is None:
        held_min = 0.0 if to_lbf is None else 1.0
    require_non_negative("hold", held_min, "min")
    if held_min > 0:
        state = replace(state, rested_lbf=state.load_lbf)
    state, held = held_on(_begun(state, give), held_min)
    return _stroke_by_stroke(state, give, held, strokes or MOST_STROKES, to_lbf, pumped)


def _jacks_of(state: PullingState) -> Give:
    if not state.links:
        raise ValueError(NO_RIG)
    if state.give is None:
        raise ValueError(
            "The rig has no pump. Strike a blow instead."
            if by_blows(state.links)
            else "This rig was set up before it had a pump. Set it up again."
        )
    return state.give


def _stroke_by_stroke(
    state: PullingState,
    give: Give,
    held: Said,
    strokes: float,
    to_lbf: float | None,
    pumped: str,
) -> PullingState:
    first, needle, done, sign = state, [], 0.0, NOTHING
    while done < strokes - 1e-9 and not sign:
        share = min(1.0, strokes - done)
        before = state
        runs = give.run_out(before.runs_in, strokes=share, pumped=pumped)
        if to_lbf is not None and _stands(before, give, _mean(runs)).load_lbf >= to_lbf:
            way = _run_for(before, give, to_lbf) - _mean(before.runs_in)
            part = max(0.0, way) / (_mean(runs) - _mean(before.runs_in))
            runs = tuple(a + part * (b - a) for a, b in zip(before.runs_in, runs, strict=True))
            share *= part
        state, happened = _one_stroke(before, give, runs, held)
        if happened is not None:
            return happened
        done += share
        needle.append(give.needle_psi(state.load_lbf))
        sign = _sign(before, state, give)
        if to_lbf is not None and state.load_lbf >= to_lbf - 1e-6:
            state = replace(state, load_lbf=to_lbf)
            break
    note, outcome = _seen(first, state, sign)
    if sign and done < strokes - 1e-9 and (to_lbf is None or state.load_lbf < to_lbf):
        note = note + " The hand stops there."
    values: dict[str, Any] = {
        "load_lbf": round(state.load_lbf),
        "over": list(over_working(first, state.load_lbf)),
        "run_in": round(_mean(state.runs_in), 4),
        "strokes": math.ceil(done - 1e-9),
        "short": done % 1 > 0.001 and done % 1 < 0.999,
        "gauge_psi": give.needle_psi(state.load_lbf),
        "needle_psi": needle[-_SHOWN:],
        "rise_lbf": round(state.load_lbf - first.load_lbf),
    }
    return observed(state, "pump", outcome, held + note, **values)


def _one_stroke(
    before: PullingState, give: Give, runs: tuple[float, ...], held: Said
) -> tuple[PullingState, PullingState | None]:
    """Return the state after a stroke, and what it set off, if anything."""
    state = _to(before, give, runs)
    over = over_working(state, state.load_lbf)
    state = replace(state, over_working=tuple(dict.fromkeys((*state.over_working, *over))))
    if state.load_lbf <= 0:
        return state, None
    if state.tilt_in > THROWN_IN:
        return state, thrown(state, held, "pump")
    at_lbf = happens_at(before, state.load_lbf)
    if at_lbf is None:
        return tighten(state, state.load_lbf), None
    reached_lbf, at_lbf = state.load_lbf, max(at_lbf, before.load_lbf)
    state = _to(before, give, (_run_for(before, give, at_lbf),) * len(before.runs_in))
    over = (*before.over_working, *over_working(before, at_lbf))
    state = replace(state, over_working=tuple(dict.fromkeys(over)))
    return state, happens(state, held, reached_lbf, "pump")


def _sign(before: PullingState, after: PullingState, give: Give) -> Said:
    """Return the stop sign of one stroke; nothing where gauge, mark and bar are as they should."""
    if after.key is not before.key:
        return Said(" A creak, and the key sits deeper than before.")
    if after.set_in - before.set_in > _SEEN_IN:
        run = _mean(after.runs_in) - _mean(before.runs_in)
        return Said(
            " The last stroke brought {came} where {usual} is usual, and the mark on the key stands"
            " still: the rod stretches for good. Ease off.",
            came=number(after.load_lbf - before.load_lbf, "lbf"),
            usual=number(run * give.spring_lbf_per_in, "lbf"),
        )
    weakest, strength = min(
        zip(after.links, after.strengths_lbf, strict=True), key=lambda one: one[1]
    )
    if weakest.name in _SIGNS and after.load_lbf > max(weakest.working_lbf, _SHOWS_FROM * strength):
        return Said(" " + _SIGNS[weakest.name] + " Ease off.")
    if after.tilt_in > max(_TIPS_IN, before.tilt_in):
        return Said(
            " One jack stands {tilt} above the other: the bar tips. Bring the other up, or ease"
            " off.",
            tilt=number(after.tilt_in, "in", ".3f"),
        )
    return NOTHING


def _seen(first: PullingState, state: PullingState, sign: Said) -> tuple[Said, str]:
    outcome = "tightened" if state.key is not first.key else "still"
    if state.load_lbf > 0 and outcome == "tightened":
        return Said("{load}.", load=number(state.load_lbf, "lbf")) + sign, outcome
    if state.load_lbf > 0:
        return Said(STILL, load=number(state.load_lbf, "lbf")) + sign, outcome
    note = Said(
        "The jacks run out by {run} and take up slack: nothing is tight yet, and the gauge stays"
        " at 0.",
        run=number(_mean(state.runs_in) - _mean(first.runs_in), "in", ".3f"),
    )
    return note + sign, outcome


def hold(state: PullingState, seed: str, *, minutes: float) -> PullingState:
    """Return the state after the load was held and looked at.

    Parameters
    ----------
    state : PullingState
        With a load on.
    seed : str
        Not used.
    minutes : float
        How long, above 0 to 60 [min].

    Raises
    ------
    ValueError
        If no load is on, or the time is outside its range.
    """
    require_range("hold", minutes, 0.1, 60, "min")
    give = _jacks_of(state)
    if state.load_lbf <= 0:
        raise ValueError("No load is on: there is nothing to hold. Pump first.")
    before = state.load_lbf
    state, held = held_on(_begun(state, give), minutes)
    state = replace(state, rested_lbf=state.load_lbf)
    if not held:
        held = Said(
            "Held: the gauge stands at {load} and the mark on the key has not moved.",
            load=number(before, "lbf"),
        )
    return observed(
        state, "hold", "still", held, load_lbf=round(state.load_lbf),
        run_in=round(_mean(state.runs_in), 4), gauge_psi=give.needle_psi(state.load_lbf),
    )  # fmt: skip
