"""Each command killed before any change that it makes on the disk, and started again.

The next run of the same command completes what was begun, or says in one sentence that it is done;
nothing is lost, nothing is there twice, and the class is as after the run that was never killed. A
few moments of each command in the suite; 30 of each with

    TAPERKEY_MANY=1 pytest tests/classroom/test_kill_commands.py -n 0 -s

which prints how many changes each command makes.
"""

from __future__ import annotations

import contextlib
import csv
import os
import random
import re
import shutil
import sqlite3
from pathlib import Path

import pytest

from coursework.course import PAGES, issue_card
from coursework.judging import right_answers, show_answer
from coursework.mark.gradebook import database_url, open_gradebook, read_grades
from coursework.mark.versions import marker_version
from coursework.page.handin import write_hand_in
from coursework.room.assessing import mark_and_report, verify_class
from coursework.room.classfolder import new_class, open_class
from coursework.room.roster import Apprentice
from coursework.room.seconding import write_sample
from keycourse import cli

from .children import kill_at
from .test_assessing import enter
from .test_signing import TASK, sheet, yes

pytestmark = [
    pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that forks"),
    pytest.mark.timeout(7200),
]
MANY = os.environ.get("TAPERKEY_MANY") == "1"
MOMENTS = 30 if MANY else 1
PEOPLE = [Apprentice(1, "Ada Brindle"), Apprentice(7, "Zoë Ferrant"), Apprentice(9, "Con Aux")]
SAID = ["--reason", "On two lists", "--by", "Pat Holt"]
PERSON = ["class", "person", "{here}", "--person", "7"]
COMMANDS = {
    "mark": ["mark", "{here}"],
    "renumber": [*PERSON, "--renumber", "21", *SAID],
    "withdraw": [*PERSON, "--withdraw", *SAID],
    "extend": [*PERSON, "--extend", "01-measure", "--until", "2026-12-24", *SAID],
    "move": [*PERSON, "--move", "{there}", "--as", "12", *SAID],
    "second": [
        *("class", "second", "{here}", "--from", "{here}/second/marks.csv", "--by", "Pat Holt")
    ],
    "sign": ["class", "sign", "{here}", "--from", "{here}/ticks.csv", "--by", "Pat Holt"],
    "moderate": [
        *("class", "moderate", "{here}", "--number", "7", "--entry", "01-why-bottom"),
        *("--mark", "1", *SAID),
    ],
    "release": ["class", "release", "{here}"],
}  # fmt: skip
STAMP = re.compile(rb"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d)?( UTC|Z)?")
RUN = re.compile(rb"^\d+,TIME", re.MULTILINE)  # a second run has a number of its own
CHECK = re.compile(rb",[0-9a-f]{12}$", re.MULTILINE)


def hand_in(room, number: int, page: str, text: str, made: str) -> None:
    card = issue_card(exercise=page, class_code=room.code, number=number)
    right = right_answers(PAGES[page], card)
    entries = {key: show_answer(PAGES[page].question(key), one) for key, one in right.items()}
    for question in PAGES[page].questions:
        if question.by_assessor and not question.key.endswith("sign-off"):
            entries[question.key] = text
    write_hand_in(
        folder=room.inbox, class_code=room.code, number=number, page=page, page_version="v",
        entries=entries, made=made,
    )  # fmt: skip


@pytest.fixture(scope="module")
def classes(tmp_path_factory) -> Path:
    """Return a folder with two classes: one marked, with more to come, and one to move to."""
    place = tmp_path_factory.mktemp("commands") / "before"
    room = new_class(place / "here", code="QQ-26", title="Keys", roster=PEOPLE)
    new_class(place / "there", code="QQ-27", title="Keys", roster=[Apprentice(3, "Ike Moss")])
    settings = room.folder / "class.toml"
    settings.write_text(
        settings.read_text("utf-8") + "\n[due]\n01-measure = 2026-12-01\n", encoding="utf-8"
    )
    room = open_class(room.folder)
    for one in PEOPLE:
        hand_in(room, one.number, "01-measure", "Where it rubs.", "2026-11-25T12:00:00Z")
    mark_and_report(room)
    for one in PEOPLE:
        enter(room, "01-why-bottom", 2.0, one.number)
    mark_and_report(room)
    _, marks, count = write_sample(room, 1.0)
    assert count >= 3
    lines = list(csv.reader(marks.read_text("utf-8-sig").splitlines()))
    marks.write_text("\n".join(",".join([*line[:3], "1", ""]) if n else ",".join(line)
                               for n, line in enumerate(lines)), encoding="utf-8")  # fmt: skip
    lines = ((one.number, TASK, 1, "2026-11-25", "unprompted", yes()) for one in PEOPLE)
    sheet(room.folder, *lines, name="ticks.csv")
    for one in PEOPLE[:2]:
        hand_in(room, one.number, "02-taper", "It is driven in.", "2026-11-26T12:00:00Z")
    (room.inbox / "letter.txt").write_text("no hand-in", encoding="utf-8")
    (room.inbox / "9.handin.json").write_text("{}", encoding="utf-8")
    return place


