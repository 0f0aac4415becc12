"""Attacks on an open class: addresses, foreign pages, foreign sockets, codes tried one by one."""

from __future__ import annotations

import asyncio
import http.client
import json
import re
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

import pytest
from tests.loops import run_beside
from tests.postgres_server import free_port
from tornado.httpclient import HTTPClientError, HTTPRequest
from tornado.websocket import websocket_connect

from coursework.desks.joincodes import INSTRUCTOR, JoinCodes
from coursework.desks.opening import OpenClass, start_class
from coursework.desks.wire import packed
from coursework.room.classfolder import new_class
from coursework.room.coursebook import CourseError
from coursework.room.roster import Apprentice

ROSTER = (Apprentice(2, "Tom Brandt"), Apprentice(7, "Zoë Ferrant"))
PAGE = "exercises/01-measure/01-measure.ipynb"
PROTOCOL = "v1.kernel.websocket.jupyter.org"
SECRET = "the entries of number 7"


@dataclass
class Client:
    """A browser as far as its requests go: cookies, and no more."""

    port: int
    cookies: dict[str, str] = field(default_factory=dict)

    def ask(
        self, method: str, path: str, body: Any = None, **headers: str
    ) -> tuple[int, bytes, dict[str, str]]:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        told = {"Cookie": self.cookie, **{k.replace("_", "-"): v for k, v in headers.items()}}
        if isinstance(body, dict):
            body, told["Content-Type"] = json.dumps(body), "application/json"
        if "_xsrf" in self.cookies:
            told.setdefault("X-XSRFToken", self.cookies["_xsrf"])
        line.request(method, path, body=body, headers=told)
        reply = line.getresponse()
        for name, value in reply.getheaders():
            if name.lower() == "set-cookie":
                key, _, rest = value.partition("=")
                self.cookies[key] = rest.split(";")[0]
        return reply.status, reply.read(), dict(reply.getheaders())

    @property
    def cookie(self) -> str:
        return "; ".join(f"{name}={value}" for name, value in self.cookies.items())

    def join(self, code: str) -> tuple[int, bytes]:
        self.ask("GET", "/login")
        body = urlencode({"code": code, "_xsrf": self.cookies["_xsrf"]})
        status, told, _ = self.ask(
            "POST", "/login", body, Content_Type="application/x-www-form-urlencoded"
        )
        return status, told

    def sit(self, page: str = PAGE) -> dict[str, Any]:
        folder, _, name = page.rpartition("/")
        wish = {"path": f"{folder}/x", "name": name, "type": "notebook"}
        status, told, _ = self.ask("POST", "/api/sessions", wish)
        assert status == 201, told
        made: dict[str, Any] = json.loads(told)
        status, _, _ = self.ask("PATCH", f"/api/sessions/{made['id']}", {"path": page})
        assert status == 200
        return made

    async def socket(self, desk: str, **headers: str) -> Any:
        request = HTTPRequest(
            f"ws://127.0.0.1:{self.port}/api/kernels/{desk}/channels?session_id=s",
            headers={"Cookie": self.cookie, **headers},
            connect_timeout=30,
        )
        return await websocket_connect(request, subprotocols=[PROTOCOL])


@dataclass
class Class:
    """An open class with two who are in, each with a page, and the instructor."""

    folder: Path
    server: OpenClass
    codes: JoinCodes
    zoe: Client
    tom: Client
    boss: Client
    seat: dict[str, Any]

    @property
    def port(self) -> int:
        return self.zoe.port


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Class]:
    folder = tmp_path_factory.mktemp("doors") / "class"
    made = new_class(folder, code="QQ-26-K7PX", title="Taper keys", roster=ROSTER)
    (folder / "feedback" / "007").mkdir()
    (folder / "feedback" / "007" / "01-measure.html").write_text(f"<p>{SECRET}</p>")
    server = start_class(made, listen="127.0.0.1", by="W. Ashby", port=free_port())
    server.wait_until_up()
    codes = JoinCodes(server.codes.path.parent)
    port = int(server.local.rsplit(":", 1)[1])
    clients = []
    for number in (7, 2, INSTRUCTOR):
        client = Client(port)
        assert client.join(codes.of(number))[0] == 303
        clients.append(client)
    zoe, tom, boss = clients
    seat = zoe.sit()
    desk = folder / "desks" / "007"
    for room in ("exercises/01-measure", "feedback", "lessons"):
        (desk / room).mkdir(parents=True, exist_ok=True)
    entries = {"01-mouth-height": {"text": SECRET, "saved": ""}}
    content = {"format": "taperkey answers", "version": 1, "entries": entries, "notes": {}}
    (desk / "exercises/01-measure/answers.json").write_text(json.dumps(content))
    (desk / "feedback" / "01-measure.html").write_text(SECRET)
    (desk / "lessons" / "job-sheet.html").write_text(SECRET)
    yield Class(folder, server, codes, zoe, tom, boss, seat)
    server.stop()


