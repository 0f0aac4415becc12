"""The course is laid out, refreshed where untouched, and never written over."""

import errno
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from coursework.course import course
from coursework.page.entries import EntriesFile
from coursework.room import coursebook
from coursework.room.coursebook import (
    CourseError,
    lay_out,
    leave_results_out,
    page_fingerprint,
    runnable_pages,
    shipped_pages,
)
from keycourse.fit.faces import fitting_bench

MEASURE = "lessons/01-measure.ipynb"


def page(*blocks: tuple[str, str], outputs: list[dict[str, Any]] | None = None) -> dict[str, Any]:
    cells: list[dict[str, Any]] = []
    for number, (kind, source) in enumerate(blocks):
        cell: dict[str, Any] = {
            "id": f"c{number}",
            "cell_type": kind,
            "source": source.splitlines(keepends=True),
            "metadata": {"editable": False, "deletable": False},
        }
        if kind == "code":
            cell |= {"outputs": outputs or [], "execution_count": 3 if outputs else None}
        cells.append(cell)
    return {
        "cells": cells,
        "metadata": {"taperkey": {"page": "01-measure"}},
        "nbformat": 4,
        "nbformat_minor": 5,
    }


PRINTED = [{"output_type": "stream", "name": "stdout", "text": ["1.0104 in\n"]}]
FIRST = page(("markdown", "# Measure\nTurn the keyway down."), ("code", "show()"))
SECOND = page(("markdown", "# Measure\nTurn the keyway to the bottom."), ("code", "show()"))


def put(path: Path, notebook: dict[str, Any]) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(notebook), "utf-8")
    return path


@pytest.fixture
def shipped(tmp_path: Path) -> dict[str, Path]:
    return {MEASURE: put(tmp_path / "shipped" / "01.ipynb", FIRST)}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "Übung Schlüssel 楔"


def blocks(path: Path) -> list[str]:
    return ["".join(cell["source"]) for cell in json.loads(path.read_text("utf-8"))["cells"]]


def test_lays_out_a_new_folder_with_letters_of_any_language(
    shipped: dict[str, Path], folder: Path
) -> None:
    laid = lay_out(folder=folder, pages=shipped)

    assert laid.added == (MEASURE,)
    assert laid.sentences == ()
    assert blocks(folder / MEASURE) == ["# Measure\nTurn the keyway down.", "show()"]


def test_a_page_that_only_ran_is_refreshed(shipped: dict[str, Path], folder: Path) -> None:
    lay_out(folder=folder, pages=shipped)
    ran = page(
        ("markdown", "# Measure\nTurn the keyway down."), ("code", "show()"), outputs=PRINTED
    )
    ran["metadata"]["kernelspec"] = {"name": "python3"}
    ran["cells"][1]["metadata"]["execution"] = {"iopub.status.idle": "now"}
    put(folder / MEASURE, ran)
    put(shipped[MEASURE], SECOND)

    laid = lay_out(folder=folder, pages=shipped)

    assert laid.refreshed == (MEASURE,)
    assert blocks(folder / MEASURE)[0] == "# Measure\nTurn the keyway to the bottom."


def test_a_page_with_a_written_answer_stays_and_the_newer_one_lies_beside_it(
    shipped: dict[str, Path], folder: Path
) -> None:
    lay_out(folder=folder, pages=shipped)
    own = page(("markdown", "# Measure\nMy note."), ("code", "show()"))
    put(folder / MEASURE, own)
    before = (folder / MEASURE).read_bytes()
    put(shipped[MEASURE], SECOND)

    laid = lay_out(folder=folder, pages=shipped)
    again = lay_out(folder=folder, pages=shipped)

    assert (folder / MEASURE).read_bytes() == before
    assert laid.put_aside == ("lessons/01-measure-newer.ipynb",)
    assert blocks(folder / laid.put_aside[0]) == [
        "# Measure\nTurn the keyway to the bottom.",
        "show()",
    ]
    assert laid.sentences == (
        "lessons/01-measure.ipynb was changed by you and stays as it is. "
        "The course has a newer one; it lies beside it as 01-measure-newer.ipynb.",
    )
    assert again.put_aside == ()
    assert again.sentences == ()
    assert again.kept == (MEASURE,)


