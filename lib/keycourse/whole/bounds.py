"""What no job can be: numbers that geometry, or the parts on any shelf, rule out.

A number in range by itself may still not fit the one beside it: feet that overlap on a short span,
more thread engaged than there is key, a digit left out of a height. Each rule is one sentence that
names the value, the rule and the next step. Wide on purpose: it refuses what cannot be, not what is
unusual.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Iterator

from keycourse.whole.job_inputs import JobInputs, KeyInputs, OpeningInputs, PullInputs
from taperkey import practice
from taperkey.checks import (
    require_above,
    require_at_least,
    require_non_negative,
    require_positive,
    require_range,
    sentence,
)
from taperkey.formulas.chain import REQUIRED_LINKS
from taperkey.said import Said, number
from taperkey.tables.rigging import LBF_PER_US_TON
from taperkey.tables.strengths import steel
from taperkey.tables.threads import thread

__all__ = ["misfits"]

_STEEPEST = 1 / 20  # no taper key is; DIN 6886 and ASME B17.1 know 1:100 and 1:96
_SCATTER_IN = 0.050  # readings of one height further apart are not of one height: own rule
_JACK_PSI = practice.span("jack_pressure")
_AGAIN = "Measure both again."
_DECIMAL = "Look at the decimal point and the unit."

Rule = Callable[[], None]


def misfits(*, job: JobInputs) -> tuple[str, ...]:
    """Return one sentence for each number of a job that cannot be.

    each rule compares one number with another one of the same job

    Parameters
    ----------
    job : JobInputs
        As it was entered.

    Returns
    -------
    tuple of str
        Sentences with their numbers beside them; empty where nothing is ruled out.

    Assumptions
    -----------
    Shafts from 1/4 in to 80 in, a key's width between a twentieth and six tenths of the shaft.

    Source
    ------
    Geometry; key against shaft: ASME B17.1 and DIN 6886 with room to spare; pressures of jacks:
    common practice.
    """
    rules: list[Rule] = []
    if job.opening is not None:
        rules.extend(_of_slot(job.opening))
    if job.key is not None and job.opening is not None:
        rules.extend(_of_key(job.key, job.opening))
    if job.pull is not None:
        rules.extend(_of_pull(job.pull))
        if job.opening is not None:
            rules.extend(_of_old_key_in_slot(job.pull, job.opening))
    found: list[str] = []
    for rule in rules:
        try:
            rule()
        except ValueError as error:
            found.append(error.args[0])
    return tuple(dict.fromkeys(found))


def _at_most(name: str, value: float, most: float, unit: str, why: str, step: str) -> None:
    """Refuse a value above another one, and say what that other one is."""
    if value > most * (1 + 1e-9):
        rule = Said("{most} or less, " + why, most=number(most, unit))
        raise ValueError(sentence(name, float(value), unit, rule, step))


def _length(name: str, value: float, most: float, why: str, step: str = _AGAIN) -> Rule:
    return lambda: _at_most(name, value, most, "in", why, step)


def _of_slot(slot: OpeningInputs) -> Iterator[Rule]:
    shaft = slot.shaft_diameter_in
    yield lambda: require_range("shaft diameter", shaft, 0.25, 80.0, "in", _DECIMAL)
    yield lambda: require_range(
        "length of the hub", slot.hub_length_in, 0.25, 120.0, "in", _DECIMAL
    )
    yield lambda: require_positive("uncertainty of a height", slot.height_sd_in, "in")
    yield _length("uncertainty of a height", slot.height_sd_in, 0.020, "or it is no measurement",
                  "Take a better tool.")  # fmt: skip
    yield lambda: require_non_negative("common error of the heights", slot.height_common_in, "in")
    yield _length("common error of the heights", slot.height_common_in, 0.020,
                  "or it is no measurement", "Set the micrometer again.")  # fmt: skip
    if slot.station_sd_in is not None:
        yield lambda: require_positive("uncertainty of a distance", slot.station_sd_in, "in")
        yield _length("uncertainty of a distance", slot.station_sd_in, 0.25,
                      "or it is no distance", _DECIMAL)  # fmt: skip
    for name, widths in (("hub slot", slot.hub_widths_in), ("shaft slot", slot.shaft_widths_in)):
        yield from _alike(f"width of the {name}", widths)
        for one in widths:
            yield _width(f"width of the {name}", one, shaft)
    if slot.hub_widths_in and slot.shaft_widths_in:
        hub, keyseat = (statistics.fmean(one) for one in (slot.hub_widths_in, slot.shaft_widths_in))
        yield _length("difference of the slot widths", abs(hub - keyseat), min(hub, keyseat) / 3,
                      "a third of the narrower slot")  # fmt: skip
    lowest = min((one for row in slot.readings_in for one in row), default=0.0)
    for place, row in enumerate(slot.readings_in, start=1):
        yield from _alike(f"height at station {place}", row)
        for one in row:
            yield _height(f"height at station {place}", one, shaft)
    yield from _slope(slot)
    if slot.bore_in is not None:
        yield _length("clearance between bore and shaft", slot.bore_in - shaft, 0.03 * shaft,
                      "3 in 100 of the shaft")  # fmt: skip
    yield from _of_hub(slot, lowest)
    if slot.shaft_slot_depth_in is not None:
        depth = slot.shaft_slot_depth_in
        yield lambda: require_positive("depth of the shaft slot", depth, "in")
        yield _length("depth of the shaft slot", depth, 0.4 * shaft, "4 in 10 of the shaft")
        if lowest > 0:
            yield _length("depth of the shaft slot", depth, lowest,
                          "the height of the whole slot")  # fmt: skip
    if slot.slot_radius_in is not None and slot.hub_widths_in:
        yield lambda: require_non_negative("radius in the slot", slot.slot_radius_in, "in")
        yield _length("radius in the slot", slot.slot_radius_in, min(slot.hub_widths_in) / 3,
                      "a third of the slot's width")  # fmt: skip


def _of_hub(slot: OpeningInputs, lowest: float) -> Iterator[Rule]:
    """Yield what the hub's outside cannot be: there is metal over the keyway, and it has an end."""
    outside = slot.hub_outside_in
    if outside is None:
        return
    inside = slot.bore_in or slot.shaft_diameter_in
    in_hub = lowest - (slot.shaft_slot_depth_in or lowest / 2)
    least = inside + 2.2 * max(in_hub, 0.0)

    def rule() -> None:
        require_positive("outside diameter of the hub", outside, "in")
        more = Said("{least} or more, for metal over the keyway", least=number(least, "in"))
        if outside < least:
            raise ValueError(
                sentence("outside diameter of the hub", float(outside), "in", more, _AGAIN)
            )

    yield rule
    yield _length("outside diameter of the hub", outside, 12 * inside, "twelve bores", _DECIMAL)


