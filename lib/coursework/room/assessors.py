"""Whose name stands on a moderation: taken from where somebody works, never typed freely.

The first name given is kept in ``assessors.txt`` in the class folder; another is taken only when it
has been written there. Behind a hub's log-in the sign-off form takes the account instead.
"""

from __future__ import annotations

from pathlib import Path

from coursework.room.classfolder import ClassError
from taperkey.files import write_whole
from taperkey.names import require_name

__all__ = ["ASSESSORS", "name_of_assessor"]

ASSESSORS = "assessors.txt"


def name_of_assessor(folder: Path, given: str | None) -> str:
    """Return who moderates.

    Parameters
    ----------
    folder : Path
        The class folder.
    given : str or None
        What was typed as ``--by``; None where nothing was.

    Raises
    ------
    ClassError
        One sentence: another's name, or no name yet.
    """
    name = " ".join((given or "").split())
    path = folder / ASSESSORS
    try:
        kept = [line.strip() for line in path.read_text("utf-8-sig").splitlines() if line.strip()]
    except FileNotFoundError:
        kept = []
    except (OSError, UnicodeDecodeError):
        raise ClassError(
            f"{path} cannot be read; it must be text with one name a line. Correct it."
        ) from None
    if not name:
        if len(kept) == 1:
            return kept[0]
        raise ClassError(
            "Nobody is named as the assessor. Say who decides: --by NAME."
            if not kept
            else f"{path} names {len(kept)} assessors. Say which of them decides: --by NAME."
        )
    if kept and name not in kept:
        raise ClassError(
            f"--by is “{name[:40]}”, and {path} names {', '.join(kept)}; nobody moderates in "
            "another's name. Write the new assessor there on a line of their own, or leave --by "
            "out."
        )
    if not kept:
        try:
            require_name("name of the assessor", name)
        except ValueError as error:
            raise ClassError(str(error)) from None
        write_whole(path, f"{name}\n".encode())
    return name
