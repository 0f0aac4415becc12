"""The auditor's page: one apprentice from hand-in to record, with every hand that touched it.

Everything is read from the registers of the class folder, each line with the file that it stands
in; nothing is worked out that is not there. What the marker gave is in the records, and
``class verify`` works it out again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from coursework.course import PAGES, page_of
from coursework.mark.byhand import by_hand_register
from coursework.mark.kept import read_arrivals
from coursework.mark.lateness import local_text, utc_of
from coursework.mark.records import final_marks, totals
from coursework.mark.replaced import read_replaced
from coursework.mark.second import second_register
from coursework.mark.signoff import read_sign_offs, tasks
from coursework.room.cards import page_template
from coursework.room.changes import side_words
from coursework.room.classfolder import ClassError, ClassFolder
from coursework.room.marks import plain
from coursework.room.people import people_register
from coursework.room.signing import failed_words, sign_off_how, sign_off_words
from coursework.room.standings import Standings, gather, in_one_sentence
from taperkey.files import write_whole

__all__ = ["Event", "find_person", "trail_of", "write_trail"]

ROOM = "audit"
MARKER = "the marker"
NOBODY = "no name was kept"


@dataclass(frozen=True, kw_only=True, order=True)
class Event:
    """One thing that was done to one apprentice's work.

    Attributes
    ----------
    at : str
        When, UTC, as it stands in the register.
    exercise, what : str
        Which exercise, and what was done.
    who : str
        Whose hand it was.
    where : str
        The file of the class folder that says so.
    """

    at: str
    exercise: str
    what: str
    who: str
    where: str

    @property
    def time(self) -> str:
        """When, on the clock of this machine."""
        return local_text(utc_of(self.at)) if self.at else ""


def find_person(class_folder: ClassFolder, person: str) -> int:
    """Return the number of somebody named by number or by name.

    Raises
    ------
    ClassError
        Nobody is called so, or more than one.
    """
    wanted = " ".join(person.split()).casefold()
    names = class_folder.names
    found = [
        number
        for number, name in names.items()
        if wanted in (str(number), f"{number:03d}", name.casefold())
    ] or [number for number, name in names.items() if wanted and wanted in name.casefold()]
    if len(found) == 1:
        return found[0]
    if not found:
        raise ClassError(
            f"person is “{person[:40]}”; it must be a name or a number of roster.csv. Look at the "
            "class list."
        )
    told = ", ".join(f"{names[number]} ({number})" for number in found)
    raise ClassError(f"person is “{person[:40]}”, and that is {told}. Give the number.")


def trail_of(class_folder: ClassFolder, number: int) -> list[Event]:
    """Return everything that was done to one apprentice's work, in the order of the registers."""
    standings = gather(class_folder)
    folder = class_folder.folder
    parts: list[Iterator[Event]] = []
    for one in class_folder.numbers_of(number):
        parts += [
            _arrivals(class_folder, one),
            _replaced(class_folder, one),
            _by_hand(folder, one),
            _sign_offs(folder, one),
            _second(folder, one),
            _changes(folder, one),
        ]
    parts.append(_moderations(standings, number))  # after the line by hand that each one makes
    return sorted((one for part in parts for one in part), key=lambda one: one.at)


def _arrivals(class_folder: ClassFolder, number: int) -> Iterator[Event]:
    for one in read_arrivals(class_folder.folder):
        if one.number == number:
            yield Event(
                at=one.came,
                exercise=one.exercise,
                what=f"handed in (made {local_text(utc_of(one.made))}, came as {one.source}), kept "
                f"as {one.kept_as.rsplit('/', 1)[-1]}, sha256 {one.sha256[:12]}",
                who=class_folder.names.get(number, f"number {number}"),
                where="arrivals.csv",
            )


def _replaced(class_folder: ClassFolder, number: int) -> Iterator[Event]:
    for one in read_replaced(class_folder.folder):
        if one.number == number:
            yield Event(
                at=one.noted,
                exercise=one.exercise,
                what=f"a hand-in took the place of another: {side_words(one.before)}; now "
                f"{side_words(one.now)}",
                who=MARKER,
                where="replaced.csv",
            )


def _label(key: str) -> str:
    try:
        return page_of(key).question(key).label
    except LookupError:
        return key


