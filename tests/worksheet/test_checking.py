"""The check on a page: taken once, kept, handed in with its seal, and once more after a month."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import ipywidgets as widgets
import pytest

from coursework.check import check_card, check_forms
from coursework.judging import right_answers, show_answer
from coursework.page.checking import check_form
from coursework.page.handin import read_hand_in
from coursework.page.pagefolder import ALONE
from coursework.page.seal import card_code, seal_of, shown_code

TODAY = datetime.now(UTC).date()


@pytest.fixture
def root(tmp_path: Path) -> Path:
    for name in ("lessons", "exercises"):
        (tmp_path / name).mkdir()
    return tmp_path


@pytest.fixture
def tagged(root: Path) -> Path:
    (root / "name-tag.json").write_text('{"class": "KWT-9X4", "number": 7}')
    return root


def parts(widget: Any) -> list[Any]:
    """Return every part of a form, also what lies in boxes."""
    inner = [one for child in getattr(widget, "children", ()) for one in parts(child)]
    return [widget, *inner]


def button(widget: Any, name: str) -> Any:
    return next(one for one in parts(widget) if getattr(one, "description", "") == name)


def words(widget: Any) -> str:
    shown = " ".join(one.value for one in parts(widget) if isinstance(one, widgets.HTML))
    return " ".join(re.sub(r"<[^>]+>", " ", shown).split())


def boxes(widget: Any) -> list[Any]:
    kinds = (widgets.Text, widgets.RadioButtons)
    found = [one for one in parts(widget) if isinstance(one, kinds)]
    return [one for one in found if not one.description.startswith("Code on")]


def take(time: str, root: Path, right: int, **how: Any) -> Any:
    """Begin a form, answer so many right, leave the rest blank, and be done."""
    form = check_form(time, root / "lessons", **how)
    button(form, "Begin the check").click()
    name = {"before": "check-before", "after": "check-after"}[time]
    if "today" in how:
        name = "check-later"
    fill(form, root, name, right)
    button(form, "Done").click()
    if right < 10:
        assert f"{10 - right} question" in words(form)
        button(form, "Done").click()
    return form


def fill(form: Any, root: Path, name: str, right: int) -> None:
    page = check_forms()[name]
    alone = not (root / "name-tag.json").exists()
    who = (ALONE.class_code, ALONE.number) if alone else ("KWT-9X4", 7)
    card = check_card(name=name, class_code=who[0], number=who[1])
    answers = right_answers(page, card)
    for box, question in list(zip(boxes(form), page.questions, strict=True))[:right]:
        box.value = show_answer(question, answers[question.key])


def test_it_begins_folded_and_says_what_it_is(root: Path) -> None:
    form = check_form("before", root / "lessons")
    assert boxes(form) == []
    assert "Ten questions from the whole course, in ten minutes." in words(form)
    assert "They count for no mark." in words(form)


def test_done_shows_what_was_right_and_why_and_hands_in(tagged: Path) -> None:
    form = take("before", tagged, 6)
    told = words(form)
    assert "6 of 10 right. It counts for no mark." in told
    for question in check_forms()["check-before"].questions:
        assert question.hint in told.replace("&#x27;", "'")
    assert told.count("✓") == 6
    handed = read_hand_in(
        (tagged / "hand-ins" / "KWT-9X4_007_check-before.handin.json").read_bytes()
    )
    assert (handed.page, len(handed.entries), handed.seal) == ("check-before", 6, "")
    assert set(handed.saved) == set(handed.entries)


def test_it_is_taken_once_and_what_was_typed_stays(tagged: Path) -> None:
    form = check_form("before", tagged / "lessons")
    button(form, "Begin the check").click()
    fill(form, tagged, "check-before", 3)
    again = check_form("before", tagged / "lessons")  # the page opened anew
    assert [bool(one.value) for one in boxes(again)] == [True] * 3 + [False] * 7
    button(again, "Done").click()
    button(again, "Done").click()
    closed = check_form("before", tagged / "lessons")
    assert boxes(closed) == []
    assert "3 of 10 right" in words(closed)


def test_nothing_answered_is_not_done(tagged: Path) -> None:
    form = check_form("before", tagged / "lessons")
    button(form, "Begin the check").click()
    button(form, "Done").click()
    button(form, "Done").click()
    assert "Nothing is answered yet. Answer at least one." in words(form)
    assert not (tagged / "hand-ins").exists()


def test_the_code_of_the_card_seals_it(tagged: Path) -> None:
    form = check_form("before", tagged / "lessons")
    button(form, "Begin the check").click()
    fill(form, tagged, "check-before", 10)
    code = card_code(key=b"class", exercise="00-start", number=7, attempt=1)
    box = next(one for one in parts(form) if getattr(one, "description", "").startswith("Code on"))
    assert box.description == "Code on your job card of exercise 00"
    box.value = shown_code(code)
    button(form, "Done").click()
    (path,) = (tagged / "hand-ins").iterdir()
    handed = read_hand_in(path.read_bytes())
    assert handed.seal == seal_of(handed.content(), code)
    assert handed.code_typed


def test_who_works_alone_sees_the_result_and_no_file_is_made(root: Path) -> None:
    form = take("before", root, 10)
    assert "10 of 10 right" in words(form)
    assert not (root / "hand-ins").exists()


def test_the_gain_is_shown_after_the_second_and_the_third_comes_after_a_month(root: Path) -> None:
    take("before", root, 3)
    form = take("after", root, 9)
    table = words(form)
    assert "Skill before after read a tool 1 of 1 1 of 1" in table
    assert "all together 3 of 10 9 of 10" in table
    day = TODAY + timedelta(days=30)
    again = check_form("after", root / "lessons", today=day - timedelta(days=1))
    assert f"It comes once more from {day:%B} {day.day} on." in words(again)
    third = take("after", root, 8, today=day)
    assert "all together 3 of 10 9 of 10 8 of 10" in words(third)
    assert "Skill before after 30 days later" in words(third)
    assert boxes(check_form("after", root / "lessons", today=day)) == []


def test_a_full_disk_loses_nothing_and_says_so(
    tagged: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    form = check_form("before", tagged / "lessons")
    button(form, "Begin the check").click()
    fill(form, tagged, "check-before", 10)

    def full(**_: Any) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("coursework.page.checking.write_hand_in", full)
    button(form, "Done").click()
    assert "Not handed in: " in words(form)
    assert "Nothing that you typed is lost." in words(form)
    assert len(boxes(form)) == 10
    monkeypatch.undo()
    button(form, "Done").click()
    assert "10 of 10 right" in words(form)
