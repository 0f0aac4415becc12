"""The links along the rod: rod, nut, tapped hole, and the key section left around it.

Book symbols in the bodies: At stress area, AS stripping area, tau shear yield, S yield,
W width, H height. Thread and grade are named; their figures come from the tables.
"""

from __future__ import annotations

import math

from taperkey import practice
from taperkey.checks import require_at_least, require_positive, require_range
from taperkey.formulas.link import Link
from taperkey.formulas.strength import SHEAR_SHARE
from taperkey.formulas.thread import stripping_force_lbf
from taperkey.said import Said, number
from taperkey.tables.strengths import RodGrade, rod_grade
from taperkey.tables.threads import Thread, thread

__all__ = [
    "KEY_SECTION_FACTOR",
    "NUT_TENSILE_PSI",
    "NUT_YIELD_PSI",
    "ROD_SHARE",
    "THREAD_DESIGN_FACTOR",
    "YIELD_SHARE_WITHOUT_PROOF",
    "key_section_link",
    "nut_link",
    "rod_link",
    "tapped_hole_link",
]

ROD_SHARE = practice.value("rod_share")  # of the proof strength

# A nut in a crib is seldom marked: whatever the rod, it is counted as a grade 5 part (SAE J429,
# to 1 in): common practice.
_NUT = rod_grade(name="SAE J429 grade 5", diameter_in=1.0)
NUT_YIELD_PSI = _NUT.yield_psi
NUT_TENSILE_PSI = _NUT.tensile_psi

YIELD_SHARE_WITHOUT_PROOF = practice.value("yield_for_proof")
THREAD_DESIGN_FACTOR = practice.value("thread_design_factor")
_THREAD_KIND = practice.rule("thread_design_factor").kind_said
KEY_SECTION_FACTOR = practice.value("key_section_factor")


def _rod(thread_name: str, grade_name: str) -> tuple[Thread, RodGrade]:
    size = thread(name=thread_name)
    return size, rod_grade(name=grade_name, diameter_in=size.diameter_in)


def rod_link(
    *,
    thread_name: str,
    grade_name: str,
    condition_factor: float = 1.0,
    working_share: float = ROD_SHARE,
) -> Link:
    """Return what the rod carries in tension.

    capacity = At proof condition share

    Parameters
    ----------
    thread_name : str
        Thread from the table, such as "1-1/4-7 UNC".
    grade_name : str
        Grade from the table, such as "ASTM A193 B7".
    condition_factor : float
        What is left for a worn or nicked rod, above 0 to 1 [-].
    working_share : float
        Part of the proof strength that is used, above 0 to 1 [-].

    Returns
    -------
    Link
        Capacity in [lbf].

    Raises
    ------
    ValueError
        If thread, grade or size is not in the tables or a factor is outside its range.

    Assumptions
    -----------
    Straight pull. Where the grade states no proof, 0.9 of its yield stands for it.

    Examples
    --------
    >>> link = rod_link(thread_name="1-8 UNC", grade_name="SAE J429 grade 5", working_share=1)
    >>> round(link.capacity_lbf)
    51510

    Source
    ------
    Tables of threads and rod grades; share: practice.csv, rod_share.
    """
    require_positive("condition factor", condition_factor)
    require_range("condition factor", condition_factor, 0, 1)
    require_positive("working share of the rod", working_share)
    require_range("working share of the rod", working_share, 0, 1)
    size, grade = _rod(thread_name, grade_name)
    if grade.proof_psi is None:
        strength = YIELD_SHARE_WITHOUT_PROOF * grade.yield_psi
        word = f"{YIELD_SHARE_WITHOUT_PROOF:g} of yield"
    else:
        strength, word = grade.proof_psi, "proof"
    return Link(
        name="rod",
        capacity_lbf=size.stress_area_in2 * strength * condition_factor * working_share,
        basis=Said(
            "{thread} {grade}: stress area {area} × {strength} {word} × condition {condition}"
            " × share {share}",
            thread=thread_name,
            grade=grade_name,
            area=number(size.stress_area_in2, "in2", ".4g"),
            strength=number(strength, "psi"),
            word=word,
            condition=f"{condition_factor:g}",
            share=f"{working_share:g}",
        ),
        source=f"{size.source}; {grade.source} ({grade.status})",
        advice="take a stronger grade or a larger rod of known grade",
    )


def _stripping(
    size: Thread,
    grade: RodGrade,
    engagement_in: float,
    yield_psi: float,
    design_factor: float,
    where: str,
) -> tuple[float, str]:
    force, weaker = stripping_force_lbf(
        diameter_in=size.diameter_in,
        pitch_in=size.pitch_in,
        engagement_in=engagement_in,
        rod_shear_psi=SHEAR_SHARE * grade.yield_psi,
        hole_shear_psi=SHEAR_SHARE * yield_psi,
    )
    which = "rod" if weaker == "rod" else where
    basis = Said(
        "{thread}, {engaged} of full thread, {which} strips first at shear yield ({share} of"
        " yield), design factor {factor}",
        thread=size.name,
        engaged=number(engagement_in, "in", "g"),
        which=which,
        share=f"{SHEAR_SHARE:g}",
        factor=f"{design_factor:g}",
    )
    return force / design_factor, basis


