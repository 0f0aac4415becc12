"""The picture at the top of the first page: every skill, run, bench and hand-in."""

from __future__ import annotations

import json
import re
import time
from datetime import date, timedelta
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from coursework.course import PAGES
from coursework.page.entries import EntriesFile
from coursework.page.frontpage import front_html
from coursework.page.howfar import howfar_html, lesson_rows
from keycourse.firstlook import draw_first_look
from keycourse.lessonpictures import LESSON_PICTURES

TODAY = date(2026, 11, 28)
PRACTICE = ("00-start", "usual-mistakes-and-what-they-cost")


def words(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


@pytest.fixture
def root(tmp_path: Path) -> Path:
    for name in ("lessons", "exercises", "hand-ins"):
        (tmp_path / name).mkdir()
    return tmp_path


def keep(root: Path, **notes: Any) -> None:
    kept = EntriesFile(root / "lessons" / "answers.json")
    for name, note in notes.items():
        assert kept.set(name.replace("__", ":").replace("_", " "), note) == ""


def practiced(root: Path, key: str, *, run: int, ago: int) -> None:
    note = {
        "box": run + 1,
        "tried": run + 1,
        "right": run,
        "last": (TODAY - timedelta(days=ago)).isoformat(),
        "slip": "",
    }
    kept = EntriesFile(root / "lessons" / "answers.json")
    assert kept.set(f"practice:{key}", note) == ""


def page(root: Path) -> str:
    return front_html(
        root,
        views=draw_first_look(),
        pictures=LESSON_PICTURES,
        besides="",
        settings="",
        today=TODAY,
        practice=PRACTICE,
    )


def row(root: Path, name: str):
    return {one.page: one for one in lesson_rows(root, today=TODAY)}[name]


def test_every_skill_drill_and_bench_of_the_course_stands_there_in_words(root):
    said = words(howfar_html(lesson_rows(root, today=TODAY)))
    for one in PAGES.values():
        assert one.title in said
        for question in one.questions:
            if not question.by_assessor:
                skill = question.skill
                assert f"{skill[:1].upper()}{skill[1:]}: not practiced yet" in said
        for unit in one.units:
            if unit.acts:
                assert f"{unit.title}: not begun" in said
        assert f"Exercise {one.name[:2]}: not handed in" in said


def test_nine_right_readings_in_a_row_are_noticed(root):
    keep(root, micrometer_inch={"best": 9, "in_a_row": 9}, micrometer_metric={"best": 3})
    start = row(root, "00-start")
    said = {one.title: one.words for one in start.acts}
    assert said["Read an inch micrometer"] == "9 right in a row"
    assert said["Read a metric micrometer"] == "3 right in a row, 5 are needed"
    assert "best run 9 in a row · drills and benches 1 of 4" in start.words


def test_a_bench_is_told_as_far_as_it_was_done(root):
    keep(root, measuring_bench={"bench": "measuring", "seed": 1, "steps": [{"do": "read"}] * 4})
    [bench] = row(root, "01-measure").acts
    assert bench.words == "begun, 4 of 6"
    keep(root, bench__pulling={"bench": "pulling", "seed": 1, "steps": [{"do": "measure ends"}]})
    pulling = next(one for one in row(root, "05-pull").acts if "bench" in one.title)
    assert pulling.words == "begun, 1 of 2"


def test_what_has_faded_is_named_with_its_days_the_longest_first(root):
    for key, ago in (("00-height", 30), ("02-ratio", 9), ("02-difference", 4), ("02-per-foot", 1)):
        practiced(root, key, run=1, ago=ago)
    said = words(page(root))
    assert (
        "Faded since it was last right: “Height before fitting” (00), 30 days ago; "
        "“Ratio” (02), 9 days ago; “Difference” (02), 4 days ago." in said
    )


def test_practice_comes_first_when_three_are_due_and_the_page_says_why(root):
    for key, run, ago in (("00-height", 2, 30), ("02-ratio", 1, 9), ("02-difference", 0, 4)):
        practiced(root, key, run=run, ago=ago)
    html = page(root)
    said = words(html)
    assert "Go on: a practice round three questions of 3 that are due" in said
    assert (
        "Practice first: 3 questions came due. 1 was not right last time and 2 have faded: "
        "“Height before fitting” (00) was last right 30 days ago." in said
    )
    assert re.search(r"Your weakest skill is “[a-z ]+”: about \d in 10", said)
    assert html.index(f'data-tk-unit="{PRACTICE[1]}"') < html.index("tk-go-quiet")


def test_with_little_due_the_unit_comes_first_and_says_why(root):
    assert "Begin here." in words(page(root))
    practiced(root, "02-ratio", run=1, ago=0)
    said = words(page(root))
    assert "Why this: you began this unit, and something in it is still open." in said
    for key in ("02-difference", "02-per-inch", "02-per-foot"):
        practiced(root, key, run=1, ago=0)
    practiced(root, "00-height", run=1, ago=5)
    said = words(page(root))
    assert "Why this: it is the first unit still open in the lesson that you are in." in said
    assert (
        "Then practice: 1 has faded: “Height before fitting” (00) was last right 5 days ago."
        in said
    )


def test_the_fields_of_the_picture_add_up(root):
    practiced(root, "02-ratio", run=1, ago=9)
    practiced(root, "02-difference", run=1, ago=0)
    html = howfar_html([row(root, "02-taper")])
    strip = html[html.index("tk-strip") : html.index("tk-bar-words")]
    first = strip.split("</i>")[0]  # four questions: one right, one faded, two open
    assert re.findall(r"flex-grow:(\d+)", first) == ["4"]
    assert re.findall(r"<([bs]) style=\"width:(\d+)%", first) == [("b", "25"), ("s", "25")]
    assert html.count("aria-hidden") == 2  # the strip and the legend: the words say the same


def test_the_page_of_a_busy_apprentice_is_drawn_in_a_moment(root):
    notes = {
        f"practice:{question.key}": {
            "box": 2,
            "tried": 1,
            "right": 1,
            "last": f"2026-11-{turn + 1:02}",
        }
        for one in PAGES.values()
        for turn, question in enumerate(one.questions)
    }
    (root / "lessons" / "answers.json").write_text(
        json.dumps({"format": "taperkey answers", "version": 1, "entries": {}, "notes": notes})
    )
    steps = [{"do": "read", "at": turn} for turn in range(3_000)]
    keep(root, measuring_bench={"bench": "measuring", "seed": 1, "steps": steps})
    began = time.process_time()
    page(root)
    assert time.process_time() - began < 1.0  # it is drawn on each opening
