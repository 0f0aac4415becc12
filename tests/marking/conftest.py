"""A small class: masters made from the questions, released pages, hand-ins."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import nbformat
import pytest

from coursework import course as engine
from coursework.course import PAGES, issue_card
from coursework.judging import right_answers, show_answer
from coursework.mark.gradebook import scheme
from coursework.mark.marker import MarkingResult, mark_class
from coursework.mark.pages import guide_text
from coursework.mark.release import build_release
from coursework.page.handin import read_hand_in, write_hand_in
from coursework.question import (
    Measure,
    Page,
    Practical,
    Written,
)
from taperkey.files import write_whole
from taperkey.units import from_internal

CLASS = "QQ-26"
ROSTER = {7: "Ada Marl", 8: "Bo Flint", 9: "Cy Shale"}
VERSION = "0123456789ab"


def master_of(page: Page) -> Any:
    """Return a bare master notebook of a page: an entry cell a question, and a worked solution."""
    new = nbformat.v4
    opening = f'from keycourse import lesson\n\nlesson.open("{page.name}")'
    cells = [
        new.new_markdown_cell(f"# {page.title}", id="intro"),
        new.new_code_cell(opening, id="set-up"),
    ]

    def about(key: str, **more: Any) -> dict[str, Any]:
        base = {"grade_id": key, "schema_version": 3, "grade": False, "solution": False}
        return {"nbgrader": base | {"locked": True, "task": False} | more}

    for question in page.questions:
        ask = f'lesson.ask("{question.key}")'
        if question.by_assessor:
            assert isinstance(question.kind, (Written, Practical))
            text = f"### {question.label}\n\n{question.ask}\n\n{scheme(guide_text(question.kind))}"
            more = about(question.key, task=True, points=question.marks, cell_type="markdown")
            cells.append(new.new_markdown_cell(text, id=question.key, metadata=more))
            if isinstance(question.kind, Written):
                cells.append(new.new_code_cell(ask, id=f"answer-{question.key}"))
        else:
            more = about(question.key, grade=True, points=question.marks, cell_type="code")
            cells.append(new.new_code_cell(ask, id=question.key, metadata=more))
    worked = f'### BEGIN SOLUTION\nlesson.solution("{page.name}")\n### END SOLUTION'
    more = about(f"{page.name}-worked", solution=True, locked=False, cell_type="code")
    cells.append(new.new_code_cell(worked, id="worked", metadata=more))
    for cell in cells:
        cell.metadata.update({"editable": False, "deletable": False})
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    about_page = {"kernelspec": kernel, "taperkey": {"page": page.name}}
    return new.new_notebook(cells=cells, metadata=about_page)


def use_instead(monkeypatch: pytest.MonkeyPatch, page: Page) -> None:
    """Put a page in the place of the course's own of that name."""
    now = engine.course()
    pages = tuple(page if one.name == page.name else one for one in now.pages)
    monkeypatch.setattr(engine, "_in_use", [replace(now, pages=pages)])


def write_masters(folder: Path) -> Path:
    for page in PAGES.values():
        path = folder / page.name / f"{page.name}.ipynb"
        path.parent.mkdir(parents=True)
        nbformat.write(master_of(page), path)
    return folder


@dataclass
class Course:
    solutions: Path
    exercises: Path


@pytest.fixture(scope="session")
def course(tmp_path_factory: pytest.TempPathFactory) -> Course:
    root = tmp_path_factory.mktemp("course")
    made = Course(write_masters(root / "solutions"), root / "exercises")
    build_release(solutions=made.solutions, exercises=made.exercises)
    return made


def full_entries(exercise: str, number: int) -> dict[str, str]:
    """Return right entries, typed with many decimals, and something written."""
    page = PAGES[exercise]
    card = issue_card(exercise=exercise, class_code=CLASS, number=number)
    entries: dict[str, str] = {}
    for question in page.questions:
        kind = question.kind
        if isinstance(kind, Written):
            entries[question.key] = "Because the clearance is there."
    for key, answer in right_answers(page, card).items():
        kind = page.question(key).kind
        if isinstance(kind, Measure):
            assert isinstance(answer, float)
            number_ = from_internal(answer, dimension=kind.dimension, unit=kind.unit)
            entries[key] = f"{number_:.9f} {kind.unit}".strip()
        else:
            entries[key] = show_answer(page.question(key).on(card), answer)
    return entries


@dataclass
class ClassRoom:
    folder: Path
    course: Course
    steps: list[tuple[int, int]] = field(default_factory=list)

    def hand_in(
        self,
        number: int,
        exercise: str = "02-taper",
        *,
        made: str = "2026-11-25T12:00:00Z",
        inbox: Path | None = None,
        **changes: str,
    ) -> Path:
        """Keep a hand-in with right entries, except for the changes (key with _ for -)."""
        entries = full_entries(exercise, number)
        entries |= {"0" + key[1:].replace("_", "-"): text for key, text in changes.items()}
        sent = write_hand_in(
            folder=inbox or self.folder / "inbox",
            class_code=CLASS,
            number=number,
            page=exercise,
            page_version=VERSION,
            entries=entries,
            made=made,
        )
        content = sent.read_bytes()
        word = read_hand_in(content).sha256[:8]
        name = f"{made.replace(':', '')}-{word}.json"
        kept = self.folder / "hand-ins" / f"{number:03d}" / exercise / name
        write_whole(kept, content)
        return kept

    def mark(self) -> MarkingResult:
        return mark_class(
            folder=self.folder,
            class_code=CLASS,
            roster=ROSTER,
            exercises=self.course.exercises,
            progress=lambda done, total: self.steps.append((done, total)),
        )


@pytest.fixture
def make_class(tmp_path: Path, course: Course) -> Callable[[str], ClassRoom]:
    def make(name: str) -> ClassRoom:
        folder = tmp_path / name
        folder.mkdir()
        return ClassRoom(folder, course)

    return make


@pytest.fixture
def room(make_class: Callable[[str], ClassRoom]) -> ClassRoom:
    return make_class("class")
