"""How far somebody has come, by skill: what practice shows and what the exercises gave.

Read from the entries files of the course folder. Nothing here shows anything.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coursework.course import PAGES
from coursework.page.spacing import Standing
from coursework.question import Page, Question

__all__ = [
    "OWN_MARKING",
    "PagePart",
    "SkillRow",
    "page_parts",
    "practice_key",
    "practice_of",
    "practiced_of",
    "standing_of",
]

#: Where the entries file of an exercise keeps its own marking.
OWN_MARKING = "own marking"


@dataclass(frozen=True, kw_only=True)
class SkillRow:
    """One skill of one exercise.

    Attributes
    ----------
    skill : str
        In words.
    questions, tried, sits : int
        Its practice questions, how many of them were tried, and how many were right last time.
    mark, out_of : float
        From the own marking of the exercise; out of 0 where there is none.
    """

    skill: str
    questions: int
    tried: int
    sits: int
    mark: float = 0.0
    out_of: float = 0.0

    @property
    def practice_words(self) -> str:
        """What practice shows, in words."""
        if not self.questions:
            return "in your own words, or at the bench"
        if not self.tried:
            return "not practiced yet"
        of = f"{self.sits} of {self.questions} right last time"
        left = self.questions - self.tried
        return f"{of}, {left} not tried yet" if left else of


@dataclass(frozen=True, kw_only=True)
class PagePart:
    """The skills of one exercise, and what became of it."""

    name: str
    title: str
    skills: tuple[SkillRow, ...]
    made: str  # when it was last marked by oneself, or empty
    critical: tuple[str, ...]  # labels of safety-critical entries that were not right

    @property
    def begun(self) -> bool:
        """Whether anything of it was practiced or marked."""
        return bool(self.made) or any(row.tried for row in self.skills)


def practice_of(page: Page) -> tuple[Question, ...]:
    """Return what is practiced in a lesson: what its exercise asks, and what it alone asks."""
    return (*(one for one in page.questions if not one.by_assessor), *page.practised)


def practice_key(question_key: str) -> str:
    """Return where the entries file keeps the practice of a question."""
    return f"practice:{question_key}"


def standing_of(question: Question, note: Any) -> Standing:
    """Return how a practice question stands, from what the entries file kept."""
    return Standing.from_note(key=question.key, skill=question.skill, note=note)


def page_parts(root: Path) -> tuple[PagePart, ...]:
    """Return every exercise of the course with its skills, as far as the files tell.

    Parameters
    ----------
    root : Path
        The course folder.
    """
    practice = _notes(root / "lessons" / "answers.json")
    parts = []
    for page in PAGES.values():
        kept = _marking(_notes(root / "exercises" / page.name / "answers.json"))
        marks = kept.get("marks", {})
        wrong = set(kept.get("critical", []))
        by_skill: dict[str, list[Question]] = {}
        for question in (*page.questions, *page.practised):
            by_skill.setdefault(question.skill, []).append(question)
        rows = []
        for skill, questions in by_skill.items():
            own = [one for one in questions if not one.by_assessor]
            standings = [standing_of(one, practice.get(practice_key(one.key))) for one in own]
            pairs = list(_pairs(marks, own))
            rows.append(
                SkillRow(
                    skill=skill,
                    questions=len(own),
                    tried=sum(one.box > 0 for one in standings),
                    sits=sum(one.box > 1 for one in standings),
                    mark=sum(mark for mark, _ in pairs),
                    out_of=sum(out_of for _, out_of in pairs),
                )
            )
        parts.append(
            PagePart(
                name=page.name,
                title=page.title,
                skills=tuple(rows),
                made=str(kept.get("made", "")),
                critical=tuple(one.label for one in page.questions if one.key in wrong),
            )
        )
    return tuple(parts)


def practiced_of(root: Path, page_name: str) -> int:
    """Return how many practice questions of one exercise were tried in a course folder."""
    practice = _notes(root / "lessons" / "answers.json")
    own = practice_of(PAGES[page_name])
    return sum(standing_of(one, practice.get(practice_key(one.key))).box > 0 for one in own)


def _notes(path: Path) -> Mapping[str, Any]:
    """Return the notes of an entries file; nothing where it cannot be read.

    It is only looked at here: setting a damaged file aside is left to its own page.
    """
    try:
        content = json.loads(path.read_bytes().decode("utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    notes = content.get("notes") if isinstance(content, dict) else None
    return notes if isinstance(notes, dict) else {}


def _marking(notes: Mapping[str, Any]) -> Mapping[str, Any]:
    note = notes.get(OWN_MARKING)
    if not isinstance(note, dict) or not isinstance(note.get("marks"), dict):
        return {}
    if not isinstance(note.get("critical"), list):
        note["critical"] = []
    return note


def _pairs(marks: Mapping[str, Any], questions: list[Question]) -> Iterator[tuple[float, float]]:
    for question in questions:
        pair = marks.get(question.key)
        if (
            isinstance(pair, list)
            and len(pair) == 2
            and all(isinstance(one, (int, float)) for one in pair)
        ):
            yield float(pair[0]), float(pair[1])
