"""A second mark: blind, by somebody else, compared with the first, settled by moderation.

Alpha is checked against Krippendorff, "Computing Krippendorff's Alpha-Reliability" (2011): for
binary data of two observers, example A gives 0.095; with two values only, the interval metric and
the nominal one are the same.
"""

from __future__ import annotations

import csv
import io

import pytest

from coursework.mark.handwatch import watch_hands
from coursework.mark.second import agreement, second_register
from coursework.room.assessing import mark_and_report, moderate_mark, verify_class
from coursework.room.classfolder import ClassError, new_class
from coursework.room.roster import Apprentice
from coursework.room.seconding import agreement_lines, enter_second_marks, read_share, write_sample
from coursework.room.standings import gather
from coursework.room.trail import trail_of
from keycourse import cli

from .test_assessing import NOW, enter, hand_in

WHY = "01-why-bottom"
FIRST = {1: 3.0, 2: 2.0, 3: 1.0, 4: 0.0, 5: 3.0, 6: 1.0}


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    people = [Apprentice(number, f"Person {number}") for number in FIRST]
    made = new_class(
        tmp_path_factory.mktemp("second") / "class", code="QQ-26", title="Keys", roster=people
    )
    for number in FIRST:
        hand_in(made.inbox / str(number), number, **{WHY: f"Said by {number}."})
    mark_and_report(made, now=NOW)
    stop = watch_hands(made.folder, by="Pat Holt")
    for number, score in FIRST.items():
        enter(made, WHY, score, number=number)
    stop()
    (made.folder / "assessors.txt").write_text("Pat Holt\nKim Dole\n", "utf-8")
    return made


def filled(room, give):
    """Fill the CSV in as the second assessor, who finds an answer by its text."""
    page, path, count = write_sample(room, 1.0)
    answers = page.read_text("utf-8")
    rows = list(csv.DictReader(io.StringIO(path.read_text("utf-8-sig"))))
    assert len(rows) == count
    for row in rows:
        place = answers.index(f">{row['code']}<")
        number = int(answers[place:].split("Said by ")[1].split(".")[0])
        row["mark"] = give(number)
    text = io.StringIO()
    writer = csv.DictWriter(text, fieldnames=list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    path.write_text(text.getvalue(), "utf-8")
    return path


def test_alpha_is_the_published_one():
    one = [0, 1, 0, 0, 0, 0, 0, 0, 1, 0]
    two = [1, 1, 1, 0, 0, 1, 0, 0, 0, 0]
    assert agreement(one, two) == pytest.approx(0.095, abs=0.0005)  # printed to three places


def test_a_share_is_read_or_refused_in_a_sentence():
    assert read_share("10%") == 0.1
    with pytest.raises(ClassError) as refused:
        read_share("some")
    assert str(refused.value) == (
        "share is “some”; it must be above 0 % and up to 100 %. Type it as 10%."
    )


def test_the_same_answers_are_drawn_again_and_each_question_has_one(marked):
    first = write_sample(marked, 0.1)
    before = first[1].read_bytes()
    assert first[2] == 1
    assert write_sample(marked, 0.1)[1].read_bytes() == before
    assert write_sample(marked, 0.5)[2] == 3
    code = before.decode("utf-8-sig").splitlines()[1].split(",")[0]
    assert code in write_sample(marked, 1.0)[1].read_text("utf-8-sig")


def test_the_second_assessor_sees_no_first_mark_no_name_and_no_number(marked):
    page, path, _ = write_sample(marked, 1.0)
    for text in (page.read_text("utf-8"), path.read_text("utf-8-sig")):
        assert "Person" not in text
        assert "Pat Holt" not in text
    assert {row["mark"] for row in csv.DictReader(io.StringIO(path.read_text("utf-8-sig")))} == {""}


def test_nobody_marks_twice_and_no_mark_is_out_of_range(marked):
    path = filled(marked, lambda number: 2)
    with pytest.raises(
        ClassError, match=r"Pat Holt gave the first mark of this answer; the second"
    ):
        enter_second_marks(marked, path, by="Pat Holt")
    path = filled(marked, lambda number: 7)
    with pytest.raises(ClassError, match=r"mark is “7”; it must be from 0 to 3\. Correct it\."):
        enter_second_marks(marked, path, by="Kim Dole")
    assert second_register(marked.folder).lines() == []


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        ("code;points\nA;1\n", "marks.csv has no column “mark”; it must have code and mark. Begin"),
        ("mark\n1\n", "marks.csv has no column “code”; it must have code and mark. Begin with"),
        ("", "marks.csv has no column “code”; it must have code and mark. Begin with the file"),
        ("code,mark\nNO-SUCH,1\n", "marks.csv, line 2: code is “NO-SUCH”; it must be one of the"),
        ("code,mark\n,1\n", "marks.csv, line 2: code is “”; it must be one of the page with the"),
        ('code,mark\n"' + 140_000 * "x", "marks.csv, line 2: a cell is too long; a quotation mark"),
    ],
)
def test_a_file_that_is_not_the_one_of_the_answers_is_refused(marked, tmp_path, content, sentence):
    path = tmp_path / "marks.csv"
    path.write_text(content, "utf-8")
    with pytest.raises(ClassError) as refused:
        enter_second_marks(marked, path, by="Kim Dole")
    assert sentence in str(refused.value)
    assert second_register(marked.folder).lines() == []


