"""Section with clearance and the measuring bench, worked without a browser."""

from __future__ import annotations

import json
import math
import re

import pytest

from coursework.page.controls import MemoryStore
from keycourse.measure.bench.book import practice_slot
from keycourse.measure.bench.reading import widths_of
from keycourse.measure.bench.slot import SlotParameters, draw_slot
from keycourse.measure.faces import STORE_KEY, measuring_bench
from keycourse.measure.faces_section import section_explorer, section_of
from taperkey.formulas.measure import STEEL_EXPANSION_PER_DEGF


def words(box):
    return re.sub(r"<[^>]+>", " ", box.value)


class JsonStore(MemoryStore):
    """Keeps text, as a file would."""

    def get(self, key):
        kept = super().get(key)
        return None if kept is None else json.loads(kept)

    def set(self, key, value):
        super().set(key, json.dumps(value))


def at_the_bottom(bench, *, station=2.0):
    bench.angle.slider.value = 180
    bench.station.slider.value = station
    bench.tightness.slider.value = 50
    rock(bench)


def rock(bench, *, through=-5):
    """Roll it square, then swing it through square."""
    bench.roll.slider.value = 0
    bench.lean.slider.value = through


def write(bench):
    bench.entry.value = f"{bench.book.shown_in(bench.book.waiting):.4f}"


@pytest.mark.parametrize(
    ("angle", "gap", "left_out", "travel"),
    [(0, 0.0, 0.008, 0.768), (90, 0.004, 0.004, 0.384), (180, 0.008, 0.0, 0.0)],
)
def test_section_numbers(angle, gap, left_out, travel):
    result = section_of(clearance_thou=8, angle_deg=angle)
    assert result.gap_in == pytest.approx(gap, abs=1e-12)
    assert result.left_out_in == pytest.approx(left_out, abs=1e-12)
    assert result.travel_in == pytest.approx(travel, abs=1e-9)


def test_section_redraws_once_for_each_change():
    face = section_explorer().face
    before = face.redraws
    face.inputs["angle_deg"].slider.value = 180
    assert face.redraws == before + 1
    assert "All of the clearance is in the reading" in words(face.words)
    face.inputs["angle_deg"].box.value = 0  # typed instead
    assert face.redraws == before + 2
    assert face.inputs["angle_deg"].slider.value == 0
    assert "8.0 thousandths too thin" in words(face.words)
    assert "0.77 in further" in words(face.words)


def test_every_control_has_a_name_and_a_tip():
    face = section_explorer().face
    for control in face.inputs.values():
        assert control.box.description
        assert control.box.tooltip
        assert control.slider.tooltip


def test_gauge_must_be_rocked_through_square():
    bench = measuring_bench(seed=5).face
    bench.station.slider.value = 1.0
    assert "leaning" in words(bench.gauge_words)
    bench.lean.slider.value = 2.0
    assert "has not passed through square" in words(bench.gauge_words)
    bench.lean.slider.value = -1.0
    assert (
        "has passed through square along the slot, but across the slot it is left at 3.0°."
        in words(bench.gauge_words)
    )
    bench.put_in()
    rock(bench)
    assert "has passed through square in both planes." in words(bench.gauge_words)
    bench.station.slider.value = 6.0
    bench.lean.slider.value = 8.0
    assert "handle touches the edge of the mouth at 3.9°" in words(bench.gauge_words)


