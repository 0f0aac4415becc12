"""Drill it and tap it: the large end of a key cut open along its tapped hole, as one chooses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import ipywidgets

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    INK,
    LARGE,
    MEDIUM,
    MUTED,
    PAPER,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    TEAL,
    VERMILION,
    Picture,
    Point,
    Sheet,
)
from coursework.ink.look import light
from coursework.ink.shop import shop_units
from coursework.page.controls import Face, choice, labelled_slider
from keycourse.key.card import KEY_STEEL
from keycourse.key.tapping import LEADS, TAPS, TappedHole, tapped_hole
from taperkey import practice
from taperkey.tables.threads import thread
from taperkey.units import MM_PER_IN, System, fraction_text

__all__ = ["tapping_explorer"]

_WANTED = str(practice.rule("full_thread").number)  # "1.5 diameters"
_POINT = 0.30  # depth of a drill's point over its diameter: 118 degrees
_LEFT, _TOP, _LONG = 96.0, 88.0, 500.0  # the key's end on the sheet
_REACH_IN = 2.75  # of the key that is drawn


@dataclass(frozen=True, kw_only=True)
class _Shop:
    """The key and the drills of the figure; lengths in inches."""

    thread_name: str
    grade_name: str
    key_in: tuple[float, float]  # width, height
    drills_in: tuple[float, ...]
    right: int  # which of them is the table's
    depth_in: float


_SHOPS: dict[str, _Shop] = {
    "inch": _Shop(
        thread_name="3/4-10 UNC",
        grade_name="ASTM A193 B7",
        key_in=(1.5, 1.0),
        drills_in=(5 / 8, 21 / 32, 11 / 16, 23 / 32),
        right=1,
        depth_in=1.2,
    ),
    "metric": _Shop(
        thread_name="M16",
        grade_name="ISO 898-1 class 8.8",
        key_in=(36 / MM_PER_IN, 20 / MM_PER_IN),
        drills_in=tuple(one / MM_PER_IN for one in (13.5, 14.0, 14.5, 15.0)),
        right=1,
        depth_in=26 / MM_PER_IN,
    ),
}


def _size(value_in: float, system: System) -> str:
    return f"{value_in * MM_PER_IN:.1f} mm" if system == "metric" else f"{value_in:.2f} in"


def _load(value_lbf: float, system: System) -> str:
    """Write what something is trusted with, rounded down: "18,700 lbf" or "83.6 kN"."""
    units = shop_units(system)
    return units.load(value_lbf if units.metric else value_lbf // 100 * 100, "down")


def _drill(value_in: float, system: System) -> str:
    return f"{value_in * MM_PER_IN:g} mm" if system == "metric" else fraction_text(value_in)


def draw_tapped_hole(hole: TappedHole, system: System) -> Picture:
    """Draw the key's large end cut open along the hole, and what each thread carries."""
    shop, size = _SHOPS[system], thread(name=hole.thread_name)
    per = _LONG / _REACH_IN
    wide = shop.key_in[1] * per
    mid = _TOP + wide / 2
    foot = _TOP + wide
    sheet = Sheet(height=foot + 300)
    sheet.text(14, 26, f"Large end, cut open: {hole.thread_name}", size=LARGE, bold=True)
    right = _LEFT + _LONG
    whole: list[Point] = [(_LEFT, _TOP), (right, _TOP), (right - 9, mid - wide / 4),
                          (right + 7, mid), (right - 7, mid + wide / 4), (right, foot),
                          (_LEFT, foot)]  # fmt: skip
    sheet.cut_metal([whole], fill=STEEL_LIGHT, spacing=12)
    end, half = _LEFT + hole.depth_in * per, hole.drill_in * per / 2
    tip = end + _POINT * hole.drill_in * per
    drilled: list[Point] = [(_LEFT, mid - half), (end, mid - half), (tip, mid), (end, mid + half),
                            (_LEFT, mid + half)]  # fmt: skip
    sheet.path([drilled], fill=PAPER, weight=MEDIUM, name="hole")
    _threads(sheet, hole, mid, half, size.diameter_in * per / 2, size.pitch_in * per)
    full = _LEFT + hole.full_in * per
    wanted = _LEFT + hole.wanted_in * per
    sheet.line(wanted, _TOP - 24, wanted, foot + 6, ink=TEAL, weight=MEDIUM, dash=(7, 4))
    sheet.text(
        wanted + 6, _TOP - 12, f"wanted: {_WANTED}", size=SMALL, ink=TEAL, bold=True, halo=True
    )
    sheet.dimension(
        (_LEFT, foot), (full, foot), at=foot + 30, upright=False,
        words=f"full thread {_size(hole.full_in, system)}",
    )  # fmt: skip
    sheet.dimension(
        (_LEFT, foot), (end, foot), at=foot + 62, upright=False,
        words=f"hole {_size(hole.depth_in, system)}",
    )  # fmt: skip
    sheet.text(_LEFT - 12, mid - 6, "large", anchor="end", size=SMALL)
    sheet.text(_LEFT - 12, mid + 12, "end", anchor="end", size=SMALL)
    sheet.text(_LEFT + 14, mid + 5, f"drill {_drill(hole.drill_in, system)}", size=SMALL, halo=True)
    _bars(sheet, hole, foot + 112, system)
    return sheet.picture(_told(hole, system))


