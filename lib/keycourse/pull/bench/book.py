"""The course of one pull on the bench, without any form around it.

Holds the hidden key, what was rigged and done, and what the end of the practice
tells. Everything but the key itself can be saved.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from coursework.bench import Changing
from coursework.ink.shop import INCH, ShopUnits
from keycourse.common import name_now
from keycourse.pull.bench.breaches import BREACHES, Committed
from keycourse.pull.bench.cases import MODEL, RIGS, draw_case, rig_words
from keycourse.pull.bench.pulling import PullingSession, start_pulling
from keycourse.pull.bench.rigs import (
    ReckonedLink,
    bigger_jacks,
    bigger_tons,
    give_on,
    links_of,
    one_blow,
    reckoned_links,
    rig_of,
)
from keycourse.pull.bench.state import (
    FEET,
    HOT,
    IN_LINE,
    NO_LIMIT_LBF,
    PUMPED,
    THROUGH_BEARING,
    WELDS,
    PullObservation,
)
from taperkey import practice
from taperkey.checks import require_range
from taperkey.counts import counted

__all__ = ["OLDER_BENCH", "PullingBook", "rig_meant", "rig_standing", "step_words"]

OLDER_BENCH = (
    "This pull was begun on the bench as it was before: loads were set and not pumped, penetrant"
    " soaked evenly, and the hub's ring did not open. It is shown as it came out then."
)
_SEEN = {
    "still": "no movement",
    "moved": "it moved",
    "tightened": "it went deeper",
    "gave way": "a link gave way",
    "hub moved": "the hub moved",
    "done": "done",
    "refused": "not done",
}


class PullingBook(Changing):
    """One pull after another on hidden keys.

    Parameters
    ----------
    seed : int
        Decides the first key.
    kind : str
        Which kind of key it is.
    units : ShopUnits
        How lengths and loads are written.
    model : int
        :data:`~keycourse.pull.bench.cases.MODEL`, or 1 for a pull kept before.
    """

    def __init__(
        self, *, seed: int, kind: str = "any", units: ShopUnits = INCH, model: int = MODEL
    ) -> None:
        self.units = units
        self._lay(kind=kind, seed=seed, model=model)

    def start(self, *, kind: str, seed: int) -> None:
        """Put a new key on the bench; the pull before it is kept for the replay."""
        self.lay_aside()
        self._lay(kind=kind, seed=seed)

    def _lay(self, *, kind: str, seed: int, model: int = MODEL) -> None:
        self.case = draw_case(kind=kind, seed=seed, model=model)
        self.kind, self.seed, self.model = kind, seed, model
        self.session: PullingSession = start_pulling(key=self.case.key, seed=seed)
        self.rig = ""
        self.hold = ""
        self.stopped = False
        self.revealed = False

    @property
    def over(self) -> bool:
        """Whether nothing more is to be done: out, off or handed over."""
        return self.session.finished or self.stopped

    @property
    def load_lbf(self) -> float:
        """Pull on now [lbf]."""
        return self.session.state.load_lbf

    @property
    def gone(self) -> str:
        """Link that gave way on the rig that was set up last; empty when none did."""
        for seen in reversed(self.session.observations):
            if seen.step == "rig" and seen.outcome == "done":
                return ""
            if seen.outcome == "gave way":
                return str(seen.values["link"])
        return ""

    def capacities_lbf(self) -> dict[str, float]:
        """Return working load by link of the rig that stands; empty without one."""
        return {
            link.name: link.working_lbf
            for link in self.session.state.links
            if link.working_lbf < NO_LIMIT_LBF
        }

    def reckoned(self) -> tuple[ReckonedLink, ...]:
        """Return the links of the rig that stands with their reasons; none without a rig."""
        standing = {link.name: link for link in self.session.state.links}
        if not standing or not self.rig:
            return ()
        found = []
        for one in reckoned_links(case=self.case, rig=self.rig, hold=self.hold):
            now = standing.get(one.link.name, one.link)
            if one.link.name == "jacks" and now.working_lbf > one.link.working_lbf:
                name, _, _ = bigger_jacks(rig=self.rig, units=self.units)
                basis = f"{name}, 80 % of the rating used"
                one = ReckonedLink(link=now, basis=basis)
            found.append(one)
        return tuple(found)

    # acts; each returns what was seen or raises the sentence that refuses it

    def do(self, step: str, **choices: Any) -> PullObservation:
        """Do one step of the bench."""
        if self.stopped:
            raise ValueError(
                "The pull is handed over: others carry on from here. Start a new pull instead."
            )
        self.session = self.session.do(step, **choices)
        return self.session.observations[-1]

    def set_up(
        self, *, rig: str, hold: str, weld: str = WELDS[0], feet: str = FEET[0]
    ) -> PullObservation:
        """Set up a rig from what is at hand.

        A weld is made in one of :data:`WELDS`, jacks stand on one of :data:`FEET`.
        """
        links = links_of(case=self.case, rig=rig, hold=hold)
        plain = [
            {"name": o.name, "working_lbf": o.working_lbf, "breaking_lbf": o.breaking_lbf}
            for o in links
        ]
        more: dict[str, Any] = {} if weld == WELDS[0] else {"weld": weld}
        give = give_on(case=self.case, rig=rig, hold=hold)
        if give is not None:
            more["give"] = asdict(give)
            more |= {} if feet == FEET[0] else {"feet": feet}
        seen = self.do("rig", links=plain, **more)
        if seen.outcome != "refused":
            self.rig, self.hold = rig, hold
        return seen

    def add_jacks(self) -> PullObservation:
        """Put the next larger jacks in the rig."""
        _, working, breaking = bigger_jacks(rig=self.rig)
        more: dict[str, Any] = {}
        if self.session.state.give is not None:
            give = give_on(
                case=self.case, rig=self.rig, hold=self.hold, jack_tons=bigger_tons(self.rig)
            )
            more = {} if give is None else {"give": asdict(give)}
        return self.do("jacks", working_lbf=working, breaking_lbf=breaking, **more)

    def soak(self, hours: float) -> PullObservation:
        """Put penetrant on at both ends; it creeps with the hours, and dries."""
        return self.do("penetrant", hours=hours, creeps=True)

    def strokes(self, strokes: float, **choices: Any) -> PullObservation:
        """Work the pump by strokes; `stand` and `pumped` as for a load."""
        return self.do("pump", strokes=strokes, **choices)

    def hold_load(self, minutes: float) -> PullObservation:
        """Hold the load that is on, and look at gauge and mark."""
        return self.do("hold", minutes=minutes)

    def heat(self, difference_f: float) -> PullObservation:
        """Heat the hub; what reaches the key is lost again within minutes."""
        return self.do("heat", difference_f=difference_f, cools=True)

    def load(self, load_lbf: float, **choices: Any) -> PullObservation:
        """Pump up to a load, stroke by stroke, or strike a blow with that peak.

        `stand` says where you stand, `held_min` how long the load before was held [min],
        `pumped` how two jacks are pumped.
        """
        if self.rig == "slide hammer" and self.session.state.links:
            blow = one_blow(case=self.case)
            require_range(
                "peak of the blow",
                load_lbf,
                1.0,
                round(blow.peak_high_lbf),
                "lbf",
                "This weight brings no more: another rig is needed.",
            )
        elif load_lbf < self.load_lbf:
            raise ValueError(
                f"load is {self.units.load(load_lbf)}; it must be above the"
                f" {self.units.load(self.load_lbf)} that are on. Ease off first."
            )
        if self.session.state.give is not None:
            return self.do("pump", to_lbf=load_lbf, **choices)
        return self.do("load", load_lbf=load_lbf, **choices)

    def next_load_lbf(self) -> float:
        """Return the next step up: a tenth of the weakest working load, in round numbers."""
        working = min(self.capacities_lbf().values(), default=10_000.0)
        step = max(500.0, round(working / 10 / 500) * 500.0)
        if self.rig == "slide hammer":
            highest = one_blow(case=self.case).peak_high_lbf
            return 100.0 * int(highest * min(4, len(self._loads("load")) + 1) / 400)
        # from a load between two steps to the next step, or past it where that is hardly a rise
        return step * (math.floor(self.load_lbf / step + 0.25) + 1)

    def _loads(self, *kinds: str) -> list[Mapping[str, Any]]:
        """Return the steps of these kinds that were not stopped."""
        return [s for s in self.session.steps if s["do"] in kinds and "stopped" not in s]

    def stop(self) -> str:
        """Ease off, hand over, and say what was known at that moment."""
        if self.over:
            raise ValueError("This pull is over already. Start a new pull.")
        if self.load_lbf:
            self.do("ease")
        self.stopped = True
        peak = self.session.state.peak_lbf
        reached = f"after {self.units.load(peak)} at most" if peak else "before any force went on"
        return (
            f"Stopped {reached}: load off, area roped off, supervisor called. Whoever takes over"
            " gets your readings, the rig and the table below. Stopping is never marked down."
        )

    # what it tells

    def said(self, note: str) -> str:
        """Return what bench or formula says, in the shop's units."""
        return self.units.say(note)

    def told(self, seen: PullObservation) -> list[str]:
        """Return what was seen at a step and what a foreman says to it, a sentence each."""
        at_once = [one.at_once(self.units.any) for one in seen.breaches if one.told]
        return [self.said(seen.note), *at_once]

    def out_of_turn(self) -> list[str]:
        """Return a sentence for each breach of the pull, with how often it was committed."""
        by_name: dict[str, list[Committed]] = {}
        for one in self.session.breaches:
            by_name.setdefault(one.name, []).append(one)
        lines = []
        for name in BREACHES:
            if found := by_name.get(name, []):
                often = f" That was so {len(found)} times." if len(found) > 1 else ""
                lines.append(found[0].summed(self.units.any) + often)
        return lines

    def after_load(self) -> list[str]:
        """Return load, weakest link and expected pull set side by side."""
        weakest = self.session.state.weakest
        pull, units = self.case.demand, self.units
        lines = []
        if weakest is not None and self.load_lbf and self.rig == "slide hammer":
            lines.append(
                f"Weakest link: {weakest.name}, {units.load(weakest.working_lbf, 'down')} working"
                f" load; the blow brought {units.load(self.load_lbf)}."
            )
        elif weakest is not None and self.load_lbf:
            left = weakest.working_lbf - self.load_lbf
            lines.append(
                f"Weakest link: {weakest.name}, {units.load(weakest.working_lbf, 'down')} working"
                f" load, {units.load(abs(left))} {'left' if left >= 0 else 'over'}."
            )
            if left >= 0 and self.next_load_lbf() > weakest.working_lbf:
                lines.append(
                    "The next step goes over it: stop, change the rig, or help the key first."
                )
        give = self.session.state.give
        lines += self._needle()
        if give is not None and self.load_lbf:
            stored = give.stored_lbf_in(self.load_lbf)
            pumped = "needle_psi" in self.session.observations[-1].values
            shows = f"The gauge shows {units.gauge(give.gauge_psi(self.load_lbf))}. "
            lines.append(
                ("" if pumped else shows) + f"In rod, bar and oil wait {units.energy(stored)}: the"
                " driving sledge, fallen from"
                f" {units.roughly(stored / practice.value('drive_hammer'))}."
            )
        if self.load_lbf > pull.high_lbf:
            lines.append(
                f"That is more than the {units.load(pull.high_lbf, 'up')} this key may need."
                " Something is not as thought: stop, and find out what."
            )
        return lines

    def _needle(self) -> list[str]:
        """Return how the gauge went from stroke to stroke, if the pump was worked last."""
        seen = self.session.observations[-1] if self.session.observations else None
        if seen is None or "needle_psi" not in seen.values:
            return []
        readings = [self.units.gauge(one) for one in seen.values["needle_psi"]]
        unit = readings[-1].partition(" ")[2]
        listed = ", ".join(one.partition(" ")[0] for one in readings)
        strokes = seen.values["strokes"]
        if strokes == 1:
            one = "Part of a stroke" if seen.values["short"] else "One stroke"
            return [f"{one}; the gauge after it: {listed} {unit}."]
        last = " last" if strokes > len(readings) else ""
        short = ", the last a short one" if seen.values["short"] else ""
        return [
            f"{counted(strokes, 'stroke')}{short}; the gauge after each{last} one: {listed} {unit}."
        ]

    @property
    def mark_psi(self) -> float:
        """Mark of the gauge for the stop load, rounded down; 0 without jacks [psi]."""
        give, weakest = self.session.state.give, self.session.state.weakest
        if give is None or weakest is None:
            return 0.0
        division_psi = practice.value("gauge_division")
        if self.units.metric:  # a bar is a tenth of a megapascal
            division_psi = practice.value("gauge_division_bar") / self.units.pressure_per_psi / 10
        return give.mark_psi(weakest.working_lbf, division_psi=division_psi)

    def chalked(self) -> list[str]:
        """Return what is chalked on the gauge of a rig that stands; nothing without jacks."""
        give, mark = self.session.state.give, self.mark_psi
        if give is None or mark <= 0:
            return []
        stop = self.units.load(give.ram_area_in2 * mark, "down")
        return [f"Chalk on the gauge: stop at {self.units.gauge(mark)}, which is {stop} here."]

    def load_path(self) -> tuple[list[tuple[float, float]], bool, float]:
        """Return the loads on the rig set up last, whether the key jumped, and the stop load.

        A load is the run of the jacks [in] and the load [lbf]; the stop load is 0 without a rig.
        """
        points: list[tuple[float, float]] = []
        jumped, stop = False, 0.0
        for step, seen in zip(self.session.steps, self.session.observations, strict=True):
            if seen.outcome == "refused":
                continue
            if step["do"] == "rig":
                points, jumped = [], False
                stop = min(link["working_lbf"] for link in step["links"])
            elif step["do"] in ("jacks", "ease"):
                points, jumped = [], False
                stop = min(stop, step["working_lbf"]) if step["do"] == "jacks" else stop
            elif "run_in" in seen.values:
                points.append((seen.values["run_in"], seen.values["load_lbf"]))
                if "after_lbf" in seen.values:
                    points.append((seen.values["run_in"], seen.values["after_lbf"]))
                    jumped = True
        return points, jumped, stop

    def measured(self) -> list[str]:
        """Return the last readings at both ends, in words; none when it was not measured."""
        for seen in reversed(self.session.observations):
            if seen.step == "measure ends":
                near, far = seen.values["near_in"], seen.values["far_in"]
                length = seen.values["length_in"]
                units, slope = self.units, abs(near - far) / length
                way = "falling" if far < near else "growing"
                return [
                    f"Height here {units.height(near)}, at the far end {units.height(far)},"
                    f" {units.place(length)} apart: {units.taper(slope, fewer=1)}, {way} inward.",
                    self.said(seen.note),
                ]
        return []

    def history(self) -> list[tuple[str, str, str]]:
        """Return a row for each step: what was done, how it came out, what was seen."""
        rows, rig = [], "none"
        for step, seen in zip(self.session.steps, self.session.observations, strict=True):
            meant = rig_of(step["links"]) if step["do"] == "rig" else rig
            rig = meant if seen.outcome != "refused" else rig
            done = step_words(step, rig=meant, units=self.units)
            came = _SEEN[seen.outcome]
            if seen.outcome != "refused" and any(one.told for one in seen.breaches):
                came += ", out of turn"
            rows.append((done, came, " ".join(self.told(seen))))
        if self.stopped:
            rows.append(("Stopped and called someone", "handed over", "The load is off."))
        return rows

    def hidden_in_words(self) -> list[str]:
        """Return what the pull came to, hidden values included; a sentence before its end."""
        if not self.over:
            return ["The key is still in. Draw it, take the hub off, or stop and call someone."]
        summary = self.session.summary()
        pull, units = self.case.demand, self.units
        first = {
            "out": f"The key is out, at {units.load(summary.peak_lbf)} at most.",
            "hub off": "The hub is off and the key came free with it.",
            "stuck": f"Handed over; the highest pull was {units.load(summary.peak_lbf)}.",
            "broken": f"Handed over after the {' and the '.join(summary.broken)} gave way.",
        }[summary.outcome]
        lines = [first]
        key = self.case.key
        if summary.small_end is not None:
            lines.append(
                f"Hub turned round; {units.load(key.normal_force_lbf)} on the faces at the start."
            )
            reason = self.said(summary.small_end.reason)
            lines.append(reason[:1].upper() + reason[1:])
        else:
            lines.append(
                f"On the faces: {units.load(key.normal_force_lbf)} at the start. It would have"
                f" started at {units.load(summary.start_first_lbf)} as found"
                f"{_eased(summary.start_first_lbf, summary.start_lbf, units)}. Expected:"
                f" {units.load_range(pull.low_lbf, pull.high_lbf)}."
            )
            if key.bond_lbf >= 100:
                lines.append(
                    f"{units.load(key.bond_lbf)} of that was rust grown across the faces, beyond"
                    " friction."
                )
            if summary.weakest:
                side = "above" if summary.margin_lbf >= 0 else "below"
                lines.append(
                    f"Weakest link: {summary.weakest}, {units.load(summary.weakest_lbf, 'down')}"
                    f" working load, {units.load(abs(summary.margin_lbf))} {side} that pull."
                )
        found = self.out_of_turn()
        if not found:
            return [*lines, "Nothing was done out of turn."]
        return [*lines, "Out of turn, or stopped before it was done:", *found]

    def numbers(self) -> dict[str, Any]:
        """Return the summing-up in plain numbers, as an exercise can mark it.

        Keys: `over`, `outcome` ("out", "hub off", "stuck", "broken"), `stopped`,
        `ends_measured`, `small_end_shows`, `loads` (how often load went on), `peak_lbf`,
        `start_lbf` (pull that starts it now), `start_first_lbf` (as found),
        `expected_low_lbf`, `expected_high_lbf`, `weakest` (link of the rig that stands),
        `weakest_lbf`, `margin_lbf` (its working load less `start_lbf`; None without a
        rig), `links_broken`, `links_over_working`, `faults`; each as in
        :class:`keycourse.pull.bench.pulling.PullingSummary`.
        """
        s, state = self.session.summary(), self.session.state
        pull = self.case.demand
        return {
            "over": self.over,
            "outcome": s.outcome,
            "stopped": self.stopped,
            "ends_measured": state.measured,
            "small_end_shows": self.case.key.small_end_shows,
            "loads": len(self._loads("load", "pump", "push")),
            "peak_lbf": round(s.peak_lbf),
            "start_lbf": round(s.start_lbf),
            "start_first_lbf": round(s.start_first_lbf),
            "expected_low_lbf": round(pull.low_lbf),
            "expected_high_lbf": round(pull.high_lbf),
            "weakest": s.weakest,
            "weakest_lbf": round(s.weakest_lbf),
            "margin_lbf": round(s.margin_lbf) if s.weakest else None,
            "links_broken": list(s.broken),
            "links_over_working": list(state.over_working),
            "faults": list(s.faults),
        }

    # keeping

    @property
    def _begun(self) -> bool:
        return bool(self.session.steps)

    def _own_record(self) -> dict[str, Any]:
        return {
            "kind": self.kind,
            "seed": self.seed,
            "rig": self.rig,
            "hold": self.hold,
            "stopped": self.stopped,
            "revealed": self.revealed,
            **({"model": self.model} if self.model > 1 else {}),
            "session": self.session.record(),
        }

    def restore(self, record: Mapping[str, Any]) -> None:
        """Take up a saved record; raises ``ValueError`` when it does not fit."""
        try:
            seed, rig, hold = int(record["seed"]), name_now(str(record["rig"])), str(record["hold"])
            model = int(record.get("model", 1))
            case = draw_case(kind=record["kind"], seed=seed, model=model)
            empty = start_pulling(key=case.key, seed=seed)
            session = empty.resumed(record["session"])
            if rig and rig not in RIGS:
                raise ValueError(rig)
            stopped, revealed = bool(record["stopped"]), bool(record["revealed"])
        except (KeyError, TypeError, ValueError, AttributeError) as error:
            raise ValueError(
                "The pull kept on this page cannot be read. It stays kept until you do"
                " something here; a new pull is on the bench."
            ) from error
        self.case, self.kind, self.seed, self.model = case, record["kind"], seed, model
        self.session, self.rig, self.hold = session, rig, hold
        self.stopped, self.revealed = stopped, revealed
        before = record.get("before")
        self._before = dict(before) if isinstance(before, dict) else None


