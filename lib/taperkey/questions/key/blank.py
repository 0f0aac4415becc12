"""Exercise 03: size by the table, heights of the blank, and its stand-out."""

from __future__ import annotations

from taperkey.jobcard import JobCard
from taperkey.jobcard.drive import MM_PER_IN
from taperkey.questions.common import (
    Given,
    bare,
    distance_text,
    length_slips,
    length_text,
    number_of,
    rule_text,
    shaft_text,
)
from taperkey.questions.key.facts import (
    blank_facts,
    table_facts,
    table_rows,
    taper_text,
)
from taperkey.questions.key.values import (
    large_end_in,
    order_of,
    rise_in,
    small_end_in,
    stand_out_in,
    table_width_in,
    travel_in,
)
from taperkey.questions.question import Answer, Measure, Question, Slip, WorkedLine

__all__ = ["QUESTIONS"]

_HEIGHT = Measure(dimension="length", unit="in", low=0.1, high=4.0)


def _table_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    over, to, width, height = next(
        row
        for row in table_rows(card)
        if row[0] < bare(card, card.drive.shaft_diameter_in) - 1e-9 <= row[1] + 1e-6
    )
    unit = "mm" if card.metric else "in"
    return (
        WorkedLine(
            why="Find the row that the shaft falls in. The upper figure still belongs to the row.",
            formula="over < shaft ≤ to and including",
            numbers=f"{over:g} {unit} < {shaft_text(card)} ≤ {to:g} {unit}: "
            f"{width:g} × {height:g} {unit}",
            result=length_text(card, table_width_in(card, given)),
        ),
    )


