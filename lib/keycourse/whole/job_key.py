"""The key of a whole job: blank, step, eased edges, tapped end, bar, cuts, strength."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from keycourse.whole.blank import left_to_drive, size_blank
from keycourse.whole.hub_ring import RingDrive, drive_of, hub_ring
from keycourse.whole.job_inputs import (
    STEP_RELIEF_IN,
    Finding,
    KeyInputs,
    OpeningInputs,
)
from keycourse.whole.job_opening import OpeningFigures
from keycourse.whole.workings import Workings
from taperkey import practice
from taperkey.formulas.bearing import bearing_height_in
from taperkey.formulas.cutting import CuttingPlan, StockChoice, choose_stock, cutting_plan
from taperkey.formulas.key import KeyBlank, key_size, travel_for_height_in
from taperkey.formulas.key_form import SteppedKey, TappedEnd, stepped_key, tapped_end
from taperkey.formulas.strength import KeyStrength, key_strength
from taperkey.tables.keys import keyseat_fillet, metric_keyseat_fillet
from taperkey.tables.strengths import HubMetal, Steel, hub_metal, steel
from taperkey.tables.threads import thread

__all__ = ["KeyFigures", "work_key"]


def _basis(name: str) -> str:
    """Return a rule of thumb and its kind, as the source of a line."""
    rule = practice.rule(name)
    return f"{rule.number}: {rule.kind_said}"


_SAME_WIDTH_IN = 1 / 16
_ODD_PARTS = 64  # the chamfer is rounded up to the next 1/64 in


@dataclass(frozen=True, kw_only=True)
class KeyFigures:
    """The key to be made.

    Attributes
    ----------
    blank : KeyBlank
        Heights, length, travel to home [in].
    hub_width_in, shaft_width_in : float
        Widths of the key; alike unless it is stepped [in].
    stepped : SteppedKey or None
        Widths and heights of a stepped key [in].
    chamfer_in : float
        Leg of the eased edges [in].
    travel_per_thousandth_in : float
        Travel for 0.001 in of height [in].
    left_to_drive_in : float
        Travel to home at which filing stops [in].
    drive : RingDrive or None
        What that does to key and hub; None where the hub was not asked about.
    stock : StockChoice or None
        Bar chosen from the list; None where the bar is given [in].
    bar_width_in, bar_height_in : float
        Bar that the key is cut from [in].
    plan : CuttingPlan
        Cuts in order [in].
    tapped : TappedEnd or None
        Walls round the tapped hole [in].
    hole_depth_in : float
        Depth of that hole, 0 without one [in].
    strength : KeyStrength or None
        Key under the drive torque, where that was given.
    """

    blank: KeyBlank
    hub_width_in: float
    shaft_width_in: float
    stepped: SteppedKey | None
    chamfer_in: float
    travel_per_thousandth_in: float
    left_to_drive_in: float
    drive: RingDrive | None
    stock: StockChoice | None
    bar_width_in: float
    bar_height_in: float
    plan: CuttingPlan
    tapped: TappedEnd | None
    hole_depth_in: float
    strength: KeyStrength | None


def work_key(
    *,
    key: KeyInputs,
    opening: OpeningInputs,
    figures: OpeningFigures,
    standard: str,
    workings: Workings,
    findings: list[Finding],
) -> KeyFigures:
    """Work out the key to be made for an opening whose large end is known.

    H = h0 + t e + a; Hs = h0 - t L + a; travel to home = a / t

    Parameters
    ----------
    key : KeyInputs
        The key wanted.
    opening : OpeningInputs
        Readings.
    figures : OpeningFigures
        What they say; the large end must be decided.
    standard : str
        "inch" or "metric": which key table gives the eased edges.
    workings : Workings
        Takes up every number.
    findings : list of Finding
        Takes up what the numbers say.

    Returns
    -------
    KeyFigures
        Lengths in [in].

    Raises
    ------
    ValueError
        If a value is out of its range or against another one.

    Assumptions
    -----------
    As `key_blank`, `stepped_key` and `cutting_plan`.

    Source
    ------
    `key_blank`, `stepped_key`, `choose_stock`, `cutting_plan`, `key_strength`.
    """
    blank = size_blank(key, opening, figures, workings)
    t = figures.cut_taper_in_per_in
    per = workings.worked(
        "travel-per-thousandth",
        "travel for one thousandth of an inch of height",
        float(travel_for_height_in(height_in=0.001, taper_in_per_in=t)),
        formula="travel = 0.001 in ÷ taper",
        inputs=["cut-taper"],
        source="definition of the taper",
    )
    stepped, hub_width, shaft_width = _widths(key, opening, figures, blank, workings)
    ring = hub_ring(
        key=key,
        opening=opening,
        figures=figures,
        blank=blank,
        width_in=min(hub_width, shaft_width),
        workings=workings,
        findings=findings,
    )
    left = left_to_drive(key, blank, t, standard, ring, workings, findings)
    drive = None
    if ring is not None:
        drive = drive_of(ring=ring, left_in=left, taper=t, standard=standard, workings=workings)
    chamfer = _chamfer(opening, figures, blank, standard, workings, findings)
    tapped, depth = _tapped(key, figures, blank, min(hub_width, shaft_width), workings, findings)
    stock, bar_width, bar_height = _bar(key, blank, max(hub_width, shaft_width), standard, workings)
    plan = _cuts(key, blank, bar_height, workings)
    strength = _strength(
        key, opening, blank, min(hub_width, shaft_width), chamfer, workings, findings
    )
    return KeyFigures(
        blank=blank,
        hub_width_in=hub_width,
        shaft_width_in=shaft_width,
        stepped=stepped,
        chamfer_in=chamfer,
        travel_per_thousandth_in=per,
        left_to_drive_in=left,
        drive=drive,
        stock=stock,
        bar_width_in=bar_width,
        bar_height_in=bar_height,
        plan=plan,
        tapped=tapped,
        hole_depth_in=depth,
        strength=strength,
    )


def _widths(
    key: KeyInputs,
    opening: OpeningInputs,
    figures: OpeningFigures,
    blank: KeyBlank,
    workings: Workings,
) -> tuple[SteppedKey | None, float, float]:
    workings.assumed(
        "side-clearance",
        "key less than its slot in width, both sides together",
        key.side_clearance_in,
        source=_basis("side_clearance"),
    )
    if not figures.step_asked:
        width = min(figures.hub_width_in, figures.shaft_width_in) - key.side_clearance_in
        workings.worked(
            "key-width",
            "width of the key",
            width,
            formula="narrower slot − side clearance",
            inputs=["hub-width", "shaft-width", "side-clearance"],
            source=practice.rule("side_clearance").kind_said,
        )
        return None, width, width
    depth = opening.shaft_slot_depth_in
    if depth is None:
        raise ValueError(
            "depth of the shaft slot is not given; it must be there for a stepped key. Measure it"
            " along the side wall of the slot."
        )
    stepped = stepped_key(
        hub_slot_width_in=figures.hub_width_in,
        shaft_slot_width_in=figures.shaft_width_in,
        shaft_slot_side_depth_in=depth,
        large_end_height_in=blank.large_end_height_in,
        small_end_height_in=blank.small_end_height_in,
        side_clearance_in=key.side_clearance_in,
        relief_in=STEP_RELIEF_IN,
    )
    workings.assumed(
        "step-relief",
        "height by which the step keeps off",
        STEP_RELIEF_IN,
        source=_basis("step_relief"),
    )
    for place, width in (("hub", stepped.hub_width_in), ("shaft", stepped.shaft_width_in)):
        workings.worked(
            f"key-{place}-width",
            f"width of the key in the {place}",
            width,
            formula="slot width − side clearance",
            inputs=[f"{place}-width", "side-clearance"],
            source=practice.rule("side_clearance").kind_said,
        )
    workings.worked(
        "step",
        "step on each side",
        stepped.step_in,
        formula="difference of the key's widths ÷ 2",
        inputs=["key-hub-width", "key-shaft-width"],
        source="slots centered on each other",
    )
    workings.worked(
        "shaft-portion",
        "height of the key's shaft portion",
        stepped.shaft_portion_height_in,
        formula="depth of the shaft slot, "
        + ("plus" if stepped.wide_portion == "hub" else "less")
        + " what the step keeps off",
        inputs=["shaft-slot-depth", "step-relief"],
        source=f"stepped keys for worn slots: {practice.rule('step_relief').kind_said}",
    )
    return stepped, stepped.hub_width_in, stepped.shaft_width_in


def _nominal_height(
    opening: OpeningInputs, figures: OpeningFigures, blank: KeyBlank, standard: str
) -> float:
    """Return the table's key height where the slot is of the table's width, else the mean."""
    mean = figures.entry_height_in - figures.cut_taper_in_per_in * blank.length_in / 2
    try:
        size = key_size(shaft_diameter_in=opening.shaft_diameter_in, system=standard)
    except ValueError:
        return mean
    width = min(figures.hub_width_in, figures.shaft_width_in)
    return size.height_in if abs(size.width_in - width) < _SAME_WIDTH_IN else mean


def _chamfer(
    opening: OpeningInputs,
    figures: OpeningFigures,
    blank: KeyBlank,
    standard: str,
    workings: Workings,
    findings: list[Finding],
) -> float:
    if standard == "metric":
        fillet = metric_keyseat_fillet(
            key_width_in=min(figures.hub_width_in, figures.shaft_width_in)
        )
        size, book = "width", "DIN 6885 and 6886, largest chamfer"
    else:
        fillet = keyseat_fillet(key_height_in=_nominal_height(opening, figures, blank, standard))
        size, book = "height", "ASME B17.1, suggested fillets and chamfers"
    table = workings.assumed(
        "table-chamfer",
        f"chamfer for this {size} of key",
        fillet.chamfer_in,
        source=f"{book} ({fillet.status})",
    )
    inputs = ["table-chamfer"]
    chamfer = table
    if opening.slot_radius_in is not None:
        radius = workings.reading("slot-radius", "radius in the slot", opening.slot_radius_in)
        inputs.append("slot-radius")
        if radius >= table:
            chamfer = (int(radius * _ODD_PARTS + 1e-9) + 1) / _ODD_PARTS
            findings.append(
                Finding(
                    level="look",
                    stage="make",
                    words="The radius in the slot is {}, not below the {} chamfer of the table:"
                    " the edges are eased by {} instead, or the key rides on its corners.",
                    numbers=((radius, "length"), (table, "length"), (chamfer, "length")),
                )
            )
    return workings.worked(
        "chamfer",
        "eased edges, leg at 45°",
        chamfer,
        formula="chamfer of the table, but above the radius in the slot",
        inputs=inputs,
        source=f"{book}; the chamfer must be larger than the radius",
    )


def _width_names(workings: Workings) -> list[str]:
    """Return the names of the key's width, or of both of a stepped one."""
    return ["key-width"] if "key-width" in workings else ["key-hub-width", "key-shaft-width"]


