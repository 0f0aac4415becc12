"""Make the released pages in ``exercises/`` from their masters in ``solutions/``.

nbgrader does the work, in a folder that is thrown away: worked solutions and
marking guides come out, checksums go in. Then the page is written in one fixed
form and stamped with a version, so that the same masters give the same bytes.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import logging
import re
import shutil
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import nbformat
from nbgrader.converters import GenerateAssignment
from nbgrader.coursedir import CourseDirectory
from traitlets.config import Config

from coursework.course import PAGES, course
from coursework.ink.signs import hazard_text
from coursework.mark.gradebook import database_url, open_gradebook, scheme
from coursework.mark.pages import guide_text
from coursework.page.pagefolder import KEPT_HERE
from coursework.question import ByAssessor, Practical, Question
from taperkey.files import write_whole

__all__ = [
    "ReleaseError",
    "assessed_cell",
    "build_release",
    "check_release",
    "main",
    "page_version",
]

STUB = "# The worked solution comes after hand-in."
TEXT_STUB = "The worked solution comes after hand-in."
_SECRET = ("BEGIN SOLUTION", "MARK SCHEME", "HIDDEN TEST", "lesson.solution(")
_RAISED = re.compile(r"[\w.]*(?:Error|Exception): (.+)")
_NEVER_SHIPPED = (*KEPT_HERE, "gradebook.db")


class ReleaseError(RuntimeError):
    """A page cannot be released; the text is one sentence and what to do."""


class _Collect(logging.Handler):
    """Keep the last reason that nbgrader gave."""

    def __init__(self) -> None:
        super().__init__(level=logging.ERROR)
        self.reason = ""

    def emit(self, record: logging.LogRecord) -> None:
        """Take the last line of a traceback, without the name of the error."""
        for line in record.getMessage().splitlines():
            found = _RAISED.fullmatch(line)
            if found and not self.reason:
                self.reason = found.group(1)


def build_release(*, solutions: Path, exercises: Path) -> list[str]:
    """Write the released pages of every master.

    Parameters
    ----------
    solutions : Path
        Folder of the masters, ``NN-name/NN-name.ipynb``.
    exercises : Path
        Folder of the released pages; other files in it are left alone.

    Returns
    -------
    list of str
        Names of the pages, in order.

    Raises
    ------
    ReleaseError
        One sentence, where a master cannot be released; then nothing is written.
    """
    for master, text in _masters_with_words(solutions).items():
        write_whole(master, text)
    built = _build(solutions)
    for path, content in built.items():
        write_whole(exercises / path, content)
    return sorted({path.split("/")[0] for path in built})


def check_release(*, solutions: Path, exercises: Path) -> list[str]:
    """Return a sentence for every page that differs from its master or from the words."""
    built = _build(solutions)
    again = "Make the released pages again."
    differences = [
        f"{path.name} in {solutions.name} says something else than the questions do. {again}"
        for path in _masters_with_words(solutions)
    ]
    for path, content in built.items():
        there = exercises / path
        if not there.is_file():
            differences.append(f"{path} is not in {exercises.name}. {again}")
        elif there.read_bytes().replace(b"\r\n", b"\n") != content:
            differences.append(f"{path} differs from what its master gives. {again}")
    for there in sorted(exercises.glob("*/*.ipynb")):
        path = there.relative_to(exercises).as_posix()
        if path not in built:
            differences.append(f"{path} has no master in {solutions.name}. Delete it.")
    return differences


def assessed_cell(question: Question) -> str:
    """Return what a master's cell says for an entry that an assessor marks, guide included."""
    kind = question.kind
    if not isinstance(kind, ByAssessor):
        raise LookupError(f"{question.key} is not marked by an assessor")
    marks = f"({question.marks:g} mark{'' if question.marks == 1 else 's'})"
    if isinstance(kind, Practical):
        level, said = course().caution(kind.caution)
        parts = [
            f"## At the bench\n\n### {question.label}\n\n{question.ask}",
            hazard_text(level, " ".join(said)),
            f"The assessor watches and signs; nothing is typed here. {marks}",
        ]
    else:
        parts = [f"### {question.label}\n\n{question.ask} {marks}"]
    return "\n\n".join([*parts, scheme(guide_text(kind))])


def _masters_with_words(solutions: Path) -> dict[Path, bytes]:
    """Return the masters whose assessed cells say something else than the questions, put right."""
    changed: dict[Path, bytes] = {}
    for path in sorted(solutions.glob("*/*.ipynb")):
        if path.stem not in PAGES:
            continue
        there = path.read_bytes()
        master = json.loads(there)
        for question in PAGES[path.stem].questions:
            for cell in master["cells"]:
                about = cell["metadata"].get("nbgrader", {})
                if question.by_assessor and about.get("grade_id") == question.key:
                    text = assessed_cell(question)
                    if about.get("task") and "".join(cell["source"]) != text:
                        cell["source"] = text.splitlines(keepends=True)
                        changed[path] = b""
        if path in changed:
            text = json.dumps(master, indent=1, ensure_ascii=False) + "\n"
            changed[path] = text.encode("utf-8")
    return changed


