"""The units of a lesson: short pieces of it, each with one question and a check of its own.

They stand once, in the lesson's ``words.toml`` as ``[units.ID]``. The id is also that of the page's
cell that begins the unit, so ``#ID`` behind the page's address leads there.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from coursework.wordsfile import NUMBER, TEXT, TEXTS, WordsFile

__all__ = ["Act", "Unit", "units_of"]

_UNIT = {"title": TEXT, "minutes": NUMBER, "finish": TEXTS}
_ACT = re.compile(r"(?P<notes>.+): (?P<what>[a-z_ ]+) (?P<times>\d+)")


@dataclass(frozen=True, kw_only=True)
class Act:
    """What is done at a bench or a trainer, and how often, until it counts.

    Attributes
    ----------
    notes : tuple of str
        Under which of these names the page keeps it; one of them will do.
    what : str
        A step of a bench, or the count of a trainer.
    times : int
        How often, or how far.
    """

    notes: tuple[str, ...]
    what: str
    times: int


@dataclass(frozen=True, kw_only=True)
class Unit:
    """One unit.

    Attributes
    ----------
    id, title : str
        Its cell, and the heading there.
    minutes : int
        How long it takes.
    asks : tuple of str
        Practice questions that have to be right once.
    acts : tuple of Act
        What has to be done besides. A unit without either is finished when it was read.
    """

    id: str
    title: str
    minutes: int
    asks: tuple[str, ...] = ()
    acts: tuple[Act, ...] = ()


def units_of(file: WordsFile) -> tuple[Unit, ...]:
    """Return the units of a lesson in their order; none where the file has none.

    Raises
    ------
    WordsError
        One sentence with file, line and what is expected.
    """
    found = []
    for name in file.all.get("units", {}):
        where = ["units", name]
        there = file.table(where, _UNIT)
        for needed in ("title", "minutes"):
            if needed not in there:
                raise file.refuse(where, f"“{needed}” of the unit {name} is missing. Write it.")
        if not 1 <= there["minutes"] <= 20:
            raise file.refuse(
                [*where, "minutes"],
                f"the unit {name} takes {there['minutes']} minutes; it must be 1 to 20.",
            )
        finish = there.get("finish", [])
        found.append(
            Unit(
                id=name,
                title=there["title"],
                minutes=int(there["minutes"]),
                asks=tuple(one for one in finish if ":" not in one),
                acts=tuple(_act(file, where, one) for one in finish if ":" in one),
            )
        )
    return tuple(found)


def _act(file: WordsFile, where: list[str], text: str) -> Act:
    read = _ACT.fullmatch(text)
    if read is None:
        raise file.refuse(
            [*where, "finish"],
            f"“{text}” is no act; expected is such as “bench:fitting: drive 1”.",
        )
    notes = tuple(one.strip() for one in read["notes"].split("|"))
    return Act(notes=notes, what=read["what"], times=int(read["times"]))
