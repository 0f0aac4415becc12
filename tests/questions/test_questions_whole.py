"""Exercise 06: numbers as a card writes them, choices by their rule, and which cards are clear."""

from __future__ import annotations

import math
import re
import statistics
from dataclasses import replace

import pytest

from coursework.course import PAGES, card_facts, issue_card
from coursework.judging import judge_page, right_answers, show_answer
from keycourse.taper.values import BOTH, NEITHER, ONLY_INCH, ONLY_METRIC
from keycourse.whole import values
from keycourse.whole.values import (
    ENDS_FIRST,
    FAR,
    GO,
    HUB_FIRST,
    NEAR,
    NO_TELLING,
    SHORT,
    doubt,
    job_of,
)
from taperkey.units import from_internal

NAME = "06-whole-job"
PAGE = PAGES[NAME]
CARDS = [issue_card(exercise=NAME, class_code="QQ-26", number=n) for n in range(1, 61)]
US_TON_KG = 907.18474  # 2,000 lb of 0.45359237 kg each, exactly


@pytest.mark.parametrize(
    ("keys", "dimension", "units", "places"),
    [
        (("06-seat", "06-pull"), "force", ("lbf", "kN"), (0, 1)),
        (("06-near-height", "06-far-height"), "length", ("in", "mm"), (4, 3)),
        (("06-taper",), "taper", ("in/ft", "mm/100 mm"), (4, 4)),
    ],
)
def test_a_number_is_carried_on_as_it_is_written_down(keys, dimension, units, places):
    for card in CARDS:
        right = right_answers(PAGE, card)
        for key in keys:
            shown = from_internal(right[key], dimension=dimension, unit=units[card.metric])
            assert shown == pytest.approx(round(shown, places[card.metric]), abs=1e-9)
    assert {card.metric for card in CARDS} == {True, False}


def test_heights_are_the_means_of_three_and_the_taper_is_what_they_lose_over_the_hub():
    for card in CARDS:
        right, job = right_answers(PAGE, card), job_of(card)
        for key, readings in (("06-near-height", job.near_in), ("06-far-height", job.far_in)):
            assert right[key] == pytest.approx(statistics.mean(readings), abs=0.00006)
        lost = abs(right["06-near-height"] - right["06-far-height"]) / job.base_in
        assert right["06-taper"] == pytest.approx(lost, abs=0.00001)


def test_a_jack_is_marked_in_the_tons_of_its_shop():
    """A metric jack in tonnes, to a tenth; another in US tons."""
    for card in CARDS:
        told = {fact.what: fact.value for fact in card_facts(card)}["Jacks in the crib"]
        marked = float(re.search(r"([\d.]+) (?:t|US tons)\b", told.replace("\u00a0", " "))[1])
        tons = job_of(card).rig.jack_tons
        wanted = tons * US_TON_KG / 1000 if card.metric else tons
        assert marked == pytest.approx(wanted, abs=0.051)
        assert marked == round(marked, 1)
        assert ("metric tons" in told) is card.metric
        assert told.startswith("one") is (job_of(card).rig.jacks == 1)


def test_a_card_says_of_faces_and_end_what_its_numbers_rest_on():
    """Grease lowers friction; a rod wants a tapped hole, a weld is for an end without one."""
    high = {"anti-seize, still wet": [], "brown with rust": []}
    for card in CARDS:
        job = job_of(card)
        told = {fact.what: fact.value.replace("\u00a0", " ") for fact in card_facts(card)}
        state, _, friction = told["Faces today"].partition(": friction ")
        low, _, most = friction.partition(" to ")
        assert float(low) == pytest.approx(job.friction_low, abs=0.0051)
        assert float(most) == pytest.approx(job.friction_high, abs=0.0051)
        high[state].append(float(most))
        assert (told["Old key, end that shows"] == "drilled and tapped") is job.tapped
        welded = "welded to the key" in told["Rig in the crib"]
        assert welded is not job.tapped
    assert max(high["anti-seize, still wet"]) < min(high["brown with rust"])


