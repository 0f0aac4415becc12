"""Load against the run of the jacks: a straight line while all springs, and what breaks it."""

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
from taperkey.checks import require_at_least, require_positive

__all__ = ["draw_load_path"]

_LEFT, _RIGHT, _TOP, _FOOT = 96.0, 660.0, 46.0, 236.0


def draw_load_path(
    *,
    points: Sequence[tuple[float, float]],
    stop_lbf: float,
    jumped: bool = False,
    units: ShopUnits = INCH,
) -> Picture:
    """Draw how the load rose with the run of the jacks.

    Parameters
    ----------
    points : sequence of tuple
        Run of the jacks [in] and load [lbf], in order, one at least.
    stop_lbf : float
        Working load of the weakest link, above 0 [lbf].
    jumped : bool
        Whether the last point is what was left after the key jumped.
    units : ShopUnits
        How loads and lengths are written.
    """
    require_at_least("number of points", len(points), 1)
    require_positive("stop load", stop_lbf, "lbf")
    path = [(0.0, 0.0), *points]
    most_in = max(0.01, *(run for run, _ in path)) * 1.08
    most_lbf = 1.15 * max(stop_lbf, *(load for _, load in path))

    def place(run: float, load: float) -> tuple[float, float]:
        return (
            _LEFT + (_RIGHT - _LEFT) * run / most_in,
            _FOOT - (_FOOT - _TOP) * load / most_lbf,
        )

    sheet = Sheet(height=290)
    sheet.text(12, 26, "Load against the run of the jacks", size=TEXT, bold=True)
    for load in _marks(most_lbf * units.force_per_lbf):
        _, y = place(0.0, load / units.force_per_lbf)
        sheet.line(_LEFT, y, _RIGHT, y, ink=MUTED, weight=FINE, dash=(2, 5))
        sheet.text(_LEFT - 8, y + 5, f"{load:,.0f}", size=SMALL, anchor="end", ink=MUTED)
    for run in _marks(most_in * units.per_in):
        x, _ = place(run / units.per_in, 0.0)
        sheet.line(x, _FOOT, x, _FOOT + 6, weight=FINE)
        sheet.text(x, _FOOT + 22, f"{run:g}", size=SMALL, anchor="middle", ink=MUTED)
    sheet.line(_LEFT, _FOOT, _RIGHT, _FOOT, weight=MEDIUM)
    sheet.line(_LEFT, _FOOT, _LEFT, _TOP - 6, weight=MEDIUM)
    sheet.text(_LEFT - 8, _TOP + 2, units.force_unit, size=SMALL, anchor="end")
    sheet.text(_RIGHT, _FOOT + 42, f"run of the jacks, {units.unit}", size=SMALL, anchor="end")
    _, y = place(0.0, stop_lbf)
    sheet.line(_LEFT, y, _RIGHT, y, ink=VERMILION, weight=MEDIUM, dash=(8, 5), name="stop")
    stop = f"stop load {units.load(stop_lbf, 'down')}"
    sheet.text(_LEFT + 8, y - 6, stop, size=SMALL, ink=VERMILION, halo=True)
    sheet.path([[place(*point) for point in path]], closed=False, ink=TEAL, weight=HEAVY)
    for point in path[1:]:
        sheet.circle(*place(*point), 4, fill=TEAL, ink=INK, weight=FINE)
    last_in, last_lbf = path[-1]
    words = f"{len(points)} loads, the last {units.load(last_lbf)}"
    words += f" after a run of {last_in * units.per_in:.3f} {units.unit}; {stop}."
    if jumped:
        x, y = place(last_in, last_lbf)
        sheet.text(
            x - 10, min(y + 4, _FOOT - 8), "the key jumps", size=SMALL, anchor="end", halo=True
        )
        words += " The key jumped, and the load fell to that."
    return sheet.picture(f"Load against the run of the jacks: {words}")


def _marks(most: float) -> list[float]:
    """Return round numbers from 0 up to what is shown, three to seven of them."""
    rough = most / 5
    unit = 10.0 ** math.floor(math.log10(rough))
    step = next(unit * n for n in (1, 2, 5, 10) if unit * n >= rough)
    return [round(n * step, 9) for n in range(int(most / step) + 1)]
