"""The four tools of exercise 00: what they show, how each is misread, and how it is read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from taperkey.figures.caliper import draw_vernier_caliper
from taperkey.figures.micrometer import draw_micrometer
from taperkey.jobcard import JobCard
from taperkey.jobcard.drive import MM_PER_IN
from taperkey.jobcard.start import StartReadings
from taperkey.questions.common import Given, scaled
from taperkey.questions.question import Answer, Fact, Measure, Question, Slip, WorkedLine

__all__ = ["TOOLS", "start_of", "tool_facts"]

Steps = tuple[int, int, int]  # lines of the sleeve or beam, lines of the thimble, vernier line


def start_of(card: JobCard) -> StartReadings:
    """Return the card's readings of exercise 00."""
    if card.start is None:
        raise LookupError(f"job card for {card.exercise} has no drawn tools")
    return card.start


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


_ONE_LINE = (
    "Follow the datum to the last line that it has reached, counting upwards from the number."
)


def _thimble_slips(
    value: Value, steps: Callable[[JobCard], Steps], line_in: float, turn: int
) -> tuple[Slip, ...]:
    step = "0.01 mm" if turn == 50 else "0.001 in"

    def backwards(card: JobCard, given: Given) -> Answer | None:
        thimble = steps(card)[1]
        return value(card, given) + (turn - 2 * thimble) * line_in / turn if thimble else None

    return (
        Slip(
            name="thimble one line low",
            value=_by(value, -line_in / turn),
            sentence=f"You are one thimble line out ({step}), too low. {_ONE_LINE}",
            share=0.5,
        ),
        Slip(
            name="thimble one line high",
            value=_by(value, line_in / turn),
            sentence=f"You are one thimble line out ({step}), too high. {_ONE_LINE}",
            share=0.5,
        ),
        Slip(
            name="thimble counted the wrong way",
            value=backwards,
            sentence="The thimble was counted the wrong way round. Its numbers grow upwards.",
            share=0.25,
        ),
    )


def _sleeve_slips(value: Value, steps: Callable[[JobCard], Steps]) -> tuple[Slip, ...]:
    return (
        Slip(
            name="sleeve line missed",
            value=_by(value, -0.025, lambda card: steps(card)[0] % 4 > 0),
            sentence="You missed a line on the sleeve, which is one turn of the thimble. Count "
            "the lines after the last number again; each adds 0.025 in.",
            share=0.5,
        ),
        Slip(
            name="line counted that is only coming out",
            value=_by(value, 0.025),
            sentence="You counted one sleeve line too many (0.025 in). A line that is only coming "
            "out does not count until the thimble has passed 0.",
            share=0.5,
        ),
    )


def _tool_slips(value: Value, *, unit: str) -> tuple[Slip, ...]:
    """Return the slips of unit and decimal point, for a tool with a fixed unit."""
    other = "mm" if unit == "in" else "in"
    factor = 1 / MM_PER_IN if unit == "in" else MM_PER_IN
    return (
        Slip(
            name=f"{other} written behind the reading",
            value=scaled(value, factor),
            sentence=f"The figures fit, the unit does not. This tool reads in {unit}; look which "
            "unit stands on it.",
            share=0.5,
        ),
        Slip(
            name="decimal point one place right",
            value=scaled(value, 10.0),
            sentence="The figures fit, the size does not: look at the decimal point.",
            share=0.25,
        ),
        Slip(
            name="decimal point one place left",
            value=scaled(value, 0.1),
            sentence="The figures fit, the size does not: look at the decimal point "
            "and count the noughts.",
            share=0.25,
        ),
    )


