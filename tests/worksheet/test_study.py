"""Learning alone: one's own marking is the assessor's judgment, and progress is told by skill."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

import pytest

from coursework.course import PAGES, issue_card
from coursework.judging import judge_page, right_answers, show_answer
from coursework.page.own_marking import mark_own
from coursework.page.pagefolder import ALONE
from coursework.page.progress import page_parts
from keycourse import lesson


def words(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "lessons").mkdir()
    place = tmp_path / "exercises" / "00-start"
    place.mkdir(parents=True)
    return place


def right_entries(
    name: str, class_code: str = ALONE.class_code, number: int = ALONE.number
) -> dict[str, str]:
    page = PAGES[name]
    card = issue_card(exercise=name, class_code=class_code, number=number)
    right = right_answers(page, card)
    return {key: show_answer(page.question(key).on(card), right[key]) for key in right}


@pytest.mark.parametrize("name", sorted(PAGES))
def test_own_marks_are_those_of_the_assessors_judgement(name):
    page = PAGES[name]
    card = issue_card(exercise=name, class_code=ALONE.class_code, number=ALONE.number)
    entries = right_entries(name)
    full = mark_own(page=page, card=card, entries=entries)
    assert full.mark == full.out_of
    assert full.out_of == sum(one.marks for one in page.questions if not one.by_assessor)
    assert full.critical == ()
    none = mark_own(page=page, card=card, entries={})
    assert none.mark == 0
    assert none.critical == tuple(one.label for one in page.questions if one.critical)
    assert [one.verdict for one in none.entries] == list(judge_page(page, card, {}))
    for one in full.entries:
        assert bool(one.guide) == one.question.by_assessor
        assert bool(one.lines or one.answer) != one.question.by_assessor


def test_guide_points_add_up_to_the_marks():
    for page in PAGES.values():
        for question in page.questions:
            if question.by_assessor:
                given = [
                    int(re.match(r"(\d+) marks?: ", one).group(1)) for one in question.kind.points
                ]
                assert sum(given) == question.marks, question.key


def hand_in(folder: Path, entries: dict[str, str], name: str = "00-start"):
    lesson.open(name, folder)
    for key, text in entries.items():
        lesson.ask(key).children[-2].value = text
    form = lesson.hand_in()
    form.children[0].click()
    return form


def test_nothing_is_shown_before_hand_in(folder):
    lesson.open("00-start", folder)
    form = lesson.hand_in()
    _, button, result = form.children[2].children
    button.click()
    assert words(result.value) == "▲ Nothing is handed in yet. Press “Hand in” first."
    everything = " ".join(str(part.value) for part in (form.children[1], result))
    for text in right_entries("00-start").values():
        assert text not in everything


def test_marking_ones_own_hand_in_shows_why_and_the_worked_solution(folder):
    entries = right_entries("00-start")
    start = issue_card(
        exercise="00-start", class_code=ALONE.class_code, number=ALONE.number
    ).readings
    slipped = f"{start.micrometer_in + 0.025:.3f} in"
    entries["00-micrometer"] = slipped
    entries["00-why-zero"] = "Dirt moves it. <b>All</b> readings are out."
    form = hand_in(folder, entries)
    _, button, result = form.children[2].children
    button.click()
    said = words(result.value)
    assert "10.5 of 11 marks for what the course can mark." in said
    assert "You counted one sleeve line too many (0.025 in)." in said
    assert f"→ {start.micrometer_in:.3f} in" in said
    assert "Dirt moves it. <b>All</b> readings are out." in said
    assert "<b>All" not in result.value
    assert "1 mark: averaging does not take that out." in said
    assert "Not yet competent" not in said
    kept = json.loads((folder / "answers.json").read_text())["notes"]["own marking"]
    assert kept["marks"]["00-micrometer"] == [0.5, 1]
    assert kept["critical"] == []


def test_what_was_handed_in_is_marked_and_not_what_stands_there_now(folder):
    entries = right_entries("00-start")
    del entries["00-what-first"]
    form = hand_in(folder, entries)
    lesson.ask("00-what-first").children[-2].value = right_entries("00-start")["00-what-first"]
    _, button, result = form.children[2].children
    button.click()
    said = words(result.value)
    assert "9 of 11 marks" in said
    assert "Not yet competent Must be right What first." in said
    assert "Left blank" in said


def test_a_damaged_hand_in_is_said_in_one_sentence(folder):
    form = hand_in(folder, {"00-height": "1 in"})
    [path] = (folder.parents[1] / "hand-ins").iterdir()
    path.write_text(path.read_text().replace("1 in", "2 in"))
    _, button, result = form.children[2].children
    button.click()
    assert "The checksum does not match" in words(result.value)


def test_a_class_gets_no_button(folder):
    root = folder.parents[1]
    (root / "name-tag.json").write_text(json.dumps({"class": "QQ-26", "number": 7}))
    lesson.open("00-start", folder)
    code, button, _ = lesson.hand_in().children  # no part in which one marks oneself
    assert code.children[0].description == "Code on your job card"
    assert button.description == "Hand in"


def test_a_button_left_over_from_before_the_name_tag_shows_nothing(folder):
    form = hand_in(folder, right_entries("00-start"))
    root = folder.parents[1]
    (root / "name-tag.json").write_text(json.dumps({"class": "QQ-26", "number": 7}))
    _, button, result = form.children[2].children
    button.click()
    assert words(result.value) == (
        "▲ You work in a class: your assessor marks this, and you get it back from there."
    )


def test_progress_tells_practice_and_own_marks_by_skill(folder):
    root = folder.parents[1]
    entries = right_entries("00-start")
    del entries["00-what-first"]
    form = hand_in(folder, entries)
    form.children[2].children[1].click()
    note = {"number": 5, "tried": 1, "right": 1, "box": 2}
    (root / "lessons" / "answers.json").write_text(
        json.dumps(
            {
                "format": "taperkey answers",
                "version": 1,
                "entries": {},
                "notes": {
                    "practice:00-micrometer": note,
                    "practice:00-caliper": {**note, "right": 0, "box": 1},
                },
            }
        )
    )
    first = page_parts(root)[0]
    rows = {row.skill: row for row in first.skills}
    assert (rows["read a tool"].sits, rows["read a tool"].tried) == (1, 2)
    assert rows["read a tool"].practice_words == "1 of 4 right last time, 2 not tried yet"
    assert (rows["read a tool"].mark, rows["read a tool"].out_of) == (6, 6)
    assert rows["make it ready"].mark == 0
    assert first.critical == ("What first",)
    lesson.open("00-start", root / "lessons")
    view = lesson.progress()
    said = words(view.children[0].value)
    assert "Read a tool 1 of 4 right last time, 2 not tried yet 6 of 6 marks" in said
    assert "Not yet competent: What first must be right." in said
    for page in PAGES.values():
        assert f"{page.name[:2]} {page.title}" in said
    assert "01 Measure the opening Not begun: spot a bad reading, take a height," in said


def test_progress_reads_no_damaged_file_and_leaves_it_where_it_is(folder):
    root = folder.parents[1]
    (root / "lessons" / "answers.json").write_text("{")
    (folder / "answers.json").write_text(json.dumps({"notes": {"own marking": {"marks": 3}}}))
    rows = page_parts(root)[0].skills
    assert all(row.tried == 0 and row.out_of == 0 for row in rows)
    assert (root / "lessons" / "answers.json").read_text() == "{"


def test_a_class_is_told_who_has_the_marks(folder):
    root = folder.parents[1]
    (root / "name-tag.json").write_text(json.dumps({"class": "QQ-26", "number": 7}))
    lesson.open("00-start", root / "lessons")
    lesson.practise("00-height").children[2].value = "1 in"
    said = words(lesson.progress().children[0].value)
    assert "your assessor has the marks" in said
    assert "not marked yet" not in said
