"""How often a slip that is made is the slip that is named: invented apprentices by the thousand.

    uv run python tests/confusion.py
    uv run python tests/confusion.py --apprentices 500 --exercise 02-taper

Each apprentice gets the job cards of their number and answers every question in
order. With the chance given, one of the question's known slips is made, on the
apprentice's own earlier answers; otherwise the answer is right on them. A slip of writing,
of the point or the unit, is made in the box only: they work on with what is on their paper.
What is typed scatters as readings do: by a quarter of the question's tolerance (standard
deviation), in proportion to the value and by 3 % at most, then it is rounded to the places
asked for, or to three figures where that leaves fewer. The entries are judged as the marker
does, and made is held against named.
"""

from __future__ import annotations

import argparse
import json
import math
from collections import Counter
from collections.abc import Iterable, Mapping
from pathlib import Path

from coursework.course import PAGES, issue_card
from coursework.draws import Draws
from coursework.judging import (
    judge_page,
    read_answer,
    right_answers,
    show_answer,
)
from coursework.question import Answer, Measure, Question
from keycourse.card import JobCard
from taperkey.units import EntryError, from_internal

RIGHT = "(right)"
SLIP_CHANCE = 0.25
SCATTER = 0.25  # of the tolerance, one standard deviation
WIDEST = 0.03  # of the value: a tolerance may be many times an answer that a slip made tiny

Tally = Counter[tuple[str, str, str]]  # question, made, named


def typed(question: Question, answer: Answer, spread: float, draws: Draws) -> str:
    """Return the answer as a person types it: scattered, then rounded."""
    if isinstance(answer, float) and isinstance(question.kind, Measure):
        kind = question.kind
        answer *= 1 + spread * draws.normal()
        number = from_internal(answer, dimension=kind.dimension, unit=kind.unit)
        if number and abs(number) * 10**kind.places < 100:
            places = 2 - math.floor(math.log10(abs(number)))
            return f"{number:.{places}f} {kind.unit}".strip()
    return show_answer(question, answer)


def fill_in(card: JobCard, draws: Draws) -> tuple[dict[str, str], dict[str, str]]:
    """Return the entries of one apprentice, and what was made at each question."""
    page = PAGES[card.exercise]
    right = right_answers(page, card)
    own, in_the_box = dict(right), dict(right)
    entries: dict[str, str] = {}
    made: dict[str, str] = {}
    for asked in page.questions:
        if asked.by_assessor:
            continue
        question = asked.on(card)
        wanted = value_of(question.expected, card, own)
        if wanted is None:  # nobody works on with a clearance below 0; they look again
            own, in_the_box = dict(right), dict(right)
            wanted = question.expected(card, own)
        answer, made[question.key], of_writing = wanted, RIGHT, False
        if draws.uniform(low=0, high=1) < SLIP_CHANCE:
            known = [
                (one, value)
                for one in question.slips
                if apart(
                    question,
                    card,
                    (own, in_the_box, right),
                    value := value_of(one.value, card, own),
                )
                and not (one.of_writing and falls_on_another(question, card, own, value))
            ]
            if known:
                slip, answer = known[draws.whole(low=0, high=len(known) - 1)]
                made[question.key], of_writing = slip.name, slip.of_writing
        tolerance = question.tolerated(card, own)
        spread = SCATTER * tolerance / abs(wanted) if isinstance(wanted, float) and wanted else 0.0
        spread = min(spread, WIDEST)
        entries[question.key] = typed(question, answer, spread, draws)
        try:
            in_the_box[question.key] = read_answer(question, entries[question.key])
        except EntryError:
            continue
        own[question.key] = wanted if of_writing else in_the_box[question.key]
    return entries, made


def apart(
    question: Question,
    card: JobCard,
    givens: Iterable[Mapping[str, Answer]],
    value: Answer | None,
) -> bool:
    """Return whether the slip can be made here, and is not right by one way or the other."""
    if value is None:
        return False
    for given in givens:
        wanted = value_of(question.expected, card, given)
        if isinstance(value, float) and isinstance(wanted, float):
            if abs(value - wanted) <= 2 * question.tolerated(card, given):
                return False
        elif value == wanted:
            return False
    return True


