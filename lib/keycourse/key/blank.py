"""Exercise 03: size by the table, heights of the blank, and its stand-out."""

from __future__ import annotations

from coursework.question import Answer, Choice, Measure, WorkedLine
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import (
    Given,
    bare,
    distance_text,
    length_text,
    number_of,
    only_if,
    rule_text,
    shaft_text,
)
from keycourse.key.facts import (
    blank_facts,
    table_facts,
    table_rows,
    taper_text,
)
from keycourse.key.values import (
    FAR_FACE,
    NEAR_FACE,
    goes_in,
    large_end_in,
    order_of,
    rise_in,
    small_end_in,
    stand_out_in,
    table_width_in,
    travel_in,
)
from taperkey.units import MM_PER_IN

__all__ = ["QUESTIONS"]

WORDS = words_beside(__file__)

_HEIGHT = Measure(dimension="length", unit="in", low=0.1, high=4.0)


def _table_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    over, to, _, _ = next(
        row
        for row in table_rows(card)
        if row[0] < bare(card, card.drive.shaft_diameter_in) - 1e-9 <= row[1] + 1e-6
    )
    unit = "mm" if card.metric else "in"
    return (
        WorkedLine(
            why="Find the row that the shaft falls in. The upper size still belongs to the row.",
            formula="over < shaft ≤ to and including",
            numbers=f"{over:g} {unit} < {shaft_text(card)} ≤ {to:g} {unit}",
            result=length_text(card, table_width_in(card, given)),
        ),
    )


def _large_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    return (
        WorkedLine(
            why="The opening at the mouth, the higher of the two faces, plus the taper of what is "
            "left outside, plus the fitting allowance.",
            formula="large end = height at the mouth + taper × length left outside + allowance",
            numbers=f"{length_text(card, order.mouth_height_in)} + {taper_text(card)} × "
            f"{distance_text(card, order.outside_length_in)} + "
            f"{length_text(card, order.allowance_in)}",
            result=length_text(card, large_end_in(card, given)),
        ),
    )


def _goes_in_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    mouth, other = (length_text(card, at) for at in (order.mouth_height_in, order.small_height_in))
    return (
        WorkedLine(
            why="The large end belongs where the opening is higher, whichever face that is: there "
            "the key goes in, and there it comes out.",
            formula="higher face against lower face",
            numbers=f"{mouth} against {other}",
            result=str(goes_in(card, given)),
        ),
    )


def _small_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    return (
        WorkedLine(
            why="The key gets lower along its whole length, inside and outside the hub.",
            formula="small end = large end − taper × whole length",
            numbers=f"{length_text(card, number_of(given, '03-large-end'))} − "
            f"{taper_text(card)} × {distance_text(card, order.length_in)}",
            result=length_text(card, small_end_in(card, given)),
        ),
    )


def _stand_out_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    return (
        WorkedLine(
            why="The allowance stops the key short of home: allowance ÷ taper is the travel to "
            "home. What is left outside adds to it.",
            formula="stand-out = length left outside + allowance ÷ taper",
            numbers=f"{distance_text(card, order.outside_length_in)} + "
            f"{length_text(card, order.allowance_in)} ÷ {taper_text(card)}",
            result=rule_text(card, stand_out_in(card, given)),
        ),
    )


def _standard_instead(card: JobCard) -> float | None:
    """Return the standard taper where the opening has another."""
    taper, standard = order_of(card).taper_in_per_in, card.drive.standard_taper_in_per_in
    return standard if abs(taper - standard) > 0.0003 else None


def _off_table(card: JobCard, step: int) -> Answer | None:
    """Return the width of the row before or after the shaft's own."""
    rows = [row[2] for row in table_rows(card)]
    place = 1 + step
    if place >= len(rows):
        return None
    return rows[place] / MM_PER_IN if card.metric else rows[place]


def _off_rows(card: JobCard, value_in: float) -> Answer | None:
    """Return a width unless it is that of a row of the table, too."""
    rows = [_off_table(card, step) for step in (-1, 0, 1)]
    near = any(isinstance(row, float) and abs(row - value_in) < 0.002 for row in rows)
    return None if near else value_in


def _small_by_standard(card: JobCard, given: Given) -> Answer | None:
    standard = _standard_instead(card)
    if standard is None:
        return None
    return number_of(given, "03-large-end") - standard * order_of(card).length_in


