"""What the formulas refuse, and the sentence that a person reads: each one whole.

``refusals.csv`` holds one line for each rule of each argument: the value that breaks it, and the
sentence. Everything else about the call is as in `ORDINARY`.
"""

from __future__ import annotations

import csv
import importlib
import inspect
import math
from pathlib import Path
from typing import Any

import pytest

from taperkey.formulas.rig import Rig

WEDGE = {"taper_in_per_in": 1 / 96, "floor_friction": 0.1, "roof_friction": 0.1}
STEEL = 6.4e-6
GUIDED = {"load_lbf": 400.0, "wall_friction": 0.1, "wedge_weight_lbf": 5.0, **WEDGE}
HUB = {
    "outside_in": 8.0, "bore_in": 4.0, "length_in": 4.0, "modulus_psi": 3e7, "poisson": 0.3,
}  # fmt: skip
ORDINARY: dict[str, dict[str, Any]] = {
    "wedge.drive_ratio": WEDGE,
    "wedge.driving_efficiency": WEDGE,
    "wedge.driving_force_lbf": {"normal_force_lbf": 1e5, **WEDGE},
    "wedge.friction_share": WEDGE,
    "wedge.normal_from_drive_lbf": {"push_lbf": 2e4, **WEDGE},
    "wedge.normal_from_pull_lbf": {"pull_lbf": 2e4, **WEDGE},
    "wedge.self_holding": WEDGE,
    "wedge.withdraw_ratio": WEDGE,
    "wedge.withdrawal_force_lbf": {"normal_force_lbf": 1e5, **WEDGE},
    "taper.base_length_for_in": {"wanted_sd_in_per_in": 1e-4, "height_sd_in": 5e-4},
    "taper.compare_with_standard": {
        "taper_in_per_in": 0.01, "sd_in_per_in": 1e-4, "standard_in_per_in": 1 / 96,
        "coverage": 0.95, "dof": 5.0,
    },
    "taper.mouth_height_from_parallel_in": {
        "large_end_height_in": 1.0, "stand_out_in": 0.5, "parallel_taper_in_per_in": 1 / 96,
    },
    "taper.parallel_mismatch": {
        "engaged_length_in": 4.0, "slot_taper_in_per_in": 0.011, "parallel_taper_in_per_in": 1 / 96,
    },
    "taper.taper_sd_in_per_in": {"distances_in": [0.0, 4.0], "height_sd_in": 5e-4},
    "taper.taper_from_stations": {
        "distances_in": [0.0, 4.0], "heights_in": [1.0, 0.96], "height_sd_in": 5e-4,
    },
    "taper.two_point_taper": {
        "mouth_height_in": 1.0104, "inside_height_in": 1.0, "distance_in": 1.0,
        "height_sd_in": 5e-4,
    },
    "taper.which_end_is_large": {
        "taper_in_per_in": 0.01, "sd_in_per_in": 1e-4, "coverage": 0.95, "dof": 5.0,
    },
    "pull.pull_range": {
        "seat_low_lbf": 1e5, "seat_high_lbf": 1.5e5, "friction_low": 0.1, "friction_high": 0.2,
        "taper_in_per_in": 1 / 96,
    },
    "pull.rod_stiffness_lbf_per_in": {
        "stress_area_in2": 0.6, "length_in": 24.0, "modulus_psi": 3e7,
    },
    "pull.sliding_weight": {
        "weight_lbf": 20.0, "speed_in_per_s": 120.0, "useful_share_low": 0.3,
        "useful_share_high": 0.6, "stress_area_in2": 0.6, "length_in": 24.0, "pull_low_lbf": 2e4,
        "pull_high_lbf": 3e4, "modulus_psi": 3e7,
    },
    "thread.hole_stripping_area_in2": {
        "pitch_in": 0.125, "engagement_in": 1.5, "rod_major_low_in": 0.98,
        "hole_pitch_high_in": 0.93,
    },
    "thread.rod_stripping_area_in2": {
        "pitch_in": 0.125, "engagement_in": 1.5, "rod_pitch_low_in": 0.91,
        "hole_minor_high_in": 0.89,
    },
    "thread.strong_rod_stress_area_in2": {"least_pitch_diameter_in": 0.91, "pitch_in": 0.125},
    "thread.stress_area_in2": {"diameter_in": 1.0, "pitch_in": 0.125, "pitch_share": 0.9743},
    "thread.stripping_force_lbf": {
        "diameter_in": 1.0, "pitch_in": 0.125, "engagement_in": 1.5, "rod_shear_psi": 6e4,
        "hole_shear_psi": 3e4,
    },
    "thread.thread_limits": {"diameter_in": 1.0, "pitch_in": 0.125},
    "key.height_for_travel_in": {"travel_in": 0.96, "taper_in_per_in": 1 / 96},
    "key.key_blank": {
        "mouth_height_in": 1.0, "taper_in_per_in": 1 / 96, "engaged_length_in": 8.0,
        "allowance_in": 0.01, "extra_length_in": 0.5,
    },
    "key.key_size": {"shaft_diameter_in": 4.0, "system": "inch", "form": "preferred"},
    "key.keyseat_depths": {
        "shaft_diameter_in": 4.0, "width_in": 1.0, "height_in": 1.0, "kind": "taper",
    },
    "key.metric_keyseat_depths": {"shaft_diameter_in": 4.0, "kind": "taper"},
    "key.travel_for_height_in": {"height_in": 0.01, "taper_in_per_in": 1 / 96},
    "measure.exact_gap_at_angle_in": {
        "shaft_diameter_in": 4.0, "diametral_clearance_in": 0.008, "angle_rad": 1.0,
    },
    "measure.gap_at_angle_in": {"diametral_clearance_in": 0.008, "angle_rad": 1.0},
    "measure.height_left_out_in": {"diametral_clearance_in": 0.008, "angle_rad": 1.0},
    "measure.size_at_reference_in": {
        "reading_in": 1.0, "part_temperature_degF": 90.0, "tool_temperature_degF": 70.0,
        "part_expansion_per_degF": STEEL, "tool_expansion_per_degF": STEEL,
        "reference_temperature_degF": 68.0,
    },
    "measure.thermal_growth_in": {
        "length_in": 1.0, "expansion_per_degF": STEEL, "temperature_change_degF": 20.0,
    },
    "measure.tilted_span_in": {"height_in": 1.0, "tilt_rad": 0.1},
    "measure.travel_from_height_left_out_in": {
        "diametral_clearance_in": 0.008, "angle_rad": 1.0, "taper_in_per_in": 1 / 96,
    },
    "rig_parts.gib_head_link": {
        "width_in": 1.5, "height_in": 1.5, "key_yield_psi": 54000.0, "working_share": 0.4,
    },
    "rig.rig_links": {
        "rig": Rig(method="strongback", thread_name="3/4-10 UNC", grade_name="ASTM A193 B7"),
        "width_in": 1.5, "end_height_in": 1.5, "taper_in_per_in": 0.01,
    },
    "rig_parts.jacks_link": {"rated_tons": 10.0, "number": 2, "working_share": 0.8},
    "rig_parts.seat_link": {
        "area_each_in2": 3.0, "number": 2, "yield_psi": 36000.0, "design_factor": 1.67,
    },
    "rig_parts.strongback_link": {
        "width_in": 4.0, "depth_in": 3.0, "span_in": 12.0, "hole_in": 1.125, "yield_psi": 36000.0,
        "design_factor": 1.67,
    },
    "rig_parts.weld_link": {
        "kind": "fillet", "size_in": 0.375, "length_each_side_in": 3.0, "sides": 2,
        "electrode_psi": 70000.0, "key_tensile_psi": 64000.0,
    },
    "beam.bar_second_moment_in4": {"width_in": 4.0, "depth_in": 3.0},
    "beam.bar_section_modulus_in3": {"width_in": 4.0, "depth_in": 3.0, "hole_in": 1.0},
    "beam.bar_shear_stress_psi": {"shear_lbf": 2e4, "width_in": 3.0, "depth_in": 2.0},
    "beam.deflection_at_centre_in": {
        "load_lbf": 4e4, "span_in": 12.0, "modulus_psi": 3e7, "second_moment_in4": 9.0,
    },
    "beam.deflection_two_loads_in": {
        "each_load_lbf": 2e4, "span_in": 10.0, "distance_in": 3.0, "modulus_psi": 3e7,
        "second_moment_in4": 9.0,
    },
    "beam.moment_one_load_lbf_in": {"load_lbf": 4e4, "span_in": 12.0, "distance_in": 6.0},
    "beam.moment_two_loads_lbf_in": {"each_load_lbf": 2e4, "distance_in": 4.0},
    "cutting.choose_stock": {
        "key_width_in": 1.0, "key_height_in": 1.01, "width_clean_up_in": 0.0,
        "height_clean_up_in": 0.03, "kind": "bar", "system": "inch",
    },
    "cutting.cutting_plan": {
        "stock_height_in": 1.125, "large_end_height_in": 1.01, "small_end_height_in": 0.91,
        "length_in": 9.6, "relief_cut_in": 0.03, "deepest_pass_in": 0.05,
    },
    "free_body.lowering_force_lbf": GUIDED,
    "free_body.raising_force_lbf": GUIDED,
    "free_body.reaction_of_pull": {"pull_lbf": 3e4, **WEDGE},
    "squeeze.opening_growth_in": {
        "difference_degF": 40.0, "bore_in": 6.0, "height_in": 1.0, "expansion_per_degF": STEEL,
    },
    "squeeze.heat_for_squeeze": {
        "squeeze_low_in": 1e-3, "squeeze_high_in": 2e-3, "bore_in": 6.0, "height_in": 1.0,
    },
    "squeeze.heat_to_free": {
        "pressure_low_psi": 8e3, "pressure_high_psi": 1.4e4, "height_in": 1.0, "width_in": 1.5,
        "bore_in": 6.0, "seat_depth_low": 0.5, "seat_depth_high": 1.7,
        "ring_low_in_per_psi": 1e-7, "ring_high_in_per_psi": 2e-7,
    },
    "squeeze.face_pressure_psi": {
        "normal_force_lbf": 1e5, "width_in": 1.5, "contact_length_in": 8.0, "bearing_share": 1.0,
    },
    "squeeze.key_squeeze_in": {"pressure_psi": 1e4, "height_in": 1.0, "modulus_psi": 3e7},
    "squeeze.seat_compliance_in_per_psi": {
        "height_in": 1.0, "width_in": 1.5, "seat_depth": 0.5, "key_modulus_psi": 3e7,
        "shaft_modulus_psi": 3e7, "hub_modulus_psi": 3e7,
    },
    "free_body.wedge_free_body": {"normal_force_lbf": 1e3, "direction": "driving", **WEDGE},
    "micrometer.inch_micrometer_in": {
        "sleeve_number": 2, "sleeve_lines": 3, "thimble_line": 11, "vernier_line": 5,
        "range_low_in": 1.0,
    },
    "micrometer.metric_micrometer_in": {
        "sleeve_millimetres": 22, "half_millimetre_shows": False, "thimble_line": 36,
        "range_low_mm": 25.0,
    },
    "reversed_hub.pull_from_small_end": {"pull_lbf": 4e4, "normal_force_lbf": 1.5e5, **WEDGE},
    "rod.key_section_link": {
        "width_in": 1.5, "height_in": 1.0, "hole_in": 0.75, "key_yield_psi": 54000.0,
        "design_factor": 1.5,
    },
    "hubring.ring_opening_in_per_lbf": {
        **HUB, "keyway_depth_in": 0.5, "key_width_in": 1.0, "shaft": "loose",
    },
    "hubring.ring_closing_in_per_lbf": HUB,
    "hubring.squeeze_force_lbf": {
        "squeeze_in": 0.001, "face_area_in2": 4.0, "seat_in_per_psi": 1e-7, "ring_in_per_lbf": 1e-7,
    },
    "hubring.hoop_stress_psi": {
        "force_lbf": 1e4, "outside_in": 8.0, "bore_in": 4.0, "keyway_depth_in": 0.5,
        "key_width_in": 1.0, "length_in": 4.0, "shaft": "loose",
    },
    "thread.thread_share": {"diameter_in": 0.75, "pitch_in": 0.1, "drill_in": 21 / 32},
    "thread.tap_drill_in": {"diameter_in": 0.75, "pitch_in": 0.1},
    "rod.nut_link": {
        "thread_name": "3/4-10 UNC", "grade_name": "ASTM A193 B7", "height_in": 1.0,
        "nut_yield_psi": 54000.0, "design_factor": 2.0,
    },
    "rod.rod_link": {
        "thread_name": "3/4-10 UNC", "grade_name": "ASTM A193 B7", "condition_factor": 1.0,
        "working_share": 0.75,
    },
    "rod.tapped_hole_link": {
        "thread_name": "3/4-10 UNC", "grade_name": "ASTM A193 B7", "engagement_in": 1.0,
        "key_yield_psi": 54000.0, "design_factor": 2.0,
    },
    "penetrant.crept_depth_in": {"hours": 4.0, "first_hour_in": 0.5},
    "penetrant.wetted_share": {"depth_in": 2.0, "length_in": 8.0, "ends": 2},
    "ways_out.hub_off_force_lbf": {
        "normal_force_lbf": 1e4, "taper_in_per_in": 0.01, "bore_friction": 0.1,
        "roof_friction": 0.1,
    },
    "ways_out.travel_to_free_in": {"squeeze_in": 0.0025, "taper_in_per_in": 0.01},
    "ways_out.drill_sizes_in": {
        "smaller_side_in": 0.75, "pilot_in": 0.25, "step_in": 0.125, "left_in": 0.125,
    },
    "ways_out.drift_size_in": {"width_in": 1.0, "height_in": 0.75, "less_in": 0.0625},
    "ways_out.pressed_end_lbf": {
        "width_in": 1.0, "height_in": 0.5, "yield_psi": 54000.0, "design_factor": 1.5,
    },
    "breakaway.springs_in_a_row_lbf_per_in": {"stiffnesses_lbf_per_in": [1e6, 1e6]},
    "breakaway.sliding_force_lbf": {"first_lbf": 2e4, "free_in": 0.1, "travel_in": 0.025},
    "breakaway.breakaway": {
        "pull_lbf": 1e4, "sliding_lbf": 8e3, "free_in": 0.1, "stiffness_lbf_per_in": 1e6,
    },
    "gauge.gauge_reading_psi": {
        "load_each_lbf": 2e4, "effective_area_in2": 2.24, "division_psi": 200.0,
    },
    "gauge.pump_strokes": {"stretch_in": 0.03, "effective_area_in2": 4.0, "stroke_in3": 0.12},
    "gauge.spring_energy_lbf_in": {"pull_lbf": 2e4, "stiffness_lbf_per_in": 1e6},
    "gauge.nut_torque_lbf_in": {"pull_lbf": 1e4, "diameter_in": 1.0, "nut_factor": 0.2},
    "bow.locked_stress_psi": {"place_in": 0.0, "height_in": 1.0, "skin_pull_psi": 2e4},
    "bow.bow_of_cut_bar_in": {
        "height_in": 1.125, "length_in": 9.0, "top_cut_in": 0.1, "bottom_cut_in": 0.0,
        "skin_pull_psi": 2e4, "modulus_psi": 3e7,
    },
    "misfit.birge_ratio": {"residual_sd": 3e-4, "stated_sd": 2e-4},
    "misfit.odd_station": {"x": [0.0, 2.0, 4.0, 6.0], "y": [1.06, 1.04, 1.02, 1.0], "sd": 5e-4},
    "misfit.york_line": {
        "x": [0.0, 2.0, 4.0], "y": [1.04, 1.02, 1.0], "x_sd": [0.01, 0.01, 0.01],
        "y_sd": [5e-4, 5e-4, 5e-4],
    },
    "common_error.sd_with_common": {"weights": [1.0], "own_sd": 3e-4, "common_sd": 4e-4},
    "seat_routes.seat_by_pressure_lbf": {
        "pressure_psi": 1e4, "width_in": 1.5, "contact_length_in": 8.0, "bearing_share": 0.8,
    },
    "seat_routes.seat_by_travel_lbf": {
        "travel_in": 0.1, "taper_in_per_in": 1 / 96, "height_in": 1.0, "width_in": 1.5,
        "contact_length_in": 8.0, "seat_depth": 0.5, "modulus_psi": 3e7, "ring_in_per_psi": 1e-7,
    },
    "seat_routes.seat_by_blow_lbf": {
        "energy_lbf_in": 1e3, "useful_share": 0.5, "advance_in": 0.05, "taper_in_per_in": 1 / 96,
        "friction": 0.1,
    },
}  # fmt: skip


