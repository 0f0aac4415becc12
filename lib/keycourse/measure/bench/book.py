"""The apprentice's page of readings on the measuring bench, without any form around it.

Holds the session on the hidden slot, what was typed for each reading, and what
the end of the practice tells. Everything but the slot itself can be saved.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np

from coursework.draws import Draws
from coursework.ink.shop import INCH, ShopUnits
from keycourse.common import standard_of
from keycourse.measure.bench.gauge import Reading
from keycourse.measure.bench.lookback import bears, left_leaning, look_back
from keycourse.measure.bench.measuring import MeasuringSession, start_measuring
from keycourse.measure.bench.reading import MODEL
from keycourse.measure.bench.slot import SlotParameters, TrueSlot, draw_slot
from keycourse.measure.bench.tools import CALIPER, TAPER_BAR, TELESCOPING
from keycourse.start.tools import Tool, judge_reading, tool_of
from taperkey.checks import require_in
from taperkey.formulas.taper import mouth_height_from_parallel_in
from taperkey.units import MM_PER_IN, parse_quantity

__all__ = [
    "PARALLEL",
    "SLOT_SIZES",
    "MeasuringBook",
    "Note",
    "instrument_kind",
    "mouth_of",
    "practice_slot",
    "size_words",
]

PARALLEL = TAPER_BAR

#: Size of a practice slot in words, with lowest and highest mouth, width and length [in].
SLOT_SIZES: Mapping[str, tuple[float, float, float, float]] = MappingProxyType(
    {
        "about 1 in": (1.02, 1.09, 1.5, 8.0),
        "about 2 in": (2.02, 2.10, 2.5, 8.0),
        "about 3/8 in": (0.385, 0.405, 0.375, 3.0),
    }
)


def size_words(size: str, *, units: ShopUnits) -> str:
    """Return how a shop names a size of slot, a key of :data:`SLOT_SIZES`."""
    return f"about {units.about(_nominal_in(SLOT_SIZES[size][0]))}"


def _nominal_in(height_in: float) -> float:
    """Return a height as a rule shows it: to the quarter inch, a small one to the eighth [in]."""
    parts = 4 if height_in >= 0.75 else 8
    return round(parts * height_in) / parts


def instrument_kind(units: ShopUnits, tool: str = TELESCOPING) -> str:
    """Return what is read with a tool in a shop: its micrometer, or the caliper itself."""
    if tool == CALIPER:
        return "metric caliper" if units.metric else "inch caliper"
    return "metric" if units.metric else "inch-vernier"


_ONE_TRY_IN = 0.00025  # what one try on a standard may be off by chance


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
    low, high, width, length = SLOT_SIZES[size]
    draws = Draws(f"{seed}:practice slot")
    mouth = draws.uniform(low=low, high=high)
    taper = draws.uniform(low=0.0092, high=0.0116)
    return draw_slot(
        parameters=SlotParameters(
            length_in=length,
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
        """Height of the opening as a rule shows it [in]."""
        return _nominal_in(self.session.slot.parameters.mouth_height_in)

    def standard_in(self, of: str = "height") -> float:
        """Return the size of the gauge block or setting ring that the crib has for it [in]."""
        p = self.session.slot.parameters
        rough = {"keyway": p.hub_width_in, "keyseat": p.shaft_width_in}.get(of, self.opening_in)
        if not self.units.metric:
            return _nominal_in(rough)
        mm = rough * MM_PER_IN
        return (5 * round(mm / 5) if mm > 10 else round(mm)) / MM_PER_IN

    # taking and writing down

    @property
    def waiting(self) -> int | None:
        """Number of the reading that is on the micrometer and not written down yet."""
        readings = self.session.readings()
        written = {note.number for note in self.notes}
        if not readings or not readings[-1].taken or len(readings) in written:
            return None
        return len(readings)

    def _instrument(self, number: int) -> Tool:
        tool = self.session.readings()[number - 1].tool
        return tool_of(instrument_kind(self.units, tool))

    def shown(self, number: int) -> float:
        """Return what is read for a reading, in the tool's own unit and finest step."""
        shown_in, one = self.session.readings()[number - 1].shown_in, self._instrument(number)
        return round(round(shown_in * self.units.per_in / one.step) * one.step, one.places)

    def shown_in(self, number: int) -> float:
        """Return what is read for a reading [in]."""
        return self.units.to_in(self.shown(number))

    def shown_words(self, number: int) -> str:
        """Return what is read for a reading, with its unit."""
        return f"{self.shown(number):.{self._instrument(number).places}f} {self.units.unit}"

    def take(
        self,
        *,
        station_in: float,
        keyway_angle_rad: float,
        way: Sequence[Sequence[float]],
        tightness: float,
        tool: str = TELESCOPING,
        of: str = "height",
        **conditions: float,
    ) -> Reading:
        """Take a reading with a tool that was rocked on its `way`, and return it.

        A tool that does not go in leaves nothing in the book but the reason
        in the returned reading's note.
        """
        session = self.session.read(
            model=MODEL,
            tool=tool,
            of=of,
            station_in=station_in,
            keyway_angle_rad=keyway_angle_rad,
            way=[[round(one, 5) for one in lean] for lean in way],
            tightness=tightness,
            **conditions,
        )
        reading = session.readings()[-1]
        if reading.taken:
            self.session = session
        return reading

    def try_zero(self, *, tool: str, of: str = "height", **conditions: float) -> Reading:
        """Try a tool, or a gauge's micrometer, on its standard, and return the reading."""
        size = round(self.standard_in(of), 9)
        self.session = self.session.try_zero(tool=tool, size_in=size, **conditions)
        return self.session.readings()[-1]

    def stone(self) -> None:
        """Stone the burr off the edges of the mouth."""
        self.session = self.session.stone()

    def of_today(self, number: int) -> bool:
        """Return whether a reading was taken on today's bench, not on its first model."""
        made = [step for step in self.session.steps if step["do"] not in ("stone", "strike out")]
        return made[number - 1]["do"] == "zero" or "model" in made[number - 1]

    def slide(
        self, *, stand_out_in: float, keyway_angle_rad: float, **conditions: float
    ) -> Reading:
        """Slide the shop's taper bar in until it is tight, and return the reading."""
        self.session = self.session.slide(
            model=MODEL,
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
        tool = self.session.readings()[number - 1].tool
        verdict = judge_reading(
            kind=instrument_kind(self.units, tool), reading=self.shown(number), text=text
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
        if reading.of == "zero":
            said = f"{said} {self._tell_zero(note, reading)}"
        elif reading.tool == PARALLEL:
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

    def heights(self) -> list[tuple[Note, Reading]]:
        """Return what stands of heights at a station: no width, no standard, no taper bar."""
        return [
            (note, reading)
            for note, reading in self.standing()
            if reading.of == "height" and reading.tool != PARALLEL
        ]

    def mouth(self, note: Note, reading: Reading) -> float:
        """Return what a taper bar tells of the height at the mouth [in]."""
        return mouth_of(note=note, reading=reading)

    # the end of the practice

    def hidden_in_words(self) -> list[str]:
        """Return what was hidden, against what was found; one line each."""
        return look_back(self)

    def numbers(self) -> dict[str, Any]:
        """Return the summing-up in plain numbers, as an exercise can mark it.

        Of what was written down and not struck out. Keys: `readings` (taken),
        `written`, `struck_out`, `misread` (not written as shown), `not_at_bottom`
        (keyway turned elsewhere), `left_leaning`, `not_held` (by the lock), `zero_tries` (on a
        standard), `widths`, `stations`, `longest_base_in`, `scatter_in` (standard
        deviation at one place; None if none was repeated), `mouth_in` and
        `taper_in_per_in` (line through the readings; None with one station),
        `true_mouth_in`, `true_taper_in_per_in`, `worst_station_off_in` (mean less true,
        the largest; None without a reading).
        """
        standing = self.heights()
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
        kept = [reading for _, reading in self.standing()]
        turned = [r for r in kept if r.of == "height" and abs(r.keyway_angle_rad - math.pi) > 0.02]
        return {
            "readings": len(self.session.readings()),
            "written": len(self.notes),
            "struck_out": len(self.session.struck_out()),
            "misread": sum(not note.agrees for note, _ in self.standing()),
            "not_at_bottom": len(turned),
            "left_leaning": sum(bool(left_leaning(r)) for r in kept),
            "not_held": sum(bool(r.way_out) for r in kept),
            "zero_tries": sum(r.of == "zero" for r in kept),
            "widths": sum(r.of in ("keyway", "keyseat") for r in kept),
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
            f"{bare[0]} − {bare[1]}/{under} = {units.height(mouth)}. {bears(self, reading)}"
        )

    def _tell_zero(self, note: Note, reading: Reading) -> str:
        units, off = self.units, note.value_in - reading.standard_in
        size = units.height(reading.standard_in)
        if abs(off) < 0.00005:
            return f"The standard is {size}: it shows what it should."
        way, mend = ("more", "take it off") if off > 0 else ("less", "add it to")
        if abs(off) < _ONE_TRY_IN:
            return (
                f"The standard is {size}, and it shows {units.small(abs(off))} {way}: no more than "
                "one try scatters. Try it again."
            )
        return (
            f"The standard is {size}, and it shows {units.small(abs(off))} {way}. That is in every "
            f"reading of this tool: {mend} each. Try it again; one try scatters too."
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
