"""What Windows refuses: names, long paths, what is open, and letters of the system's own writing.

Tried without Windows, on what a class, an open class and somebody alone write, made by
``windows_ways.py`` under a Python that refuses what Windows would and in a locale that knows ASCII
only. The rules of names are those of Microsoft, “Naming Files, Paths, and Namespaces”, and of
“Maximum Path Length Limitation”: 260 characters with the end sign, 12 less for a folder.
"""

from __future__ import annotations

import ast
import json
import os
import subprocess
import sys
import threading
import time
from collections import Counter
from pathlib import Path, PureWindowsPath
from typing import Any

import pytest
from sqlalchemy.engine import make_url
from tests.jobsheet.conftest import write_toml

from coursework.mark.address import own_gradebook
from coursework.mark.screen import screen_config
from coursework.page.entries import EntriesFile
from coursework.page.here import Here
from keycourse.jobsheet.fields import example_entries
from taperkey import files

WAYS = Path(__file__).with_name("windows_ways.py")
PEOPLE = ("Ada Brindle", "ADA BRINDLE", "Con Aux", "Nul", "Zoë Ferrant", "учебный курс")
LONGEST_PATH, LONGEST_FOLDER, LONGEST_NAME = 259, 247, 255
LONGEST_ACCOUNT = 20  # characters of a local account's name
HALF = ".writing-12345678.part"  # what a file is called until it is whole
#: Where a class or a course lies: not the deepest place, but one as deep as anybody's.
HOME = rf"C:\Users\{'a' * LONGEST_ACCOUNT}\OneDrive - Quillmoor Quarry\Documents"
PLACES = {
    "class": rf"{HOME}\Apprentices 2026\Taper keys, autumn, group B",
    "course": rf"{HOME}\taper-key-course",
}
DEVICES = {"CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"} | {
    f"{port}{sign}" for port in ("COM", "LPT") for sign in "0123456789¹²³"
}
ascii_only = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
console = {"PYTHONIOENCODING": "cp1252"}
linux = pytest.mark.skipif(
    not Path("/proc/self/fd").is_dir(),
    reason="needs a list of what a process has open",
)


def _python(folder: Path, *arguments: str) -> str:
    command = [sys.executable, "-X", "warn_default_encoding", *arguments]
    env = {key: text for key, text in os.environ.items() if not key.startswith("LC_")}
    done = subprocess.run(
        command, cwd=folder, env=env | ascii_only | console, capture_output=True, timeout=280
    )
    assert done.returncode == 0, done.stderr.decode("cp1252", "replace")[-3000:]
    return done.stdout.decode("cp1252")


