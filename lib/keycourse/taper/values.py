"""What the readings of exercise 02 give: right values, card lines and worked lines."""

from __future__ import annotations

import math

from coursework.question import Answer, Fact, WorkedLine
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import (
    Given,
    distance_text,
    length_text,
    number_of,
)
from keycourse.taper.card import StationReadings
from taperkey.formulas.taper import (
    STANDARD_INCH,
    STANDARD_METRIC,
    compare_with_standard,
    mouth_height_from_parallel_in,
    two_point_taper,
    which_end_is_large,
)

__all__ = [
    "stations_of",
    "BOTH",
    "COVERAGE",
    "ENDS",
    "FIRST",
    "GO_ON",
    "HUB_OFF",
    "INSIDE",
    "MEASURE_AGAIN",
    "MOUTH",
    "NEITHER",
    "ONLY_INCH",
    "ONLY_METRIC",
    "STANDARDS",
    "UNDECIDED",
    "difference_of",
    "difference_tolerance",
    "difference_work",
    "end_work",
    "facts",
    "first_of",
    "first_station",
    "first_work",
    "large_end_of",
    "larger_of",
    "parallel_facts",
    "parallel_of",
    "parallel_work",
    "per_foot_of",
    "per_foot_work",
    "per_inch_of",
    "per_inch_tolerance",
    "per_inch_work",
    "ratio_of",
    "ratio_tolerance",
    "ratio_work",
    "sd_of",
    "sd_tolerance",
    "sd_work",
    "standard_of",
    "standard_work",
    "station_facts",
    "usual_of",
]

WORDS = words_beside(__file__)

_SAID = WORDS.options("02-standard")
ONLY_INCH = _SAID["only-inch"]
ONLY_METRIC = _SAID["only-metric"]
BOTH = _SAID["both"]
NEITHER = _SAID["neither"]
STANDARDS = tuple(_SAID.values())

_SAID = WORDS.options("02-large-end")
MOUTH = _SAID["mouth"]
INSIDE = _SAID["inside"]
UNDECIDED = _SAID["undecided"]
ENDS = tuple(_SAID.values())

_SAID = WORDS.options("02-what-first")
GO_ON = _SAID["go-on"]
HUB_OFF = _SAID["hub-off"]
MEASURE_AGAIN = _SAID["measure-again"]
FIRST = tuple(_SAID.values())


def stations_of(card: JobCard) -> StationReadings:
    """Return the card's heights along an opening."""
    return card.read(StationReadings)


_CLOSE = 0.02  # a sum is done closer than that, however rough the heights
COVERAGE = 0.9545  # two standard uncertainties


def _long(card: JobCard) -> int:
    """Return how many units of length the taper is given over: a foot, or 100 mm."""
    return 100 if card.metric else 12


def _of_long(card: JobCard, per_unit: float, *, places: int = 4) -> str:
    """Write a taper over the long length of the card's system: a foot, or 100 mm."""
    unit = "mm/100 mm" if card.metric else "in/ft"
    return f"{_long(card) * per_unit:.{places}f} {unit}"


def _of_one(card: JobCard, per_unit: float) -> str:
    return f"{per_unit:.5f} {'mm/mm' if card.metric else 'in/in'}"


def difference_of(card: JobCard, given: Given) -> float:
    """Return how much the height changes from the mouth to the last station."""
    heights = stations_of(card).heights_in
    return abs(heights[0] - heights[-1])


def per_inch_of(card: JobCard, given: Given) -> float:
    """Return the taper per inch, on the difference given."""
    return round(number_of(given, "02-difference") / stations_of(card).base_in, 5)


def per_foot_of(card: JobCard, given: Given) -> float:
    """Return the taper per foot, in the course's own unit."""
    times = _long(card)
    return round(times * number_of(given, "02-per-inch"), 4) / times


def ratio_of(card: JobCard, given: Given) -> float:
    """Return n of 1:n, on the taper given."""
    return 1 / number_of(given, "02-per-inch")


def sd_of(card: JobCard, given: Given) -> float:
    """Return the standard uncertainty of the taper."""
    stations = stations_of(card)
    times = _long(card)
    return round(times * math.sqrt(2) * stations.height_sd_in / stations.base_in, 5) / times


