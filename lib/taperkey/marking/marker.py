"""Mark a class: from kept hand-ins to notebooks, gradebook and records.

A hand-in is data, so nothing that an apprentice typed is ever run. The notebook
that the assessor sees is built from the released page; the hand-in gives only
the raw text of known questions. Marks go straight into nbgrader's gradebook,
one transaction a hand-in.

The order is notebook files, gradebook, record. Each is written whole or not at
all and the record comes last, so a run that was cut off anywhere is completed
by the next one, and a hand-in whose record stands is left alone.
"""

from __future__ import annotations

import copy
import hashlib
import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import nbformat
from filelock import FileLock, Timeout
from nbformat import NotebookNode

from taperkey.files import write_whole
from taperkey.marking.gradebook import (
    CellMark,
    PageCells,
    database_url,
    ensure_page,
    ensure_students,
    open_gradebook,
    save_marks,
    student_id,
    submission_times,
)
from taperkey.marking.records import (
    MarkRecord,
    marker_version,
    question_version,
    read_record,
    write_record,
)
from taperkey.marking.release import exercises_folder
from taperkey.worksheet.bank import PAGES, issue_card
from taperkey.worksheet.handin import HandIn, HandInError, read_hand_in
from taperkey.worksheet.question import Page, Practical, Question, Verdict, Written, judge_page

__all__ = [
    "HAND_IN_NAME",
    "MarkingError",
    "MarkingResult",
    "guides",
    "inert",
    "judge_hand_in",
    "mark_class",
    "rebuild",
    "released_page",
    "shown",
]

HAND_IN_NAME = "hand-in.json"  # beside the submitted notebook

_GUIDE = re.compile(r"^.*BEGIN MARK SCHEME.*$", re.MULTILINE)
_POINT = re.compile(r"\s+(?=\d+ marks?\b)")
_HIDDEN = ("<!-- BEGIN MARK SCHEME -->", "<!-- END MARK SCHEME -->")  # nbgrader's marks, unseen


