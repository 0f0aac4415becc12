"""Questions as data, with their known slips.

A question is a few words, what kind of answer it takes, and pure functions of
the job card: one for the right value, one for each known slip. Nothing here
draws, saves or shows anything.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Literal

from coursework.card import RESIT, JobCard
from coursework.draws import Draws
from coursework.unit import Unit
from taperkey.units import from_internal, to_internal

__all__ = [
    "LONGEST_WRITTEN",
    "Answer",
    "ByAssessor",
    "Choice",
    "Fact",
    "Measure",
    "Ordering",
    "Page",
    "PictureMarks",
    "Practical",
    "Question",
    "Slip",
    "Verdict",
    "WorkedLine",
    "Written",
    "letters_of",
]

Answer = float | str | tuple[str, ...]
Given = Mapping[str, Answer]
LONGEST_WRITTEN = 4000  # characters

State = Literal["right", "carried", "slip", "wrong", "blank", "unreadable", "waiting"]


@dataclass(frozen=True, kw_only=True)
class Measure:
    """A number with a unit.

    Attributes
    ----------
    dimension, unit : str
        As in ``taperkey.units``; `unit` is what a bare number is taken in.
    low, high : float
        Plausible range in `unit`; outside it the form asks to look again.
    places : int
        Decimals that an answer is shown with.
    metric_unit : str
        Unit on a metric card; left empty, mm for a length and `unit` for all else.
    metric_places : int
        Decimals in that unit.
    """

    dimension: str
    unit: str
    low: float
    high: float
    places: int = 4
    metric_unit: str = ""
    metric_places: int = 3

    @cached_property
    def half_place(self) -> float:
        """Half the last place asked for, in the dimension's internal unit."""
        return to_internal(0.5 * 10.0**-self.places, dimension=self.dimension, unit=self.unit)

    @functools.cache  # noqa: B019 - a question's kind lives as long as the course
    def in_metric(self) -> Measure:
        """Return the same measure as a metric card asks for it."""
        unit = self.metric_unit or ("mm" if self.dimension == "length" else self.unit)
        if unit == self.unit:
            return self

        def there(value: float) -> float:
            own = to_internal(value, dimension=self.dimension, unit=self.unit)
            return float(f"{from_internal(own, dimension=self.dimension, unit=unit):.4g}")

        return replace(
            self,
            unit=unit,
            low=there(self.low),
            high=there(self.high),
            places=self.metric_places,
            metric_unit="",
        )


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One of a few answers; starts with none chosen."""

    options: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class PictureMarks:
    """A set of places on a picture, each with a letter."""

    options: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Ordering:
    """Steps to be put in order, each with a letter.

    Attributes
    ----------
    steps : tuple of str
        In the question's own row: A, B, C …; answers and slips are in these letters.
    shown : tuple of int
        Which step stands at each place of this card; empty for the question's own row.
    """

    steps: tuple[str, ...]
    shown: tuple[int, ...] = ()

    @property
    def row(self) -> tuple[int, ...]:
        """Which step stands at each place that is shown."""
        return self.shown or tuple(range(len(self.steps)))

    def mixed(self, seed: str) -> Ordering:
        """Return the same steps in a row of their own."""
        draws = Draws(seed)
        row = list(range(len(self.steps)))
        for place in range(len(row) - 1, 0, -1):
            other = draws.whole(low=0, high=place)
            row[place], row[other] = row[other], row[place]
        return replace(self, shown=tuple(row))

    def own(self, letters: Sequence[str]) -> tuple[str, ...]:
        """Turn the letters shown into the question's own."""
        names = letters_of(len(self.steps))
        return tuple(names[self.row[names.index(letter)]] for letter in letters)

    def as_shown(self, letters: Sequence[str]) -> tuple[str, ...]:
        """Turn the question's own letters into those shown."""
        names = letters_of(len(self.steps))
        return tuple(names[self.row.index(names.index(letter))] for letter in letters)


