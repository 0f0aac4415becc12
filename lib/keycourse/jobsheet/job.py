"""Reading a job: from a TOML or JSON file or from a form, to inputs that can be worked out."""

from __future__ import annotations

import difflib
import json
import math
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Literal

from keycourse.common import name_now
from keycourse.jobsheet.fields import (
    FIELDS,
    MOST_STATIONS,
    NONE,
    UNKNOWN,
    Field,
)
from keycourse.whole import job_inputs as inputs
from taperkey import practice
from taperkey.tables.rigging import LBF_PER_US_TON
from taperkey.tables.strengths import hub_metal, hub_metal_names, steel, steel_names
from taperkey.units import MM_PER_IN, EntryError, parse_quantity, to_internal

__all__ = ["Job", "JobError", "look_at", "parse_job", "read_job"]

MOST_BYTES = 100_000
LONGEST_TEXT = 120  # characters of a title
_BARE = re.compile(r"[+-]?[0-9.,/ -]+")
Units = Literal["inch", "metric", "mixed"]

SQUARE_CM_PER_IN2 = (MM_PER_IN / 10) ** 2
CUBIC_CM_PER_IN3 = (MM_PER_IN / 10) ** 3
PSI_PER_BAR = to_internal(1.0, dimension="pressure", unit="bar")
_OWN_UNIT = {
    "length": ("in", "mm"),
    "force": ("lbf", "kN"),
    "pressure": ("psi", "MPa"),
    "torque": ("lbf in", "N m"),
    "number": ("", ""),
}


class JobError(ValueError):
    """A job that cannot be worked out, one sentence for each thing to put right.

    Attributes
    ----------
    problems : tuple of str
        The sentences.
    """

    def __init__(self, problems: tuple[str, ...]) -> None:
        self.problems = problems
        super().__init__(" ".join(problems))


@dataclass(frozen=True, kw_only=True)
class Job:
    """A job as it was given.

    Attributes
    ----------
    title, place, number, mechanic, day : str
        Words for the head of the sheet.
    units : str
        "inch", "metric" or "mixed".
    inputs : JobInputs
        What is worked out.
    """

    title: str
    place: str
    number: str
    mechanic: str
    day: str
    units: Units
    inputs: inputs.JobInputs