def _by_hand(folder: Path, number: int) -> Iterator[Event]:
    for line in by_hand_register(folder).lines():
        if line["number"] == str(number):
            mark = f"mark {line['mark']}" if line["mark"] else "no mark"
            extra = f" and {line['extra']} extra" if line["extra"] else ""
            said = f", “{line['comment']}”" if line["comment"] else ""
            yield Event(
                at=line["seen"],
                exercise=line["exercise"],
                what=f"by hand, {_label(line['entry'])}: {mark}{extra}{said}",
                who=line["by"] or NOBODY,
                where="by-hand.csv",
            )


def _sign_offs(folder: Path, number: int) -> Iterator[Event]:
    known = tasks()
    for one in read_sign_offs(folder):
        if one.number == number:
            task = known.get(one.task)
            lacks = failed_words(task, one) if task is not None and one.failed else ""
            yield Event(
                at=one.noted,
                exercise=task.exercise if task else one.task,
                what=f"watched on {one.date}, {sign_off_how(one)}, {_label(one.task)}: "
                f"{sign_off_words(one)}, {one.marks} marks"
                + (f". Not passed: {lacks}" if lacks else "")
                + (f" “{one.note}”" if one.note else ""),
                who=one.by,
                where="sign-offs.csv",
            )


def _second(folder: Path, number: int) -> Iterator[Event]:
    for line in second_register(folder).lines():
        if line["number"] == str(number):
            said = f", “{line['comment']}”" if line["comment"] else ""
            yield Event(
                at=line["noted"],
                exercise=line["exercise"],
                what=f"second mark, {_label(line['entry'])}: {line['mark']}{said}",
                who=line["by"],
                where="second-marks.csv",
            )


def _changes(folder: Path, number: int) -> Iterator[Event]:
    for line in people_register(folder).lines():
        if line["number"] == str(number):
            to = f" to {line['to']}" if line["to"] else ""
            yield Event(
                at=line["noted"],
                exercise=line["exercise"],
                what=f"{line['change']}{to}: {line['reason']}",
                who=line["by"],
                where="people.csv",
            )


def _moderations(standings: Standings, number: int) -> Iterator[Event]:
    for (whose, exercise), record in standings.records.items():
        for act in record.moderated if whose == number else ():
            before = "no mark" if act.instead_of is None else plain(act.instead_of)
            done = (
                "moderation withdrawn"
                if act.mark is None
                else f"moderated, {plain(act.mark)} instead of {before}"
            )
            yield Event(
                at=act.at,
                exercise=exercise,
                what=f"{done}, {_label(act.entry)}: {act.reason}",
                who=act.by,
                where=f"moderation/{record.number:03d}/{exercise}.json",
            )


def write_trail(class_folder: ClassFolder, number: int) -> Path:
    """Write the auditor's page of one apprentice; return where it is."""
    with in_one_sentence():
        standings = gather(class_folder)
        events = trail_of(class_folder, number)
    records = []
    for name, page in PAGES.items():
        record = standings.records.get((number, name))
        if record is None:
            continue
        given = standings.manual.get((record.number, name), {})
        marks = final_marks(record, given)
        sums = totals(record, given)
        records.append(
            {
                "title": f"{name[:2]}  {page.title}",
                "hand_in": record.hand_in[:12],
                "made": local_text(utc_of(record.made)),
                "came": local_text(utc_of(record.came)) if record.came else "",
                "marker": record.marker_version,
                "card": record.card_version,
                "mark": plain(sums.marked),
                "out_of": plain(sums.marked_out_of),
                "rows": [
                    {
                        "label": _label(one.key),
                        "entered": one.entered[:200],
                        "judged": "by the assessor" if one.state == "waiting" else one.state,
                        "marker": "–" if one.state == "waiting" else plain(one.mark),
                        "counts": "waiting" if one.key in sums.waiting else plain(marks[one.key]),
                        "out_of": plain(one.out_of),
                    }
                    for one in record.verdicts
                ],
            }
        )
    text = page_template("trail.html.j2").render(
        code=class_folder.code,
        title=class_folder.title,
        number=f"{number:03d}",
        name=class_folder.names[number],
        events=events,
        hands=sorted({one.who for one in events}),
        records=records,
    )
    path = class_folder.folder / ROOM / f"{number:03d}.html"
    write_whole(path, text.encode())
    return path
