"""Measuring bench: a reading as it is kept, the taper bar, and readings of the bench's first model.

How a reading is taken today stands in :mod:`keycourse.measure.bench.reading`. `take_reading` is
the first model, of one lean and pointed ends; readings that were kept then are played by it.

A telescoping gauge is put in slightly tilted, snugged, and rocked through
square; it keeps the smallest span that it met. Then a micrometer goes over
it. An inside micrometer is read in place; a taper bar, a flat bar ground to
the standard taper, is slid in until it is tight.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from coursework.draws import Draws
from keycourse.measure.bench.slot import KEYWAY_AT_BOTTOM_RAD, TrueSlot
from taperkey import practice
from taperkey.checks import require_finite, require_in, require_positive, require_range
from taperkey.formulas.measure import REFERENCE_TEMPERATURE_DEGF, STEEL_EXPANSION_PER_DEGF
from taperkey.formulas.taper import STANDARD_INCH
from taperkey.said import Said, number

__all__ = [
    "TOOLS",
    "Reading",
    "slide_parallel",
    "span_at_tilt_in",
    "take_reading",
]

TOOLS = ("telescoping gauge", "inside micrometer", "taper bar")
"""Tools on the measuring bench."""

_SMALLEST_SPAN_IN = {"telescoping gauge": 0.3125, "inside micrometer": 1.5}
# Scatter of one reading: a steady hand's, and somebody's on the first day.
_SCATTER_IN = {
    "telescoping gauge": (practice.value("steady_scatter"), practice.value("first_day_scatter")),
    "inside micrometer": practice.span("inside_micrometer_scatter"),
    "taper bar": practice.span("taper_bar_scatter"),
}


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One reading at one station.

    Parameters
    ----------
    tool : str
        One of :data:`TOOLS`.
    station_in : float
        From the mouth [in].
    offset_in : float
        From the middle of the width [in].
    keyway_angle_rad : float
        From the line where hub and shaft touch [rad].
    span_in : float
        What the tool was set to, without the hand's scatter [in].
    shown_in : float
        What the micrometer would show, before anyone rounds it [in].
    note : str
        What the hand felt, or why there is no reading.
    stand_out_in : float
        How far the large end of a taper bar stands out of the mouth [in].
    bar_taper_in_per_in : float
        Taper that the bar is ground to [in/in].
    of : str
        "height", "keyway" or "keyseat"; "zero" on a standard.
    left_rad : tuple of (float, float)
        Lean along and across at the smallest span it met [rad].
    lean_cost_in : tuple of (float, float)
        What the lean left along and across made it larger [in].
    way_out : str
        "sprang out", "slipped shut", "pushed shut" or "scraped"; empty when nothing happened.
    hand_in : float
        What the lock and the way out did to it [in].
    own_error_in : float
        What the tool itself shows too much [in].
    standard_in : float
        Size of the gauge block or setting ring that it was tried on [in].
    """

    tool: str
    station_in: float
    offset_in: float
    keyway_angle_rad: float
    span_in: float
    shown_in: float
    note: str = ""
    stand_out_in: float = 0.0
    bar_taper_in_per_in: float = STANDARD_INCH
    of: str = "height"
    left_rad: tuple[float, float] = (0.0, 0.0)
    lean_cost_in: tuple[float, float] = (0.0, 0.0)
    way_out: str = ""
    hand_in: float = 0.0
    own_error_in: float = 0.0
    standard_in: float = 0.0

    @property
    def taken(self) -> bool:
        """Whether there is a reading at all."""
        return math.isfinite(self.shown_in)

    def to_dict(self) -> dict[str, Any]:
        """Return the reading as plain values, ready for JSON; no reading gives None."""
        plain = asdict(self)
        if not self.taken:
            plain["span_in"] = plain["shown_in"] = None
        return plain


