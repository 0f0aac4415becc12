"""How hard a key sits that was driven so far past full contact: for lessons 04 and 05.

Where the travel is known, force on the faces, push and tension in the hub follow from it. Where an
unknown hand drove the key, nobody knows the travel: practice.csv, seat_pressure, is planned for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from keycourse.fit.bench.fitting_steps import HUB_BORE_IN, HUB_OUTSIDE_IN, LUBRICANT_FRICTION
from taperkey import practice
from taperkey.formulas.hubring import CLOSE, LOOSE, hoop_stress_psi, ring_opening_in_per_lbf
from taperkey.formulas.seat import blow_energy_lbf_in, seat_from_travel
from taperkey.formulas.taper import STANDARD_INCH
from taperkey.formulas.wedge import drive_ratio

__all__ = ["Driven", "KeyInHub", "driven", "full_blow_lbf_in", "travel_after_blow_in"]


@dataclass(frozen=True, kw_only=True)
class KeyInHub:
    """The key of the examples and the hub that it is driven in [in].

    Attributes
    ----------
    width_in, length_in, height_in : float
        The key; as long as the hub.
    bore_in, outside_in : float
        The hub, with a keyway half as deep as the key is high.
    """

    width_in: float = 1.5
    length_in: float = 8.0
    height_in: float = 1.0
    bore_in: float = HUB_BORE_IN
    outside_in: float = HUB_OUTSIDE_IN

    @property
    def area_in2(self) -> float:
        """One face of the key [in2]."""
        return self.width_in * self.length_in

    def ring(self, shaft: str) -> dict[str, float | str]:
        """Return the hub as the formulas of its ring take it, on a close or a loose shaft."""
        return {
            "outside_in": self.outside_in,
            "bore_in": self.bore_in,
            "length_in": self.length_in,
            "keyway_depth_in": self.height_in / 2,
            "key_width_in": self.width_in,
            "shaft": shaft,
        }

    def ring_in_per_psi(self, shaft: str) -> float:
        """Return how far the hub opens as a ring for each psi on the faces [in/psi]."""
        return self.area_in2 * ring_opening_in_per_lbf(**self.ring(shaft))  # type: ignore[arg-type]


@dataclass(frozen=True, kw_only=True)
class Driven:
    """What a travel past full contact brings; low and high end each.

    Attributes
    ----------
    travel_in, squeeze_in : float
        Travel, and height by which the key is then too high for its slot [in].
    force_lbf, pressure_psi : tuple of float
        On each face [lbf, psi].
    push_lbf : tuple of float
        Along the key at the end of the travel [lbf].
    tension_psi : tuple of float
        In the hub's ring, the corner of the keyway not counted [psi].
    work_lbf_in : tuple of float
        Energy that the travel took [lbf_in].
    """

    travel_in: float
    squeeze_in: float
    force_lbf: tuple[float, float]
    pressure_psi: tuple[float, float]
    push_lbf: tuple[float, float]
    tension_psi: tuple[float, float]
    work_lbf_in: tuple[float, float]


def driven(
    *,
    travel_in: float,
    key: KeyInHub | None = None,
    taper_in_per_in: float = STANDARD_INCH,
    friction: float = LUBRICANT_FRICTION["anti-seize"],
) -> Driven:
    """Return what a key comes to that is driven so far past full contact.

    N by `seat_from_travel`; push = N times `drive_ratio`; work = push travel / 2

    Parameters
    ----------
    travel_in : float
        Past full contact, above 0 [in].
    key : KeyInHub, optional
        That of the examples when left out.
    taper_in_per_in : float
        Taper, above 0 [in/in].
    friction : float
        On both faces while driving [-].

    Returns
    -------
    Driven
        Low end: metal that gives much, a loose shaft; high end: metal that gives little, a close
        shaft.

    Raises
    ------
    ValueError
        If a value is outside its range.

    Assumptions
    -----------
    Elastic, so that all of it grows in proportion to the travel. It counts from where the spots run
    the whole length.

    Source
    ------
    `seat_from_travel`, `hoop_stress_psi`, `drive_ratio`.
    """
    key = KeyInHub() if key is None else key
    seat = seat_from_travel(
        travel_low_in=travel_in,
        travel_high_in=travel_in,
        taper_in_per_in=taper_in_per_in,
        height_in=key.height_in,
        width_in=key.width_in,
        contact_length_in=key.length_in,
        ring_low_in_per_psi=key.ring_in_per_psi(CLOSE),
        ring_high_in_per_psi=key.ring_in_per_psi(LOOSE),
    )
    ratio = drive_ratio(
        taper_in_per_in=taper_in_per_in, floor_friction=friction, roof_friction=friction
    )
    low, high = seat.low_lbf, seat.high_lbf
    tension = sorted(
        hoop_stress_psi(force_lbf=force, **key.ring(shaft)).greatest_psi  # type: ignore[arg-type]
        for force, shaft in ((low, LOOSE), (high, CLOSE))
    )
    return Driven(
        travel_in=travel_in,
        squeeze_in=travel_in * taper_in_per_in,
        force_lbf=(low, high),
        pressure_psi=(low / key.area_in2, high / key.area_in2),
        push_lbf=(low * ratio, high * ratio),
        tension_psi=(tension[0], tension[1]),
        work_lbf_in=(low * ratio * travel_in / 2, high * ratio * travel_in / 2),
    )


def full_blow_lbf_in() -> float:
    """Return what a full swing of the sledge brings to the key.

    share energy

    Returns
    -------
    float
        Energy that moves the key [lbf_in].

    Source
    ------
    practice.csv: drive_hammer, drive_hammer_speed, drive_useful_share.
    """
    return practice.value("drive_useful_share") * blow_energy_lbf_in(
        weight_lbf=practice.value("drive_hammer"),
        speed_in_per_s=12 * practice.value("drive_hammer_speed"),
    )


def travel_after_blow_in(*, travel_in: float, push_lbf: float, blow_lbf_in: float) -> float:
    """Return how far past full contact a key is after one more blow.

    t2 = root(t1^2 + 2 W t1 / F), since the push F grows in proportion to the travel t

    Parameters
    ----------
    travel_in : float
        Before the blow, above 0 [in].
    push_lbf : float
        There, above 0 [lbf].
    blow_lbf_in : float
        Energy that moves the key [lbf_in].

    Returns
    -------
    float
        Travel after it [in].

    Source
    ------
    Work and energy.
    """
    return math.sqrt(travel_in**2 + 2 * blow_lbf_in * travel_in / push_lbf)
