"""A kept step of the measuring bench in words, pictures and numbers, for the replay."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from coursework.ink.drawing import Picture
from coursework.ink.shop import ShopUnits
from keycourse.measure.bench.book import PARALLEL, MeasuringBook, Note, mouth_of
from keycourse.measure.bench.gauge import Reading
from keycourse.measure.bench.lookback import left_leaning
from keycourse.measure.bench.pictures import in_slot_picture, micrometer_picture, rocked_picture
from keycourse.measure.bench.tools import tool_named
from taperkey.units import EntryError, parse_quantity

__all__ = [
    "OLDER_BENCH",
    "reading_numbers",
    "reading_pictures",
    "reading_words",
    "written_words",
]

OLDER_BENCH = (
    "Taken on the bench's first model: lean along the slot only, and no error of the tool's own."
)
"""Said of a reading that names no model."""

Rows = tuple[tuple[str, str], ...]


def reading_words(reading: Reading, units: ShopUnits) -> str:
    """Return what was done for a reading."""
    if reading.of == "zero":
        tool = tool_named(reading.tool)
        return f"tried the {tool.instrument} on a standard of {units.height(reading.standard_in)}"
    degrees = math.degrees(reading.keyway_angle_rad)
    turned = "at the bottom" if abs(degrees - 180) < 1 else f"{degrees:.0f}° from the top"
    if reading.tool == PARALLEL:
        return (
            f"slid the taper bar in, standing out {units.place(reading.stand_out_in)},"
            f" keyway {turned}"
        )
    where = "at the mouth"
    if reading.station_in:
        where = f"{units.place(reading.station_in)} from the mouth"
    if reading.of != "height":
        return f"read the width of the {reading.of} with the {reading.tool} {where}"
    return f"read with the {reading.tool} {where}, keyway {turned}"


def written_words(
    book: MeasuringBook, which: int, note: Note | None, reading: Reading
) -> list[str]:
    """Return what the hand felt, what was left leaning, and what was written down."""
    words = [f"In the hand: {book.felt(reading)}"] if reading.note else []
    words += [
        f"It was left leaning {plane}, by {math.degrees(lean):.1f}°."
        for plane, lean, _ in left_leaning(reading)
    ]
    shows = tool_named(reading.tool).instrument
    if note is None:
        words.append(f"Reading {which} was not written down.")
    elif note.agrees:
        words.append(
            f"Reading {which} was written down as {_as_typed(note, book.units)}, as the {shows} "
            "shows."
        )
    else:
        words.append(
            f"Reading {which} was written down as {_as_typed(note, book.units)}; the {shows} "
            f"shows {book.shown_words(which)}."
        )
    if not book.of_today(which):
        words.append(OLDER_BENCH)
    return words


def reading_pictures(
    book: MeasuringBook, which: int, reading: Reading, step: Mapping[str, Any]
) -> tuple[Picture, ...]:
    """Return the tool in the slot as it was rocked, and what was read."""
    shown = micrometer_picture(book, which)
    if reading.of == "zero" or reading.tool == PARALLEL:
        return (shown,)
    way = _way(step)
    stood = reading.left_rad
    if "way" not in step:  # the first model: as square as it was rocked
        low, high = min(way)[0], max(way)[0]
        stood = (max(low, min(high, 0.0)), way[0][1])
    tool, of = reading.tool, reading.of
    slot = in_slot_picture(
        book,
        tool=tool,
        of=of,
        station_in=reading.station_in,
        keyway_angle_rad=reading.keyway_angle_rad,
        now=stood,
    )
    rocked = rocked_picture(book, tool=tool, of=of, way=way, now=stood)
    return tuple(one for one in (slot, rocked, shown) if one is not None)


def reading_numbers(
    book: MeasuringBook, which: int, note: Note | None, reading: Reading, step: Mapping[str, Any]
) -> Rows:
    """Return what could be read off then: name, and value with unit."""
    rows, units = [], book.units
    instrument = tool_named(reading.tool).instrument
    if note is not None:
        rows.append(("Written down", units.height(note.value_in)))
        rows.append((instrument.capitalize(), book.shown_words(which)))
    if reading.tool == PARALLEL and reading.of == "height":
        if note is not None:
            rows.append(("Mouth at 1:96", units.height(mouth_of(note=note, reading=reading))))
    elif "way" in step:
        way = [tuple(map(math.degrees, lean)) for lean in step["way"]]
        for place, plane in enumerate(("along", "across")):
            if plane in tool_named(reading.tool).planes:
                low, high = min(one[place] for one in way), max(one[place] for one in way)
                rows.append((f"Leaned {plane}", f"{low:.1f}° to {high:.1f}°"))
    elif reading.of != "zero":
        first, last = step.get("tilt_rad", 0.15), step.get("rock_to_rad")
        rocked = "not rocked" if last is None else f"rocked to {math.degrees(last):.1f}°"
        rows.append(("Lean", f"{math.degrees(first):.1f}°, {rocked}"))
    if reading.of != "zero" and reading.tool != PARALLEL:
        rows.append(("Lock or drag", f"{100 * step.get('tightness', 0.5):.0f} of 100"))
    under = book.session.conditions(number=which)
    part, tool = under["part_temperature_f"], under["tool_temperature_f"]
    rows.append(("Part and tool", f"{units.temperature(part)} and {units.temperature(tool)}"))
    if under["zero_error_in"]:
        rows.append(("Micrometer on its standard", units.small(under["zero_error_in"], sign="+")))
    return tuple(rows)


def _way(step: Mapping[str, Any]) -> list[tuple[float, float]]:
    """Return the leans of a step; those of the first model lie along the slot."""
    if "way" in step:
        return [(float(along), float(across)) for along, across in step["way"]]
    across = float(step.get("cross_tilt_rad", 0.0))
    first, last = step.get("tilt_rad", 0.15), step.get("rock_to_rad")
    ends = [first] if last is None else [first, last]
    return [(float(one), across) for one in ends]


def _as_typed(note: Note, units: ShopUnits) -> str:
    """Return what was typed; with the shop's own figure where it was typed in another unit."""
    try:
        typed = parse_quantity(note.text, dimension="length", default_unit=units.unit)
    except EntryError:
        return note.text
    if typed.unit == units.unit and abs(typed.value - note.value_in) < 1e-9:
        return note.text
    return f"{note.text} ({units.height(note.value_in)})"
