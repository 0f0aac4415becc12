"""Verify a class: trace every mark to its hand-in and work it out again.

From the kept hand-in files alone everything is recomputed: who and what from
the file, the job card from class, exercise and number, the verdicts from the
questions. That is compared with the records, the records with the gradebook,
the files with the register of arrivals, the moderations with both. Nothing is
changed. It finds damage and changes at one of these places; somebody who
changes all of them alike is beyond it, so keep a copy of the class folder
elsewhere.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from coursework.course import PAGES, issue_card
from coursework.mark.byhand import by_hand_register, cells_of, read_by_hand
from coursework.mark.gradebook import student_id
from coursework.mark.grades import GradeRow, grades_of_class
from coursework.mark.inert import shown
from coursework.mark.judged import MarkingError, judge_hand_in, sittings_of, stands, work_of
from coursework.mark.kept import (
    Arrival,
    AttemptRule,
    Kept,
    kept_of,
    newest_kept,
    read_arrivals,
)
from coursework.mark.marker import HAND_IN_NAME
from coursework.mark.moderation import moderation_path, read_moderations
from coursework.mark.records import (
    MarkRecord,
    RecordError,
    manual_marks,
    read_record,
    record_path,
)
from coursework.mark.register import Register
from coursework.mark.registers import registers_of_marks
from coursework.mark.signoff import (
    counting_sign_offs,
    read_sign_offs,
    tasks,
)
from coursework.mark.versions import card_version, marker_version, question_version
from coursework.question import Verdict

__all__ = ["Audit", "audit_class"]

Key = tuple[int, str]


@dataclass
class Audit:
    """What verifying a class found.

    Attributes
    ----------
    hand_ins : int
        Kept files that were read.
    records, marks : int
        Records and single marks that were worked out again.
    by_hand : int
        Marks that a person gave; they are looked up, not worked out.
    differences : list of str
        One sentence each.
    notes : list of str
        What is worth knowing, but no difference.
    marking_mends : int
        How many of the differences go when the class is marked again.
    to_delete : list of str
        Records that were changed since they were written, from the class folder on; while they
        lie there, marking leaves them as they are.
    """

    hand_ins: int = 0
    records: int = 0
    marks: int = 0
    by_hand: int = 0
    differences: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    marking_mends: int = 0
    to_delete: list[str] = field(default_factory=list)

    def next_step(self, mark: str) -> str:
        """Return what to do about the differences, with the command that marks the class."""
        if not self.differences:
            return ""
        if self.to_delete:
            return f"Next: delete {', '.join(self.to_delete)}, then type: {mark}"
        if self.marking_mends == len(self.differences):
            return f"Marking again mends {'it' if self.marking_mends == 1 else 'all'}. Type: {mark}"
        return f"Next: go through the lines above, put right what they say, then type: {mark}"


def audit_class(
    *,
    folder: Path,
    class_code: str,
    roster: Mapping[int, str],
    progress: Callable[[int, int], None] | None = None,
    db_url: str | None = None,
    rule: AttemptRule = AttemptRule(),  # noqa: B008 - it never changes
    registers: Sequence[Register] | None = None,
) -> Audit:
    """Compare hand-ins, records, gradebook and moderations of a class.

    Parameters
    ----------
    folder : Path
        The class folder.
    class_code : str
        The class, such as "QQ-26".
    roster : mapping of int to str
        Name by apprentice number.
    progress : callable, optional
        Called with (done, all) after each record.
    db_url : str, optional
        Another gradebook than the class's own.
    rule : AttemptRule, optional
        Which attempt counts; left out, the last.
    registers : sequence of Register, optional
        All registers of the class, to look through for changed lines; left out, those of the marks.

    Returns
    -------
    Audit
        Differences in plain sentences; none when everything agrees.
    """
    folder = folder.resolve()
    audit = Audit()
    arrivals = read_arrivals(folder)
    _registers(registers_of_marks(folder) if registers is None else registers, audit)
    _files(folder, arrivals, audit)
    newest, problems = newest_kept(folder=folder, class_code=class_code, roster=roster, rule=rule)
    audit.differences += [problem for problem in problems if problem not in audit.differences]
    counts = {(one.hand_in.number, one.hand_in.page): one for one in newest}
    records = _records(folder, audit)
    rows: dict[Key, dict[str, GradeRow]] = {}
    for row in grades_of_class(folder, db_url=db_url):
        if row.student.isdecimal():
            rows.setdefault((int(row.student), row.exercise), {})[row.key] = row
    versions: dict[str, int] = {}
    for done, (key, record) in enumerate(sorted(records.items()), start=1):
        audit.records += 1
        kept, _ = kept_of(
            folder=folder,
            class_code=class_code,
            number=key[0],
            exercise=key[1],
            arrivals=(one for one in arrivals if (one.number, one.exercise) == key),
        )
        told = len(audit.differences)
        _one_record(folder, class_code, record, kept, counts.get(key), audit)
        _one_gradebook(record, rows.pop(key, {}), audit)
        _one_moderation(folder, record, audit)
        if key in counts and not stands(record, counts[key]):
            audit.marking_mends += len(audit.differences) - told
        if record.marker_version != marker_version():
            versions[record.marker_version] = versions.get(record.marker_version, 0) + 1
        if progress:
            progress(done, len(records))
    for key, one in sorted(counts.items()):
        if key not in records:
            audit.differences.append(
                f"{one.title}: {one.path.name} is kept and not marked. Mark the class."
            )
            audit.marking_mends += 1
    for number, exercise in sorted(rows):
        audit.differences.append(
            f"Apprentice {number:03d}, {exercise}: the gradebook has marks, but there is no record."
        )
    _hand_register(folder, db_url, audit)
    _sign_offs(folder, db_url, records, audit)
    for version, count in sorted(versions.items()):
        audit.notes.append(
            f"{count} record{'' if count == 1 else 's'} of marker version {version} recomputed by "
            f"version {marker_version()}."
        )
    return audit


def _registers(registers: Sequence[Register], audit: Audit) -> None:
    for register in registers:
        audit.notes += [
            f"{register.path.name}, line {line}: its time is before that of the line above it, "
            "because a clock was set back; the lines count in their order."
            for line in register.set_back()
        ]
        for line in register.faults():
            audit.differences.append(
                f"{register.path.name}, line {line}: it was changed, or a line before it was taken "
                "out or put in."
            )


def _files(folder: Path, arrivals: Iterable[Arrival], audit: Audit) -> None:
    """Compare the kept files with the register of arrivals."""
    known: dict[str, set[str]] = {}
    for one in arrivals:
        known.setdefault(one.kept_as, set()).add(one.sha256)
        path = folder / one.kept_as
        title = f"Apprentice {one.number:03d}, {one.exercise}"
        try:
            digest = hashlib.sha256(path.read_bytes()).hexdigest()
        except OSError:
            audit.differences.append(
                f"{title}: {one.kept_as}, which came on {one.came[:10]}, is not there any more."
            )
            continue
        if digest != one.sha256:
            audit.differences.append(
                f"{title}: {one.kept_as} was changed since it came on {one.came[:10]} (sha256 "
                f"{one.sha256[:12]} then, {digest[:12]} now)."
            )
    unlisted = 0
    for path in sorted((folder / "hand-ins").glob("[0-9][0-9][0-9]/*/*.json")):
        audit.hand_ins += 1
        unlisted += path.relative_to(folder).as_posix() not in known
    if unlisted:
        audit.notes.append(
            f"{unlisted} kept hand-in{' is' if unlisted == 1 else 's are'} on no line of "
            "arrivals.csv: put there by hand, or of old; when they came is not known."
        )


def _records(folder: Path, audit: Audit) -> dict[Key, MarkRecord]:
    found = {}
    for path in sorted((folder / "records").glob("[0-9][0-9][0-9]/*.json")):
        number, exercise = int(path.parent.name), path.stem
        title = f"Apprentice {number:03d}, {exercise}"
        record = read_record(folder=folder, number=number, exercise=exercise)
        if record is None:
            where = record_path(folder=folder, number=number, exercise=exercise)
            audit.differences.append(
                f"{title}: the record {where.relative_to(folder).as_posix()} cannot be read. "
                "Delete it and mark the class again."
            )
        elif (record.number, record.exercise) != (number, exercise):
            audit.differences.append(
                f"{title}: the record there says apprentice {record.number:03d}, {record.exercise}."
            )
        elif exercise not in PAGES:
            audit.differences.append(f"{title}: the course has no such exercise any more.")
        else:
            found[number, exercise] = record
    return found


def _title(record: MarkRecord) -> str:
    return f"Apprentice {record.number:03d}, {record.exercise}"


def _one_record(
    folder: Path,
    class_code: str,
    record: MarkRecord,
    kept: list[Kept],
    newest: Kept | None,
    audit: Audit,
) -> None:
    """Recompute one record from the bytes that it says it was marked from."""
    title = _title(record)
    told = audit.differences
    if record.class_code != class_code:
        told.append(f"{title}: the record is of class {record.class_code}, not {class_code}.")
    source = next((one for one in kept if one.sha256 == record.hand_in), None)
    if source is None:
        told.append(
            f"{title}: no kept hand-in has the bytes that it was marked from (sha256 "
            f"{record.hand_in[:12]}), so its {len(record.verdicts)} marks cannot be worked out "
            "again."
        )
        return
    if newest is not None and newest.sha256 != record.hand_in:
        told.append(
            f"{title}: {newest.path.name} is the hand-in that counts, and it is not marked. Mark "
            "the class."
        )
    for what, says, has in (
        ("made", record.made, source.hand_in.made),
        ("taken in", record.came, source.came),
        ("inbox emptied before", record.emptied, source.emptied),
        ("page version", record.page_version, source.hand_in.page_version),
        ("attempt", str(record.attempt), str(source.hand_in.attempt)),
    ):
        if says != has:
            told.append(f"{title}: the record says {what} {says or '–'}, the hand-in {has or '–'}.")
    beside = folder / "submitted" / student_id(record.number) / record.exercise / HAND_IN_NAME
    if (
        newest is not None
        and newest.sha256 == record.hand_in
        and (not beside.is_file() or beside.read_bytes() != source.content)
    ):
        told.append(
            f"{title}: the copy for the marking screen, "
            f"{beside.relative_to(folder).as_posix()}, is not the hand-in. Mark the class again."
        )
    page = PAGES[record.exercise]
    same_marker = record.marker_version == marker_version()  # a newer one is told once, for all
    if same_marker and record.work != work_of(source.hand_in):
        told.append(f"{title}: the record says otherwise than the hand-in how it was worked.")
    if same_marker and record.question_version != question_version(page):
        told.append(
            f"{title}: the questions have changed since it was marked (version "
            f"{record.question_version} then, {question_version(page)} now)."
        )
    try:
        card = issue_card(
            exercise=record.exercise,
            class_code=class_code,
            number=record.number,
            attempt=source.hand_in.attempt,
        )
        version = card_version(page=page, card=card)
        verdicts = judge_hand_in(
            hand_in=source.hand_in, class_code=class_code, number=record.number
        )
    except (MarkingError, ValueError) as error:
        told.append(f"{title}: {error}")
        return
    agreed = len(told)
    if same_marker and record.card_version != version:
        told.append(
            f"{title}: the job card or its right answers have changed since it was marked (version "
            f"{record.card_version or '–'} then, {version} now)."
        )
    _verdicts(title, record.verdicts, verdicts, audit)
    if newest is not None and newest.sha256 == record.hand_in:
        try:
            again = sittings_of(newest, class_code=class_code)
        except MarkingError as error:
            told.append(f"{title}: {error}")
            return
        if same_marker and record.sittings != again:
            told.append(
                f"{title}: the record's attempts ({max(1, len(record.sittings))}) are not those of "
                f"the kept hand-ins ({max(1, len(again))}). Mark the class."
            )
    if len(told) > agreed and newest is not None and stands(record, newest):
        where = record_path(folder=folder, number=record.number, exercise=record.exercise)
        audit.to_delete.append(where.relative_to(folder).as_posix())


def _verdicts(
    title: str, recorded: Iterable[Verdict], worked_out: Iterable[Verdict], audit: Audit
) -> None:
    told = audit.differences
    then = {one.key: one for one in recorded}
    for now in worked_out:
        audit.marks += 1
        was = then.pop(now.key, None)
        if was is None:
            told.append(f"{title}, {now.key}: it is not in the record.")
            continue
        if (was.mark, was.out_of, was.state, was.slip) != (
            now.mark, now.out_of, now.state, now.slip,
        ):  # fmt: skip
            told.append(
                f"{title}, {now.key}: the record says {_told(was)}; worked out again it is "
                f"{_told(now)}."
            )
        if was.entered != now.entered:
            told.append(
                f"{title}, {now.key}: the record says that “{_short(was.entered)}” was entered; "
                f"the hand-in says “{_short(now.entered)}”."
            )
        if was.critical != now.critical:
            told.append(
                f"{title}, {now.key}: the record says safety-critical "
                f"{'and not right' if was.critical else 'is in order'}; worked out again it is "
                f"{'not right' if now.critical else 'in order'}."
            )
        if was.reason != now.reason and was.state == now.state:
            told.append(f"{title}, {now.key}: the reason in the record has another wording.")
    for key in then:
        told.append(
            f"{title}, {key}: the record has a mark for it, but the page has no such entry."
        )


def _told(verdict: Verdict) -> str:
    slip = f", {verdict.slip}" if verdict.slip else ""
    return f"{verdict.mark:g} of {verdict.out_of:g} ({verdict.state}{slip})"


def _short(text: str) -> str:
    plain = " ".join(shown(text).split())
    return plain if len(plain) <= 40 else plain[:40] + "…"


def _one_gradebook(record: MarkRecord, rows: Mapping[str, GradeRow], audit: Audit) -> None:
    """Compare one record with the gradebook."""
    title = _title(record)
    if not rows:
        audit.differences.append(
            f"{title}: the gradebook has no marks of it. Mark the class again."
        )
        return
    left = dict(rows)
    for verdict in record.verdicts:
        row = left.pop(verdict.key, None)
        if row is None:
            audit.differences.append(f"{title}, {verdict.key}: it is not in the gradebook.")
            continue
        wanted = None if verdict.state == "waiting" else verdict.mark
        if row.auto != wanted:
            audit.differences.append(
                f"{title}, {verdict.key}: the gradebook says {_number(row.auto)}, the record "
                f"{_number(wanted)}."
            )
        audit.by_hand += row.manual is not None
        if row.manual is not None and not 0 <= row.manual <= verdict.out_of:
            audit.differences.append(
                f"{title}, {verdict.key}: the mark by hand is {row.manual:g}; it must be from 0 to "
                f"{verdict.out_of:g}."
            )
    for key in left:
        audit.differences.append(f"{title}, {key}: the gradebook has it, the record does not.")


def _number(mark: float | None) -> str:
    return "no mark" if mark is None else f"{mark:g}"


def _one_moderation(folder: Path, record: MarkRecord, audit: Audit) -> None:
    """Compare the moderations in the record with their file and the gradebook."""
    title = _title(record)
    path = moderation_path(folder=folder, number=record.number, exercise=record.exercise)
    try:
        acts = read_moderations(folder=folder, number=record.number, exercise=record.exercise)
    except RecordError as error:
        audit.differences.append(f"{title}: {error}")
        return
    if acts != record.moderated:
        audit.differences.append(
            f"{title}: {path.relative_to(folder).as_posix()} holds {len(acts)} "
            f"act{'' if len(acts) == 1 else 's'} of moderation, the record {len(record.moderated)}"
            + (", and they differ." if len(acts) == len(record.moderated) else ". Mark the class.")
        )
    known = {question.key for question in PAGES[record.exercise].questions}
    for key in record.moderations:
        if key not in known:
            audit.notes.append(f"{title}, {key}: moderated, and no longer on the page; it is kept.")


def _hand_register(folder: Path, db_url: str | None, audit: Audit) -> None:
    """Compare the marks by hand in the gradebook with the register of them."""
    register = by_hand_register(folder)
    there = {
        (number, exercise, key): cells_of(mark)
        for (number, exercise), marks in manual_marks(folder, db_url=db_url).items()
        for key, mark in marks.items()
    }
    lines = read_by_hand(folder)
    for where in sorted({*there, *lines}):
        number, exercise, key = where
        cells = there.get(where, ("", "", ""))
        line = lines.get(where)
        noted = (line.score, line.extra, line.comment) if line else ("", "", "")
        if (cells[0], cells[1], register.as_written(cells[2])) != noted:
            audit.differences.append(
                f"Apprentice {number:03d}, {exercise}, {key}: by hand the gradebook has "
                f"{_by_hand(*cells)}, by-hand.csv {_by_hand(*noted)}. If it was entered since the "
                "last marking run, mark the class."
            )


def _sign_offs(
    folder: Path, db_url: str | None, records: Mapping[Key, MarkRecord], audit: Audit
) -> None:
    """Work each sign-off's marks out again from its answers, and look for them in the gradebook."""
    known = tasks()
    manual = manual_marks(folder, db_url=db_url)
    for one in read_sign_offs(folder):
        task = known.get(one.task)
        title = f"Apprentice {one.number:03d}, {one.task}, attempt {one.attempt}"
        if task is None:
            audit.notes.append(f"{title}: the course has no such task any more; the line is kept.")
        elif one.version != task.version:
            audit.notes.append(f"{title}: the sheet has other items since.")
        elif (one.marks, one.failed) != (task.marks(one.answers), task.failed(one.answers)):
            audit.differences.append(
                f"{title}: sign-offs.csv says {one.marks} marks, items not passed "
                f"{', '.join(map(str, one.failed)) or 'none'}; its answers come to "
                f"{task.marks(one.answers)} marks, "
                f"{', '.join(map(str, task.failed(one.answers))) or 'none'}."
            )
    for (number, key), one in counting_sign_offs(folder).items():
        record = records.get((number, known[key].exercise)) if key in known else None
        if record is None or key in record.moderations or record.verdict(key) is None:
            continue
        given = manual.get((number, record.exercise), {}).get(key)
        if given is None or given.score != one.marks:
            has = "no mark" if given is None or given.score is None else f"{given.score:g}"
            audit.differences.append(
                f"{_title(record)}, {key}: the gradebook has {has}, the sign-off of {one.date} by "
                f"{one.by} {one.marks}. Mark the class."
            )
            audit.marking_mends += 1


def _by_hand(score: str, extra: str, comment: str) -> str:
    told = score or "no mark"
    told += f" and {extra} extra" if extra else ""
    return told + (f" with “{_short(comment)}”" if comment else "")
