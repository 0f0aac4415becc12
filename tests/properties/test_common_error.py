"""What readings share goes out of any difference, and stays whole in any mean."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taperkey.formulas.common_error import sd_with_common
from taperkey.formulas.linefit import fit_line

SD = st.floats(1e-5, 1e-2)


@given(
    SD, SD, st.lists(st.floats(0.5, 30), min_size=2, max_size=6, unique_by=lambda x: round(x, 1))
)
def test_a_slope_has_none_of_it(own, common, places):
    # weights of a least-squares slope: (x - mean) / sum of squares, whose sum is 0
    mean = sum(places) / len(places)
    square = sum((x - mean) ** 2 for x in places)
    weights = [(x - mean) / square for x in places]
    u = sd_with_common(weights=weights, own_sd=own, common_sd=common)
    assert u == pytest.approx(own / square**0.5, rel=1e-9)
    if len(places) > 2:
        fit = fit_line(x=places, y=[0.0] * len(places), sd=[own] * len(places))
        assert u == pytest.approx(fit.slope_sd, rel=1e-9)


@given(SD, SD, st.integers(1, 10))
def test_a_mean_has_all_of_it(own, common, count):
    u = sd_with_common(weights=[1 / count] * count, own_sd=own, common_sd=common)
    assert u == pytest.approx((own**2 / count + common**2) ** 0.5, rel=1e-9)
    assert u >= common
