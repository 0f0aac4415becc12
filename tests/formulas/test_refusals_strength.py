"""What seat, squeeze, strength, weld, shrink, key form, taper forms and uncertainty refuse.

Each line of `REFUSED` is one rule of one argument: the value that breaks it, and the whole
sentence that a person reads. Everything else about the call is as in `ORDINARY`.
"""

from __future__ import annotations

import inspect
import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from taperkey.formulas import (
    bearing,
    key_form,
    seat,
    shrink,
    squeeze,
    strength,
    student,
    taper_forms,
    torque,
    uncertainty,
    weld,
)
from taperkey.formulas.uncertainty import Contribution

NAN, INF = math.nan, math.inf
MODULES = (
    bearing, key_form, seat, shrink, squeeze, strength, student, taper_forms, torque,
    uncertainty, weld,
)  # fmt: skip
TORQUE = {"torque_lbf_in": 4e3, "shaft_diameter_in": 2.0}
SEAT = {"height_in": 1.0, "width_in": 1.5}
RINGS = {
    "inner_radius_in": 1.0, "common_radius_in": 2.0, "outer_radius_in": 4.0,
    "shaft_modulus_psi": 3e7, "hub_modulus_psi": 3e7, "poisson": 0.3,
}  # fmt: skip
WELD = {"electrode_psi": 7e4, "load_angle_rad": 0.5, "method": "allowable"}
READINGS = [1.001, 1.002, 1.003, 1.004]
ORDINARY: dict[str, dict[str, Any]] = {
    "torque_lbf_in": {"power_hp": 40.0, "speed_rpm": 600.0},
    "solid_shaft_torque_lbf_in": {"shaft_diameter_in": 2.0, "shear_stress_psi": 5e3},
    "key_force_lbf": TORQUE,
    "key_shear_stress_psi": {**TORQUE, "width_in": 0.5, "length_in": 2.0},
    "key_bearing_stress_psi": {**TORQUE, "bearing_height_in": 0.25, "length_in": 2.0},
    "bearing_height_in": {"slot_side_depth_in": 0.5, "chamfer_in": 0.1},
    "key_bearing": {
        **TORQUE, "length_in": 2.0, "shaft_height_in": 0.25, "hub_height_in": 0.2,
        "key_allowable_psi": 18e3, "shaft_allowable_psi": 15e3, "hub_allowable_psi": 12e3,
    },
    "key_length_for_shear_in": {**TORQUE, "width_in": 0.5, "allowable_shear_psi": 4e3},
    "key_length_for_bearing_in": {
        **TORQUE, "bearing_height_in": 0.25, "allowable_bearing_psi": 8e3,
    },
    "equal_strength_height_in": {
        "width_in": 0.5, "allowable_shear_psi": 4e3, "allowable_bearing_psi": 8e3,
    },
    "key_strength": {
        **TORQUE, "width_in": 0.5, "shaft_height_in": 0.25, "hub_height_in": 0.2,
        "length_in": 2.0, "key_yield_psi": 54e3, "shaft_yield_psi": 45e3, "hub_yield_psi": 36e3,
        "design_factor": 3.0, "service_factor": 1.5, "shear_share": 0.577,
    },
    "face_pressure_psi": {
        "normal_force_lbf": 1e5, "width_in": 1.5, "contact_length_in": 8.0, "bearing_share": 0.8,
    },
    "opening_growth_in": {
        "difference_degF": 40.0, "bore_in": 6.0, "height_in": 1.0, "expansion_per_degF": 6.4e-6,
    },
    "heat_to_free": {
        "pressure_low_psi": 8e3, "pressure_high_psi": 14e3, **SEAT, "bore_in": 6.0,
        "seat_depth_low": 0.5, "seat_depth_high": 1.7, "ring_low_in_per_psi": 1e-7,
        "ring_high_in_per_psi": 2e-7,
    },
    "heat_for_squeeze": {
        "squeeze_low_in": 0.001, "squeeze_high_in": 0.002, "bore_in": 6.0, "height_in": 1.0,
    },
    "key_squeeze_in": {"pressure_psi": 12e3, "height_in": 1.0, "modulus_psi": 3e7},
    "seat_compliance_in_per_psi": {
        **SEAT, "seat_depth": 0.5, "key_modulus_psi": 3e7, "shaft_modulus_psi": 3e7,
        "hub_modulus_psi": 3e7,
    },
    "seat_from_pressure": {
        "pressure_low_psi": 8e3, "pressure_high_psi": 16e3, "width_in": 1.5,
        "contact_length_in": 8.0, "bearing_share_low": 0.7, "bearing_share_high": 0.9,
    },
    "seat_from_travel": {
        "travel_low_in": 0.06, "travel_high_in": 0.12, "taper_in_per_in": 1 / 96, **SEAT,
        "contact_length_in": 8.0, "seat_depth_low": 0.5, "seat_depth_high": 1.7,
        "modulus_psi": 3e7, "ring_low_in_per_psi": 1e-7, "ring_high_in_per_psi": 2e-7,
    },
    "blow_energy_lbf_in": {"weight_lbf": 12.0, "speed_in_per_s": 360.0},
    "seat_from_last_blow": {
        "weight_lbf": 12.0, "speed_low_in_per_s": 240.0, "speed_high_in_per_s": 360.0,
        "useful_share_low": 0.3, "useful_share_high": 0.6, "advance_low_in": 0.03,
        "advance_high_in": 0.06, "taper_in_per_in": 1 / 96, "friction_low": 0.1,
        "friction_high": 0.2,
    },
    "combined_seat": {"estimates": [
        seat.SeatEstimate(route="travel", low_lbf=1e4, high_lbf=2e4, assumption="By travel.")
    ]},
    "shrink_interference_in": {"pressure_psi": 5e3, **RINGS},
    "shrink_pressure_psi": {"interference_in": 0.001, **RINGS},
    "fit_range": {
        "hole_low_in": 1.0, "hole_high_in": 1.001, "shaft_low_in": 0.998, "shaft_high_in": 0.999,
    },
    "angle_increase": {"load_angle_rad": 0.5},
    "length_reduction": {"length_in": 27.0, "leg_in": 0.1875},
    "fillet_strength_lbf_per_in": {"leg_in": 0.25, **WELD},
    "groove_strength_lbf_per_in": {"throat_in": 0.5, **WELD},
    "plate_shear_lbf_per_in": {"thickness_in": 0.5, "tensile_psi": 58e3, "method": "allowable"},
    "stepped_key": {
        "hub_slot_width_in": 1.03, "shaft_slot_width_in": 1.0, "shaft_slot_side_depth_in": 0.48,
        "large_end_height_in": 1.01, "small_end_height_in": 0.93, "side_clearance_in": 0.002,
        "relief_in": 0.02,
    },
    "held_off_height_in": {"slot_radius_in": 0.0625, "chamfer_in": 0.03125, "side_gap_in": 0.0},
    "chamfer_clears": {"slot_radius_in": 0.0625, "chamfer_in": 0.078125},
    "tapped_end": {
        "width_in": 1.0, "large_end_height_in": 1.0, "taper_in_per_in": 0.01,
        "hole_diameter_in": 0.5, "hole_depth_in": 1.5,
    },
    "taper_per_foot_in": {"taper_in_per_in": 0.01},
    "taper_from_per_foot_in_per_in": {"taper_per_foot_in": 0.125},
    "taper_ratio": {"taper_in_per_in": 0.01},
    "taper_from_ratio_in_per_in": {"ratio": 96.0},
    "taper_angle_rad": {"taper_in_per_in": 0.01},
    "taper_from_angle_in_per_in": {"angle_rad": 0.01},
    "student_quantile": {"dof": 4.0, "probability": 0.975},
    "mean_reading": {"readings_in": READINGS},
    "reading_uncertainty_in": {"division_in": 0.001, "standard_uncertainty_in": 0.0005},
    "grubbs_limit": {"count": 5, "significance": 0.05},
    "find_outlier": {"readings_in": READINGS, "significance": 0.05},
    "coverage_factor": {"coverage": 0.95, "dof": 9.0},
    "combine_uncertainty": {"contributions": [Contribution(0.001, 4)], "coverage": 0.95},
}  # fmt: skip

