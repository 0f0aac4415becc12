"""Spacing of practice: what went wrong comes first, what sits waits, every reason is in words."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from coursework.page.spacing import (
    DAYS,
    Standing,
    after_answer,
    due_on,
    next_up,
)

TODAY = date(2026, 11, 25)


def new(key: str, skill: str = "a skill") -> Standing:
    return Standing(key=key, skill=skill)


def answered(key: str, *rights: bool, skill: str = "", ago: int = 0, slip: str = "") -> Standing:
    standing = new(key, skill or key)
    for right in rights:
        standing = after_answer(standing, right=right, today=TODAY - timedelta(days=ago), slip=slip)
    return standing


def test_right_moves_on_and_wrong_goes_back_to_the_first_box():
    standing = new("a")
    boxes = []
    for right in (True, True, True, True, True, False, True):
        standing = after_answer(standing, right=right, today=TODAY)
        boxes.append(standing.box)
    assert boxes == [2, 3, 4, 5, 5, 1, 2]
    assert (standing.tried, standing.right) == (7, 6)


def test_each_box_waits_longer():
    assert list(DAYS) == sorted(set(DAYS))
    standing = new("a")
    waits = []
    for _ in range(4):
        standing = after_answer(standing, right=True, today=TODAY)
        waits.append((due_on(standing) - TODAY).days)
    assert waits == list(DAYS[1:])
    wrong = after_answer(standing, right=False, today=TODAY)
    assert due_on(wrong) == TODAY + timedelta(days=1)
    assert due_on(new("a")) is None


def test_wrong_new_and_due_come_in_turn_before_what_sits():
    row = [
        answered("sits", True, True, ago=1),
        new("new"),
        answered("due", True, ago=2),
        answered("wrong", True, False, slip="× 12 left out", ago=1),
    ]
    picks = next_up(standings=row, today=TODAY, count=4)
    assert [(one.key, one.why) for one in picks] == [
        ("wrong", "Not right last time: × 12 left out."),
        ("new", "Not practiced yet."),
        ("due", "Right once, last 2 days ago. Does it still sit?"),
        ("sits", "Right 2 times in a row. It sits; due again in 4 days."),
    ]


def test_a_heap_of_wrong_ones_leaves_room_for_the_others():
    row = [answered(f"wrong {turn}", False, ago=1) for turn in range(20)]
    row += [answered(f"due {turn}", True, ago=30) for turn in range(20)]
    row += [new(f"new {turn}") for turn in range(20)]
    picks = [one.key.split()[0] for one in next_up(standings=row, today=TODAY, count=9)]
    assert picks == ["wrong", "new", "due", "new"] * 2 + ["wrong"]


def test_what_went_wrong_today_waits_until_tomorrow():
    row = [answered("wrong", False), answered("due", True, ago=5), new("new")]
    picks = [one.key for one in next_up(standings=row, today=TODAY)]
    assert picks == ["new", "due", "wrong"]
    later = TODAY + timedelta(days=1)
    assert next_up(standings=row, today=later)[0].key == "wrong"


def test_what_was_just_asked_comes_only_where_nothing_else_is_left():
    row = [new(name, name) for name in "abcde"]
    asked = [one.key for one in next_up(standings=row, today=TODAY)]
    again = next_up(standings=row, today=TODAY, just_asked=frozenset(asked))
    assert asked == ["a", "b", "c"]
    assert [one.key for one in again] == ["d", "e", "a"]


def test_what_has_faded_longest_comes_first_whatever_its_box():
    row = [answered("once", True, ago=3), answered("four times", *[True] * 4, ago=60)]
    assert [one.key for one in next_up(standings=row, today=TODAY)] == ["four times", "once"]


def test_a_round_is_mixed_by_skill():
    row = [new("a1", "a"), new("a2", "a"), new("a3", "a"), new("b1", "b"), new("b2", "b")]
    picks = next_up(standings=row, today=TODAY, count=5)
    assert [one.key for one in picks] == ["a1", "b1", "a2", "b2", "a3"]


def test_a_long_wait_goes_first_within_its_box():
    row = [answered("short", True, ago=2), answered("long", True, ago=20)]
    assert [one.key for one in next_up(standings=row, today=TODAY)] == ["long", "short"]


def test_every_weak_skill_is_met_within_a_fortnight_of_rounds():
    """Somebody who always gets two of eight wrong meets those two in every round."""
    row = {name: new(name, name) for name in "abcdefgh"}
    met = dict.fromkeys(row, 0)
    for day in range(14):
        today = TODAY + timedelta(days=day)
        for pick in next_up(standings=row.values(), today=today, count=4):
            met[pick.key] += 1
            row[pick.key] = after_answer(row[pick.key], right=pick.key not in "ad", today=today)
    assert min(met["a"], met["d"]) >= 13
    assert all(1 <= met[name] <= 6 for name in "bcefgh")


def test_what_is_kept_comes_back():
    standing = answered("k", True, False, skill="s", slip="hub for shaft")
    assert Standing.from_note(key="k", skill="s", note=standing.note()) == standing


@pytest.mark.parametrize(
    "note", [None, 3, [], {}, {"tried": "x"}, {"tried": True}, {"tried": 1, "right": 2}]
)
def test_a_damaged_note_counts_as_not_tried(note):
    assert Standing.from_note(key="k", skill="s", note=note) == new("k", "s")


def test_a_note_from_before_the_boxes_is_taken_over():
    note = {"number": 5, "right": 1, "tried": 2}
    standing = Standing.from_note(key="k", skill="s", note=note)
    assert (standing.box, standing.tried, standing.right) == (2, 2, 1)
    [pick] = next_up(standings=[standing], today=TODAY)
    assert pick.why == "Right once. Does it still sit?"
