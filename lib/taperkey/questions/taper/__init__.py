"""Exercise 02: find the taper, say how well it is known, and which end is large."""

from __future__ import annotations

import math
from dataclasses import replace

from taperkey.formulas.taper import STANDARD_INCH, STANDARD_METRIC
from taperkey.jobcard import JobCard
from taperkey.questions.common import (
    Given,
    bare,
    length_slips,
    number_of,
    only_if,
    stations_of,
)
from taperkey.questions.question import Choice, Measure, Page, Practical, Question, Slip, Written
from taperkey.questions.taper import values

__all__ = ["PAGE"]


def _unclear(card: JobCard, given: Given) -> str:
    """Return why a taper is neither well inside nor well outside the band of a standard."""
    measured = number_of(given, "02-per-foot")
    for standard in (STANDARD_INCH, STANDARD_METRIC):
        if 0.7 < abs(measured - standard) / (2 * values.sd_of(card, given)) < 1.4:
            return "02-standard: the taper lies on the edge of agreeing"
    return ""


_PER_INCH = Question(
    key="02-per-inch",
    skill="work out a taper",
    label="Taper per inch",
    ask="What is the taper per inch?",
    marks=1,
    kind=Measure(dimension="taper", unit="in/in", low=0.002, high=0.05, places=5),
    expected=values.per_inch_of,
    tolerance=values.per_inch_tolerance,
    needs=("02-difference",),
    slips=(
        Slip(
            name="base not divided",
            value=lambda card, given: bare(card, number_of(given, "02-difference")),
            sentence="This is the change over the whole base. "
            "The question is about one inch of it.",
        ),
        Slip(
            name="× 12 too early",
            value=lambda card, given: 12 * values.per_inch_of(card, given),
            sentence="This is already the taper of a foot. The question is about an inch.",
            share=0.5,
        ),
        Slip(
            name="upside down",
            value=lambda card, given: 1 / values.per_inch_of(card, given),
            sentence="This is the distance divided by the difference: the wrong way up.",
            share=0.25,
        ),
        Slip(
            name="decimal point one place right",
            value=lambda card, given: 10 * values.per_inch_of(card, given),
            sentence="The figures fit, the size does not: look at the decimal point.",
            share=0.25,
        ),
    ),
    hint="Divide the difference by the distance between the two stations.",
    facts=values.station_facts,
    worked=values.per_inch_work,
)

_PER_FOOT = Question(
    key="02-per-foot",
    skill="work out a taper",
    label="Taper per foot",
    ask="What is the taper per foot?",
    marks=2,
    kind=Measure(dimension="taper", unit="in/ft", low=0.03, high=0.5),
    expected=values.per_foot_of,
    tolerance=values.per_inch_tolerance,
    needs=("02-per-inch",),
    slips=(
        Slip(
            name="× 12 left out",
            value=lambda card, given: number_of(given, "02-per-inch") / 12,
            sentence="This is the taper of one inch. A foot has more of them.",
            share=0.5,
        ),
        Slip(
            name="× 12 done twice",
            value=lambda card, given: number_of(given, "02-per-inch") * 12,
            sentence="The twelve is in there twice. From inch to foot it is needed once.",
            share=0.5,
        ),
        Slip(
            name="× 10 for × 12",
            value=lambda card, given: number_of(given, "02-per-inch") * 10 / 12,
            sentence="The number was multiplied by ten. A foot is not ten inches.",
            share=0.25,
        ),
        Slip(
            name="base not divided",
            value=lambda card, given: number_of(given, "02-difference"),
            sentence="The difference was multiplied by twelve, but not divided by the base first.",
        ),
        Slip(
            name="difference for taper",
            value=lambda card, given: number_of(given, "02-difference") / 12,
            sentence="This is the change over your base. How much would it be over a foot?",
        ),
    ),
    hint="Taper per inch first, then the inches of a foot.",
    facts=values.station_facts,
    worked=values.per_foot_work,
)

