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


def _still_there(class_folder: ClassFolder, number: int) -> None:
    """Refuse a number that another run has taken off the list since it was looked up."""
    if number not in class_folder.names:
        raise ClassError(f"apprentice number is {number}; it must be one of {ROSTER}. Look again.")


def _written(class_folder: ClassFolder, roster: Sequence[Apprentice]) -> ClassFolder:
    write_roster(class_folder.folder / ROSTER, roster=roster)
    return open_class(class_folder.folder)


def renumber(
    class_folder: ClassFolder, *, number: int, to: int, reason: str, by: str,
    now: datetime | None = None,
) -> ClassFolder:  # fmt: skip
    """Give somebody another number; what was marked under the former one stays theirs."""
    reason = _reason(reason)
    with class_folder.alone("changing the class list") as class_folder:
        _still_there(class_folder, number)
        if class_folder.changes.today(number) == to or number == to:
            raise ClassError(
                f"{class_folder.names[number]} has number {to} already. Nothing was changed."
            )
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
    with class_folder.alone("changing the class list") as class_folder:
        _still_there(class_folder, number)
        gone = number in class_folder.changes.gone
        if gone == (change == people.WITHDRAWN):
            state = "has withdrawn already" if gone else "has not withdrawn"
            raise ClassError(
                f"{class_folder.names[number]} ({number}) {state}. Nothing was changed."
            )
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
    with class_folder.alone("changing the class list") as class_folder:
        _still_there(class_folder, number)
        if class_folder.changes.extended.get((number, exercise)) == end:
            raise ClassError(
                f"{class_folder.names[number]} ({number}) may hand in {exercise} until {until} "
                "already. Nothing was changed."
            )
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
    with (
        class_folder.alone("moving somebody") as class_folder,
        other.alone("taking somebody in") as other,
    ):
        _still_there(class_folder, number)
        name = class_folder.names[number]
        if number in class_folder.changes.gone:
            raise ClassError(
                f"{name} ({number}) is not in this class any more. Look at {people.PEOPLE}."
            )
        standings = gather(class_folder)
        mine = {page: one for (whose, page), one in standings.records.items() if whose == number}
        former = set(class_folder.numbers_of(number))
        # That they come is noted first, that they went last: a move that was cut off is in both
        # classes, and the same command again goes on with it.
        if not _coming(other, to=to, name=name, code=class_folder.code):
            _free(other, to)
            people.note_change(
                other.folder, number=to, change=people.CAME, to=class_folder.code, reason=reason,
                by=by, now=now,
            )  # fmt: skip
        if to not in other.names:
            _written(other, sorted([*other.roster, Apprentice(to, name)]))
        manual = {page: standings.manual.get((one.number, page), {}) for page, one in mine.items()}
        people.bring_records(other.folder, number=to, records=mine, manual=manual)
        stamp = (now or datetime.now(UTC)).astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        there = {replace(one, noted=stamp) for one in read_sign_offs(other.folder)}
        theirs = [
            replace(one, number=to, noted=stamp)
            for one in read_sign_offs(class_folder.folder)
            if one.number in former
        ]
        write_sign_offs(other.folder, (one for one in theirs if one not in there))
        people.note_change(
            class_folder.folder, number=number, change=people.MOVED, to=other.code,
            reason=reason, by=by, now=now,
        )  # fmt: skip
        return open_class(other.folder)


def _coming(other: ClassFolder, *, to: int, name: str, code: str) -> bool:
    """Return whether a move of somebody to this number was begun and cut off."""
    lines = [
        one
        for one in people.people_register(other.folder).lines()
        if (one["number"], one["change"], one["to"]) == (str(to), people.CAME, code)
    ]
    return bool(lines) and to not in other.changes.gone and other.names.get(to, name) == name
