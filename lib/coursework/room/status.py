"""The class at a glance, as lines to print."""

from __future__ import annotations

from datetime import UTC, datetime

from coursework.course import PAGES
from coursework.mark.lateness import local_text
from coursework.room.classfolder import ClassFolder
from coursework.room.flags import A_QUESTION, flags
from coursework.room.intake import REASONS
from coursework.room.marks import plain
from coursework.room.standings import PageSum, gather
from taperkey.counts import counted

__all__ = ["set_aside_lines", "status_lines"]


def set_aside_lines(class_folder: ClassFolder) -> list[str]:
    """Return what was set aside, and why, a line each."""
    try:
        text = (class_folder.set_aside / REASONS).read_text("utf-8", errors="replace")
    except FileNotFoundError:
        return []
    return [line for line in text.splitlines() if line.strip()]


def _kept(class_folder: ClassFolder, number: int, page: str) -> int:
    return len(list((class_folder.hand_ins / f"{number:03d}" / page).glob("*.json")))


def _told(total: PageSum | None, kept: int, overdue: bool) -> str:
    if total is None:
        return "in" if kept else "overdue" if overdue else "–"
    told = f"{plain(total.mark)}/{plain(total.out_of)}"
    told += f" {total.waiting}?" if total.waiting else ""
    return told + (f" late {total.late.days}" if total.late.days else "")


def status_lines(class_folder: ClassFolder, *, now: datetime | None = None) -> list[str]:
    """Return who has handed in what, late, waiting, as lines to print.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    now : datetime, optional
        What "overdue" is judged at; left out, the clock of this machine.
    """
    now = now or datetime.now(UTC)
    standings = gather(class_folder)
    sums = standings.sums
    due = class_folder.dates.due
    table = [["", "", *PAGES]]
    for one in class_folder.present:
        cells = [f"{one.number:03d}", one.name]
        for page in PAGES:
            overdue = page in due and now > due[page]
            kept = _kept(class_folder, one.number, page)
            cells.append(_told(sums.get((one.number, page)), kept, overdue))
        table.append(cells)
    widths = [max(len(row[place]) for row in table) for place in range(len(table[0]))]
    people = counted(len(class_folder.present), "apprentice")
    lines = [f"{class_folder.title} ({class_folder.code}), {people}"]
    for cells in table:
        told = "  ".join(f"{cell:<{wide}}" for cell, wide in zip(cells, widths, strict=True))
        lines.append(told.rstrip())
    lines.append(
        "Marks of marks possible so far; 1? one answer waits for the assessor; late 2 two days "
        "late; in: handed in, not marked yet; – not handed in."
    )
    dates = [f"{page} {local_text(due[page])}" for page in PAGES if page in due]
    if dates:
        lines.append(f"Due: {', '.join(dates)}. {class_folder.dates.rule}")
    asked = [f"- {sentence}" for _, sentence in flags(standings.present())]
    if asked:
        lines += [f"To ask about: {len(asked)}. {A_QUESTION}", *asked]
    found = class_folder.inbox.rglob("*") if class_folder.inbox.is_dir() else ()
    inbox = sum(1 for path in found if path.is_file())
    if inbox:
        lines.append(f"In inbox, not taken in yet: {inbox}. Take in and mark: taperkey mark.")
    aside = set_aside_lines(class_folder)
    if aside:
        lines.append(f"Set aside: {len(aside)}. Reasons: {class_folder.set_aside / REASONS}")
    return lines