_UNCERTAINTY = Question(
    key="02-uncertainty",
    skill="say how well it is known",
    label="Uncertainty of the taper",
    ask="How well is the taper per foot known from these two stations? "
    "Give the standard uncertainty per foot.",
    marks=2,
    kind=Measure(dimension="taper", unit="in/ft", low=0.00005, high=0.02, places=5),
    expected=values.sd_of,
    tolerance=values.sd_tolerance,
    slips=(
        Slip(
            name="one height only",
            value=lambda card, given: values.sd_of(card, given) / math.sqrt(2),
            sentence="Two heights are uncertain, not one. They add up as squares.",
            share=0.5,
        ),
        Slip(
            name="added straight",
            value=lambda card, given: values.sd_of(card, given) * math.sqrt(2),
            sentence="The two were added as they are. Independent ones add up as squares.",
            share=0.5,
        ),
        Slip(
            name="× 12 left out",
            value=lambda card, given: values.sd_of(card, given) / 12,
            sentence="This is the uncertainty per inch. The question is about a foot.",
            share=0.5,
        ),
        Slip(
            name="base not divided",
            value=lambda card, given: values.sd_of(card, given) * stations_of(card).base_in,
            sentence="The base is missing: a longer one makes the taper better known.",
            share=0.25,
        ),
    ),
    hint="Uncertainty of the difference first, then spread over the base, then per foot.",
    facts=values.station_facts,
    worked=values.sd_work,
)

_PER_MM = replace(
    _PER_INCH,
    label="Taper per millimetre",
    ask="What is the taper per millimetre?",
    kind=Measure(dimension="taper", unit="mm/mm", low=0.002, high=0.05, places=5),
    slips=(
        Slip(
            name="base not divided",
            value=lambda card, given: bare(card, number_of(given, "02-difference")),
            sentence="This is the change over the whole base. "
            "The question is about one millimetre of it.",
        ),
        Slip(
            name="× 100 too early",
            value=lambda card, given: 100 * values.per_inch_of(card, given),
            sentence="This is already the taper of 100 mm. The question is about one of them.",
            share=0.5,
        ),
        *_PER_INCH.slips[2:],
    ),
)
_PER_100_MM = replace(
    _PER_FOOT,
    label="Taper in 100 mm",
    ask="How much is the taper in 100 mm?",
    kind=Measure(dimension="taper", unit="mm/100 mm", low=0.2, high=5.0),
    slips=(
        Slip(
            name="× 100 left out",
            value=lambda card, given: number_of(given, "02-per-inch") / 100,
            sentence="This is the taper of one millimetre. The question is about 100 of them.",
            share=0.5,
        ),
        Slip(
            name="× 100 done twice",
            value=lambda card, given: number_of(given, "02-per-inch") * 100,
            sentence="The hundred is in there twice. From 1 mm to 100 mm it is needed once.",
            share=0.5,
        ),
        Slip(
            name="× 12 for × 100",
            value=lambda card, given: number_of(given, "02-per-inch") * 12 / 100,
            sentence="The twelve belongs to inches and feet. Here it is 100 mm.",
            share=0.25,
        ),
        Slip(
            name="base not divided",
            value=lambda card, given: bare(card, number_of(given, "02-difference")),
            sentence="The difference was multiplied by a hundred, but not divided by the "
            "base first.",
        ),
        Slip(
            name="difference for taper",
            value=lambda card, given: bare(card, number_of(given, "02-difference")) / 100,
            sentence="This is the change over your base. How much would it be over 100 mm?",
        ),
    ),
    hint="Taper per millimetre first, then over 100 mm.",
)
_UNCERTAINTY_100_MM = replace(
    _UNCERTAINTY,
    ask="How well is the taper in 100 mm known from the first and the last station? "
    "Give the standard uncertainty in 100 mm.",
    kind=Measure(dimension="taper", unit="mm/100 mm", low=0.0005, high=0.1, places=5),
    slips=(
        *_UNCERTAINTY.slips[:2],
        Slip(
            name="× 100 left out",
            value=lambda card, given: values.sd_of(card, given) / 100,
            sentence="This is the uncertainty per millimetre. The question is about 100 mm.",
            share=0.5,
        ),
        Slip(
            name="base not divided",
            value=lambda card, given: bare(card, math.sqrt(2) * stations_of(card).height_sd_in),
            sentence="The base is missing: a longer one makes the taper better known.",
            share=0.25,
        ),
    ),
    hint="Uncertainty of the difference first, then spread over the base, then over 100 mm.",
)

