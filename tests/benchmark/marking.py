"""Marking: one hand-in against nbgrader as it comes, growth with the class, the whole demo."""

from __future__ import annotations

import json
import logging
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from benchmark.classes import CODE, FilledClass, fill_class
from benchmark.table import (
    Row,
    Times,
    as_installed,
    at_least,
    at_most,
    clock,
    profile_of,
    row,
)

__all__ = ["measure_again", "measure_demo", "measure_growth", "measure_marking"]

#: What nbgrader's kernel has to have for the released pages to give marks: each entry's cell
#: shows its mark as a number. It stands in the kernel's start-up folder, so that the pages
#: themselves are those that are handed out.
START_UP = """
def _mark_entries():
    import json, pathlib
    about = json.loads(pathlib.Path("who.json").read_text())
    from keycourse import lesson
    from coursework.course import PAGES, issue_card
    from coursework.page.entries import EntriesFile
    from coursework.judging import judge_page
    page = PAGES[about["page"]]
    card = issue_card(exercise=page.name, class_code=about["class"], number=about["number"])
    texts = EntriesFile(pathlib.Path("answers.json")).texts()
    marks = {v.key: float(v.mark) for v in judge_page(page, card, texts)}
    by_hand = {q.key for q in page.questions if q.by_assessor}
    lesson.ask = lambda key: None if key in by_hand else marks[key]

import pathlib
if pathlib.Path("who.json").exists():
    _mark_entries()
"""


@contextmanager
def _silent() -> Iterator[None]:
    """Keep what nbgrader and its kernels print out of the table."""
    kept, nothing = os.dup(2), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 2)
    try:
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nothing)


@contextmanager
def _kernel_with(start_up: str, place: Path) -> Iterator[None]:
    folder = place / "ipython" / "profile_default" / "startup"
    folder.mkdir(parents=True)
    (folder / "00-marks.py").write_text(start_up)
    before = os.environ.get("IPYTHONDIR")
    os.environ["IPYTHONDIR"] = str(place / "ipython")
    try:
        yield
    finally:
        os.environ.pop("IPYTHONDIR")
        if before is not None:
            os.environ["IPYTHONDIR"] = before


def _mark(filled: FilledClass) -> Any:
    from coursework.course import issue_card
    from coursework.mark.marker import mark_class

    issue_card.cache_clear()  # a marking run begins without any card drawn
    result = mark_class(folder=filled.folder.folder, class_code=CODE, roster=filled.folder.names)
    if result.problems:
        raise RuntimeError("; ".join(result.problems[:3]))
    return result


def _grades(folder: Path) -> dict[tuple[str, str, str], float | None]:
    from coursework.mark.gradebook import database_url, open_gradebook, read_grades

    with open_gradebook(db_url=database_url(folder)) as gradebook:
        return {(one.student, one.exercise, one.key): one.auto for one in read_grades(gradebook)}


def _stock(filled: FilledClass, place: Path, numbers: list[int]) -> tuple[Times, Path]:
    """Run nbgrader's own autograde, a kernel a hand-in; return its times and its folder."""
    from nbgrader.converters import Autograde, GenerateAssignment
    from nbgrader.coursedir import CourseDirectory
    from traitlets.config import Config

    from coursework.course import PAGES, exercises_folder
    from coursework.mark.gradebook import ensure_students, open_gradebook, student_id

    course = place / "stock"
    course.mkdir()
    solutions = exercises_folder().parent / "solutions"
    settings = Config()
    settings.CourseDirectory.root = str(course)
    settings.CourseDirectory.source_directory = str(solutions)
    settings.CourseDirectory.release_directory = str(course / "release")
    settings.ExecutePreprocessor.timeout = 120
    with open_gradebook(db_url=f"sqlite:///{course / 'gradebook.db'}") as gradebook:
        ensure_students(gradebook, filled.folder.names)
    logging.getLogger("traitlets").setLevel(logging.ERROR)

    def run(converter: Any, exercise: str, student: str = "*") -> None:
        there = CourseDirectory(config=settings, assignment_id=exercise, student_id=student)
        one = converter(coursedir=there, config=settings)
        one.log.setLevel(logging.ERROR)
        one.start()

    for exercise in PAGES:
        run(GenerateAssignment, exercise)
    times = Times()
    with _silent(), _kernel_with(START_UP, place):
        for number in numbers:
            for exercise in PAGES:
                folder = course / "submitted" / student_id(number) / exercise
                folder.mkdir(parents=True)
                name = f"{exercise}.ipynb"
                shutil.copyfile(exercises_folder() / exercise / name, folder / name)
                texts = filled.entries[number, exercise]
                answers = {"format": "taperkey answers", "version": 1, "revision": 1, "notes": {}}
                answers["entries"] = {
                    key: {"text": text, "saved": "2026-11-25T12:00:00Z"}
                    for key, text in texts.items()
                }
                (folder / "answers.json").write_text(json.dumps(answers))
                who = {"class": CODE, "number": number, "page": exercise}
                (folder / "who.json").write_text(json.dumps(who))
                times += clock(lambda e=exercise, n=number: run(Autograde, e, student_id(n)))
    return times, course


