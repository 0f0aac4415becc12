"""Exercise 05: the rig, its weakest link, and whether to go."""

from __future__ import annotations

import math

from coursework.question import (
    Answer,
    Choice,
    Measure,
    Ordering,
)
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import (
    FORCE,
    Given,
    Wrong,
    number_of,
    only_if,
    scaled,
    within,
)
from keycourse.pull import values, work

__all__ = ["DECIDE", "RIG"]

WORDS = words_beside(__file__)


def _margin_tolerance(card: JobCard, given: Given) -> float:
    # a difference of two forces, each to three figures
    pull = number_of(given, "05-pull-high")
    return 0.01 * (pull + abs(values.margin(card, given) + pull))


def _jack_tolerance(card: JobCard, given: Given) -> float:
    # a tonne is often taken as 10 kN; that is 2 % high
    return (0.025 if card.metric else 0.01) * values.jacks(card, given)


# Ways to reckon the rod too strong; two that come out this near each other cannot be told apart.
_TOO_NEAR = 0.025


def _too_strong(card: JobCard) -> dict[str, float]:
    """Return how many times too strong each way makes the rod."""
    size, grade = values.rod_parts(card)
    strength = grade.proof_psi or 0.9 * grade.yield_psi
    return {
        "area of the full diameter": math.pi / 4 * size.diameter_in**2 / size.stress_area_in2,
        "working share left out": 4 / 3,
        "tensile strength taken": grade.tensile_psi / strength,
    }


def _alike(card: JobCard) -> dict[str, float]:
    """Return the ways that cannot be told apart on this card; none where each can."""
    ways = _too_strong(card)
    return {
        name: times
        for name, times in ways.items()
        if any(o != name and abs(t / times - 1) < _TOO_NEAR for o, t in ways.items())
    }


def _rod_by(name: str) -> Wrong:
    def value(card: JobCard, given: Given) -> Answer | None:
        if name in _alike(card):
            return None
        return values.rod(card, given) * _too_strong(card)[name]

    return value


def _rod_one_of_them(card: JobCard, given: Given) -> Answer | None:
    alike = _alike(card)
    return values.rod(card, given) * sum(alike.values()) / len(alike) if alike else None


def _yield_whole(card: JobCard, given: Given) -> Answer | None:
    _, grade = values.rod_parts(card)
    return values.rod(card, given) / 0.9 if grade.proof_psi is None else None


def _not_governing(name: str) -> Wrong:
    """Return a link's name where it does not govern and is not the strongest either."""

    def value(card: JobCard, given: Given) -> Answer | None:
        words = values.LINKS[name]
        if words in (values.weakest(card, given), values.strongest(card, given)):
            return None
        return words

    return value


def _outside_rod(card: JobCard, given: Given) -> Answer | None:
    return only_if(not values.case_of(card).uses_rod, values.LINKS["rod"])


def _chain_rod(card: JobCard, given: Given) -> Answer | None:
    return _not_governing("rod")(card, given) if values.case_of(card).uses_rod else None


def _jack_margin(card: JobCard, given: Given) -> Answer | None:
    if values.weakest(card, given) == values.LINKS["jacks"]:
        return None
    return number_of(given, "05-jacks") - number_of(given, "05-pull-high")


def _low_margin(card: JobCard, given: Given) -> float:
    pulls = number_of(given, "05-pull-high") - values.pull_low(card, given)
    return values.margin(card, given) + pulls


def _own_rig(card: JobCard) -> str:
    """Return the planner's rig as the answers have it."""
    return {"strongback": values.STRONGBACK, "hollow-ram": values.HOLLOW}.get(
        values.case_of(card).rig, values.WELD
    )


def _rig_anyway(right: str) -> Wrong:
    """Return the planner's rig where that is right instead."""
    return lambda card, given: only_if(values.method(card, given) == right, _own_rig(card))


