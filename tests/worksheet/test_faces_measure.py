"""Section with clearance and the measuring bench, worked without a browser."""

from __future__ import annotations

import json
import math
import re

import pytest

from taperkey.worksheet.controls import MemoryStore
from taperkey.worksheet.faces_measure import (
    STORE_KEY,
    measuring_bench,
    section_explorer,
    section_of,
)
from taperkey.worksheet.measuring_book import practice_slot


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
    bench.lean.slider.value = -5


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
    assert "has passed through square" in words(bench.gauge_words)
    bench.station.slider.value = 6.0
    bench.lean.slider.value = 8.0
    assert "handle touches the edge of the mouth at 3.9°" in words(bench.gauge_words)


def test_leaning_gauge_reads_long():
    square, leaning = measuring_bench(seed=5).face, measuring_bench(seed=5).face
    for bench in (square, leaning):
        bench.angle.slider.value = 180
        bench.station.slider.value = 1.0
        bench.tightness.slider.value = 50
    square.lean.slider.value = -5
    square.measure()
    leaning.measure()
    lean = math.radians(5)
    true = float(square.book.session.slot.height_in(1.0))
    longer = leaning.book.shown_in(1) - square.book.shown_in(1)
    assert longer == pytest.approx(true * (1 / math.cos(lean) - 1), abs=0.0006)  # taper and form


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
        bench.lean.slider.value = -3
        bench.measure()
        write(bench)
    bench.reveal()
    said = words(bench.hidden_words)
    assert f"true opening {true} in" in said
    assert "The keyway was not at the bottom for 1 of them" in said
    assert "did not pass through square for reading 1:" in said
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
