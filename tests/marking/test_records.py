"""Records: there and back, versions, and totals with the assessor's marks."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from coursework.course import PAGES, issue_card
from coursework.mark.records import (
    ManualMark,
    MarkRecord,
    RecordError,
    manual_marks,
    read_records,
    record_path,
    totals,
    write_records,
)
from coursework.mark.versions import (
    card_version,
    marker_version,
    one_question_version,
    question_version,
)
from coursework.question import Page, Verdict

RECORD = MarkRecord(
    number=7,
    exercise="02-taper",
    class_code="QQ-26",
    hand_in="0" * 64,
    made="2026-11-25T12:00:00Z",
    page_version="0123456789ab",
    question_version="a",
    marker_version="b",
    verdicts=(
        Verdict(key="one", state="right", mark=2.0, out_of=2.0, reason="Right.", entered="“1”\n"),
        Verdict(key="two", state="wrong", mark=0.0, out_of=3.0, reason="No.", critical=True),
        Verdict(key="three", state="waiting", mark=0.0, out_of=4.0, reason="The assessor."),
        Verdict(key="four", state="slip", mark=0.5, out_of=1.0, reason="Off.", slip="× 12"),
    ),
)


def test_there_and_back(tmp_path: Path) -> None:
    write_records(folder=tmp_path, records=[RECORD, replace(RECORD, number=3)])
    path = record_path(folder=tmp_path, number=RECORD.number, exercise=RECORD.exercise)
    assert path == tmp_path / "records" / "007" / "02-taper.json"
    assert [record.number for record in read_records(tmp_path)] == [3, 7]
    assert read_records(tmp_path)[1] == RECORD


def test_a_record_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    write_records(folder=tmp_path, records=[RECORD])
    path = record_path(folder=tmp_path, number=RECORD.number, exercise=RECORD.exercise)
    path.write_text('{"number": 7}', encoding="utf-8")
    with pytest.raises(RecordError, match=r"^records/007/02-taper.json: The mark record cannot"):
        read_records(tmp_path)


def test_totals_without_the_assessor() -> None:
    sums = totals(RECORD)
    assert (sums.mark, sums.out_of) == (2.5, 10.0)
    assert (sums.waiting, sums.critical) == (("three",), ("two",))


def test_totals_with_the_assessor() -> None:
    manual = {
        "one": ManualMark(key="one", score=1.0),
        "two": ManualMark(key="two", score=3.0),
        "three": ManualMark(key="three", score=2.0, extra=0.5),
        "four": ManualMark(key="four", waiting=True),
    }
    sums = totals(RECORD, manual)
    assert sums.mark == 1.0 + 3.0 + 2.5 + 0.5
    assert (sums.waiting, sums.critical) == (("four",), ())
    assert totals(RECORD, {"two": ManualMark(key="two", score=2.9)}).critical == ("two",)


def test_no_gradebook_no_marks_and_none_is_made(tmp_path: Path) -> None:
    assert manual_marks(tmp_path) == {}
    assert list(tmp_path.iterdir()) == []


def test_versions_follow_what_they_stand_for() -> None:
    page = PAGES["02-taper"]
    first, *others = page.questions
    for change in ({"ask": "What?"}, {"marks": 9.0}, {"key": "02-other"}):
        other = replace(page, questions=(replace(first, **change), *others))  # type: ignore[arg-type]
        assert question_version(other) != question_version(page)
    assert question_version(replace(page, title="Another")) == question_version(page)
    changed = replace(first, slips=(replace(first.slips[0], share=0.9), *first.slips[1:]))
    assert one_question_version(changed) != one_question_version(first)
    assert len(marker_version()) == 12


def test_each_job_card_has_a_version_of_its_own() -> None:
    page = PAGES["02-taper"]

    def version(number: int, page: Page = page) -> str:
        card = issue_card(exercise=page.name, class_code="QQ-26", number=number)
        return card_version(page=page, card=card)

    assert version(7) == version(7)
    assert version(7) != version(8)
    first, *others = page.questions
    looser = replace(first, tolerance=lambda card, given: 1.0)
    assert version(7, replace(page, questions=(looser, *others))) != version(7)