def test_a_changed_page_is_no_news_while_the_course_has_none(
    shipped: dict[str, Path], folder: Path
) -> None:
    lay_out(folder=folder, pages=shipped)
    put(folder / MEASURE, page(("markdown", "My note."), ("code", "show()")))

    laid = lay_out(folder=folder, pages=shipped)

    assert laid.kept == (MEASURE,)
    assert laid.sentences == ()
    assert sorted(path.name for path in (folder / "lessons").iterdir()) == ["01-measure.ipynb"]


def test_two_newer_pages_in_a_row_do_not_write_over_each_other(
    shipped: dict[str, Path], folder: Path
) -> None:
    lay_out(folder=folder, pages=shipped)
    put(folder / MEASURE, page(("markdown", "My note.")))
    put(shipped[MEASURE], SECOND)
    lay_out(folder=folder, pages=shipped)
    put(shipped[MEASURE], page(("markdown", "Third")))

    laid = lay_out(folder=folder, pages=shipped)

    assert laid.put_aside == ("lessons/01-measure-newer-2.ipynb",)
    assert blocks(folder / "lessons/01-measure-newer.ipynb")[0].endswith("to the bottom.")
    assert blocks(folder / "lessons/01-measure-newer-2.ipynb") == ["Third"]


def test_without_its_record_it_writes_over_nothing(shipped: dict[str, Path], folder: Path) -> None:
    lay_out(folder=folder, pages=shipped)
    put(folder / MEASURE, page(("markdown", "My note.")))
    (folder / ".taperkey/pages.json").write_text("{", "utf-8")

    laid = lay_out(folder=folder, pages=shipped)

    assert blocks(folder / MEASURE) == ["My note."]
    assert laid.put_aside == ("lessons/01-measure-newer.ipynb",)


def test_a_spoilt_page_is_kept_under_another_name(shipped: dict[str, Path], folder: Path) -> None:
    lay_out(folder=folder, pages=shipped)
    (folder / MEASURE).write_bytes(b'{"cells": [')

    laid = lay_out(folder=folder, pages=shipped)

    assert (folder / "lessons/01-measure-unreadable.ipynb").read_bytes() == b'{"cells": ['
    assert blocks(folder / MEASURE)[1] == "show()"
    assert laid.sentences == (
        "lessons/01-measure.ipynb could not be read. It is kept as "
        "01-measure-unreadable.ipynb, and the course's own page is back in its place.",
    )


def test_a_spoilt_newer_page_does_not_stop_the_next_one(
    shipped: dict[str, Path], folder: Path
) -> None:
    lay_out(folder=folder, pages=shipped)
    mine = page(("markdown", "My own words."), ("code", "show()"))
    put(folder / MEASURE, mine)
    spoilt = folder / "lessons" / "01-measure-newer.ipynb"
    spoilt.write_text("{half")
    put(shipped[MEASURE], SECOND)

    laid = lay_out(folder=folder, pages=shipped)

    assert laid.put_aside == ("lessons/01-measure-newer-2.ipynb",)
    assert spoilt.read_text() == "{half"
    assert blocks(folder / MEASURE) == ["My own words.", "show()"]


def test_a_spoilt_page_does_not_run_by_itself(shipped: dict[str, Path], folder: Path) -> None:
    lay_out(folder=folder, pages=shipped)
    assert runnable_pages(folder=folder, pages=shipped) == (folder / MEASURE,)
    (folder / MEASURE).write_text("{half")
    assert runnable_pages(folder=folder, pages=shipped) == ()
    (folder / MEASURE).unlink()
    assert runnable_pages(folder=folder, pages=shipped) == ()