def _eased(first_lbf: float, now_lbf: float, units: ShopUnits) -> str:
    if now_lbf >= 0.999 * first_lbf:
        return ""
    return f", and {units.load(now_lbf)} after what was done"


def rig_standing(session: PullingSession) -> str:
    """Return the rig that was set up last; empty without one."""
    done = zip(session.steps, session.observations, strict=True)
    rigs = [rig_of(s["links"]) for s, o in done if s["do"] == "rig" and o.outcome == "done"]
    return rigs[-1] if rigs else ""


def rig_meant(session: PullingSession) -> str:
    """Return the rig that the last step was about: the one asked for, or the one standing."""
    last = session.steps[-1]
    return rig_of(last["links"]) if last["do"] == "rig" else rig_standing(session)


def _welded(step: Mapping[str, Any]) -> str:
    said = {HOT: ", weld still hot", THROUGH_BEARING: ", ground clamp on the shaft"}
    return said.get(step.get("weld", WELDS[0]), "")


def _pumped(step: Mapping[str, Any], units: ShopUnits) -> str:
    how = {
        PUMPED[0]: "",
        PUMPED[1]: ", one jack first",
        PUMPED[2]: ", both jacks on one pump",
    }[step.get("pumped", PUMPED[0])]
    if "strokes" in step:
        return f"Pumped {counted(step['strokes'], 'stroke')}{how}"
    held = "" if step.get("held_min", 1) else ", without a hold before"
    return f"Pumped up to {units.load(step['to_lbf'])}{held}{how}"


