"""What a marking run says about marks that stood: the course corrected, a hand-in replaced."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, datetime
from pathlib import Path

import pytest
from bs4 import BeautifulSoup

import taperkey
from coursework.course import PAGES, issue_card
from coursework.judging import judge_page, right_answers, show_answer
from coursework.mark.gradebook import database_url, open_gradebook
from coursework.mark.records import BetterFit
from coursework.mark.register import Register
from coursework.mark.replaced import read_replaced
from coursework.mark.whose import better_fit
from coursework.page.handin import write_hand_in
from coursework.room.assessing import mark_and_report, verify_class
from coursework.room.classfolder import ClassFolder, new_class, open_class
from coursework.room.roster import Apprentice, write_roster
from coursework.room.status import status_lines
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
    from coursework.mark import judged

    hand_in(made.inbox, 1, "02-taper")
    mark_and_report(made)
    monkeypatch.setattr(judged, "marker_version", lambda: "newer")
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


# a hand-in replaced


def mistyped(made: ClassFolder) -> None:
    """Ada hands in; days later Bo hands in his own answers with her number."""
    hand_in(made.inbox, 1, "01-measure", made="2025-11-25T12:00:00Z")
    hand_in(made.inbox / "b", 2, "02-taper", made="2025-11-25T12:00:00Z")
    mark_and_report(made, now=datetime(2025, 11, 25, 14, tzinfo=UTC))
    hand_in(made.inbox / "from Bo", 1, "01-measure", answers_of=2, made="2025-12-01T09:00:00Z")


def test_a_mistyped_number_is_said_at_mark_and_in_the_report(
    made: ClassFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    mistyped(made)
    with (made.folder / "class.toml").open("a", encoding="utf-8") as file:
        file.write('\n[due]\n"01-measure" = 2025-11-26T00:00:00Z\n')
    before = {line[:80] for line in status_lines(open_class(made.folder)) if "Ada" in line}
    assert cli.main(["mark", str(made.folder)]) == 0
    lines = capsys.readouterr().out.splitlines()
    (replaced,) = [line for line in lines if line.startswith("Replaced: ")]
    told = re.fullmatch(
        r"Replaced: Ada Brindle \(1\), 01-measure: (\S+) of (\S+), made 2025-11-25 .+, came as "
        r"QQ-26_001_01-measure\.handin\.json\. Now (\S+) of (\S+), made 2025-12-01 .+, "
        r"6 days late, came as from Bo/QQ-26_001_01-measure\.handin\.json\. "
        r"([\d.]+) marks fewer on the same questions: ask whether the number is right\.",
        replaced,
    )
    assert told, replaced
    assert float(told[5]) == float(told[1]) - float(told[3]) > 0
    assert any(f"{told[1]}/{told[2]}" in line for line in before)
    after = [line for line in status_lines(open_class(made.folder)) if "Ada" in line]
    assert f"{told[3]}/{told[4]}" in after[0]
    (fits,) = [line for line in lines if line.startswith("Look: ")]
    assert fits.startswith(
        "Look: Ada Brindle (1), 01-measure: the answers fit the job card of Bo Flint (2) better: "
    )

    page = BeautifulSoup((made.report / "index.html").read_text("utf-8"), "html.parser")
    (row,) = page.select("#replaced ~ table tbody tr")[:1]
    words = row.get_text(" ", strip=True)
    for part in (
        "001",
        "01-measure",
        f"Ada Brindle: {told[1]} of {told[2]}, made 2025-11-25",
        f"Ada Brindle: {told[3]} of {told[4]}, made 2025-12-01",
        "6 days late",
        f"{told[5]} marks fewer on the same questions.",
        "from Bo/QQ-26_001_01-measure.handin.json",
    ):
        assert part in words
    assert fits.removeprefix("Look: ") in page.get_text()
    assert verify_class(open_class(made.folder)).differences == []

    assert cli.main(["mark", str(made.folder)]) == 0
    assert "Replaced" not in capsys.readouterr().out
    again = BeautifulSoup((made.report / "index.html").read_text("utf-8"), "html.parser")
    assert again.get_text() == page.get_text()


def test_two_files_of_one_run_are_said_as_well(made: ClassFolder) -> None:
    hand_in(made.inbox, 1, "01-measure")
    hand_in(made.inbox / "b", 1, "01-measure", answers_of=2, made="2026-12-01T09:00:00Z")
    said = [one for one in mark_and_report(made).lines if one.startswith("Replaced: ")]
    assert len(said) == 1
    assert [one for one in mark_and_report(made).lines if one.startswith("Replaced: ")] == []


def test_a_run_cut_off_before_the_line_is_made_good(
    made: ClassFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    from coursework.mark import replaced

    mistyped(made)
    with monkeypatch.context() as patch:
        patch.setattr(replaced.Register, "append", _cut_off_at("replaced.csv"))
        with pytest.raises(KeyboardInterrupt):
            mark_and_report(made)
    said = [one for one in mark_and_report(made).lines if one.startswith("Replaced: ")]
    assert len(said) == 1
    assert len(read_replaced(made.folder)) == 1


def _cut_off_at(name: str) -> Callable[..., None]:
    append = Register.append

    def cut_off(register: Register, lines: Iterable[Sequence[str]]) -> None:
        if register.path.name == name:
            raise KeyboardInterrupt
        append(register, lines)

    return cut_off


def test_the_name_of_then_stands_beside_the_name_of_now(made: ClassFolder) -> None:
    hand_in(made.inbox, 1, "01-measure")
    mark_and_report(made)
    hand_in(made.inbox, 1, "01-measure", made="2026-11-26T09:00:00Z", **{"01-clearance": ""})
    mark_and_report(made)
    write_roster(made.folder / "roster.csv", roster=[Apprentice(1, "Ada Holt"), *PEOPLE[1:]])
    hand_in(made.inbox, 1, "01-measure", made="2026-11-27T09:00:00Z")
    said = mark_and_report(open_class(made.folder)).lines
    (line,) = [one for one in said if one.startswith("Replaced: ")]
    assert line.startswith("Replaced: Ada Brindle (1), 01-measure: ")
    assert line.endswith(", under the name Ada Holt.")  # and it has more marks, so no question


def test_a_changed_line_of_the_register_shows(made: ClassFolder) -> None:
    mistyped(made)
    mark_and_report(made)
    path = made.folder / "replaced.csv"
    path.write_bytes(path.read_bytes().replace(b"from Bo", b"from Al"))
    assert verify_class(made).differences == [
        "replaced.csv, line 2: it was changed, or a line before it was taken out or put in."
    ]


# whose answers


@pytest.mark.parametrize("page", list(PAGES))
def test_anothers_answers_are_found_on_every_exercise(page: str) -> None:
    for number, other in ((1, 2), (9, 4), (12, 11)):
        fits = fit(page, number, right_entries(page, other))
        assert fits is not None
        assert fits.number == other
        assert fits.right_there == fits.out_of > fits.right_here


@pytest.mark.parametrize("page", list(PAGES))
def test_own_answers_right_blank_or_senseless_point_at_nobody(page: str) -> None:
    for number in (1, 9, 12):
        own = right_entries(page, number)
        for entries in (
            own,
            {},
            dict.fromkeys(own, "7"),
            dict.fromkeys(own, "no idea"),
            dict(list(right_entries(page, 2).items())[:1]),
        ):
            assert fit(page, number, entries) is None


def fit(page: str, number: int, entries: dict[str, str]) -> BetterFit | None:
    card = issue_card(exercise=page, class_code="QQ-26", number=number)
    return better_fit(
        exercise=page,
        class_code="QQ-26",
        number=number,
        others=range(1, 13),
        entries=entries,
        verdicts=judge_page(PAGES[page], card, entries),
    )


def test_marks_by_hand_that_still_wait_are_not_counted_as_lost(made: ClassFolder) -> None:
    written = {"01-why-bottom": "The hub hangs on the shaft."}
    hand_in(made.inbox, 1, "01-measure", **written)
    mark_and_report(made)
    with open_gradebook(db_url=database_url(made.folder)) as gradebook:
        grade = gradebook.find_grade("01-why-bottom", "01-measure", "01-measure", "001")
        grade.manual_score, grade.needs_manual_grade = 2.0, False
        gradebook.db.commit()
    again = {"01-why-bottom": "It hangs on top, so the gap is below."}
    hand_in(made.inbox, 1, "01-measure", made="2026-11-26T09:00:00Z", **again)
    said = [one for one in mark_and_report(made).lines if one.startswith("Replaced: ")]
    assert len(said) == 1
    assert "fewer" not in said[0]
