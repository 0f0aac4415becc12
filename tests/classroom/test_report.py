"""The class report: rules of competence, item figures, and a page that harms nobody."""

from __future__ import annotations

import csv
import io
import re
from html.parser import HTMLParser

import pytest

from coursework.course import PAGES, issue_card
from coursework.judging import judge_page, right_answers, show_answer
from coursework.mark.records import MarkRecord, write_records
from coursework.mark.register import plain_cell
from coursework.room import roster
from coursework.room.classfolder import ClassError, new_class, open_class
from coursework.room.outcomes import (
    Outcome,
    common_slips,
    item_figures,
    item_rest_correlation,
    page_totals,
    skill_standing,
)
from coursework.room.report import write_report
from coursework.room.roster import Apprentice
from coursework.room.status import status_lines

PEOPLE = (
    Apprentice(1, "=cmd|' /c calc'!A1"),
    Apprentice(2, "<script>alert(1)</script>"),
    Apprentice(3, "Zoë Ferrant"),
)
MEASURE = PAGES["01-measure"]


def outcome(key="01-clearance", mark=1.0, out_of=1.0, number=1, **more):
    fields = {"page": key[:2] + "-measure", "state": "right", **more}
    return Outcome(number=number, key=key, mark=mark, out_of=out_of, **fields)


# competent or not


@pytest.mark.parametrize(
    ("marks", "state"),
    [
        ([(7.0, 10.0)], "competent"),
        ([(6.99, 10.0)], "not yet"),
        ([(1.0, 1.0), (0.4, 1.0)], "competent"),
        ([(1.0, 1.0), (0.3, 1.0)], "not yet"),
        ([(1.0, 1.0), (None, 5.0)], "waiting"),
        ([(0.0, 5.0), (None, 5.0)], "not yet"),
        ([(2.0, 5.0), (None, 5.0)], "waiting"),
        ([(None, 5.0)], "waiting"),
        ([], "not handed in"),
    ],
)
def test_standing_in_a_skill(marks, state):
    assert skill_standing([outcome(mark=mark, out_of=full) for mark, full in marks]).state == state


def test_a_critical_answer_decides_whatever_the_marks():
    good = [outcome(mark=10.0, out_of=10.0), outcome(mark=0.0, out_of=0.1, critical=True)]
    assert skill_standing(good).state == "not yet"
    assert skill_standing([*good, outcome(mark=None, out_of=9.0)]).state == "not yet"


def test_totals_count_only_what_is_marked():
    sums = page_totals([outcome(mark=1.0, out_of=2.0), outcome(mark=None, out_of=5.0)])
    assert sums == {(1, "01-measure"): (1.0, 2.0, 1)}


# item figures


def test_item_rest_correlation_by_hand():
    # x = 0 0 1 1 1, mean 0.6, spread 1.2; y = 1 .. 5, mean 3, spread 10; together 3.0:
    # 3 / sqrt(12) = 0.8660
    assert item_rest_correlation([0, 0, 1, 1, 1], [1, 2, 3, 4, 5]) == pytest.approx(0.8660254)
    assert item_rest_correlation([1, 1, 1, 0, 0], [1, 2, 3, 4, 5]) == pytest.approx(-0.8660254)


def test_no_correlation_where_there_is_nothing_to_say():
    assert item_rest_correlation([0, 1, 1, 0], [1, 2, 3, 4]) is None
    assert item_rest_correlation([0, 1, 1, 0, 1], [3, 3, 3, 3, 3]) is None


def test_item_figures_leave_the_item_and_the_assessors_marks_out_of_the_rest():
    outcomes = []
    for number, (item, other) in enumerate([(0, 0), (0, 1), (1, 2), (1, 1), (1, 2)], start=1):
        outcomes.append(outcome("01-clearance", float(item), 1.0, number))
        outcomes.append(outcome("01-missed-height", float(other), 2.0, number))
        outcomes.append(outcome("01-sign-off", 5.0 - number, 5.0, number, state="marked"))
    figures = {one.key: one for one in item_figures(MEASURE, outcomes)}
    expected = item_rest_correlation([0, 0, 1, 1, 1], [0, 1, 2, 1, 2])
    assert figures["01-clearance"].discrimination == pytest.approx(expected)
    assert figures["01-clearance"].difficulty == pytest.approx(0.6)
    assert figures["01-missed-height"].difficulty == pytest.approx(0.6)
    assert figures["01-bad-reading"].difficulty is None
    assert figures["01-sign-off"].discrimination < 0


