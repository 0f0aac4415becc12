"""``marks.csv``: a line an apprentice, a column a question, for a spreadsheet."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from coursework.course import PAGES
from coursework.mark.lateness import local_text
from coursework.mark.register import plain_cell
from coursework.room.classfolder import ClassError
from coursework.room.outcomes import skills_of
from coursework.room.standings import PageSum, Standings

__all__ = ["chosen_columns", "marks_csv", "plain"]


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
    writer.writerow([*head, *skills, *_TOTALS])
    sums = standings.sums
    for one in standings.class_folder.present:
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
        row += _totals([sums[place] for page in PAGES if (place := (one.number, page)) in sums])
        writer.writerow(row)
    return lines.getvalue().encode("utf-8-sig")


def _totals(sums: Sequence[PageSum]) -> list[object]:
    """Return marks, marks possible, per cent of them, and marks after lateness, over all."""
    if not sums:
        return [""] * len(_TOTALS)
    mark, out_of = sum(one.mark for one in sums), sum(one.out_of for one in sums)
    percent = f"{100 * mark / out_of:.1f}" if out_of else ""
    return [plain(mark), plain(out_of), percent, plain(sum(one.counts for one in sums))]


def chosen_columns(content: bytes, columns: Sequence[str]) -> bytes:
    """Return ``marks.csv`` with some of its columns, in the order in which they are named.

    Raises
    ------
    ClassError
        It has no such column.
    """
    rows = list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))
    head = rows[0]
    for name in columns:
        if name not in head:
            raise ClassError(
                f"column is “{name[:40]}”; it must be one of: {', '.join(head)}. Type their names "
                "with commas between."
            )
    places = [head.index(name) for name in columns]
    lines = io.StringIO(newline="")
    csv.writer(lines, lineterminator="\r\n").writerows(
        [[row[place] for place in places] for row in rows]
    )
    return lines.getvalue().encode("utf-8-sig")


_TOTALS = ("total marks", "total out of", "percent", "total after lateness")
_PER_PAGE = (
    "marks",
    "out of",
    "waiting",
    "handed in",
    "days late",
    "marks after lateness",
    "moderated",
)
