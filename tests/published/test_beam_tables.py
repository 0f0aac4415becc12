"""Beam tables: *Civil Engineering Formulas*, figure 2.2, and the AISC Manual 2005.

Load at any point, M = Pab/L: the first. Two equal loads, M = Pa and Pa(3L^2 - 4a^2)/24EI: the
second, from memory.

The formulas are found; no numbered example was, so the figures here are worked by hand from the
printed formulas. PL^3/48EI and S = bd^2/6: memory.
"""

import pytest

from taperkey.formulas.beam import (
    bar_section_modulus_in3,
    deflection_at_centre_in,
    deflection_two_loads_in,
    moment_one_load_lbf_in,
    moment_two_loads_lbf_in,
)


def test_load_off_centre():
    # P 1200, a 3, b 9, L 12: 1200 x 3 x 9 / 12
    assert moment_one_load_lbf_in(load_lbf=1200, span_in=12, distance_in=3) == 2700


def test_load_at_centre_is_a_quarter_of_load_times_span():
    assert moment_one_load_lbf_in(load_lbf=40000, span_in=14) == 40000 * 14 / 4


def test_two_loads():
    assert moment_two_loads_lbf_in(each_load_lbf=500, distance_in=3) == 1500
    # P 1000, a 2, L 10, EI 1e6: 1000 x 2 x (300 - 16) / 24e6
    bend = deflection_two_loads_in(
        each_load_lbf=1000, span_in=10, distance_in=2, modulus_psi=1e6, second_moment_in4=1
    )
    assert bend == pytest.approx(568000 / 24e6, rel=1e-12)


def test_centre_bend_and_section():
    bend = deflection_at_centre_in(load_lbf=480, span_in=10, modulus_psi=1e6, second_moment_in4=2)
    assert bend == pytest.approx(0.005, rel=1e-12)
    assert bar_section_modulus_in3(width_in=4, depth_in=3) == 6
