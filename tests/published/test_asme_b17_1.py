"""ASME B17.1-1967 (R2013), Keys and Keyseats.

Sizes to 7-1/2 in: found in Shop Reference for Students and Apprentices, 2nd ed., Industrial
Press, Table 1; small rows agree with Shigley's Mechanical Engineering Design, 9th ed., Table 7-6.
Tolerances: the standard's own table, from memory. Alignment: found in Machinery's Handbook,
31st ed., p. 2552. What is from memory says so.
"""

import pytest

from taperkey.formulas.key import key_size, keyseat_depths
from taperkey.tables.keys import (
    inch_key_size,
    keyseat_fillet,
)
from taperkey.tables.stock import key_tolerance

FOUND_SIZES = {  # shaft to and including: width, square height, rectangular height
    0.4375: (3 / 32, 3 / 32, None), 0.875: (3 / 16, 3 / 16, 1 / 8),
    1.375: (5 / 16, 5 / 16, 1 / 4), 2.25: (1 / 2, 1 / 2, 3 / 8), 2.75: (5 / 8, 5 / 8, 7 / 16),
    3.75: (7 / 8, 7 / 8, 5 / 8), 4.5: (1, 1, 3 / 4), 5.5: (1.25, 1.25, 7 / 8),
    6.5: (1.5, 1.5, 1), 7.5: (1.75, 1.75, 1.5),
}  # fmt: skip

MEMORY_SIZES = {9: (2, 2, 1.5), 13: (3, 3, 2), 18: (4, None, 3), 30: (7, None, 5)}


@pytest.mark.parametrize("shaft_diameter_in", FOUND_SIZES)
def test_sizes_found_in_print(shaft_diameter_in):
    size = inch_key_size(shaft_diameter_in=shaft_diameter_in)
    listed = (size.width_in, size.square_height_in, size.rectangular_height_in)
    assert listed == FOUND_SIZES[shaft_diameter_in]
    assert size.status == "found"


@pytest.mark.parametrize("shaft_diameter_in", MEMORY_SIZES)
def test_sizes_from_memory(shaft_diameter_in):
    size = inch_key_size(shaft_diameter_in=shaft_diameter_in)
    listed = (size.width_in, size.square_height_in, size.rectangular_height_in)
    assert listed == MEMORY_SIZES[shaft_diameter_in]
    assert size.status == "memory"


def test_square_is_preferred_through_6_5_in():
    assert key_size(shaft_diameter_in=6.5).form == "square"
    assert key_size(shaft_diameter_in=6.51).form == "rectangular"


@pytest.mark.parametrize(
    ("shaft", "width", "height", "S", "T_parallel", "T_taper"),
    [
        (0.5, 1 / 8, 1 / 8, 0.430, 0.560, 0.535),
        (1.0, 1 / 4, 1 / 4, 0.859, 1.114, 1.089),
        (2.0, 1 / 2, 1 / 2, 1.718, 2.223, 2.198),
        (2.0, 1 / 2, 3 / 8, 1.781, 2.161, 2.136),
    ],
)
def test_depths(shaft, width, height, S, T_parallel, T_taper):
    key = {"shaft_diameter_in": shaft, "width_in": width, "height_in": height}
    taper = keyseat_depths(**key, kind="taper")
    assert taper.shaft_depth_in == pytest.approx(S, abs=0.0005)  # printed to 0.001
    assert taper.hub_depth_in == pytest.approx(T_taper, abs=0.0005)
    parallel = keyseat_depths(**key, kind="parallel")
    assert parallel.shaft_depth_in == taper.shaft_depth_in
    assert parallel.hub_depth_in == pytest.approx(T_parallel, abs=0.0005)


@pytest.mark.parametrize(
    ("kind", "form", "width", "expected"),
    [
        ("taper key", "square", 1.25, (0.001, 0, 0.005, 0)),
        ("taper key", "rectangular", 3.0, (0.002, 0, 0.005, 0)),
        ("taper key", "rectangular", 7.0, (0.003, 0, 0.005, 0)),
        ("keystock", "square", 3.0, (0.002, 0, 0.002, 0)),
        ("bar", "square", 0.75, (0, -0.002, 0, -0.002)),
        ("bar", "square", 2.0, (0, -0.004, 0, -0.004)),
        ("bar", "square", 3.5, (0, -0.006, 0, -0.006)),
        ("bar", "rectangular", 0.76, (0, -0.004, 0, -0.004)),
        ("bar", "rectangular", 6.0, (0, -0.008, 0, -0.008)),
        ("bar", "rectangular", 7.0, (0, -0.013, 0, -0.013)),
    ],
)
def test_tolerances(kind, form, width, expected):
    found = key_tolerance(kind=kind, form=form, width_in=width)
    assert found.status == "memory"
    assert (
        found.width_upper_in,
        found.width_lower_in,
        found.height_upper_in,
        found.height_lower_in,
    ) == expected


@pytest.mark.parametrize(
    ("height", "radius", "chamfer"),
    [(0.5, 1 / 32, 3 / 64), (1.0, 1 / 16, 5 / 64), (1.75, 1 / 8, 5 / 32), (5.0, 3 / 8, 13 / 32)],
)
def test_fillets_from_memory(height, radius, chamfer):
    found = keyseat_fillet(key_height_in=height)
    assert (found.fillet_radius_in, found.chamfer_in) == (radius, chamfer)
