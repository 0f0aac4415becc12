"""Force on the faces and friction of the key in the slot: their ends, and how often what comes."""

from __future__ import annotations

from keycourse.whole.hub_ring import ring_sizes
from keycourse.whole.job_inputs import OpeningInputs, PullInputs
from keycourse.whole.job_opening import OpeningFigures
from keycourse.whole.old_key import SeatedKey
from keycourse.whole.workings import Workings
from taperkey import practice
from taperkey.formulas.hubring import CLOSE, LOOSE, ring_opening_in_per_lbf
from taperkey.formulas.pull_spread import LastBlow, PullSpread, pull_spread
from taperkey.formulas.seat import (
    SeatEstimate,
    SeatRange,
    combined_seat,
    seat_from_last_blow,
    seat_from_pressure,
    seat_from_travel,
)
from taperkey.formulas.squeeze import (
    STEEL_MODULUS_PSI,
    HeatToFree,
    heat_for_squeeze,
    heat_to_free,
)
from taperkey.tables.rigging import friction_range
from taperkey.tables.strengths import hub_metal

__all__ = ["SEED", "old_ring", "work_friction", "work_heat", "work_seat", "work_spread"]

SEED = 101  # any will do; it is printed, so that the trials can be drawn again
RING_LOAD_LBF = 100_000.0  # for which the ring's opening is written, so that it has figures
_BEARING_SHARE = practice.span("bearing_share")
_IN_PER_FT = 12
_AS_DRIVEN = "lubricated"  # state of the faces on the day of the drive


def work_friction(*, pull: PullInputs, workings: Workings) -> tuple[float, float]:
    """Return the range of friction to pull with.

    the one that was stated, or that of the friction table for the state of the faces

    Parameters
    ----------
    pull : PullInputs
        State of the faces.
    workings : Workings
        Takes up both ends.

    Returns
    -------
    tuple of float
        Low and high end [-].

    Raises
    ------
    ValueError
        If the state is not in the table.

    Source
    ------
    `friction_range`.
    """
    row = friction_range(state=pull.surface)
    ends = (row.low, row.high) if pull.friction is None else pull.friction
    for end, mu in zip(("low", "high"), ends, strict=True):
        workings.assumed(
            f"friction-{end}",
            f"friction of {pull.surface} faces, {end} end",
            mu,
            "number",
            source=f"friction table of the course ({row.status})"
            if pull.friction is None
            else "stated on the job",
        )
    return ends


def _last_blow(pull: PullInputs) -> LastBlow | None:
    """Return what is known of the last blow of the drive; None where its advance was not noted."""
    if pull.last_advance_in is None:
        return None
    slow, fast = practice.span("drive_speed_ends")
    driven = friction_range(state=_AS_DRIVEN)
    return LastBlow(
        weight_lbf=pull.sledge_lb,
        speed_in_per_s=(slow * _IN_PER_FT, fast * _IN_PER_FT),
        useful_share=practice.span("drive_useful_ends"),
        advance_in=pull.last_advance_in,
        friction=(driven.low, driven.high),
    )


def old_ring(
    *,
    old: SeatedKey,
    opening: OpeningInputs | None,
    figures: OpeningFigures | None,
    workings: Workings,
) -> tuple[float, float]:
    """Return how far the hub opens as a ring under the old key, on a close and on a loose shaft.

    opening for each psi = opening for each lbf x width x length

    Parameters
    ----------
    old : SeatedKey
        The key in the slot.
    opening : OpeningInputs or None
        The hub; without its outside diameter the ring is left out.
    figures : OpeningFigures or None
        Heights of the slot.
    workings : Workings
        Takes up both ends.

    Returns
    -------
    tuple of float
        Least and greatest opening [in/psi]; 0 where nothing is known of the hub.

    Source
    ------
    `ring_opening_in_per_lbf`.
    """
    if opening is None or figures is None or opening.hub_outside_in is None:
        return 0.0, 0.0
    sizes = ring_sizes(
        opening=opening, heights_in=figures.heights_in, mean_height_in=old.height_in
    )  # fmt: skip
    metal = hub_metal(name=opening.hub_metal_name)
    ends = []
    for end, shaft in (("low", CLOSE), ("high", LOOSE)):
        for_each = ring_opening_in_per_lbf(
            outside_in=sizes.outside_in,
            bore_in=sizes.bore_in,
            length_in=opening.hub_length_in,
            modulus_psi=metal.modulus_psi or STEEL_MODULUS_PSI,
            keyway_depth_in=sizes.keyway_depth_in,
            key_width_in=old.width_in,
            shaft=shaft,
        )
        workings.assumed(
            f"ring-opens-{end}", f"opening of the hub's ring under each 100,000 lbf, {shaft} on its"
            " shaft", for_each * RING_LOAD_LBF,
            source="circular rings of Roark, with the keyway; nobody knows how close it sits",
        )  # fmt: skip
        ends.append(for_each * old.width_in * old.length_in)
    return min(ends), max(ends)


