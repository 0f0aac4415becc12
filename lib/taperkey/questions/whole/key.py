"""Exercise 06, first half: the opening and the new key."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from taperkey.jobcard import JobCard
from taperkey.jobcard.whole import HEIGHT_SD_IN
from taperkey.questions.common import (
    Given,
    Value,
    Wrong,
    bare,
    length_slips,
    number_of,
    only_if,
    scaled,
)
from taperkey.questions.pull.values import CRITICAL_END, FAR, NEAR, NO_TELLING
from taperkey.questions.question import Choice, Measure, Question, Slip
from taperkey.questions.taper.values import BOTH, NEITHER, ONLY_INCH, ONLY_METRIC
from taperkey.questions.whole import values, work

__all__ = ["KEY", "OPENING"]

_HEIGHT = Measure(dimension="length", unit="in", low=0.1, high=12.0)


def _mean_tolerance(card: JobCard, given: Given) -> float:
    return HEIGHT_SD_IN / 2  # of the mean; asking for less would ask for more than was measured


def _sum(readings: Callable[[JobCard], tuple[float, ...]]) -> Wrong:
    return lambda card, given: sum(readings(card))


def _two_only(readings: Callable[[JobCard], tuple[float, ...]]) -> Wrong:
    return lambda card, given: sum(readings(card)) / 2


def _mean_slips(value: Value, readings: Callable[[JobCard], tuple[float, ...]]) -> tuple[Slip, ...]:
    return (
        Slip(
            name="sum not divided",
            value=_sum(readings),
            sentence="The readings were added up. The mean is the sum over how many there are.",
            share=0.25,
        ),
        Slip(
            name="divided by two",
            value=_two_only(readings),
            sentence="The sum was halved, but there are more than two readings.",
            share=0.5,
        ),
        *length_slips(value),
    )


def _taper_tolerance(card: JobCard, given: Given) -> float:
    return max(0.00006, 0.25 * math.sqrt(2) * HEIGHT_SD_IN / values.job_of(card).base_in)


def _difference(card: JobCard, given: Given) -> float:
    return abs(number_of(given, "06-near-height") - number_of(given, "06-far-height"))


def _standard_is_not(wrong: str) -> Wrong:
    return lambda card, given: only_if(values.standard(card, given) != wrong, wrong)


OPENING: tuple[Question, ...] = (
    Question(
        key="06-near-height",
        skill="measure an opening",
        label="Mean height, end that shows",
        ask="What is the mean height at the end that shows?",
        marks=1,
        kind=_HEIGHT,
        expected=values.near_height,
        tolerance=_mean_tolerance,
        slips=_mean_slips(values.near_height, lambda card: values.job_of(card).near_in),
        hint="Add the three readings and divide by three.",
        facts=values.height_facts,
        worked=work.near_height,
    ),
    Question(
        key="06-far-height",
        skill="measure an opening",
        label="Mean height, far end",
        ask="What is the mean height at the far end?",
        marks=1,
        kind=_HEIGHT,
        expected=values.far_height,
        tolerance=_mean_tolerance,
        slips=_mean_slips(values.far_height, lambda card: values.job_of(card).far_in),
        hint="Add the three readings and divide by three.",
        facts=values.height_facts,
        worked=work.far_height,
    ),
    Question(
        key="06-taper",
        skill="work out a taper",
        label="Taper per foot",
        ask="What is the taper per foot? Give it without a sign.",
        marks=2,
        kind=Measure(dimension="taper", unit="in/ft", low=0.03, high=0.5),
        expected=values.taper,
        tolerance=_taper_tolerance,
        needs=("06-near-height", "06-far-height"),
        slips=(
            Slip(
                name="× 12 left out",
                value=scaled(values.taper, 1 / 12),
                sentence="This is the taper of one inch. A foot has more of them.",
                share=0.5,
            ),
            Slip(
                name="× 12 done twice",
                value=scaled(values.taper, 12.0),
                sentence="The twelve is in there twice. From inch to foot it is needed once.",
                share=0.5,
            ),
            Slip(
                name="difference for taper",
                value=lambda card, given: only_if(
                    abs(values.job_of(card).base_in / 12 - 1) > 0.05, _difference(card, given) / 12
                ),
                sentence="This is the change over the hub's length. How much would it be over a "
                "foot?",
            ),
            Slip(
                name="base not divided",
                value=lambda card, given: only_if(
                    abs(values.job_of(card).base_in / 12 - 1) > 0.05, _difference(card, given)
                ),
                sentence="The difference was multiplied by twelve, but not divided by the distance "
                "first.",
            ),
        ),
        metric=None,
        hint="Difference of the two means, over the distance between them, times twelve.",
        facts=values.height_facts,
        worked=work.taper,
    ),
    Question(
        key="06-standard",
        skill="compare with the standard",
        label="Standard or not",
        ask="Hold the taper against 1:96 and 1:100, with twice its standard uncertainty. What do "
        "the readings say?",
        marks=1,
        kind=Choice(options=(ONLY_INCH, ONLY_METRIC, BOTH, NEITHER)),
        expected=values.standard,
        needs=("06-taper",),
        slips=(
            Slip(
                name="uncertainty not taken into account",
                value=_standard_is_not(NEITHER),
                sentence="No reading hits a standard to the last figure. How far off may it be, as "
                "well as these heights are known?",
            ),
            Slip(
                name="uncertainty taken too wide",
                value=_standard_is_not(BOTH),
                sentence="The hub is long, so the taper is known better than that. Work out twice "
                "its uncertainty and look again.",
                share=0.25,
            ),
            Slip(
                name="the other standard",
                value=lambda card, given: {ONLY_INCH: ONLY_METRIC, ONLY_METRIC: ONLY_INCH}.get(
                    str(values.standard(card, given))
                ),
                sentence="The two standards were mixed up. Write both over the same length as "
                "your taper.",
                share=0.25,
            ),
            Slip(
                name="standard taken for granted",
                value=lambda card, given: only_if(
                    values.standard(card, given) == NEITHER,
                    ONLY_METRIC if card.metric else ONLY_INCH,
                ),
                sentence="A slot is what it measures, not what a drawing says. Compare once more.",
            ),
        ),
        hint="Twice √2 × uncertainty of a height ÷ distance is how far off still agrees.",
        facts=values.doubt_facts,
        worked=work.standard,
    ),
    Question(
        key="06-large-end",
        skill="tell a reversed hub",
        label="Large end",
        ask="At which end is the key larger?",
        marks=2,
        kind=Choice(options=(NEAR, FAR, NO_TELLING)),
        expected=values.large_end,
        critical=CRITICAL_END,
        slips=(
            Slip(
                name="taken for granted",
                value=lambda card, given: only_if(values.large_end(card, given) == FAR, NEAR),
                sentence="Usually it is the end that shows; the heights decide. Hold one against "
                "the other.",
            ),
            Slip(
                name="heights mixed up",
                value=lambda card, given: only_if(values.large_end(card, given) == NEAR, FAR),
                sentence="Look once more which height belongs to which end.",
            ),
            Slip(
                name="readings not trusted",
                value=lambda card, given: NO_TELLING,
                sentence="The two heights differ by many times what a reading may be off. "
                "They do decide.",
            ),
        ),
        hint="Hold the two mean heights against each other.",
        facts=values.height_facts,
        worked=work.large_end,
    ),
)


def _metric_taper() -> Question:
    inch = next(one for one in OPENING if one.key == "06-taper")
    return replace(
        inch,
        label="Taper in 100 mm",
        ask="How much is the taper in 100 mm? Give it without a sign.",
        kind=Measure(dimension="taper", unit="mm/100 mm", low=0.2, high=5.0),
        slips=(
            Slip(
                name="× 100 left out",
                value=scaled(values.taper, 0.01),
                sentence="This is the taper of one millimetre. The question is about 100 of them.",
                share=0.5,
            ),
            Slip(
                name="× 100 done twice",
                value=scaled(values.taper, 100.0),
                sentence="The hundred is in there twice. It is needed once.",
                share=0.5,
            ),
            Slip(
                name="difference for taper",
                value=lambda card, given: bare(card, _difference(card, given)) / 100,
                sentence="This is the change over the hub's length. How much would it be over "
                "100 mm?",
            ),
        ),
        hint="Difference of the two means, over the distance between them, times a hundred.",
    )


OPENING = tuple(
    replace(one, metric=_metric_taper()) if one.key == "06-taper" else one for one in OPENING
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


def _file_tolerance(card: JobCard, given: Given) -> float:
    return max(0.00012, 0.02 * values.still_to_file(card, given))


KEY: tuple[Question, ...] = (
    Question(
        key="06-blank-height",
        skill="size a key",
        label="Blank, large end",
        ask="The old key is scrap and a new one is made. How high is its blank at the large end? "
        "Count what stays outside the slot, and what is left on for fitting. Cut it to the "
        "standard taper where the readings agree with it.",
        marks=2,
        kind=_HEIGHT,
        expected=values.blank_height,
        tolerance=_blank_tolerance,
        needs=("06-near-height", "06-far-height", "06-taper", "06-standard"),
        slips=(
            Slip(
                name="fitting allowance left out",
                value=_blank_less(lambda card, given: values.job_of(card).allowance_in),
                sentence="Nothing is left on for fitting. The first blue would find a key that is "
                "used up.",
                share=0.5,
            ),
            Slip(
                name="length outside left out",
                value=_blank_less(_outside_part),
                sentence="The blank goes on outside the slot, and its taper goes on with it.",
                share=0.5,
            ),
            Slip(
                name="length outside taken off",
                value=_blank_less(lambda card, given: 2 * _outside_part(card, given)),
                sentence="Outside the slot the key gets higher, not lower.",
                share=0.5,
            ),
            Slip(
                name="small end for large",
                value=_small_end,
                sentence="This is near the small end. The key goes in where the opening is higher.",
                share=0.25,
            ),
            Slip(
                name="fitting allowance taken off",
                value=_blank_less(lambda card, given: 2 * values.job_of(card).allowance_in),
                sentence="The allowance makes the blank higher, so that there is something to "
                "file.",
                share=0.25,
            ),
            *length_slips(values.blank_height),
        ),
        hint="The larger height, the taper of what stays outside, and the fitting allowance.",
        facts=values.key_facts,
        worked=work.blank_height,
    ),
    Question(
        key="06-stand-out",
        skill="turn height into travel",
        label="First stand-out",
        ask="Pushed in for the first time, how far does the blank stand out of its final place?",
        marks=2,
        kind=Measure(dimension="length", unit="in", low=0.1, high=5.0, places=3, metric_places=1),
        expected=values.stand_out,
        tolerance=_travel_tolerance,
        needs=("06-taper", "06-standard"),
        slips=(
            Slip(
                name="allowance for travel",
                value=lambda card, given: values.job_of(card).allowance_in,
                sentence="This is the height. It takes a long way along the taper to lose it.",
            ),
            Slip(
                name="length outside added",
                value=lambda card, given: (
                    values.stand_out(card, given) + values.job_of(card).outside_in
                ),
                sentence="The part that always stays outside was added. The question is how far "
                "it is from its final place.",
                share=0.5,
            ),
            Slip(
                name="decimal point one place right",
                value=scaled(values.stand_out, 10.0),
                sentence="The figures fit, the size does not: look at the decimal point.",
                share=0.25,
            ),
            Slip(
                name="decimal point one place left",
                value=scaled(values.stand_out, 0.1),
                sentence="The figures fit, the size does not: look at the decimal point.",
                share=0.25,
            ),
        ),
        hint="Height over taper is travel.",
        facts=values.key_facts,
        worked=work.stand_out,
    ),
    Question(
        key="06-still-to-file",
        skill="turn height into travel",
        label="Height still to come off",
        ask="After four goes the new key stands out as the card says. How much height is still to "
        "come off?",
        marks=2,
        kind=Measure(dimension="length", unit="in", low=0.0005, high=0.05),
        expected=values.still_to_file,
        tolerance=_file_tolerance,
        needs=("06-taper", "06-standard"),
        slips=(
            Slip(
                name="height already filed",
                value=lambda card, given: (
                    values.job_of(card).allowance_in - values.still_to_file(card, given)
                ),
                sentence="This is what has come off so far. The question is about what is left.",
                share=0.5,
            ),
            Slip(
                name="divided by the taper",
                value=lambda card, given: (
                    values.job_of(card).stands_out_in / values.cut_taper(card, given)
                ),
                sentence="Travel was divided by the taper. A long way is little height.",
                share=0.25,
            ),
            Slip(
                name="whole allowance",
                value=lambda card, given: values.job_of(card).allowance_in,
                sentence="The key has gone some of the way already.",
            ),
            Slip(
                name="decimal point one place right",
                value=scaled(values.still_to_file, 10.0),
                sentence="The figures fit, the size does not: look at the decimal point.",
                share=0.25,
            ),
        ),
        hint="Travel times taper is height.",
        facts=values.fitting_facts,
        worked=work.still_to_file,
    ),
)
