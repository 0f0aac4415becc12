"""Exercise 01: measure the opening of a keyway."""

from __future__ import annotations

import math
from collections.abc import Sequence

from taperkey.formulas.measure import find_outlier, gap_at_angle_in, height_left_out_in
from taperkey.jobcard import JobCard
from taperkey.worksheet.bank.common import (
    Given,
    distance_text,
    length_slips,
    length_text,
    number_of,
    opening_of,
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

__all__ = ["PAGE", "bad_reading", "facts"]

_NAMES = ("reading 1", "reading 2", "reading 3", "reading 4", "reading 5")
_NONE = "none of them"
_SPREAD_IN = 0.0005  # a transfer with a telescoping gauge repeats to about this; common practice


def bad_reading(card: JobCard) -> str:
    """Return which mouth reading to reject: Grubbs' test, two-sided, 5 %, or none."""
    readings = list(opening_of(card).mouth_in)
    found = find_outlier(readings_in=readings).index
    return _NONE if found is None else _NAMES[found]


def _kept(card: JobCard, given: Given) -> list[float]:
    readings = opening_of(card).mouth_in
    bad = given["01-bad-reading"]
    return [value for name, value in zip(_NAMES, readings, strict=True) if name != bad]


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def _mouth(card: JobCard, given: Given) -> float:
    return _mean(_kept(card, given))


def _inside(card: JobCard, given: Given) -> float:
    return _mean(opening_of(card).inside_in)


def _hub(card: JobCard, given: Given) -> float:
    return _mean(opening_of(card).hub_width_in)


def _shaft(card: JobCard, given: Given) -> float:
    return _mean(opening_of(card).shaft_width_in)


def _clearance(card: JobCard, given: Given) -> float:
    opening = opening_of(card)
    return opening.bore_in - opening.shaft_in


def _missed(card: JobCard, given: Given) -> float:
    angle = math.radians(180 - opening_of(card).off_bottom_deg)
    clearance = number_of(given, "01-clearance")
    return float(height_left_out_in(diametral_clearance_in=clearance, angle_rad=angle))


def _from_bottom(card: JobCard, given: Given) -> float:
    """Return the same with the angle taken from the bottom, not from the top."""
    angle = math.radians(opening_of(card).off_bottom_deg)
    clearance = number_of(given, "01-clearance")
    return float(height_left_out_in(diametral_clearance_in=clearance, angle_rad=angle))


def _gap_there(card: JobCard, given: Given) -> float:
    angle = math.radians(180 - opening_of(card).off_bottom_deg)
    clearance = number_of(given, "01-clearance")
    return float(gap_at_angle_in(diametral_clearance_in=clearance, angle_rad=angle))


def _mean_tolerance(card: JobCard, given: Given) -> float:
    # The mean of n readings, each repeating to about half a thousandth, is known to that over
    # the root of n; asking for less than half of it would ask for more than was measured.
    return _SPREAD_IN / 2


def _clearance_tolerance(card: JobCard, given: Given) -> float:
    return 0.00015  # a difference of two readings to a tenth of a thousandth


def _missed_tolerance(card: JobCard, given: Given) -> float:
    return 0.00015


def _wrong_bad(card: JobCard, given: Given) -> Answer | None:
    """Return the lowest reading, where it is not the bad one."""
    readings = opening_of(card).mouth_in
    low = _NAMES[readings.index(min(readings))]
    return low if low != bad_reading(card) else None


def _none_named(card: JobCard, given: Given) -> Answer | None:
    return _NONE if bad_reading(card) != _NONE else None


def _readings(card: JobCard, what: str, values: Sequence[float]) -> Fact:
    return Fact(what, ", ".join(length_text(card, value) for value in values))


def _mouth_facts(card: JobCard) -> tuple[Fact, ...]:
    return (
        Fact(
            "Height at the mouth, keyway at the bottom",
            "; ".join(
                f"{name} {length_text(card, value)}"
                for name, value in zip(_NAMES, opening_of(card).mouth_in, strict=True)
            ),
        ),
    )


def _inside_facts(card: JobCard) -> tuple[Fact, ...]:
    opening = opening_of(card)
    return (
        _readings(
            card,
            f"Height {distance_text(card, opening.inside_station_in)} further inside, keyway at "
            "the bottom",
            opening.inside_in,
        ),
    )


def _hub_facts(card: JobCard) -> tuple[Fact, ...]:
    return (_readings(card, "Width of the slot in the hub", opening_of(card).hub_width_in),)


def _shaft_facts(card: JobCard) -> tuple[Fact, ...]:
    return (_readings(card, "Width of the slot in the shaft", opening_of(card).shaft_width_in),)


def _bore_facts(card: JobCard) -> tuple[Fact, ...]:
    opening = opening_of(card)
    return (
        Fact("Bore of the hub", length_text(card, opening.bore_in)),
        Fact("Diameter of the shaft", length_text(card, opening.shaft_in)),
    )


def _angle_facts(card: JobCard) -> tuple[Fact, ...]:
    return (
        Fact(
            "Where the night shift had the keyway",
            f"{opening_of(card).off_bottom_deg}° away from the bottom",
        ),
    )


def facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the printed card."""
    return (
        *_mouth_facts(card),
        *_inside_facts(card),
        *_hub_facts(card),
        *_shaft_facts(card),
        *_bore_facts(card),
        *_angle_facts(card),
    )


def _mean_work(card: JobCard, what: str, values: Sequence[float]) -> WorkedLine:
    total = " + ".join(length_text(card, value) for value in values)
    return WorkedLine(
        why=f"Each reading is a little off, some up, some down. The mean of {what} evens that out.",
        formula="mean = sum of the readings ÷ how many",
        numbers=f"({total}) ÷ {len(values)}",
        result=length_text(card, _mean(values)),
    )


def _bad_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    test = find_outlier(readings_in=list(opening_of(card).mouth_in))
    return (
        WorkedLine(
            why="A gauge that was not rocked through its smallest span reads high. "
            "One reading far from the others is looked at before anything is averaged.",
            formula="G = greatest distance from the mean ÷ standard deviation (Grubbs' test, 5 %)",
            numbers=f"G = {test.statistic:.3f}, limit {test.limit:.3f}",
            result=bad_reading(card),
        ),
    )


def _clearance_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    opening = opening_of(card)
    return (
        WorkedLine(
            why="The hub hangs on the top of the shaft, so all of the clearance is underneath.",
            formula="clearance c = bore − shaft",
            numbers=f"{length_text(card, opening.bore_in)} − {length_text(card, opening.shaft_in)}",
            result=length_text(card, _clearance(card, given)),
        ),
    )


def _missed_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    opening = opening_of(card)
    angle = 180 - opening.off_bottom_deg
    clearance = number_of(given, "01-clearance")
    return (
        WorkedLine(
            why="Only at the bottom is the whole clearance in the height. "
            "θ is counted from the top, where hub and shaft touch.",
            formula="θ = 180° − angle from the bottom",
            numbers=f"180° − {opening.off_bottom_deg}°",
            result=f"{angle}°",
        ),
        WorkedLine(
            why="At θ the gap is smaller than at the bottom.",
            formula="gap = (c ÷ 2) × (1 − cos θ)",
            numbers=f"({length_text(card, clearance)} ÷ 2) × (1 − cos {angle}°)",
            result=length_text(card, _gap_there(card, given)),
        ),
        WorkedLine(
            why="What is missing in their height is the rest.",
            formula="missing = c − gap",
            numbers=f"{length_text(card, clearance)} − "
            f"{length_text(card, _gap_there(card, given))}",
            result=length_text(card, _missed(card, given)),
        ),
    )


def _unclear(card: JobCard, given: Given) -> str:
    """Return why it is not plain which reading, if any, stands apart on the high side."""
    readings = opening_of(card).mouth_in
    test = find_outlier(readings_in=list(readings))
    off = max(readings) - _mean(sorted(readings)[:-1])
    if not (off > 0.005 if test.index is not None else off < 0.0015):
        return "01-bad-reading: a reading stands apart, but not far enough to say so"
    if test.index is not None and readings[test.index] != max(readings):
        return "01-bad-reading: a low reading stands apart"
    return ""


_KEY_RESULTS = (
    "too thin, it would go in too far",
    "too thick, it would stand out too far",
    "just right, the angle does not matter",
)

_LENGTH = Measure(dimension="length", unit="in", low=0.2, high=4.0)
_SMALL = Measure(dimension="length", unit="in", low=0.0, high=0.1)

PAGE = Page(
    name="01-measure",
    title="Measure the opening",
    facts=facts,
    unclear=_unclear,
    questions=(
        Question(
            key="01-bad-reading",
            skill="spot a bad reading",
            label="Bad reading",
            ask="Look at the five readings at the mouth. Which one would you reject before you "
            "take the mean?",
            marks=1,
            kind=Choice(options=(*_NAMES, _NONE)),
            expected=lambda card, given: bad_reading(card),
            slips=(
                Slip(
                    name="bad reading kept",
                    value=_none_named,
                    sentence="One reading stands well away from the others. A gauge that is not "
                    "rocked through reads high.",
                ),
                Slip(
                    name="lowest reading rejected",
                    value=_wrong_bad,
                    sentence="The lowest reading is not wrong for being low: rocking looks for "
                    "the smallest span. Look which one stands apart from all the others.",
                ),
            ),
            hint="Put the five readings in order and look at the steps between them.",
            facts=_mouth_facts,
            worked=_bad_work,
        ),
        Question(
            key="01-mouth-height",
            skill="take a height",
            label="Mouth height",
            ask="What is the height of the opening at the mouth? "
            "Take the mean of the readings that you keep.",
            marks=2,
            kind=_LENGTH,
            expected=_mouth,
            tolerance=_mean_tolerance,
            needs=("01-bad-reading",),
            slips=(
                Slip(
                    name="bad reading kept",
                    value=lambda card, given: (
                        _mean(opening_of(card).mouth_in) if bad_reading(card) != _NONE else None
                    ),
                    sentence="A reading that stands apart is still in this mean. "
                    "Leave it out first.",
                    share=0.5,
                ),
                Slip(
                    name="inside station for mouth",
                    value=_inside,
                    sentence="This is the height at the inside station. The question is about "
                    "the mouth.",
                ),
                *length_slips(_mouth),
            ),
            hint="Add up the readings that you keep and divide by how many they are.",
            facts=_mouth_facts,
            worked=lambda card, given: (
                _mean_work(card, "those that are kept", _kept(card, given)),
            ),
        ),
        Question(
            key="01-inside-height",
            skill="take a height",
            label="Inside height",
            ask="What is the height at the inside station? Take the mean.",
            marks=2,
            kind=_LENGTH,
            expected=_inside,
            tolerance=_mean_tolerance,
            slips=(
                Slip(
                    name="mouth for inside station",
                    value=lambda card, given: _mean(
                        [
                            value
                            for name, value in zip(_NAMES, opening_of(card).mouth_in, strict=True)
                            if name != bad_reading(card)
                        ]
                    ),
                    sentence="This is the height at the mouth. The question is about the "
                    "station inside.",
                ),
                *length_slips(_inside),
            ),
            hint="Add up the three readings and divide by 3.",
            facts=_inside_facts,
            worked=lambda card, given: (_mean_work(card, "three", opening_of(card).inside_in),),
        ),
        Question(
            key="01-hub-width",
            skill="take a width",
            label="Width in the hub",
            ask="How wide is the slot in the hub? Take the mean.",
            marks=1,
            kind=_LENGTH,
            expected=_hub,
            tolerance=_mean_tolerance,
            slips=(
                Slip(
                    name="shaft for hub",
                    value=_shaft,
                    sentence="This is the width in the shaft. In the hub it is another.",
                ),
                *length_slips(_hub),
            ),
            hint="Add up the three widths taken in the hub and divide by 3.",
            facts=_hub_facts,
            worked=lambda card, given: (_mean_work(card, "three", opening_of(card).hub_width_in),),
        ),
        Question(
            key="01-shaft-width",
            skill="take a width",
            label="Width in the shaft",
            ask="How wide is the slot in the shaft? Take the mean.",
            marks=1,
            kind=_LENGTH,
            expected=_shaft,
            tolerance=_mean_tolerance,
            slips=(
                Slip(
                    name="hub for shaft",
                    value=_hub,
                    sentence="This is the width in the hub. In the shaft it is another.",
                ),
                *length_slips(_shaft),
            ),
            hint="Add up the three widths taken in the shaft and divide by 3.",
            facts=_shaft_facts,
            worked=lambda card, given: (
                _mean_work(card, "three", opening_of(card).shaft_width_in),
            ),
        ),
        Question(
            key="01-clearance",
            skill="clearance",
            label="Clearance",
            ask="How much clearance is there between bore and shaft, on the diameter?",
            marks=1,
            kind=_SMALL,
            expected=_clearance,
            tolerance=_clearance_tolerance,
            slips=(
                Slip(
                    name="radius for diameter",
                    value=lambda card, given: _clearance(card, given) / 2,
                    sentence="This is the clearance on one side, if the hub sat in the middle. "
                    "It hangs on the top: all of it is underneath.",
                    share=0.5,
                ),
                Slip(
                    name="shaft less bore",
                    value=lambda card, given: -_clearance(card, given),
                    sentence="The sign is turned round. Which of the two is larger?",
                    share=0.5,
                ),
                *length_slips(_clearance),
            ),
            hint="Take the shaft from the bore.",
            facts=_bore_facts,
            worked=_clearance_work,
        ),
        Question(
            key="01-missed-height",
            skill="clearance",
            label="Missing height",
            ask="The night shift measured with the keyway not at the bottom. By how much is "
            "their height too small?",
            marks=2,
            kind=_SMALL,
            expected=_missed,
            tolerance=_missed_tolerance,
            needs=("01-clearance",),
            slips=(
                Slip(
                    name="angle from the bottom",
                    value=_from_bottom,
                    sentence="The angle in the formula counts from the top, where hub and shaft "
                    "touch; the card gives it from the bottom. And the gap is what they still "
                    "had, not what they missed.",
                    share=0.25,
                ),
                Slip(
                    name="whole clearance",
                    value=lambda card, given: number_of(given, "01-clearance"),
                    sentence="This is the whole clearance. At their angle a part of it was "
                    "still in the height.",
                ),
                *length_slips(_missed),
            ),
            hint="First find the gap at their angle, then what is left of the clearance.",
            facts=lambda card: (*_bore_facts(card), *_angle_facts(card)),
            worked=_missed_work,
        ),
        Question(
            key="01-key-result",
            skill="clearance",
            label="A key made to their height",
            ask="A key made to the night shift's height would be …",
            marks=1,
            kind=Choice(options=_KEY_RESULTS),
            expected=lambda card, given: _KEY_RESULTS[0],
            slips=(
                Slip(
                    name="thin for thick",
                    value=lambda card, given: _KEY_RESULTS[1],
                    sentence="Their opening came out lower than it is. What does that do to a "
                    "key that is made to it?",
                ),
                Slip(
                    name="angle thought not to matter",
                    value=lambda card, given: _KEY_RESULTS[2],
                    sentence="The hub hangs. Only with the keyway at the bottom is all of the "
                    "clearance in the height.",
                ),
            ),
            facts=_angle_facts,
            worked=lambda card, given: (
                WorkedLine(
                    why="Some of the clearance was missing in their height, so the key is made "
                    "thinner than the opening it has to fill.",
                    result=_KEY_RESULTS[0],
                ),
            ),
        ),
        Question(
            key="01-why-bottom",
            skill="explain",
            label="Why at the bottom",
            ask="Why do you turn the keyway to the bottom before you measure? Write it as you "
            "would tell it to someone new, in two to four sentences.",
            marks=3,
            kind=Written(
                guide="1 mark: the hub hangs on the top of the shaft. 1 mark: so all of the "
                "clearance is underneath, and only there is it in the height. 1 mark: anywhere "
                "else the key comes out too thin."
            ),
        ),
        Question(
            key="01-sign-off",
            skill="bench work",
            label="Sign-off: measure a slot",
            ask="At the bench: measure an opening with telescoping gauge and micrometer while "
            "your assessor watches.",
            marks=5,
            kind=Practical(
                guide="1 mark each: drive locked out and keyway turned to the bottom; gauge rocked "
                "through its smallest span; light feel and micrometer zero looked at; three "
                "readings within 0.001 in, at two stations; both widths taken and everything "
                "written down with its unit."
            ),
        ),
    ),
)
