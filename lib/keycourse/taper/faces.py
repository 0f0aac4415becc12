"""Live faces of the taper lesson: profile and band, taper bar, reversed hub."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import ipywidgets
import numpy as np

from coursework.draws import Draws
from coursework.ink.drawing import Picture
from coursework.ink.shop import INCH, ShopUnits, shop_units
from coursework.page.controls import (
    Face,
    LabelledSlider,
    choice,
    labelled_slider,
)
from keycourse.measure.profile import draw_profile
from keycourse.taper.parallel import draw_hub_ends, draw_parallel
from taperkey.formulas.linefit import LineFit, fit_line, predict
from taperkey.formulas.taper import (
    STANDARD_INCH,
    STANDARD_METRIC,
    ParallelMismatch,
    compare_with_standard,
    parallel_mismatch,
    taper_sd_in_per_in,
    which_end_is_large,
)
from taperkey.units import System

__all__ = [
    "ProfileResult",
    "parallel_explorer",
    "profile_explorer",
    "profile_of",
    "reversed_explorer",
]

LENGTH_IN = 8.0
MOUTH_IN = 1.0


@dataclass(frozen=True, kw_only=True)
class ProfileResult:
    """Readings of a plan, the line through them, and how well the taper is known."""

    stations_in: tuple[float, ...]
    heights_in: tuple[float, ...]
    fit: LineFit
    sd_in_per_in: float
    base_in: float
    band_at_in: tuple[float, ...]
    band_half_in: tuple[float, ...]

    @property
    def taper_in_per_in(self) -> float:
        """Taper of the fitted line, positive when lower going in [in/in]."""
        return -self.fit.slope


def profile_of(
    *, base_in: float, gauge_thou: float, stations: float, repeats: float, again: float
) -> ProfileResult:
    """Return readings of a 1:96 slot on a plan, and the line through them.

    Parameters
    ----------
    base_in : float
        First station to last; the first is the mouth [in].
    gauge_thou : float
        Scatter of one reading, standard deviation [0.001 in].
    stations, repeats : float
        Places along the base, 2 or more, and readings at each.
    again : float
        Which set of readings to take.
    """
    sd = gauge_thou / 1000
    places = np.repeat(np.linspace(0.0, base_in, round(stations)), round(repeats))
    draws = Draws(f"profile:{round(again)}")
    heights = np.array(
        [MOUTH_IN - STANDARD_INCH * x + draws.normal(deviation=sd) for x in places.tolist()]
    )
    fit = fit_line(x=places, y=heights, sd=np.full(places.size, sd))
    at = np.linspace(0.0, LENGTH_IN, 25)
    half = 2 * np.asarray(predict(fit=fit, x=at).sd)
    return ProfileResult(
        stations_in=tuple(places.tolist()),
        heights_in=tuple(heights.tolist()),
        fit=fit,
        sd_in_per_in=float(taper_sd_in_per_in(distances_in=places, height_sd_in=sd)),
        base_in=base_in,
        band_at_in=tuple(at.tolist()),
        band_half_in=tuple(half.tolist()),
    )


def _length(
    units: ShopUnits,
    *,
    label: str,
    value: float,
    low: float,
    high: float,
    step: float,
    tip: str = "",
) -> LabelledSlider:
    """Return a slider for a length along the slot; given in inches, an inch is shown as 25 mm."""
    by = 1.0 if units is INCH else 25.0
    return labelled_slider(
        label=label,
        value=value * by,
        low=low * by,
        high=high * by,
        step=step * by,
        unit=units.unit,
        tip=tip,
    )


def _scatter(units: ShopUnits, *, label: str, tip: str) -> LabelledSlider:
    """Return a slider for how well a height is known."""
    inch = units is INCH
    return labelled_slider(
        label=label,
        value=0.5 if inch else 0.012,
        low=0.1 if inch else 0.002,
        high=2.0 if inch else 0.05,
        step=0.1 if inch else 0.002,
        unit=units.fine,
        tip=f"{tip}, in {'thousandths of an inch' if inch else 'millimeters'}",
    )


def _draw_profile(result: ProfileResult, units: ShopUnits) -> Picture:
    return draw_profile(
        stations_in=result.stations_in,
        heights_in=result.heights_in,
        length_in=LENGTH_IN,
        line_mouth_in=result.fit.intercept,
        line_taper_in_per_in=result.taper_in_per_in,
        band_at_in=result.band_at_in,
        band_half_in=result.band_half_in,
        units=units,
    )


def _tell_profile(result: ProfileResult, units: ShopUnits) -> Sequence[str]:
    taper, sd = result.taper_in_per_in, result.sd_in_per_in
    share = 100 * 2 * sd / STANDARD_INCH
    lines = [
        f"Taper {units.taper(taper)}, known to ± {units.taper(2 * sd)}: {share:.0f} % of the "
        f"slot's {units.taper(STANDARD_INCH)}. (± two standard uncertainties.)"
    ]
    fits = [
        name
        for name, standard in (("1:96", STANDARD_INCH), ("1:100", STANDARD_METRIC))
        if compare_with_standard(
            taper_in_per_in=taper, sd_in_per_in=sd, standard_in_per_in=standard
        ).compatible
    ]
    if len(fits) == 2:
        lines.append("These readings cannot tell 1:96 from 1:100. Try a longer base, or repeat.")
    elif fits:
        lines.append(f"Of the two standards, these readings agree with {fits[0]} only.")
    else:
        lines.append("These readings agree with neither 1:96 nor 1:100. Take another set.")
    if result.base_in <= 1.5:
        lines.append(
            "The base is short: beyond the last station the band opens like a fan, and the far "
            "end of the slot is hardly known."
        )
    return lines


def profile_explorer(*, system: System = "inch") -> ipywidgets.VBox:
    """Return a slot of standard taper to measure on different plans, in a shop's units."""
    units = shop_units(system)
    return Face(
        title="How well is the taper known?",
        under="Change the plan of measuring and watch the band. The slot tapers 1:96.",
        inputs={
            "base_in": _length(
                units,
                label="Base length",
                value=1.0,
                low=0.5,
                high=8.0,
                step=0.5,
                tip="From the mouth to the last station",
            ),
            "gauge_thou": _scatter(
                units,
                label="Reading scatters by",
                tip="Standard deviation of one reading",
            ),
            "stations": labelled_slider(
                label="Stations", value=2, low=2, high=9, step=1, unit="places"
            ),
            "repeats": labelled_slider(
                label="Readings at each", value=1, low=1, high=6, step=1, unit="readings"
            ),
            "again": labelled_slider(
                label="Take set number", value=1, low=1, high=20, step=1, unit="of 20"
            ),
        },
        compute=lambda base_in, gauge_thou, **plan: profile_of(
            base_in=base_in / units.per_in,
            gauge_thou=1000 * gauge_thou / units.fine_per_in,
            **plan,
        ),
        draw=lambda result: _draw_profile(result, units),
        tell=lambda result: _tell_profile(result, units),
    ).widget


