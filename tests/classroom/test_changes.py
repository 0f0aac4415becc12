"""What a marking run says about marks that stood: the course corrected, a hand-in replaced."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import taperkey
from coursework.course import PAGES, issue_card
from coursework.judging import right_answers, show_answer
from coursework.page.handin import write_hand_in
from coursework.room.assessing import mark_and_report, verify_class
from coursework.room.classfolder import ClassFolder, new_class, open_class
from coursework.room.roster import Apprentice
from keycourse import cli

PEOPLE = [
    Apprentice(1, "Ada Brindle"),
    Apprentice(2, "Bo Flint"),
    Apprentice(3, "Cy Shale"),
    Apprentice(7, "Zoë Ferrant"),
]


def right_entries(page: str, number: int) -> dict[str, str]:
    card = issue_card(exercise=page, class_code="QQ-26", number=number)
    right = right_answers(PAGES[page], card)
    return {key: show_answer(PAGES[page].question(key).on(card), one) for key, one in right.items()}


def hand_in(
    folder: Path,
    number: int,
    page: str,
    *,
    answers_of: int = 0,
    made: str = "2026-11-25T12:00:00Z",
    **changes: str,
) -> None:
    write_hand_in(
        folder=folder,
        class_code="QQ-26",
        number=number,
        page=page,
        page_version="v",
        entries=right_entries(page, answers_of or number) | changes,
        made=made,
    )


@pytest.fixture
def made(tmp_path: Path) -> ClassFolder:
    return new_class(tmp_path / "class", code="QQ-26", title="Keys", roster=PEOPLE)


# the course corrected


def corrected_course(folder: Path) -> Path:
    """Return a copy of the course, its key for the ratio of a taper put otherwise."""
    lib = Path(taperkey.__file__).parents[1]
    for name in ("lib", "exercises"):
        shutil.copytree(lib.parent / name, folder / name)
    values = folder / "lib" / "keycourse" / "taper" / "values.py"
    with values.open("a", encoding="utf-8") as file:
        file.write(
            "\n\n_was = ratio_of\n\n\n"
            "def ratio_of(card: JobCard, given: Given) -> float:\n"
            "    return 1.5 * _was(card, given)\n"
        )
    return folder / "lib"


def command(lib: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "keycourse.cli", *words],
        env={**os.environ, "PYTHONPATH": str(lib), "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


def test_a_corrected_key_marks_again_and_says_whose_mark_changed(
    made: ClassFolder, tmp_path: Path
) -> None:
    hand_in(made.inbox, 1, "02-taper")
    hand_in(made.inbox, 2, "02-taper")
    hand_in(made.inbox, 3, "02-taper", **{"02-ratio": ""})
    hand_in(made.inbox, 7, "00-start")
    mark_and_report(made)
    lib = corrected_course(tmp_path / "copy")

    found = command(lib, "class", "verify", str(made.folder))
    assert found.returncode == 1, found.stderr
    last = found.stdout.splitlines()[-1]
    assert last == f"Marking again mends all. Type: taperkey mark {made.folder}"

    again = command(lib, *last[last.index("taperkey ") :].split()[1:])
    assert again.returncode == 0, again.stderr
    lines = again.stdout.splitlines()
    assert lines[1:3] == [
        "4 marked, 0 marked before.",
        "4 of them were marked again because the course has changed since, 2 with another mark:",
    ]
    label = PAGES["02-taper"].question("02-ratio").label
    for line, name in zip(lines[3:5], ("Ada Brindle (1)", "Bo Flint (2)"), strict=True):
        told = re.fullmatch(
            re.escape(name) + r", 02-taper: ([\d.]+) of (\d+) before, ([\d.]+) of \2 now\. (.+)\.",
            line,
        )
        assert told, line
        assert float(told[3]) < float(told[1])
        assert f"{label}: 1, now 0" in told[4].split("; ")
    assert lines[5].startswith("Report: ")
    after = command(lib, "class", "verify", str(made.folder))
    assert (after.returncode, "everything agrees." in after.stdout) == (0, True)


def test_marked_again_with_every_mark_as_it_was_is_one_line(
    made: ClassFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    from coursework.mark import marker

    hand_in(made.inbox, 1, "02-taper")
    mark_and_report(made)
    monkeypatch.setattr(marker, "marker_version", lambda: "newer")
    assert mark_and_report(made).lines == (
        "1 marked, 0 marked before.",
        "1 of them was marked again because the course has changed since, every mark is as it was.",
    )


def test_verify_ends_with_what_to_type(
    made: ClassFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    hand_in(made.inbox, 1, "02-taper")
    mark_and_report(made)
    kept = next((made.hand_ins / "001").rglob("*.json"))
    kept.unlink()
    assert cli.main(["class", "verify", str(made.folder)]) == 1
    assert capsys.readouterr().out.splitlines()[-1] == (
        "Next: go through the lines above, put right what they say, then type: "
        f"taperkey mark {made.folder}"
    )
    assert verify_class(open_class(made.folder)).marking_mends == 0
