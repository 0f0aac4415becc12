"""Practical sign-offs from sheet to record: what was ticked decides, whatever the marks."""

from __future__ import annotations

import csv
import io
import re
from datetime import UTC, datetime

import pytest

from coursework.course import PAGES
from coursework.mark.signoff import read_sign_offs, sign_off_register, task_of, tasks
from coursework.room.assessing import mark_and_report, moderate_mark, report_again, verify_class
from coursework.room.classfolder import ClassError
from coursework.room.signing import blank_lines, enter_from_file, write_sheets
from coursework.room.standings import gather
from keycourse import cli

from .test_assessing import enter, marks, room  # noqa: F401

NOW = datetime(2026, 11, 26, 9, tzinfo=UTC)
TASK = "01-sign-off"
COUNT = len(task_of(TASK).items)
MUST = next(place for place, one in enumerate(task_of(TASK).items, 1) if not one.earns)
SKILL = "bench work"


def sheet(tmp_path, *lines, name="ticked.csv"):
    """Write a CSV as an assessor fills it in: (number, task, attempt, date, prompted, answers)."""
    path = tmp_path / name
    text = io.StringIO()
    writer = csv.writer(text)
    most = max(len(task.items) for task in tasks().values())
    writer.writerow(["number", "task", "attempt", "date", "prompted", *range(1, most + 1), "note"])
    for number, task, attempt, date, prompted, answers in lines:
        blank = [""] * (most - len(answers))
        writer.writerow([number, task, attempt, date, prompted, *answers, *blank, ""])
    path.write_text(text.getvalue(), "utf-8")
    return path


def yes(no=()):
    return ["no" if place in no else "yes" for place in range(1, COUNT + 1)]


def state(room, number=7):  # noqa: F811
    return gather(room).skill(number, [key for key in tasks()])


def sign_all(room, tmp_path, number=7):  # noqa: F811
    lines = [
        (number, key, 1, "2026-11-25", "unprompted", ["yes"] * len(task.items))
        for key, task in tasks().items()
    ]
    return enter_from_file(room, sheet(tmp_path, *lines, name="all.csv"), by="Pat Holt", now=NOW)


def test_each_task_has_conditions_tools_and_something_that_must_be_passed():
    assert [task.exercise for task in tasks().values()] == list(PAGES)
    for task in tasks().values():
        assert task.conditions, task.key
        assert len(task.tools) >= 3, task.key
        assert any(item.must for item in task.items), task.key
        assert sum(item.earns for item in task.items) == task.question.marks
        assert all(re.fullmatch(r"[^A-Z].*\.", item.text) for item in task.items), task.key


@pytest.mark.parametrize("key", ["01-sign-off", "02-sign-off", "05-sign-off", "06-sign-off"])
def test_at_a_drive_lock_out_must_be_passed(key):
    must = " ".join(item.text for item in task_of(key).items if item.must)
    assert re.search(r"lock(ed out|-out)", must)


def test_a_mark_in_the_screen_alone_is_no_sign_off(room):  # noqa: F811
    enter(room, TASK, 5.0)
    report_again(room)
    assert state(room).state == "not yet"
    assert TASK in state(room).unsigned
    assert marks(room)[SKILL] == "not yet"
    text = (room.report / "skills-records" / "007.html").read_text("utf-8")
    assert "no sign-off: 00, 01, 02, 03, 04, 05, 06" in text


def test_signed_off_is_competent_and_the_mark_is_the_points_seen(room, tmp_path):  # noqa: F811
    sign_all(room, tmp_path)
    report_again(room)
    assert state(room).state == "competent"
    assert marks(room)[TASK] == "5"
    assert marks(room)[SKILL] == "competent"
    text = (room.report / "skills-records" / "007.html").read_text("utf-8")
    assert "signed off" in text
    assert "Pat Holt" in text
    assert "2026-11-25" in text
    assert verify_class(room).differences == []


def test_one_must_failed_is_not_yet_competent_with_full_marks(room, tmp_path, capsys):  # noqa: F811
    sign_all(room, tmp_path)
    bad = sheet(tmp_path, (7, TASK, 2, "2026-11-26", "prompted", yes(no=[MUST])))
    given = ["class", "sign", str(room.folder), "--from", str(bad), "--by", "Pat Holt"]
    assert cli.main(given) == 0
    assert f"Zoë Ferrant (7), {TASK}: not yet competent, item {MUST}." in capsys.readouterr().out
    assert marks(room)[TASK] == "5"  # every mark, and not competent all the same
    assert state(room).state == "not yet"
    assert state(room).failed == (TASK,)
    text = (room.report / "skills-records" / "007.html").read_text("utf-8")
    assert "must be passed and was not: 01" in text
    assert "Not passed: locked out, tagged and tried before hands go near the drive." in text
    assert "prompted, attempt 2" in text
    assert "Not passed at the bench." in (room.report / "index.html").read_text("utf-8")
    again = sheet(tmp_path, (7, TASK, 3, "2026-11-27", "unprompted", yes()))
    enter_from_file(room, again, by="Pat Holt", now=datetime(2026, 11, 28, tzinfo=UTC))
    assert state(room).state == "competent"
    assert [one.attempt for one in read_sign_offs(room.folder) if one.task == TASK] == [1, 2, 3]


def test_entering_the_same_file_again_adds_nothing(room, tmp_path):  # noqa: F811
    path = sheet(tmp_path, (7, TASK, 1, "2026-11-25", "unprompted", yes()))
    assert len(enter_from_file(room, path, by="Pat Holt", now=NOW)) == 1
    before = sign_off_register(room.folder).path.read_bytes()
    assert enter_from_file(room, path, by="Pat Holt", now=NOW) == []
    assert sign_off_register(room.folder).path.read_bytes() == before


