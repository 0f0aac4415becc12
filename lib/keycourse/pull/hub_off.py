"""Practice of exercise 05: the hub comes off. Its order, and what the pull runs through."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    INK,
    LARGE,
    MEDIUM,
    MUTED,
    ON_KEY,
    PAPER,
    STEEL,
    STEEL_LIGHT,
    TEAL,
    VERMILION,
    Picture,
    Point,
    Sheet,
)
from coursework.ink.look import light
from coursework.question import Fact, Ordering, PictureMarks, WorkedLine, letters_of
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import Given, in_order, lettered, letters_at, steps_in_order

__all__ = ["HUB_OFF", "draw_hub_off"]

WORDS = words_beside(__file__)

_Y, _HALF = 232.0, 38.0  # axis of the shaft, and half its thickness
_END = 236.0  # end of the shaft
_HUB = (320.0, 440.0)
_TALL = 98.0  # half of the hub
_ACROSS = 126.0  # half of crosshead and plate
_LETTER, _NAME = 24.0, 18.0  # a phone shows them at half of that
_HEAD = (98.0, 128.0)  # crosshead
_PLATE = (440.0, 466.0)
_ROD = 110.0  # of a rod from the axis

#: What can be pointed at, and where.
PLACES: Mapping[str, Point] = {
    "jack": (180.0, _Y),
    "crosshead": (113.0, _Y - 60),
    "rod": (270.0, _Y - _ROD),
    "plate": (453.0, _Y + 76),
    "hub": (380.0, _Y + 70),
    "sling": (380.0, 66.0),
    "bearing": (566.0, _Y - 62),
    "frame": (566.0, _Y + 128),
}
_PATH = ("jack", "crosshead", "rod", "plate", "hub")
_CALLED = {
    "jack": "jack between crosshead and end of the shaft",
    "crosshead": "crosshead before the end of the shaft",
    "rod": "one of the rods from the crosshead to the plate",
    "plate": "plate behind the hub",
    "hub": "the hub",
    "sling": "sling that carries the hub",
    "bearing": "bearing of the shaft",
    "frame": "frame under the bearing",
}
_BOXES = {
    "jack": (0.0, 54.0), "crosshead": (-56.0, -10.0), "rod": (-46.0, -34.0),
    "plate": (52.0, 10.0), "hub": (-104.0, 4.0), "sling": (-58.0, 0.0),
    "bearing": (66.0, -14.0), "frame": (62.0, 0.0),
}  # fmt: skip


def draw_hub_off(letters: Mapping[str, str] | None = None) -> Picture:
    """Draw a hub on its way off: puller, sling, bearing; the load path, or lettered places.

    Parameters
    ----------
    letters : mapping of str to str, optional
        Letter of each of :data:`PLACES`; without them the way of the pull is drawn and named.

    Returns
    -------
    Picture
        Section along the shaft.
    """
    title = "What does the pull run through?" if letters else "The pull runs round in a ring"
    sheet = Sheet(height=414)
    sheet.text(14, 26, title, size=LARGE, bold=True)
    _shaft(sheet)
    _hub(sheet)
    _puller(sheet)
    if letters is None:
        _way(sheet)
        return sheet.picture(
            "Hub, key and shaft in section. A sling carries the hub. A jack stands between the end "
            "of the shaft and a crosshead; two rods run from the crosshead to a plate behind the "
            "hub. The pull runs from the jack into the crosshead, along the rods to the plate, "
            "into the hub, through the faces of key and bore into the shaft, and back to the jack. "
            "The bearing is not in it. The small end of the key shows, and the hub comes this way."
        )
    for name in sorted(PLACES, key=lambda one: letters[one]):
        x, y = PLACES[name]
        right, down = _BOXES[name]
        sheet.line(x + right, y + down, x, y, ink=TEAL, weight=MEDIUM)
        sheet.circle(x, y, 4.5, fill=TEAL, ink=PAPER, weight=FINE)
        sheet.circle(x + right, y + down, 19, fill=PAPER, ink=TEAL, weight=HEAVY)
        sheet.text(
            x + right, y + down + 8, letters[name], anchor="middle", bold=True, ink=TEAL,
            size=_LETTER,
        )  # fmt: skip
    told = "; ".join(
        f"{letters[one]}, {_CALLED[one]}" for one in sorted(PLACES, key=lambda one: letters[one])
    )
    return sheet.picture(f"Hub, key and shaft in section, with puller and sling. Places: {told}.")


def _shaft(sheet: Sheet) -> None:
    sheet.rect(520, _Y + 98, 166, 50, fill=STEEL_LIGHT, ink=MUTED, weight=FINE)
    sheet.text(524, _Y + 168, "frame", size=_NAME, ink=MUTED)
    for side in (-1, 1):  # bearing: housing and balls
        top = _Y - 88 if side < 0 else _Y + _HALF
        sheet.rect(532, top, 68, 50 if side < 0 else 60, fill=STEEL, weight=HEAVY)
        sheet.circle(566, _Y + side * 58, 11, fill=PAPER, weight=MEDIUM)
    sheet.text(566, _Y - 96, "bearing", size=_NAME, anchor="middle", ink=MUTED)
    shaft: list[Point] = [(_END, _Y - _HALF), (686, _Y - _HALF), (680, _Y - 16), (690, _Y + 16),
                          (684, _Y + _HALF), (_END, _Y + _HALF)]  # fmt: skip
    sheet.path([shaft], fill=STEEL_LIGHT, weight=HEAVY)
    sheet.text(640, _Y + 6, "shaft", size=_NAME, ink=MUTED, anchor="middle")


def _hub(sheet: Sheet) -> None:
    left, right = _HUB
    upper: list[Point] = [(left, _Y - _TALL), (right, _Y - _TALL), (right, _Y - _HALF - 22),
                          (left, _Y - _HALF - 14)]  # fmt: skip
    lower: list[Point] = [(left, _Y + _HALF), (right, _Y + _HALF), (right, _Y + _TALL),
                          (left, _Y + _TALL)]  # fmt: skip
    for ring in (upper, lower):
        sheet.cut_metal([ring], fill=STEEL, spacing=13)
    key: list[Point] = [(left - 14, _Y - _HALF - 13), (right + 20, _Y - _HALF - 24),
                        (right + 20, _Y - _HALF + 14), (left - 14, _Y - _HALF + 14)]  # fmt: skip
    sheet.path([key], fill=light("key"), weight=HEAVY)
    sheet.text((left + right) / 2, _Y - _HALF + 2, "key", size=_NAME, anchor="middle", ink=ON_KEY)
    sheet.text((left + right) / 2, _Y + 62, "hub", anchor="middle", size=_NAME, halo=True)
    middle = (left + right) / 2
    for side in (-1, 1):  # sling round the hub, up to the hook
        sheet.line(middle + side * 56, _Y - _TALL, middle, 56, ink=INK, weight=HEAVY)
    sheet.path([[(middle, 56), (middle, 34)]], closed=False, weight=4)
    sheet.text(middle + 24, 62, "sling, rated", size=_NAME)


def _puller(sheet: Sheet) -> None:
    left, right = _HEAD
    for side in (-1, 1):
        y = _Y + side * _ROD
        sheet.rect(left - 18, y - 7, _PLATE[1] + 22 - left + 18, 14, fill=PAPER, weight=MEDIUM)
        sheet.rect(left - 16, y - 15, 16, 30, fill=STEEL, weight=MEDIUM)
        sheet.rect(_PLATE[1], y - 15, 16, 30, fill=STEEL, weight=MEDIUM)
    sheet.rect(left, _Y - _ACROSS, right - left, 2 * _ACROSS, fill=STEEL_LIGHT, weight=HEAVY)
    for side in (-1, 1):  # the plate, open for shaft and key
        top = _Y - _ACROSS if side < 0 else _Y + _HALF + 4
        sheet.rect(
            _PLATE[0], top, _PLATE[1] - _PLATE[0], _ACROSS - _HALF - (28 if side < 0 else 4),
            fill=STEEL_LIGHT, weight=HEAVY,
        )  # fmt: skip
    sheet.rect(right, _Y - 15, 40, 30, fill=PAPER, weight=HEAVY)
    sheet.rect(right + 38, _Y - 26, _END - right - 38, 52, fill=STEEL, weight=HEAVY, round_by=3)


def _way(sheet: Sheet) -> None:
    """Draw the way of the pull as a ring of arrows, and name the parts."""
    left, right = _HEAD
    for side in (-1, 1):
        y = _Y + side * (_ACROSS + 12)
        sheet.arrow(_PLATE[0] + 10, y, left + 14, y, ink=VERMILION, weight=HEAVY)
        push = _Y + (66 if side > 0 else -82)
        sheet.arrow(_PLATE[0] + 34, push, _HUB[1] - 26, push, ink=VERMILION, weight=HEAVY)
    sheet.arrow(_END - 2, _Y, _END + 74, _Y, ink=VERMILION, weight=HEAVY)
    sheet.arrow(right + 26, _Y, left + 4, _Y, ink=VERMILION, weight=HEAVY)
    sheet.text(200, _Y + 6, "jack", size=_NAME, anchor="middle")
    sheet.text(14, _Y - 136, "crosshead", size=_NAME)
    sheet.text(200, _Y - _ROD + 26, "rods", size=_NAME)
    sheet.text(_PLATE[1] + 8, _Y + 86, "plate", size=_NAME)
    sheet.text(_HUB[0] - 22, _Y - 50, "small end shows", size=_NAME, anchor="end")
    y = _Y + _ACROSS + 38
    sheet.text(246, y + 5, "the hub comes this way", size=_NAME, ink=TEAL, bold=True)
    sheet.arrow(234, y, 154, y, ink=TEAL, weight=HEAVY)


def _path_facts(card: JobCard) -> Sequence[Fact]:
    return (
        Fact("Rig", "crosshead, rods and plate; the jack stands on the end of the shaft"),
        Fact("Hub", "hangs in a sling; its key shows the small end"),
    )


def _path_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    right = letters_at("05-pull-path", tuple(PLACES), *_PATH)(card, given)
    return (
        WorkedLine(
            why="Start at the jack and follow the force until you are back: crosshead, rods, "
            "plate, hub, shaft, jack. Each of them must carry the whole pull.",
            result=" ".join(right) if isinstance(right, tuple) else "",
        ),
        WorkedLine(
            why="The sling carries the hub's weight and nothing of the pull. Bearing and frame are "
            "outside the ring, because the jack stands on the shaft."
        ),
    )


_ORDER = "CFADBE"


HUB_OFF = (
    WORDS.question(
        "05-pull-path",
        kind=PictureMarks(options=letters_of(len(PLACES))),
        expected=letters_at("05-pull-path", tuple(PLACES), *_PATH),
        slips={
            "sling counted in": letters_at("05-pull-path", tuple(PLACES), *_PATH, "sling"),
            "bearing counted in": letters_at("05-pull-path", tuple(PLACES), *_PATH, "bearing"),
            "bearing and frame counted in": letters_at(
                "05-pull-path", tuple(PLACES), *_PATH, "bearing", "frame"
            ),
            "hub left out": letters_at(
                "05-pull-path", tuple(PLACES), *(one for one in _PATH if one != "hub")
            ),
            "plate left out": letters_at(
                "05-pull-path", tuple(PLACES), *(one for one in _PATH if one != "plate")
            ),
            "crosshead left out": letters_at(
                "05-pull-path", tuple(PLACES), *(one for one in _PATH if one != "crosshead")
            ),
            "everything marked": letters_at("05-pull-path", tuple(PLACES), *PLACES),
        },
        facts=_path_facts,
        worked=_path_work,
        picture=lambda card: draw_hub_off(lettered(card, "05-pull-path", tuple(PLACES))).html(),
    ),
    WORDS.question(
        "05-hub-off",
        kind=Ordering(steps=WORDS.steps("05-hub-off")),
        expected=in_order(_ORDER),
        slips={
            "loosened before it hung": in_order("CAFDBE"),
            "pulled before the heat": in_order("CFABDE"),
            "flame before it was held": in_order("CDFABE"),
            "lift begun before lock-out": in_order("FCADBE"),
            "rig off first": in_order("CFADEB"),
        },
        facts=_path_facts,
        worked=steps_in_order(WORDS.steps("05-hub-off"), _ORDER),
    ),
)
