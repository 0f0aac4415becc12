"""The door of a class that a hub logs people in for: its log-in in the place of join codes.

Who logged in at the hub comes with a token of the hub's in a signed cookie. The hub is asked whose
it is, and after `FRESH_S` asked again, also for pages that are only open: a log-out there ends
them. Which apprentice, or which of the instructors and assessors, that account is, is looked up in
the class at every request.
"""

from __future__ import annotations

import asyncio
import hashlib
import hmac
import json
import os
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from http import HTTPStatus
from pathlib import Path
from typing import Any, ClassVar

from jupyter_server.auth.decorator import allow_unauthenticated
from jupyter_server.auth.identity import User
from jupyterhub.services.auth import HubOAuth
from tornado import web
from tornado.httputil import url_concat

from coursework.desks.doors import (
    OPEN_TO,
    DeskRights,
    DeskUser,
    Doors,
    OwnPage,
    doors_of,
    has_door,
)
from coursework.desks.hubservice import HUB_WORDS
from coursework.desks.joincodes import INSTRUCTOR
from coursework.desks.school import School
from coursework.desks.seating import START_PAGE
from coursework.room.classfolder import ClassFolder
from coursework.room.hub_passwords import Passwords
from coursework.room.hub_settings import HubSettings, read_hub_settings, service_name

__all__ = ["HubDoors", "HubRights", "HubSchool", "Tickets", "hub_of"]

FRESH_S = 20.0  # how long the hub's word on who somebody is holds
TRIED_S = 5.0  # how long a hub that did not answer is left alone
LONGEST_S = 12 * 3600.0  # how long whoever is in stays so while the hub does not answer
FORGOTTEN_S = 3600.0

#: There are no join codes to print.
OPEN_BEHIND_HUB = tuple(one for one in OPEN_TO if one[1].pattern != r"/class/codes") + doors_of(
    ("GET", r"/oauth_callback"),
)


def hub_of(name: str) -> HubOAuth:
    """Return the hub as its service sees it; the words of the environment are taken out of it.

    No process that is started from here has them, the token for the hub least of all.
    """
    told = json.loads(os.environ.pop(HUB_WORDS))
    base = told["base"]
    return HubOAuth(
        api_url=told["api"],
        api_token=told["token"],
        base_url=base,
        oauth_client_id=f"service-{name}",
        oauth_redirect_uri=f"{base}oauth_callback",
        hub_prefix="/hub/",
        hub_host="",
        access_scopes={f"access:services!service={name}"},
    )


@dataclass
class Ticket:
    """A log-in at the hub: whose, when the hub said so, when it was last tried."""

    token: str
    account: str
    said: float
    tried: float


class Tickets:
    """Who is logged in at the hub, by the token that a browser brings.

    Parameters
    ----------
    hub : HubOAuth
        The hub.
    clock : callable
        Seconds that only go up.
    """

    def __init__(self, hub: Any, *, clock: Callable[[], float] = time.monotonic) -> None:
        self.hub = hub
        self.clock = clock
        self._known: dict[str, Ticket] = {}
        self._asking: dict[str, asyncio.Future[str]] = {}

    @staticmethod
    def mark(token: str) -> str:
        """Return what a token is known by here."""
        return hashlib.sha256(token.encode()).hexdigest()

    def good(self, mark: str) -> bool:
        """Say whether the hub last said that this log-in holds."""
        return mark in self._known

    async def account(self, token: str) -> str:
        """Return whose log-in this is; empty for nobody's.

        Raises
        ------
        HTTPError
            503: the hub does not answer, and has not said who this is.
        """
        mark = self.mark(token)
        known, now = self._known.get(mark), self.clock()
        if known and (now - known.said < FRESH_S or now - known.tried < TRIED_S):
            return known.account
        if mark not in self._asking:  # a page asks for much at once; the hub is asked once
            self._asking[mark] = asyncio.ensure_future(self._ask(mark, token))
        return await asyncio.shield(self._asking[mark])

    async def _ask(self, mark: str, token: str) -> str:
        known = self._known.get(mark)
        try:
            told = await self.hub.user_for_token(token, use_cache=False, sync=False)
        except web.HTTPError:
            now = self.clock()
            if known is None or now - known.said > LONGEST_S:
                raise web.HTTPError(HTTPStatus.SERVICE_UNAVAILABLE) from None
            known.tried = now
            return known.account
        finally:
            self._asking.pop(mark, None)
        if not told or told.get("kind") != "user":
            told = None
        if told is None or not self.hub.check_scopes(self.hub.access_scopes, told):
            self._known.pop(mark, None)
            return ""
        now = self.clock()
        self._known[mark] = Ticket(token, str(told["name"]), now, now)
        return self._known[mark].account

    async def ask_again(self, marks: set[str]) -> None:
        """Ask the hub about log-ins whose pages are open; forget those that nobody uses."""
        now = self.clock()
        for mark, ticket in list(self._known.items()):
            if mark in marks:
                try:
                    await self.account(ticket.token)
                except web.HTTPError:
                    self._known.pop(mark, None)
            elif now - ticket.said > FORGOTTEN_S:
                self._known.pop(mark, None)


