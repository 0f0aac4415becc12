"""Versions: short digests of what a mark depends on, kept in every record.

Twelve hexadecimal digits each. A changed question, job card or marker shows as
another version, and nobody has to remember to raise a number.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict
from functools import cache
from pathlib import Path

import taperkey
from taperkey.jobcard import JobCard
from taperkey.questions.judging import right_answers
from taperkey.questions.question import (
    Answer,
    Choice,
    Measure,
    Ordering,
    Page,
    PictureMarks,
    Practical,
    Question,
    Written,
)

__all__ = ["card_version", "marker_version", "one_question_version", "question_version"]

_FIGURES = 9  # kept of a right answer: beyond them machines may differ


def _digest(fields: object) -> str:
    text = json.dumps(fields, ensure_ascii=False, sort_keys=True)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:12]


def _about(question: Question) -> list[object]:
    kind = question.kind
    detail: object = ""
    if isinstance(kind, Measure):
        detail = [kind.dimension, kind.unit]
    elif isinstance(kind, (Choice, PictureMarks)):
        detail = list(kind.options)
    elif isinstance(kind, Ordering):
        detail = list(kind.steps)
    elif isinstance(kind, (Written, Practical)):
        detail = kind.guide
    return [
        question.key,
        question.ask,
        question.marks,
        type(kind).__name__,
        detail,
        question.critical,
        list(question.needs),
        [[slip.name, slip.share, slip.sentence] for slip in question.slips],
        _about(question.metric) if question.metric is not None else "",
    ]


def one_question_version(question: Question) -> str:
    """Return the version of one question: wording, kind, marks, guide and known slips."""
    return _digest(_about(question))


def question_version(page: Page) -> str:
    """Return the version of a page's questions, all together."""
    return _digest([page.name, [_about(question) for question in page.questions]])


def card_version(*, page: Page, card: JobCard) -> str:
    """Return the version of a job card with the right answers and tolerances that go with it."""
    right = right_answers(page, card)
    sums = [
        [key, _rounded(answer), _rounded(page.question(key).on(card).tolerance(card, right))]
        for key, answer in right.items()
    ]
    return _digest([json.loads(json.dumps(asdict(card), default=str)), sums])


def _rounded(answer: Answer) -> object:
    return f"{answer:.{_FIGURES}g}" if isinstance(answer, (int, float)) else answer


@cache
def marker_version() -> str:
    """Return the version of everything that a mark can depend on.

    That is the text of the rooms from the units to the questions and of the marker, so a change
    in any of them marks every hand-in again.
    """
    root = Path(taperkey.__file__).parent
    rooms = ("unit_table", "units", "checks", "tables", "formulas", "bench", "jobcard", "worksheet")
    paths = [root / "marking" / "marker.py", root / "marking" / "pages.py"]
    for room in rooms:
        single = root / f"{room}.py"
        found = [single] if single.is_file() else (root / room).rglob("*")
        paths += [path for path in found if path.suffix in (".py", ".csv")]
    digest = hashlib.sha256()
    for path in sorted(paths):
        digest.update(path.relative_to(root).as_posix().encode("utf-8") + b"\0")
        digest.update(path.read_bytes().replace(b"\r\n", b"\n") + b"\0")
    return digest.hexdigest()[:12]
