"""Accounts, first passwords, and the program that keeps a hub up."""

import os
import re
import socket
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from coursework.room.classfolder import ClassFolder, new_class, open_class
from coursework.room.hub_settings import HubError, HubSettings, read_hub_settings
from coursework.room.roster import Apprentice

if sys.platform == "win32":
    pytest.skip("a hub runs on Linux only", allow_module_level=True)

from coursework.room import hub, hub_accounts, hub_newcomers

PEOPLE = (Apprentice(7, "Zoë Ferrant"), Apprentice(8, "Bram Oakes"))


@pytest.fixture
def room(tmp_path: Path) -> ClassFolder:
    made = new_class(tmp_path / "class", code="QQ-26", title="Taper keys", roster=PEOPLE)
    with (made.folder / "class.toml").open("a", encoding="utf-8") as file:
        file.write(
            f'[hub]\ninstructors = ["w-ashby"]\nplace = "{tmp_path / "place"}"\n'
            f'homes = "{tmp_path / "homes"}"\n'
        )
    return open_class(made.folder)


@pytest.fixture
def settings(room: ClassFolder) -> HubSettings:
    (room.folder.parent / "place" / "hub").mkdir(parents=True)
    return read_hub_settings(room)


class Computer:
    """What would have been run as root, and what fails of it."""

    def __init__(self) -> None:
        self.ran: list[tuple[list[str], str]] = []
        self.refuses = ""

    def run(self, command: list[str], *, input: str = "", **_: object) -> object:
        self.ran.append((command, input))
        bad = bool(self.refuses) and self.refuses in f"{' '.join(command)} {input}"
        said = "useradd: warning\nuseradd: cannot lock /etc/passwd; try again later.\n"
        return subprocess.CompletedProcess(command, int(bad), "", said if bad else "")

    def made(self) -> list[str]:
        return [command[-1] for command, _ in self.ran if command[0] == "useradd"]


@pytest.fixture
def computer(monkeypatch: pytest.MonkeyPatch) -> Computer:
    stand_in = Computer()
    monkeypatch.setattr(subprocess, "run", stand_in.run)
    monkeypatch.setattr(hub_accounts, "_entry", lambda name: None)
    monkeypatch.setattr(os, "chown", lambda *args, **how: None)
    return stand_in


def noted(settings: HubSettings) -> dict[str, str]:
    lines = (settings.own / "first-passwords.csv").read_text("utf-8").splitlines()
    return dict(line.split(",") for line in lines)


# accounts


def test_every_account_gets_a_word_of_its_own_and_the_keeper_none(settings, computer) -> None:
    given = hub_accounts.make_accounts(settings)

    assert computer.made() == ["qq26-keeper", "w-ashby", "qq26-007", "qq26-008"]
    assert list(given) == ["w-ashby", "qq26-007", "qq26-008"]
    assert all(re.fullmatch(r"[a-z2-9]{4}(-[a-z2-9]{4}){2}", word) for word in given.values())
    assert len(set(given.values())) == 3
    words = [input for command, input in computer.ran if command == ["chpasswd"]]
    assert words == [f"{name}:{word}\n" for name, word in given.items()]
    assert noted(settings) == given
    assert (settings.own / "first-passwords.csv").stat().st_mode & 0o777 == 0o600
    by_name = {command[-1]: command for command, _ in computer.ran}
    keeper, person = by_name["qq26-keeper"], by_name["qq26-007"]
    assert "--system" in keeper
    assert "--system" not in person
    assert person[person.index("--shell") + 1] == "/usr/sbin/nologin"
    assert person[person.index("--home-dir") + 1] == str(settings.homes / "qq26-007")
    assert not [one for command, _ in computer.ran for one in command if one in given.values()]


def test_first_use_gives_no_words(settings, computer) -> None:
    assert hub_accounts.make_accounts(replace(settings, login="first-use")) == {}
    assert [command for command, _ in computer.ran if command[0] == "chpasswd"] == []
    assert not (settings.own / "first-passwords.csv").exists()


def test_where_one_cannot_be_made_those_before_have_their_words(settings, computer) -> None:
    computer.refuses = "qq26-008"
    with pytest.raises(HubError) as refused:
        hub_accounts.make_accounts(settings)
    assert str(refused.value) == (
        "account qq26-008 could not be made (useradd: cannot lock /etc/passwd; try again later). "
        "Make it by hand with useradd, then start again."
    )
    assert list(noted(settings)) == ["w-ashby", "qq26-007"]


def test_a_word_that_cannot_be_set_is_not_handed_out(settings, computer) -> None:
    computer.refuses = "qq26-007:"
    with pytest.raises(HubError) as refused:
        hub_accounts.make_accounts(settings)
    assert str(refused.value) == (
        "The first password of account qq26-007 could not be set. Set it by hand: passwd "
        "qq26-007. Then start again."
    )
    assert list(noted(settings)) == ["w-ashby"]


