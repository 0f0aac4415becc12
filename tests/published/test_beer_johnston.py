"""Beer and Johnston, *Vector Mechanics for Engineers: Statics*, wedges.

Sample Problem 8.4: found in the open Python companion of the book (the printed page was not
seen). Two 10 degree wedges: found in a public thread that quotes the book's answer.
"""

import math

import pytest

from taperkey.formulas.free_body import lowering_force_lbf, raising_force_lbf

BLOCK = {
    "load_lbf": 400,
    "taper_in_per_in": math.tan(math.radians(8)),
    "floor_friction": 0.35,
    "roof_friction": 0.35,
    "wall_friction": 0.35,
}


def test_sample_8_4_raise_the_block():
    assert raising_force_lbf(**BLOCK) == pytest.approx(423, abs=0.5)  # printed to 1 lb


def test_sample_8_4_lower_the_block():
    # printed 206 lb; the book rounds its angles to 0.1 deg, exact is 205.5
    assert lowering_force_lbf(**BLOCK) == pytest.approx(206, abs=0.6)


def test_two_10_degree_wedges():
    push = raising_force_lbf(
        load_lbf=400,
        taper_in_per_in=math.tan(math.radians(10)),
        floor_friction=0.25,
        roof_friction=0.25,
        wall_friction=0.25,
    )
    assert push == pytest.approx(313, abs=0.5)  # printed to 1 lb
