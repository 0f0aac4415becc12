"""A class served from an account of its own: what that account cannot read, and that it works."""

from __future__ import annotations

import os
import pwd
import re
import shutil
import stat
import subprocess
import sys
import sysconfig
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.desks.test_doors import Client, free_port

from coursework.desks import counter as counters
from coursework.desks import opening
from coursework.desks.counter import Counter, account_of, bring_back
from coursework.desks.joincodes import JoinCodes
from coursework.desks.opening import start_class
from coursework.page.classdrop import LARGEST_BYTES
from coursework.room.classfolder import ClassFolder, new_class, open_class
from coursework.room.coursebook import CourseError
from coursework.room.hub_settings import own_certificate
from coursework.room.registrar import withdraw
from coursework.room.roster import Apprentice, write_roster

PYTHON = shutil.which("python3", path="/usr/bin")  # one that every account may run
SECRET = ("card-key.txt", "roster.csv", "records/007/01-measure.json", "gradebook.db")
HAND_IN = "0123456789ab_QQ-26-K7PX_007_01-measure.ipynb"

root = pytest.mark.skipif(
    sys.platform == "win32" or os.geteuid() != 0,
    reason="Only root may serve a class from another account: it was not tried.",
)


@pytest.fixture
def quarry() -> Iterator[ClassFolder]:
    """Give a class in a place that every account may reach."""
    place = Path(f"/var/tmp/taperkey-{os.getpid()}")
    place.mkdir(mode=0o755)
    folder = place / "quarry"
    roster = [Apprentice(2, "Tom Brandt"), Apprentice(7, "Zoë Ferrant")]
    found = new_class(folder, code="QQ-26-K7PX", title="Taper “keys”", roster=roster)
    for name in SECRET:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        if not (folder / name).exists():
            (folder / name).write_text("for the instructor alone")
            (folder / name).chmod(0o644)  # its own rights would let everybody read it
    yield found
    shutil.rmtree(place)


def _as_nobody(*words: str) -> subprocess.CompletedProcess[str]:
    account = account_of("nobody")
    return subprocess.run(
        words, cwd="/", capture_output=True, text=True, check=False, **account.starts
    )  # type: ignore[call-overload]


def test_only_an_account_that_is_there_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    if sys.platform != "win32":
        monkeypatch.setattr(os, "geteuid", lambda: 1000)
        with pytest.raises(CourseError, match="--as is nobody; it must be used by root"):
            account_of("nobody")
        monkeypatch.setattr(os, "geteuid", lambda: 0)
        with pytest.raises(CourseError, match="must be an account of this computer"):
            account_of("no-such-account-here")
        with pytest.raises(CourseError, match="other than root’s"):
            account_of(pwd.getpwuid(0).pw_name)


@root
def test_what_is_lent_comes_back_and_no_link_with_it(
    quarry: ClassFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Counter, "_try", lambda self: None)
    typed = quarry.folder / "desks/007/exercises/01-measure/answers.json"
    typed.parent.mkdir(parents=True)
    typed.write_text("{}")
    counter = Counter(quarry, account_of("nobody"))
    with counter.lent() as served:
        assert [one.name for one in served.roster] == ["Tom Brandt", "Zoë Ferrant"]
        assert served.title == "Taper “keys”"
        lent = counter.folder / "desks/007/exercises/01-measure/answers.json"
        assert _as_nobody("/bin/cat", str(lent)).stdout == "{}"
        for name in SECRET:
            tried = _as_nobody("/bin/cat", str(quarry.folder / name))
            assert "Permission denied" in tried.stderr, name
            assert not tried.stdout, name
        held = {one.name for one in counter.folder.iterdir()}
        assert held == {"class.toml", "roster.csv", "desks", "inbox", "feedback", "open"}
        assert (
            counter.folder.joinpath("roster.csv").read_text("utf-8-sig").split()[0] == "number,name"
        )
        secret = quarry.folder / SECRET[0]
        _as_nobody("/bin/ln", "-s", str(secret), str(counter.folder / "desks/007/look"))
        _as_nobody("/bin/ln", "-s", str(secret), str(counter.folder / "inbox" / HAND_IN))
        counter.go_on()
        assert list(quarry.inbox.iterdir()) == [], "a link is no hand-in"
        page = quarry.feedback / "007/01-measure.html"
        page.parent.mkdir(parents=True)
        page.write_text("Well measured.")
        aside = quarry.folder.parent / "aside"
        aside.mkdir(mode=0o755)
        feedback = counter.folder / "feedback"
        _as_nobody("/bin/rmdir", str(feedback))
        _as_nobody("/bin/ln", "-s", str(aside), str(feedback))
        monkeypatch.setattr(sys, "executable", PYTHON)
        counter.go_on()
        assert list(aside.iterdir()) == [], "nothing is written where the account may not write"
    assert typed.read_text() == "{}"
    assert not counter.folder.exists()
    left = [path for path in quarry.folder.rglob("*") if path.is_symlink()]
    assert left == []
    assert {path.stat().st_uid for path in quarry.folder.rglob("*")} == {0}