def tapped_hole_link(
    *,
    thread_name: str,
    grade_name: str,
    engagement_in: float,
    key_yield_psi: float,
    design_factor: float = THREAD_DESIGN_FACTOR,
) -> Link:
    """Return what the tapped hole in the key carries before the weaker thread strips.

    capacity = min(AS rod tau rod, AS hole tau key) / factor

    Parameters
    ----------
    thread_name : str
        Thread from the table.
    grade_name : str
        Grade of the rod from the table.
    engagement_in : float
        Length of full thread engaged in the key, above 0 [in].
    key_yield_psi : float
        Yield strength of the key, above 0 [psi].
    design_factor : float
        Shear yield over allowable, 1 or more [-].

    Returns
    -------
    Link
        Capacity in [lbf].

    Raises
    ------
    ValueError
        If thread or grade is not in the tables or a number is outside its range.

    Assumptions
    -----------
    Thread to class 2; hammered or worn threads hold less.

    Examples
    --------
    >>> link = tapped_hole_link(thread_name="3/4-10 UNC", grade_name="ASTM A193 B7",
    ...                         engagement_in=1, key_yield_psi=54000)
    >>> round(link.capacity_lbf, -2)
    26800.0

    Source
    ------
    H28 and ASME B1.1 stripping areas; factor: practice.csv, thread_design_factor.
    """
    require_at_least("design factor for the tapped hole", design_factor, 1)
    require_positive("yield strength of the key", key_yield_psi, "psi")
    size, grade = _rod(thread_name, grade_name)
    capacity, basis = _stripping(
        size, grade, engagement_in, key_yield_psi, design_factor, "hole in the key"
    )
    return Link(
        name="tapped hole",
        capacity_lbf=capacity,
        basis=basis,
        source=f"H28 and ASME B1.1 stripping areas; factor: {_THREAD_KIND}",
        advice="tap the hole deeper, or drill and tap it for a larger rod",
    )


def nut_link(
    *,
    thread_name: str,
    grade_name: str,
    height_in: float,
    nut_yield_psi: float,
    design_factor: float = THREAD_DESIGN_FACTOR,
) -> Link:
    """Return what the nut behind the strongback or the jack carries.

    capacity = min(AS rod tau rod, AS nut tau nut) / factor

    Parameters
    ----------
    thread_name : str
        Thread from the table.
    grade_name : str
        Grade of the rod from the table.
    height_in : float
        Height of full thread in the nut, above 0 [in].
    nut_yield_psi : float
        Yield strength of the nut, above 0 [psi].
    design_factor : float
        Shear yield over allowable, 1 or more [-].

    Returns
    -------
    Link
        Capacity in [lbf].

    Raises
    ------
    ValueError
        If thread or grade is not in the tables or a number is outside its range.

    Assumptions
    -----------
    The nut stands square and does not spread.

    Examples
    --------
    >>> nut_link(thread_name="3/4-10 UNC", grade_name="ASTM A193 B7", height_in=1,
    ...          nut_yield_psi=54000).name
    'nut'

    Source
    ------
    H28 and ASME B1.1 stripping areas; factor: practice.csv, thread_design_factor.
    """
    require_at_least("design factor for the nut", design_factor, 1)
    require_positive("yield strength of the nut", nut_yield_psi, "psi")
    size, grade = _rod(thread_name, grade_name)
    capacity, basis = _stripping(size, grade, height_in, nut_yield_psi, design_factor, "nut")
    return Link(
        name="nut",
        capacity_lbf=capacity,
        basis=basis,
        source=f"H28 and ASME B1.1 stripping areas; factor: {_THREAD_KIND}",
        advice="take a higher nut, or one of a stronger grade",
    )


def key_section_link(
    *,
    width_in: float,
    height_in: float,
    hole_in: float,
    key_yield_psi: float,
    design_factor: float = KEY_SECTION_FACTOR,
) -> Link:
    """Return what the metal left around the tapped hole carries in tension.

    capacity = (W H - pi hole^2/4) S / factor

    Parameters
    ----------
    width_in : float
        Key width, of a stepped key the narrower part, above 0 [in].
    height_in : float
        Key height at the hole, above 0 [in].
    hole_in : float
        Major diameter of the thread, above 0, below width and height [in].
    key_yield_psi : float
        Yield strength of the key, above 0 [psi].
    design_factor : float
        Yield over allowable, 1 or more [-].

    Returns
    -------
    Link
        Capacity in [lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range or the hole leaves no wall.

    Assumptions
    -----------
    Hole in the middle of the end; even tension.

    Examples
    --------
    >>> round(key_section_link(width_in=1.5, height_in=1, hole_in=0.75,
    ...                        key_yield_psi=54000).capacity_lbf, -2)
    38100.0

    Source
    ------
    Force over area; factor: practice.csv, key_section_factor.
    """
    require_positive("key width", width_in, "in")
    require_positive("key height", height_in, "in")
    require_positive("hole in the key", hole_in, "in")
    wall = min(width_in, height_in) - hole_in
    require_positive("metal left beside the hole", wall, "in", "Choose a smaller thread.")
    require_positive("yield strength of the key", key_yield_psi, "psi")
    require_at_least("design factor for the key section", design_factor, 1)
    area = width_in * height_in - math.pi / 4 * hole_in**2
    return Link(
        name="key section",
        capacity_lbf=area * key_yield_psi / design_factor,
        basis=Said(
            "{area} left around the hole × {steel} yield, design factor {factor}",
            area=number(area, "in2", ".3g"),
            steel=number(key_yield_psi, "psi"),
            factor=f"{design_factor:g}",
        ),
        source=f"force over area; factor: {practice.rule('key_section_factor').kind_said}",
        advice="use a smaller thread of a stronger grade, so that more of the key is left",
    )
