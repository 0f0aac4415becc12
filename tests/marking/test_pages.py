"""The marked page: the released one is left as it is, and nbformat reads the text as it was."""

from __future__ import annotations

import copy
from typing import Any

import nbformat
import pytest
from nbformat import NotebookNode

from coursework.course import PAGES, issue_card
from coursework.judging import judge_page
from coursework.mark.pages import notebook_text, rebuild, released_page

from .conftest import CLASS, Course, full_entries


def marked(course: Course, exercise: str) -> tuple[Any, Any]:
    page = released_page(exercises=course.exercises, exercise=exercise)
    card = issue_card(exercise=exercise, class_code=CLASS, number=7)
    entries = full_entries(exercise, 7)
    first = next(iter(entries))
    entries[first] = 'Zeile 1\n"quoted" \\ ½ <b>\r\nlast'
    verdicts = judge_page(PAGES[exercise], card, entries)
    return page, rebuild(page=page, questions=PAGES[exercise], verdicts=verdicts)


@pytest.mark.parametrize("exercise", PAGES)
def test_nbformat_reads_the_text_as_what_it_writes_itself(course: Course, exercise: str) -> None:
    page, notebook = marked(course, exercise)
    for one in (page, notebook):
        again = nbformat.reads(notebook_text(one), as_version=4)
        nbformat.validate(again)
        assert again == nbformat.reads(nbformat.v4.writes(one), as_version=4)


@pytest.mark.parametrize("exercise", PAGES)
def test_the_released_page_stays_as_it_is(course: Course, exercise: str) -> None:
    before = released_page(exercises=course.exercises, exercise=exercise)
    untouched = copy.deepcopy(before)
    page, notebook = marked(course, exercise)
    assert page == untouched
    assert notebook != page
    shared = sum(one is other for one, other in zip(page.cells, notebook.cells, strict=True))
    assert 0 < shared < len(page.cells)  # only what is marked is made anew


def test_what_a_page_has_shown_is_taken_out(course: Course) -> None:
    exercise = next(iter(PAGES))
    page = released_page(exercises=course.exercises, exercise=exercise)
    shown = NotebookNode(copy.deepcopy(page))
    for cell in shown.cells:
        if cell.cell_type == "code":
            cell.execution_count = 3
            cell.outputs = [nbformat.v4.new_output("stream", text="seen")]
    rebuilt = rebuild(page=shown, questions=PAGES[exercise], verdicts=())
    assert all(
        cell.outputs == [] and cell.execution_count is None
        for cell in rebuilt.cells
        if cell.cell_type == "code"
    )
    assert any(cell.get("outputs") for cell in shown.cells)
