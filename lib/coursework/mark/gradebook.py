"""The gradebook: nbgrader's own tables, opened once a run and written directly.

Opening a gradebook costs more than marking a hand-in, so a run opens it once.
What is written is what nbgrader's marking screen, feedback and export read:
assignment, notebook and cells from the released page, students from the
roster, one submission per hand-in with its scores and flags, those of a hand-in
never in part. Marks and comments that an assessor gave by hand are never touched.
"""

from __future__ import annotations

import json
import os
import sqlite3
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import alembic.config
import alembic.script
import nbgrader.api as api
import nbgrader.dbutil
import nbgrader.utils as nbgrader_utils
from sqlalchemy import and_, create_engine, insert, inspect, select, text, update
from sqlalchemy import event as sqlalchemy_event
from sqlalchemy.exc import ArgumentError, DatabaseError, OperationalError

from coursework.mark.address import gradebook_address
from coursework.mark.cellmark import CellMark, enter_mark
from coursework.mark.grades import EVERY_GRADE, GradeRow, in_order
from taperkey.names import harmless

__all__ = [
    "GradebookError",
    "HandInMarks",
    "PageCells",
    "database_url",
    "ensure_page",
    "ensure_students",
    "open_gradebook",
    "put_environment_on_path",
    "read_grades",
    "save_marks",
    "scheme",
    "student_id",
    "submission_times",
]


class GradebookError(RuntimeError):
    """The gradebook cannot be used; the text is one sentence and what to do."""


@dataclass(frozen=True, kw_only=True)
class PageCells:
    """Where a page's cells stand in the gradebook, by key.

    Attributes
    ----------
    exercise : str
        The page.
    assignment, notebook : str
        Their ids in the gradebook.
    graded, tasks, solutions : dict of str to str
        Ids of the cells that are marked by the marker, by the assessor, and that hold solutions.
    """

    exercise: str
    assignment: str
    notebook: str
    graded: Mapping[str, str]
    tasks: Mapping[str, str]
    solutions: Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class HandInMarks:
    """The marks of one hand-in, and where they belong.

    Attributes
    ----------
    cells : PageCells
        The page's cells.
    student : str
        The apprentice's id.
    made : datetime
        When it was handed in, UTC, without a zone.
    marks : sequence of CellMark
        One a question.
    """

    cells: PageCells
    student: str
    made: datetime
    marks: Sequence[CellMark]


def student_id(number: int) -> str:
    """Return the apprentice's id in the gradebook: the number in three digits."""
    return f"{number:03d}"


def database_url(folder: Path) -> str:
    """Return the address of the class's gradebook: its own file, or the server it names."""
    return gradebook_address(folder)


def put_environment_on_path() -> None:
    """Let nbgrader find ``alembic``, which it starts by its bare name."""
    here = str(Path(sys.executable).parent)
    parts = os.environ.get("PATH", "").split(os.pathsep)
    if here not in parts:
        os.environ["PATH"] = os.pathsep.join([here, *parts])


@contextmanager
def open_gradebook(*, db_url: str, course_id: str = "default_course") -> Iterator[api.Gradebook]:
    """Open a gradebook for one run, and close it.

    Parameters
    ----------
    db_url : str
        Such as ``sqlite:////class/gradebook.db`` or ``postgresql+psycopg://…``.
    course_id : str
        nbgrader's name for the course.

    Raises
    ------
    GradebookError
        One sentence, where it cannot be opened or written.
    """
    if db_url.startswith("postgres://"):
        raise GradebookError(
            "The gradebook's address begins with “postgres://”; it must begin with "
            "“postgresql+psycopg://”. Change it in the class settings."
        )
    put_environment_on_path()
    try:
        _begin(db_url)
        gradebook = api.Gradebook(db_url, course_id)
        _make_people_harmless(gradebook)
    except (DatabaseError, ArgumentError, ImportError, OSError) as error:
        raise GradebookError(
            f"The gradebook cannot be opened: {_first_line(error)}. Look at its address and "
            "whether the file can be read and written, or its server runs."
        ) from error
    try:
        yield gradebook
    except OperationalError as error:
        gradebook.db.rollback()
        full = getattr(error.orig, "sqlite_errorcode", 0) == sqlite3.SQLITE_FULL
        step = "Make room on the disk" if full else "Close other programs that have it open"
        raise GradebookError(
            f"The gradebook cannot be written: {_first_line(error)}. {step} and run this again; "
            "nothing that was marked is lost."
        ) from error
    except BaseException:
        gradebook.db.rollback()
        raise
    finally:
        gradebook.close()


