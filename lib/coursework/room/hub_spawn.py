"""What JupyterHub is given of ours: who gets in, as whom a page server runs, what it is told.

Imported by the hub only, so that the course itself works without JupyterHub.
"""

from __future__ import annotations

import os
import pwd
import resource
import time
from collections.abc import Callable
from datetime import date
from http import HTTPStatus
from pathlib import Path
from typing import Any

from firstuseauthenticator import FirstUseAuthenticator
from jupyterhub.auth import Authenticator, PAMAuthenticator
from jupyterhub.handlers import LoginHandler
from jupyterhub.spawner import LocalProcessSpawner, set_user_setuid
from jupyterhub.utils import maybe_future, url_path_join
from tornado.httputil import url_concat
from tornado.web import HTTPError
from traitlets import Integer, Unicode

from coursework.room.classfolder import open_class
from coursework.room.hub_change import ADDRESS, ChangePassword
from coursework.room.hub_passwords import (
    FEWEST_DIFFERENT,
    FEWEST_SIGNS,
    FirstPasswords,
    set_system_password,
)
from coursework.room.hub_settings import HubSettings, read_hub_settings
from coursework.room.launch import START_PAGE
from taperkey.counts import counted

__all__ = [
    "CourseSpawner",
    "FirstUseLogin",
    "SystemLogin",
    "page_environment",
    "tell_the_page",
]


STAFFS_TIMES = 4  # the memory and processes of an apprentice's: one keeper serves several people
STAFFS_FILES = 16  # an apprentice's largest file
MOST_BYTES = 72  # of a password that is kept here: what its hash takes in


class _SayingLogin(LoginHandler):  # type: ignore[misc]
    """The log-in page, able to say why it refused; asks for another password than the first."""

    custom_login_error = ""

    def get_next_url(self, user: Any = None, default: Any = None) -> str:
        """Return where to go after the log-in: first to the page for a password of one's own."""
        onward = str(super().get_next_url(user, default))
        if user is None or not self.authenticator.first_password(user.name):
            return onward
        return str(url_concat(url_path_join(self.hub.base_url, ADDRESS), {"next": onward}))

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

    def first_password(self, name: str) -> str:
        """Return the first password that an account was given and still has, or nothing."""
        return ""

    def put_password(self, name: str, word: str) -> bool:
        """Give an account another password; return whether it was taken."""
        raise NotImplementedError

    def get_handlers(self, app: Any) -> list[tuple[str, Any]]:
        """Return the log-in page and the page that changes a password."""
        return [("/login", _SayingLogin), (ADDRESS, ChangePassword)]

    async def authenticate(self, handler: Any, data: dict[str, str]) -> Any:
        """Let the password be checked, unless the account has to wait."""
        name = self.normalize_username(data.get("username", ""))[:40]
        handler.custom_login_error = self.must_wait(name)
        if handler.custom_login_error:
            return None
        if not self._listed(name):
            accepted = None
        else:
            accepted = await maybe_future(super().authenticate(handler, data))
        tries, now = self._tries(), time.monotonic()
        if accepted:
            tries.pop(name, None)
            return accepted
        recent = [then for then in tries.get(name, []) if now - then < self.wait_seconds]
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

    first_passwords = Unicode("", config=True, help="List of the first passwords, root's own.")

    async def authenticate(self, handler: Any, data: dict[str, str]) -> Any:
        """Let the password be checked; who has another than the first one is struck off."""
        accepted = await super().authenticate(handler, data)
        if accepted:
            name = self.normalize_username(data["username"])
            if self.first_password(name) not in ("", data["password"]):
                self._strike(name)
        return accepted

    def first_password(self, name: str) -> str:
        """Return the first password that an account was given and still has, or nothing."""
        return FirstPasswords(Path(self.first_passwords)).of(name) if self.first_passwords else ""

    def put_password(self, name: str, word: str) -> bool:
        """Give an account of the computer another password."""
        if not set_system_password(name, word):
            return False
        self._strike(name)
        return True

    def _strike(self, name: str) -> None:
        if self.first_passwords:
            FirstPasswords(Path(self.first_passwords)).strike(name, today=date.today())


class FirstUseLogin(_Limited, FirstUseAuthenticator):  # type: ignore[misc]
    """The first password that a listed account types becomes its own."""

    def _validate_password(self, password: str) -> bool:
        return (
            len(password) >= max(FEWEST_SIGNS, self.min_password_length)
            and len(set(password)) >= FEWEST_DIFFERENT
            and len(password.encode()) <= MOST_BYTES
        )

    def put_password(self, name: str, word: str) -> bool:
        """Keep another password for an account."""
        return "success" in self.reset_password(name, word)


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
                "Your account is closed or not on the class list. Ask your instructor about it.",
            ) from None
        spawner.environment = {**spawner.environment, **told}
        staff = told["TAPERKEY_ROLE"] == "staff"
        spawner.default_url = "/lab" if staff else f"/doc/tree/{START_PAGE}"

    return hook


class CourseSpawner(LocalProcessSpawner):  # type: ignore[misc]
    """A page server under the person's own account; staff's under the class's keeper."""

    keeper = Unicode("", config=True, help="Account that owns the class folder.")
    most_memory_mib = Integer(0, config=True, help="Of each process of an apprentice; 0: no limit.")
    largest_file_mib = Integer(0, config=True, help="That an apprentice writes; 0: no limit.")
    most_processes = Integer(0, config=True, help="Of an apprentice, threads too; 0: no limit.")

    @property
    def _staffs(self) -> bool:
        return bool(self.environment.get("TAPERKEY_ROLE") == "staff")

    def _runs_as(self) -> str:
        return str(self.keeper if self._staffs else self.user.name)

    def _limits(self) -> list[tuple[int, int]]:
        """Return what a page server may take up; staff's holds a class's gradebook, so more."""
        mib = 2**20
        times, files = (STAFFS_TIMES, STAFFS_FILES) if self._staffs else (1, 1)
        wanted = [
            (resource.RLIMIT_AS, times * self.most_memory_mib * mib),
            (resource.RLIMIT_FSIZE, files * self.largest_file_mib * mib),
            (resource.RLIMIT_NPROC, times * self.most_processes),
        ]
        return [(kind, most) for kind, most in wanted if most]

    def make_preexec_fn(self, name: str) -> Callable[[], None]:
        """Return what the new process does before it becomes the page server."""
        become = set_user_setuid(self._runs_as())
        limits = [(resource.RLIMIT_CORE, 0), *self._limits()]

        def prepare() -> None:
            for kind, most in limits:
                resource.setrlimit(kind, (most, most))
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