def state(place: Path) -> dict[str, object]:
    """Return all that a class is, without the times that clocks said."""
    found: dict[str, object] = {}
    for path in sorted(place.rglob("*")):
        if path.is_dir() or path.name.startswith((".class.", ".writing-", ".nothing-new")):
            continue  # a half file is cleared away by a later run
        name = path.relative_to(place).as_posix()
        if path.suffix == ".db":
            with open_gradebook(db_url=database_url(path.parent)) as gradebook:
                found[name] = read_grades(gradebook)
            with sqlite3.connect(path) as book:
                for table in ("student", "submitted_assignment", "submitted_notebook", "grade",
                              "comment", "base_cell", "assignment", "notebook"):  # fmt: skip
                    count = book.execute(f"select count(*) from {table}").fetchone()
                    found[f"{name} {table}"] = count
        elif not path.name.startswith(".by-hand"):
            content = STAMP.sub(b"TIME", path.read_bytes())
            found[name] = RUN.sub(b"RUN,TIME", CHECK.sub(b",CHECK", content))
    return found


def act(arguments: list[str], place: Path, told: Path) -> int:
    """Run a command as it is typed, with what it says to a file; return its code."""
    given = [
        one.replace("{here}", str(place / "here")).replace("{there}", str(place / "there"))
        for one in arguments
    ]
    with (
        told.open("w", encoding="utf-8") as file,
        contextlib.redirect_stdout(file),
        contextlib.redirect_stderr(file),
    ):
        code = cli.main(given)
    os._exit(code)


def run(arguments: list[str], place: Path, change: int = 0) -> tuple[int, int, str]:
    told = place.with_suffix(".txt")
    folders = [place / "here", place / "there"]
    code, count = kill_at(lambda: act(arguments, place, told), change, folders)
    return code, count, told.read_text("utf-8")


def finish(command: str, place: Path, code: int) -> dict[str, object]:
    """Trace every mark, and return the state; a report that a refusal left behind is written."""
    for which in ("here", "there") if command == "move" else ("here",):
        if code == 2:
            code_of_report, _, said = run(["report", f"{{{which}}}"], place)
            assert code_of_report == 0, said
        assert verify_class(open_class(place / which)).differences == []
    return state(place)


@pytest.mark.parametrize("command", COMMANDS)
def test_killed_before_any_change_and_started_again(command, classes, tmp_path) -> None:
    marker_version()  # counted once, here: the children all start with it
    plain = tmp_path / "plain"
    shutil.copytree(classes, plain)
    code, changes, said = run(COMMANDS[command], plain)
    assert code == 0, said
    assert changes >= 2
    wanted = finish(command, plain, code)
    assert wanted != state(classes)
    draws = random.Random(command)
    moments = sorted(draws.sample(range(1, changes + 1), min(MOMENTS, changes)))
    for moment in moments:
        place = tmp_path / f"killed-{moment}"
        shutil.copytree(classes, place)
        code, _, said = run(COMMANDS[command], place, moment)
        assert code == -9, (moment, said)
        code, _, said = run(COMMANDS[command], place)
        assert code in (0, 2), (moment, said)
        if code == 2:
            assert said.count("\n") == 1
            assert said.endswith(".\n")
            assert " already" in said or "not in this class any more" in said, said
        assert "Traceback" not in said
        found = finish(command, place, code)
        for name in sorted({*wanted, *found}):
            assert found.get(name) == wanted.get(name), (moment, name, said)
        shutil.rmtree(place)
    print(f"{command}: {changes} changes, killed before {len(moments)} of them")
