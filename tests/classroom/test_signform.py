"""The sign-off form over its server: what is ticked stands in the register, nothing else does."""

from __future__ import annotations

import asyncio
import http.client
import os
import re
import signal
import subprocess
import sys
import threading
import webbrowser
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.parse import urlencode, urlsplit

import pytest
from tests.loops import run_beside

from coursework.mark.signoff import read_sign_offs, sign_off_register, task_of
from coursework.room import signserver
from coursework.room.assessing import mark_and_report, verify_class
from coursework.room.classfolder import ClassError, ClassFolder, new_class
from coursework.room.roster import Apprentice
from coursework.room.signserver import serve_sign_offs, start_sign_server

from .test_assessing import hand_in

TASK = "01-sign-off"
COUNT = len(task_of(TASK).items)
MUST = next(place for place, one in enumerate(task_of(TASK).items, 1) if one.must)


@dataclass
class Phone:
    """A browser without a window: it keeps cookies, and follows nothing by itself."""

    address: str
    cookies: dict[str, str] = field(default_factory=dict)
    xsrf: str = ""

    def ask(
        self, method: str, path: str, body: bytes = b"", **headers: str
    ) -> tuple[int, str, dict[str, str]]:
        line = http.client.HTTPConnection(urlsplit(self.address).netloc, timeout=30)
        cookie = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        head = {"Content-Type": "application/x-www-form-urlencoded", "Cookie": cookie, **headers}
        line.request(method, path, body=body, headers=head)
        answer = line.getresponse()
        text = answer.read().decode("utf-8", "replace")
        for name, value in answer.getheaders():
            if name.lower() == "set-cookie":
                key, _, rest = value.partition("=")
                self.cookies[key] = rest.split(";")[0]
        found = re.search(r'name="_xsrf" value="([^"]+)"', text)
        self.xsrf = found[1] if found else self.xsrf
        line.close()
        return answer.status, text, dict(answer.getheaders())

    def get(self, path: str) -> tuple[int, str]:
        return self.ask("GET", path)[:2]

    def send(self, path: str, **fields: str) -> tuple[int, str, dict[str, str]]:
        fields = {"_xsrf": self.xsrf, **fields}
        return self.ask("POST", path, urlencode(fields).encode())


@contextmanager
def served(room: ClassFolder, **how: object) -> Iterator[str]:
    """Serve the form from a thread of its own; give the link."""
    ready = threading.Event()
    told: dict[str, object] = {}

    async def run() -> None:
        told["loop"], told["end"] = asyncio.get_running_loop(), asyncio.Event()
        running = start_sign_server(room, by="Pat Holt", **how)
        told["link"] = running.link()
        ready.set()
        await told["end"].wait()
        running.server.stop()
        await running.server.close_all_connections()

    thread = threading.Thread(target=lambda: run_beside(run()))
    thread.start()
    assert ready.wait(20)
    try:
        yield str(told["link"])
    finally:
        told["loop"].call_soon_threadsafe(told["end"].set)
        thread.join(20)


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> ClassFolder:
    people = [Apprentice(1, "Ada Brindle"), Apprentice(7, "Zoë Ferrant")]
    made = new_class(tmp_path_factory.mktemp("c") / "class", code="QQ-26", title="K", roster=people)
    hand_in(made.inbox, 7)
    mark_and_report(made)
    return made


@pytest.fixture(scope="module")
def link(room: ClassFolder) -> Iterator[str]:
    with served(room) as address:
        yield address


@pytest.fixture
def phone(room: ClassFolder, link: str) -> Phone:
    sign_off_register(room.folder).path.unlink(missing_ok=True)
    one = Phone(link)
    assert one.get(urlsplit(link).path)[0] == 200
    assert one.get(f"/sign-off/{TASK}/7")[0] == 200
    return one


def ticked(**changes: str) -> dict[str, str]:
    items = {str(place): "yes" for place in range(1, COUNT + 1)}
    return {**items, "prompted": "unprompted", "attempt": "1", "date": "2026-11-25", **changes}


