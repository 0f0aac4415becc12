"""Exercise 06: the two ends with the old key in, then the empty slot and the new key."""

from __future__ import annotations

import math
from collections.abc import Callable

from coursework.question import Answer, Choice, Measure, Question
from coursework.words import Slips, words_beside
from keycourse.card import JobCard
from keycourse.common import (
    Given,
    Value,
    Wrong,
    bare,
    number_of,
    only_if,
    scaled,
)
from keycourse.pull.values import FAR, NEAR, NO_TELLING
from keycourse.taper.values import (
    BOTH,
    NEITHER,
    ONLY_INCH,
    ONLY_METRIC,
)
from keycourse.whole import values, work

__all__ = ["ENDS", "KEY", "OPENING"]

WORDS = words_beside(__file__)

_HEIGHT = Measure(dimension="length", unit="in", low=0.1, high=12.0)


def _mean_tolerance(card: JobCard, given: Given) -> float:
    # of the mean; asking for less would ask for more than was measured
    return values.job_of(card).height_sd_in / 2


def _sum(readings: Callable[[JobCard], tuple[float, ...]]) -> Wrong:
    return lambda card, given: sum(readings(card))


def _two_only(readings: Callable[[JobCard], tuple[float, ...]]) -> Wrong:
    return lambda card, given: sum(readings(card)) / 2


def _mean_slips(value: Value, readings: Callable[[JobCard], tuple[float, ...]]) -> Slips:
    return {
        "sum not divided": _sum(readings),
        "divided by two": _two_only(readings),
    }


def _taper_tolerance(card: JobCard, given: Given) -> float:
    sd = values.job_of(card).height_sd_in
    return max(0.00006, 0.25 * math.sqrt(2) * sd / values.job_of(card).base_in)


def _difference(card: JobCard, given: Given) -> float:
    return abs(number_of(given, "06-near-height") - number_of(given, "06-far-height"))


def _standard_is_not(wrong: str) -> Wrong:
    return lambda card, given: only_if(values.standard(card, given) != wrong, wrong)


def _readings_added(card: JobCard, given: Given) -> float:
    job = values.job_of(card)
    return job.over_near_in + (job.over_far_in or job.over_end_in)


def _taken_for_granted(card: JobCard, given: Given) -> Answer | None:
    """Return this end where it is not the large one, and no reading speaks for it."""
    guessed = values.difference(card, given) <= 0
    return only_if(values.large_end(card, given) != NEAR and guessed, NEAR)


def _read_into_scatter(card: JobCard, given: Given) -> Answer | None:
    leaning = NEAR if values.difference(card, given) > 0 else FAR
    return only_if(
        values.large_end(card, given) == NO_TELLING and values.difference(card, given) != 0, leaning
    )


def _far_without_a_reading(card: JobCard, given: Given) -> Answer | None:
    guessed = values.difference(card, given) >= 0
    return only_if(values.large_end(card, given) == NO_TELLING and guessed, FAR)


ENDS: tuple[Question, ...] = (
    WORDS.question(
        "06-difference",
        kind=Measure(dimension="length", unit="in", low=-0.5, high=0.5, places=3, metric_places=2),
        expected=values.difference,
        tolerance=lambda card, given: 0.0001,
        slips={
            "the wrong way round": scaled(values.difference, -1.0),
            "readings added": _readings_added,
        },
        facts=values.ends_facts,
        worked=work.difference,
    ),
    WORDS.question(
        "06-large-end",
        kind=Choice(options=(NEAR, FAR, NO_TELLING)),
        expected=values.large_end,
        slips={
            "taken for granted": _taken_for_granted,
            "scatter read as taper": _read_into_scatter,
            "far end without a reading": _far_without_a_reading,
            "heights mixed up": lambda card, given: only_if(
                values.large_end(card, given) == NEAR, FAR
            ),
            "readings not trusted": lambda card, given: only_if(
                values.large_end(card, given) != NO_TELLING, NO_TELLING
            ),
        },
        needs=("06-difference",),
        facts=values.ends_facts,
        worked=work.large_end,
    ),
)


