"""Attacks on the door of a class behind a hub: cookies, tokens, the way between hub and class."""

from __future__ import annotations

import asyncio
import json
import re
import time
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, quote, urlencode, urlsplit

import pytest
from tests.loops import run_beside
from tornado.httpclient import HTTPClientError, HTTPRequest
from tornado.web import create_signed_value
from tornado.websocket import websocket_connect

from coursework.page.pagefolder import read_name_tag

BASE = "/services/class/"
PAGE = "exercises/01-measure/01-measure.ipynb"
PROTOCOL = "v1.kernel.websocket.jupyter.org"
COOKIE = "service-class"
STAFF_ONLY = (
    ("GET", "class"),
    ("GET", "class/state"),
    ("POST", "class/code"),
    ("POST", "class/feedback"),
    ("POST", "class/closing"),
    ("GET", "class/projector"),
    ("POST", "class/projector"),
    ("GET", "class/projector/state"),
    ("GET", "class/sign-off/"),
)
ASKED = ("api/me", "api/sessions", "api/kernels", f"api/contents/{PAGE}", "files/feedback/x.html")


async def _connect(client: Any, seat: dict[str, Any], **headers: str) -> Any:
    address = f"{client.address}{BASE}api/kernels/{seat['kernel']['id']}/channels?session_id=s"
    told = {"Cookie": client.cookie(f"{BASE}api"), "Origin": client.address, **headers}
    request = HTTPRequest(address.replace("http", "ws", 1), headers=told, request_timeout=30)
    return await websocket_connect(request, subprotocols=[PROTOCOL])


def connected(client: Any, seat: dict[str, Any], **headers: str) -> int:
    """Return 101 where a page's websocket is opened, else the status of the refusal."""

    async def tried() -> int:
        try:
            line = await _connect(client, seat, **headers)
        except HTTPClientError as error:
            return error.code
        line.close()
        return 101

    return run_beside(tried())


def test_a_log_in_opens_the_own_pages_and_the_class_puts_the_name_on_them(served) -> None:
    client = served.client(served.apprentices[0])
    assert client.at == f"{BASE}doc/tree/lessons/00-start.ipynb"
    assert json.loads(client.ask("GET", f"{BASE}api/me")[1])["identity"]["name"] == "Hand 1"
    seat = client.sit()
    assert connected(client, seat) == 101
    end = time.monotonic() + 30
    while (tag := read_name_tag(served.folder / "desks" / "001")) is None:
        assert time.monotonic() < end
    assert (tag.class_code, tag.number, tag.name) == (served.code, 1, "Hand 1")


def test_without_a_log_in_there_is_the_log_in_and_nothing_else(served) -> None:
    client = served.client()
    status, text = client.go(f"{BASE}doc/tree/lessons/01-measure.ipynb")
    assert status == 200
    assert client.at.startswith("/hub/login?")
    assert 'name="password"' in text
    for path in ASKED:
        status, _, back = client.ask("GET", BASE + path)
        assert status in (302, 403), path
        assert status == 403 or back["Location"].startswith(f"{BASE}login?"), path
    for method, path in STAFF_ONLY:
        assert client.ask(method, BASE + path)[0] in (302, 403), path


def test_a_link_to_a_lesson_leads_there_after_the_log_in(served) -> None:
    wanted = f"{BASE}doc/tree/lessons/02-taper.ipynb"
    client = served.client(served.apprentices[0], onward=wanted)
    assert client.at == wanted


@pytest.mark.parametrize(
    "onward",
    ["https://elsewhere.example/", "//elsewhere.example/", f"{BASE}../../hub/admin", "/hub/logout",
     f"{BASE}login", f"{BASE}oauth_callback?code=1", f"{BASE}files/../../etc/passwd"],
)  # fmt: skip
def test_nobody_is_sent_on_to_elsewhere(served, onward) -> None:
    client = served.client(served.apprentices[0])
    status, _ = client.go(f"{BASE}login?{urlencode({'next': onward})}")
    assert status == 200
    assert client.at == f"{BASE}doc/tree/lessons/00-start.ipynb"


