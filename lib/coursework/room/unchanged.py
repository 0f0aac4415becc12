"""Whether anything is another since the last marking run; then there is nothing to do.

A run that found nothing to do, and saw the same files before and after, leaves a note:
a digest of every file of the class folder, of every file of the course and its released
pages, and of what else a page may show otherwise (installed packages, Python, the clock's
zone). The next run digests the same again. One byte more, fewer or other, in any of them,
or a clock that was set back, and it goes through everything as ever. What is digested is
found by looking into the folders, never listed; what is no plain file, such as a link, is
never believed. No file is read before all of them have their names and sizes of then: somebody
may have put one of a thousand gigabytes in the inbox.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import site
import sys
import time
from calendar import timegm
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from taperkey.files import write_whole

__all__ = ["NOTE", "all_of", "keep_note", "told_before"]

NOTE = ".nothing-new.json"
PACKAGES = (".dist-info", ".egg-info")
SETTINGS = ("TAPERKEY_", "PYTHONPATH")  # of the environment
MADE = "__pycache__"  # by Python itself, from the files beside
FIRST_YEAR = 2020  # no hand-in is older
HOUR_S = 3600
DAY_S = 24 * HOUR_S


class _OtherError(Exception):
    """Something that is no plain file or folder."""


def told_before(folder: Path) -> list[str] | None:
    """Return what the last run told, where a run today would find all as it was; else None.

    Parameters
    ----------
    folder : Path
        The class folder.
    """
    try:
        note = json.loads((folder / NOTE).read_text("utf-8"))
        roots = [Path(one) for one in note["course"]]
        lines = [str(one) for one in note["lines"]]
        same = (
            time.time() > note["clock"]
            and note["sizes"] == all_of(folder, roots=roots, read=False)
            and note["all"] == all_of(folder, roots=roots)
        )
    except (OSError, ValueError, TypeError, KeyError):
        return None
    return lines if same else None


def keep_note(
    folder: Path, *, roots: Sequence[Path], seen: str, clock: float, lines: Sequence[str]
) -> None:
    """Keep what a run that found nothing to do has seen and told; never mind failures.

    Parameters
    ----------
    folder : Path
        The class folder.
    roots : sequence of Path
        The folders of the course.
    seen : str
        The digest of it all.
    clock : float
        After which moment the clock is right, in s since 1970; before it a run tells of it.
    lines : sequence of str
        What was told.
    """
    course = [str(one) for one in roots]
    sizes = all_of(folder, roots=roots, read=False)
    note = {"course": course, "sizes": sizes, "all": seen, "clock": clock, "lines": list(lines)}
    with contextlib.suppress(OSError):
        write_whole(folder / NOTE, json.dumps(note, indent=1).encode("utf-8"))


def all_of(
    folder: Path, *, roots: Iterable[Path], without: Iterable[str] = (), read: bool = True
) -> str | None:
    """Return a digest of all that a marking run can depend on, and of all that it writes.

    Parameters
    ----------
    folder : Path
        The class folder. Files at its top whose names begin with a dot are locks and this note.
    roots : iterable of Path
        The folders of the course: its packages and its released pages.
    without : iterable of str
        Rooms of the class folder to leave out.
    read : bool
        Whether files are read; otherwise their sizes [bytes] stand for them.

    Returns
    -------
    str or None
        None where it cannot be told: something is no plain file, or cannot be read.
    """
    digest = hashlib.sha256(repr(_around()).encode("utf-8"))
    try:
        for root in (*roots, folder):
            out = {*without} if root == folder else set()
            for name, path in _walk(root, root == folder, out):
                digest.update(f"\0{name}\0".encode("utf-8", "surrogateescape"))
                if path and not read:
                    digest.update(f"{os.stat(path, follow_symlinks=False).st_size}".encode())
                elif path:
                    with open(path, "rb") as file:
                        digest.update(hashlib.file_digest(file, "sha256").digest())
    except (OSError, _OtherError):
        return None
    return digest.hexdigest()


def _walk(root: Path, is_class: bool, out: set[str]) -> Iterator[tuple[str, str]]:
    """Give every file under a folder by name, with its path; of folders the name only."""
    left = [""]
    while left:
        place = left.pop()
        with os.scandir(root / place) as found:
            entries = sorted(found, key=lambda one: one.name)
        for one in entries:
            name = f"{place}{one.name}"
            if name in out or one.name == MADE:
                continue
            if one.is_dir(follow_symlinks=False):
                left.append(f"{name}/")
                yield left[-1], ""
            elif not one.is_file(follow_symlinks=False):
                raise _OtherError(name)
            elif not (is_class and not place and name.startswith(".")):
                yield name, one.path


def _around() -> list[object]:
    """Return what is no file of the class or the course, and may show on a page nevertheless."""
    installed = set()
    for place in (*site.getsitepackages(), site.getusersitepackages()):
        with contextlib.suppress(OSError):
            installed |= {one for one in os.listdir(place) if one.endswith(PACKAGES)}
    now = time.gmtime().tm_year
    first, last = (timegm((year, 1, 1, 0, 0, 0)) for year in (FIRST_YEAR, now + 2))
    turns = [(first, _offset(first))]
    for day in range(first + DAY_S, last, DAY_S):
        if _offset(day) != turns[-1][1]:  # in which of the day's hours?
            hours = range(day - DAY_S + HOUR_S, day + 1, HOUR_S)
            turns.append(next((one, _offset(one)) for one in hours if _offset(one) != turns[-1][1]))
    ours = sorted(one for one in os.environ.items() if one[0].startswith(SETTINGS))
    return [__file__, sys.version, sorted(installed), ours, turns]


def _offset(moment: int) -> int:
    """Return by how much local time is ahead of UTC at a moment, in s."""
    return time.localtime(moment).tm_gmtoff
