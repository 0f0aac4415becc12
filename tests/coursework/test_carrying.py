"""What is carried forward: what somebody can have come to with the card in hand, and no more."""

from __future__ import annotations

import pytest

from coursework.carrying import FROM_NOTHING, has_footing
from coursework.course import PAGES, issue_card
from coursework.judging import judge_page, right_answers, show_answer
from coursework.question import Measure, Verdict

TAPER = PAGES["02-taper"]
CARD = issue_card(exercise="02-taper", class_code="CARRY", number=1)


def sheet(**changed: str) -> dict[str, str]:
    """Return the right answers as typed, some of them changed (02-per-inch is per_inch)."""
    right = right_answers(TAPER, CARD)
    typed = {key: show_answer(TAPER.question(key).on(CARD), value) for key, value in right.items()}
    return typed | {f"02-{key.replace('_', '-')}": text for key, text in changed.items()}


def states(entries: dict[str, str]) -> dict[str, str]:
    return {one.key: one.slip or one.state for one in judge_page(TAPER, CARD, entries)}


def difference() -> float:
    return float(sheet()["02-difference"].split()[0])


def test_a_slip_of_the_pen_costs_one_mark_only() -> None:
    """One digit off in the first number; what follows is worked on from it."""
    digits = f"{difference():.4f}"
    off = digits[:-2] + str((int(digits[-2]) + 5) % 10) + digits[-1]
    base = difference() / float(sheet()["02-per-inch"].split()[0])
    per_inch = float(off) / base
    found = states(
        sheet(
            difference=off,
            per_inch=f"{per_inch:.5f}",
            per_foot=f"{12 * per_inch:.4f}",
            ratio=f"1:{1 / per_inch:.1f}",
        )
    )
    assert found["02-difference"] == "wrong"
    assert [found[f"02-{key}"] for key in ("per-inch", "per-foot", "ratio")] == ["carried"] * 3


def test_a_sheet_that_agrees_with_itself_and_not_with_the_card_earns_nothing() -> None:
    """A difference out of the air, all that follows worked rightly from it."""
    found = states(sheet(difference="0.2", per_inch="0.0222", per_foot="0.2667", ratio="1:45.0"))
    assert not {"right", "carried"} & {
        found[f"02-{key}"] for key in ("difference", "per-inch", "per-foot", "ratio")
    }


def test_a_right_number_that_follows_from_a_blank_earns_nothing_and_says_why() -> None:
    entries = sheet(difference="")
    found = {one.key: one for one in judge_page(TAPER, CARD, entries)}
    assert found["02-per-inch"].slip == FROM_NOTHING
    assert found["02-per-inch"].mark == 0
    assert "“" + TAPER.question("02-difference").label + "”" in found["02-per-inch"].reason
    assert found["02-per-foot"].slip == FROM_NOTHING, "and so on down the page"
    assert found["02-uncertainty"].state == "right", "what stands on its own is not touched"


@pytest.mark.parametrize("exercise", list(PAGES))
def test_zeros_carry_nothing(exercise: str) -> None:
    page = PAGES[exercise]
    zeros = {question.key: "0" for question in page.questions if not question.by_assessor}
    for number in range(1, 21):
        card = issue_card(exercise=exercise, class_code="CARRY", number=number)
        verdicts = judge_page(page, card, zeros)
        assert not [one.key for one in verdicts if one.state in ("right", "carried")]


@pytest.mark.parametrize("exercise", list(PAGES))
def test_each_number_known_to_be_a_slip_is_carried(exercise: str) -> None:
    """Whoever makes a known slip and works on rightly loses marks for the slip only."""
    page = PAGES[exercise]
    tried = 0
    for number in range(1, 9):
        card = issue_card(exercise=exercise, class_code="CARRY", number=number)
        right = right_answers(page, card)
        for first in page.questions:
            if not isinstance(first.kind, Measure):
                continue
            for slip in first.slips:
                value = slip.value(card, right)
                if not isinstance(value, float) or value <= 0:
                    continue
                own = {**right, first.key: value}
                entries = {}
                try:
                    for question in page.questions:
                        if question.by_assessor:
                            continue
                        if question.key != first.key and question.needs:
                            own[question.key] = question.on(card).expected(card, own)
                        entries[question.key] = show_answer(question.on(card), own[question.key])
                except (ArithmeticError, ValueError, LookupError):
                    continue
                found = {one.key: one for one in judge_page(page, card, entries)}
                if found[first.key].slip != slip.name:
                    continue  # the rounding of what is typed made it another
                tried += 1
                assert not [one.key for one in found.values() if one.slip == FROM_NOTHING]
    assert tried > 20 or exercise == "00-start"


@pytest.mark.parametrize(
    ("typed", "carried"),
    [
        ("0.5237", True),  # one digit is another
        ("0.2137", True),  # two beside each other changed places
        ("0.1327", True),
        ("0.0237", True),  # the first is missing
        ("1.237", True),  # the point, seen as digits, is where it may
        ("0.12337", True),  # within a hundredth
        ("0.1248", True),
        ("1.1237", True),  # one too many
        ("0.3217", False),  # changed places, but not beside each other
        ("0.2537", False),  # two are others, and only one of them came from beside it
        ("0.1173", False),
        ("0.5537", False),
        ("0.0999", False),  # one digit fewer, and none of the right ones
        ("1.9999", False),  # one more
        ("0.0007", False),  # two are missing
        ("99.1237", False),  # two too many
        ("about so", False),
        ("", False),
    ],
)
def test_a_number_off_the_card_is_carried_by_a_slip_of_the_pen_and_no_more(
    typed: str, carried: bool
) -> None:
    """0.1237 in is right, four places: what a hand may have made of it, and what not."""
    question = TAPER.question("02-difference").on(CARD)
    verdict = Verdict(
        key=question.key, state="wrong", mark=0.0, out_of=2.0, reason="", entered=typed
    )
    assert has_footing(question, verdict, right=0.1237, without={}) is carried
