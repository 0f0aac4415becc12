"""The four tools of exercise 00: what they show, how each is misread, and how it is read."""

from __future__ import annotations

from collections.abc import Callable

from coursework.question import (
    Answer,
    Fact,
    Measure,
    Question,
    WorkedLine,
)
from coursework.words import Slips, words_beside
from keycourse.card import JobCard
from keycourse.common import Given, scaled
from keycourse.start.caliper import draw_vernier_caliper
from keycourse.start.card import StartReadings
from keycourse.start.micrometer import draw_micrometer
from taperkey.units import MM_PER_IN

__all__ = ["TOOLS", "start_of", "tool_facts"]

WORDS = words_beside(__file__)

Steps = tuple[int, int, int]  # lines of the sleeve or beam, lines of the thimble, vernier line


def start_of(card: JobCard) -> StartReadings:
    """Return the card's readings of exercise 00."""
    return card.read(StartReadings)


# what shows on each tool, in whole lines


def _inch_steps(card: JobCard) -> Steps:
    lines, thimble = divmod(round(start_of(card).micrometer_in / 0.001), 25)
    return lines, thimble, 0


def _vernier_steps(card: JobCard) -> Steps:
    lines, rest = divmod(round(start_of(card).vernier_in / 0.0001), 250)
    return lines, *divmod(rest, 10)


def _metric_steps(card: JobCard) -> Steps:
    lines, thimble = divmod(round(start_of(card).micrometer_mm / 0.01), 50)
    return lines, thimble, 0


def _beam_steps(card: JobCard) -> Steps:
    lines, vernier = divmod(round(start_of(card).caliper_in / 0.001), 25)
    return lines, 0, vernier


def _beam_mm_steps(card: JobCard) -> Steps:
    lines, vernier = divmod(round(start_of(card).caliper_mm / 0.02), 50)
    return lines, 0, vernier


# the right values, in inches as everywhere inside


def _inch(card: JobCard, given: Given) -> float:
    return start_of(card).micrometer_in


def _vernier(card: JobCard, given: Given) -> float:
    return start_of(card).vernier_in


def _metric(card: JobCard, given: Given) -> float:
    return start_of(card).micrometer_mm / MM_PER_IN


def _caliper(card: JobCard, given: Given) -> float:
    start = start_of(card)
    return start.caliper_mm / MM_PER_IN if card.metric else start.caliper_in


# slips of reading

Value = Callable[[JobCard, Given], float]
Maybe = Callable[[JobCard], bool]


def _by(
    value: Value, change_in: float, when: Maybe = lambda card: True
) -> Callable[..., Answer | None]:
    """Return the reading off by a fixed amount, where that slip can happen."""
    return lambda card, given: value(card, given) + change_in if when(card) else None


def _thimble_slips(
    value: Value, steps: Callable[[JobCard], Steps], line_in: float, turn: int
) -> Slips:
    def backwards(card: JobCard, given: Given) -> Answer | None:
        thimble = steps(card)[1]
        return value(card, given) + (turn - 2 * thimble) * line_in / turn if thimble else None

    return {
        "thimble one line low": _by(value, -line_in / turn),
        "thimble one line high": _by(value, line_in / turn),
        "thimble counted the wrong way": backwards,
    }


def _sleeve_slips(value: Value, steps: Callable[[JobCard], Steps]) -> Slips:
    return {
        "sleeve line missed": _by(value, -0.025, lambda card: steps(card)[0] % 4 > 0),
        "line counted that is only coming out": _by(value, 0.025),
    }


def _tool_slips(value: Value, *, unit: str) -> Slips:
    """Return the slips of unit and decimal point, for a tool with a fixed unit."""
    other = "mm" if unit == "in" else "in"
    factor = 1 / MM_PER_IN if unit == "in" else MM_PER_IN
    return {
        f"{other} written behind the reading": scaled(value, factor),
        "decimal point one place right": scaled(value, 10.0),
        "decimal point one place left": scaled(value, 0.1),
    }


def _fine_slips(
    value: Value, steps: Callable[[JobCard], Steps], step_in: float, lines: int
) -> Slips:
    """Return the slips of a vernier of so many lines, each worth `step_in`."""

    def backwards(card: JobCard, given: Given) -> Answer | None:
        return value(card, given) + (lines - 2 * steps(card)[2]) * step_in

    def left_out(card: JobCard, given: Given) -> Answer | None:
        return value(card, given) - steps(card)[2] * step_in

    return {
        "vernier one line low": _by(value, -step_in),
        "vernier one line high": _by(value, step_in),
        "vernier read the other way": backwards,
        "vernier left out": left_out,
    }


