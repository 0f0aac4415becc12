"""The tools of the measuring bench: ranges, reach, flats, lock, own error, and kept records."""

import json
import math

import numpy as np
import pytest

from keycourse.measure.bench.book import SLOT_SIZES, MeasuringBook, practice_slot
from keycourse.measure.bench.lookback import found_on_standard_in
from keycourse.measure.bench.measuring import start_measuring
from keycourse.measure.bench.reading import measure, on_its_standard, why_not, widths_of
from keycourse.measure.bench.slot import SlotParameters, draw_slot
from keycourse.measure.bench.tools import own_error_in, tool_named
from keycourse.measure.bench.walls import Walls, draw_walls, over_flats_in
from taperkey import practice

PERFECT = {"form_error_in": 0.0, "waviness_in": 0.0, "high_spot_count": 0}
SQUARE = [(0.05, 0.0), (-0.05, 0.0)]


@pytest.fixture
def slot():
    return draw_slot(parameters=SlotParameters(**PERFECT), seed=1)


def read(slot, **choices):
    plain = {"slot": slot, "station_in": 4.0, "seed": 1, "tools_seed": 1, "way": SQUARE}
    return measure(**{**plain, **choices})


# which tool goes in


def test_ranges_are_those_of_tm_9_243():
    """US Army TM 9-243, p. 16-3: small-hole gauges 1/8 to 1/2 in, telescoping ones up to 6 in."""
    assert practice.span("small_hole_range") == (1 / 8, 1 / 2)
    assert practice.span("telescoping_range")[1] == 6.0
    assert tool_named("small-hole gauge").most_in == 0.5
    assert tool_named("telescoping gauge").most_in == 6.0


@pytest.mark.parametrize(
    ("tool", "opening", "station", "said"),
    [
        ("small-hole gauge", 0.51, 0.0, "does not touch both sides: it ends at 0.5 in."),
        ("small-hole gauge", 0.12, 0.0, "does not go in: it starts at 0.125 in."),
        ("small-hole gauge", 0.4, 2.5, "does not reach there: it reaches 2 in."),
        ("telescoping gauge", 0.3, 0.0, "does not go in: it starts at 0.3125 in."),
        ("inside micrometer", 1.4, 0.0, "does not go in: it starts at 1.5 in."),
        ("caliper-type inside micrometer", 0.19, 0.0, "does not go in: it starts at 0.2 in."),
        ("caliper-type inside micrometer", 1.0, 1.0, "does not reach there: it reaches 0.875 in."),
        ("caliper", 1.0, 0.75, "does not reach there: it reaches 0.625 in."),
    ],
)
def test_a_tool_that_does_not_measure_there_says_why(tool, opening, station, said):
    words = why_not(tool=tool, of="height", opening_in=opening, station_in=station)
    assert words == f"The {tool} {said}"


def test_every_practice_slot_has_tools_for_height_and_widths_at_the_mouth_and_inside():
    for size in SLOT_SIZES:
        p = practice_slot(seed=3, size=size).parameters
        for of, opening in (("height", p.mouth_height_in), ("keyway", p.hub_width_in)):
            for station in (0.0, 2.0):
                fits = [
                    tool
                    for tool in ("telescoping gauge", "inside micrometer", "small-hole gauge")
                    if not why_not(tool=tool, of=of, opening_in=opening, station_in=station)
                ]
                assert fits, (size, of, station)
        inside = [
            tool
            for tool in ("inside micrometer", "caliper-type inside micrometer")
            if not why_not(tool=tool, of="height", opening_in=p.mouth_height_in, station_in=0.0)
        ]
        # between 2 in and the largest practice slot only the one with rods goes in
        assert inside == ["inside micrometer" if "2" in size else "caliper-type inside micrometer"]


