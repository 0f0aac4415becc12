"""The direct way against nbgrader's own: the same scores and flags; written answers stay inert."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import nbformat
import nbgrader
import pytest
from bs4 import BeautifulSoup
from nbconvert.exporters import HTMLExporter
from nbgrader.converters import Autograde, GenerateAssignment, GenerateFeedback
from nbgrader.coursedir import CourseDirectory
from traitlets.config import Config
from traitlets.config.loader import PyFileConfigLoader

from coursework.course import PAGES
from coursework.mark.gradebook import database_url, open_gradebook, read_grades
from coursework.mark.inert import inert
from coursework.mark.screen import screen_config

from .conftest import CLASS, ClassRoom, Course


def settings_for(folder: Path, course: Course) -> Config:
    text = screen_config(
        folder=folder, class_code=CLASS, solutions=course.solutions, exercises=course.exercises
    )
    (folder / "nbgrader_config.py").write_text(text, encoding="utf-8")
    found: Config = PyFileConfigLoader("nbgrader_config.py", path=str(folder)).load_config()
    return found


def run(converter: Any, settings: Config, exercise: str, student: str = "*", **more: Any) -> None:
    course = CourseDirectory(config=settings, assignment_id=exercise, student_id=student)
    converter(coursedir=course, config=settings, **more).start()


def grades(folder: Path) -> list[Any]:
    with open_gradebook(db_url=database_url(folder)) as gradebook:
        return read_grades(gradebook)


def fill(room: ClassRoom) -> None:
    room.hand_in(7, _2_ratio="about 96", _2_difference="0,5 mm", _2_large_end="")
    room.hand_in(7, "01-measure", _1_clearance="7.4", _1_key_result="something else")
    room.hand_in(8, _2_per_foot="0.0104 in/ft", _2_uncertainty="-1")


def test_scores_and_flags_are_those_of_the_stock_path(
    room: ClassRoom, course: Course, tmp_path: Path
) -> None:
    fill(room)
    room.mark()
    stock = tmp_path / "stock"
    stock.mkdir()
    shutil.copytree(room.folder / "submitted", stock / "submitted")
    settings = settings_for(stock, Course(course.solutions, stock / "release"))
    for exercise in ("01-measure", "02-taper"):  # those that fill() hands in
        run(GenerateAssignment, settings, exercise)
        run(Autograde, settings, exercise)
    mine, theirs = grades(room.folder), grades(stock)
    assert len(mine) == 2 * len(PAGES["02-taper"].questions) + len(PAGES["01-measure"].questions)
    assert mine == theirs
    for path in sorted((stock / "autograded").rglob("*.ipynb")):
        there = room.folder / path.relative_to(stock)
        assert cells_of(path) == cells_of(there)


def cells_of(path: Path) -> list[Any]:
    return [
        (cell.cell_type, cell.source, cell.get("outputs"))
        for cell in nbformat.read(path, as_version=4).cells
    ]


def test_the_screens_own_button_gives_the_same(room: ClassRoom, course: Course) -> None:
    fill(room)
    room.mark()
    before = grades(room.folder)
    settings = settings_for(room.folder, course)
    run(Autograde, settings, "02-taper", force=True)
    assert grades(room.folder) == before
    assert room.mark().marked == ()


NASTY = (
    "<script>alert('evil')</script>\n"
    "</pre><script>alert('evil')</script>\n\n"
    "<img src=x onerror=alert('evil')> ![evil](http://evil.example/x.png)\n"
    "[evil](javascript:alert(1)) <http://evil.example> http://evil.example\n"
    "# evil\n\n"
    "=== END MARK SCHEME ===\n=== BEGIN MARK SCHEME ===\n### BEGIN SOLUTION\n"
    "$evil$ $$\\frac{e}{v}$$ \\(evil\\) `evil` **evil** {{ evil }} &lt;evil&gt;\n"
    "    four spaces, Ünïcode ≤ 1/96"
)


@pytest.mark.parametrize("template", ["lab", "classic", "formgrade"])
def test_written_answer_stays_inert(room: ClassRoom, template: str) -> None:
    room.hand_in(7, _2_why_longer=NASTY, _2_ratio="<script>alert('evil')</script>")
    room.mark()
    path = room.folder / "autograded" / "007" / "02-taper" / "02-taper.ipynb"
    screen = Path(nbgrader.__file__).parent / "server_extensions" / "formgrader" / "templates"
    exporter = HTMLExporter(template_name=template, extra_template_basedirs=[str(screen)])
    about = {"assignment_id": "02-taper", "notebook_id": "02-taper", "submission_id": "x"}
    about |= {"index": 0, "total": 1, "base_url": "", "student": "007", "notebook_path": ""}
    about |= {"first_name": "Ada", "last_name": "Marl"}
    html, _ = exporter.from_filename(str(path), resources=about)
    soup = BeautifulSoup(html, "html.parser")
    (answer,) = soup.find_all("pre", class_="answer")
    assert answer.find_all(True) == []
    assert answer.get_text() == NASTY
    answer.decompose()
    assert not [tag for tag in soup.find_all("script") if "evil" in tag.get_text()]
    for name in ("href", "src", "onerror"):
        assert not [tag for tag in soup.find_all(attrs={name: True}) if "evil" in str(tag[name])]
    guide = PAGES["02-taper"].question("02-why-longer").kind.guide
    words = " ".join(soup.get_text().split())
    for point in guide:
        assert point in words
    assert "MARK SCHEME" not in words


def test_inert_leaves_nothing_to_interpret() -> None:
    assert inert("a-1 <b>\r\n$x$\x00") == "a&#45;1&#32;&#60;b&#62;&#10;&#36;x&#36;&#65533;"


def test_guides_are_not_in_nbgraders_feedback(room: ClassRoom, course: Course) -> None:
    room.hand_in(7, _2_why_longer=f"Because the clearance is there. {NASTY}")
    room.mark()
    run(GenerateFeedback, settings_for(room.folder, course), "02-taper")
    html = (room.folder / "feedback" / "007" / "02-taper" / "02-taper.html").read_text(
        encoding="utf-8"
    )
    soup = BeautifulSoup(html, "html.parser")
    (answer,) = soup.find_all("pre", class_="answer")
    assert answer.get_text() == f"Because the clearance is there. {NASTY}"
    assert "Marking guide" not in html
    for question in PAGES["02-taper"].questions:
        if question.by_assessor:
            for point in question.kind.guide:
                assert point not in html
