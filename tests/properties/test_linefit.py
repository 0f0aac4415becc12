"""Properties of the line fit: exact lines, shifts, scale, weights, symmetry, refinement."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from taperkey.formulas.linefit import fit_line, predict

numbers = st.floats(-10, 10)
stations = st.lists(
    st.tuples(st.floats(0, 12), st.floats(0.5, 2.0)), min_size=3, max_size=10, unique_by=lambda p: p
)


def apart(pairs):
    x = np.array([pair[0] for pair in pairs])
    assume(np.ptp(x) > 0.5)
    return x, np.array([pair[1] for pair in pairs])


@given(numbers, numbers, stations)
def test_an_exact_line_is_found_again(a, b, pairs):
    x, _ = apart(pairs)
    fit = fit_line(x=x, y=a + b * x)
    assert fit.intercept == pytest.approx(a, abs=1e-11)
    assert fit.slope == pytest.approx(b, abs=1e-11)
    assert fit.sum_of_squares == pytest.approx(0, abs=1e-20)


@given(stations, numbers, numbers)
def test_adding_a_line_adds_its_constants_only(pairs, a, b):
    x, y = apart(pairs)
    plain, added = fit_line(x=x, y=y), fit_line(x=x, y=y + a + b * x)
    assert added.intercept == pytest.approx(plain.intercept + a, abs=1e-9)
    assert added.slope == pytest.approx(plain.slope + b, abs=1e-9)
    assert added.slope_sd == pytest.approx(plain.slope_sd, rel=1e-6, abs=1e-11)


@given(stations, st.floats(0.1, 30))
def test_slope_has_the_unit_of_y_over_x(pairs, scale):
    x, y = apart(pairs)
    plain, scaled = fit_line(x=x, y=y), fit_line(x=scale * x, y=y)
    assert scaled.slope * scale == pytest.approx(plain.slope, rel=1e-8, abs=1e-12)
    assert scaled.intercept == pytest.approx(plain.intercept, rel=1e-8)
    assert scaled.correlation == pytest.approx(plain.correlation, rel=1e-8)


@given(stations)
def test_no_other_line_has_a_smaller_sum_of_squares(pairs):
    x, y = apart(pairs)
    fit = fit_line(x=x, y=y)
    for da, db in ((1e-3, 0), (-1e-3, 0), (0, 1e-3), (0, -1e-3), (1e-3, -1e-3)):
        other = y - (fit.intercept + da) - (fit.slope + db) * x
        assert float(other @ other) >= fit.sum_of_squares


@given(stations, st.floats(1e-4, 0.1))
def test_alike_weights_do_not_move_the_line(pairs, sd):
    x, y = apart(pairs)
    plain, weighted = fit_line(x=x, y=y), fit_line(x=x, y=y, sd=sd)
    assert weighted.slope == pytest.approx(plain.slope, rel=1e-8, abs=1e-11)
    assert weighted.slope_sd == pytest.approx(
        sd / math.sqrt(float(np.sum((x - x.mean()) ** 2))), rel=1e-9
    )


@given(stations)
def test_measuring_everything_twice_is_a_weight_of_two(pairs):
    x, y = apart(pairs)
    once = fit_line(x=x, y=y, sd=0.001 / math.sqrt(2))
    twice = fit_line(x=np.tile(x, 2), y=np.tile(y, 2), sd=0.001)
    assert twice.slope == pytest.approx(once.slope, rel=1e-8, abs=1e-11)
    assert twice.intercept_sd == pytest.approx(once.intercept_sd, rel=1e-9)


@given(stations)
def test_order_of_the_stations_does_not_matter(pairs):
    x, y = apart(pairs)
    ahead, back = fit_line(x=x, y=y), fit_line(x=x[::-1], y=y[::-1])
    assert back.slope == pytest.approx(ahead.slope, rel=1e-8, abs=1e-11)


@given(stations, st.floats(-20, 20))
def test_line_is_best_known_at_the_middle(pairs, away):
    x, y = apart(pairs)
    fit = fit_line(x=x, y=y, sd=0.001)
    middle, there = (predict(fit=fit, x=fit.x_mean + step).sd for step in (0.0, away))
    assert there >= middle
    assert middle == pytest.approx(0.001 / math.sqrt(len(x)), rel=1e-9)


def test_standard_deviations_are_what_repeating_shows():
    """5000 drawn fits, seeded; the scatter of 5000 draws is known to 1 %, 4 % allowed."""
    draw = np.random.default_rng(7)
    x = np.array([0.0, 1.0, 3.0, 4.0, 7.0])
    fits = [
        fit_line(x=x, y=1.0 - 0.0104 * x + draw.normal(0, 0.0005, x.size), sd=0.0005)
        for _ in range(5000)
    ]
    assert np.std([fit.slope for fit in fits]) == pytest.approx(fits[0].slope_sd, rel=0.04)
    assert np.std([fit.intercept for fit in fits]) == pytest.approx(fits[0].intercept_sd, rel=0.04)
    r = np.corrcoef([fit.intercept for fit in fits], [fit.slope for fit in fits])[0, 1]
    assert r == pytest.approx(fits[0].correlation, abs=0.02)
