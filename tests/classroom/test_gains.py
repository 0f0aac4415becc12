"""The check before and after in a class: taken in, shown in the report, and never marked."""

from __future__ import annotations

from pathlib import Path

import pytest
from bs4 import BeautifulSoup

from coursework.check import check_card, check_forms, sealed_with
from coursework.judging import right_answers, show_answer
from coursework.page.handin import write_hand_in
from coursework.page.seal import card_code
from coursework.room import registrar
from coursework.room.assessing import mark_and_report, verify_class
from coursework.room.classfolder import ClassFolder, new_class
from coursework.room.gains import checks_done
from coursework.room.roster import Apprentice
from coursework.room.seals import card_key
from coursework.room.status import status_lines

PEOPLE = [Apprentice(1, "Ada Brindle"), Apprentice(2, "Bo Flint"), Apprentice(7, "Zoë Ferrant")]
SAID = {"reason": "Went to another quarry.", "by": "Pat Holt"}


@pytest.fixture
def made(tmp_path: Path) -> ClassFolder:
    return new_class(tmp_path / "class", code="QQ-26", title="Keys", roster=PEOPLE)


def do(
    room: ClassFolder,
    number: int,
    name: str,
    right: int,
    *,
    made: str = "2026-11-25T12:00:00Z",
    code_of: int = 0,
) -> None:
    page = check_forms()[name]
    answers = right_answers(page, check_card(name=name, class_code="QQ-26", number=number))
    code = card_code(
        key=card_key(room.folder), exercise=sealed_with(name), number=code_of or number, attempt=1
    )
    write_hand_in(
        folder=room.inbox,
        class_code="QQ-26",
        number=number,
        page=name,
        page_version="check",
        entries={one.key: show_answer(one, answers[one.key]) for one in page.questions[:right]},
        made=made,
        code=code,
    )


def shown(room: ClassFolder) -> list[list[str]]:
    page = BeautifulSoup((room.report / "index.html").read_text("utf-8"), "html.parser")
    head = page.find(id="check")
    if head is None:
        return []
    rows = head.find_next("table").find_all("tr")
    return [[cell.get_text(strip=True) for cell in row.find_all(["th", "td"])] for row in rows]


def test_it_is_taken_in_and_shown_and_gives_no_mark(made: ClassFolder) -> None:
    do(made, 1, "check-before", 2)
    do(made, 2, "check-before", 4)
    do(made, 7, "check-before", 6)
    do(made, 1, "check-after", 8)
    do(made, 2, "check-after", 10)
    done = mark_and_report(made)
    assert len(done.intake.admitted) == 5
    assert done.lines == ("0 marked, 0 marked before.",)
    rows = shown(made)
    assert rows[0] == ["Skill", "before", "after", "30 days later", "Gain"]
    assert rows[-2] == ["all ten questions", "40 %", "90 %", "–", "0.86"]  # (0.9 - 0.3) / 0.7
    assert rows[-1] == ["People", "3", "2", "0", "2"]
    assert rows[1] == ["read a tool", "100 %", "100 %", "–", "–"]
    page = (made.report / "index.html").read_text("utf-8")
    assert 'aria-label="What was right in the check, by skill. read a tool: before 100' in page
    assert "American Journal of Physics" in page
    assert not (made.folder / "records").exists() or not list(made.folder.glob("records/*/*"))
    assert verify_class(made).differences == []
    assert not any("ask" in line for line in status_lines(made))
    before = (made.report / "index.html").read_bytes()
    mark_and_report(made)
    assert (made.report / "index.html").read_bytes() == before


def test_without_one_nothing_of_it_is_in_the_report(made: ClassFolder) -> None:
    mark_and_report(made)
    assert shown(made) == []
    assert "Hake" not in (made.report / "index.html").read_text("utf-8")


def test_the_first_hand_in_of_a_form_counts(made: ClassFolder) -> None:
    do(made, 1, "check-before", 10, made="2026-11-26T12:00:00Z")
    mark_and_report(made)
    do(made, 1, "check-before", 3)
    mark_and_report(made)
    assert sum(checks_done(made)[1]["check-before"].values()) == 3


def test_another_number_keeps_it_and_who_withdraws_is_out(made: ClassFolder) -> None:
    do(made, 1, "check-before", 3)
    do(made, 2, "check-before", 5)
    mark_and_report(made)
    changed = registrar.renumber(made, number=1, to=21, **SAID)
    changed = registrar.withdraw(changed, number=2, **SAID)
    assert {
        number: sum(one["check-before"].values()) for number, one in checks_done(changed).items()
    } == {21: 3}


def test_the_seal_of_another_card_is_told(made: ClassFolder) -> None:
    do(made, 1, "check-before", 3, code_of=2)
    (one,) = mark_and_report(made).intake.set_aside
    assert one.sentence.startswith(
        "It says number 1, and it is sealed with the job card of number 2: "
    )


def test_a_check_that_the_course_does_not_have_is_no_exercise(made: ClassFolder) -> None:
    do(made, 1, "check-before", 3)
    (path,) = made.inbox.iterdir()
    path.write_bytes(path.read_bytes().replace(b'"check-before"', b'"check-never!"'))
    (one,) = mark_and_report(made).intake.set_aside
    assert one.sentence.startswith("exercise is “check-never!”; it must be one of: 00-start")
