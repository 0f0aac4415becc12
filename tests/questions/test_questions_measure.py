"""Exercise 01: the answers worked again from the card's readings, by the printed way of each.

A reading is rejected by Grubbs' test: the farthest from the mean over the standard deviation, five
readings, two-sided, 5 %: above 1.715 (Grubbs and Beck 1972, table I, as NIST's handbook has it).
"""

from __future__ import annotations

import math
import re
import statistics
from dataclasses import replace

import pytest

from coursework.course import PAGES, card_facts, issue_card
from coursework.judging import judge, right_answers
from keycourse.common import length_text
from keycourse.measure.values import ENDS, NAMES, NONE, RESULTS, large_end_of, unclear
from taperkey import practice

PAGE = PAGES["01-measure"]
CARDS = [issue_card(exercise="01-measure", class_code="QQ-26", number=n) for n in range(1, 61)]
GRUBBS_5 = 1.715


def good_to(card) -> float:
    """Return what a mean height is good to [in]."""
    if card.metric:
        return practice.metric("transfer_scatter") / 25.4
    return practice.value("transfer_scatter")


def bad_one(readings) -> str:
    mean, deviation = statistics.mean(readings), statistics.stdev(readings)
    far = max(readings, key=lambda one: abs(one - mean))
    return NAMES[readings.index(far)] if abs(far - mean) / deviation > GRUBBS_5 else NONE


def slip(card, key: str, text: str) -> str:
    found = judge(PAGE.question(key), card, text, right=right_answers(PAGE, card))
    return found.slip or found.state


def test_heights_and_widths_are_the_means_of_what_is_kept():
    met = set()
    for card in CARDS:
        right, read = right_answers(PAGE, card), card.readings
        bad = bad_one(read.mouth_in)
        met.add(bad == NONE)
        assert right["01-bad-reading"] == bad
        kept = [one for name, one in zip(NAMES, read.mouth_in, strict=True) if name != bad]
        assert right["01-mouth-height"] == pytest.approx(statistics.mean(kept), abs=1e-12)
        assert right["01-inside-height"] == pytest.approx(statistics.mean(read.inside_in))
        assert right["01-hub-width"] == pytest.approx(statistics.mean(read.hub_width_in))
        assert right["01-shaft-width"] == pytest.approx(statistics.mean(read.shaft_width_in))
    assert met == {True, False}


def test_the_larger_end_is_told_only_where_the_means_are_apart_by_more_than_both_are_good_to():
    met = set()
    for card in CARDS:
        right = right_answers(PAGE, card)
        apart = right["01-mouth-height"] - right["01-inside-height"]
        end = ENDS[2] if abs(apart) <= 2 * good_to(card) else ENDS[0 if apart > 0 else 1]
        assert right["01-large-end"] == end
        met.add(end)
    assert met == set(ENDS)


def test_the_missed_height_is_half_the_clearance_at_the_side_and_all_of_it_at_the_top():
    met = set()
    for card in CARDS:
        right, read = right_answers(PAGE, card), card.readings
        clearance = read.bore_in - read.shaft_in
        assert right["01-clearance"] == pytest.approx(clearance)
        lifted = clearance * (1 - math.cos(math.radians(read.off_bottom_deg))) / 2
        assert right["01-missed-height"] == pytest.approx(lifted, abs=1e-12)
        short = lifted - read.added_in
        thin, thick, just = RESULTS
        expected = just if abs(short) <= 0.0003 else thin if short > 0 else thick
        assert right["01-key-result"] == expected
        met.add(expected)
    assert met == set(RESULTS)


def test_the_lowest_reading_is_rejected_by_a_known_slip_and_so_is_none_where_one_is_bad():
    for card in CARDS:
        right, readings = right_answers(PAGE, card)["01-bad-reading"], card.readings.mouth_in
        low = NAMES[readings.index(min(readings))]
        assert slip(card, "01-bad-reading", right) == "right"
        assert slip(card, "01-bad-reading", low) == "lowest reading rejected"
        if right != NONE:
            assert slip(card, "01-bad-reading", NONE) == "bad reading kept"


def test_a_card_says_what_each_mean_height_is_good_to_in_its_own_unit():
    said = {False: "0.0005 in", True: f"{practice.metric('transfer_scatter'):g} mm"}
    for card in CARDS:
        told = {fact.what: fact.value for fact in card_facts(card)}
        assert told["Each mean height is good to"].replace("\u00a0", " ") == said[card.metric]


def ordinary(*, metric: bool):
    """Return a clear card whose mouth has no bad reading."""
    return next(
        card
        for card in CARDS
        if card.metric is metric and right_answers(PAGE, card)["01-bad-reading"] == NONE
    )


def doubt(card, **changed) -> str:
    other = replace(card, readings=replace(card.readings, **changed))
    return unclear(other, right_answers(PAGE, other))