def test_slips_are_counted_by_apprentice_first():
    made = [
        outcome("01-clearance", slip="radius for diameter", reason="A", number=2),
        outcome("01-clearance", slip="radius for diameter", reason="A", number=1),
        outcome("01-clearance", slip="shaft less bore", reason="B", number=3),
        outcome("01-missed-height", slip="shaft less bore", reason="C", number=3),
        outcome("01-hub-width", slip="shaft less bore", reason="D", number=3),
        outcome("01-hub-width"),
    ]
    first, second = common_slips(made)
    assert (first.slip, first.numbers, first.times) == ("radius for diameter", (1, 2), 2)
    assert (second.slip, second.numbers, second.times) == ("shaft less bore", (3,), 3)
    assert list(second.reasons.values()) == ["B", "C", "D"]


# the page


@pytest.fixture
def room(tmp_path, monkeypatch):
    """Return a class of three: one right, one with a slip and a script, one without a hand-in."""
    # As if the border had let the names through: what shows them still writes them out.
    monkeypatch.setattr(roster, "require_name", lambda what, text, step: None)
    made = new_class(tmp_path / "class", code="QQ-26", title="Keys <i>26</i>", roster=PEOPLE)
    for number in (1, 2):
        card = issue_card(exercise="01-measure", class_code="QQ-26", number=number)
        right = right_answers(MEASURE, card)
        entries = {key: show_answer(MEASURE.question(key), answer) for key, answer in right.items()}
        entries["01-why-bottom"] = "<script>alert(2)</script>"
        if number == 2:
            clearance = right["01-clearance"]
            assert isinstance(clearance, float)
            entries["01-clearance"] = f"{clearance / 2:.4f} in"
            entries["01-hub-width"] = "<img src=x onerror=alert(3)>"
        write_records(
            folder=made.folder,
            records=[
                MarkRecord(
                    number=number,
                    exercise="01-measure",
                    class_code="QQ-26",
                    hand_in="0" * 64,
                    made="2026-11-25T12:00:00Z",
                    page_version="v",
                    question_version="q",
                    marker_version="m",
                    verdicts=judge_page(MEASURE, card, entries),
                )
            ],
        )
    return made


class _Tags(HTMLParser):
    def __init__(self):
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))


def tags_of(text):
    parser = _Tags()
    parser.feed(text)
    return parser.tags


def test_the_page_needs_no_network_and_runs_nothing(room):
    path = write_report(room)
    text = path.read_text("utf-8")
    for tag, attributes in tags_of(text):
        assert tag not in {"script", "iframe", "object", "embed", "link", "base", "form", "img"}
        for name, value in attributes.items():
            assert not name.startswith("on")
            if name in {"src", "href", "xlink:href", "action", "srcset"}:
                link = value or ""
                assert link.startswith("#") or (path.parent / link).is_file()
    styles = " ".join(re.findall(r"<style.*?</style>", text, re.S))
    assert not re.search(r"url\(\s*['\"]?(?!#)", styles)
    assert "@import" not in styles


def test_names_and_title_are_shown_and_not_run(room):
    text = write_report(room).read_text("utf-8")
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in text
    assert "Keys &lt;i&gt;26&lt;/i&gt;" in text
    assert "alert(2)" not in text


def test_the_page_says_its_states_in_words_and_has_its_structure(room):
    text = write_report(room).read_text("utf-8")
    tags = tags_of(text)
    assert [tag for tag, _ in tags if tag in {"main", "h1", "nav", "header"}] == [
        "header",
        "h1",
        "nav",
        "main",
    ]
    assert dict(tags)["html"]["lang"] == "en"
    anchors = {a["href"][1:] for tag, a in tags if tag == "a" and a["href"].startswith("#")}
    assert anchors <= {a.get("id") for _, a in tags}
    for svg in (a for tag, a in tags if tag == "svg"):
        if svg.get("aria-hidden") == "true":  # a sign beside its words
            continue
        assert svg["role"] == "img"
        assert "Marks of 2 apprentices" in svg["aria-label"]
    for words in ("competent", "not yet competent", "waiting for the assessor", "not handed in"):
        assert words in text
    assert "70 % or more of the marks of the skill" in text
    assert "radius for diameter" in text
    assert "01-measure: Zoë Ferrant (3)" in text
    assert "Crocker and Algina" in text


