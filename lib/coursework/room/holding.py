"""Holding a class folder: one run at a time, and a word on who holds it.

The lock is on a file of its own; who holds it stands in another beside it. The
system lets go of the lock when its holder ends, however that happens, so a note
that a killed run left behind hinders nobody.
"""

from __future__ import annotations

import getpass
import json
import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path

__all__ = ["HOLDER", "held"]

HOLDER = ".class.holder.json"
LOCK = ".class.lock"
PATIENCE_S = 2.0


@contextmanager
def held(folder: Path, *, doing: str, patience_s: float = PATIENCE_S) -> Iterator[str]:
    """Hold a folder; give nothing when it is held, else who holds it.

    Parameters
    ----------
    folder : Path
        The class folder.
    doing : str
        What this run does, in a word or two.
    patience_s : float
        How long to wait for another to end [s].

    Yields
    ------
    str
        Empty: the folder is held until the end of the block. Else words such as
        " (marking, by pat on bench-3 since 14:05)"; then it is not held.
    """
    from filelock import FileLock, Timeout

    lock = FileLock(folder / LOCK, timeout=patience_s)
    try:
        lock.acquire()
    except Timeout:
        yield _who(folder / HOLDER)
        return
    note = folder / HOLDER
    try:
        with suppress(OSError):  # a full disk: it is held all the same
            note.write_text(json.dumps(_me(doing)), "utf-8")
        yield ""
    finally:
        note.unlink(missing_ok=True)
        lock.release()


def _me(doing: str) -> dict[str, str | int]:
    try:
        name = getpass.getuser()
    except (KeyError, OSError, ImportError):
        name = "somebody"
    since = datetime.now().astimezone().isoformat(timespec="seconds")
    return {
        "who": name,
        "machine": socket.gethostname(),
        "process": os.getpid(),
        "doing": doing,
        "since": since,
    }


def _who(note: Path) -> str:
    """Return who holds the folder, in words; something in any case."""
    try:
        told = json.loads(note.read_text("utf-8"))
        since = datetime.fromisoformat(told["since"]).astimezone()
        day = "" if since.date() == datetime.now().astimezone().date() else f"{since:%Y-%m-%d} "
        return (
            f" ({_plain(told['doing'])}, by {_plain(told['who'])} on {_plain(told['machine'])} "
            f"since {day}{since:%H:%M})"
        )
    except (OSError, ValueError, TypeError, KeyError):
        return " (it does not say whose)"


def _plain(word: object) -> str:
    return "".join(sign for sign in str(word)[:60] if sign.isprintable())
