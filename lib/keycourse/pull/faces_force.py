"""Live face of the pulling lesson: the forces that hold a key, and those that draw it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import ipywidgets

from coursework.ink.shop import INCH, ShopUnits, shop_units
from coursework.page.controls import (
    Face,
    LabelledSlider,
    choice,
    labelled_slider,
)
from keycourse.pull.forces_picture import ACTIONS, draw_force_diagram
from taperkey.formulas.wedge import (
    SelfHolding,
    driving_force_lbf,
    self_holding,
    withdrawal_force_lbf,
)
from taperkey.units import System

__all__ = ["ForceResult", "force_explorer", "forces_of"]


@dataclass(frozen=True, kw_only=True)
class ForceResult:
    """Driving and withdrawing force of a key; forces in lbf."""

    normal_force_lbf: float
    taper_in_per_in: float
    floor_friction: float
    roof_friction: float
    action: str
    driving_lbf: float
    withdrawing_lbf: float
    holding: SelfHolding


def forces_of(
    *,
    normal_thousand_lbf: float,
    taper_in_per_ft: float,
    floor_friction: float,
    roof_friction: float,
    action: str,
) -> ForceResult:
    """Return what it takes to drive the key and to draw it.

    Parameters
    ----------
    normal_thousand_lbf : float
        Force square to the flat face [1000 lbf].
    taper_in_per_ft : float
        Taper [in/ft].
    floor_friction, roof_friction : float
        Friction coefficients [-].
    action : str
        What is being done to the key, one of the drawing's words.
    """
    wedge = {
        "taper_in_per_in": taper_in_per_ft / 12,
        "floor_friction": floor_friction,
        "roof_friction": roof_friction,
    }
    normal = 1000 * normal_thousand_lbf
    return ForceResult(
        normal_force_lbf=normal,
        action=action,
        driving_lbf=driving_force_lbf(normal_force_lbf=normal, **wedge),
        withdrawing_lbf=withdrawal_force_lbf(normal_force_lbf=normal, **wedge),
        holding=self_holding(**wedge),
        **wedge,
    )


def _tell_forces(result: ForceResult, units: ShopUnits) -> Sequence[str]:
    driving = units.force(result.driving_lbf)
    lines = [f"Driving it further in takes {driving}."]
    if result.withdrawing_lbf > 0:
        lines.append(
            f"Drawing it by the large end takes {units.force(result.withdrawing_lbf)},"
            f" {result.withdrawing_lbf / result.driving_lbf:.0%} of the driving force: the slope"
            " now helps, friction still holds."
        )
    else:
        lines.append(f"It takes {units.force(result.withdrawing_lbf)} to keep it from coming out.")
    lines.append("Self-holding: " + result.holding.reason)
    if result.action == ACTIONS[2]:
        lines.append(
            f"Hub turned round: below {driving} nothing moves; above it the pull draws the key"
            " further in. No pull on this end brings it out."
        )
    return lines


def force_explorer(*, system: System = "inch") -> ipywidgets.VBox:
    """Return the key between shaft and hub, with what acts on it to change, in a shop's units."""
    units = shop_units(system)
    inch = units is INCH
    action = choice(
        label="The key is",
        options=[(one, one) for one in ACTIONS],
        value=ACTIONS[1],
        tip="What is being done to the key; the end that shows is on the left",
    )
    action.layout.width = "480px"
    return Face(
        title="What holds a key, and what draws it?",
        under="Change one thing at a time. Watch the friction: it holds both ways.",
        inputs={
            "action": action,
            "normal_thousand_lbf": labelled_slider(
                label="Force on the faces",
                value=150.0 if inch else 650.0,
                low=5.0 if inch else 20.0,
                high=250.0 if inch else 1100.0,
                step=5.0 if inch else 10.0,
                unit="thousand lbf" if inch else "kN",
                tip="Square to the flat face, in "
                + ("thousands of pounds" if inch else "kilonewtons"),
            ),
            "taper_in_per_ft": labelled_slider(
                label="Taper",
                value=0.125 if inch else 1.0,
                low=0.025 if inch else 0.2,
                high=4.0 if inch else 33.0,
                step=0.025 if inch else 0.2,
                unit="in/ft" if inch else "mm/100 mm",
                tip="The standard key has 1/8 in per foot, 0.125"
                if inch
                else "The standard key has 1 mm in 100 mm",
            ),
            "floor_friction": _friction_slider("Friction on the shaft"),
            "roof_friction": _friction_slider("Friction in the hub"),
        },
        compute=lambda normal_thousand_lbf, taper_in_per_ft, **rest: forces_of(
            normal_thousand_lbf=normal_thousand_lbf
            if inch
            else normal_thousand_lbf / units.force_per_lbf / 1000,
            taper_in_per_ft=12 * taper_in_per_ft / units.taper_times,
            **rest,
        ),
        draw=lambda r: draw_force_diagram(
            normal_force_lbf=r.normal_force_lbf,
            taper_in_per_in=r.taper_in_per_in,
            floor_friction=r.floor_friction,
            roof_friction=r.roof_friction,
            action=r.action,
            units=units,
        ),
        tell=lambda result: _tell_forces(result, units),
    ).widget


def _friction_slider(label: str) -> LabelledSlider:
    return labelled_slider(
        label=label,
        value=0.10,
        low=0.0,
        high=0.8,
        step=0.01,
        unit="",
        tip="0.10 is wet anti-seize, 0.27 an oxide film; see the friction table",
    )