@dataclass(frozen=True, kw_only=True)
class _Parallel:
    slot_taper_in_per_in: float
    parallel_taper_in_per_in: float
    length_in: float
    found: ParallelMismatch


def _parallel_of(*, slot_per_foot: float, parallel: float, inside_in: float) -> _Parallel:
    slot = slot_per_foot / 12
    if abs(slot - parallel) < 0.0005 / 12:  # finer than anyone grinds a bar
        slot = parallel
    return _Parallel(
        slot_taper_in_per_in=slot,
        parallel_taper_in_per_in=parallel,
        length_in=inside_in,
        found=parallel_mismatch(
            engaged_length_in=inside_in,
            slot_taper_in_per_in=slot,
            parallel_taper_in_per_in=parallel,
        ),
    )


def _tell_parallel(result: _Parallel, units: ShopUnits) -> Sequence[str]:
    found = result.found
    if found.bears_at == "whole length":
        return [
            "Slot and bar taper alike: it bears along its whole length and does not rock. "
            "Its height at the mouth is the height of the slot there."
        ]
    gap = units.small(found.gap_in)
    if found.bears_at == "inside":
        return [
            f"The slot tapers more than the bar: it bears at its inner end, and {gap} "
            "are open at the mouth.",
            f"H at the mouth comes out {units.small(found.mouth_gap_in)} too low.",
        ]
    return [
        f"The slot tapers less than the bar: it bears at the mouth, and {gap} "
        "are open at its inner end.",
        "H at the mouth is right, but the taper of the bar is not that of the slot.",
    ]


