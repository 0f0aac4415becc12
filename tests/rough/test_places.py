"""Where a course may stand: full and read-only disks, any letters in any name, two windows."""

from __future__ import annotations

import multiprocessing
import os
import random
import resource
import signal
import sys
import unicodedata
from collections.abc import Callable
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import pytest

from coursework.course import PAGES
from coursework.page.entries import EntriesFile
from coursework.page.handin import write_hand_in
from coursework.room.assessing import mark_and_report
from coursework.room.classfolder import new_class
from coursework.room.roster import Apprentice
from taperkey.names import require_name

MANY = os.environ.get("TAPERKEY_MANY") == "1"
posix = pytest.mark.skipif(os.name == "nt", reason="limits and users of a POSIX system")
NAMES = [
    "plain", "with space", "Übung ½ 01", "учебный курс", "課題 楔", "تمرين", "🔧 key",
    "e\u0301 NFD",
    "é NFC", "a'b\"c", "semi;colon & <tag>", "$(touch run)", "%41%00", "-rf", "dot.", "#hash?x=1",
    "x" * 120,
]  # fmt: skip


def in_child(act: Callable[..., Any], *args: object) -> Any:
    """Run an act in a process of its own and return what it gives."""
    context = multiprocessing.get_context("fork")
    listen, tell = context.Pipe(duplex=False)

    def run() -> None:
        tell.send(act(*args))

    child = context.Process(target=run)
    child.start()
    tell.close()
    assert listen.poll(30), "the other process gave nothing"
    given = listen.recv()
    child.join()
    return given


