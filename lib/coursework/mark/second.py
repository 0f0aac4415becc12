"""Second marks: a share of the written answers, marked again by somebody who sees no first mark.

Which answers are drawn follows from the class, the apprentice, the question and the hand-in, so
the same are drawn again, and more as more are handed in. A second mark is a line in
``second-marks.csv``, which only grows; it changes no mark. Where the two differ, a moderation
settles it.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from coursework.course import PAGES
from coursework.mark.byhand import ByHand, read_by_hand
from coursework.mark.records import MarkRecord, Moderation
from coursework.mark.register import Register
from coursework.question import Question, Written

__all__ = [
    "Agreement",
    "Answer",
    "SecondMark",
    "agreement",
    "agreements",
    "draw_sample",
    "first_assessor",
    "mark_of_first",
    "read_second_marks",
    "second_register",
    "settled_by",
]

FEWEST_FOR_ALPHA = 5  # answers marked twice; below it the figure is noise
_SIGNS = 6


@dataclass(frozen=True, kw_only=True)
class Answer:
    """A written answer as the second assessor gets it.

    Attributes
    ----------
    code : str
        What it is called on the sheet; it says nothing of whose it is.
    number, exercise : int and str
        Whose, and of which exercise.
    question : Question
        What was asked.
    hand_in : str
        sha256 of the hand-in.
    text : str
        What was written.
    """

    code: str
    number: int
    exercise: str
    question: Question
    hand_in: str
    text: str


@dataclass(frozen=True, kw_only=True)
class SecondMark:
    """One line of the register."""

    noted: str
    number: int
    exercise: str
    entry: str
    hand_in: str
    mark: float
    by: str
    comment: str

    @property
    def what(self) -> str:
        """What tells it from another second mark of the same answer."""
        return f"{self.mark:g} by {self.by}, {self.noted}"


@dataclass(frozen=True, kw_only=True)
class Agreement:
    """How two assessors agree on one question.

    Attributes
    ----------
    key : str
        The question.
    twice, same : int
        Answers marked by both, and those with the same mark.
    alpha : float or None
        Krippendorff's alpha, marks as an interval scale; None for fewer than 5 answers, or where
        all have one mark.
    open : tuple of int
        Apprentices whose two marks differ and are not settled.
    """

    key: str
    twice: int
    same: int
    alpha: float | None
    open: tuple[int, ...]


def second_register(folder: Path) -> Register:
    """Return the register of second marks of a class folder."""
    columns = ("noted", "number", "exercise", "entry", "hand-in", "mark", "by", "comment")
    return Register(path=folder / "second-marks.csv", columns=columns)


def read_second_marks(folder: Path) -> dict[tuple[int, str], SecondMark]:
    """Return the latest second mark of each apprentice and question."""
    found = {}
    for line in second_register(folder).lines():
        try:
            one = SecondMark(
                noted=line["noted"],
                number=int(line["number"]),
                exercise=line["exercise"],
                entry=line["entry"],
                hand_in=line["hand-in"],
                mark=float(line["mark"]),
                by=line["by"],
                comment=line["comment"],
            )
        except ValueError:
            continue
        found[one.number, one.entry] = one
    return found


def draw_sample(
    records: Iterable[MarkRecord], *, class_code: str, share: float
) -> dict[str, Answer]:
    """Return the answers to mark again, by their code; of each question at least one.

    Parameters
    ----------
    records : iterable of MarkRecord
        The class's records.
    class_code : str
        The class, such as "QQ-26".
    share : float
        Of the answers to each written question, above 0 to 1.
    """
    by_question: dict[str, list[Answer]] = {}
    for record in records:
        page = PAGES.get(record.exercise)
        for verdict in record.verdicts:
            question = next(
                (one for one in (page.questions if page else ()) if one.key == verdict.key), None
            )
            if question is None or not isinstance(question.kind, Written):
                continue
            if not verdict.entered.strip():
                continue
            row = f"second/{class_code}/{record.number}/{verdict.key}/{record.hand_in}"
            code = hashlib.sha256(row.encode("utf-8")).hexdigest()[:_SIGNS].upper()
            by_question.setdefault(verdict.key, []).append(
                Answer(
                    code=code,
                    number=record.number,
                    exercise=record.exercise,
                    question=question,
                    hand_in=record.hand_in,
                    text=verdict.entered,
                )
            )
    return {
        one.code: one
        for found in by_question.values()
        for one in sorted(found, key=lambda one: one.code)[: math.ceil(share * len(found))]
    }


def mark_of_first(record: MarkRecord, manual: ByHand, key: str) -> float | None:
    """Return the first assessor's mark: what the marking screen had before any moderation."""
    first = next((act for act in record.moderated if act.entry == key), None)
    if first is not None:
        return first.screen if first.screen is not None else first.instead_of
    given = manual.get((record.number, record.exercise), {}).get(key)
    return given.score if given else None


def settled_by(record: MarkRecord, second: SecondMark) -> Moderation | None:
    """Return the moderation that settled a difference: the last one since the second mark.

    An act says which second mark there was; of one that does not, as in a class of before, the
    times are compared.
    """
    acts = [act for act in record.moderated if act.entry == second.entry]
    for act in reversed(acts):
        if act.at >= second.noted if act.second is None else act.second == second.what:
            return act
    return None


def agreement(first: Sequence[float], second: Sequence[float]) -> float | None:
    """Return Krippendorff's alpha of two assessors' marks on the same answers.

    alpha = 1 − observed disagreement / expected disagreement, with the squared difference of two
    marks as their disagreement: 1 is full agreement, 0 what chance would give.

    Parameters
    ----------
    first, second : sequence of float
        Marks in the same order.

    Examples
    --------
    >>> agreement([0, 1, 2, 3, 3], [0, 1, 2, 3, 3])
    1.0
    >>> agreement([2, 2, 2, 2, 2], [2, 2, 2, 2, 2]) is None
    True
    """
    if len(first) < FEWEST_FOR_ALPHA or len({*first, *second}) < 2:
        return None
    import krippendorff

    return float(
        krippendorff.alpha(
            reliability_data=[list(first), list(second)], level_of_measurement="interval"
        )
    )


def agreements(
    folder: Path, records: Mapping[tuple[int, str], MarkRecord], manual: ByHand
) -> list[Agreement]:
    """Return how the second marks agree with the first, question by question."""
    pairs: dict[str, list[tuple[int, float, float, bool]]] = {}
    for one in read_second_marks(folder).values():
        record = records.get((one.number, one.exercise))
        if record is None or record.hand_in != one.hand_in:
            continue  # another hand-in counts since
        first = mark_of_first(record, manual, one.entry)
        if first is not None:
            settled = first == one.mark or settled_by(record, one) is not None
            pairs.setdefault(one.entry, []).append((one.number, first, one.mark, settled))
    return [
        Agreement(
            key=key,
            twice=len(found),
            same=sum(first == mark for _, first, mark, _ in found),
            alpha=agreement([one[1] for one in found], [one[2] for one in found]),
            open=tuple(sorted(number for number, _, _, settled in found if not settled)),
        )
        for key, found in sorted(pairs.items())
    ]


def first_assessor(folder: Path, answer: Answer) -> str:
    """Return who gave the first mark; empty where no name was kept."""
    line = read_by_hand(folder).get((answer.number, answer.exercise, answer.question.key))
    return line.by if line else ""
