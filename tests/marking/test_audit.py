"""Verify: in order says nothing; each thing that was changed is said in a sentence."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from coursework.course import PAGES
from coursework.mark import audit as audit_room
from coursework.mark.audit import Audit, audit_class
from coursework.mark.grades import grades_of_class
from coursework.mark.kept import read_arrivals
from coursework.mark.moderation import keep_moderations, new_moderation
from coursework.mark.records import read_records

from .conftest import CLASS, ROSTER, ClassRoom, use_instead
from .test_kept import arrives

RECORD = Path("records/007/02-taper.json")


@pytest.fixture
def marked(room: ClassRoom) -> ClassRoom:
    arrives(room, room.hand_in(7), run=1, came="2026-11-25T13:00:00Z")
    arrives(room, room.hand_in(8, _2_ratio="96"), run=1, came="2026-11-25T13:00:00Z")
    room.mark()
    return room


def audit(room: ClassRoom) -> Audit:
    return audit_class(folder=room.folder, class_code=CLASS, roster=ROSTER)


def everything(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_all_in_order(marked: ClassRoom) -> None:
    before = everything(marked.folder)
    found = audit(marked)
    assert found.differences == []
    assert found.notes == []
    entries = len(PAGES["02-taper"].questions)
    assert (found.hand_ins, found.records, found.marks) == (2, 2, 2 * entries)
    assert everything(marked.folder) == before


def change_record(room: ClassRoom, change: Callable[[dict[str, Any]], object]) -> None:
    path = room.folder / RECORD
    fields = json.loads(path.read_text("utf-8"))
    change(fields)
    path.write_text(json.dumps(fields), "utf-8")


def verdict(fields: dict[str, Any], key: str) -> dict[str, Any]:
    found: dict[str, Any] = next(one for one in fields["verdicts"] if one["key"] == key)
    return found


def database(room: ClassRoom, statement: str) -> None:
    with sqlite3.connect(room.folder / "gradebook.db") as book:
        assert book.execute(statement).rowcount > 0


def kept(room: ClassRoom) -> Path:
    return next((room.folder / "hand-ins" / "007" / "02-taper").iterdir())


def a_changed_mark(room: ClassRoom) -> None:
    change_record(room, lambda fields: verdict(fields, "02-ratio").update(mark=0.5))


def a_changed_entry(room: ClassRoom) -> None:
    change_record(room, lambda fields: verdict(fields, "02-ratio").update(entered="96"))


def a_changed_reason(room: ClassRoom) -> None:
    change_record(room, lambda fields: verdict(fields, "02-ratio").update(reason="Well done."))


def an_entry_left_out(room: ClassRoom) -> None:
    change_record(room, lambda fields: fields["verdicts"].pop(0))


def an_entry_too_many(room: ClassRoom) -> None:
    change_record(
        room,
        lambda fields: fields["verdicts"].append(verdict(fields, "02-ratio") | {"key": "02-gift"}),
    )


def another_hand_in_named(room: ClassRoom) -> None:
    change_record(room, lambda fields: fields.update(hand_in="0" * 64))


def another_time_of_arrival(room: ClassRoom) -> None:
    change_record(room, lambda fields: fields.update(came="2026-11-24T13:00:00Z"))


def another_card(room: ClassRoom) -> None:
    change_record(room, lambda fields: fields.update(card_version="0" * 12))


def other_questions(room: ClassRoom) -> None:
    change_record(room, lambda fields: fields.update(question_version="0" * 12))


def a_damaged_record(room: ClassRoom) -> None:
    (room.folder / RECORD).write_text("{", "utf-8")


def a_record_gone(room: ClassRoom) -> None:
    (room.folder / RECORD).unlink()


def changed_bytes(room: ClassRoom) -> None:
    path = kept(room)
    path.write_bytes(path.read_bytes().replace(b"2026-11-25T12:00:00Z", b"2026-11-24T12:00:00Z"))


def a_space_added(room: ClassRoom) -> None:
    path = kept(room)
    path.write_bytes(path.read_bytes() + b" ")


def a_hand_in_gone(room: ClassRoom) -> None:
    kept(room).unlink()


def a_gradebook_mark(room: ClassRoom) -> None:
    database(
        room,
        "update grade set auto_score = 0.25 where cell_id in (select id from base_cell where "
        "name = '02-ratio') and auto_score > 0.5",
    )


def a_gradebook_row_gone(room: ClassRoom) -> None:
    database(
        room,
        "delete from grade where id in (select grade.id from grade join base_cell on "
        "cell_id = base_cell.id where name = '02-ratio' limit 1)",
    )


def a_mark_by_hand_unheard_of(room: ClassRoom) -> None:
    database(
        room,
        "update grade set manual_score = 4 where id in (select grade.id from grade join base_cell "
        "on cell_id = base_cell.id where name = '02-sign-off' limit 1)",
    )


def no_gradebook(room: ClassRoom) -> None:
    (room.folder / "gradebook.db").unlink()


def a_line_of_the_register(room: ClassRoom) -> None:
    path = room.folder / "arrivals.csv"
    text = path.read_text("utf-8").replace("13:00:00Z", "11:00:00Z", 1)
    path.write_text(text, "utf-8")


def the_screens_copy(room: ClassRoom) -> None:
    (room.folder / "submitted" / "007" / "02-taper" / "hand-in.json").write_bytes(b"{}")


def a_newer_one_not_marked(room: ClassRoom) -> None:
    path = room.hand_in(7, made="2026-11-26T12:00:00Z")
    arrives(room, path, run=2, came="2026-11-26T13:00:00Z")


def a_moderation_put_in_by_hand(room: ClassRoom) -> None:
    record = read_records(room.folder)[0]
    act = new_moderation(
        record=record, manual={}, entry="02-ratio", mark=0, reason="So.", by="X", at=record.made
    )
    keep_moderations(folder=room.folder, number=7, exercise="02-taper", acts=(act,))


def a_record_of_somebody_else(room: ClassRoom) -> None:
    change_record(room, lambda fields: fields.update(number=8))


def a_record_of_no_exercise(room: ClassRoom) -> None:
    text = (room.folder / RECORD).read_text("utf-8").replace("02-taper", "02-wedge")
    (room.folder / RECORD).with_name("02-wedge.json").write_text(text, "utf-8")


def a_record_of_another_class(room: ClassRoom) -> None:
    change_record(room, lambda fields: fields.update({"class": "NIGHT-7"}))


def an_attempt_more(room: ClassRoom) -> None:
    """Add two: a record names its attempts where there is more than one."""
    one = {"hand_in": "0" * 64, "made": "2026-11-26T12:00:00Z", "mark": 9, "out_of": 9}
    told = [one | {"attempt": turn, "right": [], "wrong": []} for turn in (1, 2)]
    change_record(room, lambda fields: fields.update(sittings=told))


def a_danger_let_pass(room: ClassRoom) -> None:
    change_record(room, lambda fields: verdict(fields, "02-ratio").update(critical=True))


def a_mark_by_hand_out_of_range(room: ClassRoom) -> None:
    database(
        room,
        "update grade set manual_score = 40 where id in (select grade.id from grade join base_cell "
        "on cell_id = base_cell.id where name = '02-sign-off' limit 1)",
    )


SAID: dict[Callable[[ClassRoom], None], list[str]] = {
    a_changed_mark: [
        "02-ratio: the record says 0.5 of 1 (right); worked out again it is 1 of 1 (right).",
        "02-ratio: the gradebook says 1, the record 0.5.",
    ],
    a_changed_entry: ["02-ratio: the record says that “96” was entered; the hand-in says “"],
    a_changed_reason: ["02-ratio: the reason in the record has another wording."],
    an_entry_left_out: [
        "02-difference: it is not in the record.",
        "02-difference: the gradebook has it, the record does not.",
    ],
    an_entry_too_many: [
        "02-gift: the record has a mark for it, but the page has no such entry.",
        "02-gift: it is not in the gradebook.",
    ],
    another_hand_in_named: [
        "02-taper: no kept hand-in has the bytes that it was marked from (sha256 000000000000), so "
        "its 11 marks cannot be worked out again."
    ],
    another_time_of_arrival: [
        "02-taper: the record says taken in 2026-11-24T13:00:00Z, the hand-in 2026-11-25T13:00:00Z."
    ],
    another_card: [
        "02-taper: the job card or its right answers have changed since it was marked (version "
        "000000000000 then, "
    ],
    other_questions: [
        "02-taper: the questions have changed since it was marked (version 000000000000 then, "
    ],
    a_damaged_record: [
        "02-taper: the record records/007/02-taper.json cannot be read. Delete it and mark the "
        "class again.",
        "02-taper: 2026-11-25T120000Z-",
        "02-taper: the gradebook has marks, but there is no record.",
    ],
    a_record_gone: [
        "02-taper: 2026-11-25T120000Z-",
        "02-taper: the gradebook has marks, but there is no record.",
    ],
    changed_bytes: [
        "was changed since it came on 2026-11-25 (sha256 ",
        "was not marked. The checksum does not match",
        "no kept hand-in has the bytes that it was marked from",
    ],
    a_space_added: [
        "was changed since it came on 2026-11-25 (sha256 ",
        "no kept hand-in has the bytes that it was marked from",
    ],
    a_hand_in_gone: [
        "which came on 2026-11-25, is not there any more.",
        "no kept hand-in has the bytes that it was marked from",
    ],
    a_gradebook_mark: ["02-ratio: the gradebook says 0.25, the record 1."],
    a_gradebook_row_gone: ["02-ratio: it is not in the gradebook."],
    a_mark_by_hand_unheard_of: [
        "02-sign-off: by hand the gradebook has 4, by-hand.csv no mark. If it was entered since "
        "the last marking run, mark the class."
    ],
    no_gradebook: [
        "02-taper: the gradebook has no marks of it. Mark the class again.",
        "Apprentice 008, 02-taper: the gradebook has no marks of it. Mark the class again.",
    ],
    a_line_of_the_register: [
        "arrivals.csv, line 2: it was changed, or a line before it was taken out or put in.",
        "02-taper: the record says taken in 2026-11-25T13:00:00Z, the hand-in 2026-11-25T11:00:00Z",
    ],
    the_screens_copy: [
        "02-taper: the copy for the marking screen, submitted/007/02-taper/hand-in.json, is not "
        "the hand-in. Mark the class again."
    ],
    a_newer_one_not_marked: ["is the hand-in that counts, and it is not marked. Mark the class."],
    a_record_of_somebody_else: [
        "02-taper: the record there says apprentice 008, 02-taper.",
        "02-taper: 2026-11-25T120000Z-",
        "02-taper: the gradebook has marks, but there is no record.",
    ],
    a_record_of_no_exercise: [
        "Apprentice 007, 02-wedge: the course has no such exercise any more."
    ],
    a_record_of_another_class: [
        "02-taper: the record is of class NIGHT-7, not QQ-26.",
    ],
    an_attempt_more: [
        "02-taper: the record's attempts (2) are not those of the kept hand-ins (1). Mark the"
    ],
    a_danger_let_pass: [
        "02-ratio: the record says safety-critical and not right; worked out again it is in order."
    ],
    a_mark_by_hand_out_of_range: [
        "02-sign-off: the mark by hand is 40; it must be from 0 to ",
        "02-sign-off: by hand the gradebook has 40, by-hand.csv no mark. If it was entered since",
    ],
    a_moderation_put_in_by_hand: [
        "02-taper: moderation/007/02-taper.json holds 1 act of moderation, the record 0. Mark "
        "the class."
    ],
}


@pytest.mark.parametrize("change", SAID, ids=lambda change: change.__name__)
def test_each_change_is_said(marked: ClassRoom, change: Callable[[ClassRoom], None]) -> None:
    change(marked)
    said = audit(marked).differences
    wanted = SAID[change]
    assert len(said) == len(wanted), said
    for sentence in wanted:
        assert any(sentence in one for one in said), (sentence, said)
    assert not (change is no_gradebook and (marked.folder / "gradebook.db").exists())


def test_another_marker_is_a_note_and_no_difference(
    marked: ClassRoom, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(audit_room, "marker_version", lambda: "f" * 12)
    found = audit(marked)
    assert found.differences == []
    (note,) = found.notes
    assert note.startswith("2 records of marker version ")
    assert note.endswith(" recomputed by version ffffffffffff.")


def test_a_question_judged_otherwise_now_shows_at_every_mark(
    marked: ClassRoom, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = PAGES["02-taper"]
    stricter = tuple(
        replace(one, expected=lambda card, given: 1.0) if one.key == "02-ratio" else one
        for one in page.questions
    )
    use_instead(monkeypatch, replace(page, questions=stricter))
    said = audit(marked).differences
    assert sum("the job card or its right answers have changed" in one for one in said) == 2
    assert any(
        "007, 02-taper, 02-ratio: the record says 1 of 1 (right); worked" in one for one in said
    )


def test_hand_ins_on_no_line_are_noted(room: ClassRoom) -> None:
    room.hand_in(7)
    room.mark()
    assert read_arrivals(room.folder) == []
    found = audit(room)
    assert found.differences == []
    assert found.notes == [
        "1 kept hand-in is on no line of arrivals.csv: put there by hand, or of old; when they "
        "came is not known."
    ]


def test_somebody_put_into_the_gradebook_by_another_name_is_left_alone(marked: ClassRoom) -> None:
    """Whoever adds a student in the marking screen may call them what they like."""
    for name in ("guest", "²", "7a"):
        database(marked, f"insert into student (id) values ('{name}')")
        database(
            marked,
            "insert into submitted_assignment (id, assignment_id, student_id) "
            f"select '{name}', assignment_id, '{name}' from submitted_assignment limit 1",
        )
        database(
            marked,
            "insert into submitted_notebook (id, notebook_id, assignment_id) "
            f"select '{name}', notebook_id, '{name}' from submitted_notebook limit 1",
        )
        database(
            marked,
            "insert into grade "
            "(id, cell_id, notebook_id, auto_score, manual_score, needs_manual_grade) "
            f"select '{name}', cell_id, '{name}', 1, 1, 0 from grade limit 1",
        )
    assert audit(marked).differences == []
    assert marked.mark().marked == ()
    assert {row.student for row in grades_of_class(marked.folder)} > {"guest", "²", "7a"}
