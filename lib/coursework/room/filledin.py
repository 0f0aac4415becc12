"""A CSV file that somebody filled in with a spreadsheet: its lines by the names of its columns."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from coursework.room.classfolder import ClassError

__all__ = ["filled_lines"]


def filled_lines(
    path: Path, *, columns: Sequence[str], expected: str
) -> list[tuple[int, dict[str, str]]]:
    """Return each line below the head with its number, cells by column in small letters.

    Parameters
    ----------
    path : Path
        The file; commas, semicolons or tabs between its cells.
    columns : sequence of str
        Columns that must be there.
    expected : str
        What must be there and which file to begin with, for the sentence when one is missing.

    Raises
    ------
    ClassError
        One sentence: it cannot be read, is no text, or has not the columns.
    """
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise ClassError(
            f"{path} cannot be read ({error.strerror}); it must be a CSV file. Look at its name."
        ) from None
    except UnicodeDecodeError:
        raise ClassError(
            f"{path} is not text; it must be a CSV file. Save the spreadsheet as CSV."
        ) from None
    first = text.partition("\n")[0]
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=max("\t;,", key=first.count))
    try:
        rows = list(reader)
    except csv.Error:
        raise ClassError(
            f"{path.name}, line {reader.line_num}: a cell is too long; a quotation mark may be "
            "open there. Save the spreadsheet as CSV again."
        ) from None
    head = [cell.strip().lower() for cell in rows[0]] if rows else []
    missing = [name for name in columns if name not in head]
    if missing:
        raise ClassError(f"{path.name} has no column “{missing[0]}”; it must have {expected}")
    return [
        (line, dict(zip(head, (cell.strip() for cell in row), strict=False)))
        for line, row in enumerate(rows[1:], start=2)
    ]
