"""Opening a class in a terminal: what is said, what ends it, and what is left of a failed start.

In the place of the class's server stands a process that does nothing, or that ends with its last
words; the true server is tried in test_doors.py and test_kill_open.py.
"""

from __future__ import annotations

import socket
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import pytest

from coursework.desks import opening
from coursework.desks.joincodes import INSTRUCTOR, JoinCodes
from coursework.desks.opening import OpenClass, open_doors, start_class
from coursework.desks.school import OPEN
from coursework.room.classfolder import ClassError, ClassFolder, new_class
from coursework.room.coursebook import CourseError
from coursework.room.holding import held
from coursework.room.launch import own_address
from coursework.room.roster import Apprentice

STAYS, ENDS = "import time; time.sleep(600)", "print('the last word')"


@pytest.fixture
def quarry(tmp_path: Path) -> ClassFolder:
    roster = [Apprentice(2, "Tom Brandt"), Apprentice(7, "Zoë Ferrant")]
    return new_class(tmp_path / "class", code="QQ-26-K7PX", title="Taper keys", roster=roster)


class Terminal:
    """What a terminal of the instructor's does: the servers run there, and Ctrl+C is pressed."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.runs, self.seen = STAYS, list[subprocess.Popen[bytes]]()
        self.states: list[Path] = []
        true_start = opening.start_process

        def start(command: Any, *, state: Path, **more: Any) -> subprocess.Popen[bytes]:
            self.states.append(state)
            made = true_start([sys.executable, "-c", self.runs], state=state, **more)
            self.seen.append(made)
            return made

        monkeypatch.setattr(opening, "start_process", start)
        monkeypatch.setattr(opening, "certificate_of", self._shown)
        self.signed: Any = None
        monkeypatch.setattr(OpenClass, "wait_until_up", lambda one: None)

    def _shown(self, *given: Any, **more: Any) -> Any:
        return self.signed

    def left(self) -> list[Any]:
        """Return what is still running and what lies about."""
        return [one for one in self.seen if one.poll() is None] + [
            one for one in self.states if one.exists()
        ]


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    return Terminal(monkeypatch)


def _ctrl_c(open_now: OpenClass, meanwhile: Any = None) -> None:
    raise KeyboardInterrupt


def test_ctrl_c_closes_the_class_and_says_what_is_kept(
    quarry: ClassFolder, terminal: Terminal, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    monkeypatch.setattr(OpenClass, "wait_for_an_end", _ctrl_c)
    assert open_doors(quarry.folder, listen="127.0.0.1", processes=2) == 0
    told = capsys.readouterr().out
    assert told.endswith("The class is closed. What everybody typed is kept.\n")
    assert len(terminal.seen) == 2
    assert terminal.left() == []
    codes = JoinCodes(quarry.folder / OPEN)
    for number, name in ((2, "Tom Brandt"), (7, "Zoë Ferrant"), (INSTRUCTOR, "you, the instr")):
        assert f"{codes.of(number):<18} {name}" in told
    sheet = quarry.cards / "join-codes.html"
    assert str(sheet) in told
    assert codes.of(7) in sheet.read_text("utf-8")
    assert sheet.stat().st_mode & 0o077 == 0 or sys.platform == "win32"


def test_a_server_that_ends_by_itself_closes_the_class(
    quarry: ClassFolder, terminal: Terminal, capsys: Any
) -> None:
    terminal.runs = ENDS
    assert open_doors(quarry.folder, listen="127.0.0.1") == 1
    assert "closed by itself. Open it again: taperkey class open." in capsys.readouterr().out
    assert terminal.left() == []


def test_meanwhile_something_is_done_every_other_second(terminal: Terminal, tmp_path: Path) -> None:
    process = subprocess.Popen([sys.executable, "-c", STAYS])
    made = OpenClass([process], [tmp_path / "state"], "", [], JoinCodes(tmp_path))
    done: list[int] = []
    made.wait_for_an_end(lambda: (done.append(1), process.kill(), process.wait()))  # type: ignore[arg-type,return-value]
    assert done == [1]


@pytest.mark.parametrize(
    ("signed", "said", "unsaid"),
    [(False, "whoever taps the network can read along", "fingerprint"),
     (True, "AA:BB:CC", "It is plain http")],
)  # fmt: skip
def test_plain_http_is_warned_of_and_a_fingerprint_shown(
    quarry: ClassFolder,
    terminal: Terminal,
    monkeypatch: pytest.MonkeyPatch,
    capsys: Any,
    signed: bool,
    said: str,
    unsaid: str,
) -> None:
    if signed:
        shown = opening.Certificate(Path("/c.pem"), Path("/k.pem"), "AA:BB:CC")
        terminal.signed = shown
    monkeypatch.setattr(OpenClass, "wait_for_an_end", _ctrl_c)
    open_doors(quarry.folder, listen="127.0.0.1", named="quarry.example")
    told = capsys.readouterr().out
    assert f"{'https' if signed else 'http'}://quarry.example:" in told
    assert said in told
    assert unsaid not in told
    command = opening.class_command(Path("/r"), 8000, "127.0.0.1", terminal.signed)
    assert ("--ServerApp.certfile=/c.pem" in command) == signed


def test_a_class_that_is_open_is_not_opened_twice(
    quarry: ClassFolder, terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    private = quarry.folder / OPEN
    private.mkdir()
    told: list[str] = []

    def second() -> None:
        with pytest.raises(CourseError) as refused:
            open_doors(quarry.folder)
        told.append(str(refused.value))

    with held(private, doing="open") as other:
        assert not other
        beside = threading.Thread(target=second)  # as another window would
        beside.start()
        beside.join()
    assert "the class is open already (open, by " in told[0]
    assert told[0].endswith("Close it with Ctrl+C in its window, then open it again.")
    assert terminal.seen == []


def test_who_opens_it_is_one_of_its_assessors_or_nobody_yet(
    quarry: ClassFolder, terminal: Terminal
) -> None:
    assert opening._assessor(quarry.folder, None) == ""
    (quarry.folder / "assessors.txt").write_text("W. Ashby\n")
    assert opening._assessor(quarry.folder, None) == "W. Ashby"
    with pytest.raises(ClassError, match="nobody moderates in another's name"):
        open_doors(quarry.folder, by="Somebody Else")
    assert terminal.seen == []


def test_nothing_is_left_of_a_start_that_failed(
    quarry: ClassFolder, terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    stand_in = opening.start_process

    def full(command: Any, **more: Any) -> Any:
        if terminal.seen:
            raise OSError("no space left")
        return stand_in(command, **more)

    monkeypatch.setattr(opening, "start_process", full)
    with pytest.raises(OSError, match="no space left"):
        start_class(quarry, listen="127.0.0.1", processes=2)
    assert len(terminal.seen) == 1
    terminal.seen[0].wait(10)
    assert terminal.left() == []


def test_a_server_that_does_not_start_is_told_with_its_last_words(tmp_path: Path) -> None:
    state = tmp_path / "state"
    state.mkdir()
    process = opening.start_process([sys.executable, "-c", ENDS], cwd=tmp_path, env={}, state=state)
    made = OpenClass([process], [state], "", ["http://127.0.0.1:9"], JoinCodes(tmp_path))
    assert made.process is process
    assert made.local == "http://127.0.0.1:9"
    with pytest.raises(CourseError) as refused:
        made.wait_until_up(60)
    assert (
        str(refused.value) == "The server of the class did not start; it last said: the last word"
    )
    made.stop()
    assert not state.exists()


def test_a_server_that_takes_too_long_is_not_waited_for(tmp_path: Path) -> None:
    state = tmp_path / "state"
    state.mkdir()
    process = opening.start_process(
        [sys.executable, "-c", STAYS], cwd=tmp_path, env={}, state=state
    )
    made = OpenClass([process], [state], "", ["http://127.0.0.1:9"], JoinCodes(tmp_path))
    with pytest.raises(CourseError, match="The server of the class did not start"):
        made.wait_until_up(0.2)
    made.stop()
    assert process.poll() is not None


def test_too_few_free_ports_are_one_sentence(quarry: ClassFolder, terminal: Terminal) -> None:
    with pytest.raises(CourseError, match="Too few ports from 65531 to 65570 are free"):
        start_class(quarry, port=65530, listen="127.0.0.1", processes=16)
    assert terminal.seen == []


def test_a_port_that_is_taken_is_left_out_where_none_is_named(
    quarry: ClassFolder, terminal: Terminal
) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(CourseError, match="it must be free, and another program is using it"):
            start_class(quarry, port=port, listen="127.0.0.1")
        first = opening._free_ports(port - 1, "127.0.0.1", 2)
    assert first[0] == port - 1
    assert first[1] > port


def test_a_computer_without_a_network_is_reached_at_its_own_address(
    quarry: ClassFolder, terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*given: Any) -> None:
        raise OSError("network is unreachable")

    monkeypatch.setattr(socket.socket, "connect", away)
    assert own_address() == "127.0.0.1"
    made = start_class(quarry)
    try:
        assert made.address.startswith("http://127.0.0.1:")
    finally:
        made.stop()
    assert terminal.left() == []
