"""The server of an open class is killed while apprentices type, hand in and get feedback.

What was called saved is there, what was called handed in lies in the inbox once and whole, and
pages that were open are known to the next server. Two kills in the suite; 30 with TAPERKEY_MANY=1.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import random
import shutil
import signal
import ssl
import time
from multiprocessing.connection import Connection
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from tests.classroom.children import kill_at, start_child, wait_for

from coursework.desks import opening
from coursework.desks.calls import page_calls
from coursework.desks.feedback import give_out, waiting
from coursework.desks.joincodes import JoinCodes
from coursework.desks.school import School
from coursework.desks.seating import cookie_secret
from coursework.page.entries import EntriesFile
from coursework.page.handin import read_hand_in
from coursework.room.classfolder import new_class, open_class
from coursework.room.coursebook import shipped_pages
from coursework.room.roster import Apprentice

from .test_desk import EXERCISE, MODULE, Browser

MANY = os.environ.get("TAPERKEY_MANY") == "1"
KILLS = 30 if MANY else 2
ROSTER = (Apprentice(1, "Ines Okafor"), Apprentice(7, "Zoë Ferrant"))
LABEL, KEY = "Mouth height", "01-mouth-height"
pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that forks")


class Apprenticed(Browser):
    """A browser of somebody in the class."""

    def __init__(self, school: School, number: int) -> None:
        person = school.person(number)
        assert person is not None
        seats = school.seats_of(person)
        seat = next(iter(seats), None) or school.sit(person, EXERCISE, "01-measure.ipynb")
        self.number, self.blocks = number, page_calls(shipped_pages()[EXERCISE], MODULE)
        self.raw = []
        self.desk = school.desk(seat)
        self.desk.listen(self.raw.append)

    def press(self, label: str) -> list[Any]:
        data = {"method": "custom", "content": {"event": "click"}}
        return self.send("comm_msg", {"comm_id": self.box(label), "data": data})


def _serve_without_end(folder: str, tell: Connection) -> None:
    school = School(Path(folder), soon=lambda act, *given: act(*given))
    tell.send(("seats", 0, sorted((one.number, one.path) for one in school.seats.values())))
    browsers = [Apprenticed(school, one.number) for one in ROSTER]
    for one in browsers:
        one.open()
    tell.send(("open", 0, [one.number for one in browsers]))
    count = 0
    while True:
        count += 1
        for one in browsers:
            text = f"1.0{os.getpid() % 1000:03d}{count % 1000:03d} in"
            tell.send(("typed", one.number, text))
            if "Saved." in str(one.change(one.box(LABEL), value=text)):
                tell.send(("saved", one.number, text))
        feedback = school.class_folder.feedback / "007"
        feedback.mkdir(parents=True, exist_ok=True)
        (feedback / "01-measure.html").write_bytes(b"<p>turn %d</p>" % count * 4000)
        give_out(school)
        if count % 3 == 1:
            said = str(browsers[count % 2].press("Hand in"))
            if "Not handed in" not in said:  # the same words are not sent twice
                tell.send(("handed in", browsers[count % 2].number, text))


@pytest.mark.timeout(3000)
def test_the_server_killed_at_any_moment_loses_nothing(tmp_path: Path) -> None:
    draws = random.Random("open")
    room = new_class(tmp_path / "class", code="QQ-26-K7PX", title="Keys", roster=ROSTER)
    context = multiprocessing.get_context("fork")
    held: dict[int, set[str]] = {one.number: {""} for one in ROSTER}
    handed = saved = 0
    seats: list[Any] = []
    for turn in range(KILLS):
        listen, tell = context.Pipe(duplex=False)
        server = context.Process(target=_serve_without_end, args=(str(room.folder), tell))
        server.start()
        tell.close()
        wanted, told = 1 + draws.randrange(8), []
        while sum(what == "saved" for what, _, _ in told) < wanted:
            assert listen.poll(120), "the server stopped"
            told.append(listen.recv())
        time.sleep(draws.uniform(0.0, 0.2))
        os.kill(server.pid or 0, signal.SIGKILL)
        server.join()
        assert server.exitcode == -signal.SIGKILL
        with contextlib.suppress(EOFError, OSError):
            while listen.poll():
                told.append(listen.recv())
        [open_before] = [given for what, _, given in told if what == "seats"]
        assert open_before == seats, "an open page was forgotten, or is there twice"
        seats = sorted((one.number, EXERCISE) for one in ROSTER)
        for what, number, text in told:
            if what == "typed":
                held[number].add(text)
            elif what == "saved":
                held[number] = {text}
                saved += 1
            elif what == "handed in":
                handed += 1
        for one in ROSTER:
            path = room.folder / "desks" / f"{one.number:03d}" / "exercises/01-measure/answers.json"
            text = EntriesFile(path).texts().get(KEY, "")
            assert text in held[one.number], turn
            held[one.number] = {text}
        there = [one for one in room.inbox.rglob("*") if one.name.endswith(".handin.json")]
        for one in there:
            read_hand_in(one.read_bytes())
        assert handed <= len(there) <= handed + turn + 1  # killed before it could say so
        for one in (room.folder / "desks").rglob("returned/*.html"):
            assert one.read_bytes().count(b"<p>turn") == 4000
    assert saved >= KILLS
    assert handed >= 1
    school = School(room.folder, soon=lambda act, *given: act(*given))
    give_out(school)
    assert waiting(school) == 0
    school.stop()


def test_a_start_that_is_cut_off_forgets_no_open_page(tmp_path: Path, monkeypatch) -> None:
    folder = tmp_path / "class"
    new_class(folder, code="QQ-26-K7PX", title="Keys", roster=ROSTER)
    school = School(folder, soon=lambda act, *given: act(*given))
    person = school.person(7)
    assert person is not None
    seat = school.sit(person, EXERCISE, "01-measure.ipynb")
    school.stop()

    def cut(*given: object, **named: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch, contextlib.suppress(KeyboardInterrupt):
        patch.setattr(os, "replace", cut)
        patch.setattr(Path, "open", cut)
        School(folder, soon=lambda act, *given: act(*given))
    again = School(folder, soon=lambda act, *given: act(*given))
    assert list(again.seats) == [seat.key]
    again.stop()


def _open_once(folder: Path, name: str) -> None:
    """Open a class up to where its servers would begin, and with one page."""
    opening.start_process = lambda *given, **named: SimpleNamespace()  # type: ignore[assignment]
    started = opening.start_class(open_class(folder), listen="127.0.0.1", named=name, https=True)
    for state in started.states:
        shutil.rmtree(state)
    school = School(folder, soon=lambda act, *given: act(*given))
    person = school.person(7)
    assert person is not None
    next(school.seats_of(person), None) or school.sit(person, EXERCISE, "01-measure.ipynb")
    school.root(person)
    school.tell_whereabouts()
    give_out(school)
    school.stop()


@pytest.mark.timeout(3000)
@pytest.mark.parametrize("again", [False, True], ids=["first", "under another name"])
def test_an_opening_killed_before_any_change_can_be_begun_again(tmp_path: Path, again) -> None:
    """What is there is kept: codes, key and cookies; what is half is made new."""
    begun = tmp_path / "begun"
    new_class(begun, code="QQ-26-K7PX", title="Keys", roster=ROSTER)
    feedback = begun / "feedback" / "007"
    feedback.mkdir(parents=True)
    (feedback / "01-measure.html").write_text("<p>marked</p>", encoding="utf-8")
    if again:
        assert wait_for(start_child(lambda: _open_once(begun, "192.0.2.7"))) == 0
    plain = _copy(begun, tmp_path / "plain")
    code, changes = kill_at(lambda: _open_once(plain, "192.0.2.8"), 0, [plain])
    assert (code, changes >= 8) == (0, True)
    moments = range(1, changes + 1)
    for moment in moments if MANY else random.Random("opening").sample(moments, 6):
        place = _copy(begun, tmp_path / f"{moment}")
        code, _ = kill_at(lambda at=place: _open_once(at, "192.0.2.8"), moment, [place])
        assert code == -signal.SIGKILL
        before = JoinCodes(place / "open").path
        codes = before.read_bytes() if before.is_file() else b""
        assert wait_for(start_child(lambda at=place: _open_once(at, "192.0.2.7"))) == 0, moment
        assert JoinCodes(place / "open").path.read_bytes() == codes or not codes, moment
        pair = place / "open/certificate.pem", place / "open/certificate.key"
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(*pair)
        assert len(cookie_secret(place / "open")) >= 32
        school = School(place, soon=lambda act, *given: act(*given))
        assert [one.number for one in school.seats.values()] == [7], moment
        assert waiting(school) == 0
        school.stop()
        shutil.rmtree(place)


def _copy(folder: Path, place: Path) -> Path:
    return Path(shutil.copytree(folder, place))
