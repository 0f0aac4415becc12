"""The measuring bench where millimeters come first, worked without a browser."""

from __future__ import annotations

import pytest

from keycourse.measure.faces import STORE_KEY, measuring_bench

from .shown import inch_words
from .test_faces_measure import JsonStore, at_the_bottom, big_slot, take_with, words


def bench_in(system, *, store=None, slot=None):
    return measuring_bench(seed=5, store=store, slot=slot, system=system).face


def read_shown(bench):
    places = 2 if bench.units.metric else 4
    return f"{bench.book.shown(bench.book.waiting):.{places}f}"


def test_metric_micrometer_lies_on_a_metric_bench():
    """It is read to the nearest 0.01 mm, of the same opening: 3 in are 76.2 mm."""
    inch, metric = bench_in("inch"), bench_in("metric")
    for bench, station in ((inch, 3.0), (metric, 76.2)):
        at_the_bottom(bench, station=station)
        bench.measure()
    assert metric.book.session.record() == inch.book.session.record()
    assert "Micrometer 25 to 50 mm" in words(metric.micrometer)
    assert "Micrometer 1 to 2 in" in words(inch.micrometer)
    true_mm = 25.4 * metric.book.session.readings()[0].shown_in
    assert metric.book.shown(1) == pytest.approx(true_mm, abs=0.005 + 1e-9)  # half a line
    assert (100 * metric.book.shown(1)) % 1 == pytest.approx(0, abs=1e-6)  # whole lines of 0.01 mm


@pytest.mark.parametrize("system", ["inch", "metric"])
@pytest.mark.parametrize("other", [False, True])
def test_what_is_typed_is_judged_alike_in_either_unit(system, other):
    """Right is within half a line of the micrometer; a whole line off is not."""
    line_in = 0.01 / 25.4 if system == "metric" else 0.0001
    unit, by = ("mm", 25.4) if (system == "metric") is not other else ("in", 1.0)
    for off, right in ((-1.0, False), (-0.4, True), (0.0, True), (0.4, True), (1.0, False)):
        bench = bench_in(system)
        at_the_bottom(bench, station=50.8 if system == "metric" else 2.0)
        bench.measure()
        value_in = bench.book.shown_in(1) + off * line_in
        bench.entry.value = f"{value_in * by:.7f} {unit}"
        assert bool(bench.book.notes) is right, (off, words(bench.words))
        if right:
            assert bench.book.notes[0].value_in == pytest.approx(value_in, abs=1e-7)
            assert bench.book.notes[0].agrees


def test_bare_number_is_in_the_unit_of_the_micrometer():
    metric = bench_in("metric")
    at_the_bottom(metric, station=50.8)
    metric.measure()
    metric.entry.value = text = read_shown(metric)
    assert metric.book.notes[0].value_in == pytest.approx(float(text) / 25.4, abs=1e-12)
    assert f"{text}0 mm" in words(metric.table)
    assert "50.8 mm" in words(metric.table)


def session_in(system, store):
    """Measure with all that can be set, in the units of a system, and type the same texts."""
    bench = bench_in(system, slot=big_slot(), store=store)
    metric = system == "metric"
    length, fine = (25.4, 0.0254) if metric else (1.0, 1.0)
    for tool, station, out, zero, part_c in (
        ("telescoping gauge", 0.0, 0.5, 0.0, 20),
        ("inside micrometer", 2.25, 0.5, 1.5, 20),
        ("taper bar", 2.25, 0.75, -2.0, 35),
    ):
        bench.angle.slider.value = 180
        bench.station.slider.value = station * length
        bench.stand_out.slider.value = out * length
        bench.conditions.zero_error.slider.value = zero * fine
        bench.conditions.part.slider.value = part_c if metric else part_c * 9 / 5 + 32
        take_with(bench, tool)
        bench.entry.value = "1.7 in"
        bench.as_it_is.click()
    bench.strike.value = 1
    bench._strike_out()
    bench.reveal()
    return bench


def test_same_session_gives_the_same_record_in_both_systems():
    inch, metric = JsonStore(), JsonStore()
    session_in("inch", inch)
    bench = session_in("metric", metric)
    assert len(bench.book.notes) == 3
    kept = [store.get(STORE_KEY) for store in (inch, metric)]
    bars = [
        [step.pop("parallel_taper_in_per_in") for step in one["session"]["steps"]
         if step["do"] == "slide"] for one in kept
    ]  # fmt: skip
    assert bars == [[1 / 96], [1 / 100]]  # each shop has a taper bar of its own standard
    assert kept[0] == kept[1]
    assert bench.book.numbers() == bench_in("inch", slot=big_slot(), store=inch).book.numbers()


@pytest.mark.parametrize("system", ["inch", "metric"])
def test_session_of_one_system_opens_in_the_other(system):
    store = JsonStore()
    before = session_in(system, store)
    after = bench_in("inch" if system == "metric" else "metric", slot=big_slot(), store=store)
    assert after.book.record() == before.book.record()
    assert after.conditions.values() == pytest.approx(before.conditions.values(), abs=1e-8)
    unit = "in" if system == "metric" else "mm"
    assert {"in": "1.7000 in", "mm": "43.180 mm"}[unit] in words(after.table)  # 1.7 x 25.4


def test_nothing_on_a_metric_bench_is_in_inches():
    bench = bench_in("metric")
    assert inch_words(bench.widget) == []
    bench.conditions.zero_error.slider.value = 0.05
    bench.conditions.part.slider.value = 60
    for number, (station, angle) in enumerate(((0, 90), (75, 180), (75, 180), (150, 180)), 1):
        bench.station.slider.value, bench.angle.slider.value = station, angle
        bench.lean.slider.value = -3
        bench.measure()
        assert inch_words(bench.widget) == [], number
        bench.entry.value = "1.2"  # not what it shows
        assert inch_words(bench.widget) == [], number
        bench.entry.value = read_shown(bench)
    take_with(bench, "inside micrometer")
    assert "it starts at 38.1 mm." in words(bench.words)
    assert inch_words(bench.widget) == []
    take_with(bench, "taper bar")
    bench.entry.value = read_shown(bench)
    assert inch_words(bench.widget) == []
    bench.reveal()
    assert inch_words(bench.widget) == []
    said = words(bench.hidden_words)
    assert "At 75 mm: mean of 2 readings" in said
    assert "Base 150 mm (0 to 150 mm): taper" in said
    assert "mm in 100 mm" in said
    assert "part 60 °C, tool 20 °C" in said
    assert "µm (standard deviation)" in said
    assert "height, mm" in words(bench.profile)
    bench.size.value = "about 2 in"
    assert "The slot is about 51 mm high now." in words(bench.slot_words)
    assert inch_words(bench.widget) == []


def test_inch_words_are_found_where_they_are():
    """The search that finds nothing on a metric bench finds plenty on an inch one."""
    found = " ".join(inch_words(bench_in("inch").widget))
    for said in (
        "about 1 in high",
        "Station from mouth, 0 to 8 in",
        "thousandths",
        "°F",
        "0.25 to 3 in",
    ):
        assert said in found


def test_metric_parallel_tells_its_mouth_in_millimetres():
    bench = bench_in("metric")
    bench.angle.slider.value = 180
    bench.stand_out.slider.value = 20
    take_with(bench, "taper bar")
    assert "its large end stands 20 mm out of the mouth" in words(bench.words)
    bench.entry.value = text = read_shown(bench)
    mouth = float(text) - 20 / 100  # the bar of a metric shop is ground to 1:100, DIN 6886
    assert f"the mouth is {text}0 − 20/100 = {mouth:.3f} mm." in words(bench.words)
