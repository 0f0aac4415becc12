"""Feedback pages: as typed, escaped, and silent about the answers until they are released."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from bs4 import BeautifulSoup

from coursework.course import PAGES, issue_card
from coursework.judging import right_answers, show_answer
from coursework.mark.feedback import write_feedback
from coursework.mark.lateness import LatePolicy, how_late, utc_of
from coursework.mark.records import ManualMark, MarkRecord

from .conftest import CLASS, ClassRoom

WRONG = {
    "02-taper": {
        "02-difference": "3 in",
        "02-per-inch": "99",
        "02-per-foot": "99 in/ft",
        "02-ratio": "<b>1</b>",
        "02-uncertainty": "99",
        "02-standard": "",
        "02-large-end": "",
        "02-what-first": "",
        "02-parallel": "99 in",
        "02-why-longer": "So.\n<script>alert(1)</script>",
    },
}


def record_with(room: ClassRoom, exercise: str, entries: dict[str, str]) -> MarkRecord:
    changes = {"_" + key[1:].replace("-", "_"): text for key, text in entries.items()}
    changes = {key: text for key, text in changes.items() if not key.endswith("sign_off")}
    room.hand_in(7, exercise, **changes)
    (record,) = room.mark().marked
    return record


def page_of(
    room: ClassRoom, record: MarkRecord, *, released: bool, **more: Any
) -> tuple[str, BeautifulSoup]:
    path = write_feedback(folder=room.folder, record=record, released=released, **more)
    assert path == room.folder / "feedback" / "007" / f"{record.exercise}.html"
    html = path.read_text(encoding="utf-8")
    return html, BeautifulSoup(html, "html.parser")


def expected(exercise: str) -> dict[str, str]:
    page = PAGES[exercise]
    card = issue_card(exercise=exercise, class_code=CLASS, number=7)
    right = right_answers(page, card)
    return {key: show_answer(page.question(key).on(card), right[key]) for key in right}


@pytest.mark.parametrize("exercise", list(PAGES))
def test_no_expected_value_before_release(room: ClassRoom, exercise: str) -> None:
    blank = {question.key: "" for question in PAGES[exercise].questions}
    record = record_with(room, exercise, WRONG.get(exercise, blank))
    html, soup = page_of(room, record, released=False)
    asked = " ".join(question.ask for question in PAGES[exercise].questions)
    for key, answer in expected(exercise).items():
        number = answer.split()[0] if answer[0].isdigit() else answer
        if number not in asked:
            assert number not in soup.get_text(), key
    assert "Worked on your numbers" not in html
    assert "Worked solutions come when your instructor releases them." in html
    _, soup = page_of(room, record, released=True)
    card = issue_card(exercise=exercise, class_code=CLASS, number=7)
    for key, answer in expected(exercise).items():
        label = PAGES[exercise].question(key).on(card).label.lower()
        section = next(
            one
            for one in soup.find_all("section", class_="entry")
            if one.h2.get_text().lower().endswith(label)
        )
        bold = [tag.get_text() for tag in section.find(class_="worked").find_all("strong")]
        assert answer in bold, key


def test_a_drawn_tool_stands_beside_its_worked_solution(room: ClassRoom) -> None:
    record = record_with(room, "00-start", {})
    html, _ = page_of(room, record, released=False)
    assert "<svg" not in html
    html, soup = page_of(room, record, released=True)
    assert html.count('role="img"') == 4
    for picture in soup.find_all("svg"):
        assert picture.find_parent(class_="worked")
        assert "line" in picture["aria-label"]


def test_worked_solution_after_release(room: ClassRoom) -> None:
    record = record_with(room, "02-taper", WRONG["02-taper"])
    _, soup = page_of(room, record, released=True)
    page = PAGES["02-taper"]
    card = issue_card(exercise="02-taper", class_code=CLASS, number=7)
    right = right_answers(page, card)
    text = " ".join(soup.get_text().split())
    lines = [line for question in page.questions for line in question.worked(card, right)]
    assert len(lines) > 5
    for line in lines:
        for words in (line.why, line.formula, line.numbers, line.result):
            assert " ".join(words.split()) in text


def test_everything_typed_is_shown_and_escaped(room: ClassRoom) -> None:
    record = record_with(room, "02-taper", WRONG["02-taper"])
    html, soup = page_of(room, record, released=False, name="Ada <i>Marl</i>")
    assert soup.find("script") is None
    assert soup.find("b") is None
    assert soup.find("i") is None
    typed = [tag.get_text() for tag in soup.find_all("div", class_="typed")]
    assert typed == [text for text in WRONG["02-taper"].values() if text]
    assert "Ada <i>Marl</i>, class QQ-26, number 007." in soup.get_text()
    assert "http" not in html.replace("http-equiv", "")


def test_states_are_said_in_words(room: ClassRoom) -> None:
    record = record_with(room, "02-taper", {"02-ratio": "", "02-per-inch": "many"})
    _, soup = page_of(room, record, released=False)
    states = {
        section.h2.get_text().split(". ", 1)[1].lower(): section.find(class_="state").get_text()
        for section in soup.find_all("section", class_="entry")
    }
    page = PAGES["02-taper"]
    assert states[page.question("02-difference").label.lower()] == "✓Right"
    assert states[page.question("02-per-inch").label.lower()] == "?Could not be read"
    assert states[page.question("02-ratio").label.lower()] == "–Left blank"
    assert states[page.question("02-sign-off").label.lower()] == "…Waiting for the assessor"
    open_marks = sum(one.marks for one in page.questions if one.by_assessor)
    all_marks = sum(one.marks for one in page.questions)
    text = " ".join(soup.get_text().split())
    told = f"2 entries wait for the assessor: {open_marks:g} of {all_marks:g} marks."
    assert told in text
    assert f" of {all_marks - open_marks:g} marks so far" in text
    points = [tag.get_text() for tag in soup.find_all(class_="points")]
    assert points[-1] == f"– of {page.question('02-sign-off').marks:g}"


def test_safety_critical_is_marked_large(room: ClassRoom) -> None:
    record = record_with(room, "02-taper", {"02-large-end": "", "02-what-first": ""})
    _, soup = page_of(room, record, released=False)
    top, *boxes = soup.find_all(class_="warn")
    assert "Not yet competent" in top.get_text()
    assert "Must be right" in top.get_text()
    for key in ("02-large-end", "02-what-first"):
        assert PAGES["02-taper"].question(key).label.lower() in top.get_text().lower()
    assert len(boxes) == 2


def test_no_warning_where_all_is_right(room: ClassRoom) -> None:
    record = record_with(room, "02-taper", {})
    _, soup = page_of(room, record, released=False)
    assert soup.find(class_="warn") is None


def test_the_assessors_mark_and_comment_are_shown(room: ClassRoom) -> None:
    record = record_with(room, "02-taper", {})
    manual = {
        "02-why-longer": ManualMark(key="02-why-longer", score=1.5, comment="Say <how> long."),
        "02-sign-off": ManualMark(key="02-sign-off", waiting=True),
    }
    _, soup = page_of(room, record, released=False, manual=manual)
    text = soup.get_text()
    assert "✎Marked by the assessor" in text
    assert "Say <how> long." in text
    assert soup.find("how") is None
    full = sum(one.out_of for one in record.verdicts)
    waits = PAGES["02-taper"].question("02-sign-off").marks
    judged = sum(one.mark for one in record.verdicts)
    text = " ".join(text.split())
    assert f"{judged + 1.5:g} of {full - waits:g} marks so far" in text
    assert f"1 entry waits for the assessor: {waits:g} of {full:g} marks." in text


def test_a_time_of_the_year_1_is_said_to_come_from_a_wrong_clock(room: ClassRoom) -> None:
    record = replace(record_with(room, "02-taper", {}), made="0001-01-01T00:00:00Z")
    late = how_late(made=utc_of(record.made), came=None, due=None, policy=LatePolicy())
    for more in ({"late": late}, {}):
        _, soup = page_of(room, record, released=False, **more)
        assert "Handed in 0001-01-01, by a clock that was wrong." in soup.get_text()


def test_page_is_whole_in_itself(room: ClassRoom) -> None:
    record = record_with(room, "01-measure", {})
    html, soup = page_of(room, record, released=True)
    assert not soup.find_all(["link", "img", "script", "iframe"])
    assert soup.html["lang"] == "en"
    assert len(soup.find_all("h1")) == 1
    assert "@media print" in html
    assert Path(room.folder / "feedback" / "007").is_dir()
