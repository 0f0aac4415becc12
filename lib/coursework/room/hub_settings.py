"""What a class says about its hub: who may log in, where things lie, which port.

The rules come from ``class.toml`` and the class list:

* An apprentice's account is the one in the ``account`` column of the class list.
  Without one it is made from class code and number: ``QQ-26``, number 7 becomes
  ``qq26-007``.
* ``[hub]`` in ``class.toml`` names the accounts of instructors and assessors.
* One more account, the keeper, owns the class folder. The pages of instructors
  and assessors run as the keeper, so the class has one owner whoever marks.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from coursework.room.classfolder import SETTINGS, ClassFolder
from taperkey.checks import sentence

__all__ = [
    "LOGINS",
    "HubError",
    "HubSettings",
    "account_of",
    "own_certificate",
    "read_hub_settings",
]

LOGINS = ("system", "first-use")
FIRST_PORT = 8000
PLACES = Path("/var/lib/taperkey")
_ACCOUNT = re.compile(r"[a-z_][a-z0-9_-]{0,30}")
_KNOWN = {
    "instructors",
    "assessors",
    "keeper",
    "login",
    "place",
    "homes",
    "proxy",
    "port",
    "address",
    "certificate",
    "key",
    "behind_tls",
    "most_at_once",
    "most_memory_mib",
    "largest_file_mib",
    "most_processes",
}
# For the pages of one apprentice. Measured on 64-bit Linux with all pages run to the end: the
# page server takes 0.2 GiB of address space and 6 threads, each open page 0.4 GiB and 13.
MEMORY_MIB = 1024
FILE_MIB = 64
PROCESSES = 400


class HubError(ValueError):
    """The hub cannot be started; the message is one plain sentence and the next step."""


@dataclass(frozen=True, kw_only=True)
class HubSettings:
    """Who may log in to a class's hub, and where things lie.

    Attributes
    ----------
    apprentices : dict of str to int
        Number by account.
    instructors, assessors : tuple of str
        Accounts that see the class folder and the marking screen.
    keeper : str
        Account that owns the class folder.
    login : str
        "system": passwords of the computer's own accounts; "first-use": the
        password is chosen at the first login.
    place : Path
        Where drops, returned feedback and the hub's own files lie.
    homes : Path
        Where home folders of new accounts are made.
    proxy : Path or None
        Folder that the proxy was installed in, or the program itself.
    port, address : int, str
        Where the hub listens.
    certificate, key : Path or None
        For TLS.
    behind_tls : bool
        True where a web server in front of the hub does the TLS.
    most_at_once : int
        How many people may be logged in at once.
    most_memory_mib : int
        Memory that each process of an apprentice's pages may take up [MiB].
    largest_file_mib : int
        The largest file that they may write [MiB].
    most_processes : int
        How many processes and threads an apprentice's account may have at once.
    closed : mapping of str to int
        Accounts of those who have withdrawn or moved, which are not let in, with their numbers.
    """

    apprentices: Mapping[str, int]
    instructors: tuple[str, ...]
    assessors: tuple[str, ...]
    keeper: str
    login: str
    place: Path
    homes: Path
    proxy: Path | None
    port: int
    address: str
    certificate: Path | None
    key: Path | None
    behind_tls: bool
    most_at_once: int
    most_memory_mib: int
    largest_file_mib: int
    most_processes: int
    closed: Mapping[str, int] = field(default_factory=dict)

    @property
    def staff(self) -> tuple[str, ...]:
        """Instructors and assessors, each once."""
        return tuple(dict.fromkeys([*self.instructors, *self.assessors]))

    def drop(self, account: str) -> Path:
        """Where this account's hand-ins go; it may put in, not look."""
        return self.place / "drop" / account

    def returned(self, account: str) -> Path:
        """Where this account's feedback lies; it may look, not put in."""
        return self.place / "returned" / account

    def state(self, account: str) -> Path:
        """Where this account's page server keeps what it needs while it runs."""
        return self.place / "state" / account

    @property
    def own(self) -> Path:
        """The hub's own folder: its list of who is logged in, its secrets, its log."""
        return self.place / "hub"


