"""How a class stands: skills, questions and slips, counted from the marks.

Everything here is a pure function of outcomes, one for each apprentice and
question handed in. How hard a question is and how well it tells apprentices
apart are the item difficulty and the item–rest correlation of classical test
theory (Crocker & Algina, Introduction to Classical and Modern Test Theory,
1986, chapter on item analysis; from memory).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from coursework.course import course
from coursework.question import Page

__all__ = [
    "ItemFigures",
    "Outcome",
    "SkillStanding",
    "SlipCount",
    "common_slips",
    "item_figures",
    "item_rest_correlation",
    "page_totals",
    "pass_share_text",
    "skill_standing",
    "skills_of",
]

FEWEST_FOR_CORRELATION = 5  # hand-ins; below it the figure is noise

Standing = Literal["competent", "not yet", "waiting", "not handed in"]


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """One question of one apprentice.

    Attributes
    ----------
    number : int
        The apprentice.
    page, key : str
        Exercise and question.
    state : str
        As in ``Verdict``; "marked" for one that an assessor marked.
    mark : float or None
        Marks given; None while it waits for the assessor.
    out_of : float
        Marks possible.
    slip, reason : str
        The slip's name and the sentence that goes with it; empty for none.
    critical : bool
        True where a safety-critical answer is not right.
    """

    number: int
    page: str
    key: str
    state: str
    mark: float | None
    out_of: float
    slip: str = ""
    reason: str = ""
    critical: bool = False


@dataclass(frozen=True)
class SkillStanding:
    """How one apprentice stands in one skill."""

    state: Standing
    mark: float = 0.0
    out_of: float = 0.0
    waiting: int = 0
    critical: bool = False
    unsigned: tuple[str, ...] = ()  # practical tasks without a sign-off
    failed: tuple[str, ...] = ()  # practical tasks with something not passed that must be
    cards: int = 0  # cards on which the safety-critical answers are right
    cards_wanted: int = 0  # and how many there must be; 0 where the skill has none
    instead: tuple[str, ...] = ()  # practical tasks that count as such a card, passed unprompted


@dataclass(frozen=True)
class ItemFigures:
    """How one question went; figures are None where there is nothing to say."""

    key: str
    handed_in: int
    states: Mapping[str, int]
    difficulty: float | None
    discrimination: float | None


@dataclass(frozen=True)
class SlipCount:
    """One slip, at which questions it was made, and by whom."""

    slip: str
    reasons: Mapping[str, str]  # by question key
    numbers: tuple[int, ...]
    times: int


def pass_share_text() -> str:
    """Return the share of the marks from which on an apprentice is competent, as reports say it."""
    return f"{course().pass_share * 100:.0f} %"


def skills_of(pages: Iterable[Page]) -> dict[str, tuple[str, ...]]:
    """Return the skills in the order they are met, each with its questions' keys."""
    skills: dict[str, tuple[str, ...]] = {}
    for page in pages:
        for question in page.questions:
            skills[question.skill] = (*skills.get(question.skill, ()), question.key)
    return skills


def skill_standing(
    outcomes: Sequence[Outcome],
    *,
    unsigned: Sequence[str] = (),
    failed: Sequence[str] = (),
    cards: int = 0,
    cards_wanted: int = 0,
    instead: Sequence[str] = (),
) -> SkillStanding:
    """Judge one skill of one apprentice from the questions handed in for it.

    Competent at the course's share of the marks, no safety-critical answer wrong, every
    practical task signed off and everything passed there that must be. While an assessor's mark
    is out, the skill waits, unless it could no longer be reached.

    Parameters
    ----------
    outcomes : sequence of Outcome
        What was handed in.
    unsigned, failed : sequence of str
        Practical tasks of the skill without a sign-off, and with one that was not passed.
    cards, cards_wanted : int
        Different cards on which the safety-critical answers are right, and how many must be.
    instead : sequence of str
        Practical tasks that count as such a card when they are passed unprompted.

    Examples
    --------
    >>> def outcome(mark, critical=False):
    ...     return Outcome(number=1, page="p", key="k", state="right", mark=mark, out_of=2.0,
    ...                    critical=critical)
    >>> skill_standing([outcome(2.0), outcome(1.0)]).state
    'competent'
    >>> skill_standing([outcome(2.0), outcome(2.0, critical=True)]).state
    'not yet'
    >>> skill_standing([outcome(2.0), outcome(None)]).state
    'waiting'
    >>> skill_standing([outcome(2.0)], failed=["01-sign-off"]).state
    'not yet'
    >>> skill_standing([], unsigned=["01-sign-off"]).state
    'not handed in'
    """
    if not outcomes and not failed:
        return SkillStanding("not handed in", unsigned=tuple(unsigned), instead=tuple(instead))
    marked = [one for one in outcomes if one.mark is not None]
    out = [one for one in outcomes if one.mark is None]
    mark = sum(one.mark or 0.0 for one in marked)
    out_of = sum(one.out_of for one in outcomes)
    still = sum(one.out_of for one in out)
    critical = any(one.critical for one in outcomes)
    needed = course().pass_share * out_of * (1 - 1e-9)
    state: Standing = "competent"
    if critical or unsigned or failed or cards < cards_wanted or mark + still < needed:
        state = "not yet"
    elif out:
        state = "waiting"
    return SkillStanding(
        state,
        mark,
        out_of - still,
        len(out),
        critical,
        tuple(unsigned),
        tuple(failed),
        cards,
        cards_wanted,
        tuple(instead),
    )