@pytest.mark.parametrize(
    ("along", "across"), [(5.0, 0.0), (0.0, 3.0), (5.0, 3.0)], ids=["along", "across", "both"]
)
def test_a_lean_left_in_either_plane_reads_long(along, across):
    """(h - 2r)(1/(cos a cos b) - 1): ends of r = 0.3 in, of the gauge from 3/4 in on."""
    square, leaning = measuring_bench(seed=5).face, measuring_bench(seed=5).face
    for bench in (square, leaning):
        at_the_bottom(bench, station=1.0)
    square.measure()
    leaning.put_in()
    if not along:
        leaning.lean.slider.value = -5
    if not across:
        leaning.roll.slider.value = -0.1
    leaning.measure()
    true = float(leaning.book.session.slot.height_in(1.0))
    a, b = math.radians(along), math.radians(across)
    expected = (true - 0.6) * (1 / (math.cos(a) * math.cos(b)) - 1)
    first, second = (bench.book.session.readings()[0] for bench in (square, leaning))
    assert second.span_in - first.span_in == pytest.approx(expected, abs=0.0003)  # taper and form
    write(leaning)
    leaning.reveal()
    said = words(leaning.hidden_words)
    assert ("left leaning along the slot" in said) is bool(along)
    assert ("left leaning across the slot" in said) is bool(across)


def test_reading_goes_from_micrometer_to_table():
    bench = measuring_bench(seed=5).face
    at_the_bottom(bench)
    bench.measure()
    assert "<svg" in bench.micrometer.value
    shown = f"{bench.book.shown_in(1):.4f}"
    assert shown not in bench.micrometer.value
    bench.measure()
    assert "Reading 1 is still on the micrometer" in words(bench.words)
    assert len(bench.book.session.readings()) == 1
    write(bench)
    assert "Reading 1 is written down." in words(bench.words)
    assert f"{shown} in" in words(bench.table)
    assert bench.micrometer.value == ""
    assert bench.entry.value == ""


def test_misread_is_refused_once_then_kept_as_it_is():
    bench = measuring_bench(seed=5).face
    at_the_bottom(bench)
    bench.measure()
    wrong = f"{bench.book.shown_in(1) - 0.001:.4f}"
    bench.entry.value = wrong
    assert "Look again." in words(bench.words)
    assert bench.book.notes == []
    assert bench.entry.value == wrong  # what was typed stays
    bench._write(pressed=True)  # leaving the box and pressing the button are one act
    assert bench.book.notes == []
    bench.as_it_is.click()
    assert [(n.text, n.agrees) for n in bench.book.notes] == [(wrong, False)]
    assert "Reading 1 was not written down as the micrometer showed it." in " ".join(
        bench.book.hidden_in_words()
    )


def test_hidden_is_shown_only_at_the_end_and_names_causes():
    bench = measuring_bench(seed=5).face
    bench.reveal()
    assert "Write down a reading first" in words(bench.hidden_words)
    slot = bench.book.session.slot
    true = f"{float(slot.height_in(0.0)):.4f}"
    bench.station.slider.value = 0.0
    bench.angle.slider.value = 0.0
    bench.tightness.slider.value = 0.0
    bench.measure()
    write(bench)
    assert true not in bench.widget.children[-1].value
    at_the_bottom(bench, station=4.0)
    for _ in range(2):
        rock(bench, through=-3)
        bench.measure()
        write(bench)
    bench.reveal()
    said = words(bench.hidden_words)
    assert f"true opening {true} in" in said
    assert "The keyway was not at the bottom for 1 of them" in said
    assert "Reading 1 was left leaning along the slot, by 5.0°:" in said
    assert "Reading 1 was left leaning across the slot, by 3.0°:" in said
    assert "Reading 2 was left leaning" not in said
    assert "Reading 1: The lock was too loose" in said
    assert "Base 4 in (0 to 4 in): taper" in said
    assert "Scatter of your readings at one place" in said
    assert "<svg" in bench.profile.value


def test_struck_out_reading_stays_readable_and_does_not_count():
    bench = measuring_bench(seed=5).face
    at_the_bottom(bench)
    bench.measure()
    write(bench)
    bench.strike.value = 1
    bench._strike_out()
    assert "struck out" in words(bench.table)
    assert bench.book.standing() == []
    assert len(bench.book.notes) == 1


