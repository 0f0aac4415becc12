"""Hand-ins in and feedback back, past whatever an account puts in the way."""

import json
import os
import sys
from pathlib import Path

import pytest

from coursework.page.classdrop import feedback_note, put_in_drop, take_returned
from coursework.page.forms import name_tag_form
from coursework.page.handin import LARGEST_BYTES, write_hand_in
from coursework.room import registrar
from coursework.room.classfolder import ClassFolder, new_class, open_class
from coursework.room.intake import take_in
from coursework.room.roster import Apprentice

if sys.platform == "win32":
    pytest.skip("a hub runs on Linux only", allow_module_level=True)

import pwd

from coursework.room.hub_drop import collect, give_back, served

ME = pwd.getpwuid(os.geteuid()).pw_name


@pytest.fixture
def room(tmp_path: Path) -> ClassFolder:
    """Give a class whose number 7 is whoever runs the test."""
    people = (Apprentice(7, "Zoë Ferrant", ME), Apprentice(8, "Bram Oakes", "not-here"))
    made = new_class(tmp_path / "class", code="QQ-26", title="Keys", roster=people)
    path = made.folder / "class.toml"
    path.write_text(
        path.read_text("utf-8")
        + f'[hub]\ninstructors = ["w-ashby"]\nplace = "{tmp_path / "place"}"\n',
        "utf-8",
    )
    for room in ("drop", "returned"):
        (tmp_path / "place" / room / ME).mkdir(parents=True)
    return open_class(made.folder)


@pytest.fixture
def drop(tmp_path: Path) -> Path:
    return tmp_path / "place" / "drop" / ME


def hand_in(folder: Path, number: int = 7) -> Path:
    return write_hand_in(
        folder=folder,
        class_code="QQ-26",
        number=number,
        page="01-measure",
        page_version="unknown",
        entries={"01-mouth-height": "1.0104 in"},
        made="2026-11-02T09:00:00Z",
    )


def reasons(room: ClassFolder) -> str:
    return (room.set_aside / "reasons.txt").read_text("utf-8")


def test_by_the_button_into_the_class(
    room, drop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TAPERKEY_DROP", str(drop))
    assert put_in_drop(hand_in(tmp_path / "mine"))
    assert collect(room) == 1
    assert list(drop.iterdir()) == []
    assert [one.number for one in take_in(room).admitted] == [7]


def test_what_somebody_put_in_before_they_withdrew_still_comes(
    room, drop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TAPERKEY_DROP", str(drop))
    put_in_drop(hand_in(tmp_path / "mine"))
    gone = registrar.withdraw(room, number=7, reason="Went to another quarry.", by="w-ashby")
    assert collect(gone) == 1
    assert [one.number for one in take_in(gone).admitted] == [7]


@pytest.mark.parametrize("number", ["7", ""])
def test_the_name_tag_of_a_class_is_not_changed_by_hand(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: str
) -> None:
    monkeypatch.setenv("TAPERKEY_NUMBER", number)
    fields = [one for one in name_tag_form(tmp_path).children if hasattr(one, "placeholder")]
    assert [one.disabled for one in fields[:3]] == [bool(number)] * 3


def test_without_a_hub_the_file_travels_by_hand(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("TAPERKEY_DROP", raising=False)
    assert not put_in_drop(hand_in(tmp_path / "mine"))
    plain = new_class(tmp_path / "plain", code="QQ-26", title="K", roster=[Apprentice(7, "Z")])
    assert served(plain) is None
    assert (collect(plain), give_back(plain)) == (0, 0)


def test_in_somebody_elses_name(room, drop: Path) -> None:
    hand_in(drop, number=8)
    assert collect(room) == 0
    assert list(room.inbox.iterdir()) == []
    assert reasons(room).endswith(
        f"It says it is from apprentice number 8, and it came from account {ME}, which is number "
        "7. Ask both.\n"
    )
    assert len(list(room.set_aside.glob("*.handin.json"))) == 1


def test_link_pipe_and_second_name_are_not_read(room, drop: Path, tmp_path: Path) -> None:
    secret = hand_in(tmp_path / "secret")
    (drop / "link.handin.json").symlink_to(secret)
    os.mkfifo(drop / "pipe.handin.json")
    os.link(secret, drop / "second.handin.json")
    assert collect(room) == 0
    assert list(room.inbox.iterdir()) == []
    assert list(drop.iterdir()) == []
    assert secret.is_file()
    assert reasons(room).count("It is not a file of its own; a hand-in must be one.") == 2
    assert reasons(room).count("It belongs to another account; a hand-in must be one's own.") == 1


def test_half_copied_and_too_large(room, drop: Path) -> None:
    (drop / "x.handin.json.part").write_bytes(b"half")
    (drop / "x.handin.json").write_bytes(b" " * (LARGEST_BYTES + 1))
    assert collect(room) == 0
    assert [one.name for one in drop.iterdir()] == ["x.handin.json.part"]
    assert "It has more than 65,536 bytes; a hand-in must have fewer." in reasons(room)


def test_what_is_no_hand_in_is_judged_by_intake(room, drop: Path) -> None:
    (drop / "note.txt").write_text("let me pass")
    assert collect(room) == 1
    assert len(take_in(room).set_aside) == 1


def test_feedback_comes_back_and_a_link_in_its_place_is_replaced(
    room, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    feedback = room.feedback / "007" / "01-measure.html"
    feedback.parent.mkdir(parents=True)
    feedback.write_text("well measured")
    place = tmp_path / "place" / "returned" / ME
    victim = tmp_path / "victim"
    victim.write_text("untouched")
    (place / "01-measure.html").symlink_to(victim)
    assert give_back(room) == 1
    assert give_back(room) == 0
    assert victim.read_text() == "untouched"
    root = tmp_path / "course"
    root.mkdir()
    monkeypatch.setenv("TAPERKEY_RETURNED", str(place))
    monkeypatch.setenv("JUPYTERHUB_SERVICE_PREFIX", "/user/zoe/")
    assert take_returned(root) == ["01-measure"]
    assert (root / "feedback" / "01-measure.html").read_text() == "well measured"
    assert 'href="/user/zoe/files/feedback/01-measure.html"' in feedback_note(root, "01-measure")
    assert feedback_note(root, "02-taper") == ""


def test_a_drop_that_cannot_be_written_is_said(
    drop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TAPERKEY_DROP", str(drop / "gone"))
    path = hand_in(tmp_path / "mine")
    with pytest.raises(FileNotFoundError):
        put_in_drop(path)
    assert json.loads(path.read_text("utf-8"))["number"] == 7
