"""Exercise 05: what is special about pulling a key, where a wrong answer can hurt someone."""

import math
from dataclasses import replace

import pytest

from coursework.course import PAGES, card_facts, issue_card
from coursework.judging import (
    judge_page,
    read_answer,
    right_answers,
    show_answer,
)
from keycourse.card import JobCard
from keycourse.pull import values
from taperkey.formulas.chain import REQUIRED_LINKS, capacity_chain, pull_decision
from taperkey.formulas.link import Link

PAGE = PAGES["05-pull"]
CARDS = range(1, 81)


def card_of(number: int) -> JobCard:
    return issue_card(exercise="05-pull", class_code="QQ-26", number=number)


def first(**wanted: str) -> JobCard:
    """Return the first card with these right answers."""
    for number in CARDS:
        card = card_of(number)
        right = right_answers(PAGE, card)
        if all(right[f"05-{key}"] == value for key, value in wanted.items()):
            return card
    raise AssertionError(f"no card has {wanted}")


def entries_of(card: JobCard) -> dict[str, str]:
    return {
        key: show_answer(PAGE.question(key).on(card), answer)
        for key, answer in right_answers(PAGE, card).items()
    }


def verdicts_of(card: JobCard, entries: dict[str, str]):
    return {one.key: one for one in judge_page(PAGE, card, entries)}


# --- a card worked by hand ----------------------------------------------------------------------


def worked_example() -> JobCard:
    """Return an inch card with the figures of the lesson: 1:96, friction 0.10, 150,000 lbf."""
    card = next(card for card in map(card_of, CARDS) if not card.metric and card.readings.uses_rod)
    case = replace(
        card.readings,
        made_drop_in=7 / 96,
        made_base_in=7.0,
        width_in=1.5,
        height_in=1.0,
        contact_length_in=8.0,
        seat_route="pressure",
        seat_low=10_000.0,
        seat_high=12_500.0,  # × 1.5 × 8 in² = 150,000 lbf
        drive_friction=0.10,
        friction_low=0.10,
        friction_high=0.27,
        jack_rating=10.0,
        parts=replace(
            card.readings.parts,
            jack_tons=10.0,
            jacks=2,
            thread_name="3/4-10 UNC",
            grade_name="SAE J429 grade 8",
        ),
    )
    return replace(card, readings=case)


def test_the_lesson_s_key_by_hand() -> None:
    right = right_answers(PAGE, worked_example())
    alpha, slick, oxide = math.atan(1 / 96), math.atan(0.10), math.atan(0.27)
    assert right["05-angle"] == pytest.approx(alpha)
    push = math.tan(slick) + math.tan(slick + alpha)
    assert right["05-push-factor"] == pytest.approx(push)
    assert right["05-push-factor"] == pytest.approx(0.2105, abs=0.00005)  # lesson 05, computed
    assert right["05-seat"] == pytest.approx(150_000)
    assert right["05-pull-factor"] == pytest.approx(math.tan(oxide) + math.tan(oxide - alpha))
    assert right["05-pull-high"] == pytest.approx(79_300, abs=50)  # lesson 05, rounded there
    low = 120_000 * (math.tan(slick) + math.tan(slick - alpha))
    assert right["05-pull-low"] == pytest.approx(low)
    assert right["05-friction-share"] == pytest.approx(0.95, abs=0.005)


def test_two_ten_ton_jacks_and_a_three_quarter_rod_by_hand() -> None:
    right = right_answers(PAGE, worked_example())
    # two jacks of 10 US tons, 2,000 lbf each, worked to four fifths (common practice)
    assert right["05-jacks"] == 2 * 10 * 2000 * 4 / 5
    # stress area 0.334 in² (ASME B1.1), proof 120,000 psi (Shigley-Mischke, 5th ed., p. 341)
    assert right["05-rod"] == pytest.approx(0.334 * 120_000 * 3 / 4)


