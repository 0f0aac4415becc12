"""What the assessor entered by hand, with who it was and the day on which it was first seen.

nbgrader's gradebook keeps a mark given in the marking screen, but not when, nor whose it is. The
screen adds a line to ``by-hand.csv`` in the class folder for every mark and comment as it is saved,
with the assessor's account (``handwatch``). Each marking run and report compares the gradebook with
that file and adds what came in otherwise. So what stood there before can always be looked up.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from filelock import FileLock

from coursework.mark.records import ManualMark
from coursework.mark.register import Register

__all__ = [
    "ByHand",
    "HandMark",
    "by_hand_register",
    "cells_of",
    "hold_register",
    "note_by_hand",
    "read_by_hand",
]

ByHand = Mapping[tuple[int, str], Mapping[str, ManualMark]]


@dataclass(frozen=True, kw_only=True)
class HandMark:
    """The latest line on one question of one apprentice.

    Attributes
    ----------
    seen : str
        When it was first seen, UTC, such as "2026-11-25T12:00:00Z".
    score, extra : str
        Mark and extra credit as written; empty for none.
    comment : str
        The comment, on one line.
    by : str
        The assessor's account or name; empty where that was not kept.
    """

    seen: str
    score: str
    extra: str
    comment: str
    by: str = ""


def by_hand_register(folder: Path) -> Register:
    """Return the register of marks by hand of a class folder."""
    columns = ("seen", "number", "exercise", "entry", "mark", "extra", "comment", "by")
    return Register(path=folder / "by-hand.csv", columns=columns, later=1)


def hold_register(folder: Path) -> FileLock:
    """Return what holds the register while somebody adds to it: screens and runs are at once."""
    return FileLock(folder / ".by-hand.lock", timeout=20)


def read_by_hand(folder: Path) -> dict[tuple[int, str, str], HandMark]:
    """Return the latest line on each number, exercise and question."""
    found = {}
    for line in by_hand_register(folder).lines():
        if line["number"].isdecimal():
            found[int(line["number"]), line["exercise"], line["entry"]] = HandMark(
                seen=line["seen"],
                score=line["mark"],
                extra=line["extra"],
                comment=line["comment"],
                by=line["by"],
            )
    return found


def cells_of(mark: ManualMark | None) -> tuple[str, str, str]:
    """Return mark, extra credit and comment as they are written."""
    if mark is None:
        return "", "", ""
    comment = " ".join(mark.comment.split())
    return (
        "" if mark.score is None else f"{mark.score:g}",
        f"{mark.extra:g}" if mark.extra else "",
        comment,
    )


def note_by_hand(
    *,
    folder: Path,
    manual: ByHand,
    now: str,
    hands: Mapping[tuple[int, str, str], tuple[str, str]] = MappingProxyType({}),
) -> int:
    """Add a line for everything by hand that is new or changed; return how many.

    Parameters
    ----------
    folder : Path
        The class folder.
    manual : mapping
        What stands in the gradebook, by number and exercise, then by question.
    now : str
        When, UTC.
    hands : mapping, optional
        Mark as written and who gave it, where a sign-off or a moderation says so, by number,
        exercise and question.
    """
    with hold_register(folder):
        return _note(folder, manual, now, hands)


def _note(
    folder: Path,
    manual: ByHand,
    now: str,
    hands: Mapping[tuple[int, str, str], tuple[str, str]],
) -> int:
    register = by_hand_register(folder)
    known = {key: (one.score, one.extra, one.comment) for key, one in read_by_hand(folder).items()}
    there = {
        (number, exercise, entry): cells_of(mark)
        for (number, exercise), marks in manual.items()
        for entry, mark in marks.items()
    }
    lines = []
    for key in sorted({*known, *there}):
        cells = there.get(key, ("", "", ""))
        written = (cells[0], cells[1], register.as_written(cells[2]))
        if written != known.get(key, ("", "", "")):
            mark, by = hands.get(key, ("", ""))
            lines.append((now, str(key[0]), key[1], key[2], *cells, by if mark == cells[0] else ""))
    if lines:
        register.append(lines)
    return len(lines)
