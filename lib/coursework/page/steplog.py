"""One record for each folder and bench, to which every window appends its steps.

A line of the file is what one act changed in the bench's record, so keeping costs the same however
much was done before. Windows take turns by a lock, and each sees what another appended. A line
that a stop cut off is put aside; the record stands as it was before it.
"""

from __future__ import annotations

import contextlib
import copy
import json
import os
import re
from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import filelock

from taperkey.counts import counted
from taperkey.files import append_whole, write_whole

__all__ = ["LOCK_SECONDS", "MOST_LOG_BYTES", "StepLog", "log_name", "record_in"]

LOCK_SECONDS = 5.0
MOST_LOG_BYTES = 8_000_000
_WRITE_ANEW_BYTES = 4_000_000
_HEAD_BYTES = 64

Change = list[Any]


def log_name(key: str) -> str | None:
    """Return the file that keeps the steps of what has this key; None where it is no bench's.

    >>> log_name("bench:fitting"), log_name("measuring bench"), log_name("practice")
    ('bench-fitting.steps', 'bench-measuring.steps', None)
    """
    found = re.fullmatch(r"bench:([a-z]+)|([a-z]+) bench", key)
    return f"bench-{found[1] or found[2]}.steps" if found else None


class StepLog:
    """The record of one bench in one folder.

    Parameters
    ----------
    path : Path
        Its file; it need not exist yet.
    earlier : callable
        What was kept before there was such a file; None for nothing.
    """

    def __init__(self, path: Path, *, earlier: Callable[[], Any] = lambda: None) -> None:
        self.path = path
        self.notice = ""  # a sentence for the person, when something was put aside
        self.number = 0  # of the last line that was read or written
        self._earlier = earlier
        self._lock = filelock.FileLock(path.with_name(f".{path.name}.lock"), timeout=LOCK_SECONDS)
        self._forget()

    def _forget(self) -> None:
        self._record: Any = None
        self._lent = False  # whether somebody else holds parts of it
        self._end, self._head = 0, b""

    @contextlib.contextmanager
    def turn(self) -> Iterator[None]:
        """Keep other windows waiting; raises ``OSError`` when one of them never ends."""
        self.path.parent.mkdir(parents=True, exist_ok=True)
        try:
            with self._lock:
                self._catch_up(mend=True)
                yield
        except filelock.Timeout as error:
            raise OSError("another window is busy on this bench") from error

    def read(self) -> Any:
        """Return the record as it stands now; None when nothing is kept."""
        self._catch_up(mend=False)
        self._lent = True
        return self._earlier() if self._record is None else self._record

    def put(self, record: Any, *, after: int | None = None) -> None:
        """Make this the record: what is new in it is appended.

        It must follow line `after`; what another window did meanwhile is never written over.
        """
        with self.turn():
            if after not in (None, self.number):
                raise OSError("another window did a step meanwhile")
            if self._record is None:
                line: dict[str, Any] = {"record": record}
            else:
                changes: list[Change] = []
                _compare(self._record, record, [], changes)
                if not changes:
                    return
                line = {"changes": changes}
            if self._end > _WRITE_ANEW_BYTES:
                raw = _line(self.number + 1, {"record": record})
                write_whole(self.path, raw)
                self._end, self._head = len(raw), raw[:_HEAD_BYTES]
            else:
                self._append(_line(self.number + 1, line))
            self.number += 1
            self._record, self._lent = record, True

    def _append(self, raw: bytes) -> None:
        append_whole(self.path, raw)
        self._head = (self._head + raw)[:_HEAD_BYTES]
        self._end += len(raw)

    def _catch_up(self, *, mend: bool) -> None:
        """Read what was appended since; the rest after a line that is not whole is put aside."""
        try:
            with self.path.open("rb") as file:
                if self._head and file.read(len(self._head)) != self._head:
                    self._forget()  # it was written anew
                if os.fstat(file.fileno()).st_size > MOST_LOG_BYTES:
                    raise OSError(f"{self.path.name} is larger than any bench makes it")
                file.seek(self._end)
                raw = file.read()
        except FileNotFoundError:
            self._forget()
            return
        if not raw:
            return
        if self._lent:
            self._record, self._lent = copy.deepcopy(self._record), False
        for line in raw.splitlines(keepends=True):
            try:
                self._record, self.number = _applied(self._record, self.number, line)
            except _NotWholeError:
                self._record = record_in(self._whole())  # it may have been changed in part
                break
            self._head = (self._head + line)[:_HEAD_BYTES]
            self._end += len(line)
        else:
            return
        if mend:
            self._put_aside()

    def _whole(self) -> bytes:
        with self.path.open("rb") as file:
            return file.read(self._end)

    def _put_aside(self) -> None:
        raw = self.path.read_bytes()[self._end :]
        lines = max(1, raw.count(b"\n"))
        stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S-%f")
        target = self.path.with_name(f"{self.path.stem}-set-aside-{stamp}.txt")
        write_whole(target, raw)
        with self.path.open("r+b") as file:
            file.truncate(self._end)
        self.notice = (
            f"{counted(lines, 'step')} at the end could not be read and "
            f"{'was' if lines == 1 else 'were'} put aside in {target.name}. The bench is as it "
            "was before; go on from there."
        )

    def take_notice(self) -> str:
        """Return what is to be told, once."""
        notice, self.notice = self.notice, ""
        return notice


def record_in(raw: bytes) -> Any:
    """Return the record in the content of such a file, as far as it is whole."""
    record, number = None, 0
    for line in raw.splitlines(keepends=True):
        try:
            record, number = _applied(record, number, line)
        except _NotWholeError:
            break
    return record


class _NotWholeError(Exception):
    """A line that cannot be used."""


def _line(number: int, what: Mapping[str, Any]) -> bytes:
    return json.dumps({"n": number, **what}, separators=(",", ":")).encode("ascii") + b"\n"


def _applied(record: Any, number: int, line: bytes) -> tuple[Any, int]:
    if not line.endswith(b"\n"):
        raise _NotWholeError
    try:
        read = json.loads(line)
        now = read["n"]
        if not isinstance(now, int) or (record is not None and now != number + 1):
            raise _NotWholeError
        if "record" in read:
            return read["record"], now
        if record is None:
            raise _NotWholeError
        for change in read["changes"]:
            record = _changed(record, change)
    except (ValueError, RecursionError, LookupError, TypeError, AttributeError) as error:
        raise _NotWholeError from error
    return record, now


def _changed(record: Any, change: Change) -> Any:
    what, path, *value = change
    if not path:
        return value[0]
    place = record
    for step in path[:-1]:
        place = place[step]
    if what == "put":
        place[path[-1]] = value[0]
    elif what == "add":
        place[path[-1]].extend(value[0])
    else:
        del place[path[-1]]
    return record


def _compare(old: Any, new: Any, path: list[str], changes: list[Change]) -> None:
    if isinstance(old, dict) and isinstance(new, dict):
        for key in old:
            if key not in new:
                changes.append(["cut", [*path, key]])
        for key, value in new.items():
            if key in old:
                _compare(old[key], value, [*path, key], changes)
            else:
                changes.append(["put", [*path, key], value])
    elif isinstance(old, list) and isinstance(new, list) and new[: len(old)] == old and path:
        if len(new) > len(old):
            changes.append(["add", path, new[len(old) :]])
    elif old != new:
        changes.append(["put", path, new])
