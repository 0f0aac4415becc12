"""What the assessor entered by hand, with the day on which it was first seen.

nbgrader's gradebook keeps a mark given in the marking screen, but not when. Each
marking run and report compares the gradebook with ``by-hand.csv`` in the class
folder and adds a line for what is new or changed: so a sign-off has a date, and
what stood there before can be looked up.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from coursework.mark.records import ManualMark
from coursework.mark.register import Register

__all__ = ["ByHand", "HandMark", "by_hand_register", "note_by_hand", "read_by_hand"]

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
    """

    seen: str
    score: str
    extra: str
    comment: str


def by_hand_register(folder: Path) -> Register:
    """Return the register of marks by hand of a class folder."""
    columns = ("seen", "number", "exercise", "entry", "mark", "extra", "comment")
    return Register(path=folder / "by-hand.csv", columns=columns)


def read_by_hand(folder: Path) -> dict[tuple[int, str, str], HandMark]:
    """Return the latest line on each number, exercise and question."""
    found = {}
    for line in by_hand_register(folder).lines():
        if line["number"].isdigit():
            found[int(line["number"]), line["exercise"], line["entry"]] = HandMark(
                seen=line["seen"],
                score=line["mark"],
                extra=line["extra"],
                comment=line["comment"],
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


def note_by_hand(*, folder: Path, manual: ByHand, now: str) -> int:
    """Add a line for everything by hand that is new or changed; return how many.

    Parameters
    ----------
    folder : Path
        The class folder.
    manual : mapping
        What stands in the gradebook, by number and exercise, then by question.
    now : str
        When, UTC.
    """
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
            lines.append((now, str(key[0]), key[1], key[2], *cells))
    if lines:
        register.append(lines)
    return len(lines)
