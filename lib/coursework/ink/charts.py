"""Charts for the class report, on the drawing sheet of the course."""

from __future__ import annotations

from collections.abc import Sequence

from coursework.ink.drawing import (
    FINE,
    INK,
    MEDIUM,
    MUTED,
    OCHRE,
    TEAL,
    WIDTH,
    Picture,
    Sheet,
)
from taperkey.checks import require_range
from taperkey.counts import counted

__all__ = ["draw_check_gains", "draw_marks_distribution"]

_WHITE = "#ffffff"
_RIGHT = WIDTH - 16.0  # where an axis of per cent ends
_LONGEST = 30  # letters of a name beside a chart
_LETTER = 8.6  # width of a letter of `TEXT` size, rather too much than too little


def draw_marks_distribution(marks_percent: Sequence[float]) -> Picture:
    """Draw how many apprentices came to each ten per cent of the marks.

    Parameters
    ----------
    marks_percent : sequence of float
        Total of each apprentice, 0 to 100 [%].
    """
    require_range("mark", marks_percent, 0.0, 100.0, "%")
    if not len(marks_percent):
        return _nothing("No marks yet.")
    counts = [0] * 10
    for mark in marks_percent:
        counts[min(9, int(mark // 10))] += 1
    left, top, foot = 34.0, 34.0, 238.0
    sheet = Sheet(height=foot + 62)
    per = (_RIGHT - left) / 100
    sheet.rect(left, 6, _RIGHT - left, foot - 6, fill=_WHITE, ink="none")
    for place, count in enumerate(counts):
        if count:
            tall = (foot - top) * count / max(counts)
            x = left + (10 * place + 0.4) * per
            sheet.rect(x, foot - tall, 9.2 * per, tall, fill=TEAL, weight=FINE)
            sheet.text(x + 4.6 * per, foot - tall - 6, f"{count}", anchor="middle")
    _axis(sheet, left, foot, "marks, per cent", step=10)
    sheet.text(20, (6 + foot) / 2, "apprentices", anchor="middle", turn_deg=-90)
    listed = ", ".join(
        f"{10 * i} to {10 * i + 10} per cent: {count}" for i, count in enumerate(counts) if count
    )
    return sheet.picture(f"Marks of {counted(len(marks_percent), 'apprentice')}. {listed}.")


def draw_check_gains(
    rows: Sequence[tuple[str, Sequence[float | None]]], times: Sequence[str]
) -> Picture:
    """Draw what share was right at each time, a line a skill: a sign a time, joined.

    Parameters
    ----------
    rows : sequence of (str, sequence of float or None)
        Each skill with its mean share at each time, 0 to 1; None where nobody did that form.
    times : sequence of str
        What the times are called, up to three.
    """
    if not rows:
        return _nothing("Nobody has done the check yet.")
    top, row = 40.0, 34.0
    left = 40.0 + _LETTER * max(len(_short(name)) for name, _ in rows)
    foot = top + row * len(rows)
    inset = 14.0  # a sign at 0 or 100 stands clear of the edge
    per = (_RIGHT - left - 2 * inset) / 100
    sheet = Sheet(height=foot + 62)
    sheet.rect(left, top, _RIGHT - left, foot - top, fill=_WHITE, ink="none")
    for percent in range(0, 101, 25):
        x = left + inset + percent * per
        sheet.line(x, top, x, foot, ink=MUTED, weight=0.4)
    for place, (name, shares) in enumerate(rows):
        y = top + row * (place + 0.5)
        sheet.text(left - 12, y + 5, _short(name), anchor="end")
        sheet.line(left - 6, y, left, y, ink=MUTED)
        there = [
            (when, left + inset + 100 * share * per)
            for when, share in enumerate(shares)
            if share is not None
        ]
        ends = [x for _, x in there]
        if ends:
            sheet.line(min(ends), y, max(ends), y, ink=MUTED)
        for when, x in there:
            _sign(sheet, when, x, y)
    sheet.line(left, top, left, foot, ink=MUTED)
    _axis(sheet, left, foot, "right, per cent", step=25, inset=inset)
    x = left
    for when, name in enumerate(times):
        _sign(sheet, when, x + 8, 20)
        sheet.text(x + 24, 25, name)
        x += 56 + _LETTER * len(name)
    said = "; ".join(
        f"{name}: "
        + ", ".join(
            f"{when} {100 * share:.0f} per cent"
            for when, share in zip(times, shares, strict=False)
            if share is not None
        )
        for name, shares in rows
    )
    return sheet.picture(f"What was right in the check, by skill. {said}.")


def _axis(
    sheet: Sheet, left: float, foot: float, words: str, *, step: int, inset: float = 0.0
) -> None:
    """Draw an axis of 0 to 100 per cent along the foot, with what it says beneath."""
    sheet.line(left, foot, _RIGHT, foot, ink=MUTED)
    per = (_RIGHT - left - 2 * inset) / 100
    for percent in range(0, 101, step):
        x = left + inset + percent * per
        sheet.line(x, foot, x, foot + 6, ink=MUTED)
        sheet.text(x, foot + 23, f"{percent}", anchor="middle")
    sheet.text((left + _RIGHT) / 2, foot + 50, words, anchor="middle")


def _sign(sheet: Sheet, when: int, x: float, y: float) -> None:
    """Draw the sign of the first, second or third time: told apart by filling and shape."""
    if when == 2:
        ring = [(x, y - 8.5), (x + 8.5, y), (x, y + 8.5), (x - 8.5, y)]
        sheet.path([ring], fill=OCHRE, weight=MEDIUM)
    else:
        sheet.circle(x, y, 6.5, fill=TEAL if when else _WHITE, weight=MEDIUM, ink=INK)


def _short(name: str) -> str:
    return name if len(name) <= _LONGEST else name[: _LONGEST - 1] + "…"


def _nothing(words: str) -> Picture:
    sheet = Sheet(height=80)
    sheet.text(WIDTH / 2, 45, words, anchor="middle", ink=MUTED)
    return sheet.picture(words)
