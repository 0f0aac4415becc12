"""A pulling rig and its links: what each may carry, by which rule, from which source.

`Rig` holds the parts as they lie in the crib, `rig_links` reckons what each carries; card, bench
and job sheet take a rig's numbers from there. Every link is reckoned as the pull along the key that
it allows. Every allowance (working share, design factor, condition factor) is an argument with its
common practice value; whoever answers for the lift may ask for more.
"""

from __future__ import annotations

from dataclasses import dataclass

from taperkey import practice
from taperkey.checks import (
    require_at_least,
    require_in,
    require_non_negative,
    require_positive,
    require_range,
)
from taperkey.formulas.beam import (
    bar_section_modulus_in3,
    bar_shear_stress_psi,
    moment_one_load_lbf_in,
)
from taperkey.formulas.chain import REQUIRED_LINKS
from taperkey.formulas.link import Link
from taperkey.formulas.rod import (
    NUT_YIELD_PSI,
    ROD_SHARE,
    key_section_link,
    nut_link,
    rod_link,
    tapped_hole_link,
)
from taperkey.formulas.weld import (
    fillet_strength_lbf_per_in,
    groove_strength_lbf_per_in,
    plate_shear_lbf_per_in,
)
from taperkey.said import Said, numbers
from taperkey.said import number as told
from taperkey.tables.rigging import LBF_PER_US_TON
from taperkey.tables.strengths import electrode_strength_psi, steel
from taperkey.tables.threads import thread

__all__ = [
    "FOOT_FACTOR",
    "FULL_THREAD",
    "JACK_SHARE",
    "PLATE_FACTOR",
    "Link",
    "Rig",
    "gib_head_link",
    "jacks_link",
    "rig_links",
    "seat_link",
    "strongback_link",
    "weld_link",
]

JACK_SHARE = practice.value("jack_share")  # of the rating
PLATE_FACTOR = practice.value("plate_factor")
FOOT_FACTOR = practice.value("foot_factor")
FULL_THREAD = practice.value("full_thread")  # diameters


def jacks_link(*, rated_tons: float, number: int, working_share: float = JACK_SHARE) -> Link:
    """Return what the jacks give together.

    capacity = number tons 2000 share

    Parameters
    ----------
    rated_tons : float
        Rating of each jack, US tons of 2000 lbf, above 0 [tons].
    number : int
        How many jacks pull, 1 to 4 [-].
    working_share : float
        Part of the rating that is used, above 0 to 1 [-].

    Returns
    -------
    Link
        Capacity in [lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    The jacks share evenly: same size, one pump or pumped in turn, rod in the middle.

    Examples
    --------
    Two 10-ton jacks, worked to their full rating and to four fifths of it:

    >>> jacks_link(rated_tons=10, number=2, working_share=1).capacity_lbf
    40000.0
    >>> jacks_link(rated_tons=10, number=2).capacity_lbf
    32000.0

    Source
    ------
    Rating on the jack; share: practice.csv, jack_share.
    """
    require_positive("jack rating", rated_tons, "tons", "Read the rating on the jack.")
    require_range("number of jacks", number, 1, 4)
    require_positive("working share of the jacks", working_share)
    require_range("working share of the jacks", working_share, 0, 1)
    return Link(
        name="jacks",
        capacity_lbf=rated_tons * number * LBF_PER_US_TON * working_share,
        basis=Said(
            "{jacks} × {tons} tons × {ton}, {share} % of the rating used",
            jacks=f"{number}",
            tons=f"{rated_tons:g}",
            ton=told(LBF_PER_US_TON, "lbf"),
            share=f"{working_share * 100:.0f}",
        ),
        source=f"rating on the jack; share: {practice.rule('jack_share').kind_said}",
        advice="take larger jacks, after checking every other link against them",
    )