@dataclass(frozen=True, kw_only=True)
class ByAssessor:
    """What a person marks, by a guide.

    Attributes
    ----------
    guide : tuple of str
        What a mark is given for, one point a mark.
    """

    guide: tuple[str, ...]

    @property
    def points(self) -> tuple[str, ...]:
        """The guide as it is read: "1 mark: …"."""
        return tuple(f"1 mark: {point}" for point in self.guide)


@dataclass(frozen=True, kw_only=True)
class Written(ByAssessor):
    """An answer in the apprentice's own words, marked by the assessor.

    Attributes
    ----------
    full, half, nothing : str
        Answers that earn all marks, half of them (rounded up) and none.
    unrewarded : tuple of str
        What earns nothing though it sounds well.
    """

    full: str = ""
    half: str = ""
    nothing: str = ""
    unrewarded: tuple[str, ...] = ()

    @property
    def samples(self) -> tuple[tuple[int, str], ...]:
        """Sample answers with what each earns, the fullest first; none where none are written."""
        marks = len(self.guide)
        row = ((marks, self.full), ((marks + 1) // 2, self.half), (0, self.nothing))
        return tuple((earned, text) for earned, text in row if text)


@dataclass(frozen=True, kw_only=True)
class Practical(ByAssessor):
    """Work at the bench, signed off by the assessor.

    Attributes
    ----------
    caution : str
        What is looked to before hands or tools move.
    """

    caution: str


Kind = Measure | Choice | PictureMarks | Ordering | Written | Practical


@dataclass(frozen=True, kw_only=True)
class Slip:
    """A known wrong way, and the sentence that helps without giving the answer.

    Attributes
    ----------
    name : str
        In words, such as "× 12 left out".
    value : callable
        What comes out when the slip is made, or None where it cannot happen on this card.
    sentence : str
        What went wrong and what to look at; never the right value. From ``words.toml``.
    share : float
        Share of the marks, 0 to below 1; from the same place.
    of_writing : bool
        Of the point or the unit: named only where no slip of the question's own fits.
    """

    name: str
    value: Callable[[Any, Given], Answer | None]
    sentence: str
    share: float = 0.0
    of_writing: bool = False


@dataclass(frozen=True)
class Fact:
    """One line of what is known: what it is, and its value with unit."""

    what: str
    value: str


@dataclass(frozen=True, kw_only=True)
class WorkedLine:
    """One step, worked: why, the formula in the trade's words, with numbers, the result."""

    why: str
    formula: str = ""
    numbers: str = ""
    result: str = ""


def letters_of(count: int) -> tuple[str, ...]:
    """Return the first so many letters, A first."""
    return tuple(chr(ord("A") + place) for place in range(count))


def _no_facts(card: JobCard) -> Sequence[Fact]:
    return ()


def _no_doubt(card: JobCard, given: Given) -> str:
    return ""


def _no_work(card: JobCard, given: Given) -> Sequence[WorkedLine]:
    return ()


def _no_answer(card: JobCard, given: Given) -> Answer:
    raise LookupError("this question has no value to compare with; an assessor marks it")


def _no_tolerance(card: JobCard, given: Given) -> float:
    return 0.0


@dataclass(frozen=True, kw_only=True)
class Question:
    """One graded entry.

    Attributes
    ----------
    key : str
        In words, unique over the course, such as "02-per-foot".
    skill : str
        The skill it counts toward in the report.
    label : str
        A few words for the form's label and the report.
    ask : str
        The question.
    marks : float
        Full marks.
    kind : Kind
        What kind of answer it takes.
    expected : callable
        Right answer from the card and the earlier entries it needs.
    tolerance : callable
        How far off still agrees with the readings, in the course's own unit.
    slips : sequence of Slip
        Known wrong ways.
    needs : tuple of str
        Keys of earlier questions whose entries are carried forward.
    critical : str
        Why a wrong answer here is "not yet competent" whatever the total; empty if it is not.
    hint : str
        Where to look when the answer is wrong and no slip fits.
    facts : callable
        The lines of the card that this question uses.
    worked : callable
        The worked solution, step by step.
    picture : callable or None
        A picture to answer from, as HTML with a text alternative that leaves the
        answer to the person who looks.
    metric : Question or None
        The question as a metric card asks it, where more than the unit differs.
    """

    key: str
    skill: str
    label: str
    ask: str
    marks: float
    kind: Kind
    expected: Callable[[Any, Given], Answer] = _no_answer
    tolerance: Callable[[Any, Given], float] = _no_tolerance
    slips: tuple[Slip, ...] = ()
    needs: tuple[str, ...] = ()
    critical: str = ""
    hint: str = ""
    facts: Callable[[Any], Sequence[Fact]] = _no_facts
    worked: Callable[[Any, Given], Sequence[WorkedLine]] = _no_work
    picture: Callable[[Any], str] | None = None
    metric: Question | None = None

    def tolerated(self, card: JobCard, given: Given) -> float:
        """Return how far off agrees: what the readings allow, or half the last place asked for."""
        tolerance = self.tolerance(card, given)
        if isinstance(self.kind, Measure):
            return max(tolerance, self.kind.half_place)
        return tolerance

    @property
    def by_assessor(self) -> bool:
        """Whether a person marks it."""
        return isinstance(self.kind, ByAssessor)

    def on(self, card: JobCard) -> Question:
        """Return the question as this card asks it: its units, its own row of steps."""
        if isinstance(self.kind, Ordering):
            if self.kind.shown:
                return self
            seed = f"{card.class_code}/{card.exercise}/{card.number}/{self.key}"
            seed += f"/{card.attempt // RESIT}" if card.attempt >= RESIT else ""
            return replace(self, kind=self.kind.mixed(seed))
        if not card.metric:
            return self
        return self._on_metric

    @cached_property
    def _on_metric(self) -> Question:
        """The question as a metric card asks it."""
        if self.metric is not None:
            return self.metric
        if isinstance(self.kind, Measure):
            return replace(self, kind=self.kind.in_metric())
        return self


@dataclass(frozen=True, kw_only=True)
class Page:
    """An exercise.

    Attributes
    ----------
    name, title : str
        Such as "02-taper" and "Find the taper".
    questions : tuple of Question
        In order.
    practised : tuple of Question
        Those that are practiced in the lesson only: of no marks, never handed in.
    example : int
        Number of the ordinary card that the lesson is worked on.
    facts : callable
        The lines of the printed job card.
    unclear : callable
        Why a card, with its right answers, leaves room for doubt; empty where it does not.
    units : tuple of Unit
        The pieces of its lesson.
    """

    name: str
    title: str
    questions: tuple[Question, ...]
    practised: tuple[Question, ...] = ()
    example: int = 1
    facts: Callable[[Any], Sequence[Fact]] = _no_facts
    unclear: Callable[[Any, Given], str] = _no_doubt
    units: tuple[Unit, ...] = ()

    def question(self, key: str) -> Question:
        """Return the question with this key."""
        return self._by_key[key]

    @cached_property
    def _by_key(self) -> Mapping[str, Question]:
        return {one.key: one for one in (*self.questions, *self.practised)}


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """How one entry was judged.

    Attributes
    ----------
    key : str
        The question.
    state : str
        right, carried (right on the earlier entry), slip, wrong, blank, unreadable,
        or waiting (for the assessor).
    mark, out_of : float
        Marks given and possible.
    reason : str
        One or two sentences; never the right value.
    slip : str
        The slip's name, or empty.
    entered : str
        The raw text.
    critical : bool
        True where a safety-critical entry is not right.
    """

    key: str
    state: State
    mark: float
    out_of: float
    reason: str
    slip: str = ""
    entered: str = ""
    critical: bool = field(default=False)
