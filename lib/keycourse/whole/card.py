"""What exercise 06 has in hand: one drive, in the order of the job.

With the old key in: what a caliper reads over shaft and key at both ends (it tells which end is
large, and no more), the seat and the rig. With the key out: the heights of the empty slot, and what
is wanted of the new key.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from coursework.draws import Draws
from keycourse.drive import Drive, rounded
from keycourse.measure.card import SCATTER_IN
from keycourse.pull.card import SMALLEST_SHAFT_IN
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
from taperkey.formulas.rig_parts import strongback_link
from taperkey.formulas.wedge import withdraw_ratio
from taperkey.tables.rigging import friction_range, jack, jack_names
from taperkey.tables.strengths import steel
from taperkey.tables.threads import thread
from taperkey.units import MM_PER_IN, System, to_internal

__all__ = ["KINDS", "SMALLEST_SHAFT_IN", "WholeJob", "draw", "height_sd_in", "traps_of"]

Kind = Literal["ordinary", "weak rod", "off standard", "not tapped", "rusted"]
Way = Literal["ordinary", "reversed"]
KINDS: tuple[tuple[Kind, Way], ...] = (
    ("ordinary", "ordinary"),
    ("off standard", "reversed"),
    ("ordinary", "reversed"),
    ("weak rod", "ordinary"),
    ("off standard", "ordinary"),
    ("rusted", "reversed"),
    ("not tapped", "ordinary"),
    ("ordinary", "reversed"),
    ("weak rod", "reversed"),
    ("rusted", "ordinary"),
    ("ordinary", "ordinary"),
    ("not tapped", "reversed"),
)
"""What is wrong with a drive, and which way its hub is on: each trap on both."""
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
_THREADS: dict[System, tuple[str, ...]] = {
    "inch": (
        *("1/2-13 UNC", "5/8-11 UNC", "3/4-10 UNC", "7/8-9 UNC", "1-8 UNC"),
        *("1-1/8-7 UNC", "1-1/4-7 UNC", "1-1/2-6 UNC"),
    ),
    "metric": ("M12", "M16", "M20", "M24", "M30", "M36"),
}
_GRADES: dict[System, str] = {"inch": "ASTM A193 B7", "metric": "ISO 898-1 class 8.8"}
_PLAIN_BAR = "ASTM A36 threaded bar"
# where taper times length is not near the fitting allowance, nor near half of it
_OUTSIDE: dict[System, tuple[float, ...]] = {
    "inch": (0.25, 0.75, 1.5, 2.0),
    "metric": (8 / MM_PER_IN, 16 / MM_PER_IN, 20 / MM_PER_IN, 40 / MM_PER_IN),
}
_SOLID_TONS = (5.0, 10.0, 20.0, 30.0, 50.0, 100.0)


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


def traps_of(kind: tuple[Kind, Way]) -> frozenset[str]:
    """Return which traps a card of this kind holds, for whoever deals the cards of a class."""
    what, way = kind
    words = {"weak rod": "weak rig"}
    return frozenset({way, words.get(what, what)})


def height_sd_in(system: System) -> float:
    """Return the standard uncertainty of a mean height of the empty slot [in]."""
    return _HEIGHT_SD_IN[system]


def draw(*, draws: Draws, turn: int, drive: Drive) -> WholeJob:
    """Draw the job: the ordinary one and each trap in turn.

    The pressure on the faces is set from the rig, so that a rig of the crib carries a clean
    key and a rusted one defeats it.
    """
    kind, way = KINDS[turn % len(KINDS)]
    system = drive.system
    taper = drive.standard_taper_in_per_in
    if kind == "off standard":
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
    rig = _rig(draws, kind, drive, small)
    end = sum(near_in) / 3
    slope = 0.0 if way == "reversed" else taper
    strong = {
        link.name: link.capacity_lbf
        for link in rig_links(
            rig=rig, width_in=drive.key_width_in, end_height_in=end, taper_in_per_in=slope
        )
    }
    if kind == "weak rod":
        rig = replace(rig, grade_name=_PLAIN_BAR)
    links = rig_links(
        rig=rig, width_in=drive.key_width_in, end_height_in=end, taper_in_per_in=slope
    )
    loads = tuple((link.name, _down(link.capacity_lbf, system)) for link in links)
    carried = min(strong.values())
    if kind == "weak rod":
        pull = draws.uniform(low=0.7, high=0.9) * carried
    else:
        pull = draws.uniform(low=0.5, high=0.86) * carried
    clean = friction_range(state="lubricated").high
    normal = pull / withdraw_ratio(taper_in_per_in=taper, floor_friction=clean, roof_friction=clean)
    step = 100.0 if system == "inch" else to_internal(1.0, dimension="pressure", unit="MPa")
    pressure = normal / (drive.key_width_in * length)
    high = step * max(2, round(pressure / step))
    low = step * max(1, round(pressure * draws.uniform(low=0.6, high=0.8) / step))
    faces = "rusted" if kind == "rusted" else "lubricated"
    row = friction_range(state=faces)
    friction = (
        round(row.low + 0.01 * draws.whole(low=1, high=3), 2),
        round(row.high - 0.01 * draws.whole(low=0, high=2), 2),
    )
    rig = replace(rig, surface=faces, friction=friction, seat_pressure_psi=(low, high))
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
        faces=faces,
        friction_low=friction[0],
        friction_high=friction[1],
        rig=rig,
        loads=loads,
        tapped=kind != "not tapped",
    )


def _over_key(height: float, drive: Drive, draws: Draws) -> float:
    """Return what a caliper reads from the underside of the shaft to the top of the key [in].

    The keyseat is taken half as deep as the key is high; the direction does not depend on it.
    """
    step = _OVER_KEY_IN[drive.system]
    over = drive.shaft_diameter_in - drive.key_height_in / 2 + height
    return step * round((over + draws.normal(deviation=step)) / step)


def _rig(draws: Draws, kind: Kind, drive: Drive, lowest: float) -> PullInputs:
    """Return the rig in the crib: parts of sizes that go with the key."""
    system = drive.system
    names = _THREADS[system]
    fitting = [name for name in names if thread(name=name).diameter_in <= 0.7 * lowest]
    name = fitting[-1] if fitting else names[0]
    size = thread(name=name)
    engaged = (1.25, 1.5, 2.0)[draws.whole(low=0, high=2)] * size.diameter_in
    share = draws.uniform(low=0.7, high=1.4)
    if kind == "not tapped":
        leg = (0.5, 0.375)[draws.whole(low=0, high=1)]
        start = PullInputs(
            method="welded strongback",
            surface="lubricated",
            weld_size_in=min(leg, 0.375 if lowest < 1.0 else leg),
            weld_length_in=drive.key_width_in,
        )
    else:
        hollow = draws.uniform(low=0.0, high=1.0) < 0.4
        start = PullInputs(
            method="hollow-ram" if hollow else "strongback",
            surface="lubricated",
            thread_name=name,
            grade_name=_GRADES[system],
            engagement_in=engaged,
        )
    links = rig_links(
        rig=start, width_in=drive.key_width_in, end_height_in=lowest, taper_in_per_in=0.0
    )
    held = min(
        link.capacity_lbf for link in links if link.name not in ("jacks", "strongback", "seat")
    )
    rig = _with_jacks(start, share * held, size.diameter_in)
    return _with_bar(rig, draws.uniform(low=1.1, high=1.7) * held)


def _with_jacks(rig: PullInputs, wanted: float, rod_in: float) -> PullInputs:
    if rig.method == "hollow-ram":
        hollow = [one for one in (jack(name=name) for name in jack_names()) if one.hole_in]
        over = [one for one in hollow if (one.hole_in or 0.0) > rod_in]
        fits = [one for one in over if one.rated_lbf * rig.jack_share >= wanted] or over[-1:]
        return replace(rig, jacks=1, jack_tons=fits[0].rated_tons, seat_area_in2=20.0)
    pair = 2 * 2000 * rig.jack_share
    tons = next((one for one in _SOLID_TONS if pair * one >= wanted), _SOLID_TONS[-1])
    return replace(rig, jacks=2, jack_tons=tons, seat_area_in2=max(4.0, float(round(tons / 4))))


def _with_bar(rig: PullInputs, wanted: float) -> PullInputs:
    """Return the rig with a strongback just deep enough, as a crib would have it."""
    if rig.method == "hollow-ram":
        return rig
    hole = thread(name=rig.thread_name).diameter_in + 1 / 16 if rig.thread_name else 0.0
    depth = 1.5
    while depth < 15.0:
        bar = strongback_link(
            width_in=4.0,
            depth_in=depth,
            span_in=12.0,
            hole_in=hole,
            yield_psi=steel(name=rig.bar_steel_name).yield_psi,
        )
        if bar.capacity_lbf >= wanted:
            break
        depth += 0.25
    return replace(rig, bar_width_in=4.0, bar_depth_in=depth, bar_span_in=12.0)


def _down(capacity: float, system: System) -> float:
    """Return a working load as it is chalked on the rig: down to 100 lbf, or to 0.5 kN."""
    step = 100.0 if system == "inch" else to_internal(0.5, dimension="force", unit="kN")
    return step * math.floor(capacity / step)
