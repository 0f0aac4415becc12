"""Section through hub and shaft: the hub hangs on the top, the clearance is below.

The clearance is drawn much larger than it is; the drawing says how many times.
The keyway is drawn at the angle at which it stands.
"""

from __future__ import annotations

import math

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    INK,
    LARGE,
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
    arc_points,
)
from coursework.ink.shop import INCH, ShopUnits
from taperkey.checks import require_finite, require_non_negative, require_positive
from taperkey.formulas.measure import gap_at_angle_in

__all__ = ["SlotFrame", "draw_section"]

_EXAGGERATION = 25.0


def draw_section(
    *,
    diametral_clearance_in: float,
    angle_rad: float,
    opening_height_in: float,
    shaft_diameter_in: float = 4.0,
    key_width_in: float = 1.0,
    units: ShopUnits = INCH,
) -> Picture:
    """Draw hub on shaft, cut across, with the keyway turned to an angle.

    Parameters
    ----------
    diametral_clearance_in : float
        Bore less shaft diameter, 0 or more [in].
    angle_rad : float
        Keyway from the line of contact at the top [rad].
    opening_height_in : float
        Opening with the keyway at the top, where no clearance is in it [in].
    shaft_diameter_in : float
        Shaft diameter, above 0 [in].
    key_width_in : float
        Width of the keyway, above 0 [in].
    units : ShopUnits
        How lengths are written.

    Returns
    -------
    Picture
        The section, with the opening and the clearance's share of it.
    """
    require_non_negative("clearance", diametral_clearance_in, "in")
    require_finite("keyway angle", angle_rad, "rad")
    for name, value in (
        ("opening", opening_height_in),
        ("shaft diameter", shaft_diameter_in),
        ("keyway width", key_width_in),
    ):
        require_positive(name, value, "in")
    gap = float(gap_at_angle_in(diametral_clearance_in=diametral_clearance_in, angle_rad=angle_rad))
    sheet = Sheet(height=440)
    scale = 208.0 / shaft_diameter_in
    shaft_r = 104.0
    drawn = min(_EXAGGERATION * diametral_clearance_in * scale, 30.0)
    factor = drawn / (diametral_clearance_in * scale) if diametral_clearance_in else 0.0
    bore_r = shaft_r + drawn / 2
    cx, cy = 236.0, 206.0
    hub_cy = cy + drawn / 2  # tops touch: the hub hangs
    hub_r = 176.0
    slot = SlotFrame(
        cx=cx,
        cy=cy,
        angle=angle_rad,
        half=key_width_in * scale / 2,
        depth=opening_height_in * scale / 2,
    )
    hub = [
        arc_points(cx=cx, cy=hub_cy, radius=hub_r, start=0, end=2 * math.pi, count=90)[:-1],
        slot.hub_hole(hub_cy, bore_r),
    ]
    sheet.cut_metal(hub, fill=STEEL_LIGHT, angle_deg=45)
    sheet.cut_metal([slot.shaft_outline(shaft_r)], fill=STEEL, angle_deg=-45, spacing=12)
    sheet.centre_line(cx - hub_r - 16, cy, cx + hub_r + 16, cy)
    sheet.centre_line(cx, 14, cx, 404)
    turned = math.remainder(angle_rad, 2 * math.pi)
    rest = turned + 0.36 if abs(turned) < 0.45 else 0.12  # clear of the keyway
    sheet.leader(
        cx + shaft_r * math.sin(rest),
        cy - shaft_r * math.cos(rest),
        cx + 216,
        40,
        "hub rests here",
    )
    _opening(sheet, slot, shaft_r, hub_cy, bore_r)
    if drawn > 1.0:
        low = cy + shaft_r + drawn / 2
        if abs(math.remainder(angle_rad - math.pi, 2 * math.pi)) > 0.45:
            sheet.leader(cx + 12, low, cx + 128, 420, "all the clearance is below")
    _panel(sheet, gap, opening_height_in, diametral_clearance_in, angle_rad, units)
    if factor:
        sheet.text(
            452,
            338,
            f"(clearance drawn × {factor:.0f})",
            size=SMALL,
            ink=MUTED,
        )
    return sheet.picture(
        _words(diametral_clearance_in, angle_rad, opening_height_in, gap, factor, units)
    )


