"""Caliper drill: a reading to draw, and what is wrong with the one that was typed.

Nothing here draws or shows anything. A wrong reading is held against the known
slips of reading a vernier caliper; the sentence names the slip and never the
reading.
"""

from __future__ import annotations

from dataclasses import dataclass

from coursework.draws import Draws
from coursework.words import words_beside
from keycourse.start.reading_drill import ReadingVerdict, judge_typed
from taperkey.checks import require_in

__all__ = ["CALIPER_DRILLS", "CaliperDrill", "judge_caliper", "new_caliper", "slips_of_caliper"]

WORDS = words_beside(__file__)


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
    what = "small number" if inch else "number"
    found: list[tuple[str, float, str]] = []

    def slip(name: str, value: float, said: str = "", **places: str) -> None:
        filled = {"step": fine, "each": each, "what": what} | places
        found.append((name, value, WORDS.say(said or name, **filled)))

    slip("vernier one line high", reading + one.vernier)
    slip("vernier one line low", reading - one.vernier)
    if line:
        slip("vernier left out", base)
        slip("vernier read the other way", base + (one.lines - line) * one.vernier)
        slip("beam read at the line that meets", base + line * one.beam)
    missed = not inch or passed % 4  # else the line before it has a number
    slip("beam line missed" if missed else "beam line too few", reading - one.beam)
    slip("beam line too many", reading + one.beam)
    for sign, way in ((1, "too high"), (-1, "too low")):
        slip(f"beam number {way}", reading + sign * one.number, "beam number out", way=way)
        if inch:
            slip(f"inch number {way}", reading + sign * 1.0, "inch number out", way=way)
    if inch and passed % 4:
        slip("beam line given the wrong worth", reading - (passed % 4) * (0.025 - 0.01))
    if not inch and line:
        slip("vernier lines counted as tenths", base + 0.1 * line)
        shown = line / 5  # the vernier's numbers are tenths of a millimeter, five lines each
        if shown >= 1 and line % 5:
            slip("vernier short lines left out", base + 0.1 * int(shown))
    slip("decimal point one place right", reading * 10.0)
    slip("decimal point one place left", reading * 0.1)
    for factor in (100.0, 0.01, 1000.0):
        slip("decimal point misplaced", reading * factor)
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
