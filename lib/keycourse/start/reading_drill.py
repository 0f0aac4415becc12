"""Reading drill: a reading to draw, and what is wrong with the one that was typed.

Nothing here draws or shows anything. A wrong reading is held against the known
slips of reading a micrometer; the sentence names the slip and never the reading.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from coursework.draws import Draws
from coursework.words import words_beside
from taperkey.checks import require_in
from taperkey.units import EntryError, from_internal, parse_quantity

__all__ = [
    "DRILL_KINDS",
    "DrillKind",
    "ReadingVerdict",
    "judge_reading",
    "judge_typed",
    "new_reading",
    "slips_of_reading",
]

WORDS = words_beside(__file__)


@dataclass(frozen=True, kw_only=True)
class DrillKind:
    """How one kind of micrometer is read; lengths in its own unit."""

    unit: str
    step: float
    places: int
    line: float  # sleeve line to sleeve line
    number: float  # sleeve number to sleeve number
    thimble: float
    range_length: float


DRILL_KINDS = {
    "inch": DrillKind(
        unit="in", step=0.001, places=3, line=0.025, number=0.1, thimble=0.001, range_length=1.0
    ),
    "inch-vernier": DrillKind(
        unit="in", step=0.0001, places=4, line=0.025, number=0.1, thimble=0.001, range_length=1.0
    ),
    "metric": DrillKind(
        unit="mm", step=0.01, places=2, line=0.5, number=5.0, thimble=0.01, range_length=25.0
    ),
}


@dataclass(frozen=True, kw_only=True)
class ReadingVerdict:
    """Right or not, the slip where it is a known one, and what to say."""

    right: bool
    slip: str
    sentence: str
    readable: bool = True


def new_reading(*, kind: str, seed: int | str, number: int) -> float:
    """Return the reading to draw next, in the tool's own unit, on its finest step.

    Some are ordinary, some have a sleeve line that is just coming out, some
    have a small number on the thimble, where a zero gets lost.

    Parameters
    ----------
    kind : str
        A key of ``DRILL_KINDS``.
    seed : int or str
        Same seed, same readings.
    number : int
        Which reading of the drill, from 1.

    Examples
    --------
    >>> 0.1 < new_reading(kind="inch", seed=1, number=1) < 2
    True
    """
    require_in("kind of micrometer", kind, DRILL_KINDS)
    one = DRILL_KINDS[kind]
    draws = Draws(f"{seed}:{kind}:{number}")
    low = one.range_length * draws.whole(low=0, high=1)
    lines = round(one.range_length / one.line)
    turn = round(one.line / one.thimble)  # thimble divisions
    line = draws.whole(low=max(2, lines // 12), high=lines - 2)
    sort = draws.uniform(low=0.0, high=1.0)
    if sort < 0.2:
        division = draws.whole(low=turn - 2, high=turn - 1)
    elif sort < 0.4:
        division = draws.whole(low=1, high=max(2, turn // 8))
    else:
        division = draws.whole(low=0, high=turn - 1)
    fine = draws.whole(low=0, high=9) if one.step < one.thimble else 0
    value = low + line * one.line + division * one.thimble + fine * one.step
    return round(value, one.places)


def slips_of_reading(*, kind: str, reading: float) -> list[tuple[str, float, str]]:
    """Return the known slips at a reading: name, what comes out, and the sentence.

    Parameters
    ----------
    kind : str
        A key of ``DRILL_KINDS``.
    reading : float
        The right reading, in the tool's own unit.
    """
    one = DRILL_KINDS[kind]
    low, lines, division, fine = _parts(one, reading)
    base = low + lines * one.line
    metric = kind == "metric"
    odd = lines % 2 == 1
    each = "0.5 mm" if metric else "0.025 in"
    step = "0.01 mm" if metric else "0.001 in"
    found: list[tuple[str, float, str]] = []

    def slip(name: str, value: float, said: str = "", **places: str) -> None:
        filled = {"step": step, "each": each} | places
        found.append((name, value, WORDS.say(said or name, **filled)))

    if low > 0:
        slip("start of the range left out", reading - low)
    if metric and odd:
        slip("half line missed", reading - 0.5)
    elif metric:
        slip("half line counted that is not out", reading + 0.5)
    elif lines % 4:
        slip("sleeve line missed", reading - 0.025)
    slip("line counted that is only coming out", reading + one.line)
    slip("one sleeve line too few", reading - one.line)
    whole = 1.0 if metric else one.number
    what = "whole millimeter" if metric else "number on the sleeve"
    for sign, way in ((1, "too high"), (-1, "too low")):
        slip(f"{what} {way}", reading + sign * whole, "sleeve number out", what=what, way=way)
    if not metric and lines % 4:
        slip("sleeve line given the wrong worth", reading - (lines % 4) * (0.025 - 0.01))
    slip("thimble one line high", reading + one.thimble)
    slip("thimble one line low", reading - one.thimble)
    turn = round(one.line / one.thimble)
    if division:
        slip("thimble left out", reading - division * one.thimble)
        slip(
            "thimble counted the wrong way",
            base + (turn - division) * one.thimble + fine * one.step,
        )
        slip("thimble in the wrong digit", base + 10 * division * one.thimble + fine * one.step)
    if one.step < one.thimble:
        thousandth = base + division * one.thimble
        slip("vernier left out", thousandth, step="0.0001 in")
        if fine:
            slip("vernier read the other way", thousandth + (10 - fine) * 0.0001)
        slip("vernier in the wrong digit", thousandth + fine * 0.001)
        slip("vernier one line high", reading + 0.0001, step="0.0001 in")
        slip("vernier one line low", reading - 0.0001, step="0.0001 in")
    for dropped in _zero_dropped(one, reading):
        slip("zero dropped", dropped)
    slip("decimal point one place right", reading * 10.0)
    slip("decimal point one place left", reading * 0.1)
    for factor in (100.0, 0.01, 1000.0):
        slip("decimal point misplaced", reading * factor)
    return [entry for entry in found if entry[1] >= 0 and abs(entry[1] - reading) > 0.51 * one.step]


def judge_reading(*, kind: str, reading: float, text: str) -> ReadingVerdict:
    """Judge what was typed against the reading that is drawn.

    Parameters
    ----------
    kind : str
        A key of ``DRILL_KINDS``.
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
    >>> judge_reading(kind="inch", reading=0.329, text="0.304").slip
    'sleeve line missed'
    """
    require_in("kind of micrometer", kind, DRILL_KINDS)
    one = DRILL_KINDS[kind]
    return judge_typed(
        text=text,
        unit=one.unit,
        step=one.step,
        reading=reading,
        slips=slips_of_reading(kind=kind, reading=reading),
        which_part=lambda value: _which_part(one, reading, value),
    )


def judge_typed(
    *,
    text: str,
    unit: str,
    step: float,
    reading: float,
    slips: Sequence[tuple[str, float, str]],
    which_part: Callable[[float], str],
) -> ReadingVerdict:
    """Judge what was typed as the reading of a tool.

    Parameters
    ----------
    text : str
        As typed, with or without a unit.
    unit : str
        The unit that the tool reads in.
    step, reading : float
        Its finest step and the right reading, in `unit`.
    slips : sequence of tuple
        Name, what comes out, and the sentence of each known slip.
    which_part : callable
        From a value that is no known slip, the sentence on where to look.

    Returns
    -------
    ReadingVerdict
        Right within half of the finest step.
    """
    try:
        typed = parse_quantity(text, dimension="length", default_unit=unit, label="reading")
    except EntryError as refused:
        return ReadingVerdict(right=False, slip="", sentence=str(refused), readable=False)
    value = from_internal(typed.value, dimension="length", unit=unit)
    near = 0.5 * step + 1e-7
    if abs(value - reading) < near:
        return ReadingVerdict(right=True, slip="", sentence="Right.")
    other = "mm" if unit == "in" else "in"
    if typed.unit == other and abs(typed.entered - reading) < near:
        name = f"{other} written behind the reading"
        return ReadingVerdict(right=False, slip=name, sentence=WORDS.say(name))
    for name, wrong, sentence in slips:
        if abs(value - wrong) < 0.3 * step:
            return ReadingVerdict(right=False, slip=name, sentence=sentence)
    return ReadingVerdict(right=False, slip="", sentence=which_part(value))


def _parts(one: DrillKind, reading: float) -> tuple[float, int, int, int]:
    """Return start of the range, sleeve lines, thimble lines, vernier line."""
    low = one.range_length * max(0, math.ceil(reading / one.range_length - 1e-9) - 1)
    steps = round((reading - low) / one.step)
    per_thimble = round(one.thimble / one.step)
    per_line = round(one.line / one.step)
    lines, rest = divmod(steps, per_line)
    division, fine = divmod(rest, per_thimble)
    return low, lines, division, fine


def _zero_dropped(one: DrillKind, reading: float) -> list[float]:
    before, after = f"{reading:.{one.places}f}".split(".")
    return [
        float(f"{before}.{after[:i]}{after[i + 1 :]}")
        for i, digit in enumerate(after)
        if digit == "0" and after[i + 1 :].strip("0")
    ]


def _which_part(one: DrillKind, reading: float, value: float) -> str:
    low, lines, division, _ = _parts(one, reading)
    start = low + lines * one.line
    if not start - 1e-9 <= value < start + one.line - 1e-9:
        return (
            "The sleeve part is not right. Start with the last number that stands clear of the "
            "thimble, then count the lines after it."
        )
    if one.step < one.thimble and abs(value - start - division * one.thimble) < one.thimble:
        return (
            "Sleeve and thimble are right; the vernier is not. Find the one vernier line that "
            "meets a thimble line."
        )
    return (
        "The sleeve part is right; the thimble part is not. Find the last thimble line that has "
        "reached the index line."
    )
