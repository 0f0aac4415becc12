"""What an instructor sees of a class at work: who is in, on which page, who is stuck on what.

It is read from the entries files while people type; nothing is judged. Somebody is stuck on an
entry that was changed several times in a few minutes, or when nothing was typed for a while and
that entry comes next.
"""

from __future__ import annotations

import contextlib
import json
import re
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from coursework.course import PAGES
from coursework.desks.school import DESKS, School
from coursework.desks.seating import Person
from coursework.question import Page

__all__ = ["Line", "Watch"]

CHANGES = 3
CHANGE_SECONDS = 600.0
QUIET_SECONDS = 360.0
AWAY_SECONDS = 1200.0
_CHECK = re.compile(r"check-(before|after|later)")
_DAMAGED = (LookupError, TypeError, AttributeError)


@dataclass
class _Typed:
    """What was typed on one page, as last looked at."""

    stamp: tuple[int, int] = (0, 0)
    texts: dict[str, str] = field(default_factory=dict)
    changed: dict[str, list[float]] = field(default_factory=dict)
    last: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Line:
    """One apprentice as the instructor sees them.

    Attributes
    ----------
    number, name : int, str
        Who.
    here : bool
        Whether a browser of theirs is connected.
    page : str
        Which page is open, in words; empty for none.
    filled, asked : int
        Entries that hold something, and all, of an exercise that is open.
    stuck : str
        On which entry and why; empty where nobody is.
    handed_in : tuple of str
        Exercises handed in, by number, and the forms of the check.
    """

    number: int
    name: str
    here: bool
    page: str
    filled: int
    asked: int
    stuck: str
    handed_in: tuple[str, ...]


class Watch:
    """Looks at the entries files of a class; what it saw before tells it what changed."""

    def __init__(self, school: School, titles: Mapping[str, str]) -> None:
        self._school, self._titles = school, titles
        self._typed: dict[Path, _Typed] = {}

    def lines(self, now: float | None = None) -> list[Line]:
        """Return a line for everybody in the class."""
        moment = time.time() if now is None else now
        return [self._line(person, moment) for person in self._school.people]

    def _line(self, person: Person, now: float) -> Line:
        where = self._school.whereabouts(person.number)
        here = where is not None and where.here
        path = where.path if where is not None and here else ""
        filled = asked = 0
        stuck = ""
        name = path.split("/")[1] if path.startswith("exercises/") else ""
        if name in PAGES:
            began = where.last if where is not None else now
            typed = self._look(person, name, now)
            open_entries = [one for one in PAGES[name].questions if not one.by_assessor]
            asked = len(open_entries)
            filled = sum(bool(typed.texts.get(one.key, "").strip()) for one in open_entries)
            stuck = self._stuck(PAGES[name], typed, max(typed.last, began), now)
        return Line(
            number=person.number,
            name=person.name,
            here=here,
            page=self._titles.get(path, path),
            filled=filled,
            asked=asked,
            stuck=stuck,
            handed_in=self._handed_in(person),
        )

    def _look(self, person: Person, page: str, now: float) -> _Typed:
        folder = self._school.folder / DESKS / person.folder / "exercises" / page
        path = folder / "answers.json"
        typed = self._typed.setdefault(path, _Typed())
        with contextlib.suppress(OSError, ValueError, RecursionError, *_DAMAGED):
            told = path.stat()
            stamp = (told.st_mtime_ns, told.st_size)
            if stamp != typed.stamp:
                entries = json.loads(path.read_bytes())["entries"]
                texts = {
                    key: str(one.get("text", ""))
                    for key, one in entries.items()
                    if isinstance(one, dict)
                }
                if typed.stamp != (0, 0):
                    for key, text in texts.items():
                        if typed.texts.get(key, "") != text:
                            typed.changed.setdefault(key, []).append(now)
                typed.stamp, typed.texts, typed.last = stamp, texts, told.st_mtime
        return typed

    def _stuck(self, page: Page, typed: _Typed, last: float, now: float) -> str:
        labels = {one.key: one.label for one in page.questions}
        for key, times in typed.changed.items():
            lately = [one for one in times if now - one < CHANGE_SECONDS]
            typed.changed[key] = lately
            if len(lately) >= CHANGES and key in labels:
                return f"{labels[key]}: changed {len(lately)} times in 10 minutes"
        quiet = now - last
        if QUIET_SECONDS < quiet < AWAY_SECONDS:
            for one in page.questions:
                if not one.by_assessor and not typed.texts.get(one.key, "").strip():
                    return f"{one.label}: nothing done for {quiet / 60:.0f} minutes"
        return ""

    def _handed_in(self, person: Person) -> tuple[str, ...]:
        folder = self._school.folder / DESKS / person.folder / "hand-ins"
        there = [path.name for path in folder.glob("*.handin.json")]
        pages = {name[:2] for file in there for name in PAGES if name in file}
        checks = {form[0] for file in there if (form := _CHECK.search(file))}
        return (*sorted(pages), *sorted(one.replace("-", " ") for one in checks))

    def told(self) -> dict[str, Any]:
        """Return the lines as the page takes them."""
        return {"people": [vars(line) for line in self.lines()]}
