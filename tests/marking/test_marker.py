"""Marking: the right marks, once, whatever was typed and wherever a run was cut off."""

from __future__ import annotations

import hashlib
import json
import math
import sqlite3
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import nbformat
import pytest
from filelock import FileLock
from nbgrader.apps.api import NbGraderAPI
from nbgrader.utils import determine_grade
from traitlets.config import Config

from coursework.course import PAGES, issue_card
from coursework.judging import right_answers
from coursework.mark import gradebook as gradebook_room
from coursework.mark import judged, marker, records
from coursework.mark.gradebook import database_url, open_gradebook, read_grades
from coursework.mark.marker import MarkingError, mark_class
from coursework.mark.records import manual_marks, read_records
from coursework.question import Measure
from taperkey.files import write_whole
from taperkey.units import from_internal

from .conftest import CLASS, ROSTER, ClassRoom

MakeClass = Callable[[str], ClassRoom]


def typed(key: str, answer: Any) -> str:
    kind = PAGES[key[:2] + {"01": "-measure", "02": "-taper"}[key[:2]]].question(key).kind
    assert isinstance(kind, Measure)
    return f"{from_internal(answer, dimension=kind.dimension, unit=kind.unit):.9f} {kind.unit}"


def rows(folder: Path) -> list[Any]:
    with open_gradebook(db_url=database_url(folder)) as gradebook:
        return read_grades(gradebook)


def by_key(folder: Path, number: int = 7, exercise: str = "02-taper") -> dict[str, Any]:
    return {
        row.key: row
        for row in rows(folder)
        if row.student == f"{number:03d}" and row.exercise == exercise
    }


def dump(folder: Path) -> list[str]:
    with sqlite3.connect(folder / "gradebook.db") as database:
        return list(database.iterdump())


def files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for step in ("submitted", "autograded", "records")
        for path in sorted((folder / step).rglob("*"))
        if path.is_file()
    }


def autograded(folder: Path, number: int = 7, exercise: str = "02-taper") -> Any:
    path = folder / "autograded" / f"{number:03d}" / exercise / f"{exercise}.ipynb"
    notebook = nbformat.read(path, as_version=4)
    nbformat.validate(notebook)
    return notebook


def test_each_state_has_its_mark(room: ClassRoom) -> None:
    page = PAGES["02-taper"]
    card = issue_card(exercise=page.name, class_code=CLASS, number=7)
    right = right_answers(page, card)
    slip = next(
        one for one in page.question("02-per-foot").slips if one.value(card, right) is not None
    )
    # 0.01 in off: a slip of the subtraction, one digit in the box, and worked on from rightly
    off = round(float(right["02-difference"]), 4) + 0.01  # type: ignore[arg-type]
    carried = float(right["02-per-inch"]) * off / float(right["02-difference"])  # type: ignore[arg-type]
    room.hand_in(
        7,
        _2_difference=typed("02-difference", off),
        _2_per_inch=typed("02-per-inch", carried),
        _2_per_foot=typed("02-per-foot", slip.value(card, right)),
        _2_ratio="about a hundred",
        _2_standard="",
    )
    assert room.mark().problems == ()
    (record,) = read_records(room.folder)
    states = {one.key: one.state for one in record.verdicts}
    assert states["02-difference"] == "wrong"
    assert states["02-per-inch"] == "carried"
    assert states["02-per-foot"] == "slip"
    assert states["02-ratio"] == "unreadable"
    assert states["02-standard"] == "blank"
    assert states["02-uncertainty"] == "right"
    assert states["02-why-longer"] == states["02-sign-off"] == "waiting"
    found = by_key(room.folder)
    assert set(found) == {question.key for question in page.questions}
    for verdict in record.verdicts:
        row = found[verdict.key]
        if verdict.state == "waiting":
            assert (row.auto, row.waiting) == (None, True)
        else:
            assert (row.auto, row.waiting) == (verdict.mark, False)
    full = page.question("02-per-inch").marks
    assert found["02-per-inch"].auto == full
    assert found["02-per-foot"].auto == page.question("02-per-foot").marks * slip.share
    assert found["02-ratio"].auto == found["02-standard"].auto == 0.0


