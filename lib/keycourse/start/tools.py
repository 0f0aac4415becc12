"""The one judge of a tool: how each is read, every known way to misread it, and its worked lines.

The trainers, the measuring bench and exercise 00 all take from here what a reading comes to by
a slip, and name that slip alike. Lengths are in the tool's own unit. Sentences stand in
``words.toml``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from coursework.question import WorkedLine
from coursework.slips import written_wrong
from coursework.words import words_beside
from taperkey.checks import require_in
from taperkey.units import EntryError, from_internal, parse_quantity

__all__ = [
    "TOOLS",
    "UNIT_SLIP",
    "ReadingVerdict",
    "Tool",
    "judge_reading",
    "slip_names",
    "slips_at",
    "tool_of",
    "worked_reading",
]


@dataclass(frozen=True, kw_only=True)
class Tool:
    """How one kind of tool is graduated; lengths in its own unit.

    Attributes
    ----------
    name : str
        "micrometer" or "caliper".
    unit : str
        "in" or "mm".
    line, number, thimble, fine : float
        What a line of the sleeve or beam is worth, from one of its numbers to the next, a line
        of the thimble and a line of the vernier; 0 where the tool has none.
    vernier : int
        Lines of the vernier, 0 for none.
    places : int
        Decimals of a reading.
    span : float
        What a micrometer's screw travels, or a caliper's beam is long.
    """

    name: str
    unit: str
    line: float
    number: float
    thimble: float = 0.0
    fine: float = 0.0
    vernier: int = 0
    places: int
    span: float

    @property
    def step(self) -> float:
        """The finest step of the tool."""
        return self.fine or self.thimble

    @property
    def inch(self) -> bool:
        """Whether it reads in inches."""
        return self.unit == "in"

    @property
    def places_filled(self) -> dict[str, str]:
        """What fills the places of the sentences about it."""
        number = "small number" if self.inch else "number"
        return {
            "each": f"{self.line:g} {self.unit}",
            "step": f"{self.thimble:g} {self.unit}",
            "fine": f"{self.fine:g} {self.unit}",
            "what": number,
        }

    def written(self, reading: float) -> str:
        """Write a reading with its unit."""
        return f"{reading:.{self.places}f} {self.unit}"

    def parts(self, reading: float) -> tuple[float, int, int, int]:
        """Return start of the range, and lines of sleeve or beam, thimble and vernier."""
        low = 0.0
        if self.name == "micrometer":
            low = self.span * max(0, math.ceil(reading / self.span - 1e-9) - 1)
        lines, rest = divmod(round((reading - low) / self.step), round(self.line / self.step))
        if not self.thimble:
            return low, lines, 0, rest
        thimble, fine = divmod(rest, round(self.thimble / self.step))
        return low, lines, thimble, fine


TOOLS: Mapping[str, Tool] = MappingProxyType(
    {
        "inch": Tool(
            name="micrometer", unit="in", line=0.025, number=0.1, thimble=0.001, places=3, span=1.0
        ),
        "inch-vernier": Tool(
            name="micrometer", unit="in", line=0.025, number=0.1, thimble=0.001,
            fine=0.0001, vernier=10, places=4, span=1.0,
        ),
        "metric": Tool(
            name="micrometer", unit="mm", line=0.5, number=1.0, thimble=0.01, places=2, span=25.0
        ),
        "inch caliper": Tool(
            name="caliper", unit="in", line=0.025, number=0.1,
            fine=0.001, vernier=25, places=3, span=6.0,
        ),
        "metric caliper": Tool(
            name="caliper", unit="mm", line=1.0, number=10.0,
            fine=0.02, vernier=50, places=2, span=150.0,
        ),
    }
)  # fmt: skip

#: The slip of the unit, by the unit of the tool.
UNIT_SLIP = {"in": "mm written behind the reading", "mm": "in written behind the reading"}


def tool_of(kind: str) -> Tool:
    """Return a tool by its kind, a key of ``TOOLS``."""
    require_in("kind of tool", kind, TOOLS)
    return TOOLS[kind]


# what each slip comes to


def _micrometer(tool: Tool, reading: float) -> Iterator[tuple[str, float]]:
    low, lines, thimble, fine = tool.parts(reading)
    base, odd = low + lines * tool.line, lines % 2 == 1
    if low > 0:
        yield "start of the range left out", reading - low
    if tool.inch:
        if lines % 4:
            yield "sleeve line missed", reading - tool.line
        yield "line counted that is only coming out", reading + tool.line
        if not lines % 4:
            yield "one sleeve line too few", reading - tool.line
    elif odd:
        yield "half line missed", reading - tool.line
        yield "line counted that is only coming out", reading + tool.line
    else:
        yield "half line counted that is not out", reading + tool.line
        yield "one sleeve line too few", reading - tool.line
    what = "sleeve number" if tool.inch else "whole millimeter"
    yield f"{what} too high", reading + tool.number
    yield f"{what} too low", reading - tool.number
    if tool.inch and lines % 4:
        yield "sleeve line given the wrong worth", reading - (lines % 4) * (tool.line - 0.01)
    yield "thimble one line high", reading + tool.thimble
    yield "thimble one line low", reading - tool.thimble
    if thimble:
        turn, rest = round(tool.line / tool.thimble), fine * tool.fine
        yield "thimble left out", base + rest
        yield "thimble counted the wrong way", base + (turn - thimble) * tool.thimble + rest
        yield "thimble in the wrong digit", base + 10 * thimble * tool.thimble + rest
    if tool.vernier and fine:
        thousandth = base + thimble * tool.thimble
        yield "vernier left out", thousandth
        yield "vernier read the other way", thousandth + (tool.vernier - fine) * tool.fine
        yield "vernier in the wrong digit", thousandth + 10 * fine * tool.fine


def _caliper(tool: Tool, reading: float) -> Iterator[tuple[str, float]]:
    _, lines, _, fine = tool.parts(reading)
    base = lines * tool.line
    if fine:
        yield "vernier left out", base
        yield "vernier read the other way", base + (tool.vernier - fine) * tool.fine
        yield "beam read at the line that meets", base + fine * tool.line
    missed = not tool.inch or lines % 4  # else the line before it has a number
    yield "beam line missed" if missed else "beam line too few", reading - tool.line
    yield "beam line too many", reading + tool.line
    for sign, way in ((1, "too high"), (-1, "too low")):
        yield f"beam number {way}", reading + sign * tool.number
        if tool.inch:
            yield f"inch number {way}", reading + sign * 1.0
    if tool.inch and lines % 4:
        yield "beam line given the wrong worth", reading - (lines % 4) * (tool.line - 0.01)
    if not tool.inch and fine:
        yield "vernier lines counted as tenths", base + 0.1 * fine
        shown = fine // 5  # the vernier's numbers are tenths of a millimeter, five lines each
        if shown and fine % 5:
            yield "vernier short lines left out", base + 0.1 * shown


def _zero_dropped(tool: Tool, reading: float) -> Iterator[tuple[str, float]]:
    before, after = f"{reading:.{tool.places}f}".split(".")
    for i, digit in enumerate(after):
        if digit == "0" and after[i + 1 :].strip("0"):
            yield "zero dropped", float(f"{before}.{after[:i]}{after[i + 1 :]}")


def _all_slips(tool: Tool, reading: float) -> Iterator[tuple[str, float]]:
    if tool.vernier:
        yield "vernier one line high", reading + tool.fine
        yield "vernier one line low", reading - tool.fine
    yield from (_micrometer if tool.name == "micrometer" else _caliper)(tool, reading)
    yield from _zero_dropped(tool, reading)
    yield from written_wrong(reading, length=True, inches=tool.inch).items()


@lru_cache(maxsize=4096)
def slips_at(kind: str, reading: float) -> tuple[tuple[str, float], ...]:
    """Return what each known slip makes of a reading: its name and its value.

    Parameters
    ----------
    kind : str
        A key of ``TOOLS``.
    reading : float
        The right reading, in the tool's own unit.

    Returns
    -------
    tuple of tuple
        No value twice and none that is right: of two slips that come to the same, the first.

    Examples
    --------
    >>> dict(slips_at("inch", 0.329))["sleeve line missed"]
    0.304
    """
    tool = tool_of(kind)
    kept: list[tuple[str, float]] = []
    for name, value in _all_slips(tool, reading):
        others = (reading, *(other for _, other in kept))
        if value >= 0 and all(abs(value - other) > 0.26 * tool.step for other in others):
            kept.append((name, round(value, 9)))
    return tuple(kept)


def slip_names(kind: str) -> tuple[str, ...]:
    """Return the names of the slips that a tool starting at 0 can show, those of writing apart."""
    tool = tool_of(kind)
    own = _micrometer if tool.name == "micrometer" else _caliper
    steps = round(min(tool.span, 3.0 if tool.inch else 75.0) / tool.step)
    names = {
        name: None
        for step in range(1, steps, steps // 60 | 1)
        for name, _ in own(tool, round(step * tool.step, tool.places))
    }
    # without a vernier a dropped zero always comes to the thimble in the wrong digit
    fine = ("vernier one line high", "vernier one line low", "zero dropped")
    return (*names, *(fine if tool.vernier else ()))


# judging


@dataclass(frozen=True, kw_only=True)
class ReadingVerdict:
    """Right or not, the slip where it is a known one, and what to say."""

    right: bool
    slip: str
    sentence: str
    readable: bool = True


_PARTS = (
    "beam right, vernier not",
    "beam not right",
    "sleeve not right",
    "sleeve and thimble right, vernier not",
    "sleeve right, thimble not",
)
_SAY = words_beside(__file__).sayings(
    *dict.fromkeys(name for kind in TOOLS for name in slip_names(kind)),
    *(name for one in TOOLS.values() for name in written_wrong(1.0, length=True, inches=one.inch)),
    *("start of the range left out", "zero dropped"),
    *UNIT_SLIP.values(),
    *_PARTS,
    places=TOOLS["inch"].places_filled,
)


def judge_reading(*, kind: str, reading: float, text: str) -> ReadingVerdict:
    """Judge what was typed against the reading that a tool shows.

    Parameters
    ----------
    kind : str
        A key of ``TOOLS``.
    reading : float
        The right reading, in the tool's own unit.
    text : str
        As typed, with or without a unit.

    Returns
    -------
    ReadingVerdict
        Right within half of the finest step; else the slip, and a sentence
        that does not give the reading.

    Examples
    --------
    >>> judge_reading(kind="inch", reading=0.329, text="0.329 in").right
    True
    >>> judge_reading(kind="inch caliper", reading=1.436, text="1.425").slip
    'vernier left out'
    """
    tool = tool_of(kind)
    try:
        typed = parse_quantity(text, dimension="length", default_unit=tool.unit, label="Reading")
    except EntryError as refused:
        return ReadingVerdict(right=False, slip="", sentence=str(refused), readable=False)
    value = from_internal(typed.value, dimension="length", unit=tool.unit)
    near = 0.5 * tool.step + 1e-7
    if abs(value - reading) < near:
        return ReadingVerdict(right=True, slip="", sentence="Right.")
    name = next(
        (name for name, wrong in slips_at(kind, reading) if abs(value - wrong) < 0.3 * tool.step),
        "",
    )
    if typed.unit in UNIT_SLIP and typed.unit != tool.unit and abs(typed.entered - reading) < near:
        name = UNIT_SLIP[tool.unit]
    said = _SAY(name or _part(tool, reading, value), **tool.places_filled)
    return ReadingVerdict(right=False, slip=name, sentence=said)


def _part(tool: Tool, reading: float, value: float) -> str:
    """Return which part of a reading to look at again, where no known slip fits."""
    low, lines, thimble, _ = tool.parts(reading)
    start = low + lines * tool.line
    inside = start - 1e-9 <= value < start + tool.line - 1e-9
    if tool.name == "caliper":
        return "beam right, vernier not" if inside else "beam not right"
    if not inside:
        return "sleeve not right"
    if tool.vernier and abs(value - start - thimble * tool.thimble) < tool.thimble:
        return "sleeve and thimble right, vernier not"
    return "sleeve right, thimble not"


# worked lines


def worked_reading(kind: str, reading: float) -> tuple[WorkedLine, ...]:
    """Return how a reading is put together, line by line."""
    tool = tool_of(kind)
    low, lines, thimble, fine = tool.parts(reading)
    unit, places = tool.unit, 3 if tool.inch else 2
    done: list[WorkedLine] = []
    total = low

    def add(why: str, formula: str, numbers: str, more: float, decimals: int) -> None:
        nonlocal total
        before = f"{total:.{places}f} {unit} + " if total or done else ""
        total += more
        done.append(
            WorkedLine(
                why=why,
                formula=f"so far + {formula}" if before else formula,
                numbers=f"{before}{numbers}",
                result=f"{total:.{decimals}f} {unit}",
            )
        )

    if low:
        done.append(
            WorkedLine(
                why="The frame says where the range starts. All the rest comes on top of that.",
                formula="start of the range",
                numbers=f"{low:.{places}f} {unit}",
                result=f"{low:.{places}f} {unit}",
            )
        )
    if tool.name == "caliper":
        why = "The beam first: what the vernier's 0 has passed, not the edge of the jaw."
        if tool.inch:
            numbers = f"{lines // 40} × 1 in + {lines // 4 % 10} × 0.1 in + {lines % 4} × 0.025 in"
            formula = "inches × 1 in + small numbers × 0.1 in + lines × 0.025 in"
        else:
            numbers, formula = f"{lines} × 1 mm", "lines that the 0 has passed × 1 mm"
        add(why, formula, numbers, lines * tool.line, places)
    elif tool.inch:
        add(
            "The sleeve first: the last number that is out, and the lines after it.",
            "number × 0.100 in + lines × 0.025 in",
            f"{lines // 4} × 0.100 in + {lines % 4} × 0.025 in",
            lines * tool.line,
            places,
        )
    else:
        add(
            "Whole millimeters above the index line, then the half line below it: is it out?",
            "whole lines × 1 mm + half line × 0.5 mm",
            f"{lines // 2} × 1 mm + {lines % 2} × 0.5 mm",
            lines * tool.line,
            places,
        )
    if tool.thimble:
        reached = "has passed" if tool.vernier else "has reached"
        add(
            f"Then the thimble: the last line that the index line {reached}."
            if tool.inch
            else "Then the thimble: the line at the index line.",
            f"thimble line × {tool.places_filled['step']}",
            f"{thimble} × {tool.places_filled['step']}",
            thimble * tool.thimble,
            places,
        )
    if tool.vernier:
        scale = "thimble" if tool.thimble else "beam"
        add(
            f"{'Last' if tool.thimble else 'Then'} the vernier: the one line that meets a line "
            f"of the {scale}.",
            f"vernier line × {tool.places_filled['fine']}",
            f"{fine} × {tool.places_filled['fine']}",
            fine * tool.fine,
            tool.places,
        )
    return tuple(done)
