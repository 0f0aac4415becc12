"""Exercise 02: find the taper, say how well it is known, and which end is large."""

from __future__ import annotations

import math

from coursework.question import Choice, Measure
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import (
    Given,
    bare,
    number_of,
    only_if,
    scaled,
)
from keycourse.taper import values
from keycourse.taper.values import stations_of
from taperkey.formulas.taper import STANDARD_INCH, STANDARD_METRIC

__all__ = ["PAGE"]

WORDS = words_beside(__file__)


def _unclear(card: JobCard, given: Given) -> str:
    """Return why a taper is neither well inside nor well outside the band of a standard."""
    measured = number_of(given, "02-per-foot")
    for standard in (STANDARD_INCH, STANDARD_METRIC):
        if 0.7 < abs(measured - standard) / (2 * values.sd_of(card, given)) < 1.4:
            return "02-standard: the taper lies on the edge of agreeing"
    if 0.7 < abs(measured) / (2 * values.sd_of(card, given)) < 1.4:
        return "02-large-end: the heights lie on the edge of telling"
    return ""


def _upside_down(card: JobCard, given: Given) -> float | None:
    """Return base over difference; not of a difference that no base makes a taper of."""
    ratio = stations_of(card).base_in / number_of(given, "02-difference")
    return ratio if ratio < 500 else None


def _difference_for_taper(card: JobCard, given: Given) -> float | None:
    """Return the difference alone; where it was not divided before, that is another slip."""
    difference = bare(card, number_of(given, "02-difference"))
    divided = abs(number_of(given, "02-per-inch") - difference) > 0.01 * difference
    return difference / (100 if card.metric else 12) if divided else None


