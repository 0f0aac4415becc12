"""Due dates and late policy: read from class.toml, each fault in a sentence, shown everywhere."""

from __future__ import annotations

import csv
import io
import time
import tomllib
from datetime import UTC, datetime, timedelta, timezone

import pytest

from coursework.mark.lateness import local_text
from coursework.page.handin import write_hand_in
from coursework.room.assessing import mark_and_report
from coursework.room.classfolder import ClassError, new_class, open_class
from coursework.room.dates import dates_template, read_dates
from coursework.room.roster import Apprentice
from coursework.room.status import status_lines

NAMES = ("01-measure", "02-taper")


def read(text):
    return read_dates(tomllib.loads(text), exercises=NAMES)


def uncommented(text):
    lines = [line for line in text.splitlines() if line.startswith("# ") and "=" in line]
    heads = {'# "': "[due]", "# p": "[late]", "# f": "", "# d": ""}
    out = []
    for line in lines:
        if "note" in line or "#" in line[2:3] or not line.startswith(tuple(heads)):
            continue
        head = heads[line[:3]]
        if head and head not in out:
            out.append(head)
        out.append(line[2:])
    return "\n".join(out)


def test_nothing_set_is_nothing_due():
    dates, problems = read("")
    assert (dict(dates.due), dates.policy.percent_per_day, problems, dates.rule) == ({}, 0, (), "")


def test_a_new_class_has_the_lines_commented_out_and_they_can_be_taken(tmp_path):
    made = new_class(tmp_path / "c", code="QQ-26", title="Keys", roster=[Apprentice(1, "Ada")])
    assert dict(made.dates.due) == {}
    assert dates_template(NAMES).count("2026-11-30") == 4
    dates, problems = read(uncommented(dates_template(NAMES)))
    assert problems == ()
    assert set(dates.due) == set(NAMES)
    assert (dates.policy.percent_per_day, dates.policy.floor_percent) == (10, 50)
    assert dates.policy.days_on_the_way == 7


def test_a_date_is_the_end_of_that_day_and_a_zone_is_kept():
    dates, problems = read(
        '[due]\n"01-measure" = 2026-11-30\n"02-taper" = 2026-11-30T16:00:00+02:00\n'
    )
    assert problems == ()
    assert dates.due["01-measure"] == datetime(2026, 11, 30, 23, 59, 59).astimezone(UTC)
    zone = timezone(timedelta(hours=2))
    assert dates.due["02-taper"] == datetime(2026, 11, 30, 16, tzinfo=zone)


@pytest.mark.parametrize(
    ("text", "sentences"),
    [
        (
            '[due]\n"03-make" = 2026-11-30',
            ["[due] names “03-make”; it must be one of: 01-measure, 02-taper."],
        ),
        (
            '[due]\n"01-measure" = "30 November"',
            [
                "[due] “01-measure” is “30 November”; it must be a date such as 2026-11-30, "
                "without quotation marks."
            ],
        ),
        ("due = 3", ["due is 3; it must be a heading [due] with lines under it."]),
        (
            '[late]\npolicy = "harsh"',
            ["[late] policy is “harsh”; it must be “note” or “percent per day”."],
        ),
        (
            '[late]\npolicy = "percent per day"',
            [
                "[late] policy is “percent per day”, but there is no percent_per_day; it must be "
                "above 0, to 100."
            ],
        ),
        (
            "[late]\npercent_per_day = 0",
            ["[late] percent_per_day is 0; it must be above 0, to 100."],
        ),
        (
            "[late]\npercent_per_day = 101",
            ["[late] percent_per_day is 101; it must be above 0, to 100."],
        ),
        (
            "[late]\npercent_per_day = true",
            ["[late] percent_per_day is True; it must be above 0, to 100."],
        ),
        (
            "[late]\npercent_per_day = 5\nfloor_percent = -1\ndays_on_the_way = nan\nx = 1",
            [
                "[late] has “x”; it must be one of: policy, percent_per_day, floor_percent, "
                "days_on_the_way.",
                "[late] floor_percent is -1; it must be from 0 to 100.",
                "[late] days_on_the_way is nan; it must be from 0 to 60.",
            ],
        ),
    ],
)
def test_each_fault_is_a_sentence(text, sentences):
    assert list(read(text)[1]) == sentences


