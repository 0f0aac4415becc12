"""A full disk: one clear sentence, nothing lost that was kept, and the same command goes on.

A small file system is mounted for it, which takes root and a system that lets root mount. What has
no such system is tried with a double in `test_full_files.py`.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.classroom.children import start_child, wait_for
from tests.classroom.test_kill_commands import COMMANDS, classes, finish, state  # noqa: F401
from tests.desks.test_kill_open import KEY, LABEL, Apprenticed
from tests.jobsheet.conftest import write_toml

from coursework.desks.school import School
from coursework.mark.versions import marker_version
from coursework.page.entries import EntriesFile
from coursework.page.handin import read_hand_in
from keycourse import cli
from keycourse.jobsheet.fields import example_entries

MANY = os.environ.get("TAPERKEY_MANY") == "1"
SIZE = "48m"
#: Room that is left on the disk [bytes]; a page of it has 4,096.
LEFT = (0, 4096, 12288, 40960, 131072, 409600, 1048576) if MANY else (4096, 40960)
#: What is said, with the folder where a file is named.
FULL = (
    r"(?:{0}/.+: No space left on device\. Look at the folder's rights and the room on the disk, "
    r"then start it again\.|The gradebook cannot be written: database or disk is full\. Make room "
    r"on the disk and run this again; nothing that was marked is lost\.)"
)
TRIED = COMMANDS if MANY else ("mark", "second")
pytestmark = [
    pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that forks"),
    pytest.mark.timeout(3600),
]


class Disk:
    """A small file system of its own, and a file that takes up its room."""

    def __init__(self, top: Path) -> None:
        self.top = top
        self.ballast = top / ".class.ballast"

    def fill(self, left: int) -> None:
        """Leave room for so many bytes."""
        with self.ballast.open("wb") as file, contextlib.suppress(OSError):
            while True:
                os.write(file.fileno(), b"\0" * 65_536)
        with self.ballast.open("r+b") as file:
            file.truncate(max(0, file.seek(0, 2) - left))

    def free(self) -> None:
        self.ballast.unlink(missing_ok=True)


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Disk]:
    top = tmp_path / "disk"
    top.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", f"size={SIZE}", "tmpfs", str(top)]
    try:
        done = subprocess.run(command, capture_output=True, text=True)
    except FileNotFoundError:
        pytest.skip("there is no mount command here")
    if done.returncode:
        pytest.skip(f"no file system may be mounted here: {done.stderr.strip()}")
    try:
        yield Disk(top)
    finally:
        subprocess.run(["umount", "--lazy", str(top)], check=True)


def typed(arguments: list[str], place: Path, *, until: str = "") -> tuple[int, str]:
    """Run a command in a child, with what it says kept elsewhere; return code and words.

    What stays open is closed with Ctrl+C once it has said so much.
    """
    told = place.parent / "told.txt"
    words = [
        one.replace("{here}", str(place / "here")).replace("{there}", str(place / "there"))
        for one in arguments
    ]

    def act() -> None:
        with (
            told.open("w", encoding="utf-8") as file,
            contextlib.redirect_stdout(file),
            contextlib.redirect_stderr(file),
        ):
            code = cli.main(words)
        os._exit(code)

    told.unlink(missing_ok=True)  # what an earlier command said is not this one's
    child = start_child(act)
    while until and not os.waitid(os.P_PID, child, os.WEXITED | os.WNOHANG | os.WNOWAIT):
        if told.is_file() and until in told.read_text("utf-8"):
            os.kill(child, signal.SIGINT)
            break
        time.sleep(0.1)
    return wait_for(child), told.read_text("utf-8")


def kept(place: Path) -> dict[str, list[bytes]]:
    """Return what may never be lost: hand-ins wherever they lie, and the lines of registers."""
    sent = [
        one.read_bytes()
        for one in place.rglob("*.json")
        if {"inbox", "hand-ins", "set-aside"} & {*one.parts}
    ]
    lines = {one.name: one.read_bytes().splitlines() for one in place.glob("*/*.csv")}
    return {"sent": sorted(sent), **lines}


@pytest.mark.parametrize("command", TRIED)
def test_a_command_on_a_full_disk(command, classes, disk, tmp_path) -> None:  # noqa: F811
    marker_version()  # counted once, here: the children all start with it
    place = disk.top
    shutil.copytree(classes, place, dirs_exist_ok=True)
    code, said = typed(COMMANDS[command], place)
    assert code == 0, said
    wanted = finish(command, place, code)
    refused = 0
    for left in LEFT:
        for one in place.iterdir():
            shutil.rmtree(one)
        shutil.copytree(classes, place, dirs_exist_ok=True)
        before = kept(place)
        disk.fill(left)
        code, said = typed(COMMANDS[command], place)
        assert code in (0, 2), (left, said)
        print(command, left, code, said)
        assert "Traceback" not in said, (left, said)
        if code == 2:  # what was done before it was full is said as ever
            refused += 1
            last = said.splitlines()[-1]
            assert re.fullmatch(FULL.format(re.escape(str(place))), last), (left, said)
        elif "No space left" in said:
            refused += 1
            left_there = re.findall(r"^Left in inbox: (\S+): It could not be", said, re.MULTILINE)
            told_aside = re.findall(r"^Set aside: (\S+): ", said, re.MULTILINE)
            assert sorted([*left_there, *told_aside]) == sorted({*left_there, *told_aside})
            assert {one.name for one in (place / "here" / "inbox").iterdir()} == {*left_there}
        after = kept(place)
        for name, there in before.items():
            assert all(one in after[name] for one in there), (left, name)
        disk.free()
        code, said = typed(COMMANDS[command], place)
        assert code == 0 or " already" in said or "not in this class any more" in said, (left, said)
        found = finish(command, place, code)
        for name in sorted({*wanted, *found}):
            assert found.get(name) == wanted.get(name), (left, name)
    assert refused


#: What stays open, and what it says once it is.
STAYING = {
    "class open": (["class", "open", "{here}", "--https", "--by", "Pat Holt"], "Close the class"),
    "learn": (["learn", "{here}", "--no-browser"], "Leave this window open"),
    "learn --open": (["learn", "{here}", "--no-browser", "--open"], "Leave this window open"),
}


#: What is said where it cannot: of a file, of the course folder, or of the server's own start.
NO_START = (
    r"(?:Course folder: {0}/here\n)?"  # a course with menus says it first
    rf"(?:{FULL}"
    r"\n|The (?:server of the class|course page server) did not start: the disk that {0}/tmp "
    r"lies on is full\. Make room on it and try again\.\n|course folder is {0}/here; it must be on "
    r"a disk with room left, and this one is full\. "
    r"Name another one: taperkey learn FOLDER\.\n)"
)


@pytest.mark.parametrize("command", STAYING if MANY else ("class open", "learn"))
def test_what_stays_open_on_a_full_disk(command, classes, disk, monkeypatch) -> None:  # noqa: F811
    """The server's own folder lies on that disk, too."""
    words, until = STAYING[command]
    refused = 0
    for left in LEFT if MANY else LEFT[1:]:
        for one in disk.top.iterdir():
            shutil.rmtree(one)
        if command == "class open":
            shutil.copytree(classes, disk.top, dirs_exist_ok=True)
        (disk.top / "tmp").mkdir()
        monkeypatch.setattr(tempfile, "tempdir", str(disk.top / "tmp"))
        before = kept(disk.top)
        disk.fill(left)
        code, said = typed(words, disk.top, until=until)
        print(command, left, code, said)
        assert "Traceback" not in said, (left, said)
        if until not in said:
            refused += 1
            assert code == 2, (left, said)
            assert re.fullmatch(NO_START.format(re.escape(str(disk.top))), said), (left, said)
        assert list((disk.top / "tmp").iterdir()) == [], left
        assert kept(disk.top) == before
        disk.free()
        code, said = typed(words, disk.top, until=until)
        assert code == 0, (left, said)
        assert until in said
    assert refused


