"""How far somebody is in the units of the lessons, and where they go on.

Read from the entries file of the lessons: what was read, which practice questions were right, what
was done at trainers and benches. Nothing here shows anything; only what was read is kept here.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coursework.course import PAGES
from coursework.page.entries import EntriesFile
from coursework.page.progress import practice_key
from coursework.page.steplog import log_name, record_in
from coursework.unit import Act, Unit

__all__ = [
    "DONE",
    "HALF",
    "OPEN",
    "Place",
    "here_next",
    "mark_read",
    "next_place",
    "notes_of",
    "states_of",
    "times_done",
]

OPEN, HALF, DONE = "open", "half", "done"


@dataclass(frozen=True, kw_only=True)
class Place:
    """A unit of a lesson.

    Attributes
    ----------
    page, lesson : str
        Name and title of the lesson.
    unit : Unit
        Where one goes on.
    turn, count : int
        Which unit of how many.
    begun : bool
        Whether anything of it was done.
    """

    page: str
    lesson: str
    unit: Unit
    turn: int
    count: int
    begun: bool


def _read_key(page: str) -> str:
    return f"read:{page}"


def mark_read(store: EntriesFile, page: str, unit: str) -> str:
    """Keep that a unit was read to its end; return a sentence if that failed."""
    known = {one.id for one in PAGES[page].units} if page in PAGES else set()
    kept = _ids(store.get(_read_key(page)))
    if unit not in known or unit in kept:
        return ""
    return store.set(_read_key(page), [*kept, unit])


def _ids(note: Any) -> list[str]:
    return [one for one in note if isinstance(one, str)] if isinstance(note, list) else []


def states_of(page: str, notes: Mapping[str, Any], folder: Path) -> dict[str, str]:
    """Return how each unit of a lesson stands: open, half or done.

    Parameters
    ----------
    page : str
        The lesson.
    notes : mapping
        The notes of the lessons' entries file.
    folder : Path
        Where it lies; the benches keep their steps beside it.
    """
    if page not in PAGES:
        return {}
    read = set(_ids(notes.get(_read_key(page))))
    states = {}
    for unit in PAGES[page].units:
        asked = [_right(notes.get(practice_key(key))) for key in unit.asks]
        done = [_done(act, notes, folder) for act in unit.acts]
        whole = all(one == DONE for one in (*asked, *done))
        if whole and (asked or done or unit.id in read):
            states[unit.id] = DONE
        elif unit.id in read or any(one != OPEN for one in (*asked, *done)):
            states[unit.id] = HALF
        else:
            states[unit.id] = OPEN
    return states


def _right(note: Any) -> str:
    if not isinstance(note, Mapping):
        return OPEN
    right, tried = note.get("right"), note.get("tried")
    if isinstance(right, int) and right > 0:
        return DONE
    return HALF if tried else OPEN


def _done(act: Act, notes: Mapping[str, Any], folder: Path) -> str:
    most = times_done(act, notes, folder)
    return DONE if most >= act.times else HALF if most else OPEN


def times_done(act: Act, notes: Mapping[str, Any], folder: Path) -> int:
    """Return how often an act was done, or how far a trainer's count has come."""
    return max(_times(act.what, _note(name, notes, folder)) for name in act.notes)


def _note(name: str, notes: Mapping[str, Any], folder: Path) -> Any:
    log = log_name(name)
    if log is not None:
        try:
            return record_in((folder / log).read_bytes())
        except OSError:
            pass
    return notes.get(name)


def _times(what: str, note: Any) -> int:
    """Return how often a step was done at a bench, or how far a trainer's count has come."""
    if not isinstance(note, Mapping):
        return 0
    session = note.get("session", note)
    steps = session.get("steps") if isinstance(session, Mapping) else None
    if isinstance(steps, Sequence):
        return sum(isinstance(step, Mapping) and step.get("do") == what for step in steps)
    count = note.get(what)
    return count if isinstance(count, int) else 0


def notes_of(root: Path) -> Mapping[str, Any]:
    """Return the notes of the lessons; nothing where they cannot be read."""
    try:
        content = json.loads((root / "lessons" / "answers.json").read_bytes().decode("utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    notes = content.get("notes") if isinstance(content, dict) else None
    return notes if isinstance(notes, dict) else {}


def here_next(page: str, states: Mapping[str, str]) -> Unit | None:
    """Return the unit of a lesson to go on with; None when all are done."""
    return next((one for one in PAGES[page].units if states[one.id] != DONE), None)


def next_place(root: Path) -> Place | None:
    """Return where somebody goes on: the first unit in the course that is not done.

    Where a later lesson was begun and an earlier one left, the one begun last in the course's order
    goes before: who skipped a lesson did so for a reason.
    """
    notes, folder = notes_of(root), root / "lessons"
    places = []
    for page in PAGES.values():
        states = states_of(page.name, notes, folder)
        unit = here_next(page.name, states) if states else None
        if unit is not None:
            turn = [one.id for one in page.units].index(unit.id) + 1
            begun = any(state != OPEN for state in states.values())
            place = Place(
                page=page.name,
                lesson=page.title,
                unit=unit,
                turn=turn,
                count=len(page.units),
                begun=states[unit.id] != OPEN,
            )
            places.append((begun, place))
    started = [place for begun, place in places if begun]
    if started:
        return started[-1]
    return places[0][1] if places else None
