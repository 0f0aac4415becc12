"""The open class: codes, who is in it, what is remembered, who is stuck, feedback given out."""

from __future__ import annotations

import json
import math
import os
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from coursework.desks.doors import Waits
from coursework.desks.feedback import give_out, waiting
from coursework.desks.joincodes import INSTRUCTOR, LENGTH, SIGNS, JoinCodes, read_typed
from coursework.desks.school import School
from coursework.desks.seating import Person, cookie_secret
from coursework.desks.warming import warm
from coursework.desks.watching import Watch
from coursework.page.pagefolder import read_name_tag
from coursework.room.classfolder import new_class
from coursework.room.registrar import withdraw
from coursework.room.roster import Apprentice

PAGE = "exercises/01-measure/01-measure.ipynb"
ROSTER = (Apprentice(1, "Ines Okafor"), Apprentice(2, "Tom Brandt"), Apprentice(7, "Zoë Ferrant"))


@pytest.fixture
def school(tmp_path: Path) -> Any:
    folder = tmp_path / "class"
    new_class(folder, code="QQ-26-K7PX", title="Taper keys", roster=ROSTER)
    made = School(folder, soon=lambda act, *given: act(*given))
    yield made
    made.stop()


def person(school: School, number: int) -> Person:
    found = school.person(number)
    assert found is not None
    return found


# codes


def test_a_code_has_more_than_40_bits_and_no_sign_that_is_mistaken() -> None:
    assert len(set(SIGNS)) == len(SIGNS)
    assert LENGTH * math.log2(len(SIGNS)) >= 40
    assert not set("01IO") & set(SIGNS)


def test_codes_are_kept_for_nobody_else_and_stay_the_same(tmp_path: Path) -> None:
    codes = JoinCodes(tmp_path)
    codes.provide([1, 2])
    again = JoinCodes(tmp_path)
    again.provide([1, 2, 3])
    assert codes.of(1) == again.of(1) != again.of(2)
    if os.name != "nt":
        assert codes.path.stat().st_mode & 0o077 == 0


def test_a_code_fits_however_it_is_typed_and_only_its_own_number(tmp_path: Path) -> None:
    codes = JoinCodes(tmp_path)
    codes.provide([1, 2])
    for typed in (codes.of(1), codes.of(1).lower(), f"  {codes.of(1).replace('-', ' ')} "):
        told = read_typed(typed)
        assert told is not None
        assert codes.fits(*told)
    told = read_typed(codes.of(1))
    assert told is not None
    assert not codes.fits(2, told[1])
    assert not codes.fits(99, told[1])
    assert not codes.fits(1, "")


def test_a_code_made_again_shuts_the_old_one_out(tmp_path: Path) -> None:
    codes = JoinCodes(tmp_path)
    codes.provide([1])
    old, mark = read_typed(codes.of(1)), codes.mark(1)
    codes.make_again(1)
    assert old is not None
    assert not codes.fits(*old)
    assert codes.mark(1) != mark


@pytest.mark.parametrize(
    "typed", ["", "7", "7-", "x" * 100_000, "7-K7QMX", "-1-K7QMX-4XRTB", "7-K7QMX-4XRTB-EXTRA1234"]
)
def test_what_is_no_code_is_told_apart(typed: str) -> None:
    assert read_typed(typed) is None


def test_wrong_codes_take_longer_for_their_number_only() -> None:
    waits = Waits()
    seconds = []
    for _ in range(12):
        seconds.append(waits.seconds(7))
        waits.wrong(7)
    assert seconds[:3] == [0.0, 0.0, 0.0], "a slip of the finger costs nothing"
    assert seconds == sorted(seconds)
    assert seconds[-1] == waits.LONGEST_SECONDS
    assert waits.seconds(8) == 0.0
    waits.right(7)
    assert waits.seconds(7) == 0.0


# who is in the class


def test_everybody_on_the_list_has_a_code_and_a_desk(school: School) -> None:
    assert [one.number for one in school.people] == [1, 2, 7]
    root = school.root(person(school, 7))
    tag = read_name_tag(root)
    assert tag is not None
    assert (tag.class_code, tag.number, tag.name) == ("QQ-26-K7PX", 7, "Zoë Ferrant")
    assert root.name == "007"
    assert school.person(3) is None
    assert person(school, INSTRUCTOR).instructs


def test_who_withdraws_is_out_at_the_next_look(school: School) -> None:
    class User:
        number, mark = 7, school.codes.mark(7)

    assert school.stays(User)
    withdraw(school.class_folder, number=7, reason="moved away", by="W. Ashby")
    school._looked = (0.0, school._looked[1])
    assert not school.stays(User)
    assert school.person(7) is None


