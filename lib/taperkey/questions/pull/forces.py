"""Exercise 05: what pushes, squeezes and draws the key."""

from __future__ import annotations

import math

from taperkey.formulas.wedge import withdraw_ratio
from taperkey.jobcard import JobCard
from taperkey.questions.common import (
    FORCE,
    Given,
    Value,
    Wrong,
    bare,
    number_of,
    scaled,
    within,
)
from taperkey.questions.pull import values, work
from taperkey.questions.question import Answer, Measure, Question, Slip

__all__ = ["FORCES"]

_FACTOR = Measure(dimension="number", unit="", low=0.02, high=3, places=4)


def _angle_tolerance(card: JobCard, given: Given) -> float:
    return math.radians(0.006)  # the angle is asked for to a hundredth of a degree


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
    base = values.case_of(card).base_in
    if not card.metric and 11 < base < 13:
        return None  # looks like a taper per foot there
    return math.atan(abs(values.signed_taper(card)) * bare(card, base))


def _seat_by_height(card: JobCard, given: Given) -> Answer | None:
    case = values.case_of(card)
    if case.seat_route == "push" or abs(case.height_in / case.width_in - 1) < 0.05:
        return None
    return values.seat(card, given) * case.height_in / case.width_in


FORCES = (
    Question(
        key="05-angle",
        skill="work out a pull",
        label="Taper angle",
        ask="What is the taper angle α, between the flat face and the sloping one? Give degrees, "
        "to three decimals.",
        marks=1,
        kind=Measure(dimension="angle", unit="deg", low=0.2, high=3, places=3),
        expected=values.angle,
        tolerance=_angle_tolerance,
        slips=(
            Slip(
                name="angle shared over both faces",
                value=scaled(values.angle, 0.5),
                sentence="The taper was shared over both faces. Here one face is flat, and the "
                "other has all of it.",
                share=0.5,
            ),
            Slip(
                name="angle doubled",
                value=scaled(values.angle, 2.0),
                sentence="The taper was counted on both faces. Only one of them slopes.",
                share=0.5,
            ),
            Slip(
                name="taper per foot for per inch",
                value=lambda card, given: (
                    None if card.metric else math.atan(12 * abs(values.signed_taper(card)))
                ),
                sentence="The tangent takes height over length in the same unit; this one was "
                "taken per foot.",
                share=0.25,
            ),
            Slip(
                name="tangent for angle",
                value=lambda card, given: math.radians(abs(values.signed_taper(card))),
                sentence="This is the taper itself. The angle is the one that has it as tangent.",
                share=0.25,
            ),
            Slip(
                name="difference not divided",
                value=_not_divided,
                sentence="The distance between the two heights is missing.",
            ),
        ),
        hint="Difference of the heights over the distance between them is tan α.",
        facts=values.ends_facts,
        worked=work.angle,
    ),
    Question(
        key="05-push-factor",
        skill="work out a pull",
        label="Push factor",
        ask="When it was driven: how many pounds of push for each pound of normal force N (or N "
        "for N)? Give three decimals.",
        marks=1,
        kind=_FACTOR,
        expected=values.push_factor,
        tolerance=_factor_tolerance,
        needs=("05-angle",),
        slips=(
            Slip(
                name="withdrawing for driving",
                value=lambda card, given: values.withdrawing(
                    values.taper_of(given), values.case_of(card).drive_friction
                ),
                sentence="This is the factor for drawing out. Driving in, the taper works "
                "against you.",
                share=0.25,
            ),
            Slip(
                name="friction on one face only",
                value=lambda card, given: (
                    values.push_factor(card, given) - values.case_of(card).drive_friction
                ),
                sentence="The key rubs on two faces, top and bottom.",
                share=0.25,
            ),
            Slip(
                name="taper left out",
                value=lambda card, given: 2 * values.case_of(card).drive_friction,
                sentence="This is the friction of both faces. The key must also climb the taper.",
                share=0.5,
            ),
            Slip(
                name="today's friction",
                value=lambda card, given: values.driving(
                    values.taper_of(given), values.case_of(card).friction_high
                ),
                sentence="This is with the friction of today. The key was driven on another day.",
                share=0.25,
            ),
        ),
        hint="tan φ + tan(φ + α), with tan φ = the friction on the day of driving.",
        facts=values.driven_facts,
        worked=work.push_factor,
    ),
    Question(
        key="05-seat",
        skill="work out a pull",
        label="Normal force, high end",
        ask="How hard is each face squeezed? Give the normal force N, high end of what the card "
        "says, to three figures or more.",
        marks=2,
        kind=FORCE,
        expected=values.seat,
        tolerance=within(values.seat, 0.01),
        needs=("05-push-factor",),
        slips=(
            Slip(
                name="low end taken",
                value=values.seat_low,
                sentence="This is the low end. A rig is chosen by the high one.",
                share=0.5,
            ),
            Slip(
                name="both faces added",
                value=scaled(values.seat, 2.0),
                sentence="N is the force on one face. The other face has the same; they are not "
                "added here.",
                share=0.25,
            ),
            Slip(
                name="push taken for normal force",
                value=_on_push(lambda card, given: values.case_of(card).seat_high),
                sentence="This is the push itself. The wedge makes a much larger force across it.",
            ),
            Slip(
                name="multiplied, not divided",
                value=_on_push(
                    lambda card, given: (
                        values.case_of(card).seat_high * number_of(given, "05-push-factor")
                    )
                ),
                sentence="The factor was multiplied. A slight wedge squeezes with more than it is "
                "pushed with, not less.",
                share=0.25,
            ),
            Slip(
                name="withdrawing for driving",
                value=_on_push(
                    lambda card, given: (
                        values.case_of(card).seat_high
                        / values.withdrawing(
                            values.taper_of(given), values.case_of(card).drive_friction
                        )
                    )
                ),
                sentence="The push was divided by the factor for drawing out.",
                share=0.5,
            ),
            Slip(
                name="height for width",
                value=_seat_by_height,
                sentence="The face that bears is as wide as the key, not as high.",
                share=0.25,
            ),
            Slip(
                name="width left out",
                value=_seat_without_width,
                sentence="Pressure acts on an area: width times length.",
            ),
        ),
        hint="From a push: divide by the push factor. From a pressure: times the area of one face.",
        facts=lambda card: (*values.seat_facts(card), *values.driven_facts(card)),
        worked=work.seat,
    ),
    Question(
        key="05-pull-factor",
        skill="work out a pull",
        label="Pull factor, high end",
        ask="To draw it by its large end today: how many pounds of pull for each pound of N, at "
        "the high end of the friction? Give three decimals.",
        marks=1,
        kind=_FACTOR,
        expected=values.pull_factor,
        tolerance=_factor_tolerance,
        needs=("05-angle",),
        slips=(
            Slip(
                name="driving for withdrawing",
                value=lambda card, given: values.driving(
                    values.taper_of(given), values.case_of(card).friction_high
                ),
                sentence="This is the factor for driving in. Drawing out, the taper helps.",
                share=0.5,
            ),
            Slip(
                name="friction on one face only",
                value=lambda card, given: _one_face(
                    values.taper_of(given), values.case_of(card).friction_high
                ),
                sentence="The key rubs on two faces, top and bottom.",
                share=0.25,
            ),
            Slip(
                name="taper left out",
                value=lambda card, given: 2 * values.case_of(card).friction_high,
                sentence="This is the friction of both faces. The taper helps a little; take it "
                "into account.",
                share=0.5,
            ),
            Slip(
                name="low friction",
                value=lambda card, given: values.withdrawing(
                    values.taper_of(given), values.case_of(card).friction_low
                ),
                sentence="This is with the low end of the friction. The rig must carry the "
                "high one.",
                share=0.5,
            ),
        ),
        hint="tan φ + tan(φ − α), with tan φ = the high end of today's friction.",
        facts=values.friction_facts,
        worked=work.pull_factor,
    ),
    Question(
        key="05-pull-high",
        skill="work out a pull",
        label="High pull",
        ask="What is the high pull, the one that the rig must carry? Give three figures or more.",
        marks=2,
        kind=FORCE,
        expected=values.pull_high,
        tolerance=within(values.pull_high, 0.008),
        needs=("05-angle", "05-seat", "05-pull-factor"),
        slips=(
            Slip(
                name="driving for withdrawing",
                value=lambda card, given: (
                    number_of(given, "05-seat")
                    * values.driving(values.taper_of(given), values.case_of(card).friction_high)
                ),
                sentence="This is the force that would drive the key further in. You want to draw "
                "it out.",
                share=0.5,
            ),
            Slip(
                name="friction on one face only",
                value=lambda card, given: (
                    number_of(given, "05-seat")
                    * _one_face(values.taper_of(given), values.case_of(card).friction_high)
                ),
                sentence="The key rubs on two faces, top and bottom.",
                share=0.25,
            ),
            Slip(
                name="low friction",
                value=lambda card, given: (
                    number_of(given, "05-seat")
                    * values.withdrawing(values.taper_of(given), values.case_of(card).friction_low)
                ),
                sentence="This is with the low end of the friction. Which end decides the rig?",
                share=0.25,
            ),
            Slip(
                name="friction of the day of driving",
                value=lambda card, given: (
                    number_of(given, "05-seat")
                    * values.driving(values.taper_of(given), values.case_of(card).drive_friction)
                ),
                sentence="This is the push of the day it was driven. Friction has changed since.",
            ),
            Slip(
                name="normal force for pull",
                value=lambda card, given: number_of(given, "05-seat"),
                sentence="This is the force across the key. The pull is the part of it that "
                "friction makes.",
            ),
            Slip(
                name="divided, not multiplied",
                value=lambda card, given: (
                    number_of(given, "05-seat") / number_of(given, "05-pull-factor")
                ),
                sentence="The factor says how many pounds of pull one pound of N asks for.",
                share=0.25,
            ),
        ),
        hint="N, high end, times the pull factor at the high end of the friction.",
        facts=values.friction_facts,
        worked=work.pull_high,
    ),
    Question(
        key="05-pull-low",
        skill="work out a pull",
        label="Low pull",
        ask="What is the low pull, from which on the key may start? Take the low ends of seat and "
        "friction. Give three figures or more.",
        marks=2,
        kind=FORCE,
        expected=values.pull_low,
        tolerance=within(values.pull_low, 0.01),
        needs=("05-angle", "05-push-factor"),
        slips=(
            Slip(
                name="high seat left in",
                value=lambda card, given: (
                    values.pull_low(card, given)
                    * values.case_of(card).seat_high
                    / values.case_of(card).seat_low
                ),
                sentence="The friction is the low one, the seat is still the high one.",
                share=0.5,
            ),
            Slip(
                name="high friction left in",
                value=lambda card, given: (
                    values.seat_low(card, given)
                    * values.withdrawing(values.taper_of(given), values.case_of(card).friction_high)
                ),
                sentence="The seat is the low one, the friction is still the high one.",
                share=0.5,
            ),
            Slip(
                name="driving for withdrawing",
                value=lambda card, given: (
                    values.seat_low(card, given)
                    * values.driving(values.taper_of(given), values.case_of(card).friction_low)
                ),
                sentence="This is the force that would drive the key further in.",
                share=0.5,
            ),
            Slip(
                name="friction on one face only",
                value=lambda card, given: (
                    values.seat_low(card, given)
                    * _one_face(values.taper_of(given), values.case_of(card).friction_low)
                ),
                sentence="The key rubs on two faces, top and bottom.",
                share=0.25,
            ),
        ),
        hint="The same steps as for the high pull, with both low ends.",
        facts=lambda card: (
            *values.seat_facts(card),
            *values.driven_facts(card),
            *values.friction_facts(card),
        ),
        worked=work.pull_low,
    ),
    Question(
        key="05-friction-share",
        skill="work out a pull",
        label="Friction's share of the push",
        ask="How much of the push that drove it was friction? Give percent.",
        marks=1,
        kind=Measure(dimension="number", unit="%", low=50, high=100, places=1),
        expected=values.share,
        tolerance=lambda card, given: 0.005,
        needs=("05-angle",),
        slips=(
            Slip(
                name="taper's share",
                value=lambda card, given: 1 - values.share(card, given),
                sentence="This is the share that climbs the taper. The question is about the rest.",
                share=0.5,
            ),
            Slip(
                name="one face only",
                value=lambda card, given: (
                    values.case_of(card).drive_friction
                    / values.driving(values.taper_of(given), values.case_of(card).drive_friction)
                ),
                sentence="This is the friction of one face. There are two.",
                share=0.25,
            ),
            Slip(
                name="share for percent",
                value=scaled(values.share, 0.01),
                sentence="This is a share of one. In percent there are a hundred.",
                share=0.5,
            ),
        ),
        hint="Take tan α from the push factor; what is left of it is friction.",
        facts=values.driven_facts,
        worked=work.share,
    ),
)
