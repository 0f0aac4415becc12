"""A person at the hub without a browser: logs in, opens a page, runs it, presses buttons.

Used by the checks of the hub and by the load script; nothing is collected from here.
"""

import asyncio
import json
import re
import time
import uuid
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from functools import cached_property
from http.cookies import SimpleCookie
from typing import Any, TypeVar
from urllib.parse import urlencode, urljoin

from tornado.httpclient import AsyncHTTPClient, HTTPRequest, HTTPResponse
from tornado.websocket import WebSocketClientConnection, websocket_connect

Result = TypeVar("Result")


def finish(coroutine: Coroutine[Any, Any, Result]) -> Result:
    """Run a coroutine to its end in a thread of its own, whatever loop runs here already."""
    with ThreadPoolExecutor(max_workers=1) as pool:
        return pool.submit(asyncio.run, coroutine).result()


class RefusedError(Exception):
    """The hub or a page server said no; the text says how."""


class Person:
    """One account at one hub."""

    def __init__(self, address: str, account: str, password: str, *, trusted: str = "") -> None:
        self.address = address.rstrip("/")
        self.trusted = trusted or None  # the certificate of a hub that answers over https
        self.account = account
        self.password = password
        self.cookies: dict[str, tuple[str, str]] = {}  # name: (value, path)

    @cached_property
    def http(self) -> AsyncHTTPClient:
        """Return the connection, made in the loop that uses it first."""
        return AsyncHTTPClient(force_instance=True, max_clients=20)

    # cookies and requests

    def _cookie_header(self, path: str) -> str:
        kept = [
            f"{name}={value}"
            for (name, where), (value, _) in self.cookies.items()
            if path.startswith(where)
        ]
        return "; ".join(kept)

    def _xsrf(self, path: str) -> str:
        best = ""
        length = -1
        for (name, where), (value, _) in self.cookies.items():
            if name == "_xsrf" and path.startswith(where) and len(where) > length:
                best, length = value, len(where)
        return best

    async def fetch(self, path: str, *, method: str = "GET", body: object = None) -> HTTPResponse:
        """Ask for a path, following what the hub sends us on to."""
        form = method == "POST" and isinstance(body, str)
        for _ in range(12):
            headers = {"Cookie": self._cookie_header(path.split("?")[0])}
            data = None
            if method != "GET":
                headers["X-XSRFToken"] = self._xsrf(path.split("?")[0])
                headers["Content-Type"] = (
                    "application/x-www-form-urlencoded" if form else "application/json"
                )
                data = body if form else json.dumps(body)
            reply = await self.http.fetch(
                HTTPRequest(
                    self.address + path,
                    method=method,
                    headers=headers,
                    body=data,
                    follow_redirects=False,
                    request_timeout=120,
                    ca_certs=self.trusted,
                    allow_nonstandard_methods=True,
                ),
                raise_error=False,
            )
            for line in reply.headers.get_list("Set-Cookie"):
                for name, morsel in SimpleCookie(line).items():
                    where = (name, morsel["path"] or "/")
                    if morsel["expires"] and morsel.value == "":
                        self.cookies.pop(where, None)
                    else:
                        self.cookies[where] = (morsel.value, where[1])
            if reply.code not in (301, 302, 303, 307):
                return reply
            target = urljoin(self.address + path, reply.headers["Location"])
            path = target[len(self.address) :]
            if not path.startswith("/"):
                raise RefusedError(f"sent on to {target}")
            method, body, form = "GET", None, False
        raise RefusedError(f"sent round in circles at {path}")

    async def log_in(self) -> None:
        """Log in at the hub."""
        await self.fetch("/hub/login")
        form = urlencode(
            {
                "username": self.account,
                "password": self.password,
                "_xsrf": self._xsrf("/hub/login"),
            }
        )
        reply = await self.fetch("/hub/login?next=%2Fhub%2Fhome", method="POST", body=form)
        text = reply.body.decode("utf-8", "replace")
        if reply.code != 200 or 'name="password"' in text:
            said = re.search(r'class="login_error[^"]*">\s*([^<]+)<', text)
            raise RefusedError(said.group(1).strip() if said else f"log-in gave {reply.code}")

    async def start(self, seconds: float = 180.0) -> None:
        """Start the page server and wait until it answers."""
        end = time.monotonic() + seconds
        asked = await self.fetch("/hub/spawn")
        while time.monotonic() < end:
            if asked.code in (429, 503):  # come again later
                await asyncio.sleep(3)
                asked = await self.fetch("/hub/spawn")
                continue
            await self.fetch(f"/user/{self.account}/lab")  # the hub says who we are
            reply = await self.fetch(f"/user/{self.account}/api/status")
            if reply.code == 200 and b'"started"' in reply.body:
                return
            await asyncio.sleep(1)
        raise RefusedError("the page server did not come up")

    async def api(self, path: str, *, method: str = "GET", body: object = None) -> HTTPResponse:
        """Ask the page server."""
        return await self.fetch(f"/user/{self.account}/{path}", method=method, body=body)

    async def open_page(self, path: str) -> "OpenPage":
        """Open a page and start what runs it."""
        reply = await self.api(f"api/contents/{path}")
        if reply.code != 200:
            raise RefusedError(f"{path} gave {reply.code}")
        notebook = json.loads(reply.body)["content"]
        wish = {
            "path": path,
            "name": path.rsplit("/", 1)[-1],
            "type": "notebook",
            "kernel": {"name": "python3"},
        }
        session = await self.api("api/sessions", method="POST", body=wish)
        if session.code != 201:
            raise RefusedError(f"the session of {path} gave {session.code}: {session.body[:200]!r}")
        made = json.loads(session.body)
        page = OpenPage(self, notebook, made["id"], made["kernel"]["id"])
        await page.connect()
        return page


