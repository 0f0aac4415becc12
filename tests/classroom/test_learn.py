"""One run of the course: opened, told, closed; with a page server that is a stand-in."""

import io
import json
import os
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import urllib.request
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest

from coursework.desks import learning
from coursework.desks.learning import learn
from coursework.room import launch, markingscreen
from coursework.room.classfolder import ClassFolder, new_class
from coursework.room.coursebook import CourseError
from coursework.room.launch import Server, start_server
from coursework.room.roster import Apprentice

pytestmark = pytest.mark.skipif(os.name == "nt", reason="processes end in another way there")

WORD = "word-of-the-address"
CLOSED = "The course is closed. Your entries are kept in the course folder."
STAYS = "import sys; sys.stdin.read()"


class StandIn:
    """Answers as the page server does; ends when its address is asked for, to be told."""

    def __init__(self, folder: Path, state: Path) -> None:
        self.note: tuple[int, Any] | None = None
        self.folder, self.state = folder, state
        self.process = subprocess.Popen([sys.executable, "-c", STAYS], stdin=subprocess.PIPE)

        class Answers(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                known = self.headers["Authorization"] == f"token {WORD}"
                self.send_response(200 if known and self.path == "/api/status" else 403)
                self.end_headers()

            def log_message(self, *_: object) -> None:
                pass

        self.http = ThreadingHTTPServer(("127.0.0.1", 0), Answers)
        self.address = f"http://127.0.0.1:{self.http.server_port}/"
        threading.Thread(target=self.http.serve_forever, daemon=True).start()
        runtime = state / "runtime"
        runtime.mkdir(parents=True)
        (state / "data").mkdir()
        (runtime / f"jpserver-{self.process.pid}.json").write_text(
            json.dumps({"url": self.address})
        )

    def see(self) -> None:
        """Look at the note that says where the course is open, then end."""
        note = self.folder / learning.OPEN_COURSE
        self.note = (note.stat().st_mode & 0o777, json.loads(note.read_text("utf-8")))
        self.end()

    def end(self) -> None:
        assert self.process.stdin is not None
        self.process.stdin.close()

    def close(self) -> None:
        self.http.shutdown()
        self.http.server_close()
        self.process.kill()
        self.process.wait()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "course"


@pytest.fixture
def stand_in(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[StandIn]:
    page = tmp_path / "shipped.ipynb"
    page.write_text('{"cells": [], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}')
    monkeypatch.setattr(
        "coursework.room.coursebook.shipped_pages", lambda: {launch.START_PAGE: page}
    )
    made = StandIn(folder, tmp_path / "state")

    class Told(Server):
        def address(self, page: str = launch.START_PAGE) -> str:
            made.see()
            return super().address(page)

    server = Told(process=made.process, state=made.state, token=WORD)
    monkeypatch.setattr(learning, "start_home", lambda *_, **__: server)
    yield made
    made.close()


def opened(stand_in: StandIn) -> str:
    return f"The course is open at {stand_in.address}doc/tree/{launch.START_PAGE}?token={WORD}"


# learn


def test_a_server_that_ends_by_itself_is_said(folder: Path, stand_in: StandIn, capsys) -> None:
    assert learn(folder, open_browser=False) == 1

    told = capsys.readouterr().out.splitlines()
    assert told[0] == f"Course folder: {folder}"
    assert told[-3:] == [
        opened(stand_in),
        "Leave this window open while you work. Stop with Ctrl+C; your entries are kept.",
        "The course page server ended by itself. Start it again: taperkey learn.",
    ]
    mode, note = stand_in.note or (0, {})
    assert mode == 0o600
    assert note == {
        "computer": socket.gethostname(), "base_url": stand_in.address, "token": WORD,
    }  # fmt: skip
    assert not (folder / learning.OPEN_COURSE).exists()
    assert not stand_in.state.exists()


def test_no_browser_is_said(
    folder: Path, stand_in: StandIn, capsys, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried: list[str] = []
    monkeypatch.setattr(learning.webbrowser, "open", lambda address: bool(tried.append(address)))
    learn(folder)
    told = capsys.readouterr().out.splitlines()
    assert f"The course is open at {tried[0]}" == opened(stand_in)
    after = told[told.index(opened(stand_in)) + 1]
    assert after == "No browser came up by itself: copy the address into your browser."


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_ctrl_c_and_a_closed_terminal_close_it_in_order(
    folder: Path, stand_in: StandIn, capsys, monkeypatch: pytest.MonkeyPatch, number: signal.Signals
) -> None:
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    wait = launch.Server.wait_for_its_end

    def interrupted(server: launch.Server) -> None:
        os.kill(os.getpid(), number)
        wait(server)

    monkeypatch.setattr(stand_in, "end", lambda: None)
    monkeypatch.setattr(launch.Server, "wait_for_its_end", interrupted)
    try:
        assert learn(folder, open_browser=False) == 0
    finally:
        signal.signal(signal.SIGINT, before)
    assert capsys.readouterr().out.splitlines()[-1] == CLOSED
    assert stand_in.process.poll() is not None
    assert not stand_in.state.exists()
    assert not (folder / learning.OPEN_COURSE).exists()
    assert signal.getsignal(signal.SIGTERM) is not launch._raise_interrupt


def test_a_server_that_does_not_come_is_one_sentence_and_leaves_nothing(
    folder: Path, stand_in: StandIn
) -> None:
    stand_in.end()
    stand_in.process.wait()
    with pytest.raises(CourseError) as refused:
        learn(folder, open_browser=False)
    assert str(refused.value) == (
        "The course page server did not start. Try again, or install taperkey again."
    )
    assert not stand_in.state.exists()


def test_a_course_that_is_open_is_not_opened_twice(folder: Path, stand_in: StandIn, capsys) -> None:
    note = folder / learning.OPEN_COURSE
    note.parent.mkdir(parents=True)
    there = {"computer": socket.gethostname(), "base_url": stand_in.address, "token": WORD}
    note.write_text(json.dumps(there))
    assert learn(folder, open_browser=False) == 0
    told = capsys.readouterr().out.splitlines()
    assert told == ["The course in this folder is already open.", opened(stand_in)]
    assert note.exists()  # it belongs to the run that is open
    for wrong in ({**there, "computer": "another"}, {**there, "token": "another"}, ["no note"]):
        note.write_text(json.dumps(wrong))
        assert learning._already_open(folder) is None


LEARN = """
import sys
from pathlib import Path
from coursework.desks import learning
from coursework.room import coursebook
source = Path(sys.argv[1])
pages = {p.relative_to(source).as_posix(): p for p in source.rglob("*.ipynb")}
coursebook.shipped_pages = lambda: pages
sys.exit(learning.learn(Path(sys.argv[2]), open_browser=False, port=None))
"""


@pytest.mark.skipif(os.name == "nt", reason="Ctrl+C is sent the POSIX way here")
def test_learn_opens_once_per_folder_and_closes_on_ctrl_c(tmp_path: Path) -> None:
    start = tmp_path / "source/lessons/00-start.ipynb"
    start.parent.mkdir(parents=True)
    start.write_text('{"cells": [], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}')
    command = [sys.executable, "-c", LEARN, str(tmp_path / "source"), str(tmp_path / "cours é")]
    first = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert first.stdout is not None
    try:
        said = [first.stdout.readline().strip() for _ in range(3)]
        second = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
        first.send_signal(signal.SIGINT)
        rest = first.stdout.read()
        assert first.wait(timeout=30) == 0
    finally:
        first.kill()

    assert said[0] == f"Course folder: {tmp_path}/cours é"
    assert said[1].startswith("The course is open at http://127.0.0.1:")
    assert "/doc/tree/lessons/00-start.ipynb?token=" in said[1]
    assert second.returncode == 0
    assert second.stdout.splitlines() == ["The course in this folder is already open.", said[1]]
    assert rest == "The course is closed. Your entries are kept in the course folder.\n"
    assert not (tmp_path / "cours é/.taperkey/open.json").exists()


def test_with_its_code_the_course_opens_in_jupyterlab_and_only_our_own_pages_are_trusted(
    tmp_path: Path,
) -> None:
    command = [sys.executable, "-u", "-c", "from keycourse.cli import main; exit(main())"]
    command += ["learn", str(tmp_path / "course"), "--open", "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, encoding="utf-8") as opened:
        try:
            said = ""
            while not said.startswith("The course is open at"):
                said = opened.stdout.readline()
                assert said, "it ended before it was open"
            base, _, rest = said.split()[-1].partition("doc/tree/")
            word = rest.partition("?token=")[2]

            def trusted(page: str) -> set[bool]:
                asked = f"{base}api/contents/{page}?content=1&token={word}"
                with urllib.request.urlopen(asked, timeout=60) as reply:
                    cells = json.load(reply)["content"]["cells"]
                return {one["metadata"]["trusted"] for one in cells if one["cell_type"] == "code"}

            page = "lessons/02-taper.ipynb"
            assert trusted(page) == trusted("exercises/02-taper/02-taper.ipynb") == {True}
            path = tmp_path / "course" / page
            path.chmod(0o644)
            path.write_text(path.read_text("utf-8").replace("lesson.open(", "print(", 1), "utf-8")
            assert False in trusted(page)
            opened.send_signal(signal.SIGINT)
            assert opened.stdout.read().splitlines()[-1] == CLOSED
        finally:
            opened.kill()
    assert opened.returncode == 0
    assert not (tmp_path / "course" / learning.OPEN_COURSE).exists()


@pytest.mark.parametrize(
    "note",
    [
        b"",
        b"[]",
        b'{"computer": "HERE"}',
        b'{"computer": "HERE", "base_url": 7, "token": "t"}',
        b'{"computer": "HERE", "base_url": "http://127.0.0.1:9/", "token": "t"}',
        b'{"computer": "HERE", "base_url": "no address", "token": "t"}',
        b'{"computer": "another", "base_url": "http://127.0.0.1:9/", "token": "t"}',
        b"\xff\xfe",
    ],
)
def test_a_note_of_a_server_long_gone_is_not_believed(tmp_path: Path, note: bytes) -> None:
    path = tmp_path / learning.OPEN_COURSE
    path.parent.mkdir()
    path.write_bytes(note.replace(b"HERE", socket.gethostname().encode()))

    assert learning._already_open(tmp_path) is None


# starting and stopping a page server


def test_a_server_that_does_not_listen_is_ended_by_force(tmp_path: Path) -> None:
    deaf = "import signal, sys; signal.signal(signal.SIGTERM, signal.SIG_IGN); print(flush=True); "
    process = subprocess.Popen(
        [sys.executable, "-c", deaf + "sys.stdin.read()"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert process.stdout is not None
    process.stdout.readline()
    (tmp_path / "state").mkdir()
    Server(process=process, state=tmp_path / "state", token=WORD).stop(seconds=0.1)
    assert process.returncode == -signal.SIGKILL
    assert not (tmp_path / "state").exists()


def test_a_port_that_may_not_be_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    class Refusing(socket.socket):
        def bind(self, address: Any) -> None:
            raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(launch.socket, "socket", Refusing)
    with pytest.raises(CourseError) as refused:
        start_server(root=tmp_path, port=80)
    assert str(refused.value) == (
        "port is 80; it must be one that you may use, such as 8710. Name another port, or leave "
        "--port out to have a free one found."
    )


def test_a_start_that_fails_leaves_no_state(tmp_path: Path, monkeypatch) -> None:
    state = tmp_path / "state"
    monkeypatch.setattr(tempfile, "mkdtemp", lambda prefix: str(state))

    def cannot(*_: object, **__: object) -> None:
        assert (state / "config").is_dir()
        raise OSError(12, "Cannot allocate memory")

    monkeypatch.setattr(subprocess, "Popen", cannot)
    with pytest.raises(OSError, match="Cannot allocate memory"):
        start_server(root=tmp_path)
    assert not state.exists()


def test_a_terminal_without_our_letters_is_still_told(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(terminal, encoding="ascii"))
    learning._say("Course folder: /home/zoë/cours")
    assert terminal.getvalue() == b"Course folder: /home/zo?/cours\n"


# the marking screen


@pytest.fixture
def room(tmp_path: Path) -> ClassFolder:
    people = [Apprentice(7, "Zoë Ferrant")]
    return new_class(tmp_path / "class", code="QQ-26", title="Keys", roster=people)


@pytest.fixture
def screen(room: ClassFolder, tmp_path: Path, monkeypatch) -> Iterator[StandIn]:
    made = StandIn(room.folder, tmp_path / "state")
    server = Server(process=made.process, state=made.state, token=WORD)
    monkeypatch.setattr(markingscreen, "start_server", lambda **_: server)
    yield made
    made.close()


def test_the_marking_screen_until_ctrl_c(room, screen, monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[str] = []
    told: list[str] = []
    monkeypatch.setattr(markingscreen.webbrowser, "open", tried.append)

    def wait(server: Server) -> None:
        monkeypatch.setattr(screen.process, "wait", lambda timeout=None: 0)
        raise KeyboardInterrupt

    monkeypatch.setattr(Server, "wait_for_its_end", wait)
    assert markingscreen.open_marking_screen(room, say=told.append) == 0
    assert tried == [f"{screen.address}lab?token={WORD}"]
    assert told == [
        f"The marking screen is open at {tried[0]}",
        "In the menu choose Nbgrader, then Formgrader, then Manual Grading.",
        "When you are done, stop with Ctrl+C and run: taperkey mark CLASSFOLDER",
        "The marking screen is closed. Marks and comments are kept in the gradebook.",
    ]
    assert not screen.state.exists()
    assert WORD not in (room.folder / "nbgrader_config.py").read_text("utf-8")


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_marking_screen_whose_terminal_is_closed_ends_in_order(
    room, screen, monkeypatch: pytest.MonkeyPatch, number: signal.Signals
) -> None:
    told: list[str] = []
    wait = Server.wait_for_its_end

    def closed(server: Server) -> None:
        os.kill(os.getpid(), number)
        wait(server)

    monkeypatch.setattr(Server, "wait_for_its_end", closed)
    made = markingscreen.open_marking_screen(
        room, by="W. Ashby", open_browser=False, say=told.append
    )
    assert made == 0
    assert told[1] == "Every mark given there is kept with the name W. Ashby."
    assert told[3] == f"Sign-offs, yes or no: {screen.address}sign-off/?token={WORD}"
    assert told[-1] == "The marking screen is closed. Marks and comments are kept in the gradebook."
    assert screen.process.poll() is not None
    assert not screen.state.exists()


def test_a_marking_screen_that_does_not_come_is_cleared_away(room, screen) -> None:
    screen.end()
    screen.process.wait()
    with pytest.raises(CourseError, match="The course page server did not start"):
        markingscreen.start_marking_screen(room)
    assert not screen.state.exists()


def test_without_pages_there_is_no_marking_screen(room, monkeypatch) -> None:
    told: list[str] = []
    monkeypatch.setattr(markingscreen, "shipped_pages", dict)
    assert markingscreen.open_marking_screen(room, say=told.append) == 2
    assert told == ["The course pages are not there; install the course again."]
