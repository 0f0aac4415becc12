"""How many pages an open class holds on one machine: one server, invented apprentices, measured.

    uv run python tests/load.py --open 50 200

Each comes in with a code, opens a page, runs its head and first unit as a browser does, then slides
or checks, with a pause between, and goes on to the next unit now and then.
Told for each number: memory of the server and of a page, how long opening, a slider and a check
take from the message until all that it did has come back, and how much of one core the server used.
The invented apprentices share the machine with the server. Not collected by pytest.
"""

from __future__ import annotations

import asyncio
import json
import os
import random
import re
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

from tornado.httpclient import AsyncHTTPClient, HTTPRequest
from tornado.websocket import websocket_connect

from coursework.course import PAGES as PAGES_OF
from coursework.course import course
from coursework.desks.calls import page_calls
from coursework.desks.joincodes import JoinCodes
from coursework.desks.opening import OpenClass, start_class
from coursework.desks.wire import packed
from coursework.room.classfolder import new_class
from coursework.room.coursebook import shipped_pages
from coursework.room.roster import Apprentice

PAGES = (
    "lessons/01-measure.ipynb",
    "lessons/04-fit.ipynb",
    "exercises/02-taper/02-taper.ipynb",
)
GOES_ON = 0.05  # of all acts
IDLE = b'"execution_state": "idle"'
MOST_NUMBERS = 999  # a class has no more; from there on a person has more than one page


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
    slider: list[float] = field(default_factory=list)
    check: list[float] = field(default_factory=list)
    unit: list[float] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)


class Page:
    """One page of one apprentice, as far as its messages go."""

    def __init__(self, port: int, code: str, page: str) -> None:
        self.base, self.code, self.page = f"http://127.0.0.1:{port}", code, page
        self.cookies: dict[str, str] = {}
        self.sent_on = ""  # to the server of the class where this apprentice works
        self.sliders: dict[str, tuple[float, float]] = {}
        self.checks: list[str] = []
        self.count = 0

    async def _ask(
        self, method: str, path: str, body: bytes | None = None, kind: str = ""
    ) -> bytes:
        headers = {"Cookie": "; ".join(f"{k}={v}" for k, v in self.cookies.items())}
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
        folder, _, name = self.page.rpartition("/")
        wish = json.dumps({"path": f"{folder}/x", "name": name, "type": "notebook"}).encode()
        seat = json.loads(await self._ask("POST", "/api/sessions", wish, "application/json"))
        path = json.dumps({"path": self.page}).encode()
        await self._ask("PATCH", f"/api/sessions/{seat['id']}", path, "application/json")
        address = f"{self.base}/api/kernels/{seat['kernel']['id']}/channels?session_id=l"
        self.line = await websocket_connect(
            HTTPRequest(
                address.replace("http", "ws", 1), headers={"Cookie": self._cookie()},
                connect_timeout=300,
            ),
            subprotocols=["v1.kernel.websocket.jupyter.org"],
        )  # fmt: skip
        self.parts = parts_of(self.page)
        await self.go_on()  # the head
        await self.go_on()  # and the unit that is shown

    async def go_on(self) -> None:
        """Run the next unit; of an exercise all at once."""
        for block in self.parts.pop(0) if self.parts else ():
            await self._send("execute_request", {"code": block})

    def _cookie(self) -> str:
        return "; ".join(f"{name}={value}" for name, value in self.cookies.items())

    async def _send(self, kind: str, content: dict) -> None:  # type: ignore[type-arg]
        await self.line.write_message(
            packed("shell", kind, content, parent={}, session="l"), binary=True
        )
        while True:
            raw = await self.line.read_message()
            if raw is None:
                raise OSError("cut off")
            if IDLE in raw:
                return
            if b"SliderModel" in raw or b'"description": "Check"' in raw:
                self._note(raw)

    def _note(self, raw: bytes) -> None:
        key = re.search(rb'"comm_id": "([0-9a-f]{32})"', raw)
        if key is None or b'"comm_open"' not in raw:
            return
        bounds = [re.search(rb'"%s": (-?[0-9.e-]+)' % name, raw) for name in (b"min", b"max")]
        if b"SliderModel" in raw and all(bounds) and b"RangeSlider" not in raw:
            low, high = (float(one[1]) for one in bounds if one)
            self.sliders[key[1].decode()] = (low, high)
        elif b'"description": "Check"' in raw:
            self.checks.append(key[1].decode())

    async def act(self, tally: Tally, draw: random.Random) -> None:
        """Slide or check; now and then, go on to the next unit."""
        began = time.monotonic()
        if self.parts and draw.random() < GOES_ON:
            await self.go_on()
            tally.unit.append(time.monotonic() - began)
            return
        if self.sliders and (draw.random() < 0.5 or not self.checks):
            key = draw.choice(list(self.sliders))
            value = draw.uniform(*self.sliders[key])
            data = {"method": "update", "state": {"value": value}, "buffer_paths": []}
            await self._send("comm_msg", {"comm_id": key, "data": data})
            tally.slider.append(time.monotonic() - began)
        elif self.checks:
            data = {"method": "custom", "content": {"event": "click"}}
            await self._send("comm_msg", {"comm_id": draw.choice(self.checks), "data": data})
            tally.check.append(time.monotonic() - began)