def span_at_tilt_in(
    *, slot: TrueSlot, station_in: float, offset_in: float, tilt_rad: float, angle_rad: float
) -> float:
    """Return the span of a gauge that stands tilted in the slot.

    s cos(tilt) = roof(x + s/2 sin tilt) - floor(x - s/2 sin tilt), about h/cos(tilt)

    Parameters
    ----------
    slot : TrueSlot
        The slot.
    station_in, offset_in : float
        Middle of the gauge along and across [in].
    tilt_rad : float
        Lean along the slot, -0.6 to 0.6 [rad].
    angle_rad : float
        Keyway from the line of contact [rad].

    Returns
    -------
    float
        Span [in].

    Raises
    ------
    ValueError
        If the tilt is outside its range.

    Assumptions
    -----------
    The ends of the gauge are points.

    Examples
    --------
    An opening of 1 in without taper, gauge leaning 0.1 rad: 1/cos(0.1)

    >>> from keycourse.measure.bench.slot import SlotParameters, draw_slot
    >>> slot = draw_slot(parameters=SlotParameters(taper_in_per_in=0.0, form_error_in=0.0,
    ...     waviness_in=0.0, high_spot_count=0), seed=1)
    >>> round(span_at_tilt_in(slot=slot, station_in=4.0, offset_in=0.0, tilt_rad=0.1,
    ...     angle_rad=math.pi), 5)
    1.00502

    Source
    ------
    Derived here.
    """
    require_range("tilt", tilt_rad, -0.6, 0.6, "rad")
    length = slot.parameters.length_in
    lost = slot.parameters.diametral_clearance_in / 2 * (1 + math.cos(angle_rad))
    span = float(slot.height_in(station_in, offset_in, angle_rad))
    for _ in range(6):
        reach = span / 2 * math.sin(tilt_rad)
        top = min(max(station_in + reach, 0.0), length)
        foot = min(max(station_in - reach, 0.0), length)
        rise = float(slot.roof_in(top, offset_in)) - float(slot.floor_in(foot, offset_in)) - lost
        span = rise / math.cos(tilt_rad)
    return span


def take_reading(
    *,
    slot: TrueSlot,
    station_in: float,
    seed: int | str,
    tool: str = "telescoping gauge",
    offset_in: float = 0.0,
    tilt_rad: float = 0.15,
    rock_to_rad: float | None = -0.15,
    cross_tilt_rad: float = 0.0,
    tightness: float = 0.5,
    squeeze: float = 0.5,
    experience: float = 0.5,
    zero_error_in: float = 0.0,
    part_temperature_f: float = REFERENCE_TEMPERATURE_DEGF,
    tool_temperature_f: float = REFERENCE_TEMPERATURE_DEGF,
    keyway_angle_rad: float = KEYWAY_AT_BOTTOM_RAD,
) -> Reading:
    """Return one reading of the opening with gauge and micrometer.

    shown = span (1 + a (T part - 68)) / (1 + a (T tool - 68)) + feel + scatter + zero error

    Parameters
    ----------
    slot : TrueSlot
        The slot.
    station_in : float
        From the mouth, 0 to the length of the slot [in].
    seed : int or str
        Same seed, same scatter.
    tool : {"telescoping gauge", "inside micrometer"}
        What is put into the opening.
    offset_in : float
        From the middle of the width, inside the slot [in].
    tilt_rad : float
        Lean along the slot when the gauge is put in, -0.6 to 0.6 [rad].
    rock_to_rad : float or None
        Where the rocking ends; None if the gauge is not rocked [rad].
    cross_tilt_rad : float
        Lean across the slot, which rocking along it does not take out [rad].
    tightness : float
        Lock of the gauge: 0 slips, about 0.5 just drags, 1 will not close [0 to 1].
    squeeze : float
        Hand on the micrometer: about 0.5 light, 1 forced [0 to 1].
    experience : float
        0 first day, 1 steady hand [0 to 1].
    zero_error_in : float
        What the micrometer shows on its closed faces, or too much on its standard [in].
    part_temperature_f, tool_temperature_f : float
        Temperatures of hub and of gauge with micrometer [F].
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
    The gauge keeps the temperature of the micrometer. Scatter is normal.

    Examples
    --------
    One thousandth of zero error shows as one thousandth:

    >>> from keycourse.measure.bench.slot import SlotParameters, draw_slot
    >>> slot = draw_slot(parameters=SlotParameters(), seed=1)
    >>> true = take_reading(slot=slot, station_in=1.0, seed=7)
    >>> false = take_reading(slot=slot, station_in=1.0, seed=7, zero_error_in=0.001)
    >>> round(false.shown_in - true.shown_in, 6)
    0.001

    Source
    ------
    Rocking and feel: common practice. Scatter: a telescoping gauge
    transfers to about half a thousandth (practice.csv, transfer_scatter).
    Temperature: ISO 1 and JCGM 100:2008, H.1.
    """
    require_in("tool", tool, TOOLS[:2])
    width = slot.bearing_width_in()
    require_range("station", station_in, 0.0, slot.parameters.length_in, "in")
    require_range("offset", offset_in, -width / 2, width / 2, "in")
    require_range("cross tilt", cross_tilt_rad, -0.6, 0.6, "rad")
    for name, value in (
        ("tightness", tightness),
        ("squeeze", squeeze),
        ("experience", experience),
    ):
        require_range(name, value, 0.0, 1.0)
    require_range("zero error", zero_error_in, -0.05, 0.05, "in")
    require_range("part temperature", part_temperature_f, -60.0, 400.0, "F")
    require_range("tool temperature", tool_temperature_f, -60.0, 400.0, "F")
    require_finite("keyway angle", keyway_angle_rad, "rad")

    square = float(slot.height_in(station_in, offset_in, keyway_angle_rad))
    if square < _SMALLEST_SPAN_IN[tool]:
        return Reading(
            tool=tool,
            station_in=station_in,
            offset_in=offset_in,
            keyway_angle_rad=keyway_angle_rad,
            span_in=math.nan,
            shown_in=math.nan,
            note=Said(
                "The {tool} does not go in: it starts at {span}.",
                tool=tool,
                span=number(_SMALLEST_SPAN_IN[tool], "in", "g"),
            ),
        )
    leans = _leans(tilt_rad, rock_to_rad)
    span = min(
        span_at_tilt_in(
            slot=slot,
            station_in=station_in,
            offset_in=offset_in,
            tilt_rad=lean,
            angle_rad=keyway_angle_rad,
        )
        for lean in leans
    ) / math.cos(cross_tilt_rad)
    grown = 1 + STEEL_EXPANSION_PER_DEGF * (part_temperature_f - REFERENCE_TEMPERATURE_DEGF)
    scale = 1 + STEEL_EXPANSION_PER_DEGF * (tool_temperature_f - REFERENCE_TEMPERATURE_DEGF)
    feel, widening, note = _feel(tool, tightness, squeeze)
    hand = _hand_scatter_in(tool, experience)
    scatter = Draws(seed).normal(deviation=hand * widening)
    shown = span * grown / scale + feel + scatter + zero_error_in
    return Reading(
        tool=tool,
        station_in=station_in,
        offset_in=offset_in,
        keyway_angle_rad=keyway_angle_rad,
        span_in=round(span, 9),
        shown_in=round(shown, 9),
        note=note,
    )


