"""What a marking run changed about marks that stood, in words for the instructor."""

from __future__ import annotations

from collections.abc import Mapping

from coursework.course import PAGES
from coursework.mark.byhand import ByHand
from coursework.mark.marker import MarkingResult
from coursework.mark.records import (
    ManualMark,
    MarkRecord,
    final_marks,
    totals,
)
from coursework.room.classfolder import ClassFolder
from coursework.room.marks import plain
from coursework.room.nextsteps import label, who

__all__ = ["marked_otherwise"]


def marked_otherwise(class_folder: ClassFolder, result: MarkingResult, manual: ByHand) -> list[str]:
    """Return a line for each mark that is another now, though the hand-in is the same.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    result : MarkingResult
        What the run did.
    manual : mapping
        What the assessor gave, by number and exercise, then by question.
    """
    again = [
        (before, now)
        for now in result.marked
        if (before := result.before.get((now.number, now.exercise))) is not None
        and before.hand_in == now.hand_in
    ]
    lines = []
    for before, now in again:
        given = manual.get((now.number, now.exercise), {})
        entries = _entries(before, now, given)
        if entries:
            was, is_now = totals(before, given), totals(now, given)
            lines.append(
                f"{who(class_folder, [now.number])}, {now.exercise}: {plain(was.mark)} of "
                f"{plain(was.out_of)} before, {plain(is_now.mark)} of {plain(is_now.out_of)} now. "
                f"{'; '.join(entries)}."
            )
    course = sum(before.marker_version != now.marker_version for before, now in again)
    if course:
        differ = f"{len(lines)} with another mark:" if lines else "every mark is as it was."
        lines.insert(
            0,
            f"{course} of them {'was' if course == 1 else 'were'} marked again because the course "
            f"has changed since, {differ}",
        )
    return lines


def _entries(before: MarkRecord, now: MarkRecord, given: Mapping[str, ManualMark]) -> list[str]:
    """Return each question whose mark that counts is another, with both marks."""
    was, is_now = final_marks(before, given), final_marks(now, given)
    labels = {one.key for one in PAGES[now.exercise].questions}
    return [
        f"{label(key) if key in labels else key}: {_mark(was.get(key))}, now "
        f"{_mark(is_now.get(key))}"
        for key in dict.fromkeys((*was, *is_now))
        if was.get(key) != is_now.get(key)
    ]


def _mark(mark: float | None) -> str:
    return "not asked" if mark is None else plain(mark)
