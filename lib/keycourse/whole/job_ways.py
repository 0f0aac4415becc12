"""Other ways out for the old key: pushed from its small end, heated, drilled out, the hub off.

Reckoned where no pull at the end that shows draws it, and where the rig is too weak for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from keycourse.whole.job_inputs import OpeningInputs, PullInputs
from keycourse.whole.job_seat import work_heat
from keycourse.whole.old_key import SeatedKey
from keycourse.whole.workings import Workings
from taperkey import practice
from taperkey.formulas.link import Link
from taperkey.formulas.pull import PullRange
from taperkey.formulas.rod import rod_link
from taperkey.formulas.seat import SeatRange
from taperkey.formulas.squeeze import HeatToFree
from taperkey.formulas.ways_out import (
    drift_size_in,
    drill_sizes_in,
    hub_off_force_lbf,
    pressed_end_lbf,
    travel_to_free_in,
)
from taperkey.tables.rigging import jack, jack_names
from taperkey.tables.strengths import hub_metal, steel
from taperkey.tables.threads import thread, thread_names
from taperkey.units import MM_PER_IN

__all__ = ["Puller", "Ways", "work_ways"]

_DRIFT_STEEL = "A36 plate"  # mild: a hard one chips
_ROD_GRADES = {"inch": "ASTM A193 B7", "metric": "ISO 898-1 class 8.8"}
_RODS = (2, 4)  # a puller has so many, evenly about the shaft


@dataclass(frozen=True, kw_only=True)
class Puller:
    """Rods and jack that carry a hub off.

    Attributes
    ----------
    rods : int
        How many.
    thread_name, grade_name : str
        The smallest rod that carries its part, from the tables.
    jack_tons : float
        The smallest jack of the table that does it, US tons [tons].
    """

    rods: int
    thread_name: str
    grade_name: str
    jack_tons: float


@dataclass(frozen=True, kw_only=True)
class Ways:
    """Ways out besides a pull at the end that shows.

    Attributes
    ----------
    key_yields_lbf : float
        Pull at which the key's own section yields at the end that shows [lbf].
    force_lbf : tuple of float
        Low and high end of the push from the small end; a hub off takes as much where bore and
        faces rub alike [lbf].
    end_takes_lbf : float
        What the small end takes [lbf].
    drift_in : tuple of float
        Width and height of a drift [in].
    drift_takes_lbf : float
        What a short one takes [lbf].
    hub_off_lbf : tuple of float
        Low and high end of the force on the hub [lbf].
    loose_after_in : float
        Travel after which nothing presses any more [in].
    puller : Puller or None
        For the high end; None where no rod or jack of the tables is strong enough.
    heat : HeatToFree
        Squeeze, and the difference of temperature at the key that takes it off.
    torch_degF : tuple of float
        The same difference where the torch warms the hub [degF].
    warmest_degF : float
        What a hub is made at most [degF].
    iron : bool
        Whether the hub is cast iron, or nobody knows better, so that no heat comes near it.
    drills_in : tuple of float
        Drills in their order [in]; empty for a key too small for it.
    drill_depth_in : float
        How deep [in].
    """

    key_yields_lbf: float
    force_lbf: tuple[float, float]
    end_takes_lbf: float
    drift_in: tuple[float, float]
    drift_takes_lbf: float
    hub_off_lbf: tuple[float, float]
    loose_after_in: float
    puller: Puller | None
    heat: HeatToFree
    torch_degF: tuple[float, float]  # noqa: N815 - as everywhere in the formulas
    warmest_degF: float  # noqa: N815
    iron: bool
    drills_in: tuple[float, ...]
    drill_depth_in: float


def work_ways(
    *,
    pull: PullInputs,
    old: SeatedKey,
    opening: OpeningInputs | None,
    seat: SeatRange,
    ring: tuple[float, float],
    friction: tuple[float, float],
    expected: PullRange,
    links: Sequence[Link],
    standard: str,
    workings: Workings,
) -> Ways:
    """Work out the ways out for a key that is not drawn at the end that shows.

    push = pull; hub off = N (mu + tan(phi - alpha)); heat = squeeze over growth for a degree

    Parameters
    ----------
    pull : PullInputs
        The old key and its rig.
    old : SeatedKey
        What is known of the key.
    opening : OpeningInputs or None
        The slot; without it the bore is taken from what was read over shaft and key.
    seat : SeatRange
        Force on the faces [lbf].
    ring : tuple of float
        Opening of the hub's ring, least and greatest [in/psi].
    friction : tuple of float
        Low and high end, on the faces and in the bore [-].
    expected : PullRange
        Pull at the large end [lbf].
    links : sequence of Link
        Those of the rig, for the key's own section.
    standard : str
        "inch" or "metric": whose drills and rods.
    workings : Workings
        Takes up every number.

    Returns
    -------
    Ways
        Forces in [lbf], lengths in [in], differences of temperature in [degF].

    Raises
    ------
    ValueError
        If a part is not in the tables.

    Assumptions
    -----------
    Bore and shaft rub as the faces of the key do. Rust grown across is not in it.

    Source
    ------
    `hub_off_force_lbf`, `work_heat`, `drill_sizes_in`, `drift_size_in`, `pressed_end_lbf`.
    """
    metal = workings.assumed(
        "old-key-yield", "yield strength of the old key", steel(name=pull.steel_name).yield_psi,
        "pressure", source=f"table of steels: {pull.steel_name}",
    )  # fmt: skip
    height = "height-1" if pull.key_height_in is None else "old-height"
    small = _small_end_in(old)
    less = _shop("drift_less", standard)
    drift = drift_size_in(width_in=old.width_in, height_in=small, less_in=less)
    heat = work_heat(pull=pull, old=old, bore_in=_bore_in(pull, old, opening), ring=ring)
    left_at_key = practice.value("heat_share")
    hub_off = _hub_off(seat, friction, old, workings)
    takes = workings.worked(
        "small-end-takes", "push that the small end takes",
        pressed_end_lbf(width_in=old.width_in, height_in=small, yield_psi=metal), "force",
        formula="width × height at the small end × yield ÷ factor",
        inputs=["old-width", height, "old-length", old.taper_key, "old-key-yield"],
        source="force over area; factor as AISC 360",
    )  # fmt: skip
    return Ways(
        key_yields_lbf=_yields_lbf(old, links, height, workings),
        force_lbf=(expected.low_lbf, expected.high_lbf),
        end_takes_lbf=takes,
        drift_in=drift,
        drift_takes_lbf=pressed_end_lbf(
            width_in=drift[0], height_in=drift[1], yield_psi=steel(name=_DRIFT_STEEL).yield_psi
        ),
        hub_off_lbf=hub_off,
        loose_after_in=travel_to_free_in(
            squeeze_in=heat.squeeze_high_in, taper_in_per_in=old.taper_in_per_in
        ),
        puller=_puller(hub_off[1], standard),
        heat=heat,
        torch_degF=(
            heat.difference_low_degF / left_at_key,
            heat.difference_high_degF / left_at_key,
        ),
        warmest_degF=practice.value("hub_warmest"),
        iron=opening is not None and hub_metal(name=opening.hub_metal_name).kind != "steel",
        drills_in=drill_sizes_in(
            smaller_side_in=min(old.width_in, small),
            pilot_in=_shop("drill_pilot", standard),
            step_in=_shop("drill_step", standard),
            left_in=_shop("drill_left", standard),
        ),
        drill_depth_in=old.length_in + old.outside_in,
    )


def _shop(name: str, standard: str) -> float:
    """Return a size as a shop of that standard works to [in]."""
    if standard == "metric":
        return practice.metric(name) / MM_PER_IN
    return practice.value(name)


def _small_end_in(old: SeatedKey) -> float:
    """Return the height of the key at its small end [in]."""
    if old.end == "inside":
        return old.end_height_in
    return old.end_height_in - old.taper_in_per_in * old.length_in


def _bore_in(pull: PullInputs, old: SeatedKey, opening: OpeningInputs | None) -> float:
    """Return the bore, near enough for heat: half of a key's height stands out of its shaft."""
    if opening is not None:
        return opening.shaft_diameter_in
    assert pull.over_near_in is not None
    return pull.over_near_in - old.height_in / 2


