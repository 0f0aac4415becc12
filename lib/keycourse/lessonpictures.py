"""A small drawing for each lesson, as its card on the start page has it; no words in it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

from coursework.ink.drawing import (
    BEARING_BLUE,
    HEAVY,
    MUTED,
    OCHRE,
    STEEL,
    STEEL_LIGHT,
    TEAL,
    VERMILION,
    Picture,
    Sheet,
    arc_points,
    circle_points,
)
from coursework.ink.look import light

__all__ = ["LESSON_PICTURES"]

_WIDTH, _HEIGHT = 200.0, 104.0


def _sheet() -> Sheet:
    return Sheet(height=_HEIGHT, width=_WIDTH)


def _start() -> Picture:
    sheet = _sheet()
    cx, cy, hub, shaft = 100.0, 52.0, 46.0, 24.0
    rings = [circle_points(cx=cx, cy=cy, radius=r) for r in (hub, shaft)]
    sheet.cut_metal(rings, fill=STEEL_LIGHT, spacing=8)
    sheet.cut_metal([rings[1]], fill=STEEL, angle_deg=-45, spacing=8)
    sheet.rect(cx - 8, cy - shaft - 9, 16, 18, fill=OCHRE, weight=HEAVY)
    return sheet.picture("Hub, shaft and key, from the end.")


def _slot(sheet: Sheet, *, mouth: float, far: float) -> None:
    sheet.cut_metal([[(16, 8), (184, 8), (184, far), (16, mouth)]], spacing=8)
    sheet.cut_metal(
        [[(10, 82), (190, 82), (190, 98), (10, 98)]], fill=STEEL, angle_deg=-45, spacing=8
    )


def _measure() -> Picture:
    sheet = _sheet()
    _slot(sheet, mouth=22, far=36)
    for x in (44.0, 100.0, 156.0):
        top = 22 + 14 * (x - 16) / 168
        for low, high, half in ((top, 48.0, 4.0), (46.0, 62.0, 8.0), (60.0, 82.0, 6.0)):
            sheet.rect(x - half, low, 2 * half, high - low, fill=light("sheet"))
    return sheet.picture("Three gauges in a slot.")


def _taper() -> Picture:
    sheet = _sheet()
    sheet.path([[(30, 22), (186, 44), (186, 92)]], fill=light("band"), ink=TEAL, weight=1.0)
    sheet.line(30, 22, 186, 68, ink=TEAL, weight=HEAVY)
    sheet.line(24, 6, 24, 98)
    sheet.line(24, 98, 192, 98)
    for x in (30.0, 84.0, 138.0):
        sheet.circle(x, 22 + 46 * (x - 30) / 156, 5, fill=OCHRE)
    return sheet.picture("Readings, the line through them, and its band.")


def _key() -> Picture:
    sheet = _sheet()
    front = [(26, 34), (156, 48), (156, 84), (26, 84)]
    top = [(26, 34), (44, 20), (174, 36), (156, 48)]
    end = [(156, 48), (174, 36), (174, 74), (156, 84)]
    for ring in (front, top, end):
        sheet.path([ring], fill=OCHRE, weight=HEAVY)
    sheet.line(12, 34, 12, 84, ink=MUTED)
    sheet.line(26, 98, 156, 98, ink=MUTED)
    for x, y, dx, dy in ((12, 34, 0, -1), (12, 84, 0, 1), (26, 98, -1, 0), (156, 98, 1, 0)):
        sheet.arrowhead(x, y, dx, dy, ink=MUTED, length=8)
    return sheet.picture("A taper key with its sizes.")


def _fit() -> Picture:
    sheet = _sheet()
    sheet.rect(14, 30, 172, 46, fill=light("sheet"), weight=HEAVY)
    sheet.rect(14, 30, 24, 46, fill=BEARING_BLUE)
    for cx, cy, wide in ((84.0, 76.0, 30.0), (140.0, 30.0, 18.0)):
        turn = (0.0, math.pi) if cy > 50 else (math.pi, 2 * math.pi)
        sheet.path(
            [
                [
                    (cx + wide * (x - cx) / 20, y)
                    for x, y in arc_points(cx=cx, cy=cy, radius=20, start=turn[0], end=turn[1])
                ]
            ],
            fill=BEARING_BLUE,
        )
    sheet.line(38, 16, 38, 92, ink=VERMILION, weight=HEAVY, dash=(6, 4))
    return sheet.picture("A key's face with blue and bright steel.")


def _pull() -> Picture:
    sheet = _sheet()
    sheet.cut_metal([[(126, 10), (188, 10), (188, 50), (126, 42)]], spacing=8)
    sheet.path([[(112, 40), (188, 50), (188, 80), (112, 80)]], fill=OCHRE, weight=HEAVY)
    sheet.cut_metal(
        [[(112, 80), (192, 80), (192, 98), (112, 98)]], fill=STEEL, angle_deg=-45, spacing=8
    )
    sheet.rect(20, 55, 92, 8, fill=STEEL)
    sheet.rect(48, 40, 44, 38, fill=light("sheet"))
    sheet.rect(92, 24, 12, 70, fill=STEEL)
    sheet.rect(32, 46, 14, 26, fill=STEEL)
    sheet.arrow(64, 18, 26, 18, weight=4, length=14)
    return sheet.picture("A jack pulls a key out of its hub.")


def _whole() -> Picture:
    sheet = _sheet()
    sheet.rect(62, 4, 76, 96, fill=light("sheet"))
    for turn in range(5):
        y = 13 + 17 * turn
        sheet.rect(70, y, 11, 11)
        sheet.line(90, y + 6, 130, y + 6, ink=MUTED)
        if turn < 3:
            sheet.path([[(72, y + 5), (75, y + 9), (82, y - 1)]], closed=False, weight=HEAVY)
    return sheet.picture("A list of steps, three of five ticked.")


#: A drawing for each lesson, by the lesson's name.
LESSON_PICTURES: Mapping[str, Callable[[], Picture]] = MappingProxyType(
    {
        "00-start": _start,
        "01-measure": _measure,
        "02-taper": _taper,
        "03-key": _key,
        "04-fit": _fit,
        "05-pull": _pull,
        "06-whole-job": _whole,
    }
)