def _tool_fact(what: str, value: str) -> Callable[[JobCard], tuple[Fact, ...]]:
    return lambda card: (Fact(what, value),)


_inch_facts = _tool_fact("Tool A", "inch micrometer, thimble 0.001 in a line, as drawn")
_vernier_facts = _tool_fact("Tool B", "inch micrometer with a vernier, 0.0001 in, as drawn")
_metric_facts = _tool_fact("Tool C", "metric micrometer, thimble 0.01 mm a line, as drawn")


def _caliper_facts(card: JobCard) -> tuple[Fact, ...]:
    lines = "metric vernier caliper, 0.02 mm" if card.metric else "inch vernier caliper, 0.001 in"
    return (Fact("Tool D", f"{lines} a vernier line, as drawn"),)


def tool_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the card that name the tools."""
    return (
        *_inch_facts(card),
        *_vernier_facts(card),
        *_metric_facts(card),
        *_caliper_facts(card),
    )


def _sleeve_line(lines: int) -> WorkedLine:
    tenths, after = divmod(lines, 4)
    return WorkedLine(
        why="The sleeve first: the last number that is out, and the lines after it.",
        formula="number × 0.100 in + lines × 0.025 in",
        numbers=f"{tenths} × 0.100 in + {after} × 0.025 in",
        result=f"{0.025 * lines:.3f} in",
    )


def _inch_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    lines, thimble, _ = _inch_steps(card)
    return (
        _sleeve_line(lines),
        WorkedLine(
            why="Then the thimble: the last line that has reached the index line.",
            formula="sleeve + thimble line × 0.001 in",
            numbers=f"{0.025 * lines:.3f} in + {thimble} × 0.001 in",
            result=f"{_inch(card, given):.3f} in",
        ),
    )


def _vernier_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    lines, thimble, vernier = _vernier_steps(card)
    below = 0.025 * lines + 0.001 * thimble
    return (
        _sleeve_line(lines),
        WorkedLine(
            why="Then the thimble: the last line that the index line has passed.",
            formula="sleeve + thimble line × 0.001 in",
            numbers=f"{0.025 * lines:.3f} in + {thimble} × 0.001 in",
            result=f"{below:.3f} in",
        ),
        WorkedLine(
            why="Last the vernier: the one line that meets a line of the thimble.",
            formula="+ vernier line × 0.0001 in",
            numbers=f"{below:.3f} in + {vernier} × 0.0001 in",
            result=f"{_vernier(card, given):.4f} in",
        ),
    )


def _metric_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    lines, thimble, _ = _metric_steps(card)
    whole, half = divmod(lines, 2)
    return (
        WorkedLine(
            why="Whole millimeters above the index line, then the half line below it: is it out?",
            formula="whole lines × 1 mm + half line × 0.5 mm",
            numbers=f"{whole} × 1 mm + {half} × 0.5 mm",
            result=f"{0.5 * lines:.1f} mm",
        ),
        WorkedLine(
            why="Then the thimble: the line at the index line.",
            formula="sleeve + thimble line × 0.01 mm",
            numbers=f"{0.5 * lines:.1f} mm + {thimble} × 0.01 mm",
            result=f"{start_of(card).micrometer_mm:.2f} mm",
        ),
    )


def _caliper_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    if card.metric:
        lines, _, vernier = _beam_mm_steps(card)
        beam, fine, total = f"{lines} mm", "0.02 mm", f"{start_of(card).caliper_mm:.2f} mm"
        count = f"{lines} × 1 mm"
    else:
        lines, _, vernier = _beam_steps(card)
        beam, fine, total = (
            f"{0.025 * lines:.3f} in",
            "0.001 in",
            f"{start_of(card).caliper_in:.3f} in",
        )
        count = f"{lines // 40} × 1 in + {lines // 4 % 10} × 0.1 in + {lines % 4} × 0.025 in"
    return (
        WorkedLine(
            why="The beam first: what the vernier's 0 has passed, not the edge of the jaw.",
            formula="numbers and lines that the 0 has passed",
            numbers=count,
            result=beam,
        ),
        WorkedLine(
            why="Then the one vernier line that meets a line of the beam.",
            formula=f"beam + vernier line × {fine}",
            numbers=f"{beam} + {vernier} × {fine}",
            result=total,
        ),
    )


TOOLS: tuple[Question, ...] = (
    WORDS.question(
        "00-micrometer",
        kind=Measure(dimension="length", unit="in", low=0.0, high=1.0, places=3, metric_unit="in"),
        expected=_inch,
        tolerance=lambda card, given: (
            0.0004
        ),  # the line is at the index line: less than half a line
        slips={
            **_sleeve_slips(_inch, _inch_steps),
            **_thimble_slips(_inch, _inch_steps, 0.025, 25),
            **_tool_slips(_inch, unit="in"),
        },
        places={"step": "0.001 in", "each": "0.025 in"},
        facts=_inch_facts,
        worked=_inch_work,
        picture=lambda card: draw_micrometer(reading_in=start_of(card).micrometer_in).html(),
    ),
    WORDS.question(
        "00-vernier",
        kind=Measure(dimension="length", unit="in", low=0.0, high=1.0, places=4, metric_unit="in"),
        expected=_vernier,
        tolerance=lambda card, given: 0.00004,
        slips={
            **_sleeve_slips(_vernier, _vernier_steps),
            **_fine_slips(_vernier, _vernier_steps, 0.0001, 10),
            "vernier in the wrong digit": lambda card, given: (
                _vernier(card, given) + 0.0009 * _vernier_steps(card)[2]
            ),
            **_tool_slips(_vernier, unit="in"),
        },
        places={"step": "0.0001 in", "each": "0.025 in"},
        facts=_vernier_facts,
        worked=_vernier_work,
        picture=lambda card: draw_micrometer(
            reading_in=start_of(card).vernier_in, kind="inch-vernier"
        ).html(),
    ),
    WORDS.question(
        "00-metric",
        kind=Measure(dimension="length", unit="mm", low=0.0, high=25.0, places=2),
        expected=_metric,
        tolerance=lambda card, given: 0.004 / MM_PER_IN,
        slips={
            "half line missed": _by(
                _metric, -0.5 / MM_PER_IN, lambda card: _metric_steps(card)[0] % 2 == 1
            ),
            "half line counted that is not out": _by(
                _metric, 0.5 / MM_PER_IN, lambda card: _metric_steps(card)[0] % 2 == 0
            ),
            **_thimble_slips(_metric, _metric_steps, 0.5 / MM_PER_IN, 50),
            **_tool_slips(_metric, unit="mm"),
        },
        places={"step": "0.01 mm"},
        facts=_metric_facts,
        worked=_metric_work,
        picture=lambda card: draw_micrometer(
            reading_mm=start_of(card).micrometer_mm, kind="metric"
        ).html(),
    ),
    WORDS.question(
        "00-caliper",
        kind=Measure(dimension="length", unit="in", low=0.0, high=6.0, places=3, metric_unit="in"),
        expected=_caliper,
        tolerance=lambda card, given: 0.0004,
        slips={
            "beam line missed": _by(_caliper, -0.025, lambda card: _beam_steps(card)[0] % 4 > 0),
            "beam line too many": _by(_caliper, 0.025),
            **_fine_slips(_caliper, _beam_steps, 0.001, 25),
            **_tool_slips(_caliper, unit="in"),
        },
        facts=_caliper_facts,
        worked=_caliper_work,
        picture=lambda card: draw_vernier_caliper(reading_in=start_of(card).caliper_in).html(),
        places={"step": "0.001 in", "each": "0.025 in", "what": "small number"},
        metric={
            "kind": Measure(dimension="length", unit="mm", low=0.0, high=150.0, places=2),
            "tolerance": lambda card, given: 0.008 / MM_PER_IN,
            "slips": {
                "beam line missed": _by(_caliper, -1 / MM_PER_IN),
                "beam line too many": _by(_caliper, 1 / MM_PER_IN),
                **_fine_slips(_caliper, _beam_mm_steps, 0.02 / MM_PER_IN, 50),
                **_tool_slips(_caliper, unit="mm"),
            },
            "places": {"step": "0.02 mm", "each": "1 mm", "what": "number"},
            "picture": lambda card: draw_vernier_caliper(
                reading_mm=start_of(card).caliper_mm, kind="metric"
            ).html(),
        },
    ),
)
