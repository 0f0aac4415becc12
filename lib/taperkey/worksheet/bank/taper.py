"""Exercise 02: find the taper, say how well it is known, and which end is large."""

from __future__ import annotations

import math
from dataclasses import replace

from taperkey.formulas.taper import (
    STANDARD_INCH,
    STANDARD_METRIC,
    compare_with_standard,
    mouth_height_from_parallel_in,
    two_point_taper,
    which_end_is_large,
)
from taperkey.jobcard import JobCard
from taperkey.worksheet.bank.common import (
    Given,
    bare,
    distance_text,
    length_slips,
    length_text,
    number_of,
    stations_of,
)
from taperkey.worksheet.question import (
    Answer,
    Choice,
    Fact,
    Measure,
    Page,
    Practical,
    Question,
    Slip,
    WorkedLine,
    Written,
)

__all__ = ["PAGE", "facts"]

COVERAGE = 0.9545  # two standard uncertainties

ONLY_INCH = "it agrees with 1:96, not with 1:100"
ONLY_METRIC = "it agrees with 1:100, not with 1:96"
BOTH = "it agrees with both: the base is too short to tell them apart"
NEITHER = "it agrees with neither: the key is made to the taper measured"
_STANDARDS = (ONLY_INCH, ONLY_METRIC, BOTH, NEITHER)

MOUTH = "the mouth"
INSIDE = "the inside end"
_ENDS = (MOUTH, INSIDE, "the readings cannot tell")

GO_ON = "make the key, and drive it from this end"
HUB_OFF = "stop and report it: the hub is turned round, and comes off before a key is driven"
PULL_HARDER = "go on from this end, with a stronger rig ready for the pull"
_FIRST = (GO_ON, HUB_OFF, PULL_HARDER)


def _of_long(card: JobCard, per_unit: float) -> str:
    """Write a taper over the long length of the card's system: a foot, or 100 mm."""
    return f"{100 * per_unit:.4f} mm/100 mm" if card.metric else f"{12 * per_unit:.4f} in/ft"


def _of_one(card: JobCard, per_unit: float) -> str:
    return f"{per_unit:.5f} {'mm/mm' if card.metric else 'in/in'}"


def _difference(card: JobCard, given: Given) -> float:
    heights = stations_of(card).heights_in
    return abs(heights[0] - heights[-1])


def _per_inch(card: JobCard, given: Given) -> float:
    return number_of(given, "02-difference") / stations_of(card).base_in


def _per_foot(card: JobCard, given: Given) -> float:
    return number_of(given, "02-per-inch")  # the course's own unit is inch per inch


def _ratio(card: JobCard, given: Given) -> float:
    return 1 / number_of(given, "02-per-inch")


def _sd(card: JobCard, given: Given) -> float:
    stations = stations_of(card)
    return math.sqrt(2) * stations.height_sd_in / stations.base_in


def _standard(card: JobCard, given: Given) -> Answer:
    taper = abs(number_of(given, "02-per-foot"))
    fits = [
        compare_with_standard(
            taper_in_per_in=taper,
            sd_in_per_in=_sd(card, given),
            standard_in_per_in=standard,
            coverage=COVERAGE,
        ).compatible
        for standard in (STANDARD_INCH, STANDARD_METRIC)
    ]
    return {
        (True, False): ONLY_INCH,
        (False, True): ONLY_METRIC,
        (True, True): BOTH,
        (False, False): NEITHER,
    }[fits[0], fits[1]]


def _large_end(card: JobCard, given: Given) -> Answer:
    stations = stations_of(card)
    taper = two_point_taper(
        mouth_height_in=stations.heights_in[0],
        inside_height_in=stations.heights_in[-1],
        distance_in=stations.base_in,
        height_sd_in=stations.height_sd_in,
    )
    end = which_end_is_large(
        taper_in_per_in=taper.taper_in_per_in,
        sd_in_per_in=taper.sd_in_per_in,
        coverage=COVERAGE,
    )
    return {"mouth": MOUTH, "inside": INSIDE, "undecided": _ENDS[2]}[end]