def test_round_ends_go_into_the_smallest_hole_of_their_gauge():
    """Ends ground to less than half of the smallest span, or they would not go in."""
    for tool in ("telescoping gauge", "small-hole gauge", "inside micrometer"):
        one = tool_named(tool)
        for opening in np.linspace(one.least_in, min(one.most_in, 4.0), 40):
            smallest = max((m for m in one.members if m <= opening), default=one.least_in)
            assert 0 < one.end_radius_in(opening) < smallest / 2


# flats and walls


def test_flats_read_small_in_a_round_hole_by_the_sagitta():
    """Two circle segments: D - s = 2 h with h = R - sqrt(R^2 - (b/2)^2); nothing without a flat."""
    for diameter, flat in ((0.5, 0.02), (1.0, 0.1), (0.25, 0.05)):
        radius = diameter / 2
        sagitta = radius - math.sqrt(radius**2 - (flat / 2) ** 2)
        read_in = over_flats_in(diameter_in=diameter, flat_in=flat)
        assert diameter - read_in == pytest.approx(2 * sagitta, abs=1e-12)
    assert over_flats_in(diameter_in=0.5, flat_in=0.0) == 0.5
    with pytest.raises(ValueError, match=r"^flat is 0\.6 in; it must be from 0 to 0\.5 in\.$"):
        over_flats_in(diameter_in=0.5, flat_in=0.6)


def test_straight_jaws_bridge_a_hollow_that_a_round_end_finds():
    walls = Walls(
        length_in=4.0, width_in=1.0, hollow_in=0.004, hollow_at_in=2.0, hollow_half_in=0.5
    )
    assert walls.width_at_in(2.0) == pytest.approx(1.004)
    # a parabola: at half of its half length three quarters of the depth are left
    assert walls.tightest_in(1.75, 2.25) == pytest.approx(1.0 + 0.003)
    assert walls.tightest_in(1.0, 3.0) == pytest.approx(1.0)


def test_bell_mouth_and_burr_are_at_the_mouth_only():
    walls = Walls(length_in=4.0, width_in=1.0, bell_in=0.004, bell_length_in=0.5, burr_in=0.003)
    assert walls.width_at_in(0.0) == pytest.approx(1.004)
    assert walls.width_at_in(0.25) == pytest.approx(1.001)
    assert walls.width_at_in(0.5) == walls.width_at_in(3.0) == 1.0
    assert walls.width_at_in(0.0, stoned=False) == pytest.approx(1.001)
    assert walls.width_at_in(0.25, stoned=False) == pytest.approx(1.001)


def worn_slot(what):
    for seed in range(1, 80):
        slot = draw_slot(parameters=SlotParameters(**PERFECT), seed=seed)
        walls = widths_of(slot)["keyway"]
        if all((getattr(walls, name) > 0) is (name in what) for name in
               ("bell_in", "burr_in", "hollow_in")):  # fmt: skip
            return slot, walls
    raise AssertionError(what)


def test_a_caliper_bears_on_a_burr_until_it_is_stoned_off():
    slot, walls = worn_slot({"burr_in"})
    taken = {"of": "keyway", "tool": "caliper", "station_in": 0.5, "way": [(0.0, 0.0)]}
    before, after = read(slot, **taken), read(slot, stoned=True, **taken)
    assert before.span_in == pytest.approx(walls.width_in - walls.burr_in, abs=1e-9)
    assert after.span_in == pytest.approx(walls.width_in, abs=1e-9)


def test_a_gauge_sees_a_bell_mouth_and_a_caliper_reads_beyond_it():
    slot, walls = worn_slot({"bell_in"})
    gauge = read(slot, of="keyway", station_in=0.0)
    jaws = read(slot, of="keyway", tool="caliper", station_in=0.6, way=[(0.0, 0.0)])
    # rocked over the parabola it turns a little aside of square
    assert gauge.span_in == pytest.approx(walls.width_in + walls.bell_in, abs=2e-5)
    assert jaws.span_in == pytest.approx(walls.width_in, abs=1e-6)


