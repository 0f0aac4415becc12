"""Run what waits (a coroutine), also where the thread has a loop at work, as a browser's has."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

Told = TypeVar("Told")


def run_beside(work: Coroutine[Any, Any, Told]) -> Told:
    """Run it to its end in a thread of its own; return what it returns."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, work).result()
