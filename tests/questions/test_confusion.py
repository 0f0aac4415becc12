"""Invented apprentices by the hundred: the slip made is the slip named, right stays right."""

import runpy
from collections import Counter
from pathlib import Path

import pytest

from coursework.course import PAGES

CONFUSION = runpy.run_path(str(Path(__file__).parents[1] / "confusion.py"), run_name="confusion")
APPRENTICES = 200  # the script does 5,000


@pytest.mark.parametrize("exercise", sorted(PAGES))
def test_slips_are_named_as_made_and_right_answers_are_not_called_wrong(exercise: str) -> None:
    tally = CONFUSION["simulate"](apprentices=APPRENTICES, exercises=[exercise], class_code="TEST")
    rates = CONFUSION["rates"](tally)
    assert rates["slips made"] > 200
    assert rates["slips named as made"] >= 0.95
    assert rates["right answers called wrong"] <= 0.005


def test_the_rates_count_what_the_table_says() -> None:
    tally = Counter({("a", "(right)", "(right)"): 97, ("a", "(right)", "s"): 3, ("a", "s", "s"): 8})
    tally["a", "s", "(not named)"] = 2
    assert CONFUSION["rates"](tally) == {
        "slips made": 10,
        "slips named as made": 0.8,
        "right answers": 100,
        "right answers called wrong": 0.03,
    }


def test_the_bank_knows_at_least_sixty_slips() -> None:
    slips = {
        (question.key, slip.name)
        for page in PAGES.values()
        for question in page.questions
        for slip in question.slips
    }
    assert len(slips) >= 60
