"""Live face of the measuring lesson: hub on shaft, with the clearance in the opening."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import ipywidgets

from coursework.ink.shop import INCH, ShopUnits, shop_units
from coursework.page.controls import Face, labelled_slider
from keycourse.common import standard_of
from keycourse.measure.section import draw_section
from taperkey.formulas.measure import (
    gap_at_angle_in,
    height_left_out_in,
    travel_from_height_left_out_in,
)
from taperkey.formulas.taper import STANDARD_INCH
from taperkey.units import System

__all__ = ["SectionResult", "section_explorer", "section_of"]

OPENING_IN = 1.0


@dataclass(frozen=True, kw_only=True)
class SectionResult:
    """What clearance and angle do to a reading; lengths in inches."""

    clearance_in: float
    angle_rad: float
    gap_in: float
    left_out_in: float
    travel_in: float


def section_of(
    *, clearance_thou: float, angle_deg: float, taper_in_per_in: float = STANDARD_INCH
) -> SectionResult:
    """Return the clearance's share of the opening, and what a key would be short by.

    Parameters
    ----------
    clearance_thou : float
        Bore less shaft [0.001 in].
    angle_deg : float
        Keyway from the top [deg].
    taper_in_per_in : float
        Of the key; 1/96 if left out [in/in].
    """
    clearance, angle = clearance_thou / 1000, math.radians(angle_deg)
    return SectionResult(
        clearance_in=clearance,
        angle_rad=angle,
        gap_in=float(gap_at_angle_in(diametral_clearance_in=clearance, angle_rad=angle)),
        left_out_in=float(height_left_out_in(diametral_clearance_in=clearance, angle_rad=angle)),
        travel_in=float(
            travel_from_height_left_out_in(
                diametral_clearance_in=clearance, angle_rad=angle, taper_in_per_in=taper_in_per_in
            )
        ),
    )


def _tell_section(result: SectionResult, units: ShopUnits) -> Sequence[str]:
    degrees = math.degrees(result.angle_rad)
    first = (
        f"Keyway {degrees:.0f}° from the top: {units.small(result.gap_in)} of the opening are "
        f"clearance, of {units.small(result.clearance_in)} in all."
    )
    if result.left_out_in < 0.00005:
        return [first, "All of the clearance is in the reading: the key comes out right."]
    further = f"{result.travel_in * units.per_in:.{2 if units is INCH else 1}f} {units.unit}"
    return [
        first,
        f"A key made to this reading is {units.small(result.left_out_in)} too thin. "
        f"At {standard_of(units)[1]} it goes in {further} further before it is tight.",
    ]


def section_explorer(*, system: System = "inch") -> ipywidgets.VBox:
    """Return hub on shaft, with clearance and keyway angle to change, in a shop's units."""
    units = shop_units(system)
    inch = units is INCH
    clearance = labelled_slider(
        label="Clearance",
        value=8.0 if inch else 0.2,
        low=0.0,
        high=20.0 if inch else 0.5,
        step=0.5 if inch else 0.01,
        unit=units.fine,
        tip="Bore less shaft diameter, in " + ("thousandths of an inch" if inch else "millimeters"),
    )
    return Face(
        title="Where does the clearance go?",
        under="The hub hangs on the top of the shaft. Turn the keyway and watch the opening.",
        inputs={
            "clearance_thou": clearance,
            "angle_deg": labelled_slider(
                label="Keyway from the top",
                value=90.0,
                low=0.0,
                high=180.0,
                step=5.0,
                unit="°",
                tip="0 is the top, 180 the bottom",
            ),
        },
        compute=lambda clearance_thou, angle_deg: section_of(
            clearance_thou=1000 * clearance_thou / units.fine_per_in,
            angle_deg=angle_deg,
            taper_in_per_in=standard_of(units)[0],
        ),
        draw=lambda r: draw_section(
            diametral_clearance_in=r.clearance_in,
            angle_rad=r.angle_rad,
            opening_height_in=OPENING_IN,
            units=units,
        ),
        tell=lambda result: _tell_section(result, units),
    ).widget
