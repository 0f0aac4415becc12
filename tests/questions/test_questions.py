"""The bank: clear cards, right answers at full marks, each slip named, no answer given away."""

import re

import pytest

from coursework.course import (
    PAGES,
    card_facts,
    issue_card,
    page_of,
    unclear,
)
from coursework.judging import (
    judge,
    judge_page,
    read_answer,
    right_answers,
    show_answer,
)
from coursework.question import (
    Answer,
    Measure,
    Ordering,
    Question,
)
from taperkey.formulas.taper import taper_from_stations
from taperkey.units import from_internal

CARDS = range(1, 201)
EVERY = [(page, question) for page in PAGES.values() for question in page.questions]
SAID = (0.125, 0.12, 1.0417, 1.0)  # the standard tapers stand in a question
GRADED = [(page, question) for page, question in EVERY if not question.by_assessor]


def typed(question: Question, answer: Answer) -> str:
    if isinstance(answer, tuple):
        return show_answer(question, answer)
    if not isinstance(answer, float):
        return str(answer)
    kind = question.kind
    assert isinstance(kind, Measure)
    number = from_internal(answer, dimension=kind.dimension, unit=kind.unit)
    return f"{number:.{max(kind.places, 4)}f} {kind.unit}".strip()


def test_keys_are_unique_and_every_question_says_why() -> None:
    keys = [question.key for _, question in EVERY]
    assert len(keys) == len(set(keys))
    assert tuple(PAGES) == tuple(sorted(PAGES))
    for page, question in GRADED:
        assert question.key.startswith(page.name[:2])
        assert question.slips
        assert question.facts(issue_card(exercise=page.name, class_code="QQ-26", number=1))
        assert page_of(question.key) is page
    for _, question in EVERY:
        assert question.by_assessor == (not question.slips)


@pytest.mark.parametrize("name", sorted(PAGES))
def test_right_answers_get_full_marks_on_every_card(name: str) -> None:
    page = PAGES[name]
    for number in CARDS:
        card = issue_card(exercise=name, class_code="QQ-26", number=number)
        assert unclear(page, card) == ""
        right = right_answers(page, card)
        entries = {key: typed(page.question(key).on(card), right[key]) for key in right}
        verdicts = [one for one in judge_page(page, card, entries) if one.state != "waiting"]
        graded = [one for one in verdicts if not page.question(one.key).by_assessor]
        assert [one.state for one in graded] == ["right"] * len(graded)
        assert all(one.mark == one.out_of for one in graded)


def own(question: Question) -> set[str]:
    return {slip.name for slip in question.slips if not slip.of_writing}


@pytest.mark.parametrize(("page", "question"), GRADED, ids=lambda one: getattr(one, "key", ""))
def test_each_slip_is_named_with_its_share(page, question) -> None:
    met = set()
    for number in CARDS:
        card = issue_card(exercise=page.name, class_code="QQ-26", number=number)
        right = right_answers(page, card)
        asked = question.on(card)
        for slip in asked.slips:
            value = slip.value(card, right)
            if value is None:
                continue
            kind = asked.kind
            text = show_answer(asked, value) if isinstance(value, tuple) else str(value)
            if isinstance(kind, Measure):
                shown = from_internal(float(value), dimension=kind.dimension, unit=kind.unit)
                text = f"{shown:.9f} {kind.unit}".strip()
            verdict = judge(question, card, text, right=right)
            if slip.of_writing and verdict.slip in own(asked):
                continue  # the same number by a slip of the question's own, which is named first
            met.add(slip.name)
            assert (verdict.state, verdict.slip) == ("slip", slip.name), (number, slip.name)
            assert verdict.mark == pytest.approx(slip.share * question.marks)
            assert verdict.critical == bool(question.critical)
    both = (question, question.metric or question)
    assert met >= {name for one in both for name in own(one)}
    assert met <= {slip.name for one in both for slip in one.slips}


def test_one_slip_costs_one_mark_when_carried_forward() -> None:
    page = PAGES["02-taper"]
    for number in CARDS[:40]:
        card = issue_card(exercise="02-taper", class_code="QQ-26", number=number)
        right = right_answers(page, card)
        first = page.question("02-difference").on(card)
        shown = show_answer(first, right["02-difference"])
        at = shown.index(".") + 2  # the second decimal: a slip of the subtraction
        off = shown[:at] + str(int(shown[at]) + (3 if int(shown[at]) < 7 else -3)) + shown[at + 1 :]
        entries = {"02-difference": off}
        own = {**right, "02-difference": read_answer(first, off)}
        for key in ("02-per-inch", "02-per-foot", "02-ratio"):
            value = page.question(key).expected(card, own)
            own[key] = value
            entries[key] = typed(page.question(key).on(card), value)
        states = {one.key: one.state for one in judge_page(page, card, entries)}
        assert states["02-difference"] in ("wrong", "slip")
        assert {states[key] for key in ("02-per-inch", "02-per-foot", "02-ratio")} == {"carried"}


