"""A class of another edition of the course: one sentence from every command, nothing changed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from coursework import course as engine
from coursework.page.handin import write_hand_in
from coursework.room.assessing import mark_and_report
from coursework.room.classfolder import ClassError, new_class, open_class
from coursework.room.roster import Apprentice, write_roster
from keycourse import cli

PEOPLE = (Apprentice(1, "Ada Brindle"), Apprentice(7, "Zoë Ferrant"))
COMMANDS = (("mark",), ("report",), ("class", "verify"), ("class", "status"), ("class", "cards"))


@pytest.fixture
def edition() -> Iterator[Callable[[int], None]]:
    """Let the course in use be of another edition."""
    before = engine.course()

    def be(number: int) -> None:
        engine.use(replace(before, edition=number, changed="the ratio is asked otherwise"))

    yield be
    engine.use(before)


@pytest.fixture
def marked(tmp_path: Path, edition: Callable[[int], None]) -> Path:
    """Return a class of edition 4 with a mark, and one more hand-in that came since."""
    edition(4)
    made = new_class(tmp_path / "class", code="QQ-26", title="Keys", roster=PEOPLE)
    for number in (1, 7):
        write_hand_in(
            folder=made.inbox,
            class_code="QQ-26",
            number=number,
            page="02-taper",
            page_version="v",
            entries={"02-ratio": "96"},
            made="2026-11-25T12:00:00Z",
        )
        if number == 1:
            mark_and_report(made)
    return made.folder


def everything(folder: Path) -> dict[str, bytes]:
    files = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def test_a_new_class_says_its_edition(marked: Path) -> None:
    lines = (marked / "class.toml").read_text("utf-8").splitlines()
    place = lines.index("edition = 4")
    assert lines[place - 1].startswith("# The edition of the course")


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_each_command_says_one_sentence_and_touches_nothing(
    marked: Path,
    edition: Callable[[int], None],
    capsys: pytest.CaptureFixture[str],
    words: tuple[str, ...],
) -> None:
    edition(5)
    before = everything(marked)
    assert cli.main([*words, str(marked)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err == (
        f"{marked} was begun with edition 4 of the course, and this is edition 5 (the ratio is "
        "asked otherwise): its marks would come out otherwise, so nothing was taken in, marked or "
        "changed. Go on with the course that has edition 4; or keep a copy of the folder, write "
        "edition = 5 in class.toml and mark again, and every mark that becomes another is named.\n"
    )
    assert everything(marked) == before


def test_a_course_of_an_earlier_edition_does_not_say_what_it_changed(
    marked: Path, edition: Callable[[int], None]
) -> None:
    edition(3)
    with pytest.raises(ClassError, match="edition 4 of the course, and this is edition 3: its"):
        open_class(marked)


def test_the_edition_is_taken_over_by_hand_and_what_waits_is_marked(
    marked: Path, edition: Callable[[int], None]
) -> None:
    edition(5)
    path = marked / "class.toml"
    path.write_text(path.read_text("utf-8").replace("edition = 4", "edition = 5"), "utf-8")
    done = mark_and_report(open_class(marked))
    assert [(one.number, one.page) for one in done.intake.admitted] == [(7, "02-taper")]
    assert len(list((marked / "records").rglob("*.json"))) == 2


def test_a_class_without_the_line_is_of_the_first_edition(
    marked: Path, edition: Callable[[int], None]
) -> None:
    path = marked / "class.toml"
    path.write_text(path.read_text("utf-8").replace("edition = 4\n", ""), "utf-8")
    edition(1)
    assert open_class(marked).code == "QQ-26"
    edition(2)
    with pytest.raises(ClassError, match="begun with edition 1 of the course, and this is"):
        open_class(marked)


@pytest.mark.parametrize("line", ['edition = "four"', "edition = 0", "edition = true"])
def test_an_edition_that_is_no_number(marked: Path, line: str) -> None:
    path = marked / "class.toml"
    path.write_text(path.read_text("utf-8").replace("edition = 4", line), "utf-8")
    with pytest.raises(ClassError) as refusal:
        open_class(marked)
    shown = {"edition = true": "True"}.get(line, line.partition(" = ")[2].strip('"'))
    assert str(refusal.value) == (
        f"{path}: edition is {shown}; it must be a whole number from 1. Take it from the course "
        "that the class was begun with."
    )


def test_the_next_cohort_takes_the_rules_of_a_class_of_another_edition(
    marked: Path, edition: Callable[[int], None], tmp_path: Path
) -> None:
    edition(5)
    write_roster(tmp_path / "list.csv", roster=PEOPLE)
    words = ["class", "new", str(tmp_path / "next"), "--roster", str(tmp_path / "list.csv")]
    assert cli.main([*words, "--code", "QQ-27", "--like", str(marked)]) == 0
    assert "edition = 5" in (tmp_path / "next" / "class.toml").read_text("utf-8")
