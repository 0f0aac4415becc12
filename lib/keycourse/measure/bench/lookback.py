"""The end of the practice: what was hidden, against what was found, and what each slip cost.

Scatter and the tool's own error are told apart: scatter shows when a place is read again, an own
error only on a standard of known size.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from keycourse.measure.bench.gauge import Reading
from keycourse.measure.bench.reading import widths_of
from keycourse.measure.bench.tools import CALIPER, JAW_MICROMETER, TAPER_BAR, tool_named
from taperkey.counts import counted
from taperkey.formulas.measure import REFERENCE_TEMPERATURE_DEGF, STEEL_EXPANSION_PER_DEGF

if TYPE_CHECKING:
    from keycourse.measure.bench.book import MeasuringBook, Note

__all__ = ["LEFT_LEANING_IN", "bears", "found_on_standard_in", "left_leaning", "look_back"]

LEFT_LEANING_IN = 0.00015
"""From so much on a lean that was left is named: more than a vernier shows by chance [in]."""

Kept = tuple["Note", Reading]


def look_back(book: MeasuringBook) -> list[str]:
    """Return what was hidden, against what was found; one line each.

    Parameters
    ----------
    book : MeasuringBook
        The page of readings.
    """
    standing = book.standing()
    if not standing:
        return ["Write down a reading first; then there is something to compare it with."]
    heights = _heights(book)
    lines = _stations(book, heights)
    lines += _bars(book)
    lines += _widths(book)
    lines += _causes(book, standing)
    lines += _conditions(book, standing)
    lines += _own_errors(book, standing)
    if heights:
        lines += _spread(book, heights)
    return lines


def found_on_standard_in(book: MeasuringBook) -> dict[str, float]:
    """Return what each instrument showed too much on its standard, the mean of its tries [in].

    Parameters
    ----------
    book : MeasuringBook
        The page of readings.
    """
    tries: dict[str, list[float]] = {}
    for note, reading in book.standing():
        if reading.of == "zero":
            own = tries.setdefault(tool_named(reading.tool).instrument, [])
            own.append(note.value_in - reading.standard_in)
    return {name: sum(values) / len(values) for name, values in tries.items()}


def left_leaning(reading: Reading) -> list[tuple[str, float, float]]:
    """Return each plane in which a lean was left: its words, the lean [rad], and its cost [in].

    Parameters
    ----------
    reading : Reading
        A reading of today's model.
    """
    planes = ("along the slot", "across the slot")
    return [
        (plane, abs(lean), cost)
        for plane, lean, cost in zip(planes, reading.left_rad, reading.lean_cost_in, strict=True)
        if cost > LEFT_LEANING_IN
    ]


def bears(book: MeasuringBook, reading: Reading) -> str:
    """Return where a taper bar bears, and what that says of the mouth.

    Parameters
    ----------
    book : MeasuringBook
        The page of readings.
    reading : Reading
        Of the bar.
    """
    if reading.station_in < 0.25:
        return "Shaken, it bears at the mouth: there the bar is as high as the opening."
    return (
        f"Shaken, it bears about {book.units.roughly(reading.station_in)} inside: "
        "the mouth is higher than the bar says."
    )


def _heights(book: MeasuringBook) -> dict[float, list[float]]:
    by_station: dict[float, list[float]] = {}
    for note, reading in book.heights():
        by_station.setdefault(round(reading.station_in, 6), []).append(note.value_in)
    return by_station


def _stations(book: MeasuringBook, heights: Mapping[float, list[float]]) -> list[str]:
    units, lines = book.units, []
    for station, values in sorted(heights.items()):
        mean, true = sum(values) / len(values), float(book.session.slot.height_in(station))
        lines.append(
            f"At {units.place(station)}: mean of {counted(len(values), 'reading')} "
            f"{units.height(mean)}, true opening {units.height(true)}; {_off(book, mean - true)}."
        )
    return lines


def _off(book: MeasuringBook, off: float) -> str:
    if abs(off) < 0.00005:
        return "as near as can be read"
    return f"{book.units.small(abs(off))} {'high' if off > 0 else 'low'}"


def _bars(book: MeasuringBook) -> list[str]:
    units, true_mouth = book.units, float(book.session.slot.height_in(0.0))
    return [
        f"Reading {note.number}, taper bar: mouth "
        f"{units.height(book.mouth(note, reading))}, true opening there "
        f"{units.height(true_mouth)}. {bears(book, reading)}"
        for note, reading in book.standing()
        if reading.of == "height" and reading.tool == TAPER_BAR
    ]


def _widths(book: MeasuringBook) -> list[str]:
    units, lines = book.units, []
    places: dict[tuple[str, float, str], list[float]] = {}
    for note, reading in book.standing():
        if reading.of in ("keyway", "keyseat"):
            key = (reading.of, round(reading.station_in, 6), reading.tool)
            places.setdefault(key, []).append(note.value_in)
    walls = widths_of(book.session.slot)
    for (which, station, tool), values in sorted(places.items()):
        mean, true = sum(values) / len(values), walls[which].width_at_in(station)
        lines.append(
            f"Width of the {which} at {units.place(station)}, {tool}: mean of "
            f"{counted(len(values), 'reading')} {units.height(mean)}, true width there "
            f"{units.height(true)}; {_off(book, mean - true)}."
        )
    for which in sorted({one for one, _, _ in places}):
        lines += _worn(book, which)
    if any(tool in (CALIPER, JAW_MICROMETER) for _, _, tool in places):
        lines.append(
            "Straight jaws touch the narrowest place that they cover. They see no hollow, and "
            "nothing beyond their own length."
        )
    return lines


def _worn(book: MeasuringBook, which: str) -> list[str]:
    units, walls = book.units, widths_of(book.session.slot)[which]
    lines = []
    if walls.bell_in:
        lines.append(
            f"The {which} is bell-mouthed: {units.small(walls.bell_in)} wider at the mouth than "
            "inside. A width taken at the mouth only is that much too large."
        )
    if walls.burr_in:
        gone = "You stoned it off." if book.session.stoned else "It was never stoned off."
        lines.append(
            f"A burr of {units.small(walls.burr_in)} stood in at the mouth of the {which}. {gone}"
        )
    if walls.hollow_in:
        lines.append(
            f"The walls of the {which} are hollow about {units.roughly(walls.hollow_at_in)} "
            f"from the mouth, by {units.small(walls.hollow_in)}. The key has to pass the narrow "
            "places."
        )
    return lines


def _causes(book: MeasuringBook, standing: list[Kept]) -> list[str]:
    units, lines = book.units, []
    clearance = book.session.slot.parameters.diametral_clearance_in
    turned = [
        r for _, r in standing if r.of == "height" and abs(r.keyway_angle_rad - math.pi) > 0.02
    ]
    if turned:
        lost = [clearance / 2 * (1 + math.cos(r.keyway_angle_rad)) for r in turned]
        lines.append(
            f"The keyway was not at the bottom for {len(turned)} of them: up to "
            f"{units.small(max(lost))} of clearance stayed out of the reading. "
            f"The whole clearance is {units.height(clearance)}."
        )
    if slanted := [n.number for n, r in standing if _slanted_then(book, n, r)]:
        listed = ", ".join(map(str, slanted))
        lines.append(
            f"The tool did not pass through square for reading {listed}, so it stayed too long."
        )
    for note, reading in standing:
        for plane, lean, cost in left_leaning(reading):
            lines.append(
                f"Reading {note.number} was left leaning {plane}, by {math.degrees(lean):.1f}°: "
                f"{units.small(cost)} too large."
            )
        if reading.note and reading.tool != TAPER_BAR:
            cost = reading.hand_in
            more = (
                f" That made it {units.small(abs(cost))} too {'large' if cost > 0 else 'small'}."
                if abs(cost) > 0.00005
                else ""
            )
            lines.append(f"Reading {note.number}: {book.felt(reading)}{more}")
    for name in sorted({tool_named(r.tool).instrument for _, r in standing}):
        misread = [
            n.number for n, r in standing if not n.agrees and tool_named(r.tool).instrument == name
        ]
        if misread:
            listed = ", ".join(map(str, misread))
            lines.append(f"Reading {listed} was not written down as the {name} showed it.")
    return lines


def _slanted_then(book: MeasuringBook, note: Note, reading: Reading) -> bool:
    """Whether a reading of the first model never passed through square."""
    if book.of_today(note.number) or reading.of != "height" or reading.tool == TAPER_BAR:
        return False
    square = book.session.slot.height_in(
        reading.station_in, reading.offset_in, reading.keyway_angle_rad
    )
    return reading.span_in > float(square) + 0.0003


def _conditions(book: MeasuringBook, standing: list[Kept]) -> list[str]:
    lines, units = [], book.units
    for note, reading in standing:
        under = book.session.conditions(number=note.number)
        if zero := under["zero_error_in"]:
            lines.append(
                f"Reading {note.number}: the micrometer showed {units.small(zero, sign='+')} "
                "on its standard. The reading is that much too "
                f"{'large' if zero > 0 else 'small'}."
            )
        part, tool = under["part_temperature_f"], under["tool_temperature_f"]
        if part != tool and reading.of != "zero":
            warm, cold = (
                1 + STEEL_EXPANSION_PER_DEGF * (t - REFERENCE_TEMPERATURE_DEGF)
                for t in (part, tool)
            )
            longer = reading.span_in * (warm / cold - 1)
            lines.append(
                f"Reading {note.number}: part {units.temperature(part)}, tool "
                f"{units.temperature(tool)}. That made it {units.small(abs(longer))} "
                f"{'larger' if longer > 0 else 'smaller'}. "
                f"Sizes are stated at {units.both_temperatures(REFERENCE_TEMPERATURE_DEGF)}."
            )
    return lines


def _own_errors(book: MeasuringBook, standing: list[Kept]) -> list[str]:
    """Tell each instrument's own error, what its standard showed of it, and what that mends."""
    units, lines = book.units, []
    found = found_on_standard_in(book)
    own: dict[str, float] = {}
    for note, reading in standing:
        if book.of_today(note.number):
            own[tool_named(reading.tool).instrument] = reading.own_error_in
    for name, error in own.items():
        if abs(error) < 0.00005:
            said = f"The {name} has no error of its own."
        else:
            way = "high" if error > 0 else "low"
            said = (
                f"The {name}'s own error: {units.small(abs(error))} {way} in every one of its "
                "readings alike."
            )
        if name in found:
            lines.append(f"{said} On its standard you found it {_off(book, found[name])}.")
        else:
            lines.append(
                f"{said} You did not try it on a standard, and reading again does not show it."
            )
    mended = _heights_mended(book, found)
    if mended:
        told = "; ".join(f"at {units.place(at)} {_off(book, off)}" for at, off in mended)
        lines.append(f"With what the standard showed taken off, the means are: {told}.")
    return lines


