"""Released pages: made from the masters, without solutions, the same each time."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import nbformat
import pytest

from coursework.course import PAGES
from coursework.mark.release import (
    STUB,
    ReleaseError,
    build_release,
    check_release,
    main,
)

from .conftest import Course


@pytest.fixture
def copied(course: Course, tmp_path: Path) -> Course:
    shutil.copytree(course.solutions, tmp_path / "solutions")
    shutil.copytree(course.exercises, tmp_path / "exercises")
    return Course(tmp_path / "solutions", tmp_path / "exercises")


def change_master(course: Course, change: Callable[[Any], object], name: str = "02-taper") -> None:
    path = course.solutions / name / f"{name}.ipynb"
    master = nbformat.read(path, as_version=4)
    change(master)
    nbformat.write(master, path)


def cell(notebook: Any, name: str) -> Any:
    return next(one for one in notebook.cells if one.id == name)


def test_release_takes_out_solutions_and_guides(course: Course) -> None:
    for name, page in PAGES.items():
        text = (course.exercises / name / f"{name}.ipynb").read_text(encoding="utf-8")
        assert "lesson.solution" not in text
        assert "MARK SCHEME" not in text
        for question in page.questions:
            if question.by_assessor:
                for point in question.kind.guide:
                    assert point not in text
            assert f'"grade_id": "{question.key}"' in text
        released = nbformat.read(course.exercises / name / f"{name}.ipynb", as_version=4)
        assert cell(released, "worked").source == STUB
        exec(STUB, {})  # runs, and shows nothing
        assert len(released.metadata.taperkey.version) == 12
        assert released.metadata.taperkey.page == name
        assert all(not one.get("outputs") for one in released.cells)


def test_release_is_the_same_each_time(copied: Course, tmp_path: Path) -> None:
    other = tmp_path / "again"
    assert build_release(solutions=copied.solutions, exercises=other) == list(PAGES)
    for path in sorted(other.rglob("*.ipynb")):
        there = copied.exercises / path.relative_to(other)
        assert path.read_bytes() == there.read_bytes()


def test_outputs_in_a_master_change_nothing(copied: Course) -> None:
    def show(master: Any) -> None:
        output = nbformat.v4.new_output("stream", text="0.1250 in/ft")
        cell(master, "set-up").outputs = [output]
        cell(master, "set-up").execution_count = 4

    change_master(copied, show)
    assert check_release(solutions=copied.solutions, exercises=copied.exercises) == []


def test_version_changes_with_the_words(copied: Course) -> None:
    path = copied.exercises / "02-taper" / "02-taper.ipynb"
    before = nbformat.read(path, as_version=4).metadata.taperkey.version

    def reword(master: Any) -> None:
        cell(master, "intro").source += " Again."

    change_master(copied, reword)
    assert check_release(solutions=copied.solutions, exercises=copied.exercises) == [
        "02-taper/02-taper.ipynb differs from what its master gives. Make the released pages again."
    ]
    build_release(solutions=copied.solutions, exercises=copied.exercises)
    assert nbformat.read(path, as_version=4).metadata.taperkey.version != before


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            lambda master: cell(master, "02-ratio").metadata.nbgrader.update(points=7),
            f"02-ratio is 7 points on the page 02-taper; it must be "
            f"{PAGES['02-taper'].question('02-ratio').marks:g}, as its question says. Change one "
            "of them.",
        ),
        (
            lambda master: master.cells.remove(cell(master, "02-ratio")),
            "02-taper has no entry for 02-ratio. Add it to the master.",
        ),
        (
            lambda master: cell(master, "02-ratio").metadata.nbgrader.update(grade_id="02-odd"),
            "02-taper has no entry for 02-ratio. Add it to the master.",
        ),
        (
            lambda master: cell(master, "set-up").update(source="lesson.solution('02-ratio')"),
            "02-taper would still show “lesson.solution(” when released. Put it between the marks "
            "of a solution or of a mark scheme in the master.",
        ),
        (
            lambda master: cell(master, "worked").update(source="### BEGIN SOLUTION\nx = 1"),
            "02-taper cannot be released: no end solution statement found. Correct "
            "the master and run this again.",
        ),
    ],
)
def test_a_master_that_does_not_fit_is_refused(
    copied: Course, change: Callable[[Any], object], sentence: str
) -> None:
    before = (copied.exercises / "01-measure" / "01-measure.ipynb").read_bytes()
    change_master(copied, change)
    with pytest.raises(ReleaseError) as refused:
        build_release(solutions=copied.solutions, exercises=copied.exercises)
    assert str(refused.value) == sentence
    assert (copied.exercises / "01-measure" / "01-measure.ipynb").read_bytes() == before


def another_entry(course: Course) -> None:
    def add(master: Any) -> None:
        more = nbformat.from_dict(dict(cell(master, "02-ratio")))
        more["id"] = "02-gift"
        more.metadata.nbgrader.update(grade_id="02-gift")
        master.cells.append(more)

    change_master(course, add)


def another_name(course: Course) -> None:
    (course.solutions / "02-taper" / "02-taper.ipynb").rename(
        course.solutions / "02-taper" / "02-taper (1).ipynb"
    )


def another_exercise(course: Course) -> None:
    place = course.solutions / "08-belt"
    place.mkdir()
    shutil.copy(course.solutions / "02-taper" / "02-taper.ipynb", place / "08-belt.ipynb")


def no_masters(course: Course) -> None:
    shutil.rmtree(course.solutions)
    course.solutions.mkdir()


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            another_entry,
            "02-taper has an entry 02-gift that is no question of it. Take it out of the master, "
            "or add the question.",
        ),
        (
            another_name,
            "02-taper holds 02-taper (1).ipynb; a master must have the name of its folder. Rename "
            "it.",
        ),
        (
            another_exercise,
            f"08-belt is not an exercise of the course; it must be one of: {', '.join(PAGES)}. "
            "Rename the master, or add its questions.",
        ),
        (no_masters, "There is no master in {folder}. Look at the folder's name."),
    ],
)
def test_masters_that_are_not_those_of_the_course_are_refused(
    copied: Course, change: Callable[[Course], object], sentence: str
) -> None:
    before = (copied.exercises / "01-measure" / "01-measure.ipynb").read_bytes()
    change(copied)
    with pytest.raises(ReleaseError) as refused:
        build_release(solutions=copied.solutions, exercises=copied.exercises)
    assert str(refused.value) == sentence.replace("{folder}", str(copied.solutions))
    assert (copied.exercises / "01-measure" / "01-measure.ipynb").read_bytes() == before


def test_a_released_page_without_a_master_is_told(copied: Course) -> None:
    left = copied.exercises / "08-belt" / "08-belt.ipynb"
    left.parent.mkdir()
    left.write_text("{}")
    assert check_release(solutions=copied.solutions, exercises=copied.exercises) == [
        "08-belt/08-belt.ipynb has no master in solutions. Delete it."
    ]


def test_command_checks(copied: Course, capsys: pytest.CaptureFixture[str]) -> None:
    folders = [str(copied.solutions), str(copied.exercises)]
    assert main([*folders, "--check"]) == 0
    (copied.exercises / "02-taper" / "02-taper.ipynb").unlink()
    assert main([*folders, "--check"]) == 1
    assert capsys.readouterr().err == (
        "02-taper/02-taper.ipynb is not in exercises. Make the released pages again.\n"
    )
    assert main(folders) == 0
    assert main([*folders, "--check"]) == 0
    assert main([str(copied.exercises / "nowhere"), folders[1]]) == 1


def test_answers_beside_a_master_are_not_shipped(copied: Course) -> None:
    (copied.solutions / "02-taper" / "answers.json").write_text("{}", encoding="utf-8")
    (copied.solutions / "02-taper" / "sketch.txt").write_text("a sketch", encoding="utf-8")
    build_release(solutions=copied.solutions, exercises=copied.exercises)
    assert not (copied.exercises / "02-taper" / "answers.json").exists()
    assert (copied.exercises / "02-taper" / "sketch.txt").read_text(encoding="utf-8") == "a sketch"


def test_shipped_pages_agree_with_their_masters() -> None:
    root = Path(__file__).parents[2]
    solutions, exercises = root / "solutions", root / "exercises"
    assert check_release(solutions=solutions, exercises=exercises) == []
