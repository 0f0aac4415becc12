"""The class that is open: who is in it, and whose desk is where."""

from __future__ import annotations

import contextlib
import json
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coursework.desks.joincodes import INSTRUCTOR, JoinCodes
from coursework.desks.notices import Notices
from coursework.desks.seating import Person, Seating
from coursework.page.here import Here
from coursework.page.pagefolder import NameTag, read_name_tag, write_name_tag
from coursework.room.classfolder import ClassFolder, open_class

__all__ = ["School", "Whereabouts"]

DESKS = "desks"
OPEN = "open"
LOOKED_AT = ("class.toml", "roster.csv", "people.csv", f"{OPEN}/join-codes.csv")
TOLD_FRESH_S = 15.0  # what another process told longer ago is past


@dataclass(frozen=True)
class Whereabouts:
    """Where somebody is: the page, whether a browser is connected, when something was last done."""

    path: str
    here: bool
    last: float


class School(Seating):
    """The open class.

    Parameters
    ----------
    folder : Path
        The class folder.
    soon : callable
        Has something done by the server's own thread.
    turn, ports : int, tuple of int
        Which of the class's processes this is, and where each listens. Who has number n works in
        process n modulo their count; process 0 is the instructor's.
    """

    def __init__(
        self, folder: Path, *, soon: Callable[..., Any], turn: int = 0, ports: tuple[int, ...] = ()
    ) -> None:
        super().__init__(folder / OPEN, soon=soon)
        self.folder, self.turn, self.ports = folder, turn, ports
        self.count = max(1, len(ports))
        if turn:
            self.seats_file = f"seats-{turn}.jsonl"
        self.codes = JoinCodes(self.private)
        self.notices = Notices(self.private)
        self._looked = (0.0, ())
        self.class_folder = self._open()
        self.read_seats()

    # who is in the class

    def _open(self) -> ClassFolder:
        found = open_class(self.folder)
        self.read_doors(found)
        self._names = {one.number: one.name for one in found.present}
        self._looked = (time.monotonic(), self._stamps())
        return found

    def read_doors(self, class_folder: ClassFolder) -> None:
        """Take up by what people come in; whoever has no code gets one."""
        self.codes.read_again()
        if not self.turn:
            self.codes.provide(one.number for one in class_folder.present)

    def new_key(self, number: int) -> str:
        """Give somebody another code; whoever came in with the old one is out."""
        code = self.codes.make_again(number)
        self.send_out(number)
        return code

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
        """Say whether somebody is still in the class now, with the code of today, in time."""
        if user.number != INSTRUCTOR and self.notices.closed:
            return False
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

    def port_of(self, number: int) -> int | None:
        """Return where somebody's process listens; None where the class has one process."""
        return self.ports[number % len(self.ports)] if len(self.ports) > 1 else None

    # who is where

    def whereabouts(self, number: int) -> Whereabouts | None:
        """Return where somebody is, in whichever process; None for nowhere yet."""
        seats = [one for one in self.seats.values() if one.number == number and one.desk]
        if not seats:
            return self._elsewhere().get(number)
        seat = max(seats, key=lambda one: (one.desk.connected > 0, one.desk.last))  # type: ignore[union-attr]
        desk = seat.desk
        assert desk is not None
        return Whereabouts(seat.path, desk.connected > 0, desk.last.timestamp())

    def tell_whereabouts(self) -> None:
        """Tell the instructor's process who is where in this one."""
        found = {one: self.whereabouts(one) for one in {s.number for s in self.seats.values()}}
        told = {number: vars(where) for number, where in found.items() if where is not None}
        with contextlib.suppress(OSError):
            path = self.private / f"here-{self.turn}.json"
            path.with_suffix(".part").write_text(json.dumps(told), "utf-8")
            path.with_suffix(".part").replace(path)

    def _elsewhere(self) -> dict[int, Whereabouts]:
        found: dict[int, Whereabouts] = {}
        if self.turn:
            return found
        for turn in range(1, self.count):
            path = self.private / f"here-{turn}.json"
            with contextlib.suppress(OSError, ValueError, TypeError, AttributeError):
                if time.time() - path.stat().st_mtime < TOLD_FRESH_S:
                    told = json.loads(path.read_bytes())
                    found |= {int(number): Whereabouts(**one) for number, one in told.items()}
        return found

    # whose desk is where

    def addresses(self) -> dict[str, Any]:
        """Return the addresses that a page is told, by their names in `Here`."""
        return {}

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
            **self.addresses(),
            place=folder,
            pages=self.shelves[inside],
            top=root,
            by_class=not person.instructs,
            drop=None if person.instructs else self.class_folder.inbox,
            returned=root / "returned",
            replays=self.folder / DESKS if person.instructs else None,
            heavy=self.work.heavy,
        )
