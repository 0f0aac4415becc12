"""The entries file: what an apprentice typed, kept as typed.

``answers.json`` stands beside the page. The file is the store and the form is
only its face: a form fills itself from the file and writes every committed
change back at once (temporary file, flush, replace), so a stopped page loses
nothing. A file that cannot be read is set aside under another name, never
deleted. Two open copies of a page share the file: the later one notices what
the other wrote and takes it over instead of writing over it.
"""

from __future__ import annotations

import contextlib
import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import filelock

from coursework.page.here import here
from coursework.page.steplog import StepLog, log_name
from taperkey.files import clear_halves, take_name, write_whole

__all__ = ["EntriesError", "EntriesFile", "Saved"]

FORMAT = "taperkey answers"
VERSION = 1
MOST_BYTES = 2_000_000
LOCK_SECONDS = 5.0
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ")


class EntriesError(OSError):
    """The entries file cannot be used, as one sentence."""


@dataclass(frozen=True, kw_only=True)
class Saved:
    """What became of one entry.

    Attributes
    ----------
    saved : bool
        Whether the file now holds what was typed.
    text : str
        What the file holds for that entry.
    sentence : str
        What to tell the person; empty when it was simply saved.
    changed : dict
        Other entries that another open copy changed meanwhile.
    """

    saved: bool
    text: str
    sentence: str = ""
    changed: dict[str, str] = field(default_factory=dict)


