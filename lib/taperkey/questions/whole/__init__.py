"""Exercise 06: one drive, from the readings to the pulling plan."""

from __future__ import annotations

from collections.abc import Callable

from taperkey.formulas.wedge import drive_ratio, withdraw_ratio
from taperkey.jobcard import JobCard
from taperkey.jobcard.drive import MM_PER_IN
from taperkey.questions.common import (
    FORCE,
    Given,
    Value,
    Wrong,
    number_of,
    only_if,
    scaled,
    within,
)
from taperkey.questions.pull.values import CRITICAL_RIG, GO, HUB_FIRST, LINKS
from taperkey.questions.question import (
    Answer,
    Choice,
    Measure,
    Ordering,
    Page,
    Practical,
    Question,
    Slip,
    Written,
)
from taperkey.questions.whole import values, work
from taperkey.questions.whole.key import KEY, OPENING

__all__ = ["PAGE"]


def _low_seat(card: JobCard, given: Given) -> float:
    job = values.job_of(card)
    return values.seat(card, given) * job.pressure_low_psi / job.pressure_high_psi


def _seat_by_height(card: JobCard, given: Given) -> Answer | None:
    height = (number_of(given, "06-near-height") + number_of(given, "06-far-height")) / 2
    part = height / values.job_of(card).width_in
    # with a square key it makes no odds
    return only_if(abs(part - 1) > 0.1, part * values.seat(card, given))


def _seat_without_width(card: JobCard, given: Given) -> Answer | None:
    width = values.job_of(card).width_in * (MM_PER_IN if card.metric else 1.0)
    return only_if(abs(width - 1) > 0.1, values.seat(card, given) / width)


def _pull_by(ratio: Callable[..., float], high: bool) -> Value:
    def value(card: JobCard, given: Given) -> float:
        job = values.job_of(card)
        mu = job.friction_high if high else job.friction_low
        slope = number_of(given, "06-taper")
        return number_of(given, "06-seat") * ratio(
            taper_in_per_in=slope, floor_friction=mu, roof_friction=mu
        )

    return value


def _one_face(card: JobCard, given: Given) -> float:
    seat, mu = number_of(given, "06-seat"), values.job_of(card).friction_high
    return values.pull(card, given) - seat * mu


def _margin_tolerance(card: JobCard, given: Given) -> float:
    # a difference of two forces, the pull to three figures
    return 0.012 * number_of(given, "06-pull") + 0.002 * values.loads(card)[0][1]


def _not_governing(name: str) -> Wrong:
    """Return a link's name where it is in the chain, and neither governs nor carries most."""

    def value(card: JobCard, given: Given) -> Answer | None:
        order = [link for link, _ in values.loads(card)]
        return only_if(name in order[1:-1], LINKS[name])

    return value


def _go_is(wanted: str, slip: str) -> Wrong:
    return lambda card, given: only_if(
        values.decision(card, number_of(given, "06-pull")) == wanted, slip
    )


