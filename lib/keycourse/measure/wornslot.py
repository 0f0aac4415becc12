"""Practice of slot widths: a caliper at three stations, near the edge and near the floor."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from coursework.draws import Draws
from coursework.ink.drawing import (
    HEAVY,
    LARGE,
    MUTED,
    SHADE,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    TEAL,
    VERMILION,
    Picture,
    Sheet,
)
from coursework.question import Answer, Choice, Fact, Measure, Question, WorkedLine
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import Given, Wrong
from keycourse.start.caliper import draw_vernier_caliper
from taperkey import practice
from taperkey.units import MM_PER_IN, from_internal

__all__ = ["SLOT_WIDTHS", "SlotWidths", "draw_stations", "widths_of"]

WORDS = words_beside(__file__)
_FORMS = WORDS.options("01-slot-form")
_KINDS = ("straight", "bell", "lean", "inside")
_STEP_IN = practice.value("caliper")
_STEP_MM = practice.metric("caliper")
_DRAWN = 1  # the middle station near the floor is read off the drawn caliper
_WHY = {
    "straight": "All six lie within what a caliper is good to: straight and square.",
    "bell": "Only the mouth is wider, at the edge and at the floor alike.",
    "lean": "At each station the edge is wider than the floor.",
    "inside": "It gets wider from station to station, going in.",
}


@dataclass(frozen=True, kw_only=True)
class SlotWidths:
    """What the caliper read, in steps of the caliper: mouth, middle, far end."""

    kind: str
    edge: tuple[int, int, int]
    floor: tuple[int, int, int]
    step_in: float

    @property
    def all_in(self) -> tuple[float, ...]:
        """All six widths [in]."""
        return tuple(one * self.step_in for one in (*self.edge, *self.floor))

    @property
    def drawn_in(self) -> float:
        """The width that the drawn caliper shows [in]."""
        return self.floor[_DRAWN] * self.step_in

    @property
    def narrowest_in(self) -> float:
        """The width that the key has to pass [in]."""
        return min(self.all_in)


@functools.lru_cache(maxsize=256)
def widths_of(card: JobCard) -> SlotWidths:
    """Return the widths of a card's slot; the same for the same card."""
    draws = Draws(f"{card.class_code}/{card.exercise}/{card.number}/{card.attempt}/widths")
    kind = _KINDS[draws.whole(low=0, high=3)]
    step = _STEP_MM / MM_PER_IN if card.metric else _STEP_IN
    base = round(card.drive.key_width_in / step) + draws.whole(low=2, high=6)

    def beside() -> int:
        return base + draws.whole(low=0, high=1)

    edge = [beside() + 1, beside() + 1, beside() + 1]
    floor = [beside() + 1, beside(), beside() + 1]
    much = draws.whole(low=8, high=16)
    if kind == "bell":
        edge[0], floor[0] = edge[0] + much, floor[0] + much - 1
    elif kind == "lean":
        edge = [one + much for one in edge]
    elif kind == "inside":
        for row in (edge, floor):
            row[1], row[2] = row[1] + much, row[2] + 2 * much
    mouth, middle, far = edge
    low, drawn, back = floor
    return SlotWidths(kind=kind, edge=(mouth, middle, far), floor=(low, drawn, back), step_in=step)


def _said(card: JobCard, value_in: float) -> str:
    if card.metric:
        return f"{from_internal(value_in, dimension='length', unit='mm'):.2f} mm"
    return f"{value_in:.3f} in"


def _facts(card: JobCard) -> tuple[Fact, ...]:
    widths = widths_of(card)

    def row(values: tuple[int, ...], drawn: int | None) -> str:
        return "; ".join(
            f"{place} {'as drawn' if turn == drawn else _said(card, value * widths.step_in)}"
            for turn, (place, value) in enumerate(
                zip(("mouth", "middle", "far end"), values, strict=True)
            )
        )

    return (
        Fact("Near the open edge", row(widths.edge, None)),
        Fact("Near the floor", row(widths.floor, _DRAWN)),
    )