def _first_line(error: BaseException) -> str:
    cause = getattr(error, "orig", None) or error
    lines = str(cause).strip().splitlines()
    return (lines[0] if lines else type(error).__name__).rstrip(".")


def _begin(db_url: str) -> None:
    """Say which form of nbgrader's tables a new gradebook has, before the tables are made.

    nbgrader starts a program for that, and leaves a half-made gradebook where it cannot. Written
    first, and here, it also completes a gradebook that was cut off while it was made.
    """
    engine = create_engine(db_url, future=True)
    try:
        with engine.begin() as connection:
            if "alembic_version" not in inspect(connection).get_table_names():
                connection.execute(
                    text("CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL)")
                )
            if not connection.execute(text("SELECT count(*) FROM alembic_version")).scalar():
                settings = alembic.config.Config()
                settings.set_main_option("script_location", nbgrader.dbutil.ALEMBIC_DIR)
                head = alembic.script.ScriptDirectory.from_config(settings).get_current_head()
                connection.execute(
                    text("INSERT INTO alembic_version (version_num) VALUES (:version)"),
                    {"version": head},
                )
    finally:
        engine.dispose()


def _keep_harmless(student: Any, text: str | None, before: Any, event: Any) -> str | None:
    """Return what is kept of a text about a person: nbgrader's pages show it as it stands."""
    return text if text is None else harmless(text)


# Whoever writes, the marking screen's own form included: wherever this module is loaded.
for _field in (api.Student.first_name, api.Student.last_name, api.Student.email, api.Student.id):
    sqlalchemy_event.listen(_field, "set", _keep_harmless, retval=True)


def _make_people_harmless(gradebook: api.Gradebook) -> None:
    """Write names again that an earlier course, or another program, put into the gradebook raw."""
    db = gradebook.db
    for student in db.query(api.Student):
        for field in ("first_name", "last_name", "email"):
            text_now = getattr(student, field)
            if text_now and harmless(text_now) != text_now:
                setattr(student, field, text_now)
    db.commit()


def ensure_students(gradebook: api.Gradebook, roster: Mapping[int, str]) -> None:
    """Put the roster into the gradebook; names are brought up to date, nobody is removed."""
    known = {student.id: student for student in gradebook.db.query(api.Student)}
    for number, name in sorted(roster.items()):
        first, _, last = name.strip().rpartition(" ")
        student = known.get(student_id(number))
        if student is None:
            student = api.Student(id=student_id(number))
            gradebook.db.add(student)
        # As it is kept, so that a run with nothing new changes nothing.
        student.first_name, student.last_name = harmless(first) or None, harmless(last) or None
    gradebook.db.commit()


def scheme(guide: str) -> str:
    """Return a marking guide between the marks that keep it out of a released page."""
    return f"=== BEGIN MARK SCHEME ===\n\n{guide.strip()}\n\n=== END MARK SCHEME ==="


def ensure_page(
    gradebook: api.Gradebook, *, exercise: str, page: Any, guides: Mapping[str, str]
) -> PageCells:
    """Put a released page's cells into the gradebook, or bring them up to date.

    Parameters
    ----------
    gradebook : Gradebook
        Open.
    exercise : str
        Name of the assignment and of its one notebook.
    page : notebook
        The released page.
    guides : mapping of str to str
        Marking guide by key, for what the assessor marks.

    Raises
    ------
    GradebookError
        One sentence, where a question was taken out of a page that has been handed in already.
    """
    db = gradebook.db
    assignment = db.query(api.Assignment).filter_by(name=exercise).one_or_none()
    if assignment is None:
        assignment = api.Assignment(id=api.new_uuid(), name=exercise, course_id=gradebook.course_id)
        db.add(assignment)
    notebook = (
        db.query(api.Notebook).filter_by(name=exercise, assignment_id=assignment.id).one_or_none()
    )
    if notebook is None:
        notebook = api.Notebook(id=api.new_uuid(), name=exercise, assignment_id=assignment.id)
        db.add(notebook)
    notebook.kernelspec = json.dumps(page.metadata.get("kernelspec", {}))
    db.flush()
    ids: dict[type, dict[str, str]] = {}
    for kind, wanted in _wanted_cells(page, guides).items():
        ids[kind] = _match_cells(gradebook, notebook, kind, wanted)
    db.commit()
    return PageCells(
        exercise=exercise,
        assignment=assignment.id,
        notebook=notebook.id,
        graded=ids[api.GradeCell],
        tasks=ids[api.TaskCell],
        solutions=ids[api.SolutionCell],
    )


