"""The key as it sits in the hub: freshly driven, or after years of rust; hidden."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, replace
from typing import Any

from coursework.draws import Draws
from keycourse.fit.bench.fitting import FittingSummary
from keycourse.fit.bench.fitting_steps import LUBRICANT_FRICTION
from taperkey import practice
from taperkey.checks import require_in, require_non_negative, require_positive, require_range
from taperkey.formulas.free_body import reaction_of_pull
from taperkey.formulas.squeeze import (
    SEAT_DEPTH_HIGH,
    SEAT_DEPTH_LOW,
    seat_compliance_in_per_psi,
)
from taperkey.formulas.wedge import drive_ratio, withdraw_ratio

__all__ = ["SeatedKey", "age_key", "draw_seated_key", "seated_from_fitting"]


@dataclass(frozen=True, kw_only=True)
class SeatedKey:
    """A key in its hub; hidden from the apprentice.

    Parameters
    ----------
    normal_force_lbf : float
        Force square to the faces, 0 or more [lbf].
    squeeze_in : float
        How much thicker the key was than the opening, above 0 [in].
    taper_in_per_in : float
        Taper, above 0 [in/in].
    floor_friction, roof_friction : float
        Friction coefficients at the start of a pull [-].
    bond_lbf : float
        What rust grown across the faces holds, beyond friction, 0 or more [lbf].
    bore_in : float
        Bore of the hub, above 0 [in].
    height_mouth_in, length_in : float
        Opening at the end that shows, and length of the slot [in].
    small_end_shows : bool
        The hub was turned round: the end that shows is the small one.
    room_behind : bool
        The key could come out at the other end.
    """

    normal_force_lbf: float
    squeeze_in: float
    taper_in_per_in: float = 1 / 96
    floor_friction: float = 0.10
    roof_friction: float = 0.10
    bond_lbf: float = 0.0
    bore_in: float = 6.0
    height_mouth_in: float = 1.0
    length_in: float = 8.0
    small_end_shows: bool = False
    room_behind: bool = False

    def __post_init__(self) -> None:
        """Refuse a key that cannot be."""
        require_non_negative("force on the faces", self.normal_force_lbf, "lbf")
        require_positive("squeeze", self.squeeze_in, "in")
        require_positive("taper", self.taper_in_per_in, "in/in")
        require_range("floor friction", self.floor_friction, 0.0, 1.5)
        require_range("roof friction", self.roof_friction, 0.0, 1.5)
        require_non_negative("rust bond", self.bond_lbf, "lbf")
        require_positive("bore", self.bore_in, "in")
        require_positive("opening at the end that shows", self.height_mouth_in, "in")
        require_positive("length of the slot", self.length_in, "in")

    @property
    def start_lbf(self) -> float:
        """Pull at the large end, or push at the small end, that starts the key out [lbf]."""
        return max(0.0, self.normal_force_lbf * self._ratio(withdraw_ratio)) + self.bond_lbf

    @property
    def tighten_lbf(self) -> float:
        """Pull at the small end at which the key goes further in [lbf]."""
        return self.normal_force_lbf * self._ratio(drive_ratio) + self.bond_lbf

    @property
    def height_far_in(self) -> float:
        """Opening at the other end [in]."""
        sign = 1.0 if self.small_end_shows else -1.0
        return self.height_mouth_in + sign * self.taper_in_per_in * self.length_in

    @property
    def free_in(self) -> float:
        """Travel after which nothing squeezes the key any more [in]."""
        return self.squeeze_in / self.taper_in_per_in

    @property
    def drag_lbf(self) -> float:
        """What a pulled key drags the hub with: its tapered face and half the rust [lbf]."""
        sliding = self.start_lbf - self.bond_lbf
        if sliding <= 0:
            return self.bond_lbf / 2
        found = reaction_of_pull(
            pull_lbf=sliding,
            taper_in_per_in=self.taper_in_per_in,
            floor_friction=self.floor_friction,
            roof_friction=self.roof_friction,
        )
        return found.hub_lbf + self.bond_lbf / 2

    def eased(self, growth_in: float) -> SeatedKey:
        """Return the key in an opening that has grown by so much [in]."""
        left = max(0.0, 1 - growth_in / self.squeeze_in)
        return replace(
            self,
            normal_force_lbf=self.normal_force_lbf * left,
            squeeze_in=max(1e-6, self.squeeze_in * left),
        )

    def _ratio(self, ratio: Any) -> float:
        return float(
            ratio(
                taper_in_per_in=self.taper_in_per_in,
                floor_friction=self.floor_friction,
                roof_friction=self.roof_friction,
            )
        )

    def to_dict(self) -> dict[str, Any]:
        """Return plain values, ready for JSON; hidden from the apprentice."""
        return asdict(self)


def seated_from_fitting(
    *,
    summary: FittingSummary,
    lubricant: str,
    taper_in_per_in: float = 1 / 96,
    bore_in: float = 6.0,
    height_mouth_in: float = 1.0,
    length_in: float = 8.0,
) -> SeatedKey:
    """Return the key of a fitting session as it sits after the drive.

    Parameters
    ----------
    summary : FittingSummary
        Of a session in which the key was driven.
    lubricant : str
        "anti-seize", "oil" or "none".
    taper_in_per_in : float
        Taper, above 0 [in/in].
    bore_in, height_mouth_in, length_in : float
        Of hub and slot [in].

    Returns
    -------
    SeatedKey
        With the seat force of the drive.

    Raises
    ------
    ValueError
        If the key was not driven.

    Assumptions
    -----------
    A gap of 0.0001 in of squeeze at least.

    Source
    ------
    Derived here.
    """
    require_in("lubricant", lubricant, LUBRICANT_FRICTION)
    if not summary.driven:
        raise ValueError("number of drives is 0; it must be 1. Drive the key home first.")
    friction = LUBRICANT_FRICTION[lubricant]
    drawn_in = max(0.0, summary.draw_in - summary.projection_in)
    return SeatedKey(
        normal_force_lbf=summary.normal_force_lbf,
        squeeze_in=max(1e-4, drawn_in * taper_in_per_in),
        taper_in_per_in=taper_in_per_in,
        floor_friction=friction,
        roof_friction=friction,
        bore_in=bore_in,
        height_mouth_in=height_mouth_in,
        length_in=length_in,
    )


def age_key(*, key: SeatedKey, years: float, wet: bool, seed: int | str) -> SeatedKey:
    """Return the key after years in place.

    friction <- friction + (rusted - friction)(1 - exp(-years/T)), T 6 wet, 20 dry

    Parameters
    ----------
    key : SeatedKey
        As driven.
    years : float
        In place, 0 to 100 [years].
    wet : bool
        Water or slurry reaches it.
    seed : int or str
        Decides how rusty: final friction from .27 to .45.

    Returns
    -------
    SeatedKey
        With more friction, and a bond once rust has grown across.

    Raises
    ------
    ValueError
        If the years are outside their range.

    Assumptions
    -----------
    The force on the faces stays.

    Examples
    --------
    >>> new = SeatedKey(normal_force_lbf=150_000.0, squeeze_in=0.00125)
    >>> old = age_key(key=new, years=20.0, wet=True, seed=1)
    >>> new.roof_friction, 0.26 < old.roof_friction < 0.45
    (0.1, True)

    Source
    ------
    Ends: .27 is steel with a thick oxide film (Marks' Standard
    Handbook, Table 3.2.1, from memory); .45, the
    times and the bond are this bench's own model. Published values spread from .1 to .8.
    """
    require_range("years in place", years, 0.0, 100.0, "years")
    draws = Draws(seed)
    rusted = draws.uniform(low=0.27, high=0.45)
    grown = 1 - math.exp(-years / (6.0 if wet else 20.0))
    bond = draws.uniform(low=0.0, high=0.15) * key.normal_force_lbf * grown**2

    def older(friction: float) -> float:
        return friction + max(0.0, rusted - friction) * grown

    plain = key.to_dict()
    plain.update(
        floor_friction=older(key.floor_friction),
        roof_friction=older(key.roof_friction),
        bond_lbf=key.bond_lbf + bond,
    )
    return SeatedKey(**plain)


def draw_seated_key(
    *,
    seed: int | str,
    width_in: float = 1.5,
    length_in: float = 8.0,
    height_mouth_in: float = 1.0,
    bore_in: float = 6.0,
    taper_in_per_in: float = 1 / 96,
    years: float = 0.0,
    wet: bool = False,
    small_end_shows: bool = False,
    room_behind: bool = False,
    pressure_psi: tuple[float, float] = practice.span("seat_pressure"),
    ring_in_per_lbf: float = 0.0,
) -> SeatedKey:
    """Return a key whose seat nobody has measured.

    N = p w L, p drawn from its range; squeeze = p times what key, shaft and hub give, and N times
    what the hub's ring opens

    Parameters
    ----------
    seed : int or str
        Same seed, same key.
    width_in, length_in, height_mouth_in, bore_in : float
        Sizes, above 0 [in].
    taper_in_per_in : float
        Taper, above 0 [in/in].
    years : float
        In place, 0 to 100 [years].
    wet : bool
        Water or slurry reaches it.
    small_end_shows, room_behind : bool
        As in :class:`SeatedKey`.
    pressure_psi : tuple of float
        Ends of the mean pressure on the faces [psi].
    ring_in_per_lbf : float
        Opening of the hub's ring, 0 or more; 0 leaves it out [in/lbf].

    Returns
    -------
    SeatedKey
        Hidden from the apprentice.

    Raises
    ------
    ValueError
        If a value is outside its range.

    Assumptions
    -----------
    Driven with anti-seize.

    Source
    ------
    Pressure that an unknown hand left: practice.csv, seat_pressure.
    """
    require_positive("key width", width_in, "in")
    require_positive("length of the slot", length_in, "in")
    require_non_negative("opening of the ring", ring_in_per_lbf, "in/lbf")
    draws = Draws(f"{seed}:seat")
    pressure = draws.uniform(low=pressure_psi[0], high=pressure_psi[1])
    give = seat_compliance_in_per_psi(
        height_in=height_mouth_in,
        width_in=width_in,
        seat_depth=draws.uniform(low=SEAT_DEPTH_LOW, high=SEAT_DEPTH_HIGH),
    )
    key = SeatedKey(
        normal_force_lbf=pressure * width_in * length_in,
        squeeze_in=pressure * (give + ring_in_per_lbf * width_in * length_in),
        taper_in_per_in=taper_in_per_in,
        floor_friction=LUBRICANT_FRICTION["anti-seize"],
        roof_friction=LUBRICANT_FRICTION["anti-seize"],
        bore_in=bore_in,
        height_mouth_in=height_mouth_in,
        length_in=length_in,
        small_end_shows=small_end_shows,
        room_behind=room_behind,
    )
    return age_key(key=key, years=years, wet=wet, seed=f"{seed}:rust")
