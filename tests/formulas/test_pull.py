"""Range of the pull, the rod as a spring, and one blow of a slide hammer, worked out by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest

from taperkey.formulas.pull import pull_range, rod_stiffness_lbf_per_in, sliding_weight

#: Energy of 20 lbf at 120 in/s: 20 x 120^2 / (2 x 386.0886) = 372.97 lbf in.
ENERGY = 20 * 120**2 / (2 * 386.0886)


def blow(**changes: Any) -> Any:
    """One blow on a rod of 1,000,000 lbf/in: 1 in2, 30 in, 30 million psi."""
    ordinary = {
        "weight_lbf": 20.0, "speed_in_per_s": 120.0, "useful_share_low": 0.5,
        "useful_share_high": 0.9, "stress_area_in2": 1.0, "length_in": 30.0,
        "pull_low_lbf": 10_000.0, "pull_high_lbf": 15_000.0,
    }  # fmt: skip
    return sliding_weight(**(ordinary | changes))


def test_stiffness_is_modulus_times_area_over_length() -> None:
    stiffness = rod_stiffness_lbf_per_in(stress_area_in2=0.5, length_in=20.0)
    assert stiffness == pytest.approx(750_000.0)  # 30,000,000 x 0.5 / 20
    softer = rod_stiffness_lbf_per_in(stress_area_in2=0.5, length_in=20.0, modulus_psi=1.0e7)
    assert softer == pytest.approx(250_000.0)


def test_a_blow_by_hand() -> None:
    found = blow()
    assert found.energy_lbf_in == pytest.approx(ENERGY, rel=1e-5)
    assert found.peak_low_lbf == pytest.approx(math.sqrt(2 * 0.5 * ENERGY * 1e6), rel=1e-5)
    assert found.peak_high_lbf == pytest.approx(math.sqrt(2 * 0.9 * ENERGY * 1e6), rel=1e-5)
    # stretched to 15,000 lbf the rod holds 15,000^2 / (2 x 10^6) = 112.5 lbf in, to 10,000 50
    assert found.advance_low_in == pytest.approx((0.5 * ENERGY - 112.5) / 15_000, rel=1e-4)
    assert found.advance_high_in == pytest.approx((0.9 * ENERGY - 50.0) / 10_000, rel=1e-4)
    assert found.moves == "yes"
    assert found.reason == (
        "a blow of 373 lbf in brings a peak of 19,312 to 25,910 lbf in the rod against 10,000 to "
        "15,000 lbf that the key needs, so each blow moves it."
    )


def test_a_softer_rod_brings_a_lower_peak() -> None:
    assert blow(modulus_psi=7.5e6).peak_high_lbf == pytest.approx(blow().peak_high_lbf / 2)


@pytest.mark.parametrize(
    ("low", "high", "moves", "verdict"),
    [
        (15_000.0, 22_000.0, "perhaps", "so it may move or not: watch a mark on the key, and stop "
         "if it stands still."),
        (30_000.0, 40_000.0, "no", "so blows only shake it: another rig is needed."),
    ],
)  # fmt: skip
def test_a_blow_against_a_larger_pull(low: float, high: float, moves: str, verdict: str) -> None:
    found = blow(pull_low_lbf=low, pull_high_lbf=high)
    assert found.moves == moves
    assert found.reason.endswith(verdict)
    assert found.advance_low_in == 0.0


def test_the_wider_of_the_two_makes_the_range() -> None:
    wide_seat = pull_range(
        seat_low_lbf=50_000, seat_high_lbf=150_000, friction_low=0.10, friction_high=0.12,
        taper_in_per_in=1 / 96,
    )  # fmt: skip
    assert wide_seat.driver == "seat force"
    assert wide_seat.seat_spread == pytest.approx(3.0)
    assert wide_seat.reason == (
        f"{wide_seat.low_lbf:,.0f} to {wide_seat.high_lbf:,.0f} lbf: the seat force is known to "
        "50,000 to 150,000 lbf and the friction to 0.1 to 0.12; the seat force makes the range."
    )
    wide_friction = pull_range(
        seat_low_lbf=100_000, seat_high_lbf=150_000, friction_low=0.10, friction_high=0.27,
        taper_in_per_in=1 / 96,
    )  # fmt: skip
    assert wide_friction.driver == "friction"
    assert wide_friction.reason.endswith("; the friction makes the range.")
    assert wide_friction.friction_spread == pytest.approx(
        (wide_friction.high_lbf / 150_000) / (wide_friction.low_lbf / 100_000)
    )


def test_a_key_without_friction_pulls_for_nothing() -> None:
    loose = pull_range(
        seat_low_lbf=1.0, seat_high_lbf=2.0, friction_low=0.0, friction_high=0.0,
        taper_in_per_in=1 / 96,
    )  # fmt: skip
    assert (loose.low_lbf, loose.high_lbf) == (0.0, 0.0)
    assert loose.friction_spread == 1.0
    slick = pull_range(
        seat_low_lbf=1.0, seat_high_lbf=2.0, friction_low=0.0, friction_high=0.1,
        taper_in_per_in=1 / 96,
    )  # fmt: skip
    assert slick.friction_spread == math.inf


def test_a_peak_that_just_reaches_the_pull_may_move_the_key_and_may_not() -> None:
    """It does not where the high peak is below the pull, it does where the low one is above."""
    peaks = blow()
    reached = blow(pull_low_lbf=peaks.peak_high_lbf, pull_high_lbf=peaks.peak_high_lbf)
    assert reached.moves == "perhaps"
    just = blow(pull_low_lbf=peaks.peak_low_lbf, pull_high_lbf=peaks.peak_low_lbf)
    assert just.moves == "perhaps"
