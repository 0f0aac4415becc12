"""Welds: by limits, half angles and round figures."""

from __future__ import annotations

import math

import pytest

from taperkey.formulas.weld import (
    angle_increase,
    fillet_strength_lbf_per_in,
    groove_strength_lbf_per_in,
    length_reduction,
    plate_shear_lbf_per_in,
)

SQUARE = math.pi / 2
# with the throat 1 in of leg sqrt 2 and 100,000 psi metal, the plain weld carries 60,000 lbf/in
ROUND = {"leg_in": math.sqrt(2), "electrode_psi": 100_000.0}
GROOVE = {"throat_in": 1.0, "electrode_psi": 100_000.0}


def test_a_fillet_across_the_load_is_half_as_strong_again() -> None:
    # AISC 360, J2.4: 1 + 0.5 sin^1.5; sin 90 = 1, sin 30 = 1/2 with 0.5^2.5 = 1/(4 sqrt 2)
    assert angle_increase(load_angle_rad=0) == 1.0
    assert angle_increase(load_angle_rad=SQUARE) == 1.5
    assert angle_increase(load_angle_rad=math.pi / 6) == pytest.approx(
        1 + 1 / (4 * math.sqrt(2)), rel=1e-12
    )


@pytest.mark.parametrize(
    ("legs", "left"),
    [(1, 1.0), (100, 1.0), (150, 0.9), (200, 0.8), (300, 0.6), (360, 0.5), (900, 0.2)],
)
def test_a_long_fillet_loses_a_tenth_for_fifty_legs_over_a_hundred(legs, left) -> None:
    # AISC 360, J2-1: beta = 1.2 - 0.002 l/w from 100 to 300 legs; beyond, 180 legs count (J2.2b,
    # memory of the clause): half of 360 legs, a fifth of 900
    assert length_reduction(length_in=legs / 4, leg_in=0.25) == pytest.approx(left, rel=1e-12)


@pytest.mark.parametrize(
    ("method", "along"), [("allowable", 30_000.0), ("factored", 45_000.0), ("nominal", 60_000.0)]
)
def test_round_figures_by_each_method(method, along) -> None:
    assert fillet_strength_lbf_per_in(**ROUND, method=method) == pytest.approx(along, rel=1e-12)
    assert fillet_strength_lbf_per_in(
        **ROUND, load_angle_rad=SQUARE, method=method
    ) == pytest.approx(1.5 * along, rel=1e-12)
    assert groove_strength_lbf_per_in(**GROOVE, method=method) == pytest.approx(along, rel=1e-12)
    assert plate_shear_lbf_per_in(
        thickness_in=1.0, tensile_psi=100_000.0, method=method
    ) == pytest.approx(along, rel=1e-12)


def test_left_out_method_is_the_allowable_and_left_out_angle_is_along() -> None:
    assert fillet_strength_lbf_per_in(**ROUND) == pytest.approx(30_000, rel=1e-12)
    assert groove_strength_lbf_per_in(**GROOVE) == pytest.approx(30_000, rel=1e-12)
    assert plate_shear_lbf_per_in(thickness_in=1.0, tensile_psi=1e5) == pytest.approx(
        30_000, rel=1e-12
    )


@pytest.mark.parametrize(
    ("method", "across"), [("allowable", 60_000 / 1.88), ("factored", 48_000.0)]
)
def test_a_groove_weld_pulled_square_is_in_plain_tension(method, across) -> None:
    # AISC 360, Table J2.5: 0.60 FEXX in tension as in shear, over 1.88, or times 0.80
    assert groove_strength_lbf_per_in(
        **GROOVE, load_angle_rad=SQUARE, method=method
    ) == pytest.approx(across, rel=1e-12)


def test_where_both_ways_are_alike_the_angle_makes_no_difference() -> None:
    for degrees in (0, 20, 45, 70, 90):
        assert groove_strength_lbf_per_in(
            **GROOVE, load_angle_rad=math.radians(degrees), method="nominal"
        ) == pytest.approx(60_000, rel=1e-12)


def test_no_thickness_has_no_strength() -> None:
    assert plate_shear_lbf_per_in(thickness_in=0, tensile_psi=58_000) == 0.0
