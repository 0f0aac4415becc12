"""The pulling bench where millimeters and kilonewtons come first, worked without a browser."""

from __future__ import annotations

import math
import re

import pytest

from keycourse.pull.bench.cases import draw_case
from keycourse.pull.faces import STORE_KEY, pulling_bench

from .shown import inch_words
from .test_faces_pull import JsonStore, bench_on, easy, rig, words

KN = 0.45359237 * 9.80665 / 1000  # a pound-force in kN


def metric_bench_on(kind, *, fits, store=None):
    """Return a metric bench on the first key of a kind that fits."""
    seed = next(n for n in range(1, 200) if fits(draw_case(kind=kind, seed=n)))
    bench = pulling_bench(seed=seed - 1, store=store, system="metric").face
    bench.kind.value = kind
    bench.start()
    return bench


def act_it_all(bench):
    """Do whatever can be done on a bench, in its own units, and look at it after each act."""
    metric = bench.units.metric

    def load(size_kn):
        bench.load.box.value = size_kn if metric else size_kn / KN

    acts = (
        bench.one_step,
        bench.measure,
        lambda: rig(bench),
        lambda: load(20.0),
        bench.raise_load,
        lambda: load(5.0),
        bench.raise_load,
        bench.add_jacks,
        bench.soak,
        lambda: setattr(bench.heat.box, "value", 65.0 if metric else 117.0),
        bench.heat_up,
        lambda: bench._act(bench.help_words, "wipe"),
        bench.heat_up,
        bench.one_step,
        lambda: load(50.0),
        bench.push,
        *[bench.one_step] * 12,
        lambda: bench.book.over or bench.stop(),
        bench.reveal,
    )
    for number, act in enumerate(acts):
        act()
        yield number


@pytest.mark.parametrize(
    ("kind", "fits"),
    [
        ("serviced", lambda c: c.end == "tapped"),
        ("rusted", lambda c: c.end == "gib head"),
        ("turned", lambda c: c.end == "tapped" and c.key.room_behind),
        ("turned", lambda c: c.end == "tapped" and not c.key.room_behind),
    ],
)
def test_same_pull_gives_the_same_record_and_nothing_is_in_pounds(kind, fits):
    inch_store, store = JsonStore(), JsonStore()
    inch = bench_on(kind, fits=fits, store=inch_store)
    metric = metric_bench_on(kind, fits=fits, store=store)
    assert inch_words(metric.widget) == []
    for _ in act_it_all(inch):
        pass
    for number in act_it_all(metric):
        assert inch_words(metric.widget) == [], number
    kept, inch_kept = store.get(STORE_KEY), inch_store.get(STORE_KEY)
    steps, inch_steps = (one["session"].pop("steps") for one in (kept, inch_kept))
    assert kept == inch_kept
    assert [one["do"] for one in steps] == [one["do"] for one in inch_steps]
    for step, inch_step in zip(steps, inch_steps, strict=True):
        assert step.keys() == inch_step.keys()
        for name in step.keys() - {"do", "links"}:  # 20 kN typed in pounds has its last digit off
            assert step[name] == pytest.approx(inch_step[name], abs=1e-5)
        assert step.get("links") == inch_step.get("links")
    assert metric.book.numbers() == inch.book.numbers()


@pytest.mark.parametrize("hold", [0, 1])
@pytest.mark.parametrize("name", ["hollow-ram jack", "slide hammer"])
def test_other_rigs_are_not_in_pounds_either(name, hold):
    bench = metric_bench_on("rusted", fits=lambda c: c.end == "tapped")
    rig(bench, name=name, hold=hold)
    assert inch_words(bench.widget) == []
    for _ in range(4):
        bench.one_step()
        bench.add_jacks()
        assert inch_words(bench.widget) == []
    bench.load.box.value = 600
    bench.raise_load()
    assert inch_words(bench.widget) == []


def test_metric_loads_are_the_pounds_in_kilonewtons():
    bench = metric_bench_on("serviced", fits=easy)
    rig(bench)
    bench.load.box.value = 20.0
    bench.raise_load()
    assert bench.book.load_lbf == pytest.approx(4496.18, abs=0.01)  # 20 / 0.00444822
    assert "pull 20.0 kN" in words(bench.picture)
    assert "10.0 kN on each side" in bench.picture.value  # the words of the picture
    assert "on now: 20.0 kN" in words(bench.chain)
    assert "Pumped up to 20.0 kN" in words(bench.table)
    name, working = min(bench.book.capacities_lbf().items(), key=lambda item: item[1])
    down = math.floor(10 * working * KN) / 10
    assert f"Weakest link: {name}, {down:.1f} kN working load" in words(bench.words)


def test_working_load_that_is_shown_can_be_typed_and_is_not_over_it():
    bench = metric_bench_on("rusted", fits=lambda c: c.end == "tapped")
    rig(bench)
    shown = float(re.search(r"([\d.]+) kN working load", words(bench.rig_words)).group(1))
    bench.load.box.value = shown
    bench.raise_load()
    assert bench.book.session.state.over_working == ()
    bench.load.box.value = shown + 0.1
    bench.raise_load()
    assert bench.book.session.state.over_working != ()


def test_load_of_a_step_can_be_raised_to_again():
    """The slider takes up the load of a step so that it is never below what is on."""
    bench = metric_bench_on("rusted", fits=lambda c: c.end == "tapped")
    rig(bench)
    for _ in range(3):
        bench.one_step()
        assert 0 <= bench.load.value - KN * bench.book.load_lbf < 0.1
        before = bench.load.value
        bench.raise_load()
        assert "must be above" not in words(bench.words)
        assert bench.load.value == before


def test_sizes_that_go_by_their_inch_name_have_the_metric_figure_beside_them():
    bench = metric_bench_on("rusted", fits=lambda c: c.end == "plain")
    # 10 tons x 2,000 lbf = 88.96 kN; 30 tons = 266.9 kN; 30 lb = 13.61 kg
    assert [label for label, _ in bench.rig.options[1:]] == [
        "Strongback and two 10-ton (89.0 kN) jacks",
        "30-ton (266.9 kN) hollow-ram jack over a rod",
        "Slide hammer of 30 lb (13.6 kg) on a rod",
    ]
    assert bench.hold.options[1][0].startswith("1/2 in (12.7 mm) fillet weld")
    rig(bench)
    bench.add_jacks()
    assert "two 20-ton solid jacks (177.9 kN each), 80 %" in words(bench.reasons)  # 40,000 lbf
