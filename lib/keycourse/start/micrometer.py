"""Micrometers drawn to scale, so that they are read as at the bench.

One inch of the sleeve is drawn several times as long as it is; the thimble is
drawn round, with its lines closing up toward the top and bottom as on the
real tool (height of a line above the datum = radius x sine of its angle). The
thimble covers what is beyond the reading, so a line that is just coming out
shows as on the tool. The vernier of the 0.0001 in tool lies on top of the
sleeve; it is shown a second time laid flat.

Conventions: a screw of 40 threads per inch, 0.025 in per turn; thimble of 25
divisions of 0.001 in; vernier of 10 divisions that span 9 of the thimble
(NAVEDTRA 14001; TM 9-243, p. 7-5). Metric: 0.5 mm per turn, 50 divisions of
0.01 mm (TM 9-243, p. 7-6).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    LARGE,
    MEDIUM,
    MUTED,
    SHADE,
    SMALL,
    STEEL,
    STEEL_LIGHT,
    TEXT,
    WASH,
    Picture,
    Sheet,
)
from taperkey.checks import require_in, require_range
from taperkey.counts import plural
from taperkey.units import MM_PER_IN

__all__ = ["KINDS", "MicrometerLook", "draw_micrometer", "micrometer_look"]

#: The kinds of micrometer: finest step it is read to, in its own unit.
KINDS = {"inch": 0.001, "inch-vernier": 0.0001, "metric": 0.01}

VERNIER_START = 3  # whole thimble divisions from the datum up to vernier line 0
VERNIER_LINES = 11  # 0 to 9, and 0 again


@dataclass(frozen=True, kw_only=True)
class MicrometerLook:
    """What shows on a micrometer at a reading; lengths in the tool's own unit.

    Attributes
    ----------
    kind : str
        A key of ``KINDS``.
    range_low : float
        Lower end of the range marked on the frame.
    on_sleeve : float
        Reading less the range's lower end.
    lines_out : int
        Sleeve lines that the thimble has passed since 0 (0.025 in or 0.5 mm each).
    thimble : float
        Place on the thimble that stands at the datum [divisions, with fraction].
    vernier_line : int
        Vernier line, 0 to 9, that stands nearest to a thimble line.
    """

    kind: str
    range_low: float
    on_sleeve: float
    lines_out: int
    thimble: float
    vernier_line: int

    @property
    def pitch(self) -> float:
        """Length of one turn, in the tool's own unit."""
        return 0.5 if self.kind == "metric" else 0.025

    @property
    def divisions(self) -> int:
        """Divisions around the thimble."""
        return 50 if self.kind == "metric" else 25

    @property
    def range_length(self) -> float:
        """Length of the sleeve's scale, in the tool's own unit."""
        return 25.0 if self.kind == "metric" else 1.0

    def thimble_angle(self, line: int) -> float:
        """Return the angle of a thimble line above the datum [rad], within half a turn."""
        turn = (line - self.thimble) * 2 * math.pi / self.divisions
        return math.remainder(turn, 2 * math.pi)


