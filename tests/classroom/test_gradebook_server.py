"""The gradebook on a real PostgreSQL server: marking, marking screen, report, two assessors."""

import contextlib
import importlib.util
import json
import os
import sys
import threading
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests import postgres_server

from coursework.course import PAGES
from coursework.mark import address
from coursework.mark.gradebook import database_url, open_gradebook, read_grades
from coursework.mark.records import manual_marks
from coursework.page.handin import write_hand_in
from coursework.room.classfolder import open_class
from coursework.room.markingscreen import CONFIG, start_marking_screen
from keycourse.cli import main

PAGE = "01-measure"
NUMBERS = (3, 4, 5, 6)
WRITTEN = [one.key for one in PAGES[PAGE].questions if one.by_assessor]


def _missing(reason: str) -> None:
    if os.environ.get("TAPERKEY_HUB_PROXY"):
        pytest.fail(reason)
    pytest.skip(reason)


@pytest.fixture(scope="module")
def server() -> Iterator[object]:
    if sys.platform == "win32":
        pytest.skip("The test's own PostgreSQL server is started on Linux only.")
    programs = postgres_server.programs()
    if programs is None:
        _missing(postgres_server.WORDS)
    if importlib.util.find_spec("psycopg") is None:
        _missing("psycopg is not installed: the gradebook on PostgreSQL was not tried.")
    running = postgres_server.PostgresServer(programs)
    yield running
    running.remove()


@pytest.fixture
def room(server, tmp_path: Path) -> Path:
    """Give a class with a gradebook on the server, and a hand-in from everybody."""
    roster = tmp_path / "roster.csv"
    roster.write_text("number,name\n" + "".join(f"{n},Hand {n}\n" for n in NUMBERS))
    folder = tmp_path / "class"
    assert main(["class", "new", str(folder), "--roster", str(roster), "--code", "QQ-27"]) == 0
    settings = folder / "class.toml"
    settings.write_text(f'gradebook = "{server.new_database()}"\n' + settings.read_text("utf-8"))
    settings.chmod(0o600)
    _hand_in(folder, "2026-11-02T09:00:00Z")
    return folder


def _hand_in(folder: Path, made: str) -> None:
    for number in NUMBERS:
        write_hand_in(
            folder=folder / "inbox",
            class_code="QQ-27",
            number=number,
            page=PAGE,
            page_version="unknown",
            entries={f"{PAGE[:2]}-why-bottom": f"Because, says {number}."},
            made=made,
        )


def _ids(folder: Path) -> dict[tuple[str, str], str]:
    with open_gradebook(db_url=database_url(folder)) as book:
        found = {}
        for number in NUMBERS:
            notebook = book.find_submission_notebook(PAGE, PAGE, f"{number:03d}")
            for grade in notebook.grades:
                if grade.cell.name in WRITTEN:
                    found[f"{number:03d}", grade.cell.name] = grade.id
        return found


def test_marks_are_on_the_server_and_not_in_a_file(room: Path) -> None:
    assert main(["mark", str(room)]) == 0
    assert not (room / "gradebook.db").exists()
    with open_gradebook(db_url=database_url(room)) as book:
        rows = read_grades(book)
    assert {row.student for row in rows} == {f"{number:03d}" for number in NUMBERS}
    assert sum(row.waiting for row in rows) >= len(NUMBERS)
    assert (room / "report" / "index.html").is_file()


def test_two_assessors_in_two_marking_screens_lose_nothing(room: Path) -> None:
    assert main(["mark", str(room)]) == 0
    ids = _ids(room)
    assert len(ids) == len(NUMBERS) * len(WRITTEN)
    class_folder = open_class(room)
    with contextlib.ExitStack() as stack:
        screens = []
        for _ in range(2):
            screen = start_marking_screen(class_folder)
            stack.callback(screen.stop)
            screens.append(screen)
        stack.callback(os.environ.pop, "TAPERKEY_GRADEBOOK", None)
        refused: list[str] = []

        def give(screen, share: list[tuple[str, str]]) -> None:
            for student, key in share:
                body = {"manual_score": 1.0 + int(student) / 10}
                request = urllib.request.Request(
                    f"{screen.base_url}formgrader/api/grade/{ids[student, key]}",
                    data=json.dumps(body).encode(),
                    method="PUT",
                    headers={
                        "Authorization": f"token {screen.token}",
                        "Content-Type": "application/json",
                    },
                )
                try:
                    with urllib.request.urlopen(request, timeout=60) as reply:
                        reply.read()
                except OSError as error:
                    refused.append(f"{student} {key}: {error}")

        shares = sorted(ids)
        both = [
            threading.Thread(target=give, args=(screen, shares[at::2]))
            for at, screen in enumerate(screens)
        ]
        _hand_in(room, "2026-11-02T10:00:00Z")  # and a marking run comes in between
        for one in both:
            one.start()
        assert main(["mark", str(room)]) == 0
        for one in both:
            one.join()
    assert refused == []
    given = manual_marks(room)
    scores = {
        (f"{number:03d}", key): given[number, PAGE][key].score
        for number in NUMBERS
        for key in WRITTEN
    }
    assert scores == {(student, key): 1.0 + int(student) / 10 for student, key in ids}


def test_no_password_in_what_the_marking_screen_reads(server, room: Path) -> None:
    from coursework.room.markingscreen import write_screen_config

    write_screen_config(open_class(room))
    assert server.password in (room / "class.toml").read_text("utf-8")
    assert server.password not in (room / CONFIG).read_text("utf-8")


def test_server_lost_and_back(server, room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mark", str(room)]) == 0
    _hand_in(room, "2026-11-03T09:00:00Z")
    server.stop(how="immediate")  # as after a power cut
    try:
        assert main(["mark", str(room)]) == 2
        said = capsys.readouterr().err.strip()
    finally:
        server.start()
    assert said.startswith("The gradebook cannot be opened: ")
    assert said.endswith(
        "Look at its address and whether the file can be read and written, or its server runs."
    )
    assert server.password not in said
    assert main(["mark", str(room)]) == 0
    assert "4 marked" in capsys.readouterr().out
    with open_gradebook(db_url=database_url(room)) as book:
        rows = read_grades(book)
    assert {row.student for row in rows} == {f"{number:03d}" for number in NUMBERS}


def test_gradebook_named_for_one_run(server, room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(address, "_named", {})
    other = server.new_database()
    assert main(["mark", str(room), "--gradebook", other]) == 0
    assert database_url(room) == other
    with open_gradebook(db_url=other) as book:
        assert {row.student for row in read_grades(book)} == {f"{n:03d}" for n in NUMBERS}