def test_old_results_that_cannot_be_cleared_are_one_sentence(
    shipped: dict[str, Path], folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lay_out(folder=folder, pages=shipped)
    old = page(
        *[("markdown", "# Measure\nTurn the keyway down."), ("code", "show()")], outputs=PRINTED
    )
    put(folder / MEASURE, old)

    def full(path: Path, content: bytes) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(coursebook, "write_whole", full)
    with pytest.raises(CourseError) as refused:
        runnable_pages(folder=folder, pages=shipped)
    assert str(refused.value) == (
        f"course folder is {folder}; it must be on a disk with room left, and this one is full. "
        "Name another one: taperkey learn FOLDER."
    )
    assert json.loads((folder / MEASURE).read_text("utf-8")) == old


def test_a_deleted_page_comes_back_and_answers_are_left_alone(
    shipped: dict[str, Path], folder: Path
) -> None:
    lay_out(folder=folder, pages=shipped)
    (folder / MEASURE).unlink()
    kept = {
        folder / "lessons/answers.json": b'{"height": "1.0104"}',
        folder / "lessons/bench-fitting.steps": b"{}",
        folder / "name-tag.json": b"{}",
        folder / "hand-in.zip": b"PK",
    }
    for path, content in kept.items():
        path.write_bytes(content)

    laid = lay_out(folder=folder, pages=shipped)

    assert laid.added == (MEASURE,)
    assert {path: path.read_bytes() for path in kept} == kept


def test_what_an_author_did_on_a_page_is_no_part_of_the_course(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lessons = tmp_path / "pages/lessons"
    lessons.mkdir(parents=True)
    (tmp_path / "pages/exercises").mkdir()
    put(lessons / "04-fit.ipynb", FIRST)
    bench = fitting_bench(seed=1, store=EntriesFile(lessons / "answers.json")).face
    bench.blue_button.click()
    log = next(lessons.glob("bench-*"))
    log.write_bytes(log.read_bytes()[:-1])
    fitting_bench(seed=1, store=EntriesFile(lessons / "answers.json"))  # puts the half line aside
    EntriesFile(lessons / "answers.json").put("01-clearance", "8 thou")
    assert len([one for one in lessons.iterdir() if not one.name.startswith(".")]) == 4
    monkeypatch.setattr(coursebook, "course_folder", lambda: tmp_path)

    assert list(shipped_pages()) == ["lessons/04-fit.ipynb"]


def test_a_folder_that_is_a_file_is_refused(shipped: dict[str, Path], tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")

    with pytest.raises(CourseError) as refused:
        lay_out(folder=tmp_path / "notes.txt", pages=shipped)

    assert str(refused.value) == (
        f"course folder is {tmp_path}/notes.txt; it must be a folder, not a file. "
        "Name another one: taperkey learn FOLDER."
    )


def test_a_file_in_the_way_is_named(shipped: dict[str, Path], folder: Path) -> None:
    folder.mkdir()
    (folder / "lessons").write_text("mine")

    with pytest.raises(CourseError) as refused:
        lay_out(folder=folder, pages=shipped)

    assert str(refused.value) == (
        f"course folder is {folder}; it must be a folder, and {folder}/lessons is a file. "
        "Move that file away, or name another folder: taperkey learn FOLDER."
    )


@pytest.mark.parametrize(
    ("number", "rule"),
    [
        (errno.ENOSPC, "on a disk with room left, and this one is full"),
        (errno.EACCES, "a folder you may write in"),
        (errno.EROFS, "a folder you may write in"),
        (errno.EIO, "usable, and the disk says: Input/output error"),
    ],
)
def test_a_disk_that_refuses_is_one_sentence_and_leaves_no_half_page(
    shipped: dict[str, Path],
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    number: int,
    rule: str,
) -> None:
    def refuse(handle: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(coursebook.os, "fsync", refuse)

    with pytest.raises(CourseError) as refused:
        lay_out(folder=folder, pages=shipped)

    assert str(refused.value) == (
        f"course folder is {folder}; it must be {rule}. Name another one: taperkey learn FOLDER."
    )
    assert list((folder / "lessons").iterdir()) == []


def test_fingerprint_sees_text_and_settings_and_not_results() -> None:
    ran = page(
        ("markdown", "# Measure\nTurn the keyway down."), ("code", "show()"), outputs=PRINTED
    )
    opened = json.loads(json.dumps(FIRST))
    opened["cells"][0]["metadata"]["editable"] = True

    def mark(notebook: dict[str, Any]) -> str:
        return page_fingerprint(json.dumps(notebook).encode(), page=True)

    assert mark(ran) == mark(FIRST)
    assert mark(SECOND) != mark(FIRST)
    assert mark(opened) != mark(FIRST)


def test_only_pages_with_the_courses_own_code_may_run(
    shipped: dict[str, Path], folder: Path, tmp_path: Path
) -> None:
    shipped["exercises/02.ipynb"] = put(
        tmp_path / "shipped/02.ipynb", page(("code", "ask()"), ("markdown", "Write here."))
    )
    lay_out(folder=folder, pages=shipped)
    put(folder / MEASURE, page(("markdown", "# Measure"), ("code", "import os")))
    put(
        folder / "exercises/02.ipynb",
        page(("code", "ask()"), ("markdown", "Clearance lies below."), outputs=PRINTED),
    )

    assert runnable_pages(folder=folder, pages=shipped) == (folder / "exercises/02.ipynb",)
    cells = json.loads((folder / "exercises/02.ipynb").read_text("utf-8"))["cells"]
    assert cells[0]["outputs"] == []
    assert cells[1]["source"] == ["Clearance lies below."]


def test_results_are_left_out_of_a_saved_course_page_only() -> None:
    course = page(("code", "show()"), outputs=PRINTED)
    other = page(("code", "show()"), outputs=PRINTED)
    other["metadata"] = {}

    leave_results_out({"type": "notebook", "content": course}, path="a.ipynb")
    leave_results_out({"type": "notebook", "content": other}, path="b.ipynb")
    leave_results_out({"type": "file", "content": "text"}, path="c.txt")

    assert course["cells"][0]["outputs"] == []
    assert other["cells"][0]["outputs"] == PRINTED


def test_a_saved_course_page_keeps_its_head(tmp_path: Path) -> None:
    lying = page(("code", "show()"))
    lying["metadata"] |= {"kernelspec": {"name": "python3", "display_name": "Course"}}
    (tmp_path / "a.ipynb").write_text(json.dumps(lying), "utf-8")
    coming = page(("code", "show()"), outputs=PRINTED)
    coming["metadata"] |= {"kernelspec": {"name": "other"}, "language_info": {"version": "3"}}
    files = SimpleNamespace(_get_os_path=lambda path: str(tmp_path / path))

    leave_results_out(
        {"type": "notebook", "content": coming}, path="a.ipynb", contents_manager=files
    )

    assert coming["metadata"] == lying["metadata"]


def test_the_courses_own_files_are_found_without_answers_or_hidden_ones(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(tmp_path / "lessons/00-start.ipynb", FIRST)
    put(tmp_path / "exercises/01-measure/01-measure.ipynb", FIRST)
    for name in ("lessons/answers.json", "lessons/.ipynb_checkpoints/00-start.ipynb"):
        put(tmp_path / name, FIRST)
    here = tmp_path / "lib" / "keycourse"
    monkeypatch.setattr(coursebook, "course_folder", lambda: here)

    assert list(shipped_pages()) == [
        "lessons/00-start.ipynb",
        "exercises/01-measure/01-measure.ipynb",
    ]


def test_where_the_course_lies_is_known_without_loading_it() -> None:
    asked = (
        "import sys; from coursework.course import course_folder; print(course_folder()); "
        "print([name for name in sys.modules if name.startswith('keycourse.')])"
    )
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == [str(course().folder), "[]"]


def test_a_missing_installation_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    with tempfile.TemporaryDirectory() as empty:
        package = Path(empty).resolve() / "lib/keycourse"
        monkeypatch.setattr(coursebook, "course_folder", lambda: package)
        with pytest.raises(CourseError) as refused:
            shipped_pages()
    assert str(refused.value) == (
        f"course page folder is {package}/pages; it must be part of the installation. "
        "Install taperkey again."
    )
