"""The opening of a whole job: mean heights, taper and its doubt, which end is large, widths."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from keycourse.whole.entry import entry_doubt, entry_height
from keycourse.whole.job_inputs import Finding, OpeningInputs
from keycourse.whole.workings import Workings
from taperkey import practice
from taperkey.checks import require_non_negative, require_positive, sentence
from taperkey.formulas.measure import find_outlier
from taperkey.formulas.misfit import birge_ratio, odd_station, york_line
from taperkey.formulas.taper import (
    STANDARD_INCH,
    STANDARD_METRIC,
    compare_with_standard,
    taper_from_stations,
    taper_per_foot_in,
    which_end_is_large,
)

__all__ = ["STEP_FROM_IN", "TWO_SD", "OpeningFigures", "work_opening"]

TWO_SD = 0.9545  # coverage of two standard uncertainties
STEP_FROM_IN = practice.value("plain_key_limit")
_FEWEST_FOR_OUTLIER = 5
_FEWEST_FOR_ODD = 4  # through the three others a line is held by more than two points
_ODD = 3.0  # standard uncertainties from the line through the others: own rule


@dataclass(frozen=True, kw_only=True)
class OpeningFigures:
    """What the readings of the opening say.

    Attributes
    ----------
    heights_in : tuple of float
        Mean height at each station [in].
    height_sd_in : float
        Standard uncertainty used for each height [in].
    taper_in_per_in, taper_sd_in_per_in : float
        Taper with its sign, and its standard uncertainty [in/in].
    end : str
        "mouth", "inside" or "undecided": where the large end is.
    standard : str
        "1:96", "1:100", "both" or "neither": what the taper agrees with.
    cut_taper_in_per_in : float
        Taper that the key is cut to, above 0 unless undecided [in/in].
    entry_height_in : float
        Height of the opening where the key enters: the mouth, or the far end of a reversed hub;
        nan while undecided [in].
    entry_sd_in : float
        Its standard uncertainty, with what all readings of the tool share [in].
    hub_width_in, shaft_width_in : float
        Mean widths [in].
    step_asked : bool
        Whether the widths differ enough for a stepped key.
    clearance_in : float or None
        Bore less shaft [in].
    """

    heights_in: tuple[float, ...]
    height_sd_in: float
    taper_in_per_in: float
    taper_sd_in_per_in: float
    end: Literal["mouth", "inside", "undecided"]
    standard: Literal["1:96", "1:100", "both", "neither"]
    cut_taper_in_per_in: float
    entry_height_in: float
    entry_sd_in: float
    hub_width_in: float
    shaft_width_in: float
    step_asked: bool
    clearance_in: float | None


def _require_sound(opening: OpeningInputs) -> None:
    if len(opening.distances_in) != len(opening.readings_in):
        raise ValueError(
            f"stations are {len(opening.distances_in)} and rows of readings"
            f" {len(opening.readings_in)}; there must be one row for each station."
        )
    require_positive("length of the hub", opening.hub_length_in, "in", "Measure the hub.")
    require_positive("shaft diameter", opening.shaft_diameter_in, "in")
    require_positive("uncertainty of a height", opening.height_sd_in, "in")
    for at, readings in zip(opening.distances_in, opening.readings_in, strict=True):
        require_non_negative("distance of a station", at, "in", "Measure it inward.")
        if at > opening.hub_length_in + 1e-9:
            rule = f"{opening.hub_length_in:.6g} in or less, the length of the hub"
            raise ValueError(
                sentence("distance of a station", float(at), "in", rule, "Measure both again.")
            )
        if not readings:
            raise ValueError(
                f"station at {at:.6g} in has no reading; it must have at least one."
                " Measure the height there."
            )
        require_positive("height", list(readings), "in", "Enter the reading at this station.")
    for name, widths in (
        ("width of the hub slot", opening.hub_widths_in),
        ("width of the shaft slot", opening.shaft_widths_in),
    ):
        if not widths:
            raise ValueError(f"{name} has no reading; it must have at least one. Measure it.")
        require_positive(name, list(widths), "in", "Measure it again.")
        if max(widths) >= opening.shaft_diameter_in:
            rule = f"below {opening.shaft_diameter_in:.6g} in, the shaft's diameter"
            raise ValueError(sentence(name, float(max(widths)), "in", rule, "Measure both again."))
    if opening.bore_in is not None and opening.bore_in < opening.shaft_diameter_in:
        rule = f"{opening.shaft_diameter_in:.6g} in or more, the shaft's diameter"
        step = "The shaft would not go in: measure both again."
        raise ValueError(sentence("bore", float(opening.bore_in), "in", rule, step))


def _scatter_in(opening: OpeningInputs) -> float:
    """Return the pooled scatter of a mean height from repeated readings; 0 where none repeats."""
    squares, spare, fewest = 0.0, 0, math.inf
    for readings in opening.readings_in:
        mean = math.fsum(readings) / len(readings)
        squares += math.fsum((one - mean) ** 2 for one in readings)
        spare += len(readings) - 1
        fewest = min(fewest, len(readings))
    return math.sqrt(squares / spare / fewest) if spare >= 3 else 0.0


def _standard_of(taper: float, sd: float) -> Literal["1:96", "1:100", "both", "neither"]:
    fits = [
        compare_with_standard(
            taper_in_per_in=abs(taper), sd_in_per_in=sd, standard_in_per_in=one, coverage=TWO_SD
        ).compatible
        for one in (STANDARD_INCH, STANDARD_METRIC)
    ]
    if fits[0]:
        return "both" if fits[1] else "1:96"
    return "1:100" if fits[1] else "neither"


def _mean(workings: Workings, key: str, what: str, readings: tuple[float, ...]) -> float:
    if len(readings) == 1:
        return workings.reading(key, what, readings[0])
    names = [f"{key}-reading-{place}" for place in range(1, len(readings) + 1)]
    for place, (name, one) in enumerate(zip(names, readings, strict=True), start=1):
        workings.reading(name, f"{what}, reading {place}", one)
    return workings.worked(
        key,
        what,
        math.fsum(readings) / len(readings),
        formula="mean = sum of the readings ÷ how many",
        inputs=names,
        source="JCGM 100:2008, 4.2.1",
    )


def work_opening(
    *,
    opening: OpeningInputs,
    standard: str,
    workings: Workings,
    findings: list[Finding],
) -> OpeningFigures:
    """Work out the opening: heights, taper with its doubt, the large end, widths, clearance.

    t = - sum (x - mean x)(h - mean h) / sum (x - mean x)^2; entry height = max (h + t x)

    Parameters
    ----------
    opening : OpeningInputs
        Readings.
    standard : str
        "inch" or "metric": which standard taper to take when the readings agree with both.
    workings : Workings
        Takes up every number.
    findings : list of Finding
        Takes up what the numbers say.

    Returns
    -------
    OpeningFigures
        Lengths in [in], tapers in [in/in].

    Raises
    ------
    ValueError
        If a reading is missing, out of its range or against another one.

    Assumptions
    -----------
    Straight slots. The larger of the stated uncertainty and the scatter of repeated readings is
    used for every height. "Agrees" is two standard uncertainties.

    Source
    ------
    `taper_from_stations`, `compare_with_standard`, `which_end_is_large`; step from 0.004 in:
    common practice.
    """
    _require_sound(opening)
    order = sorted(range(len(opening.distances_in)), key=lambda at: opening.distances_in[at])
    distances = tuple(opening.distances_in[at] for at in order)
    rows = tuple(opening.readings_in[at] for at in order)
    heights: list[float] = []
    names: list[str] = []
    for place, (at, readings) in enumerate(zip(distances, rows, strict=True), start=1):
        workings.reading(f"station-{place}", f"station {place}, distance from the mouth", at)
        what = "height at the mouth" if at == 0 else f"height at station {place}"
        heights.append(_mean(workings, f"height-{place}", what, readings))
        names.append(what)
    _look_for_odd(names, list(rows), findings)
    sd = _height_sd(opening, workings, findings)
    taper = taper_from_stations(distances_in=distances, heights_in=heights, height_sd_in=sd)
    t, u = taper.taper_in_per_in, taper.sd_in_per_in
    wider = birge_ratio(residual_sd=taper.scatter_in, stated_sd=sd) if len(heights) > 2 else 1.0
    stations = [f"{word}-{n}" for n in range(1, len(heights) + 1) for word in ("station", "height")]
    two = len(heights) == 2
    workings.worked(
        "taper",
        "taper of the opening, lower going in is positive",
        t,
        "taper",
        formula="taper = (height at the mouth − height inside) ÷ distance"
        if two
        else "taper = slope of the least-squares line through the stations",
        inputs=stations,
        source="common practice" if two else "JCGM 100:2008, H.3.2",
    )
    workings.worked(
        "taper-per-foot",
        "taper per foot",
        float(taper_per_foot_in(taper_in_per_in=t)),
        formula="taper per foot = taper per inch × 12",
        inputs=["taper"],
        source="definition",
    )
    workings.worked(
        "taper-doubt",
        "standard uncertainty of the taper",
        u,
        "taper",
        formula="u(taper) = u(height) × √2 ÷ distance"
        if two
        else "u(taper) = u(height) ÷ √(sum of squared distances from their mean)",
        inputs=["height-doubt", *stations[::2]],
        source="JCGM 100:2008, equation 10" if two else "JCGM 100:2008, equation H.13d",
    )
    u = max(u, _by_york(opening, distances, heights, sd, workings))
    u = _widened(u, wider, taper.scatter_in, workings)
    _look_for_worn(distances, heights, sd, wider, findings)
    end = which_end_is_large(taper_in_per_in=t, sd_in_per_in=u, coverage=TWO_SD)
    agrees = _standard_of(t, u)
    cut = _cut_taper(t, agrees, standard, workings)
    entry = entry_height(opening, distances, heights, end, cut, workings)
    entry_sd = entry_doubt(opening, distances, end, sd, wider, workings)
    if opening.shaft_slot_depth_in is not None:
        workings.reading(
            "shaft-slot-depth", "depth of the shaft slot at its side", opening.shaft_slot_depth_in
        )
    hub = _mean(workings, "hub-width", "width of the hub slot", opening.hub_widths_in)
    shaft = _mean(workings, "shaft-width", "width of the shaft slot", opening.shaft_widths_in)
    clearance = _clearance(opening, workings)
    step = abs(hub - shaft) > STEP_FROM_IN
    limit = practice.rule("plain_key_limit")
    workings.worked(
        "width-difference",
        "difference of the slot widths",
        abs(hub - shaft),
        formula="difference = wider slot − narrower slot",
        inputs=["hub-width", "shaft-width"],
        source=f"a step from {limit.number}: {limit.kind_said}",
    )
    figures = OpeningFigures(
        heights_in=tuple(heights),
        height_sd_in=sd,
        taper_in_per_in=t,
        taper_sd_in_per_in=u,
        end=end,
        standard=agrees,
        cut_taper_in_per_in=cut,
        entry_height_in=entry,
        entry_sd_in=entry_sd,
        hub_width_in=hub,
        shaft_width_in=shaft,
        step_asked=step,
        clearance_in=clearance,
    )
    _judge(opening, distances, figures, taper.scatter_in, findings)
    return figures


def _by_york(
    opening: OpeningInputs,
    distances: tuple[float, ...],
    heights: list[float],
    sd: float,
    workings: Workings,
) -> float:
    """Keep the fit with uncertain places beside the plain one; return its u(taper), 0 for none."""
    place_sd = opening.station_sd_in
    if place_sd is None or len(heights) < 3:
        return 0.0
    require_positive("uncertainty of a distance", place_sd, "in")
    count = len(heights)
    fit = york_line(x=distances, y=heights, x_sd=[place_sd] * count, y_sd=[sd] * count)
    workings.reading("station-doubt", "standard uncertainty of a distance", place_sd)
    inputs = [f"{word}-{n}" for n in range(1, count + 1) for word in ("station", "height")]
    inputs += ["station-doubt", "height-doubt"]
    for key, what, value in (
        ("taper-york", "taper, the distances uncertain as well", -fit.slope),
        ("taper-york-doubt", "its standard uncertainty", fit.slope_sd),
    ):
        workings.worked(
            key, what, value, "taper",
            formula="York's line: both coordinates uncertain; beside the plain one",
            inputs=inputs, source="York and others, American Journal of Physics 72 (2004) 367",
        )  # fmt: skip
    return fit.slope_sd


def _widened(u: float, wider: float, scatter: float, workings: Workings) -> float:
    """Return the taper's uncertainty with the misfit of the stations in it."""
    if wider <= 1.0:
        return u
    workings.worked(
        "misfit",
        "scatter of the stations about their line",
        scatter,
        formula="√(sum of squared misses ÷ (stations − 2))",
        inputs=[name for name in ("taper",) if name in workings],
        source="JCGM 100:2008, H.3.2",
    )
    return workings.worked(
        "taper-doubt-widened",
        "standard uncertainty of the taper, the misfit in it",
        u * wider,
        "taper",
        formula="u(taper) × scatter about the line ÷ u(height)",
        inputs=["taper-doubt", "misfit", "height-doubt"],
        source="Birge, Physical Review 40 (1932) 207",
    )


