"""Practice of the lock-out: its steps in order, and which energy was left live."""

from __future__ import annotations

from collections.abc import Callable

from coursework.question import Answer, Ordering, PictureMarks, Question, WorkedLine
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import Given, in_order, steps_in_order
from keycourse.start.energies import PLACES, STATES, draw_energies, energies_of

__all__ = ["LOCKOUT"]

WORDS = words_beside(__file__)
_STEPS = WORDS.steps("00-lockout-order")
_ORDER = tuple("CFAGDBE")
_WHY = {
    "C": "A machine may have more than one energy; nobody knows them all by heart.",
    "F": "Whoever starts it unknowing, or waits for it, must know first.",
    "A": "A disconnect that is opened under load can flash over.",
    "G": "The stop button only asks; the disconnect and the valve cut off.",
    "D": "Only your own lock keeps it off for you.",
    "B": "What is stored is still there: weight, air, springs.",
    "E": "It shows whether all of that was done, and at the right disconnect. (In the United "
    "States 29 CFR 1910.147; site rules come first.)",
}


def _live(card: JobCard, given: Given) -> Answer:
    return energies_of(card).live


def _passed_over(place: str) -> Callable[[JobCard, Given], Answer | None]:
    """Return what comes out when one live place is not seen and the others are."""

    def value(card: JobCard, given: Given) -> Answer | None:
        live = energies_of(card).live
        rest = tuple(one for one in live if one != place)
        return rest if place in live and rest else None

    return value


def _live_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    energies = energies_of(card)
    return tuple(
        WorkedLine(
            why=f"{place}, {STATES[place][0]}: {energies.seen(place)}.",
            result="still live" if place in energies.live else "off and held",
        )
        for place in PLACES
    )


LOCKOUT: tuple[Question, ...] = (
    WORDS.question(
        "00-lockout-order",
        kind=Ordering(steps=_STEPS),
        expected=lambda card, given: _ORDER,
        slips={
            "cut off under load": in_order("CFGADBE"),
            "tried before the load was blocked": in_order("CFAGDEB"),
            "nobody told": in_order("CAGDBEF"),
            "locked without the lockout card": in_order("FACGDBE"),
        },
        worked=steps_in_order(_STEPS, _ORDER, _WHY),
    ),
    WORDS.question(
        "00-still-live",
        kind=PictureMarks(options=PLACES),
        expected=_live,
        slips={
            "disconnect not held": _passed_over("A"),
            "second drive forgotten": _passed_over("B"),
            "load forgotten": _passed_over("C"),
            "air shut in": _passed_over("D"),
            "weight forgotten": _passed_over("E"),
        },
        worked=_live_work,
        picture=lambda card: draw_energies(energies_of(card)).html(),
    ),
)