def _by_pressure(
    pull: PullInputs,
    ends_psi: tuple[float, float],
    old: SeatedKey,
    inputs: dict[str, list[str]],
    workings: Workings,
) -> SeatEstimate:
    """Return the force by a pressure: the one that was stated, or that of an unknown hand."""
    rule = practice.rule("seat_pressure")
    source = (
        f"{rule.kind_said}: an unknown hand drove it, its travel is not known"
        if pull.seat_pressure_psi is None
        else "stated on the job"
    )
    for end, psi, share in zip(("low", "high"), ends_psi, _BEARING_SHARE, strict=True):
        workings.assumed(
            f"seat-pressure-{end}", f"pressure on the faces, {end} end", psi, "pressure",
            source=source,
        )  # fmt: skip
        workings.assumed(
            f"bearing-share-{end}", f"share of the face that bears, {end} end", share, "number",
            source=practice.rule("bearing_share").kind_said,
        )  # fmt: skip
        inputs[end] += [f"seat-pressure-{end}", f"bearing-share-{end}", "old-width", "old-length"]
    return seat_from_pressure(
        pressure_low_psi=ends_psi[0],
        pressure_high_psi=ends_psi[1],
        width_in=old.width_in,
        contact_length_in=old.length_in,
        bearing_share_low=_BEARING_SHARE[0],
        bearing_share_high=_BEARING_SHARE[1],
    )


def work_seat(
    *, pull: PullInputs, old: SeatedKey, ring: tuple[float, float], workings: Workings
) -> SeatRange:
    """Return the force on the faces by every route that is known.

    by the travel after contact and by the last blow where they were noted; by pressure where it is
    stated, and where nobody knows the travel: then an unknown hand drove the key

    Parameters
    ----------
    pull : PullInputs
        What is known of the drive.
    old : SeatedKey
        The key in the slot.
    ring : tuple of float
        Opening of the hub's ring, least and greatest [in/psi].
    workings : Workings
        Takes up every number.

    Returns
    -------
    SeatRange
        The whole range in [lbf].

    Raises
    ------
    ValueError
        If a range is the wrong way round.

    Source
    ------
    `seat_from_pressure`, `seat_from_travel`, `seat_from_last_blow`, `combined_seat`.
    """
    estimates: list[SeatEstimate] = []
    inputs: dict[str, list[str]] = {"low": [], "high": []}
    formulas = []
    if pull.planned_pressure_psi is not None:
        estimates.append(_by_pressure(pull, pull.planned_pressure_psi, old, inputs, workings))
        formulas.append("pressure × width × length in the slot × share that bears")
    if pull.travel_after_contact_in is not None:
        near, far = pull.travel_after_contact_in
        estimates.append(
            seat_from_travel(
                travel_low_in=near,
                travel_high_in=far,
                taper_in_per_in=old.taper_in_per_in,
                height_in=old.height_in,
                width_in=old.width_in,
                contact_length_in=old.length_in,
                ring_low_in_per_psi=ring[0],
                ring_high_in_per_psi=ring[1],
            )
        )
        for end, travel in (("low", near), ("high", far)):
            workings.reading(
                f"contact-travel-{end}", f"travel after full contact, {end} end", travel
            )
            inputs[end] += [
                *(name for name in ("old-width", "old-length") if name not in inputs[end]),
                *(f"contact-travel-{end}", "old-height", old.taper_key),
            ]
        formulas.append("travel × taper × width × length in the slot ÷ give")
        if ring[1] > 0:
            inputs["low"].append("ring-opens-high")
            inputs["high"].append("ring-opens-low")
            formulas[-1] += " of key, seats and ring"
    if (blow := _last_blow(pull)) is not None:
        estimates.append(
            seat_from_last_blow(
                weight_lbf=blow.weight_lbf,
                speed_low_in_per_s=blow.speed_in_per_s[0],
                speed_high_in_per_s=blow.speed_in_per_s[1],
                useful_share_low=blow.useful_share[0],
                useful_share_high=blow.useful_share[1],
                advance_low_in=blow.advance_in[0],
                advance_high_in=blow.advance_in[1],
                taper_in_per_in=old.taper_in_per_in,
                friction_low=blow.friction[0],
                friction_high=blow.friction[1],
            )
        )
        for end, advance, other in zip(
            ("low", "high"), blow.advance_in, ("high", "low"), strict=True
        ):  # the least force goes with the furthest advance
            workings.reading(f"last-advance-{end}", f"advance of the last blow, {end} end", advance)
            inputs[other] += [f"last-advance-{end}", old.taper_key]
        formulas.append("the energy of the last blow ÷ (advance × push for each force)")
    formula = ", or by ".join(formulas)
    if len(estimates) > 1:
        formula += ": the widest range of them"
    seat = combined_seat(estimates=estimates)
    for end, force in (("low", seat.low_lbf), ("high", seat.high_lbf)):
        workings.worked(
            f"seat-{end}", f"force on the faces, {end} end", force, "force",
            formula=formula, inputs=inputs[end], source="force over area; elastic squeeze",
        )  # fmt: skip
    return seat


