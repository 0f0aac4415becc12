"""A clock that is set back or is ahead: what came first stands first, and the run says so.

Days that a change of the clock makes shorter or longer are taken from the tz database: in Berlin
summer time ends on 2026-10-25 at 01:00 UTC.
"""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta

import pytest

from coursework.mark.kept import read_arrivals
from coursework.mark.lateness import LatePolicy, how_late, local_text, utc_of
from coursework.mark.records import Moderation, read_record
from coursework.mark.second import SecondMark, settled_by
from coursework.room.assessing import attempt_rule, mark_and_report, moderate_mark, verify_class
from coursework.room.classfolder import open_class
from coursework.room.people import end_of
from coursework.room.seconding import enter_second_marks, open_differences, write_sample

from .test_assessing import KEY, NOW, enter, hand_in, marks, room  # noqa: F401

HOUR = timedelta(hours=1)
WHY = "01-why-bottom"


def test_set_back_between_two_runs_the_last_to_come_still_counts(room):  # noqa: F811
    hand_in(room.inbox, 7, made="2026-11-25T12:30:00Z")
    done = mark_and_report(room, now=NOW - HOUR)
    assert marks(room)[KEY] == "1"  # the first had it wrong
    [said] = [line for line in done.lines if line.startswith("The clock of this computer")]
    assert f"says {local_text(NOW - HOUR)}, and the last line of arrivals.csv was" in said
    found = read_arrivals(room.folder)
    assert [one.run for one in found] == sorted(one.run for one in found)
    audit = verify_class(room)
    assert audit.differences == []
    assert [note for note in audit.notes if note.startswith("arrivals.csv, line 5: its time is")]
    again = mark_and_report(room, now=NOW + HOUR)
    assert not [line for line in again.lines if "clock" in line]


def test_a_hand_in_from_the_future_is_told_and_counts_when_it_came(room):  # noqa: F811
    settings = room.folder / "class.toml"
    settings.write_text(
        settings.read_text("utf-8") + "\n[due]\n02-taper = 2026-11-30\n", encoding="utf-8"
    )
    hand_in(room.inbox, 7, made="2027-03-01T12:00:00Z", page="02-taper")
    done = mark_and_report(room, now=NOW)
    [said] = [line for line in done.lines if "one of the two clocks is wrong" in line]
    assert said.startswith(
        "Look: Zoë Ferrant (7), 02-taper: its page says it was made at 2027-03-0"
    )
    record = read_record(folder=room.folder, number=7, exercise="02-taper")
    assert open_class(room.folder).dates.lateness(record).days == 0


def test_nobody_is_late_because_the_clock_of_the_class_was_ahead_once():
    late = how_late(
        made=utc_of("2026-11-24T12:00:00Z"),
        came=utc_of("2026-11-27T12:00:00Z"),
        emptied=utc_of("2036-11-26T12:00:00Z"),
        due=utc_of("2026-11-25T12:00:00Z"),
        policy=LatePolicy(percent_per_day=10),
    )
    assert (late.days, late.handed_in) == (0, utc_of("2026-11-24T12:00:00Z"))


@pytest.mark.parametrize("moved", [-HOUR, HOUR, timedelta(days=-400)])
def test_whether_solutions_were_out_is_told_by_order(room, moved):  # noqa: F811
    """Handed in again after the release is too late, before it in time, whatever the clock says."""
    room.release(now=(NOW + 2 * HOUR).strftime("%Y-%m-%dT%H:%M:%SZ"))
    hand_in(room.inbox, 7, made="2026-11-25T12:30:00Z")
    mark_and_report(room, now=NOW + 2 * HOUR + moved)
    assert marks(room)[KEY] == "0"
    hand_in(room.inbox, 1, page="02-taper")
    mark_and_report(room, now=NOW + 2 * HOUR + moved)
    assert read_record(folder=room.folder, number=1, exercise="02-taper") is not None
    assert attempt_rule(room).released_after["01-measure"] == 1


def test_a_difference_settled_with_the_clock_set_back_is_settled(room):  # noqa: F811
    for number in (1, 7):
        enter(room, WHY, 2.0, number=number)
    mark_and_report(room, now=NOW)
    _, path, _ = write_sample(room, 1.0)
    lines = path.read_text("utf-8-sig").splitlines()
    path.write_text(
        "\n".join(one[:-1] + "1," if n else one for n, one in enumerate(lines)), "utf-8"
    )
    assert enter_second_marks(room, path, by="Kim Dole", now=NOW + HOUR)
    assert {one for one, _ in open_differences(room)} == {1, 7}
    moderate_mark(
        room, number=7, entry=WHY, mark=1, reason="Read again", by="Pat Holt", now=NOW - HOUR
    )
    assert {one for one, _ in open_differences(room)} == {1}


def test_an_act_settles_only_the_second_mark_that_it_has_seen():
    second = SecondMark(
        noted="2026-11-25T13:00:00Z", number=7, exercise="01-measure", entry=WHY, hand_in="x",
        mark=1.0, by="Kim Dole", comment="",
    )  # fmt: skip

    class Record:
        moderated: tuple[Moderation, ...] = ()

    def act(at: str, seen: str | None) -> Moderation:
        return Moderation(
            entry=WHY, mark=1.0, reason="r", by="Pat Holt", at=at, instead_of=2.0, screen=2.0,
            hand_in="x", question="v", second=seen,
        )  # fmt: skip

    for at, seen, settles in (
        ("2026-11-25T14:00:00Z", "", False),  # before it, by a clock that was ahead
        ("2026-11-25T12:00:00Z", second.what, True),
        ("2026-11-25T14:00:00Z", None, True),  # a class of before
        ("2026-11-25T12:00:00Z", None, False),
    ):
        Record.moderated = (act(at, seen),)
        assert (settled_by(Record(), second) is not None) is settles, (at, seen)  # type: ignore[arg-type]


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone of a process can be set on POSIX")
def test_days_on_which_the_clock_changes(monkeypatch):
    monkeypatch.setenv("TZ", "Europe/Berlin")
    time.tzset()
    try:
        assert end_of("2026-10-24").astimezone(UTC) == datetime(
            2026, 10, 24, 21, 59, 59, tzinfo=UTC
        )
        assert end_of("2026-10-25").astimezone(UTC) == datetime(
            2026, 10, 25, 22, 59, 59, tzinfo=UTC
        )
        twice = [local_text(utc_of(f"2026-10-25T0{hour}:30:00Z")) for hour in (0, 1)]
        assert twice == ["2026-10-25 02:30 UTC+02:00", "2026-10-25 02:30 UTC+01:00"]
    finally:
        monkeypatch.undo()
        time.tzset()
