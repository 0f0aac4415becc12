"""Practice of exercise 03: how deep the large end is drilled, and what is wrong with a hole."""

from __future__ import annotations

from dataclasses import dataclass

from coursework.draws import Draws
from coursework.question import Answer, Choice, Fact, Measure, WorkedLine
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import Given, Wrong, only_if
from keycourse.key.tapping import LEADS, TAPS, TappedHole, tapped_hole
from taperkey import practice
from taperkey.formulas.thread import tap_drill_in
from taperkey.tables.threads import Thread, thread
from taperkey.units import MM_PER_IN, fraction_text

__all__ = ["QUESTIONS"]

WORDS = words_beside(__file__)

_THREADS = {"inch": ("1/2-13 UNC", "5/8-11 UNC", "3/4-10 UNC", "1-8 UNC"),
            "metric": ("M12", "M16", "M20", "M24")}  # fmt: skip
_GRADES = {"inch": "ASTM A193 B7", "metric": "ISO 898-1 class 8.8"}
_SAID = WORDS.options("03-tapped")
_ANSWERS = {"": _SAID["right"], "shallow": _SAID["shallow"], "large": _SAID["large"],
            "small": _SAID["small"]}  # fmt: skip
_DEPTH, _FULL = practice.value("hole_depth"), practice.value("full_thread")


@dataclass(frozen=True, kw_only=True)
class _Hole:
    """The hole of a practice card: thread, last tap, drill and depth; lengths in inches."""

    size: Thread
    tap: str
    drill_in: float
    depth_in: float
    metric: bool

    @property
    def hole(self) -> TappedHole:
        return tapped_hole(
            thread_name=self.size.name,
            grade_name=_GRADES["metric" if self.metric else "inch"],
            drill_in=self.drill_in,
            depth_in=self.depth_in,
            tap=self.tap,
        )


def _right_drill_in(size: Thread, metric: bool) -> float:
    """Return the table's drill: the nearest 64th, or half millimeter."""
    drill = tap_drill_in(diameter_in=size.diameter_in, pitch_in=size.pitch_in)
    parts = 2 * MM_PER_IN if metric else 64
    return round(drill * parts) / parts


def _hole_of(card: JobCard) -> _Hole:
    """Return the card's hole; half of the holes that will do are as deep as the rule of thumb."""
    draws = Draws(f"{card.class_code}/{card.exercise}/{card.number}/03-tapped")
    names = _THREADS["metric" if card.metric else "inch"]
    size = thread(name=names[draws.whole(low=0, high=len(names) - 1)])
    fault = ("", "shallow", "large", "small")[draws.whole(low=0, high=3)]
    deep = bool(draws.whole(low=0, high=1))
    drill = _right_drill_in(size, card.metric)
    step = 0.5 / MM_PER_IN if card.metric else 1 / 32
    drill += {"large": step * (1 if size.diameter_in < 0.9 else 2), "small": -step}.get(fault, 0.0)
    tap = TAPS[2] if not deep or fault in ("large", "small") else TAPS[1]
    diameters = _DEPTH
    if fault == "shallow":  # two diameters and the plug tap: the rule of thumb, and not enough
        diameters = _DEPTH if deep else _FULL
    elif deep and not fault:
        diameters = _DEPTH + 0.5
    return _Hole(
        size=size, tap=tap, drill_in=drill, depth_in=diameters * size.diameter_in,
        metric=card.metric,
    )  # fmt: skip


def _long(card: JobCard, value_in: float) -> str:
    return f"{value_in * MM_PER_IN:.1f} mm" if card.metric else f"{value_in:.3f} in"


def _drill(card: JobCard, value_in: float) -> str:
    return f"{value_in * MM_PER_IN:g} mm" if card.metric else fraction_text(value_in)


def _thread_facts(card: JobCard) -> tuple[Fact, ...]:
    one = _hole_of(card)
    return (
        Fact("Thread", f"{one.size.name}, pitch {_long(card, one.size.pitch_in)}"),
        Fact("Last tap", f"{one.tap}; its first {LEADS[one.tap]:g} threads do not cut full"),
    )