def _look_for_worn(
    distances: tuple[float, ...],
    heights: list[float],
    sd: float,
    wider: float,
    findings: list[Finding],
) -> None:
    """Say which station misses the line through the others, if one does."""
    if len(heights) < _FEWEST_FOR_ODD or wider <= 1.0:
        return
    odd = odd_station(x=distances, y=heights, sd=sd)
    if abs(odd.off) <= _ODD * odd.off_sd:
        return
    worn = odd.place == 0 and odd.off > 0
    findings.append(
        Finding(
            level="look",
            stage="measure",
            words="The mouth is worn: it is {} higher than the line through the other stations has"
            " it. The key bears further in; measure on from sound metal."
            if worn
            else f"Station {odd.place + 1} lies {{}} {'above' if odd.off > 0 else 'below'} the line"
            " through the others. Look for a burr, a worn place or a wrong reading there.",
            numbers=((abs(odd.off), "length"),),
        )
    )


def _look_for_odd(names: list[str], rows: list[tuple[float, ...]], findings: list[Finding]) -> None:
    odd, rule = [], ""
    for what, readings in zip(names, rows, strict=True):
        if len(readings) >= _FEWEST_FOR_OUTLIER:
            test = find_outlier(readings_in=list(readings))
            if test.index is not None:
                odd.append(f"{what}, reading {test.index + 1}")
                rule = test.rule
    if odd:
        findings.append(
            Finding(
                level="look",
                stage="measure",
                words=f"Apart from the others by {rule}: {'; '.join(odd)}. Find the reason and take"
                " it again; it is still in the mean.",
            )
        )


