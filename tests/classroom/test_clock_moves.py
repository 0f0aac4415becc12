"""A clock that is moved while something is going on: a run of `mark`, an assessor's acts, a page.

A double of the clock stands under every module of ours: from its n-th look on it says another time.
What is marked, what counts and what is late is as with a clock that was left alone.
"""

from __future__ import annotations

import csv
import importlib
import os
import pkgutil
import shutil
import sys
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from tests.desks.test_kill_open import KEY as TYPED
from tests.desks.test_kill_open import LABEL, Apprenticed

from coursework import page
from coursework.desks.school import School
from coursework.mark.kept import read_arrivals
from coursework.mark.records import read_record, read_records
from coursework.mark.second import read_second_marks
from coursework.mark.signoff import counting_sign_offs
from coursework.page.handin import read_hand_in
from coursework.room.assessing import mark_and_report, moderate_mark, verify_class
from coursework.room.classfolder import new_class, open_class
from coursework.room.clock import registers_of_class
from coursework.room.seconding import enter_second_marks, write_sample
from coursework.room.signing import enter_from_file

from .test_assessing import KEY, NOW, PEOPLE, enter, hand_in, marks
from .test_kill_commands import state
from .test_signing import MUST, TASK, sheet, yes

MANY = os.environ.get("TAPERKEY_MANY") == "1"
HOUR = timedelta(hours=1)
MOVES = (-HOUR, HOUR, timedelta(days=-400), timedelta(days=400)) if MANY else (-HOUR,)
WHY = "01-why-bottom"


class Clock:
    """Says `NOW`, a second later at each look; from one look on it is moved."""

    def __init__(self) -> None:
        self.looks, self.moved_from, self.by, self.since = 0, 0, timedelta(0), NOW

    def start(self, since: datetime, moved_from: int = 0, by: timedelta = timedelta(0)) -> None:
        self.looks, self.moved_from, self.by, self.since = 0, moved_from, by, since

    def now(self) -> datetime:
        self.looks += 1
        moved = self.by if self.moved_from and self.looks >= self.moved_from else timedelta(0)
        return self.since + timedelta(seconds=self.looks) + moved


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    double = Clock()

    class Moved(datetime):
        @classmethod
        def now(cls, tz: Any = None) -> datetime:
            found = double.now()
            return found.astimezone(tz) if tz else found.astimezone().replace(tzinfo=None)

    for one in pkgutil.iter_modules(page.__path__, f"{page.__name__}."):
        importlib.import_module(one.name)  # some are loaded only when a page wants them
    under = 0
    for name, module in list(sys.modules.items()):
        ours = name.startswith(("coursework.", "keycourse."))
        if ours and getattr(module, "datetime", None) is datetime:
            monkeypatch.setattr(module, "datetime", Moved)
            under += 1
    assert under >= 10
    return double


@pytest.fixture
def begun(tmp_path: Path) -> Path:
    """Return a class that was marked, with more to come: in time, late, twice, and no hand-in."""
    room = new_class(tmp_path / "begun", code="QQ-26", title="Keys", roster=PEOPLE)
    settings = room.folder / "class.toml"
    due = "\n[due]\n01-measure = 2026-11-25\n02-taper = 2026-11-24\n"
    settings.write_text(settings.read_text("utf-8") + due, "utf-8")
    room = open_class(room.folder)
    hand_in(room.inbox, 1, made="2026-11-24T12:00:00Z")
    mark_and_report(room, now=NOW - 3 * HOUR)
    enter(room, WHY, 2.0, number=1)
    hand_in(room.inbox / "a", 7, made="2026-11-25T12:00:00Z", **{KEY: "9 in"})
    hand_in(room.inbox / "b", 7, made="2026-11-25T12:30:00Z")  # right, and after it
    hand_in(room.inbox / "c", 7, made="2026-11-25T12:10:00Z", page="02-taper")  # a day late
    (room.inbox / "letter.txt").write_text("no hand-in", encoding="utf-8")
    return room.folder


def outcome(folder: Path) -> dict[str, Any]:
    """Return what counts: which hand-in, its marks, and how late it is."""
    room = open_class(folder)
    return {
        f"{one.number} {one.exercise}": (
            one.made,
            [(each.key, each.mark) for each in one.verdicts],
            room.dates.lateness(one).days,
        )
        for one in read_records(folder)
    } | {"marks": [marks(room, one.name) for one in PEOPLE]}


def counting_of(found: dict[str, Any]) -> list[Any]:
    return [one[:2] for name, one in found.items() if name != "marks"]


def late_of(found: dict[str, Any]) -> int:
    return sum(one[2] for name, one in found.items() if name != "marks")


