"""What the bench looks like at one moment, drawn from its book; for the bench and its replay."""

from __future__ import annotations

from coursework.ink.drawing import Picture
from keycourse.pull.bench.book import PullingBook
from keycourse.pull.gauge_picture import draw_gauge
from keycourse.pull.load_path import draw_load_path
from keycourse.pull.rig_picture import draw_capacity_chain, draw_rig

__all__ = ["chain_picture", "needle_picture", "path_picture", "rig_picture"]


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
        load_words="last blow" if book.rig == "slide hammer" else "on now",
        units=book.units,
    )


def needle_picture(book: PullingBook) -> Picture | None:
    """Draw the gauge of the pump as it is read; None without one."""
    state = book.session.state
    if state.give is None or book.mark_psi <= 0:
        return None
    seen = state.observations[-1].values if state.observations else {}
    return draw_gauge(
        needle_psi=state.give.needle_psi(state.load_lbf),
        mark_psi=book.mark_psi,
        strokes_psi=seen.get("needle_psi", ()),
        units=book.units,
    )


def path_picture(book: PullingBook) -> Picture | None:
    """Draw load against the run of the jacks on the rig set up last; None before a load."""
    points, jumped, stop = book.load_path()
    if not points or not stop:
        return None
    return draw_load_path(points=points, stop_lbf=stop, jumped=jumped, units=book.units)
