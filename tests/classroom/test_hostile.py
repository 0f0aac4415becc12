"""Bad hand-ins of many kinds: nothing runs, each has its sentence, the others' marks stand.

All kinds lie in one inbox, each in a folder of its own and from an apprentice
of its own, beside three honest hand-ins that were marked before. The command
that marks them is started in a folder where modules that shadow imports lie.
"""

from __future__ import annotations

import csv
import importlib.util
import io
import json
import os
import re
import shutil
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest

from coursework.mark.gradebook import database_url, open_gradebook, read_grades
from coursework.mark.records import read_record
from coursework.page.handin import write_hand_in
from coursework.room.assessing import mark_and_report, release_solutions, verify_class
from coursework.room.classfolder import new_class, open_class
from coursework.room.roster import Apprentice

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs links and pipes")


def _load(name):
    path = Path(__file__).parents[1] / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


_load("hostile_notebooks")
kinds = _load("hostile_kinds")
KINDS, ASIDE, JUDGED = kinds.KINDS, kinds.ASIDE, kinds.JUDGED
HONEST = (1, 2, 3)
FIRST = 100  # number of the apprentice of the first kind
FEWEST = 40


def number_of(kind):
    return FIRST + KINDS.index(kind)


def folder_of(kind):
    return f"kind-{number_of(kind)}"


def gradebook_of(folder, numbers):
    wanted = {f"{number:03d}" for number in numbers}
    with open_gradebook(db_url=database_url(folder)) as gradebook:
        return [row for row in read_grades(gradebook) if row.student in wanted]


def pages_of(folder, numbers):
    """Return their files; the marker's version may move on while a course is being worked on."""
    return {
        path.relative_to(folder): re.sub(rb'"marker_version": "\w+"', b"", path.read_bytes())
        for room in ("records", "feedback", "autograded", "submitted", "hand-ins")
        for number in numbers
        for path in (folder / room / f"{number:03d}").rglob("*")
        if path.is_file()
    }


class Trial:
    """The class after everything was handed in and marked."""

    def __init__(self, place):
        self.canary = place / "canary"
        self.canary.mkdir()
        people = [Apprentice(number, f"Honest {number}") for number in HONEST]
        people += [Apprentice(number_of(kind), f"Sender {number_of(kind)}") for kind in KINDS]
        self.room = new_class(place / "class", code=kinds.CLASS, title="Keys", roster=people)
        self.folder = self.room.folder
        for number in HONEST:
            write_hand_in(
                folder=self.room.inbox / str(number),
                class_code=kinds.CLASS,
                number=number,
                page=kinds.PAGE,
                page_version="abc",
                entries={kinds.ENTRY: "1.0104 in", kinds.WRITTEN: "The hub hangs on the shaft."},
                made="2026-11-25T12:00:00Z",
            )
        mark_and_report(self.room)
        self.before = gradebook_of(self.folder, HONEST), pages_of(self.folder, HONEST)
        self.built = 0
        for kind in KINDS:
            place_of = self.room.inbox / folder_of(kind)
            kind.build(place_of, number_of(kind), self.canary / folder_of(kind))
            self.built += 1
        self.run = self.mark(place)
        self.reasons = (self.room.set_aside / "reasons.txt").read_text("utf-8").splitlines()

    def mark(self, place):
        """Run the command in a folder with modules that shadow imports."""
        working = place / "working"
        working.mkdir()
        code = kinds.code_for(self.canary / "working-folder")
        for name in ("pint", "numpy", "nbgrader_config", "sitecustomize", "jinja2", "alembic"):
            (working / f"{name}.py").write_text(code)
        home = place / "home"
        home.mkdir()
        environment = {
            key: value
            for key, value in os.environ.items()
            if not key.startswith(("PYTHON", "COV", "JUPYTER", "IPYTHON"))
        }
        command = shutil.which("taperkey", path=str(Path(sys.executable).parent))
        assert command, "the command is not installed beside this Python"
        return subprocess.run(
            [command, "mark", str(self.folder)],
            cwd=working,
            env=environment | {"HOME": str(home)},
            capture_output=True,
            text=True,
            timeout=240,
        )


@pytest.fixture(scope="module")
def trial(tmp_path_factory):
    return Trial(tmp_path_factory.mktemp("hostile"))


def test_at_least_forty_kinds_were_tried(trial):
    assert trial.built == len(KINDS) >= FEWEST
    assert len({kind.name for kind in KINDS}) == len(KINDS)
    assert sum(kind.ends == ASIDE for kind in KINDS) >= FEWEST


