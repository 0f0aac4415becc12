"""The released page, and the notebook that the assessor sees, built from it.

Of a hand-in only the raw text of known questions goes in, and that as inert
text: neither HTML nor markdown nor mathematics nor one of nbgrader's own marks.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import nbformat
from nbformat import NotebookNode

from coursework.course import PAGES
from coursework.mark.inert import inert, shown
from coursework.mark.judged import MarkingError
from coursework.question import (
    ByAssessor,
    Page,
    Question,
    Verdict,
    Written,
)

__all__ = [
    "guide_text",
    "guides",
    "notebook_text",
    "rebuild",
    "released_page",
]

_GUIDE = re.compile(r"^.*BEGIN MARK SCHEME.*$", re.MULTILINE)
_HIDDEN = ("<!-- BEGIN MARK SCHEME -->", "<!-- END MARK SCHEME -->")  # nbgrader's marks, unseen


def guide_text(kind: ByAssessor) -> str:
    """Return a marking guide as markdown: a point a line, sample answers, what earns nothing."""
    parts = ["\n".join(f"- {point}" for point in kind.points)]
    if isinstance(kind, Written) and kind.samples:
        out_of = len(kind.guide)
        parts += [f"*Earns {earned} of {out_of}:* “{text}”" for earned, text in kind.samples]
        parts += [f"*Earns nothing by itself:* {'; '.join(kind.unrewarded)}."]
    return "\n\n".join(parts)


def guides(page: Page) -> dict[str, str]:
    """Return the marking guides of a page by question key."""
    return {
        question.key: guide_text(question.kind)
        for question in page.questions
        if isinstance(question.kind, ByAssessor)
    }


def released_page(*, exercises: Path, exercise: str) -> Any:
    """Read a released page, without anything it may have shown.

    Raises
    ------
    MarkingError
        One sentence, where it is not there or does not hold the questions.
    """
    path = exercises / exercise / f"{exercise}.ipynb"
    try:
        page: Any = nbformat.read(path, as_version=4)  # type: ignore[no-untyped-call]
    except Exception as error:
        raise MarkingError(
            f"The released page {path} cannot be read. Make the released pages again from their "
            "masters."
        ) from error
    held = set()
    for cell in page.cells:
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None
        about = cell.metadata.get("nbgrader", {})
        if about.get("grade") or about.get("task"):
            held.add(about["grade_id"])
    wanted = {question.key for question in PAGES[exercise].questions}
    if held != wanted:
        raise MarkingError(
            f"The released page {exercise} does not hold the course's questions "
            f"({', '.join(sorted(held ^ wanted))}). Make the released pages again from their "
            "masters."
        )
    return page


def rebuild(*, page: Any, questions: Page, verdicts: Sequence[Verdict]) -> Any:
    """Return the notebook that the assessor sees, built from the released page.

    Parameters
    ----------
    page : notebook
        The released page; left as it is.
    questions : Page
        Its questions.
    verdicts : sequence of Verdict
        One a question.
    """
    judged = {verdict.key: verdict for verdict in verdicts}
    notebook = NotebookNode(page)  # type: ignore[no-untyped-call]
    notebook.cells = [_marked(cell, questions, judged) for cell in page.cells]
    return notebook


def _marked(cell: Any, questions: Page, judged: Mapping[str, Verdict]) -> Any:
    """Return the cell as the assessor sees it: a new one, or this very one where it is the same."""
    about = cell["metadata"].get("nbgrader", {})
    verdict = judged.get(about.get("grade_id", ""))
    judging = verdict is not None and (about.get("task") or about.get("grade"))
    if not (judging or cell.get("outputs") or cell.get("execution_count") is not None):
        return cell
    cell = NotebookNode(cell)  # type: ignore[no-untyped-call]
    if cell.cell_type == "code":
        cell.outputs, cell.execution_count = [], None
    if verdict is not None and about.get("task"):
        cell.source = _task_source(cell.source, questions.question(verdict.key), verdict)
    elif verdict is not None and about.get("grade"):
        cell.outputs = _outputs(verdict)
    return cell


def notebook_text(notebook: Any) -> str:
    """Return a notebook as JSON that nbformat reads; without line breaks it is written quickly."""
    return json.dumps(notebook, ensure_ascii=False)


def _outputs(verdict: Verdict) -> list[Any]:
    entered = shown(verdict.entered).strip()
    lines = [f"Entry: {entered}" if entered else "No entry", verdict.reason]
    if verdict.slip:
        lines.append(f"Slip: {verdict.slip}")
    if verdict.critical:
        lines.insert(0, "MUST BE RIGHT, AND IS NOT")
    lines.append(f"Mark: {verdict.mark:g} of {verdict.out_of:g}")
    outputs: list[dict[str, Any]] = [
        {"output_type": "display_data", "data": {"text/plain": "\n".join(lines)}, "metadata": {}},
        {
            "output_type": "execute_result",
            "data": {"text/plain": str(float(verdict.mark))},
            "metadata": {},
            "execution_count": None,
        },
    ]
    return [NotebookNode(one) for one in outputs]  # type: ignore[no-untyped-call]


def _task_source(source: str, question: Question, verdict: Verdict) -> str:
    parts = [_GUIDE.split(source)[0].rstrip()]
    if isinstance(question.kind, Written):
        if verdict.entered.strip():
            answer = inert(verdict.entered.strip("\n"))
            parts.append(
                "**The apprentice wrote:**\n\n"
                f'<pre class="answer" style="white-space: pre-wrap">{answer}</pre>'
            )
        else:
            parts.append("**The apprentice wrote nothing.**")
    if isinstance(question.kind, ByAssessor):
        points = guide_text(question.kind)
        parts.append(f"{_HIDDEN[0]}\n\n**Marking guide**\n\n{points}\n\n{_HIDDEN[1]}")
    return "\n\n".join(parts)
