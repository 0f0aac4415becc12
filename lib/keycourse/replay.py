"""A kept bench session, step by step: what was done in words, its picture, the numbers."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from coursework.ink.drawing import Picture
from coursework.ink.shop import INCH, ShopUnits
from keycourse.fit.bench.book import (
    OLDER_BENCH,
    FittingBook,
    made_on_older_bench,
    practice_fit,
)
from keycourse.fit.bench.fitting import FEELER_LEAF_IN, FittingSession
from keycourse.fit.bench.fitting_steps import still_to_come_off_in
from keycourse.fit.bench.pictures import feeler_picture, marks_picture, stand_out_picture
from keycourse.fit.marks import LANES, lane_place_in
from keycourse.measure.bench.book import SLOT_SIZES, MeasuringBook, size_words
from keycourse.measure.bench.pages import MeasuringPages
from keycourse.measure.bench.pictures import readings_picture
from keycourse.measure.bench.retold import (
    reading_numbers,
    reading_pictures,
    reading_words,
    written_words,
)
from keycourse.pull.bench.book import OLDER_BENCH as OLDER_PULL
from keycourse.pull.bench.book import (
    PullingBook,
    rig_meant,
    rig_standing,
    step_words,
)
from keycourse.pull.bench.pictures import chain_picture, needle_picture, rig_picture
from keycourse.pull.bench.pulling import PullingSession
from keycourse.sessions import MOST_STEPS, open_book, summing_up_in_words
from taperkey.counts import counted

__all__ = ["Frame", "Replay", "replay_of"]

Rows = tuple[tuple[str, str], ...]


@dataclass(frozen=True, kw_only=True)
class Frame:
    """One step of a session, as it is shown.

    Attributes
    ----------
    done : str
        What was done, such as "filed 15 strokes on spots 1 and 2 of the top face".
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


def replay_of(*, bench: str, record: Any, units: ShopUnits = INCH) -> Replay:
    """Return the replay of what a bench kept.

    Parameters
    ----------
    bench : str
        A key of :data:`BENCHES`.
    record : dict
        What the bench kept.
    units : ShopUnits
        How lengths and loads are written; the session may have been done in others.

    Raises
    ------
    ValueError
        If the record cannot be played again, or nothing was done in it.
    """
    if bench == "fitting" and made_on_older_bench(record):
        return _older_fitting(record, units)
    book = open_book(bench=bench, record=record, units=units)
    parts: list[Part] = []
    if isinstance(book, FittingBook):
        if book.can_take_back:
            earlier = FittingBook(seed=0, units=units)
            earlier.restore(record["before"])
            parts.append(_FittingPart(earlier, title="Earlier key"))
        parts.append(_FittingPart(book, title="Key on the bench"))
    elif isinstance(book, PullingBook):
        if book.before is not None:
            earlier_pull = PullingBook(seed=0, units=units)
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
        book = FittingBook(seed=self._book.seed, units=self._book.units)
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
        book = self._book
        rows = summing_up_in_words(
            bench="fitting", numbers=book.numbers(), hidden=True, units=book.units
        )
        words = self._book.outcome() or ["The key was not driven."]
        return tuple(rows), tuple(words)


def _older_fitting(record: dict[str, Any], units: ShopUnits) -> Replay:
    part = _OlderFittingPart(record["steps"], units=units)
    try:
        if part.count > MOST_STEPS:
            raise ValueError
        for number in range(1, part.count + 1):
            part.frame(number)
    except (ValueError, KeyError, TypeError, AttributeError) as broken:
        raise ValueError("The saved fitting cannot be read.") from broken
    return Replay([part])


class _OlderFittingPart(Part):
    """A fitting on the older bench: what was done, not what today's steel would make of it."""

    def __init__(self, steps: list[dict[str, Any]], *, units: ShopUnits) -> None:
        super().__init__(title="Key fitted on the older bench")
        self._steps, self._book = steps, FittingBook(seed=0, units=units)
        self.count = len(steps)

    def frame(self, number: int) -> Frame:
        return Frame(
            done=_fitting_words(self._steps[number - 1], self._book),
            seen=(OLDER_BENCH,),
            pictures=(),
            numbers=self._numbers(number),
        )

    def end(self) -> tuple[Rows, tuple[str, ...]]:
        driven = any(step["do"] == "drive" for step in self._steps)
        return self._numbers(self.count), (
            OLDER_BENCH,
            "The key was driven." if driven else "The key was not driven.",
        )

    def _numbers(self, number: int) -> Rows:
        done = self._steps[:number]
        strokes = {"top": 0, "bottom": 0}
        for step in done:
            if step["do"] == "file":
                strokes[step["face"]] += int(step["strokes"]) * len(step["spots"])
        return (
            ("Pushes and taps so far", f"{sum(step['do'] == 'push' for step in done)}"),
            ("Strokes so far, top and bottom", f"{strokes['top']:,} and {strokes['bottom']:,}"),
        )


