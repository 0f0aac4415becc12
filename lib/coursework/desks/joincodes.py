"""The codes that let people in: one for each apprentice and one for the instructor.

A code begins with the apprentice's number, 0 for the instructor, and goes on with ten letters and
digits out of 31, drawn at random: 49 bits. They lie in ``open/join-codes.csv`` in the class folder,
for whoever may read that folder. A code that is made again shuts out whoever came in with the old
one.
"""

from __future__ import annotations

import csv
import hashlib
import hmac
import io
import re
import secrets
from collections.abc import Iterable
from pathlib import Path

from taperkey.files import write_whole

__all__ = ["INSTRUCTOR", "JoinCodes", "shown"]

INSTRUCTOR = 0
FILE = "join-codes.csv"
#: No letter that is taken for a digit or for another letter.
SIGNS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
LENGTH = 10
_SECRET = re.compile(f"[{SIGNS}]{{{LENGTH}}}")
_READ_AS = str.maketrans({"O": "Q", "0": "Q", "I": "J", "1": "J"})


def shown(number: int, secret: str) -> str:
    """Return a code as it is printed.

    >>> shown(7, "K7QMX4XRTB")
    '7-K7QMX-4XRTB'
    """
    return f"{number}-{secret[:5]}-{secret[5:]}"


class JoinCodes:
    """The codes of a class, in its folder."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / FILE
        self._secrets = self._read()

    def _read(self) -> dict[int, str]:
        try:
            text = self.path.read_text("utf-8")
        except FileNotFoundError:
            return {}
        found = {}
        for row in csv.reader(io.StringIO(text)):
            if len(row) == 2 and row[0].isdecimal() and _SECRET.fullmatch(row[1]):
                found[int(row[0])] = row[1]
        return found

    def _write(self) -> None:
        lines = io.StringIO()
        writer = csv.writer(lines, lineterminator="\n")
        writer.writerow(("number", "code"))
        writer.writerows(sorted(self._secrets.items()))
        write_whole(self.path, lines.getvalue().encode())
        self.path.chmod(0o600)

    def read_again(self) -> None:
        """Take up what another process of the class wrote."""
        self._secrets = self._read()

    def provide(self, numbers: Iterable[int]) -> None:
        """Make a code for everybody who has none."""
        new = [one for one in (INSTRUCTOR, *numbers) if one not in self._secrets]
        if new:
            self._secrets |= {one: _drawn() for one in new}
            self._write()

    def make_again(self, number: int) -> str:
        """Make another code; the old one, and who came in with it, is shut out."""
        self._secrets[number] = _drawn()
        self._write()
        return self.of(number)

    def of(self, number: int) -> str:
        """Return a code as it is printed."""
        return shown(number, self._secrets[number])

    def mark(self, number: int) -> str:
        """Return what tells this code from the one before, without telling it."""
        secret = self._secrets.get(number, "")
        return hashlib.sha256(f"came in with {secret}".encode()).hexdigest()[:16] if secret else ""

    def fits(self, number: int, typed: str) -> bool:
        """Say whether this is the code of that number, however it was written."""
        secret = self._secrets.get(number)
        return hmac.compare_digest((secret or _drawn()).encode(), typed.encode()) and bool(secret)


def read_typed(text: str) -> tuple[int, str] | None:
    """Return number and secret of what somebody typed; None where it is no code at all.

    >>> read_typed(" 7 k7qmx 4xrtb "), read_typed("hello")
    ((7, 'K7QMX4XRTB'), None)
    """
    found = re.fullmatch(r"\s*(\d{1,3})[\s\-./:]+([0-9A-Za-z\s\-./:]{10,20})\s*", text[:60])
    if not found:
        return None
    secret = re.sub(r"[^0-9A-Z]", "", found[2].upper()).translate(_READ_AS)
    return (int(found[1]), secret) if len(secret) == LENGTH else None


def _drawn() -> str:
    return "".join(secrets.choice(SIGNS) for _ in range(LENGTH))