def _alike(name: str, readings: tuple[float, ...]) -> Iterator[Rule]:
    """Yield the rule that readings of one thing lie together; `.2508` for 1.2508 does not."""
    if len(readings) < 2:
        return
    middle = statistics.median(readings)
    if len(readings) == 2:
        middle = max(readings)

    def rule() -> None:
        for one in readings:
            if abs(one - middle) > _SCATTER_IN:
                near = Said("within {far} of {middle}, the others", far=number(_SCATTER_IN, "in"),
                            middle=number(middle, "in"))  # fmt: skip
                step = "A digit may be left out or too many: read it again."
                raise ValueError(sentence(f"a reading of the {name}", float(one), "in", near, step))

    yield rule


def _width(name: str, value: float, shaft: float) -> Rule:
    low, high = 0.05 * shaft, 0.6 * shaft

    def rule() -> None:
        require_positive(name, value, "in")
        step = f"A key is about a quarter of the shaft wide. {_DECIMAL}"
        require_range(name, value, low, high, "in", step)

    return rule


def _height(name: str, value: float, shaft: float) -> Rule:
    def rule() -> None:
        require_positive(name, value, "in", "Enter the reading at this station.")
        step = f"It is the height of the slot, not of shaft and slot. {_DECIMAL}"
        require_range(name, value, 0.03 * shaft, 0.6 * shaft, "in", step)

    return rule


