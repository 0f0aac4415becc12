"""The tools of the measuring bench: what each goes into, how deep it reaches, what it touches with.

A gauge has no scale and is read with a micrometer over its ends; an inside micrometer and a
caliper are read in place. What a tool's own error is, only its standard can show.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from coursework.draws import Draws
from taperkey import practice
from taperkey.checks import require_in, require_positive

__all__ = [
    "CALIPER",
    "JAW_MICROMETER",
    "ROD_MICROMETER",
    "SMALL_HOLE",
    "TAPER_BAR",
    "TELESCOPING",
    "BenchTool",
    "own_error_in",
    "tool_named",
]

TELESCOPING = "telescoping gauge"
ROD_MICROMETER = "inside micrometer"
TAPER_BAR = "taper bar"
SMALL_HOLE = "small-hole gauge"
JAW_MICROMETER = "caliper-type inside micrometer"
CALIPER = "caliper"

# Gauges of a set: each goes into openings from this size on [in].
_TELESCOPING_SET = (5 / 16, 1 / 2, 3 / 4, 5 / 4, 17 / 8, 7 / 2)
_SMALL_HOLE_SET = (1 / 8, 1 / 5, 3 / 10, 2 / 5)
_CALIPER_SPAN_IN = (0.1, 6.0)  # inside jaws of a 6 in caliper
_JAW_FACE_IN = 1 / 8  # length of the measuring faces along the jaws


@dataclass(frozen=True, kw_only=True)
class BenchTool:
    """One tool.

    Parameters
    ----------
    name : str
        As the bench names it.
    instrument : str
        What is read: the micrometer over a gauge, or the tool itself.
    least_in, most_in : float
        Smallest and largest opening that it spans [in].
    reach_in : float
        How deep it reaches from the mouth [in].
    face_length_in : float
        How far its measuring faces bear along the slot; 0 for round ends [in].
    members : tuple of float
        Smallest spans of the gauges of its set; empty for a single tool [in].
    planes : tuple of str
        Planes in which it can lean: "along", "across".
    scatter_in : tuple of (float, float)
        Scatter of one reading in a steady hand, and on a first day [in].
    flat_in : float
        Width of a flat on its measuring faces; 0 for faces that are round [in].
    """

    name: str
    instrument: str
    least_in: float
    most_in: float
    reach_in: float = math.inf
    face_length_in: float = 0.0
    members: tuple[float, ...] = ()
    planes: tuple[str, ...] = ("along", "across")
    scatter_in: tuple[float, float]
    flat_in: float = 0.0

    @property
    def in_place(self) -> bool:
        """Whether it is read where it stands, with no micrometer over it."""
        return self.instrument == self.name

    def end_radius_in(self, opening_in: float) -> float:
        """Return the radius of the ends of the gauge that goes into an opening.

        Parameters
        ----------
        opening_in : float
            Opening, above 0 [in].

        Returns
        -------
        float
            A share of half of the smallest span of that gauge; 0 for a caliper's edges [in].

        Examples
        --------
        An opening of 1 in takes the gauge from 3/4 in on; the ends go into a hole of that size:

        >>> round(tool_named("telescoping gauge").end_radius_in(1.0), 3)
        0.3
        >>> tool_named("caliper").end_radius_in(1.0)
        0.0
        """
        require_positive("opening", opening_in, "in")
        if self.flat_in:
            return 0.0
        smallest = max(
            (one for one in self.members if one <= opening_in + 1e-9), default=self.least_in
        )
        return practice.value("end_radius_share") * smallest / 2


def _tools() -> Mapping[str, BenchTool]:
    hand = (practice.value("steady_scatter"), practice.value("first_day_scatter"))
    inside = practice.span("inside_micrometer_scatter")
    caliper, jaws = practice.value("caliper"), practice.value("caliper_jaws")

    def one(name: str, span: tuple[float, float], **more: Any) -> BenchTool:
        least, most = span
        return BenchTool(name=name, least_in=least, most_in=most, **{"instrument": name, **more})

    tools = (
        one(
            TELESCOPING,
            practice.span("telescoping_range"),
            instrument="micrometer",
            members=_TELESCOPING_SET,
            scatter_in=hand,
        ),
        one(
            SMALL_HOLE,
            practice.span("small_hole_range"),
            instrument="micrometer",
            members=_SMALL_HOLE_SET,
            reach_in=practice.value("small_hole_reach"),
            scatter_in=hand,
        ),
        one(ROD_MICROMETER, practice.span("rod_micrometer_range"), scatter_in=inside),
        one(
            JAW_MICROMETER,
            practice.span("jaw_micrometer_range"),
            reach_in=practice.value("jaw_micrometer_reach"),
            face_length_in=_JAW_FACE_IN,
            planes=("across",),
            scatter_in=inside,
        ),
        one(
            CALIPER,
            _CALIPER_SPAN_IN,
            reach_in=jaws,
            face_length_in=jaws,
            flat_in=practice.value("caliper_land"),
            planes=("across",),
            scatter_in=(caliper / 2, caliper),
        ),
        one(
            TAPER_BAR,
            (0.0, math.inf),
            instrument="micrometer",
            planes=(),
            scatter_in=practice.span("taper_bar_scatter"),
        ),
    )
    return MappingProxyType({tool.name: tool for tool in tools})


_TOOLS = _tools()


def tool_named(name: str) -> BenchTool:
    """Return a tool by its name.

    Parameters
    ----------
    name : str
        One of the tools of the bench.

    Examples
    --------
    >>> tool_named("small-hole gauge").most_in
    0.5
    """
    require_in("tool", name, _TOOLS)
    return _TOOLS[name]


def own_error_in(*, seed: int | str, instrument: str) -> float:
    """Return what an instrument from the crib shows too much on its standard.

    Parameters
    ----------
    seed : int or str
        Same seed, same error.
    instrument : str
        "micrometer", or a tool that is read in place.

    Returns
    -------
    float
        0 for one in three; else within the range of `tool_error` or `caliper_error`, in steps
        of 0.0001 in, a caliper's in steps of 0.001 in [in].

    Source
    ------
    Sizes: the course's own model (practice.csv).
    """
    draw = Draws(f"{seed}:own error:{instrument}").uniform(low=-1.0, high=1.0)
    part = (abs(draw) - 1 / 3) * 1.5
    if part <= 0:
        return 0.0
    coarse = instrument == CALIPER
    least, most = practice.span("caliper_error" if coarse else "tool_error")
    step = 0.001 if coarse else 0.0001
    size = round((least + part * (most - least)) / step) * step
    return round(math.copysign(size, draw), 6)
