"""A tool in the width of a slot: mouth at the left, a wall above and below.

What can be seen is drawn: the tool, how deep it reaches, a burr at the edge. The walls are drawn
straight; what is worn has to be measured.
"""

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
from taperkey.checks import require_positive, require_range

__all__ = ["draw_way_out", "draw_width"]


def draw_width(
    *,
    tool: str,
    which: str,
    station_in: float,
    length_in: float,
    width_in: float,
    lean_rad: float = 0.0,
    jaws: bool = False,
    reach_in: float = math.inf,
    burr: bool = False,
    units: ShopUnits = INCH,
) -> Picture:
    """Draw a tool between the walls of keyway or keyseat.

    Parameters
    ----------
    tool : str
        Name of the tool.
    which : {"keyway", "keyseat"}
        In the hub or in the shaft.
    station_in : float
        From the mouth [in].
    length_in, width_in : float
        Slot as a rule shows it [in].
    lean_rad : float
        Lean along the slot now [rad].
    jaws : bool
        Whether it has jaws that reach in from the mouth.
    reach_in : float
        How deep it reaches [in].
    burr : bool
        Whether a burr stands at the edge of the mouth.
    units : ShopUnits
        How lengths are written.
    """
    require_positive("length of the slot", length_in, "in")
    require_positive("width of the slot", width_in, "in")
    require_range("station", station_in, 0.0, length_in, "in")
    per = min(130.0 / width_in, 470.0 / length_in)
    wide, mouth = min(width_in * per, 130.0), 170.0
    end, top = mouth + length_in * per, 66.0
    upper, lower = top + 34.0, top + 34.0 + wide
    metal = "hub" if which == "keyway" else "shaft"
    fill, angle = (STEEL_LIGHT, 45.0) if which == "keyway" else (STEEL, -45.0)
    sheet = Sheet(height=lower + 76)
    sheet.text(14, 28, f"Width of the {which}", size=LARGE, bold=True)
    for y0, y1 in ((top, upper), (lower, lower + 34.0)):
        sheet.cut_metal([[(mouth, y0), (end, y0), (end, y1), (mouth, y1)]], fill=fill,
                        angle_deg=angle)  # fmt: skip
    sheet.text((mouth + end) / 2, upper - 10, f"wall, {metal}", anchor="middle", halo=True)
    sheet.text(mouth - 10, top - 4, "mouth", anchor="end", ink=MUTED)
    place = mouth + station_in * per
    if jaws:
        deep = mouth + min(station_in, reach_in) * per
        _jaws(sheet, mouth=mouth, deep=max(deep, mouth + 7), upper=upper, lower=lower)
    else:
        _gauge(sheet, x=place, upper=upper, lower=lower, lean=lean_rad)
    if burr:
        for y, sign in ((upper, 1.0), (lower, -1.0)):
            sheet.path([[(mouth - 3, y), (mouth + 9, y), (mouth, y + 9 * sign)]],
                       fill=VERMILION, ink=VERMILION)  # fmt: skip
        sheet.text(mouth + 16, lower - 6, "burr", ink=VERMILION, bold=True)
    below = lower + 58
    words = f"{units.place(station_in)} from the mouth" if station_in else "at the mouth"
    if station_in:
        sheet.dimension((mouth, lower + 34), (place, lower + 2), at=below, upright=False)
    sheet.text(max(place + 14, mouth), below + 5, words)
    return sheet.picture(
        f"The {tool} in the width of the {which}, {words}. "
        f"{'A burr stands at the edge of the mouth.' if burr else ''}"
    )


def _jaws(sheet: Sheet, *, mouth: float, deep: float, upper: float, lower: float) -> None:
    """Draw two jaws that reach in from the mouth, and the beam that carries them."""
    out = 58.0
    for wall, sign in ((upper, 1.0), (lower, -1.0)):
        thick = 9.0 * sign
        sheet.path(
            [[(deep, wall), (mouth - out, wall), (mouth - out, wall + thick),
              (deep - 4, wall + thick * 0.6)]],
            fill=STEEL_LIGHT, weight=HEAVY,
        )  # fmt: skip
    sheet.rect(mouth - out - 22, upper - 26, 22, lower - upper + 52, fill=SHADE, weight=HEAVY)


def _gauge(sheet: Sheet, *, x: float, upper: float, lower: float, lean: float) -> None:
    """Draw handle and head of a gauge across the slot."""
    middle, half = (upper + lower) / 2, (lower - upper) / 2 / math.cos(lean)

    def at(head: float, handle: float) -> Point:
        return (
            x + head * math.sin(lean) - handle * math.cos(lean),
            middle - head * math.cos(lean) - handle * math.sin(lean),
        )

    reach = (x - 34.0) / math.cos(lean)
    sheet.path([[at(5, 4), at(5, reach), at(-5, reach), at(-5, 4)]], fill=SHADE)
    knurl = max(reach - 46, 10)
    sheet.path([[at(8, knurl), at(8, reach), at(-8, reach), at(-8, knurl)]], fill=STEEL)
    for sign in (1, -1):
        end = sign * (half - 3)
        sheet.path([[at(0, 6), at(end, 6), at(sign * half, 0), at(end, -6), at(0, -6)]],
                   fill=STEEL_LIGHT)  # fmt: skip
    body = half * 0.5
    sheet.path([[at(body, 9), at(body, -9), at(-body, -9), at(-body, 9)]], fill=STEEL,
               weight=HEAVY)  # fmt: skip


def draw_way_out(way_out: str) -> Picture:
    """Draw what happened to the gauge on its way out, without any amount.

    Parameters
    ----------
    way_out : {"sprang out", "slipped shut", "pushed shut", "scraped"}
        What happened.
    """
    sheet = Sheet(height=104)
    x0, x1, y = 150.0, 430.0, 56.0
    shift = {"sprang out": 16.0, "slipped shut": -16.0, "pushed shut": -16.0}.get(way_out, 0.0)
    sheet.text(14, 26, "As it came out", bold=True)
    for x, sign in ((x0, -1.0), (x1, 1.0)):
        sheet.line(x, y - 26, x, y + 26, ink=MUTED)
        tip = x + sign * shift
        sheet.path(
            [[(290, y - 9), (tip - sign * 8, y - 9), (tip, y), (tip - sign * 8, y + 9),
              (290, y + 9)]],
            fill=STEEL_LIGHT,
        )  # fmt: skip
        if shift:
            sheet.arrow(x, y + 34, tip, y + 34, ink=VERMILION, weight=HEAVY)
        else:
            for step in (-12, -4, 4, 12):
                sheet.line(x - 8, y + step - 5, x + 8, y + step + 5, ink=VERMILION, weight=HEAVY)
    sheet.rect(220, y - 15, 140, 30, fill=STEEL, weight=HEAVY)
    what = {"scraped": "scratches on both faces"}.get(way_out, way_out)
    sheet.text(470, y + 6, what, ink=VERMILION, bold=True)
    if shift:
        sheet.text(x0 - 10, y + 48, "thin line: as it was set", size=SMALL, ink=MUTED)
    return sheet.picture(f"The gauge as it came out: {what}.")