def _slope(slot: OpeningInputs) -> Iterator[Rule]:
    """Yield the rule that no two stations are further apart in height than a taper can make."""
    pairs = sorted(
        (at, statistics.fmean(row))
        for at, row in zip(slot.distances_in, slot.readings_in, strict=True)
        if row
    )  # fmt: skip

    def rule() -> None:
        for (x1, h1), (x2, h2) in zip(pairs, pairs[1:], strict=False):
            most = (x2 - x1) * _STEEPEST + 2 * slot.height_sd_in + 0.002
            _at_most("change of height between two stations", abs(h2 - h1), most, "in",
                     "steeper than 1:20 is no taper key's slot",
                     "Read both heights and their distance again.")  # fmt: skip

    yield rule


def _of_key(key: KeyInputs, slot: OpeningInputs) -> Iterator[Rule]:
    hub = slot.hub_length_in
    heights = [one for row in slot.readings_in for one in row]
    height = min(heights, default=math.inf)
    yield lambda: require_non_negative("length left outside", key.outside_in, "in")
    yield _length("length left outside", key.outside_in, hub, "the length of the hub", _DECIMAL)
    yield lambda: require_non_negative("fitting allowance", key.allowance_in, "in")
    yield _length("fitting allowance", key.allowance_in, 0.060,
                  "more is a matter for the mill, not the file", _DECIMAL)  # fmt: skip
    yield lambda: require_non_negative("side clearance", key.side_clearance_in, "in")
    yield _length("side clearance", key.side_clearance_in, 0.030,
                  "a key that loose turns in its slot", _DECIMAL)  # fmt: skip
    yield lambda: require_non_negative("relief cut", key.relief_cut_in, "in")
    yield _length("relief cut", key.relief_cut_in, height / 4, "a quarter of the key's height",
                  _DECIMAL)  # fmt: skip
    yield lambda: require_positive("deepest pass", key.deepest_pass_in, "in")
    yield _length("deepest pass", key.deepest_pass_in, 0.25, "for a key in a vise", _DECIMAL)
    if key.engaged_length_in is not None:
        yield lambda: require_positive("length of the key in the slot", key.engaged_length_in, "in")
        yield _length("length of the key in the slot", key.engaged_length_in, hub,
                      "the length of the hub")  # fmt: skip
    if key.left_to_drive_in is not None:
        yield lambda: require_non_negative("left to drive", key.left_to_drive_in, "in")
        yield _length("left to drive", key.left_to_drive_in, 1.0,
                      "the hammer makes no more", _DECIMAL)  # fmt: skip
    if key.thread_name and key.hole_depth_in is not None:
        size = thread(name=key.thread_name).diameter_in
        yield lambda: require_at_least("depth of the tapped hole", key.hole_depth_in, size, "in",
                                       "Less than a diameter of thread strips.")  # fmt: skip
    for name, bar in (("width", key.bar_width_in), ("height", key.bar_height_in)):
        if bar is not None and heights:
            yield _length(f"{name} of the bar at hand", bar, 4 * max(heights), "four key heights",
                          _DECIMAL)  # fmt: skip
    if key.torque_lbf_in is not None:
        yield lambda: require_positive("torque of the drive", key.torque_lbf_in, "lbf in")
    for name, factor, most in (
        ("service factor", key.service_factor, 6.0),
        ("design factor", key.design_factor, 10.0),
    ):
        if factor is not None:
            yield _factor(name, factor, most)


