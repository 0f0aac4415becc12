"""Taking in: from the inbox to the kept hand-ins, letting in only what is known.

A hand-in is data. Nothing in the inbox is run, unpacked to a name of its own
choosing or followed through a link. What is not a hand-in of this class goes to
``set-aside`` with a sentence, and the rest goes on. Nothing is deleted, except
a second copy of a file that is already kept byte for byte.

Every hand-in gets a line in ``arrivals.csv`` when it first comes: the time by
the clock of this machine, and the run that took it in. ``marking.kept`` says
how the one that counts is found from it.
"""

from __future__ import annotations

import errno
import hashlib
import io
import os
import re
import shutil
import stat
import struct
import time
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from coursework.mark.kept import (
    Arrival,
    arrivals_register,
    close_run,
    read_arrivals,
)
from coursework.page.handin import LARGEST_BYTES, HandInError, read_hand_in
from coursework.room.classfolder import ClassFolder
from coursework.room.seals import seal_fault
from taperkey.files import HALF_SECONDS, append_whole, write_whole

__all__ = ["Admitted", "IntakeResult", "SetAside", "take_in"]

LARGEST_ZIP = 50 * 1024 * 1024  # bytes, packed
LARGEST_INNER_ZIP = 10 * 1024 * 1024  # bytes
MOST_READ_PER_ZIP = 40 * 1024 * 1024  # bytes, unpacked, inner zips included
MOST_MEMBERS = 1000
DEEPEST_ZIP = 2  # a zip in a zip
DEEPEST_FOLDER = 12
REASONS = "reasons.txt"
ZIPS = "zips"

_NAME = re.compile(r".+\.handin(?: ?[(_-]?\d{1,3}\)?)?\.json", re.IGNORECASE)
_LITTER = re.compile(r"\.DS_Store|Thumbs\.db|desktop\.ini|\.gitkeep|\._.*", re.IGNORECASE)
_OWN_COMING = re.compile(r"[0-9a-f]{12}_.+\.handin\.json\.part")  # of page.classdrop
_COMING = re.compile(r".*\.(?:part|partial|crdownload|tmp)", re.IGNORECASE)


@dataclass(frozen=True)
class Admitted:
    """One hand-in taken in."""

    number: int
    page: str
    made: str
    path: Path
    source: str


@dataclass(frozen=True)
class SetAside:
    """One thing not taken in, and why."""

    source: str
    sentence: str


@dataclass
class IntakeResult:
    """What happened to everything that lay in the inbox, in which run and when."""

    admitted: list[Admitted] = field(default_factory=list)
    repeated: list[str] = field(default_factory=list)
    set_aside: list[SetAside] = field(default_factory=list)
    left: list[SetAside] = field(default_factory=list)
    run: int = 1
    came: str = ""
    known: set[tuple[int, str, str]] = field(default_factory=set, repr=False)


class _RefusedError(ValueError):
    """Why this one is not taken in."""


def take_in(class_folder: ClassFolder, *, now: datetime | None = None) -> IntakeResult:
    """Take in everything in the inbox that is a hand-in of this class.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    now : datetime, optional
        When the hand-ins come; left out, the clock of this machine.

    Returns
    -------
    IntakeResult
        What was admitted, what was there before, what was set aside and why.
    """
    arrivals = read_arrivals(class_folder.folder)
    result = IntakeResult(
        run=max((one.run for one in arrivals), default=0) + 1,
        came=(now or datetime.now(UTC)).astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
        known={(one.number, one.exercise, one.sha256) for one in arrivals},
    )
    inbox = class_folder.inbox
    inbox.mkdir(parents=True, exist_ok=True)
    for path in list(_walk(inbox)):
        source = _shown(path.relative_to(inbox).as_posix())
        try:
            try:
                _take_one(class_folder, path, source, result)
            except _RefusedError as reason:
                _put_aside(class_folder, path, source, str(reason), result)
        except OSError as error:
            why = error.strerror or "the disk refused"
            result.left.append(
                SetAside(source, f"It could not be read or moved ({why}). It is still in inbox.")
            )
    _clear_empty(inbox)
    if not result.left:
        close_run(folder=class_folder.folder, run=result.run, came=result.came)
    return result


def _shown(name: str) -> str:
    plain = "".join(letter if letter.isprintable() else "?" for letter in name)
    return plain if len(plain) <= 160 else plain[:120] + "…" + plain[-36:]


def _walk(folder: Path, depth: int = 0) -> Iterator[Path]:
    """Yield what lies in a folder, in order; links are yielded, never followed."""
    for path in sorted(folder.iterdir()):
        if path.is_dir() and not path.is_symlink() and depth < DEEPEST_FOLDER:
            yield from _walk(path, depth + 1)
        else:
            yield path


def _clear_empty(inbox: Path) -> None:
    folders = [path for path in inbox.rglob("*") if path.is_dir() and not path.is_symlink()]
    for path in sorted(folders, reverse=True):
        try:
            path.rmdir()
        except OSError:
            continue  # something is still in it


