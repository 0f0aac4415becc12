"""The rigs of the pulling bench, reckoned link by link, with the reason for each allowance."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from coursework.ink.shop import INCH, ShopUnits
from keycourse.pull.bench.cases import (
    FILLET_IN,
    RIGS,
    WEIGHT_LB,
    PullCase,
)
from keycourse.pull.bench.pulling_steps import LINK_NAMES, NO_LIMIT_LBF, RigLink
from taperkey.checks import require_in
from taperkey.formulas.pull import SlidingWeight, sliding_weight
from taperkey.formulas.rig import Link, jacks_link, seat_link, strongback_link, weld_link
from taperkey.formulas.rod import (
    NUT_TENSILE_PSI,
    NUT_YIELD_PSI,
    key_section_link,
    nut_link,
    rod_link,
    tapped_hole_link,
)
from taperkey.said import Said, number, numbers
from taperkey.tables.rigging import jack
from taperkey.tables.strengths import RodGrade, electrode_strength_psi, rod_grade, steel
from taperkey.tables.threads import thread

__all__ = [
    "ReckonedLink",
    "bigger_jacks",
    "links_of",
    "one_blow",
    "reckoned_links",
    "rig_of",
]

_GRADES = {"marked rod": "ASTM A193 B7", "scrap rod": "ASTM A36 threaded bar"}
_BIGGER = {"two jacks": "20-ton solid", "hollow-plunger jack": "60-ton hollow-plunger"}
_KEY_STEEL = "1018 cold-drawn"
_HUB_STEEL = "A36 plate"  # what the hub's face is reckoned as; assumed here
_FEET = {"two jacks": (2, 3.0), "hollow-plunger jack": (2, 4.0)}  # feet, area of each [in2]


@dataclass(frozen=True, kw_only=True)
class ReckonedLink:
    """A link with the reason for what it may carry.

    Attributes
    ----------
    link : RigLink
        Working load and where it goes [lbf].
    basis : str
        What the working load was reckoned from.
    """

    link: RigLink
    basis: str

    @property
    def hurt(self) -> str:
        """What it does to key and people when it goes."""
        return LINK_NAMES[self.link.name]


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
    """
    return tuple(one.link for one in reckoned_links(case=case, rig=rig, hold=hold))


def reckoned_links(*, case: PullCase, rig: str, hold: str) -> tuple[ReckonedLink, ...]:
    """Return the links of a rig on this key with their reasons.

    The names follow :data:`taperkey.formulas.chain.REQUIRED_LINKS`, where the
    "thread" of the bench is the "tapped hole"; a gib head adds the "head".

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
    Working loads: the formulas of rig and rod. Breaking loads: tensile strength of rod,
    key and nut; working load times its design factor for the rest; jacks 5 % over their rating,
    assumed here. Feet of the jacks, a nut one diameter high and 1-1/2 diameters of thread in
    the key: assumed here.
    """
    require_in("rig", rig, RIGS, "Choose a rig first.")
    require_in("hold on the key", hold, case.holds, "Look at the end that shows.")
    if case.end != "tapped" and rig != "two jacks":
        raise ValueError(
            f"end that shows is {case.end!r}; it must be tapped for a rod."
            " Weld the strongback to the key instead, or call the welder in."
        )
    links: list[ReckonedLink] = []
    if rig in _BIGGER:
        tons, number = (10.0, 2) if rig == "two jacks" else (30.0, 1)
        jacks = jacks_link(rated_tons=tons, number=number)
        links.append(_reckoned("jacks", jacks, 1.05 / 0.8))
    hole = 0.0
    if case.end == "tapped":
        hole = thread(name=case.thread_name).diameter_in + 1 / 16
        links += _along_the_rod(case, hold)
    else:
        links += _welded(case, hold)
    if rig == "two jacks":
        bar = strongback_link(
            width_in=4.0,
            depth_in=3.5,
            span_in=12.0,
            hole_in=hole,
            yield_psi=steel(name="A36 plate").yield_psi,
        )
        links.append(_reckoned("strongback", bar, 1.67))
    if rig in _FEET:
        number, area = _FEET[rig]
        seat = seat_link(
            area_each_in2=area, number=number, yield_psi=steel(name=_HUB_STEEL).yield_psi
        )
        links.append(_reckoned("seat", seat, 1.67))
    return tuple(links)


def rig_of(links: Sequence[Mapping[str, Any]]) -> str:
    """Return which rig the links of a kept step are: a key of :data:`RIGS`, or "none"."""
    names = {link["name"] for link in links if link["working_lbf"] < NO_LIMIT_LBF}
    if not names:
        return "none"
    if "strongback" in names:
        return "two jacks"
    return "hollow-plunger jack" if "jacks" in names else "sliding weight"


