"""The code of a class: each class has its own, and the demo's is nobody else's."""

import re
import sys

import pytest

from coursework.card import require_class_code
from coursework.course import PAGES, card_facts, issue_card
from coursework.room.classcode import (
    DEMO_CODE,
    ask_code,
    make_code,
    require_own_code,
)
from coursework.room.classfolder import open_class
from keycourse.cli import main

LOOK_ALIKE = ("0OQD", "1IL", "2Z", "5S", "6G", "8B", "UV")
REFUSED = (
    "class code is QQ-26; it must not be the demo's, whose job cards lie open beside their "
    "answers. Leave --code out and a new code is made, or name another."
)


@pytest.fixture
def roster(tmp_path):
    path = tmp_path / "list.csv"
    path.write_text("number,name\n7,Zoë Ferrant\n", encoding="utf-8")
    return path


def new(tmp_path, roster, name, *more):
    return main(["class", "new", str(tmp_path / name), "--roster", str(roster), *more])


def facts(code):
    return [
        card_facts(issue_card(exercise=exercise, class_code=code, number=7)) for exercise in PAGES
    ]


def test_two_classes_and_the_demo_share_no_job_card(tmp_path, roster, capsys):
    assert [new(tmp_path, roster, name) for name in ("one", "two")] == [0, 0]
    codes = [open_class(tmp_path / name).code for name in ("one", "two")]
    assert f"Class {codes[0]} with 1 apprentice:" in capsys.readouterr().out
    cards = [facts(code) for code in (*codes, DEMO_CODE)]
    for number, exercise in enumerate(PAGES):
        first, second, demo = (one[number] for one in cards)
        assert first != second, exercise
        assert demo not in (first, second), exercise


def test_new_codes_are_codes_and_hold_no_look_alikes():
    codes = [make_code() for _ in range(2000)]
    for code in codes:
        require_class_code(code)
        require_own_code(code)
        assert re.fullmatch(r"\w{3}-\w{3}", code)
    used = set("".join(codes)) - {"-"}
    for group in LOOK_ALIKE:
        assert len(used & set(group)) <= 1, group
    # 18 signs in 6 places: 3.4e7 codes, so 2,000 of them meet in 2000²/2/3.4e7 = 0.06 pairs
    assert len(set(codes)) >= len(codes) - 2


@pytest.mark.parametrize("typed", ["QQ-26", "qq-26"])
def test_the_demos_code_is_refused_for_a_class(tmp_path, roster, capsys, typed):
    assert new(tmp_path, roster, "class", "--code", typed) == 2
    assert capsys.readouterr().err == REFUSED.replace("QQ-26", typed) + "\n"
    assert not (tmp_path / "class").exists()


def test_a_code_is_asked_for_where_somebody_can_type(tmp_path, roster, capsys, monkeypatch):
    asked = []
    answers = iter(["QQ-26", "no code!", " K-7 "])

    def answer(question):
        asked.append(question)
        return next(answers)

    monkeypatch.setattr("builtins.input", answer)
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    assert new(tmp_path, roster, "class") == 0
    assert open_class(tmp_path / "class").code == "K-7"
    assert len(asked) == 3
    assert asked[0].startswith("Class code: press Enter for ")
    refused = capsys.readouterr().err.splitlines()
    assert refused[0] == REFUSED
    assert refused[1].startswith("class code is “no code!”; it must be 1 to 24 letters")


def test_enter_takes_the_code_that_was_shown():
    asked = []

    def enter(question):
        asked.append(question)
        return ""

    code = ask_code(ask=enter, tell=pytest.fail)
    assert asked == [f"Class code: press Enter for {code}, or type one of your own: "]


def test_a_window_that_closes_is_one_sentence():
    def closed(question):
        raise EOFError

    with pytest.raises(
        ValueError,
        match=r"^class code was not typed; it must be there, since the job cards are drawn from it"
        r"\. Start it again, or add --code \w{3}-\w{3}\.$",
    ):
        ask_code(ask=closed, tell=pytest.fail)


def test_a_bad_list_is_said_before_a_code_is_asked_for(tmp_path, roster, capsys, monkeypatch):
    roster.write_text("number,name\n1,Ada\n1,Tom\n")
    monkeypatch.setattr("builtins.input", pytest.fail)
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    assert new(tmp_path, roster, "class") == 2
    assert "number 1 is there twice" in capsys.readouterr().err