def test_a_list_that_cannot_be_read_shuts_nobody_out(school: School) -> None:
    (school.folder / "roster.csv").write_text("no list at all")
    school._looked = (0.0, school._looked[1])
    assert school.person(7) is not None


def test_only_the_instructor_may_replay_what_is_anothers(school: School) -> None:
    assert school.place(person(school, 7), PAGE).replays is None
    assert school.place(person(school, 7), PAGE).by_class
    own = school.place(person(school, INSTRUCTOR), PAGE)
    assert own.replays == school.folder / "desks"
    assert own.drop is None


def test_open_pages_are_remembered_over_a_stop(school: School) -> None:
    seat = school.sit(person(school, 7), "exercises/01-measure/x", "01-measure.ipynb")
    assert school.move(seat, PAGE)
    assert not school.move(seat, "lessons/01-measure.ipynb"), "that lies in another folder"
    gone = school.sit(person(school, 7), "lessons/x", "x")
    school.stand_up(gone)
    again = School(school.folder, soon=lambda act, *given: act(*given))
    found = list(again.seats_of(person(again, 7)))
    assert [(one.key, one.desk_key, one.path) for one in found] == [(seat.key, seat.desk_key, PAGE)]
    assert cookie_secret(again.private) == cookie_secret(school.private), (
        "else a restart lets everybody out"
    )
    again.stop()


@pytest.mark.parametrize(
    "damage",
    [b'{"key": "half of a li', b"\xff\xfe\x00not text", b"\x00" * 400, b"[]", b"7", b'"gone"',
     b'{"gone": []}', b'{"key": {}, "desk": "", "number": 7, "path": "", "name": ""}',
     b'{"key": "k", "desk": "d", "number": "seven", "path": "p", "name": "n"}'],
)  # fmt: skip
def test_a_damaged_list_of_open_pages_forgets_no_page_and_stops_no_class(
    school: School, damage: bytes
) -> None:
    seat = school.sit(person(school, 7), PAGE, "01-measure.ipynb")
    path = school.private / school.seats_file
    path.write_bytes(path.read_bytes() + damage + b"\n")
    again = School(school.folder, soon=lambda act, *given: act(*given))
    assert [one.key for one in again.seats.values()] == [seat.key]
    assert path.read_bytes().count(b"\n") == 1, "what cannot be read is not kept"
    again.stop()


@pytest.mark.parametrize("damage", [b"", b"\n", b"half", b"ab" * 31, b"\xff" * 64, b"zz" * 32])
def test_a_damaged_secret_of_cookies_is_made_again(tmp_path: Path, damage: bytes) -> None:
    (tmp_path / "cookie-secret").write_bytes(damage)
    made = cookie_secret(tmp_path)
    assert len(made) == 32
    assert made != cookie_secret((tmp_path / "other", (tmp_path / "other").mkdir())[0])
    assert cookie_secret(tmp_path) == made
    if os.name != "nt":
        (tmp_path / "cookie-secret").unlink()
        cookie_secret(tmp_path)
        assert (tmp_path / "cookie-secret").stat().st_mode & 0o077 == 0


def test_a_page_of_nobody_and_a_page_of_no_course_are_run_by_nothing(school: School) -> None:
    seat = school.sit(person(school, 7), PAGE, "01-measure.ipynb")
    before = (school.private / school.seats_file).read_bytes()
    assert school.move(seat, PAGE)
    assert (school.private / school.seats_file).read_bytes() == before
    withdraw(school.class_folder, number=7, reason="moved away", by="W. Ashby")
    school._looked = (0.0, ())
    with pytest.raises(OSError, match="^it is no page of this course$"):
        school.desk(seat)
    with pytest.raises(OSError, match="^it is no page of this course$"):
        school.cells("exercises/01-measure/other.ipynb")


def test_a_page_that_nobody_looks_at_is_put_away_and_comes_back(school: School) -> None:
    seat = school.sit(person(school, 7), PAGE, "01-measure.ipynb")
    desk = school.desk(seat)
    later = datetime.now(UTC) + timedelta(hours=1)

    def listener(raw: bytes) -> None:
        """Be a browser."""

    desk.listen(listener)
    assert school.put_away(later) == 0, "somebody looks at it"
    desk.leave(listener)
    assert school.put_away() == 0, "somebody did a moment ago"
    assert school.put_away(later) == 1
    assert seat.desk is None
    assert school.desk(seat) is not desk


