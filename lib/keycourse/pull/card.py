"""What exercise 05 has in hand: a key to draw, how hard it sits, and the rig in the crib."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import Literal, get_args

from coursework.draws import Draws
from keycourse.drive import Drive, rounded
from keycourse.measure.card import SCATTER_IN
from keycourse.pull.crib import PLAIN_BAR, Crib, draw_crib, links_of, rounded_down, slide_hammer
from taperkey import practice
from taperkey.formulas.link import Link
from taperkey.formulas.rig import Rig
from taperkey.formulas.rig_parts import JACK_SHARE
from taperkey.formulas.rod import ROD_SHARE
from taperkey.formulas.wedge import drive_ratio, withdraw_ratio
from taperkey.tables.rigging import friction_range
from taperkey.units import MM_PER_IN, System, to_internal

__all__ = [
    "JACK_SHARE",
    "KINDS",
    "RIG_TRAPS",
    "ROD_SHARE",
    "SMALLEST_SHAFT_IN",
    "Ends",
    "ListedLink",
    "PullCase",
    "draw",
    "traps_of",
]

SMALLEST_SHAFT_IN: dict[System, float] = {"inch": 2.9, "metric": 109.0 / MM_PER_IN}
"""Below it a key is too low for the threads of the tables [in]."""

_HIGHEST_PRESSURE_PSI = practice.span("seat_pressure")[1]

KeyEnd = Literal["tapped", "plain"]
SeatRoute = Literal["pressure", "push"]
Drawing = Literal["this side", "far side", "none"]
Way = Literal["ordinary", "reversed", "cannot tell"]
RigTrap = Literal["weak rig", "rusted", "not tapped"]
RIG_TRAPS: tuple[tuple[RigTrap, ...], ...] = tuple(
    one for count in range(4) for one in itertools.combinations(get_args(RigTrap), count)
)
"""What may be wrong with key and rig at once: nothing, one of the three, two, or all of them."""
_WAYS: tuple[Way, ...] = ("ordinary", "reversed", "ordinary", "reversed", "cannot tell")
Kind = tuple[Way, tuple[RigTrap, ...]]
KINDS: tuple[Kind, ...] = tuple((_WAYS[place % 5], RIG_TRAPS[3 * place % 8]) for place in range(40))
"""Which end is large, with what is wrong with key and rig: each pair as often as its way."""

# What a micrometer reading on the key is good to, clean and pitted with rust.
_GOOD_IN: dict[System, tuple[float, ...]] = {
    "inch": practice.values("key_micrometer"),
    "metric": tuple(size / MM_PER_IN for size in practice.rule("key_micrometer").metric),
}
# How far its end stands out, by what is to be told; the course's own choice.
_OUT: dict[System, dict[str, tuple[float, ...]]] = {
    "inch": {"clean": (0.375, 0.5, 0.625, 0.75), "pitted": (1.0, 1.25), "short": (0.1875, 0.25)},
    "metric": {"clean": (10.0, 12.0, 16.0, 20.0), "pitted": (25.0, 32.0), "short": (5.0, 6.0)},
}


def traps_of(kind: Kind) -> frozenset[str]:
    """Return which traps a card of this kind holds, for whoever deals the cards of a class."""
    way, traps = kind
    short = {"short base"} if way == "cannot tell" else set()
    return frozenset({way, *traps, *short})


@dataclass(frozen=True, kw_only=True)
class ListedLink:
    """A link of the rig as the planner's sheet has it: its name and working load [lbf]."""

    name: str
    capacity_lbf: float


@dataclass(frozen=True, kw_only=True)
class Ends:
    """What could be taken on the driven key: the key itself, for it fills the opening.

    Attributes
    ----------
    face_in : float
        Height of the key at the hub face, this side [in].
    end_in, out_in : float
        Its height at the end that stands out, and how far that is from the hub face; 0 where the
        far end was taken [in].
    far_in, apart_in : float
        Its height at the far hub face and how far that is away; 0 where it is out of reach [in].
    good_in : float
        What one reading is good to [in].
    pitted : bool
        Whether rust has pitted the key where it was taken.
    room_behind : bool
        Whether there is room behind the hub for the whole key.
    drawing : str
        From which side the drawing has it driven: "this side", "far side", or "none" found.
    """

    face_in: float
    end_in: float
    out_in: float
    far_in: float
    apart_in: float
    good_in: float
    pitted: bool
    room_behind: bool
    drawing: Drawing

    @property
    def larger_here_in(self) -> float:
        """How much larger the key is toward this end [in]."""
        return self.face_in - self.far_in if self.far_in else self.end_in - self.face_in

    @property
    def limit_in(self) -> float:
        """Difference from which on it counts: both readings off, each the other way [in]."""
        return 2 * self.good_in