def strongback_link(
    *,
    width_in: float,
    depth_in: float,
    span_in: float,
    hole_in: float,
    yield_psi: float,
    design_factor: float = PLATE_FACTOR,
) -> Link:
    """Return what a strongback across two jacks carries, rod in the middle.

    bending P = 4 S Fy / (factor L);  shear P = 2 w d (.6 Fy) / (1.5 factor)

    Parameters
    ----------
    width_in : float
        Width of the bar, square to the pull, above 0 [in].
    depth_in : float
        Depth of the bar, along the pull, above 0 [in].
    span_in : float
        Distance between the two jacks, above 0 [in].
    hole_in : float
        Hole for the rod, 0 for a welded strongback, below the width [in].
    yield_psi : float
        Yield strength of the bar, above 0 [psi].
    design_factor : float
        Yield over allowable, 1 or more [-].

    Returns
    -------
    Link
        Capacity in [lbf], the lesser of bending and shear.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    One load at mid-span, free ends, elastic, the bar stands flat and cannot roll.

    Examples
    --------
    >>> round(strongback_link(width_in=4, depth_in=3, span_in=12, hole_in=1,
    ...                       yield_psi=36000).capacity_lbf)
    32335

    Source
    ------
    Beam formulas P L/4 and 1.5 V/A; factor: practice.csv, plate_factor.
    """
    require_positive("yield strength of the strongback", yield_psi, "psi")
    require_at_least("design factor for the strongback", design_factor, 1)
    section = bar_section_modulus_in3(width_in=width_in, depth_in=depth_in, hole_in=hole_in)
    moment_per_lbf = moment_one_load_lbf_in(load_lbf=1, span_in=span_in)
    bending = section * yield_psi / design_factor / moment_per_lbf
    shear_per_lbf = bar_shear_stress_psi(
        shear_lbf=0.5, width_in=width_in - hole_in, depth_in=depth_in
    )
    shear = 0.6 * yield_psi / design_factor / shear_per_lbf
    way = "bending" if bending <= shear else "shear"
    return Link(
        name="strongback",
        capacity_lbf=min(bending, shear),
        basis=Said(
            "{bar} bar, {span} between the jacks, hole {hole}: {way} governs, {steel} yield,"
            " design factor {factor}",
            bar=numbers(width_in, depth_in, unit="in", form="g", between=" × "),
            span=told(span_in, "in", "g"),
            hole=told(hole_in, "in", "g"),
            way=way,
            steel=told(yield_psi, "psi"),
            factor=f"{design_factor:g}",
        ),
        source="beam formulas P L/4 and 1.5 V/A; factor as AISC 360",
        advice="take a deeper bar (depth counts twice), or set the jacks closer together",
    )


def weld_link(
    *,
    kind: str,
    size_in: float,
    length_each_side_in: float,
    sides: int,
    electrode_psi: float,
    key_tensile_psi: float,
) -> Link:
    """Return what the weld between strongback and key carries.

    fillet: sides L min(.30 FEXX .7071 w, .30 Fu w); groove: sides L .30 FEXX E

    Parameters
    ----------
    kind : str
        "fillet" or "groove".
    size_in : float
        Leg of the fillet, or effective throat of the groove weld on each side, above 0 [in].
    length_each_side_in : float
        Length of weld on each side of the joint, above 0 [in].
    sides : int
        Sides of the joint that are welded, 1 or 2 [-].
    electrode_psi : float
        Tensile strength of the weld metal, above 0 [psi].
    key_tensile_psi : float
        Tensile strength of the weaker of key and strongback, above 0 [psi].

    Returns
    -------
    Link
        Capacity in [lbf]; 0 if one side only is welded, for such a joint peels open.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Load along the weld (the least strength), fused into both parts, by a qualified
    welder with the preheat that the key steel needs.

    Examples
    --------
    >>> round(weld_link(kind="fillet", size_in=0.5, length_each_side_in=1.5, sides=2,
    ...                 electrode_psi=70000, key_tensile_psi=64000).capacity_lbf)
    22274
    >>> weld_link(kind="fillet", size_in=0.5, length_each_side_in=1.5, sides=1,
    ...           electrode_psi=70000, key_tensile_psi=64000).capacity_lbf
    0.0

    Source
    ------
    AISC 360, Table J2.5 and equation J4-4.
    """
    require_in("weld", kind, ("fillet", "groove"))
    require_range("sides welded", sides, 1, 2)
    require_positive("weld length on each side", length_each_side_in, "in")
    if kind == "fillet":
        metal = fillet_strength_lbf_per_in(leg_in=size_in, electrode_psi=electrode_psi)
    else:
        metal = groove_strength_lbf_per_in(throat_in=size_in, electrode_psi=electrode_psi)
    base = plate_shear_lbf_per_in(thickness_in=size_in, tensile_psi=key_tensile_psi)
    per_in = min(metal, base)
    weaker = "weld metal" if metal <= base else "base metal"
    capacity = 2 * length_each_side_in * per_in if sides == 2 else 0.0
    return Link(
        name="weld",
        capacity_lbf=capacity,
        basis=(
            Said(
                "{size} {kind}, {length} on both sides of the joint, {carries} by the {weaker}",
                size=told(size_in, "in", "g"),
                kind=kind,
                length=told(length_each_side_in, "in", "g"),
                carries=told(per_in, "lbf/in"),
                weaker=weaker,
            )
            if sides == 2
            else "welded on one side only, so it peels open: nothing is counted"
        ),
        source="AISC 360, Table J2.5 and equation J4-4, allowable",
        advice=(
            "weld more length or a larger size, into both parts"
            if sides == 2
            else "weld the other side of the joint as well"
        ),
    )


