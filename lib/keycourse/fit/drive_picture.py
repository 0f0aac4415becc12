"""The push of a drive against the travel past full contact: as taught, and as nobody knows it."""

from __future__ import annotations

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    INK,
    MEDIUM,
    MUTED,
    SMALL,
    TEAL,
    VERMILION,
    Picture,
    Sheet,
)
from coursework.ink.look import light
from coursework.ink.shop import INCH, ShopUnits
from keycourse.fit.driven import Driven
from taperkey.checks import require_range
from taperkey.units import MM_PER_IN

__all__ = ["MOST_TRAVEL_IN", "draw_drive"]

MOST_TRAVEL_IN = 1.0
"""Where the picture ends [in]."""

_LEFT, _RIGHT, _TOP, _FOOT = 104.0, 660.0, 46.0, 330.0


def draw_drive(
    *,
    now: Driven,
    line_in: float,
    unknown_lbf: tuple[float, float],
    units: ShopUnits = INCH,
) -> Picture:
    """Draw push against travel, the line, and the push of a key that an unknown hand drove.

    Parameters
    ----------
    now : Driven
        What the chosen travel brings.
    line_in : float
        Travel past full contact at which the key is at its line [in].
    unknown_lbf : tuple of float
        Push of a key whose travel nobody knows, low and high end [lbf].
    units : ShopUnits
        How travel and push are written.

    Returns
    -------
    Picture
        Both ends of the push are straight lines, since all is elastic.
    """
    require_range("travel", now.travel_in, 0, MOST_TRAVEL_IN, "in")
    most = MOST_TRAVEL_IN * now.push_lbf[1] / now.travel_in
    top = 1.08 * most

    def at(travel_in: float, push_lbf: float) -> tuple[float, float]:
        across = _LEFT + (_RIGHT - _LEFT) * travel_in / MOST_TRAVEL_IN
        return across, _FOOT - (_FOOT - _TOP) * push_lbf / top

    sheet = Sheet(height=392)
    low_end, high_end = (MOST_TRAVEL_IN * one / now.travel_in for one in now.push_lbf)
    x1, y1 = at(0, unknown_lbf[1])
    x2, y2 = at(MOST_TRAVEL_IN, unknown_lbf[0])
    sheet.rect(x1, y1, x2 - x1, y2 - y1, fill=light("parted"), ink="none", weight=0)
    sheet.path(
        [[at(0, 0), at(MOST_TRAVEL_IN, high_end), at(MOST_TRAVEL_IN, low_end)]],
        fill=light("band"), ink=TEAL, weight=FINE, opacity=0.75, name="push",
    )  # fmt: skip
    sheet.text(x2 - 8, y2 - 27, "unknown hand:", size=SMALL, anchor="end")
    sheet.text(x2 - 8, y2 - 9, "plan for this", size=SMALL, anchor="end")
    for count in range(6 if units.metric else 5):
        travel = 5 * count / MM_PER_IN if units.metric else count / 4
        across, foot = at(travel, 0)
        sheet.line(across, foot, across, foot + 6, ink=MUTED, weight=FINE)
        said = f"{5 * count}" if units.metric else f"{travel:g}"
        sheet.text(across, foot + 23, said, size=SMALL, anchor="middle")
    step = 20_000.0 if not units.metric else 100 / units.force_per_lbf
    for count in range(int(most / step) + 1):
        _, up = at(0, count * step)
        sheet.line(_LEFT - 6, up, _LEFT, up, ink=MUTED, weight=FINE)
        said = f"{count * step * (units.force_per_lbf if units.metric else 1):,.0f}"
        sheet.text(_LEFT - 12, up + 5, said, size=SMALL, anchor="end")
    sheet.line(_LEFT, _TOP, _LEFT, _FOOT, ink=INK, weight=MEDIUM)
    sheet.line(_LEFT, _FOOT, _RIGHT, _FOOT, ink=INK, weight=MEDIUM)
    sheet.text(_LEFT, 28, f"push along the key, {'kN' if units.metric else 'lbf'}", size=SMALL)
    sheet.text((_LEFT + _RIGHT) / 2, 378, f"travel past full contact, {units.unit}",
               size=SMALL, anchor="middle")  # fmt: skip
    across, _ = at(line_in, 0)
    sheet.line(across, _TOP + 12, across, _FOOT, ink=VERMILION, weight=HEAVY, name="line")
    sheet.text(across + 6, _TOP + 24, "the line", ink=VERMILION, bold=True)
    across, low = at(now.travel_in, now.push_lbf[0])
    _, high = at(now.travel_in, now.push_lbf[1])
    sheet.line(across, low, across, high, ink=INK, weight=HEAVY + 2, name="now")
    low_lbf, high_lbf = (units.force(one) for one in now.push_lbf)
    return sheet.picture(
        f"Push along the key against travel past full contact. At {units.travel(now.travel_in)} it"
        f" is {low_lbf} to {high_lbf}; it grows in proportion. The line is at"
        f" {units.travel(line_in)}. A key that an unknown hand drove took a push of"
        f" {units.force(unknown_lbf[0])} to {units.force(unknown_lbf[1])}."
    )
