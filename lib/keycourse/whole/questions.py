"""Exercise 06: one drive, from the readings to the pulling plan."""

from __future__ import annotations

from collections.abc import Callable

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
    Value,
    Wrong,
    in_order,
    number_of,
    only_if,
    scaled,
    within,
)
from keycourse.pull.values import ENDS_FIRST, GO, HUB_FIRST, LINKS, NEAR
from keycourse.whole import values, work
from keycourse.whole.key import ENDS, KEY, OPENING
from taperkey.formulas.wedge import drive_ratio, withdraw_ratio
from taperkey.units import MM_PER_IN

__all__ = ["PAGE"]

WORDS = words_beside(__file__)


def _low_seat(card: JobCard, given: Given) -> float:
    job = values.job_of(card)
    return values.seat(card, given) * job.pressure_low_psi / job.pressure_high_psi


def _seat_by_height(card: JobCard, given: Given) -> Answer | None:
    part = values.key_height(card) / values.job_of(card).width_in
    # with a square key it makes no odds
    return only_if(abs(part - 1) > 0.1, part * values.seat(card, given))


def _seat_without_width(card: JobCard, given: Given) -> Answer | None:
    width = values.job_of(card).width_in * (MM_PER_IN if card.metric else 1.0)
    return only_if(abs(width - 1) > 0.1, values.seat(card, given) / width)


def _pull_by(ratio: Callable[..., float], high: bool) -> Value:
    def value(card: JobCard, given: Given) -> float:
        job = values.job_of(card)
        mu = job.friction_high if high else job.friction_low
        slope = values.plan_taper(card)
        return number_of(given, "06-seat") * ratio(
            taper_in_per_in=slope, floor_friction=mu, roof_friction=mu
        )

    return value


def _one_face(card: JobCard, given: Given) -> float:
    seat, mu = number_of(given, "06-seat"), values.job_of(card).friction_high
    return values.pull(card, given) - seat * mu


def _jack_tolerance(card: JobCard, given: Given) -> float:
    # a tonne is often taken as 10 kN; that is 2 % high
    return (0.025 if card.metric else 0.01) * values.jacks(card, given)


def _margin_tolerance(card: JobCard, given: Given) -> float:
    # a difference of two forces, the pull to three figures
    return 0.012 * number_of(given, "06-pull") + 0.002 * values.loads(card, given)[0][1]


def _not_governing(name: str) -> Wrong:
    """Return a link's name where it is in the chain, and neither governs nor carries most."""

    def value(card: JobCard, given: Given) -> Answer | None:
        order = [link for link, _ in values.loads(card, given)]
        return only_if(name in order[1:-1], LINKS[name])

    return value


def _go_is(wanted: str, slip: str) -> Wrong:
    return lambda card, given: only_if(values.decision(card, given) == wanted, slip)


_PULL = (
    WORDS.question(
        "06-seat",
        kind=FORCE,
        expected=values.seat,
        tolerance=within(values.seat, 0.01),
        slips={
            "low end taken": _low_seat,
            "both faces added": scaled(values.seat, 2.0),
            "height for width": _seat_by_height,
            "width left out": _seat_without_width,
            "decimal point one place right": scaled(values.seat, 10.0),
            "decimal point one place left": scaled(values.seat, 0.1),
        },
        facts=values.seat_facts,
        worked=work.seat,
    ),
    WORDS.question(
        "06-pull",
        kind=FORCE,
        expected=values.pull,
        tolerance=within(values.pull, 0.01),
        needs=("06-seat",),
        slips={
            "driving for withdrawing": _pull_by(drive_ratio, True),
            "friction on one face only": _one_face,
            "low friction": _pull_by(withdraw_ratio, False),
            "normal force for pull": lambda card, given: number_of(given, "06-seat"),
            "decimal point one place right": scaled(values.pull, 10.0),
            "decimal point one place left": scaled(values.pull, 0.1),
        },
        facts=values.friction_facts,
        worked=work.pull,
    ),
    WORDS.question(
        "06-jacks",
        kind=FORCE,
        expected=values.jacks,
        tolerance=_jack_tolerance,
        slips={
            "one jack for two": lambda card, given: only_if(
                values.job_of(card).rig.jacks == 2, values.jacks(card, given) / 2
            ),
            "two jacks for one": lambda card, given: only_if(
                values.job_of(card).rig.jacks == 1, 2 * values.jacks(card, given)
            ),
            "working share left out": scaled(values.jacks, 1.25),
            "another ton": lambda card, given: (
                values.jacks(card, given) * (8.896 / 9.807 if card.metric else 1.12)
            ),
        },
        facts=values.jack_facts,
        worked=work.jacks,
    ),
    WORDS.question(
        "06-weakest",
        kind=Choice(options=tuple(LINKS.values())),
        expected=values.weakest,
        slips={
            "strongest for weakest": lambda card, given: LINKS[values.loads(card, given)[-1][0]],
            "jacks taken for the rig": _not_governing("jacks"),
            "rod taken for granted": _not_governing("rod"),
            "rod that is not in the chain": lambda card, given: only_if(
                not values.job_of(card).tapped, LINKS["rod"]
            ),
        },
        needs=("06-jacks",),
        facts=values.rig_facts,
        worked=work.weakest,
    ),
    WORDS.question(
        "06-margin",
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
        needs=("06-pull", "06-jacks"),
        slips={
            "strongest link taken": lambda card, given: (
                values.loads(card, given)[-1][1] - number_of(given, "06-pull")
            ),
            "sign turned": scaled(values.margin, -1.0),
            "added for taken off": lambda card, given: (
                values.loads(card, given)[0][1] + number_of(given, "06-pull")
            ),
        },
        facts=values.rig_facts,
        worked=work.margin,
    ),
    WORDS.question(
        "06-go",
        kind=Choice(options=values.GOES),
        expected=values.go,
        needs=("06-pull", "06-jacks"),
        slips={
            "short rig waved through": _go_is(values.SHORT, GO),
            "pulled against the taper": _go_is(HUB_FIRST, GO),
            "rig mended, taper not seen": _go_is(HUB_FIRST, values.SHORT),
            "reversed hub seen where none is": lambda card, given: only_if(
                values.large_end(card, given) == NEAR, HUB_FIRST
            ),
            "gone ahead on a guess": _go_is(ENDS_FIRST, GO),
            "rig looked at, ends left open": _go_is(ENDS_FIRST, values.SHORT),
            "small end taken on a guess": _go_is(ENDS_FIRST, HUB_FIRST),
            "known already": lambda card, given: only_if(
                values.decision(card, given) != ENDS_FIRST, ENDS_FIRST
            ),
            "enough rig turned away": _go_is(GO, values.SHORT),
        },
        facts=lambda card: (*values.ends_facts(card), *values.rig_facts(card)),
        worked=work.go,
    ),
)


_ORDER = WORDS.question(
    "06-order",
    kind=Ordering(steps=WORDS.steps("06-order")),
    expected=lambda card, given: tuple("BDAEGCF"),
    slips={
        "pull worked out before the ends are known": in_order("BADEGCF"),
        "hands in before lock-out": in_order("DBAEGCF"),
        "key made before the slot was measured": in_order("BDAECGF"),
        "pulled before it was worked out": in_order("BDEAGCF"),
    },
    facts=values.facts,
    worked=work.order,
)

PAGE = WORDS.page(
    facts=values.facts,
    unclear=values.doubt,
    reckoned=(*ENDS, *_PULL, *OPENING, *KEY, _ORDER),
)
