"""What an instructor may want to ask about: flagged in a sentence, and no mark depends on it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from coursework.course import PAGES, issue_card
from coursework.judging import right_answers, show_answer
from coursework.page.handin import write_hand_in
from coursework.page.seal import card_code
from coursework.question import Written
from coursework.room.assessing import mark_and_report, verify_class
from coursework.room.classfolder import ClassError, ClassFolder, new_class, open_class
from coursework.room.flags import flags
from coursework.room.roster import Apprentice
from coursework.room.seals import card_key
from coursework.room.standings import gather
from coursework.room.status import status_lines

PEOPLE = [Apprentice(1, "Ada Brindle"), Apprentice(2, "Bo Flint"), Apprentice(7, "Zoë Ferrant")]
PAGE = "02-taper"


def entries_of(number: int) -> dict[str, str]:
    card = issue_card(exercise=PAGE, class_code="QQ-26", number=number)
    right = right_answers(PAGES[PAGE], card)
    found = {}
    for asked in PAGES[PAGE].questions:
        question = asked.on(card)
        if isinstance(question.kind, Written):
            found[question.key] = "One reading is only good to half a thousandth."
        elif not question.by_assessor:
            found[question.key] = show_answer(question, right[question.key])
    return found


def hand_in(room: ClassFolder, number: int, *, apart_s: int = 240, **changes: Any) -> None:
    entries = changes.pop("entries", None) or entries_of(number)
    practiced = changes.pop("practiced", 6)
    code = card_code(key=card_key(room.folder), exercise=PAGE, number=number, attempt=1)
    seconds = (apart_s * place for place in range(len(entries)))
    saved = {
        key: f"2026-11-25T{9 + s // 3600:02d}:{s // 60 % 60:02d}:{s % 60:02d}Z"
        for key, s in zip(entries, seconds, strict=True)
    }
    given: dict[str, Any] = {
        "made": "2026-11-25T12:00:00Z",
        "code": code,
        "saved": saved,
        "practiced": practiced,
        "code_typed": "2026-11-25T11:30:00Z",
    }
    write_hand_in(
        folder=room.inbox,
        class_code="QQ-26",
        number=number,
        page=PAGE,
        page_version="v",
        entries=entries,
        **{**given, **changes},
    )


@pytest.fixture
def made(tmp_path: Path) -> ClassFolder:
    return new_class(tmp_path / "class", code="QQ-26", title="Keys", roster=PEOPLE)


def told(made: ClassFolder) -> list[str]:
    opened = open_class(made.folder)
    mark_and_report(opened)
    return [sentence for _, sentence in flags(gather(opened))]


def test_an_ordinary_hand_in_is_not_flagged(made: ClassFolder) -> None:
    hand_in(made, 1)
    hand_in(made, 2, apart_s=1)  # fast, and practiced before
    hand_in(made, 7, practiced=0)  # did not practice, and took its time
    assert told(made) == []
    assert not any("ask" in line.lower() for line in status_lines(made))


def test_all_right_without_practice_within_minutes(made: ClassFolder) -> None:
    hand_in(made, 1, apart_s=5, practiced=0)
    hand_in(made, 2, apart_s=5, practiced=0, entries={**entries_of(2), "02-ratio": "7"})
    assert told(made) == [
        "Ada Brindle (1), 02-taper: every entry right at the first hand-in, all typed within 1 "
        "minute, and no practice question tried; ask how one of them was worked out."
    ]
    lines = status_lines(open_class(made.folder))
    place = next(n for n, line in enumerate(lines) if line.startswith("To ask about: 1. Each of"))
    assert "a question to ask, and no verdict" in lines[place]
    assert lines[place + 1].startswith("- Ada Brindle (1), 02-taper")
    page = (made.report / "index.html").read_text("utf-8")
    assert "To ask about: 1" in page
    assert "no practice question tried" in page
    feedback = "".join(one.read_text("utf-8") for one in made.feedback.rglob("*.html"))
    records = "".join(one.read_text("utf-8") for one in made.report.rglob("skills-records/*.html"))
    assert feedback
    assert records
    assert "no practice question" not in feedback + records


def test_the_second_hand_in_is_not_the_first_try(made: ClassFolder) -> None:
    hand_in(made, 1, apart_s=5, practiced=0, entries={**entries_of(1), "02-ratio": "7"})
    mark_and_report(made)
    hand_in(made, 1, apart_s=5, practiced=0, made="2026-11-25T13:00:00Z")
    assert told(made) == []


SLIPS = (
    ("02-per-inch", "base not divided"),
    ("02-uncertainty", "one height only"),
    ("02-parallel", "stand-out added"),
)


def with_slips(number: int, count: int) -> dict[str, str]:
    card = issue_card(exercise=PAGE, class_code="QQ-26", number=number)
    right = right_answers(PAGES[PAGE], card)
    entries = entries_of(number)
    for key, name in SLIPS[:count]:
        question = PAGES[PAGE].question(key).on(card)
        value = next(one for one in question.slips if one.name == name).value(card, right)
        assert value is not None
        entries[key] = show_answer(question, value)
    return entries


def test_two_with_the_same_slips_and_a_third_with_fewer(made: ClassFolder) -> None:
    hand_in(made, 1, entries=with_slips(1, 3))
    hand_in(made, 2, entries=with_slips(2, 3))
    hand_in(made, 7, entries=with_slips(7, 2))
    assert told(made) == [
        "Ada Brindle (1), Bo Flint (2), 02-taper: the same 3 slips at the same questions, each on "
        "their own card; ask each of them how they came to one."
    ]


def test_without_the_code_of_the_card_where_cards_have_one(made: ClassFolder) -> None:
    hand_in(made, 1, code="", code_typed="")
    hand_in(made, 2)
    hand_in(made, 7, code="", code_typed="")
    assert told(made) == [
        "Ada Brindle (1), Zoë Ferrant (7), 02-taper: handed in without the code of the job card, "
        "so nothing shows whose card it was; ask to see the card."
    ]
    (made.folder / "card-key.txt").unlink()  # no card was printed: nobody has a code
    assert told(made) == []


def test_a_code_typed_the_day_after_the_last_entry(made: ClassFolder) -> None:
    hand_in(made, 1, code_typed="2026-11-26T11:00:00Z", made="2026-11-26T11:01:00Z")
    hand_in(made, 2)
    (one,) = told(made)
    assert one.startswith("Ada Brindle (1), 02-taper: the code of the card was typed 2")
    assert one.endswith(
        " hours after the last entry; ask which card was in hand while it was worked."
    )


def test_the_class_sets_from_when_on(made: ClassFolder) -> None:
    hand_in(made, 1, apart_s=5, practiced=0, code_typed="2026-11-26T11:00:00Z")
    assert len(told(made)) == 2
    path = made.folder / "class.toml"
    with path.open("a", encoding="utf-8") as file:
        file.write("\n[flags]\nfast_minutes = 0\ncode_after_hours = 0\n")
    assert told(made) == []
    path.write_text(path.read_text("utf-8").replace("fast_minutes = 0", "fast_minutes = -1"))
    with pytest.raises(ClassError) as refusal:
        open_class(made.folder)
    assert str(refusal.value) == (
        f"{path}: [flags] fast_minutes is -1; it must be a whole number from 0 to 240."
    )


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("flags = 3", "flags must be a section. Write [flags] on a line of its own."),
        (
            'flags = ["fast_minutes"]',
            "flags must be a section. Write [flags] on a line of its own.",
        ),
        ("attempts = 2", "attempts must be a heading [attempts] with lines under it."),
        ('attempts = "best"', "attempts must be a heading [attempts] with lines under it."),
    ],
)
def test_a_heading_written_as_a_line_is_one_sentence(
    made: ClassFolder, line: str, sentence: str
) -> None:
    path = made.folder / "class.toml"
    path.write_text(f"{line}\n" + path.read_text("utf-8"), "utf-8")
    with pytest.raises(ClassError) as refusal:
        open_class(made.folder)
    assert str(refusal.value) == f"{path}: {sentence}"


def test_a_record_that_says_otherwise_how_it_was_worked_is_found(made: ClassFolder) -> None:
    hand_in(made, 1, apart_s=5, practiced=0)
    told(made)
    assert not verify_class(made).differences
    path = made.folder / "records" / "001" / f"{PAGE}.json"
    path.write_text(path.read_text("utf-8").replace('"practiced": 0', '"practiced": 9'), "utf-8")
    assert verify_class(made).differences == [
        "Apprentice 001, 02-taper: the record says otherwise than the hand-in how it was worked."
    ]
