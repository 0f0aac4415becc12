"""The bow of a cut bar against the beam it is: what the cut leaves, summed strip by strip.

Stress that is left in the bar has a moment about the middle of what is left; the bar bends until
that moment is gone, M = E I k (any book on the strength of materials).
Stoney (1909): k = 6 s a / (E h^2).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taperkey.formulas.bow import bow_of_cut_bar_in, locked_stress_psi

STRIPS = 4000
E_PSI = 3.0e7


def strips(low: float, high: float) -> list[float]:
    step = (high - low) / STRIPS
    return [low + (place + 0.5) * step for place in range(STRIPS)]


@given(
    height=st.floats(0.5, 3.0),
    top=st.floats(0.0, 0.45),
    bottom=st.floats(0.0, 0.45),
    pull=st.floats(1_000.0, 50_000.0),
)
def test_the_moment_that_was_left_is_gone(height: float, top: float, bottom: float, pull: float):
    low, high = -height / 2 + bottom * height, height / 2 - top * height
    left = high - low
    middle = (low + high) / 2
    moment = sum(
        locked_stress_psi(place_in=y, height_in=height, skin_pull_psi=pull) * (y - middle)
        for y in strips(low, high)
    ) * (left / STRIPS)
    bow = bow_of_cut_bar_in(
        height_in=height,
        length_in=10.0,
        top_cut_in=top * height,
        bottom_cut_in=bottom * height,
        skin_pull_psi=pull,
        modulus_psi=E_PSI,
    )
    curve = 8 * bow / 10.0**2
    # 4000 strips come within a millionth of the skin's own moment
    assert curve * E_PSI * left**3 / 12 == pytest.approx(-moment, rel=1e-5, abs=1e-6 * pull)


def test_the_stress_is_in_balance_before_any_cut():
    bar = {"height_in": 1.0, "skin_pull_psi": 3e4}
    stress = [locked_stress_psi(place_in=y, **bar) for y in strips(-0.5, 0.5)]
    assert sum(stress) / STRIPS == pytest.approx(0.0, abs=0.01)


def test_a_thin_cut_is_stoneys():
    bow = bow_of_cut_bar_in(
        height_in=1.0, length_in=8.0, top_cut_in=0.001, bottom_cut_in=0.0, skin_pull_psi=2e4
    )
    assert bow == pytest.approx(6 * 2e4 * 0.001 / 3e7 * 8.0**2 / 8, rel=1e-9)


def test_it_bows_hollow_where_the_skin_still_pulls():
    bar = {"height_in": 1.125, "length_in": 9.0, "skin_pull_psi": 2e4}
    assert bow_of_cut_bar_in(top_cut_in=0.1, bottom_cut_in=0.0, **bar) > 0  # bottom skin pulls
    assert bow_of_cut_bar_in(top_cut_in=0.0, bottom_cut_in=0.1, **bar) < 0
    assert bow_of_cut_bar_in(top_cut_in=0.1, bottom_cut_in=0.1, **bar) == 0.0
