"""Student's t: against another way of working it out, and its limits."""

import math
from statistics import NormalDist
from unittest import mock

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import stdtrit

from taperkey.formulas import student
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


@pytest.mark.parametrize("dof", [9e4, 1.1e5, 1e8, 1e14, 1e17, 1e200, 1e300])
@pytest.mark.parametrize("probability", [0.6, 0.975, 0.999999])
def test_very_many_degrees_lose_no_figures(dof: float, probability: float) -> None:
    bell = NormalDist().inv_cdf(probability)  # t comes to it as 1/dof
    other = float(stdtrit(dof, probability)) if dof < 1e9 else bell
    assert student_quantile(dof=dof, probability=probability) == pytest.approx(other, rel=2e-8)


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


@pytest.mark.parametrize("half_places", [1, 2, 5, 20, 40])
def test_far_out_in_the_tail_the_closed_forms_still_hold(half_places: int) -> None:
    # a tail q that a float holds exactly; one degree: cot(pi q), two: (1 - 2 q)/sqrt(2 q (1 - q))
    q = 2.0**-half_places
    one = student_quantile(dof=1, probability=1 - q)
    assert one == pytest.approx(1 / math.tan(math.pi * q), rel=1e-12, abs=1e-15)
    two = student_quantile(dof=2, probability=1 - q)
    assert two == pytest.approx((1 - 2 * q) / math.sqrt(2 * q * (1 - q)), rel=1e-12)


@pytest.mark.parametrize("probability", [0.5 + 2.0**-30, 0.6, 0.75, 0.9, 0.975, 0.999])
def test_four_degrees_have_a_closed_form(probability: float) -> None:
    # W. T. Shaw, Journal of Computational Finance 9 (2006): a = 4 p (1 - p),
    # t = 2 sqrt(cos(arccos(sqrt a)/3)/sqrt a - 1)
    a = 4 * probability * (1 - probability)
    expected = 2 * math.sqrt(math.cos(math.acos(math.sqrt(a)) / 3) / math.sqrt(a) - 1)
    # near the middle the closed form itself loses half its figures
    assert student_quantile(dof=4, probability=probability) == pytest.approx(
        expected, rel=1e-10, abs=1e-7
    )


def test_the_middle_is_nothing_and_just_beside_it_the_slope_counts() -> None:
    # density of one degree in the middle is 1/pi, of four 3/8: t = (p - 1/2) over it
    for dof, density in ((1, 1 / math.pi), (4, 0.375)):
        assert student_quantile(dof=dof, probability=0.5) == 0.0
        beside = student_quantile(dof=dof, probability=0.5 + 2.0**-20)
        assert beside == pytest.approx(2.0**-20 / density, rel=1e-9)


@given(t=st.floats(0, 1e6))
def test_tail_and_density_of_one_two_and_four_degrees(t: float) -> None:
    tail, density = student._upper_tail, student._density
    # atan2 keeps the figures of a thin tail; 1 - t/sqrt(2 + t2) = 2/(r (r + t)), r = sqrt(2 + t2)
    assert tail(t, 1.0) == pytest.approx(math.atan2(1, t) / math.pi, rel=1e-12)
    r = math.hypot(t, math.sqrt(2))
    assert tail(t, 2.0) == pytest.approx(1 / (r * (r + t)), rel=1e-12)
    assert density(t, 1.0) == pytest.approx(1 / (math.pi * (1 + t * t)), rel=1e-11)
    assert density(t, 2.0) == pytest.approx(r**-3.0, rel=1e-11)
    assert density(t, 4.0) == pytest.approx(0.375 * (1 + t * t / 4) ** -2.5, rel=1e-11)


@given(x=st.floats(0, 1), power=st.floats(0.5, 50))
def test_beta_share_of_plain_powers(x: float, power: float) -> None:
    # the integral of t^(a - 1) from 0 to x, over that to 1, is x^a; turned round 1 - (1 - x)^b
    rest = 1 - x
    assert student._beta_share(power, 1.0, x, rest) == pytest.approx(x**power, rel=1e-12)
    assert student._beta_share(1.0, power, x, rest) == pytest.approx(
        1 - rest**power, rel=1e-12, abs=1e-14
    )
    # 6 t (1 - t) from 0 to x is 3 x2 - 2 x3
    assert student._beta_share(2.0, 2.0, x, rest) == pytest.approx(
        x * x * (3 - 2 * x), rel=1e-12, abs=1e-14
    )


def test_beta_share_at_its_ends() -> None:
    assert student._beta_share(2.0, 0.5, 0.0, 1.0) == 0.0
    assert student._beta_share(2.0, 0.5, 1.0, 0.0) == 1.0


@pytest.mark.parametrize("dof", [5, 16, 50, 1e4])
def test_few_steps_lead_to_it(dof: float) -> None:
    """Each step doubles the figures: some six; halving the bracket would take some fifty."""
    with mock.patch.object(student, "_upper_tail", wraps=student._upper_tail) as tail:
        student_quantile.__wrapped__(dof=dof, probability=0.975)
    assert tail.call_count <= 20