def standard_of(card: JobCard, given: Given) -> Answer:
    """Return which standard the taper given agrees with."""
    taper = abs(number_of(given, "02-per-foot"))
    fits = [
        compare_with_standard(
            taper_in_per_in=taper,
            sd_in_per_in=sd_of(card, given),
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


def large_end_of(card: JobCard, given: Given) -> Answer:
    """Return at which end the opening is larger."""
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
    return {"mouth": MOUTH, "inside": INSIDE, "undecided": UNDECIDED}[end]


def first_of(card: JobCard, given: Given) -> Answer:
    """Return what is done first."""
    return {MOUTH: GO_ON, INSIDE: HUB_OFF, UNDECIDED: MEASURE_AGAIN}[str(large_end_of(card, given))]


def parallel_of(card: JobCard, given: Given) -> float:
    """Return the height at the mouth of the second slot, by the taper bar."""
    stations = stations_of(card)
    return float(
        mouth_height_from_parallel_in(
            large_end_height_in=stations.parallel_height_in,
            stand_out_in=stations.parallel_stand_out_in,
            parallel_taper_in_per_in=card.drive.standard_taper_in_per_in,
        )
    )


def difference_tolerance(card: JobCard, given: Given) -> float:
    """Return how far off a difference of two heights may be."""
    return 0.00015


def per_inch_tolerance(card: JobCard, given: Given) -> float:
    """Return how far off a taper may be: a quarter of its doubt, but no more than 2 %."""
    base = stations_of(card).base_in
    doubt = min(0.25 * sd_of(card, given), _CLOSE * abs(number_of(given, "02-difference") / base))
    return max(0.00006, doubt)


def ratio_tolerance(card: JobCard, given: Given) -> float:
    """Return how far off n may be."""
    per_inch = number_of(given, "02-per-inch")
    return per_inch_tolerance(card, given) / per_inch**2


def sd_tolerance(card: JobCard, given: Given) -> float:
    """Return how far off an uncertainty may be."""
    return max(0.06 * sd_of(card, given), 0.000004)


def first_station(card: JobCard, given: Given) -> float | None:
    """Return the difference of the first two stations only, where there are more than two."""
    heights = stations_of(card).heights_in
    return abs(heights[0] - heights[1]) if len(heights) > 2 else None


def usual_of(card: JobCard) -> str:
    """Return the standard that belongs to the card's system."""
    return ONLY_METRIC if card.metric else ONLY_INCH


def _standard_ratio(card: JobCard) -> str:
    return "1:100" if card.metric else "1:96"


def station_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the stations."""
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
        Fact("Length of the slot in the hub", distance_text(card, card.drive.hub_length_in)),
        Fact(
            "Telescoping gauge at hand: its handle reaches in from the hub face",
            distance_text(card, stations.reach_in),
        ),
        *rows,
        Fact(
            "Standard uncertainty of each height (mean of three readings"
            + ("; the slot is pitted with rust)" if stations.pitted else ")"),
            length_text(card, stations.height_sd_in),
        ),
    )


def parallel_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the taper bar."""
    stations = stations_of(card)
    return (
        Fact(
            f"Second slot: taper bar ground to {_standard_ratio(card)}, height at its large end",
            length_text(card, stations.parallel_height_in),
        ),
        Fact(
            "Second slot: that large end stood out of the mouth by",
            distance_text(card, stations.parallel_stand_out_in),
        ),
    )


def facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the printed card."""
    return (*station_facts(card), *parallel_facts(card))


def difference_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    """Return how the difference is worked out."""
    heights = stations_of(card).heights_in
    high, low = max(heights[0], heights[-1]), min(heights[0], heights[-1])
    return (
        WorkedLine(
            why="How much the opening changes from the first to the last station.",
            formula="difference = larger height − smaller height",
            numbers=f"{length_text(card, high)} − {length_text(card, low)}",
            result=length_text(card, difference_of(card, given)),
        ),
    )


def per_inch_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    """Return how the taper per inch is worked out."""
    return (
        WorkedLine(
            why="Spread over the distance between the stations, that is the taper of one "
            f"{'millimeter' if card.metric else 'inch'}.",
            formula=f"taper per {'mm' if card.metric else 'inch'} = difference ÷ distance",
            numbers=f"{length_text(card, number_of(given, '02-difference'))} ÷ "
            f"{distance_text(card, stations_of(card).base_in)}",
            result=_of_one(card, per_inch_of(card, given)),
        ),
    )


def per_foot_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    """Return how the taper per foot, or in 100 mm, is worked out."""
    taper = number_of(given, "02-per-inch")
    if card.metric:
        line = WorkedLine(
            why="100 mm is a hundred times one millimeter.",
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


def ratio_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    """Return how the ratio is worked out."""
    taper = number_of(given, "02-per-inch")
    return (
        WorkedLine(
            why="The ratio says in how many inches the height changes by one inch; "
            "in millimeters it is the same number.",
            formula=f"n = 1 ÷ taper per {'mm' if card.metric else 'inch'}",
            numbers=f"1 ÷ {_of_one(card, taper)}",
            result=f"1:{1 / taper:.1f}",
        ),
    )


def sd_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    """Return how the uncertainty is worked out."""
    stations = stations_of(card)
    return (
        WorkedLine(
            why="Two heights, each uncertain by u, add up as squares; a longer base divides it; "
            + ("then over 100 mm." if card.metric else "and the foot has 12 inches."),
            formula=f"u(taper) = √2 × u ÷ base × {100 if card.metric else 12}",
            numbers=f"√2 × {length_text(card, stations.height_sd_in)} ÷ "
            f"{distance_text(card, stations.base_in)} × {'100' if card.metric else '12 in/ft'}",
            result=_of_long(card, sd_of(card, given), places=5),
        ),
    )


def _as_written(card: JobCard, taper: float) -> float:
    """Return a taper as it stands on the card, rounded over a foot or 100 mm."""
    return round(_long(card) * taper, 4) / _long(card)


def standard_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    """Return how the taper is held against each standard."""
    taper = abs(number_of(given, "02-per-foot"))
    sd = sd_of(card, given)
    limit = 2 * sd
    return tuple(
        WorkedLine(
            why=f"Compare with {name}: does the difference stay within twice the uncertainty?",
            formula="|taper − standard| against 2 × u(taper)",
            numbers=f"|{_of_long(card, taper)} − {_of_long(card, standard)}| = "
            f"{_of_long(card, abs(taper - _as_written(card, standard)))} against "
            f"2 × {_of_long(card, sd, places=5)} = {_of_long(card, limit, places=5)}",
            result="agrees" if abs(taper - standard) <= limit else "does not agree",
        )
        for name, standard in (("1:96", STANDARD_INCH), ("1:100", STANDARD_METRIC))
    )


def larger_of(card: JobCard) -> Answer:
    """Return which end reads higher, however well that is known."""
    heights = stations_of(card).heights_in
    return MOUTH if heights[0] > heights[-1] else INSIDE


def end_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    """Return how the large end is told, or that it cannot be."""
    heights = stations_of(card).heights_in
    taper, sd = number_of(given, "02-per-foot"), sd_of(card, given)
    told = large_end_of(card, given) != UNDECIDED
    return (
        WorkedLine(
            why="A taper that is less than twice its uncertainty may be none at all, or the other "
            "way round.",
            formula="taper against 2 × u(taper)",
            numbers=f"{_of_long(card, taper)} against 2 × {_of_long(card, sd, places=5)} = "
            f"{_of_long(card, 2 * sd, places=5)}",
            result="over" if told else "within",
        ),
        WorkedLine(
            why="The large end of the key goes where the opening is higher."
            if told
            else "So one height is higher, but no end is shown to be large.",
            formula="mouth height against inside height",
            numbers=f"{length_text(card, heights[0])} against {length_text(card, heights[-1])}",
            result=str(large_end_of(card, given)),
        ),
    )


def first_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    """Return why that comes first."""
    why = {
        INSIDE: "The opening grows going in. A key driven from the far side cannot be pulled from "
        "this end: each pull wedges it tighter, whatever the force.",
        MOUTH: "The opening gets lower going in, so the key goes in from this end and is later "
        "pulled from this end.",
        UNDECIDED: "Nobody knows yet which end is large. A key made on a guess may not go in, and "
        "one that does may never come out again.",
    }[str(large_end_of(card, given))]
    return (WorkedLine(why=why, result=str(first_of(card, given))),)


def parallel_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    """Return how the height by the taper bar is worked out."""
    stations = stations_of(card)
    return (
        WorkedLine(
            why="The bar is lower at the mouth than at its large end, by the taper of what "
            "stands out.",
            formula=f"height at the mouth = large end − stand-out ÷ {_standard_ratio(card)[2:]}",
            numbers=f"{length_text(card, stations.parallel_height_in)} − "
            f"{distance_text(card, stations.parallel_stand_out_in)} ÷ {_standard_ratio(card)[2:]}",
            result=length_text(card, parallel_of(card, given)),
        ),
    )
