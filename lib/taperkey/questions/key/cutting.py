"""Exercise 03: the bar, the cuts, and their order."""

from __future__ import annotations

from taperkey.jobcard import JobCard
from taperkey.jobcard.key import RackBar
from taperkey.questions.common import Given, length_text, number_of
from taperkey.questions.key.facts import cut_facts, cut_text, rack_facts, width_facts
from taperkey.questions.key.values import (
    BARS,
    ORDER,
    STEPS,
    bar_chosen,
    bars_that_hold,
    cut_in,
    cut_large_in,
    cut_small_in,
    needed_height_in,
    order_of,
    rise_in,
    stock,
)
from taperkey.questions.question import (
    Answer,
    Choice,
    Measure,
    Ordering,
    Question,
    Slip,
    WorkedLine,
)

__all__ = ["QUESTIONS"]

_DEPTH = Measure(dimension="length", unit="in", low=0.005, high=1.0)


def _stock_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    return (
        WorkedLine(
            why="The bar must hold the large end, the straight cut, and the least of the taper "
            "cut. Its measured size counts, not what it is called.",
            formula="height of the bar ≥ large end + straight cut + least taper cut",
            numbers=f"{length_text(card, number_of(given, '03-large-end'))} + "
            f"{cut_text(card, order.straight_cut_in)} + "
            f"{cut_text(card, order.least_taper_cut_in)}",
            result=f"{length_text(card, needed_height_in(card, given))} or more",
        ),
        WorkedLine(
            why="It must be wide enough, too. Of those that are, the smallest is least to cut.",
            formula="width of the bar ≥ width of the key",
            numbers=length_text(card, order.key_width_in),
            result=str(stock(card, given)),
        ),
    )


def _cut_work(card: JobCard, given: Given, end: str, name: str) -> tuple[WorkedLine, ...]:
    return (
        WorkedLine(
            why="What the bar has above the blank after the straight cut comes off as the taper.",
            formula=f"cut = height of the bar − straight cut − {name}",
            numbers=f"{length_text(card, bar_chosen(card, given).height_in)} − "
            f"{cut_text(card, order_of(card).straight_cut_in)} − "
            f"{length_text(card, number_of(given, end))}",
            result=length_text(card, cut_in(card, given, end)),
        ),
    )


def _order_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    return tuple(
        WorkedLine(why=f"Step {place}", result=STEPS[ord(letter) - ord("A")])
        for place, letter in enumerate(ORDER, start=1)
    )


def _other_bar(
    card: JobCard, given: Given, bars: list[RackBar], *taken: Answer | None
) -> Answer | None:
    """Return the first of these bars unless it is right or stands for another slip."""
    if not bars or bars[0].name in (stock(card, given), *taken):
        return None
    return bars[0].name


def _no_clean_up(card: JobCard, given: Given) -> Answer | None:
    bars = bars_that_hold(
        card,
        height_in=number_of(given, "03-large-end"),
        width_in=order_of(card).key_width_in,
    )
    return _other_bar(card, given, bars)


def _no_width(card: JobCard, given: Given) -> Answer | None:
    bars = bars_that_hold(card, height_in=needed_height_in(card, given), width_in=0.0)
    return _other_bar(card, given, bars, _no_clean_up(card, given))


def _table_bar(card: JobCard, given: Given) -> Answer | None:
    bars = bars_that_hold(
        card,
        height_in=card.drive.key_height_in - 0.003,
        width_in=order_of(card).key_width_in,
    )
    return _other_bar(card, given, bars, _no_clean_up(card, given))


def _large_bar(card: JobCard, given: Given) -> Answer | None:
    bars = bars_that_hold(
        card, height_in=needed_height_in(card, given), width_in=order_of(card).key_width_in
    )
    return bars[1].name if len(bars) > 1 else None


def _called(card: JobCard, given: Given, end: str) -> Answer:
    bar = bar_chosen(card, given)
    return bar.nominal_height_in - bar.height_in + cut_in(card, given, end)


def _moved(order: tuple[str, ...], letter: str, before: str) -> tuple[str, ...]:
    """Return the order with one step taken earlier, straight before another."""
    rest = [one for one in order if one != letter]
    place = rest.index(before)
    return (*rest[:place], letter, *rest[place:])