def read_job(path: Path) -> Job:
    """Read a job file, TOML or JSON by its ending; in JSON, lines that begin with // are comments.

    Raises
    ------
    JobError
        One sentence for each thing to put right.
    OSError
        If the file cannot be read.
    """
    raw = path.read_bytes()
    if len(raw) > MOST_BYTES:
        raise JobError(
            (
                f"{path.name} has {len(raw):,} bytes; a job file must have {MOST_BYTES:,} or"
                " fewer. Begin from the template: taperkey sheet --new job.toml",
            )
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise JobError((f"{path.name} is not plain text in UTF-8. Save it as UTF-8.",)) from None
    return parse_job(_entries_of(path.name, text))


def _entries_of(name: str, text: str) -> dict[str, Any]:
    try:
        if name.lower().endswith(".json"):
            kept = ["" if line.lstrip().startswith("//") else line for line in text.splitlines()]
            content = json.loads("\n".join(kept))
        else:
            content = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        words = " ".join(str(error).split())[:160] or "it is nested too deep"
        raise JobError(
            (f"{name} cannot be read: {words}. Put every entry in “ ” quotes, one a line.",)
        ) from None
    if not isinstance(content, dict):
        raise JobError((f"{name} has no sections; it must have [job], [opening] and others.",))
    entries: dict[str, Any] = {}
    for section, inside in content.items():
        if isinstance(inside, dict):
            entries.update({f"{section}.{key}": value for key, value in inside.items()})
        else:
            entries[str(section)] = inside
    return entries


def _as_text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return "; ".join(_as_text(one) for one in value)
    if isinstance(value, (int, float, str)):
        return str(value)
    if isinstance(value, date):
        return value.isoformat()[:10]
    return ""


class _Reader:
    """Reads field after field and keeps what is wrong with each."""

    def __init__(self, entries: Mapping[str, Any]) -> None:
        self.texts = {key: _as_text(value).strip() for key, value in entries.items()}
        self.problems: list[str] = []
        self.units: Units = "inch"
        self.method = NONE
        self.slot = True

    def known(self) -> None:
        """Say which entries nobody asked for."""
        names = [field.key for field in FIELDS]
        for key in self.texts:
            if key not in names:
                near = difflib.get_close_matches(key, names, n=1, cutoff=0.6)
                shown = _shown(key)
                hint = f" Is {near[0]} meant?" if near else " Leave it out."
                self.problems.append(f"“{shown}” is not an entry of a job file.{hint}")

    def asked(self, field: Field) -> bool:
        """Tell whether a field counts for this job."""
        if field.section in ("opening", "key"):
            return self.slot
        if field.section != "pull" or field.key == "pull.method":
            return True
        if self.method == NONE:
            return False
        return not field.methods or self.method in field.methods

    def text(self, field: Field) -> str:
        """Return what was entered; say so where it is needed and missing."""
        if not self.asked(field):
            return ""
        text = self.texts.get(field.key, "")
        if not text and field.needed:
            choices = f" One of: {', '.join(field.options)}." if field.options else ""
            self.problems.append(
                f"STOP: not given: {field.label} ({field.key}). {field.ask}{_short(choices)}"
            )
        return text

    def way(self, field: Field) -> Any:
        """Read a field in the way of its kind."""
        ways: dict[str, Callable[[Field], Any]] = {
            "text": self.words,
            "choice": self.choice,
            "quantity": self.quantity,
            "readings": self.readings,
            "whole": self.whole,
        }
        return ways[field.kind](field)

    def words(self, field: Field) -> str:
        text = self.text(field)
        if len(text) > LONGEST_TEXT:
            self.problems.append(
                f"{field.label} has {len(text)} characters; it must be {LONGEST_TEXT} or fewer."
                " Shorten it."
            )
        return "".join(one if one.isprintable() else " " for one in text)

    def choice(self, field: Field) -> str:
        text = name_now(self.text(field))
        if text and text not in field.options:
            same = [one for one in field.options if one.lower() == text.lower()]
            if same:
                return same[0]
            self.problems.append(
                f"{field.label} is “{_shown(text)}”; it must be one of: {', '.join(field.options)}."
            )
            return ""
        return text

    def one(self, field: Field, text: str) -> float | None:
        """Read one quantity in the units of the job."""
        unit = field.unit or _OWN_UNIT[field.dimension][self.units == "metric"]
        try:
            if (
                self.units == "mixed"
                and field.dimension != "number"
                and not field.unit
                and _BARE.fullmatch(text)
                and text.strip(" 0.,")
            ):
                raise EntryError(
                    f"{field.label} is “{_shown(text)}” without a unit; in a job of mixed units"
                    " every number must have one. Write in or mm behind it."
                )
            return parse_quantity(
                text, dimension=field.dimension, default_unit=unit, label=field.label
            ).value
        except EntryError as error:
            self.problems.append(str(error))
            return None

    def quantity(self, field: Field) -> float | None:
        text = self.text(field)
        return self.one(field, text) if text else None

    def readings(self, field: Field) -> tuple[float, ...] | None:
        text = self.text(field)
        parts = [part.strip() for part in text.split(";") if part.strip()]
        if len(parts) > 10:
            self.problems.append(
                f"{field.label} has {len(parts)} readings; it must have 10 or fewer."
            )
            return None
        # a unit behind the last reading counts for all of them
        last = re.search(r"[A-Za-z\"'″µμ]+\.?$", parts[-1]) if parts else None
        if last:
            parts = [p if re.search(r"[A-Za-z\"'″µμ]", p) else f"{p} {last[0]}" for p in parts]
        values = [self.one(field, part) for part in parts]
        if not values or any(value is None for value in values):
            return None
        return tuple(value for value in values if value is not None)

    def whole(self, field: Field) -> int | None:
        text = self.text(field)
        if text and not (text.isascii() and text.isdigit() and 1 <= int(text) <= 9):
            self.problems.append(
                f"{field.label} is “{_shown(text)}”; it must be a whole number from 1 to 9."
            )
            return None
        return int(text) if text else None


def look_at(field: Field, text: str, *, units: str) -> str:
    """Return one sentence about an entry that cannot be read, or nothing.

    Parameters
    ----------
    field : Field
        What was asked.
    text : str
        What was typed.
    units : str
        "inch", "metric" or "mixed"; anything else counts as inch.
    """
    if not text.strip():
        return ""
    reader = _Reader({field.key: text})
    reader.units = units if units in ("metric", "mixed") else "inch"  # type: ignore[assignment]
    reader.method = field.methods[0] if field.methods else "any"
    reader.way(field)
    return reader.problems[0] if reader.problems else ""


def _shown(text: str) -> str:
    short = text if len(text) <= 30 else text[:30] + "…"
    return "".join(letter if letter.isprintable() else "?" for letter in short)


def _short(text: str) -> str:
    return text if len(text) <= 220 else text[:200].rsplit(",", 1)[0] + ", …"


def parse_job(entries: Mapping[str, Any]) -> Job:
    """Read a job from entries as typed, keys such as "opening.hub-length".

    Parameters
    ----------
    entries : mapping
        Text, numbers, or lists of them.

    Returns
    -------
    Job
        Words and inputs; what the inputs say together is for ``work_out``.

    Raises
    ------
    JobError
        One sentence for each entry that is missing, unknown or cannot be read.
    """
    reader = _Reader(entries)
    reader.known()
    fields = {field.key: field for field in FIELDS}
    # what the other entries depend on is looked up first, and judged in its turn
    units = reader.texts.get("job.units", "").lower()
    reader.units = units if units in ("metric", "mixed") else "inch"  # type: ignore[assignment]
    method = name_now(reader.texts.get("pull.method", "").lower())
    reader.method = method if method in fields["pull.method"].options else NONE
    # while the old key is in there is no slot to measure: both sections are then left empty
    reader.slot = reader.method == NONE or any(
        text and key.startswith(("opening.", "key.")) for key, text in reader.texts.items()
    )
    got: dict[str, Any] = {field.key: reader.way(field) for field in FIELDS}
    stations = _stations(got, reader)
    day = _day(got["job.date"], reader)
    _pairs(got, reader)
    _with_torque(got, reader)
    _with_gauge(got, reader)
    if reader.problems:
        raise JobError(tuple(reader.problems))
    metric = (got["job.standard"] or reader.units) == "metric"
    try:
        worked = inputs.JobInputs(
            standard="metric" if metric else "inch",
            opening=_opening(got, stations, reader.units) if reader.slot else None,
            key=_key(got, reader.units) if reader.slot else None,
            pull=None if reader.method == NONE else _pull(got, reader.units),
        )
    except ValueError as error:
        raise JobError((str(error),)) from None
    return Job(
        title=got["job.title"],
        place=got["job.place"],
        number=got["job.number"],
        mechanic=got["job.mechanic"],
        day=day,
        units=reader.units,
        inputs=worked,
    )


def _day(text: str, reader: _Reader) -> str:
    if not text:
        return ""
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        reader.problems.append(
            f"date is “{_shown(text)}”; it must be year-month-day, such as 2026-11-25."
        )
        return ""


def _stations(got: Mapping[str, Any], reader: _Reader) -> list[tuple[float, tuple[float, ...]]]:
    stations = []
    for place in range(1, MOST_STATIONS + 1):
        at, heights = got[f"opening.station-{place}"], got[f"opening.heights-{place}"]
        texts = [reader.texts.get(f"opening.{word}-{place}") for word in ("station", "heights")]
        if at is not None and heights is not None:
            stations.append((at, heights))
        elif place > 2 and any(texts) and not all(texts):
            lacks = "heights" if texts[0] else "distance"
            reader.problems.append(
                f"station {place} has no {lacks}; it must have distance and heights. Give both or"
                " leave the station out."
            )
    seen: dict[float, int] = {}
    for place, (at, _) in enumerate(stations, start=1):
        twice = next((other for other in seen if abs(other - at) < 1e-6), None)
        if twice is not None:
            reader.problems.append(
                f"stations {seen[twice]} and {place} are at the same distance; each must have its"
                " own. Put their readings together."
            )
        seen[at] = place
    return stations


def _pairs(got: Mapping[str, Any], reader: _Reader) -> None:
    for low, high, what in (
        ("pull.pressure-low", "pull.pressure-high", "pressure on the faces"),
        ("pull.travel-low", "pull.travel-high", "travel after contact"),
        ("pull.advance-low", "pull.advance-high", "advance of the last blow"),
        ("pull.friction-low", "pull.friction-high", "friction"),
        ("key.bar-width", "key.bar-height", "bar at hand"),
    ):
        given = [got[one] is not None for one in (low, high)]
        if any(given) and not all(given):
            lacking = high if given[0] else low
            reader.problems.append(f"{what} has one of its two numbers; {lacking} is missing.")
        elif all(given) and low != "key.bar-width" and got[low] > got[high]:
            reader.problems.append(f"{what} has its low end above its high end. Change them over.")


def _with_torque(got: Mapping[str, Any], reader: _Reader) -> None:
    """Ask for the design factor where the key's strength is asked for: nobody else knows it."""
    if got["key.torque"] is not None and not reader.texts.get("key.design-factor"):
        field = _field("key.design-factor")
        reader.problems.append(f"STOP: not given: {field.label} ({field.key}). {field.ask}")


def _with_gauge(got: Mapping[str, Any], reader: _Reader) -> None:
    """Ask for what turns a load into a mark of the gauge, or into strokes."""
    needed = {"gauge": (), "strokes": ("pull.pump-stroke",)}
    how = got["pull.load-by"] if reader.asked(_field("pull.load-by")) else ""
    missing = [key for key in needed.get(how, ()) if got[key] is None]
    if how in needed and got["pull.area"] is None and got["pull.piston"] is None:
        missing.insert(0, "pull.area")
    for key in missing:
        field = _field(key)
        reader.problems.append(f"STOP: not given: {field.label} ({key}). {field.ask}")


def _field(key: str) -> Field:
    return next(one for one in FIELDS if one.key == key)


def _weakest_steel() -> str:
    return min(steel_names(), key=lambda name: steel(name=name).yield_psi)


def _weakest_metal() -> str:
    return min(hub_metal_names(), key=lambda name: hub_metal(name=name).tensile_psi)


def _given(got: Mapping[str, Any], names: Mapping[str, str]) -> dict[str, Any]:
    """Return the arguments that were entered; what was left out keeps its default."""
    given = {to: got[key] for key, to in names.items() if got[key] not in (None, "")}
    return {to: _weakest_steel() if it == UNKNOWN else it for to, it in given.items()}


def _opening(
    got: Mapping[str, Any], stations: list[tuple[float, tuple[float, ...]]], units: Units
) -> inputs.OpeningInputs:
    metal = got["opening.hub-metal"]
    usual = {"height_sd_in": "transfer_scatter", "height_common_in": "common_height"}
    return inputs.OpeningInputs(
        distances_in=tuple(at for at, _ in stations),
        readings_in=tuple(heights for _, heights in stations),
        keyway_at_bottom=got["opening.keyway-at-bottom"] == "yes",
        **_usual(usual, units)
        | _given(
            got,
            {
                "opening.hub-widths": "hub_widths_in",
                "opening.shaft-widths": "shaft_widths_in",
                "opening.hub-length": "hub_length_in",
                "opening.shaft-diameter": "shaft_diameter_in",
                "opening.height-good-to": "height_sd_in",
                "opening.height-common": "height_common_in",
                "opening.station-good-to": "station_sd_in",
                "opening.bore": "bore_in",
                "opening.shaft-slot-depth": "shaft_slot_depth_in",
                "opening.slot-radius": "slot_radius_in",
                "opening.hub-outside": "hub_outside_in",
            },
        ),
        hub_metal_name=_weakest_metal() if metal in ("", UNKNOWN) else metal,
        hub_metal_known=metal != UNKNOWN,
    )


def _usual(rules: Mapping[str, str], units: Units) -> dict[str, Any]:
    """Return what a metric shop takes where nothing is entered; an inch shop has the defaults."""
    if units != "metric":
        return {}
    return {to: practice.metric(name) / MM_PER_IN for to, name in rules.items()}


def _key(got: Mapping[str, Any], units: Units) -> inputs.KeyInputs:
    usual = {
        "allowance_in": "fitting_allowance",
        "side_clearance_in": "side_clearance",
        "relief_cut_in": "relief_cut",
        "deepest_pass_in": "deepest_pass",
    }
    return inputs.KeyInputs(
        thread_name="" if got["key.thread"] == NONE else got["key.thread"],
        **_usual(usual, units)
        | _given(
            got,
            {
                "key.hole-depth": "hole_depth_in",
                "key.length-in-slot": "engaged_length_in",
                "key.length-outside": "outside_in",
                "key.allowance": "allowance_in",
                "key.left-to-drive": "left_to_drive_in",
                "key.side-clearance": "side_clearance_in",
                "key.steel": "steel_name",
                "key.shaft-steel": "shaft_steel_name",
                "key.bar-width": "bar_width_in",
                "key.bar-height": "bar_height_in",
                "key.relief-cut": "relief_cut_in",
                "key.deepest-pass": "deepest_pass_in",
                "key.torque": "torque_lbf_in",
                "key.service-factor": "service_factor",
                "key.design-factor": "design_factor",
            },
        ),
    )


def _pull(got: Mapping[str, Any], reader_units: Units) -> inputs.PullInputs:
    more = _given(
        got,
        {
            "pull.over-near": "over_near_in",
            "pull.over-far": "over_far_in",
            "pull.key-width": "key_width_in",
            "pull.key-height": "key_height_in",
            "pull.key-length": "key_length_in",
            "pull.key-outside": "key_outside_in",
            "pull.sledge": "sledge_lb",
            "pull.load-by": "load_by",
            "pull.reacts-on": "reacts_on",
            "pull.rod-free": "rod_free_in",
            "pull.rod-condition": "rod_condition",
            "pull.rod-thread": "rod_thread_in",
            "pull.engagement": "engagement_in",
            "pull.nut-height": "nut_height_in",
            "pull.steel": "steel_name",
            "pull.jacks": "jacks",
            "pull.jack-share": "jack_share",
            "pull.jack-hole": "jack_hole_in",
            "pull.foot-on": "seat_steel_name",
            "pull.bar-width": "bar_width_in",
            "pull.bar-depth": "bar_depth_in",
            "pull.bar-span": "bar_span_in",
            "pull.bar-hole": "bar_hole_in",
            "pull.bar-steel": "bar_steel_name",
            "pull.weld": "weld_kind",
            "pull.weld-size": "weld_size_in",
            "pull.weld-length": "weld_length_in",
            "pull.weld-sides": "weld_sides",
            "pull.electrode": "electrode_name",
            "pull.weight": "weight_lbf",
            "pull.rod-length": "rod_length_in",
        },
    )
    if got["pull.jack-rating"] is not None:
        more["jack_tons"] = got["pull.jack-rating"] / LBF_PER_US_TON
    if got["pull.foot"] is not None:
        # a hollow ram stands on a ring; rounded down, since it is what the seat carries with
        hole = (got["pull.jack-hole"] or 0.0) if got["pull.method"] == "hollow-ram" else 0.0
        ring = math.pi / 4 * (got["pull.foot"] ** 2 - hole**2)
        more["seat_area_in2"] = math.floor(ring * 100 + 1e-6) / 100
    if got["pull.piston"] is not None:
        more["jack_piston_in2"] = round(math.pi / 4 * got["pull.piston"] ** 2, 3)
    metric = reader_units == "metric"
    division = got["pull.gauge-division"]
    if division is None and got["pull.load-by"] == "gauge":
        bar = practice.value("gauge_division_bar") * PSI_PER_BAR
        division = bar if metric else practice.value("gauge_division")
    more["gauge_division_psi"] = division
    if got["pull.area"] is not None:
        more["jack_piston_in2"] = got["pull.area"] / (SQUARE_CM_PER_IN2 if metric else 1.0)
    if got["pull.pump-stroke"] is not None:
        more["pump_stroke_in3"] = got["pull.pump-stroke"] / (CUBIC_CM_PER_IN3 if metric else 1.0)
    if got["pull.pressure-low"] is not None:
        more["seat_pressure_psi"] = (got["pull.pressure-low"], got["pull.pressure-high"])
    if got["pull.friction-low"] is not None:
        more["friction"] = (got["pull.friction-low"], got["pull.friction-high"])
    if got["pull.travel-low"] is not None:
        more["travel_after_contact_in"] = (got["pull.travel-low"], got["pull.travel-high"])
    if got["pull.advance-low"] is not None:
        more["last_advance_in"] = (got["pull.advance-low"], got["pull.advance-high"])
    grade, size = got["pull.rod-grade"], got["pull.thread"]
    return inputs.PullInputs(
        method=got["pull.method"],
        surface=got["pull.surface"],
        thread_name="" if size in (None, "", NONE) else size,
        grade_name="" if grade in (None, "", UNKNOWN) else grade,
        **more,
    )
