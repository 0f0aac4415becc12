"""A small curve on a sheet: axes with their ends, lines, and points of a check."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    INK,
    MEDIUM,
    MUTED,
    SMALL,
    TEAL,
    TEXT,
    VERMILION,
    Point,
    Sheet,
)

__all__ = ["Panel", "draw_panel"]


@dataclass(frozen=True, kw_only=True)
class Panel:
    """What one small curve shows.

    Attributes
    ----------
    title : str
        Over it.
    across, up : str
        What is along the two axes, with units.
    most : tuple of float
        Ends of the two axes, above 0.
    ends : tuple of str
        How these ends are written.
    lines : sequence of sequence of tuple
        Curves, each of points.
    points : sequence of tuple
        Points that are checked against.
    """

    title: str
    across: str
    up: str
    most: tuple[float, float]
    ends: tuple[str, str]
    lines: Sequence[Sequence[Point]]
    points: Sequence[Point] = ()


def draw_panel(
    sheet: Sheet, panel: Panel, *, x: float, y: float, width: float, height: float
) -> None:
    """Draw a small curve with its lower left corner at a place of the sheet.

    Parameters
    ----------
    sheet : Sheet
        To draw on.
    panel : Panel
        What is shown.
    x, y : float
        Lower left corner of its axes.
    width, height : float
        Of its axes.
    """

    def place(point: Point) -> Point:
        return x + width * point[0] / panel.most[0], y - height * point[1] / panel.most[1]

    sheet.text(x, y - height - 28, panel.title, size=TEXT, bold=True)
    sheet.text(
        x, y - height - 8, f"{panel.up}, to {panel.ends[1]}", size=SMALL, ink=MUTED, name="scale"
    )
    sheet.line(x, y, x + width, y, weight=MEDIUM)
    sheet.line(x, y, x, y - height, weight=MEDIUM)
    sheet.text(
        x, y + 18, f"{panel.across}, to {panel.ends[0]}", size=SMALL, ink=MUTED, name="scale"
    )
    for number, line in enumerate(panel.lines):
        ink = TEAL if number == 0 else VERMILION
        dash = None if number == 0 else (7, 4)
        sheet.path([[place(one) for one in line]], closed=False, ink=ink, weight=HEAVY, dash=dash)
    for one in panel.points:
        sheet.circle(*place(one), 5, fill=VERMILION, ink=INK, weight=FINE)
