"""What the readings of exercise 01 give: right values, card lines and worked lines."""

from __future__ import annotations

import math
from collections.abc import Sequence

from coursework.question import Answer, Fact, WorkedLine
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import (
    Given,
    distance_text,
    length_text,
    number_of,
)
from keycourse.measure.card import OpeningReadings
from taperkey import practice
from taperkey.formulas.measure import find_outlier, gap_at_angle_in, height_left_out_in
from taperkey.units import MM_PER_IN

__all__ = [
    "opening_of",
    "ENDS",
    "NAMES",
    "NONE",
    "RESULTS",
    "added_facts",
    "angle_facts",
    "bad_reading",
    "bad_work",
    "bore_facts",
    "clearance_of",
    "clearance_tolerance",
    "clearance_work",
    "end_facts",
    "end_work",
    "facts",
    "from_bottom",
    "hub_facts",
    "hub_of",
    "inside_facts",
    "inside_of",
    "kept_of",
    "large_end_of",
    "larger_of",
    "mean_of",
    "mean_tolerance",
    "mean_work",
    "missed_of",
    "missed_tolerance",
    "missed_work",
    "mouth_facts",
    "mouth_of",
    "none_named",
    "result_of",
    "result_work",
    "shaft_facts",
    "shaft_of",
    "unclear",
    "wrong_bad",
]


WORDS = words_beside(__file__)

ENDS = tuple(WORDS.options("01-large-end").values())
_MOUTH, _INSIDE, _UNDECIDED = ENDS
RESULTS = tuple(WORDS.options("01-key-result").values())
_THIN, _THICK, _RIGHT = RESULTS


def opening_of(card: JobCard) -> OpeningReadings:
    """Return the card's readings of an opening."""
    return card.read(OpeningReadings)


NAMES = ("reading 1", "reading 2", "reading 3", "reading 4", "reading 5")
NONE = "none of them"
_SPREAD_IN = practice.value("transfer_scatter")
_NOTHING_IN = 0.0003  # what a key's height is filed to anyway: that much off is neither
_SPREAD_METRIC_IN = practice.metric("transfer_scatter") / MM_PER_IN  # as a metric shop says it


def bad_reading(card: JobCard) -> str:
    """Return which mouth reading to reject: Grubbs' test, two-sided, 5 %, or none."""
    readings = list(opening_of(card).mouth_in)
    found = find_outlier(readings_in=readings).index
    return NONE if found is None else NAMES[found]


def kept_of(card: JobCard, given: Given) -> list[float]:
    """Return the mouth readings that are not rejected."""
    readings = opening_of(card).mouth_in
    bad = given["01-bad-reading"]
    return [value for name, value in zip(NAMES, readings, strict=True) if name != bad]


def mean_of(values: Sequence[float]) -> float:
    """Return the mean."""
    return sum(values) / len(values)


def mouth_of(card: JobCard, given: Given) -> float:
    """Return the mean height at the mouth."""
    return mean_of(kept_of(card, given))


def inside_of(card: JobCard, given: Given) -> float:
    """Return the mean height at the inside station."""
    return mean_of(opening_of(card).inside_in)


def _good_to_in(card: JobCard) -> float:
    """Return what a mean height is good to [in]."""
    return _SPREAD_METRIC_IN if card.metric else _SPREAD_IN


def _apart_in(given: Given) -> float:
    """Return how much higher the mouth is than the inside station [in]."""
    return number_of(given, "01-mouth-height") - number_of(given, "01-inside-height")


def larger_of(card: JobCard, given: Given) -> Answer:
    """Return which end reads higher, whatever the readings are good to."""
    return _MOUTH if _apart_in(given) > 0 else _INSIDE


def large_end_of(card: JobCard, given: Given) -> Answer:
    """Return at which end the opening is larger, as far as the readings tell."""
    if abs(_apart_in(given)) <= 2 * _good_to_in(card):
        return _UNDECIDED
    return larger_of(card, given)


