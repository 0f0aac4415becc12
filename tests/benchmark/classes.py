"""Invented classes for measuring: entries with some slips and blanks, kept as hand-ins."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from coursework.course import PAGES, exercises_folder, issue_card
from coursework.judging import right_answers, show_answer
from coursework.page.handin import read_hand_in, write_hand_in
from coursework.page.pagefolder import page_version
from coursework.question import Page, Written
from coursework.room.classfolder import ClassFolder, new_class
from coursework.room.roster import Apprentice

__all__ = ["CODE", "MADE", "FilledClass", "entries_of", "fill_class"]

CODE = "QQ-26"
MADE = "2026-11-25T12:00:00Z"
WORDS = "The hub hangs on the top of the shaft, so all of the clearance is on the underside."


@dataclass(frozen=True)
class FilledClass:
    """A class folder whose hand-ins are kept but not marked."""

    folder: ClassFolder
    entries: dict[tuple[int, str], dict[str, str]]


def entries_of(page: Page, number: int) -> dict[str, str]:
    """Return what an apprentice types: right, but a slip, a blank or nonsense here and there."""
    card = issue_card(exercise=page.name, class_code=CODE, number=number)
    right = right_answers(page, card)
    entries = {}
    for place, question in enumerate(page.questions):
        turn = (7 * number + 3 * place) % 11
        if isinstance(question.kind, Written):
            entries[question.key] = WORDS[: 20 + 6 * turn]
            continue
        if question.by_assessor or turn == 0:
            continue
        answer = right[question.key]
        if turn in (1, 2):
            slips = (slip.value(card, right) for slip in question.slips)
            answer = next((one for one in slips if one is not None), answer)
        entries[question.key] = "about a thumb" if turn == 3 else show_answer(question, answer)
    return entries


def fill_class(place: Path, *, apprentices: int, most: int | None = None) -> FilledClass:
    """Set up a class in a new folder and keep a hand-in of every page, `most` in all."""
    roster = [Apprentice(number, f"Ann Other{number}") for number in range(1, apprentices + 1)]
    folder = new_class(place, code=CODE, title="Bench class", roster=roster)
    versions = {name: page_version(exercises_folder() / name, name) for name in PAGES}
    filled: dict[tuple[int, str], dict[str, str]] = {}
    for one in roster:
        for page in PAGES.values():
            if most is not None and len(filled) >= most:
                break
            entries = entries_of(page, one.number)
            sent = write_hand_in(
                folder=place / "sent",
                class_code=CODE,
                number=one.number,
                page=page.name,
                page_version=versions[page.name],
                entries=entries,
                made=MADE,
            )
            content = sent.read_bytes()
            name = f"{MADE.replace(':', '')}-{read_hand_in(content).sha256[:8]}.json"
            kept = folder.hand_ins / f"{one.number:03d}" / page.name / name
            kept.parent.mkdir(parents=True, exist_ok=True)
            sent.rename(kept)
            filled[one.number, page.name] = entries
    return FilledClass(folder, filled)
