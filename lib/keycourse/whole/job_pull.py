"""The pull of a whole job: force to expect, the rig link by link, go or stop, load steps."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from keycourse.whole.job_inputs import (
    Finding,
    KeyInputs,
    OpeningInputs,
    PullInputs,
)
from keycourse.whole.job_opening import OpeningFigures
from keycourse.whole.job_seat import old_ring, work_friction, work_heat, work_seat, work_spread
from keycourse.whole.job_ways import Ways, work_ways
from keycourse.whole.old_key import SeatedKey, seated_key
from keycourse.whole.watch import Watched, judge_seen, judge_watch, seen_at, work_watch
from keycourse.whole.workings import Workings
from taperkey import practice
from taperkey.checks import require_in
from taperkey.formulas.chain import (
    REQUIRED_LINKS,
    CapacityChain,
    PullDecision,
    capacity_chain,
    pull_decision,
)
from taperkey.formulas.link import Link
from taperkey.formulas.pull import PullRange, SlidingWeight, pull_range, sliding_weight
from taperkey.formulas.pull_spread import PullSpread
from taperkey.formulas.reversed_hub import pull_from_small_end
from taperkey.formulas.rig import rig_links
from taperkey.formulas.rig_parts import FULL_THREAD
from taperkey.formulas.seat import SeatRange
from taperkey.tables.threads import thread

__all__ = ["LOAD_SHARES", "LoadStep", "PullFigures", "work_pull"]

LOAD_SHARES = practice.values("load_steps")  # of the stop load
_BLOW_SHARE = practice.span("blow_share")


@dataclass(frozen=True, kw_only=True)
class LoadStep:
    """One step of the load.

    Attributes
    ----------
    share : float
        Of the stop load [-].
    load_lbf : float
        Pull on the key [lbf].
    each_lbf : float
        On each jack [lbf].
    gauge_psi : float or None
        Mark of the gauge, rounded down to a division where that was given [psi]; None where the
        effective area was not given or the load is not seen by a gauge.
    strokes : int or None
        Strokes of the pump from tight on, rounded down, where the load is seen by them.
    """

    share: float
    load_lbf: float
    each_lbf: float
    gauge_psi: float | None
    strokes: int | None = None


@dataclass(frozen=True, kw_only=True)
class PullFigures:
    """The pull of the key that is in the slot.

    Attributes
    ----------
    old : SeatedKey
        The key that is pulled.
    seat : SeatRange
        Force on the faces [lbf].
    friction : tuple of float
        Low and high end [-].
    pull : PullRange
        Pull on the large end that starts the key [lbf].
    spread : PullSpread
        The same as often as it comes, by trials [lbf].
    blow : SlidingWeight or None
        One blow of a slide hammer.
    links : tuple of Link
        Links that could be worked out.
    chain : CapacityChain or None
        The rig against the pull; None where a link could not be worked out.
    decision : PullDecision
        Go or stop.
    steps : tuple of LoadStep
        Steps of the load; empty at a stop and for a slide hammer.
    watched : Watched or None
        What the stop load does besides drawing the key; None without steps.
    ways : Ways or None
        Other ways out; None where the pull is the way, or its end is not known.
    """

    old: SeatedKey
    seat: SeatRange
    friction: tuple[float, float]
    pull: PullRange
    spread: PullSpread
    blow: SlidingWeight | None
    links: tuple[Link, ...]
    chain: CapacityChain | None
    decision: PullDecision
    steps: tuple[LoadStep, ...]
    watched: Watched | None
    ways: Ways | None


def work_pull(
    *,
    pull: PullInputs,
    key: KeyInputs | None,
    opening: OpeningInputs | None,
    figures: OpeningFigures | None,
    standard: str,
    workings: Workings,
    findings: list[Finding],
) -> PullFigures:
    """Work out the pull of the key that is in the slot, and hold the rig against it.

    P = N (mu + tan(phi - alpha)), both ends; capacity = that of the weakest link

    Parameters
    ----------
    pull : PullInputs
        State of the key and the rig at hand.
    key : KeyInputs or None
        The new key: its length stands in for the old one's where that was not read.
    opening : OpeningInputs or None
        Readings of the slot; None while the key is in.
    figures : OpeningFigures or None
        What they say.
    standard : str
        "inch" or "metric": whose taper the drawing has.
    workings : Workings
        Takes up every number.
    findings : list of Finding
        Takes up what the numbers say.

    Returns
    -------
    PullFigures
        Forces in [lbf].

    Raises
    ------
    ValueError
        If a value is out of its range, not in a table, or against another one.

    Assumptions
    -----------
    As `seated_key`. Seat force by the travel after contact where that is known; else by the
    pressure of an unknown hand, the course's own model.

    Source
    ------
    `seated_key`, `pull_range`, `capacity_chain`, `pull_decision`, and the links of `rig` and `rod`.
    """
    require_in("method", pull.method, REQUIRED_LINKS, "Choose the rig first.")
    old = seated_key(
        pull=pull, key=key, opening=opening, figures=figures, standard=standard,
        workings=workings, findings=findings,
    )  # fmt: skip
    slope, taper = old.taper_key, old.taper_in_per_in
    ring = old_ring(old=old, opening=opening, figures=figures, workings=workings)
    seat = work_seat(pull=pull, old=old, ring=ring, workings=workings)
    low, high = work_friction(pull=pull, workings=workings)
    expected = pull_range(
        seat_low_lbf=seat.low_lbf,
        seat_high_lbf=seat.high_lbf,
        friction_low=low,
        friction_high=high,
        taper_in_per_in=taper,
    )
    for end, force in (("low", expected.low_lbf), ("high", expected.high_lbf)):
        workings.worked(
            f"pull-{end}",
            f"pull on the large end, {end} end",
            force,
            "force",
            formula="seat force × (friction + tan(friction angle − taper angle))",
            inputs=[f"seat-{end}", f"friction-{end}", slope],
            source="wedge with dry friction, any statics text",
        )
    blow = _blow(pull, expected, workings)
    # an undecided or reversed slot has no slope to count on at this end
    links = rig_links(
        rig=pull,
        width_in=old.width_in,
        end_height_in=old.end_height_in,
        taper_in_per_in=_slope_at_end(old, figures),
    )
    _keep_links(links, workings)
    chain = _chain(pull, links, expected, blow, workings)
    spread = work_spread(
        pull=pull,
        old=old,
        friction=(low, high),
        ring=ring,
        limit_lbf=chain.capacity_lbf if chain is not None and blow is None else None,
        workings=workings,
    )
    decision = pull_decision(
        chain=chain,
        showing_end={"mouth": "large", "inside": "small", "undecided": "unknown"}[old.end],
        rod_grade_known=bool(pull.grade_name),
        key_tapped=bool(pull.thread_name),
    )
    say = _sayer(findings)
    _judge_way(pull, old, seat, expected, low, say)
    _judge_routes(seat, say)
    _judge_travel(pull, ring, say)
    if pull.surface == "rusted":
        _judge_rust(pull, old, opening, ring, say)
    _judge_rig(links, chain, blow, expected, say)
    _judge_rod(pull, old.outside_in, say)
    judge_watch(pull, say)
    if decision.stop_at_lbf is not None:
        judge_seen(pull, decision.stop_at_lbf, say)
    if decision.go and any(one.level == "stop" and one.stage == "pull" for one in findings):
        stops = tuple(
            one.sentence for one in findings if one.level == "stop" and one.stage == "pull"
        )
        decision = PullDecision(go=False, reasons=stops, stop_at_lbf=None)
    steps = _steps(pull, decision, workings) if blow is None else ()
    watched = None
    if steps and decision.stop_at_lbf is not None:
        watched = work_watch(
            pull=pull, old=old, friction=high, stop_at_lbf=decision.stop_at_lbf, workings=workings
        )
    ways = None
    if old.end == "inside" or (
        old.end == "mouth"
        and not decision.go
        and (pull.surface == "rusted" if chain is None else not chain.within)
    ):
        ways = work_ways(
            pull=pull, old=old, opening=opening, seat=seat, ring=ring, friction=(low, high),
            expected=expected, links=links, standard=standard, workings=workings,
        )  # fmt: skip
    return PullFigures(
        old=old,
        seat=seat,
        friction=(low, high),
        pull=expected,
        spread=spread,
        blow=blow,
        links=links,
        chain=chain,
        decision=decision,
        steps=steps,
        watched=watched,
        ways=ways,
    )


def _slope_at_end(old: SeatedKey, figures: OpeningFigures | None) -> float:
    """Return the taper by which the key gets lower from the end that is pulled [in/in]."""
    if old.end != "mouth":
        return 0.0
    return old.taper_in_per_in if figures is None else figures.cut_taper_in_per_in


def _blow(pull: PullInputs, expected: PullRange, workings: Workings) -> SlidingWeight | None:
    if pull.method != "slide hammer" or not pull.thread_name:
        return None
    blow = sliding_weight(
        weight_lbf=pull.weight_lbf,
        speed_in_per_s=pull.blow_speed_in_per_s,
        useful_share_low=_BLOW_SHARE[0],
        useful_share_high=_BLOW_SHARE[1],
        stress_area_in2=thread(name=pull.thread_name).stress_area_in2,
        length_in=pull.rod_length_in,
        pull_low_lbf=max(expected.low_lbf, 1.0),
        pull_high_lbf=max(expected.high_lbf, 1.0),
    )
    speed, shares = practice.rule("slide_hammer_speed"), practice.rule("blow_share")
    workings.reading("weight", "slide hammer", pull.weight_lbf, "force")
    workings.reading("rod-length", "rod under load", pull.rod_length_in)
    for end, peak in (("low", blow.peak_low_lbf), ("high", blow.peak_high_lbf)):
        workings.worked(
            f"blow-{end}", f"peak force of one blow, {end} end", peak, "force",
            formula="√(2 × useful share × energy × stiffness of the rod)",
            inputs=["weight", "rod-length"],
            source=f"work and energy; speed {speed.number} and shares {shares.number}: "
            + shares.kind_said,
        )  # fmt: skip
    return blow


def _keep_links(links: Sequence[Link], workings: Workings) -> None:
    for link in links:
        workings.worked(
            f"link-{link.name.replace(' ', '-')}",
            f"what the {link.name} allow{'' if link.name == 'jacks' else 's'}",
            link.capacity_lbf,
            "force",
            formula=link.basis,
            inputs=[],
            source=link.source,
        )


def _chain(
    pull: PullInputs,
    links: Sequence[Link],
    expected: PullRange,
    blow: SlidingWeight | None,
    workings: Workings,
) -> CapacityChain | None:
    if len(links) < len(REQUIRED_LINKS[pull.method]):
        return None
    chain = capacity_chain(
        method=pull.method,
        links=links,
        demand_low_lbf=expected.low_lbf if blow is None else blow.peak_low_lbf,
        demand_high_lbf=expected.high_lbf if blow is None else blow.peak_high_lbf,
    )
    demand = "pull" if blow is None else "blow"
    workings.worked(
        "capacity",
        f"pull that the rig allows: {chain.governing.name} governs",
        chain.capacity_lbf,
        "force",
        formula="that of the weakest link",
        inputs=[f"link-{link.name.replace(' ', '-')}" for link in links],
        source="links in a row carry the same force",
    )
    workings.worked(
        "margin",
        "margin of the rig",
        chain.margin_lbf,
        "force",
        formula=f"capacity − high end of the {demand}",
        inputs=["capacity", f"{demand}-high"],
        source="subtraction",
    )
    return chain


_Number = tuple[float, str]
_Say = Callable[..., None]


def _sayer(findings: list[Finding]) -> _Say:
    def say(level: Literal["stop", "look"], words: str, *numbers: _Number) -> None:
        findings.append(Finding(level=level, stage="pull", words=words, numbers=numbers))

    return say


def _up(force_lbf: float) -> _Number:
    return force_lbf, "force-up"


def _down(force_lbf: float) -> _Number:
    return force_lbf, "force-down"


def _long(length_in: float) -> _Number:
    return length_in, "length"


def _judge_way(
    pull: PullInputs,
    old: SeatedKey,
    seat: SeatRange,
    expected: PullRange,
    friction: float,
    say: _Say,
) -> None:
    rod = "rod" in REQUIRED_LINKS[pull.method]
    if old.end == "inside":
        small = pull_from_small_end(
            pull_lbf=expected.high_lbf,
            normal_force_lbf=seat.low_lbf,
            taper_in_per_in=old.taper_in_per_in,
            floor_friction=friction,
            roof_friction=friction,
        )
        say(
            "stop",
            "The small end shows: no pull at this end draws the key. From {} on it goes further"
            f" in, and what is pulled beyond that adds {small.added_normal_per_pull:.1f} times as"
            " much to the grip. The pulling plan tells the ways out.",
            _down(small.pull_to_move_lbf),
        )
    if rod and not pull.thread_name:
        say("stop", "The key in the slot is not tapped: the rod has nothing to hold in.")
    if rod and not pull.grade_name:
        say(
            "stop",
            "The grade of the rod is not known, so its strength is not known. Take a rod with its"
            " grade marked.",
        )


def _judge_routes(seat: SeatRange, say: _Say) -> None:
    """Say where the routes to the force on the faces leave no force that all of them allow."""
    if seat.agreed_low_lbf is not None:
        return
    told = "; ".join(f"by the {one.route} {{}} to {{}}" for one in seat.estimates)
    numbers = [
        end for one in seat.estimates for end in (_down(one.low_lbf), _up(one.high_lbf))
    ]  # fmt: skip
    say(
        "look",
        f"What was noted of the drive does not agree on the force on the faces: {told}. Ask who"
        " drove it. The rig is held against the highest.",
        *numbers,
    )


def _judge_travel(pull: PullInputs, ring: tuple[float, float], say: _Say) -> None:
    """Say what the force rests on where it goes by the travel alone."""
    if pull.travel_after_contact_in is None or pull.planned_pressure_psi is not None:
        return
    near, far = pull.travel_after_contact_in
    rule = practice.rule("seat_pressure")
    say(
        "look",
        "The force on the faces goes by the travel that was noted, {} to {} past full contact. Only"
        " who saw the drive can note it. If nobody did, leave the travel out: the sheet then plans"
        f" for an unknown hand, {{}} to {{}} on the faces ({rule.kind_said})."
        + " A hub with a web or arms opens less than the plain ring reckoned here, and its key sits"
        " harder." * (ring[1] > 0),
        _long(near),
        _long(far),
        *((psi, "pressure") for psi in rule.values),
    )


def _judge_rust(
    pull: PullInputs,
    old: SeatedKey,
    opening: OpeningInputs | None,
    ring: tuple[float, float],
    say: _Say,
) -> None:
    rust = (
        "Rust that has grown across the faces can hold beyond any friction reckoned here. Soak"
        " it first; heat only by a hot-work permit."
    )
    if opening is None:  # without a bore nobody knows what heat does
        say("look", rust)
        return
    heat = work_heat(pull=pull, old=old, bore_in=opening.shaft_diameter_in, ring=ring)
    ends = (heat.difference_low_degF, heat.difference_high_degF)
    fahrenheit = " to ".join(f"{one:.0f}" for one in ends)
    celsius = " to ".join(f"{one / 1.8:.0f}" for one in ends)
    say(
        "look",
        f"{rust} The squeeze of {{}} to {{}} is off once the hub is {fahrenheit} °F ({celsius} °C)"
        " warmer than shaft and key, at the key; the rust stays.",
        _long(heat.squeeze_low_in),
        _long(heat.squeeze_high_in),
    )


def _judge_rig(
    links: Sequence[Link],
    chain: CapacityChain | None,
    blow: SlidingWeight | None,
    expected: PullRange,
    say: _Say,
) -> None:
    if chain is not None and not chain.within:
        whole = chain.demand_low_lbf > chain.capacity_lbf
        weakest = next(link for link in links if link.name == chain.governing.name)
        does = "allow" if weakest.name == "jacks" else "allows"
        say(
            "stop",
            f"{'The whole' if whole else 'The high end of the'} pull is above what the"
            f" {weakest.name} {does}: {{}} to {{}} against {{}}. "
            + ("This rig cannot draw the key: " if whole else "A stronger rig is needed: ")
            + f"{weakest.advice}.",
            _down(chain.demand_low_lbf),
            _up(chain.demand_high_lbf),
            _down(chain.capacity_lbf),
        )
    if blow is not None and blow.moves != "yes":
        say(
            "stop" if blow.moves == "no" else "look",
            "One blow brings {} to {} on the rod, and the key asks for {} to {}: "
            + (
                "blows only shake it. Another rig is needed."
                if blow.moves == "no"
                else "it may move or not. Watch a mark on the key, and stop if it stands still."
            ),
            _down(blow.peak_low_lbf),
            _up(blow.peak_high_lbf),
            _down(expected.low_lbf),
            _up(expected.high_lbf),
        )


def _judge_rod(pull: PullInputs, outside_in: float, say: _Say) -> None:
    if not pull.thread_name or "rod" not in REQUIRED_LINKS[pull.method]:
        return
    rod = thread(name=pull.thread_name).diameter_in
    hole = {"hollow-ram": pull.jack_hole_in, "strongback": pull.bar_hole_in}.get(pull.method)
    if hole and hole < rod:
        part = "jack" if pull.method == "hollow-ram" else "strongback"
        say(
            "stop",
            f"The rod does not go through the {part}: {{}} of rod, {{}} of hole.",
            _long(rod),
            _long(hole),
        )
    if pull.rod_thread_in is not None:
        engagement = FULL_THREAD * rod if pull.engagement_in is None else pull.engagement_in
        left = pull.rod_thread_in - engagement - (pull.nut_height_in or rod)
        if outside_in > left:
            say(
                "stop",
                "The key stands out more than the thread allows: {} outside, and {} of thread left"
                " on the rod beside key and nut. Take a longer rod, or pack the strongback.",
                _long(outside_in),
                _long(max(left, 0.0)),
            )


def _steps(pull: PullInputs, decision: PullDecision, workings: Workings) -> tuple[LoadStep, ...]:
    if decision.stop_at_lbf is None:
        return ()
    workings.worked(
        "stop-at", "pull at which pumping stops", decision.stop_at_lbf, "force",
        formula="capacity of the rig", inputs=["capacity"], source="own rule",
    )  # fmt: skip
    steps = []
    for share in LOAD_SHARES:
        load = share * decision.stop_at_lbf
        seen, by_strokes = seen_at(pull, load), pull.load_by == "strokes"
        steps.append(
            LoadStep(
                share=share,
                load_lbf=load,
                each_lbf=load / pull.jacks,
                gauge_psi=None if by_strokes or pull.load_by == "load cell" else seen,
                strokes=int(seen) if by_strokes and seen is not None else None,
            )
        )
    return tuple(steps)
