"""What the pages write as an answer can be typed as one, and is judged right.

Every right answer of 200 job cards an exercise is written in each way that a page of the course
writes such a number, typed, and judged.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from coursework.course import PAGES, issue_card
from coursework.ink.shop import INCH, METRIC
from coursework.judging import (
    judge,
    judge_page,
    look_again,
    right_answers,
    show_answer,
)
from coursework.question import (
    Answer,
    Choice,
    Given,
    Measure,
    Ordering,
    PictureMarks,
    Question,
)
from keycourse.card import JobCard
from keycourse.jobsheet.writing import Writer
from taperkey.units import (
    DIMENSIONS,
    EntryError,
    force_text,
    fraction_text,
    from_internal,
    length_text,
    parse_quantity,
    quantity_text,
)

CARDS = range(1, 201)
SLOPES = ("02-per-inch", "02-per-foot", "06-taper")  # known to 1 in 1,000 or so, not to 1 in 10


def as_numbers(kind: Measure, text: str) -> Iterator[str]:
    """Yield the same entry as other hands type it."""
    yield text
    yield text.replace(",", "")  # no thousands commas
    if "," not in text and text.count(".") == 1:
        yield text.replace(".", ",")  # a decimal comma
    number = text.removesuffix(kind.unit).rstrip()
    if number != text or not kind.unit:
        yield number  # the unit that the entry names, left out
        yield f"{number}{kind.unit}"
        yield f"  {number}\u00a0{kind.unit} "
        yield number.replace("-", "\u2212")


def other_writers(question: Question, answer: float) -> Iterator[str]:
    """Yield the number as benches, figures, lessons and the sheet write one of its kind."""
    kind = question.kind
    assert isinstance(kind, Measure)
    if kind.dimension == "length":
        yield length_text(answer)
        yield length_text(answer, unit="mm")
        if abs(answer) < 0.1:
            yield length_text(answer, unit="thou")
        yield fraction_text(answer)
        for units in (INCH, METRIC):
            yield units.height(answer)
        for job in ("inch", "metric"):
            yield Writer(job).fine(answer)
    elif kind.dimension == "force":
        for unit in ("lbf", "kN"):
            yield force_text(answer, unit=unit)
        for units in (INCH, METRIC):
            yield units.load(answer)
    elif kind.dimension == "taper":
        if question.key in SLOPES:
            yield f"1:{1 / answer:.1f}"
            yield f"1 : {1 / answer:.1f}".replace(".", ",")
            yield f"1 in {1 / answer:.1f}"
            yield f"{1000 * answer:.3f} thou/in"
            for units in (INCH, METRIC):
                yield units.taper(answer)
            yield Writer("inch").slope(answer)
            yield Writer("metric").taper(answer)
        for unit, places in (("in/in", 7), ("in/ft", 6), ("mm/mm", 7), ("mm/100 mm", 5)):
            yield quantity_text(answer, dimension="taper", unit=unit, places=places)
    elif kind.dimension == "ratio":
        for text in (f"{answer:.1f}", f"{answer:.1f}".replace(".", ",")):
            yield from (f"1:{text}", f"1 : {text}", f"1 in {text}", f"1 to {text}", f"1/{text}")
            yield text
    elif kind.dimension in ("pressure", "torque"):
        yield Writer("inch").any(answer, kind.dimension)


def typed_forms(question: Question, card: JobCard, right: Given) -> Iterator[str]:
    """Yield each way in which a page writes this answer."""
    answer: Answer = right[question.key]
    shown = show_answer(question, answer)
    kind = question.kind
    if isinstance(kind, Choice):
        yield shown
    elif isinstance(kind, (Ordering, PictureMarks)):
        yield from (shown, shown.lower(), shown.replace(" ", ""), shown.replace(" ", ", "))
    else:
        assert isinstance(kind, Measure)
        assert isinstance(answer, float)
        yield from as_numbers(kind, shown)
        yield from as_numbers(kind, question.worked(card, right)[-1].result)
        yield from other_writers(question, answer)


@pytest.mark.parametrize("name", sorted(PAGES))
def test_every_form_of_a_right_answer_is_right(name: str) -> None:
    page = PAGES[name]
    refused = {}
    for number in CARDS:
        card = issue_card(exercise=name, class_code="QQ-26", number=number)
        right = right_answers(page, card)
        for key in right:
            question = page.question(key).on(card)
            for text in typed_forms(question, card, right):
                verdict = judge(question, card, text, right=right)
                if verdict.state != "right" or look_again(question, text):
                    refused[(key, card.metric, text)] = (number, verdict.state, verdict.reason)
    assert not refused, "\n".join(f"{one}: {why}" for one, why in list(refused.items())[:40])


@pytest.mark.parametrize("name", sorted(DIMENSIONS))
def test_the_examples_that_an_entry_shows_can_be_typed(name: str) -> None:
    table = DIMENSIONS[name]
    for text in table.examples:
        assert text in table.what
        assert parse_quantity(text, dimension=name, default_unit=table.units[0].name).value > 0


def test_what_is_known_from_before_is_enough_to_go_on() -> None:
    """A practice card shows earlier answers as they are written; from them the next is right."""
    off = {}
    for page in PAGES.values():
        for number in CARDS:
            card = issue_card(exercise=page.name, class_code="practice", number=number)
            right = right_answers(page, card)
            for asked in page.questions:
                question = asked.on(card)
                if not asked.needs or question.by_assessor:
                    continue
                known = dict(right)
                for need in asked.needs:
                    before = page.question(need).on(card)
                    if isinstance(before.kind, Measure):
                        known[need] = parse_quantity(
                            show_answer(before, right[need]),
                            dimension=before.kind.dimension,
                            default_unit=before.kind.unit,
                            within=(-1e9, 1e9),
                        ).value
                text = show_answer(question, question.expected(card, known))
                if judge(question, card, text, right=right).state != "right":
                    off[question.key, card.metric] = (number, text, right[question.key], known)
    assert not off, "\n".join(f"{one}: {why}" for one, why in off.items())


@pytest.mark.parametrize(
    ("text", "dimension", "within", "value"),
    [
        ("1:98.8", "ratio", (20, 500), 98.8),
        ("1 : 98,8", "ratio", (20, 500), 98.8),
        ("1 in 98.8", "ratio", (20, 500), 98.8),
        ("1 to 98.8", "ratio", (20, 500), 98.8),
        ("1/98.8", "ratio", (20, 500), 98.8),
        ("98.8", "ratio", (20, 500), 98.8),
        ("98,765", "ratio", (20, 500), 98.765),
        ("1:98,765", "ratio", (20, 500), 98.765),
        ("1:1,257.4", "ratio", (20, 500), 1257.4),
        ("1:-96.6", "ratio", (20, 500), -96.6),
        ("1:1.2.3", "ratio", (20, 500), None),
        ("2:197.6", "ratio", (20, 500), 98.8),
        ("1 mm in 98.8 mm", "ratio", (20, 500), None),
        ("1 in", "ratio", (20, 500), None),
        ("1:0", "ratio", (20, 500), None),
        ("0:96", "ratio", (20, 500), None),
        ("1 in 96", "taper", (0, 1), 1 / 96),
        ("1 : 96", "taper", (0, 1), 1 / 96),
        ("1:0", "taper", (0, 1), None),
        ("1/8", "taper", (0, 1), 1 / 96),  # of an inch a foot, the unit asked for
        ("10.4 thou/in", "taper", (0, 1), 0.0104),
        ("0.125 in/ft", "taper", (0, 1), 0.125 / 12),
        ("0.125 in/12 in", "taper", (0, 1), 0.125 / 12),
        ("1/8 in in 12 in", "taper", (0, 1), 1 / 96),
        ("0,125 in per foot", "taper", (0, 1), 0.125 / 12),
        ("1.04 mm/100 mm", "taper", (0, 1), 0.0104),
        ("1.04 mm in 100 mm", "taper", (0, 1), 0.0104),
        ("1.04 mm/0 mm", "taper", (0, 1), None),
        ("1 in", "taper", (0, 1), None),
        ("1 in 96", "length", (0, 200), None),  # never 1 inch, never 96
        ("1:96", "length", (0, 200), None),
        ("1:96", "number", (0, 200), None),
        ("1 in 96", "number", (0, 200), None),
        ("1,375 in", "length", (0.0, 4.0), 1.375),
        ("25,400 mm", "length", (0.0, 4.0), 1.0),
        ("-1,375 in", "length", (-4.0, 4.0), -1.375),
        ("1,375 in", "length", (0.0, 2000.0), None),  # either may be meant
        ("1,375 in", "length", (2.0, 4.0), None),  # neither can be meant
        ("28,400 lbf", "force", (1.0, 100.0), 28_400.0),  # written in thousands, always
        ("1,250 kN", "force", (1e5, 1e6), 1250 * 1000 / 4.4482216152605),
    ],
)
def test_one_reading_or_none(
    text: str, dimension: str, within: tuple[float, float], value: float | None
) -> None:
    unit = {"length": "in", "taper": "in/ft", "force": "lbf"}.get(dimension, "")

    def read() -> float:
        return parse_quantity(text, dimension=dimension, default_unit=unit, within=within).value

    if value is None:
        with pytest.raises(EntryError):
            read()
    else:
        assert read() == pytest.approx(value, rel=1e-12)


def test_the_rounding_of_what_was_typed_is_in_the_course_s_unit() -> None:
    def half(text: str, dimension: str, unit: str) -> float:
        return parse_quantity(text, dimension=dimension, default_unit=unit).half_place

    assert half("1.04 mm", "length", "in") == pytest.approx(0.005 / 25.4)
    assert half("28,400 lbf", "force", "lbf") == 0
    assert half("1-3/8 in", "length", "in") == 0
    assert half("98,8", "ratio", "") == pytest.approx(0.05)
    assert half("1:98.8", "ratio", "") == pytest.approx(0.05)
    assert half("1:98.8", "taper", "in/ft") == pytest.approx(0.05 / 98.8**2)
    assert from_internal(1.0, dimension="ratio", unit="") == 1


LENGTHS = [
    (page, question)
    for page in PAGES.values()
    for question in page.questions
    if isinstance(question.kind, Measure) and question.kind.dimension == "length"
]


@pytest.mark.parametrize(("page", "question"), LENGTHS, ids=lambda one: getattr(one, "key", ""))
def test_every_length_tells_why_its_point_or_its_unit_is_wrong(page, question) -> None:
    """12 for 12 thousandths, millimeters for inches and the other way, 13.1 for 0.0131."""
    for number in range(1, 41):
        card = issue_card(exercise=page.name, class_code="QQ-26", number=number)
        right = right_answers(page, card)
        asked, value = question.on(card), right[question.key]
        inches = asked.kind.unit == "in"
        entered = value if inches else 25.4 * value
        ways = {
            f"{25.4 * value:.6f} in": "millimeters as inches",
            f"{value:.7f} mm": "inches as millimeters",
            f"{10 * entered:.6f}": "decimal point one place right",
            f"{100 * entered:.6f}": "decimal point two places right",
            f"{1000 * entered:.6f}": "thousandths as inches"
            if inches
            else "decimal point three places right",
            f"{entered / 10:.8f}": "decimal point one place left",
        }
        own = {one.name for one in asked.slips if not one.of_writing}
        for text, slip in ways.items() if value else ():
            verdict = judge(question, card, text, right=right)
            assert verdict.slip == slip or verdict.slip in own, (number, text, verdict)
        for text in (f"{25.4 * value:.6f} mm", f"{1000 * value:.5f} thou", f"{value:.8f} in"):
            assert judge(question, card, text, right=right).state == "right", text


def test_what_is_worked_on_from_a_slip_of_writing_is_right_both_ways() -> None:
    """The point slipped in one box: the next may come from that box, or from the paper."""
    page = PAGES["01-measure"]
    for number in range(1, 41):
        card = issue_card(exercise=page.name, class_code="QQ-26", number=number)
        right = right_answers(page, card)
        clearance, missed = right["01-clearance"], right["01-missed-height"]
        for factor in (1.0, 10.0):
            entries = {
                "01-clearance": f"{10 * clearance:.6f} in",
                "01-missed-height": f"{factor * missed:.7f} in",
            }
            by_key = {one.key: one for one in judge_page(page, card, entries)}
            assert by_key["01-clearance"].slip == "decimal point one place right"
            assert by_key["01-missed-height"].mark == by_key["01-missed-height"].out_of
