"""An invented class, from job cards to report, to see how everything goes together.

Twelve apprentices of Quillmoor Quarry, each with a habit. A habit acts through
the known slips of the questions: what is typed is what that slip gives on that
card, written with its unit as a person would. The entries go through the same
file that the form uses, are handed in, taken in, marked and reported.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from taperkey.classroom.assessing import mark_and_report
from taperkey.classroom.cards import write_cards
from taperkey.classroom.classfolder import ClassFolder, new_class
from taperkey.classroom.coursebook import CourseError, shipped_pages
from taperkey.classroom.roster import Apprentice
from taperkey.jobcard import JobCard
from taperkey.units import EntryError, from_internal
from taperkey.worksheet.bank import PAGES, issue_card
from taperkey.worksheet.entries import EntriesFile
from taperkey.worksheet.handin import write_hand_in
from taperkey.worksheet.pagefolder import page_version
from taperkey.worksheet.question import (
    Answer,
    Measure,
    Page,
    Question,
    Written,
    read_answer,
    right_answers,
    show_answer,
)

__all__ = ["CODE", "HABITS", "Habit", "numbers_by_name", "run_demo", "typed_entries"]

Progress = Callable[[int, int], None]
CODE = "QQ-26"
TITLE = "Taper keys, Quillmoor Quarry, autumn"
FIRST_HAND_IN = datetime(2026, 10, 5, 7, 30, tzinfo=UTC)


@dataclass(frozen=True, kw_only=True)
class Habit:
    """One invented apprentice and what they tend to do.

    Attributes
    ----------
    name : str
        The apprentice.
    what : str
        The habit in words.
    slips : tuple of str
        Names of the slips made wherever a question knows them.
    only : tuple of str
        Questions that the slips are limited to; empty for all.
    typed : mapping of str to str
        Entries typed as they stand here.
    in_mm : bool
        Lengths are changed to millimetres and typed so, which is right.
    copies : bool
        Takes the numbers from the card of the apprentice before.
    of_the_pen : bool
        The slip is one of writing only: the work goes on with what was meant.
    corrects : bool
        Hands in a second time, put right.
    words : mapping of str to str
        Written answers.
    by_hand : mapping of str to float
        What the assessor gives; what is not here still waits.
    """

    name: str
    what: str
    slips: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    typed: Mapping[str, str] = field(default_factory=dict)
    in_mm: bool = False
    copies: bool = False
    of_the_pen: bool = False
    corrects: bool = False
    words: Mapping[str, str] = field(default_factory=dict)
    by_hand: Mapping[str, float] = field(default_factory=dict)


_BOTTOM = (
    "The hub hangs on the top of the shaft, so all the clearance is underneath. With the keyway "
    "at the bottom that clearance is in the height. Anywhere else the key comes out too thin."
)
_LONGER = (
    "One reading is only good to half a thousandth. Over 1 in that is too rough to tell 1:96 from "
    "1:100. Go as far in as you can reach and read each place three times."
)
_NO_TWELVE = ("× 12 left out", "× 100 left out")  # on inch cards, on metric cards
_FULL = {"01-why-bottom": _BOTTOM, "02-why-longer": _LONGER}
_SHORT = {
    "01-why-bottom": "Because the clearance is under the shaft.",
    "02-why-longer": "Measure further in.",
}

HABITS = (
    Habit(
        name="Priya Osterley",
        what="keeps the bad reading",
        slips=("bad reading kept",),
        words=_FULL,
        by_hand={"01-why-bottom": 3, "02-why-longer": 2, "01-sign-off": 3, "02-sign-off": 4},
    ),
    Habit(
        name="Sorcha Lindell",
        what="loses the sign of the taper",
        slips=("sign kept", "shaft less bore", "taken for granted", "heights mixed up"),
        words=_FULL,
        by_hand={"01-why-bottom": 3, "02-why-longer": 3, "01-sign-off": 5},
    ),
    Habit(
        name="Marek Dubrow",
        what="measures with the keyway not at the bottom",
        slips=("angle from the bottom", "angle thought not to matter", *_NO_TWELVE),
        words={**_FULL, "01-why-bottom": "So that the gauge does not fall out."},
        by_hand={"01-why-bottom": 0, "02-why-longer": 2, "01-sign-off": 2, "02-sign-off": 4},
    ),
    Habit(
        name="Ada Brindle",
        what="careful",
        words=_FULL,
        by_hand={"01-why-bottom": 3, "02-why-longer": 3, "01-sign-off": 5, "02-sign-off": 5},
    ),
    Habit(
        name="Tom Harrowgate",
        what="forgets × 12",
        slips=(*_NO_TWELVE, "angle from the bottom"),
        words=_FULL,
        by_hand={"01-why-bottom": 2, "02-why-longer": 2, "01-sign-off": 4, "02-sign-off": 4},
    ),
    Habit(
        name="Zoë Ferrant",
        what="writes thousandths as inches",
        of_the_pen=True,
        slips=("thousandths as inches",),
        only=("01-clearance", "01-missed-height", "02-difference"),
        words=_FULL,
        by_hand={"01-why-bottom": 3, "02-why-longer": 3, "01-sign-off": 4},
    ),
    Habit(
        name="Ines Calloway",
        what="mixes millimetres and inches",
        of_the_pen=True,
        slips=("millimetres as inches", "inches as millimetres"),
        only=("01-mouth-height", "01-hub-width", "02-parallel"),
        in_mm=True,
        words=_SHORT,
        by_hand={"01-why-bottom": 1, "02-why-longer": 1},
    ),
    Habit(
        name="Jonas Peckwith",
        what="leaves blanks",
        slips=(*_NO_TWELVE, "radius for diameter"),
        typed={
            key: ""
            for key in (
                "01-inside-height",
                "01-missed-height",
                "01-why-bottom",
                "02-ratio",
                "02-uncertainty",
                "02-parallel",
                "02-what-first",
            )
        },
        words=_SHORT,
        by_hand={"02-why-longer": 1, "01-sign-off": 3, "02-sign-off": 3},
    ),
    Habit(
        name="Viktor Aldane",
        what="is off by a decimal place",
        of_the_pen=True,
        slips=("decimal point one place right", "decimal point one place left"),
        only=("01-clearance", "01-shaft-width", "02-per-inch", "02-ratio"),
        words=_FULL,
        by_hand={"01-why-bottom": 2, "01-sign-off": 5, "02-sign-off": 4},
    ),
    Habit(
        name="Colm Wetherby",
        what="takes the radius for the diameter",
        slips=("radius for diameter", "angle from the bottom", "stand-out left out"),
        words=_FULL,
        by_hand={"01-why-bottom": 2, "01-sign-off": 4},
    ),
    Habit(
        name="Dana Rooke",
        what="copies from a neighbour",
        copies=True,
        typed={
            "01-clearance": "same as Colm",
            "02-difference": "=1+1",
            "02-per-foot": "about a thumb",
        },
        words={
            "01-why-bottom": "<script>alert('marks')</script> It said so in the lesson.",
            "02-why-longer": "=cmd|' /c calc'!A1",
        },
        by_hand={"01-why-bottom": 0, "02-why-longer": 0},
    ),
    Habit(
        name="Hetty Marlowe",
        what="hands in again, put right",
        slips=("× 12 done twice", "inside station for mouth", "base not divided"),
        corrects=True,
        words=_FULL,
        by_hand={"02-why-longer": 3, "02-sign-off": 5},
    ),
)


def numbers_by_name(habits: Sequence[Habit] = HABITS) -> dict[str, int]:
    """Give each apprentice the first free number whose cards let the habit show."""
    free = list(range(1, len(habits) + 1))
    numbers = {}
    for habit in habits:
        fit = (number for number in free if _shows(habit, number))
        number = next(fit, free[0])
        free.remove(number)
        numbers[habit.name] = number
    return numbers


def _shows(habit: Habit, number: int) -> bool:
    wanted = habit.slips[:1]
    found = set()
    for page in PAGES.values():
        card = issue_card(exercise=page.name, class_code=CODE, number=number)
        right = right_answers(page, card)
        for question in page.questions:
            found |= {slip.name for slip in question.slips if slip.value(card, right) is not None}
    return set(wanted) <= found


def typed_entries(
    habit: Habit, page: Page, card: JobCard, *, put_right: bool = False
) -> dict[str, str]:
    """Return what this apprentice types, question by question.

    Parameters
    ----------
    habit : Habit
        The apprentice.
    page : Page
        The exercise.
    card : JobCard
        Their job card, or the one they copy from.
    put_right : bool
        True for the second hand-in of one who corrects.

    Returns
    -------
    dict of str to str
        Raw text by question key; what is left blank is not in it.
    """
    right = right_answers(page, card)
    own = dict(right)
    entries = {}
    for question in (asked.on(card) for asked in page.questions):
        slipped = False
        if isinstance(question.kind, Written):
            text = habit.typed.get(question.key, habit.words.get(question.key, ""))
        elif question.by_assessor:
            continue
        elif question.key in habit.typed and not put_right:
            text = habit.typed[question.key]
        else:
            slips = () if put_right else habit.slips
            try:
                answer, slipped = _answer(question, card, own, slips, habit.only)
            except (ArithmeticError, ValueError, LookupError):
                # Nobody works on with a clearance below 0; they look again.
                answer, slipped = _answer(question, card, right, slips, habit.only)
            text = _written(question, answer, in_mm=habit.in_mm and not slipped)
        if text:
            entries[question.key] = text
            if not (slipped and habit.of_the_pen):
                _take_over(question, text, own)
    return entries


def _answer(
    question: Question,
    card: JobCard,
    own: Mapping[str, Answer],
    slips: Sequence[str],
    only: Sequence[str],
) -> tuple[Answer, bool]:
    """Return what the habit makes of a question, and whether it is a slip."""
    if not only or question.key in only:
        for slip in question.slips:
            if slip.name in slips:
                value = slip.value(card, own)
                if value is not None:
                    return value, True
    return question.expected(card, own), False


def _written(question: Question, answer: Answer, *, in_mm: bool) -> str:
    kind = question.kind
    length = isinstance(kind, Measure) and kind.dimension == "length"
    if in_mm and length and isinstance(answer, float):
        return f"{from_internal(answer, dimension='length', unit='mm'):.3f} mm"
    return show_answer(question, answer)


def _take_over(question: Question, text: str, own: dict[str, Answer]) -> None:
    """Go on with the own answer, as the apprentice does."""
    if question.key in own:
        try:
            own[question.key] = read_answer(question, text)
        except EntryError:
            return


def _version(page: str) -> str:
    try:
        return page_version(shipped_pages()[f"exercises/{page}/{page}.ipynb"].parent, page)
    except (CourseError, KeyError):
        return "unknown"


def _hand_in(habit: Habit, number: int, room: Path, inbox: Path, *, put_right: bool) -> None:
    """Fill in every exercise in a course folder of the apprentice's own, and hand in."""
    for place, page in enumerate(PAGES.values()):
        source = number - 1 or len(HABITS)
        card = issue_card(
            exercise=page.name, class_code=CODE, number=source if habit.copies else number
        )
        folder = room / f"{number:03d}" / "exercises" / page.name
        folder.mkdir(parents=True, exist_ok=True)
        store = EntriesFile(folder / "answers.json")
        for key, text in typed_entries(habit, page, card, put_right=put_right).items():
            store.put(key, text)
        made = FIRST_HAND_IN + timedelta(days=7 * place + put_right, minutes=11 * number)
        write_hand_in(
            folder=inbox / ("again" if put_right else ""),
            class_code=CODE,
            number=number,
            page=page.name,
            page_version=_version(page.name),
            entries=store.texts(),
            made=made.strftime("%Y-%m-%dT%H:%M:%SZ"),
        )


