"""What is to be kept of a lesson, read from the lesson's own page: its rules and its hazards."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass

from coursework.course import PAGES
from coursework.room.coursebook import shipped_pages

__all__ = ["Kept", "kept_of_lessons"]

_ASIDE = re.compile(r'<aside class="hazard (?:danger|warning|caution) ([^"]+)">')
_HEADING = "## To keep"
_LINK = re.compile(r"\[[^\]]*\]\([^)]*\)")


@dataclass(frozen=True, kw_only=True)
class Kept:
    """What is kept of a lesson.

    Attributes
    ----------
    page, title : str
        The lesson, and its heading.
    rules : tuple of str
        Its lines; what is bold stands between ``**``.
    hazards : tuple of str
        Names of its hazards, in the order of the page.
    """

    page: str
    title: str
    rules: tuple[str, ...]
    hazards: tuple[str, ...]


def _rules(text: str) -> Iterator[str]:
    for line in text.splitlines():
        rule = line.removeprefix("- ").strip()
        if rule and not line.startswith("#") and not _LINK.search(line):  # a link is the way on
            yield rule.replace("`", "")


def kept_of_lessons() -> tuple[Kept, ...]:
    """Return what is to be kept of each lesson that has it, in their order.

    Raises
    ------
    ValueError
        If an exercise's lesson says nothing under "To keep".
    """
    pages, found = shipped_pages(), []
    for name in PAGES:
        lesson = json.loads(pages[f"lessons/{name}.ipynb"].read_text("utf-8"))
        texts = [
            "".join(one["source"]) for one in lesson["cells"] if one["cell_type"] == "markdown"
        ]
        rules = [rule for one in texts if one.startswith(_HEADING) for rule in _rules(one)]
        if not rules:
            raise ValueError(f"lessons/{name}.ipynb has no “To keep”; write what is to be kept.")
        hazards = [one for text in texts for names in _ASIDE.findall(text) for one in names.split()]
        title = next(one for one in texts if one.startswith("# ")).partition("\n")[0]
        found.append(
            Kept(
                page=name,
                title=title.removeprefix("# "),
                rules=tuple(rules),
                hazards=tuple(dict.fromkeys(hazards)),
            )
        )
    return tuple(found)
