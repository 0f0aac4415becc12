"""First passwords leave the list once changed; what may become a password, and what never."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

if sys.platform == "win32":
    pytest.skip("a hub runs on Linux only", allow_module_level=True)

from coursework.room import hub_passwords
from coursework.room.hub_passwords import FirstPasswords, require_new_password, set_system_password

DAY = date(2026, 11, 28)
FIRST = "abcd-efgh-jkmn"


@pytest.fixture
def first(tmp_path: Path) -> FirstPasswords:
    kept = FirstPasswords(tmp_path / "first-passwords.csv")
    kept.add("qq31-001", FIRST)
    kept.add("qq31-002", "pqrs-tuvw-xyz2")
    return kept


def test_a_changed_password_is_off_the_list_and_its_day_on_it(first) -> None:
    first.strike("qq31-001", today=DAY)
    text = first.path.read_text("utf-8")
    assert text == "qq31-001,changed 2026-11-28\nqq31-002,pqrs-tuvw-xyz2\n"
    assert (first.of("qq31-001"), first.of("qq31-002")) == ("", "pqrs-tuvw-xyz2")
    assert first.path.stat().st_mode & 0o777 == 0o600
    assert not any(FIRST.encode() in one.read_bytes() for one in first.path.parent.iterdir())


def test_who_is_not_listed_or_was_struck_before_changes_nothing(first) -> None:
    first.strike("qq31-001", today=DAY)
    before = first.path.read_bytes()
    first.strike("qq31-001", today=date(2027, 1, 1))
    first.strike("w-ashby", today=DAY)
    assert first.path.read_bytes() == before
    assert first.of("w-ashby") == ""


def test_a_list_that_is_not_there_holds_nothing(tmp_path: Path) -> None:
    kept = FirstPasswords(tmp_path / "first-passwords.csv")
    kept.strike("qq31-001", today=DAY)
    assert kept.of("qq31-001") == ""
    assert not kept.path.exists()


def test_the_hub_and_the_command_that_keeps_it_write_at_once(tmp_path: Path) -> None:
    path = tmp_path / "first-passwords.csv"
    program = (
        "import sys; from pathlib import Path; "
        "from coursework.room.hub_passwords import FirstPasswords\n"
        "for n in range(40): FirstPasswords(Path(sys.argv[1])).add(sys.argv[2] + str(n), 'abcd')"
    )
    both = [
        subprocess.Popen([sys.executable, "-c", program, str(path), name]) for name in ("a", "b")
    ]
    assert [one.wait(60) for one in both] == [0, 0]
    assert len(path.read_text("utf-8").splitlines()) == 80


@pytest.mark.parametrize(
    ("new", "again", "sentence"),
    [
        (
            "taper-1-96",
            "taper-1-97",
            "The new password was not typed the same twice. Type it twice again.",
        ),
        (
            "keyway1",
            "keyway1",
            "length of the new password is 7 signs; it must be from 8 to 64. Type another one.",
        ),
        (
            "k" * 65,
            "k" * 65,
            "length of the new password is 65 signs; it must be from 8 to 64. Type another one.",
        ),
        (
            "aaaabbbb",
            "aaaabbbb",
            "number of different signs in the new password is 2; it must be 5 or more. Type "
            "another one.",
        ),
        (
            FIRST,
            FIRST,
            "The new password is the present one; it must be another. Type another one.",
        ),
        (
            "keyway-1\nroot:x",
            "keyway-1\nroot:x",
            "The new password holds a sign that cannot be seen. Type another one.",
        ),
    ],
)
def test_what_cannot_become_a_password(new: str, again: str, sentence: str) -> None:
    with pytest.raises(ValueError, match="password") as refused:
        require_new_password(new, again, present=FIRST)
    assert str(refused.value) == sentence


def test_a_line_end_never_sets_the_password_of_another_account(monkeypatch) -> None:
    asked: list[str] = []

    def run(command, *, input, **_):  # noqa: A002 - as subprocess has it
        asked.append(input)
        return subprocess.CompletedProcess(command, 0)

    monkeypatch.setattr(hub_passwords.subprocess, "run", run)
    assert not set_system_password("qq31-001", "keyway-1-96\nroot:keyway-1-96")
    assert not set_system_password("root:x", "keyway-1-96")
    assert asked == []
    assert set_system_password("qq31-001", "Kéyway:1 96")
    assert asked == ["qq31-001:Kéyway:1 96\n"]


def test_the_command_that_a_skipped_check_names_is_the_one_for_developers() -> None:
    tests = Path(__file__).parents[1]
    spec = importlib.util.spec_from_file_location("hub_class_read", tests / "hub_class.py")
    assert spec is not None
    assert spec.loader is not None
    kit = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(kit)
    assert f"`{kit.TRY}`" in (tests.parent / "DEVELOPERS.md").read_text("utf-8")
    named = [word for word in kit.TRY.split() if word.startswith("tests/")]
    assert all(list(tests.parent.glob(word)) for word in named)
