"""Replaced hand-ins: what a later one put itself in the place of.

The later hand-in counts, whoever it is really from. So that a mistyped number
takes no marks in silence, ``replaced.csv`` in the class folder gets a line for
each hand-in that was replaced: whose place, both marks, both times, what each
file was called in the inbox and whose name stood on the class list. It is
written after the marking, from the files that are kept, so a run that was cut
off is made good by the next one.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import astuple, dataclass
from pathlib import Path

from coursework.course import PAGES
from coursework.mark.byhand import ByHand
from coursework.mark.judged import MarkingError, judged
from coursework.mark.kept import Arrival, AttemptRule, Kept, kept_of, read_arrivals
from coursework.mark.records import ManualMark, MarkRecord, read_record, so_far
from coursework.mark.register import Register

__all__ = ["Replaced", "Side", "note_replaced", "read_replaced", "replaced_register"]


Marked = Mapping[str, tuple[MarkRecord, Mapping[str, ManualMark]]]  # by sha256 of the hand-in
Settled = Mapping[str, tuple[float, float]]  # marks given and possible, by question


@dataclass(frozen=True, kw_only=True)
class Side:
    """One of the two hand-ins.

    Attributes
    ----------
    sha256 : str
        Of the file's bytes.
    name : str
        Whose name stood at the number on the class list.
    source : str
        What the file was called in the inbox; empty where that is not known.
    made, came : str
        When its page says it was made, and when it was taken in, UTC.
    mark, out_of : str
        Marks given and possible, without what waited for the assessor; empty where it could not
        be judged.
    late : str
        How late it was, in words; empty in time.
    """

    sha256: str
    name: str
    source: str
    made: str
    came: str
    mark: str
    out_of: str
    late: str


@dataclass(frozen=True, kw_only=True)
class Replaced:
    """One hand-in in the place of another.

    Attributes
    ----------
    noted : str
        When that was first seen, UTC.
    number, exercise : int and str
        Whose place, and of which exercise.
    lost : float
        Marks fewer than before, over the questions that are marked in both; 0 for none.
    before, now : Side
        The one that counted until then, and the one that counts instead.
    """

    noted: str
    number: int
    exercise: str
    lost: float
    before: Side
    now: Side


_NUMBER = re.compile(r"\d+(\.\d+)?")
_SIDE = ("sha256", "name", "came as", "made", "came", "mark", "out of", "late")


def replaced_register(folder: Path) -> Register:
    """Return the register of replaced hand-ins of a class folder."""
    both = [f"{which} {what}" for which in ("before", "now") for what in _SIDE]
    return Register(
        path=folder / "replaced.csv", columns=("noted", "number", "exercise", "marks lost", *both)
    )


def read_replaced(folder: Path) -> list[Replaced]:
    """Return every replacement, oldest first; a line with a number that is none is passed over."""
    found = []
    for line in replaced_register(folder).lines():
        if line["number"].isdecimal() and _NUMBER.fullmatch(line["marks lost"] or "0"):
            sides = [
                Side(**dict(zip(Side.__annotations__, cells, strict=True)))
                for which in ("before", "now")
                if (cells := [line[f"{which} {what}"] for what in _SIDE])
            ]
            found.append(
                Replaced(
                    noted=line["noted"],
                    number=int(line["number"]),
                    exercise=line["exercise"],
                    lost=float(line["marks lost"] or 0),
                    before=sides[0],
                    now=sides[1],
                )
            )
    return found


def note_replaced(
    *,
    folder: Path,
    class_code: str,
    roster: Mapping[int, str],
    records_before: Mapping[tuple[int, str], MarkRecord],
    manual_before: ByHand,
    manual: ByHand,
    late: Callable[[MarkRecord], str],
    rule: AttemptRule,
    now: str,
) -> list[Replaced]:
    """Add a line for each replacement that is on none yet, and return them.

    What came after the solutions were out, and stands for nothing, is in nobody's place.

    Parameters
    ----------
    folder : Path
        The class folder.
    class_code : str
        The class, such as "QQ-26".
    roster : mapping of int to str
        Name by apprentice number.
    records_before : mapping
        The records that this run has replaced, by number and exercise.
    manual_before, manual : mapping
        What the assessor gave, before this run and after it.
    late : callable
        How late a record is, in words.
    rule : AttemptRule
        Which attempt counts.
    now : str
        When, UTC.
    """

    def side(one: Kept, name: str, records: Marked) -> tuple[Side, Settled]:
        try:
            record, given = records.get(one.sha256) or (judged(one=one, class_code=class_code), {})
            settled = so_far(record, given)
            mark, out_of = (f"{round(sum(one), 2):g}" for one in _columns(settled))
            told = late(record)
        except MarkingError:
            settled, mark, out_of, told = {}, "", "", ""
        found_side = Side(
            sha256=one.sha256,
            name=name,
            source=one.arrival.source if one.arrival else "",
            made=one.hand_in.made,
            came=one.came,
            mark=mark,
            out_of=out_of,
            late=told,
        )
        return found_side, settled

    known = {
        (one.number, one.exercise, one.before.sha256, one.now.sha256): one
        for one in read_replaced(folder)
    }
    names = {
        (place, exercise, sha): one.now.name for (place, exercise, _, sha), one in known.items()
    }
    arrivals: dict[tuple[int, str], list[Arrival]] = {}
    for arrival in read_arrivals(folder):
        arrivals.setdefault((arrival.number, arrival.exercise), []).append(arrival)
    found = []
    for path in sorted((folder / "hand-ins").glob("[0-9][0-9][0-9]/*")):
        number, exercise = int(path.parent.name), path.name
        place = (number, exercise)
        if number not in roster or exercise not in PAGES or len(list(path.glob("*.json"))) < 2:
            continue
        kept, _ = kept_of(
            folder=folder,
            class_code=class_code,
            number=number,
            exercise=exercise,
            arrivals=arrivals.get(place, ()),
        )
        standing = [one for one in kept if not rule.too_late(one, kept)]
        pairs = [
            pair
            for attempt in sorted({one.hand_in.attempt for one in standing})
            for same in [[one for one in standing if one.hand_in.attempt == attempt]]
            for pair in zip(same, same[1:], strict=False)
        ]
        records: Marked = {
            record.hand_in: (record, given.get(place, {}))
            for record, given in (
                (records_before.get(place), manual_before),
                (read_record(folder=folder, number=number, exercise=exercise), manual),
            )
            if record is not None
        }

        for before, after in pairs:
            if (*place, before.sha256, after.sha256) not in known:
                name = names.get((*place, before.sha256), roster[number])
                earlier, marks_before = side(before, name, records)
                later, marks_now = side(after, roster[number], records)
                both = marks_before.keys() & marks_now.keys()
                lost = sum(marks_before[key][0] - marks_now[key][0] for key in both)
                found.append(
                    Replaced(
                        noted=now,
                        number=number,
                        exercise=exercise,
                        lost=max(round(lost, 2), 0.0),
                        before=earlier,
                        now=later,
                    )
                )
    if found:
        replaced_register(folder).append(
            (
                one.noted,
                str(one.number),
                one.exercise,
                _lost(one),
                *astuple(one.before),
                *astuple(one.now),
            )
            for one in found
        )
    return found


def _columns(settled: Settled) -> tuple[list[float], list[float]]:
    return [mark for mark, _ in settled.values()], [out_of for _, out_of in settled.values()]


def _lost(one: Replaced) -> str:
    return f"{one.lost:g}" if one.lost else ""
