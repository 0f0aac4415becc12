"""The fitting bench in pictures: marks on both faces, the key in its slot, the feeler.

Bright marks are told from blue by colour, by hatching and by an outline, so
that grey print and colour-blind readers see them. Plan and side view are to
scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import contourpy
import numpy as np
from numpy.typing import NDArray

from taperkey.checks import require_positive, require_range
from taperkey.figures.ink import (
    BEARING_BLUE,
    FINE,
    HEAVY,
    INK,
    LARGE,
    MEDIUM,
    MUTED,
    OCHRE,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    TEAL,
    VERMILION,
    Picture,
    Point,
    Sheet,
)

__all__ = [
    "LANES",
    "draw_feeler",
    "draw_marks",
    "draw_stand_out",
    "lane_place_in",
    "marks_in_words",
]

LANES = ("A", "B", "C")
"""Lanes along the key: side A, middle B, side C; the same sides on both faces."""

BRIGHT, THINNED = 2, 1
_THIN_BLUE = "#9db2e3"
_BRIGHT_METAL = "#fdfdfb"
_LEFT, _LONG = 84.0, 584.0

Spot = tuple[float, float]


def lane_place_in(*, lane: str, width_in: float) -> float:
    """Return the middle of a lane from the middle of the face [in]."""
    require_positive("width of the face", width_in, "in")
    return {"A": -1.0, "B": 0.0, "C": 1.0}[lane] * width_in / 3


def _ranges(field: NDArray[Any], *, spacing_in: float) -> list[str]:
    """Return where along one lane bright marks lie, in halves of an inch."""
    rows = max(1, round(0.5 / spacing_in))
    found: list[list[int]] = []
    for number, begin in enumerate(range(0, field.shape[0], rows)):
        if float((field[begin : begin + rows] >= BRIGHT).mean()) < 0.05:
            continue
        if found and found[-1][1] == number:
            found[-1][1] = number + 1
        else:
            found.append([number, number + 1])
    return [f"{a / 2:g} to {b / 2:g} in" for a, b in found]


def marks_in_words(*, levels: NDArray[Any], length_in: float, stood_out_in: float = 0.0) -> str:
    """Return the bright marks of one face in words, lane by lane.

    Parameters
    ----------
    levels : ndarray of int, shape (k, n)
        0 blue whole, 1 thinned, 2 bright; from the large end, side A first.
    length_in : float
        Length of the key [in].
    stood_out_in : float
        Part at the large end that was outside the slot [in].
    """
    spacing = length_in / levels.shape[0]
    first = min(round(stood_out_in / spacing), levels.shape[0] - 1)
    share = float((levels[first:] >= BRIGHT).mean())
    if share == 0:
        return "no bright marks"
    lanes = []
    for lane, part in zip(LANES, np.array_split(levels, 3, axis=1), strict=True):
        lanes.append(f"{lane} {', '.join(_ranges(part, spacing_in=spacing)) or 'none'}")
    percent = "under 1" if share < 0.01 else f"{100 * share:.0f}"
    return f"{percent} percent bright; from the large end, lane {'; lane '.join(lanes)}"


class _Plan:
    """One face in plan: inches along and across to the sheet."""

    def __init__(
        self, *, top: float, per: float, length_in: float, width_in: float, turned: bool
    ) -> None:
        self.top, self.per, self.length_in, self.width_in = top, per, length_in, width_in
        self.sign = -1.0 if turned else 1.0  # turned over about its length: the sides swap
        self.middle = top + width_in * per / 2
        self.bottom = top + width_in * per

    def at(self, u_in: float, y_in: float) -> Point:
        return _LEFT + u_in * self.per, self.middle + self.sign * y_in * self.per

    def box(self, u0: float, u1: float, half: float) -> list[Point]:
        return [self.at(u0, -half), self.at(u1, -half), self.at(u1, half), self.at(u0, half)]

    def rings(self, levels: NDArray[Any], *, least: int, face_in: float) -> list[list[Point]]:
        """Return the outlines of the part of the face at a level or above it."""
        k, n = levels.shape
        u = np.concatenate(([0.0], (np.arange(k) + 0.5) / k, [1.0])) * self.length_in
        y = (np.concatenate(([0.0], (np.arange(n) + 0.5) / n, [1.0])) - 0.5) * face_in
        z = np.pad((levels >= least).astype(float), 1, mode="edge")
        z[[0, -1], :] = 0.0
        z[:, [0, -1]] = 0.0
        generator = contourpy.contour_generator(
            x=_LEFT + u * self.per,
            y=self.middle + self.sign * y * self.per,
            z=z.T,
            fill_type=contourpy.FillType.OuterOffset,
        )
        points, offsets = generator.filled(0.5, 9.0)
        return [
            [(float(a), float(b)) for a, b in ring[low : high - 1]]
            for ring, ends in zip(points, offsets, strict=True)
            for low, high in zip(ends[:-1], ends[1:], strict=True)
        ]


def draw_marks(
    *,
    top: NDArray[Any] | None,
    bottom: NDArray[Any] | None,
    blued: bool,
    length_in: float,
    width_in: float,
    face_in: float,
    stood_out_in: float = 0.0,
    filed_top: Sequence[Spot] = (),
    filed_bottom: Sequence[Spot] = (),
    aim: tuple[Sequence[str], float, float] | None = None,
    filings: bool = False,
) -> Picture:
    """Draw both faces of the key in plan, with blue, bright marks and filed spots.

    Parameters
    ----------
    top, bottom : ndarray of int, shape (k, n), or None
        0 blue whole, 1 thinned, 2 bright; None before the first push.
    blued : bool
        Whether blue is on the key; without it the marks are outlines only.
    length_in, width_in, face_in : float
        Length and width of the key, and width between the eased edges [in].
    stood_out_in : float
        Part at the large end that was outside the slot at the push [in].
    filed_top, filed_bottom : sequence of (float, float)
        Spots filed since the push: from the large end, and across [in].
    aim : tuple of faces, place along and place across, optional
        Where the file is about to go [in].
    filings : bool
        Whether filings lie on the key.

    Returns
    -------
    Picture
        Top face above, bottom face below, large end on the left.
    """
    require_positive("length of the key", length_in, "in")
    require_positive("width of the key", width_in, "in")
    require_range("width of the face", face_in, 0.0, width_in, "in")
    per = min(_LONG / length_in, 116.0 / width_in)
    tall = width_in * per
    sheet = Sheet(height=2 * tall + 194)
    told = []
    for name, other, levels, filed, y in (
        ("top", "Top face, bears in the hub (roof)", top, filed_top, 40.0),
        (
            "bottom",
            "Bottom face, on the shaft (floor); key turned over",
            bottom,
            filed_bottom,
            102.0 + tall,
        ),
    ):
        plan = _Plan(
            top=y, per=per, length_in=length_in, width_in=width_in, turned=name == "bottom"
        )
        sheet.text(_LEFT, y - 14, other, size=LARGE, bold=True)
        _face(sheet, plan, levels, blued=blued, face_in=face_in)
        _frame(sheet, plan, stood_out_in if levels is not None else 0.0)
        for spot in filed:
            _cross(sheet, plan.at(*spot))
        if aim is not None and name in aim[0]:
            _aim(sheet, plan, aim[1], aim[2])
        marks = "not pushed yet"
        if levels is not None:
            marks = marks_in_words(levels=levels, length_in=length_in, stood_out_in=stood_out_in)
        told.append(f"{name.capitalize()} face: {marks}.")
        if filed:
            told.append(f"{_spots(len(filed))} filed on the {name} face since then.")
    _legend(sheet, y=2 * tall + 150, per=per, blued=blued, filed=bool(filed_top or filed_bottom))
    state = "The key is blued." if blued else "No blue is on the key."
    if not blued and top is not None:
        state = "The blue is off; outlines show where the last bright marks were."
    parts = ["Both faces of the key in plan, large end on the left.", state, *told]
    if top is not None and stood_out_in > 0:
        parts.append(f"{stood_out_in:.2f} in at the large end stood outside the slot.")
    if filings:
        parts.append("Filings lie on the key.")
    if aim is not None:
        parts.append(f"The file is held {aim[1]:g} in from the large end.")
    return sheet.picture(" ".join(parts))


def _spots(count: int) -> str:
    return "1 spot" if count == 1 else f"{count} spots"


def _face(
    sheet: Sheet, plan: _Plan, levels: NDArray[Any] | None, *, blued: bool, face_in: float
) -> None:
    sheet.path([plan.box(0, plan.length_in, plan.width_in / 2)], fill=STEEL, ink="none", weight=0)
    face = [plan.box(0, plan.length_in, face_in / 2)]
    sheet.path(face, fill=BEARING_BLUE if blued else STEEL_LIGHT, ink=INK, weight=0.8)
    if levels is None:
        return
    bright = plan.rings(levels, least=BRIGHT, face_in=face_in)
    if not blued:
        if bright:
            sheet.path(bright, ink=MUTED, weight=FINE, dash=(4, 3), name="old marks")
        return
    thin = plan.rings(levels, least=THINNED, face_in=face_in)
    if thin:
        sheet.path(thin, fill=_THIN_BLUE, ink="none", weight=0, name="thinned")
    if bright:
        sheet.path(bright, fill=_BRIGHT_METAL, ink="none", weight=0, name="bright")
        sheet.cut_metal(bright, fill="none", angle_deg=60, spacing=6.0, weight=FINE)


def _frame(sheet: Sheet, plan: _Plan, stood_out_in: float) -> None:
    sheet.path([plan.box(0, plan.length_in, plan.width_in / 2)], weight=HEAVY)
    for lane in LANES:
        x, y = plan.at(0, lane_place_in(lane=lane, width_in=plan.width_in))
        sheet.text(x - 18, y + 5, lane, anchor="middle", bold=True, ink=TEAL)
    sheet.text(44, plan.middle, "large end", anchor="middle", turn_deg=-90)
    x, _ = plan.at(plan.length_in, 0)
    sheet.text(x + 22, plan.middle, "small end", anchor="middle", turn_deg=-90, ink=MUTED)
    step = 1.0 if plan.length_in <= 12 else 2.0
    place = 0.0
    while place <= plan.length_in + 1e-9:
        x, _ = plan.at(place, 0)
        sheet.line(x, plan.bottom + 2, x, plan.bottom + 8, weight=FINE)
        words = "0 in" if place == 0 else f"{place:g}"
        sheet.text(x, plan.bottom + 22, words, anchor="middle", size=SMALL, ink=MUTED)
        place += step
    if stood_out_in > 0.02:
        x, _ = plan.at(min(stood_out_in, plan.length_in), 0)
        sheet.line(x, plan.top - 4, x, plan.bottom + 6, ink=VERMILION, weight=HEAVY, dash=(7, 4))


def _cross(sheet: Sheet, place: Point) -> None:
    x, y = place
    for ink, weight in ((INK, 4.5), (OCHRE, 2.4)):
        sheet.line(x - 6, y - 6, x + 6, y + 6, ink=ink, weight=weight)
        sheet.line(x - 6, y + 6, x + 6, y - 6, ink=ink, weight=weight)


def _aim(sheet: Sheet, plan: _Plan, u_in: float, y_in: float) -> None:
    x, y = plan.at(u_in, y_in)
    for ink, weight in (("#ffffff", 6.0), (VERMILION, 2.6)):
        sheet.circle(x, y, 13, ink=ink, weight=weight)
        sheet.line(x - 20, y, x + 20, y, ink=ink, weight=weight)
        sheet.line(x, y - 20, x, y + 20, ink=ink, weight=weight)


def _legend(sheet: Sheet, *, y: float, per: float, blued: bool, filed: bool) -> None:
    x = 22.0

    def box(at: float, fill: str) -> list[Point]:
        ring = [(at, y), (at + 30, y), (at + 30, y + 16), (at, y + 16)]
        sheet.path([ring], fill=fill, weight=FINE)
        return ring

    if blued:
        box(x, BEARING_BLUE)
        sheet.text(x + 37, y + 13, "blue whole", size=SMALL)
        box(x + 124, _THIN_BLUE)
        sheet.text(x + 161, y + 13, "thinned", size=SMALL)
        ring = box(x + 226, _BRIGHT_METAL)
        sheet.cut_metal([ring], fill="none", angle_deg=60, spacing=6.0, weight=FINE)
        sheet.text(x + 263, y + 13, "bright: it bore", size=SMALL)
    else:
        box(x, STEEL_LIGHT)
        sheet.text(x + 37, y + 13, "bare steel", size=SMALL)
        sheet.line(x + 124, y + 8, x + 154, y + 8, ink=MUTED, weight=FINE, dash=(4, 3))
        sheet.text(x + 161, y + 13, "last bright marks", size=SMALL)
    sheet.line(x + 372, y - 1, x + 372, y + 17, ink=VERMILION, weight=HEAVY, dash=(7, 4))
    sheet.text(x + 382, y + 13, "mouth", size=SMALL)
    if filed:
        _cross(sheet, (x + 448, y + 8))
        sheet.text(x + 462, y + 13, "filed", size=SMALL)
    sheet.scale_bar(700 - 50 - per, y + 8, per, "1 in")


def draw_stand_out(
    *,
    projection_in: float | None,
    first_projection_in: float | None = None,
    before_in: float | None = None,
    length_in: float,
    height_in: float,
    taper_in_per_in: float,
    driven: bool = False,
) -> Picture:
    """Draw the key in its slot from the side, with the stand-out dimensioned.

    Parameters
    ----------
    projection_in : float or None
        Large end proud of the mouth; None while the key lies on the bench [in].
    first_projection_in, before_in : float, optional
        Stand-out at the first push and at the push before [in].
    length_in, height_in : float
        Length of the key and of the slot, and height at the mouth [in].
    taper_in_per_in : float
        Taper [in/in].
    driven : bool
        Whether the key has been driven.

    Returns
    -------
    Picture
        Hub above, shaft below; the large end is on the left.
    """
    require_positive("length of the key", length_in, "in")
    require_positive("height at the mouth", height_in, "in")
    sheet = Sheet(height=264)
    per = min(58.0, 470.0 / length_in, 74.0 / height_in)
    mouth, floor = 196.0, 190.0
    end = mouth + length_in * per

    def roof(x_in: float) -> float:
        return floor - (height_in - taper_in_per_in * x_in) * per

    up, down = roof(0) - 40, floor + 40
    sheet.text(14, 26, "From the side", size=LARGE, bold=True)
    sheet.cut_metal(
        [[(mouth, roof(0)), (end, roof(length_in)), (end, up), (mouth, up)]], fill=STEEL_LIGHT
    )
    sheet.cut_metal(
        [[(mouth, floor), (end, floor), (end, down), (mouth, down)]], fill=STEEL, angle_deg=-45
    )
    middle = (mouth + end) / 2
    sheet.text(middle, up + 25, "hub", anchor="middle", halo=True)
    sheet.text(middle, floor + 25, "shaft", anchor="middle", halo=True)
    sheet.text(mouth - 8, down - 4, "mouth", anchor="end", ink=MUTED)
    if projection_in is None:
        sheet.text(middle, floor - 24, "the key lies on the bench", anchor="middle", ink=MUTED)
        return sheet.picture(
            "Slot between hub and shaft from the side. The key lies on the bench, not in the slot."
        )
    left, right = mouth - projection_in * per, end - projection_in * per
    tall, low = height_in * per, (height_in - taper_in_per_in * length_in) * per
    ring = [(left, floor), (right, floor), (right, floor - low), (left, floor - tall)]
    sheet.path([ring], fill=OCHRE, weight=HEAVY, name="key")
    sheet.text((left + right) / 2 + 30, floor - tall / 2 + 5, "key", anchor="middle", bold=True)
    for place, dash in ((first_projection_in, (7.0, 4.0)), (before_in, (2.0, 3.0))):
        if place is not None and place - projection_in > 0.02:
            x = mouth - place * per
            sheet.line(x, floor + 6, x, floor - tall - 4, ink=TEAL, weight=MEDIUM, dash=dash)
    told = [f"The large end stands {projection_in:.3f} in out of the mouth."]
    if driven and projection_in <= 1 / 64:
        told = ["The large end is flush with the mouth."]
        sheet.leader(mouth, floor - tall + 8, mouth - 34, up + 18, "flush", ink=TEAL)
    else:
        sheet.dimension((left, floor - tall), (mouth, up), at=up - 22, upright=False)
        at = min(left, mouth - 18) - 12
        sheet.text(
            at, up - 17, f"stands out {projection_in:.3f} in", anchor="end", ink=INK, bold=True
        )
    if first_projection_in is not None and first_projection_in - projection_in > 0.02:
        gained = first_projection_in - projection_in
        x = mouth - first_projection_in * per
        sheet.text(x - 6, floor - 12, "first push", anchor="end", size=SMALL, ink=TEAL)
        told.append(
            f"At the first push it stood {first_projection_in:.3f} in out: {gained:.3f} in gained."
        )
    state = "driven" if driven else "pushed in"
    return sheet.picture(f"Key {state} between hub and shaft, from the side. {' '.join(told)}")


def draw_feeler(
    *,
    leaf_in: float,
    top_mouth_in: float,
    top_far_in: float,
    bottom_mouth_in: float,
    bottom_far_in: float,
    side_enters: bool,
    length_in: float,
) -> Picture:
    """Draw where a feeler leaf goes in around the key; gaps and leaf are drawn far too thick.

    Parameters
    ----------
    leaf_in : float
        Thickness of the leaf [in].
    top_mouth_in, top_far_in, bottom_mouth_in, bottom_far_in : float
        How far it went in above and below the key, from each end [in].
    side_enters : bool
        Whether it goes in between key and side wall.
    length_in : float
        Length of the slot [in].

    Returns
    -------
    Picture
        From the side, and on the mouth.
    """
    require_positive("feeler leaf", leaf_in, "in")
    require_positive("length of the slot", length_in, "in")
    sheet = Sheet(height=276)
    sheet.text(14, 26, f"Feeler, {leaf_in:.4f} in leaf", size=LARGE, bold=True)
    left, right, roof, floor = 112.0, 432.0, 122.0, 182.0
    per = (right - left) / length_in
    sheet.cut_metal([[(left, roof - 5), (right, roof + 1), (right, 84), (left, 84)]])
    sheet.cut_metal(
        [[(left, floor + 5), (right, floor + 5), (right, 220), (left, 220)]],
        fill=STEEL,
        angle_deg=-45,
    )
    sheet.path([[(left, roof), (right, roof + 6), (right, floor), (left, floor)]], fill=OCHRE)
    sheet.text((left + right) / 2, 157, "key", anchor="middle", bold=True)
    told = []
    for where, end, depth, y in (
        ("at the top", "the mouth", top_mouth_in, roof - 2.5),
        ("at the top", "the far end", top_far_in, roof + 3.5),
        ("at the bottom", "the mouth", bottom_mouth_in, floor + 2.5),
        ("at the bottom", "the far end", bottom_far_in, floor + 2.5),
    ):
        mouth = end == "the mouth"
        enters = depth >= 0.125
        tip = min(depth, length_in) * per if enters else 0.0
        ink = VERMILION if enters else TEAL
        x = left + tip if mouth else right - tip
        sheet.line(x, y, left - 58 if mouth else right + 58, y, ink=ink, weight=4)
        if not enters:
            stop = left - 3 if mouth else right + 3
            sheet.line(stop, y - 10, stop, y + 10, ink=TEAL, weight=HEAVY)
        words = f"{depth:.2f} in" if enters else "no"
        up = y < (roof + floor) / 2
        sheet.text(
            left - 8 if mouth else right + 8,
            y - 14 if up else y + 25,
            words,
            anchor="end" if mouth else "start",
            ink=ink,
            bold=True,
        )
        told.append(f"{where} from {end} {f'{depth:.2f} in' if enters else 'not'}")
    sheet.text(left - 4, 246, "mouth", anchor="end", ink=MUTED)
    sheet.text(right + 4, 246, "far end", ink=MUTED)
    _mouth_view(sheet, side_enters=side_enters)
    sheet.text(14, 266, "gaps and leaf drawn far too thick", size=SMALL, ink=MUTED)
    sides = "it goes in at the sides" if side_enters else "the sides are tight"
    return sheet.picture(
        f"Feeler check with a {leaf_in:.4f} in leaf. It goes in: {'; '.join(told)}; {sides}."
    )


def _mouth_view(sheet: Sheet, *, side_enters: bool) -> None:
    x0, x1, y0, y1 = 556.0, 644.0, 122.0, 182.0
    gap = 5.0 if side_enters else 0.0
    hub = [
        (530.0, 84.0),
        (670.0, 84.0),
        (670.0, 150.0),
        (x1, 150.0),
        (x1, y0),
        (x0, y0),
        (x0, 150.0),
        (530.0, 150.0),
    ]
    shaft = [
        (530.0, 220.0),
        (670.0, 220.0),
        (670.0, 154.0),
        (x1, 154.0),
        (x1, y1),
        (x0, y1),
        (x0, 154.0),
        (530.0, 154.0),
    ]
    sheet.cut_metal([hub])
    sheet.cut_metal([shaft], fill=STEEL, angle_deg=-45)
    a, b, ease = x0 + gap, x1 - gap, 5.0
    sheet.path(
        [
            [
                (a + ease, y0),
                (b - ease, y0),
                (b, y0 + ease),
                (b, y1 - ease),
                (b - ease, y1),
                (a + ease, y1),
                (a, y1 - ease),
                (a, y0 + ease),
            ]
        ],
        fill=OCHRE,
    )
    ink = TEAL if side_enters else VERMILION
    if side_enters:
        for x in (x0 + 2.5, x1 - 2.5):
            sheet.line(x, y0 + 10, x, y1 - 10, ink=ink, weight=4)
    sheet.text(600, 72, "on the mouth", anchor="middle", ink=MUTED)
    sheet.text(
        600,
        246,
        "sides: enters" if side_enters else "sides: no",
        anchor="middle",
        bold=True,
        ink=ink,
    )
