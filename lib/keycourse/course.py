"""The course as the engine takes it: every lesson folder that has words, and how a card is drawn.

A lesson is found by its folder: ``words.toml`` says what is asked, ``questions.PAGE`` is the
exercise, ``card.draw`` draws what a card holds, ``card.KINDS`` and ``card.traps_of`` say what kinds
there are for the dealer. Nothing has to be entered in a list.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from coursework.card import RESIT
from coursework.card import JobCard as AnyCard
from coursework.course import Course, unclear
from coursework.draws import Draws
from coursework.question import Fact, Page
from keycourse.card import JobCard, of_this_course
from keycourse.check.card import draw as draw_check
from keycourse.check.questions import PAGES as CHECKS
from keycourse.common import shaft_text
from keycourse.dealing import Dealt, Deck, deal
from keycourse.drive import draw_drive
from keycourse.hazards import gravest, sentences
from taperkey import practice
from taperkey.units import System

__all__ = ["COURSE", "example_card", "set_of"]

_EXAMPLE_CLASS = "example"
_FOLDER = Path(__file__).resolve().parent


@dataclass(frozen=True)
class _Lesson:
    """A folder with its exercise: how readings are drawn, the smallest shaft of its drives [in]."""

    room: str
    page: Page
    draw: Callable[..., object]
    deck: Deck
    smallest_shaft_in: Mapping[System, float]


def _lessons() -> tuple[_Lesson, ...]:
    found = []
    for words in _FOLDER.glob("*/words.toml"):
        room = f"{__package__}.{words.parent.name}"
        page: Page = import_module(f"{room}.questions").PAGE
        card = import_module(f"{room}.card")
        deck = Deck(exercise=page.name, kinds=card.KINDS, traps_of=card.traps_of)
        found.append(_Lesson(room, page, card.draw, deck, getattr(card, "SMALLEST_SHAFT_IN", {})))
    return tuple(sorted(found, key=lambda lesson: lesson.page.name))


def set_of(*, class_code: str, number: int, attempt: int = 0) -> Mapping[str, Dealt]:
    """Return what an apprentice is dealt, by exercise; a resit's drawing is dealt anew."""
    return deal(_DECKS, class_code=class_code, number=number, again=attempt // RESIT)


def _draw(*, class_code: str, exercise: str, number: int, attempt: int) -> JobCard:
    """Draw a card: its kind, units and machine as dealt, sizes and readings by the draws."""
    dealt = set_of(class_code=class_code, number=number, attempt=attempt)[exercise]
    return _drawn(dealt, class_code, exercise, number, attempt)


def _drawn(dealt: Dealt, class_code: str, exercise: str, number: int, attempt: int) -> JobCard:
    lesson = next(one for one in _LESSONS if one.page.name == exercise)
    draws = Draws(f"{class_code}/{exercise}/{number}/{attempt}")
    system: System = "metric" if dealt.metric else "inch"
    drive = draw_drive(
        draws=draws,
        machine=dealt.machine,
        system=system,
        smallest_shaft_in=lesson.smallest_shaft_in.get(system, 0.0),
    )
    return JobCard(
        class_code=class_code,
        exercise=exercise,
        number=number,
        attempt=attempt,
        drive=drive,
        readings=lesson.draw(draws=draws, turn=dealt.turn, drive=drive),
    )


@functools.cache
def example_card(exercise: str, *, metric: bool) -> JobCard:
    """Return the card that a lesson is worked on: of its first kind, which is the ordinary one.

    It is dealt to nobody, so it stays as it is when the kinds of another lesson change.
    """
    place, lesson = next(
        (place, one) for place, one in enumerate(_LESSONS) if one.page.name == exercise
    )
    dealt = Dealt(turn=0, metric=metric, machine=place, traps=frozenset())
    cards = (
        _drawn(dealt, _EXAMPLE_CLASS, exercise, lesson.page.example, attempt)
        for attempt in range(RESIT)
    )
    return next(card for card in cards if not unclear(lesson.page, card))


def _head(card: AnyCard) -> tuple[Fact, ...]:
    """Return the lines that each printed card begins with."""
    own = of_this_course(card)
    drive = own.drive
    return (
        Fact("Job", f"{drive.machine}, {drive.hub}"),
        Fact("Where", f"Quillmoor Quarry, {drive.place}"),
        Fact("Shaft, nominal", shaft_text(own)),
    )


_LESSONS = _lessons()
_DECKS = tuple(lesson.deck for lesson in _LESSONS)
COURSE = Course(
    pages=tuple(lesson.page for lesson in _LESSONS),
    draw=_draw,
    head=_head,
    modules=tuple(f"{lesson.room}.{part}" for lesson in _LESSONS for part in ("questions", "card")),
    folder=_FOLDER,
    pass_share=practice.value("pass_share"),
    caution=lambda names: (gravest(names.split()), sentences(names.split())),
    calls=f"{__package__}.lesson",
    edition=2,
    changed="other job cards, so that everybody meets each trap, and further questions",
    checks=CHECKS,
    draw_check=draw_check,
)
