"""Slips that can happen to any reading, and small helpers for the questions."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from taperkey.jobcard import JobCard, OpeningReadings, StationReadings
from taperkey.worksheet.question import Answer, Slip

__all__ = ["height_in", "length_slips", "number_of", "opening_of", "scaled", "stations_of"]

Given = Mapping[str, Answer]
Value = Callable[[JobCard, Given], float]


def opening_of(card: JobCard) -> OpeningReadings:
    """Return the card's readings of an opening."""
    if card.opening is None:
        raise LookupError(f"job card for {card.exercise} has no readings of an opening")
    return card.opening


def stations_of(card: JobCard) -> StationReadings:
    """Return the card's heights along an opening."""
    if card.stations is None:
        raise LookupError(f"job card for {card.exercise} has no stations")
    return card.stations


def number_of(given: Given, key: str) -> float:
    """Return an earlier answer that is a number."""
    value = given[key]
    if not isinstance(value, float):
        raise LookupError(f"{key} is not a number")
    return value


def height_in(value: float) -> str:
    """Write a reading as it stands on a card."""
    return f"{value:.4f} in"


def scaled(value: Value, factor: float) -> Callable[[JobCard, Given], float]:
    """Return the same value times a factor, for a slip."""
    return lambda card, given: value(card, given) * factor


def length_slips(value: Value) -> tuple[Slip, ...]:
    """Return the slips of unit and decimal point that any length can suffer."""
    return (
        Slip(
            name="thousandths as inches",
            value=scaled(value, 1000.0),
            sentence="This reads as a thousand times too much: thousandths were written as "
            "inches. Write the unit, such as 10.4 thou, or move the decimal point.",
            share=0.5,
        ),
        Slip(
            name="millimetres as inches",
            value=scaled(value, 25.4),
            sentence="The number fits in millimetres, but it stands there in inches. "
            "Write mm behind it, or change it to inches.",
            share=0.5,
        ),
        Slip(
            name="decimal point one place right",
            value=scaled(value, 10.0),
            sentence="The figures fit, the size does not: look at the decimal point.",
            share=0.25,
        ),
        Slip(
            name="decimal point one place left",
            value=scaled(value, 0.1),
            sentence="The figures fit, the size does not: look at the decimal point "
            "and count the noughts.",
            share=0.25,
        ),
    )
