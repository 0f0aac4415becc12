"""What exercise 06 has in hand: one drive, in the order of the job.

With the old key in: what a caliper reads over shaft and key at both ends (it tells which end is
large, and no more), the seat and the rig. With the key out: the heights of the empty slot, and what
is wanted of the new key.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import Literal

from coursework.draws import Draws
from keycourse.drive import Drive, rounded
from keycourse.measure.card import SCATTER_IN
from keycourse.pull.card import RIG_TRAPS, SMALLEST_SHAFT_IN, RigTrap
from keycourse.pull.crib import draw_crib
from keycourse.taper.card import HEIGHT_SD_IN, HEIGHT_SD_MM
from keycourse.whole.job_inputs import (
    JobInputs,
    KeyInputs,
    OpeningInputs,
    PullInputs,
)
from taperkey import practice
from taperkey.formulas.key import FITTING_ALLOWANCE_IN
from taperkey.formulas.rig import rig_links
from taperkey.formulas.wedge import withdraw_ratio
from taperkey.tables.rigging import friction_range
from taperkey.units import MM_PER_IN, System, to_internal

__all__ = ["KINDS", "SMALLEST_SHAFT_IN", "WholeJob", "draw", "height_sd_in", "traps_of"]

Way = Literal["ordinary", "reversed"]
Taper = Literal["standard", "off standard"]
Kind = tuple[Way, tuple[RigTrap, ...], Taper]
_WAYS: tuple[Way, ...] = ("ordinary", "reversed")
_RIGS: tuple[tuple[tuple[RigTrap, ...], Taper], ...] = tuple(
    itertools.product(RIG_TRAPS, ("standard", "off standard", "standard"))
)
KINDS: tuple[Kind, ...] = tuple(
    (_WAYS[place % 2], *_RIGS[7 * (place // 2) % len(_RIGS)]) for place in range(2 * len(_RIGS))
)
"""Which way the hub is on, what is wrong with key and rig, and the slot's taper."""
# of one height of the empty slot as the shop takes it, the mean of three
_HEIGHT_SD_IN: dict[System, float] = {
    "inch": HEIGHT_SD_IN,
    "metric": HEIGHT_SD_MM / MM_PER_IN,
}
_LEFT_TO_DRIVE_IN: dict[System, float] = {
    "inch": practice.value("left_to_drive"),
    "metric": practice.metric("left_to_drive") / MM_PER_IN,
}
# a caliper's step
_OVER_KEY_IN: dict[System, float] = {
    "inch": practice.value("caliper"),
    "metric": practice.metric("caliper") / MM_PER_IN,
}
# where taper times length is not near the fitting allowance, nor near half of it
_OUTSIDE: dict[System, tuple[float, ...]] = {
    "inch": (0.25, 0.75, 1.5, 2.0),
    "metric": (8 / MM_PER_IN, 16 / MM_PER_IN, 20 / MM_PER_IN, 40 / MM_PER_IN),
}


@dataclass(frozen=True, kw_only=True)
class WholeJob:
    """One drive, as measured, ordered and planned.

    Attributes
    ----------
    over_near_in, over_far_in : float
        From the underside of the shaft to the top of the old key, at the hub's two faces [in].
    near_in, far_in : tuple of float
        Three readings each of the height of the empty slot, at the end that showed and at the far
        end [in].
    base_in : float
        Distance between the two, the length of the hub [in].
    width_in : float
        Width of the key [in].
    outside_in, allowance_in : float
        Length of the fitted key outside the slot; over size for fitting [in].
    stands_out_in : float
        Stand-out of the new key after some goes, from the hub's face, with the length that stays
        outside [in].
    left_to_drive_in : float
        Travel left at which filing stops [in].
    pressure_low_psi, pressure_high_psi : float
        Mean pressure on the faces of the old key [psi].
    faces : str
        State of the faces, a row of the friction table.
    friction_low, friction_high : float
        Friction today, inside that row [-].
    rig : PullInputs
        The rig in the crib.
    loads : tuple of (str, float)
        Working load of each link as the planner has it [lbf].
    tapped : bool
        Whether the end that shows is tapped.
    """

    over_near_in: float
    over_far_in: float
    near_in: tuple[float, ...]
    far_in: tuple[float, ...]
    base_in: float
    width_in: float
    outside_in: float
    allowance_in: float
    stands_out_in: float
    left_to_drive_in: float
    pressure_low_psi: float
    pressure_high_psi: float
    faces: str
    friction_low: float
    friction_high: float
    rig: PullInputs
    loads: tuple[tuple[str, float], ...]
    tapped: bool

    def inputs(self, drive: Drive) -> JobInputs:
        """Return the same job as a job sheet takes it."""
        return JobInputs(
            standard=drive.system,
            opening=OpeningInputs(
                distances_in=(0.0, self.base_in),
                readings_in=(self.near_in, self.far_in),
                hub_widths_in=(self.width_in,),
                shaft_widths_in=(self.width_in,),
                hub_length_in=self.base_in,
                shaft_diameter_in=drive.shaft_diameter_in,
                keyway_at_bottom=True,
                height_sd_in=height_sd_in(drive.system),
            ),
            key=KeyInputs(outside_in=self.outside_in, allowance_in=self.allowance_in),
            pull=replace(
                self.rig,
                over_near_in=self.over_near_in,
                over_far_in=self.over_far_in,
                key_width_in=self.width_in,
                key_length_in=self.base_in,
                key_outside_in=self.outside_in,
            ),
        )


