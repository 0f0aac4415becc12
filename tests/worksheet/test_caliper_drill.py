"""Caliper drill: slips are named, the reading is never given away, the trainer shows it drawn."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coursework.course import PAGES, issue_card
from coursework.judging import judge, right_answers
from coursework.page.controls import MemoryStore
from keycourse.start.drill import new_reading
from keycourse.start.faces import caliper_trainer
from keycourse.start.tools import TOOLS, judge_reading, slips_at, tool_of
from taperkey.units import from_internal

CALIPERS = ("inch", "metric")


def judge_caliper(*, kind: str, reading: float, text: str):
    return judge_reading(kind=f"{kind} caliper", reading=reading, text=text)


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
        ("inch", 0.736, "0.0736", "decimal point one place left"),
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
    assert vernier.sentence.startswith("The beam part is right; the vernier part is not.")
    assert beam.sentence.startswith("The beam part is not right.")


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(CALIPERS), st.integers(1, 400), st.integers(0, 10**6))
def test_readings_are_on_the_tool_and_slips_give_nothing_away(kind, number, seed):
    one, name = tool_of(f"{kind} caliper"), f"{kind} caliper"
    reading = new_reading(kind=name, seed=seed, number=number)
    assert reading == new_reading(kind=name, seed=seed, number=number)
    assert 0 < reading < one.span
    _, passed, _, line = one.parts(reading)
    assert reading == pytest.approx(passed * one.line + line * one.fine, abs=1e-9)
    shown = f"{reading:.{one.places}f}"
    for slip, wrong in slips_at(name, reading):
        verdict = judge_caliper(kind=kind, reading=reading, text=f"{wrong:.9f}")
        assert (verdict.right, verdict.slip) == (False, slip)
        assert shown not in re.findall(r"\d+\.\d+", verdict.sentence)
    assert judge_caliper(kind=kind, reading=reading, text=shown).right


@pytest.mark.parametrize("kind", CALIPERS)
def test_trainer_draws_the_reading_and_keeps_the_count(kind):
    store = MemoryStore()
    places = tool_of(f"{kind} caliper").places
    face = caliper_trainer(kind, seed=3, store=store).face
    first, picture = face.reading, face.picture.value
    assert f"{first:.{places}f}" not in picture
    assert "vernier" in picture
    face.entry.value = f"{first:.{places}f}"
    assert "Right." in face.words.value
    face.next_button.click()
    assert face.picture.value != picture
    face.entry.value = f"{face.reading + tool_of(f'{kind} caliper').fine:.{places}f}"
    assert "one vernier line too high" in face.words.value
    assert (face.in_a_row, face.best) == (0, 1)
    again = caliper_trainer(kind, store=store).face
    assert (again.reading, again.best) == (face.reading, 1)


def test_unknown_kind_is_refused():
    with pytest.raises(
        ValueError, match=r"^kind of caliper is 'feet'; it must be one of: inch, metric\.$"
    ):
        caliper_trainer("feet")


KINDS = {"00-micrometer": "inch", "00-vernier": "inch-vernier", "00-metric": "metric"}


@pytest.mark.parametrize("key", [*KINDS, "00-caliper"])
def test_trainer_and_exercise_name_a_wrong_reading_alike(key):
    """Any figure on the tool's step, typed at the same reading: one name, one sentence."""
    page, told = PAGES["00-start"], set()
    for number in range(1, 61):
        card = issue_card(exercise="00-start", class_code="QQ-26", number=number)
        question = page.question(key).on(card)
        unit, right = question.kind.unit, right_answers(page, card)[key]
        kind = KINDS.get(key, "inch caliper" if unit == "in" else "metric caliper")
        tool, reading = TOOLS[kind], from_internal(right, dimension="length", unit=unit)
        wrong = [value for _, value in slips_at(kind, reading)]
        wrong += [reading + steps * tool.step for steps in range(-60, 61) if steps]
        for value in wrong:
            text = f"{value:.9f} {unit}"
            trainer = judge_reading(kind=kind, reading=reading, text=text)
            exercise = judge(question, card, text, own={}, right={})
            if exercise.slip.endswith("written behind the reading"):
                continue  # by its size; the trainer sees the unit that was typed
            assert trainer.slip == exercise.slip, (number, text)
            if trainer.slip:
                told.add(trainer.slip)
                assert trainer.sentence == exercise.reason
    assert len(told) > 15