QUESTIONS = (
    Question(
        key="03-stock",
        skill="choose and cut stock",
        label="Bar for the key",
        ask="Which bar do you take? It must be large enough as measured, and the smallest that is.",
        marks=2,
        kind=Choice(options=BARS),
        expected=stock,
        needs=("03-large-end",),
        slips=(
            Slip(
                name="no metal for the cuts",
                value=_no_clean_up,
                sentence="It holds the large end, but not the cuts above it. Cold-drawn skin left "
                "on bows the key.",
                share=0.25,
            ),
            Slip(
                name="too narrow",
                value=_no_width,
                sentence="Its height will do; now look at its width.",
                share=0.25,
            ),
            Slip(
                name="table size taken",
                value=_table_bar,
                sentence="It has the height of the table's key. The blank is higher than that: "
                "work out what the bar must hold.",
            ),
            Slip(
                name="larger than needed",
                value=_large_bar,
                sentence="It will do, but a smaller one will too, with less to cut off.",
                share=0.5,
            ),
        ),
        hint="Add up what the bar must hold in height, then look at its width.",
        facts=lambda card: (*rack_facts(card), *width_facts(card)),
        worked=_stock_work,
    ),
    Question(
        key="03-cut-large",
        skill="choose and cut stock",
        label="Taper cut at the large end",
        ask="After the straight cut, how much does the taper cut take off at the large end?",
        marks=1,
        kind=_DEPTH,
        expected=cut_large_in,
        tolerance=lambda card, given: 0.0005,
        needs=("03-large-end", "03-stock"),
        slips=(
            Slip(
                name="straight cut forgotten",
                value=lambda card, given: (
                    cut_large_in(card, given) + order_of(card).straight_cut_in
                ),
                sentence="The straight cut has taken its share already. This makes the key too "
                "low by that much.",
                share=0.5,
            ),
            Slip(
                name="small end for large",
                value=lambda card, given: cut_large_in(card, given) + rise_in(card),
                sentence="This is the depth at the other end.",
                share=0.25,
            ),
            Slip(
                name="size the bar is called by",
                value=lambda card, given: _called(card, given, "03-large-end"),
                sentence="That is from the size the bar is called by. Take what it measures.",
                share=0.5,
            ),
            Slip(
                name="allowance cut off",
                value=lambda card, given: cut_large_in(card, given) + order_of(card).allowance_in,
                sentence="What is left on for fitting was cut off with the rest.",
                share=0.25,
            ),
        ),
        hint="Measured bar, less the straight cut, less the height the large end must keep.",
        facts=rack_facts,
        worked=lambda card, given: _cut_work(card, given, "03-large-end", "large end"),
    ),
    Question(
        key="03-cut-small",
        skill="choose and cut stock",
        label="Taper cut at the small end",
        ask="And at the small end?",
        marks=1,
        kind=_DEPTH,
        expected=cut_small_in,
        tolerance=lambda card, given: 0.0006,
        needs=("03-small-end", "03-stock"),
        slips=(
            Slip(
                name="straight cut forgotten",
                value=lambda card, given: (
                    cut_small_in(card, given) + order_of(card).straight_cut_in
                ),
                sentence="The straight cut has taken its share already. This makes the key too "
                "low by that much.",
                share=0.5,
            ),
            Slip(
                name="large end for small",
                value=lambda card, given: cut_small_in(card, given) - rise_in(card),
                sentence="This is the depth at the other end.",
                share=0.25,
            ),
            Slip(
                name="rise of the master key only",
                value=lambda card, given: rise_in(card),
                sentence="That is how much more comes off here than at the large end. What comes "
                "off there comes off here too.",
                share=0.25,
            ),
            Slip(
                name="size the bar is called by",
                value=lambda card, given: _called(card, given, "03-small-end"),
                sentence="That is from the size the bar is called by. Take what it measures.",
                share=0.5,
            ),
        ),
        hint="Measured bar, less the straight cut, less the height of the small end.",
        facts=rack_facts,
        worked=lambda card, given: _cut_work(card, given, "03-small-end", "small end"),
    ),
    Question(
        key="03-order",
        skill="choose and cut stock",
        label="Order of work",
        ask="Put these steps in the order of work. Write the letters, first step first.",
        marks=2,
        kind=Ordering(steps=STEPS),
        expected=lambda card, given: ORDER,
        slips=(
            Slip(
                name="taper before the straight cut",
                value=lambda card, given: ("C", "D", "A", "F", "B", "E"),
                sentence="With the skin off one face only, the other still pulls and the key bows. "
                "Which cut comes first?",
            ),
            Slip(
                name="straight cut on the master key",
                value=lambda card, given: ("C", "D", "F", "A", "B", "E"),
                sentence="The straight cut is level: the bar lies flat for it, without the master "
                "key under it.",
                share=0.5,
            ),
            Slip(
                name="edges eased after the first try",
                value=lambda card, given: ("C", "F", "D", "A", "E", "B"),
                sentence="With sharp edges the key rides on the corner radii, and its blue marks "
                "tell nothing.",
                share=0.5,
            ),
            Slip(
                name="large end marked late",
                value=lambda card, given: _moved(("F", "D", "A", "B", "E", "C"), "C", "D"),
                sentence="Measure and mark before the first cut: after it, the bar no longer tells "
                "what it was.",
                share=0.5,
            ),
        ),
        hint="What must be done before the next step can be right?",
        facts=cut_facts,
        worked=_order_work,
    ),
)
