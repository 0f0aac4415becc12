"""What a load does: the key stays, creeps, jumps or goes deeper, the rig gives, or a link goes."""

from __future__ import annotations

import math
from dataclasses import replace

from keycourse.pull.bench.give import SLIDING_SHARE, THROWN_IN, Give, creep_in, rod_set_in
from keycourse.pull.bench.seated import SeatedKey
from keycourse.pull.bench.state import (
    FEET,
    LINK_NAMES,
    NO_RIG,
    PUMPED,
    STANDS,
    STILL,
    PullingState,
    by_blows,
    observed,
)
from taperkey.checks import require_in, require_non_negative, require_positive
from taperkey.formulas.breakaway import breakaway
from taperkey.formulas.reversed_hub import pull_from_small_end
from taperkey.said import Said, number

__all__ = [
    "NOTHING",
    "happens",
    "happens_at",
    "held_on",
    "load",
    "over_working",
    "rod_now",
    "thrown",
    "tighten",
]

NOTHING = Said("")


def load(
    state: PullingState,
    seed: str,
    *,
    load_lbf: float,
    stand: str = STANDS[0],
    held_min: float = 1.0,
    pumped: str = PUMPED[0],
) -> PullingState:
    """Return the state after the load was held, and then raised or struck.

    Parameters
    ----------
    state : PullingState
        Before it.
    seed : str
        Not used: where links go was drawn when the rig was set up.
    load_lbf : float
        What it is raised to, above 0 [lbf].
    stand : str
        One of :data:`STANDS`.
    held_min : float
        How long the load before was held, 0 or more [min].
    pumped : str
        One of :data:`PUMPED`.

    Raises
    ------
    ValueError
        If no rig stands, or a choice is outside its range.
    """
    require_positive("load", load_lbf, "lbf")
    require_in("where you stand", stand, STANDS)
    require_non_negative("hold", held_min, "min")
    require_in("how the jacks are pumped", pumped, PUMPED)
    if not state.links:
        raise ValueError(NO_RIG)
    over = over_working(state, load_lbf)
    state, held = held_on(state, held_min)
    before_lbf = state.load_lbf
    state = replace(
        state,
        over_working=tuple(dict.fromkeys((*state.over_working, *over))),
        blows=state.blows + 1 if by_blows(state.links) else state.blows,
    )
    if pumped == PUMPED[1] and state.give is not None and _has(state, "strongback"):
        state = replace(
            state,
            tilt_in=state.tilt_in + 2 * state.give.stretch_in(max(0.0, load_lbf - before_lbf)),
        )
        if state.tilt_in > THROWN_IN:
            return thrown(state, held, "load")
    happened = happens(state, held, load_lbf, "load")
    if happened is not None:
        return happened
    note, outcome = Said(STILL, load=number(load_lbf, "lbf")), "still"
    tighter = tighten(state, load_lbf)
    if tighter.key is not state.key:
        outcome = "tightened"
        note = Said(
            "{load}: a creak, and the key sits deeper than before.", load=number(load_lbf, "lbf")
        )
    state = replace(tighter, load_lbf=load_lbf, peak_lbf=max(state.peak_lbf, load_lbf))
    state, told, values = _rig_gives(state, before_lbf)
    return observed(
        state, "load", outcome, held + note + told, load_lbf=round(load_lbf), over=list(over),
        **values,
    )  # fmt: skip


def over_working(state: PullingState, load_lbf: float) -> tuple[str, ...]:
    """Return the links that a load is over the working load of.

    Parameters
    ----------
    state : PullingState
        With its rig.
    load_lbf : float
        The load [lbf].
    """
    return tuple(link.name for link in state.links if load_lbf > link.working_lbf)


def happens(state: PullingState, held: Said, load_lbf: float, step: str) -> PullingState | None:
    """Return the state after what a load sets off on its way up; None when all stands.

    Parameters
    ----------
    state : PullingState
        With the load before it.
    held : Said
        What was seen while that was held.
    load_lbf : float
        How far the load goes up [lbf].
    step : str
        What was done.
    """
    found = _next(state, load_lbf)
    if found is None:
        return None
    what, at_lbf = found
    if what == "hub moves":
        return _hub_follows(state, held, at_lbf, step)
    if what == "starts":
        return _starts(state, held, state.key_now, at_lbf, step)
    return _gives_way(state, at_lbf, held, step)


def happens_at(state: PullingState, load_lbf: float) -> float | None:
    """Return the load on the way up at which something happens; None when all stands [lbf].

    Parameters
    ----------
    state : PullingState
        With the load before it.
    load_lbf : float
        How far the load goes up [lbf].
    """
    found = _next(state, load_lbf)
    return None if found is None else found[1]


def _next(state: PullingState, load_lbf: float) -> tuple[str, float] | None:
    key = state.key_now
    strength = min(state.strengths_lbf)
    moves_at = math.inf if key.small_end_shows else key.start_lbf
    follows_at = _hub_follows_at(state, key)
    if follows_at < moves_at and follows_at <= min(load_lbf, strength):
        return "hub moves", follows_at
    if moves_at <= load_lbf and moves_at <= strength:
        return "starts", moves_at
    return ("gives way", strength) if strength <= load_lbf else None


