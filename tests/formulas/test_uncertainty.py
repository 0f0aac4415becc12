"""Joined doubts and odd readings: figures worked by hand or out of Student's table."""

from __future__ import annotations

import math

import numpy as np
import pytest

from taperkey.formulas.uncertainty import (
    Contribution,
    combine_uncertainty,
    coverage_factor,
    find_outlier,
    grubbs_limit,
    mean_reading,
    reading_uncertainty_in,
)


def test_small_doubts_are_joined_like_large_ones() -> None:
    # two equal parts, one of 9 degrees of freedom: 2^2 x 9 = 36, whatever their size
    for size in (3e-4, 3.0):
        joined = combine_uncertainty(contributions=[Contribution(size, 9), Contribution(size)])
        assert joined.standard_uncertainty == pytest.approx(size * math.sqrt(2), rel=1e-12)
        assert joined.effective_dof == pytest.approx(36, rel=1e-12)


def test_degrees_of_freedom_are_rounded_down_for_the_factor() -> None:
    # JCGM 100, G.4.1: take the next lower whole number. Parts of sizes 1 and 2, both of 3
    # degrees: u^4 = 25, 25 / (17 / 3) = 4.41; Student's table at 4, 95 %: 2.776
    joined = combine_uncertainty(contributions=[Contribution(1.0, 3), Contribution(2.0, 3)])
    assert joined.effective_dof == pytest.approx(75 / 17, rel=1e-12)
    assert joined.coverage_factor == pytest.approx(2.776, abs=5e-4)
    assert joined.expanded_uncertainty == pytest.approx(2.776 * math.sqrt(5), abs=2e-3)


def test_a_whole_number_missed_by_rounding_of_the_machine_is_not_lowered() -> None:
    # two equal parts of 9 degrees each make 18 exactly; Student's table at 18, 95 %: 2.1009
    joined = combine_uncertainty(contributions=[Contribution(0.1, 9), Contribution(0.1, 9)])
    assert joined.effective_dof == pytest.approx(18, rel=1e-12)
    assert joined.coverage_factor == pytest.approx(2.1009, abs=5e-5)
    # three equal parts of 7 degrees each: 21, 2.0796
    joined = combine_uncertainty(contributions=[Contribution(0.1, 7)] * 3)
    assert joined.coverage_factor == pytest.approx(2.0796, abs=5e-5)


def test_below_one_degree_of_freedom_the_factor_is_that_of_one() -> None:
    # Student's t of one degree is the tangent: tan(pi x 0.475) = 12.706
    joined = combine_uncertainty(contributions=[Contribution(1.0, dof=0.5)])
    assert joined.effective_dof == pytest.approx(0.5, rel=1e-12)
    assert joined.coverage_factor == pytest.approx(math.tan(math.pi * 0.475), rel=1e-9)
    one = combine_uncertainty(contributions=[Contribution(1.0, dof=1.0)])
    assert one.coverage_factor == pytest.approx(math.tan(math.pi * 0.475), rel=1e-9)


def test_the_coverage_asked_for_is_used_and_told() -> None:
    # normal curve: 99 % inside 2.5758
    wide = combine_uncertainty(contributions=[Contribution(2.0)], coverage=0.99)
    assert wide.coverage == 0.99
    assert wide.coverage_factor == pytest.approx(2.5758, abs=5e-5)
    assert wide.expanded_uncertainty == pytest.approx(2 * 2.5758, abs=1e-4)
    usual = combine_uncertainty(contributions=[Contribution(2.0)])
    assert usual.coverage == 0.95
    assert usual.coverage_factor == pytest.approx(1.9600, abs=5e-5)


def test_a_doubt_acts_by_its_sensitivity_whatever_the_sign() -> None:
    # 3 x 0.002 and -4 x 0.002: the 3-4-5 triangle, 0.010
    joined = combine_uncertainty(
        contributions=[Contribution(0.002, sensitivity=3.0), Contribution(0.002, sensitivity=-4.0)]
    )
    assert joined.standard_uncertainty == pytest.approx(0.010, rel=1e-12)


