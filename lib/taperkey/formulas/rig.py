"""A pulling rig: its parts as they lie in the crib, and the links that they make.

`Rig` holds the parts, `rig_links` reckons what each carries; card, bench and job sheet take a rig's
numbers from there.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from taperkey.checks import (
    require_in,
    require_non_negative,
    require_positive,
)
from taperkey.formulas.chain import REQUIRED_LINKS
from taperkey.formulas.link import Link
from taperkey.formulas.rig_parts import (
    FULL_THREAD,
    JACK_SHARE,
    gib_head_link,
    jacks_link,
    seat_link,
    strongback_link,
    weld_link,
)
from taperkey.formulas.rod import (
    NUT_YIELD_PSI,
    ROD_SHARE,
    key_section_link,
    nut_link,
    rod_link,
    tapped_hole_link,
)
from taperkey.tables.strengths import electrode_strength_psi, steel
from taperkey.tables.threads import thread

__all__ = ["Rig", "rig_links"]


@dataclass(frozen=True, kw_only=True)
class Rig:
    """The parts of a rig as they lie in the crib; sizes left out are the ones in common use.

    Attributes
    ----------
    method : str
        A key of `chain.REQUIRED_LINKS`.
    jack_tons, jacks, jack_share : float, int, float
        Rating of each jack in US tons, how many, and the share of the rating used.
    thread_name, grade_name : str
        Thread and grade of the rod, from the tables; an empty grade is an unknown one.
    rod_condition : float
        1 for a rod in good order, less for a worn one [-].
    rod_share : float
        Share of the rod's proof strength that is used [-].
    engagement_in : float or None
        Full thread in the key; None for one and a half diameters [in].
    nut_height_in : float or None
        Height of the nut; None for one diameter [in].
    steel_name : str
        Steel of the key in the slot.
    gib_head : bool
        True if the strongback pulls on a gib head.
    bar_width_in, bar_depth_in, bar_span_in, bar_hole_in : float
        Strongback: width, depth along the pull, distance of the jacks, hole [in]; a hole of 0
        is one that the rod goes through with 1/16 in to spare.
    bar_steel_name : str
        Steel of the strongback.
    seat_area_in2, seat_steel_name : float, str
        Area under each foot [in2], and the metal it stands on.
    seat_feet : int or None
        How many feet; None for one under each jack.
    weld_kind, weld_size_in, weld_length_in, weld_sides, electrode_name
        Weld of a welded strongback: "fillet" or "groove", size and length on each side [in],
        sides welded, electrode class.
    """

    method: str
    jack_tons: float = 10.0
    jacks: int = 2
    jack_share: float = JACK_SHARE
    thread_name: str = ""
    grade_name: str = ""
    rod_condition: float = 1.0
    rod_share: float = ROD_SHARE
    engagement_in: float | None = None
    nut_height_in: float | None = None
    steel_name: str = "1018 cold-drawn"
    gib_head: bool = False
    bar_width_in: float = 4.0
    bar_depth_in: float = 3.0
    bar_span_in: float = 12.0
    bar_hole_in: float = 0.0
    bar_steel_name: str = "A36 plate"
    seat_area_in2: float = 3.0
    seat_steel_name: str = "A36 plate"
    seat_feet: int | None = None
    weld_kind: str = "fillet"
    weld_size_in: float = 0.5
    weld_length_in: float = 2.0
    weld_sides: int = 2
    electrode_name: str = "E70"


@lru_cache(maxsize=4096)
def rig_links(
    *, rig: Rig, width_in: float, end_height_in: float, taper_in_per_in: float = 0.0
) -> tuple[Link, ...]:
    """Return the links of a rig that can be worked out, in the order of its method.

    capacity of each link by its own formula; a rod of unknown grade gives none

    Parameters
    ----------
    rig : Rig
        The rig at hand.
    width_in : float
        Width of the key in the slot, the narrower part, above 0 [in].
    end_height_in : float
        Height of the key at the end that is pulled, above 0 [in].
    taper_in_per_in : float
        Taper by which it gets lower from there, 0 or more [in/in].

    Returns
    -------
    tuple of Link
        Capacities in [lbf].

    Raises
    ------
    ValueError
        If the method is unknown, a part is not in the tables or a number is out of its range.

    Assumptions
    -----------
    The nut is as strong as a grade 5 part; a gib head is as high at its root as it is wide.

    Examples
    --------
    >>> rig = Rig(method="welded strongback", jack_tons=10, jacks=2)
    >>> [link.name for link in rig_links(rig=rig, width_in=1.0, end_height_in=1.0)]
    ['jacks', 'strongback', 'weld', 'seat']

    Source
    ------
    The links of this module and of `rod`; nut as a grade 5 part: common practice.
    """
    require_in("method", rig.method, REQUIRED_LINKS, "Choose the rig first.")
    require_positive("key width", width_in, "in")
    require_positive("key height", end_height_in, "in")
    require_non_negative("taper of the key", taper_in_per_in, "in/in")
    needed = REQUIRED_LINKS[rig.method]
    links: list[Link] = []
    if "jacks" in needed:
        links.append(
            jacks_link(rated_tons=rig.jack_tons, number=rig.jacks, working_share=rig.jack_share)
        )
    if "rod" in needed and rig.thread_name and rig.grade_name:
        links.extend(_along_the_rod(rig, width_in, end_height_in, taper_in_per_in))
    if "strongback" in needed:
        links.append(
            strongback_link(
                width_in=rig.bar_width_in,
                depth_in=rig.bar_depth_in,
                span_in=rig.bar_span_in,
                hole_in=_bar_hole_in(rig),
                yield_psi=steel(name=rig.bar_steel_name).yield_psi,
            )
        )
    if "weld" in needed:
        weakest = min(
            steel(name=rig.steel_name).tensile_psi, steel(name=rig.bar_steel_name).tensile_psi
        )
        links.append(
            weld_link(
                kind=rig.weld_kind,
                size_in=rig.weld_size_in,
                length_each_side_in=rig.weld_length_in,
                sides=rig.weld_sides,
                electrode_psi=electrode_strength_psi(name=rig.electrode_name),
                key_tensile_psi=weakest,
            )
        )
        if rig.gib_head:
            links.append(
                gib_head_link(
                    width_in=width_in,
                    height_in=width_in,
                    key_yield_psi=steel(name=rig.steel_name).yield_psi,
                )
            )
    if "seat" in needed:
        links.append(
            seat_link(
                area_each_in2=rig.seat_area_in2,
                number=rig.jacks if rig.seat_feet is None else rig.seat_feet,
                yield_psi=steel(name=rig.seat_steel_name).yield_psi,
            )
        )
    return tuple(links)


def _bar_hole_in(rig: Rig) -> float:
    if rig.method == "welded strongback":
        return 0.0
    if rig.bar_hole_in:
        return rig.bar_hole_in
    return thread(name=rig.thread_name).diameter_in + 1 / 16 if rig.thread_name else 0.0


def _along_the_rod(rig: Rig, width: float, height: float, slope: float) -> list[Link]:
    size = thread(name=rig.thread_name)
    metal = steel(name=rig.steel_name)
    engagement = FULL_THREAD * size.diameter_in if rig.engagement_in is None else rig.engagement_in
    nut_height = size.diameter_in if rig.nut_height_in is None else rig.nut_height_in
    return [
        rod_link(
            thread_name=size.name,
            grade_name=rig.grade_name,
            condition_factor=rig.rod_condition,
            working_share=rig.rod_share,
        ),
        tapped_hole_link(
            thread_name=size.name,
            grade_name=rig.grade_name,
            engagement_in=engagement,
            key_yield_psi=metal.yield_psi,
        ),
        key_section_link(
            width_in=width,
            height_in=height - slope * engagement,  # where the thread ends it is lowest
            hole_in=size.diameter_in,
            key_yield_psi=metal.yield_psi,
        ),
        nut_link(
            thread_name=size.name,
            grade_name=rig.grade_name,
            height_in=nut_height,
            nut_yield_psi=NUT_YIELD_PSI,
        ),
    ]
