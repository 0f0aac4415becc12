"""Practical sign-offs in a class: sheets to print and sign, lines to enter, words for the records.

An assessor prints a sheet a task, watches, ticks yes or no, and signs. What was ticked goes into
``sign-offs.csv`` from a CSV file (``class sign``) or from the form beside the marking screen.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from pathlib import Path

from coursework.mark.signoff import (
    HIGHEST_ATTEMPT,
    SignOff,
    SignOffError,
    Task,
    counting_sign_offs,
    enter_sign_offs,
    read_sign_offs,
    task_of,
    tasks,
    write_sign_offs,
)
from coursework.room.cards import page_template
from coursework.room.classfolder import ClassError, ClassFolder
from coursework.room.filledin import filled_lines
from coursework.room.outcomes import SkillStanding
from coursework.room.standings import in_one_sentence
from taperkey.counts import counted
from taperkey.files import write_whole

__all__ = [
    "blank_lines",
    "enter_from_file",
    "enter_ticked",
    "failed_words",
    "new_sign_off",
    "sign_off_how",
    "sign_off_words",
    "standing_why",
    "write_sheets",
]

SHEETS = "sign-offs.html"
LONGEST_NOTE = 300  # characters
_YES, _NO = {"yes", "y", "1", "✓"}, {"no", "n", "0", "✗"}
_HOW = {"unprompted": False, "prompted": True}
_HEAD = ("number", "name", "task", "attempt", "date", "prompted")


def sign_off_words(one: SignOff | None) -> str:
    """Return how a task stands: signed off, not yet, or without a sign-off."""
    if one is None:
        return "no sign-off"
    return "signed off" if one.passed else "not yet competent"


def sign_off_how(one: SignOff) -> str:
    """Return how it was done, such as "unprompted, attempt 2"."""
    told = "prompted" if one.prompted else "unprompted"
    return told + (f", attempt {one.attempt}" if one.attempt > 1 else "")


def failed_words(task: Task, one: SignOff) -> str:
    """Return what was not passed that must be; the items of that day may be others since."""
    if one.version != task.version:
        return ", ".join(f"item {place}" for place in one.failed)
    return " ".join(task.items[place - 1].text for place in one.failed)


def standing_why(standing: SkillStanding) -> str:
    """Return what a skill lacks beside marks: sign-offs missing, and tasks not passed."""
    told = []
    if standing.failed:
        told.append(f"must be passed and was not: {_places(standing.failed)}")
    if standing.unsigned and standing.state != "not handed in":
        told.append(f"no sign-off: {_places(standing.unsigned)}")
    if 0 < standing.cards_wanted > standing.cards and standing.state != "not handed in":
        told.append(
            f"safety-critical answers right on {standing.cards} of "
            f"{counted(standing.cards_wanted, 'card')}"
            + (
                f" (sign-off {_places(standing.instead)}, passed unprompted, counts as one)"
                if standing.instead
                else ""
            )
        )
    return "; ".join(told)


def _places(keys: Sequence[str]) -> str:
    return ", ".join(key[:2] for key in keys)


def write_sheets(class_folder: ClassFolder) -> Path:
    """Write ``cards/sign-offs.html``: a page a task, to print, tick and sign."""
    with in_one_sentence():
        found = list(tasks().values())
    text = page_template("sheets.html.j2").render(
        code=class_folder.code, title=class_folder.title, tasks=found
    )
    path = class_folder.cards / SHEETS
    write_whole(path, text.encode())
    return path


def blank_lines(class_folder: ClassFolder) -> bytes:
    """Return a CSV with a line for each sign-off that is missing or was not passed."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    most = max((len(task.items) for task in tasks().values()), default=0)
    writer.writerow([*_HEAD, *range(1, most + 1), "note"])
    there = counting_sign_offs(class_folder.folder)
    for task in tasks().values():
        for one in class_folder.roster:
            before = there.get((one.number, task.key))
            if before is None or not before.passed:
                attempt = before.attempt + 1 if before else 1
                writer.writerow([one.number, one.name, task.key, attempt])
    return text.getvalue().encode("utf-8-sig")


def new_sign_off(
    class_folder: ClassFolder,
    *,
    number: int,
    task: str,
    attempt: int,
    day: str,
    answers: Sequence[bool],
    prompted: bool,
    by: str,
    note: str = "",
    now: datetime | None = None,
) -> SignOff:
    """Return a sign-off as it is entered; nothing is written.

    Raises
    ------
    SignOffError
        One sentence with what is wrong.
    """
    now = (now or datetime.now(UTC)).astimezone(UTC)
    if number not in class_folder.names:
        raise SignOffError(
            f"apprentice number is {number}; it must be one of roster.csv. Look at the sheet."
        )
    watched = task_of(task)
    if not 1 <= attempt <= HIGHEST_ATTEMPT:
        raise SignOffError(
            f"attempt is {attempt}; it must be from 1 to {HIGHEST_ATTEMPT}. Count from 1."
        )
    try:
        held = date.fromisoformat(day)
    except ValueError:
        raise SignOffError(
            f"date is “{day[:20]}”; it must be a day such as 2026-11-25. Take it from the sheet."
        ) from None
    if held > now.astimezone().date():
        raise SignOffError(f"date is {day}; it must not be in the future. Look at the sheet.")
    if len(answers) != len(watched.items):
        raise SignOffError(
            f"{task} has {len(answers)} answers; it must have one for each of its "
            f"{len(watched.items)} items. Look at the sheet."
        )
    plain = " ".join(note.split())
    if len(plain) > LONGEST_NOTE:
        raise SignOffError(
            f"note has {len(plain)} characters; it must have {LONGEST_NOTE} or fewer. Shorten it."
        )
    return SignOff(
        noted=now.strftime("%Y-%m-%dT%H:%M:%SZ"),
        number=number,
        task=task,
        attempt=attempt,
        date=day,
        by=by,
        answers=tuple(answers),
        prompted=prompted,
        note=plain,
        marks=watched.marks(answers),
        failed=watched.failed(answers),
        version=watched.version,
    )


