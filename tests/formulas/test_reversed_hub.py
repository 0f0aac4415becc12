"""Reversed hub: no pull on the small end draws the key."""

import pytest

from taperkey.formulas.reversed_hub import pull_from_small_end

KEY = {
    "normal_force_lbf": 100000,
    "taper_in_per_in": 1 / 96,
    "floor_friction": 0.1,
    "roof_friction": 0.1,
}


def test_a_small_pull_moves_nothing():
    result = pull_from_small_end(pull_lbf=10000, **KEY)
    assert not result.possible
    assert result.normal_force_after_lbf == 100000
    assert result.reason == (
        "10,000 lbf on the small end does not move the key: it takes 21,053 lbf to move it, and"
        " then it goes further in; each 1,000 lbf beyond 21,053 lbf adds 4,750 lbf to the grip, so"
        " no pull draws it from this end: push it out from this end, or take the hub off first."
    )


def test_a_large_pull_tightens():
    result = pull_from_small_end(pull_lbf=60000, **KEY)
    assert not result.possible
    assert result.normal_force_after_lbf == pytest.approx(60000 / 0.210532, rel=1e-5)
    assert result.reason.startswith(
        "60,000 lbf on the small end pulls the key further in and raises the force on the faces"
        " from 100,000 to 284,993 lbf; each"
    )


def test_the_pull_that_just_balances_does_not_move_the_key():
    # smooth faces and a slope of 1:2: pull is half the normal force, 500 of 1000 lbf
    result = pull_from_small_end(
        pull_lbf=500,
        normal_force_lbf=1000,
        taper_in_per_in=0.5,
        floor_friction=0.0,
        roof_friction=0.0,
    )
    assert (result.pull_lbf, result.normal_force_lbf) == (500, 1000)
    assert (result.pull_to_move_lbf, result.normal_force_after_lbf) == (500, 1000)
    assert result.added_normal_per_pull == 2
    assert result.reason.startswith("500 lbf on the small end does not move the key: it takes 500")


def test_a_straight_key_is_refused():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        pull_from_small_end(pull_lbf=10, **(KEY | {"taper_in_per_in": 0.0}))
    assert str(caught.value) == (
        "taper is 0 in/in; it must be above 0. Measure the height at both ends first."
    )
