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

from coursework.desks.counter import Counter, account_of
from coursework.desks.joincodes import JoinCodes
from coursework.desks.opening import start_class
from coursework.room.classfolder import ClassFolder, new_class
from coursework.room.coursebook import CourseError
from coursework.room.roster import Apprentice

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
