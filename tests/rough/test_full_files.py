"""A disk that is full from its n-th write on, for every n: a double under every file opened.

It runs on every system. From the n-th write on half of it fits and the rest does not; what is
renamed or removed still is, as on a full disk. The gradebook's own file is SQLite's and is never
full here; `test_full_disk.py` has a real disk for that.
"""

from __future__ import annotations

import builtins
import errno
import io
import os
import shutil
from collections.abc import Callable
from contextvars import copy_context
from pathlib import Path
from typing import Any

import pytest
from tests.classroom.test_kill_commands import COMMANDS, classes, finish, state  # noqa: F401
from tests.jobsheet.conftest import write_toml

from coursework.desks.joincodes import JoinCodes
from coursework.desks.opening import certificate_of
from coursework.desks.seating import cookie_secret
from coursework.mark.register import Register
from coursework.page.classdrop import put_in_drop
from coursework.page.entries import EntriesFile
from coursework.page.handin import read_hand_in, write_hand_in
from coursework.page.here import Here, stand
from coursework.page.steplog import record_in
from coursework.room.classfolder import open_class
from coursework.room.coursebook import CourseError, lay_out
from keycourse import cli
from keycourse.jobsheet.fields import example_entries

MANY = os.environ.get("TAPERKEY_MANY") == "1"
ALL = 10**9