def test_what_is_ticked_is_kept_with_the_assessors_name_and_counts(
    room: ClassFolder, phone: Phone
) -> None:
    status, _, head = phone.send(f"/sign-off/{TASK}/7", **ticked(**{str(MUST): "no"}))
    assert (status, head["Location"]) == (303, f"/sign-off/{TASK}?entered=7")
    (one,) = read_sign_offs(room.folder)
    assert (one.number, one.task, one.by, one.failed) == (7, TASK, "Pat Holt", (MUST,))
    assert sum(one.answers) == COUNT - 1
    _, text = phone.get(head["Location"])
    assert "not yet competent" in text
    mark_and_report(room)
    assert not verify_class(room).differences


def test_the_same_form_sent_twice_is_one_line_and_a_second_attempt_another(
    room: ClassFolder, phone: Phone
) -> None:
    for _ in range(2):
        assert phone.send(f"/sign-off/{TASK}/7", **ticked())[0] == 303
    assert len(read_sign_offs(room.folder)) == 1
    _, text = phone.get(f"/sign-off/{TASK}/7")
    assert "<option selected>2</option>" in text
    assert phone.send(f"/sign-off/{TASK}/7", **ticked(attempt="2"))[0] == 303
    assert [one.attempt for one in read_sign_offs(room.folder)] == [1, 2]


TOMORROW = (datetime.now(UTC) + timedelta(days=3)).date().isoformat()


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"1": ""}, f"item 1 of {TASK} has no answer; it must be yes or no"),
        ({"1": "perhaps"}, f"item 1 of {TASK} is “perhaps”; it must be yes or no"),
        ({"prompted": ""}, "It is not said whether something had to be said."),
        ({"prompted": "a bit"}, "prompted is “a bit”; it must be prompted or unprompted."),
        ({"attempt": "0"}, "attempt is 0; it must be from 1 to 9."),
        ({"attempt": "-1"}, "attempt is “-1”; it must be a whole number."),
        ({"date": "25.11.2026"}, "date is “25.11.2026”; it must be a day such as 2026-11-25."),
        ({"date": TOMORROW}, f"date is {TOMORROW}; it must not be in the future."),
        ({"note": "x" * 301}, "note has 301 characters; it must have 300 or fewer."),
        ({str(COUNT + 1): "yes"}, f"item {COUNT + 1} is answered; {TASK} has {COUNT} items."),
    ],
)
def test_a_refused_form_says_why_and_keeps_the_ticks(
    room: ClassFolder, phone: Phone, changes: dict[str, str], sentence: str
) -> None:
    status, text, _ = phone.send(f"/sign-off/{TASK}/7", **ticked(**changes))
    assert status == 422
    assert sentence in text
    assert "Nothing was entered." in text
    assert f'name="{COUNT}" value="yes" required checked' in text
    assert read_sign_offs(room.folder) == []


def test_markup_and_formulas_stay_text(room: ClassFolder, phone: Phone) -> None:
    for note in ("</textarea><script>alert(1)</script>", "=cmd|' /C calc'!A0", "a\r\n7,01,1\0"):
        status, text, _ = phone.send(f"/sign-off/{TASK}/7", **ticked(note=note, date=""))
        assert status == 422
        assert "<script" not in text
        assert ("&lt;script" in text) == ("<script" in note)
        phone.send(f"/sign-off/{TASK}/7", **ticked(note=note))
    lines = sign_off_register(room.folder).lines()
    assert len(lines) == len(read_sign_offs(room.folder)) == 3
    assert not sign_off_register(room.folder).faults()


def test_nobody_else_gets_in(room: ClassFolder, phone: Phone, link: str) -> None:
    for cookies in ({}, {"taperkey-sign-off": "x"}, {"taperkey-sign-off": "ä" * 40}):
        stranger = Phone(link, dict(cookies))
        for path in ("/sign-off/", f"/sign-off/{TASK}", f"/sign-off/{TASK}/7"):
            status, text = stranger.get(path)
            assert status == 403
            assert "Ferrant" not in text
    stranger = Phone(link)
    stranger.get("/open/" + "x" * 32)
    assert "taperkey-sign-off" not in stranger.cookies
    assert stranger.get("/sign-off/")[0] == 403
    stranger.cookies["_xsrf"] = stranger.xsrf = phone.cookies["_xsrf"]
    assert stranger.send(f"/sign-off/{TASK}/7", **ticked())[0] == 403
    assert read_sign_offs(room.folder) == []


