"""The passwords of a hub: kept as hashes, with a list of the first ones to hand out.

Both files lie in the hub's own folder, for whoever runs it alone. The list of first passwords holds
a line for each account: account, first password. Once its owner has another one, the password is
taken off the line and the day of the change stands there.
"""

from __future__ import annotations

import csv
import hashlib
import hmac
import io
import secrets
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

from taperkey.checks import sentence
from taperkey.files import write_whole

__all__ = ["FIRST_PASSWORDS", "Passwords", "require_new_password"]

FIRST_PASSWORDS = "first-passwords.csv"
HASHES = "passwords.csv"
FEWEST_SIGNS = 8
MOST_SIGNS = 64
FEWEST_DIFFERENT = 5
_CHANGED = "changed "  # no first password holds a space
# Letters and digits that nobody mistakes for another on a printed slip.
_SIGNS = "abcdefghjkmnpqrstuvwxyz23456789"
# scrypt's cost, block size and width: 16 MiB and some 50 ms a try.
_COST = (2**14, 8, 1)


class Passwords:
    """The passwords of a hub.

    Parameters
    ----------
    folder : Path
        The hub's own folder.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def provide(self, accounts: Iterable[str]) -> list[str]:
        """Give a first password to everybody who has none; return who got one."""
        with self._alone():
            hashes = self._read(HASHES)
            new = [one for one in accounts if one not in hashes]
            if new:
                self._give(new, hashes)
        return new

    def give(self, account: str) -> str:
        """Give an account another first password, for one that was forgotten; return it."""
        with self._alone():
            return self._give([account], self._read(HASHES))[account]

    def fits(self, account: str, typed: str) -> bool:
        """Say whether this is the account's password; a wrong account takes as long."""
        kept = self._read(HASHES).get(account, "")
        salt, _, told = kept.partition("$")
        found = _hash(typed, salt or "0" * 32)
        return hmac.compare_digest(found.encode(), told.encode()) and bool(told)

    def put(self, account: str, word: str, *, today: date) -> None:
        """Let an account have a password of its own, and strike its first one off the list."""
        with self._alone():
            hashes, firsts = self._read(HASHES), self._read(FIRST_PASSWORDS)
            hashes[account] = _salted(word)
            self._write(HASHES, hashes)
            if account in firsts:
                firsts[account] = f"{_CHANGED}{today.isoformat()}"
                self._write(FIRST_PASSWORDS, firsts)

    def first(self, account: str) -> str:
        """Return the first password that an account still has; empty where it has its own."""
        word = self._read(FIRST_PASSWORDS).get(account, "")
        return "" if word.startswith(_CHANGED) else word

    def _give(self, accounts: list[str], hashes: dict[str, str]) -> dict[str, str]:
        given = {one: _drawn() for one in accounts}
        # the list first: no account is there whose password nobody knows
        self._write(FIRST_PASSWORDS, self._read(FIRST_PASSWORDS) | given)
        self._write(HASHES, hashes | {one: _salted(word) for one, word in given.items()})
        return given

    def _read(self, name: str) -> dict[str, str]:
        try:
            text = (self.folder / name).read_text("utf-8")
        except FileNotFoundError:
            return {}
        return {row[0]: row[1] for row in csv.reader(io.StringIO(text)) if len(row) == 2}

    def _write(self, name: str, kept: dict[str, str]) -> None:
        lines = io.StringIO()
        csv.writer(lines, lineterminator="\n").writerows(kept.items())
        write_whole(self.folder / name, lines.getvalue().encode())
        (self.folder / name).chmod(0o600)

    @contextmanager
    def _alone(self) -> Iterator[None]:
        """Hold the files: the hub changes passwords while what started it gives some."""
        from filelock import FileLock

        self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with FileLock(self.folder / ".passwords.lock", timeout=20):
            yield


def _drawn() -> str:
    return "-".join("".join(secrets.choice(_SIGNS) for _ in range(4)) for _ in range(3))


def _salted(word: str) -> str:
    salt = secrets.token_hex(16)
    return f"{salt}${_hash(word, salt)}"


def _hash(word: str, salt: str) -> str:
    cost, block, width = _COST
    return hashlib.scrypt(
        word.encode(), salt=bytes.fromhex(salt), n=cost, r=block, p=width, maxmem=2**26
    ).hex()


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
