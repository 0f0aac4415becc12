"""Several pages in one process: each stands in its own folder and sees nothing of another."""

from __future__ import annotations

import threading
from contextvars import copy_context
from pathlib import Path
from typing import Any

import pytest

from coursework.page.handin import read_hand_in
from coursework.page.here import Here, here, stand
from coursework.page.pagefolder import NameTag, read_name_tag, write_name_tag, write_units
from keycourse import lesson


class Seat:
    """One apprentice's page: a course folder, and a context in which the page runs."""

    def __init__(self, top: Path, number: int, *, units: Any = "inch") -> None:
        self.root = top / f"{number:03d}"
        folder = self.root / "exercises" / "01-measure"
        for made in (folder, self.root / "lessons", self.root / "drop", self.root / "returned"):
            made.mkdir(parents=True)
        write_name_tag(self.root, NameTag(class_code="QQ-26", number=number))
        write_units(self.root, units)
        place = Here(
            place=folder,
            top=self.root,
            by_class=True,
            drop=self.root / "drop",
            returned=self.root / "returned",
            files=f"/seat{number}/files/",
        )
        self.context = copy_context()
        self.context.run(stand, place)

    def do(self, act: Any, *given: Any) -> Any:
        return self.context.run(act, *given)


@pytest.fixture
def seats(tmp_path: Path) -> tuple[Seat, Seat]:
    return Seat(tmp_path, 4), Seat(tmp_path, 5, units="metric")


def test_two_pages_in_one_process_write_to_their_own_folders(seats: tuple[Seat, Seat]) -> None:
    forms = []
    for seat in seats:
        head = seat.do(lesson.open, "01-measure")
        assert f"number {int(seat.root.name)}" in head.value
        forms.append(seat.do(lesson.ask, "01-mouth-height"))
    for seat, form, text in zip(seats, forms, ("1.0312 in", "26.2 mm"), strict=True):
        seat.do(setattr, form.children[-2], "value", text)
    for seat, text, other in (
        (seats[0], "1.0312 in", "26.2 mm"),
        (seats[1], "26.2 mm", "1.0312 in"),
    ):
        kept = (seat.root / "exercises" / "01-measure" / "answers.json").read_text()
        assert text in kept
        assert other not in kept


def test_each_shows_its_own_card_and_its_own_units(seats: tuple[Seat, Seat]) -> None:
    cards = []
    for seat in seats:
        seat.do(lesson.open, "01-measure")
        cards.append(seat.do(lesson.card).value)
    assert "apprentice 4" in cards[0]
    assert "apprentice 5" in cards[1]
    leans = [seat.do(lesson.two_leans).value for seat in seats]
    assert leans[0] != leans[1]


def test_each_hands_in_to_its_own_drop_and_reads_its_own_feedback(
    seats: tuple[Seat, Seat],
) -> None:
    (seats[1].root / "returned" / "01-measure.html").write_text("<p>for number 5</p>")
    heads = [seat.do(lesson.open, "01-measure").value for seat in seats]
    assert "feedback" not in heads[0]
    assert 'href="/seat5/files/feedback/01-measure.html"' in heads[1]
    for seat in seats:
        form = seat.do(lesson.hand_in)
        button = next(one for one in form.children if getattr(one, "description", "") == "Hand in")
        seat.do(button.click)
        [came] = (seat.root / "drop").iterdir()
        assert read_hand_in(came.read_bytes()).number == int(seat.root.name)
        said = form.children[-1].value
        assert "It is with your class." in said
        assert str(seat.root) not in said, "a page served to a class shows no path of the server"


def test_a_name_tag_from_the_class_cannot_be_changed_by_setting_a_box(
    seats: tuple[Seat, Seat],
) -> None:
    seats[0].do(lesson.open, "00-start")
    form = seats[0].do(lesson.name_tag)
    seats[0].do(setattr, form.children[1], "value", "5")
    tag = read_name_tag(seats[0].root)
    assert tag is not None
    assert tag.number == 4


def test_a_page_waits_for_its_own_turn_only(seats: tuple[Seat, Seat]) -> None:
    def turn(seat: Seat) -> Any:
        return seat.do(lambda: here().turn)

    done = threading.Event()
    with turn(seats[0]):
        other = threading.Thread(
            target=lambda: turn(seats[1]).acquire(timeout=5) and done.set(), daemon=True
        )
        other.start()
        assert done.wait(5)
    assert turn(seats[0]) is turn(seats[0])


def test_alone_in_a_process_a_page_stands_where_the_process_stands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert here().folder == tmp_path
    assert here().drop is None
    assert not here().by_class
    assert here().files == "/files/"
    assert here().shown(tmp_path / "x") == str(tmp_path / "x")
