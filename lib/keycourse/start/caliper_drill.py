"""Caliper drill: a reading to draw, and what is wrong with the one that was typed.

Nothing here draws or shows anything. A wrong reading is held against the known
slips of reading a vernier caliper; the sentence names the slip and never the
reading.
"""

from __future__ import annotations

from dataclasses import dataclass

from coursework.draws import Draws
from keycourse.start.reading_drill import ReadingVerdict, judge_typed
from taperkey.checks import require_in

__all__ = ["CALIPER_DRILLS", "CaliperDrill", "judge_caliper", "new_caliper", "slips_of_caliper"]


@dataclass(frozen=True, kw_only=True)
class CaliperDrill:
    """How one kind of caliper is read; lengths in its own unit."""

    unit: str
    beam: float  # beam line to beam line
    number: float  # small beam number to the next
    vernier: float  # what one vernier line is worth
    lines: int  # vernier lines
    places: int
    longest: float

    def parts(self, reading: float) -> tuple[int, int]:
        """Return beam lines that the vernier's 0 has passed, and the vernier line that meets."""
        passed, line = divmod(round(reading / self.vernier), self.lines)
        return passed, line


CALIPER_DRILLS = {
    "inch": CaliperDrill(
        unit="in", beam=0.025, number=0.1, vernier=0.001, lines=25, places=3, longest=6.0
    ),
    "metric": CaliperDrill(
        unit="mm", beam=1.0, number=10.0, vernier=0.02, lines=50, places=2, longest=150.0
    ),
}


def new_caliper(*, kind: str, seed: int | str, number: int) -> float:
    """Return the reading to draw next, in the tool's own unit, on its finest step.

    Parameters
    ----------
    kind : str
        A key of ``CALIPER_DRILLS``.
    seed : int or str
        Same seed, same readings.
    number : int
        Which reading of the drill, from 1.

    Examples
    --------
    >>> 0.3 < new_caliper(kind="inch", seed=1, number=1) < 5
    True
    """
    require_in("kind of caliper", kind, CALIPER_DRILLS)
    one = CALIPER_DRILLS[kind]
    draws = Draws(f"{seed}:caliper {kind}:{number}")
    most = round(0.8 * one.longest / one.beam)
    passed = draws.whole(low=round(0.06 * one.longest / one.beam), high=most)
    sort = draws.uniform(low=0.0, high=1.0)
    if sort < 0.25:  # the vernier's 0 stands close before a line, or just past it
        line = draws.whole(low=one.lines - 3, high=one.lines - 1)
    elif sort < 0.5:
        line = draws.whole(low=1, high=3)
    else:
        line = draws.whole(low=0, high=one.lines - 1)
    return round(passed * one.beam + line * one.vernier, one.places)


def slips_of_caliper(*, kind: str, reading: float) -> list[tuple[str, float, str]]:
    """Return the known slips at a reading: name, what comes out, and the sentence.

    Parameters
    ----------
    kind : str
        A key of ``CALIPER_DRILLS``.
    reading : float
        The right reading, in the tool's own unit.
    """
    require_in("kind of caliper", kind, CALIPER_DRILLS)
    one = CALIPER_DRILLS[kind]
    passed, line = one.parts(reading)
    base = passed * one.beam
    each, fine = f"{one.beam:g} {one.unit}", f"{one.vernier:g} {one.unit}"
    inch = kind == "inch"
    found: list[tuple[str, float, str]] = []

    def slip(name: str, value: float, sentence: str) -> None:
        found.append((name, value, sentence))

    for sign in (1, -1):
        slip(
            "vernier one line out",
            reading + sign * one.vernier,
            f"Nearly: you are one vernier line out ({fine}). Look straight at the lines, and "
            "compare the neighbours on both sides.",
        )
    if line:
        slip(
            "vernier left out",
            base,
            "The vernier is left out. Find the one vernier line that meets a beam line; each line "
            f"adds {fine}.",
        )
        slip(
            "vernier counted from the far end",
            base + (one.lines - line) * one.vernier,
            "The vernier was counted from its far end. Count from its 0.",
        )
        slip(
            "beam read at the line that meets",
            base + line * one.beam,
            "The beam was read where the lines meet. Read the beam at the vernier's 0, and only "
            "the vernier where the lines meet.",
        )
    slip(
        "beam line too few",
        reading - one.beam,
        f"You are one beam line short ({each}). Count every line that the vernier's 0 has passed.",
    )
    slip(
        "beam line too many",
        reading + one.beam,
        f"You counted one beam line too many ({each}). Only lines that the vernier's 0 has passed "
        "count, however near the next one is.",
    )
    what = "small number" if inch else "number"
    for sign, word in ((1, "too high"), (-1, "too low")):
        slip(
            f"beam number {word}",
            reading + sign * one.number,
            f"The {what} on the beam is one {word}. Take the last one that the vernier's 0 has "
            "passed.",
        )
        if inch:
            slip(
                f"inch number {word}",
                reading + sign * 1.0,
                f"The large number, the whole inch, is one {word}.",
            )
    if inch and passed % 4:
        slip(
            "beam line given the wrong worth",
            reading - (passed % 4) * (0.025 - 0.01),
            "The short beam lines were given the wrong worth. Four of them make 0.1 in, so each "
            "is 0.025 in.",
        )
    if not inch and line:
        shown = line / 5  # the vernier's numbers are tenths of a millimetre, five lines each
        slip(
            "vernier lines counted as tenths",
            base + 0.1 * line,
            "The vernier lines were counted as tenths. Its numbers are tenths of a millimetre; "
            "each line is 0.02 mm.",
        )
        if shown >= 1 and line % 5:
            slip(
                "vernier short lines left out",
                base + 0.1 * int(shown),
                "Only the vernier's number was taken. The short lines after it add 0.02 mm each.",
            )
    for factor in (10.0, 0.1, 100.0, 0.01, 1000.0):
        slip(
            "decimal point misplaced",
            reading * factor,
            "The digits are right, the decimal point is in the wrong place.",
        )
    return [
        slipped
        for slipped in found
        if slipped[1] >= 0 and abs(slipped[1] - reading) > 0.51 * one.vernier
    ]


def judge_caliper(*, kind: str, reading: float, text: str) -> ReadingVerdict:
    """Judge what was typed against the reading that is drawn.

    Parameters
    ----------
    kind : str
        A key of ``CALIPER_DRILLS``.
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
    >>> judge_caliper(kind="inch", reading=1.436, text="1.436 in").right
    True
    >>> judge_caliper(kind="inch", reading=1.436, text="1.425").slip
    'vernier left out'
    """
    require_in("kind of caliper", kind, CALIPER_DRILLS)
    one = CALIPER_DRILLS[kind]
    return judge_typed(
        text=text,
        tool="caliper",
        unit=one.unit,
        step=one.vernier,
        reading=reading,
        slips=slips_of_caliper(kind=kind, reading=reading),
        which_part=lambda value: _which_part(one, reading, value),
    )


def _which_part(one: CaliperDrill, reading: float, value: float) -> str:
    passed, _ = one.parts(reading)
    if passed * one.beam - 1e-9 <= value < (passed + 1) * one.beam - 1e-9:
        return (
            "The beam part is right; the vernier is not. Find the one vernier line that meets a "
            "line of the beam."
        )
    return (
        "The beam part is not right. Start with the last number that the vernier's 0 has "
        "passed, then count the lines after it."
    )
