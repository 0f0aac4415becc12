"""An invented class, from job cards to report, to see how everything goes together.

Twelve apprentices of Quillmoor Quarry, each with a habit. A habit acts through
the known slips of the questions: what is typed is what that slip gives on that
card, written with its unit as a person would. The entries go through the same
file that the form uses, are handed in, taken in, marked and reported.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from coursework.card import JobCard
from coursework.check import check_card, check_forms, sealed_with
from coursework.course import PAGES, issue_card
from coursework.judging import read_answer, right_answers, show_answer
from coursework.mark.handwatch import watch_hands
from coursework.mark.second import draw_sample
from coursework.mark.signoff import Task, tasks, write_sign_offs
from coursework.page.entries import EntriesFile
from coursework.page.handin import write_hand_in
from coursework.page.pagefolder import page_version
from coursework.page.seal import card_code
from coursework.question import (
    Answer,
    Measure,
    Page,
    Practical,
    Question,
    Written,
)
from coursework.room.assessing import mark_and_report, moderate_mark
from coursework.room.assessors import ASSESSORS, name_of_assessor
from coursework.room.cards import write_cards
from coursework.room.classcode import DEMO_CODE as CODE
from coursework.room.classfolder import (
    SETTINGS,
    ClassFolder,
    new_class,
    open_class,
)
from coursework.room.coursebook import CourseError, shipped_pages
from coursework.room.registrar import renumber, withdraw
from coursework.room.roster import Apprentice
from coursework.room.seals import card_key
from coursework.room.seconding import enter_second_marks, write_sample
from coursework.room.signing import new_sign_off, write_sheets
from coursework.room.standings import gather
from coursework.room.trail import write_trail
from keycourse.demo.demo_class import HABITS, Habit
from taperkey.files import write_whole
from taperkey.units import EntryError, from_internal

__all__ = ["CODE", "HABITS", "Habit", "numbers_by_name", "run_demo", "typed_entries"]

Progress = Callable[[int, int], None]
TITLE = "Taper keys, Quillmoor Quarry, autumn"
ASSESSOR, SECOND = "Pat Holt", "Kim Dole"
SECOND_IN = ("01-", "02-")  # exercises of which the written answers are marked twice
NEW_NUMBER = 21
FIRST_HAND_IN = datetime(2026, 10, 5, 7, 30, tzinfo=UTC)


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


def _hand_in(
    habit: Habit,
    number: int,
    room: Path,
    class_folder: ClassFolder,
    *,
    put_right: bool = False,
    attempt: int = 1,
) -> None:
    """Fill in every exercise in a course folder of the apprentice's own, and hand in."""
    key = card_key(class_folder.folder)
    for place, page in enumerate(PAGES.values()):
        if habit.until and page.name > habit.until:
            return
        if attempt > 1 and page.name != habit.resits:
            continue
        source = number - 1 or len(HABITS)
        card = issue_card(
            exercise=page.name,
            class_code=CODE,
            number=source if habit.copies else number,
            attempt=attempt,
        )
        folder = room / f"{number:03d}" / "exercises" / page.name
        folder.mkdir(parents=True, exist_ok=True)
        again = f"-{attempt}" if attempt > 1 else ""
        store = EntriesFile(folder / f"answers{again}.json")
        right = put_right or attempt > 1
        for entry, text in typed_entries(habit, page, card, put_right=right).items():
            store.put(entry, text)
        days = 7 * place + put_right + 10 * (attempt - 1)
        made = FIRST_HAND_IN + timedelta(days=days, minutes=11 * number)
        entries = store.texts()
        code = card_code(key=key, exercise=page.name, number=number, attempt=attempt)
        write_hand_in(
            folder=class_folder.inbox / ("again" if put_right else ""),
            class_code=CODE,
            number=number,
            page=page.name,
            page_version=_version(page.name),
            entries=entries,
            made=_utc(made),
            code="" if page.name in habit.no_code else code,
            **_worked(habit, page, entries, made),
        )