METHOD = "method is 'plastic'; it must be one of: allowable, factored, nominal."
STRAIGHT = "it must be above 0. A straight key does not wedge."
PER_FOOT = "Divide the taper per foot by 12."
MORE = "Take more readings at this station."
REFUSED: list[tuple[str, str, Any, str]] = [
    ("torque_lbf_in", "power_hp", 0, "power is 0 hp; it must be above 0."),
    ("torque_lbf_in", "speed_rpm", 0, "speed is 0 rpm; it must be above 0."),
    ("solid_shaft_torque_lbf_in", "shaft_diameter_in", -1.5,
     "shaft diameter is -1.5 in; it must be above 0."),
    ("solid_shaft_torque_lbf_in", "shear_stress_psi", 0,
     "shear stress is 0 psi; it must be above 0."),
    ("key_force_lbf", "torque_lbf_in", 0, "torque is 0 lbf in; it must be above 0."),
    ("key_force_lbf", "shaft_diameter_in", 0, "shaft diameter is 0 in; it must be above 0."),
    ("key_shear_stress_psi", "torque_lbf_in", 0, "torque is 0 lbf in; it must be above 0."),
    ("key_shear_stress_psi", "width_in", 0, "key width is 0 in; it must be above 0."),
    ("key_shear_stress_psi", "length_in", 0, "key length is 0 in; it must be above 0."),
    ("key_bearing_stress_psi", "bearing_height_in", 0,
     "bearing height is 0 in; it must be above 0."),
    ("key_bearing_stress_psi", "length_in", 0, "key length is 0 in; it must be above 0."),
    ("key_length_for_shear_in", "width_in", 0, "key width is 0 in; it must be above 0."),
    ("key_length_for_shear_in", "allowable_shear_psi", 0,
     "allowable shear stress is 0 psi; it must be above 0."),
    ("key_length_for_bearing_in", "bearing_height_in", 0,
     "bearing height is 0 in; it must be above 0."),
    ("key_length_for_bearing_in", "allowable_bearing_psi", 0,
     "allowable bearing stress is 0 psi; it must be above 0."),
    ("equal_strength_height_in", "width_in", 0, "key width is 0 in; it must be above 0."),
    ("equal_strength_height_in", "allowable_shear_psi", 0,
     "allowable shear stress is 0 psi; it must be above 0."),
    ("equal_strength_height_in", "allowable_bearing_psi", 0,
     "allowable bearing stress is 0 psi; it must be above 0."),
    ("key_strength", "key_yield_psi", 0,
     "yield strength of the key is 0 psi; it must be above 0."),
    ("key_strength", "shaft_yield_psi", 0,
     "yield strength of the shaft is 0 psi; it must be above 0."),
    ("key_strength", "hub_yield_psi", -1,
     "yield strength of the hub is -1 psi; it must be above 0."),
    ("key_bearing", "key_allowable_psi", 0,
     "bearing stress allowed for the key is 0 psi; it must be above 0."),
    ("key_bearing", "shaft_allowable_psi", 0,
     "bearing stress allowed for the shaft is 0 psi; it must be above 0."),
    ("key_bearing", "hub_allowable_psi", 0,
     "bearing stress allowed for the hub is 0 psi; it must be above 0."),
    ("bearing_height_in", "slot_side_depth_in", 0,
     "depth of the slot is 0 in; it must be above 0. Measure it along the side."),
    ("bearing_height_in", "chamfer_in", -0.1, "chamfer is -0.1 in; it must be 0 or more."),
    ("key_strength", "design_factor", 0.9, "design factor is 0.9; it must be 1 or more."),
    ("key_strength", "service_factor", 0.9, "service factor is 0.9; it must be 1 or more."),
    ("key_strength", "shear_share", 0.3, "shear share is 0.3; it must be from 0.4 to 0.6."),
    ("key_strength", "shear_share", 0.7, "shear share is 0.7; it must be from 0.4 to 0.6."),
    ("face_pressure_psi", "normal_force_lbf", -1, "normal force is -1 lbf; it must be 0 or more."),
    ("face_pressure_psi", "width_in", 0, "key width is 0 in; it must be above 0."),
    ("face_pressure_psi", "contact_length_in", 0, "contact length is 0 in; it must be above 0."),
    ("face_pressure_psi", "bearing_share", 0, "bearing share is 0; it must be above 0."),
    ("face_pressure_psi", "bearing_share", 1.2, "bearing share is 1.2; it must be from 0 to 1."),
    ("opening_growth_in", "difference_degF", 601,
     "hub above shaft and key is 601 degF; it must be from 0 to 600 degF."),
    ("opening_growth_in", "bore_in", 0, "bore is 0 in; it must be above 0."),
    ("opening_growth_in", "height_in", 0, "key height is 0 in; it must be above 0."),
    ("heat_to_free", "pressure_low_psi", 0,
     "low end of the pressure is 0 psi; it must be above 0."),
    ("heat_to_free", "pressure_high_psi", 7e3,
     "high end of the pressure is 7,000 psi; it must be 8,000 psi or more."),
    ("heat_to_free", "bore_in", 0, "bore is 0 in; it must be above 0."),
    ("heat_to_free", "width_in", 0, "key width is 0 in; it must be above 0."),
    ("heat_to_free", "seat_depth_high", 0.2,
     "high end of the seat depth is 0.2 key widths; it must be 0.5 key widths or more."),
    ("heat_to_free", "seat_depth_high", 6,
     "seat depth is 6 key widths; it must be from 0 to 5 key widths."),
    ("heat_for_squeeze", "squeeze_low_in", 0,
     "low end of the squeeze is 0 in; it must be above 0."),
    ("heat_for_squeeze", "squeeze_high_in", 0.0005,
     "high end of the squeeze is 0.0005 in; it must be 0.001 in or more."),
    ("heat_for_squeeze", "bore_in", 0, "bore is 0 in; it must be above 0."),
    ("key_squeeze_in", "pressure_psi", -1, "pressure is -1 psi; it must be 0 or more."),
    ("key_squeeze_in", "height_in", 0, "key height is 0 in; it must be above 0."),
    ("key_squeeze_in", "modulus_psi", 0, "modulus is 0 psi; it must be above 0."),
    ("seat_compliance_in_per_psi", "height_in", 0, "key height is 0 in; it must be above 0."),
    ("seat_compliance_in_per_psi", "width_in", 0, "key width is 0 in; it must be above 0."),
    ("seat_compliance_in_per_psi", "seat_depth", -1,
     "seat depth is -1 key widths; it must be from 0 to 5 key widths."),
    ("seat_compliance_in_per_psi", "seat_depth", 5.5,
     "seat depth is 5.5 key widths; it must be from 0 to 5 key widths."),
    ("seat_compliance_in_per_psi", "key_modulus_psi", 0,
     "key modulus is 0 psi; it must be above 0."),
    ("seat_compliance_in_per_psi", "shaft_modulus_psi", 0,
     "shaft modulus is 0 psi; it must be above 0."),
    ("seat_compliance_in_per_psi", "hub_modulus_psi", 0,
     "hub modulus is 0 psi; it must be above 0."),
    ("seat_from_pressure", "pressure_low_psi", 0,
     "pressure, low end is 0 psi; it must be above 0."),
    ("seat_from_pressure", "pressure_high_psi", 7e3,
     "pressure, high end is 7,000 psi; it must be 8,000 psi or more."),
    ("seat_from_pressure", "bearing_share_low", 0,
     "bearing share, low end is 0; it must be above 0."),
    ("seat_from_pressure", "bearing_share_high", 0.6,
     "bearing share, high end is 0.6; it must be 0.7 or more."),
    ("seat_from_pressure", "bearing_share_high", 1.1,
     "bearing share, high end is 1.1; it must be from 0 to 1."),
    ("seat_from_pressure", "width_in", 0, "key width is 0 in; it must be above 0."),
    ("seat_from_pressure", "contact_length_in", 0, "contact length is 0 in; it must be above 0."),
    ("seat_from_travel", "travel_low_in", 0,
     "travel after contact, low end is 0 in; it must be above 0."),
    ("seat_from_travel", "travel_high_in", 0.05,
     "travel after contact, high end is 0.05 in; it must be 0.06 in or more."),
    ("seat_from_travel", "taper_in_per_in", 0, f"taper is 0 in/in; {STRAIGHT}"),
    ("seat_from_travel", "taper_in_per_in", 0.7,
     "taper is 0.7 in/in; it must be from 0 to 0.6 in/in."),
    ("seat_from_travel", "height_in", 0, "key height is 0 in; it must be above 0."),
    ("seat_from_travel", "width_in", 0, "key width is 0 in; it must be above 0."),
    ("seat_from_travel", "contact_length_in", 0, "contact length is 0 in; it must be above 0."),
    ("seat_from_travel", "seat_depth_low", -1,
     "seat depth is -1 key widths; it must be from 0 to 5 key widths."),
    ("seat_from_travel", "seat_depth_high", 0.4,
     "seat depth, high end is 0.4 key widths; it must be 0.5 key widths or more."),
    ("seat_from_travel", "ring_low_in_per_psi", -1e-7,
     "ring's opening, low end is -1e-07 in/psi; it must be 0 or more."),
    ("seat_from_travel", "ring_high_in_per_psi", 0,
     "ring's opening, high end is 0 in/psi; it must be 1e-07 in/psi or more."),
    ("heat_to_free", "ring_low_in_per_psi", -1e-7,
     "low end of the ring's opening is -1e-07 in/psi; it must be 0 or more."),
    ("heat_to_free", "ring_high_in_per_psi", 0,
     "high end of the ring's opening is 0 in/psi; it must be 1e-07 in/psi or more."),
    ("seat_from_travel", "modulus_psi", 0, "key modulus is 0 psi; it must be above 0."),
    ("blow_energy_lbf_in", "weight_lbf", 0, "weight is 0 lbf; it must be above 0."),
    ("blow_energy_lbf_in", "speed_in_per_s", 0, "speed is 0 in/s; it must be above 0."),
    ("seat_from_last_blow", "weight_lbf", 0, "weight is 0 lbf; it must be above 0."),
    ("seat_from_last_blow", "speed_low_in_per_s", 0,
     "speed, low end is 0 in/s; it must be above 0."),
    ("seat_from_last_blow", "speed_high_in_per_s", 200,
     "speed, high end is 200 in/s; it must be 240 in/s or more."),
    ("seat_from_last_blow", "useful_share_low", 0,
     "useful share, low end is 0; it must be above 0."),
    ("seat_from_last_blow", "useful_share_high", 0.2,
     "useful share, high end is 0.2; it must be 0.3 or more."),
    ("seat_from_last_blow", "useful_share_high", 1.1,
     "useful share, high end is 1.1; it must be from 0 to 1."),
    ("seat_from_last_blow", "advance_low_in", 0,
     "last advance, low end is 0 in; it must be above 0."),
    ("seat_from_last_blow", "advance_high_in", 0.02,
     "last advance, high end is 0.02 in; it must be 0.03 in or more."),
    ("seat_from_last_blow", "taper_in_per_in", 0, f"taper is 0 in/in; {STRAIGHT}"),
    ("seat_from_last_blow", "taper_in_per_in", 0.7,
     f"taper is 0.7 in/in; it must be from 0 to 0.6 in/in. {PER_FOOT}"),
    ("seat_from_last_blow", "friction_low", -0.1,
     "friction, low end is -0.1; it must be 0 or more."),
    ("seat_from_last_blow", "friction_high", 0.05,
     "friction, high end is 0.05; it must be from 0.1 to 1.5."),
    ("seat_from_last_blow", "friction_high", 1.6,
     "friction, high end is 1.6; it must be from 0.1 to 1.5."),
    ("combined_seat", "estimates", [],
     "number of estimates is 0; it must be 1 or more. Give at least one route."),
    ("shrink_interference_in", "pressure_psi", -1, "pressure is -1 psi; it must be 0 or more."),
    ("shrink_interference_in", "inner_radius_in", -1,
     "inner radius is -1 in; it must be 0 or more."),
    ("shrink_interference_in", "common_radius_in", 1,
     "common radius is 1 in; it must be above 1 in."),
    ("shrink_interference_in", "outer_radius_in", 2,
     "outer radius is 2 in; it must be above 2 in."),
    ("shrink_interference_in", "shaft_modulus_psi", 0,
     "shaft modulus is 0 psi; it must be above 0."),
    ("shrink_interference_in", "hub_modulus_psi", 0, "hub modulus is 0 psi; it must be above 0."),
    ("shrink_interference_in", "poisson", -0.1,
     "Poisson's ratio is -0.1; it must be from 0 to 0.5."),
    ("shrink_interference_in", "poisson", 0.6, "Poisson's ratio is 0.6; it must be from 0 to 0.5."),
    ("shrink_pressure_psi", "interference_in", -1, "interference is -1 in; it must be 0 or more."),
    ("fit_range", "hole_low_in", 0, "smallest hole is 0 in; it must be above 0."),
    ("fit_range", "shaft_low_in", 0, "smallest shaft is 0 in; it must be above 0."),
    ("fit_range", "hole_high_in", 0.9, "largest hole is 0.9 in; it must be 1 in or more."),
    ("fit_range", "shaft_high_in", 0.9, "largest shaft is 0.9 in; it must be 0.998 in or more."),
    ("angle_increase", "load_angle_rad", -0.1,
     "load angle is -0.1 rad; it must be from 0 to 1.5708 rad."),
    ("angle_increase", "load_angle_rad", 1.6,
     "load angle is 1.6 rad; it must be from 0 to 1.5708 rad."),
    ("length_reduction", "length_in", 0, "weld length is 0 in; it must be above 0."),
    ("length_reduction", "leg_in", 0, "weld leg is 0 in; it must be above 0."),
    ("fillet_strength_lbf_per_in", "leg_in", 0, "weld leg is 0 in; it must be above 0."),
    ("fillet_strength_lbf_per_in", "electrode_psi", 0,
     "electrode strength is 0 psi; it must be above 0."),
    ("fillet_strength_lbf_per_in", "load_angle_rad", -0.1,
     "load angle is -0.1 rad; it must be from 0 to 1.5708 rad."),
    ("fillet_strength_lbf_per_in", "method", "plastic", METHOD),
    ("groove_strength_lbf_per_in", "throat_in", 0, "throat is 0 in; it must be above 0."),
    ("groove_strength_lbf_per_in", "electrode_psi", 0,
     "electrode strength is 0 psi; it must be above 0."),
    ("groove_strength_lbf_per_in", "load_angle_rad", -0.1,
     "load angle is -0.1 rad; it must be from 0 to 1.5708 rad."),
    ("groove_strength_lbf_per_in", "load_angle_rad", 1.6,
     "load angle is 1.6 rad; it must be from 0 to 1.5708 rad."),
    ("groove_strength_lbf_per_in", "method", "plastic", METHOD),
    ("plate_shear_lbf_per_in", "thickness_in", -1, "thickness is -1 in; it must be 0 or more."),
    ("plate_shear_lbf_per_in", "tensile_psi", 0, "tensile strength is 0 psi; it must be above 0."),
    ("plate_shear_lbf_per_in", "method", "plastic", METHOD),
    ("stepped_key", "hub_slot_width_in", 0,
     "width of the hub slot is 0 in; it must be above 0. Measure it again."),
    ("stepped_key", "shaft_slot_width_in", 0,
     "width of the shaft slot is 0 in; it must be above 0. Measure it again."),
    ("stepped_key", "shaft_slot_side_depth_in", 0,
     "depth of the shaft slot is 0 in; it must be above 0. Measure it."),
    ("stepped_key", "small_end_height_in", 0,
     "height of the small end is 0 in; it must be above 0."),
    ("stepped_key", "large_end_height_in", 0.9,
     "height of the large end is 0.9 in; it must be 0.93 in or more, as at the small end."),
    ("stepped_key", "large_end_height_in", INF,
     "height of the large end is inf in; it must be 0.93 in or more, as at the small end."),
    ("stepped_key", "side_clearance_in", -0.1, "side clearance is -0.1 in; it must be 0 or more."),
    # the narrower slot, the shaft's 1 in, leaves 1 - 1.02 = -0.02 in
    ("stepped_key", "side_clearance_in", 1.02,
     "width of the key is -0.02 in; it must be above 0. Lower the side clearance."),
    ("stepped_key", "relief_in", -0.1, "relief is -0.1 in; it must be 0 or more."),
    # the wide hub portion starts 0.48 + 0.5 = 0.98 in up, above the 0.93 in of the small end
    ("stepped_key", "relief_in", 0.5,
     "height of the hub portion is -0.05 in; it must be above 0. Check both depths."),
    ("held_off_height_in", "slot_radius_in", -1,
     "radius in the slot is -1 in; it must be 0 or more. Use a radius gauge."),
    ("held_off_height_in", "chamfer_in", -1, "chamfer is -1 in; it must be 0 or more."),
    ("held_off_height_in", "side_gap_in", -1, "side gap is -1 in; it must be 0 or more."),
    ("chamfer_clears", "slot_radius_in", -1,
     "radius in the slot is -1 in; it must be 0 or more. Use a radius gauge."),
    ("chamfer_clears", "chamfer_in", -1, "chamfer is -1 in; it must be 0 or more."),
    ("tapped_end", "width_in", 0, "key width is 0 in; it must be above 0."),
    ("tapped_end", "large_end_height_in", 0,
     "height of the large end is 0 in; it must be above 0."),
    ("tapped_end", "taper_in_per_in", -1, "taper is -1 in/in; it must be 0 or more."),
    ("tapped_end", "hole_diameter_in", 0,
     "hole diameter is 0 in; it must be above 0. Enter the thread's diameter."),
    ("tapped_end", "hole_depth_in", -1, "hole depth is -1 in; it must be 0 or more."),
    # 0.01 in/in over 150 in takes 1.5 in off a height of 1 in
    ("tapped_end", "hole_depth_in", 150,
     "key height at the bottom of the hole is -0.5 in; it must be above 0. Check the depth."),
    ("taper_per_foot_in", "taper_in_per_in", NAN,
     "taper is nan in/in; it must be a finite number."),
    ("taper_from_per_foot_in_per_in", "taper_per_foot_in", INF,
     "taper per foot is inf in/ft; it must be a finite number."),
    ("taper_ratio", "taper_in_per_in", NAN, "taper is nan in/in; it must be a finite number."),
    ("taper_ratio", "taper_in_per_in", 0.0,
     "taper is 0 in/in; it must be other than 0. A straight slot has no ratio."),
    ("taper_from_ratio_in_per_in", "ratio", INF, "ratio is inf; it must be a finite number."),
    ("taper_from_ratio_in_per_in", "ratio", 0.0,
     "ratio is 0; it must be other than 0. Enter the 96 of 1:96."),
    ("taper_angle_rad", "taper_in_per_in", INF, "taper is inf in/in; it must be a finite number."),
    ("taper_from_angle_in_per_in", "angle_rad", -1.6,
     "angle is -1.6 rad; it must be from -1.5 to 1.5 rad. Enter the angle of the sloping face."),
    ("taper_from_angle_in_per_in", "angle_rad", 1.6,
     "angle is 1.6 rad; it must be from -1.5 to 1.5 rad. Enter the angle of the sloping face."),
    ("student_quantile", "dof", 0, "degrees of freedom is 0; it must be above 0."),
    ("student_quantile", "probability", 0.0, "probability is 0; it must be from 1e-15 to 1."),
    ("student_quantile", "probability", 1.0, "probability is 1; it must be from 1e-15 to 1."),
    ("mean_reading", "readings_in", [1.0],
     f"number of readings is 1; it must be 2 or more. {MORE}"),
    ("mean_reading", "readings_in", [1.0, 0.0],
     "reading is 0 in; it must be above 0. Enter the reading in inches."),
    ("reading_uncertainty_in", "division_in", 0,
     "division is 0 in; it must be above 0. Enter the smallest division of the scale."),
    ("reading_uncertainty_in", "standard_uncertainty_in", -1,
     "standard uncertainty is -1 in; it must be 0 or more."),
    ("grubbs_limit", "count", 2, f"number of readings is 2; it must be 3 or more. {MORE}"),
    ("grubbs_limit", "significance", 0.0, "significance is 0; it must be from 1e-09 to 1."),
    ("grubbs_limit", "significance", 1.0, "significance is 1; it must be from 1e-09 to 1."),
    ("find_outlier", "readings_in", [1.0, 1.1],
     f"number of readings is 2; it must be 3 or more. {MORE}"),
    ("find_outlier", "significance", 2.0, "significance is 2; it must be from 1e-09 to 1."),
    ("coverage_factor", "coverage", 0.0,
     "coverage is 0; it must be from 1e-09 to 1. Enter a share such as 0.95."),
    ("coverage_factor", "coverage", 1.0,
     "coverage is 1; it must be from 1e-09 to 1. Enter a share such as 0.95."),
    ("coverage_factor", "dof", 0, "degrees of freedom is 0; it must be above 0."),
    ("combine_uncertainty", "contributions", [],
     "number of contributions is 0; it must be 1 or more."),
    ("combine_uncertainty", "contributions", [Contribution(-1.0)],
     "standard uncertainty of contribution is -1; it must be 0 or more."),
    ("combine_uncertainty", "contributions", [Contribution(1.0, sensitivity=INF, name="lean")],
     "sensitivity of lean is inf; it must be a finite number."),
    ("combine_uncertainty", "contributions", [Contribution(1.0, dof=0.0, name="lean")],
     "degrees of freedom of lean is 0; it must be above 0."),
    ("combine_uncertainty", "coverage", 95.0,
     "coverage is 95; it must be from 1e-09 to 1. Enter a share such as 0.95."),
]  # fmt: skip


