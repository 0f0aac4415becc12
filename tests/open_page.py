"""A page of an invented apprentice in an open class, as far as its messages go."""

from __future__ import annotations

import asyncio
import json
import os
import random
import re
import time
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

from tornado.httpclient import AsyncHTTPClient, HTTPRequest
from tornado.websocket import websocket_connect

from coursework.course import PAGES as PAGES_OF
from coursework.course import course
from coursework.desks.calls import page_calls
from coursework.desks.wire import packed
from coursework.room.coursebook import shipped_pages

PAGES = (
    "lessons/01-measure.ipynb",
    "lessons/04-fit.ipynb",
    "exercises/02-taper/02-taper.ipynb",
)
PATIENCE_S = 120.0
GOES_ON = 0.05  # of all acts
IDLE_STATE = "idle"
IDLE = b'"execution_state": "idle"'
_NOTED = (b"SliderModel", b'"description": "Check"', b'"description": "Hand in"', b'"TextModel"')


def parts_of(page: str) -> list[list[str]]:
    """Return the blocks of a page as a browser runs them: the head, then unit by unit."""
    file = shipped_pages()[page]
    lesson = PAGES_OF.get(page.removeprefix("lessons/").removesuffix(".ipynb"))
    units = {unit.id for unit in lesson.units} if lesson and page.startswith("lessons/") else set()
    parts: list[list[str]] = [[]]
    known = page_calls(file, course().calls)
    for cell in json.loads(file.read_bytes())["cells"]:
        if cell["id"] in units:
            parts.append([])
        source = "".join(cell["source"])
        if cell["cell_type"] == "code" and source in known:
            parts[-1].append(source)
    return parts


@dataclass
class Tally:
    """What was seen, in seconds."""

    open: list[float] = field(default_factory=list)
    late: list[float] = field(default_factory=list)
    slider: list[float] = field(default_factory=list)
    check: list[float] = field(default_factory=list)
    unit: list[float] = field(default_factory=list)
    typed: list[float] = field(default_factory=list)
    hand_in: list[float] = field(default_factory=list)
    back: list[float] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)


