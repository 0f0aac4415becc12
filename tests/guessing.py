"""What somebody earns who reads no card: one sheet of answers for everybody, sought and scored.

    uv run python tests/guessing.py
    uv run python tests/guessing.py --exercise 02-taper --search 15 --score 30

The best fixed sheet is sought on some cards and scored on others. It starts from the right
answers of each card, from zeros and from an empty sheet, keeps the best of them, and then changes
one entry at a time to whatever earns most on the cards of the search. Beside it stand zeros in
every box, blind guessing (a choice taken at random, no numbers) and how often the commonest answer
to a choice is right. Marks that an assessor gives are left out of both counts.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from coursework.card import JobCard
from coursework.course import PAGES, issue_card
from coursework.draws import Draws
from coursework.judging import judge_page, right_answers, show_answer
from coursework.question import Choice, Ordering, Page, PictureMarks, Question

Sheet = Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class Guessed:
    """Shares of the marks that a marker gives, from 0 to 1.

    Attributes
    ----------
    best, searched : float
        The best fixed sheet on cards it was not sought on, and on those it was.
    zeros, blind : float
        "0" in every box; a choice at random.
    zeros_carried : int
        Entries of the zeros that were taken as worked on from an earlier one.
    usual : dict of str to float
        By safety-critical entry: how often the commonest right answer is right.
    marks : float
        Marks that the marker gives on the exercise.
    """

    best: float
    searched: float
    zeros: float
    zeros_carried: int
    blind: float
    usual: Mapping[str, float]
    marks: float


def asked_of(page: Page) -> tuple[Question, ...]:
    """Return the questions that the marker marks."""
    return tuple(question for question in page.questions if not question.by_assessor)


def right_sheet(page: Page, card: JobCard) -> dict[str, str]:
    """Return the right answers of a card as they would be typed."""
    right = right_answers(page, card)
    return {
        question.key: show_answer(question.on(card), right[question.key])
        for question in asked_of(page)
    }


def share_of(page: Page, cards: Iterable[JobCard], sheet: Sheet) -> float:
    """Return the share of the marker's marks that one sheet earns on these cards."""
    got = possible = 0.0
    for card in cards:
        for verdict in judge_page(page, card, sheet):
            if verdict.state != "waiting" and not page.question(verdict.key).by_assessor:
                got += verdict.mark
                possible += verdict.out_of
    return got / possible


def best_sheet(page: Page, cards: Sequence[JobCard], *, rounds: int = 2) -> dict[str, str]:
    """Return the fixed sheet that earns most on these cards, as far as the search finds it."""
    own = [right_sheet(page, card) for card in cards]
    keys = [question.key for question in asked_of(page)]
    starts = [*own, dict.fromkeys(keys, "0"), {}]
    sheet = dict(max(starts, key=lambda one: share_of(page, cards, one)))
    offered = {
        question.key: sorted(
            {one[question.key] for one in own}
            | (set(question.kind.options) if isinstance(question.kind, Choice) else {"0", "1"})
        )
        for question in asked_of(page)
    }
    for _ in range(rounds):
        before = share_of(page, cards, sheet)
        for key in keys:
            sheet = max(
                [sheet, *({**sheet, key: text} for text in offered[key])],
                key=lambda one: share_of(page, cards, one),
            )
        if share_of(page, cards, sheet) <= before:
            break
    return sheet


def blind_sheet(page: Page, card: JobCard) -> dict[str, str]:
    """Return what somebody chooses who does not look: a choice at random, no numbers."""
    draws = Draws(f"{card.class_code}/{card.exercise}/{card.number}/blind")
    sheet = {}
    for question in asked_of(page):
        kind = question.on(card).kind
        if isinstance(kind, Choice):
            sheet[question.key] = kind.options[draws.whole(low=0, high=len(kind.options) - 1)]
        elif isinstance(kind, Ordering):
            row = kind.mixed(f"{card.number}/blind/{question.key}")
            sheet[question.key] = " ".join("ABCDEFGHIJKLMNOP"[one] for one in row.row)
        elif isinstance(kind, PictureMarks):
            sheet[question.key] = " ".join(
                letter for letter in kind.options if draws.uniform(low=0, high=1) < 0.5
            )
    return sheet


def usual_answers(page: Page, cards: Sequence[JobCard]) -> dict[str, float]:
    """Return by key how often the commonest right answer is right: choices and critical entries."""
    shares = {}
    for question in asked_of(page):
        if question.critical or isinstance(question.kind, Choice):
            seen = Counter(right_answers(page, card)[question.key] for card in cards)
            shares[question.key] = seen.most_common(1)[0][1] / len(cards)
    return shares


def guessed(exercise: str, *, class_code: str, search: int, score: int) -> Guessed:
    """Return what guessing earns on one exercise."""
    page = PAGES[exercise]
    cards = [
        issue_card(exercise=exercise, class_code=class_code, number=number)
        for number in range(1, search + score + 1)
    ]
    sought, others = cards[:search], cards[search:]
    sheet = best_sheet(page, sought)
    zeros = dict.fromkeys([question.key for question in asked_of(page)], "0")
    return Guessed(
        best=share_of(page, others, sheet),
        searched=share_of(page, sought, sheet),
        zeros=share_of(page, others, zeros),
        zeros_carried=sum(
            verdict.state == "carried"
            for card in cards
            for verdict in judge_page(page, card, zeros)
        ),
        blind=sum(share_of(page, [card], blind_sheet(page, card)) for card in others) / len(others),
        usual=usual_answers(page, cards),
        marks=sum(question.marks for question in asked_of(page)),
    )


def main() -> None:
    """Print what guessing earns, exercise by exercise and over the course."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--exercise", action="append", choices=list(PAGES), default=None)
    asked.add_argument("--search", type=int, default=15)
    asked.add_argument("--score", type=int, default=30)
    asked.add_argument("--class-code", default="GUESS")
    options = asked.parse_args()
    found = {
        exercise: guessed(
            exercise,
            class_code=options.class_code,
            search=options.search,
            score=options.score,
        )
        for exercise in options.exercise or PAGES
    }
    print("exercise        best sheet  (sought on)   zeros  carried   blind")
    for exercise, one in found.items():
        print(
            f"{exercise:<14} {one.best:>10.1%} {one.searched:>12.1%} {one.zeros:>7.1%}"
            f" {one.zeros_carried:>8} {one.blind:>7.1%}"
        )
    total = sum(one.marks for one in found.values())
    print(
        f"{'all':<14} {sum(one.best * one.marks for one in found.values()) / total:>10.1%}"
        f" {'':>12} {sum(one.zeros * one.marks for one in found.values()) / total:>7.1%}"
        f" {sum(one.zeros_carried for one in found.values()):>8}"
        f" {sum(one.blind * one.marks for one in found.values()) / total:>7.1%}"
    )
    print("\nhow often the commonest right answer is right (a star: safety-critical)")
    for exercise, one in found.items():
        for key, share in one.usual.items():
            star = "*" if PAGES[exercise].question(key).critical else " "
            print(f" {star} {key:<20} {share:>5.0%}")


if __name__ == "__main__":
    main()
