"""The sketches of the reading form: what is read where, by letters, without a number."""

from __future__ import annotations

from coursework.ink.drawing import LARGE, MUTED, OCHRE, STEEL_LIGHT, TEXT, Picture, Sheet

__all__ = ["LETTERS", "SKETCHES"]

LETTERS = {
    "pull.over-near": "A",
    "pull.over-far": "B",
    "pull.key-width": "E",
    "pull.key-height": "F",
    "pull.key-length": "C",
    "pull.key-outside": "D",
    "opening.hub-widths": "G",
    "opening.shaft-widths": "J",
    "opening.hub-length": "C",
    "opening.shaft-diameter": "K",
    "opening.bore": "M",
    "opening.hub-outside": "P",
    "opening.shaft-slot-depth": "N",
    "opening.slot-radius": "r",
    "key.length-in-slot": "C",
    "key.length-outside": "D",
}
_LONG, _HIGH = 700.0, 352.0


def _letter(sheet: Sheet, x: float, y: float, letter: str) -> None:
    sheet.text(x, y, letter, size=LARGE + 8, bold=True, anchor="middle", halo=True)


def _span(sheet: Sheet, x1: float, y1: float, x2: float, y2: float) -> None:
    """Draw a length with an arrowhead at both ends."""
    middle = ((x1 + x2) / 2, (y1 + y2) / 2)
    sheet.arrow(*middle, x1, y1)
    sheet.arrow(*middle, x2, y2)


def _roof(x: float) -> float:
    """Return where the top of the key is: it gets lower from left to right."""
    return 88 + (x - 130) * 40 / 470


def _hub_shaft_and_key(sheet: Sheet, end: float) -> None:
    """Draw hub, shaft and key, cut along the axis; the large end shows on the left."""
    sheet.rect(40, 150, 620, 120, fill=STEEL_LIGHT)
    sheet.cut_metal([[(210, 44), (560, 44), (560, _roof(560)), (210, _roof(210))]])
    sheet.cut_metal([[(210, 274), (560, 274), (560, 312), (210, 312)]])
    sheet.path([[(130, _roof(130)), (end, _roof(end)), (end, 180), (130, 180)]], fill=OCHRE)
    sheet.centre_line(30, 216, 670, 216)
    sheet.text(60, 240, "shaft", size=TEXT, ink=MUTED)
    sheet.text(470, 70, "hub", size=TEXT, halo=True)
    _span(sheet, 210, 30, 560, 30)
    _letter(sheet, 385, 38, "C")
    _span(sheet, 130, 30, 210, 30)
    _letter(sheet, 170, 22, "D")


def _old_key() -> Picture:
    sheet = Sheet(height=_HIGH, width=_LONG)
    _hub_shaft_and_key(sheet, 600)
    for x, letter in ((192, "A"), (580, "B")):
        sheet.arrow(x, 308, x, 272)
        sheet.arrow(x, _roof(x) - 40, x, _roof(x) - 2)
        sheet.line(x, 270, x, _roof(x), dash=(6, 4))
        _letter(sheet, x - 18 if letter == "A" else x + 18, 306, letter)
    _span(sheet, 116, 88, 116, 180)
    _letter(sheet, 92, 144, "F")
    sheet.text(215, 168, "E wide", size=TEXT)
    sheet.text(
        20, 344, "A, B: from the underside of the shaft to the top of the key", size=TEXT + 2
    )
    return sheet.picture(
        "Shaft, hub and the driven key from the side. A and B: over shaft and key, at the hub face"
        " that shows and at the far one. C: length in the hub. D: what stands out. E and F: width"
        " and height of the key."
    )


def _slot() -> Picture:
    sheet = Sheet(height=_HIGH, width=_LONG)
    # end view, the keyway turned to the bottom: the whole clearance lies in the height
    sheet.circle(170, 150, 140, fill=STEEL_LIGHT)
    sheet.circle(170, 150, 98, fill="#ffffff")
    sheet.circle(170, 144, 92, fill=STEEL_LIGHT)
    sheet.rect(142, 202, 56, 70, fill="#ffffff")
    sheet.line(142, 237, 198, 237, dash=(4, 3))
    _span(sheet, 226, 202, 226, 272)
    _letter(sheet, 248, 262, "h")
    _letter(sheet, 116, 228, "J")
    _letter(sheet, 116, 268, "G")
    sheet.text(170, 40, "hub P", size=TEXT, anchor="middle")
    sheet.text(170, 120, "shaft K", size=TEXT, anchor="middle")
    sheet.text(170, 142, "in bore M", size=TEXT, anchor="middle")
    sheet.text(170, 190, "N, r", size=TEXT, anchor="middle")
    sheet.text(20, 344, "Keyway at the BOTTOM, slot empty and clean", size=TEXT + 2)
    # the same from the side: the slot gets lower going in
    sheet.rect(380, 60, 300, 70, fill=STEEL_LIGHT)
    sheet.text(520, 100, "shaft", size=TEXT, ink=MUTED)
    sheet.cut_metal([[(400, 212), (660, 178), (660, 262), (400, 262)]])
    for x, low, letter in ((432, 208, "h1"), (610, 184, "h2")):
        _span(sheet, x, 130, x, low)
        _letter(sheet, x + 28, 164, letter)
    _span(sheet, 400, 36, 660, 36)
    _letter(sheet, 530, 44, "C")
    sheet.line(400, 212, 400, 320, dash=(6, 4))
    sheet.line(610, 262, 610, 320, dash=(6, 4))
    _span(sheet, 400, 300, 610, 300)
    _letter(sheet, 505, 308, "x2")
    return sheet.picture(
        "The empty slot with the keyway at the bottom. h: height, at distance x from the mouth."
        " G and J: widths in hub and shaft. K: shaft. M: bore. P: outside of the hub. N: depth of"
        " the keyseat. r: radius in its corner. C: length of the hub."
    )


def _new_key() -> Picture:
    sheet = Sheet(height=_HIGH, width=_LONG)
    _hub_shaft_and_key(sheet, 560)
    sheet.rect(130, 122, 50, 26, fill="#ffffff")
    sheet.text(188, 168, "thread", size=TEXT)
    sheet.text(20, 344, "The finished key, home", size=TEXT + 2)
    return sheet.picture(
        "The finished key, home. C: length in the slot. D: length left outside. The thread is in"
        " the large end."
    )


SKETCHES = {"pull": _old_key, "opening": _slot, "key": _new_key}