def _tapped(tapped: bool, slip: str, *, short: bool = False) -> Wrong:
    """Return a wrong method on keys that are tapped, or not; with `short` where no rig will do."""
    return lambda card, given: only_if(
        (values.case_of(card).end == "tapped") == tapped
        and (values.method(card, given) == values.NONE) == short,
        slip,
    )


def _not_at_hand(card: JobCard, given: Given) -> str:
    return values.STRONGBACK if values.case_of(card).rig == "hollow-ram" else values.HOLLOW


def _stands(wanted: str, slip: str) -> Wrong:
    return lambda card, given: only_if(values.stands_on(card, given) == wanted, slip)


def _stands_where(*, flat: bool | None, held: bool | None, slip: str) -> Wrong:
    """Return a wrong place where the face is flat or not and the clamp holds or not."""

    def value(card: JobCard, given: Given) -> Answer | None:
        right = values.stands_on(card, given)
        is_flat, is_held = (
            right in (values.ON_HUB, values.ON_EITHER),
            right in (values.ON_SHAFT, values.ON_EITHER),
        )
        return only_if(flat in (None, is_flat) and held in (None, is_held), slip)

    return value


def _go_is(wanted: str, slip: str) -> Wrong:
    return lambda card, given: only_if(values.decision(card, given) == wanted, slip)


RIG = (
    WORDS.question(
        "05-stands-on",
        kind=Choice(options=values.STANDS_ON),
        expected=values.stands_on,
        needs=("05-drag",),
        slips={
            "jacks against the shaft": _stands_where(flat=None, held=False, slip=values.ON_SHAFT),
            "either will do": _stands(values.ON_HUB, values.ON_EITHER),
            "no place for the feet": _stands_where(flat=False, held=None, slip=values.ON_HUB),
            "either, with no place for the feet": _stands_where(
                flat=False, held=None, slip=values.ON_EITHER
            ),
            "clamp not counted": _stands(values.ON_EITHER, values.ON_HUB),
            "face not counted": _stands(values.ON_EITHER, values.ON_SHAFT),
            "given up too early": lambda card, given: only_if(
                values.stands_on(card, given) != values.ON_NEITHER, values.ON_NEITHER
            ),
        },
        facts=lambda card: (*values.hub_facts(card), *values.chain_facts(card)[:1]),
        worked=work.stands_on,
    ),
    WORDS.question(
        "05-jacks",
        kind=FORCE,
        expected=values.jacks,
        tolerance=_jack_tolerance,
        slips={
            "one jack for two": lambda card, given: (
                values.jacks(card, given) / 2 if values.case_of(card).jack_number == 2 else None
            ),
            "two jacks for one": lambda card, given: (
                2 * values.jacks(card, given) if values.case_of(card).jack_number == 1 else None
            ),
            "working share left out": scaled(values.jacks, 1.25),
            "another ton": lambda card, given: values.tons_lbf(
                card, wrong_lbf=2240, wrong_kn=8.896
            ),
            "short ton taken for a thousand": lambda card, given: (
                values.jacks(card, given) / 2
                if values.case_of(card).jack_number == 1 and not card.metric
                else None
            ),
        },
        facts=values.jack_facts,
        worked=work.jacks,
    ),
    WORDS.question(
        "05-rod",
        kind=FORCE,
        expected=values.rod,
        tolerance=within(values.rod, 0.01),
        slips={
            "area of the full diameter": _rod_by("area of the full diameter"),
            "working share left out": _rod_by("working share left out"),
            "tensile strength taken": _rod_by("tensile strength taken"),
            "rod reckoned too strong": _rod_one_of_them,
            "yield not cut down": _yield_whole,
        },
        facts=values.rod_facts,
        worked=work.rod,
    ),
    WORDS.question(
        "05-weakest",
        kind=Choice(options=tuple(values.LINKS.values())),
        expected=values.weakest,
        needs=("05-jacks", "05-rod"),
        slips={
            "strongest for weakest": lambda card, given: values.strongest(card, given),
            "jacks taken for the rig": _not_governing("jacks"),
            "rod taken for granted": _chain_rod,
            "rod that is not in the chain": _outside_rod,
        },
        facts=values.chain_facts,
        worked=work.weakest,
    ),
    WORDS.question(
        "05-margin",
        kind=Measure(
            dimension="force",
            unit="lbf",
            low=-2_000_000,
            high=1_000_000,
            places=0,
            metric_unit="kN",
            metric_places=1,
        ),
        expected=values.margin,
        tolerance=_margin_tolerance,
        needs=("05-angle", "05-push-factor", "05-pull-high", "05-jacks", "05-rod"),
        slips={
            "against the low pull": _low_margin,
            "jacks for the weakest link": _jack_margin,
            "sign turned": scaled(values.margin, -1.0),
        },
        facts=values.chain_facts,
        worked=work.margin,
    ),
)


