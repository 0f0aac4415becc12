"""What JupyterHub is given of ours: who may log in, passwords, a page to change one's own.

Imported by the hub only, so that the course itself works without JupyterHub.
"""

from __future__ import annotations

import asyncio
import time
from datetime import date
from http import HTTPStatus
from pathlib import Path
from typing import Any

from jupyterhub.auth import Authenticator
from jupyterhub.handlers import BaseHandler, LoginHandler
from jupyterhub.spawner import Spawner
from jupyterhub.utils import url_path_join
from tornado.httputil import url_concat
from tornado.web import HTTPError, authenticated
from traitlets import Integer, Unicode

from coursework.room.classfolder import open_class
from coursework.room.hub_passwords import (
    FEWEST_DIFFERENT,
    FEWEST_SIGNS,
    MOST_SIGNS,
    Passwords,
    require_new_password,
)
from coursework.room.hub_settings import OWN, read_hub_settings
from taperkey.counts import counted

__all__ = ["ADDRESS", "ChangePassword", "CourseLogin", "NoServers"]

ADDRESS = "/auth/change-password"
NOT_RIGHT = "The present password is not right. Type it again."
WRONG = "Account and password do not go together. Type both again; the account is on your slip."


class NoServers(Spawner):  # type: ignore[misc]
    """Starts nothing: the class's own server has everybody's pages."""

    async def start(self) -> Any:
        """Refuse."""
        raise HTTPError(HTTPStatus.FORBIDDEN, "Nobody has a server of their own here.")

    async def stop(self, now: bool = False) -> None:
        """Do nothing."""

    async def poll(self) -> int:
        """Say that nothing runs."""
        return 0


class _SayingLogin(LoginHandler):  # type: ignore[misc]
    """The log-in page, able to say why it refused; asks for another password than the first."""

    custom_login_error = ""

    def get_next_url(self, user: Any = None, default: Any = None) -> str:
        """Return where to go after the log-in: first to the page for a password of one's own."""
        onward = str(super().get_next_url(user, default))
        if user is None or not self.authenticator.passwords.first(user.name):
            return onward
        return str(url_concat(url_path_join(self.hub.base_url, ADDRESS), {"next": onward}))

    def _render(self, login_error: str | None = None, username: str | None = None) -> Any:
        return super()._render(self.custom_login_error or login_error, username)


class CourseLogin(Authenticator):  # type: ignore[misc]
    """Passwords that the hub keeps, for whoever is in the class now; refuses guessing."""

    folder = Unicode("", config=True, help="Class folder.")
    wrong_tries = Integer(6, config=True, help="Wrong passwords before an account waits.")
    wait_seconds = Integer(300, config=True, help="How long it waits, in seconds.")
    wait_limit_names = Integer(5000, config=True, help="How many names are remembered.")

    @property
    def passwords(self) -> Passwords:
        """The passwords of the hub."""
        return Passwords(Path(self.folder) / OWN)

    def listed(self, name: str) -> bool:
        """Say whether an account is in the class now."""
        settings = read_hub_settings(open_class(Path(self.folder)))
        return name in settings.apprentices or name in settings.staff

    def check_allowed(self, username: str, authentication: Any = None) -> bool:
        """Say whether somebody whose password was right may come in."""
        return self.listed(username)

    def _tries(self) -> dict[str, list[float]]:
        tries: dict[str, list[float]] = self.__dict__.setdefault("_wrong", {})
        return tries

    def must_wait(self, name: str) -> str:
        """Return the sentence for an account that has to wait; empty where it need not."""
        now = time.monotonic()
        recent = [then for then in self._tries().get(name, []) if now - then < self.wait_seconds]
        if len(recent) < self.wrong_tries:
            return ""
        minutes = max(1, round((self.wait_seconds - (now - recent[0])) / 60))
        return (
            f"Too many wrong passwords for this account. Wait {counted(minutes, 'minute')}, or ask "
            "your instructor."
        )

    def get_handlers(self, app: Any) -> list[tuple[str, Any]]:
        """Return the log-in page and the page that changes a password."""
        return [("/login", _SayingLogin), (ADDRESS, ChangePassword)]

    async def authenticate(self, handler: Any, data: dict[str, str]) -> str | None:
        """Return the account where it is in the class, its password fits and it need not wait."""
        name = self.normalize_username(data.get("username", ""))[:64]
        handler.custom_login_error = self.must_wait(name)
        if handler.custom_login_error:
            return None
        word = data.get("password", "")[:1000]
        tries, now = self._tries(), time.monotonic()
        recent = [then for then in tries.pop(name, []) if now - then < self.wait_seconds]
        if len(tries) >= self.wait_limit_names:
            tries.pop(next(iter(tries)))
        tries[name] = [*recent, now]  # before it is looked at: many at once are counted too
        if await asyncio.to_thread(self._right, name, word):
            tries.pop(name, None)
            return str(name)
        handler.custom_login_error = WRONG
        return None

    def _right(self, name: str, word: str) -> bool:
        return self.passwords.fits(name, word) and self.listed(name)


class ChangePassword(BaseHandler):  # type: ignore[misc]
    """The present password once, the new one twice."""

    custom_login_error = ""

    async def _show(self, *, refused: str = "", done: bool = False) -> None:
        user = self.current_user
        page = await self.render_template(
            "change-password.html",
            account=user.name,
            first=bool(self.authenticator.passwords.first(user.name)),
            refused=refused[:1].upper() + refused[1:],
            done=done,
            signs=(FEWEST_SIGNS, MOST_SIGNS, FEWEST_DIFFERENT),
            onward=self.get_next_url(user),
            xsrf=self.xsrf_token.decode("ascii"),
        )
        self.finish(page)

    @authenticated
    async def get(self) -> None:
        """Show the form."""
        await self._show()

    @authenticated
    async def post(self) -> None:
        """Change the password, or say in one sentence why not."""
        account = self.current_user.name
        present, new, again = (
            self.get_body_argument(name, "", strip=False) for name in ("present", "new", "again")
        )
        try:
            require_new_password(new, again, present=present)
        except ValueError as refused:
            await self._show(refused=str(refused))
            return
        typed = {"username": account, "password": present}
        if not await self.authenticator.authenticate(self, typed):
            await self._show(refused=self.authenticator.must_wait(account) or NOT_RIGHT)
            return
        put = self.authenticator.passwords.put
        await asyncio.to_thread(put, account, new, today=date.today())
        await self._show(done=True)
