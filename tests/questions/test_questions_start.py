"""Exercise 00: the drawn tools give nothing away, and a class meets every state of a drive."""

from __future__ import annotations

import re

import pytest

from coursework.course import PAGES, issue_card
from coursework.judging import judge, right_answers, show_answer
from keycourse.start.card import DRIVE_STATES
from keycourse.start.micrometer import micrometer_look

PAGE = PAGES["00-start"]
TOOLS = ("00-micrometer", "00-vernier", "00-metric", "00-caliper")
CARDS = [issue_card(exercise="00-start", class_code="QQ-26", number=n) for n in range(1, 41)]


def test_every_tool_is_drawn_and_only_tools_are():
    assert tuple(one.key for one in PAGE.questions if one.picture is not None) == TOOLS


@pytest.mark.parametrize("key", TOOLS)
def test_the_picture_says_which_lines_show_and_never_the_reading(key):
    for card in CARDS:
        question = PAGE.question(key).on(card)
        drawn = question.picture(card)
        right = right_answers(PAGE, card)
        number = show_answer(question, right[key]).split()[0]
        # what is seen or read aloud; where a line is drawn may be any number
        told = re.sub(r'(?<=\s)(?!aria-label=)[\w:-]+="[^"]*"', "", drawn)
        assert "aria-label" in told
        assert number not in told
        assert number.rstrip("0") not in re.findall(r"\d+\.\d+", told)
        label = re.search(r'aria-label="([^"]+)"', drawn).group(1)
        assert "line" in label
        assert "number" in label


def test_the_words_of_a_picture_are_enough_to_read_the_tool():
    """Somebody who hears the picture has the lines, and the lines give the reading."""
    for card in CARDS:
        drawn = PAGE.question("00-vernier").picture(card)
        label = re.search(r'aria-label="([^"]+)"', drawn).group(1)
        number = int(re.search(r"number out on the sleeve is (\d)", label).group(1))
        count = re.search(r"with (no|one|two|three) lines? after", label).group(1)
        lines = ("no", "one", "two", "three").index(count)
        thimble = int(re.search(r"between thimble lines (\d+)", label).group(1))
        vernier = int(re.search(r"Vernier line (\d) meets", label).group(1))
        heard = 0.1 * number + 0.025 * lines + 0.001 * thimble + 0.0001 * vernier
        assert heard == pytest.approx(card.readings.vernier_in, abs=1e-9)


def test_readings_stand_on_lines_of_their_tools():
    for card in CARDS:
        start = card.readings
        look = micrometer_look(reading=start.micrometer_in, kind="inch")
        assert look.thimble == pytest.approx(round(look.thimble), abs=1e-6)
        metric = micrometer_look(reading=start.micrometer_mm, kind="metric")
        assert metric.thimble == pytest.approx(round(metric.thimble), abs=1e-6)
        assert start.caliper_in / 0.001 == pytest.approx(round(start.caliper_in / 0.001))
        assert start.caliper_mm / 0.02 == pytest.approx(round(start.caliper_mm / 0.02))


def test_a_class_meets_every_state_of_the_drive():
    assert {card.readings.drive_state for card in CARDS[:40]} == set(DRIVE_STATES)
    firsts = {right_answers(PAGE, card)["00-what-first"] for card in CARDS[:40]}
    assert firsts == set(PAGE.question("00-what-first").kind.options)


def test_what_first_is_the_first_thing_that_is_missing_on_the_card():
    question = PAGE.question("00-what-first")
    for card in CARDS:
        facts = {fact.what: fact.value for fact in question.facts(card)}
        options = dict(zip(("lock", "try", "block", "go"), question.kind.options, strict=True))
        if "your own lock" not in facts["Disconnect of the drive"]:
            wanted = "lock"
        elif "not pressed" in facts["Start button after that"]:
            wanted = "try"
        elif "still on" in facts["Load"]:
            wanted = "block"
        else:
            wanted = "go"
        assert right_answers(PAGE, card)["00-what-first"] == options[wanted]


def test_going_ahead_at_a_drive_that_is_not_ready_is_named_and_critical():
    question = PAGE.question("00-what-first")
    go = question.kind.options[-1]
    seen = set()
    for card in CARDS:
        verdict = judge(question, card, go, right=right_answers(PAGE, card))
        assert verdict.critical == (card.readings.drive_state != "made-ready")
        seen.add((card.readings.drive_state, verdict.slip))
    assert seen == {
        ("stopped", "standing still taken for locked out"),
        ("tag-only", "standing still taken for locked out"),
        ("their-lock", "another person's lock relied on"),
        ("untried", "not tried"),
        ("loaded", "load forgotten"),
        ("made-ready", ""),
    }


def test_the_caliper_of_a_metric_card_is_metric():
    question = PAGE.question("00-caliper")
    for card in CARDS:
        here = question.on(card)
        assert here.kind.unit == ("mm" if card.metric else "in")
        shown = show_answer(here, right_answers(PAGE, card)["00-caliper"])
        assert judge(question, card, shown, right=right_answers(PAGE, card)).state == "right"


def test_copying_a_fraction_behind_the_point_is_named():
    question = PAGE.question("00-height")
    [card] = [one for one in CARDS if one.readings.sixteenths == 23][:1] or [CARDS[0]]
    start = card.readings
    whole, part = divmod(start.sixteenths, 16)
    copied = float(f"{whole}.{part}16") if part < 10 else float(f"{whole}.{part}")
    typed = f"{copied + start.allowance_in:.4f} in"
    verdict = judge(question, card, typed, right=right_answers(PAGE, card))
    assert (verdict.state, verdict.slip) == ("slip", "fraction copied as decimals")
