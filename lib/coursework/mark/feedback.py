"""The feedback page: one printable page per hand-in, for the apprentice.

Every entry as it was typed, its mark, how it was judged in words, and why. The
right values and the worked solution, on the apprentice's own numbers, are on it
only after the instructor releases them; before, no expected value is anywhere.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment
from markupsafe import Markup

from coursework.card import JobCard
from coursework.course import PAGES, issue_card
from coursework.ink import look
from coursework.ink.signs import must_be_right
from coursework.ink.templates import templates_in
from coursework.judging import right_answers, show_answer
from coursework.mark.inert import shown
from coursework.mark.lateness import Lateness, local_text, utc_of
from coursework.mark.records import (
    ManualMark,
    MarkRecord,
    Moderation,
    Totals,
    final_marks,
    totals,
)
from coursework.question import (
    Practical,
    Question,
    Verdict,
    WorkedLine,
    Written,
)
from taperkey.counts import plural
from taperkey.files import write_whole

__all__ = ["feedback_path", "write_feedback"]

#: State: symbol, words, kind of look. Words and symbol say it; color only repeats it.
_STATES = {
    "right": ("✓", "Right", "good"),
    "carried": ("✓", "Right, worked on from your earlier entry", "good"),
    "slip": ("△", "A known slip", "part"),
    "wrong": ("✗", "Not right", "off"),
    "blank": ("–", "Left blank", "off"),
    "unreadable": ("?", "Could not be read", "off"),
    "waiting": ("…", "Waiting for the assessor", "open"),
}


@dataclass(frozen=True, kw_only=True)
class _Entry:
    """What the page shows of one question."""

    number: int
    label: str
    ask: str
    kind: str
    entered: str
    symbol: str
    words: str
    look: str
    mark: str
    out_of: str
    reason: str
    critical: bool
    comment: str
    moderated: str
    answer: str
    lines: tuple[WorkedLine, ...]
    picture: Markup


def feedback_path(*, folder: Path, number: int, exercise: str) -> Path:
    """Return where the feedback page of one apprentice and exercise lies."""
    return folder / "feedback" / f"{number:03d}" / f"{exercise}.html"


def write_feedback(
    *,
    folder: Path,
    record: MarkRecord,
    manual: Mapping[str, ManualMark] | None = None,
    released: bool,
    name: str = "",
    late: Lateness | None = None,
    late_rule: str = "",
) -> Path:
    """Write the feedback page of one record.

    Parameters
    ----------
    folder : Path
        The class folder.
    record : MarkRecord
        What was judged.
    manual : mapping of str to ManualMark, optional
        What the assessor gave, by question.
    released : bool
        Whether right values and worked solutions may be shown.
    name : str
        The apprentice's name, or empty.
    late : Lateness, optional
        How it stands to its due date.
    late_rule : str
        The late policy in a sentence, or empty.

    Returns
    -------
    Path
        The page.
    """
    page = PAGES[record.exercise]
    given = manual or {}
    marks = final_marks(record, given)
    sums = totals(record, given)
    card = issue_card(
        exercise=record.exercise,
        class_code=record.class_code,
        number=record.number,
        attempt=record.attempt,
    )
    solutions = _solutions(card) if released else {}
    entries = []
    for place, question in enumerate((asked.on(card) for asked in page.questions), start=1):
        verdict = record.verdict(question.key)
        if verdict is not None:
            entries.append(
                _entry(
                    place,
                    question,
                    verdict,
                    given.get(question.key),
                    record.moderations.get(question.key),
                    marks[question.key],
                    sums,
                    *solutions.get(question.key, ("", (), "")),
                )
            )
    text = (
        _sheet()
        .get_template("feedback.html.j2")
        .render(
            title=page.title,
            class_code=record.class_code,
            attempt=record.attempt,
            number=f"{record.number:03d}",
            name=shown(name),
            made=local_text(late.handed_in) if late else local_text(utc_of(record.made)),
            due=local_text(late.due) if late and late.due else "",
            late=late.words if late else "",
            keeps=_number(100 * late.keeps) if late else "100",
            counts=_number(sums.marked * late.keeps) if late else _number(sums.marked),
            late_rule=late_rule,
            mark=_number(sums.marked),
            out_of=_number(sums.marked_out_of),
            marks=plural("mark", sums.marked_out_of),
            waiting=len(sums.waiting),
            waiting_marks=_number(sums.out_of - sums.marked_out_of),
            all_marks=_number(sums.out_of),
            critical=[one.label for one in entries if one.critical],
            entries=entries,
            released=released,
        )
    )
    path = feedback_path(folder=folder, number=record.number, exercise=record.exercise)
    write_whole(path, text.encode("utf-8"))
    return path


@cache
def _sheet() -> Environment:
    sheet = templates_in(Path(__file__).resolve().parent / "templates")
    sheet.globals["look"] = Markup(look.token_style() + look.drawing_rules())  # our own sheet
    sheet.globals["must_be_right"] = lambda: Markup(must_be_right())  # our own drawing
    return sheet


def _number(value: float) -> str:
    return f"{round(value, 2):g}"


def _entry(
    place: int,
    question: Question,
    verdict: Verdict,
    by_hand: ManualMark | None,
    act: Moderation | None,
    mark: float,
    sums: Totals,
    answer: str,
    lines: tuple[WorkedLine, ...],
    picture: str,
) -> _Entry:
    symbol, words, look = _STATES[verdict.state]
    reason = verdict.reason
    points = _number(mark)
    if act is not None and question.key not in sums.waiting:
        symbol, words = "✎", "Mark changed by the assessor"
        look = "good" if mark >= verdict.out_of else "part" if mark > 0 else "off"
        reason = "" if verdict.state == "waiting" else f"Judged first: {reason}"
    elif question.key in sums.waiting:
        symbol, words, look = _STATES["waiting"]
        if verdict.state == "waiting":
            reason = ""
            points = points if by_hand and by_hand.score is not None else "–"
    elif by_hand is not None and by_hand.score is not None:
        symbol, words = "✎", "Marked by the assessor"
        look = "good" if mark >= verdict.out_of else "part" if mark > 0 else "off"
        if verdict.state == "waiting":
            reason = ""
    kind: Any = question.kind
    return _Entry(
        number=place,
        label=question.label,
        ask=question.ask,
        kind="practical"
        if isinstance(kind, Practical)
        else "written"
        if isinstance(kind, Written)
        else "entry",
        entered=shown(verdict.entered).strip("\n"),
        symbol=symbol,
        words=words,
        look=look,
        mark=points,
        out_of=_number(verdict.out_of),
        reason=reason,
        critical=question.key in sums.critical,
        comment=shown(by_hand.comment).strip() if by_hand else "",
        moderated=_moderated(act, verdict.out_of) if act else "",
        answer=answer,
        lines=lines,
        picture=Markup(picture),  # drawn by the course
    )


def _moderated(act: Moderation, out_of: float) -> str:
    """Return who changed a mark, when, from what, and why."""
    mark = _number(min(max(act.mark or 0.0, 0.0), out_of))
    before = "no mark yet" if act.instead_of is None else _number(act.instead_of)
    return f"{mark} instead of {before}, {act.by}, {act.at[:10]}: {shown(act.reason)}"


def _solutions(card: JobCard) -> dict[str, tuple[str, tuple[WorkedLine, ...], str]]:
    """Return the right value, the worked solution and the picture of each question."""
    page = PAGES[card.exercise]
    right = right_answers(page, card)
    solutions = {}
    for question in (asked.on(card) for asked in page.questions):
        lines = tuple(question.worked(card, right))
        answer = show_answer(question, right[question.key]) if question.key in right else ""
        if lines and lines[-1].result == answer:
            answer = ""  # the last line says it already
        picture = question.picture(card) if question.picture is not None else ""
        solutions[question.key] = (answer, lines, picture)
    return solutions
