"""Mark records: what was judged, on which version of everything, and what it came to.

A record is one JSON file per apprentice and exercise. It is written last, so a
record that is there stands for a hand-in that is marked to the end. What the
assessor gave in the marking screen lives in the gradebook and is read from
there; a moderation, with its reason, is kept in the record too.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from coursework.mark.grades import grades_of_class
from coursework.question import Verdict
from taperkey.files import write_together

__all__ = [
    "BetterFit",
    "ManualMark",
    "MarkRecord",
    "Moderation",
    "RecordError",
    "Sitting",
    "Totals",
    "Work",
    "final_marks",
    "manual_marks",
    "read_record",
    "read_records",
    "record_path",
    "so_far",
    "standing_moderations",
    "totals",
    "write_records",
]


class RecordError(RuntimeError):
    """A mark record that cannot be read; the text is one sentence and what to do."""


@dataclass(frozen=True, kw_only=True)
class Moderation:
    """One act of an assessor on one mark: a mark put in its place, or that taken back.

    Attributes
    ----------
    entry : str
        The question.
    mark : float or None
        The mark that counts from now on; None where the moderation is withdrawn.
    reason : str
        Why, in the assessor's words.
    by : str
        Who did it.
    at : str
        When, UTC, such as "2026-11-25T12:00:00Z".
    instead_of : float or None
        The mark that counted until then; None where it waited for the assessor.
    screen : float or None
        Mark that stood in the marking screen before the first moderation.
    hand_in : str
        sha256 of the hand-in that was moderated.
    question : str
        Version of the question then.
    second : str or None
        The second mark that there was, as :attr:`SecondMark.what` says it; empty for none, and
        None where that was not kept yet.
    """

    entry: str
    mark: float | None
    reason: str
    by: str
    at: str
    instead_of: float | None
    screen: float | None
    hand_in: str
    question: str
    second: str | None = None


def standing_moderations(acts: tuple[Moderation, ...]) -> dict[str, Moderation]:
    """Return the moderations in force, by question."""
    last = {act.entry: act for act in acts}
    return {key: act for key, act in last.items() if act.mark is not None}


@dataclass(frozen=True, kw_only=True)
class BetterFit:
    """Another apprentice, whose job card the answers fit better; a hint, never a mark.

    Attributes
    ----------
    number : int
        The other apprentice.
    right_there, right_here : float
        Marks of the answers that are right on the other's card, and on the own one.
    out_of : float
        Marks of all that was answered.
    attempt : int
        Which card of theirs, 1 for the first; the number may be the apprentice's own.
    """

    number: int
    right_there: float
    right_here: float
    out_of: float
    attempt: int = 1


@dataclass(frozen=True, kw_only=True)
class Work:
    """What a hand-in says of how it was worked; it is asked about, and never marked.

    Attributes
    ----------
    sealed : bool
        Whether the code of the job card was typed.
    minutes : float or None
        From the first to the last change of an entry; None where that is not known.
    practiced : int or None
        How many practice questions of the exercise were tried; None where that is not known.
    code_after_h : float or None
        Hours from the last entry to the card's code; None where that is not known.
    """

    sealed: bool = False
    minutes: float | None = None
    practiced: int | None = None
    code_after_h: float | None = None


@dataclass(frozen=True, kw_only=True)
class Sitting:
    """What one attempt came to by the marker, on a card of its own.

    Attributes
    ----------
    attempt : int
        1 for the first.
    hand_in : str
        sha256 of the hand-in that stands for it.
    made : str
        When it was handed in, UTC.
    mark, out_of : float
        The marker's marks, and those possible of what needs no assessor.
    right, wrong : tuple of str
        Safety-critical questions that are right, and that are not.
    """

    attempt: int
    hand_in: str
    made: str
    mark: float
    out_of: float
    right: tuple[str, ...]
    wrong: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class MarkRecord:
    """One hand-in, marked.

    Attributes
    ----------
    number : int
        The apprentice's number.
    exercise : str
        Such as "01-measure".
    class_code : str
        The class.
    hand_in : str
        sha256 of the hand-in file as it was kept.
    made : str
        When it was handed in, UTC.
    page_version : str
        Version of the released page that it was written on.
    question_version : str
        Version of the questions it was marked by.
    marker_version : str
        Version of the marking it was marked by.
    verdicts : tuple of Verdict
        One a question, in the page's order.
    card_version : str
        Version of the job card and its right answers; empty in a record of old.
    came : str
        When the hand-in was taken in, UTC; empty where that is not known.
    emptied : str
        When the inbox was last emptied before that, UTC; empty where it never was.
    moderated : tuple of Moderation
        Every moderation of this apprentice and exercise, oldest first.
    fits : BetterFit or None
        Whose job card the answers fit clearly better than the own one, if anybody's.
    attempt : int
        Which job card it was worked on, 1 for the first.
    sittings : tuple of Sitting
        Every attempt, where there is more than one.
    work : Work
        How it was worked, as far as the hand-in says.
    """

    number: int
    exercise: str
    class_code: str
    hand_in: str
    made: str
    page_version: str
    question_version: str
    marker_version: str
    verdicts: tuple[Verdict, ...]
    card_version: str = ""
    came: str = ""
    emptied: str = ""
    moderated: tuple[Moderation, ...] = ()
    fits: BetterFit | None = None
    attempt: int = 1
    sittings: tuple[Sitting, ...] = ()
    work: Work = Work()

    @property
    def moderations(self) -> dict[str, Moderation]:
        """The moderations in force, by question."""
        return standing_moderations(self.moderated)

    def verdict(self, key: str) -> Verdict | None:
        """Return the verdict on one question, or None."""
        return next((one for one in self.verdicts if one.key == key), None)

    def to_json(self) -> str:
        """Return the record as JSON, the same for the same record."""
        fields = vars(self).copy()
        fields["class"] = fields.pop("class_code")
        text = json.dumps(fields, default=vars, ensure_ascii=False, sort_keys=True)
        return text + "\n"

    @classmethod
    def from_json(cls, text: str) -> MarkRecord:
        """Read a record back.

        Raises
        ------
        RecordError
            One sentence, where it cannot be read.
        """
        try:
            fields = json.loads(text)
            fields["class_code"] = fields.pop("class")
            fields["verdicts"] = tuple(Verdict(**one) for one in fields["verdicts"])
            acts = tuple(Moderation(**one) for one in fields.get("moderated", ()))
            fields["moderated"] = acts
            fits = fields.get("fits")
            fields["fits"] = BetterFit(**fits) if fits else None
            fields["sittings"] = tuple(
                Sitting(**{**one, "right": tuple(one["right"]), "wrong": tuple(one["wrong"])})
                for one in fields.get("sittings", ())
            )
            fields["work"] = Work(**fields.get("work", {}))
            return cls(**fields)
        except (ValueError, TypeError, KeyError, AttributeError):
            raise RecordError(
                "The mark record cannot be read. Delete it and mark the class again; the hand-in "
                "is kept and nothing else is lost."
            ) from None


@dataclass(frozen=True, kw_only=True)
class ManualMark:
    """What stands in the gradebook for one question beside the marker's own mark.

    Attributes
    ----------
    key : str
        The question.
    score : float or None
        Mark given by the assessor, or None.
    extra : float
        Extra credit given by the assessor.
    comment : str
        The assessor's comment, or empty.
    waiting : bool
        Whether it waits for the assessor.
    """

    key: str
    score: float | None = None
    extra: float = 0.0
    comment: str = ""
    waiting: bool = False


@dataclass(frozen=True, kw_only=True)
class Totals:
    """What a record comes to with the assessor's marks.

    Attributes
    ----------
    mark, out_of : float
        Marks given and possible.
    marked, marked_out_of : float
        The same without the questions that wait for the assessor.
    waiting : tuple of str
        Questions that wait for the assessor.
    critical : tuple of str
        Safety-critical questions that are not right.
    """

    mark: float
    out_of: float
    marked: float
    marked_out_of: float
    waiting: tuple[str, ...]
    critical: tuple[str, ...]


def record_path(*, folder: Path, number: int, exercise: str) -> Path:
    """Return where the record of one apprentice and exercise lies."""
    return folder / "records" / f"{number:03d}" / f"{exercise}.json"


def write_records(*, folder: Path, records: Iterable[MarkRecord]) -> None:
    """Write records, each whole."""
    write_together(
        (
            record_path(folder=folder, number=one.number, exercise=one.exercise),
            one.to_json().encode("utf-8"),
        )
        for one in records
    )


def read_record(*, folder: Path, number: int, exercise: str) -> MarkRecord | None:
    """Return one record, or None where there is none that can be read."""
    path = record_path(folder=folder, number=number, exercise=exercise)
    try:
        return MarkRecord.from_json(path.read_text(encoding="utf-8", errors="replace"))
    except (OSError, RecordError):
        return None


def read_records(folder: Path) -> list[MarkRecord]:
    """Return every record of the class, by number and exercise.

    Raises
    ------
    RecordError
        One sentence that names the file, where one cannot be read.
    """
    records = []
    for path in sorted((folder / "records").glob("[0-9][0-9][0-9]/*.json")):
        try:
            text = path.read_text(encoding="utf-8", errors="replace")
            records.append(MarkRecord.from_json(text))
        except (OSError, RecordError) as error:
            raise RecordError(f"{path.relative_to(folder).as_posix()}: {error}") from None
    return records


def manual_marks(
    folder: Path, *, db_url: str | None = None
) -> dict[tuple[int, str], dict[str, ManualMark]]:
    """Read what the assessor gave, and what waits, from the gradebook.

    Parameters
    ----------
    folder : Path
        The class folder.
    db_url : str, optional
        Another gradebook than the folder's own.

    Returns
    -------
    dict
        By (number, exercise), then by question key; questions with nothing by hand are left out.
    """
    found: dict[tuple[int, str], dict[str, ManualMark]] = {}
    for row in grades_of_class(folder, db_url=db_url):
        if not row.student.isdecimal():
            continue
        if row.manual is None and not row.extra and not row.comment and not row.waiting:
            continue
        found.setdefault((int(row.student), row.exercise), {})[row.key] = ManualMark(
            key=row.key,
            score=row.manual,
            extra=row.extra or 0.0,
            comment=row.comment or "",
            waiting=row.waiting,
        )
    return found


def _by_hand(
    record: MarkRecord, manual: Mapping[str, ManualMark] | None, verdict: Verdict
) -> float | None:
    """Return the mark a person gave: the moderated one before that of the marking screen."""
    act = record.moderations.get(verdict.key)
    if act is not None and act.mark is not None and math.isfinite(act.mark):
        return min(max(act.mark, 0.0), verdict.out_of)
    given = (manual or {}).get(verdict.key)
    return given.score if given else None


def final_marks(
    record: MarkRecord, manual: Mapping[str, ManualMark] | None = None
) -> dict[str, float]:
    """Return the mark of each question: moderated, else the assessor's, else the marker's."""
    marks = {}
    for verdict in record.verdicts:
        score = _by_hand(record, manual, verdict)
        given = (manual or {}).get(verdict.key)
        marks[verdict.key] = (verdict.mark if score is None else score) + (
            given.extra if given else 0.0
        )
    return marks


def totals(record: MarkRecord, manual: Mapping[str, ManualMark] | None = None) -> Totals:
    """Add a record up with the assessor's marks.

    A safety-critical question to which the assessor gave full marks no longer counts as not right.
    """
    given = manual or {}
    marks = final_marks(record, given)
    waiting, critical = [], []
    for verdict in record.verdicts:
        by_hand = given.get(verdict.key)
        score = _by_hand(record, given, verdict)
        if (by_hand and by_hand.waiting) or (verdict.state == "waiting" and score is None):
            waiting.append(verdict.key)
        if verdict.critical and (score is None or score < verdict.out_of):
            critical.append(verdict.key)
    return Totals(
        mark=sum(marks.values()),
        out_of=sum(verdict.out_of for verdict in record.verdicts),
        marked=sum(mark for key, mark in marks.items() if key not in waiting),
        marked_out_of=sum(one.out_of for one in record.verdicts if one.key not in waiting),
        waiting=tuple(waiting),
        critical=tuple(critical),
    )


def so_far(
    record: MarkRecord, manual: Mapping[str, ManualMark] | None = None
) -> dict[str, tuple[float, float]]:
    """Return marks given and possible of each question that does not wait for the assessor."""
    waiting = totals(record, manual).waiting
    marks = final_marks(record, manual)
    return {
        verdict.key: (marks[verdict.key], verdict.out_of)
        for verdict in record.verdicts
        if verdict.key not in waiting
    }
