"""The two planes in which a gauge can lean in a slot: along it and across it."""

from __future__ import annotations

import math

from coursework.ink.drawing import (
    HEAVY,
    LARGE,
    MUTED,
    SHADE,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    VERMILION,
    Picture,
    Point,
    Sheet,
)
from coursework.ink.shop import INCH, ShopUnits
from taperkey.checks import require_range
from taperkey.formulas.measure import tilted_span_in
from taperkey.units import MM_PER_IN

__all__ = ["draw_two_leans"]

_TOP, _BOTTOM = 110.0, 250.0  # floor and roof of the slot


def draw_two_leans(*, lean_deg: float = 5.0, units: ShopUnits = INCH) -> Picture:
    """Draw a telescoping gauge leaning along the slot, and one leaning across it.

    Parameters
    ----------
    lean_deg : float
        The lean whose cost is written, 0 to 30 [deg]; it is drawn three times as large.
    units : ShopUnits
        Unit of the numbers.
    """
    require_range("lean", lean_deg, 0.0, 30.0, "deg")
    height_in = 25.0 / MM_PER_IN if units.metric else 1.0
    span_in = float(tilted_span_in(height_in=height_in, tilt_rad=math.radians(lean_deg)))
    adds = units.small(span_in - height_in)
    drawn = math.radians(min(3 * lean_deg, 30.0))
    sheet = Sheet(height=350)
    _along(sheet, drawn)
    _across(sheet, drawn)
    sheet.text(
        360, 316, f"{lean_deg:g}° adds up to {adds} to {units.distance(height_in)}, either plane",
        anchor="middle", bold=True, ink=VERMILION,
    )  # fmt: skip
    sheet.text(14, 340, f"lean drawn × {math.degrees(drawn) / lean_deg:.0f}" if lean_deg else "",
               size=SMALL, ink=MUTED)  # fmt: skip
    return sheet.picture(
        "A telescoping gauge in the slot, from the side and from the mouth. From the side it leans "
        "along the slot: the handle is too high. From the mouth it leans across the slot: the "
        f"handle is rolled. Either lean of {lean_deg:g} degrees adds up to "
        f"{adds} to {units.distance(height_in)}."
    )


def _head(sheet: Sheet, x: float, lean: float) -> None:
    """Draw the head of the gauge from floor to roof, leaning."""
    middle = (_TOP + _BOTTOM) / 2
    half = (_BOTTOM - _TOP) / 2 / math.cos(lean)

    def at(along: float, aside: float) -> Point:
        return (
            x + along * math.sin(lean) + aside * math.cos(lean),
            middle - along * math.cos(lean) + aside * math.sin(lean),
        )

    for sign in (1, -1):
        end = sign * (half - 4)
        sheet.path(
            [[at(0, 10), at(end, 10), at(sign * half, 0), at(end, -10), at(0, -10)]],
            fill=STEEL_LIGHT,
        )
    body = half * 0.5
    sheet.path(
        [[at(body, 14), at(body, -14), at(-body, -14), at(-body, 14)]], fill=STEEL, weight=HEAVY
    )
    sheet.centre_line(x, _TOP + 4, x, _BOTTOM - 4)


def _along(sheet: Sheet, lean: float) -> None:
    sheet.text(14, 28, "Along the slot", size=LARGE, bold=True)
    sheet.text(14, 50, "seen from the side: the handle is too high", size=SMALL, ink=MUTED)
    left, right, x = 110.0, 340.0, 250.0
    for top, bottom, what in ((70.0, _TOP, "shaft"), (_BOTTOM, 286.0, "hub")):
        sheet.cut_metal(
            [[(left, top), (right, top), (right, bottom), (left, bottom)]], fill=STEEL_LIGHT
        )
        sheet.text(left + 36, (top + bottom) / 2 + 6, what, anchor="middle", halo=True)
    middle = (_TOP + _BOTTOM) / 2
    reach = x - 24
    drop = reach * math.tan(lean)
    back: Point = (x - reach, middle - drop)
    thick = 8.0
    sheet.path(
        [
            [
                (x - 14, middle - thick),
                (back[0], back[1] - thick),
                (back[0], back[1] + thick),
                (x - 14, middle + thick),
            ]
        ],
        fill=SHADE,
    )
    _head(sheet, x, lean)
    sheet.text(24, middle + 40, "handle", ink=MUTED)


def _across(sheet: Sheet, lean: float) -> None:
    sheet.text(400, 28, "Across the slot", size=LARGE, bold=True)
    sheet.text(400, 50, "seen from the mouth: the handle is rolled", size=SMALL, ink=MUTED)
    left, right = 440.0, 650.0
    outside = [(400.0, 70.0), (690.0, 70.0), (690.0, 286.0), (400.0, 286.0)]
    slot = [(left, _TOP), (right, _TOP), (right, _BOTTOM), (left, _BOTTOM)]
    sheet.cut_metal([outside, slot], fill=STEEL_LIGHT)
    x = (left + right) / 2
    _head(sheet, x, lean)
    sheet.circle(x, (_TOP + _BOTTOM) / 2, 9, fill=SHADE, weight=HEAVY)
