"""The rules of thumb of the trade, each once: value, unit, kind and words.

They stand in ``practice.csv`` beside this module. What is printed in a book has its place in
``tables``; here is what a shop goes by, and what this course chose itself and says so. A module
keeps a named constant where that reads well, and fills it from here; a page shows the number
that stands here.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from taperkey.said import Number
from taperkey.tables.reader import parse_number

__all__ = ["KINDS", "Rule", "metric", "read_rules", "rule", "rules", "span", "value", "values"]

FILE = "practice.csv"
COLUMNS = ("name", "value", "unit", "metric", "kind", "words")

KINDS: Mapping[str, str] = MappingProxyType(
    {
        "published": "published",
        "common practice": "common practice",
        "own model": "the course's own model",
        "from memory": "from memory",
    }
)
"""Kinds of rule, and how each is named wherever it is shown."""

UNITS = (
    "",
    "in",
    "in2",
    "in3",
    "ft/s",
    "lb",
    "lbf",
    "psi",
    "psi/in",
    "bar",
    "min",
    "h",
    "degF",
    "diameters",
    "threads",
    "blows",
)


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of thumb.

    Attributes
    ----------
    name : str
        By which it is asked for.
    values : tuple of float
        One number, the two ends of a range, or steps, in `unit`.
    shown : tuple of str
        The same as they are read: 1/8, 0.010, 14,000.
    unit : str
        Unit; empty for a pure number.
    metric : tuple of float
        Sizes that a metric shop works to, in `metric_unit`; empty where it has none of its own.
    metric_shown : str
        The same as they are read, with their unit.
    kind : str
        A key of :data:`KINDS`.
    words : str
        What it is, or where it is printed, in one sentence.
    """

    name: str
    values: tuple[float, ...]
    shown: tuple[str, ...]
    unit: str
    metric: tuple[float, ...]
    metric_shown: str
    kind: str
    words: str

    @property
    def value(self) -> float:
        """Its only number."""
        if len(self.values) != 1:
            raise ValueError(
                f"{FILE}: rule {self.name!r} has {len(self.values)} numbers; it must have one here."
                " Ask for its span or its values."
            )
        return self.values[0]

    @property
    def span(self) -> tuple[float, float]:
        """The low and the high end of a range."""
        if len(self.values) != 2:
            raise ValueError(
                f"{FILE}: rule {self.name!r} has {len(self.values)} numbers; it must have two here,"
                " low and high."
            )
        return self.values[0], self.values[1]

    @property
    def kind_said(self) -> str:
        """Its kind, as a page or a sheet names it."""
        return KINDS[self.kind]

    @property
    def number(self) -> Number:
        """The value for a sentence (`taperkey.said.Said`), which a shop reads in its own units."""
        if len(self.values) == 2:
            return Number(self.values, self.shown, self.unit, " to ", "outward")
        return Number(self.values, self.shown, self.unit, ", ")

    @property
    def both(self) -> str:
        """The value with a metric shop's own size beside it, and its kind.

        >>> rule("side_clearance").both
        '0.002 in (0.05 mm), common practice'
        """
        metric = f" ({self.metric_shown})" if self.metric else ""
        return f"{self.number}{metric}, {self.kind_said}"

    def basis(self) -> str:
        """Return value, kind and words as one line.

        Examples
        --------
        >>> rule("left_to_drive").basis()[:49]
        "1/8 in (the course's own model): Travel to home t"
        """
        return f"{self.number} ({self.kind_said}): {self.words}"


def _fault(number: int, said: str) -> ValueError:
    return ValueError(f"{FILE} line {number}: {said}")


def _numbers(line: int, column: str, text: str) -> tuple[float, ...]:
    try:
        return tuple(parse_number(text=one) for one in text.split())
    except (ValueError, ZeroDivisionError):
        raise _fault(
            line,
            f"{column} is {text!r}; it must be a number such as 0.010 or 1/8, or several with"
            " spaces between.",
        ) from None


