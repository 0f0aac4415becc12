"""Kept hand-ins: when each came, and which one counts.

``arrivals.csv`` in the class folder holds a line for every hand-in that was
taken in: when it came, by the clock of the machine that runs the class, and in
which run. That clock orders hand-ins of different runs: the one taken in by the
later run counts, whatever its own clock says. Files of one run lay in the inbox
together, so among them the time at which the page says it was made decides. A
file that is on no line, put there by hand, counts as before all runs.

A run that went through the whole inbox closes with a line of its own. So of a
file that came later it is known that it was not in the inbox then, whatever the
time says at which it was made.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path

from coursework.check import check_forms
from coursework.course import PAGES
from coursework.mark.register import Register
from coursework.page.handin import HandIn, HandInError, read_hand_in

__all__ = [
    "Arrival",
    "AttemptRule",
    "Kept",
    "arrivals_register",
    "close_run",
    "kept_of",
    "newest_kept",
    "overtaken",
    "read_arrivals",
    "require_place",
]


EMPTIED = "(inbox emptied)"


@dataclass(frozen=True, kw_only=True)
class Arrival:
    """One line of the register of arrivals.

    Attributes
    ----------
    run : int
        Which taking-in it came with; 1 is the first of the class.
    came : str
        When that was, UTC, such as "2026-11-25T12:00:00Z".
    number, exercise : int and str
        Whose, and of which exercise.
    made : str
        When its page says it was made, UTC.
    sha256 : str
        Of the file's bytes.
    kept_as, source : str
        Where it is kept, from the class folder on, and what it was called in the inbox.
    emptied : str
        When the inbox was last emptied before, UTC; empty where it never was. It is found from
        the lines before and stands on none.
    """

    run: int
    came: str
    number: int
    exercise: str
    made: str
    sha256: str
    kept_as: str
    source: str = ""
    emptied: str = ""

    def cells(self) -> tuple[str, ...]:
        """Return the line as it stands in the register."""
        return (
            str(self.run),
            self.came,
            str(self.number),
            self.exercise,
            self.made,
            self.sha256,
            self.kept_as,
            self.source,
        )


@dataclass(frozen=True, kw_only=True)
class Kept:
    """A kept hand-in, read."""

    path: Path
    content: bytes
    hand_in: HandIn
    arrival: Arrival | None = None
    others: tuple[Kept, ...] = ()  # the hand-ins that stand for the other attempts

    @property
    def sha256(self) -> str:
        """Digest of the file's bytes."""
        return hashlib.sha256(self.content).hexdigest()

    @property
    def made(self) -> datetime:
        """When its page says it was made, UTC, without a zone."""
        return datetime.fromisoformat(self.hand_in.made).replace(tzinfo=None)

    @property
    def came(self) -> str:
        """When it was taken in, UTC; empty where no line says so."""
        return self.arrival.came if self.arrival else ""

    @property
    def emptied(self) -> str:
        """When the inbox was last emptied before it came, UTC; empty where that is not known."""
        return self.arrival.emptied if self.arrival else ""

    @property
    def run(self) -> int:
        """Which run took it in; 0 where no line says so."""
        return self.arrival.run if self.arrival else 0

    @property
    def title(self) -> str:
        """Whose it is, in words."""
        return f"Apprentice {self.hand_in.number:03d}, {self.hand_in.page}"

    @property
    def rank(self) -> tuple[int, str, str]:
        """What the one that counts is the largest by."""
        return (self.run, self.hand_in.made, self.path.name)


def arrivals_register(folder: Path) -> Register:
    """Return the register of arrivals of a class folder."""
    return Register(
        path=folder / "arrivals.csv",
        columns=(
            "run", "came", "number", "exercise", "made", "sha256", "kept as", "came as",
        ),
    )  # fmt: skip


