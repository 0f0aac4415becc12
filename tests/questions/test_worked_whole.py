"""In exercise 06 a worked line begins with the figure that the line before it printed."""

import pytest

from coursework.course import PAGES, issue_card
from coursework.judging import right_answers

PAGE = PAGES["06-whole-job"]


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
