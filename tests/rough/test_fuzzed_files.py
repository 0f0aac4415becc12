"""Any bytes may come as a hand-in, a file of words, a job file or a message of a page.

They are taken as what they are, or refused in one sentence; nothing else ever comes out. True ones
are changed at random: bytes, pieces, lines, and single values put in the place of others.
TAPERKEY_MANY=1 tries a hundred times as many, in more than the five minutes that the suite gives
a check.
"""

from __future__ import annotations

import json
import os
import random
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from coursework.course import PAGES
from coursework.desks.wire import WireError, packed, read
from coursework.page.handin import HandInError, _checksum, read_hand_in, write_hand_in
from coursework.words import Words
from coursework.wordsfile import WordsError
from keycourse.jobsheet.fields import example_entries
from keycourse.jobsheet.job import JobError, read_job

from .leaks import leaks

MANY = os.environ.get("TAPERKEY_MANY") == "1"
COUNT = 200_000 if MANY else 2_000
pytestmark = [pytest.mark.timeout(7_200)] if MANY else []
LIB = Path(__file__).resolve().parents[2] / "lib"
VALUES: list[Any] = [
    None, True, False, 0, -1, 1, 2**63, 10**400, 1e308, -0.0, "", " ", "\x00", "\u202e", "\ud800",
    "9" * 5000, [], {}, [[]], {"": {}}, "nan", "../..", "1/0 in", "2026-02-30", "1e999",
]  # fmt: skip
PIECES = [b"", b"\x00", b"\xff\xfe", b"\xef\xbb\xbf", b"{", b"}", b"[", b'"', b"\\", b"=", b"#",
          b"\n", b"NaN", b"Infinity", b"1e999", b"'''", b"\xed\xa0\x80", b"[[x]]",
          b"inf"]  # fmt: skip


def _changed_bytes(whole: bytes, draws: random.Random) -> bytes:
    for _ in range(draws.choice((1, 1, 2, 4))):
        place = draws.randint(0, len(whole))
        far = place + draws.choice((0, 1, 2, 8, 60))
        piece = draws.choice(PIECES)
        match draws.randrange(5):
            case 0:
                whole = whole[:place]
            case 1:
                whole = whole[:place] + piece + whole[far:]
            case 2:
                start = draws.randint(0, len(whole))
                whole = whole[:place] + whole[start : start + draws.randint(0, 200)] + whole[place:]
            case 3:
                lines = whole.split(b"\n")
                lines.insert(draws.randint(0, len(lines)), draws.choice(lines))
                whole = b"\n".join(lines)
            case _:
                one = bytearray(whole or b" ")
                one[draws.randrange(len(one))] = draws.randrange(256)
                whole = bytes(one)
    return whole


def _changed_value(told: Any, draws: random.Random) -> Any:
    """Put another value somewhere into what was read from JSON; or drop or add a name."""
    if isinstance(told, dict) and told and draws.random() < 0.85:
        name = draws.choice(sorted(told))
        return {**told, name: _changed_value(told[name], draws)}
    if isinstance(told, dict):
        return {**told, draws.choice(("x", "entries", "", "__class__")): draws.choice(VALUES)}
    if isinstance(told, list) and told and draws.random() < 0.7:
        return [_changed_value(told[0], draws), *told[1:]]
    return draws.choice(VALUES)


def _put(path: Path, raw: bytes) -> None:
    """Write as a new file: a disk takes 2 ms over one that is cut to nothing and written again."""
    path.unlink(missing_ok=True)
    path.write_bytes(raw)


def _tried(
    takes: Callable[[bytes], Any], refuses: type[Exception], whole: bytes, kind: str
) -> None:
    """Change a true one COUNT times; each is taken or refused in a sentence, some of both."""
    draws = random.Random(kind)
    seen: Counter[str] = Counter()
    takes(whole)  # as it is, it is a true one
    for _ in range(COUNT):
        if kind.startswith("json") and draws.random() < 0.5:
            told = _changed_value(json.loads(whole), draws)
            raw = json.dumps(told).encode()
        else:
            raw = _changed_bytes(whole, draws)
        try:
            takes(raw)
            seen["taken"] += 1
        except refuses as error:
            for said in getattr(error, "problems", [str(error)]):
                assert said.strip(), raw
                assert len(said) < 1500, raw
                assert not leaks(said, raw.decode("utf-8", "replace")), said
            seen["refused"] += 1
    assert seen["refused"] > COUNT / 10, seen


def test_hand_ins(tmp_path: Path) -> None:
    keys = [one.key for one in PAGES["02-taper"].questions if not one.by_assessor]
    path = write_hand_in(
        folder=tmp_path,
        class_code="QQ-26-K7PX",
        number=7,
        page="02-taper",
        page_version="1",
        made="2026-11-25T12:00:00Z",
        entries=dict.fromkeys(keys[:4], "1.0104 in"),
    )

    def takes(raw: bytes) -> None:
        try:  # a changed one that has the right sum is looked at to the end
            told = json.loads(raw)
            told["sha256"] = _checksum({k: v for k, v in told.items() if k != "sha256"})
            raw = json.dumps(told).encode()
        except (ValueError, TypeError, AttributeError, RecursionError):
            pass
        read_hand_in(raw)

    _tried(takes, HandInError, path.read_bytes(), "json hand-in")


def test_files_of_words(tmp_path: Path) -> None:
    path = tmp_path / "words.toml"

    def takes(raw: bytes) -> None:
        _put(path, raw)
        Words(path, LIB / "keycourse" / "words.toml")

    whole = (LIB / "keycourse" / "taper" / "words.toml").read_bytes()
    _tried(takes, WordsError, whole, "words")


def test_job_files(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    inside: dict[str, list[str]] = {}
    for key, text in example_entries("hollow-ram").items():
        section, _, name = key.partition(".")
        inside.setdefault(section, []).append(f"{name} = {json.dumps(text)}")
    whole = "\n".join(
        f"[{section}]\n" + "\n".join(lines) + "\n" for section, lines in inside.items()
    )

    def takes(raw: bytes) -> None:
        _put(path, raw)
        read_job(path)

    _tried(takes, JobError, whole.encode(), "job file")


def test_messages_of_pages() -> None:
    content = {"comm_id": "0" * 32, "data": {"method": "update", "state": {"value": 1.5}}}
    whole = packed("shell", "comm_msg", content, parent={}, session="s")
    _tried(read, WireError, whole, "message")
