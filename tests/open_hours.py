"""Does an open class grow? Class hours played through without their pauses, and memory read.

    uv run python tests/load.py --open 100 --hours 4 --pause 20 40

Each apprentice does as many acts as the pauses leave time for in a class hour, one after the other
with no pause: the hours are compressed, the acts are not fewer. Pages are opened and left, the next
unit comes, sliders move, entries are typed and checked, exercises handed in, connections lost and
regained. After each quarter of a class hour everybody rests; what the server puts away after a
quarter of an hour is put away then, what is no longer used is collected, and memory is read.
"""

from __future__ import annotations

import asyncio
import json
import random
import signal
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from open_page import GOES_ON, PAGES, Page, Tally, own_mib, part, rss_mib, warmed_up
from tornado.httpclient import AsyncHTTPClient

from coursework.desks import opening
from coursework.desks.joincodes import JoinCodes

QUARTERS = 4  # readings in an hour
LEAVES = 1 / 30  # of all acts: another page is opened
DROPS = 1 / 60  # the connection is lost and comes back
HANDS_IN = 1 / 30  # in an exercise
TYPES = 0.3
CLOSES = 0.5  # of pages left: closed, as a link to another page does; else its window is shut
MORE_PAGES = (*PAGES, "lessons/02-taper.ipynb", "exercises/01-measure/01-measure.ipynb")
_LISTENS = f"""
import sys
sys.path.append({str(Path(__file__).parent)!r})
import open_hours
open_hours.listen()
"""


# in the server


def listen() -> None:
    """Rest at each signal, and write down that it is done."""
    signal.signal(signal.SIGUSR2, _rest)


_last: list[Any] = []


def _rest(*_: object) -> None:
    """Let a quarter of an hour have gone by since the last signal: put away, collect."""
    import gc
    import os
    from datetime import UTC, datetime, timedelta

    from coursework.desks import serving
    from coursework.desks.seating import AWAY_SECONDS

    seating = serving._given["seating"]
    away = seating.put_away(_last[0] + timedelta(seconds=AWAY_SECONDS)) if _last else 0
    _last[:] = [datetime.now(UTC)]
    end = time.monotonic() + 10
    while seating.busy and time.monotonic() < end:
        time.sleep(0.05)  # the threads drop what was put away
    gc.collect()
    told = {"objects": len(gc.get_objects()), "away": away, "seats": len(seating.seats)}
    told["desks"] = sum(seat.desk is not None for seat in seating.seats.values())
    path = seating.private / f"rest-{os.getpid()}.json"
    path.with_suffix(".part").write_text(json.dumps(told), "utf-8")
    path.with_suffix(".part").replace(path)


# in the measuring process


@contextmanager
def listening() -> Iterator[None]:
    """Let servers that are started now listen to the signal."""
    plain = opening.lab_environment

    def with_more(*, settings: str, **given: Any) -> dict[str, str]:
        return plain(settings=settings + _LISTENS, **given)

    opening.lab_environment = with_more  # type: ignore[assignment]
    try:
        yield
    finally:
        opening.lab_environment = plain


async def _all_rest(served: opening.OpenClass) -> dict[str, int]:
    private = served.codes.path.parent
    told: dict[str, int] = {}
    for process, local in zip(served.processes, served.locals, strict=True):
        note = private / f"rest-{process.pid}.json"
        note.unlink(missing_ok=True)
        process.send_signal(signal.SIGUSR2)
        while not note.exists():
            await asyncio.sleep(0.2)
            await AsyncHTTPClient().fetch(f"{local}/login")  # wakes a server that sleeps
        for name, count in json.loads(note.read_bytes()).items():
            told[name] = told.get(name, 0) + count
    return told


async def _plays(page: Page, acts: int, tally: Tally, draw: random.Random) -> None:
    """Do so many acts of an apprentice."""
    for _ in range(acts):
        began = time.monotonic()
        chance = draw.random()
        if chance < LEAVES:
            await page.leave(closes=draw.random() < CLOSES)
            await page.open_page(draw.choice(MORE_PAGES))
            tally.open.append(time.monotonic() - began)
        elif chance < LEAVES + DROPS:
            await page.come_back()
            tally.back.append(time.monotonic() - began)
        elif page.hand_ins and chance < LEAVES + DROPS + HANDS_IN:
            await page.press(draw.choice(page.hand_ins))
            tally.hand_in.append(time.monotonic() - began)
        elif page.parts and draw.random() < GOES_ON:
            await page.go_on()
            tally.unit.append(time.monotonic() - began)
        elif page.boxes and draw.random() < TYPES:
            await page.type(draw)
            tally.typed.append(time.monotonic() - began)
        else:
            await page.act(tally, draw)


async def played(
    served: opening.OpenClass, codes: JoinCodes, count: int, hours: int, pause: tuple[float, float]
) -> dict[str, object]:
    """Play so many class hours, and tell how memory went."""
    port = int(served.local.rsplit(":", 1)[1])
    ids = [one.pid for one in served.processes]
    acts = round(3600 / (sum(pause) / 2))
    print(
        f"{hours} class hours of {acts} acts a page each, as with pauses of {pause[0]:g} to "
        f"{pause[1]:g} s. The hours are compressed: the acts are played without the pauses.",
        flush=True,
    )
    await warmed_up(ids)
    pages = [Page(port, codes.of(at + 1), MORE_PAGES[at % len(MORE_PAGES)]) for at in range(count)]
    gate = asyncio.Semaphore(10)

    async def comes(page: Page) -> None:
        async with gate:
            await page.open()

    await asyncio.gather(*(comes(page) for page in pages))
    tally, draws = Tally(), [random.Random(page.code) for page in pages]
    began = time.monotonic()
    read: list[tuple[float, float, float]] = []

    async def plays(page: Page, draw: random.Random) -> None:
        try:
            await _plays(page, acts // QUARTERS, tally, draw)
        except Exception as error:  # noqa: BLE001 - told at the end
            tally.failed.append(f"{page.page}: {type(error).__name__}: {error}"[:120])

    for quarter in range(1, hours * QUARTERS + 1):
        await asyncio.gather(*(plays(page, draw) for page, draw in zip(pages, draws, strict=True)))
        told = await _all_rest(served)
        read.append((quarter / QUARTERS, own_mib(ids), rss_mib(ids)))
        at, own, resident = read[-1]
        first = read[min(len(read), QUARTERS) - 1]
        grown = (own / first[1] - 1, resident / first[2] - 1)
        print(
            f"hour {at:5.2f}, after {time.monotonic() - began:4.0f} s: own {own:6.1f} MiB, "
            f"resident {resident:6.1f} MiB; since hour {first[0]:g} {100 * grown[0]:+.1f} %, "
            f"{100 * grown[1]:+.1f} %; {told}",
            flush=True,
        )
    kinds = ("open", "unit", "slider", "typed", "check", "hand_in", "back")
    first = read[QUARTERS - 1]
    return {
        "pages": count,
        "processes": len(ids),
        "class_hours": hours,
        "compressed_to_s": round(time.monotonic() - began),
        "acts_a_page_and_hour": acts,
        **{f"{kind}s": len(getattr(tally, kind)) for kind in kinds},
        "slider_p95_ms": part(tally.slider, 0.95),
        "own_first_quarter_MiB": round(first[1], 1),
        "own_end_MiB": round(read[-1][1], 1),
        "own_growth_percent": round(100 * (read[-1][1] / first[1] - 1), 1),
        "resident_growth_percent": round(100 * (read[-1][2] / first[2] - 1), 1),
        "failed": tally.failed[:5],
    }
