"""Forms of a taper: definitions, on one figure and on many at once."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pint
import pytest

from taperkey.formulas import taper_forms as forms


def test_many_tapers_at_once() -> None:
    # 1 in 1 is 45 degrees, 1 in sqrt 3 is 30 degrees
    tapers = np.array([0.0, 1.0, 1 / math.sqrt(3), -1.0])
    angles = np.array([0.0, math.pi / 4, math.pi / 6, -math.pi / 4])
    assert forms.taper_angle_rad(taper_in_per_in=tapers) == pytest.approx(angles, rel=1e-12)
    assert forms.taper_from_angle_in_per_in(angle_rad=angles) == pytest.approx(tapers, rel=1e-12)
    assert forms.taper_per_foot_in(taper_in_per_in=tapers)[1] == 12.0
    assert forms.taper_from_per_foot_in_per_in(taper_per_foot_in=np.array([12.0]))[0] == 1.0
    assert forms.taper_ratio(taper_in_per_in=np.array([0.5, -0.25])).tolist() == [2.0, -4.0]
    assert forms.taper_from_ratio_in_per_in(ratio=np.array([2.0, -4.0])).tolist() == [0.5, -0.25]


@pytest.mark.parametrize("number", [1, 1.0])
def test_one_taper_gives_one_plain_number(number) -> None:
    angle = forms.taper_angle_rad(taper_in_per_in=number)
    assert type(angle) is float
    assert angle == pytest.approx(math.pi / 4, rel=1e-15)
    back = forms.taper_from_angle_in_per_in(angle_rad=number)
    assert type(back) is float
    assert back == pytest.approx(math.tan(1), rel=1e-15)


@pytest.mark.parametrize("angle", [-1.5, 1.5])
def test_the_steepest_angles_are_still_taken(angle) -> None:
    assert math.atan(forms.taper_from_angle_in_per_in(angle_rad=angle)) == pytest.approx(angle)


def test_a_ratio_of_one_is_taken() -> None:
    assert forms.taper_ratio(taper_in_per_in=1) == 1.0
    assert forms.taper_from_ratio_in_per_in(ratio=1) == 1.0


def test_tapers_with_their_unit_keep_it() -> None:
    # 1/8 in to the foot is 1 in 96; a unit stripped on the way would be a warning
    per_foot = pint.get_application_registry().Quantity(np.array([0.125, 0.25]), "in/ft")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        ratio = forms.taper_ratio(taper_in_per_in=per_foot)
        back = forms.taper_from_ratio_in_per_in(ratio=ratio)
    assert ratio.to("in/in").magnitude == pytest.approx([96, 48], rel=1e-12)
    assert back.to("in/ft").magnitude == pytest.approx([0.125, 0.25], rel=1e-12)
