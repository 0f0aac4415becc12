"""Due dates and the late policy, as they stand in ``class.toml``.

All of it is optional. A date means the end of that day, a time without a zone
means the time of the machine that runs the class.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from typing import Any

from coursework.mark.lateness import (
    Lateness,
    LatePolicy,
    how_late,
    utc_of,
)
from coursework.mark.records import MarkRecord

__all__ = ["Dates", "dates_template", "read_dates"]

NOTE = "note"
PERCENT = "percent per day"
_POLICIES = (NOTE, PERCENT)
_LATE = {
    "policy": "“note” or “percent per day”",
    "percent_per_day": "above 0, to 100",
    "floor_percent": "from 0 to 100",
    "days_on_the_way": "from 0 to 60",
}


@dataclass(frozen=True, kw_only=True)
class Dates:
    """When exercises are due, and what lateness costs.

    Attributes
    ----------
    due : mapping of str to datetime
        Due date by exercise, UTC; exercises without one are left out.
    policy : LatePolicy
        What lateness costs.
    extended : mapping
        A later due date of one person, UTC, by number and exercise.
    """

    due: Mapping[str, datetime] = field(default_factory=dict)
    policy: LatePolicy = field(default_factory=LatePolicy)
    extended: Mapping[tuple[int, str], datetime] = field(default_factory=dict)

    def lateness(self, record: MarkRecord) -> Lateness:
        """Return how a marked hand-in stands to its due date."""
        return how_late(
            made=utc_of(record.made),
            came=utc_of(record.came) if record.came else None,
            emptied=utc_of(record.emptied) if record.emptied else None,
            due=self.extended.get((record.number, record.exercise), self.due.get(record.exercise)),
            policy=self.policy,
        )

    @property
    def rule(self) -> str:
        """The late policy in one sentence; empty where nothing is due."""
        if not self.due:
            return ""
        if not self.policy.percent_per_day:
            return "Lateness is noted; it costs no marks."
        return (
            f"Each day begun after the due date costs {self.policy.percent_per_day:g} % of the "
            f"marks earned, down to {self.policy.floor_percent:g} % of them. Skills are judged "
            "without it."
        )


def dates_template(exercises: Sequence[str]) -> str:
    """Return the lines of a new ``class.toml`` about dates, all of them commented out."""
    lines = [
        "",
        "# When exercises are due: take away the # in front of a line and put your date in.",
        "# A date means the end of that day. With a time: 2026-11-30T16:00:00 on this machine's",
        "# clock, or 2026-11-30T16:00:00+01:00.",
        "#",
        "# [due]",
        *(f'# "{name}" = 2026-11-30' for name in exercises),
        "",
        "# What lateness costs. Without these lines it is noted and costs nothing.",
        "#",
        "# [late]",
        '# policy = "note"               # shown, no marks off',
        '# policy = "percent per day"    # marks off for each day begun',
        "# percent_per_day = 10          # of the marks earned",
        "# floor_percent = 50            # never below this share of the marks earned",
        "# days_on_the_way = 7           # how long a hand-in may be on its way to the inbox",
    ]
    return "\n".join(lines) + "\n"


def read_dates(
    settings: Mapping[str, Any], *, exercises: Sequence[str]
) -> tuple[Dates, tuple[str, ...]]:
    """Read the dates from the settings of a class.

    Parameters
    ----------
    settings : mapping
        ``class.toml``, read.
    exercises : sequence of str
        The exercises there are.

    Returns
    -------
    Dates
        What can be used.
    tuple of str
        One sentence for each thing that cannot.
    """
    problems: list[str] = []
    due: dict[str, datetime] = {}
    for name, value in _table(settings, "due", problems).items():
        if name not in exercises:
            problems.append(
                f"[due] names “{name[:40]}”; it must be one of: {', '.join(exercises)}."
            )
        elif isinstance(value, (date, datetime)):
            due[name] = _moment(value)
        else:
            problems.append(
                f"[due] “{name}” is {_shown(value)}; it must be a date such as 2026-11-30, "
                "without quotation marks."
            )
    return Dates(due=due, policy=_policy(_table(settings, "late", problems), problems)), tuple(
        problems
    )


def _table(settings: Mapping[str, Any], name: str, problems: list[str]) -> Mapping[str, Any]:
    table = settings.get(name, {})
    if isinstance(table, dict):
        return table
    problems.append(
        f"{name} is {_shown(table)}; it must be a heading [{name}] with lines under it."
    )
    return {}


def _moment(value: date) -> datetime:
    if isinstance(value, datetime):
        return value.astimezone(UTC)
    return datetime.combine(value, time(23, 59, 59)).astimezone(UTC)


def _shown(value: object) -> str:
    text = f"“{value}”" if isinstance(value, str) else str(value)
    return text if len(text) <= 40 else text[:40] + "…"


def _policy(late: Mapping[str, Any], problems: list[str]) -> LatePolicy:
    for name in late:
        if name not in _LATE:
            problems.append(f"[late] has “{name[:40]}”; it must be one of: {', '.join(_LATE)}.")
    kind = late.get("policy", PERCENT if "percent_per_day" in late else NOTE)
    if kind not in _POLICIES:
        problems.append(f"[late] policy is {_shown(kind)}; it must be {_LATE['policy']}.")
    percent = _number(late, "percent_per_day", 0.0, 100.0, problems)
    floor = _number(late, "floor_percent", 0.0, 100.0, problems)
    way = _number(late, "days_on_the_way", 7.0, 60.0, problems)
    if kind == PERCENT and "percent_per_day" not in late:
        problems.append(
            f"[late] policy is “{PERCENT}”, but there is no percent_per_day; it must be "
            f"{_LATE['percent_per_day']}."
        )
    elif kind == PERCENT and late["percent_per_day"] == 0:
        problems.append(f"[late] percent_per_day is 0; it must be {_LATE['percent_per_day']}.")
    return LatePolicy(
        percent_per_day=percent if kind == PERCENT else 0.0,
        floor_percent=floor,
        days_on_the_way=way,
    )


def _number(
    late: Mapping[str, Any], name: str, default: float, high: float, problems: list[str]
) -> float:
    value = late.get(name, default)
    numeric = isinstance(value, (int, float)) and not isinstance(value, bool)
    if numeric and math.isfinite(value) and 0 <= value <= high:
        return float(value)
    problems.append(f"[late] {name} is {_shown(value)}; it must be {_LATE[name]}.")
    return default
