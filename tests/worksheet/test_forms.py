"""The forms, without a browser: setting a value is what typing and leaving the box does."""

import json
import re
from pathlib import Path

import pytest

from coursework.course import PAGES
from coursework.page import classdrop, forms
from coursework.page.forms import asked_html
from coursework.page.handin import read_hand_in
from coursework.page.here import Here
from coursework.page.seal import card_code, seal_of, shown_code
from coursework.question import Measure
from keycourse import lesson
from taperkey.units import DIMENSIONS


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "lessons").mkdir()
    place = tmp_path / "exercises" / "01-measure"
    place.mkdir(parents=True)
    return place


def words(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split()).replace("&#x27;", "'")


def test_an_entry_is_saved_and_refilled(folder: Path) -> None:
    lesson.open("01-measure", folder)
    form = lesson.ask("01-mouth-height")
    form.children[1].value = "35 mm"
    assert words(form.children[2].value) == "Saved. Read as 1.3780 in (35.000 mm)."
    lesson.open("01-measure", folder)
    again = lesson.ask("01-mouth-height")
    assert again.children[1].value == "35 mm"
    assert words(again.children[2].value) == "Saved. Read as 1.3780 in (35.000 mm)."


def test_a_graded_entry_is_looked_at_for_form_only(folder: Path) -> None:
    lesson.open("01-measure", folder)
    form = lesson.ask("01-mouth-height")
    form.children[1].value = "1010.4"
    # the card of somebody alone is an inch one
    assert words(form.children[2].value) == (
        "▲ Saved as typed. Mouth height reads as 1,010.4 in; that is outside 0.2 to 4 in. "
        "It is saved; look at the decimal point and the unit once more."
    )
    form.children[1].value = "__import__('os')"
    assert words(form.children[2].value) == (
        "▲ Saved as typed. Mouth height is “__import__('os')”; it must start with a number. "
        "Write the number first, then the unit."
    )
    entries = json.loads((folder / "answers.json").read_text())["entries"]
    assert entries["01-mouth-height"]["text"] == "__import__('os')"


def test_a_choice_starts_unset_and_comes_back(folder: Path) -> None:
    lesson.open("01-measure", folder)
    form = lesson.ask("01-bad-reading")
    assert form.children[1].value is None
    form.children[1].value = "reading 2"
    lesson.open("01-measure", folder)
    assert lesson.ask("01-bad-reading").children[1].value == "reading 2"


def test_two_open_copies(folder: Path) -> None:
    lesson.open("01-measure", folder)
    first, other = lesson.ask("01-mouth-height"), lesson.ask("01-hub-width")
    lesson.open("01-measure", folder)
    later = lesson.ask("01-mouth-height")
    later.children[1].value = "0.75 in"
    other.children[1].value = "0.50 in"  # the first copy notices the later one's entry
    assert first.children[1].value == "0.75 in"
    later_other = lesson.ask("01-hub-width")
    assert later_other.children[1].value == "0.50 in"


def test_practice_names_the_slip_and_not_the_answer(folder: Path) -> None:
    lesson.open("02-taper", folder)
    form = lesson.practise("02-per-foot")
    table = words(form.children[1].value)
    per_inch = float(re.search(r"taper per inch ([\d.]+) in/in", table).group(1))
    form.children[2].value = f"{per_inch:.5f} in/ft"
    said = words(form.children[4].value)
    assert said == (
        "▲ This is the taper of one inch. A foot has more of them. First answers: 0 right of 1."
    )
    form.children[3].children[0].click()  # pressing Check again does not count twice
    assert words(form.children[4].value) == said
    form.children[2].value = f"{12 * per_inch:.4f} in/ft"
    assert words(form.children[4].value) == "✓ Right. First answers: 0 right of 1."
    assert "How it is worked out" in form.children[5].value
    form.children[3].children[1].click()
    assert words(form.children[1].value) != table
    assert form.children[2].value == ""


