"""Practice of the bow: which face of a bowed bar still pulls."""

from __future__ import annotations

from coursework.draws import Draws
from coursework.question import Answer, Choice, Fact, Question, WorkedLine
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import Given, narrow
from keycourse.key.bowpicture import BowedBar, bowed_bar, draw_bow
from taperkey import practice
from taperkey.units import MM_PER_IN

__all__ = ["BOW"]

WORDS = words_beside(__file__)
_SAID = WORDS.options("03-bow")
_WHY = {
    "flat": "It is hollow at the flat face: there the skin pulls itself short.",
    "taper": "It is hollow at the taper side: there the skin pulls itself short.",
    "neither": "It lies flat: what pulled on one face is gone on the other as well.",
}


def _which(card: JobCard) -> str:
    draws = Draws(f"{card.class_code}/{card.exercise}/{card.number}/{card.attempt}/bow")
    return ("flat", "taper", "neither")[draws.whole(low=0, high=2)]


def _bar_of(card: JobCard) -> BowedBar:
    which = _which(card)
    per = MM_PER_IN if card.metric else 1.0
    cut = (2.0 if card.metric else 0.090) / per
    return bowed_bar(
        system="metric" if card.metric else "inch",
        relief_in=0.0 if which == "flat" else cut,
        taper_in=0.0 if which == "taper" else cut,
        skin_pull_psi=sum(practice.span("skin_pull")) / 2,
        share=1.0,
    )


def _answer(card: JobCard, given: Given) -> Answer:
    return _SAID[_which(card)]


def _other_way(card: JobCard, given: Given) -> Answer | None:
    other = {"flat": "taper", "taper": "flat"}.get(_which(card))
    return None if other is None else _SAID[other]


def _straight(card: JobCard, given: Given) -> Answer | None:
    return None if _which(card) == "neither" else _SAID["neither"]


def _work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    return (WorkedLine(why=_WHY[_which(card)], result=_SAID[_which(card)]),)


BOW: Question = WORDS.question(
    "03-bow",
    kind=Choice(options=tuple(_SAID.values())),
    expected=_answer,
    slips={"the wrong side of the bow": _other_way, "bow not seen": _straight},
    facts=lambda card: (Fact("Bar", "cold-drawn, as it came; out of the vise"),),
    worked=_work,
    picture=lambda card: narrow(draw_bow(_bar_of(card), tells=False)),
)
