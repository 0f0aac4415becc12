"""What exercise 05 has in hand: a key to draw, how hard it sits, and the rig in the crib."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from coursework.draws import Draws
from keycourse.drive import Drive, rounded
from keycourse.measure.card import SCATTER_IN
from taperkey import practice
from taperkey.formulas.link import Link
from taperkey.formulas.pull import sliding_weight
from taperkey.formulas.rig import Rig, rig_links
from taperkey.formulas.rig_parts import FOOT_FACTOR, JACK_SHARE
from taperkey.formulas.rod import ROD_SHARE
from taperkey.formulas.wedge import drive_ratio, withdraw_ratio
from taperkey.tables.rigging import friction_range, jack, jack_names
from taperkey.tables.strengths import steel
from taperkey.tables.threads import thread
from taperkey.units import MM_PER_IN, System, to_internal

__all__ = [
    "JACK_SHARE",
    "ROD_SHARE",
    "SMALLEST_SHAFT_IN",
    "Ends",
    "ListedLink",
    "PullCase",
    "draw",
]

SMALLEST_SHAFT_IN: dict[System, float] = {"inch": 2.9, "metric": 109.0 / MM_PER_IN}
"""Below it a key is too low for the threads of the tables [in]."""

KN_PER_TONNE = 9.80665  # a tonne's weight at standard gravity [kN]

KeyEnd = Literal["tapped", "plain"]
SeatRoute = Literal["pressure", "push"]
Drawing = Literal["this side", "far side", "none"]
_Kind = Literal["ordinary", "reversed", "weak rod", "rusted", "not tapped", "undecided"]
_TURNS: tuple[_Kind, ...] = (  # one card in four each: reversed, and not to be told
    "ordinary",
    "reversed",
    "weak rod",
    "undecided",
    "rusted",
    "reversed",
    "not tapped",
    "undecided",
)

# What a micrometer reading on the key is good to, clean and pitted with rust.
_GOOD_IN: dict[System, tuple[float, ...]] = {
    "inch": practice.values("key_micrometer"),
    "metric": tuple(size / MM_PER_IN for size in practice.rule("key_micrometer").metric),
}
# How far its end stands out, by what is to be told; the course's own choice.
_OUT: dict[System, dict[str, tuple[float, ...]]] = {
    "inch": {"clean": (0.375, 0.5, 0.625, 0.75), "pitted": (1.0,), "short": (0.1875, 0.25)},
    "metric": {"clean": (10.0, 12.0, 16.0, 20.0), "pitted": (25.0,), "short": (5.0, 6.0)},
}
_HOLDING = ("rod", "tapped hole", "key section", "nut", "weld")  # links that hold the key
_PLAIN_BAR = "ASTM A36 threaded bar"
_GRADES: dict[System, tuple[str, ...]] = {
    "inch": ("SAE J429 grade 5", "SAE J429 grade 8", "ASTM A193 B7"),
    "metric": ("ISO 898-1 class 8.8", "ISO 898-1 class 10.9", "ASTM A193 B7"),
}
_THREADS: dict[System, tuple[str, ...]] = {
    "inch": (
        *("1/2-13 UNC", "5/8-11 UNC", "3/4-10 UNC", "7/8-9 UNC", "1-8 UNC"),
        *("1-1/8-7 UNC", "1-1/4-7 UNC", "1-1/2-6 UNC"),
    ),
    "metric": ("M12", "M16", "M20", "M24", "M30", "M36"),
}
_SOLID_TONS = (5.0, 10.0, 20.0, 30.0, 50.0, 100.0)
_WEIGHTS_LB = (30.0, 20.0, 12.0, 8.0, 5.0, 3.0)
_HIGHEST_PRESSURE_PSI = practice.span("seat_pressure")[1]


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
        Its height at the end that stands out, and how far that is from the hub face; 0 where it
        is flush, or where the far end was taken [in].
    far_in, apart_in : float
        Its height at the far hub face and how far that is away; 0 where it is out of reach [in].
    good_in : float
        What one reading is good to [in].
    pitted : bool
        Whether rust has pitted the key where it was taken.
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
    drawing: Drawing

    @property
    def larger_here_in(self) -> float | None:
        """How much larger the key is toward this end; None where one height was taken [in]."""
        if self.far_in:
            return self.face_in - self.far_in
        return self.end_in - self.face_in if self.end_in else None

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
    sliding_weight_lbf : float
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
    sliding_weight_lbf: float

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
        return _links(self.parts, self.width_in, self.ends.face_in)["jacks"]

    def rod(self) -> Link:
        """Return what the rod in the crib carries, whether the rig holds by it or not."""
        by_rod = replace(self.parts, method="slide hammer")
        return _links(by_rod, self.width_in, self.ends.face_in)["rod"]


def _links(parts: Rig, width_in: float, height_in: float) -> dict[str, Link]:
    """Return the links of a rig on this key by their names."""
    found = rig_links(rig=parts, width_in=width_in, end_height_in=height_in)
    return {link.name: link for link in found}


def draw(*, draws: Draws, turn: int, drive: Drive) -> PullCase:
    """Draw the case: the ordinary pull and each trap in turn.

    The seat is set from the rig, not the other way round, so that a rig of the crib
    carries a clean key and a rusted one defeats it.
    """
    kind = _TURNS[turn % len(_TURNS)]
    system = drive.system
    width, height, length = drive.key_width_in, drive.key_height_in, drive.hub_length_in
    taper = drive.standard_taper_in_per_in
    names = _THREADS[system]
    fitting = [name for name in names if thread(name=name).diameter_in <= 0.7 * height]
    thread_name = fitting[-1] if fitting else names[0]
    grades = _GRADES[system]
    strong = grades[draws.whole(low=0, high=len(grades) - 1)]
    plain = kind == "not tapped"
    hollow = draws.uniform(low=0.0, high=1.0) < 0.35 and not plain
    rig = "welded strongback" if plain else "hollow-ram" if hollow else "strongback"
    base = length - (1.0 if system == "inch" else 20.0 / MM_PER_IN)
    large = height + draws.uniform(low=0.004, high=0.030)
    reversed_hub = kind == "reversed"
    shows_large = draws.whole(low=0, high=1) == 1 if kind == "undecided" else not reversed_hub
    # where the readings cannot tell, the nominal height must not tell either
    near = large if shows_large or kind == "undecided" else large - length * taper
    ends = _ends(draws, kind, near, taper if shows_large else -taper, length, system)
    parts = _parts(draws, rig, thread_name, strong, width, near)
    held = {n: o for n, o in _links(parts, width, near).items() if n in _HOLDING}
    weakest_hold = min(link.capacity_lbf for link in held.values())
    jack_tons, number = _jacks(draws, rig, weakest_hold, thread(name=thread_name).diameter_in)
    rating, tons = _marked(jack_tons, system)
    parts = replace(parts, jack_tons=tons, jacks=number)
    jacks = _links(parts, width, near)["jacks"].capacity_lbf
    weak = kind == "weak rod" or (not plain and reversed_hub and draws.whole(low=0, high=2) == 0)
    parts = _under(draws, replace(parts, grade_name=_PLAIN_BAR) if weak else parts, jacks)
    under = {n: o for n, o in _links(parts, width, near).items() if n not in (*_HOLDING, "jacks")}
    rod = _links(parts, width, near)["rod"].capacity_lbf if not plain else math.inf
    listed = tuple(
        ListedLink(name=link.name, capacity_lbf=_down(link.capacity_lbf, system))
        for link in (*held.values(), *under.values())
        if link.name != "rod"
    )
    carried = min(jacks, *(link.capacity_lbf for link in listed))
    if kind == "weak rod":
        pull = draws.uniform(low=max(1.15 * rod, 0.55 * carried), high=0.9 * carried)
    else:
        pull = draws.uniform(low=0.58, high=0.9) * (carried if weak or plain else min(carried, rod))
    clean = friction_range(state="lubricated")
    today = friction_range(state="rusted" if kind == "rusted" else "lubricated")
    friction_low = round(today.low + 0.01 * draws.whole(low=0, high=3), 2)
    friction_high = round(today.high - 0.01 * draws.whole(low=0, high=3), 2)
    drive_friction = round(clean.low + 0.01 * draws.whole(low=0, high=4), 2)
    clean_high = clean.high if kind == "rusted" else friction_high
    normal = pull / withdraw_ratio(
        taper_in_per_in=taper, floor_friction=clean_high, roof_friction=clean_high
    )
    route, low, high = _seat(draws, normal, width * length, taper, drive_friction, system)
    return PullCase(
        ends=ends,
        made_drop_in=rounded(base * taper + draws.normal(deviation=SCATTER_IN), system),
        made_base_in=base,
        width_in=width,
        height_in=height,
        contact_length_in=length,
        end="plain" if plain else "tapped",
        seat_route=route,
        seat_low=low,
        seat_high=high,
        drive_friction=drive_friction,
        faces=today.state,
        friction_low=friction_low,
        friction_high=friction_high,
        parts=parts,
        jack_rating=rating,
        rod_marked=not weak,
        listed=listed,
        sliding_weight_lbf=_sliding_peak(thread_name, 0.3 * pull, system),
    )


def _ends(
    draws: Draws, kind: _Kind, near: float, taper: float, length: float, system: System
) -> Ends:
    """Return what was taken on the driven key; `taper` is negative where the small end shows."""
    clean, coarse = _GOOD_IN[system]
    scale = 1.0 if system == "inch" else MM_PER_IN
    far, out, pitted = False, "clean", False
    if kind == "undecided":
        pitted = draws.whole(low=0, high=1) == 1
        out = "short" if pitted else "flush"
    elif draws.uniform(low=0.0, high=1.0) < 0.45:
        far, out = True, "flush"
    elif draws.uniform(low=0.0, high=1.0) < 0.25:
        out, pitted = "pitted", True
    good = coarse if pitted else clean

    def read(height: float) -> float:
        return rounded(height + draws.normal(deviation=good / 3), system)

    lengths = _OUT[system].get(out, ())
    stands_out = lengths[draws.whole(low=0, high=len(lengths) - 1)] / scale if lengths else 0.0
    sides: tuple[Drawing, ...] = ("this side", "this side", "none", "far side")
    drawing = sides[draws.whole(low=0, high=2 if taper > 0 and kind != "undecided" else 3)]
    return Ends(
        face_in=read(near),
        end_in=read(near + taper * stands_out) if stands_out else 0.0,
        out_in=stands_out,
        far_in=read(near - taper * length) if far else 0.0,
        apart_in=length if far else 0.0,
        good_in=good,
        pitted=pitted,
        drawing=drawing,
    )


def _parts(draws: Draws, rig: str, thread_name: str, grade: str, width: float, near: float) -> Rig:
    """Return a rig with what holds the key, and a rod of the strong grade in it."""
    parts = Rig(
        method=rig,
        thread_name=thread_name,
        grade_name=grade,
        jack_share=JACK_SHARE,
        rod_share=ROD_SHARE,
    )
    if rig == "welded strongback":
        legs = [leg for leg in (0.375, 0.5, 0.625, 0.75) if leg <= near / 2] or [0.375]
        leg = legs[-1] if len(legs) < 2 else legs[-1 - draws.whole(low=0, high=1)]
        return replace(parts, weld_size_in=leg, weld_length_in=width)
    engaged = (1.25, 1.5, 2.0)[draws.whole(low=0, high=2)] * thread(name=thread_name).diameter_in
    return replace(parts, engagement_in=engaged)


def _under(draws: Draws, parts: Rig, jacks: float) -> Rig:
    """Return the rig with strongback and seat, of sizes that a crib would have for those jacks."""
    wanted = jacks * draws.uniform(low=0.6, high=1.5)
    feet = 1 if parts.method == "hollow-ram" else 2
    area = math.ceil(
        FOOT_FACTOR * 1.4 * jacks / (feet * steel(name=parts.seat_steel_name).yield_psi)
    )
    parts = replace(parts, seat_area_in2=float(max(1, area)), seat_feet=feet, bar_depth_in=1.5)
    if parts.method == "hollow-ram":
        return parts
    while True:
        bar = _links(parts, 4.0, 4.0)["strongback"]  # whatever the key
        if bar.capacity_lbf >= wanted or parts.bar_depth_in > 12:
            return parts
        parts = replace(parts, bar_depth_in=parts.bar_depth_in + 0.25)


def _jacks(draws: Draws, rig: str, hold: float, rod_in: float) -> tuple[float, int]:
    """Return rating in tons and number of jacks, near what holds the key."""
    wanted = hold * draws.uniform(low=0.5, high=1.3)
    if rig != "hollow-ram":
        fitting = [tons for tons in _SOLID_TONS if 2 * 2000 * JACK_SHARE * tons >= wanted]
        return (fitting[0] if fitting else _SOLID_TONS[-1]), 2
    hollow = [one for one in (jack(name=name) for name in jack_names()) if one.hole_in]
    over = [one for one in hollow if (one.hole_in or 0) > rod_in]
    fits = [one for one in over if one.rated_lbf * JACK_SHARE >= wanted]
    return (fits[0] if fits else over[-1]).rated_tons, 1


def _marked(tons: float, system: System) -> tuple[float, float]:
    """Return the rating as it is marked on the jack, and in US tons."""
    if system == "inch":
        return tons, tons
    lbf = to_internal(tons * KN_PER_TONNE, dimension="force", unit="kN")
    return tons, lbf / to_internal(1.0, dimension="force", unit="tons")


def _down(capacity: float, system: System) -> float:
    """Return a working load as it is chalked on the rig: down to 100 lbf, or to 0.5 kN."""
    if system == "inch":
        return 100.0 * math.floor(capacity / 100)
    half = to_internal(0.5, dimension="force", unit="kN")
    return half * math.floor(capacity / half)


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
    return "push", step * round(spread * push / step), step * round(push / step)


def _sliding_peak(thread_name: str, most: float, system: System) -> float:
    """Return the peak of the largest slide hammer that stays below a pull; 0 for none.

    Source
    ------
    Speed, useful share and rod: practice.csv.
    """
    least, most_useful = practice.span("blow_share")
    for weight in _WEIGHTS_LB:
        blow = sliding_weight(
            weight_lbf=weight,
            speed_in_per_s=12 * practice.value("slide_hammer_speed"),
            useful_share_low=least,
            useful_share_high=most_useful,
            stress_area_in2=thread(name=thread_name).stress_area_in2,
            length_in=practice.value("slide_hammer_rod"),
            pull_low_lbf=most,
            pull_high_lbf=most,
        )
        if blow.peak_high_lbf <= most:
            return _down(blow.peak_high_lbf, system)
    return 0.0