def test_name_tag_and_hand_in(folder: Path) -> None:
    root = folder.parents[1]
    lesson.open("01-measure", folder)
    tag = lesson.name_tag()
    tag.children[0].value = "QQ-26"
    tag.children[1].value = "seven"
    assert words(tag.children[3].value) == (
        "▲ number is “seven”; it must be a whole number from 1 to 999. It stands on the class list."
    )
    tag.children[1].value = "7"
    assert words(tag.children[3].value) == "✓ Name tag: class QQ-26, number 7."
    assert "class QQ-26 · apprentice 7" in words(lesson.card().value)
    lesson.ask("01-mouth-height").children[1].value = "=1+1 in"
    lesson.ask("01-why-bottom").children[1].value = "The hub hangs. <script>alert(1)</script>"
    form = lesson.hand_in()
    form.children[1].click()
    path = root / "hand-ins" / "QQ-26_007_01-measure.handin.json"
    assert words(form.children[2].value).startswith(f"✓ Handed in: {path}. Give that file")
    handed = read_hand_in(path.read_bytes())
    assert (handed.class_code, handed.number, handed.page) == ("QQ-26", 7, "01-measure")
    assert dict(handed.entries) == {
        "01-mouth-height": "=1+1 in",
        "01-why-bottom": "The hub hangs. <script>alert(1)</script>",
    }


def test_the_code_of_the_card_seals_and_turns_the_page_to_its_attempt(folder: Path) -> None:
    root = folder.parents[1]
    (root / "name-tag.json").write_text('{"class": "QQ-26", "number": 7}')
    lesson.open("01-measure", folder)
    first = lesson.card().value
    lesson.ask("01-mouth-height").children[1].value = "1.9 in"
    form = lesson.hand_in()
    box, told = form.children[0].children
    code = card_code(key=b"class", exercise="01-measure", number=7, attempt=2)
    box.value = code[:-1] + ("A" if code[-1] != "A" else "B")
    assert words(told.value).startswith("▲ card code is “2")
    box.value = shown_code(code)
    assert words(told.value).startswith("▲ This is the card of attempt 2. Press “Run this page”")
    head = lesson.open("01-measure", folder)
    assert "Attempt 2, on a job card of its own." in words(head.value)
    assert lesson.card().value != first
    assert lesson.ask("01-mouth-height").children[1].value == ""
    lesson.ask("01-mouth-height").children[1].value = "2.1 in"
    form = lesson.hand_in()
    form.children[1].click()
    handed = read_hand_in(
        (root / "hand-ins" / "QQ-26_007_01-measure_attempt-2.handin.json").read_bytes()
    )
    assert (handed.attempt, dict(handed.entries)) == (2, {"01-mouth-height": "2.1 in"})
    assert handed.seal == seal_of(handed.content(), code)
    form.children[0].children[0].value = ""
    lesson.open("01-measure", folder)
    assert lesson.ask("01-mouth-height").children[1].value == "1.9 in"


def test_a_card_that_is_shown_escapes_what_is_typed(folder: Path) -> None:
    lesson.open("01-measure", folder)
    form = lesson.ask("01-mouth-height")
    form.children[1].value = "<img src=x onerror=alert(1)>"
    assert "<img" not in form.children[2].value


def test_a_ratio_and_a_taper_say_how_they_may_be_typed() -> None:
    page = PAGES["02-taper"]
    for key in ("02-ratio", "02-per-foot", "02-difference"):
        question = page.question(key)
        said = asked_html(question)
        kind = question.kind
        assert isinstance(kind, Measure)
        table = DIMENSIONS[kind.dimension]
        for text in table.examples:
            assert (text in said) == (kind.dimension in ("ratio", "taper"))


def test_the_start_page_has_the_way_to_a_password_on_a_hub_only(tmp_path, monkeypatch):
    def shown():
        return [getattr(one, "value", "") for one in forms.name_tag_form(tmp_path).children]

    assert not any("password" in str(one) for one in shown())
    told = Here(password="/hub/auth/change-password", leave="/hub/logout")
    monkeypatch.setattr(classdrop, "here", lambda: told)
    link = '<a href="/hub/auth/change-password" target="_blank" rel="noopener"'
    way = next(str(one) for one in shown() if "Change your password</a>" in str(one))
    assert link in way
    assert "text-decoration:underline" in way
    assert '<a href="/hub/logout"' in classdrop.leave_note()