def page_totals(outcomes: Iterable[Outcome]) -> dict[tuple[int, str], tuple[float, float, int]]:
    """Return marks given, marks possible so far and answers waiting, by apprentice and page."""
    totals: dict[tuple[int, str], tuple[float, float, int]] = {}
    for one in outcomes:
        mark, out_of, waiting = totals.get((one.number, one.page), (0.0, 0.0, 0))
        if one.mark is None:
            totals[one.number, one.page] = (mark, out_of, waiting + 1)
        else:
            totals[one.number, one.page] = (mark + one.mark, out_of + one.out_of, waiting)
    return totals


def item_rest_correlation(items: Sequence[float], rests: Sequence[float]) -> float | None:
    """Return Pearson's correlation between an item's marks and the rest of the page's.

    r = Σ(x − x̄)(y − ȳ) / √(Σ(x − x̄)² Σ(y − ȳ)²), with the item itself left out of y,
    so that it does not correlate with itself (the corrected item–total correlation).

    Parameters
    ----------
    items : sequence of float
        Marks of the question, one an apprentice.
    rests : sequence of float
        Marks of the other questions, same order.

    Returns
    -------
    float or None
        From -1 to 1; None for fewer than 5 apprentices or where all did the same.

    Examples
    --------
    >>> round(item_rest_correlation([0, 0, 1, 1, 1], [1, 2, 3, 4, 5]), 4)
    0.866
    >>> item_rest_correlation([1, 1, 1, 1, 1], [1, 2, 3, 4, 5]) is None
    True
    """
    count = len(items)
    if count < FEWEST_FOR_CORRELATION:
        return None
    mean, rest_mean = sum(items) / count, sum(rests) / count
    spread = sum((one - mean) ** 2 for one in items)
    rest_spread = sum((one - rest_mean) ** 2 for one in rests)
    if spread < 1e-12 or rest_spread < 1e-12:
        return None
    together = sum((x - mean) * (y - rest_mean) for x, y in zip(items, rests, strict=True))
    return together / math.sqrt(spread * rest_spread)


def item_figures(page: Page, outcomes: Sequence[Outcome]) -> list[ItemFigures]:
    """Return how each question of a page went.

    Difficulty is the mean mark over the marks possible: 1 is easiest.
    The rest of a question is the marks of the other questions that need no assessor.
    """
    own = {question.key: question for question in page.questions}
    by_key: dict[str, dict[int, Outcome]] = {key: {} for key in own}
    for one in outcomes:
        if one.key in by_key:
            by_key[one.key][one.number] = one
    automatic = [key for key, question in own.items() if not question.by_assessor]
    figures = []
    for key, question in own.items():
        answers = by_key[key]
        marks = {number: one.mark for number, one in answers.items() if one.mark is not None}
        rests = [
            sum(
                by_key[other][number].mark or 0.0
                for other in automatic
                if other != key and number in by_key[other]
            )
            for number in marks
        ]
        difficulty = sum(marks.values()) / (len(marks) * question.marks) if marks else None
        figures.append(
            ItemFigures(
                key=key,
                handed_in=len(answers),
                states=Counter(one.state for one in answers.values()),
                difficulty=difficulty,
                discrimination=item_rest_correlation(list(marks.values()), rests),
            )
        )
    return figures


def common_slips(outcomes: Iterable[Outcome]) -> list[SlipCount]:
    """Return every slip that was made: those of most apprentices first, then of most times."""
    who: dict[str, list[int]] = {}
    reasons: dict[str, dict[str, str]] = {}
    for one in outcomes:
        if one.slip:
            who.setdefault(one.slip, []).append(one.number)
            reasons.setdefault(one.slip, {}).setdefault(one.key, one.reason)
    counts = [
        SlipCount(slip, reasons[slip], tuple(sorted(set(numbers))), len(numbers))
        for slip, numbers in who.items()
    ]
    return sorted(counts, key=lambda one: (-len(one.numbers), -one.times, one.slip))