def _first(card: JobCard, given: Given) -> Answer:
    return HUB_OFF if _large_end(card, given) == INSIDE else GO_ON


def _parallel(card: JobCard, given: Given) -> float:
    stations = stations_of(card)
    return float(
        mouth_height_from_parallel_in(
            large_end_height_in=stations.parallel_height_in,
            stand_out_in=stations.parallel_stand_out_in,
            parallel_taper_in_per_in=card.drive.standard_taper_in_per_in,
        )
    )


def _difference_tolerance(card: JobCard, given: Given) -> float:
    return 0.00015


def _per_inch_tolerance(card: JobCard, given: Given) -> float:
    return max(0.00006, 0.25 * _sd(card, given))


def _ratio_tolerance(card: JobCard, given: Given) -> float:
    per_inch = number_of(given, "02-per-inch")
    return _per_inch_tolerance(card, given) / per_inch**2


def _sd_tolerance(card: JobCard, given: Given) -> float:
    return max(0.06 * _sd(card, given), 0.000004)


def _first_station(card: JobCard, given: Given) -> float | None:
    """Return the difference of the first two stations only, where there are more than two."""
    heights = stations_of(card).heights_in
    return abs(heights[0] - heights[1]) if len(heights) > 2 else None


def _usual(card: JobCard) -> str:
    return ONLY_METRIC if card.metric else ONLY_INCH


def _if(condition: bool, value: str) -> Answer | None:
    return value if condition else None


def _standard_ratio(card: JobCard) -> str:
    return "1:100" if card.metric else "1:96"


def _station_facts(card: JobCard) -> tuple[Fact, ...]:
    stations = stations_of(card)
    rows = [
        Fact(
            "Height at the mouth"
            if at == 0
            else f"Height {distance_text(card, at)} inside the mouth",
            length_text(card, height),
        )
        for at, height in zip(stations.distances_in, stations.heights_in, strict=True)
    ]
    return (
        *rows,
        Fact(
            "Standard uncertainty of each height (mean of three readings)",
            length_text(card, stations.height_sd_in),
        ),
    )


def _parallel_facts(card: JobCard) -> tuple[Fact, ...]:
    stations = stations_of(card)
    return (
        Fact(
            f"Second slot: adjustable parallel, ground to {_standard_ratio(card)}, "
            "height at its large end",
            length_text(card, stations.parallel_height_in),
        ),
        Fact(
            "Second slot: that large end stood out of the mouth by",
            distance_text(card, stations.parallel_stand_out_in),
        ),
    )


def facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the printed card."""
    return (*_station_facts(card), *_parallel_facts(card))


def _difference_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    heights = stations_of(card).heights_in
    high, low = max(heights[0], heights[-1]), min(heights[0], heights[-1])
    return (
        WorkedLine(
            why="How much the opening changes from the first to the last station.",
            formula="difference = larger height − smaller height",
            numbers=f"{length_text(card, high)} − {length_text(card, low)}",
            result=length_text(card, _difference(card, given)),
        ),
    )


def _per_inch_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    return (
        WorkedLine(
            why="Spread over the distance between the stations, that is the taper of one "
            f"{'millimetre' if card.metric else 'inch'}.",
            formula=f"taper per {'mm' if card.metric else 'inch'} = difference ÷ distance",
            numbers=f"{length_text(card, number_of(given, '02-difference'))} ÷ "
            f"{distance_text(card, stations_of(card).base_in)}",
            result=_of_one(card, _per_inch(card, given)),
        ),
    )


def _per_foot_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    taper = number_of(given, "02-per-inch")
    if card.metric:
        line = WorkedLine(
            why="100 mm is a hundred times one millimetre.",
            formula="taper in 100 mm = taper per mm × 100",
            numbers=f"{_of_one(card, taper)} × 100",
            result=_of_long(card, taper),
        )
    else:
        line = WorkedLine(
            why="A foot has 12 inches.",
            formula="taper per foot = taper per inch × 12",
            numbers=f"{_of_one(card, taper)} × 12 in/ft",
            result=_of_long(card, taper),
        )
    return (line,)


def _ratio_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    taper = number_of(given, "02-per-inch")
    return (
        WorkedLine(
            why="The ratio says in how many inches the height changes by one inch; "
            "in millimetres it is the same number.",
            formula=f"n = 1 ÷ taper per {'mm' if card.metric else 'inch'}",
            numbers=f"1 ÷ {_of_one(card, taper)}",
            result=f"1:{1 / taper:.1f}",
        ),
    )


def _sd_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    stations = stations_of(card)
    return (
        WorkedLine(
            why="Two heights, each uncertain by u, add up as squares; a longer base divides it; "
            + ("then over 100 mm." if card.metric else "and the foot has 12 inches."),
            formula=f"u(taper) = √2 × u ÷ base × {100 if card.metric else 12}",
            numbers=f"1.414 × {length_text(card, stations.height_sd_in)} ÷ "
            f"{distance_text(card, stations.base_in)} × {'100' if card.metric else '12 in/ft'}",
            result=f"{100 * _sd(card, given):.5f} mm/100 mm"
            if card.metric
            else f"{12 * _sd(card, given):.5f} in/ft",
        ),
    )


def _standard_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    taper = abs(number_of(given, "02-per-foot"))
    limit = 2 * _sd(card, given)
    return tuple(
        WorkedLine(
            why=f"Compare with {name}: does the difference stay within twice the uncertainty?",
            formula="|taper − standard| against 2 × u(taper)",
            numbers=f"|{_of_long(card, taper)} − {_of_long(card, standard)}| = "
            f"{_of_long(card, abs(taper - standard))} against {_of_long(card, limit)}",
            result="agrees" if abs(taper - standard) <= limit else "does not agree",
        )
        for name, standard in (("1:96", STANDARD_INCH), ("1:100", STANDARD_METRIC))
    )


def _end_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    heights = stations_of(card).heights_in
    return (
        WorkedLine(
            why="The large end of the key goes where the opening is higher.",
            formula="mouth height against inside height",
            numbers=f"{length_text(card, heights[0])} against {length_text(card, heights[-1])}",
            result=str(_large_end(card, given)),
        ),
    )


def _first_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    reversed_hub = _large_end(card, given) == INSIDE
    return (
        WorkedLine(
            why="The opening grows going in. A key driven from the far side cannot be pulled from "
            "this end: each pull wedges it tighter, whatever the force."
            if reversed_hub
            else "The opening gets lower going in, so the key goes in from this end and is later "
            "pulled from this end.",
            result=str(_first(card, given)),
        ),
    )


def _parallel_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    stations = stations_of(card)
    return (
        WorkedLine(
            why="The parallel is lower at the mouth than at its large end, by the taper of what "
            "stands out.",
            formula=f"height at the mouth = large end − stand-out ÷ {_standard_ratio(card)[2:]}",
            numbers=f"{length_text(card, stations.parallel_height_in)} − "
            f"{distance_text(card, stations.parallel_stand_out_in)} ÷ {_standard_ratio(card)[2:]}",
            result=length_text(card, _parallel(card, given)),
        ),
    )


_CRITICAL_END = (
    "This entry is safety-critical: a pull against the taper only tightens the key, and the rig "
    "gives way first."
)


def _unclear(card: JobCard, given: Given) -> str:
    """Return why a taper is neither well inside nor well outside the band of a standard."""
    measured = number_of(given, "02-per-foot")
    for standard in (STANDARD_INCH, STANDARD_METRIC):
        if 0.7 < abs(measured - standard) / (2 * _sd(card, given)) < 1.4:
            return "02-standard: the taper lies on the edge of agreeing"
    return ""


_PER_INCH = Question(
    key="02-per-inch",
    skill="work out a taper",
    label="Taper per inch",
    ask="What is the taper per inch?",
    marks=1,
    kind=Measure(dimension="taper", unit="in/in", low=0.002, high=0.05, places=5),
    expected=_per_inch,
    tolerance=_per_inch_tolerance,
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
            value=lambda card, given: 12 * _per_inch(card, given),
            sentence="This is already the taper of a foot. The question is about an inch.",
            share=0.5,
        ),
        Slip(
            name="upside down",
            value=lambda card, given: 1 / _per_inch(card, given),
            sentence="This is the distance divided by the difference: the wrong way up.",
            share=0.25,
        ),
        Slip(
            name="decimal point one place right",
            value=lambda card, given: 10 * _per_inch(card, given),
            sentence="The figures fit, the size does not: look at the decimal point.",
            share=0.25,
        ),
    ),
    hint="Divide the difference by the distance between the two stations.",
    facts=_station_facts,
    worked=_per_inch_work,
)

_PER_FOOT = Question(
    key="02-per-foot",
    skill="work out a taper",
    label="Taper per foot",
    ask="What is the taper per foot?",
    marks=2,
    kind=Measure(dimension="taper", unit="in/ft", low=0.03, high=0.5),
    expected=_per_foot,
    tolerance=_per_inch_tolerance,
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
    facts=_station_facts,
    worked=_per_foot_work,
)

_UNCERTAINTY = Question(
    key="02-uncertainty",
    skill="say how well it is known",
    label="Uncertainty of the taper",
    ask="How well is the taper per foot known from these two stations? "
    "Give the standard uncertainty per foot.",
    marks=2,
    kind=Measure(dimension="taper", unit="in/ft", low=0.00005, high=0.02, places=5),
    expected=_sd,
    tolerance=_sd_tolerance,
    slips=(
        Slip(
            name="one height only",
            value=lambda card, given: _sd(card, given) / math.sqrt(2),
            sentence="Two heights are uncertain, not one. They add up as squares.",
            share=0.5,
        ),
        Slip(
            name="added straight",
            value=lambda card, given: _sd(card, given) * math.sqrt(2),
            sentence="The two were added as they are. Independent ones add up as squares.",
            share=0.5,
        ),
        Slip(
            name="× 12 left out",
            value=lambda card, given: _sd(card, given) / 12,
            sentence="This is the uncertainty per inch. The question is about a foot.",
            share=0.5,
        ),
        Slip(
            name="base not divided",
            value=lambda card, given: _sd(card, given) * stations_of(card).base_in,
            sentence="The base is missing: a longer one makes the taper better known.",
            share=0.25,
        ),
    ),
    hint="Uncertainty of the difference first, then spread over the base, then per foot.",
    facts=_station_facts,
    worked=_sd_work,
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
            value=lambda card, given: 100 * _per_inch(card, given),
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
            value=lambda card, given: _sd(card, given) / 100,
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
    facts=facts,
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
            expected=_difference,
            tolerance=_difference_tolerance,
            slips=(
                Slip(
                    name="sign kept",
                    value=lambda card, given: -_difference(card, given),
                    sentence="The size fits; the question asks for it without a sign.",
                    share=0.5,
                ),
                Slip(
                    name="first two stations only",
                    value=_first_station,
                    sentence="This is the change to the second station. Take the last one: "
                    "the longer the base, the better the taper is known.",
                    share=0.25,
                ),
                *length_slips(_difference),
            ),
            hint="Take the smaller of the two heights from the larger.",
            facts=_station_facts,
            worked=_difference_work,
        ),
        replace(_PER_INCH, metric=_PER_MM),
        replace(_PER_FOOT, metric=_PER_100_MM),
        Question(
            key="02-ratio",
            skill="work out a taper",
            label="Ratio",
            ask="Written as 1 : n, what is n?",
            marks=1,
            kind=Measure(dimension="number", unit="", low=20, high=500, places=1),
            expected=_ratio,
            tolerance=_ratio_tolerance,
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
            facts=_station_facts,
            worked=_ratio_work,
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
            kind=Choice(options=_STANDARDS),
            expected=_standard,
            needs=("02-per-foot",),
            slips=(
                Slip(
                    name="short base trusted",
                    value=lambda card, given: _if(_standard(card, given) == BOTH, _usual(card)),
                    sentence="Over so short a base the taper is not known well enough for that.",
                ),
                Slip(
                    name="small difference waved through",
                    value=lambda card, given: _if(_standard(card, given) == NEITHER, _usual(card)),
                    sentence="Compare the difference with twice the uncertainty, not with how "
                    "small it looks.",
                ),
                Slip(
                    name="uncertainty left out",
                    value=lambda card, given: _if(
                        _standard(card, given) in (ONLY_INCH, ONLY_METRIC, BOTH), NEITHER
                    ),
                    sentence="No reading hits a standard to the last figure. The uncertainty says "
                    "how far off it may be.",
                ),
            ),
            hint="Work out both differences and hold each against twice the uncertainty.",
            facts=_station_facts,
            worked=_standard_work,
        ),
        Question(
            key="02-large-end",
            skill="tell a reversed hub",
            label="Large end",
            ask="At which end is the opening larger?",
            marks=1,
            kind=Choice(options=_ENDS),
            expected=_large_end,
            critical=_CRITICAL_END,
            slips=(
                Slip(
                    name="taken for granted",
                    value=lambda card, given: _if(_large_end(card, given) == INSIDE, MOUTH),
                    sentence="Usually it is the mouth; the readings decide. Compare the first with "
                    "the last.",
                ),
                Slip(
                    name="heights mixed up",
                    value=lambda card, given: _if(_large_end(card, given) == MOUTH, INSIDE),
                    sentence="Look once more which station is the mouth and which is inside.",
                ),
            ),
            hint="The difference is many times its uncertainty: the readings do decide.",
            facts=_station_facts,
            worked=_end_work,
        ),
        Question(
            key="02-what-first",
            skill="tell a reversed hub",
            label="What first",
            ask="Only this end can be reached. What do you do?",
            marks=2,
            kind=Choice(options=_FIRST),
            expected=_first,
            critical=_CRITICAL_END,
            slips=(
                Slip(
                    name="pull against the taper",
                    value=lambda card, given: _if(_first(card, given) == HUB_OFF, PULL_HARDER),
                    sentence="More force does not help where the pull itself tightens the key.",
                ),
                Slip(
                    name="reversed hub not seen",
                    value=lambda card, given: _if(_first(card, given) == HUB_OFF, GO_ON),
                    sentence="Look at which way the opening grows before a key is made.",
                ),
                Slip(
                    name="ordinary hub taken for reversed",
                    value=lambda card, given: _if(_first(card, given) == GO_ON, HUB_OFF),
                    sentence="Here the opening gets lower going in, as it should.",
                ),
            ),
            hint="Which way does the opening grow, and what does that do to a key?",
            facts=_station_facts,
            worked=_first_work,
        ),
        Question(
            key="02-parallel",
            skill="adjustable parallel",
            label="Height by parallel",
            ask="In the second slot an adjustable parallel was slid in until tight; the card "
            "says what taper it is ground to. How high is that slot at its mouth?",
            marks=2,
            kind=Measure(dimension="length", unit="in", low=0.2, high=4.0),
            expected=_parallel,
            tolerance=lambda card, given: 0.0003,
            slips=(
                Slip(
                    name="stand-out added",
                    value=lambda card, given: (
                        2 * stations_of(card).parallel_height_in - _parallel(card, given)
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
                *length_slips(_parallel),
            ),
            hint="The stand-out times the taper per inch is how much lower the mouth is.",
            facts=_parallel_facts,
            worked=_parallel_work,
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
