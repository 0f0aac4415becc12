"""The apprentice's page of readings on the measuring bench, without any form around it.

Holds the session on the hidden slot, what was typed for each reading, and what
the end of the practice tells. Everything but the slot itself can be saved.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np

from coursework.draws import Draws
from coursework.ink.shop import INCH, ShopUnits
from keycourse.common import standard_of
from keycourse.measure.bench.gauge import (
    TOOLS,
    Reading,
)
from keycourse.measure.bench.measuring import MeasuringSession, start_measuring
from keycourse.measure.bench.slot import SlotParameters, TrueSlot, draw_slot
from keycourse.start.tools import Tool, judge_reading, tool_of
from taperkey.checks import require_in
from taperkey.formulas.measure import REFERENCE_TEMPERATURE_DEGF, STEEL_EXPANSION_PER_DEGF
from taperkey.formulas.taper import mouth_height_from_parallel_in
from taperkey.units import parse_quantity

__all__ = [
    "PARALLEL",
    "SLOT_SIZES",
    "MeasuringBook",
    "Note",
    "micrometer_kind",
    "mouth_of",
    "practice_slot",
    "size_words",
]

PARALLEL = TOOLS[2]

#: Size of a practice slot in words, with lowest and highest mouth, and width [in].
SLOT_SIZES: Mapping[str, tuple[float, float, float]] = MappingProxyType(
    {"about 1 in": (1.02, 1.09, 1.5), "about 2 in": (2.02, 2.10, 2.5)}
)


def size_words(size: str, *, units: ShopUnits) -> str:
    """Return how a shop names a size of slot, a key of :data:`SLOT_SIZES`."""
    return f"about {units.about(math.floor(SLOT_SIZES[size][0]))}"


def micrometer_kind(units: ShopUnits) -> str:
    """Return which micrometer lies on the bench of a shop."""
    return "metric" if units.metric else "inch-vernier"


@dataclass(frozen=True, kw_only=True)
class Note:
    """What was written down for one reading."""

    number: int
    text: str
    value_in: float
    agrees: bool


def mouth_of(*, note: Note, reading: Reading) -> float:
    """Return what a taper bar tells of the height at the mouth [in]."""
    return float(
        mouth_height_from_parallel_in(
            large_end_height_in=note.value_in,
            stand_out_in=reading.stand_out_in,
            parallel_taper_in_per_in=reading.bar_taper_in_per_in,
        )
    )


def practice_slot(*, seed: int, size: str = "about 1 in") -> TrueSlot:
    """Return a slot to practice on: near the standard taper, with clearance and a little wear.

    Parameters
    ----------
    seed : int
        Same seed and size, same slot.
    size : str
        A key of :data:`SLOT_SIZES`; an inside micrometer goes into the larger ones.
    """
    require_in("size of the slot", size, SLOT_SIZES)
    low, high, width = SLOT_SIZES[size]
    draws = Draws(f"{seed}:practice slot")
    mouth = draws.uniform(low=low, high=high)
    taper = draws.uniform(low=0.0092, high=0.0116)
    return draw_slot(
        parameters=SlotParameters(
            length_in=8.0,
            mouth_height_in=round(mouth, 4),
            taper_in_per_in=taper,
            hub_width_in=width,
            shaft_width_in=width,
            diametral_clearance_in=round(draws.uniform(low=0.004, high=0.009), 4),
        ),
        seed=seed,
    )


class MeasuringBook:
    """Readings on a hidden slot, as the apprentice takes and writes them down.

    Parameters
    ----------
    slot : TrueSlot
        The hidden slot.
    seed : int
        Decides the scatter.
    units : ShopUnits
        Which micrometer lies on the bench, and how lengths are written.
    """

    def __init__(self, *, slot: TrueSlot, seed: int, units: ShopUnits = INCH) -> None:
        self.units = units
        self._empty = start_measuring(slot=slot, seed=seed)
        self.session: MeasuringSession = self._empty
        self.notes: list[Note] = []
        self.revealed = False

    @property
    def opening_in(self) -> float:
        """Height of the opening as a rule shows it, to the quarter inch [in]."""
        return round(4 * self.session.slot.parameters.mouth_height_in) / 4

    # taking and writing down

    @property
    def waiting(self) -> int | None:
        """Number of the reading that is on the micrometer and not written down yet."""
        readings = self.session.readings()
        written = {note.number for note in self.notes}
        if not readings or not readings[-1].taken or len(readings) in written:
            return None
        return len(readings)

    @property
    def _micrometer(self) -> Tool:
        return tool_of(micrometer_kind(self.units))

    def shown(self, number: int) -> float:
        """Return what the micrometer shows for a reading, in its own unit and finest step."""
        shown_in = self.session.readings()[number - 1].shown_in
        return round(shown_in * self.units.per_in, self._micrometer.places)

    def shown_in(self, number: int) -> float:
        """Return what the micrometer shows for a reading [in]."""
        return self.units.to_in(self.shown(number))

    def shown_words(self, number: int) -> str:
        """Return what the micrometer shows for a reading, with its unit."""
        return f"{self.shown(number):.{self._micrometer.places}f} {self.units.unit}"

    def take(
        self,
        *,
        station_in: float,
        keyway_angle_rad: float,
        leaned_from_rad: float,
        leaned_to_rad: float,
        tightness: float,
        tool: str = TOOLS[0],
        **conditions: float,
    ) -> Reading:
        """Take a reading with gauge or inside micrometer, and return it.

        A tool that does not go in leaves nothing in the book but the reason
        in the returned reading's note.
        """
        rocked = leaned_to_rad - leaned_from_rad > 1e-6
        session = self.session.read(
            tool=tool,
            station_in=station_in,
            keyway_angle_rad=keyway_angle_rad,
            tilt_rad=leaned_from_rad,
            rock_to_rad=leaned_to_rad if rocked else None,
            tightness=tightness,
            **conditions,
        )
        reading = session.readings()[-1]
        if reading.taken:
            self.session = session
        return reading

    def slide(
        self, *, stand_out_in: float, keyway_angle_rad: float, **conditions: float
    ) -> Reading:
        """Slide the shop's taper bar in until it is tight, and return the reading."""
        self.session = self.session.slide(
            stand_out_in=stand_out_in,
            keyway_angle_rad=keyway_angle_rad,
            parallel_taper_in_per_in=standard_of(self.units)[0],
            **conditions,
        )
        return self.session.readings()[-1]

    def write_down(self, text: str, *, as_it_is: bool = False) -> tuple[bool, str]:
        """Write down what was read; return whether it is in the book, and what to say.

        A reading that does not agree with the micrometer is refused with the
        reason, unless it is to be taken `as_it_is`.
        """
        number = self.waiting
        if number is None:
            return False, "There is no reading on the micrometer. Take one first."
        verdict = judge_reading(
            kind=micrometer_kind(self.units), reading=self.shown(number), text=text
        )
        if not verdict.readable:
            return False, verdict.sentence
        if not verdict.right and not as_it_is:
            return False, f"Look again. {verdict.sentence}"
        value = parse_quantity(
            text, dimension="length", default_unit=self.units.unit, label="Reading"
        ).value
        note = Note(number=number, text=text, value_in=value, agrees=verdict.right)
        self.notes.append(note)
        said = f"Reading {number} is written down."
        reading = self.session.readings()[number - 1]
        if reading.tool == PARALLEL:
            said = f"{said} {self._tell_mouth(note, reading)}"
        return True, said

    def strike_out(self, number: int) -> None:
        """Strike a reading out; it stays in the book, crossed."""
        self.session = self.session.strike_out(number=number)

    def standing(self) -> list[tuple[Note, Reading]]:
        """Return what is written down and not struck out."""
        readings, struck = self.session.readings(), self.session.struck_out()
        return [
            (note, readings[note.number - 1]) for note in self.notes if note.number not in struck
        ]

    # the end of the practice

    def hidden_in_words(self) -> list[str]:
        """Return what was hidden, against what was found; one line each."""
        standing = self.standing()
        if not standing:
            return ["Write down a reading first; then there is something to compare it with."]
        slot, units = self.session.slot, self.units
        clearance = slot.parameters.diametral_clearance_in
        by_station: dict[float, list[float]] = {}
        lines = []
        for note, reading in standing:
            if reading.tool == PARALLEL:
                continue
            by_station.setdefault(round(reading.station_in, 6), []).append(note.value_in)
        for station, values in sorted(by_station.items()):
            mean, true = sum(values) / len(values), float(slot.height_in(station))
            off = mean - true
            count = f"{len(values)} reading{'s' if len(values) > 1 else ''}"
            how = f"{units.small(abs(off))} {'high' if off > 0 else 'low'}"
            if abs(off) < 0.00005:
                how = "as near as can be read"
            lines.append(
                f"At {units.place(station)}: mean of {count} {units.height(mean)}, true opening "
                f"{units.height(true)}; {how}."
            )
        true_mouth = float(slot.height_in(0.0))
        for note, reading in standing:
            if reading.tool == PARALLEL:
                lines.append(
                    f"Reading {note.number}, taper bar: mouth "
                    f"{units.height(mouth_of(note=note, reading=reading))}, true opening there "
                    f"{units.height(true_mouth)}. {self._bears(reading)}"
                )
        lines += self._causes(standing, clearance)
        if by_station:
            lines += self._spread(by_station)
        return lines

    def _causes(self, standing: list[tuple[Note, Reading]], clearance: float) -> list[str]:
        lines = []
        turned = [r for _, r in standing if abs(r.keyway_angle_rad - math.pi) > 0.02]
        if turned:
            lost = [clearance / 2 * (1 + math.cos(r.keyway_angle_rad)) for r in turned]
            lines.append(
                f"The keyway was not at the bottom for {len(turned)} of them: up to "
                f"{self.units.small(max(lost))} of clearance stayed out of the reading. "
                f"The whole clearance is {self.units.height(clearance)}."
            )
        slanted = [
            n.number
            for n, r in standing
            if r.tool != PARALLEL and r.span_in > self._square_in(r) + 0.0003
        ]
        if slanted:
            listed = ", ".join(str(n) for n in slanted)
            lines.append(
                f"The tool did not pass through square for reading {listed}, so it stayed too long."
            )
        for note, reading in standing:
            if reading.note and reading.tool != PARALLEL:
                lines.append(f"Reading {note.number}: {self.felt(reading)}")
        lines += self._conditions(standing)
        misread = [n.number for n, _ in standing if not n.agrees]
        if misread:
            listed = ", ".join(str(n) for n in misread)
            lines.append(f"Reading {listed} was not written down as the micrometer showed it.")
        return lines

    def _conditions(self, standing: list[tuple[Note, Reading]]) -> list[str]:
        lines, units = [], self.units
        for note, reading in standing:
            under = self.session.conditions(number=note.number)
            if zero := under["zero_error_in"]:
                lines.append(
                    f"Reading {note.number}: the micrometer showed {units.small(zero, sign='+')} "
                    "on its standard. The reading is that much too "
                    f"{'large' if zero > 0 else 'small'}."
                )
            part, tool = under["part_temperature_f"], under["tool_temperature_f"]
            if part != tool:
                longer = self._grown_in(reading, part, tool)
                lines.append(
                    f"Reading {note.number}: part {units.temperature(part)}, tool "
                    f"{units.temperature(tool)}. That made it {units.small(abs(longer))} "
                    f"{'larger' if longer > 0 else 'smaller'}. "
                    f"Sizes are stated at {units.both_temperatures(REFERENCE_TEMPERATURE_DEGF)}."
                )
        return lines

    def _grown_in(self, reading: Reading, part_f: float, tool_f: float) -> float:
        part, tool = (
            1 + STEEL_EXPANSION_PER_DEGF * (t - REFERENCE_TEMPERATURE_DEGF)
            for t in (part_f, tool_f)
        )
        return reading.span_in * (part / tool - 1)

    def _square_in(self, reading: Reading) -> float:
        return float(
            self.session.slot.height_in(
                reading.station_in, reading.offset_in, reading.keyway_angle_rad
            )
        )

    def _spread(self, by_station: dict[float, list[float]]) -> list[str]:
        lines, units = [], self.units
        squares = sum(
            (v - sum(values) / len(values)) ** 2 for values in by_station.values() for v in values
        )
        freedom = sum(len(values) - 1 for values in by_station.values())
        spread = math.sqrt(squares / freedom) if freedom else math.nan
        if freedom:
            lines.append(
                f"Scatter of your readings at one place: {units.finer(spread)} "
                "(standard deviation)."
            )
        else:
            lines.append(
                "No place was measured twice: nobody can say how well your readings repeat."
            )
        stations = sorted(by_station)
        if len(stations) > 1:
            true_taper = self.session.slot.line()[1]
            first = stations[0]
            for other in stations[1:]:
                base = other - first
                means = [sum(by_station[s]) / len(by_station[s]) for s in (first, other)]
                taper = (means[0] - means[1]) / base
                line = (
                    f"Base {units.place(base)} ({units.span(first, other)}): taper "
                    f"{units.taper(taper)}, true {units.taper(true_taper)}"
                )
                if freedom and spread > 0:
                    counts = 1 / len(by_station[first]) + 1 / len(by_station[other])
                    known = spread * math.sqrt(counts) / base
                    line += f"; known to about ± {units.taper(2 * known)}"
                lines.append(line + ".")
        return lines

    def numbers(self) -> dict[str, Any]:
        """Return the summing-up in plain numbers, as an exercise can mark it.

        Of what was written down and not struck out. Keys: `readings` (taken),
        `written`, `struck_out`, `misread` (not written as shown), `not_at_bottom`
        (keyway turned elsewhere), `stations`, `longest_base_in`, `scatter_in` (standard
        deviation at one place; None if none was repeated), `mouth_in` and
        `taper_in_per_in` (line through the readings; None with one station),
        `true_mouth_in`, `true_taper_in_per_in`, `worst_station_off_in` (mean less true,
        the largest; None without a reading).
        """
        standing = [(n, r) for n, r in self.standing() if r.tool != PARALLEL]
        by_station: dict[float, list[float]] = {}
        for note, reading in standing:
            by_station.setdefault(round(reading.station_in, 6), []).append(note.value_in)
        means = {at: sum(values) / len(values) for at, values in by_station.items()}
        squares = sum((v - means[at]) ** 2 for at, values in by_station.items() for v in values)
        freedom = len(standing) - len(by_station)
        off = [mean - float(self.session.slot.height_in(at)) for at, mean in means.items()]
        worst = max(((abs(one), one) for one in off), default=(0.0, 0.0))
        line = None
        if len(by_station) > 1:
            line = np.polyfit(
                [at for at, values in by_station.items() for _ in values],
                [v for values in by_station.values() for v in values],
                1,
            )
        mouth, taper = self.session.slot.line()
        turned = [r for _, r in self.standing() if abs(r.keyway_angle_rad - math.pi) > 0.02]
        return {
            "readings": len(self.session.readings()),
            "written": len(self.notes),
            "struck_out": len(self.session.struck_out()),
            "misread": sum(not note.agrees for note, _ in self.standing()),
            "not_at_bottom": len(turned),
            "stations": len(by_station),
            "longest_base_in": max(by_station, default=0.0) - min(by_station, default=0.0),
            "scatter_in": round(math.sqrt(squares / freedom), 6) if freedom else None,
            "mouth_in": None if line is None else round(float(line[1]), 5),
            "taper_in_per_in": None if line is None else round(-float(line[0]), 6),
            "true_mouth_in": round(mouth, 5),
            "true_taper_in_per_in": round(taper, 6),
            "worst_station_off_in": round(worst[1], 5) if off else None,
        }

    # in words

    def felt(self, reading: Reading) -> str:
        """Return what the hand felt, or why there is no reading; empty when there was nothing."""
        return self.units.say(reading.note)

    def _tell_mouth(self, note: Note, reading: Reading) -> str:
        units, mouth = self.units, mouth_of(note=note, reading=reading)
        end, out = units.height(note.value_in), units.place(reading.stand_out_in)
        bare = [one.removesuffix(f" {units.unit}") for one in (end, out)]
        under = f"{1 / reading.bar_taper_in_per_in:.0f}"
        return (
            f"Large end {end}, standing out {out}: at 1:{under} the mouth is "
            f"{bare[0]} − {bare[1]}/{under} = {units.height(mouth)}. {self._bears(reading)}"
        )

    def _bears(self, reading: Reading) -> str:
        if reading.station_in < 0.25:
            return "Shaken, it bears at the mouth: there the bar is as high as the opening."
        return (
            f"Shaken, it bears about {self.units.roughly(reading.station_in)} inside: "
            "the mouth is higher than the bar says."
        )

    # keeping

    def record(self) -> dict[str, Any]:
        """Return everything but the slot, ready for JSON."""
        return {
            "session": self.session.record(),
            "notes": [
                {
                    "number": n.number,
                    "text": n.text,
                    "value_in": n.value_in,
                    "agrees": n.agrees,
                }
                for n in self.notes
            ],
            "revealed": self.revealed,
        }

    def restore(self, record: dict[str, Any]) -> None:
        """Take up a saved record; raises ``ValueError`` when it does not fit."""
        try:
            session = self._empty.resumed(record["session"])
            notes = [Note(**one) for one in record["notes"]]
            revealed = bool(record.get("revealed", False))
        except (KeyError, TypeError) as broken:
            raise ValueError(
                "The saved readings cannot be read; the bench starts with an empty page."
            ) from broken
        self.session, self.notes, self.revealed = session, notes, revealed
