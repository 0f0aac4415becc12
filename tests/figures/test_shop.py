"""Drawings in a shop's units: metric ones say millimeters throughout and the same lengths."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

from coursework.ink.shop import (
    INCH,
    METRIC,
    ShopUnits,
    shop_units,
)
from keycourse.fit.marks import draw_marks, draw_stand_out
from keycourse.measure.feeler import draw_feeler
from keycourse.measure.profile import draw_profile
from keycourse.measure.section import draw_section
from keycourse.measure.telescoping import draw_telescoping
from keycourse.pull.forces_picture import draw_force_diagram
from keycourse.pull.rig_picture import draw_capacity_chain, draw_rig
from keycourse.taper.parallel import draw_hub_ends, draw_parallel

INCH_WORDS = re.compile(r"\d in\b|, in\b(?! hundredths)|thousandths|per foot")


def drawn(units: ShopUnits) -> dict[str, str]:
    return {
        "section": draw_section(
            diametral_clearance_in=0.008, angle_rad=1.0, opening_height_in=1.0, units=units
        ).svg,
        "profile": draw_profile(
            stations_in=(0.0, 2.0, 4.0),
            heights_in=(1.0, 0.98, 0.9585),
            length_in=6.0,
            line_mouth_in=1.0,
            line_taper_in_per_in=0.0104,
            band_at_in=(0.0, 3.0, 6.0),
            band_half_in=(0.002, 0.001, 0.002),
            units=units,
        ).svg,
        "parallel": draw_parallel(
            slot_taper_in_per_in=0.011,
            parallel_taper_in_per_in=0.0104,
            parallel_length_in=4.0,
            units=units,
        ).svg,
        "hub ends": draw_hub_ends(
            taper_in_per_in=0.0104, mouth_height_in=1.0, length_in=4.0, units=units
        ).svg,
        "forces": draw_force_diagram(
            normal_force_lbf=150_000,
            taper_in_per_in=1 / 96,
            floor_friction=0.1,
            roof_friction=0.1,
            units=units,
        ).svg,
        "gauge": draw_telescoping(
            station_in=4.0, tilt_rad=0.05, keyway_angle_rad=math.pi, units=units
        ).svg,
        "marks": draw_marks(
            top=2 * np.eye(16, 6, dtype=int),
            bottom=np.zeros((16, 6), dtype=int),
            blued=True,
            length_in=8.0,
            width_in=1.5,
            face_in=1.44,
            stood_out_in=0.4,
            aim=(("top",), 2.0, 0.0),
            units=units,
        ).svg,
        "stand-out": draw_stand_out(
            projection_in=0.25,
            first_projection_in=1.0,
            length_in=8.0,
            height_in=1.0,
            taper_in_per_in=1 / 96,
            units=units,
        ).svg,
    }


@pytest.mark.parametrize("name", sorted(set(drawn(INCH)) - {"forces"}))
def test_a_drawing_is_in_one_system(name):
    inch, metric = drawn(INCH)[name], drawn(METRIC)[name]
    assert INCH_WORDS.search(inch)
    assert "mm" not in inch
    assert "mm" in metric
    assert not INCH_WORDS.search(metric), INCH_WORDS.search(metric)


def test_places_and_scales_of_the_bench_pictures():
    """4 in = 101.6 mm, 0.4 in = 10.2 mm, 2 in = 50.8 mm, 0.25 in = 6.35 mm, 0.75 in = 19.05 mm."""
    metric = drawn(METRIC)
    assert "101.6 mm from the mouth" in metric["gauge"]
    for said in ("10.2 mm at the large end", "held 50.8 mm from", ">20 mm<", ">0 mm<", ">200<"):
        assert said in metric["marks"], said
    for said in ("stands out 6.35 mm", "stood 25.40 mm out: 19.05 mm gained"):
        assert said in metric["stand-out"], said


def bar_length(svg: str, words: str) -> float:
    """Return how long the scale bar with these words is drawn."""
    before = svg[: svg.index(f">{words}<")]
    line = re.findall(r"<line ([^>]*)>", before)[-3]  # the bar, then its two ends
    x1, x2 = (float(re.search(rf'{one}="([\d.]+)"', line).group(1)) for one in ("x1", "x2"))
    assert x2 - x1 > 20
    return x2 - x1


def test_scale_bars_are_as_long_as_they_say():
    inch, metric = drawn(INCH)["marks"], drawn(METRIC)["marks"]
    assert bar_length(metric, "20 mm") == pytest.approx(
        bar_length(inch, "1 in") * 20 / 25.4, abs=0.2
    )
    inch, metric = (draw_rig(rig="none", units=units).svg for units in (INCH, METRIC))
    assert bar_length(metric, "100 mm") == pytest.approx(
        bar_length(inch, "4 in") * 100 / 101.6, abs=0.2
    )


def test_rig_and_chain_are_in_one_system():
    """124,000 lbf = 551.6 kN, half of it 275.8; a capacity of 31,200 lbf = 138.78 goes down."""
    plan = {
        "capacities_lbf": {"jacks": 48_000.0, "rod": 31_200.0},
        "demand_low_lbf": 15_000.0,
        "demand_high_lbf": 42_000.0,
        "load_lbf": 10_000.0,
    }
    rig = draw_rig(rig="two jacks", load_lbf=124_000.0, units=METRIC).svg
    chain = draw_capacity_chain(**plan, units=METRIC).svg
    for one in (rig, chain):
        assert "lbf" not in one
        assert not INCH_WORDS.search(one)
    assert rig.count("275.8 kN") == 3  # on both sides, and in words
    assert "pull 551.6 kN" in rig
    for said in ("rod governs at 138.7 kN", "the key may need 66.7 to 186.9 kN", "44.5 kN", ">kN<"):
        assert said in chain, said
    # 1.2 x 42,000 lbf = 224 kN is the reach; a third of it is 75, and 50 is the round step below
    ticks = [float(one) for one in re.findall(r">(\d+)<", chain)]
    assert ticks == [0.0, 50.0, 100.0, 150.0, 200.0]
    assert "kN" not in draw_capacity_chain(**plan).svg


def test_feeler_goes_by_its_metric_size():
    """0.0015 in = 0.04 mm, a leaf of a metric set; it went in 0.5 in = 12.7 mm."""
    metric = draw_feeler(
        leaf_in=0.0015,
        top_mouth_in=0.5,
        top_far_in=0.0,
        bottom_mouth_in=0.0,
        bottom_far_in=0.0,
        side_enters=True,
        length_in=8.0,
        units=METRIC,
    )
    assert "Feeler gauge, 0.04 mm leaf" in metric.svg
    assert "at the top from the mouth 12.7 mm" in metric.text
    assert not INCH_WORDS.search(metric.text)


def test_the_same_height_stands_in_both():
    assert "mouth 1.0000 in" in drawn(INCH)["hub ends"]
    assert "mouth 25.400 mm" in drawn(METRIC)["hub ends"]
    assert "far end 24.343 mm" in drawn(METRIC)["hub ends"]  # (1 - 4 x 0.0104) x 25.4


def test_forces_are_in_one_system():
    """150,000 lbf × 4.44822 N/lbf = 667.2 kN on the flat face."""
    inch, metric = drawn(INCH)["forces"], drawn(METRIC)["forces"]
    assert "150,000 lbf" in inch
    assert "kN" not in inch
    assert "667.2 kN" in metric
    assert "lbf" not in metric


def test_readings_stand_at_the_same_places_of_the_sheet():
    """The frame is scaled to what it shows, so only its rounding to whole steps may differ."""

    def across(svg: str) -> list[float]:
        return [float(x) for x in re.findall(r'cx="([\d.]+)"', svg)]

    assert across(drawn(METRIC)["profile"]) == pytest.approx(
        across(drawn(INCH)["profile"]), abs=0.2
    )


def test_systems_are_named():
    assert (shop_units("inch"), shop_units("metric")) == (INCH, METRIC)
