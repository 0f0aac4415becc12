"""What exercise 02 has in hand: heights at stations along one opening, and a taper bar."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product
from typing import Literal

from coursework.draws import Draws
from keycourse.drive import Drive, rounded
from keycourse.measure.bench.slot import SlotParameters, draw_slot
from keycourse.measure.card import FIRST_STATION_IN, read_height, true_height
from taperkey import practice
from taperkey.formulas.taper import STANDARD_INCH, STANDARD_METRIC
from taperkey.units import MM_PER_IN, System

__all__ = ["HEIGHT_SD_IN", "HEIGHT_SD_MM", "KINDS", "StationReadings", "draw", "traps_of"]

# Of one height as the shop takes it: the mean of three readings. As the card of each system has it.
HEIGHT_SD_IN = practice.value("mean_height_doubt")
HEIGHT_SD_MM = practice.metric("mean_height_doubt")

_What = Literal["standard", "other standard", "short", "off", "pitted"]
_Way = Literal["ordinary", "reversed", "cannot tell"]
_WHATS: tuple[_What, ...] = ("standard", "other standard", "short", "off", "standard", "off")
_WAYS: tuple[_Way, ...] = ("ordinary", "reversed")
KINDS: tuple[tuple[_What, _Way], ...] = (
    *product(_WHATS, _WAYS),
    *(("pitted", "cannot tell"),) * 2,
)
"""What taper the slot has and how well it is known, and which end is high."""
_TRAPS: dict[_What, frozenset[str]] = {
    "off": frozenset({"off standard"}),
    "short": frozenset({"short base"}),
    "pitted": frozenset({"short base"}),
}
# Never 6, 10 or 12 in, 100 or 120 mm: a forgotten division would give the right figures there.
_BASES: dict[System, tuple[float, ...]] = {
    "inch": (4.5, 5.0, 5.5, 6.5, 7.0, 7.5, 8.0, 8.5, 9.0, 9.5),
    "metric": (110.0, 130.0, 140.0, 150.0, 160.0, 170.0, 180.0, 190.0, 210.0, 220.0, 230.0, 240.0),
}
_SHORT_BASES: dict[System, tuple[float, ...]] = {
    "inch": (1.25, 1.5, 1.75, 2.0),
    "metric": (32.0, 36.0, 40.0, 45.0, 50.0),
}
# In a slot pitted with rust, where the stub of the old key leaves little room.
_PITTED_BASES: dict[System, tuple[float, ...]] = {
    "inch": (0.5, 0.625, 0.75),
    "metric": (12.0, 14.0, 16.0, 18.0),
}
_PITTED_SD: dict[System, tuple[float, ...]] = {
    "inch": (0.006, 0.007, 0.008),
    "metric": (0.15, 0.18, 0.20),
}
# How deep a telescoping gauge reaches with its own handle, and with a long one, in the shop's unit.
_REACHES: dict[System, tuple[float, ...]] = {
    "inch": practice.values("gauge_reach"),
    "metric": practice.rule("gauge_reach").metric,
}
_FROM_FAR_FACE_IN = 0.25  # the last station keeps off the far face, which may be worn or rounded


@dataclass(frozen=True, kw_only=True)
class StationReadings:
    """Heights along one opening.

    Attributes
    ----------
    distances_in : tuple of float
        Stations from the mouth; the first is 0 [in].
    heights_in : tuple of float
        Height at each, the mean of three readings [in].
    height_sd_in : float
        Standard uncertainty of each height [in].
    pitted : bool
        Whether rust has pitted the slot where they were taken.
    reach_in : float
        How deep the telescoping gauge at hand reaches from the hub face [in].
    parallel_height_in : float
        Large end of a taper bar, ground to the standard taper of the drive's system, slid in
        from the larger end of another slot until tight [in].
    parallel_stand_out_in : float
        How far that large end stood out of the slot [in].
    """

    distances_in: tuple[float, ...]
    heights_in: tuple[float, ...]
    height_sd_in: float
    pitted: bool
    reach_in: float
    parallel_height_in: float
    parallel_stand_out_in: float

    @property
    def base_in(self) -> float:
        """Distance between the first and the last station [in]."""
        return self.distances_in[-1] - self.distances_in[0]


def traps_of(kind: tuple[_What, _Way]) -> frozenset[str]:
    """Return which traps a card of this kind holds."""
    what, way = kind
    return _TRAPS.get(what, frozenset()) | {way}


def draw(*, draws: Draws, turn: int, drive: Drive) -> StationReadings:
    """Draw the readings: the ordinary case and each trap, either way round."""
    kind, way = KINDS[turn % len(KINDS)]
    system = drive.system
    ordinary = drive.standard_taper_in_per_in
    steep = draws.uniform(low=0, high=1) < 0.5
    off = 1 / draws.uniform(low=66 if steep else 118, high=84 if steep else 140)
    taper = ordinary
    if kind == "off":
        taper = off
    elif kind == "other standard":
        taper = STANDARD_METRIC if system == "inch" else STANDARD_INCH
    taper = -taper if way == "reversed" else taper
    pitted = kind == "pitted"
    count = {"short": 2, "pitted": 2, "other standard": 3}.get(kind) or draws.whole(low=3, high=4)
    reach, base = _reach_and_base(draws, kind, drive)
    slot = draw_slot(
        parameters=SlotParameters(
            length_in=drive.hub_length_in,
            mouth_height_in=drive.key_height_in + draws.uniform(low=0.004, high=0.030),
            taper_in_per_in=taper,
            hub_width_in=drive.key_width_in + 0.002,
            shaft_width_in=drive.key_width_in,
            form_error_in=0.0004,
            waviness_in=0.0002,
            high_spot_count=0,
        ),
        seed=int(draws.uniform(low=0, high=1e9)),
    )
    places = {"inch": 3 if pitted else 2, "metric": 0}[system]
    scale = {"inch": 1.0, "metric": MM_PER_IN}[system]
    doubt = HEIGHT_SD_IN if system == "inch" else HEIGHT_SD_MM / MM_PER_IN
    if pitted:
        doubt = _one_of(draws, _PITTED_SD[system]) / scale
    distances = tuple(
        round(scale * base * place / (count - 1), places) / scale for place in range(count)
    )
    heights = tuple(
        rounded(sum(read_height(height, draws, system) for _ in range(3)) / 3, system)
        for height in (true_height(slot, at) for at in distances)
    )
    if pitted:  # pits move a height by more than the taper does over so little
        apart = draws.uniform(low=0.4, high=1.3) * math.sqrt(2) * doubt
        up = draws.uniform(low=0.0, high=1.0) < 0.5
        heights = (heights[0], rounded(heights[0] + (apart if up else -apart), system))
    stand_out = round(draws.uniform(low=0.5, high=2.5), 2)
    if system == "metric":
        stand_out = round(stand_out * MM_PER_IN) / MM_PER_IN
    opening = drive.key_height_in + draws.uniform(low=0.01, high=0.06)
    return StationReadings(
        distances_in=distances,
        heights_in=heights,
        height_sd_in=doubt,
        pitted=pitted,
        reach_in=reach,
        parallel_height_in=rounded(opening + stand_out * ordinary, system),
        parallel_stand_out_in=stand_out,
    )


def _one_of(draws: Draws, row: tuple[float, ...]) -> float:
    return row[draws.whole(low=0, high=len(row) - 1)]


def _reach_and_base(draws: Draws, kind: _What, drive: Drive) -> tuple[float, float]:
    """Return the reach of the gauge at hand and the base it allows in this hub [in]."""
    scale = 1.0 if drive.system == "inch" else MM_PER_IN
    reach = _one_of(draws, _REACHES[drive.system]) / scale
    if kind == "short":
        return reach, _one_of(draws, _SHORT_BASES[drive.system]) / scale
    if kind == "pitted":
        return reach, _one_of(draws, _PITTED_BASES[drive.system]) / scale
    deepest = min(drive.hub_length_in - _FROM_FAR_FACE_IN, reach) - FIRST_STATION_IN
    within = [one / scale for one in _BASES[drive.system] if one / scale <= deepest + 1e-9]
    return reach, _one_of(draws, tuple(within[-3:]))
