"""Live faces of the key lesson: the key drawing, and the cutting plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import ipywidgets

from taperkey.figures.cuttingplan import draw_cutting_plan
from taperkey.figures.ink import Picture
from taperkey.figures.keydrawing import TappedHole, draw_key
from taperkey.formulas.cutting import CuttingPlan, StockChoice, choose_stock, cutting_plan
from taperkey.formulas.key import KeyBlank, KeySize, key_blank, key_size
from taperkey.formulas.key_form import (
    SteppedKey,
    TappedEnd,
    chamfer_clears,
    held_off_height_in,
    stepped_key,
    tapped_end,
)
from taperkey.tables.keys import MM_PER_IN, keyseat_fillet
from taperkey.tables.threads import thread
from taperkey.units import fraction_text
from taperkey.worksheet.controls import Face, choice, labelled_slider

__all__ = ["KeyShown", "cutting_explorer", "key_explorer", "key_of"]

OUTSIDE_IN = 0.75
SIDE_CLEARANCE_IN = 0.002
RELIEF_IN = 0.020  # by which the step keeps off the corner it faces
CLEAN_UP_IN = 0.045  # straight cut and least of the taper cut together
PLAIN_LIMIT_IN = 0.004

_SHAFTS = (
    ("2-15/16 in", "inch", 2.9375),
    ("3-15/16 in", "inch", 3.9375),
    ("5-15/16 in", "inch", 5.9375),
    ("8 in", "inch", 8.0),
    ("75 mm", "metric", 75 / MM_PER_IN),
    ("110 mm", "metric", 110 / MM_PER_IN),
)
_TAPERS = (("1:96 (inch standard)", 1 / 96), ("1:100 (metric standard)", 1 / 100), ("1:78", 1 / 78))
_HOLES = (
    ("not tapped", ""),
    ("1/2-13 UNC", "1/2-13 UNC"),
    ("3/4-10 UNC", "3/4-10 UNC"),
    ("1-8 UNC", "1-8 UNC"),
)


@dataclass(frozen=True, kw_only=True)
class KeyShown:
    """Everything that the key drawing shows, worked out from a measured slot."""

    system: str
    size: KeySize
    blank: KeyBlank
    form: SteppedKey
    is_stepped: bool
    chamfer_in: float
    slot_radius_in: float
    held_off_in: float
    stock: StockChoice
    hole: TappedHole | None
    end: TappedEnd | None

    @property
    def hub_width_in(self) -> float:
        """Width drawn for the hub portion [in]."""
        return self.form.hub_width_in if self.is_stepped else self.form.shaft_width_in

    @property
    def stand_out_in(self) -> float:
        """How far the new key stands out of the mouth [in]."""
        return self.blank.stand_out_in + OUTSIDE_IN


def key_of(
    *,
    shaft: int,
    taper: float,
    hub_length_in: float,
    over_thou: float,
    allowance_thou: float,
    worn_thou: float,
    chamfer_64ths: float,
    hole: str,
) -> KeyShown:
    """Return the key for a slot.

    Parameters
    ----------
    shaft : int
        Place in the list of shafts.
    taper : float
        Taper of the opening [in/in].
    hub_length_in : float
        Length of the slot in the hub [in].
    over_thou : float
        Height of the opening at the mouth over that of the table [0.001 in].
    allowance_thou : float
        Left on for fitting [0.001 in].
    worn_thou : float
        What the hub slot is wider than the shaft slot [0.001 in].
    chamfer_64ths : float
        Chamfer of the long edges [1/64 in].
    hole : str
        Thread in the large end; empty for none.
    """
    _, system, diameter = _SHAFTS[int(shaft)]
    size = key_size(shaft_diameter_in=diameter, system=system)
    mouth = size.height_in + over_thou / 1000
    blank = key_blank(
        mouth_height_in=mouth,
        taper_in_per_in=taper,
        engaged_length_in=hub_length_in,
        allowance_in=allowance_thou / 1000,
        extra_length_in=OUTSIDE_IN,
    )
    form = stepped_key(
        hub_slot_width_in=size.width_in + worn_thou / 1000,
        shaft_slot_width_in=size.width_in,
        shaft_slot_side_depth_in=size.height_in / 2,
        large_end_height_in=blank.large_end_height_in,
        small_end_height_in=blank.small_end_height_in,
        side_clearance_in=SIDE_CLEARANCE_IN,
        relief_in=RELIEF_IN if worn_thou > 1000 * PLAIN_LIMIT_IN else 0.0,
    )
    stepped = form.step_in * 2 > PLAIN_LIMIT_IN + 1e-9
    radius = keyseat_fillet(key_height_in=size.height_in).fillet_radius_in
    chamfer = chamfer_64ths / 64
    wide = max(form.hub_width_in, form.shaft_width_in) if stepped else form.shaft_width_in
    drilled, end = _tapped(hole, form.shaft_width_in, blank, taper)
    return KeyShown(
        system=system,
        size=size,
        blank=blank,
        form=form,
        is_stepped=stepped,
        chamfer_in=chamfer,
        slot_radius_in=radius,
        held_off_in=float(held_off_height_in(slot_radius_in=radius, chamfer_in=chamfer)),
        stock=choose_stock(
            key_width_in=wide,
            key_height_in=blank.large_end_height_in,
            height_clean_up_in=CLEAN_UP_IN,
        ),
        hole=drilled,
        end=end,
    )


def _tapped(
    name: str, width_in: float, blank: KeyBlank, taper: float
) -> tuple[TappedHole | None, TappedEnd | None]:
    if not name:
        return None, None
    row = thread(name=name)
    depth = 2 * row.diameter_in
    hole = TappedHole(name=name, diameter_in=row.diameter_in, pitch_in=row.pitch_in, depth_in=depth)
    end = tapped_end(
        width_in=width_in,
        large_end_height_in=blank.large_end_height_in,
        taper_in_per_in=taper,
        hole_diameter_in=row.diameter_in,
        hole_depth_in=depth,
    )
    return hole, end


def _draw_key(shown: KeyShown) -> Picture:
    return draw_key(
        large_height_in=shown.blank.large_end_height_in,
        small_height_in=shown.blank.small_end_height_in,
        length_in=shown.blank.length_in,
        hub_width_in=shown.hub_width_in,
        shaft_width_in=shown.form.shaft_width_in,
        shaft_portion_in=shown.form.shaft_portion_height_in,
        chamfer_in=shown.chamfer_in,
        tapped=shown.hole if shown.end is not None and shown.end.fits else None,
        stand_out_in=min(shown.stand_out_in, shown.blank.length_in),
        title="The new key, before fitting",
        system=shown.system,
    )


def _long(value_in: float, system: str) -> str:
    return f"{value_in * MM_PER_IN:.1f} mm" if system == "metric" else f"{value_in:.2f} in"


def _high(value_in: float, system: str) -> str:
    return f"{value_in * MM_PER_IN:.3f} mm" if system == "metric" else f"{value_in:.4f} in"


def _tell_key(shown: KeyShown) -> Sequence[str]:
    system, size = shown.system, shown.size
    if system == "metric":
        named = f"{size.width_in * MM_PER_IN:g} × {size.height_in * MM_PER_IN:g} mm"
    else:
        named = f"{fraction_text(size.width_in)} × {fraction_text(size.height_in)}"
    lines = [
        f"By {size.standard} this shaft has a key {named}. The measured slot asks for "
        f"{_high(shown.blank.large_end_height_in, system)} at the large end and "
        f"{_high(shown.blank.small_end_height_in, system)} at the small end.",
        f"First pushed in by hand it stands {_long(shown.stand_out_in, system)} out: "
        f"{_long(shown.blank.stand_out_in, system)} of travel for the allowance, and "
        f"{_long(OUTSIDE_IN, system)} that stay outside.",
    ]
    if shown.is_stepped:
        lines.append(
            f"The hub slot is wider than a plain key can serve: a stepped key, "
            f"{_high(shown.form.step_in, system)} on each side."
        )
    if shown.held_off_in > 0 or not chamfer_clears(
        slot_radius_in=shown.slot_radius_in, chamfer_in=shown.chamfer_in
    ):
        lines.append(
            "The eased edge does not clear a corner radius of "
            f"{_edge(shown.slot_radius_in, system)}: it rides on it and holds the key "
            f"{_high(shown.held_off_in, system)} off the bottom."
        )
    if shown.end is not None and not shown.end.fits:
        lines.append("That thread is larger than the end of this key. Take a smaller one.")
    elif shown.end is not None:
        lines.append(
            f"Round the thread {_high(min(shown.end.top_wall_in, shown.end.side_wall_in), system)} "
            "of wall is left at the thinnest place."
        )
    lines.append(
        f"Smallest bar, inch sizes, with {CLEAN_UP_IN:.3f} in to cut off the height: "
        f"{fraction_text(shown.stock.width_in)} × {fraction_text(shown.stock.height_in)}."
    )
    return lines


def _edge(value_in: float, system: str) -> str:
    return f"{value_in * MM_PER_IN:.1f} mm" if system == "metric" else fraction_text(value_in)


def key_explorer() -> ipywidgets.VBox:
    """Return the key for a slot that can be changed, drawn and dimensioned."""
    return Face(
        title="A key for this slot",
        under="Change the slot and see what the key becomes. What moves the stand-out most?",
        inputs={
            "shaft": choice(
                label="Shaft",
                options=[(one[0], place) for place, one in enumerate(_SHAFTS)],
                value=1,
            ),
            "taper": choice(label="Taper of the opening", options=_TAPERS, value=1 / 96),
            "hub_length_in": labelled_slider(
                label="Length in the hub", value=9.0, low=4.0, high=16.0, step=0.5, unit="in"
            ),
            "over_thou": labelled_slider(
                label="Opening over table",
                value=12,
                low=0,
                high=60,
                step=1,
                unit="thousandths",
                tip="Height of the opening at the mouth, over the key height of the table",
            ),
            "allowance_thou": labelled_slider(
                label="Left on for fitting", value=10, low=0, high=20, step=1, unit="thousandths"
            ),
            "worn_thou": labelled_slider(
                label="Hub slot wider by", value=0, low=0, high=60, step=1, unit="thousandths"
            ),
            "chamfer_64ths": labelled_slider(
                label="Edges eased by", value=5, low=0, high=12, step=1, unit="64ths"
            ),
            "hole": choice(label="Thread in large end", options=_HOLES, value="1/2-13 UNC"),
        },
        compute=key_of,
        draw=_draw_key,
        tell=_tell_key,
    ).widget


LARGE_IN, SMALL_IN, BLANK_IN = 1.0222, 0.9206, 9.75
_BARS = (
    ("1 in square", 1.0),
    ("1-1/16 in high", 1.0625),
    ("1-1/8 in square", 1.125),
    ("1-1/4 in square", 1.25),
)


@dataclass(frozen=True, kw_only=True)
class _Cuts:
    plan: CuttingPlan
    relief_done: bool
    passes_done: int
    passes_asked: int


def _cuts_of(
    *, bar_in: float, relief_thou: float, deepest_thou: float, order: str, passes: float
) -> _Cuts:
    plan = cutting_plan(
        stock_height_in=bar_in,
        large_end_height_in=LARGE_IN,
        small_end_height_in=SMALL_IN,
        length_in=BLANK_IN,
        relief_cut_in=relief_thou / 1000,
        deepest_pass_in=deepest_thou / 1000,
    )
    return _Cuts(
        plan=plan,
        relief_done=order == "taken",
        passes_done=min(round(passes), plan.passes),
        passes_asked=round(passes),
    )


def _tell_cuts(cuts: _Cuts) -> Sequence[str]:
    plan = cuts.plan
    lines = [
        f"{plan.height_after_relief_in:.4f} in high after the straight cut. The taper cut takes "
        f"{plan.large_end_cut_in:.4f} in off the large end and {plan.small_end_cut_in:.4f} in off "
        f"the small end, in {_passes(plan.passes)} of {plan.depth_per_pass_in:.4f} in.",
        f"The master key rises {plan.master_key_rise_in:.4f} in along the blank, its high end "
        "under the small end.",
    ]
    if cuts.passes_asked > plan.passes:
        lines.append("It is down to size; another pass would make scrap of it.")
    elif cuts.passes_done == plan.passes:
        lines.append("Down to size: measure both ends before it leaves the vise.")
    if plan.large_end_cut_in < 0.010:
        lines.append("Little comes off the large end: some of the skin may stay on. A larger bar?")
    return lines


def _passes(count: int) -> str:
    return "1 pass" if count == 1 else f"{count} passes"


def _draw_cuts(cuts: _Cuts) -> Picture:
    return draw_cutting_plan(
        plan=cuts.plan,
        length_in=BLANK_IN,
        relief_done=cuts.relief_done,
        passes_done=cuts.passes_done,
    )


def cutting_explorer() -> ipywidgets.VBox:
    """Return the two set-ups of one blank, cut by cut."""
    return Face(
        title="From bar to blank",
        under=f"The blank: {LARGE_IN:.4f} in at the large end, {SMALL_IN:.4f} in at the small end, "
        f"{BLANK_IN:g} in long. Choose the bar, take the straight cut, then pass after pass.",
        inputs={
            "bar_in": choice(label="Bar", options=_BARS, value=1.125),
            "relief_thou": labelled_slider(
                label="Straight cut", value=30, low=10, high=80, step=5, unit="thousandths"
            ),
            "deepest_thou": labelled_slider(
                label="Deepest pass", value=50, low=10, high=100, step=10, unit="thousandths"
            ),
            "order": choice(
                label="Straight cut is",
                options=[("not taken yet", "not yet"), ("taken", "taken")],
                value="not yet",
            ),
            "passes": labelled_slider(
                label="Passes of taper cut", value=0, low=0, high=12, step=1, unit="passes"
            ),
        },
        compute=_cuts_of,
        draw=_draw_cuts,
        tell=_tell_cuts,
    ).widget