def test_one_person_cannot_open_pages_without_end(school: School) -> None:
    for _ in range(40):
        school.sit(person(school, 7), "lessons/x", "x")
    assert len(list(school.seats_of(person(school, 7)))) <= 12


def test_every_page_runs_once_before_the_first_apprentice_comes(
    school: School, tmp_path: Path
) -> None:
    small = {"exercises/01-measure/01-measure.ipynb", "lessons/07-words.ipynb"}
    school.pages = {name: path for name, path in school.pages.items() if name in small}
    assert len(school.pages) == 2
    count = warm(school, tmp_path / "nobody")
    assert count == sum(len(school.cells(name)) for name in small)
    assert not list((tmp_path / "nobody").rglob("answers.json")), "nothing is typed"
    assert not (school.folder / "desks").exists()


# who is stuck


def _type(school: School, number: int, texts: dict[str, str]) -> None:
    folder = school.root(person(school, number)) / "exercises" / "01-measure"
    folder.mkdir(parents=True, exist_ok=True)
    entries = {key: {"text": text, "saved": ""} for key, text in texts.items()}
    content = {"format": "taperkey answers", "version": 1, "entries": entries, "notes": {}}
    (folder / "answers.json").write_text(json.dumps(content))
    os.utime(folder / "answers.json", ns=(time.time_ns(), time.time_ns()))


def _sit(school: School, number: int) -> None:
    seat = school.sit(person(school, number), PAGE, "01-measure.ipynb")
    school.desk(seat).listen(lambda raw: None)


def test_the_instructor_sees_who_is_in_and_how_far(school: School) -> None:
    watch = Watch(school, {PAGE: "Exercise: measure"})
    _sit(school, 7)
    _type(school, 7, {"01-mouth-height": "1.03 in", "01-inside-height": " "})
    lines = {line.number: line for line in watch.lines()}
    assert lines[7].here
    assert lines[7].page == "Exercise: measure"
    assert lines[7].filled == 1
    assert lines[7].asked > 5
    assert lines[7].stuck == ""
    assert not lines[1].here
    assert lines[1].page == ""


def test_an_entry_changed_again_and_again_is_one_that_somebody_is_stuck_on(
    school: School,
) -> None:
    watch = Watch(school, {})
    _sit(school, 7)
    now = time.time()
    for count in range(4):
        _type(school, 7, {"01-clearance": f"{count} in"})
        stuck = {line.number: line.stuck for line in watch.lines(now + count)}
    assert stuck[7] == "Clearance: changed 3 times in 10 minutes"
    later = {line.number: line.stuck for line in watch.lines(now + 620)}
    assert "Clearance: changed" not in later[7]


def test_who_types_nothing_for_a_while_is_stuck_on_what_comes_next(school: School) -> None:
    watch = Watch(school, {})
    _sit(school, 7)
    _type(school, 7, {"01-bad-reading": "3"})
    now = time.time()
    assert {one.number: one.stuck for one in watch.lines(now + 60)}[7] == ""
    stuck = {one.number: one.stuck for one in watch.lines(now + 480)}[7]
    assert stuck == "Mouth height: nothing done for 8 minutes"
    assert {one.number: one.stuck for one in watch.lines(now + 3600)}[7] == "", "gone, not stuck"


@pytest.mark.parametrize("raw", ["", "[]", "{", '{"entries": 3}', '{"entries": {"a": 1}}'])
def test_a_damaged_file_of_entries_stops_no_page_of_the_instructor(
    school: School, raw: str
) -> None:
    watch = Watch(school, {})
    _sit(school, 7)
    _type(school, 7, {})
    (school.root(person(school, 7)) / "exercises/01-measure/answers.json").write_text(raw)
    assert len(watch.lines()) == 3


# feedback


def test_feedback_goes_out_when_the_instructor_says_so_and_to_its_owner(school: School) -> None:
    marked = school.folder / "feedback" / "007"
    marked.mkdir(parents=True)
    (marked / "01-measure.html").write_text("<p>well measured</p>")
    assert waiting(school) == 1
    assert not list((school.root(person(school, 7)) / "returned").iterdir())
    assert give_out(school) == 1
    assert waiting(school) == 0
    out = [
        path.relative_to(school.folder / "desks")
        for path in school.folder.glob("desks/*/returned/*")
    ]
    assert out == [Path("007/returned/01-measure.html")]
    (marked / "01-measure.html").write_text("<p>moderated</p>")
    assert waiting(school) == 1
