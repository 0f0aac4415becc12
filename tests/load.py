"""How many apprentices can work at once on one machine: a real hub, real pages, measured.

    bash tests/prepare_hub.sh && python tests/load.py --people 10 20 40
    python tests/load.py --open 50 200     an open class (tests/open_load.py): no hub, no root

Each invented apprentice logs in, opens a page and runs it, then types and presses, waiting 20 to
40 s between, and goes on to another page now and then. Told for each number of people: memory an
apprentice (proportional share, so what is shared counts once), the time of a press from the click
until everything it did has come back, and how busy the machine was. Not collected by pytest.
"""

import argparse
import asyncio
import json
import os
import random
import signal
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import hub_class
import hub_client

PAGES = (
    "lessons/00-start.ipynb",
    "lessons/01-measure.ipynb",
    "lessons/02-taper.ipynb",
    "exercises/01-measure/01-measure.ipynb",
)
PRESSES_A_PAGE = 4


def at(shares: list[float], part: float) -> float:
    """Return the value that this part of them does not exceed."""
    ordered = sorted(shares)
    return ordered[min(len(ordered) - 1, int(part * len(ordered)))] if ordered else float("nan")


class Tally:
    """What was seen."""

    def __init__(self) -> None:
        self.press: list[float] = []
        self.open: list[float] = []
        self.start: list[float] = []
        self.failed: list[str] = []


async def works(served, account: str, tally: Tally, until: list[float], pause: tuple[float, float],
                after: float, running: asyncio.Event) -> None:  # fmt: skip
    """Be one apprentice until the time is up."""
    draw = random.Random(account)
    await asyncio.sleep(after)
    page = None
    try:
        who = hub_client.Person(served.address, account, served.passwords()[account])
        began = time.monotonic()
        await who.log_in()
        await who.start(300)
        tally.start.append(time.monotonic() - began)
        while time.monotonic() < until[0]:
            began = time.monotonic()
            page = await who.open_page(draw.choice(PAGES))
            await page.run()
            if running.is_set():
                tally.open.append(time.monotonic() - began)
            for _ in range(PRESSES_A_PAGE):
                await asyncio.sleep(draw.uniform(*pause))
                if time.monotonic() > until[0]:
                    break
                boxes = page.find(_model_name="TextModel")
                if boxes:
                    await page.type_into(draw.choice(boxes), f"{draw.uniform(0.9, 1.1):.4f} in")
                buttons = page.find(description="Check") or page.find(description="Hand in")
                if buttons:
                    took = await page.press(draw.choice(buttons))
                    if running.is_set():
                        tally.press.append(took)
            if time.monotonic() < until[0]:
                await page.close()
    except Exception as error:  # noqa: BLE001 - the tally says it
        tally.failed.append(f"{account}: {type(error).__name__} {error}")


def memory(served) -> dict[str, tuple[int, float]]:
    """Return how many processes of a kind there are and their memory, in MiB."""
    uids = {hub_class.pwd.getpwnam(one).pw_uid for one in served.apprentices}
    found: dict[str, tuple[int, float]] = {}
    for path in Path("/proc").glob("[0-9]*"):
        try:
            words = (path / "cmdline").read_text()
            mine = path.stat().st_uid in uids
            if mine:
                kind = "page" if "ipykernel" in words else "server"
            elif str(served.folder) in words or f"{served.port}" in words:
                kind = "hub"
            else:
                continue
            lines = (path / "smaps_rollup").read_text().splitlines()
            size = next(float(line.split()[1]) for line in lines if line.startswith("Pss:")) / 1024
        except (OSError, StopIteration, UnicodeDecodeError):
            continue
        count, total = found.get(kind, (0, 0.0))
        found[kind] = (count + 1, total + size)
    return found


def busy() -> tuple[float, float]:
    """Return processor seconds spent since the start of the machine: all, and idle."""
    parts = [float(one) for one in Path("/proc/stat").read_text().splitlines()[0].split()[1:]]
    return sum(parts[:8]), parts[3] + parts[4]


def spent(served) -> float:
    """Return the processor seconds of the apprentices' processes that run now."""
    uids = {hub_class.pwd.getpwnam(one).pw_uid for one in served.apprentices}
    ticks = 0
    for path in Path("/proc").glob("[0-9]*"):
        try:
            if path.stat().st_uid in uids:
                parts = (path / "stat").read_text().rsplit(")", 1)[1].split()
                ticks += sum(int(one) for one in parts[11:15])
        except OSError:
            continue
    return ticks / os.sysconf("SC_CLK_TCK")


