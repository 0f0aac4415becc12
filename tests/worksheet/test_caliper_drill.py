"""Caliper drill: slips are named, the reading is never given away, the trainer shows it drawn."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coursework.course import PAGES, issue_card
from coursework.judging import judge, right_answers
from coursework.page.controls import MemoryStore
from keycourse.start.caliper_drill import (
    CALIPER_DRILLS,
    judge_caliper,
    new_caliper,
    slips_of_caliper,
)
from keycourse.start.faces import caliper_trainer
from keycourse.start.reading_drill import judge_reading
from taperkey.units import from_internal


@pytest.mark.parametrize(
    ("kind", "reading", "typed", "slip"),
    [
        ("inch", 1.436, "1.437", "vernier one line high"),
        ("inch", 1.436, "1.425", "vernier left out"),
        ("inch", 1.436, "1.439", "vernier read the other way"),
        ("inch", 1.436, "1.7", "beam read at the line that meets"),
        ("inch", 1.436, "1.411", "beam line missed"),
        ("inch", 1.436, "1.461", "beam line too many"),
        ("inch", 1.436, "1.336", "beam number too low"),
        ("inch", 1.436, "2.436", "inch number too high"),
        ("inch", 1.486, "1.441", "beam line given the wrong worth"),
        ("inch", 1.436, "14.36", "decimal point one place right"),
        ("inch", 1.436, "1.436 mm", "mm written behind the reading"),
        ("metric", 41.86, "41.84", "vernier one line low"),
        ("metric", 41.86, "41", "vernier left out"),
        ("metric", 41.86, "41.14", "vernier read the other way"),
        ("metric", 41.86, "45.3", "vernier lines counted as tenths"),
        ("metric", 41.86, "41.8", "vernier short lines left out"),
        ("metric", 41.86, "40.86", "beam line missed"),
        ("metric", 41.86, "31.86", "beam number too low"),
        ("metric", 41.86, "41.86 in", "in written behind the reading"),
    ],
)
def test_slip_is_named(kind, reading, typed, slip):
    verdict = judge_caliper(kind=kind, reading=reading, text=typed)
    assert (verdict.right, verdict.slip) == (False, slip)


@pytest.mark.parametrize(
    ("kind", "reading", "typed"),
    [
        ("inch", 1.436, "1.436"),
        ("inch", 1.436, "1436 thou"),
        ("metric", 41.86, "41,86 mm"),
        ("metric", 41.86, "1.648 in"),
    ],
)
def test_right_reading_in_any_unit(kind, reading, typed):
    assert judge_caliper(kind=kind, reading=reading, text=typed).right


def test_unknown_slip_names_the_part():
    vernier = judge_caliper(kind="inch", reading=1.436, text="1.4293")
    beam = judge_caliper(kind="inch", reading=1.436, text="1.58")
    assert (vernier.slip, beam.slip) == ("", "")
    assert vernier.sentence.startswith("The beam part is right; the vernier is not.")
    assert beam.sentence.startswith("The beam part is not right.")


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(sorted(CALIPER_DRILLS)), st.integers(1, 400), st.integers(0, 10**6))
def test_readings_are_on_the_tool_and_slips_give_nothing_away(kind, number, seed):
    one = CALIPER_DRILLS[kind]
    reading = new_caliper(kind=kind, seed=seed, number=number)
    assert reading == new_caliper(kind=kind, seed=seed, number=number)
    assert 0 < reading < one.longest
    passed, line = one.parts(reading)
    assert reading == pytest.approx(passed * one.beam + line * one.vernier, abs=1e-9)
    shown = f"{reading:.{one.places}f}"
    for _, wrong, sentence in slips_of_caliper(kind=kind, reading=reading):
        assert not judge_caliper(kind=kind, reading=reading, text=f"{wrong:.6f}").right
        assert shown not in re.findall(r"\d+\.\d+", sentence)
    assert judge_caliper(kind=kind, reading=reading, text=shown).right


@pytest.mark.parametrize("kind", sorted(CALIPER_DRILLS))
def test_trainer_draws_the_reading_and_keeps_the_count(kind):
    store = MemoryStore()
    places = CALIPER_DRILLS[kind].places
    face = caliper_trainer(kind, seed=3, store=store).face
    first, picture = face.reading, face.picture.value
    assert f"{first:.{places}f}" not in picture
    assert "vernier" in picture
    face.entry.value = f"{first:.{places}f}"
    assert "Right." in face.words.value
    face.next_button.click()
    assert face.picture.value != picture
    face.entry.value = f"{face.reading + CALIPER_DRILLS[kind].vernier:.{places}f}"
    assert "one vernier line out" in face.words.value
    assert (face.in_a_row, face.best) == (0, 1)
    again = caliper_trainer(kind, store=store).face
    assert (again.reading, again.best) == (face.reading, 1)


def test_unknown_kind_is_refused():
    with pytest.raises(
        ValueError, match=r"^kind of caliper is 'feet'; it must be one of: inch, metric\.$"
    ):
        caliper_trainer("feet")


@pytest.mark.parametrize("key", ["00-micrometer", "00-vernier", "00-metric", "00-caliper"])
def test_trainer_and_exercise_name_a_wrong_reading_alike(key):
    """The same wrong figure at the same reading: one name and one sentence in both places."""
    kinds = {"00-micrometer": "inch", "00-vernier": "inch-vernier", "00-metric": "metric"}
    page, told = PAGES["00-start"], 0
    for number in range(1, 61):
        card = issue_card(exercise="00-start", class_code="QQ-26", number=number)
        question = page.question(key).on(card)
        unit, right = question.kind.unit, right_answers(page, card)[key]
        reading = from_internal(right, dimension="length", unit=unit)
        for slip in question.slips:
            wrong = slip.value(card, {})
            if wrong is None:
                continue
            text = f"{from_internal(wrong, dimension='length', unit=unit):.6f} {unit}"
            if key == "00-caliper":
                verdict = judge_caliper(kind="inch" if unit == "in" else "metric",
                                        reading=reading, text=text)  # fmt: skip
            else:
                verdict = judge_reading(kind=kinds[key], reading=reading, text=text)
            if "written behind" in slip.name:
                continue  # the trainer sees the unit that was typed, the exercise its size
            by_exercise = judge(question, card, text, own={}, right={}).slip
            known = {one.name for one in question.slips}
            also = verdict.slip and verdict.slip not in known  # a slip that only the trainer knows
            assert also or verdict.slip == by_exercise, (number, slip.name, text)
            if verdict.slip == slip.name:
                assert verdict.sentence == slip.sentence
                told += 1
    assert told > 150
