"""What JupyterHub is given of ours: who gets in, as whom a page server runs, what it is told.

Imported by the hub only, so that the course itself works without JupyterHub.
"""

from __future__ import annotations

import os
import pwd
import resource
import time
from collections.abc import Callable
from http import HTTPStatus
from pathlib import Path
from typing import Any

from firstuseauthenticator import FirstUseAuthenticator
from firstuseauthenticator.firstuseauthenticator import ResetPasswordHandler
from jupyterhub.auth import Authenticator, PAMAuthenticator
from jupyterhub.handlers import LoginHandler
from jupyterhub.spawner import LocalProcessSpawner, set_user_setuid
from jupyterhub.utils import maybe_future
from tornado.web import HTTPError
from traitlets import Integer, Unicode

from taperkey.classroom.classfolder import open_class
from taperkey.classroom.hub_settings import HubSettings, read_hub_settings
from taperkey.classroom.launch import START_PAGE
from taperkey.counts import counted

__all__ = [
    "CourseSpawner",
    "FirstUseLogin",
    "SystemLogin",
    "page_environment",
    "tell_the_page",
]


class _SayingLogin(LoginHandler):  # type: ignore[misc]
    """The log-in page, able to say why it refused."""

    custom_login_error = ""

    def _render(self, login_error: str | None = None, username: str | None = None) -> Any:
        return super()._render(self.custom_login_error or login_error, username)


class _Limited(Authenticator):  # type: ignore[misc]
    """Refuses guessing: after some wrong passwords an account waits."""

    wrong_tries = Integer(6, config=True, help="Wrong passwords before an account waits.")
    wait_seconds = Integer(300, config=True, help="How long it waits, in seconds.")
    accounts = Unicode("", config=True, help="File of who may log in, one account a line.")
    wait_limit_names = Integer(5000, config=True, help="How many names are remembered.")

    def _tries(self) -> dict[str, list[float]]:
        tries: dict[str, list[float]] = self.__dict__.setdefault("_wrong", {})
        return tries

    def _listed(self, name: str) -> bool:
        """Tell whether this account may log in, by the list as it is now."""
        try:
            listed = set(Path(self.accounts).read_text("utf-8").split())
        except OSError:  # none is named, or it is lost: as the hub was started
            listed = self.allowed_users
        return name in listed or name in self.admin_users

    def check_allowed(self, username: str, authentication: Any = None) -> bool:
        """Tell whether somebody whose password was right may come in."""
        return self._listed(username)

    async def authenticate(self, handler: Any, data: dict[str, str]) -> Any:
        """Let the password be checked, unless the account has to wait."""
        name = self.normalize_username(data.get("username", ""))[:40]
        now = time.monotonic()
        tries = self._tries()
        recent = [then for then in tries.get(name, []) if now - then < self.wait_seconds]
        if len(recent) >= self.wrong_tries:
            minutes = max(1, round((self.wait_seconds - (now - recent[0])) / 60))
            handler.custom_login_error = (
                f"Too many wrong passwords for this account. Wait "
                f"{counted(minutes, 'minute')}, or ask your instructor."
            )
            return None
        if not self._listed(name):
            accepted = None
        else:
            accepted = await maybe_future(super().authenticate(handler, data))
        if accepted:
            tries.pop(name, None)
            return accepted
        if len(tries) >= self.wait_limit_names:
            tries.pop(next(iter(tries)))
        tries[name] = [*recent, now]
        if not handler.custom_login_error:
            handler.custom_login_error = (
                "Account and password do not go together. Type both again; the account is on "
                "your slip."
            )
        return None


class SystemLogin(_Limited, PAMAuthenticator):  # type: ignore[misc]
    """Passwords of the computer's own accounts (PAM), with a limit on guessing."""

    def get_handlers(self, app: Any) -> list[tuple[str, Any]]:
        """Return the log-in page."""
        return [("/login", _SayingLogin)]


class FirstUseLogin(_Limited, FirstUseAuthenticator):  # type: ignore[misc]
    """The first password that a listed account types becomes its own."""

    def _validate_password(self, password: str) -> bool:
        return len(password) >= self.min_password_length and len(set(password)) >= 5

    def get_handlers(self, app: Any) -> list[tuple[str, Any]]:
        """Return the log-in page and the page that changes a password."""
        return [("/login", _SayingLogin), ("/auth/change-password", ResetPasswordHandler)]


def page_environment(settings: HubSettings, *, folder: Path, account: str) -> dict[str, str]:
    """Return what an account's page server is told of the class.

    Raises
    ------
    KeyError
        The account is not of this class.
    """
    told = {
        "TAPERKEY_ACCOUNT": account,
        "TAPERKEY_STATE": str(settings.state(account)),
    }
    if account in settings.staff:
        return {**told, "TAPERKEY_ROLE": "staff", "TAPERKEY_CLASS_FOLDER": str(folder)}
    number = settings.apprentices[account]
    class_folder = open_class(folder)
    return {
        **told,
        "TAPERKEY_ROLE": "apprentice",
        "TAPERKEY_CLASS": class_folder.code,
        "TAPERKEY_NUMBER": str(number),
        "TAPERKEY_NAME": class_folder.names[number],
        "TAPERKEY_DROP": str(settings.drop(account)),
        "TAPERKEY_RETURNED": str(settings.returned(account)),
    }


def tell_the_page(folder: str) -> Callable[[Any], None]:
    """Return the hook that tells each page server its class, for any kind of spawner."""

    def hook(spawner: Any) -> None:
        settings = read_hub_settings(open_class(Path(folder)))
        try:
            told = page_environment(settings, folder=Path(folder), account=spawner.user.name)
        except KeyError:
            raise HTTPError(
                HTTPStatus.FORBIDDEN,
                "Your account is not on the class list. Ask your instructor to add it.",
            ) from None
        spawner.environment = {**spawner.environment, **told}
        staff = told["TAPERKEY_ROLE"] == "staff"
        spawner.default_url = "/lab" if staff else f"/doc/tree/{START_PAGE}"

    return hook


class CourseSpawner(LocalProcessSpawner):  # type: ignore[misc]
    """A page server under the person's own account; staff's under the class's keeper."""

    keeper = Unicode("", config=True, help="Account that owns the class folder.")

    def _runs_as(self) -> str:
        staff = self.environment.get("TAPERKEY_ROLE") == "staff"
        return str(self.keeper) if staff else str(self.user.name)

    def make_preexec_fn(self, name: str) -> Callable[[], None]:
        """Return what the new process does before it becomes the page server."""
        become = set_user_setuid(self._runs_as())

        def prepare() -> None:
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
            os.umask(0o077)
            become()

        return prepare

    def user_env(self, env: dict[str, str]) -> dict[str, str]:
        """Return the environment with the person's name and the home of the account it runs as.

        Who marked is noted by that name, also where the keeper's account does the work.
        """
        home = pwd.getpwnam(self._runs_as()).pw_dir
        env.update(USER=str(self.user.name), LOGNAME=str(self.user.name), HOME=home)
        env["SHELL"] = "/bin/sh"
        return env