async def measured(served, people: int, seconds: float, pause: tuple[float, float]) -> dict:
    """Let so many work, and return what was seen."""
    tally = Tally()
    began = time.monotonic()
    until = [began + 1200.0]  # set when all are in
    running = asyncio.Event()
    tasks = [
        asyncio.create_task(works(served, account, tally, until, pause, 3.0 * at, running))
        for at, account in enumerate(served.apprentices[:people])
    ]
    while len(tally.start) + len(tally.failed) < people and time.monotonic() < until[0]:
        await asyncio.sleep(1)
    await asyncio.sleep(10)
    until_all_in = time.monotonic() - began
    print(f"{people} people in after {until_all_in:.0f} s; {tally.failed[:3]}", file=sys.stderr)
    running.set()
    until[0] = time.monotonic() + seconds
    before = busy()
    mine = spent(served)
    sizes = []
    while not sizes or time.monotonic() < until[0] - 1:
        await asyncio.sleep(15)
        sizes.append(memory(served))
    after = busy()
    mine = spent(served) - mine
    window = max(1.0, time.monotonic() - began - until_all_in)
    await asyncio.gather(*tasks)
    last = max(sizes, key=lambda one: sum(size for _, size in one.values()))
    total = sum(last.get(kind, (0, 0.0))[1] for kind in ("page", "server"))
    return {
        "people": people,
        "all_in_s": round(until_all_in),
        "presses": len(tally.press),
        "press_p50_s": round(at(tally.press, 0.5), 3),
        "press_p95_s": round(at(tally.press, 0.95), 3),
        "opened": len(tally.open),
        "open_p50_s": round(at(tally.open, 0.5), 2),
        "open_p95_s": round(at(tally.open, 0.95), 2),
        "start_p95_s": round(at(tally.start, 0.95), 1),
        "memory_an_apprentice_MiB": round(total / people),
        "server_MiB": round(last.get("server", (1, 0.0))[1] / max(1, last["server"][0])),
        "page_MiB": round(last.get("page", (1, 0.0))[1] / max(1, last.get("page", (1, 0))[0])),
        "hub_MiB": round(last.get("hub", (1, 0.0))[1]),
        "machine_busy": round(1 - (after[1] - before[1]) / (after[0] - before[0]), 2),
        "apprentices_cores": round(mine / window, 2),
        "load_average": round(os.getloadavg()[0], 1),
        "failed": tally.failed[:5],
    }


def main() -> None:
    """Measure and print a line for each number of people."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--people", type=int, nargs="+", default=[10, 20, 40])
    parser.add_argument("--seconds", type=float, default=120.0, help="how long all work at once")
    parser.add_argument("--pause", type=float, nargs=2, default=[20.0, 40.0])
    parser.add_argument("--open", type=int, nargs="+", default=[], metavar="N", help="open class")
    parser.add_argument("--at-once", type=int, default=10, help="openings at once, with --open")
    parser.add_argument("--processes", type=int, default=1, help="servers of the open class")
    parser.add_argument("--browsers", type=int, default=0, help="real ones, with --open")
    parser.add_argument("--kernels", type=int, default=0, help="pages with a kernel each, beside")
    parser.add_argument("--hours", type=int, default=0, help="class hours, compressed: growth")
    options = parser.parse_args()
    if options.open:
        import open_load

        open_load.main(
            options.open,
            options.seconds,
            tuple(options.pause),
            options.at_once,
            options.processes,
            options.browsers,
            options.kernels,
            options.hours,
        )
        return
    why = hub_class.missing()
    if why:
        raise SystemExit(why)
    signal.signal(signal.SIGTERM, lambda *_: sys.exit("stopped"))  # and clear everything away
    served = hub_class.ServedClass(max(options.people), lines="most_at_once = 200\n")
    try:
        served.start()
        for people in options.people:
            told = asyncio.run(measured(served, people, options.seconds, tuple(options.pause)))
            print(json.dumps(told), flush=True)
    finally:
        served.stop()


if __name__ == "__main__":
    main()
