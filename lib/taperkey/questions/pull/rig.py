"""Exercise 05: the rig, its weakest link, and whether to go."""

from __future__ import annotations

import math

from taperkey.jobcard import JobCard
from taperkey.questions.common import FORCE, Given, Wrong, number_of, only_if, scaled, within
from taperkey.questions.pull import values, work
from taperkey.questions.question import Answer, Choice, Measure, Ordering, Question, Slip

__all__ = ["DECIDE", "RIG"]


def _margin_tolerance(card: JobCard, given: Given) -> float:
    # a difference of two forces, each to three figures
    pull = number_of(given, "05-pull-high")
    return 0.01 * (pull + abs(values.margin(card, given) + pull))


def _jack_tolerance(card: JobCard, given: Given) -> float:
    # a tonne is often taken as 10 kN; that is 2 % high
    return (0.025 if card.metric else 0.01) * values.jacks(card, given)


def _nominal_area(card: JobCard, given: Given) -> float:
    size, _ = values.rod_parts(card)
    return values.rod(card, given) * math.pi / 4 * size.diameter_in**2 / size.stress_area_in2


def _tensile(card: JobCard, given: Given) -> float:
    _, grade = values.rod_parts(card)
    strength = grade.proof_psi or 0.9 * grade.yield_psi
    return values.rod(card, given) * grade.tensile_psi / strength


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


def _method_is(wanted: tuple[str, ...], slip: str) -> Wrong:
    return lambda card, given: only_if(values.method(card, given) in wanted, slip)


def _rig_anyway(card: JobCard, given: Given) -> Answer | None:
    """Return the rig of the crib where no rig may be used."""
    if values.method(card, given) != values.NONE:
        return None
    hollow = values.case_of(card).rig == "hollow-plunger"
    return values.HOLLOW if hollow else values.STRONGBACK


def _go_is(wanted: str, slip: str) -> Wrong:
    return lambda card, given: only_if(values.decision(card, given) == wanted, slip)