class HubSchool(School):
    """A class behind a hub: who has which account in it, now.

    Parameters
    ----------
    folder : Path
        The class folder.
    soon : callable
        Has something done by the server's own thread.
    turn, count : int
        Which server of the class this is, of how many. Who has number n works on server n modulo
        their count; server 0 is the instructors'.
    hub : HubOAuth
        The hub.
    """

    def __init__(
        self, folder: Path, *, soon: Callable[..., Any], turn: int, count: int, hub: Any
    ) -> None:
        self.hub, self.tickets = hub, Tickets(hub)
        self.base: str = hub.base_url
        self._accounts: dict[str, int] = {}
        super().__init__(folder, soon=soon, turn=turn)
        self.count = count

    def read_doors(self, class_folder: ClassFolder) -> None:
        """Take up who has which account; a list that cannot be read changes nothing."""
        settings = read_hub_settings(class_folder)
        staff = dict.fromkeys(settings.staff, INSTRUCTOR)
        self._accounts = {**settings.apprentices, **staff}
        self._settings: HubSettings = settings

    def number_of(self, account: str) -> int | None:
        """Return the number of an account in the class now, 0 for who runs it; None for nobody."""
        self.look_again()
        number = self._accounts.get(account)
        return None if number is None or self.person(number) is None else number

    def stays(self, user: Any) -> bool:
        """Say whether somebody is still logged in and in the class now, in time."""
        if user.number != INSTRUCTOR and self.notices.closed:
            return False
        return self.tickets.good(user.mark) and self.number_of(user.account) == user.number

    def new_key(self, number: int) -> str:
        """Give somebody another first password, for one that was forgotten."""
        account = next(name for name, one in self._accounts.items() if one == number)
        return f"{Passwords(self._settings.own).give(account)} for account {account}"

    def base_of(self, number: int) -> str:
        """Return the base address of the server that somebody works on."""
        turn = number % self.count
        return self.base if turn == self.turn else f"/services/{service_name(turn)}/"

    def addresses(self) -> dict[str, Any]:
        """Return the addresses that a page is told, by their names in `Here`."""
        return {
            "files": f"{self.base}files/",
            "password": f"{self.hub.hub_prefix}auth/change-password",
            "leave": f"{self.hub.hub_prefix}logout",
        }

    async def ask_again(self) -> None:
        """Ask the hub about everybody who has a page open; cut off who does not stay."""
        await self.tickets.ask_again({way.current_user.mark for way in self.ways})
        for way in list(self.ways):
            if not self.stays(way.current_user):
                way.close(1008)


@dataclass
class HubUser(DeskUser):
    """Somebody who logged in at the hub."""

    account: str = ""


class HubDoors(Doors):
    """Knows people by the hub's log-in; who they are in the class is asked each time."""

    school: HubSchool  # given by `serving.configure_hub`

    def token_of(self, handler: Any) -> str:
        """Return the hub's token in the cookie that this server signed; empty for none.

        No other way is looked at: not the address, not a header.
        """
        raw = handler.get_signed_cookie(self.school.hub.cookie_name, max_age_days=14)
        return raw.decode("ascii", "replace") if raw else ""

    async def account(self, handler: Any) -> str:
        """Return the account that asks; empty where nobody is logged in."""
        token = self.token_of(handler)
        return await self.school.tickets.account(token) if token else ""

    async def _get_user(self, handler: Any) -> User | None:
        if getattr(handler, "_jupyter_current_user", None) is not None:
            found: User = handler._jupyter_current_user
            return found
        account = await self.account(handler)
        number = self.school.number_of(account) if account else None
        if number is None or self.school.base_of(number) != self.school.base:
            return None
        person = self.school.person(number)
        assert person is not None
        mark = Tickets.mark(self.token_of(handler))
        user = HubUser(
            person.folder, person.name, person.name, number=number, mark=mark, account=account
        )
        return user if self.school.stays(user) else None

    def get_handlers(self) -> list[tuple[str, Any]]:
        """Return the way to the hub and back."""
        return [(r"/login", ToHub), (r"/oauth_callback", FromHub)]


