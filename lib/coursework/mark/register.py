"""A register: a CSV file that only grows, a line an event, each line tied to the one before.

The last cell of a line is a check over the line and the check before it, so a
line that was taken out, put in or changed afterwards shows. A line that a cut
left half-written is passed over, and the next one begins on a line of its own.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from taperkey.files import append_whole

__all__ = ["Register", "plain_cell"]

CHECK = "check"
_DIGITS = 12
_IS_CHECK = re.compile(f"[0-9a-f]{{{_DIGITS}}}")
_TIMES = ("noted", "came", "seen", "released")
_TAIL = 16_384  # bytes; more than two of the longest lines


def plain_cell(text: str) -> str:
    """Return a cell that no spreadsheet takes for a formula.

    Examples
    --------
    >>> plain_cell("=2+3")
    "'=2+3"
    >>> plain_cell("Zoë Ferrant")
    'Zoë Ferrant'
    """
    formula = text.lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
    return f"'{text}" if formula else text


@dataclass(frozen=True, kw_only=True)
class Register:
    """One register.

    Attributes
    ----------
    path : Path
        The CSV file; made with the first line.
    columns : tuple of str
        Headings, without the check.
    later : int
        How many of the last columns were added after the first classes; a line of old has none of
        them, and they are empty then.
    """

    path: Path
    columns: tuple[str, ...]
    later: int = 0

    def lines(self) -> list[dict[str, str]]:
        """Return the whole lines, oldest first, each by heading."""
        blank = [""] * self.later
        return [
            dict(zip(self.columns, [*cells[:-1], *blank], strict=False))
            for _, cells in self._cells()
        ]

    def faults(self) -> list[int]:
        """Return the numbers of lines that do not fit to the line before them."""
        found = []
        before = ""
        for number, cells in self._cells():
            if cells[-1] != _check(before, cells[:-1]):
                found.append(number)
            before = cells[-1]
        return found

    def set_back(self) -> list[int]:
        """Return the numbers of lines whose time is before that of the line above them."""
        place = self._time
        times = [(number, cells[place]) for number, cells in self._cells()]
        return [
            number
            for (_, before), (number, now) in zip(times, times[1:], strict=False)
            if now < before
        ]

    def last_time(self) -> str:
        """Return the time on the newest line, as it stands there; empty where there is none."""
        whole = _whole_lines(self._tail(), self._counts)
        time = whole[-1][1][self._time] if whole else ""
        return time if time != self.columns[self._time] else ""

    @property
    def _time(self) -> int:
        """The column that says when a line was written."""
        return next(place for place, one in enumerate(self.columns) if one in _TIMES)

    @staticmethod
    def as_written(cell: str) -> str:
        """Return a cell as it stands in the file: one line, and no formula."""
        line = " ".join("".join(sign if sign.isprintable() else " " for sign in cell).split())
        return plain_cell(line)

    def append(self, lines: Iterable[Sequence[str]]) -> None:
        """Add lines and push them to the disk.

        Raises
        ------
        OSError
            The file cannot be written; what was in it stands. It names the file.
        """
        there = self._tail()
        whole = _whole_lines(there, self._counts)
        before = whole[-1][1][-1] if whole else ""
        text = io.StringIO(newline="")
        writer = csv.writer(text, lineterminator="\n")
        if there and not there.endswith("\n"):
            text.write("\n")
        if not there or (whole and len(whole[-1][1]) <= len(self.columns)):
            writer.writerow((*self.columns, CHECK))
        for line in lines:
            cells = [self.as_written(cell) for cell in line]
            before = _check(before, cells)
            writer.writerow((*cells, before))
        self.path.parent.mkdir(parents=True, exist_ok=True)
        append_whole(self.path, text.getvalue().encode("utf-8", errors="replace"))

    def _cells(self) -> list[tuple[int, list[str]]]:
        """Return line number and cells of every whole line under the headings."""
        try:
            text = self.path.read_bytes().decode("utf-8-sig", errors="replace")
        except FileNotFoundError:
            return []
        return _whole_lines(text, self._counts)

    @property
    def _counts(self) -> tuple[int, ...]:
        """How many cells a line may have, its check among them."""
        full = len(self.columns) + 1
        return (full,) if not self.later else (full, full - self.later)

    def _tail(self) -> str:
        """Return the end of the file, with the last whole line in it."""
        try:
            with self.path.open("rb") as file:
                file.seek(max(0, self.path.stat().st_size - _TAIL))
                return file.read().decode("utf-8", errors="replace")
        except FileNotFoundError:
            return ""


def _whole_lines(text: str, counts: Sequence[int]) -> list[tuple[int, list[str]]]:
    found = []
    for number, line in enumerate(text.split("\n"), start=1):
        try:
            cells = next(csv.reader([line.rstrip("\r")]), [])
        except csv.Error:
            continue
        if len(cells) in counts and _IS_CHECK.fullmatch(cells[-1]):
            found.append((number, cells))
    return found


def _check(before: str, cells: Sequence[str]) -> str:
    text = json.dumps([before, *cells], ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8", errors="replace")).hexdigest()[:_DIGITS]
