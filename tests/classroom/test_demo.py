"""The invented class as a round trip: what each one does wrong is what the report says."""

from __future__ import annotations

import csv
import io
import sqlite3
from datetime import UTC, datetime
from html import escape

import pytest

from coursework.check import gains
from coursework.course import PAGES, issue_card
from coursework.judging import right_answers, show_answer
from coursework.room.assessing import mark_and_report, release_solutions, verify_class
from coursework.room.classfolder import open_class
from coursework.room.flags import flags
from coursework.room.gains import checks_done
from coursework.room.seconding import agreement_lines
from coursework.room.standings import gather
from coursework.room.trail import trail_of
from keycourse.demo import (
    CODE,
    HABITS,
    numbers_by_name,
    run_demo,
    typed_entries,
)

NUMBERS = numbers_by_name()
TODAY = {**NUMBERS, "Hetty Marlowe": 21}  # she got another number in the end
WITHDRAWN = "Jonas Peckwith"
SHOWN = [one for one in HABITS if one.slips and not one.corrects and one.name != WITHDRAWN]


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("demo") / "class"
    steps = []
    path = run_demo(place, progress=lambda done, total: steps.append((done, total)))
    assert path == place / "report" / "index.html"
    assert steps == [(done, 15) for done in range(1, 16)]
    return place


def outcomes_of(folder, name):
    return gather(open_class(folder)).of(TODAY[name])


def gradebook_rows(folder):
    with sqlite3.connect(folder / "gradebook.db") as book:
        tables = [
            row[0] for row in book.execute("select name from sqlite_master where type='table'")
        ]
        return {
            table: sorted(map(repr, book.execute(f"select * from {table}"))) for table in tables
        }


def pages_in(folder):
    return {
        path.relative_to(folder): path.read_bytes()
        for room in ("report", "records", "feedback", "hand-ins", "set-aside")
        for path in (folder / room).rglob("*")
        if path.is_file()
    }


def test_everyone_has_a_number_of_their_own():
    assert sorted(NUMBERS.values()) == list(range(1, 13))
    assert len({habit.name for habit in HABITS}) == 12


@pytest.mark.parametrize("habit", SHOWN, ids=lambda habit: habit.what)
def test_each_habit_is_recognised_and_named_in_the_report(folder, habit):
    slips = {one.slip for one in outcomes_of(folder, habit.name)} - {""}
    assert slips
    assert slips <= set(habit.slips)
    text = (folder / "report" / "index.html").read_text("utf-8")
    first = next(slip for slip in habit.slips if slip in slips)
    place = text.index(f"<summary>{escape(first)}</summary>")
    who = text[place : text.index("</details>", place)]
    assert f"{habit.name} ({NUMBERS[habit.name]})" in who


def hand_ins(folder):
    """Count the apprentices' exercises with a hand-in that was taken in."""
    count = sum(path.name in PAGES for path in (folder / "hand-ins").glob("*/*"))
    assert count > 60
    return count


def test_careful_gets_every_mark(folder):
    for one in outcomes_of(folder, "Ada Brindle"):
        assert one.mark == one.out_of
        assert one.state in {"right", "marked"}


def test_put_right_counts_and_the_first_is_kept(folder):
    assert {one.slip for one in outcomes_of(folder, "Hetty Marlowe")} == {""}
    number = f"{NUMBERS['Hetty Marlowe']:03d}"
    for page in PAGES:
        assert len(list((folder / "hand-ins" / number / page).iterdir())) == 2


def test_blanks_stay_blank_and_count_nothing(folder):
    states = {one.key: (one.state, one.mark) for one in outcomes_of(folder, "Jonas Peckwith")}
    assert states["02-parallel"] == ("blank", 0.0)
    assert states["01-why-bottom"] == ("blank", 0.0)


def test_copied_numbers_do_not_fit_and_nothing_typed_is_run(folder):
    states = {one.key: one.state for one in outcomes_of(folder, "Dana Rooke")}
    assert states["01-mouth-height"] == "wrong"
    assert states["02-difference"] == "unreadable"
    text = (folder / "report" / "index.html").read_text("utf-8")
    assert "<script" not in text
    for path in (folder / "feedback").rglob("*.html"):
        assert "<script" not in path.read_text("utf-8")


def test_the_damaged_one_is_set_aside_with_a_sentence(folder):
    name = f"QQ-26_{NUMBERS['Colm Wetherby']:03d}_02-taper.handin.json"
    assert (folder / "set-aside" / name).is_file()
    assert (folder / "set-aside" / "reasons.txt").read_text("utf-8") == (
        f"{name}: The file is not a hand-in: it cannot be read as JSON. "
        "Hand in again from the exercise page and send the new file.\n"
    )
    assert {one.page for one in outcomes_of(folder, "Colm Wetherby")} == set(PAGES) - {"02-taper"}


def test_a_missed_critical_answer_is_on_top_of_the_report(folder):
    text = (folder / "report" / "index.html").read_text("utf-8")
    notice = text[text.index("Answers that must be right, and are not") :]
    notice = notice[: notice.index("</div>")]
    assert "Sorcha Lindell" in notice
    assert "Ada Brindle" not in notice