def _has(state: PullingState, name: str) -> bool:
    return any(link.name == name for link in state.links)


def held_on(state: PullingState, minutes: float) -> tuple[PullingState, Said]:
    """Let the load before work on key and rod while it is held, and say what gauge and mark show.

    Gauge down and mark out: the key creeps. Gauge down and mark still: the rig stretches.

    Parameters
    ----------
    state : PullingState
        With the load on.
    minutes : float
        How long [min].
    """
    give, now = state.give, state.load_lbf
    if give is None or now <= 0 or minutes <= 0:
        return state, NOTHING
    start = state.key_now.start_lbf
    if not state.key.small_end_shows and start > 0:
        crept = creep_in(share=now / start, minutes=minutes)
        if crept > 0:
            crept = min(crept, give.stretch_in(now))
            left = now - crept * give.spring_lbf_per_in
            state = replace(
                state,
                crept_in=state.crept_in + crept,
                slack_in=state.slack_in + crept,
                load_lbf=left,
                crept_lbf_in=state.crept_lbf_in + crept * (now + left) / 2,
            )
            return state, Said(
                "Held: the gauge falls to {left} and the mark on the key has come {crept}. ",
                left=number(left, "lbf"),
                crept=number(crept, "in", ".4f"),
            )
    yields, parts = rod_now(state, give)
    if 0 < yields < now < parts:
        left, longer = 0.97 * now, give.stretch_in(0.03 * now)
        state = replace(
            state,
            load_lbf=left,
            set_in=state.set_in + longer if state.runs_in else state.set_in,
            set_lbf_in=state.set_lbf_in + longer * (now + left) / 2,
        )
        return state, Said(
            "Held: the gauge falls to {left}, and the mark on the key stands still: something in"
            " the rig stretches. ",
            left=number(left, "lbf"),
        )
    return state, NOTHING


def rod_now(state: PullingState, give: Give) -> tuple[float, float]:
    """Return where this rod yields and where it parts [lbf]; zeros without one.

    Parameters
    ----------
    state : PullingState
        With its rig.
    give : Give
        Of the rig.
    """
    for link, strength in zip(state.links, state.strengths_lbf, strict=True):
        if link.name == "rod":
            return give.rod_yields_lbf * strength / link.breaking_lbf, strength
    return 0.0, 0.0


def _rig_gives(
    state: PullingState, before_lbf: float
) -> tuple[PullingState, Said, dict[str, float]]:
    """Say what the pump, the gauge and the bar tell of a load that stands."""
    give = state.give
    if give is None:
        return state, NOTHING, {}
    yields, parts = rod_now(state, give)
    longer = max(
        state.set_in, rod_set_in(load_lbf=state.load_lbf, yields_lbf=yields, parts_lbf=parts)
    )
    elastic = give.stretch_in(state.load_lbf) - give.stretch_in(before_lbf)
    strokes = give.strokes(elastic + longer - state.set_in)
    told = NOTHING
    if longer > state.set_in:
        told = told + Said(
            " It took {strokes} strokes where {should} should do, and the mark on the key stands"
            " still: the rod stretches for good. Ease off.",
            strokes=str(strokes),
            should=str(give.strokes(elastic)),
        )
    if state.tilt_in > 0:
        told = told + Said(
            " One jack stands {tilt} above the other: the bar tips.",
            tilt=number(state.tilt_in, "in", ".3f"),
        )
    values = {
        "run_in": round(give.stretch_in(state.load_lbf) + longer, 4),
        "strokes": strokes,
        "gauge_psi": round(give.gauge_psi(state.load_lbf)),
    }
    return replace(state, set_in=longer), told, values