def page_version(cells: Sequence[Any]) -> str:
    """Return 12 hexadecimal digits over the cells of a page."""
    text = json.dumps(
        [
            [cell.get("id", ""), cell["cell_type"], cell["source"], cell["metadata"]]
            for cell in cells
        ],
        sort_keys=True,
        ensure_ascii=False,
    )
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:12]


def _build(solutions: Path) -> dict[str, bytes]:
    masters = sorted(solutions.glob("*/*.ipynb"))
    if not masters:
        raise ReleaseError(f"There is no master in {solutions}. Look at the folder's name.")
    for master in masters:
        if master.stem != master.parent.name:
            raise ReleaseError(
                f"{master.parent.name} holds {master.name}; a master must have the name of its "
                "folder. Rename it."
            )
    built: dict[str, bytes] = {}
    with tempfile.TemporaryDirectory(prefix="release-") as room:
        root = Path(room).resolve()
        shutil.copytree(
            solutions,
            root / "solutions",
            ignore=shutil.ignore_patterns(".*", "__pycache__", *_NEVER_SHIPPED),
        )
        with open_gradebook(db_url=database_url(root)):
            pass  # made complete, so that nbgrader need not start a program for it
        for master in masters:
            name = master.stem
            _generate(root, name)
            made = root / "exercises" / name
            for path in sorted(made.rglob("*")):
                if path.is_file():
                    content = path.read_bytes()
                    if path.suffix == ".ipynb":
                        content = _finish(name, path)
                    built[path.relative_to(root / "exercises").as_posix()] = content
    return built


def _generate(root: Path, name: str) -> None:
    settings = Config()
    settings.CourseDirectory.root = str(root)
    settings.CourseDirectory.source_directory = "solutions"
    settings.CourseDirectory.release_directory = "exercises"
    settings.CourseDirectory.db_url = database_url(root)
    settings.CourseDirectory.assignment_id = name
    settings.ClearSolutions.code_stub = {"python": STUB}
    settings.ClearSolutions.text_stub = TEXT_STUB
    collect = _Collect()
    log = logging.Logger("taperkey.release", level=logging.ERROR)
    log.addHandler(collect)
    try:
        course = CourseDirectory(config=settings, log=log)
        GenerateAssignment(coursedir=course, config=settings, log=log).start()
    except Exception as error:
        reason = (collect.reason or str(error)).rstrip(".")
        raise ReleaseError(
            f"{name} cannot be released: {reason}. Correct the master and run this again."
        ) from error


def _finish(name: str, path: Path) -> bytes:
    page: Any = nbformat.read(path, as_version=4)  # type: ignore[no-untyped-call]
    for cell in page.cells:
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None
        hidden = next((word for word in _SECRET if word in cell.source), None)
        if hidden:
            raise ReleaseError(
                f"{name} would still show “{hidden}” when released. Put it between the marks of a "
                "solution or of a mark scheme in the master."
            )
    _require_questions(name, page)
    about = dict(page.metadata.get("taperkey", {}))
    about["page"] = name
    about["version"] = page_version(page.cells)
    page.metadata["taperkey"] = about
    page.metadata.pop("widgets", None)
    text: str = nbformat.v4.writes(page)  # type: ignore[no-untyped-call]
    return (text.rstrip("\n") + "\n").encode("utf-8")


def _require_questions(name: str, page: Any) -> None:
    if name not in PAGES:
        raise ReleaseError(
            f"{name} is not an exercise of the course; it must be one of: {', '.join(PAGES)}. "
            "Rename the master, or add its questions."
        )
    held: dict[str, float] = {}
    for cell in page.cells:
        about = cell.metadata.get("nbgrader", {})
        if about.get("grade") or about.get("task"):
            held[about["grade_id"]] = float(about["points"])
    wanted = {question.key: question for question in PAGES[name].questions}
    for key, question in wanted.items():
        if key not in held:
            raise ReleaseError(f"{name} has no entry for {key}. Add it to the master.")
        if held[key] != question.marks:
            raise ReleaseError(
                f"{key} is {held[key]:g} points on the page {name}; it must be "
                f"{question.marks:g}, as its question says. Change one of them."
            )
    extra = sorted(held.keys() - wanted.keys())
    if extra:
        raise ReleaseError(
            f"{name} has an entry {extra[0]} that is no question of it. Take it out of the "
            "master, or add the question."
        )


def main(arguments: Sequence[str] | None = None) -> int:
    """Run from the command line; return 0, or 1 with a sentence."""
    parser = argparse.ArgumentParser(
        prog="python -m coursework.mark.release",
        description="Make the released pages from their masters.",
    )
    parser.add_argument("solutions", type=Path, help="folder of the masters")
    parser.add_argument("exercises", type=Path, help="folder of the released pages")
    parser.add_argument("--check", action="store_true", help="compare only, write nothing")
    chosen = parser.parse_args(arguments)
    try:
        if chosen.check:
            differences = check_release(solutions=chosen.solutions, exercises=chosen.exercises)
            for difference in differences:
                print(difference, file=sys.stderr)
            if not differences:
                print(f"{chosen.exercises} agrees with {chosen.solutions}.")
            return 1 if differences else 0
        names = build_release(solutions=chosen.solutions, exercises=chosen.exercises)
    except (ReleaseError, OSError) as error:
        print(error, file=sys.stderr)
        return 1
    print(f"Released to {chosen.exercises}: {', '.join(names)}.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
