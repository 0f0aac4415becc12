"""Threads by name: diameter, pitch and tensile stress area from the tables."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from taperkey.checks import require_in
from taperkey.tables.reader import read_table
from taperkey.units import MM_PER_IN

__all__ = ["Thread", "thread", "thread_names"]


@dataclass(frozen=True, kw_only=True)
class Thread:
    """One standard thread.

    Attributes
    ----------
    name : str
        Such as "1-1/4-7 UNC" or "M24".
    series : str
        "UNC", "UNF", "8UN" or "ISO coarse".
    diameter_in : float
        Basic major diameter [in].
    pitch_in : float
        Pitch [in].
    stress_area_in2 : float
        Tensile stress area as printed in the table [in2].
    source : str
        Where the row comes from.
    status : str
        "found", "computed" or "memory".
    """

    name: str
    series: str
    diameter_in: float
    pitch_in: float
    stress_area_in2: float
    source: str
    status: str


@cache
def thread_names() -> tuple[str, ...]:
    """Return the names of all threads, inch first, small to large in each series.

    Returns
    -------
    tuple of str
        Names for `thread`.

    Examples
    --------
    >>> thread_names()[0], thread_names()[-1]
    ('1/4-20 UNC', 'M48')

    Source
    ------
    Tables ``threads_inch.csv`` and ``threads_metric.csv``.
    """
    rows = (*read_table("threads_inch"), *read_table("threads_metric"))
    return tuple(row["name"] for row in rows)


@cache
def thread(*, name: str) -> Thread:
    """Return a thread by its name.

    Parameters
    ----------
    name : str
        One of `thread_names`.

    Returns
    -------
    Thread
        Sizes in [in] and [in2]; metric rows are converted here, once.

    Raises
    ------
    ValueError
        If the name is not in the tables.

    Examples
    --------
    >>> thread(name="1-1/4-7 UNC").stress_area_in2
    0.969
    >>> round(thread(name="M24").stress_area_in2, 4)
    0.5472

    Source
    ------
    Tables ``threads_inch.csv`` and ``threads_metric.csv``, which name theirs.
    """
    require_in("thread", name, thread_names(), "Read the size off the rod or try a thread gauge.")
    for row in read_table("threads_inch"):
        if row["name"] == name:
            return Thread(
                name=name,
                series=row["series"],
                diameter_in=row["diameter_in"],
                pitch_in=1 / row["threads_per_in"],
                stress_area_in2=row["stress_area_in2"],
                source=row["source"],
                status=row["status"],
            )
    row = next(row for row in read_table("threads_metric") if row["name"] == name)
    return Thread(
        name=name,
        series="ISO coarse",
        diameter_in=row["diameter_mm"] / MM_PER_IN,
        pitch_in=row["pitch_mm"] / MM_PER_IN,
        stress_area_in2=row["stress_area_mm2"] / MM_PER_IN**2,
        source=row["source"],
        status=row["status"],
    )
