"""What exercise 03 has in hand: the measured slot, bars on the rack, and what the drive asks."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product
from typing import Literal

from coursework.draws import Draws
from keycourse.drive import Drive, rounded
from taperkey import practice
from taperkey.formulas.bearing import bearing_height_in
from taperkey.formulas.key import FITTING_ALLOWANCE_IN, metric_keyseat_depths
from taperkey.formulas.key_form import chamfer_clears
from taperkey.formulas.strength import SHEAR_SHARE
from taperkey.formulas.torque import LBF_IN_PER_MIN_PER_HP, solid_shaft_torque_lbf_in
from taperkey.tables.stock import stock_bars
from taperkey.tables.strengths import steel
from taperkey.units import MM_PER_IN, System

__all__ = [
    "CHAMFERS_IN",
    "CHAMFERS_MM",
    "HP_PER_KW",
    "KEY_STEEL",
    "KINDS",
    "KeyOrder",
    "RackBar",
    "chamfers_in",
    "clearing_chamfer_in",
    "draw",
    "traps_of",
]

HP_PER_KW = 1 / 0.745699872
KEY_STEEL = "1018 cold-drawn"

_Form = Literal["plain", "hub wide", "shaft wide"]
_Load = Literal["holds", "over shear", "over bearing", "over both"]
_What = Literal["ordinary", "off", "one size up"]
_FORMS: tuple[_Form, ...] = ("hub wide", "plain", "shaft wide", "plain", "hub wide")
_LOADS: tuple[_Load, ...] = ("holds", "over shear", "over bearing", "holds", "over both")
_WHATS: tuple[_What, ...] = ("ordinary", "off", "one size up", "off")
_Way = Literal["ordinary", "reversed"]
_WAYS: tuple[_Way, ...] = ("ordinary", "reversed")
_Kind = tuple[_Form, _Load, _What, _Way]
KINDS: tuple[_Kind, ...] = tuple(product(_FORMS, _LOADS, _WHATS, _WAYS))
"""What key the slots want, whether it holds, what is out of the usual, which way round."""

# Steels of shaft and hub: the softest of the three is now the hub, now the shaft, now the key.
_STEELS: tuple[tuple[str, str], ...] = (
    ("1045 hot-rolled", "A27 65-35 cast steel"),
    ("1020 hot-rolled", "A27 65-35 cast steel"),
    ("1045 hot-rolled", "A36 plate"),
    ("1045 cold-drawn", "1045 cold-drawn"),
    ("1020 hot-rolled", "1045 hot-rolled"),
)

_HARD = ("1045 cold-drawn", "1045 cold-drawn")

#: Chamfers that the shop cuts. Inch: those of ASME B17.1's fillet table, from memory.
CHAMFERS_IN = (1 / 32, 3 / 64, 1 / 16, 5 / 64, 1 / 8, 5 / 32, 3 / 16, 7 / 32, 1 / 4, 9 / 32)
#: Metric: ends of the ranges of DIN 6885 and 6886, and steps between; from memory.
CHAMFERS_MM = (0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.2, 1.6, 2.0)

# Slot corner radii that a radius gauge finds, small to large.
_RADII_IN = tuple(place / 64 for place in (1, 2, 3, 4, 6, 8, 10, 12, 14, 16))
_RADII_MM = (0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.2, 1.6)
# Key that belongs to each of them: smallest height (metric: width) at which it is met.
_FROM_IN = (0.0, 0.28, 0.36, 0.45, 0.7, 0.95, 1.3, 1.5, 1.7, 1.95)
_FROM_MM = (0.0, 5.0, 8.5, 10.0, 18.5, 20.0, 32.5, 36.0, 50.5, 56.0)
_CLEARANCE = {
    "inch": practice.value("side_clearance"),
    "metric": practice.metric("side_clearance") / MM_PER_IN,
}
_PLAIN_LIMIT = {
    "inch": practice.value("plain_key_limit"),
    "metric": practice.metric("plain_key_limit") / MM_PER_IN,
}
_SPEEDS_RPM = (12, 15, 18, 20, 24, 30, 36, 40, 48, 60, 75, 90, 120, 150, 180, 240, 300, 360, 450)
_SHAFT_STRESS_PSI = practice.value("shaft_stress")


@dataclass(frozen=True, kw_only=True)
class RackBar:
    """A bar on the rack, as the micrometer finds it.

    Attributes
    ----------
    name : str
        Such as "bar B".
    nominal_width_in, nominal_height_in : float
        Size it is called by [in].
    width_in, height_in : float
        Measured [in].
    """

    name: str
    nominal_width_in: float
    nominal_height_in: float
    width_in: float
    height_in: float


@dataclass(frozen=True, kw_only=True)
class KeyOrder:
    """What is known before a key is made.

    Attributes
    ----------
    mouth_height_in : float
        Height of the opening at the mouth, where the key goes in, keyway at the bottom [in].
    small_height_in : float
        Height at the other face of the hub [in].
    mouth_is_near : bool
        Whether the mouth is the near face.
    taper_in_per_in : float
        Taper of the opening from a long base [in/in].
    engaged_length_in : float
        Length of the finished key inside the hub [in].
    outside_length_in : float
        Length of the finished key that stays outside the mouth [in].
    hub_width_in, shaft_width_in : float
        Widths of both slots [in].
    side_clearance_in : float
        What the key is narrower than each slot, both sides together [in].
    plain_limit_in : float
        Up to this difference of the slots a plain key serves [in].
    slot_radius_in : float
        Radius in the corners of the slots [in].
    allowance_in : float
        Over size in height for fitting and drive [in].
    relief_cut_in : float
        Relief cut on the face opposite the taper [in].
    least_taper_cut_in : float
        Least that the taper cut must take off at the large end [in].
    rack : tuple of RackBar
        Bars of key steel on the rack.
    power_hp, speed_rpm : float
        What the drive carries at most [hp], [rev/min].
    bearing_length_in : float
        Length over which both slots have sound sides [in].
    keyseat_depth_in, keyway_depth_in : float
        Depth of the slot in the shaft and in the hub along its side wall; that of the hub half
        way along the length with sound sides [in].
    shaft_steel, hub_steel : str
        What shaft and hub are made of; the key is of `KEY_STEEL`.
    allowed_shear_psi : float
        Shear stress that the plant's engineer allows for this key [psi].
    key_allowed_psi, shaft_allowed_psi, hub_allowed_psi : float
        Bearing stress that the plant's engineer allows for each of the three [psi].
    """

    mouth_height_in: float
    small_height_in: float
    mouth_is_near: bool
    taper_in_per_in: float
    engaged_length_in: float
    outside_length_in: float
    hub_width_in: float
    shaft_width_in: float
    side_clearance_in: float
    plain_limit_in: float
    slot_radius_in: float
    allowance_in: float
    relief_cut_in: float
    least_taper_cut_in: float
    rack: tuple[RackBar, ...]
    power_hp: float
    speed_rpm: float
    bearing_length_in: float
    keyseat_depth_in: float
    keyway_depth_in: float
    shaft_steel: str
    hub_steel: str
    allowed_shear_psi: float
    key_allowed_psi: float
    shaft_allowed_psi: float
    hub_allowed_psi: float

    @property
    def length_in(self) -> float:
        """Whole length of the key [in]."""
        return self.engaged_length_in + self.outside_length_in

    @property
    def large_end_height_in(self) -> float:
        """Height of the new key at its large end, allowance included [in]."""
        return (
            self.mouth_height_in + self.taper_in_per_in * self.outside_length_in + self.allowance_in
        )

    @property
    def stepped(self) -> bool:
        """Whether the slots differ by more than a plain key can serve."""
        return abs(self.hub_width_in - self.shaft_width_in) > self.plain_limit_in

    @property
    def key_width_in(self) -> float:
        """Width of the key: of a plain one by the narrow slot, of a stepped one the wide part."""
        slots = (self.hub_width_in, self.shaft_width_in)
        return (max(slots) if self.stepped else min(slots)) - self.side_clearance_in


def chamfers_in(system: System) -> list[float]:
    """Return the chamfers that the shop cuts, small to large [in]."""
    return [one / MM_PER_IN for one in CHAMFERS_MM] if system == "metric" else list(CHAMFERS_IN)


def clearing_chamfer_in(slot_radius_in: float, system: System) -> float:
    """Return the smallest of the shop's chamfers that clears a corner radius [in]."""
    return next(
        one
        for one in chamfers_in(system)
        if chamfer_clears(slot_radius_in=slot_radius_in + 1e-9, chamfer_in=one)
    )


