"""Questions that are practiced in a lesson only: each card has one right answer, none is guessed.

The bound on a choice is the course's own, as for graded ones: half of the cards, with three
standard deviations of what a sample of this size may be off (common practice).
"""

from __future__ import annotations

import functools
import math
from collections import Counter

import pytest

from coursework.course import PAGES, issue_card, page_of
from coursework.judging import judge, right_answers, show_answer
from coursework.question import Measure, Ordering

CARDS = 120
MOST = 0.5 + 3 * math.sqrt(0.25 / CARDS)
KEYS = [one.key for page in PAGES.values() for one in page.practised]


@functools.cache
def cards_of(name: str):
    cards = [
        issue_card(exercise=name, class_code="practice", number=number)
        for number in range(1, CARDS + 1)
    ]
    return [(card, right_answers(PAGES[name], card)) for card in cards]


def asked_of(key: str):
    page = page_of(key)
    for card, given in cards_of(page.name):
        yield page.question(key).on(card), card, given


@pytest.mark.parametrize("key", KEYS)
def test_the_right_answer_is_right_and_each_slip_is_named(key: str) -> None:
    named = set()
    for asked, card, given in asked_of(key):
        right = asked.expected(card, given)
        judged = judge(asked, card, show_answer(asked, right), right=given)
        assert judged.state == "right", (card.number, right)
        for slip in asked.slips:
            value = None if slip.of_writing else slip.value(card, given)
            if value is None:
                continue
            assert value != right, (card.number, slip.name)
            judged = judge(asked, card, show_answer(asked, value), right=given)
            assert judged.slip == slip.name, (card.number, slip.name, judged.slip)
            named.add(slip.name)
    assert named == {slip.name for slip in asked.slips if not slip.of_writing}


@pytest.mark.parametrize("key", KEYS)
def test_no_answer_can_be_lived_on(key: str) -> None:
    asks = list(asked_of(key))
    if isinstance(asks[0][0].kind, Ordering):
        shown = {asked.kind.row for asked, _, _ in asks}
        assert len(shown) > CARDS / 4, "the steps are mixed card by card"
        return
    seen = Counter(asked.expected(card, given) for asked, card, given in asks)
    assert max(seen.values()) <= MOST * CARDS, seen


@pytest.mark.parametrize("key", KEYS)
def test_it_is_worked_out_and_its_picture_has_words(key: str) -> None:
    for asked, card, given in asked_of(key):
        lines = asked.worked(card, given)
        assert lines
        assert all(line.why for line in lines)
        picture = asked.picture(card) if asked.picture else ""
        if picture:
            words = picture.partition('aria-label="')[2].partition('"')[0]
            assert len(words.split()) >= 10
            if isinstance(asked.kind, Measure):
                assert show_answer(asked, asked.expected(card, given)) not in words
