"""What an instructor does with the class list in a term: renumber, withdraw, extend, move."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime

from coursework.course import PAGES
from coursework.mark.signoff import read_sign_offs, write_sign_offs
from coursework.room import people
from coursework.room.classfolder import ROSTER, ClassError, ClassFolder, open_class
from coursework.room.roster import HIGHEST_NUMBER, Apprentice, write_roster
from coursework.room.standings import gather

__all__ = ["back", "extend", "move", "renumber", "withdraw"]

LONGEST_REASON = 300  # characters


def _reason(text: str) -> str:
    plain = " ".join(text.split())
    if not 1 <= len(plain) <= LONGEST_REASON:
        raise ClassError(
            f"reason has {len(plain)} characters; it must have 1 to {LONGEST_REASON}. Say why in a "
            "few words."
        )
    return plain


def _free(class_folder: ClassFolder, number: int) -> None:
    if not 1 <= number <= HIGHEST_NUMBER:
        raise ClassError(
            f"new number is {number}; it must be from 1 to {HIGHEST_NUMBER}. Choose another."
        )
    used = any((class_folder.hand_ins / f"{number:03d}").glob("*"))
    if number in class_folder.names or used:
        raise ClassError(
            f"new number is {number}; it must be one that nobody has or had. Choose another."
        )


def _written(class_folder: ClassFolder, roster: Sequence[Apprentice]) -> ClassFolder:
    write_roster(class_folder.folder / ROSTER, roster=roster)
    return open_class(class_folder.folder)


def renumber(
    class_folder: ClassFolder, *, number: int, to: int, reason: str, by: str,
    now: datetime | None = None,
) -> ClassFolder:  # fmt: skip
    """Give somebody another number; what was marked under the former one stays theirs."""
    reason = _reason(reason)
    with class_folder.alone("changing the class list"):
        _free(class_folder, to)
        people.note_change(
            class_folder.folder, number=number, change=people.RENUMBERED, to=str(to),
            reason=reason, by=by, now=now,
        )  # fmt: skip
        changed = [
            replace(one, number=to) if one.number == number else one for one in class_folder.roster
        ]
        return _written(class_folder, sorted(changed))


def withdraw(
    class_folder: ClassFolder, *, number: int, reason: str, by: str, now: datetime | None = None
) -> ClassFolder:
    """Take somebody out of the report; everything of theirs is kept."""
    return _stand(class_folder, number, people.WITHDRAWN, reason, by, now)


def back(
    class_folder: ClassFolder, *, number: int, reason: str, by: str, now: datetime | None = None
) -> ClassFolder:
    """Take somebody back who had withdrawn."""
    return _stand(class_folder, number, people.BACK, reason, by, now)


def _stand(
    class_folder: ClassFolder, number: int, change: str, reason: str, by: str, now: datetime | None
) -> ClassFolder:
    gone = number in class_folder.changes.gone
    if gone == (change == people.WITHDRAWN):
        state = "has withdrawn already" if gone else "has not withdrawn"
        raise ClassError(f"{class_folder.names[number]} ({number}) {state}. Nothing was changed.")
    with class_folder.alone("changing the class list"):
        people.note_change(
            class_folder.folder, number=number, change=change, to="", reason=_reason(reason),
            by=by, now=now,
        )  # fmt: skip
        return open_class(class_folder.folder)


def extend(
    class_folder: ClassFolder, *, number: int, exercise: str, until: str, reason: str, by: str,
    now: datetime | None = None,
) -> ClassFolder:  # fmt: skip
    """Let one person hand in one exercise until the end of a later day."""
    if exercise not in PAGES:
        raise ClassError(f"exercise is “{exercise[:30]}”; it must be one of: {', '.join(PAGES)}.")
    due = class_folder.dates.due.get(exercise)
    try:
        end = people.end_of(until)
    except ValueError:
        raise ClassError(
            f"--until is “{until[:20]}”; it must be a day such as 2026-11-30."
        ) from None
    if due is None:
        raise ClassError(f"{exercise} has no due date in class.toml, so nothing is late.")
    if end < due:
        raise ClassError(f"--until is {until}; it must not be before the due date of {exercise}.")
    with class_folder.alone("changing the class list"):
        people.note_change(
            class_folder.folder, number=number, change=people.EXTENDED, exercise=exercise,
            to=until, reason=_reason(reason), by=by, now=now,
        )  # fmt: skip
        return open_class(class_folder.folder)


def move(
    class_folder: ClassFolder, other: ClassFolder, *, number: int, to: int, reason: str, by: str,
    now: datetime | None = None,
) -> ClassFolder:  # fmt: skip
    """Move somebody to another class with a copy of their records; the hand-ins stay here."""
    reason = _reason(reason)
    if other.folder == class_folder.folder:
        raise ClassError("The class to move to is this one. Name another class folder.")
    standings = gather(class_folder)
    mine = {page: one for (whose, page), one in standings.records.items() if whose == number}
    former = {number, *(old for old in class_folder.changes.former
                        if class_folder.changes.today(old) == number)}  # fmt: skip
    with class_folder.alone("moving somebody"), other.alone("taking somebody in"):
        _free(other, to)
        name = class_folder.names[number]
        changed = _written(other, sorted([*other.roster, Apprentice(to, name)]))
        manual = {page: standings.manual.get((one.number, page), {}) for page, one in mine.items()}
        people.bring_records(other.folder, number=to, records=mine, manual=manual)
        stamp = (now or datetime.now(UTC)).astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        write_sign_offs(
            other.folder,
            (
                replace(one, number=to, noted=stamp)
                for one in read_sign_offs(class_folder.folder)
                if one.number in former
            ),
        )
        people.note_change(
            other.folder, number=to, change=people.CAME, to=class_folder.code, reason=reason,
            by=by, now=now,
        )  # fmt: skip
        people.note_change(
            class_folder.folder, number=number, change=people.MOVED, to=other.code,
            reason=reason, by=by, now=now,
        )  # fmt: skip
        return changed
