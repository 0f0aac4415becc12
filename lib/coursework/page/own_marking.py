"""Marking one's own hand-in, for somebody who learns alone.

The same judgment as the assessor's, on the entries as they were handed in.
What a person has to mark is laid beside its marking guide, to compare. Nothing
here saves or shows anything.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from coursework.card import JobCard
from coursework.judging import judge_page, right_answers, show_answer
from coursework.question import (
    ByAssessor,
    Page,
    Question,
    Verdict,
    WorkedLine,
)

__all__ = ["OwnEntry", "OwnMarking", "mark_own"]


@dataclass(frozen=True, kw_only=True)
class OwnEntry:
    """One question of an own marking.

    Attributes
    ----------
    question : Question
        As it is asked on this card.
    verdict : Verdict
        How the entry was judged.
    lines : tuple of WorkedLine
        The worked solution on this card.
    answer : str
        The right answer, where the last line does not say it already.
    guide : tuple of str
        What to look for, where a person has to mark.
    """

    question: Question
    verdict: Verdict
    lines: tuple[WorkedLine, ...]
    answer: str
    guide: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class OwnMarking:
    """A whole hand-in, marked by the person who wrote it."""

    page: Page
    card: JobCard
    entries: tuple[OwnEntry, ...]

    @property
    def judged(self) -> tuple[OwnEntry, ...]:
        """What the course can mark by itself."""
        return tuple(one for one in self.entries if not one.question.by_assessor)

    @property
    def mark(self) -> float:
        """Marks of what the course can mark."""
        return sum(one.verdict.mark for one in self.judged)

    @property
    def out_of(self) -> float:
        """Marks possible there."""
        return sum(one.verdict.out_of for one in self.judged)

    @property
    def critical(self) -> tuple[str, ...]:
        """Labels of the safety-critical entries that are not right."""
        return tuple(one.question.label for one in self.judged if one.verdict.critical)

    def note(self, *, made: str) -> dict[str, object]:
        """Return what the entries file keeps of it, for the page of progress."""
        return {
            "made": made,
            "marks": {
                one.question.key: [one.verdict.mark, one.verdict.out_of] for one in self.judged
            },
            "critical": [one.question.key for one in self.judged if one.verdict.critical],
        }


def mark_own(*, page: Page, card: JobCard, entries: Mapping[str, str]) -> OwnMarking:
    """Mark a hand-in.

    Parameters
    ----------
    page : Page
        The exercise.
    card : JobCard
        The job card that the answers belong to.
    entries : mapping of str to str
        Raw text by question key, as handed in.

    Returns
    -------
    OwnMarking
        One entry a question, in the page's order.
    """
    right = right_answers(page, card)
    marked = []
    for verdict in judge_page(page, card, entries):
        question = page.question(verdict.key).on(card)
        lines = tuple(question.worked(card, right))
        answer = ""
        if question.key in right:
            answer = show_answer(question, right[question.key])
            if lines and lines[-1].result == answer:
                answer = ""
        kind = question.kind
        guide = kind.points if isinstance(kind, ByAssessor) else ()
        marked.append(
            OwnEntry(question=question, verdict=verdict, lines=lines, answer=answer, guide=guide)
        )
    return OwnMarking(page=page, card=card, entries=tuple(marked))