def read_arrivals(folder: Path) -> list[Arrival]:
    """Return the arrivals in order; a line with a number that is none is passed over."""
    found: list[Arrival] = []
    emptied = ""
    for line in arrivals_register(folder).lines():
        if line["came as"] == EMPTIED and not line["number"]:
            emptied = line["came"]
            continue
        try:
            run, number = int(line["run"]), int(line["number"])
        except ValueError:
            continue
        found.append(
            Arrival(
                run=run,
                came=line["came"],
                number=number,
                exercise=line["exercise"],
                made=line["made"],
                sha256=line["sha256"],
                kept_as=line["kept as"],
                source=line["came as"],
                emptied=emptied,
            )
        )
    return found


def close_run(*, folder: Path, run: int, came: str) -> None:
    """Note that a run went through the whole inbox, unless nothing came since the last note."""
    register = arrivals_register(folder)
    lines = register.lines()
    if lines and lines[-1]["came as"] != EMPTIED:
        register.append([(str(run), came, "", "", "", "", "", EMPTIED)])


def first_arrivals(arrivals: Iterable[Arrival]) -> dict[tuple[int, str, str], Arrival]:
    """Return the first arrival of each file, by number, exercise and sha256."""
    found: dict[tuple[int, str, str], Arrival] = {}
    for one in arrivals:
        found.setdefault((one.number, one.exercise, one.sha256), one)
    return found


def kept_of(
    *, folder: Path, class_code: str, number: int, exercise: str, arrivals: Iterable[Arrival]
) -> tuple[list[Kept], dict[str, str]]:
    """Read every kept hand-in of one apprentice and exercise.

    Parameters
    ----------
    folder : Path
        The class folder.
    class_code : str
        The class, such as "QQ-26".
    number : int
        The apprentice's number.
    exercise : str
        Such as "01-measure".
    arrivals : iterable of Arrival
        The register.

    Returns
    -------
    list of Kept
        Those that can be read, the one that counts last.
    dict of str to str
        A sentence for each file that cannot be used, by its name.
    """
    first = first_arrivals(arrivals)
    kept, broken = [], {}
    place = folder / "hand-ins" / f"{number:03d}" / exercise
    for path in sorted(place.glob("*.json")):
        try:
            content = path.read_bytes()
            hand_in = read_hand_in(content)
            require_place(hand_in, class_code=class_code, number=number, exercise=exercise)
        except (OSError, HandInError) as error:
            broken[path.name] = str(error)
            continue
        digest = hashlib.sha256(content).hexdigest()
        arrival = first.get((number, exercise, digest))
        kept.append(Kept(path=path, content=content, hand_in=hand_in, arrival=arrival))
    return sorted(kept, key=lambda one: one.rank), broken


@dataclass(frozen=True, kw_only=True)
class AttemptRule:
    """Which attempt counts.

    Attributes
    ----------
    counts : str
        "last", "best" or "first".
    worth : callable
        What a hand-in is worth, for the best one: the marker's marks after lateness.
    released : mapping of str to str
        When the worked solutions of an exercise were released, UTC, by exercise.
    released_after : mapping of str to int
        After which taking-in that was, where it is known: it goes before what clocks said.
    """

    counts: str = "last"
    worth: Callable[[Kept], float] = lambda one: 0.0
    released: Mapping[str, str] = field(default_factory=dict)
    released_after: Mapping[str, int] = field(default_factory=dict)

    def standing(self, kept: list[Kept]) -> list[Kept]:
        """Return the hand-in that stands for each attempt, the one that counts last.

        A hand-in that came after the solutions, on a card whose solutions were there to be seen,
        stands for nothing.
        """
        by_attempt: dict[int, Kept] = {}
        for one in kept:
            if not self.too_late(one, kept):
                by_attempt[one.hand_in.attempt] = one
        found = [by_attempt[attempt] for attempt in sorted(by_attempt)]
        if self.counts == "first":
            found.reverse()
        elif self.counts == "best":
            found.sort(key=lambda one: (self.worth(one), one.hand_in.attempt))
        return found

    def too_late(self, one: Kept, kept: Iterable[Kept]) -> bool:
        """Return whether the worked solution of its very card was out when it came."""
        page = one.hand_in.page
        since, run = self.released.get(page, ""), self.released_after.get(page)
        later = one.run > run if run is not None else bool(since and one.came > since)
        return later and any(
            other.hand_in.attempt >= one.hand_in.attempt and other.run < one.run for other in kept
        )