def _take_one(
    class_folder: ClassFolder,
    path: Path,
    source: str,
    result: IntakeResult,
) -> None:
    if _LITTER.fullmatch(path.name):
        return
    mode = path.lstat().st_mode
    if stat.S_ISLNK(mode):
        raise _RefusedError("It is a link to another place; a hand-in must be a file of its own.")
    if stat.S_ISDIR(mode):
        raise _RefusedError(f"It lies more than {DEEPEST_FOLDER} folders deep; put it higher up.")
    if not stat.S_ISREG(mode):
        raise _RefusedError("It is not a file; a hand-in must be one.")
    if _COMING.fullmatch(path.name):
        if _OWN_COMING.fullmatch(path.name) and time.time() - path.stat().st_mtime > HALF_SECONDS:
            raise _RefusedError(
                "It was cut off while it was handed in. Ask for the exercise to be handed in again."
            )
        result.left.append(SetAside(source, "It looks half copied. It is still in inbox."))
        return
    if path.suffix.lower() == ".zip":
        _take_zip(class_folder, path, source, result)
        return
    _require_name(path.name)
    content = _read(path, LARGEST_BYTES)
    _admit(class_folder, content, source, result)
    path.unlink()


def _require_name(name: str) -> None:
    if not _NAME.fullmatch(name):
        raise _RefusedError(
            "Its name does not end in .handin.json; only files made by the button "
            "“Hand in” are taken in."
        )


def _too_large(size: int, limit: int) -> _RefusedError:
    return _RefusedError(f"It has {size:,} bytes; a file of its kind must have {limit:,} or fewer.")


def _read(path: Path, limit: int) -> bytes:
    """Read a file of at most `limit` bytes, never through a link put there meanwhile."""
    flags = os.O_RDONLY
    for name in ("O_NOFOLLOW", "O_NONBLOCK", "O_BINARY"):  # each where the system has it
        flags |= getattr(os, name, 0)
    handle = os.open(path, flags)
    with os.fdopen(handle, "rb") as file:
        size = os.fstat(handle).st_size
        if size > limit:
            raise _too_large(size, limit)
        return file.read(limit)


def _admit(
    class_folder: ClassFolder,
    content: bytes,
    source: str,
    result: IntakeResult,
) -> None:
    try:
        hand_in = read_hand_in(content)
    except HandInError as error:
        raise _RefusedError(str(error)) from None
    if hand_in.class_code != class_folder.code:
        raise _RefusedError(
            f"It is from class {_shown(hand_in.class_code)}; it must be from {class_folder.code}."
        )
    if hand_in.number not in class_folder.names:
        raise _RefusedError(
            f"It is from apprentice number {hand_in.number}, who is not on roster.csv. "
            "Add the number to the list, or ask whose it is."
        )
    fault = seal_fault(class_folder.folder, hand_in, class_folder.names)
    if fault:
        raise _RefusedError(fault)
    digest = hashlib.sha256(content).hexdigest()
    made = re.sub(r"[^0-9TZ]", "", hand_in.made)
    kept = class_folder.hand_ins / f"{hand_in.number:03d}" / hand_in.page
    for length in (8, 64):
        target = kept / f"{made}-{digest[:length]}.json"
        if not target.exists():
            arrival = Arrival(
                run=result.run,
                came=result.came,
                number=hand_in.number,
                exercise=hand_in.page,
                made=hand_in.made,
                sha256=digest,
                kept_as=target.relative_to(class_folder.folder).as_posix(),
                source=source,
            )
            _note_arrival(class_folder, arrival, result)
            write_whole(target, content)
            result.admitted.append(
                Admitted(hand_in.number, hand_in.page, hand_in.made, target, source)
            )
            return
        if target.read_bytes() == content:
            result.repeated.append(source)
            return


def _note_arrival(class_folder: ClassFolder, arrival: Arrival, result: IntakeResult) -> None:
    """Write the line of a hand-in before it is kept; one that a cut-off run wrote stands."""
    known = (arrival.number, arrival.exercise, arrival.sha256)
    if known not in result.known:
        arrivals_register(class_folder.folder).append([arrival.cells()])
        result.known.add(known)


def _put_aside(
    class_folder: ClassFolder, path: Path, source: str, sentence: str, result: IntakeResult
) -> None:
    target = _free_name(class_folder.set_aside, path.name)
    _note_reason(class_folder, source, sentence, kept_as=target.name)
    _move(path, target)
    result.set_aside.append(SetAside(source, sentence))


def _note_reason(
    class_folder: ClassFolder, source: str, sentence: str, *, kept_as: str = ""
) -> None:
    under = f" (kept as {_shown(kept_as)})" if kept_as and kept_as != source else ""
    class_folder.set_aside.mkdir(parents=True, exist_ok=True)
    line = f"{source}{under}: {' '.join(sentence.split())}\n".encode("utf-8", "replace")
    reasons = class_folder.set_aside / REASONS
    there = reasons.read_bytes() if reasons.exists() else b""
    if line not in there.splitlines(keepends=True):  # a run that was cut off may have told it
        append_whole(reasons, b"\n" + line if there and not there.endswith(b"\n") else line)


