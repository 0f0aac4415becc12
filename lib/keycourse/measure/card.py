"""What exercise 01 has in hand: readings of one opening, and what another shift did."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from coursework.draws import Draws
from keycourse.drive import Drive, rounded
from keycourse.measure.bench.slot import (
    KEYWAY_AT_BOTTOM_RAD,
    SlotParameters,
    TrueSlot,
    draw_slot,
)
from taperkey import practice
from taperkey.formulas.measure import height_left_out_in
from taperkey.units import MM_PER_IN, System

__all__ = ["KINDS", "OpeningReadings", "draw", "read_height", "traps_of", "true_height"]

_Way = Literal["ordinary", "reversed", "cannot tell"]
_WAYS: tuple[_Way, ...] = ("ordinary", "reversed", "cannot tell")
KINDS: tuple[_Way, ...] = (*_WAYS, *_WAYS, "ordinary", "reversed")
"""Which end of the slot is the higher one; where the readings cannot tell it is near parallel."""

SCATTER_IN = practice.value("steady_scatter")
FIRST_STATION_IN = 0.25  # the gauge stands this far inside at "the mouth"


@dataclass(frozen=True, kw_only=True)
class OpeningReadings:
    """Readings of one opening, keyway at the bottom, and what another shift did.

    Attributes
    ----------
    mouth_in : tuple of float
        Five readings of the height at the mouth; one may be bad [in].
    inside_in : tuple of float
        Three readings at the inside station [in].
    inside_station_in : float
        Distance of that station from the mouth [in].
    hub_width_in, shaft_width_in : tuple of float
        Three readings each of the slot widths [in].
    bore_in, shaft_in : float
        Measured diameters of bore and shaft [in].
    off_bottom_deg : int
        How far from the bottom the keyway stood when another shift measured [deg].
    added_in : float
        What that shift added to its height, for what it might have missed [in].
    """

    mouth_in: tuple[float, ...]
    inside_in: tuple[float, ...]
    inside_station_in: float
    hub_width_in: tuple[float, ...]
    shaft_width_in: tuple[float, ...]
    bore_in: float
    shaft_in: float
    off_bottom_deg: int
    added_in: float


def true_height(slot: TrueSlot, station_in: float) -> float:
    """Return the height at a station with the keyway at the bottom [in]."""
    return float(slot.height_in(FIRST_STATION_IN + station_in, 0.0, KEYWAY_AT_BOTTOM_RAD))


def read_height(height_in: float, draws: Draws, system: System, *, excess_in: float = 0.0) -> float:
    """Return one height as a steady hand reads it; a gauge not rocked through reads high [in]."""
    return rounded(height_in + excess_in + draws.normal(deviation=SCATTER_IN), system)


def traps_of(kind: _Way) -> frozenset[str]:
    """Return which traps a card of this kind holds."""
    return frozenset({kind})


def draw(*, draws: Draws, turn: int, drive: Drive) -> OpeningReadings:
    """Draw the readings: either way round, two in five with a worn hub slot."""
    way = KINDS[turn % len(KINDS)]
    system = drive.system
    clearance = rounded(draws.uniform(low=0.006, high=0.016), system)
    mouth = drive.key_height_in + draws.uniform(low=0.004, high=0.030)
    wide = draws.uniform(low=0.0, high=1.0) < 0.4  # a worn hub slot: a stepped key later
    hub_width = drive.key_width_in + 0.0005
    hub_width += draws.uniform(low=0.008, high=0.030) if wide else 0.0035
    shaft_width = drive.key_width_in + draws.uniform(low=0.0, high=0.001)
    slot = draw_slot(
        parameters=SlotParameters(
            length_in=drive.hub_length_in,
            mouth_height_in=mouth,
            taper_in_per_in=_taper(draws, way, drive),
            form_error_in=0.0004 if way == "cannot tell" else 0.0012,
            hub_width_in=hub_width,
            shaft_width_in=shaft_width,
            diametral_clearance_in=clearance,
        ),
        seed=int(draws.uniform(low=0, high=1e9)),
    )
    inside = float(draws.whole(low=1, high=3))
    station = inside if system == "inch" else 25.0 * inside / MM_PER_IN
    bad = draws.whole(low=0, high=6)  # 5 and 6: none is bad
    at_mouth, at_inside = true_height(slot, 0.0), true_height(slot, station)
    mouth_in = tuple(
        read_height(
            at_mouth,
            draws,
            system,
            excess_in=draws.uniform(low=0.006, high=0.011) if place == bad else 0.0,
        )
        for place in range(5)
    )
    inside_in = tuple(read_height(at_inside, draws, system) for _ in range(3))

    def widths(middle: float) -> tuple[float, ...]:
        return tuple(rounded(middle + draws.normal(deviation=SCATTER_IN), system) for _ in range(3))

    bore = rounded(
        drive.shaft_diameter_in + draws.uniform(low=0.0005, high=0.003) + clearance, system
    )
    off_bottom = (45, 60, 75, 120, 135, 150)[draws.whole(low=0, high=5)]
    return OpeningReadings(
        mouth_in=mouth_in,
        inside_in=inside_in,
        inside_station_in=station,
        hub_width_in=widths(hub_width),
        shaft_width_in=widths(shaft_width),
        bore_in=bore,
        shaft_in=rounded(bore - clearance, system),
        off_bottom_deg=off_bottom,
        added_in=_added(draws, clearance, off_bottom, system),
    )


def _taper(draws: Draws, way: _Way, drive: Drive) -> float:
    """Return the taper of the slot; one that was cut again nearly parallel tells nothing."""
    if way == "cannot tell":
        return draws.uniform(low=-0.0001, high=0.0001)
    return drive.standard_taper_in_per_in * (-1 if way == "reversed" else 1)


def _added(draws: Draws, clearance: float, off_bottom_deg: int, system: System) -> float:
    """Return what another shift added: too little, what was missing, or too much [in]."""
    missing = float(
        height_left_out_in(
            diametral_clearance_in=clearance, angle_rad=math.radians(180 - off_bottom_deg)
        )
    )
    part = draws.uniform(low=0.2, high=0.5)
    more = draws.uniform(low=0.0015, high=0.0045)
    nothing = draws.uniform(low=0.0, high=1.0) < 0.5
    added = (0.0 if nothing else part * missing, missing, missing + more)
    return rounded(added[draws.whole(low=0, high=2)], system)