@pytest.mark.parametrize(
    ("grade", "strength_psi"),
    [
        ("SAE J429 grade 5", 85_000),  # proof, Shigley-Mischke, 5th ed., p. 341
        ("ASTM A193 B7", 0.9 * 105_000),  # no proof stated; yield of ASTM A193, from memory
        ("ASTM A36 threaded bar", 0.9 * 36_000),  # no proof stated; yield from SA-36, Table 3
    ],
)
def test_the_rod_by_its_grade(grade: str, strength_psi: float) -> None:
    card = worked_example()
    parts = replace(card.readings.parts, grade_name=grade)
    card = replace(card, readings=replace(card.readings, parts=parts))
    assert right_answers(PAGE, card)["05-rod"] == pytest.approx(0.334 * strength_psi * 3 / 4)


def test_a_push_and_the_pressure_that_it_makes_give_the_same_seat() -> None:
    by_pressure = worked_example()
    push = 150_000 * right_answers(PAGE, by_pressure)["05-push-factor"]
    case = replace(by_pressure.readings, seat_route="push", seat_low=0.8 * push, seat_high=push)
    by_push = right_answers(PAGE, replace(by_pressure, readings=case))
    for key in ("05-seat", "05-pull-high", "05-pull-low"):
        assert by_push[key] == pytest.approx(right_answers(PAGE, by_pressure)[key])


# --- what a class meets -------------------------------------------------------------------------


def test_a_class_meets_the_ordinary_case_and_each_trap() -> None:
    for start in (1, 65):
        cards = [card_of(number) for number in range(start, start + 64)]
        rights = [right_answers(PAGE, card) for card in cards]
        assert {right["05-go"] for right in rights} == set(values.GOES)
        assert {right["05-large-end"] for right in rights} == {
            values.NEAR,
            values.FAR,
            values.NO_TELLING,
        }
        assert {values.WELD, values.NONE} < {right["05-method"] for right in rights}
        assert {card.readings.end for card in cards} == {"tapped", "plain"}
        assert any(not card.readings.rod_marked for card in cards)
        assert {card.metric for card in cards} == {True, False}


def test_both_ways_to_know_the_seat_and_every_kind_of_weakest_link_come_up() -> None:
    cards = [card_of(number) for number in range(1, 201)]
    assert {card.readings.seat_route for card in cards} == {"push", "pressure"}
    governing = {right_answers(PAGE, card)["05-weakest"] for card in cards}
    assert {values.LINKS[name] for name in ("jacks", "rod", "weld", "tapped hole")} <= governing


def test_the_bank_agrees_with_the_chain_of_the_formulas() -> None:
    for number in CARDS:
        card = card_of(number)
        case, right = card.readings, right_answers(PAGE, card)
        links = [
            Link(name=one.name, capacity_lbf=one.capacity_lbf, basis="", source="", advice="")
            for one in case.listed
        ]
        links += [case.jacks(), *([case.rod()] if case.uses_rod else [])]
        assert {link.name for link in links} == set(REQUIRED_LINKS[case.rig])
        chain = capacity_chain(
            method=case.rig,
            links=links,
            demand_low_lbf=right["05-pull-low"],
            demand_high_lbf=right["05-pull-high"],
        )
        assert values.LINKS[chain.governing.name] == right["05-weakest"]
        assert chain.margin_lbf == pytest.approx(right["05-margin"])
        decision = pull_decision(
            chain=chain,
            showing_end={values.NEAR: "large", values.FAR: "small"}.get(
                right["05-large-end"], "unknown"
            ),
            rod_grade_known=case.rod_marked or not case.uses_rod,
            key_tapped=case.end == "tapped",
        )
        assert decision.go == (right["05-go"] == values.GO)


