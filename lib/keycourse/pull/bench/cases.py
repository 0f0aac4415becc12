"""Keys to draw on the pulling bench, and what is at hand for each."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from coursework.draws import Draws
from coursework.ink.shop import INCH, ShopUnits
from keycourse.pull.bench.seated import SeatedKey, draw_seated_key
from taperkey import practice
from taperkey.checks import require_in
from taperkey.formulas.pull import PullRange, pull_range
from taperkey.tables.rigging import LBF_PER_US_TON, friction_range

__all__ = [
    "HOLDS",
    "KINDS",
    "RIGS",
    "PullCase",
    "draw_case",
    "hold_words",
    "rig_words",
]

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
_SEAT_PSI = practice.span("seat_pressure")


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
    key : SeatedKey
        How it sits; hidden.
    """

    drive: str
    width_in: float
    length_in: float
    bore_in: float
    years: float
    wet: bool
    end: str
    thread_name: str
    key: SeatedKey = field(repr=False)

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
        time = f"{self.years:g} years, {'wet' if self.wet else 'dry'}"
        pull = self.demand
        return (
            ("Drive", f"{self.drive}, Quillmoor Quarry"),
            ("Key", f"{units.place(self.width_in)} wide, slot {units.place(self.length_in)} long"),
            ("Bore of the hub", units.place(self.bore_in)),
            ("End that shows", end),
            ("In place", time),
            ("Behind the hub", "room for the key" if self.key.room_behind else "no room"),
            (
                "Pull it may need",
                f"{units.load_range(pull.low_lbf, pull.high_lbf)}, if the large end shows",
            ),
        )

    @property
    def demand(self) -> PullRange:
        """Pull to expect from pressure and friction as commonly known, widened to 100 lbf."""
        area = self.width_in * self.length_in
        friction = friction_range(state=self.surface)
        pull = pull_range(
            seat_low_lbf=_SEAT_PSI[0] * area,
            seat_high_lbf=_SEAT_PSI[1] * area,
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


def draw_case(*, kind: str, seed: int) -> PullCase:
    """Return a key to draw; same kind and seed, same key.

    Parameters
    ----------
    kind : str
        A key of :data:`KINDS`.
    seed : int
        Decides everything else.
    """
    require_in("kind of pull", kind, KINDS)
    draws = Draws(f"{seed}:pull:{kind}")

    def pick(count: int) -> int:
        return min(count - 1, int(draws.uniform(low=0.0, high=float(count))))

    drive, size = _DRIVES[pick(len(_DRIVES))], _SIZES[pick(len(_SIZES))]
    if kind == "any":
        kind = ("serviced", "serviced", "rusted", "turned")[pick(4)]
    width, length, bore, thread_name = size
    wet = kind != "serviced"
    years = {
        "serviced": (0.5, 1.0, 2.0),
        "rusted": (9.0, 14.0, 22.0),
        "turned": (1.0, 2.0, 9.0),
    }[kind][pick(3)]
    ends = {
        "serviced": ("tapped", "tapped", "gib head"),
        "rusted": ("tapped", "gib head", "plain"),
        "turned": ("tapped", "tapped", "plain"),  # a gib head is always at the large end
    }[kind]
    turned = kind == "turned"
    key = draw_seated_key(
        seed=f"{seed}:{kind}",
        width_in=width,
        length_in=length,
        height_mouth_in=width - (length / 96 if turned else 0.0),
        bore_in=bore,
        years=years,
        wet=wet,
        small_end_shows=turned,
        room_behind=turned and draws.uniform(low=0.0, high=1.0) < 0.4,
    )
    return PullCase(
        drive=drive,
        width_in=width,
        length_in=length,
        bore_in=bore,
        years=years,
        wet=wet,
        end=ends[pick(3)],
        thread_name=thread_name,
        key=key,
    )
