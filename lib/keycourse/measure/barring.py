"""Practice of barring the keyway to the bottom: the steps in order."""

from __future__ import annotations

from collections.abc import Callable

from coursework.question import Answer, Ordering, Question, WorkedLine
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import Given

__all__ = ["BAR_ROUND"]

WORDS = words_beside(__file__)
_STEPS = WORDS.steps("01-bar-round")
_ORDER = tuple("DGBFCAE")
_WHY = {
    "D": "No hand goes near a drive that can start.",
    "G": "A loaded hub throws the bar when it slips, and hangs to one side.",
    "B": "Hub, chain and shaft turn together; one voice gives the word.",
    "F": "A bar that is thrown over far cannot be held.",
    "C": "What was barred up rolls back.",
    "A": "Only now does nothing hang on the bar; left in, it is thrown if the block gives.",
    "E": "Now it stands still, and a burr would read as metal.",
}


def _order(letters: str) -> Callable[[JobCard, Given], Answer | None]:
    return lambda card, given: tuple(letters)


def _work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    return tuple(
        WorkedLine(why=_WHY[letter], result=_STEPS["ABCDEFG".index(letter)]) for letter in _ORDER
    )


BAR_ROUND: Question = WORDS.question(
    "01-bar-round",
    kind=Ordering(steps=_STEPS),
    expected=lambda card, given: _ORDER,
    slips={
        "bar out before the block": _order("DGBFACE"),
        "barred under load": _order("DBFGCAE"),
        "load handled before lock-out": _order("GDBFCAE"),
        "cleaned with the bar in": _order("DGBFCEA"),
    },
    worked=_work,
)