# --- where it can hurt --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("answer", "slip"),
    [
        (values.CHANGE, "weak link waved through"),
        (values.RIG_SHORT, "rig too small waved through"),
        (values.HUB_FIRST, "pulled against the taper"),
        (values.ENDS_FIRST, "gone ahead on a guess"),
    ],
)
def test_a_wrong_go_is_named_and_never_competent(answer: str, slip: str) -> None:
    card = first(go=answer)
    verdict = verdicts_of(card, {**entries_of(card), "05-go": values.GO})["05-go"]
    assert (verdict.state, verdict.slip, verdict.mark) == ("slip", slip, 0)
    assert verdict.critical
    assert "safety-critical" in verdict.reason


@pytest.mark.parametrize("answer", [values.CHANGE, values.RIG_SHORT])
def test_an_earlier_slip_never_makes_a_go_right(answer: str) -> None:
    card = first(go=answer)
    entries = entries_of(card)
    entries["05-pull-high"] = "100 lbf"  # far too little: on it every rig would do
    entries["05-go"] = values.GO
    verdict = verdicts_of(card, entries)["05-go"]
    assert verdict.state == "slip"
    assert verdict.critical


def test_holding_back_on_one_s_own_high_pull_is_carried_forward() -> None:
    card = first(go=values.GO)
    entries = entries_of(card)
    entries["05-pull-high"] = "5,000,000 lbf"
    entries["05-go"] = values.RIG_SHORT
    verdict = verdicts_of(card, entries)["05-go"]
    assert (verdict.state, verdict.critical) == ("carried", False)


def test_a_reversed_hub_is_not_pulled_by_any_rig() -> None:
    card = first(go=values.HUB_FIRST)
    right = right_answers(PAGE, card)
    assert card.readings.ends.larger_here_in < 0
    assert right["05-what-first"] in (values.HUB_OFF, values.PUSH_OUT)
    for wrong in (values.PLAN_FIRST, values.FIND_OUT):
        entries = {**entries_of(card), "05-what-first": wrong}
        assert verdicts_of(card, entries)["05-what-first"].critical


def test_a_key_that_is_not_tapped_has_no_rod_in_its_chain() -> None:
    card = first(method=values.WELD)
    assert "rod" not in values.capacities(card, right_answers(PAGE, card))
    verdicts = verdicts_of(
        card,
        {
            **entries_of(card),
            "05-weakest": values.LINKS["rod"],
            "05-method": values.STRONGBACK,
        },
    )
    assert verdicts["05-weakest"].slip == "rod that is not in the chain"
    assert verdicts["05-method"].slip == "rod in an untapped key"


def test_the_hub_stays_on_where_its_key_can_be_pushed_out_behind_it() -> None:
    """Lesson 05: only with room behind can the key be pushed out from the small end."""
    card = first(**{"large-end": values.FAR})
    for behind, right in ((True, values.PUSH_OUT), (False, values.HUB_OFF)):
        ends = replace(card.readings.ends, room_behind=behind)
        other = replace(card, readings=replace(card.readings, ends=ends))
        assert right_answers(PAGE, other)["05-what-first"] == right


def test_the_sloped_face_s_part_of_the_pull_drags_at_the_hub() -> None:
    """Lesson 05: at 0.10 and 1:96 it is 47 % of the pull, and both faces' parts are the pull."""
    card = worked_example()
    case = replace(card.readings, friction_high=0.10)
    right = right_answers(PAGE, replace(card, readings=case))
    slick, alpha = math.atan(0.10), math.atan(1 / 96)
    assert right["05-drag"] == pytest.approx(150_000 * math.tan(slick - alpha))
    assert right["05-drag"] / right["05-pull-high"] == pytest.approx(0.47, abs=0.005)
    assert right["05-drag"] + 150_000 * 0.10 == pytest.approx(right["05-pull-high"])


