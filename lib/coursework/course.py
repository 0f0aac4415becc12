"""The course that the engine works for: its exercises, and the job card that goes with each.

A course is a ``Course``; the installed one is found by the entry point "coursework.course" when it
is first asked for, another is put in its place by ``use``.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import EntryPoint, entry_points
from importlib.util import find_spec
from pathlib import Path

from coursework.card import RESIT, JobCard, require_class_code
from coursework.judging import right_answers
from coursework.question import Answer, Fact, Page
from taperkey.checks import require_range

__all__ = [
    "PAGES",
    "Course",
    "card_facts",
    "course",
    "course_folder",
    "draw_card",
    "exercises_folder",
    "issue_card",
    "page_of",
    "unclear",
    "use",
]

_MOST_ATTEMPTS = 200


def _no_check(**whose: object) -> JobCard:
    raise LookupError("this course has no check")


@dataclass(frozen=True, kw_only=True)
class Course:
    """What the engine has to be told about a course.

    Attributes
    ----------
    pages : tuple of Page
        The exercises, in order.
    draw : callable
        Draws a card from class_code, exercise, number and attempt; the same for the same.
    head : callable
        The lines that every printed card of the course begins with.
    modules : tuple of str
        Names of the modules that ask, reckon and draw: a mark depends on them.
    folder : Path
        The course's package; ``pages/`` in it holds its notebooks when it is installed.
    pass_share : float
        Part of the marks of a skill from which an apprentice is competent in it.
    caution : callable
        What words.toml says as a bench task's caution, as its level of hazard and its sentences.
    calls : str
        Name of the module whose functions a page's code calls.
    edition : int
        Raised where questions or cards become others: kept hand-ins would be judged otherwise.
    changed : str
        What this edition changed, as one part of a sentence.
    checks : tuple of Page
        The check before and after, in its forms by time; no marks are given for it.
    draw_check : callable
        Draws the card of a check from class_code, exercise (the form's name) and number.
    """

    pages: tuple[Page, ...]
    draw: Callable[..., JobCard]
    head: Callable[[JobCard], Sequence[Fact]]
    modules: tuple[str, ...]
    folder: Path
    pass_share: float
    caution: Callable[[str], tuple[str, Sequence[str]]] = lambda text: ("caution", [text])
    calls: str = ""
    edition: int = 1
    changed: str = ""
    checks: tuple[Page, ...] = ()
    draw_check: Callable[..., JobCard] = _no_check

    @functools.cached_property
    def by_name(self) -> Mapping[str, Page]:
        """The exercises by name, in order."""
        return {page.name: page for page in self.pages}

    @functools.cached_property
    def by_key(self) -> Mapping[str, Page]:
        """The exercise that each question stands on, by the question's key."""
        return {one.key: page for page in self.pages for one in (*page.questions, *page.practised)}


_in_use: list[Course] = []


def _installed() -> EntryPoint:
    found = next(iter(entry_points(group="coursework.course")), None)
    if found is None:
        raise ValueError("No course is installed. Install one, such as taperkey.")
    return found


def course() -> Course:
    """Return the course in use; the installed one where no other was chosen."""
    if not _in_use:
        _in_use.append(_installed().load())
    return _in_use[-1]


def course_folder() -> Path:
    """Return the folder of the course in use; of the installed one without loading it.

    It is the folder of the module that the entry point names.
    """
    if _in_use:
        return _in_use[-1].folder
    name = _installed().module
    module = find_spec(name)
    if module is None or module.origin is None:
        raise ValueError(f"The course's module {name} is missing. Install the course again.")
    return Path(module.origin).parent


def use(other: Course) -> None:
    """Work for another course from now on."""
    _in_use[:] = [other]
    issue_card.cache_clear()


def exercises_folder() -> Path:
    """Return where the course's released pages lie: in the package, or in a checkout."""
    package = course().folder
    shipped = package / "pages" / "exercises"
    return shipped if shipped.is_dir() else package.parents[1] / "exercises"


class _Pages(Mapping[str, Page]):
    """The exercises of the course in use, by name."""

    def __getitem__(self, name: str) -> Page:
        return course().by_name[name]

    def __iter__(self) -> Iterator[str]:
        return iter(course().by_name)

    def __len__(self) -> int:
        return len(course().pages)


PAGES: Mapping[str, Page] = _Pages()


def page_of(key: str) -> Page:
    """Return the page that a question stands on."""
    if key not in course().by_key:
        raise LookupError(f"question {key!r} is not in the bank")
    return course().by_key[key]


def card_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the printed job card; only what a mechanic would have in hand."""
    return (*course().head(card), *PAGES[card.exercise].facts(card))


def draw_card(*, class_code: str, exercise: str, number: int, attempt: int = 0) -> JobCard:
    """Draw the job card of one apprentice for one exercise.

    Parameters
    ----------
    class_code : str
        1 to 24 letters, digits and hyphens.
    exercise : str
        A key of ``PAGES``.
    number : int
        The apprentice's number, 1 to 999999.
    attempt : int
        Draw the numbers again, 0 for the first time.

    Returns
    -------
    JobCard
        The same for the same arguments, on any machine.

    Raises
    ------
    ValueError
        One sentence, where an argument is outside its range.

    Examples
    --------
    >>> one = draw_card(class_code="QQ-26", exercise="02-taper", number=7)
    >>> one == draw_card(class_code="QQ-26", exercise="02-taper", number=7)
    True
    >>> one == draw_card(class_code="QQ-26", exercise="02-taper", number=8)
    False
    """
    require_class_code(class_code)
    require_range("apprentice number", number, 1, 999_999, "", "Look at your name tag.")
    if exercise not in PAGES:
        raise ValueError(f"exercise is “{exercise[:30]}”; it must be one of: {', '.join(PAGES)}.")
    return course().draw(class_code=class_code, exercise=exercise, number=number, attempt=attempt)


def _apart(first: Answer, other: Answer, tolerance: float) -> bool:
    if isinstance(first, float) and isinstance(other, (int, float)):
        return abs(first - other) >= 2 * tolerance * (1 - 1e-6)  # a whole line apart is apart
    return first != other


def unclear(page: Page, card: JobCard) -> str:
    """Return why the card is not clear, or nothing.

    A card is clear when every question has one right answer within its
    tolerance, when no known slip gives the right value, and when the readings
    decide every choice without a near miss.
    """
    right = right_answers(page, card)
    for asked in page.questions:
        question = asked.on(card)
        if question.by_assessor:
            continue
        tolerance = question.tolerated(card, right)
        wanted = right[question.key]
        seen: list[tuple[str, Answer]] = [("right", wanted)]
        for slip in question.slips:
            value = None if slip.of_writing else slip.value(card, right)
            if value is None:
                continue
            for name, other in seen:
                near = tolerance if name == "right" else 0.1 * tolerance
                if not _apart(value, other, near):
                    return f"{question.key}: “{slip.name}” and “{name}” give the same value"
            seen.append((slip.name, value))
    return page.unclear(card, right)


@functools.lru_cache(maxsize=4096)
def issue_card(*, exercise: str, class_code: str, number: int, attempt: int = 1) -> JobCard:
    """Return the apprentice's job card: the first drawing that is clear.

    Parameters
    ----------
    exercise : str
        A key of ``PAGES``.
    class_code : str
        1 to 24 letters, digits and hyphens.
    number, attempt : int
        The apprentice's number, 1 to 999999; 1 for the first card, 2 for that of a resit.

    Returns
    -------
    JobCard
        The same for the same arguments.

    Raises
    ------
    ValueError
        One sentence, where an argument is outside its range.
    """
    for drawing in range(RESIT * (attempt - 1), RESIT * attempt)[:_MOST_ATTEMPTS]:
        card = draw_card(class_code=class_code, exercise=exercise, number=number, attempt=drawing)
        if not unclear(PAGES[exercise], card):
            return card
    raise ValueError(
        f"job card {class_code}/{exercise}/{number} could not be made clear in "
        f"{_MOST_ATTEMPTS} drawings. Tell whoever looks after the course."
    )
