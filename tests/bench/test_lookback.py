"""The end of the measuring practice: what it says of widths, of each slip, and of old records.

What is said is compared with the hidden slot itself, which the bench never shows before.
"""

import json
import math

import pytest

from coursework.ink.shop import INCH, METRIC
from keycourse.measure.bench.book import MeasuringBook, practice_slot
from keycourse.measure.bench.lookback import bears
from keycourse.measure.bench.reading import widths_of
from keycourse.measure.bench.slot import SlotParameters, draw_slot

SQUARE = [(0.05, 0.0), (-0.05, 0.0)]
PERFECT = {"form_error_in": 0.0, "waviness_in": 0.0, "high_spot_count": 0}


def worn_slot(**walls):
    """Return a practice slot whose keyway has what is asked for, and nothing that is not."""
    for seed in range(500):
        slot = practice_slot(seed=seed)
        keyway = widths_of(slot)["keyway"]
        if all(bool(getattr(keyway, name)) == there for name, there in walls.items()):
            return slot
    raise AssertionError(walls)


def take(book, *, text=None, **choices):
    plain = {"station_in": 0.0, "keyway_angle_rad": math.pi, "way": SQUARE, "tightness": 0.5}
    reading = book.take(**{**plain, **choices})
    assert reading.taken, str(reading.note)
    return write(book, text), reading


def write(book, text=None):
    number = book.waiting
    assert book.write_down(text or book.shown_words(number), as_it_is=text is not None)[0]
    return book.notes[-1].value_in


def said(book):
    return "\n".join(book.hidden_in_words())


# widths


def test_what_is_worn_at_the_walls_is_told_with_what_it_is():
    slot = worn_slot(bell_in=True, burr_in=True, hollow_in=True)
    book, walls = MeasuringBook(slot=slot, seed=3), widths_of(slot)["keyway"]
    take(book, of="keyway", tool="caliper")
    told = said(book)
    bell, burr, hollow = (
        INCH.small(one) for one in (walls.bell_in, walls.burr_in, walls.hollow_in)
    )
    assert f"The keyway is bell-mouthed: {bell} wider at the mouth than inside." in told
    assert f"A burr of {burr} stood in at the mouth of the keyway. It was never stoned" in told
    assert f"about {INCH.roughly(walls.hollow_at_in)} from the mouth, by {hollow}." in told
    assert "of the keyseat" not in told, "nobody measured it"
    assert "Straight jaws touch the narrowest place that they cover." in told
    book.stone()
    assert "You stoned it off." in said(book)


def test_of_straight_walls_nothing_is_told_and_round_ends_are_no_jaws():
    slot = worn_slot(bell_in=False, burr_in=False, hollow_in=False)
    book = MeasuringBook(slot=slot, seed=3)
    take(book, of="keyway", tool="telescoping gauge")
    told = said(book)
    for word in ("bell-mouthed", "burr", "hollow"):
        assert word not in told
    assert "Straight jaws" not in told
    take(book, of="keyway", tool="caliper-type inside micrometer")
    assert "Straight jaws" in said(book)


def test_a_width_is_the_mean_of_its_readings_against_the_wall_there():
    slot = worn_slot(bell_in=True, burr_in=False)
    book, walls = MeasuringBook(slot=slot, seed=3), widths_of(slot)["keyway"]
    true = walls.width_at_in(1.0)
    write_as = (true + 0.002, true + 0.001)  # whoever writes so is told so
    for value in write_as:
        take(book, of="keyway", tool="telescoping gauge", station_in=1.0, text=f"{value:.5f} in")
    line = next(one for one in book.hidden_in_words() if one.startswith("Width of the keyway"))
    assert line.startswith("Width of the keyway at 1 in, telescoping gauge: mean of 2 readings ")
    assert f"true width there {INCH.height(true)}; {INCH.small(0.0015)} high." in line
    assert "Reading 1, 2 was not written down as the micrometer showed it." in said(book)
    numbers = book.numbers()
    assert (numbers["widths"], numbers["misread"], numbers["stations"]) == (2, 2, 0)
    assert "Scatter of your readings" not in said(book), "a width is no height"


def test_a_mean_that_cannot_be_told_from_the_true_one_is_near():
    slot = draw_slot(parameters=SlotParameters(**PERFECT), seed=1)
    book = MeasuringBook(slot=slot, seed=3)
    true = float(slot.height_in(2.0))
    take(book, station_in=2.0, text=f"{true + 0.0004:.5f} in")
    take(book, station_in=2.0, text=f"{true - 0.0004:.5f} in")
    assert "; as near as can be read." in said(book)
    take(book, station_in=2.0, text=f"{true - 0.0006:.5f} in")
    assert f"; {INCH.small(0.0002)} low." in said(book)


# slips


