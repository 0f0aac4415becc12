"""Keys to draw on the pulling bench, and what is at hand for each."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from coursework.draws import Draws
from coursework.ink.shop import INCH, ShopUnits
from keycourse.pull.bench.seated import SeatedKey, draw_seated_key
from taperkey import practice
from taperkey.checks import require_in, require_range
from taperkey.counts import plural
from taperkey.formulas.hubring import CLOSE, LOOSE, ring_opening_in_per_lbf
from taperkey.formulas.pull import PullRange, pull_range
from taperkey.formulas.rig import Rig, rig_links
from taperkey.formulas.squeeze import STEEL_MODULUS_PSI
from taperkey.formulas.wedge import withdraw_ratio
from taperkey.tables.rigging import LBF_PER_US_TON, friction_range

__all__ = [
    "HOLDS",
    "KINDS",
    "MODEL",
    "RIGS",
    "PullCase",
    "draw_case",
    "hold_words",
    "rig_parts",
    "rig_words",
]

MODEL = 2
"""Keys of today know their hub's ring; those of model 1 did not, and gave way less."""

KINDS: Mapping[str, str] = MappingProxyType(
    {
        "any": "Whatever comes next in the quarry",
        "serviced": "A key drawn at the last service",
        "rusted": "A key left in for years, wet",
        "turned": "A hub that was turned round",
    }
)
RIGS: Mapping[str, str] = MappingProxyType(
    {
        "two jacks": "Strongback and two {ten_tons} jacks",
        "hollow-ram jack": "{thirty_tons} hollow-ram jack over a rod",
        "slide hammer": "Slide hammer of {weight} on a rod",
    }
)
"""Name of each rig, and its words with places for sizes; see :func:`rig_words`."""

WEIGHT_LB = practice.value("slide_hammer")
HOLDS: Mapping[str, str] = MappingProxyType(
    {
        "marked rod": "Rod with its grade marked: ASTM A193 B7",
        "scrap rod": "Rod from the scrap bin, no marks: reckoned as A36",
        "weld both sides": "{fillet} fillet weld on both sides, strongback to key",
        "weld one side": "{fillet} fillet weld on one side only",
    }
)
"""Name of each hold, and its words with places for sizes; see :func:`hold_words`."""

FILLET_IN = 0.5
_DRIVES = (
    "jaw-crusher flywheel",
    "bucket-elevator head sprocket",
    "conveyor head pulley",
    "ball-mill pinion",
    "winch drum",
)
# width, length, bore, thread in the key [in]: square keys, thread about 0.6 of the height
_SIZES = (
    (1.0, 6.0, 4.5, "5/8-11 UNC"),
    (1.25, 7.0, 5.0, "3/4-10 UNC"),
    (1.5, 8.0, 6.0, "1-8 UNC"),
)
_HUBS = (1.75, 2.0, 2.25)  # outside of a hub over its bore
_GRADES = {"marked rod": "ASTM A193 B7", "scrap rod": "ASTM A36 threaded bar"}
_METHODS = {
    "two jacks": "strongback",
    "hollow-ram jack": "hollow-ram",
    "slide hammer": "slide hammer",
}
_PARTS: dict[str, dict[str, Any]] = {  # hub's face reckoned as A36 plate
    "two jacks": {"jack_tons": 10.0, "jacks": 2, "seat_area_in2": 3.0, "bar_depth_in": 3.5},
    "hollow-ram jack": {"jack_tons": 30.0, "jacks": 1, "seat_area_in2": 4.0, "seat_feet": 2},
    "slide hammer": {},
}
# How a key comes: the rig draws it as found ("easy"), or once penetrant or heat has helped it
# ("stiff"); or nothing at hand does ("solid", "turned"). A third each, whatever comes next.
_STORIES = {
    "any": ("easy", "easy", "stiff", "stiff", "solid", "turned"),
    "serviced": ("easy",),
    "rusted": ("stiff", "stiff", "stiff", "solid"),
    "turned": ("turned",),
}


