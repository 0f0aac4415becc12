"""The feeler gauge check: where a leaf goes in around the key."""

from __future__ import annotations

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    LARGE,
    MUTED,
    OCHRE,
    PAPER,
    SMALL,
    STEEL,
    TEAL,
    VERMILION,
    Picture,
    Sheet,
)
from coursework.ink.shop import INCH, ShopUnits
from taperkey.checks import require_positive

__all__ = ["draw_feeler"]


def draw_feeler(
    *,
    leaf_in: float,
    top_mouth_in: float,
    top_far_in: float,
    bottom_mouth_in: float,
    bottom_far_in: float,
    side_enters: bool,
    length_in: float,
    units: ShopUnits = INCH,
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
    units : ShopUnits
        How lengths are written.

    Returns
    -------
    Picture
        From the side, and on the mouth.
    """
    require_positive("feeler leaf", leaf_in, "in")
    require_positive("length of the slot", length_in, "in")
    sheet = Sheet(height=276)
    sheet.text(14, 26, f"Feeler gauge, {units.leaf(leaf_in)} leaf", size=LARGE, bold=True)
    left, right, roof, floor = 112.0, 432.0, 122.0, 182.0
    per = (right - left) / length_in
    sheet.cut_metal([[(left, roof), (right, roof + 6), (right, 84), (left, 84)]])
    sheet.cut_metal(
        [[(left, floor), (right, floor), (right, 220), (left, 220)]],
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
        edge = left if mouth else right
        if enters:
            slope = 6.0 / (right - left) if where == "at the top" else 0.0
            lift = slope * (x - edge)
            gap = [(edge, y - 3.5), (x, y - 3.5 + lift), (x, y + 3.5 + lift), (edge, y + 3.5)]
            sheet.path([gap], fill=PAPER, weight=FINE)
            sheet.line(x, y + lift, edge, y, ink=ink, weight=4)
        away = -1 if mouth else 1
        sheet.line(edge + (0 if enters else 4 * away), y, edge + 58 * away, y, ink=ink, weight=4)
        if not enters:
            stop = edge + 4 * away
            sheet.line(stop, y - 10, stop, y + 10, ink=TEAL, weight=HEAVY)
        words = units.long(depth) if enters else "no"
        up = y < (roof + floor) / 2
        sheet.text(
            left - 8 if mouth else right + 8,
            y - 14 if up else y + 25,
            words,
            anchor="end" if mouth else "start",
            ink=ink,
            bold=True,
        )
        told.append(f"{where} from {end} {words if enters else 'not'}")
    sheet.text(left - 4, 246, "mouth", anchor="end", ink=MUTED)
    sheet.text(right + 4, 246, "far end", ink=MUTED)
    _mouth_view(sheet, side_enters=side_enters)
    sheet.text(14, 266, "gaps and leaf drawn far too thick", size=SMALL, ink=MUTED)
    sides = "it goes in at the sides" if side_enters else "the sides are tight"
    return sheet.picture(
        f"Feeler gauge check with a {units.leaf(leaf_in)} leaf. "
        f"It goes in: {'; '.join(told)}; {sides}."
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
