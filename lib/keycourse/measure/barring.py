"""Practice of barring the keyway to the bottom: the steps in order."""

from __future__ import annotations

from coursework.question import Ordering, Question
from coursework.words import words_beside
from keycourse.common import in_order, steps_in_order

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


BAR_ROUND: Question = WORDS.question(
    "01-bar-round",
    kind=Ordering(steps=_STEPS),
    expected=lambda card, given: _ORDER,
    slips={
        "bar out before the block": in_order("DGBFACE"),
        "barred under load": in_order("DBFGCAE"),
        "load handled before lock-out": in_order("GDBFCAE"),
        "cleaned with the bar in": in_order("DGBFCEA"),
    },
    worked=steps_in_order(_STEPS, _ORDER, _WHY),
)
