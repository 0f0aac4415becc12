"""The gradebook read without nbgrader: what nbgrader's own objects say of the same file."""

from __future__ import annotations

import sqlite3
from datetime import datetime
from pathlib import Path

import pytest

from coursework.course import PAGES, exercises_folder
from coursework.mark.cellmark import CellMark
from coursework.mark.gradebook import (
    GradebookError,
    HandInMarks,
    database_url,
    ensure_page,
    ensure_students,
    open_gradebook,
    save_marks,
)
from coursework.mark.grades import GradeRow, grades_of_class
from coursework.mark.pages import guides, released_page

EXERCISE = "01-measure"


def marked(folder: Path) -> None:
    page = released_page(exercises=exercises_folder(), exercise=EXERCISE)
    with open_gradebook(db_url=database_url(folder)) as gradebook:
        ensure_students(gradebook, {7: "Ada Marl", 12: "Bo van Flint"})
        cells = ensure_page(gradebook, exercise=EXERCISE, page=page, guides=guides(PAGES[EXERCISE]))
        marks = [
            CellMark(key=key, mark=None if key in cells.tasks else 1.0, changed=True)
            for key in (*cells.graded, *cells.tasks)
        ]
        made = datetime(2026, 11, 25, 12)
        save_marks(
            gradebook,
            [
                HandInMarks(cells=cells, student=student, made=made, marks=marks)
                for student in ("007", "012")
            ],
        )
        by_hand, extra = sorted(cells.tasks)[0], sorted(cells.graded)[0]
        grade = gradebook.find_grade(by_hand, EXERCISE, EXERCISE, "012")
        grade.manual_score, grade.needs_manual_grade = 0.5, False
        gradebook.find_grade(extra, EXERCISE, EXERCISE, "007").extra_credit = 0.25
        comment = gradebook.find_comment(by_hand, EXERCISE, EXERCISE, "012")
        comment.manual_comment = "Say why."
        gradebook.db.commit()


def said_by_nbgrader(folder: Path) -> list[GradeRow]:
    rows = []
    with open_gradebook(db_url=database_url(folder)) as gradebook:
        for submission in gradebook.assignment_submissions(EXERCISE):
            for notebook in submission.notebooks:
                comments = {one.name: one.manual_comment for one in notebook.comments}
                rows += [
                    GradeRow(
                        student=submission.student.id,
                        exercise=submission.name,
                        key=grade.name,
                        auto=grade.auto_score,
                        manual=grade.manual_score,
                        extra=grade.extra_credit,
                        waiting=bool(grade.needs_manual_grade),
                        comment=comments.get(grade.name),
                    )
                    for grade in notebook.grades
                ]
    return sorted(rows, key=lambda one: (one.student, one.exercise, one.key))


def test_every_grade_is_read_as_nbgrader_tells_it(tmp_path: Path) -> None:
    marked(tmp_path)
    found = grades_of_class(tmp_path)
    assert found == said_by_nbgrader(tmp_path)
    assert len(found) == 2 * len(PAGES[EXERCISE].questions)
    assert {one.manual for one in found} == {None, 0.5}
    assert "Say why." in {one.comment for one in found}
    assert {one.waiting for one in found} == {True, False}


def test_where_there_is_no_gradebook_none_is_made(tmp_path: Path) -> None:
    assert grades_of_class(tmp_path) == []
    assert list(tmp_path.iterdir()) == []


def test_a_gradebook_that_was_cut_off_while_it_was_made_is_completed(tmp_path: Path) -> None:
    with sqlite3.connect(tmp_path / "gradebook.db") as database:
        database.execute("CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL)")
    database.close()
    assert grades_of_class(tmp_path) == []
    with sqlite3.connect(tmp_path / "gradebook.db") as database:
        assert database.execute("SELECT count(*) FROM grade").fetchone() == (0,)
    database.close()


def test_a_damaged_gradebook_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "gradebook.db").write_bytes(
        b"no gradebook at all, but long enough to be read\n" * 9
    )
    with pytest.raises(GradebookError) as refused:
        grades_of_class(tmp_path)
    assert str(refused.value) == (
        "The gradebook cannot be opened: file is not a database. Look at its address and whether "
        "the file can be read and written, or its server runs."
    )
