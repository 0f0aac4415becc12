"""Registers: files that only grow, and tell when a line was changed."""

from __future__ import annotations

from pathlib import Path

import pytest

from coursework.mark.register import Register


@pytest.fixture
def register(tmp_path: Path) -> Register:
    return Register(path=tmp_path / "arrivals.csv", columns=("when", "what"))


def fill(register: Register) -> None:
    register.append([("monday", "one"), ("tuesday", "two")])
    register.append([("wednesday", '=three, “with” "quotes"\nand a line')])


def test_there_and_back(register: Register) -> None:
    assert register.lines() == []
    fill(register)
    assert [line["what"] for line in register.lines()] == [
        "one",
        "two",
        '\'=three, “with” "quotes" and a line',
    ]
    assert register.faults() == []
    assert register.path.read_text("utf-8").startswith("when,what,check\n")


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [("tuesday", "thursday", 3), ("monday", "friday", 2), ("wednesday", "Wednesday", 4)],
)
def test_a_changed_line_shows(register: Register, old: str, new: str, fault: int) -> None:
    fill(register)
    register.path.write_text(register.path.read_text("utf-8").replace(old, new), "utf-8")
    assert register.faults() == [fault]


def test_a_line_taken_out_shows(register: Register) -> None:
    fill(register)
    lines = register.path.read_text("utf-8").splitlines(keepends=True)
    register.path.write_text("".join(lines[:2] + lines[3:]), "utf-8")
    assert register.faults() == [3]


def test_a_half_written_line_is_passed_over_and_the_next_stands_alone(register: Register) -> None:
    fill(register)
    whole = register.path.read_bytes()
    for cut in range(2, 40):
        register.path.write_bytes(whole[:-cut])
        register.append([("thursday", "four")])
        said = [line["what"] for line in register.lines()]
        assert said == ["one", "two", "four"], cut
        assert register.faults() == [], cut


def test_saved_by_a_spreadsheet_it_still_agrees(register: Register) -> None:
    fill(register)
    text = register.path.read_text("utf-8").replace("\n", "\r\n")
    register.path.write_bytes(b"\xef\xbb\xbf" + text.encode())
    assert register.faults() == []
    register.append([("thursday", "four")])
    assert register.faults() == []
    assert len(register.lines()) == 4


def test_a_long_register_is_continued(register: Register) -> None:
    for number in range(400):
        register.append([("day", f"hand-in number {number} " + "x" * 100)])
    assert len(register.lines()) == 400
    assert register.faults() == []
