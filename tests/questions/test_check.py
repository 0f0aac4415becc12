"""The check before and after: parallel forms that ask nothing twice, and values done by hand."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from coursework.check import (
    check_card,
    check_forms,
    gains,
    handed_page,
    normalized_gain,
    right_in,
    sealed_with,
)
from coursework.course import PAGES
from coursework.judging import judge_page, right_answers, show_answer
from coursework.question import Choice

FORMS = check_forms()
NUMBERS = range(1, 121)


def card_of(name: str, number: int = 7):
    return check_card(name=name, class_code="KWT-9X4", number=number)


def right_of(name: str, number: int = 7) -> dict[str, str]:
    page = FORMS[name]
    right = right_answers(page, card_of(name, number))
    return {key: show_answer(page.question(key), one) for key, one in right.items()}


def test_three_forms_of_ten_questions_on_seven_skills_of_the_course():
    assert list(FORMS) == ["check-before", "check-after", "check-later"]
    rows = {tuple(one.skill for one in page.questions) for page in FORMS.values()}
    (skills,) = rows  # the same in each form, in the same row
    assert (len(skills), len(set(skills))) == (10, 7)
    assert set(skills) <= {one.skill for page in PAGES.values() for one in page.questions}
    assert not set(FORMS) & set(PAGES)


def test_nothing_is_asked_twice_in_the_same_words():
    asked = [one for page in (*FORMS.values(), *PAGES.values()) for one in page.questions]
    checks = [one for page in FORMS.values() for one in page.questions]
    for field in ("ask", "hint"):
        found = Counter(getattr(one, field) for one in asked)
        assert [getattr(one, field) for one in checks if found[getattr(one, field)] > 1] == []
    offered = Counter(
        text for one in asked if isinstance(one.kind, Choice) for text in set(one.kind.options)
    )
    for one in checks:
        if isinstance(one.kind, Choice):
            assert all(offered[text] == 1 for text in one.kind.options), one.key


def test_each_has_a_reason_of_one_sentence():
    for page in FORMS.values():
        for one in page.questions:
            assert one.hint.endswith("."), one.key
            assert one.hint.count(". ") == 0, one.key


@pytest.mark.parametrize("number", [1, 7, 60, 999])
def test_no_two_forms_share_the_numbers_of_a_question(number):
    given = [
        [tuple(fact.value for fact in one.facts(card_of(name, number))) for one in page.questions]
        for name, page in FORMS.items()
    ]
    for place in range(10):
        assert len({form[place] for form in given}) == 3, place


@pytest.mark.parametrize("name", FORMS)
def test_the_right_answers_are_right_and_the_others_forms_are_not(name):
    for number in (1, 2, 3, 50):
        found = right_in(
            name=name, class_code="KWT-9X4", number=number, entries=right_of(name, number)
        )
        assert all(found.values())
        assert not any(
            right_in(name=name, class_code="KWT-9X4", number=number, entries={}).values()
        )
        other = card_of(next(one for one in FORMS if one != name), number)
        strange = replace(other, exercise=name)
        page = FORMS[name]
        right = sum(one.mark for one in judge_page(page, strange, right_of(name, number)))
        assert right <= 2, (number, right)


@pytest.mark.parametrize("name", FORMS)
def test_no_choice_has_one_right_answer_on_more_than_half_of_the_cards(name):
    for question in FORMS[name].questions:
        if isinstance(question.kind, Choice):
            found = Counter(right_of(name, number)[question.key] for number in NUMBERS)
            assert set(found) == set(question.kind.options), question.key
            assert max(found.values()) <= len(NUMBERS) / 2, question.key


def test_values_done_by_hand():
    """Micrometer: 4 is 0.400, two lines 0.050, thimble 13: 0.463 in. 6 in at 1/8 in/ft: 1/16 in."""
    page = FORMS["check-before"]
    card = replace(
        card_of("check-before"),
        sleeve=4,
        lines=2,
        thimble=13,
        readings_in=(1.2010, 1.2130, 1.2020),
        mouth_in=1.0000,
        inside_in=0.9500,
        base_in=5.0,
        small_in=0.5,
        length_in=6.0,
        travel_in=0.96,
        carries_lbf=(9000, 8700, 12000, 10000),
    )
    right = {key[7:]: one for key, one in right_answers(page, card).items()}
    assert right["reading"] == pytest.approx(0.463)
    assert right["height"] == pytest.approx(1.2015)
    assert right["per-foot"] * 12 == pytest.approx(0.12)
    assert right["key"] == pytest.approx(0.5 + 1 / 16)
    assert right["travel"] == pytest.approx(0.01)
    assert right["weakest"] == 8700


@pytest.mark.parametrize("spots", ["more", "less", "same"])
def test_the_end_that_bears_is_the_one_where_the_key_is_higher_than_the_slot(spots):
    """A wedge held against a slot: of two straight lines the gap is least at one end."""
    key, slot = {"more": (0.0120, 0.0104), "less": (0.0090, 0.0104), "same": (0.0104, 0.0104)}[
        spots
    ]
    small_end, large_end = 0.0, 5 * (key - slot)  # too high at each end, against a slot of 5 in
    where = "large" if large_end > small_end else "small" if large_end < small_end else "evenly"
    card = replace(card_of("check-after"), spots=spots)
    (fact,) = FORMS["check-after"].question("after-spots").facts(card)
    assert where in fact.value


def test_the_normalized_gain_is_the_part_of_what_was_left_to_learn():
    """Hake 1998: <g> = (%post - %pre) / (100 - %pre)."""
    for before, after in ((0.0, 0.4), (0.44, 0.63), (0.3, 0.3), (0.8, 0.9), (0.5, 0.25)):
        percent = (100 * after - 100 * before) / (100 - 100 * before)
        assert normalized_gain(before, after) == pytest.approx(percent)
    assert normalized_gain(0.37, 1.0) == 1.0
    assert normalized_gain(0.37, 0.37) == 0.0
    assert normalized_gain(1.0, 0.9) is None


def test_the_gain_is_of_those_who_did_both():
    places = [f"{one.skill}/{n}" for n, one in enumerate(FORMS["check-before"].questions)]

    def so_many(count: int) -> dict[str, bool]:
        return {place: n < count for n, place in enumerate(places)}

    found = gains(
        [
            {"check-before": so_many(2), "check-after": so_many(6)},
            {"check-before": so_many(4), "check-after": so_many(8), "check-later": so_many(7)},
            {"check-before": so_many(9)},
        ]
    )
    assert [one.skill for one in found][-1] == ""
    whole = found[-1]
    assert (whole.people, whole.both) == ((3, 2, 1), 2)
    assert whole.shares == pytest.approx((0.5, 0.7, 0.7))
    assert whole.gain == pytest.approx((0.7 - 0.3) / (1 - 0.3))  # without the third, who did one
    first = found[0]
    assert (first.skill, first.shares, first.gain) == ("read a tool", (1.0, 1.0, 1.0), None)


def test_a_check_is_sealed_with_the_card_at_hand():
    assert sealed_with("check-before") == "00-start"
    assert sealed_with("check-after") == sealed_with("check-later") == "06-whole-job"
    assert sealed_with("03-key") == "03-key"
    assert handed_page("check-before") is FORMS["check-before"]
    assert handed_page("03-key") is PAGES["03-key"]
    assert handed_page("check-never") is None