PAGE = WORDS.page(
    facts=values.facts,
    unclear=_unclear,
    reckoned=(
        WORDS.question(
            "02-difference",
            kind=Measure(dimension="length", unit="in", low=0.0, high=0.5),
            expected=values.difference_of,
            tolerance=values.difference_tolerance,
            slips={
                "sign kept": lambda card, given: -values.difference_of(card, given),
                "first two stations only": values.first_station,
            },
            facts=values.station_facts,
            worked=values.difference_work,
        ),
        WORDS.question(
            "02-per-inch",
            kind=Measure(dimension="taper", unit="in/in", low=0.001, high=0.05, places=5),
            expected=values.per_inch_of,
            tolerance=values.per_inch_tolerance,
            needs=("02-difference",),
            slips={
                "base not divided": lambda card, given: bare(
                    card, number_of(given, "02-difference")
                ),
                "× 12 too early": lambda card, given: 12 * values.per_inch_of(card, given),
                "upside down": _upside_down,
                "decimal point one place right": scaled(values.per_inch_of, 10.0),
            },
            facts=values.station_facts,
            worked=values.per_inch_work,
            metric={
                "kind": Measure(dimension="taper", unit="mm/mm", low=0.001, high=0.05, places=5),
                "slips": {
                    "base not divided": lambda card, given: bare(
                        card, number_of(given, "02-difference")
                    ),
                    "× 100 too early": lambda card, given: 100 * values.per_inch_of(card, given),
                    "upside down": _upside_down,
                    "decimal point one place right": scaled(values.per_inch_of, 10.0),
                },
            },
        ),
        WORDS.question(
            "02-per-foot",
            kind=Measure(dimension="taper", unit="in/ft", low=0.02, high=0.6),
            expected=values.per_foot_of,
            tolerance=values.per_inch_tolerance,
            needs=("02-per-inch",),
            slips={
                "× 12 left out": lambda card, given: number_of(given, "02-per-inch") / 12,
                "× 12 done twice": lambda card, given: number_of(given, "02-per-inch") * 12,
                "× 10 for × 12": lambda card, given: number_of(given, "02-per-inch") * 10 / 12,
                "base not divided": lambda card, given: number_of(given, "02-difference"),
                "difference for taper": _difference_for_taper,
            },
            facts=values.station_facts,
            worked=values.per_foot_work,
            metric={
                "kind": Measure(dimension="taper", unit="mm/100 mm", low=0.15, high=5.0),
                "slips": {
                    "× 100 left out": lambda card, given: number_of(given, "02-per-inch") / 100,
                    "× 100 done twice": lambda card, given: number_of(given, "02-per-inch") * 100,
                    "× 12 for × 100": lambda card, given: (
                        number_of(given, "02-per-inch") * 12 / 100
                    ),
                    "base not divided": lambda card, given: bare(
                        card, number_of(given, "02-difference")
                    ),
                    "difference for taper": _difference_for_taper,
                },
            },
        ),
        WORDS.question(
            "02-ratio",
            kind=Measure(dimension="ratio", unit="", low=20, high=600, places=1),
            expected=values.ratio_of,
            tolerance=values.ratio_tolerance,
            needs=("02-per-inch",),
            slips={
                "taper for ratio": lambda card, given: number_of(given, "02-per-inch"),
                "per foot turned over": lambda card, given: (
                    None if card.metric else 1 / (12 * number_of(given, "02-per-inch"))
                ),
                "decimal point one place left": lambda card, given: (
                    0.1 / number_of(given, "02-per-inch")
                ),
            },
            facts=values.station_facts,
            worked=values.ratio_work,
        ),
        WORDS.question(
            "02-uncertainty",
            kind=Measure(dimension="taper", unit="in/ft", low=0.00005, high=0.5, places=5),
            expected=values.sd_of,
            tolerance=values.sd_tolerance,
            slips={
                "one height only": scaled(values.sd_of, math.sqrt(0.5)),
                "added straight": scaled(values.sd_of, math.sqrt(2)),
                "× 12 left out": scaled(values.sd_of, 1 / 12),
                "base not divided": lambda card, given: (
                    values.sd_of(card, given) * stations_of(card).base_in
                ),
            },
            facts=values.station_facts,
            worked=values.sd_work,
            metric={
                "kind": Measure(
                    dimension="taper", unit="mm/100 mm", low=0.0005, high=5.0, places=5
                ),
                "slips": {
                    "one height only": scaled(values.sd_of, math.sqrt(0.5)),
                    "added straight": scaled(values.sd_of, math.sqrt(2)),
                    "× 100 left out": scaled(values.sd_of, 0.01),
                    "base not divided": lambda card, given: bare(
                        card, math.sqrt(2) * stations_of(card).height_sd_in
                    ),
                },
            },
        ),
        WORDS.question(
            "02-standard",
            kind=Choice(options=values.STANDARDS),
            expected=values.standard_of,
            needs=("02-per-foot",),
            slips={
                "short base trusted": lambda card, given: only_if(
                    values.standard_of(card, given) == values.BOTH, values.usual_of(card)
                ),
                "small difference waved through": lambda card, given: only_if(
                    values.standard_of(card, given) == values.NEITHER, values.usual_of(card)
                ),
                "uncertainty left out": lambda card, given: only_if(
                    values.standard_of(card, given)
                    in (values.ONLY_INCH, values.ONLY_METRIC, values.BOTH),
                    values.NEITHER,
                ),
            },
            facts=values.station_facts,
            worked=values.standard_work,
        ),
        WORDS.question(
            "02-large-end",
            kind=Choice(options=values.ENDS),
            expected=values.large_end_of,
            needs=("02-difference",),
            slips={
                "taken for granted": lambda card, given: only_if(
                    values.large_end_of(card, given) == values.INSIDE, values.MOUTH
                ),
                "heights mixed up": lambda card, given: only_if(
                    values.large_end_of(card, given) == values.MOUTH, values.INSIDE
                ),
                "scatter read as taper": lambda card, given: only_if(
                    values.large_end_of(card, given) == values.UNDECIDED, values.larger_of(card)
                ),
                "known already": lambda card, given: only_if(
                    values.large_end_of(card, given) != values.UNDECIDED, values.UNDECIDED
                ),
            },
            facts=values.station_facts,
            worked=values.end_work,
        ),
        WORDS.question(
            "02-what-first",
            kind=Choice(options=values.FIRST),
            expected=values.first_of,
            needs=("02-difference",),
            slips={
                "reversed hub not seen": lambda card, given: only_if(
                    values.first_of(card, given) == values.HUB_OFF, values.GO_ON
                ),
                "ordinary hub taken for reversed": lambda card, given: only_if(
                    values.first_of(card, given) == values.GO_ON, values.HUB_OFF
                ),
                "made on a guess": lambda card, given: only_if(
                    values.first_of(card, given) == values.MEASURE_AGAIN, values.GO_ON
                ),
                "hub off on a guess": lambda card, given: only_if(
                    values.first_of(card, given) == values.MEASURE_AGAIN, values.HUB_OFF
                ),
                "known already": lambda card, given: only_if(
                    values.first_of(card, given) != values.MEASURE_AGAIN, values.MEASURE_AGAIN
                ),
            },
            facts=values.station_facts,
            worked=values.first_work,
        ),
        WORDS.question(
            "02-parallel",
            kind=Measure(dimension="length", unit="in", low=0.2, high=4.0),
            expected=values.parallel_of,
            tolerance=lambda card, given: 0.0003,
            slips={
                "stand-out added": lambda card, given: (
                    2 * stations_of(card).parallel_height_in - values.parallel_of(card, given)
                ),
                "stand-out left out": lambda card, given: stations_of(card).parallel_height_in,
                "1/8 in per inch": lambda card, given: (
                    None
                    if card.metric
                    else stations_of(card).parallel_height_in
                    - stations_of(card).parallel_stand_out_in / 8
                ),
            },
            facts=values.parallel_facts,
            worked=values.parallel_work,
        ),
    ),
)