def _stepped(value_in: float, system: System, *, inch: float, mm: float) -> float:
    """Round to a step of the system's rule."""
    step = inch if system == "inch" else mm / MM_PER_IN
    return round(value_in / step) * step


def traps_of(kind: _Kind) -> frozenset[str]:
    """Return which traps a card of this kind holds."""
    form, load, what, way = kind
    return frozenset({form, load, way, *({"off standard"} if what == "off" else ())})


def draw(*, draws: Draws, turn: int, drive: Drive) -> KeyOrder:
    """Draw the order for a key: the ordinary case and each trap."""
    form, load, what, way = KINDS[turn % len(KINDS)]
    system = drive.system
    inch = system == "inch"
    taper = drive.standard_taper_in_per_in
    if what == "off":
        steep = draws.uniform(low=0, high=1) < 0.5
        taper = 1 / draws.uniform(low=74 if steep else 118, high=82 if steep else 132)
    taper = round(taper, 5)
    mouth = rounded(drive.key_height_in + draws.uniform(low=0.004, high=0.030), system)
    outside = (
        0.25 * draws.whole(low=2, high=6) if inch else 5 * draws.whole(low=3, high=8) / MM_PER_IN
    )
    allowance = (
        round(FITTING_ALLOWANCE_IN + (-0.002, 0.0, 0.002)[draws.whole(low=0, high=2)], 3)
        if inch
        else (0.20, 0.25, 0.30)[draws.whole(low=0, high=2)] / MM_PER_IN
    )
    hub, shaft = _widths(draws, form, drive)
    side_depth = _side_depth(drive)
    place = _radius_place(draws, drive)
    radius = _RADII_IN[place] if inch else _RADII_MM[place] / MM_PER_IN
    chamfer = clearing_chamfer_in(radius, system)
    relief = _stepped(draws.uniform(low=0.020, high=0.045), system, inch=0.005, mm=0.1)
    least = _stepped(draws.uniform(low=0.010, high=0.020), system, inch=0.005, mm=0.1)
    large = mouth + taper * outside + allowance
    wide = max(hub, shaft) - _CLEARANCE[system]
    relief, rack = _rack(draws, what, drive, wide=wide, large=large, relief=relief, least=least)
    factor = (3.0, 3.5, 4.0)[draws.whole(low=0, high=2)]
    shaft_steel, hub_steel = _STEELS[draws.whole(low=0, high=len(_STEELS) - 1)]
    if load == "over shear" and draws.uniform(low=0.0, high=1.0) < 0.7:
        shaft_steel, hub_steel = _HARD  # where neither slot is soft, shear comes first sooner
    keyseat = _side(side_depth, system)

    def keyway(length_in: float) -> float:
        """Return the depth of the keyway half way along a length from the mouth [in]."""
        return _side(mouth - taper * length_in / 2 - side_depth, system)

    def allowed(bearing_factor: float) -> tuple[float, float, float]:
        """Return what is allowed in bearing on key, shaft and hub [psi]."""
        key, shaft, hub = (
            _stress(steel(name=name).yield_psi / bearing_factor, system)
            for name in (KEY_STEEL, shaft_steel, hub_steel)
        )
        return key, shaft, hub

    def borne_lbf_per_in(length_in: float, on: tuple[float, float, float]) -> float:
        """Return the force that the sides may bear for each inch [lbf/in]."""
        on_key, on_shaft, on_hub = on
        in_shaft = bearing_height_in(slot_side_depth_in=keyseat, chamfer_in=chamfer)
        in_hub = bearing_height_in(slot_side_depth_in=keyway(length_in), chamfer_in=chamfer)
        return min(min(on_key, on_shaft) * in_shaft, min(on_key, on_hub) * in_hub)

    bearing = drive.hub_length_in
    if draws.uniform(low=0.0, high=1.0) < 0.5:  # the rest of the hub slot is broken out
        bearing *= draws.uniform(low=0.45, high=0.75)
    width = min(hub, shaft) - _CLEARANCE[system]
    shear_factor = bearing_factor = factor
    shear = SHEAR_SHARE * steel(name=KEY_STEEL).yield_psi / factor
    ratio = shear * width / borne_lbf_per_in(bearing, allowed(factor))
    apart = draws.uniform(low=1.45, high=1.7)
    # where one of the two is over and the other not, the engineer allows less for that one
    if load == "over shear":
        shear_factor *= max(1.0, apart * ratio)
    elif load == "over bearing":
        bearing_factor *= max(1.0, apart / ratio)
    shear = _stress(SHEAR_SHARE * steel(name=KEY_STEEL).yield_psi / shear_factor, system)
    on = allowed(bearing_factor)
    used = draws.uniform(low=0.0, high=1.0)

    def put_on_lbf_per_in(length_in: float) -> float:
        """Return the force that the drive puts on each inch of the key [lbf/in]."""
        least, most = sorted((shear * width, borne_lbf_per_in(length_in, on)))
        low, high = {
            "holds": (0.45 * least, 0.86 * least),
            "over both": (1.15 * most, 1.6 * most),
        }.get(load, (1.13 * least, 0.88 * most))
        return low + used * (high - low)

    torque = solid_shaft_torque_lbf_in(
        shaft_diameter_in=drive.shaft_diameter_in, shear_stress_psi=_SHAFT_STRESS_PSI
    )
    arm = drive.shaft_diameter_in / 2
    bearing = min(bearing, torque / (arm * put_on_lbf_per_in(bearing)))
    bearing = max(_stepped(bearing, system, inch=0.25, mm=5.0), 0.5)
    torque = put_on_lbf_per_in(bearing) * bearing * arm
    speeds = [one for one in _SPEEDS_RPM if 70 <= one * drive.shaft_diameter_in <= 900]
    speed = float(speeds[draws.whole(low=0, high=len(speeds) - 1)])
    power = torque * 2 * math.pi * speed / LBF_IN_PER_MIN_PER_HP
    power = _figures(power) if inch else _figures(power / HP_PER_KW) * HP_PER_KW
    return KeyOrder(
        mouth_height_in=mouth,
        small_height_in=rounded(mouth - taper * drive.hub_length_in, system),
        mouth_is_near=way == "ordinary",
        taper_in_per_in=taper,
        engaged_length_in=drive.hub_length_in,
        outside_length_in=outside,
        hub_width_in=hub,
        shaft_width_in=shaft,
        side_clearance_in=_CLEARANCE[system],
        plain_limit_in=_PLAIN_LIMIT[system],
        slot_radius_in=radius,
        allowance_in=allowance,
        relief_cut_in=relief,
        least_taper_cut_in=least,
        rack=rack,
        power_hp=power,
        speed_rpm=speed,
        bearing_length_in=bearing,
        keyseat_depth_in=keyseat,
        keyway_depth_in=keyway(bearing),
        shaft_steel=shaft_steel,
        hub_steel=hub_steel,
        allowed_shear_psi=shear,
        key_allowed_psi=on[0],
        shaft_allowed_psi=on[1],
        hub_allowed_psi=on[2],
    )