def test_who_is_in_has_the_course(opened: Class) -> None:
    assert opened.zoe.ask("GET", f"/api/contents/{PAGE}?content=1")[0] == 200
    assert opened.zoe.ask("GET", "/files/lessons/job-sheet.html")[1].decode() == SECRET
    assert opened.zoe.ask("GET", "/files/feedback/01-measure.html")[1].decode() == SECRET
    assert opened.boss.ask("GET", "/class")[0] == 200
    assert opened.boss.ask("GET", "/class/state")[0] == 200


NOT_FOUND = [
    *(f"/files/{place}" for place in ("name-tag.json", "exercises/01-measure/answers.json")),
    "/files/../../open/join-codes.csv",
    "/files/..%2f..%2fopen/join-codes.csv",
    "/files/%2e%2e/007/lessons/job-sheet.html",
    "/files/lessons/../../007/lessons/job-sheet.html",
    "/files/lessons/..\\..\\007/lessons/job-sheet.html",
    "/files/desks/007/lessons/job-sheet.html",
    "/files//etc/passwd",
    "/files/lessons/job-sheet.html/..",
    "/files/hand-ins/x.handin.json",
    *(f"/api/contents/{place}" for place in ("roster.csv", "class.toml", "card-key.txt")),
    "/api/contents/open/join-codes.csv",
    "/api/contents/desks/007/exercises/01-measure/answers.json",
    "/api/contents/solutions/01-measure/01-measure.ipynb",
    "/api/contents/exercises/01-measure/answers.json",
    "/api/contents/..%2f..%2fgradebook.db",
    "/api/contents/lessons/../../gradebook.db",
    "/nbconvert/html/lessons/00-start.ipynb",
    "/view/lessons/00-start.ipynb",
    "/tree",
    "/lab",
    "/lab/tree/lessons/00-start.ipynb",
    "/lab/api/extensions",
    "/lab/api/licenses/",
    "/lab/api/listings/x",
    "/lab/extensions/@jupyter/nbgrader/static/x.js",
    "/lab/extensions/@taperkey/page/../../../../../etc/passwd",
    "/static/../../../../../../etc/passwd",
    "/api/terminals/1",
    "/api/nbconvert",
    "/api/config/x",
    "/api/spec.yaml",
    "/api/security/csp-report",
    "/api/shutdown",
    "/metrics",
    "/formgrader",
    "/logout",
    "/terminals/1",
    "/terminals/websocket/1",
    "/edit/x",
    "/custom/../config.py",
    "/class/../class",
    "/class/state/",
    "/classes",
]


@pytest.mark.parametrize("path", NOT_FOUND)
def test_what_is_no_page_of_the_course_is_not_found(opened: Class, path: str) -> None:
    for who in (opened.tom, opened.boss, Client(opened.port)):
        status, told, _ = who.ask("GET", path)
        assert status in (400, 404), (status, told[:200])
        assert SECRET.encode() not in told


@pytest.mark.parametrize(
    ("method", "path", "body"),
    [
        ("PUT", "/api/contents/x.ipynb", {"type": "notebook", "content": {}}),
        ("PUT", "/api/contents/exercises/01-measure/answers.json", {"type": "file"}),
        ("POST", "/api/contents", {"type": "notebook"}),
        ("POST", "/api/contents/lessons", {"copy_from": PAGE}),
        ("DELETE", f"/api/contents/{PAGE}", None),
        ("PATCH", f"/api/contents/{PAGE}", {"path": "x"}),
        ("POST", "/api/kernels", {"name": "python3"}),
        ("POST", "/api/shutdown", {}),
        ("POST", "/api/terminals", {}),
        ("POST", "/api/events", {}),
        ("PUT", "/lab/api/settings/@jupyterlab/apputils-extension:themes", {"raw": "{}"}),
        ("DELETE", "/lab/api/workspaces/default", None),
        ("PATCH", "/api/me", {"name": "x"}),
        ("TRACE", "/login", None),
        ("PUT", "/login", None),
        ("POST", "/class", {}),
    ],
)
def test_nothing_can_be_written_that_is_not_the_course_s_own(
    opened: Class, method: str, path: str, body: Any
) -> None:
    status, _, _ = opened.tom.ask(method, path, body)
    assert status in (403, 404, 405), status


