"""The course at home: whoever has the word of the address has the pages, and nothing else."""

from __future__ import annotations

import http.client
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlparse

import pytest

from coursework.desks.learning import start_home
from coursework.room.coursebook import lay_out
from coursework.room.launch import Server

PAGE = "exercises/01-measure/01-measure.ipynb"
TYPED = "what was typed on the page"


class Browser:
    """A browser as far as its requests go: cookies, and no more."""

    def __init__(self, server: Server) -> None:
        self.port = urlparse(server.base_url).port
        self.cookies: dict[str, str] = {}

    def ask(self, method: str, path: str, body: Any = None, **headers: str) -> tuple[int, str]:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        told = {"Cookie": "; ".join(f"{k}={v}" for k, v in self.cookies.items()), **headers}
        if "_xsrf" in self.cookies:
            told["X-XSRFToken"] = self.cookies["_xsrf"]
        line.request(method, path, body=None if body is None else json.dumps(body), headers=told)
        reply = line.getresponse()
        for name, value in reply.getheaders():
            if name.lower() == "set-cookie":
                key, _, rest = value.partition("=")
                self.cookies[key] = rest.split(";")[0]
        return reply.status, reply.read().decode("utf-8", "replace")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("home") / "course é"
    lay_out(folder=place)
    (place / "exercises/01-measure/answers.json").write_text(TYPED)
    (place / "name-tag.json").write_text(TYPED)
    (place / "lessons/job-sheet.html").write_text("my sheet")
    return place


@pytest.fixture(scope="module")
def server(folder: Path) -> Iterator[Server]:
    running = start_home(folder)
    running.wait_until_up()
    yield running
    running.stop()


@pytest.fixture(scope="module")
def me(server: Server) -> Browser:
    mine = Browser(server)
    assert mine.ask("GET", f"/doc/tree/{PAGE}?token={server.token}")[0] == 200
    return mine


def test_without_the_word_there_is_one_page_that_says_so(server: Server) -> None:
    nobody = Browser(server)
    for path in ("/api/sessions", "/api/kernels", "/api/me", f"/api/contents/{PAGE}"):
        assert nobody.ask("GET", path)[0] == 403, path
    for path in ("/", f"/doc/tree/{PAGE}", "/files/lessons/job-sheet.html"):
        assert nobody.ask("GET", path)[0] == 302, path
        assert nobody.ask("GET", f"{path}?token=another")[0] in (302, 403), path
    status, told = nobody.ask("GET", "/login")
    assert status == 403
    assert "Copy all of\nit, to the last letter" in told


def test_whoever_has_it_has_the_pages(me: Browser) -> None:
    status, told = me.ask("GET", f"/api/contents/{PAGE}?content=1")
    assert status == 200
    assert json.loads(told)["content"]["cells"]
    assert me.ask("GET", "/files/lessons/job-sheet.html") == (200, "my sheet")


@pytest.mark.parametrize(
    "path",
    [
        "/tree",
        "/lab",
        "/lab/tree/lessons/00-start.ipynb",
        "/class",
        "/class/state",
        "/api/contents/name-tag.json",
        "/api/contents/exercises/01-measure/answers.json",
        "/api/contents/.taperkey/open.json",
        "/files/name-tag.json",
        "/files/exercises/01-measure/answers.json",
        "/files/.taperkey/server/cookie-secret",
        "/files/lessons/../name-tag.json",
        "/files/..%2fname-tag.json",
        "/nbconvert/html/lessons/00-start.ipynb",
        "/api/terminals/1",
        "/api/config/x",
        "/api/shutdown",
        "/metrics",
    ],
)
def test_what_no_page_needs_is_not_found(me: Browser, path: str) -> None:
    status, told = me.ask("GET", path)
    assert status in (400, 404)
    assert TYPED not in told


def test_a_page_under_another_name_of_this_computer_gets_nothing(me: Browser) -> None:
    status, told = me.ask("GET", f"/api/contents/{PAGE}?content=1", Host="elsewhere.example")
    assert status == 403
    assert '"cells"' not in told


def test_a_save_changes_nothing(me: Browser, folder: Path) -> None:
    before = (folder / PAGE).read_bytes()
    page = json.loads(me.ask("GET", f"/api/contents/{PAGE}?content=1")[1])
    shown = json.dumps(page["content"])
    page["content"]["cells"][0]["source"] = "print('mine')"
    assert me.ask("PUT", f"/api/contents/{PAGE}", page)[0] == 200
    after = json.loads(me.ask("GET", f"/api/contents/{PAGE}?content=1")[1])
    assert json.dumps(after["content"]) == shown
    assert (folder / PAGE).read_bytes() == before


def test_a_page_that_was_open_is_known_after_a_stop(tmp_path: Path) -> None:
    lay_out(folder=tmp_path)
    first = start_home(tmp_path)
    try:
        first.wait_until_up()
        mine = Browser(first)
        assert mine.ask("GET", f"/doc/tree/{PAGE}?token={first.token}")[0] == 200
        wish = {"path": PAGE, "name": "01-measure.ipynb", "type": "notebook"}
        status, told = mine.ask("POST", "/api/sessions", wish)
        assert status == 201
        first.process.kill()
        first.process.wait()
        again = start_home(tmp_path, port=mine.port)
        try:
            again.wait_until_up()
            assert mine.ask("GET", f"/api/sessions/{json.loads(told)['id']}")[0] == 200
        finally:
            again.stop()
    finally:
        first.stop()