def test_clearance_that_stayed_out_is_told_by_where_the_keyway_was():
    """The hub rests on the shaft: at 90° half of the clearance is on the keyway's side."""
    slot = practice_slot(seed=5)
    clearance = slot.parameters.diametral_clearance_in
    book = MeasuringBook(slot=slot, seed=3)
    take(book)
    assert "of clearance stayed out" not in said(book)
    take(book, keyway_angle_rad=math.pi / 2)
    told = said(book)
    assert f"for 1 of them: up to {INCH.small(clearance / 2)} of clearance stayed out" in told
    take(book, keyway_angle_rad=0.0)
    told = said(book)
    assert f"for 2 of them: up to {INCH.small(clearance)} of clearance stayed out" in told
    assert f"The whole clearance is {INCH.height(clearance)}." in told


def test_what_the_lock_cost_is_told_with_its_sign():
    """Sprung out reads large, slipped shut small: the end says what the hand felt."""
    ways = {}
    for seed in range(60):
        book = MeasuringBook(slot=practice_slot(seed=5), seed=seed)
        _, reading = take(book, tightness=0.02)
        if reading.way_out and abs(reading.hand_in) > 0.001:
            ways.setdefault(reading.way_out, (book, reading))
    assert {"sprang out", "slipped shut"} <= set(ways)
    for way, size in (("sprang out", "large"), ("slipped shut", "small")):
        book, reading = ways[way]
        cost = INCH.small(abs(reading.hand_in))
        assert f"That made it {cost} too {size}." in said(book)
        assert book.numbers()["not_held"] == 1


@pytest.mark.parametrize(
    ("part", "tool", "word"), [(88.0, 68.0, "larger"), (68.0, 88.0, "smaller")]
)
def test_a_warm_part_reads_larger_and_a_warm_tool_smaller(part, tool, word):
    """Steel, 6.5 millionths a degree Fahrenheit: an inch, 20 degrees apart, 0.13 thousandths."""
    book = MeasuringBook(slot=practice_slot(seed=5), seed=3)
    take(book, part_temperature_f=part, tool_temperature_f=tool)
    line = next(one for one in book.hidden_in_words() if "part " in one)
    assert f"{INCH.small(0.00013)} {word}. Sizes are stated at" in line


# scatter


def test_readings_that_are_all_alike_leave_nothing_to_say_how_well_a_taper_is_known():
    slot = draw_slot(parameters=SlotParameters(**PERFECT), seed=1)
    book = MeasuringBook(slot=slot, seed=3)
    for station, text in ((0.0, "1.010 in"), (0.0, "1.010 in"), (4.0, "0.970 in")):
        take(book, station_in=station, text=text)
    base = next(one for one in book.hidden_in_words() if one.startswith("Base "))
    assert f"taper {INCH.taper(0.010)}, true {INCH.taper(slot.line()[1])}." in base
    assert "known to about" not in base
    take(book, station_in=0.0, text="1.014 in")
    base = next(one for one in book.hidden_in_words() if one.startswith("Base "))
    # 1.010, 1.010 and 1.014 at the mouth; two standard uncertainties of the two means' difference
    spread = math.sqrt((2 * (0.004 / 3) ** 2 + (0.008 / 3) ** 2) / 2)
    known = 2 * spread * math.sqrt(1 / 3 + 1) / 4.0
    assert f"; known to about ± {INCH.taper(known)}." in base


# a record of the first model, and another shop


def test_an_old_reading_that_never_passed_through_square_is_named():
    slot = draw_slot(parameters=SlotParameters(**PERFECT), seed=1)
    old = {"bench": "measuring", "seed": 5, "steps": [
        {"do": "read", "station_in": 2.0, "tilt_rad": 0.1, "rock_to_rad": -0.1},
        {"do": "read", "station_in": 2.0, "tilt_rad": 0.1, "rock_to_rad": 0.08},
        {"do": "slide"},
    ]}  # fmt: skip
    notes = [
        {"number": one, "text": "1.0 in", "value_in": 1.0, "agrees": True} for one in (1, 2, 3)
    ]
    book = MeasuringBook(slot=slot, seed=5)
    book.restore(json.loads(json.dumps({"session": old, "notes": notes})))
    told = said(book)
    assert "did not pass through square for reading 2, so it stayed too long" in told
    assert "micrometer's own error" not in told, "the first model had none"


def test_a_metric_shop_is_told_it_in_millimeters():
    slot = worn_slot(bell_in=True, burr_in=True, hollow_in=True)
    book = MeasuringBook(slot=slot, seed=3, units=METRIC)
    take(book, of="keyway", tool="caliper")
    take(book, keyway_angle_rad=0.0)
    told = said(book)
    assert f"bell-mouthed: {METRIC.small(widths_of(slot)['keyway'].bell_in)} wider" in told
    assert " in;" not in told
    assert "thousandths" not in told


def test_a_bar_that_bears_inside_says_so():
    book = MeasuringBook(slot=practice_slot(seed=5), seed=3)
    reading = book.slide(stand_out_in=2.0, keyway_angle_rad=math.pi)
    told = bears(book, reading)
    inside = reading.station_in >= 0.25
    assert ("the mouth is higher than the bar says" in told) == inside
