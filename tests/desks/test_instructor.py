"""What the instructor does to an open class while it is at work, by the requests of their page."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from tests.loops import run_beside
from tests.postgres_server import free_port
from tornado.httpclient import HTTPRequest
from tornado.websocket import websocket_connect

from coursework.desks.doors import Waits
from coursework.desks.joincodes import INSTRUCTOR, JoinCodes
from coursework.desks.opening import start_class
from coursework.desks.wire import packed
from coursework.room.classfolder import new_class
from coursework.room.roster import Apprentice, write_roster

from .test_doors import PAGE, Client

LESSON = "lessons/02-taper.ipynb"
ROSTER = (Apprentice(2, "Tom Brandt"), Apprentice(7, "Zoë Ferrant"), Apprentice(9, "Cy Shale"))


@dataclass
class Shop:
    """An open class that changes while people are in it."""

    folder: Path
    codes: JoinCodes
    boss: Client

    def comes_in(self, number: int) -> Client:
        client = Client(self.boss.port)
        assert client.join(JoinCodes(self.codes.path.parent).of(number))[0] == 303
        return client

    def press(self, path: str, **fields: str) -> tuple[int, Any]:
        body = urlencode(fields).encode()
        status, told, _ = self.boss.ask(
            "POST", path, body, Content_Type="application/x-www-form-urlencoded"
        )
        return status, json.loads(told) if status == 200 else told

    def state(self) -> Any:
        return json.loads(self.boss.ask("GET", "/class/state")[1])


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    folder = tmp_path_factory.mktemp("shop") / "class"
    made = new_class(folder, code="QQ-26-K7PX", title="Taper keys", roster=ROSTER)
    server = start_class(made, listen="127.0.0.1", by="W. Ashby", port=free_port())
    try:
        server.wait_until_up()
        codes = JoinCodes(server.codes.path.parent)
        boss = Client(int(server.local.rsplit(":", 1)[1]))
        assert boss.join(codes.of(INSTRUCTOR))[0] == 303
        yield Shop(folder, codes, boss)
    finally:
        server.stop()


def inside(client: Client) -> bool:
    return client.ask("GET", "/api/me")[0] == 200


def asks(kind: str) -> bytes:
    return packed("shell", kind, {}, parent={}, session="s")


def test_a_code_made_again_shuts_the_old_one_out_on_every_device(shop: Shop) -> None:
    devices = [shop.comes_in(7), shop.comes_in(7)]
    old = JoinCodes(shop.codes.path.parent).of(7)
    status, told = shop.press("/class/code", number="7")
    assert (status, told["number"], told["name"]) == (200, 7, "Zoë Ferrant")
    assert told["code"] != old
    assert not any(map(inside, devices))
    status, text = Client(shop.boss.port).join(old)
    assert status == 200
    assert b"No apprentice of this class has that code." in text
    again = Client(shop.boss.port)
    assert again.join(told["code"])[0] == 303
    assert inside(again)


@pytest.mark.parametrize("number", ["", "0", "8", "1000", "seven", "-7", "7.0", "²"])
def test_there_is_no_new_code_for_who_is_not_in_the_class(shop: Shop, number: str) -> None:
    before = shop.codes.path.read_bytes()
    assert shop.press("/class/code", number=number)[0] == 404
    assert shop.codes.path.read_bytes() == before
    assert inside(shop.boss)


def test_feedback_goes_out_when_it_is_pressed_and_once(shop: Shop) -> None:
    zoe, page = shop.comes_in(7), "01-measure.html"
    place = shop.folder / "feedback" / "007"
    place.mkdir(exist_ok=True)
    (place / page).write_text("<p>Well measured.</p>")
    assert shop.state()["feedback"] == 1
    assert shop.press("/class/feedback") == (200, {"given": 1})
    assert shop.press("/class/feedback") == (200, {"given": 0})
    given = shop.folder / "desks" / "007" / "returned" / page
    assert given.read_text() == "<p>Well measured.</p>"
    (place / page).write_text("<p>Looked at again.</p>")
    (place / "gone.html").symlink_to("nowhere.html")  # as one that marking took back meanwhile
    assert shop.state()["feedback"] == 1
    assert shop.press("/class/feedback") == (200, {"given": 1})
    assert given.read_text() == "<p>Looked at again.</p>"
    assert inside(zoe)


@pytest.mark.parametrize("at", ["soon", "1e999", "-1", "1", "9" * 12, "٣", "1:30"])
def test_a_closing_time_that_is_none_changes_nothing(shop: Shop, at: str) -> None:
    assert shop.press("/class/closing", at=at)[0] == 400
    assert shop.state()["closes"] is None


def test_after_closing_time_only_the_instructor_is_in_and_it_can_be_taken_back(shop: Shop) -> None:
    tom = shop.comes_in(2)
    soon = time.time() + 1.5
    assert shop.press("/class/closing", at=f"{soon:.3f}")[0] == 200
    told = json.loads(Client(shop.boss.port).ask("GET", "/notice")[1])
    assert told["closes"] == pytest.approx(soon, abs=0.001)
    assert abs(told["now"] - time.time()) < 60
    assert inside(tom)
    time.sleep(soon - time.time() + 0.1)
    assert not inside(tom)
    assert shop.state()["closed"]
    status, text = Client(shop.boss.port).join(JoinCodes(shop.codes.path.parent).of(2))
    assert status == 200
    assert b"The class is closed. Your instructor opens it again." in text
    assert shop.comes_in(INSTRUCTOR)
    assert shop.press("/class/closing", at="") == (200, {"closes": None})
    assert inside(tom)
    assert shop.comes_in(2)


def test_a_unit_is_put_on_the_projector_and_nothing_else_is(shop: Shop) -> None:
    assert shop.boss.ask("GET", "/class/projector")[0] == 200
    text = shop.boss.ask("GET", "/class")[1].decode()
    start = text.index(f"/doc/tree/{LESSON}#")
    address = text[start : text.index('"', start)]
    assert shop.press("/class/projector", address=address) == (200, {"address": address})
    for other in ("", "http://elsewhere.example/", f"/doc/tree/{PAGE}", f"{address}x"):
        assert shop.press("/class/projector", address=other)[0] == 404
    told = json.loads(shop.boss.ask("GET", "/class/projector/state")[1])
    assert told == {"address": address}
    assert shop.state()["projector"] == address


def test_who_is_in_need_type_no_code_and_may_type_another(shop: Shop) -> None:
    zoe = shop.comes_in(7)
    status, _, head = zoe.ask("GET", "/login")
    assert (status, head["Location"]) == (303, "/doc/tree/lessons/00-start.ipynb")
    assert shop.boss.ask("GET", "/login")[2]["Location"] == "/class"
    assert zoe.ask("GET", "/login?again=1")[0] == 200
    status, text = zoe.join("<b>seven</b>")
    assert status == 200
    assert "The join code is “&lt;b&gt;seven&lt;/b&gt;”; it must look like" in text.decode()
    assert "The join code is “empty”" in zoe.join("  ")[1].decode()


def test_codes_tried_by_many_at_once_do_not_hold_the_class_up(shop: Shop) -> None:
    wrong = "9-ABCDE-FGHJK"
    for _ in range(4):
        assert Client(shop.boss.port).join(wrong)[0] == 200
    tries = Waits.MOST_AT_ONCE + 8
    with ThreadPoolExecutor(tries) as many:
        answers = [many.submit(Client(shop.boss.port).join, wrong) for _ in range(tries)]
        assert inside(shop.boss)
        found = [one.result() for one in answers]
    late = [text for status, text in found if status == 429]
    assert late
    assert all(b"Too many codes were tried just now. Wait a minute" in text for text in late)
    assert shop.comes_in(9), "with the right one there is a way in, after the wait"


def test_a_page_begins_again_and_one_that_is_none_is_refused(shop: Shop) -> None:
    zoe = shop.comes_in(7)
    seat = zoe.sit()
    desk = seat["kernel"]["id"]
    for what in ("interrupt", "restart"):
        assert zoe.ask("POST", f"/api/kernels/{desk}/{what}", {})[0] in (200, 204)
    other = zoe.ask("PATCH", f"/api/sessions/{seat['id']}", {"path": "lessons/x.ipynb"})[0]
    assert other == 403

    async def talk() -> tuple[Any, Any]:
        line = await zoe.socket(desk)
        line.write_message(asks("kernel_info_request"), binary=True)
        first = await line.read_message()
        assert zoe.ask("POST", f"/api/kernels/{desk}/restart", {})[0] == 200
        line.write_message(asks("kernel_info_request"), binary=True)
        second = await line.read_message()
        line.close()
        return first, second

    first, second = run_beside(talk())
    assert first
    assert second
    assert desk in {one["id"] for one in json.loads(zoe.ask("GET", "/api/kernels")[1])}
    assert zoe.ask("DELETE", f"/api/kernels/{desk}")[0] == 204
    assert zoe.ask("GET", f"/api/sessions/{seat['id']}")[0] == 404


def test_a_page_that_the_course_has_not_runs_nothing(shop: Shop) -> None:
    zoe = shop.comes_in(7)
    wish = {"path": "exercises/01-measure/x", "name": "other.ipynb", "type": "notebook"}
    before = zoe.ask("GET", "/api/sessions")[1]
    for other in ({"path": "x"}, {"type": "file"}, {"name": ""}, {"path": 201 * "x"}):
        assert zoe.ask("POST", "/api/sessions", wish | other)[0] >= 400
    assert zoe.ask("GET", "/api/sessions")[1] == before
    made = json.loads(zoe.ask("POST", "/api/sessions", wish)[1])

    async def run() -> list[Any]:
        line = await zoe.socket(made["kernel"]["id"])
        code = {"code": "print(1)"}
        message = packed("shell", "execute_request", code, parent={}, session="s")
        line.write_message(message, binary=True)
        told = []
        while b"execute_reply" not in (told[-1] if told else b""):
            told.append(await line.read_message())
        line.close()
        return told

    assert b"it is no page of this course" in b"".join(run_beside(run()))


def test_a_socket_that_speaks_another_way_is_closed(shop: Shop) -> None:
    zoe = shop.comes_in(7)
    desk = zoe.sit()["kernel"]["id"]

    async def talk(ways: list[str] | None) -> int:
        request = HTTPRequest(
            f"ws://127.0.0.1:{zoe.port}/api/kernels/{desk}/channels",
            headers={"Cookie": zoe.cookie},
        )
        line = await websocket_connect(request, subprotocols=ways)
        assert await line.read_message() is None
        return int(line.close_code)

    assert run_beside(talk(None)) == 1002
    assert zoe.ask("GET", f"/api/kernels/{desk}")[0] == 200


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/files/lessons/job-sheet.html", 404),  # none was made yet
        ("/files/lessons/job-sheet.pdf", 404),  # a folder of that name
        ("/files/lessons/to-keep-A4.pdf", 404),  # a link to what is another's
        ("/static/lab/none.js", 404),
        ("/lab/api/settings/@jupyterlab/none:none", 404),
        ("/api/contents/lessons?type=directory", 200),
        ("/api/contents/lessons?type=notebook", 404),
        ("/api/contents/exercises/09-other", 404),
        ("/api/contents/lessons/09-other.ipynb", 404),
    ],
)
def test_what_is_not_there_is_not_found(shop: Shop, path: str, status: int) -> None:
    zoe = shop.comes_in(7)
    zoe.sit(LESSON)
    place = shop.folder / "desks" / "007" / "lessons"
    (place / "job-sheet.pdf").mkdir(parents=True, exist_ok=True)
    link = place / "to-keep-A4.pdf"
    if not link.is_symlink():
        (shop.folder / "secret.pdf").write_bytes(b"%PDF")
        link.symlink_to(shop.folder / "secret.pdf")
    found, told, _ = zoe.ask("GET", path)
    assert found == status, told[:300]
    if status == 200:
        assert json.loads(told)["content"] == []


def test_a_page_has_its_own_name_and_a_strange_one_is_not_taken(shop: Shop) -> None:
    zoe = shop.comes_in(7)
    seat = zoe.sit(LESSON)
    address = f"/api/sessions/{seat['id']}"
    for name, kept in (("mine", "mine"), (201 * "x", "mine"), ("", "mine")):
        assert zoe.ask("PATCH", address, {"name": name, "path": LESSON})[0] < 500
        assert json.loads(zoe.ask("GET", address)[1])["name"] == kept
    assert zoe.ask("DELETE", address)[0] == 204
    assert zoe.ask("GET", address)[0] == 404


def test_who_is_taken_off_the_list_is_out_at_once_and_keeps_what_was_typed(shop: Shop) -> None:
    cy = shop.comes_in(9)
    desk = cy.sit()["kernel"]["id"]
    kept = shop.folder / "desks" / "009" / "exercises" / "01-measure" / "answers.json"

    async def typed() -> Any:
        line = await cy.socket(desk)
        assert inside(cy)
        write_roster(shop.folder / "roster.csv", roster=ROSTER[:2])
        time.sleep(1.1)  # the list is looked at once a second
        line.write_message(asks("kernel_info_request"), binary=True)
        return await line.read_message(), line.close_code

    found, code = run_beside(typed())
    assert (found, code) == (None, 1008)
    assert not inside(cy)
    assert cy.ask("GET", "/files/lessons/job-sheet.html")[0] in (302, 403)
    write_roster(shop.folder / "roster.csv", roster=ROSTER)
    time.sleep(1.1)
    assert inside(cy)
    assert kept.parent.is_dir()
