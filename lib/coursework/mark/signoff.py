"""Practical sign-offs: what is watched at a task, and what each assessor saw, line by line.

A task's words come from two places: what is asked, the caution and the points that earn a mark
each stand in the lesson's ``words.toml``; ``signoff.toml`` beside it adds the conditions, the
tools, which of the points must be passed, and further items that must be passed and earn nothing.
What an assessor saw goes into ``sign-offs.csv`` in the class folder, a register that only grows.
The latest line of the latest attempt counts. A mark without such a line is no sign-off.
"""

from __future__ import annotations

import functools
import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coursework.course import PAGES, course
from coursework.mark.records import manual_marks, read_records
from coursework.mark.register import Register
from coursework.question import Practical, Question
from coursework.wordsfile import WordsFile

__all__ = [
    "HIGHEST_ATTEMPT",
    "Item",
    "SignOff",
    "SignOffError",
    "Task",
    "counting_sign_offs",
    "enter_sign_offs",
    "read_sign_offs",
    "sign_off_register",
    "task_of",
    "tasks",
    "write_sign_offs",
]

FILE = "signoff.toml"
HIGHEST_ATTEMPT = 9
_TABLE = {
    "conditions": "a text in quotes",
    "tools": "a list of texts",
    "must_points": "a list of numbers",
    "must": "a list of texts",
    "counts_for": "a list of texts",
}


class SignOffError(RuntimeError):
    """A sign-off that cannot be entered; the text is one sentence and what to do."""


@dataclass(frozen=True, kw_only=True)
class Item:
    """One thing that is seen or not: yes or no.

    Attributes
    ----------
    text : str
        What was done.
    earns : bool
        Whether a mark is given for it.
    must : bool
        Whether it must be passed, whatever the marks.
    """

    text: str
    earns: bool
    must: bool


@dataclass(frozen=True, kw_only=True)
class Task:
    """A practical task as an assessor has it in hand.

    Attributes
    ----------
    exercise : str
        The exercise that it belongs to.
    question : Question
        The entry that its marks are given for.
    caution : tuple of str and sequence of str
        Level and sentences of the hazards that are looked to before hands or tools move.
    conditions : str
        Where and how the task is done.
    tools : tuple of str
        What lies ready.
    items : tuple of Item
        What is watched, in the order of the sheet.
    counts_for : tuple of str
        Skills whose safety-critical decision is made there too: passed unprompted, it counts as a
        card on which that was right.
    """

    exercise: str
    question: Question
    caution: tuple[str, Sequence[str]]
    conditions: str
    tools: tuple[str, ...]
    items: tuple[Item, ...]
    counts_for: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """The question's key, such as "01-sign-off"."""
        return self.question.key

    @property
    def version(self) -> str:
        """Twelve digits that change with the items."""
        text = json.dumps([[one.text, one.earns, one.must] for one in self.items])
        return hashlib.sha256(text.encode("utf-8")).hexdigest()[:12]

    def marks(self, answers: Iterable[bool]) -> int:
        """Return how many marks these answers earn."""
        pairs = zip(self.items, answers, strict=True)
        return sum(yes for item, yes in pairs if item.earns)

    def failed(self, answers: Iterable[bool]) -> tuple[int, ...]:
        """Return the numbers of the items that must be passed and were not, from 1."""
        pairs = zip(self.items, answers, strict=True)
        return tuple(
            place for place, (item, yes) in enumerate(pairs, start=1) if item.must and not yes
        )


@dataclass(frozen=True, kw_only=True)
class SignOff:
    """One line of the register: a task watched once.

    Attributes
    ----------
    noted : str
        When it was entered, UTC.
    number : int
        The apprentice.
    task : str
        Key of the task.
    attempt : int
        1 for the first.
    date : str
        The day at the bench, such as "2026-11-25".
    by : str
        The assessor's account or name.
    answers : tuple of bool
        Yes or no for each item.
    prompted : bool
        Whether the apprentice had to be told something.
    note : str
        A line of the assessor's, or empty.
    marks : int
        Marks earned, by the items of that day.
    failed : tuple of int
        Numbers of the items that had to be passed and were not.
    version : str
        Version of the task's items.
    """

    noted: str
    number: int
    task: str
    attempt: int
    date: str
    by: str
    answers: tuple[bool, ...]
    prompted: bool
    note: str
    marks: int
    failed: tuple[int, ...]
    version: str

    @property
    def passed(self) -> bool:
        """Whether everything that must be passed was."""
        return not self.failed

    def cells(self) -> tuple[str, ...]:
        """Return the line as it stands in the register."""
        return (
            self.noted,
            str(self.number),
            self.task,
            str(self.attempt),
            self.date,
            self.by,
            " ".join("yes" if yes else "no" for yes in self.answers),
            "prompted" if self.prompted else "unprompted",
            self.note,
            str(self.marks),
            " ".join(map(str, self.failed)),
            self.version,
        )


def _numbers(value: object) -> bool:
    return isinstance(value, list) and all(type(one) is int for one in value)


@functools.cache
def _instruments(folder: Path) -> Mapping[str, tuple[WordsFile, Mapping[str, Any]]]:
    """Return the tables of every ``signoff.toml`` of a course, by task, with their file."""
    found = {}
    for path in sorted(folder.glob(f"*/{FILE}")):
        file = WordsFile(path)
        for key, table in file.all.items():
            if not isinstance(table, dict):
                raise file.refuse([key], f"“{key}” must be a table with the key of a task.")
            points = table.pop("must_points", [])
            there = file.table([key], _TABLE)
            if not _numbers(points):
                raise file.refuse(
                    [key, "must_points"], f"“must_points” in [{key}] must be a list of numbers."
                )
            found[key] = (file, {**there, "must_points": points})
    return found