def test_bench_comes_back_from_its_store():
    store = JsonStore()
    bench = measuring_bench(seed=5, store=store).face
    at_the_bottom(bench)
    bench.measure()
    write(bench)
    bench.lean.slider.value = -2
    bench.measure()  # on the micrometer, not written down
    again = measuring_bench(store=store).face
    assert again.book.notes == bench.book.notes
    assert again.book.waiting == 2
    assert again.book.shown_in(2) == bench.book.shown_in(2)
    assert again.table.value == bench.table.value
    assert "Your earlier readings are back." in words(again.words)
    kept = json.dumps(store.get(STORE_KEY))
    true = bench.book.session.slot.parameters
    assert f"{true.mouth_height_in}" not in kept


def test_damaged_record_is_said_and_the_bench_opens():
    store = MemoryStore()
    store.set(STORE_KEY, {"session": {"bench": "measuring", "seed": 5}, "notes": []})
    bench = measuring_bench(store=store).face
    assert bench.book.notes == []
    assert "The saved readings cannot be read" in words(bench.words)


def test_practice_slot_is_the_same_for_a_seed_and_differs_between_seeds():
    assert practice_slot(seed=1) == practice_slot(seed=1)
    assert practice_slot(seed=1).parameters != practice_slot(seed=2).parameters


def big_slot():
    return draw_slot(parameters=SlotParameters(mouth_height_in=1.75), seed=3)


def take_with(bench, tool):
    bench.tool.value = tool
    if tool != "taper bar":
        rock(bench, through=-3)
    bench.measure()


@pytest.mark.parametrize(
    ("tool", "within"),
    [("telescoping gauge", 0.002), ("inside micrometer", 0.002), ("taper bar", 0.004)],
)
def test_each_tool_gives_a_reading(tool, within):
    bench = measuring_bench(seed=5, slot=big_slot()).face
    at_the_bottom(bench)
    bench.stand_out.slider.value = 1.5
    take_with(bench, tool)
    (reading,) = bench.book.session.readings()
    assert reading.tool == tool
    assert "<svg" in bench.micrometer.value
    parallel = tool == "taper bar"
    true = float(bench.book.session.slot.height_in(0.0 if parallel else 2.0))
    expected = true + (1.5 / 96 if parallel else 0.0)
    assert bench.book.shown_in(1) == pytest.approx(expected, abs=within)  # hand and form error
    write(bench)
    assert tool in words(bench.table)


def test_parallel_tells_its_mouth_height_in_words():
    bench = measuring_bench(seed=5).face
    bench.angle.slider.value = 180
    bench.stand_out.slider.value = 0.75
    take_with(bench, "taper bar")
    assert "its large end stands 0.75 in out of the mouth" in words(bench.words)
    large_end = bench.book.shown_in(1)
    write(bench)
    mouth = large_end - 0.75 / 96
    said = words(bench.words)
    assert f"the mouth is {large_end:.4f} − 0.75/96 = {mouth:.4f} in." in said
    assert "Shaken, it bears" in said
    assert "stands out 0.75 in" in words(bench.table)
    bench.reveal()
    assert f"Reading 1, taper bar: mouth {mouth:.4f} in" in words(bench.hidden_words)
    assert "through square" not in words(bench.hidden_words)
    assert "<svg" in bench.profile.value


@pytest.mark.parametrize("tool", ["telescoping gauge", "inside micrometer", "taper bar"])
def test_hot_part_reads_longer_by_its_expansion(tool):
    cold, hot = (measuring_bench(seed=5, slot=big_slot()).face for _ in range(2))
    hot.conditions.part.slider.value = 168
    hot.conditions.tool.slider.value = 48
    for bench in (cold, hot):
        at_the_bottom(bench)
        take_with(bench, tool)
    before, after = (bench.book.session.readings()[0] for bench in (cold, hot))
    ratio = (1 + 100 * STEEL_EXPANSION_PER_DEGF) / (1 - 20 * STEEL_EXPANSION_PER_DEGF)
    longer = after.shown_in - before.shown_in
    assert longer == pytest.approx(before.span_in * (ratio - 1), abs=3e-9)  # rounded to 1e-9
    assert longer > 0.001
    write(hot)
    hot.reveal()
    assert "Reading 1: part 168 °F, tool 48 °F. That made it 1.3 thousandths larger." in words(
        hot.hidden_words
    )


