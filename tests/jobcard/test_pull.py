"""The key to draw on a job card: sizes of the tables, friction inside the published spread."""

from collections import Counter

import pytest

from coursework.course import draw_card, issue_card
from keycourse.pull.card import SMALLEST_SHAFT_IN
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


def test_the_key_was_made_to_the_standard_taper(cards) -> None:
    for card in cards:
        case = card.readings
        taper = case.made_drop_in / case.made_base_in
        # a reading of 0.0003 in over 5 in and more, three of them
        assert abs(taper - card.drive.standard_taper_in_per_in) < 0.0002


def test_what_was_taken_on_the_key_goes_with_its_taper_either_way(cards) -> None:
    """1/2 in of a 1:96 key shows 0.005 in; each reading is within three of its deviations."""
    ways = set()
    for card in cards:
        ends = card.readings.ends
        larger = ends.larger_here_in
        if larger is None:
            assert ends.out_in == 0
            continue
        base = ends.apart_in or ends.out_in
        expected = card.drive.standard_taper_in_per_in * base
        assert abs(abs(larger) - expected) < 2 * ends.good_in or abs(larger + expected) < (
            2 * ends.good_in
        )
        ways.add((larger > 0, bool(ends.far_in), ends.pitted))
    assert {(way, far, False) for way in (True, False) for far in (True, False)} <= ways


def test_a_fair_share_of_cards_is_reversed_and_of_others_cannot_be_told() -> None:
    issued = [issue_card(class_code="QQ-26", exercise="05-pull", number=n) for n in range(1, 201)]
    shares = Counter(str(large_end(card, {})) for card in issued)
    assert 0.2 <= shares[NO_TELLING] / len(issued) <= 0.3
    assert 0.2 <= shares[FAR] / len(issued) <= 0.35
    assert 0.4 <= shares[NEAR] / len(issued) <= 0.6


def test_where_the_readings_cannot_tell_a_difference_is_well_inside_what_they_may_be_off() -> None:
    seen = set()
    for number in range(1, 201):
        card = issue_card(class_code="QQ-26", exercise="05-pull", number=number)
        larger = card.readings.ends.larger_here_in
        beyond = None if larger is None else abs(larger) / card.readings.ends.limit_in
        if large_end(card, {}) == NO_TELLING:
            assert beyond is None or beyond < 0.76
            seen.add(beyond is None)
        else:
            assert beyond is not None
            assert beyond > 1.39
    assert seen == {True, False}