@pytest.fixture(scope="module")
def done(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("windows")
    lines = [f"{number},{name}" for number, name in enumerate(PEOPLE, start=1)] + ["999,com1"]
    (folder / "roster.csv").write_text("\n".join(["number,name", *lines]), encoding="utf-8")
    write_toml(folder / "job.toml", example_entries("hollow-ram"))
    _python(folder, str(WAYS), str(folder))
    return folder


@linux
@pytest.mark.parametrize("what", ["letters", "open", "taken"])
def test_nothing_is_done_that_windows_refuses(done: Path, what: str) -> None:
    noted = json.loads((done / "noted.json").read_text("utf-8"))
    assert len(noted["commands"]) >= 18
    assert [words for words, code in noted["commands"] if code] == []
    assert noted[what] == []


@linux
@pytest.mark.parametrize(
    ("what", "source"),
    [
        ("letters", "open(folder / 'x', 'w').write('a')"),
        ("open", "(folder / 'x').touch(); os.replace(folder / 'y', folder / 'x')"),
        ("open", "(folder / 'y').unlink()"),
        ("open", "(folder / 'y').rename(folder / 'x')"),
        ("taken", "(folder / 'x').touch(); (folder / 'x').rename(folder / 'y')"),
    ],
)
def test_such_a_thing_would_be_noted(tmp_path: Path, what: str, source: str) -> None:
    script = (
        f"import sys, os, pathlib; sys.path.insert(0, {str(WAYS.parent)!r}); "
        f"import windows_ways as ways; folder = pathlib.Path({str(tmp_path)!r}); "
        "ways.begin(folder); (folder / 'y').touch(); held = (folder / 'y').open('rb')\n"
        f"try:\n    {source}\nexcept OSError as error: print(type(error).__name__)\n"
        "print(list(key for key, found in ways.noted.items() if found))"
    )
    assert f"['{what}']" in _python(tmp_path, "-c", script)


@linux
def test_every_name_is_one_there(done: Path) -> None:
    made = sorted(done.rglob("*"))
    assert len(made) > 150
    for path in made:
        name = path.name
        assert not set('<>:"/\\|?*') & set(name), path
        assert all(ord(sign) >= 32 for sign in name), path
        assert not name.endswith((" ", ".")), path
        assert len(name) <= LONGEST_NAME, path
        assert PureWindowsPath(name).name == name, path
        if path.parent.name != "inbox" and "set-aside" not in path.parts:  # sent by others
            assert name.split(".")[0].rstrip(" ").upper() not in DEVICES, path


@linux
def test_no_two_names_differ_by_case_only(done: Path) -> None:
    """Of two people who are called alike but for case, too."""
    made = Counter(path.relative_to(done).as_posix().casefold() for path in done.rglob("*"))
    assert [name for name, count in made.items() if count > 1] == []


@linux
@pytest.mark.parametrize("which", PLACES)
def test_the_deepest_file_is_not_too_deep(done: Path, which: str) -> None:
    top = PureWindowsPath(PLACES[which])
    folders = [path for path in (done / which).rglob("*") if path.is_dir()]
    names = [path for path in (done / which).rglob("*") if path.is_file()]
    assert len(folders) > 10
    for path in (*folders, *(one.parent / HALF for one in names), *names):
        there = str(top / PureWindowsPath(*path.relative_to(done / which).parts))
        assert len(there) <= (LONGEST_FOLDER if path in folders else LONGEST_PATH), there


# what is open stands in the way for a moment


@linux
def test_what_is_read_at_that_moment_is_waited_for(tmp_path: Path, monkeypatch) -> None:
    """`os.replace` as Windows has it: no file that is open is replaced."""
    path = tmp_path / "answers.json"
    store = EntriesFile(path)
    assert store.put("mouth", "1.01 in").saved
    plain, refused = os.replace, []

    def replace(source: str, target: Path) -> None:
        if str(target) in [
            os.path.realpath(f"/proc/self/fd/{one}") for one in os.listdir("/proc/self/fd")
        ]:
            refused.append(target)
            raise PermissionError(13, "Access is denied", str(source), 5, str(target))
        plain(source, target)

    monkeypatch.setattr(os, "replace", replace)
    with path.open("rb"):
        told = store.put("mouth", "1.02 in")
    assert not told.saved
    assert "could not be written (Access is denied)" in told.sentence
    assert EntriesFile(path).texts() == {"mouth": "1.01 in"}
    assert not list(tmp_path.glob(".writing-*"))
    monkeypatch.setattr(files, "WAITS_S", (0.01, 0.02, 0.05, 0.1, 0.2, 0.4))

    def read_for_a_while() -> None:
        with path.open("rb"):
            opened.set()
            time.sleep(0.1)

    for turn in range(3):
        opened = threading.Event()
        reader = threading.Thread(target=read_for_a_while)
        reader.start()
        assert opened.wait(10)
        before = len(refused)
        assert store.put("mouth", f"1.0{turn} in").saved
        reader.join()
        assert len(refused) > before
        assert EntriesFile(path).texts() == {"mouth": f"1.0{turn} in"}
    with path.open("rb"):  # for good
        assert not store.put("mouth", "2 in").saved
    assert store.put("mouth", "2 in").saved


# paths as they are written there


class There(PureWindowsPath):
    """A path of Windows, to hand to what asks a path where it is."""

    def resolve(self) -> There:
        return self

    def expanduser(self) -> There:
        return self


CLASS = There(r"C:\Users\Zoë Ferrant\new keys\unit\x07")


def test_the_gradebook_is_found_there() -> None:
    address = make_url(own_gradebook(CLASS))  # type: ignore[arg-type]
    assert (address.drivername, address.host) == ("sqlite", None)
    assert address.database == rf"{CLASS}\gradebook.db"


def test_the_marking_screens_settings_name_the_folders_there() -> None:
    inside: dict[str, Any] = {"solutions": CLASS / "solutions", "exercises": CLASS / "new"}
    text = screen_config(folder=CLASS, class_code="QQ-26", **inside)  # type: ignore[arg-type]
    told = dict(line.split(" = ") for line in text.splitlines() if "directory = " in line)
    assert [ast.literal_eval(one) for one in told.values()] == [
        rf"{CLASS}\solutions",
        rf"{CLASS}\new",
    ]
    assert f"c.CourseDirectory.root = {str(CLASS)!r}" in text.splitlines()
    compile(text, "nbgrader_config.py", "exec")


def test_a_page_says_where_it_is_there() -> None:
    here = Here(top=CLASS)  # type: ignore[arg-type]
    assert here.shown(CLASS / "exercises" / "01-measure") == "exercises/01-measure"  # type: ignore[arg-type]
    assert here.shown(CLASS) == "your course folder"  # type: ignore[arg-type]
    assert here.shown(There(r"D:\elsewhere\x.txt")) == "x.txt"  # type: ignore[arg-type]