def formula(name: str) -> Any:
    module, function = name.split(".")
    return getattr(importlib.import_module(f"taperkey.formulas.{module}"), function)


def rows() -> list[dict[str, str]]:
    path = Path(__file__).with_name("refusals.csv")
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def value_of(text: str, ordinary: Any) -> Any:
    if isinstance(ordinary, str):
        return text
    if isinstance(ordinary, list):
        return [float(one) for one in text.split()]
    return float(text)


@pytest.mark.parametrize(
    "row", rows(), ids=lambda r: f"{r['function']}-{r['argument']}-{r['value']}"
)
def test_the_sentence_is_this_one(row: dict[str, str]) -> None:
    ordinary = ORDINARY[row["function"]]
    bad = value_of(row["value"], ordinary[row["argument"]])
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole sentence is compared
        formula(row["function"])(**{**ordinary, row["argument"]: bad})
    assert str(caught.value) == row["sentence"]


@pytest.mark.parametrize("name", ORDINARY)
def test_ordinary_values_are_taken_and_no_number_may_be_missing(name: str) -> None:
    act, ordinary = formula(name), ORDINARY[name]
    act(**ordinary)
    assert set(ordinary) == set(inspect.signature(act).parameters)
    first = {
        row["argument"]: row["sentence"] for row in reversed(rows()) if row["function"] == name
    }
    tried = 0
    for argument, value in ordinary.items():
        if isinstance(value, (str, list)) or argument not in first:
            continue
        with pytest.raises(ValueError) as caught:  # noqa: PT011 - compared below
            act(**{**ordinary, argument: math.nan})
        called = first[argument].split(" is ")[0]
        assert str(caught.value).startswith(f"{called} is nan")
        assert "it must be a finite number." in str(caught.value)
        tried += 1
    assert tried == sum(not isinstance(v, (str, list)) and k in first for k, v in ordinary.items())


def test_every_formula_of_these_modules_is_in_the_table() -> None:
    names = {row["function"] for row in rows()}
    for module in {name.split(".")[0] for name in ORDINARY}:
        whole = importlib.import_module(f"taperkey.formulas.{module}")
        for name in whole.__all__:
            act = getattr(whole, name)
            own = getattr(act, "__module__", "") == whole.__name__
            if own and inspect.isfunction(act) and not name.startswith("require_"):
                assert f"{module}.{name}" in names
