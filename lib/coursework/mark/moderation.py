"""Moderation: an assessor puts another mark in the place of one, and says why.

The acts of one apprentice and exercise are a file in ``moderation/`` that only
grows, and every record holds them too, so either heals the other. An act is
written first; then the hand-in is marked again, which enters it into the
gradebook and the record. A run that was cut off between is completed by the
next one. Marking again, a newer hand-in or a changed question never drops an
act: where the entry or the question is another one since, the mark stands and
is flagged to be looked at.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path

from coursework.course import PAGES
from coursework.mark.records import (
    ManualMark,
    MarkRecord,
    Moderation,
    RecordError,
    final_marks,
    totals,
)
from coursework.mark.second import SecondMark
from coursework.mark.versions import one_question_version
from taperkey.files import write_whole

__all__ = [
    "ModerationError",
    "keep_moderations",
    "moderation_path",
    "new_moderation",
    "read_moderations",
]

LONGEST_REASON = 500  # characters
LONGEST_NAME = 80  # characters


class ModerationError(RuntimeError):
    """A moderation that cannot be made; the text is one sentence and what to do."""


def moderation_path(*, folder: Path, number: int, exercise: str) -> Path:
    """Return where the moderations of one apprentice and exercise lie."""
    return folder / "moderation" / f"{number:03d}" / f"{exercise}.json"


def read_moderations(
    *, folder: Path, number: int, exercise: str, record: MarkRecord | None = None
) -> tuple[Moderation, ...]:
    """Return every act on one apprentice's exercise, oldest first.

    Parameters
    ----------
    folder : Path
        The class folder.
    number : int
        The apprentice's number.
    exercise : str
        Such as "01-measure".
    record : MarkRecord, optional
        The record, whose copy counts where the file is gone, damaged or shorter.

    Raises
    ------
    RecordError
        One sentence, where the file is damaged and there is no copy.
    """
    kept = record.moderated if record else ()
    path = moderation_path(folder=folder, number=number, exercise=exercise)
    try:
        acts = tuple(Moderation(**one) for one in json.loads(path.read_text("utf-8")))
    except FileNotFoundError:
        return kept
    except (OSError, ValueError, TypeError):
        if record is not None:
            return kept
        raise RecordError(
            f"{path.relative_to(folder).as_posix()}: the moderations cannot be read. Put the file "
            "back from a copy; the marks that they stand for are in the gradebook."
        ) from None
    return acts if len(acts) >= len(kept) else kept


def keep_moderations(
    *, folder: Path, number: int, exercise: str, acts: tuple[Moderation, ...]
) -> None:
    """Write the acts whole; nothing where there are none."""
    if acts:
        path = moderation_path(folder=folder, number=number, exercise=exercise)
        text = json.dumps([asdict(act) for act in acts], ensure_ascii=False, indent=1)
        write_whole(path, f"{text}\n".encode())


def new_moderation(
    *,
    record: MarkRecord,
    manual: Mapping[str, ManualMark],
    entry: str,
    mark: float | None,
    reason: str,
    by: str,
    at: str,
    confirms: bool = False,
    second: SecondMark | None = None,
) -> Moderation:
    """Return a new act on a marked hand-in.

    Parameters
    ----------
    record : MarkRecord
        The record as it stands.
    manual : mapping of str to ManualMark
        What stands in the marking screen.
    entry : str
        Key of the question.
    mark : float or None
        The mark, 0 to the question's own; None withdraws the moderation in force.
    reason : str
        Why: one line of 1 to 500 characters.
    by : str
        Who: one line of 1 to 80 characters.
    at : str
        When, UTC.
    confirms : bool
        Whether the mark may be the one that stands: it settles a difference of two assessors.
    second : SecondMark, optional
        The second mark that there was then.

    Raises
    ------
    ModerationError
        One sentence, where it cannot be made.
    """
    questions = {one.key: one for one in PAGES[record.exercise].questions}
    verdict = record.verdict(entry)
    if verdict is None or entry not in questions:
        raise ModerationError(
            f"entry is “{entry[:40]}”; it must be one of: {', '.join(questions)}. "
            "Look at the feedback page or the report."
        )
    standing = record.moderations.get(entry)
    if mark is None and standing is None:
        raise ModerationError(
            f"{entry} of apprentice {record.number} is not moderated, so there is nothing to "
            "withdraw."
        )
    if mark is not None and not (math.isfinite(mark) and 0 <= mark <= verdict.out_of):
        raise ModerationError(
            f"mark is {mark:g}; it must be from 0 to {verdict.out_of:g}, the marks of {entry}. "
            "Give a mark in that range."
        )
    given = manual.get(entry)
    score = given.score if given else None
    screen = score
    if standing is not None and score == standing.mark:
        screen = standing.screen
    waiting = entry in totals(record, manual).waiting
    waits = waiting and score is None and standing is None
    before = None if waits else final_marks(record, manual)[entry]
    question = one_question_version(questions[entry])
    settled = (
        not waiting
        if standing is None
        else (
            (standing.hand_in, standing.question) == (record.hand_in, question)
            and score in (None, standing.mark)
        )
    )
    if mark is not None and mark == before and settled and not confirms:
        raise ModerationError(
            f"{entry} of apprentice {record.number} has {mark:g} already; the new mark must be "
            "another. Look at the feedback page or the report."
        )
    return Moderation(
        entry=entry,
        mark=None if mark is None else float(mark),
        reason=_one_line("reason", reason, LONGEST_REASON, "Say why in a few words."),
        by=_one_line("name of the assessor", by, LONGEST_NAME, "Say who decides."),
        at=at,
        instead_of=before,
        screen=screen,
        hand_in=record.hand_in,
        question=question,
        second=second.what if second else "",
    )


def _one_line(what: str, text: str, longest: int, step: str) -> str:
    plain = " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
    if not 1 <= len(plain) <= longest:
        raise ModerationError(
            f"{what} has {len(plain)} characters; it must have 1 to {longest}. {step}"
        )
    return plain
