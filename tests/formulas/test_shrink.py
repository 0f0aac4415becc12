"""Shrink: Lame's rings of two metals by hand, and where one kind of fit becomes another."""

from __future__ import annotations

import pytest

from taperkey.formulas.shrink import fit_range, shrink_interference_in, shrink_pressure_psi

RINGS = {"inner_radius_in": 1.0, "common_radius_in": 2.0, "outer_radius_in": 4.0}
TWO_METALS = {"shaft_modulus_psi": 30e6, "hub_modulus_psi": 15e6}


@pytest.mark.parametrize(
    ("poisson", "interference"),
    [({}, 0.00106), ({"poisson": 0.3}, 0.00106), ({"poisson": 0}, 0.001)],
)
def test_two_metals_and_a_hollow_shaft_by_hand(poisson, interference) -> None:
    # hub (16 + 4)/(16 - 4) + 0.3 = 59/30, shaft (4 + 1)/(4 - 1) - 0.3 = 41/30; at 3,000 psi
    # 3,000 x 2 x (2 x 59/30 + 41/30) / 30e6 = 6,000 x 5.3 / 30e6; without Poisson 5 for 5.3
    rings = RINGS | TWO_METALS | poisson
    assert shrink_interference_in(pressure_psi=3_000, **rings) == pytest.approx(
        interference, rel=1e-12
    )
    assert shrink_pressure_psi(interference_in=interference, **rings) == pytest.approx(
        3_000, rel=1e-12
    )


def test_left_out_metal_is_steel() -> None:
    # equal metals: Poisson's ratio drops out, 3,000 x 2 x (5/3 + 5/3) / 30e6 = 1/1,500 in
    for poisson in (0.0, 0.3, 0.5):
        assert shrink_interference_in(
            pressure_psi=3_000, **RINGS, poisson=poisson
        ) == pytest.approx(1 / 1500, rel=1e-12)
    assert shrink_pressure_psi(interference_in=1 / 1500, **RINGS) == pytest.approx(3_000, rel=1e-12)
    # one part of half the modulus: as above, 5.3 (hub) or 4.7 = 59/30 + 2 x 41/30 (shaft)
    for part, share in (("hub", 5.3), ("shaft", 4.7)):
        softer = RINGS | {f"{part}_modulus_psi": 15e6}
        assert shrink_interference_in(pressure_psi=3_000, **softer) == pytest.approx(
            6_000 * share / 30e6, rel=1e-12
        )
        assert shrink_pressure_psi(interference_in=6_000 * share / 30e6, **softer) == pytest.approx(
            3_000, rel=1e-12
        )


def test_no_interference_has_no_pressure() -> None:
    assert shrink_pressure_psi(interference_in=0.0, **RINGS) == 0.0
    assert shrink_interference_in(pressure_psi=0.0, **RINGS) == 0.0


def test_both_ends_of_a_fit() -> None:
    # powers of two, so that every difference is exact
    fit = fit_range(hole_low_in=1.0, hole_high_in=1.25, shaft_low_in=1.125, shaft_high_in=1.5)
    assert (fit.tightest_in, fit.loosest_in, fit.kind) == (0.5, -0.125, "transition")
    one_size = fit_range(hole_low_in=1.0, hole_high_in=1.0, shaft_low_in=1.5, shaft_high_in=1.5)
    assert (one_size.tightest_in, one_size.loosest_in, one_size.kind) == (0.5, 0.5, "interference")


@pytest.mark.parametrize(
    ("shaft", "kind"),
    [((0.75, 1.0), "clearance"), ((1.25, 1.5), "interference"), ((0.75, 1.125), "transition")],
)
def test_a_fit_that_may_come_out_line_to_line_is_of_its_other_end(shaft, kind) -> None:
    # a sliding fit H/h has a tightest clearance of 0 and counts as a clearance fit (ISO 286-1,
    # from memory)
    low, high = shaft
    fit = fit_range(hole_low_in=1.0, hole_high_in=1.25, shaft_low_in=low, shaft_high_in=high)
    assert fit.kind == kind