class SlotFrame:
    """The keyway in drawing units: across it (u) and outward along it (v) from the shaft center."""

    def __init__(self, *, cx: float, cy: float, angle: float, half: float, depth: float) -> None:
        self.cx, self.cy, self.half, self.depth = cx, cy, half, depth
        self.out = (math.sin(angle), -math.cos(angle))  # turned clockwise from the top
        self.side = (math.cos(angle), math.sin(angle))

    def at(self, across: float, outward: float) -> Point:
        """Return the place on the sheet."""
        return (
            self.cx + across * self.side[0] + outward * self.out[0],
            self.cy + across * self.side[1] + outward * self.out[1],
        )

    def _local(self, point: Point) -> Point:
        dx, dy = point[0] - self.cx, point[1] - self.cy
        return (dx * self.side[0] + dy * self.side[1], dx * self.out[0] + dy * self.out[1])

    def floor(self, shaft_r: float) -> float:
        """Return how far out the floor lies."""
        return math.sqrt(shaft_r**2 - self.half**2) - self.depth

    def roof(self, hub_cy: float, bore_r: float) -> float:
        """Return how far out the roof lies."""
        return self._edge(hub_cy, bore_r) + self.depth

    def _edge(self, hub_cy: float, bore_r: float) -> float:
        center = self._local((self.cx, hub_cy))
        return center[1] + math.sqrt(bore_r**2 - (self.half + abs(center[0])) ** 2)

    def _round(self, cy: float, radius: float) -> list[Point]:
        """Return the circle without the part that the keyway takes out."""
        points = arc_points(cx=self.cx, cy=cy, radius=radius, start=0, end=2 * math.pi, count=120)[
            :-1
        ]
        local = [self._local(p) for p in points]
        kept = [p[1] < 0 or abs(p[0]) > self.half for p in local]
        first = next(i for i in range(len(kept)) if kept[i] and not kept[i - 1])
        ordered = [points[(first + i) % len(points)] for i in range(len(points))]
        return [p for p in ordered if self._local(p)[1] < 0 or abs(self._local(p)[0]) > self.half]

    def _cross(self, cy: float, radius: float, across: float) -> float:
        center = self._local((self.cx, cy))
        return center[1] + math.sqrt(radius**2 - (across - center[0]) ** 2)

    def shaft_outline(self, radius: float) -> list[Point]:
        """Return the shaft with its slot."""
        floor = self.floor(radius)
        left, right = -self.half, self.half
        return [
            *self._round(self.cy, radius),
            self.at(right, self._cross(self.cy, radius, right)),
            self.at(right, floor),
            self.at(left, floor),
            self.at(left, self._cross(self.cy, radius, left)),
        ]

    def hub_hole(self, hub_cy: float, bore_r: float) -> list[Point]:
        """Return the bore with the slot in the hub."""
        roof = self.roof(hub_cy, bore_r)
        left, right = -self.half, self.half
        return [
            *self._round(hub_cy, bore_r),
            self.at(right, self._cross(hub_cy, bore_r, right)),
            self.at(right, roof),
            self.at(left, roof),
            self.at(left, self._cross(hub_cy, bore_r, left)),
        ]


def _opening(sheet: Sheet, slot: SlotFrame, shaft_r: float, hub_cy: float, bore_r: float) -> None:
    floor, roof = slot.floor(shaft_r), slot.roof(hub_cy, bore_r)
    a, b = slot.at(0, floor), slot.at(0, roof)
    shaft_side, hub_side = floor + slot.depth, roof - slot.depth
    if hub_side - shaft_side > 0.8:  # the clearance's share of the opening
        sheet.path(
            [
                [
                    slot.at(-slot.half, shaft_side),
                    slot.at(slot.half, shaft_side),
                    slot.at(slot.half, hub_side),
                    slot.at(-slot.half, hub_side),
                ]
            ],
            fill=OCHRE,
            ink=VERMILION,
            weight=FINE,
        )
    sheet.line(*a, *b, ink=TEAL, weight=HEAVY)
    sheet.arrowhead(*a, -slot.out[0], -slot.out[1], ink=TEAL)
    sheet.arrowhead(*b, slot.out[0], slot.out[1], ink=TEAL)


def _panel(
    sheet: Sheet,
    gap: float,
    opening: float,
    clearance: float,
    angle_rad: float,
    units: ShopUnits,
) -> None:
    x, y = 452.0, 112.0
    degrees = math.degrees(angle_rad)
    sheet.text(x, y, f"Keyway at {degrees:.0f}°", size=LARGE, bold=True)
    sheet.text(x, y + 20, "counted from the top", size=SMALL, ink=MUTED)
    y += 58
    sheet.line(x + 2, y - 14, x + 2, y + 6, ink=TEAL, weight=HEAVY)
    sheet.text(x + 14, y, f"opening {units.height(opening + gap)}", ink=TEAL, bold=True)
    sheet.text(x + 14, y + 22, f"slots {units.height(opening)}", ink=INK)
    sheet.rect(x - 4, y + 33, 12, 14, fill=OCHRE, ink=VERMILION, weight=FINE)
    sheet.text(x + 14, y + 45, f"+ clearance {units.height(gap)}", ink=INK)
    left_out = clearance - gap
    sheet.text(x, y + 84, "left out of the reading:", ink=INK)
    sheet.text(
        x,
        y + 106,
        units.height(max(left_out, 0.0)),
        bold=True,
        ink=VERMILION if left_out > 0.00005 else TEAL,
        size=LARGE,
    )
    sheet.text(x, y + 128, f"of {units.height(clearance)} clearance", size=SMALL, ink=MUTED)


def _words(
    clearance: float,
    angle_rad: float,
    opening: float,
    gap: float,
    factor: float,
    units: ShopUnits,
) -> str:
    how = f", drawn {factor:.0f} times too large" if factor else ""
    return (
        f"Section across hub and shaft. The hub rests on the top of the shaft; the clearance of "
        f"{units.height(clearance)} is all on the underside{how}. The keyway stands "
        f"{math.degrees(angle_rad):.0f} degrees from the top. The opening there is "
        f"{units.height(opening + gap)} high; {units.height(gap)} of it is clearance. The slots "
        f"make {units.height(opening)}; {units.height(max(clearance - gap, 0.0))} of the "
        "clearance is left out of the reading."
    )