def hub_of(card: JobCard, given: Given) -> float:
    """Return the mean width in the hub."""
    return mean_of(opening_of(card).hub_width_in)


def shaft_of(card: JobCard, given: Given) -> float:
    """Return the mean width in the shaft."""
    return mean_of(opening_of(card).shaft_width_in)


def clearance_of(card: JobCard, given: Given) -> float:
    """Return bore less shaft."""
    opening = opening_of(card)
    return opening.bore_in - opening.shaft_in


def missed_of(card: JobCard, given: Given) -> float:
    """Return the height that the other shift missed."""
    angle = math.radians(180 - opening_of(card).off_bottom_deg)
    clearance = number_of(given, "01-clearance")
    return float(height_left_out_in(diametral_clearance_in=clearance, angle_rad=angle))


def result_of(card: JobCard, given: Given) -> Answer:
    """Return how a key comes out that is made to their height with what they added."""
    short = number_of(given, "01-missed-height") - opening_of(card).added_in
    if abs(short) <= _NOTHING_IN:
        return _RIGHT
    return _THIN if short > 0 else _THICK


def from_bottom(card: JobCard, given: Given) -> float:
    """Return the same with the angle taken from the bottom, not from the top."""
    angle = math.radians(opening_of(card).off_bottom_deg)
    clearance = number_of(given, "01-clearance")
    return float(height_left_out_in(diametral_clearance_in=clearance, angle_rad=angle))


def _gap_there(card: JobCard, given: Given) -> float:
    angle = math.radians(180 - opening_of(card).off_bottom_deg)
    clearance = number_of(given, "01-clearance")
    return float(gap_at_angle_in(diametral_clearance_in=clearance, angle_rad=angle))


def mean_tolerance(card: JobCard, given: Given) -> float:
    """Return how far off a mean may be."""
    # The mean of n readings, each repeating to about half a thousandth, is known to that over
    # the root of n; asking for less than half of it would ask for more than was measured.
    return _SPREAD_IN / 2


def clearance_tolerance(card: JobCard, given: Given) -> float:
    """Return how far off a clearance may be."""
    return 0.00015  # a difference of two readings to a tenth of a thousandth


def missed_tolerance(card: JobCard, given: Given) -> float:
    """Return how far off the missing height may be."""
    return 0.00015


def wrong_bad(card: JobCard, given: Given) -> Answer | None:
    """Return the lowest reading, where it is not the bad one."""
    readings = opening_of(card).mouth_in
    low = NAMES[readings.index(min(readings))]
    return low if low != bad_reading(card) else None


def none_named(card: JobCard, given: Given) -> Answer | None:
    """Return “none of them”, where there is a bad reading."""
    return NONE if bad_reading(card) != NONE else None


def _readings(card: JobCard, what: str, values: Sequence[float]) -> Fact:
    return Fact(what, ", ".join(length_text(card, value) for value in values))


def mouth_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the line of the mouth readings."""
    return (
        Fact(
            "Height at the mouth, keyway at the bottom",
            "; ".join(
                f"{name} {length_text(card, value)}"
                for name, value in zip(NAMES, opening_of(card).mouth_in, strict=True)
            ),
        ),
    )


def inside_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the line of the inside readings."""
    opening = opening_of(card)
    return (
        _readings(
            card,
            f"Height {distance_text(card, opening.inside_station_in)} further inside, keyway at "
            "the bottom",
            opening.inside_in,
        ),
    )


def end_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of both heights, and what each is good to."""
    good = f"{_good_to_in(card) * (MM_PER_IN if card.metric else 1):g} "
    return (
        *mouth_facts(card),
        *inside_facts(card),
        Fact("Each mean height is good to", good + ("mm" if card.metric else "in")),
    )


def hub_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the line of the widths in the hub."""
    return (_readings(card, "Width of the slot in the hub", opening_of(card).hub_width_in),)


