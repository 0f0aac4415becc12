"""Vernier caliper drawn so that it can be read: the whole, then the vernier enlarged.

Inch: beam lines 0.025 in apart, vernier of 25 divisions that span 24 of the
beam, so each is 0.001 in short. Metric: beam lines 1 mm apart, vernier of 50
divisions that span 49 mm, so each is 0.02 mm short. (Common practice.)
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    LARGE,
    MEDIUM,
    MUTED,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    TEXT,
    Picture,
    Sheet,
)
from taperkey.checks import require_in, require_range
from taperkey.counts import counted
from taperkey.units import MM_PER_IN

__all__ = ["CALIPER_KINDS", "draw_vernier_caliper"]


@dataclass(frozen=True)
class _Scale:
    unit: str
    beam: float  # beam division
    step: float  # what one vernier line is worth
    lines: int  # vernier divisions
    numbered: int  # every so many vernier lines a number
    longest: float

    @property
    def vernier(self) -> float:
        return self.beam - self.step


CALIPER_KINDS = {
    "inch": _Scale("in", 0.025, 0.001, 25, 5, 6.0),
    "metric": _Scale("mm", 1.0, 0.02, 50, 5, 150.0),
}


def draw_vernier_caliper(
    *, reading_in: float | None = None, reading_mm: float | None = None, kind: str = "inch"
) -> Picture:
    """Draw beam and vernier of a caliper at a reading.

    Parameters
    ----------
    reading_in, reading_mm : float
        The reading; give one, 0 to 6 in or 0 to 150 mm [in or mm].
    kind : str
        "inch" (0.001 in) or "metric" (0.02 mm).

    Returns
    -------
    Picture
        Whole vernier on top, its two halves enlarged below. The words say
        which lines show, never the reading.
    """
    require_in("kind of caliper", kind, CALIPER_KINDS)
    if (reading_in is None) == (reading_mm is None):
        raise ValueError("draw_vernier_caliper needs one reading, in inches or in millimeters.")
    scale = CALIPER_KINDS[kind]
    if kind == "metric":
        reading = reading_mm if reading_mm is not None else (reading_in or 0.0) * MM_PER_IN
    else:
        reading = reading_in if reading_in is not None else (reading_mm or 0.0) / MM_PER_IN
    require_range("caliper reading", reading, 0.0, scale.longest, scale.unit)
    sheet = Sheet(height=452)
    sheet.text(14, 28, "Vernier caliper", size=LARGE, bold=True)
    sheet.text(
        690,
        28,
        _steps(scale),
        size=SMALL,
        anchor="end",
        ink=MUTED,
    )
    span = scale.lines * scale.vernier
    lead = 6 * scale.beam if kind == "inch" else 11 * scale.beam
    room = 640 / (span + lead + 2 * scale.beam)
    _strip(sheet, scale, reading, low=reading - lead, per=room, top=44, whole=True, first=0)
    if kind == "inch" and (reading - math.floor(reading + 1e-9)) > 0.14:
        # the inch number that counts lies left of what is shown
        sheet.text(20, 50, f"◂ inch number {math.floor(reading + 1e-9)}", size=SMALL, bold=True)
    half = scale.lines // 2
    for row, first in enumerate((0, half)):
        low = reading + first * scale.vernier - 0.8 * scale.beam
        per = 650 / ((half + 2.4) * scale.beam)
        _strip(
            sheet, scale, reading, low=low, per=per, top=186 + 130 * row, whole=False, first=first
        )
    return sheet.picture(_words(scale, reading))


def _strip(
    sheet: Sheet,
    scale: _Scale,
    reading: float,
    *,
    low: float,
    per: float,
    top: float,
    whole: bool,
    first: int,
) -> None:
    left, right = 20.0, 680.0
    meet = top + 62.0

    def place(value: float) -> float:
        return left + 6 + (value - low) * per

    half = scale.lines // 2
    last = scale.lines if whole or first else half + 1
    if not whole:
        sheet.text(
            left, top + 6, f"Enlarged: vernier lines {first} to {last}", size=SMALL, ink=MUTED
        )
    sheet.rect(left, top + 12, right - left, meet - top - 12, fill=STEEL_LIGHT, weight=MEDIUM)
    start = place(reading) - 9 if first == 0 else left
    end = min(right, place(reading + last * scale.vernier) + 14)
    sheet.rect(start, meet, end - start, 48, fill=STEEL, weight=MEDIUM)
    inch = scale.unit == "in"
    row = "" if whole else "second" if first else "first"  # only the enlarged lines are named
    for line in range(
        max(0, math.ceil(low / scale.beam - 1e-9)), math.floor((low + 660 / per) / scale.beam) + 1
    ):
        x = place(line * scale.beam)
        if not left + 2 < x < right - 4:
            continue
        tall = line % (4 if inch else 10) == 0
        middle = line % (2 if inch else 5) == 0
        height = 26 if tall else 19 if middle else 13
        sheet.line(x, meet - height, x, meet, weight=1.2, name=row and f"beam-{row}-{line}")
        if tall and left + 12 < x < right - 12:
            if inch:
                inches, tenth = divmod(line // 4, 10)
                words = f"{tenth}" if tenth else f"{inches}"
                sheet.text(x, meet - 30, words, anchor="middle", bold=not tenth, size=TEXT)
            else:
                sheet.text(x, meet - 30, f"{line}", anchor="middle", size=TEXT)
    for line in range(first, last + 1):
        x = place(reading + line * scale.vernier)
        if x > right - 2:
            continue
        numbered = line % scale.numbered == 0
        sheet.line(
            x,
            meet,
            x,
            meet + (22 if numbered else 13),
            weight=1.2,
            name=row and f"vernier-{row}-{line}",
        )
        if numbered:
            shown = line if inch else line // 5
            sheet.text(x, meet + 39, f"{shown}", anchor="middle", size=TEXT)
    sheet.line(left, meet, right, meet, weight=FINE)
    if whole:
        sheet.line(start, meet, start, meet + 48, weight=HEAVY)


def _steps(scale: _Scale) -> str:
    return f"beam {scale.beam:g} {scale.unit} a line, vernier {scale.step:g} {scale.unit} a line"


def _words(scale: _Scale, reading: float) -> str:
    passed = math.floor(reading / scale.beam + 1e-6)
    line = round((reading - passed * scale.beam) / scale.step)
    if line == scale.lines:
        passed, line = passed + 1, 0
    if scale.unit == "in":
        tenths, after = divmod(passed, 4)
        inches, tenth = divmod(tenths, 10)
        beam = (
            f"The vernier's 0 has passed inch number {inches}, then small number {tenth}, "
            f"then {counted(after, 'short line')}."
        )
        met = f"Vernier line {line} meets a line of the beam."
    else:
        ten, after = divmod(passed, 10)
        beam = (
            f"The vernier's 0 has passed number {ten * 10} of the beam, "
            f"then {counted(after, 'line')}."
        )
        number, short = divmod(line, 5)
        met = (
            f"The vernier line that meets a line of the beam is number {number}"
            f"{f' and {short} short' if short else ''}."
        )
    return f"Vernier caliper: {_steps(scale)}. {beam} {met}"
