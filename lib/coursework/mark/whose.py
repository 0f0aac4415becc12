"""Whose answers are they? Answers of one card that fit another card better.

A mistyped number hands in the right answers of the wrong card, and somebody who
copies does the same; at a resit, somebody may have the card of another attempt in
hand. Where few answers are right on the own card, they are judged on every other
card of the class and exercise, those of a resit too. Only answers that are right
as they stand count: one that is carried on from an earlier one agrees with itself
on any card.

Tried on a class of 30: of 504 invented hand-ins with their slips none was pointed
at somebody else, and of 504 judged on another's card 500 were, each at the right one.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from coursework.card import JobCard
from coursework.course import PAGES, issue_card
from coursework.judging import agrees, judge_page, read_answer, right_answers
from coursework.mark.records import BetterFit
from coursework.question import Answer, Ordering, Question, Verdict
from taperkey.units import EntryError

__all__ = ["better_fit"]

FIRST_RESIT = 2  # its cards are always looked at; later ones where the hand-in is of one
LOW_SHARE = 0.5  # right on the own card, of the marks answered; from there on nobody looks
CLEAR_SHARE = 0.25  # more right on the other card, of the marks answered
FEWEST_MARKS = 4.0  # answered; below it a few lucky answers decide


class Wanted(NamedTuple):
    """What a card wants of one question: the question as it asks it, and what is right."""

    question: Question
    metric: bool
    right: Answer
    tolerance: float


def better_fit(
    *,
    exercise: str,
    class_code: str,
    number: int,
    others: Iterable[int],
    entries: Mapping[str, str],
    verdicts: Iterable[Verdict],
    attempt: int = 1,
) -> BetterFit | None:
    """Return which other job card the answers fit clearly better, or None.

    Parameters
    ----------
    exercise : str
        Such as "02-taper".
    class_code : str
        The class, such as "QQ-26".
    number : int
        The apprentice who handed in.
    others : iterable of int
        Numbers of the class.
    entries : mapping of str to str
        Raw text by question key.
    verdicts : iterable of Verdict
        How they were judged on the own card.
    attempt : int
        Which card that was.
    """
    page = PAGES[exercise]
    own = [one for one in verdicts if one.state not in ("blank", "waiting")]
    out_of = sum(one.out_of for one in own)
    here = _right(own)
    if out_of < FEWEST_MARKS or here >= LOW_SHARE * out_of:
        return None
    best: BetterFit | None = None
    read: dict[tuple[str, bool], Answer | None] = {}
    numbers = [*others]
    for other, turn in (
        (one, turn)
        for turn in range(1, max(FIRST_RESIT, attempt) + 1)
        for one in (numbers if number in numbers or not numbers else [*numbers, number])
        if (one, turn) != (number, attempt)
    ):
        try:
            card = issue_card(exercise=exercise, class_code=class_code, number=other, attempt=turn)
            most = _right_at_most(wanted_on(card), entries, read)
            if most - here < CLEAR_SHARE * out_of or (best and most <= best.right_there):
                continue
            there = _right(judge_page(page, card, entries))
        except (ArithmeticError, ValueError, LookupError):
            continue
        if there - here >= CLEAR_SHARE * out_of and (best is None or there > best.right_there):
            best = BetterFit(
                number=other, right_there=there, right_here=here, out_of=out_of, attempt=turn
            )
    return best


def _right(verdicts: Iterable[Verdict]) -> float:
    return sum(one.mark for one in verdicts if one.state == "right")


@functools.lru_cache(maxsize=4096)
def wanted_on(card: JobCard) -> tuple[Wanted, ...]:
    """Return what a card wants of its exercise, of the answers that no assessor marks."""
    page = PAGES[card.exercise]
    right = right_answers(page, card)
    asked = (one.on(card) for one in page.questions if not one.by_assessor)
    return tuple(
        Wanted(one, card.metric, right[one.key], one.tolerated(card, right)) for one in asked
    )


def _right_at_most(
    wanted: Iterable[Wanted],
    entries: Mapping[str, str],
    read: dict[tuple[str, bool], Answer | None],
) -> float:
    """Return the marks of the answers that agree with a card; no more than these are right on it.

    It asks for no slip and nothing carried forward, so it costs little. What was typed is read
    once in inches and once in millimeters; an order of steps is each card's own.
    """
    total = 0.0
    for one in wanted:
        question = one.question
        place = (question.key, one.metric)
        if isinstance(question.kind, Ordering) or place not in read:
            read[place] = _read(question, entries.get(question.key, ""))
        answer = read[place]
        if answer is not None and agrees(answer, one.right, one.tolerance):
            total += question.marks
    return total


def _read(question: Question, text: str) -> Answer | None:
    try:
        return read_answer(question, text) if text.strip() else None
    except EntryError:
        return None
