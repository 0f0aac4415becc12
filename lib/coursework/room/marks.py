"""``marks.csv``: a line an apprentice, a column a question, for a spreadsheet."""

from __future__ import annotations

import csv
import io

from coursework.course import PAGES
from coursework.mark.lateness import local_text
from coursework.mark.register import plain_cell
from coursework.room.outcomes import skills_of
from coursework.room.standings import Standings

__all__ = ["marks_csv", "plain"]


def plain(mark: float) -> str:
    """Return marks as one writes them: 2, 2.5."""
    return f"{round(mark, 2):g}"


def marks_csv(standings: Standings) -> bytes:
    """Return the file; no cell of it is taken for a formula."""
    lines = io.StringIO(newline="")
    writer = csv.writer(lines, lineterminator="\r\n")
    skills = skills_of(PAGES.values())
    head = ["number", "name"]
    for page in PAGES.values():
        head += [question.key for question in page.questions]
        head += [f"{page.name} {what}" for what in _PER_PAGE]
    writer.writerow([*head, *skills])
    sums = standings.sums
    for one in standings.class_folder.roster:
        marks = {outcome.key: outcome.mark for outcome in standings.of(one.number)}
        row: list[object] = [one.number, plain_cell(one.name)]
        for page in PAGES.values():
            for question in page.questions:
                mark = marks.get(question.key)
                waiting = question.key in marks and mark is None
                row.append("waiting" if waiting else "" if mark is None else plain(mark))
            total = sums.get((one.number, page.name))
            if total is None:
                row += [""] * len(_PER_PAGE)
                continue
            moderated = standings.records[one.number, page.name].moderations
            row += [
                plain(total.mark),
                plain(total.out_of),
                total.waiting,
                local_text(total.late.handed_in),
                total.late.days,
                plain(total.counts),
                " ".join(moderated),
            ]
        row += [standings.skill(one.number, keys).state for keys in skills.values()]
        writer.writerow(row)
    return lines.getvalue().encode("utf-8-sig")


_PER_PAGE = (
    "marks",
    "out of",
    "waiting",
    "handed in",
    "days late",
    "marks after lateness",
    "moderated",
)
