"""How many apprentices can work at once behind a hub: a real hub, real pages, measured.

    TAPERKEY_HUB_PROXY=$(bash tests/prepare_hub.sh) uv run python tests/load.py --people 25 50
    uv run python tests/load.py --open 50 200     an open class (tests/open_load.py): no hub

Each invented apprentice logs in at the hub, comes into the class by its proxy, opens a page and
runs it, then slides or checks, with a pause between. Told for each number of people: how long a
log-in and an opening take, a slider and a check from the message until all that it did has come
back, and the memory of the class's server and of hub and proxy. Not collected by pytest.
"""

import argparse
import asyncio
import json
import signal
import sys
import time
from pathlib import Path

from tornado.httpclient import AsyncHTTPClient

sys.path.insert(0, str(Path(__file__).parent))

import hub_class
import open_load
from open_page import part, rss_mib

BASE = "/services/class"


class HubPage(open_load.Page):
    """A page of somebody who comes in by the hub's log-in."""

    def __init__(self, served, account: str, page: str) -> None:
        super().__init__(served.port, account, page)
        self.served = served
        self.logged_in_s = 0.0

    async def _ask(
        self, method: str, path: str, body: bytes | None = None, kind: str = ""
    ) -> bytes:
        if path != "/login":
            return await super()._ask(method, path, body, kind)
        if method == "GET":  # in the place of the code: the log-in, and what it leads to
            began = time.monotonic()
            client = await asyncio.to_thread(self.served.client, self.code)
            told = client.cookie(f"{BASE}/api")
            self.cookies = dict(one.split("=", 1) for one in reversed(told.split("; ")))
            self.base = f"{self.served.address}{BASE}"
            self.logged_in_s = time.monotonic() - began
        return b""


async def measured(
    served, people: int, seconds: float, pause: tuple[float, float], at_once: int
) -> dict:
    """Let so many work, and return what was seen."""
    server = served.processes("--ServerApp.base_url=")
    others = [*served.processes("-m jupyterhub "), *served.processes("configurable-http-proxy")]
    empty = rss_mib(server)
    tally, gate, going = open_load.Tally(), asyncio.Semaphore(at_once), asyncio.Event()
    until = [float("inf")]
    kinds = open_load.PAGES
    pages = [
        HubPage(served, account, kinds[at % len(kinds)])
        for at, account in enumerate(served.apprentices[:people])
    ]
    began = time.monotonic()
    tasks = [
        asyncio.create_task(open_load.works(one, tally, until, pause, gate, going)) for one in pages
    ]
    while len(tally.open) + len(tally.failed) < people:
        await asyncio.sleep(0.5)
    all_in = time.monotonic() - began
    full = rss_mib(server)
    before = open_load.spent_s(server), open_load.spent_s(others), time.monotonic()
    until[0] = time.monotonic() + seconds
    going.set()
    await asyncio.gather(*tasks)
    took = time.monotonic() - before[2]
    return {
        "people": people,
        "all_in_s": round(all_in, 1),
        "log_in_p95_ms": part([one.logged_in_s for one in pages], 0.95),
        "open_p95_ms": part(tally.open, 0.95),
        "page_MiB": round((full - empty) / max(1, len(tally.open)), 2),
        "server_MiB": round(full),
        "hub_and_proxy_MiB": round(rss_mib(others)),
        "acts": len(tally.slider) + len(tally.check),
        "slider_p50_ms": part(tally.slider, 0.5),
        "slider_p95_ms": part(tally.slider, 0.95),
        "check_p50_ms": part(tally.check, 0.5),
        "check_p95_ms": part(tally.check, 0.95),
        "server_of_one_core": round((open_load.spent_s(server) - before[0]) / took, 2),
        "hub_of_one_core": round((open_load.spent_s(others) - before[1]) / took, 2),
        "load_average": round(open_load.os.getloadavg()[0], 1),
        "failed": tally.failed[:5],
    }


def main() -> None:
    """Measure and print a line for each number of people."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--people", type=int, nargs="+", default=[25, 50])
    parser.add_argument("--seconds", type=float, default=120.0, help="how long all work at once")
    parser.add_argument("--pause", type=float, nargs=2, default=[5.0, 10.0])
    parser.add_argument("--open", type=int, nargs="+", default=[], metavar="N", help="open class")
    parser.add_argument("--at-once", type=int, default=10, help="openings at once")
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
    AsyncHTTPClient.configure(None, max_clients=1000)
    for people in options.people:
        served = hub_class.ServedClass(people)
        try:
            served.start()
            told = measured(served, people, options.seconds, tuple(options.pause), options.at_once)
            print(json.dumps(asyncio.run(told)), flush=True)
        finally:
            served.stop()


if __name__ == "__main__":
    main()
