"""Exercise 01: measure the opening of a keyway."""

from __future__ import annotations

from coursework.question import Choice, Measure
from coursework.words import words_beside
from keycourse.common import number_of, only_if
from keycourse.measure import values
from keycourse.measure.barring import BAR_ROUND
from keycourse.measure.values import opening_of
from keycourse.measure.wornslot import SLOT_WIDTHS

__all__ = ["PAGE"]

WORDS = words_beside(__file__)

_LENGTH = Measure(dimension="length", unit="in", low=0.2, high=4.0)
_SMALL = Measure(dimension="length", unit="in", low=0.0, high=0.1)

PAGE = WORDS.page(
    facts=values.facts,
    unclear=values.unclear,
    reckoned=(
        BAR_ROUND,
        *SLOT_WIDTHS,
        WORDS.question(
            "01-bad-reading",
            kind=Choice(options=(*values.NAMES, values.NONE)),
            expected=lambda card, given: values.bad_reading(card),
            slips={
                "bad reading kept": values.none_named,
                "lowest reading rejected": values.wrong_bad,
            },
            facts=values.mouth_facts,
            worked=values.bad_work,
        ),
        WORDS.question(
            "01-mouth-height",
            kind=_LENGTH,
            expected=values.mouth_of,
            tolerance=values.mean_tolerance,
            needs=("01-bad-reading",),
            slips={
                "bad reading kept": lambda card, given: (
                    values.mean_of(opening_of(card).mouth_in)
                    if values.bad_reading(card) != values.NONE
                    else None
                ),
                "inside station for mouth": values.inside_of,
            },
            facts=values.mouth_facts,
            worked=lambda card, given: (
                values.mean_work(card, "those that are kept", values.kept_of(card, given)),
            ),
        ),
        WORDS.question(
            "01-inside-height",
            kind=_LENGTH,
            expected=values.inside_of,
            tolerance=values.mean_tolerance,
            slips={
                "mouth for inside station": lambda card, given: values.mean_of(
                    [
                        value
                        for name, value in zip(values.NAMES, opening_of(card).mouth_in, strict=True)
                        if name != values.bad_reading(card)
                    ]
                ),
            },
            facts=values.inside_facts,
            worked=lambda card, given: (
                values.mean_work(card, "three", opening_of(card).inside_in),
            ),
        ),
        WORDS.question(
            "01-large-end",
            kind=Choice(options=values.ENDS),
            expected=values.large_end_of,
            needs=("01-mouth-height", "01-inside-height"),
            slips={
                "taken for granted": lambda card, given: only_if(
                    values.large_end_of(card, given) == values.ENDS[1], values.ENDS[0]
                ),
                "heights mixed up": lambda card, given: only_if(
                    values.large_end_of(card, given) == values.ENDS[0], values.ENDS[1]
                ),
                "scatter read as taper": lambda card, given: only_if(
                    values.large_end_of(card, given) == values.ENDS[2],
                    values.larger_of(card, given),
                ),
                "known already": lambda card, given: only_if(
                    values.large_end_of(card, given) != values.ENDS[2], values.ENDS[2]
                ),
            },
            facts=values.end_facts,
            worked=values.end_work,
        ),
        WORDS.question(
            "01-hub-width",
            kind=_LENGTH,
            expected=values.hub_of,
            tolerance=values.mean_tolerance,
            slips={
                "shaft for hub": values.shaft_of,
            },
            facts=values.hub_facts,
            worked=lambda card, given: (
                values.mean_work(card, "three", opening_of(card).hub_width_in),
            ),
        ),
        WORDS.question(
            "01-shaft-width",
            kind=_LENGTH,
            expected=values.shaft_of,
            tolerance=values.mean_tolerance,
            slips={
                "hub for shaft": values.hub_of,
            },
            facts=values.shaft_facts,
            worked=lambda card, given: (
                values.mean_work(card, "three", opening_of(card).shaft_width_in),
            ),
        ),
        WORDS.question(
            "01-clearance",
            kind=_SMALL,
            expected=values.clearance_of,
            tolerance=values.clearance_tolerance,
            slips={
                "radius for diameter": lambda card, given: values.clearance_of(card, given) / 2,
                "shaft less bore": lambda card, given: -values.clearance_of(card, given),
            },
            facts=values.bore_facts,
            worked=values.clearance_work,
        ),
        WORDS.question(
            "01-missed-height",
            kind=_SMALL,
            expected=values.missed_of,
            tolerance=values.missed_tolerance,
            needs=("01-clearance",),
            slips={
                "angle from the bottom": values.from_bottom,
                "whole clearance": lambda card, given: number_of(given, "01-clearance"),
            },
            facts=lambda card: (*values.bore_facts(card), *values.angle_facts(card)),
            worked=values.missed_work,
        ),
        WORDS.question(
            "01-key-result",
            kind=Choice(options=values.RESULTS),
            expected=values.result_of,
            needs=("01-missed-height",),
            slips={
                "thin for thick": lambda card, given: only_if(
                    values.result_of(card, given) == values.RESULTS[0], values.RESULTS[1]
                ),
                "angle thought not to matter": lambda card, given: only_if(
                    values.result_of(card, given) == values.RESULTS[0], values.RESULTS[2]
                ),
                "what was added left out": lambda card, given: only_if(
                    values.result_of(card, given) != values.RESULTS[0], values.RESULTS[0]
                ),
                "more than was missing": lambda card, given: only_if(
                    values.result_of(card, given) == values.RESULTS[1], values.RESULTS[2]
                ),
            },
            facts=lambda card: (*values.angle_facts(card), *values.added_facts(card)),
            worked=values.result_work,
        ),
    ),
)
