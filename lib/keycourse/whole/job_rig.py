"""The rig of a whole job, link by link, from the parts that lie in the crib."""

from __future__ import annotations

from keycourse.whole.job_inputs import PullInputs
from taperkey.checks import require_in
from taperkey.formulas.chain import REQUIRED_LINKS
from taperkey.formulas.rig import Link, jacks_link, seat_link, strongback_link, weld_link
from taperkey.formulas.rod import (
    NUT_YIELD_PSI,
    key_section_link,
    nut_link,
    rod_link,
    tapped_hole_link,
)
from taperkey.tables.strengths import electrode_strength_psi, steel
from taperkey.tables.threads import thread

__all__ = ["rig_links"]


def rig_links(
    *, pull: PullInputs, width_in: float, end_height_in: float, taper_in_per_in: float
) -> tuple[Link, ...]:
    """Return the links of a rig that can be worked out, in the order of its method.

    capacity of each link by its own formula; a rod of unknown grade gives none

    Parameters
    ----------
    pull : PullInputs
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
    The nut is as strong as a grade 5 part.

    Examples
    --------
    >>> rig = PullInputs(method="welded strongback", surface="dry", jack_tons=10, jacks=2)
    >>> [link.name for link in rig_links(pull=rig, width_in=1.0, end_height_in=1.0,
    ...                                  taper_in_per_in=1 / 96)]
    ['jacks', 'strongback', 'weld', 'seat']

    Source
    ------
    The links of `rig` and `rod`; nut as a grade 5 part: common practice.
    """
    require_in("method", pull.method, REQUIRED_LINKS, "Choose the rig first.")
    needed = REQUIRED_LINKS[pull.method]
    links: list[Link] = []
    if "jacks" in needed:
        links.append(
            jacks_link(rated_tons=pull.jack_tons, number=pull.jacks, working_share=pull.jack_share)
        )
    if "rod" in needed and pull.thread_name and pull.grade_name:
        links.extend(_rod_links(pull, width_in, end_height_in, taper_in_per_in))
    if "strongback" in needed:
        links.append(
            strongback_link(
                width_in=pull.bar_width_in,
                depth_in=pull.bar_depth_in,
                span_in=pull.bar_span_in,
                hole_in=0.0 if pull.method == "welded strongback" else _bar_hole(pull),
                yield_psi=steel(name=pull.bar_steel_name).yield_psi,
            )
        )
    if "weld" in needed:
        weakest = min(
            steel(name=pull.steel_name).tensile_psi, steel(name=pull.bar_steel_name).tensile_psi
        )
        links.append(
            weld_link(
                kind=pull.weld_kind,
                size_in=pull.weld_size_in,
                length_each_side_in=pull.weld_length_in,
                sides=pull.weld_sides,
                electrode_psi=electrode_strength_psi(name=pull.electrode_name),
                key_tensile_psi=weakest,
            )
        )
    if "seat" in needed:
        links.append(
            seat_link(
                area_each_in2=pull.seat_area_in2,
                number=pull.jacks,
                yield_psi=steel(name=pull.seat_steel_name).yield_psi,
            )
        )
    return tuple(links)


def _bar_hole(pull: PullInputs) -> float:
    if pull.bar_hole_in:
        return pull.bar_hole_in
    return thread(name=pull.thread_name).diameter_in + 1 / 16 if pull.thread_name else 0.0


def _rod_links(pull: PullInputs, width: float, height: float, slope: float) -> list[Link]:
    size = thread(name=pull.thread_name)
    metal = steel(name=pull.steel_name)
    engagement = 1.5 * size.diameter_in if pull.engagement_in is None else pull.engagement_in
    nut_height = size.diameter_in if pull.nut_height_in is None else pull.nut_height_in
    return [
        rod_link(
            thread_name=size.name,
            grade_name=pull.grade_name,
            condition_factor=pull.rod_condition,
        ),
        tapped_hole_link(
            thread_name=size.name,
            grade_name=pull.grade_name,
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
            grade_name=pull.grade_name,
            height_in=nut_height,
            nut_yield_psi=NUT_YIELD_PSI,
        ),
    ]
