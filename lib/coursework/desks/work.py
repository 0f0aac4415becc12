"""Who does a page's work: a few threads for all pages, and a process for what takes long."""

from __future__ import annotations

import multiprocessing
import threading
from collections import deque
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from typing import Any

from coursework.room.launch import end_with_parent

__all__ = ["Row", "Work"]

THREADS = 4
HEAVY_SECONDS = 60.0


class Work:
    """The threads, and the process for heavy work; it is started when there is some."""

    def __init__(self, *, threads: int = THREADS) -> None:
        self._threads = ThreadPoolExecutor(threads, thread_name_prefix="page")
        self._heavy: ProcessPoolExecutor | None = None
        self._lock = threading.Lock()

    def submit(self, act: Callable[[], None]) -> None:
        """Have something done soon."""
        self._threads.submit(act)

    def heavy(self, work: Callable[..., Any], **given: Any) -> Any:
        """Do work that takes long in another process, and wait for what it gives."""
        with self._lock:
            if self._heavy is None:
                self._heavy = ProcessPoolExecutor(
                    1,
                    mp_context=multiprocessing.get_context("spawn"),
                    initializer=end_with_parent,  # a server that is killed leaves nobody behind
                    max_tasks_per_child=50,
                )
            pool = self._heavy
        try:
            return pool.submit(work, **given).result(HEAVY_SECONDS)
        except (TimeoutError, RuntimeError) as error:  # cut off, or it never ended
            with self._lock:
                if self._heavy is pool:
                    self._heavy = None
            pool.shutdown(wait=False, cancel_futures=True)
            raise OSError("this computer is too busy just now; press again in a minute") from error

    def stop(self) -> None:
        """End the threads when what they do is done, and the process."""
        self._threads.shutdown(wait=True, cancel_futures=True)
        if self._heavy is not None:
            self._heavy.shutdown(wait=False, cancel_futures=True)


class Row:
    """What waits at one page: one after the other, the pages by turns."""

    def __init__(self, work: Work) -> None:
        self._work = work
        self._waiting: deque[Callable[[], None]] = deque()
        self._lock = threading.Lock()
        self._busy = False

    def __len__(self) -> int:
        """How many acts wait."""
        return len(self._waiting)

    @property
    def busy(self) -> bool:
        """Whether something waits or is being done."""
        return self._busy

    def add(self, act: Callable[[], None]) -> None:
        """Put something at the end."""
        with self._lock:
            self._waiting.append(act)
            if self._busy:
                return
            self._busy = True
        self._work.submit(self._next)

    def _next(self) -> None:
        with self._lock:
            act = self._waiting.popleft()
        try:
            act()
        finally:
            with self._lock:
                self._busy = bool(self._waiting)
                more = self._busy
            if more:
                self._work.submit(self._next)
