"""Reading drill: slips are named, the reading is never given away, the count is kept."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import keycourse
from coursework.page.controls import MemoryStore
from keycourse.start.drill import new_reading
from keycourse.start.faces import caliper_trainer, micrometer_trainer
from keycourse.start.tools import TOOLS, judge_reading, slips_at, worked_reading

MICROMETERS = ("inch", "inch-vernier", "metric")


@pytest.mark.parametrize(
    ("kind", "reading", "typed", "slip"),
    [
        ("inch", 0.329, "0.304", "sleeve line missed"),
        ("inch", 0.329, "0.354", "line counted that is only coming out"),
        ("inch", 0.329, "0.330", "thimble one line high"),
        ("inch", 0.329, "0.325", "thimble left out"),
        ("inch", 0.329, "0.346", "thimble counted the wrong way"),
        ("inch", 0.329, "0.365", "thimble in the wrong digit"),
        ("inch", 0.329, "0.429", "sleeve number too high"),
        ("inch", 0.329, "3.29", "decimal point one place right"),
        ("inch", 0.329, "0.329 mm", "mm written behind the reading"),
        ("inch", 0.379, "0.334", "sleeve line given the wrong worth"),
        ("inch-vernier", 0.2862, "0.286", "vernier left out"),
        ("inch-vernier", 0.2862, "0.288", "vernier in the wrong digit"),
        ("inch-vernier", 0.2862, "0.2863", "vernier one line high"),
        ("inch-vernier", 1.0104, "1.104", "zero dropped"),
        ("inch-vernier", 1.0104, "0.0104", "start of the range left out"),
        ("metric", 22.86, "22.36", "half line missed"),
        ("metric", 22.36, "22.86", "half line counted that is not out"),
        ("metric", 22.36, "21.36", "whole millimeter too low"),
        ("metric", 22.06, "22.6", "thimble in the wrong digit"),
        ("metric", 31.2, "6.2", "start of the range left out"),
    ],
)
def test_slip_is_named(kind, reading, typed, slip):
    verdict = judge_reading(kind=kind, reading=reading, text=typed)
    assert (verdict.right, verdict.slip) == (False, slip)


@pytest.mark.parametrize(
    ("kind", "reading", "typed"),
    [
        ("inch", 0.329, "0.329"),
        ("inch", 0.329, "329 thou"),
        ("inch-vernier", 0.2862, ".2862 in"),
        ("metric", 22.36, "22,36 mm"),
        ("metric", 22.36, "0.8803 in"),  # 22.36 mm to the nearest ten-thousandth
    ],
)
def test_right_reading_in_any_unit(kind, reading, typed):
    assert judge_reading(kind=kind, reading=reading, text=typed).right


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("0.71", "The sleeve part is not right."),
        ("0.2915", "The sleeve part is right; the thimble part is not."),
        ("0.2867", "Sleeve and thimble are right; the vernier is not."),
    ],
)
def test_unknown_slip_names_the_part(typed, words):
    verdict = judge_reading(kind="inch-vernier", reading=0.2862, text=typed)
    assert verdict.slip == ""
    assert verdict.sentence.startswith(words)


def test_unreadable_entry_is_no_wrong_reading():
    verdict = judge_reading(kind="inch", reading=0.3, text="about a third")
    assert not verdict.readable
    assert verdict.sentence.startswith("Reading is “about a third”; it must start with a number.")


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(MICROMETERS), st.integers(1, 400), st.integers(0, 10**6))
def test_readings_are_on_the_tool_and_slips_give_nothing_away(kind, number, seed):
    one = TOOLS[kind]
    reading = new_reading(kind=kind, seed=seed, number=number)
    assert reading == new_reading(kind=kind, seed=seed, number=number)
    assert 0 < reading < 2 * one.span
    assert reading == pytest.approx(round(reading / one.step) * one.step, abs=1e-9)
    shown = f"{reading:.{one.places}f}"
    for name, wrong in slips_at(kind, reading):
        verdict = judge_reading(kind=kind, reading=reading, text=f"{wrong:.9f}")
        assert (verdict.right, verdict.slip) == (False, name)
        numbers = re.findall(r"\d+\.\d+", verdict.sentence)
        assert shown not in numbers
    assert judge_reading(kind=kind, reading=reading, text=shown).right


def test_trainer_counts_checks_once_and_goes_on():
    store = MemoryStore()
    face = micrometer_trainer("inch-vernier", seed=4, store=store).face
    first, picture = face.reading, face.picture.value
    face.entry.value = f"{first:.4f}"
    assert "Right." in face.words.value
    face.check_button.click()  # the same text again counts once
    assert (face.in_a_row, face.best) == (1, 1)
    face.next_button.click()
    assert face.reading != first
    assert face.picture.value != picture
    assert face.entry.value == ""
    face.entry.value = f"{face.reading + 0.001:.4f}"
    assert "one thimble line too high" in face.words.value
    assert (face.in_a_row, face.best) == (0, 1)
    # what was kept comes back
    again = micrometer_trainer("inch-vernier", store=store).face
    assert (again.reading, again.best) == (face.reading, 1)


def test_trainer_does_not_show_the_reading():
    for kind in MICROMETERS:
        face = micrometer_trainer(kind, seed=11).face
        shown = f"{face.reading:.{TOOLS[kind].places}f}"
        assert shown not in face.picture.value


def test_trainer_does_not_punish_what_cannot_be_read():
    face = micrometer_trainer("inch", seed=4).face
    face.entry.value = f"{face.reading:.3f}"
    face.next_button.click()
    face.entry.value = "abc"
    assert face.in_a_row == 1
    assert "it must start with a number" in face.words.value


def test_unknown_kind_is_refused():
    with pytest.raises(
        ValueError,
        match=r"^kind of micrometer is 'feet'; it must be one of: inch, inch-vernier, metric\.$",
    ):
        micrometer_trainer("feet")


@pytest.mark.parametrize(
    ("trainer", "kind", "text"),
    [
        (micrometer_trainer, "inch", "0.001 in"),
        (micrometer_trainer, "metric", "0.01 mm"),
        (caliper_trainer, "inch", "0.001 in"),
        (caliper_trainer, "metric", "0.02 mm"),
    ],
)
def test_after_two_misses_the_worked_lines_are_shown_and_count_for_nothing(trainer, kind, text):
    face = trainer(kind, seed=4, store=MemoryStore()).face
    value, unit = text.split()
    for turn in range(2):
        assert face.help.value == ""
        face.entry.value = "nothing that can be read"
        face.entry.value = f"{float(value) * (turn + 1):.3f} {unit}"
    reading = face.tool.written(face.reading)
    assert reading not in face.words.value
    lines = worked_reading(face.kind, face.reading)
    assert f"→ {reading} " in re.sub(r"<[^>]+>", "", unescape(face.help.value))
    assert [unescape(face.help.value).count(line.numbers) > 0 for line in lines]
    face.entry.value = reading
    assert "Right." in face.words.value
    assert (face.in_a_row, face.best) == (0, 0)
    face.next_button.click()
    assert face.help.value == ""
    face.entry.value = face.tool.written(face.reading)
    assert face.in_a_row == 1


def test_no_sentence_says_in_in():
    told = [
        judge_reading(kind="inch", reading=0.329, text="0.329 mm").sentence,
        judge_reading(kind="metric", reading=22.86, text="22.86 in").sentence,
    ]
    assert told == [
        "The number is right, the unit is not. This tool reads in inches; look at the unit marked "
        "on it.",
        "The number is right, the unit is not. This tool reads in millimeters; look at the unit "
        "marked on it.",
    ]
    for path in Path(keycourse.__file__).parent.rglob("words.toml"):
        assert not re.search(r"\breads in (in|mm)\b|\bin in\b", path.read_text("utf-8")), path
