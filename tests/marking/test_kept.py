"""Which hand-in counts: arrival between runs, the page's own clock within one."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from coursework.mark.kept import (
    Arrival,
    arrivals_register,
    close_run,
    newest_kept,
    read_arrivals,
)
from coursework.page.handin import read_hand_in

from .conftest import CLASS, ROSTER, ClassRoom


def arrives(room: ClassRoom, kept: Path, *, run: int, came: str) -> None:
    hand_in = read_hand_in(kept.read_bytes())
    arrival = Arrival(
        run=run,
        came=came,
        number=hand_in.number,
        exercise=hand_in.page,
        made=hand_in.made,
        sha256=hashlib.sha256(kept.read_bytes()).hexdigest(),
        kept_as=kept.relative_to(room.folder).as_posix(),
        source=kept.name,
    )
    arrivals_register(room.folder).append([arrival.cells()])


def counts(room: ClassRoom) -> list[str]:
    found, _ = newest_kept(folder=room.folder, class_code=CLASS, roster=ROSTER)
    return [one.hand_in.made for one in found]


MONDAY, TUESDAY = "2026-11-23T08:00:00Z", "2026-11-24T08:00:00Z"


def test_within_one_run_the_later_made_counts(room: ClassRoom) -> None:
    for made in (TUESDAY, MONDAY):
        arrives(room, room.hand_in(7, made=made), run=1, came="2026-11-25T08:00:00Z")
    assert counts(room) == [TUESDAY]


@pytest.mark.parametrize("clock", ["2026-11-25T08:00:00Z", "2026-11-20T08:00:00Z"])
def test_between_runs_the_later_run_counts_whatever_a_clock_says(
    room: ClassRoom, clock: str
) -> None:
    arrives(room, room.hand_in(7, made=TUESDAY), run=1, came="2026-11-25T08:00:00Z")
    arrives(room, room.hand_in(7, made=MONDAY), run=2, came=clock)
    assert counts(room) == [MONDAY]


def test_a_file_on_no_line_counts_before_all_runs(room: ClassRoom) -> None:
    room.hand_in(7, made="2026-11-30T08:00:00Z")
    arrives(room, room.hand_in(7, made=MONDAY), run=1, came="2026-11-25T08:00:00Z")
    assert counts(room) == [MONDAY]


def test_a_file_that_comes_again_stands_where_it_first_came(room: ClassRoom) -> None:
    first = room.hand_in(7, made=MONDAY)
    arrives(room, first, run=1, came="2026-11-24T07:00:00Z")
    arrives(room, room.hand_in(7, made=TUESDAY), run=2, came="2026-11-25T08:00:00Z")
    arrives(room, first, run=3, came="2026-11-26T08:00:00Z")
    assert counts(room) == [TUESDAY]


def test_a_damaged_file_of_a_later_run_is_not_passed_over(room: ClassRoom) -> None:
    arrives(room, room.hand_in(7, made=TUESDAY), run=1, came="2026-11-25T08:00:00Z")
    later = room.hand_in(7, made=MONDAY)
    arrives(room, later, run=2, came="2026-11-26T08:00:00Z")
    later.write_bytes(b"{")
    assert counts(room) == []


def test_the_record_says_when_it_came_and_when_the_inbox_was_emptied_before(
    room: ClassRoom,
) -> None:
    first, second = "2026-11-25T08:00:00Z", "2026-11-26T08:00:00Z"
    arrives(room, room.hand_in(7, made=MONDAY), run=1, came=first)
    (record,) = room.mark().marked
    assert (record.made, record.came, record.emptied) == (MONDAY, first, "")
    arrives(room, room.hand_in(8, made=MONDAY), run=2, came=second)
    (record,) = room.mark().marked
    assert (record.came, record.emptied) == (second, "")  # run 1 was cut off: it did not close
    close_run(folder=room.folder, run=2, came=second)
    close_run(folder=room.folder, run=3, came="2026-11-27T08:00:00Z")  # nothing came: no line
    arrives(room, room.hand_in(9, made=MONDAY), run=4, came="2026-11-28T08:00:00Z")
    (record,) = room.mark().marked
    assert (record.came, record.emptied) == ("2026-11-28T08:00:00Z", second)


def test_a_line_with_no_number_is_passed_over(room: ClassRoom) -> None:
    arrivals_register(room.folder).append([("x", "", "y", "", "", "", "", "")])
    assert read_arrivals(room.folder) == []