def enter_from_file(
    class_folder: ClassFolder, path: Path, *, by: str, now: datetime | None = None
) -> list[SignOff]:
    """Enter what a CSV says, all of it or nothing; lines without a yes or no are passed over.

    A line that says what the register says already is passed over too, so a file that grows over
    the weeks is entered again and again.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    path : Path
        The file; `blank_lines` makes one.
    by : str
        The assessor, as `name_of_assessor` returns them.
    now : datetime, optional
        When; left out, the clock of this machine.

    Raises
    ------
    ClassError
        One sentence with the line; nothing was entered.
    """
    found = []
    lines = filled_lines(
        path,
        columns=("number", "task", "date", "prompted", "1"),
        expected="number, task, date, prompted and a column for each item. Begin with the file "
        "that --blank writes.",
    )
    for line, row in lines:
        try:
            one = _read_row(class_folder, row, by=by, now=now)
        except SignOffError as error:
            raise ClassError(f"{path.name}, line {line}: {error} Nothing was entered.") from None
        if one is not None:
            found.append(one)
    return _enter(class_folder, found)


def enter_ticked(
    class_folder: ClassFolder, row: Mapping[str, str], *, by: str, now: datetime | None = None
) -> list[SignOff]:
    """Enter one task as it was ticked on the form; return it, or nothing if it stood there already.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    row : mapping of str to str
        What a line of the CSV holds: number, task, attempt, date, prompted, note, and yes or no
        under the number of each item.
    by : str
        The assessor, as `name_of_assessor` returns them.
    now : datetime, optional
        When; left out, the clock of this machine.

    Raises
    ------
    SignOffError or ClassError
        One sentence; nothing was entered.
    """
    one = _read_row(class_folder, row, by=by, now=now)
    if one is None:
        raise SignOffError("No item is answered. Tick yes or no for each of them.")
    return _enter(class_folder, [one])


def _enter(class_folder: ClassFolder, found: Sequence[SignOff]) -> list[SignOff]:
    with class_folder.alone("entering sign-offs") as class_folder, in_one_sentence():
        there = {_said(one) for one in read_sign_offs(class_folder.folder)}
        new = [one for one in found if _said(one) not in there]
        write_sign_offs(class_folder.folder, new)
        enter_sign_offs(class_folder.folder)
    return new


def _said(one: SignOff) -> tuple[object, ...]:
    """Return what a sign-off says, without who entered it and when."""
    return (one.number, one.task, one.attempt, one.date, one.answers, one.prompted, one.note)


def _read_row(
    class_folder: ClassFolder, row: Mapping[str, str], *, by: str, now: datetime | None
) -> SignOff | None:
    given = [row.get(str(place), "").lower() for place in range(1, 100)]
    if not any(given):
        return None
    task = task_of(row.get("task", ""))
    answers = []
    for place, item in enumerate(task.items, start=1):
        word = given[place - 1]
        if not word:
            raise SignOffError(
                f"item {place} of {task.key} has no answer; it must be yes or no: "
                f"{item.text[:-1] if item.text.endswith('.') else item.text}."
            )
        if word not in _YES | _NO:
            raise SignOffError(
                f"item {place} of {task.key} is “{word[:20]}”; it must be yes or no: "
                f"{item.text[:-1] if item.text.endswith('.') else item.text}."
            )
        answers.append(word in _YES)
    for place in range(len(task.items) + 1, 100):
        if given[place - 1]:
            raise SignOffError(
                f"item {place} is answered; {task.key} has {len(task.items)} items. Look at the "
                "sheet."
            )
    if row["prompted"].lower() not in _HOW:
        raise SignOffError(
            f"prompted is “{row['prompted'][:20]}”; it must be prompted or unprompted. Take it "
            "from the sheet."
        )
    number, attempt = row["number"], row.get("attempt", "") or "1"
    for what, text in (("apprentice number", number), ("attempt", attempt)):
        if not re.fullmatch(r"\d{1,3}", text):
            raise SignOffError(f"{what} is “{text[:20]}”; it must be a whole number. Correct it.")
    return new_sign_off(
        class_folder,
        number=int(number),
        task=task.key,
        attempt=int(attempt),
        day=row["date"],
        answers=answers,
        prompted=_HOW[row["prompted"].lower()],
        by=by,
        note=row.get("note", ""),
        now=now,
    )
