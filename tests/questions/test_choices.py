"""No choice of 00 to 03 can be lived on: each of its options is right on some cards, none on most.

The bounds are the course's own: half of the cards, with three standard deviations of what a sample
of this size may be off (common practice).
"""

from __future__ import annotations

import functools
import math
from collections import Counter

import pytest

from coursework.course import PAGES, issue_card
from coursework.judging import right_answers
from coursework.question import Choice
from keycourse.key.card import CHAMFERS_IN, CHAMFERS_MM, chamfers_in, clearing_chamfer_in
from taperkey.units import MM_PER_IN

CLASSES = ("QQ-26", "NIGHT-7", "a")
EACH = 100
MOST = 0.5 + 3 * math.sqrt(0.25 / (len(CLASSES) * EACH))
CHOICES = [
    (name, question.key)
    for name, page in PAGES.items()
    if name < "04"
    for question in page.questions
    if isinstance(question.kind, Choice)
]


@functools.cache
def rights(name: str):
    page = PAGES[name]
    cards = [
        issue_card(exercise=name, class_code=code, number=number)
        for code in CLASSES
        for number in range(1, EACH + 1)
    ]
    return [(card, right_answers(page, card)) for card in cards]


@pytest.mark.parametrize(("name", "key"), CHOICES)
def test_no_answer_is_right_on_more_than_half_of_the_cards(name: str, key: str) -> None:
    seen = Counter(right[key] for _, right in rights(name))
    assert max(seen.values()) <= MOST * sum(seen.values()), seen


@pytest.mark.parametrize(
    ("name", "key"), [one for one in CHOICES if one[1] not in ("03-chamfer", "03-stock")]
)
def test_every_option_is_right_on_some_cards(name: str, key: str) -> None:
    seen = Counter(right[key] for _, right in rights(name))
    offered = {
        option
        for card, _ in rights(name)
        for option in PAGES[name].question(key).on(card).kind.options
    }
    assert set(seen) == offered
    assert min(seen.values()) >= 0.05 * sum(seen.values()), seen


def test_every_bar_of_the_rack_is_the_one_to_take_on_some_cards() -> None:
    seen = {right["03-stock"] for _, right in rights("03-key")}
    assert seen == set(PAGES["03-key"].question("03-stock").kind.options)


@pytest.mark.parametrize("system", ["inch", "metric"])
def test_every_chamfer_is_the_smallest_that_clears_some_radius(system: str) -> None:
    """A radius just below each chamfer, down to that of the chamfer before, is cleared by it."""
    row = CHAMFERS_IN if system == "inch" else [one / MM_PER_IN for one in CHAMFERS_MM]
    assert list(row) == chamfers_in(system)
    for before, chamfer in zip(row, row[1:], strict=False):
        assert clearing_chamfer_in(before, system) == chamfer