_PULL = (
    Question(
        key="06-seat",
        skill="work out a pull",
        label="Normal force, high end",
        ask="Now the old key. How hard is each of its faces squeezed, high end? Give three figures "
        "or more.",
        marks=2,
        kind=FORCE,
        expected=values.seat,
        tolerance=within(values.seat, 0.01),
        needs=("06-near-height", "06-far-height"),
        slips=(
            Slip(
                name="low end taken",
                value=_low_seat,
                sentence="This is the low end. A rig is chosen by the high one.",
                share=0.5,
            ),
            Slip(
                name="both faces added",
                value=scaled(values.seat, 2.0),
                sentence="N is the force on one face. The other face has the same; they are not "
                "added here.",
                share=0.25,
            ),
            Slip(
                name="height for width",
                value=_seat_by_height,
                sentence="The face that bears is as wide as the key, not as high.",
                share=0.25,
            ),
            Slip(
                name="width left out",
                value=_seat_without_width,
                sentence="Pressure acts on an area: width times length.",
            ),
        ),
        hint="Pressure, high end, times the area of one face.",
        facts=values.seat_facts,
        worked=work.seat,
    ),
    Question(
        key="06-pull",
        skill="work out a pull",
        label="High pull",
        ask="What is the high pull, the one that the rig must carry? Give three figures or more.",
        marks=3,
        kind=FORCE,
        expected=values.pull,
        tolerance=within(values.pull, 0.01),
        needs=("06-taper", "06-seat"),
        slips=(
            Slip(
                name="driving for withdrawing",
                value=_pull_by(drive_ratio, True),
                sentence="This is the force that would drive the key further in. You want to draw "
                "it out.",
                share=0.5,
            ),
            Slip(
                name="friction on one face only",
                value=_one_face,
                sentence="The key rubs on two faces, top and bottom.",
                share=0.25,
            ),
            Slip(
                name="low friction",
                value=_pull_by(withdraw_ratio, False),
                sentence="This is with the low end of the friction. Which end decides the rig?",
                share=0.25,
            ),
            Slip(
                name="normal force for pull",
                value=lambda card, given: number_of(given, "06-seat"),
                sentence="This is the force across the key. The pull is the part of it that "
                "friction makes.",
            ),
        ),
        hint="N, high end, times tan φ + tan(φ − α) at the high end of the friction.",
        facts=values.friction_facts,
        worked=work.pull,
    ),
    Question(
        key="06-weakest",
        skill="choose a rig",
        label="Weakest link",
        ask="Which link governs the rig?",
        marks=2,
        kind=Choice(options=tuple(LINKS.values())),
        expected=values.weakest,
        critical=CRITICAL_RIG,
        slips=(
            Slip(
                name="strongest for weakest",
                value=lambda card, given: LINKS[values.loads(card)[-1][0]],
                sentence="This one carries most. A chain parts where it carries least.",
            ),
            Slip(
                name="jacks taken for the rig",
                value=_not_governing("jacks"),
                sentence="The jacks only push. Go through every link between them and the key.",
            ),
            Slip(
                name="rod taken for granted",
                value=_not_governing("rod"),
                sentence="The rod is not always the weakest. Hold it against every other link.",
            ),
            Slip(
                name="rod that is not in the chain",
                value=lambda card, given: only_if(not values.job_of(card).tapped, LINKS["rod"]),
                sentence="No rod is in this rig: the bar is welded to the key.",
            ),
        ),
        hint="Take the lowest working load on the card.",
        facts=values.rig_facts,
        worked=work.weakest,
    ),
    Question(
        key="06-margin",
        skill="choose a rig",
        label="Margin",
        ask="How much does the weakest link carry beyond the high pull? Put a minus before it "
        "where it falls short.",
        marks=2,
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
        needs=("06-pull",),
        slips=(
            Slip(
                name="strongest link taken",
                value=lambda card, given: values.loads(card)[-1][1] - number_of(given, "06-pull"),
                sentence="This is what the strongest link has over. The weakest has less.",
                share=0.25,
            ),
            Slip(
                name="sign turned",
                value=scaled(values.margin, -1.0),
                sentence="The sign is turned: a rig that is short has a minus, one that has more "
                "than enough has none.",
                share=0.5,
            ),
        ),
        hint="Working load of the weakest link less the high pull.",
        facts=values.rig_facts,
        worked=work.margin,
    ),
    Question(
        key="06-go",
        skill="decide on a pull",
        label="Go or no go",
        ask="The planner wants this rig on this key today, from the end that shows. Go or no go?",
        marks=3,
        kind=Choice(options=values.GOES),
        expected=values.go,
        critical=CRITICAL_RIG,
        needs=("06-pull",),
        slips=(
            Slip(
                name="short rig waved through",
                value=_go_is(values.SHORT, GO),
                sentence="One link carries less than the high pull. Jacks do not know that.",
            ),
            Slip(
                name="pulled against the taper",
                value=_go_is(HUB_FIRST, GO),
                sentence="Hold the two heights against each other: what does a pull at this end "
                "do to the key?",
            ),
            Slip(
                name="rig mended, taper not seen",
                value=_go_is(HUB_FIRST, values.SHORT),
                sentence="A stronger rig pulls harder the wrong way. Look at both ends first.",
                share=0.25,
            ),
            Slip(
                name="reversed hub seen where none is",
                value=lambda card, given: only_if(
                    values.decision(card, number_of(given, "06-pull")) != HUB_FIRST, HUB_FIRST
                ),
                sentence="The larger height is at the end that shows. The hub may stay on.",
            ),
            Slip(
                name="hoped for the best",
                value=lambda card, given: values.CAREFULLY,
                sentence="A rig is held against the high pull. Care does not make a link stronger.",
            ),
            Slip(
                name="enough rig turned away",
                value=_go_is(GO, values.SHORT),
                sentence="Every link carries the high pull. Look at the margin once more.",
                share=0.25,
            ),
        ),
        hint="First the ends, then the weakest link against the high pull.",
        facts=lambda card: (*values.height_facts(card)[:2], *values.rig_facts(card)),
        worked=work.go,
    ),
)

