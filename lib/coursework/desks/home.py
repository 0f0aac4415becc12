"""The course at home: one person at their own computer, and everything of theirs in one folder."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from jupyter_server.auth.decorator import allow_unauthenticated
from jupyter_server.auth.identity import IdentityProvider, User

from coursework.desks.doors import PAGES_NEED, DeskRights, DeskUser, OwnPage
from coursework.desks.seating import Person, Seating
from coursework.page.here import Here

__all__ = ["Home", "HomeDoors", "HomeRights"]

OWN = Path(".taperkey") / "server"
ME = Person(1, "You")


class Home(Seating):
    """The course folder of one person.

    Parameters
    ----------
    folder : Path
        The course folder.
    soon : callable
        Has something done by the server's own thread.
    """

    first_comes_s = 20.0

    def __init__(self, folder: Path, *, soon: Callable[..., Any]) -> None:
        super().__init__(folder / OWN, soon=soon)
        self.folder = folder
        self.read_seats()

    def person(self, number: int) -> Person | None:
        """Return the one person that there is."""
        return ME if number == ME.number else None

    def stays(self, user: Any) -> bool:
        """Say yes: it is their own computer."""
        return bool(user.number == ME.number)

    def root(self, person: Person) -> Path:
        """Return the course folder."""
        return self.folder

    def place(self, person: Person, path: str) -> Here:
        """Return where a page stands: its folder, and the page itself as it was shipped."""
        inside = self.folder_of(path)
        folder = self.folder / inside
        folder.mkdir(parents=True, exist_ok=True)
        return Here(place=folder, pages=self.shelves[inside])


class HomeDoors(IdentityProvider):
    """Knows whoever comes with the word of the address, and their browser afterwards."""

    async def _get_user(self, handler: Any) -> User | None:
        found = await super()._get_user(handler)
        if found is None or isinstance(found, DeskUser):
            return found
        return DeskUser("self", ME.name, ME.name, number=ME.number)

    def get_handlers(self) -> list[tuple[str, Any]]:
        """Return the page for a browser that comes without the word."""
        return [(r"/login", Shut)]


class HomeRights(DeskRights):
    """What whoever is at home may do: all that there is a door for."""

    doors = PAGES_NEED

    def is_authorized(self, handler: Any, user: Any, action: str, resource: str) -> bool:
        """Say whether this may be done."""
        return isinstance(user, DeskUser) and self.has_door(handler, resource)


class Shut(OwnPage):
    """What a browser without the word of the address is shown."""

    @allow_unauthenticated
    def get(self) -> None:
        """Say where the address is to be found."""
        from coursework.room.cards import page_template  # brings all of marking, and takes a second

        self.set_status(403)
        self.finish(page_template("shut.html.j2").render(once=self.once))
