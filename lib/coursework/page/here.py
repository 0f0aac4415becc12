"""Where the page at work stands: its folder, its class, its turn.

A page's code asks :func:`here`, never the process. Alone in a process, a page stands where the
process stands; in a server with many pages each runs in a context of its own, and finds itself
there.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

__all__ = ["Here", "here", "stand"]


def _at_once(work: Callable[..., Any], **given: Any) -> Any:
    return work(**given)


@dataclass(frozen=True, kw_only=True, eq=False)
class Here:
    """What a page knows of where it stands.

    Attributes
    ----------
    place : Path, optional
        The page's folder; None for the folder that the process is in.
    pages : Path, optional
        Folder of the page as it was released, where it does not lie with the entries.
    top : Path, optional
        Above it nothing of a path is shown to whoever reads the page; None shows all.
    by_class : bool
        Whether the name tag comes from the class list.
    drop, returned : Path, optional
        Where hand-ins are put for the class to take; where feedback lies to be read.
    replays : Path, optional
        Folder whose sessions may be replayed here; None for the course folder alone.
    files : str
        Address that the course folder's files are found under.
    password : str
        Address of the page that changes the own password; empty where there is none.
    leave : str
        Address that logs out; empty where nobody logged in.
    heavy : callable
        Does work that takes long: called with a function and what it is given by name.
    opened : dict
        What the page has open.
    turn : lock
        Held while one message of the page is handled.
    """

    place: Path | None = None
    pages: Path | None = None
    top: Path | None = None
    by_class: bool = False
    drop: Path | None = None
    returned: Path | None = None
    replays: Path | None = None
    files: str = "/files/"
    password: str = ""
    leave: str = ""
    heavy: Callable[..., Any] = _at_once
    opened: dict[str, Any] = field(default_factory=dict)
    turn: Any = field(default_factory=threading.RLock)

    @property
    def folder(self) -> Path:
        """The page's folder."""
        return Path.cwd() if self.place is None else self.place

    def shown(self, path: Path) -> str:
        """Return a path as the page says it."""
        if self.top is None:
            return str(path)
        try:
            inside = path.relative_to(self.top).as_posix()
            return "your course folder" if inside == "." else inside
        except ValueError:
            return path.name


_STANDING: ContextVar[Here] = ContextVar("standing")
_ALONE: tuple[dict[str, Any], Any] = ({}, threading.RLock())


def here() -> Here:
    """Return where the page at work stands."""
    found = _STANDING.get(None)
    return _in_process() if found is None else found


def stand(place: Here) -> None:
    """Let the page at work stand there, for as long as its context lasts."""
    _STANDING.set(place)


def _in_process() -> Here:
    """Return where a page stands that has a process to itself."""
    opened, turn = _ALONE
    return Here(opened=opened, turn=turn)