def test_blank_and_unreadable_are_told_apart() -> None:
    page = PAGES["02-taper"]
    card = issue_card(exercise="02-taper", class_code="QQ-26", number=3)
    verdicts = {
        one.key: one
        for one in judge_page(
            page, card, {"02-per-foot": "a lot", "02-standard": "x", "02-ratio": " "}
        )
    }
    assert verdicts["02-per-foot"].state == "unreadable"
    assert verdicts["02-per-foot"].reason == (
        "Taper per foot is “a lot”; it must start with a number. "
        "Write the number first, then the unit."
    )
    assert verdicts["02-standard"].state == "unreadable"
    assert verdicts["02-ratio"].reason == "Left blank."
    assert verdicts["02-large-end"].critical
    assert sum(one.mark for one in verdicts.values()) == 0


def test_two_stations_agree_with_the_line_through_all() -> None:
    page = PAGES["02-taper"]
    for number in CARDS[:40]:
        card = issue_card(exercise="02-taper", class_code="QQ-26", number=number)
        stations = card.readings
        line = taper_from_stations(
            distances_in=stations.distances_in,
            heights_in=stations.heights_in,
            height_sd_in=stations.height_sd_in,
        )
        measured = float(right_answers(page, card)["02-per-foot"])
        assert abs(abs(line.taper_in_per_in) - measured) < 5 * line.sd_in_per_in


def test_reasons_never_hold_the_right_value() -> None:
    for page, question in GRADED:
        if not isinstance(question.kind, Measure):
            continue
        for number in range(1, 9):
            card = issue_card(exercise=page.name, class_code="QQ-26", number=number)
            right = right_answers(page, card)
            asked = question.on(card)
            wanted = from_internal(
                float(right[question.key]), dimension=asked.kind.dimension, unit=asked.kind.unit
            )
            texts = [slip.sentence for slip in asked.slips] + [asked.hint, asked.ask]
            numbers = [float(part) for text in texts for part in re.findall(r"\d+\.\d+", text)]
            assert all(abs(one - wanted) > 1e-9 for one in numbers if one not in SAID)


def test_a_class_meets_the_ordinary_case_and_each_trap() -> None:
    page = PAGES["02-taper"]
    seen = {
        (right["02-standard"], right["02-what-first"])
        for number in range(1, 31)
        for right in [
            right_answers(page, issue_card(exercise="02-taper", class_code="QQ-26", number=number))
        ]
    }
    assert len({standard for standard, _ in seen}) == 4
    assert len({first for _, first in seen}) == 3


def test_the_printed_card_holds_readings_only() -> None:
    for name in PAGES:
        card = issue_card(exercise=name, class_code="QQ-26", number=5)
        words = " ".join(f"{fact.what} {fact.value}" for fact in card_facts(card)).lower()
        assert "quillmoor quarry" in words
        assert not any(word in words for word in ("true", "reversed", "trap", "seed", "worn"))


@pytest.mark.parametrize("name", sorted(PAGES))
def test_inch_and_metric_cards_of_every_size_come_out(name: str) -> None:
    cards = [issue_card(exercise=name, class_code="QQ-26", number=number) for number in CARDS]
    assert {card.metric for card in cards} == {True, False}
    shafts = [card.drive.shaft_diameter_in for card in cards]
    # a key that is pulled by a rod is high enough for a thread: shafts from 2-15/16 in
    assert min(shafts) < (3.0 if name in ("05-pull", "06-whole-job") else 1.1)
    assert max(shafts) > 9.5
    for card in cards:
        words = " ".join(fact.value for fact in card_facts(card))
        if name == "00-start":  # tools and sizes of both kinds, on purpose
            continue
        assert bool(re.search(r"\d mm\b", words)) == card.metric
        assert bool(re.search(r"\d in\b", words)) == (not card.metric)


@pytest.mark.parametrize("name", sorted(PAGES))
def test_a_blank_hand_in_gets_nothing(name: str) -> None:
    page = PAGES[name]
    card = issue_card(exercise=name, class_code="QQ-26", number=4)
    assert sum(one.mark for one in judge_page(page, card, {})) == 0


@pytest.mark.parametrize("name", sorted(PAGES))
def test_of_ten_thousand_cards_none_is_impossible_or_unclear(name: str) -> None:
    page = PAGES[name]
    for number in range(1, 10_000 // len(PAGES) + 2):
        card = issue_card(exercise=name, class_code="QUARRY-10", number=number)
        right = right_answers(page, card)
        if number % 10 == 0:  # the others were looked at when they were issued
            assert unclear(page, card) == "", number
        for key, answer in right.items():
            kind = page.question(key).on(card).kind
            if isinstance(kind, Measure):
                shown = from_internal(float(answer), dimension=kind.dimension, unit=kind.unit)
                assert kind.low <= shown <= kind.high, (number, key, shown)


def test_steps_stand_in_another_row_on_another_card() -> None:
    asked = [question for _, question in GRADED if isinstance(question.kind, Ordering)]
    assert asked
    for question in asked:
        rows = set()
        for number in range(1, 21):
            card = issue_card(
                exercise=page_of(question.key).name, class_code="QQ-26", number=number
            )
            kind = question.on(card).kind
            assert sorted(kind.row) == list(range(len(kind.steps)))
            letters = tuple("ABCDEFGHIJ"[: len(kind.steps)])
            assert kind.own(kind.as_shown(letters)) == letters
            rows.add(kind.row)
        assert len(rows) > 10