def _fine_slips(
    value: Value, steps: Callable[[JobCard], Steps], step_in: float, lines: int, step: str
) -> tuple[Slip, ...]:
    """Return the slips of a vernier of so many lines, each worth `step_in`."""

    def backwards(card: JobCard, given: Given) -> Answer | None:
        return value(card, given) + (lines - 2 * steps(card)[2]) * step_in

    def left_out(card: JobCard, given: Given) -> Answer | None:
        return value(card, given) - steps(card)[2] * step_in

    beside = "Look straight at the lines, and compare the neighbours on both sides."
    return (
        Slip(
            name="vernier one line low",
            value=_by(value, -step_in),
            sentence=f"Nearly: you are one vernier line out ({step}), too low. {beside}",
            share=0.5,
        ),
        Slip(
            name="vernier one line high",
            value=_by(value, step_in),
            sentence=f"Nearly: you are one vernier line out ({step}), too high. {beside}",
            share=0.5,
        ),
        Slip(
            name="vernier read the other way",
            value=backwards,
            sentence="The vernier was counted from its far end. Count from its 0.",
            share=0.25,
        ),
        Slip(
            name="vernier left out",
            value=left_out,
            sentence="The vernier is left out. Find the one vernier line that meets a line on the "
            f"other scale; each line counts {step}.",
            share=0.5,
        ),
    )


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
            why="Then the thimble: the last line that has reached the datum.",
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
            why="Then the thimble: the last line that the datum has passed.",
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
            why="Whole millimetres above the datum, then the half line below it: is it out?",
            formula="whole lines × 1 mm + half line × 0.5 mm",
            numbers=f"{whole} × 1 mm + {half} × 0.5 mm",
            result=f"{0.5 * lines:.1f} mm",
        ),
        WorkedLine(
            why="Then the thimble: the line at the datum.",
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


_CALIPER = Question(
    key="00-caliper",
    skill="read a tool",
    label="Vernier caliper",
    ask="What does tool D, the vernier caliper, read? Give it to 0.001 in.",
    marks=2,
    kind=Measure(dimension="length", unit="in", low=0.0, high=6.0, places=3, metric_unit="in"),
    expected=_caliper,
    tolerance=lambda card, given: 0.0004,
    slips=(
        Slip(
            name="beam line missed",
            value=_by(_caliper, -0.025, lambda card: _beam_steps(card)[0] % 4 > 0),
            sentence="You missed a line of the beam. Count the lines between the last small number "
            "and the vernier's 0; each adds 0.025 in.",
            share=0.5,
        ),
        Slip(
            name="beam line too many",
            value=_by(_caliper, 0.025),
            sentence="You counted one beam line too many (0.025 in). Only lines that the "
            "vernier's 0 has passed count.",
            share=0.5,
        ),
        *_fine_slips(_caliper, _beam_steps, 0.001, 25, "0.001 in"),
        *_tool_slips(_caliper, unit="in"),
    ),
    hint="First what the vernier's 0 has passed on the beam, then the line that meets.",
    facts=_caliper_facts,
    worked=_caliper_work,
    picture=lambda card: draw_vernier_caliper(reading_in=start_of(card).caliper_in).html(),
)
_CALIPER_MM = replace(
    _CALIPER,
    ask="What does tool D, the vernier caliper, read? Give it to 0.02 mm.",
    kind=Measure(dimension="length", unit="mm", low=0.0, high=150.0, places=2),
    tolerance=lambda card, given: 0.008 / MM_PER_IN,
    slips=(
        Slip(
            name="beam line missed",
            value=_by(_caliper, -1 / MM_PER_IN),
            sentence="You missed a line of the beam. Count the lines between the last number and "
            "the vernier's 0; each adds 1 mm.",
            share=0.5,
        ),
        Slip(
            name="beam line too many",
            value=_by(_caliper, 1 / MM_PER_IN),
            sentence="You counted one beam line too many (1 mm). Only lines that the "
            "vernier's 0 has passed count.",
            share=0.5,
        ),
        *_fine_slips(_caliper, _beam_mm_steps, 0.02 / MM_PER_IN, 50, "0.02 mm"),
        *_tool_slips(_caliper, unit="mm"),
    ),
    picture=lambda card: draw_vernier_caliper(
        reading_mm=start_of(card).caliper_mm, kind="metric"
    ).html(),
)

TOOLS: tuple[Question, ...] = (
    Question(
        key="00-micrometer",
        skill="read a tool",
        label="Inch micrometer",
        ask="What does tool A, the inch micrometer, read? Give it to 0.001 in.",
        marks=1,
        kind=Measure(dimension="length", unit="in", low=0.0, high=1.0, places=3, metric_unit="in"),
        expected=_inch,
        tolerance=lambda card, given: 0.0004,  # the line is at the datum: less than half a line
        slips=(
            *_sleeve_slips(_inch, _inch_steps),
            *_thimble_slips(_inch, _inch_steps, 0.025, 25),
            *_tool_slips(_inch, unit="in"),
        ),
        hint="Sleeve number, sleeve lines, thimble line: say each one aloud, then add.",
        facts=_inch_facts,
        worked=_inch_work,
        picture=lambda card: draw_micrometer(reading_in=start_of(card).micrometer_in).html(),
    ),
    Question(
        key="00-vernier",
        skill="read a tool",
        label="Micrometer with vernier",
        ask="What does tool B, the inch micrometer with a vernier, read? Give it to 0.0001 in.",
        marks=2,
        kind=Measure(dimension="length", unit="in", low=0.0, high=1.0, places=4, metric_unit="in"),
        expected=_vernier,
        tolerance=lambda card, given: 0.00004,
        slips=(
            *_sleeve_slips(_vernier, _vernier_steps),
            *_fine_slips(_vernier, _vernier_steps, 0.0001, 10, "0.0001 in"),
            Slip(
                name="vernier in the wrong digit",
                value=lambda card, given: _vernier(card, given) + 0.0009 * _vernier_steps(card)[2],
                sentence="The vernier was put in the wrong digit. Its number is the fourth "
                "digit after the point: ten-thousandths.",
                share=0.25,
            ),
            *_tool_slips(_vernier, unit="in"),
        ),
        hint="Sleeve and thimble first. Then the one vernier line that meets a thimble line.",
        facts=_vernier_facts,
        worked=_vernier_work,
        picture=lambda card: draw_micrometer(
            reading_in=start_of(card).vernier_in, kind="inch-vernier"
        ).html(),
    ),
    Question(
        key="00-metric",
        skill="read a tool",
        label="Metric micrometer",
        ask="What does tool C, the metric micrometer, read? Give it to 0.01 mm.",
        marks=1,
        kind=Measure(dimension="length", unit="mm", low=0.0, high=25.0, places=2),
        expected=_metric,
        tolerance=lambda card, given: 0.004 / MM_PER_IN,
        slips=(
            Slip(
                name="half line missed",
                value=_by(_metric, -0.5 / MM_PER_IN, lambda card: _metric_steps(card)[0] % 2 == 1),
                sentence="The half line below the datum is out and was not counted. "
                "It adds 0.5 mm.",
                share=0.5,
            ),
            Slip(
                name="half line counted that is not out",
                value=_by(_metric, 0.5 / MM_PER_IN, lambda card: _metric_steps(card)[0] % 2 == 0),
                sentence="You counted a half line that is not out yet. It counts only after "
                "the thimble has passed 0.",
                share=0.5,
            ),
            *_thimble_slips(_metric, _metric_steps, 0.5 / MM_PER_IN, 50),
            *_tool_slips(_metric, unit="mm"),
        ),
        hint="Whole millimetres, then the half line, then the thimble.",
        facts=_metric_facts,
        worked=_metric_work,
        picture=lambda card: draw_micrometer(
            reading_mm=start_of(card).micrometer_mm, kind="metric"
        ).html(),
    ),
    replace(_CALIPER, metric=_CALIPER_MM),
)
