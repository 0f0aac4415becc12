"""The telescoping gauge in the slot: from the side, and on the face of the hub.

The side view is to scale. It shows what the apprentice chose (place, lean,
where the keyway stands) and no size of the slot.
"""

from __future__ import annotations

import math

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    LARGE,
    MUTED,
    SHADE,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    TEAL,
    Picture,
    Point,
    Sheet,
)
from coursework.ink.shop import INCH, ShopUnits
from keycourse.measure.section import SlotFrame
from taperkey.checks import require_positive, require_range

__all__ = ["draw_telescoping", "largest_lean_rad"]

_HANDLE_RADIUS_IN = 0.09


def largest_lean_rad(*, station_in: float, height_in: float) -> float:
    """Return how far the gauge can lean before its handle touches the edge of the mouth.

    Parameters
    ----------
    station_in : float
        From the mouth, 0 or more [in].
    height_in : float
        Opening, above 0 [in].

    Returns
    -------
    float
        Lean, at most 0.15 [rad].

    Examples
    --------
    >>> largest_lean_rad(station_in=0.0, height_in=1.0)
    0.15
    >>> round(largest_lean_rad(station_in=6.0, height_in=1.0), 3)
    0.068
    """
    require_positive("opening", height_in, "in")
    room = max(height_in / 2 - _HANDLE_RADIUS_IN, 0.02)
    return min(0.15, math.atan2(room, max(station_in, 1e-6)))


def draw_telescoping(
    *,
    station_in: float,
    tilt_rad: float,
    keyway_angle_rad: float,
    slot_length_in: float = 8.0,
    height_in: float = 1.0,
    taper_in_per_in: float = 1 / 96,
    width_in: float = 1.0,
    units: ShopUnits = INCH,
) -> Picture:
    """Draw the gauge at a station, leaning along the slot.

    Parameters
    ----------
    station_in : float
        From the mouth, inside the slot [in].
    tilt_rad : float
        Lean now, -0.6 to 0.6 [rad].
    keyway_angle_rad : float
        Keyway from the top [rad].
    slot_length_in, height_in, taper_in_per_in, width_in : float
        Nominal slot, for the drawing only [in, in/in].
    units : ShopUnits
        How lengths are written.

    Returns
    -------
    Picture
        Side view and face of the hub.
    """
    require_positive("length of the slot", slot_length_in, "in")
    require_range("station", station_in, 0.0, slot_length_in, "in")
    require_range("tilt", tilt_rad, -0.6, 0.6, "rad")
    per = min(66.0, 470.0 / slot_length_in)
    down = max(0.0, height_in - 1.0) * per  # a higher slot pushes what is below it down
    sheet = Sheet(height=312 + down)
    mouth_x, floor_y = 170.0, 112.0
    end_x = mouth_x + slot_length_in * per

    def roof_y(x_in: float) -> float:
        return floor_y + (height_in - taper_in_per_in * x_in) * per

    sheet.text(14, 28, "Along the slot", size=LARGE, bold=True)
    sheet.cut_metal(
        [[(mouth_x, 56), (end_x, 56), (end_x, floor_y), (mouth_x, floor_y)]],
        fill=STEEL,
        angle_deg=-45,
    )
    deep = roof_y(0) + 56
    sheet.cut_metal(
        [
            [
                (mouth_x, roof_y(0)),
                (end_x, roof_y(slot_length_in)),
                (end_x, deep),
                (mouth_x, deep),
            ]
        ],
        fill=STEEL_LIGHT,
    )
    sheet.text((mouth_x + end_x) / 2, 90, "shaft", anchor="middle", halo=True)
    sheet.text(
        (mouth_x + end_x) / 2, deep - 22, "hub (this face slopes)", anchor="middle", halo=True
    )
    sheet.text(mouth_x - 10, 70, "mouth", anchor="end", ink=MUTED)
    _gauge(
        sheet,
        x=mouth_x + station_in * per,
        top=floor_y,
        bottom=roof_y(station_in),
        tilt=tilt_rad,
        per=per,
        handle_end=34.0,
    )
    place_x = mouth_x + station_in * per
    if station_in > 0:
        sheet.dimension(
            (mouth_x, deep), (place_x, roof_y(station_in) + 2), at=deep + 24, upright=False
        )
    words = f"{units.place(station_in)} from the mouth" if station_in else "at the mouth"
    long = place_x - mouth_x > 230
    sheet.text(
        (mouth_x + place_x) / 2 if long else place_x + 14,
        deep + (44 if long else 29),
        words,
        anchor="middle" if long else "start",
    )
    _face(sheet, keyway_angle_rad, height_in=height_in, width_in=width_in)
    return sheet.picture(
        f"Telescoping gauge in the slot, {units.place(station_in)} from the mouth, leaning along "
        f"it {abs(math.degrees(tilt_rad)):.1f} degrees from square. "
        f"The keyway stands {math.degrees(keyway_angle_rad):.0f} degrees from the top."
    )


