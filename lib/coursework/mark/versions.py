"""Versions: short digests of what a mark depends on, kept in every record.

Twelve hexadecimal digits each. A changed question, job card or marker shows as
another version, and nobody has to remember to raise a number.
"""

from __future__ import annotations

import hashlib
import json
import sys
from collections.abc import Callable
from dataclasses import asdict
from functools import cache
from pathlib import Path

import taperkey
from coursework.card import JobCard
from coursework.course import course
from coursework.judging import right_answers
from coursework.mark.sources import digest_of, modules_in, packages_of, source_files
from coursework.question import (
    Answer,
    ByAssessor,
    Choice,
    Measure,
    Ordering,
    Page,
    PictureMarks,
    Question,
)

__all__ = [
    "card_version",
    "course_folders",
    "judged_by",
    "marker_version",
    "one_question_version",
    "question_version",
]

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
    elif isinstance(kind, ByAssessor):
        detail = list(kind.guide)
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
def marker_version(read: Callable[[Path], bytes] = Path.read_bytes) -> str:
    """Return the version of everything that a mark can depend on.

    That is the text of the marker and of the questions, of whatever they import, and of the data
    beside: a change of any byte of it marks every hand-in again.

    Parameters
    ----------
    read : callable, optional
        Reads a file.
    """
    lib = Path(taperkey.__file__).parents[1]
    return digest_of(judged_by(lib), lib=lib, read=read)


def judged_by(lib: Path) -> tuple[Path, ...]:
    """Return the files that a mark depends on, where our packages lie in this folder."""
    asked = sorted({*course().modules, *modules_in(course())})
    return source_files(lib=lib, modules=[f"{__package__}.marker", *asked])


def course_folders() -> tuple[Path, ...]:
    """Return the packages that marks and pages can depend on: ours, and those of the course."""
    lib = Path(taperkey.__file__).parents[1]
    found = {lib / name for name in packages_of(lib, __name__.split(".", 1)[0])}
    found.add(course().folder)
    for name in {*course().modules, *modules_in(course())}:
        package = sys.modules.get(name.split(".", 1)[0])
        found |= {Path(one) for one in getattr(package, "__path__", ())}
    return tuple(sorted(found))