def _rated(tons: float, units: ShopUnits) -> str:
    return units.beside(f"{tons:g}-ton", units.load(LBF_PER_US_TON * tons))


def rig_words(rig: str, *, units: ShopUnits) -> str:
    """Return a rig in words, a key of :data:`RIGS`; jacks go by their tons."""
    return RIGS[rig].format(
        ten_tons=_rated(10, units),
        thirty_tons=_rated(30, units),
        weight=units.beside(f"{WEIGHT_LB:g} lb", units.mass(WEIGHT_LB)),
    )


def hold_words(hold: str, *, units: ShopUnits) -> str:
    """Return a hold on the key in words, a key of :data:`HOLDS`."""
    return HOLDS[hold].format(fillet=units.beside("1/2 in", units.long(FILLET_IN)))


def rig_parts(*, end: str, width_in: float, thread_name: str, rig: str, hold: str) -> Rig:
    """Return a rig of the bench as it is put on a key.

    Parameters
    ----------
    end : str
        "tapped", "gib head" or "plain".
    width_in : float
        Width of the key, above 0 [in].
    thread_name : str
        Thread in a tapped end.
    rig, hold : str
        Keys of :data:`RIGS` and :data:`HOLDS`.
    """
    if end == "tapped":
        return Rig(
            method=_METHODS[rig], thread_name=thread_name, grade_name=_GRADES[hold], **_PARTS[rig]
        )
    return Rig(
        method="welded strongback",
        gib_head=end == "gib head",
        weld_size_in=FILLET_IN,
        weld_length_in=1.5 * width_in,
        weld_sides=2 if hold == "weld both sides" else 1,
        **_PARTS[rig],
    )


def _most_lbf(end: str, width: float, thread_name: str, height: float) -> float:
    """Return the working load of the strongest rig of jacks that is at hand for a key."""
    rigs = ("two jacks", "hollow-ram jack") if end == "tapped" else ("two jacks",)
    hold = "marked rod" if end == "tapped" else "weld both sides"
    return max(
        min(
            link.capacity_lbf
            for link in rig_links(
                rig=rig_parts(end=end, width_in=width, thread_name=thread_name, rig=rig, hold=hold),
                width_in=width,
                end_height_in=height,
            )
        )
        for rig in rigs
    )