PAGE = Page(
    name="02-taper",
    title="Find the taper",
    facts=values.facts,
    unclear=_unclear,
    questions=(
        Question(
            key="02-difference",
            skill="work out a taper",
            label="Difference",
            ask="How much does the height change from the mouth to the last station? "
            "Give it without a sign.",
            marks=1,
            kind=Measure(dimension="length", unit="in", low=0.0, high=0.5),
            expected=values.difference_of,
            tolerance=values.difference_tolerance,
            slips=(
                Slip(
                    name="sign kept",
                    value=lambda card, given: -values.difference_of(card, given),
                    sentence="The size fits; the question asks for it without a sign.",
                    share=0.5,
                ),
                Slip(
                    name="first two stations only",
                    value=values.first_station,
                    sentence="This is the change to the second station. Take the last one: "
                    "the longer the base, the better the taper is known.",
                    share=0.25,
                ),
                *length_slips(values.difference_of),
            ),
            hint="Take the smaller of the two heights from the larger.",
            facts=values.station_facts,
            worked=values.difference_work,
        ),
        replace(_PER_INCH, metric=_PER_MM),
        replace(_PER_FOOT, metric=_PER_100_MM),
        Question(
            key="02-ratio",
            skill="work out a taper",
            label="Ratio",
            ask="Written as 1 : n, what is n?",
            marks=1,
            kind=Measure(dimension="ratio", unit="", low=20, high=500, places=1),
            expected=values.ratio_of,
            tolerance=values.ratio_tolerance,
            needs=("02-per-inch",),
            slips=(
                Slip(
                    name="taper for ratio",
                    value=lambda card, given: number_of(given, "02-per-inch"),
                    sentence="This is the taper itself. n says in how many inches the height "
                    "changes by one inch.",
                ),
                Slip(
                    name="per foot turned over",
                    value=lambda card, given: (
                        None if card.metric else 1 / (12 * number_of(given, "02-per-inch"))
                    ),
                    sentence="This is one divided by the taper per foot. Both numbers of a ratio "
                    "have the same unit: use the taper per inch.",
                    share=0.5,
                ),
                Slip(
                    name="decimal point one place left",
                    value=lambda card, given: 0.1 / number_of(given, "02-per-inch"),
                    sentence="The figures fit, the size does not: look at the decimal point.",
                    share=0.25,
                ),
            ),
            hint="Divide 1 by the taper per inch.",
            facts=values.station_facts,
            worked=values.ratio_work,
        ),
        replace(_UNCERTAINTY, metric=_UNCERTAINTY_100_MM),
        Question(
            key="02-standard",
            skill="say how well it is known",
            label="Standard or not",
            ask="Compare the taper with 1:96 (0.1250 in/ft, 1.0417 mm/100 mm) and 1:100 "
            "(0.1200 in/ft, 1.0000 mm/100 mm), allowing twice its standard uncertainty. "
            "What do the readings say?",
            marks=2,
            kind=Choice(options=values.STANDARDS),
            expected=values.standard_of,
            needs=("02-per-foot",),
            slips=(
                Slip(
                    name="short base trusted",
                    value=lambda card, given: only_if(
                        values.standard_of(card, given) == values.BOTH, values.usual_of(card)
                    ),
                    sentence="Over so short a base the taper is not known well enough for that.",
                ),
                Slip(
                    name="small difference waved through",
                    value=lambda card, given: only_if(
                        values.standard_of(card, given) == values.NEITHER, values.usual_of(card)
                    ),
                    sentence="Compare the difference with twice the uncertainty, not with how "
                    "small it looks.",
                ),
                Slip(
                    name="uncertainty left out",
                    value=lambda card, given: only_if(
                        values.standard_of(card, given)
                        in (values.ONLY_INCH, values.ONLY_METRIC, values.BOTH),
                        values.NEITHER,
                    ),
                    sentence="No reading hits a standard to the last figure. The uncertainty says "
                    "how far off it may be.",
                ),
            ),
            hint="Work out both differences and hold each against twice the uncertainty.",
            facts=values.station_facts,
            worked=values.standard_work,
        ),
        Question(
            key="02-large-end",
            skill="tell a reversed hub",
            label="Large end",
            ask="At which end is the opening larger?",
            marks=1,
            kind=Choice(options=values.ENDS),
            expected=values.large_end_of,
            critical=values.CRITICAL_END,
            slips=(
                Slip(
                    name="taken for granted",
                    value=lambda card, given: only_if(
                        values.large_end_of(card, given) == values.INSIDE, values.MOUTH
                    ),
                    sentence="Usually it is the mouth; the readings decide. Compare the first with "
                    "the last.",
                ),
                Slip(
                    name="heights mixed up",
                    value=lambda card, given: only_if(
                        values.large_end_of(card, given) == values.MOUTH, values.INSIDE
                    ),
                    sentence="Look once more which station is the mouth and which is inside.",
                ),
            ),
            hint="The difference is many times its uncertainty: the readings do decide.",
            facts=values.station_facts,
            worked=values.end_work,
        ),
        Question(
            key="02-what-first",
            skill="tell a reversed hub",
            label="What first",
            ask="Only this end can be reached. What do you do?",
            marks=2,
            kind=Choice(options=values.FIRST),
            expected=values.first_of,
            critical=values.CRITICAL_END,
            slips=(
                Slip(
                    name="pull against the taper",
                    value=lambda card, given: only_if(
                        values.first_of(card, given) == values.HUB_OFF, values.PULL_HARDER
                    ),
                    sentence="More force does not help where the pull itself tightens the key.",
                ),
                Slip(
                    name="reversed hub not seen",
                    value=lambda card, given: only_if(
                        values.first_of(card, given) == values.HUB_OFF, values.GO_ON
                    ),
                    sentence="Look at which way the opening grows before a key is made.",
                ),
                Slip(
                    name="ordinary hub taken for reversed",
                    value=lambda card, given: only_if(
                        values.first_of(card, given) == values.GO_ON, values.HUB_OFF
                    ),
                    sentence="Here the opening gets lower going in, as it should.",
                ),
            ),
            hint="Which way does the opening grow, and what does that do to a key?",
            facts=values.station_facts,
            worked=values.first_work,
        ),
        Question(
            key="02-parallel",
            skill="adjustable parallel",
            label="Height by parallel",
            ask="In the second slot an adjustable parallel was slid in until tight; the card "
            "says what taper it is ground to. How high is that slot at its mouth?",
            marks=2,
            kind=Measure(dimension="length", unit="in", low=0.2, high=4.0),
            expected=values.parallel_of,
            tolerance=lambda card, given: 0.0003,
            slips=(
                Slip(
                    name="stand-out added",
                    value=lambda card, given: (
                        2 * stations_of(card).parallel_height_in - values.parallel_of(card, given)
                    ),
                    sentence="The parallel gets lower going in. Is the mouth higher or lower than "
                    "its large end?",
                    share=0.25,
                ),
                Slip(
                    name="stand-out left out",
                    value=lambda card, given: stations_of(card).parallel_height_in,
                    sentence="This is the large end itself. It stood out of the slot; the mouth is "
                    "further in.",
                    share=0.25,
                ),
                Slip(
                    name="1/8 in per inch",
                    value=lambda card, given: (
                        None
                        if card.metric
                        else stations_of(card).parallel_height_in
                        - stations_of(card).parallel_stand_out_in / 8
                    ),
                    sentence="An eighth is the taper of a foot, not of an inch.",
                    share=0.25,
                ),
                *length_slips(values.parallel_of),
            ),
            hint="The stand-out times the taper per inch is how much lower the mouth is.",
            facts=values.parallel_facts,
            worked=values.parallel_work,
        ),
        Question(
            key="02-why-longer",
            skill="explain",
            label="Why a longer base",
            ask="A mate measures at the mouth and 1 in further in, once each, and is sure of the "
            "taper. What do you tell them? Two to four sentences.",
            marks=3,
            kind=Written(
                guide="1 mark: each height repeats only to about half a thousandth. 1 mark: over "
                "1 in that makes the taper per foot uncertain by more than 0.008 in/ft, so 1:96 "
                "and 1:100 cannot be told apart. 1 mark: a longer base, more stations or "
                "repeated readings."
            ),
        ),
        Question(
            key="02-sign-off",
            skill="bench work",
            label="Sign-off: find a taper",
            ask="At the bench: find the taper of a slot and say which end is large, while your "
            "assessor watches.",
            marks=5,
            kind=Practical(
                guide="1 mark each: stations marked and measured from the mouth; longest base that "
                "can be reached; heights repeated and averaged; taper per foot worked out and "
                "compared with the standard; height looked at from both ends before anything "
                "about driving or pulling is said."
            ),
        ),
    ),
)
