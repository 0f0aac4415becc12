"""The way to the class and back, where a class is served over a network.

The class names two folders of the apprentice's own: the drop, where a hand-in is
put for the class to take, and the place where feedback lies for the apprentice
to read (`coursework.page.here`). Without a class there are neither, and hand-ins travel as files.
"""

from __future__ import annotations

import os
import secrets
from html import escape
from pathlib import Path

from coursework.ink.drawing import TEAL
from coursework.page.here import here
from taperkey.files import write_whole

__all__ = [
    "feedback_note",
    "given_by_class",
    "leave_note",
    "password_note",
    "put_in_drop",
    "take_returned",
]

LARGEST_BYTES = 5_000_000
FEEDBACK = "feedback"


def given_by_class() -> bool:
    """Tell whether the name tag comes from the class list and is not for the apprentice to change.

    It would do no harm: whose hand-in it is follows from the account.
    """
    return here().by_class


def put_in_drop(path: Path) -> bool:
    """Put a copy of a hand-in into the class's drop; False where there is no drop.

    Raises
    ------
    OSError
        The drop does not take it.
    """
    drop = here().drop
    if drop is None:
        return False
    content = path.read_bytes()
    stem = drop / f"{secrets.token_hex(6)}_{path.name}"
    coming = stem.with_name(stem.name + ".part")
    handle = os.open(coming, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o644)
    try:
        with os.fdopen(handle, "wb") as file:
            os.chmod(coming, 0o644)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.rename(coming, stem)
    except BaseException:
        coming.unlink(missing_ok=True)
        raise
    return True


def take_returned(root: Path) -> list[str]:
    """Copy feedback that has come into the course folder; return the exercises that have some.

    Nothing is lost where it cannot be read or written: the next opening tries again.
    """
    place = here().returned
    if place is not None:
        try:
            for path in sorted(place.glob("*.html")):
                if path.stat().st_size <= LARGEST_BYTES:
                    write_whole(root / FEEDBACK / path.name, path.read_bytes())
        except OSError:
            pass
    return sorted(path.stem for path in (root / FEEDBACK).glob("*.html"))


def feedback_note(root: Path, page: str) -> str:
    """Return a line with a link to the feedback on this exercise, or nothing."""
    if page not in take_returned(root):
        return ""
    address = escape(f"{here().files}{FEEDBACK}/{page}.html", quote=True)
    return _link(address, "Your feedback on this exercise has come: read it.")


def password_note() -> str:
    """Return a line with a link to the page that changes the own password, on a hub only."""
    address = escape(here().password, quote=True)
    return _link(address, "Change your password") if address else ""


def leave_note() -> str:
    """Return a link to log out, where somebody logged in: computers of a class are shared."""
    address = escape(here().leave, quote=True)
    return f' <a href="{address}" style="text-decoration:underline">Log out</a>' if address else ""


def _link(address: str, words: str) -> str:
    """Return a link that looks like one: in what a page writes, links come out as plain text."""
    return (
        f'<a href="{address}" target="_blank" rel="noopener" style="text-decoration:underline;'
        f'color:{TEAL}">{words}</a>'
    )
