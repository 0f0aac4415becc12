"""Rows of the table: what was measured, against what, against which limit, and the rest's profile.

Every row has wall time and, where it can be told, processor time of this process and the
programs it waited for; on a shared machine the second is the one to trust.
"""

from __future__ import annotations

import cProfile
import math
import os
import pstats
import resource
import statistics
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

__all__ = [
    "Limit", "PartlyMeasuredError", "Row", "Times", "as_installed", "at_least", "at_most",
    "clock", "head", "profile_of", "row",
]  # fmt: skip


@dataclass
class Times:
    """Rounds of one act: wall and processor time in the row's unit (seconds, or MB)."""

    wall: list[float] = field(default_factory=list)
    cpu: list[float] = field(default_factory=list)

    def __iadd__(self, other: Times) -> Times:
        """Add the rounds of another."""
        self.wall += other.wall
        self.cpu += other.cpu
        return self


@dataclass(frozen=True)
class Limit:
    """What a figure of a row should come to; `figure` is an attribute of Row."""

    figure: str
    most: float | None = None
    least: float | None = None

    def told(self, row: Row) -> str:
        """Return the limit, and whether this row keeps it."""
        value = getattr(row, self.figure)
        ratios = {"faster": "ratio", "share": "ratio", "cpu_share": "cpu ratio", "growth": "growth"}
        name = ratios.get(self.figure, self.figure)
        unit = " ×" if self.figure in ratios else f" {row.unit}"
        want = f"≤ {self.most:g}" if self.most is not None else f"≥ {self.least:g}"
        if value is None:
            return f"{name} {want}{unit}: not measured"
        kept = value <= self.most if self.most is not None else value >= (self.least or 0.0)
        return f"{name} {want}{unit}: {'kept' if kept else f'NOT KEPT ({value:.3g})'}"


def at_most(figure: str, value: float) -> Limit:
    """Return an upper limit."""
    return Limit(figure, most=value)


def at_least(figure: str, value: float) -> Limit:
    """Return a lower limit."""
    return Limit(figure, least=value)


@dataclass
class Row:
    """One line of the table; figures in `unit`."""

    part: str
    what: str
    unit: str
    rounds: int
    median: float
    spread: float  # half the distance between the quartiles, over the median
    p95: float
    worst: float
    cpu: float | None
    faster: float | None = None  # how many times the compared row is slower
    cpu_faster: float | None = None
    share: float | None = None  # how many times the compared row this takes
    cpu_share: float | None = None
    growth: float | None = None
    against: str = ""
    limits: list[str] = field(default_factory=list)
    note: str = ""
    rest: str = ""  # where the remaining time goes

    def as_json(self) -> dict[str, Any]:
        """Return the row as plain values."""
        return asdict(self)

    def lines(self) -> list[str]:
        """Return the row as printed."""
        cpu = f"{self.cpu:9.2f}" if self.cpu is not None else "        –"
        ratio = ""
        if self.faster is not None:
            ratio = f"{self.faster:.2f} × faster"
            if self.cpu_faster is not None:
                ratio += f" (cpu {self.cpu_faster:.2f})"
        elif self.share is not None:
            ratio = f"{self.share:.2f} ×"
            if self.cpu_share is not None:
                ratio += f" (cpu {self.cpu_share:.2f})"
        elif self.growth is not None:
            ratio = f"grows {self.growth:.2f} ×"
        first = (
            f"{self.part:8} {self.what[:64]:64} {self.median:9.2f} ±{100 * self.spread:3.0f} % "
            f"{self.p95:9.2f} {self.worst:9.2f} {cpu} {self.unit:3} {self.rounds:4} {ratio}"
        )
        told = [first.rstrip()]
        for name, text in (
            ("against", self.against),
            ("limit", "; ".join(self.limits)),
            ("note", self.note),
            ("rest", self.rest),
        ):
            if text:
                told.append(f"{'':8}   {name}: {text}")
        return told


def head() -> str:
    """Return the head of the table."""
    return (
        f"{'part':8} {'what':64} {'median':>9} {'spread':>6} {'p95':>9} {'worst':>9} "
        f"{'cpu':>9} {'':3} {'n':>4} ratio"
    )