RIG = (
    Question(
        key="05-jacks",
        skill="choose a rig",
        label="Jacks together",
        ask="What may the jacks in the crib give together, at the working share?",
        marks=1,
        kind=FORCE,
        expected=values.jacks,
        tolerance=_jack_tolerance,
        slips=(
            Slip(
                name="one jack for two",
                value=lambda card, given: (
                    values.jacks(card, given) / 2 if values.case_of(card).jack_number == 2 else None
                ),
                sentence="Two jacks side by side add up. The rod sees the sum of both.",
                share=0.25,
            ),
            Slip(
                name="two jacks for one",
                value=lambda card, given: (
                    2 * values.jacks(card, given) if values.case_of(card).jack_number == 1 else None
                ),
                sentence="There is one jack here, over the rod.",
            ),
            Slip(
                name="working share left out",
                value=scaled(values.jacks, 1.25),
                sentence="This is the full rating. Only a part of it is used.",
                share=0.5,
            ),
            Slip(
                name="another ton",
                value=lambda card, given: values.tons_lbf(card, wrong_lbf=2240, wrong_kn=8.896),
                sentence="There are several tons: the US ton is 2,000 lbf, the long ton is 2,240 "
                "lbf, the tonne weighs 9.81 kN. Read the unit on the jack.",
                share=0.5,
            ),
            Slip(
                name="short ton taken for a thousand",
                value=lambda card, given: (
                    values.jacks(card, given) / 2
                    if values.case_of(card).jack_number == 1 and not card.metric
                    else None
                ),
                sentence="A US ton is more than a thousand pounds.",
                share=0.25,
            ),
        ),
        hint="Number times rating, in force, times the working share.",
        facts=values.jack_facts,
        worked=work.jacks,
    ),
    Question(
        key="05-rod",
        skill="choose a rig",
        label="Rod",
        ask="What may the rod in the crib carry, at its working share? Give three figures or more.",
        marks=2,
        kind=FORCE,
        expected=values.rod,
        tolerance=within(values.rod, 0.01),
        slips=(
            Slip(
                name="area of the full diameter",
                value=_nominal_area,
                sentence="This is with the area of the full diameter. In the thread there is less: "
                "the stress area.",
                share=0.5,
            ),
            Slip(
                name="working share left out",
                value=scaled(values.rod, 4 / 3),
                sentence="This is the rod at its full proof strength. Only a part of it is used.",
                share=0.5,
            ),
            Slip(
                name="tensile strength taken",
                value=_tensile,
                sentence="At its tensile strength the rod breaks. It must not even stretch: take "
                "the proof strength.",
                share=0.25,
            ),
            Slip(
                name="yield not cut down",
                value=_yield_whole,
                sentence="No proof strength is stated. Then only nine tenths of the yield stand "
                "for it.",
                share=0.5,
            ),
        ),
        hint="Stress area times proof strength times working share.",
        facts=values.rod_facts,
        worked=work.rod,
    ),
    Question(
        key="05-weakest",
        skill="choose a rig",
        label="Weakest link",
        ask="Which link governs the rig on the planner's sheet?",
        marks=2,
        kind=Choice(options=tuple(values.LINKS.values())),
        expected=values.weakest,
        critical=values.CRITICAL_RIG,
        needs=("05-jacks", "05-rod"),
        slips=(
            Slip(
                name="strongest for weakest",
                value=lambda card, given: values.strongest(card, given),
                sentence="This one carries most. A chain parts where it carries least.",
            ),
            Slip(
                name="jacks taken for the rig",
                value=_not_governing("jacks"),
                sentence="The jacks only push. Go through every link between them and the key.",
            ),
            Slip(
                name="rod taken for granted",
                value=_chain_rod,
                sentence="The rod is not always the weakest. Hold it against every other link.",
            ),
            Slip(
                name="rod that is not in the chain",
                value=_outside_rod,
                sentence="No rod is in this rig: the bar is welded to the key.",
            ),
        ),
        hint="List every link of this rig with its working load, then take the lowest.",
        facts=values.chain_facts,
        worked=work.weakest,
    ),
    Question(
        key="05-margin",
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
        needs=("05-angle", "05-push-factor", "05-pull-high", "05-jacks", "05-rod"),
        slips=(
            Slip(
                name="against the low pull",
                value=_low_margin,
                sentence="The low pull was taken. The rig must carry the high one.",
                share=0.25,
            ),
            Slip(
                name="jacks for the weakest link",
                value=_jack_margin,
                sentence="This is what the jacks have over. The weakest link has less.",
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
        facts=values.chain_facts,
        worked=work.margin,
    ),
)


DECIDE = (
    Question(
        key="05-method",
        skill="decide on a pull",
        label="Method",
        ask="How do you take hold of this key, with what is in the crib? Where the rod must be "
        "changed first, choose the method all the same.",
        marks=2,
        kind=Choice(options=values.METHODS),
        expected=values.method,
        critical=values.CRITICAL_RIG,
        needs=("05-pull-high", "05-pull-low", "05-jacks"),
        slips=(
            Slip(
                name="pulled where no pull is possible",
                value=_rig_anyway,
                sentence="Look at the ends and at the high pull once more: can this rig draw this "
                "key from this end?",
            ),
            Slip(
                name="welded where no pull is possible",
                value=_method_is((values.NONE,), values.WELD),
                sentence="A weld holds the key. It does not turn its taper round, and it does not "
                "make the jacks stronger.",
            ),
            Slip(
                name="rod in an untapped key",
                value=_method_is((values.WELD,), values.STRONGBACK),
                sentence="The end is not tapped: the rod has nothing to hold in.",
            ),
            Slip(
                name="weld where the end is tapped",
                value=_method_is((values.STRONGBACK, values.HOLLOW), values.WELD),
                sentence="It would hold, but it is hot work, and the end is tapped already.",
                share=0.25,
            ),
            Slip(
                name="rig that is not at hand",
                value=lambda card, given: {
                    values.STRONGBACK: values.HOLLOW,
                    values.HOLLOW: values.STRONGBACK,
                }.get(str(values.method(card, given))),
                sentence="That one is out on another job. Look at the crib list.",
                share=0.25,
            ),
            Slip(
                name="sliding weight for a heavy pull",
                value=lambda card, given: values.SLIDE,
                sentence="Hold its peak against the low pull, and look whether it is in the crib.",
            ),
            Slip(
                name="pull given up too early",
                value=lambda card, given: only_if(
                    values.method(card, given) != values.NONE, values.NONE
                ),
                sentence="One of them can do it: the large end shows, and the jacks carry the "
                "high pull.",
                share=0.25,
            ),
        ),
        hint="Which end shows, is it tapped, and does any rig at hand come up to the high pull?",
        facts=lambda card: (
            *values.ends_facts(card),
            *values.crib_facts(card),
            *values.chain_facts(card),
        ),
        worked=work.method,
    ),
    Question(
        key="05-go",
        skill="decide on a pull",
        label="Go or no go",
        ask="The planner wants this rig on this key today. Go or no go?",
        marks=3,
        kind=Choice(options=values.GOES),
        expected=values.go,
        critical=values.CRITICAL_RIG,
        needs=("05-pull-high", "05-jacks", "05-rod"),
        slips=(
            Slip(
                name="weak link waved through",
                value=_go_is(values.CHANGE, values.GO),
                sentence="One link carries less than the high pull. Jacks do not know that.",
            ),
            Slip(
                name="rig too small waved through",
                value=_go_is(values.RIG_SHORT, values.GO),
                sentence="The rig does not come up to the high pull. A little more pumping does "
                "not change that.",
            ),
            Slip(
                name="pulled against the taper",
                value=_go_is(values.HUB_FIRST, values.GO),
                sentence="Hold the two heights against each other: what does a pull at this end "
                "do to the key?",
            ),
            Slip(
                name="rig mended, taper not seen",
                value=_go_is(values.HUB_FIRST, values.CHANGE),
                sentence="A stronger link pulls harder the wrong way. Look at both ends first.",
            ),
            Slip(
                name="rig too small, taper not seen",
                value=_go_is(values.HUB_FIRST, values.RIG_SHORT),
                sentence="It is no go, but for another reason, and a larger rig would do harm. "
                "Look at both ends.",
                share=0.25,
            ),
            Slip(
                name="no go for the wrong reason",
                value=lambda card, given: {
                    values.CHANGE: values.RIG_SHORT,
                    values.RIG_SHORT: values.CHANGE,
                }.get(values.decision(card, given)),
                sentence="It is no go, but count again how many links fall short.",
                share=0.5,
            ),
            Slip(
                name="held back without a reason",
                value=_go_is(values.GO, values.RIG_SHORT),
                sentence="Hold each link against the high pull once more: which one falls short?",
                share=0.25,
            ),
        ),
        hint="First which end shows; then the high pull against every link.",
        facts=lambda card: (*values.ends_facts(card), *values.chain_facts(card)),
        worked=work.go,
    ),
    Question(
        key="05-steps",
        skill="decide on a pull",
        label="Order of work",
        ask="On another drive all is well: the large end shows and the rig carries the pull. Put "
        "the steps in order.",
        marks=2,
        kind=Ordering(
            steps=(
                "Go up in quarters of the stop load or less; hold at each, look at gauge and mark.",
                "Lock out, tag, try; block the hub.",
                "Snug, about a tenth: is all in line, are all feet flat?",
                "Work out the weakest link, say the stop load aloud, mark it on the gauge.",
                "At the stop load, and nothing moves: ease off, and report.",
                "Measure the height at both ends.",
                "Set the rig, tie it, and clear the line of fire.",
            )
        ),
        expected=lambda card, given: tuple("BFDGCAE"),
        slips=(
            Slip(
                name="rig set before it was worked out",
                value=lambda card, given: tuple("BFGDCAE"),
                sentence="The rig stood before its weakest link was known. Numbers first.",
                share=0.5,
            ),
            Slip(
                name="ends measured too late",
                value=lambda card, given: tuple("BDFGCAE"),
                sentence="Both ends are measured before anything is worked out: they decide "
                "whether there is a pull at all.",
                share=0.5,
            ),
            Slip(
                name="ends measured with the rig on",
                value=lambda card, given: tuple("BDGFCAE"),
                sentence="With the rig on it is late to find out which end shows.",
            ),
            Slip(
                name="hands in before lock-out",
                value=lambda card, given: tuple("FBDGCAE"),
                sentence="Hands were between hub and shaft before the drive was locked out.",
            ),
            Slip(
                name="straight to the quarters",
                value=lambda card, given: tuple("BFDGACE"),
                sentence="A look at a tenth comes before the quarters: that is when a crooked rig "
                "shows.",
                share=0.5,
            ),
        ),
        hint="People first, then the ends, the numbers, the rig, and only then the pump.",
        facts=values.steps_facts,
        worked=work.steps,
    ),
)
