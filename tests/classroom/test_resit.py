"""A resit from its card to the record: another card, the class's choice, two cards for safety."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest

from coursework.course import PAGES, issue_card
from coursework.judging import right_answers, show_answer
from coursework.mark.records import read_record
from coursework.mark.replaced import read_replaced
from coursework.mark.signoff import task_of, tasks
from coursework.page.handin import HandInError, read_hand_in, write_hand_in
from coursework.page.seal import card_code, shown_code, tidy_code
from coursework.room.assessing import mark_and_report, release_solutions, verify_class
from coursework.room.cards import write_cards
from coursework.room.classfolder import SETTINGS, ClassError, new_class, open_class
from coursework.room.roster import Apprentice
from coursework.room.seals import card_key
from coursework.room.signing import enter_ticked, standing_why
from coursework.room.standings import gather
from keycourse import cli

PEOPLE = [Apprentice(1, "Ada Brindle"), Apprentice(7, "Zoë Ferrant")]
PAGE = "04-fit"
SKILL = "judge a fitting"
CRITICAL = "04-verdict"


@pytest.fixture
def room(tmp_path):
    return new_class(tmp_path / "class", code="QQ-26", title="Keys", roster=PEOPLE)


def code_of(room, number, attempt, page=PAGE):
    return card_code(key=card_key(room.folder), exercise=page, number=number, attempt=attempt)


def entries_of(number, attempt, page=PAGE, **changes):
    card = issue_card(exercise=page, class_code="QQ-26", number=number, attempt=attempt)
    right = right_answers(PAGES[page], card)
    entries = {
        key: show_answer(PAGES[page].question(key).on(card), one) for key, one in right.items()
    }
    return entries | changes


def sit(room, number=7, attempt=1, made="2026-11-25T12:00:00Z", code=None, come=None, **changes):
    """Hand in right answers on the card of an attempt, and mark."""
    write_hand_in(
        folder=room.inbox,
        class_code="QQ-26",
        number=number,
        page=PAGE,
        page_version="v",
        entries=entries_of(number, attempt, **changes),
        made=made,
        code=code_of(room, number, attempt) if code is None else code,
    )
    now = come or datetime.fromisoformat(made.replace("Z", "+00:00"))
    return mark_and_report(room, now=now)


def keys(skill=SKILL):
    return [one.key for page in PAGES.values() for one in page.questions if one.skill == skill]


def record(room, number=7):
    return read_record(folder=room.folder, number=number, exercise=PAGE)


def mark(room, number=7):
    return gather(room).sums[number, PAGE].mark


def choose(room, **lines):
    path = room.folder / SETTINGS
    text = "".join(f"{key} = {value!r}\n".replace("'", '"') for key, value in lines.items())
    path.write_text(path.read_text("utf-8") + f"\n[attempts]\n{text}", "utf-8")
    return open_class(room.folder)


def test_each_attempt_is_another_card_and_the_first_is_what_it_was():
    for page in PAGES:
        for number in (1, 7, 12):
            one = issue_card(exercise=page, class_code="QQ-26", number=number)
            assert one == issue_card(exercise=page, class_code="QQ-26", number=number, attempt=1)
            assert one.attempt < 200
            again = [
                issue_card(exercise=page, class_code="QQ-26", number=number, attempt=attempt)
                for attempt in (2, 3)
            ]
            first = right_answers(PAGES[page], one)
            for other in again:
                assert right_answers(PAGES[page], other) != first


def test_the_resit_is_marked_on_its_own_card_and_both_are_kept(room):
    sit(room, attempt=1, **{"04-verdict": ""})
    assert record(room).attempt == 1
    assert record(room).sittings == ()
    sit(room, attempt=2, made="2026-12-01T12:00:00Z")
    assert record(room).attempt == 2
    assert {one.state for one in record(room).verdicts} <= {"right", "waiting", "blank"}
    assert [one.attempt for one in record(room).sittings] == [1, 2]
    assert record(room).sittings[0].wrong == (CRITICAL,)
    assert record(room).sittings[1].right == (CRITICAL,)
    assert verify_class(room).differences == []
    feedback = (room.feedback / "007" / f"{PAGE}.html").read_text("utf-8")
    assert "attempt 2" in feedback
    assert mark_and_report(room).lines[0] == "0 marked, 1 marked before."


def test_right_answers_of_the_first_card_are_not_those_of_the_second(room):
    write_hand_in(
        folder=room.inbox, class_code="QQ-26", number=7, page=PAGE, page_version="v",
        entries=entries_of(7, 1), made="2026-11-25T12:00:00Z", code=code_of(room, 7, 2),
    )  # fmt: skip
    mark_and_report(room)
    assert any(one.state in ("wrong", "slip") for one in record(room).verdicts)


@pytest.mark.parametrize(("counts", "attempt"), [("last", 3), ("best", 2), ("first", 1)])
def test_the_class_chooses_which_attempt_counts(room, counts, attempt):
    room = choose(room, counts=counts)
    for place, changes in enumerate(({CRITICAL: ""}, {}, {CRITICAL: "", keys()[0]: ""}), start=1):
        sit(room, attempt=place, made=f"2026-12-0{place}T12:00:00Z", **changes)
    assert record(room).attempt == attempt
    assert verify_class(room).differences == []


def test_the_best_is_found_after_what_lateness_costs(room):
    path = room.folder / SETTINGS
    path.write_text(
        path.read_text("utf-8") + f'\n[attempts]\ncounts = "best"\n[due]\n"{PAGE}" = 2026-11-30\n'
        '[late]\npolicy = "percent per day"\npercent_per_day = 30\n',
        "utf-8",
    )
    room = open_class(room.folder)
    sit(room, attempt=1, made="2026-11-25T12:00:00Z", **{CRITICAL: ""})
    sit(room, attempt=2, made="2026-12-04T12:00:00Z")  # all right, and four days late
    assert record(room).attempt == 1
    assert verify_class(room).differences == []


def test_after_the_release_only_a_fresh_card_counts(room):
    sit(room, attempt=1, **{CRITICAL: ""})
    release_solutions(room)
    later = datetime(2027, 1, 10, tzinfo=UTC)
    sit(room, attempt=1, made="2027-01-09T12:00:00Z", come=later)
    assert record(room).made == "2026-11-25T12:00:00Z"
    assert read_replaced(room.folder) == []  # what stands for nothing is in nobody's place
    sit(room, attempt=2, made="2027-01-11T12:00:00Z")
    assert record(room).made == "2027-01-11T12:00:00Z"
    sit(room, number=1, attempt=1, made="2027-01-12T12:00:00Z")
    assert record(room, 1).attempt == 1  # saw no solution of this card before
    assert verify_class(room).differences == []


def test_a_safety_critical_skill_wants_two_different_cards(room):
    sit(room, attempt=1)
    standing = gather(room).skill(7, keys())
    assert (standing.state, standing.cards, standing.cards_wanted) == ("not yet", 1, 2)
    text = (room.report / "skills-records" / "007.html").read_text("utf-8")
    assert "safety-critical answers right on 1 of 2 cards" in text
    sit(room, attempt=1, made="2026-11-26T12:00:00Z")
    assert gather(room).skill(7, keys()).cards == 1  # the same card again
    sit(room, attempt=2, made="2026-11-27T12:00:00Z")
    assert gather(room).skill(7, keys()).state == "competent"
    sit(room, attempt=3, made="2026-11-28T12:00:00Z", **{CRITICAL: ""})
    assert gather(room).skill(7, keys()).state == "not yet"  # the last one is not right
    room = choose(room, safety_cards=1, counts="first")
    mark_and_report(room)
    assert gather(room).skill(7, keys()).state == "competent"


def test_what_the_class_chooses_is_checked(room):
    with pytest.raises(ClassError) as refused:
        choose(room, counts="median", safety_cards=7, more=1)
    assert str(refused.value) == (
        f"{room.folder / SETTINGS}: [attempts] has “more”; it must be counts or safety_cards. "
        "[attempts] counts is “median”; it must be “last”, “best” or “first”. [attempts] "
        "safety_cards is 7; it must be from 1 to 3."
    )


# the seal


def test_the_card_carries_its_code_as_text_and_picture(room, capsys):
    folder = str(room.folder)
    assert cli.main(["class", "cards", folder, "--attempt", "2", "--person", "Zoë"]) == 0
    text = (room.cards / "attempt-2.html").read_text("utf-8")
    assert len(re.findall("<article", text)) == len(PAGES)
    assert "attempt 2" in text
    for page in PAGES:
        assert f"<b>{shown_code(code_of(room, 7, 2, page))}</b>" in text
    assert text.count('role="img" aria-label="QR of 2-') == len(PAGES)
    write_cards(room)
    first = (room.cards / "index.html").read_text("utf-8")
    assert shown_code(code_of(room, 1, 1)) in first
    capsys.readouterr()
    assert cli.main(["class", "cards", folder, "--attempt", "0"]) == 2
    assert "attempt is 0; it must be from 1 to 9." in capsys.readouterr().err


def test_one_sign_or_two_neighbours_mistyped_are_seen():
    code = card_code(key=b"key", exercise=PAGE, number=7, attempt=1)
    for place in range(1, 8):
        for sign in "23456789ABCDEFGHJKLMNPQRSTUVWXY":
            typed = code[:place] + sign + code[place + 1 :]
            if typed != code:
                with pytest.raises(ValueError, match="Look at the card, sign by sign"):
                    tidy_code(typed)
    for place in range(7):
        typed = code[:place] + code[place + 1] + code[place] + code[place + 2 :]
        if typed != code:
            with pytest.raises(ValueError, match=r"^card code is"):
                tidy_code(typed)
    assert tidy_code(f" {shown_code(code).lower()} ") == code


def aside(room):
    return (room.set_aside / "reasons.txt").read_text("utf-8").splitlines()[-1].split(": ", 1)[1]


def test_a_mistyped_number_is_told_from_a_changed_file(room):
    write_hand_in(
        folder=room.inbox, class_code="QQ-26", number=1, page=PAGE, page_version="v",
        entries=entries_of(7, 1), made="2026-11-25T12:00:00Z", code=code_of(room, 7, 1),
    )  # fmt: skip
    assert len(mark_and_report(room).intake.set_aside) == 1
    assert aside(room) == (
        "It says number 1, and it is sealed with the job card of number 7: the number on the name "
        "tag is mistyped, or the card is another's. Hand in again with your own number and your "
        "own card."
    )


def test_a_changed_file_does_not_come_in_with_its_checksum_made_again(room):
    path = write_hand_in(
        folder=room.folder, class_code="QQ-26", number=7, page=PAGE, page_version="v",
        entries=entries_of(7, 1, **{CRITICAL: ""}), made="2026-11-25T12:00:00Z",
        code=code_of(room, 7, 1),
    )  # fmt: skip
    seal = read_hand_in(path.read_bytes()).seal
    changed = write_hand_in(
        folder=room.inbox, class_code="QQ-26", number=7, page=PAGE, page_version="v",
        entries=entries_of(7, 1), made="2026-11-25T12:00:00Z",
        code=card_code(key=b"guessed", exercise=PAGE, number=7, attempt=1),
    )  # fmt: skip
    assert read_hand_in(changed.read_bytes()).seal != seal
    assert len(mark_and_report(room).intake.set_aside) == 1
    assert aside(room).startswith(
        f"Its seal fits no job card of {PAGE} in this class: the file was changed after it was "
        "handed in, or the code is of another exercise."
    )


def test_a_neighbours_answers_under_the_own_seal_fit_the_neighbours_card(room):
    write_hand_in(
        folder=room.inbox, class_code="QQ-26", number=7, page=PAGE, page_version="v",
        entries=entries_of(1, 1), made="2026-11-25T12:00:00Z", code=code_of(room, 7, 1),
    )  # fmt: skip
    done = mark_and_report(room)
    assert done.intake.set_aside == []
    assert any("fit the job card of Ada Brindle (1) better" in line for line in done.lines)


def test_without_a_code_it_is_taken_in_as_before(room):
    assert sit(room, code="").intake.set_aside == []
    hand_in = next((room.hand_ins / "007" / PAGE).glob("*.json")).read_bytes()
    assert b"seal" not in hand_in
    assert b"attempt" not in hand_in
    with pytest.raises(HandInError):
        read_hand_in(hand_in.replace(b'"number"', b'"attempt": 10,\n "number"'))


@pytest.mark.parametrize(
    ("number", "attempt", "words"),
    [
        (1, 2, "the job card of Ada Brindle (1), attempt 2, better: "),
        (7, 1, "their own job card of attempt 1 better: "),
    ],
)
def test_answers_of_another_card_are_found_at_a_resit_too(room, number, attempt, words):
    page = "01-measure"
    write_hand_in(
        folder=room.inbox,
        class_code="QQ-26",
        number=7,
        page=page,
        page_version="v",
        entries=entries_of(number, attempt, page=page),
        made="2026-11-25T12:00:00Z",
        code=code_of(room, 7, 2, page=page),
    )
    lines = mark_and_report(room).lines
    assert f"Look: Zoë Ferrant (7), 01-measure: the answers fit {words}" in "\n".join(lines)
    fits = read_record(folder=room.folder, number=7, exercise=page).fits
    assert (fits.number, fits.attempt) == (number, attempt)
    assert verify_class(room).differences == []


@pytest.mark.parametrize(
    ("ticked", "prompted", "cards"),
    [("yes", "unprompted", 2), ("yes", "prompted", 1), ("no", "unprompted", 1)],
)
def test_a_sign_off_with_the_same_decision_counts_as_the_second_card(room, ticked, prompted, cards):
    sit(room, attempt=1)
    task = task_of("04-sign-off")
    assert task.counts_for == (SKILL,)
    items = dict.fromkeys((str(place) for place in range(1, len(task.items) + 1)), "yes")
    place = next(n for n, one in enumerate(task.items, 1) if "bears enough" in one.text)
    row = {**items, str(place): ticked, "number": "7", "task": task.key, "prompted": prompted}
    enter_ticked(room, {**row, "date": "2026-11-25"}, by="Pat Holt")
    standing = gather(room).skill(7, keys())
    assert (standing.cards, standing.cards_wanted) == (cards, 2)
    assert standing.state == ("competent" if cards == 2 else "not yet")
    wanting = "right on 1 of 2 cards (sign-off 04, passed unprompted, counts as one)"
    assert (wanting in standing_why(standing)) == (cards == 1)


def test_each_safety_critical_skill_has_a_second_occasion_without_a_resit():
    """Asked in two exercises, or decided in a practical task as well."""
    asked = {}
    for page in PAGES.values():
        for question in page.questions:
            if question.critical:
                asked.setdefault(question.skill, set()).add(page.name)
    for task in tasks().values():
        for skill in task.counts_for:
            asked[skill].add(task.key)
    assert {skill: len(places) for skill, places in asked.items() if len(places) < 2} == {}
