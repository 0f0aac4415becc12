"""Questions as data: units of a metric card, steps in their own row, what a guide is read as."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

import pytest

from coursework.card import RESIT, JobCard
from coursework.question import (
    Choice,
    Fact,
    Measure,
    Ordering,
    Page,
    Practical,
    Question,
    Slip,
    Verdict,
    Written,
    letters_of,
)

HEIGHT = Measure(dimension="length", unit="in", low=0.2, high=4.0)
PULL = Measure(dimension="force", unit="lbf", low=100, high=90_000, places=0,
               metric_unit="kN", metric_places=1)  # fmt: skip
SLOPE = Measure(dimension="ratio", unit="", low=20, high=200, places=1)


@dataclass(frozen=True, kw_only=True)
class Card(JobCard):
    in_mm: bool = False

    @property
    def metric(self) -> bool:
        return self.in_mm


def card(number: int = 7, attempt: int = 0, code: str = "QQ-26", **more: bool) -> Card:
    return Card(class_code=code, exercise="01-sum", number=number, attempt=attempt, **more)


def asked(kind, **more) -> Question:
    return Question(key="a", skill="s", label="A", ask="?", marks=2, kind=kind, **more)


def test_half_the_last_place_is_in_the_courses_own_unit() -> None:
    assert HEIGHT.half_place == pytest.approx(0.00005)
    assert HEIGHT.in_metric().half_place == pytest.approx(0.0005 / 25.4)
    assert PULL.in_metric().half_place == pytest.approx(50 / 4.4482216152605)  # 0.05 kN


def test_a_metric_card_asks_in_its_own_unit_and_looks_at_the_same_range() -> None:
    height, pull = HEIGHT.in_metric(), PULL.in_metric()
    assert (height.unit, height.low, height.high, height.places) == ("mm", 5.08, 101.6, 3)
    assert (pull.unit, pull.places, pull.metric_unit) == ("kN", 1, "")
    assert (pull.low, pull.high) == (0.4448, 400.3)  # 100 and 90,000 lbf to four figures
    assert SLOPE.in_metric() is SLOPE
    assert height.in_metric() is height


def test_a_question_is_asked_as_its_card_is() -> None:
    plain, other = asked(HEIGHT), asked(HEIGHT, metric=asked(PULL))
    assert plain.on(card()) is plain
    assert plain.on(card(in_mm=True)).kind.unit == "mm"
    assert other.on(card(in_mm=True)) is other.metric
    choice = asked(Choice(options=("yes", "no")))
    assert choice.on(card(in_mm=True)) is choice


def test_what_agrees_is_within_the_readings_or_half_the_last_place() -> None:
    def loose(one: JobCard, given: object) -> float:
        return 0.001

    assert asked(HEIGHT, tolerance=loose).tolerated(card(), {}) == 0.001
    assert asked(HEIGHT).tolerated(card(), {}) == pytest.approx(0.00005)
    assert asked(Choice(options=("yes",))).tolerated(card(), {}) == 0.0
    assert asked(Choice(options=("yes",)), tolerance=loose).tolerated(card(), {}) == 0.001


def test_letters_are_those_of_the_row_that_is_shown() -> None:
    """Shown is the third step first, then the first, then the second."""
    kind = Ordering(steps=("lock", "try", "pull"), shown=(2, 0, 1))
    assert kind.own("BCA") == ("A", "B", "C")
    assert kind.as_shown("ABC") == ("B", "C", "A")
    assert Ordering(steps=kind.steps).row == (0, 1, 2)
    assert Ordering(steps=kind.steps).own("CAB") == ("C", "A", "B")
    assert letters_of(3) == ("A", "B", "C")
    assert letters_of(0) == ()


def test_steps_are_mixed_so_that_each_row_is_as_likely_as_another() -> None:
    """Of 2,400 the six rows of three get 400 each, give or take 18; none is off by six of those."""
    kind = Ordering(steps=("lock", "try", "pull"))
    rows = Counter(kind.mixed(f"seed {turn}").shown for turn in range(2400))
    assert len(rows) == 6
    assert all(abs(count - 400) < 6 * 18 for count in rows.values()), rows
    assert kind.mixed("seed 1") == kind.mixed("seed 1")


def test_each_card_has_its_own_row_and_keeps_it() -> None:
    question = asked(Ordering(steps=tuple("abcdefgh")))
    own = question.on(card())
    assert own == question.on(card())
    assert own.on(card(number=8)) is own, "once it is on a card it is on that one"
    others = [
        card(number=8), card(code="QQ-27"), replace(card(), exercise="02-sum"),
        card(attempt=RESIT), card(attempt=2 * RESIT),
    ]  # fmt: skip
    rows = {own.kind.row, *(question.on(one).kind.row for one in others)}
    assert len(rows) == 6
    assert replace(question, key="b").on(card()).kind.row not in rows
    # drawn again because two answers lay too near: the same card, the same row
    assert question.on(card(attempt=RESIT - 1)).kind.row == own.kind.row
    assert question.on(card(attempt=RESIT + 3)).kind.row == question.on(others[3]).kind.row


def test_a_guide_gives_a_mark_a_point_and_its_samples_earn_all_half_or_nothing() -> None:
    kind = Written(guide=("it locks.", "it wedges.", "it bears."), full="F", half="H", nothing="N")
    assert kind.points[0] == "1 mark: it locks."
    assert kind.samples == ((3, "F"), (2, "H"), (0, "N"))
    assert replace(kind, half="", nothing="").samples == ((3, "F"),)
    assert asked(kind).by_assessor
    assert asked(Practical(guide=("seen.",), caution="c")).by_assessor
    assert not asked(HEIGHT).by_assessor


def test_a_slip_earns_nothing_and_is_of_reckoning_and_a_verdict_is_no_danger_by_itself() -> None:
    slip = Slip(name="halved", value=lambda card, given: 1.0, sentence="Look again.")
    assert (slip.share, slip.of_writing) == (0.0, False)
    verdict = Verdict(key="a", state="wrong", mark=0.0, out_of=2.0, reason="Look again.")
    assert (verdict.critical, verdict.slip, verdict.entered) == (False, "", "")


def test_what_a_question_leaves_out_is_nothing() -> None:
    question = asked(Written(guide=("it locks.",)))
    assert (question.facts(card()), question.worked(card(), {})) == ((), ())
    with pytest.raises(LookupError, match="^this question has no value to compare with; an assess"):
        question.expected(card(), {})
    page = Page(name="01-sum", title="Sum", questions=(asked(HEIGHT),),
                practised=(replace(question, key="b"),))  # fmt: skip
    assert page.question("b").key == "b"
    assert (page.facts(card()), page.unclear(card(), {})) == ((), "")
    assert Fact("Bore", "4 in").value == "4 in"
    with pytest.raises(KeyError):
        page.question("c")
