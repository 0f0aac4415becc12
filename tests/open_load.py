"""How many pages an open class holds on one machine: one server, invented apprentices, measured.

    uv run python tests/load.py --open 50 200
    uv run python tests/load.py --open 1000 --processes 2 --browsers 5 --kernels 4

Each comes in with a code, opens a page, runs its head and first unit as a browser does, then slides
or checks, with a pause between, and goes on to the next unit now and then.
Told for each number: memory of the server and of a page, how long opening, a slider and a check
take from the message until all that it did has come back, and how much of one core the server used.
With browsers, 30 pages are opened in a minute while all work, by turns in a real browser and by an
invented apprentice. With kernels, so many pages are then run by a kernel process each, as
`taperkey learn --open` and a server for each person run them, and told beside the others.
The invented apprentices share the machine with the server. Not collected by pytest.
"""

from __future__ import annotations

import asyncio
import json
import os
import random
import sys
import tempfile
import time
from contextlib import AsyncExitStack, nullcontext
from pathlib import Path

from open_browsers import Browsers
from open_hours import listening, played
from open_kernels import with_kernels
from open_page import PAGES, Page, Tally, own_mib, part, rss_mib, spent_s, warmed_up
from tornado.httpclient import AsyncHTTPClient

from coursework.desks.joincodes import JoinCodes
from coursework.desks.opening import OpenClass, start_class
from coursework.room.classfolder import new_class
from coursework.room.roster import Apprentice

MOST_NUMBERS = 999  # a class has no more; from there on a person has more than one page
BETWEEN_OPENINGS_S = 2.0  # 30 in a minute


async def works(page: Page, tally: Tally, until: list[float], pause: tuple[float, float],
                gate: asyncio.Semaphore, going: asyncio.Event) -> None:  # fmt: skip
    """Be one apprentice until the time is up."""
    draw = random.Random(page.code)
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
        tally.failed.append(f"{page.code}: {type(error).__name__}: {error}"[:160])


async def _openings(browsers: Browsers, pages: list[Page], tally: Tally, end: float) -> None:
    """Open 30 pages in a minute, by turns in a browser and by an invented apprentice."""
    tasks = []
    turn = 0
    while time.monotonic() < end:
        act = browsers.open_next() if turn % 2 else _comes_late(pages, turn, tally)
        tasks.append(asyncio.create_task(act))
        turn += 1
        await asyncio.sleep(BETWEEN_OPENINGS_S)
    await asyncio.gather(*tasks)


