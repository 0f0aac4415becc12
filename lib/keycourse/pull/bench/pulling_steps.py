"""What each step on the pulling bench does: load, heat, penetrant, the hub."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from coursework.bench import Acts, act_of
from coursework.draws import Draws
from keycourse.hazards import sentences
from keycourse.pull.bench.state import (
    LINK_NAMES,
    STANDS,
    WELDS,
    PullingState,
    PullObservation,
    RigLink,
    by_blows,
)
from taperkey import practice
from taperkey.checks import require_in, require_non_negative, require_positive, require_range
from taperkey.formulas.reversed_hub import pull_from_small_end
from taperkey.formulas.squeeze import opening_growth_in
from taperkey.said import Said, number
from taperkey.tables.rigging import friction_range

__all__ = [
    "BURN_F",
    "HAZARDS",
    "STEP_NAMES",
    "carry_out",
    "left_undone",
]

_BEST_FRICTION = friction_range(state="lubricated").low
_SOAK_SHARE, _SOAK_H = practice.value("soak_share"), practice.value("soak_pace")
_HEAT_SHARE = practice.value("heat_share")
BURN_F = practice.value("penetrant_burns")
"""Hub above shaft from which penetrant burns [F]."""

_OVER = {
    True: "The key is out: there is nothing left to do to it.",
    False: "The hub is off and the key with it: there is nothing left to pull.",
}
_STILL = "{load}, and nothing moves."
_NO_RIG = "No rig stands on the key: there is nothing to pull with. Set up a rig first."
_SPOILT_FOR_GOOD = ("thread", "key section", "weld", "head")  # a new rod, nut or bar is at hand

HAZARDS: dict[str, tuple[str, ...]] = {
    "rig": ("hot-work", "fumes", "hot-weld"),
    "load": ("starts", "in-line", "under-load", "oil"),
    "heat": ("hot-work", "fumes", "heat"),
    "penetrant": ("penetrant",),
    "jacks": ("more-jack",),
    "push": ("push",),
    "remove hub": ("loose-hub", "hanging"),
}
"""Hazards of each step, by names of keycourse/hazards.toml."""


def left_undone(*, before: PullingState, step: dict[str, Any]) -> PullingState:
    """Return the state after a step that was stopped before it was done.

    Parameters
    ----------
    before : PullingState
        As it stays, but for the observation.
    step : dict
        "do" of the step.
    """
    return _seen(before, step["do"], "refused", "Not done.")


def carry_out(*, state: PullingState, step: dict[str, Any], seed: str) -> PullingState:
    """Return the state after one step.

    Parameters
    ----------
    state : PullingState
        Before the step.
    step : dict
        "do" and the choices of the step.
    seed : str
        Decides where links go, and the scatter of readings.

    Returns
    -------
    PullingState
        With one more observation.

    Raises
    ------
    ValueError
        If the step cannot be done now, or a choice is outside its range.

    Assumptions
    -----------
    See each step.

    Source
    ------
    Ways of drawing a key: common practice; the model is derived here.
    """
    act, choices = act_of(step, _STEPS)
    if state.out or state.hub_off:
        raise ValueError(f"{_OVER[state.out]} Start a new pull.")
    done: PullingState = act(state, seed, **choices)
    return done


def _seen(state: PullingState, step: str, outcome: str, note: str, **values: Any) -> PullingState:
    observation = PullObservation(
        step=step,
        outcome=outcome,
        note=note,
        cautions=tuple(sentences(HAZARDS[step])) if step in HAZARDS else (),
        values=values,
    )
    return replace(state, observations=(*state.observations, observation))


def _measure(state: PullingState, seed: str) -> PullingState:
    draws = Draws(f"{seed}:ends")
    near = state.key.height_mouth_in + draws.normal(deviation=0.0004)
    far = state.key.height_far_in + draws.normal(deviation=0.0004)
    if far < near:
        note = "The key gets lower going in: the large end shows, a pull can draw it."
    else:
        note = "The key gets higher going in: the small end shows. A pull would tighten it."
    return _seen(
        replace(state, measured=True),
        "measure ends",
        "done",
        note,
        near_in=round(near, 4),
        far_in=round(far, 4),
        length_in=state.key.length_in,
    )


def _rig(
    state: PullingState, seed: str, *, links: Sequence[dict[str, Any]], weld: str = WELDS[0]
) -> PullingState:
    require_in("weld", weld, WELDS)
    require_range("number of links", len(links), 1, 12, "", "Choose jacks and what holds the key.")
    made = tuple(RigLink(**link) for link in links)
    names = [link.name for link in made]
    if not {"jacks", "rod"} & set(names):
        raise ValueError("The rig has no jacks and no rod: nothing pulls. Add what pulls.")
    for name in names:
        if name in state.broken and name in _SPOILT_FOR_GOOD:
            raise ValueError(
                f"The {name} has given way on an earlier pull. Hold the key another way."
            )
    draws = Draws(f"{seed}:links")
    strengths = tuple(
        max(link.working_lbf, link.breaking_lbf * draws.uniform(low=0.95, high=1.08))
        for link in made
    )
    weakest = min(made, key=lambda link: link.working_lbf)
    note = Said(
        "The rig is set. Its weakest link is the {name}: {works} working load.",
        name=weakest.name,
        works=number(weakest.working_lbf, "lbf", way="down"),
    )
    state = replace(state, links=made, strengths_lbf=strengths, load_lbf=0.0, weld=weld)
    return _seen(state, "rig", "done", note, weakest=weakest.name)


def _jacks(
    state: PullingState, seed: str, *, working_lbf: float, breaking_lbf: float
) -> PullingState:
    if not state.links:
        raise ValueError(_NO_RIG)
    if all(link.name != "jacks" for link in state.links):
        raise ValueError("The rig that stands has no jacks. Set up a rig with jacks first.")
    jacks = RigLink(name="jacks", working_lbf=working_lbf, breaking_lbf=breaking_lbf)
    links = tuple(jacks if link.name == "jacks" else link for link in state.links)
    strengths = tuple(
        breaking_lbf if link.name == "jacks" else old
        for link, old in zip(links, state.strengths_lbf, strict=True)
    )
    weakest = min(links, key=lambda link: link.working_lbf)
    note = Said(
        "The jacks now work to {works}. Weakest link: the {name}.",
        works=number(working_lbf, "lbf", way="down"),
        name=weakest.name,
    )
    state = replace(state, links=links, strengths_lbf=strengths, load_lbf=0.0)
    return _seen(state, "jacks", "done", note, weakest=weakest.name)


def _load(
    state: PullingState,
    seed: str,
    *,
    load_lbf: float,
    stand: str = STANDS[0],
    held_min: float = 1.0,
) -> PullingState:
    require_positive("load", load_lbf, "lbf")
    require_in("where you stand", stand, STANDS)
    require_non_negative("hold", held_min, "min")
    if not state.links:
        raise ValueError(_NO_RIG)
    key = state.key
    over = tuple(link.name for link in state.links if load_lbf > link.working_lbf)
    state = replace(
        state,
        over_working=tuple(dict.fromkeys((*state.over_working, *over))),
        blows=state.blows + 1 if by_blows(state.links) else state.blows,
    )
    goes = min(range(len(state.links)), key=lambda i: state.strengths_lbf[i])
    strength = state.strengths_lbf[goes]
    moves_at = math.inf if key.small_end_shows else key.start_lbf
    if moves_at <= load_lbf and moves_at <= strength:
        out_in = key.squeeze_in / key.taper_in_per_in
        note = Said(
            "It starts with a bang at {start} and comes {out}; from there it slides out by hand.",
            start=number(moves_at, "lbf"),
            out=number(out_in, "in", ".2f"),
        )
        state = replace(state, load_lbf=0.0, peak_lbf=max(state.peak_lbf, moves_at), out=True)
        return _seen(
            state, "load", "moved", note, load_lbf=round(moves_at), out_in=round(out_in, 3)
        )
    if strength <= load_lbf:
        link = state.links[goes]
        goes_now = "go" if link.name == "jacks" else "goes"
        note = Said(
            "At {strength} the {name} {goes}. {hurt}",
            strength=number(strength, "lbf"),
            name=link.name,
            goes=goes_now,
            hurt=LINK_NAMES[link.name],
        )
        state = _tighten(state, strength)
        state = replace(
            state,
            load_lbf=0.0,
            peak_lbf=max(state.peak_lbf, strength),
            broken=(*state.broken, link.name),
            links=(),
            strengths_lbf=(),
        )
        return _seen(state, "load", "gave way", note, load_lbf=round(strength), link=link.name)
    note, outcome = Said(_STILL, load=number(load_lbf, "lbf")), "still"
    tighter = _tighten(state, load_lbf)
    if tighter.key is not state.key:
        outcome = "tightened"
        note = Said(
            "{load}: a creak, and the key sits deeper than before.", load=number(load_lbf, "lbf")
        )
    state = replace(tighter, load_lbf=load_lbf, peak_lbf=max(state.peak_lbf, load_lbf))
    return _seen(state, "load", outcome, note, load_lbf=round(load_lbf), over=list(over))


def _tighten(state: PullingState, load_lbf: float) -> PullingState:
    """Let a pull on the small end draw the key in, where it is strong enough."""
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


def _ease(state: PullingState, seed: str) -> PullingState:
    return _seen(replace(state, load_lbf=0.0), "ease", "done", "The load is off.")


def _penetrant(state: PullingState, seed: str, *, hours: float) -> PullingState:
    require_range("soaking time", hours, 0.1, 500.0, "h")
    soaked_h = state.soaked_h + hours
    share = 1 - (1 - _soaked(soaked_h)) / (1 - _soaked(state.soaked_h))
    key = state.key

    def freer(friction: float) -> float:
        return friction - share * max(0.0, friction - _BEST_FRICTION)

    key = replace(
        key,
        floor_friction=freer(key.floor_friction),
        roof_friction=freer(key.roof_friction),
        bond_lbf=key.bond_lbf * (1 - share),
    )
    note = f"Penetrant has soaked for {hours:g} h from both ends."
    state = replace(state, key=key, oiled=True, soaked_h=soaked_h, blows=0)
    return _seen(state, "penetrant", "done", note)


def _soaked(hours: float) -> float:
    """Return the part of rust and friction above the best that so many hours take off in all."""
    return _SOAK_SHARE * (1 - math.exp(-hours / _SOAK_H))


def _wipe(state: PullingState, seed: str) -> PullingState:
    return _seen(replace(state, oiled=False), "wipe", "done", "Oil and penetrant are wiped off.")


def _heat(state: PullingState, seed: str, *, difference_f: float) -> PullingState:
    require_range("hub above shaft and key", difference_f, 10.0, 400.0, "F")
    if state.oiled and difference_f > BURN_F:
        return left_undone(before=state, step={"do": "heat"})
    key = state.key
    reaching = _HEAT_SHARE * difference_f
    growth = opening_growth_in(
        difference_degF=reaching, bore_in=key.bore_in, height_in=key.height_mouth_in
    )
    left = max(0.0, 1 - growth / key.squeeze_in)
    key = replace(
        key,
        normal_force_lbf=key.normal_force_lbf * left,
        squeeze_in=max(1e-6, key.squeeze_in * left),
    )
    note = Said(
        "The hub is {outside} above the shaft outside, about {reaching} at the key: the opening has"
        " grown by {growth}. Pull now: shaft and key warm up in minutes.",
        outside=number(difference_f, "F", "g"),
        reaching=number(reaching, "F", ".0f"),
        growth=number(growth, "in", ".4f"),
    )
    state = replace(state, key=key, blows=0)
    return _seen(state, "heat", "done", note, growth_in=round(growth, 5))


def _push(
    state: PullingState, seed: str, *, load_lbf: float, stand: str = STANDS[0]
) -> PullingState:
    require_positive("push", load_lbf, "lbf")
    require_in("where you stand", stand, STANDS)
    key = state.key
    if not key.small_end_shows:
        note = "Not done: the large end shows. A push drives the key further in."
        return _seen(state, "push", "refused", note)
    if not key.room_behind:
        note = "Not done: there is no room behind for the key to come out. The hub comes off first."
        return _seen(state, "push", "refused", note)
    peak = max(state.peak_lbf, min(load_lbf, key.start_lbf))
    if load_lbf >= key.start_lbf:
        note = Said(
            "Pushed from the small end, it starts at {start} and goes out behind.",
            start=number(key.start_lbf, "lbf"),
        )
        return _seen(replace(state, out=True, peak_lbf=peak), "push", "moved", note)
    note = Said(_STILL, load=number(load_lbf, "lbf"))
    return _seen(replace(state, peak_lbf=peak), "push", "still", note)


def _remove_hub(state: PullingState, seed: str, *, slung: bool = True) -> PullingState:
    """Draw the hub off; it only comes toward the small end of its key."""
    key = state.key
    if not key.small_end_shows and not key.room_behind:
        note = (
            "Not done: drawn this way, toward the large end, the hub would climb the key and bind."
            " The other way there is no room. Draw the key."
        )
        return _seen(state, "remove hub", "refused", note)
    note = "The hub is drawn off toward the small end of its key; the key comes free with it."
    if not key.small_end_shows:
        note = "The hub is pushed back off its key. It took a lift and a day; a pull was open."
    return _seen(replace(state, hub_off=True), "remove hub", "done", note)


def _look(state: PullingState, seed: str) -> PullingState:
    if not state.links:
        raise ValueError(_NO_RIG)
    note = "All stands in line, feet flat. No load is on."
    if by_blows(state.links):
        note = "The stop nut is tight, the rod is straight, and the mark on the key has not moved."
    elif state.load_lbf:
        note = Said(
            "The gauge stands at {load} and the mark on the key has not moved: it holds. In line,"
            " feet flat, no oil.",
            load=number(state.load_lbf, "lbf"),
        )
    return _seen(state, "look", "done", note)


def _knock(state: PullingState, seed: str) -> PullingState:
    if not state.links:
        raise ValueError(_NO_RIG)
    return _seen(state, "knock", "done", "It rings, and nothing moves.")


def _take_up(state: PullingState, seed: str) -> PullingState:
    if not state.links:
        raise ValueError(_NO_RIG)
    return _seen(state, "take up", "done", "The nut is snug, with no load on.")


def _feel_hose(state: PullingState, seed: str) -> PullingState:
    if not state.links:
        raise ValueError(_NO_RIG)
    if by_blows(state.links):
        raise ValueError("A slide hammer has no hose. Look at its stop nut instead.")
    return left_undone(before=state, step={"do": "feel hose"})


_STEPS: Acts = {
    "measure ends": (_measure, ()),
    "rig": (_rig, ("links", "weld")),
    "jacks": (_jacks, ("working_lbf", "breaking_lbf")),
    "load": (_load, ("load_lbf", "stand", "held_min")),
    "ease": (_ease, ()),
    "penetrant": (_penetrant, ("hours",)),
    "wipe": (_wipe, ()),
    "heat": (_heat, ("difference_f",)),
    "push": (_push, ("load_lbf", "stand")),
    "remove hub": (_remove_hub, ("slung",)),
    "look": (_look, ()),
    "knock": (_knock, ()),
    "take up": (_take_up, ()),
    "feel hose": (_feel_hose, ()),
}
STEP_NAMES = tuple(_STEPS)
"""Steps of the pulling bench."""
