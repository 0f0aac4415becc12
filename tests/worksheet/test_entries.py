"""The entries file: kept as typed, through stops, damage and two windows."""

import json
import multiprocessing
import os
import signal
import time
from pathlib import Path

import pytest

from coursework.page.entries import EntriesError, EntriesFile


@pytest.fixture
def path(tmp_path: Path) -> Path:
    folder = tmp_path / "Übung ½ 01"
    folder.mkdir()
    return folder / "answers.json"


def test_raw_text_is_kept_and_comes_back(path: Path) -> None:
    texts = {"a": " 1-3/8″ in ", "b": "näh\n=HYPERLINK('x')", "c": "\ud800 lone", "d": ""}
    store = EntriesFile(path)
    for key, text in texts.items():
        assert store.put(key, text).saved
    assert EntriesFile(path).texts() == texts


def test_the_later_window_takes_over_instead_of_writing_over(path: Path) -> None:
    first, later = EntriesFile(path), EntriesFile(path)
    first.put("mouth", "1.01 in")
    outcome = later.put("mouth", "0.99 in")
    assert not outcome.saved
    assert outcome.text == "1.01 in"
    assert outcome.sentence == (
        "This entry was changed in another window, to “1.01 in”; yours was “0.99 in”. The other "
        "one is shown now. Type yours again if it is the right one."
    )
    assert later.put("mouth", "0.99 in").saved  # typed again, on purpose
    assert EntriesFile(path).texts() == {"mouth": "0.99 in"}


def test_other_entries_changed_elsewhere_are_told(path: Path) -> None:
    first, later = EntriesFile(path), EntriesFile(path)
    first.put("mouth", "1.01 in")
    outcome = later.put("inside", "1.00 in")
    assert outcome.saved
    assert outcome.changed == {"mouth": "1.01 in"}
    assert EntriesFile(path).texts() == {"mouth": "1.01 in", "inside": "1.00 in"}


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"", "it is damaged"),
        (b'{"format": "taperkey answers", "entr', "it is damaged"),
        (b"\xff\xfe\x00", "it is damaged"),
        (b"[" * 100_000, "it is damaged"),
        (b"x" * 3_000_000, "it is damaged"),
        (b"[1, 2]", "it is not an entries file of this course"),
        (
            b'{"format": "another", "version": 1, "entries": {}}',
            "it is not an entries file of this course",
        ),
        (
            b'{"format": "taperkey answers", "version": 99, "entries": {}}',
            "it comes from another version of the course",
        ),
    ],
)
def test_what_cannot_be_used_is_set_aside_whole(path: Path, content: bytes, why: str) -> None:
    path.write_bytes(content)
    store = EntriesFile(path)
    aside = [other for other in path.parent.iterdir() if "set-aside" in other.name]
    assert [other.read_bytes() for other in aside] == [content]
    assert store.notice == (
        f"answers.json could not be used: {why}. It was kept as {aside[0].name}, "
        "and a new one was begun."
    )
    assert store.put("mouth", "1.01 in").saved
    assert EntriesFile(path).texts() == {"mouth": "1.01 in"}


def test_odd_entries_inside_do_no_harm(path: Path) -> None:
    path.write_text(
        '{"format": "taperkey answers", "version": 1, "entries": {"a": 5, "b": {"text": "2 in"}},'
        ' "notes": 7}'
    )
    store = EntriesFile(path)
    assert store.texts() == {"b": "2 in"}
    assert store.set("bench", {"steps": [1]}) == ""
    assert store.get("bench") == {"steps": [1]}


def test_a_folder_that_cannot_be_written_is_one_sentence(path: Path, monkeypatch) -> None:
    store = EntriesFile(path)
    store.put("mouth", "1.01 in")

    def full(*args: object, **more: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("taperkey.files.os.replace", full)
    outcome = store.put("mouth", "1.02 in")
    assert not outcome.saved
    assert outcome.sentence == (
        f"Not saved: answers.json in {path.parent} could not be written (No space left on "
        "device). What you typed still stands here; copy it, make room or ask for a folder you "
        "may write to, and type it once more."
    )
    monkeypatch.undo()
    assert EntriesFile(path).texts() == {"mouth": "1.01 in"}
    assert [other.name for other in path.parent.iterdir() if other.name.endswith(".part")] == []
    assert store.put("mouth", "1.02 in").saved


def test_a_folder_in_place_of_the_file_is_one_sentence(path: Path) -> None:
    path.mkdir()
    with pytest.raises(EntriesError) as caught:
        EntriesFile(path)
    assert str(caught.value) == "the file cannot be read (Is a directory)"


def _type_without_end(path: str, told: str) -> None:
    store = EntriesFile(Path(path))
    number = 0
    with open(told, "a", buffering=1) as out:
        while True:
            number += 1
            if store.put("mouth", f"{number} in").saved:
                out.write(f"{number}\n")


def test_killed_while_typing_loses_nothing_that_was_called_saved(path: Path) -> None:
    kills = 12
    told = path.with_name("told.txt")
    context = multiprocessing.get_context("fork")
    for turn in range(kills):
        told.unlink(missing_ok=True)
        typist = context.Process(target=_type_without_end, args=(str(path), str(told)))
        typist.start()
        deadline = time.monotonic() + 20
        while not (told.exists() and told.stat().st_size) and time.monotonic() < deadline:
            time.sleep(0.002)
        time.sleep(0.003 * turn)
        os.kill(typist.pid or 0, signal.SIGKILL)
        typist.join()
        last = int(told.read_text().split()[-1])
        held = int(EntriesFile(path).texts()["mouth"].split()[0])
        assert held in (last, last + 1)  # the one under way may have got through
        json.loads(path.read_text())
