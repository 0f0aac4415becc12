"""Read a published table from its CSV file.

Lines that start with ``#`` carry the source of the table; the first other line
names the columns. Numbers may be written as they stand in the book: ``0.375``,
``3/8`` or ``1-3/8``. Columns that end in ``_mm`` stay in millimeters.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any

from taperkey.checks import require_finite, sentence

__all__ = ["Row", "parse_number", "read_source", "read_table", "row_between"]

Row = Mapping[str, Any]

UNIT_SUFFIXES = ("_in", "_in2", "_mm", "_mm2", "_lbf", "_lbf_in", "_psi", "_ksi", "_mpa", "_tons",
                 "_lb", "_rad", "_deg", "_per_in", "_per_degF", "_per_degC")  # fmt: skip
TEXT_COLUMNS = ("name", "designation", "size", "thread", "source", "status", "note", "kind")


def parse_number(*, text: str) -> float:
    """Return a number written as a decimal, a fraction or a whole and a fraction.

    Parameters
    ----------
    text : str
        Such as ``0.375``, ``3/8``, ``1-3/8`` or ``-0.020``.

    Returns
    -------
    float
        The number.

    Raises
    ------
    ValueError
        If the text is none of these.

    Examples
    --------
    >>> parse_number(text="1-3/8"), parse_number(text="3/4"), parse_number(text="-.020")
    (1.375, 0.75, -0.02)
    """
    plain = text.strip()
    whole, dash, part = plain.partition("-")
    if "/" in part and whole.isdigit():
        return float(int(whole) + Fraction(part))
    return float(Fraction(plain)) if "/" in plain else float(plain)


def _is_number(text: str) -> bool:
    try:
        parse_number(text=text)
    except (ValueError, ZeroDivisionError):
        return False
    return True


def _lines(name: str) -> list[str]:
    path = resources.files(__package__).joinpath(f"{name}.csv")
    if not path.is_file():
        raise ValueError(f"table is {name!r}; it must be a CSV file of taperkey/tables.")
    return path.read_text(encoding="utf-8").splitlines()


@cache
def read_table(name: str) -> tuple[Row, ...]:
    """Return the rows of a table, numbers converted, in the order of the file.

    A column is numeric when every filled field in it is a number, unless its
    last word is one of `TEXT_COLUMNS`. A column whose name ends in a unit must
    be numeric. An empty field is None. Rows are read-only and read once.

    Parameters
    ----------
    name : str
        File name without ``.csv``.

    Returns
    -------
    tuple of mapping
        One mapping a row: column name to float, str or None.

    Raises
    ------
    ValueError
        If there is no such table, a row is too long or short, or a column with
        a unit holds text.

    Examples
    --------
    >>> read_table("inch_key_sizes")[0]["width_in"]
    0.09375
    """
    body = [line for line in _lines(name) if line.strip() and not line.startswith("#")]
    header, *records = [[field.strip() for field in record] for record in csv.reader(body)]
    for number, record in enumerate(records, start=1):
        if len(record) != len(header):
            raise ValueError(
                f"table {name} row {number} has {len(record)} fields; it must have {len(header)}."
            )
    columns: dict[str, list[Any]] = {}
    for place, column in enumerate(header):
        fields: list[Any] = [record[place] or None for record in records]
        filled = [field for field in fields if field is not None]
        bad = [field for field in filled if not _is_number(field)]
        if column.endswith(UNIT_SUFFIXES) and bad:
            raise ValueError(f"table {name} column {column} holds {bad[0]!r}; it must be a number.")
        if filled and not bad and column.rsplit("_", 1)[-1] not in TEXT_COLUMNS:
            fields = [None if field is None else parse_number(text=field) for field in fields]
        columns[column] = fields
    return tuple(
        MappingProxyType({column: columns[column][place] for column in header})
        for place in range(len(records))
    )


@cache
def read_source(name: str) -> str:
    """Return the source of a table: its ``#`` lines, joined to one text.

    Parameters
    ----------
    name : str
        File name without ``.csv``.

    Returns
    -------
    str
        The source and its status.

    Examples
    --------
    >>> "B17.1" in read_source("inch_key_sizes")
    True
    """
    return " ".join(line.lstrip("# ").strip() for line in _lines(name) if line.startswith("#"))


def row_between(
    *, table: str, value: float, what: str, unit: str = "in", next_step: str = "", **where: str
) -> Row:
    """Return the row whose "over ... to and including" holds a value.

    Parameters
    ----------
    table : str
        Name of a table with columns ``over_in`` and ``to_in``, or ``over_mm`` and ``to_mm``.
    value : float
        Value to look up, in `unit`. A billionth of a unit is rounded away first, so that a
        size converted from another unit still falls on its boundary.
    what : str
        What the value is called in the trade, for the sentence when it is out of range.
    unit : str
        ``"in"`` or ``"mm"``.
    next_step : str
        What to do when it is out of range.
    **where : str
        Columns that must hold these words, such as ``kind="bar"``.

    Returns
    -------
    mapping
        The row.

    Raises
    ------
    ValueError
        If no row holds the value.

    Examples
    --------
    >>> row_between(table="inch_key_sizes", value=2.25, what="shaft diameter")["width_in"]
    0.5
    >>> row_between(table="inch_key_sizes", value=2.26, what="shaft diameter")["width_in"]
    0.625
    """
    require_finite(what, value, unit, next_step)
    over, to = f"over_{unit}", f"to_{unit}"
    rounded = round(value, 9)
    rows = [
        row
        for row in read_table(table)
        if all(row[column] == word for column, word in where.items())
    ]
    for row in rows:
        if row[over] < rounded <= row[to]:
            return row
    low, high = min(row[over] for row in rows), max(row[to] for row in rows)
    rule = f"over {low:.6g} {unit}, up to and including {high:.6g} {unit}"
    raise ValueError(sentence(what, float(value), unit, rule, next_step))