def slide_parallel(
    *,
    slot: TrueSlot,
    seed: int | str,
    parallel_taper_in_per_in: float = STANDARD_INCH,
    parallel_length_in: float = 4.0,
    stand_out_in: float = 0.0,
    experience: float = 0.5,
    zero_error_in: float = 0.0,
    part_temperature_f: float = REFERENCE_TEMPERATURE_DEGF,
    tool_temperature_f: float = REFERENCE_TEMPERATURE_DEGF,
    keyway_angle_rad: float = KEYWAY_AT_BOTTOM_RAD,
) -> Reading:
    """Return the reading over a taper bar slid in until tight.

    span = min over x of (h(x) + taper x), x along the bar;
    shown = span (1 + a (T part - 68)) / (1 + a (T tool - 68)) + taper stand-out
    + scatter + zero error

    Parameters
    ----------
    slot : TrueSlot
        The slot.
    seed : int or str
        Same seed, same scatter.
    parallel_taper_in_per_in : float
        Taper to which the bar is ground, 0 to 0.1 [in/in].
    parallel_length_in : float
        Length inside the slot, above 0; at most the slot's is used [in].
    stand_out_in : float
        How far the large end stands out of the mouth, 0 to 12 [in].
    experience : float
        0 first day, 1 steady hand [0 to 1].
    zero_error_in : float
        Zero error of the micrometer [in].
    part_temperature_f, tool_temperature_f : float
        Temperatures of hub and of bar with micrometer [F].
    keyway_angle_rad : float
        Keyway from the line of contact [rad].

    Returns
    -------
    Reading
        `span_in` is the bar's height at the mouth, `shown_in` that over
        its large end; `station_in` is where the bar bears. It
        bears at the mouth if the slot tapers less than the bar, and at
        its inner end if the slot tapers more.

    Raises
    ------
    ValueError
        If a value is outside its range.

    Assumptions
    -----------
    Narrow stiff bar on the middle line, squared to the floor; it has
    the temperature of the micrometer.

    Examples
    --------
    A slot that tapers less than the bar is tight at its mouth:

    >>> from keycourse.measure.bench.slot import SlotParameters, draw_slot
    >>> slot = draw_slot(parameters=SlotParameters(taper_in_per_in=0.01, form_error_in=0.0,
    ...     waviness_in=0.0, high_spot_count=0), seed=1)
    >>> reading = slide_parallel(slot=slot, seed=1)
    >>> reading.station_in, round(reading.span_in, 6)
    (0.0, 1.0)

    Source
    ------
    The method is common practice; the minimum is derived here.
    Temperature: ISO 1 and JCGM 100:2008, H.1.
    """
    require_range("taper of the bar", parallel_taper_in_per_in, 0.0, 0.1, "in/in")
    require_positive("length of the bar", parallel_length_in, "in")
    require_range("stand-out", stand_out_in, 0.0, 12.0, "in")
    require_range("experience", experience, 0.0, 1.0)
    require_range("zero error", zero_error_in, -0.05, 0.05, "in")
    require_range("part temperature", part_temperature_f, -60.0, 400.0, "F")
    require_range("tool temperature", tool_temperature_f, -60.0, 400.0, "F")
    reach = min(parallel_length_in, slot.parameters.length_in)
    x = np.linspace(0.0, reach, 401)
    at_mouth = slot.height_in(x, 0.0, keyway_angle_rad) + parallel_taper_in_per_in * x
    where = int(np.argmin(at_mouth))
    span = float(at_mouth[where])
    grown = 1 + STEEL_EXPANSION_PER_DEGF * (part_temperature_f - REFERENCE_TEMPERATURE_DEGF)
    scale = 1 + STEEL_EXPANSION_PER_DEGF * (tool_temperature_f - REFERENCE_TEMPERATURE_DEGF)
    over_end = span * grown / scale + parallel_taper_in_per_in * stand_out_in
    scatter = Draws(seed).normal(deviation=_hand_scatter_in("taper bar", experience))
    return Reading(
        tool=TOOLS[2],
        station_in=float(x[where]),
        offset_in=0.0,
        keyway_angle_rad=keyway_angle_rad,
        span_in=round(span, 9),
        shown_in=round(over_end + scatter + zero_error_in, 9),
        note="Shake the bar: where it does not move, it bears.",
        stand_out_in=stand_out_in,
        bar_taper_in_per_in=parallel_taper_in_per_in,
    )