def test_a_file_that_is_gone_or_no_text_is_refused(marked, tmp_path):
    with pytest.raises(ClassError, match=r"cannot be read \(No such file or directory\); it must"):
        enter_second_marks(marked, tmp_path / "gone.csv", by="Kim Dole")
    (tmp_path / "sheet.xlsx").write_bytes(b"PK\x03\x04\xff\xfe")
    with pytest.raises(ClassError, match=r"is not text; it must be a CSV file\. Save the spread"):
        enter_second_marks(marked, tmp_path / "sheet.xlsx", by="Kim Dole")


def test_no_mark_is_no_second_mark(marked):
    assert enter_second_marks(marked, filled(marked, lambda number: ""), by="Kim Dole") == []
    assert agreement_lines(marked) == ["No answer has both marks yet."]


def test_from_drawn_to_settled(marked, capsys):
    path = filled(marked, lambda number: 1 if number == 2 else int(FIRST[number]))
    folder = str(marked.folder)
    given = ["class", "second", folder, "--from", str(path), "--by", "Kim Dole"]
    assert cli.main(given) == 0
    out = capsys.readouterr().out.splitlines()
    assert out[0] == "6 second marks entered by Kim Dole."
    # By hand: squared differences of the 6 pairs are 1 in all; of all 66 pairs that the values
    # 0 0 1 1 1 1 1 2 3 3 3 3 can form, 179.
    alpha = 1 - (1 / 6) / (179 / 66)
    assert out[1].startswith(f"{WHY}, ")
    assert out[1].endswith(f": 6 answers marked twice, 5 alike, alpha {alpha:.2f}.")
    assert out[2] == f"To settle, each by one moderation: Person 2 (2), {WHY}."
    assert gather(marked).manual[2, "01-measure"][WHY].score == 2  # no mark changed by it
    moderate_mark(marked, number=2, entry=WHY, mark=2, reason="The first is right", by="Pat Holt")
    assert agreement_lines(marked)[-1] == "Every difference is settled."
    assert "second mark" in " ".join(one.what for one in trail_of(marked, 2))
    assert enter_second_marks(marked, path, by="Kim Dole") == []
    assert write_sample(marked, 1.0)[2] == 0
    assert verify_class(marked).differences == []
    register = second_register(marked.folder).path
    register.write_text(register.read_text("utf-8").replace(",1,Kim", ",2,Kim", 1), "utf-8")
    assert "second-marks.csv, line" in " ".join(verify_class(marked).differences)