def micrometer_look(*, reading: float, kind: str, range_low: float | None = None) -> MicrometerLook:
    """Return what shows on a micrometer at a reading.

    Parameters
    ----------
    reading : float
        Length between the faces, 0 or more [in, or mm for the metric kind].
    kind : str
        "inch", "inch-vernier" or "metric".
    range_low : float, optional
        Lower end of the tool's range; found from the reading when left out.

    Returns
    -------
    MicrometerLook
        The lines that show.

    Raises
    ------
    ValueError
        The reading is outside the tool's range, or the kind is unknown.

    Examples
    --------
    TM 9-243, p. 7-5: 0.200 + 3 x 0.025 + 11 x 0.001 + 2 x 0.0001 = 0.2862 in.

    >>> look = micrometer_look(reading=0.2862, kind="inch-vernier")
    >>> look.lines_out, round(look.thimble, 3), look.vernier_line
    (11, 11.2, 2)
    """
    require_in("kind of micrometer", kind, KINDS)
    length = 25.0 if kind == "metric" else 1.0
    unit = "mm" if kind == "metric" else "in"
    require_range("micrometer reading", reading, 0.0, 12 * length, unit, "Choose another reading.")
    if range_low is None:
        range_low = length * max(0.0, math.ceil(reading / length - 1e-9) - 1)
    require_range("micrometer reading", reading, range_low, range_low + length, unit)
    on_sleeve = reading - range_low
    pitch, divisions = (0.5, 50) if kind == "metric" else (0.025, 25)
    lines_out = math.floor(on_sleeve / pitch + 1e-6)
    thimble = max(0.0, (on_sleeve - lines_out * pitch) / pitch * divisions)
    fraction = (thimble + 1e-9) % 1.0
    return MicrometerLook(
        kind=kind,
        range_low=range_low,
        on_sleeve=on_sleeve,
        lines_out=lines_out,
        thimble=thimble,
        vernier_line=round(fraction * 10) % 10,
    )


def draw_micrometer(
    *,
    reading_in: float | None = None,
    reading_mm: float | None = None,
    kind: str = "inch",
    range_low: float | None = None,
) -> Picture:
    """Draw the sleeve and thimble of a micrometer at a reading, enlarged and to scale.

    Parameters
    ----------
    reading_in, reading_mm : float
        The reading; give one [in or mm].
    kind : str
        "inch" (0.001 in), "inch-vernier" (0.0001 in) or "metric" (0.01 mm).
    range_low : float, optional
        Lower end of the tool's range, in the tool's own unit.

    Returns
    -------
    Picture
        The words say which lines show, never the reading.
    """
    require_in("kind of micrometer", kind, KINDS)
    if (reading_in is None) == (reading_mm is None):
        raise ValueError("draw_micrometer needs one reading, either in inches or in millimeters.")
    if kind == "metric":
        reading = reading_mm if reading_mm is not None else (reading_in or 0.0) * MM_PER_IN
    else:
        reading = reading_in if reading_in is not None else (reading_mm or 0.0) / MM_PER_IN
    look = micrometer_look(reading=reading, kind=kind, range_low=range_low)
    vernier = kind == "inch-vernier"
    sheet = Sheet(height=354 if vernier else 320)
    scale = 348.0 / look.range_length if vernier else 500.0 / look.range_length
    zero_x = 52.0 if vernier else 62.0
    radius = 76.0 if vernier else 100.0
    datum_y = 205.0 if vernier else 188.0
    end_x = 462.0 if vernier else 690.0
    _draw_tool(sheet, look, scale=scale, zero_x=zero_x, radius=radius, datum_y=datum_y, end_x=end_x)
    _title(sheet, look)
    if vernier:
        _draw_flat_vernier(sheet, look, x=500.0, top=56.0, bottom=338.0)
    return sheet.picture(_words(look))


_STEPS = {
    "inch": "thimble: 0.001 in a line",
    "inch-vernier": "thimble: 0.001 in, vernier: 0.0001 in a line",
    "metric": "thimble: 0.01 mm a line",
}


def _title(sheet: Sheet, look: MicrometerLook) -> None:
    low, high = look.range_low, look.range_low + look.range_length
    unit = "mm" if look.kind == "metric" else "in"
    sheet.text(14, 28, f"Micrometer {low:g} to {high:g} {unit}", size=LARGE, bold=True)
    sheet.text(14, 49, f"Drawn enlarged; {_STEPS[look.kind]}", size=SMALL, ink=MUTED)