def test_typing_and_handing_in_on_a_full_disk(classes, disk) -> None:  # noqa: F811
    place = disk.top
    shutil.copytree(classes, place, dirs_exist_ok=True)
    school = School(place / "here", soon=lambda act, *given: act(*given))
    page = Apprenticed(school, 7)
    page.open()
    box = page.box(LABEL)
    assert "Saved." in str(page.change(box, value="1.01 in"))
    answers = place / "here/desks/007/exercises/01-measure/answers.json"
    disk.fill(0)
    told = str(page.change(box, value="1.02 in"))
    assert "Not saved: answers.json in exercises/01-measure could not be written" in told
    assert "(No space left on device)" in told
    assert "Saved." not in str(page.change(box, value="1.03 in"))  # the same words stay
    assert "Not handed in" in str(page.press("Hand in"))
    assert EntriesFile(answers).texts()[KEY] == "1.01 in"
    assert list((place / "here/inbox").glob("*_*_QQ-26_007_*")) == []
    disk.free()
    assert "Saved." in str(page.change(box, value="1.04 in"))
    assert EntriesFile(answers).texts()[KEY] == "1.04 in"
    assert "Not handed in" not in str(page.press("Hand in"))
    [sent] = (place / "here/inbox").glob("*_QQ-26_007_*")
    assert read_hand_in(sent.read_bytes()).entries[KEY] == "1.04 in"
    school.stop()


def test_a_sheet_on_a_full_disk(disk) -> None:
    job = disk.top / "job.toml"
    write_toml(job, example_entries("hollow-ram"))
    refused = 0
    for left in LEFT if MANY else LEFT[1:]:
        disk.fill(left)
        code, said = typed(["sheet", str(job)], disk.top)
        if code:
            refused += 1
            assert code == 2
            assert re.fullmatch(FULL.format(re.escape(str(disk.top))) + "\n", said), said
        disk.free()
        assert not list(disk.top.glob(".writing-*"))
        assert typed(["sheet", str(job)], disk.top)[0] == 0
        made = [one for one in disk.top.iterdir() if one != job]
        assert sorted(one.suffix for one in made) == [".html", ".pdf"]
        assert all(one.stat().st_size > 10_000 for one in made)
        for one in made:
            one.unlink()
    assert refused
