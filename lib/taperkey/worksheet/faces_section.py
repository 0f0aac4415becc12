"""Live face of the measuring lesson: hub on shaft, with the clearance in the opening."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import ipywidgets

from taperkey.figures.section import draw_section
from taperkey.formulas.measure import (
    gap_at_angle_in,
    height_left_out_in,
    travel_from_height_left_out_in,
)
from taperkey.worksheet.controls import Face, labelled_slider

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


def section_of(*, clearance_thou: float, angle_deg: float) -> SectionResult:
    """Return the clearance's share of the opening, and what a key would be short by.

    Parameters
    ----------
    clearance_thou : float
        Bore less shaft [0.001 in].
    angle_deg : float
        Keyway from the top [deg].
    """
    clearance, angle = clearance_thou / 1000, math.radians(angle_deg)
    return SectionResult(
        clearance_in=clearance,
        angle_rad=angle,
        gap_in=float(gap_at_angle_in(diametral_clearance_in=clearance, angle_rad=angle)),
        left_out_in=float(height_left_out_in(diametral_clearance_in=clearance, angle_rad=angle)),
        travel_in=float(
            travel_from_height_left_out_in(
                diametral_clearance_in=clearance, angle_rad=angle, taper_in_per_in=1 / 96
            )
        ),
    )


def _tell_section(result: SectionResult) -> Sequence[str]:
    clearance, gap, out = (
        1000 * v for v in (result.clearance_in, result.gap_in, result.left_out_in)
    )
    degrees = math.degrees(result.angle_rad)
    first = (
        f"Keyway {degrees:.0f}° from the top: {gap:.1f} thousandths of the opening are clearance, "
        f"of {clearance:.1f} in all."
    )
    if out < 0.05:
        return [first, "All of the clearance is in the reading: the key comes out right."]
    return [
        first,
        f"A key made to this reading is {out:.1f} thousandths too thin. At 1:96 it goes in "
        f"{result.travel_in:.2f} in further before it is tight.",
    ]


def section_explorer() -> ipywidgets.VBox:
    """Return hub on shaft, with clearance and keyway angle to change."""
    return Face(
        title="Where does the clearance go?",
        under="The hub hangs on the top of the shaft. Turn the keyway and watch the opening.",
        inputs={
            "clearance_thou": labelled_slider(
                label="Clearance",
                value=8.0,
                low=0.0,
                high=20.0,
                step=0.5,
                unit="thousandths",
                tip="Bore less shaft diameter, in thousandths of an inch",
            ),
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
        compute=section_of,
        draw=lambda r: draw_section(
            diametral_clearance_in=r.clearance_in,
            angle_rad=r.angle_rad,
            opening_height_in=OPENING_IN,
        ),
        tell=_tell_section,
    ).widget
