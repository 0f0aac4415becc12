"""Put the notebook-borne kinds of bad hand-in through nbgrader's autograde as it comes.

    python tests/hostile_stock.py            the table
    python tests/hostile_stock.py --json F   the figures, too
    python tests/hostile_stock.py --kind script   only kinds with this word in the name

In a throw-away course, one apprentice a kind: which ran code on the machine
that marks, in which does a script stay in the page that the marker opens, in
which does the graded entry get marks that it did not earn, which stop the run.
Beside it stands what the course's own marking does with the same files. Run it
where nothing is to be harmed: the code that runs only makes an empty file.
"""

from __future__ import annotations

import argparse
import json
import logging
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import hostile_kinds as kinds
import hostile_notebooks as notebooks

ROOT = Path(__file__).resolve().parents[1]
TIMEOUT_S = 60
Row = dict[str, Any]
Kinds = Sequence[notebooks.NotebookKind]


def settings_of(course: Path) -> Any:
    """Return nbgrader's settings as they come, but for the names of two folders."""
    from traitlets.config import Config

    settings = Config()
    settings.CourseDirectory.root = str(course)
    settings.CourseDirectory.source_directory = "solutions"
    settings.CourseDirectory.release_directory = "exercises"
    settings.CourseDirectory.db_url = f"sqlite:///{course / 'gradebook.db'}"
    settings.Execute.timeout = TIMEOUT_S
    settings.ExecutePreprocessor.timeout = TIMEOUT_S
    return settings


def converted(converter: Any, course: Path, **about: str) -> str:
    """Run one step of nbgrader; return what stopped it, or nothing."""
    from nbgrader.coursedir import CourseDirectory

    settings = settings_of(course)
    log = logging.Logger("stock", level=logging.CRITICAL)
    log.addHandler(logging.NullHandler())
    directory = CourseDirectory(config=settings, assignment_id=kinds.PAGE, log=log, **about)
    try:
        converter(coursedir=directory, config=settings, log=log).start()
    except (Exception, SystemExit) as error:
        return type(error).__name__
    return ""


def earned(course: Path, student: str) -> float | None:
    """Return the marks of the graded entry in the gradebook."""
    from nbgrader.api import Gradebook, MissingEntry

    with Gradebook(f"sqlite:///{course / 'gradebook.db'}") as gradebook:
        try:
            grade = gradebook.find_grade(kinds.ENTRY, kinds.PAGE, kinds.PAGE, student)
        except MissingEntry:
            return None
        return float(grade.score)


def stock(place: Path, chosen: Kinds) -> list[Row]:
    """Run every kind through nbgrader; return a row each."""
    from nbgrader.converters import Autograde, GenerateAssignment

    from coursework.mark.gradebook import database_url, open_gradebook

    course, canary = place / "course", place / "canary"
    canary.mkdir()
    shutil.copytree(ROOT / "solutions" / kinds.PAGE, course / "solutions" / kinds.PAGE)
    with open_gradebook(db_url=database_url(course)):
        pass
    stopped = converted(GenerateAssignment, course)
    if stopped:
        raise SystemExit(f"The page could not be released: {stopped}.")
    os.chdir(course)
    rows = []
    for place_of, kind in enumerate(chosen):
        student, made = f"k{place_of:02d}", canary / f"k{place_of:02d}"
        for name, content in kind.files(made).items():
            path = course / "submitted" / student / kinds.PAGE / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        begun = time.monotonic()
        stopped = converted(Autograde, course, student_id=student)
        time.sleep(0.3)  # what outlives its cell
        marked = course / "autograded" / student / kinds.PAGE / notebooks.NOTEBOOK
        text = marked.read_text("utf-8") if marked.is_file() else ""
        rows.append(
            {
                "kind": kind.name,
                "ran": made.exists(),
                "script": "document.title = 'ran'" in text or "onload='alert" in text,
                "marks": earned(course, student),
                "stopped": stopped,
                "seconds": round(time.monotonic() - begun, 1),
            }
        )
        one = rows[-1]
        print(
            f"{one['kind'][:44]:44} {'RAN' if one['ran'] else '-':4} "
            f"{'script stays' if one['script'] else '-':13} "
            f"{'-' if one['marks'] is None else one['marks']:>6} {one['stopped'] or '-':18} "
            f"{one['seconds']:5.1f} s",
            flush=True,
        )
    return rows


def ours(place: Path, chosen: Kinds) -> list[Row]:
    """Hand the same files in to the course; return a row each."""
    from coursework.room.assessing import mark_and_report
    from coursework.room.classfolder import new_class
    from coursework.room.roster import Apprentice

    canary = place / "canary-ours"
    canary.mkdir()
    people = [Apprentice(one + 1, f"Sender {one}") for one in range(len(chosen))]
    room = new_class(place / "class", code=kinds.CLASS, title="Trial", roster=people)
    for one, kind in enumerate(chosen):
        for name, content in kind.files(canary / f"k{one:02d}").items():
            path = room.inbox / f"k{one:02d}" / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
    mark_and_report(room)
    reasons = (room.set_aside / "reasons.txt").read_text("utf-8")
    return [
        {
            "kind": kind.name,
            "ran": (canary / f"k{one:02d}").exists(),
            "set_aside": f"k{one:02d}/" in reasons,
        }
        for one, kind in enumerate(chosen)
    ]


def main() -> int:
    """Print the table and the sums."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--json", type=Path, help="write the figures here, too")
    parser.add_argument("--kind", default="", help="only kinds with this in the name")
    choice = parser.parse_args()
    chosen = [one for one in notebooks.NOTEBOOKS if choice.kind in one.name]
    out = choice.json.resolve() if choice.json else None
    with tempfile.TemporaryDirectory(prefix="stock-") as room:
        place = Path(room).resolve()
        os.environ["HOME"] = str(place / "home")
        (place / "home").mkdir()
        mine = ours(place, chosen)
        print(f"{'kind':44} {'ran':4} {'script':13} {'marks':>6} {'stopped by':18}")
        rows = stock(place, chosen)
        os.chdir(ROOT)
    print(
        f"nbgrader as it comes: {sum(one['ran'] for one in rows)} of {len(rows)} kinds ran code, "
        f"{sum(one['script'] for one in rows)} left a script in the marker's page, "
        f"{sum(bool(one['marks']) for one in rows)} got marks for an entry that was never made, "
        f"{sum(bool(one['stopped']) for one in rows)} stopped their marking."
    )
    print(
        f"this course: {sum(one['ran'] for one in mine)} of {len(mine)} ran code, "
        f"{sum(one['set_aside'] for one in mine)} set aside with a sentence."
    )
    if out:
        out.write_text(json.dumps({"stock": rows, "course": mine}, indent=1))
    return 0


if __name__ == "__main__":
    sys.exit(main())
