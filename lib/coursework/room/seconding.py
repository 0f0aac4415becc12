"""Sampled double marking in a class: what the second assessor gets, enters, and how it agrees."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path

from coursework.course import page_of
from coursework.mark.inert import shown
from coursework.mark.second import (
    Agreement,
    Answer,
    SecondMark,
    agreements,
    draw_sample,
    first_assessor,
    read_second_marks,
    second_register,
)
from coursework.question import Written
from coursework.room.cards import page_template
from coursework.room.classfolder import ClassError, ClassFolder
from coursework.room.filledin import filled_lines
from coursework.room.standings import gather, in_one_sentence
from taperkey.counts import counted
from taperkey.files import write_whole

__all__ = [
    "agreement_lines",
    "enter_second_marks",
    "open_differences",
    "read_share",
    "write_sample",
]

ROOM = "second"


def read_share(text: str) -> float:
    """Return a share such as "10%" or "0.1".

    Raises
    ------
    ClassError
        It is none.

    Examples
    --------
    >>> read_share("10 %"), read_share("0.25")
    (0.1, 0.25)
    """
    plain = text.strip().replace(" ", "")
    found = re.fullmatch(r"(\d+(?:\.\d+)?)(%?)", plain)
    share = float(found[1]) / (100 if found[2] else 1) if found else 0.0
    if not 0 < share <= 1:
        raise ClassError(
            f"share is “{text[:20]}”; it must be above 0 % and up to 100 %. Type it as 10%."
        )
    return share


def _sample(class_folder: ClassFolder, share: float) -> dict[str, Answer]:
    records = gather(class_folder).records.values()
    return draw_sample(records, class_code=class_folder.code, share=share)


def write_sample(class_folder: ClassFolder, share: float) -> tuple[Path, Path, int]:
    """Write the drawn answers to read and the CSV to enter marks in; neither has a first mark.

    Returns
    -------
    Path, Path, int
        The page, the CSV, and how many answers there are that have no second mark yet.
    """
    there = read_second_marks(class_folder.folder)
    drawn = [
        one
        for one in _sample(class_folder, share).values()
        if (before := there.get((one.number, one.question.key))) is None
        or before.hand_in != one.hand_in
    ]
    groups: dict[str, list[Answer]] = {}
    for one in sorted(drawn, key=lambda one: (one.question.key, one.code)):
        groups.setdefault(one.question.key, []).append(one)
    page = page_template("second.html.j2").render(
        code=class_folder.code,
        title=class_folder.title,
        groups=[
            (found[0].question, _points(found[0]), [(one.code, shown(one.text)) for one in found])
            for found in groups.values()
        ],
    )
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(["code", "question", "out of", "mark", "comment"])
    for found in groups.values():
        for one in found:
            writer.writerow([one.code, one.question.key, f"{one.question.marks:g}", "", ""])
    room = class_folder.folder / ROOM
    write_whole(room / "answers.html", page.encode())
    write_whole(room / "marks.csv", text.getvalue().encode("utf-8-sig"))
    return room / "answers.html", room / "marks.csv", len(drawn)


def _points(one: Answer) -> tuple[str, ...]:
    assert isinstance(one.question.kind, Written)
    return one.question.kind.points


def enter_second_marks(
    class_folder: ClassFolder, path: Path, *, by: str, now: datetime | None = None
) -> list[SecondMark]:
    """Enter the second assessor's marks from the CSV, all of them or nothing.

    Raises
    ------
    ClassError
        One sentence with the line.
    """
    lines = filled_lines(
        path,
        columns=("code", "mark"),
        expected="code and mark. Begin with the file that was written with the answers.",
    )
    known = _sample(class_folder, 1.0)
    noted = (now or datetime.now(UTC)).astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    found = []
    for line, row in lines:
        given, code = row.get("mark", ""), row.get("code", "").upper()
        if not given:
            continue
        where = f"{path.name}, line {line}"
        answer = known.get(code)
        if answer is None:
            raise ClassError(
                f"{where}: code is “{code[:12]}”; it must be one of the page with the answers. "
                "Where somebody handed in again, draw the answers anew. Nothing was entered."
            )
        try:
            mark = float(given.replace(",", "."))
        except ValueError:
            mark = math.nan
        if not 0 <= mark <= answer.question.marks:
            raise ClassError(
                f"{where}: mark is “{given[:12]}”; it must be from 0 to "
                f"{answer.question.marks:g}. Correct it. Nothing was entered."
            )
        if first_assessor(class_folder.folder, answer) == by:
            raise ClassError(
                f"{where}: {by} gave the first mark of this answer; the second must come from "
                "somebody else. Nothing was entered."
            )
        found.append(
            SecondMark(
                noted=noted,
                number=answer.number,
                exercise=answer.exercise,
                entry=answer.question.key,
                hand_in=answer.hand_in,
                mark=mark,
                by=by,
                comment=" ".join(row.get("comment", "").split()),
            )
        )
    with class_folder.alone("entering second marks") as class_folder, in_one_sentence():
        there = read_second_marks(class_folder.folder)
        new = [one for one in found if not _says(there.get((one.number, one.entry)), one)]
        second_register(class_folder.folder).append(
            (
                one.noted, str(one.number), one.exercise, one.entry, one.hand_in, f"{one.mark:g}",
                one.by, one.comment,
            )
            for one in new
        )  # fmt: skip
    return new


def _says(before: SecondMark | None, one: SecondMark) -> bool:
    return before is not None and (before.hand_in, before.mark, before.by) == (
        one.hand_in, one.mark, one.by,
    )  # fmt: skip


def agreement_lines(class_folder: ClassFolder) -> list[str]:
    """Return how the two assessors agree, question by question, and what is to be settled."""
    standings = gather(class_folder)
    found = agreements(class_folder.folder, standings.records, standings.manual)
    if not found:
        return ["No answer has both marks yet."]
    lines = [_line(one) for one in found]
    left = [
        f"{class_folder.names[number]} ({number}), {one.key}"
        for one in found
        for number in one.open
        if number in class_folder.names
    ]
    if left:
        lines.append(f"To settle, each by one moderation: {', '.join(left)}.")
    else:
        lines.append("Every difference is settled.")
    return lines


def _line(one: Agreement) -> str:
    label = page_of(one.key).question(one.key).label
    alpha = "too few for alpha" if one.alpha is None else f"alpha {one.alpha:.2f}"
    return (
        f"{one.key}, {label}: {counted(one.twice, 'answer')} marked twice, {one.same} alike, "
        f"{alpha}."
    )


def open_differences(class_folder: ClassFolder) -> Iterable[tuple[int, str]]:
    """Yield number and question of each difference that no moderation has settled."""
    standings = gather(class_folder)
    for one in agreements(class_folder.folder, standings.records, standings.manual):
        for number in one.open:
            yield number, one.key
