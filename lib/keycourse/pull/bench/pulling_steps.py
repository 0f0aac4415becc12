"""What each step on the pulling bench does: load, heat, penetrant, the hub."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from coursework.bench import Acts, act_of
from coursework.draws import Draws
from keycourse.pull.bench.give import Give, heat_left
from keycourse.pull.bench.loading import load
from keycourse.pull.bench.pumping import hold, pump
from keycourse.pull.bench.soaking import penetrant
from keycourse.pull.bench.state import (
    FEET,
    NO_RIG,
    STANDS,
    STILL,
    WELDS,
    PullingState,
    RigLink,
    by_blows,
    observed,
)
from taperkey import practice
from taperkey.checks import require_in, require_positive, require_range
from taperkey.formulas.squeeze import opening_growth_in
from taperkey.said import Said, number

__all__ = [
    "BURN_F",
    "STEP_NAMES",
    "carry_out",
    "left_undone",
]

_HEAT_SHARE = practice.value("heat_share")
BURN_F = practice.value("penetrant_burns")
"""Hub above shaft from which penetrant burns [F]."""

_OVER = {
    True: "The key is out: there is nothing left to do to it.",
    False: "The hub is off and the key with it: there is nothing left to pull.",
}
_TAKES_MIN = {
    "rig": 30.0,
    "jacks": 20.0,
    "heat": 20.0,
    "measure ends": 10.0,
    "wipe": 5.0,
    "load": 0.5,
    "pump": 0.5,
}
_SNUG_IN = 0.005  # what a nut that is snug still lets the jacks run
_SPOILT_FOR_GOOD = ("thread", "key section", "weld", "head")  # a new rod, nut or bar is at hand


def left_undone(*, before: PullingState, step: dict[str, Any]) -> PullingState:
    """Return the state after a step that was stopped before it was done.

    Parameters
    ----------
    before : PullingState
        As it stays, but for the observation.
    step : dict
        "do" of the step.
    """
    return observed(before, step["do"], "refused", "Not done.")


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
    state = replace(state, minutes=state.minutes + _minutes(step))
    done: PullingState = act(state, seed, **choices)
    return done


def _minutes(step: dict[str, Any]) -> float:
    """Return how long a step takes; what is out of range is refused by the step itself."""
    if step["do"] == "penetrant" and 0 < step["hours"] <= 500:
        return 60.0 * float(step["hours"])
    if step["do"] == "hold" and 0 < step["minutes"] <= 60:
        return float(step["minutes"])
    held = step.get("held_min", 0.0)
    return _TAKES_MIN.get(step["do"], 1.0) + (float(held) if held > 0 else 0.0)


def _measure(state: PullingState, seed: str) -> PullingState:
    draws = Draws(f"{seed}:ends")
    near = state.key.height_mouth_in + draws.normal(deviation=0.0004)
    far = state.key.height_far_in + draws.normal(deviation=0.0004)
    if far < near:
        note = "The key gets lower going in: the large end shows, a pull can draw it."
    else:
        note = "The key gets higher going in: the small end shows. A pull would tighten it."
    return observed(
        replace(state, measured=True),
        "measure ends",
        "done",
        note,
        near_in=round(near, 4),
        far_in=round(far, 4),
        length_in=state.key.length_in,
    )


def _rig(
    state: PullingState,
    seed: str,
    *,
    links: Sequence[dict[str, Any]],
    weld: str = WELDS[0],
    feet: str = FEET[0],
    give: Mapping[str, Any] | None = None,
) -> PullingState:
    require_in("weld", weld, WELDS)
    require_in("where the jacks stand", feet, FEET)
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
    state = replace(
        state,
        links=made,
        strengths_lbf=strengths,
        load_lbf=0.0,
        weld=weld,
        feet=feet,
        give=None if give is None else Give.kept(give),
        bore_friction=Draws(f"{seed}:bore").uniform(low=0.05, high=0.16),
        set_in=0.0,
        **_unpumped(None if give is None else Give.kept(give), f"{seed}:slack"),
    )
    return observed(state, "rig", "done", note, weakest=weakest.name)


def _jacks(
    state: PullingState,
    seed: str,
    *,
    working_lbf: float,
    breaking_lbf: float,
    give: Mapping[str, Any] | None = None,
) -> PullingState:
    if not state.links:
        raise ValueError(NO_RIG)
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
    state = replace(
        state,
        links=links,
        strengths_lbf=strengths,
        load_lbf=0.0,
        give=None if give is None else Give.kept(give),
        **_unpumped(None if give is None else Give.kept(give), f"{seed}:slack"),
    )
    return observed(state, "jacks", "done", note, weakest=weakest.name)


def _unpumped(give: Give | None, seed: str) -> dict[str, Any]:
    """Return what a rig begins with: its slack, and nothing pumped."""
    slack = 0.0 if give is None else give.slack_in * Draws(seed).uniform(low=0.5, high=1.5)
    return {
        "tilt_in": 0.0,
        "slack_in": slack,
        "runs_in": (),
        "rested_lbf": 0.0,
        "pumped_lbf_in": 0.0,
        "crept_lbf_in": 0.0,
        "set_lbf_in": 0.0,
    }


def _ease(state: PullingState, seed: str) -> PullingState:
    note = "The load is off."
    if state.runs_in:
        note = (
            "The release valve is open: the gauge falls to 0, the jacks go back, the load is off."
        )
    state = replace(state, load_lbf=0.0, tilt_in=0.0, rested_lbf=0.0)
    return observed(_back(state), "ease", "done", note)


def _back(state: PullingState) -> PullingState:
    """Return the state with the jacks run back."""
    return replace(state, runs_in=(0.0,) * len(state.runs_in))


def _wipe(state: PullingState, seed: str) -> PullingState:
    return observed(replace(state, oiled=False), "wipe", "done", "Oil and penetrant are wiped off.")


def _heat(
    state: PullingState, seed: str, *, difference_f: float, cools: bool = False
) -> PullingState:
    """Heat the hub. A heating of an earlier record says nothing of `cools`, and stayed."""
    require_range("hub above shaft and key", difference_f, 10.0, 400.0, "F")
    if state.oiled and difference_f > BURN_F:
        return left_undone(before=state, step={"do": "heat"})
    reaching = _HEAT_SHARE * difference_f
    if cools:
        left_f = state.hot_f * heat_left(state.minutes - state.hot_at_min)
        state = replace(state, hot_f=max(left_f, reaching), hot_at_min=state.minutes)
        growth = state.growth_in
    else:
        growth = opening_growth_in(
            difference_degF=reaching,
            bore_in=state.key.bore_in,
            height_in=state.key.height_mouth_in,
        )
        state = replace(state, key=state.key.eased(growth))
    note = Said(
        "The hub is {outside} above the shaft outside, about {reaching} at the key: the opening has"
        " grown by {growth}. Pull now: shaft and key warm up in minutes.",
        outside=number(difference_f, "F", "g"),
        reaching=number(reaching, "F", ".0f"),
        growth=number(growth, "in", ".4f"),
    )
    state = replace(state, blows=0)
    return observed(state, "heat", "done", note, growth_in=round(growth, 5))


def _push(
    state: PullingState, seed: str, *, load_lbf: float, stand: str = STANDS[0]
) -> PullingState:
    require_positive("push", load_lbf, "lbf")
    require_in("where you stand", stand, STANDS)
    key = state.key_now
    if not key.small_end_shows:
        note = "Not done: the large end shows. A push drives the key further in."
        return observed(state, "push", "refused", note)
    if not key.room_behind:
        note = "Not done: there is no room behind for the key to come out. The hub comes off first."
        return observed(state, "push", "refused", note)
    peak = max(state.peak_lbf, min(load_lbf, key.start_lbf))
    if load_lbf >= key.start_lbf:
        note = Said(
            "Pushed from the small end, it starts at {start} and goes out behind.",
            start=number(key.start_lbf, "lbf"),
        )
        return observed(replace(state, out=True, peak_lbf=peak), "push", "moved", note)
    note = Said(STILL, load=number(load_lbf, "lbf"))
    return observed(replace(state, peak_lbf=peak), "push", "still", note)


def _remove_hub(state: PullingState, seed: str, *, slung: bool = True) -> PullingState:
    """Draw the hub off; it only comes toward the small end of its key."""
    key = state.key
    if not key.small_end_shows and not key.room_behind:
        note = (
            "Not done: drawn this way, toward the large end, the hub would climb the key and bind."
            " The other way there is no room. Draw the key."
        )
        return observed(state, "remove hub", "refused", note)
    note = "The hub is drawn off toward the small end of its key; the key comes free with it."
    if not key.small_end_shows:
        note = "The hub is pushed back off its key. It took a lift and a day; a pull was open."
    return observed(replace(state, hub_off=True), "remove hub", "done", note)


def _look(state: PullingState, seed: str) -> PullingState:
    if not state.links:
        raise ValueError(NO_RIG)
    note = "All stands in line, feet flat. No load is on."
    if by_blows(state.links):
        note = "The stop nut is tight, the rod is straight, and the mark on the key has not moved."
    elif state.load_lbf:
        note = Said(
            "The gauge stands at {load} and the mark on the key has not moved: it holds. In line,"
            " feet flat, no oil.",
            load=number(state.load_lbf, "lbf"),
        )
    return observed(state, "look", "done", note)


def _knock(state: PullingState, seed: str) -> PullingState:
    if not state.links:
        raise ValueError(NO_RIG)
    return observed(state, "knock", "done", "It rings, and nothing moves.")


def _take_up(state: PullingState, seed: str) -> PullingState:
    if not state.links:
        raise ValueError(NO_RIG)
    if state.give is not None and state.give.slack_in > 0:
        state = replace(_back(state), slack_in=_SNUG_IN - state.set_in, tilt_in=0.0)
    return observed(state, "take up", "done", "The nut is snug, with no load on.")


def _feel_hose(state: PullingState, seed: str) -> PullingState:
    if not state.links:
        raise ValueError(NO_RIG)
    if by_blows(state.links):
        raise ValueError("A slide hammer has no hose. Look at its stop nut instead.")
    return left_undone(before=state, step={"do": "feel hose"})


_STEPS: Acts = {
    "measure ends": (_measure, ()),
    "rig": (_rig, ("links", "weld", "feet", "give")),
    "jacks": (_jacks, ("working_lbf", "breaking_lbf", "give")),
    "load": (load, ("load_lbf", "stand", "held_min", "pumped")),
    "pump": (pump, ("strokes", "to_lbf", "stand", "held_min", "pumped")),
    "hold": (hold, ("minutes",)),
    "ease": (_ease, ()),
    "penetrant": (penetrant, ("hours", "creeps")),
    "wipe": (_wipe, ()),
    "heat": (_heat, ("difference_f", "cools")),
    "push": (_push, ("load_lbf", "stand")),
    "remove hub": (_remove_hub, ("slung",)),
    "look": (_look, ()),
    "knock": (_knock, ()),
    "take up": (_take_up, ()),
    "feel hose": (_feel_hose, ()),
}
STEP_NAMES = tuple(_STEPS)
"""Steps of the pulling bench."""