def shaft_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the line of the widths in the shaft."""
    return (_readings(card, "Width of the slot in the shaft", opening_of(card).shaft_width_in),)


def bore_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of bore and shaft."""
    opening = opening_of(card)
    return (
        Fact("Bore of the hub", length_text(card, opening.bore_in)),
        Fact("Diameter of the shaft", length_text(card, opening.shaft_in)),
    )


def angle_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the line of where the keyway stood."""
    return (
        Fact(
            "Where the night shift had the keyway",
            f"{opening_of(card).off_bottom_deg}° away from the bottom",
        ),
    )


def added_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the line of what was added."""
    added = opening_of(card).added_in
    return (
        Fact(
            "What the night shift added to their height",
            length_text(card, added) if added else "nothing",
        ),
    )


def facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the printed card."""
    return (
        *end_facts(card),
        *hub_facts(card),
        *shaft_facts(card),
        *bore_facts(card),
        *angle_facts(card),
        *added_facts(card),
    )


def mean_work(card: JobCard, what: str, values: Sequence[float]) -> WorkedLine:
    """Return how a mean is worked out."""
    total = " + ".join(length_text(card, value) for value in values)
    return WorkedLine(
        why=f"Each reading is a little off, some up, some down. The mean of {what} evens that out.",
        formula="mean = sum of the readings ÷ how many",
        numbers=f"({total}) ÷ {len(values)}",
        result=length_text(card, mean_of(values)),
    )


def end_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    """Return how the large end is told, or that it cannot be."""
    mouth, inside = (
        length_text(card, number_of(given, f"01-{place}-height")) for place in ("mouth", "inside")
    )
    scale = MM_PER_IN if card.metric else 1.0
    apart_in = abs(float(mouth.split()[0]) - float(inside.split()[0])) / scale  # as printed
    apart, good = length_text(card, apart_in), length_text(card, _good_to_in(card))
    limit = length_text(card, 2 * float(good.split()[0]) / scale)
    decided = large_end_of(card, given) != _UNDECIDED
    return (
        WorkedLine(
            why="Both heights may be off, each the other way. A difference counts only if it is "
            "more than that.",
            formula="|mouth − inside| against 2 × what one height is good to",
            numbers=f"|{mouth} − {inside}| = {apart} against 2 × {good} = {limit}",
            result=str(large_end_of(card, given)),
        ),
        WorkedLine(
            why="The key's large end belongs where the opening is higher; from there it is driven, "
            "and there it comes out."
            if decided
            else "So small a difference shows no end to be large. Measure on a longer base before "
            "anything is said about driving or pulling.",
            result=str(large_end_of(card, given)),
        ),
    )


def bad_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    """Return how the bad reading is told, so that it can be done again with a pencil."""
    readings, unit = opening_of(card).mouth_in, "mm" if card.metric else "in"
    places = 4 if card.metric else 5  # the mean of five readings is exact with one place more
    shown = [length_text(card, value) for value in readings]
    middle = round(mean_of([float(one.split()[0]) for one in shown]), places)
    away = [f"{abs(float(one.split()[0]) - middle):.{places}f}" for one in shown]
    squares = sum(float(one) ** 2 for one in away)
    spread = f"{math.sqrt(squares / 4):.{places + 1}f}"
    farthest = max(away, key=float)
    named = NAMES[away.index(farthest)]
    ratio = float(farthest) / float(spread)
    limit = find_outlier(readings_in=list(readings)).limit
    outlier = bad_reading(card) != NONE
    return (
        WorkedLine(
            why="A gauge that leans, or that sprang out, reads high. One reading far from the "
            "others is looked at before anything is averaged. First the mean of all five.",
            formula="mean = sum of the readings ÷ 5",
            numbers=f"({' + '.join(shown)}) ÷ 5",
            result=f"{middle:.{places}f} {unit}",
        ),
        WorkedLine(
            why="How far is each one from the mean? Square these, add them, divide by one less "
            "than five, take the root: that is the spread s.",
            formula="s = √(sum of the squares ÷ (5 − 1))",
            numbers=f"√(({' + '.join(f'{one}²' for one in away)}) ÷ 4)",
            result=f"{spread} {unit}",
        ),
        WorkedLine(
            why=f"The farthest is {named}. How many spreads is it away? This is Grubbs' test; for "
            f"five readings its limit is {limit:.3f} (5 %, both sides).",
            formula="G = greatest distance from the mean ÷ s",
            numbers=f"{farthest} ÷ {spread}",
            result=f"{ratio:.3f}",
        ),
        WorkedLine(
            why="Over the limit, a reading is rejected, and its cause looked for. Within it, all "
            "five are kept.",
            formula="G against the limit",
            numbers=f"{ratio:.3f} {'>' if outlier else '<'} {limit:.3f}",
            result=bad_reading(card),
        ),
    )


def clearance_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    """Return how the clearance is worked out."""
    opening = opening_of(card)
    return (
        WorkedLine(
            why="The hub hangs on the top of the shaft, so all of the clearance is underneath.",
            formula="clearance c = bore − shaft",
            numbers=f"{length_text(card, opening.bore_in)} − {length_text(card, opening.shaft_in)}",
            result=length_text(card, clearance_of(card, given)),
        ),
    )


def _finer(card: JobCard, value_in: float) -> str:
    """Write a length with one place more than a reading, so that a sum can be done with it."""
    shown, unit = (value_in * MM_PER_IN, "mm") if card.metric else (value_in, "in")
    return f"{shown:.{4 if card.metric else 5}f} {unit}"


def missed_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    """Return how the missing height is worked out."""
    opening = opening_of(card)
    angle = 180 - opening.off_bottom_deg
    clearance = number_of(given, "01-clearance")
    gap = _finer(card, _gap_there(card, given))
    gap_in = float(gap.split()[0]) / (MM_PER_IN if card.metric else 1.0)  # as it is printed
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
            result=gap,
        ),
        WorkedLine(
            why="What is missing in their height is the rest.",
            formula="missing = c − gap",
            numbers=f"{length_text(card, clearance)} − {gap}",
            result=_finer(card, clearance - gap_in),
        ),
    )


def result_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    """Return how a key made to their height comes out."""
    missed = _finer(card, number_of(given, "01-missed-height"))
    added = length_text(card, opening_of(card).added_in)
    result = result_of(card, given)
    return (
        WorkedLine(
            why={
                _THIN: "Some of the clearance is still missing in their height, so the key is made "
                "thinner than the opening it has to fill.",
                _THICK: "They added more than was missing, so the key is made thicker than the "
                "opening.",
                _RIGHT: "They added what was missing, so the key is made to the opening.",
            }[str(result)],
            formula="what was missing against what they added",
            numbers=f"{missed} against {added}",
            result=str(result),
        ),
    )


def unclear(card: JobCard, given: Given) -> str:
    """Return why it is not plain which reading, if any, stands apart on the high side."""
    readings = opening_of(card).mouth_in
    test = find_outlier(readings_in=list(readings))
    off = max(readings) - mean_of(sorted(readings)[:-1])
    if not (off > 0.005 if test.index is not None else off < 0.0015):
        return "01-bad-reading: a reading stands apart, but not far enough to say so"
    if abs(test.statistic - test.limit) < 0.002:
        return "01-bad-reading: too near the limit to be told with a pencil"
    if test.index is not None and readings[test.index] != max(readings):
        return "01-bad-reading: a low reading stands apart"
    if 0.6 < abs(_apart_in(given)) / (2 * _good_to_in(card)) < 2.0:
        return "01-large-end: the heights lie on the edge of telling"
    off = abs(number_of(given, "01-missed-height") - opening_of(card).added_in)
    if 0.0001 < off < 0.0006:
        return "01-key-result: what was added is nearly what was missing"
    return ""
