"""A run with nothing new is short, and one byte anywhere makes it a whole one."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest

import taperkey
from coursework.course import PAGES, exercises_folder, issue_card
from coursework.judging import right_answers, show_answer
from coursework.page.handin import write_hand_in
from coursework.room import assessing, unchanged
from coursework.room.assessing import mark_and_report
from coursework.room.classfolder import new_class
from coursework.room.roster import Apprentice
from coursework.room.unchanged import NOTE, all_of, told_before
from keycourse import cli

LIB = Path(taperkey.__file__).parents[1]
NOW = datetime(2026, 11, 25, 14, tzinfo=UTC)


def hand_in(folder, number, page="01-measure"):
    card = issue_card(exercise=page, class_code="QQ-26", number=number)
    right = right_answers(PAGES[page], card)
    entries = {key: show_answer(PAGES[page].question(key), one) for key, one in right.items()}
    write_hand_in(
        folder=folder,
        class_code="QQ-26",
        number=number,
        page=page,
        page_version="v",
        entries=entries,
        made="2026-11-25T12:00:00Z",
    )


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    roster = [Apprentice(1, "Ada Brindle"), Apprentice(7, "Zoë Ferrant")]
    made = new_class(
        tmp_path_factory.mktemp("class") / "one", code="QQ-26", title="Keys", roster=roster
    )
    hand_in(made.inbox, 1)
    hand_in(made.inbox, 7)
    mark_and_report(made, now=NOW)
    return made.folder


@pytest.fixture
def room(marked, tmp_path):
    return Path(shutil.copytree(marked, tmp_path / "class"))


def content(folder):
    files = (one for one in folder.rglob("*") if one.is_file() and one.name != NOTE)
    return {one.relative_to(folder).as_posix(): one.read_bytes() for one in files}


def test_it_tells_what_a_whole_run_tells_and_changes_nothing(room, capsys):
    before = content(room)
    assert cli.main(["mark", str(room)]) == 0
    short = capsys.readouterr().out
    assert "0 marked, 2 marked before." in short
    (room / NOTE).unlink()
    assert cli.main(["mark", str(room)]) == 0
    assert capsys.readouterr().out == short
    assert content(room) == before


def test_it_opens_no_course(room):
    script = (
        "import sys; from keycourse.cli import main; main(['mark', sys.argv[1]]); "
        "print(sorted({'nbgrader', 'numpy', 'keycourse.course'} & {*sys.modules}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, str(room)], capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"
    assert "2 marked before" in done.stdout


def test_one_byte_of_any_file_of_the_class_is_seen(room):
    assert told_before(room) is not None
    files = [one for one in sorted(room.rglob("*")) if one.is_file()]
    files = [one for one in files if one.parent != room or not one.name.startswith(".")]
    assert len(files) > 15
    for path in files:
        whole = path.read_bytes()
        path.write_bytes(bytes([whole[0] ^ 1]) + whole[1:])
        assert told_before(room) is None, path
        path.unlink()
        assert told_before(room) is None, path
        path.write_bytes(whole)
    assert told_before(room) is not None


def test_what_comes_or_goes_is_seen(room, monkeypatch):
    (room / "inbox" / "new.json").write_text("{}")
    assert told_before(room) is None
    (room / "inbox" / "new.json").unlink()
    assert told_before(room) is not None
    (room / "inbox").rmdir()
    assert told_before(room) is None
    (room / "inbox").mkdir()
    monkeypatch.setenv("TAPERKEY_ANYTHING", "1")
    assert told_before(room) is None


def test_no_file_is_read_where_one_has_another_name_or_size(room, monkeypatch):
    """A file of a thousand gigabytes in the inbox would take an hour to read."""
    read = []
    real = hashlib.file_digest
    monkeypatch.setattr(
        hashlib, "file_digest", lambda file, how: (read.append(file.name), real(file, how))[1]
    )
    assert told_before(room) is not None
    assert read
    read.clear()
    with open(room / "inbox" / "large.json", "wb") as file:
        file.write(b"x")
    assert told_before(room) is None
    (room / "inbox" / "large.json").unlink()
    with open(room / "roster.csv", "ab") as file:
        file.write(b"\n")
    assert told_before(room) is None
    assert read == []


@pytest.mark.skipif(os.name == "nt", reason="links and pipes")
def test_what_is_no_plain_file_is_never_believed(room):
    whole = room / "roster.csv"
    whole.rename(room.parent / "roster.csv")
    whole.symlink_to(room.parent / "roster.csv")
    assert told_before(room) is None
    whole.unlink()
    (room.parent / "roster.csv").rename(whole)
    os.mkfifo(room / "report" / "pipe")  # reading it would wait for ever
    assert told_before(room) is None


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone is the machine's")
def test_another_zone_writes_other_times(room, monkeypatch):
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    time.tzset()
    try:
        assert told_before(room) is None
    finally:
        monkeypatch.undo()
        time.tzset()
    assert told_before(room) is not None


def test_a_clock_that_was_set_back_is_told_by_a_whole_run(room, monkeypatch, capsys):
    """Its registers were last written at `NOW`; ten minutes are two clocks that differ."""
    for minutes, back in ((-9, False), (-11, True), (-60 * 24 * 365, True), (0, False)):
        moment = NOW + timedelta(minutes=minutes)
        with monkeypatch.context() as patch:
            patch.setattr(time, "time", moment.timestamp)
            patch.setattr(assessing, "datetime", SimpleNamespace(now=lambda zone, at=moment: at))
            assert (told_before(room) is None) is back, minutes
            assert cli.main(["mark", str(room)]) == 0
        told = capsys.readouterr().out
        assert ("the clock was set back, or was ahead then" in told) is back, minutes
        assert "0 marked, 2 marked before." in told


def test_a_damaged_note_is_no_note(room):
    for text in ("", "{}", "[]", '{"course": 1, "all": null, "lines": []}', "\udcff"):
        (room / NOTE).write_text(text, "utf-8", errors="surrogateescape")
        assert told_before(room) is None


def test_every_file_of_the_course_is_looked_at(tmp_path):
    """One byte of each kind of file in each package, and a file more."""
    lib = tmp_path / "lib"
    for one in assessing._roots():
        assert one.parent == LIB or one == exercises_folder()
        skip = shutil.ignore_patterns("__pycache__", "*.part")
        shutil.copytree(one, lib / one.name, ignore=skip)
    roots = sorted(lib.iterdir())
    assert {"coursework", "exercises", "keycourse", "taperkey"} == {one.name for one in roots}
    room = tmp_path / "class"
    room.mkdir()
    seen = {all_of(room, roots=roots)}
    by_kind = {(one.parent.name, one.suffix): one for one in lib.rglob("*") if one.is_file()}
    assert {".py", ".csv", ".toml", ".css", ".j2", ".ipynb"} <= {kind for _, kind in by_kind}
    for path in by_kind.values():
        whole = path.read_bytes()
        path.write_bytes(whole + b" ")
        seen.add(all_of(room, roots=roots))
        path.write_bytes(whole)
    (lib / "keycourse" / "new.py").write_text("")
    seen.add(all_of(room, roots=roots))
    assert len(seen) == len(by_kind) + 2


def test_a_byte_of_the_course_marks_every_hand_in_again(room, tmp_path):
    """Seen from outside, on a copy of the course that is really changed."""
    for one in assessing._roots():
        shutil.copytree(one, tmp_path / one.relative_to(LIB.parent))
    env = os.environ | {"PYTHONPATH": str(tmp_path / LIB.name)}
    words = next((tmp_path / LIB.name / "keycourse" / "measure").glob("words.toml"))

    def mark():
        command = [sys.executable, "-m", "keycourse.cli", "mark", str(room)]
        done = subprocess.run(command, env=env, capture_output=True, text=True, check=True)
        return done.stdout.splitlines()[1]

    assert mark() == "0 marked, 2 marked before."  # a whole run: it is another course than before
    note = (room / NOTE).read_bytes()
    assert mark() == "0 marked, 2 marked before."
    assert (room / NOTE).read_bytes() == note
    words.write_bytes(words.read_bytes() + b"\n")
    assert mark() == "2 marked, 0 marked before."


def test_no_note_is_kept_where_something_changed_under_the_run(room, monkeypatch):
    (room / NOTE).unlink()
    from coursework.room.classfolder import open_class

    real = assessing.write_report

    def meanwhile(class_folder, **more):
        roster = room / "roster.csv"
        roster.write_bytes(roster.read_bytes().replace(b"Ferrant", b"Farrant"))
        return real(class_folder, **more)

    monkeypatch.setattr(assessing, "write_report", meanwhile)
    mark_and_report(open_class(room), now=NOW)
    assert not (room / NOTE).exists()
    monkeypatch.setattr(assessing, "write_report", real)
    mark_and_report(open_class(room), now=NOW)
    assert (room / NOTE).exists()
    assert b"Farrant" in (room / "report" / "marks.csv").read_bytes()


def test_no_note_is_kept_of_a_class_that_lies_elsewhere_too(room):
    """A gradebook on a server is not in the folder, and a hub writes there all the time."""
    from coursework.room.classfolder import open_class

    (room / NOTE).unlink()
    settings = room / "class.toml"
    settings.write_text(settings.read_text("utf-8") + '\n[hub]\ninstructors = ["pat"]\n', "utf-8")
    mark_and_report(open_class(room), now=NOW)
    assert not (room / NOTE).exists()
    assert unchanged.told_before(room) is None
