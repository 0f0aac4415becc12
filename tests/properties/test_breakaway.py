"""A key that breaks away, against the motion worked out step by step, and its limits."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taperkey.formulas.breakaway import (
    breakaway,
    sliding_force_lbf,
    springs_in_a_row_lbf_per_in,
)

CASES = st.fixed_dictionaries(
    {
        "pull_lbf": st.floats(2_000, 100_000),
        "share": st.floats(0.3, 1.0),
        "free_in": st.floats(0.02, 0.4),
        "stiffness_lbf_per_in": st.floats(5e4, 5e6),
    }
)


def jump_of(case):
    plain = {name: value for name, value in case.items() if name != "share"}
    return breakaway(sliding_lbf=case["share"] * case["pull_lbf"], **plain)


def run(*, pull, sliding, free, k, mass=0.05):
    """Move a mass on a spring that cannot push, step by step: travel, pull after, friction work."""
    period = 2 * math.pi * math.sqrt(mass / k)
    dt, u, v, rubbed = period / 20_000, 0.0, 0.0, 0.0
    while True:
        spring = max(0.0, pull - k * u)
        hold = sliding * max(0.0, 1 - u / free)
        v += dt * (spring - hold) / mass
        if v <= 0 or u >= free:
            return u, max(0.0, pull - k * u), rubbed
        u += dt * v
        rubbed += dt * v * hold


@pytest.mark.parametrize(
    ("pull", "share", "free", "k"),
    [
        (28_000, 0.8, 0.12, 5e5),  # stops while the rod is still tight
        (28_000, 0.5, 0.12, 5e5),  # farther
        (28_000, 0.4, 0.40, 1.2e6),  # the rod goes slack, the key runs on and stands
        (28_000, 0.8, 0.03, 3e5),  # out at once
        (28_000, 0.99, 0.12, 2e6),  # hardly a jump
    ],
)
def test_jump_is_that_of_the_motion_worked_out_step_by_step(pull, share, free, k):
    jump = breakaway(pull_lbf=pull, sliding_lbf=share * pull, free_in=free, stiffness_lbf_per_in=k)
    travel, after, rubbed = run(pull=pull, sliding=share * pull, free=free, k=k)
    assert jump.travel_in == pytest.approx(min(travel, free), rel=0.005)
    if not jump.free:
        assert jump.pull_after_lbf == pytest.approx(after, abs=0.005 * pull)
    assert jump.rubbed_lbf_in == pytest.approx(rubbed, rel=0.01)


@given(CASES)
def test_energy_of_the_rig_is_all_accounted_for(case):
    jump = jump_of(case)
    k = case["stiffness_lbf_per_in"]
    before = case["pull_lbf"] ** 2 / (2 * k)
    after = jump.pull_after_lbf**2 / (2 * k)
    assert jump.released_lbf_in == pytest.approx(before - after, rel=1e-6, abs=1e-6)
    # to 1 %: what the rig gave up is what the faces took and what flies
    assert jump.rubbed_lbf_in + jump.thrown_lbf_in == pytest.approx(jump.released_lbf_in, rel=0.01)


@given(CASES)
def test_key_goes_no_further_than_free_and_the_load_only_falls(case):
    jump = jump_of(case)
    assert 0 <= jump.travel_in <= case["free_in"]
    assert 0 <= jump.pull_after_lbf <= case["pull_lbf"]
    assert jump.free == (jump.travel_in == case["free_in"])


@given(CASES)
def test_softer_rig_throws_further(case):
    stiff = jump_of({**case, "stiffness_lbf_per_in": 2 * case["stiffness_lbf_per_in"]})
    assert stiff.travel_in <= jump_of(case).travel_in * (1 + 1e-9)


def test_without_a_drop_of_friction_nothing_jumps_on_a_stiff_rig():
    jump = breakaway(pull_lbf=20_000, sliding_lbf=20_000, free_in=0.1, stiffness_lbf_per_in=1e6)
    assert (jump.travel_in, jump.pull_after_lbf) == (0.0, 20_000.0)


def test_what_holds_falls_to_nothing_where_the_key_is_free():
    assert sliding_force_lbf(first_lbf=9_000, free_in=0.1, travel_in=0.1) == 0.0
    assert sliding_force_lbf(first_lbf=9_000, free_in=0.1, travel_in=0.2) == 0.0


def test_softest_part_rules_a_row_of_springs():
    k = springs_in_a_row_lbf_per_in(stiffnesses_lbf_per_in=(1e9, 3e5, 1e9))
    assert k == pytest.approx(3e5, rel=0.001)


def test_with_nothing_to_hold_it_the_key_runs_out_with_all_that_the_rig_gives():
    jump = breakaway(pull_lbf=10_000, sliding_lbf=0, free_in=5.0, stiffness_lbf_per_in=1e5)
    assert (jump.travel_in, jump.free, jump.pull_after_lbf) == (5.0, True, 0.0)
    assert jump.thrown_lbf_in == pytest.approx(10_000**2 / (2 * 1e5))  # P^2 / (2 k)
