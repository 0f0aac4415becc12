"""What a job asks for: one list for the job file, its template, the form and the paper form.

The order is that of the job: the old key is judged and pulled while it is in, the slot is measured
when it is empty, and the new key is made for the slot.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from keycourse.whole.job_inputs import SHAFT_STEEL
from taperkey import practice
from taperkey.formulas.chain import REQUIRED_LINKS
from taperkey.tables.rigging import surface_states
from taperkey.tables.strengths import (
    electrode_names,
    hub_metal_names,
    rod_grade_names,
    service_factors,
    steel_names,
)
from taperkey.tables.threads import thread_names

__all__ = [
    "FIELDS",
    "JACKED",
    "MOST_STATIONS",
    "RODDED",
    "SECTIONS",
    "Field",
    "example_entries",
]

MOST_STATIONS = 6
NONE = "none"
UNKNOWN = "unknown"
RODDED = tuple(name for name, links in REQUIRED_LINKS.items() if "rod" in links)
JACKED = tuple(name for name, links in REQUIRED_LINKS.items() if "jacks" in links)
BARRED = tuple(name for name, links in REQUIRED_LINKS.items() if "strongback" in links)
WELDED = tuple(name for name, links in REQUIRED_LINKS.items() if "weld" in links)
SLID = ("slide hammer",)

Kind = Literal["text", "choice", "quantity", "readings", "whole"]

SECTIONS = {
    "job": "The job",
    "pull": "The old key, still in, and its pull",
    "opening": "The empty slot, as measured",
    "key": "The key to be made",
}


def _left_out(name: str, end: int | None = None) -> str:
    """Say what is taken where an entry is left out: a rule of thumb, or one end of its range."""
    rule = practice.rule(name)
    if end is None:
        return f"Left out: {rule.both}."
    return f"Left out: {rule.shown[end]} {rule.unit}, {rule.kind_said}."


def _unknown_hand(end: int) -> str:
    """Say what pressure is taken where neither it nor the travel is known."""
    said = _left_out("seat_pressure", end).removeprefix("Left out: ")
    return f"Left out, with no travel noted: an unknown hand, {said}"


def _service() -> str:
    """Say the service factors of the table, with machines."""
    rows = service_factors()
    said = "; ".join(f"{one.kind} ({one.machines}) {one.motor:.2f}" for one in rows)
    engine = rows[-1]
    return (
        f"With an electric motor, {rows[0].source}: {said} or more; with an engine"
        f" {engine.many_cylinders - engine.motor:.2f} to"
        f" {engine.few_cylinders - engine.motor:.2f} more."
    )


@dataclass(frozen=True, kw_only=True)
class Field:
    """One thing that is asked.

    Attributes
    ----------
    key : str
        Section and name, such as "opening.hub-length".
    label : str
        What it is called, in the sentences and on the form.
    kind : str
        "text", "choice", "quantity", "readings" (several quantities) or "whole" (a count).
    ask : str
        What to enter, for the form's hint and the file's comment.
    dimension : str
        Of a quantity, as in ``taperkey.units``.
    unit : str
        Unit of a bare number where the job's own unit system does not decide it.
    options : tuple of str
        Of a choice.
    needed : bool
        Whether the job cannot do without it.
    methods : tuple of str
        Ways of pulling that need it; empty for all.
    example : str
        For the template; the invented Quillmoor Quarry.
    """

    key: str
    label: str
    kind: Kind
    ask: str
    dimension: str = "length"
    unit: str = ""
    options: tuple[str, ...] = ()
    needed: bool = False
    methods: tuple[str, ...] = ()
    example: str = ""

    @property
    def section(self) -> str:
        """Section of the job file."""
        return self.key.partition(".")[0]

    @property
    def name(self) -> str:
        """Name inside the section."""
        return self.key.partition(".")[2]


def _text(key: str, label: str, ask: str, *, needed: bool = False, example: str = "") -> Field:
    return Field(key=key, label=label, kind="text", ask=ask, needed=needed, example=example)


def _choice(
    key: str,
    label: str,
    ask: str,
    options: tuple[str, ...],
    *,
    needed: bool = False,
    methods: tuple[str, ...] = (),
    example: str = "",
) -> Field:
    return Field(
        key=key,
        label=label,
        kind="choice",
        ask=ask,
        options=options,
        needed=needed,
        methods=methods,
        example=example,
    )


def _quantity(
    key: str,
    label: str,
    ask: str,
    *,
    dimension: str = "length",
    unit: str = "",
    needed: bool = False,
    methods: tuple[str, ...] = (),
    example: str = "",
) -> Field:
    return Field(
        key=key,
        label=label,
        kind="quantity",
        ask=ask,
        dimension=dimension,
        unit=unit,
        needed=needed,
        methods=methods,
        example=example,
    )


def _readings(key: str, label: str, ask: str, *, needed: bool = False, example: str = "") -> Field:
    return Field(key=key, label=label, kind="readings", ask=ask, needed=needed, example=example)


def _stations() -> tuple[Field, ...]:
    examples = {
        1: ("0 in", "1.0102; 1.0105; 1.0104"),
        2: ("3.5 in", "0.9738; 0.9741; 0.9739"),
    }
    fields = []
    for place in range(1, MOST_STATIONS + 1):
        at, heights = examples.get(place, ("", ""))
        where = "0 for the mouth" if place == 1 else "inward from the mouth"
        fields.append(
            _quantity(
                f"opening.station-{place}",
                f"distance of station {place}",
                f"Where height {place} was taken: {where}.",
                needed=place <= 2,
                example=at,
            )
        )
        fields.append(
            _readings(
                f"opening.heights-{place}",
                f"heights at station {place}",
                "Readings of the height there, with ; between them.",
                needed=place <= 2,
                example=heights,
            )
        )
    return tuple(fields)


_YES_NO = ("yes", "no")

FIELDS: tuple[Field, ...] = (
    _text("job.title", "job", "Machine and hub.", needed=True,
          example="Bucket elevator, head sprocket"),
    _text("job.place", "place", "Site and place.", example="Quillmoor Quarry, screening tower"),
    _text("job.number", "work order", "Number of the work order.", example="QQ-1142"),
    _text("job.mechanic", "mechanic", "Who measured.", example="R. Attwell"),
    _text("job.date", "date", "Day of the readings, such as 2026-11-25. Left out: today."),
    _choice("job.units", "units",
            "inch or metric: what a bare number is in, and what the sheet is written in. mixed: "
            "every number has its unit, and the sheet shows both.",
            ("inch", "metric", "mixed"), needed=True, example="inch"),
    _choice("job.standard", "standard",
            "inch for 1:96, metric for 1:100: which one to take where the readings agree with "
            "both. Left out: as the units; inch for mixed.",
            ("inch", "metric")),
    _choice("pull.method", "method",
            "How the old key is pulled, or none where nothing is pulled.",
            (NONE, *REQUIRED_LINKS), needed=True, example="hollow-ram"),
    _quantity("pull.over-near", "over shaft and key, near face",
              "Key still in: from the underside of the shaft to the top of the key, at the hub "
              "face that shows.", needed=True, example="4.463 in"),
    _quantity("pull.over-far", "over shaft and key, far face",
              "The same at the far hub face. Out of reach: no pull is planned before it is known "
              "which end is large.", needed=True, example="4.421 in"),
    _quantity("pull.key-width", "width of the old key", "As measured where it stands out.",
              needed=True, example="1 in"),
    _quantity("pull.key-height", "height of the old key",
              "At the end that shows: where it stands out, or by its drawing.", needed=True,
              example="1 in"),
    _quantity("pull.key-length", "length of the old key in the hub",
              "From face to face, or by its drawing.", needed=True, example="4 in"),
    _quantity("pull.key-outside", "what the old key stands out",
              "From the hub face that shows to its end; 0 for flush.", needed=True,
              example="1/4 in"),
    _choice("pull.surface", "state of the faces",
            "lubricated: driven with anti-seize that is still wet. dry: clean bare metal. "
            "rusted: any rust.", surface_states(), needed=True, example="lubricated"),
    _quantity("pull.friction-low", "friction, low end",
              "If you know it better than the friction table does.", dimension="number"),
    _quantity("pull.friction-high", "friction, high end", "As before.", dimension="number"),
    _quantity("pull.pressure-low", "pressure on the faces, low end",
              _unknown_hand(0), dimension="pressure",
              example="8000 psi"),
    _quantity("pull.pressure-high", "pressure on the faces, high end",
              _unknown_hand(1), dimension="pressure",
              example="12000 psi"),
    _quantity("pull.travel-low", "travel after contact, low end",
              "Past full contact, if who saw the drive noted it: the force then goes by it."),
    _quantity("pull.travel-high", "travel after contact, high end", "As before."),
    _quantity("pull.advance-low", "advance of the last blow, low end",
              "How far the last blow moved the key, if it was noted when it was driven."),
    _quantity("pull.advance-high", "advance of the last blow, high end", "As before."),
    _quantity("pull.sledge", "sledge that drove it",
              "Its weight; a bare number is in pounds. " + _left_out("drive_hammer"),
              dimension="force", unit="lbf"),
    _choice("pull.thread", "thread in the old key", "Thread in the key's end, or none.",
            (NONE, *thread_names()), needed=True, methods=RODDED, example="3/4-10 UNC"),
    _choice("pull.rod-grade", "grade of the rod", "By the mark on the rod, or unknown.",
            (UNKNOWN, *rod_grade_names()), needed=True, methods=RODDED, example="ASTM A193 B7"),
    _quantity("pull.rod-condition", "condition of the rod",
              "1 in good order, less for a worn one.", dimension="number", needed=True,
              methods=RODDED, example="1"),
    _quantity("pull.rod-thread", "thread on the rod",
              "Length of thread from the end that goes into the key.", methods=RODDED),
    _quantity("pull.engagement", "thread engaged in the old key",
              "Full turns of thread that hold, as a length. Count the turns.", needed=True,
              methods=RODDED, example="1-1/8 in"),
    _quantity("pull.nut-height", "height of the nut", "Of the nut that carries the pull.",
              needed=True, methods=RODDED, example="3/4 in"),
    _choice("pull.steel", "steel of the old key",
            "If nobody knows: unknown. The weakest of the table is taken then.",
            (UNKNOWN, *steel_names()), needed=True, example="1018 cold-drawn"),
    _quantity("pull.jack-rating", "rating of each jack",
              "From its plate; a bare number is in US tons of 2,000 lbf.", dimension="force",
              unit="tons", needed=True, methods=JACKED, example="30 tons"),
    Field(key="pull.jacks", label="number of jacks", kind="whole", ask="How many pull together.",
          needed=True, methods=JACKED, example="1"),
    _quantity("pull.jack-share", "share of the jack rating",
              "Part of the rating that is used. " + _left_out("jack_share"),
              dimension="number", methods=JACKED),
    _quantity("pull.jack-hole", "hole of the jack", "Center hole of a hollow-ram jack.",
              needed=True, methods=("hollow-ram",), example="1-1/4 in"),
    _choice("pull.reacts-on", "what the jacks stand on",
            "hub: the feet, or the strongback's blocks, bear on the face of the hub. shaft: they "
            "bear on the end of the shaft, and the key drags the hub along.",
            ("hub", "shaft"), needed=True, methods=JACKED, example="hub"),
    _choice("pull.load-by", "how the load is seen",
            "gauge: in the hose of the pump. load cell: on the rod. strokes: counted from tight "
            "on, with a pump of known stroke. nothing: then there is no pull.",
            ("gauge", "load cell", "strokes", "nothing"), needed=True, methods=JACKED,
            example="gauge"),
    _quantity("pull.area", "effective area of each jack",
              "From its plate: a bare number, in square inches, on a metric job in square "
              "centimeters. A gauge or strokes need it, unless the piston is given; where nobody "
              "knows it, put a load cell on the rod.",
              dimension="number", methods=JACKED, example="7.22"),
    _quantity("pull.gauge-division", "division of the gauge",
              f"From one mark to the next. {_left_out('gauge_division')}; on a metric job "
              f"{practice.rule('gauge_division_bar').number}.", dimension="pressure",
              methods=JACKED, example="100 psi"),
    _quantity("pull.pump-stroke", "oil of one stroke",
              "A bare number, in cubic inches, on a metric job in cubic centimeters. Strokes need "
              "it.", dimension="number", methods=JACKED),
    _quantity("pull.rod-free", "rod under load",
              "From the key to the nut: what stretches.", needed=True,
              methods=("strongback", "hollow-ram"), example="14 in"),
    _quantity("pull.piston", "piston diameter",
              "Of a solid jack, to show the gauge reading of each load step.",
              methods=("strongback", "welded strongback")),
    _quantity("pull.foot", "diameter of the jack's foot",
              "What it stands on.", needed=True, methods=JACKED, example="4 in"),
    _choice("pull.foot-on", "metal under the foot",
            "If nobody knows: unknown. The weakest of the table is taken then.",
            (UNKNOWN, *steel_names()), needed=True, methods=JACKED, example="A36 plate"),
    _quantity("pull.bar-width", "width of the strongback", "Square to the pull.", needed=True,
              methods=BARRED, example="4 in"),
    _quantity("pull.bar-depth", "depth of the strongback", "Along the pull.", needed=True,
              methods=BARRED, example="3 in"),
    _quantity("pull.bar-span", "distance between the jacks", "Middle to middle.", needed=True,
              methods=BARRED, example="12 in"),
    _quantity("pull.bar-hole", "hole in the strongback",
              "For the rod, as measured.", needed=True, methods=("strongback",),
              example="13/16 in"),
    _choice("pull.bar-steel", "steel of the strongback",
            "If nobody knows: unknown. The weakest of the table is taken then.",
            (UNKNOWN, *steel_names()), needed=True, methods=BARRED, example="A36 plate"),
    _choice("pull.weld", "weld", "Kind of weld between strongback and key.",
            ("fillet", "groove"), needed=True, methods=WELDED, example="fillet"),
    _quantity("pull.weld-size", "size of the weld", "Leg of a fillet, throat of a groove weld.",
              needed=True, methods=WELDED, example="1/2 in"),
    _quantity("pull.weld-length", "length of the weld", "On each side of the joint.",
              needed=True, methods=WELDED, example="1-1/2 in"),
    Field(key="pull.weld-sides", label="sides welded", kind="whole",
          ask="1 or 2: it must go into both parts, on both sides.", needed=True,
          methods=WELDED, example="2"),
    _choice("pull.electrode", "electrode", "As on the packet.", electrode_names(), needed=True,
            methods=WELDED, example="E70"),
    _quantity("pull.weight", "weight of the slide hammer", "What slides, without rod.",
              dimension="force", needed=True, methods=SLID, example="30 lbf"),
    _quantity("pull.rod-length", "length of the rod", "From the key to the stop.",
              needed=True, methods=SLID, example="36 in"),
    _choice("opening.keyway-at-bottom", "keyway at the bottom",
            "Was the keyway turned to the bottom for the heights?", _YES_NO, needed=True,
            example="yes"),
    *_stations(),
    _quantity("opening.height-good-to", "uncertainty of a height",
              "How well you know one height, as a standard uncertainty. "
              + _left_out("transfer_scatter"), example="0.0003 in"),
    _quantity("opening.height-common", "common error of the heights",
              "What all heights may be off together (setting of the micrometer, feel), as a "
              "standard uncertainty. It is in the height, not in the taper. "
              + _left_out("common_height")),
    _quantity("opening.station-good-to", "uncertainty of a distance",
              "How well you know where a station is, as a standard uncertainty. Left out: it is "
              "taken as exact."),
    _readings("opening.hub-widths", "width of the hub slot",
              "Readings with ; between them.", needed=True, example="1.0012; 1.0014; 1.0013"),
    _readings("opening.shaft-widths", "width of the shaft slot",
              "Readings with ; between them.", needed=True, example="1.0006; 1.0005; 1.0007"),
    _quantity("opening.hub-length", "length of the hub", "Length of the slot in the hub.",
              needed=True, example="4 in"),
    _quantity("opening.shaft-diameter", "shaft diameter", "As measured.", needed=True,
              example="3.9372 in"),
    _quantity("opening.bore", "bore", "As measured, for the clearance.", example="3.9462 in"),
    _quantity("opening.hub-outside", "outside diameter of the hub",
              "Over the slot, where it is smallest; a flange or a web is not the hub. The driven "
              "key pulls at this ring.", needed=True, example="8 in"),
    _choice("opening.hub-metal", "metal of the hub",
            "By its drawing or the casting. If nobody knows: unknown. The weakest of the table is "
            "taken then.", (UNKNOWN, *hub_metal_names()), needed=True,
            example="A27 65-35 cast steel"),
    _quantity("opening.shaft-slot-depth", "depth of the shaft slot",
              "Along its side wall; a stepped key needs it.", example="0.484 in"),
    _quantity("opening.slot-radius", "radius in the slot",
              "Radius in the slot's corner, by radius gauge.", example="1/16 in"),
    _choice("key.thread", "thread in the new key",
            "Thread in the large end of the new key, or none.", (NONE, *thread_names()),
            needed=True, example="5/8-11 UNC"),
    _quantity("key.hole-depth", "depth of the tapped hole",
              "As it is tapped. " + _left_out("hole_depth"), example=""),
    _quantity("key.length-in-slot", "length of the key in the slot",
              "Of the fitted key. Left out: the whole hub."),
    _quantity("key.length-outside", "length left outside",
              "What of the finished key is meant to stay outside when it is home; 0 for flush.",
              needed=True, example="1/4 in"),
    _quantity("key.allowance", "fitting allowance",
              "Over size in height for fitting and drive. " + _left_out("fitting_allowance")),
    _quantity("key.left-to-drive", "left to drive",
              "Travel to home at which filing stops. " + _left_out("left_to_drive")),
    _quantity("key.side-clearance", "side clearance",
              "Key less than its slot, both sides together. " + _left_out("side_clearance")),
    _choice("key.steel", "steel of the new key", "As on the bar's tag.", steel_names(),
            needed=True, example="1018 cold-drawn"),
    _choice("key.shaft-steel", "steel of the shaft",
            f"For the key's strength. Left out: {SHAFT_STEEL}, the softest in the table.",
            steel_names()),
    _quantity("key.bar-width", "width of the bar at hand",
              "Left out with its height: the smallest bar that holds the key."),
    _quantity("key.bar-height", "height of the bar at hand", "The side that the taper is cut on."),
    _quantity("key.relief-cut", "relief cut",
              "Relief cut opposite the taper. " + _left_out("relief_cut")),
    _quantity("key.deepest-pass", "deepest pass",
              "What cutter and vise take. " + _left_out("deepest_pass")),
    _quantity("key.torque", "torque of the drive",
              "Steady torque, if the key's strength is to be compared with it.",
              dimension="torque"),
    _quantity("key.service-factor", "service factor",
              "Peak over steady torque, from whoever answers for the drive. " + _service(),
              dimension="number", needed=True, example="1.5"),
    _quantity("key.design-factor", "design factor",
              "Yield over allowable stress, from whoever answers for the drive. Asked where the "
              "torque is given.",
              dimension="number"),
)  # fmt: skip


def example_entries(method: str) -> dict[str, str]:
    """Return the invented job of the quarry, for one way of pulling; "" for a pull by none."""
    return {
        field.key: field.example
        for field in FIELDS
        if field.example and (not field.methods or method in field.methods)
    }