class Page:
    """One page of one apprentice."""

    def __init__(self, port: int, code: str, page: str) -> None:
        self.base, self.code, self.page = f"http://127.0.0.1:{port}", code, page
        self.cookies: dict[str, str] = {}
        self.sent_on = ""  # to the server of the class where this apprentice works
        self.sliders: dict[str, tuple[float, float]] = {}
        self.checks: list[str] = []
        self.boxes: list[str] = []
        self.hand_ins: list[str] = []

    async def _ask(
        self, method: str, path: str, body: bytes | None = None, kind: str = ""
    ) -> bytes:
        headers = {"Cookie": self._cookie()}
        if "_xsrf" in self.cookies:
            headers["X-XSRFToken"] = self.cookies["_xsrf"]
        if kind:
            headers["Content-Type"] = kind
        reply = await AsyncHTTPClient().fetch(
            HTTPRequest(
                self.base + path, method, headers, body, follow_redirects=False,
                request_timeout=300, connect_timeout=300,
            ),
            raise_error=False,
        )  # fmt: skip
        for line in reply.headers.get_list("Set-Cookie"):
            name, _, rest = line.partition("=")
            self.cookies[name] = rest.split(";")[0]
        there = re.match(r"https?://[^/]+", reply.headers.get("Location", ""))
        self.sent_on = there[0] if there else ""
        if reply.code >= 400:
            raise OSError(f"{method} {path}: {reply.code}")
        return bytes(reply.body)

    async def open(self) -> None:
        """Come in, open the page, run it."""
        await self._ask("GET", "/login")
        form = urlencode({"code": self.code, "_xsrf": self.cookies["_xsrf"]}).encode()
        await self._ask("POST", "/login", form, "application/x-www-form-urlencoded")
        self.base = self.sent_on or self.base
        await self.open_page(self.page)

    async def open_page(self, page: str) -> None:
        """Open a page and run what is shown of it."""
        self.page = page
        folder, _, name = page.rpartition("/")
        wish = json.dumps({"path": f"{folder}/x", "name": name, "type": "notebook"}).encode()
        self.seat = json.loads(await self._ask("POST", "/api/sessions", wish, "application/json"))
        path = json.dumps({"path": page}).encode()
        await self._ask("PATCH", f"/api/sessions/{self.seat['id']}", path, "application/json")
        await self.connect()
        self.sliders, self.checks, self.boxes, self.hand_ins = {}, [], [], []
        self.parts = parts_of(page)
        await self.go_on()  # the head
        await self.go_on()  # and the unit that is shown

    async def connect(self) -> None:
        """Connect to what runs the page."""
        address = f"{self.base}/api/kernels/{self.seat['kernel']['id']}/channels?session_id=l"
        self.line = await websocket_connect(
            HTTPRequest(
                address.replace("http", "ws", 1), headers={"Cookie": self._cookie()},
                connect_timeout=300,
            ),
            subprotocols=["v1.kernel.websocket.jupyter.org"],
        )  # fmt: skip

    async def come_back(self) -> None:
        """Lose the connection, and do what a browser does to come back."""
        self.line.close()
        await self.connect()
        await self.send("kernel_info_request", {})
        await self.send("comm_info_request", {"target_name": "jupyter.widget"})
        told = {"comm_id": "a" * 32, "target_name": "jupyter.widget.control", "data": {}}
        await self.send("comm_open", told)
        data = {"method": "request_states"}
        await self.send("comm_msg", {"comm_id": "a" * 32, "data": data})
        await self.send("comm_close", {"comm_id": "a" * 32, "data": {}})

    async def leave(self, *, closes: bool) -> None:
        """Leave the page: close it, as a link to another does, or only shut the window."""
        self.line.close()
        if closes:
            await self._ask("DELETE", f"/api/sessions/{self.seat['id']}")

    async def go_on(self) -> None:
        """Run the next unit; of an exercise all at once."""
        for block in self.parts.pop(0) if self.parts else ():
            await self.send("execute_request", {"code": block})

    def _cookie(self) -> str:
        return "; ".join(f"{name}={value}" for name, value in self.cookies.items())

    async def send(self, kind: str, content: dict) -> None:  # type: ignore[type-arg]
        """Send a message and wait until all that it did has come back."""
        await self.line.write_message(
            packed("shell", kind, content, parent={}, session="l"), binary=True
        )
        while True:
            try:
                raw = await asyncio.wait_for(self.line.read_message(), PATIENCE_S)
            except TimeoutError:
                raise OSError(f"no answer to {kind} {str(content)[:60]}") from None
            if raw is None:
                raise OSError("cut off")
            if IDLE in raw:
                return
            if b'"comm_open"' in raw and any(word in raw for word in _NOTED):
                self._note(raw)

    def _note(self, raw: bytes) -> None:
        key = re.search(rb'"comm_id": "([0-9a-f]{32})"', raw)
        if key is None:
            return
        bounds = [re.search(rb'"%s": (-?[0-9.e-]+)' % name, raw) for name in (b"min", b"max")]
        if b"SliderModel" in raw and all(bounds) and b"RangeSlider" not in raw:
            low, high = (float(one[1]) for one in bounds if one)
            self.sliders[key[1].decode()] = (low, high)
        elif b'"description": "Check"' in raw:
            self.checks.append(key[1].decode())
        elif b'"description": "Hand in"' in raw:
            self.hand_ins.append(key[1].decode())
        elif b'"_model_name": "TextModel"' in raw and b"Unit read to its end" not in raw:
            self.boxes.append(key[1].decode())

    async def slide(self, draw: random.Random) -> None:
        """Move a slider."""
        key = draw.choice(list(self.sliders))
        await self._update(key, draw.uniform(*self.sliders[key]))

    async def type(self, draw: random.Random) -> None:
        """Type into a box."""
        await self._update(draw.choice(self.boxes), f"{draw.uniform(0.9, 1.1):.4f} in")

    async def press(self, key: str) -> None:
        """Press a button."""
        data = {"method": "custom", "content": {"event": "click"}}
        await self.send("comm_msg", {"comm_id": key, "data": data})

    async def _update(self, key: str, value: object) -> None:
        data = {"method": "update", "state": {"value": value}, "buffer_paths": []}
        await self.send("comm_msg", {"comm_id": key, "data": data})

    async def act(self, tally: Tally, draw: random.Random) -> None:
        """Slide or check; now and then, go on to the next unit."""
        began = time.monotonic()
        if self.parts and draw.random() < GOES_ON:
            await self.go_on()
            tally.unit.append(time.monotonic() - began)
        elif self.sliders and (draw.random() < 0.5 or not self.checks):
            await self.slide(draw)
            tally.slider.append(time.monotonic() - began)
        elif self.checks:
            await self.press(draw.choice(self.checks))
            tally.check.append(time.monotonic() - began)


def part(of: list[float], share: float) -> float:
    """Return the time that this share of them does not exceed [ms]."""
    ordered = sorted(of)
    place = min(len(ordered) - 1, int(share * len(ordered)))
    return round(1000 * ordered[place], 1) if ordered else float("nan")


def rss_mib(processes: list[int]) -> float:
    """Return the resident memory of processes [MiB]; what they share is counted for each."""
    texts = [Path(f"/proc/{one}/status").read_text() for one in processes]
    return sum(int(re.findall(r"VmRSS:\s+(\d+)", text)[0]) for text in texts) / 1024


def own_mib(processes: list[int]) -> float:
    """Return the memory that is each process's alone [MiB]: what its end would free."""
    texts = [Path(f"/proc/{one}/smaps_rollup").read_text() for one in processes]
    lines = [line for text in texts for line in re.findall(r"Private_\w+:\s+(\d+)", text)]
    return sum(int(one) for one in lines) / 1024


def spent_s(processes: list[int]) -> float:
    """Return the processor time that processes have had [s]."""
    texts = [Path(f"/proc/{one}/stat").read_text() for one in processes]
    fields = [text.rsplit(")", 1)[1].split() for text in texts]
    return sum(int(one[11]) + int(one[12]) for one in fields) / os.sysconf("SC_CLK_TCK")


async def warmed_up(processes: list[int]) -> None:
    """Wait until servers have run each page once for nobody."""
    before, size = -1.0, 0.0
    while spent_s(processes) - before > 0.3 or abs(rss_mib(processes) - size) > 1:
        before, size = spent_s(processes), rss_mib(processes)
        await asyncio.sleep(3)
