"""Mark a class: from kept hand-ins to notebooks, gradebook and records.

A hand-in is data, so nothing that an apprentice typed is ever run. The notebook
that the assessor sees is built from the released page; the hand-in gives only
the raw text of known questions. Marks go straight into nbgrader's gradebook.

The order is notebook files, gradebook, record. Some hand-ins take each step
together: the disk and the gradebook are waited for once. Each file is written
whole or not at all and the record comes last, so a run that was cut off
anywhere is completed by the next one, and a hand-in whose record stands is left
alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout

from coursework.course import PAGES, exercises_folder
from coursework.mark.cellmark import CellMark
from coursework.mark.gradebook import (
    HandInMarks,
    PageCells,
    database_url,
    ensure_page,
    ensure_students,
    open_gradebook,
    save_marks,
    student_id,
    submission_times,
)
from coursework.mark.judged import MarkingError, judged, stands
from coursework.mark.kept import AttemptRule, Kept, newest_kept
from coursework.mark.moderation import keep_moderations, read_moderations
from coursework.mark.pages import guides, notebook_text, rebuild, released_page
from coursework.mark.records import (
    MarkRecord,
    Moderation,
    read_record,
    standing_moderations,
    write_records,
)
from coursework.mark.versions import one_question_version
from coursework.page.handin import HandIn
from coursework.question import Practical, Verdict
from taperkey.files import write_together

__all__ = [
    "HAND_IN_NAME",
    "MarkingResult",
    "mark_class",
]

HAND_IN_NAME = "hand-in.json"  # beside the submitted notebook
AT_ONCE = 24  # hand-ins that are written down together
_WRITTEN = (
    "submitted", "autograded", "records", "moderation", "hand-ins", "feedback", "report",
    "brought", "second",
)  # fmt: skip


@dataclass(frozen=True)
class _Ready:
    """A hand-in to write down, with its record and the one that it takes the place of."""

    kept: Kept
    record: MarkRecord
    before: MarkRecord | None


@dataclass(frozen=True)
class _Released:
    """A released page: the notebook, and the same as it is written."""

    notebook: Any
    text: bytes


@dataclass(frozen=True, kw_only=True)
class MarkingResult:
    """What a marking run did.

    Attributes
    ----------
    marked : tuple of MarkRecord
        Records written in this run.
    skipped : int
        Hand-ins that were marked already.
    problems : tuple of str
        One sentence for each hand-in that could not be marked.
    before : mapping
        The record that each of those written has taken the place of, by number and exercise.
    """

    marked: tuple[MarkRecord, ...]
    skipped: int
    problems: tuple[str, ...]
    before: Mapping[tuple[int, str], MarkRecord] = field(default_factory=dict)


def mark_class(
    *,
    folder: Path,
    class_code: str,
    roster: Mapping[int, str],
    progress: Callable[[int, int], None] | None = None,
    exercises: Path | None = None,
    db_url: str | None = None,
    only: tuple[int, str] | None = None,
    rule: AttemptRule = AttemptRule(),  # noqa: B008 - it never changes
) -> MarkingResult:
    """Mark the newest hand-in of every apprentice and exercise.

    Parameters
    ----------
    folder : Path
        The class folder.
    class_code : str
        The class, such as "QQ-26".
    roster : mapping of int to str
        Name by apprentice number.
    progress : callable, optional
        Called with (done, all) after each hand-in.
    exercises : Path, optional
        The released pages; the course's own when left out.
    db_url : str, optional
        Another gradebook than the folder's own.
    only : tuple of int and str, optional
        Number and exercise, where only that one hand-in is to be marked.
    rule : AttemptRule, optional
        Which attempt counts; left out, the last.

    Returns
    -------
    MarkingResult
        What was marked, left alone, and not possible.

    Raises
    ------
    MarkingError
        One sentence, where the class cannot be marked at all.
    """
    folder = folder.resolve()
    if not folder.is_dir():
        raise MarkingError(f"There is no class folder at {folder}. Look at its name.")
    lock = FileLock(folder / ".marking.lock", timeout=0)
    try:
        lock.acquire()
    except Timeout:
        raise MarkingError(
            "This class is being marked already by another run. Wait until it is done."
        ) from None
    try:
        _clear_unfinished(folder)
        kept, problems = newest_kept(folder=folder, class_code=class_code, roster=roster, rule=rule)
        if only is not None:
            kept = [one for one in kept if (one.hand_in.number, one.hand_in.page) == only]
        return _mark(
            folder=folder,
            class_code=class_code,
            roster=roster,
            kept=kept,
            problems=problems,
            progress=progress or (lambda done, total: None),
            exercises=exercises or exercises_folder(),
            db_url=db_url or database_url(folder),
        )
    finally:
        lock.release()


def _mark(
    *,
    folder: Path,
    class_code: str,
    roster: Mapping[int, str],
    kept: Sequence[Kept],
    problems: list[str],
    progress: Callable[[int, int], None],
    exercises: Path,
    db_url: str,
) -> MarkingResult:
    marked: list[_Ready] = []
    ready: list[_Ready] = []
    skipped = 0
    with open_gradebook(db_url=db_url) as gradebook:
        ensure_students(gradebook, roster)
        pages = {}
        for name in PAGES:
            page = released_page(exercises=exercises, exercise=name)
            pages[name] = _Released(page, notebook_text(page).encode("utf-8"))
        cells = {
            name: ensure_page(
                gradebook, exercise=name, page=page.notebook, guides=guides(PAGES[name])
            )
            for name, page in pages.items()
        }
        times = submission_times(gradebook)
        for done, one in enumerate(kept, start=1):
            name = one.hand_in.page
            number = one.hand_in.number
            before = read_record(folder=folder, number=number, exercise=name)
            acts = read_moderations(folder=folder, number=number, exercise=name, record=before)
            keep_moderations(folder=folder, number=number, exercise=name, acts=acts)
            entered = times.get((student_id(number), name)) == one.made
            if entered and before and _is_marked(folder, before, one, acts):
                skipped += 1
            else:
                try:
                    record = judged(one=one, class_code=class_code, acts=acts, others=roster)
                    ready.append(_Ready(one, record, before))
                except MarkingError as error:
                    problems.append(f"{one.title}: {error}")
            if len(ready) == AT_ONCE or done == len(kept):
                _write_down(folder, ready, pages=pages, cells=cells, gradebook=gradebook)
                marked += ready
                ready = []
            progress(done, len(kept))
    return MarkingResult(
        marked=tuple(each.record for each in marked),
        skipped=skipped,
        problems=tuple(problems),
        before={
            (each.record.number, each.record.exercise): each.before
            for each in marked
            if each.before is not None
        },
    )


def _is_marked(folder: Path, record: MarkRecord, one: Kept, acts: tuple[Moderation, ...]) -> bool:
    return (
        stands(record, one)
        and (record.came, record.emptied) == (one.came, one.emptied)
        and record.moderated == acts
        and _notebook_path(folder, "autograded", one.hand_in).is_file()
        and _notebook_path(folder, "submitted", one.hand_in).is_file()
    )


def _write_down(
    folder: Path,
    several: Sequence[_Ready],
    *,
    pages: Mapping[str, _Released],
    cells: Mapping[str, PageCells],
    gradebook: Any,
) -> None:
    """Write some hand-ins down, each step for all of them: notebooks, gradebook, records."""
    if not several:
        return
    write_together(
        file for each in several for file in _notebooks(folder, each, pages[each.record.exercise])
    )
    save_marks(
        gradebook,
        [
            HandInMarks(
                cells=cells[each.record.exercise],
                student=student_id(each.record.number),
                made=each.kept.made,
                marks=[_cell_mark(each, verdict) for verdict in each.record.verdicts],
            )
            for each in several
        ],
    )
    write_records(folder=folder, records=(each.record for each in several))


def _cell_mark(ready: _Ready, verdict: Verdict) -> CellMark:
    before, acts = ready.before, ready.record.moderated
    question = PAGES[ready.record.exercise].question(verdict.key)
    earlier = before.verdict(verdict.key) if before else None
    practical = isinstance(question.kind, Practical)
    changed = (
        earlier is None or earlier.entered != verdict.entered or earlier.mark != verdict.mark
    ) and not practical
    waiting = verdict.state == "waiting"
    own = [act for act in acts if act.entry == verdict.key]
    act = own[-1] if own else None
    is_new = act is not None and (before is None or act not in before.moderated)
    given = standing_moderations(acts).get(verdict.key)
    withdrawn = own[-2].mark if is_new and given is None and len(own) > 1 else None
    return CellMark(
        key=verdict.key,
        mark=None if waiting else float(verdict.mark),
        changed=changed,
        comment=verdict.reason if question.by_assessor and not waiting else "",
        moderated=min(max(given.mark, 0.0), verdict.out_of)
        if given and given.mark
        else (0.0 if given else None),
        enter=is_new and given is not None,
        settled=given is not None
        and given.question == one_question_version(question)
        and (practical or given.hand_in == ready.record.hand_in),
        take_back=withdrawn,
        put_back=act.screen if act and withdrawn is not None else None,
    )


def _notebook_path(folder: Path, step: str, hand_in: HandIn) -> Path:
    return folder / step / student_id(hand_in.number) / hand_in.page / f"{hand_in.page}.ipynb"


def _notebooks(folder: Path, ready: _Ready, page: _Released) -> Iterator[tuple[Path, bytes]]:
    """Yield the files of a hand-in that nbgrader's marking screen looks for."""
    hand_in = ready.kept.hand_in
    questions, verdicts = PAGES[hand_in.page], ready.record.verdicts
    marked = notebook_text(rebuild(page=page.notebook, questions=questions, verdicts=verdicts))
    stamp = ready.kept.made.strftime("%Y-%m-%d %H:%M:%S UTC\n").encode("ascii")
    for step, notebook in (("submitted", page.text), ("autograded", marked.encode("utf-8"))):
        path = _notebook_path(folder, step, hand_in)
        if step == "submitted":
            yield path.parent / HAND_IN_NAME, ready.kept.content
        yield path.parent / "timestamp.txt", stamp
        yield path, notebook


def _clear_unfinished(folder: Path) -> None:
    """Remove what a run that was cut off had not finished writing."""
    for step in _WRITTEN:
        for path in (folder / step).rglob(".writing-*.part"):
            path.unlink(missing_ok=True)