_STEPS = (
    "Work out the pull, and hold every link of the rig against it",
    "Lock out and try to start; block what can roll, turn or drop",
    "Make the new key, with something left on for fitting",
    "Measure the key at both ends: which one is large?",
    "Draw the old key, the load in steps",
    "Blue, file and try until the marks run the whole length, then drive it home",
    "Measure the empty slot, keyway turned to the bottom",
)


def _order(letters: str) -> Wrong:
    return lambda card, given: tuple(letters)


_ORDER = Question(
    key="06-order",
    skill="plan a job",
    label="Order of the job",
    ask="Put the whole job in order. Write the letters with spaces between.",
    marks=2,
    kind=Ordering(steps=_STEPS),
    expected=lambda card, given: tuple("BDAEGCF"),
    slips=(
        Slip(
            name="pull worked out before the ends are known",
            value=_order("BADEGCF"),
            sentence="Which end is large decides whether there is a pull at all. Measure first.",
            share=0.5,
        ),
        Slip(
            name="hands in before lock-out",
            value=_order("DBAEGCF"),
            sentence="Hands were between hub and shaft before the drive was locked out.",
        ),
        Slip(
            name="key made before the slot was measured",
            value=_order("BDAECGF"),
            sentence="A new key is made for the slot as it is, not for the key that came out.",
            share=0.5,
        ),
        Slip(
            name="pulled before it was worked out",
            value=_order("BDEAGCF"),
            sentence="The key was drawn before the weakest link was known.",
        ),
    ),
    hint="Lock-out, ends, plan, pull, slot, key, fit.",
    facts=values.facts,
    worked=work.order,
)

_BY_ASSESSOR = (
    Question(
        key="06-hand-over",
        skill="explain",
        label="Hand-over",
        ask="You go off shift after the plan is made, before the pull. Write the hand-over for the "
        "mate who pulls: what you measured, what it says, what the rig may carry, and when to "
        "stop. Three to six sentences.",
        marks=4,
        kind=Written(
            guide="1 mark: both heights and which end is large, with numbers. 1 mark: high pull "
            "and weakest link, with numbers and which is larger. 1 mark: go or no go as the "
            "numbers say, or what must be changed first. 1 mark: load to stop at, who is called, "
            "and lock-out and line of fire named."
        ),
    ),
    Question(
        key="06-sign-off",
        skill="bench work",
        label="Sign-off: one job, whole",
        ask="On the practice drive: measure, plan, draw the old key, make and fit the new one, and "
        "fill in the job sheet as you go, while your assessor watches.",
        marks=8,
        kind=Practical(
            guide="1 mark each: lock-out tried and hub blocked; both ends measured before any rig; "
            "plan on paper with every link before the rig stands; load in steps, nobody in line; "
            "empty slot measured with the keyway at the bottom, three readings each; relief cut "
            "before the taper cut; marks along the whole length of both faces; job sheet complete "
            "and signed."
        ),
    ),
)

PAGE = Page(
    name="06-whole-job",
    title="One job, from readings to pull",
    facts=values.facts,
    unclear=values.doubt,
    questions=(*OPENING, *KEY, *_PULL, _ORDER, *_BY_ASSESSOR),
)
