"""Strength and shrink: scaling, monotony, round trips, and a dimension check with units."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from taperkey.formulas import beam, bearing, shrink, squeeze, strength, thread, torque, weld

REGISTRY = pint.get_application_registry()
SIZES = st.floats(0.1, 20)
STRESSES = st.floats(1e3, 1e5)


@given(
    torque=st.floats(10, 1e6),
    diameter=SIZES,
    width=SIZES,
    height=SIZES,
    length=SIZES,
    yield_psi=STRESSES,
    factor=st.floats(1, 5),
    service=st.floats(1, 3),
)
def test_at_its_capacity_the_key_is_used_in_full(
    torque, diameter, width, height, length, yield_psi, factor, service
):
    key = {
        "shaft_diameter_in": diameter,
        "width_in": width,
        "shaft_height_in": height,
        "hub_height_in": height,
        "length_in": length,
        "key_yield_psi": yield_psi,
        "shaft_yield_psi": yield_psi,
        "hub_yield_psi": yield_psi,
        "design_factor": factor,
        "service_factor": service,
    }
    answer = strength.key_strength(torque_lbf_in=torque, **key)
    again = strength.key_strength(torque_lbf_in=answer.torque_capacity_lbf_in, **key)
    assert again.utilisation == pytest.approx(1, rel=1e-9)
    assert again.governs == answer.governs
    longer = strength.key_strength(torque_lbf_in=torque, **(key | {"length_in": 2 * length}))
    assert longer.torque_capacity_lbf_in == pytest.approx(
        2 * answer.torque_capacity_lbf_in, rel=1e-9
    )


@given(torque=st.floats(10, 1e6), diameter=SIZES, width=SIZES, allowable=STRESSES)
def test_the_length_for_shear_brings_the_allowable_shear(torque, diameter, width, allowable):
    key = {"torque_lbf_in": torque, "shaft_diameter_in": diameter, "width_in": width}
    length = strength.key_length_for_shear_in(**key, allowable_shear_psi=allowable)
    assert strength.key_shear_stress_psi(**key, length_in=length) == pytest.approx(
        allowable, rel=1e-9
    )


@given(
    pressure=st.floats(1, 3e4),
    inner=st.floats(0, 3),
    wall=st.floats(0.1, 5),
    rim=st.floats(0.1, 9),
)
def test_shrink_there_and_back(pressure, inner, wall, rim):
    rings = {
        "inner_radius_in": inner,
        "common_radius_in": inner + wall,
        "outer_radius_in": inner + wall + rim,
    }
    interference = shrink.shrink_interference_in(pressure_psi=pressure, **rings)
    assert interference > 0
    back = shrink.shrink_pressure_psi(interference_in=interference, **rings)
    assert back == pytest.approx(pressure, rel=1e-9)
    thicker = rings | {"outer_radius_in": rings["outer_radius_in"] + 1}
    assert shrink.shrink_pressure_psi(interference_in=interference, **thicker) > pressure


# function, arguments with their unit, unit of the answer
CASES = [
    (torque.key_force_lbf,
     {"torque_lbf_in": (4e4, "lbf*in"), "shaft_diameter_in": (4, "in")}, "lbf"),
    (strength.key_shear_stress_psi,
     {"torque_lbf_in": (4e4, "lbf*in"), "shaft_diameter_in": (4, "in"), "width_in": (1, "in"),
      "length_in": (6, "in")}, "psi"),
    (bearing.key_bearing_stress_psi,
     {"torque_lbf_in": (4e4, "lbf*in"), "shaft_diameter_in": (4, "in"),
      "bearing_height_in": (0.5, "in"), "length_in": (6, "in")}, "psi"),
    (strength.key_length_for_shear_in,
     {"torque_lbf_in": (4e4, "lbf*in"), "shaft_diameter_in": (4, "in"), "width_in": (1, "in"),
      "allowable_shear_psi": (9e3, "psi")}, "in"),
    (bearing.key_length_for_bearing_in,
     {"torque_lbf_in": (4e4, "lbf*in"), "shaft_diameter_in": (4, "in"),
      "bearing_height_in": (0.5, "in"), "allowable_bearing_psi": (9e3, "psi")}, "in"),
    (strength.equal_strength_height_in,
     {"width_in": (1, "in"), "allowable_shear_psi": (5e3, "psi"),
      "allowable_bearing_psi": (9e3, "psi")}, "in"),
    (torque.solid_shaft_torque_lbf_in,
     {"shaft_diameter_in": (4, "in"), "shear_stress_psi": (5e3, "psi")}, "lbf*in"),
    (shrink.shrink_interference_in,
     {"pressure_psi": (5e3, "psi"), "inner_radius_in": (1, "in"), "common_radius_in": (2, "in"),
      "outer_radius_in": (4, "in"), "shaft_modulus_psi": (3e7, "psi"),
      "hub_modulus_psi": (3e7, "psi")}, "in"),
    (shrink.shrink_pressure_psi,
     {"interference_in": (0.001, "in"), "inner_radius_in": (1, "in"),
      "common_radius_in": (2, "in"), "outer_radius_in": (4, "in"),
      "shaft_modulus_psi": (3e7, "psi"), "hub_modulus_psi": (3e7, "psi")}, "psi"),
    (squeeze.face_pressure_psi,
     {"normal_force_lbf": (1e5, "lbf"), "width_in": (1.5, "in"), "contact_length_in": (8, "in")},
     "psi"),
    (squeeze.key_squeeze_in,
     {"pressure_psi": (1e4, "psi"), "height_in": (1, "in"), "modulus_psi": (3e7, "psi")}, "in"),
    (squeeze.seat_compliance_in_per_psi,
     {"height_in": (1, "in"), "width_in": (1.5, "in"), "seat_depth": (1.2, ""),
      "key_modulus_psi": (3e7, "psi"), "shaft_modulus_psi": (3e7, "psi"),
      "hub_modulus_psi": (1.5e7, "psi")}, "in/psi"),
    (thread.stress_area_in2, {"diameter_in": (1, "in"), "pitch_in": (0.125, "in")}, "in**2"),
    (thread.strong_rod_stress_area_in2,
     {"least_pitch_diameter_in": (0.9, "in"), "pitch_in": (0.125, "in")}, "in**2"),
    (thread.rod_stripping_area_in2,
     {"pitch_in": (0.125, "in"), "engagement_in": (1, "in"), "rod_pitch_low_in": (0.91, "in"),
      "hole_minor_high_in": (0.89, "in")}, "in**2"),
    (thread.hole_stripping_area_in2,
     {"pitch_in": (0.125, "in"), "engagement_in": (1, "in"), "rod_major_low_in": (0.98, "in"),
      "hole_pitch_high_in": (0.93, "in")}, "in**2"),
    (beam.bar_section_modulus_in3,
     {"width_in": (4, "in"), "depth_in": (3, "in"), "hole_in": (1, "in")}, "in**3"),
    (beam.bar_second_moment_in4, {"width_in": (4, "in"), "depth_in": (3, "in")}, "in**4"),
    (beam.bar_shear_stress_psi,
     {"shear_lbf": (2e4, "lbf"), "width_in": (4, "in"), "depth_in": (3, "in")}, "psi"),
    (beam.moment_one_load_lbf_in,
     {"load_lbf": (4e4, "lbf"), "span_in": (14, "in"), "distance_in": (5, "in")}, "lbf*in"),
    (beam.moment_two_loads_lbf_in,
     {"each_load_lbf": (2e4, "lbf"), "distance_in": (5, "in")}, "lbf*in"),
    (beam.deflection_at_centre_in,
     {"load_lbf": (4e4, "lbf"), "span_in": (14, "in"), "modulus_psi": (3e7, "psi"),
      "second_moment_in4": (9, "in**4")}, "in"),
    (beam.deflection_two_loads_in,
     {"each_load_lbf": (2e4, "lbf"), "span_in": (14, "in"), "distance_in": (5, "in"),
      "modulus_psi": (3e7, "psi"), "second_moment_in4": (9, "in**4")}, "in"),
    (weld.fillet_strength_lbf_per_in,
     {"leg_in": (0.25, "in"), "electrode_psi": (7e4, "psi")}, "lbf/in"),
    (weld.plate_shear_lbf_per_in,
     {"thickness_in": (0.5, "in"), "tensile_psi": (5.8e4, "psi")}, "lbf/in"),
    (weld.length_reduction, {"length_in": (27, "in"), "leg_in": (0.1875, "in")}, ""),
]  # fmt: skip

METRIC = {
    "in": "mm", "in**2": "mm**2", "in**3": "mm**3", "in**4": "mm**4", "psi": "MPa", "lbf": "N",
    "lbf*in": "N*m", "lbf/in": "N/mm", "in/psi": "mm/MPa", "": "",
}  # fmt: skip


@pytest.mark.parametrize(
    ("function", "arguments", "unit"), CASES, ids=[case[0].__name__ for case in CASES]
)
def test_metric_quantities_give_the_same_answer(function, arguments, unit):
    plain = function(**{name: value for name, (value, _) in arguments.items()})
    metric = function(
        **{
            name: REGISTRY.Quantity(float(value), one).to(METRIC[one]) if one else value
            for name, (value, one) in arguments.items()
        }
    )
    # a wrong dimension cannot be converted and fails here
    answer = REGISTRY.Quantity(metric).to(unit or "dimensionless").magnitude
    assert answer == pytest.approx(plain, rel=1e-9)


@given(angle=st.floats(0, math.pi / 2), size=st.floats(0.1, 1))
def test_groove_weld_lies_between_along_and_across(angle, size):
    weld_metal = {"throat_in": size, "electrode_psi": 70000}
    along = weld.groove_strength_lbf_per_in(**weld_metal, load_angle_rad=0)
    across = weld.groove_strength_lbf_per_in(**weld_metal, load_angle_rad=math.pi / 2)
    between = weld.groove_strength_lbf_per_in(**weld_metal, load_angle_rad=angle)
    assert along * (1 - 1e-12) <= between <= across * (1 + 1e-12)


@given(span=st.floats(1, 50), place=st.floats(0, 1), load=st.floats(1, 1e5))
def test_no_place_is_worse_than_mid_span(span, place, load):
    center = beam.moment_one_load_lbf_in(load_lbf=load, span_in=span)
    off = beam.moment_one_load_lbf_in(load_lbf=load, span_in=span, distance_in=place * span)
    other = beam.moment_one_load_lbf_in(
        load_lbf=load, span_in=span, distance_in=span - place * span
    )
    assert off <= center * (1 + 1e-12)
    assert off == pytest.approx(other, rel=1e-9, abs=1e-9 * load * span)


@given(span=st.floats(2, 50), load=st.floats(1, 1e5))
def test_two_half_loads_at_the_centre_are_one(span, load):
    bar = {"span_in": span, "modulus_psi": 3e7, "second_moment_in4": 5.0}
    one = beam.deflection_at_centre_in(load_lbf=load, **bar)
    two = beam.deflection_two_loads_in(each_load_lbf=load / 2, distance_in=span / 2, **bar)
    assert two == pytest.approx(one, rel=1e-9)
