"""What stands in the gradebook of each question: read by whoever only reads.

The words of the question to the gradebook stand here once. A class's own file is asked directly,
since loading nbgrader takes longer than a whole report.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coursework.mark.address import FILE, gradebook_address, is_own_file

__all__ = ["EVERY_GRADE", "GradeRow", "grades_of_class", "in_order"]

EVERY_GRADE = """
    SELECT submitted_assignment.student_id, assignment.name, base_cell.name, grade.auto_score,
        grade.manual_score, grade.extra_credit, grade.needs_manual_grade, comment.manual_comment
    FROM grade
    JOIN base_cell ON base_cell.id = grade.cell_id
    JOIN submitted_notebook ON submitted_notebook.id = grade.notebook_id
    JOIN submitted_assignment ON submitted_assignment.id = submitted_notebook.assignment_id
    JOIN assignment ON assignment.id = submitted_assignment.assignment_id
    LEFT JOIN comment ON comment.cell_id = grade.cell_id
        AND comment.notebook_id = grade.notebook_id
"""


@dataclass(frozen=True, kw_only=True)
class GradeRow:
    """One question of one hand-in as it stands in the gradebook."""

    student: str
    exercise: str
    key: str
    auto: float | None
    manual: float | None
    extra: float | None
    waiting: bool
    comment: str | None


def in_order(rows: Iterable[Any]) -> list[GradeRow]:
    """Return what a gradebook answered to `EVERY_GRADE`, by student, exercise and question."""
    found = [
        GradeRow(
            student=student,
            exercise=exercise,
            key=key,
            auto=auto,
            manual=manual,
            extra=extra,
            waiting=bool(waiting),
            comment=comment,
        )
        for student, exercise, key, auto, manual, extra, waiting, comment in rows
    ]
    return sorted(found, key=lambda row: (row.student, row.exercise, row.key))


def grades_of_class(folder: Path, *, db_url: str | None = None) -> list[GradeRow]:
    """Return every marked question of every hand-in of a class, in order.

    Parameters
    ----------
    folder : Path
        The class folder; where it has no gradebook yet, none is made.
    db_url : str, optional
        Another gradebook than the class's own.

    Raises
    ------
    GradebookError
        One sentence, where it cannot be opened.
    """
    if db_url is None and is_own_file(folder):
        path = folder / FILE
        if not path.is_file():
            return []
        try:
            with closing(sqlite3.connect(path)) as database:
                return in_order(database.execute(EVERY_GRADE))
        except sqlite3.Error:
            pass  # cut off while it was made, or damaged: opened whole, it is completed or refused
    from coursework.mark.gradebook import open_gradebook, read_grades

    with open_gradebook(db_url=db_url or gradebook_address(folder)) as gradebook:
        return read_grades(gradebook)
