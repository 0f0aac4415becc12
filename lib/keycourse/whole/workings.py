"""Numbers that remember where they come from, so that each can be followed back to a reading.

A working is one number of a job: a reading, an assumption or a result, with its formula in the
trade's words, the numbers it stands on, and the source of the rule.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

__all__ = ["Working", "Workings"]


@dataclass(frozen=True, kw_only=True)
class Working:
    """One number of a job.

    Attributes
    ----------
    key : str
        Name in words with hyphens, such as "mouth-height".
    what : str
        What it is, in the trade's words.
    value : float
        In the course's own unit of its dimension.
    dimension : str
        As in ``taperkey.units``; "area" is in square inches.
    kind : str
        "reading" (measured or read off), "assumed" (not measured on this job) or "worked".
    formula : str
        How it was worked out, in words; empty unless worked.
    inputs : tuple of str
        Keys of the numbers it stands on.
    source : str
        Rule, table or habit behind it.
    """

    key: str
    what: str
    value: float
    dimension: str
    kind: Literal["reading", "assumed", "worked"]
    formula: str = ""
    inputs: tuple[str, ...] = ()
    source: str = ""


class Workings:
    """All numbers of one job, in the order in which they were found.

    A worked number may stand only on numbers that are there already, so that every one can be
    followed to readings and assumptions.
    """

    def __init__(self) -> None:
        self._all: dict[str, Working] = {}

    def __getitem__(self, key: str) -> Working:
        """Return the number of a key."""
        return self._all[key]

    def __contains__(self, key: object) -> bool:
        """Tell whether a number is there."""
        return key in self._all

    def __iter__(self) -> Iterator[Working]:
        """Go through the numbers in order."""
        return iter(self._all.values())

    def __len__(self) -> int:
        """Count the numbers."""
        return len(self._all)

    def _keep(self, working: Working) -> float:
        if working.key in self._all:
            raise ValueError(f"number {working.key!r} is there twice; it must have one origin.")
        lacking = [key for key in working.inputs if key not in self._all]
        if lacking:
            raise ValueError(
                f"number {working.key!r} stands on {lacking[0]!r}, which is not there; it must"
                " stand on numbers found before it."
            )
        self._all[working.key] = working
        return working.value

    def reading(self, key: str, what: str, value: float, dimension: str = "length") -> float:
        """Keep a number that was measured or read off, and return it."""
        return self._keep(
            Working(key=key, what=what, value=value, dimension=dimension, kind="reading",
                    source="measured or read off")
        )  # fmt: skip

    def assumed(
        self, key: str, what: str, value: float, dimension: str = "length", *, source: str
    ) -> float:
        """Keep a number that was not measured on this job, and return it."""
        return self._keep(
            Working(key=key, what=what, value=value, dimension=dimension, kind="assumed",
                    source=source)
        )  # fmt: skip

    def worked(
        self,
        key: str,
        what: str,
        value: float,
        dimension: str = "length",
        *,
        formula: str,
        inputs: Sequence[str],
        source: str,
    ) -> float:
        """Keep a result with its formula and what it stands on, and return it."""
        return self._keep(
            Working(key=key, what=what, value=value, dimension=dimension, kind="worked",
                    formula=formula, inputs=tuple(inputs), source=source)
        )  # fmt: skip

    def origins(self, key: str) -> tuple[Working, ...]:
        """Return everything that a number stands on, directly or not, in order."""
        wanted, waiting = set(), list(self._all[key].inputs)
        while waiting:
            one = waiting.pop()
            if one not in wanted:
                wanted.add(one)
                waiting.extend(self._all[one].inputs)
        return tuple(working for name, working in self._all.items() if name in wanted)
