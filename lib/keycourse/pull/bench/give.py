"""What gives while a key is pulled, and how long it lasts: springs, oil, creep, heat.

Sizes that make this bench behave stand here. They are typical, not measured: own model.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Self

from taperkey import practice
from taperkey.checks import require_non_negative, require_positive, require_range
from taperkey.formulas.beam import deflection_at_centre_in
from taperkey.formulas.breakaway import springs_in_a_row_lbf_per_in
from taperkey.formulas.gauge import gauge_reading_psi, pump_strokes, spring_energy_lbf_in
from taperkey.formulas.pull import rod_stiffness_lbf_per_in
from taperkey.formulas.rig import Rig
from taperkey.formulas.squeeze import STEEL_MODULUS_PSI
from taperkey.tables.threads import thread

__all__ = [
    "CREEP_FROM",
    "NEEDLE_PSI",
    "SLIDING_SHARE",
    "THROWN_IN",
    "Give",
    "creep_in",
    "give_of",
    "heat_left",
    "rod_set_in",
]

SLIDING_SHARE = practice.value("sliding_share")
CREEP_FROM = 0.85
"""Part of the starting pull from which a key creeps while the load is held."""

THROWN_IN = 1 / 16
"""Height of one jack over the other from which the bar slides off."""

_CREEP_IN = 0.0015  # in the first 1.7 minutes, just below the start
_ROD_IN = 20.0  # nut to thread
_OIL_PSI = 2.0e5  # bulk modulus of oil, from memory
_OIL_COLUMN_IN = 2.0
_HOSE_IN3 = 3.5  # oil in the hose of each jack: 6 ft of 1/4 in bore
_SLACK_IN = 0.06  # thread, nut, washers and feet, before a rig is tight
NEEDLE_PSI = 50.0
"""To what the needle of the gauge is read, half a division."""

_STROKE_IN3 = practice.value("pump_stroke")
_STRETCH = 0.04  # of a rod, for good, by the time it parts
_COOLING_MIN = 20.0  # in which two thirds of the difference between hub and shaft are gone


@dataclass(frozen=True, kw_only=True)
class Give:
    """How a rig that stands gives; plain values that are kept with the step that set it up.

    Parameters
    ----------
    spring_lbf_per_in : float
        Of rod, bar and oil together, above 0 [lbf/in].
    ram_area_in2 : float
        Of all jacks together, above 0 [in2].
    rod_yields_lbf : float
        From where the rod stretches for good, on average; 0 without a rod [lbf].
    jacks : float
        How many.
    stroke_in3 : float
        Oil of one stroke of a pump, above 0 [in3].
    slack_in : float
        What the jacks run before all is tight, on average, 0 or more [in].
    """

    spring_lbf_per_in: float
    ram_area_in2: float
    rod_yields_lbf: float = 0.0
    jacks: float = 1.0
    stroke_in3: float = _STROKE_IN3
    slack_in: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a rig that cannot be."""
        require_positive("stiffness of the rig", self.spring_lbf_per_in, "lbf/in")
        require_positive("ram area", self.ram_area_in2, "in2")
        require_range("number of jacks", self.jacks, 1, 2)
        require_positive("oil of one stroke", self.stroke_in3, "in3")
        require_non_negative("slack of the rig", self.slack_in, "in")

    @classmethod
    def kept(cls, plain: Mapping[str, Any]) -> Self:
        """Return what a step of a record keeps."""
        return cls(**{name: float(value) for name, value in plain.items()})

    def stretch_in(self, load_lbf: float) -> float:
        """Return how far the jacks have run for a load [in]."""
        return load_lbf / self.spring_lbf_per_in

    def strokes(self, stretch_in: float) -> int:
        """Return the strokes of the pump for so much run of the jacks, rounded up."""
        return math.ceil(
            pump_strokes(
                stretch_in=max(0.0, stretch_in),
                effective_area_in2=self.ram_area_in2,
                stroke_in3=self.stroke_in3,
            )
            - 1e-9
        )

    @property
    def run_of_a_stroke_in(self) -> float:
        """How far one stroke runs the jacks out, the mean of two [in]."""
        return self.stroke_in3 / self.ram_area_in2

    def run_out(
        self, runs_in: tuple[float, ...], *, strokes: float, pumped: str
    ) -> tuple[float, ...]:
        """Return how far each jack has run out after a stroke or a part of one.

        Parameters
        ----------
        runs_in : tuple of float
            Before it [in].
        strokes : float
            0 to 1 [-].
        pumped : str
            "in turn", "one first" or "one pump".
        """
        run = strokes * self.run_of_a_stroke_in
        if len(runs_in) < 2 or pumped == "one pump":
            return tuple(one + run for one in runs_in)
        first, second = runs_in
        if pumped == "one first" or first <= second:
            return (first + 2 * run, second)  # all the oil goes into one of two
        return (first, second + 2 * run)

    def needle_psi(self, load_lbf: float) -> float:
        """Return the gauge as it is read [psi]."""
        return NEEDLE_PSI * round(self.gauge_psi(load_lbf) / NEEDLE_PSI)

    def mark_psi(self, load_lbf: float, *, division_psi: float) -> float:
        """Return the mark of the gauge up to which a load may go, on one of its divisions [psi]."""
        return gauge_reading_psi(
            load_each_lbf=load_lbf,
            effective_area_in2=self.ram_area_in2,
            division_psi=division_psi,
        )

    def gauge_psi(self, load_lbf: float) -> float:
        """Return what the gauge shows [psi]."""
        return load_lbf / self.ram_area_in2

    def stored_lbf_in(self, load_lbf: float) -> float:
        """Return the energy that waits in rod, bar and oil [lbf_in]."""
        return spring_energy_lbf_in(pull_lbf=load_lbf, stiffness_lbf_per_in=self.spring_lbf_per_in)


