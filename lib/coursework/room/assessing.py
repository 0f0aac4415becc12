"""What an assessor does with a class: mark, moderate, release, verify.

Each holds the class folder while it works, so two assessors never write at
once; whoever comes second gets a sentence with who is at work.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from coursework.course import PAGES, exercises_folder, page_of
from coursework.mark.address import is_own_file
from coursework.mark.byhand import note_by_hand
from coursework.mark.feedback import write_feedback
from coursework.mark.judged import judged
from coursework.mark.kept import AttemptRule, Kept, overtaken
from coursework.mark.records import (
    ManualMark,
    MarkRecord,
    Moderation,
    manual_marks,
    read_record,
    read_records,
)
from coursework.mark.second import read_second_marks
from coursework.mark.signoff import counting_sign_offs, enter_sign_offs, task_of, tasks
from coursework.mark.versions import course_folders
from coursework.room.attempts import release_runs, release_times
from coursework.room.changes import fits_told, marked_otherwise, replaced_told
from coursework.room.classfolder import SETTINGS, ClassError, ClassFolder, open_class
from coursework.room.clock import ahead_told, registers_of_class, right_from, set_back_told
from coursework.room.intake import IntakeResult, take_in
from coursework.room.people import read_brought
from coursework.room.report import write_report
from coursework.room.seconding import open_differences
from coursework.room.standings import in_one_sentence
from coursework.room.unchanged import all_of, keep_note
from taperkey.counts import counted

if TYPE_CHECKING:
    from coursework.mark.audit import Audit
    from coursework.mark.marker import MarkingResult

__all__ = [
    "MarkedClass",
    "attempt_rule",
    "mark_and_report",
    "moderate_mark",
    "release_solutions",
    "report_again",
    "verify_class",
]

Progress = Callable[[int, int], None]

_PAGES = ("feedback", "report")  # rooms that are written from the others, and read by no run


@dataclass(frozen=True)
class MarkedClass:
    """What a marking run did."""

    intake: IntakeResult
    lines: tuple[str, ...]
    report: Path


def _now(now: datetime | None) -> str:
    return (now or datetime.now(UTC)).astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def mark_and_report(
    class_folder: ClassFolder,
    *,
    progress: Progress | None = None,
    now: datetime | None = None,
) -> MarkedClass:
    """Take in the inbox, mark what is new, write feedback and the report.

    Doing it again with nothing new changes no byte of the report.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    progress : callable, optional
        Told how many hand-ins are done, and of how many.
    now : datetime, optional
        When; left out, the clock of this machine.

    Returns
    -------
    MarkedClass
        What was taken in, lines to tell, and where the report is.
    """
    from coursework.mark.marker import mark_class
    from coursework.mark.replaced import note_replaced

    with class_folder.alone("marking") as class_folder, in_one_sentence():
        clock = set_back_told(class_folder.folder, now or datetime.now(UTC))
        rule = attempt_rule(class_folder)
        intake = take_in(class_folder, now=now)
        manual_before = manual_marks(class_folder.folder)
        result = mark_class(
            folder=class_folder.folder,
            class_code=class_folder.code,
            roster=class_folder.names,
            progress=progress,
            rule=rule,
        )
        enter_sign_offs(class_folder.folder)
        manual = _note(class_folder, now)
        replaced = note_replaced(
            folder=class_folder.folder,
            class_code=class_folder.code,
            roster=class_folder.names,
            records_before=result.before,
            manual_before=manual_before,
            manual=manual,
            late=lambda record: class_folder.dates.lateness(record).words,
            rule=rule,
            now=_now(now),
        )
        seen = None if intake.left else _seen(class_folder, without=_PAGES)
        again = _mark_again(class_folder) if seen else None
        manual = _note(class_folder, now) if seen else manual
        _write_all_feedback(class_folder, manual)
        report = write_report(class_folder, manual=manual)
        earlier = overtaken(
            folder=class_folder.folder,
            class_code=class_folder.code,
            which=[(one.number, one.page) for one in intake.admitted],
        )
        otherwise = marked_otherwise(class_folder, result, manual)
        differing = _differing(class_folder, manual)
        if again is not None and seen == _seen(class_folder, without=_PAGES):
            keep_note(
                class_folder.folder,
                roots=_roots(),
                seen=_seen(class_folder) or "",
                clock=right_from(class_folder.folder),
                lines=[*again, *differing],
            )
        clock += ahead_told(class_folder, intake.admitted, intake.came)
    lines = (
        *_told(result),
        *clock,
        *otherwise,
        *replaced_told(replaced),
        *earlier,
        *fits_told(class_folder, result.marked),
        *differing,
    )
    return MarkedClass(intake, lines, report)


def _roots() -> tuple[Path, ...]:
    return (*course_folders(), exercises_folder())


def _seen(class_folder: ClassFolder, *, without: Sequence[str] = ()) -> str | None:
    """Return a digest of all that a run depends on.

    None where some of it lies elsewhere, or a hub is at work in the folder.
    """
    folder = class_folder.folder
    settings = tomllib.loads((folder / SETTINGS).read_bytes().decode("utf-8-sig"))
    if "hub" in settings or not is_own_file(folder):
        return None
    return all_of(folder, roots=_roots(), without=without)


def _mark_again(class_folder: ClassFolder) -> list[str] | None:
    """Go through a class that was marked; return what that tells, None where it had to do."""
    from coursework.mark.marker import mark_class

    now = open_class(class_folder.folder)
    if now != class_folder:
        return None  # changed by hand meanwhile
    result = mark_class(
        folder=now.folder, class_code=now.code, roster=now.names, rule=attempt_rule(now)
    )
    enter_sign_offs(now.folder)
    return None if result.marked else _told(result)


def _note(
    class_folder: ClassFolder, now: datetime | None
) -> Mapping[tuple[int, str], Mapping[str, ManualMark]]:
    manual = manual_marks(class_folder.folder)
    hands = {
        (number, task_of(key).exercise, key): (f"{one.marks:g}", one.by)
        for (number, key), one in counting_sign_offs(class_folder.folder).items()
        if key in tasks()
    }
    for record in read_records(class_folder.folder):
        for act in record.moderated:
            place = (record.number, record.exercise, act.entry)
            hands[place] = ("" if act.mark is None else f"{act.mark:g}", act.by)
    note_by_hand(folder=class_folder.folder, manual=manual, now=_now(now), hands=hands)
    return manual


def _told(result: MarkingResult) -> list[str]:
    marked = len(result.marked)
    lines = [f"{marked} marked, {result.skipped} marked before."]
    return lines + [f"Not marked: {problem}" for problem in result.problems]


def _differing(
    class_folder: ClassFolder, manual: Mapping[tuple[int, str], Mapping[str, ManualMark]]
) -> list[str]:
    """Return a sentence for each moderated mark that the marking screen has otherwise."""
    lines = []
    for record in read_records(class_folder.folder):
        given = manual.get((record.number, record.exercise), {})
        for key, act in record.moderations.items():
            score = given[key].score if key in given else None
            if score is not None and act.mark is not None and score != act.mark:
                lines.append(
                    f"Apprentice {record.number:03d}, {key}: the marking screen says {score:g}, "
                    f"the moderation by {act.by} says {act.mark:g}, and that counts. Moderate it "
                    "again or withdraw it."
                )
    return lines


def _write_all_feedback(
    class_folder: ClassFolder, manual: Mapping[tuple[int, str], Mapping[str, ManualMark]]
) -> int:
    records = [one for one in read_records(class_folder.folder) if one.exercise in PAGES]
    for record in records:
        _write_one_feedback(class_folder, record, manual)
    return len(records)


def _write_one_feedback(
    class_folder: ClassFolder,
    record: MarkRecord,
    manual: Mapping[tuple[int, str], Mapping[str, ManualMark]],
) -> None:
    dates = class_folder.dates
    write_feedback(
        folder=class_folder.folder,
        record=record,
        manual=manual.get((record.number, record.exercise), {}),
        released=record.exercise in class_folder.released(),
        name=class_folder.names.get(record.number, ""),
        late=dates.lateness(record),
        late_rule=dates.rule,
    )


def report_again(class_folder: ClassFolder, *, now: datetime | None = None) -> Path:
    """Write the report again, with what was entered in the marking screen since."""
    with class_folder.alone("writing the report") as class_folder, in_one_sentence():
        enter_sign_offs(class_folder.folder)
        return write_report(class_folder, manual=_note(class_folder, now))


def release_solutions(class_folder: ClassFolder) -> int:
    """Put the worked solutions into every feedback page; return how many there are."""
    with class_folder.alone("releasing solutions") as class_folder, in_one_sentence():
        class_folder.release()
        count = _write_all_feedback(class_folder, manual_marks(class_folder.folder))
        return count


def moderate_mark(
    class_folder: ClassFolder,
    *,
    number: int,
    entry: str,
    mark: float | None,
    reason: str,
    by: str,
    now: datetime | None = None,
) -> Moderation:
    """Put another mark in the place of one, or take that back; feedback and report follow.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    number : int
        The apprentice's number.
    entry : str
        Key of the question, such as "02-per-foot".
    mark : float or None
        The mark; None withdraws the moderation in force.
    reason, by : str
        Why, and who decides.
    now : datetime, optional
        When; left out, the clock of this machine.

    Raises
    ------
    ClassError
        One sentence, where it cannot be done.
    """
    from coursework.mark.moderation import (
        ModerationError,
        keep_moderations,
        new_moderation,
        read_moderations,
    )

    folder = class_folder.folder
    if number not in class_folder.names:
        raise ClassError(
            f"apprentice number is {number}; it must be one of roster.csv. Look at the class list."
        )
    try:
        exercise = page_of(entry).name
    except LookupError:
        raise ClassError(
            f"entry is “{entry[:40]}”; it must be a question of the course, such as "
            f"{next(iter(PAGES.values())).questions[0].key}. Look at the heads of marks.csv."
        ) from None
    with class_folder.alone("moderating") as class_folder, in_one_sentence():
        number = class_folder.marked_under(number, exercise)
        record = read_record(folder=folder, number=number, exercise=exercise)
        if record is None:
            raise ClassError(
                f"apprentice {number} has no marks for {exercise}, so there is nothing to "
                "moderate. Take in and mark first: taperkey mark."
            )
        acts = read_moderations(folder=folder, number=number, exercise=exercise, record=record)
        if len(acts) > len(record.moderated):  # a moderation was cut off before it was marked
            record = _mark_one(class_folder, number, exercise).marked[0]
        manual = manual_marks(folder).get((number, exercise), {})
        try:
            act = new_moderation(
                record=record,
                manual=manual,
                entry=entry,
                mark=mark,
                reason=reason,
                by=by,
                at=_now(now),
                confirms=(number, entry) in set(open_differences(class_folder)),
                second=read_second_marks(folder).get((number, entry)),
            )
        except ModerationError:  # it may be one that was cut off before its page was written
            _write_one_feedback(class_folder, record, {(number, exercise): manual})
            raise
        keep_moderations(folder=folder, number=number, exercise=exercise, acts=(*acts, act))
        result = _mark_one(class_folder, number, exercise)
        enter_sign_offs(folder)
        if not result.marked:
            mine = (one for one in result.problems if one.startswith(f"Apprentice {number:03d}"))
            raise ClassError(
                "The moderation is kept, but the hand-in could not be marked with it. "
                + next(mine, "Mark the class again.")
            )
        manual_now = _note(class_folder, now)
        _write_one_feedback(class_folder, result.marked[0], manual_now)
        write_report(class_folder, manual=manual_now)
    return act


def _mark_one(class_folder: ClassFolder, number: int, exercise: str) -> MarkingResult:
    from coursework.mark.marker import mark_class

    return mark_class(
        folder=class_folder.folder,
        class_code=class_folder.code,
        roster=class_folder.names,
        only=(number, exercise),
        rule=attempt_rule(class_folder),
    )


def attempt_rule(class_folder: ClassFolder) -> AttemptRule:
    """Return which attempt counts in a class, with what the best is found by."""

    def worth(one: Kept) -> float:
        record = judged(one=one, class_code=class_folder.code)
        earned = sum(each.mark for each in record.verdicts)
        return earned * class_folder.dates.lateness(record).keeps

    return AttemptRule(
        counts=class_folder.attempts.counts,
        worth=worth,
        released=release_times(class_folder.folder),
        released_after=release_runs(class_folder.folder),
    )


def verify_class(class_folder: ClassFolder, *, progress: Progress | None = None) -> Audit:
    """Trace every mark to its hand-in and recompute it; nothing is changed."""
    from coursework.mark.audit import audit_class

    with class_folder.alone("verifying") as class_folder, in_one_sentence():
        audit = audit_class(
            folder=class_folder.folder,
            class_code=class_folder.code,
            roster=class_folder.names,
            progress=progress,
            rule=attempt_rule(class_folder),
            registers=registers_of_class(class_folder.folder),
        )
        brought = [record for record, _ in read_brought(class_folder.folder)]
        if brought:
            codes = ", ".join(sorted({record.class_code for record in brought}))
            audit.notes.append(
                f"{counted(len(brought), 'record')} brought from class {codes}: verify them there."
            )
    return audit