def _part(of: list[float], part: float) -> float:
    ordered = sorted(of)
    place = min(len(ordered) - 1, int(part * len(ordered)))
    return round(1000 * ordered[place], 1) if ordered else float("nan")


def memory_mib(processes: list[int]) -> float:
    """Return the resident memory of processes [MiB]; what they share is counted for each."""
    texts = [Path(f"/proc/{one}/status").read_text() for one in processes]
    return sum(int(re.findall(r"VmRSS:\s+(\d+)", text)[0]) for text in texts) / 1024


def spent_s(processes: list[int]) -> float:
    """Return the processor time that processes have had [s]."""
    texts = [Path(f"/proc/{one}/stat").read_text() for one in processes]
    fields = [text.rsplit(")", 1)[1].split() for text in texts]
    return sum(int(one[11]) + int(one[12]) for one in fields) / os.sysconf("SC_CLK_TCK")


async def _works(page: Page, tally: Tally, until: list[float], pause: tuple[float, float],
                 after: float, gate: asyncio.Semaphore, going: asyncio.Event) -> None:  # fmt: skip
    draw = random.Random(page.code)
    await asyncio.sleep(after)
    try:
        async with gate:
            began = time.monotonic()
            await page.open()
            tally.open.append(time.monotonic() - began)
        await going.wait()
        while time.monotonic() < until[0]:
            await asyncio.sleep(draw.uniform(*pause))
            await page.act(tally, draw)
    except Exception as error:  # told at the end
        tally.failed.append(f"{type(error).__name__}: {error}"[:120])


async def measured(
    served: OpenClass, codes: JoinCodes, count: int, seconds: float, pause: tuple[float, float],
    at_once: int,
) -> dict[str, object]:  # fmt: skip
    """Let so many pages work, and tell what was seen."""
    port = int(served.local.rsplit(":", 1)[1])
    ids = [one.pid for one in served.processes]
    empty, before_s = 0.0, -1.0
    while spent_s(ids) - before_s > 0.3 or abs(memory_mib(ids) - empty) > 1:
        empty, before_s = memory_mib(ids), spent_s(ids)
        await asyncio.sleep(3)  # it warms up first
    tally, going, gate = Tally(), asyncio.Event(), asyncio.Semaphore(at_once)
    until = [float("inf")]
    pages = [
        Page(port, codes.of(number % MOST_NUMBERS + 1), PAGES[number % len(PAGES)])
        for number in range(count)
    ]
    began = time.monotonic()
    tasks = [
        asyncio.create_task(_works(page, tally, until, pause, 0.0, gate, going)) for page in pages
    ]
    while len(tally.open) + len(tally.failed) < count:
        await asyncio.sleep(0.5)
    all_in = time.monotonic() - began
    full = memory_mib(ids)
    before = spent_s(ids), time.monotonic()
    until[0] = time.monotonic() + seconds
    going.set()
    await asyncio.gather(*tasks)
    used = (spent_s(ids) - before[0]) / (time.monotonic() - before[1])
    return {
        "pages": count,
        "processes": len(ids),
        "all_in_s": round(all_in, 1),
        "open_p50_ms": _part(tally.open, 0.5),
        "open_p95_ms": _part(tally.open, 0.95),
        "empty_MiB": round(empty),
        "server_MiB": round(full),
        "page_MiB": round((full - empty) / max(1, len(tally.open)), 2),
        "end_MiB": round(memory_mib(ids)),
        "acts": len(tally.slider) + len(tally.check),
        "slider_p50_ms": _part(tally.slider, 0.5),
        "slider_p95_ms": _part(tally.slider, 0.95),
        "check_p50_ms": _part(tally.check, 0.5),
        "check_p95_ms": _part(tally.check, 0.95),
        "unit_p50_ms": _part(tally.unit, 0.5),
        "unit_p95_ms": _part(tally.unit, 0.95),
        "of_one_core": round(used, 2),
        "load_average": round(os.getloadavg()[0], 1),
        "failed": tally.failed[:5],
    }


def main(
    counts: list[int],
    seconds: float,
    pause: tuple[float, float],
    at_once: int,
    processes: int = 1,
) -> None:
    """Measure and print a line for each number of pages, each with a server of its own."""
    AsyncHTTPClient.configure(None, max_clients=1000)
    for count in counts:
        with tempfile.TemporaryDirectory() as folder:
            roster = [Apprentice(n, f"Apprentice {n}") for n in range(1, min(count, 999) + 1)]
            room = new_class(Path(folder) / "class", code="QQ-26-K7PX", title="Load", roster=roster)
            served = start_class(room, listen="127.0.0.1", processes=processes)
            try:
                served.wait_until_up()
                codes = JoinCodes(served.codes.path.parent)
                told = measured(served, codes, count, seconds, pause, at_once)
                print(json.dumps(asyncio.run(told)), flush=True)
            finally:
                served.stop()


if __name__ == "__main__":
    main([int(one) for one in sys.argv[1:]] or [50], 60.0, (5.0, 10.0), 10)
