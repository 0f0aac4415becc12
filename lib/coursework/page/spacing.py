"""What to practice next: a twin that went wrong comes back soon, one that sits comes back late.

There are five boxes, like flash cards in a tray (common practice): each practice
question lies in one. Right on fresh numbers moves it one box on, wrong puts it
back into the first. The further the box, the longer until it is due again. The
days of each box are this course's own choice.

Nothing here reads a clock or a file: today is an argument.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

__all__ = ["DAYS", "Pick", "Standing", "after_answer", "due_on", "next_up"]

#: Days until a question in box 1, 2, … is due again.
DAYS = (0, 1, 3, 7, 14)


@dataclass(frozen=True, kw_only=True)
class Standing:
    """How one practice question stands.

    Attributes
    ----------
    key, skill : str
        The question and the skill it counts toward.
    box : int
        0 not tried yet, 1 to 5.
    tried, right : int
        Fresh numbers answered, and how many of them right at the first go.
    last : date or None
        When it was last answered.
    slip : str
        The slip of the last answer, where it was a known one.
    """

    key: str
    skill: str
    box: int = 0
    tried: int = 0
    right: int = 0
    last: date | None = None
    slip: str = ""

    @classmethod
    def from_note(cls, *, key: str, skill: str, note: Any) -> Standing:
        """Read what the entries file kept; what cannot be read counts as not tried."""
        new = cls(key=key, skill=skill)
        if not isinstance(note, Mapping):
            return new
        tried, right, box = (_whole(note.get(name)) for name in ("tried", "right", "box"))
        try:
            last = date.fromisoformat(str(note.get("last")))
        except ValueError:
            last = None
        if tried == 0 or right > tried:
            return new
        if box == 0:  # kept before there were boxes
            box = 2 if right else 1
        return cls(
            key=key,
            skill=skill,
            box=min(box, len(DAYS)),
            tried=tried,
            right=right,
            last=last,
            slip=str(note.get("slip", ""))[:80],
        )

    def note(self) -> dict[str, Any]:
        """Return what the entries file keeps."""
        return {
            "box": self.box,
            "tried": self.tried,
            "right": self.right,
            "last": self.last.isoformat() if self.last else "",
            "slip": self.slip,
        }


@dataclass(frozen=True, kw_only=True)
class Pick:
    """A question to practice, and why now."""

    key: str
    why: str


def _whole(value: Any) -> int:
    return value if isinstance(value, int) and not isinstance(value, bool) and value >= 0 else 0


def after_answer(standing: Standing, *, right: bool, today: date, slip: str = "") -> Standing:
    """Return how the question stands after the first answer on fresh numbers.

    Parameters
    ----------
    standing : Standing
        Before.
    right : bool
        Whether that first answer was right; a second try on the same numbers does not count.
    today : date
        The day of the answer.
    slip : str
        Name of the slip, where it was a known one.

    Examples
    --------
    >>> new = Standing(key="02-per-foot", skill="find a taper")
    >>> once = after_answer(new, right=True, today=date(2026, 11, 25))
    >>> once.box, due_on(once).isoformat()
    (2, '2026-11-26')
    >>> after_answer(once, right=False, today=date(2026, 11, 26)).box
    1
    """
    box = min(max(standing.box, 1) + 1, len(DAYS)) if right else 1
    return replace(
        standing,
        box=box,
        tried=standing.tried + 1,
        right=standing.right + right,
        last=today,
        slip="" if right else slip,
    )


def due_on(standing: Standing) -> date | None:
    """Return the day from which the question is due again, or None if it is due at any time."""
    if standing.box == 0 or standing.last is None:
        return None
    return standing.last + timedelta(days=DAYS[standing.box - 1])


def next_up(*, standings: Iterable[Standing], today: date, count: int = 3) -> tuple[Pick, ...]:
    """Return what to practice next, the weakest first, with the reason in words.

    Wrong last time comes before due again, due again before not tried yet, and
    that before what is not due. Within each, the lower box and the longer wait
    come first. A skill comes once before any comes twice, so that a round is mixed.

    Parameters
    ----------
    standings : iterable of Standing
        In the order of the course.
    today : date
        The day of the round.
    count : int
        How many to pick.
    """
    ordered = sorted(
        enumerate(standings), key=lambda one: (*_rank(one[1], today), one[0])
    )  # the place in the course decides what is left equal
    row = [standing for _, standing in ordered]
    picked = _mixed(row, today)[:count]
    return tuple(Pick(key=one.key, why=_why(one, today)) for one in picked)


def _rank(standing: Standing, today: date) -> tuple[int, int, int]:
    """Return group, box and day: smaller comes first."""
    day = standing.last.toordinal() if standing.last else 0
    if standing.box == 1:
        return 0, 1, day
    if standing.box == 0:
        return 2, 0, 0
    due = due_on(standing)
    return (1 if due is None or due <= today else 3), standing.box, day


def _mixed(row: Sequence[Standing], today: date) -> list[Standing]:
    """Put a second question of the same skill behind the other skills of its group."""
    mixed: list[Standing] = []
    for group in range(4):
        waiting = [one for one in row if _rank(one, today)[0] == group]
        while waiting:
            seen: set[str] = set()
            later: list[Standing] = []
            for one in waiting:
                (later if one.skill in seen else mixed).append(one)
                seen.add(one.skill)
            waiting = later
    return mixed


def _why(standing: Standing, today: date) -> str:
    if standing.box == 0:
        return "Not practiced yet."
    if standing.box == 1:
        named = f": {standing.slip}" if standing.slip else ""
        return f"Not right last time{named}."
    row = standing.box - 1
    most = " or more" if standing.box == len(DAYS) else ""
    times = "once" if row == 1 else f"{row} times in a row{most}"
    due = due_on(standing)
    if standing.last is None or due is None:
        return f"Right {times}. Does it still sit?"
    ago = (today - standing.last).days
    when = "today" if ago <= 0 else "yesterday" if ago == 1 else f"{ago} days ago"
    if due <= today:
        return f"Right {times}, last {when}. Does it still sit?"
    wait = (due - today).days
    days = "tomorrow" if wait == 1 else f"in {wait} days"
    return f"Right {times}. It sits; due again {days}."
