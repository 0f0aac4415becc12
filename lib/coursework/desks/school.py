"""The class that is open: who is in it, and whose desk is where."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from coursework.desks.joincodes import INSTRUCTOR, JoinCodes
from coursework.desks.seating import Person, Seating
from coursework.page.here import Here
from coursework.page.pagefolder import NameTag, read_name_tag, write_name_tag
from coursework.room.classfolder import ClassFolder, open_class

__all__ = ["School"]

DESKS = "desks"
OPEN = "open"
LOOKED_AT = ("class.toml", "roster.csv", "people.csv")


class School(Seating):
    """The open class.

    Parameters
    ----------
    folder : Path
        The class folder.
    soon : callable
        Has something done by the server's own thread.
    """

    def __init__(self, folder: Path, *, soon: Callable[..., Any]) -> None:
        super().__init__(folder / OPEN, soon=soon)
        self.folder = folder
        self.codes = JoinCodes(self.private)
        self._looked = (0.0, ())
        self.class_folder = self._open()
        self.read_seats()

    # who is in the class

    def _open(self) -> ClassFolder:
        found = open_class(self.folder)
        self.codes.provide(one.number for one in found.present)
        self._names = {one.number: one.name for one in found.present}
        self._looked = (time.monotonic(), self._stamps())
        return found

    def _stamps(self) -> tuple[Any, ...]:
        stamps = []
        for name in LOOKED_AT:
            with contextlib.suppress(OSError):
                told = (self.folder / name).stat()
                stamps.append((name, told.st_mtime_ns, told.st_size))
        return tuple(stamps)

    def look_again(self) -> None:
        """Take up what was changed in the class list; one that cannot be read changes nothing."""
        when, stamps = self._looked
        if time.monotonic() - when < 1.0:
            return
        self._looked = (time.monotonic(), stamps)
        if self._stamps() != stamps:
            with contextlib.suppress(ValueError, OSError):
                self.class_folder = self._open()

    def person(self, number: int) -> Person | None:
        """Return who has this number in the class now; None for nobody."""
        self.look_again()
        if number == INSTRUCTOR:
            return Person(INSTRUCTOR, "Instructor")
        name = self._names.get(number)
        return None if name is None else Person(number, name)

    def stays(self, user: Any) -> bool:
        """Say whether somebody who came in is still in the class, and with the code of today."""
        return (
            self.person(user.number) is not None
            and bool(user.mark)
            and user.mark == self.codes.mark(user.number)
        )

    @property
    def people(self) -> list[Person]:
        """Everybody who is in the class, by number."""
        self.look_again()
        return [Person(number, name) for number, name in sorted(self._names.items())]

    # whose desk is where

    def root(self, person: Person) -> Path:
        """Return the course folder of a person; made where there is none yet."""
        root = self.folder / DESKS / person.folder
        for room in ("lessons", "exercises", "feedback", "returned"):
            (root / room).mkdir(mode=0o700, parents=True, exist_ok=True)
        if not person.instructs:
            tag = NameTag(class_code=self.class_folder.code, number=person.number, name=person.name)
            if read_name_tag(root) != tag:
                write_name_tag(root, tag)
        return root

    def place(self, person: Person, path: str) -> Here:
        """Return where a page of a person's stands."""
        root = self.root(person)
        inside = self.folder_of(path)
        folder = root / inside
        folder.mkdir(parents=True, exist_ok=True)
        return Here(
            place=folder,
            pages=self.shelves[inside],
            top=root,
            by_class=not person.instructs,
            drop=None if person.instructs else self.class_folder.inbox,
            returned=root / "returned",
            replays=self.folder / DESKS if person.instructs else None,
            heavy=self.work.heavy,
        )
