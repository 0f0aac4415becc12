"""Drawings in a shop's units: metric ones say millimetres throughout and the same lengths."""

from __future__ import annotations

import re

import pytest

from taperkey.figures.forces import draw_force_diagram
from taperkey.figures.parallel import draw_hub_ends, draw_parallel
from taperkey.figures.profile import draw_profile
from taperkey.figures.section import draw_section
from taperkey.figures.shop import INCH, METRIC, ShopUnits, shop_units

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
    }


@pytest.mark.parametrize("name", sorted(set(drawn(INCH)) - {"forces"}))
def test_a_drawing_is_in_one_system(name):
    inch, metric = drawn(INCH)[name], drawn(METRIC)[name]
    assert INCH_WORDS.search(inch)
    assert "mm" not in inch
    assert "mm" in metric
    assert not INCH_WORDS.search(metric), INCH_WORDS.search(metric)


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
