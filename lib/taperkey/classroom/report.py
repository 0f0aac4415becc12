"""Marking a class and showing how it stands: ``report/index.html`` and ``marks.csv``.

The report is one page that opens from the disk, prints, and needs no network.
It holds no time of day, so the same marks give the same bytes.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from taperkey.classroom.cards import page_template
from taperkey.classroom.classfolder import ClassError, ClassFolder
from taperkey.classroom.hub_drop import collect, give_back
from taperkey.classroom.intake import REASONS, IntakeResult, take_in
from taperkey.classroom.outcomes import (
    COMPETENT_SHARE,
    Outcome,
    SkillStanding,
    common_slips,
    item_figures,
    page_totals,
    skill_standing,
    skills_of,
)
from taperkey.files import write_whole
from taperkey.marking.feedback import write_feedback
from taperkey.marking.records import final_marks, manual_marks, read_records, totals
from taperkey.worksheet.bank import PAGES, page_of
from taperkey.worksheet.question import Practical

if TYPE_CHECKING:
    from taperkey.marking.marker import MarkingResult

__all__ = [
    "MarkedClass",
    "Standings",
    "gather",
    "mark_and_report",
    "plain_cell",
    "release_solutions",
    "status_lines",
    "write_report",
]

Progress = Callable[[int, int], None]
SYMBOLS = {"competent": "✓", "not yet": "✗", "waiting": "…", "not handed in": "–"}
MOST_SET_ASIDE = 40  # lines shown


@dataclass(frozen=True)
class MarkedClass:
    """What a marking run did."""

    intake: IntakeResult
    lines: tuple[str, ...]
    report: Path


def mark_and_report(class_folder: ClassFolder, *, progress: Progress | None = None) -> MarkedClass:
    """Take in the inbox, mark what is new, write feedback and the report.

    Doing it again with nothing new changes no byte of the report.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    progress : callable, optional
        Told how many hand-ins are done, and of how many.

    Returns
    -------
    MarkedClass
        What was taken in, lines to tell, and where the report is.
    """
    from taperkey.marking.marker import mark_class

    with class_folder.alone(), _in_one_sentence():
        collect(class_folder)
        intake = take_in(class_folder)
        result = mark_class(
            folder=class_folder.folder,
            class_code=class_folder.code,
            roster=class_folder.names,
            progress=progress,
        )
        _write_all_feedback(class_folder)
        report = write_report(class_folder)
        give_back(class_folder)
    return MarkedClass(intake, tuple(_told(result)), report)


def _told(result: MarkingResult) -> list[str]:
    marked = len(result.marked)
    lines = [f"{marked} marked, {result.skipped} marked before."]
    return lines + [f"Not marked: {problem}" for problem in result.problems]


def _write_all_feedback(class_folder: ClassFolder) -> int:
    manual = manual_marks(class_folder.folder)
    released = class_folder.released()
    records = [one for one in read_records(class_folder.folder) if one.exercise in PAGES]
    for record in records:
        write_feedback(
            folder=class_folder.folder,
            record=record,
            manual=manual.get((record.number, record.exercise), {}),
            released=record.exercise in released,
            name=class_folder.names.get(record.number, ""),
        )
    return len(records)


def release_solutions(class_folder: ClassFolder) -> int:
    """Put the worked solutions into every feedback page; return how many there are."""
    with class_folder.alone(), _in_one_sentence():
        class_folder.release()
        count = _write_all_feedback(class_folder)
        give_back(class_folder)
        return count


def write_report(class_folder: ClassFolder) -> Path:
    """Write ``report/index.html`` and ``report/marks.csv``; return where the page is."""
    standings = gather(class_folder)
    path = class_folder.report / "index.html"
    write_whole(class_folder.report / "marks.csv", _marks_csv(standings))
    write_whole(path, page_template("report.html.j2").render(**_shown(standings)).encode())
    return path


def _plain(mark: float) -> str:
    return f"{round(mark, 2):g}"


def _label(key: str) -> str:
    return page_of(key).question(key).label


def _who(class_folder: ClassFolder, numbers: Sequence[int]) -> str:
    return ", ".join(f"{class_folder.names[number]} ({number})" for number in numbers)


def _shown(standings: Standings) -> dict[str, Any]:
    """Return what the page template shows."""
    class_folder = standings.class_folder
    skills = skills_of(PAGES.values())
    slips = common_slips(standings.outcomes)
    most = max((len(one.numbers) for one in slips), default=1)
    matrix = [
        {
            "number": f"{one.number:03d}",
            "name": one.name,
            "skills": [standings.skill(one.number, keys) for keys in skills.values()],
        }
        for one in class_folder.roster
    ]
    columns = zip(*(row["skills"] for row in matrix), strict=True)
    return {
        "code": class_folder.code,
        "title": class_folder.title,
        "count": len(class_folder.roster),
        "symbols": SYMBOLS,
        "share": f"{COMPETENT_SHARE:.0%}".replace("%", " %"),
        "skills": list(skills),
        "matrix": matrix,
        "competent": [sum(one.state == "competent" for one in column) for column in columns],
        "pages": [_page_shown(standings, name) for name in PAGES],
        "todo": _to_do(standings),
        "slips": [
            {
                "slip": one.slip,
                "reasons": [(_label(key), text) for key, text in one.reasons.items()],
                "labels": ", ".join(_label(key) for key in one.reasons),
                "count": len(one.numbers),
                "times": one.times,
                "width": round(100 * len(one.numbers) / most),
                "who": _who(class_folder, one.numbers),
            }
            for one in slips
        ],
        "next": [
            {"number": f"{one.number:03d}", "name": one.name, "steps": _next(standings, one.number)}
            for one in class_folder.roster
        ],
        "set_aside": _set_aside_lines(class_folder)[-MOST_SET_ASIDE:],
        "set_aside_count": len(_set_aside_lines(class_folder)),
        "plain": _plain,
    }


def _page_shown(standings: Standings, name: str) -> dict[str, Any]:
    """Return one exercise: its marks so far, and how each question went."""
    page = PAGES[name]
    sums = page_totals(standings.outcomes)
    rows = []
    percents = []
    for one in standings.class_folder.roster:
        total = sums.get((one.number, name))
        if total:
            percent = 100 * total[0] / total[1] if total[1] else 0.0
            percents.append(min(max(percent, 0.0), 100.0))
            rows.append((f"{one.number:03d}", one.name, *total, round(percent)))
    items = []
    for figures in item_figures(page, standings.outcomes):
        question = page.question(figures.key)
        states = figures.states
        items.append(
            {
                "key": figures.key,
                "label": question.label,
                "by_assessor": question.by_assessor,
                "critical": bool(question.critical),
                "states": [states.get(one, 0) for one in ("right", "carried", "slip")]
                + [states.get("wrong", 0) + states.get("unreadable", 0), states.get("blank", 0)]
                + [states.get("marked", 0), states.get("waiting", 0)],
                "difficulty": figures.difficulty,
                "discrimination": figures.discrimination,
                "note": _item_note(figures.difficulty, figures.discrimination),
            }
        )
    return {
        "name": name,
        "title": page.title,
        "handed_in": len(rows),
        "rows": rows,
        "chart": _distribution(percents),
        "items": items,
    }


def _item_note(difficulty: float | None, discrimination: float | None) -> str:
    if difficulty is None:
        return ""
    if discrimination is not None and discrimination < -0.1 and difficulty < 0.8:
        return "Those who did well elsewhere did worse here: look at its wording."
    if difficulty < 0.4:
        return "Hard for this class: take it up again."
    return ""


def _distribution(percents: Sequence[float]) -> str:
    if not percents:
        return ""
    from taperkey.figures.charts import as_svg, draw_marks_distribution

    return as_svg(draw_marks_distribution(percents)).svg


def _to_do(standings: Standings) -> dict[str, Any]:
    """Return what waits for somebody, most urgent first."""
    class_folder = standings.class_folder
    critical: dict[str, list[int]] = {}
    waiting: dict[tuple[str, str], list[int]] = {}
    for one in standings.outcomes:
        question = PAGES[one.page].question(one.key)
        if one.critical:
            critical.setdefault(one.key, []).append(one.number)
        if one.mark is None:
            kind = "practical" if isinstance(question.kind, Practical) else "written"
            waiting.setdefault((one.key, kind), []).append(one.number)
    handed_in = {(one.number, one.page) for one in standings.outcomes}
    missing = {
        page: [one.number for one in class_folder.roster if (one.number, page) not in handed_in]
        for page in PAGES
    }
    return {
        "critical": [
            (_label(key), _who(class_folder, numbers)) for key, numbers in sorted(critical.items())
        ],
        "waiting": [
            (_label(key), kind, len(numbers), _who(class_folder, numbers))
            for (key, kind), numbers in sorted(waiting.items())
        ],
        "missing": [
            (page, _who(class_folder, numbers)) for page, numbers in missing.items() if numbers
        ],
    }


def _next(standings: Standings, number: int) -> list[tuple[str, str]]:
    """Return what one apprentice needs next: a word for the kind, and a sentence."""
    own = standings.of(number)
    steps = []
    critical = [_label(one.key) for one in own if one.critical]
    if critical:
        steps.append(("safety", f"{', '.join(critical)}: go through it together before any pull."))
    pages = {one.page for one in own}
    for page in PAGES:
        if page not in pages:
            steps.append(("hand in", f"Exercise {page} is not handed in."))
    weak: list[str] = []
    for skill, keys in skills_of(PAGES.values()).items():
        if standings.skill(number, keys).state == "not yet":
            lost = [one for one in own if one.key in keys and (one.mark or 0.0) < one.out_of]
            causes = dict.fromkeys(
                one.slip or f"{_label(one.key).lower()} ({_state_words(one)})"
                for one in lost
                if one.mark is not None
            )
            weak.append(skill)
            steps.append(("practise", f"{skill[0].upper()}{skill[1:]}: {', '.join(causes)}."))
    minor = [
        f"{one.slip} ({_label(one.key).lower()})"
        for one in own
        if one.slip and PAGES[one.page].question(one.key).skill not in weak
    ]
    if minor:
        told = ", ".join(dict.fromkeys(minor))
        steps.append(("watch", f"{told[0].upper()}{told[1:]}."))
    out = sum(one.mark is None for one in own)
    if out:
        steps.append(("wait", f"{out} answer{'' if out == 1 else 's'} with the assessor."))
    return steps or [("go on", "Nothing open: go on to the next exercise.")]


def _state_words(one: Outcome) -> str:
    if one.state == "marked":
        return f"{_plain(one.mark or 0.0)} of {_plain(one.out_of)}"
    return {"blank": "left blank", "unreadable": "could not be read"}.get(one.state, "not right")
