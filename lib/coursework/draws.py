"""Seeded draws that come out the same on every machine and Python version."""

from __future__ import annotations

import random
from statistics import NormalDist

__all__ = ["Draws"]

_NORMAL = NormalDist()


class Draws:
    """A row of seeded draws.

    Only ``random.Random(seed).random()`` is used, whose sequence Python
    promises to keep; normal values come from it through the inverse of the
    normal distribution.

    Parameters
    ----------
    seed : int or str
        Same seed, same row. Text is allowed: ``f"{seed}:reading:{number}"``.

    Examples
    --------
    >>> Draws("a").uniform(low=0.0, high=1.0) == Draws("a").uniform(low=0.0, high=1.0)
    True
    """

    def __init__(self, seed: int | str) -> None:
        self._random = random.Random(seed).random

    def uniform(self, *, low: float, high: float) -> float:
        """Return a value from `low` to `high`, all equally likely."""
        return low + (high - low) * self._random()

    def normal(self, *, mean: float = 0.0, deviation: float = 1.0) -> float:
        """Return a value of the normal distribution, cut off at six deviations."""
        chance = min(max(self._random(), 1e-9), 1 - 1e-9)
        return mean + deviation * _NORMAL.inv_cdf(chance)

    def whole(self, *, low: int, high: int) -> int:
        """Return a whole number from `low` to `high`, both ends allowed."""
        return low + int((high - low + 1) * self._random())  # a chance below 1 of n is below n
