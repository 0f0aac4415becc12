"""What pages there are, which of them are open, and what runs each.

Whose they are and where they stand says who builds on it: a class (`school`) or one person at their
own computer (`home`).
"""

from __future__ import annotations

import contextlib
import json
import os
import secrets
import uuid
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from coursework.course import course
from coursework.desks.calls import page_calls
from coursework.desks.desk import Cells, Desk
from coursework.desks.joincodes import INSTRUCTOR
from coursework.desks.work import Work
from coursework.page.here import Here
from coursework.room.coursebook import shipped_pages
from coursework.room.launch import START_PAGE
from taperkey.files import write_whole

__all__ = ["START_PAGE", "Person", "Seat", "Seating", "cookie_secret"]

AWAY_SECONDS = 900.0
MOST_SEATS = 12  # pages that one person has open


@dataclass(frozen=True)
class Person:
    """Somebody who came in; number 0 is the instructor of a class."""

    number: int
    name: str

    @property
    def instructs(self) -> bool:
        """Whether this is the instructor."""
        return self.number == INSTRUCTOR

    @property
    def folder(self) -> str:
        """Name of the person's folder among the desks."""
        return "instructor" if self.instructs else f"{self.number:03d}"


@dataclass
class Seat:
    """A page that somebody has open: its two names on the wire, whose it is, and what runs it."""

    key: str
    desk_key: str
    number: int
    path: str
    name: str
    desk: Desk | None = None


class Seating(ABC):
    """The pages of the course, and those that are open.

    Parameters
    ----------
    private : Path
        Folder of the server's own; made where there is none.
    soon : callable
        Has something done by the server's own thread.
    """

    seats_file = "seats.jsonl"
    first_comes_s = 0.0  # how long the first browser is waited for before more is made ready

    def __init__(self, private: Path, *, soon: Callable[..., Any]) -> None:
        self.private = private
        self.private.mkdir(mode=0o700, parents=True, exist_ok=True)
        self.soon = soon
        self.work = Work()
        self.pages = {
            name: path for name, path in shipped_pages().items() if name.endswith(".ipynb")
        }
        self.shelves = {name.rpartition("/")[0]: path.parent for name, path in self.pages.items()}
        self.seats: dict[str, Seat] = {}
        self.ways: set[Any] = set()  # the websockets of open pages

    @abstractmethod
    def person(self, number: int) -> Person | None:
        """Return who has this number now; None for nobody."""

    @abstractmethod
    def stays(self, user: Any) -> bool:
        """Say whether somebody who came in may stay."""

    @abstractmethod
    def root(self, person: Person) -> Path:
        """Return the course folder of a person; made where there is none yet."""

    @abstractmethod
    def place(self, person: Person, path: str) -> Here:
        """Return where a page of a person's stands."""

    # what is open

    def cells(self, path: str) -> Cells:
        """Return the blocks of a page with their calls."""
        if path not in self.pages:
            raise OSError("it is no page of this course")
        return page_calls(self.pages[path], course().calls)

    def folder_of(self, path: str) -> str:
        """Return the course's folder that a path lies in; empty where it lies in none."""
        inside = path.rpartition("/")[0]
        return inside if inside in self.shelves else ""

    @property
    def busy(self) -> bool:
        """Whether any page has something to do."""
        return any(seat.desk is not None and seat.desk.waits for seat in list(self.seats.values()))

    def seats_of(self, person: Person) -> Iterator[Seat]:
        """Give a person's open pages."""
        return (seat for seat in list(self.seats.values()) if seat.number == person.number)

    def sit(self, person: Person, path: str, name: str) -> Seat:
        """Open a page for a person; the oldest of too many is closed."""
        mine = list(self.seats_of(person))
        for old in mine[: max(0, len(mine) - MOST_SEATS + 1)]:
            self.stand_up(old)
        seat = Seat(str(uuid.uuid4()), str(uuid.uuid4()), person.number, path, name)
        self.seats[seat.key] = seat
        self._note(seat)
        return seat

    def move(self, seat: Seat, path: str) -> bool:
        """Say which page it is that somebody opened; False where it lies in another folder."""
        if self.folder_of(path) != self.folder_of(seat.path):
            return False
        if path != seat.path:
            seat.path = path
            self._note(seat)
        return True

    def stand_up(self, seat: Seat) -> None:
        """Close a page."""
        if self.seats.pop(seat.key, None) is not None:
            self._append({"gone": seat.key})
            if seat.desk is not None:
                seat.desk.dismiss()

    def send_out(self, number: int) -> None:
        """Close all that somebody has open."""
        for seat in [one for one in self.seats.values() if one.number == number]:
            self.stand_up(seat)

    def desk(self, seat: Seat) -> Desk:
        """Return what runs a page; started where nothing does."""
        if seat.desk is None:
            person = self.person(seat.number)
            if person is None or not self.folder_of(seat.path):
                raise OSError("it is no page of this course")
            seat.desk = Desk(
                key=seat.desk_key,
                place=self.place(person, seat.path),
                cells=lambda: self.cells(seat.path),
                module=course().calls,
                work=self.work,
                soon=self.soon,
            )
        return seat.desk

    def put_away(self, now: datetime | None = None) -> int:
        """Free what pages take up that no browser has looked at for a while; return how many.

        A page that comes back is run again, and shows what was typed.
        """
        moment = now or datetime.now(UTC)
        count = 0
        for seat in list(self.seats.values()):
            desk = seat.desk
            if desk is None or desk.connected or desk.waits:
                continue
            if (moment - desk.last).total_seconds() > AWAY_SECONDS:
                desk.begin_again()
                seat.desk = None
                count += 1
        return count

    # what outlives a stop: which pages were open; what was typed is in their own files

    def _append(self, line: dict[str, Any]) -> None:
        with (
            contextlib.suppress(OSError),
            (self.private / self.seats_file).open("a", encoding="utf-8") as file,
        ):
            file.write(json.dumps(line) + "\n")

    def _note(self, seat: Seat) -> None:
        self._append(_told(seat))

    def read_seats(self) -> None:
        """Take up the pages that were open before a stop."""
        path = self.private / self.seats_file
        try:
            lines = path.read_text("utf-8", "replace").splitlines()
        except OSError:
            return
        for line in lines:
            with contextlib.suppress(ValueError, KeyError, TypeError):
                told = json.loads(line)
                if "gone" in told:
                    self.seats.pop(told["gone"], None)
                    continue
                self.seats[told["key"]] = Seat(
                    told["key"], told["desk"], int(told["number"]), told["path"], told["name"],
                )  # fmt: skip
        with contextlib.suppress(OSError):
            write_whole(path, "".join(_line(one) for one in self.seats.values()).encode())

    def stop(self) -> None:
        """End the work; what was typed is on the disk already."""
        self.work.stop()


def _told(seat: Seat) -> dict[str, Any]:
    return {
        "key": seat.key,
        "desk": seat.desk_key,
        "number": seat.number,
        "path": seat.path,
        "name": seat.name,
    }


def _line(seat: Seat) -> str:
    return json.dumps(_told(seat)) + "\n"


def cookie_secret(private: Path) -> bytes:
    """Return what cookies are signed with; kept, so that a restart lets nobody out."""
    path = private / "cookie-secret"
    with contextlib.suppress(OSError, ValueError):
        found = bytes.fromhex(path.read_text("ascii").strip())
        if len(found) >= 32:
            return found
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(secrets.token_hex(32))
    return cookie_secret(private)
