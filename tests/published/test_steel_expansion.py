"""Expansion of steel and correction to the reference temperature.

National Physical Laboratory, "How do I correct lengths to 20 degC?" (length FAQ, 2010), found.
Carbon steel 6.55 millionths per degF: National Bureau of Standards, quoted in J. Minnesota Acad.
Sci. 32 (2), found. 11.5e-6 per degC: JCGM 100:2008 H.1, found.
"""

import pytest

from taperkey.formulas.measure import (
    REFERENCE_TEMPERATURE_DEGF,
    STEEL_EXPANSION_PER_DEGF,
    size_at_reference_in,
    thermal_growth_in,
)


def test_npl_rod_of_500_mm_at_23_7_degrees():
    size = size_at_reference_in(
        reading_in=500.035 / 25.4,
        part_temperature_degF=32 + 1.8 * 23.7,
        tool_temperature_degF=68.0,
        part_expansion_per_degF=11.7e-6 / 1.8,
    )
    assert size * 25.4 == pytest.approx(500.013, abs=0.0005)  # printed to 0.001 mm


def test_steel_is_within_the_bureau_value():
    assert pytest.approx(6.55e-6, rel=0.10) == STEEL_EXPANSION_PER_DEGF  # steels differ by 10 %


def test_reference_temperature_is_20_degrees_celsius():
    assert pytest.approx(20.0, abs=1e-12) == (REFERENCE_TEMPERATURE_DEGF - 32) / 1.8


def test_gauge_of_12_in_warmed_by_10_degrees_celsius():
    growth = thermal_growth_in(
        length_in=12.0, expansion_per_degF=STEEL_EXPANSION_PER_DEGF, temperature_change_degF=18.0
    )
    assert growth == pytest.approx(12 * 11.5e-6 * 10, rel=1e-12)  # the same in degC
