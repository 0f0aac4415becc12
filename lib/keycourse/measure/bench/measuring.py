"""A session on the measuring bench: readings in order, and what they came to."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Any, ClassVar

import numpy as np

from coursework.bench import Steps
from keycourse.measure.bench.gauge import TOOLS, Reading, slide_parallel, take_reading
from keycourse.measure.bench.reading import MODEL, measure, on_its_standard
from keycourse.measure.bench.slot import TrueSlot
from keycourse.measure.bench.tools import own_error_in
from taperkey.checks import require_in, require_range

__all__ = [
    "BaseEffect",
    "MeasuringSession",
    "MeasuringSummary",
    "StationSummary",
    "start_measuring",
]

_CONDITIONS = ("experience", "zero_error_in", "part_temperature_f", "tool_temperature_f")
_HAND_CHOICES = (
    *_CONDITIONS,
    "tool",
    "station_in",
    "offset_in",
    "tilt_rad",
    "rock_to_rad",
    "cross_tilt_rad",
    "tightness",
    "squeeze",
    "keyway_angle_rad",
)
_WAY_CHOICES = (
    *_CONDITIONS,
    "model",
    "tool",
    "of",
    "station_in",
    "way",
    "tightness",
    "keyway_angle_rad",
)
_PARALLEL_CHOICES = (
    *_CONDITIONS,
    "model",
    "parallel_taper_in_per_in",
    "parallel_length_in",
    "stand_out_in",
    "keyway_angle_rad",
)
_ZERO_CHOICES = (*_CONDITIONS, "tool", "size_in")
_READINGS = ("read", "slide", "zero")
_STEPS = (*_READINGS, "stone", "strike out")


@dataclass(frozen=True, kw_only=True)
class StationSummary:
    """Readings at one station against the truth, keyway at the bottom.

    Parameters
    ----------
    station_in : float
        From the mouth [in].
    count : int
        Readings taken.
    mean_in, scatter_in : float
        Mean, and standard deviation (0 for one reading) [in].
    true_in, error_in : float
        True opening at the bottom, and mean less true [in].
    """

    station_in: float
    count: int
    mean_in: float
    scatter_in: float
    true_in: float
    error_in: float


@dataclass(frozen=True, kw_only=True)
class BaseEffect:
    """What the length of the base did to the taper between two stations.

    Parameters
    ----------
    base_in : float
        Distance between the two stations [in].
    taper_in_per_in, true_taper_in_per_in : float
        From the means, and from the true openings [in/in].
    uncertainty_in_per_in : float
        Standard uncertainty: root sum of squares of both means / base [in/in].
    """

    base_in: float
    taper_in_per_in: float
    true_taper_in_per_in: float
    uncertainty_in_per_in: float


@dataclass(frozen=True, kw_only=True)
class MeasuringSummary:
    """What a session came to; for the end of the practice or the marker.

    Parameters
    ----------
    stations : tuple of StationSummary
        In order from the mouth.
    scatter_in : float
        Pooled standard deviation of the readings; nan if none was repeated [in].
    bases : tuple of BaseEffect
        First station with each later one.
    line_mouth_in, line_taper_in_per_in : float
        Least squares through all readings; nan with fewer than two stations.
    true_mouth_in, true_taper_in_per_in : float
        The slot's own line.
    """

    stations: tuple[StationSummary, ...]
    scatter_in: float
    bases: tuple[BaseEffect, ...]
    line_mouth_in: float
    line_taper_in_per_in: float
    true_mouth_in: float
    true_taper_in_per_in: float


@dataclass(frozen=True, kw_only=True)
class MeasuringSession(Steps):
    """A measuring session: the hidden slot, the hand, and the steps so far.

    Every change returns a new session; the record holds no true value. A step
    may carry its own conditions; those of the session hold for the others.

    Parameters
    ----------
    slot : TrueSlot
        The hidden slot.
    seed : int
        Decides the scatter of every reading.
    experience : float
        0 first day, 1 steady hand [0 to 1].
    zero_error_in : float
        Zero error of the micrometer [in].
    part_temperature_f, tool_temperature_f : float
        Temperatures [F].
    steps : tuple of dict
        What was done, in order; plain values.
    """

    bench: ClassVar[str] = "measuring"
    slot: TrueSlot
    seed: int
    experience: float = 0.5
    zero_error_in: float = 0.0
    part_temperature_f: float = 68.0
    tool_temperature_f: float = 68.0
    steps: tuple[dict[str, Any], ...] = ()
    _made: tuple[Reading, ...] = field(default=(), repr=False, compare=False)

    def read(self, **choices: Any) -> MeasuringSession:
        """Return the session with one more reading.

        Parameters
        ----------
        **choices
            With `model` 2: `station_in`, and as wished `tool`, `of`, `way`, `tightness`,
            `keyway_angle_rad` and the conditions, as in
            :func:`keycourse.measure.bench.reading.measure`. Without, as the first model
            took it: :func:`keycourse.measure.bench.gauge.take_reading`.

        Raises
        ------
        ValueError
            If a choice is not known or outside its range.
        """
        return self.again({"do": "read", **choices})

    def slide(self, **choices: Any) -> MeasuringSession:
        """Return the session with the taper bar slid in once more."""
        return self.again({"do": "slide", **choices})

    def try_zero(self, **choices: Any) -> MeasuringSession:
        """Return the session with a tool tried on a standard of known size, `size_in`."""
        return self.again({"do": "zero", **choices})

    def stone(self) -> MeasuringSession:
        """Return the session with the burr stoned off the edges of the mouth."""
        return self.again({"do": "stone"})

    @property
    def stoned(self) -> bool:
        """Whether the burr is stoned off."""
        return any(step["do"] == "stone" for step in self.steps)

    def conditions(self, *, number: int) -> dict[str, float]:
        """Return hand, zero error and temperatures under which reading `number` was taken."""
        made = [step for step in self.steps if step["do"] in _READINGS]
        require_range("number of the reading", number, 1, max(1, len(made)))
        return {name: float(made[number - 1].get(name, own)) for name, own in self._own().items()}

    def _own(self) -> dict[str, float]:
        return {name: getattr(self, name) for name in _CONDITIONS}

    def strike_out(self, *, number: int, why: str = "") -> MeasuringSession:
        """Return the session with reading `number` (from 1) struck out, not lost."""
        require_range("number of the reading", number, 1, max(1, len(self.readings())))
        return self.again({"do": "strike out", "number": int(number), "why": str(why)})

    def readings(self) -> tuple[Reading, ...]:
        """Return all readings in order, struck-out ones included."""
        return self._made

    def until(self, *, count: int) -> MeasuringSession:
        """Return the session as it was after its first `count` steps."""
        steps = self.steps[:count]
        made = sum(step["do"] in _READINGS for step in steps)
        return replace(self, steps=steps, _made=self._made[:made])

    def struck_out(self) -> frozenset[int]:
        """Return the numbers (from 1) of the readings that were struck out."""
        return frozenset(s["number"] for s in self.steps if s["do"] == "strike out")

    def emptied(self, *, seed: int) -> MeasuringSession:
        """Return the session on the same slot, in the same hand, with no reading."""
        return replace(self, seed=seed, steps=(), _made=())

    def summary(self) -> MeasuringSummary:
        """Return stations against truth, the scatter, and what the base did.

        Source
        ------
        Mean, standard deviation and combination as JCGM 100:2008,
        4.2 and 5.1; straight line by least squares.
        """
        by_station: dict[float, list[float]] = {}
        struck = self.struck_out()
        for number, reading in enumerate(self.readings(), start=1):
            height = reading.of == "height" and reading.tool != TOOLS[2]
            if reading.taken and height and number not in struck:
                by_station.setdefault(round(reading.station_in, 4), []).append(reading.shown_in)
        stations = []
        squares, freedom = 0.0, 0
        for station, shown in sorted(by_station.items()):
            mean = sum(shown) / len(shown)
            square = sum((one - mean) ** 2 for one in shown)
            squares, freedom = squares + square, freedom + len(shown) - 1
            true = float(self.slot.height_in(station))
            stations.append(
                StationSummary(
                    station_in=station,
                    count=len(shown),
                    mean_in=mean,
                    scatter_in=math.sqrt(square / (len(shown) - 1)) if len(shown) > 1 else 0.0,
                    true_in=true,
                    error_in=mean - true,
                )
            )
        scatter = math.sqrt(squares / freedom) if freedom else math.nan
        bases = tuple(_base_effect(stations[0], other, scatter) for other in stations[1:])
        mouth, taper = _line(by_station)
        true_mouth, true_taper = self.slot.line()
        return MeasuringSummary(
            stations=tuple(stations),
            scatter_in=scatter,
            bases=bases,
            line_mouth_in=mouth,
            line_taper_in_per_in=taper,
            true_mouth_in=true_mouth,
            true_taper_in_per_in=true_taper,
        )

    def again(self, step: dict[str, Any]) -> MeasuringSession:
        """Return the session with one more step."""
        require_in("step", step.get("do"), _STEPS)
        made = self._made
        if step["do"] in _READINGS:
            for name in step:
                if name != "do":
                    require_in("choice", name, _known(step))
            made = (*made, self._reading(step, len(made) + 1))  # refuses what cannot be done
        return replace(self, steps=(*self.steps, step), _made=made)

    def _reading(self, step: dict[str, Any], number: int) -> Reading:
        choices = self._own() | {n: v for n, v in step.items() if n not in ("do", "model")}
        seed = f"{self.seed}:reading:{number}"
        if step["do"] == "zero":
            for name in ("part_temperature_f", "tool_temperature_f"):
                choices.pop(name)
            return on_its_standard(seed=seed, tools_seed=self.seed, **choices)
        if step["do"] == "slide":
            reading = slide_parallel(slot=self.slot, seed=seed, **choices)
            own = own_error_in(seed=self.seed, instrument="micrometer") if _now(step) else 0.0
            shown = round(reading.shown_in + own, 9)
            return replace(reading, shown_in=shown, own_error_in=own)
        if not _now(step):
            return take_reading(slot=self.slot, seed=seed, **choices)
        return measure(
            slot=self.slot, seed=seed, tools_seed=self.seed, stoned=self.stoned, **choices
        )


def _now(step: dict[str, Any]) -> bool:
    """Whether a step is of today's model; one that names none is of the first."""
    if "model" in step:
        require_range("model of the bench", step["model"], MODEL, MODEL)
    return "model" in step