def test_notebook_carries_reason_and_mark(room: ClassRoom) -> None:
    room.hand_in(7, _2_ratio="\x1b[31mabout\r\na hundred")
    room.mark()
    notebook = autograded(room.folder)
    cells = {one.id: one for one in notebook.cells}
    shown, given = cells["02-ratio"].outputs
    assert shown.output_type == "display_data"
    assert shown.data["text/plain"].splitlines()[:2] == ["Entry: \ufffd[31mabout", "a hundred"]
    assert given.data == {"text/plain": "0.0"}
    for verdict in read_records(room.folder)[0].verdicts:
        cell = cells[verdict.key]
        if cell.metadata.nbgrader.grade:
            assert determine_grade(cell) == (verdict.mark, verdict.out_of)
            assert verdict.reason in cell.outputs[0].data["text/plain"]


def test_nothing_comes_from_the_hand_in_but_text(room: ClassRoom, course: Any) -> None:
    room.hand_in(7)
    room.mark()
    released = nbformat.read(course.exercises / "02-taper" / "02-taper.ipynb", as_version=4)
    for mine, theirs in zip(autograded(room.folder).cells, released.cells, strict=True):
        assert mine.metadata == theirs.metadata
        if mine.cell_type == "code":
            assert mine.source == theirs.source
        else:
            assert mine.source.startswith(theirs.source.rstrip())


def test_blank_written_answer_needs_no_assessor(room: ClassRoom) -> None:
    room.hand_in(7, _2_why_longer=" \n ")
    room.mark()
    found = by_key(room.folder)["02-why-longer"]
    assert (found.auto, found.waiting) == (0.0, False)
    text = next(one for one in autograded(room.folder).cells if one.id == "02-why-longer").source
    assert "**The apprentice wrote nothing.**" in text


def test_marking_twice_changes_nothing(room: ClassRoom) -> None:
    for number in ROSTER:
        room.hand_in(number)
        room.hand_in(number, "01-measure")
    first = room.mark()
    assert (len(first.marked), first.skipped, first.problems) == (6, 0, ())
    assert room.steps == [(done, 6) for done in range(1, 7)]
    before = dump(room.folder), files(room.folder)
    second = room.mark()
    assert (second.marked, second.skipped) == ((), 6)
    assert (dump(room.folder), files(room.folder)) == before


def test_marking_again_by_a_newer_marker_gives_the_same(
    room: ClassRoom, monkeypatch: pytest.MonkeyPatch
) -> None:
    room.hand_in(7)
    room.mark()
    before = dump(room.folder)
    monkeypatch.setattr(judged, "marker_version", lambda: "newer")
    assert len(room.mark().marked) == 1
    assert dump(room.folder) == before
    assert read_records(room.folder)[0].marker_version == "newer"


@pytest.mark.parametrize("lost", ["record", "notebook", "gradebook", "damaged record"])
def test_what_was_lost_is_made_again(room: ClassRoom, lost: str) -> None:
    room.hand_in(7)
    room.mark()
    before = rows(room.folder), files(room.folder)
    record = room.folder / "records" / "007" / "02-taper.json"
    if lost == "record":
        record.unlink()
    elif lost == "damaged record":
        record.write_bytes(b"{")
    elif lost == "notebook":
        (room.folder / "autograded" / "007" / "02-taper" / "02-taper.ipynb").unlink()
    else:
        (room.folder / "gradebook.db").unlink()
    assert len(room.mark().marked) == 1
    assert (rows(room.folder), files(room.folder)) == before


def test_the_newest_hand_in_counts(room: ClassRoom) -> None:
    room.hand_in(7, made="2026-11-25T12:00:00Z")
    room.mark()
    room.hand_in(7, made="2026-11-26T08:00:00Z", _2_ratio="")
    room.hand_in(7, made="2026-11-24T08:00:00Z", _2_difference="")
    assert len(room.mark().marked) == 1
    (record,) = read_records(room.folder)
    assert record.made == "2026-11-26T08:00:00Z"
    assert by_key(room.folder)["02-ratio"].auto == 0.0
    stamp = room.folder / "autograded" / "007" / "02-taper" / "timestamp.txt"
    assert stamp.read_text(encoding="utf-8") == "2026-11-26 08:00:00 UTC\n"


class CutOff(BaseException):
    """The power goes."""


