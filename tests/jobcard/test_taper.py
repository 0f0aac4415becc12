"""The stations of exercise 02: inside the hub, and within reach of the gauge on the card."""

from __future__ import annotations

import pytest

from coursework.course import card_facts, issue_card
from keycourse.measure.card import FIRST_STATION_IN
from keycourse.taper.card import StationReadings
from taperkey.units import parse_quantity

CLASSES = ("QQ-26", "NIGHT-7")
CARDS = [(code, number) for code in CLASSES for number in range(1, 301)]


def inches(text: str) -> float:
    return parse_quantity(text, dimension="length", default_unit="in", label="fact").value


@pytest.fixture(scope="module")
def cards():
    return [issue_card(exercise="02-taper", class_code=code, number=one) for code, one in CARDS]


def test_the_last_station_lies_inside_the_hub_and_within_reach(cards) -> None:
    for card in cards:
        stations = card.read(StationReadings)
        deepest = FIRST_STATION_IN + stations.distances_in[-1]
        assert deepest < card.drive.hub_length_in
        assert deepest <= stations.reach_in + 1e-9


def test_the_card_says_the_length_and_the_reach_that_its_stations_keep(cards) -> None:
    for card in cards:
        said = {fact.what: fact.value for fact in card_facts(card)}
        length = inches(said["Length of the slot in the hub"])
        reach = inches(said["Telescoping gauge at hand: its handle reaches in from the hub face"])
        inside = [label.split(" inside")[0] for label in said if label.endswith("inside the mouth")]
        deepest = max(inches(label.removeprefix("Height ")) for label in inside)
        assert deepest < min(length, reach)


def test_both_handles_and_both_systems_are_met(cards) -> None:
    met = {(card.metric, round(card.read(StationReadings).reach_in)) for card in cards}
    assert met == {(False, 6), (False, 10), (True, 6), (True, 10)}
