"""What the assessor entered by hand, with who it was and the day on which it was first seen.

nbgrader's gradebook keeps a mark given in the marking screen, but not when, nor whose it is. The
screen adds a line to ``by-hand.csv`` in the class folder for every mark and comment as it is saved,
with the assessor's account (`watch_hands`). Each marking run and report compares the gradebook with
that file and adds what came in otherwise. So what stood there before can always be looked up.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import MappingProxyType
from typing import Any

import nbgrader.api as api
from filelock import FileLock
from sqlalchemy import event, inspect
from sqlalchemy.orm import Session

from coursework.mark.records import ManualMark
from coursework.mark.register import Register

__all__ = [
    "ByHand",
    "HandMark",
    "by_hand_register",
    "note_by_hand",
    "read_by_hand",
    "watch_hands",
]

ByHand = Mapping[tuple[int, str], Mapping[str, ManualMark]]


@dataclass(frozen=True, kw_only=True)
class HandMark:
    """The latest line on one question of one apprentice.

    Attributes
    ----------
    seen : str
        When it was first seen, UTC, such as "2026-11-25T12:00:00Z".
    score, extra : str
        Mark and extra credit as written; empty for none.
    comment : str
        The comment, on one line.
    by : str
        The assessor's account or name; empty where that was not kept.
    """

    seen: str
    score: str
    extra: str
    comment: str
    by: str = ""


def by_hand_register(folder: Path) -> Register:
    """Return the register of marks by hand of a class folder."""
    columns = ("seen", "number", "exercise", "entry", "mark", "extra", "comment", "by")
    return Register(path=folder / "by-hand.csv", columns=columns, later=1)


def _lock(folder: Path) -> FileLock:
    """Return what holds the register while somebody adds to it: screens and runs are at once."""
    return FileLock(folder / ".by-hand.lock", timeout=20)


def read_by_hand(folder: Path) -> dict[tuple[int, str, str], HandMark]:
    """Return the latest line on each number, exercise and question."""
    found = {}
    for line in by_hand_register(folder).lines():
        if line["number"].isdigit():
            found[int(line["number"]), line["exercise"], line["entry"]] = HandMark(
                seen=line["seen"],
                score=line["mark"],
                extra=line["extra"],
                comment=line["comment"],
                by=line["by"],
            )
    return found


def cells_of(mark: ManualMark | None) -> tuple[str, str, str]:
    """Return mark, extra credit and comment as they are written."""
    if mark is None:
        return "", "", ""
    comment = " ".join(mark.comment.split())
    return (
        "" if mark.score is None else f"{mark.score:g}",
        f"{mark.extra:g}" if mark.extra else "",
        comment,
    )


def note_by_hand(
    *,
    folder: Path,
    manual: ByHand,
    now: str,
    hands: Mapping[tuple[int, str, str], tuple[str, str]] = MappingProxyType({}),
) -> int:
    """Add a line for everything by hand that is new or changed; return how many.

    Parameters
    ----------
    folder : Path
        The class folder.
    manual : mapping
        What stands in the gradebook, by number and exercise, then by question.
    now : str
        When, UTC.
    hands : mapping, optional
        Mark as written and who gave it, where a sign-off or a moderation says so, by number,
        exercise and question.
    """
    with _lock(folder):
        return _note(folder, manual, now, hands)


def _note(
    folder: Path,
    manual: ByHand,
    now: str,
    hands: Mapping[tuple[int, str, str], tuple[str, str]],
) -> int:
    register = by_hand_register(folder)
    known = {key: (one.score, one.extra, one.comment) for key, one in read_by_hand(folder).items()}
    there = {
        (number, exercise, entry): cells_of(mark)
        for (number, exercise), marks in manual.items()
        for entry, mark in marks.items()
    }
    lines = []
    for key in sorted({*known, *there}):
        cells = there.get(key, ("", "", ""))
        written = (cells[0], cells[1], register.as_written(cells[2]))
        if written != known.get(key, ("", "", "")):
            mark, by = hands.get(key, ("", ""))
            lines.append((now, str(key[0]), key[1], key[2], *cells, by if mark == cells[0] else ""))
    if lines:
        register.append(lines)
    return len(lines)


_FIELDS = ("manual_score", "extra_credit", "manual_comment")
_watched: dict[Path, Callable[[], None]] = {}


def _clock() -> datetime:
    return datetime.now(UTC)


def watch_hands(
    folder: Path, *, by: str, clock: Callable[[], datetime] = _clock
) -> Callable[[], None]:
    """Add a line to the register for every mark or comment that this process saves by hand.

    The marking screen's settings call it, so the line is there as soon as the mark is.

    Parameters
    ----------
    folder : Path
        The class folder.
    by : str
        The assessor's account or name.
    clock : callable, optional
        Says what time it is; left out, the clock of this machine.

    Returns
    -------
    callable
        Stops watching.
    """
    if folder in _watched:
        return _watched[folder]

    def before(session: Any, context: Any, instances: Any) -> None:
        if session.info.get("entered"):
            return
        with session.no_autoflush:
            for one in [*session.new, *session.dirty]:
                if isinstance(one, (api.Grade, api.Comment)) and _by_person(one):
                    session.info.setdefault("hands", {})[_place(one)] = _stands(session, one)

    def after(session: Any) -> None:
        found = session.info.pop("hands", {})
        lines = [
            (
                clock().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
                str(int(student)),
                exercise,
                key,
                *cells_of(mark),
                by,
            )
            for (student, exercise, key), mark in found.items()
            if student.isdigit()
        ]
        if lines:
            with _lock(folder):
                by_hand_register(folder).append(lines)

    def dropped(session: Any) -> None:
        session.info.pop("hands", None)

    heard = (("before_flush", before), ("after_commit", after), ("after_rollback", dropped))
    for name, listener in heard:
        event.listen(Session, name, listener)

    def stop() -> None:
        for name, listener in heard:
            event.remove(Session, name, listener)
        _watched.pop(folder, None)

    _watched[folder] = stop
    return stop


def _by_person(row: Any) -> bool:
    """Return whether what a person gives is another one in this row than before."""
    attributes = inspect(row).attrs
    return any(
        any(one not in (None, "") for one in (*history.added, *history.deleted))
        for name in _FIELDS
        if name in attributes and (history := attributes[name].history).has_changes()
    )


def _place(row: Any) -> tuple[str, str, str]:
    hand_in = row.notebook.assignment
    return hand_in.student_id, hand_in.assignment.name, row.cell.name


def _stands(session: Any, row: Any) -> ManualMark:
    """Return what stands by hand on the question of a grade or a comment."""
    other = api.Comment if isinstance(row, api.Grade) else api.Grade
    beside = (
        session.query(other).filter_by(notebook_id=row.notebook.id, cell_id=row.cell.id).first()
    )
    grade, comment = (row, beside) if isinstance(row, api.Grade) else (beside, row)
    return ManualMark(
        key=row.cell.name,
        score=_number(grade.manual_score) if grade else None,
        extra=(_number(grade.extra_credit) or 0.0) if grade else 0.0,
        comment=(comment.manual_comment or "") if comment else "",
    )


def _number(given: Any) -> float | None:
    """Return a mark as a number: before it is saved it may still be the text that was typed."""
    return None if given in (None, "") else float(given)
