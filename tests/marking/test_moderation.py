"""Moderation: it counts, it is kept, and nothing but an assessor takes it away."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from coursework.course import PAGES
from coursework.mark import judged, marker
from coursework.mark.gradebook import database_url, open_gradebook, read_grades
from coursework.mark.moderation import (
    ModerationError,
    keep_moderations,
    moderation_path,
    new_moderation,
    read_moderations,
)
from coursework.mark.records import (
    MarkRecord,
    Moderation,
    final_marks,
    manual_marks,
    read_records,
    totals,
)

from .conftest import ClassRoom, use_instead

KEY = "02-per-foot"
AT = "2026-11-26T09:00:00Z"


def record_of(room: ClassRoom) -> MarkRecord:
    (record,) = read_records(room.folder)
    return record


def by_hand(room: ClassRoom) -> Any:
    return manual_marks(room.folder).get((7, "02-taper"), {})


def moderate(
    room: ClassRoom, mark: float | None, *, entry: str = KEY, reason: str = "Shown at the bench."
) -> Moderation:
    record = record_of(room)
    act = new_moderation(
        record=record,
        manual=by_hand(room),
        entry=entry,
        mark=mark,
        reason=reason,
        by="P. Holt",
        at=AT,
    )
    keep_moderations(
        folder=room.folder, number=7, exercise="02-taper", acts=(*record.moderated, act)
    )
    room.mark()
    return act


def row(room: ClassRoom, key: str = KEY) -> Any:
    with open_gradebook(db_url=database_url(room.folder)) as gradebook:
        return next(one for one in read_grades(gradebook) if one.key == key)


def screen(room: ClassRoom, key: str, score: float | None) -> None:
    with open_gradebook(db_url=database_url(room.folder)) as gradebook:
        grade = gradebook.find_grade(key, "02-taper", "02-taper", "007")
        grade.manual_score = score
        grade.needs_manual_grade = False
        gradebook.db.commit()


@pytest.fixture
def marked(room: ClassRoom) -> ClassRoom:
    room.hand_in(7, _2_per_foot="99 in/ft")
    room.mark()
    assert row(room).auto == 0.0
    return room


def test_it_counts_everywhere(marked: ClassRoom) -> None:
    before = totals(record_of(marked))
    act = moderate(marked, 1.5)
    assert (act.instead_of, act.screen, act.by, act.at) == (0.0, None, "P. Holt", AT)
    record = record_of(marked)
    assert record.moderated == (act,)
    assert final_marks(record, by_hand(marked))[KEY] == 1.5
    assert final_marks(record)[KEY] == 1.5
    assert totals(record, by_hand(marked)).mark == before.mark + 1.5
    found = row(marked)
    assert (found.auto, found.manual, found.waiting) == (0.0, 1.5, False)


def test_the_mark_that_stands_is_no_moderation(marked: ClassRoom) -> None:
    sentence = (
        f"{KEY} of apprentice 7 has {{}} already; the new mark must be another. Look at the "
        "feedback page or the report."
    )
    for mark, told in ((0.0, "0"), (1.5, "1.5")):
        with pytest.raises(ModerationError) as refused:
            moderate(marked, mark)
        assert str(refused.value) == sentence.format(told)
        if not mark:
            with pytest.raises(ModerationError):
                moderate(marked, -0.0)
            moderate(marked, 1.5)
    assert len(record_of(marked).moderated) == 1
    screen(marked, KEY, 1.0)  # the screen says otherwise: the same mark settles it
    assert moderate(marked, 1.5).mark == 1.5


def test_a_newer_hand_in_may_be_given_the_same_mark_again(marked: ClassRoom) -> None:
    moderate(marked, 1.5)
    marked.hand_in(7, made="2026-11-27T12:00:00Z", _2_per_foot="98 in/ft")
    marked.mark()
    assert moderate(marked, 1.5).mark == 1.5
    assert len(record_of(marked).moderated) == 2


def test_marking_again_changes_nothing(marked: ClassRoom, monkeypatch: pytest.MonkeyPatch) -> None:
    act = moderate(marked, 1.5)
    assert marked.mark().marked == ()
    monkeypatch.setattr(judged, "marker_version", lambda: "newer")
    assert len(marked.mark().marked) == 1
    assert record_of(marked).moderated == (act,)
    assert (row(marked).manual, row(marked).waiting) == (1.5, False)


def test_a_newer_hand_in_keeps_it_and_asks_to_look(marked: ClassRoom) -> None:
    act = moderate(marked, 1.5)
    marked.hand_in(7, made="2026-11-27T12:00:00Z")
    marked.mark()
    record = record_of(marked)
    assert record.moderated == (act,)
    assert (row(marked).auto, row(marked).manual, row(marked).waiting) == (2.0, 1.5, True)
    assert KEY in totals(record, by_hand(marked)).waiting
    moderate(marked, 2.0)
    assert (row(marked).manual, row(marked).waiting) == (2.0, False)
    assert [one.instead_of for one in record_of(marked).moderated] == [0.0, 1.5]


def test_a_changed_question_keeps_it(marked: ClassRoom, monkeypatch: pytest.MonkeyPatch) -> None:
    act = moderate(marked, 2.0)
    page = PAGES["02-taper"]
    changed = tuple(
        replace(one, ask="Taper per foot?", critical="It matters.") if one.key == KEY else one
        for one in page.questions
    )
    use_instead(monkeypatch, replace(page, questions=changed))
    monkeypatch.setattr(judged, "marker_version", lambda: "newer")
    assert len(marked.mark().marked) == 1
    record = record_of(marked)
    assert record.moderated == (act,)
    assert final_marks(record, by_hand(marked))[KEY] == 2.0
    assert row(marked).manual == 2.0


def test_a_question_that_is_worth_less_now_caps_it(marked: ClassRoom) -> None:
    moderate(marked, 2.0)
    record = record_of(marked)
    smaller = tuple(replace(one, out_of=1.0) if one.key == KEY else one for one in record.verdicts)
    assert final_marks(replace(record, verdicts=smaller))[KEY] == 1.0


def test_withdrawn_what_stood_before_stands_again(marked: ClassRoom) -> None:
    screen(marked, "02-why-longer", 1.0)
    moderate(marked, 3.0, entry="02-why-longer")
    assert row(marked, "02-why-longer").manual == 3.0
    moderate(marked, 2.0, entry="02-why-longer")
    act = moderate(marked, None, entry="02-why-longer", reason="Taken back.")
    assert (act.mark, act.instead_of, act.screen) == (None, 2.0, 1.0)
    assert (row(marked, "02-why-longer").manual, row(marked, "02-why-longer").waiting) == (
        1.0,
        False,
    )
    record = record_of(marked)
    assert record.moderations == {}
    assert len(record.moderated) == 3
    assert final_marks(record, by_hand(marked))["02-why-longer"] == 1.0


def test_withdrawn_where_nothing_stood_it_waits_again(marked: ClassRoom) -> None:
    moderate(marked, 3.0, entry="02-why-longer")
    assert record_of(marked).moderated[0].instead_of is None
    moderate(marked, None, entry="02-why-longer", reason="Too early.")
    assert (row(marked, "02-why-longer").manual, row(marked, "02-why-longer").waiting) == (
        None,
        True,
    )


@pytest.mark.parametrize("lost", ["gradebook.db", "records", "moderation", "both"])
def test_what_was_lost_is_made_again(marked: ClassRoom, lost: str) -> None:
    act = moderate(marked, 1.5)
    record = marked.folder / "records" / "007" / "02-taper.json"
    kept = moderation_path(folder=marked.folder, number=7, exercise="02-taper")
    if lost in ("records", "both"):
        record.unlink()
    if lost in ("gradebook.db", "both"):
        (marked.folder / "gradebook.db").unlink()
    if lost == "moderation":
        kept.write_text("{ damaged", "utf-8")
    assert len(marked.mark().marked) == (lost != "moderation")
    assert record_of(marked).moderated == (act,)
    assert (row(marked).manual, row(marked).waiting) == (1.5, False)
    assert json.loads(kept.read_text("utf-8"))[0]["by"] == "P. Holt"


def test_cut_off_after_the_act_is_written_the_next_run_enters_it(marked: ClassRoom) -> None:
    record = record_of(marked)
    act = new_moderation(
        record=record, manual={}, entry=KEY, mark=1.0, reason="So.", by="P. Holt", at=AT
    )
    keep_moderations(folder=marked.folder, number=7, exercise="02-taper", acts=(act,))
    assert row(marked).manual is None
    assert len(marked.mark().marked) == 1
    assert row(marked).manual == 1.0
    assert record_of(marked).moderated == (act,)


def test_a_later_mark_in_the_screen_is_left_there_but_does_not_count(marked: ClassRoom) -> None:
    moderate(marked, 1.5)
    screen(marked, KEY, 0.5)
    marked.mark()
    assert row(marked).manual == 0.5
    assert final_marks(record_of(marked), by_hand(marked))[KEY] == 1.5


def test_only_the_one_hand_in_is_marked(room: ClassRoom) -> None:
    room.hand_in(7)
    room.hand_in(8)
    result = marker.mark_class(
        folder=room.folder,
        class_code="QQ-26",
        roster={7: "Ada Marl", 8: "Bo Flint"},
        exercises=room.course.exercises,
        only=(8, "02-taper"),
    )
    assert [one.number for one in result.marked] == [8]


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            {"mark": 2.5},
            "mark is 2.5; it must be from 0 to 2, the marks of 02-per-foot. Give a mark in that "
            "range.",
        ),
        (
            {"mark": float("nan")},
            "mark is nan; it must be from 0 to 2, the marks of 02-per-foot. Give a mark in that "
            "range.",
        ),
        (
            {"reason": " \n "},
            "reason has 0 characters; it must have 1 to 500. Say why in a few words.",
        ),
        (
            {"by": ""},
            "name of the assessor has 0 characters; it must have 1 to 80. Say who decides.",
        ),
        (
            {"mark": None},
            "02-per-foot of apprentice 7 is not moderated, so there is nothing to withdraw.",
        ),
    ],
)
def test_what_cannot_be_is_one_sentence(
    marked: ClassRoom, changes: dict[str, Any], sentence: str
) -> None:
    fields: dict[str, Any] = {"mark": 1.0, "reason": "So.", "by": "P. Holt"}
    with pytest.raises(ModerationError) as refusal:
        new_moderation(record=record_of(marked), manual={}, entry=KEY, at=AT, **(fields | changes))
    assert str(refusal.value) == sentence


def test_an_entry_that_is_none_names_those_there_are(marked: ClassRoom) -> None:
    with pytest.raises(ModerationError, match=r"^entry is “02-x”; it must be one of: 02-differ"):
        new_moderation(
            record=record_of(marked), manual={}, entry="02-x", mark=1, reason="a", by="b", at=AT
        )


def test_the_longer_of_file_and_record_counts(marked: ClassRoom) -> None:
    moderate(marked, 1.0)
    moderate(marked, 1.5)
    record = record_of(marked)
    keep_moderations(folder=marked.folder, number=7, exercise="02-taper", acts=record.moderated[:1])
    acts = read_moderations(folder=marked.folder, number=7, exercise="02-taper", record=record)
    assert acts == record.moderated