@pytest.mark.parametrize("by", MOVES, ids=str)
@pytest.mark.timeout(1800)
def test_moved_at_any_look_in_a_run_of_mark(begun: Path, tmp_path: Path, clock: Clock, by) -> None:
    plain = tmp_path / "plain"
    shutil.copytree(begun, plain)
    clock.start(NOW)
    mark_and_report(open_class(plain))
    looks = clock.looks
    assert looks >= 4
    wanted = outcome(plain)
    assert wanted["7 01-measure"][0] == "2026-11-25T12:30:00Z"
    assert [wanted[f"7 {page}"][2] for page in ("01-measure", "02-taper")] == [0, 1]
    clock.start(NOW + HOUR)
    mark_and_report(open_class(plain))
    settled = state(plain)
    for look in range(1, looks + 1):
        folder = tmp_path / f"moved-{look}"
        shutil.copytree(begun, folder)
        clock.start(NOW, look, by)
        done = mark_and_report(open_class(folder))
        found = outcome(folder)
        favored = found != wanted
        if favored:  # it came before the inbox was last emptied: nobody is late by such a clock
            assert by < -HOUR
            assert [one for one in done.lines if one.startswith("The clock of")] or look > 1, look
            assert late_of(found) < late_of(wanted)
        assert counting_of(found) == counting_of(wanted), look
        assert verify_class(open_class(folder)).differences == [], look
        assert [one.run for one in read_arrivals(folder)] == [1, 2, 2, 2], look
        times = [one.last_time() for one in registers_of_class(folder)]
        clock.start(NOW + HOUR)
        done = mark_and_report(open_class(folder))
        ahead = [one for one in done.lines if one.startswith("The clock of this computer")]
        assert bool(ahead) is (max(times) > "2027"), look
        after = state(folder)
        for name in sorted({*settled, *after} if not favored else {}):
            assert after.get(name) == settled.get(name), (look, name)
        shutil.rmtree(folder)


def test_set_back_between_two_acts_the_later_act_counts(begun: Path, clock: Clock) -> None:
    """Moderations, second marks and sign-offs: each list in its order, whatever the clock says."""
    room = open_class(begun)
    clock.start(NOW)
    mark_and_report(room)
    clock.start(NOW, 1, HOUR)
    moderate_mark(room, number=7, entry=WHY, mark=2, reason="Read", by="Pat Holt")
    clock.start(NOW, 1, -HOUR)
    moderate_mark(room, number=7, entry=WHY, mark=1, reason="Read again", by="Pat Holt")
    record = read_record(folder=begun, number=7, exercise="01-measure")
    assert record is not None
    assert [act.mark for act in record.moderated] == [2.0, 1.0]
    assert record.moderations[WHY].mark == 1.0
    assert marks(room)[WHY] == "1"

    _, path, count = write_sample(room, 1.0)
    assert count >= 2
    lines = list(csv.reader(path.read_text("utf-8-sig").splitlines()))
    for mark, by in (("2", HOUR), ("0", -HOUR)):
        given = [line if not n else [*line[:3], mark, ""] for n, line in enumerate(lines)]
        path.write_text("\n".join(",".join(line) for line in given), "utf-8")
        clock.start(NOW, 1, by)
        assert enter_second_marks(room, path, by="Kim Dole")
    assert {one.mark for one in read_second_marks(begun).values()} == {0.0}

    for attempt, missed, by in ((1, [], HOUR), (2, [MUST], -HOUR)):
        line = (7, TASK, attempt, "2026-11-25", "unprompted", yes(no=missed))
        clock.start(NOW, 1, by)
        enter_from_file(room, sheet(begun, line), by="Pat Holt")
    assert counting_sign_offs(begun)[7, TASK].failed == (MUST,)
    clock.start(NOW)
    mark_and_report(open_class(begun))
    audit = verify_class(open_class(begun))
    assert audit.differences == []
    for name in ("second-marks.csv", "sign-offs.csv"):
        assert [one for one in audit.notes if one.startswith(f"{name}, line ")], name


@pytest.mark.parametrize("by", [-HOUR, HOUR, timedelta(days=-400)], ids=str)
def test_moved_between_typing_and_handing_in(tmp_path: Path, clock: Clock, by) -> None:
    """The server of an open class: what was typed last is handed in, and nobody is late by it."""
    folder = tmp_path / "class"
    room = new_class(folder, code="QQ-26", title="Keys", roster=PEOPLE)
    settings = folder / "class.toml"
    due = "\n[due]\n01-measure = 2026-11-25\n"
    settings.write_text(settings.read_text("utf-8") + due, "utf-8")
    clock.start(NOW)
    school = School(folder, soon=lambda act, *given: act(*given))
    sitting = Apprenticed(school, 7)
    sitting.open()
    for text, move in (("1.01 in", timedelta(0)), ("1.02 in", by)):
        clock.start(NOW, 1, move)
        assert "Saved." in str(sitting.change(sitting.box(LABEL), value=text)), text
    assert "Not handed in" not in str(sitting.press("Hand in"))
    [sent] = room.inbox.glob("*_QQ-26_007_*")
    assert read_hand_in(sent.read_bytes()).entries[TYPED] == "1.02 in"
    school.stop()
    clock.start(NOW + timedelta(minutes=1))
    done = mark_and_report(open_class(folder))
    assert len(done.intake.admitted) == 1
    told = [one for one in done.lines if "one of the two clocks is wrong" in one]
    assert bool(told) is (by == HOUR)
    record = read_record(folder=folder, number=7, exercise="01-measure")
    assert record is not None
    assert open_class(folder).dates.lateness(record).days == 0
    assert verify_class(open_class(folder)).differences == []