def _type_on_a_full_disk(path: str) -> list[tuple[bool, str]]:
    """Type longer and longer answers where a file may have 3,000 bytes and no more."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (3000, 3000))
    store = EntriesFile(Path(path))
    told = []
    for turn in range(40):
        saved = store.put(f"{turn:02d}", "w" * 20 * turn)
        told.append((saved.saved, saved.sentence))
    return told


@posix
def test_a_full_disk_is_said_and_loses_nothing(tmp_path: Path) -> None:
    path = tmp_path / "answers.json"
    told = in_child(_type_on_a_full_disk, str(path))
    held = EntriesFile(path).texts()
    saved = {f"{turn:02d}": "w" * 20 * turn for turn, (ok, _) in enumerate(told) if ok}
    refused = [sentence for ok, sentence in told if not ok]
    assert held == saved
    assert len(told) == 40
    assert len(saved) >= 5
    assert len(refused) >= 5
    assert set(refused) == {
        f"Not saved: answers.json in {tmp_path} could not be written (File too large). What you "
        "typed still stands here; copy it, make room or ask for a folder you may write to, and "
        "type it once more."
    }
    assert list(tmp_path.glob(".writing-*")) == []


def _type_as_nobody(path: str) -> tuple[bool, str, dict[str, str]]:
    os.setgroups([])
    os.setgid(65534)
    os.setuid(65534)
    store = EntriesFile(Path(path))
    saved = store.put("mouth", "1.02 in")
    return saved.saved, saved.sentence, store.texts()


@posix
def test_a_read_only_folder_is_said_and_can_be_read(tmp_path: Path) -> None:
    if os.geteuid() != 0:
        act: Callable[[str], Any] = _type_here
    else:
        act = _type_as_nobody
    for place in (tmp_path, *tmp_path.parents):
        if act is _type_as_nobody and place != Path("/"):
            place.chmod(place.stat().st_mode | 0o055)
    folder = tmp_path / "course"
    folder.mkdir()
    path = folder / "answers.json"
    EntriesFile(path).put("mouth", "1.01 in")
    (folder / ".answers.json.lock").unlink(missing_ok=True)
    folder.chmod(0o555)
    try:
        saved, sentence, texts = in_child(act, str(path))
    finally:
        folder.chmod(0o755)
    assert not saved
    assert sentence == (
        f"Not saved: answers.json in {folder} could not be written (Permission denied). What you "
        "typed still stands here; copy it, make room or ask for a folder you may write to, and "
        "type it once more."
    )
    assert texts == {"mouth": "1.01 in"}
    assert EntriesFile(path).texts() == {"mouth": "1.01 in"}


def _type_here(path: str) -> tuple[bool, str, dict[str, str]]:
    store = EntriesFile(Path(path))
    saved = store.put("mouth", "1.02 in")
    return saved.saved, saved.sentence, store.texts()


@pytest.mark.parametrize("name", NAMES)
def test_entries_in_a_folder_of_any_name(tmp_path: Path, name: str) -> None:
    folder = tmp_path / name
    folder.mkdir()
    path = folder / "answers.json"
    texts = {f"{number}": other for number, other in enumerate(NAMES)}
    store = EntriesFile(path)
    for key, text in texts.items():
        assert store.put(key, text).saved
    assert EntriesFile(path).texts() == texts
    assert sorted(other.name for other in folder.iterdir() if other.suffix == ".json") == [
        path.name
    ]


def _is_a_name(text: str) -> bool:
    try:
        require_name("name", text)
    except ValueError:
        return False
    return True


def test_a_class_with_names_of_every_script(tmp_path: Path) -> None:
    people = [name for name in NAMES if _is_a_name(name)]
    assert {"учебный курс", "課題 楔", "تمرين", "a'b\"c"} <= set(people)
    folder = tmp_path / "Klasse 課題 🔧 'x'"
    roster = [Apprentice(number, name) for number, name in enumerate(people, start=1)]
    made = new_class(folder, code="QQ-26", title="Keile: ½ & <b>", roster=roster)
    page = next(iter(PAGES))
    for number, _ in enumerate(people, start=1):
        write_hand_in(
            folder=made.inbox,
            class_code="QQ-26",
            number=number,
            page=page,
            page_version="0123456789ab",
            entries={PAGES[page].questions[0].key: people[number - 1]},
            made="2026-11-25T12:00:00Z",
        )
    done = mark_and_report(made)
    assert len(done.intake.admitted) == len(people)
    assert done.lines[0].startswith(f"{len(people)} marked")
    html = done.report.read_text("utf-8")
    assert "½ & <b>" not in html
    assert "учебный курс" in html
    table = (folder / "report" / "marks.csv").read_text("utf-8-sig")
    for name in people:  # letters in two parts come together; the rest is as it was written
        assert unicodedata.normalize("NFC", name).replace('"', '""') in table


def test_windows_on_one_page_never_write_over_unseen(tmp_path: Path) -> None:
    """A model beside it: a window may replace only what it has shown."""
    draws = random.Random("windows")
    replaced = refused = 0
    rounds, steps = (200, 30) if MANY else (10, 30)
    for turn in range(rounds):
        path = tmp_path / f"{turn}" / "answers.json"
        path.parent.mkdir()
        windows = [EntriesFile(path) for _ in range(draws.choice((2, 3)))]
        shown: list[dict[str, str]] = [{} for _ in windows]
        held: dict[str, str] = {}
        for step in range(steps):
            which = draws.randrange(len(windows))
            key, text = draws.choice("abc"), f"{step % 7} in"
            outcome = windows[which].put(key, text)
            others = {other: value for other, value in held.items() if other != key}
            for other, value in others.items():
                if shown[which].get(other, "") != value:
                    assert outcome.changed[other] == value
            shown[which] |= others
            if held.get(key, "") in (shown[which].get(key, ""), text):
                assert outcome.saved
                held[key] = text
                replaced += 1
            else:
                assert not outcome.saved
                assert outcome.text == held[key]
                assert f"“{held[key]}”" in outcome.sentence
                assert f"“{text}”" in outcome.sentence
                refused += 1
            shown[which][key] = held[key]
            assert EntriesFile(path).texts() == held
    assert replaced + refused == rounds * steps
    assert refused > rounds


def _type_own(path: str, name: str, count: int, tell: Connection) -> None:
    store = EntriesFile(Path(path))
    keys = [f"{name}-{turn}" for turn in range(count)]
    tell.send([key for key in keys if store.put(key, f"{key} in").saved])


def test_windows_that_type_at_the_same_time_keep_all(tmp_path: Path) -> None:
    """On a busy machine one may be told to wait; what was called saved is there."""
    path = tmp_path / "answers.json"
    count = 300 if MANY else 40
    context = multiprocessing.get_context("fork" if sys.platform != "win32" else "spawn")
    typists = []
    for name in ("left", "right", "third"):
        listen, tell = context.Pipe(duplex=False)
        typist = context.Process(target=_type_own, args=(str(path), name, count, tell))
        typist.start()
        typists.append((typist, listen))
    saved: list[str] = []
    for typist, listen in typists:
        assert listen.poll(200)
        saved += listen.recv()
        typist.join()
    assert EntriesFile(path).texts() == {key: f"{key} in" for key in saved}
    assert len(saved) > 2.7 * count
