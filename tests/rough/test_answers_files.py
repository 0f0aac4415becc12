"""Answers files that were damaged, cut short, made by another program or a later course.

Whatever stands in the file, opening it gives texts or one notice, the old bytes are still there
under some name, and typing goes on. The tests count what they tried; TAPERKEY_MANY=1 tries more.
"""

from __future__ import annotations

import json
import os
import random
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from coursework.page import entries
from coursework.page.entries import EntriesFile

MANY = os.environ.get("TAPERKEY_MANY") == "1"
TEXTS = {
    "01-mouth-height": "1.0104 in",
    "01-why-bottom": "Weil das Spiel unten ist.\nTwo lines, “quoted”, ½ and \\ and \x00.",
    "02-ratio": "1:96",
}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "answers.json"


@pytest.fixture
def whole(path: Path) -> bytes:
    store = EntriesFile(path)
    for key, text in TEXTS.items():
        assert store.put(key, text).saved
    assert store.set("measuring bench", {"seed": 5, "steps": [1, 2, 3]}) == ""
    return path.read_bytes()


def _open_and_type(path: Path, content: bytes) -> str:
    """Open what stands in the file, type an entry, and return the notice."""
    for other in path.parent.iterdir():
        other.unlink()
    path.write_bytes(content)
    store = EntriesFile(path)
    texts = store.texts()
    assert all(isinstance(key, str) and isinstance(text, str) for key, text in texts.items())
    aside = [other for other in path.parent.iterdir() if "set-aside" in other.name]
    notice = store.notice
    if aside:
        assert [other.read_bytes() for other in aside] == [content]
        assert aside[0].name in notice
        assert notice.endswith("and a new one was begun.")
        assert texts == {}
    else:
        assert notice == ""
        assert path.read_bytes() == content
    saved = store.put("01-hub-width", "1.500 in")
    assert saved.saved
    assert EntriesFile(path).texts() == {**texts, "01-hub-width": "1.500 in"}
    return notice


def test_cut_short_at_any_byte(path: Path, whole: bytes) -> None:
    places = range(0, len(whole), 1 if MANY else 4)
    notices = [_open_and_type(path, whole[:place]) for place in places]
    assert len(notices) == len(places) >= 100
    assert all("it is damaged" in notice for notice in notices)


def test_bytes_changed_at_random(path: Path, whole: bytes) -> None:
    draws = random.Random("damage")
    tried = 2000 if MANY else 120
    set_aside = 0
    for _ in range(tried):
        content = bytearray(whole)
        for _ in range(draws.choice((1, 1, 2, 8))):
            content[draws.randrange(len(content))] = draws.randrange(256)
        set_aside += _open_and_type(path, bytes(content)) != ""
    assert tried / 4 < set_aside < tried  # damage is seen; some changes only change a text


FOREIGN = [
    "null", "true", "7", '"text"', "[]", "[[]]", "{}", '{"entries": {}}', '{"cells": []}',
    '{"format": "taperkey answers"}', '{"format": "taperkey answers", "version": 1}',
    '{"format": "taperkey hand-in", "version": 1, "entries": {}}',
    '{"format": ["taperkey answers"], "version": 1, "entries": {}}',
    '{"format": "taperkey answers", "version": 1, "entries": []}',
    '{"format": "taperkey answers", "version": 1, "entries": null}',
    "number,name\n1,Ada\n", "<html></html>", "PK\x03\x04", "\ufeff{}", "NaN",
    '{"format": "taperkey answers", "version": NaN, "entries": {}}',
]  # fmt: skip
LATER = [2, 3, 99, 1.5, "1", "2.0", None, -1, 0, [1], {"major": 1}, 10**30]


@pytest.mark.parametrize("content", FOREIGN)
def test_files_of_other_programs(path: Path, content: str) -> None:
    notice = _open_and_type(path, content.encode("utf-8"))
    assert (
        "it is not an entries file of this course" in notice
        or "it is damaged" in notice
        or ("it comes from another version of the course" in notice)
    )


@pytest.mark.parametrize("version", LATER)
def test_a_later_course_keeps_its_file(path: Path, whole: bytes, version: object) -> None:
    content = json.loads(whole)
    content["version"] = version
    content["signed"] = {"by": "a later course"}
    notice = _open_and_type(path, json.dumps(content).encode())
    assert "it comes from another version of the course" in notice


def test_odd_values_in_a_file_of_this_course(path: Path, whole: bytes) -> None:
    odd: list[object] = [None, 7, [], {}, {"text": None}, {"text": 7}, {"text": ["a"]}, "1 in"]
    for place, value in enumerate(odd):
        content = json.loads(whole)
        content["entries"][f"odd-{place}"] = value
        content["revision"] = value
        content["notes"] = value
        assert _open_and_type(path, json.dumps(content).encode()) == ""
    assert place == len(odd) - 1


class _Clock(datetime):
    at = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)

    @classmethod
    def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
        return cls.at


def test_clock_set_back_and_forth(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(entries, "datetime", _Clock)
    draws = random.Random("clock")
    first, second = EntriesFile(path), EntriesFile(path)
    steps = 2000 if MANY else 100
    for step in range(steps):
        _Clock.at += timedelta(days=draws.choice((-4000, -1, 0, 0, 1, 3000)))
        _Clock.at = min(
            max(_Clock.at, datetime(1990, 1, 1, tzinfo=UTC)), datetime(2090, 1, 1, tzinfo=UTC)
        )
        store = draws.choice((first, second))
        store.texts()
        saved = store.put("mouth", f"{step} thou")
        if not saved.saved:  # the other window's is shown; typed again, on purpose
            assert saved.text == f"{step - 1} thou"
            saved = store.put("mouth", f"{step} thou")
        assert saved.saved
        assert EntriesFile(path).texts() == {"mouth": f"{step} thou"}
        os.utime(path, (draws.randrange(10**9), draws.randrange(2 * 10**9)))
    assert step == steps - 1


def test_set_aside_twice_in_one_second_keeps_both(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(entries, "datetime", _Clock)
    for turn in range(5):
        path.write_bytes(b"damaged %d" % turn)
        assert "it is damaged" in EntriesFile(path).notice
    kept = sorted(other.read_bytes() for other in path.parent.glob("*set-aside*"))
    assert kept == [b"damaged %d" % turn for turn in range(5)]
