"""Questions as data, known slips, and the judging of one entry.

A question is a few words, what kind of answer it takes, and pure functions of
the job card: one for the right value, one for each known slip. Nothing here
draws, saves or shows anything, so a form, a marker and a test all use the same
judgement.

Error carried forward: a question that *needs* earlier entries is judged on the
apprentice's own earlier entries first, then on the right ones.
"""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from taperkey.bench.draws import Draws
from taperkey.jobcard import JobCard
from taperkey.units import EntryError, from_internal, parse_quantity, to_internal

__all__ = [
    "Answer",
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
    "given_for",
    "judge",
    "judge_page",
    "read_answer",
    "right_answers",
    "show_answer",
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
        names = _letters(len(self.steps))
        return tuple(names[self.row[names.index(letter)]] for letter in letters)

    def as_shown(self, letters: Sequence[str]) -> tuple[str, ...]:
        """Turn the question's own letters into those shown."""
        names = _letters(len(self.steps))
        return tuple(names[self.row.index(names.index(letter))] for letter in letters)


@dataclass(frozen=True, kw_only=True)
class Written:
    """An answer in the apprentice's own words, marked by the assessor."""

    guide: str


@dataclass(frozen=True, kw_only=True)
class Practical:
    """Work at the bench, signed off by the assessor."""

    guide: str


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
        What went wrong and what to look at; never the right value.
    share : float
        Share of the marks, 0 to below 1.
    """

    name: str
    value: Callable[[JobCard, Given], Answer | None]
    sentence: str
    share: float = 0.0


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
        The skill it counts towards in the report.
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
    expected: Callable[[JobCard, Given], Answer] = _no_answer
    tolerance: Callable[[JobCard, Given], float] = _no_tolerance
    slips: tuple[Slip, ...] = ()
    needs: tuple[str, ...] = ()
    critical: str = ""
    hint: str = ""
    facts: Callable[[JobCard], Sequence[Fact]] = _no_facts
    worked: Callable[[JobCard, Given], Sequence[WorkedLine]] = _no_work
    picture: Callable[[JobCard], str] | None = None
    metric: Question | None = None

    def tolerated(self, card: JobCard, given: Given) -> float:
        """Return how far off agrees: what the readings allow, or half the last place asked for."""
        tolerance = self.tolerance(card, given)
        if isinstance(self.kind, Measure):
            half_place = 0.5 * 10.0**-self.kind.places
            return max(
                tolerance,
                to_internal(half_place, dimension=self.kind.dimension, unit=self.kind.unit),
            )
        return tolerance

    @property
    def by_assessor(self) -> bool:
        """Whether a person marks it."""
        return isinstance(self.kind, (Written, Practical))

    def on(self, card: JobCard) -> Question:
        """Return the question as this card asks it: its units, its own row of steps."""
        if isinstance(self.kind, Ordering):
            if self.kind.shown:
                return self
            seed = f"{card.class_code}/{card.exercise}/{card.number}/{self.key}"
            return replace(self, kind=self.kind.mixed(seed))
        if not card.metric:
            return self
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
    facts : callable
        The lines of the printed job card.
    unclear : callable
        Why a card, with its right answers, leaves room for doubt; empty where it does not.
    """

    name: str
    title: str
    questions: tuple[Question, ...]
    facts: Callable[[JobCard], Sequence[Fact]] = _no_facts
    unclear: Callable[[JobCard, Given], str] = _no_doubt

    def question(self, key: str) -> Question:
        """Return the question with this key."""
        return next(one for one in self.questions if one.key == key)


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


def read_answer(question: Question, text: str) -> Answer:
    """Read a typed or chosen entry.

    Raises
    ------
    EntryError
        One sentence, where it cannot be read.
    """
    kind = question.kind
    if isinstance(kind, Measure):
        return parse_quantity(
            text, dimension=kind.dimension, default_unit=kind.unit, label=question.label
        ).value
    if isinstance(kind, Choice):
        if text not in kind.options:
            raise EntryError(
                f"{question.label} is not one of the answers offered; choose one of them again."
            )
        return text
    if isinstance(kind, (PictureMarks, Ordering)):
        offered = kind.options if isinstance(kind, PictureMarks) else _letters(len(kind.steps))
        letters = tuple(
            letter
            for part in text.replace(",", " ").upper().split()
            for letter in (part if set(part) <= set(offered) else (part,))  # "BFD" is B F D
        )
        bad = [part for part in letters if part not in offered]
        if bad:
            raise EntryError(
                f"{question.label} has “{_plain(bad[0][:12])}”; the letters must be from "
                f"{offered[0]} to {offered[-1]}. Write them with spaces between."
            )
        if isinstance(kind, Ordering):
            if sorted(letters) != sorted(offered):
                raise EntryError(
                    f"{question.label} has {len(letters)} letters; each of the "
                    f"{len(offered)} steps must be there once."
                )
            return kind.own(letters)
        return tuple(sorted(set(letters)))
    return text


def _plain(text: str) -> str:
    """Return text without signs that cannot be shown."""
    return "".join(sign if sign.isprintable() else "?" for sign in text)


def _letters(count: int) -> tuple[str, ...]:
    return tuple(chr(ord("A") + place) for place in range(count))


def show_answer(question: Question, answer: Answer) -> str:
    """Write an answer with its unit, for a worked solution or a feedback page."""
    if isinstance(answer, tuple):
        kind = question.kind
        return " ".join(kind.as_shown(answer) if isinstance(kind, Ordering) else answer)
    if isinstance(answer, str) or not isinstance(question.kind, Measure):
        return str(answer)
    kind = question.kind
    number = from_internal(answer, dimension=kind.dimension, unit=kind.unit)
    return f"{number:.{kind.places}f} {kind.unit}".strip()


def look_again(question: Question, text: str) -> str:
    """Return one sentence about the form of an entry, or nothing; never about its rightness."""
    try:
        answer = read_answer(question, text)
    except EntryError as error:
        return str(error)
    kind = question.kind
    if isinstance(kind, Measure) and isinstance(answer, float):
        number = from_internal(answer, dimension=kind.dimension, unit=kind.unit)
        if not kind.low <= number <= kind.high:
            return (
                f"{question.label} reads as {number:.6g} {kind.unit}".rstrip()
                + f"; that is outside {kind.low:g} to {kind.high:g} {kind.unit}".rstrip()
                + ". It is saved; look at the decimal point and the unit once more."
            )
    if isinstance(kind, Written) and len(text) > LONGEST_WRITTEN:
        return (
            f"{question.label} has {len(text)} characters; it must be {LONGEST_WRITTEN} or "
            "fewer. Shorten it before you hand in."
        )
    return ""


def right_answers(page: Page, card: JobCard) -> dict[str, Answer]:
    """Return the right answer to every question of the page that has one, in order."""
    answers: dict[str, Answer] = {}
    for question in page.questions:
        if not question.by_assessor:
            answers[question.key] = question.on(card).expected(card, answers)
    return answers


def given_for(
    page: Page, card: JobCard, entries: Mapping[str, str]
) -> tuple[dict[str, Answer], dict[str, Answer]]:
    """Return earlier answers as the apprentice has them, and the right ones.

    Where an entry is blank or cannot be read, the right one stands in for it.
    """
    right = right_answers(page, card)
    own = dict(right)
    for question in page.questions:
        text = entries.get(question.key, "")
        if question.key in own and text.strip():
            try:
                own[question.key] = read_answer(question.on(card), text)
            except EntryError:
                continue
    return own, right


def _agrees(answer: Answer, wanted: Answer, tolerance: float) -> bool:
    if isinstance(answer, float) and isinstance(wanted, (int, float)):
        return abs(answer - wanted) <= tolerance * (1 + 1e-9)
    return answer == wanted


_DECIMALS = re.compile(r"\d*[.,](\d+)")


def _rounding(question: Question, text: str) -> float:
    """Return half the last decimal place typed, in the course's own unit; 0 without decimals."""
    kind = question.kind
    found = _DECIMALS.search(text)
    if not isinstance(kind, Measure) or found is None:
        return 0.0
    unit = parse_quantity(
        text, dimension=kind.dimension, default_unit=kind.unit, label=question.label
    ).unit
    return to_internal(0.5 * 10.0 ** -len(found[1]), dimension=kind.dimension, unit=unit)


def _slip_of(
    question: Question,
    card: JobCard,
    answer: Answer,
    givens: Sequence[Given],
    *,
    rounding: float,
) -> Slip | None:
    """Return the known slip whose value lies nearest.

    Near is its share of the tolerance, or the rounding of what was typed, up to
    3 % of the value.
    """
    best: tuple[float, Slip] | None = None
    for given in givens:
        for slip in question.slips:
            try:
                value = slip.value(card, given)
                wanted = question.expected(card, given)
                tolerance = question.tolerated(card, given)
            except (ArithmeticError, ValueError, LookupError):
                continue
            if value is None:
                continue
            if isinstance(answer, float) and isinstance(value, (int, float)):
                scale = abs(value / wanted) if isinstance(wanted, float) and wanted else 1.0
                allowed = tolerance * min(max(scale, 0.02), 1e4)
                allowed = max(allowed, min(rounding, 0.03 * abs(value)))
                distance = abs(answer - value) / allowed if allowed else math.inf
                if distance <= 1 + 1e-9 and (best is None or distance < best[0]):
                    best = (distance, slip)
            elif answer == value and best is None:
                best = (0.0, slip)
    return best[1] if best else None


def judge(
    question: Question,
    card: JobCard,
    text: str,
    *,
    own: Given | None = None,
    right: Given | None = None,
) -> Verdict:
    """Judge one entry.

    Parameters
    ----------
    question : Question
        What was asked.
    card : JobCard
        The job card it was asked on.
    text : str
        The entry as typed.
    own, right : mapping, optional
        Earlier answers as the apprentice has them, and the right ones.

    Returns
    -------
    Verdict
        Mark and reason.
    """
    right = right or {}
    own = own or right
    question = question.on(card)

    def verdict(state: State, share: float, reason: str, slip: str = "") -> Verdict:
        passed = state in ("right", "carried")
        critical = bool(question.critical) and not passed
        if critical:
            reason = f"{reason} {question.critical}"
        return Verdict(
            key=question.key,
            state=state,
            mark=question.marks * share,
            out_of=question.marks,
            reason=reason,
            slip=slip,
            entered=text,
            critical=critical,
        )

    if question.by_assessor:
        if isinstance(question.kind, Written) and not text.strip():
            return verdict("blank", 0.0, "Nothing was written.")
        return verdict("waiting", 0.0, "The assessor marks this one.")
    if not text.strip():
        return verdict("blank", 0.0, "Left blank.")
    try:
        answer = read_answer(question, text)
    except EntryError as error:
        return verdict("unreadable", 0.0, str(error))
    wanted = question.expected(card, right)
    tolerance = question.tolerated(card, right)
    if _agrees(answer, wanted, tolerance):
        return verdict("right", 1.0, "Right.")
    givens: list[Given] = [right]
    if any(own.get(key) != right.get(key) for key in question.needs):
        givens.insert(0, own)
        try:
            carried = question.expected(card, own)
            if _agrees(answer, carried, question.tolerated(card, own)):
                return verdict(
                    "carried", 1.0, "Right, worked on from your earlier entry, which was off."
                )
        except (ArithmeticError, ValueError, LookupError):
            givens = [right]
    slip = _slip_of(question, card, answer, givens, rounding=_rounding(question, text))
    if slip:
        return verdict("slip", slip.share, slip.sentence, slip.name)
    hint = question.hint or "Go through the steps of the lesson again with the card beside you."
    return verdict("wrong", 0.0, f"Not what the readings on the card support. {hint}")


def judge_page(page: Page, card: JobCard, entries: Mapping[str, str]) -> tuple[Verdict, ...]:
    """Judge every question of a page, errors carried forward.

    Parameters
    ----------
    page : Page
        The exercise.
    card : JobCard
        The apprentice's job card for it.
    entries : mapping of str to str
        Raw text by question key; what is missing counts as blank.

    Returns
    -------
    tuple of Verdict
        One a question, in the page's order.
    """
    own, right = given_for(page, card, entries)
    return tuple(
        judge(question, card, entries.get(question.key, ""), own=own, right=right)
        for question in page.questions
    )
