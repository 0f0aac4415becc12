"""Student's t: against another way of working it out, and its limits."""

import math
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import stdtrit

from taperkey.formulas.student import student_quantile


@given(
    dof=st.floats(1, 1e4, allow_nan=False),
    probability=st.floats(0.5001, 1 - 1e-9, allow_nan=False),
)
def test_agrees_with_another_library(dof: float, probability: float) -> None:
    # the library's own figure is good to about 1e-10 far out in the tail
    assert student_quantile(dof=dof, probability=probability) == pytest.approx(
        float(stdtrit(dof, probability)), rel=1e-8
    )


@given(probability=st.floats(0.01, 0.99))
def test_one_and_two_degrees_have_closed_forms(probability: float) -> None:
    cauchy = math.tan(math.pi * (probability - 0.5))
    assert student_quantile(dof=1, probability=probability) == pytest.approx(cauchy, abs=1e-12)
    spread = 2 * probability - 1
    two = spread * math.sqrt(2 / (1 - spread * spread))
    assert student_quantile(dof=2, probability=probability) == pytest.approx(two, abs=1e-12)


@given(probability=st.floats(0.001, 0.999))
def test_many_readings_give_the_bell_curve(probability: float) -> None:
    assert student_quantile(dof=1e8, probability=probability) == pytest.approx(
        NormalDist().inv_cdf(probability), abs=1e-6
    )


@given(dof=st.floats(0.5, 200), probability=st.floats(0.5, 0.999))
def test_symmetry(dof: float, probability: float) -> None:
    upper = student_quantile(dof=dof, probability=probability)
    assert student_quantile(dof=dof, probability=1 - probability) == pytest.approx(
        -upper, rel=1e-9, abs=1e-12
    )


def test_more_readings_need_a_smaller_factor() -> None:
    factors = [student_quantile(dof=dof, probability=0.975) for dof in (1, 2, 5, 20, 100)]
    assert factors == sorted(factors, reverse=True)


def test_no_degrees_of_freedom() -> None:
    with pytest.raises(ValueError, match=r"^degrees of freedom is 0; it must be above 0\.$"):
        student_quantile(dof=0.0, probability=0.975)