def _tapped(
    key: KeyInputs,
    figures: OpeningFigures,
    blank: KeyBlank,
    width: float,
    workings: Workings,
    findings: list[Finding],
) -> tuple[TappedEnd | None, float]:
    def say(level: Literal["stop", "look"], words: str, *lengths_in: float) -> None:
        numbers = tuple((one, "length") for one in lengths_in)
        findings.append(Finding(level=level, stage="make", words=words, numbers=numbers))

    if not key.thread_name:
        say(
            "look",
            "The new key is not tapped: there is no bolt to take the hammer, and nothing to pull"
            " by later. Drill and tap the large end unless the key has a gib head.",
        )
        return None, 0.0
    size = thread(name=key.thread_name)
    deep = practice.value("hole_depth")
    depth = deep * size.diameter_in if key.hole_depth_in is None else key.hole_depth_in
    workings.assumed(
        "thread", f"thread {size.name}, diameter", size.diameter_in, source=size.source
    )
    if key.hole_depth_in is None:
        workings.worked(
            "hole-depth",
            "depth of the tapped hole",
            depth,
            formula=f"{deep:g} × diameter",
            inputs=["thread"],
            source=practice.rule("hole_depth").kind_said,
        )
    else:
        workings.reading("hole-depth", "depth of the tapped hole", depth)
    if depth >= blank.length_in:
        raise ValueError(
            f"depth of the tapped hole is {depth:.6g} in; it must be below {blank.length_in:.6g}"
            " in, the length of the key. Measure both again."
        )
    end = tapped_end(
        width_in=width,
        large_end_height_in=blank.large_end_height_in,
        taper_in_per_in=figures.cut_taper_in_per_in,
        hole_diameter_in=size.diameter_in,
        hole_depth_in=depth,
    )
    wall = workings.worked(
        "wall",
        "least wall round the tapped hole",
        min(end.top_wall_in, end.side_wall_in),
        formula="half of what height or width leave beside the thread, at the hole's bottom",
        inputs=["large-end", "cut-taper", "thread", "hole-depth", *_width_names(workings)],
        source="rectangle less circle",
    )
    if not end.fits:
        say(
            "stop",
            f"{size.name} does not fit in the end of the key: {{}} of thread in {{}} of height and"
            " {} of width. Choose a smaller thread.",
            size.diameter_in,
            blank.large_end_height_in,
            width,
        )
    elif wall < size.diameter_in / 8:
        say(
            "look",
            f"Only {{}} of wall is left round the {size.name} hole. A smaller thread of a stronger"
            " grade leaves more of the key.",
            wall,
        )
    return end, depth


