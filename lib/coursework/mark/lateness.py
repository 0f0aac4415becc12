"""When a hand-in counts as handed in, whether that is late, and what it costs.

A page says when it was made, by the apprentice's clock; the register says when
it came, and when the inbox was last emptied before, by the clock of the class.
A hand-in counts as handed in when it was made, but never later than it came.
It was not in the inbox when that was last emptied, so it does not count as
earlier than that, less a stated number of days that it may have been on its
way. A clock that is wrong, or was turned back, gains that much at most; and
nobody is late because the inbox lay unopened, or the clock of the class was
ahead once and put right.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from taperkey.counts import counted

__all__ = ["LatePolicy", "Lateness", "handed_in_at", "how_late", "local_text", "utc_of"]

DAY_S = 86_400.0
FIRST_YEAR = 2020  # before the course: no hand-in was made earlier


@dataclass(frozen=True, kw_only=True)
class LatePolicy:
    """What lateness costs.

    Attributes
    ----------
    percent_per_day : float
        Of the marks earned, for each day begun; 0 where lateness is only noted [%].
    floor_percent : float
        Share of the marks earned that is never gone below [%].
    days_on_the_way : float
        How long a hand-in may have been on its way [days].
    """

    percent_per_day: float = 0.0
    floor_percent: float = 0.0
    days_on_the_way: float = 7.0


@dataclass(frozen=True, kw_only=True)
class Lateness:
    """How one hand-in stands to its due date.

    Attributes
    ----------
    handed_in : datetime
        When it counts as handed in, UTC.
    due : datetime or None
        Its due date, UTC; None where there is none.
    days : int
        Days begun since then; 0 where it is in time.
    keeps : float
        Share of the marks earned that it keeps, 0 to 1.
    """

    handed_in: datetime
    due: datetime | None = None
    days: int = 0
    keeps: float = 1.0

    @property
    def words(self) -> str:
        """How late, in words; empty where it is in time."""
        if not self.days:
            return ""
        return f"{counted(self.days, 'day')} late"


def utc_of(text: str) -> datetime:
    """Read a time such as "2026-11-25T12:00:00Z"."""
    return datetime.fromisoformat(text.replace("Z", "+00:00")).astimezone(UTC)


def local_text(moment: datetime) -> str:
    """Write a time on the clock of this machine, such as "2026-11-25 14:00 UTC+02:00".

    A time before there was any hand-in is what a clock said that was wrong.

    Examples
    --------
    >>> local_text(utc_of("0001-01-01T00:00:00Z"))
    '0001-01-01, by a clock that was wrong'
    """
    if moment.year < FIRST_YEAR:
        return f"{moment.date().isoformat()}, by a clock that was wrong"
    local = moment.astimezone()
    offset = local.strftime("%z")
    zone = "UTC" if offset == "+0000" else f"UTC{offset[:3]}:{offset[3:5]}"
    return f"{local:%Y-%m-%d %H:%M} {zone}"


def handed_in_at(
    *,
    made: datetime,
    came: datetime | None,
    emptied: datetime | None,
    days_on_the_way: float,
) -> datetime:
    """Return when a hand-in counts as handed in.

    Parameters
    ----------
    made : datetime
        When its page says it was made.
    came : datetime or None
        When it was taken in; None where that is not known.
    emptied : datetime or None
        When the inbox was last emptied before; None for never.
    days_on_the_way : float
        How long it may have been on its way to the inbox [days].

    Examples
    --------
    >>> monday, friday = utc_of("2026-11-23T08:00:00Z"), utc_of("2026-11-27T08:00:00Z")
    >>> handed_in_at(made=monday, came=friday, emptied=None, days_on_the_way=1).day
    23
    >>> thursday = utc_of("2026-11-26T08:00:00Z")
    >>> handed_in_at(made=monday, came=friday, emptied=thursday, days_on_the_way=1).day
    25
    >>> handed_in_at(made=friday, came=monday, emptied=None, days_on_the_way=7).day
    23
    """
    moment = made
    if emptied is not None and came is not None and emptied > came:
        emptied = None  # the clock of the class was set back since: it says nothing of this one
    if emptied is not None:
        moment = max(moment, emptied - timedelta(days=days_on_the_way))
    return moment if came is None else min(moment, came)


def how_late(
    *,
    made: datetime,
    came: datetime | None,
    emptied: datetime | None = None,
    due: datetime | None,
    policy: LatePolicy,
) -> Lateness:
    """Return how a hand-in stands to its due date.

    keeps = max(floor, 1 − percent × days), with every day begun counted.

    Parameters
    ----------
    made : datetime
        When its page says it was made.
    came : datetime or None
        When it was taken in; None where that is not known.
    emptied : datetime or None
        When the inbox was last emptied before; None for never.
    due : datetime or None
        The due date; None for none.
    policy : LatePolicy
        What lateness costs.

    Examples
    --------
    >>> due = utc_of("2026-11-25T12:00:00Z")
    >>> one = how_late(made=utc_of("2026-11-26T13:00:00Z"), came=None, due=due,
    ...                policy=LatePolicy(percent_per_day=10, floor_percent=50))
    >>> one.days, one.keeps
    (2, 0.8)
    """
    moment = handed_in_at(
        made=made, came=came, emptied=emptied, days_on_the_way=policy.days_on_the_way
    )
    if due is None or moment <= due:
        return Lateness(handed_in=moment, due=due)
    days = math.ceil((moment - due).total_seconds() / DAY_S)
    percent = max(policy.floor_percent, 100.0 - policy.percent_per_day * days)
    keeps = percent / 100 if policy.percent_per_day else 1.0
    return Lateness(handed_in=moment, due=due, days=days, keeps=keeps)
