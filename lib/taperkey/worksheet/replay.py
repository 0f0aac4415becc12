"""A kept bench session, step by step: what was done in words, its picture, the numbers."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from taperkey.bench.fitting import FittingSession
from taperkey.bench.gauge import TOOLS, Reading
from taperkey.bench.measuring import MeasuringSession
from taperkey.bench.pulling import PullingSession
from taperkey.figures.fitting import LANES, lane_place_in
from taperkey.figures.ink import Picture
from taperkey.worksheet.bench_pictures import (
    chain_picture,
    feeler_picture,
    gauge_picture,
    marks_picture,
    micrometer_picture,
    readings_picture,
    rig_picture,
    stand_out_picture,
)
from taperkey.worksheet.fitting_book import FittingBook, practice_fit
from taperkey.worksheet.measuring_book import PARALLEL, MeasuringBook, Note, mouth_of
from taperkey.worksheet.measuring_pages import MeasuringPages
from taperkey.worksheet.pulling_book import PullingBook, step_words
from taperkey.worksheet.pulling_rigs import rig_of
from taperkey.worksheet.sessions import open_book, summing_up_in_words

__all__ = ["Frame", "Replay", "replay_of"]

Rows = tuple[tuple[str, str], ...]


@dataclass(frozen=True, kw_only=True)
class Frame:
    """One step of a session, as it is shown.

    Attributes
    ----------
    done : str
        What was done, such as "filed 15 strokes on marks 1 and 2 of the top face".
    seen : tuple of str
        What it showed, a sentence each.
    pictures : tuple of Picture
        The bench after it; each with its words.
    numbers : tuple of (str, str)
        What could be read off then: name, and value with unit.
    """

    done: str
    seen: tuple[str, ...]
    pictures: tuple[Picture, ...]
    numbers: Rows


class Part:
    """A stretch of a session on one key or one slot; `count` steps, from 1."""

    bench = ""

    def __init__(self, *, title: str) -> None:
        self.title = title
        self.count = 0

    def frame(self, number: int) -> Frame:
        """Return a step."""
        raise NotImplementedError

    def end(self) -> tuple[Rows, tuple[str, ...]]:
        """Return the summing-up: numbers, and sentences."""
        raise NotImplementedError


class Replay:
    """All parts of a session in order; steps are counted through from 1.

    Parameters
    ----------
    parts : sequence of Part
        In the order in which they are shown.
    """

    def __init__(self, parts: Sequence[Part]) -> None:
        self.parts = [part for part in parts if part.count]

    @property
    def count(self) -> int:
        """How many steps there are."""
        return sum(part.count for part in self.parts)

    def _find(self, number: int) -> tuple[Part, int]:
        for part in self.parts:
            if number <= part.count:
                return part, number
            number -= part.count
        raise IndexError(number)

    def frame(self, number: int) -> Frame:
        """Return step `number`, from 1."""
        part, own = self._find(number)
        return part.frame(own)

    def title(self, number: int) -> str:
        """Return which step it is and what was done, in one line."""
        part, own = self._find(number)
        which = f"{part.title}. " if len(self.parts) > 1 else ""
        return f"{which}Step {number} of {self.count}: {part.frame(own).done}"

    def summing_up(self, number: int) -> tuple[str, Rows, tuple[str, ...]] | None:
        """Return name, numbers and sentences of the part that ends with this step; or None."""
        part, own = self._find(number)
        return (part.title, *part.end()) if own == part.count else None


def replay_of(*, bench: str, record: Any) -> Replay:
    """Return the replay of what a bench kept.

    Parameters
    ----------
    bench : str
        A key of :data:`BENCHES`.
    record : dict
        What the bench kept.

    Raises
    ------
    ValueError
        If the record cannot be played again, or nothing was done in it.
    """
    book = open_book(bench=bench, record=record)
    parts: list[Part] = []
    if isinstance(book, FittingBook):
        if book.can_take_back:
            earlier = FittingBook(seed=0)
            earlier.restore(record["before"])
            parts.append(_FittingPart(earlier, title="Earlier key"))
        parts.append(_FittingPart(book, title="Key on the bench"))
    elif isinstance(book, PullingBook):
        if book.before is not None:
            earlier_pull = PullingBook(seed=0)
            with contextlib.suppress(ValueError):  # the open pull is what was asked for
                earlier_pull.restore(book.before)
                parts.append(_PullingPart(earlier_pull, title="Earlier pull"))
        parts.append(_PullingPart(book, title="Key on the bench"))
    else:
        parts += _measuring_parts(book, record)
    replay = Replay(parts)
    if not replay.count:
        raise ValueError(f"Nothing was done yet in this session of the {bench} bench.")
    return replay


# fitting


class _FittingPart(Part):
    def __init__(self, book: FittingBook, *, title: str) -> None:
        super().__init__(title=title)
        self._book = book
        self._sessions: list[FittingSession] = [practice_fit(seed=book.seed)]
        for step in book.session.steps:
            choices = {name: value for name, value in step.items() if name != "do"}
            self._sessions.append(self._sessions[-1].do(step["do"], **choices))
        self.count = len(book.session.steps)

    def _at(self, number: int) -> FittingBook:
        book = FittingBook(seed=self._book.seed)
        book.session = self._sessions[number]
        return book

    def frame(self, number: int) -> Frame:
        step, before, book = (
            self._book.session.steps[number - 1],
            *map(self._at, (number - 1, number)),
        )
        pictures = [marks_picture(book)]
        if step["do"] in ("push", "drive"):
            pictures.append(stand_out_picture(book))
        felt = feeler_picture(book) if step["do"] == "feel" else None
        if felt is not None:
            pictures = [felt]
        seen = [*book.told(), *(book.outcome() if step["do"] == "drive" else [])]
        return Frame(
            done=_fitting_words(step, before),
            seen=tuple(seen),
            pictures=tuple(pictures),
            numbers=_fitting_numbers(book),
        )

    def end(self) -> tuple[Rows, tuple[str, ...]]:
        rows = summing_up_in_words(bench="fitting", numbers=self._book.numbers(), hidden=True)
        words = self._book.outcome() or ["The key was not driven."]
        return tuple(rows), tuple(words)


def _fitting_numbers(book: FittingBook) -> Rows:
    state = book.session.state
    strokes = {"top": 0, "bottom": 0}
    for step in book.session.steps:
        if step["do"] == "file":
            strokes[step["face"]] += int(step["strokes"]) * len(step["spots"])
    rows = [
        ("Fittings so far", f"{len(state.pushes)}"),
        ("Strokes so far, top and bottom", f"{strokes['top']:,} and {strokes['bottom']:,}"),
    ]
    if book.in_slot:
        left = 1000 * state.projection_in * state.key.taper_in_per_in
        rows.append(("Stand-out", f"{state.projection_in:.3f} in"))
        rows.append(("Metal left (stand-out × taper)", f"{left:.1f} thousandths"))
    if state.pushes:
        last = state.pushes[-1]
        rows.append(("Bright at the last push", f"{100 * last.share:.0f} % of the faces"))
        rows.append(("Bright over", f"{100 * last.length_share:.0f} % of the length"))
    return tuple(rows)


def _fitting_words(step: dict[str, Any], before: FittingBook) -> str:
    match step["do"]:
        case "push" if step["load_lbf"] < 200:
            return f"pushed the key in by hand, {step['load_lbf']:,.0f} lbf, and drew it"
        case "push":
            return f"tapped the key in, {step['load_lbf']:,.0f} lbf, and drew it"
        case "file":
            many = int(step["strokes"])
            return f"filed {many} stroke{'s' if many > 1 else ''} {_where_filed(step, before)}"
        case "lubricate":
            dry = step["lubricant"] == "none"
            return "left both faces dry" if dry else f"put {step['lubricant']} on both faces"
        case "feel":
            return f"tried the {step.get('leaf_in', 0.0015):.4f} in leaf"
        case "drive":
            blows, energy = step["blows"], step.get("energy_in_lbf", 1000.0)
            return (
                f"drove the key with up to {blows} blow{'s' if blows > 1 else ''} of"
                f" {energy:,.0f} in·lbf"
            )
        case other:
            return {
                "blue": "blued both faces",
                "clean": "cleaned key and slot",
                "clean file": "brushed the file",
            }[other]


def _where_filed(step: dict[str, Any], before: FittingBook) -> str:
    """Say on which marks, counted from the large end, or on which other spots."""
    face = f"of the {step['face']} face"
    marks = [(round(u, 3), round(y, 3)) for u, y in before.marked(step["face"])]
    spots = [(round(u, 3), round(y, 3)) for u, y in step["spots"]]
    on = sorted(marks.index(spot) + 1 for spot in spots if spot in marks)
    off = [spot for spot in spots if spot not in marks]
    parts = []
    if on and len(on) == len(marks) > 1:
        parts.append(f"on each of all {len(on)} marks {face}")
    elif on:
        named = f"marks {_listed([str(n) for n in on])}" if len(on) > 1 else f"mark {on[0]}"
        parts.append(f"on {named} (of {len(marks)}) {face}")
    if len(off) > 3:
        ends = f"{min(u for u, _ in off):.2f} to {max(u for u, _ in off):.2f} in"
        parts.append(f"on {len(off)} other spots {face}, {ends} from the large end")
    elif off:
        width = before.session.key_parameters.width_in
        places = [f"{u:.2f} in from the large end in lane {_lane(y, width)}" for u, y in off]
        parts.append(f"{face.removeprefix('of ')}, {_listed(places)}".replace("the", "on the", 1))
    return " and ".join(parts)


def _lane(y_in: float, width_in: float) -> str:
    return min(LANES, key=lambda lane: abs(lane_place_in(lane=lane, width_in=width_in) - y_in))


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


# pulling


class _PullingPart(Part):
    def __init__(self, book: PullingBook, *, title: str) -> None:
        super().__init__(title=title)
        self._book = book
        empty = PullingBook(seed=book.seed, kind=book.kind)
        self._sessions: list[PullingSession] = [empty.session]
        for step in book.session.steps:
            choices = {name: value for name, value in step.items() if name != "do"}
            self._sessions.append(self._sessions[-1].do(step["do"], **choices))
        self.count = len(book.session.steps) + int(book.stopped)

    def _at(self, number: int) -> PullingBook:
        book = PullingBook(seed=self._book.seed, kind=self._book.kind)
        book.session = self._sessions[min(number, len(self._sessions) - 1)]
        rigs = [rig_of(step["links"]) for step in book.session.steps if step["do"] == "rig"]
        book.rig = rigs[-1] if rigs else ""
        return book

    def frame(self, number: int) -> Frame:
        steps, book = self._book.session.steps, self._at(number)
        if number > len(steps):
            done = "stopped and called someone"
            seen = ["The load is off, the area is roped off, and others carry on from here."]
        else:
            done = step_words(steps[number - 1], rig=book.rig)
            done = done[:1].lower() + done[1:]
            said = book.session.observations[-1]
            measured = book.measured() if said.step == "measure ends" else [said.note]
            seen = [*measured, *(book.after_load() if said.step == "load" else [])]
        chain = chain_picture(book)
        return Frame(
            done=done,
            seen=tuple(seen),
            pictures=(rig_picture(book), *([chain] if chain is not None else [])),
            numbers=_pulling_numbers(book),
        )

    def end(self) -> tuple[Rows, tuple[str, ...]]:
        rows = summing_up_in_words(
            bench="pulling", numbers=self._book.numbers(), hidden=self._book.over
        )
        words = self._book.hidden_in_words()
        if not self._book.over:
            words = ["The pull is not over: what is hidden stays hidden until then."]
        return tuple(rows), tuple(words)


def _pulling_numbers(book: PullingBook) -> Rows:
    state, pull = book.session.state, book.case.demand
    rows = [
        (
            "Last blow" if book.rig == "sliding weight" else "Load on now",
            f"{state.load_lbf:,.0f} lbf",
        ),
        ("Highest so far", f"{state.peak_lbf:,.0f} lbf"),
        ("The key may need", f"{pull.low_lbf:,.0f} to {pull.high_lbf:,.0f} lbf"),
    ]
    weakest = state.weakest
    if weakest is not None:
        rows.append(("Weakest link", f"{weakest.name}, {weakest.working_lbf:,.0f} lbf"))
    return tuple(rows)


# measuring


def _measuring_parts(pages: MeasuringPages, record: dict[str, Any]) -> list[Part]:
    """Return the earlier page, the pages of the other sizes, and the open one, in this order."""
    kept = []
    if pages.can_take_back:
        kept.append((record["before"], f"Earlier slot {record['before']['size']}"))
    for size, other in record.get("others", {}).items():
        kept.append(({**other, "size": size}, f"Slot {size}"))
    parts: list[Part] = []
    for one, title in kept:
        earlier = MeasuringPages(seed=0)
        try:
            earlier.restore({k: v for k, v in one.items() if k not in ("others", "before")})
        except ValueError:
            continue  # the open page is what was asked for
        parts.append(_MeasuringPart(earlier.book, title=title))
    parts.append(_MeasuringPart(pages.book, title=f"Slot {pages.size}, the open page"))
    return parts


class _MeasuringPart(Part):
    def __init__(self, book: MeasuringBook, *, title: str) -> None:
        super().__init__(title=title)
        self._book = book
        self.count = len(book.session.steps)

    def _at(self, number: int) -> MeasuringBook:
        whole = self._book.session
        book = MeasuringBook(slot=whole.slot, seed=whole.seed)
        book.session = MeasuringSession(
            slot=whole.slot, seed=whole.seed, steps=whole.steps[:number]
        )
        taken = len(book.session.readings())
        book.notes = [note for note in self._book.notes if note.number <= taken]
        return book

    def frame(self, number: int) -> Frame:
        step, book = self._book.session.steps[number - 1], self._at(number)
        if step["do"] == "strike out":
            struck = f"struck out reading {step['number']}"
            pictures = (readings_picture(book, true=False),) if book.standing() else ()
            numbers = (("Readings that stand", f"{len(book.standing())}"),)
            return Frame(
                done=struck,
                seen=("It stays readable in the table, crossed.",),
                pictures=pictures,
                numbers=numbers,
            )
        taken = book.session.readings()
        reading, which = taken[-1], len(taken)
        note = next((one for one in book.notes if one.number == which), None)
        pictures = ()
        if reading.tool == TOOLS[0]:
            first, last = step.get("tilt_rad", 0.15), step.get("rock_to_rad")
            low, high = sorted((first, first if last is None else last))
            pictures = (
                gauge_picture(
                    book,
                    station_in=reading.station_in,
                    tilt_rad=max(low, min(high, 0.0)),
                    keyway_angle_rad=reading.keyway_angle_rad,
                    leaned_from_rad=low,
                    leaned_to_rad=high,
                ),
            )
        return Frame(
            done=_reading_words(reading),
            seen=tuple(_written_words(book, which, note, reading)),
            pictures=(*pictures, micrometer_picture(book, which)),
            numbers=_reading_numbers(book, which, note, reading, step),
        )

    def end(self) -> tuple[Rows, tuple[str, ...]]:
        shown = self._book.revealed
        rows = summing_up_in_words(bench="measuring", numbers=self._book.numbers(), hidden=shown)
        words = [
            "What is hidden stays hidden until “Show what was hidden” is pressed on the bench."
        ]
        if shown:
            words = self._book.hidden_in_words()
        return tuple(rows), tuple(words)


def _reading_words(reading: Reading) -> str:
    degrees = math.degrees(reading.keyway_angle_rad)
    turned = "at the bottom" if abs(degrees - 180) < 1 else f"{degrees:.0f}° from the top"
    if reading.tool == PARALLEL:
        return (
            f"slid the adjustable parallel in, standing out {reading.stand_out_in:g} in, keyway"
            f" {turned}"
        )
    where = f"{reading.station_in:g} in from the mouth" if reading.station_in else "at the mouth"
    return f"read with the {reading.tool} {where}, keyway {turned}"


def _written_words(
    book: MeasuringBook, which: int, note: Note | None, reading: Reading
) -> list[str]:
    words = [f"In the hand: {reading.note}"] if reading.note else []
    if note is None:
        words.append(f"Reading {which} was not written down.")
    elif note.agrees:
        words.append(f"Reading {which} was written down as {note.text}, as the micrometer shows.")
    else:
        shown = book.shown_in(which)
        words.append(
            f"Reading {which} was written down as {note.text}; the micrometer shows {shown:.4f} in."
        )
    return words


def _reading_numbers(
    book: MeasuringBook, which: int, note: Note | None, reading: Reading, step: dict[str, Any]
) -> Rows:
    rows = []
    if note is not None:
        rows.append(("Written down", f"{note.value_in:.4f} in"))
        rows.append(("Micrometer", f"{book.shown_in(which):.4f} in"))
    if reading.tool == PARALLEL:
        if note is not None:
            rows.append(("Mouth at 1:96", f"{mouth_of(note=note, reading=reading):.4f} in"))
    else:
        first, last = (step.get("tilt_rad", 0.15), step.get("rock_to_rad"))
        rocked = "not rocked" if last is None else f"rocked to {math.degrees(last):.1f}°"
        rows.append(("Lean", f"{math.degrees(first):.1f}°, {rocked}"))
        rows.append(("Lock or drag", f"{100 * step.get('tightness', 0.5):.0f} of 100"))
    under = book.session.conditions(number=which)
    part, tool = under["part_temperature_f"], under["tool_temperature_f"]
    rows.append(("Part and tool", f"{part:g} °F and {tool:g} °F"))
    if under["zero_error_in"]:
        rows.append(
            ("Micrometer on its standard", f"{1000 * under['zero_error_in']:+.1f} thousandths")
        )
    return tuple(rows)
