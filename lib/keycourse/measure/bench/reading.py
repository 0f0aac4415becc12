"""One reading on the bench: the tool put in, rocked in two planes, drawn out, and read.

This is the bench's second model. Readings kept by the first one, which had no lean across the
slot and no error of the tool's own, are played as they were taken: `gauge.take_reading`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from coursework.draws import Draws
from keycourse.measure.bench.gauge import Reading
from keycourse.measure.bench.rocking import Lean, round_span_in, smallest_on_the_way
from keycourse.measure.bench.slot import KEYWAY_AT_BOTTOM_RAD, TrueSlot
from keycourse.measure.bench.tools import (
    CALIPER,
    SMALL_HOLE,
    TAPER_BAR,
    TELESCOPING,
    BenchTool,
    own_error_in,
    tool_named,
)
from keycourse.measure.bench.walls import Walls, draw_walls, over_flats_in
from taperkey.checks import require_finite, require_in, require_positive, require_range
from taperkey.formulas.measure import REFERENCE_TEMPERATURE_DEGF, STEEL_EXPANSION_PER_DEGF
from taperkey.said import Said, number

__all__ = ["MODEL", "OF", "measure", "on_its_standard", "why_not", "widths_of"]

MODEL = 2
"""Model of the bench; a reading that names none was taken on the first one."""

OF = ("height", "keyway", "keyseat")
"""What is measured: the height of the opening, the width of keyway or keyseat."""

_LOOSE_BELOW, _TIGHT_ABOVE = 0.35, 0.65  # lock that just drags lies between
# What a lock that is not tight lets a gauge do on its way out, at most [in].
_SPRINGS_OUT_IN, _SLIPS_SHUT_IN, _PART_THAT_SPRINGS = 0.0025, 0.0015, 0.7
# What a wrong hand on the others comes to, at most [in].
_BARELY_TOUCHES_IN = {SMALL_HOLE: -0.0006, CALIPER: -0.0015}
_FORCED_IN = {SMALL_HOLE: 0.0006, CALIPER: 0.002}
_OTHERS_IN = -0.0004, 0.0004
_ON_STANDARD = 1 / 3  # a standard is met again more closely than a slot


def widths_of(slot: TrueSlot) -> dict[str, Walls]:
    """Return the walls of keyway and keyseat of a slot.

    Parameters
    ----------
    slot : TrueSlot
        The slot; its walls go by its seed and its nominal widths.

    Source
    ------
    See :func:`keycourse.measure.bench.walls.draw_walls`.
    """
    p = slot.parameters
    return {
        which: draw_walls(seed=slot.seed, which=which, width_in=width, length_in=p.length_in)
        for which, width in (("keyway", p.hub_width_in), ("keyseat", p.shaft_width_in))
    }


def why_not(*, tool: str, of: str, opening_in: float, station_in: float) -> str:
    """Return why a tool does not measure there; empty when it does.

    Parameters
    ----------
    tool : str
        Name of the tool.
    of : {"height", "keyway", "keyseat"}
        What is measured.
    opening_in : float
        The opening there [in].
    station_in : float
        From the mouth [in].

    Source
    ------
    Ranges and reaches stand in practice.csv with their sources.
    """
    one = tool_named(tool)
    if of != "height" and tool == TAPER_BAR:
        return "The taper bar measures a height, not a width."
    if opening_in < one.least_in:
        start = number(one.least_in, "in", "g")
        return Said("The {tool} does not go in: it starts at {span}.", tool=tool, span=start)
    if opening_in > one.most_in:
        end = number(one.most_in, "in", "g")
        return Said("The {tool} does not touch both sides: it ends at {span}.", tool=tool, span=end)
    if station_in > one.reach_in:
        deep = number(one.reach_in, "in", "g")
        return Said("The {tool} does not reach there: it reaches {deep}.", tool=tool, deep=deep)
    return ""


def measure(
    *,
    slot: TrueSlot,
    station_in: float,
    seed: int | str,
    tools_seed: int | str,
    tool: str = TELESCOPING,
    of: str = "height",
    way: Sequence[Sequence[float]] = ((0.15, 0.0), (-0.15, 0.0)),
    tightness: float = 0.5,
    stoned: bool = False,
    experience: float = 0.5,
    zero_error_in: float = 0.0,
    part_temperature_f: float = REFERENCE_TEMPERATURE_DEGF,
    tool_temperature_f: float = REFERENCE_TEMPERATURE_DEGF,
    keyway_angle_rad: float = KEYWAY_AT_BOTTOM_RAD,
) -> Reading:
    """Return one reading of a height or of a width.

    shown = span (1 + a (T part - 68)) / (1 + a (T tool - 68)) + way out + hand + scatter
    + own error of the tool + zero error that was set

    Parameters
    ----------
    slot : TrueSlot
        The slot.
    station_in : float
        From the mouth, 0 to the length of the slot [in].
    seed : int or str
        Same seed, same scatter.
    tools_seed : int or str
        Decides the own error of each tool.
    tool : str
        Name of the tool.
    of : {"height", "keyway", "keyseat"}
        What is measured.
    way : sequence of (float, float)
        Leans along and across through which it was rocked, in order [rad].
    tightness : float
        Lock or drag: 0 slips, about 0.5 just drags, 1 will not close [0 to 1].
    stoned : bool
        Whether the burr at the mouth is stoned off.
    experience : float
        0 first day, 1 steady hand [0 to 1].
    zero_error_in : float
        What the instrument was set to show too much [in].
    part_temperature_f, tool_temperature_f : float
        Temperatures of hub and shaft, and of the tools [F].
    keyway_angle_rad : float
        Keyway from the line of contact; pi at the bottom [rad].

    Returns
    -------
    Reading
        Span and shown value [in], or a note why there is none.

    Raises
    ------
    ValueError
        If a value is outside its range.

    Assumptions
    -----------
    A gauge keeps the temperature of its micrometer. Scatter is normal. Widths do not change
    over the height of a wall.

    Examples
    --------
    Left rolled by 0.1 rad, round ends of 0.3 in: (1 - 0.6) (1/cos 0.1 - 1) = 0.0020 too large

    >>> from keycourse.measure.bench.slot import SlotParameters, draw_slot
    >>> slot = draw_slot(parameters=SlotParameters(taper_in_per_in=0.0, form_error_in=0.0,
    ...     waviness_in=0.0, high_spot_count=0), seed=1)
    >>> rolled = measure(slot=slot, station_in=1.0, seed=7, tools_seed=1,
    ...     way=[(0.1, 0.1), (-0.1, 0.1)])
    >>> round(rolled.span_in - 1.0, 4), [round(one, 4) for one in rolled.lean_cost_in]
    (0.002, [0.0, 0.002])

    Source
    ------
    Spans: :mod:`keycourse.measure.bench.rocking`. Temperature: ISO 1 and JCGM 100:2008, H.1.
    What a wrong lock does on the way out is the course's own model.
    """
    one = tool_named(tool)
    require_in("what is measured", of, OF)
    require_range("station", station_in, 0.0, slot.parameters.length_in, "in")
    require_range("tightness", tightness, 0.0, 1.0)
    require_range("experience", experience, 0.0, 1.0)
    require_range("zero error", zero_error_in, -0.05, 0.05, "in")
    require_range("part temperature", part_temperature_f, -60.0, 400.0, "F")
    require_range("tool temperature", tool_temperature_f, -60.0, 400.0, "F")
    require_finite("keyway angle", keyway_angle_rad, "rad")
    place = _Place(slot, of, keyway_angle_rad, stoned=stoned)
    square = place.opening_in(station_in)
    common: dict[str, Any] = {
        "tool": tool,
        "of": of,
        "station_in": station_in,
        "offset_in": 0.0,
        "keyway_angle_rad": keyway_angle_rad,
    }
    if words := why_not(tool=tool, of=of, opening_in=square, station_in=station_in):
        return Reading(span_in=math.nan, shown_in=math.nan, note=words, **common)

    radius = one.end_radius_in(square)

    def span(lean: Lean) -> float:
        return _span_in(one, place, station_in, lean, radius)

    leans = [(float(along), float(across)) for along, across in way]
    least, at = smallest_on_the_way(span=span, way=leans)
    draws = Draws(seed)
    scatter = draws.normal(deviation=_scatter_in(one, experience))
    hand, words, out = _hand(one, tightness, first=span(leans[0]), least=least, draws=draws)
    if not out and one.name == TELESCOPING:
        shut = _pushed_shut_in(place, station_in, leans[-1], least + hand, radius)
        if shut:
            words = _SHUT if of == "height" else _SHUT_BETWEEN_WALLS
            hand, out = hand - shut, "pushed shut"
    grown = 1 + STEEL_EXPANSION_PER_DEGF * (part_temperature_f - REFERENCE_TEMPERATURE_DEGF)
    scale = 1 + STEEL_EXPANSION_PER_DEGF * (tool_temperature_f - REFERENCE_TEMPERATURE_DEGF)
    own = own_error_in(seed=tools_seed, instrument=one.instrument)
    shown = least * grown / scale + hand + scatter + own + zero_error_in
    turned = (
        max(0.0, least - _least_in_plane(span, at[1])) if "along" in one.planes else 0.0,
        max(0.0, least - span((at[0], 0.0))) if "across" in one.planes else 0.0,
    )
    return Reading(
        span_in=round(least, 9),
        shown_in=round(shown, 9),
        note=words,
        left_rad=(round(at[0], 6), round(at[1], 6)),
        lean_cost_in=(round(turned[0], 9), round(turned[1], 9)),
        way_out=out,
        hand_in=round(hand, 9),
        own_error_in=own,
        **common,
    )


def on_its_standard(
    *,
    tool: str,
    size_in: float,
    seed: int | str,
    tools_seed: int | str,
    experience: float = 0.5,
    zero_error_in: float = 0.0,
) -> Reading:
    """Return what a tool shows on a standard of known size: its own error, nearly alone.

    Parameters
    ----------
    tool : str
        Name of the tool; of a gauge its micrometer is tried.
    size_in : float
        Size of the gauge block or setting ring, above 0 [in].
    seed : int or str
        Same seed, same scatter.
    tools_seed : int or str
        Decides the own error of each tool.
    experience : float
        0 first day, 1 steady hand [0 to 1].
    zero_error_in : float
        What the instrument was set to show too much [in].

    Returns
    -------
    Reading
        `of` is "zero", `span_in` the size of the standard as the tool's faces meet it.

    Raises
    ------
    ValueError
        If a value is outside its range.

    Assumptions
    -----------
    Standard and tool have the same temperature. A micrometer meets a gauge block, a tool that
    is read in place a ring, in which flats read small.

    Examples
    --------
    >>> tried = on_its_standard(tool="telescoping gauge", size_in=1.0, seed=1, tools_seed=3)
    >>> abs(tried.shown_in - 1.0 - tried.own_error_in) < 0.0005
    True

    Source
    ------
    Derived here; the scatter on a standard is a third of that in a slot, the course's own model.
    """
    one = tool_named(tool)
    require_positive("size of the standard", size_in, "in")
    require_range("experience", experience, 0.0, 1.0)
    require_range("zero error", zero_error_in, -0.05, 0.05, "in")
    met = over_flats_in(diameter_in=size_in, flat_in=one.flat_in) if one.flat_in else size_in
    own = own_error_in(seed=tools_seed, instrument=one.instrument)
    scatter = Draws(seed).normal(deviation=_ON_STANDARD * _scatter_in(one, experience))
    return Reading(
        tool=tool,
        of="zero",
        station_in=0.0,
        offset_in=0.0,
        keyway_angle_rad=KEYWAY_AT_BOTTOM_RAD,
        span_in=round(met, 9),
        shown_in=round(met + own + zero_error_in + scatter, 9),
        own_error_in=own,
        standard_in=size_in,
    )


class _Place:
    """What is measured of a slot: its height with the keyway at an angle, or one of its widths."""

    def __init__(self, slot: TrueSlot, of: str, angle_rad: float, *, stoned: bool) -> None:
        self._slot, self._angle, self._stoned = slot, angle_rad, stoned
        self.length_in = slot.parameters.length_in
        self.walls = None if of == "height" else widths_of(slot)[of]
        self._lost = slot.parameters.diametral_clearance_in / 2 * (1 + math.cos(angle_rad))

    def opening_in(self, station_in: float) -> float:
        if self.walls is not None:
            return self.walls.width_at_in(station_in, stoned=self._stoned)
        return float(self._slot.height_in(station_in, 0.0, self._angle))

    def tightest_in(self, first_in: float, last_in: float) -> float:
        if self.walls is not None:
            return self.walls.tightest_in(first_in, last_in, stoned=self._stoned)
        count = 9
        step = (last_in - first_in) / (count - 1)
        return min(self.opening_in(first_in + step * k) for k in range(count))

    def between(self, foot_x: float, foot_y: float, top_x: float, top_y: float) -> float:
        """Return the opening from a place on one face to a place on the other."""
        foot, top = (min(max(x, 0.0), self.length_in) for x in (foot_x, top_x))
        if self.walls is not None:
            return (
                self.walls.width_at_in(foot, stoned=self._stoned)
                + self.walls.width_at_in(top, stoned=self._stoned)
            ) / 2
        roof, floor = self._slot.roof_in(top, top_y), self._slot.floor_in(foot, foot_y)
        return float(roof) - float(floor) - self._lost


def _span_in(one: BenchTool, place: _Place, station_in: float, lean: Lean, radius: float) -> float:
    """Span of a tool at a lean: round ends at a point, or straight jaws on the tightest place."""
    if one.face_length_in:
        # jaws lie along the slot and seat themselves; only a roll across is left to lean
        length = min(one.face_length_in, station_in)
        tight = place.tightest_in(station_in - length, station_in)
        return (tight - 2 * radius) / math.cos(lean[1]) + 2 * radius
    return round_span_in(
        faces=place.between,
        station_in=station_in,
        offset_in=0.0,
        lean_rad=lean,
        end_radius_in=radius,
    )


def _least_in_plane(span: Callable[[Lean], float], across: float) -> float:
    """Smallest span of all leans along the slot, rolled as it is."""
    return smallest_on_the_way(span=span, way=[(-0.05, across), (0.05, across)])[0]


def _scatter_in(one: BenchTool, experience: float) -> float:
    steady, first_day = one.scatter_in
    return first_day + experience * (steady - first_day)


_SHUT = (
    "The slot closes toward you, and the gauge came out straight: the mouth pushed it shut. "
    "Draw it out leaning."
)

_SHUT_BETWEEN_WALLS = (
    "A narrower place on the way out pushed the gauge shut: a burr, or the end of a hollow."
)


def _pushed_shut_in(
    place: _Place, station_in: float, lean: Lean, span: float, radius: float
) -> float:
    """How far the gauge is pushed shut on its way out, leaning as it was left."""
    upright = math.cos(lean[0]) * math.cos(lean[1])
    high = (span - 2 * radius) * upright + 2 * radius
    over = high - place.tightest_in(0.0, station_in) if station_in else 0.0
    return over / upright if over > 0.0001 else 0.0


def _hand(
    one: BenchTool, tightness: float, *, first: float, least: float, draws: Draws
) -> tuple[float, str, str]:
    """Return what lock or drag did to the span [in], what the hand felt, and the way out."""
    loose = max(0.0, (_LOOSE_BELOW - tightness) / _LOOSE_BELOW)
    tight = max(0.0, (tightness - _TIGHT_ABOVE) / (1 - _TIGHT_ABOVE))
    kind, amount = draws.uniform(low=0.0, high=1.0), draws.uniform(low=0.3, high=1.0)
    if one.name != TELESCOPING:
        barely, forced = _OTHERS_IN
        if loose:
            off = loose * _BARELY_TOUCHES_IN.get(one.name, barely)
            return off, f"The {one.name} was too loose: it barely touched.", ""
        if tight:
            off = tight * _FORCED_IN.get(one.name, forced)
            return off, f"The {one.name} was forced: it stuck when it was moved.", "scraped"
        return 0.0, "", ""
    if tight:
        kept = tight * (first - least)
        if kept < 0.0001:  # it went in square, so that nothing had to close
            return 0.0, "The lock was too tight: the gauge dragged hard all the way.", ""
        return kept, (
            "The lock was too tight: the gauge did not close when it was rocked. It grated, and "
            "its ends left bright scratches on the faces."
        ), "scraped"  # fmt: skip
    if loose and kind < _PART_THAT_SPRINGS:
        return loose * amount * _SPRINGS_OUT_IN, (
            "The lock was too loose: on the way out the plungers sprang out a little."
        ), "sprang out"  # fmt: skip
    if loose:
        return -loose * amount * _SLIPS_SHUT_IN, (
            "The lock was too loose: on the way out the gauge slipped shut a little."
        ), "slipped shut"  # fmt: skip
    return 0.0, "", ""