def _starts(
    state: PullingState, held: Said, key: SeatedKey, start_lbf: float, step: str
) -> PullingState:
    out_in = key.free_in
    values: dict[str, float] = {"load_lbf": round(start_lbf), "out_in": round(out_in, 3)}
    if start_lbf < 1:
        note = Said("The slack goes, and the key comes with it by hand: nothing holds it.")
    elif state.give is None:
        note = Said(
            "It starts with a bang at {start} and comes {out}; from there it slides out by hand.",
            start=number(start_lbf, "lbf"),
            out=number(out_in, "in", ".2f"),
        )
    else:
        jump = breakaway(
            pull_lbf=start_lbf,
            sliding_lbf=SLIDING_SHARE * (start_lbf - key.bond_lbf),
            free_in=out_in,
            stiffness_lbf_per_in=state.give.spring_lbf_per_in,
        )
        slack = state.slack_in if state.runs_in else 0.0
        values |= {
            "run_in": round(state.give.stretch_in(start_lbf) + state.set_in + slack, 4),
            "jump_in": round(jump.travel_in, 3),
            "after_lbf": round(jump.pull_after_lbf),
        }
        if state.runs_in:
            values |= {
                "rubbed_lbf_in": round(jump.rubbed_lbf_in, 1),
                "thrown_lbf_in": round(jump.thrown_lbf_in, 1),
            }
        rest = "the rest slides out by hand."
        if jump.free:
            rest = "nothing holds it any more. " + rest[:1].upper() + rest[1:]
            note = Said(
                "It starts with a bang at {start} and jumps all of {out} at once: " + rest,
                start=number(start_lbf, "lbf"),
                out=number(out_in, "in", ".2f"),
            )
        else:
            note = Said(
                "It starts with a bang at {start}: the key jumps {jump} and the gauge falls to"
                " {after}. Pumped on, it comes with less and less; after {out} " + rest,
                start=number(start_lbf, "lbf"),
                jump=number(jump.travel_in, "in", ".2f"),
                after=number(jump.pull_after_lbf, "lbf"),
                out=number(out_in, "in", ".2f"),
            )
    state = replace(state, load_lbf=0.0, peak_lbf=max(state.peak_lbf, start_lbf), out=True)
    return observed(state, step, "moved", held + note, **values)


def _gives_way(state: PullingState, strength: float, held: Said, step: str) -> PullingState:
    link = state.links[state.strengths_lbf.index(strength)]
    note = Said(
        "At {strength} the {name} {goes}. {hurt}",
        strength=number(strength, "lbf"),
        name=link.name,
        goes="go" if link.name == "jacks" else "goes",
        hurt=LINK_NAMES[link.name],
    )
    state = _broken(tighten(state, strength), link.name, strength)
    return observed(state, step, "gave way", held + note, load_lbf=round(strength), link=link.name)


def _broken(state: PullingState, name: str, load_lbf: float) -> PullingState:
    return replace(
        state,
        load_lbf=0.0,
        peak_lbf=max(state.peak_lbf, load_lbf),
        broken=(*state.broken, name),
        links=(),
        strengths_lbf=(),
        give=None,
    )


def thrown(state: PullingState, held: Said, step: str) -> PullingState:
    """Let a bar that has tipped too far slide off the higher jack.

    Parameters
    ----------
    state : PullingState
        With the load and the tilt.
    held : Said
        What was seen before.
    step : str
        What was done.
    """
    note = Said(
        "One jack stands {tilt} above the other: the bar slides off it, and bar and jack fly"
        " sideways.",
        tilt=number(state.tilt_in, "in", ".3f"),
    )
    load_lbf = state.load_lbf
    state = _broken(state, "strongback", load_lbf)
    return observed(
        state, step, "gave way", held + note, load_lbf=round(load_lbf), link="strongback"
    )


def _hub_follows_at(state: PullingState, key: SeatedKey) -> float:
    """Return the pull at which the hub comes along on its shaft; endless for feet on the hub.

    A key that is pulled drags the hub; only the bore's friction holds it when the rig stands on
    the shaft. Hub and key then slide as one: friction of the bore, of the key's flat face and the
    rust there. From the free bodies of key, hub and shaft.
    """
    if state.feet == FEET[0] or state.give is None or key.small_end_shows:
        return math.inf
    bore = state.bore_friction * key.normal_force_lbf
    if bore >= key.drag_lbf:
        return math.inf
    return bore + key.normal_force_lbf * key.floor_friction + key.bond_lbf / 2


def _hub_follows(state: PullingState, held: Said, load_lbf: float, step: str) -> PullingState:
    note = Said(
        "At {load} the hub comes along on the shaft: hub and key move as one, and the key sits as"
        " tight as before.",
        load=number(load_lbf, "lbf"),
    )
    back_in = 0.0 if state.give is None else state.give.stretch_in(load_lbf)
    state = replace(
        state,
        load_lbf=0.0,
        peak_lbf=max(state.peak_lbf, load_lbf),
        slack_in=state.slack_in + back_in,
    )
    return observed(state, step, "hub moved", held + note, load_lbf=round(load_lbf))


def tighten(state: PullingState, load_lbf: float) -> PullingState:
    """Let a pull on the small end draw the key in, where it is strong enough.

    Parameters
    ----------
    state : PullingState
        Before it.
    load_lbf : float
        The load [lbf].
    """
    key = state.key
    if not key.small_end_shows or load_lbf <= key.tighten_lbf:
        return state
    result = pull_from_small_end(
        pull_lbf=load_lbf - key.bond_lbf,
        normal_force_lbf=key.normal_force_lbf,
        taper_in_per_in=key.taper_in_per_in,
        floor_friction=key.floor_friction,
        roof_friction=key.roof_friction,
    )
    grown = result.normal_force_after_lbf / max(key.normal_force_lbf, 1.0)
    tighter = replace(
        key,
        normal_force_lbf=result.normal_force_after_lbf,
        squeeze_in=key.squeeze_in * max(1.0, grown),
    )
    return replace(state, key=tighter)
