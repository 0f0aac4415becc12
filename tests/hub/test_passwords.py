"""First passwords leave the list once changed; what may become a password, and what never."""

from __future__ import annotations

import subprocess
import sys
import time
from datetime import date
from pathlib import Path

import pytest

from coursework.room.hub_passwords import Passwords, require_new_password

DAY = date(2026, 11, 28)
FIRST = "abcd-efgh-jkmn"


@pytest.fixture
def kept(tmp_path: Path) -> Passwords:
    found = Passwords(tmp_path / "hub")
    assert found.provide(["qq31-001", "qq31-002"]) == ["qq31-001", "qq31-002"]
    return found


def test_a_first_password_lets_in_until_there_is_another(kept) -> None:
    first = kept.first("qq31-001")
    assert len(first) == 14
    assert first != kept.first("qq31-002")
    assert kept.fits("qq31-001", first)
    assert not kept.fits("qq31-002", first)
    kept.put("qq31-001", "Keyway 1:96", today=DAY)
    assert kept.first("qq31-001") == ""
    assert not kept.fits("qq31-001", first)
    assert kept.fits("qq31-001", "Keyway 1:96")
    lines = (kept.folder / "first-passwords.csv").read_text("utf-8").splitlines()
    assert lines[0] == "qq31-001,changed 2026-11-28"
    assert kept.provide(["qq31-001"]) == []  # who has one keeps it
    again = kept.give("qq31-001")  # forgotten
    assert kept.fits("qq31-001", again)
    assert not kept.fits("qq31-001", "Keyway 1:96")


def test_no_password_stands_in_the_file_and_two_alike_do_not_look_alike(kept) -> None:
    for account in ("qq31-001", "qq31-002"):
        kept.put(account, "Keyway 1:96", today=DAY)
    text = (kept.folder / "passwords.csv").read_text("utf-8")
    assert "Keyway" not in text
    one, two = (line.split("$")[1] for line in text.splitlines())
    assert one != two
    assert all(path.stat().st_mode & 0o077 == 0 for path in kept.folder.glob("*.csv"))


def test_nobody_has_an_empty_password_and_a_wrong_account_takes_as_long(kept) -> None:
    for word in ("", " ", "changed 2026-11-28", "$", "0" * 128):
        assert not kept.fits("nobody-here", word)
        assert not kept.fits("qq31-001", word)

    def takes(account: str) -> float:
        began = time.perf_counter()
        kept.fits(account, "not it")
        return time.perf_counter() - began

    known = min(takes("qq31-001") for _ in range(4))
    unknown = min(takes("nobody-here") for _ in range(4))
    assert unknown > known / 3  # both are reckoned; reading the file alone takes a hundredth


def test_the_hub_and_what_started_it_write_at_once(tmp_path: Path) -> None:
    program = (
        "import sys; from pathlib import Path; "
        "from coursework.room.hub_passwords import Passwords\n"
        "for n in range(8): Passwords(Path(sys.argv[1])).provide([sys.argv[2] + str(n)])"
    )
    both = [subprocess.Popen([sys.executable, "-c", program, str(tmp_path), name]) for name in "ab"]
    assert [one.wait(120) for one in both] == [0, 0]
    for name in ("first-passwords.csv", "passwords.csv"):
        assert len((tmp_path / name).read_text("utf-8").splitlines()) == 16


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