def _known(step: dict[str, Any]) -> tuple[str, ...]:
    if step["do"] == "read":
        return _WAY_CHOICES if _now(step) else _HAND_CHOICES
    return _PARALLEL_CHOICES if step["do"] == "slide" else _ZERO_CHOICES


def start_measuring(
    *,
    slot: TrueSlot,
    seed: int,
    experience: float = 0.5,
    zero_error_in: float = 0.0,
    part_temperature_f: float = 68.0,
    tool_temperature_f: float = 68.0,
) -> MeasuringSession:
    """Return an empty measuring session on a hidden slot.

    Parameters
    ----------
    slot : TrueSlot
        The hidden slot.
    seed : int
        Decides the scatter.
    experience : float
        0 first day, 1 steady hand [0 to 1].
    zero_error_in : float
        Zero error of the micrometer [in].
    part_temperature_f, tool_temperature_f : float
        Temperatures [F].

    Returns
    -------
    MeasuringSession
        With no step yet.

    Source
    ------
    Derived here.
    """
    return MeasuringSession(
        slot=slot,
        seed=seed,
        experience=experience,
        zero_error_in=zero_error_in,
        part_temperature_f=part_temperature_f,
        tool_temperature_f=tool_temperature_f,
    )


def _base_effect(first: StationSummary, other: StationSummary, scatter_in: float) -> BaseEffect:
    base = other.station_in - first.station_in
    spread = scatter_in * math.sqrt(1 / first.count + 1 / other.count)
    return BaseEffect(
        base_in=base,
        taper_in_per_in=(first.mean_in - other.mean_in) / base,
        true_taper_in_per_in=(first.true_in - other.true_in) / base,
        uncertainty_in_per_in=spread / base,
    )


def _line(by_station: dict[float, list[float]]) -> tuple[float, float]:
    if len(by_station) < 2:
        return math.nan, math.nan
    x = np.array([station for station, shown in by_station.items() for _ in shown])
    h = np.array([one for shown in by_station.values() for one in shown])
    spread = x - x.mean()
    slope = float(spread @ (h - h.mean()) / (spread @ spread))
    return float(h.mean() - slope * x.mean()), -slope