def traps_of(kind: Kind) -> frozenset[str]:
    """Return which traps a card of this kind holds, for whoever deals the cards of a class."""
    way, traps, taper = kind
    return frozenset({way, *traps, taper})


def height_sd_in(system: System) -> float:
    """Return the standard uncertainty of a mean height of the empty slot [in]."""
    return _HEIGHT_SD_IN[system]


def draw(*, draws: Draws, turn: int, drive: Drive) -> WholeJob:
    """Draw the job: which way the hub is on, what is wrong with key and rig, and the slot's taper.

    The pressure on the faces is set from the rig. Rust makes three or four times the pull of a
    clean key, so it defeats the rig, unless the key sits lightly.
    """
    way, traps, made = KINDS[turn % len(KINDS)]
    system = drive.system
    taper = drive.standard_taper_in_per_in
    if made == "off standard":
        least, most = ((72.0, 80.0), (120.0, 134.0))[draws.whole(low=0, high=1)]
        taper = 1 / draws.uniform(low=least, high=most)
    length = drive.hub_length_in
    large = drive.key_height_in + draws.uniform(low=0.004, high=0.030)
    small = large - length * taper
    near, far = (small, large) if way == "reversed" else (large, small)
    near_in, far_in = (
        tuple(rounded(at + draws.normal(deviation=SCATTER_IN), system) for _ in range(3))
        for at in (near, far)
    )
    tapped, weak, rusted = ("not tapped" not in traps, "weak rig" in traps, "rusted" in traps)
    end = sum(near_in) / 3
    crib = draw_crib(
        draws, tapped=tapped, weak=weak, width=drive.key_width_in, height=end, system=system
    )
    rig = PullInputs(surface="rusted" if rusted else "lubricated", **vars(crib.parts))
    links = rig_links(
        rig=rig,
        width_in=drive.key_width_in,
        end_height_in=end,
        taper_in_per_in=0.0 if way == "reversed" else taper,
    )
    loads = tuple((link.name, _down(link.capacity_lbf, system)) for link in links)
    heavy = draws.uniform(low=0.0, high=1.0) < (0.6 if rusted else 0.4)
    least, *others = sorted(load for _, load in loads)
    if heavy or weak:
        pull = draws.uniform(low=1.12, high=1.7) * (least if weak and not heavy else others[0])
    else:
        pull = draws.uniform(low=0.5, high=0.86) * least
    row = friction_range(state=rig.surface)
    friction = (
        round(row.low + 0.005 * draws.whole(low=1, high=8), 3),
        round(row.high - 0.005 * draws.whole(low=0, high=8), 3),
    )
    planned = drive.standard_taper_in_per_in
    normal = pull / withdraw_ratio(
        taper_in_per_in=planned, floor_friction=friction[1], roof_friction=friction[1]
    )
    pressure = normal / (drive.key_width_in * length)
    step = 100.0 if system == "inch" else to_internal(1.0, dimension="pressure", unit="MPa")
    step /= 10 if pressure < 20 * step else 1
    high = step * max(2, round(pressure / step))
    low = step * max(1, round(pressure * draws.uniform(low=0.6, high=0.8) / step))
    rig = replace(rig, friction=friction, seat_pressure_psi=(low, high))
    metric = system == "metric"
    allowance = practice.metric("fitting_allowance") / MM_PER_IN if metric else FITTING_ALLOWANCE_IN
    gone = draws.uniform(low=0.25, high=0.42)
    left_to_drive = _LEFT_TO_DRIVE_IN[system]
    part = gone if draws.whole(low=0, high=1) else 1 - gone
    travel_left = left_to_drive + part * (allowance / taper - left_to_drive)
    outside = _OUTSIDE[system][draws.whole(low=0, high=3)]
    stands_out = outside + travel_left
    over_near, over_far = (_over_key(at, drive, draws) for at in (near, far))
    return WholeJob(
        over_near_in=over_near,
        over_far_in=over_far,
        near_in=near_in,
        far_in=far_in,
        base_in=length,
        width_in=drive.key_width_in,
        outside_in=outside,
        allowance_in=allowance,
        stands_out_in=round(stands_out * MM_PER_IN, 1) / MM_PER_IN
        if metric
        else round(stands_out, 2),
        left_to_drive_in=left_to_drive,
        pressure_low_psi=low,
        pressure_high_psi=high,
        faces=rig.surface,
        friction_low=friction[0],
        friction_high=friction[1],
        rig=rig,
        loads=loads,
        tapped=tapped,
    )


def _over_key(height: float, drive: Drive, draws: Draws) -> float:
    """Return what a caliper reads from the underside of the shaft to the top of the key [in].

    The keyseat is taken half as deep as the key is high; the direction does not depend on it.
    """
    step = _OVER_KEY_IN[drive.system]
    over = drive.shaft_diameter_in - drive.key_height_in / 2 + height
    return step * round((over + draws.normal(deviation=step)) / step)


def _down(capacity: float, system: System) -> float:
    """Return a working load as it is chalked on the rig: down to 100 lbf, or to 0.5 kN."""
    step = 100.0 if system == "inch" else to_internal(0.5, dimension="force", unit="kN")
    return step * math.floor(capacity / step)
