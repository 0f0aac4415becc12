"""The check before and after: one set of questions in several forms, and what was gained.

A course names the forms in the order of time: before it, after it, later. They are judged as an
exercise is and count for no mark. The normalized gain <g> = (after - before) / (1 - before), from
the means of those who did both, is R. R. Hake's: "Interactive-engagement versus traditional
methods", American Journal of Physics 66 (1998), 64-74. It says which part of what could still be
learned was learned.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coursework.card import JobCard
from coursework.course import PAGES, course
from coursework.judging import judge_page
from coursework.question import Page

__all__ = [
    "DAYS_UNTIL_LATER",
    "TIMES",
    "Gain",
    "check_card",
    "check_forms",
    "gains",
    "handed_page",
    "normalized_gain",
    "right_in",
    "sealed_with",
]

DAYS_UNTIL_LATER = 30  # own choice of this course
TIMES = ("before", "after", "30 days later")

Right = Mapping[str, bool]  # by skill and place of the question, as "skill/place"


def check_forms() -> dict[str, Page]:
    """Return the forms of the check of the course in use, by name, in the order of time."""
    return {page.name: page for page in course().checks}


def handed_page(name: str) -> Page | None:
    """Return the exercise or the form of the check that a hand-in is of; None for neither."""
    return PAGES.get(name) or check_forms().get(name)


def sealed_with(name: str) -> str:
    """Return the exercise whose card seals a hand-in: its own, or that at hand at a check."""
    if name in PAGES or not PAGES:
        return name
    exercises = list(PAGES)
    return exercises[0] if name == next(iter(check_forms()), "") else exercises[-1]


def check_card(*, name: str, class_code: str, number: int) -> JobCard:
    """Return the card of one person and form."""
    return course().draw_check(class_code=class_code, exercise=name, number=number)


def right_in(*, name: str, class_code: str, number: int, entries: Mapping[str, str]) -> Right:
    """Return which questions of a form are right, by skill and place."""
    page = check_forms()[name]
    card = check_card(name=name, class_code=class_code, number=number)
    verdicts = judge_page(page, card, entries)
    return {
        f"{question.skill}/{place}": verdict.state == "right"
        for place, (question, verdict) in enumerate(zip(page.questions, verdicts, strict=True))
    }


def normalized_gain(before: float, after: float) -> float | None:
    """Return the normalized gain of two shares; None where nothing could be gained.

    Examples
    --------
    >>> normalized_gain(0.25, 0.625)
    0.5
    >>> normalized_gain(1.0, 1.0) is None
    True
    """
    return None if before >= 1 else (after - before) / (1 - before)


@dataclass(frozen=True, kw_only=True)
class Gain:
    """How a skill, or all of them, went at each time.

    Attributes
    ----------
    skill : str
        Its name; empty for all together.
    shares : tuple of float or None
        Mean share that was right at each time; None where nobody did that form.
    people : tuple of int
        How many did each form.
    both : int
        How many did the first and the second.
    gain : float or None
        The normalized gain of those; None where there are none, or nothing could be gained.
    """

    skill: str
    shares: tuple[float | None, ...]
    people: tuple[int, ...]
    both: int
    gain: float | None


def gains(done: Sequence[Mapping[str, Right]]) -> list[Gain]:
    """Return the gain by skill, then over all, from what each person did.

    Parameters
    ----------
    done : sequence of mapping
        For each person, what was right by the name of the form.
    """
    names = list(check_forms())
    skills = list(dict.fromkeys(q.skill for page in course().checks for q in page.questions))
    return [_gain(skill, names, done) for skill in (*skills, "")]


def _gain(skill: str, names: Sequence[str], done: Sequence[Mapping[str, Right]]) -> Gain:
    def share(person: Mapping[str, Right], name: str) -> float:
        mine = [
            one
            for place, one in person[name].items()
            if not skill or place.rpartition("/")[0] == skill
        ]
        return sum(mine) / len(mine)

    def mean(people: Sequence[Mapping[str, Right]], name: str) -> float | None:
        return sum(share(one, name) for one in people) / len(people) if people else None

    by_form = [[one for one in done if name in one] for name in names]
    both = [one for one in done if names[0] in one and names[1] in one]
    before, after = mean(both, names[0]), mean(both, names[1])
    gain = None if before is None or after is None else normalized_gain(before, after)
    return Gain(
        skill=skill,
        shares=tuple(mean(people, name) for people, name in zip(by_form, names, strict=True)),
        people=tuple(map(len, by_form)),
        both=len(both),
        gain=gain,
    )