def _height_sd(opening: OpeningInputs, workings: Workings, findings: list[Finding]) -> float:
    gauge = practice.rule("transfer_scatter")
    stated = workings.assumed(
        "height-doubt-stated",
        "standard uncertainty of a height, as the shop takes it",
        opening.height_sd_in,
        source=f"stated on the job; {gauge.number} for a telescoping gauge: {gauge.kind_said}",
    )
    scatter = _scatter_in(opening)
    if not scatter:
        return workings.worked(
            "height-doubt",
            "standard uncertainty of a height",
            stated,
            formula="as stated: too few repeated readings to tell their scatter",
            inputs=["height-doubt-stated"],
            source="JCGM 100:2008, 4.3",
        )
    rows = [
        f"height-{place}-reading-{n}"
        for place in range(1, len(opening.readings_in) + 1)
        for n in range(1, 12)
        if f"height-{place}-reading-{n}" in workings
    ]
    workings.worked(
        "height-scatter",
        "scatter of a mean height, from the repeated readings",
        scatter,
        formula="s ÷ √n, s pooled over the stations",
        inputs=rows,
        source="JCGM 100:2008, 4.2.3",
    )
    if scatter > 2 * stated:
        findings.append(
            Finding(
                level="look",
                stage="measure",
                words="The readings scatter more than stated: {} against {} for a mean height."
                " Look at the gauge, the burrs and the feel, and measure again.",
                numbers=((scatter, "length"), (stated, "length")),
            )
        )
    return workings.worked(
        "height-doubt",
        "standard uncertainty of a height",
        max(stated, scatter),
        formula="the larger of stated uncertainty and scatter",
        inputs=["height-doubt-stated", "height-scatter"],
        source="own rule, on the cautious side",
    )


