"""Every text that a user meets, and where it stands: pages, words, sentences of the code."""

from __future__ import annotations

import ast
import csv
import functools
import re
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import nbformat

ROOT = Path(__file__).resolve().parents[2]
LIB = ROOT / "lib"
SPOKEN_COLUMNS = ("words", "note", "name")  # of tables: what a page shows of a row


class Text(NamedTuple):
    """A text, its file, and its place there."""

    file: str
    place: str
    text: str


def _name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def page_texts() -> Iterator[Text]:
    """Yield what the pages say, instructor's notes and marking guides as well."""
    for path in sorted([*ROOT.glob("lessons/*.ipynb"), *ROOT.glob("solutions/*/*.ipynb")]):
        for cell in nbformat.read(path, as_version=4).cells:
            if cell.cell_type == "markdown":
                yield Text(_name(path), cell.id, cell.source)


def word_texts() -> Iterator[Text]:
    """Yield what stands in the files of words, names of slips as well: reports show them."""
    for path in sorted(LIB.rglob("*.toml")):
        if path.name == "glossary.toml":  # it names the words that are refused
            continue
        for place, text in _told(tomllib.loads(path.read_text("utf-8")), ()):
            yield Text(_name(path), ", ".join(place), text)


def _told(there: Any, place: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
    if isinstance(there, str):
        yield place, there
    elif isinstance(there, list):
        for number, one in enumerate(there, start=1):
            yield from _told(one, (*place, str(number)))
    elif isinstance(there, dict):
        for key, one in there.items():
            if " " in key:
                yield (*place, key), key
            yield from _told(one, (*place, key))


def code_texts() -> Iterator[Text]:
    """Yield every text of two words or more in the code that is not a docstring."""
    for path in sorted(LIB.rglob("*.py")):
        tree = ast.parse(path.read_text("utf-8"))
        docs = {
            id(node.value)
            for node in ast.walk(tree)
            if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        }
        for node in ast.walk(tree):
            if (
                isinstance(node, ast.Constant)
                and isinstance(node.value, str)
                and id(node) not in docs
                and re.search(r"[A-Za-z] +[A-Za-z]", node.value)
            ):
                yield Text(_name(path), f"line {node.lineno}", node.value)


def paper_texts() -> Iterator[Text]:
    """Yield what the templates of reports and sheets say, and the README."""
    for path in sorted(LIB.rglob("*.j2")):
        text = path.read_text("utf-8").replace("|safe", "")  # a filter of the template
        plain = re.sub(r"<style>.*?</style>|\{[%#].*?[%#]\}|<[^>]+>", " ", text, flags=re.S)
        yield Text(_name(path), "all", plain)
    yield Text("README.md", "all", (ROOT / "README.md").read_text("utf-8"))


def table_texts() -> Iterator[Text]:
    """Yield the names and notes of the tables, which sheets and pages show."""
    for path in sorted(LIB.rglob("*.csv")):
        lines = [one for one in path.read_text("utf-8").splitlines() if not one.startswith("#")]
        for number, row in enumerate(csv.DictReader(lines), start=1):
            for column in SPOKEN_COLUMNS:
                if row.get(column):
                    yield Text(_name(path), f"row {number}", row[column])


def _once(texts: Callable[[], Iterator[Text]]) -> Callable[[], tuple[Text, ...]]:
    """Return what gathers them the first time and then has them."""
    return functools.cache(lambda: tuple(texts()))


KINDS = {
    "pages": _once(page_texts),
    "words": _once(word_texts),
    "sentences of the code": _once(code_texts),
    "papers": _once(paper_texts),
    "tables": _once(table_texts),
}


def all_texts() -> list[Text]:
    """Return all of them."""
    return [one for texts in KINDS.values() for one in texts()]
