"""The question bank: every exercise, and the job card that goes with it."""

from __future__ import annotations

import functools

from taperkey.jobcard import JobCard, draw_card
from taperkey.questions import fit, key, measure, pull, start, taper, whole
from taperkey.questions.common import shaft_text
from taperkey.questions.judging import right_answers
from taperkey.questions.question import Answer, Fact, Page

__all__ = ["PAGES", "card_facts", "issue_card", "page_of", "unclear"]

PAGES: dict[str, Page] = {
    page.name: page
    for page in (
        *(start.PAGE, measure.PAGE, taper.PAGE, key.PAGE, fit.PAGE, pull.PAGE, whole.PAGE),
    )
}
_MOST_ATTEMPTS = 200


def page_of(key: str) -> Page:
    """Return the page that a question stands on."""
    for page in PAGES.values():
        if any(question.key == key for question in page.questions):
            return page
    raise LookupError(f"question {key!r} is not in the bank")


def card_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the printed job card; only what a mechanic would have in hand."""
    drive = card.drive
    head = (
        Fact("Job", f"{drive.machine}, {drive.hub}"),
        Fact("Where", f"Quillmoor Quarry, {drive.place}"),
        Fact("Shaft, nominal", shaft_text(card)),
    )
    return (*head, *PAGES[card.exercise].facts(card))


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
            value = slip.value(card, right)
            if value is None:
                continue
            for name, other in seen:
                near = tolerance if name == "right" else 0.1 * tolerance
                if not _apart(value, other, near):
                    return f"{question.key}: “{slip.name}” and “{name}” give the same value"
            seen.append((slip.name, value))
    return page.unclear(card, right)


@functools.lru_cache(maxsize=4096)
def issue_card(*, exercise: str, class_code: str, number: int) -> JobCard:
    """Return the apprentice's job card: the first drawing that is clear.

    Parameters
    ----------
    exercise : str
        A key of ``PAGES``.
    class_code : str
        1 to 24 letters, digits and hyphens.
    number : int
        The apprentice's number, 1 to 999999.

    Returns
    -------
    JobCard
        The same for the same arguments.

    Raises
    ------
    ValueError
        One sentence, where an argument is outside its range.
    """
    for attempt in range(_MOST_ATTEMPTS):
        card = draw_card(class_code=class_code, exercise=exercise, number=number, attempt=attempt)
        if not unclear(PAGES[exercise], card):
            return card
    raise ValueError(
        f"job card {class_code}/{exercise}/{number} could not be made clear in "
        f"{_MOST_ATTEMPTS} drawings. Tell whoever looks after the course."
    )
