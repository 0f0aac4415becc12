"""What a marking run changed about marks that stood, in words for the instructor."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from coursework.course import PAGES
from coursework.mark.byhand import ByHand
from coursework.mark.lateness import local_text, utc_of
from coursework.mark.records import (
    BetterFit,
    ManualMark,
    MarkRecord,
    final_marks,
    totals,
)
from coursework.mark.replaced import Replaced, Side
from coursework.room.classfolder import ClassFolder
from coursework.room.marks import plain
from coursework.room.nextsteps import label, who

if TYPE_CHECKING:
    from coursework.mark.marker import MarkingResult

__all__ = [
    "WHAT_TO_DO",
    "fit_words",
    "fits_told",
    "lost_words",
    "marked_otherwise",
    "replaced_told",
    "side_words",
]

WHAT_TO_DO = (
    "Ask whose they are. The last hand-in to come counts: where a number was mistyped, both hand "
    "in again, each with their own number."
)


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


def side_words(side: Side) -> str:
    """Return what one hand-in came to and when it was made, such as "9 of 11, made …"."""
    mark = f"{side.mark} of {side.out_of}" if side.mark else "not judged"
    told = f"{mark}, made {local_text(utc_of(side.made))}"
    told += f", taken in {local_text(utc_of(side.came))}" if side.came else ""
    return told + (f", {side.late}" if side.late else "")


def replaced_told(found: Iterable[Replaced]) -> list[str]:
    """Return a line for each hand-in that a later one has replaced."""
    return [
        f"Replaced: {one.before.name} ({one.number}), {one.exercise}: {side_words(one.before)}"
        f"{_as(one.before)}. Now {side_words(one.now)}{_as(one.now)}"
        + (f", under the name {one.now.name}" if one.now.name != one.before.name else "")
        + (f". {lost_words(one)}: ask whether the number is right." if one.lost else ".")
        for one in found
    ]


def lost_words(one: Replaced) -> str:
    """Return how many marks fewer it has, such as "8 marks fewer on the same questions"."""
    return f"{plain(one.lost)} mark{'' if one.lost == 1 else 's'} fewer on the same questions"


def _as(side: Side) -> str:
    return f", came as {side.source}" if side.source else ""


def fit_words(class_folder: ClassFolder, fits: BetterFit, number: int) -> str:
    """Return which other job card the answers of an apprentice fit better, and by how much."""
    if fits.number == number:
        other, here = f"their own job card of attempt {fits.attempt}", "on this one"
    else:
        name = f"{class_folder.names.get(fits.number, '')} ({fits.number})".strip()
        other = f"the job card of {name}" + (
            f", attempt {fits.attempt}," if fits.attempt > 1 else ""
        )
        here = "on their own"
    return (
        f"the answers fit {other} better: {plain(fits.right_there)} of {plain(fits.out_of)} right "
        f"there, {plain(fits.right_here)} {here}"
    )


def fits_told(class_folder: ClassFolder, records: Iterable[MarkRecord]) -> list[str]:
    """Return a line for each hand-in whose answers fit another's card, and what to do once."""
    lines = [
        f"Look: {who(class_folder, [one.number])}, {one.exercise}: "
        f"{fit_words(class_folder, one.fits, one.number)}."
        for one in records
        if one.fits is not None
    ]
    return [*lines, WHAT_TO_DO] if lines else []