def _draw_tool(
    sheet: Sheet,
    look: MicrometerLook,
    *,
    scale: float,
    zero_x: float,
    radius: float,
    datum_y: float,
    end_x: float,
) -> None:
    edge = zero_x + look.on_sleeve * scale + 1.0  # a line is out when it stands clear of the edge
    # sleeve: a plain cylinder, shaded in bands
    sheet.rect(0, datum_y - radius * 0.86, 26, radius * 1.72, fill=SHADE, weight=MEDIUM)
    sheet.rect(18, datum_y - radius, edge - 18, 2 * radius, fill=STEEL_LIGHT, weight=MEDIUM)
    for share, height in ((-0.98, 0.12), (0.78, 0.2)):
        sheet.rect(
            18.8, datum_y + share * radius, edge - 18, height * radius, fill=STEEL, ink="none"
        )
    sheet.line(18, datum_y, edge, datum_y, weight=MEDIUM, name="datum")
    _sleeve_lines(sheet, look, scale=scale, zero_x=zero_x, radius=radius, datum_y=datum_y)
    if look.kind == "inch-vernier":
        _vernier_on_top(sheet, edge, radius=radius, datum_y=datum_y)
    # thimble: beveled edge with the lines, then the knurled barrel
    bevel = 62.0 if radius < 90 else 78.0
    outer = radius * 1.17
    shoulder = edge + bevel
    sheet.path(
        [
            [
                (edge, datum_y - radius - 1),
                (shoulder, datum_y - outer),
                (end_x, datum_y - outer),
                (end_x, datum_y + outer),
                (shoulder, datum_y + outer),
                (edge, datum_y + radius + 1),
            ]
        ],
        fill=STEEL,
        weight=HEAVY,
    )
    sheet.line(shoulder, datum_y - outer, shoulder, datum_y + outer, weight=FINE)
    _thimble_lines(sheet, look, edge=edge, radius=radius, datum_y=datum_y, bevel=bevel)
    for turn in range(-75, 76, 10):
        y = datum_y + outer * math.sin(math.radians(turn))
        if shoulder + 14 < end_x:
            sheet.line(shoulder + 12, y, end_x - 2, y, ink=SHADE, weight=1.2)
    sheet.line(edge, datum_y - radius - 1, edge, datum_y + radius + 1, weight=HEAVY)


def _sleeve_lines(
    sheet: Sheet,
    look: MicrometerLook,
    *,
    scale: float,
    zero_x: float,
    radius: float,
    datum_y: float,
) -> None:
    metric = look.kind == "metric"
    pitch = look.pitch
    shown = min(look.lines_out + 1, round(look.range_length / pitch))
    size = TEXT if radius < 90 else LARGE
    for line in range(shown + 1):
        x = zero_x + line * pitch * scale
        if metric:
            whole = line % 2 == 0
            numbered = line % 10 == 0
            length = (0.26 if numbered else 0.17) * radius
            top, bottom = (datum_y - length, datum_y) if whole else (datum_y, datum_y + length)
            number = f"{line // 2}"
            at = datum_y - 0.33 * radius
        else:
            numbered = line % 4 == 0
            length = (0.34 if numbered else 0.2) * radius
            top, bottom = datum_y - length, datum_y
            number = "0" if line in (0, 40) else f"{line // 4}"
            at = datum_y + 0.27 * radius
        if line <= look.lines_out or x < zero_x + look.on_sleeve * scale + 2:
            sheet.line(x, top, x, bottom, weight=MEDIUM, name=f"sleeve-{line}")
            if numbered:
                sheet.text(x, at, number, size=size, anchor="middle")


def _thimble_lines(
    sheet: Sheet,
    look: MicrometerLook,
    *,
    edge: float,
    radius: float,
    datum_y: float,
    bevel: float,
) -> None:
    growth = 0.17 * radius / bevel  # the bevel widens: lines fan out a little
    for line in range(look.divisions):
        angle = look.thimble_angle(line)
        if abs(angle) > 1.42:
            continue
        sine = math.sin(angle)
        numbered = line % 5 == 0
        length = bevel * (0.44 if numbered else 0.28)
        sheet.line(
            edge,
            datum_y - radius * sine,
            edge + length,
            datum_y - (radius + growth * length) * sine,
            weight=MEDIUM,
            name=f"thimble-{line}",
        )
        if numbered and abs(angle) < 1.15:
            place = length + 5
            size = max(SMALL, (TEXT if radius < 90 else LARGE) * math.cos(angle) ** 0.5)
            y = datum_y - (radius + growth * place) * sine
            sheet.text(edge + place, y + size * 0.36, f"{line}", size=round(size, 1))