OPENING: tuple[Question, ...] = (
    WORDS.question(
        "06-near-height",
        kind=_HEIGHT,
        expected=values.near_height,
        tolerance=_mean_tolerance,
        slips=_mean_slips(values.near_height, lambda card: values.job_of(card).near_in),
        facts=values.height_facts,
        worked=work.near_height,
    ),
    WORDS.question(
        "06-far-height",
        kind=_HEIGHT,
        expected=values.far_height,
        tolerance=_mean_tolerance,
        slips=_mean_slips(values.far_height, lambda card: values.job_of(card).far_in),
        facts=values.height_facts,
        worked=work.far_height,
    ),
    WORDS.question(
        "06-taper",
        kind=Measure(dimension="taper", unit="in/ft", low=0.03, high=0.5),
        expected=values.taper,
        tolerance=_taper_tolerance,
        needs=("06-near-height", "06-far-height"),
        slips={
            "thousandths as inches": scaled(values.taper, 1000.0),
            "decimal point one place right": scaled(values.taper, 10.0),
            "decimal point one place left": scaled(values.taper, 0.1),
            "× 12 left out": scaled(values.taper, 1 / 12),
            "× 12 done twice": scaled(values.taper, 12.0),
            "difference for taper": lambda card, given: only_if(
                abs(values.job_of(card).base_in / 12 - 1) > 0.05, _difference(card, given) / 12
            ),
            "base not divided": lambda card, given: only_if(
                abs(values.job_of(card).base_in / 12 - 1) > 0.05, _difference(card, given)
            ),
        },
        facts=values.height_facts,
        worked=work.taper,
        metric={
            "kind": Measure(dimension="taper", unit="mm/100 mm", low=0.2, high=5.0),
            "slips": {
                "decimal point one place right": scaled(values.taper, 10.0),
                "decimal point one place left": scaled(values.taper, 0.1),
                "× 100 left out": scaled(values.taper, 0.01),
                "× 100 done twice": scaled(values.taper, 100.0),
                "difference for taper": lambda card, given: (
                    bare(card, _difference(card, given)) / 100
                ),
            },
        },
    ),
    WORDS.question(
        "06-standard",
        kind=Choice(options=(ONLY_INCH, ONLY_METRIC, BOTH, NEITHER)),
        expected=values.standard,
        needs=("06-taper",),
        slips={
            "uncertainty not taken into account": _standard_is_not(NEITHER),
            "uncertainty taken too wide": _standard_is_not(BOTH),
            "the other standard": lambda card, given: {
                ONLY_INCH: ONLY_METRIC,
                ONLY_METRIC: ONLY_INCH,
            }.get(str(values.standard(card, given))),
            "standard taken for granted": lambda card, given: only_if(
                values.standard(card, given) == NEITHER,
                ONLY_METRIC if card.metric else ONLY_INCH,
            ),
        },
        facts=values.doubt_facts,
        worked=work.standard,
    ),
)


def _blank_tolerance(card: JobCard, given: Given) -> float:
    return 0.0002


def _blank_less(part: Callable[[JobCard, Given], float]) -> Wrong:
    return lambda card, given: values.blank_height(card, given) - part(card, given)


def _outside_part(card: JobCard, given: Given) -> float:
    return values.cut_taper(card, given) * values.job_of(card).outside_in


def _small_end(card: JobCard, given: Given) -> float:
    lower = min(number_of(given, "06-near-height"), number_of(given, "06-far-height"))
    return lower + values.job_of(card).allowance_in


def _travel_tolerance(card: JobCard, given: Given) -> float:
    return 0.01 * values.stand_out(card, given) + 0.003


def _times_n(card: JobCard, given: Given) -> Answer | None:
    n = values.cut_ratio(card, given)
    return only_if(n <= 100, values.still_to_file(card, given) * n**2)


def _file_tolerance(card: JobCard, given: Given) -> float:
    return max(0.00012, 0.02 * values.still_to_file(card, given))


KEY: tuple[Question, ...] = (
    WORDS.question(
        "06-blank-height",
        kind=_HEIGHT,
        expected=values.blank_height,
        tolerance=_blank_tolerance,
        needs=("06-near-height", "06-far-height", "06-taper", "06-standard"),
        slips={
            "fitting allowance left out": _blank_less(
                lambda card, given: values.job_of(card).allowance_in
            ),
            "length outside left out": _blank_less(_outside_part),
            "length outside taken off": _blank_less(
                lambda card, given: 2 * _outside_part(card, given)
            ),
            "small end for large": _small_end,
            "fitting allowance taken off": _blank_less(
                lambda card, given: 2 * values.job_of(card).allowance_in
            ),
        },
        facts=values.key_facts,
        worked=work.blank_height,
    ),
    WORDS.question(
        "06-stand-out",
        kind=Measure(dimension="length", unit="in", low=0.1, high=8.0, places=2, metric_places=1),
        expected=values.stand_out,
        tolerance=_travel_tolerance,
        needs=("06-taper", "06-standard"),
        slips={
            "allowance for travel": lambda card, given: values.job_of(card).allowance_in,
            "length outside left out": values.travel_to_home,
            "length outside taken off": lambda card, given: (
                values.travel_to_home(card, given) - values.job_of(card).outside_in
            ),
        },
        facts=values.key_facts,
        worked=work.stand_out,
    ),
    WORDS.question(
        "06-still-to-file",
        kind=Measure(dimension="length", unit="in", low=0.0005, high=0.05),
        expected=values.still_to_file,
        tolerance=_file_tolerance,
        needs=("06-taper", "06-standard"),
        slips={
            "length outside not taken off": lambda card, given: (
                values.still_to_file(card, given)
                + values.job_of(card).outside_in / values.cut_ratio(card, given)
            ),
            "nothing left to drive": lambda card, given: (
                values.still_to_file(card, given)
                + values.job_of(card).left_to_drive_in / values.cut_ratio(card, given)
            ),
            "height already filed": lambda card, given: (
                values.job_of(card).allowance_in
                - values.still_to_file(card, given)
                - values.job_of(card).left_to_drive_in / values.cut_ratio(card, given)
            ),
            "times n": _times_n,
            "travel for height": lambda card, given: (
                values.still_to_file(card, given) * values.cut_ratio(card, given)
            ),
            "whole allowance": lambda card, given: values.job_of(card).allowance_in,
        },
        facts=lambda card: (*values.key_facts(card), *values.fitting_facts(card)),
        worked=work.still_to_file,
    ),
)