def _damage(inbox: Path, number: int) -> None:
    """Cut one hand-in short, as a stick pulled out too early does."""
    path = inbox / f"{CODE}_{number:03d}_02-taper.handin.json"
    path.write_bytes(path.read_bytes()[:-120])


def _mark_by_hand(class_folder: ClassFolder, numbers: Mapping[str, int]) -> None:
    """Enter the assessor's marks, as the marking screen would."""
    from taperkey.marking.gradebook import database_url, open_gradebook, student_id
    from taperkey.marking.records import read_records

    there = {(record.number, record.exercise) for record in read_records(class_folder.folder)}
    with open_gradebook(db_url=database_url(class_folder.folder)) as gradebook:
        for habit in HABITS:
            number = numbers[habit.name]
            for page in PAGES.values():
                if (number, page.name) not in there:
                    continue
                for question in page.questions:
                    if question.key in habit.by_hand:
                        grade = gradebook.find_grade(
                            question.key, page.name, page.name, student_id(number)
                        )
                        grade.manual_score = float(habit.by_hand[question.key])
                        grade.needs_manual_grade = False
        gradebook.db.commit()


def run_demo(folder: Path, *, progress: Progress | None = None) -> Path:
    """Run the invented class from job cards to report.

    Parameters
    ----------
    folder : Path
        A folder that is not there yet, or is empty; it becomes the class folder.
    progress : callable, optional
        Told how many steps are done, and of how many.

    Returns
    -------
    Path
        The report.
    """
    numbers = numbers_by_name()
    roster = [Apprentice(number, name) for name, number in numbers.items()]
    class_folder = new_class(folder, code=CODE, title=TITLE, roster=roster)
    write_cards(class_folder)
    steps = len(HABITS) + 3

    def tell(done: int) -> None:
        if progress:
            progress(done, steps)

    with tempfile.TemporaryDirectory(prefix="taperkey-demo-") as room:
        for done, habit in enumerate(HABITS, start=1):
            number = numbers[habit.name]
            _hand_in(habit, number, Path(room), class_folder.inbox, put_right=False)
            if habit.corrects:
                _hand_in(habit, number, Path(room), class_folder.inbox, put_right=True)
            tell(done)
    _damage(class_folder.inbox, numbers["Colm Wetherby"])
    mark_and_report(class_folder)
    tell(steps - 2)
    _mark_by_hand(class_folder, numbers)
    tell(steps - 1)
    report = mark_and_report(class_folder).report
    tell(steps)
    return report
