"""The rig that lies in the crib for exercise 05: its parts, its weakest link, the slide hammer.

The link that is to govern is drawn first and the others are made to carry more, so that no link is
the usual answer.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from coursework.draws import Draws
from taperkey import practice
from taperkey.formulas.chain import REQUIRED_LINKS
from taperkey.formulas.link import Link
from taperkey.formulas.pull import sliding_weight
from taperkey.formulas.rig import Rig, rig_links
from taperkey.formulas.rig_parts import FOOT_FACTOR, JACK_SHARE
from taperkey.formulas.rod import ROD_SHARE
from taperkey.tables.rigging import jack, jack_names
from taperkey.tables.strengths import steel
from taperkey.tables.threads import thread
from taperkey.units import System, to_internal

__all__ = ["Crib", "draw_crib", "links_of", "rounded_down", "slide_hammer"]

KN_PER_TONNE = 9.80665  # a tonne's weight at standard gravity [kN]
PLAIN_BAR = "ASTM A36 threaded bar"
HOLDS_THE_KEY = ("rod", "tapped hole", "key section", "nut", "weld")

_GRADES: Mapping[System, tuple[str, ...]] = {
    "inch": ("SAE J429 grade 5", "SAE J429 grade 8", "ASTM A193 B7"),
    "metric": ("ISO 898-1 class 8.8", "ISO 898-1 class 10.9", "ASTM A193 B7"),
}
_THREADS: Mapping[System, tuple[str, ...]] = {
    "inch": (
        *("1/2-13 UNC", "5/8-11 UNC", "3/4-10 UNC", "7/8-9 UNC", "1-8 UNC"),
        *("1-1/8-7 UNC", "1-1/4-7 UNC", "1-1/2-6 UNC"),
    ),
    "metric": ("M12", "M16", "M20", "M24", "M30", "M36"),
}
_SOLID_TONS = (5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 50.0, 75.0, 100.0)
_WEIGHTS_LB = (30.0, 20.0, 12.0, 8.0, 5.0, 3.0)
_LEGS_IN = (0.1875, 0.25, 0.3125, 0.375, 0.5, 0.625, 0.75)
# Which link is to govern, each as often as it shall; a weak one can be changed for a better.
_SOUND = (
    *("jacks", "jacks", "rod", "tapped hole", "nut", "strongback", "seat", "weld", "weld"),
    *("key section", "key section", "key section"),
)
_WEAK = ("rod", "rod", "rod", "nut", "nut", "strongback", "seat", "weld", "weld")
_SMALLEST_FOOT_IN2 = 0.35
_TRIES = 12
_APART = 1.08  # the next link carries at least so many times what the weakest does
_WEAK_APART = 1.5  # where one link alone is too weak


@dataclass(frozen=True, kw_only=True)
class Crib:
    """The rig as it lies there.

    Attributes
    ----------
    parts : Rig
        Its parts.
    jack_rating : float
        As marked on each jack: US tons on an inch card, tonnes on a metric one.
    links : mapping of str to float
        What each link carries [lbf], the weakest first.
    """

    parts: Rig
    jack_rating: float
    links: Mapping[str, float]

    @property
    def governing(self) -> str:
        """Name of the weakest link."""
        return next(iter(self.links))

    @property
    def carries(self) -> tuple[float, ...]:
        """What the links carry, in that order [lbf]."""
        return tuple(self.links.values())


def links_of(parts: Rig, width_in: float, height_in: float) -> dict[str, Link]:
    """Return the links of a rig on this key by their names."""
    found = rig_links(rig=parts, width_in=width_in, end_height_in=height_in)
    return {link.name: link for link in found}


def draw_crib(
    draws: Draws, *, tapped: bool, weak: bool, width: float, height: float, system: System
) -> Crib:
    """Draw a rig for a key of this width and height, at the end that shows [in].

    Parameters
    ----------
    draws : Draws
        The card's own row of draws.
    tapped : bool
        Whether the key's end is tapped; a strongback is welded to it otherwise.
    weak : bool
        Whether one link alone is well below all others.
    width, height : float
        Of the key, at the end that shows [in].
    system : str
        "inch" or "metric".
    """
    hollow = tapped and draws.uniform(low=0.0, high=1.0) < 0.4
    method = "hollow-ram" if hollow else "strongback" if tapped else "welded strongback"
    there = REQUIRED_LINKS[method]
    wished = [one for one in (_WEAK if weak else _SOUND) if one in there]
    most = 1 / _WEAK_APART if weak else 1 / _APART
    for _ in range(_TRIES):
        wanted = wished[draws.whole(low=0, high=len(wished) - 1)]
        crib = _one(draws, method, wanted, most, (width, height), system)
        if crib.governing == wanted and crib.carries[0] <= most * crib.carries[1]:
            break
    return crib


def _one(
    draws: Draws, method: str, wanted: str, most: float, key: tuple[float, float], system: System
) -> Crib:
    """Draw a rig once, the wanted link small and the others larger."""
    width, height = key
    holds = _holding(draws, method, wanted, most, key, system)
    carried = min(
        link.capacity_lbf
        for link in links_of(holds, width, height).values()
        if link.name in HOLDS_THE_KEY
    )
    part = draws.uniform(low=0.55, high=1.0) * most
    above = [draws.uniform(low=1.12, high=2.0) for _ in range(3)]
    below = wanted == "jacks"
    rating, tons, number = _jacks(
        method, carried * (part if below else above[0]), holds, below, system
    )
    parts = replace(holds, jack_tons=tons, jacks=number)
    give = links_of(parts, width, height)["jacks"].capacity_lbf
    least = min(give, carried)
    parts = _stands_on(parts, least * (part if wanted == "seat" else above[1] / most))
    parts = _with_bar(
        parts, least * (part if wanted == "strongback" else above[2] / most), wanted == "strongback"
    )
    loads = {
        name: link.capacity_lbf
        if name in ("rod", "jacks")
        else rounded_down(link.capacity_lbf, system)
        for name, link in links_of(parts, width, height).items()
    }
    if wanted == "rod" and most < 1 / _APART:  # the planner took it for a rod of that grade
        parts = replace(parts, grade_name=PLAIN_BAR)
        loads["rod"] = links_of(parts, width, height)["rod"].capacity_lbf
    return Crib(
        parts=parts,
        jack_rating=rating,
        links=dict(sorted(loads.items(), key=lambda link: link[1])),
    )


def _holding(
    draws: Draws, method: str, wanted: str, most: float, key: tuple[float, float], system: System
) -> Rig:
    """Return the parts that hold the key: rod, thread and nut, or a weld."""
    width, height = key
    names = _THREADS[system]
    fits = 0.8 if wanted == "key section" else 0.7
    fitting = [one for one in names if thread(name=one).diameter_in <= fits * height] or names[:1]
    smaller = 0 if wanted == "key section" else draws.whole(low=0, high=min(1, len(fitting) - 1))
    name = fitting[-1 - smaller]
    start = Rig(
        method=method,
        jack_share=JACK_SHARE,
        rod_share=ROD_SHARE,
        thread_name=name,
        grade_name=_GRADES[system][1 if wanted == "key section" else draws.whole(low=0, high=2)],
        bar_depth_in=1.0,
    )
    if method == "welded strongback":
        legs = [leg for leg in _LEGS_IN if leg <= height / 2]
        small, half = wanted == "weld", len(legs) // 2
        leg = legs[draws.whole(low=0 if small else half, high=half if small else len(legs) - 1)]
        return replace(start, weld_size_in=leg, weld_length_in=width)
    diameter = thread(name=name).diameter_in
    deep = (0.75, 1.0) if wanted == "tapped hole" else (1.5, 1.75, 2.0)
    thin = (0.4, 0.5) if most < 1 / _APART else (0.6, 0.7, 0.8)
    nut = thin[draws.whole(low=0, high=len(thin) - 1)] if wanted == "nut" else 1.0
    return replace(
        start,
        engagement_in=deep[draws.whole(low=0, high=len(deep) - 1)] * diameter,
        nut_height_in=nut * diameter,
    )


def _jacks(
    method: str, wanted: float, holds: Rig, below: bool, system: System
) -> tuple[float, float, int]:
    """Return rating as marked, the same in US tons, and how many: what a crib has for that load.

    With `below` it is the largest that gives no more, otherwise the smallest that gives as much.
    """
    if method != "hollow-ram":
        sizes, number = list(_SOLID_TONS), 2
    else:
        over = thread(name=holds.thread_name).diameter_in
        found = [jack(name=name) for name in jack_names()]
        sizes = [one.rated_tons for one in found if one.hole_in and one.hole_in > over]
        number = 1
    each = 2000 * JACK_SHARE * number
    if below:
        tons = ([one for one in sizes if one * each <= wanted] or sizes[:1])[-1]
    else:
        tons = ([one for one in sizes if one * each >= wanted] or sizes[-1:])[0]
    if system == "inch":
        return tons, tons, number
    lbf = to_internal(tons * KN_PER_TONNE, dimension="force", unit="kN")
    return tons, lbf / to_internal(1.0, dimension="force", unit="tons"), number


def _stands_on(parts: Rig, load: float) -> Rig:
    """Return the rig with feet that carry that load."""
    feet = 1 if parts.method == "hollow-ram" else 2
    area = FOOT_FACTOR * load / (feet * steel(name=parts.seat_steel_name).yield_psi)
    return replace(parts, seat_area_in2=max(_SMALLEST_FOOT_IN2, area), seat_feet=feet)


def _with_bar(parts: Rig, load: float, below: bool) -> Rig:
    """Return the rig with a bar just deep enough for that load, or with `below` not quite."""
    if parts.method == "hollow-ram":
        return parts
    bar = parts
    while bar.bar_depth_in < 14:
        deeper = replace(bar, bar_depth_in=bar.bar_depth_in + 0.125)
        carries = links_of(deeper, 4.0, 4.0)["strongback"].capacity_lbf  # whatever the key
        if carries >= load:
            return bar if below else deeper
        bar = deeper
    return bar


def rounded_down(capacity: float, system: System) -> float:
    """Return a working load as it is chalked on the rig: down to 100 lbf, or to 0.5 kN."""
    if system == "inch":
        return 100.0 * math.floor(capacity / 100)
    half = to_internal(0.5, dimension="force", unit="kN")
    return half * math.floor(capacity / half)


def slide_hammer(thread_name: str, most_lbf: float, system: System) -> tuple[float, float]:
    """Return the blow of the heaviest slide hammer whose peak stays below a load: low and high end.

    Both are 0 where the lightest is too heavy.

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
            pull_low_lbf=most_lbf,
            pull_high_lbf=most_lbf,
        )
        if blow.peak_high_lbf <= most_lbf:
            return (
                rounded_down(blow.peak_low_lbf, system),
                rounded_down(blow.peak_high_lbf, system),
            )
    return 0.0, 0.0