class HubRights(DeskRights):
    """What somebody may do who is in."""

    doors: ClassVar[Any] = OPEN_BEHIND_HUB


class _BetweenHub(OwnPage):
    """A page on the way between the hub and the class."""

    @cached_property
    def behind(self) -> HubSchool:
        """The class."""
        found: HubSchool = self.settings["school"]
        return found

    def say(self, status: int, heading: str, *sentences: str, again: bool = False) -> None:
        """Show a page with a few sentences."""
        from coursework.room.cards import page_template

        self.set_status(status)
        self.set_header("Cache-Control", "no-store")
        self.finish(
            page_template("outside.html.j2").render(
                once=self.once,
                heading=heading,
                sentences=sentences,
                base=self.base_url if again else "",
                leave=self.behind.addresses()["leave"],
            )
        )

    def write_error(self, status_code: int, **named: Any) -> None:
        """Say that the log-in went wrong."""
        self.say(
            status_code,
            "You are not in yet",
            "The log-in does not answer as it should. Wait a minute, then try again. What you "
            "typed is kept.",
            again=True,
        )


class ToHub(_BetweenHub):
    """Where a browser is sent that is not in: to the hub, or on to its own page."""

    @allow_unauthenticated
    async def get(self) -> None:
        """Send it on, or say why it stays outside."""
        doors: Any = self.identity_provider
        account = await doors.account(self)
        if not account:
            self._to_hub()
            return
        number = self.behind.number_of(account)
        if number is None:
            self.say(
                HTTPStatus.FORBIDDEN,
                "You are not in this class",
                f"You are logged in as {account}, and that account is not in the class now.",
                "Ask your instructor about it, or log out and log in with another account.",
            )
        elif number != INSTRUCTOR and self.behind.notices.closed:
            self.say(
                HTTPStatus.FORBIDDEN,
                "The class is closed",
                "Your instructor opens it again. What you typed is kept.",
                again=True,
            )
        else:
            way = "class" if number == INSTRUCTOR else f"doc/tree/{START_PAGE}"
            self.redirect(
                self.behind.base_of(number) + (self._wanted() or way), status=HTTPStatus.SEE_OTHER
            )

    def _wanted(self) -> str:
        """Return the address inside the class that was asked for; empty where it is none."""
        address = self.get_query_argument("next", "")
        if len(address) > 400 or not address.startswith(self.base_url):
            return ""
        wanted = address[len(self.base_url) :].partition("?")[0]
        ours = has_door("GET", f"/{wanted}", OPEN_BEHIND_HUB)
        return wanted if ours and wanted not in ("login", "oauth_callback") else ""

    def _to_hub(self) -> None:
        hub = self.behind.hub
        verifier, challenge, method = hub.generate_pkce_code_challenge()
        here = url_concat(f"{self.base_url}login", {"next": self.base_url + self._wanted()})
        state = hub.set_state_cookie(self, next_url=here, code_verifier=verifier)
        asked = {"state": state, "code_challenge": challenge, "code_challenge_method": method}
        self.redirect(url_concat(hub.login_url, asked))


class FromHub(_BetweenHub):
    """Where the hub sends a browser back to, with a word that is good for a token."""

    @allow_unauthenticated
    async def get(self) -> None:
        """Fetch the token, give the browser its cookie, send it on."""
        hub = self.behind.hub
        code, state = self.get_query_argument("code", ""), self.get_query_argument("state", "")
        kept = self.get_signed_cookie(hub.get_state_cookie_name(state), max_age_days=1)
        hub.clear_oauth_state_cookies(self)
        if not code or not state or not hmac.compare_digest(state.encode(), kept or b""):
            self.say(
                HTTPStatus.FORBIDDEN,
                "You are not in yet",
                "This log-in was not begun in this window, or longer than ten minutes ago.",
                again=True,
            )
            return
        onward, verifier = hub.get_next_url(state), hub.get_code_verifier(state)
        hub.clear_oauth_state(state)
        token = await hub.token_for_code(code, code_verifier=verifier, sync=False)
        self.set_signed_cookie(
            hub.cookie_name,
            token,
            expires_days=None,
            path=self.base_url,
            httponly=True,
            samesite="Lax",
            secure=self.request.protocol == "https",
        )
        self.redirect(onward, status=HTTPStatus.SEE_OTHER)
