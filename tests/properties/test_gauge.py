"""What is seen of a pull: never above the load, never a division below it, and energy as work."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from taperkey.formulas.gauge import gauge_reading_psi, pump_strokes, spring_energy_lbf_in
from taperkey.formulas.pull import rod_stiffness_lbf_per_in

loads = st.floats(min_value=0, max_value=500_000)
areas = st.floats(min_value=0.2, max_value=50)


@given(
    load=loads, area=areas, division=st.sampled_from([50.0, 100.0, 200.0, 72.5188689, 145.037738])
)
def test_a_mark_is_never_above_the_load_nor_a_division_below(load, area, division):
    mark = gauge_reading_psi(load_each_lbf=load, effective_area_in2=area, division_psi=division)
    assert mark * area <= load + 1e-6 * max(load, 1)
    assert load < (mark + division) * area + 1e-6 * max(load, 1)
    assert mark / division == pytest.approx(round(mark / division), abs=1e-6)


@given(marks=st.integers(min_value=0, max_value=200), area=areas)
def test_a_load_on_a_mark_is_read_at_that_mark(marks, area):
    load = marks * 100.0 * area
    read = gauge_reading_psi(load_each_lbf=load, effective_area_in2=area, division_psi=100)
    assert read == pytest.approx(100.0 * marks)


@given(pull=st.floats(min_value=1, max_value=2e5), length=st.floats(min_value=2, max_value=60))
def test_energy_is_the_work_of_stretching(pull, length):
    stiffness = rod_stiffness_lbf_per_in(stress_area_in2=0.334, length_in=length)
    work, _ = quad(lambda x: stiffness * x, 0, pull / stiffness)
    energy = spring_energy_lbf_in(pull_lbf=pull, stiffness_lbf_per_in=stiffness)
    assert energy == pytest.approx(work, rel=1e-9)


def test_strokes_go_with_the_volume():
    strokes = [pump_strokes(stretch_in=x, effective_area_in2=4, stroke_in3=0.2)
               for x in np.linspace(0, 0.5, 11)]  # fmt: skip
    assert strokes[0] == 0
    assert np.allclose(np.diff(strokes), 0.05 * 4 / 0.2)