def _wanted_cells(page: Any, guides: Mapping[str, str]) -> dict[type, dict[str, dict[str, Any]]]:
    wanted: dict[type, dict[str, dict[str, Any]]] = {
        kind: {} for kind in (api.GradeCell, api.TaskCell, api.SolutionCell, api.SourceCell)
    }
    for cell in page.cells:
        about = cell.metadata.get("nbgrader")
        if not about:
            continue
        name = about["grade_id"]
        scored = {"cell_type": cell.cell_type}
        if nbgrader_utils.is_grade(cell) or nbgrader_utils.is_task(cell):
            scored["max_score"] = float(about["points"])
        if nbgrader_utils.is_grade(cell):
            wanted[api.GradeCell][name] = scored
        if nbgrader_utils.is_solution(cell):
            wanted[api.SolutionCell][name] = {}
        source, checksum = cell.source, about.get("checksum")
        if nbgrader_utils.is_task(cell):
            wanted[api.TaskCell][name] = scored
            if name in guides:
                whole = cell.copy()
                whole.source = source = f"{cell.source.rstrip()}\n\n{scheme(guides[name])}"
                checksum = nbgrader_utils.compute_checksum(whole)
        wanted[api.SourceCell][name] = {
            "cell_type": cell.cell_type,
            "locked": nbgrader_utils.is_locked(cell),
            "source": source,
            "checksum": checksum,
        }
    return wanted


def _match_cells(
    gradebook: api.Gradebook, notebook: Any, kind: Any, wanted: Mapping[str, dict[str, Any]]
) -> dict[str, str]:
    db = gradebook.db
    known = {cell.name: cell for cell in db.query(kind).filter_by(notebook_id=notebook.id)}
    for name in known.keys() - wanted.keys():
        if kind is not api.SourceCell and (
            db.query(api.Grade).filter_by(cell_id=known[name].id).count()
            or db.query(api.Comment).filter_by(cell_id=known[name].id).count()
        ):
            raise GradebookError(
                f"{name} is in the gradebook with marks, but no longer on the page "
                f"{notebook.name}; a question that has been handed in must stay on its page. Put "
                "it back, or begin a new class folder."
            )
        db.delete(known.pop(name))
    for name, fields in wanted.items():
        cell = known.get(name)
        if cell is None:
            cell = known[name] = kind(id=api.new_uuid(), name=name, notebook_id=notebook.id)
            db.add(cell)
        for field, value in fields.items():
            if getattr(cell, field) != value:
                setattr(cell, field, value)
    db.flush()
    return {name: cell.id for name, cell in known.items()}


def save_marks(gradebook: api.Gradebook, hand_ins: Sequence[HandInMarks]) -> None:
    """Write the marks of some hand-ins in one transaction.

    A mark that the assessor gave stays. It is flagged to be looked at again where the entry or
    the marker's own mark has changed since.

    Parameters
    ----------
    gradebook : Gradebook
        Open.
    hand_ins : sequence of HandInMarks
        Each of another apprentice or exercise.
    """
    db = gradebook.db
    try:
        notebooks, known = _submissions(db, hand_ins)
        grades, comments = _rows(db, _GRADE, known), _rows(db, _COMMENT, known)
        for one, notebook in zip(hand_ins, notebooks, strict=True):
            cells = one.cells
            for cell in (*cells.tasks.values(), *cells.solutions.values()):
                if (notebook, cell) not in comments:
                    comments[notebook, cell] = _Row(_COMMENT, cell_id=cell, notebook_id=notebook)
            for mark in one.marks:
                by_assessor = mark.key in cells.tasks
                cell = (cells.tasks if by_assessor else cells.graded)[mark.key]
                if (notebook, cell) not in grades:
                    grades[notebook, cell] = _Row(_GRADE, cell_id=cell, notebook_id=notebook)
                enter_mark(grades[notebook, cell], mark)
                if by_assessor:
                    comments[notebook, cell].auto_comment = mark.comment or None
        _write_rows(db, [*grades.values(), *comments.values()])
        _commit(gradebook)
    except BaseException:
        db.rollback()
        raise


def _commit(gradebook: api.Gradebook) -> None:
    gradebook.db.commit()


