"""The exercise and the job sheet come to the same numbers from the same card."""

import functools

import pytest

from coursework.course import PAGES, issue_card
from coursework.judging import judge_page, right_answers, show_answer
from keycourse.pull.values import (
    FAR,
    GO,
    HUB_FIRST,
    LINKS,
    NEAR,
    NO_TELLING,
)
from keycourse.taper.values import (
    BOTH,
    NEITHER,
    ONLY_INCH,
    ONLY_METRIC,
)
from keycourse.whole.card import KINDS, traps_of
from keycourse.whole.whole_job import work_out
from taperkey.units import from_internal, to_internal

NAME = "06-whole-job"
PAGE = PAGES[NAME]
CARDS = range(1, 49)


@functools.cache
def both(number):
    card = issue_card(exercise=NAME, class_code="QQ-26", number=number)
    return card, right_answers(PAGE, card), work_out(job=card.readings.inputs(card.drive))


@pytest.mark.parametrize("number", CARDS)
def test_one_card_one_set_of_numbers(number):
    card, right, figures = both(number)
    opening, key, pull = figures.opening, figures.key, figures.pull
    # the exercise carries on what is written down, the sheet every digit
    half = 0.0005 / 25.4 if card.metric else 0.00005
    assert opening.heights_in == pytest.approx(
        (right["06-near-height"], right["06-far-height"]), abs=1.001 * half
    )
    taper_half = 0.00005 / (100 if card.metric else 12)
    assert abs(opening.taper_in_per_in) == pytest.approx(
        right["06-taper"], abs=2.002 * half / card.readings.base_in + taper_half
    )
    words = {"1:96": ONLY_INCH, "1:100": ONLY_METRIC, "both": BOTH, "neither": NEITHER}
    assert words[opening.standard] == right["06-standard"]
    if right["06-large-end"] != NO_TELLING:  # the sheet has the empty slot too, and so it knows
        assert {"mouth": NEAR, "inside": FAR}[opening.end] == right["06-large-end"]
    # a measured taper is cut as 1:n with n to one place, 1 part in 1,400 at the most
    job = card.readings
    # the exercise goes by the height where the key enters; the sheet by the highest of the two
    # stations on the line of the taper, so that the key can be filed down there as well
    enters, other = opening.heights_in if opening.end == "mouth" else opening.heights_in[::-1]
    more = max(0.0, other + opening.cut_taper_in_per_in * job.base_in - enters)
    assert key.blank.large_end_height_in == pytest.approx(
        right["06-blank-height"] + more, abs=half + 1.5e-5
    )
    assert job.outside_in + key.blank.travel_to_home_in == pytest.approx(
        right["06-stand-out"], rel=1.5e-3
    )
    travel = job.stands_out_in - job.outside_in - job.left_to_drive_in
    per_in = 0.001 / key.travel_per_thousandth_in
    assert travel * per_in == pytest.approx(right["06-still-to-file"], rel=1.5e-3)
    place = 50.0 / 4.4482 if card.metric else 0.5  # written to a tenth of a kN, or to one lbf
    assert pull.seat.high_lbf == pytest.approx(right["06-seat"], abs=1.001 * place)
    # the plan has the drawing's taper, the sheet the measured one
    assert pull.pull.high_lbf == pytest.approx(right["06-pull"], rel=0.02)
    assert LINKS[pull.chain.governing.name] == right["06-weakest"]
    if right["06-large-end"] != NO_TELLING:
        assert pull.decision.go == (right["06-go"] == GO)
        assert (right["06-go"] == HUB_FIRST) == any(
            "The hub is reversed" in one.sentence for one in figures.stops
        )


def test_working_loads_on_the_card_are_those_of_the_sheet_rounded_down():
    for number in CARDS:
        card, _, figures = both(number)
        loads = {link.name: link.capacity_lbf for link in figures.pull.chain.links}
        step = 100.0 if not card.metric else 113.0
        for name, load in card.readings.loads:
            assert 0 <= loads[name] - load <= 0.01 * loads[name] + step


def test_a_class_meets_every_kind():
    cards = [issue_card(exercise=NAME, class_code="QQ-26", number=n) for n in range(1, 65)]
    rights = [right_answers(PAGE, card) for card in cards]
    for way, share in (("ordinary", 0.4), ("reversed", 0.4), ("cannot tell", 0.2)):
        assert sum(way in traps_of(kind) for kind in KINDS) == share * len(KINDS)
    for trap, times in (("weak rig", 2), ("rusted", 2), ("not tapped", 2), ("off standard", 4)):
        assert times * sum(trap in traps_of(kind) for kind in KINDS) == len(KINDS)
    assert {right["06-large-end"] for right in rights} == {NEAR, FAR, NO_TELLING}
    assert len({right["06-go"] for right in rights}) == 4
    assert {NEITHER, BOTH} < {right["06-standard"] for right in rights}
    assert {card.readings.tapped for card in cards} == {True, False}
    assert {card.readings.faces for card in cards} == {"lubricated", "rusted"}
    assert {card.metric for card in cards} == {True, False}


def one_digit_off(card, force_lbf, place):
    """Return the force with the digit at a place written as the next one up, as a pen slips."""
    unit = "kN" if card.metric else "lbf"
    number = from_internal(force_lbf, dimension="force", unit=unit)
    text = f"{number:.1f}" if card.metric else f"{number:.0f}"
    digit = int(text[place])
    turned = f"{text[:place]}{digit + 1 if digit < 9 else digit - 1}{text[place + 1 :]}"
    return to_internal(float(turned), dimension="force", unit=unit)


def no_known_slip(card, right):
    """Return the seat with one digit off that no known slip of it explains."""
    for place in range(2):
        force = one_digit_off(card, right["06-seat"], place)
        entries = {"06-seat": f"{force:.12f} lbf"}
        if {one.key: one.state for one in judge_page(PAGE, card, entries)}["06-seat"] == "wrong":
            return force
    raise AssertionError("each digit turned looks like a known slip")


def test_one_early_slip_costs_one_mark():
    for number in CARDS:
        card = issue_card(exercise=NAME, class_code="QQ-26", number=number)
        right = right_answers(PAGE, card)
        own = {**right, "06-seat": no_known_slip(card, right)}
        entries = {}
        for asked in PAGE.questions:
            question = asked.on(card)
            if question.by_assessor:
                continue
            if question.key not in ("06-seat", "06-go"):
                own[question.key] = question.expected(card, own)
            answer = own[question.key]
            entries[question.key] = (
                f"{answer:.12f} {question.kind.dimension and _unit(question)}"
                if isinstance(answer, float)
                else show_answer(question, answer)
            )
        states = {one.key: one.state for one in judge_page(PAGE, card, entries)}
        assert states["06-seat"] == "wrong"
        assert states["06-pull"] == "carried"
        assert states["06-margin"] == "carried"
        assert states["06-go"] == "right"


def _unit(question):
    return {"length": "in", "force": "lbf", "taper": "in/in"}[question.kind.dimension]


def test_an_early_slip_never_makes_a_go_right_where_none_is():
    met = 0
    for number in CARDS:
        card = issue_card(exercise=NAME, class_code="QQ-26", number=number)
        right = right_answers(PAGE, card)
        if right["06-go"] == GO:
            continue
        entries = {"06-pull": f"{right['06-pull'] / 50:.3f} lbf", "06-go": GO}
        go = next(one for one in judge_page(PAGE, card, entries) if one.key == "06-go")
        assert go.critical
        assert go.mark == 0
        met += 1
    assert met > 10
