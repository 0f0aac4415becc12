"""Trials: what is drawn, how many there are, what is made of them, and what is refused.

Against the rules of JCGM 101:2008 (7.5, 7.6, 7.7.4, 7.9.4), the standard library's statistics,
and cases that can be counted by hand.
"""

import math
import statistics

import numpy as np
import pytest

from taperkey.formulas.montecarlo import (
    Normal,
    OneOf,
    Rectangular,
    propagate,
    share_of_scatter,
    shortest_interval,
)

ONE = {"x": Rectangular(0.0, 1.0)}


def same(inputs):
    return inputs["x"]


def test_each_possibility_is_drawn_as_often_as_the_others_and_no_other_is():
    drawn = OneOf(4).draw(np.random.default_rng(1), 40_000)
    values, counts = np.unique(drawn, return_counts=True)
    assert values.tolist() == [0.0, 1.0, 2.0, 3.0]
    # chi squared with 3 degrees of freedom: above 16.3 once in a thousand
    assert sum((counts - 10_000) ** 2 / 10_000) < 16.3
    assert set(OneOf(1).draw(np.random.default_rng(1), 50)) == {0.0}


def test_a_range_without_width_is_an_exact_number():
    done = propagate(model=same, inputs={"x": Rectangular(0.375, 0.375)}, seed=1)
    assert (done.low, done.median, done.high, done.sd) == (0.375, 0.375, 0.375, 0.0)
    assert done.settled
    assert done.tolerance == 0.0


def test_estimate_and_uncertainty_are_those_of_all_the_trials():
    """7.6: the mean, and the standard deviation with one degree of freedom taken off."""
    done = propagate(model=same, inputs=ONE, seed=1)
    assert done.values.size == done.trials == done.inputs["x"].size
    assert done.mean == pytest.approx(statistics.fmean(done.values), rel=1e-12)
    # one more or less of 100,000 degrees of freedom is 5 in a million
    assert done.sd == pytest.approx(statistics.stdev(done.values), rel=1e-7)
    assert done.median == pytest.approx(statistics.median(done.values), rel=1e-12)
    assert np.mean(done.values < done.low) == pytest.approx(0.05, abs=1e-4)
    assert np.mean(done.values > done.high) == pytest.approx(0.05, abs=1e-4)


def test_the_same_seed_draws_the_same_trials_and_another_others():
    one, again, other = (propagate(model=same, inputs=ONE, seed=seed) for seed in (1, 1, 2))
    assert np.array_equal(one.values, again.values)
    assert not np.array_equal(one.values, other.values)


@pytest.mark.parametrize(("coverage", "block"), [(0.5, 10_000), (0.99, 10_000), (0.995, 20_000)])
def test_a_block_holds_a_hundred_values_outside_the_interval(coverage, block):
    """7.9.4 b: the larger of 10,000 and the least whole number from 100/(1 - p) up."""
    sizes = []

    def counted(inputs):
        sizes.append(len(inputs["x"]))
        return inputs["x"]

    done = propagate(model=counted, inputs=ONE, seed=1, coverage=coverage, most=10 * block)
    assert set(sizes) == {block}
    assert done.trials == 10 * block


@pytest.mark.parametrize("most", [100_000, 109_999, 110_000, 130_000])
def test_there_are_never_more_trials_than_the_most(most):
    done = propagate(model=same, inputs=ONE, seed=1, figures=4, most=most)
    assert not done.settled
    assert most - 10_000 < done.trials <= most


def test_settled_means_that_other_seeds_come_to_the_same_figures():
    """7.9.4: twice the standard deviation of each figure is within half the last one asked for."""
    found = [propagate(model=same, inputs=ONE, seed=seed) for seed in range(30)]
    assert all(one.settled for one in found)
    # sqrt(1/12) = 0.29: two figures, the last 0.01, half of it
    assert {one.tolerance for one in found} == {0.005}
    within = [abs(one.high - 0.95) <= 0.005 for one in found]
    assert sum(within) >= 27  # 95 of 100, of thirty