def test_the_end_where_the_old_key_is_higher_is_its_large_end_where_readings_tell():
    """It is pulled toward its large end; where the other end is it, the hub comes off first."""
    met = set()
    for card in CARDS:
        right, job = right_answers(PAGE, card), job_of(card)
        # over the key at the hub's two faces, or at its near face and at the end further out
        near, away = (
            (job.over_near_in, job.over_far_in)
            if job.over_far_in
            else (job.over_end_in, job.over_near_in)
        )
        told = abs(near - away) > 2 * job.over_good_in
        end = NO_TELLING if not told else NEAR if near > away else FAR
        met.add(end)
        assert right["06-large-end"] == end
        assert {
            NEAR: right["06-go"] in (GO, SHORT),
            FAR: right["06-go"] == HUB_FIRST,
            NO_TELLING: right["06-go"] == ENDS_FIRST,
        }[end]
    assert met == {NEAR, FAR, NO_TELLING}


@pytest.mark.parametrize("sign", [1, -1])
def test_twice_what_a_reading_is_good_to_tells_no_end(sign):
    card = next(card for card in CARDS if job_of(card).over_far_in)
    job = job_of(card)
    for share, end in ((1.9, NO_TELLING), (2.1, NEAR if sign > 0 else FAR)):
        near_in = job.over_far_in + sign * share * job.over_good_in
        other = replace(card, readings=replace(job, over_near_in=near_in))
        assert values.large_end(other, {}) == end


def test_the_taper_agrees_with_a_standard_within_two_standard_uncertainties():
    met = set()
    for card in CARDS:
        right, job = right_answers(PAGE, card), job_of(card)
        twice = 2 * math.sqrt(2) * job.height_sd_in / job.base_in
        fits = tuple(abs(right["06-taper"] - one) <= twice for one in (1 / 96, 1 / 100))
        assert (
            right["06-standard"]
            == {
                (True, False): ONLY_INCH,
                (False, True): ONLY_METRIC,
                (True, True): BOTH,
                (False, False): NEITHER,
            }[fits]
        )
        met.add(fits)
    assert len(met) > 1


def test_a_card_says_the_taper_of_its_drawing():
    """1/8 in for each foot is 1:96; a metric drawing has 1:100."""
    for card in CARDS:
        told = {fact.what: fact.value for fact in card_facts(card)}
        n = {"inch": 96, "metric": 100}[card.drive.system]
        assert told["Taper of the drive, by its drawing"] == f"1:{n}"


def test_a_key_goes_in_by_its_height_over_the_taper():
    """1:n means n of travel for each 1 of height, in whatever unit."""
    for card in CARDS:
        right, job = right_answers(PAGE, card), job_of(card)
        n = values.cut_ratio(card, right)
        travel = job.allowance_in * n
        assert values.travel_to_home(card, right) == pytest.approx(travel)
        assert right["06-stand-out"] == pytest.approx(job.outside_in + travel)
        left = job.stands_out_in - job.outside_in - job.left_to_drive_in
        assert left > 0
        assert right["06-still-to-file"] == pytest.approx(left / n)
        high = max(right["06-near-height"], right["06-far-height"])
        # at the mouth the slot's height and the allowance; from there it gets higher outside
        assert right["06-blank-height"] == pytest.approx(
            high + job.allowance_in + job.outside_in / n, abs=1e-9
        )


def test_what_was_read_over_the_old_key_stands_on_the_card_in_its_own_unit():
    """A caliper to thousandths of an inch, or to hundredths of a millimeter."""
    for card in CARDS:
        job, scale = job_of(card), 25.4 if card.metric else 1.0
        told = {fact.what: fact.value.replace("\u00a0", " ") for fact in card_facts(card)}
        read = {what: text for what, text in told.items() if what.startswith("Old key still in")}
        near = read.pop("Old key still in: over shaft and key, at the hub face that shows")
        assert re.fullmatch(r"\d+\.\d\d mm" if card.metric else r"\d+\.\d\d\d in", near)
        half = 0.0051 if card.metric else 0.00051
        assert float(near.split()[0]) == pytest.approx(job.over_near_in * scale, abs=half)
        away = job.over_far_in or job.over_end_in
        ((_, text),) = read.items()
        assert float(text.split()[0]) == pytest.approx(away * scale, abs=half)
        good = re.fullmatch(r"±([\d.]+) (?:in|mm)", told["Each of these readings is good to"])
        assert float(good[1]) == pytest.approx(job.over_good_in * scale, abs=half)


def test_the_weakest_link_decides_and_what_it_has_left_over_the_pull():
    for card in CARDS:
        right = right_answers(PAGE, card)
        links = [load for name, load in job_of(card).loads if name != "jacks"]
        least = min(*links, right["06-jacks"])
        assert right["06-margin"] == pytest.approx(least - right["06-pull"])
        if right["06-go"] in (GO, SHORT):
            assert right["06-go"] == (GO if least >= right["06-pull"] else SHORT)