def _leans(tilt_rad: float, rock_to_rad: float | None) -> list[float]:
    """Leans that the rocking passes through."""
    if rock_to_rad is None:
        return [tilt_rad]
    low, high = min(tilt_rad, rock_to_rad), max(tilt_rad, rock_to_rad)
    leans = [low, high, *np.linspace(low, high, 9).tolist()]
    if low <= 0.0 <= high:
        leans.append(0.0)
    return leans


def _hand_scatter_in(tool: str, experience: float) -> float:
    """Return to what one reading repeats, from 0 on a first day to 1 in a steady hand [in]."""
    steady, first_day = _SCATTER_IN[tool]
    return first_day + experience * (steady - first_day)


def _feel(tool: str, tightness: float, squeeze: float) -> tuple[float, float, str]:
    """Bias [in], widening of the scatter, and what the hand felt."""
    loose = max(0.0, (0.35 - tightness) / 0.35)
    tight = max(0.0, (tightness - 0.65) / 0.35)
    forced = max(0.0, (squeeze - 0.65) / 0.35)
    if tool == "inside micrometer":
        loose *= 0.5
        tight *= 0.5
    bias = -0.0006 * loose + 0.0008 * tight - 0.0006 * forced
    note = ""
    if tool == "inside micrometer" and loose > 0:
        note = "The inside micrometer was too loose: its ends barely touched."
    elif tool == "inside micrometer" and tight > 0:
        note = "The inside micrometer was too tight: it stuck when it was rocked."
    elif loose > 0:
        note = "The lock was too loose: on the way out the gauge slipped shut, or sprang open."
    elif tight > 0:
        note = "The lock was too tight: the gauge did not close when it was rocked."
    elif forced > 0:
        note = "The micrometer was forced: it pushed the gauge shut."
    return bias, 1.0 + 1.5 * loose + 0.5 * tight, note