def _bar(
    key: KeyInputs, blank: KeyBlank, width: float, standard: str, workings: Workings
) -> tuple[StockChoice | None, float, float]:
    workings.assumed(
        "relief-cut", "straight relief cut", key.relief_cut_in, source=_basis("relief_cut")
    )
    if key.bar_width_in is not None and key.bar_height_in is not None:
        if key.bar_width_in < width - 1e-9:
            raise ValueError(
                f"width of the bar is {key.bar_width_in:.6g} in; it must be {width:.6g} in or more,"
                " the width of the key. Take a wider bar."
            )
        workings.reading("bar-width", "width of the bar at hand", key.bar_width_in)
        workings.reading("bar-height", "height of the bar at hand", key.bar_height_in)
        return None, key.bar_width_in, key.bar_height_in
    metric = standard == "metric"
    tolerance, which = ("ISO 286-2, h11", "metric bar") if metric else ("ASME B17.1", "bar")
    stock = choose_stock(
        key_width_in=width,
        key_height_in=blank.large_end_height_in,
        height_clean_up_in=key.relief_cut_in,
        system="metric" if metric else "inch",
    )
    source = f"smallest bar of the list; tolerance {tolerance} ({stock.tolerance.status})"
    widths = _width_names(workings)
    for name, value in (("width", stock.width_in), ("height", stock.height_in)):
        workings.worked(
            f"bar-{name}",
            f"{name} of the bar",
            value,
            formula=f"smallest {which} that holds key and relief cut at the low limit of its"
            " tolerance",
            inputs=["large-end", "relief-cut", *widths],
            source=source,
        )
    return stock, stock.width_in, stock.height_in