def _move(path: Path, target: Path) -> None:
    """Move a file or a link, also to another disk, where the inbox is a shared folder."""
    try:
        path.rename(target)
    except OSError as error:
        if error.errno != errno.EXDEV:
            raise
        shutil.copy2(path, target, follow_symlinks=False)
        path.unlink()


def _free_name(folder: Path, name: str) -> Path:
    """Return a path in `folder` that nothing has, close to `name`."""
    folder.mkdir(parents=True, exist_ok=True)
    stem, dot, rest = name.partition(".")
    for turn in range(1, 100_000):
        target = folder / (name if turn == 1 else f"{stem}-{turn}{dot}{rest}")
        if not os.path.lexists(target) and target.name.casefold() != REASONS:
            return target
    raise OSError(None, "too many files of one name in set-aside")


def _take_zip(
    class_folder: ClassFolder,
    path: Path,
    source: str,
    result: IntakeResult,
) -> None:
    """Take in the hand-ins in a zip, then keep the zip whole."""
    content = _read(path, LARGEST_ZIP)
    before = len(result.set_aside)
    taken = len(result.admitted) + len(result.repeated)
    left_to_read = [MOST_READ_PER_ZIP]
    for name, member in _members(content, source, 1, left_to_read):
        try:
            if isinstance(member, _RefusedError):
                raise member
            _require_name(name.rsplit("/", 1)[-1])
            _admit(class_folder, member, name, result)
        except _RefusedError as reason:
            _note_reason(class_folder, name, str(reason))
            result.set_aside.append(SetAside(name, str(reason)))
    if len(result.set_aside) > before:
        _move(path, _free_name(class_folder.set_aside, path.name))
    elif len(result.admitted) + len(result.repeated) == taken:
        raise _RefusedError("There is no hand-in in it.")
    else:
        _move(path, _free_name(class_folder.hand_ins / ZIPS, path.name))


def _members(
    content: bytes, source: str, depth: int, left_to_read: list[int]
) -> Iterator[tuple[str, bytes | _RefusedError]]:
    """Yield name and bytes of every file in a zip, or why it is not read."""
    try:
        archive = zipfile.ZipFile(io.BytesIO(content))
        infos = [info for info in archive.infolist() if not info.is_dir()]
    except (zipfile.BadZipFile, ValueError, EOFError, NotImplementedError, struct.error):
        yield (
            source,
            _RefusedError("It is no zip that can be opened; it may be damaged. Send it again."),
        )
        return
    with archive:
        if len(infos) > MOST_MEMBERS:
            told = f"It holds {len(infos):,} files; a zip must hold {MOST_MEMBERS:,} or fewer."
            yield source, _RefusedError(told)
            return
        for info in infos:
            last = info.filename.rsplit("/", 1)[-1]
            if info.filename.startswith("__MACOSX/") or _LITTER.fullmatch(last):
                continue
            name = f"{source} › {_shown(info.filename)}"
            try:
                inner = last.lower().endswith(".zip")
                if inner and depth >= DEEPEST_ZIP:
                    raise _RefusedError("It is a zip in a zip in a zip; send it unpacked.")
                limit = LARGEST_INNER_ZIP if inner else LARGEST_BYTES
                member = _read_member(archive, info, limit, left_to_read)
            except _RefusedError as reason:
                yield name, reason
                continue
            if inner:
                yield from _members(member, name, depth + 1, left_to_read)
            else:
                yield name, member


def _read_member(
    archive: zipfile.ZipFile, info: zipfile.ZipInfo, limit: int, left_to_read: list[int]
) -> bytes:
    name = info.filename
    parts = re.split(r"[\\/]", name)
    if name.startswith(("/", "\\")) or ".." in parts or re.match(r"[A-Za-z]:", name):
        raise _RefusedError("Its name points outside the zip; a hand-in's name must not.")
    if stat.S_ISLNK(info.external_attr >> 16):
        raise _RefusedError("It is a link to another place; a hand-in must be a file of its own.")
    if info.flag_bits & 1:
        raise _RefusedError("It is locked with a password; send it without one.")
    if info.file_size > limit:
        raise _too_large(info.file_size, limit)
    try:
        with archive.open(info) as file:
            content = file.read(min(limit, left_to_read[0]) + 1)
    except (zipfile.BadZipFile, zlib.error, EOFError, ValueError, RuntimeError, OSError):
        raise _RefusedError("It cannot be unpacked; it may be damaged. Send it again.") from None
    left_to_read[0] -= len(content)
    if len(content) > limit:
        raise _too_large(len(content), limit)
    if left_to_read[0] < 0:
        raise _RefusedError("The zip holds too much to read; send the hand-ins by themselves.")
    return content
