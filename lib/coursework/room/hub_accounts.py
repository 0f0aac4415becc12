"""Accounts and folders of a hub, with rights that keep people apart.

====================================  ===============  =====  ==============================
what                                  owner            mode   so that
====================================  ===============  =====  ==============================
the class folder                      root, keeper's   1770   nobody but the keeper gets in
``class.toml``                        root, keeper's   0640   staff read it, root alone edits
all else in the class folder          keeper           as is  behind that door
``place/drop/ACCOUNT``                the account      0370   it puts in and cannot look;
                                                              the keeper takes out
``place/returned/ACCOUNT``            the account      0570   it looks; the keeper puts in
``place/state/ACCOUNT``               the account      0700   its page server's own files
``place/hub``                         root             0700   the hub's secrets, and who may
                                                              log in
new homes, and each course folder     the account      0700   nobody else gets in
====================================  ===============  =====  ==============================
"""

from __future__ import annotations

import contextlib
import grp
import os
import pwd
import secrets
import subprocess
from pathlib import Path

from coursework.room.classfolder import SETTINGS, ClassFolder
from coursework.room.hub_passwords import FirstPasswords, set_system_password
from coursework.room.hub_settings import HubError, HubSettings
from taperkey.files import write_whole

__all__ = [
    "ACCOUNTS",
    "CONFIG",
    "FIRST_PASSWORDS",
    "OWN_LINES",
    "become_keeper",
    "make_account_folders",
    "make_accounts",
    "make_folders",
    "missing_accounts",
    "note_accounts",
    "require_ordinary_accounts",
]

ACCOUNTS = "accounts.txt"
FIRST_PASSWORDS = "first-passwords.csv"
CONFIG = "jupyterhub_config.py"
OWN_LINES = "jupyterhub_own.py"
ROOTS_OWN = (SETTINGS, CONFIG, OWN_LINES)
NO_SHELL = "/usr/sbin/nologin"
LOWEST_UID = 1000
# Letters and digits that nobody mistakes for another on a printed slip.
_SIGNS = "abcdefghjkmnpqrstuvwxyz23456789"


def missing_accounts(settings: HubSettings) -> tuple[str, ...]:
    """Return the accounts that the computer does not have yet, the keeper first."""
    return tuple(
        name
        for name in (settings.keeper, *settings.staff, *settings.apprentices)
        if _entry(name) is None
    )


def _entry(name: str) -> pwd.struct_passwd | None:
    try:
        return pwd.getpwnam(name)
    except KeyError:
        return None


def require_ordinary_accounts(settings: HubSettings) -> None:
    """Refuse accounts that belong to the system, such as root or a service.

    Raises
    ------
    HubError
        One sentence that names the first of them.
    """
    for name in (*settings.staff, *settings.apprentices, settings.keeper):
        entry = _entry(name)
        lowest = 1 if name == settings.keeper else LOWEST_UID
        if entry is not None and entry.pw_uid < lowest:
            raise HubError(
                f"account {name} has the system number {entry.pw_uid}; a person's account must "
                f"have {LOWEST_UID} or more. Give that person an account of their own."
            )


def make_accounts(settings: HubSettings) -> dict[str, str]:
    """Make the accounts that are missing; return the first password of each new person.

    Under ``login = "system"`` a new account gets a random first password, which
    its owner changes; under ``"first-use"`` it gets none at all. Each is set and
    noted before the next account is made, so that a start that is cut off leaves
    no account behind whose password nobody knows.

    Raises
    ------
    HubError
        One sentence, where an account cannot be made.
    """
    given: dict[str, str] = {}
    settings.homes.mkdir(parents=True, exist_ok=True)
    _own(settings.place, 0, 0, 0o711)
    _own(settings.own, 0, 0, 0o700)
    for name in missing_accounts(settings):
        keeper = name == settings.keeper
        home = settings.place / "keeper" if keeper else settings.homes / name
        command = ["useradd", "--create-home", "--home-dir", str(home), "--shell", NO_SHELL]
        if keeper:
            command.append("--system")
        done = subprocess.run(
            [*command, "--user-group", name], capture_output=True, text=True, check=False
        )
        if done.returncode:
            why = (done.stderr.strip().splitlines() or ["no reason given"])[-1].rstrip(".")
            raise HubError(
                f"account {name} could not be made ({why}). Make it by hand with useradd, then "
                "start again."
            )
        with contextlib.suppress(OSError):
            os.chmod(home, 0o700)
        if not keeper and settings.login == "system":
            given[name] = _set_first_password(settings, name)
    return given


