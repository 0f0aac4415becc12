"""What is judged on what: four made-up questions, each in pounds, answers worked by hand."""

from __future__ import annotations

import pytest

from coursework.card import JobCard
from coursework.judging import judge, judge_page
from coursework.question import Measure, Page, Question, Slip

CARD = JobCard(class_code="QQ-26", exercise="01-sum", number=1, attempt=0)
POUNDS = Measure(dimension="force", unit="lbf", low=0, high=100_000, places=0)


def slip(name: str, value, *, of_writing: bool = False) -> Slip:
    return Slip(name=name, value=value, sentence=f"{name}.", of_writing=of_writing)


def question(key: str, expected, *slips: Slip, needs: tuple[str, ...] = ()) -> Question:
    return Question(key=key, skill="sum", label=key, ask="?", marks=2, kind=POUNDS,
                    expected=expected, slips=slips, needs=needs)  # fmt: skip


TEN_TIMES = slip("point right", lambda card, given: 10_000.0, of_writing=True)
HUNDRED_TIMES = slip("point two right", lambda card, given: 100_000.0, of_writing=True)
FIRST = question("first", lambda card, given: 1_000.0, TEN_TIMES, HUNDRED_TIMES)
DOUBLE = question("double", lambda card, given: 2 * given["first"],
                  slip("halved", lambda card, given: given["first"] / 2),
                  slip("not doubled", lambda card, given: given["first"]),
                  needs=("first",))  # fmt: skip
OTHER = question("other", lambda card, given: 300.0, slip("lost", lambda card, given: 30.0))
BOTH = question("both", lambda card, given: given["first"] + given["other"],
                needs=("first", "other"))  # fmt: skip
PAGE = Page(name="01-sum", title="Sum", questions=(FIRST, DOUBLE, OTHER, BOTH))


def states(**typed: str) -> list[str]:
    return [one.slip or one.state for one in judge_page(PAGE, CARD, typed)]


def test_a_slip_made_on_ones_own_number_goes_before_one_on_the_right_number() -> None:
    """500 is the half of the right 1,000 and the 500 in the box above, not doubled."""
    given = {"right": {"first": 1_000.0}, "own": {"first": 500.0}}
    assert judge(DOUBLE, CARD, "500", **given).slip == "not doubled"
    assert judge(DOUBLE, CARD, "250", **given).slip == "halved"
    assert judge(DOUBLE, CARD, "1000", **given).state == "carried"


def test_a_slip_is_looked_for_on_what_was_on_the_paper() -> None:
    """Ten times too much in the box; on the paper 1,000, then 500: its half."""
    assert states(first="10000", double="500", other="300", both="1300") == [
        "point right", "halved", "right", "right",
    ]  # fmt: skip


def test_a_slip_on_the_paper_is_named_where_the_number_in_the_box_has_no_answer() -> None:
    """The paper is off as well as the box: a wrong number, then the point."""

    def refusing(card: JobCard, given) -> float:
        if given["first"] > 5_000:
            raise ValueError("no bar is as high as that")
        return 2 * given["first"]

    asked = question("double", refusing,
                     slip("not doubled", lambda card, given: given["first"]),
                     needs=("first",))  # fmt: skip
    given = {"right": {"first": 1_000.0}, "own": {"first": 7_000.0}, "paper": {"first": 700.0}}
    assert judge(asked, CARD, "700", **given).slip == "not doubled"
    assert judge(asked, CARD, "1400", **given).state == "carried"


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        # 1,005 is near 1,000 and so has a footing, but no slip of writing: nothing else was on
        # the paper, and 30 is all that was there of 300
        ({"first": "1005", "other": "30", "both": "1035"}, ["wrong", "lost", "carried"]),
        ({"first": "1005", "other": "30", "both": "1030"}, ["wrong", "lost", "wrong"]),
        # with a slip of the point it is: 1,000 + 30, or as the boxes have it
        ({"first": "10000", "other": "30", "both": "1030"}, ["point right", "lost", "carried"]),
        ({"first": "10000", "other": "30", "both": "10030"}, ["point right", "lost", "carried"]),
        (
            {"first": "100000", "other": "30", "both": "1030"},
            ["point two right", "lost", "carried"],
        ),
        # a slip of another kind is not one of writing: 300 was never on the paper
        ({"first": "10000", "other": "30", "both": "10300"}, ["point right", "lost", "wrong"]),
    ],
)
def test_only_a_slip_of_writing_leaves_another_number_on_the_paper(
    typed: dict[str, str], expected: list[str]
) -> None:
    found = states(**typed, double="")
    assert [found[0], *found[2:]] == expected