def test_the_shaft_will_do_only_where_the_clamp_carries_the_drag() -> None:
    card = card_of(1)
    drag = float(right_answers(PAGE, card)["05-drag"])
    for flat, clamp, right in (
        (True, 1.5 * drag, values.ON_EITHER),
        (True, 0.6 * drag, values.ON_HUB),
        (False, 1.5 * drag, values.ON_SHAFT),
        (False, 0.6 * drag, values.ON_NEITHER),
    ):
        case = replace(card.readings, face_flat=flat, clamp_lbf=clamp)
        other = replace(card, readings=case)
        assert right_answers(PAGE, other)["05-stands-on"] == right
        for wrong in set(values.STANDS_ON) - {right}:
            verdict = verdicts_of(other, {**entries_of(other), "05-stands-on": wrong})
            assert verdict["05-stands-on"].state == "slip"


def test_a_slide_hammer_is_enough_where_its_weakest_blow_comes_up_to_the_high_pull() -> None:
    card = first(method=values.SLIDE)
    case = card.readings
    assert case.end == "tapped"
    assert case.blow_low_lbf >= right_answers(PAGE, card)["05-pull-high"]
    holds = [one.capacity_lbf for one in case.listed if one.name in REQUIRED_LINKS["slide hammer"]]
    assert case.blow_high_lbf <= min(*holds, case.rod().capacity_lbf)


def test_a_known_slip_out_of_the_air_earns_no_share() -> None:
    card = first(method=values.STRONGBACK)
    alone = verdicts_of(card, {"05-method": values.WELD})["05-method"]
    worked = verdicts_of(card, {**entries_of(card), "05-method": values.WELD})["05-method"]
    assert (alone.slip, worked.slip) == ("weld where the end is tapped",) * 2
    assert (alone.mark, worked.mark) == (0, 0.25 * worked.out_of)


# --- units --------------------------------------------------------------------------------------


def test_a_ton_on_a_metric_card_is_a_tonne() -> None:
    card = next(card for card in map(card_of, CARDS) if card.metric)
    case = card.readings
    own = 4 / 5 * case.jack_number * case.jack_rating
    question = PAGE.question("05-jacks").on(card)
    assert question.kind.unit == "kN"
    right = right_answers(PAGE, card)["05-jacks"]
    # standard gravity: the weight of a tonne is 9.80665 kN
    assert read_answer(question, f"{own * 9.80665:.2f}") == pytest.approx(right, rel=1e-3)
    verdict = verdicts_of(card, {"05-jacks": f"{own * 8.896:.2f} kN"})["05-jacks"]
    assert verdict.slip == "another ton"
    assert verdicts_of(card, {"05-jacks": f"{own * 10:.1f} kN"})["05-jacks"].state == "right"


def test_a_long_ton_is_named_on_an_inch_card() -> None:
    card = next(card for card in map(card_of, CARDS) if not card.metric)
    case = card.readings
    long_tons = 4 / 5 * case.jack_number * case.jack_rating * 2240
    assert verdicts_of(card, {"05-jacks": f"{long_tons:.0f}"})["05-jacks"].slip == "another ton"


def test_the_margin_may_be_below_nothing() -> None:
    card = next(
        card
        for card in map(card_of, CARDS)
        if not card.metric and right_answers(PAGE, card)["05-go"] == values.CHANGE
    )
    margin = right_answers(PAGE, card)["05-margin"]
    assert margin < 0
    right = right_answers(PAGE, card)
    before = {
        key: show_answer(PAGE.question(key).on(card), right[key])
        for key in PAGE.question("05-margin").needs
    }
    below = before | {"05-margin": f"-{-margin:,.0f} lbf"}
    assert verdicts_of(card, below)["05-margin"].state == "right"
    above = before | {"05-margin": f"{-margin:,.0f} lbf"}
    turned = verdicts_of(card, above)["05-margin"]
    assert (turned.slip, turned.mark) == ("sign turned", 1)


def test_steps_may_be_written_without_spaces() -> None:
    card = card_of(1)
    right = show_answer(PAGE.question("05-steps").on(card), tuple("BFDGCAE"))
    for text in (right, right.replace(" ", "").lower(), right.replace(" ", ", ")):
        assert verdicts_of(card, {"05-steps": text})["05-steps"].state == "right"
    unreadable = verdicts_of(card, {"05-steps": "B F D G C A"})["05-steps"]
    assert unreadable.reason == (
        "Order of work has 6 letters; each of the 7 steps must be there once."
    )


