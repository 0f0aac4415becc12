"""The docstring of every public formula and bench function says what its arguments are.

It fails when the Parameters section and the arguments differ, when a name with a unit suffix
does not show that unit in brackets, or when a formula gives no source.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest

import keycourse.fit
import keycourse.measure
import keycourse.pull
import keycourse.whole
import taperkey.formulas

# longest suffix first: "_in_per_in" must not be read as "_in"
UNITS = {
    "_in_per_in": r"in/in",
    "_lbf_per_in": r"lbf/in",
    "_psi_per_in": r"psi/in",
    "_per_degF": r"1/degF",
    "_lbf_in": r"lbf[ _*]?in",
    "_in2": r"in2",
    "_in3": r"in3",
    "_in4": r"in4",
    "_degF": r"degF",
    "_deg": r"deg",
    "_rad": r"rad",
    "_psi": r"psi",
    "_lbf": r"lbf",
    "_lb": r"lb",
    "_mm": r"mm",
    "_in": r"in(?:/ft)?",
    "_rpm": r"(?:rpm|rev/min)",
    "_hp": r"hp",
}


def public_functions(package: Any) -> Iterator[tuple[str, Callable[..., Any]]]:
    for found in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
        module = importlib.import_module(found.name)
        for name, item in vars(module).items():
            ours = inspect.isfunction(item) and item.__module__ == module.__name__
            if ours and not name.startswith("_"):
                yield f"{found.name.removeprefix('taperkey.')}.{name}", item


def sections(function: Callable[..., Any]) -> dict[str, str]:
    parts = re.split(r"^(\w[\w ]*)\n-{3,}\n", inspect.getdoc(function) or "", flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def documented(function: Callable[..., Any]) -> dict[str, str]:
    """Return the Parameters section: each name with everything said about it."""
    entries: dict[str, str] = {}
    names: list[str] = []
    for line in sections(function).get("Parameters", "").splitlines():
        head = re.match(r"^(\*{0,2}\w+(?:, \*{0,2}\w+)*) : ", line)
        if head:
            names = [name.lstrip("*") for name in head[1].split(", ")]
        for name in names:
            entries[name] = entries.get(name, "") + line + "\n"
    return entries


def faults(function: Callable[..., Any], *, source: bool) -> list[str]:
    found = []
    arguments = list(inspect.signature(function).parameters)
    entries = documented(function)
    if arguments != list(entries):
        found.append(f"arguments {arguments} but Parameters {list(entries)}")
    for name, text in entries.items():
        suffix = next((suffix for suffix in UNITS if name.endswith(suffix)), None)
        if suffix and not re.search(r"\[[^\]]*(?<!\w)" + UNITS[suffix] + r"(?![\w/])", text):
            found.append(f"{name} shows no [{UNITS[suffix]}]")
    if source and not sections(function).get("Source", "").strip():
        found.append("no Source section")
    return found


FORMULAS = dict(public_functions(taperkey.formulas)) | {
    name: function
    for name, function in public_functions(keycourse.whole)
    if name.split(".")[2].startswith("job_") or name.split(".")[2] in ("whole_job", "workings")
}
# of a bench: its words, not its physics
TOLD = {"book", "cases", "lookback", "pages", "pictures", "retold", "rigs"}
BENCH = {
    name: function
    for package in (keycourse.measure, keycourse.fit, keycourse.pull)
    for name, function in public_functions(package)
    if name.split(".")[2] == "bench" and name.split(".")[3] not in TOLD
}


def test_functions_are_found():
    assert "formulas.taper.two_point_taper" in FORMULAS
    assert "formulas.uncertainty.find_outlier" in FORMULAS


@pytest.mark.parametrize("name", FORMULAS)
def test_formula_docstring(name):
    assert faults(FORMULAS[name], source=True) == []


@pytest.mark.parametrize("name", BENCH)
def test_bench_docstring(name):
    assert faults(BENCH[name], source=False) == []


@pytest.mark.parametrize("name", FORMULAS)
def test_formula_arguments_are_keyword_only(name):
    kinds = {p.kind for p in inspect.signature(FORMULAS[name]).parameters.values()}
    assert kinds <= {inspect.Parameter.KEYWORD_ONLY, inspect.Parameter.VAR_KEYWORD}


def test_the_check_itself_sees_every_fault():
    def bad(*, height_in: float, length_in: float) -> float:
        """Add.

        Parameters
        ----------
        height_in : float
            Height.
        slope_in_per_in : float
            Slope [in].
        """
        return height_in + length_in

    assert faults(bad, source=True) == [
        "arguments ['height_in', 'length_in'] but Parameters ['height_in', 'slope_in_per_in']",
        "height_in shows no [in(?:/ft)?]",
        "slope_in_per_in shows no [in/in]",
        "no Source section",
    ]