def _fitting_numbers(book: FittingBook) -> Rows:
    state, units = book.session.state, book.units
    strokes = {"top": 0, "bottom": 0}
    for step in book.session.steps:
        if step["do"] == "file":
            strokes[step["face"]] += int(step["strokes"]) * len(step["spots"])
    rows = [
        ("Rounds so far", f"{len(state.pushes)}"),
        ("Strokes so far, top and bottom", f"{strokes['top']:,} and {strokes['bottom']:,}"),
    ]
    if book.in_slot:
        left = still_to_come_off_in(state.projection_in, state.key.taper_in_per_in)
        rows.append(("Stand-out", units.travel(state.projection_in)))
        rows.append(("Still to come off", units.small(left)))
    if state.pushes:
        last = state.pushes[-1]
        rows.append(("Bright at the last push", f"{100 * last.share:.0f} % of the faces"))
        rows.append(("Bright over", f"{100 * last.length_share:.0f} % of the length"))
    return tuple(rows)


def _fitting_words(step: dict[str, Any], before: FittingBook) -> str:
    units = before.units
    match step["do"]:
        case "push" if step["load_lbf"] < 200:
            return f"pushed the key in by hand, {units.load(step['load_lbf'])}, and drew it"
        case "push":
            return f"tapped the key in, {units.load(step['load_lbf'])}, and drew it"
        case "file":
            return f"filed {counted(int(step['strokes']), 'stroke')} {_where_filed(step, before)}"
        case "lubricate":
            dry = step["lubricant"] == "none"
            return "left both faces dry" if dry else f"put {step['lubricant']} on both faces"
        case "feel":
            return f"tried the {units.leaf(step.get('leaf_in', FEELER_LEAF_IN))} leaf"
        case "drive":
            blows, energy = step["blows"], step.get("energy_in_lbf", 1000.0)
            return f"drove the key with up to {counted(blows, 'blow')} of {units.energy(energy)}"
        case other:
            return {
                "blue": "blued both faces",
                "clean": "cleaned key and slot",
                "clean file": "brushed the file",
            }[other]


def _where_filed(step: dict[str, Any], before: FittingBook) -> str:
    """Say on which bright spots, counted from the large end, or on which other places."""
    face, units = f"of the {step['face']} face", before.units
    marks = [(round(u, 3), round(y, 3)) for u, y in before.marked(step["face"])]
    spots = [(round(u, 3), round(y, 3)) for u, y in step["spots"]]
    on = sorted(marks.index(spot) + 1 for spot in spots if spot in marks)
    off = [spot for spot in spots if spot not in marks]
    parts = []
    if on and len(on) == len(marks) > 1:
        parts.append(f"on each of all {len(on)} bright spots {face}")
    elif on:
        named = f"spots {_listed([str(n) for n in on])}" if len(on) > 1 else f"spot {on[0]}"
        parts.append(f"on {named} (of {len(marks)}) {face}")
    if len(off) > 3:
        first = units.long(min(u for u, _ in off)).removesuffix(f" {units.unit}")
        last = units.long(max(u for u, _ in off))
        parts.append(f"on {len(off)} other places {face}, {first} to {last} from the large end")
    elif off:
        width = before.session.key_parameters.width_in
        places = [f"{units.long(u)} from the large end in lane {_lane(y, width)}" for u, y in off]
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
        empty = PullingBook(seed=book.seed, kind=book.kind, units=book.units, model=book.model)
        self._sessions: list[PullingSession] = [empty.session]
        for step in book.session.steps:
            self._sessions.append(self._sessions[-1].again(step))
        self.count = len(book.session.steps) + int(book.stopped)

    def _at(self, number: int) -> PullingBook:
        kept = self._book
        book = PullingBook(seed=kept.seed, kind=kept.kind, units=kept.units, model=kept.model)
        book.session = self._sessions[min(number, len(self._sessions) - 1)]
        book.rig = rig_standing(book.session)
        return book

    def frame(self, number: int) -> Frame:
        steps, book = self._book.session.steps, self._at(number)
        said = book.session.observations[-1] if steps else None
        if number > len(steps):
            done = "stopped and called someone"
            seen = ["The load is off, the area is roped off, and others carry on from here."]
        else:
            done = step_words(steps[number - 1], rig=rig_meant(book.session), units=book.units)
            done = done[:1].lower() + done[1:]
            assert said is not None
            seen = book.told(said)
            if said.step == "measure ends" and said.outcome == "done":
                seen = book.measured()
            elif said.step in ("load", "pump"):
                seen = [*seen, *book.after_load()]
        if book.model == 1:
            seen = [OLDER_PULL, *seen]
        chain = chain_picture(book)
        gauge = needle_picture(book) if said and "needle_psi" in said.values else None
        shown = (rig_picture(book), gauge, chain)
        return Frame(
            done=done,
            seen=tuple(seen),
            pictures=tuple(one for one in shown if one is not None),
            numbers=_pulling_numbers(book),
        )

    def end(self) -> tuple[Rows, tuple[str, ...]]:
        rows = summing_up_in_words(
            bench="pulling",
            numbers=self._book.numbers(),
            hidden=self._book.over,
            units=self._book.units,
        )
        words = self._book.hidden_in_words()
        if not self._book.over:
            words = ["The pull is not over: what is hidden stays hidden until then."]
        return tuple(rows), tuple(words)


