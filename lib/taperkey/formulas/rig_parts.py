"""The parts of a pulling rig, each as a link: what it may carry, by which rule, from which source.

Every link is reckoned as the pull along the key that it allows. Every allowance (working share,
design factor, condition factor) is an argument with its common practice value; whoever answers for
the lift may ask for more. Rod, nut and thread stand in ``rod``.
"""

from __future__ import annotations

from taperkey import practice
from taperkey.checks import (
    require_at_least,
    require_in,
    require_positive,
    require_range,
)
from taperkey.formulas.beam import (
    bar_section_modulus_in3,
    bar_shear_stress_psi,
    moment_one_load_lbf_in,
)
from taperkey.formulas.link import Link
from taperkey.formulas.weld import (
    fillet_strength_lbf_per_in,
    groove_strength_lbf_per_in,
    plate_shear_lbf_per_in,
)
from taperkey.said import Said, numbers
from taperkey.said import number as told
from taperkey.tables.rigging import LBF_PER_US_TON

__all__ = [
    "FOOT_FACTOR",
    "FULL_THREAD",
    "JACK_SHARE",
    "PLATE_FACTOR",
    "gib_head_link",
    "jacks_link",
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
