"""One question's mark on its way into the gradebook."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

__all__ = ["CellMark", "enter_mark"]


@dataclass(frozen=True, kw_only=True)
class CellMark:
    """What one question brings to the gradebook.

    Attributes
    ----------
    key : str
        The question.
    mark : float or None
        The marker's mark; None where the assessor has to give one.
    changed : bool
        Whether the entry or its mark differs from what was marked before.
    comment : str
        A comment by the marker, or empty.
    moderated : float or None
        The mark that a moderation puts in its place.
    enter : bool
        Whether that has to be entered; else it is there, and what stands in the screen stays.
    settled : bool
        Whether the moderation is of this very entry and question.
    take_back, put_back : float or None
        Moderated mark that is withdrawn, and what stood in the screen before it.
    """

    key: str
    mark: float | None
    changed: bool
    comment: str = ""
    moderated: float | None = None
    enter: bool = False
    settled: bool = False
    take_back: float | None = None
    put_back: float | None = None


def enter_mark(grade: Any, mark: CellMark) -> None:
    """Put a mark into its row: the marker's, a moderated one, and whether the assessor looks."""
    grade.auto_score = mark.mark
    if mark.moderated is not None and (mark.enter or grade.manual_score is None):
        grade.manual_score = mark.moderated
        grade.needs_manual_grade = not mark.settled
        return
    if mark.take_back is not None and grade.manual_score == mark.take_back:
        grade.manual_score = mark.put_back
        grade.needs_manual_grade = False
    if grade.manual_score is None:
        grade.needs_manual_grade = mark.mark is None
    elif mark.changed and not mark.settled:
        grade.needs_manual_grade = True