def _factor(name: str, value: float, most: float) -> Rule:
    step = "Ask whoever answers for the drive."
    return lambda: require_range(name, value, 1.0, most, "", step)


def _of_old_key_in_slot(pull: PullInputs, slot: OpeningInputs) -> Iterator[Rule]:
    shaft = slot.shaft_diameter_in
    if pull.over_near_in is not None and pull.over_far_in is not None:
        step = f"It reaches from the underside of the shaft to the top of the key. {_DECIMAL}"
        for name, over in (("near", pull.over_near_in), ("far", pull.over_far_in)):
            yield _over(f"over shaft and key, {name} face", over, shaft, step)
    if pull.key_width_in is not None and slot.shaft_widths_in:
        yield _length("width of the old key", pull.key_width_in,
                      1.02 * max((*slot.hub_widths_in, *slot.shaft_widths_in)),
                      "the width of the slot that it sits in")  # fmt: skip
    if pull.key_length_in is not None:
        yield _length("length of the old key in the hub", pull.key_length_in, slot.hub_length_in,
                      "the length of the hub")  # fmt: skip


def _over(name: str, value: float, shaft: float, step: str) -> Rule:
    return lambda: require_range(name, value, 0.9 * shaft, 1.5 * shaft, "in", step)


def _of_pull(pull: PullInputs) -> Iterator[Rule]:
    yield from _of_old_key(pull)
    key_yield = steel(name=pull.steel_name).yield_psi
    if pull.planned_pressure_psi is not None:
        low, high = pull.planned_pressure_psi
        yield lambda: require_positive("pressure on the faces, low end", low, "psi")
        yield lambda: require_at_least("pressure on the faces, high end", high, low, "psi")
        yield lambda: _at_most("pressure on the faces, high end", high, key_yield, "psi",
                               "where the key itself yields", _DECIMAL)  # fmt: skip
    if pull.friction is not None:
        for end, mu in zip(("low", "high"), pull.friction, strict=True):
            yield _friction(f"friction, {end} end", mu)
    needed = REQUIRED_LINKS.get(pull.method, ())
    if "jacks" in needed:
        yield from _of_jacks(pull)
    if "rod" in needed:
        yield from _of_rod(pull)
    if "strongback" in needed:
        yield from _of_bar(pull)
    if "weld" in needed:
        yield from _of_weld(pull)
    if pull.method == "slide hammer":
        yield lambda: require_range("weight of the slide hammer", pull.weight_lbf, 1.0, 300.0,
                                    "lbf", _DECIMAL)  # fmt: skip
        yield lambda: require_range("length of the rod", pull.rod_length_in, 6.0, 240.0, "in",
                                    _DECIMAL)  # fmt: skip


def _friction(name: str, mu: float) -> Rule:
    step = "It has no unit; 0.1 is greasy, 0.8 is rust on rust."
    return lambda: require_range(name, mu, 0.02, 1.2, "", step)