def _cuts(key: KeyInputs, blank: KeyBlank, bar_height: float, workings: Workings) -> CuttingPlan:
    plan = cutting_plan(
        stock_height_in=bar_height,
        large_end_height_in=blank.large_end_height_in,
        small_end_height_in=blank.small_end_height_in,
        length_in=blank.length_in,
        relief_cut_in=key.relief_cut_in,
        deepest_pass_in=key.deepest_pass_in,
    )
    source = "subtraction; relief cut and master key: common practice"
    workings.worked(
        "height-after-relief",
        "height after the relief cut",
        plan.height_after_relief_in,
        formula="height of the bar − relief cut",
        inputs=["bar-height", "relief-cut"],
        source=source,
    )
    for end in ("large", "small"):
        workings.worked(
            f"{end}-end-cut",
            f"depth of the taper cut at the {end} end",
            plan.large_end_cut_in if end == "large" else plan.small_end_cut_in,
            formula=f"height after the relief cut − height of the {end} end",
            inputs=["height-after-relief", f"{end}-end"],
            source=source,
        )
    workings.worked(
        "master-rise",
        "rise of the master key along the blank",
        plan.master_key_rise_in,
        formula="height of the large end − height of the small end",
        inputs=["large-end", "small-end"],
        source=source,
    )
    return plan


