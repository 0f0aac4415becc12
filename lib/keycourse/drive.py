"""The drive a job card is about, in inch or metric sizes, and how its readings are rounded."""

from __future__ import annotations

from dataclasses import dataclass

from coursework.draws import Draws
from taperkey.formulas.taper import STANDARD_INCH, STANDARD_METRIC
from taperkey.tables.keys import inch_key_size, metric_key_size
from taperkey.units import MM_PER_IN, System

__all__ = ["MACHINES", "Drive", "draw_drive", "rounded"]


MACHINES = (
    ("jaw crusher", "flywheel", "crusher house"),
    ("bucket elevator", "head sprocket", "screening tower"),
    ("main conveyor", "head pulley", "transfer station"),
    ("ball mill", "pinion", "mill hall"),
    ("haulage winch", "rope drum", "incline top"),
    ("apron feeder", "drive sprocket", "primary pocket"),
    ("log washer", "bull gear", "wash plant"),
    ("cone crusher", "countershaft pulley", "secondary house"),
)
_SHAFTS_IN = (
    *(1.0, 1.25, 1.5, 1.9375, 2.4375, 2.9375, 3.4375, 3.9375),
    *(4.4375, 4.9375, 5.9375, 7.0, 8.0, 10.0, 12.0),
)
_SHAFTS_MM = (25.0, 32.0, 40.0, 50.0, 60.0, 75.0, 90.0, 110.0, 125.0, 140.0, 180.0, 220.0, 250.0)
_SHORTEST_HUB_IN = 6.0
_LONGEST_HUB_IN = 16.0


@dataclass(frozen=True, kw_only=True)
class Drive:
    """The machine that the card is about.

    Attributes
    ----------
    machine, hub, place : str
        Such as "bucket elevator", "head sprocket", "screening tower".
    system : str
        "inch" or "metric": what its drawings and the key tables for it are in.
    shaft_diameter_in : float
        Nominal shaft diameter [in].
    hub_length_in : float
        Length of the slot in the hub [in].
    key_width_in, key_height_in : float
        Key of the table for that shaft [in].
    """

    machine: str
    hub: str
    place: str
    system: System
    shaft_diameter_in: float
    hub_length_in: float
    key_width_in: float
    key_height_in: float

    @property
    def title(self) -> str:
        """Machine and hub in words."""
        return f"{self.machine}, {self.hub}"

    @property
    def standard_taper_in_per_in(self) -> float:
        """Standard taper of the drive's own system, 1:96 or 1:100 [in/in]."""
        return STANDARD_INCH if self.system == "inch" else STANDARD_METRIC


def rounded(value_in: float, system: System) -> float:
    """Round a reading as it is read: to 0.0001 in, or to 0.001 mm [in]."""
    if system == "inch":
        return round(value_in, 4)
    return round(value_in * MM_PER_IN, 3) / MM_PER_IN


def draw_drive(
    *, draws: Draws, machine: int, system: System, smallest_shaft_in: float = 0.0
) -> Drive:
    """Draw a drive: which machine was dealt, its sizes by the draws.

    Parameters
    ----------
    draws : Draws
        The card's own row of draws; two are taken.
    machine : int
        Its place among the machines of the quarry.
    system : str
        "inch" for shafts of 1 to 12 in, "metric" for 25 to 250 mm.
    smallest_shaft_in : float
        Shafts below it are left out [in].

    Returns
    -------
    Drive
        Key sizes as in the table of its system.
    """
    name, hub, where = MACHINES[machine]
    scale = 1.0 if system == "inch" else MM_PER_IN
    row = _SHAFTS_IN if system == "inch" else _SHAFTS_MM
    shafts = [one / scale for one in row if one / scale >= smallest_shaft_in]
    shaft = shafts[draws.whole(low=0, high=len(shafts) - 1)]
    if system == "inch":
        size = inch_key_size(shaft_diameter_in=shaft)
        width = size.width_in
        square = size.square_height_in if size.preferred == "square" else None
        height = square or size.rectangular_height_in or width
    else:
        metric = metric_key_size(shaft_diameter_in=shaft)
        width, height = metric.width_in, metric.height_in
    length = shaft * draws.uniform(low=1.2, high=2.0)
    length = min(max(length, _SHORTEST_HUB_IN), _LONGEST_HUB_IN)
    step = 1.0 if system == "inch" else 10.0 / MM_PER_IN
    return Drive(
        machine=name,
        hub=hub,
        place=where,
        system=system,
        shaft_diameter_in=shaft,
        hub_length_in=round(length / step) * step,
        key_width_in=width,
        key_height_in=height,
    )
