"""Lateness: by the page's clock within reason, with what it costs."""

from __future__ import annotations

import pytest

from coursework.mark.lateness import (
    LatePolicy,
    handed_in_at,
    how_late,
    utc_of,
)

DUE = "2026-11-25T12:00:00Z"
TENTH = LatePolicy(percent_per_day=10, floor_percent=50)


ON_25, ON_27, LONG_AGO = "2026-11-25T11:00:00Z", "2026-11-27T08:00:00Z", "2026-09-01T11:00:00Z"


@pytest.mark.parametrize(
    ("made", "came", "emptied", "wanted"),
    [
        (ON_25, ON_27, "2026-11-26T08:00:00Z", ON_25),  # on its way
        (LONG_AGO, ON_27, "2026-11-26T08:00:00Z", "2026-11-19T08:00:00Z"),  # 7 days at most
        (LONG_AGO, ON_27, "", LONG_AGO),  # the inbox was never opened before
        ("2027-01-01T00:00:00Z", ON_25, "", ON_25),  # clock ahead
        (ON_25, "", "", ON_25),  # came is not known
        (ON_25, "2026-12-24T08:00:00Z", "2026-11-20T08:00:00Z", ON_25),  # inbox lay unopened
    ],
)
def test_when_it_counts_as_handed_in(made: str, came: str, emptied: str, wanted: str) -> None:
    moment = handed_in_at(
        made=utc_of(made),
        came=utc_of(came) if came else None,
        emptied=utc_of(emptied) if emptied else None,
        days_on_the_way=7,
    )
    assert moment == utc_of(wanted)


@pytest.mark.parametrize(
    ("made", "days", "keeps"),
    [
        ("2026-11-25T12:00:00Z", 0, 1.0),
        ("2026-11-25T12:00:01Z", 1, 0.9),
        ("2026-11-26T12:00:00Z", 1, 0.9),
        ("2026-11-26T12:00:01Z", 2, 0.8),
        ("2026-11-30T12:00:00Z", 5, 0.5),
        ("2026-12-24T12:00:00Z", 29, 0.5),
    ],
)
def test_every_day_begun_costs_down_to_the_floor(made: str, days: int, keeps: float) -> None:
    late = how_late(made=utc_of(made), came=None, due=utc_of(DUE), policy=TENTH)
    assert (late.days, late.keeps) == (days, pytest.approx(keeps))


def test_noted_only_it_costs_nothing() -> None:
    late = how_late(
        made=utc_of("2026-11-28T12:00:00Z"), came=None, due=utc_of(DUE), policy=LatePolicy()
    )
    assert (late.days, late.keeps, late.words) == (3, 1.0, "3 days late")


def test_without_a_due_date_nothing_is_late() -> None:
    late = how_late(made=utc_of(DUE), came=utc_of(DUE), due=None, policy=TENTH)
    assert (late.days, late.keeps, late.words) == (0, 1.0, "")


def test_a_clock_turned_back_gains_the_days_on_the_way_and_no_more() -> None:
    late = how_late(
        made=utc_of("2026-11-25T11:00:00Z"),
        came=utc_of("2026-12-06T12:00:00Z"),
        emptied=utc_of("2026-12-05T12:00:00Z"),
        due=utc_of(DUE),
        policy=TENTH,
    )
    assert late.days == 3  # not in the inbox 10 days after, 7 allowed on the way
