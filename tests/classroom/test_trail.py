"""Who did it: each mark by hand carries a name, is never overwritten, and stands on a page."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from coursework.mark.byhand import by_hand_register, read_by_hand
from coursework.mark.gradebook import database_url, open_gradebook
from coursework.mark.handwatch import watch_hands
from coursework.mark.register import Register
from coursework.room.assessing import (
    mark_and_report,
    moderate_mark,
    report_again,
    verify_class,
)
from coursework.room.classfolder import ClassError
from coursework.room.signing import enter_from_file
from coursework.room.trail import NOBODY, find_person, trail_of, write_trail
from keycourse import cli

from .test_assessing import KEY, enter, hand_in, room  # noqa: F401
from .test_signing import NOW, TASK, sheet, yes

WHY = "01-why-bottom"


@pytest.fixture
def watched(room):  # noqa: F811
    stop = watch_hands(room.folder, by="Pat Holt")
    yield room
    stop()


def lines(room, key=WHY):  # noqa: F811
    return [
        (one["mark"], one["comment"], one["by"])
        for one in by_hand_register(room.folder).lines()
        if one["entry"] == key
    ]


def comment(room, key, text, number=7, page="01-measure"):  # noqa: F811
    with open_gradebook(db_url=database_url(room.folder)) as gradebook:
        found = gradebook.find_comment(key, page, page, f"{number:03d}")
        found.manual_comment = text
        gradebook.db.commit()


def test_every_change_in_the_screen_is_a_line_with_its_name(watched):
    enter(watched, WHY, 2.0)
    enter(watched, WHY, 1.0)
    enter(watched, WHY, None)
    assert lines(watched) == [
        ("2", "", "Pat Holt"), ("1", "", "Pat Holt"), ("", "", "Pat Holt"),
    ]  # fmt: skip
    report_again(watched)
    assert len(lines(watched)) == 3
    assert verify_class(watched).differences == []


def test_a_comment_is_a_line_with_the_mark_beside_it(watched):
    enter(watched, WHY, 2.0)
    comment(watched, WHY, "Say what hangs\nwhere.")
    assert lines(watched)[-1] == ("2", "Say what hangs where.", "Pat Holt")
    mark_and_report(watched)
    assert len(lines(watched)) == 2


def test_marking_by_the_marker_is_no_hand(watched):
    hand_in(watched.inbox, 1, made="2026-11-26T08:00:00Z", **{KEY: "8 in"})
    mark_and_report(watched)
    assert read_by_hand(watched.folder) == {}


def test_what_is_not_saved_leaves_no_line(watched):
    with open_gradebook(db_url=database_url(watched.folder)) as gradebook:
        grade = gradebook.find_grade(WHY, "01-measure", "01-measure", "007")
        grade.manual_score = 3.0
        gradebook.db.flush()
        gradebook.db.rollback()
    assert lines(watched) == []


def test_a_mark_put_in_elsewhere_is_kept_and_says_that_no_name_was(room):  # noqa: F811
    enter(room, WHY, 2.0)
    report_again(room)
    assert lines(room) == [("2", "", "")]
    assert NOBODY in {one.who for one in trail_of(room, 7)}


def test_a_register_of_old_is_read_and_goes_on_with_names(tmp_path):
    register = by_hand_register(tmp_path)
    old = Register(path=register.path, columns=register.columns[:-1])
    old.append([("2026-11-25T12:00:00Z", "7", "01-measure", WHY, "2", "", "")])
    register.append([("2026-11-26T12:00:00Z", "7", "01-measure", WHY, "1", "", "", "Pat Holt")])
    register.append([("2026-11-27T12:00:00Z", "7", "01-measure", WHY, "3", "", "", "Pat Holt")])
    assert [(one["mark"], one["by"]) for one in register.lines()] == [
        ("2", ""), ("1", "Pat Holt"), ("3", "Pat Holt"),
    ]  # fmt: skip
    assert register.faults() == []
    text = register.path.read_text("utf-8")
    assert text.count("seen,number") == 2  # the old heading, and the one with names
    register.path.write_text(text.replace("WHY", "x").replace(",2,,,", ",3,,,", 1), "utf-8")
    assert register.faults() != []


def test_the_page_shows_hand_in_ticks_marks_and_moderation_with_each_name(watched, tmp_path):
    (watched.folder / "assessors.txt").write_text("Pat Holt\nKim Dole\n", "utf-8")
    enter(watched, WHY, 2.0)
    path = sheet(tmp_path, (7, TASK, 1, "2026-11-25", "prompted", yes(no=[6])))
    enter_from_file(watched, path, by="Kim Dole", now=NOW)
    moderate_mark(
        watched, number=7, entry=KEY, mark=1, reason="Right at the bench", by="Pat Holt",
        now=datetime(2027, 1, 5, tzinfo=UTC),
    )  # fmt: skip
    found = trail_of(watched, 7)
    assert [one.where for one in found][0] == "arrivals.csv"
    assert found[-1].what == "moderated, 1 instead of 0, Clearance: Right at the bench"
    assert {one.who for one in found} == {"Zoë Ferrant", "Pat Holt", "Kim Dole"}
    signed = next(one for one in found if one.where == "sign-offs.csv")
    assert signed.who == "Kim Dole"
    assert "prompted, Sign-off: measure a slot: not yet competent, 5 marks" in signed.what
    by_hand = {one.what: one.who for one in found if one.where == "by-hand.csv"}
    assert by_hand["by hand, Sign-off: measure a slot: mark 5"] == "Kim Dole"
    text = write_trail(watched, 7).read_text("utf-8")
    for one in found:
        assert one.where in text
    assert "Ada Brindle" not in text


def test_a_person_is_found_by_name_part_of_it_or_number(room, capsys):  # noqa: F811
    for person in ("7", "007", "zoë ferrant", "ferrant"):
        assert find_person(room, person) == 7
    with pytest.raises(ClassError, match="^person is “Nobody”; it must be a name or a number of "):
        find_person(room, "Nobody")
    with pytest.raises(ClassError, match=r"and that is Ada Brindle \(1\), Zoë Ferrant \(7\)\. "):
        find_person(room, "r")
    assert cli.main(["class", "audit", str(room.folder), "--person", "Ada"]) == 0
    assert "001.html" in capsys.readouterr().out
