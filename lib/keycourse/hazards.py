"""The hazards of the trade, read from ``hazards.toml``: each classed once, shown everywhere alike.

A page holds its boxes as text, so that they stand there before anything runs. The classes of a
box name its hazards, as in ``<aside class="hazard danger starts edges">``; after a change of
``hazards.toml`` this writes every page's boxes again::

    uv run python -m keycourse.hazards
"""

from __future__ import annotations

import functools
import json
import re
import sys
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from coursework.ink.signs import LEVELS, hazard_box, hazard_text

__all__ = ["Hazard", "box", "box_text", "gravest", "hazards", "rewritten", "rules", "sentences"]

# a box that names its hazards; one without names is an exercise's own, written by its release
_BOX = re.compile(
    r'<aside class="hazard (?:danger|warning|caution) ([^"]+)">.*?</aside>', re.DOTALL
)


@dataclass(frozen=True, kw_only=True)
class Hazard:
    """A hazard: how grave, and what can happen and is done about it."""

    level: str
    text: str


@functools.cache
def _file() -> tuple[Mapping[str, Hazard], str]:
    path = Path(__file__).with_name("hazards.toml")
    found = tomllib.loads(path.read_text(encoding="utf-8"))
    known = {}
    for name, there in found["hazards"].items():
        if set(there) != {"level", "text"} or there["level"] not in LEVELS:
            raise ValueError(
                f"{path}: {name} needs a text and a level, one of: {', '.join(LEVELS)}. Correct it."
            )
        known[name] = Hazard(**there)
    return MappingProxyType(known), found["rules"]


def hazards() -> Mapping[str, Hazard]:
    """Return every hazard by its name."""
    return _file()[0]


def rules() -> str:
    """Return the sentence that closes every box."""
    return _file()[1]


def _known(names: Sequence[str]) -> list[Hazard]:
    for name in names:
        if name not in hazards():
            raise LookupError(f"hazard is “{name}”; it must be one of: {', '.join(hazards())}.")
    return [hazards()[name] for name in names]


def gravest(names: Sequence[str]) -> str:
    """Return the level that heads a box with these hazards.

    >>> gravest(["edges", "starts"])
    'danger'
    """
    levels = {one.level for one in _known(names)}
    return next(level for level in LEVELS if level in levels)


def sentences(names: Sequence[str]) -> list[str]:
    """Return what a box says, a line for each hazard, the gravest first, the rules last."""
    order = list(LEVELS)
    texts = sorted(_known(names), key=lambda one: order.index(one.level))
    return [*(one.text.replace("**", "") for one in texts), rules()]


def box(*names: str) -> str:
    """Return the box of these hazards as HTML, for a bench or a form."""
    return hazard_box(gravest(names), sentences(names))


def box_text(*names: str) -> str:
    """Return the box of these hazards as a page holds it."""
    order = list(LEVELS)
    texts = [one.text for one in sorted(_known(names), key=lambda one: order.index(one.level))]
    return hazard_text(gravest(names), " ".join([*texts, rules()]), names)


def rewritten(text: str) -> str:
    """Return a page's text with each of its boxes written from the file."""
    return _BOX.sub(lambda found: box_text(*found.group(1).split()), text)


def main(root: Path) -> int:
    """Write the boxes of every lesson and master again; say which pages changed."""
    for path in sorted([*root.glob("lessons/*.ipynb"), *root.glob("solutions/*/*.ipynb")]):
        page = json.loads(path.read_text(encoding="utf-8"))
        for cell in page["cells"]:
            if cell["cell_type"] == "markdown":
                source = "".join(cell["source"])
                if (new := rewritten(source)) != source:
                    cell["source"] = new.splitlines(keepends=True)
        text = json.dumps(page, ensure_ascii=False, indent=1) + "\n"
        if text != path.read_text(encoding="utf-8"):
            path.write_text(text, encoding="utf-8")
            print(f"{path.relative_to(root)}: boxes written again")
    return 0


if __name__ == "__main__":
    sys.exit(main(Path.cwd()))
