"""Files that are there whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
import time
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

__all__ = [
    "HALF_SECONDS",
    "append_whole",
    "clear_halves",
    "naming",
    "take_name",
    "write_together",
    "write_whole",
]

AT_ONCE = 8  # files that are pushed to the disk at the same time
HALF_SECONDS = 600.0  # no write takes this long: an older half is of a run that was cut off
#: Windows replaces no file that somebody has open, be it to read it; other systems do at once.
WAITS_S = (0.01, 0.02, 0.05, 0.1, 0.2, 0.4) if os.name == "nt" else ()


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that a stop at any moment leaves the old one or the new one.

    The bytes go to a file beside it, are pushed to the disk, and take the name
    last. A file that holds them already is left alone.

    Raises
    ------
    OSError
        The folder cannot be written or is full; the old file stands. It names the file.
    """
    write_together([(path, content)])


def write_together(files: Iterable[tuple[Path, bytes]]) -> None:
    """Write several files, each whole or not at all as in `write_whole`, and in this order.

    They are pushed to the disk at once: it has many down in the time of a few.

    Raises
    ------
    OSError
        A folder cannot be written or is full; the files whose turn had not come stand. It names
        the file.
    """
    halves: list[tuple[Path, Path]] = []
    folders: set[Path] = set()
    try:
        for path, content in files:
            if path.parent not in folders:
                path.parent.mkdir(parents=True, exist_ok=True)
                folders.add(path.parent)
            if path.is_file() and path.read_bytes() == content:
                continue
            with naming(path):
                handle, name = tempfile.mkstemp(dir=path.parent, prefix=".writing-", suffix=".part")
                halves.append((Path(name), path))
                with os.fdopen(handle, "wb") as stream:
                    stream.write(content)
        _push(halves)
        for half, path in halves:
            with naming(path):
                os.chmod(half, 0o644)
                if os.name == "nt" and path.exists():
                    os.chmod(path, 0o644)  # a read-only file cannot be replaced there
                take_name(half, path)
    except BaseException:
        for half, _ in halves:
            half.unlink(missing_ok=True)
        raise


def _push(halves: Sequence[tuple[Path, Path]]) -> None:
    """Return when the disk has what the halves of these files hold."""
    if len(halves) < 2:
        for one in halves:
            _push_one(one)
        return
    from concurrent.futures import ThreadPoolExecutor  # takes its time, and few write several

    with ThreadPoolExecutor(min(len(halves), AT_ONCE)) as several:
        for _ in several.map(_push_one, halves):
            pass  # raises what was refused


def _push_one(one: tuple[Path, Path]) -> None:
    half, path = one
    with naming(path), half.open("rb+") as stream:
        os.fsync(stream.fileno())


def append_whole(path: Path, content: bytes) -> None:
    """Add to a file and push it to the disk; where that fails, the file is as it was.

    A stop at any moment may leave a part of the content.

    Raises
    ------
    OSError
        The file cannot be written, or the disk is full. It names the file.
    """
    with naming(path), path.open("ab", buffering=0) as file:
        before = file.tell()
        try:
            done = 0
            while done < len(content):
                done += file.write(content[done:])
            os.fsync(file.fileno())
        except BaseException:
            with contextlib.suppress(OSError):
                file.truncate(before)
            raise


@contextlib.contextmanager
def naming(path: Path) -> Iterator[None]:
    """Say of a write that fails which file it was, where the system does not or names the half."""
    try:
        yield
    except OSError as error:
        error.filename = str(path)
        del error.filename2
        raise


def take_name(made: Path | str, path: Path) -> None:
    """Give a file another name, in the place of what has it; wait where that is open.

    Raises
    ------
    OSError
        The folder cannot be written, or the file stays open; both files stand.
    """
    for wait in WAITS_S:
        try:
            os.replace(made, path)
            return
        except PermissionError:
            time.sleep(wait)
    os.replace(made, path)


def clear_halves(folder: Path) -> None:
    """Remove what runs that were cut off left half written in a folder; never mind failures."""
    with contextlib.suppress(OSError):
        for half in folder.glob(".writing-*.part"):
            if time.time() - half.stat().st_mtime > HALF_SECONDS:
                half.unlink(missing_ok=True)
