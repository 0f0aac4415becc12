"""Keys to draw on the pulling bench, and the rigs at hand for each, reckoned link by link."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from taperkey.bench.draws import Draws
from taperkey.bench.pulling_steps import RigLink
from taperkey.bench.seated import SeatedKey, draw_seated_key
from taperkey.checks import require_in
from taperkey.formulas.pull import PullRange, SlidingWeight, pull_range, sliding_weight
from taperkey.formulas.rig import Link, jacks_link, strongback_link, weld_link
from taperkey.formulas.rod import rod_link, tapped_hole_link
from taperkey.tables.rigging import friction_range, jack
from taperkey.tables.strengths import electrode_strength_psi, rod_grade, steel
from taperkey.tables.threads import thread

__all__ = [
    "HOLDS",
    "KINDS",
    "RIGS",
    "PullCase",
    "bigger_jacks",
    "draw_case",
    "links_of",
    "one_blow",
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
        "two jacks": "Strongback and two 10-ton jacks",
        "hollow-plunger jack": "30-ton hollow-plunger jack over a rod",
        "sliding weight": "Sliding weight of 30 lb on a rod",
    }
)
HOLDS: Mapping[str, str] = MappingProxyType(
    {
        "marked rod": "Rod with its grade marked: ASTM A193 B7",
        "scrap rod": "Rod from the scrap bin, no marks: reckoned as A36",
        "weld both sides": "1/2 in fillet weld on both sides, strongback to key",
        "weld one side": "1/2 in fillet weld on one side only",
    }
)
_GRADES = {"marked rod": "ASTM A193 B7", "scrap rod": "ASTM A36 threaded bar"}
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
_SEAT_PSI = (8_000.0, 14_000.0)  # mean pressure after a sledge drive; estimate of this course
_NO_LIMIT_LBF = 1.0e8  # a sliding weight has no jack to overload
_BIGGER = {"two jacks": "20-ton solid", "hollow-plunger jack": "60-ton hollow-plunger"}


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

    @property
    def facts(self) -> tuple[tuple[str, str], ...]:
        """Lines of the work order."""
        end = {
            "tapped": f"drilled and tapped, {self.thread_name}",
            "gib head": "gib head, not drilled",
            "plain": "plain, not drilled",
        }[self.end]
        time = f"{self.years:g} years, {'wet' if self.wet else 'dry'}"
        pull = self.demand
        return (
            ("Drive", f"{self.drive}, Quillmoor Quarry"),
            ("Key", f"{self.width_in:g} in wide, slot {self.length_in:g} in long"),
            ("Bore of the hub", f"{self.bore_in:g} in"),
            ("End that shows", end),
            ("In place", time),
            ("Behind the hub", "room for the key" if self.key.room_behind else "no room"),
            (
                "Pull it may need",
                f"{pull.low_lbf:,.0f} to {pull.high_lbf:,.0f} lbf, if the large end shows",
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


def links_of(*, case: PullCase, rig: str, hold: str) -> tuple[RigLink, ...]:
    """Return the links of a rig on this key, with what each works to and where it goes.

    Parameters
    ----------
    case : PullCase
        The key.
    rig, hold : str
        Keys of :data:`RIGS` and :data:`HOLDS`.

    Raises
    ------
    ValueError
        If this rig cannot be put on this key, or a link carries nothing.

    Source
    ------
    Working loads: the formulas of rig and rod. Breaking loads: tensile strength of the rod;
    working load times its design factor for the rest; jacks 5 % over their rating, assumed here.
    """
    require_in("rig", rig, RIGS, "Choose a rig first.")
    require_in("hold on the key", hold, case.holds, "Look at the end that shows.")
    if case.end != "tapped" and rig != "two jacks":
        raise ValueError(
            f"end that shows is {case.end!r}; it must be tapped for a rod."
            " Weld the strongback to the key instead, or call the welder in."
        )
    links = [_pulling_part(rig)]
    key_steel = steel(name="1018 cold-drawn")
    hole = 0.0
    if case.end == "tapped":
        size = thread(name=case.thread_name)
        grade = rod_grade(name=_GRADES[hold], diameter_in=size.diameter_in)
        hole = size.diameter_in + 1 / 16
        rod = rod_link(thread_name=case.thread_name, grade_name=grade.name)
        tapped = tapped_hole_link(
            thread_name=case.thread_name,
            grade_name=grade.name,
            engagement_in=1.5 * size.diameter_in,
            key_yield_psi=key_steel.yield_psi,
        )
        links.append(
            RigLink(
                name="rod",
                working_lbf=_down(rod.capacity_lbf),
                breaking_lbf=size.stress_area_in2 * grade.tensile_psi,
            )
        )
        links.append(_link("thread", tapped, 2.0))
    else:
        weld = weld_link(
            kind="fillet",
            size_in=0.5,
            length_each_side_in=1.5 * case.width_in,
            sides=2 if hold == "weld both sides" else 1,
            electrode_psi=electrode_strength_psi(name="E70"),
            key_tensile_psi=key_steel.tensile_psi,
        )
        if weld.capacity_lbf <= 0:
            raise ValueError(
                "weld is on one side, counted as 0 lbf; it must be above 0 lbf:"
                f" {weld.basis.split(':')[0]}. Have the other side welded as well."
            )
        links.append(_link("weld", weld, 2.0))
        if case.end == "gib head":
            shear = 0.4 * key_steel.yield_psi * case.width_in**2
            links.append(RigLink(name="head", working_lbf=_down(shear), breaking_lbf=1.5 * shear))
    if rig == "two jacks":
        bar = strongback_link(
            width_in=4.0,
            depth_in=3.5,
            span_in=12.0,
            hole_in=hole,
            yield_psi=steel(name="A36 plate").yield_psi,
        )
        links.append(_link("strongback", bar, 1.67))
    return tuple(links)


def bigger_jacks(*, rig: str) -> tuple[str, float, float]:
    """Return name, working and breaking load [lbf] of the next larger jacks for a rig."""
    require_in("rig", rig, _BIGGER, "Set up a rig with jacks first.")
    larger = jack(name=_BIGGER[rig])
    number = 2 if rig == "two jacks" else 1
    link = jacks_link(rated_tons=larger.rated_tons, number=number)
    name = f"two {larger.name} jacks" if number == 2 else f"a {larger.name} jack"
    return name, link.capacity_lbf, 1.05 * number * larger.rated_lbf


def one_blow(*, case: PullCase) -> SlidingWeight:
    """Return what one blow of the 30 lb sliding weight brings on this key's rod.

    Source
    ------
    10 ft/s at the stop, half to nine tenths useful, 36 in of rod: assumed here.
    """
    pull = case.demand
    return sliding_weight(
        weight_lbf=30.0,
        speed_in_per_s=120.0,
        useful_share_low=0.5,
        useful_share_high=0.9,
        stress_area_in2=thread(name=case.thread_name).stress_area_in2,
        length_in=36.0,
        pull_low_lbf=pull.low_lbf,
        pull_high_lbf=pull.high_lbf,
    )


def _pulling_part(rig: str) -> RigLink:
    if rig == "sliding weight":
        return RigLink(name="jacks", working_lbf=_NO_LIMIT_LBF, breaking_lbf=_NO_LIMIT_LBF)
    tons, number = (10.0, 2) if rig == "two jacks" else (30.0, 1)
    link = jacks_link(rated_tons=tons, number=number)
    return RigLink(
        name="jacks",
        working_lbf=link.capacity_lbf,
        breaking_lbf=1.05 * link.capacity_lbf / 0.8,
    )


def _link(name: str, link: Link, factor: float) -> RigLink:
    return RigLink(
        name=name, working_lbf=_down(link.capacity_lbf), breaking_lbf=factor * link.capacity_lbf
    )


def _down(capacity_lbf: float) -> float:
    """Return a working load as it is chalked on the rig: down to the hundred."""
    return 100.0 * max(1, math.floor(capacity_lbf / 100))