# cookies


def _holding(served, value: str, name: str = COOKIE) -> Any:
    client = served.client()
    client.cookies[name, BASE] = value
    return client


def test_a_forged_cookie_is_nobodys(served) -> None:
    real = served.client(served.apprentices[0]).cookies[COOKIE, BASE]
    token = "0123456789abcdef" * 2
    turned = real[:-1] + ("0" if real[-1] != "0" else "1")
    forged = [
        token,
        turned,
        real.replace("|", "", 1),
        real[: len(real) // 2],
        create_signed_value("a secret of my own", COOKIE, token).decode(),
        create_signed_value("", COOKIE, token).decode(),
        "",
        "x" * 3000,
    ]
    for value in forged:
        client = _holding(served, value)
        assert client.ask("GET", f"{BASE}api/me")[0] in (302, 403), value[:60]
        assert client.ask("GET", f"{BASE}class")[0] in (302, 403), value[:60]
    # the signature is for one name: the cookie of one use is none for another
    secret = bytes.fromhex((served.folder / "open" / "cookie-secret").read_text())
    for name in (f"{COOKIE}-oauth-state", "service-class-2", f"taperkey-class-{served.code}"):
        value = create_signed_value(secret, name, token).decode()
        assert _holding(served, value).ask("GET", f"{BASE}api/me")[0] in (302, 403), name
    # and signed as it should be, a token that the hub never gave is nobody's
    value = create_signed_value(secret, COOKIE, token).decode()
    assert _holding(served, value).ask("GET", f"{BASE}api/me")[0] in (302, 403)


def _service_token(served) -> str:
    config = served.processes("--ServerApp.base_url=/services/class/")
    told = Path(f"/proc/{config[0]}/environ").read_bytes().split(b"\0")
    words = next(one for one in told if one.startswith(b"TAPERKEY_HUB="))
    return str(json.loads(words.partition(b"=")[2])["token"])


def test_a_token_opens_nothing_by_another_way_than_the_cookie(served) -> None:
    token = _service_token(served)
    for client in (served.client(), served.client(served.apprentices[0])):
        client.cookies.pop((COOKIE, BASE), None)
        for path in (f"{BASE}api/me", f"{BASE}class/state"):
            for way in (f"token {token}", f"Bearer {token}"):
                assert client.ask("GET", path, Authorization=way)[0] in (302, 403)
            assert client.ask("GET", f"{path}?token={token}")[0] in (302, 403)
    secret = bytes.fromhex((served.folder / "open" / "cookie-secret").read_text())
    value = create_signed_value(secret, COOKIE, token).decode()  # a service is no person
    assert _holding(served, value).ask("GET", f"{BASE}api/me")[0] in (302, 403)


def test_the_services_token_stands_in_nothing_that_an_apprentice_can_ask_for(served) -> None:
    token = _service_token(served)
    secret = (served.folder / "open" / "cookie-secret").read_text().strip()
    client = served.client(served.apprentices[0])
    client.sit()
    told = b""
    for path in (
        *ASKED,
        "login?again=1",
        "doc/tree/lessons/00-start.ipynb",
        "lab/api/settings",
        "lab/api/workspaces",
        "api/status",
        "api/contents",
        "notice",
        "files/../hub/hub.log",
        "files/lessons/../../hub/token-1",
        f"files/{quote('../../hub/token-1', safe='')}",
        "api/contents/hub/token-1",
        "api/contents/..%2fhub%2fhub.log",
    ):
        status, body, back = client.ask("GET", BASE + path)
        told += body + json.dumps(back).encode()
        assert status < 500, path
    assert len(told) > 10_000
    assert token.encode() not in told
    assert secret.encode() not in told
    # what the server starts for long work does not have it either
    server = served.processes("--ServerApp.base_url=/services/class/")[0]
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            if int(path.read_text().rsplit(")", 1)[1].split()[1]) != server:
                continue
            told = path.with_name("environ").read_bytes()
        except OSError:
            continue
        assert token.encode() not in told
    assert token not in served.log()


# another's things


def test_nobody_reaches_anothers_page_with_their_own_log_in(served) -> None:
    one, two = (served.client(account) for account in served.apprentices[:2])
    seat = one.sit()
    key, kernel = seat["id"], seat["kernel"]["id"]
    assert two.ask("GET", f"{BASE}api/sessions/{key}")[0] == 404
    assert two.ask("DELETE", f"{BASE}api/sessions/{key}")[0] == 404
    assert two.ask("GET", f"{BASE}api/kernels/{kernel}")[0] == 404
    assert two.ask("POST", f"{BASE}api/kernels/{kernel}/restart")[0] in (
        404,
        500,
    )  # as the server says it
    assert connected(two, seat) in (403, 404)
    assert key not in two.ask("GET", f"{BASE}api/sessions")[1].decode()
    assert connected(one, seat, Origin="https://elsewhere.example") == 403
    assert connected(served.client(), seat) == 403


def test_the_class_pages_are_for_who_runs_the_class(served) -> None:
    apprentice = served.client(served.apprentices[1])
    for method, path in STAFF_ONLY:
        assert apprentice.ask(method, BASE + path)[0] == 403, path
    for account in (served.instructor, served.assessor):
        staff = served.client(account)
        assert staff.at == f"{BASE}class"
        assert json.loads(staff.ask("GET", f"{BASE}class/state")[1])["people"]
        status, text, _ = staff.ask("GET", f"{BASE}class/sign-off/")
        assert status == 200
        assert account in text.decode()  # whose name the sign-offs get


def test_a_request_from_a_foreign_page_changes_nothing(served) -> None:
    staff = served.client(served.instructor)
    form = urlencode({"at": str(time.time() + 60)})
    kind = "application/x-www-form-urlencoded"
    status, _, _ = staff.ask(
        "POST", f"{BASE}class/closing", form, Content_Type=kind, X_XSRFToken=""
    )
    assert status == 403
    assert json.loads(staff.ask("GET", f"{BASE}class/state")[1])["closes"] is None


# the way between hub and class


def test_a_log_in_that_was_not_begun_here_is_refused(served) -> None:
    client = served.client(served.apprentices[0])
    client.cookies.pop((COOKIE, BASE))
    for query in ("", "code=abc", "state=abc", "code=abc&state=abc", "error=no&state=abc"):
        status, text = client.go(f"{BASE}oauth_callback?{query}")
        assert status == 403, query
        assert "This log-in was not begun in this window" in text
    assert client.ask("GET", f"{BASE}api/me")[0] in (302, 403)


def _code_of(client: Any) -> str:
    """Go to the hub and back as far as the address with the code."""
    path = f"{BASE}login"
    for _ in range(8):
        status, _, back = client.ask("GET", path)
        assert status in (302, 303), (status, path)
        path = back["Location"].removeprefix(client.address)
        if path.startswith(f"{BASE}oauth_callback"):
            return path
    raise AssertionError(path)


def test_nobody_comes_in_with_the_code_of_anothers_log_in(served) -> None:
    one, two = (served.client(account) for account in served.apprentices[:2])
    for client in (one, two):
        client.cookies.pop((COOKIE, BASE))
    theirs = _code_of(one)
    assert two.go(theirs)[0] == 403  # another's whole address, in a browser that did not begin it
    mine = _code_of(two)
    code = parse_qs(urlsplit(theirs).query)["code"][0]
    state = parse_qs(urlsplit(mine).query)["state"][0]
    status, _ = two.go(f"{BASE}oauth_callback?{urlencode({'code': code, 'state': state})}")
    assert status >= 400  # their code with my state: the verifier does not fit
    assert two.ask("GET", f"{BASE}api/me")[0] in (302, 403)


def test_the_hub_gives_nobody_a_server_or_a_token(served) -> None:
    account = served.apprentices[0]
    client = served.client(account)
    api = f"/hub/api/users/{account}"
    tried = [
        ("POST", f"{api}/server"),
        ("POST", f"{api}/servers/more"),
        ("POST", f"{api}/tokens"),
        ("GET", f"{api}/tokens"),
        ("GET", "/hub/api/users"),
        ("GET", "/hub/api/services"),
        ("GET", "/hub/api/proxy"),
        ("POST", "/hub/api/shutdown"),
        ("GET", "/hub/admin"),
        ("POST", f"/hub/spawn/{account}"),
    ]
    for method, path in tried:
        status, told, _ = client.ask(method, path, {} if method == "POST" else None)
        assert status in (403, 404), (method, path, status, told[:200])
    client.go("/hub/spawn")
    client.go(f"/user/{account}/lab")
    assert served.processes("singleuser") == []


# passwords


def test_somebody_takes_a_password_of_their_own(served) -> None:
    account = served.apprentices[3]
    first = served.passwords()[account]
    client = served.client()
    kind = "application/x-www-form-urlencoded"
    client.go("/hub/login")
    told = {"username": account, "password": first, "_xsrf": client.xsrf("/hub/login")}
    _, text = client.go("/hub/login?next=/", "POST", urlencode(told), Content_Type=kind)
    assert "Choose a password of your own" in text

    def change(present: str, new: str, again: str) -> str:
        fields = {"present": present, "new": new, "again": again}
        fields["_xsrf"] = client.xsrf("/hub/auth/change-password")
        return str(
            client.go("/hub/auth/change-password", "POST", urlencode(fields), Content_Type=kind)[1]
        )

    assert "The present password is not right." in change("wrong", "Keyway 1:96", "Keyway 1:96")
    assert "not typed the same twice" in change(first, "Keyway 1:96", "Keyway 1:97")
    assert "Your password is changed" in change(first, "Keyway 1:96", "Keyway 1:96")
    assert served.passwords()[account].startswith("changed 20")
    assert first not in (served.folder / "hub" / "passwords.csv").read_text()
    assert "Keyway" not in (served.folder / "hub" / "passwords.csv").read_text()
    _, text = served.client().log_in(account, first)
    assert "Account and password do not go together." in text
    again = served.client()
    assert again.log_in(account, "Keyway 1:96")[0] == 200
    assert again.at == f"{BASE}doc/tree/lessons/00-start.ipynb"

    staff = served.client(served.instructor)  # forgotten: the instructor makes a first one again
    form = urlencode({"number": "4", "_xsrf": staff.xsrf(f"{BASE}class")})
    made = json.loads(staff.ask("POST", f"{BASE}class/code", form, Content_Type=kind)[1])
    assert made["code"] == f"{served.passwords()[account]} for account {account}"
    assert served.client().log_in(account, served.passwords()[account])[0] == 200


def test_guessing_has_to_wait(served) -> None:
    account = served.apprentices[2]
    for _ in range(6):
        _, text = served.client().log_in(account, "not it at all")
        assert "Account and password do not go together." in text
    _, text = served.client().log_in(account, served.passwords()[account])
    assert re.search(r"Too many wrong passwords for this account. Wait \d minutes", text)
    _, text = served.client().log_in("nobody-here", "not it at all")
    assert "Account and password do not go together." in text


# log-out


def test_a_log_out_at_the_hub_ends_the_page_within_a_minute(served) -> None:
    client = served.client(served.apprentices[0])
    other = served.client(served.apprentices[0])  # the same person on another device stays
    seat = client.sit()

    async def until_cut_off() -> float:
        line = await _connect(client, seat)
        stays = await _connect(other, other.sit())
        client.go("/hub/logout")
        began = time.monotonic()
        while await asyncio.wait_for(line.read_message(), 60) is not None:
            pass
        took = time.monotonic() - began
        stays.close()
        return took

    took = run_beside(until_cut_off())
    assert took < 60
    assert client.ask("GET", f"{BASE}api/sessions")[0] in (302, 403)
    assert other.ask("GET", f"{BASE}api/sessions")[0] == 200