def test_zero_error_is_in_the_reading_and_named_at_the_end():
    true, false = (measuring_bench(seed=5).face for _ in range(2))
    false.conditions.zero_error.slider.value = -2.0
    for bench in (true, false):
        at_the_bottom(bench)
        bench.measure()
    assert false.book.shown_in(1) - true.book.shown_in(1) == pytest.approx(-0.002, abs=1e-9)
    write(false)
    false.reveal()
    assert "showed -2.0 thousandths on its standard. The reading is that much too small." in words(
        false.hidden_words
    )


def test_opening_too_small_for_the_inside_micrometer_is_said():
    bench = measuring_bench(seed=5).face
    take_with(bench, "inside micrometer")
    assert "The inside micrometer does not go in: it starts at 1.5 in." in words(bench.words)
    assert (
        "What goes in here: telescoping gauge, caliper-type inside micrometer, caliper, taper bar."
        in words(bench.words)
    )
    assert bench.book.session.readings() == ()
    assert bench.book.waiting is None
    take_with(bench, "telescoping gauge")
    assert bench.book.waiting == 1


def test_mixed_tools_and_conditions_come_back_from_the_store():
    store = JsonStore()
    bench = measuring_bench(seed=5, slot=big_slot(), store=store).face
    at_the_bottom(bench)
    hands = {"telescoping gauge": 1.0, "inside micrometer": 0.0, "taper bar": 0.5}
    for count, (tool, hand) in enumerate(hands.items()):
        bench.conditions.hand.value = hand
        bench.conditions.zero_error.slider.value = 0.5 * count
        bench.conditions.part.slider.value = 68 + 30 * count
        take_with(bench, tool)
        if count < 2:
            write(bench)
    again = measuring_bench(slot=big_slot(), store=store).face
    assert again.book.session.readings() == bench.book.session.readings()
    assert [r.tool for r in again.book.session.readings()] == list(hands)
    assert again.table.value == bench.table.value
    assert again.book.waiting == 3
    assert again.micrometer.value == bench.micrometer.value
    assert again.tool.value == "taper bar"
    assert again.conditions.values() == bench.conditions.values()


def test_record_without_conditions_still_comes_back():
    step = {"do": "read", "station_in": 2.0, "tilt_rad": 0.1, "rock_to_rad": -0.1}
    old = {"bench": "measuring", "seed": 5, "steps": [step, {"do": "slide"}]}
    store = JsonStore()
    store.set(STORE_KEY, {"session": old, "notes": [], "revealed": False})
    bench = measuring_bench(store=store).face
    assert "Your earlier readings are back." in words(bench.words)
    first, second = bench.book.session.readings()
    plain = {
        "experience": 0.5,
        "zero_error_in": 0.0,
        "part_temperature_f": 68.0,
        "tool_temperature_f": 68.0,
    }
    assert bench.book.session.conditions(number=1) == plain
    explicit = {**old, "steps": [{**step, **plain}, {"do": "slide", **plain}]}
    store.set(STORE_KEY, {"session": explicit, "notes": [], "revealed": False})
    assert measuring_bench(store=store).face.book.session.readings() == (first, second)


def test_conditions_are_folded_at_first_and_open_by_a_button():
    bench = measuring_bench(seed=5).face
    folded = bench.conditions
    assert folded.inside.layout.display == "none"
    assert folded.button.description == "Conditions: as usual (show)"
    folded.button.click()
    assert folded.inside.layout.display is None
    assert folded.button.description == "Conditions: as usual (hide)"
    folded.part.slider.value = 212
    assert "(100 °C)" in words(folded.part.widget.children[1])