def cut_off_at(monkeypatch: pytest.MonkeyPatch, step: int) -> list[str]:
    """Let the run die at its nth act: writing a file, committing, or just after a commit."""
    done: list[str] = []

    def act(name: str) -> None:
        done.append(name)
        if len(done) == step:
            raise CutOff(name)

    def writing(files: Iterable[tuple[Path, bytes]]) -> None:
        for path, content in files:
            act(path.name)
            write_whole(path, content)

    def committing(gradebook: Any) -> None:
        act("before commit")
        commit(gradebook)
        act("after commit")

    commit = gradebook_room._commit
    monkeypatch.setattr(marker, "write_together", writing)
    monkeypatch.setattr(records, "write_together", writing)
    monkeypatch.setattr(gradebook_room, "_commit", committing)
    return done


def test_cut_off_anywhere_the_next_run_completes(
    make_class: MakeClass, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fill(room: ClassRoom) -> None:
        room.hand_in(7)
        room.hand_in(8, "01-measure", _1_clearance="")

    whole = make_class("whole")
    fill(whole)
    acts = cut_off_at(monkeypatch, 0)
    whole.mark()
    monkeypatch.undo()
    assert len(acts) == 2 * 6 + 2  # six files each, and one commit for both
    wanted = rows(whole.folder), files(whole.folder)
    for step in range(1, len(acts) + 1):
        room = make_class(f"cut-{step}")
        fill(room)
        cut_off_at(monkeypatch, step)
        with pytest.raises(CutOff):
            room.mark()
        monkeypatch.undo()
        assert room.mark().problems == ()
        assert (rows(room.folder), files(room.folder)) == wanted, acts[step - 1]
        assert room.mark().marked == ()


def test_cut_off_while_marking_a_second_hand_in(
    make_class: MakeClass, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fill(room: ClassRoom) -> None:
        room.hand_in(7)
        room.mark()
        by_hand(room.folder, "02-why-longer", 1.0, "Say how long.")
        room.hand_in(7, made="2026-11-26T12:00:00Z", _2_ratio="", _2_why_longer="Longer.")

    whole = make_class("whole")
    fill(whole)
    whole.mark()
    wanted = rows(whole.folder), files(whole.folder)
    for step in range(1, 9):
        room = make_class(f"cut-{step}")
        fill(room)
        cut_off_at(monkeypatch, step)
        with pytest.raises(CutOff):
            room.mark()
        monkeypatch.undo()
        room.mark()
        assert (rows(room.folder), files(room.folder)) == wanted, step


def test_half_written_files_of_a_killed_run_are_removed(room: ClassRoom) -> None:
    room.hand_in(7)
    left = room.folder / "submitted" / "007" / "02-taper" / ".writing-x.part"
    left.parent.mkdir(parents=True)
    left.write_bytes(b"half")
    room.mark()
    assert sorted(path.name for path in left.parent.iterdir()) == [
        "02-taper.ipynb",
        "hand-in.json",
        "timestamp.txt",
    ]


def by_hand(folder: Path, key: str, score: float, comment: str, number: int = 7) -> None:
    """Mark a question as nbgrader's marking screen does."""
    with open_gradebook(db_url=database_url(folder)) as gradebook:
        at = (key, "02-taper", "02-taper", f"{number:03d}")
        grade = gradebook.find_grade(*at)
        grade.manual_score = score
        grade.needs_manual_grade = False
        if key in ("02-why-longer", "02-sign-off"):
            gradebook.find_comment(*at).manual_comment = comment
        gradebook.db.commit()


def test_what_the_assessor_gave_survives(room: ClassRoom) -> None:
    room.hand_in(7)
    room.mark()
    by_hand(room.folder, "02-why-longer", 2.0, "Good, but <why>?")
    by_hand(room.folder, "02-sign-off", 4.0, "Watch the lock-out.")
    by_hand(room.folder, "02-ratio", 0.5, "")
    room.hand_in(7, made="2026-11-26T12:00:00Z")
    room.mark()
    found = manual_marks(room.folder)[7, "02-taper"]
    assert (found["02-why-longer"].score, found["02-why-longer"].comment) == (
        2.0,
        "Good, but <why>?",
    )
    assert (found["02-sign-off"].score, found["02-sign-off"].comment) == (
        4.0,
        "Watch the lock-out.",
    )
    assert found["02-ratio"].score == 0.5
    assert not any(one.waiting for one in found.values())
    room.hand_in(7, made="2026-11-27T12:00:00Z", _2_why_longer="Better.", _2_ratio="")
    room.mark()
    found = manual_marks(room.folder)[7, "02-taper"]
    assert {key: one.score for key, one in found.items()} == {
        "02-why-longer": 2.0,
        "02-sign-off": 4.0,
        "02-ratio": 0.5,
    }
    assert {key for key, one in found.items() if one.waiting} == {"02-why-longer", "02-ratio"}


def test_what_cannot_be_marked_is_said(room: ClassRoom) -> None:
    room.hand_in(7)
    broken = room.folder / "hand-ins" / "007" / "02-taper" / "2026-11-30T120000Z-0.json"
    broken.write_bytes(b"{")
    other = room.hand_in(8)
    moved = room.folder / "hand-ins" / "009" / "02-taper" / other.name
    moved.parent.mkdir(parents=True)
    other.rename(moved)
    kept = room.hand_in(8, "01-measure")
    stranger = room.folder / "hand-ins" / "055" / "01-measure" / kept.name
    stranger.parent.mkdir(parents=True)
    stranger.write_bytes(kept.read_bytes())
    result = room.mark()
    assert [record.number for record in result.marked] == [8]
    assert result.problems == (
        f"Apprentice 007, 02-taper: {broken.name} was not marked. The file is not a hand-in: it "
        "cannot be read as JSON. Hand in again from the exercise page and send the new file.",
        f"Apprentice 009, 02-taper: {moved.name} was not marked. It says class QQ-26, number 8, "
        "02-taper; it must be class QQ-26, number 9, 02-taper. Move it where it belongs.",
        "Apprentice 055, 01-measure: the number is not on the roster. Add it, or set it aside.",
    )


@pytest.mark.parametrize("mark", [math.nan, math.inf, -1.0, 100.0])
def test_a_mark_out_of_range_is_never_recorded(
    room: ClassRoom, monkeypatch: pytest.MonkeyPatch, mark: float
) -> None:
    room.hand_in(7)
    judge = judged.judge_page

    def odd(*arguments: Any) -> Any:
        return tuple(replace(one, mark=mark) for one in judge(*arguments))

    monkeypatch.setattr(judged, "judge_page", odd)
    result = room.mark()
    assert result.marked == ()
    assert result.problems[0].startswith(
        f"Apprentice 007, 02-taper: the mark of 02-difference is {mark:g}; it must be from 0 to "
    )
    assert rows(room.folder) == []


def test_one_run_at_a_time(room: ClassRoom) -> None:
    with (
        FileLock(room.folder / ".marking.lock"),
        pytest.raises(
            MarkingError,
            match="^This class is being marked already by another run. Wait until it is done.$",
        ),
    ):
        room.mark()


def test_a_page_that_does_not_fit_stops_the_run(room: ClassRoom, tmp_path: Path) -> None:
    room.hand_in(7)
    first = f"{next(iter(PAGES))}.ipynb cannot be read. Make the released"
    with pytest.raises(MarkingError, match=first):
        mark_class(folder=room.folder, class_code=CLASS, roster=ROSTER, exercises=tmp_path / "none")


def test_marking_screen_can_open_it(room: ClassRoom) -> None:
    room.hand_in(7)
    room.hand_in(8, _2_why_longer="")
    room.mark()
    settings = Config()
    settings.CourseDirectory.root = str(room.folder)
    settings.CourseDirectory.source_directory = str(room.course.solutions)
    settings.CourseDirectory.release_directory = str(room.course.exercises)
    screen = NbGraderAPI(config=settings)
    assignment = screen.get_assignment("02-taper")
    assert assignment["num_submissions"] == 2
    assert assignment["max_score"] == sum(one.marks for one in PAGES["02-taper"].questions)
    submissions = {one["student"]: one for one in screen.get_submissions("02-taper")}
    one = submissions["007"]
    assert (one["autograded"], one["submitted"], one["needs_manual_grade"]) == (True, True, True)
    assert (one["first_name"], one["last_name"]) == ("Ada", "Marl")
    (record, _) = read_records(room.folder)
    assert one["score"] == sum(verdict.mark for verdict in record.verdicts)
    notebooks = screen.get_notebook_submissions("02-taper", "02-taper")
    assert [each["index"] for each in notebooks] == [0, 1]


def test_record_round_trip(room: ClassRoom) -> None:
    room.hand_in(7, _2_why_longer="Länger · “so”")
    (record,) = room.mark().marked
    (again,) = read_records(room.folder)
    assert again == record
    content = json.loads(record.to_json())
    assert content["class"] == CLASS
    assert content["hand_in"] == hashlib.sha256(
        next((room.folder / "hand-ins").rglob("*.json")).read_bytes()
    ).hexdigest()  # fmt: skip