class MarkingError(RuntimeError):
    """The class, or one hand-in, cannot be marked; the text is one sentence and what to do."""


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
    """

    marked: tuple[MarkRecord, ...]
    skipped: int
    problems: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class _Kept:
    """A kept hand-in, read."""

    content: bytes
    hand_in: HandIn

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.content).hexdigest()

    @property
    def made(self) -> datetime:
        return datetime.fromisoformat(self.hand_in.made).replace(tzinfo=None)

    @property
    def title(self) -> str:
        return f"Apprentice {self.hand_in.number:03d}, {self.hand_in.page}"


def mark_class(
    *,
    folder: Path,
    class_code: str,
    roster: Mapping[int, str],
    progress: Callable[[int, int], None] | None = None,
    exercises: Path | None = None,
    db_url: str | None = None,
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
        kept, problems = _newest(folder, class_code, roster)
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
    kept: Sequence[_Kept],
    problems: list[str],
    progress: Callable[[int, int], None],
    exercises: Path,
    db_url: str,
) -> MarkingResult:
    marked: list[MarkRecord] = []
    skipped = 0
    with open_gradebook(db_url=db_url) as gradebook:
        ensure_students(gradebook, roster)
        pages = {name: released_page(exercises=exercises, exercise=name) for name in PAGES}
        cells = {
            name: ensure_page(gradebook, exercise=name, page=page, guides=guides(PAGES[name]))
            for name, page in pages.items()
        }
        times = submission_times(gradebook)
        for done, one in enumerate(kept, start=1):
            name = one.hand_in.page
            number = one.hand_in.number
            before = read_record(folder=folder, number=number, exercise=name)
            stands = times.get((student_id(number), name)) == one.made
            if stands and _is_marked(folder, before, one):
                skipped += 1
            else:
                try:
                    record = _mark_one(
                        folder=folder,
                        class_code=class_code,
                        one=one,
                        before=before,
                        page=pages[name],
                        cells=cells[name],
                        gradebook=gradebook,
                    )
                    marked.append(record)
                except MarkingError as error:
                    problems.append(f"{one.title}: {error}")
            progress(done, len(kept))
    return MarkingResult(marked=tuple(marked), skipped=skipped, problems=tuple(problems))


def _is_marked(folder: Path, record: MarkRecord | None, one: _Kept) -> bool:
    name = one.hand_in.page
    return (
        record is not None
        and record.hand_in == one.sha256
        and record.question_version == question_version(PAGES[name])
        and record.marker_version == marker_version()
        and _notebook_path(folder, "autograded", one.hand_in).is_file()
        and _notebook_path(folder, "submitted", one.hand_in).is_file()
    )


def _mark_one(
    *,
    folder: Path,
    class_code: str,
    one: _Kept,
    before: MarkRecord | None,
    page: Any,
    cells: PageCells,
    gradebook: Any,
) -> MarkRecord:
    hand_in = one.hand_in
    questions = PAGES[hand_in.page]
    verdicts = judge_hand_in(hand_in=hand_in, class_code=class_code, number=hand_in.number)
    _write_notebooks(folder, one, page, rebuild(page=page, questions=questions, verdicts=verdicts))
    save_marks(
        gradebook,
        cells=cells,
        student=student_id(hand_in.number),
        made=one.made,
        marks=[_cell_mark(questions.question(each.key), each, before) for each in verdicts],
    )
    record = MarkRecord(
        number=hand_in.number,
        exercise=hand_in.page,
        class_code=class_code,
        hand_in=one.sha256,
        made=hand_in.made,
        page_version=hand_in.page_version,
        question_version=question_version(questions),
        marker_version=marker_version(),
        verdicts=verdicts,
    )
    write_record(folder=folder, record=record)
    return record


def judge_hand_in(*, hand_in: HandIn, class_code: str, number: int) -> tuple[Verdict, ...]:
    """Judge a hand-in on the job card of this class and number, whatever the file says.

    Raises
    ------
    MarkingError
        One sentence, where it cannot be judged.
    """
    try:
        card = issue_card(exercise=hand_in.page, class_code=class_code, number=number)
        verdicts = judge_page(PAGES[hand_in.page], card, hand_in.entries)
    except (ArithmeticError, ValueError, LookupError) as error:
        raise MarkingError(
            f"it could not be judged ({error}). Tell whoever looks after the course; the hand-in "
            "is kept."
        ) from error
    for verdict in verdicts:
        if not (math.isfinite(verdict.mark) and 0 <= verdict.mark <= verdict.out_of):
            raise MarkingError(
                f"the mark of {verdict.key} is {verdict.mark:g}; it must be from 0 to "
                f"{verdict.out_of:g}. Tell whoever looks after the course; the hand-in is kept."
            )
    return verdicts


def _cell_mark(question: Question, verdict: Verdict, before: MarkRecord | None) -> CellMark:
    earlier = before.verdict(verdict.key) if before else None
    changed = (
        earlier is None or earlier.entered != verdict.entered or earlier.mark != verdict.mark
    ) and not isinstance(question.kind, Practical)
    waiting = verdict.state == "waiting"
    return CellMark(
        key=verdict.key,
        mark=None if waiting else float(verdict.mark),
        changed=changed,
        comment=verdict.reason if question.by_assessor and not waiting else "",
    )


def guides(page: Page) -> dict[str, str]:
    """Return the marking guides of a page by question key."""
    return {
        question.key: question.kind.guide
        for question in page.questions
        if isinstance(question.kind, (Written, Practical))
    }


def released_page(*, exercises: Path, exercise: str) -> Any:
    """Read a released page, without anything it may have shown.

    Raises
    ------
    MarkingError
        One sentence, where it is not there or does not hold the questions.
    """
    path = exercises / exercise / f"{exercise}.ipynb"
    try:
        page: Any = nbformat.read(path, as_version=4)  # type: ignore[no-untyped-call]
    except Exception as error:
        raise MarkingError(
            f"The released page {path} cannot be read. Make the released pages again from their "
            "masters."
        ) from error
    held = set()
    for cell in page.cells:
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None
        about = cell.metadata.get("nbgrader", {})
        if about.get("grade") or about.get("task"):
            held.add(about["grade_id"])
    wanted = {question.key for question in PAGES[exercise].questions}
    if held != wanted:
        raise MarkingError(
            f"The released page {exercise} does not hold the course's questions "
            f"({', '.join(sorted(held ^ wanted))}). Make the released pages again from their "
            "masters."
        )
    return page


def rebuild(*, page: Any, questions: Page, verdicts: Sequence[Verdict]) -> Any:
    """Return the notebook that the assessor sees, built from the released page.

    Parameters
    ----------
    page : notebook
        The released page; left as it is.
    questions : Page
        Its questions.
    verdicts : sequence of Verdict
        One a question.
    """
    notebook = copy.deepcopy(page)
    judged = {verdict.key: verdict for verdict in verdicts}
    for cell in notebook.cells:
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None
        about = cell.metadata.get("nbgrader", {})
        verdict = judged.get(about.get("grade_id", ""))
        if verdict is None:
            continue
        if about.get("task"):
            cell.source = _task_source(cell.source, questions.question(verdict.key), verdict)
        elif about.get("grade"):
            cell.outputs = _outputs(verdict)
    return notebook


def _outputs(verdict: Verdict) -> list[Any]:
    entered = shown(verdict.entered).strip()
    lines = [f"Entry: {entered}" if entered else "No entry", verdict.reason]
    if verdict.slip:
        lines.append(f"Slip: {verdict.slip}")
    if verdict.critical:
        lines.insert(0, "SAFETY-CRITICAL, NOT RIGHT")
    lines.append(f"Mark: {verdict.mark:g} of {verdict.out_of:g}")
    outputs: list[dict[str, Any]] = [
        {"output_type": "display_data", "data": {"text/plain": "\n".join(lines)}, "metadata": {}},
        {
            "output_type": "execute_result",
            "data": {"text/plain": str(float(verdict.mark))},
            "metadata": {},
            "execution_count": None,
        },
    ]
    return [NotebookNode(one) for one in outputs]  # type: ignore[no-untyped-call]


def _task_source(source: str, question: Question, verdict: Verdict) -> str:
    parts = [_GUIDE.split(source)[0].rstrip()]
    if isinstance(question.kind, Written):
        if verdict.entered.strip():
            answer = inert(verdict.entered.strip("\n"))
            parts.append(
                "**The apprentice wrote:**\n\n"
                f'<pre class="answer" style="white-space: pre-wrap">{answer}</pre>'
            )
        else:
            parts.append("**The apprentice wrote nothing.**")
    if isinstance(question.kind, (Written, Practical)):
        points = _POINT.sub("\n- ", " " + question.kind.guide.strip()).strip()
        parts.append(f"{_HIDDEN[0]}\n\n**Marking guide**\n\n{points}\n\n{_HIDDEN[1]}")
    return "\n\n".join(parts)


def shown(text: str) -> str:
    """Return the text with one kind of line end and no control characters."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(
        sign if sign in "\n\t" or (sign >= " " and not "\x7f" <= sign <= "\x9f") else "\ufffd"
        for sign in lines
    )