@dataclass(frozen=True, kw_only=True)
class PullCase:
    """A key in its hub as the work order has it; `key` is hidden from the apprentice.

    Parameters
    ----------
    drive : str
        Which drive of the quarry.
    width_in, length_in, bore_in : float
        Sizes [in].
    years : float
        In place [years].
    wet : bool
        Water or slurry reaches it.
    end : str
        "tapped", "gib head" or "plain": the end that shows.
    thread_name : str
        Thread in a tapped end.
    seat_psi : tuple of float
        Mean pressure on the faces, from earlier keys of the drive: low and high end [psi].
    key : SeatedKey
        How it sits; hidden.
    hub_outside_in : float
        Outside diameter of the hub; 0 on a key of model 1, which knew nothing of it [in].
    """

    drive: str
    width_in: float
    length_in: float
    bore_in: float
    years: float
    wet: bool
    end: str
    thread_name: str
    seat_psi: tuple[float, float]
    key: SeatedKey = field(repr=False)
    hub_outside_in: float = 0.0

    @property
    def surface(self) -> str:
        """Row of the friction table that fits: lubricated, dry or rusted."""
        if self.years >= 4:
            return "rusted" if self.wet else "dry"
        return "lubricated"

    def facts(self, *, units: ShopUnits = INCH) -> tuple[tuple[str, str], ...]:
        """Return the lines of the work order."""
        end = {
            "tapped": f"drilled and tapped, {self.thread_name}",
            "gib head": "gib head, not drilled",
            "plain": "plain, not drilled",
        }[self.end]
        years = f"{self.years:g} {plural('year', self.years)}"
        span = "half a year" if self.years == 0.5 else years
        time = f"{span}, {'wet' if self.wet else 'dry'}"
        pull = self.demand
        return (
            ("Drive", f"{self.drive}, Quillmoor Quarry"),
            ("Key", f"{units.place(self.width_in)} wide, slot {units.place(self.length_in)} long"),
            ("Hub", self._hub(units)),
            ("End that shows", end),
            ("In place", time),
            ("Behind the hub", "room for the key" if self.key.room_behind else "no room"),
            ("Pressure on each face", f"{_pressures(self.seat_psi, units)}, from earlier keys"),
            (
                "Pull it may need",
                f"{units.load_range(pull.low_lbf, pull.high_lbf)}, if the large end shows",
            ),
        )

    def _hub(self, units: ShopUnits) -> str:
        bore = f"bore {units.place(self.bore_in)}"
        return (
            f"{bore}, outside {units.place(self.hub_outside_in)}" if self.hub_outside_in else bore
        )

    @property
    def demand(self) -> PullRange:
        """Pull to expect from pressure and friction as commonly known, widened to 100 lbf."""
        area = self.width_in * self.length_in
        friction = friction_range(state=self.surface)
        pull = pull_range(
            seat_low_lbf=self.seat_psi[0] * area,
            seat_high_lbf=self.seat_psi[1] * area,
            friction_low=friction.low,
            friction_high=friction.high,
            taper_in_per_in=self.key.taper_in_per_in,
        )
        return replace(
            pull,
            low_lbf=100.0 * math.floor(pull.low_lbf / 100),
            high_lbf=100.0 * math.ceil(pull.high_lbf / 100),
        )

    @property
    def holds(self) -> tuple[str, ...]:
        """What can hold this key: rods in a tapped end, welds on another."""
        return tuple(HOLDS)[:2] if self.end == "tapped" else tuple(HOLDS)[2:]

    @property
    def picture_hold(self) -> str:
        """How the drawing shows it."""
        return {"tapped": "rod", "gib head": "weld on gib head", "plain": "weld"}[self.end]


def draw_case(*, kind: str, seed: int, model: int = MODEL) -> PullCase:
    """Return a key to draw; same kind, seed and model, same key.

    Parameters
    ----------
    kind : str
        A key of :data:`KINDS`.
    seed : int
        Decides everything else.
    model : int
        :data:`MODEL`, or 1 for a key of a session kept before.
    """
    require_in("kind of pull", kind, KINDS)
    require_range("model of the key", model, 1, MODEL)
    draws = Draws(f"{seed}:pull:{kind}")

    def pick(count: int) -> int:
        return min(count - 1, int(draws.uniform(low=0.0, high=float(count))))

    drive, size = _DRIVES[pick(len(_DRIVES))], _SIZES[pick(len(_SIZES))]
    story = _STORIES[kind][pick(len(_STORIES[kind]))]
    width, length, bore, thread_name = size
    wet = story != "easy"
    years = {
        "easy": (0.5, 1.0, 2.0),
        "stiff": (9.0, 14.0, 22.0),
        "solid": (14.0, 22.0, 30.0),
        "turned": (1.0, 2.0, 3.0),
    }[story][pick(3)]
    ends = {
        "easy": ("tapped", "tapped", "gib head"),
        "turned": ("tapped", "tapped", "plain"),  # a gib head is always at the large end
    }.get(story, ("tapped", "gib head", "plain"))
    turned = story == "turned"
    end = ends[pick(3)]
    height = width - (length / 96 if turned else 0.0)
    most = _most_lbf(end, width, thread_name, height)
    seat_psi, actual_psi = _seat(draws, story, most, width * length)
    outside, ring = (0.0, 0.0) if model == 1 else _ring(f"{seed}:hub:{kind}", size, height)
    key = draw_seated_key(
        seed=f"{seed}:{kind}",
        width_in=width,
        length_in=length,
        height_mouth_in=height,
        bore_in=bore,
        years=years,
        wet=wet,
        small_end_shows=turned,
        room_behind=turned and draws.uniform(low=0.0, high=1.0) < 0.4,
        pressure_psi=(actual_psi, actual_psi),
        ring_in_per_lbf=ring,
    )
    if story in ("stiff", "solid"):
        key, seat_psi = _rusted_in(draws, story, key, most, width * length)
    return PullCase(
        drive=drive,
        width_in=width,
        length_in=length,
        bore_in=bore,
        years=years,
        wet=wet,
        end=end,
        thread_name=thread_name,
        seat_psi=seat_psi,
        key=key,
        hub_outside_in=outside,
    )


