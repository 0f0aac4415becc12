"""The power goes at any moment: what was called kept is on the disk, and marking ends up the same.

A double of a disk that forgets: what was written and not pushed to the disk is lost when the power
goes. A file keeps as much as it had when it was last pushed; one that never was is empty. SQLite
pushes the gradebook itself (its default, PRAGMA synchronous=FULL), which cannot be seen from here.
"""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.marking.conftest import ClassRoom

from coursework.mark.register import Register
from coursework.page.entries import EntriesFile
from coursework.page.handin import read_hand_in
from taperkey.files import write_together, write_whole


class ForgetfulDisk:
    """What of the files below a folder would be there after a power cut."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.pushed = {one.stat().st_ino: one.stat().st_size for one in self._files()}
        self._push = os.fsync

    def _files(self) -> list[Path]:
        return [one for one in self.folder.rglob("*") if one.is_file()]

    def push(self, handle: int) -> None:
        self._push(handle)
        told = os.fstat(handle)
        self.pushed[told.st_ino] = told.st_size

    def cut(self) -> list[str]:
        """Take away what was never pushed to the disk; return the files that lost something."""
        lost = []
        for path in self._files():
            told = path.stat()
            kept = self.pushed.get(told.st_ino, 0)
            if kept < told.st_size and path.suffix not in (".db", ".db-journal", ".db-wal"):
                os.truncate(path, kept)
                lost.append(path.relative_to(self.folder).as_posix())
        return lost


@pytest.fixture
def disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[Path], ForgetfulDisk]:
    def under(folder: Path) -> ForgetfulDisk:
        made = ForgetfulDisk(folder)
        monkeypatch.setattr(os, "fsync", made.push)
        return made

    return under


def test_the_double_does_forget(tmp_path: Path, disk) -> None:
    forgetful = disk(tmp_path)
    write_whole(tmp_path / "whole", b"there")
    (tmp_path / "loose").write_bytes(b"gone")
    with (tmp_path / "half").open("wb") as file:
        file.write(b"first")
        file.flush()
        os.fsync(file.fileno())
        file.write(b" second")
    assert sorted(forgetful.cut()) == ["half", "loose"]
    assert (tmp_path / "whole").read_bytes() == b"there"
    assert (tmp_path / "half").read_bytes() == b"first"
    assert (tmp_path / "loose").read_bytes() == b""


def test_files_written_together_are_all_on_the_disk_before_the_first_takes_its_name(
    tmp_path: Path, disk, monkeypatch
) -> None:
    wanted = {tmp_path / f"{n % 3}" / f"file-{n}": b"%d " % n * (n + 1) for n in range(40)}
    held = tmp_path / "0" / "file-0"
    write_whole(held, b"before")
    forgetful = disk(tmp_path)
    replace, lost = os.replace, []

    def naming(half, path) -> None:
        if not lost:
            lost.append(forgetful.cut())
            assert held.read_bytes() == b"before"
        replace(half, path)

    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", naming)
        write_together(wanted.items())
    assert lost == [[]]
    forgetful.cut()
    assert {path: path.read_bytes() for path in wanted} == wanted
    assert not list(tmp_path.rglob(".writing-*"))


def test_files_written_together_are_none_of_them_there_where_the_disk_refuses_one(
    tmp_path: Path, monkeypatch
) -> None:
    left = iter(range(5))

    def full(handle: int) -> None:
        if next(left, None) is None:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        with pytest.raises(OSError, match="No space left"):
            write_together((tmp_path / f"file-{n}", b"whole") for n in range(20))
    assert list(tmp_path.iterdir()) == []


def test_an_entry_called_saved_outlives_it(tmp_path: Path, disk) -> None:
    path = tmp_path / "answers.json"
    for turn in range(20):
        forgetful = disk(tmp_path)
        EntriesFile(path).put(f"key-{turn}", f"{turn}.01 in")
        forgetful.cut()
        assert EntriesFile(path).texts() == {f"key-{n}": f"{n}.01 in" for n in range(turn + 1)}


def test_a_line_of_a_register_outlives_it(tmp_path: Path, disk) -> None:
    path = tmp_path / "register.csv"
    for turn in range(10):
        forgetful = disk(tmp_path)
        Register(path=path, columns=("what", "when")).append([(f"line {turn}", "now")])
        forgetful.cut()
        again = Register(path=path, columns=("what", "when"))
        assert [one["what"] for one in again.lines()] == [f"line {n}" for n in range(turn + 1)]
        assert again.faults() == []


def test_marking_cut_off_anywhere_comes_to_the_same_marks(make_class, disk, monkeypatch) -> None:
    plain: ClassRoom = make_class("plain")
    for number in (7, 8, 9):
        plain.hand_in(number)
    plain.mark()
    wanted = _records(plain.folder)
    assert len(wanted) == 3, sorted(wanted)

    moments = 12
    for moment in range(1, moments + 1):
        room: ClassRoom = make_class(f"cut-{moment}")
        forgetful = disk(room.folder)
        for number in (7, 8, 9):
            kept = room.hand_in(number)
        count = 0

        def stops(*given, last: int = moment, replace=os.replace, **named) -> None:
            nonlocal count
            count += 1
            if count > last:
                raise KeyboardInterrupt  # from here on nothing more is written
            replace(*given, **named)

        with monkeypatch.context() as patch, contextlib.suppress(KeyboardInterrupt):
            patch.setattr(os, "replace", stops)
            room.mark()
        forgetful.cut()
        read_hand_in(kept.read_bytes())
        room.mark()
        assert _records(room.folder) == wanted, moment
        shutil.rmtree(room.folder)
    assert count > moments / 2, "it was stopped before its end"


def _records(folder: Path) -> dict[str, bytes]:
    found = (folder / "records").rglob("*")
    return {one.relative_to(folder).as_posix(): one.read_bytes() for one in found if one.is_file()}
