"""What the bench looks like at one moment, drawn from its book; for the bench and its replay."""

from __future__ import annotations

from collections.abc import Sequence

from coursework.ink.drawing import Picture
from keycourse.fit.bench.book import FittingBook
from keycourse.fit.marks import draw_marks, draw_stand_out
from keycourse.measure.feeler import draw_feeler

__all__ = ["feeler_picture", "marks_picture", "stand_out_picture"]

Aim = tuple[Sequence[str], float, float]


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
