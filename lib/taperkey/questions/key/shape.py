"""Exercise 03: widths, step and eased edges."""

from __future__ import annotations

from dataclasses import replace

from taperkey.jobcard import JobCard
from taperkey.questions.common import Given, Wrong, length_text, number_of
from taperkey.questions.key.facts import radius_facts, width_facts
from taperkey.questions.key.values import (
    CHAMFERS_IN,
    CHAMFERS_MM,
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
from taperkey.questions.question import Answer, Choice, Measure, Question, Slip, WorkedLine
from taperkey.units import fraction_text

__all__ = ["QUESTIONS"]


def _step_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    wide = max(order.hub_width_in, order.shaft_width_in)
    narrow = min(order.hub_width_in, order.shaft_width_in)
    return (
        WorkedLine(
            why="The slots lie one over the other, so the difference shares itself to two sides.",
            formula="step = (wide slot − narrow slot) ÷ 2",
            numbers=f"({length_text(card, wide)} − {length_text(card, narrow)}) ÷ 2",
            result=length_text(card, step_in(card, given)),
        ),
    )


def _form_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    return (
        WorkedLine(
            why="Hold the whole difference of the slots against what a plain key serves.",
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
            why="A plain key must pass the narrow slot."
            if plain
            else "Each portion is made to its own slot.",
            formula=f"width = {'narrow' if plain else 'hub'} slot − clearance",
            numbers=f"{length_text(card, hub_portion_in(card, given) + order.side_clearance_in)} − "
            f"{length_text(card, order.side_clearance_in)}",
            result=length_text(card, hub_portion_in(card, given)),
        ),
    )


def _chamfer_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    return (
        WorkedLine(
            why="The eased edge must clear the radius, and no more: what is eased does not bear.",
            formula="chamfer > radius: the first of the list that is",
            numbers=f"the first above {chamfer_text(card, order_of(card).slot_radius_in)}",
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


_CHAMFER = Question(
    key="03-chamfer",
    skill="shape the key",
    label="Chamfer",
    ask="The long edges are eased by 45 degrees. Which is the smallest of these chamfers that "
    "clears the corner of the slot?",
    marks=1,
    kind=Choice(options=tuple(fraction_text(one) for one in CHAMFERS_IN)),
    expected=chamfer,
    slips=(
        Slip(
            name="edge rides on the radius",
            value=_chamfer_off(-1),
            sentence="That edge rides on the radius and holds the key off the bottom of the slot. "
            "It must be larger than the radius; as large is not enough.",
        ),
        Slip(
            name="eased too much",
            value=_chamfer_off(1),
            sentence="It clears, but a smaller one clears too. What is eased away does not bear.",
            share=0.5,
        ),
        Slip(
            name="eased far too much",
            value=_chamfer_off(2),
            sentence="It clears, but far more is eased away than the radius needs. "
            "What is eased away does not bear.",
            share=0.25,
        ),
    ),
    hint="Compare each chamfer with the radius in the corner of the slot.",
    facts=radius_facts,
    worked=_chamfer_work,
)


QUESTIONS = (
    Question(
        key="03-step",
        skill="shape the key",
        label="Step on each side",
        ask="By how much is the wide slot wider than the narrow one, on each side?",
        marks=1,
        kind=Measure(dimension="length", unit="in", low=0.0002, high=0.2),
        expected=step_in,
        tolerance=lambda card, given: 0.0002,
        slips=(
            Slip(
                name="not halved",
                value=lambda card, given: 2 * step_in(card, given),
                sentence="This is the whole difference. It shares itself to two sides.",
                share=0.5,
            ),
            Slip(
                name="halved twice",
                value=lambda card, given: step_in(card, given) / 2,
                sentence="It was halved once too often: there are two sides.",
                share=0.5,
            ),
            Slip(
                name="widths added",
                value=lambda card, given: (
                    (order_of(card).hub_width_in + order_of(card).shaft_width_in) / 2
                ),
                sentence="The widths were added. The step is what is between them.",
            ),
            Slip(
                name="clearance taken off",
                value=lambda card, given: when(
                    order_of(card).stepped,
                    step_in(card, given) - order_of(card).side_clearance_in,
                ),
                sentence="The clearance is the same in both slots, so it drops out of the step.",
                share=0.5,
            ),
        ),
        hint="Wide slot less narrow slot, shared to two sides.",
        facts=width_facts,
        worked=_step_work,
    ),
    Question(
        key="03-form",
        skill="shape the key",
        label="Plain or stepped",
        ask="Which form does this key need?",
        marks=1,
        kind=Choice(options=FORMS),
        expected=form,
        needs=("03-step",),
        slips=(
            Slip(
                name="step overlooked",
                value=lambda card, given: when(form(card, given) != PLAIN, PLAIN),
                sentence="A key of one width passes the narrow slot and rattles in the wide one. "
                "Hold the difference against the limit on the card.",
            ),
            Slip(
                name="wrong portion wide",
                value=_wrong_form,
                sentence="Look once more which of the two slots is the wide one.",
                share=0.5,
            ),
            Slip(
                name="step without need",
                value=_needless_step,
                sentence="The slots differ by less than the limit on the card. A step is work that "
                "brings nothing.",
                share=0.25,
            ),
        ),
        hint="Hold the whole difference of the slots against the limit on the card.",
        facts=width_facts,
        worked=_form_work,
    ),
    Question(
        key="03-hub-portion",
        skill="shape the key",
        label="Width in the hub",
        ask="How wide is the key made where it lies in the hub?",
        marks=1,
        kind=Measure(dimension="length", unit="in", low=0.1, high=4.0),
        expected=hub_portion_in,
        tolerance=lambda card, given: 0.0003,
        needs=("03-form",),
        slips=(
            Slip(
                name="clearance forgotten",
                value=lambda card, given: (
                    hub_portion_in(card, given) + order_of(card).side_clearance_in
                ),
                sentence="This is the slot itself. A taper key has a little air at its sides.",
                share=0.5,
            ),
            Slip(
                name="clearance on each side",
                value=lambda card, given: (
                    hub_portion_in(card, given) - order_of(card).side_clearance_in
                ),
                sentence="The clearance was taken off twice. The card gives it for both sides "
                "together.",
                share=0.5,
            ),
            Slip(
                name="clearance added",
                value=lambda card, given: (
                    hub_portion_in(card, given) + 2 * order_of(card).side_clearance_in
                ),
                sentence="The clearance was added. This key does not enter its slot.",
                share=0.25,
            ),
            Slip(
                name="shaft slot for hub slot",
                value=lambda card, given: when(
                    given["03-form"] != PLAIN,
                    order_of(card).shaft_width_in - order_of(card).side_clearance_in,
                ),
                sentence="This is the portion in the shaft. The question is about the one in the "
                "hub.",
                share=0.5,
            ),
            Slip(
                name="plain key to the wide slot",
                value=lambda card, given: when(
                    given["03-form"] == PLAIN,
                    max(order_of(card).hub_width_in, order_of(card).shaft_width_in)
                    - order_of(card).side_clearance_in,
                ),
                sentence="A plain key has to pass both slots. Which of them decides?",
                share=0.5,
            ),
        ),
        hint="Which slot decides here, and how much narrower is the key?",
        facts=width_facts,
        worked=_portion_work,
    ),
    replace(
        _CHAMFER,
        metric=replace(
            _CHAMFER, kind=Choice(options=tuple(f"{one:.1f} mm" for one in CHAMFERS_MM))
        ),
    ),
)