def formulas() -> dict[str, Callable[..., Any]]:
    """Every public function that these modules define themselves."""
    return {
        name: act
        for module in MODULES
        for name in module.__all__
        if callable(act := getattr(module, name))
        and not inspect.isclass(act)
        and getattr(act, "__module__", "") == module.__name__
    }


@pytest.mark.parametrize(
    ("name", "argument", "value", "sentence"),
    REFUSED,
    ids=[f"{name}-{argument}-{at}" for at, (name, argument, _, _) in enumerate(REFUSED)],
)
def test_the_sentence_is_this_one(name: str, argument: str, value: Any, sentence: str) -> None:
    act, ordinary = formulas()[name], ORDINARY[name]
    act(**ordinary)  # everything else is taken
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole sentence is compared
        act(**{**ordinary, argument: value})
    assert str(caught.value) == sentence


def test_every_formula_of_these_modules_is_tried_with_every_argument_given() -> None:
    assert set(formulas()) == set(ORDINARY) == {name for name, *_ in REFUSED}
    for name, act in formulas().items():
        assert set(ORDINARY[name]) == set(inspect.signature(act).parameters), name


@pytest.mark.parametrize("act", [taper_forms.taper_ratio, taper_forms.taper_from_ratio_in_per_in])
def test_one_zero_among_many_is_refused(act: Callable[..., Any]) -> None:
    (argument,) = inspect.signature(act).parameters
    with pytest.raises(ValueError, match=r" is 0( in/in)?; it must be other than 0\. "):
        act(**{argument: np.array([100.0, 0.0])})