def test_the_run_ends_well_and_without_a_traceback(trial):
    assert (trial.run.returncode, trial.run.stderr) == (0, "")
    assert "Traceback" not in trial.run.stdout
    assert "Not marked" not in trial.run.stdout
    assert "Left in inbox" not in trial.run.stdout


def test_nothing_ran(trial):
    assert list(trial.canary.iterdir()) == []


def test_the_others_marks_and_pages_stand(trial):
    assert (gradebook_of(trial.folder, HONEST), pages_of(trial.folder, HONEST)) == trial.before


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_each_kind(trial, kind):
    assert not (trial.canary / folder_of(kind)).exists()
    mine = [line for line in trial.reasons if line.startswith(f"{folder_of(kind)}/")]
    record = read_record(folder=trial.folder, number=number_of(kind), exercise=kinds.PAGE)
    if kind.ends == JUDGED:
        assert mine == []
        assert record is not None
        verdict = record.verdict(kind.says)
        kept = next((trial.folder / "hand-ins" / f"{number_of(kind):03d}").rglob("*.json"))
        assert verdict.entered == json.loads(kept.read_bytes())["entries"][kind.says]
        assert verdict.state in {"unreadable", "wrong", "slip", "right", "waiting"}
        assert 0 <= verdict.mark <= verdict.out_of
    else:
        assert mine
        assert any(kind.says.lower() in line.lower() for line in mine), mine
        assert record is None
        assert not (trial.folder / "hand-ins" / f"{number_of(kind):03d}").exists()
    rest = trial.room.inbox / folder_of(kind)
    assert not rest.exists()


def test_what_is_no_number_gets_no_mark(trial):
    for kind in KINDS:
        if kind.ends == JUDGED and kind.says == kinds.ENTRY:
            record = read_record(folder=trial.folder, number=number_of(kind), exercise=kinds.PAGE)
            assert record.verdict(kinds.ENTRY).mark == 0, kind.name


def test_marks_hold_no_formula_and_a_line_an_apprentice(trial):
    content = (trial.room.report / "marks.csv").read_bytes().decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(content, newline="")))
    assert len(rows) == 1 + len(trial.room.roster)
    for path in ("report/marks.csv", "arrivals.csv"):
        text = (trial.folder / path).read_bytes().decode("utf-8-sig")
        for row in csv.reader(io.StringIO(text, newline="")):
            for cell in row:
                assert not cell.startswith(("=", "+", "-", "@", "\t", "\r")), (path, cell)
                assert "HYPERLINK" not in cell or path != "report/marks.csv"


class _Tags(HTMLParser):
    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, dict(attrs)))


def test_no_page_holds_anything_that_runs(trial):
    release_solutions(open_class(trial.folder))
    pages = [path for room in ("feedback", "report") for path in _html(trial, room)]
    assert len(pages) > len(KINDS)
    for path in pages:
        parser = _Tags()
        parser.feed(path.read_text("utf-8"))
        for tag, attributes in parser.found:
            assert tag not in {"script", "iframe", "object", "embed", "base", "form", "img"}, path
            for name, value in attributes.items():
                assert not name.startswith("on"), path
                if name in {"href", "src", "xlink:href", "srcdoc", "action"}:
                    link = value or ""
                    assert link.startswith(
                        ("#", "skills-records/", "../index.html", "index.html", "teach-next.html")
                    ), (path, link)


def _html(trial, room):
    return (trial.folder / room).rglob("*.html")


def test_the_notebooks_for_the_assessor_hold_written_answers_as_inert_text(trial):
    seen = 0
    for kind in KINDS:
        if kind.ends != JUDGED or kind.says != kinds.WRITTEN:
            continue
        place = trial.folder / "autograded" / f"{number_of(kind):03d}" / kinds.PAGE
        notebook = json.loads((place / f"{kinds.PAGE}.ipynb").read_text("utf-8"))
        for cell in notebook["cells"]:
            source = "".join(cell["source"])
            for sign in ("<script", "<img", "<svg", "<iframe", "<style", "](javascript", "\\href"):
                assert sign not in source
            if cell["id"] == kinds.WRITTEN:
                seen += 1
    assert seen == sum(kind.says == kinds.WRITTEN for kind in KINDS)


def test_afterwards_the_class_verifies_and_a_second_run_changes_nothing(trial):
    assert verify_class(open_class(trial.folder)).differences == []
    before = gradebook_of(trial.folder, range(1, 1000))
    again = mark_and_report(open_class(trial.folder))
    assert (again.intake.admitted, again.intake.set_aside) == ([], [])
    assert gradebook_of(trial.folder, range(1, 1000)) == before
    assert list(trial.canary.iterdir()) == []
