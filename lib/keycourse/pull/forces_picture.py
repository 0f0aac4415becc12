"""The forces on the key between shaft and hub, to scale, and what they add up to."""

from __future__ import annotations

import math
from collections.abc import Mapping

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    MUTED,
    SHADE,
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
from taperkey.checks import require_in, require_positive
from taperkey.formulas.free_body import Force, wedge_free_body

__all__ = ["ACTIONS", "OCHRE_DARK", "draw_force_diagram", "force_arrow", "round_step"]

ACTIONS = ("driven in", "drawn by the large end", "pulled by the small end")
OCHRE_DARK = light("ochre")  # ochre that can be read as text


def draw_force_diagram(
    *,
    normal_force_lbf: float,
    taper_in_per_in: float,
    floor_friction: float,
    roof_friction: float,
    action: str = "drawn by the large end",
    units: ShopUnits = INCH,
) -> Picture:
    """Draw the key between shaft and hub with every force on it, to scale.

    Parameters
    ----------
    normal_force_lbf : float
        Force square to the flat face, above 0 [lbf].
    taper_in_per_in : float
        Taper, 0 to 0.6 [in/in].
    floor_friction, roof_friction : float
        Friction coefficients, 0 to 1.5 [-].
    action : str
        One of :data:`ACTIONS`. The end that shows is on the left.
    units : ShopUnits
        How forces are written.

    Returns
    -------
    Picture
        Free body above, and below it what the forces along the shaft add up to.
    """
    require_in("action", action, ACTIONS)
    require_positive("normal force", normal_force_lbf, "lbf")
    forces = {
        one.name: one
        for one in wedge_free_body(
            normal_force_lbf=normal_force_lbf,
            taper_in_per_in=taper_in_per_in,
            floor_friction=floor_friction,
            roof_friction=roof_friction,
            direction="withdrawing" if action == ACTIONS[1] else "driving",
        )
        if one.body == "key"
    }
    # inward is to the right for the large end at the left, to the left for the small end there
    way = -1.0 if action == ACTIONS[2] else 1.0
    sheet = Sheet(height=566)
    _free_body(sheet, forces, way, taper_in_per_in, action, units)
    _sum_along(sheet, forces, way, action, units)
    return sheet.picture(_force_words(forces, action, units))


def _free_body(
    sheet: Sheet,
    forces: Mapping[str, Force],
    way: float,
    taper: float,
    action: str,
    units: ShopUnits,
) -> None:
    left, right, floor = 222.0, 478.0, 236.0
    rise = min(40.0, 16.0 + 220 * taper)
    thick, thin = 62.0 + rise / 2, 62.0 - rise / 2
    at_left, at_right = (thick, thin) if way > 0 else (thin, thick)
    sheet.cut_metal([[(110, 14), (590, 14), (590, 44 + (floor - at_right - 160)),
                      (110, 44 + (floor - at_left - 160))]], fill=STEEL, spacing=12)  # fmt: skip
    sheet.cut_metal([[(110, 364), (590, 364), (590, 392), (110, 392)]], fill=STEEL_LIGHT,
                    angle_deg=-45, spacing=12)  # fmt: skip
    sheet.text(600, 36, "hub")
    sheet.text(600, 383, "shaft")
    sheet.path([[(left, floor), (right, floor), (right, floor - at_right),
                 (left, floor - at_left)]], fill=light("lit"), weight=HEAVY)  # fmt: skip
    sheet.text((left + right) / 2, floor - 22, "key", anchor="middle", bold=True)
    ends = ("large end", "small end") if way > 0 else ("small end", "large end")
    sheet.text(left + 6, floor - 8, ends[0], size=SMALL, ink=MUTED)
    sheet.text(right - 6, floor - 8, ends[1], size=SMALL, ink=MUTED, anchor="end")
    biggest = max(abs(f.outward_lbf) for f in forces.values())
    per_lbf = 108.0 / max(biggest, 1.25 * max(abs(f.along_lbf) for f in forces.values()))
    middle = (left + right) / 2
    roof = floor - (at_left + at_right) / 2

    def part(name: str) -> Point:
        one = forces[name]
        return way * one.along_lbf * per_lbf, -one.outward_lbf * per_lbf

    def size(name: str) -> str:
        return units.force(math.hypot(forces[name].along_lbf, forces[name].outward_lbf))

    dx, dy = part("floor pressure")
    force_arrow(sheet, middle - dx, floor - dy + 2, middle, floor + 2, ink=TEAL)
    sheet.text(middle - 12, floor + 78, "floor pressure", anchor="end", ink=TEAL)
    sheet.text(middle - 12, floor + 96, size("floor pressure"), anchor="end", ink=TEAL, bold=True)
    dx, dy = part("roof pressure")
    force_arrow(sheet, middle - dx, roof - dy - 2, middle, roof - 2, ink=TEAL)
    sheet.text(middle - 14, roof - 68, "roof pressure", anchor="end", ink=TEAL, halo=True)
    sheet.text(middle - 14, roof - 50, size("roof pressure"), anchor="end", ink=TEAL, bold=True,
               halo=True)  # fmt: skip
    for name, y0, ty in (("floor friction", floor + 14, floor + 34), ("roof friction", roof - 16,
                                                                      roof - 48)):  # fmt: skip
        dx, dy = part(name)
        start = middle + 12 if dx >= 0 else middle + 12 - dx
        force_arrow(sheet, start, y0, start + dx, y0 + dy, ink=OCHRE_DARK)
        sheet.text(middle + 14, ty, name, ink=OCHRE_DARK, halo=True)
        sheet.text(middle + 14, ty + 18, size(name), ink=OCHRE_DARK, bold=True, halo=True)
    act = "push" if "push" in forces else "pull"
    dx, _ = part(act)
    tone, y = VERMILION, floor - at_left / 2
    word = _word(forces, action)
    if dx > 0:  # toward the key
        force_arrow(sheet, left - 3 - dx, y, left - 3, y, ink=tone)
    elif dx < 0:
        force_arrow(sheet, left - 3, y, left - 3 + dx, y, ink=tone)
    sheet.text(left - 12, y - 28, word, anchor="end", ink=tone)
    sheet.text(left - 12, y - 11, units.force(forces[act].along_lbf), anchor="end", ink=tone,
               bold=True)  # fmt: skip
    step = round_step(100.0 * units.force_per_lbf / per_lbf)
    bar = step / units.force_per_lbf * per_lbf
    sheet.scale_bar(20, 412, bar, f"{step:,g} {units.force_unit}")
    sheet.text(690, 417, "(slope not to scale)", anchor="end", size=SMALL, ink=MUTED)