def _rule(line: int, fields: list[str]) -> Rule:
    if len(fields) != len(COLUMNS):
        raise _fault(
            line,
            f"it has {len(fields)} fields; it must have {len(COLUMNS)}: {', '.join(COLUMNS)}."
            " Words with a comma in them go between quotation marks.",
        )
    name, shown, unit, metric_shown, kind, words = (field.strip() for field in fields)
    if not name.isidentifier():
        raise _fault(
            line, f"name is {name!r}; it must be words joined by underscores, such as step_relief."
        )
    found = _numbers(line, "value", shown)
    if not found:
        raise _fault(line, "value is missing; it must be a number such as 0.010 or 1/8.")
    if unit not in UNITS:
        raise _fault(line, f"unit is {unit!r}; it must be empty or {', '.join(UNITS[1:])}.")
    size, _, metric_unit = metric_shown.rpartition(" ")
    sizes = _numbers(line, "metric", size)
    if metric_shown and (metric_unit != "mm" or len(sizes) != len(found) or unit != "in"):
        raise _fault(
            line,
            f"metric is {metric_shown!r}; it must be empty or, for a rule in inches, as many"
            " sizes in mm as value has, such as 0.05 mm.",
        )
    if kind not in KINDS:
        raise _fault(line, f"kind is {kind!r}; it must be {', '.join(KINDS)}.")
    if not words.endswith("."):
        raise _fault(line, f"words are {words!r}; they must be one sentence with a full stop.")
    written = zip(shown.split(), found, strict=True)
    told = tuple(f"{one:,.0f}" if one >= 1_000 else text for text, one in written)
    metric_told = f"{' to '.join(size.split())} {metric_unit}".strip()
    return Rule(name, found, told, unit, sizes, metric_told, kind, words)


def read_rules(text: str) -> Mapping[str, Rule]:
    """Return the rules of a text such as ``practice.csv``, by name, in its order.

    Raises
    ------
    ValueError
        One sentence with file, line and what is expected there.
    """
    found: dict[str, Rule] = {}
    headed = False
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip() or line.startswith("#"):
            continue
        fields = next(csv.reader([line]))
        if not headed:
            if tuple(fields) != COLUMNS:
                raise _fault(number, f"columns are {line!r}; they must be {','.join(COLUMNS)}.")
            headed = True
            continue
        one = _rule(number, fields)
        if one.name in found:
            raise _fault(number, f"name is {one.name!r} again; each rule must stand once.")
        found[one.name] = one
    return MappingProxyType(found)


@cache
def rules() -> Mapping[str, Rule]:
    """Return every rule of thumb, by name, read once."""
    return read_rules(Path(__file__).with_name(FILE).read_text(encoding="utf-8"))


def rule(name: str) -> Rule:
    """Return the rule of that name.

    Raises
    ------
    ValueError
        If the file has none.
    """
    if name not in rules():
        raise ValueError(f"{FILE}: rule is {name!r}; it must be one of {', '.join(rules())}.")
    return rules()[name]


def value(name: str) -> float:
    """Return the only number of a rule, in the rule's unit.

    Examples
    --------
    >>> value("fitting_allowance"), value("left_to_drive")
    (0.01, 0.125)
    """
    return rule(name).value


def span(name: str) -> tuple[float, float]:
    """Return the low and the high end of a rule that is a range.

    Examples
    --------
    >>> span("seat_pressure")
    (8000.0, 14000.0)
    """
    return rule(name).span


def values(name: str) -> tuple[float, ...]:
    """Return all numbers of a rule, such as the steps of a load."""
    return rule(name).values


def metric(name: str) -> float:
    """Return the size in mm that a metric shop works to.

    Raises
    ------
    ValueError
        If the rule has no metric size, or several.

    Examples
    --------
    >>> metric("side_clearance")
    0.05
    """
    found = rule(name).metric
    if len(found) != 1:
        raise ValueError(
            f"{FILE}: rule {name!r} has {len(found)} metric sizes; it must have one here."
            " Write it in the column metric, such as 0.05 mm."
        )
    return found[0]