def _gauge(
    sheet: Sheet,
    *,
    x: float,
    top: float,
    bottom: float,
    tilt: float,
    per: float,
    handle_end: float,
) -> None:
    middle = (top + bottom) / 2
    half = (bottom - top) / 2 / math.cos(tilt)
    up: Point = (math.sin(tilt), -math.cos(tilt))  # along the head, toward the shaft
    back: Point = (-math.cos(tilt), -math.sin(tilt))  # along the handle, toward the hand

    def at(head: float, handle: float) -> Point:
        return (
            x + head * up[0] + handle * back[0],
            middle + head * up[1] + handle * back[1],
        )

    reach = (x - handle_end) / math.cos(tilt)
    thick = _HANDLE_RADIUS_IN * per
    sheet.path([[at(thick, 4), at(thick, reach), at(-thick, reach), at(-thick, 4)]], fill=SHADE)
    knurl = max(reach - 46, 10)
    sheet.path(
        [
            [
                at(thick + 2, knurl),
                at(thick + 2, reach),
                at(-thick - 2, reach),
                at(-thick - 2, knurl),
            ]
        ],
        fill=STEEL,
    )
    for step in (10, 20, 30):
        sheet.line(*at(thick + 1, reach - step), *at(-thick - 1, reach - step), weight=FINE)
    wide, thin = 0.15 * per, 0.105 * per
    for sign in (1, -1):
        tip = [at(sign * half, 0)]
        shoulder = half - 4
        sheet.path(
            [
                [
                    at(sign * 4, thin),
                    at(sign * shoulder, thin),
                    *tip,
                    at(sign * shoulder, -thin),
                    at(sign * 4, -thin),
                ]
            ],
            fill=STEEL_LIGHT,
        )
    sheet.path(
        [
            [
                at(half * 0.5, wide),
                at(half * 0.5, -wide),
                at(-half * 0.5, -wide),
                at(-half * 0.5, wide),
            ]
        ],
        fill=STEEL,
        weight=HEAVY,
    )


def _face(sheet: Sheet, angle: float, *, height_in: float, width_in: float) -> None:
    """Draw the face of the hub with the keyway where it stands."""
    cx, cy, shaft_r, hub_r = 84.0, 238.0, 28.0, 46.0
    per = 2 * shaft_r / (4.0 * max(1.0, height_in))
    sheet.circle(cx, cy, hub_r, fill=STEEL_LIGHT, weight=HEAVY)
    sheet.circle(cx, cy, shaft_r, fill=STEEL, weight=HEAVY)
    slot = SlotFrame(cx=cx, cy=cy, angle=angle, half=width_in * per / 2, depth=height_in * per / 2)
    low, high = slot.floor(shaft_r), slot.floor(shaft_r) + height_in * per
    sheet.path(
        [
            [
                slot.at(-slot.half, low),
                slot.at(slot.half, low),
                slot.at(slot.half, high),
                slot.at(-slot.half, high),
            ]
        ],
        fill="#ffffff",
        weight=HEAVY,
    )
    sheet.line(*slot.at(0, low + 1), *slot.at(0, high - 1), ink=TEAL, weight=4)
    sheet.centre_line(cx, cy - hub_r - 6, cx, cy + hub_r + 6)
    degrees = math.degrees(angle)
    where = "at the bottom" if abs(degrees - 180) < 0.5 else f"{degrees:.0f}° from the top"
    sheet.text(14, 304, f"keyway {where}", size=SMALL, ink=MUTED)
