"""Drawing of one taper key, to scale, as a shop gets it.

Side view with the large end on the left, and the large end seen along arrow A,
enlarged. Dimensions follow ISO 129-1, the slope symbol ISO 3040, the thread ISO
6410: both views are to scale and no height is exaggerated.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from coursework.ink.drawing import (
    FINE,
    HEAVY,
    INK,
    LARGE,
    MEDIUM,
    MUTED,
    SMALL,
    STEEL_LIGHT,
    Picture,
    Point,
    Sheet,
    arc_points,
)
from taperkey.checks import (
    require_in,
    require_non_negative,
    require_positive,
    require_range,
    sentence,
)
from taperkey.units import MM_PER_IN, fraction_text

__all__ = ["TappedHole", "draw_key"]

_THIN = 0.9
_HIDDEN = (7, 4)
_PHANTOM = (16, 4, 2, 4, 2, 4)
_MINOR_SHARE = 1.0825  # pitch times this is how much smaller the core of the nut thread is
_LEFT, _REACH = 172.0, 416.0  # room of the side view
_TOP = 124.0  # highest point of the side view


@dataclass(frozen=True, kw_only=True)
class TappedHole:
    """Tapped hole in the large end.

    Attributes
    ----------
    name : str
        Thread as it is called, such as "1/2-13 UNC".
    diameter_in, pitch_in : float
        Major diameter and pitch, above 0 [in].
    depth_in : float
        Depth of full thread, above 0 [in].
    """

    name: str
    diameter_in: float
    pitch_in: float
    depth_in: float

    @property
    def core_in(self) -> float:
        """Diameter of the drilled hole [in]."""
        return self.diameter_in - _MINOR_SHARE * self.pitch_in


@dataclass(frozen=True, kw_only=True)
class _Key:
    large: float
    small: float
    length: float
    hub_width: float
    shaft_width: float
    shaft_portion: float
    chamfer: float
    tapped: TappedHole | None
    stand_out: float
    system: str

    @property
    def stepped(self) -> bool:
        return self.hub_width != self.shaft_width

    @property
    def taper(self) -> float:
        return (self.large - self.small) / self.length

    def height(self, value_in: float) -> str:
        if self.system == "metric":
            return f"{value_in * MM_PER_IN:.3f}"
        return f"{value_in:.4f}"

    def along(self, value_in: float) -> str:
        if self.system == "metric":
            return f"{value_in * MM_PER_IN:.1f}"
        return f"{value_in:.2f}"

    def fine(self, value_in: float) -> str:
        if self.system == "metric":
            return f"{value_in * MM_PER_IN:.1f}"
        text = fraction_text(value_in).removesuffix(" in")
        return text if "." not in text else f"{value_in:.3f}"

    @property
    def unit(self) -> str:
        return "mm" if self.system == "metric" else "in"


def draw_key(
    *,
    large_height_in: float,
    small_height_in: float,
    length_in: float,
    hub_width_in: float,
    shaft_width_in: float,
    shaft_portion_in: float | None = None,
    chamfer_in: float = 0.0,
    tapped: TappedHole | None = None,
    stand_out_in: float = 0.0,
    title: str = "Taper key",
    system: str = "inch",
) -> Picture:
    """Draw one key, dimensioned.

    Parameters
    ----------
    large_height_in, small_height_in : float
        Heights of the two ends, above 0; the large one is the larger [in].
    length_in : float
        Whole length, above 0 [in].
    hub_width_in, shaft_width_in : float
        Widths of the portions in hub and shaft, above 0; alike for a plain key [in].
    shaft_portion_in : float, optional
        Height of the portion in the shaft; half of the large end when left out [in].
    chamfer_in : float
        Leg of the 45 degree chamfer of the long edges; 0 for a sharp key [in].
    tapped : TappedHole, optional
        Hole in the large end; none when left out.
    stand_out_in : float
        How far the new key stands out of the hub when first pushed in by hand, with
        what always stays out; 0 when not to be shown [in].
    title : str
        Name above the drawing.
    system : str
        "inch" or "metric": in what the dimensions are written.

    Returns
    -------
    Picture
        The drawing and the same in words.

    Raises
    ------
    ValueError
        One sentence, where a size is outside its range.
    """
    require_in("system", system, ("inch", "metric"))
    require_positive("height of the small end", small_height_in, "in")
    if not small_height_in <= large_height_in < math.inf:
        rule = f"{small_height_in:.6g} in or more, as at the small end"
        raise ValueError(sentence("height of the large end", float(large_height_in), "in", rule))
    require_positive("key length", length_in, "in")
    require_positive("width in the hub", hub_width_in, "in")
    require_positive("width in the shaft", shaft_width_in, "in")
    portion = large_height_in / 2 if shaft_portion_in is None else shaft_portion_in
    require_positive("height of the shaft portion", portion, "in")
    require_positive(
        "height of the hub portion", small_height_in - portion, "in", "Check both depths."
    )
    most = min(hub_width_in, shaft_width_in, small_height_in) / 3
    require_range("chamfer", chamfer_in, 0, most, "in", "Ease the edge by less.")
    require_range("stand-out", stand_out_in, 0, length_in, "in", "The key is shorter.")
    if tapped is not None:
        require_positive("hole diameter", tapped.diameter_in, "in")
        require_non_negative("pitch", tapped.pitch_in, "in")
        require_range("hole depth", tapped.depth_in, 0, length_in, "in", "Drill less deep.")
    key = _Key(
        large=large_height_in,
        small=small_height_in,
        length=length_in,
        hub_width=hub_width_in,
        shaft_width=shaft_width_in,
        shaft_portion=portion,
        chamfer=chamfer_in,
        tapped=tapped,
        stand_out=stand_out_in,
        system=system,
    )
    per_in = min(_REACH / key.length, 150.0 / key.large)
    foot = _TOP + key.large * per_in
    below = foot + (126 if key.stand_out else 90) + (20 if key.stepped else 0)
    wide = max(key.hub_width, key.shaft_width)
    end_per_in = min(170.0 / wide, 150.0 / key.large)
    end_foot = below + 62 + key.large * end_per_in
    sheet = Sheet(height=max(end_foot + 84, below + 176))
    sheet.text(14, 28, title, size=LARGE, bold=True)
    shown = "millimeters" if system == "metric" else "inches"
    sheet.text(686, 28, f"Dimensions in {shown}", anchor="end", size=SMALL, ink=MUTED)
    _side_view(sheet, key, per_in, foot)
    _end_view(sheet, key, end_per_in, end_foot)
    _notes(sheet, key, 396.0, end_foot - 42)
    return sheet.picture(_words(key, title))


def _side_view(sheet: Sheet, key: _Key, per_in: float, foot: float) -> None:
    long = key.length * per_in
    left = _LEFT + (_REACH - long) / 2
    right = left + long
    top_left, top_right = foot - key.large * per_in, foot - key.small * per_in
    outline: list[Point] = [(left, foot), (left, top_left), (right, top_right), (right, foot)]
    sheet.path([outline], fill=STEEL_LIGHT, weight=HEAVY, name="key")
    ease = key.chamfer * per_in
    if ease >= 2.5:
        sheet.line(left, top_left + ease, right, top_right + ease, weight=_THIN)
        sheet.line(left, foot - ease, right, foot - ease, weight=_THIN)
    if key.stepped:
        at = foot - key.shaft_portion * per_in
        sheet.line(left, at, right, at, weight=MEDIUM, name="step")
    if key.tapped is not None:
        _hidden_hole(sheet, key.tapped, left, foot, key, per_in)
    # dimensions: heights on the left and right, length below
    sheet.dimension(
        (left, foot), (left, top_left), at=left - 46, words=key.height(key.large), anchor="end"
    )
    sheet.dimension((right, foot), (right, top_right), at=right + 40, words=key.height(key.small))
    if key.stand_out:
        mouth = left + key.stand_out * per_in
        sheet.line(mouth, top_left - 68, mouth, foot + 12, ink=INK, weight=FINE, dash=_PHANTOM)
        sheet.text(mouth + 6, top_left - 58, "hub face, key first pushed in", size=SMALL)
        sheet.dimension(
            (left, foot),
            (mouth, foot + 12),
            at=foot + 34,
            words="",
            upright=False,
        )
        words = f"{key.along(key.stand_out)} stands out"
        reach = max(mouth, left + 20) + (12 if key.stand_out * per_in >= 26 else 28)
        sheet.text(reach, foot + 39, words, halo=True)
    along = foot + (78 if key.stand_out else 42)
    sheet.dimension(
        (left, foot), (right, foot), at=along, words=key.along(key.length), upright=False
    )
    # slope symbol of ISO 3040: its slant falls as the key does
    x, y = right - 130, top_left - 32
    surface = top_left + (x + 10 - left) * (top_right - top_left) / long
    sheet.path([[(x, y), (x, y - 9), (x + 26, y)]], weight=FINE)
    sheet.text(x + 32, y, f"1:{1 / key.taper:.0f}" if key.taper else "no taper")
    sheet.line(x - 4, y + 4, x + 74, y + 4, weight=FINE)
    sheet.line(x - 4, y + 4, x + 10, surface, weight=FINE)
    sheet.arrowhead(x + 10, surface, 14, surface - y - 4, length=10)
    # arrow A shows from where the end view is seen
    middle = (foot + top_left) / 2
    sheet.arrow(16, middle, 46, middle, weight=MEDIUM)
    sheet.text(18, middle - 9, "A", bold=True)
    _bar(sheet, key, per_in, left, along + 26)


def _hidden_hole(
    sheet: Sheet, hole: TappedHole, left: float, foot: float, key: _Key, per_in: float
) -> None:
    middle = foot - key.large * per_in / 2
    major, core = hole.diameter_in * per_in / 2, hole.core_in * per_in / 2
    deep = left + hole.depth_in * per_in
    drilled = min(left + (hole.depth_in + 2.5 * hole.pitch_in) * per_in, left + key.length * per_in)
    point = core * math.tan(math.radians(31))  # a 118 degree drill
    for half, end, weight in ((major, deep, _THIN), (core, drilled, MEDIUM)):
        for side in (-half, half):
            sheet.line(left, middle + side, end, middle + side, weight=weight, dash=_HIDDEN)
    sheet.line(deep, middle - major, deep, middle + major, weight=MEDIUM, dash=_HIDDEN)
    tip: list[Point] = [
        (drilled, middle - core),
        (drilled + point, middle),
        (drilled, middle + core),
    ]
    sheet.path([tip], weight=MEDIUM, closed=False, dash=_HIDDEN)
    sheet.centre_line(left - 10, middle, drilled + point + 12, middle)


def _end_view(sheet: Sheet, key: _Key, per_in: float, foot: float) -> None:
    """Draw the large end as seen along A: hub portion on top, shaft portion below."""
    middle = 196.0
    top = foot - key.large * per_in
    step = foot - key.shaft_portion * per_in
    hub, shaft = key.hub_width * per_in / 2, key.shaft_width * per_in / 2
    ease = key.chamfer * per_in
    # down the right side from the top, then mirrored
    right = [
        (hub - ease, top),
        (hub, top + ease),
        (hub, step),
        (shaft, step),
        (shaft, foot - ease),
        (shaft - ease, foot),
    ]
    outline: list[Point] = [(middle + x, y) for x, y in right]
    outline += [(middle - x, y) for x, y in reversed(right)]
    sheet.path([outline], fill=STEEL_LIGHT, weight=HEAVY, name="end")
    surface = foot - (key.large - key.taper * key.length) * per_in
    if surface - top >= 2.5:  # the far, lower end does not show: the large end hides it
        sheet.line(middle - hub, surface, middle + hub, surface, weight=_THIN, dash=_HIDDEN)
    sheet.centre_line(middle, top - 12, middle, foot + 12)
    if key.tapped is not None:
        center = (top + foot) / 2
        core = key.tapped.core_in * per_in / 2
        major = key.tapped.diameter_in * per_in / 2
        sheet.circle(middle, center, core, weight=HEAVY, fill="#ffffff", name="hole")
        arc = arc_points(cx=middle, cy=center, radius=major, start=0.1, end=1.5 * math.pi - 0.1)
        sheet.path([arc], weight=_THIN, closed=False)
        sheet.centre_line(middle - major - 10, center, middle + major + 10, center)
        sheet.centre_line(middle, center - major - 6, middle, center + major + 6)
        words = f"{key.tapped.name}, {key.along(key.tapped.depth_in)} deep"
        at = core * math.cos(0.7), core * math.sin(0.7)
        sheet.leader(middle + at[0], center - at[1], 316, top - 22, words)
    above = top - (54 if key.stepped else 34)
    sheet.text(14, above, "A", bold=True, size=LARGE)
    sheet.text(32, above, "large end, enlarged", size=SMALL, ink=MUTED)
    if key.stepped:
        hub_words = f"{key.height(key.hub_width)} hub"
        sheet.dimension(
            (middle - hub, top + ease),
            (middle + hub, top + ease),
            at=top - 18,
            words=hub_words,
            upright=False,
        )
        sheet.dimension(
            (middle - shaft, foot),
            (middle - min(hub, shaft), step),
            at=middle - max(hub, shaft) - 34,
            words=key.height(key.shaft_portion),
            anchor="end",
        )
    words = key.height(key.shaft_width)
    sheet.dimension(
        (middle - shaft, foot - ease),
        (middle + shaft, foot - ease),
        at=foot + 38,
        words=f"{words} shaft" if key.stepped else words,
        upright=False,
    )
    if ease:
        sheet.leader(
            middle + shaft - ease / 2,
            foot - ease / 2,
            middle + max(hub, shaft) + 30,
            foot - 6,
            f"{key.fine(key.chamfer)} × 45°",
        )
    _bar(sheet, key, per_in, middle - max(hub, shaft), foot + 60)


def _bar(sheet: Sheet, key: _Key, per_in: float, x: float, y: float) -> None:
    """Draw a scale bar of a round length."""
    unit = 1 / MM_PER_IN if key.system == "metric" else 1.0
    steps = (
        (1, 2, 5, 10, 20, 50, 100, 200)
        if key.system == "metric"
        else (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 4)
    )
    fitting = [one for one in steps if 22 <= one * unit * per_in <= 90]
    size = fitting[-1] if fitting else steps[-1]
    words = f"{size:g} mm" if key.system == "metric" else fraction_text(size)
    sheet.scale_bar(x, y, size * unit * per_in, words)


def _notes(sheet: Sheet, key: _Key, x: float, y: float) -> None:
    """Write what a drawing says in words beside its views."""
    lines = []
    if key.chamfer:
        lines.append(f"All long edges {key.fine(key.chamfer)} × 45°")
    else:
        lines.append("Long edges not eased yet")
    if key.stepped:
        side = abs(key.hub_width - key.shaft_width) / 2
        wide = "hub" if key.hub_width > key.shaft_width else "shaft"
        lines.append(f"Step {key.height(side)} each side, wide in the {wide}")
    if key.tapped is None:
        lines.append("Large end not tapped")
    if key.stand_out:
        lines.append("Heights hold the allowance for fitting")
    for row, line in enumerate(lines):
        sheet.text(x, y - 20 * (len(lines) - 1 - row), line, size=SMALL)


def _words(key: _Key, title: str) -> str:
    unit = key.unit
    said = [
        f"{title}, side view to scale: large end {key.height(key.large)} {unit} high on the left, "
        f"small end {key.height(key.small)} {unit} high, {key.along(key.length)} {unit} long, "
        + (f"taper 1:{1 / key.taper:.0f}." if key.taper else "no taper.")
    ]
    if key.stepped:
        said.append(
            f"Stepped: {key.height(key.hub_width)} {unit} wide in the hub, "
            f"{key.height(key.shaft_width)} {unit} in the shaft, shaft portion "
            f"{key.height(key.shaft_portion)} {unit} high."
        )
    else:
        said.append(f"{key.height(key.hub_width)} {unit} wide.")
    if key.chamfer:
        said.append(f"Long edges eased {key.fine(key.chamfer)} {unit} at 45 degrees.")
    else:
        said.append("Long edges sharp.")
    if key.tapped is not None:
        said.append(
            f"Large end drilled and tapped {key.tapped.name}, "
            f"{key.along(key.tapped.depth_in)} {unit} deep."
        )
    else:
        said.append("Large end not tapped.")
    if key.stand_out:
        said.append(
            f"First pushed in by hand it stands {key.along(key.stand_out)} {unit} out of the hub."
        )
    return " ".join(said)