def _depth_facts(card: JobCard) -> tuple[Fact, ...]:
    wanted = practice.rule("full_thread")
    return (
        *_thread_facts(card),
        Fact("Full thread that is counted on", f"{wanted.number} ({wanted.kind_said})"),
    )


def _hole_facts(card: JobCard) -> tuple[Fact, ...]:
    one = _hole_of(card)
    return (
        *_depth_facts(card),
        Fact("Drill by the table", _drill(card, _right_drill_in(one.size, card.metric))),
        Fact("Drilled with", _drill(card, one.drill_in)),
        Fact("Depth of the hole, drill's point not counted", _long(card, one.depth_in)),
    )


def _least_depth(card: JobCard, given: Given) -> float:
    """Return how deep to drill: what is counted on, and what the tap does not cut full [in]."""
    one = _hole_of(card)
    return _FULL * one.size.diameter_in + LEADS[one.tap] * one.size.pitch_in


def _least_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    one = _hole_of(card)
    diameter, pitch = _long(card, one.size.diameter_in), _long(card, one.size.pitch_in)
    return (
        WorkedLine(
            why="The rod needs full thread, and a tap's point cuts none: its length comes on top.",
            formula=f"depth = {_FULL:g} × diameter + threads not full × pitch",
            numbers=f"{_FULL:g} × {diameter} + {LEADS[one.tap]:g} × {pitch}",
            result=_long(card, _least_depth(card, given)),
        ),
    )


def _tapped(card: JobCard, given: Given) -> Answer:
    return _ANSWERS[_hole_of(card).hole.fault]


def _tapped_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    one = _hole_of(card)
    right = _right_drill_in(one.size, card.metric)
    size = "the same" if one.drill_in == right else "larger" if one.drill_in > right else "smaller"
    return (
        WorkedLine(
            why="First the drill: too large leaves no thread, too small breaks the tap.",
            formula="drilled with, against the table",
            numbers=f"{_drill(card, one.drill_in)} against {_drill(card, right)}",
            result=size,
        ),
        WorkedLine(
            why="Then the depth: what the tap's point does not cut full is not counted.",
            formula="full thread = depth − threads not full × pitch",
            numbers=f"{_long(card, one.depth_in)} − {LEADS[one.tap]:g} × "
            f"{_long(card, one.size.pitch_in)}; wanted {_long(card, one.hole.wanted_in)}",
            result=_long(card, one.hole.full_in),
        ),
        WorkedLine(why="So the hole is:", result=str(_tapped(card, given))),
    )


def _said_of(fault: str, answer: str) -> Wrong:
    """Return a wrong answer on the cards with that fault."""
    return lambda card, given: only_if(_hole_of(card).hole.fault == fault, _ANSWERS[answer])


def _scaled_lead(card: JobCard, given: Given) -> float:
    one = _hole_of(card)
    return _FULL * one.size.diameter_in + one.size.pitch_in


QUESTIONS = (
    WORDS.question(
        "03-hole-depth",
        kind=Measure(dimension="length", unit="in", low=0.3, high=4.0, places=2, metric_places=1),
        expected=_least_depth,
        tolerance=lambda card, given: 0.01,
        slips={
            "tap's point left out": lambda card, given: _FULL * _hole_of(card).size.diameter_in,
            "two diameters, whatever the tap": lambda card, given: (
                _DEPTH * _hole_of(card).size.diameter_in
            ),
            "one thread for the tap's point": _scaled_lead,
        },
        facts=_depth_facts,
        worked=_least_work,
    ),
    WORDS.question(
        "03-tapped",
        kind=Choice(options=tuple(_ANSWERS.values())),
        expected=_tapped,
        slips={
            "tap's point counted": _said_of("shallow", ""),
            "table's drill not looked at": _said_of("large", ""),
            "tap breaks": _said_of("small", ""),
            "depth blamed for the drill": _said_of("large", "shallow"),
            "good hole refused": _said_of("", "shallow"),
        },
        facts=_hole_facts,
        worked=_tapped_work,
    ),
)