def test_marks_by_hand_are_counted_and_the_rest_waits(folder):
    content = (folder / "report" / "marks.csv").read_bytes().decode("utf-8-sig")
    rows = {row["name"]: row for row in csv.DictReader(io.StringIO(content, newline=""))}
    assert rows["Ada Brindle"]["01-sign-off"] == "5"
    assert rows["Ada Brindle"]["bench work"] == "competent"
    assert rows["Ines Calloway"]["01-sign-off"] == "waiting"
    assert rows["Ines Calloway"]["bench work"] == "not yet"  # a sign-off is missing


def test_a_must_that_was_not_passed_is_not_yet_competent_with_its_marks(folder):
    number = NUMBERS["Colm Wetherby"]
    signed = gather(open_class(folder)).sign_offs[number, "01-sign-off"]
    assert signed.marks == 4
    assert not signed.passed
    text = (folder / "report" / "skills-records" / f"{number:03d}.html").read_text("utf-8")
    assert "Not passed: locked out, tagged and tried before hands go near the drive." in text


def test_the_resit_counts_and_both_attempts_are_in_the_record(folder):
    number = NUMBERS["Sorcha Lindell"]
    record = gather(open_class(folder)).records[number, "02-taper"]
    assert record.attempt == 2
    assert [one.attempt for one in record.sittings] == [1, 2]
    assert "02-large-end" in record.sittings[0].wrong
    assert "02-large-end" in record.sittings[1].right


def test_the_new_number_has_the_marks_and_the_withdrawn_one_is_out(folder):
    text = (folder / "report" / "index.html").read_text("utf-8")
    assert "021 Hetty Marlowe" in text
    assert WITHDRAWN not in text
    assert {one.page for one in outcomes_of(folder, "Hetty Marlowe")} == set(PAGES)
    assert (folder / "records" / f"{NUMBERS[WITHDRAWN]:03d}" / "02-taper.json").is_file()


def test_the_two_assessors_differed_once_and_it_is_settled(folder):
    lines = agreement_lines(open_class(folder))
    assert any("9 answers marked twice, 8 alike" in one for one in lines)
    assert lines[-1] == "Every difference is settled."
    number = NUMBERS["Marek Dubrow"]
    hands = {one.who for one in trail_of(open_class(folder), number)}
    assert {"Pat Holt", "Kim Dole", "Marek Dubrow"} <= hands


def test_the_check_shows_what_was_gained(folder):
    done = checks_done(open_class(folder))
    assert sum(done[TODAY["Hetty Marlowe"]]["check-later"].values()) == 8
    assert NUMBERS[WITHDRAWN] not in done
    whole = gains(list(done.values()))[-1]
    assert (whole.people, whole.both) == ((11, 10, 6), 10)
    assert whole.gain == pytest.approx((7.0 - 2.8) / (10 - 2.8))  # of 70 and 28 right among ten
    page = (folder / "report" / "index.html").read_text("utf-8")
    assert '<h2 id="check">Before and after</h2>' in page


def test_what_is_too_fast_or_came_without_its_code_is_asked_about(folder):
    found = dict(flags(gather(open_class(folder)).present()))
    assert found["fast"].startswith("Viktor Aldane (")
    assert "03-key: every entry right at the first hand-in" in found["fast"]
    assert "Dana Rooke (" in found["no code"]
    assert "04-fit: the code of the card was typed 26 hours after" in found["code"]


def test_everything_in_the_class_agrees(folder):
    assert verify_class(open_class(folder)).differences == []


def test_a_second_run_changes_nothing(folder):
    pages, rows = pages_in(folder), gradebook_rows(folder)
    later = datetime(2030, 1, 1, tzinfo=UTC)  # than all the invented days
    again = mark_and_report(open_class(folder), now=later)
    assert again.intake.admitted == []
    assert again.intake.set_aside == []
    assert again.lines == (f"0 marked, {hand_ins(folder)} marked before.",)
    assert pages_in(folder) == pages
    assert gradebook_rows(folder) == rows


def test_no_right_value_before_the_release_and_every_one_after(folder):
    number = NUMBERS["Jonas Peckwith"]
    path = folder / "feedback" / f"{number:03d}" / "02-taper.html"
    page = PAGES["02-taper"]
    card = issue_card(exercise="02-taper", class_code=CODE, number=number)
    answer = show_answer(
        page.question("02-parallel").on(card), right_answers(page, card)["02-parallel"]
    )
    assert answer not in path.read_text("utf-8")
    assert release_solutions(open_class(folder)) == hand_ins(folder)
    assert answer in path.read_text("utf-8")
    mark_and_report(open_class(folder))
    assert answer in path.read_text("utf-8")  # a later run does not take it back


def test_millimetres_typed_as_millimetres_are_no_slip():
    habit = next(one for one in HABITS if one.in_mm)
    page = PAGES["01-measure"]
    card = issue_card(exercise=page.name, class_code=CODE, number=NUMBERS[habit.name])
    entries = typed_entries(habit, page, card)
    assert entries["01-inside-height"].endswith(" mm")
    assert entries["01-mouth-height"].endswith(" in")