def _of_old_key(pull: PullInputs) -> Iterator[Rule]:
    length = pull.key_length_in
    if pull.key_width_in is not None and pull.key_height_in is not None:
        width, height = pull.key_width_in, pull.key_height_in
        yield lambda: require_range("width of the old key", width, 0.05, 20.0, "in", _DECIMAL)
        yield lambda: require_range("height of the old key", height, 0.3 * width, 1.7 * width, "in",
                                    f"A key is about as high as wide. {_DECIMAL}")  # fmt: skip
    if length is not None:
        yield lambda: require_range("length of the old key in the hub", length, 0.25, 120.0, "in",
                                    _DECIMAL)  # fmt: skip
    if pull.key_outside_in is not None:
        outside = pull.key_outside_in
        yield lambda: require_non_negative("what the old key stands out", outside, "in")
        if length is not None:
            yield _length("what the old key stands out", outside, 2 * length,
                          "twice its length in the hub", _DECIMAL)  # fmt: skip
    if pull.over_near_in is not None and pull.over_far_in is not None:
        near, far = pull.over_near_in, pull.over_far_in
        if length is not None:
            yield _length("difference of the readings over shaft and key", abs(near - far),
                          length * _STEEPEST + 0.004, "steeper than 1:20 is no taper key",
                          "Read both again.")  # fmt: skip
        if pull.key_width_in is not None:
            for name, over in (("near", near), ("far", far)):
                yield _over_width(name, over, pull.key_width_in)
    if pull.travel_after_contact_in is not None and length is not None:
        yield _length("travel after contact, high end", pull.travel_after_contact_in[1],
                      length / 2, "half the key's length", _DECIMAL)  # fmt: skip
    if pull.last_advance_in is not None:
        for end, advance in zip(("low", "high"), pull.last_advance_in, strict=True):
            yield _advance(f"advance of the last blow, {end} end", advance)
        yield lambda: require_range("weight of the sledge that drove it", pull.sledge_lb, 1.0, 50.0,
                                    "lbf", _DECIMAL)  # fmt: skip


def _advance(name: str, value: float) -> Rule:
    step = f"The last blow moves a key by a thirty-second or so. {_DECIMAL}"
    return lambda: require_range(name, value, 0.001, 0.5, "in", step)


def _over_width(name: str, over: float, width: float) -> Rule:
    step = f"It reaches from the underside of the shaft to the top of the key. {_DECIMAL}"
    return lambda: require_range(
        f"over shaft and key, {name} face", over, 1.6 * width, 22 * width, "in", step
    )


def _of_jacks(pull: PullInputs) -> Iterator[Rule]:
    yield lambda: require_range("rating of each jack", pull.jack_tons, 0.5, 1000.0, "tons",
                                "Read its plate: US tons of 2,000 lbf.")  # fmt: skip
    yield lambda: require_range("share of the jack rating", pull.jack_share, 0.05, 1.0, "",
                                "A jack gives no more than its plate says.")  # fmt: skip
    if pull.method == "hollow-ram":
        yield lambda: require_range("number of jacks", pull.jacks, 1, 1, "",
                                    "One hollow-ram jack sits on one rod.")  # fmt: skip
    else:
        yield lambda: require_range("number of jacks", pull.jacks, 2, 8, "",
                                    "One jack under one end of a bar tips it.")  # fmt: skip
    hole = (pull.jack_hole_in or 0.0) if pull.method == "hollow-ram" else 0.0
    foot = math.sqrt(max(4 / math.pi * pull.seat_area_in2 + hole**2, 0.0))
    yield lambda: require_range("diameter of the jack's foot", foot, 0.5, 24.0, "in", _DECIMAL)
    yield _length("hole of the jack", hole, 0.9 * foot, "nine tenths of the foot that it goes"
                  " through", _DECIMAL)  # fmt: skip
    if pull.jack_piston_in2 is not None:
        rated = pull.jack_tons * LBF_PER_US_TON
        pressure = rated / pull.jack_piston_in2 if pull.jack_piston_in2 > 0 else math.inf
        yield lambda: require_range(
            "pressure at the jack's rating, by its ram", pressure, *_JACK_PSI, "psi",
            "Rating or effective area is not this jack's: read its plate.",
        )  # fmt: skip
    if pull.gauge_division_psi is not None:
        yield lambda: require_range("division of the gauge", pull.gauge_division_psi, 1.0, 2000.0,
                                    "psi", "From mark to mark, not the whole scale.")  # fmt: skip
    if pull.pump_stroke_in3 is not None:
        yield lambda: require_range("oil of one stroke", pull.pump_stroke_in3, 0.005, 20.0, "in3",
                                    "Read it from the pump's plate.")  # fmt: skip
    if pull.jack_hole_in is not None and pull.method == "hollow-ram":
        yield lambda: require_positive("hole of the jack", pull.jack_hole_in, "in")
        yield _length("hole of the jack", pull.jack_hole_in, 12.0, "as no jack has", _DECIMAL)


