"""JCGM 100:2008 (GUM), example H.1: calibration of an end gauge, first-order terms.

Inputs and results as in the METAS UncLib example "GUM H1". Lengths in nm.
"""

import pytest

from taperkey.formulas.uncertainty import Contribution, combine_uncertainty

STANDARD_LENGTH = 50_000_623

CONTRIBUTIONS = [
    Contribution(25, dof=18, name="standard"),
    Contribution(9.7, dof=25.6, name="difference"),
    Contribution(0.58e-6, dof=50, sensitivity=-STANDARD_LENGTH * -0.1, name="expansion difference"),
    Contribution(0.029, dof=2, sensitivity=-STANDARD_LENGTH * 11.5e-6, name="warmth difference"),
]


@pytest.fixture(scope="module")
def result():
    return combine_uncertainty(contributions=CONTRIBUTIONS, coverage=0.99)


def test_contribution_of_each_source():
    parts = [abs(one.sensitivity) * one.standard_uncertainty for one in CONTRIBUTIONS]
    assert parts == pytest.approx([25, 9.7, 2.9, 16.7], abs=0.05)


def test_combined_standard_uncertainty(result):
    assert result.standard_uncertainty == pytest.approx(32, abs=0.5)


def test_effective_degrees_of_freedom(result):
    assert result.effective_dof == pytest.approx(16.7, abs=0.05)


def test_factor_is_taken_at_16_degrees_of_freedom(result):
    assert result.coverage_factor == pytest.approx(2.92, abs=0.005)


def test_expanded_uncertainty(result):
    # printed as 2.92 x 32 = 93; with the unrounded 31.7 it is 92.6
    assert result.expanded_uncertainty == pytest.approx(93, abs=0.5)


def test_difference_from_its_own_three_parts():
    difference = combine_uncertainty(
        contributions=[Contribution(5.8, 24), Contribution(3.9, 5), Contribution(6.7, 8)]
    )
    assert difference.standard_uncertainty == pytest.approx(9.7, abs=0.05)
    assert difference.effective_dof == pytest.approx(
        25.6, abs=0.3
    )  # inputs are printed to two figures
