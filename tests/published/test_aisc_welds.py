"""AISC: Design Guide 29 (Manual equation 8-2, and p. 62), Design Examples v16 J.1 and J.2B.

Found in public texts of both.
"""

import math

import pytest

from taperkey.formulas.weld import (
    fillet_strength_lbf_per_in,
    groove_strength_lbf_per_in,
    length_reduction,
)

E70_PSI = 70000


@pytest.mark.parametrize(("method", "printed"), [("allowable", 928), ("factored", 1392)])
def test_a_sixteenth_of_e70_fillet(method, printed):
    strength = fillet_strength_lbf_per_in(leg_in=1 / 16, electrode_psi=E70_PSI, method=method)
    assert strength == pytest.approx(printed, abs=0.5)  # .928 and 1.392 kip/in


@pytest.mark.parametrize(
    ("method", "load_lbf", "printed"), [("allowable", 233e3, 5.07), ("factored", 350e3, 5.08)]
)
def test_design_guide_29_page_62(method, load_lbf, printed):
    sixteenth = fillet_strength_lbf_per_in(
        leg_in=1 / 16,
        electrode_psi=E70_PSI,
        load_angle_rad=math.radians(30.2),
        method=method,
    )
    assert load_lbf / (2 * 21 * sixteenth) == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize(
    ("method", "printed_kip"), [("nominal", 274), ("allowable", 137), ("factored", 206)]
)
def test_example_j_1_long_fillet(method, printed_kip):
    beta = length_reduction(length_in=27, leg_in=3 / 16)
    assert beta == pytest.approx(0.912, abs=0.0005)
    per_in = fillet_strength_lbf_per_in(leg_in=3 / 16, electrode_psi=E70_PSI, method=method)
    # the example rounds 5.568 to 5.57 kip/in first
    assert per_in * 2 * 27 * beta / 1000 == pytest.approx(printed_kip, abs=0.5)


def test_example_j_1_strength_per_inch():
    per_in = fillet_strength_lbf_per_in(leg_in=3 / 16, electrode_psi=E70_PSI, method="nominal")
    assert per_in == pytest.approx(5570, abs=5)


@pytest.mark.parametrize(
    ("method", "load_lbf", "printed"), [("factored", 300e3, 18.1), ("allowable", 200e3, 18.2)]
)
def test_example_j_2b_groove_weld_at_60_degrees(method, load_lbf, printed):
    per_in = groove_strength_lbf_per_in(
        throat_in=2 * 0.25,
        electrode_psi=E70_PSI,
        load_angle_rad=math.radians(60),
        method=method,
    )
    assert load_lbf / per_in == pytest.approx(printed, abs=0.07)  # 18.16 printed as 18.1
