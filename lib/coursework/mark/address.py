"""Where a class's gradebook is: its own file, or a PostgreSQL server that several people share.

``class.toml`` may hold a line ``gradebook = "postgresql+psycopg://account@server/database"``.
The password is best kept out of it: the account's ``~/.pgpass`` (rights 0600) is read by the
PostgreSQL library itself. A password written into the line is taken only from a file that not
everybody may read.
"""

from __future__ import annotations

import importlib.util
import os
import tomllib
from pathlib import Path
from urllib.parse import urlsplit

__all__ = ["AddressError", "gradebook_address", "is_own_file", "own_gradebook", "use_gradebook"]

SETTINGS = "class.toml"
FILE = "gradebook.db"
_named: dict[Path, str] = {}


class AddressError(RuntimeError):
    """The gradebook's address cannot be used; the text is one sentence and what to do."""


def use_gradebook(folder: Path, address: str) -> None:
    """Let this run use another gradebook than the class folder names.

    Raises
    ------
    AddressError
        One sentence, where the address cannot be one.
    """
    _named[folder.expanduser().resolve()] = _usable(address)


def own_gradebook(folder: Path) -> str:
    """Return the address of the gradebook file in the class folder."""
    return f"sqlite:///{folder.resolve() / FILE}"


def is_own_file(folder: Path) -> bool:
    """Tell whether the class uses the gradebook file in its folder."""
    return gradebook_address(folder) == own_gradebook(folder)


def gradebook_address(folder: Path) -> str:
    """Return the address of a class's gradebook.

    Parameters
    ----------
    folder : Path
        The class folder.

    Raises
    ------
    AddressError
        One sentence, where the line in ``class.toml`` cannot be used.
    """
    folder = folder.expanduser().resolve()
    if folder in _named:
        return _named[folder]
    path = folder / SETTINGS
    try:
        content = tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    except (OSError, ValueError):
        return own_gradebook(folder)  # who opens the class says what is wrong with its settings
    address = content.get("gradebook")
    if address is None:
        return own_gradebook(folder)
    if not isinstance(address, str):
        raise AddressError(
            f'{path}: gradebook must be a line such as gradebook = "postgresql+psycopg://'
            'account@server/database". Correct the line.'
        )
    if os.name != "nt" and _password(address) and _open_to_all(path):
        raise AddressError(
            f"{path} holds the gradebook's password, and every account may read it; only its "
            f"owner may. Type: chmod o= {path}"
        )
    return _usable(address)


def _open_to_all(path: Path) -> bool:
    return bool(path.stat().st_mode & 0o004) and all(
        one.stat().st_mode & 0o001 for one in path.parents
    )


def _password(address: str) -> str | None:
    try:
        return urlsplit(address).password
    except ValueError:
        return None


def _usable(address: str) -> str:
    shown = address.split("@")[-1] if "@" in address else address
    kind, mark, rest = address.partition("://")
    if not mark or kind not in ("sqlite", "postgresql", "postgresql+psycopg"):
        raise AddressError(
            f"The gradebook's address is “{shown[:80]}”; it must begin with "
            "“postgresql+psycopg://”. Correct it."
        )
    if kind == "sqlite":
        return address
    if importlib.util.find_spec("psycopg") is None:
        raise AddressError(
            "The gradebook is on a PostgreSQL server, and the part that speaks to it is not "
            "installed. Type: pip install 'taperkey[hub]'"
        )
    return f"postgresql+psycopg://{rest}"
