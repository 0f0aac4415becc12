"""Figures of common practice in fitting taper keys: no printed source stands behind them."""

import math

import pytest

from taperkey.formulas.key import FITTING_ALLOWANCE_IN, key_blank, travel_for_height_in
from taperkey.formulas.taper import STANDARD_INCH, taper_per_foot_in, two_point_taper


def test_half_a_thousandth_on_a_1_in_base():
    taper = two_point_taper(
        mouth_height_in=1.0104, inside_height_in=1.0, distance_in=1.0, height_sd_in=0.0005
    )
    spread = taper_per_foot_in(taper_in_per_in=taper.sd_in_per_in)
    assert spread == pytest.approx(0.0085, abs=0.00005)  # two figures
    assert spread / 0.125 == pytest.approx(0.07, abs=0.005)  # 7 % of the standard taper


def test_standard_taper_is_0_0104_in_an_inch():
    assert pytest.approx(0.0104, abs=0.00005) == STANDARD_INCH


def test_a_thousandth_is_0_096_in_of_travel():
    travel = travel_for_height_in(height_in=0.001, taper_in_per_in=STANDARD_INCH)
    assert travel == pytest.approx(0.096, abs=1e-12)


def test_new_key_stands_out_about_an_inch():
    blank = key_blank(mouth_height_in=1.0, taper_in_per_in=STANDARD_INCH, engaged_length_in=8.0)
    assert math.isclose(FITTING_ALLOWANCE_IN, 0.010)
    assert blank.travel_to_home_in == pytest.approx(1.0, abs=0.05)  # about 1 in