def _utc(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ")


def _worked(habit: Habit, page: Page, entries: Mapping[str, str], made: datetime) -> dict[str, Any]:
    """Return when the entries were typed, and how much was practiced before."""
    apart = timedelta(seconds=5 if page.name in habit.hurries else 200)
    late = timedelta(hours=26 if page.name in habit.code_late else 0)
    last = made - late - timedelta(minutes=2)
    times = {key: _utc(last - apart * place) for place, key in enumerate(reversed([*entries]))}
    own = sum(not one.by_assessor for one in page.questions)
    return {
        "saved": times,
        "practiced": 0 if page.name in habit.hurries else own,
        "code_typed": "" if page.name in habit.no_code else _utc(last + late),
    }


#: Days after the first hand-in on which the check is done: before, after, a month later.
_CHECK_DAYS = (-7, 43, 75)
#: Questions of the check in the row in which somebody comes to know them.
_LEARNED_ROW = (9, 0, 7, 1, 3, 2, 8, 4, 6, 5)


def _do_check(habit: Habit, number: int, class_folder: ClassFolder, *, later: bool = False) -> None:
    """Hand in the check, as many right as this apprentice knows: two forms, or the last."""
    key = card_key(class_folder.folder)
    times = zip(check_forms().items(), (habit.knew, habit.learned, habit.kept), strict=True)
    for ((name, page), known), days in zip(times, _CHECK_DAYS, strict=True):
        if known is None or (days == _CHECK_DAYS[-1]) != later:
            continue
        card = check_card(name=name, class_code=CODE, number=number)
        right = right_answers(page, card)
        turn = number % 4  # which of the first four somebody knows before the others
        row = _LEARNED_ROW[turn:4] + _LEARNED_ROW[:turn] + _LEARNED_ROW[4:]
        questions = [page.questions[place] for place in row[:known]]
        made = FIRST_HAND_IN + timedelta(days=days, minutes=number)
        exercise = sealed_with(name)
        write_hand_in(
            folder=class_folder.inbox,
            class_code=CODE,
            number=number,
            page=name,
            page_version="check",
            entries={one.key: show_answer(one, right[one.key]) for one in questions},
            made=_utc(made),
            code=card_code(key=key, exercise=exercise, number=number, attempt=1),
        )


def _damage(inbox: Path, number: int) -> None:
    """Cut one hand-in short, as a stick pulled out too early does."""
    path = inbox / f"{CODE}_{number:03d}_02-taper.handin.json"
    path.write_bytes(path.read_bytes()[:-120])


def _by_hand(habit: Habit, question: Question) -> float | None:
    """Return the assessor's mark; None where it still waits."""
    if not question.by_assessor:
        return None
    if question.key in habit.by_hand:
        return float(habit.by_hand[question.key])
    if question.key[:3] in ("01-", "02-") or not habit.assessed:
        return None
    return float(round(habit.assessed * question.marks))


def _mark_by_hand(class_folder: ClassFolder, numbers: Mapping[str, int]) -> None:
    """Enter the assessor's marks, as the marking screen would."""
    from coursework.mark.gradebook import database_url, open_gradebook, student_id
    from coursework.mark.records import read_records

    there = {(record.number, record.exercise) for record in read_records(class_folder.folder)}
    with open_gradebook(db_url=database_url(class_folder.folder)) as gradebook:
        for habit in HABITS:
            number = numbers[habit.name]
            for page in PAGES.values():
                if (number, page.name) not in there:
                    continue
                for question in page.questions:
                    given = _by_hand(habit, question)
                    if given is not None and not isinstance(question.kind, Practical):
                        grade = gradebook.find_grade(
                            question.key, page.name, page.name, student_id(number)
                        )
                        grade.manual_score = given
                        grade.needs_manual_grade = False
        gradebook.db.commit()


def _sign_off(class_folder: ClassFolder, numbers: Mapping[str, int]) -> None:
    """Enter what the assessor saw at the bench, a week after each exercise was due."""
    found = []
    for habit in HABITS:
        for place, task in enumerate(tasks().values()):
            given = _by_hand(habit, task.question)
            if given is None or (habit.until and task.exercise > habit.until):
                continue
            day = FIRST_HAND_IN + timedelta(days=7 * place + 1)
            found.append(
                new_sign_off(
                    class_folder,
                    number=numbers[habit.name],
                    task=task.key,
                    attempt=1,
                    day=f"{day:%Y-%m-%d}",
                    answers=_ticked(task, round(given), task.key in habit.not_passed),
                    prompted=given < task.question.marks,
                    by=ASSESSOR,
                    now=day + timedelta(hours=6),
                )
            )
    write_sign_offs(class_folder.folder, found)


def _ticked(task: Task, marks: int, missed: bool) -> list[bool]:
    """Return yes or no for each item: so many marks, those that must be passed among them first."""
    row = sorted(range(len(task.items)), key=lambda place: not task.items[place].must)
    earning = [place for place in row if task.items[place].earns]
    seen = {*earning[:marks], *(place for place in row if not task.items[place].earns)}
    if missed:
        seen.discard(next(place for place in row if not task.items[place].earns))
    return [place in seen for place in range(len(task.items))]


def _with_dates(class_folder: ClassFolder) -> ClassFolder:
    """Let each exercise be due on the day on which most of them hand it in; lateness is noted."""
    lines = ["", "[due]"]
    for place, page in enumerate(PAGES):
        lines.append(f'"{page}" = {FIRST_HAND_IN + timedelta(days=7 * place):%Y-%m-%d}')
    path = class_folder.folder / SETTINGS
    write_whole(path, path.read_bytes() + "\n".join([*lines, ""]).encode())
    return open_class(class_folder.folder)


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
    class_folder = _with_dates(new_class(folder, code=CODE, title=TITLE, roster=roster))
    write_cards(class_folder)
    write_sheets(class_folder)
    taken_in = FIRST_HAND_IN + timedelta(days=7 * len(PAGES) + 1)
    steps = len(HABITS) + 3

    def tell(done: int) -> None:
        if progress:
            progress(done, steps)

    with tempfile.TemporaryDirectory(prefix="taperkey-demo-") as room:
        for done, habit in enumerate(HABITS, start=1):
            number = numbers[habit.name]
            _do_check(habit, number, class_folder)
            _hand_in(habit, number, Path(room), class_folder)
            if habit.corrects:
                _hand_in(habit, number, Path(room), class_folder, put_right=True)
            if habit.resits:
                _hand_in(habit, number, Path(room), class_folder, attempt=2)
            tell(done)
    _damage(class_folder.inbox, numbers["Colm Wetherby"])
    mark_and_report(class_folder, now=taken_in)
    tell(steps - 2)
    name_of_assessor(class_folder.folder, ASSESSOR)
    write_whole(class_folder.folder / ASSESSORS, f"{ASSESSOR}\n{SECOND}\n".encode())
    stop = watch_hands(class_folder.folder, by=ASSESSOR, clock=lambda: taken_in)
    _mark_by_hand(class_folder, numbers)
    stop()
    _sign_off(class_folder, numbers)
    tell(steps - 1)
    report = mark_and_report(class_folder, now=taken_in + timedelta(days=1)).report
    moderate_mark(
        class_folder,
        number=numbers["Tom Harrowgate"],
        entry="02-per-foot",
        mark=1.5,
        reason="Worked it out right at the bench; the sheet shows a slip of the pen.",
        by=ASSESSOR,
        now=taken_in + timedelta(days=2),
    )
    _second_marks(class_folder, numbers, taken_in + timedelta(days=3))
    class_folder = withdraw(
        class_folder,
        number=numbers["Jonas Peckwith"],
        reason="Went to another quarry.",
        by=ASSESSOR,
        now=taken_in + timedelta(days=5),
    )
    class_folder = renumber(
        class_folder,
        number=numbers["Hetty Marlowe"],
        to=NEW_NUMBER,
        reason="Had the number of somebody on the night shift.",
        by=ASSESSOR,
        now=taken_in + timedelta(days=5),
    )
    for habit in HABITS:
        _do_check(habit, numbers[habit.name], class_folder, later=True)
    report = mark_and_report(
        class_folder, now=FIRST_HAND_IN + timedelta(days=_CHECK_DAYS[-1] + 1)
    ).report
    write_trail(class_folder, numbers["Sorcha Lindell"])
    tell(steps)
    return report


def _second_marks(class_folder: ClassFolder, numbers: Mapping[str, int], now: datetime) -> None:
    """Let another assessor mark a part again, differ once, and settle that."""
    _, path, _ = write_sample(class_folder, 1.0)
    standings = gather(class_folder)
    answers = draw_sample(standings.records.values(), class_code=CODE, share=1.0)
    differs = (numbers["Marek Dubrow"], "02-why-longer")
    lines = ["code,question,mark"]
    for code, one in answers.items():
        first = standings.manual.get((one.number, one.exercise), {}).get(one.question.key)
        if first is not None and first.score is not None and one.question.key[:3] in SECOND_IN:
            key = one.question.key
            mark = first.score + ((one.number, key) == differs)
            lines.append(f"{code},{key},{mark:g}")
    write_whole(path, "\n".join([*lines, ""]).encode())
    enter_second_marks(class_folder, path, by=SECOND, now=now)
    moderate_mark(
        class_folder,
        number=differs[0],
        entry=differs[1],
        mark=3,
        reason="Both marks talked through: the third point is there, in other words.",
        by=ASSESSOR,
        now=now + timedelta(days=1),
    )
