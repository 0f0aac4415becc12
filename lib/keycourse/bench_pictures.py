"""What a bench looks like at one moment, drawn from its book; for the bench and its replay."""

from __future__ import annotations

from collections.abc import Sequence

from taperkey.bench.gauge import TOOLS, Reading
from taperkey.figures.feeler import draw_feeler
from taperkey.figures.fitting import draw_marks, draw_stand_out
from taperkey.figures.ink import Picture
from taperkey.figures.micrometer import draw_micrometer
from taperkey.figures.profile import draw_profile
from taperkey.figures.pulling import draw_capacity_chain, draw_rig
from taperkey.figures.telescoping import draw_telescoping
from taperkey.worksheet.fitting_book import FittingBook
from taperkey.worksheet.measuring_book import PARALLEL, MeasuringBook, micrometer_kind, mouth_of
from taperkey.worksheet.pulling_book import PullingBook

__all__ = [
    "chain_picture",
    "feeler_picture",
    "gauge_picture",
    "marks_picture",
    "micrometer_picture",
    "readings_picture",
    "rig_picture",
    "stand_out_picture",
]

Aim = tuple[Sequence[str], float, float]


# fitting


def marks_picture(book: FittingBook, *, aim: Aim | None = None) -> Picture:
    """Draw both faces of the key as they are now."""
    session = book.session
    state, key = session.state, session.key_parameters
    marks = state.marks
    return draw_marks(
        top=None if marks is None else marks.top,
        bottom=None if marks is None else marks.bottom,
        blued=state.film_in > 0,
        length_in=state.key.length_in,
        width_in=key.width_in,
        face_in=key.width_in - 2 * key.edge_ease_in,
        stood_out_in=state.pushes[-1].projection_in if state.pushes else 0.0,
        filed_top=book.filed_since("top"),
        filed_bottom=book.filed_since("bottom"),
        aim=aim,
        filings=state.dirty,
        units=book.units,
    )


def stand_out_picture(book: FittingBook) -> Picture:
    """Draw how far the key stands out of its slot, now and before."""
    session = book.session
    state, pushes = session.state, session.state.pushes
    return draw_stand_out(
        projection_in=state.projection_in if book.in_slot else None,
        first_projection_in=pushes[0].projection_in if pushes else None,
        before_in=pushes[-2].projection_in if len(pushes) > 1 else None,
        length_in=session.slot.parameters.length_in,
        height_in=1.0,
        taper_in_per_in=session.key_parameters.taper_in_per_in,
        driven=state.driven,
        units=book.units,
    )


def feeler_picture(book: FittingBook) -> Picture | None:
    """Draw where the leaf went in when it was last tried; None when it was not."""
    felt = [one for one in book.session.observations if one.step == "feel"]
    if not felt:
        return None
    return draw_feeler(
        **felt[-1].values,
        length_in=book.session.slot.parameters.length_in,
        units=book.units,
    )


# pulling


def rig_picture(book: PullingBook) -> Picture:
    """Draw the rig on the key as it stands now."""
    state, case = book.session.state, book.case
    standing = book.rig if state.links or book.gone else "none"
    return draw_rig(
        rig=standing or "none",
        hold=case.picture_hold,
        load_lbf=state.load_lbf,
        gone=book.gone,
        key_out=state.out,
        hub_off=state.hub_off,
        key_width_in=case.width_in,
        slot_length_in=case.length_in,
        units=book.units,
    )


def chain_picture(book: PullingBook) -> Picture | None:
    """Draw what each link of the rig carries; None without a rig."""
    capacities = book.capacities_lbf()
    if not capacities:
        return None
    pull = book.case.demand
    return draw_capacity_chain(
        capacities_lbf=capacities,
        demand_low_lbf=pull.low_lbf,
        demand_high_lbf=pull.high_lbf,
        load_lbf=book.session.state.load_lbf,
        load_words="last blow" if book.rig == "sliding weight" else "on now",
        units=book.units,
    )


# measuring


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