def test_a_pull_typed_ten_times_too_small_never_makes_the_rig_carry_it():
    met = 0
    for card in CARDS:
        right = right_answers(PAGE, card)
        if right["06-go"] != SHORT:
            continue
        typed = {
            one.key: show_answer(one.on(card), right[one.key])
            for one in PAGE.questions
            if not one.by_assessor
        }
        pull = PAGE.question("06-pull").on(card)
        typed |= {"06-pull": show_answer(pull, right["06-pull"] / 10), "06-go": GO}
        found = {one.key: one for one in judge_page(PAGE, card, typed)}
        if found["06-pull"].state != "slip":
            continue
        met += 1
        assert found["06-go"].mark == 0
        assert found["06-go"].critical
    assert met > 3


def test_go_is_refused_where_only_somebody_elses_numbers_say_it():
    card = next(card for card in CARDS if right_answers(PAGE, card)["06-go"] == SHORT)
    right = right_answers(PAGE, card)
    assert values.go(card, right) == SHORT
    with pytest.raises(LookupError, match="does not make this rig carry the pull$"):
        values.go(card, right | {"06-pull": 1.0})


def ordinary():
    return next(
        card
        for card in CARDS
        if right_answers(PAGE, card)["06-go"] == GO and not card.metric and not doubt_of(card)
    )


def doubt_of(card, given=None) -> str:
    return doubt(card, right_answers(PAGE, card) | (given or {}))


EDGE = "06-standard: the taper lies on the edge of agreeing"


@pytest.mark.parametrize("standard", [1 / 96, 1 / 100])
@pytest.mark.parametrize(
    ("share", "near"),
    [
        (0.0, False),
        (0.68, False),
        (0.72, True),
        (1.0, True),
        (1.38, True),
        (1.42, False),
        (30.0, False),
    ],
)
def test_a_taper_agrees_plainly_with_a_standard_or_plainly_not(standard, share, near):
    """As a share of two standard uncertainties, worked here: two heights over their distance."""
    card = ordinary()
    job = job_of(card)
    twice = 2 * math.sqrt(2) * job.height_sd_in / job.base_in
    other = 1 / 96 if standard == 1 / 100 else 1 / 100
    found = []
    for sign in (1, -1):
        measured = standard + sign * share * twice
        if not 0.69 < abs(measured - other) / twice < 1.41:  # else it is near the other one
            found.append(doubt_of(card, {"06-taper": measured}) == EDGE)
    assert set(found) == {near}


@pytest.mark.parametrize(("share", "near"), [(1.05, True), (1.0, True), (1.07, False)])
def test_the_weakest_link_is_plainly_the_weakest(share, near):
    card = ordinary()
    right = right_answers(PAGE, card)
    weakest = min(right["06-jacks"], *(load for _, load in job_of(card).loads))
    loads = tuple(
        (name, weakest * share if turn == 1 else 10 * weakest)
        for turn, (name, _) in enumerate(job_of(card).loads)
    )
    given = {"06-jacks": weakest, "06-pull": weakest / 2}
    other = replace(card, readings=replace(job_of(card), loads=loads))
    found = doubt(other, right | given)
    assert (found == "06-weakest: two links carry nearly the same") is near


@pytest.mark.parametrize(
    ("share", "near"), [(0.9, False), (0.93, True), (1.0, True), (1.07, True), (1.082, False)]
)
def test_the_rig_carries_the_pull_plainly_or_plainly_not(share, near):
    card = ordinary()
    right = right_answers(PAGE, card)
    weakest = min(right["06-jacks"], *(load for _, load in job_of(card).loads))
    found = doubt_of(card, {"06-pull": weakest / share})
    assert found == ("06-go: the weakest link carries nearly the high pull" if near else "")


@pytest.mark.parametrize(
    ("share", "near"), [(0.0, False), (0.74, False), (0.77, True), (1.3, True), (1.5, False)]
)
def test_what_is_read_over_the_old_key_tells_the_larger_end_plainly_or_not(share, near):
    card = next(card for card in CARDS if job_of(card).over_far_in and not doubt_of(card))
    job = job_of(card)
    for sign in (1, -1):
        near_in = job.over_far_in + sign * share * 2 * job.over_good_in
        other = replace(card, readings=replace(job, over_near_in=near_in))
        found = doubt(other, right_answers(PAGE, card))
        assert found == ("06-large-end: the readings nearly tell" if near else "")
