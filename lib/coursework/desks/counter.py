"""Serving a class from an account of its own: what that account gets to see, and how it comes back.

The servers of the class then never run as whoever owns the class folder. They serve from a folder
beside it, `CLASS-open`, that holds what serving needs and nothing else: names and numbers of who is
in the class, what they typed, join codes, feedback pages. Card key, marks, gradebook and the class
list itself stay behind, in a folder that the account cannot enter. Whoever opened the class goes on
beside the servers: brings hand-ins into the class's inbox, and what changed in the list and the
feedback to the servers. When the class closes everything comes back.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import stat
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from coursework.desks.school import DESKS, OPEN
from coursework.page.classdrop import LARGEST_BYTES
from coursework.room.classfolder import ROSTER, SETTINGS, ClassFolder, open_class
from coursework.room.coursebook import CourseError
from coursework.room.hub_settings import own_certificate
from coursework.room.roster import write_roster
from taperkey.checks import sentence
from taperkey.files import write_whole

__all__ = ["OWN_ACCOUNT", "Account", "Counter", "account_of", "bring_back", "own_everything"]

OWN_ACCOUNT = (
    "The servers run under your own account: whoever broke into one could read what you can read, "
    "the card key and the marks among it. Opened by root with --as ACCOUNT, they cannot."
)
_HAND_IN = re.compile(r"[0-9a-f]{12}_[\w.-]{1,120}")
_LENT = ".lent"  # stands in the class folder while something of it is lent, or on its way back
_BACK = ".coming-back"
_LOCKS = (".class.lock", ".class.holder.json")
_TRIES = "import os, sys; import coursework.desks.serving; os.listdir(sys.argv[1])"
_PUTS = (
    "import os, sys; path = sys.argv[1]; os.makedirs(os.path.dirname(path), 0o700, True); "
    "open(path + '.part', 'wb').write(sys.stdin.buffer.read()); os.replace(path + '.part', path)"
)
_PAIR = ("own-certificate.pem", "own-certificate.key")
_STEP = "Name an account that was made for it."


@dataclass(frozen=True)
class Account:
    """An account of this computer that serves a class."""

    name: str
    uid: int
    gid: int

    @property
    def starts(self) -> dict[str, object]:
        """What a process is started with to run under it."""
        return {"user": self.uid, "group": self.gid, "extra_groups": []}


def account_of(name: str) -> Account:
    """Return the account that servers are to run under.

    Raises
    ------
    CourseError
        This system or this user cannot do that, or there is no such account.
    """
    if sys.platform == "win32" or os.geteuid() != 0:
        raise CourseError(
            sentence("--as", name, "", "used by root, on Linux or another Unix", "Leave it out.")
        )
    import pwd

    try:
        found = pwd.getpwnam(name)
    except KeyError:
        raise CourseError(
            sentence("--as", name, "", "an account of this computer", _STEP)
        ) from None
    if found.pw_uid == 0:
        raise CourseError(sentence("--as", name, "", "an account other than root’s", _STEP))
    return Account(name, found.pw_uid, found.pw_gid)


class Counter:
    """The folder that an account serves a class from.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    account : Account
        Who serves.
    """

    def __init__(self, class_folder: ClassFolder, account: Account) -> None:
        self._class, self.account = class_folder, account
        self._seen: object = None
        self._shown: dict[Path, int] = {}
        self._given = False  # from then on nothing is written there but by the account itself
        self.folder = _lent_folder(class_folder)

    @property
    def said(self) -> str:
        """What the opener is told of it."""
        return (
            f"The servers run as {self.account.name}: they have numbers and names of the class and "
            "what is typed, and cannot read card key, marks or gradebook. Sign-offs are entered "
            "with taperkey mark --screen."
        )

    @contextmanager
    def lent(self) -> Iterator[ClassFolder]:
        """Lend what serving needs, give the class as the account sees it, and take all back."""
        bring_back(self._class)
        if self.folder.exists():
            raise CourseError(
                f"{self.folder} is there and was not lent by this class; it must be free, since "
                "the account serves from a folder of that name. Give yours another name."
            )
        self._class.folder.chmod(0o700)
        (self._class.folder / _LENT).touch()
        self.folder.mkdir(mode=0o700)
        try:
            for room in ("inbox", "feedback", OPEN):
                (self.folder / room).mkdir(mode=0o700, exist_ok=True)
            desks = self._class.folder / DESKS
            if desks.is_dir():
                desks.rename(self.folder / DESKS)
            for file in _files(self._class.folder / OPEN):
                shutil.copyfile(file, self.folder / OPEN / file.name)
            for name, file in zip(_PAIR, own_certificate(self._class) or (), strict=False):
                shutil.copyfile(file, self.folder / OPEN / name)
            self.go_on()
            own_everything(self.folder, self.account)
            self._given = True
            self._try()
            yield open_class(self.folder)
        finally:
            self._given = False
            bring_back(self._class)

    def go_on(self) -> None:
        """Bring hand-ins to the class, and what is new in the class to the servers."""
        _take_hand_ins(self._class, self.folder)
        whole = self._class.folder
        seen = [
            (path, path.stat().st_mtime_ns)
            for path in [whole / SETTINGS, whole / ROSTER, whole / "people.csv"]
            if path.exists()
        ]
        if seen != self._seen:
            with contextlib.suppress(ValueError):  # one that cannot be read changes nothing
                self._class = open_class(whole)
                self._tell_who()
            self._seen = seen
        self._show_feedback()

    def _tell_who(self) -> None:
        told = self._class
        lines = [f'code = "{told.code}"', f"title = {_quoted(told.title)}"]
        settings = (told.folder / SETTINGS).read_text("utf-8-sig")
        lines += re.findall(r"(?m)^edition *= *\d+", settings)
        if own_certificate(told):
            own = [str(self.folder / OPEN / name) for name in _PAIR]
            lines += ["[hub]", f"certificate = {_quoted(own[0])}", f"key = {_quoted(own[1])}"]
        self._put(SETTINGS, ("\n".join(lines) + "\n").encode())
        with TemporaryDirectory() as place:
            write_roster(Path(place) / ROSTER, roster=told.present)
            self._put(ROSTER, (Path(place) / ROSTER).read_bytes())

    def _show_feedback(self) -> None:
        for number in (one.number for one in self._class.present):
            for old in self._class.numbers_of(number):
                for page in sorted((self._class.feedback / f"{old:03d}").glob("*.html")):
                    stamp = page.stat().st_mtime_ns
                    if self._shown.get(page) != stamp:
                        self._put(f"feedback/{number:03d}/{page.name}", page.read_bytes())
                        self._shown[page] = stamp

    def _put(self, name: str, content: bytes) -> None:
        """Write a file there; as the account, once the folder is the account's."""
        path = self.folder / name
        if not self._given:
            path.parent.mkdir(mode=0o700, exist_ok=True)
            write_whole(path, content)
            return
        subprocess.run(
            [sys.executable, "-I", "-S", "-c", _PUTS, str(path)],
            input=content, cwd="/", check=False, **self.account.starts,  # type: ignore[call-overload]
        )  # fmt: skip

    def _try(self) -> None:
        """Refuse where the account cannot run the course or reach its folder."""
        try:
            tried = subprocess.run(
                [sys.executable, "-c", _TRIES, str(self.folder)],
                cwd="/", capture_output=True, check=False, **self.account.starts,  # type: ignore[call-overload]
            ).returncode  # fmt: skip
        except PermissionError:  # that Python is not even the account's to start
            tried = 1
        if tried:
            rule = f"one that may run {sys.executable} and reach {self.folder}"
            step = "Install the course and put the class where that account may read, as in /srv."
            raise CourseError(sentence("--as", self.account.name, "", rule, step))