def _cut_taper(t: float, agrees: str, standard: str, workings: Workings) -> float:
    chosen = {
        "1:96": STANDARD_INCH,
        "1:100": STANDARD_METRIC,
        "both": STANDARD_INCH if standard == "inch" else STANDARD_METRIC,
        "neither": abs(t),
    }[agrees]
    how = {
        "1:96": "the standard taper that the readings agree with",
        "1:100": "the standard taper that the readings agree with",
        "both": f"the readings agree with both standards: the {standard} one is taken",
        "neither": "the measured taper: the readings agree with neither standard",
    }[agrees]
    return workings.worked(
        "cut-taper",
        "taper that the key is cut to",
        chosen,
        "taper",
        formula=how,
        inputs=["taper", "taper-doubt"],
        source="ASME B17.1 (1:96), DIN 6886 (1:100); agrees within two standard uncertainties",
    )


def _clearance(opening: OpeningInputs, workings: Workings) -> float | None:
    workings.reading("shaft-diameter", "shaft diameter", opening.shaft_diameter_in)
    if opening.bore_in is None:
        return None
    workings.reading("bore", "bore of the hub", opening.bore_in)
    return workings.worked(
        "clearance",
        "clearance between bore and shaft",
        opening.bore_in - opening.shaft_diameter_in,
        formula="clearance = bore − shaft diameter",
        inputs=["bore", "shaft-diameter"],
        source="definition",
    )