def account_of(*, class_code: str, number: int, account: str = "") -> str:
    """Return the account of an apprentice.

    Parameters
    ----------
    class_code : str
        The class, such as "QQ-26".
    number : int
        The apprentice's number, 1 to 999.
    account : str
        What the class list has in its ``account`` column; it wins.

    Examples
    --------
    >>> account_of(class_code="QQ-26", number=7)
    'qq26-007'
    >>> account_of(class_code="26-autumn", number=12)
    'c26autumn-012'
    >>> account_of(class_code="QQ-26", number=7, account="zferrant")
    'zferrant'
    """
    return account or f"{_stem(class_code)}-{number:03d}"


def _stem(class_code: str) -> str:
    stem = class_code.lower().replace("-", "")
    return stem if stem[0].isalpha() else f"c{stem}"


def read_hub_settings(
    class_folder: ClassFolder,
    *,
    port: int | None = None,
    proxy: Path | None = None,
) -> HubSettings:
    """Read what ``class.toml`` and the class list say about the hub.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    port : int, optional
        Another port than the settings name.
    proxy : Path, optional
        Another place of the proxy than the settings name.

    Raises
    ------
    HubError
        One sentence: a setting is unknown, of the wrong kind, or out of range.
    """
    path = class_folder.folder / SETTINGS
    content = tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    hub = content.get("hub", {})
    if not isinstance(hub, dict):
        raise HubError(f"{path}: hub must be a section. Write [hub] on a line of its own.")
    unknown = sorted(set(hub) - _KNOWN)
    if unknown:
        raise HubError(
            f"{path}: [hub] has “{unknown[0]}”; it must be one of {', '.join(sorted(_KNOWN))}. "
            "Correct the line."
        )
    reader = _Reader(path, hub)
    stem = _stem(class_folder.code)
    instructors, assessors = reader.names("instructors"), reader.names("assessors")
    if not instructors and not assessors:
        raise HubError(
            f"{path} names nobody who may see the class; it must name at least one. Write "
            '[hub] on a line, and below it instructors = ["…"].'
        )
    keeper = reader.text("keeper", f"{stem}-keeper")
    login = reader.text("login", "system")
    if login not in LOGINS:
        raise HubError(
            f"{path}: " + sentence("login", login, "", "system or first-use", "Correct the line.")
        )
    apprentices = _apprentices(class_folder)
    for name in (keeper, *instructors, *assessors):
        _require_account(name, str(path))
        if name in apprentices:
            raise HubError(
                f"{path}: account {name} is apprentice number {apprentices[name]} too; nobody may "
                "be both. Give one of them another account."
            )
    if keeper in (*instructors, *assessors):
        raise HubError(
            f"{path}: the keeper is {keeper}, an instructor or assessor too; it must be an account "
            "that nobody logs in to. Name another keeper."
        )
    chosen = reader.whole("port", FIRST_PORT, 1, 65535) if port is None else port
    if not 1 <= chosen <= 65535:
        raise HubError(sentence("port", chosen, "", "from 1 to 65535", "Name another port."))
    certificate, key = reader.path("certificate"), reader.path("key")
    behind_tls = bool(hub.get("behind_tls", False))
    address = reader.text("address", "0.0.0.0" if certificate else "127.0.0.1")
    _require_tls(path, address, certificate, key, behind_tls)
    gone = class_folder.changes.gone
    return HubSettings(
        apprentices={name: one for name, one in apprentices.items() if one not in gone},
        closed={name: one for name, one in apprentices.items() if one in gone},
        instructors=instructors,
        assessors=assessors,
        keeper=keeper,
        login=login,
        place=reader.path("place") or PLACES / class_folder.code,
        homes=reader.path("homes") or Path("/home"),
        proxy=proxy or reader.path("proxy"),
        port=chosen,
        address=address,
        certificate=certificate,
        key=key,
        behind_tls=behind_tls,
        most_at_once=reader.whole("most_at_once", 60, 1, 1000),
        most_memory_mib=reader.whole("most_memory_mib", MEMORY_MIB, 512, 65_536),
        largest_file_mib=reader.whole("largest_file_mib", FILE_MIB, 8, 65_536),
        most_processes=reader.whole("most_processes", PROCESSES, 100, 100_000),
    )


