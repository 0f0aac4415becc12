"""Between the class folder and the accounts on its hub: hand-ins in, feedback back.

Both run as the class's keeper. Folders of apprentices are read and written with
suspicion: an apprentice may put anything there, links and pipes included. Who
handed in is known from whose drop a file lies in and who owns it; a hand-in that
says it is somebody else's is set aside.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from coursework.page.handin import LARGEST_BYTES, HandInError, read_hand_in
from coursework.room.classfolder import ClassFolder
from coursework.room.hub_settings import HubError, HubSettings, read_hub_settings
from taperkey.files import write_whole

__all__ = ["collect", "give_back", "served"]

MOST_FILES = 200  # taken from one account in one go
REASONS = "reasons.txt"


def served(class_folder: ClassFolder) -> HubSettings | None:
    """Return the settings of the class's hub, or None where no hub serves it."""
    try:
        settings = read_hub_settings(class_folder)
    except HubError:
        return None
    return settings if (settings.place / "drop").is_dir() else None


def collect(class_folder: ClassFolder) -> int:
    """Take what lies in the drops into the inbox; return how many files came.

    Parameters
    ----------
    class_folder : ClassFolder
        The class; where no hub serves it, nothing is done.
    """
    settings = served(class_folder)
    if settings is None:
        return 0
    taken = 0
    for account, number in (*settings.apprentices.items(), *settings.closed.items()):
        with suppress(OSError), _folder(settings.drop(account)) as drop:
            for name in sorted(os.listdir(drop))[:MOST_FILES]:
                if name.endswith(".part"):
                    continue
                taken += _take(class_folder, drop, name, account, number)
    return taken


@contextmanager
def _folder(path: Path) -> Iterator[int]:
    handle = os.open(path, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
    try:
        yield handle
    finally:
        os.close(handle)


def _take(class_folder: ClassFolder, drop: int, name: str, account: str, number: int) -> int:
    import pwd

    shown = "".join(sign if sign.isalnum() or sign in "._-" else "_" for sign in name)[-100:]
    try:
        content = _read(drop, name, pwd.getpwnam(account).pw_uid)
        said = read_hand_in(content).number
        if said != number:
            raise _RefusedError(
                f"It says it is from apprentice number {said}, and it came from account "
                f"{account}, which is number {number}. Ask both."
            )
    except HandInError:
        pass  # intake says what is wrong with it
    except _RefusedError as reason:
        _set_aside(class_folder, drop, name, f"{account}_{shown}", str(reason))
        return 0
    except (OSError, KeyError):
        return 0  # next time
    write_whole(class_folder.inbox / f"{account}_{shown}", content)
    os.unlink(name, dir_fd=drop)
    return 1


class _RefusedError(ValueError):
    """Why this one is not taken."""


def _read(drop: int, name: str, owner: int) -> bytes:
    info = os.stat(name, dir_fd=drop, follow_symlinks=False)
    if not stat.S_ISREG(info.st_mode):
        raise _RefusedError("It is not a file of its own; a hand-in must be one.")
    handle = os.open(name, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK, dir_fd=drop)
    with os.fdopen(handle, "rb") as file:
        info = os.fstat(handle)
        if not stat.S_ISREG(info.st_mode) or info.st_uid != owner or info.st_nlink != 1:
            raise _RefusedError("It belongs to another account; a hand-in must be one's own.")
        content = file.read(LARGEST_BYTES + 1)
    if len(content) > LARGEST_BYTES:
        raise _RefusedError(f"It has more than {LARGEST_BYTES:,} bytes; a hand-in must have fewer.")
    return content


def _set_aside(class_folder: ClassFolder, drop: int, name: str, kept: str, why: str) -> None:
    """Note the reason, and keep the bytes where they can be read."""
    with suppress(OSError, _RefusedError):
        uid = os.stat(name, dir_fd=drop, follow_symlinks=False).st_uid
        write_whole(class_folder.set_aside / kept, _read(drop, name, uid))
    class_folder.set_aside.mkdir(parents=True, exist_ok=True)
    with (class_folder.set_aside / REASONS).open("a", encoding="utf-8") as file:
        file.write(f"{kept}: {why}\n")
    with suppress(OSError):
        os.unlink(name, dir_fd=drop)


def give_back(class_folder: ClassFolder) -> int:
    """Put new feedback where its apprentice finds it; return how many pages went."""
    settings = served(class_folder)
    if settings is None:
        return 0
    given = 0
    for account, number in (*settings.apprentices.items(), *settings.closed.items()):
        pages = sorted((class_folder.feedback / f"{number:03d}").glob("*.html"))
        if not pages:
            continue
        with suppress(OSError), _folder(settings.returned(account)) as place:
            for page in pages:
                given += _put(place, page.name, page.read_bytes())
    return given


def _put(place: int, name: str, content: bytes) -> bool:
    """Write a file whole; a link that stands in its place is replaced, never followed."""
    with suppress(OSError):
        handle = os.open(name, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK, dir_fd=place)
        with os.fdopen(handle, "rb") as file:
            same = stat.S_ISREG(os.fstat(handle).st_mode) and file.read() == content
        if same:
            return False
    coming = f".{name}.{os.getpid()}"
    with suppress(FileNotFoundError):
        os.unlink(coming, dir_fd=place)
    handle = os.open(coming, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o644, dir_fd=place)
    with os.fdopen(handle, "wb") as file:
        os.fchmod(handle, 0o644)
        file.write(content)
        file.flush()
        os.fsync(handle)
    os.rename(coming, name, src_dir_fd=place, dst_dir_fd=place)
    return True