def _ring(seed: str, size: tuple[float, float, float, str], height: float) -> tuple[float, float]:
    """Return the outside of the hub [in], and how far its ring opens [in/lbf].

    The shaft lies loose or close in the bore, or between: where, nobody sees.
    """
    width, length, bore, _ = size
    draws = Draws(seed)
    outside = bore * _HUBS[min(len(_HUBS) - 1, int(draws.uniform(low=0.0, high=len(_HUBS))))]
    loose, close = (
        ring_opening_in_per_lbf(
            outside_in=outside,
            bore_in=bore,
            length_in=length,
            modulus_psi=STEEL_MODULUS_PSI,
            keyway_depth_in=height / 2,
            key_width_in=width,
            shaft=shaft,
        )
        for shaft in (LOOSE, CLOSE)
    )
    return outside, draws.uniform(low=close, high=loose)


def _seat(draws: Draws, story: str, most: float, area: float) -> tuple[tuple[float, float], float]:
    """Return the pressures of the work order and the one of the key, for a clean key [psi].

    Its high pull is below what the strongest rig at hand works to; so is that of a turned hub,
    which tempts.
    """
    clean = friction_range(state="lubricated").high
    ratio = withdraw_ratio(taper_in_per_in=1 / 96, floor_friction=clean, roof_friction=clean)
    high = draws.uniform(low=0.62, high=0.9) * most / ratio / area
    low = draws.uniform(low=0.65, high=0.8) * high
    actual = draws.uniform(low=low, high=high)
    return (_hundreds(low), _hundreds(high)), actual


def _rusted_in(
    draws: Draws, story: str, key: SeatedKey, most: float, area: float
) -> tuple[SeatedKey, tuple[float, float]]:
    """Return a rusted key that the strongest rig at hand does not draw as found [psi].

    A stiff one takes a little more than that, and comes once soaked or heated; the rust of a
    solid one holds more than soaking and heat take away.
    """
    if story == "stiff":
        wanted = draws.uniform(low=1.05, high=1.35) * most
        force = key.normal_force_lbf * wanted / key.start_lbf
        bond = key.bond_lbf * wanted / key.start_lbf
    else:
        sliding = (key.start_lbf - key.bond_lbf) / key.normal_force_lbf
        force = draws.uniform(low=0.55, high=0.8) * most / sliding
        bond = draws.uniform(low=1.8, high=2.3) * most
    pressure = force / area
    low = draws.uniform(low=0.7, high=0.95) * pressure
    high = draws.uniform(low=1.05, high=1.3) * pressure
    squeeze = key.squeeze_in * force / key.normal_force_lbf
    rusted = replace(key, normal_force_lbf=force, bond_lbf=bond, squeeze_in=squeeze)
    return rusted, (_hundreds(low), _hundreds(high))


def _hundreds(pressure_psi: float) -> float:
    return 100.0 * max(1, round(pressure_psi / 100))


def _pressures(ends: tuple[float, float], units: ShopUnits) -> str:
    return " to ".join(units.pressure(one) for one in ends)
