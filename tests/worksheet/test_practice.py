"""Practice: fresh numbers, one count for each, weak ones back first, in the units chosen."""

from __future__ import annotations

import json
import re
from datetime import date, timedelta
from pathlib import Path

import pytest

from coursework.course import PAGES, issue_card, page_of
from coursework.judging import right_answers, show_answer
from coursework.page.entries import EntriesFile
from coursework.page.pagefolder import read_units, write_units
from coursework.page.practice import (
    PRACTICE_CLASS,
    fresh_number,
    practice_form,
    practice_round,
    questions_up_to,
)
from keycourse import lesson


def words(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split()).replace("&#x27;", "'")


@pytest.fixture
def store(tmp_path: Path) -> EntriesFile:
    return EntriesFile(tmp_path / "answers.json")


def notes(store: EntriesFile) -> dict:
    return json.loads(store.path.read_text())["notes"]


def right_text(key: str, number: int) -> str:
    page = page_of(key)
    card = issue_card(exercise=page.name, class_code=PRACTICE_CLASS, number=number)
    return show_answer(page.question(key).on(card), right_answers(page, card)[key])


@pytest.mark.parametrize("name", sorted(PAGES))
@pytest.mark.parametrize("units", ["inch", "metric"])
def test_fresh_numbers_come_in_the_units_asked_for(name, units):
    for _ in range(3):
        number = fresh_number(exercise=name, units=units)
        card = issue_card(exercise=name, class_code=PRACTICE_CLASS, number=number)
        assert card.metric == (units == "metric")


def test_only_the_first_answer_on_fresh_numbers_counts(store):
    question = page_of("01-clearance").question("01-clearance")
    form = practice_form(question, store, {})
    _, _, entry, buttons, status, _ = form.children
    entry.value = "7 in"
    assert words(status.value).endswith("First answers: 0 right of 1.")
    right = right_text("01-clearance", notes(store)["practice:01-clearance"]["number"])
    entry.value = right
    assert words(status.value) == "✓ Right. First answers: 0 right of 1."
    assert notes(store)["practice:01-clearance"]["box"] == 1
    buttons.children[1].click()  # new numbers
    entry.value = right_text("01-clearance", notes(store)["practice:01-clearance"]["number"])
    assert words(status.value) == "✓ Right. First answers: 1 right of 2. It comes back in 2 days."
    kept = notes(store)["practice:01-clearance"]
    assert (kept["box"], kept["tried"], kept["right"]) == (2, 2, 1)
    assert kept["last"] == date.today().isoformat()


def test_what_cannot_be_read_counts_for_nothing(store):
    question = page_of("01-clearance").question("01-clearance")
    form = practice_form(question, store, {})
    form.children[2].value = "a hair"
    assert "it must start with a number" in words(form.children[4].value)
    assert "tried" not in notes(store)["practice:01-clearance"]


def test_a_tool_is_drawn_in_practice(store):
    form = practice_form(page_of("00-vernier").question("00-vernier"), store, {})
    assert 'role="img"' in form.children[1].value
    right = right_text("00-vernier", notes(store)["practice:00-vernier"]["number"])
    assert right.split()[0] not in form.children[1].value
    form.children[2].value = right
    assert words(form.children[4].value).startswith("✓ Right.")


def test_a_round_brings_the_wrong_one_back_with_its_slip(store):
    for key, box, slip in (("00-height", 1, "allowance left out"), ("00-micrometer", 3, "")):
        store.set(
            f"practice:{key}",
            {
                "number": 5,
                "tried": 2,
                "right": 1,
                "box": box,
                "slip": slip,
                "last": (date.today() - timedelta(days=9)).isoformat(),
            },
        )
    view = practice_round("00-start", store, {})
    intro, place, button = view.children
    assert words(intro.value) == (
        "Of 9 practice questions up to here, 1 was right last time, 1 not, 7 are not tried yet."
    )
    heads = [words(one.value) for one in place.children[::2]]
    assert heads[0] == (
        "1. Height before fitting Numbers with units. Not right last time: allowance left out."
    )
    assert heads[1].endswith("Not practiced yet.")
    assert heads[2].endswith("Right 2 times in a row, last 9 days ago. Does it still sit?")
    # answered right in the round: it stands so on the lesson, too, and leaves the round
    form = place.children[1]
    form.children[2].value = right_text("00-height", notes(store)["round:00-height"]["number"])
    assert notes(store)["practice:00-height"]["box"] == 2
    button.click()
    again = [words(one.value) for one in view.children[1].children[::2]]
    assert not any("Height before fitting" in one for one in again)
    assert words(intro.value).startswith("Of 9 practice questions up to here, 2 were right")


