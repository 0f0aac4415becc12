"""From bar to blank: the relief cut first, then the taper cut on a master key in the vise.

Heights are drawn enlarged and the middle of the bar is left out at the break
lines, so that cuts of a few hundredths can be seen; the large end is on the left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    INK,
    LARGE,
    MEDIUM,
    MUTED,
    OCHRE,
    ON_KEY,
    SHADE,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    TEAL,
    Picture,
    Point,
    Sheet,
)
from coursework.ink.look import light
from taperkey.checks import require_in, require_positive, require_range
from taperkey.counts import counted
from taperkey.formulas.cutting import CuttingPlan
from taperkey.units import MM_PER_IN

__all__ = ["draw_cutting_plan"]

_LEFT, _RIGHT = 176.0, 540.0
_LEVEL = 414.0  # the finished taper face lies level under the cutter
_ROUND = (2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100)
_PAPER = "#ffffff"


@dataclass(frozen=True, kw_only=True)
class _Scale:
    """Units of the drawing for an inch of height and of length."""

    up: float
    along: float

    @property
    def enlarged(self) -> float:
        return self.up / self.along


def draw_cutting_plan(
    *,
    plan: CuttingPlan,
    length_in: float,
    relief_done: bool = True,
    passes_done: int = 0,
    system: str = "inch",
) -> Picture:
    """Draw the two set-ups and what comes off in each.

    Parameters
    ----------
    plan : CuttingPlan
        From `taperkey.formulas.cutting.cutting_plan`.
    length_in : float
        Length of the blank, above 0 [in].
    relief_done : bool
        Whether the relief cut has been taken.
    passes_done : int
        Passes of the taper cut taken, 0 to ``plan.passes``.
    system : str
        "inch" or "metric": in what the dimensions are written.

    Returns
    -------
    Picture
        The drawing and the same in words.

    Raises
    ------
    ValueError
        One sentence, where an argument is outside its range.
    """
    require_in("system", system, ("inch", "metric"))
    require_positive("length of the blank", length_in, "in")
    require_range("passes done", passes_done, 0, plan.passes)
    if passes_done and not relief_done:
        raise ValueError(
            f"passes done is {passes_done}; it must be 0 before the relief cut. With the skin "
            "off one face only, the key bows: take the relief cut first."
        )
    along = (_RIGHT - _LEFT) / length_in
    most = 104.0 / max(plan.small_end_cut_in, 1.5 * plan.relief_cut_in)
    fitting = [one for one in _ROUND if one * along <= most]
    scale = _Scale(up=(fitting[-1] if fitting else most / along) * along, along=along)
    body = max(78.0, plan.master_key_rise_in * scale.up + 46.0)
    base = _LEVEL + body + 68.0
    sheet = Sheet(height=base + 62.0)
    sheet.text(14, 28, "1  Relief cut, opposite the taper", size=LARGE, bold=True)
    _straight(sheet, plan, scale, relief_done, system)
    sheet.text(14, 238, "2  Taper cut on the master key", size=LARGE, bold=True)
    _taper(sheet, plan, scale, passes_done, system, body, base)
    sheet.text(
        14,
        base + 48,
        f"Heights enlarged {scale.enlarged:.3g} times; the middle of the bar is left out.",
        size=SMALL,
        ink=MUTED,
    )
    return sheet.picture(_words(plan, length_in, relief_done, passes_done, system))


def _depth(value_in: float, system: str) -> str:
    if system == "metric":
        return f"{value_in * MM_PER_IN:.2f} mm"
    return f"{value_in:.4f} in"


def _break_line(y_left: float, y_right: float) -> list[Point]:
    """Return a zigzag across the bar, from a little outside to a little outside."""
    places = 14
    points: list[Point] = [(_LEFT - 9, y_left)]
    for place in range(1, places):
        x = _LEFT + (_RIGHT - _LEFT) * place / places
        y = y_left + (y_right - y_left) * place / places
        points.append((x, y + (5 if place % 2 else -5)))
    points.append((_RIGHT + 9, y_right))
    return points


def _straight(
    sheet: Sheet, plan: CuttingPlan, scale: _Scale, relief_done: bool, system: str
) -> None:
    """Draw the bar with the face that is cut first on top."""
    top, foot = 84.0, 186.0
    cut = plan.relief_cut_in * scale.up
    ring: list[Point] = [(_LEFT, top), (_RIGHT, top), (_RIGHT, foot), (_LEFT, foot)]
    sheet.path([ring], fill=STEEL_LIGHT, weight=HEAVY, name="bar")
    strip: list[Point] = [(_LEFT, top), (_RIGHT, top), (_RIGHT, top + cut), (_LEFT, top + cut)]
    _comes_off(sheet, [strip], gone=relief_done, name="relief")
    gap = (top + cut + foot) / 2 - 4
    _broken(sheet, gap, gap)
    sheet.line(_LEFT, top + cut, _RIGHT, top + cut, weight=HEAVY)
    sheet.dimension(
        (_RIGHT, top), (_RIGHT, top + cut), at=_RIGHT + 26, words=_depth(plan.relief_cut_in, system)
    )
    sheet.text(_LEFT + 10, foot - 9, "this face becomes the taper", size=SMALL)
    state = "taken off" if relief_done else "comes off"
    sheet.text(_LEFT, top - 12, f"skin {state}: this face lies flat in the shaft", size=SMALL)
    _vise(sheet, foot)
    sheet.text(_LEFT - 12, top + 22, "large end", anchor="end", bold=True)
    sheet.text(_LEFT - 12, foot - 22, "bar turned", anchor="end", size=SMALL, ink=MUTED)
    sheet.text(_LEFT - 12, foot - 5, "flat face up", anchor="end", size=SMALL, ink=MUTED)


def _broken(sheet: Sheet, y_left: float, y_right: float) -> None:
    """Leave out a band of the bar between two break lines."""
    upper = [(x, y - 6) for x, y in _break_line(y_left, y_right)]
    lower = [(x, y + 6) for x, y in _break_line(y_left, y_right)]
    sheet.path([[*upper, *reversed(lower)]], fill=light("paper"), ink="none", weight=0)
    for one in (upper, lower):
        sheet.path([one], weight=FINE, closed=False)


def _comes_off(sheet: Sheet, rings: Sequence[Sequence[Point]], *, gone: bool, name: str) -> None:
    """Mark metal that is cut away: hatched while it is there, an open outline when gone."""
    if gone:
        sheet.path(rings, fill=_PAPER, ink=MUTED, weight=FINE, dash=(6, 4), name=name)
    else:
        sheet.cut_metal(rings, fill=OCHRE, spacing=7, weight=MEDIUM)


def _vise(sheet: Sheet, y: float) -> None:
    sheet.line(_LEFT - 50, y + 2, _RIGHT + 50, y + 2, weight=HEAVY)


def _taper(
    sheet: Sheet,
    plan: CuttingPlan,
    scale: _Scale,
    done: int,
    system: str,
    body: float,
    base: float,
) -> None:
    """Draw vise, master key, blank and cutter; `body` is the blank's height at its large end."""
    rise = plan.master_key_rise_in * scale.up
    large, small = plan.large_end_cut_in * scale.up, plan.small_end_cut_in * scale.up
    level = _LEVEL
    seat_left, seat_right = level + body, level + body - rise
    # jaw behind, then master key, then blank
    sheet.rect(
        _LEFT - 44, level + 26, _RIGHT - _LEFT + 88, base - level - 26, fill=STEEL, ink=SHADE
    )
    master: list[Point] = [(_LEFT, seat_left), (_RIGHT, seat_right), (_RIGHT, base), (_LEFT, base)]
    sheet.cut_metal([master], fill=STEEL_LIGHT, spacing=14, weight=MEDIUM)
    sheet.text(
        (_LEFT + _RIGHT) / 2,
        base - 14,
        "master key, its high end under the small end",
        anchor="middle",
        size=SMALL,
        halo=True,
    )
    sheet.line(_LEFT - 50, base + 2, _RIGHT + 50, base + 2, weight=HEAVY)
    sheet.text(_LEFT - 50, base + 20, "vise, soft jaws on both sides", size=SMALL)
    top_left, top_right = level - large, level - small

    blank: list[Point] = [(_LEFT, level), (_RIGHT, level), (_RIGHT, seat_right), (_LEFT, seat_left)]
    sheet.path([blank], fill=STEEL_LIGHT, weight=HEAVY, name="blank")
    _broken(sheet, level + body * 0.5, level + (body - rise) * 0.5 + 2)
    # the cutter runs level; each pass is a level line
    depth = plan.depth_per_pass_in * scale.up
    now = level - (plan.passes - done) * depth
    whole: list[Point] = [(_LEFT, level), (_LEFT, top_left), (_RIGHT, top_right), (_RIGHT, level)]
    if done >= plan.passes:
        _comes_off(sheet, [whole], gone=True, name="taper")
    else:
        _comes_off(sheet, [whole], gone=bool(done), name="taper")
        if done:
            here = max(top_right, now)
            left_y = max(top_left, here)
            start = _LEFT
            if here < top_left:  # this pass has touched the small end only
                start = _LEFT + (_RIGHT - _LEFT) * (top_left - here) / max(
                    top_left - top_right, 1e-9
                )
                left: list[Point] = [(_LEFT, level), (_LEFT, top_left), (start, here),
                                     (_RIGHT, here), (_RIGHT, level)]  # fmt: skip
            else:
                left = [(_LEFT, level), (_LEFT, left_y), (_RIGHT, here), (_RIGHT, level)]
            _comes_off(sheet, [left], gone=False, name="left")
    for number in range(1, plan.passes + 1):
        y = level - (plan.passes - number) * depth
        at = _LEFT
        if y < top_left:
            at += (_RIGHT - _LEFT) * (top_left - y) / max(top_left - top_right, 1e-9)
        sheet.line(at, y, _RIGHT, y, ink=INK, weight=0.8, dash=(3, 3), name="pass")
    sheet.line(_LEFT, level, _RIGHT, level, weight=HEAVY)
    if done < plan.passes:
        sheet.text((_LEFT + _RIGHT) / 2 + 40, level - 7, "comes off", size=SMALL, ink=ON_KEY)
    sheet.dimension(
        (_LEFT, level),
        (_LEFT, top_left),
        at=_LEFT - 72,
        words=_depth(plan.large_end_cut_in, system),
        anchor="end",
    )
    sheet.dimension(
        (_RIGHT, level),
        (_RIGHT, top_right),
        at=_RIGHT + 26,
        words=_depth(plan.small_end_cut_in, system),
    )
    sheet.dimension(
        (_RIGHT, seat_left),
        (_RIGHT, seat_right),
        at=_RIGHT + 60,
        words=_depth(plan.master_key_rise_in, system),
    )
    sheet.text(_RIGHT + 68, (seat_left + seat_right) / 2 + 22, "rise", size=SMALL)
    sheet.text(_LEFT - 12, level + 18, "large end", anchor="end", bold=True, halo=True)
    sheet.text(_RIGHT + 12, level + 18, "small end", bold=True, halo=True)
    _cutter(sheet, min(now if done else level - (plan.passes - 1) * depth, level))