def inert(text: str) -> str:
    """Return text as HTML in which nothing is left to interpret.

    All but letters and digits is written as a numbered character, so neither HTML nor markdown
    nor mathematics nor one of nbgrader's marks can begin, and the whole is one line. It belongs
    in a ``<pre>``.

    Examples
    --------
    >>> inert("a < b")
    'a&#32;&#60;&#32;b'
    """
    return "".join(sign if sign.isalnum() else f"&#{ord(sign)};" for sign in shown(text))


def _notebook_path(folder: Path, step: str, hand_in: HandIn) -> Path:
    return folder / step / student_id(hand_in.number) / hand_in.page / f"{hand_in.page}.ipynb"


def _write_notebooks(folder: Path, one: _Kept, page: Any, marked: Any) -> None:
    stamp = one.made.strftime("%Y-%m-%d %H:%M:%S UTC\n").encode("ascii")
    for step, notebook in (("submitted", page), ("autograded", marked)):
        path = _notebook_path(folder, step, one.hand_in)
        if step == "submitted":
            write_whole(path.parent / HAND_IN_NAME, one.content)
        write_whole(path.parent / "timestamp.txt", stamp)
        text: str = nbformat.v4.writes(notebook)  # type: ignore[no-untyped-call]
        write_whole(path, text.encode("utf-8"))


def _clear_unfinished(folder: Path) -> None:
    """Remove what a run that was cut off had not finished writing."""
    for step in ("submitted", "autograded", "records"):
        for path in (folder / step).rglob(".writing-*.part"):
            path.unlink(missing_ok=True)


def _newest(
    folder: Path, class_code: str, roster: Mapping[int, str]
) -> tuple[list[_Kept], list[str]]:
    """Return the newest kept hand-in of each apprentice and exercise, and what is wrong."""
    found: list[_Kept] = []
    problems: list[str] = []
    for place in sorted((folder / "hand-ins").glob("[0-9][0-9][0-9]/*")):
        if not place.is_dir():
            continue
        number, exercise = int(place.parent.name), place.name
        title = f"Apprentice {number:03d}, {exercise}"
        if exercise not in PAGES:
            problems.append(f"{title}: the course has no such exercise. Set the folder aside.")
            continue
        if number not in roster:
            problems.append(f"{title}: the number is not on the roster. Add it, or set it aside.")
            continue
        best: tuple[str, str, _Kept] | None = None
        broken = ""
        for path in sorted(place.glob("*.json")):
            try:
                content = path.read_bytes()
                hand_in = read_hand_in(content)
                _require_place(hand_in, class_code, number, exercise)
            except (OSError, HandInError) as error:
                broken = path.name
                problems.append(f"{title}: {path.name} was not marked. {error}")
                continue
            one = (hand_in.made, path.name, _Kept(content=content, hand_in=hand_in))
            if best is None or one[:2] > best[:2]:
                best = one
        if best is not None and best[1] > broken:
            found.append(best[2])
    return found, problems


def _require_place(hand_in: HandIn, class_code: str, number: int, exercise: str) -> None:
    if (hand_in.class_code, hand_in.number, hand_in.page) != (class_code, number, exercise):
        raise HandInError(
            f"It says class {hand_in.class_code}, number {hand_in.number}, {hand_in.page}; it "
            f"must be class {class_code}, number {number}, {exercise}. Move it where it belongs."
        )
