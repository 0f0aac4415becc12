"""What exercise 06 has in hand: one drive, in the order of the job.

With the old key in: what a caliper reads over shaft and key at two places (it tells which end is
large, where it tells, and no more), the seat and the rig. With the key out: the heights of the
empty slot, and what is wanted of the new key.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import Literal

from coursework.draws import Draws
from keycourse.drive import Drive, rounded
from keycourse.measure.card import SCATTER_IN
from keycourse.pull.card import RIG_TRAPS, SMALLEST_SHAFT_IN, RigTrap, Way
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
from taperkey.formulas.taper import STANDARD_INCH, STANDARD_METRIC
from taperkey.formulas.wedge import withdraw_ratio
from taperkey.tables.rigging import friction_range
from taperkey.units import MM_PER_IN, System, to_internal

__all__ = ["KINDS", "SMALLEST_SHAFT_IN", "WholeJob", "draw", "traps_of"]

Taper = Literal["standard", "off standard"]
Kind = tuple[Way, tuple[RigTrap, ...], Taper]
_WAYS: tuple[Way, ...] = ("ordinary", "reversed", "ordinary", "reversed", "cannot tell")
_RIGS: tuple[tuple[tuple[RigTrap, ...], Taper], ...] = tuple(
    itertools.product(RIG_TRAPS, ("standard", "standard", "off standard", "standard"))
)
KINDS: tuple[Kind, ...] = tuple(
    (_WAYS[place % 5], *_RIGS[7 * place % 32]) for place in range(5 * len(_RIGS))
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
_OUTSIDE: dict[System, tuple[float, ...]] = {
    "inch": (0.25, 0.375, 0.5, 0.625, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0),
    "metric": tuple(size / MM_PER_IN for size in (6, 8, 10, 12, 16, 20, 25, 30, 40, 50)),
}
# what an order leaves on for fitting; the course's own choice, about the common allowance
_LEFT_ON_IN: dict[System, tuple[float, ...]] = {
    "inch": tuple(FITTING_ALLOWANCE_IN + step / 1000 for step in (-2, -1, 0, 1, 2, 3)),
    "metric": tuple(
        (practice.metric("fitting_allowance") + step / 100) / MM_PER_IN
        for step in (-5, -3, 0, 3, 5, 7)
    ),
}
# how far the old key stands out where its far end is out of reach: too short to tell anything
_OUT_IN: dict[System, tuple[float, ...]] = {
    "inch": (0.125, 0.1875),
    "metric": (3.0 / MM_PER_IN, 4.0 / MM_PER_IN),
}
# a short slot with worn walls: so uncertain for each inch that both standards agree
_ROUGH, _LONGEST_ROUGH_IN = 0.00026, 9.5


@dataclass(frozen=True, kw_only=True)
class WholeJob:
    """One drive, as measured, ordered and planned.

    Attributes
    ----------
    over_near_in, over_far_in : float
        From the underside of the shaft to the top of the old key, at the hub's two faces; the far
        one is 0 where it is out of reach [in].
    over_end_in, out_in : float
        The same at the key's end, and how far that is out from the hub face; 0 where it was not
        taken [in].
    over_good_in : float
        What one of these readings is good to [in].
    near_in, far_in : tuple of float
        Three readings each of the height of the empty slot, at the end that showed and at the far
        end [in].
    height_sd_in : float
        Standard uncertainty of each of their means [in].
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
    over_end_in: float
    out_in: float
    over_good_in: float
    near_in: tuple[float, ...]
    far_in: tuple[float, ...]
    height_sd_in: float
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

    @property
    def larger_here_in(self) -> float:
        """How much larger the old key is toward the end that shows [in]."""
        if self.over_far_in:
            return self.over_near_in - self.over_far_in
        return self.over_end_in - self.over_near_in

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
                height_sd_in=self.height_sd_in,
            ),
            key=KeyInputs(outside_in=self.outside_in, allowance_in=self.allowance_in),
            pull=replace(
                self.rig,
                over_near_in=self.over_near_in if self.over_far_in else None,
                over_far_in=self.over_far_in or None,
                key_width_in=self.width_in,
                key_length_in=self.base_in,
                key_outside_in=self.outside_in,
            ),
        )