def _vernier_on_top(sheet: Sheet, edge: float, *, radius: float, datum_y: float) -> None:
    step = 2 * math.pi / 25
    for line in range(VERNIER_LINES):
        angle = (VERNIER_START + 0.9 * line) * step
        if angle > 1.5:
            break
        y = datum_y - radius * math.sin(angle)
        sheet.line(max(20.0, edge - 120), y, edge, y, weight=FINE)


def _draw_flat_vernier(
    sheet: Sheet, look: MicrometerLook, *, x: float, top: float, bottom: float
) -> None:
    """Draw vernier and thimble side by side, laid flat: one thimble division is `step` high."""
    sheet.rect(x - 24, 8, 214, 338, fill=WASH, ink=SHADE, weight=FINE, round_by=5)
    sheet.text(x - 14, 28, "Vernier, laid flat", size=TEXT, bold=True)
    step = (bottom - top) / 10.6
    base = bottom - 0.75 * step  # vernier line 0
    edge = x + 84
    sheet.rect(x - 14, top - 8, edge - x + 14, bottom - top + 8, fill=STEEL_LIGHT, weight=FINE)
    sheet.rect(edge, top - 8, 92, bottom - top + 8, fill=STEEL, weight=FINE)
    for line in range(VERNIER_LINES):
        y = base - 0.9 * line * step
        sheet.line(x + 28, y, edge, y, weight=MEDIUM, name=f"vernier-{line}")
        sheet.text(x + 18, y + 5, f"{line % 10}", size=TEXT, anchor="end")
    first = look.thimble + VERNIER_START  # thimble place level with vernier line 0
    for place in range(math.ceil(first - 0.75), math.floor(first + 9.9) + 1):
        y = base - (place - first) * step
        if not top - 6 < y < bottom - 1:
            continue
        numbered = place % 5 == 0
        length = 44 if numbered else 30
        sheet.line(edge, y, edge + length, y, weight=MEDIUM, name=f"flat-{place % 25}")
        if numbered:
            sheet.text(edge + length + 6, y + 5, f"{place % 25}", size=TEXT)
    sheet.line(edge, top - 8, edge, bottom, weight=HEAVY)


def _words(look: MicrometerLook) -> str:
    metric = look.kind == "metric"
    unit = "mm" if metric else "in"
    low, high = look.range_low, look.range_low + look.range_length
    said = [f"Micrometer, {low:g} to {high:g} {unit}."]
    if metric:
        whole, half = divmod(look.lines_out, 2)
        number = whole // 5 * 5
        said.append(
            f"Above the index line the last number out on the sleeve is {number}, "
            f"with {_count(whole - number, 'line')} after it."
        )
        said.append(
            "Below the index line a half line shows after the last upper line."
            if half
            else "Below the index line no half line shows after the last upper line."
        )
    else:
        tenth, quarter = divmod(look.lines_out, 4)
        said.append(
            f"The last number out on the sleeve is {'0 at the far end' if tenth == 10 else tenth}, "
            f"with {_count(quarter, 'line')} after it."
        )
    lower = math.floor(look.thimble + 1e-6)
    rest = look.thimble - lower
    if rest < 0.02:
        said.append(f"Thimble line {lower} stands at the index line.")
    else:
        upper = (lower + 1) % look.divisions
        said.append(f"The index line stands between thimble lines {lower} and {upper}.")
    if look.kind == "inch-vernier":
        said.append(f"Vernier line {look.vernier_line} meets a line of the thimble.")
    said.append(f"{_STEPS[look.kind][:1].upper()}{_STEPS[look.kind][1:]}.")
    return " ".join(said)


def _count(number: int, what: str) -> str:
    words = ("no", "one", "two", "three", "four")
    return f"{words[number]} {plural(what, number)}"
