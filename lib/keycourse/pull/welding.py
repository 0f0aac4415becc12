"""Practice of exercise 05: where the weld goes, where the ground clamp sits, and in what order."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

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
    WIDTH,
    Picture,
    Point,
    Sheet,
)
from coursework.ink.look import light
from coursework.question import Fact, Ordering, PictureMarks, WorkedLine, letters_of
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import Given, in_order, lettered, letters_at, narrow, steps_in_order

__all__ = ["WELDING", "draw_welding"]

WORDS = words_beside(__file__)

_Y, _FACE = 190.0, 330.0  # axis of the key, and the hub's face
_BAR, _KEY = (118.0, 168.0), 24.0  # the bar along the pull; half the key's width
_TIP = 24.0
_NEAR = 486.0  # width of the picture where the bearing is left out
_LETTER, _NAME = 24.0, 18.0  # a phone shows them at half of that

#: Where a weld could go: its place, and whether it is right.
WELDS: Mapping[str, Point] = {
    "joint, one side": (174.0, _Y - _KEY + 2),
    "joint, other side": (174.0, _Y + _KEY - 2),
    "bead on the key": (252.0, _Y),
    "key to hub": (_FACE - 2, _Y - _KEY - 1),
    "jack to bar": (176.0, _Y + 92),
    "jack to hub": (_FACE - 4, _Y - 92),
}
_JOINTS = ("joint, one side", "joint, other side")
#: Where the ground clamp could sit.
CLAMPS: Mapping[str, Point] = {
    "bar": (143.0, _Y - 112),
    "key": (252.0, _Y),
    "jack": (262.0, _Y + 92),
    "bearing": (556.0, _Y - 64),
    "frame": (620.0, _Y + 148),
    "column": (662.0, _Y - 104),
}
_HOLDS = ("bar", "key")
_SIDES = {  # a letter's box stands beside its place, so that the place itself is seen
    "joint, one side": (-84.0, -52.0), "joint, other side": (-84.0, 52.0),
    "bead on the key": (0.0, 48.0), "key to hub": (54.0, -42.0),
    "jack to bar": (-84.0, 34.0), "jack to hub": (-46.0, -44.0),
    "bar": (-62.0, -22.0), "key": (0.0, 48.0), "jack": (0.0, 46.0), "bearing": (-58.0, -24.0),
    "frame": (-70.0, 4.0), "column": (-56.0, -14.0),
}  # fmt: skip


def draw_welding(places: Mapping[str, Point], letters: Mapping[str, str], title: str) -> Picture:
    """Draw bar, key, hub, shaft and bearing from above, with lettered places.

    Parameters
    ----------
    places : mapping of str to Point
        Name of each place and where it is on the sheet.
    letters : mapping of str to str
        Its letter.
    title : str
        Written above.

    Returns
    -------
    Picture
        Plan; the words name what each letter points at.
    """
    near = "bearing" not in places  # nothing beyond the hub is asked for
    sheet = Sheet(height=340 if near else 392, width=_NEAR if near else WIDTH)
    sheet.text(14, 26, title, size=LARGE, bold=True)
    _shaft_and_bearing(sheet, near=near)
    _rig(sheet)
    for name in sorted(places, key=lambda one: letters[one]):
        x, y = places[name]
        right, down = _SIDES[name]
        sheet.line(x + right, y + down, x, y, ink=TEAL, weight=MEDIUM)
        sheet.circle(x, y, 4.5, fill=TEAL, ink=PAPER, weight=FINE)
        sheet.circle(x + right, y + down, 19, fill=PAPER, ink=TEAL, weight=HEAVY)
        sheet.text(
            x + right, y + down + 8, letters[name], anchor="middle", bold=True, ink=TEAL,
            size=_LETTER,
        )  # fmt: skip
    told = "; ".join(
        f"{letters[one]}, {_CALLED[one]}" for one in sorted(places, key=lambda one: letters[one])
    )
    return sheet.picture(
        f"{title}. Bar across the end of the key, jacks on the hub, shaft in a bearing on the "
        f"frame, from above. Places: {told}."
    )


_CALLED = {
    "joint, one side": "joint of bar and key, one side, both beveled",
    "joint, other side": "joint of bar and key, other side, both beveled",
    "bead on the key": "on the key's own side, away from the bar",
    "key to hub": "key and hub, at the mouth of the slot",
    "jack to bar": "plunger of a jack and the bar",
    "jack to hub": "foot of a jack and the hub",
    "bar": "the bar",
    "key": "the key's end",
    "jack": "body of a jack",
    "bearing": "housing of the bearing",
    "frame": "frame of the machine",
    "column": "column of the building",
}


def _shaft_and_bearing(sheet: Sheet, *, near: bool) -> None:
    hub_end = _FACE + 140
    if not near:
        for middle in (500, 598):  # the frame: two beams that the bearing stands on, and one across
            sheet.rect(middle, _Y - 116, 24, 250, fill=STEEL_LIGHT, ink=MUTED, weight=FINE)
        sheet.rect(488, _Y + 134, 196, 26, fill=STEEL_LIGHT, ink=MUTED, weight=FINE)
        sheet.text(684, _Y + 180, "frame", size=_NAME, ink=MUTED, anchor="end")
        sheet.rect(648, _Y - 140, 28, 72, fill=STEEL, weight=MEDIUM)
        sheet.rect(655, _Y - 128, 14, 48, fill=PAPER, ink="none", weight=0)
        sheet.text(690, _Y - 148, "column", size=_NAME, ink=MUTED, anchor="end")
    sheet.rect(_FACE - 16, _Y - 46, 372, 92, fill=STEEL_LIGHT, weight=HEAVY)
    if not near:
        sheet.text(628, _Y + 6, "shaft", size=_NAME, ink=MUTED)
        for side in (-1, 1):  # housing above and below the shaft, with its balls
            top = _Y - 80 if side < 0 else _Y + 46
            sheet.rect(494, top, 134, 34, fill=STEEL, weight=HEAVY)
            sheet.circle(556, _Y + side * 57, 10, fill=PAPER, weight=MEDIUM)
        sheet.text(556, _Y + 5, "bearing", size=_NAME, anchor="middle", halo=True)
    for top in (_Y - 128, _Y + _KEY):
        ring: list[Point] = [(_FACE, top), (hub_end, top), (hub_end, top + 128 - _KEY),
                             (_FACE, top + 128 - _KEY)]  # fmt: skip
        sheet.cut_metal([ring], fill=STEEL, spacing=13)
    sheet.text(_FACE + 70, _Y - 136, "hub", anchor="middle", size=_NAME)


def _rig(sheet: Sheet) -> None:
    left, right = _BAR
    for side in (-1, 1):
        y = _Y + side * 92
        sheet.rect(right, y - 14, 56, 28, fill=PAPER, weight=HEAVY)
        sheet.rect(right + 54, y - 24, _FACE - right - 54, 48, fill=STEEL, weight=HEAVY, round_by=3)
    sheet.text(_FACE - 58, _Y - 86, "jack", anchor="middle", size=_NAME)
    # bar and key, their edges beveled where they meet
    bar: list[Point] = [(left, _Y - 124), (right, _Y - 124), (right, _Y - _KEY - _TIP / 2),
                        (right - _TIP / 2, _Y - _KEY), (right - _TIP / 2, _Y + _KEY),
                        (right, _Y + _KEY + _TIP / 2), (right, _Y + 124),
                        (left, _Y + 124)]  # fmt: skip
    sheet.path([bar], fill=STEEL_LIGHT, weight=HEAVY)
    foot = right - _TIP / 2
    key: list[Point] = [(foot, _Y - _KEY + _TIP / 2), (foot + _TIP / 2, _Y - _KEY),
                        (_FACE + 150, _Y - _KEY), (_FACE + 150, _Y + _KEY),
                        (foot + _TIP / 2, _Y + _KEY), (foot, _Y + _KEY - _TIP / 2)]  # fmt: skip
    sheet.path([key], fill=light("key"), weight=HEAVY)
    sheet.text(_FACE + 60, _Y + 6, "key", anchor="middle", size=_NAME, ink=ON_KEY)
    sheet.text((left + right) / 2, _Y - 132, "bar", anchor="middle", size=_NAME)
    sheet.arrow(100, _Y, 22, _Y, ink=INK, weight=HEAVY)
    sheet.text(24, _Y - 12, "pull", size=_NAME)


def _picture(key: str, places: Mapping[str, Point], title: str) -> Callable[[JobCard], str]:
    def drawn(card: JobCard) -> str:
        picture = draw_welding(places, lettered(card, key, tuple(places)), title)
        return picture.html() if "bearing" in places else narrow(picture)

    return drawn


def _rig_facts(card: JobCard) -> Sequence[Fact]:
    return (
        Fact("Key", "1045, no tapped hole; driven, its large end shows"),
        Fact("Rig", "bar across the key's end, jacks on the hub"),
    )


def _weld_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    right = letters_at("05-weld-where", tuple(WELDS), *_JOINTS)(card, given)
    return (
        WorkedLine(
            why="The pull goes from the bar into the key, so the weld joins these two and nothing "
            "else; on both sides, since a joint welded on one side peels open.",
            result=" ".join(right) if isinstance(right, tuple) else "",
        ),
        WorkedLine(
            why="Hub and shaft stay whole and soft: a bead there cracks them, or ties the key to "
            "what it has to leave. A jack that is welded on leaks.",
        ),
    )


def _clamp_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    right = letters_at("05-ground-clamp", tuple(CLAMPS), *_HOLDS)(card, given)
    return (
        WorkedLine(
            why="The current runs from the arc to the clamp. On the bar or the key it stays in "
            "these two.",
            result=" ".join(right) if isinstance(right, tuple) else "",
        ),
        WorkedLine(
            why="Anywhere else it crosses the balls of a bearing, or a jack, and burns pits there."
        ),
    )


_ORDER = "DBFACE"


WELDING = (
    WORDS.question(
        "05-weld-where",
        kind=PictureMarks(options=letters_of(len(WELDS))),
        expected=letters_at("05-weld-where", tuple(WELDS), *_JOINTS),
        slips={
            "one side of the joint": letters_at("05-weld-where", tuple(WELDS), _JOINTS[0]),
            "other side of the joint": letters_at("05-weld-where", tuple(WELDS), _JOINTS[1]),
            "bead on the key": letters_at(
                "05-weld-where", tuple(WELDS), *_JOINTS, "bead on the key"
            ),
            "key tied to the hub": letters_at(
                "05-weld-where", tuple(WELDS), *_JOINTS, "key to hub"
            ),
            "foot welded to the hub": letters_at(
                "05-weld-where", tuple(WELDS), *_JOINTS, "jack to hub"
            ),
            "plunger welded to the bar": letters_at(
                "05-weld-where", tuple(WELDS), *_JOINTS, "jack to bar"
            ),
            "all of them": letters_at("05-weld-where", tuple(WELDS), *WELDS),
        },
        facts=_rig_facts,
        worked=_weld_work,
        picture=_picture("05-weld-where", WELDS, "Where could a weld go?"),
    ),
    WORDS.question(
        "05-ground-clamp",
        kind=PictureMarks(options=letters_of(len(CLAMPS))),
        expected=letters_at("05-ground-clamp", tuple(CLAMPS), *_HOLDS),
        slips={
            "bar alone": letters_at("05-ground-clamp", tuple(CLAMPS), "bar"),
            "key alone": letters_at("05-ground-clamp", tuple(CLAMPS), "key"),
            "through the jack": letters_at("05-ground-clamp", tuple(CLAMPS), *_HOLDS, "jack"),
            "through the bearing": letters_at("05-ground-clamp", tuple(CLAMPS), *_HOLDS, "bearing"),
            "frame as ground": letters_at("05-ground-clamp", tuple(CLAMPS), *_HOLDS, "frame"),
            "column as ground": letters_at("05-ground-clamp", tuple(CLAMPS), *_HOLDS, "column"),
            "frame alone": letters_at("05-ground-clamp", tuple(CLAMPS), "frame"),
            "column alone": letters_at("05-ground-clamp", tuple(CLAMPS), "column"),
        },
        facts=_rig_facts,
        worked=_clamp_work,
        picture=_picture("05-ground-clamp", CLAMPS, "Where could the ground clamp sit?"),
    ),
    WORDS.question(
        "05-weld-order",
        kind=Ordering(steps=WORDS.steps("05-weld-order")),
        expected=in_order(_ORDER),
        slips={
            "oil still there": in_order("BDFACE"),
            "preheat after the weld": in_order("DBAFCE"),
            "clamp after the heat": in_order("DFBACE"),
            "loaded hot": in_order("DBFAEC"),
        },
        facts=_rig_facts,
        worked=steps_in_order(WORDS.steps("05-weld-order"), _ORDER),
    ),
)
