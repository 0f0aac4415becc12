"""What the bench looks like at one moment, drawn from its book; for the bench and its replay."""

from __future__ import annotations

from collections.abc import Sequence

from coursework.ink.drawing import Picture
from keycourse.measure.bench.book import PARALLEL, MeasuringBook, instrument_kind, mouth_of
from keycourse.measure.bench.reading import widths_of
from keycourse.measure.bench.tools import CALIPER, TELESCOPING, tool_named
from keycourse.measure.profile import draw_profile
from keycourse.measure.rocked import draw_rocked
from keycourse.measure.slotwidth import draw_width
from keycourse.measure.telescoping import draw_telescoping
from keycourse.start.caliper import draw_vernier_caliper
from keycourse.start.micrometer import draw_micrometer

__all__ = ["in_slot_picture", "micrometer_picture", "readings_picture", "rocked_picture"]

Way = Sequence[tuple[float, float]]


def in_slot_picture(
    book: MeasuringBook,
    *,
    tool: str,
    of: str,
    station_in: float,
    keyway_angle_rad: float,
    now: tuple[float, float],
) -> Picture | None:
    """Draw a tool in the slot from the side; None for a tool that is not drawn so."""
    slot, one = book.session.slot.parameters, tool_named(tool)
    lean = now[0] if "along" in one.planes else 0.0
    if of != "height":
        return draw_width(
            tool=tool,
            which=of,
            station_in=station_in,
            length_in=slot.length_in,
            width_in=slot.hub_width_in if of == "keyway" else slot.shaft_width_in,
            lean_rad=lean,
            jaws=bool(one.face_length_in),
            reach_in=one.reach_in,
            burr=bool(widths_of(book.session.slot)[of].burr_in) and not book.session.stoned,
            units=book.units,
        )
    if tool != TELESCOPING:
        return None
    return draw_telescoping(
        station_in=station_in,
        tilt_rad=lean,
        keyway_angle_rad=keyway_angle_rad,
        slot_length_in=slot.length_in,
        height_in=book.opening_in,
        width_in=_wide(book),
        units=book.units,
    )


def rocked_picture(
    book: MeasuringBook, *, tool: str, of: str, way: Way, now: tuple[float, float]
) -> Picture | None:
    """Draw a tool from the mouth, and how it was rocked; None for the taper bar."""
    one = tool_named(tool)
    if not one.planes:
        return None
    high, wide, metals = book.opening_in, _wide(book), ("shaft", "hub")
    if of != "height":
        metal = "hub" if of == "keyway" else "shaft"
        high, wide, metals = wide, high, (metal, metal)
    return draw_rocked(
        way=way,
        now=now,
        planes=one.planes,
        high_in=high,
        wide_in=wide,
        metals=metals,
        jaws=bool(one.face_length_in),
    )


def _wide(book: MeasuringBook) -> float:
    """Width of the slot as it is drawn: a slot of about 1 in is drawn square."""
    wide = book.session.slot.parameters.hub_width_in
    return 1.0 if 0.75 < book.opening_in < 1.5 else wide


def micrometer_picture(book: MeasuringBook, number: int) -> Picture:
    """Draw the micrometer over a reading, or the caliper as it stands."""
    tool, shown = book.session.readings()[number - 1].tool, book.shown(number)
    if tool == CALIPER:
        if book.units.metric:
            return draw_vernier_caliper(reading_mm=shown, kind="metric")
        return draw_vernier_caliper(reading_in=shown, kind="inch")
    kind = instrument_kind(book.units, tool)
    if book.units.metric:
        return draw_micrometer(reading_mm=shown, kind=kind)
    return draw_micrometer(reading_in=shown, kind=kind)


def readings_picture(book: MeasuringBook, *, true: bool) -> Picture:
    """Draw the heights that stand along the slot, with the true line or without."""
    points = [(reading.station_in, note.value_in) for note, reading in book.heights()]
    points += [
        (0.0, mouth_of(note=note, reading=reading))
        for note, reading in book.standing()
        if reading.tool == PARALLEL and reading.of == "height"
    ]
    slot = book.session.slot
    mouth, taper = slot.line()
    return draw_profile(
        stations_in=[x for x, _ in points],
        heights_in=[height for _, height in points],
        length_in=slot.parameters.length_in,
        true_mouth_in=mouth if true else None,
        true_taper_in_per_in=taper if true else None,
        units=book.units,
    )