def test_the_blank_file_comes_back_filled_in(room, tmp_path):  # noqa: F811
    path = tmp_path / "blank.csv"
    path.write_bytes(blank_lines(room))
    assert enter_from_file(room, path, by="Pat Holt") == []
    rows = list(csv.DictReader(io.StringIO(path.read_text("utf-8-sig"))))
    assert len(rows) == 2 * len(tasks())
    row = next(one for one in rows if one["task"] == TASK and one["number"] == "7")
    row |= {"date": "2026-11-25", "prompted": "unprompted"}
    row |= {str(place): "yes" for place in range(1, COUNT + 1)}
    text = io.StringIO()
    writer = csv.DictWriter(text, fieldnames=list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    path.write_text(text.getvalue(), "utf-8")
    assert [one.number for one in enter_from_file(room, path, by="Pat Holt", now=NOW)] == [7]
    assert f"7,Zoë Ferrant,{TASK}" not in blank_lines(room).decode("utf-8-sig")


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        (
            (8, TASK, 1, "2026-11-25", "unprompted", yes()),
            "ticked.csv, line 2: apprentice number is 8; it must be one of roster.csv. Look at the "
            "sheet. Nothing was entered.",
        ),
        (
            (7, "01-ratio", 1, "2026-11-25", "unprompted", yes()),
            f"ticked.csv, line 2: task is “01-ratio”; it must be one of: {', '.join(tasks())}. "
            "Look at the sheet. Nothing was entered.",
        ),
        (
            (7, TASK, 1, "25.11.26", "unprompted", yes()),
            "ticked.csv, line 2: date is “25.11.26”; it must be a day such as 2026-11-25. Take it "
            "from the sheet. Nothing was entered.",
        ),
        (
            (7, TASK, 1, "2026-12-25", "unprompted", yes()),
            "ticked.csv, line 2: date is 2026-12-25; it must not be in the future. Look at the "
            "sheet. Nothing was entered.",
        ),
        (
            (7, TASK, 1, "2026-11-25", "unprompted", ["yes", "maybe"]),
            f"ticked.csv, line 2: item 2 of {TASK} is “maybe”; it must be yes or no: "
            f"{task_of(TASK).items[1].text} Nothing was entered.",
        ),
        (
            (7, TASK, 1, "2026-11-25", "", yes()),
            "ticked.csv, line 2: prompted is “”; it must be prompted or unprompted. Take it from "
            "the sheet. Nothing was entered.",
        ),
        (
            (7, TASK, 0, "2026-11-25", "prompted", yes()),
            "ticked.csv, line 2: attempt is 0; it must be from 1 to 9. Count from 1. Nothing was "
            "entered.",
        ),
    ],
)
def test_a_line_that_cannot_be_used_is_one_sentence(room, tmp_path, line, sentence):  # noqa: F811
    with pytest.raises(ClassError) as refused:
        enter_from_file(room, sheet(tmp_path, line), by="Pat Holt", now=NOW)
    assert str(refused.value) == sentence
    assert read_sign_offs(room.folder) == []


@pytest.mark.parametrize(
    ("head", "missing"),
    [
        ("number,task,date,prompted", "1"),
        ("number;task;prompted;1", "date"),
        ("Name\tTask\tDate\tPrompted\t1", "number"),
        ("", "number"),
    ],
)
def test_a_file_without_its_columns_is_one_sentence(room, tmp_path, head, missing):  # noqa: F811
    path = tmp_path / "ticked.csv"
    path.write_text(f"{head}\n7\n", "utf-8")
    with pytest.raises(ClassError) as refused:
        enter_from_file(room, path, by="Pat Holt", now=NOW)
    assert str(refused.value) == (
        f"ticked.csv has no column “{missing}”; it must have number, task, date, prompted and a "
        "column for each item. Begin with the file that --blank writes."
    )


def test_a_mark_typed_over_a_sign_off_does_not_stay(room, tmp_path):  # noqa: F811
    sign_all(room, tmp_path)
    enter(room, TASK, 1.0)
    assert any("the sign-off of 2026-11-25 by Pat Holt 5" in one
               for one in verify_class(room).differences)  # fmt: skip
    mark_and_report(room, now=NOW)
    assert marks(room)[TASK] == "5"
    assert verify_class(room).differences == []


def test_a_moderation_goes_before_a_sign_off(room, tmp_path):  # noqa: F811
    sign_all(room, tmp_path)
    moderate_mark(room, number=7, entry=TASK, mark=3, reason="Watched again", by="Pat Holt")
    assert marks(room)[TASK] == "3"
    mark_and_report(room, now=NOW)
    assert marks(room)[TASK] == "3"
    assert verify_class(room).differences == []


def test_a_changed_tick_is_seen(room, tmp_path):  # noqa: F811
    path = sheet(tmp_path, (7, TASK, 1, "2026-11-25", "unprompted", yes(no=[MUST])))
    enter_from_file(room, path, by="Pat Holt", now=NOW)
    register = sign_off_register(room.folder).path
    text = register.read_text("utf-8")
    register.write_text(text.replace("yes no yes", "yes yes yes"), "utf-8")
    told = " ".join(verify_class(room).differences)
    assert "sign-offs.csv, line 2: it was changed" in told
    assert f"items not passed {MUST}; its answers come to 5 marks, none." in told


def test_the_sheets_show_every_item_on_a_page_of_its_task(room):  # noqa: F811
    text = write_sheets(room).read_text("utf-8")
    pages = text.split("<article")[1:]
    assert len(pages) == len(tasks())
    for page, task in zip(pages, tasks().values(), strict=True):
        assert page.count('<span class="must">MUST</span>') == sum(one.must for one in task.items)
        assert page.count("1 mark") == task.question.marks
