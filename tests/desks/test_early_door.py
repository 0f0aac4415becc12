"""The door that stands open before the server is there: who gets what, and who is handed over."""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import socket
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from coursework.desks import earlydoor, learning, warming
from coursework.desks.earlydoor import CAN_BE_HANDED, EarlyDoor, open_door
from coursework.desks.frontend import FrontEnd
from coursework.desks.learning import start_home
from coursework.room.coursebook import CourseError, lay_out
from coursework.room.launch import Server, lab_environment

pytestmark = pytest.mark.skipif(not CAN_BE_HANDED, reason="no early door there")

WORD = "word-of-the-address"
PAGE = f"/doc/tree/lessons/00-start.ipynb?token={WORD}"


@pytest.fixture(scope="module")
def config(tmp_path_factory: pytest.TempPathFactory) -> Path:
    state = tmp_path_factory.mktemp("state")
    lab_environment(state=state, token=WORD)
    return state / "config"


class Door:
    """An early door, and the end of the server that is to come."""

    def __init__(self, config: Path) -> None:
        listening = open_door(0)
        self.port = listening.getsockname()[1]
        self.early = EarlyDoor(listening, FrontEnd(config), token=WORD)
        door, way = (os.dup(one) for one in self.early.ends)  # as a started process holds them
        self.door, self.way = socket.socket(fileno=door), socket.socket(fileno=way)
        self.early.begin()

    def ask(
        self, path: str, method: str = "GET", seconds: float = 20.0, word: str = ""
    ) -> tuple[int, bytes, str]:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=seconds)
        try:
            line.request(method, path, headers={"Authorization": f"token {word}"} if word else {})
            reply = line.getresponse()
            return reply.status, reply.read(), reply.headers["Cache-Control"]
        finally:
            line.close()

    def waits(self, path: str, method: str = "GET", word: str = "") -> bool:
        """Say whether a request gets no answer."""
        try:
            self.ask(path, method, seconds=0.4, word=word)
        except TimeoutError:
            return True
        return False


@pytest.fixture
def door(config: Path) -> Iterator[Door]:
    made = Door(config)
    yield made
    made.early.close()
    made.door.close()
    made.way.close()


def test_the_front_ends_files_are_there_at_once(door: Door, config: Path) -> None:
    status, told, keep = door.ask("/custom/custom.css")
    assert (status, told, keep) == (
        200, (config / "custom" / "custom.css").read_bytes(), "no-cache",
    )  # fmt: skip
    begins = door.ask(PAGE)[1].decode().split('src="/static/lab/')[1].split('"')[0]
    status, told, keep = door.ask(f"/static/lab/{begins}?v=1")
    assert status == 200
    assert len(told) > 100_000
    assert "immutable" in keep  # its name says what is in it


def test_the_page_is_for_whoever_has_the_word(door: Door) -> None:
    status, told, keep = door.ask(PAGE)
    assert (status, keep) == (200, "no-cache")
    assert WORD.encode() in told
    for path in ("", "?token=", "?token=another", f"?other={WORD}"):
        assert door.waits(PAGE.split("?")[0] + path)


SETTINGS = "/lab/api/settings"
TRACKER = "@jupyterlab/notebook-extension:tracker"


def test_the_front_ends_settings_are_for_whoever_has_the_word(door: Door) -> None:
    names = json.loads(door.ask(f"{SETTINGS}?ids_only=true", word=WORD)[1])["settings"]
    every = json.loads(door.ask(SETTINGS, word=WORD)[1])["settings"]
    assert [one["id"] for one in every] == [one["id"] for one in names]
    one = json.loads(door.ask(f"{SETTINGS}/{TRACKER}", word=WORD)[1])
    assert one == next(each for each in every if each["id"] == TRACKER)
    assert door.ask("/lab/api/translations/de_DE", word=WORD)[0] == 200
    for word in ("", "another"):
        assert door.waits(SETTINGS, word=word)
        assert door.waits("/lab/api/workspaces/default", word=word)
    assert door.waits("/lab/api/workspaces/default", "PUT", word=WORD)
    assert door.waits(f"{SETTINGS}/@jupyterlab/terminal-extension:plugin", word=WORD)  # left out
    assert door.waits("/api/me", word=WORD)


