"""What to practice next: every other question is new; between come one wrong and one faded in turn.

There are five boxes, like flash cards in a tray (common practice): each practice
question lies in one. Right on fresh numbers moves it one box on, wrong puts it
back into the first. The further the box, the longer until it is due again. The
days of each box are this course's own choice.

Turn and days were measured on simulated apprentices: `tests/spacing.py`. With all that went wrong
first, as it was once, nobody got to the rest: worse than going through the course in order.

Nothing here reads a clock or a file: today is an argument.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

__all__ = [
    "DAYS",
    "Pick",
    "Standing",
    "after_answer",
    "believed",
    "due_on",
    "next_up",
    "right_share",
]

#: Days until a question in box 1, 2, … is due again.
DAYS = (1, 2, 5, 12, 28)
#: So many usual answers the last run is weighed against.
_AS_MANY = 3
_WRONG, _FADED, _NEW, _SITS = range(4)
#: Every other one is new, so that the wrong and the faded do not keep anybody from the rest.
_TURNS = (_WRONG, _NEW, _FADED, _NEW)


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
    (2, '2026-11-27')
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


def right_share(standings: Iterable[Standing]) -> float:
    """Return the share of first answers that were right, over all questions; a half before any.

    Laplace's rule of succession: one right and one wrong are put on top.
    """
    right = tried = 0
    for one in standings:
        right, tried = right + one.right, tried + one.tried
    return (right + 1) / (tried + 2)


def believed(standing: Standing, *, share: float) -> float:
    """Return the chance that the next first answer is right, as the course believes.

    As often as all of one's first answers are right, more for each right one in a row here, less
    after a wrong one: the last run counts like so many answers beside `_AS_MANY` of the usual kind.

    Parameters
    ----------
    standing : Standing
        The question.
    share : float
        Of all first answers, from `right_share`.

    Examples
    --------
    >>> once = after_answer(Standing(key="k", skill="s"), right=True, today=date(2026, 11, 25))
    >>> believed(once, share=0.5), believed(Standing(key="k", skill="s"), share=0.5)
    (0.625, 0.5)
    """
    if standing.box == 0:
        return share
    run = standing.box - 1
    return (run + _AS_MANY * share) / (max(run, 1) + _AS_MANY)


def next_up(
    *,
    standings: Iterable[Standing],
    today: date,
    count: int = 3,
    just_asked: frozenset[str] = frozenset(),
) -> tuple[Pick, ...]:
    """Return what to practice next, with the reason in words.

    In turn one that was wrong last time, a new one, one that has faded, a new one; then what is
    not due yet. Within each, the longest wait comes first. A skill comes once before any comes
    twice, so that a round is mixed. What went wrong today is due tomorrow.

    Parameters
    ----------
    standings : iterable of Standing
        In the order of the course.
    today : date
        The day of the round.
    count : int
        How many to pick.
    just_asked : frozenset of str
        What the last round asked; it comes only where nothing else is left.
    """
    groups: tuple[list[Standing], ...] = ([], [], [], [])
    last: tuple[list[Standing], ...] = ([], [], [], [])
    ranked = [(*_rank(one, today), turn, one) for turn, one in enumerate(standings)]
    for group, *_, one in sorted(ranked, key=lambda row: row[:-1]):  # the course's order is last
        (last if one.key in just_asked else groups)[group].append(one)
    picked = _in_turn(groups, count)
    picked += _in_turn(last, count - len(picked))
    return tuple(Pick(key=one.key, why=_why(one, today)) for one in picked)


def _in_turn(groups: Sequence[Sequence[Standing]], count: int) -> list[Standing]:
    """Take one of each group in turn; what sits comes when the others are out."""
    left = [_mixed(group)[:count] for group in groups]
    taken: list[Standing] = []
    while any(left[:_SITS]):
        for turn in _TURNS:
            if left[turn]:
                taken.append(left[turn].pop(0))
    return [*taken, *left[_SITS]][:count]


def _rank(standing: Standing, today: date) -> tuple[int, int, int]:
    """Return group, box and day: smaller comes first."""
    day = standing.last.toordinal() if standing.last else 0
    if standing.box == 0:
        return _NEW, 0, 0
    due = due_on(standing)
    if due is not None and due > today:
        return _SITS, standing.box, day
    return (_WRONG if standing.box == 1 else _FADED), day, standing.box


def _mixed(waiting: Sequence[Standing]) -> list[Standing]:
    """Put a second question of the same skill behind the other skills of its group."""
    mixed: list[Standing] = []
    left = list(waiting)
    while left:
        seen: set[str] = set()
        later: list[Standing] = []
        for one in left:
            (later if one.skill in seen else mixed).append(one)
            seen.add(one.skill)
        left = later
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
