"""The fitting bench in pictures: spots on both faces, and the key in its slot.

Bright spots are told from blue by color, by hatching and by an outline, so
that gray print and color-blind readers see them. Plan and side view are to
scale.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, cast

from coursework.ink.drawing import (
    BEARING_BLUE,
    FINE,
    HEAVY,
    INK,
    LARGE,
    MEDIUM,
    MUTED,
    OCHRE,
    ON_KEY,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    TEAL,
    VERMILION,
    Picture,
    Point,
    Sheet,
    _hatch_segments,
)
from coursework.ink.shop import INCH, ShopUnits
from taperkey.arrays import np
from taperkey.checks import require_positive, require_range
from taperkey.counts import counted

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = [
    "LANES",
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


def _ranges(field: NDArray[Any], *, spacing_in: float, units: ShopUnits) -> list[str]:
    """Return where along one lane bright spots lie, to half an inch or to 13 mm."""
    rows = max(1, round(0.5 / spacing_in))
    found: list[list[int]] = []
    for number, begin in enumerate(range(0, field.shape[0], rows)):
        if float((field[begin : begin + rows] >= BRIGHT).mean()) < 0.05:
            continue
        if found and found[-1][1] == number:
            found[-1][1] = number + 1
        else:
            found.append([number, number + 1])
    return [_stretch(a / 2, b / 2, units) for a, b in found]


def _stretch(first_in: float, last_in: float, units: ShopUnits) -> str:
    if not units.metric:
        return units.span(first_in, last_in)
    return f"{first_in * units.per_in:.0f} to {last_in * units.per_in:.0f} {units.unit}"


def marks_in_words(
    *,
    levels: NDArray[Any],
    length_in: float,
    stood_out_in: float = 0.0,
    units: ShopUnits = INCH,
) -> str:
    """Return the bright spots of one face in words, lane by lane.

    Parameters
    ----------
    levels : ndarray of int, shape (k, n)
        0 blue untouched, 1 thinned, 2 bright; from the large end, side A first.
    length_in : float
        Length of the key [in].
    stood_out_in : float
        Part at the large end that was outside the slot [in].
    units : ShopUnits
        How lengths are written.
    """
    spacing = length_in / levels.shape[0]
    first = min(round(stood_out_in / spacing), levels.shape[0] - 1)
    share = float((levels[first:] >= BRIGHT).mean())
    if share == 0:
        return "no bright spots"
    lanes = []
    for lane, part in zip(LANES, np.array_split(levels, 3, axis=1), strict=True):
        ranges = _ranges(part, spacing_in=spacing, units=units)
        lanes.append(f"{lane} {', '.join(ranges) or 'none'}")
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
        import contourpy  # brings numpy: whoever draws no contour needs neither

        generator = contourpy.contour_generator(
            x=_LEFT + u * self.per,
            y=self.middle + self.sign * y * self.per,
            z=z.T,
            fill_type=contourpy.FillType.OuterOffset,
        )
        points, offsets = cast(
            "tuple[list[NDArray[Any]], list[NDArray[Any]]]", generator.filled(0.5, 9.0)
        )
        return [
            _fewer(ring[low : high - 1])
            for ring, ends in zip(points, offsets, strict=True)
            for low, high in zip(ends[:-1], ends[1:], strict=True)
        ]


def _fewer(ring: NDArray[Any]) -> list[Point]:
    """Round small steps off, and leave out points on the line between their neighbors."""
    if len(ring) > 24:  # the strips of the grid leave small steps: round them off
        for _ in range(2):
            ring = (np.roll(ring, 1, axis=0) + 2 * ring + np.roll(ring, -1, axis=0)) / 4
    for _ in range(2):
        if len(ring) < 12:
            break
        before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
        chord, rest = after - before, ring - before
        size = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-9)
        off = np.abs(chord[:, 0] * rest[:, 1] - chord[:, 1] * rest[:, 0]) / size
        drop = off < 0.25
        drop[::2] = False
        ring = ring[~drop]
    return [(float(a), float(b)) for a, b in ring]


def _bright(sheet: Sheet, rings: list[list[Point]]) -> None:
    """Fill, hatch and outline bright metal."""
    sheet.path(rings, fill=_BRIGHT_METAL, ink=INK, weight=FINE, name="bright")
    hatch = _hatch_segments(rings, math.radians(60), 6.0)
    sheet.path(hatch, ink=MUTED, weight=FINE, closed=False, name="hatch")


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
    units: ShopUnits = INCH,
) -> Picture:
    """Draw both faces of the key in plan, with blue, bright spots and filed spots.

    Parameters
    ----------
    top, bottom : ndarray of int, shape (k, n), or None
        0 blue untouched, 1 thinned, 2 bright; None before the first push.
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
    units : ShopUnits
        How lengths are written.

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
        ("top", "Top face, bears in the hub", top, filed_top, 40.0),
        (
            "bottom",
            "Bottom face, on the shaft; key turned over",
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
        _frame(sheet, plan, stood_out_in if levels is not None else 0.0, units)
        for spot in filed:
            _cross(sheet, plan.at(*spot))
        if aim is not None and name in aim[0]:
            _aim(sheet, plan, aim[1], aim[2])
        marks = "not pushed yet"
        if levels is not None:
            marks = marks_in_words(
                levels=levels, length_in=length_in, stood_out_in=stood_out_in, units=units
            )
        told.append(f"{name.capitalize()} face: {marks}.")
        if filed:
            told.append(f"{counted(len(filed), 'spot')} filed on the {name} face since then.")
    _legend(
        sheet,
        y=2 * tall + 150,
        per=per,
        blued=blued,
        filed=bool(filed_top or filed_bottom),
        units=units,
    )
    state = "The key is blued." if blued else "No blue is on the key."
    if not blued and top is not None:
        state = "The blue is off; outlines show where the last bright spots were."
    parts = ["Both faces of the key in plan, large end on the left.", state, *told]
    if top is not None and stood_out_in > 0:
        parts.append(f"{units.long(stood_out_in)} at the large end stood outside the slot.")
    if filings:
        parts.append("There are filings on the key.")
    if aim is not None:
        parts.append(f"The file is held {units.place(aim[1])} from the large end.")
    return sheet.picture(" ".join(parts))


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
        _bright(sheet, bright)


def _frame(sheet: Sheet, plan: _Plan, stood_out_in: float, units: ShopUnits) -> None:
    sheet.path([plan.box(0, plan.length_in, plan.width_in / 2)], weight=HEAVY)
    for lane in LANES:
        x, y = plan.at(0, lane_place_in(lane=lane, width_in=plan.width_in))
        sheet.text(x - 18, y + 5, lane, anchor="middle", bold=True, ink=TEAL)
    sheet.text(44, plan.middle, "large end", anchor="middle", turn_deg=-90)
    x, _ = plan.at(plan.length_in, 0)
    sheet.text(x + 22, plan.middle, "small end", anchor="middle", turn_deg=-90, ink=MUTED)
    short = plan.length_in <= 12
    step = (20.0 if short else 50.0) if units.metric else (1.0 if short else 2.0)
    place = 0.0  # in the shop's own unit
    while place <= plan.length_in * units.per_in + 1e-9:
        x, _ = plan.at(place / units.per_in, 0)
        sheet.line(x, plan.bottom + 2, x, plan.bottom + 8, weight=FINE)
        words = f"0 {units.unit}" if place == 0 else f"{place:g}"
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


def _legend(
    sheet: Sheet, *, y: float, per: float, blued: bool, filed: bool, units: ShopUnits
) -> None:
    x = 22.0

    def box(at: float, fill: str) -> list[Point]:
        ring = [(at, y), (at + 30, y), (at + 30, y + 16), (at, y + 16)]
        sheet.path([ring], fill=fill, weight=FINE)
        return ring

    if blued:
        box(x, BEARING_BLUE)
        sheet.text(x + 37, y + 13, "untouched", size=SMALL)
        box(x + 124, _THIN_BLUE)
        sheet.text(x + 161, y + 13, "thinned", size=SMALL)
        _bright(sheet, [box(x + 226, _BRIGHT_METAL)])
        sheet.text(x + 263, y + 13, "bright: it bore", size=SMALL)
    else:
        box(x, STEEL_LIGHT)
        sheet.text(x + 37, y + 13, "bare steel", size=SMALL)
        sheet.line(x + 124, y + 8, x + 154, y + 8, ink=MUTED, weight=FINE, dash=(4, 3))
        sheet.text(x + 161, y + 13, "last bright spots", size=SMALL)
    sheet.line(x + 386, y - 1, x + 386, y + 17, ink=VERMILION, weight=HEAVY, dash=(7, 4))
    sheet.text(x + 396, y + 13, "mouth", size=SMALL)
    if filed:
        _cross(sheet, (x + 464, y + 8))
        sheet.text(x + 478, y + 13, "filed", size=SMALL)
    words, bar, room = ("1 in", per, 50)  # room beside the bar for the words
    if units.metric:
        words, bar, room = ("20 mm", per * 20 / units.per_in, 66)
    sheet.scale_bar(700 - room - bar, y + 8, bar, words)


def draw_stand_out(
    *,
    projection_in: float | None,
    first_projection_in: float | None = None,
    before_in: float | None = None,
    length_in: float,
    height_in: float,
    taper_in_per_in: float,
    driven: bool = False,
    units: ShopUnits = INCH,
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
    units : ShopUnits
        How lengths are written.

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
    sheet.text(
        (left + right) / 2 + 30, floor - tall / 2 + 5, "key", anchor="middle", bold=True, ink=ON_KEY
    )
    for place, dash in ((first_projection_in, (7.0, 4.0)), (before_in, (2.0, 3.0))):
        if place is not None and place - projection_in > 0.02:
            x = mouth - place * per
            sheet.line(x, floor + 6, x, floor - tall - 4, ink=TEAL, weight=MEDIUM, dash=dash)
    told = [f"The large end stands {units.travel(projection_in)} out of the mouth."]
    if driven and projection_in <= 1 / 64:
        told = ["The large end is flush with the mouth."]
        sheet.leader(mouth, floor - tall + 8, mouth - 34, up + 18, "flush", ink=TEAL)
    else:
        sheet.dimension((left, floor - tall), (mouth, up), at=up - 22, upright=False)
        words = f"stands out {units.travel(projection_in)}"
        sheet.text(mouth + 24, up - 17, words, bold=True)
    if first_projection_in is not None and first_projection_in - projection_in > 0.02:
        gained = first_projection_in - projection_in
        x = mouth - first_projection_in * per
        sheet.text(x - 6, floor - 12, "first push", anchor="end", size=SMALL, ink=TEAL)
        told.append(
            f"At the first push it stood {units.travel(first_projection_in)} out: "
            f"{units.travel(gained)} gained."
        )
    state = "driven" if driven else "pushed in"
    return sheet.picture(f"Key {state} between hub and shaft, from the side. {' '.join(told)}")