def test_saving_a_page_changes_nothing(opened: Class) -> None:
    before = opened.tom.ask("GET", f"/api/contents/{PAGE}?content=1")[1]
    page = {"cells": [], "metadata": {}, "nbformat": 4, "nbformat_minor": 5}
    opened.tom.ask("PUT", f"/api/contents/{PAGE}", {"type": "notebook", "content": page})
    assert opened.zoe.ask("GET", f"/api/contents/{PAGE}?content=1")[1] == before


@pytest.mark.parametrize(
    ("method", "path"),
    [("GET", "/class"), ("GET", "/class/state"), ("GET", "/class/codes")],
)
def test_the_instructors_page_is_the_instructors(opened: Class, method: str, path: str) -> None:
    status, told, _ = opened.tom.ask(method, path)
    assert status == 403
    assert opened.codes.of(7).encode() not in told
    assert Client(opened.port).ask(method, path)[0] in (302, 403)


def test_the_instructor_signs_off_in_their_name_and_nobody_else_does(opened: Class) -> None:
    status, told, _ = opened.boss.ask("GET", "/class/sign-off/")
    assert status == 200
    assert b"W. Ashby" in told
    found = re.search(rb'href="(/class/sign-off/[^"]+)"', told)
    assert found is not None
    place = found[1].decode()
    assert opened.boss.ask("GET", place)[0] == 200
    for address in ("/class/sign-off/", place):
        assert opened.tom.ask("GET", address)[0] == 403
        assert Client(opened.port).ask("GET", address)[0] in (302, 403)
    status, _, _ = opened.tom.ask("POST", place + "7", "date=2026-11-28&1=yes")
    assert status in (403, 404, 405)
    assert not (opened.folder / "sign-offs.csv").exists()


@pytest.mark.parametrize("path", ["/class/code", "/class/feedback"])
def test_an_apprentice_gives_no_orders(opened: Class, path: str) -> None:
    before = opened.codes.of(7)
    status, _, _ = opened.tom.ask(
        "POST", path, "number=7", Content_Type="application/x-www-form-urlencoded"
    )
    assert status == 403
    assert JoinCodes(opened.codes.path.parent).of(7) == before
    assert not list((opened.folder / "desks").glob("*/returned/*"))


def test_a_foreign_page_cannot_press_for_the_instructor(opened: Class) -> None:
    cookies = {k: v for k, v in opened.boss.cookies.items() if k != "_xsrf"}
    other = Client(opened.port, cookies)
    status, _, _ = other.ask(
        "POST", "/class/feedback", "", Content_Type="application/x-www-form-urlencoded",
        Origin="http://elsewhere.example",
    )  # fmt: skip
    assert status in (403, 404)
    assert not list((opened.folder / "desks").glob("*/returned/*"))


# what is another's


def test_nobody_sees_or_ends_anothers_page(opened: Class) -> None:
    desk, key = opened.seat["kernel"]["id"], opened.seat["id"]
    listed = [
        json.loads(opened.tom.ask("GET", path)[1]) for path in ("/api/sessions", "/api/kernels")
    ]
    assert desk not in json.dumps(listed)
    for method, path, body in (
        ("GET", f"/api/sessions/{key}", None),
        ("PATCH", f"/api/sessions/{key}", {"path": PAGE}),
        ("DELETE", f"/api/sessions/{key}", None),
        ("GET", f"/api/kernels/{desk}", None),
        ("DELETE", f"/api/kernels/{desk}", None),
        ("POST", f"/api/kernels/{desk}/restart", None),
        ("POST", f"/api/kernels/{desk}/interrupt", None),
    ):
        for who in (opened.tom, opened.boss):
            assert who.ask(method, path, body)[0] in (404, 500), (method, path)
    assert opened.zoe.ask("GET", f"/api/kernels/{desk}")[0] == 200