def _yields_lbf(old: SeatedKey, links: Sequence[Link], height: str, workings: Workings) -> float:
    """Return the pull at which the key gives way itself: beside its hole, or over its section."""
    drilled = [one for one in links if one.name == "key section"]
    for one in drilled:
        return workings.worked(
            "key-yields", "pull at which the key's own section yields",
            one.capacity_lbf * practice.value("key_section_factor"), "force",
            formula="what the key section allows × its design factor", inputs=["link-key-section"],
            source="force over area",
        )  # fmt: skip
    return workings.worked(
        "key-yields", "pull at which the key's own section yields",
        old.width_in * old.end_height_in * workings["old-key-yield"].value, "force",
        formula="width × height × yield", inputs=["old-width", height, "old-key-yield"],
        source="force over area",
    )  # fmt: skip


def _hub_off(
    seat: SeatRange, friction: tuple[float, float], old: SeatedKey, workings: Workings
) -> tuple[float, float]:
    ends = []
    for end, force, mu in zip(
        ("low", "high"), (seat.low_lbf, seat.high_lbf), friction, strict=True
    ):  # fmt: skip
        ends.append(
            workings.worked(
                f"hub-off-{end}", f"force that takes the hub off, {end} end",
                hub_off_force_lbf(
                    normal_force_lbf=force, taper_in_per_in=old.taper_in_per_in, bore_friction=mu,
                    roof_friction=mu,
                ),
                "force",
                formula="seat force × (friction in the bore + tan(friction angle − taper angle))",
                inputs=[f"seat-{end}", f"friction-{end}", old.taper_key],
                source="wedge with dry friction, any statics text",
            )
        )  # fmt: skip
    return ends[0], ends[1]


def _puller(force_lbf: float, standard: str) -> Puller | None:
    """Return the smallest rods and the smallest jack that carry a force; None where none do."""
    grade = _ROD_GRADES[standard]
    sizes = [one for one in thread_names() if one.endswith("UNC") == (standard == "inch")]
    if standard == "metric":
        sizes = [one for one in sizes if one.startswith("M")]
    jacks = [jack(name=one) for one in jack_names()]
    tons = [
        one.rated_tons
        for one in jacks
        if one.kind == "solid" and one.rated_lbf * practice.value("jack_share") >= force_lbf
    ]
    for number in _RODS:
        for name in sorted(sizes, key=lambda one: thread(name=one).stress_area_in2):
            try:
                allowed = rod_link(thread_name=name, grade_name=grade).capacity_lbf
            except ValueError:  # a size that this grade is not made in
                continue
            if tons and number * allowed >= force_lbf:
                return Puller(rods=number, thread_name=name, grade_name=grade, jack_tons=min(tons))
    return None