def _out_by_standard(card: JobCard, given: Given) -> Answer | None:
    standard = _standard_instead(card)
    if standard is None:
        return None
    return order_of(card).outside_length_in + order_of(card).allowance_in / standard


QUESTIONS = (
    WORDS.question(
        "03-table-width",
        kind=Measure(dimension="length", unit="in", low=0.05, high=7.0, places=4),
        expected=table_width_in,
        tolerance=lambda card, given: 0.0006,
        slips={
            "row too small": lambda card, given: _off_table(card, -1),
            "row too large": lambda card, given: _off_table(card, 1),
            "height for width": lambda card, given: _off_rows(card, card.drive.key_height_in),
            "a quarter of the shaft": lambda card, given: _off_rows(
                card, card.drive.shaft_diameter_in / 4
            ),
        },
        facts=table_facts,
        worked=_table_work,
    ),
    WORDS.question(
        "03-large-end",
        kind=_HEIGHT,
        expected=large_end_in,
        tolerance=lambda card, given: 0.0004,
        slips={
            "allowance forgotten": lambda card, given: (
                large_end_in(card, given) - order_of(card).allowance_in
            ),
            "allowance taken off": lambda card, given: (
                large_end_in(card, given) - 2 * order_of(card).allowance_in
            ),
            "length outside forgotten": lambda card, given: (
                large_end_in(card, given)
                - order_of(card).taper_in_per_in * order_of(card).outside_length_in
            ),
            "length outside taken off": lambda card, given: (
                large_end_in(card, given)
                - 2 * order_of(card).taper_in_per_in * order_of(card).outside_length_in
            ),
            "table height for the opening": lambda card, given: (
                large_end_in(card, given)
                - order_of(card).mouth_height_in
                + card.drive.key_height_in
            ),
            "lower height taken for the mouth": lambda card, given: (
                large_end_in(card, given)
                - order_of(card).mouth_height_in
                + order_of(card).small_height_in
            ),
            "small end for large": lambda card, given: large_end_in(card, given) - rise_in(card),
        },
        facts=blank_facts,
        worked=_large_work,
    ),
    WORDS.question(
        "03-goes-in",
        kind=Choice(options=(NEAR_FACE, FAR_FACE)),
        expected=goes_in,
        needs=("03-large-end",),
        slips={
            "near face taken for granted": lambda card, given: only_if(
                goes_in(card, given) == FAR_FACE, NEAR_FACE
            ),
            "faces mixed up": lambda card, given: only_if(
                goes_in(card, given) == NEAR_FACE, FAR_FACE
            ),
        },
        facts=blank_facts,
        worked=_goes_in_work,
    ),
    WORDS.question(
        "03-small-end",
        kind=_HEIGHT,
        expected=small_end_in,
        tolerance=lambda card, given: 0.0006,
        needs=("03-large-end",),
        slips={
            "length outside forgotten": lambda card, given: (
                number_of(given, "03-large-end")
                - order_of(card).taper_in_per_in * order_of(card).engaged_length_in
            ),
            "taper added": lambda card, given: number_of(given, "03-large-end") + rise_in(card),
            "taper of one inch or millimeter": lambda card, given: (
                number_of(given, "03-large-end")
                - order_of(card).taper_in_per_in / (MM_PER_IN if card.metric else 1)
            ),
            "standard taper taken": _small_by_standard,
            "allowance forgotten": lambda card, given: (
                number_of(given, "03-large-end") - rise_in(card) - order_of(card).allowance_in
            ),
        },
        facts=blank_facts,
        worked=_small_work,
    ),
    WORDS.question(
        "03-stand-out",
        kind=Measure(dimension="length", unit="in", low=0.2, high=6.0, places=2, metric_places=1),
        expected=stand_out_in,
        tolerance=lambda card, given: 0.02,
        slips={
            "length outside left out": lambda card, given: travel_in(card),
            "allowance × taper": lambda card, given: (
                order_of(card).outside_length_in
                + order_of(card).allowance_in * order_of(card).taper_in_per_in
            ),
            "length outside taken off": lambda card, given: (
                travel_in(card) - order_of(card).outside_length_in
            ),
            "standard taper taken": _out_by_standard,
            "taper of 100 mm or a foot": lambda card, given: (
                order_of(card).outside_length_in + travel_in(card) / (100 if card.metric else 12)
            ),
        },
        facts=blank_facts,
        worked=_stand_out_work,
    ),
)