def work_heat(
    *, pull: PullInputs, old: SeatedKey, bore_in: float, ring: tuple[float, float]
) -> HeatToFree:
    """Return the squeeze of the old key, and the heat that takes it off.

    travel x taper where the travel is known, whatever gives way; pressure x give where it is not

    Parameters
    ----------
    pull : PullInputs
        What is known of the drive.
    old : SeatedKey
        The key in the slot.
    bore_in : float
        Bore of the hub [in].
    ring : tuple of float
        Opening of the hub's ring, least and greatest [in/psi].

    Returns
    -------
    HeatToFree
        From the least of what is known to the most.

    Source
    ------
    `heat_for_squeeze`, `heat_to_free`.
    """
    found = []
    if pull.travel_after_contact_in is not None:
        near, far = (one * old.taper_in_per_in for one in pull.travel_after_contact_in)
        found.append(
            heat_for_squeeze(
                squeeze_low_in=near, squeeze_high_in=far, bore_in=bore_in, height_in=old.height_in
            )
        )
    if pull.planned_pressure_psi is not None:
        low, high = pull.planned_pressure_psi
        found.append(
            heat_to_free(
                pressure_low_psi=low,
                pressure_high_psi=high,
                height_in=old.height_in,
                width_in=old.width_in,
                bore_in=bore_in,
                ring_low_in_per_psi=ring[0],
                ring_high_in_per_psi=ring[1],
            )
        )
    return heat_for_squeeze(
        squeeze_low_in=min(one.squeeze_low_in for one in found),
        squeeze_high_in=max(one.squeeze_high_in for one in found),
        bore_in=bore_in,
        height_in=old.height_in,
    )


def work_spread(
    *,
    pull: PullInputs,
    old: SeatedKey,
    friction: tuple[float, float],
    ring: tuple[float, float],
    limit_lbf: float | None,
    workings: Workings,
) -> PullSpread:
    """Draw force on the faces and pull as often as the ranges allow, and keep what came out.

    `pull_spread` with the ranges that the two ends of the pull are made of

    Parameters
    ----------
    pull : PullInputs
        What is known of the drive.
    old : SeatedKey
        The key in the slot.
    friction : tuple of float
        Low and high end at the pull [-].
    ring : tuple of float
        Opening of the hub's ring, least and greatest [in/psi].
    limit_lbf : float or None
        What the weakest link allows; None where the chain is not complete [lbf].
    workings : Workings
        Takes up every number.

    Returns
    -------
    PullSpread
        Forces in [lbf].

    Raises
    ------
    ValueError
        If a range is the wrong way round.

    Assumptions
    -----------
    Those of `pull_spread`.

    Source
    ------
    `pull_spread`.
    """
    spread = pull_spread(
        width_in=old.width_in,
        contact_length_in=old.length_in,
        height_in=old.height_in,
        taper_in_per_in=old.taper_in_per_in,
        friction=friction,
        pressure_psi=pull.planned_pressure_psi,
        bearing_share=_BEARING_SHARE,
        travel_in=pull.travel_after_contact_in,
        ring_in_per_psi=ring,
        last_blow=_last_blow(pull),
        limit_lbf=limit_lbf,
        seed=SEED,
    )
    inputs = [
        f"{name}-{end}"
        for name in (
            "seat-pressure",
            "bearing-share",
            "contact-travel",
            "ring-opens",
            "last-advance",
            "friction",
        )
        for end in ("low", "high")
    ]
    inputs += ["old-width", "old-length", "old-height", old.taper_key]
    for name, force in zip(("5", "50", "95"), spread.pull_lbf, strict=True):
        workings.worked(
            f"pull-{name}-in-100", f"pull that {name} of 100 trials stay under", force, "force",
            formula="seat force by one of the routes × (friction + tan(friction angle − taper"
            " angle)), each range as likely all along",
            inputs=[one for one in inputs if one in workings],
            source=f"JCGM 101:2008, 6.4.2 and 7.9.4: {spread.trials:,} trials, seed {spread.seed}",
        )  # fmt: skip
    return spread
