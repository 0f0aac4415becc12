"""Two windows work on one bench and are killed: what was kept is there, once and in its order.

Ten kills in the ordinary run, 200 with TAPERKEY_MANY=1. Each window is a process of its own, which
writes a few bytes at a time, so that most kills fall in the middle of a line.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import random
import signal
import time
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import pytest

from coursework.page.steplog import StepLog

KILLS = 200 if os.environ.get("TAPERKEY_MANY") == "1" else 10
pytestmark = pytest.mark.skipif(os.name == "nt", reason="the kill that nothing can catch is POSIX")


class _Slow:
    """A file that takes a few bytes at a time, as a full or slow disk may."""

    def __init__(self, file: Any) -> None:
        self.file = file

    def write(self, raw: bytes) -> int:
        time.sleep(0.0005)
        return int(self.file.write(raw[:9]))

    def __getattr__(self, name: str) -> Any:
        return getattr(self.file, name)

    def __enter__(self) -> _Slow:
        return self

    def __exit__(self, *_: object) -> None:
        self.file.close()


def _work_without_end(path: str, who: str, tell: Connection) -> None:
    ordinary = Path.open

    def opened(self: Path, mode: str = "r", *args: Any, **choices: Any) -> Any:
        file = ordinary(self, mode, *args, **choices)
        return _Slow(file) if mode == "ab" else file

    Path.open = opened  # type: ignore[method-assign, assignment]
    log = StepLog(Path(path))
    number = 0
    while True:
        with log.turn():
            record = log.read() or {"seed": 1, "steps": []}
            steps = record["steps"]
            number = max([one["number"] for one in steps if one["who"] == who], default=0) + 1
            step = {"who": who, "number": number, "note": "filed on the bright marks"}
            log.put({**record, "steps": [*steps, step]}, after=log.number)
        tell.send(number)


@pytest.mark.timeout(900)
def test_no_step_called_kept_is_lost_and_none_is_kept_twice(tmp_path: Path) -> None:
    draws = random.Random("bench kills")
    path = tmp_path / "bench-fitting.steps"
    context = multiprocessing.get_context("fork")
    least = {"first": 0, "second": 0}
    for _ in range(KILLS):
        windows = {}
        for who in least:
            listen, tell = context.Pipe(duplex=False)
            window = context.Process(target=_work_without_end, args=(str(path), who, tell))
            window.start()
            tell.close()
            windows[who] = window, listen
        for _, listen in windows.values():
            assert listen.poll(60), "a window did nothing"
        time.sleep(draws.uniform(0.0, 0.03))
        for window, _ in windows.values():
            os.kill(window.pid or 0, signal.SIGKILL)
        for who, (window, listen) in windows.items():
            window.join()
            with contextlib.suppress(EOFError):
                while listen.poll():
                    least[who] = max(least[who], listen.recv())
        log = StepLog(path)
        with log.turn():
            steps = log.read()["steps"]
        if log.notice:
            assert log.notice.startswith("1 step at the end could not be read and was put aside in")
        for who, kept in least.items():
            mine = [one["number"] for one in steps if one["who"] == who]
            assert mine == list(range(1, len(mine) + 1))
            assert len(mine) >= kept
            least[who] = len(mine)
    halves = list(tmp_path.glob("bench-fitting-set-aside-*.txt"))
    assert halves, "no kill fell in the middle of a line"
    for half in halves:
        assert not half.read_bytes().endswith(b"\n")
