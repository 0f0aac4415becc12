"""Exercise 03: widths, step and eased edges."""

from __future__ import annotations

from coursework.question import (
    Answer,
    Choice,
    Measure,
    WorkedLine,
)
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import (
    Given,
    Wrong,
    length_text,
    number_of,
)
from keycourse.key.card import CHAMFERS_IN, CHAMFERS_MM
from keycourse.key.facts import radius_facts, width_facts
from keycourse.key.values import (
    FORMS,
    HUB_WIDE,
    PLAIN,
    SHAFT_WIDE,
    chamfer,
    chamfer_place,
    chamfer_text,
    chamfers_in,
    form,
    hub_portion_in,
    order_of,
    step_in,
    when,
)
from taperkey.units import fraction_text

__all__ = ["QUESTIONS"]

WORDS = words_beside(__file__)


def _step_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    wide = max(order.hub_width_in, order.shaft_width_in)
    narrow = min(order.hub_width_in, order.shaft_width_in)
    return (
        WorkedLine(
            why="The slots lie one over the other, so half of the difference goes on each side.",
            formula="step = (wide slot − narrow slot) ÷ 2",
            numbers=f"({length_text(card, wide)} − {length_text(card, narrow)}) ÷ 2",
            result=length_text(card, step_in(card, given)),
        ),
    )


def _form_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    return (
        WorkedLine(
            why="Compare the whole difference of the slots with the limit for a plain key.",
            formula="2 × step against the limit",
            numbers=f"{length_text(card, 2 * number_of(given, '03-step'))} against "
            f"{length_text(card, order.plain_limit_in)}",
            result=str(form(card, given)),
        ),
    )


def _portion_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    plain = given["03-form"] == PLAIN
    return (
        WorkedLine(
            why="A plain key must go into the narrow slot."
            if plain
            else "Each part is made to its own slot.",
            formula=f"width = {'narrow' if plain else 'hub'} slot − clearance",
            numbers=f"{length_text(card, hub_portion_in(card, given) + order.side_clearance_in)} − "
            f"{length_text(card, order.side_clearance_in)}",
            result=length_text(card, hub_portion_in(card, given)),
        ),
    )


def _chamfer_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    return (
        WorkedLine(
            why="The chamfer must clear the radius, but no more: what is chamfered does not bear.",
            formula="chamfer > radius, and the smallest in the list that is",
            numbers=f"{chamfer(card, given)} > {chamfer_text(card, order_of(card).slot_radius_in)}",
            result=str(chamfer(card, given)),
        ),
    )


def _wrong_form(card: JobCard, given: Given) -> Answer | None:
    """Return the stepped form with its portions changed over."""
    return {HUB_WIDE: SHAFT_WIDE, SHAFT_WIDE: HUB_WIDE}.get(str(form(card, given)))


def _needless_step(card: JobCard, given: Given) -> Answer | None:
    order = order_of(card)
    wide = HUB_WIDE if order.hub_width_in > order.shaft_width_in else SHAFT_WIDE
    return when(form(card, given) == PLAIN, wide)


def _chamfer_off(step: int) -> Wrong:
    def other(card: JobCard, given: Given) -> Answer | None:
        row, place = chamfers_in(card), chamfer_place(card) + step
        return chamfer_text(card, row[place]) if 0 <= place < len(row) else None

    return other


QUESTIONS = (
    WORDS.question(
        "03-step",
        kind=Measure(dimension="length", unit="in", low=0.0002, high=0.2),
        expected=step_in,
        tolerance=lambda card, given: 0.0002,
        slips={
            "not halved": lambda card, given: 2 * step_in(card, given),
            "halved twice": lambda card, given: step_in(card, given) / 2,
            "widths added": lambda card, given: (
                (order_of(card).hub_width_in + order_of(card).shaft_width_in) / 2
            ),
            "clearance taken off": lambda card, given: when(
                order_of(card).stepped,
                step_in(card, given) - order_of(card).side_clearance_in,
            ),
        },
        facts=width_facts,
        worked=_step_work,
    ),
    WORDS.question(
        "03-form",
        kind=Choice(options=FORMS),
        expected=form,
        needs=("03-step",),
        slips={
            "step overlooked": lambda card, given: when(form(card, given) != PLAIN, PLAIN),
            "wrong portion wide": _wrong_form,
            "step without need": _needless_step,
        },
        facts=width_facts,
        worked=_form_work,
    ),
    WORDS.question(
        "03-hub-portion",
        kind=Measure(dimension="length", unit="in", low=0.1, high=4.0),
        expected=hub_portion_in,
        tolerance=lambda card, given: 0.0003,
        needs=("03-form",),
        slips={
            "clearance forgotten": lambda card, given: (
                hub_portion_in(card, given) + order_of(card).side_clearance_in
            ),
            "clearance on each side": lambda card, given: (
                hub_portion_in(card, given) - order_of(card).side_clearance_in
            ),
            "clearance added": lambda card, given: (
                hub_portion_in(card, given) + 2 * order_of(card).side_clearance_in
            ),
            "shaft slot for hub slot": lambda card, given: when(
                given["03-form"] != PLAIN,
                order_of(card).shaft_width_in - order_of(card).side_clearance_in,
            ),
            "plain key to the wide slot": lambda card, given: when(
                given["03-form"] == PLAIN,
                max(order_of(card).hub_width_in, order_of(card).shaft_width_in)
                - order_of(card).side_clearance_in,
            ),
        },
        facts=width_facts,
        worked=_portion_work,
    ),
    WORDS.question(
        "03-chamfer",
        kind=Choice(options=tuple(fraction_text(one) for one in CHAMFERS_IN)),
        expected=chamfer,
        slips={
            "edge rides on the radius": _chamfer_off(-1),
            "chamfer too large": _chamfer_off(1),
            "chamfer far too large": _chamfer_off(2),
        },
        facts=radius_facts,
        worked=_chamfer_work,
        metric={"kind": Choice(options=tuple(f"{one:g} mm" for one in CHAMFERS_MM))},
    ),
)