def draw_stations() -> Picture:
    """Draw the slot from above with its three stations, and cut across with the two depths."""
    sheet = Sheet(height=214)
    sheet.text(14, 28, "Keyway from above", size=LARGE, bold=True)
    sheet.text(452, 28, "Cut across", size=LARGE, bold=True)
    left, right, top, low = 40.0, 400.0, 48.0, 170.0
    sheet.rect(left, top, right - left, low - top, fill=STEEL_LIGHT, weight=HEAVY)
    wall, other = top + 34, low - 34
    sheet.rect(left, wall, right - left, other - wall, fill=SHADE)
    for x, name in ((left + 30, "mouth"), ((left + right) / 2, "middle"), (right - 30, "far end")):
        sheet.line(x, wall, x, other, ink=TEAL, weight=3, dash=(6, 3))
        sheet.text(x, low + 20, name, anchor="middle", size=SMALL)
    x = (left + right) / 2
    for y, sign in ((wall, 1), (other, -1)):  # the inside jaws, points on the walls
        sheet.path([[(x - 12, y + sign * 16), (x, y), (x + 12, y + sign * 16)]], fill=STEEL)
    sheet.text(x + 20, (wall + other) / 2 + 5, "inside jaws", halo=True, size=SMALL)
    a, b, floor = 500.0, 620.0, 150.0
    sheet.cut_metal(
        [[(452, 60), (a, 60), (a, floor), (b, floor), (b, 60), (668, 60), (668, 180), (452, 180)]],
        fill=STEEL_LIGHT,
    )
    for y, name, ink in ((86.0, "near the edge", TEAL), (138.0, "near the floor", VERMILION)):
        sheet.line(a, y, b, y, ink=ink, weight=3, dash=(6, 3) if ink == TEAL else None)
        sheet.text((a + b) / 2, y - 8, name, anchor="middle", size=SMALL)
    sheet.text(
        690, 204, "The caliper below: middle, near the floor", size=SMALL, ink=MUTED, anchor="end"
    )
    return sheet.picture(
        "A keyway seen from above with three stations, mouth, middle and far end, and cut across "
        "with two depths, near the open edge and near the floor. The inside jaws stand at the "
        "middle, near the floor."
    )


def _picture(card: JobCard) -> str:
    drawn = widths_of(card).drawn_in
    caliper = draw_vernier_caliper(reading_in=drawn, kind="metric" if card.metric else "inch")
    return draw_stations().html() + caliper.html()


def _narrowest(card: JobCard, given: Given) -> float:
    return widths_of(card).narrowest_in


def _slip(name: str) -> Wrong:
    """Return a wrong width by name; none where it cannot be told from another or from the right."""

    def value(card: JobCard, given: Given) -> Answer | None:
        widths = widths_of(card)
        read = [*widths.edge, widths.floor[0], widths.floor[2]]
        row = {
            "as drawn left out": min(read) * widths.step_in,
            "widest taken": max(widths.all_in),
            "mouth taken": widths.edge[0] * widths.step_in,
            "mean taken": sum(widths.all_in) / 6,
        }
        seen = [widths.narrowest_in]
        for other, wrong in row.items():
            apart = all(abs(wrong - one) > 0.9 * widths.step_in for one in seen)
            if other == name:
                return wrong if apart else None
            seen.append(wrong)
        return None

    return value


def _narrowest_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    widths = widths_of(card)
    return (
        WorkedLine(
            why="Read the drawn caliper first: the beam at the vernier's 0, then the line that "
            "meets.",
            result=_said(card, widths.drawn_in),
        ),
        WorkedLine(
            why="The key has to pass the narrowest place; what is wider elsewhere is only "
            "clearance there.",
            formula="narrowest of all six",
            result=_said(card, widths.narrowest_in),
        ),
    )


def _form(card: JobCard, given: Given) -> Answer:
    return _FORMS[widths_of(card).kind]


def _taken_for(named: str, *kinds: str) -> Wrong:
    return lambda card, given: _FORMS[named] if widths_of(card).kind in kinds else None


def _form_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    kind = widths_of(card).kind
    return (
        WorkedLine(
            why="Compare along the slot, station by station, then edge with floor. A difference "
            f"counts beyond what two readings can be off together, {_said(card, 2 * _step(card))}.",
            result="differs" if kind != "straight" else "no difference that counts",
        ),
        WorkedLine(why=_WHY[kind], result=_FORMS[kind]),
    )


def _step(card: JobCard) -> float:
    return widths_of(card).step_in


SLOT_WIDTHS: tuple[Question, ...] = (
    WORDS.question(
        "01-slot-narrowest",
        kind=Measure(dimension="length", unit="in", low=0.2, high=4.0, places=3, metric_places=2),
        expected=_narrowest,
        tolerance=lambda card, given: 0.4 * _step(card),
        slips={
            name: _slip(name)
            for name in ("as drawn left out", "widest taken", "mouth taken", "mean taken")
        },
        facts=_facts,
        worked=_narrowest_work,
        picture=_picture,
    ),
    WORDS.question(
        "01-slot-form",
        kind=Choice(options=tuple(_FORMS.values())),
        expected=_form,
        slips={
            "difference not seen": _taken_for("straight", "bell", "lean", "inside"),
            "depth for length": _taken_for("bell", "lean"),
            "length for depth": _taken_for("lean", "bell", "inside"),
            "one end only": _taken_for("bell", "inside"),
        },
        facts=_facts,
        worked=_form_work,
        picture=_picture,
    ),
)
