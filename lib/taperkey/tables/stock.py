"""Bars, what their size may differ by, and feeler leaves."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from taperkey.checks import require_in
from taperkey.tables.reader import read_table, row_between
from taperkey.units import MM_PER_IN, System

__all__ = [
    "Bar",
    "Tolerance",
    "feeler_leaves_in",
    "key_tolerance",
    "metric_bar_tolerance",
    "stock_bars",
]


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar by nominal width and height."""

    width_in: float
    height_in: float

    @property
    def form(self) -> str:
        """``"square"`` or ``"rectangular"``."""
        return "square" if self.width_in == self.height_in else "rectangular"


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far width and height may lie from nominal; lower ones are 0 or negative."""

    width_upper_in: float
    width_lower_in: float
    height_upper_in: float
    height_lower_in: float
    status: str


def key_tolerance(*, kind: str, form: str, width_in: float) -> Tolerance:
    """Return the tolerance of a key or of the stock it is cut from, ASME B17.1.

    Parameters
    ----------
    kind : str
        ``"taper key"``, ``"keystock"`` or ``"bar"``.
    form : str
        ``"square"`` or ``"rectangular"``.
    width_in : float
        Nominal width, above 0 to and including 7, or 3-1/2 for square stock [in].

    Returns
    -------
    Tolerance
        Deviations of width and height.

    Raises
    ------
    ValueError
        If the table has no such row.

    Examples
    --------
    >>> bar = key_tolerance(kind="bar", form="square", width_in=0.75)
    >>> bar.width_upper_in, bar.width_lower_in
    (0.0, -0.002)
    """
    require_in("kind of stock", kind, ("taper key", "keystock", "bar"))
    require_in("form of key", form, ("square", "rectangular"))
    row = row_between(
        table="inch_key_tolerances",
        value=width_in,
        what="key width",
        next_step="Enter the nominal width.",
        kind=kind,
        form="any" if kind == "taper key" else form,
    )
    return Tolerance(
        row["width_upper_in"],
        row["width_lower_in"],
        row["height_upper_in"],
        row["height_lower_in"],
        row["status"],
    )


def metric_bar_tolerance(*, bar: Bar) -> Tolerance:
    """Return the tolerance of a bright-drawn metric bar, h11: never over size.

    Parameters
    ----------
    bar : Bar
        Sides above 3 to and including 120 mm.

    Returns
    -------
    Tolerance
        Deviations of width and height [in].

    Raises
    ------
    ValueError
        If the table has no such row.

    Examples
    --------
    >>> round(metric_bar_tolerance(bar=Bar(25 / 25.4, 14 / 25.4)).width_lower_in * 25.4, 3)
    -0.13

    Source
    ------
    ISO 286-2, h11: from memory.
    """
    width, height = (
        row_between(
            table="metric_bar_tolerances",
            unit="mm",
            value=round(side * MM_PER_IN, 6),
            what="side of the bar",
            next_step="Enter the nominal size in millimeters.",
        )
        for side in (bar.width_in, bar.height_in)
    )
    return Tolerance(
        0.0, width["lower_mm"] / MM_PER_IN, 0.0, height["lower_mm"] / MM_PER_IN, width["status"]
    )


@cache
def stock_bars(*, system: System = "inch") -> tuple[Bar, ...]:
    """Return the bars that a shop can usually buy, smallest section first: common practice.

    Parameters
    ----------
    system : str
        "inch" or "metric".

    Returns
    -------
    tuple of Bar
        Square and rectangular bars.

    Examples
    --------
    >>> stock_bars()[0]
    Bar(width_in=0.1875, height_in=0.1875)
    """
    if system == "metric":
        bars = [
            Bar(row["width_mm"] / MM_PER_IN, row["height_mm"] / MM_PER_IN)
            for row in read_table("stock_bars_metric")
        ]
    else:
        bars = [Bar(row["width_in"], row["height_in"]) for row in read_table("stock_bars")]
    return tuple(sorted(bars, key=lambda bar: (bar.width_in * bar.height_in, bar.width_in)))


@cache
def feeler_leaves_in() -> tuple[float, ...]:
    """Return the leaves of a common feeler set, thinnest first: common practice.

    Returns
    -------
    tuple of float
        Thicknesses [in].

    Examples
    --------
    >>> feeler_leaves_in()[0], len(feeler_leaves_in())
    (0.0015, 26)
    """
    return tuple(sorted(float(row["thickness_in"]) for row in read_table("feeler_leaves")))
