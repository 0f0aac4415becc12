"""Draws: the published row of the generator, and where each draw ends.

Matsumoto and Nishimura, mt19937ar.out (2002): seeded with 0x123, 0x234, 0x345, 0x456 the first
32-bit numbers are 1067595299, 955945823, 477289528, 4107218783. Two of them make a number below 1
of 53 bits: (27 bits of the first x 2^26 + 26 bits of the second) / 2^53, as mt19937ar.c has it.
"""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursework.draws import Draws

SEED = 0x123 | 0x234 << 32 | 0x345 << 64 | 0x456 << 96
ROW = (1067595299, 955945823), (477289528, 4107218783)
JUST_BELOW_1 = 1 - 2.0**-53


class Told(Draws):
    """Draws whose chances are told beforehand."""

    def __init__(self, *chances: float) -> None:
        self._random = iter(chances).__next__


def test_a_number_seeds_the_published_row() -> None:
    draws = Draws(SEED)
    for first, second in ROW:
        expected = ((first >> 5) * 2**26 + (second >> 6)) / 2**53
        assert draws.uniform(low=0.0, high=1.0) == expected


def test_another_seed_gives_another_row() -> None:
    rows = {tuple(Draws(seed).whole(low=0, high=9**9) for _ in range(3)) for seed in ("a", "b", 1)}
    assert len(rows) == 3


def test_a_value_lies_as_far_between_as_the_chance_says() -> None:
    draws = Told(0.0, 0.25, 0.5, JUST_BELOW_1)
    found = [draws.uniform(low=2.0, high=10.0) for _ in range(4)]
    assert found[:3] == [2.0, 4.0, 6.0]
    assert 9.999 < found[3] <= 10.0


@pytest.mark.parametrize(
    ("chance", "deviations"),
    [  # the normal distribution, to the places that tables print
        (0.5, 0.0),
        (0.8413, 1.0),
        (0.9772, 2.0),
        (0.9987, 3.0),
        (0.025, -1.96),
        (0.05, -1.645),
    ],
)
def test_normal_values_have_the_chances_of_the_tables(chance: float, deviations: float) -> None:
    assert Told(chance).normal() == pytest.approx(deviations, abs=0.02)  # four places of a chance
    found = Told(chance).normal(mean=10.0, deviation=4.0)
    assert found == pytest.approx(10.0 + 4 * deviations, abs=0.08)


def test_normal_values_are_cut_off_at_six_deviations_on_both_sides() -> None:
    low, high = Told(0.0).normal(), Told(JUST_BELOW_1).normal()
    assert low == pytest.approx(-6.0, abs=0.01)
    assert high == pytest.approx(6.0, abs=0.01)
    assert Told(1e-8).normal() > low


def test_whole_numbers_are_equally_likely_and_both_ends_are_among_them() -> None:
    draws = Told(*((step + 0.5) / 1200 for step in range(1200)))
    counts = Counter(draws.whole(low=-2, high=3) for _ in range(1200))
    assert counts == dict.fromkeys(range(-2, 4), 200)
    assert Told(JUST_BELOW_1).whole(low=7, high=7) == 7


@given(st.integers(-(10**6), 10**6), st.integers(0, 2**52))
def test_the_last_chance_before_1_draws_no_more_than_the_highest(low: int, more: int) -> None:
    """Short of 1 by 2^-53 it is short of n by half a step of what a float can hold, or more."""
    assert Told(JUST_BELOW_1).whole(low=low, high=low + more) <= low + more
    assert Told(0.0).whole(low=low, high=low + more) == low