def _pulling_numbers(book: PullingBook) -> Rows:
    state, pull, units = book.session.state, book.case.demand, book.units
    rows = [
        (
            "Last blow" if book.rig == "slide hammer" else "Load on now",
            units.load(state.load_lbf),
        ),
        ("Highest so far", units.load(state.peak_lbf)),
        ("The key may need", units.load_range(pull.low_lbf, pull.high_lbf)),
    ]
    weakest = state.weakest
    if weakest is not None:
        works_to = units.load(weakest.working_lbf, "down")
        rows.append(("Weakest link", f"{weakest.name}, {works_to}"))
    return tuple(rows)


# measuring


def _measuring_parts(pages: MeasuringPages, record: dict[str, Any]) -> list[Part]:
    """Return the earlier page, the pages of the other sizes, and the open one, in this order."""
    kept, units = [], pages.units
    if pages.can_take_back:
        size = size_words(record["before"]["size"], units=units)
        kept.append((record["before"], f"Earlier slot {size}"))
    for size, other in record.get("others", {}).items():
        named = size_words(size, units=units) if size in SLOT_SIZES else size
        kept.append(({**other, "size": size}, f"Slot {named}"))
    parts: list[Part] = []
    for one, title in kept:
        earlier = MeasuringPages(seed=0, units=units)
        try:
            earlier.restore({k: v for k, v in one.items() if k not in ("others", "before")})
        except ValueError:
            continue  # the open page is what was asked for
        parts.append(_MeasuringPart(earlier.book, title=title))
    named = size_words(pages.size, units=units)
    parts.append(_MeasuringPart(pages.book, title=f"Slot {named}, the open page"))
    return parts


class _MeasuringPart(Part):
    def __init__(self, book: MeasuringBook, *, title: str) -> None:
        super().__init__(title=title)
        self._book = book
        self.count = len(book.session.steps)

    def _at(self, number: int) -> MeasuringBook:
        whole = self._book.session
        book = MeasuringBook(slot=whole.slot, seed=whole.seed, units=self._book.units)
        book.session = whole.until(count=number)
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
        if step["do"] == "stone":
            return Frame(
                done="stoned the burr off the edges of the mouth",
                seen=("What is read from here on is read without a burr.",),
                pictures=(),
                numbers=(("Readings so far", f"{len(book.session.readings())}"),),
            )
        taken = book.session.readings()
        reading, which = taken[-1], len(taken)
        note = next((one for one in book.notes if one.number == which), None)
        return Frame(
            done=reading_words(reading, book.units),
            seen=tuple(written_words(book, which, note, reading)),
            pictures=reading_pictures(book, which, reading, step),
            numbers=reading_numbers(book, which, note, reading, step),
        )

    def end(self) -> tuple[Rows, tuple[str, ...]]:
        shown = self._book.revealed
        rows = summing_up_in_words(
            bench="measuring",
            numbers=self._book.numbers(),
            hidden=shown,
            units=self._book.units,
        )
        words = [
            "What is hidden stays hidden until “Show what was hidden” is pressed on the bench."
        ]
        if shown:
            words = self._book.hidden_in_words()
        return tuple(rows), tuple(words)
