"""Teach this next: one page from what the class gets wrong most, to take into the next lesson."""

from __future__ import annotations

from pathlib import Path

from coursework.course import PAGES, page_of
from coursework.room.cards import page_template
from coursework.room.nextsteps import label, numbered_labels, who
from coursework.room.outcomes import Outcome, common_slips, skills_of
from coursework.room.standings import Standings
from taperkey.files import write_whole

__all__ = ["write_teach_next"]

MOST_SLIPS = 5
MOST_SKILLS = 5
FILE = "teach-next.html"


def write_teach_next(standings: Standings) -> Path:
    """Write the page; return where it is."""
    class_folder = standings.class_folder
    present = {one.number for one in class_folder.present}
    outcomes = standings.outcomes
    critical: dict[str, list[int]] = {}
    by_key: dict[str, list[Outcome]] = {}
    for one in outcomes:
        if one.mark is not None:
            by_key.setdefault(one.key, []).append(one)
        if one.critical:
            critical.setdefault(one.key, []).append(one.number)
    not_passed: dict[str, list[int]] = {}
    for (number, key), signed in standings.sign_offs.items():
        if not signed.passed:
            not_passed.setdefault(key, []).append(number)
    weak = []
    for skill, keys in skills_of(PAGES.values()).items():
        marks = [one for key in keys for one in by_key.get(key, ())]
        out_of = sum(one.out_of for one in marks)
        if out_of:
            share = sum(one.mark or 0.0 for one in marks) / out_of
            weak.append((share, skill, page_of(keys[0]).title))
    slips = common_slips(outcomes)[:MOST_SLIPS]
    text = page_template("teachnext.html.j2").render(
        code=class_folder.code,
        title=class_folder.title,
        count=len(present),
        critical=[
            (f"{key[:2]} {label(key)}", who(class_folder, sorted(numbers)))
            for key, numbers in sorted(critical.items(), key=lambda item: -len(item[1]))
        ][:MOST_SLIPS],
        not_passed=[
            (f"{key[:2]} {label(key)}", who(class_folder, sorted(numbers)))
            for key, numbers in sorted(not_passed.items())
            if key in standings.tasks
        ],
        slips=[
            {
                "slip": one.slip,
                "count": len(one.numbers),
                "where": numbered_labels(one.reasons),
                "reason": next(iter(one.reasons.values())),
                "who": who(class_folder, one.numbers),
            }
            for one in slips
        ],
        weak=[(skill, lesson, f"{100 * share:.0f} %") for share, skill, lesson in sorted(weak)][
            :MOST_SKILLS
        ],
    )
    path = class_folder.report / FILE
    write_whole(path, text.encode())
    return path
