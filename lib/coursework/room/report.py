"""The class report: how the class stands, on one page, with ``marks.csv`` beside it.

The report opens from the disk, prints, and needs no network. It holds no time
of day that was not there before, so the same marks give the same bytes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from coursework.check import TIMES, gains
from coursework.course import PAGES, page_of
from coursework.ink.charts import draw_check_gains, draw_marks_distribution
from coursework.mark.byhand import ByHand
from coursework.mark.replaced import read_replaced
from coursework.question import Practical
from coursework.room.cards import page_template
from coursework.room.changes import WHAT_TO_DO, fit_words, lost_words, side_words
from coursework.room.classfolder import ClassFolder
from coursework.room.flags import A_QUESTION, flags
from coursework.room.gains import checks_done
from coursework.room.marks import marks_csv, plain
from coursework.room.nextsteps import (
    label,
    next_steps,
    numbered_labels,
    who,
)
from coursework.room.outcomes import (
    common_slips,
    item_figures,
    pass_share_text,
    skills_of,
)
from coursework.room.signing import failed_words, standing_why
from coursework.room.skillsrecord import skills_record_link, write_skills_records
from coursework.room.standings import Standings, gather
from coursework.room.status import set_aside_lines
from coursework.room.teachnext import write_teach_next
from taperkey.files import write_whole

__all__ = ["write_report"]

WIDE_MATRIX = 10  # skills; from there on its cells hold signs only
SYMBOLS = {"competent": "✓", "not yet": "✗", "waiting": "…", "not handed in": "–"}
MOST_SET_ASIDE = 40  # lines shown


def write_report(class_folder: ClassFolder, *, manual: ByHand | None = None) -> Path:
    """Write the report, ``marks.csv`` and the skills records; return where the page is.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    manual : mapping, optional
        What the assessor gave, where it was read just now.
    """
    standings = gather(class_folder, manual=manual).present()
    path = class_folder.report / "index.html"
    write_whole(class_folder.report / "marks.csv", marks_csv(standings))
    write_skills_records(standings)
    write_teach_next(standings)
    write_whole(path, page_template("report.html.j2").render(**_shown(standings)).encode())
    return path


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
            "link": skills_record_link(one.number),
            "skills": [standings.skill(one.number, keys) for keys in skills.values()],
        }
        for one in class_folder.present
    ]
    columns = zip(*(row["skills"] for row in matrix), strict=True)
    return {
        "code": class_folder.code,
        "title": class_folder.title,
        "count": len(class_folder.present),
        "symbols": SYMBOLS,
        "share": pass_share_text(),
        "skills": list(skills),
        "groups": _groups(skills),
        "signs_only": len(skills) > WIDE_MATRIX,
        "rule": class_folder.dates.rule,
        "moderated": _moderated(standings),
        "replaced": _replaced(standings),
        "matrix": matrix,
        "competent": [sum(one.state == "competent" for one in column) for column in columns],
        "pages": [_page_shown(standings, name) for name in PAGES],
        "todo": _to_do(standings),
        "check": _check(class_folder),
        "flags": flags(standings),
        "a_question": A_QUESTION,
        "what_to_do": WHAT_TO_DO,
        "slips": [
            {
                "slip": one.slip,
                "reasons": [(label(key), text) for key, text in one.reasons.items()],
                "labels": numbered_labels(one.reasons),
                "count": len(one.numbers),
                "times": one.times,
                "width": round(100 * len(one.numbers) / most),
                "who": who(class_folder, one.numbers),
            }
            for one in slips
        ],
        "next": [
            {
                "number": f"{one.number:03d}",
                "name": one.name,
                "steps": next_steps(standings, one.number),
            }
            for one in class_folder.present
        ],
        "set_aside": set_aside_lines(class_folder)[-MOST_SET_ASIDE:],
        "set_aside_count": len(set_aside_lines(class_folder)),
        "plain": plain,
        "why": standing_why,
    }


def _groups(skills: Mapping[str, Sequence[str]]) -> list[tuple[str, int]]:
    """Return the exercise that each run of skills is first met in, and how many they are."""
    groups: list[tuple[str, int]] = []
    for keys in skills.values():
        name = page_of(keys[0]).name
        if groups and groups[-1][0] == name:
            groups[-1] = (name, groups[-1][1] + 1)
        else:
            groups.append((name, 1))
    return groups


def _moderated(standings: Standings) -> list[dict[str, str]]:
    """Return every moderation in force."""
    return [
        {
            "who": who(standings.class_folder, [number]),
            "label": label(key) if any(key == one.key for one in PAGES[page].questions) else key,
            "mark": plain(act.mark or 0.0),
            "before": "no mark yet" if act.instead_of is None else plain(act.instead_of),
            "by": act.by,
            "date": act.at[:10],
            "reason": act.reason,
        }
        for (number, page), record in standings.records.items()
        for key, act in record.moderations.items()
    ]


def _replaced(standings: Standings) -> list[dict[str, str]]:
    """Return every hand-in that a later one has replaced, the one that took most marks first."""
    here = {one.number for one in standings.class_folder.present}
    here |= set(standings.class_folder.changes.former)
    found = [one for one in read_replaced(standings.class_folder.folder) if one.number in here]
    return [
        {
            "number": f"{one.number:03d}",
            "exercise": one.exercise,
            "before": side_words(one.before),
            "before_name": one.before.name,
            "before_as": one.before.source,
            "now": side_words(one.now),
            "now_name": one.now.name,
            "now_as": one.now.source,
            "fewer": lost_words(one) if one.lost else "",
        }
        for one in sorted(found, key=lambda one: -one.lost)
    ]


def _late(standings: Standings) -> list[tuple[str, str]]:
    """Return each exercise with who handed it in late, by how late."""
    found = []
    for page in PAGES:
        by_days: dict[int, list[int]] = {}
        for (number, name), total in standings.sums.items():
            if name == page and total.late.days:
                by_days.setdefault(total.late.days, []).append(number)
        told = [
            f"{days} day{'' if days == 1 else 's'} late: {who(standings.class_folder, numbers)}"
            for days, numbers in sorted(by_days.items())
        ]
        if told:
            found.append((page, "; ".join(told)))
    return found


def _page_shown(standings: Standings, name: str) -> dict[str, Any]:
    """Return one exercise: its marks so far, and how each question went."""
    page = PAGES[name]
    sums = standings.sums
    rows = []
    percents = []
    for one in standings.class_folder.present:
        total = sums.get((one.number, name))
        if total:
            percent = 100 * total.mark / total.out_of if total.out_of else 0.0
            percents.append(min(max(percent, 0.0), 100.0))
            rows.append((f"{one.number:03d}", one.name, total, round(percent)))
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


def _check(class_folder: ClassFolder) -> dict[str, Any]:
    """Return the check before and after, a line a skill and a picture; empty where none is."""
    done = checks_done(class_folder)
    if not done:
        return {}
    found = gains(list(done.values()))
    rows = [(one.skill, one.shares) for one in found if one.skill]
    return {
        "times": TIMES,
        "rows": found,
        "chart": draw_check_gains(rows, TIMES).svg,
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
    return draw_marks_distribution(percents).svg if percents else ""


def _to_do(standings: Standings) -> dict[str, Any]:
    """Return what waits for somebody, most urgent first."""
    class_folder = standings.class_folder
    critical: dict[int, list[str]] = {}
    waiting: dict[tuple[str, str], list[int]] = {}
    for one in standings.outcomes:
        question = PAGES[one.page].question(one.key)
        if one.critical:
            critical.setdefault(one.number, []).append(one.key)
        if one.mark is None:
            kind = "practical" if isinstance(question.kind, Practical) else "written"
            waiting.setdefault((one.key, kind), []).append(one.number)
    handed_in = {(one.number, one.page) for one in standings.outcomes}
    missing = {
        page: [one.number for one in class_folder.present if (one.number, page) not in handed_in]
        for page in PAGES
    }
    return {
        "critical": [
            (who(class_folder, [number]), numbered_labels(keys))
            for number, keys in sorted(critical.items())
        ],
        "not_passed": [
            (
                who(class_folder, [number]),
                label(key),
                one.date,
                failed_words(standings.tasks[key], one),
            )
            for (number, key), one in sorted(standings.sign_offs.items())
            if not one.passed and number in class_folder.names and key in standings.tasks
        ],
        "waiting": [
            (f"{key[:2]} {label(key)}", kind, len(numbers), who(class_folder, numbers))
            for (key, kind), numbers in sorted(waiting.items())
        ],
        "late": _late(standings),
        "fits": [
            (who(class_folder, [number]), page, fit_words(class_folder, record.fits, number))
            for (number, page), record in standings.records.items()
            if record.fits is not None
        ],
        "missing": [
            (page, who(class_folder, numbers)) for page, numbers in missing.items() if numbers
        ],
    }
