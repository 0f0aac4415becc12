"""Live face of the drive: what each bit of travel past full contact brings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import ipywidgets

from coursework.ink.shop import ShopUnits, shop_units
from coursework.page.controls import Face, labelled_slider
from keycourse.fit.bench.fitting_steps import LUBRICANT_FRICTION
from keycourse.fit.drive_picture import MOST_TRAVEL_IN, draw_drive
from keycourse.fit.driven import Driven, KeyInHub, driven, full_blow_lbf_in, travel_after_blow_in
from taperkey import practice
from taperkey.formulas.taper import STANDARD_INCH, STANDARD_METRIC
from taperkey.formulas.wedge import drive_ratio
from taperkey.units import MM_PER_IN, System

__all__ = ["DriveResult", "drive_explorer", "drive_of"]

_KEY = KeyInHub()


@dataclass(frozen=True, kw_only=True)
class DriveResult:
    """A travel, the line beside it, and a key whose travel nobody knows.

    Attributes
    ----------
    now, line : Driven
        At the travel chosen, and at the line.
    unknown_lbf : tuple of float
        Push of the key that an unknown hand drove [lbf].
    after_lbf : tuple of float
        Push after one more full swing, from the travel chosen [lbf].
    """

    now: Driven
    line: Driven
    unknown_lbf: tuple[float, float]
    after_lbf: tuple[float, float]

    @property
    def times(self) -> float:
        """How many times the push of the line this is."""
        return self.now.travel_in / self.line.travel_in


def drive_of(*, travel_in: float, taper_in_per_in: float, line_in: float) -> DriveResult:
    """Return what a travel brings, beside the line and beside the unknown hand.

    Parameters
    ----------
    travel_in, line_in : float
        Past full contact, chosen and as taught [in].
    taper_in_per_in : float
        Taper [in/in].
    """
    now = driven(travel_in=travel_in, taper_in_per_in=taper_in_per_in)
    friction = LUBRICANT_FRICTION["anti-seize"]
    ratio = drive_ratio(
        taper_in_per_in=taper_in_per_in, floor_friction=friction, roof_friction=friction
    )
    low, high = (one * _KEY.area_in2 * ratio for one in practice.span("seat_pressure"))
    after = [
        push
        * travel_after_blow_in(travel_in=travel_in, push_lbf=push, blow_lbf_in=full_blow_lbf_in())
        / travel_in
        for push in now.push_lbf
    ]
    return DriveResult(
        now=now,
        line=driven(travel_in=line_in, taper_in_per_in=taper_in_per_in),
        unknown_lbf=(low, high),
        after_lbf=(after[0], after[1]),
    )


def _range(ends: tuple[float, float], write: Callable[[float], str]) -> str:
    """Return two ends as they are written, to the hundred, the unit said once."""
    low, high = (write(round(one, -2)) for one in ends)
    return f"{low.rsplit(' ', 1)[0]} to {high}"


def _tell(result: DriveResult, units: ShopUnits) -> Sequence[str]:
    now = result.now
    lines = [
        f"{units.travel(now.travel_in)} past full contact: a squeeze of"
        f" {units.small(now.squeeze_in)}. Each face carries {_range(now.force_lbf, units.force)},"
        f" {_range(now.pressure_psi, units.pressure)}.",
        f"Push at the end: {_range(now.push_lbf, units.force)}. Tension in the hub's ring:"
        f" {_range(now.tension_psi, units.pressure)}; several times that at the keyway's corner.",
    ]
    if now.travel_in > result.line.travel_in * 1.01:
        lines.append(
            f"This is past the line: {result.times:.1f} times the push and the tension that it"
            " needs, and a pull as much harder."
        )
    else:
        lines.append(
            "One full swing from here brings the push to"
            f" {_range(result.after_lbf, units.force)}: drive with short swings."
        )
    return lines


def drive_explorer(*, system: System = "inch") -> ipywidgets.VBox:
    """Return the travel of a drive to change, in a shop's units."""
    units = shop_units(system)
    metric = units.metric
    taper = STANDARD_METRIC if metric else STANDARD_INCH
    line = (
        practice.metric("left_to_drive") / MM_PER_IN if metric else practice.value("left_to_drive")
    )
    return Face(
        title="What does the drive bring?",
        under=f"Move the travel. The key is {units.about(_KEY.width_in)} wide, in a hub"
        f" {units.about(_KEY.length_in)} long; {line_said(units)} is as taught.",
        inputs={
            "travel": labelled_slider(
                label="Travel past full contact",
                value=3.0 if metric else practice.value("left_to_drive"),
                low=1.0 if metric else 1 / 32,
                high=25.0 if metric else MOST_TRAVEL_IN,
                step=0.5 if metric else 1 / 32,
                unit=units.unit,
                tip="From where the spots run the whole length",
            ),
        },
        compute=lambda travel: drive_of(
            travel_in=travel / MM_PER_IN if metric else travel,
            taper_in_per_in=taper,
            line_in=line,
        ),
        draw=lambda result: draw_drive(
            now=result.now,
            line_in=result.line.travel_in,
            unknown_lbf=result.unknown_lbf,
            units=units,
        ),
        tell=lambda result: _tell(result, units),
    ).widget


def line_said(units: ShopUnits) -> str:
    """Return what is left to drive, as a shop says it."""
    rule = practice.rule("left_to_drive")
    return rule.metric_shown if units.metric else str(rule.number)
