"""The class report: how the class stands, on one page, with ``marks.csv`` beside it.

The report opens from the disk, prints, and needs no network. It holds no time
of day that was not there before, so the same marks give the same bytes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from taperkey.classroom.achievement import achievement_link, write_achievements
from taperkey.classroom.cards import page_template
from taperkey.classroom.classfolder import ClassFolder
from taperkey.classroom.marks import marks_csv, plain
from taperkey.classroom.outcomes import (
    COMPETENT_SHARE,
    Outcome,
    common_slips,
    item_figures,
    skills_of,
)
from taperkey.classroom.standings import Standings, gather
from taperkey.classroom.status import set_aside_lines
from taperkey.files import write_whole
from taperkey.worksheet.bank import PAGES, page_of
from taperkey.worksheet.question import Practical

__all__ = ["write_report"]

WIDE_MATRIX = 10  # skills; from there on its cells hold signs only
SYMBOLS = {"competent": "✓", "not yet": "✗", "waiting": "…", "not handed in": "–"}
MOST_SET_ASIDE = 40  # lines shown


def write_report(class_folder: ClassFolder) -> Path:
    """Write the report, ``marks.csv`` and the records of achievement; return where the page is."""
    standings = gather(class_folder)
    path = class_folder.report / "index.html"
    write_whole(class_folder.report / "marks.csv", marks_csv(standings))
    write_achievements(standings)
    write_whole(path, page_template("report.html.j2").render(**_shown(standings)).encode())
    return path


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
            "link": achievement_link(one.number),
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
        "groups": _groups(skills),
        "signs_only": len(skills) > WIDE_MATRIX,
        "rule": class_folder.dates.rule,
        "moderated": _moderated(standings),
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
        "set_aside": set_aside_lines(class_folder)[-MOST_SET_ASIDE:],
        "set_aside_count": len(set_aside_lines(class_folder)),
        "plain": plain,
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
            "who": _who(standings.class_folder, [number]),
            "label": _label(key) if any(key == one.key for one in PAGES[page].questions) else key,
            "mark": plain(act.mark or 0.0),
            "before": "no mark yet" if act.instead_of is None else plain(act.instead_of),
            "by": act.by,
            "date": act.at[:10],
            "reason": act.reason,
        }
        for (number, page), record in standings.records.items()
        for key, act in record.moderations.items()
    ]


def _late(standings: Standings) -> list[tuple[str, str]]:
    """Return each exercise with who handed it in late, and how late."""
    names = standings.class_folder.names
    found = []
    for page in PAGES:
        late = [
            f"{names[number]} ({number}), {total.late.words}"
            for (number, name), total in standings.sums.items()
            if name == page and total.late.days
        ]
        if late:
            found.append((page, "; ".join(late)))
    return found


def _page_shown(standings: Standings, name: str) -> dict[str, Any]:
    """Return one exercise: its marks so far, and how each question went."""
    page = PAGES[name]
    sums = standings.sums
    rows = []
    percents = []
    for one in standings.class_folder.roster:
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
        "late": _late(standings),
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
        return f"{plain(one.mark or 0.0)} of {plain(one.out_of)}"
    return {"blank": "left blank", "unreadable": "could not be read"}.get(one.state, "not right")
