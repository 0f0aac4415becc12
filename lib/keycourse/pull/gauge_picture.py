"""The gauge of the pump: its needle now and stroke by stroke, and the stop mark."""

from __future__ import annotations

import math
from collections.abc import Sequence

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
    Picture,
    Sheet,
)
from coursework.ink.shop import INCH, ShopUnits
from taperkey.checks import require_non_negative, require_positive

__all__ = ["draw_gauge"]

_X, _Y, _R = 106.0, 118.0, 78.0
_LEFT, _RIGHT, _TOP, _FOOT = 262.0, 680.0, 46.0, 180.0
_FROM_DEG, _SWEEP_DEG = 225.0, 270.0
_BAR = 68.9475729e-3  # bar in a psi


def draw_gauge(
    *,
    needle_psi: float,
    mark_psi: float,
    strokes_psi: Sequence[float] = (),
    units: ShopUnits = INCH,
) -> Picture:
    """Draw the gauge as it is read.

    Parameters
    ----------
    needle_psi : float
        Where the needle stands, 0 or more [psi].
    mark_psi : float
        Chalk mark of the stop load, above 0 [psi].
    strokes_psi : sequence of float
        Where it stood after each stroke that was told last [psi].
    units : ShopUnits
        How pressures are written.
    """
    require_non_negative("gauge", needle_psi, "psi")
    require_positive("mark on the gauge", mark_psi, "psi")
    full, step, unit = (700.0, 100.0, "bar") if units.metric else (10_000.0, 2_000.0, "psi")
    per = _BAR if units.metric else 1.0

    def turn(psi: float) -> float:
        share = min(1.03, psi * per / full)
        return math.radians(_FROM_DEG - _SWEEP_DEG * share)

    def rim(psi: float, out: float) -> tuple[float, float]:
        return _X + out * math.cos(turn(psi)), _Y - out * math.sin(turn(psi))

    sheet = Sheet(height=212.0)
    sheet.text(12, 26, "Gauge of the pump", size=TEXT, bold=True)
    sheet.circle(_X, _Y, _R + 6, weight=MEDIUM)
    shown = 0.0
    while shown <= full + 1e-6:
        psi = shown / per
        sheet.line(*rim(psi, _R), *rim(psi, _R - 9), weight=FINE)
        if round(shown / step) % (1 if not units.metric else 2) == 0 or shown == full:
            x, y = rim(psi, _R - 24)
            label = f"{shown / (1 if units.metric else 1000):g}"
            sheet.text(x, y + 5, label, size=SMALL, anchor="middle", ink=MUTED)
        shown += step
    sheet.line(*rim(mark_psi, _R + 6), *rim(mark_psi, _R - 14), ink=VERMILION, weight=5.0,
               name="mark")  # fmt: skip
    sheet.line(_X, _Y, *rim(needle_psi, _R - 12), ink=TEAL, weight=HEAVY, name="needle")
    sheet.circle(_X, _Y, 5, fill=INK)
    times = "bar" if units.metric else "1,000 psi"
    sheet.text(_X, _Y + _R - 14, times, size=SMALL, anchor="middle", ink=MUTED)
    now, mark = units.gauge(needle_psi), units.gauge(mark_psi)
    words = f"Gauge of the pump: the needle stands at {now}; the stop mark is at {mark}."
    if strokes_psi:
        _strokes(sheet, strokes_psi, mark_psi, units)
        listed = ", ".join(units.gauge(one).partition(" ")[0] for one in strokes_psi)
        words += f" After each of the last strokes: {listed} {unit}."
    else:
        sheet.text(_LEFT, 96, now, size=TEXT, bold=True)
        sheet.text(_LEFT, 126, f"stop mark {mark}", size=SMALL, ink=VERMILION)
    return sheet.picture(words)


def _strokes(sheet: Sheet, strokes_psi: Sequence[float], mark_psi: float, units: ShopUnits) -> None:
    most = 1.2 * max(mark_psi, *strokes_psi)
    sheet.text(_LEFT, 26, "after each stroke", size=SMALL)
    wide = min(30.0, (_RIGHT - _LEFT) / len(strokes_psi))
    y = _FOOT - (_FOOT - _TOP) * mark_psi / most
    for number, psi in enumerate(strokes_psi):
        high = (_FOOT - _TOP) * psi / most
        x = _LEFT + number * wide
        sheet.rect(x + 3, _FOOT - high, wide - 6, high, fill=TEAL, ink=INK, weight=FINE)
    sheet.line(_LEFT, _FOOT, _RIGHT, _FOOT, weight=MEDIUM)
    sheet.line(_LEFT, y, _RIGHT, y, ink=VERMILION, weight=MEDIUM, dash=(8, 5))
    sheet.text(_RIGHT, y - 6, f"stop mark {units.gauge(mark_psi)}", size=SMALL, anchor="end",
               ink=VERMILION, halo=True)  # fmt: skip
    sheet.text(_RIGHT, _FOOT + 20, f"now {units.gauge(strokes_psi[-1])}", size=SMALL, anchor="end")