def _set_first_password(settings: HubSettings, name: str) -> str:
    """Set a random password, and add it to a list that only root can read."""
    word = "-".join("".join(secrets.choice(_SIGNS) for _ in range(4)) for _ in range(3))
    if not set_system_password(name, word):
        raise HubError(
            f"The first password of account {name} could not be set. Set it by hand: passwd "
            f"{name}. Then start again."
        )
    FirstPasswords(settings.own / FIRST_PASSWORDS).add(name, word)
    return word


def make_folders(class_folder: ClassFolder, settings: HubSettings) -> None:
    """Make the folders of the hub and set the rights of all of them.

    Raises
    ------
    HubError
        One sentence, where other accounts cannot get to the place.
    """
    keeper = pwd.getpwnam(settings.keeper)
    group = keeper.pw_gid
    for folder in (settings.place, *(settings.place / one for one in ("drop", "returned"))):
        _own(folder, 0, 0, 0o711)
    _own(settings.place / "state", 0, 0, 0o711)
    _own(settings.own, 0, 0, 0o700)
    make_account_folders(settings)
    _close_class(class_folder.folder, keeper.pw_uid, group)
    closed = next((one for one in settings.place.parents if not os.stat(one).st_mode & 0o001), None)
    if closed is not None:
        raise HubError(
            f"place is {settings.place}, and other accounts cannot get through {closed}; every "
            "folder above it must let them pass. Name another place in [hub]."
        )


def make_account_folders(settings: HubSettings) -> None:
    """Make each account's own folders in the hub's place, and set their rights."""
    keeper = pwd.getpwnam(settings.keeper)
    group = keeper.pw_gid
    for name in settings.apprentices:
        one = pwd.getpwnam(name)
        _own(settings.drop(name), one.pw_uid, group, 0o370)
        _own(settings.returned(name), one.pw_uid, group, 0o570)
        _own(settings.state(name), one.pw_uid, one.pw_gid, 0o700)
    for name in settings.staff:
        _own(settings.state(name), keeper.pw_uid, group, 0o700)


def note_accounts(settings: HubSettings) -> Path:
    """Write who may log in, one account a line, for the hub to look up; return where."""
    path = settings.own / ACCOUNTS
    names = sorted([*settings.apprentices, *settings.staff])
    write_whole(path, "".join(f"{name}\n" for name in names).encode())
    return path


def _own(folder: Path, uid: int, gid: int, mode: int) -> None:
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    if folder.is_symlink():
        raise HubError(f"{folder} is a link; it must be a folder of its own. Remove the link.")
    os.chown(folder, uid, gid, follow_symlinks=False)
    os.chmod(folder, mode)


def _close_class(folder: Path, uid: int, gid: int) -> None:
    """Give the class folder to the keeper and shut its door to everybody else."""
    os.chmod(folder, 0o700)  # shut first: nobody changes anything while owners are set
    for place, rooms, files, handle in os.fwalk(folder, follow_symlinks=False):
        for name in (*rooms, *files):
            if Path(place) == folder and name in ROOTS_OWN:
                continue
            info = os.stat(name, dir_fd=handle, follow_symlinks=False)
            second_name = name in files and info.st_nlink > 1  # of a file that lies elsewhere
            if (info.st_uid, info.st_gid) != (uid, gid) and not second_name:
                os.chown(name, uid, gid, dir_fd=handle, follow_symlinks=False)
    os.chown(folder / SETTINGS, 0, gid)
    os.chmod(folder / SETTINGS, 0o640)
    os.chown(folder, 0, gid)
    os.chmod(folder, 0o1770)


def become_keeper(folder: Path) -> None:
    """Go on as the class's keeper, where root runs a command on a class that a hub serves.

    Files made by root would be shut to the assessors' pages. Elsewhere nothing changes.
    """
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        return
    info = folder.stat()
    if info.st_uid != 0 or info.st_mode & 0o7777 != 0o1770 or info.st_gid == 0:
        return
    name = grp.getgrgid(info.st_gid).gr_name
    entry = _entry(name)
    if entry is None or entry.pw_gid != info.st_gid:
        return
    os.initgroups(name, entry.pw_gid)
    os.setgid(entry.pw_gid)
    os.setuid(entry.pw_uid)
    os.environ["HOME"] = entry.pw_dir