def falls_on_another(
    question: Question, card: JobCard, given: Mapping[str, Answer], value: Answer | None
) -> bool:
    """Return whether a slip of writing comes out as one of the question's own, named first."""
    for one in question.slips:
        other = None if one.of_writing else value_of(one.value, card, given)
        if isinstance(other, float) and isinstance(value, float):
            wanted = value_of(question.expected, card, given)
            scale = abs(other / wanted) if isinstance(wanted, float) and wanted else 1.0
            near = 0.03 * abs(value) + max(2.0, scale) * question.tolerated(card, given)
            if abs(value - other) <= near:
                return True
    return False


def value_of(value, card: JobCard, given: Mapping[str, Answer]) -> Answer | None:
    """Return what the slip makes of the card; None where it cannot be made."""
    try:
        return value(card, given)
    except (ArithmeticError, ValueError, LookupError):
        return None


def simulate(*, apprentices: int, exercises: Iterable[str], class_code: str = "SIM") -> Tally:
    """Judge every entry of so many apprentices.

    Parameters
    ----------
    apprentices : int
        How many, from number 1.
    exercises : iterable of str
        Keys of ``PAGES``.
    class_code : str
        Another class is another row of cards and slips.

    Returns
    -------
    Counter
        How often, by question, what was made and what was named.
    """
    tally: Tally = Counter()
    for exercise in exercises:
        for number in range(1, apprentices + 1):
            card = issue_card(exercise=exercise, class_code=class_code, number=number)
            draws = Draws(f"{class_code}/{exercise}/{number}/slips")
            entries, made = fill_in(card, draws)
            for verdict in judge_page(PAGES[exercise], card, entries):
                if verdict.key in made:
                    named = RIGHT if verdict.state in ("right", "carried") else verdict.slip
                    tally[verdict.key, made[verdict.key], named or "(not named)"] += 1
    return tally


def rates(tally: Tally) -> dict[str, float]:
    """Return the share of slips named as made, and of right answers called wrong."""
    slips = sum(count for (_, made, _), count in tally.items() if made != RIGHT)
    named = sum(count for (_, made, said), count in tally.items() if made != RIGHT and made == said)
    right = sum(count for (_, made, _), count in tally.items() if made == RIGHT)
    wrong = sum(
        count for (_, made, said), count in tally.items() if made == RIGHT and said != RIGHT
    )
    return {
        "slips made": slips,
        "slips named as made": named / max(slips, 1),
        "right answers": right,
        "right answers called wrong": wrong / max(right, 1),
    }


def table(tally: Tally) -> str:
    """Return the confusion table: a row for each slip, what it was taken for if not itself."""
    lines = [f"{'question':22} {'made':36} {'times':>6} {'named':>7}  otherwise"]
    keys = list(dict.fromkeys((key, made) for key, made, _ in tally))
    order = {
        question.key: n for n, question in enumerate(q for p in PAGES.values() for q in p.questions)
    }
    for key, made in sorted(keys, key=lambda one: (order[one[0]], one[1] != RIGHT, one[1])):
        row = {said: n for (k, m, said), n in tally.items() if (k, m) == (key, made)}
        total = sum(row.values())
        others = sorted(((n, said) for said, n in row.items() if said != made), reverse=True)
        words = "; ".join(f"{said} {n / total:.1%}" for n, said in others[:3])
        lines.append(f"{key:22} {made:36} {total:6} {row.get(made, 0) / total:7.1%}  {words}")
    return "\n".join(lines)


def main() -> None:
    """Print the confusion table and the two rates; write JSON where asked."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--apprentices", type=int, default=5000)
    parser.add_argument("--exercise", choices=sorted(PAGES), action="append")
    parser.add_argument("--json", type=Path)
    options = parser.parse_args()
    tally = simulate(apprentices=options.apprentices, exercises=options.exercise or list(PAGES))
    print(table(tally))
    summary = rates(tally)
    print()
    for what, value in summary.items():
        print(f"{what:28} {value:.3%}" if isinstance(value, float) else f"{what:28} {value:,}")
    if options.json:
        rows = [[*key, count] for key, count in sorted(tally.items())]
        options.json.write_text(json.dumps({"rates": summary, "rows": rows}, indent=1))


if __name__ == "__main__":
    main()