def _widths(draws: Draws, form: _Form, drive: Drive) -> tuple[float, float]:
    """Return measured widths of hub and shaft slot."""
    narrow = drive.key_width_in + draws.uniform(low=0.0002, high=0.0015)
    more = draws.uniform(low=0.0024, high=0.0036)
    if form != "plain":
        more = draws.uniform(low=0.014, high=0.016 + min(0.030, 0.05 * drive.key_width_in))
    narrow, wide = rounded(narrow, drive.system), rounded(narrow + more, drive.system)
    return (narrow, wide) if form == "shaft wide" else (wide, narrow)


def _side_depth(drive: Drive) -> float:
    """Return the depth of the shaft slot along its side wall, as the standard has it."""
    if drive.system == "inch":
        return drive.key_height_in / 2
    depths = metric_keyseat_depths(shaft_diameter_in=drive.shaft_diameter_in)
    return drive.shaft_diameter_in - depths.chord_rise_in - depths.shaft_depth_in


def _radius_place(draws: Draws, drive: Drive) -> int:
    """Return which of the radii the slot has: what belongs to its key, or one or two smaller."""
    inch = drive.system == "inch"
    height = drive.key_height_in if inch else drive.key_width_in * MM_PER_IN
    starts = _FROM_IN if inch else _FROM_MM
    last = max(place for place, start in enumerate(starts) if height >= start)
    return max(0, last - draws.whole(low=0, high=2))