def test_a_gauge_set_in_a_hollow_does_not_come_out_as_it_was_set():
    slot, walls = worn_slot({"hollow_in"})
    reading = read(slot, of="keyway", station_in=walls.hollow_at_in)
    assert reading.way_out == "pushed shut"
    # drawn out leaning by 0.05 rad, ends of 0.5 in: its height is the width beyond the hollow
    kept = 1.0 + (reading.span_in + reading.hand_in - 1.0) * math.cos(0.05)
    assert kept == pytest.approx(walls.width_in, abs=1e-6)


def test_a_keyseat_has_no_wear_and_the_same_seed_the_same_walls():
    for seed in range(20):
        choices = {"seed": seed, "width_in": 1.5, "length_in": 8.0}
        seat = draw_walls(which="keyseat", **choices)
        assert (seat.bell_in, seat.burr_in, seat.hollow_in) == (0.0, 0.0, 0.0)
        assert draw_walls(which="keyway", **choices) == draw_walls(which="keyway", **choices)


# the way out


def test_a_lock_that_just_drags_keeps_the_setting(slot):
    for tightness in (0.35, 0.5, 0.65):
        reading = read(slot, tightness=tightness)
        assert (reading.way_out, reading.hand_in, reading.note) == ("", 0.0, "")


def test_a_loose_lock_springs_out_more_often_than_it_slips_shut(slot):
    ways = [read(slot, tightness=0.1, seed=f"s{i}") for i in range(200)]
    assert {one.way_out for one in ways} == {"sprang out", "slipped shut"}
    out = [one for one in ways if one.way_out == "sprang out"]
    assert all(one.hand_in > 0 for one in out)
    assert all(one.hand_in < 0 for one in ways if one.way_out == "slipped shut")
    assert len(out) > 100
    barely = [abs(read(slot, tightness=0.349, seed=f"s{i}").hand_in) for i in range(50)]
    assert max(barely) < 1e-5  # nothing at the edge of loose: no jump


def test_a_hard_lock_keeps_the_span_it_went_in_with_and_scratches(slot):
    reading = read(slot, tightness=1.0, way=[(0.08, 0.05), (-0.08, 0.05), (-0.08, 0.0)])
    first = 0.6 + (float(slot.height_in(4.0)) - 0.6) / (math.cos(0.08) * math.cos(0.05))
    assert reading.span_in + reading.hand_in == pytest.approx(first, abs=3e-4)  # taper
    assert reading.way_out == "scraped"
    assert "scratches" in reading.note
    square = read(slot, tightness=1.0, way=[(0.0, 0.0)])
    assert (square.way_out, square.hand_in) == ("", 0.0)


def test_a_slot_that_closes_toward_you_pushes_a_straight_gauge_shut():
    """To the opening at the mouth; leaning enough it comes out as it was set."""
    turned = draw_slot(parameters=SlotParameters(taper_in_per_in=-1 / 96, **PERFECT), seed=1)
    straight = read(turned, station_in=1.0)
    assert straight.way_out == "pushed shut"
    leaning = read(turned, station_in=1.0, way=[*SQUARE, (0.0, 0.3)])
    assert leaning.way_out == ""
    end = 0.6 + (straight.span_in + straight.hand_in - 0.6) * math.cos(0.05)
    assert end == pytest.approx(1.0, abs=1e-6)  # drawn out leaning as it was left, by 0.05 rad


# own error and scatter


def test_own_error_is_in_every_reading_alike_and_repeating_does_not_show_it(slot):
    seed = next(s for s in range(50) if own_error_in(seed=s, instrument="micrometer") > 0.0006)
    error = own_error_in(seed=seed, instrument="micrometer")
    shown = [read(slot, seed=f"r{i}", tools_seed=seed).shown_in for i in range(300)]
    none = next(s for s in range(50) if not own_error_in(seed=s, instrument="micrometer"))
    plain = [read(slot, seed=f"r{i}", tools_seed=none).shown_in for i in range(20)]
    assert [one - other for one, other in zip(shown, plain, strict=False)] == pytest.approx(
        [error] * 20, abs=1e-12
    )
    true = read(slot).span_in
    assert np.mean(shown) - true == pytest.approx(error, abs=4 * 0.00065 / math.sqrt(300))


