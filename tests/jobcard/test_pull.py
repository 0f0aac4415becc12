"""The key to draw on a job card: sizes of the tables, friction inside the published spread."""

from collections import Counter

import pytest

from coursework.course import draw_card, issue_card
from keycourse.pull.card import KINDS, RIG_TRAPS, SMALLEST_SHAFT_IN, traps_of
from keycourse.pull.values import FAR, NEAR, NO_TELLING, large_end
from taperkey.tables.rigging import friction_range, jack, jack_names
from taperkey.tables.threads import thread


@pytest.fixture(scope="module")
def cards():
    return [
        draw_card(class_code="QQ-26", exercise="05-pull", number=number) for number in range(1, 301)
    ]


def test_friction_lies_inside_its_row_of_the_table(cards) -> None:
    seen = set()
    for card in cards:
        row = friction_range(state=card.readings.faces)
        assert row.low <= card.readings.friction_low < card.readings.friction_high <= row.high
        clean = friction_range(state="lubricated")
        assert clean.low <= card.readings.drive_friction <= clean.high
        seen.add(card.readings.faces)
    assert seen == {"lubricated", "rusted"}


def test_the_rod_fits_the_key_and_the_jack_fits_the_rod(cards) -> None:
    hollow = {one.rated_tons: one.hole_in for one in map(_jack, jack_names()) if one.hole_in}
    for card in cards:
        case = card.readings
        rod = thread(name=case.parts.thread_name).diameter_in
        assert rod <= 0.76 * case.height_in
        assert case.width_in == card.drive.key_width_in
        if case.rig == "hollow-ram":
            assert case.jack_number == 1
            assert hollow[case.jack_rating] > rod
        else:
            assert case.jack_number == 2


def _jack(name: str):
    return jack(name=name)


def test_shafts_below_the_smallest_are_left_out_and_large_ones_are_not(cards) -> None:
    for card in cards:
        assert card.drive.shaft_diameter_in >= SMALLEST_SHAFT_IN[card.drive.system]
    assert max(card.drive.shaft_diameter_in for card in cards) == 12.0


def test_every_working_load_is_above_nothing_and_rounded_down(cards) -> None:
    for card in cards:
        for link in card.readings.listed:
            assert link.capacity_lbf > 0
            if not card.metric:
                assert link.capacity_lbf % 100 == pytest.approx(0)


def test_the_key_was_made_to_a_slim_taper_of_its_own(cards) -> None:
    """1:84 to 1:112, so that the angle is worked out and not remembered."""
    tapers = [card.readings.made_drop_in / card.readings.made_base_in for card in cards]
    # a reading of 0.0003 in over 4 in and more, three of them
    assert all(1 / 112 - 0.0003 < taper < 1 / 84 + 0.0003 for taper in tapers)
    within = sum(abs(taper - 1 / 96) < 0.0001 for taper in tapers)
    assert within < 0.15 * len(tapers)


def test_what_was_taken_on_the_key_goes_with_its_taper_either_way(cards) -> None:
    """1/2 in of a 1:96 key shows 0.005 in; both readings off, each by as much as it is good to."""
    ways = set()
    beyond = 0
    for card in cards:
        ends = card.readings.ends
        larger = ends.larger_here_in
        base = ends.apart_in or ends.out_in
        expected = card.readings.made_drop_in / card.readings.made_base_in * base
        off = 2 * ends.good_in + 0.0003 * base
        assert abs(abs(larger) - expected) < 2 * off  # the draws are cut off at six deviations
        beyond += abs(abs(larger) - expected) > off
        ways.add((larger > 0, bool(ends.far_in), ends.pitted))
    assert {(way, far, False) for way in (True, False) for far in (True, False)} <= ways
    assert beyond <= 0.01 * len(cards)


def test_a_fair_share_of_cards_is_reversed_and_of_others_cannot_be_told() -> None:
    issued = [issue_card(class_code="QQ-26", exercise="05-pull", number=n) for n in range(1, 201)]
    shares = Counter(str(large_end(card, {})) for card in issued)
    # as dealt, with what the other cards of a set hold: each on a fair share, none on most
    for way in (NO_TELLING, FAR, NEAR):
        assert 0.12 <= shares[way] / len(issued) <= 0.5


def test_where_the_readings_cannot_tell_a_difference_is_well_inside_what_they_may_be_off() -> None:
    told = set()
    for number in range(1, 201):
        card = issue_card(class_code="QQ-26", exercise="05-pull", number=number)
        beyond = abs(card.readings.ends.larger_here_in) / card.readings.ends.limit_in
        told.add(large_end(card, {}) != NO_TELLING)
        assert beyond > 1.39 if large_end(card, {}) != NO_TELLING else beyond < 0.76
    assert told == {True, False}


def test_each_set_of_traps_comes_with_each_way_a_hub_can_be_on() -> None:
    assert len(set(KINDS)) == 3 * 8
    for way, share in (("ordinary", 16), ("reversed", 16), ("cannot tell", 8)):
        assert sum(way in traps_of(kind) for kind in KINDS) == share
        assert {traps_of(kind) - {way, "short base"} for kind in KINDS if kind[0] == way} == {
            frozenset(one) for one in RIG_TRAPS
        }