def measure_marking(quick: bool) -> list[Row]:
    """Compare marking one hand-in with nbgrader's own way on the same pages and entries."""
    from coursework.course import PAGES

    count = 8 if quick else 30
    with tempfile.TemporaryDirectory() as place:
        root = Path(place)
        whole, last, again = Times(), None, Times()
        for turn in range(2 if quick else 5):
            last = fill_class(root / f"class{turn}", apprentices=count)
            size = len(last.entries)
            once = clock(lambda one=last: _mark(one))
            whole += Times([once.wall[0] / size], [once.cpu[0] / size])
            twice = clock(lambda one=last: _mark(one))
            again += Times([twice.wall[0] / size], [twice.cpu[0] / size])
        numbers = list(range(1, 2 if quick else 4))
        stock, course = _stock(last, root, numbers)
        theirs = _grades(course)
        ours = _grades(last.folder.folder)
        different = [key for key, mark in theirs.items() if ours.get(key, -1.0) != mark]
        base = row(
            "mark",
            "nbgrader autograde as it comes, a kernel a hand-in",
            stock,
            note=f"{len(numbers)} × {len(PAGES)} hand-ins",
        )
        profiled = fill_class(root / "profiled", apprentices=max(2, count // 4))
        note = f"{count} × {len(PAGES)} hand-ins; of {len(theirs)} marks {len(different)} differ"
        if different:
            note += f": {different[:3]}"
        floor = _floor(last, root, rounds=200)
        mine = row(
            "mark",
            f"marking one hand-in, of {size}",
            whole,
            against=base,
            limits=[at_least("faster", 250.0)],
            note=note,
            rest=profile_of(lambda: _mark(profiled), most=10),
        )
        return [
            base,
            mine,
            row("mark", "the same run again, nothing new", again, against=base),
            row(
                "mark", "the least: read one hand-in, one write to a gradebook", floor, against=base
            ),
        ]


def _floor(filled: FilledClass, root: Path, rounds: int) -> Times:
    """Time reading a hand-in and putting its marks into a database in one transaction."""
    from coursework.page.handin import read_hand_in

    paths = sorted(filled.folder.hand_ins.rglob("*.json"))
    database = sqlite3.connect(root / "least.db")
    database.execute(
        "CREATE TABLE grade (student, page, key, mark, PRIMARY KEY (student, page, key))"
    )
    places = iter(range(rounds))

    def one() -> None:
        number = next(places)
        hand_in = read_hand_in(paths[number % len(paths)].read_bytes())
        with database:
            database.executemany(
                "INSERT INTO grade VALUES (?, ?, ?, ?)",
                [(number, hand_in.page, key, 1.0) for key in hand_in.entries],
            )

    times = clock(one, rounds)
    database.close()
    return times


def measure_again(quick: bool) -> list[Row]:
    """Compare the command `mark` with nothing new, and with one byte new, with marking all."""
    from coursework.course import PAGES

    count, rounds = (8, 2) if quick else (25, 5)
    every, byte, nothing = Times(), Times(), Times()
    with tempfile.TemporaryDirectory() as place:
        env = as_installed(Path(place))

        def mark(folder: Path, told: str) -> None:
            command = [sys.executable, "-m", "keycourse.cli", "mark", str(folder)]
            done = subprocess.run(command, env=env, check=True, capture_output=True, text=True)
            if told not in done.stdout:
                raise RuntimeError(done.stdout)

        for turn in range(-1, rounds):  # the first is the first start, and does not count
            filled = fill_class(Path(place) / f"class{turn}", apprentices=count)
            size, folder = len(filled.entries), filled.folder.folder
            once = clock(lambda f=folder, n=size: mark(f, f"{n} marked, 0 marked before"))
            settings = folder / "class.toml"
            told = f"0 marked, {size} marked before"
            again = clock(lambda f=folder, t=told: mark(f, t), 3)
            settings.write_bytes(settings.read_bytes() + b"\n")
            other = clock(lambda f=folder, t=told: mark(f, t))
            if turn >= 0:
                every += once
                nothing += again
                byte += other
    base = row("again", f"mark, {count} × {len(PAGES)}, all new, as a fresh command", every,
               unit="s")  # fmt: skip
    return [
        base,
        row("again", "mark again, one byte of class.toml new", byte, against=base, faster=False,
            unit="s"),
        row("again", "mark again, nothing new", nothing, against=base, faster=False, unit="s",
            limits=[at_most("share", 0.15), at_most("cpu_share", 0.15)]),
    ]  # fmt: skip


def measure_growth(quick: bool) -> list[Row]:
    """Compare the time per hand-in in a large class with that in a small one."""
    from coursework.course import PAGES

    large = 400 if quick else 2000
    rows: list[Row] = []
    with tempfile.TemporaryDirectory() as place:
        for size, rounds in ((50, 2 if quick else 7), (large, 1 if quick else 2)):
            times = Times()
            for turn in range(rounds):
                room = Path(place) / f"{size}-{turn}"
                filled = fill_class(room, apprentices=min(999, -(-size // len(PAGES))), most=size)
                once = clock(lambda one=filled: _mark(one))
                times += Times(
                    [once.wall[0] / len(filled.entries)], [once.cpu[0] / len(filled.entries)]
                )
                shutil.rmtree(room)
            first = rows[0] if rows else None
            rows.append(
                row(
                    "growth",
                    f"marking one hand-in of {len(filled.entries):,}",
                    times,
                    against=first,
                    faster=False,
                    limits=[at_most("share", 1.15)] if first else [],
                )
            )
    return rows


def measure_demo(quick: bool) -> list[Row]:
    """Time the whole invented class."""
    from coursework.course import PAGES
    from keycourse.demo import HABITS, run_demo

    with tempfile.TemporaryDirectory() as place:
        names = iter(range(100))
        times = clock(lambda: run_demo(Path(place) / f"demo{next(names)}"), 1 if quick else 3)
        begun = time.perf_counter()
        rest = profile_of(lambda: run_demo(Path(place) / "profiled"), most=8)
    what = f"whole invented class of {len(HABITS)} × {len(PAGES)}, issued to report"
    note = f"profiled run {time.perf_counter() - begun:.1f} s"
    return [row("demo", what, times, unit="s", rest=rest, note=note)]
