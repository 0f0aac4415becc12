"""Key strength and shrink: results and refusals."""

import math

import pytest

from taperkey.formulas.bearing import (
    bearing_height_in,
    key_bearing,
    key_bearing_stress_psi,
    key_length_for_bearing_in,
)
from taperkey.formulas.shrink import fit_range, shrink_pressure_psi
from taperkey.formulas.strength import (
    equal_strength_height_in,
    key_length_for_shear_in,
    key_strength,
)
from taperkey.formulas.torque import solid_shaft_torque_lbf_in, torque_lbf_in

KEY = {
    "torque_lbf_in": 20000,
    "shaft_diameter_in": 4,
    "width_in": 1,
    "shaft_height_in": 0.5,
    "hub_height_in": 0.5,
    "length_in": 6,
    "key_yield_psi": 54000,
    "shaft_yield_psi": 54000,
    "hub_yield_psi": 54000,
    "design_factor": 3,
}


def test_square_key_of_one_steel_gives_way_at_its_sides_first():
    answer = key_strength(**KEY)
    assert answer.governs == "bearing"
    assert answer.bearing.stress_psi == pytest.approx(10000 / 3)  # 10,000 lbf on 3 in2
    assert answer.bearing.allowable_psi == 18000
    assert answer.within
    assert answer.reason == (
        "bearing 3,333 psi against 18,000 psi allowed for the key (yield 54,000 psi, design factor"
        " 3, service factor 1): 19 % used."
    )


def test_a_narrow_key_shears_first():
    assert key_strength(**(KEY | {"width_in": 0.6})).governs == "shear"


def test_service_factor_counts_against_the_key():
    assert key_strength(**KEY, service_factor=2).utilisation == pytest.approx(
        2 * key_strength(**KEY).utilisation, rel=1e-12
    )


def test_over_capacity_is_a_result_not_an_error():
    answer = key_strength(**(KEY | {"torque_lbf_in": 200000}))
    assert not answer.within
    assert answer.utilisation > 1


def test_a_design_factor_below_1_is_refused():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        key_strength(**(KEY | {"design_factor": 0.5}))
    assert str(caught.value) == "design factor is 0.5; it must be 1 or more."


def test_solid_steel_shaft_in_a_thick_hub():
    # both steel, solid: p = E delta (c2 - b2) / (2 b c2), here 30e6 x .001 x 12 / 64
    pressure = shrink_pressure_psi(
        interference_in=0.001, inner_radius_in=0, common_radius_in=2, outer_radius_in=4
    )
    assert pressure == pytest.approx(5625, rel=1e-12)


@pytest.mark.parametrize(
    ("shaft", "kind"),
    [
        ((1.001, 1.002), "interference"),
        ((0.9995, 1.0005), "transition"),
        ((0.99, 0.999), "clearance"),
    ],
)
def test_kinds_of_fit(shaft, kind):
    fit = fit_range(
        hole_low_in=1.0, hole_high_in=1.0005, shaft_low_in=shaft[0], shaft_high_in=shaft[1]
    )
    assert fit.kind == kind


def test_every_figure_of_a_key_that_shears_by_hand():
    # 10,000 lbf at the shaft surface on 0.5 x 6 = 3 in2 in shear and on 3 in2 at the side; twice
    # that by the service factor. Allowed 0.5 x 54,000 / 3 and 54,000 / 3: 9,000 and 18,000 psi.
    answer = key_strength(**(KEY | {"width_in": 0.5}), service_factor=2, shear_share=0.5)
    assert answer.shear_stress_psi == pytest.approx(20000 / 3, rel=1e-12)
    assert answer.bearing.stress_psi == pytest.approx(20000 / 3, rel=1e-12)
    assert answer.allowable_shear_psi == 9000
    assert answer.bearing.allowable_psi == 18000
    assert answer.governs == "shear"
    assert answer.utilisation == pytest.approx(20 / 27, rel=1e-12)
    # 9,000 psi on 3 in2 at 2 in is 54,000 lbf in, half of it steady
    assert answer.torque_capacity_lbf_in == pytest.approx(27000, rel=1e-12)
    assert answer.within
    assert answer.reason == (
        "shear 6,667 psi against 9,000 psi allowed for the key (yield 54,000 psi, design factor"
        " 3, service factor 2): 74 % used."
    )


def test_left_out_service_is_steady_and_left_out_share_is_distortion_energy():
    # shear yield over yield by distortion energy: 1/sqrt 3, used as 0.577
    answer = key_strength(**KEY)
    assert answer.allowable_shear_psi == pytest.approx(54000 / 3 / 3**0.5, rel=1e-3)
    assert answer.shear_stress_psi == pytest.approx(10000 / 6, rel=1e-12)
    assert answer.torque_capacity_lbf_in == pytest.approx(18000 * 3 * 2, rel=1e-12)