def _cutter(sheet: Sheet, y: float) -> None:
    """Draw the cutter at the large end, where each pass starts."""
    x = _LEFT - 8
    sheet.rect(x - 34, y - 70, 26, 34, fill=STEEL, weight=MEDIUM)
    sheet.rect(x - 50, y - 36, 58, 36, fill=_PAPER, weight=HEAVY, round_by=3)
    for tooth in range(4):
        at = x - 50 + 14.5 * tooth
        sheet.path([[(at, y), (at + 14.5, y), (at + 5, y - 9)]], fill=INK, weight=0.5)
    sheet.arrow(x + 16, y - 46, x + 96, y - 46, ink=TEAL, weight=HEAVY)
    sheet.text(x + 16, y - 56, "start at the large end", ink=TEAL, bold=True, halo=True)


def _words(
    plan: CuttingPlan, length_in: float, relief_done: bool, passes_done: int, system: str
) -> str:
    long = f"{length_in * MM_PER_IN:.0f} mm" if system == "metric" else f"{length_in:.2f} in"
    return (
        f"Two set-ups of a blank {long} long. First a relief cut of "
        f"{_depth(plan.relief_cut_in, system)} on the face opposite the taper"
        f"{', taken' if relief_done else ', not taken yet'}. Then the blank lies flat face down on "
        "a master key, whose high end is under the small end and which rises "
        f"{_depth(plan.master_key_rise_in, system)}, in a vise with soft jaws. The cutter "
        "runs level and starts at the large end: it takes off "
        f"{_depth(plan.large_end_cut_in, system)} at the large end and "
        f"{_depth(plan.small_end_cut_in, system)} at the small end, in "
        f"{counted(plan.passes, 'pass')}; {passes_done} taken."
    )