def traps_of(kind: Kind) -> frozenset[str]:
    """Return which traps a card of this kind holds, for whoever deals the cards of a class."""
    way, traps, taper = kind
    return frozenset({way, *traps, taper})


def draw(*, draws: Draws, turn: int, drive: Drive) -> WholeJob:
    """Draw the job: which way the hub is on, what is wrong with key and rig, and the slot's taper.

    The pressure on the faces is set from the rig. Rust makes three or four times the pull of a
    clean key, so it defeats the rig, unless the key sits lightly.
    """
    way, traps, made = KINDS[turn % len(KINDS)]
    system = drive.system
    taper = drive.standard_taper_in_per_in
    if draws.uniform(low=0.0, high=1.0) < 0.3:  # a hub from abroad
        taper = STANDARD_METRIC if system == "inch" else STANDARD_INCH
    if made == "off standard":
        least, most = ((72.0, 80.0), (120.0, 134.0))[draws.whole(low=0, high=1)]
        taper = 1 / draws.uniform(low=least, high=most)
    length = drive.hub_length_in
    large = drive.key_height_in + draws.uniform(low=0.004, high=0.030)
    small = large - length * taper
    short = way == "cannot tell"
    turned = way == "reversed" or (short and draws.whole(low=0, high=1) == 1)
    near, far = (small, large) if turned else (large, small)
    doubt = _HEIGHT_SD_IN[system]
    if length < _LONGEST_ROUGH_IN and draws.uniform(low=0.0, high=1.0) < 0.4:
        doubt = rounded(_ROUGH * length, system)
    scatter = max(SCATTER_IN, doubt)
    near_in, far_in = (
        tuple(rounded(at + draws.normal(deviation=scatter), system) for _ in range(3))
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
        taper_in_per_in=0.0 if turned else taper,
    )
    loads = tuple((link.name, _down(link.capacity_lbf, system)) for link in links)
    heavy = draws.uniform(low=0.0, high=1.0) < (0.4 if rusted else 0.15)
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
    left_on, outside = _left_on_and_outside(draws, taper, system)
    gone = draws.uniform(low=0.25, high=0.42)
    left_to_drive = _LEFT_TO_DRIVE_IN[system]
    part = gone if draws.whole(low=0, high=1) else 1 - gone
    travel_left = left_to_drive + part * (left_on / taper - left_to_drive)
    stands_out = outside + travel_left
    over_near = _over_key(near, drive, draws)
    out = _OUT_IN[system][draws.whole(low=0, high=1)] if short else 0.0
    return WholeJob(
        over_near_in=over_near,
        over_far_in=0.0 if short else _over_key(far, drive, draws),
        over_end_in=_over_key(near + (-taper if turned else taper) * out, drive, draws)
        if short
        else 0.0,
        out_in=out,
        over_good_in=2 * _OVER_KEY_IN[system],
        near_in=near_in,
        far_in=far_in,
        height_sd_in=doubt,
        base_in=length,
        width_in=drive.key_width_in,
        outside_in=outside,
        allowance_in=left_on,
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


def _left_on_and_outside(draws: Draws, taper: float, system: System) -> tuple[float, float]:
    """Return what is left on for fitting and the length left outside, their slips well apart."""
    while True:
        left_on = _LEFT_ON_IN[system][draws.whole(low=0, high=len(_LEFT_ON_IN[system]) - 1)]
        outside = _OUTSIDE[system][draws.whole(low=0, high=len(_OUTSIDE[system]) - 1)]
        rise = outside * taper
        near = min(abs(rise - left_on), abs(2 * rise - left_on), abs(rise - 2 * left_on))
        if near > 0.0012:
            return left_on, outside


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