def own_certificate(class_folder: ClassFolder) -> tuple[Path, Path] | None:
    """Return certificate and key that ``class.toml`` names under ``[hub]``; None for none.

    Raises
    ------
    HubError
        One sentence: one of them is missing, or no full path.
    """
    path = class_folder.folder / SETTINGS
    hub = tomllib.loads(path.read_bytes().decode("utf-8-sig")).get("hub", {})
    reader = _Reader(path, hub if isinstance(hub, dict) else {})
    certificate, key = reader.path("certificate"), reader.path("key")
    _require_tls(path, "localhost", certificate, key, behind_tls=False)
    return (certificate, key) if certificate and key else None


def _apprentices(class_folder: ClassFolder) -> dict[str, int]:
    found: dict[str, int] = {}
    for one in class_folder.roster:
        account = account_of(class_code=class_folder.code, number=one.number, account=one.account)
        _require_account(account, f"roster.csv, number {one.number}")
        if account in found:
            raise HubError(
                f"roster.csv: account {account} is there for numbers {found[account]} and "
                f"{one.number}; each apprentice must have one of their own. Correct the column "
                "account."
            )
        found[account] = one.number
    return found


def _require_account(name: str, where: str) -> None:
    if not _ACCOUNT.fullmatch(name):
        raise HubError(
            f"{where}: account is “{name[:40]}”; it must be 1 to 31 small letters, digits, "
            "hyphens and underscores, beginning with a letter. Correct it."
        )


def _require_tls(
    path: Path, address: str, certificate: Path | None, key: Path | None, behind_tls: bool
) -> None:
    if (certificate is None) != (key is None):
        missing = "key" if key is None else "certificate"
        raise HubError(f"{path}: [hub] has no {missing}; certificate and key go together. Add it.")
    if certificate is None and not behind_tls and address not in ("127.0.0.1", "::1", "localhost"):
        raise HubError(
            f"{path}: address is {address} without certificate and key; passwords would cross "
            "the network in plain letters. Name certificate and key, or write behind_tls = true "
            "where a web server in front does it."
        )


class _Reader:
    """The values of ``[hub]``, each refused in one sentence."""

    def __init__(self, source: Path, values: Mapping[str, Any]) -> None:
        self.source = source
        self.values = values

    def _wrong(self, name: str, rule: str) -> HubError:
        return HubError(f"{self.source}: {name} in [hub] must be {rule}. Correct the line.")

    def text(self, name: str, default: str) -> str:
        value = self.values.get(name, default)
        if not isinstance(value, str) or not value.strip():
            raise self._wrong(name, "text between quotation marks")
        return value.strip()

    def names(self, name: str) -> tuple[str, ...]:
        value = self.values.get(name, [])
        if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
            raise self._wrong(name, 'a list of accounts, such as ["w-ashby", "m-dole"]')
        return tuple(dict.fromkeys(one.strip().lower() for one in value))

    def path(self, name: str) -> Path | None:
        if name not in self.values:
            return None
        path = Path(self.text(name, ""))
        if not path.is_absolute():
            raise self._wrong(name, "a full path, beginning with /")
        return path

    def whole(self, name: str, default: int, lowest: int, highest: int) -> int:
        value = self.values.get(name, default)
        if type(value) is not int or not lowest <= value <= highest:
            raise self._wrong(name, f"a whole number from {lowest} to {highest}")
        return value
