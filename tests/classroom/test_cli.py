"""The command: help at once, plain verbs, and one sentence for every refusal."""

from __future__ import annotations

import subprocess
import sys

import pytest

import taperkey
from coursework.desks import learning
from coursework.page.handin import write_hand_in
from keycourse import cli


def run(capsys, *arguments):
    try:
        code = cli.main([str(one) for one in arguments])
    except SystemExit as end:
        code = end.code
    told = capsys.readouterr()
    return code, told.out, told.err


@pytest.fixture
def roster(tmp_path):
    path = tmp_path / "list.csv"
    path.write_text("number,name\n1,Ada Brindle\n7,Zoë Ferrant\n", "utf-8")
    return path


def test_version(capsys):
    assert run(capsys, "--version") == (0, f"taperkey {taperkey.__version__}\n", "")


def test_no_verb_shows_the_help(capsys):
    code, out, _ = run(capsys)
    assert code == 0
    for verb in ("learn", "demo", "class", "mark", "report"):
        assert f"\n    {verb} " in out


def test_help_loads_nothing_heavy():
    program = (
        "import sys; from keycourse import cli\n"
        "try: cli.main(['--help'])\n"
        "except SystemExit: pass\n"
        "heavy = {'numpy', 'nbgrader', 'matplotlib', 'pint', 'jinja2', 'nbformat', 'ipywidgets'}\n"
        "print('loaded:', sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert done.stdout.endswith("loaded: []\n")


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["mark"], "The following arguments are required: CLASSFOLDER. See: taperkey mark --help"),
        (
            ["class", "new", "x"],
            "The following arguments are required: --roster. See: taperkey class new --help",
        ),
        (
            ["learn", "--port", "many"],
            "Argument --port: invalid int value: 'many'. See: taperkey learn --help",
        ),
    ],
)
def test_wrong_use_is_one_line(capsys, arguments, sentence):
    assert run(capsys, *arguments) == (2, "", f"{sentence}\n")


def test_an_unknown_verb_is_one_line(capsys):
    code, out, err = run(capsys, "teach")
    assert (code, out) == (2, "")
    assert err == (
        "“taperkey teach” is not a command; after taperkey comes learn, demo, sheet, keep, class, "
        "mark or report. See: taperkey --help\n"
    )
    assert run(capsys, "class", "tell")[2] == (
        "“taperkey class tell” is not a command; after taperkey class comes new, cards, status, "
        "release, verify, open, sheets, sign, second, audit, person, export, moderate or serve. "
        "See: taperkey class --help\n"
    )
    assert run(capsys, "class")[2] == (
        "The following arguments are required: STEP. See: taperkey class --help\n"
    )


@pytest.mark.parametrize("verb", [["mark"], ["report"], ["class", "cards"], ["class", "status"]])
def test_a_missing_class_folder_is_one_sentence(capsys, tmp_path, verb):
    place = tmp_path / "no class"
    assert run(capsys, *verb, place) == (
        2,
        "",
        f"class folder is {place}; it must be a folder that is there. "
        "Begin one: taperkey class new FOLDER --roster FILE.\n",
    )


def test_a_folder_that_may_not_be_written_is_one_sentence(capsys, tmp_path, roster):
    (tmp_path / "file").write_text("x")
    place = tmp_path / "file"
    assert run(capsys, "class", "new", place, "--roster", roster) == (
        2,
        "",
        f"class folder is {place}; it must be a folder, not a file.\n",
    )


def test_a_bad_roster_is_one_sentence_and_makes_no_folder(capsys, tmp_path, roster):
    roster.write_text("number,name\n1,Ada\n1,Tom\n")
    code, out, err = run(capsys, "class", "new", tmp_path / "class", "--roster", roster)
    assert (code, out) == (2, "")
    assert err == (
        "list.csv, line 3: number 1 is there twice, first on line 2; each apprentice must have "
        "a number of their own.\n"
    )
    assert not (tmp_path / "class").exists()


