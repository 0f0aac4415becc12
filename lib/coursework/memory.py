"""How often a process looks for what it holds and needs no more."""

from __future__ import annotations

import gc

__all__ = ["look_seldom"]


def look_seldom() -> None:
    """Look for garbage less often: where much is held, and little of it is thrown away."""
    gc.set_threshold(20_000, 20, 50)