def test_another_page_cannot_send_the_form(room: ClassFolder, phone: Phone) -> None:
    phone.xsrf = "x"
    assert phone.send(f"/sign-off/{TASK}/7", **ticked())[0] == 403
    status, _, _ = phone.ask("POST", f"/sign-off/{TASK}/7", urlencode(ticked()).encode())
    assert status == 403
    assert read_sign_offs(room.folder) == []


@pytest.mark.parametrize(
    "path",
    [
        "/sign-off/09-none/7",
        f"/sign-off/{TASK}/2",
        f"/sign-off/{TASK}/0",
        f"/sign-off/{TASK}/1234",
        f"/sign-off/{TASK}/7/../../../class.toml",
        "/sign-off/../card-key.txt",
        "/sign-off/%2e%2e/card-key.txt",
        "/card-key.txt",
        "/",
        f"/sign-off/{TASK}/%00",
    ],
)
def test_strange_addresses_lead_nowhere(room: ClassFolder, phone: Phone, path: str) -> None:
    assert phone.get(path)[0] == 404
    assert phone.send(path, **ticked())[0] in (404, 405)
    assert read_sign_offs(room.folder) == []


def test_bodies_that_are_no_form(room: ClassFolder, phone: Phone) -> None:
    path = f"/sign-off/{TASK}/7"
    xsrf = {"X-XSRFToken": phone.xsrf}
    assert phone.ask("POST", path, b"\xff\xfe" * 50, **xsrf)[0] in (400, 422)
    many = urlencode([(str(n), "yes") for n in range(1, 3000)]).encode()
    assert phone.ask("POST", path, many, **xsrf)[0] in (400, 422)
    with pytest.raises((ConnectionError, http.client.HTTPException, AssertionError)):
        assert phone.ask("POST", path, b"1=" + b"x" * 100_000, **xsrf)[0] == 303
    assert phone.ask("PUT", path, b"1=yes", **xsrf)[0] == 405
    assert phone.get(path)[0] == 200
    assert read_sign_offs(room.folder) == []


def test_headers_let_no_script_run_and_nothing_be_framed_or_kept(phone: Phone) -> None:
    _, text, head = phone.ask("GET", f"/sign-off/{TASK}/7")
    rule = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', text)[1]
    assert rule.startswith("default-src 'none';")
    assert "script-src" not in rule
    assert "frame-ancestors 'none'" in head["Content-Security-Policy"]
    assert head["Cache-Control"] == "no-store"


def test_while_a_run_is_at_work_the_ticks_stay_on_the_form(room: ClassFolder, phone: Phone) -> None:
    with room.alone("marking"):
        status, text, _ = phone.send(f"/sign-off/{TASK}/7", **ticked())
    assert status == 422
    assert "another run is at work in it (marking, by " in text
    assert f'name="{COUNT}" value="yes" required checked' in text
    assert phone.send(f"/sign-off/{TASK}/7", **ticked())[0] == 303


def test_a_port_that_is_taken(room: ClassFolder, link: str) -> None:
    port = urlsplit(link).port

    async def run() -> None:
        start_sign_server(room, by="Pat Holt", port=port)

    with pytest.raises(ClassError) as refusal:
        run_beside(run())
    assert str(refusal.value) == (
        f"port is {port}; it must be free, from 1 to 65535. Name another port, or leave --port out "
        "to have a free one found."
    )


def test_on_this_computer_only_without_network(room: ClassFolder) -> None:
    async def run(network: bool) -> set[str]:
        running = start_sign_server(room, by="Pat Holt", network=network)
        return {one.getsockname()[0] for one in running.server._sockets.values()}

    assert run_beside(run(False)) == {"127.0.0.1"}
    assert run_beside(run(True)) == {"0.0.0.0"}


