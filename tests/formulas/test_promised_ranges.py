"""A formula holds to the range that its docstring gives for each argument.

Read from the text itself: "above 0", "0 or more", "0 to 1.5". A value just outside is refused by
name and value; one on a closed end is taken, unless another argument forbids it.
"""

from __future__ import annotations

import importlib
import inspect
import math
import pkgutil
import re
from collections.abc import Callable, Iterator
from types import ModuleType
from typing import Any

import pytest

import taperkey.formulas

from . import test_refusals, test_refusals_strength

RANGE = re.compile(
    r"(?:(?P<open>above 0 to) (?P<top>[\d.]+)|(?P<low>-?[\d.]+) to (?P<high>[\d.]+)"
    r"|(?P<above>above 0)|(?P<least>\d) or more)"
    r"(?![\w.]*\d)"
)


def formulas() -> Iterator[tuple[str, Callable[..., Any], dict[str, Any]]]:
    for name, ordinary in test_refusals.ORDINARY.items():
        yield name, test_refusals.formula(name), ordinary
    for name, ordinary in test_refusals_strength.ORDINARY.items():
        whole: ModuleType = next(m for m in test_refusals_strength.MODULES if name in m.__all__)
        yield f"{whole.__name__.rsplit('.', 1)[1]}.{name}", getattr(whole, name), ordinary


def promises(act: Callable[..., Any]) -> Iterator[tuple[str, str]]:
    """Give each argument with what is said of it, one line."""
    text = inspect.getdoc(act) or ""
    part = re.search(r"Parameters\n-+\n(.*?)\n\n", text, re.DOTALL)
    for names, said in re.findall(
        r"^(\w[\w, ]*) : [^\n]*\n((?:    [^\n]*\n?)+)", part[1] if part else "", re.MULTILINE
    ):
        for name in names.split(", "):
            yield name, " ".join(said.split())


def outside(found: re.Match[str]) -> list[float]:
    """Values that the words forbid, the nearest first."""
    low, high = found["low"], found["high"] or found["top"]
    bad = [math.nan, -math.inf]
    if "infinity" not in found.string:
        bad.append(math.inf)
    if found["above"] or found["open"]:
        bad += [0.0, -1e-9]
    elif low is not None:
        bad.append(float(low) - 1e-6)
    else:
        bad.append(float(found["least"]) - 1e-6)
    return [*bad, float(high) + 1e-6] if high else bad


CASES = [
    (name, act, ordinary, argument, found)
    for name, act, ordinary in formulas()
    for argument, said in promises(act)
    if isinstance(ordinary.get(argument), (int, float))
    and (found := RANGE.search(said))
    and "for metric" not in said  # a range for each system: refusals.csv
]


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c[0]}-{c[3]}")
def test_what_lies_outside_the_promised_range_is_refused(case: tuple[Any, ...]) -> None:
    _, act, ordinary, argument, found = case
    for bad in outside(found):
        with pytest.raises(ValueError, match=r"it must be"):
            act(**{**ordinary, argument: bad})


def test_every_formula_of_plain_numbers_is_looked_at() -> None:
    looked = {name for name, _, _ in formulas()}
    for one in pkgutil.iter_modules(taperkey.formulas.__path__):
        whole = importlib.import_module(f"taperkey.formulas.{one.name}")
        for name in whole.__all__:
            act = getattr(whole, name)
            if not inspect.isfunction(act) or act.__module__ != whole.__name__:
                continue
            kinds = {p.annotation for p in inspect.signature(act).parameters.values()}
            if kinds <= {"float", "int", "str", "bool", "Values"} and "float" in kinds:
                assert f"{one.name}.{name}" in looked | {"wedge.require_wedge"}
