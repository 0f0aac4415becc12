"""Every worked line of exercise 06 can be done again: the numbers as printed give the result."""

import math
import re

import pytest

from coursework.course import PAGES, issue_card
from coursework.judging import right_answers

PAGE = PAGES["06-whole-job"]
_UNITS = r"(?<=\d) (?:in/ft|mm in 100 mm|lbf|kN|psi|MPa|mm|in)\b"
_FUNCTIONS = {
    "sqrt": math.sqrt,
    "tan": lambda deg: math.tan(math.radians(deg)),
    "arctan": lambda x: math.degrees(math.atan(x)),
}


def worth(text):
    """Return what a line of print comes to, by the rules of arithmetic alone."""
    bare = re.sub(_UNITS, "", text)
    bare = bare.replace(",", "").replace("°", "").replace("√2", "sqrt(2)")
    bare = bare.replace("−", "-").replace("×", "*").replace("÷", "/")
    assert not re.sub(r"sqrt|arctan|tan", "", bare).strip("0123456789.+-*/() "), text
    return eval(bare, {"__builtins__": {}}, _FUNCTIONS)  # noqa: S307 - our own print, digits only


def last_place(text):
    number = re.search(r"-?[\d.]+", re.sub(_UNITS, "", text).replace(",", "").replace("−", "-"))[0]
    return float(number), 10.0 ** -len(number.partition(".")[2])


@pytest.mark.parametrize("number", range(1, 97))
def test_the_numbers_as_printed_give_the_result_as_printed(number):
    card = issue_card(exercise="06-whole-job", class_code="QQ-26", number=number)
    right = right_answers(PAGE, card)
    done = 0
    for asked in PAGE.questions:
        question = asked.on(card)
        if question.by_assessor:
            continue
        for line in question.worked(card, right):
            if not re.search(r"[×÷−+]|arctan", line.numbers):
                continue  # a list to choose from, or a word
            printed, place = last_place(line.result)
            # half of the last place, and a rounding tie may fall to either side
            assert abs(worth(line.numbers) - printed) <= 0.5001 * place, (line.numbers, line.result)
            done += 1
    assert done >= 16


@pytest.mark.parametrize("number", range(1, 25))
def test_what_was_printed_is_what_the_next_line_begins_with(number):
    card = issue_card(exercise="06-whole-job", class_code="QQ-26", number=number)
    right = right_answers(PAGE, card)
    lines = {
        question.key: question.on(card).worked(card, right)
        for question in PAGE.questions
        if not question.by_assessor
    }
    assert lines["06-seat"][-1].result in lines["06-pull"][-1].numbers
    assert lines["06-pull"][-2].result in lines["06-pull"][-1].numbers
    assert lines["06-pull"][-1].result in lines["06-margin"][-1].numbers
    for key in ("06-near-height", "06-far-height"):
        assert lines[key][-1].result in lines["06-taper"][-1].numbers
    heights = [lines[key][-1].result for key in ("06-near-height", "06-far-height")]
    assert any(one in lines["06-blank-height"][-1].numbers for one in heights)
