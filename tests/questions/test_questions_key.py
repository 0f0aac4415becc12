"""Exercise 03: cards that can be, answers that agree with the formulas, one slip one mark."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from coursework.course import PAGES, card_facts, issue_card
from coursework.judging import (
    judge,
    judge_page,
    right_answers,
    show_answer,
)
from coursework.question import Measure, Practical, Written
from keycourse.key.values import (
    GO,
    HUB_WIDE,
    OVER_BEARING,
    OVER_BOTH,
    PLAIN,
    SHAFT_WIDE,
    bars_that_hold,
    cut_large_in,
    order_of,
    unclear_order,
)
from taperkey.formulas.cutting import cutting_plan
from taperkey.formulas.key import key_blank
from taperkey.formulas.key_form import chamfer_clears, stepped_key
from taperkey.formulas.strength import key_strength
from taperkey.units import from_internal, parse_quantity

PAGE = PAGES["03-key"]
CARDS = range(1, 121)
WRITTEN = 0.00005001  # heights are carried on as they are written, to 0.0001 in or finer


def card_of(number):
    return issue_card(exercise="03-key", class_code="QQ-26", number=number)


def typed(card, key, value):
    question = PAGE.question(key).on(card)
    if not isinstance(question.kind, Measure):
        return str(value)
    number = from_internal(value, dimension=question.kind.dimension, unit=question.kind.unit)
    return f"{number:.6f} {question.kind.unit}"


def length_of(text):
    return parse_quantity(text, dimension="length", default_unit="in", label="chamfer").value


@pytest.mark.parametrize("number", range(1, 25))
def test_blank_agrees_with_the_formulas(number):
    card = card_of(number)
    order, right = card.readings, right_answers(PAGE, card)
    blank = key_blank(
        mouth_height_in=order.mouth_height_in,
        taper_in_per_in=order.taper_in_per_in,
        engaged_length_in=order.engaged_length_in,
        allowance_in=order.allowance_in,
        extra_length_in=order.outside_length_in,
    )
    assert right["03-large-end"] == pytest.approx(blank.large_end_height_in, abs=WRITTEN)
    assert right["03-small-end"] == pytest.approx(blank.small_end_height_in, abs=2 * WRITTEN)
    assert right["03-stand-out"] == pytest.approx(blank.travel_to_home_in + order.outside_length_in)


@pytest.mark.parametrize("number", range(1, 25))
def test_widths_agree_with_the_stepped_key(number):
    card = card_of(number)
    order, right = card.readings, right_answers(PAGE, card)
    form = stepped_key(
        hub_slot_width_in=order.hub_width_in,
        shaft_slot_width_in=order.shaft_width_in,
        shaft_slot_side_depth_in=0.45 * card.drive.key_height_in,
        large_end_height_in=right["03-large-end"],
        small_end_height_in=right["03-small-end"],
        side_clearance_in=order.side_clearance_in,
    )
    assert right["03-step"] == pytest.approx(form.step_in)
    if right["03-form"] == PLAIN:
        assert 2 * form.step_in <= order.plain_limit_in
        assert right["03-hub-portion"] == pytest.approx(min(form.hub_width_in, form.shaft_width_in))
    else:
        wide = {HUB_WIDE: "hub", SHAFT_WIDE: "shaft"}[right["03-form"]]
        assert form.wide_portion == wide
        assert right["03-hub-portion"] == pytest.approx(form.hub_width_in)


@pytest.mark.parametrize("number", range(1, 25))
def test_cuts_agree_with_the_cutting_plan(number):
    card = card_of(number)
    order, right = card.readings, right_answers(PAGE, card)
    bar = next(one for one in order.rack if one.name == right["03-stock"])
    plan = cutting_plan(
        stock_height_in=bar.height_in,
        large_end_height_in=right["03-large-end"],
        small_end_height_in=right["03-small-end"],
        length_in=order.length_in,
        relief_cut_in=order.relief_cut_in,
        deepest_pass_in=0.05,
    )
    assert right["03-cut-large"] == pytest.approx(plan.large_end_cut_in, abs=WRITTEN)
    assert right["03-cut-small"] == pytest.approx(plan.small_end_cut_in, abs=WRITTEN)
    assert plan.large_end_cut_in >= order.least_taper_cut_in - 1e-9
    assert plan.taper_in_per_in == pytest.approx(
        order.taper_in_per_in, abs=2 * WRITTEN / order.length_in
    )


@pytest.mark.parametrize("number", range(1, 25))
def test_bar_is_the_smallest_that_holds_the_key(number):
    card = card_of(number)
    order, right = card.readings, right_answers(PAGE, card)
    need = right["03-large-end"] + order.relief_cut_in + order.least_taper_cut_in

    def holds(bar):
        return bar.height_in >= need and bar.width_in >= order.key_width_in

    chosen = next(one for one in order.rack if one.name == right["03-stock"])
    assert holds(chosen)
    for bar in order.rack:
        if bar is not chosen and holds(bar):
            assert bar.width_in * bar.height_in > chosen.width_in * chosen.height_in


@pytest.mark.parametrize("number", range(1, 25))
def test_strength_agrees_with_the_formulas(number):
    card = card_of(number)
    order, right = card.readings, right_answers(PAGE, card)
    chamfer = length_of(right["03-chamfer"])
    found = key_strength(
        torque_lbf_in=right["03-torque"],
        shaft_diameter_in=card.drive.shaft_diameter_in,
        width_in=min(order.hub_width_in, order.shaft_width_in) - order.side_clearance_in,
        shaft_height_in=order.keyseat_depth_in - chamfer,
        hub_height_in=order.keyway_depth_in - chamfer,
        length_in=order.bearing_length_in,
        key_yield_psi=order.key_allowed_psi,
        shaft_yield_psi=order.shaft_allowed_psi,
        hub_yield_psi=order.hub_allowed_psi,
        design_factor=1.0,
    )
    within = found.shear_stress_psi <= order.allowed_shear_psi and (
        found.bearing.stress_psi <= found.bearing.allowable_psi
    )
    # each step is carried on to four figures, so the last may be off by a few parts in 10,000;
    # a height of a small key is written to 0.0001 in, one part in 1,000 of it
    assert right["03-shear"] == pytest.approx(found.shear_stress_psi, rel=1e-3)
    assert right["03-bearing"] == pytest.approx(found.bearing.stress_psi, rel=2e-3)
    assert (right["03-strong"] == GO) == within


def test_chamfer_is_the_smallest_of_the_list_that_clears():
    for number in CARDS:
        card = card_of(number)
        question = PAGE.question("03-chamfer").on(card)
        right = right_answers(PAGE, card)["03-chamfer"]
        place = question.kind.options.index(right)
        clears = [
            chamfer_clears(
                slot_radius_in=card.readings.slot_radius_in + 1e-9, chamfer_in=length_of(option)
            )
            for option in question.kind.options
        ]
        assert clears == [False] * place + [True] * (len(clears) - place)


def test_keys_can_be_made_and_fitted():
    for number in CARDS:
        order = card_of(number).readings
        small = order.large_end_height_in - order.taper_in_per_in * order.length_in
        assert small > 0.6 * order.large_end_height_in
        # both depths together are the height of the opening, each to 0.005 in or 0.1 mm
        half_way = order.mouth_height_in - order.taper_in_per_in * order.bearing_length_in / 2
        assert order.keyseat_depth_in + order.keyway_depth_in == pytest.approx(half_way, abs=0.0051)
        assert 0.2 <= order.bearing_length_in <= order.engaged_length_in
        assert len({(bar.width_in, bar.height_in) for bar in order.rack}) == 5
        assert all(bar.width_in < bar.nominal_width_in for bar in order.rack)
        assert 0.2 < order.power_hp < 3000


def test_twelve_meet_the_ordinary_case_and_each_trap():
    seen = {"form": set(), "strong": set(), "off": set(), "skin": set()}
    for number in range(1, 13):
        card = card_of(number)
        right = right_answers(PAGE, card)
        seen["form"].add(right["03-form"])
        seen["strong"].add(right["03-strong"])
        standard = card.drive.standard_taper_in_per_in
        seen["off"].add(abs(card.readings.taper_in_per_in - standard) > 0.0003)
        names = [one.name for one in PAGE.question("03-stock").slips]
        assert "no metal for the cuts" in names
        seen["skin"].add(
            any(
                bar.height_in >= right["03-large-end"]
                and bar.height_in
                < right["03-large-end"]
                + card.readings.relief_cut_in
                + card.readings.least_taper_cut_in
                for bar in card.readings.rack
            )
        )
    assert seen["form"] == {PLAIN, HUB_WIDE, SHAFT_WIDE}
    assert GO in seen["strong"]
    assert seen["strong"] & {OVER_BEARING, OVER_BOTH}
    assert seen["off"] == {True, False}
    assert True in seen["skin"]


def test_one_wrong_height_costs_one_question():
    for number in range(1, 25):
        card = card_of(number)
        wrong = right_answers(PAGE, card)["03-large-end"] - 0.0021
        own = {"03-large-end": wrong}
        entries = {"03-large-end": typed(card, "03-large-end", wrong)}
        for question in PAGE.questions:
            if question.by_assessor or question.key in own:
                continue
            value = question.expected(card, {**right_answers(PAGE, card), **own})
            own[question.key] = value
            entries[question.key] = (
                show_answer(question.on(card), value)
                if isinstance(value, tuple)
                else typed(card, question.key, value)
            )
        states = {one.key: one.state for one in judge_page(PAGE, card, entries)}
        assert states["03-large-end"] in ("wrong", "slip")
        assert states["03-small-end"] == "carried"
        assert {states["03-cut-large"], states["03-cut-small"]} <= {"carried", "right"}
        rest = [
            state
            for key, state in states.items()
            if key != "03-large-end" and not PAGE.question(key).by_assessor
        ]
        assert set(rest) <= {"right", "carried"}


def test_a_bar_that_cannot_be_cut_leaves_the_cuts_to_be_marked():
    def too_low(card):
        """Return the lowest bar, where the blank does not even come out of it."""
        low = min(card.readings.rack, key=lambda bar: bar.height_in)
        least = card.readings.relief_cut_in + right_answers(PAGE, card)["03-large-end"]
        return low if low.height_in < least else None

    card = next(one for one in map(card_of, range(1, 99)) if too_low(one))
    right, low = right_answers(PAGE, card), too_low(card)
    entries = {
        "03-large-end": typed(card, "03-large-end", right["03-large-end"]),
        "03-stock": low.name,
        "03-cut-large": typed(card, "03-cut-large", right["03-cut-large"]),
        "03-cut-small": "2.7 in",
    }
    states = {one.key: one.state for one in judge_page(PAGE, card, entries)}
    assert states["03-stock"] in ("wrong", "slip")
    assert states["03-cut-large"] == "right"
    assert states["03-cut-small"] == "wrong"


def test_key_that_is_over_is_no_go_whatever_the_total():
    numbers = [n for n in CARDS if right_answers(PAGE, card_of(n))["03-strong"] != GO]
    assert numbers
    for number in numbers[:6]:
        card = card_of(number)
        right = right_answers(PAGE, card)
        verdict = judge(PAGE.question("03-strong"), card, GO, right=right)
        assert verdict.critical
        assert verdict.mark == 0
        assert "the hub runs free" in verdict.reason


def test_order_of_work_can_be_typed_as_people_type():
    card = card_of(1)
    question = PAGE.question("03-order")
    shown = question.on(card)
    right = show_answer(shown, tuple("CFDABE"))
    assert judge(question, card, right.replace(" ", ", ").lower()).state == "right"
    early = show_answer(shown, tuple("CDAFBE"))
    assert judge(question, card, early).slip == "taper before the relief cut"
    assert judge(question, card, "C F D A B").reason == (
        "Order of work has 5 letters; each of the 6 steps must be there once."
    )


def test_units_of_the_card_are_those_of_the_worked_lines():
    for number in range(1, 13):
        card = card_of(number)
        right = right_answers(PAGE, card)
        for question in PAGE.questions:
            if question.by_assessor:
                continue
            asked = question.on(card)
            text = " ".join(f"{line.numbers} {line.result}" for line in asked.worked(card, right))
            wrong = r"\d (in|psi|lbf|hp)\b" if card.metric else r"\d (mm|MPa|kN|N m|kW)\b"
            assert not re.search(wrong, text), (question.key, text)
            last = asked.worked(card, right)[-1].result
            assert last
            if isinstance(asked.kind, Measure) and asked.kind.dimension == "length":
                shown = show_answer(asked, right[question.key])
                assert last == shown or last.split()[-1] == shown.split()[-1]


def test_card_says_what_was_measured_and_what_is_allowed():
    card = next(one for one in map(card_of, range(1, 99)) if not one.metric)
    facts = {fact.what: fact.value for fact in card_facts(card)}
    sound = facts["Length over which both slots have sound sides"]
    assert sound == f"{card.readings.bearing_length_in:g} in"
    assert "Radius in the corners of the slots" in facts
    assert sum("1018 cold-drawn" in what for what in facts) == 5


def test_exercise_has_enough_entries_of_every_kind():
    kinds = [question.kind for question in PAGE.questions]
    assert sum(not question.by_assessor for question in PAGE.questions) >= 10
    assert sum(isinstance(kind, Written) for kind in kinds) == 2
    assert sum(isinstance(kind, Practical) for kind in kinds) == 1
    for question in PAGE.questions:
        if isinstance(question.kind, Measure):
            assert len(question.slips) >= 4, question.key


def test_a_bar_of_just_the_size_holds_and_one_a_tenth_of_a_thousandth_short_does_not():
    card = card_of(1)
    rack = order_of(card).rack
    for bar in rack:
        size = {"height_in": bar.height_in, "width_in": bar.width_in}
        holding = bars_that_hold(card, **size)
        assert bar in holding
        for side in size:
            higher = bars_that_hold(card, **size | {side: size[side] + 0.0001})
            assert bar not in higher
            assert set(higher) <= set(holding)
    assert not bars_that_hold(card, height_in=max(bar.height_in for bar in rack) + 1, width_in=0)
    assert not bars_that_hold(card, height_in=0, width_in=max(bar.width_in for bar in rack) + 1)


def test_a_bar_lower_than_the_blank_has_no_cut():
    """Half a thousandth low is low; a bar that the blank just fills is cut by nothing."""
    card = card_of(1)
    bar = order_of(card).rack[0]
    fills = bar.height_in - order_of(card).relief_cut_in
    given = {"03-stock": bar.name, "03-large-end": fills - 1e-12}
    assert cut_large_in(card, given) == pytest.approx(0.0, abs=1e-9)
    with pytest.raises(ValueError, match="^the bar chosen is lower than the blank and the relief"):
        cut_large_in(card, given | {"03-large-end": fills + 0.0005})


def test_forces_and_stresses_are_carried_on_as_the_card_writes_them():
    """Four figures in the card's own unit, and so more than four in the other one."""
    units = {True: ("kN", "MPa", "MPa"), False: ("lbf", "psi", "psi")}
    met = set()
    for number in CARDS:
        card = card_of(number)
        right, met = right_answers(PAGE, card), met | {card.metric}
        for key, unit in zip(
            ("03-force", "03-shear", "03-bearing"), units[card.metric], strict=True
        ):
            dimension = "force" if key == "03-force" else "pressure"
            shown = from_internal(right[key], dimension=dimension, unit=unit)
            assert shown == pytest.approx(float(f"{shown:.4g}"), rel=1e-9), (number, key)
    assert met == {True, False}


@pytest.mark.parametrize(
    ("share", "near"), [(0.91, False), (0.93, True), (1.0, True), (1.08, True), (1.1, False)]
)
def test_a_card_whose_stress_is_near_what_is_allowed_is_drawn_again(share, near):
    """Within 8 %, as a mechanic's own rounding and a height as written may move it."""
    card = card_of(1)
    right = right_answers(PAGE, card)
    assert not unclear_order(card, right)
    order = replace(order_of(card), allowed_shear_psi=right["03-shear"] / share)
    found = unclear_order(replace(card, readings=order), right)
    assert found == ("03-strong: a stress lies too near to what is allowed" if near else "")