def step_words(step: Mapping[str, Any], *, rig: str, units: ShopUnits = INCH) -> str:
    """Return in words what one step of a pull did, with the rig that stood then."""
    words = {
        "measure ends": "Measured both ends",
        "ease": "Eased off",
        "wipe": "Wiped off the penetrant",
        "look": "Looked along the rig from the side",
        "knock": "Knocked on the rod",
        "take up": "Took up the nut",
        "hold": "Held the load and looked at gauge and mark",
        "feel hose": "Felt along the hose by hand",
    }
    stood = ", standing in line" if step.get("stand") == IN_LINE else ""
    match step["do"]:
        case "rig":
            named = rig_words(rig, units=units) if rig in RIGS else rig
            feet = ", jacks on the shaft" if step.get("feet", FEET[0]) != FEET[0] else ""
            return f"Set up the rig: {named[:1].lower()}{named[1:]}{feet}{_welded(step)}"
        case "load" if rig == "slide hammer":
            return f"Struck a blow, {units.load(step['load_lbf'])} at its peak{stood}"
        case "load":
            held = "" if step.get("held_min", 1) else ", without a hold before"
            one = ", one jack first" if step.get("pumped", PUMPED[0]) == PUMPED[1] else ""
            return f"Pulled with {units.load(step['load_lbf'])}{held}{one}{stood}"
        case "pump":
            return _pumped(step, units) + stood
        case "push":
            return f"Pushed with {units.load(step['load_lbf'])}{stood}"
        case "remove hub":
            return "Took the hub off" + ("" if step.get("slung", True) else ", not slung")
        case "jacks":
            return f"Larger jacks, {units.load(step['working_lbf'], 'down')}"
        case "penetrant":
            return f"Penetrant, {step['hours']:g} h"
        case "heat":
            return f"Heated the hub, {units.warmer(step['difference_f'])} above the shaft"
        case other:
            return words[other]