def parallel_explorer(*, system: System = "inch") -> ipywidgets.VBox:
    """Return a taper bar in a slot whose taper can be changed, in a shop's units."""
    units = shop_units(system)
    inch = units is INCH
    slot = labelled_slider(
        label="Taper of the slot",
        value=0.135 if inch else 1.12,
        low=0.09 if inch else 0.76,
        high=0.16 if inch else 1.32,
        step=0.0025 if inch else 0.02,
        unit=units.taper_unit,
    )
    return Face(
        title="The taper bar",
        under="It is ground to one taper. See what it tells when the slot has another.",
        inputs={
            "slot_per_foot": slot,
            "parallel": choice(
                label="Bar ground to",
                options=[
                    (
                        f"1:96 ({'1/8 in per foot' if inch else units.taper(STANDARD_INCH)})",
                        STANDARD_INCH,
                    ),
                    (
                        "1:100" if inch else f"1:100 ({units.taper(STANDARD_METRIC)})",
                        STANDARD_METRIC,
                    ),
                ],
                value=STANDARD_INCH if inch else STANDARD_METRIC,
            ),
            "inside_in": _length(
                units, label="Length inside", value=4.0, low=1.0, high=8.0, step=0.5
            ),
        },
        compute=lambda slot_per_foot, parallel, inside_in: _parallel_of(
            slot_per_foot=12 * slot_per_foot / units.taper_times,
            parallel=parallel,
            inside_in=inside_in / units.per_in,
        ),
        draw=lambda r: draw_parallel(
            slot_taper_in_per_in=r.slot_taper_in_per_in,
            parallel_taper_in_per_in=r.parallel_taper_in_per_in,
            parallel_length_in=r.length_in,
            units=units,
        ),
        tell=lambda result: _tell_parallel(result, units),
    ).widget


@dataclass(frozen=True, kw_only=True)
class _Ends:
    mouth_in: float
    inside_in: float
    base_in: float
    taper_in_per_in: float
    sd_in_per_in: float
    large: str


def _ends_of(*, mouth_in: float, inside_in: float, base_in: float, gauge_thou: float) -> _Ends:
    taper = (mouth_in - inside_in) / base_in
    sd = math.sqrt(2) * gauge_thou / 1000 / base_in
    return _Ends(
        mouth_in=mouth_in,
        inside_in=inside_in,
        base_in=base_in,
        taper_in_per_in=taper,
        sd_in_per_in=sd,
        large=which_end_is_large(taper_in_per_in=taper, sd_in_per_in=sd),
    )


def _tell_ends(result: _Ends, units: ShopUnits) -> Sequence[str]:
    off = result.mouth_in - result.inside_in
    first = (
        f"From the mouth to {units.distance(result.base_in)} inside, the opening gets "
        f"{units.small(abs(off))} {'lower' if off >= 0 else 'higher'}."
    )
    if result.large == "undecided":
        return [
            first,
            "The readings cannot tell which end is large. Measure again on a longer base before "
            "anything is pulled.",
        ]
    if result.large == "mouth":
        return [first, "The large end is at the mouth: a pull at the mouth loosens the key."]
    return [
        first,
        "The large end is inside: the hub was turned round. A pull at the mouth tightens the "
        "key, whatever the force. Do not pull here. The hub has to come off first.",
    ]


def reversed_explorer(*, system: System = "inch") -> ipywidgets.VBox:
    """Return two heights to change, and what they say about the way the key comes out."""
    units = shop_units(system)
    inch = units is INCH

    def height(label: str, value: float, value_mm: float) -> LabelledSlider:
        return labelled_slider(
            label=label,
            value=value if inch else value_mm,
            low=0.95 if inch else 24.0,
            high=1.05 if inch else 26.6,
            step=0.001 if inch else 0.01,
            unit=units.unit,
        )

    return Face(
        title="Which end is large?",
        under="Measure before you pull. The heights tell which way the key comes out.",
        inputs={
            "mouth_in": height("Height at the mouth", 1.0, 25.0),
            "inside_in": height("Height inside", 1.042, 26.0),
            "base_in": _length(
                units, label="Distance apart", value=4.0, low=1.0, high=8.0, step=0.5
            ),
            "gauge_thou": _scatter(
                units, label="Heights known to", tip="Standard uncertainty of each height"
            ),
        },
        compute=lambda mouth_in, inside_in, base_in, gauge_thou: _ends_of(
            mouth_in=mouth_in / units.per_in,
            inside_in=inside_in / units.per_in,
            base_in=base_in / units.per_in,
            gauge_thou=1000 * gauge_thou / units.fine_per_in,
        ),
        draw=lambda r: draw_hub_ends(
            taper_in_per_in=r.taper_in_per_in,
            mouth_height_in=r.mouth_in,
            length_in=r.base_in,
            decided=r.large != "undecided",
            units=units,
        ),
        tell=lambda result: _tell_ends(result, units),
    ).widget