class OpenPage:
    """A page with the process that runs it, and the forms on it."""

    def __init__(self, person: Person, notebook: dict, session: str, kernel: str) -> None:
        self.person = person
        self.notebook = notebook
        self.session = session
        self.kernel = kernel
        self.widgets: dict[str, dict] = {}
        self.errors: list[str] = []
        self._socket: WebSocketClientConnection | None = None
        self._id = uuid.uuid4().hex

    async def connect(self) -> None:
        path = f"/user/{self.person.account}/api/kernels/{self.kernel}/channels"
        address = self.person.address.replace("http", "ws", 1) + path
        self._socket = await websocket_connect(
            HTTPRequest(
                f"{address}?session_id={self._id}",
                headers={
                    "Cookie": self.person._cookie_header(path),
                    "Origin": self.person.address,
                    "X-XSRFToken": self.person._xsrf(path),
                },
                request_timeout=60,
                ca_certs=self.person.trusted,
            )
        )

    async def _send(self, kind: str, content: dict) -> str:
        message = uuid.uuid4().hex
        assert self._socket is not None
        await self._socket.write_message(
            json.dumps(
                {
                    "channel": "shell",
                    "header": {
                        "msg_id": message,
                        "msg_type": kind,
                        "username": "",
                        "session": self._id,
                        "date": "",
                        "version": "5.3",
                    },
                    "parent_header": {},
                    "metadata": {},
                    "content": content,
                }
            )
        )
        return message

    async def _until_idle(self, message: str, *, reply: bool, seconds: float = 120.0) -> None:
        assert self._socket is not None
        idle = False
        replied = not reply
        while not (idle and replied):
            raw = await asyncio.wait_for(self._socket.read_message(), seconds)
            if raw is None:
                raise RefusedError("the page's connection was closed")
            if isinstance(raw, bytes):
                continue
            said = json.loads(raw)
            self._note(said)
            if said["parent_header"].get("msg_id") != message:
                continue
            kind = said["header"]["msg_type"]
            if kind == "status" and said["content"]["execution_state"] == "idle":
                idle = True
            if kind.endswith("_reply"):
                replied = True

    def _note(self, said: dict) -> None:
        kind, content = said["header"]["msg_type"], said["content"]
        if kind == "comm_open":
            self.widgets[content["comm_id"]] = dict(content["data"].get("state", {}))
        elif kind == "comm_msg" and content["data"].get("method") in ("update", "echo_update"):
            self.widgets.get(content["comm_id"], {}).update(content["data"].get("state", {}))
        elif kind == "error":
            self.errors.append(f"{content['ename']}: {content['evalue']}")

    async def execute(self, source: str) -> None:
        message = await self._send(
            "execute_request",
            {
                "code": source,
                "silent": False,
                "store_history": False,
                "user_expressions": {},
                "allow_stdin": False,
                "stop_on_error": True,
            },
        )
        await self._until_idle(message, reply=True)

    async def run(self) -> None:
        """Run the page from top to bottom, as it does by itself in a browser."""
        for cell in self.notebook["cells"]:
            if cell["cell_type"] == "code":
                source = cell["source"]
                await self.execute(source if isinstance(source, str) else "".join(source))

    def find(self, **state: object) -> list[str]:
        """Return the forms whose state holds these values, in order."""
        return [
            one
            for one, has in self.widgets.items()
            if all(has.get(name) == value for name, value in state.items())
        ]

    async def type_into(self, widget: str, text: str) -> None:
        """Type a value and commit it."""
        message = await self._send(
            "comm_msg",
            {"comm_id": widget, "data": {"method": "update", "state": {"value": text}}},
        )
        await self._until_idle(message, reply=False)

    async def press(self, widget: str) -> float:
        """Press a button; return the seconds until everything it did has come back."""
        began = time.monotonic()
        message = await self._send(
            "comm_msg",
            {
                "comm_id": widget,
                "data": {"method": "custom", "content": {"event": "click"}, "buffers": []},
            },
        )
        await self._until_idle(message, reply=False)
        return time.monotonic() - began

    async def close(self) -> None:
        """Leave the page; what runs it ends, as in the course's own view."""
        if self._socket is not None:
            self._socket.close()
        await self.person.api(f"api/sessions/{self.session}", method="DELETE", body={})