def bring_back(class_folder: ClassFolder) -> None:
    """Take back into the class folder all that is lent; what is no plain file is left out.

    Done before every opening: a stop may have left it lent, or on its way back.
    """
    mark, back = class_folder.folder / _LENT, class_folder.folder / _BACK
    if not mark.exists():
        return
    with contextlib.suppress(FileNotFoundError):
        _lent_folder(class_folder).rename(back)  # from here on no process of the account finds it
    if back.is_dir():
        _take(back)
        _take_hand_ins(class_folder, back)
        if (back / DESKS).is_dir():
            (back / DESKS).rename(class_folder.folder / DESKS)
        (class_folder.folder / OPEN).mkdir(mode=0o700, exist_ok=True)
        for file in (one for one in _files(back / OPEN) if one.name not in _PAIR):
            file.replace(class_folder.folder / OPEN / file.name)
        shutil.rmtree(back)
    mark.unlink()


def _lent_folder(class_folder: ClassFolder) -> Path:
    whole = class_folder.folder
    return whole.with_name(f"{whole.name}-open")


def _take_hand_ins(class_folder: ClassFolder, place: Path) -> None:
    try:
        inbox = os.open(place / "inbox", os.O_DIRECTORY | os.O_NOFOLLOW)
    except OSError:
        return
    try:
        for name in os.listdir(inbox):
            if not _HAND_IN.fullmatch(name) or name.endswith(".part"):
                continue
            content = _read(name, inbox)
            if content is not None:
                write_whole(class_folder.inbox / name, content)
            with contextlib.suppress(OSError):
                os.unlink(name, dir_fd=inbox)
    finally:
        os.close(inbox)


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _files(folder: Path) -> list[Path]:
    """Return the plain files of a folder, without those of who holds it."""
    if not folder.is_dir():
        return []
    found = [one for one in os.scandir(folder) if one.is_file(follow_symlinks=False)]
    return [Path(one.path) for one in found if one.name not in _LOCKS]


def _read(name: str, folder: int) -> bytes | None:
    """Return a plain file's content; None where it is none, or too large."""
    try:
        handle = os.open(name, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK, dir_fd=folder)
    except OSError:
        return None
    try:
        told = os.fstat(handle)
        if not stat.S_ISREG(told.st_mode) or told.st_size > LARGEST_BYTES:
            return None
        with os.fdopen(handle, "rb", closefd=False) as file:
            return file.read(LARGEST_BYTES)
    finally:
        os.close(handle)


def own_everything(folder: Path, account: Account) -> None:
    """Let the account own a folder and all that is in it; nobody may be at work there yet."""
    for each in (folder, *folder.rglob("*")):
        os.chown(each, account.uid, account.gid, follow_symlinks=False)


def _take(folder: Path) -> None:
    """Own everything in a folder, and leave out what is neither a folder nor a plain file.

    A link would lead whoever reads it later to a file that the account may not read.
    """
    os.chown(folder, 0, 0, follow_symlinks=False)
    for one in list(os.scandir(folder)):
        told = one.stat(follow_symlinks=False)
        if stat.S_ISDIR(told.st_mode):
            _take(Path(one.path))
        elif stat.S_ISREG(told.st_mode) and told.st_nlink == 1:
            os.chown(one.path, 0, 0, follow_symlinks=False)
        else:
            os.unlink(one.path)
