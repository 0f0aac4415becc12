"""Live face of the key's eased edge in the corner of the slot: too little, enough, too much."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import ipywidgets

from coursework.ink.drawing import (
    HEAVY,
    LARGE,
    MUTED,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    TEAL,
    VERMILION,
    Picture,
    Point,
    Sheet,
)
from coursework.ink.shop import ShopUnits, shop_units
from coursework.page.controls import Face, choice, labelled_slider
from keycourse.key.card import clearing_chamfer_in
from taperkey.formulas.bearing import bearing_height_in
from taperkey.formulas.key_form import chamfer_clears, held_off_height_in
from taperkey.units import MM_PER_IN, System, fraction_text

__all__ = ["EasedEdge", "draw_eased_edge", "easing_explorer", "eased_edge"]


@dataclass(frozen=True, kw_only=True)
class _Slot:
    """The key and its slot; lengths in inches."""

    width_in: float
    depth_in: float
    radii_in: tuple[float, ...]
    per_in: float  # units of the drawing in an inch of the corner


_SLOTS: dict[str, _Slot] = {
    "inch": _Slot(width_in=1.0, depth_in=0.5, radii_in=(1 / 32, 1 / 16, 3 / 32), per_in=1150.0),
    "metric": _Slot(
        width_in=28 / MM_PER_IN,
        depth_in=9.9 / MM_PER_IN,
        radii_in=tuple(mm / MM_PER_IN for mm in (0.4, 0.6, 0.8)),
        per_in=1900.0,
    ),
}


@dataclass(frozen=True, kw_only=True)
class EasedEdge:
    """How an eased edge sits in the corner; lengths in inches."""

    radius_in: float
    chamfer_in: float
    width_in: float
    depth_in: float
    system: System

    @property
    def held_off_in(self) -> float:
        """Air left under the key."""
        return float(held_off_height_in(slot_radius_in=self.radius_in, chamfer_in=self.chamfer_in))

    @property
    def clears(self) -> bool:
        """Whether the edge clears the radius."""
        return chamfer_clears(slot_radius_in=self.radius_in, chamfer_in=self.chamfer_in)

    @property
    def enough_in(self) -> float:
        """The smallest chamfer of the shop that clears."""
        return clearing_chamfer_in(self.radius_in, self.system)

    @property
    def face_in(self) -> float:
        """Width of the bottom face that bears."""
        return self.width_in - 2 * self.chamfer_in

    @property
    def side_in(self) -> float:
        """Height of a side that bears."""
        return bearing_height_in(slot_side_depth_in=self.depth_in, chamfer_in=self.chamfer_in)


def eased_edge(*, system: System, radius_in: float, chamfer_in: float) -> EasedEdge:
    """Return how an eased edge sits in the corner of the slot."""
    slot = _SLOTS[system]
    return EasedEdge(
        radius_in=radius_in,
        chamfer_in=chamfer_in,
        width_in=slot.width_in,
        depth_in=slot.depth_in,
        system=system,
    )


def _edge(value_in: float, system: System) -> str:
    return (
        f"{round(value_in * MM_PER_IN, 1):g} mm" if system == "metric" else fraction_text(value_in)
    )


def _size(value_in: float, units: ShopUnits) -> str:
    return units.height(value_in) if not units.metric else f"{round(value_in * MM_PER_IN, 1):g} mm"


def draw_eased_edge(edge: EasedEdge) -> Picture:
    """Draw the corner enlarged, and beside it how much of the key bears."""
    units = shop_units(edge.system)
    sheet = Sheet(height=372)
    sheet.text(14, 28, "In the corner", size=LARGE, bold=True)
    sheet.text(392, 28, "What bears", size=LARGE, bold=True)
    _corner(sheet, edge, units)
    _bearing(sheet, edge, units)
    how = (
        f"The edge rides on the radius; {_size(edge.held_off_in, units)} of air under the key."
        if edge.held_off_in > 0
        else "The edge clears the radius; the key lies on the bottom."
        if edge.clears
        else "Edge and radius just touch."
    )
    return sheet.picture(
        f"Corner of a slot with a radius of {_edge(edge.radius_in, edge.system)}, and a key's edge "
        f"eased by {_edge(edge.chamfer_in, edge.system)}. {how} Of {_size(edge.width_in, units)} "
        f"of bottom face {_size(edge.face_in if edge.held_off_in == 0 else 0.0, units)} bear."
    )


def _corner(sheet: Sheet, edge: EasedEdge, units: ShopUnits) -> None:
    per = _SLOTS[edge.system].per_in
    left, right, top, floor = 76.0, 350.0, 52.0, 316.0
    r, c, lift = edge.radius_in * per, edge.chamfer_in * per, edge.held_off_in * per
    fillet: list[Point] = [
        (left + r - r * math.cos(turn), floor - r + r * math.sin(turn))
        for turn in (math.pi / 2 * step / 24 for step in range(25))
    ]
    sheet.cut_metal(
        [[(left, top), *fillet, (right, floor), (right, floor + 36), (left - 52, floor + 36),
          (left - 52, top)]],
        fill=STEEL_LIGHT,
    )  # fmt: skip
    foot = floor - lift
    sheet.path(
        [[(left, top + 18), (left, foot - c), (left + c, foot), (right, foot), (right, top + 18)]],
        fill=STEEL,
        weight=HEAVY,
    )
    sheet.text((left + right) / 2 + 40, top + 78, "key", anchor="middle")
    sheet.text(left - 26, top + 60, "slot", anchor="middle", halo=True, size=SMALL)
    sheet.text(right - 6, floor + 24, "bottom of the slot", anchor="end", halo=True, size=SMALL)
    if lift > 0.5:
        sheet.circle(left, floor - r, 9, ink=VERMILION, weight=3)
        sheet.text(left + 16, floor - r - 12, "rides here", ink=VERMILION, bold=True, halo=True)
        sheet.dimension(
            (right, foot), (right, floor), at=right + 10, words=_size(edge.held_off_in, units),
            ink=VERMILION, anchor="end" if lift > 40 else "start",
        )  # fmt: skip
    elif edge.clears:
        sheet.line(left + c, floor, right, floor, ink=TEAL, weight=6)
        sheet.text(
            right - 10,
            floor - 14,
            "lies on the bottom",
            ink=TEAL,
            bold=True,
            anchor="end",
            halo=True,
        )
    sheet.text(
        14, 366, f"Radius {_edge(edge.radius_in, edge.system)}, eased "
        f"{_edge(edge.chamfer_in, edge.system)} × 45°, enlarged", size=SMALL, ink=MUTED,
    )  # fmt: skip


def _bearing(sheet: Sheet, edge: EasedEdge, units: ShopUnits) -> None:
    per = 220.0 / edge.width_in
    x, y, high = 424.0, 70.0, 2 * edge.depth_in * per
    c, wide = edge.chamfer_in * per, 220.0
    ring = [
        (x + c, y), (x + wide - c, y), (x + wide, y + c), (x + wide, y + high - c),
        (x + wide - c, y + high), (x + c, y + high), (x, y + high - c), (x, y + c),
    ]  # fmt: skip
    sheet.path([ring], fill=STEEL, weight=HEAVY)
    if edge.held_off_in > 0:
        sheet.text(x + wide / 2, y + high / 2, "nothing bears:", anchor="middle", bold=True)
        sheet.text(x + wide / 2, y + high / 2 + 22, "air under the face", anchor="middle")
    else:
        sheet.line(x + c, y + high, x + wide - c, y + high, ink=TEAL, weight=7)
        middle = y + high / 2
        sheet.line(x, middle, x, y + high - c, ink=TEAL, weight=7)
        sheet.line(x + wide, middle, x + wide, y + high - c, ink=TEAL, weight=7)
        sheet.text(
            x + wide / 2, middle + 6, f"{edge.face_in / edge.width_in:.0%} of the face",
            anchor="middle", bold=True,
        )  # fmt: skip
        sheet.text(
            x + wide / 2, middle + 28, f"{edge.side_in / edge.depth_in:.0%} of each side",
            anchor="middle",
        )  # fmt: skip
    sheet.text(
        x + wide / 2, y + high + 40, f"key {_edge(edge.width_in, edge.system)} wide, end view",
        anchor="middle", size=SMALL, ink=MUTED,
    )  # fmt: skip


def _tell(edge: EasedEdge) -> Sequence[str]:
    units, system = shop_units(edge.system), edge.system
    enough = _edge(edge.enough_in, system)
    if edge.held_off_in > 0:
        return (
            f"Too little: the edge rides on the radius, with {_size(edge.held_off_in, units)} of "
            "air under the face. It feels tight and shows blue, along two lines only.",
            f"{enough} is the least of the usual chamfers that clears this corner.",
        )
    if not edge.clears:
        return (f"They just touch: too near to call it clear. Take {enough}.",)
    bears = (
        f"{_size(edge.face_in, units)} of {_size(edge.width_in, units)} of the face bear, and "
        f"{_size(edge.side_in, units)} of {_size(edge.depth_in, units)} of each side."
    )
    if edge.chamfer_in > edge.enough_in + 1e-9:
        return (
            f"It clears, and takes more than it must: {enough} would do. {bears}",
            "What is eased does not bear: the same force presses harder on what is left.",
        )
    return (f"Right: it clears, and no more than that. {bears}",)


def easing_explorer(*, system: System = "inch") -> ipywidgets.VBox:
    """Return the corner of a slot, with a key's edge to ease."""
    slot = _SLOTS[system]
    metric = system == "metric"
    fine = MM_PER_IN if metric else 64.0
    face = Face(
        title="How much to ease",
        under="Ease the edge until the key lies on the bottom, and no further. What does each step "
        "beyond cost?",
        inputs={
            "radius": choice(
                label="Radius in the corner",
                options=[(_edge(one, system), one) for one in slot.radii_in],
                value=slot.radii_in[1],
            ),
            "chamfer": labelled_slider(
                label="Edges eased by",
                value=0.2 if metric else 2,
                low=0,
                high=3 if metric else 12,
                step=0.1 if metric else 1,
                unit="mm" if metric else "64ths",
            ),
        },
        compute=lambda radius, chamfer: eased_edge(
            system=system, radius_in=radius, chamfer_in=chamfer / fine
        ),
        draw=draw_eased_edge,
        tell=_tell,
    )
    heading, *controls = face.widget.children[:3]
    face.widget.children = (heading, face.picture, *controls, face.words)
    return face.widget
