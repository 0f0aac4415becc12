"""The rigs of the pulling bench, reckoned link by link, with the reason for each allowance."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from coursework.ink.shop import INCH, ShopUnits
from keycourse.pull.bench.cases import (
    RIGS,
    WEIGHT_LB,
    PullCase,
    rig_parts,
)
from keycourse.pull.bench.give import Give, give_of
from keycourse.pull.bench.state import (
    LINK_NAMES,
    NO_LIMIT_LBF,
    RigLink,
)
from taperkey import practice
from taperkey.checks import require_in
from taperkey.formulas.link import Link
from taperkey.formulas.pull import SlidingWeight, sliding_weight
from taperkey.formulas.rig import Rig, rig_links
from taperkey.formulas.rig_parts import FOOT_FACTOR, PLATE_FACTOR, jacks_link
from taperkey.formulas.rod import (
    KEY_SECTION_FACTOR,
    NUT_TENSILE_PSI,
    NUT_YIELD_PSI,
    THREAD_DESIGN_FACTOR,
    YIELD_SHARE_WITHOUT_PROOF,
)
from taperkey.tables.rigging import jack
from taperkey.tables.strengths import RodGrade, rod_grade, steel
from taperkey.tables.threads import thread

__all__ = [
    "ReckonedLink",
    "bigger_jacks",
    "bigger_tons",
    "give_on",
    "links_of",
    "one_blow",
    "reckoned_links",
    "rig_of",
]

_JACK_GIVES_OUT = practice.value("jack_gives_out")  # of its rating
_BIGGER = {"two jacks": "20-ton solid", "hollow-ram jack": "60-ton hollow-ram"}
_ON_THE_BENCH = {"tapped hole": "thread"}  # the bench's shorter name of a link


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
    key and nut; working load times its design factor for the rest; jacks and the thread in the
    key: practice.csv. Feet of the jacks and a nut one diameter high: own model.
    """
    require_in("rig", rig, RIGS, "Choose a rig first.")
    require_in("hold on the key", hold, case.holds, "Look at the end that shows.")
    if case.end != "tapped" and rig != "two jacks":
        raise ValueError(
            f"end that shows is {case.end!r}; it must be tapped for a rod."
            " Weld the strongback to the key instead, or call the welder in."
        )
    parts = rig_parts(
        end=case.end, width_in=case.width_in, thread_name=case.thread_name, rig=rig, hold=hold
    )
    links = rig_links(rig=parts, width_in=case.width_in, end_height_in=case.key.height_mouth_in)
    empty = next((link for link in links if link.capacity_lbf <= 0), None)
    if empty is not None:
        raise ValueError(
            "weld is on one side, counted as 0 lbf; it must be above 0 lbf:"
            f" {empty.basis.split(':')[0]}. Have the other side welded as well."
        )
    return tuple(_reckoned(link, _to_break(link.name, parts)) for link in links)


def give_on(*, case: PullCase, rig: str, hold: str, jack_tons: float | None = None) -> Give | None:
    """Return how a rig gives on this key; None for one that strikes.

    Parameters
    ----------
    case : PullCase
        The key.
    rig, hold : str
        Keys of :data:`RIGS` and :data:`HOLDS`.
    jack_tons : float, optional
        Rating of larger jacks that were put in [US tons].

    Source
    ------
    Yield of the rod: its grade, over the tensile stress area.
    """
    parts = rig_parts(
        end=case.end, width_in=case.width_in, thread_name=case.thread_name, rig=rig, hold=hold
    )
    if jack_tons is not None:
        parts = replace(parts, jack_tons=jack_tons)
    area = thread(name=parts.thread_name).stress_area_in2 if parts.thread_name else 0.0
    yields = area * _grade(parts).yield_psi * parts.rod_condition if area else 0.0
    return give_of(parts=parts, rod_yields_lbf=yields)


def _to_break(name: str, parts: Rig) -> float:
    """Return how many times its working load breaks a link."""
    if name == "rod":
        grade = _grade(parts)
        proof = grade.proof_psi or YIELD_SHARE_WITHOUT_PROOF * grade.yield_psi
        return grade.tensile_psi / (proof * parts.rod_condition * parts.rod_share)
    if name == "nut":
        return THREAD_DESIGN_FACTOR * _over_yield(_grade(parts))
    if name == "key section":
        metal = steel(name=parts.steel_name)
        return KEY_SECTION_FACTOR * metal.tensile_psi / metal.yield_psi
    factors = {
        "jacks": _JACK_GIVES_OUT / parts.jack_share,
        "tapped hole": THREAD_DESIGN_FACTOR,
        "weld": 2.0,
        "head": 1.5,
        "strongback": PLATE_FACTOR,
        "seat": FOOT_FACTOR,
    }
    return factors[name]


def _grade(parts: Rig) -> RodGrade:
    diameter = thread(name=parts.thread_name).diameter_in
    return rod_grade(name=parts.grade_name, diameter_in=diameter)


def rig_of(links: Sequence[Mapping[str, Any]]) -> str:
    """Return which rig the links of a kept step are: a key of :data:`RIGS`, or "none"."""
    names = {link["name"] for link in links if link["working_lbf"] < NO_LIMIT_LBF}
    if not names:
        return "none"
    if "strongback" in names:
        return "two jacks"
    return "hollow-ram jack" if "jacks" in names else "slide hammer"


def bigger_tons(rig: str) -> float:
    """Return the rating of the next larger jack for a rig with jacks [US tons]."""
    return float(jack(name=_BIGGER[rig]).rated_tons)


def bigger_jacks(*, rig: str, units: ShopUnits = INCH) -> tuple[str, float, float]:
    """Return name, working and breaking load [lbf] of the next larger jacks for a rig."""
    if rig == "slide hammer":
        raise ValueError("A slide hammer has no jacks. Set up a rig with jacks first.")
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
    return name, link.capacity_lbf, _JACK_GIVES_OUT * number * larger.rated_lbf


def one_blow(*, case: PullCase) -> SlidingWeight:
    """Return what one blow of the slide hammer brings on this key's rod.

    Source
    ------
    Weight, speed, useful share and rod: practice.csv.
    """
    pull = case.demand
    low, high = practice.span("blow_share")
    return sliding_weight(
        weight_lbf=WEIGHT_LB,
        speed_in_per_s=12 * practice.value("slide_hammer_speed"),
        useful_share_low=low,
        useful_share_high=high,
        stress_area_in2=thread(name=case.thread_name).stress_area_in2,
        length_in=practice.value("slide_hammer_rod"),
        pull_low_lbf=pull.low_lbf,
        pull_high_lbf=pull.high_lbf,
    )


def _over_yield(grade: RodGrade) -> float:
    """Return how far above its yield the nut's thread or the rod's tears, whichever goes first."""
    return min(grade.tensile_psi / grade.yield_psi, NUT_TENSILE_PSI / NUT_YIELD_PSI)


def _reckoned(link: Link, to_break: float) -> ReckonedLink:
    return ReckonedLink(
        link=RigLink(
            name=_ON_THE_BENCH.get(link.name, link.name),
            working_lbf=_down(link.capacity_lbf),
            breaking_lbf=to_break * link.capacity_lbf,
        ),
        basis=link.basis,
    )


def _down(capacity_lbf: float) -> float:
    """Return a working load as it is chalked on the rig: down to the hundred."""
    return 100.0 * max(1, math.floor(capacity_lbf / 100))