def _judge(
    opening: OpeningInputs,
    distances: tuple[float, ...],
    figures: OpeningFigures,
    scatter_in: float,
    findings: list[Finding],
) -> None:
    def say(level: Literal["stop", "look"], words: str, *lengths_in: float) -> None:
        numbers = tuple((one, "length") for one in lengths_in)
        findings.append(Finding(level=level, stage="measure", words=words, numbers=numbers))

    t, u, heights = figures.taper_in_per_in, figures.taper_sd_in_per_in, figures.heights_in
    base = distances[-1] - distances[0]
    if figures.end == "inside":
        say(
            "stop",
            "The hub is reversed: the opening is {} high inside against {} near the mouth, so it"
            " grows going in. A pull at this end tightens the key, whatever the force. The key is"
            " driven out from this end, or the hub comes off first; a new key goes in from the"
            " far end.",
            heights[-1],
            heights[0],
        )
    elif figures.end == "undecided":
        say(
            "stop",
            "The readings do not tell which end is large: {} of difference over {}, against {}"
            " that the gauge leaves open. Measure at both ends of the hub before anything is cut"
            " or pulled.",
            abs(t) * base,
            base,
            2 * u * base,
        )
    if not opening.keyway_at_bottom:
        left = " Up to {} of clearance is left out." if figures.clearance_in else ""
        say(
            "stop",
            "The heights were taken with the keyway away from the bottom: the clearance between"
            f" bore and shaft is not all in them, and the key comes out too thin.{left} Turn the"
            " keyway to the bottom and measure again.",
            *([figures.clearance_in] if figures.clearance_in else []),
        )
    if figures.standard == "both" and figures.end != "undecided":
        say(
            "look",
            "A base of {} does not tell 1:96 from 1:100. Measure on a longer base before a master"
            " key is chosen.",
            base,
        )
    elif figures.standard == "neither" and figures.end != "undecided":
        say(
            "look",
            f"The taper is 1:{1 / abs(t):.1f}, and the readings agree with neither 1:96 nor 1:100:"
            " over the base of {} the height changes by {}, known to ± {}. The key is cut to the"
            " measured taper, on a master key of that taper. Measure at more stations first.",
            base,
            abs(t) * base,
            2 * u * base,
        )
    if len(distances) > 2 and scatter_in > 3 * figures.height_sd_in:
        say(
            "look",
            "The stations lie {} off a straight line, against {} for a height: the slot is worn or"
            " bent, or one height is wrong.",
            scatter_in,
            figures.height_sd_in,
        )
    if figures.step_asked:
        wider = "hub" if figures.hub_width_in > figures.shaft_width_in else "shaft"
        say(
            "look",
            f"The slots differ in width: hub {{}}, shaft {{}}. A stepped key is made, wide in the"
            f" {wider}.",
            figures.hub_width_in,
            figures.shaft_width_in,
        )