def _threads(
    sheet: Sheet, hole: TappedHole, mid: float, half: float, outer: float, pitch: float
) -> None:
    """Draw the flanks above and below, full ones first, then those of the tap's point."""
    per = _LONG / _REACH_IN
    full, end = _LEFT + hole.full_in * per, _LEFT + hole.depth_in * per
    for side in (-1, 1):
        points: list[Point] = [(_LEFT, mid + side * half)]
        x = _LEFT
        while x + pitch <= end + 0.01 and outer > half:
            reach = 1.0 if x + pitch / 2 <= full else max(0.0, (end - x) / max(end - full, 1.0))
            points += [(x + pitch / 2, mid + side * (half + (outer - half) * reach)),
                       (x + pitch, mid + side * half)]  # fmt: skip
            x += pitch
        sheet.path([points], fill=PAPER, ink="none", weight=0)
        sheet.path([points], weight=FINE, closed=False, name="thread")


def _bars(sheet: Sheet, hole: TappedHole, top: float, system: System) -> None:
    """Draw what is trusted: the rod, the rod's thread, the key's thread; the least is hatched."""
    rows = _rows(hole)
    least = min(rows, key=lambda name: rows[name])
    per = 330.0 / max(*rows.values(), 1.0)
    sheet.text(14, top, "What each is trusted with", bold=True)
    for turn, (name, load) in enumerate(rows.items()):
        y = top + 16 + 36 * turn
        ring: list[Point] = [(180, y), (180 + load * per, y), (180 + load * per, y + 22),
                             (180, y + 22)]  # fmt: skip
        if name == least and load * per > 4:
            sheet.cut_metal([ring], fill=light("parted"), spacing=7, weight=HEAVY)
        else:
            sheet.path([ring], fill=STEEL, weight=MEDIUM)
        sheet.text(172, y + 16, name, anchor="end", bold=name == least)
        sheet.text(
            188 + load * per, y + 16, _load(load, system), bold=name == least,
            ink=VERMILION if name == least and name != "rod" else INK,
        )  # fmt: skip
    sheet.text(
        14, top + 144, "Hatched: what gives way first. Threads: half of what strips them.",
        size=SMALL, ink=MUTED,
    )  # fmt: skip


def _rows(hole: TappedHole) -> dict[str, float]:
    return {
        "rod": hole.rod_lbf,
        "thread on the rod": hole.rod_thread_lbf,
        "thread in the key": hole.key_lbf,
    }


