"""The gradebook room: opened complete, told apart from what nbgrader would do."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path

import nbgrader.api as api
import pytest

from coursework.mark.gradebook import (
    GradebookError,
    database_url,
    ensure_students,
    open_gradebook,
    student_id,
)


def test_a_new_gradebook_is_complete(tmp_path: Path) -> None:
    with open_gradebook(db_url=database_url(tmp_path)) as gradebook:
        assert gradebook.students == []
    with sqlite3.connect(tmp_path / "gradebook.db") as database:
        rows = database.execute("SELECT version_num FROM alembic_version").fetchall()
    assert rows == [(api.get_alembic_version(),)]


def test_a_half_made_gradebook_is_completed(tmp_path: Path) -> None:
    with sqlite3.connect(tmp_path / "gradebook.db") as database:
        database.execute("CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL)")
    with open_gradebook(db_url=database_url(tmp_path)):
        pass
    with sqlite3.connect(tmp_path / "gradebook.db") as database:
        rows = database.execute("SELECT version_num FROM alembic_version").fetchall()
    assert rows == [(api.get_alembic_version(),)]


def test_students_follow_the_roster(tmp_path: Path) -> None:
    with open_gradebook(db_url=database_url(tmp_path)) as gradebook:
        ensure_students(gradebook, {7: "Ada Marl", 12: "Bo van Flint", 3: "Cy"})
        ensure_students(gradebook, {7: "Ada Loam"})
        found = {one.id: (one.first_name, one.last_name) for one in gradebook.students}
    assert found == {
        "003": (None, "Cy"),
        "007": ("Ada", "Loam"),
        "012": ("Bo van", "Flint"),
    }
    assert student_id(7) == "007"


def test_refusals_are_sentences(tmp_path: Path) -> None:
    with (
        pytest.raises(GradebookError) as refused,
        open_gradebook(db_url="postgres://bench/gradebook"),
    ):
        pass
    assert str(refused.value) == (
        "The gradebook's address begins with “postgres://”; it must begin with "
        "“postgresql+psycopg://”. Change it in the class settings."
    )
    (tmp_path / "gradebook.db").write_bytes(b"not a gradebook at all, only text" * 40)
    with (
        pytest.raises(GradebookError, match="^The gradebook cannot be opened: file is not a data"),
        open_gradebook(db_url=database_url(tmp_path)),
    ):
        pass


def test_a_locked_gradebook_is_a_sentence(tmp_path: Path) -> None:
    url = database_url(tmp_path)
    with open_gradebook(db_url=url):
        pass
    holder = sqlite3.connect(tmp_path / "gradebook.db", check_same_thread=False)
    holder.execute("BEGIN EXCLUSIVE")
    waiting = threading.Timer(30, holder.rollback)
    waiting.start()
    try:
        with (
            pytest.raises(GradebookError, match="cannot be (opened|written): database is locked"),
            open_gradebook(db_url=url) as gradebook,
        ):
            ensure_students(gradebook, {7: "Ada Marl"})
    finally:
        waiting.cancel()
        holder.rollback()
        holder.close()


RAW = "Pat <svg/onload=alert(1)>&lt;b&gt;"


def test_names_that_an_earlier_course_left_raw_are_made_harmless_when_it_is_opened(tmp_path):
    address = f"sqlite:///{tmp_path / 'gradebook.db'}"
    with open_gradebook(db_url=address) as gradebook:
        ensure_students(gradebook, {7: "Seán O'Brien"})
    with sqlite3.connect(tmp_path / "gradebook.db") as raw:  # as another program would write it
        raw.execute("UPDATE student SET first_name = ?, last_name = ?, email = ?", (RAW,) * 3)
    with open_gradebook(db_url=address):
        pass
    with sqlite3.connect(tmp_path / "gradebook.db") as raw:
        kept = raw.execute("SELECT first_name, last_name, email FROM student").fetchone()
    for text in kept:
        assert not set(text) & set("<>&\"'`")
        assert text.startswith("Pat ")


def test_what_is_typed_into_the_screens_own_form_is_made_harmless_too(tmp_path):
    address = f"sqlite:///{tmp_path / 'gradebook.db'}"
    with open_gradebook(db_url=address) as gradebook:  # as nbgrader's own pages write it
        gradebook.update_or_create_student("009", first_name=RAW, last_name=RAW, email=RAW)
        kept = gradebook.find_student("009")
        for text in (kept.first_name, kept.last_name, kept.email):
            assert not set(text) & set("<>&\"'`")