async def _comes_late(pages: list[Page], turn: int, tally: Tally) -> None:
    like = pages[turn % len(pages)]
    page = Page(int(like.base.rsplit(":", 1)[1]), like.code, PAGES[turn // 2 % len(PAGES)])
    began = time.monotonic()
    try:
        await page.open()
        tally.late.append(time.monotonic() - began)
        await page.leave(closes=False)
    except Exception as error:  # noqa: BLE001 - told at the end
        tally.failed.append(f"{type(error).__name__}: {error}"[:120])


async def measured(
    served: OpenClass, codes: JoinCodes, count: int, seconds: float, pause: tuple[float, float],
    at_once: int, browsers: int,
) -> dict[str, object]:  # fmt: skip
    """Let so many pages work, and tell what was seen."""
    port = int(served.local.rsplit(":", 1)[1])
    ids = [one.pid for one in served.processes]
    await warmed_up(ids)
    empty, empty_own = rss_mib(ids), own_mib(ids)
    tally, going, gate = Tally(), asyncio.Event(), asyncio.Semaphore(at_once)
    until = [float("inf")]
    numbers = [number % MOST_NUMBERS + 1 for number in range(count)]
    pages = [
        Page(port, codes.of(number), PAGES[at % len(PAGES)]) for at, number in enumerate(numbers)
    ]
    began = time.monotonic()
    tasks = [asyncio.create_task(works(page, tally, until, pause, gate, going)) for page in pages]
    while len(tally.open) + len(tally.failed) < count:
        await asyncio.sleep(0.5)
    all_in = time.monotonic() - began
    full, full_own = rss_mib(ids), own_mib(ids)
    async with AsyncExitStack() as stack:
        real = None
        if browsers:
            theirs = [codes.of(number) for number in numbers[-browsers:]]
            real = await stack.enter_async_context(Browsers(served.local, theirs))
        before = spent_s(ids), time.monotonic()
        until[0] = time.monotonic() + seconds
        going.set()
        if real:
            await _openings(real, pages, tally, until[0])
        await asyncio.gather(*tasks)
        used = (spent_s(ids) - before[0]) / (time.monotonic() - before[1])
    told = {
        "pages": count,
        "processes": len(ids),
        "all_in_s": round(all_in, 1),
        "open_p50_ms": part(tally.open, 0.5),
        "open_p95_ms": part(tally.open, 0.95),
        "empty_MiB": round(empty),
        "server_MiB": round(full),
        "page_MiB": round((full - empty) / max(1, len(tally.open)), 2),
        "page_own_MiB": round((full_own - empty_own) / max(1, len(tally.open)), 2),
        "end_MiB": round(rss_mib(ids)),
        "acts": len(tally.slider) + len(tally.check),
        "slider_p50_ms": part(tally.slider, 0.5),
        "slider_p95_ms": part(tally.slider, 0.95),
        "check_p50_ms": part(tally.check, 0.5),
        "check_p95_ms": part(tally.check, 0.95),
        "unit_p50_ms": part(tally.unit, 0.5),
        "unit_p95_ms": part(tally.unit, 0.95),
        "of_one_core": round(used, 2),
        "load_average": round(os.getloadavg()[0], 1),
    }
    if real:
        seen = real.seen
        tally.failed += seen.failed
        told |= {
            "opened_meanwhile": len(tally.late),
            "late_p95_ms": part(tally.late, 0.95),
            "browsers": browsers,
            "browser_openings": len(seen.ready),
            "browser_ready_p50_s": part(seen.ready, 0.5) / 1000,
            "browser_ready_p95_s": part(seen.ready, 0.95) / 1000,
            "browser_first_ready_most_s": part(seen.first, 1.0) / 1000,
            "browser_slider_p50_ms": part(seen.slider, 0.5),
            "browser_slider_most_ms": part(seen.slider, 1.0),
            "browser_check_p50_ms": part(seen.check, 0.5),
            "browser_check_most_ms": part(seen.check, 1.0),
        }
    return told | {"failed": tally.failed[:5]}


def main(
    counts: list[int],
    seconds: float,
    pause: tuple[float, float],
    at_once: int,
    processes: int = 1,
    browsers: int = 0,
    kernels: int = 0,
    hours: int = 0,
) -> None:
    """Measure and print a line for each number of pages, each with a server of its own."""
    AsyncHTTPClient.configure(None, max_clients=1000)
    for count in counts:
        with tempfile.TemporaryDirectory() as folder:
            roster = [Apprentice(n, f"Apprentice {n}") for n in range(1, min(count, 999) + 1)]
            room = new_class(Path(folder) / "class", code="QQ-26-K7PX", title="Load", roster=roster)
            with listening() if hours else nullcontext():
                served = start_class(room, listen="127.0.0.1", processes=processes)
            try:
                served.wait_until_up()
                codes = JoinCodes(served.codes.path.parent)
                run = (
                    played(served, codes, count, hours, pause)
                    if hours
                    else measured(served, codes, count, seconds, pause, at_once, browsers)
                )
                told = asyncio.run(run)
                print(json.dumps(told), flush=True)
                if kernels and not hours:
                    print(json.dumps(with_kernels(kernels, seconds / 4, told)), flush=True)
            finally:
                served.stop()


if __name__ == "__main__":
    main([int(one) for one in sys.argv[1:]] or [50], 60.0, (5.0, 10.0), 10)