def test_a_reading_stands_apart_plainly_or_not_at_all():
    """By five thousandths or more above the other four, else by less than one and a half."""
    card = ordinary(metric=False)
    height = card.readings.mouth_in[0]
    steady = [height + 0.0001 * one for one in (0, 1, 2, 1)]
    mean = statistics.mean(steady)
    apart = "01-bad-reading: a reading stands apart, but not far enough to say so"
    assert doubt(card, mouth_in=(*steady, mean + 0.0049)) == apart
    assert doubt(card, mouth_in=(*steady, mean + 0.0051)) == ""
    loose = [height + 0.0004 * one for one in (-1, 1, -1, 1)]
    assert doubt(card, mouth_in=(*loose, height + 0.0006)) == ""
    wide = [height + 0.0012 * one for one in (-1, 1, -1, 1)]
    assert doubt(card, mouth_in=(*wide, height + 0.0016)) == apart
    low = [2 * height - one for one in (*steady, mean + 0.006)]  # the same, upside down
    assert doubt(card, mouth_in=tuple(low)) == apart


@pytest.mark.parametrize("metric", [False, True])
@pytest.mark.parametrize(
    ("share", "near"),
    [(0.0, False), (0.5, False), (0.7, True), (1.0, True), (1.9, True), (2.1, False), (4.0, False)],
)
def test_heights_are_plainly_apart_or_plainly_not(metric: bool, share: float, near: bool):
    """The share is of what two means may differ by; from six tenths of it to double it is near."""
    card = ordinary(metric=metric)
    mouth = statistics.mean(card.readings.mouth_in)
    for sign in (1, -1):
        inside = mouth - sign * share * 2 * good_to(card)
        found = doubt(card, inside_in=(inside,) * 3)
        assert found == ("01-large-end: the heights lie on the edge of telling" if near else "")


@pytest.mark.parametrize(
    ("off", "near"),
    [(0.0, False), (0.00009, False), (0.0002, True), (0.0005, True), (0.0007, False)],
)
def test_what_was_added_is_what_was_missing_or_plainly_not(off: float, near: bool):
    card = ordinary(metric=False)
    missing = right_answers(PAGE, card)["01-missed-height"]
    for added in {missing - off, missing + off}:
        found = doubt(card, added_in=added)
        assert bool(found) is near
        assert not found or re.match("01-key-result: what was added is nearly", found)


def test_twice_what_a_height_is_good_to_tells_nothing_and_more_does():
    for card in (ordinary(metric=False), ordinary(metric=True)):
        for share, end in ((1.9, ENDS[2]), (2.1, ENDS[0]), (-1.9, ENDS[2]), (-2.1, ENDS[1])):
            given = {"01-mouth-height": 2.0 + share * good_to(card), "01-inside-height": 2.0}
            assert large_end_of(card, given) == end


def numbers_in(text: str) -> list[float]:
    return [float(one) for one in re.findall(r"\d+\.\d+", text)]


def test_the_worked_lines_can_be_done_again_with_a_pencil():
    for card in CARDS:
        right = right_answers(PAGE, card)
        line, then = PAGE.question("01-large-end").on(card).worked(card, right)
        assert then.why.startswith("So small") is (right["01-large-end"] == ENDS[2])
        mouth, inside, apart, good, limit = numbers_in(line.numbers)
        assert abs(mouth - inside) == pytest.approx(apart, abs=1e-9)
        assert 2 * good == pytest.approx(limit, abs=1e-9)
        assert (apart <= limit) is (line.result == ENDS[2])


def test_grubbs_test_is_worked_from_figure_to_figure():
    """Each line with the figures that stand on it, to half of their last place."""
    for card in CARDS:
        right = right_answers(PAGE, card)
        lines = PAGE.question("01-bad-reading").on(card).worked(card, right)
        readings, mean = numbers_in(lines[0].numbers), numbers_in(lines[0].result)[0]
        assert readings == [numbers_in(length_text(card, one))[0] for one in card.readings.mouth_in]
        assert mean == pytest.approx(statistics.mean(readings), abs=1e-9)
        for one in lines[:2]:
            assert one.result.split()[1] == ("mm" if card.metric else "in")
        away, spread = numbers_in(lines[1].numbers), numbers_in(lines[1].result)[0]
        assert away == pytest.approx([abs(one - mean) for one in readings], abs=1e-9)
        half = 0.5 * 10.0 ** -len(lines[1].result.split()[0].partition(".")[2])
        assert spread == pytest.approx(math.sqrt(sum(one**2 for one in away) / 4), abs=half)
        farthest, over = numbers_in(lines[2].numbers)
        assert (farthest, over) == (max(away), spread)
        assert NAMES[away.index(farthest)] in lines[2].why
        assert numbers_in(lines[2].result)[0] == pytest.approx(farthest / spread, abs=0.0005)
        ratio, limit = numbers_in(lines[3].numbers)
        assert (ratio, limit) == (numbers_in(lines[2].result)[0], GRUBBS_5)
        assert ((ratio > limit), ">" in lines[3].numbers) == (right["01-bad-reading"] != NONE,) * 2