_GRADE, _COMMENT = api.Grade.__table__, api.Comment.__table__
_SUBMITTED, _NOTEBOOK = api.SubmittedAssignment.__table__, api.SubmittedNotebook.__table__


class _Row:
    """A row of one of nbgrader's tables: its columns, and what they were when it was read."""

    auto_comment: str | None

    def __init__(self, table: Any, before: Mapping[str, Any] | None = None, **fields: Any) -> None:
        self._table, self._before = table, dict(before or {})
        vars(self).update(dict.fromkeys(table.columns.keys()) | self._before | fields)

    def change(self) -> tuple[Any, bool, dict[str, Any]]:
        """Return the table, whether the row is new, and its columns if it has to be written."""
        now = {name: getattr(self, name) for name in self._table.columns.keys()}  # noqa: SIM118
        if self._before:
            return self._table, False, {} if now == self._before else now
        return self._table, True, now | {"id": api.new_uuid()}


def _rows(db: Any, table: Any, notebooks: Sequence[str]) -> dict[tuple[str, str], _Row]:
    """Return what stands of submitted notebooks in a table, by notebook and cell."""
    if not notebooks:
        return {}
    found = db.execute(select(table).where(table.c.notebook_id.in_(notebooks))).mappings()
    return {(row["notebook_id"], row["cell_id"]): _Row(table, row) for row in found}


def _write_rows(db: Any, rows: Iterable[_Row]) -> None:
    """Write the rows that are new or other, those of a table at once."""
    by_kind: dict[tuple[Any, bool], list[dict[str, Any]]] = {}
    for table, is_new, fields in (row.change() for row in rows):
        if fields:
            by_kind.setdefault((table, is_new), []).append(fields)
    for (table, is_new), many in by_kind.items():
        if is_new:
            db.execute(insert(table), many)
            continue
        for one in many:
            db.execute(update(table).where(table.c.id == one["id"]).values(one))


def _submissions(db: Any, hand_ins: Sequence[HandInMarks]) -> tuple[list[str], list[str]]:
    """Return the id of each submitted notebook, and those of them that were there before."""
    rows = db.execute(
        select(
            _SUBMITTED.c.assignment_id,
            _SUBMITTED.c.student_id,
            _SUBMITTED.c.id,
            _SUBMITTED.c.timestamp,
            _NOTEBOOK.c.id,
        )
        .outerjoin(
            _NOTEBOOK,
            and_(
                _NOTEBOOK.c.assignment_id == _SUBMITTED.c.id,
                _NOTEBOOK.c.notebook_id.in_({one.cells.notebook for one in hand_ins}),
            ),
        )
        .where(_SUBMITTED.c.student_id.in_({one.student for one in hand_ins}))
    )
    there = {(assignment, student): found for assignment, student, *found in rows}
    submitted, begun = [], []
    notebooks, known = [], []
    for one in hand_ins:
        place = one.cells.assignment, one.student
        submission, timestamp, notebook = there.get(place, (None, None, None))
        if submission is None:
            submission = api.new_uuid()
            new = {"id": submission, "assignment_id": place[0], "student_id": place[1]}
            submitted.append(new | {"timestamp": one.made})
        elif timestamp != one.made:
            same = _SUBMITTED.c.id == submission
            db.execute(update(_SUBMITTED).where(same).values(timestamp=one.made))
        if notebook is not None:
            known.append(notebook)
        else:
            notebook = api.new_uuid()
            new = {"id": notebook, "assignment_id": submission}
            begun.append(new | {"notebook_id": one.cells.notebook})
        notebooks.append(notebook)
    for table, many in ((_SUBMITTED, submitted), (_NOTEBOOK, begun)):
        if many:
            db.execute(insert(table), many)
    return notebooks, known


def submission_times(gradebook: api.Gradebook) -> dict[tuple[str, str], datetime]:
    """Return when each submission in the gradebook was made, by student and exercise."""
    rows = (
        gradebook.db.query(
            api.SubmittedAssignment.student_id,
            api.Assignment.name,
            api.SubmittedAssignment.timestamp,
        )
        .join(api.Assignment, api.Assignment.id == api.SubmittedAssignment.assignment_id)
        .all()
    )
    return {(student, exercise): made for student, exercise, made in rows}


def read_grades(gradebook: api.Gradebook) -> list[GradeRow]:
    """Return every marked question of every hand-in, in order."""
    return in_order(gradebook.db.execute(text(EVERY_GRADE)))