def test_controls_and_words_are_those_of_the_tool():
    bench = measuring_bench(seed=5, slot=big_slot()).face
    assert "Telescoping gauge in the slot" in bench.gauge_picture.value
    assert bench.stand_out.widget.layout.display == "none"
    bench.tool.value = "inside micrometer"
    assert bench.gauge_picture.layout.display == "none"
    assert "<svg" in bench.rocked_picture.value
    rock(bench)
    assert "The inside micrometer has passed through square in both planes." in words(
        bench.gauge_words
    )
    bench.tightness.slider.value = 0
    bench.measure()
    assert "The inside micrometer was too loose: it barely touched." in words(bench.words)
    bench.tool.value = "taper bar"
    assert bench.stand_out.widget.layout.display is None
    assert bench.lean.widget.layout.display == "none"
    assert "Slide it in until it is tight" in words(bench.gauge_words)


# slots and pages


def test_inside_micrometer_goes_into_the_larger_practice_slot():
    bench = measuring_bench(seed=5).face
    bench.size.value = "about 2 in"
    assert "The slot is about 2 in high now. Its page is still empty." in words(bench.slot_words)
    at_the_bottom(bench)
    take_with(bench, "inside micrometer")
    true = float(bench.book.session.slot.height_in(2.0))
    assert 1.95 < true < 2.1
    assert bench.book.shown_in(1) == pytest.approx(true, abs=0.003)  # hand, form error
    assert "<svg" in bench.micrometer.value


def test_each_size_keeps_its_own_page_and_both_come_back():
    store = JsonStore()
    bench = measuring_bench(seed=5, store=store).face
    at_the_bottom(bench)
    bench.measure()
    write(bench)
    small = bench.book.record()
    bench.size.value = "about 2 in"
    assert bench.book.notes == []
    at_the_bottom(bench)
    take_with(bench, "inside micrometer")
    write(bench)
    large = bench.book.record()
    again = measuring_bench(store=store).face
    assert again.size.value == "about 2 in"
    assert again.book.record() == large
    assert again.tool.value == "inside micrometer"
    again.size.value = "about 1 in"
    assert "Your earlier readings of it are back." in words(again.slot_words)
    assert again.book.record() == small
    again.size.value = "about 2 in"
    assert again.book.record() == large


def test_another_slot_starts_an_empty_page_and_the_earlier_one_can_be_fetched_back():
    store = JsonStore()
    bench = measuring_bench(seed=5, store=store).face
    assert bench.back.disabled
    at_the_bottom(bench)
    bench.measure()
    write(bench)
    bench.reveal()
    kept, slot = bench.book.record(), bench.book.session.slot
    bench.another.click()
    assert bench.book.notes == []
    assert bench.book.session.slot != slot
    assert words(bench.hidden_words).strip() == ""
    assert bench.profile.value == ""
    bench = measuring_bench(store=store).face
    assert bench.book.notes == []
    bench.size.value = "about 2 in"
    bench.back.click()
    assert bench.size.value == "about 1 in"
    assert bench.book.record() == kept
    assert bench.book.session.slot == slot
    assert "true opening" in words(bench.hidden_words)
    assert bench.back.disabled  # the empty page is not worth keeping


def test_fetching_back_keeps_what_was_begun_meanwhile():
    bench = measuring_bench(seed=5).face
    at_the_bottom(bench)
    bench.measure()
    write(bench)
    first = bench.book.record()
    bench.another.click()
    at_the_bottom(bench)
    bench.measure()
    write(bench)
    second = bench.book.record()
    bench.size.value = "about 2 in"
    bench.back.click()
    assert bench.book.record() == first
    bench.back.click()
    assert bench.book.record() == second


