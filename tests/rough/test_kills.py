"""The page's process is killed while somebody types: what it called saved is there.

Twenty kills in the ordinary run, 500 with TAPERKEY_MANY=1. The typist is a process of its own
that tells of an entry only after the entries file said that it is saved; the kill is the one that
nothing can catch, at a moment drawn afresh each time.
"""

from __future__ import annotations

import contextlib
import json
import multiprocessing
import os
import random
import signal
import time
from multiprocessing.connection import Connection
from pathlib import Path

import pytest

from coursework.page.entries import EntriesFile

KILLS = 500 if os.environ.get("TAPERKEY_MANY") == "1" else 20
KEYS = ["mouth", "inside", "width", "why"]


def _type_without_end(path: str, tell: Connection) -> None:
    store = EntriesFile(Path(path))
    before = [int(text.split()[0]) for text in store.texts().values() if text]
    number = max(before, default=0)
    while True:
        number += 1
        key = KEYS[number % len(KEYS)]
        tell.send(("typed", key, number))
        if store.put(key, f"{number} thou, ½ of it").saved:
            tell.send(("saved", key, number))


Told = tuple[str, str, int]


def _kill_while_typing(path: Path, saves: int, after: float) -> tuple[list[Told], int]:
    """Let somebody type until so many entries are saved, and a moment more; then kill them.

    Return all that was told, and how many entries were called saved before the moment came.
    """
    context = multiprocessing.get_context("fork")
    listen, tell = context.Pipe(duplex=False)
    typist = context.Process(target=_type_without_end, args=(str(path), tell))
    typist.start()
    tell.close()
    told: list[Told] = []
    seen = 0
    while seen < saves or not told:
        assert listen.poll(60), "the typist stopped"
        told.append(listen.recv())
        seen += told[-1][0] == "saved"
    time.sleep(after)
    os.kill(typist.pid or 0, signal.SIGKILL)
    typist.join()
    assert typist.exitcode == -signal.SIGKILL
    with contextlib.suppress(EOFError, OSError):
        while listen.poll():
            told.append(listen.recv())
    listen.close()
    return told, seen


@pytest.mark.timeout(600)
def test_no_entry_called_saved_is_lost(tmp_path: Path) -> None:
    draws = random.Random("kills")
    path = tmp_path / "Übung" / "answers.json"
    path.parent.mkdir()
    expected: dict[str, int] = {}
    kills = saves = halfway = least = 0
    for _ in range(KILLS):
        wanted = draws.randrange(6)
        told, seen = _kill_while_typing(path, wanted, draws.uniform(0.0, 0.01))
        saved = {key: number for what, key, number in told if what == "saved"}
        typed = {key: number for what, key, number in told if what == "typed"}
        expected |= saved
        least += wanted
        held = {key: int(text.split()[0]) for key, text in EntriesFile(path).texts().items()}
        for key, number in expected.items():
            under_way = typed.get(key, number)  # typed, and killed before it was told
            assert held[key] in (number, under_way), (key, number, under_way, held)
            expected[key] = held[key]
        if path.exists():
            json.loads(path.read_bytes())
        aside = [other.name for other in path.parent.iterdir() if "set-aside" in other.name]
        assert aside == []
        kills += 1
        saves += sum(what == "saved" for what, _, _ in told)
        assert seen >= wanted
        halfway += any(typed.get(key, 0) > saved.get(key, 0) for key in KEYS)
    assert kills == KILLS
    assert saves >= least > KILLS  # they did type
    assert halfway > 0


def test_what_kills_leave_behind_is_cleared(tmp_path: Path) -> None:
    path = tmp_path / "answers.json"
    EntriesFile(path).put("mouth", "1.01 in")
    old, new = tmp_path / ".writing-old.part", tmp_path / ".writing-new.part"
    for part in (old, new):
        part.write_bytes(b"half")
    os.utime(old, (1.0, 1.0))
    EntriesFile(path)
    assert not old.exists()
    assert new.exists()  # another window may be writing it now
    assert EntriesFile(path).texts() == {"mouth": "1.01 in"}