DECIDE = (
    WORDS.question(
        "05-method",
        kind=Choice(options=values.METHODS),
        expected=values.method,
        needs=("05-pull-high", "05-pull-low", "05-jacks"),
        slips={
            "rig taken that falls short": _rig_anyway(values.NONE),
            "welded where the jacks fall short": _tapped(True, values.WELD, short=True),
            "rod in an untapped key": _tapped(False, values.STRONGBACK),
            "weld where the end is tapped": _tapped(True, values.WELD),
            "rig that is not at hand": _not_at_hand,
            "slide hammer for a heavy pull": lambda card, given: only_if(
                values.method(card, given) != values.SLIDE, values.SLIDE
            ),
            "jacks where the hammer will do": _rig_anyway(values.SLIDE),
            "pull given up too early": lambda card, given: only_if(
                values.method(card, given) != values.NONE, values.NONE
            ),
        },
        facts=lambda card: (*values.crib_facts(card), *values.chain_facts(card)),
        worked=work.method,
    ),
    WORDS.question(
        "05-go",
        kind=Choice(options=values.GOES),
        expected=values.go,
        needs=("05-pull-high", "05-jacks", "05-rod"),
        slips={
            "weak link waved through": _go_is(values.CHANGE, values.GO),
            "rig too small waved through": _go_is(values.RIG_SHORT, values.GO),
            "pulled against the taper": _go_is(values.HUB_FIRST, values.GO),
            "rig mended, taper not seen": _go_is(values.HUB_FIRST, values.CHANGE),
            "rig too small, taper not seen": _go_is(values.HUB_FIRST, values.RIG_SHORT),
            "gone ahead on a guess": _go_is(values.ENDS_FIRST, values.GO),
            "rig looked at, ends left open": _go_is(values.ENDS_FIRST, values.CHANGE),
            "rig too small, ends left open": _go_is(values.ENDS_FIRST, values.RIG_SHORT),
            "small end taken on a guess": _go_is(values.ENDS_FIRST, values.HUB_FIRST),
            "known already": lambda card, given: only_if(
                values.decision(card, given) != values.ENDS_FIRST, values.ENDS_FIRST
            ),
            "no go for the wrong reason": lambda card, given: {
                values.CHANGE: values.RIG_SHORT,
                values.RIG_SHORT: values.CHANGE,
            }.get(values.decision(card, given)),
            "held back without a reason": _go_is(values.GO, values.RIG_SHORT),
        },
        facts=lambda card: (*values.ends_facts(card), *values.chain_facts(card)),
        worked=work.go,
    ),
    WORDS.question(
        "05-steps",
        kind=Ordering(steps=WORDS.steps("05-steps")),
        expected=lambda card, given: tuple("BFDGCAE"),
        slips={
            "rig set before it was worked out": lambda card, given: tuple("BFGDCAE"),
            "ends measured too late": lambda card, given: tuple("BDFGCAE"),
            "ends measured with the rig on": lambda card, given: tuple("BDGFCAE"),
            "hands in before lock-out": lambda card, given: tuple("FBDGCAE"),
            "straight to the quarters": lambda card, given: tuple("BFDGACE"),
        },
        facts=values.steps_facts,
        worked=work.steps,
    ),
)