def test_tables_have_headings_for_their_cells(room):
    tags = tags_of(write_report(room).read_text("utf-8"))
    for tag, attributes in tags:
        if tag == "th":
            assert attributes.get("scope") in {"row", "col", "colgroup"}


def test_the_marks_hold_no_formula(room):
    write_report(room)
    content = (room.report / "marks.csv").read_bytes()
    rows = list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))
    assert all(len(row) == len(rows[0]) for row in rows)
    for row in rows:
        for cell in row:
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))
    table = {row[0]: dict(zip(rows[0], row, strict=True)) for row in rows[1:]}
    assert table["1"]["name"] == "'=cmd|' /c calc'!A1"
    assert table["1"]["01-measure marks"] == "12"
    assert table["1"]["01-measure waiting"] == "2"
    assert table["1"]["01-sign-off"] == "waiting"
    assert table["2"]["01-clearance"] == "0.5"
    assert table["2"]["take a width"] == "not yet"
    assert table["3"]["01-measure marks"] == ""
    assert table["3"]["clearance"] == "not handed in"


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n", "  ="])
def test_formula_starts_are_made_plain(start):
    assert plain_cell(f"{start}1") == f"'{start}1"


def test_twice_the_same_bytes(room):
    path = write_report(room)
    first = (path.read_bytes(), (room.report / "marks.csv").read_bytes())
    path.unlink()
    write_report(room)
    assert (path.read_bytes(), (room.report / "marks.csv").read_bytes()) == first


def test_an_empty_class_has_a_report_too(tmp_path, monkeypatch):
    monkeypatch.setattr(roster, "require_name", lambda what, text, step: None)
    made = new_class(tmp_path / "class", code="QQ-26", title="Keys", roster=PEOPLE)
    text = write_report(made).read_text("utf-8")
    assert "0 of 3" in text
    assert "Nothing is handed in yet." in text
    assert "No known slip was made." in text


def test_who_left_the_list_is_left_out(room):
    names = "number,name\n1,Ada Brindle\n3,Zoë Ferrant\n"
    (room.folder / "roster.csv").write_text(names, "utf-8")
    text = write_report(open_class(room.folder)).read_text("utf-8")
    assert "radius for diameter" not in text
    assert "1 of 2" in text


def test_set_aside_is_told_and_shown_as_text(room):
    (room.set_aside / "reasons.txt").write_text("<b>x</b>.txt: It is not a file.\n", "utf-8")
    text = write_report(room).read_text("utf-8")
    assert "&lt;b&gt;x&lt;/b&gt;.txt: It is not a file." in text


def test_status(room):
    (room.inbox / "waiting.handin.json").write_text("{}")
    lines = status_lines(room)
    assert lines[0] == "Keys <i>26</i> (QQ-26), 3 apprentices"
    heads = lines[1].split()
    assert heads == list(PAGES)
    assert " 12/12 2?" in lines[2]
    assert lines[4].split()[-len(PAGES) :] == ["–"] * len(PAGES)
    assert lines[-1] == "In inbox, not taken in yet: 1. Take in and mark: taperkey mark."


def test_a_gradebook_that_cannot_be_opened_is_one_sentence(room):
    (room.folder / "gradebook.db").write_bytes(b"this is no database, and long enough to be read")
    with pytest.raises(ClassError) as refusal:
        write_report(room)
    assert "\n" not in str(refusal.value)
    assert str(refusal.value).endswith(".")


def test_a_damaged_record_is_named(room):
    (room.folder / "records" / "001" / "01-measure.json").write_text("{")
    with pytest.raises(ClassError) as refusal:
        write_report(room)
    assert str(refusal.value) == (
        "records/001/01-measure.json: The mark record cannot be read. Delete it and mark the "
        "class again; the hand-in is kept and nothing else is lost."
    )