def test_given_slot_is_the_only_one():
    bench = measuring_bench(seed=5, slot=big_slot()).face
    assert bench.size.layout.display == "none"
    with pytest.raises(ValueError, match=r"^This bench has one slot only\. Strike readings out"):
        bench.pages.start_over()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({}, "as usual"),
        ({"part": 108}, "hub 40 °F warmer"),
        ({"part": 40, "tool": 68}, "hub 28 °F colder"),
        ({"part": 90, "tool": 90}, "all at 90 °F"),
        ({"zero_error": 0.5}, "micrometer 0.5 thousandths high"),
        ({"zero_error": -2, "part": 78}, "hub 10 °F warmer, micrometer 2 thousandths low"),
        ({"hand": 0.0}, "first day's hand"),
        ({"hand": 1.0}, "steady hand"),
    ],
)
def test_folded_conditions_say_what_differs(changes, said):
    folded = measuring_bench(seed=5).face.conditions
    for name, value in changes.items():
        control = getattr(folded, name)
        getattr(control, "slider", control).value = value
    assert folded.button.description == f"Conditions: {said} (show)"


# the width of the slot, its burr, and the standard


def worn():
    """Return a bench on a practice slot whose keyway has a burr."""
    for seed in range(100):
        slot = practice_slot(seed=seed)
        if widths_of(slot)["keyway"].burr_in and not widths_of(slot)["keyseat"].burr_in:
            return measuring_bench(seed=5, slot=slot).face
    raise AssertionError


def test_a_burr_is_shown_in_the_width_until_it_is_stoned_off():
    bench = worn()
    assert bench.stone.layout.display == "none", "a height has no burr to stone"
    bench.of.value = "keyway"
    assert bench.stone.layout.display is None
    assert bench.angle.widget.layout.display == "none", "a width is not turned"
    assert "A burr stands at the edge of the mouth." in bench.gauge_picture.value
    bench.of.value = "keyseat"
    assert "burr" not in bench.gauge_picture.value
    bench.of.value = "keyway"
    bench.stone_burr()
    assert "The edges of the mouth are stoned." in words(bench.words)
    assert bench.stone.layout.display == "none"
    assert "burr" not in bench.gauge_picture.value
    assert bench.book.session.stoned


@pytest.mark.parametrize("of", ["keyway", "keyseat"])
def test_a_width_goes_into_the_table_and_is_near_the_true_one(of):
    bench = worn()
    bench.stone_burr()
    bench.of.value = of
    bench.station.slider.value = 1.0
    take_with(bench, "telescoping gauge")
    write(bench)
    (note,) = bench.book.notes
    wall = widths_of(bench.book.session.slot)[of]
    assert note.value_in == pytest.approx(wall.width_at_in(1.0), abs=0.003)  # hand and feel
    assert of in words(bench.table)
    assert f"in the width of the {of}, 1 in from the mouth." in bench.gauge_picture.value


def test_a_tool_is_tried_on_its_standard_once_and_written_down_like_a_reading():
    bench = measuring_bench(seed=5).face
    bench.try_zero()
    assert "is on the gauge block of 1.0000 in. Type what you read, as reading 1." in words(
        bench.words
    )
    assert "<svg" in bench.micrometer.value
    for act in (bench.try_zero, bench.measure):
        act()
        assert "Reading 1 is still on the micrometer. Write it down first." in words(bench.words)
    assert len(bench.book.session.readings()) == 1
    write(bench)
    assert "Reading 1 is written down. The standard is 1.0000 in" in words(bench.words)
    assert bench.book.waiting is None
    bench.of.value = "keyway"
    bench.tool.value = "caliper"
    bench.try_zero()
    size = bench.units.height(bench.book.standard_in("keyway"))
    assert f"The caliper is in the setting ring of {size}." in words(bench.words)


def test_what_was_refused_is_not_said_twice_and_nothing_is_struck_out_unchosen():
    bench = measuring_bench(seed=5).face
    at_the_bottom(bench)
    bench.measure()
    bench.entry.value = "9 in"
    first = words(bench.words)
    assert "Look again." in first
    bench.words.value = ""
    bench._write()  # leaving the box with the same text
    assert words(bench.words) == ""
    bench._strike_out()
    assert "Choose the reading to strike out first." in words(bench.words)
    assert bench.book.session.struck_out() == frozenset()