def _side(value_in: float, system: System) -> float:
    """Round a depth as a depth gauge gives it along a worn edge."""
    return max(round(_stepped(value_in, system, inch=0.005, mm=0.1), 6), 0.02)


def _stress(value_psi: float, system: System) -> float:
    """Round a stress as an engineer writes it: to 100 psi, or to 1 MPa."""
    step = 100.0 if system == "inch" else 145.037738
    return round(value_psi / step) * step


def _figures(value: float) -> float:
    """Round to three figures."""
    return round(value, 2 - math.floor(math.log10(value)))


# Bright bar that a metric shop can usually buy, by thickness or width: common practice.
_BARS_MM = tuple(
    sorted(
        round(bar.width_in * MM_PER_IN, 6)
        for bar in stock_bars(system="metric")
        if bar.form == "square"
    )
)


def _ladder(low_in: float, system: System, up: int) -> float:
    """Return the bar size `up` steps above the largest one that is not above `low_in`."""
    if system == "metric":
        below = max(place for place, one in enumerate(_BARS_MM) if one <= low_in * MM_PER_IN + 1e-9)
        return _BARS_MM[below + up] / MM_PER_IN
    step_in = 1 / 32 if low_in < 0.5 else 1 / 16 if low_in < 1.2 else 1 / 8
    return (math.floor(low_in / step_in + 1e-9) + up) * step_in