def _told(hole: TappedHole, system: System) -> str:
    carries = ", ".join(f"{name} {_load(load, system)}" for name, load in _rows(hole).items())
    return (
        f"Large end of a key cut open along a hole for {hole.thread_name}: drilled "
        f"{_drill(hole.drill_in, system)}, {_size(hole.depth_in, system)} deep, last the "
        f"{hole.tap}. Full thread {_size(hole.full_in, system)};"
        f" wanted: {_WANTED}, {_size(hole.wanted_in, system)}."
        f" Trusted with: {carries}."
    )


def _verdict(hole: TappedHole, system: System) -> str:
    high, low = _size_fine(hole.drill_high_in, system), _size_fine(hole.drill_low_in, system)
    return {
        "small": f"Drill too small: the least hole of this thread is {low}. The tap cuts far too "
        "much, binds and breaks off in the key.",
        "large": f"Drill too large: the hole may be {high} at most. Only {hole.share:.0%} of a "
        "full thread is left: the rod holds on by its tips, and strips.",
        "shallow": f"Too shallow: {_size(hole.full_in, system)} of full thread, and "
        f"{_size(hole.wanted_in, system)} are counted on. Drill deeper, or run the bottoming tap.",
        "": "This hole will do: the right drill, and enough full thread.",
    }[hole.fault]


def _size_fine(value_in: float, system: System) -> str:
    return f"{value_in * MM_PER_IN:.2f} mm" if system == "metric" else f"{value_in:.3f} in"


def _tell(hole: TappedHole, system: System) -> Sequence[str]:
    lead = LEADS[hole.tap]
    rows = _rows(hole)
    least = min(rows, key=lambda name: rows[name])
    first = (
        "The rod gives way before either thread does: as it should be."
        if least == "rod"
        else f"The {least} gives way before the rod does: trusted with "
        f"{_load(rows[least], system)}, the rod with {_load(hole.rod_lbf, system)}."
    )
    return (
        _verdict(hole, system),
        f"The {hole.tap} leaves {lead:g} threads at the bottom not full "
        f"({_size(hole.lead_in, system)}); the drill's point, not counted, goes deeper still.",
        first,
    )


def tapping_explorer(*, system: System = "inch") -> ipywidgets.VBox:
    """Return the key's large end, drilled and tapped as one chooses."""
    shop = _SHOPS[system]
    metric = system == "metric"
    per_in = MM_PER_IN if metric else 1.0
    low, high, step = (8.0, 60.0, 1.0) if metric else (0.4, 2.4, 0.05)
    wide, tall = (_drill(one, system).removesuffix(" in") for one in shop.key_in)
    unit = "" if metric else " in"
    face = Face(
        title="Drill it and tap it",
        under=f"A key {wide.removesuffix(' mm')} × {tall}{unit}, {KEY_STEEL}. Some day a rod of "
        f"{shop.grade_name} pulls on this thread. Make the hole so that the rod, and not the key, "
        "is what gives way first.",
        inputs={
            "drill": choice(
                label="Drill",
                options=[(_drill(one, system), one) for one in shop.drills_in],
                value=shop.drills_in[shop.right],
            ),
            "depth": labelled_slider(
                label="Hole drilled", value=shop.depth_in * per_in, low=low, high=high, step=step,
                unit="mm" if metric else "in", tip="Depth at full diameter",
            ),
            "tap": choice(
                label="Last tap",
                options=[(f"{one}, {LEADS[one]:g} threads not full", one) for one in TAPS],
                value=TAPS[1],
            ),
        },
        compute=lambda drill, depth, tap: tapped_hole(
            thread_name=shop.thread_name, grade_name=shop.grade_name, drill_in=drill,
            depth_in=depth / per_in, tap=tap,
        ),
        draw=lambda hole: draw_tapped_hole(hole, system),
        tell=lambda hole: _tell(hole, system),
    )  # fmt: skip
    heading, *controls = face.widget.children[: 1 + len(face.inputs)]
    face.widget.children = (heading, face.picture, *controls, face.words)
    return face.widget