@dataclass(frozen=True, kw_only=True)
class PullCase:
    """A key to draw, as the work order and the crib list have it.

    Attributes
    ----------
    ends : Ends
        What could be taken on the driven key.
    made_drop_in, made_base_in : float
        By how much the key was made lower over which length, on the fitter's sheet [in].
    width_in, height_in, contact_length_in : float
        Key, and its length inside the hub [in].
    end : str
        "tapped" or "plain": the end that shows.
    seat_route : str
        How the seat is known: by the "pressure" on the faces or by the "push" at the last drive.
    seat_low, seat_high : float
        That pressure [psi] or that push [lbf].
    drive_friction : float
        Friction of the faces on the day they were driven [-].
    faces : str
        State of the faces today, a row of the friction table.
    friction_low, friction_high : float
        Friction today, inside that row [-].
    parts : Rig
        Rig in the crib.
    jack_rating : float
        As marked on each jack: US tons on an inch card, tonnes on a metric one.
    rod_marked : bool
        Whether the rod carries its grade; without it, it is reckoned as plain bar.
    listed : tuple of ListedLink
        The other links with their working loads.
    face_flat : bool
        Whether the hub's face has a flat place for each foot.
    clamp_lbf : float
        What a clamp on the shaft in front of the hub holds it back with [lbf].
    blow_low_lbf, blow_high_lbf : float
        Peak at the stop of the slide hammer in the crib; 0 where there is none [lbf].
    """

    ends: Ends
    made_drop_in: float
    made_base_in: float
    width_in: float
    height_in: float
    contact_length_in: float
    end: KeyEnd
    seat_route: SeatRoute
    seat_low: float
    seat_high: float
    drive_friction: float
    faces: str
    friction_low: float
    friction_high: float
    parts: Rig
    jack_rating: float
    rod_marked: bool
    listed: tuple[ListedLink, ...]
    face_flat: bool
    clamp_lbf: float
    blow_low_lbf: float
    blow_high_lbf: float

    @property
    def rig(self) -> str:
        """Method of the rig, a key of ``formulas.chain.REQUIRED_LINKS``."""
        return self.parts.method

    @property
    def jack_number(self) -> int:
        """How many jacks pull."""
        return self.parts.jacks

    @property
    def uses_rod(self) -> bool:
        """Whether the rig holds the key by a rod."""
        return self.rig != "welded strongback"

    def jacks(self) -> Link:
        """Return what the jacks of the rig give together."""
        return links_of(self.parts, self.width_in, self.ends.face_in)["jacks"]

    def rod(self) -> Link:
        """Return what the rod in the crib carries, whether the rig holds by it or not."""
        by_rod = replace(self.parts, method="slide hammer")
        return links_of(by_rod, self.width_in, self.ends.face_in)["rod"]


def draw(*, draws: Draws, turn: int, drive: Drive) -> PullCase:
    """Draw the case: which way the hub is on, and what is wrong with key and rig.

    The rig comes first; the pull is set against it, and from the pull the seat. Rust makes three
    or four times the pull of a clean key, so it defeats the rig, unless the key sits lightly.
    """
    way, traps = KINDS[turn % len(KINDS)]
    system = drive.system
    width, height, length = drive.key_width_in, drive.key_height_in, drive.hub_length_in
    taper = 1 / draws.whole(low=84, high=112)
    tapped, weak, rusted = ("not tapped" not in traps, "weak rig" in traps, "rusted" in traps)
    large = height + draws.uniform(low=0.004, high=0.030)
    shows_large = way == "ordinary" or (way == "cannot tell" and draws.whole(low=0, high=1) == 1)
    near = large if way != "reversed" else large - length * taper
    ends = _ends(draws, way, near, taper if shows_large else -taper, length, system)
    crib = draw_crib(draws, tapped=tapped, weak=weak, width=width, height=near, system=system)
    today = friction_range(state="rusted" if rusted else "lubricated")
    friction_low = today.low + 0.005 * draws.whole(low=0, high=8)
    friction_high = today.high - 0.005 * draws.whole(low=0, high=8)
    heavy = draws.uniform(low=0.0, high=1.0) < (0.5 if rusted else 0.05)
    pull, blow = _pull(draws, crib, heavy=heavy, weak=weak, system=system)
    normal = pull / withdraw_ratio(
        taper_in_per_in=taper, floor_friction=friction_high, roof_friction=friction_high
    )
    clean = friction_range(state="lubricated")
    drive_friction = round(clean.low + 0.005 * draws.whole(low=0, high=9), 3)
    route, low, high = _seat(draws, normal, width * length, taper, drive_friction, system)
    base = length - (1.0, 1.5, 2.0)[draws.whole(low=0, high=2)] * (
        1.0 if system == "inch" else 20.0 / MM_PER_IN
    )
    return PullCase(
        ends=ends,
        made_drop_in=rounded(base * taper + draws.normal(deviation=SCATTER_IN), system),
        made_base_in=base,
        width_in=width,
        height_in=height,
        contact_length_in=length,
        end="tapped" if tapped else "plain",
        seat_route=route,
        seat_low=low,
        seat_high=high,
        drive_friction=drive_friction,
        faces=today.state,
        friction_low=round(friction_low, 3),
        friction_high=round(friction_high, 3),
        parts=crib.parts,
        jack_rating=crib.jack_rating,
        rod_marked=crib.parts.grade_name != PLAIN_BAR,
        listed=tuple(
            ListedLink(name=name, capacity_lbf=load)
            for name, load in crib.links.items()
            if name not in ("jacks", "rod")
        ),
        face_flat=draws.whole(low=0, high=1) == 1,
        clamp_lbf=rounded_down(
            (draws.uniform(low=1.3, high=1.9), draws.uniform(low=0.4, high=0.75))[
                draws.whole(low=0, high=1)
            ]
            * (pull - normal * friction_high),
            system,
        ),
        blow_low_lbf=blow[0],
        blow_high_lbf=blow[1],
    )


