"""Whether the driven key bursts the hub: its squeeze, and the tension in the hub's ring."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from keycourse.whole.job_inputs import Finding, KeyInputs, OpeningInputs
from keycourse.whole.job_opening import OpeningFigures
from keycourse.whole.workings import Workings
from taperkey import practice
from taperkey.formulas.hubring import (
    CLOSE,
    LOOSE,
    hoop_stress_psi,
    ring_opening_in_per_lbf,
    squeeze_force_lbf,
)
from taperkey.formulas.key import KeyBlank
from taperkey.formulas.squeeze import (
    SEAT_DEPTH_HIGH,
    SEAT_DEPTH_LOW,
    STEEL_MODULUS_PSI,
    seat_compliance_in_per_psi,
)
from taperkey.tables.strengths import HubMetal, hub_metal
from taperkey.units import MM_PER_IN

__all__ = ["HubRing", "RingDrive", "RingSizes", "drive_of", "hub_ring", "ring_sizes"]

_PARTS_OF_IN, _PARTS_OF_MM = 64, 2  # to what a rule is read
_SOURCE = (
    "Roark's Formulas for Stress and Strain, circular rings, with keyway and width of the key by"
    " Castigliano's theorem"
)


@dataclass(frozen=True, kw_only=True)
class HubRing:
    """What each inch of squeeze does to the hub, and the most that it is trusted with.

    Attributes
    ----------
    metal : HubMetal
        Of the hub.
    allowed_psi : float
        Tension that the ring is trusted with [psi].
    low_lbf_per_in, high_lbf_per_in : float
        Force on the faces for each inch of squeeze: soft seat and loose shaft, stiff seat and
        close shaft [lbf/in].
    low_psi_per_in, high_psi_per_in : float
        Tension in the ring for each inch of squeeze, in the same two cases [psi/in].
    area_in2 : float
        Face of the key that bears [in2].
    """

    metal: HubMetal
    allowed_psi: float
    low_lbf_per_in: float
    high_lbf_per_in: float
    low_psi_per_in: float
    high_psi_per_in: float
    area_in2: float

    @property
    def most_squeeze_in(self) -> float:
        """Squeeze at which the ring has the tension that it is trusted with [in]."""
        return self.allowed_psi / self.high_psi_per_in

    def most_left_in(self, taper: float, standard: str) -> float:
        """Return the most travel to home that may be left, down to what a rule shows [in]."""
        parts = _PARTS_OF_MM * MM_PER_IN if standard == "metric" else _PARTS_OF_IN
        return math.floor(self.most_squeeze_in / taper * parts + 1e-9) / parts


@dataclass(frozen=True, kw_only=True)
class RingSizes:
    """The ring of a hub over its keyway.

    Attributes
    ----------
    outside_in, bore_in, keyway_depth_in : float
        Outside diameter that counts, bore, and depth of the keyway where it is deepest [in].
    """

    outside_in: float
    bore_in: float
    keyway_depth_in: float


def ring_sizes(
    *, opening: OpeningInputs, heights_in: Sequence[float], mean_height_in: float
) -> RingSizes:
    """Return the ring of a hub whose outside was measured.

    keyway = greatest height - depth in the shaft, half of the key's height where not measured

    Parameters
    ----------
    opening : OpeningInputs
        Its outside is given.
    heights_in : sequence of float
        Heights of the slot [in].
    mean_height_in : float
        Mean height of the key [in].

    Returns
    -------
    RingSizes
        Sizes in [in].

    Source
    ------
    Subtraction; a thick hub counts to a multiple of its bore: practice.csv, hub_thick.
    """
    assert opening.hub_outside_in is not None
    bore = opening.bore_in or opening.shaft_diameter_in
    given = opening.shaft_slot_depth_in
    in_shaft = mean_height_in / 2 if given is None else given
    return RingSizes(
        outside_in=min(opening.hub_outside_in, practice.value("hub_thick") * bore),
        bore_in=bore,
        keyway_depth_in=max(heights_in) - in_shaft,
    )


@dataclass(frozen=True, kw_only=True)
class RingDrive:
    """What the drive that is left does.

    Attributes
    ----------
    squeeze_in : float
        Height by which the key is driven too high for its slot [in].
    force_low_lbf, force_high_lbf : float
        Force on the faces [lbf].
    pressure_low_psi, pressure_high_psi : float
        Mean pressure on the faces [psi].
    tension_low_psi, tension_high_psi : float
        Tension in the hub's ring [psi].
    most_left_in : float
        The most that may be left to drive [in].
    ring : HubRing
        What it stands on.
    """

    squeeze_in: float
    force_low_lbf: float
    force_high_lbf: float
    pressure_low_psi: float
    pressure_high_psi: float
    tension_low_psi: float
    tension_high_psi: float
    most_left_in: float
    ring: HubRing


def hub_ring(
    *,
    key: KeyInputs,
    opening: OpeningInputs,
    figures: OpeningFigures,
    blank: KeyBlank,
    width_in: float,
    workings: Workings,
    findings: list[Finding],
) -> HubRing | None:
    """Return what each inch of squeeze does to the hub; None where the hub was not asked about."""
    if opening.hub_outside_in is None:
        return None
    metal = hub_metal(name=opening.hub_metal_name)
    mean = (blank.large_end_height_in + blank.small_end_height_in) / 2
    sizes = ring_sizes(opening=opening, heights_in=figures.heights_in, mean_height_in=mean)
    outside, bore, depth = sizes.outside_in, sizes.bore_in, sizes.keyway_depth_in
    if "bore" not in workings:
        workings.assumed("bore", "bore of the hub", bore, source="not measured: the shaft's size")
    length = opening.hub_length_in if key.engaged_length_in is None else key.engaged_length_in
    factor = practice.rule("hub_iron_factor" if metal.brittle else "hub_steel_factor")
    allowed = (metal.tensile_psi if metal.brittle else metal.yield_psi) / factor.values[0]
    modulus = metal.modulus_psi or STEEL_MODULUS_PSI

    heights = [f"height-{place}" for place in range(1, len(figures.heights_in) + 1)]
    widths = [
        name for name in ("key-width", "key-hub-width", "key-shaft-width") if name in workings
    ]
    workings.reading("hub-outside", "outside diameter of the hub", opening.hub_outside_in)
    workings.worked(
        "keyway-depth", "depth of the keyway in the hub, where it is deepest", depth,
        formula="greatest height − depth in the shaft"
        + ("" if opening.shaft_slot_depth_in is not None else ", half the key's height"),
        inputs=[*heights, "large-end", "small-end",
                *(["shaft-slot-depth"] if "shaft-slot-depth" in workings else [])],
        source="subtraction",
    )  # fmt: skip
    strength = "tensile strength" if metal.brittle else "yield strength"
    workings.assumed(
        "hub-strength", f"{strength} of the hub, {metal.name}",
        metal.tensile_psi if metal.brittle else metal.yield_psi, "pressure",
        source=f"{metal.source} ({metal.status})",
    )  # fmt: skip
    workings.worked(
        "hub-allowed", "tension that the hub's ring is trusted with", allowed, "pressure",
        formula=f"{strength} ÷ {factor.values[0]:g}", inputs=["hub-strength"],
        source=factor.kind_said,
    )  # fmt: skip

    each = {}
    for shaft, seat_depth in ((LOOSE, SEAT_DEPTH_HIGH), (CLOSE, SEAT_DEPTH_LOW)):
        opens = ring_opening_in_per_lbf(
            outside_in=outside, bore_in=bore, length_in=length, modulus_psi=modulus,
            keyway_depth_in=depth, key_width_in=width_in, shaft=shaft,
        )  # fmt: skip
        seat = seat_compliance_in_per_psi(
            height_in=mean, width_in=width_in, seat_depth=seat_depth,
            hub_modulus_psi=modulus,
        )  # fmt: skip
        force = squeeze_force_lbf(
            squeeze_in=1.0, face_area_in2=width_in * length, seat_in_per_psi=seat,
            ring_in_per_lbf=opens,
        )  # fmt: skip
        tension = hoop_stress_psi(
            force_lbf=force, outside_in=outside, bore_in=bore, keyway_depth_in=depth,
            key_width_in=width_in, length_in=length, shaft=shaft,
        )  # fmt: skip
        each[shaft] = (force, tension.greatest_psi)
    ring = HubRing(
        metal=metal,
        allowed_psi=allowed,
        low_lbf_per_in=min(one[0] for one in each.values()),
        high_lbf_per_in=max(one[0] for one in each.values()),
        low_psi_per_in=min(one[1] for one in each.values()),
        high_psi_per_in=max(one[1] for one in each.values()),
        area_in2=width_in * length,
    )
    workings.worked(
        "most-squeeze", "most squeeze that the hub's ring is trusted with", ring.most_squeeze_in,
        formula="squeeze at which the tension in the ring is the one that it is trusted with",
        inputs=["hub-allowed", "hub-outside", "bore", "keyway-depth", "engaged-length",
                "large-end", "small-end", *widths],
        source=_SOURCE,
    )  # fmt: skip
    _judge_hub(opening, outside, bore, depth, metal, findings)
    return ring


def _judge_hub(
    opening: OpeningInputs,
    outside: float,
    bore: float,
    depth: float,
    metal: HubMetal,
    findings: list[Finding],
) -> None:
    wall = (outside - bore) / 2
    if wall < bore / 4:
        findings.append(
            Finding(
                level="look",
                stage="fit",
                words="The hub is thin: {} of wall round a {} bore, {} of it over the keyway. A key"
                " opens such a hub easily, and in a tight bore its tension may be a third more than"
                " is said here. Drive with care, and look at the keyway's corners for cracks.",
                numbers=((wall, "length"), (bore, "length"), (wall - depth, "length")),
            )
        )
    if not opening.hub_metal_known:
        findings.append(
            Finding(
                level="look",
                stage="fit",
                words=f"Nobody knows the hub's metal: it is taken for {metal.name}, the weakest of"
                " the table. A spark or a chip tells iron from steel.",
            )
        )
    if metal.brittle:
        findings.append(
            Finding(
                level="look",
                stage="fit",
                words=f"A hub of {metal.name} gives no warning before it cracks. Look at the"
                " corners of the keyway with dye before the drive and after it.",
            )
        )


def drive_of(
    *,
    ring: HubRing,
    left_in: float,
    taper: float,
    standard: str,
    workings: Workings,
) -> RingDrive:
    """Return what the travel that is left to drive does to key and hub."""
    squeeze = workings.worked(
        "squeeze", "squeeze that the drive gives", left_in * taper,
        formula="left to drive × taper", inputs=["left-to-drive", "cut-taper"],
        source="definition of the taper",
    )  # fmt: skip
    sizes = workings["most-squeeze"].inputs[1:]
    cases = "of soft seats with a loose shaft and stiff seats with a close one"
    force_low, force_high = (
        workings.worked(
            f"drive-force-{end}",
            f"force on the faces of the driven key, {end} end",
            squeeze * each,
            "force",
            formula=f"squeeze ÷ what seats and ring give: the {word} {cases}",
            inputs=["squeeze", *sizes],
            source=f"springs in a row; {_SOURCE}",
        )  # fmt: skip
        for end, word, each in (
            ("low", "lower", ring.low_lbf_per_in),
            ("high", "higher", ring.high_lbf_per_in),
        )
    )
    tension_low = workings.worked(
        "drive-tension-low", "tension in the hub's ring, low end", squeeze * ring.low_psi_per_in,
        "pressure", formula=f"bending and pull in the ring: the lower {cases}",
        inputs=["squeeze", *sizes], source=_SOURCE,
    )  # fmt: skip
    tension_high = workings.worked(
        "drive-tension-high", "tension in the hub's ring, high end", squeeze * ring.high_psi_per_in,
        "pressure", formula="squeeze ÷ most squeeze × tension that the ring is trusted with",
        inputs=["squeeze", "most-squeeze", "hub-allowed"], source="proportion: all is elastic",
    )  # fmt: skip
    return RingDrive(
        squeeze_in=squeeze,
        force_low_lbf=force_low,
        force_high_lbf=force_high,
        pressure_low_psi=force_low / ring.area_in2,
        pressure_high_psi=force_high / ring.area_in2,
        tension_low_psi=tension_low,
        tension_high_psi=tension_high,
        most_left_in=ring.most_left_in(taper, standard),
        ring=ring,
    )
