"""Live faces of the key lesson: the key drawing, and the cutting plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import ipywidgets

from coursework.ink.drawing import Picture
from coursework.page.controls import (
    Face,
    LabelledSlider,
    choice,
    labelled_slider,
)
from keycourse.key.cuttingplan import draw_cutting_plan
from keycourse.key.keydrawing import TappedHole, draw_key
from taperkey import practice
from taperkey.counts import counted
from taperkey.formulas.cutting import CuttingPlan, choose_stock, cutting_plan
from taperkey.formulas.key import KeyBlank, KeySize, key_blank, key_size
from taperkey.formulas.key_form import (
    SteppedKey,
    TappedEnd,
    chamfer_clears,
    held_off_height_in,
    stepped_key,
    tapped_end,
)
from taperkey.tables.threads import thread
from taperkey.units import MM_PER_IN, System, fraction_text

__all__ = ["KeyShown", "cutting_explorer", "key_explorer", "key_of"]


def _mm(value: float) -> float:
    return value / MM_PER_IN


@dataclass(frozen=True, kw_only=True)
class _Shop:
    """What one system of units offers on the key face; lengths in inches."""

    shafts: tuple[tuple[str, float, float], ...]  # name, diameter, radius in the slot's corners
    threads: tuple[str, ...]
    outside_in: float
    side_clearance_in: float
    relief_in: float  # by which the step keeps off the corner it faces
    plain_limit_in: float
    clean_up_in: float  # relief cut and least of the taper cut together


_SHOPS: dict[str, _Shop] = {
    "inch": _Shop(
        shafts=(
            ("2-15/16 in", 2.9375, 1 / 16),
            ("3-15/16 in", 3.9375, 1 / 16),
            ("5-15/16 in", 5.9375, 1 / 8),
            ("8 in", 8.0, 1 / 8),
        ),
        threads=("1/2-13 UNC", "3/4-10 UNC", "1-8 UNC"),
        outside_in=0.75,
        side_clearance_in=practice.value("side_clearance"),
        relief_in=practice.value("step_relief"),
        plain_limit_in=practice.value("plain_key_limit"),
        clean_up_in=0.045,
    ),
    "metric": _Shop(
        shafts=(
            ("75 mm", _mm(75), _mm(0.6)),
            ("110 mm", _mm(110), _mm(0.8)),
            ("140 mm", _mm(140), _mm(1.0)),
            ("200 mm", _mm(200), _mm(1.2)),
        ),
        threads=("M12", "M16", "M20"),
        outside_in=_mm(20),
        side_clearance_in=_mm(practice.metric("side_clearance")),
        relief_in=_mm(practice.metric("step_relief")),
        plain_limit_in=_mm(practice.metric("plain_key_limit")),
        clean_up_in=_mm(1.2),
    ),
}
_TAPERS = (("1:96 (inch standard)", 1 / 96), ("1:100 (metric standard)", 1 / 100), ("1:78", 1 / 78))


@dataclass(frozen=True, kw_only=True)
class KeyShown:
    """Everything that the key drawing shows, worked out from a measured slot."""

    system: System
    size: KeySize
    blank: KeyBlank
    form: SteppedKey
    is_stepped: bool
    chamfer_in: float
    slot_radius_in: float
    held_off_in: float
    hole: TappedHole | None
    end: TappedEnd | None

    @property
    def hub_width_in(self) -> float:
        """Width drawn for the hub portion [in]."""
        return self.form.hub_width_in if self.is_stepped else self.form.shaft_width_in

    @property
    def stand_out_in(self) -> float:
        """How far the new key stands out of the mouth [in]."""
        return self.blank.travel_to_home_in + _SHOPS[self.system].outside_in


def key_of(
    *,
    system: System = "inch",
    shaft: int,
    taper: float,
    hub_length_in: float,
    over_in: float,
    allowance_in: float,
    wider_in: float,
    chamfer_in: float,
    hole: str,
) -> KeyShown:
    """Return the key for a slot.

    Parameters
    ----------
    system : str
        "inch" or "metric".
    shaft : int
        Place in the system's list of shafts.
    taper : float
        Taper of the opening [in/in].
    hub_length_in : float
        Length of the slot in the hub [in].
    over_in : float
        Height of the opening at the mouth over that of the table [in].
    allowance_in : float
        Left on for fitting [in].
    wider_in : float
        What the hub slot is wider than the shaft slot [in].
    chamfer_in : float
        Chamfer of the long edges [in].
    hole : str
        Thread in the large end; empty for none.
    """
    shop = _SHOPS[system]
    _, diameter, radius = shop.shafts[int(shaft)]
    size = key_size(shaft_diameter_in=diameter, system=system)
    blank = key_blank(
        mouth_height_in=size.height_in + over_in,
        taper_in_per_in=taper,
        engaged_length_in=hub_length_in,
        allowance_in=allowance_in,
        extra_length_in=shop.outside_in,
    )
    stepped = wider_in > shop.plain_limit_in + 1e-9
    form = stepped_key(
        hub_slot_width_in=size.width_in + wider_in,
        shaft_slot_width_in=size.width_in,
        shaft_slot_side_depth_in=size.height_in / 2,
        large_end_height_in=blank.large_end_height_in,
        small_end_height_in=blank.small_end_height_in,
        side_clearance_in=shop.side_clearance_in,
        relief_in=shop.relief_in if stepped else 0.0,
    )
    drilled, end = _tapped(hole, form.shaft_width_in, blank, taper)
    return KeyShown(
        system=system,
        size=size,
        blank=blank,
        form=form,
        is_stepped=stepped,
        chamfer_in=chamfer_in,
        slot_radius_in=radius,
        held_off_in=float(held_off_height_in(slot_radius_in=radius, chamfer_in=chamfer_in)),
        hole=drilled,
        end=end,
    )


def _tapped(
    name: str, width_in: float, blank: KeyBlank, taper: float
) -> tuple[TappedHole | None, TappedEnd | None]:
    if not name:
        return None, None
    row = thread(name=name)
    depth = practice.value("hole_depth") * row.diameter_in
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


def _long(value_in: float, system: System) -> str:
    return f"{value_in * MM_PER_IN:.1f} mm" if system == "metric" else f"{value_in:.2f} in"


def _high(value_in: float, system: System) -> str:
    return f"{value_in * MM_PER_IN:.3f} mm" if system == "metric" else f"{value_in:.4f} in"


def _edge(value_in: float, system: System) -> str:
    return f"{value_in * MM_PER_IN:.1f} mm" if system == "metric" else fraction_text(value_in)


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
        f"{_long(shown.blank.travel_to_home_in, system)} of travel for the allowance, and "
        f"{_long(_SHOPS[system].outside_in, system)} that stay outside.",
    ]
    if shown.is_stepped:
        lines.append(
            f"The hub slot is wider than a plain key can serve: a stepped key, "
            f"{_high(shown.form.step_in, system)} on each side."
        )
    if not chamfer_clears(slot_radius_in=shown.slot_radius_in, chamfer_in=shown.chamfer_in):
        lines.append(
            "The eased edge does not clear the corner radius of this slot, "
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
    lines.append(_bar_line(shown))
    return lines


def _bar_line(shown: KeyShown) -> str:
    """Say which bar the key comes out of, with the clean-up of the shop on its height."""
    shop = _SHOPS[shown.system]
    wide = max(shown.hub_width_in, shown.form.shaft_width_in)
    high = shown.blank.large_end_height_in
    bar = choose_stock(
        key_width_in=wide,
        key_height_in=high,
        height_clean_up_in=shop.clean_up_in,
        system=shown.system,
    )
    if shown.system == "metric":
        return (
            f"Smallest bar, with {shop.clean_up_in * MM_PER_IN:.1f} mm to cut off the height: "
            f"{bar.width_in * MM_PER_IN:g} × {bar.height_in * MM_PER_IN:g} mm."
        )
    return (
        f"Smallest bar, with {shop.clean_up_in:.3f} in to cut off the height: "
        f"{fraction_text(bar.width_in)} × {fraction_text(bar.height_in)}."
    )


def _picture_first(face: Face) -> ipywidgets.VBox:
    """Return a face with its picture above the controls."""
    heading, *controls = face.widget.children[: 1 + len(face.inputs)]
    face.widget.children = (heading, face.picture, *controls, face.words)
    return face.widget


def _slider(
    system: System,
    label: str,
    inch: tuple[float, float, float, float, str],
    metric: tuple[float, float, float, float, str],
    tip: str = "",
) -> LabelledSlider:
    """Return a slider by its start, low end, high end, step and unit in either system."""
    value, low, high, step, unit = metric if system == "metric" else inch
    return labelled_slider(
        label=label, value=value, low=low, high=high, step=step, unit=unit, tip=tip
    )


def key_explorer(*, system: System = "inch") -> ipywidgets.VBox:
    """Return the key for a slot that can be changed, drawn and dimensioned."""
    shop = _SHOPS[system]
    along = 1.0 if system == "inch" else MM_PER_IN  # entered units in an inch
    fine = 1000.0 if system == "inch" else MM_PER_IN
    edge = 64.0 if system == "inch" else MM_PER_IN
    thou = "thousandths"
    return _picture_first(
        Face(
            title="A key for this slot",
            under="Change the slot and see what the key becomes. What moves the stand-out most?",
            inputs={
                "shaft": choice(
                    label="Shaft",
                    options=[(one[0], place) for place, one in enumerate(shop.shafts)],
                    value=1,
                ),
                "taper": choice(
                    label="Taper of the opening",
                    options=_TAPERS,
                    value=1 / 96 if system == "inch" else 1 / 100,
                ),
                "length": _slider(
                    system, "Length in the hub", (9, 4, 16, 0.5, "in"), (230, 100, 400, 10, "mm")
                ),
                "over": _slider(
                    system,
                    "Opening over table",
                    (12, 0, 60, 1, thou),
                    (0.3, 0, 1.5, 0.05, "mm"),
                    "Height of the opening at the mouth, over the key height of the table",
                ),
                "allowance": _slider(
                    system, "Left on for fitting", (10, 0, 20, 1, thou), (0.25, 0, 0.5, 0.05, "mm")
                ),
                "wider": _slider(
                    system, "Hub slot wider by", (0, 0, 60, 1, thou), (0, 0, 1.5, 0.05, "mm")
                ),
                "chamfer": _slider(
                    system, "Edges eased by", (5, 0, 12, 1, "64ths"), (1.0, 0, 3, 0.1, "mm")
                ),
                "hole": choice(
                    label="Thread in large end",
                    options=[("not tapped", "none"), *((name, name) for name in shop.threads)],
                    value=shop.threads[0],
                ),
            },
            compute=lambda shaft, taper, length, over, allowance, wider, chamfer, hole: key_of(
                system=system,
                shaft=shaft,
                taper=taper,
                hub_length_in=length / along,
                over_in=over / fine,
                allowance_in=allowance / fine,
                wider_in=wider / fine,
                chamfer_in=chamfer / edge,
                hole="" if hole == "none" else hole,
            ),
            draw=_draw_key,
            tell=_tell_key,
        )
    )


@dataclass(frozen=True, kw_only=True)
class _Blank:
    """The blank of the cutting face; lengths in inches."""

    large_in: float
    small_in: float
    length_in: float
    bars: tuple[tuple[str, float], ...]
    usual: float
    least_in: float


_BLANKS: dict[str, _Blank] = {
    "inch": _Blank(
        large_in=1.0222,
        small_in=0.9206,
        length_in=9.75,
        bars=(
            ("1 in square", 1.0),
            ("1-1/16 in high", 1.0625),
            ("1-1/8 in square", 1.125),
            ("1-1/4 in square", 1.25),
        ),
        usual=1.125,
        least_in=0.010,
    ),
    "metric": _Blank(
        large_in=_mm(16.75),
        small_in=_mm(14.25),
        length_in=_mm(250),
        bars=(
            ("16 mm high", _mm(16)),
            ("18 mm high", _mm(18)),
            ("20 mm high", _mm(20)),
            ("22 mm high", _mm(22)),
        ),
        usual=_mm(18),
        least_in=_mm(0.25),
    ),
}


@dataclass(frozen=True, kw_only=True)
class _Cuts:
    plan: CuttingPlan
    relief_done: bool
    passes_done: int
    passes_asked: int
    system: System


def _cuts_of(
    *, system: System, bar_in: float, relief_in: float, deepest_in: float, order: str, passes: float
) -> _Cuts:
    blank = _BLANKS[system]
    plan = cutting_plan(
        stock_height_in=bar_in,
        large_end_height_in=blank.large_in,
        small_end_height_in=blank.small_in,
        length_in=blank.length_in,
        relief_cut_in=relief_in,
        deepest_pass_in=deepest_in,
    )
    return _Cuts(
        plan=plan,
        relief_done=order == "taken",
        passes_done=min(round(passes), plan.passes),
        passes_asked=round(passes),
        system=system,
    )


def _tell_cuts(cuts: _Cuts) -> Sequence[str]:
    plan, system = cuts.plan, cuts.system
    count = counted(plan.passes, "pass")
    lines = [
        f"{_high(plan.height_after_relief_in, system)} high after the relief cut. The taper cut "
        f"takes {_high(plan.large_end_cut_in, system)} off the large end and "
        f"{_high(plan.small_end_cut_in, system)} off the small end, in {count} of "
        f"{_high(plan.depth_per_pass_in, system)}.",
        f"The master key rises {_high(plan.master_key_rise_in, system)} along the blank, its high "
        "end under the small end.",
    ]
    if cuts.passes_asked > plan.passes:
        lines.append("It is down to size; another pass would make scrap of it.")
    elif cuts.passes_done == plan.passes:
        lines.append("Down to size: measure both ends before it leaves the vise.")
    if plan.large_end_cut_in < _BLANKS[system].least_in:
        lines.append("Little comes off the large end: some of the skin may stay on. A larger bar?")
    return lines


def cutting_explorer(*, system: System = "inch") -> ipywidgets.VBox:
    """Return the two set-ups of one blank, cut by cut."""
    blank = _BLANKS[system]
    fine = 1000.0 if system == "inch" else MM_PER_IN
    long = f"{blank.length_in:g} in" if system == "inch" else f"{blank.length_in * MM_PER_IN:g} mm"
    return _picture_first(
        Face(
            title="From bar to blank",
            under=f"The blank: {_high(blank.large_in, system)} at the large end, "
            f"{_high(blank.small_in, system)} at the small, {long} long. Choose the bar, take the "
            "relief cut, then pass after pass.",
            inputs={
                "bar": choice(label="Bar", options=blank.bars, value=blank.usual),
                "relief": _slider(
                    system,
                    "Relief cut",
                    (30, 10, 80, 5, "thousandths"),
                    (0.8, 0.2, 2.0, 0.1, "mm"),
                ),
                "deepest": _slider(
                    system,
                    "Deepest pass",
                    (50, 10, 100, 10, "thousandths"),
                    (1.0, 0.2, 2.0, 0.2, "mm"),
                ),
                "order": choice(
                    label="Relief cut is",
                    options=[("not taken yet", "not yet"), ("taken", "taken")],
                    value="not yet",
                ),
                "passes": labelled_slider(
                    label="Passes of taper cut", value=0, low=0, high=12, step=1, unit="passes"
                ),
            },
            compute=lambda bar, relief, deepest, order, passes: _cuts_of(
                system=system,
                bar_in=bar,
                relief_in=relief / fine,
                deepest_in=deepest / fine,
                order=order,
                passes=passes,
            ),
            draw=lambda cuts: draw_cutting_plan(
                plan=cuts.plan,
                length_in=blank.length_in,
                relief_done=cuts.relief_done,
                passes_done=cuts.passes_done,
                system=system,
            ),
            tell=_tell_cuts,
        )
    )