@pytest.mark.parametrize(
    ("coverage", "span"), [(0.5, 5), (0.54, 5), (0.55, 6), (0.64, 6), (0.65, 7), (0.99, 9)]
)
def test_the_shortest_interval_spans_a_share_of_the_values(coverage, span):
    """7.7.4 with ten values: q = p M, or the whole part of p M + 1/2; never past the last one."""
    values = np.array([9.0, 0.0, 8.0, 1.0, 7.0, 2.0, 6.0, 3.0, 5.0, 4.0])
    low, high = shortest_interval(values=values, coverage=coverage)
    assert high - low == span


def test_two_values_are_the_fewest():
    assert shortest_interval(values=np.array([2.0, 1.0]), coverage=0.9) == (1.0, 2.0)
    with pytest.raises(ValueError, match="number of values is 1; it must be 2 or more"):
        shortest_interval(values=np.array([2.0]), coverage=0.9)


def test_an_input_that_explains_all_half_or_nothing():
    rng = np.random.default_rng(1)
    a, b = rng.integers(0, 2, (2, 40_000)).astype(float)
    assert share_of_scatter(values=a, drawn=a) == pytest.approx(1.0, rel=1e-12)
    assert share_of_scatter(values=a, drawn=b) == pytest.approx(0.0, abs=0.001)
    # two coins, one counted twice as far: 4 of 5 parts of the variance
    assert share_of_scatter(values=2 * a + b, drawn=a) == pytest.approx(0.8, abs=0.01)
    assert share_of_scatter(values=np.ones(10), drawn=b[:10]) == 0.0


def test_as_many_kinds_as_classes_are_a_class_each():
    drawn = np.array([0.0, 1.0, 2.0, 0.0, 1.0, 2.0])
    values = np.array([1.0, 5.0, 1.0, 1.0, 5.0, 1.0])
    assert share_of_scatter(values=values, drawn=drawn, classes=3) == pytest.approx(1.0)
    # in two classes of three the middle value falls into both: (1 1 5) and (5 1 1) explain nothing
    assert share_of_scatter(values=values, drawn=drawn, classes=2) == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("act", "said"),
    [
        (lambda: Rectangular(math.nan, 1.0), "low end of a range is nan"),
        (lambda: Rectangular(-math.inf, 1.0), "low end of a range is -inf"),
        (lambda: Rectangular(1.0, 0.9), "high end of a range is 0.9; it must be 1 or more"),
        (lambda: Normal(math.nan, 1.0), "estimate is nan"),
        (lambda: Normal(0.0, 0.0), "standard uncertainty is 0; it must be above 0"),
        (lambda: OneOf(0), "number of possibilities is 0; it must be 1 or more"),
        (lambda: run(coverage=0.0), "coverage is 0; it must be above 0"),
        (lambda: run(coverage=1.0), "coverage is 1; it must be from 0 to 0.9999"),
        (lambda: run(figures=0), "figures is 0; it must be from 1 to 4"),
        (lambda: run(figures=5), "figures is 5; it must be from 1 to 4"),
        (lambda: run(most=99_999), "most trials is 99999; it must be 100000 or more"),
        (lambda: run(most=199_999, coverage=0.995), "it must be 200000 or more"),
        (lambda: shortest(0.0), "coverage is 0; it must be above 0"),
        (lambda: shortest(1.0), "coverage is 1; it must be from 0 to 0.9999"),
        (lambda: shares(1), "classes is 1; it must be from 2 to 1000"),
        (lambda: shares(1001), "classes is 1001; it must be from 2 to 1000"),
    ],
)
def test_what_is_no_distribution_or_no_share_is_refused(act, said):
    with pytest.raises(ValueError) as refused:  # noqa: PT011 the words are compared below
        act()
    assert said in str(refused.value)


def run(**changed):
    return propagate(model=same, inputs=ONE, seed=1, **changed)


def shortest(coverage):
    return shortest_interval(values=np.arange(10.0), coverage=coverage)


def shares(classes):
    return share_of_scatter(values=np.arange(10.0), drawn=np.arange(10.0), classes=classes)
