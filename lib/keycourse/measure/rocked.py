"""How a gauge stands and was rocked: its head seen from the mouth, and its way through square."""

from __future__ import annotations

import math
from collections.abc import Sequence

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    MUTED,
    PAPER,
    SHADE,
    STEEL,
    STEEL_LIGHT,
    TEAL,
    TEXT,
    VERMILION,
    Picture,
    Point,
    Sheet,
)

__all__ = ["draw_rocked", "lean_words"]

_TIMES = 3.0  # a lean seen from the mouth is drawn so much larger

_MOST_DEG = 9.0  # edge of the target
Way = Sequence[tuple[float, float]]


def lean_words(along_rad: float, across_rad: float, planes: Sequence[str]) -> str:
    """Return how a tool stands now, in words; empty when it stands square."""
    along, across = (round(math.degrees(one), 1) for one in (along_rad, across_rad))
    said = []
    if "along" in planes and along:
        said.append(f"handle {'up' if along > 0 else 'down'} {abs(along):.1f}°")
    if "across" in planes and across:
        said.append(f"rolled {'right' if across > 0 else 'left'} {abs(across):.1f}°")
    return ", ".join(said)


def _across_view(
    sheet: Sheet,
    *,
    x: float,
    top: float,
    high: float,
    wide: float,
    across_rad: float,
    metals: tuple[str, str],
    jaws: bool,
) -> None:
    """Draw the slot from the mouth with the head of the gauge in it, rolled; 130 units high."""
    per = min(92.0 / high, 116.0 / wide)
    half_w, half_h = wide * per / 2, high * per / 2
    middle = top + 65.0
    left, right = x - 84.0, x + 84.0
    slot = [
        (x - half_w, middle - half_h), (x + half_w, middle - half_h),
        (x + half_w, middle + half_h), (x - half_w, middle + half_h),
    ]  # fmt: skip
    for word, y0, y1 in zip(metals, (top, middle), (middle, top + 130.0), strict=True):
        fill, angle = (STEEL, -45.0) if word == "shaft" else (STEEL_LIGHT, 45.0)
        box = [(left, y0), (right, y0), (right, y1), (left, y1)]
        if metals[0] == metals[1]:
            box = [(left, top), (right, top), (right, top + 130.0), (left, top + 130.0)]
        sheet.cut_metal([box], fill=fill, angle_deg=angle)
        if metals[0] == metals[1]:
            break
    sheet.path([slot], fill=PAPER, weight=HEAVY)
    lean = max(-0.5, min(0.5, _TIMES * across_rad))
    half = half_h / math.cos(lean)

    def at(up: float, aside: float) -> Point:
        return (
            x + up * math.sin(lean) + aside * math.cos(lean),
            middle - up * math.cos(lean) + aside * math.sin(lean),
        )

    thin = min(8.0, half * 0.3)
    for sign in (1, -1):
        end = sign * (half - 3)
        tip = at(sign * half, 0)
        sheet.path([[at(0, thin), at(end, thin), tip, at(end, -thin), at(0, -thin)]],
                   fill=STEEL_LIGHT)  # fmt: skip
    body, thick = half * 0.5, thin * 1.4
    if jaws:
        sheet.centre_line(x, middle - half_h + 2, x, middle + half_h - 2)
        sheet.text(left + 8, top + 16, metals[0], size=TEXT, halo=True)
        return
    sheet.path(
        [[at(body, thick), at(body, -thick), at(-body, -thick), at(-body, thick)]],
        fill=STEEL, weight=HEAVY,
    )  # fmt: skip
    sheet.circle(x, middle, min(8.0, thin), fill=SHADE, weight=HEAVY)
    sheet.centre_line(x, middle - half_h + 2, x, middle + half_h - 2)
    for word, y in zip(metals, (top + 16, top + 124), strict=True):
        if y < middle or metals[0] != metals[1]:
            sheet.text(left + 8, y, word, size=TEXT, halo=True)


def _way_target(
    sheet: Sheet, *, x: float, y: float, way: Way, now: tuple[float, float], planes: Sequence[str]
) -> None:
    """Draw through which leans the tool was rocked, and where it stands; square is the middle."""
    half = 64.0
    per = half / math.radians(_MOST_DEG)

    def at(lean: tuple[float, float]) -> Point:
        along, across = (
            max(-half, min(half, per * one)) if plane in planes else 0.0
            for one, plane in zip(lean, ("along", "across"), strict=True)
        )
        return x + across, y - along

    sheet.rect(x - half, y - half, 2 * half, 2 * half, fill=PAPER, ink=MUTED, weight=FINE)
    sheet.line(x - half, y, x + half, y, ink=MUTED, weight=FINE)
    sheet.line(x, y - half, x, y + half, ink=MUTED, weight=FINE)
    sheet.circle(x, y, 11, ink=MUTED, weight=FINE)
    places = [at(lean) for lean in way]
    if len(places) > 1:
        sheet.path([places], closed=False, ink=TEAL, weight=5)
    sheet.circle(*at(now), 6, fill=VERMILION, ink=VERMILION)
    if "along" in planes:
        sheet.text(x, y - half - 6, "handle up", anchor="middle", size=TEXT, ink=MUTED)
        sheet.text(x, y + half + 16, "handle down", anchor="middle", size=TEXT, ink=MUTED)
    if "across" in planes:
        sheet.text(x + half + 6, y - 4, "rolled", size=TEXT, ink=MUTED)
        sheet.text(x + half + 6, y + 12, "right", size=TEXT, ink=MUTED)


def draw_rocked(
    *,
    way: Way,
    now: tuple[float, float],
    planes: Sequence[str],
    high_in: float,
    wide_in: float,
    metals: tuple[str, str] = ("shaft", "hub"),
    jaws: bool = False,
) -> Picture:
    """Draw a tool from the mouth, and how it was rocked.

    Parameters
    ----------
    way : sequence of (float, float)
        Leans along and across in order [rad].
    now : tuple of (float, float)
        Lean now [rad].
    planes : sequence of str
        Planes in which the tool can lean: "along", "across".
    high_in, wide_in : float
        Opening and width, as a rule shows them [in].
    metals : tuple of (str, str)
        What is above and below it.
    jaws : bool
        Whether it has jaws instead of a head.
    """
    sheet = Sheet(height=200, width=420)
    sheet.text(14, 22, lean_words(*now, planes) or "square", ink=VERMILION, bold=True)
    _across_view(
        sheet,
        x=100,
        top=40,
        high=high_in,
        wide=wide_in,
        across_rad=now[1],
        metals=metals,
        jaws=jaws,
    )
    sheet.text(16, 188, f"from the mouth, lean × {_TIMES:g}", size=TEXT, ink=MUTED)
    _way_target(sheet, x=286, y=108, way=way, now=now, planes=planes)
    return sheet.picture(_words(way=way, now=now, planes=planes))


def _words(*, way: Way, now: tuple[float, float], planes: Sequence[str]) -> str:
    """Return in words how a tool stands, and what it was rocked through."""
    state = lean_words(*now, planes) or "square in both planes"
    said = [f"It stands {state}."]
    for place, plane in enumerate(("along", "across")):
        leans = [math.degrees(lean[place]) for lean in way]
        if plane in planes and leans and max(leans) - min(leans) > 0.05:
            said.append(
                f"Rocked {plane} the slot from {min(leans):.1f} to {max(leans):.1f} degrees."
            )
    if len(said) == 1:
        said.append("It has not been rocked.")
    return " ".join(said)
