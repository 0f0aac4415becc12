"""The class list: numbers and names, read from whatever a spreadsheet wrote.

Commas, semicolons or tabs; with or without a byte order mark; the headings in
the usual spellings, or none. A number that is missing or there twice is refused
with the line it stands on, because two people would share one job card.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from taperkey.files import write_whole
from taperkey.names import JOINERS, require_name

__all__ = ["Apprentice", "RosterError", "parse_roster", "read_roster", "write_roster"]

LARGEST_BYTES = 1_000_000
HIGHEST_NUMBER = 999  # three digits on job cards and hand-ins

_NUMBER = {"number", "no", "nr", "num", "#", "id", "apprentice", "apprentice number", "n"}
_NUMBER |= {"apprentice no", "apprentice nr", "numero", "nummer", "student number", "number no"}
_NAME = {"name", "full name", "apprentice name", "names", "student name", "student"}
_FIRST = {"first name", "given name", "forename", "first", "firstname"}
_ACCOUNT = {"account", "user", "user name", "username", "login"}
_LAST = {"last name", "surname", "family name", "last", "lastname"}


class RosterError(ValueError):
    """The class list cannot be used; the message is one plain sentence."""


@dataclass(frozen=True, order=True)
class Apprentice:
    """One line of the class list."""

    number: int
    name: str
    account: str = field(default="", repr=False)  # on a class's hub; empty: made from the number


def read_roster(path: Path) -> tuple[Apprentice, ...]:
    """Read a class list from a file, in order of number.

    Raises
    ------
    RosterError
        One sentence: the file cannot be read, or a line of it cannot be used.
    """
    step = "Name a file with two columns, number and name."
    try:
        if path.is_dir():
            raise RosterError(f"roster is {path}; it must be a file, not a folder. {step}")
        with path.open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise RosterError(f"roster is {path}; it must be a file that is there. {step}") from None
    except OSError:
        raise RosterError(f"roster is {path}; it must be a file you may read. {step}") from None
    if len(content) > LARGEST_BYTES:
        raise RosterError(f"roster is {path}; it must be under 1 MB. {step}")
    return parse_roster(_text(content, path.name), source=path.name)


def _text(content: bytes, source: str) -> str:
    if content.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise RosterError(
            f"roster is {source}, a spreadsheet file; it must be a CSV file. "
            "Open it and save it as CSV."
        )
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", "replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", "replace")


def parse_roster(text: str, *, source: str = "roster") -> tuple[Apprentice, ...]:
    r"""Read a class list from its text.

    Parameters
    ----------
    text : str
        The list; see the module for what is understood.
    source : str
        What the list is called in a refusal.

    Returns
    -------
    tuple of Apprentice
        In order of number.

    Raises
    ------
    RosterError
        One sentence with the line number.

    Examples
    --------
    >>> parse_roster("No.;Name\n7;Zoë Ferrant\n")
    (Apprentice(number=7, name='Zoë Ferrant'),)
    """
    rows = list(_rows(text, source))
    if not rows:
        raise RosterError(f"{source} has no lines; it must have a number and a name on each line.")
    columns = _heading(rows[0][1])
    account = _account_column(rows[0][1]) if columns else None
    if columns is None:
        columns = _columns_without_heading(rows[0][1])
        if columns is None:
            line, cells = rows[0]
            raise RosterError(
                f"{source}, line {line} is “{_shown(', '.join(cells))}”; it must name the columns "
                "number and name, or start with a number."
            )
    else:
        del rows[0]
    if not rows:
        raise RosterError(f"{source} has only headings; it must have a number and a name a line.")
    seen: dict[int, int] = {}
    apprentices = []
    for line, cells in rows:
        one = _apprentice(cells, columns, source, line)
        if one.number in seen:
            raise RosterError(
                f"{source}, line {line}: number {one.number} is there twice, first on line "
                f"{seen[one.number]}; each apprentice must have a number of their own."
            )
        seen[one.number] = line
        if account is not None and account < len(cells):
            one = replace(one, account=cells[account].lower())
        apprentices.append(one)
    return tuple(sorted(apprentices))


def _rows(text: str, source: str) -> list[tuple[int, list[str]]]:
    """Return the lines that hold something, with their line numbers."""
    sample = text[:4000]
    separator = max("\t;,", key=lambda mark: (sample.count(mark), mark == ","))
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, skipinitialspace=True)
    found: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            tidy = [_tidy(cell) for cell in cells]
            while tidy and not tidy[-1]:
                tidy.pop()
            if tidy and not (tidy[0].lower().startswith("sep=") and not found):
                found.append((reader.line_num, tidy))
    except csv.Error:
        raise RosterError(
            f"{source}, line {reader.line_num + 1} cannot be read; it must be a number and a name."
        ) from None
    return found


def _tidy(cell: str) -> str:
    plain = "".join(
        letter if letter.isprintable() or letter in f" {JOINERS}" else " " for letter in cell
    ).replace("\N{REPLACEMENT CHARACTER}", "?")
    return unicodedata.normalize("NFC", " ".join(plain.split()))


def _shown(text: str) -> str:
    return text if len(text) <= 40 else text[:40] + "…"


_Columns = tuple[int, tuple[int, ...], int]  # number, parts of the name, columns in the heading


def _heading(cells: Sequence[str]) -> _Columns | None:
    words = [re.sub(r"[\s._-]+", " ", cell.lower()).strip() for cell in cells]

    def where(spellings: set[str]) -> int | None:
        return next((place for place, word in enumerate(words) if word in spellings), None)

    number, name, first, last = where(_NUMBER), where(_NAME), where(_FIRST), where(_LAST)
    parts: tuple[int, ...] = tuple(one for one in (first, last) if one is not None)
    if name is not None:
        # "Name" beside "First name" is the family name.
        parts = (first, name) if first is not None and last is None else (name,)
    if number is None or not parts:
        return None
    return number, parts, len(cells)


def _account_column(cells: Sequence[str]) -> int | None:
    words = [re.sub(r"[\s._-]+", " ", cell.lower()).strip() for cell in cells]
    return next((place for place, word in enumerate(words) if word in _ACCOUNT), None)


def _columns_without_heading(cells: Sequence[str]) -> _Columns | None:
    numeric = [_number(cell) is not None for cell in cells[:2]]
    if numeric in ([True], [True, False]):
        return 0, (1,), 2
    if numeric == [False, True]:
        return 1, (0,), 2
    return None


def _number(cell: str) -> int | None:
    match = re.fullmatch(r"#?\s*([0-9]{1,9})(?:\.0*)?", cell)
    return int(match.group(1)) if match else None


def _apprentice(cells: list[str], columns: _Columns, source: str, line: int) -> Apprentice:
    place, parts, width = columns
    typed = cells[place] if place < len(cells) else ""
    step = "Give each apprentice a number."
    if not typed:
        raise RosterError(
            f"{source}, line {line}: number is blank; it must be from 1 to {HIGHEST_NUMBER}. {step}"
        )
    number = _number(typed)
    if number is None or not 1 <= number <= HIGHEST_NUMBER:
        raise RosterError(
            f"{source}, line {line}: number is “{_shown(typed)}”; it must be a whole number from "
            f"1 to {HIGHEST_NUMBER}. {step}"
        )
    name = " ".join(cells[part] for part in parts if part < len(cells) and cells[part])
    if parts == (width - 1,) and len(cells) > width:  # "7,Ferrant, Zoë" with nothing quoted
        name = ", ".join(cell for cell in cells[width - 1 :] if cell)
    if not name:
        raise RosterError(
            f"{source}, line {line}: number {number} has no name; it must have one. Write the name "
            "beside the number."
        )
    try:
        require_name(f"{source}, line {line}: name", name, step="Correct it in the file.")
    except ValueError as error:
        raise RosterError(str(error)) from None
    return Apprentice(number, name)


def write_roster(path: Path, *, roster: Sequence[Apprentice]) -> None:
    """Write a class list as CSV with headings, in order of number."""
    lines = io.StringIO(newline="")
    writer = csv.writer(lines, lineterminator="\r\n")
    if any(one.account for one in roster):
        writer.writerow(("number", "name", "account"))
        writer.writerows((one.number, one.name, one.account) for one in sorted(roster))
    else:
        writer.writerow(("number", "name"))
        writer.writerows((one.number, one.name) for one in sorted(roster))
    write_whole(path, lines.getvalue().encode("utf-8-sig"))