def test_a_class_with_a_fault_is_not_opened(tmp_path):
    folder = tmp_path / "c"
    new_class(folder, code="QQ-26", title="Keys", roster=[Apprentice(1, "Ada")])
    with (folder / "class.toml").open("a") as file:
        file.write('[due]\n"01-measure" = 5\n')
    with pytest.raises(ClassError, match="“01-measure” is 5; it must be a date such as"):
        open_class(folder)


def test_a_rule_in_words():
    dates, _ = read('[due]\n"01-measure" = 2026-11-30\n[late]\npercent_per_day = 12.5\n')
    assert dates.rule == (
        "Each day begun after the due date costs 12.5 % of the marks earned, down to 0 % of them. "
        "Skills are judged without it."
    )
    assert read('[due]\n"01-measure" = 2026-11-30')[0].rule == (
        "Lateness is noted; it costs no marks."
    )


@pytest.fixture
def clock(monkeypatch):
    """Return a setter of this machine's zone, put back afterwards."""

    def put(zone):
        monkeypatch.setenv("TZ", zone)
        time.tzset()

    yield put
    monkeypatch.undo()
    time.tzset()


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="needs a system whose zone can be set")
def test_times_are_on_the_clock_of_this_machine(clock):
    clock("XYZ-5:30")  # 5 h 30 min east
    assert local_text(datetime(2026, 11, 25, 12, tzinfo=UTC)) == "2026-11-25 17:30 UTC+05:30"
    assert read('[due]\n"01-measure" = 2026-11-30')[0].due["01-measure"] == datetime(
        2026, 11, 30, 18, 29, 59, tzinfo=UTC
    )
    clock("UTC")
    assert local_text(datetime(2026, 11, 25, 12, tzinfo=UTC)) == "2026-11-25 12:00 UTC"


@pytest.fixture
def late_class(tmp_path, clock):
    """Return a class of three: one in time, one late, one who has not handed in."""
    clock("UTC")
    people = [Apprentice(1, "Ada"), Apprentice(2, "Bo"), Apprentice(3, "Cy")]
    made = new_class(tmp_path / "c", code="QQ-26", title="Keys", roster=people)
    with (made.folder / "class.toml").open("a") as file:
        file.write('[due]\n"01-measure" = 2026-11-25T12:00:00+00:00\n')
        file.write("[late]\npercent_per_day = 10\nfloor_percent = 50\n")
    for number, at in ((1, "2026-11-25T11:00:00Z"), (2, "2026-11-26T13:00:00Z")):
        write_hand_in(
            folder=made.inbox,
            class_code="QQ-26",
            number=number,
            page="01-measure",
            page_version="v",
            entries={"01-bad-reading": "none of them"},
            made=at,
        )
    opened = open_class(made.folder)
    mark_and_report(opened, now=datetime(2026, 11, 27, 8, tzinfo=UTC))
    return opened


def test_late_is_shown_in_status_report_feedback_and_marks(late_class):
    lines = status_lines(late_class, now=datetime(2026, 11, 27, 8, tzinfo=UTC))
    assert "late" not in lines[2]
    assert " late 2" in lines[3]
    assert "overdue" in lines[4]
    assert any(line.startswith("Due: 01-measure 2026-11-25 12:00 UTC. Each day") for line in lines)
    report = (late_class.report / "index.html").read_text("utf-8")
    assert "<li>01-measure: 2 days late: Bo (2)</li>" in report
    feedback = (late_class.feedback / "002" / "01-measure.html").read_text("utf-8")
    assert "<b>2 days late</b>: 80 % of the marks count" in feedback
    assert "due 2026-11-25 12:00 UTC" in feedback
    in_time = (late_class.feedback / "001" / "01-measure.html").read_text("utf-8")
    assert "late" not in in_time.replace("later", "").replace("related", "")
    content = (late_class.report / "marks.csv").read_bytes().decode("utf-8-sig")
    rows = {row["name"]: row for row in csv.DictReader(io.StringIO(content, newline=""))}
    assert rows["Bo"]["01-measure days late"] == "2"
    assert rows["Bo"]["01-measure handed in"] == "2026-11-26 13:00 UTC"
    earned = float(rows["Bo"]["01-measure marks"])
    assert float(rows["Bo"]["01-measure marks after lateness"]) == pytest.approx(0.8 * earned)
    assert rows["Ada"]["01-measure days late"] == "0"
    assert rows["Cy"]["01-measure days late"] == ""


def test_status_before_the_due_date_is_not_overdue(late_class):
    lines = status_lines(late_class, now=datetime(2026, 11, 25, 8, tzinfo=UTC))
    assert "overdue" not in "".join(lines)