def bigger_jacks(*, rig: str, units: ShopUnits = INCH) -> tuple[str, float, float]:
    """Return name, working and breaking load [lbf] of the next larger jacks for a rig."""
    if rig == "sliding weight":
        raise ValueError("A sliding weight has no jacks. Set up a rig with jacks first.")
    if rig not in _BIGGER:
        raise ValueError("No rig with jacks stands. Set one up first.")
    larger = jack(name=_BIGGER[rig])
    number = 2 if rig == "two jacks" else 1
    link = jacks_link(rated_tons=larger.rated_tons, number=number)
    rated = units.load(larger.rated_lbf)
    if number == 2:
        name = units.beside(f"two {larger.name} jacks", f"{rated} each")
    else:
        name = units.beside(f"a {larger.name} jack", rated)
    return name, link.capacity_lbf, 1.05 * number * larger.rated_lbf


def one_blow(*, case: PullCase) -> SlidingWeight:
    """Return what one blow of the 30 lb sliding weight brings on this key's rod.

    Source
    ------
    10 ft/s at the stop, half to nine tenths useful, 36 in of rod: assumed here.
    """
    pull = case.demand
    return sliding_weight(
        weight_lbf=WEIGHT_LB,
        speed_in_per_s=120.0,
        useful_share_low=0.5,
        useful_share_high=0.9,
        stress_area_in2=thread(name=case.thread_name).stress_area_in2,
        length_in=36.0,
        pull_low_lbf=pull.low_lbf,
        pull_high_lbf=pull.high_lbf,
    )


def _along_the_rod(case: PullCase, hold: str) -> list[ReckonedLink]:
    key_steel = steel(name=_KEY_STEEL)
    size = thread(name=case.thread_name)
    grade = rod_grade(name=_GRADES[hold], diameter_in=size.diameter_in)
    rod = rod_link(thread_name=size.name, grade_name=grade.name)
    tapped = tapped_hole_link(
        thread_name=size.name,
        grade_name=grade.name,
        engagement_in=1.5 * size.diameter_in,
        key_yield_psi=key_steel.yield_psi,
    )
    section = key_section_link(
        width_in=case.width_in,
        height_in=case.key.height_mouth_in,
        hole_in=size.diameter_in,
        key_yield_psi=key_steel.yield_psi,
    )
    nut = nut_link(
        thread_name=size.name,
        grade_name=grade.name,
        height_in=size.diameter_in,
        nut_yield_psi=NUT_YIELD_PSI,
    )
    at_break = size.stress_area_in2 * grade.tensile_psi / rod.capacity_lbf
    torn = 1.5 * key_steel.tensile_psi / key_steel.yield_psi
    return [
        _reckoned("rod", rod, at_break),
        _reckoned("thread", tapped, 2.0),
        _reckoned("key section", section, torn),
        _reckoned("nut", nut, 2.0 * _over_yield(grade)),
    ]


def _over_yield(grade: RodGrade) -> float:
    """Return how far above its yield the nut's thread or the rod's tears, whichever goes first."""
    return min(grade.tensile_psi / grade.yield_psi, NUT_TENSILE_PSI / NUT_YIELD_PSI)


def _welded(case: PullCase, hold: str) -> list[ReckonedLink]:
    key_steel = steel(name=_KEY_STEEL)
    weld = weld_link(
        kind="fillet",
        size_in=FILLET_IN,
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
    links = [_reckoned("weld", weld, 2.0)]
    if case.end == "gib head":
        shear = 0.4 * key_steel.yield_psi * case.width_in**2
        basis = Said(
            "{head} of the head in shear x 0.4 of {steel} yield",
            head=numbers(case.width_in, case.width_in, unit="in", form="g", between=" x "),
            steel=number(key_steel.yield_psi, "psi"),
        )
        head = RigLink(name="head", working_lbf=_down(shear), breaking_lbf=1.5 * shear)
        links.append(ReckonedLink(link=head, basis=basis))
    return links


def _reckoned(name: str, link: Link, to_break: float) -> ReckonedLink:
    return ReckonedLink(
        link=RigLink(
            name=name,
            working_lbf=_down(link.capacity_lbf),
            breaking_lbf=to_break * link.capacity_lbf,
        ),
        basis=link.basis,
    )


def _down(capacity_lbf: float) -> float:
    """Return a working load as it is chalked on the rig: down to the hundred."""
    return 100.0 * max(1, math.floor(capacity_lbf / 100))