def test_a_standard_shows_the_own_error(slot):
    seed = next(s for s in range(50) if own_error_in(seed=s, instrument="micrometer") < -0.0006)
    error = own_error_in(seed=seed, instrument="micrometer")
    tried = [
        on_its_standard(tool="telescoping gauge", size_in=1.0, seed=i, tools_seed=seed).shown_in
        for i in range(200)
    ]
    assert np.mean(tried) - 1.0 == pytest.approx(error, abs=4 * 0.00022 / math.sqrt(200))


def test_one_tool_in_three_has_no_error_and_each_stays_in_its_range():
    errors = [own_error_in(seed=s, instrument="micrometer") for s in range(600)]
    none = sum(not one for one in errors) / 600
    assert none == pytest.approx(1 / 3, abs=4 * math.sqrt(2 / 9 / 600))
    least, most = practice.span("tool_error")
    assert all(least - 1e-9 <= abs(one) <= most + 1e-9 for one in errors if one)
    assert abs(sum(one > 0 for one in errors) - sum(one < 0 for one in errors)) < 4 * 20
    steps = {round(abs(own_error_in(seed=s, instrument="caliper")), 4) for s in range(60)}
    assert steps == {0.0, 0.001, 0.002}


def book_with_error():
    for seed in range(100):
        if own_error_in(seed=seed, instrument="micrometer") > 0.0006:
            return MeasuringBook(slot=practice_slot(seed=seed), seed=seed)
    raise AssertionError


def test_the_end_tells_own_error_and_scatter_apart():
    book = book_with_error()
    for station in (0.0, 0.0, 4.0):
        book.take(station_in=station, keyway_angle_rad=math.pi, way=SQUARE, tightness=0.5)
        book.write_down(book.shown_words(book.waiting))
    said = " ".join(book.hidden_in_words())
    error = own_error_in(seed=book.session.seed, instrument="micrometer")
    assert f"The micrometer's own error: {1000 * error:.1f} thousandths high" in said
    assert "You did not try it on a standard" in said
    assert "The tool's own error is not in it." in said
    for _ in range(3):
        book.try_zero(tool="telescoping gauge")
        book.write_down(book.shown_words(book.waiting))
    said = " ".join(book.hidden_in_words())
    assert "On its standard you found it" in said
    assert "With what the standard showed taken off, the means are: at 0 in" in said
    assert found_on_standard_in(book)["micrometer"] == pytest.approx(error, abs=0.0007)
    numbers = book.numbers()
    assert (numbers["zero_tries"], numbers["left_leaning"], numbers["stations"]) == (3, 0, 2)


# kept records


def test_a_record_of_the_first_model_keeps_its_values_and_goes_on(slot):
    old = {
        "bench": "measuring",
        "seed": 5,
        "steps": [
            {"do": "read", "station_in": 2.0, "tilt_rad": 0.1, "rock_to_rad": -0.1},
            {"do": "read", "station_in": 2.0, "tilt_rad": 0.1, "tightness": 0.1},
            {"do": "slide"},
            {"do": "strike out", "number": 2, "why": ""},
        ],
    }
    session = start_measuring(slot=slot, seed=1).resumed(old)
    first = session.readings()[0]
    assert first.own_error_in == 0.0
    assert first.lean_cost_in == (0.0, 0.0)
    on = session.read(model=2, station_in=2.0, way=SQUARE).try_zero(tool="caliper", size_in=1.0)
    again = start_measuring(slot=slot, seed=1).resumed(json.loads(json.dumps(on.record())))
    assert again.readings() == on.readings()
    assert again.readings()[:3] == session.readings()
    assert again.struck_out() == frozenset({2})


def test_a_record_of_another_model_is_refused_in_one_sentence(slot):
    with pytest.raises(ValueError, match=r"^model of the bench is 3; it must be "):
        start_measuring(slot=slot, seed=1).read(model=3, station_in=2.0)
