"""The opening along the slot: readings, fitted line and band, and the standard slope.

Height is drawn much enlarged against length; the mouth is on the left.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    INK,
    LARGE,
    MUTED,
    OCHRE,
    SHADE,
    SMALL,
    TEAL,
    TEXT,
    VERMILION,
    WASH,
    Picture,
    Point,
    Sheet,
)
from coursework.ink.look import light
from coursework.ink.shop import INCH, ShopUnits
from taperkey.checks import require_positive, sentence
from taperkey.counts import counted

__all__ = ["draw_profile"]

_LEFT, _RIGHT = 92.0, 668.0
_BAND = light("band")


def draw_profile(
    *,
    stations_in: Sequence[float],
    heights_in: Sequence[float],
    length_in: float,
    line_mouth_in: float | None = None,
    line_taper_in_per_in: float | None = None,
    band_at_in: Sequence[float] = (),
    band_half_in: Sequence[float] = (),
    standard_in_per_in: float | None = 1 / 96,
    standard_name: str = "1:96",
    true_mouth_in: float | None = None,
    true_taper_in_per_in: float | None = None,
    units: ShopUnits = INCH,
) -> Picture:
    """Draw heights of the opening along the slot.

    Parameters
    ----------
    stations_in, heights_in : sequence of float
        Readings; distance from the mouth and height [in].
    length_in : float
        Length of the slot [in].
    line_mouth_in, line_taper_in_per_in : float, optional
        Fitted line: height at the mouth and taper, positive when it gets lower inward.
    band_at_in, band_half_in : sequence of float
        Where the band is known, and half its height there [in].
    standard_in_per_in : float, optional
        Slope to compare with, drawn through the middle of the readings; None for none.
    standard_name : str
        What that slope is called.
    true_mouth_in, true_taper_in_per_in : float, optional
        The hidden line, to show at the end.
    units : ShopUnits
        How lengths are written.

    Returns
    -------
    Picture
        The drawing and the same in words.
    """
    require_positive("length of the slot", length_in, "in")
    if len(stations_in) != len(heights_in):
        raise ValueError(
            sentence(
                "number of heights",
                len(heights_in),
                "",
                f"the number of stations, {len(stations_in)}",
            )
        )
    if len(stations_in) == 0:
        sheet = Sheet(height=120)
        sheet.text(350, 64, "No readings yet.", anchor="middle", size=LARGE, ink=MUTED)
        return sheet.picture("Opening along the slot: no readings yet.")
    line = (
        (line_mouth_in, line_taper_in_per_in)
        if line_mouth_in is not None and line_taper_in_per_in is not None
        else None
    )
    truth = (
        (true_mouth_in, true_taper_in_per_in)
        if true_mouth_in is not None and true_taper_in_per_in is not None
        else None
    )
    by = units.per_in  # from here on all lengths are in what the shop writes
    line, truth = ((one[0] * by, one[1]) if one else None for one in (line, truth))
    points = [(x * by, h * by) for x, h in zip(stations_in, heights_in, strict=True)]
    band = [(x * by, half * by) for x, half in zip(band_at_in, band_half_in, strict=True)]
    band = band if line else []
    length = length_in * by
    middle_x = sum(x for x, _ in points) / len(points)
    middle_h = sum(h for _, h in points) / len(points)
    standard = (
        (middle_h + standard_in_per_in * middle_x, standard_in_per_in)
        if standard_in_per_in is not None
        else None
    )
    sheet = Sheet(height=560)
    sheet.text(14, 28, "Opening along the slot", size=LARGE, bold=True)
    lines = [one for one in (line, standard, truth) if one is not None]
    ends = [mouth - t * x for mouth, t in lines for x in (0.0, length)]
    heights = _Frame(
        values=[h for _, h in points] + ends,
        length=length,
        top=62.0,
        bottom=222.0,
        unit=1.0,
        least=0.002 * by,
    )
    heights.axes(sheet, f"height, {units.unit}", f".{units.places - 1}f")
    _draw_lines(sheet, heights, points, line, [], standard, truth)
    # below: the same with the comparison slope taken off, in a finer unit
    base = standard or line or (middle_h, 0.0)

    def off(pair: tuple[float, float]) -> tuple[float, float]:
        return pair[0] - base[0], pair[1] - base[1]

    left = [(x, h - base[0] + base[1] * x) for x, h in points]
    shifted = [off(one) if one else None for one in (line, standard, truth)]
    seen = [h for _, h in left]
    for one in shifted:
        if one:
            seen += [one[0], one[0] - one[1] * length]
    if shifted[0]:
        seen += [
            shifted[0][0] - shifted[0][1] * x + sign * half for x, half in band for sign in (1, -1)
        ]
    metric = units.unit == "mm"
    small = 0.01 if metric else 0.001
    rest = _Frame(values=seen, length=length, top=286.0, bottom=470.0, unit=small, least=0.002 * by)
    name = standard_name if standard else "the line" if line else "the mean"
    counted = "hundredths of a mm" if metric else "thousandths"
    sheet.text(14, 276, f"Off {name}, in {counted}", size=TEXT, bold=True)
    sheet.text(
        686,
        276,
        f"height drawn {rest.enlarged:.0f} times enlarged",
        size=SMALL,
        anchor="end",
        ink=MUTED,
    )
    rest.axes(sheet, f"{small:g} {units.unit}", "g")
    rest.distances(sheet, units.unit)
    _draw_lines(sheet, rest, left, shifted[0], band, shifted[1], shifted[2])
    slope = line[1] if line else None
    large = _large_end(slope)
    _legend(
        sheet,
        fitted=line is not None,
        band=len(band) > 1,
        standard=standard_name if standard else "",
        true=truth is not None,
    )
    if large:
        x = heights.at(0 if large == "mouth" else length, 0)[0]
        anchor = "start" if large == "mouth" else "end"
        sheet.text(x, 54, f"large end: {large}", anchor=anchor, bold=True, ink=TEAL)
    return sheet.picture(_words(points, slope, large, standard_name if standard else "", units))


def _draw_lines(
    sheet: Sheet,
    frame: _Frame,
    points: Sequence[Point],
    line: Point | None,
    band: Sequence[Point],
    standard: Point | None,
    truth: Point | None,
) -> None:
    """Draw band, lines (height at the mouth, taper) and readings into one frame."""
    if line and len(band) > 1:
        upper = [frame.at(x, line[0] - line[1] * x + half) for x, half in band]
        lower = [frame.at(x, line[0] - line[1] * x - half) for x, half in band]
        sheet.path([[*upper, *reversed(lower)]], fill=_BAND, ink=TEAL, weight=0.6, name="band")
    if standard:
        frame.slope(sheet, standard, ink=INK, weight=FINE, dash=(9, 5))
    if line:
        frame.slope(sheet, line, ink=TEAL, weight=HEAVY)
    if truth:
        frame.slope(sheet, truth, ink=VERMILION, weight=HEAVY, dash=(2, 5))
    for x, h in points:
        px, py = frame.at(x, h)
        sheet.circle(px, py, 4.6, fill=OCHRE, weight=1.2, name="reading")


class _Frame:
    """One panel: scales and axes. `unit` is what the upright axis counts in."""

    def __init__(
        self,
        *,
        values: Sequence[float],
        length: float,
        top: float,
        bottom: float,
        unit: float,
        least: float,
    ) -> None:
        low, high = min(values), max(values)
        spread = max(high - low, least)
        steps = [m * 10.0**e for e in range(-4, 1) for m in (1, 2, 5)]
        self.step = next((s for s in steps if spread / s <= 5), 5.0)
        self.low = math.floor(low / self.step - 0.12) * self.step
        self.high = math.ceil(high / self.step + 0.12) * self.step
        self.length, self.top, self.bottom, self.unit = length, top, bottom, unit
        self.per_x = (_RIGHT - _LEFT - 16) / length
        self.per_h = (bottom - top) / (self.high - self.low)

    @property
    def enlarged(self) -> float:
        """How much larger height is drawn than length."""
        return self.per_h / self.per_x

    def at(self, x_in: float, height_in: float) -> Point:
        """Return the place on the sheet."""
        return (_LEFT + 8 + x_in * self.per_x, self.bottom - (height_in - self.low) * self.per_h)

    def axes(self, sheet: Sheet, words: str, form: str) -> None:
        """Draw the box and the upright axis."""
        sheet.rect(
            _LEFT, self.top, _RIGHT - _LEFT, self.bottom - self.top, fill="#ffffff", weight=FINE
        )
        count = round((self.high - self.low) / self.step)
        for i in range(count + 1):
            height = self.low + i * self.step
            y = self.at(0, height)[1]
            if 0 < i < count:
                sheet.line(_LEFT, y, _RIGHT, y, ink=WASH, weight=FINE)
            shown = round(height / self.unit, 6) + 0.0
            sheet.text(_LEFT - 8, y + 5, f"{shown:{form}}", size=SMALL, anchor="end")
        sheet.text(20, (self.top + self.bottom) / 2, words, anchor="middle", turn_deg=-90)
        for i in range(math.floor(self.length / self._whole() + 1e-9) + 1):
            x = self.at(i * self._whole(), 0)[0]
            sheet.line(x, self.bottom, x, self.bottom + 6, weight=FINE)
            sheet.text(x, self.bottom + 21, f"{i * self._whole():g}", size=SMALL, anchor="middle")

    def _whole(self) -> float:
        return next(
            s
            for s in (0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 25.0, 50.0, 100.0)
            if self.length / s <= 10.5
        )

    def distances(self, sheet: Sheet, unit: str) -> None:
        """Name the level axis and its two ends."""
        y = self.bottom + 42
        sheet.text(_LEFT, y, "mouth", bold=True)
        sheet.text((_LEFT + _RIGHT) / 2, y, f"distance from the mouth, {unit}", anchor="middle")
        sheet.text(_RIGHT, y, "far end", anchor="end", bold=True)

    def slope(
        self,
        sheet: Sheet,
        pair: Point,
        *,
        ink: str,
        weight: float,
        dash: Sequence[float] | None = None,
    ) -> None:
        """Draw a line given by its height at the mouth and its taper."""
        a = self.at(0, pair[0])
        b = self.at(self.length, pair[0] - pair[1] * self.length)
        sheet.line(*a, *b, ink=ink, weight=weight, dash=dash)


def _large_end(taper: float | None) -> str:
    if taper is None or abs(taper) < 1e-6:
        return ""
    return "mouth" if taper > 0 else "far end"


def _legend(sheet: Sheet, *, fitted: bool, band: bool, standard: str, true: bool) -> None:
    y = 544.0
    x = 24.0
    sheet.circle(x + 8, y - 5, 4.6, fill=OCHRE, weight=1.2)
    sheet.text(x + 22, y, "reading", size=SMALL)
    x += 102
    if fitted:
        if band:
            sheet.rect(x, y - 13, 30, 16, fill=_BAND, ink=TEAL, weight=0.6)
        sheet.line(x, y - 5, x + 30, y - 5, ink=TEAL, weight=HEAVY)
        sheet.text(x + 38, y, "line and band" if band else "line", size=SMALL)
        x += 170
    if standard:
        sheet.line(x, y - 5, x + 30, y - 5, weight=FINE, dash=(9, 5))
        sheet.text(x + 38, y, f"slope {standard}", size=SMALL)
        x += 156
    if true:
        sheet.line(x, y - 5, x + 30, y - 5, ink=VERMILION, weight=HEAVY, dash=(2, 5))
        sheet.text(x + 38, y, "what was hidden", size=SMALL)
    sheet.line(14, 524, 686, 524, ink=SHADE, weight=0.6)


def _words(
    points: Sequence[Point], slope: float | None, large: str, standard: str, units: ShopUnits
) -> str:
    by_place: dict[float, list[float]] = {}
    for x, h in points:
        by_place.setdefault(round(x, 4), []).append(h)
    listed = "; ".join(
        f"{sum(group) / len(group):.{units.places}f} {units.unit} at {round(x, 2):g} {units.unit}"
        for x, group in sorted(by_place.items())
    )
    said = f"Opening along the slot, {counted(len(points), 'reading')}. Mean heights: {listed}."
    if slope is None:
        return said
    beside = f" A slope of {standard} is drawn beside it." if standard else ""
    return (
        f"{said} The fitted line has a taper of {units.taper(slope)}; "
        f"{f'the large end is the {large}' if large else 'neither end is large'}.{beside}"
    )
