"""A line in ``by-hand.csv`` for every mark and comment, as the marking screen saves it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import nbgrader.api as api
from sqlalchemy import event, inspect
from sqlalchemy.orm import Session

from coursework.mark.byhand import by_hand_register, cells_of, hold_register
from coursework.mark.records import ManualMark

__all__ = ["watch_hands"]

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
            if student.isdecimal()
        ]
        if lines:
            with hold_register(folder):
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