@root
@pytest.mark.skipif(
    PYTHON is None or not sys.version.startswith("3.11"), reason="no Python that nobody may run"
)
def test_a_class_is_served_by_an_account_that_cannot_read_its_marks(
    quarry: ClassFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = Path(__file__).parents[2]
    paths = [str(here / "lib"), sysconfig.get_paths()["purelib"]]
    monkeypatch.setattr(sys, "executable", PYTHON)
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join(paths))
    counter = Counter(quarry, account_of("nobody"))
    with counter.lent() as served:
        open_now = start_class(
            served, listen="127.0.0.1", port=free_port(), account=counter.account
        )
        try:
            open_now.wait_until_up()
            who = Path(f"/proc/{open_now.process.pid}/status").read_text()
            uid = str(counter.account.uid)
            assert re.findall(r"(?m)^Uid:\s+(\d+)\s+(\d+)", who) == [(uid, uid)]
            assert re.findall(r"(?m)^CapEff:\s+(\w+)", who) == ["0" * 16]
            client = Client(int(open_now.local.rsplit(":", 1)[1]))
            assert client.join(JoinCodes(open_now.codes.path.parent).of(7))[0] == 303
            assert client.sit()["kernel"]
            put = f"open({str(counter.folder / 'inbox' / HAND_IN)!r}, 'w').write('handed in')"
            assert not _as_nobody(str(PYTHON), "-c", put).returncode
            counter.go_on()
            assert (quarry.inbox / HAND_IN).read_text() == "handed in"
        finally:
            open_now.stop()
    assert stat.S_IMODE(quarry.folder.stat().st_mode) == 0o700


@root
def test_only_plain_hand_ins_of_a_fair_size_come_into_the_class(
    quarry: ClassFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Counter, "_try", lambda self: None)
    counter = Counter(quarry, account_of("nobody"))
    names = [HAND_IN.replace("_007_", f"_{number:03d}_") for number in range(6)]
    with counter.lent():
        inbox = counter.folder / "inbox"
        (inbox / names[0]).write_bytes(b"handed in")
        (inbox / names[1]).write_bytes(b"x" * (LARGEST_BYTES + 1))
        (inbox / names[2]).mkdir()
        os.mkfifo(inbox / names[3])  # whoever opened it to read would wait without end
        (inbox / "notes.txt").write_text("no name of a hand-in")
        (inbox / f"{names[4]}.part").write_text("still being written")
        counter.go_on()
        assert [one.name for one in quarry.inbox.iterdir()] == [names[0]]
        assert (quarry.inbox / names[0]).read_bytes() == b"handed in"
        left = {one.name for one in inbox.iterdir()}
        assert left == {names[2], "notes.txt", f"{names[4]}.part"}
        (inbox / names[5]).write_bytes(b"the last one")
    assert (quarry.inbox / names[5]).read_bytes() == b"the last one", "brought as the class closes"
    assert not counter.folder.exists()


@root
def test_what_changes_in_the_class_reaches_the_servers_and_what_cannot_be_read_changes_nothing(
    quarry: ClassFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Counter, "_try", lambda self: None)
    settings, roster = quarry.folder / "class.toml", quarry.folder / "roster.csv"
    roster.unlink()
    write_roster(roster, roster=quarry.roster)
    edition = re.findall(r"(?m)^edition *= *\d+$", settings.read_text())
    assert edition
    counter = Counter(quarry, account_of("nobody"))
    with counter.lent() as served:
        told = (served.folder / "class.toml").read_text()
        assert re.findall(r"(?m)^edition.*", told) == edition, "cards are of the class's edition"
        counter._given = False  # written as root here: the account may run no Python of ours
        seen = (counter.folder / "roster.csv").read_bytes()
        whole = roster.read_bytes()
        roster.write_bytes(b"\xff\xfe\x00")
        counter.go_on()
        assert (counter.folder / "roster.csv").read_bytes() == seen
        roster.write_bytes(whole)
        withdraw(quarry, number=2, by="W. Ashby", reason="left the quarry")
        counter.go_on()
        assert [one.name for one in open_class(counter.folder).roster] == ["Zoë Ferrant"]
        page = quarry.feedback / "007/01-measure.html"
        page.parent.mkdir(parents=True)
        page.write_text("Well measured.")
        counter.go_on()
        shown = counter.folder / "feedback/007/01-measure.html"
        assert shown.read_text() == "Well measured."
        shown.unlink()
        counter.go_on()
        assert not shown.exists(), "what did not change is not written again"


