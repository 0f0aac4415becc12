"""Exercise 05: what pushes, squeezes and draws the key."""

from __future__ import annotations

import math

from coursework.question import Answer, Measure
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import (
    FORCE,
    Given,
    Value,
    Wrong,
    bare,
    number_of,
    only_if,
    scaled,
    within,
)
from keycourse.pull import values, work
from taperkey.formulas.wedge import withdraw_ratio
from taperkey.units import KN_PER_LBF

__all__ = ["FORCES"]

WORDS = words_beside(__file__)

_FACTOR = Measure(dimension="number", unit="", low=0.02, high=3, places=4)


def _angle_tolerance(card: JobCard, given: Given) -> float:
    return math.radians(0.006)  # the angle is asked for to a hundredth of a degree


def _low_tolerance(card: JobCard, given: Given) -> float:
    """Return how far off the low pull may be: 1 %, or a tenth of a kilonewton, as it is written."""
    return max(0.01 * abs(values.pull_low(card, given)), 0.1 / KN_PER_LBF)  # lbf


def _factor_tolerance(card: JobCard, given: Given) -> float:
    return 0.002  # asked for to three decimals; the friction has two figures


def _one_face(taper: float, friction: float) -> float:
    """Return the pull factor with friction on the sloping face only."""
    return withdraw_ratio(taper_in_per_in=taper, floor_friction=0.0, roof_friction=friction)


def _on_push(value: Value) -> Wrong:
    return lambda card, given: (
        value(card, given) if values.case_of(card).seat_route == "push" else None
    )


def _seat_without_width(card: JobCard, given: Given) -> Answer | None:
    case = values.case_of(card)
    if case.seat_route == "push" or (not card.metric and abs(case.width_in - 1) < 0.05):
        return None
    return values.seat(card, given) / bare(card, case.width_in)


def _not_divided(card: JobCard, given: Given) -> Answer | None:
    base = values.case_of(card).made_base_in
    if not card.metric and 11 < base < 13:
        return None  # looks like a taper per foot there
    return math.atan(values.made_taper(card) * bare(card, base))


def _seat_by_height(card: JobCard, given: Given) -> Answer | None:
    case = values.case_of(card)
    if case.seat_route == "push" or abs(case.height_in / case.width_in - 1) < 0.05:
        return None
    return values.seat(card, given) * case.height_in / case.width_in


def _flat_part(card: JobCard, given: Given) -> Answer | None:
    """Return what the flat face takes, where that is not much the same as the sloped one's part."""
    hub = values.drag(card, given)
    flat = number_of(given, "05-pull-high") - hub
    return only_if(abs(flat / hub - 1) > 0.04, flat)