def test_a_page_cannot_be_turned_into_another_or_into_a_foreign_desk(opened: Class) -> None:
    mine = opened.tom.sit()
    address = f"/api/sessions/{mine['id']}"
    for change in (
        {"path": "lessons/00-start.ipynb"},
        {"path": "../007/exercises/01-measure/01-measure.ipynb"},
        {"path": "/etc/passwd"},
        {"kernel": {"id": opened.seat["kernel"]["id"]}},
        {"kernel": {"name": "python3"}},
    ):
        assert opened.tom.ask("PATCH", address, change)[0] >= 400, change
    for path in ("x", "../x/y", "desks/007/lessons/x", "/exercises/01-measure/x", "a" * 5000):
        wish = {"path": path, "name": "x", "type": "notebook"}
        assert opened.tom.ask("POST", "/api/sessions", wish)[0] >= 400, path


def test_sockets_are_for_whose_they_are(opened: Class) -> None:
    desk = opened.seat["kernel"]["id"]

    async def attack() -> None:
        for who in (opened.tom, opened.boss, Client(opened.port)):
            with pytest.raises(HTTPClientError) as refused:
                await who.socket(desk)
            assert refused.value.code in (403, 404)
        with pytest.raises(HTTPClientError) as refused:
            await opened.zoe.socket(desk, Origin="http://elsewhere.example")
        assert refused.value.code == 403
        own = await opened.zoe.socket(desk, Origin=f"http://127.0.0.1:{opened.port}")
        own.close()

    run_beside(attack())


async def _idle(line: Any) -> list[bytes]:
    got = []
    while True:
        raw = await asyncio.wait_for(line.read_message(), 60)
        got.append(raw)
        if raw is None or b'"execution_state": "idle"' in raw:
            return got


def test_foreign_code_and_foreign_ways_bring_nothing(opened: Class) -> None:
    mine = opened.tom.sit()

    async def attack() -> None:
        line = await opened.tom.socket(mine["kernel"]["id"])
        for kind, content in (
            ("execute_request", {"code": "open('/etc/passwd').read()"}),
            ("execute_request", {"code": "lesson.open('01-measure', '../../../007')"}),
            ("comm_msg", {"comm_id": "0" * 32, "data": {"method": "request_state"}}),
            ("comm_open", {"comm_id": "c", "target_name": "jupyter.widget", "data": {}}),
            ("comm_open", {"comm_id": "d", "target_name": "jupyter.widget.control"}),
            ("comm_msg", {"comm_id": "d", "data": {"method": "request_states"}}),
            ("comm_info_request", {}),
            ("complete_request", {"code": "imp", "cursor_pos": 3}),
        ):
            raw = packed("shell", kind, content, parent={}, session="t")
            await line.write_message(raw, binary=True)
            got = b"".join(await _idle(line))
            assert SECRET.encode() not in got
            assert b"root:" not in got
        line.close()

    run_beside(attack())


@pytest.mark.parametrize("raw", [b"\x00" * 65_536, b"\xff" * 65_536, b"{" * 65_536, b"x"])
def test_who_sends_what_cannot_be_read_is_cut_off_and_nobody_else(
    opened: Class, raw: bytes
) -> None:
    mine = opened.tom.sit()

    async def attack() -> None:
        other = await opened.zoe.socket(opened.seat["kernel"]["id"])
        line = await opened.tom.socket(mine["kernel"]["id"])
        await line.write_message(raw, binary=True)
        assert await asyncio.wait_for(line.read_message(), 30) is None
        asked = packed("shell", "kernel_info_request", {}, parent={}, session="z")
        await other.write_message(asked, binary=True)
        assert b"kernel_info_reply" in b"".join(await _idle(other))
        other.close()

    run_beside(attack())


# coming in


@pytest.mark.parametrize(
    "cookie", ["7", "7.0000000000000000", "2|1:0|10:1|3:x|4:Nw==|deadbeef", "0" * 4000]
)
def test_a_forged_cookie_lets_nobody_in(opened: Class, cookie: str) -> None:
    name = next(one for one in opened.zoe.cookies if one.startswith("taperkey-class"))
    forger = Client(opened.port, {name: quote(cookie)})
    assert forger.ask("GET", "/api/sessions")[0] == 403
    assert forger.ask("GET", f"/doc/tree/{PAGE}")[0] == 302