@root
def test_the_class_s_own_certificate_is_lent_and_its_key_does_not_come_back(
    quarry: ClassFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Counter, "_try", lambda self: None)
    pair = [quarry.folder.parent / "ours.pem", quarry.folder.parent / "ours.key"]
    for file in pair:
        file.write_text(f"what is in {file.name}")
        file.chmod(0o600)
    settings = quarry.folder / "class.toml"
    hub = f'\n[hub]\ncertificate = "{pair[0]}"\nkey = "{pair[1]}"\n'
    settings.write_text(settings.read_text() + hub)
    counter = Counter(quarry, account_of("nobody"))
    with counter.lent() as served:
        lent = own_certificate(served)
        assert lent is not None
        assert [one.read_text() for one in lent] == [one.read_text() for one in pair]
        assert all(one.parent == counter.folder / "open" for one in lent)
        assert "what is in ours.key" in _as_nobody("/bin/cat", str(lent[1])).stdout
        (counter.folder / "open" / "notices.json").write_text("{}")
    kept = {one.name for one in (quarry.folder / "open").iterdir()}
    assert kept == {"notices.json"}


@root
def test_an_account_that_cannot_reach_the_class_is_refused_and_nothing_is_left_lent(
    quarry: ClassFolder,
) -> None:
    quarry.folder.parent.chmod(0o700)  # as a home folder is
    counter = Counter(quarry, account_of("nobody"))
    typed = quarry.folder / "desks/007/answers.json"
    typed.parent.mkdir(parents=True)
    typed.write_text("{}")
    with pytest.raises(CourseError) as refused, counter.lent():
        raise AssertionError("it is not served")
    assert str(refused.value).startswith("--as is nobody; it must be one that may run ")
    assert f"reach {counter.folder}" in str(refused.value)
    assert not counter.folder.exists()
    assert typed.read_text() == "{}"


def _killed(quarry: ClassFolder) -> Counter:
    """Lend a class, hand in and type there, and have the power go."""
    killed = Counter(quarry, account_of("nobody"))
    killed.way = killed.lent()  # type: ignore[attr-defined]  # held, or it would close in order
    killed.way.__enter__()  # type: ignore[attr-defined]
    (killed.folder / "inbox" / HAND_IN).write_text("handed in")
    typed = killed.folder / "desks/007/answers.json"
    typed.parent.mkdir(parents=True)
    typed.write_text("{}")
    os.link(quarry.folder / SECRET[0], killed.folder / "desks/007/linked.txt")
    return killed


@root
@pytest.mark.parametrize("moment", ["lent", "renamed", "desks are back"])
def test_what_a_stop_left_lent_comes_back_at_the_next_opening(
    quarry: ClassFolder, monkeypatch: pytest.MonkeyPatch, moment: str
) -> None:
    monkeypatch.setattr(Counter, "_try", lambda self: None)
    killed = _killed(quarry)
    step = {"renamed": "_take_hand_ins", "desks are back": "_files"}.get(moment)
    if step is not None:  # the next opening is killed too, in the middle of bringing it back

        def stopped(*given: object) -> None:
            raise KeyboardInterrupt

        with monkeypatch.context() as away:
            away.setattr(counters, step, stopped)
            with pytest.raises(KeyboardInterrupt):
                bring_back(quarry)
        assert not killed.folder.exists()
    bring_back(quarry)
    assert (quarry.inbox / HAND_IN).read_text() == "handed in"
    assert (quarry.folder / "desks/007/answers.json").read_text() == "{}"
    assert "linked.txt" not in {one.name for one in quarry.folder.rglob("*")}, "a secret's name"
    assert (quarry.folder / SECRET[0]).read_text() == "for the instructor alone"
    assert not killed.folder.exists()
    whole = sorted(quarry.folder.rglob("*"))
    bring_back(quarry)
    assert sorted(quarry.folder.rglob("*")) == whole, "a second time there is nothing to bring"


@root
@pytest.mark.parametrize("account", [None, "nobody"])
def test_every_opening_first_brings_back_what_was_lent(
    quarry: ClassFolder, monkeypatch: pytest.MonkeyPatch, account: str | None
) -> None:
    monkeypatch.setattr(Counter, "_try", lambda self: None)
    killed = _killed(quarry)
    found: list[str] = []

    def start(served: ClassFolder, **more: object) -> None:
        found.append((served.folder / "desks/007/answers.json").read_text())
        raise CourseError("it does not start")

    monkeypatch.setattr(opening, "start_class", start)
    with pytest.raises(CourseError, match="it does not start"):
        opening.open_doors(quarry.folder, account=account)
    assert found == ["{}"]
    assert (quarry.folder / "desks/007/answers.json").read_text() == "{}"
    assert (quarry.inbox / HAND_IN).read_text() == "handed in"
    assert not killed.folder.exists()


@root
def test_a_folder_that_only_has_the_name_is_left_alone(quarry: ClassFolder) -> None:
    beside = quarry.folder.with_name("quarry-open")  # another class's, say
    beside.mkdir()
    (beside / "roster.csv").write_text("somebody else’s")
    counter = Counter(quarry, account_of("nobody"))
    assert counter.folder == beside
    with pytest.raises(CourseError, match="was not lent by this class"), counter.lent():
        raise AssertionError("it is not served")
    bring_back(quarry)
    assert (beside / "roster.csv").read_text() == "somebody else’s"