def test_a_round_has_what_the_course_has_shown_by_now_and_what_was_tried(store):
    names = {page_of(key).name for key in questions_up_to("01-measure", store)}
    assert names == {"00-start", "01-measure"}
    store.set("practice:02-per-foot", {"number": 5, "tried": 1, "right": 0})
    keys = questions_up_to("01-measure", store)
    assert "02-per-foot" in keys
    assert "02-ratio" not in keys
    assert not any(page_of(key).question(key).by_assessor for key in keys)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("lessons", "exercises"):
        (tmp_path / name).mkdir()
    return tmp_path / "lessons"


def test_metric_first_is_kept_beside_the_name_tag_and_followed(folder):
    root = folder.parent
    lesson.open("00-start", folder)
    tag = lesson.name_tag()
    assert read_units(root) == "inch"
    tag.children[0].value, tag.children[1].value = "QQ-26", "7"
    tag.children[4].value = "metric"
    assert words(tag.children[5].value) == (
        "✓ Saved. Examples and practice come in millimeters, on each page when you next open it."
    )
    tag.children[1].value = "8"  # a new name tag leaves the units as they are
    kept = json.loads((root / "name-tag.json").read_text())
    assert kept == {"class": "QQ-26", "number": 8, "name": "", "units": "metric"}
    lesson.open("01-measure", folder)
    assert re.search(r"→ [\d.]+ mm", words(lesson.worked("01-clearance").value))
    assert re.search(r"\d mm", words(lesson.practise("01-clearance").children[1].value))
    assert "0.02 mm" in lesson.caliper_trainer().children[1].value


def test_inch_comes_first_where_nothing_is_chosen(folder):
    lesson.open("01-measure", folder)
    assert re.search(r"→ [\d.]+ in", words(lesson.worked("01-clearance").value))
    assert re.search(r"\d in\b", words(lesson.practise("01-clearance").children[1].value))


def test_units_alone_make_no_name_tag(folder):
    write_units(folder.parent, "metric")
    assert "Working alone" in words(lesson.open("00-start", folder).children[0].value)
    (folder.parent / "name-tag.json").write_text("[1]")
    assert read_units(folder.parent) == "inch"


@pytest.mark.parametrize("name", sorted(PAGES))
@pytest.mark.parametrize("units", ["inch", "metric"])
def test_every_example_is_worked_in_the_units_that_come_first(folder, name, units):
    write_units(folder.parent, units)
    lesson.open(name, folder)
    card = lesson._example(name)
    assert card.metric == (units == "metric")
    for question in PAGES[name].questions:
        if not question.by_assessor:
            assert "→" in lesson.worked(question.key).value


def test_after_two_misses_the_worked_lines_are_shown_and_count_for_nothing(store):
    question = page_of("01-clearance").question("01-clearance")
    form = practice_form(question, store, {})
    _, _, entry, buttons, status, worked = form.children
    for text in ("7 in", "what"):  # what cannot be read is no miss
        entry.value = text
        assert worked.value == ""
    entry.value = "8 in"
    number = notes(store)["practice:01-clearance"]["number"]
    right = right_text("01-clearance", number)
    assert "<details open>" in worked.value
    assert f"→ {right}" in words(worked.value)
    assert right not in words(status.value)
    entry.value = right
    assert words(status.value).endswith("First answers: 0 right of 1.")
    entry.value = ""
    next(one for one in buttons.children if one.description == "New numbers").click()
    entry.value = "7 in"
    assert worked.value == ""