def give_of(*, parts: Rig, rod_yields_lbf: float) -> Give | None:
    """Return how a rig of jacks gives; None for one that strikes.

    Parameters
    ----------
    parts : Rig
        The rig.
    rod_yields_lbf : float
        From where its rod stretches for good; 0 without one [lbf].
    """
    if parts.method == "slide hammer":
        return None
    area = parts.jacks * practice.value("ram_area") * parts.jack_tons / 10
    oil_in3 = area * _OIL_COLUMN_IN + parts.jacks * _HOSE_IN3
    springs = [_OIL_PSI * area**2 / oil_in3]
    if parts.thread_name:
        springs.append(
            rod_stiffness_lbf_per_in(
                stress_area_in2=thread(name=parts.thread_name).stress_area_in2, length_in=_ROD_IN
            )
        )
    if parts.jacks > 1:
        bent = deflection_at_centre_in(
            load_lbf=1000.0,
            span_in=parts.bar_span_in,
            modulus_psi=STEEL_MODULUS_PSI,
            second_moment_in4=parts.bar_width_in * parts.bar_depth_in**3 / 12,
        )
        springs.append(1000.0 / bent)
    return Give(
        spring_lbf_per_in=round(springs_in_a_row_lbf_per_in(stiffnesses_lbf_per_in=tuple(springs))),
        ram_area_in2=round(area, 3),
        rod_yields_lbf=round(rod_yields_lbf),
        jacks=float(parts.jacks),
        slack_in=_SLACK_IN,
    )


def creep_in(*, share: float, minutes: float) -> float:
    """Return how far a key creeps while a load is held.

    Parameters
    ----------
    share : float
        Load as a part of the pull that starts the key [-].
    minutes : float
        How long it is held [min].
    """
    over = (min(share, 1.0) - CREEP_FROM) / (1 - CREEP_FROM)
    return _CREEP_IN * max(0.0, over) * math.log1p(minutes)


def rod_set_in(*, load_lbf: float, yields_lbf: float, parts_lbf: float) -> float:
    """Return how much longer a rod stays after a load: none up to its yield.

    Parameters
    ----------
    load_lbf, yields_lbf, parts_lbf : float
        The load, where this rod yields and where it parts [lbf].
    """
    if not 0 < yields_lbf < parts_lbf or load_lbf <= yields_lbf:
        return 0.0
    way = min(1.0, (load_lbf - yields_lbf) / (parts_lbf - yields_lbf))
    return _STRETCH * _ROD_IN * way**2


def heat_left(minutes: float) -> float:
    """Return the part of a difference between hub and shaft that is left after a time [min].

    exp(-t/T), as of two bodies that give heat to each other only

    Parameters
    ----------
    minutes : float
        Since the torch went out [min].
    """
    return math.exp(-max(0.0, minutes) / _COOLING_MIN)
