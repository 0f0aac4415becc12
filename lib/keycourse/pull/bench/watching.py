"""The foreman at the pulling bench: which breaches a step commits."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from keycourse.pull.bench.breaches import BREACHES, Committed
from keycourse.pull.bench.pulling_steps import BURN_F
from keycourse.pull.bench.state import (
    FEET,
    HOT,
    IN_LINE,
    PUMPED,
    THROUGH_BEARING,
    PullingState,
    by_blows,
)
from taperkey import practice

__all__ = ["LARGEST_RISE", "MOST_BLOWS", "SHORTEST_HOLD_MIN", "SHORTEST_SOAK_H", "watched"]

MOST_BLOWS = int(practice.value("most_blows"))
LARGEST_RISE = practice.value("largest_rise")  # of the stop load, in one go
SHORTEST_HOLD_MIN = practice.span("hold")[0]
SHORTEST_SOAK_H = practice.value("soak")
_ROUNDING = 1.001  # a quarter that was typed in kilonewtons is still a quarter
_HANDS_IN = ("measure ends", "rig", "jacks", "penetrant", "wipe", "push", "remove hub")


def watched(
    *, before: PullingState, after: PullingState, step: dict[str, Any]
) -> tuple[Committed, ...]:
    """Return the breaches of one step, in the order in which they are told.

    Parameters
    ----------
    before, after : PullingState
        Without the step, and as it comes out when nobody stops it.
    step : dict
        "do" and the choices of the step.

    Source
    ------
    Rules: practice.csv, as lesson 05 has them.
    """
    found = [*_by_hand(before, step), *_by_step(before, after, step)]
    return tuple(one for one in found if not _told_already(before, one.name))


def _told_already(before: PullingState, name: str) -> bool:
    once = BREACHES[name].once
    if not once:
        return False
    for seen in reversed(before.observations):
        if name in (one.name for one in seen.breaches):
            return True
        if seen.step == once:
            return False
    return False


def _by_hand(before: PullingState, step: dict[str, Any]) -> Iterator[Committed]:
    """Yield what is done to a rig that is under load, and what no hand does at all."""
    act, load = step["do"], ((before.load_lbf, "force"),)
    if act == "feel hose":
        yield Committed(name="felt for a leak")
    if act == "heat" and before.oiled and step["difference_f"] > BURN_F:
        yield Committed(name="heat over penetrant")
    if not before.under_load:
        return
    if act in _HANDS_IN:
        yield Committed(name="hands in under load", numbers=load)
    names = {
        "knock": "struck under load",
        "heat": "heat under load",
        "take up": "tightened under load",
    }
    if act in names:
        yield Committed(name=names[act], numbers=load)


def _by_step(
    before: PullingState, after: PullingState, step: dict[str, Any]
) -> Iterator[Committed]:
    act = step["do"]
    refused = after.observations[-1].outcome == "refused"
    if act in ("load", "pump", "push", "remove hub") and not before.measured:
        yield Committed(name="not measured")
    if act in ("load", "pump", "push") and step.get("stand") == IN_LINE and not refused:
        yield Committed(name="stood in line")
    if act in ("load", "pump"):
        yield from _loaded(before, after, step)
    elif act == "rig":
        if after.feet != FEET[0]:
            yield Committed(name="feet on the shaft")
        if after.weld == THROUGH_BEARING:
            yield Committed(name="current through a bearing")
    elif act == "remove hub" and not refused:
        if not step.get("slung", True):
            yield Committed(name="hub not slung")
        if not before.key.small_end_shows and not before.peak_lbf:
            yield Committed(name="hub removed needlessly")


def _reached(before: PullingState, after: PullingState, step: dict[str, Any]) -> float:
    """Return the load that was asked for, or that the strokes of a pump came to [lbf]."""
    if step["do"] == "load":
        return float(step["load_lbf"])
    return float(after.observations[-1].values.get("load_lbf", before.load_lbf))


def _raised(
    before: PullingState, step: dict[str, Any], load_lbf: float, most: float
) -> Iterator[Committed]:
    """Yield a rise that was too far, and a load from which it went on without a hold.

    Strokes that are counted by ones and fives are one rise from the last load that was held.
    """
    rise = load_lbf - before.load_lbf
    strokes = step.get("strokes") is not None
    held = step.get("held_min", 0.0 if strokes else SHORTEST_HOLD_MIN) >= SHORTEST_HOLD_MIN
    too_far = rise > _ROUNDING * most
    if too_far:
        numbers = ((rise, "force"), (most, "force-down"))
        yield Committed(name="raised too far at once", numbers=numbers)
    on = before.under_load
    if strokes:  # told once for each quarter
        quarters = [(one - before.rested_lbf) / most for one in (before.load_lbf, load_lbf)]
        on = not too_far and int(quarters[1] / _ROUNDING) > int(quarters[0] / _ROUNDING)
    if on and not held:
        yield Committed(name="hold skipped", numbers=((before.load_lbf, "force"),))


def _two_jacks(state: PullingState) -> bool:
    return state.give is not None and any(link.name == "strongback" for link in state.links)


def _loaded(before: PullingState, after: PullingState, step: dict[str, Any]) -> Iterator[Committed]:
    load_lbf = _reached(before, after, step)
    creaked = any(seen.outcome == "tightened" for seen in before.observations)
    weakest = before.weakest
    assert weakest is not None  # a load without a rig was refused before
    if before.key.small_end_shows:
        yield Committed(name="pulled the small end", told=before.measured or creaked)
    if creaked:
        yield Committed(name="went on after a creak")
    if before.weld == HOT:
        yield Committed(name="weld loaded hot")
    if 0 < before.soaked_h < SHORTEST_SOAK_H:
        hours = ((before.soaked_h, "number"), (SHORTEST_SOAK_H, "number"))
        yield Committed(name="soak cut short", numbers=hours)
    if by_blows(before.links):
        if before.blows >= MOST_BLOWS:
            yield Committed(name="past ten blows", numbers=((before.blows + 1, "number"),))
    else:
        yield from _raised(before, step, load_lbf, LARGEST_RISE * weakest.working_lbf)
    if step.get("pumped", PUMPED[0]) == PUMPED[1] and _two_jacks(before):
        yield Committed(name="one jack ahead")
    if load_lbf > weakest.working_lbf:
        yield Committed(
            name="over working load",
            numbers=((weakest.name, "word"), (weakest.working_lbf, "force-down")),
        )
    if after.observations[-1].outcome == "gave way":
        yield Committed(name="link broken")