def _pull(
    draws: Draws, crib: Crib, *, heavy: bool, weak: bool, system: System
) -> tuple[float, tuple[float, float]]:
    """Return the high pull to come to, and the blow of the slide hammer at hand [lbf]."""
    least, second = crib.carries[:2]
    name = crib.parts.thread_name
    if heavy:
        jacks = crib.links["jacks"]
        pull = draws.uniform(low=1.15, high=1.7) * max(jacks, second)
    elif weak:
        pull = draws.uniform(low=1.12 * least, high=max(1.2 * least, 0.88 * second))
    else:
        pull = draws.uniform(low=0.58, high=0.88) * least
        blow = slide_hammer(name, 0.9 * least, system)
        if blow[0] and "rod" in crib.links and draws.whole(low=0, high=1):
            return draws.uniform(low=0.6, high=0.88) * blow[0], blow
    return pull, slide_hammer(name, draws.uniform(low=0.25, high=0.85) * pull, system)


def _ends(draws: Draws, way: Way, near: float, taper: float, length: float, system: System) -> Ends:
    """Return what was taken on the driven key; `taper` is negative where the small end shows."""
    clean, coarse = _GOOD_IN[system]
    scale = 1.0 if system == "inch" else MM_PER_IN
    far, out, pitted = False, "clean", False
    if way == "cannot tell":
        out, pitted = "short", True
    elif draws.uniform(low=0.0, high=1.0) < 0.5:
        far, out = True, "flush"
    elif draws.uniform(low=0.0, high=1.0) < 0.3:
        out, pitted = "pitted", True
    good = coarse if pitted else clean

    def read(height: float) -> float:
        return rounded(height + draws.normal(deviation=good / 3), system)

    lengths = _OUT[system].get(out, ())
    stands_out = lengths[draws.whole(low=0, high=len(lengths) - 1)] / scale if lengths else 0.0
    sides: tuple[Drawing, ...] = ("this side", "this side", "none", "far side")
    drawing = sides[draws.whole(low=0, high=2 if taper > 0 and way != "cannot tell" else 3)]
    return Ends(
        face_in=read(near),
        end_in=read(near + taper * stands_out) if stands_out else 0.0,
        out_in=stands_out,
        far_in=read(near - taper * length) if far else 0.0,
        apart_in=length if far else 0.0,
        good_in=good,
        pitted=pitted,
        room_behind=far and draws.whole(low=0, high=1) == 1,
        drawing=drawing,
    )


def _seat(
    draws: Draws, normal: float, area: float, taper: float, friction: float, system: System
) -> tuple[SeatRoute, float, float]:
    """Return how the seat is known, and its two ends, rounded as on a card."""
    spread = draws.uniform(low=0.60, high=0.80)
    pressure = normal / area
    if draws.uniform(low=0.0, high=1.0) < 0.5 and 2_500 < pressure < _HIGHEST_PRESSURE_PSI:
        step = 100.0 if system == "inch" else to_internal(1.0, dimension="pressure", unit="MPa")
        return "pressure", step * round(spread * pressure / step), step * round(pressure / step)
    push = normal * drive_ratio(
        taper_in_per_in=taper, floor_friction=friction, roof_friction=friction
    )
    step = 200.0 if system == "inch" else to_internal(1.0, dimension="force", unit="kN")
    step /= 10 if push < 40 * step else 1
    return "push", step * round(spread * push / step), step * round(push / step)
