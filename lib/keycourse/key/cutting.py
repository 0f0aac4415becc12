"""Exercise 03: the bar, the cuts, and their order."""

from __future__ import annotations

from coursework.question import (
    Answer,
    Choice,
    Measure,
    Ordering,
    WorkedLine,
)
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import Given, length_text, number_of, steps_in_order
from keycourse.key.card import RackBar
from keycourse.key.facts import (
    cut_facts,
    cut_text,
    rack_facts,
    width_facts,
)
from keycourse.key.values import (
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

__all__ = ["QUESTIONS"]

WORDS = words_beside(__file__)

_DEPTH = Measure(dimension="length", unit="in", low=0.005, high=1.0)


def _stock_work(card: JobCard, given: Given) -> tuple[WorkedLine, ...]:
    order = order_of(card)
    bars = bars_that_hold(
        card, height_in=needed_height_in(card, given), width_in=order.key_width_in
    )
    return (
        WorkedLine(
            why="The bar must have height for the large end, the relief cut, and the least taper "
            "cut. Its measured size counts, not its nominal one.",
            formula="height of the bar ≥ large end + relief cut + least taper cut",
            numbers=f"{length_text(card, number_of(given, '03-large-end'))} + "
            f"{cut_text(card, order.relief_cut_in)} + "
            f"{cut_text(card, order.least_taper_cut_in)}",
            result=f"{length_text(card, needed_height_in(card, given))} or more",
        ),
        WorkedLine(
            why="It must be wide enough, too. Of those that are, take the smallest: least to cut.",
            formula="width of the bar ≥ width of the key",
            numbers=f"{length_text(card, bars[0].width_in)} ≥ "
            f"{length_text(card, order.key_width_in)}"
            if bars
            else "",
            result=str(stock(card, given)),
        ),
    )


def _cut_work(card: JobCard, given: Given, end: str, name: str) -> tuple[WorkedLine, ...]:
    return (
        WorkedLine(
            why="What is left above the blank after the relief cut comes off as the taper.",
            formula=f"cut = height of the bar − relief cut − {name}",
            numbers=f"{length_text(card, bar_chosen(card, given).height_in)} − "
            f"{cut_text(card, order_of(card).relief_cut_in)} − "
            f"{length_text(card, number_of(given, end))}",
            result=length_text(card, cut_in(card, given, end)),
        ),
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
    WORDS.question(
        "03-stock",
        kind=Choice(options=BARS),
        expected=stock,
        needs=("03-large-end",),
        slips={
            "no metal for the cuts": _no_clean_up,
            "too narrow": _no_width,
            "table size taken": _table_bar,
            "larger than needed": _large_bar,
        },
        facts=lambda card: (*rack_facts(card), *width_facts(card)),
        worked=_stock_work,
    ),
    WORDS.question(
        "03-cut-large",
        kind=_DEPTH,
        expected=cut_large_in,
        tolerance=lambda card, given: 0.0005,
        needs=("03-large-end", "03-stock"),
        slips={
            "relief cut forgotten": lambda card, given: (
                cut_large_in(card, given) + order_of(card).relief_cut_in
            ),
            "small end for large": lambda card, given: cut_large_in(card, given) + rise_in(card),
            "nominal size taken": lambda card, given: _called(card, given, "03-large-end"),
            "allowance cut off": lambda card, given: (
                cut_large_in(card, given) + order_of(card).allowance_in
            ),
        },
        facts=rack_facts,
        worked=lambda card, given: _cut_work(card, given, "03-large-end", "large end"),
    ),
    WORDS.question(
        "03-cut-small",
        kind=_DEPTH,
        expected=cut_small_in,
        tolerance=lambda card, given: 0.0006,
        needs=("03-small-end", "03-stock"),
        slips={
            "relief cut forgotten": lambda card, given: (
                cut_small_in(card, given) + order_of(card).relief_cut_in
            ),
            "large end for small": lambda card, given: cut_small_in(card, given) - rise_in(card),
            "rise of the master key only": lambda card, given: rise_in(card),
            "nominal size taken": lambda card, given: _called(card, given, "03-small-end"),
        },
        facts=rack_facts,
        worked=lambda card, given: _cut_work(card, given, "03-small-end", "small end"),
    ),
    WORDS.question(
        "03-order",
        kind=Ordering(steps=STEPS),
        expected=lambda card, given: ORDER,
        slips={
            "taper before the relief cut": lambda card, given: ("C", "D", "A", "F", "B", "E"),
            "relief cut on the master key": lambda card, given: ("C", "D", "F", "A", "B", "E"),
            "edges chamfered after the first try": lambda card, given: tuple("CFDAEB"),
            "large end marked late": lambda card, given: _moved(
                ("F", "D", "A", "B", "E", "C"), "C", "D"
            ),
        },
        facts=cut_facts,
        worked=steps_in_order(STEPS, ORDER),
    ),
)
