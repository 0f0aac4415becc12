"""Exercise 04: height and travel."""

from __future__ import annotations

from coursework.question import Measure
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import (
    Given,
    Value,
    Wrong,
    only_if,
    scaled,
)
from keycourse.fit import values, work

__all__ = ["TRAVEL"]

WORDS = words_beside(__file__)

_HEIGHT = Measure(dimension="length", unit="in", low=0.00005, high=0.02, places=4)


def _height_tolerance(card: JobCard, given: Given) -> float:
    return 0.00006  # asked for to 0.0001 in


def _two_places(value: Value) -> dict[str, Wrong]:
    """Return the slip of two places; at 1:100 it is the travel, and is named so."""
    return {
        "decimal point two places right": lambda card, given: only_if(
            values.case_of(card).taper_ratio != 100, 100 * value(card, given)
        )
    }


TRAVEL = (
    WORDS.question(
        "04-small-travel",
        kind=Measure(dimension="length", unit="in", low=0.005, high=0.5, places=3),
        expected=values.small_travel,
        tolerance=lambda card, given: 0.0006,
        slips={
            "taper per foot for the ratio": lambda card, given: only_if(
                not card.metric, 8 * values.small_height(card)
            ),
            "height for travel": lambda card, given: values.small_height(card),
            "standard taper taken": lambda card, given: only_if(
                values.case_of(card).taper_ratio != (100 if card.metric else 96),
                values.small_height(card) * (100 if card.metric else 96),
            ),
        },
        facts=values.taper_facts,
        worked=work.small_work,
        metric={"kind": Measure(dimension="length", unit="mm", low=0.1, high=10, places=2)},
    ),
    WORDS.question(
        "04-off",
        kind=_HEIGHT,
        expected=values.taken_off,
        tolerance=_height_tolerance,
        slips={
            "last round only": lambda card, given: values.height(
                card,
                values.case_of(card).stand_outs_in[1] - values.case_of(card).stand_outs_in[2],
            ),
            "what is left for what came off": lambda card, given: values.height(
                card, values.case_of(card).stand_outs_in[-1]
            ),
            "shared over both faces": scaled(values.taken_off, 0.5),
            "travel for height": lambda card, given: (
                values.case_of(card).stand_outs_in[0] - values.case_of(card).stand_outs_in[-1]
            ),
            **_two_places(values.taken_off),
        },
        facts=values.out_facts,
        worked=work.off_work,
    ),
    WORDS.question(
        "04-still-off",
        kind=_HEIGHT,
        expected=values.still_off,
        tolerance=_height_tolerance,
        slips={
            "nothing left to drive": lambda card, given: values.height(
                card, values.case_of(card).stand_outs_in[-1]
            ),
            "left to drive added": lambda card, given: values.height(
                card, values.case_of(card).stand_outs_in[-1] + values.case_of(card).left_to_drive_in
            ),
            "travel for height": lambda card, given: (
                values.case_of(card).stand_outs_in[-1] - values.case_of(card).left_to_drive_in
            ),
            **_two_places(values.still_off),
        },
        facts=values.drive_facts,
        worked=work.still_work,
    ),
    WORDS.question(
        "04-next-out",
        kind=Measure(dimension="length", unit="in", low=0.01, high=2, places=2, metric_places=1),
        expected=values.next_out,
        tolerance=lambda card, given: 0.008,  # a rule is read to about that
        slips={
            "travel added": lambda card, given: (
                2 * values.case_of(card).stand_outs_in[-1] - values.next_out(card, given)
            ),
            "height for travel": lambda card, given: (
                values.case_of(card).stand_outs_in[-1] - values.case_of(card).next_cut_in
            ),
            "each face counted": lambda card, given: (
                2 * values.next_out(card, given) - values.case_of(card).stand_outs_in[-1]
            ),
            "travel for stand-out": lambda card, given: (
                values.case_of(card).stand_outs_in[-1] - values.next_out(card, given)
            ),
        },
        facts=values.cut_facts,
        worked=work.next_work,
    ),
)
