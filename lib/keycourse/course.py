"""The course as the engine takes it: every lesson folder that has words, and how a card is drawn.

A lesson is found by its folder: ``words.toml`` says what is asked, ``questions.PAGE`` is the
exercise, ``card.draw`` draws what a card holds. Nothing has to be entered in a list.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from importlib import import_module
from pathlib import Path

from coursework.card import JobCard as AnyCard
from coursework.course import Course
from coursework.draws import Draws
from coursework.question import Fact, Page
from keycourse.card import JobCard, of_this_course
from keycourse.common import shaft_text
from keycourse.drive import draw_drive
from keycourse.hazards import gravest, sentences
from taperkey import practice
from taperkey.units import System

__all__ = ["COURSE"]

_FOLDER = Path(__file__).resolve().parent


@dataclass(frozen=True)
class _Lesson:
    """A folder with its exercise: how readings are drawn, the smallest shaft of its drives [in]."""

    room: str
    page: Page
    draw: Callable[..., object]
    smallest_shaft_in: Mapping[System, float]


def _lessons() -> tuple[_Lesson, ...]:
    found = []
    for words in _FOLDER.glob("*/words.toml"):
        room = f"{__package__}.{words.parent.name}"
        page: Page = import_module(f"{room}.questions").PAGE
        card = import_module(f"{room}.card")
        found.append(_Lesson(room, page, card.draw, getattr(card, "SMALLEST_SHAFT_IN", {})))
    return tuple(sorted(found, key=lambda lesson: lesson.page.name))


def _draw(
    lessons: tuple[_Lesson, ...], *, class_code: str, exercise: str, number: int, attempt: int
) -> JobCard:
    """Draw a card: which machine by the apprentice's turn, sizes and readings by the draws."""
    lesson = next(one for one in lessons if one.page.name == exercise)
    draws = Draws(f"{class_code}/{exercise}/{number}/{attempt}")
    turn = number + Draws(f"{class_code}/turn").whole(low=0, high=29)
    system: System = "metric" if (turn + int(exercise[:2])) % 5 == 3 else "inch"
    drive = draw_drive(
        draws=draws,
        place=turn + 3 * int(exercise[:2]),
        system=system,
        smallest_shaft_in=lesson.smallest_shaft_in.get(system, 0.0),
    )
    return JobCard(
        class_code=class_code,
        exercise=exercise,
        number=number,
        attempt=attempt,
        drive=drive,
        readings=lesson.draw(draws=draws, turn=turn, drive=drive),
    )


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
COURSE = Course(
    pages=tuple(lesson.page for lesson in _LESSONS),
    draw=partial(_draw, _LESSONS),
    head=_head,
    modules=tuple(f"{lesson.room}.{part}" for lesson in _LESSONS for part in ("questions", "card")),
    folder=_FOLDER,
    pass_share=practice.value("pass_share"),
    caution=lambda names: (gravest(names.split()), sentences(names.split())),
    calls=f"{__package__}.lesson",
    edition=2,
    changed="other job cards, so that everybody meets each trap, and further questions",
)