def _stated(value: float | None, rule: str) -> str:
    return practice.rule(rule).kind_said if value is None else "stated on the job"


def _strength(
    key: KeyInputs,
    opening: OpeningInputs,
    blank: KeyBlank,
    width: float,
    chamfer: float,
    workings: Workings,
    findings: list[Finding],
) -> KeyStrength | None:
    if key.torque_lbf_in is None and key.service_factor is None:
        return None
    metals: dict[str, Steel | HubMetal] = {
        "key": steel(name=key.steel_name),
        "shaft": steel(name=key.shaft_steel_name),
        "hub": hub_metal(name=opening.hub_metal_name),
    }
    service = key.service_factor
    if service is None:
        service = practice.value("service_factor")
    design = key.design_factor
    if design is None:
        design = practice.value("key_design_factor")
    mean = (blank.large_end_height_in + blank.small_end_height_in) / 2
    depth = mean / 2 if opening.shaft_slot_depth_in is None else opening.shaft_slot_depth_in
    engaged = opening.hub_length_in if key.engaged_length_in is None else key.engaged_length_in
    strength = key_strength(
        torque_lbf_in=1.0 if key.torque_lbf_in is None else key.torque_lbf_in,
        shaft_diameter_in=opening.shaft_diameter_in,
        width_in=width,
        shaft_height_in=bearing_height_in(slot_side_depth_in=depth, chamfer_in=chamfer),
        hub_height_in=bearing_height_in(slot_side_depth_in=mean - depth, chamfer_in=chamfer),
        length_in=engaged,
        key_yield_psi=metals["key"].yield_psi,
        shaft_yield_psi=metals["shaft"].yield_psi,
        hub_yield_psi=metals["hub"].yield_psi,
        design_factor=design,
        service_factor=service,
    )
    if key.torque_lbf_in is not None:
        workings.reading("torque", "steady torque of the drive", key.torque_lbf_in, "torque")
    for part, metal in metals.items():
        workings.assumed(
            f"{part}-yield",
            f"yield strength of the {part}, {metal.name}",
            metal.yield_psi,
            "pressure",
            source=f"{metal.source} ({metal.status})",
        )
    workings.assumed(
        "service-factor", "peak over steady torque", service, "number",
        source=_stated(key.service_factor, "service_factor"),
    )  # fmt: skip
    workings.assumed(
        "design-factor", "yield over allowable stress", design, "number",
        source=_stated(key.design_factor, "key_design_factor"),
    )  # fmt: skip
    workings.worked(
        "torque-capacity",
        f"steady torque that the key carries in {strength.governs}",
        strength.torque_capacity_lbf_in,
        "torque",
        formula="torque at which the weakest of key, shaft and hub has its allowable stress",
        inputs=[
            *(["torque"] if key.torque_lbf_in is not None else []),
            *("shaft-diameter", "large-end", "small-end", "engaged-length"),
            *("chamfer", "key-yield", "shaft-yield", "hub-yield"),
            *("service-factor", "design-factor"),
            *_width_names(workings),
            *(["shaft-slot-depth"] if opening.shaft_slot_depth_in is not None else []),
        ],
        source="shear of the key; bearing of key, shaft and hub on the height less the chamfer:"
        " Shigley, Mechanical Engineering Design",
    )
    if key.torque_lbf_in is not None and not strength.within:
        findings.append(
            Finding(
                level="stop",
                stage="make",
                words="The key is not strong enough for the torque as given:"
                f" {strength.reason[:-1]}. Ask whoever answers for the drive before it is made.",
            )
        )
    return strength
