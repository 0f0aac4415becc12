"""Slips that can happen to any reading, and how the questions write their numbers."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from coursework.draws import Draws
from coursework.ink.drawing import Picture
from coursework.ink.shop import ShopUnits
from coursework.question import Answer, Measure, WorkedLine, letters_of
from keycourse.card import JobCard
from taperkey.formulas.taper import STANDARD_INCH, STANDARD_METRIC
from taperkey.units import MM_PER_IN, fraction_text, number_text
from taperkey.units import force_text as _force
from taperkey.units import length_text as _length

__all__ = [
    "FORCE",
    "Value",
    "Wrong",
    "bare",
    "distance_text",
    "force_text",
    "four_figures",
    "four_figures_text",
    "in_order",
    "length_text",
    "lettered",
    "letters_at",
    "name_now",
    "narrow",
    "number_of",
    "only",
    "only_if",
    "rule_text",
    "scaled",
    "standard_of",
    "steps_in_order",
    "shaft_text",
    "within",
]

Given = Mapping[str, Answer]
Value = Callable[[JobCard, Given], float]
Wrong = Callable[[JobCard, Given], Answer | None]

FORCE = Measure(
    dimension="force",
    unit="lbf",
    low=200,
    high=3_000_000,
    places=0,
    metric_unit="kN",
    metric_places=1,
)


#: Names of things that earlier files hold: sessions of a bench, jobs. They are still read.
_FORMER_NAMES = {"hollow-plunger": "hollow-ram", "sliding weight": "slide hammer"}


def name_now(text: str) -> str:
    """Return a kept text with the names that its things have now.

    >>> name_now("hollow-plunger jack")
    'hollow-ram jack'
    """
    for former, now in _FORMER_NAMES.items():
        text = text.replace(former, now)
    return text


def number_of(given: Given, key: str) -> float:
    """Return an earlier answer that is a number."""
    value = given[key]
    if not isinstance(value, float):
        raise LookupError(f"{key} is not a number")
    return value


def length_text(card: JobCard, value_in: float) -> str:
    """Write a reading as it stands on this card: "1.0104 in" or "25.664 mm"."""
    return _length(value_in, unit="mm" if card.metric else "in")


def distance_text(card: JobCard, value_in: float) -> str:
    """Write a distance along the slot as it stands on this card: "2 in" or "50 mm"."""
    if card.metric:
        return f"{round(value_in * MM_PER_IN, 1):g} mm"
    return f"{round(value_in, 4):g} in"


def rule_text(card: JobCard, value_in: float) -> str:
    """Write a stand-out as it is read by rule: "0.96 in" or "25.0 mm"."""
    return f"{value_in * MM_PER_IN:.1f} mm" if card.metric else f"{value_in:.2f} in"


def shaft_text(card: JobCard) -> str:
    """Write the nominal shaft as it is called: "3-15/16 in" or "90 mm"."""
    if card.metric:
        return distance_text(card, card.drive.shaft_diameter_in)
    return fraction_text(card.drive.shaft_diameter_in)


def force_text(card: JobCard, value_lbf: float) -> str:
    """Write a force as it stands on this card: "28,400 lbf" or "126.3 kN"."""
    return _force(value_lbf, unit="kN" if card.metric else "lbf")


def standard_of(units: ShopUnits) -> tuple[float, str]:
    """Return the standard taper of a shop, inch or metric, and how it is called."""
    return (STANDARD_METRIC, "1:100") if units.metric else (STANDARD_INCH, "1:96")


def four_figures(value: float) -> float:
    """Round a number to four figures, as it is carried from one step to the next by hand."""
    return round(value, 3 - math.floor(math.log10(abs(value)))) if value else 0.0


def four_figures_text(value: float) -> str:
    """Write a number to four figures: "22,760" or "19.4"."""
    return number_text(four_figures(value))


def bare(card: JobCard, value_in: float) -> float:
    """Return the number alone, as somebody has it who lost its unit."""
    return value_in * MM_PER_IN if card.metric else value_in


def scaled(value: Value, factor: float) -> Callable[[JobCard, Given], float]:
    """Return the same value times a factor, for a slip."""
    return lambda card, given: value(card, given) * factor


def only_if(holds: bool, value: Answer) -> Answer | None:
    """Return the value where the condition holds: a slip that can be made here."""
    return value if holds else None


def within(value: Value, part: float) -> Value:
    """Return a tolerance that is a part of the value."""
    return lambda card, given: part * abs(value(card, given))


def only(value: Value, factor: float, *, metric: bool) -> Wrong:
    """Return the value times a factor on metric cards only, or on inch cards only."""
    return lambda card, given: value(card, given) * factor if card.metric is metric else None


def lettered(card: JobCard, key: str, names: Sequence[str]) -> dict[str, str]:
    """Return each name's letter on the picture of a question: another one on each card."""
    draws = Draws(f"{card.class_code}/{card.exercise}/{card.number}/{key}/letters")
    row = list(names)
    for place in range(len(row) - 1, 0, -1):
        other = draws.whole(low=0, high=place)
        row[place], row[other] = row[other], row[place]
    return dict(zip(row, letters_of(len(row)), strict=True))


def narrow(picture: Picture) -> str:
    """Return a picture of some 400 units as HTML: a phone shows it whole, without sliding it."""
    return f'<div class="tk-narrow">{picture.html()}</div>'


def letters_at(key: str, places: Sequence[str], *names: str) -> Wrong:
    """Return what gives the letters of these places on the picture of a question, in order."""

    def letters(card: JobCard, given: Given) -> Answer:
        row = lettered(card, key, places)
        return tuple(sorted(row[name] for name in names))

    return letters


def in_order(letters: str) -> Wrong:
    """Return what gives these letters, one after the other, on any card."""
    return lambda card, given: tuple(letters)


def steps_in_order(
    steps: Sequence[str], order: Sequence[str], why: Mapping[str, str] | None = None
) -> Callable[[JobCard, Given], tuple[WorkedLine, ...]]:
    """Return what works an order out: each step in turn, with its reason where there is one."""

    def lines(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
        return tuple(
            WorkedLine(
                why=f"Step {place}" if why is None else why[letter],
                result=steps[ord(letter) - ord("A")],
            )
            for place, letter in enumerate(order, start=1)
        )

    return lines