def test_a_certificate_that_is_named_is_used_on_the_network(
    tmp_path: Path,
) -> None:
    made = new_class(tmp_path / "c", code="QQ-26", title="K", roster=[Apprentice(1, "Ada Brindle")])
    with (made.folder / "class.toml").open("a", encoding="utf-8") as file:
        file.write('\n[hub]\ncertificate = "/no/such.pem"\nkey = "/no/such.key"\n')

    async def run() -> None:
        start_sign_server(made, by="Pat Holt", network=True)

    with pytest.raises(ClassError, match=r"certificate is /no/such\.pem; it cannot be used with"):
        run_beside(run())


def said_until_ctrl_c(room: ClassFolder, **how: object) -> list[str]:
    """Serve the form, press Ctrl+C at the last sentence, return all that was said."""
    told: list[str] = []

    def say(text: str) -> None:
        told.append(text)
        if text.startswith("When you are done"):
            raise KeyboardInterrupt

    async def serve() -> int:
        return await asyncio.to_thread(serve_sign_offs, room, by="Pat Holt", say=say, **how)

    assert run_beside(serve()) == 0
    return told


def test_a_phone_is_given_a_code_to_read_and_a_network_is_warned_of(
    room: ClassFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(signserver, "own_address", lambda: "192.168.7.3")
    monkeypatch.setattr(webbrowser, "open", lambda address: pytest.fail("a browser came up"))
    first, phone, picture, plain, *_ = said_until_ctrl_c(room, network=True)
    assert re.fullmatch(r"The sign-off form is open at http://192\.168\.7\.3:\d+/open/\S+", first)
    assert phone == "On a phone in the same network, read this with its camera:"
    assert len(picture.splitlines()) > 10
    assert plain.startswith("It goes over the network in plain letters:")


def test_a_computer_on_no_network_shows_a_phone_no_link_that_leads_nowhere(
    room: ClassFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(signserver, "own_address", lambda: "127.0.0.1")
    told = said_until_ctrl_c(room, network=True, open_browser=False)
    assert len(told) == 4
    assert told[1] == (
        "This computer is on no network, so the link works here only. Join the one that the phone "
        "is in, stop with Ctrl+C and start again."
    )


def test_a_browser_is_opened_on_this_computer(
    room: ClassFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[str] = []
    monkeypatch.setattr(webbrowser, "open", opened.append)
    monkeypatch.setattr(asyncio.Event, "wait", lambda event: interrupted())

    async def interrupted() -> None:
        raise KeyboardInterrupt

    told: list[str] = []

    async def serve() -> int:
        return await asyncio.to_thread(serve_sign_offs, room, by="Pat Holt", say=told.append)

    assert run_beside(serve()) == 0
    assert [f"The sign-off form is open at {one}" for one in opened] == told[:1]


@pytest.mark.skipif(os.name == "nt", reason="processes end in another way there")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_the_form_is_served_until_ctrl_c_and_the_report_is_written_again(
    room: ClassFolder, number: signal.Signals
) -> None:
    sign_off_register(room.folder).path.unlink(missing_ok=True)
    command = [sys.executable, "-u", "-c", "from keycourse.cli import main; exit(main())"]
    command += ["class", "sign", str(room.folder), "--form", "--no-browser", "--by", "Pat Holt"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, encoding="utf-8") as served:
        try:
            link = served.stdout.readline().split()[-1]
            phone = Phone(link)
            assert phone.get(urlsplit(link).path)[0] == 200
            phone.get(f"/sign-off/{TASK}/7")
            assert phone.send(f"/sign-off/{TASK}/7", **ticked())[0] == 303
            served.send_signal(number)
            told = served.stdout.read().splitlines()
        finally:
            served.kill()
    assert served.returncode == 0
    assert told[-2] == "1 sign-off entered by Pat Holt."
    assert told[-1].startswith("Report: ")
    assert [one.number for one in read_sign_offs(room.folder)] == [7]
