"""The rig on a key, and what each link of the rig carries.

The rig is seen from above with the keyway turned up: hub and shaft on the right,
the line of the pull to the left.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    INK,
    LARGE,
    MUTED,
    OCHRE,
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
from coursework.ink.shop import INCH, ShopUnits
from keycourse.pull.forces_picture import OCHRE_DARK, force_arrow, round_step
from taperkey.checks import require_at_least, require_in, require_non_negative, require_positive

__all__ = ["HOLDS", "RIGS", "draw_capacity_chain", "draw_rig"]

RIGS = ("none", "two jacks", "hollow-ram jack", "slide hammer")
HOLDS = ("rod", "weld", "weld on gib head")


_EDGE = 1.6
_WHITE = "#ffffff"


# the rig


@dataclass(frozen=True, kw_only=True)
class _Frame:
    """Places of the rig on the sheet; 17 units are an inch."""

    per_in: float = 17.0
    axis_y: float = 196.0
    face_x: float = 470.0
    hub_half: float = 138.0
    jack_y: float = 92.0


def draw_rig(
    *,
    rig: str,
    hold: str = "rod",
    load_lbf: float = 0.0,
    gone: str = "",
    key_out: bool = False,
    hub_off: bool = False,
    key_width_in: float = 1.5,
    slot_length_in: float = 8.0,
    units: ShopUnits = INCH,
) -> Picture:
    """Draw the rig on the key from above, with the loads named.

    Parameters
    ----------
    rig : str
        One of :data:`RIGS`.
    hold : str
        What holds the key, one of :data:`HOLDS`; a jack on one rod needs "rod".
    load_lbf : float
        Pull on the key now, 0 or more [lbf].
    gone : str
        Link that has given way; empty when all are whole.
    key_out, hub_off : bool
        The key is out; the hub is off.
    key_width_in, slot_length_in : float
        Sizes, above 0 [in].
    units : ShopUnits
        How loads and lengths are written.

    Returns
    -------
    Picture
        Plan of hub, key and rig; hub and key to one scale, the rig typical.
    """
    require_in("rig", rig, RIGS)
    require_in("hold", hold, HOLDS)
    require_non_negative("load", load_lbf, "lbf")
    require_positive("key width", key_width_in, "in")
    require_positive("length of the slot", slot_length_in, "in")
    frame = _Frame()
    sheet = Sheet(height=404)
    y, face = frame.axis_y, frame.face_x
    length = slot_length_in * frame.per_in
    half = key_width_in * frame.per_in / 2
    shown = "none" if key_out or hub_off else rig
    if shown != "none":
        band: list[Point] = [(8, y - 34), (face - 30, y - 34), (face - 30, y + 34), (8, y + 34)]
        sheet.path([band], fill=OCHRE, opacity=0.22, ink="none", weight=0)
        for side in (-34, 34):
            sheet.line(8, y + side, face - 30, y + side, ink=OCHRE, weight=FINE, dash=(6, 5))
        sheet.text(12, 386, "Dashed band: line of the pull. Nobody stands in it.", size=SMALL)
    _hub_and_shaft(sheet, frame, length, half, hub_off)
    sheet.centre_line(8, y, 692, y)
    if hub_off:
        sheet.text(12, 30, "The hub is off.", size=LARGE, bold=True, ink=TEAL)
    else:
        _key(sheet, frame, length, half, length * 0.62 if key_out else 18.0, hold)
    if key_out:
        sheet.text(12, 30, "The key is out.", size=LARGE, bold=True, ink=TEAL)
    if shown == "two jacks":
        _strongback(sheet, frame, half, hold, load_lbf, gone, units)
    elif shown == "hollow-ram jack":
        _hollow(sheet, frame, load_lbf, gone, units)
    elif shown == "slide hammer":
        _weight(sheet, frame, load_lbf, gone, units)
    words, bar_in = ("100 mm", 100 / units.per_in) if units.metric else ("4 in", 4.0)
    sheet.scale_bar(540, 382, bar_in * frame.per_in, words)
    return sheet.picture(_rig_words(shown, hold, load_lbf, gone, key_out, hub_off, units))


def _hub_and_shaft(sheet: Sheet, frame: _Frame, length: float, half: float, hub_off: bool) -> None:
    y, face = frame.axis_y, frame.face_x
    sheet.rect(face - 22, y - 52, 692 - face + 22, 104, fill=STEEL_LIGHT, weight=HEAVY)
    sheet.text(face + length + 8, y + 44, "shaft", size=SMALL, ink=MUTED)
    if hub_off:
        sheet.rect(face - 18, y - half, length + 28, 2 * half, fill=_WHITE)
        return
    deep = frame.hub_half - half
    for top in (y - frame.hub_half, y + half):
        ring: list[Point] = [(face, top), (face + length, top), (face + length, top + deep),
                             (face, top + deep)]  # fmt: skip
        sheet.cut_metal([ring], fill=STEEL, spacing=13)
    sheet.text(face + length / 2, y - frame.hub_half - 10, "hub", anchor="middle")


def _key(sheet: Sheet, frame: _Frame, length: float, half: float, out: float, hold: str) -> None:
    y = frame.axis_y
    left = frame.face_x - out
    right = left + length + 10
    sheet.rect(left, y - half, right - left, 2 * half, fill=TEAL, weight=_EDGE)
    if hold == "weld on gib head":
        sheet.rect(left - 16, y - half - 5, 18, 2 * half + 10, fill=TEAL, weight=_EDGE)
    sheet.text(
        left + 46 if out > 40 else frame.face_x + 60, y + 5, "key", ink=_WHITE, anchor="middle"
    )


def _jack(sheet: Sheet, x1: float, x2: float, y: float, half: float) -> None:
    """Draw a jack that stands on x2 and presses on x1: body, plunger, hose."""
    body = x1 + 0.36 * (x2 - x1)
    sheet.rect(x1, y - half * 0.55, body - x1 + 2, half * 1.1, fill=_WHITE, weight=HEAVY)
    sheet.rect(body, y - half, x2 - body, 2 * half, fill=STEEL, weight=HEAVY, round_by=3)


def _strongback(
    sheet: Sheet,
    frame: _Frame,
    half: float,
    hold: str,
    load: float,
    gone: str,
    units: ShopUnits,
) -> None:
    y, face = frame.axis_y, frame.face_x
    back, front = face - 206.0, face - 156.0
    bend = 26.0 if gone == "strongback" else 0.0
    bar: list[Point] = [(back, y - 124), (front, y - 124), (front - bend, y), (front, y + 124),
                        (back, y + 124), (back - bend, y)]  # fmt: skip
    sheet.path([bar], fill=STEEL_LIGHT, weight=HEAVY)
    for side in (-1, 1):
        at = y + side * frame.jack_y
        _jack(sheet, front, face, at, 25.0)
        if load:
            force_arrow(sheet, face - 66, at, face - 4, at, ink=VERMILION)
            sheet.text(face - 56, at + (-33 if side < 0 else 44), units.load(load / 2),
                       anchor="middle", ink=VERMILION, bold=True)  # fmt: skip
    sheet.text(face - 62, y - frame.jack_y + 43, "jack", anchor="middle")
    sheet.text((back + front) / 2, y - 134, "strongback", anchor="middle")
    if hold == "rod":
        _rod(sheet, frame, back - 34, load, gone, units, nut_at=back)
        return
    left = face - 18
    sheet.rect(front, y - half * 0.8, left - front, half * 1.6, fill=TEAL, weight=_EDGE)
    for side in (-1, 1):
        tip = y + side * half * 0.8
        sheet.path([[(front, tip), (front + 14, tip), (front, tip + side * 14)]], fill=INK)
    sheet.leader(front + 5, y + half * 0.8 + 8, back - 12, y + 62, "weld, both sides")
    _pull_arrow(sheet, y, back, load, units)
    _gone(sheet, gone, {"weld": front + 8, "head": face - 30}, y)


def _rod(
    sheet: Sheet,
    frame: _Frame,
    end: float,
    load: float,
    gone: str,
    units: ShopUnits,
    *,
    nut_at: float,
) -> None:
    y, face = frame.axis_y, frame.face_x
    sheet.rect(end, y - 8, face - 18 - end, 16, fill=_WHITE, weight=HEAVY)
    sheet.rect(nut_at - 18, y - 17, 18, 34, fill=STEEL, weight=HEAVY)
    for side in (-8, 8):
        sheet.line(face - 18, y + side, face + 26, y + side, ink=_WHITE, weight=FINE, dash=(4, 3))
    if end > 200:
        sheet.leader(end + 6, y + 8, end - 12, y + 62, "rod, into the key")
    else:
        sheet.leader(face - 60, y + 8, face - 84, y + 62, "rod, into the key")
    _pull_arrow(sheet, y, end, load, units)
    _gone(sheet, gone, {"rod": face - 56, "thread": face - 18}, y)


def _pull_arrow(sheet: Sheet, y: float, end: float, load: float, units: ShopUnits) -> None:
    if not load or end < 120:
        return
    force_arrow(sheet, end - 6, y, end - 96, y, ink=VERMILION)
    sheet.text(end - 12, y - 42, f"pull {units.load(load)}", anchor="end", size=LARGE, bold=True,
               ink=VERMILION, halo=True)  # fmt: skip


def _gone(sheet: Sheet, gone: str, places: Mapping[str, float], y: float) -> None:
    """Say which link has given way, with a crack where it shows."""
    if not gone:
        return
    if gone in places:
        x = places[gone]
        crack: list[Point] = [(x - 4, y - 30), (x + 6, y - 12), (x - 6, y), (x + 6, y + 12),
                              (x - 4, y + 30)]  # fmt: skip
        sheet.path([crack], ink=_WHITE, weight=9, closed=False)
        sheet.path([crack], ink=VERMILION, weight=3.2, closed=False)
    verb = "have" if gone == "jacks" else "has"
    sheet.text(12, 30, f"The {gone} {verb} given way.", size=LARGE, bold=True, ink=VERMILION)


def _hollow(sheet: Sheet, frame: _Frame, load: float, gone: str, units: ShopUnits) -> None:
    y, face = frame.axis_y, frame.face_x
    plate, jack = face - 100.0, face - 204.0
    for side in (-1, 1):  # the chair: a plate on legs, so that the key has room to come
        sheet.rect(plate, y + side * 70 - 9, face - plate, 18, fill=STEEL_LIGHT, weight=HEAVY)
        sheet.rect(plate, y - 79 if side < 0 else y + 12, 18, 67, fill=STEEL_LIGHT, weight=HEAVY)
        body = y - 44 if side < 0 else y + 12
        sheet.rect(jack + 26, body, plate - jack - 26, 32, fill=STEEL, weight=HEAVY)
        plunger = y - 34 if side < 0 else y + 12
        sheet.rect(jack, plunger, 28, 22, fill=_WHITE, weight=HEAVY)
        if load:
            at = y + side * 70
            force_arrow(sheet, face - 66, at, face - 4, at, ink=VERMILION)
    sheet.text(plate - 4, y - 60, "hollow-ram jack", anchor="end", halo=True)
    sheet.text(face - 50, y - 90, "chair", anchor="middle")
    if load:
        sheet.text(face - 8, y + 100, f"{units.load(load)} on the hub", anchor="end", bold=True,
                   ink=VERMILION, halo=True)  # fmt: skip
    _rod(sheet, frame, jack - 36, load, gone, units, nut_at=jack)


def _weight(sheet: Sheet, frame: _Frame, load: float, gone: str, units: ShopUnits) -> None:
    y = frame.axis_y
    _rod(sheet, frame, 96.0, load, gone, units, nut_at=118.0)
    sheet.rect(200, y - 30, 104, 60, fill=STEEL, weight=HEAVY, round_by=4)
    sheet.text(252, y + 5, "weight", anchor="middle")
    sheet.arrow(194, y - 46, 130, y - 46, ink=INK, weight=_EDGE)
    sheet.text(200, y - 41, "slides to the stop", size=SMALL)
    if load:
        sheet.text(60, y - 72, f"peak of the blow {units.load(load)}", size=LARGE, bold=True,
                   ink=VERMILION)  # fmt: skip


def _rig_words(
    rig: str, hold: str, load: float, gone: str, key_out: bool, hub_off: bool, units: ShopUnits
) -> str:
    said = {
        "none": ["Hub, shaft and key from above; no rig is on."],
        "two jacks": ["Jacks stand on the hub under a strongback across the end of the key."],
        "hollow-ram jack": ["A hollow-ram jack on a chair over a rod in the key."],
        "slide hammer": ["A weight slides on a rod in the key and strikes a stop at its end."],
    }[rig]
    if rig == "two jacks":
        said.append(
            "A rod through the strongback is threaded into the key."
            if hold == "rod"
            else f"The strongback is welded to the {'gib head' if 'gib' in hold else 'key'}."
        )
    if load and rig != "none":
        share = f", {units.load(load / 2)} on each side" if rig == "two jacks" else ""
        said.append(f"The pull is {units.load(load)}{share}.")
    if gone:
        said.append(f"Given way: the {gone}.")
    if key_out:
        said.append("The key is out.")
    if hub_off:
        said.append("The hub is off.")
    return " ".join(said)


# the chain


def draw_capacity_chain(
    *,
    capacities_lbf: Mapping[str, float],
    demand_low_lbf: float,
    demand_high_lbf: float,
    load_lbf: float = 0.0,
    load_words: str = "on now",
    units: ShopUnits = INCH,
) -> Picture:
    """Draw what each link carries against the range of the pull.

    Parameters
    ----------
    capacities_lbf : mapping
        Name of each link to the pull it allows, 0 or more [lbf].
    demand_low_lbf, demand_high_lbf : float
        Range of the pull the key may need [lbf].
    load_lbf : float
        Pull on now, or the last blow; not drawn at 0 [lbf].
    load_words : str
        What that load is called.
    units : ShopUnits
        How loads are written.

    Returns
    -------
    Picture
        A bar for each link; the lowest one is hatched and named.
    """
    require_at_least("number of links", len(capacities_lbf), 1, "", "Set up a rig first.")
    require_non_negative("capacity", list(capacities_lbf.values()), "lbf")
    require_non_negative("pull, low end", demand_low_lbf, "lbf")
    require_at_least("pull, high end", demand_high_lbf, demand_low_lbf, "lbf")
    require_non_negative("load", load_lbf, "lbf")
    weakest = min(capacities_lbf, key=lambda name: capacities_lbf[name])
    capacity = capacities_lbf[weakest]
    left, right, row, top = 128.0, 560.0, 38.0, 78.0
    reach = max(1.2 * demand_high_lbf, 1.6 * capacity, 1.1 * load_lbf, 1.0)
    per = (right - left) / reach
    foot = top + row * len(capacities_lbf)
    sheet = Sheet(height=foot + 84)
    low, high = left + demand_low_lbf * per, left + demand_high_lbf * per
    sheet.path([[(low, top - 8), (high, top - 8), (high, foot), (low, foot)]], fill=OCHRE,
               opacity=0.28, ink="none", weight=0)  # fmt: skip
    needed = units.load_range(demand_low_lbf, demand_high_lbf)
    middle = min(max((low + high) / 2, left + 40), right - 90)
    sheet.text(
        middle, top - 32, f"the key may need {needed}", anchor="middle", ink=OCHRE_DARK, bold=True
    )
    for name, value in capacities_lbf.items():
        y = top + 6
        end = left + min(value, reach) * per
        bar: list[Point] = [(left, y), (end, y), (end, y + 24), (left, y + 24)]
        if name == weakest:
            sheet.path([bar], fill="#ffffff", weight=_EDGE)
            if end - left > 4:
                sheet.cut_metal([bar], fill=light("parted"), spacing=7, weight=HEAVY)
        else:
            sheet.path([bar], fill=STEEL, weight=_EDGE)
        if value > reach:  # cut short: a break line at its end
            for shift in (-12.0, -6.0):
                sheet.line(end + shift - 4, y + 28, end + shift + 4, y - 4, ink=_WHITE,
                           weight=4)  # fmt: skip
        sheet.text(left - 10, y + 18, name, anchor="end", bold=name == weakest)
        sheet.text(570, y + 18, units.load(value, "down"), bold=name == weakest)
        top += row
    for x in (low, high):
        sheet.line(x, 70, x, foot, ink=OCHRE_DARK, weight=_EDGE, dash=(6, 4))
    if load_lbf:
        x = left + load_lbf * per
        sheet.line(x, 62, x, foot + 4, ink=VERMILION, weight=HEAVY)
        sheet.arrowhead(x, 70, 0, 1, ink=VERMILION)
        side = "middle" if 200 < x < 500 else "start" if x <= 200 else "end"
        words = f"{load_words}: {units.load(load_lbf)}"
        sheet.text(x, 24, words, anchor=side, ink=VERMILION, bold=True)
    sheet.line(left, foot + 4, right, foot + 4, weight=FINE)
    shown = reach * units.force_per_lbf
    tick = round_step(shown / 3)
    for n in range(int(shown / tick) + 1):
        x = left + n * tick / units.force_per_lbf * per
        sheet.line(x, foot + 4, x, foot + 9, weight=FINE)
        sheet.text(x, foot + 25, f"{n * tick:,.0f}", anchor="middle", size=SMALL, ink=MUTED)
    sheet.text(604, foot + 25, units.force_unit, size=SMALL, ink=MUTED)
    said = _chain_sentence(weakest, capacity, demand_low_lbf, demand_high_lbf, units)
    first, rest = said.split(": ", 1)
    sheet.text(20, foot + 50, f"Hatched: {first},", bold=True)
    sheet.text(20, foot + 70, rest, bold=True)
    listed = ", ".join(
        f"{name} {units.load(value, 'down')}" for name, value in capacities_lbf.items()
    )
    called = load_words[:1].upper() + load_words[1:]
    now = f" {called}: {units.load(load_lbf)}." if load_lbf else ""
    return sheet.picture(
        f"What each link carries: {listed}. The key may need {needed}.{now} Weakest link: {said}"
    )


def _chain_sentence(name: str, capacity: float, low: float, high: float, units: ShopUnits) -> str:
    if capacity >= high:
        against = f"{units.load(capacity - high)} above the whole range"
    elif capacity >= low:
        against = f"inside the range, {units.load(high - capacity)} below its high end"
    else:
        against = f"below the whole range, short by {units.load(low - capacity)} at least"
    verb = "govern" if name == "jacks" else "governs"
    return f"{name} {verb} at {units.load(capacity, 'down')}: {against}."
