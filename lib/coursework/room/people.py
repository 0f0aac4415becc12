"""Who comes, goes, changes number or gets longer: without losing a mark.

Every change is a line in ``people.csv`` in the class folder, a register that only grows, with the
assessor's name and a reason. Whoever gets another number keeps what was marked under the former
one; cards, hand-ins and marks of then stay where they are. Whoever withdraws stays on the list and
in the files, and out of the report. Whoever comes from another class brings a copy of what was
marked there; `class verify` of that class is what works it out again.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from pathlib import Path

from coursework.course import PAGES
from coursework.mark.lateness import utc_of
from coursework.mark.records import ManualMark, MarkRecord
from coursework.mark.register import Register
from taperkey.files import write_whole

__all__ = [
    "PEOPLE",
    "Changes",
    "bring_records",
    "note_change",
    "people_register",
    "read_brought",
    "read_changes",
]

PEOPLE = "people.csv"
BROUGHT = "brought"
RENUMBERED, WITHDRAWN, BACK, EXTENDED, MOVED, CAME = (
    "renumbered", "withdrawn", "back", "extended", "moved", "came",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Changes:
    """What the register comes to.

    Attributes
    ----------
    former : mapping of int to int
        The number of today by a former number.
    gone : mapping of int to str
        Since when somebody has withdrawn or moved, UTC, by number.
    extended : mapping
        Until when, UTC, by number and exercise.
    """

    former: Mapping[int, int]
    gone: Mapping[int, str]
    extended: Mapping[tuple[int, str], datetime]

    def today(self, number: int) -> int:
        """Return the number that somebody has today."""
        while number in self.former:
            number = self.former[number]
        return number


def people_register(folder: Path) -> Register:
    """Return the register of changes to a class list."""
    columns = ("noted", "number", "change", "exercise", "to", "reason", "by")
    return Register(path=folder / PEOPLE, columns=columns)


def note_change(
    folder: Path, *, number: int, change: str, to: str, reason: str, by: str, exercise: str = "",
    now: datetime | None = None,
) -> None:  # fmt: skip
    """Add a line to the register."""
    stamp = (now or datetime.now(UTC)).astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    people_register(folder).append([(stamp, str(number), change, exercise, to, reason, by)])


def end_of(day: str) -> datetime:
    """Return the end of a day, UTC."""
    return datetime.combine(date.fromisoformat(day), time(23, 59, 59)).astimezone(UTC)


def read_changes(folder: Path) -> Changes:
    """Return what the register comes to; a line that cannot be read is passed over."""
    former: dict[int, int] = {}
    gone: dict[int, str] = {}
    extended: dict[tuple[int, str], datetime] = {}
    for line in people_register(folder).lines():
        try:
            number = int(line["number"])
            if line["change"] == RENUMBERED:
                former[number] = int(line["to"])
                former.pop(int(line["to"]), None)
            elif line["change"] in (WITHDRAWN, MOVED):
                gone[number] = line["noted"]
            elif line["change"] == BACK:
                gone.pop(number, None)
            elif line["change"] == EXTENDED:
                extended[number, line["exercise"]] = end_of(line["to"])
        except ValueError:
            continue
    return Changes(former=former, gone=gone, extended=extended)


def bring_records(
    folder: Path,
    *,
    number: int,
    records: Mapping[str, MarkRecord],
    manual: Mapping[str, Mapping[str, ManualMark]],
) -> int:
    """Keep a copy of what somebody had in another class; return how many exercises.

    Parameters
    ----------
    folder : Path
        The class folder that they come to.
    number : int
        Their number there.
    records, manual : mapping
        Records, and what the marking screen had, by exercise.
    """
    for exercise, record in records.items():
        given = {
            key: {"score": one.score, "extra": one.extra, "comment": one.comment}
            for key, one in manual.get(exercise, {}).items()
        }
        content = {"record": json.loads(record.to_json()), "by hand": given}
        path = folder / BROUGHT / f"{number:03d}" / f"{exercise}.json"
        write_whole(path, (json.dumps(content, ensure_ascii=False, indent=1) + "\n").encode())
    return len(records)


def read_brought(folder: Path) -> Iterator[tuple[MarkRecord, dict[str, ManualMark]]]:
    """Yield what was brought from other classes, under the number of this one."""
    for path in sorted((folder / BROUGHT).glob("[0-9][0-9][0-9]/*.json")):
        if path.stem not in PAGES:
            continue
        content = json.loads(path.read_text("utf-8"))
        record = MarkRecord.from_json(json.dumps(content["record"]))
        given = {
            key: ManualMark(key=key, score=one["score"], extra=one["extra"], comment=one["comment"])
            for key, one in content["by hand"].items()
        }
        yield replace(record, number=int(path.parent.name)), given


def since(stamp: str) -> str:
    """Return the day of a line, such as "2026-11-25"."""
    return utc_of(stamp).date().isoformat()
