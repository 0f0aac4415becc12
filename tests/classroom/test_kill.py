"""Killed at any moment and started again: the same marks as of a run left alone.

In the ordinary suite a small class is killed at a few moments. The whole trial,
60 apprentices with every exercise at 20 moments, is asked for with

    TAPERKEY_KILL=60x20 pytest tests/classroom/test_kill.py -n 0 -s

and prints at which share of the work each kill fell.
"""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
import time
from datetime import UTC, datetime

import pytest

from coursework.course import PAGES, issue_card
from coursework.judging import right_answers, show_answer
from coursework.mark.gradebook import database_url, open_gradebook, read_grades
from coursework.mark.versions import marker_version
from coursework.page.handin import write_hand_in
from coursework.room.assessing import mark_and_report, verify_class
from coursework.room.classfolder import new_class, open_class
from coursework.room.roster import Apprentice

from .children import kill_after, start_child, wait_for

pytestmark = [
    pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that forks"),
    pytest.mark.timeout(3600),
]

PEOPLE, KILLS = (int(part) for part in os.environ.get("TAPERKEY_KILL", "3x4").split("x"))
NOW = datetime(2026, 11, 26, 8, tzinfo=UTC)
SEED = 1906


def entries_of(page, number):
    """Return entries of which most are right, some wrong, some blank, by number."""
    card = issue_card(exercise=page.name, class_code="QQ-26", number=number)
    entries = {}
    for place, (key, answer) in enumerate(right_answers(page, card).items()):
        turn = (number + place) % 7
        if turn != 5:
            entries[key] = "99" if turn == 6 else show_answer(page.question(key), answer)
    for question in page.questions:
        if question.by_assessor and not question.key.endswith("sign-off"):
            entries[question.key] = f"Because of the clearance, says number {number}."
    return entries


@pytest.fixture(scope="module")
def handed_in(tmp_path_factory):
    """Return a class folder with everything in its inbox."""
    people = [Apprentice(number, f"Number {number}") for number in range(1, PEOPLE + 1)]
    folder = tmp_path_factory.mktemp("kill") / "class"
    room = new_class(folder, code="QQ-26", title="Keys", roster=people)
    for one in people:
        for page in PAGES.values():
            write_hand_in(
                folder=room.inbox / f"{one.number:03d}",
                class_code="QQ-26",
                number=one.number,
                page=page.name,
                page_version="v",
                entries=entries_of(page, one.number),
                made="2026-11-25T12:00:00Z",
            )
    return folder


def run(folder):
    mark_and_report(open_class(folder), now=NOW)


def marked(folder):
    """Return everything that marking leaves, apart from nbgrader's own ids."""
    with open_gradebook(db_url=database_url(folder)) as gradebook:
        grades = read_grades(gradebook)
    with sqlite3.connect(folder / "gradebook.db") as book:
        counts = {
            table: book.execute(f"select count(*) from {table}").fetchone()[0]
            for table in ("student", "submitted_assignment", "submitted_notebook", "grade")
            + ("comment", "base_cell", "assignment", "notebook")
        }
    pages = {
        path.relative_to(folder): path.read_bytes()
        for place in ("hand-ins", "records", "feedback", "report", "submitted", "autograded")
        for path in sorted((folder / place).rglob("*"))
        if path.is_file()
    }
    return grades, counts, pages


def arrived(folder):
    """Return the lines of arrivals without the run: each run that took some in has its own."""
    lines = (folder / "arrivals.csv").read_text("utf-8").splitlines()
    return sorted(line.split(",", 1)[1].rsplit(",", 1)[0] for line in lines)


@pytest.fixture(scope="module")
def undisturbed(handed_in):
    """Return what a run left alone gives, and how long it takes."""
    folder = handed_in.with_name("undisturbed")
    shutil.copytree(handed_in, folder)
    marker_version()  # counted once, here: the children all start with it
    begun = time.monotonic()
    assert wait_for(start_child(lambda: run(folder))) == 0
    return marked(folder), arrived(folder), time.monotonic() - begun


def test_killed_and_started_again_the_marks_are_the_same(handed_in, undisturbed):
    wanted, came, whole_s = undisturbed
    assert len(wanted[0]) == PEOPLE * sum(len(page.questions) for page in PAGES.values())
    moments = random.Random(SEED)
    hits = []
    for turn in range(4 * KILLS):
        if len(hits) == KILLS:
            break
        folder = handed_in.with_name(f"killed-{turn}")
        shutil.copytree(handed_in, folder)
        low, high = (0.0, 0.06) if turn % 4 == 1 else (0.02, 0.98)  # some while taking in
        after_s = moments.uniform(low, high) * whole_s
        if not kill_after(start_child(lambda folder=folder: run(folder)), after_s):
            shutil.rmtree(folder)  # it had ended: no kill
            continue
        records = len(list((folder / "records").rglob("*.json")))
        taken = len(list((folder / "hand-ins").rglob("*.json")))
        if turn % 3 == 0:  # killed a second time, early in its second life
            kill_after(start_child(lambda folder=folder: run(folder)), 0.3 * after_s)
        assert wait_for(start_child(lambda folder=folder: run(folder))) == 0
        hits.append((after_s / whole_s, taken, records))
        found = marked(folder)
        for part, mine in zip(wanted, found, strict=True):
            assert mine == part, f"killed after {after_s:.2f} of {whole_s:.2f} s"
        assert arrived(folder) == came
        assert verify_class(open_class(folder)).differences == []
        assert not [path for path in folder.rglob(".writing-*.part")]
        shutil.rmtree(folder)
    assert len(hits) == KILLS
    total = PEOPLE * len(PAGES)
    for share, taken, records in sorted(hits):
        print(f"killed at {share:4.0%}: {taken:4} of {total} taken in, {records:4} marked")