def test_a_doubt_of_nothing_takes_no_part() -> None:
    joined = combine_uncertainty(contributions=[Contribution(0.0, 1), Contribution(0.5, 6)])
    assert joined.standard_uncertainty == 0.5
    assert joined.effective_dof == pytest.approx(6, rel=1e-12)
    none = combine_uncertainty(contributions=[Contribution(0.0, 1)])
    assert (none.standard_uncertainty, none.effective_dof) == (0.0, math.inf)


def test_factor_of_few_and_of_many_degrees_of_freedom() -> None:
    # Student's table: 5 degrees, 90 %: 2.015; endless, 90 %: 1.645
    assert coverage_factor(coverage=0.9, dof=5) == pytest.approx(2.015, abs=5e-4)
    assert coverage_factor(coverage=0.9) == pytest.approx(1.645, abs=5e-4)
    assert coverage_factor(dof=5) == pytest.approx(2.571, abs=5e-4)


def test_grubbs_limit_by_students_t_of_one_degree() -> None:
    # n = 3, so one degree: t = 1/tan(pi alpha/(2 n)); G = (2/sqrt 3) sqrt(t2/(1 + t2)), which is
    # (2/sqrt 3) cos(pi alpha/6)
    for alpha in (0.05, 0.2):
        assert grubbs_limit(count=3, significance=alpha) == pytest.approx(
            2 / math.sqrt(3) * math.cos(math.pi * alpha / 6), rel=1e-12
        )
    assert grubbs_limit(count=3) == grubbs_limit(count=3, significance=0.05)


def test_an_odd_one_out_of_five_by_hand() -> None:
    # one reading off by d: mean off by d/5, sum of squares 4/5 d2, s = d/sqrt 5;
    # G = (4/5 d) / (d / sqrt 5) = 4/sqrt 5 = 1.789; limit 1.715 (Grubbs' table, 5 readings)
    found = find_outlier(readings_in=[1.0, 1.0, 1.0, 1.25, 1.0])
    assert found.index == 3
    assert found.statistic == pytest.approx(4 / math.sqrt(5), rel=1e-12)
    assert found.limit == pytest.approx(1.715, abs=5e-4)
    # at 1 % the table has 1.764
    assert find_outlier(readings_in=[1.0, 1.0, 1.0, 1.25, 1.0], significance=0.01).limit == (
        pytest.approx(1.764, abs=5e-4)
    )


def test_three_readings_are_enough_to_be_tried() -> None:
    # three evenly spaced: G = d / d = 1, below 1.154
    found = find_outlier(readings_in=[1.0, 1.5, 2.0])
    assert (found.index, found.statistic) == (None, pytest.approx(1.0, rel=1e-12))


def test_equal_readings_stand_out_by_nothing() -> None:
    found = find_outlier(readings_in=[1.0, 1.0, 1.0, 1.0])
    assert (found.index, found.statistic) == (None, 0.0)


def test_two_readings_by_hand() -> None:
    # half their distance over: s = d/sqrt 2, u = d/2
    mean = mean_reading(readings_in=[1.00, 1.02])
    assert mean.mean_in == pytest.approx(1.01, rel=1e-14)
    assert mean.sd_in == pytest.approx(0.02 / math.sqrt(2), rel=1e-12)
    assert mean.standard_uncertainty_in == pytest.approx(0.01, rel=1e-12)
    assert mean.count == 2


def test_division_and_scatter_of_many_stations_at_once() -> None:
    # division sqrt(12) units wide: 1 unit; joined with 0 and with 0.75: 1 and 1.25
    both = reading_uncertainty_in(
        division_in=math.sqrt(12), standard_uncertainty_in=np.array([0.0, 0.75])
    )
    assert both == pytest.approx([1.0, 1.25], rel=1e-12)
    many = reading_uncertainty_in(division_in=np.array([1.0, 2.0]) * math.sqrt(12))
    assert many == pytest.approx([1.0, 2.0], rel=1e-12)
    # division 6: 36/12 = 3, with a scatter of 1: 2; whole numbers count as well
    assert reading_uncertainty_in(division_in=6, standard_uncertainty_in=1) == 2.0
