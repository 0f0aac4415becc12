"""The skills record: a page an apprentice, to print, sign and keep.

It says what the records say and no more: each skill by the stated rule, marks,
safety-critical answers, and the practical sign-offs with the day on which the
assessor's mark was first seen. The signatures are given on paper.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from coursework.course import PAGES, page_of
from coursework.mark.byhand import HandMark, read_by_hand
from coursework.mark.lateness import local_text
from coursework.room.cards import page_template
from coursework.room.marks import plain
from coursework.room.outcomes import Outcome, pass_share_text, skills_of
from coursework.room.signing import (
    failed_words,
    sign_off_how,
    sign_off_words,
    standing_why,
)
from coursework.room.standings import Standings
from taperkey.files import write_together

__all__ = ["skills_record_link", "write_skills_records"]

WORDS = {
    "competent": ("✓", "competent"),
    "not yet": ("✗", "not yet competent"),
    "waiting": ("…", "waiting for the assessor"),
    "not handed in": ("–", "not handed in"),
}


def skills_record_link(number: int) -> str:
    """Return the page's place, from the report on."""
    return f"skills-records/{number:03d}.html"


def write_skills_records(standings: Standings) -> list[Path]:
    """Write the skills record of everyone on the class list; return the pages."""
    class_folder = standings.class_folder
    seen = read_by_hand(class_folder.folder)
    page = page_template("skillsrecord.html.j2")
    files = []
    for one in class_folder.present:
        path = class_folder.report / skills_record_link(one.number)
        shown = _shown(standings, one.number, seen)
        text = page.render(
            code=class_folder.code,
            title=class_folder.title,
            number=f"{one.number:03d}",
            name=one.name,
            share=pass_share_text(),
            plain=plain,
            rule=class_folder.dates.rule,
            **shown,
        )
        files.append((path, text.encode()))
        for former in class_folder.numbers_of(one.number)[1:]:  # nobody has that number any more
            (class_folder.report / skills_record_link(former)).unlink(missing_ok=True)
    write_together(files)
    return [path for path, _ in files]


def _shown(
    standings: Standings, number: int, seen: Mapping[tuple[int, str, str], HandMark]
) -> dict[str, Any]:
    own = {one.key: one for one in standings.of(number)}
    skills = []
    for skill, keys in skills_of(PAGES.values()).items():
        standing = standings.skill(number, keys)
        symbol, words = WORDS[standing.state]
        asked = {page_of(key).name for key in keys}
        pages = [page for page in PAGES if page in asked]
        some = [page for page in pages if any(own[k].page == page for k in keys if k in own)]
        skills.append(
            {
                "skill": skill,
                "exercises": _span(pages),
                "part": len(pages) > len(some) > 0,
                "symbol": symbol,
                "words": words,
                "critical": standing.critical,
                "mark": plain(standing.mark) if standing.out_of else "",
                "out_of": plain(standing.out_of) if standing.out_of else "",
                "state": standing.state,
                "why": standing_why(standing),
            }
        )
    states = [one["state"] for one in skills]
    return {
        "skills": skills,
        "competent": states.count("competent"),
        "pages": _pages(standings, number),
        "sign_offs": _sign_offs(standings, own, number, seen),
        "critical": _critical(own),
        "moderated": _moderated(standings, number),
    }


def _work(label: str) -> str:
    """Return a sign-off's label without the word itself, which heads the table."""
    work = label.removeprefix("Sign-off: ")
    return work[:1].upper() + work[1:]


def _span(pages: Sequence[str]) -> str:
    """Return the numbers of exercises, those that follow one another as from–to."""
    places = [list(PAGES).index(page) for page in pages]
    if len(places) > 2 and places == list(range(places[0], places[-1] + 1)):
        return f"{pages[0][:2]}–{pages[-1][:2]}"
    return ", ".join(page[:2] for page in pages)


def _pages(standings: Standings, number: int) -> list[dict[str, Any]]:
    sums = standings.sums
    rows = []
    for page in PAGES.values():
        total = sums.get((number, page.name))
        rows.append(
            {
                "title": f"{page.name[:2]}  {page.title}",
                "total": total,
                "handed_in": local_text(total.late.handed_in)[:10] if total else "",
                "full": plain(sum(question.marks for question in page.questions)),
            }
        )
    return rows


def _sign_offs(
    standings: Standings,
    own: Mapping[str, Outcome],
    number: int,
    seen: Mapping[tuple[int, str, str], HandMark],
) -> list[dict[str, Any]]:
    rows = []
    for task in standings.tasks.values():
        outcome = own.get(task.key)
        mark = outcome.mark if outcome else None
        one = standings.sign_offs.get((number, task.key))
        line = seen.get((number, task.exercise, task.key))
        if mark is None and one is not None:
            mark = float(one.marks)
        rows.append(
            {
                "label": f"{task.exercise[:2]} {_work(task.question.label)}",
                "mark": "" if mark is None else plain(mark),
                "out_of": plain(task.question.marks),
                "state": sign_off_words(one),
                "passed": one is not None and one.passed,
                "date": one.date if one else "",
                "by": one.by if one else "",
                "how": sign_off_how(one)
                if one
                else f"mark entered {line.seen[:10]}"
                if line and line.score and mark is not None
                else "",
                "failed": failed_words(task, one) if one else "",
                "note": one.note if one else line.comment if line else "",
            }
        )
    return rows


def _critical(own: Mapping[str, Outcome]) -> list[dict[str, Any]]:
    rows = []
    for page in PAGES.values():
        for question in page.questions:
            if question.critical:
                outcome = own.get(question.key)
                state = "not handed in"
                if outcome:
                    state = "not right" if outcome.critical else "right"
                symbol = {"right": "✓", "not right": "✗"}.get(state, "–")
                name = f"{page.name[:2]} {question.label}"
                rows.append({"label": name, "symbol": symbol, "words": state})
    return rows


def _moderated(standings: Standings, number: int) -> list[dict[str, str]]:
    rows = []
    for page in PAGES.values():
        record = standings.records.get((number, page.name))
        for key, act in record.moderations.items() if record else ():
            before = "no mark yet" if act.instead_of is None else plain(act.instead_of)
            rows.append(
                {
                    "label": page_of(key).question(key).label if _known(key) else key,
                    "mark": plain(act.mark or 0.0),
                    "before": before,
                    "by": act.by,
                    "date": act.at[:10],
                    "reason": act.reason,
                }
            )
    return rows


def _known(key: str) -> bool:
    return any(one.key == key for page in PAGES.values() for one in page.questions)