def _rack(
    draws: Draws,
    what: _What,
    drive: Drive,
    *,
    wide: float,
    large: float,
    relief: float,
    least: float,
) -> tuple[float, tuple[RackBar, ...]]:
    """Return the relief cut and five bars; where one size up is the trap, the cut makes it so."""
    system = drive.system

    def measured(nominal: float) -> float:
        """Return what a cold-drawn bar measures: never over size."""
        return rounded(nominal - draws.uniform(low=0.0013, high=0.0020), system)

    need = large + relief + least
    height = _ladder(large, system, 1)
    if what == "one size up":
        low = height - 0.003 - large - least  # the next bar fails by a few thousandths
        relief = max(relief, _stepped(low + 0.012, system, inch=0.005, mm=0.1))
        need = large + relief + least
    fits = 1
    while _ladder(large, system, fits) - 0.003 < need:
        fits += 1
    width = _ladder(wide + 0.004, system, 1)
    narrow = _ladder(wide - 0.004, system, 0)
    right = (width, _ladder(large, system, fits))
    others = [
        (width, _ladder(large, system, fits - 2)),
        (narrow, _ladder(large, system, fits + 1)),
        (width, _ladder(large, system, fits + 1)),
        (width, _ladder(large, system, fits + 2)),
    ]
    sizes = [right, (narrow, right[1]), (width, _ladder(large, system, fits - 1))]
    for left in (3, 2):
        sizes.append(others.pop(draws.whole(low=0, high=left)))
    bars = []
    for letter in "ABCDE":  # as they lie on the rack, in no order
        across, up = sizes.pop(draws.whole(low=0, high=len(sizes) - 1))
        bars.append(
            RackBar(
                name=f"bar {letter}",
                nominal_width_in=across,
                nominal_height_in=up,
                width_in=measured(across),
                height_in=measured(up),
            )
        )
    return relief, tuple(bars)