def test_the_settings_are_those_that_jupyterlabs_own_server_gives(config: Path) -> None:
    from jupyterlab_server.settings_utils import get_settings

    wanted = json.loads((config / "labconfig/default_setting_overrides.json").read_bytes())
    lab = Path(sys.prefix) / "share" / "jupyter"
    theirs, _ = get_settings(
        str(config / "none"), str(lab / "lab" / "schemas"), str(config / "none"),
        labextensions_path=[str(lab / "labextensions")], overrides=wanted,
    )  # fmt: skip
    found = {one["id"]: one for one in theirs["settings"]}
    ours = FrontEnd(config).settings
    assert TRACKER in ours
    assert {name: found[name] for name in ours} == ours


@pytest.mark.parametrize(
    "path",
    [
        "/api/me",
        "/lab/api/settings",
        "/lab/api/licenses",
        "/files/lessons/job-sheet.html",
        "/static/lab/../../../../pyvenv.cfg",
        "/static/lab/%2e%2e/%2e%2e/%2e%2e/%2e%2e/pyvenv.cfg",
        "/static/lab//etc/passwd",
        "/static/lab/",
        "/custom/../labconfig/page_config.json",
        "/lab/extensions/@taperkey/page/../../../quiet.json",
        "/lab/extensions/another/static/remoteEntry.js",
    ],
)
def test_everything_else_waits_for_the_server(door: Door, path: str) -> None:
    assert door.waits(path)


def test_what_is_sent_waits_even_at_the_address_of_a_file(door: Door) -> None:
    for method in ("POST", "PUT", "HEAD"):
        assert door.waits("/custom/custom.css", method)


def test_whoever_waits_is_handed_over_with_all_they_asked(door: Door) -> None:
    asked = (
        b"POST /api/sessions HTTP/1.1\r\nHost: here\r\nContent-Length: 4\r\n\r\nbody",
        b"GET /custom/custom.css HTTP/1.1\r\nHost: here\r\n\r\n",  # answered, then stays
    )
    visitors = [socket.create_connection(("127.0.0.1", door.port), 20) for _ in asked]
    for one, words in zip(visitors, asked, strict=True):
        one.sendall(words)
    assert visitors[1].recv(12) == b"HTTP/1.1 200"
    threading.Timer(0.3, door.way.send, (b"1",)).start()
    while not door.early.server_listens(0.05):
        pass
    got = []
    while True:
        word, handed, *_ = socket.recv_fds(door.way, 1, 8)
        got += [socket.socket(fileno=one) for one in handed]
        if not word:
            break
    assert len(got) == 2
    assert {one.getpeername() for one in got} == {one.getsockname() for one in visitors}
    sent = next(one for one in got if one.getpeername() == visitors[0].getsockname())
    assert sent.recv(1000) == asked[0]
    sent.sendall(b"answer")
    assert visitors[0].recv(6) == b"answer"
    late = socket.create_connection(("127.0.0.1", door.port), 20)  # now the server's own door
    door.door.settimeout(20)
    assert door.door.accept()[1] == late.getsockname()
    for one in (*got, *visitors, late):
        one.close()


def test_a_request_that_comes_in_pieces_is_answered_when_all_of_it_is_there(door: Door) -> None:
    visitor = socket.create_connection(("127.0.0.1", door.port), 20)
    for piece in (b"GET /custom/cus", b"tom.css HTTP/1.1\r\nHo", b"st: here\r\n\r"):
        visitor.sendall(piece)
        visitor.settimeout(0.2)
        with pytest.raises(TimeoutError):
            visitor.recv(1)
    visitor.settimeout(20)
    visitor.sendall(b"\n")
    assert visitor.recv(12) == b"HTTP/1.1 200"
    visitor.close()


