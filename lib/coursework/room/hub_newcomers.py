"""A class list that changes while the hub runs: who is new gets in, who is gone does not.

The program that serves the class looks at the class list every few seconds. Who is
new there gets an account, folders and a line in ``accounts.txt`` among the hub's
own files, which root alone can write. The hub looks a name up there at each log-in.

The keeper may write the class list, so root does not take its word for everything:
where the first password typed becomes an account's own, a name that is new while
the hub runs never opens an account that the computer had before.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from coursework.room.classfolder import (
    ROSTER,
    SETTINGS,
    ClassFolder,
    open_class,
)
from coursework.room.hub_accounts import (
    FIRST_PASSWORDS,
    make_account_folders,
    make_accounts,
    missing_accounts,
    note_accounts,
    require_ordinary_accounts,
)
from coursework.room.hub_settings import HubError, HubSettings, read_hub_settings
from coursework.room.people import PEOPLE

__all__ = ["Newcomers"]

_Marks = tuple[tuple[int, int, int] | None, ...]


class Newcomers:
    """Keeps the accounts of a running hub in step with the class list.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    settings : HubSettings
        As the hub was started with; only who may log in is read again.
    """

    def __init__(self, class_folder: ClassFolder, settings: HubSettings) -> None:
        self.folder = class_folder.folder
        self.settings = settings
        self._known = {*settings.apprentices, *settings.staff}
        self._seen: _Marks | None = None
        self._done: _Marks | None = None

    def look(self) -> list[str]:
        """Take up what has changed on the class list; return sentences to tell.

        A list that has changed since the last look may still be in the making: it is
        taken up at the next look, if it stands as it was.
        """
        marks = tuple(_mark(self.folder / name) for name in (ROSTER, SETTINGS, PEOPLE))
        settled = marks == self._seen
        self._seen = marks
        if not settled or marks == self._done:
            return []
        self._done = marks
        try:
            return self._take_up()
        except (OSError, ValueError) as error:
            return [f"{error} Until then the accounts stay as they were."]

    def _take_up(self) -> list[str]:
        class_folder = open_class(self.folder)
        now = read_hub_settings(class_folder)
        settings = replace(
            self.settings,
            apprentices=now.apprentices,
            closed=now.closed,
            instructors=now.instructors,
            assessors=now.assessors,
        )
        before = {*self.settings.apprentices, *self.settings.staff}
        listed = {*settings.apprentices, *settings.staff}
        if listed == before:
            self.settings = settings
            return []
        require_ordinary_accounts(settings)
        self._require_no_old_account(settings, listed - self._known)
        given = make_accounts(settings)
        make_account_folders(settings)
        note_accounts(settings)
        told = []
        if listed - before:
            told.append(f"New on the class list, and let in: {_names(listed - before)}.")
        if given:
            path = settings.own / FIRST_PASSWORDS
            told.append(f"The first passwords, to hand out, are in {path} (for root only).")
        off = before - listed
        for why, names in (
            ("Withdrawn or moved", off & {*settings.closed}),
            ("Off the class list", off - {*settings.closed}),
        ):
            if names:
                told.append(f"{why}, and not let in any more: {_names(names)}.")
        self._known |= listed
        self.settings = settings
        return told

    def _require_no_old_account(self, settings: HubSettings, new: set[str]) -> None:
        old = sorted(new - set(missing_accounts(settings)))
        if settings.login == "first-use" and old:
            raise HubError(
                f"account {old[0]} is new on the class list, and this computer has it already; "
                "while the hub runs it must be one that is not there yet. Stop the hub with Ctrl+C "
                "and start it again, or name another account."
            )


def _mark(path: Path) -> tuple[int, int, int] | None:
    try:
        info = path.stat()
    except OSError:
        return None
    return info.st_mtime_ns, info.st_size, info.st_ino


def _names(accounts: set[str]) -> str:
    return ", ".join(sorted(accounts))
