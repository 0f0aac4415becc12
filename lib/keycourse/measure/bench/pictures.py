"""What the bench looks like at one moment, drawn from its book; for the bench and its replay."""

from __future__ import annotations

from coursework.ink.drawing import Picture
from keycourse.measure.bench.book import PARALLEL, MeasuringBook, micrometer_kind, mouth_of
from keycourse.measure.bench.gauge import TOOLS, Reading
from keycourse.measure.profile import draw_profile
from keycourse.measure.telescoping import draw_telescoping
from keycourse.start.micrometer import draw_micrometer

__all__ = ["gauge_picture", "micrometer_picture", "readings_picture"]


def gauge_picture(
    book: MeasuringBook,
    *,
    station_in: float,
    tilt_rad: float,
    keyway_angle_rad: float,
    leaned_from_rad: float,
    leaned_to_rad: float,
) -> Picture:
    """Draw the telescoping gauge in the slot."""
    slot = book.session.slot.parameters
    return draw_telescoping(
        station_in=station_in,
        tilt_rad=tilt_rad,
        keyway_angle_rad=keyway_angle_rad,
        slot_length_in=slot.length_in,
        height_in=book.opening_in,
        width_in=1.0 if book.opening_in < 1.5 else slot.hub_width_in,
        leaned_from_rad=leaned_from_rad,
        leaned_to_rad=leaned_to_rad,
        units=book.units,
    )


def micrometer_picture(book: MeasuringBook, number: int) -> Picture:
    """Draw the micrometer over a reading."""
    kind, shown = micrometer_kind(book.units), book.shown(number)
    if book.units.metric:
        return draw_micrometer(reading_mm=shown, kind=kind)
    return draw_micrometer(reading_in=shown, kind=kind)


def readings_picture(book: MeasuringBook, *, true: bool) -> Picture:
    """Draw the readings that stand along the slot, with the true line or without."""
    points = [(_station_in(r), mouth_of(note=n, reading=r) if r.tool == PARALLEL else n.value_in)
              for n, r in book.standing()]  # fmt: skip
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


def _station_in(reading: Reading) -> float:
    return 0.0 if reading.tool == TOOLS[2] else reading.station_in
