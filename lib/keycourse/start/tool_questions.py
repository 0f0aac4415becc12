"""The four tools of exercise 00 as questions; values, slips and worked lines are from ``tools``."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from coursework.question import Answer, Fact, Measure, Question, WorkedLine
from coursework.words import Slips, words_beside
from keycourse.card import JobCard
from keycourse.common import Given
from keycourse.start.card import StartReadings
from keycourse.start.toolpicture import draw_tool
from keycourse.start.tools import UNIT_SLIP, slip_names, slips_at, tool_of, worked_reading
from taperkey.units import MM_PER_IN

__all__ = ["TOOL_QUESTIONS", "start_of", "tool_facts"]

WORDS = words_beside(__file__)
_METRIC_CALIPER = "metric caliper"


def start_of(card: JobCard) -> StartReadings:
    """Return the card's readings of exercise 00."""
    return card.read(StartReadings)


def _shown(card: JobCard, kind: str) -> float:
    """Return what a tool shows on this card, in its own unit."""
    start = start_of(card)
    return {
        "inch": start.micrometer_in,
        "inch-vernier": start.vernier_in,
        "metric": start.micrometer_mm,
        "inch caliper": start.caliper_in,
        _METRIC_CALIPER: start.caliper_mm,
    }[kind]


def _fields(kind: str) -> dict[str, Any]:
    """Return what a question about a tool takes from it."""
    tool = tool_of(kind)
    per_in = 1.0 if tool.inch else MM_PER_IN

    def in_inches(shown: float) -> float:
        return shown / per_in

    def by(name: str) -> Callable[[JobCard, Given], Answer | None]:
        def value(card: JobCard, given: Given) -> Answer | None:
            found = dict(reversed(slips_at(kind, _shown(card, kind)))).get(name)
            return None if found is None else in_inches(found)

        return value

    def unit_mistaken(card: JobCard, given: Given) -> Answer | None:
        return in_inches(_shown(card, kind)) * (1 / MM_PER_IN if tool.inch else MM_PER_IN)

    def worked(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
        return worked_reading(kind, _shown(card, kind))

    slips: Slips = {
        **{name: by(name) for name in slip_names(kind)},
        UNIT_SLIP[tool.unit]: unit_mistaken,
    }
    return {
        "kind": Measure(
            dimension="length",
            unit=tool.unit,
            low=0.0,
            high=tool.span,
            places=tool.places,
            metric_unit=tool.unit,
        ),
        "expected": lambda card, given: in_inches(_shown(card, kind)),
        "tolerance": lambda card, given: in_inches(0.4 * tool.step),  # less than half a line
        "slips": slips,
        "places": tool.places_filled,
        "worked": worked,
        "picture": lambda card: draw_tool(kind, _shown(card, kind)).html(),
    }


def _fact(letter: str, kind: str, called: str) -> Fact:
    tool = tool_of(kind)
    line = "a vernier line" if tool.vernier else "a thimble line"
    return Fact(f"Tool {letter}", f"{called}, {tool.step:g} {tool.unit} {line}, as drawn")


def _caliper_facts(card: JobCard) -> tuple[Fact, ...]:
    if card.metric:
        return (_fact("D", _METRIC_CALIPER, "metric vernier caliper"),)
    return (_fact("D", "inch caliper", "inch vernier caliper"),)


_INCH = (_fact("A", "inch", "inch micrometer, 0 to 1 in"),)
_VERNIER = (_fact("B", "inch-vernier", "inch micrometer with a vernier, 0 to 1 in"),)
_METRIC = (_fact("C", "metric", "metric micrometer, 0 to 25 mm"),)


def tool_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the card that name the tools."""
    return (*_INCH, *_VERNIER, *_METRIC, *_caliper_facts(card))


TOOL_QUESTIONS: tuple[Question, ...] = (
    WORDS.question("00-micrometer", facts=lambda card: _INCH, **_fields("inch")),
    WORDS.question("00-vernier", facts=lambda card: _VERNIER, **_fields("inch-vernier")),
    WORDS.question("00-metric", facts=lambda card: _METRIC, **_fields("metric")),
    WORDS.question(
        "00-caliper",
        facts=_caliper_facts,
        metric=_fields(_METRIC_CALIPER),
        **_fields("inch caliper"),
    ),
)