def seat_link(
    *, area_each_in2: float, number: int, yield_psi: float, design_factor: float = FOOT_FACTOR
) -> Link:
    """Return what shaft end or hub face bears under the feet of the jacks.

    capacity = number A S / factor

    Parameters
    ----------
    area_each_in2 : float
        Area under each jack foot, base or ring, above 0 [in2].
    number : int
        How many feet, 1 to 4 [-].
    yield_psi : float
        Yield strength of the softer metal under the foot, above 0 [psi].
    design_factor : float
        Yield over allowable, 1 or more [-].

    Returns
    -------
    Link
        Capacity in [lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Flat, square, packed; thin rims and webs behind the foot are not looked at.

    Examples
    --------
    >>> round(seat_link(area_each_in2=3, number=2, yield_psi=36000).capacity_lbf)
    129341

    Source
    ------
    Force over area; factor: practice.csv, foot_factor.
    """
    require_positive("area under each foot", area_each_in2, "in2")
    require_range("number of feet", number, 1, 4)
    require_positive("yield strength under the foot", yield_psi, "psi")
    require_at_least("design factor for the seat", design_factor, 1)
    return Link(
        name="seat",
        capacity_lbf=number * area_each_in2 * yield_psi / design_factor,
        basis=Said(
            "{feet} × {area} under the feet × {steel} yield, design factor {factor}",
            feet=f"{number}",
            area=told(area_each_in2, "in2", "g"),
            steel=told(yield_psi, "psi"),
            factor=f"{design_factor:g}",
        ),
        source=f"force over area; factor: {practice.rule('foot_factor').kind_said}",
        advice="put a thick steel plate under the feet of the jacks",
    )


def gib_head_link(
    *,
    width_in: float,
    height_in: float,
    key_yield_psi: float,
    working_share: float = practice.value("head_shear_share"),
) -> Link:
    """Return what a gib head carries in shear across its root.

    capacity = W H S share

    Parameters
    ----------
    width_in : float
        Key width, above 0 [in].
    height_in : float
        Height of the head's root along the key, about the key's own height, above 0 [in].
    key_yield_psi : float
        Yield strength of the key, above 0 [psi].
    working_share : float
        Allowable shear as a share of the yield, above 0 to 1 [-].

    Returns
    -------
    Link
        Capacity in [lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Pulled close to the root and in line; off the middle the head bends and breaks off.

    Examples
    --------
    >>> gib_head_link(width_in=1.5, height_in=1.5, key_yield_psi=54000).capacity_lbf
    48600.0

    Source
    ------
    Force over area; share: practice.csv, head_shear_share.
    """
    require_positive("key width", width_in, "in")
    require_positive("height of the head's root", height_in, "in")
    require_positive("yield strength of the key", key_yield_psi, "psi")
    require_positive("working share of the head", working_share)
    require_range("working share of the head", working_share, 0, 1)
    return Link(
        name="head",
        capacity_lbf=working_share * key_yield_psi * width_in * height_in,
        basis=Said(
            "{head} of the head in shear × {share} of {steel} yield",
            head=numbers(width_in, height_in, unit="in", form="g", between=" × "),
            share=f"{working_share:g}",
            steel=told(key_yield_psi, "psi"),
        ),
        source=f"force over area; share: {practice.rule('head_shear_share').kind_said}",
        advice="weld the strongback to the key's end as well, or take the pull nearer to its root",
    )


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
