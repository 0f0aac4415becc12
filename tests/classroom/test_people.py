"""A term: numbers change, people withdraw, move or get longer, and no mark is lost."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime

import pytest

from coursework.course import PAGES
from coursework.room import registrar
from coursework.room.assessing import mark_and_report, moderate_mark, report_again, verify_class
from coursework.room.classfolder import SETTINGS, ClassError, new_class, open_class
from coursework.room.marks import chosen_columns
from coursework.room.people import people_register
from coursework.room.roster import Apprentice
from coursework.room.signing import enter_from_file
from coursework.room.standings import gather
from coursework.room.status import status_lines
from coursework.room.trail import trail_of
from keycourse import cli

from .test_assessing import KEY, NOW, enter, hand_in, marks, room  # noqa: F401
from .test_signing import NOW as LATER
from .test_signing import TASK, sheet, yes

WHY = "01-why-bottom"
SAID = {"reason": "On two lists", "by": "Pat Holt"}


def text_of(room):  # noqa: F811
    return (room.report / "index.html").read_text("utf-8")


def test_a_new_number_keeps_every_mark_and_the_next_hand_in_goes_to_it(room, tmp_path):  # noqa: F811
    enter(room, WHY, 2.0)
    enter_from_file(
        room, sheet(tmp_path, (7, TASK, 1, "2026-11-25", "unprompted", yes())), by="Pat Holt",
        now=LATER,
    )  # fmt: skip
    report_again(room)
    before = marks(room)
    room = registrar.renumber(room, number=7, to=21, **SAID)  # noqa: F811
    report_again(room)
    pages = {one.name for one in (room.report / "skills-records").iterdir()}
    assert "021.html" in pages
    assert "007.html" not in pages
    after = marks(room)
    assert after["number"] == "21"
    assert {key: one for key, one in before.items() if key != "number"} == {
        key: one for key, one in after.items() if key != "number"
    }
    assert mark_and_report(room).lines == ("0 marked, 2 marked before.",)
    assert verify_class(room).differences == []
    moderate_mark(room, number=21, entry=KEY, mark=1, reason="Right at the bench", by="Pat Holt")
    assert marks(room)[KEY] == "1"
    hand_in(room.inbox, 21, made="2026-12-01T12:00:00Z", page="02-taper")
    mark_and_report(room, now=datetime(2026, 12, 1, 13, tzinfo=UTC))
    assert {page for number, page in gather(room).records if number == 21} == {
        "01-measure", "02-taper",
    }  # fmt: skip
    who = [one.what for one in trail_of(room, 21)]
    assert any(one.startswith("renumbered to 21: On two lists") for one in who)
    assert any("came as" in one for one in who)
    assert verify_class(room).differences == []


def test_a_number_that_somebody_has_or_had_is_refused(room):  # noqa: F811
    with pytest.raises(ClassError) as refused:
        registrar.renumber(room, number=7, to=1, **SAID)
    assert str(refused.value) == (
        "new number is 1; it must be one that nobody has or had. Choose another."
    )
    room = registrar.renumber(room, number=7, to=21, **SAID)  # noqa: F811
    with pytest.raises(
        ClassError, match=r"^new number is 7; it must be one that nobody has or had"
    ):
        registrar.renumber(room, number=1, to=7, **SAID)


def test_who_withdraws_is_out_of_the_report_and_nothing_else(room):  # noqa: F811
    before = (room.folder / "records" / "007" / "01-measure.json").read_bytes()
    room = registrar.withdraw(room, number=7, reason="Left the quarry", by="Pat Holt")  # noqa: F811
    report_again(room)
    assert "Zoë Ferrant" not in text_of(room)
    assert "Zoë Ferrant" not in "\n".join(status_lines(room))
    assert (room.folder / "records" / "007" / "01-measure.json").read_bytes() == before
    assert verify_class(room).differences == []
    with pytest.raises(ClassError, match=r"^Zoë Ferrant \(7\) has withdrawn already\. Nothing"):
        registrar.withdraw(room, number=7, reason="Again", by="Pat Holt")
    room = registrar.back(room, number=7, reason="Is back", by="Pat Holt")
    report_again(room)
    assert "Zoë Ferrant" in text_of(room)


def test_one_person_gets_longer_and_nobody_else(room, capsys):  # noqa: F811
    path = room.folder / SETTINGS
    path.write_text(path.read_text("utf-8") + '\n[due]\n"01-measure" = 2026-11-20\n', "utf-8")
    room = open_class(room.folder)  # noqa: F811
    late = {number: one.late.days for (number, _), one in gather(room).sums.items()}
    assert late[1] > 0
    assert late[7] > 0
    given = ["class", "person", str(room.folder), "--person", "Zoë", "--extend", "01-measure"]
    given += ["--until", "2026-11-26", "--reason", "Was ill", "--by", "Pat Holt"]
    assert cli.main(given) == 0
    assert "Zoë Ferrant (7) may hand in 01-measure until 2026-11-26." in capsys.readouterr().out
    sums = gather(open_class(room.folder)).sums
    after = {number: one.late.days for (number, _), one in sums.items()}
    assert after == {**late, 7: 0}
    assert verify_class(open_class(room.folder)).differences == []
    with pytest.raises(ClassError) as refused:
        registrar.extend(
            room, number=7, exercise="01-measure", until="2026-11-01", reason="No", by="Pat Holt"
        )
    assert str(refused.value) == (
        "--until is 2026-11-01; it must not be before the due date of 01-measure."
    )


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        (("renumber", {"to": 0}), "new number is 0; it must be from 1 to 999. Choose another."),
        (
            ("renumber", {"to": 1000}),
            "new number is 1000; it must be from 1 to 999. Choose another.",
        ),
        (("renumber", {"to": 7}), "Zoë Ferrant has number 7 already. Nothing was changed."),
        (
            ("renumber", {"to": 21, "reason": " \n "}),
            "reason has 0 characters; it must have 1 to 300. Say why in a few words.",
        ),
        (
            ("withdraw", {"reason": 301 * "x"}),
            "reason has 301 characters; it must have 1 to 300. Say why in a few words.",
        ),
        (
            ("withdraw", {"number": 99}),
            "apprentice number is 99; it must be one of roster.csv. Look again.",
        ),
        (("back", {}), "Zoë Ferrant (7) has not withdrawn. Nothing was changed."),
        (
            ("extend", {"exercise": "09-other", "until": "2026-11-30"}),
            f"exercise is “09-other”; it must be one of: {', '.join(PAGES)}.",
        ),
        (
            ("extend", {"exercise": "01-measure", "until": "30.11.2026"}),
            "--until is “30.11.2026”; it must be a day such as 2026-11-30.",
        ),
        (
            ("extend", {"exercise": "02-taper", "until": "2026-11-30"}),
            "02-taper has no due date in class.toml, so nothing is late.",
        ),
        (
            ("extend", {"exercise": "01-measure", "until": "2026-11-19"}),
            "--until is 2026-11-19; it must not be before the due date of 01-measure.",
        ),
    ],
)  # fmt: skip
def test_a_change_that_cannot_be_is_one_sentence_and_changes_nothing(room, asked, sentence):  # noqa: F811
    path = room.folder / SETTINGS
    path.write_text(path.read_text("utf-8") + '\n[due]\n"01-measure" = 2026-11-20\n', "utf-8")
    room = open_class(room.folder)  # noqa: F811
    before = (room.folder / "roster.csv").read_bytes()
    act, given = asked
    with pytest.raises(ClassError) as refused:
        getattr(registrar, act)(room, **{"number": 7} | SAID | given)
    assert str(refused.value) == sentence
    assert (room.folder / "roster.csv").read_bytes() == before
    assert people_register(room.folder).lines() == []


def test_the_same_extension_twice_is_one_line_and_a_class_is_not_moved_into_itself(room):  # noqa: F811
    path = room.folder / SETTINGS
    path.write_text(path.read_text("utf-8") + '\n[due]\n"01-measure" = 2026-11-20\n', "utf-8")
    longer = {"number": 7, "exercise": "01-measure", "until": "2026-11-26", **SAID}
    room = registrar.extend(open_class(room.folder), **longer)  # noqa: F811
    with pytest.raises(ClassError) as refused:
        registrar.extend(room, **longer)
    assert str(refused.value) == (
        "Zoë Ferrant (7) may hand in 01-measure until 2026-11-26 already. Nothing was changed."
    )
    with pytest.raises(ClassError) as refused:
        registrar.move(room, room, number=7, to=30, **SAID)
    assert str(refused.value) == ("The class to move to is this one. Name another class folder.")
    assert len(people_register(room.folder).lines()) == 1


def test_who_moves_brings_marks_and_sign_offs(room, tmp_path):  # noqa: F811
    enter(room, WHY, 2.0)
    enter_from_file(
        room, sheet(tmp_path, (7, TASK, 1, "2026-11-25", "unprompted", yes())), by="Pat Holt",
        now=LATER,
    )  # fmt: skip
    report_again(room)
    before = gather(room).sums[7, "01-measure"]
    other = new_class(
        tmp_path / "other", code="QQ-27", title="Keys, days", roster=[Apprentice(1, "Orla Fenwick")]
    )
    other = registrar.move(room, other, number=7, to=12, reason="Day shift", by="Pat Holt")
    report_again(other)
    assert other.names[12] == "Zoë Ferrant"
    sums = gather(other).sums[12, "01-measure"]
    assert (sums.mark, sums.out_of) == (before.mark, before.out_of)
    assert gather(other).sign_offs[12, TASK].by == "Pat Holt"
    assert marks(other)[WHY] == "2"
    found = verify_class(other)
    assert found.differences == []
    assert found.notes == ["1 record brought from class QQ-26: verify them there."]
    report_again(open_class(room.folder))
    assert "Zoë Ferrant" not in text_of(room)
    assert verify_class(open_class(room.folder)).differences == []


def test_the_next_cohort_takes_the_rules_over_and_no_date(room, tmp_path):  # noqa: F811
    path = room.folder / SETTINGS
    path.write_text(
        path.read_text("utf-8") + '\n[due]\n"01-measure" = 2026-11-20\n[attempts]\n'
        'counts = "best"\nsafety_cards = 1\n[late]\npercent_per_day = 10\nfloor_percent = 50\n',
        "utf-8",
    )
    (room.folder / "assessors.txt").write_text("Pat Holt\n", "utf-8")
    roster = tmp_path / "roster.csv"
    roster.write_text("number,name\n1,Orla Fenwick\n", "utf-8")
    folder = tmp_path / "next"
    given = ["class", "new", str(folder), "--roster", str(roster), "--code", "QQ-27"]
    assert cli.main([*given, "--like", str(room.folder)]) == 0
    made, old = open_class(folder), open_class(room.folder)
    assert made.attempts == old.attempts
    assert made.dates.policy == old.dates.policy
    assert made.dates.due == {}
    assert (folder / "assessors.txt").read_text("utf-8") == "Pat Holt\n"


def test_a_changed_line_of_the_list_is_seen(room):  # noqa: F811
    room = registrar.withdraw(room, number=7, reason="Left", by="Pat Holt")  # noqa: F811
    path = people_register(room.folder).path
    path.write_text(path.read_text("utf-8").replace("Left", "Sent"), "utf-8")
    assert "people.csv, line 2: it was changed" in " ".join(verify_class(room).differences)


# marks for the school's list


def test_totals_and_percent_are_the_sums_of_the_line(room):  # noqa: F811
    row = marks(room)
    pages = [page for page in PAGES if row[f"{page} marks"]]
    total = sum(float(row[f"{page} marks"]) for page in pages)
    out_of = sum(float(row[f"{page} out of"]) for page in pages)
    assert float(row["total marks"]) == total
    assert float(row["total out of"]) == out_of
    assert float(row["percent"]) == pytest.approx(100 * total / out_of, abs=0.05)


def test_the_columns_are_those_that_were_asked_for(room, tmp_path, capsys):  # noqa: F811
    path = tmp_path / "list.csv"
    given = ["class", "export", str(room.folder), "--columns", "percent, name", "--to", str(path)]
    assert cli.main(given) == 0
    rows = list(csv.reader(io.StringIO(path.read_text("utf-8-sig"))))
    assert rows[0] == ["percent", "name"]
    assert rows[2] == [marks(room)["percent"], "Zoë Ferrant"]
    with pytest.raises(ClassError, match=r"^column is “grade”; it must be one of: number, name, "):
        chosen_columns((room.report / "marks.csv").read_bytes(), ["grade"])
    capsys.readouterr()
    assert cli.main(["class", "export", str(room.folder)]) == 0
    assert capsys.readouterr().out.startswith("number,name,total marks,total out of,percent\n")


def test_teach_next_names_the_slip_with_its_reason_and_who(room):  # noqa: F811
    hand_in(room.inbox, 1, made="2026-11-27T12:00:00Z", **{"01-missed-height": ""})
    mark_and_report(room)
    text = (room.report / "teach-next.html").read_text("utf-8")
    assert "Teach this next" in text
    slip = next(one for one in gather(room).outcomes if one.slip)
    assert slip.slip[1:] in text
    assert "Zoë Ferrant (7)" in text
