"""Exercise 04: read the blue, say how far it is, decide, and judge the fit."""

from __future__ import annotations

from coursework.question import Answer, Choice, PictureMarks
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import Given, Wrong, only_if
from keycourse.fit import values, work
from keycourse.fit.before import BEFORE
from keycourse.fit.card import (
    BLUE,
    BRIGHT,
    THINNED,
    ZONES,
)
from keycourse.fit.judge import JUDGE
from keycourse.fit.pots import POTS
from keycourse.fit.travel import TRAVEL

__all__ = ["PAGE"]

WORDS = words_beside(__file__)

_ZONES = PictureMarks(options=values.LETTERS)


def _top_only(which: str) -> Wrong:
    """Return the bright zones of the top face alone, where that is not all of them."""

    def value(card: JobCard, given: Given) -> Answer | None:
        zones = values.at_level(getattr(values.case_of(card), which), BRIGHT)
        top = tuple(one for one in zones if one in values.LETTERS[:ZONES])
        return top if top and top != zones else None

    return value


def _blue(kind: str) -> Wrong:
    return lambda card, given: values.place_of(kind, values.case_of(card).blues, values.BLUES)


def _thinned_too(which: str) -> Wrong:
    return lambda card, given: values.at_level(
        getattr(values.case_of(card), which), THINNED, BRIGHT
    )


def _still_blue(which: str) -> Wrong:
    return lambda card, given: values.at_level(getattr(values.case_of(card), which), BLUE)


def _thinned_only(which: str) -> Wrong:
    return lambda card, given: values.at_level(getattr(values.case_of(card), which), THINNED)


_MARKS = (
    WORDS.question(
        "04-blue",
        kind=Choice(options=values.BLUES),
        expected=values.which_blue,
        slips={
            "layout fluid taken": _blue("layout"),
            "chalk taken": _blue("chalk"),
            "pen taken": _blue("pen"),
            "high-spot blue not seen": lambda card, given: only_if(
                values.HIGH_SPOT in values.case_of(card).blues, values.BLUES[3]
            ),
        },
        facts=values.blue_facts,
        worked=work.blue_work,
    ),
    WORDS.question(
        "04-bear",
        kind=_ZONES,
        expected=values.bear,
        slips={
            "thinned taken for bright": _thinned_too("first"),
            "top face only": _top_only("first"),
            "blue taken for bearing": _still_blue("first"),
            "thinned alone": _thinned_only("first"),
        },
        facts=values.push_facts,
        worked=work.bear_work,
        picture=values.picture("first", "The blue after the first push"),
    ),
    WORDS.question(
        "04-file",
        kind=_ZONES,
        expected=values.to_file_zones,
        slips={
            "filed where it bore before": values.bear,
            "thinned filed too": _thinned_too("following"),
            "top face only": _top_only("following"),
            "filed where it does not bear": _still_blue("following"),
        },
        facts=values.push_facts,
        worked=work.file_work,
        picture=values.picture("following", "The blue after the next push"),
    ),
)


PAGE = WORDS.page(
    facts=values.facts,
    unclear=values.doubt,
    reckoned=(*BEFORE, *_MARKS, *TRAVEL, *JUDGE, *POTS),
)