def test_whoever_stops_in_the_middle_is_sent_home_and_nobody_else(
    door: Door, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(earlydoor, "_HEAD_S", 0.3)
    endless = b"GET / HTTP/1.1\r\nX: " + b"x" * earlydoor._LARGEST_HEAD
    for words in (b"GET / HTTP/1.1\r\nHost: he", endless):
        visitor = socket.create_connection(("127.0.0.1", door.port), 20)
        visitor.sendall(words)
        with contextlib.suppress(ConnectionResetError):
            assert visitor.recv(10) == b""
        visitor.close()
    gone = socket.create_connection(("127.0.0.1", door.port), 20)
    gone.sendall(b"GET / HT")
    gone.close()
    assert door.ask("/custom/custom.css")[0] == 200


def test_half_a_request_does_not_hold_the_server_up_and_goes_on_there(door: Door) -> None:
    visitor = socket.create_connection(("127.0.0.1", door.port), 20)
    visitor.sendall(b"GET /api/me HT")
    visitor.settimeout(0.2)
    with pytest.raises(TimeoutError):
        visitor.recv(1)
    door.way.send(b"1")
    begun = time.monotonic()
    while not door.early.server_listens(0.05):
        pass
    assert time.monotonic() - begun < earlydoor._HEAD_S / 2
    _, handed, *_ = socket.recv_fds(door.way, 1, 8)
    with socket.socket(fileno=handed[0]) as there:
        visitor.sendall(b"TP/1.1\r\n\r\n")
        there.settimeout(20)
        got = b""
        while not got.endswith(b"\r\n\r\n"):
            got += there.recv(100)
    assert got == b"GET /api/me HTTP/1.1\r\n\r\n"
    visitor.close()


@pytest.mark.filterwarnings("error::pytest.PytestUnhandledThreadExceptionWarning")
def test_an_address_that_is_none_waits_for_the_server_and_stops_nothing(door: Door) -> None:
    visitor = socket.create_connection(("127.0.0.1", door.port), 20)
    visitor.sendall(b"GET //[x HTTP/1.1\r\nHost: here\r\n\r\n")
    visitor.settimeout(0.4)
    with pytest.raises(TimeoutError):
        visitor.recv(1)
    visitor.close()
    assert door.ask("/custom/custom.css")[0] == 200


def test_where_no_server_comes_whoever_waits_is_sent_home(door: Door) -> None:
    visitor = socket.create_connection(("127.0.0.1", door.port), 20)
    visitor.sendall(b"GET /api/me HTTP/1.1\r\nHost: here\r\n\r\n")
    threading.Timer(0.3, door.early.close).start()
    with contextlib.suppress(ConnectionResetError):
        assert visitor.recv(10) == b""
    visitor.close()


def test_the_server_gives_the_page_that_stood_there_before_it(tmp_path: Path) -> None:
    lay_out(folder=tmp_path)
    server = start_home(tmp_path)
    try:
        line = http.client.HTTPConnection(server.base_url.split("/")[2], timeout=60)
        path = server.address().removeprefix(server.base_url.rstrip("/"))
        line.request("GET", path)
        early = line.getresponse()
        assert early.headers["Server"] is None
        told = early.read()
        line.request("GET", "/api/me", headers={"Authorization": f"token {server.token}"})
        server.wait_until_up()
        later = line.getresponse()  # the same line, in the server's hands
        assert (later.status, later.headers["Server"].split("/")[0]) == (200, "TornadoServer")
        later.read()
        line.request("GET", path)
        assert line.getresponse().read() == told
    finally:
        server.stop()


def test_a_port_that_another_takes_at_that_moment_is_passed_over() -> None:
    taken = open_door(0)
    port = taken.getsockname()[1]
    try:
        with pytest.raises(CourseError, match=rf"^No port from {port} to {port} is free\. Name"):
            learning._first_free(port, 0, open_door)
        other = learning._first_free(port, 40, open_door)
        assert port < other.getsockname()[1] <= port + 40
        other.close()
    finally:
        taken.close()


def test_a_server_that_does_not_start_is_told_in_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lay_out(folder=tmp_path)
    monkeypatch.setenv("PYTHONHOME", str(tmp_path))  # so Python itself does not begin
    server = start_home(tmp_path)
    try:
        with pytest.raises(CourseError, match=r"^The course page server did not start; it last"):
            server.wait_until_up()
    finally:
        server.stop()


MISTAKE = "words.toml, line 3: share is 2; it must be from 0 to 1. Correct the line."


def _mistaken() -> None:
    raise ValueError(MISTAKE)


def test_a_mistake_in_a_file_of_words_ends_the_server_and_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    gave_up = threading.Event()
    monkeypatch.setattr(warming, "course", _mistaken)
    warming.begin_to_warm(None, give_up=gave_up.set)  # type: ignore[arg-type]
    assert gave_up.wait(20)
    monkeypatch.setattr(learning, "course", _mistaken)
    ended = learning.HomeServer(process=None, state=tmp_path, token="")  # type: ignore[arg-type]
    assert isinstance(ended, Server)
    with pytest.raises(ValueError, match=f"^{MISTAKE}$"):
        ended.why_not()