def test_used_to_the_last_is_still_within():
    # 18,000 psi x 3 in2 x 2 in = 108,000 lbf in, all exact
    full = key_strength(**(KEY | {"torque_lbf_in": 108000}))
    assert full.utilisation == 1
    assert full.within
    assert full.reason.endswith(": 100 % used.")
    assert not key_strength(**(KEY | {"torque_lbf_in": 108001})).within


@pytest.mark.parametrize("share", [0.4, 0.6])
def test_the_ends_of_the_shear_share_are_taken(share):
    answer = key_strength(**(KEY | {"design_factor": 1}), shear_share=share)
    assert answer.allowable_shear_psi == pytest.approx(share * 54000, rel=1e-12)


def test_torque_of_power_and_of_a_shaft_by_hand():
    # 550 ft lbf/s turning one radian a second (60/(2 pi) rpm) is 6,600 lbf in
    assert torque_lbf_in(power_hp=1, speed_rpm=60 / (2 * math.pi)) == pytest.approx(6600, rel=1e-12)
    # pi D3 / 16 with D = 2: pi/2 in3
    assert solid_shaft_torque_lbf_in(shaft_diameter_in=2, shear_stress_psi=2) == pytest.approx(
        math.pi, rel=1e-12
    )


def test_length_for_bearing_brings_the_allowable_pressure():
    key = {"torque_lbf_in": 20000, "shaft_diameter_in": 4, "bearing_height_in": 0.5}
    # 10,000 lbf over 0.5 in at 4,000 psi: 5 in
    length = key_length_for_bearing_in(**key, allowable_bearing_psi=4000)
    assert length == pytest.approx(5, rel=1e-12)
    assert key_bearing_stress_psi(**key, length_in=length) == pytest.approx(4000, rel=1e-12)


def test_at_the_height_of_equal_strength_both_lengths_are_one():
    height = equal_strength_height_in(
        width_in=0.75, allowable_shear_psi=6000, allowable_bearing_psi=15000
    )
    assert height == pytest.approx(0.6, rel=1e-12)  # 2 x 0.75 x 6/15
    drive = {"torque_lbf_in": 20000, "shaft_diameter_in": 4}
    assert key_length_for_shear_in(
        **drive, width_in=0.75, allowable_shear_psi=6000
    ) == pytest.approx(
        key_length_for_bearing_in(
            **drive, bearing_height_in=height / 2, allowable_bearing_psi=15000
        ),
        rel=1e-12,
    )


SIDES = {
    "torque_lbf_in": 20000,
    "shaft_diameter_in": 4,
    "length_in": 5,
    "shaft_height_in": 0.5,
    "hub_height_in": 0.4,
    "key_allowable_psi": 18000,
    "shaft_allowable_psi": 15000,
    "hub_allowable_psi": 20000,
}


@pytest.mark.parametrize(
    ("changed", "side", "metal", "stress"),
    [
        # 10,000 lbf over 5 in: 4,000 psi in the shaft on 0.5 in, 5,000 psi in the hub on 0.4 in
        ({}, "hub", "key", 5000),  # 5,000/18,000 is more than 4,000/15,000
        ({"hub_allowable_psi": 12000}, "hub", "hub", 5000),
        ({"shaft_allowable_psi": 12000}, "shaft", "shaft", 4000),
        ({"key_allowable_psi": 9000}, "hub", "key", 5000),  # softer than both: lower side decides
        ({"shaft_height_in": 0.25}, "shaft", "shaft", 8000),
        ({"hub_height_in": 0.5, "shaft_allowable_psi": 18000}, "hub", "key", 4000),  # all alike
    ],
)
def test_the_weakest_of_key_shaft_and_hub_decides(changed, side, metal, stress):
    found = key_bearing(**(SIDES | changed))
    assert (found.side, found.metal) == (side, metal)
    assert found.stress_psi == pytest.approx(stress, rel=1e-12)


def test_what_is_chamfered_away_does_not_bear():
    # 1 in square key, 1/2 in in the shaft, 5/32 in chamfer: 11/32 in
    assert bearing_height_in(slot_side_depth_in=0.5, chamfer_in=5 / 32) == 11 / 32
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        bearing_height_in(slot_side_depth_in=0.25, chamfer_in=0.25)
    assert str(caught.value) == (
        "chamfer is 0.25 in; it must be below 0.25 in, the depth of the slot. No side is left to"
        " bear."
    )
