"""Everything the report, the status and the marks show, gathered once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import cached_property

from coursework.course import PAGES, page_of
from coursework.mark.byhand import ByHand
from coursework.mark.lateness import Lateness
from coursework.mark.records import (
    ManualMark,
    MarkRecord,
    final_marks,
    manual_marks,
    read_records,
    totals,
)
from coursework.mark.signoff import SignOff, Task, counting_sign_offs, tasks
from coursework.room.classfolder import ClassError, ClassFolder
from coursework.room.outcomes import (
    Outcome,
    SkillStanding,
    page_totals,
    skill_standing,
)
from coursework.room.people import read_brought

__all__ = ["PageSum", "Standings", "gather", "in_one_sentence"]


@dataclass(frozen=True, kw_only=True)
class PageSum:
    """What one apprentice's exercise comes to.

    Attributes
    ----------
    mark : float
        Marks earned so far, without lateness.
    out_of : float
        Marks possible so far.
    waiting : int
        Answers that wait for the assessor.
    late : Lateness
        How it stands to its due date.
    """

    mark: float
    out_of: float
    waiting: int
    late: Lateness

    @property
    def counts(self) -> float:
        """Marks that count, after lateness."""
        return self.mark * self.late.keeps


@dataclass(frozen=True)
class Standings:
    """Outcomes, records and what was given by hand, of everyone on the class list."""

    class_folder: ClassFolder
    outcomes: tuple[Outcome, ...]
    records: Mapping[tuple[int, str], MarkRecord] = field(default_factory=dict)
    manual: ByHand = field(default_factory=dict)
    sign_offs: Mapping[tuple[int, str], SignOff] = field(default_factory=dict)

    @cached_property
    def _by_number(self) -> dict[int, list[Outcome]]:
        found: dict[int, list[Outcome]] = {}
        for one in self.outcomes:
            found.setdefault(one.number, []).append(one)
        return found

    def present(self) -> Standings:
        """Return the same without whoever has withdrawn or moved."""
        here = {one.number for one in self.class_folder.present}
        return replace(
            self,
            outcomes=tuple(one for one in self.outcomes if one.number in here),
            records={key: one for key, one in self.records.items() if key[0] in here},
            sign_offs={key: one for key, one in self.sign_offs.items() if key[0] in here},
        )

    def of(self, number: int) -> list[Outcome]:
        """Return the outcomes of one apprentice."""
        return self._by_number.get(number, [])

    def skill(self, number: int, keys: Sequence[str]) -> SkillStanding:
        """Return how one apprentice stands in the skill with these questions."""
        asked = number, tuple(keys)
        if asked not in self._skills:
            self._skills[asked] = self._skill(*asked)
        return self._skills[asked]

    @cached_property
    def _skills(self) -> dict[tuple[int, tuple[str, ...]], SkillStanding]:
        """What was worked out already: report, records and marks show the same skills."""
        return {}

    def _skill(self, number: int, keys: Sequence[str]) -> SkillStanding:
        signed = {key: self.sign_offs.get((number, key)) for key in self.tasks if key in keys}
        return skill_standing(
            [one for one in self.of(number) if one.key in keys],
            unsigned=[key for key, one in signed.items() if one is None],
            failed=[key for key, one in signed.items() if one is not None and not one.passed],
            instead=self.tasks_for(keys),
            **self._cards(number, keys),
        )

    def _cards(self, number: int, keys: Sequence[str]) -> dict[str, int]:
        """Return on how many cards the safety-critical answers of a skill are right, of how many.

        A card is one of an exercise and attempt; on it every such answer of the skill is right.
        A practical task that has the same decision in it counts as one, passed unprompted.
        """
        asked: dict[str, set[str]] = {}
        for key in keys:
            page = page_of(key)
            if page.question(key).critical:
                asked.setdefault(page.name, set()).add(key)
        if not asked:
            return {}
        cards = 0
        for name, wanted in asked.items():
            right = {one.key for one in self.of(number) if one.page == name and not one.critical}
            cards += wanted <= right
            record = self.records.get((number, name))
            if record is not None:
                others = [one for one in record.sittings if one.attempt != record.attempt]
                cards += sum(wanted <= set(one.right) for one in others)
        for key in self.tasks_for(keys):
            one = self.sign_offs.get((number, key))
            cards += one is not None and one.passed and not one.prompted
        return {"cards": cards, "cards_wanted": self.class_folder.attempts.cards}

    def tasks_for(self, keys: Sequence[str]) -> tuple[str, ...]:
        """Return the practical tasks that count as a card for the skill with these questions."""
        skills = {page_of(key).question(key).skill for key in keys}
        return tuple(key for key, task in self.tasks.items() if skills & {*task.counts_for})

    @cached_property
    def tasks(self) -> Mapping[str, Task]:
        """The practical tasks, by key."""
        return tasks()

    @cached_property
    def sums(self) -> dict[tuple[int, str], PageSum]:
        """What each exercise comes to, by apprentice and exercise."""
        dates = self.class_folder.dates
        found = {}
        for (number, page), (mark, out_of, waiting) in page_totals(self.outcomes).items():
            record = self.records[number, page]
            found[number, page] = PageSum(
                mark=mark,
                out_of=out_of,
                waiting=waiting,
                late=dates.lateness(record),
            )
        return found


def gather(class_folder: ClassFolder, *, manual: ByHand | None = None) -> Standings:
    """Collect records and the assessor's marks of everyone on the class list.

    Parameters
    ----------
    class_folder : ClassFolder
        The class.
    manual : mapping, optional
        What the assessor gave, where it was read just now.
    """
    with in_one_sentence():
        manual = manual_marks(class_folder.folder) if manual is None else manual
        records = read_records(class_folder.folder)
    outcomes: list[Outcome] = []
    kept: dict[tuple[int, str], MarkRecord] = {}
    numbers = {(record.number, record.exercise) for record in records}
    for record in records:
        if record.number not in class_folder.names or record.exercise not in PAGES:
            continue
        here = class_folder.changes.today(record.number)
        if here != record.number and (here, record.exercise) in numbers:
            continue  # handed in again under the new number
        kept[here, record.exercise] = record
        given = manual.get((record.number, record.exercise), {})
        outcomes += [replace(one, number=here) for one in _outcomes(record, given)]
    with in_one_sentence():
        for record, given in read_brought(class_folder.folder):
            if (record.number, record.exercise) not in kept:
                kept[record.number, record.exercise] = record
                outcomes += _outcomes(record, given)
    signed = {
        (class_folder.changes.today(number), key): one
        for (number, key), one in sorted(
            counting_sign_offs(class_folder.folder).items(), key=lambda item: item[1].attempt
        )
    }
    return Standings(class_folder, tuple(outcomes), kept, manual, signed)


def _outcomes(record: MarkRecord, given: Mapping[str, ManualMark]) -> list[Outcome]:
    marks = final_marks(record, given)
    sums = totals(record, given)
    questions = {one.key: one for one in PAGES[record.exercise].questions}
    found = []
    for verdict in record.verdicts:
        if verdict.key not in questions:
            continue
        waiting = verdict.key in sums.waiting
        state: str = verdict.state
        if questions[verdict.key].by_assessor and state != "blank":
            state = "waiting" if waiting else "marked"
        one = Outcome(
            number=record.number,
            page=record.exercise,
            key=verdict.key,
            state=state,
            mark=None if waiting else marks[verdict.key],
            out_of=verdict.out_of,
            slip=verdict.slip,
            reason=verdict.reason,
            critical=verdict.key in sums.critical,
        )
        if verdict.key in record.moderations and marks[verdict.key] >= verdict.out_of:
            one = replace(one, slip="", reason="")  # the assessor found that it was none
        found.append(one)
    return found


@contextmanager
def in_one_sentence() -> Iterator[None]:
    """Turn what the marking refuses into a refusal of the class."""
    try:
        yield
    except RuntimeError as error:
        if type(error).__module__.startswith(("taperkey.", "coursework.", "keycourse.")):
            raise ClassError(str(error)) from error
        raise
