"""Exercise 05: the pull, the rig, its weakest link, and whether to go."""

from __future__ import annotations

from coursework.question import Answer, Choice, Measure
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import Given, Wrong, only_if, scaled
from keycourse.pull import values, work
from keycourse.pull.forces import FORCES
from keycourse.pull.hub_off import HUB_OFF
from keycourse.pull.rig import DECIDE, RIG
from keycourse.pull.welding import WELDING
from keycourse.taper.values import difference_tolerance

__all__ = ["PAGE"]

WORDS = words_beside(__file__)


def _shows(card: JobCard) -> str:
    return str(values.large_end(card, {}))


def _taken_for_granted(card: JobCard, given: Given) -> Answer | None:
    guessed = values.larger_by_readings(card) != values.NEAR
    return only_if(_shows(card) != values.NEAR and guessed, values.NEAR)


def _read_into_scatter(card: JobCard, given: Given) -> Answer | None:
    leaning = values.larger_by_readings(card)
    return only_if(_shows(card) == values.NO_TELLING and bool(leaning), leaning)


def _far_without_a_reading(card: JobCard, given: Given) -> Answer | None:
    guessed = values.larger_by_readings(card) != values.FAR
    return only_if(_shows(card) == values.NO_TELLING and guessed, values.FAR)


def _where(shows: str, slip: str) -> Wrong:
    """Return a wrong answer on the cards where that is the large end."""
    return lambda card, given: only_if(_shows(card) == shows, slip)


def _room(behind: bool, slip: str) -> Wrong:
    """Return a wrong answer on reversed hubs with room behind them, or without."""
    return lambda card, given: only_if(
        _shows(card) == values.FAR and values.case_of(card).ends.room_behind == behind, slip
    )


def _heights_added(card: JobCard, given: Given) -> float:
    ends = values.case_of(card).ends
    return ends.face_in + (ends.far_in or ends.end_in)


_ENDS = (
    WORDS.question(
        "05-difference",
        kind=Measure(dimension="length", unit="in", low=-0.5, high=0.5, places=4),
        expected=values.difference,
        tolerance=difference_tolerance,
        slips={
            "the wrong way round": scaled(values.difference, -1.0),
            "heights added": _heights_added,
        },
        facts=values.ends_facts,
        worked=work.difference,
    ),
    WORDS.question(
        "05-large-end",
        kind=Choice(options=(values.NEAR, values.FAR, values.NO_TELLING)),
        expected=values.large_end,
        slips={
            "taken for granted": _taken_for_granted,
            "scatter read as taper": _read_into_scatter,
            "far end without a reading": _far_without_a_reading,
            "heights mixed up": _where(values.NEAR, values.FAR),
            "readings not trusted": lambda card, given: only_if(
                _shows(card) != values.NO_TELLING, values.NO_TELLING
            ),
        },
        needs=("05-difference",),
        facts=values.ends_facts,
        worked=work.large_end,
    ),
    WORDS.question(
        "05-what-first",
        kind=Choice(options=values.FIRST),
        expected=values.first_step,
        slips={
            "reversed hub not seen": _where(values.FAR, values.PLAN_FIRST),
            "ordinary hub taken for reversed": _where(values.NEAR, values.HUB_OFF),
            "planned on a guess": _where(values.NO_TELLING, values.PLAN_FIRST),
            "hub off on a guess": _where(values.NO_TELLING, values.HUB_OFF),
            "known already": lambda card, given: only_if(
                _shows(card) != values.NO_TELLING, values.FIND_OUT
            ),
            "room behind not seen": _room(True, values.HUB_OFF),
            "no room behind the hub": _room(False, values.PUSH_OUT),
            "pushed in further": _where(values.NEAR, values.PUSH_OUT),
            "pushed on a guess": _where(values.NO_TELLING, values.PUSH_OUT),
        },
        needs=("05-difference",),
        facts=values.ends_facts,
        worked=work.first_step,
    ),
)


PAGE = WORDS.page(
    facts=values.facts,
    unclear=values.doubt,
    reckoned=(*_ENDS, *FORCES, *RIG, *DECIDE, *WELDING, *HUB_OFF),
)