def test_a_link_in_place_of_a_folder_is_refused(settings, tmp_path: Path, computer) -> None:
    victim = tmp_path / "victim"
    victim.mkdir(mode=0o700)
    settings.own.rmdir()
    settings.own.symlink_to(victim)
    with pytest.raises(HubError) as refused:
        hub_accounts.make_accounts(settings)
    assert str(refused.value) == (
        f"{settings.own} is a link; it must be a folder of its own. Remove the link."
    )
    assert computer.made() == []


def test_only_root_at_a_served_class_goes_on_as_the_keeper(
    room, monkeypatch: pytest.MonkeyPatch
) -> None:
    became: list[object] = []
    for name in ("initgroups", "setgid", "setuid"):
        monkeypatch.setattr(os, name, lambda *what, name=name: became.append((name, *what)))
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    hub_accounts.become_keeper(room.folder)
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    hub_accounts.become_keeper(room.folder)  # no hub has served it: its rights are ordinary
    assert became == []


# staying up


class Told(list):
    """What was told; at a sentence that begins so, Ctrl+C is pressed."""

    def __init__(self, until: str = "never") -> None:
        super().__init__()
        self.until = until

    def __call__(self, text: str) -> None:
        self.append(text)
        if text.startswith(self.until):
            raise KeyboardInterrupt


AGAIN = (
    "The hub ended by itself and is started again. Pages that are open go on, and what was typed "
    "is kept."
)
OPEN = "The hub is open at http://127.0.0.1:8000/"
LEAVE = "Leave this window open. Stop with Ctrl+C; what was typed is kept."
CLOSED = "The hub is closed. What was typed is kept in the course folders."


@pytest.fixture
def hubs(monkeypatch: pytest.MonkeyPatch) -> list[subprocess.Popen[bytes]]:
    """Give the hubs that were started: the first ends by itself, the others stay."""
    running: list[subprocess.Popen[bytes]] = []

    def start(*_: object) -> subprocess.Popen[bytes]:
        code = "import time; time.sleep(60)" if running else ""
        running.append(subprocess.Popen([sys.executable, "-c", code]))
        return running[-1]

    monkeypatch.setattr(hub, "_start", start)
    monkeypatch.setattr(hub, "_wait_until_up", lambda process, settings: True)
    return running


def test_a_hub_that_is_lost_is_started_again_until_ctrl_c(room, settings, hubs) -> None:
    class Twice(Told):
        def __call__(self, text: str) -> None:
            self.append(text)
            if text == OPEN and self.count(OPEN) == 2:
                raise KeyboardInterrupt

    tell = Twice()
    assert hub._stay(room, settings, tell) == 0
    assert tell == [OPEN, LEAVE, AGAIN, OPEN, CLOSED]
    assert len(hubs) == 2
    assert hubs[1].poll() is not None  # it was ended, not left behind


def test_a_hub_that_keeps_ending_is_given_up(
    room, settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(hub, "_start", lambda *_: subprocess.Popen([sys.executable, "-c", ""]))
    tell = Told()
    assert hub._stay(room, settings, tell) == 1
    assert tell == [
        *[AGAIN] * (hub.MOST_RESTARTS + 1),
        "The hub keeps ending. What was typed is kept in the course folders. Look at the end of "
        f"{settings.own / 'hub.log'}.",
    ]


def test_the_class_list_is_looked_at_while_the_hub_runs(
    room, settings, hubs, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(hub, "LOOK_SECONDS", 0.01)
    monkeypatch.setattr(hub_newcomers.Newcomers, "look", lambda self: ["New on the class list."])
    tell = Told(until="New on")
    hubs.append(subprocess.Popen([sys.executable, "-c", ""]))  # so that the next one stays
    assert hub._stay(room, settings, tell) == 0
    assert tell == [OPEN, LEAVE, "New on the class list.", CLOSED]


def two_in_a_row() -> tuple[socket.socket, socket.socket]:
    while True:
        first, second = socket.socket(), socket.socket()
        first.bind(("127.0.0.1", 0))
        try:
            second.bind(("127.0.0.1", first.getsockname()[1] + 1))
        except (OSError, OverflowError):
            first.close()
            second.close()
            continue
        first.listen()
        second.listen()
        return first, second


def test_a_hub_is_up_when_both_its_ports_answer(settings) -> None:
    way_in, inner = two_in_a_row()
    with way_in, inner:
        there = replace(settings, port=way_in.getsockname()[1], address="0.0.0.0")
        process = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"])
        try:
            assert hub._wait_until_up(process, there)
            process.kill()
            process.wait()
            assert not hub._wait_until_up(process, there)  # something else answers there
        finally:
            process.kill()
