"""What an assessor does: moderate, verify, report, release; and two of them at once."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import subprocess
import sys
import time
from datetime import UTC, datetime

import pytest

from coursework.course import PAGES, issue_card
from coursework.judging import right_answers, show_answer
from coursework.mark.byhand import by_hand_register
from coursework.mark.gradebook import database_url, open_gradebook, read_grades
from coursework.page.handin import write_hand_in
from coursework.room.assessing import (
    mark_and_report,
    moderate_mark,
    report_again,
    verify_class,
)
from coursework.room.classfolder import ClassError, new_class, open_class
from coursework.room.roster import Apprentice
from keycourse import cli

from .children import start_child, wait_for

PEOPLE = [Apprentice(1, "Ada Brindle"), Apprentice(7, "Zoë Ferrant")]
NOW = datetime(2026, 11, 25, 14, tzinfo=UTC)
KEY = "01-clearance"


def hand_in(folder, number, made="2026-11-25T12:00:00Z", page="01-measure", **changes):
    card = issue_card(exercise=page, class_code="QQ-26", number=number)
    right = right_answers(PAGES[page], card)
    entries = {key: show_answer(PAGES[page].question(key), one) for key, one in right.items()}
    for question in PAGES[page].questions:
        if question.by_assessor and not question.key.endswith("sign-off"):
            entries[question.key] = "The hub hangs on the shaft."
    write_hand_in(
        folder=folder,
        class_code="QQ-26",
        number=number,
        page=page,
        page_version="v",
        entries=entries | changes,
        made=made,
    )


@pytest.fixture
def room(tmp_path):
    made = new_class(tmp_path / "class", code="QQ-26", title="Keys", roster=PEOPLE)
    hand_in(made.inbox, 1)
    hand_in(made.inbox / "b", 7, **{KEY: "9 in"})
    mark_and_report(made, now=NOW)
    return made


def enter(room, key, score, number=7, page="01-measure"):
    with open_gradebook(db_url=database_url(room.folder)) as gradebook:
        grade = gradebook.find_grade(key, page, page, f"{number:03d}")
        grade.manual_score, grade.needs_manual_grade = score, False
        gradebook.db.commit()


def marks(room, name="Zoë Ferrant"):
    content = (room.report / "marks.csv").read_bytes().decode("utf-8-sig")
    return next(one for one in csv.DictReader(io.StringIO(content)) if one["name"] == name)


def test_a_report_loads_neither_nbgrader_nor_what_draws_and_computes_elsewhere(room):
    enter(room, "01-why-bottom", 2.0)
    program = (
        "import sys; from keycourse import cli\n"
        "assert cli.main(['report', sys.argv[1]]) == 0\n"
        "heavy = {'nbgrader', 'nbformat', 'sqlalchemy', 'matplotlib', 'numpy', 'scipy', 'pint',\n"
        "         'ipywidgets', 'IPython'}\n"
        "print('loaded:', sorted(heavy & set(sys.modules)))"
    )
    before = marks(room)["01-why-bottom"]
    done = subprocess.run(
        [sys.executable, "-c", program, str(room.folder)], capture_output=True, text=True
    )
    assert done.stdout.endswith("loaded: []\n"), done.stderr
    assert (before, marks(room)["01-why-bottom"]) == ("waiting", "2")


# moderation


def test_a_moderated_mark_is_in_feedback_report_marks_and_skills_record(room, capsys):
    assert marks(room)[KEY] == "0"
    code = cli.main(
        ["class", "moderate", str(room.folder), "--number", "7", "--entry", KEY, "--mark", "1"]
        + ["--reason", "Right at the bench, <b>slip</b> of the pen", "--by", "P. Holt"]
    )
    assert code == 0
    assert capsys.readouterr().out == f"Apprentice 007, {KEY}: 1 instead of 0.\n"
    assert marks(room)[KEY] == "1"
    assert marks(room)["01-measure moderated"] == KEY
    told = "Right at the bench, &lt;b&gt;slip&lt;/b&gt; of the pen"
    feedback = (room.feedback / "007" / "01-measure.html").read_text("utf-8")
    assert "Mark changed by the assessor" in feedback
    assert re.search(rf"1 instead of 0, P. Holt, \d{{4}}-\d\d-\d\d: {re.escape(told)}", feedback)
    for page in ("index.html", "skills-records/007.html"):
        text = (room.report / page).read_text("utf-8")
        assert told in text
        assert "1 instead of 0" in text
        assert "<b>slip" not in text
    assert verify_class(room).differences == []
    mark_and_report(room)
    assert marks(room)[KEY] == "1"
    assert (
        cli.main(
            ["class", "moderate", str(room.folder), "--number", "7", "--entry", KEY, "--withdraw"]
            + ["--reason", "Too kind", "--by", "P. Holt"]
        )
        == 0
    )
    assert marks(room)[KEY] == "0"
    assert marks(room)["01-measure moderated"] == ""
    assert verify_class(room).differences == []
    record = json.loads((room.folder / "records" / "007" / "01-measure.json").read_text("utf-8"))
    assert [one["reason"] for one in record["moderated"]][1] == "Too kind"


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            {"number": 8},
            "apprentice number is 8; it must be one of roster.csv. Look at the class list.",
        ),
        (
            {"entry": "01-nothing"},
            "entry is “01-nothing”; it must be a question of the course, such as ",
        ),
        (
            {"entry": "02-per-foot"},
            "apprentice 7 has no marks for 02-taper, so there is nothing to moderate. Take in and "
            "mark first: taperkey mark.",
        ),
        ({"mark": 9.0}, "mark is 9; it must be from 0 to 1, the marks of 01-clearance. Give "),
    ],
)
def test_what_cannot_be_moderated_is_one_sentence(room, changes, sentence):
    fields = {"number": 7, "entry": KEY, "mark": 1.0, "reason": "So.", "by": "P. Holt"}
    with pytest.raises(ClassError) as refusal:
        moderate_mark(room, **(fields | changes))
    assert str(refusal.value).startswith(sentence)
    assert marks(room)[KEY] == "0"


def test_a_later_mark_in_the_screen_is_said(room):
    moderate_mark(room, number=7, entry=KEY, mark=1.0, reason="So.", by="P. Holt", now=NOW)
    enter(room, KEY, 0.5)
    assert mark_and_report(room).lines[1:] == (
        f"Apprentice 007, {KEY}: the marking screen says 0.5, the moderation by P. Holt says 1, "
        "and that counts. Moderate it again or withdraw it.",
    )


# which hand-in counts


def test_an_older_file_that_comes_later_counts_and_is_said(room):
    hand_in(room.inbox, 7, made="2026-11-24T12:00:00Z", **{KEY: ""})
    lines = mark_and_report(room).lines
    assert lines[1].startswith("Replaced: Zoë Ferrant (7), 01-measure: ")
    assert (lines[0], *lines[2:]) == (
        "1 marked, 1 marked before.",
        "Apprentice 007, 01-measure: the hand-in that came last says it was made at "
        "2026-11-24T12:00:00Z, before the one of 2026-11-25T12:00:00Z that it replaces. The last "
        "to come counts; ask which is meant.",
    )
    record = json.loads((room.folder / "records" / "007" / "01-measure.json").read_text("utf-8"))
    assert record["made"] == "2026-11-24T12:00:00Z"
    assert mark_and_report(room).lines == ("0 marked, 2 marked before.",)


# by hand


def test_marks_by_hand_are_noted_with_the_day_they_were_seen(room):
    enter(room, "01-sign-off", 4.0)
    report_again(room, now=datetime(2026, 11, 28, 9, tzinfo=UTC))
    page = (room.report / "skills-records" / "007.html").read_text("utf-8")
    work = PAGES["01-measure"].question("01-sign-off").label.removeprefix("Sign-off: ")
    row = page[page.index(f"01 {work.capitalize()}") :]
    assert "4 of 5" in row[: row.index("</tr>")]
    assert "2026-11-28" in row[: row.index("</tr>")]
    report_again(room, now=datetime(2026, 12, 24, 9, tzinfo=UTC))
    assert (room.report / "skills-records" / "007.html").read_text("utf-8") == page
    enter(room, "01-sign-off", None)
    report_again(room, now=datetime(2026, 12, 25, 9, tzinfo=UTC))
    lines = [one for one in by_hand_register(room.folder).lines() if one["entry"] == "01-sign-off"]
    assert [(one["seen"][:10], one["mark"]) for one in lines] == [
        ("2026-11-28", "4"),
        ("2026-12-25", ""),
    ]


# skills records


def test_the_skills_record_says_what_the_records_say(room):
    enter(room, "01-sign-off", 4.0)
    report_again(room, now=NOW)
    text = (room.report / "skills-records" / "007.html").read_text("utf-8")
    plain = " ".join(re.sub(r"<[^>]+>", " ", text).split())
    for words in (
        "Skills record",
        "Zoë Ferrant",
        "number 007",
        "70 % or more of the marks of the skill",
        "not handed in",
        "waiting for the assessor",
        "Apprentice, date",
        "Assessor, name and signature, date",
    ):
        assert words in plain
    for question in (one for page in PAGES.values() for one in page.questions if one.critical):
        assert question.label in plain
    assert "<script" not in text
    assert "http" not in text
    link = '<a href="skills-records/007.html">007 Zoë Ferrant</a>'
    assert link in (room.report / "index.html").read_text("utf-8")


# verify


def test_verify_tells_and_its_exit_code_says_so(room, capsys):
    entries = len(PAGES["01-measure"].questions)
    assert cli.main(["class", "verify", str(room.folder)]) == 0
    assert capsys.readouterr().out == (
        f"2 hand-ins, 2 records, {2 * entries} marks worked out again, 0 by hand looked up: "
        "everything agrees.\n"
    )
    path = room.folder / "records" / "007" / "01-measure.json"
    fields = json.loads(path.read_text("utf-8"))
    next(one for one in fields["verdicts"] if one["key"] == KEY)["mark"] = 1.0
    path.write_text(json.dumps(fields), "utf-8")
    assert cli.main(["class", "verify", str(room.folder)]) == 1
    first, second, count, last = capsys.readouterr().out.splitlines()
    assert first.startswith(
        f"Apprentice 007, 01-measure, {KEY}: the record says 1 of 1 (wrong); worked out again it "
        "is 0 of 1 (wrong"
    )
    assert second == f"Apprentice 007, 01-measure, {KEY}: the gradebook says 0, the record 1."
    assert count.endswith("looked up: 2 differences.")
    assert last == (
        "Next: delete records/007/01-measure.json, then type: taperkey mark " + str(room.folder)
    )
    path.unlink()
    assert cli.main(last[last.index("taperkey ") :].split()[1:]) == 0
    assert verify_class(room).differences == []


# two at once


def until_its_turn(act):
    """Do it as soon as the folder is free; each refusal must say who is at work."""
    for _ in range(400):
        try:
            return act()
        except ClassError as error:
            if not re.search(r"at work in it \((marking|moderating), by ", str(error)):
                raise
            time.sleep(0.02)
    raise AssertionError("never its turn")


def rows(room):
    with open_gradebook(db_url=database_url(room.folder)) as gradebook:
        return read_grades(gradebook)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that forks")
def test_two_assessors_at_once_lose_and_double_nothing(room):
    people = [*PEOPLE, *(Apprentice(number, f"N {number}") for number in range(20, 24))]
    (room.folder / "roster.csv").write_text(
        "number,name\n" + "".join(f"{one.number},{one.name}\n" for one in people), "utf-8"
    )
    for one in people[2:]:
        hand_in(room.inbox / str(one.number), one.number)
    enter(room, "01-sign-off", 3.0, number=1)

    def moderates(who, mark):
        act = {"number": 1, "entry": KEY, "mark": mark, "reason": "So.", "by": who}
        return lambda: moderate_mark(open_class(room.folder), **act)

    acts = [lambda: mark_and_report(open_class(room.folder))] * 2
    acts += [moderates("P. Holt", 0.5), moderates("R. Vane", 0.25)]
    children = [start_child(lambda act=act: until_its_turn(act)) for act in acts]
    assert [wait_for(child) for child in children] == [0, 0, 0, 0]
    again = open_class(room.folder)
    record = json.loads((room.folder / "records" / "001" / "01-measure.json").read_text("utf-8"))
    assert sorted(one["by"] for one in record["moderated"]) == ["P. Holt", "R. Vane"]
    found = rows(again)
    entries = len(PAGES["01-measure"].questions)
    assert len(found) == len(people) * entries
    assert len({(one.student, one.key) for one in found}) == len(found)
    by_key = {one.key: one for one in found if one.student == "001"}
    assert by_key["01-sign-off"].manual == 3.0
    last = record["moderated"][-1]
    assert by_key["01-clearance"].manual == last["mark"]
    audit = verify_class(again)
    assert (audit.differences, audit.records) == ([], len(people))


def test_a_mark_entered_in_the_screen_during_a_marking_run_is_not_lost(room):
    """The screen writes into the gradebook by itself, between two hand-ins of the run."""
    hand_in(room.inbox, 1, made="2026-11-25T13:00:00Z", **{KEY: ""})
    hand_in(room.inbox / "b", 7, made="2026-11-25T13:00:00Z")
    seen = []

    def meanwhile(done, total):
        if done == 1:
            enter(room, "01-why-bottom", 2.0, number=1)
            enter(room, "01-why-bottom", 1.0, number=7)
        seen.append(done)

    mark_and_report(room, progress=meanwhile)
    assert seen == [1, 2]
    given = {one.student: one.manual for one in rows(room) if one.key == "01-why-bottom"}
    assert given == {"001": 2.0, "007": 1.0}