FORCES = (
    WORDS.question(
        "05-angle",
        kind=Measure(dimension="angle", unit="deg", low=0.2, high=3, places=3),
        expected=values.angle,
        tolerance=_angle_tolerance,
        slips={
            "angle shared over both faces": scaled(values.angle, 0.5),
            "angle doubled": scaled(values.angle, 2.0),
            "taper per foot for per inch": lambda card, given: (
                None if card.metric else math.atan(12 * values.made_taper(card))
            ),
            "tangent for angle": lambda card, given: math.radians(values.made_taper(card)),
            "difference not divided": _not_divided,
        },
        facts=values.made_facts,
        worked=work.angle,
    ),
    WORDS.question(
        "05-push-factor",
        kind=_FACTOR,
        expected=values.push_factor,
        tolerance=_factor_tolerance,
        needs=("05-angle",),
        slips={
            "withdrawing for driving": lambda card, given: values.withdrawing(
                values.taper_of(given), values.case_of(card).drive_friction
            ),
            "friction on one face only": lambda card, given: (
                values.push_factor(card, given) - values.case_of(card).drive_friction
            ),
            "taper left out": lambda card, given: 2 * values.case_of(card).drive_friction,
            "today's friction": lambda card, given: values.driving(
                values.taper_of(given), values.case_of(card).friction_high
            ),
        },
        facts=values.driven_facts,
        worked=work.push_factor,
    ),
    WORDS.question(
        "05-seat",
        kind=FORCE,
        expected=values.seat,
        tolerance=within(values.seat, 0.01),
        needs=("05-push-factor",),
        slips={
            "low end taken": values.seat_low,
            "both faces added": scaled(values.seat, 2.0),
            "push taken for normal force": _on_push(
                lambda card, given: values.case_of(card).seat_high
            ),
            "multiplied, not divided": _on_push(
                lambda card, given: (
                    values.case_of(card).seat_high * number_of(given, "05-push-factor")
                )
            ),
            "withdrawing for driving": _on_push(
                lambda card, given: (
                    values.case_of(card).seat_high
                    / values.withdrawing(
                        values.taper_of(given), values.case_of(card).drive_friction
                    )
                )
            ),
            "height for width": _seat_by_height,
            "width left out": _seat_without_width,
        },
        facts=lambda card: (*values.seat_facts(card), *values.driven_facts(card)),
        worked=work.seat,
    ),
    WORDS.question(
        "05-pull-factor",
        kind=_FACTOR,
        expected=values.pull_factor,
        tolerance=_factor_tolerance,
        needs=("05-angle",),
        slips={
            "driving for withdrawing": lambda card, given: values.driving(
                values.taper_of(given), values.case_of(card).friction_high
            ),
            "friction on one face only": lambda card, given: _one_face(
                values.taper_of(given), values.case_of(card).friction_high
            ),
            "taper left out": lambda card, given: 2 * values.case_of(card).friction_high,
            "low friction": lambda card, given: values.withdrawing(
                values.taper_of(given), values.case_of(card).friction_low
            ),
        },
        facts=values.friction_facts,
        worked=work.pull_factor,
    ),
    WORDS.question(
        "05-pull-high",
        kind=FORCE,
        expected=values.pull_high,
        tolerance=within(values.pull_high, 0.008),
        needs=("05-angle", "05-seat", "05-pull-factor"),
        slips={
            "driving for withdrawing": lambda card, given: (
                number_of(given, "05-seat")
                * values.driving(values.taper_of(given), values.case_of(card).friction_high)
            ),
            "friction on one face only": lambda card, given: (
                number_of(given, "05-seat")
                * _one_face(values.taper_of(given), values.case_of(card).friction_high)
            ),
            "low friction": lambda card, given: (
                number_of(given, "05-seat")
                * values.withdrawing(values.taper_of(given), values.case_of(card).friction_low)
            ),
            "friction of the day of driving": lambda card, given: (
                number_of(given, "05-seat")
                * values.driving(values.taper_of(given), values.case_of(card).drive_friction)
            ),
            "normal force for pull": lambda card, given: number_of(given, "05-seat"),
            "divided, not multiplied": lambda card, given: (
                number_of(given, "05-seat") / number_of(given, "05-pull-factor")
            ),
        },
        facts=values.friction_facts,
        worked=work.pull_high,
    ),
    WORDS.question(
        "05-pull-low",
        kind=FORCE,
        expected=values.pull_low,
        tolerance=_low_tolerance,
        needs=("05-angle", "05-push-factor"),
        slips={
            "high seat left in": lambda card, given: (
                values.pull_low(card, given)
                * values.case_of(card).seat_high
                / values.case_of(card).seat_low
            ),
            "high friction left in": lambda card, given: (
                values.seat_low(card, given)
                * values.withdrawing(values.taper_of(given), values.case_of(card).friction_high)
            ),
            "driving for withdrawing": lambda card, given: (
                values.seat_low(card, given)
                * values.driving(values.taper_of(given), values.case_of(card).friction_low)
            ),
            "friction on one face only": lambda card, given: (
                values.seat_low(card, given)
                * _one_face(values.taper_of(given), values.case_of(card).friction_low)
            ),
        },
        facts=lambda card: (
            *values.seat_facts(card),
            *values.driven_facts(card),
            *values.friction_facts(card),
        ),
        worked=work.pull_low,
    ),
    WORDS.question(
        "05-friction-share",
        kind=Measure(dimension="number", unit="%", low=50, high=100, places=1),
        expected=values.share,
        tolerance=lambda card, given: 0.005,
        needs=("05-push-factor",),
        slips={
            "taper's share": lambda card, given: 1 - values.share(card, given),
            "one face only": lambda card, given: (
                values.case_of(card).drive_friction
                / values.driving(values.taper_of(given), values.case_of(card).drive_friction)
            ),
            "share for percent": scaled(values.share, 0.01),
        },
        facts=values.driven_facts,
        worked=work.share,
    ),
    WORDS.question(
        "05-drag",
        kind=FORCE,
        expected=values.drag,
        tolerance=within(values.drag, 0.008),
        needs=("05-pull-factor", "05-pull-high"),
        slips={
            "flat face's part": _flat_part,
            "whole pull": lambda card, given: number_of(given, "05-pull-high"),
            "friction times the pull": lambda card, given: (
                number_of(given, "05-pull-high") * values.case_of(card).friction_high
            ),
        },
        facts=values.friction_facts,
        worked=work.drag,
    ),
)
