"""A first look at the job: hub, shaft and taper key, from the end and cut along the shaft."""

from __future__ import annotations

from coursework.ink.drawing import (
    HEAVY,
    LARGE,
    MUTED,
    OCHRE,
    ON_KEY,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    TEAL,
    Picture,
    Sheet,
    circle_points,
)

__all__ = ["draw_first_look"]

_STEEPER = 10.0  # times the standard taper
_WIDTH, _HEIGHT = 370.0, 330.0  # of each view


def draw_first_look() -> tuple[Picture, Picture]:
    """Draw a taper key in its hub, from the end and cut along the shaft.

    Returns
    -------
    tuple of two Picture
        The two views, equally large, with their parts named; the taper is drawn ten times too
        steep.
    """
    return _from_the_end(), _cut_along()


def _from_the_end() -> Picture:
    sheet = Sheet(width=_WIDTH, height=_HEIGHT)
    sheet.text(14, 28, "From the end", size=LARGE, bold=True)
    cx, cy, hub_r, shaft_r, half = 150.0, 184.0, 116.0, 60.0, 17.0
    top, floor = cy - shaft_r - 20, cy - shaft_r + 20
    hub = [circle_points(cx=cx, cy=cy, radius=r) for r in (hub_r, shaft_r)]
    sheet.cut_metal(hub, fill=STEEL_LIGHT)
    sheet.cut_metal([hub[1]], fill=STEEL, angle_deg=-45, spacing=12)
    sheet.rect(cx - half, top, 2 * half, floor - top, fill=OCHRE, weight=HEAVY)
    sheet.text(cx, cy - 92, "hub", anchor="middle", halo=True)
    sheet.text(cx, cy + 22, "shaft", anchor="middle", halo=True)
    sheet.leader(cx + half, cy - shaft_r, cx + 132, 62, "key")
    return sheet.picture(
        "A taper key in its hub, from the end: the key sits half in the shaft and half in the hub."
    )


def _cut_along() -> Picture:
    sheet = Sheet(width=_WIDTH, height=_HEIGHT)
    sheet.text(14, 28, "Cut along the shaft", size=LARGE, bold=True)
    near, mouth, far, end, bed, shaft_top = 14.0, 106.0, 314.0, 58.0, 216.0, 194.0
    slope = _STEEPER / 96

    def roof(x: float) -> float:
        return 150.0 + slope * (x - mouth)

    sheet.cut_metal([[(mouth, roof(mouth)), (far, roof(far)), (far, 62), (mouth, 62)]])
    sheet.cut_metal(
        [
            [(near, bed), (far + 12, bed), (far + 12, shaft_top)]
            + [(_WIDTH - 4, shaft_top), (_WIDTH - 4, 292), (near, 292)]
        ],
        fill=STEEL,
        angle_deg=-45,
    )
    sheet.path(
        [[(end, roof(end)), (far, roof(far)), (far, bed), (end, bed)]], fill=OCHRE, weight=HEAVY
    )
    middle = (mouth + far) / 2
    sheet.text(middle, 106, "hub", anchor="middle", halo=True)
    sheet.text(middle, 262, "shaft", anchor="middle", halo=True)
    sheet.text(middle, 200, "key", anchor="middle", ink=ON_KEY)
    sheet.text(end - 2, 128, "large end", anchor="middle", bold=True, ink=TEAL)
    sheet.arrow(4, 184, 50, 184, ink=TEAL, weight=4, length=18)
    sheet.text(4, 166, "drive", anchor="start", bold=True, ink=TEAL)
    sheet.text(14, 320, f"taper drawn {_STEEPER:.0f} times too steep", size=SMALL, ink=MUTED)
    return sheet.picture(
        "The same, cut along the shaft: the key is a wedge, higher at the end that is driven. Its "
        "bottom lies on the shaft's slot, its sloping top against the hub's."
    )