def _sum_along(
    sheet: Sheet, forces: Mapping[str, Force], way: float, action: str, units: ShopUnits
) -> None:
    """Lay the parts along the shaft end to end; they make up the push or pull."""
    act = "push" if "push" in forces else "pull"
    total = -way * forces[act].along_lbf  # what the faces bring against it, to the right positive
    rows = [
        ("friction on the floor", way * forces["floor friction"].along_lbf, OCHRE_DARK),
        ("friction on the roof", way * forces["roof friction"].along_lbf, OCHRE_DARK),
        ("slope of the roof", way * forces["roof pressure"].along_lbf, TEAL),
    ]
    sheet.text(20, 444, "Along the shaft, larger scale:", bold=True)
    low = high = at = 0.0
    for _, value, _ in rows:
        at += value
        low, high = min(low, at), max(high, at)
    per = 330.0 / max(high - low, 1e-9)
    zero = 190.0 - low * per
    sheet.line(zero, 452, zero, 552, ink=SHADE, weight=FINE)
    at, y = 0.0, 466.0
    for name, value, tone in rows:
        x1, x2 = zero + at * per, zero + (at + value) * per
        force_arrow(sheet, x1, y, x2, y, ink=tone)
        sheet.text(178, y + 5, name, anchor="end", size=SMALL)
        sheet.text(682, y + 5, f"{units.force(value)} {'right' if value >= 0 else 'left'}",
                   anchor="end", size=SMALL)  # fmt: skip
        at += value
        y += 25.0
    x2 = zero + total * per
    force_arrow(sheet, x2, y, zero, y, ink=VERMILION)
    word = _word(forces, action)
    sheet.text(178, y + 5, word, anchor="end", bold=True, ink=VERMILION)
    side = "left" if total >= 0 else "right"
    sheet.text(682, y + 5, f"{units.force(total)} {side}", anchor="end", size=SMALL, bold=True,
               ink=VERMILION)  # fmt: skip


def _force_words(forces: Mapping[str, Force], action: str, units: ShopUnits) -> str:
    act = "push" if "push" in forces else "pull"
    amount = forces[act].along_lbf
    normal = forces["floor pressure"].outward_lbf
    floor, roof, slope = (
        abs(forces[n].along_lbf) for n in ("floor friction", "roof friction", "roof pressure")
    )

    def whole(name: str) -> str:
        return units.force(math.hypot(forces[name].along_lbf, forces[name].outward_lbf))

    helps = {
        ACTIONS[0]: "the slope holds against the push with",
        ACTIONS[1]: "the slope helps the key out with",
        ACTIONS[2]: "the slope holds against the pull with",
    }[action]
    end = {
        ACTIONS[0]: f"A push of {units.force(amount)} drives the key further in.",
        ACTIONS[1]: f"A pull of {units.force(-amount)} starts the key out."
        if amount < 0
        else f"The key comes out by itself unless {units.force(amount)} hold it in.",
        ACTIONS[2]: f"Hub turned round: beyond {units.force(amount)} the pull draws the key "
        "further in.",
    }[action]
    return (
        f"Key between shaft and hub, {action}. Floor pressure {units.force(normal)}, roof pressure "
        f"{whole('roof pressure')}, roof friction {whole('roof friction')}. Along the shaft: floor "
        f"friction {units.force(floor)}, roof friction {units.force(roof)}, {helps} "
        f"{units.force(slope)}. {end}"
    )


def _word(forces: Mapping[str, Force], action: str) -> str:
    """Return what the force along the shaft is: push, pull, or what holds the key in."""
    if action == ACTIONS[1] and forces["pull"].along_lbf > 0:
        return "hold"
    return "push" if action == ACTIONS[0] else "pull"


def force_arrow(sheet: Sheet, x1: float, y1: float, x2: float, y2: float, *, ink: str) -> None:
    """Draw a force: an arrow whose head shows beside a thick line; a short one is all head."""
    reach = math.hypot(x2 - x1, y2 - y1)
    if reach < 1:
        return
    ux, uy = (x2 - x1) / reach, (y2 - y1) / reach
    head = min(14.0, 0.75 * reach)
    bx, by, half = x2 - ux * head, y2 - uy * head, 0.42 * head
    sheet.line(x1, y1, bx, by, ink=ink, weight=3.4)
    tip: list[Point] = [
        (x2, y2),
        (bx - uy * half, by + ux * half),
        (bx + uy * half, by - ux * half),
    ]
    sheet.path([tip], fill=ink, ink=ink, weight=0.5)


def round_step(value: float) -> float:
    """Return the largest 1, 2 or 5 times a power of ten that is not above value."""
    power = 10.0 ** math.floor(math.log10(value))
    return max(n * power for n in (1, 2, 5) if n * power <= value * 1.0000001)