class FullDisk:
    """Stands under whatever opens a file to write, and counts the writes; full from one on."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.full_from, self.count = ALL, 0
        self._open = builtins.open
        patch.setattr(io, "open", self.open)
        patch.setattr(builtins, "open", self.open)

    def full(self, at: int) -> None:
        self.full_from, self.count = at, 0

    def open(
        self, file: Any, mode: str = "r", buffering: int = -1, encoding: str | None = None,
        errors: str | None = None, newline: str | None = None, closefd: bool = True,
        opener: Any = None,
    ) -> Any:  # fmt: skip
        if not set(mode) & set("wax+"):
            return self._open(file, mode, buffering, encoding, errors, newline, closefd, opener)
        raw = _File(self, file, mode.replace("b", "").replace("t", ""), closefd, opener)
        if buffering == 0:
            return raw
        held = io.BufferedRandom(raw) if "+" in mode else io.BufferedWriter(raw)
        return held if "b" in mode else io.TextIOWrapper(held, encoding, errors, newline)


class _File(io.FileIO):
    def __init__(self, disk: FullDisk, file: Any, mode: str, closefd: bool, opener: Any) -> None:
        super().__init__(file, mode, closefd, opener)
        self.disk, self.half_written = disk, False

    def write(self, content: Any) -> int:
        self.disk.count += 1
        if self.disk.count < self.disk.full_from:
            return super().write(content)
        half = bytes(content)[: len(bytes(content)) // 2]
        if half and not self.half_written:
            self.half_written = True
            return super().write(half)
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.fixture
def disk(monkeypatch: pytest.MonkeyPatch) -> FullDisk:
    return FullDisk(monkeypatch)


def every(disk: FullDisk, act: Callable[[Path], None], folder: Path, begin: Path | None) -> Any:
    """Give a folder that is as at the beginning, for each write of an act, with the disk full."""
    for at in range(ALL):
        place = folder / f"{at}"
        if begin:
            shutil.copytree(begin, place)
        else:
            place.mkdir()
        disk.full(at or ALL)
        if at == 0:
            act(place)
            writes = disk.count
            assert writes >= 1
        else:
            yield place, at
        disk.full(ALL)
        shutil.rmtree(place)
        if at == writes:
            return


def whole_or_nothing(folder: Path) -> None:
    assert [one for one in folder.rglob("*") if one.name.startswith(".writing-")] == []


def test_the_double_is_full(tmp_path: Path, disk: FullDisk) -> None:
    path = tmp_path / "x"
    disk.full(2)
    with path.open("wb", buffering=0) as file:
        assert file.write(b"first") == 5
        assert file.write(b"second") == 3
        with pytest.raises(OSError, match="No space left"):
            file.write(b"ond")
    assert path.read_bytes() == b"firstsec"
    with pytest.raises(OSError, match="No space left"):
        path.write_text("words", encoding="utf-8")
    file = os.fdopen(os.open(path, os.O_WRONLY), "w", encoding="utf-8")
    file.write("words")
    with pytest.raises(OSError, match="No space left"):
        file.close()


def test_typed_answers(tmp_path: Path, disk: FullDisk) -> None:
    begin = tmp_path / "begin"
    begin.mkdir()
    assert EntriesFile(begin / "answers.json").put("mouth", "1.01 in").saved
    assert EntriesFile(begin / "answers.json").set("place", {"step": 1}) == ""

    def act(place: Path) -> None:
        EntriesFile(place / "answers.json").put("mouth", "1.02 in")

    tried = 0
    for place, _ in every(disk, act, tmp_path, begin):
        store = EntriesFile(place / "answers.json")
        told = store.put("mouth", "1.02 in")
        assert not told.saved
        assert told.sentence == (
            f"Not saved: answers.json in {place} could not be written (No space left on device). "
            "What you typed still stands here; copy it, make room or ask for a folder you may "
            "write to, and type it once more."
        )
        assert "No space left" in store.set("place", {"step": 2})
        assert EntriesFile(place / "answers.json").texts() == {"mouth": "1.01 in"}
        assert EntriesFile(place / "answers.json").get("place") == {"step": 1}
        disk.full(ALL)
        assert store.put("mouth", "1.02 in").saved
        assert EntriesFile(place / "answers.json").texts() == {"mouth": "1.02 in"}
        whole_or_nothing(place)
        tried += 1
    assert tried >= 1


def test_steps_of_a_bench(tmp_path: Path, disk: FullDisk) -> None:
    key = "bench:fitting"
    begin = tmp_path / "begin"
    begin.mkdir()
    steps = [{"push": turn} for turn in range(4)]
    store = EntriesFile(begin / "answers.json")
    assert store.keep(key, {"steps": steps[:2]}) == ""

    def act(place: Path) -> None:
        EntriesFile(place / "answers.json").keep(key, {"steps": steps[:3]})

    for place, _ in every(disk, act, tmp_path, begin):
        there = EntriesFile(place / "answers.json")
        there.get(key)
        assert "No space left" in there.keep(key, {"steps": steps[:3]})
        assert EntriesFile(place / "answers.json").get(key) == {"steps": steps[:2]}
        disk.full(ALL)
        assert there.keep(key, {"steps": steps}) == ""
        assert EntriesFile(place / "answers.json").get(key) == {"steps": steps}
        assert record_in((place / "bench-fitting.steps").read_bytes()) == {"steps": steps}


def test_a_line_of_a_register(tmp_path: Path, disk: FullDisk) -> None:
    def register(place: Path) -> Register:
        return Register(path=place / "kept.csv", columns=("noted", "what"))

    begin = tmp_path / "begin"
    begin.mkdir()
    register(begin).append([("2026-11-25T12:00:00Z", "first")])

    def act(place: Path) -> None:
        register(place).append([("2026-11-25T12:01:00Z", "second"), ("2026-11-25T12:02:00Z", "3")])

    for place, _ in every(disk, act, tmp_path, begin):
        with pytest.raises(OSError, match="No space left") as full:
            act(place)
        assert full.value.filename == str(place / "kept.csv")
        assert (place / "kept.csv").read_bytes() == (begin / "kept.csv").read_bytes()
        disk.full(ALL)
        act(place)
        assert [one["what"] for one in register(place).lines()] == ["first", "second", "3"]
        assert register(place).faults() == []


def test_a_hand_in_and_its_way(tmp_path: Path, disk: FullDisk) -> None:
    def act(place: Path) -> None:
        copy_context().run(sent_from, place)  # no other page stands there

    def sent_from(place: Path) -> None:
        drop = place / "drop"
        drop.mkdir(exist_ok=True)
        stand(Here(place=place, top=place, drop=drop))
        path = write_hand_in(
            folder=place / "hand-ins", class_code="QQ-26", number=7, page="01-measure",
            page_version="v", entries={"01-mouth-height": "1 in"}, made="2026-11-25T12:00:00Z",
        )  # fmt: skip
        put_in_drop(path)

    for place, _ in every(disk, act, tmp_path, None):
        with pytest.raises(OSError, match="No space left"):
            act(place)
        assert list((place / "drop").iterdir()) == []
        whole_or_nothing(place)
        disk.full(ALL)
        act(place)
        [sent] = (place / "drop").iterdir()
        assert read_hand_in(sent.read_bytes()).entries == {"01-mouth-height": "1 in"}


def test_what_an_opening_makes(tmp_path: Path, disk: FullDisk, classes: Path) -> None:  # noqa: F811
    def act(place: Path) -> tuple[list[str], str]:
        room = open_class(place / "here")
        private = room.folder / "open"
        private.mkdir(exist_ok=True)
        shown = certificate_of(room, private, name="192.0.2.7", sign=True)
        codes = JoinCodes(private)
        codes.provide(one.number for one in room.present)
        cookie_secret(private)
        assert shown is not None
        return sorted(codes.of(one.number) for one in room.present), shown.fingerprint

    tried = 0
    for place, _ in every(disk, lambda one: void(act(one)), tmp_path, classes):
        with pytest.raises(OSError, match="No space left"):
            act(place)
        disk.full(ALL)
        made = act(place)
        assert act(place) == made
        assert len(set(made[0])) == 3
        whole_or_nothing(place)
        tried += 1
    assert tried >= 3


def void(given: object) -> None:
    """Take something that is not wanted."""


def test_the_pages_of_a_course(tmp_path: Path, disk: FullDisk) -> None:
    lay_out(folder=tmp_path / "plain")
    wanted = {one.relative_to(tmp_path / "plain") for one in (tmp_path / "plain").rglob("*")}
    disk.full(ALL)
    lay_out(folder=tmp_path / "counted")
    writes = disk.count
    assert writes >= 10
    for at in range(1, writes + 1, 1 if MANY else 7):
        place = tmp_path / f"{at}"
        disk.full(at)
        with pytest.raises(CourseError, match=r"it must be on a disk with room left, and this one"):
            lay_out(folder=place)
        disk.full(ALL)
        lay_out(folder=place)
        assert {one.relative_to(place) for one in place.rglob("*")} == wanted
        shutil.rmtree(place)


def test_a_sheet(tmp_path: Path, disk: FullDisk, capsys) -> None:
    begin = tmp_path / "begin"
    begin.mkdir()
    write_toml(begin / "job.toml", example_entries("hollow-ram"))

    def act(place: Path) -> int:
        return cli.main(["sheet", str(place / "job.toml")])

    tried = 0
    for place, _ in every(disk, lambda one: void(act(one)), tmp_path, begin):
        capsys.readouterr()
        assert act(place) == 2
        said = capsys.readouterr().err
        assert said.count("\n") == 1
        assert said.startswith(f"{place}/job-sheet.")
        assert ": No space left on device. Look at the folder's rights and the room on" in said
        assert {one.suffix for one in place.iterdir()} <= {".toml", ".html", ".pdf"}
        disk.full(ALL)
        assert act(place) == 0
        assert sorted(one.suffix for one in place.iterdir()) == [".html", ".pdf", ".toml"]
        tried += 1
    assert tried >= 2


@pytest.mark.parametrize("command", COMMANDS if MANY else ("second",))
@pytest.mark.timeout(7200)
def test_a_command(tmp_path: Path, disk: FullDisk, classes, capsys, command) -> None:  # noqa: F811
    def act(place: Path) -> int:
        given = [
            one.replace("{here}", str(place / "here")).replace("{there}", str(place / "there"))
            for one in COMMANDS[command]
        ]
        return cli.main(given)

    plain = tmp_path / "plain"
    shutil.copytree(classes, plain)
    assert act(plain) == 0
    wanted = finish(command, plain, 0)
    tried = 0
    for place, at in every(disk, lambda one: void(act(one)), tmp_path, classes):
        capsys.readouterr()
        code = act(place)
        said = capsys.readouterr()
        assert "Traceback" not in said.err, at
        if code:
            assert code == 2, at
            assert said.err.count("\n") == 1, (at, said.err)
            assert "No space left on device" in said.err, at
        disk.full(ALL)
        code = act(place)
        told = capsys.readouterr().err
        assert code == 0 or " already" in told or "not in this class any more" in told, (at, told)
        found = finish(command, place, code)
        for name in sorted({*wanted, *found}):
            assert found.get(name) == wanted.get(name), (at, name)
        tried += 1
    print(f"{command}: full from each of {tried} writes on")
    assert tried >= 1