def _task(exercise: str, question: Question) -> Task:
    assert isinstance(question.kind, Practical)
    guide = question.kind.guide
    file, there = _instruments(course().folder).get(question.key, (None, {}))
    points = there.get("must_points", [])
    skills = {one.skill for page in PAGES.values() for one in page.questions if one.critical}
    strange = [skill for skill in there.get("counts_for", ()) if skill not in skills]
    if file is not None and strange:
        raise file.refuse(
            [question.key, "counts_for"],
            f"“counts_for” in [{question.key}] names “{strange[0]}”; it must be a skill with a "
            f"safety-critical question: {', '.join(sorted(skills))}.",
        )
    wrong = [point for point in points if not 1 <= point <= len(guide)]
    if file is not None and wrong:
        raise file.refuse(
            [question.key, "must_points"],
            f"“must_points” in [{question.key}] names {wrong[0]}; the guide of {question.key} in "
            f"words.toml has the points 1 to {len(guide)}.",
        )
    return Task(
        exercise=exercise,
        question=question,
        caution=course().caution(question.kind.caution),
        conditions=there.get("conditions", ""),
        tools=tuple(there.get("tools", ())),
        items=(
            *(
                Item(text=text, earns=True, must=place in points)
                for place, text in enumerate(guide, start=1)
            ),
            *(Item(text=text, earns=False, must=True) for text in there.get("must", ())),
        ),
        counts_for=tuple(there.get("counts_for", ())),
    )


def tasks() -> dict[str, Task]:
    """Return the practical tasks of the course in use, by key, in order.

    Raises
    ------
    WordsError
        A ``signoff.toml`` cannot be used: file, line and what is expected there.
    """
    found = {
        question.key: _task(page.name, question)
        for page in PAGES.values()
        for question in page.questions
        if isinstance(question.kind, Practical)
    }
    for key, (file, _) in _instruments(course().folder).items():
        if key not in found:
            raise file.refuse(
                [key], f"[{key}] is no practical task; the course has: {', '.join(found)}."
            )
    return found


def task_of(key: str) -> Task:
    """Return one practical task.

    Raises
    ------
    SignOffError
        The course has none of that key.
    """
    known = tasks()
    if key not in known:
        raise SignOffError(
            f"task is “{key[:40]}”; it must be one of: {', '.join(known)}. Look at the sheet."
        )
    return known[key]


def sign_off_register(folder: Path) -> Register:
    """Return the register of sign-offs of a class folder."""
    return Register(
        path=folder / "sign-offs.csv",
        columns=(
            "noted", "number", "task", "attempt", "date", "by", "items", "prompted", "note",
            "marks", "must not passed", "version",
        ),
    )  # fmt: skip


def read_sign_offs(folder: Path) -> list[SignOff]:
    """Return every sign-off in order; a line with a number that is none is passed over."""
    found = []
    for line in sign_off_register(folder).lines():
        try:
            found.append(
                SignOff(
                    noted=line["noted"],
                    number=int(line["number"]),
                    task=line["task"],
                    attempt=int(line["attempt"]),
                    date=line["date"],
                    by=line["by"],
                    answers=tuple(word == "yes" for word in line["items"].split()),
                    prompted=line["prompted"] == "prompted",
                    note=line["note"],
                    marks=int(line["marks"]),
                    failed=tuple(map(int, line["must not passed"].split())),
                    version=line["version"],
                )
            )
        except ValueError:
            continue
    return found


def counting_sign_offs(folder: Path) -> dict[tuple[int, str], SignOff]:
    """Return the sign-off that counts of each apprentice and task: the latest attempt's latest."""
    found: dict[tuple[int, str], SignOff] = {}
    for one in read_sign_offs(folder):
        before = found.get((one.number, one.task))
        if before is None or one.attempt >= before.attempt:
            found[one.number, one.task] = one
    return found


def write_sign_offs(folder: Path, sign_offs: Iterable[SignOff]) -> None:
    """Add lines to the register."""
    lines = [one.cells() for one in sign_offs]
    if lines:
        sign_off_register(folder).append(lines)


def enter_sign_offs(folder: Path) -> int:
    """Put the marks of the sign-offs that count into the gradebook; return how many were changed.

    A sign-off goes before a mark typed in the marking screen, a moderation before a sign-off. Where
    the exercise is not handed in yet, the mark waits until it is.
    """
    wanted = counting_sign_offs(folder)
    if not wanted:
        return 0
    there = {(one.number, one.exercise): one for one in read_records(folder)}
    manual = manual_marks(folder)
    changed = []
    for (number, key), one in wanted.items():
        exercise = next((task.exercise for task in tasks().values() if task.key == key), "")
        record = there.get((number, exercise))
        if record is None or key in record.moderations or record.verdict(key) is None:
            continue
        given = manual.get((number, exercise), {}).get(key)
        if given is None or given.score != one.marks or given.waiting:
            changed.append((number, exercise, key, one.marks))
    if changed:
        from coursework.mark.gradebook import database_url, open_gradebook, student_id

        with open_gradebook(db_url=database_url(folder)) as gradebook:
            gradebook.db.info["entered"] = True  # the run that follows notes whose they are
            for number, exercise, key, marks in changed:
                grade = gradebook.find_grade(key, exercise, exercise, student_id(number))
                grade.manual_score = float(marks)
                grade.needs_manual_grade = False
            gradebook.db.commit()
    return len(changed)
