"""The key to draw on a job card: sizes of the tables, friction inside the published spread."""

import pytest

from coursework.course import draw_card
from keycourse.pull.card import SMALLEST_SHAFT_IN
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


def test_the_height_goes_with_the_standard_taper_either_way(cards) -> None:
    ways = set()
    for card in cards:
        case = card.readings
        taper = (case.near_height_in - case.far_height_in) / case.base_in
        # two readings of 0.0003 in each over 5 in and more
        assert abs(abs(taper) - card.drive.standard_taper_in_per_in) < 0.0004
        ways.add(taper > 0)
    assert ways == {True, False}
