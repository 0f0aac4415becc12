"""The side walls of a slot: how wide it is at each place, with bell mouth, hollow and burr.

Height stands in :mod:`keycourse.measure.bench.slot`; here are the widths of keyway and keyseat.
A keyway wears at its mouth and opens like a bell; where the key worked, its walls are hollow; at
the edge of the mouth a burr stands in.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from coursework.draws import Draws
from taperkey.checks import require_in, require_non_negative, require_positive, require_range

__all__ = ["WIDTHS", "Walls", "draw_walls", "over_flats_in"]

WIDTHS = ("keyway", "keyseat")
"""Slots with a width: in the hub, in the shaft."""

_BURR_LENGTH_IN = 0.03  # how far a burr reaches in from the edge, as in the roof


@dataclass(frozen=True, kw_only=True)
class Walls:
    """Both walls of a slot, alike; all that is off is counted for both together.

    Parameters
    ----------
    length_in : float
        Length of the slot, above 0 [in].
    width_in : float
        Width where nothing is worn, above 0 [in].
    bell_in, bell_length_in : float
        What the mouth is wider, and over what length [in].
    hollow_in, hollow_at_in, hollow_half_in : float
        Depth of a hollow, its middle from the mouth, and half of its length [in].
    burr_in : float
        What a burr at the edge of the mouth takes off [in].
    """

    length_in: float
    width_in: float
    bell_in: float = 0.0
    bell_length_in: float = 0.5
    hollow_in: float = 0.0
    hollow_at_in: float = 0.0
    hollow_half_in: float = 0.5
    burr_in: float = 0.0

    def __post_init__(self) -> None:
        """Refuse walls that cannot be."""
        for name, value in (
            ("length of the slot", self.length_in),
            ("width of the slot", self.width_in),
            ("length of the bell mouth", self.bell_length_in),
            ("half length of the hollow", self.hollow_half_in),
        ):
            require_positive(name, value, "in")
        for name, value in (
            ("bell mouth", self.bell_in),
            ("hollow", self.hollow_in),
            ("burr", self.burr_in),
        ):
            require_non_negative(name, value, "in")

    def width_at_in(self, station_in: float, *, stoned: bool = True) -> float:
        """Return the width at a station, with the burr or with the burr stoned off.

        Parameters
        ----------
        station_in : float
            From the mouth [in].
        stoned : bool
            Whether the burr is gone.

        Returns
        -------
        float
            Width [in].

        Examples
        --------
        >>> walls = Walls(length_in=4.0, width_in=0.375, bell_in=0.004, burr_in=0.003)
        >>> round(walls.width_at_in(0.0), 4), round(walls.width_at_in(0.0, stoned=False), 4)
        (0.379, 0.376)

        Source
        ------
        Derived here: bell mouth and hollow are parabolas, the burr is a bump at the edge.
        """
        x = min(max(station_in, 0.0), self.length_in)
        wide = self.width_in + self.bell_in * max(0.0, 1 - x / self.bell_length_in) ** 2
        if self.hollow_in:
            away = (x - self.hollow_at_in) / self.hollow_half_in
            wide += self.hollow_in * max(0.0, 1 - away**2)
        if not stoned:
            wide -= self.burr_in * math.exp(-((x / _BURR_LENGTH_IN) ** 2))
        return wide

    def tightest_in(self, first_in: float, last_in: float, *, stoned: bool = True) -> float:
        """Return the smallest width between two stations: where straight jaws bear.

        Parameters
        ----------
        first_in, last_in : float
            From the mouth [in].
        stoned : bool
            Whether the burr is gone.

        Returns
        -------
        float
            Width [in].

        Source
        ------
        Derived here: stiff straight edges on both walls touch at the narrowest place.
        """
        places = np.linspace(max(first_in, 0.0), max(last_in, 0.0), 65).tolist()
        return min(self.width_at_in(one, stoned=stoned) for one in places)


def draw_walls(*, seed: int, which: str, width_in: float, length_in: float) -> Walls:
    """Return the walls of a practice slot.

    Parameters
    ----------
    seed : int
        Of the slot; same seed, same walls.
    which : {"keyway", "keyseat"}
        In the hub or in the shaft.
    width_in : float
        Width that the slot was cut to [in].
    length_in : float
        Length of the slot [in].

    Returns
    -------
    Walls
        A keyway is a little wide, mostly with bell mouth, burr and hollow; a keyseat nearly as
        it was cut.

    Source
    ------
    Sizes of wear are common practice.
    """
    require_in("slot", which, WIDTHS)
    draws = Draws(f"{seed}:walls:{which}")
    wider = round(draws.uniform(low=0.0005, high=0.0015), 4)
    if which == "keyseat":
        return Walls(length_in=length_in, width_in=width_in + wider)
    worn = round(draws.uniform(low=0.0, high=0.0045), 4)
    bell, burr, hollow = (draws.uniform(low=0.0, high=1.0) for _ in range(3))
    half = 0.12 * length_in
    return Walls(
        length_in=length_in,
        width_in=width_in + wider + worn,
        bell_in=round(0.003 + 0.004 * bell, 4) if bell > 0.3 else 0.0,
        burr_in=round(0.002 + 0.003 * burr, 4) if burr > 0.4 else 0.0,
        hollow_in=round(0.002 + 0.002 * hollow, 4) if hollow > 0.5 else 0.0,
        hollow_at_in=round(draws.uniform(low=0.45, high=0.75) * length_in, 2),
        hollow_half_in=half,
    )


def over_flats_in(*, diameter_in: float, flat_in: float) -> float:
    r"""Return what jaws with flats read in a round hole: less than it is.

    .. math:: s = \sqrt{D^2 - b^2}

    Parameters
    ----------
    diameter_in : float
        Diameter of the hole, above 0 [in].
    flat_in : float
        Width of the flat on each jaw, 0 to the diameter [in].

    Returns
    -------
    float
        Distance of the flats [in].

    Raises
    ------
    ValueError
        If a value is outside its range.

    Examples
    --------
    Flats of 0.3 in in a hole of 0.5 in, a triangle of 3, 4 and 5:

    >>> over_flats_in(diameter_in=0.5, flat_in=0.3)
    0.4

    Source
    ------
    Pythagoras: the corners of the flats touch.
    """
    require_positive("diameter", diameter_in, "in")
    require_range("flat", flat_in, 0.0, diameter_in, "in")
    return math.sqrt(diameter_in**2 - flat_in**2)
