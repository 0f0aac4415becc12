"""Passwords on a hub: what a new one must be, and the list of first ones, for root only.

The list holds a line for each account that was made: account, first password. Once its owner
has another one, the password is taken off the line and the day of the change stands there.
"""

from __future__ import annotations

import csv
import fcntl
import io
import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

from taperkey.checks import sentence

__all__ = ["FirstPasswords", "require_new_password", "set_system_password"]

FEWEST_SIGNS = 8
MOST_SIGNS = 64
FEWEST_DIFFERENT = 5
_CHANGED = "changed "  # no first password holds a space


class FirstPasswords:
    """The list of first passwords of a hub.

    Parameters
    ----------
    path : Path
        The file; its folder is root's own.
    """

    def __init__(self, path: Path) -> None:
        self.path = path

    def of(self, account: str) -> str:
        """Return an account's first password; empty where it has another one, or is not listed."""
        word = dict(self._lines()).get(account, "")
        return "" if word.startswith(_CHANGED) else word

    def add(self, account: str, word: str) -> None:
        """Note the first password of an account, in the place of an earlier one."""
        self._put(account, word)

    def strike(self, account: str, *, today: date) -> None:
        """Take an account's first password off the list; nothing where there is none."""
        if self.of(account):
            self._put(account, f"{_CHANGED}{today.isoformat()}")

    def _lines(self) -> list[tuple[str, str]]:
        try:
            text = self.path.read_text("utf-8")
        except FileNotFoundError:
            return []
        return [(row[0], row[1]) for row in csv.reader(io.StringIO(text)) if len(row) >= 2]

    def _put(self, account: str, word: str) -> None:
        with self._alone():
            kept = dict(self._lines())
            kept[account] = word
            half = self.path.with_name(f"{self.path.name}.part")
            half.unlink(missing_ok=True)
            handle = os.open(half, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW, 0o600)
            with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
                csv.writer(file, lineterminator="\n").writerows(kept.items())
                file.flush()
                os.fsync(handle)
            os.replace(half, self.path)

    @contextmanager
    def _alone(self) -> Iterator[None]:
        """Hold the list: the hub strikes lines while the command that keeps it adds some."""
        lock = os.open(self.path.with_name(f"{self.path.name}.lock"), os.O_RDWR | os.O_CREAT, 0o600)
        try:
            fcntl.flock(lock, fcntl.LOCK_EX)
            yield
        finally:
            os.close(lock)


def require_new_password(new: str, again: str, *, present: str) -> None:
    """Refuse what cannot become somebody's password.

    Parameters
    ----------
    new, again : str
        The new one, typed twice.
    present : str
        The one that it takes the place of.

    Raises
    ------
    ValueError
        One sentence, without the password.

    Examples
    --------
    >>> require_new_password("keyway-1-96", "keyway-1-96", present="abcd-efgh-jkmn")
    >>> require_new_password("short", "short", present="abcd-efgh-jkmn")
    Traceback (most recent call last):
    ...
    ValueError: length of the new password is 5 signs; it must be from 8 to 64. Type another one.
    """
    step = "Type another one."
    if new != again:
        raise ValueError("The new password was not typed the same twice. Type it twice again.")
    if not new.isprintable():  # a line end would set the password of another account
        raise ValueError(f"The new password holds a sign that cannot be seen. {step}")
    if not FEWEST_SIGNS <= len(new) <= MOST_SIGNS:
        rule = f"from {FEWEST_SIGNS} to {MOST_SIGNS}"
        raise ValueError(sentence("length of the new password", len(new), "signs", rule, step))
    different = len(set(new))
    if different < FEWEST_DIFFERENT:
        rule = f"{FEWEST_DIFFERENT} or more"
        raise ValueError(
            sentence("number of different signs in the new password", different, "", rule, step)
        )
    if new == present:
        raise ValueError(f"The new password is the present one; it must be another. {step}")


def set_system_password(account: str, word: str) -> bool:
    """Set the password of one of the computer's accounts; return whether it was taken."""
    if not f"{account}{word}".isprintable() or ":" in account:
        return False
    done = subprocess.run(
        ["chpasswd"],
        input=f"{account}:{word}\n",
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    return done.returncode == 0