def row(
    part: str,
    what: str,
    times: Times,
    *,
    against: Row | None = None,
    faster: bool = True,
    limits: Sequence[Limit] = (),
    unit: str = "ms",
    note: str = "",
    rest: str = "",
    growth: float | None = None,
) -> Row:
    """Return one line of the table.

    Parameters
    ----------
    part, what : str
        Where it belongs, and what was done in each round.
    times : Times
        Seconds for "ms" and "s", megabytes for "MB".
    against : Row, optional
        What it is compared with, in the same unit.
    faster : bool
        Tell the ratio as times faster, or as a share of the compared row.
    limits : sequence of Limit
        What should be kept.
    unit : str
        "ms", "s" or "MB".
    note, rest : str
        What else to know, and where the remaining time goes.
    growth : float, optional
        Ratio to the same at another size.
    """
    scale = 1000.0 if unit == "ms" else 1.0
    ordered = sorted(scale * one for one in times.wall)
    middle = statistics.median(ordered)
    quarters = statistics.quantiles(ordered, n=4) if len(ordered) > 1 else [middle] * 3
    made = Row(
        part=part,
        what=what,
        unit=unit,
        rounds=len(ordered),
        median=middle,
        spread=(quarters[2] - quarters[0]) / 2 / middle if middle else 0.0,
        p95=ordered[min(len(ordered) - 1, math.ceil(0.95 * len(ordered)) - 1)],
        worst=ordered[-1],
        cpu=scale * statistics.median(times.cpu) if times.cpu else None,
        growth=growth,
        note=note,
        rest=rest,
    )
    if against is not None:
        made.against = against.what
        both = bool(made.cpu and against.cpu)
        if faster:
            made.faster = against.median / middle
            made.cpu_faster = against.cpu / made.cpu if both else None
        else:
            made.share = middle / against.median
            made.cpu_share = made.cpu / against.cpu if both else None
    made.limits = [one.told(made) for one in limits]
    return made


class PartlyMeasuredError(Exception):
    """Some figures of a part could not be measured; `rows` are those that were."""

    def __init__(self, rows: list[Row], missed: list[str]) -> None:
        super().__init__("; ".join(missed))
        self.rows = rows


def _cpu_seconds() -> float:
    done = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + done.ru_utime + done.ru_stime


def clock(act: Callable[[], object], rounds: int = 1) -> Times:
    """Return how long each round took, in seconds."""
    times = Times()
    for _ in range(rounds):
        start, cpu = time.perf_counter(), _cpu_seconds()
        act()
        times.wall.append(time.perf_counter() - start)
        times.cpu.append(_cpu_seconds() - cpu)
    return times


def as_installed(place: Path) -> dict[str, str]:
    """Return the environment of a command as its user has it, from the second start on.

    Python keeps what it made of the modules at the first start. A machine that builds and tests
    may forbid that, which would measure the compiler. They are kept in `place`, so that nothing
    is left in the checkout.
    """
    env = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    return env | {"PYTHONPYCACHEPREFIX": str(place / "made-by-python")}


def profile_of(act: Callable[[], object], *, most: int = 6) -> str:
    """Return the files that the time of one round is spent in, largest share first."""
    profiler = cProfile.Profile()
    profiler.enable()
    act()
    profiler.disable()
    spent: dict[str, float] = defaultdict(float)
    total = 0.0
    for (file, _, name), (_, _, own, _, _) in pstats.Stats(profiler).stats.items():  # type: ignore[attr-defined]
        spent[_place(file, name)] += own
        total += own
    largest = sorted(spent.items(), key=lambda one: -one[1])[:most]
    return ", ".join(f"{100 * own / total:.0f} % {place}" for place, own in largest)


def _place(file: str, name: str) -> str:
    if file.startswith(("~", "<")):
        return name.strip("<>").removeprefix("built-in method ").removeprefix("method ")
    parts = Path(file).parts
    if "taperkey" in parts:
        return "/".join(parts[parts.index("taperkey") + 1 :])
    if "site-packages" in parts:
        return parts[parts.index("site-packages") + 1]
    return parts[-1]
