"""The key on the job sheet: both views side by side, letters of 11 points, with tolerances."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from coursework.ink.drawing import (
    HEAVY,
    MEDIUM,
    STEEL_LIGHT,
    TEXT,
    Picture,
    Point,
    Sheet,
    arc_points,
)
from keycourse.key.keydrawing import TappedHole
from keycourse.whole.job_key import KeyFigures
from taperkey import practice
from taperkey.tables.reader import row_between
from taperkey.tables.stock import key_tolerance
from taperkey.units import MM_PER_IN, fraction_text

__all__ = ["Tolerances", "sheet_drawing", "tolerances_of"]

_LEFT, _RIGHT, _FOOT = 136.0, 400.0, 162.0  # of the side view
_MIDDLE = 588.0  # of the end view
_THIN, _HIDDEN = 0.9, (7, 4)
System = Literal["inch", "metric"]


@dataclass(frozen=True, kw_only=True)
class Tolerances:
    """What the cut key may be off, in the shop's own unit, as it is written.

    Attributes
    ----------
    height, width, length : str
        Such as "+.005 −0".
    taper : str
        What the difference of the two heights may be off.
    source : str
        Where they come from.
    """

    height: str
    width: str
    length: str
    taper: str
    source: str


def _bare(value: float) -> str:
    return f"{value:.4f}".rstrip("0").lstrip("0")


def tolerances_of(*, key: KeyFigures, system: System) -> Tolerances:
    """Return the tolerances of the cut key.

    Parameters
    ----------
    key : KeyFigures
        The key.
    system : str
        "inch" or "metric".

    Returns
    -------
    Tolerances
        A height may only be over: what is over is filed off, what is under is scrap.
    """
    if system == "metric":
        width = row_between(
            table="metric_key_tolerances",
            value=round(key.hub_width_in * MM_PER_IN, 6),
            what="key width",
            unit="mm",
            next_step="Enter the width in millimeters.",
        )
        return Tolerances(
            height=f"+{practice.metric('blank_height'):g} −0",
            width=f"+0 −{-width['lower_mm']:g}",
            length=f"±{practice.metric('blank_length'):g}",
            taper=f"±{practice.metric('blank_taper'):g} mm",
            source="width: h9 of ISO 286-2; the rest: common practice",
        )
    row = key_tolerance(kind="taper key", form="square", width_in=key.hub_width_in)
    return Tolerances(
        height=f"+{_bare(row.height_upper_in)} −0",
        width=f"+{_bare(row.width_upper_in)} −0",
        length=f"±{fraction_text(practice.value('blank_length')).removesuffix(' in')}",
        taper=f"±{_bare(practice.value('blank_taper'))} in",
        source="width and height: ASME B17.1 for taper keys; the rest: common practice",
    )


def sheet_drawing(*, key: KeyFigures, tapped: TappedHole | None, system: System) -> Picture:
    """Draw the blank as it is cut, both views side by side.

    Parameters
    ----------
    key : KeyFigures
        The key.
    tapped : TappedHole or None
        Hole in the large end.
    system : str
        "inch" or "metric".

    Returns
    -------
    Picture
        700 units wide: over the whole width of a sheet its letters have 11 points.
    """
    sheet = Sheet(height=230)
    may = tolerances_of(key=key, system=system)
    _side(sheet, key, tapped, may, system)
    _end(sheet, key, tapped, may, system)
    unit = "millimeters" if system == "metric" else "inches"
    sheet.text(14, 18, f"Blank, before fitting; {unit}", size=TEXT, bold=True)
    blank = key.blank
    return sheet.picture(
        f"The blank: {_fine(blank.large_end_height_in, system)} high at the large end,"
        f" {_fine(blank.small_end_height_in, system)} at the small end,"
        f" {_long(blank.length_in, system)} long, {_fine(key.hub_width_in, system)} wide, in"
        f" {unit}. Height {may.height}, width {may.width}, length {may.length}."
    )


def _fine(value_in: float, system: System) -> str:
    return f"{value_in * MM_PER_IN:.2f}" if system == "metric" else f"{value_in:.4f}"


def _long(value_in: float, system: System) -> str:
    return f"{value_in * MM_PER_IN:.1f}" if system == "metric" else f"{value_in:.2f}"


def _edge(value_in: float, system: System) -> str:
    if system == "metric":
        return f"{value_in * MM_PER_IN:.1f}"
    return fraction_text(value_in).removesuffix(" in")


def _side(
    sheet: Sheet, key: KeyFigures, tapped: TappedHole | None, may: Tolerances, system: System
) -> None:
    blank = key.blank
    per_in = min((_RIGHT - _LEFT) / blank.length_in, 100.0 / blank.large_end_height_in)
    long = blank.length_in * per_in
    left = _LEFT + (_RIGHT - _LEFT - long) / 2
    right = left + long
    high, low = (
        _FOOT - one * per_in for one in (blank.large_end_height_in, blank.small_end_height_in)
    )
    outline: list[Point] = [(left, _FOOT), (left, high), (right, low), (right, _FOOT)]
    sheet.path([outline], fill=STEEL_LIGHT, weight=HEAVY, name="key")
    ease = key.chamfer_in * per_in
    if ease >= 2.5:
        sheet.line(left, high + ease, right, low + ease, weight=_THIN)
        sheet.line(left, _FOOT - ease, right, _FOOT - ease, weight=_THIN)
    if key.stepped is not None:
        at = _FOOT - key.stepped.shaft_portion_height_in * per_in
        sheet.line(left, at, right, at, weight=MEDIUM, name="step")
    if tapped is not None:
        middle = (_FOOT + high) / 2
        for half, weight in ((tapped.diameter_in / 2, _THIN), (tapped.core_in / 2, MEDIUM)):
            for side in (-half * per_in, half * per_in):
                deep = left + tapped.depth_in * per_in
                sheet.line(left, middle + side, deep, middle + side, weight=weight, dash=_HIDDEN)
        sheet.centre_line(left - 8, middle, left + tapped.depth_in * per_in + 12, middle)
    for large in (True, False):
        x, roof = (left, high) if large else (right, low)
        value = blank.large_end_height_in if large else blank.small_end_height_in
        anchor, at = ("end", left - 40) if large else ("start", right + 26)
        middle = (_FOOT + roof) / 2
        sheet.dimension(
            (x, _FOOT), (x, roof), at=at, words=_fine(value, system), anchor=anchor,
            text_at=middle - 9,
        )  # fmt: skip
        sheet.text(at + (-8 if large else 8), middle + 16, may.height, anchor=anchor)
    words = f"{_long(blank.length_in, system)} {may.length}"
    sheet.dimension((left, _FOOT), (right, _FOOT), at=_FOOT + 36, words=words, upright=False)
    sheet.text(left, high - 12, "LARGE END", bold=True)
    taper = (blank.large_end_height_in - blank.small_end_height_in) / blank.length_in
    rise = blank.large_end_height_in - blank.small_end_height_in
    sheet.text(
        _LEFT - 120,
        _FOOT + 58,
        f"Taper 1:{1 / taper:.4g}: the ends differ by {_fine(rise, system)} {may.taper}",
    )


def _end(
    sheet: Sheet, key: KeyFigures, tapped: TappedHole | None, may: Tolerances, system: System
) -> None:
    tall = key.blank.large_end_height_in
    widest = max(key.hub_width_in, key.shaft_width_in)
    per_in = min(96.0 / widest, 96.0 / tall)
    top = _FOOT - tall * per_in
    hub, shaft = key.hub_width_in * per_in / 2, key.shaft_width_in * per_in / 2
    step = _FOOT - (tall / 2 if key.stepped is None else key.stepped.shaft_portion_height_in) * (
        per_in
    )
    ease = key.chamfer_in * per_in
    right = [
        (hub - ease, top), (hub, top + ease), (hub, step),
        (shaft, step), (shaft, _FOOT - ease), (shaft - ease, _FOOT),
    ]  # fmt: skip
    outline: list[Point] = [(_MIDDLE + x, y) for x, y in right]
    outline += [(_MIDDLE - x, y) for x, y in reversed(right)]
    sheet.path([outline], fill=STEEL_LIGHT, weight=HEAVY, name="end")
    if tapped is not None:
        center, core = (top + _FOOT) / 2, tapped.core_in * per_in / 2
        major = tapped.diameter_in * per_in / 2
        sheet.circle(_MIDDLE, center, core, weight=HEAVY, fill="#ffffff", name="hole")
        arc = arc_points(cx=_MIDDLE, cy=center, radius=major, start=0.1, end=1.5 * math.pi - 0.1)
        sheet.path([arc], weight=_THIN, closed=False)
        words = f"{tapped.name}, {_long(tapped.depth_in, system)} deep"
        sheet.text(686, 18, words, anchor="end")
        sheet.line(640, 24, _MIDDLE + core * 0.7, center - core * 0.7, weight=_THIN)
    if key.stepped is not None:
        hub_words = f"hub {_fine(key.hub_width_in, system)} {may.width}"
        sheet.dimension(
            (_MIDDLE - hub, top), (_MIDDLE + hub, top), at=top - 12, words=hub_words, upright=False
        )
        portion = _fine(key.stepped.shaft_portion_height_in, system)
        sheet.dimension(
            (_MIDDLE + shaft, _FOOT), (_MIDDLE + min(hub, shaft), step),
            at=_MIDDLE + widest * per_in / 2 + 12, words=portion,
        )  # fmt: skip
    wide = f"{_fine(key.shaft_width_in, system)} {may.width}"
    sheet.dimension(
        (_MIDDLE - shaft, _FOOT), (_MIDDLE + shaft, _FOOT), at=_FOOT + 36,
        words=f"shaft {wide}" if key.stepped is not None else wide, upright=False,
    )  # fmt: skip
    edges = f"long edges {_edge(key.chamfer_in, system)} × 45°"
    sheet.text(686, _FOOT + 58, edges, anchor="end")