def _of_rod(pull: PullInputs) -> Iterator[Rule]:
    yield lambda: require_range("condition of the rod", pull.rod_condition, 0.05, 1.0, "",
                                "1 is a rod in good order, less a worn one.")  # fmt: skip
    if not pull.thread_name:
        return
    size = thread(name=pull.thread_name).diameter_in
    if pull.rod_free_in is not None:
        yield lambda: require_range("rod under load", pull.rod_free_in, 2 * size, 240.0, "in",
                                    "It reaches from the key to the nut.")  # fmt: skip
    key = None
    if pull.key_length_in is not None:
        key = pull.key_length_in + (pull.key_outside_in or 0.0)
    if pull.engagement_in is not None:
        engaged = pull.engagement_in
        yield lambda: require_positive("thread engaged in the old key", engaged, "in")
        yield _length("thread engaged in the old key", engaged, 4 * size,
                      "four diameters, as no key is tapped deeper", _DECIMAL)  # fmt: skip
        if key is not None:
            yield _length("thread engaged in the old key", engaged, key,
                          "the length of the old key")  # fmt: skip
        if pull.rod_thread_in is not None:
            yield _length("thread engaged in the old key", engaged, pull.rod_thread_in,
                          "the thread on the rod")  # fmt: skip
    if pull.nut_height_in is not None:
        nut = pull.nut_height_in
        yield lambda: require_range("height of the nut", nut, 0.3 * size, 3 * size, "in", _DECIMAL)
    for name, across in (("width", pull.key_width_in), ("height", pull.key_height_in)):
        if across is not None:
            yield _through(f"{name} of the old key", across, size)


def _through(name: str, across: float, size: float) -> Rule:
    return lambda: require_above(name, across, size, "in",
                                 "That thread does not go into that key.")  # fmt: skip


def _of_bar(pull: PullInputs) -> Iterator[Rule]:
    foot = math.sqrt(4 / math.pi * pull.seat_area_in2)
    hole = pull.bar_hole_in if pull.method == "strongback" else 0.0
    width, depth, span = pull.bar_width_in, pull.bar_depth_in, pull.bar_span_in
    yield lambda: require_range("width of the strongback", width, 0.5, 24.0, "in", _DECIMAL)
    yield lambda: require_range("depth of the strongback", depth, 0.5, 24.0, "in", _DECIMAL)
    yield lambda: require_above("distance between the jacks", span, foot + hole, "in",
                                "The feet would stand on each other, or on the rod.")  # fmt: skip
    yield _length("distance between the jacks", span, 120.0, "as no strongback is", _DECIMAL)
    yield lambda: require_non_negative("hole in the strongback", pull.bar_hole_in, "in")
    if hole:
        yield _length("hole in the strongback", hole, 0.7 * width,
                      "seven tenths of its width, or no bar is left")  # fmt: skip


def _of_weld(pull: PullInputs) -> Iterator[Rule]:
    yield lambda: require_range("size of the weld", pull.weld_size_in, 0.06, 2.0, "in", _DECIMAL)
    yield lambda: require_positive("length of the weld", pull.weld_length_in, "in")
    yield lambda: require_range("sides welded", pull.weld_sides, 1, 2, "",
                                "The weld runs on one side of the joint or on both.")  # fmt: skip
    if pull.key_width_in is not None and pull.key_height_in is not None:
        around = max(pull.key_width_in, pull.key_height_in, pull.key_outside_in or 0.0)
        yield _length("length of the weld", pull.weld_length_in, around,
                      "the longest edge that the key's end has outside")  # fmt: skip
        yield _length("size of the weld", pull.weld_size_in, around / 2,
                      "half of the key's end")  # fmt: skip