def test_the_card_names_its_units_and_what_each_strength_is() -> None:
    for number in range(1, 13):
        words = " ".join(fact.value for fact in card_facts(card_of(number)))
        assert "tensile" in words
        assert ("metric tons" in words) == card_of(number).metric
        assert ("US tons" in words) != card_of(number).metric


# --- the readings cannot tell -------------------------------------------------------------------


def test_where_the_readings_cannot_tell_nothing_is_pulled_and_no_hub_comes_off() -> None:
    card = first(go=values.ENDS_FIRST)
    right = right_answers(PAGE, card)
    assert right["05-large-end"] == values.NO_TELLING
    assert right["05-what-first"] == values.FIND_OUT
    for wrong in (values.NEAR, values.FAR):
        verdict = verdicts_of(card, {**entries_of(card), "05-large-end": wrong})["05-large-end"]
        assert (verdict.state, verdict.critical) == ("slip", True)


def test_a_drawing_never_decides() -> None:
    card = first(**{"large-end": values.FAR})
    for drawing in ("this side", "far side", "none"):
        ends = replace(card.readings.ends, drawing=drawing)
        other = replace(card, readings=replace(card.readings, ends=ends))
        assert right_answers(PAGE, other)["05-large-end"] == values.FAR


def test_a_difference_counts_beyond_what_both_readings_may_be_off() -> None:
    card = first(**{"large-end": values.NEAR})
    flush = replace(card.readings.ends, face_in=1.0, out_in=0.5, far_in=0.0, good_in=0.0005)

    def told(end_in: float) -> object:
        readings = replace(card.readings, ends=replace(flush, end_in=end_in))
        return values.large_end(replace(card, readings=readings), {})

    assert told(1.0011) == values.NEAR
    assert told(1.0009) == values.NO_TELLING
    assert told(0.9989) == values.FAR


# --- what a card says, and how clear it is ------------------------------------------------------


def test_a_card_says_how_the_seat_is_known_and_what_is_in_the_crib():
    routes, hammers = set(), set()
    for card in map(card_of, CARDS):
        case = card.readings
        told = {fact.what: fact.value for fact in card_facts(card)}
        pushed = "Push at the last blows, from the fitter's sheet" in told
        assert pushed == (case.seat_route == "push")
        assert ("Key in the hub" in told) == (case.seat_route == "pressure")
        hammer = case.blow_high_lbf > 0
        assert ("slide hammer, " in told["Also in the crib"]) == hammer
        assert ("no slide hammer" in told["Also in the crib"]) == (not hammer)
        routes.add(pushed)
        hammers.add(hammer)
    assert routes == hammers == {True, False}


def test_no_card_is_a_near_miss():
    """Somebody whose reading is off by a hair is not to come to another decision."""
    for card in map(card_of, CARDS):
        right = right_answers(PAGE, card)
        loads = list(values.capacities(card, right).values())
        assert loads == sorted(loads)
        assert loads[1] >= 1.06 * loads[0]
        assert all(abs(load / right["05-pull-high"] - 1) >= 0.08 for load in loads[:3])


def test_the_larger_end_by_the_readings_is_the_one_that_they_tell():
    told = set()
    for card in map(card_of, CARDS):
        larger = card.readings.ends.larger_here_in
        by_readings = values.larger_by_readings(card)
        assert by_readings == (values.NEAR if larger > 0 else values.FAR if larger < 0 else "")
        if right_answers(PAGE, card)["05-large-end"] in (values.NEAR, values.FAR):
            assert by_readings == right_answers(PAGE, card)["05-large-end"]
            told.add(by_readings)
    assert told == {values.NEAR, values.FAR}