def newest_kept(
    *,
    folder: Path,
    class_code: str,
    roster: Mapping[int, str],
    rule: AttemptRule = AttemptRule(),  # noqa: B008 - it never changes
) -> tuple[list[Kept], list[str]]:
    """Return the hand-in that counts of each apprentice and exercise, and what is wrong.

    Where a file that cannot be read would be the one that counts, none is returned: an older one
    is not marked in its place.
    """
    found: list[Kept] = []
    problems: list[str] = []
    arrivals = read_arrivals(folder)
    by_name = {one.kept_as.rsplit("/", 1)[-1]: one.run for one in arrivals}
    for place in sorted((folder / "hand-ins").glob("[0-9][0-9][0-9]/*")):
        if not place.is_dir():
            continue
        number, exercise = int(place.parent.name), place.name
        title = f"Apprentice {number:03d}, {exercise}"
        if exercise in check_forms():
            continue  # no mark is given for it
        if exercise not in PAGES:
            problems.append(f"{title}: the course has no such exercise. Set the folder aside.")
            continue
        if number not in roster:
            problems.append(f"{title}: the number is not on the roster. Add it, or set it aside.")
            continue
        kept, broken = kept_of(
            folder=folder,
            class_code=class_code,
            number=number,
            exercise=exercise,
            arrivals=(one for one in arrivals if (one.number, one.exercise) == (number, exercise)),
        )
        problems += [f"{title}: {name} was not marked. {why}" for name, why in broken.items()]
        worst = max(((by_name.get(name, 0), name) for name in broken), default=(-1, ""))
        if kept and (kept[-1].run, kept[-1].path.name) > worst:
            standing = rule.standing(kept)
            found.append(replace(standing[-1], others=tuple(standing[:-1])))
    return found, problems


def overtaken(*, folder: Path, class_code: str, which: Iterable[tuple[int, str]]) -> list[str]:
    """Return a sentence for each hand-in that counts, but says it was made before another.

    Parameters
    ----------
    folder : Path
        The class folder.
    class_code : str
        The class, such as "QQ-26".
    which : iterable of int and str
        Numbers and exercises to look at.
    """
    arrivals = read_arrivals(folder)
    told = []
    for number, exercise in sorted(set(which)):
        kept, _ = kept_of(
            folder=folder,
            class_code=class_code,
            number=number,
            exercise=exercise,
            arrivals=(one for one in arrivals if (one.number, one.exercise) == (number, exercise)),
        )
        kept = [one for one in kept if one.hand_in.attempt == kept[-1].hand_in.attempt]
        latest = max((one.hand_in.made for one in kept), default="")
        if kept and kept[-1].hand_in.made < latest:
            told.append(
                f"{kept[-1].title}: the hand-in that came last says it was made at "
                f"{kept[-1].hand_in.made}, before the one of {latest} that it replaces. The last "
                "to come counts; ask which is meant."
            )
    return told


def require_place(hand_in: HandIn, *, class_code: str, number: int, exercise: str) -> None:
    """Refuse a hand-in that lies where another's should.

    Raises
    ------
    HandInError
        One sentence.
    """
    if (hand_in.class_code, hand_in.number, hand_in.page) != (class_code, number, exercise):
        raise HandInError(
            f"It says class {hand_in.class_code}, number {hand_in.number}, {hand_in.page}; it "
            f"must be class {class_code}, number {number}, {exercise}. Move it where it belongs."
        )