def _large_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    return (
        WorkedLine(
            why="The opening at the mouth, more for what stays outside, and what is left on for "
            "fitting.",
            formula="large end = height at the mouth + taper × length outside + allowance",
            numbers=f"{length_text(card, order.mouth_height_in)} + {taper_text(card)} × "
            f"{distance_text(card, order.outside_length_in)} + "
            f"{length_text(card, order.allowance_in)}",
            result=length_text(card, large_end_in(card, given)),
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
            why="What is left on in height keeps the key out by its travel; what stays outside "
            "anyway comes on top.",
            formula="stand-out = length outside + allowance ÷ taper",
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
    Question(
        key="03-table-width",
        skill="size a key",
        label="Width by the table",
        ask="Which key width does the table give for this shaft?",
        marks=1,
        kind=Measure(dimension="length", unit="in", low=0.05, high=7.0, places=4),
        expected=table_width_in,
        tolerance=lambda card, given: 0.0006,
        slips=(
            Slip(
                name="row too small",
                value=lambda card, given: _off_table(card, -1),
                sentence="That row ends below this shaft. Read both figures of the row: over, and "
                "to and including.",
            ),
            Slip(
                name="row too large",
                value=lambda card, given: _off_table(card, 1),
                sentence="That row begins above this shaft. The upper figure of a row still "
                "belongs to it.",
            ),
            Slip(
                name="height for width",
                value=lambda card, given: _off_rows(card, card.drive.key_height_in),
                sentence="This is the height of that key. A table names the width first.",
                share=0.5,
            ),
            Slip(
                name="a quarter of the shaft",
                value=lambda card, given: _off_rows(card, card.drive.shaft_diameter_in / 4),
                sentence="A quarter of the shaft is a rule of thumb. The table has the size that "
                "is made.",
                share=0.25,
            ),
        ),
        hint="Find the row whose two figures have the shaft between them.",
        facts=table_facts,
        worked=_table_work,
    ),
    Question(
        key="03-large-end",
        skill="size the blank",
        label="Height of the large end",
        ask="How high is the new key made at its large end, before any fitting?",
        marks=2,
        kind=_HEIGHT,
        expected=large_end_in,
        tolerance=lambda card, given: 0.0004,
        slips=(
            Slip(
                name="allowance forgotten",
                value=lambda card, given: large_end_in(card, given) - order_of(card).allowance_in,
                sentence="Nothing is left on for fitting: the first stroke of the file makes this "
                "key too low.",
                share=0.5,
            ),
            Slip(
                name="allowance taken off",
                value=lambda card, given: (
                    large_end_in(card, given) - 2 * order_of(card).allowance_in
                ),
                sentence="What is left on for fitting was taken off. The new key must be higher "
                "than the opening, not lower.",
            ),
            Slip(
                name="length outside forgotten",
                value=lambda card, given: (
                    large_end_in(card, given)
                    - order_of(card).taper_in_per_in * order_of(card).outside_length_in
                ),
                sentence="This is the height at the mouth. The large end stays outside, and there "
                "the key is higher.",
                share=0.5,
            ),
            Slip(
                name="length outside taken off",
                value=lambda card, given: (
                    large_end_in(card, given)
                    - 2 * order_of(card).taper_in_per_in * order_of(card).outside_length_in
                ),
                sentence="The key gets higher going out of the mouth. Look at the sign of that "
                "part.",
                share=0.25,
            ),
            Slip(
                name="table height for the opening",
                value=lambda card, given: (
                    large_end_in(card, given)
                    - order_of(card).mouth_height_in
                    + card.drive.key_height_in
                ),
                sentence="The height of the table was taken. This slot has been measured, and the "
                "key is made to the slot.",
            ),
            Slip(
                name="small end for large",
                value=lambda card, given: large_end_in(card, given) - rise_in(card),
                sentence="This is the other end of the key.",
                share=0.25,
            ),
            *length_slips(large_end_in),
        ),
        hint="Start from the height at the mouth. What makes the large end higher than that?",
        facts=blank_facts,
        worked=_large_work,
    ),
    Question(
        key="03-small-end",
        skill="size the blank",
        label="Height of the small end",
        ask="How high is the new key at its small end?",
        marks=2,
        kind=_HEIGHT,
        expected=small_end_in,
        tolerance=lambda card, given: 0.0006,
        needs=("03-large-end",),
        slips=(
            Slip(
                name="length outside forgotten",
                value=lambda card, given: (
                    number_of(given, "03-large-end")
                    - order_of(card).taper_in_per_in * order_of(card).engaged_length_in
                ),
                sentence="The taper was taken over the length in the hub only. The key is longer "
                "than that.",
                share=0.5,
            ),
            Slip(
                name="taper added",
                value=lambda card, given: number_of(given, "03-large-end") + rise_in(card),
                sentence="The key gets lower towards its small end. Look at the sign.",
                share=0.25,
            ),
            Slip(
                name="taper of one inch or millimetre",
                value=lambda card, given: (
                    number_of(given, "03-large-end")
                    - order_of(card).taper_in_per_in / (MM_PER_IN if card.metric else 1)
                ),
                sentence="The taper of a single unit of length was taken off. The key is longer.",
                share=0.25,
            ),
            Slip(
                name="standard taper taken",
                value=_small_by_standard,
                sentence="This opening has another taper than the standard. The key follows the "
                "opening.",
            ),
            Slip(
                name="allowance forgotten",
                value=lambda card, given: (
                    number_of(given, "03-large-end") - rise_in(card) - order_of(card).allowance_in
                ),
                sentence="What is left on for fitting runs the whole length of the key; it is in "
                "the large end already.",
                share=0.5,
            ),
            *length_slips(small_end_in),
        ),
        hint="Taper times the whole length is how much lower the small end is.",
        facts=blank_facts,
        worked=_small_work,
    ),
    Question(
        key="03-stand-out",
        skill="size the blank",
        label="Stand-out of the new key",
        ask="Pushed in by hand for the first time, how far does the new key's large end stand out "
        "of the mouth?",
        marks=2,
        kind=Measure(dimension="length", unit="in", low=0.2, high=6.0, places=2, metric_places=1),
        expected=stand_out_in,
        tolerance=lambda card, given: 0.02,
        slips=(
            Slip(
                name="length outside left out",
                value=lambda card, given: travel_in(card),
                sentence="That is how far it still has to travel. Part of the key stays outside "
                "even then.",
                share=0.5,
            ),
            Slip(
                name="allowance × taper",
                value=lambda card, given: (
                    order_of(card).outside_length_in
                    + order_of(card).allowance_in * order_of(card).taper_in_per_in
                ),
                sentence="The allowance was multiplied by the taper. A slight taper makes much "
                "travel of little height: divide.",
                share=0.25,
            ),
            Slip(
                name="length outside taken off",
                value=lambda card, given: travel_in(card) - order_of(card).outside_length_in,
                sentence="What stays outside comes on top of the travel.",
                share=0.25,
            ),
            Slip(
                name="standard taper taken",
                value=_out_by_standard,
                sentence="This opening has another taper than the standard, so the travel is "
                "another too.",
                share=0.5,
            ),
            Slip(
                name="taper of 100 mm or a foot",
                value=lambda card, given: (
                    order_of(card).outside_length_in
                    + travel_in(card) / (100 if card.metric else 12)
                ),
                sentence="The taper of a longer piece was used. Divide by the taper of one unit of "
                "length.",
                share=0.25,
            ),
            *length_slips(stand_out_in),
        ),
        hint="Travel is the allowance divided by the taper; then what stays outside.",
        facts=blank_facts,
        worked=_stand_out_work,
    ),
)