def test_a_class_of_one_is_one_apprentice(capsys, tmp_path, roster):
    roster.write_text("number,name\n1,Ada Brindle\n")
    place = tmp_path / "class"
    _, out, _ = run(capsys, "class", "new", place, "--roster", roster, "--code", "A-1")
    assert out.startswith("Class A-1 with 1 apprentice: ")
    _, out, _ = run(capsys, "class", "status", place)
    assert out.startswith("Class A-1 (A-1), 1 apprentice\n")


def test_from_list_to_report(capsys, tmp_path, roster):
    place = tmp_path / "class"
    code, out, err = run(
        capsys, "class", "new", place, "--roster", roster, "--code", "A-1", "--title", "Keys"
    )
    assert (code, err) == (0, "")
    assert out.startswith(f"Class A-1 with 2 apprentices: {place}\n")
    code, out, _ = run(capsys, "class", "cards", place)
    assert code == 0
    assert (place / "cards" / "index.html").is_file()
    write_hand_in(
        folder=place / "inbox",
        class_code="A-1",
        number=7,
        page="01-measure",
        page_version="v",
        entries={"01-mouth-height": "1.0104 in"},
        made="2026-11-25T12:00:00Z",
    )
    (place / "inbox" / "notes.txt").write_text("x")
    code, out, err = run(capsys, "mark", place)
    assert (code, err) == (0, "")
    assert out.splitlines() == [
        "1 hand-in taken in, 1 set aside.",
        "Set aside: notes.txt: Its name does not end in .handin.json; only files made by the "
        "button “Hand in” are taken in.",
        "1 marked, 0 marked before.",
        f"Report: {place / 'report' / 'index.html'}",
    ]
    code, out, _ = run(capsys, "class", "status", place)
    assert code == 0
    assert "Zoë Ferrant" in out
    assert "– not handed in." in out
    assert run(capsys, "class", "release", place) == (
        0,
        "1 feedback page now with worked solutions.\n"
        "Hand-ins that come later are still taken in and marked.\n",
        "",
    )
    assert run(capsys, "report", place)[:2] == (
        0,
        f"Report: {place / 'report' / 'index.html'}\n",
    )


def test_a_second_class_is_not_set_up_over_the_first(capsys, tmp_path, roster):
    place = tmp_path / "class"
    run(capsys, "class", "new", place, "--roster", roster)
    code, _, err = run(capsys, "class", "new", place, "--roster", roster)
    assert code == 2
    assert err == (
        f"class folder is {place}; it must be new or empty, so that nothing in it is "
        "overwritten. Name another folder.\n"
    )


def test_learn_hands_over_what_was_asked(capsys, tmp_path, monkeypatch):
    asked = []

    def learn(folder, **given):
        asked.append((folder, *given.values()))
        return 0

    monkeypatch.setattr(learning, "learn", learn)
    assert run(capsys, "learn", tmp_path, "--no-browser", "--port", "8800")[0] == 0
    assert run(capsys, "learn")[0] == 0
    assert run(capsys, "learn", "--open")[0] == 0
    assert asked == [
        (tmp_path, False, 8800, False), (None, True, None, False), (None, True, None, True),
    ]  # fmt: skip


def test_a_stop_by_the_keyboard_is_no_traceback(capsys, tmp_path, monkeypatch):
    def stopped(*arguments, **more):
        raise KeyboardInterrupt

    monkeypatch.setattr(learning, "learn", stopped)
    code, _, err = run(capsys, "learn", tmp_path)
    assert code == 130
    assert err == "\nStopped. What was done so far is kept; start it again to go on.\n"


def test_a_full_disk_is_one_sentence(capsys, tmp_path, monkeypatch):
    def full(*arguments, **more):
        raise OSError(28, "No space left on device", "/class/report")

    monkeypatch.setattr(learning, "learn", full)
    code, _, err = run(capsys, "learn", tmp_path)
    assert code == 2
    assert err == (
        "/class/report: No space left on device. Look at the folder's rights and the room on "
        "the disk, then start it again.\n"
    )


def test_a_file_that_is_not_there_is_named(tmp_path, capsys) -> None:
    missing = tmp_path / "nosuch.toml"
    assert run(capsys, "sheet", missing) == (
        2,
        "",
        f"{missing}: No such file or directory. Look at its name, then start it again.\n",
    )