def _heights_mended(book: MeasuringBook, found: Mapping[str, float]) -> list[tuple[float, float]]:
    by_station: dict[float, list[float]] = {}
    for note, reading in book.heights():
        instrument = tool_named(reading.tool).instrument
        if instrument not in found or not book.of_today(note.number):
            return []
        mended = note.value_in - found[instrument]
        by_station.setdefault(round(reading.station_in, 6), []).append(mended)
    slot = book.session.slot
    return [
        (station, sum(values) / len(values) - float(slot.height_in(station)))
        for station, values in sorted(by_station.items())
    ]


def _spread(book: MeasuringBook, by_station: Mapping[float, list[float]]) -> list[str]:
    lines, units = [], book.units
    squares = sum(
        (v - sum(values) / len(values)) ** 2 for values in by_station.values() for v in values
    )
    freedom = sum(len(values) - 1 for values in by_station.values())
    spread = math.sqrt(squares / freedom) if freedom else math.nan
    if freedom:
        lines.append(
            f"Scatter of your readings at one place: {units.finer(spread)} "
            "(standard deviation). The tool's own error is not in it."
        )
    else:
        lines.append("No place was measured twice: nobody can say how well your readings repeat.")
    stations = sorted(by_station)
    if len(stations) > 1:
        true_taper = book.session.slot.line()[1]
        first = stations[0]
        for other in stations[1:]:
            base = other - first
            means = [sum(by_station[s]) / len(by_station[s]) for s in (first, other)]
            taper = (means[0] - means[1]) / base
            line = (
                f"Base {units.place(base)} ({units.span(first, other)}): taper "
                f"{units.taper(taper)}, true {units.taper(true_taper)}"
            )
            if freedom and spread > 0:
                counts = 1 / len(by_station[first]) + 1 / len(by_station[other])
                known = spread * math.sqrt(counts) / base
                line += f"; known to about ± {units.taper(2 * known)}"
            lines.append(line + ".")
    return lines