def test_without_a_code_there_is_the_page_for_the_code_and_nothing_else(opened: Class) -> None:
    nobody = Client(opened.port)
    assert nobody.ask("GET", "/login")[0] == 200
    for path in ("/api/sessions", "/api/kernels", f"/api/contents/{PAGE}", "/api/me"):
        assert nobody.ask("GET", path)[0] == 403, path
    for path in ("/files/lessons/job-sheet.html", "/class", f"/doc/tree/{PAGE}"):
        assert nobody.ask("GET", path)[0] == 302, path


def test_wrong_codes_are_refused_and_soon_take_time(opened: Class) -> None:
    guesser = Client(opened.port)
    started = time.monotonic()
    for _ in range(5):
        status, told = guesser.join("2-22222-22222")
        assert status == 200
        assert b"No apprentice of this class has that code" in told
    assert time.monotonic() - started >= 1.4, "0.5 s, then 1 s: the fourth and the fifth"
    assert guesser.ask("GET", "/api/me")[0] == 403
    quick = time.monotonic()
    assert Client(opened.port).join(opened.codes.of(7))[0] == 303
    assert time.monotonic() - quick < 1.4, "nobody waits for what was tried with another number"
    assert Client(opened.port).join(opened.codes.of(2))[0] == 303, "the right one, a while later"


def test_no_answer_names_a_place_on_the_server(opened: Class) -> None:
    place = str(opened.folder)
    for path in (
        f"/doc/tree/{PAGE}",
        "/api/sessions",
        "/api/contents/lessons",
        "/lab/api/settings",
    ):
        told = opened.tom.ask("GET", path)[1].decode()
        assert place not in told
        assert str(opened.server.states[0]) not in told
        assert not re.search(r'"(serverRoot|appSettingsDir|staticDir|token)": "[^"]+', told)


def test_nothing_of_the_class_is_in_what_the_server_serves_to_all(opened: Class) -> None:
    assert (opened.folder / "open").stat().st_mode & 0o077 == 0
    for name in ("join-codes.csv", "cookie-secret"):
        assert (opened.folder / "open" / name).stat().st_mode & 0o077 == 0


# several servers for one class


def test_each_person_works_in_one_of_the_servers_and_the_instructor_sees_all(
    tmp_path: Path,
) -> None:
    made = new_class(tmp_path / "class", code="QQ-26-K7PX", title="Taper keys", roster=ROSTER)
    server = start_class(made, listen="127.0.0.1", processes=2, port=free_port())
    try:
        server.wait_until_up()
        codes = JoinCodes(server.codes.path.parent)
        ports = [int(local.rsplit(":", 1)[1]) for local in server.locals]
        people = {}
        for number in (7, 2, INSTRUCTOR):
            client = Client(ports[0])
            client.ask("GET", "/login")
            body = urlencode({"code": codes.of(number), "_xsrf": client.cookies["_xsrf"]})
            status, _, headers = client.ask(
                "POST", "/login", body, Content_Type="application/x-www-form-urlencoded"
            )
            place = ports[number % 2]
            assert status == 303
            assert headers["Location"].startswith(f"http://127.0.0.1:{place}/")
            client.port = place
            people[number] = client
        zoe, tom, boss = people[7], people[2], people[INSTRUCTOR]
        seat = zoe.sit()
        tom.sit()

        async def look() -> None:
            line = await zoe.socket(seat["kernel"]["id"])
            for _ in range(100):
                await asyncio.sleep(0.1)
                told = json.loads(boss.ask("GET", "/class/state")[1])["people"]
                if next(one for one in told if one["number"] == 7)["here"]:
                    line.close()
                    return
            raise AssertionError("the instructor never saw who works in the other server")

        run_beside(look())
        status, _, _ = boss.ask(
            "POST", "/class/code", "number=7", Content_Type="application/x-www-form-urlencoded"
        )
        assert status == 200
        end = time.monotonic() + 20
        while zoe.ask("GET", "/api/me")[0] == 200:
            assert time.monotonic() < end, "the old code still lets in at the other server"
            time.sleep(0.2)
        assert tom.ask("GET", "/api/me")[0] == 200
    finally:
        server.stop()
    assert not any(state.exists() for state in server.states)


@pytest.mark.parametrize("count", [0, -1, 17])
def test_a_count_of_servers_that_cannot_be_is_one_sentence(tmp_path: Path, count: int) -> None:
    made = new_class(tmp_path / "class", code="QQ-26-K7PX", title="Taper keys", roster=ROSTER)
    with pytest.raises(CourseError, match=f"processes is {count}; it must be from 1 to 16"):
        start_class(made, listen="127.0.0.1", processes=count)
