"""What exercise 02 has in hand: heights at stations along one opening, and a taper bar."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coursework.draws import Draws
from keycourse.drive import Drive, rounded
from keycourse.measure.bench.slot import SlotParameters, draw_slot
from keycourse.measure.card import FIRST_STATION_IN, read_height
from taperkey import practice
from taperkey.formulas.taper import STANDARD_INCH, STANDARD_METRIC
from taperkey.units import MM_PER_IN, System

__all__ = ["HEIGHT_SD_IN", "HEIGHT_SD_MM", "StationReadings", "draw"]

# Of one height as the shop takes it: the mean of three readings. As the card of each system has it.
HEIGHT_SD_IN = practice.value("mean_height_doubt")
HEIGHT_SD_MM = practice.metric("mean_height_doubt")

_Kind = Literal["ordinary", "other standard", "short", "off", "reversed"]
_TURNS: tuple[_Kind, ...] = ("ordinary", "reversed", "off", "ordinary", "short", "other standard")
# Never 6, 10 or 12 in, 100 or 120 mm: a forgotten division would give the right figures there.
_BASES: dict[System, tuple[float, ...]] = {
    "inch": (4.5, 5.0, 5.5, 6.5, 7.0, 7.5, 8.0, 8.5, 9.0, 9.5),
    "metric": (110.0, 130.0, 140.0, 150.0, 160.0, 170.0, 180.0, 190.0, 210.0, 220.0, 230.0, 240.0),
}
_SHORT_BASE: dict[System, float] = {"inch": 1.5, "metric": 40.0}
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
    reach_in: float
    parallel_height_in: float
    parallel_stand_out_in: float

    @property
    def base_in(self) -> float:
        """Distance between the first and the last station [in]."""
        return self.distances_in[-1] - self.distances_in[0]


def draw(*, draws: Draws, turn: int, drive: Drive) -> StationReadings:
    """Draw the readings: the ordinary case and each trap in turn."""
    kind = _TURNS[turn % len(_TURNS)]
    system = drive.system
    ordinary = drive.standard_taper_in_per_in
    off = 1 / (
        draws.uniform(low=72, high=82)
        if draws.uniform(low=0, high=1) < 0.5
        else draws.uniform(low=118, high=135)
    )
    taper = {
        "ordinary": ordinary,
        "other standard": STANDARD_METRIC if system == "inch" else STANDARD_INCH,
        "short": ordinary,
        "off": off,
        "reversed": -ordinary,
    }[kind]
    count = {"short": 2, "other standard": 3}.get(kind) or draws.whole(low=3, high=4)
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
    places = {"inch": 2, "metric": 0}[system]
    scale = {"inch": 1.0, "metric": MM_PER_IN}[system]
    distances = tuple(
        round(scale * base * place / (count - 1), places) / scale for place in range(count)
    )
    heights = tuple(
        rounded(sum(read_height(slot, at, draws, system) for _ in range(3)) / 3, system)
        for at in distances
    )
    stand_out = round(draws.uniform(low=0.5, high=2.5), 2)
    if system == "metric":
        stand_out = round(stand_out * MM_PER_IN) / MM_PER_IN
    opening = drive.key_height_in + draws.uniform(low=0.01, high=0.06)
    return StationReadings(
        distances_in=distances,
        heights_in=heights,
        height_sd_in=HEIGHT_SD_IN if system == "inch" else HEIGHT_SD_MM / MM_PER_IN,
        reach_in=reach,
        parallel_height_in=rounded(opening + stand_out * ordinary, system),
        parallel_stand_out_in=stand_out,
    )


def _reach_and_base(draws: Draws, kind: _Kind, drive: Drive) -> tuple[float, float]:
    """Return the reach of the gauge at hand and the base it allows in this hub [in]."""
    scale = 1.0 if drive.system == "inch" else MM_PER_IN
    reach = _REACHES[drive.system][draws.whole(low=0, high=1)] / scale
    if kind == "short":
        return reach, _SHORT_BASE[drive.system] / scale
    deepest = min(drive.hub_length_in - _FROM_FAR_FACE_IN, reach) - FIRST_STATION_IN
    within = [one / scale for one in _BASES[drive.system] if one / scale <= deepest + 1e-9]
    longest = within[-2:]
    return reach, longest[draws.whole(low=0, high=len(longest) - 1)]
