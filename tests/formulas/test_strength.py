"""Key strength, grip and shrink: results and refusals."""

import pytest

from taperkey.formulas.grip import friction_torque
from taperkey.formulas.shrink import fit_range, shrink_pressure_psi
from taperkey.formulas.strength import key_strength

KEY = {
    "torque_lbf_in": 20000,
    "shaft_diameter_in": 4,
    "width_in": 1,
    "bearing_height_in": 0.5,
    "length_in": 6,
    "yield_psi": 54000,
    "design_factor": 3,
}


def test_square_key_of_one_steel_crushes_before_it_shears():
    answer = key_strength(**KEY)
    assert answer.governs == "crushing"
    assert answer.crushing_stress_psi == pytest.approx(10000 / 3)  # 10,000 lbf on 3 in2
    assert answer.allowable_crushing_psi == 18000
    assert answer.within
    assert answer.reason == (
        "crushing 3,333 psi against 18,000 psi allowed (yield 54,000 psi, design factor 3, service"
        " factor 1): 19 % used."
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


def test_grip_is_a_range_with_the_bore_carrying_about_half():
    grip = friction_torque(
        seat_low_lbf=80000,
        seat_high_lbf=160000,
        friction_low=0.1,
        friction_high=0.2,
        shaft_diameter_in=6,
        depth_in_shaft_in=0.5,
        height_in=1,
    )
    assert grip.low_lbf_in == pytest.approx(0.1 * 80000 * (3 + 2.5))
    assert grip.high_lbf_in == pytest.approx(0.2 * 160000 * (3 + 3.5))
    assert grip.bore_share == pytest.approx(0.5)


def test_grip_refuses_ends_the_wrong_way_round():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        friction_torque(
            seat_low_lbf=80000,
            seat_high_lbf=70000,
            friction_low=0.1,
            friction_high=0.2,
            shaft_diameter_in=6,
            depth_in_shaft_in=0.5,
            height_in=1,
        )
    assert str(caught.value) == ("seat force, high end is 70000 lbf; it must be 80000 lbf or more.")


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