class EntriesFile:
    """The entries of the pages in one folder.

    Parameters
    ----------
    path : Path
        The ``answers.json``; it need not exist yet.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.notice = ""  # a sentence for the person, when something was set aside
        self._seen: dict[str, str] = {}
        self._logs: dict[str, StepLog] = {}
        self.watchers: list[Callable[[], None]] = []  # told when a note or a step was kept
        self._lock = filelock.FileLock(path.with_name(f".{path.name}.lock"), timeout=LOCK_SECONDS)
        self._seen.update(self.texts())
        clear_halves(path.parent)

    # reading

    def texts(self) -> dict[str, str]:
        """Return every entry's raw text by its key, as the file has it now."""
        entries = self._content()["entries"]
        return {
            key: str(entry.get("text", ""))
            for key, entry in entries.items()
            if isinstance(entry, dict)
        }

    def times(self) -> dict[str, str]:
        """Return when each entry was last changed, UTC, by its key, where the file says so."""
        entries = self._content()["entries"]
        return {
            key: str(entry["saved"])
            for key, entry in entries.items()
            if isinstance(entry, dict) and _TIME.fullmatch(str(entry.get("saved", "")))
        }

    def get(self, key: str, default: Any = None) -> Any:
        """Return a note (a bench session, a practice count) by its key."""
        log = self.log(key)
        kept = self._note(key) if log is None else log.read()
        return default if kept is None else kept

    def _note(self, key: str) -> Any:
        return self._content()["notes"].get(key)

    def log(self, key: str) -> StepLog | None:
        """Return what a bench keeps its steps in, by the bench's key; None for other notes."""
        name = log_name(key)
        if name is None:
            return None
        if key not in self._logs:
            self._logs[key] = StepLog(self.path.with_name(name), earlier=lambda: self._note(key))
        return self._logs[key]

    def notes(self) -> dict[str, Any]:
        """Return all notes by their keys, read once."""
        return dict(self._content()["notes"])

    # writing

    def put(self, key: str, text: str) -> Saved:
        """Save one entry as typed.

        Parameters
        ----------
        key : str
            The question.
        text : str
            The raw text.

        Returns
        -------
        Saved
            What the file holds now, and what to tell the person.
        """
        try:
            with self._held():
                content = self._content()
                now = self._texts_of(content)
                changed = {
                    other: value
                    for other, value in now.items()
                    if other != key and self._seen.get(other, "") != value
                }
                there, known = now.get(key, ""), self._seen.get(key, "")
                self._seen.update(now)
                if there not in (known, text):
                    return Saved(
                        saved=False,
                        text=there,
                        changed=changed,
                        sentence="This entry was changed in another window, to "
                        f"“{_short(there)}”; yours was “{_short(text)}”. The other one is "
                        "shown now. Type yours again if it is the right one.",
                    )
                content["entries"][key] = {"text": text, "saved": _now()}
                self._write(content)
                self._seen[key] = text
                return Saved(saved=True, text=text, changed=changed, sentence=self._take_notice())
        except OSError as error:
            return Saved(saved=False, text=text, sentence=_cannot_save(self.path, error))

    def set(self, key: str, note: Any) -> str:
        """Save a note that can be written as JSON; return a sentence if that failed."""
        if log_name(key) is not None:
            return self.keep(key, note)
        try:
            with self._held():
                content = self._content()
                content["notes"][key] = note
                self._write(content)
        except OSError as error:
            return _cannot_save(self.path, error)
        self._tell()
        return ""

    def _tell(self) -> None:
        for watcher in self.watchers:
            watcher()

    def keep(self, key: str, record: Any, *, after: int | None = None) -> str:
        """Keep a bench's record, see :meth:`StepLog.put`; return a sentence if that failed."""
        log = self.log(key)
        assert log is not None, key
        begins = log.number == 0
        try:
            log.put(record, after=after)
        except OSError as error:
            return _cannot_save(log.path, error)
        if begins:  # before there were such files, it stood among the notes
            with contextlib.suppress(OSError), self._held():
                content = self._content()
                if content["notes"].pop(key, None) is not None:
                    self._write(content)
        self._tell()
        return ""

    # inside

    @contextlib.contextmanager
    def _held(self) -> Iterator[None]:
        try:
            with self._lock:
                yield
        except filelock.Timeout as error:
            raise EntriesError("another window is busy saving") from error

    @staticmethod
    def _texts_of(content: dict[str, Any]) -> dict[str, str]:
        return {
            key: str(entry.get("text", ""))
            for key, entry in content["entries"].items()
            if isinstance(entry, dict)
        }

    def _content(self) -> dict[str, Any]:
        empty: dict[str, Any] = {
            "format": FORMAT,
            "version": VERSION,
            "revision": 0,
            "entries": {},
            "notes": {},
        }
        try:
            size = self.path.stat().st_size
            raw = self.path.read_bytes() if size <= MOST_BYTES else b""
        except FileNotFoundError:
            return empty
        except OSError as error:
            raise EntriesError(f"the file cannot be read ({error.strerror})") from error
        why = ""
        content: Any = None
        try:
            content = json.loads(raw.decode("utf-8"))
        except (ValueError, RecursionError):
            why = "it is damaged"
        if not why and not (
            isinstance(content, dict)
            and content.get("format") == FORMAT
            and isinstance(content.get("entries"), dict)
        ):
            why = "it is not an entries file of this course"
        if not why and content.get("version") != VERSION:
            why = "it comes from another version of the course"
        if why:
            self._set_aside(why)
            return empty
        if not isinstance(content.get("notes"), dict):
            content["notes"] = {}
        return dict(content)

    def _set_aside(self, why: str) -> None:
        stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
        number = 0
        while True:
            tail = f"-{number}" if number else ""
            target = self.path.with_name(f"{self.path.stem}-set-aside-{stamp}{tail}.json")
            if not target.exists():
                break
            number += 1
        try:
            take_name(self.path, target)
        except FileNotFoundError:
            return
        except OSError as error:
            raise EntriesError(f"{self.path.name} cannot be used ({why})") from error
        self.notice = (
            f"{self.path.name} could not be used: {why}. It was kept as {target.name}, "
            "and a new one was begun."
        )
        self._seen.clear()

    def _take_notice(self) -> str:
        notice, self.notice = self.notice, ""
        return notice

    def _write(self, content: dict[str, Any]) -> None:
        revision = content.get("revision")
        content["revision"] = (revision if isinstance(revision, int) else 0) + 1
        raw = json.dumps(content, indent=1, sort_keys=True)
        write_whole(self.path, raw.encode("ascii"))


def _now() -> str:
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:40] + "…"


def _cannot_save(path: Path, error: OSError) -> str:
    why = error.strerror or str(error) or "no reason given"
    return (
        f"Not saved: {path.name} in {here().shown(path.parent)} could not be written ({why}). "
        "What you typed still stands here; copy it, make room or ask for a folder you may write "
        "to, and type it once more."
    )
