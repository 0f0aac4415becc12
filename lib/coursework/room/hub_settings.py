"""What a class says about its hub: who may log in, where it listens, on which machines it works.

The rules come from ``class.toml`` and the class list:

* An apprentice's account is the one in the ``account`` column of the class list.
  Without one it is made from class code and number: ``QQ-26``, number 7 becomes
  ``qq26-007``.
* ``[hub]`` in ``class.toml`` names the accounts of instructors and assessors.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from coursework.room.classfolder import SETTINGS, ClassFolder
from taperkey.checks import sentence

__all__ = [
    "HubError",
    "HubSettings",
    "account_of",
    "own_certificate",
    "read_hub_settings",
    "service_name",
]

FIRST_PORT = 8000
OWN = "hub"  # the hub's own folder in the class folder
MOST_SERVERS = 16
_ACCOUNT = re.compile(r"[a-z0-9_][a-z0-9._@+-]{0,63}")
_KNOWN = {
    "instructors",
    "assessors",
    "proxy",
    "port",
    "address",
    "certificate",
    "key",
    "behind_tls",
    "processes",
    "machines",
    "reached_at",
    "database",
}


class HubError(ValueError):
    """The hub cannot be started; the message is one plain sentence and the next step."""


@dataclass(frozen=True, kw_only=True)
class HubSettings:
    """Who may log in to a class's hub, and where it works.

    Attributes
    ----------
    apprentices : dict of str to int
        Number by account.
    instructors, assessors : tuple of str
        Accounts that open the instructor's page.
    own : Path
        The hub's own folder: passwords, secrets, its list of who is logged in, its log.
    proxy : Path or None
        Folder that the proxy was installed in, or the program itself.
    port, address : int, str
        Where browsers come in.
    certificate, key : Path or None
        For TLS.
    behind_tls : bool
        True where a web server in front of the hub does the TLS.
    processes : int
        How many servers of the class the hub starts on its own computer.
    machines : tuple of str
        Addresses of the class's servers on other machines; empty where the hub starts them.
    reached_at : str
        Address at which other machines reach the hub.
    database : str
        Address of the hub's own database; empty for a file in its folder.
    closed : mapping of str to int
        Accounts of those who have withdrawn or moved, which are not let in, with their numbers.
    """

    apprentices: Mapping[str, int]
    instructors: tuple[str, ...]
    assessors: tuple[str, ...]
    own: Path
    proxy: Path | None
    port: int
    address: str
    certificate: Path | None
    key: Path | None
    behind_tls: bool
    processes: int = 1
    machines: tuple[str, ...] = ()
    reached_at: str = ""
    database: str = ""
    closed: Mapping[str, int] = field(default_factory=dict)

    @property
    def staff(self) -> tuple[str, ...]:
        """Instructors and assessors, each once."""
        return tuple(dict.fromkeys([*self.instructors, *self.assessors]))

    @property
    def servers(self) -> tuple[str, ...]:
        """Where each of the class's servers listens."""
        first = self.port + 3
        here = (f"http://127.0.0.1:{first + turn}" for turn in range(self.processes))
        return self.machines or tuple(here)

    @property
    def api(self) -> str:
        """Where the class's servers ask the hub."""
        return f"http://{self.reached_at or '127.0.0.1'}:{self.port + 1}/hub/api"

    def token_file(self, turn: int) -> Path:
        """Where the word lies by which a server on another machine and the hub know each other."""
        return self.own / f"token-{turn + 1}"


def service_name(turn: int) -> str:
    """Return what one of the class's servers is called at the hub.

    >>> service_name(0), service_name(1)
    ('class', 'class-2')
    """
    return f"class-{turn + 1}" if turn else "class"


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
    instructors, assessors = reader.names("instructors"), reader.names("assessors")
    if not instructors and not assessors:
        raise HubError(
            f"{path} names nobody who may see the class; it must name at least one. Write "
            '[hub] on a line, and below it instructors = ["…"].'
        )
    apprentices = _apprentices(class_folder)
    for name in (*instructors, *assessors):
        _require_account(name, str(path))
        if name in apprentices:
            raise HubError(
                f"{path}: account {name} is apprentice number {apprentices[name]} too; nobody may "
                "be both. Give one of them another account."
            )
    chosen = reader.whole("port", FIRST_PORT, 1, 65000) if port is None else port
    if not 1 <= chosen <= 65000:
        raise HubError(sentence("port", chosen, "", "from 1 to 65000", "Name another port."))
    certificate, key = reader.path("certificate"), reader.path("key")
    behind_tls = bool(hub.get("behind_tls", False))
    address = reader.text("address", "0.0.0.0" if certificate else "127.0.0.1")
    _require_tls(path, address, certificate, key, behind_tls)
    machines, reached_at = reader.machines(), reader.text("reached_at", "", empty=True)
    if machines and not reached_at:
        raise HubError(
            f"{path}: [hub] has machines and no reached_at; it must be this computer's address on "
            'the network of the machines. Add a line such as reached_at = "10.0.0.1".'
        )
    gone = class_folder.changes.gone
    return HubSettings(
        apprentices={name: one for name, one in apprentices.items() if one not in gone},
        closed={name: one for name, one in apprentices.items() if one in gone},
        instructors=instructors,
        assessors=assessors,
        own=class_folder.folder / OWN,
        proxy=proxy or reader.path("proxy"),
        port=chosen,
        address=address,
        certificate=certificate,
        key=key,
        behind_tls=behind_tls,
        processes=reader.whole("processes", 1, 1, MOST_SERVERS),
        machines=machines,
        reached_at=reached_at,
        database=reader.text("database", "", empty=True),
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
            f"{where}: account is “{name[:40]}”; it must be 1 to 64 small letters, digits and "
            "signs out of . _ @ + -, beginning with a letter or a digit. Correct it."
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

    def text(self, name: str, default: str, *, empty: bool = False) -> str:
        value = self.values.get(name, default)
        if empty and value == default:
            return default
        if not isinstance(value, str) or not value.strip():
            raise self._wrong(name, "text between quotation marks")
        return value.strip()

    def names(self, name: str) -> tuple[str, ...]:
        value = self.values.get(name, [])
        if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
            raise self._wrong(name, 'a list of accounts, such as ["w-ashby", "m-dole"]')
        return tuple(dict.fromkeys(one.strip().lower() for one in value))

    def machines(self) -> tuple[str, ...]:
        value = self.values.get("machines", [])
        found = value if isinstance(value, list) else [None]
        if not all(isinstance(one, str) and _server(one) for one in found):
            raise self._wrong(
                "machines", 'a list of where each listens, such as ["http://10.0.0.2:8003"]'
            )
        if len(found) > MOST_SERVERS or len(set(found)) < len(found):
            raise self._wrong("machines", f"at most {MOST_SERVERS}, each another one")
        return tuple(found)

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


def _server(address: str) -> bool:
    """Say whether this is the address of a server, with its port and nothing behind it."""
    try:
        told = urlsplit(address)
        return (
            told.scheme == "http"
            and bool(told.hostname and told.port)
            and told.netloc == address.removeprefix("http://")
            and "@" not in told.netloc
        )
    except ValueError:
        return False
