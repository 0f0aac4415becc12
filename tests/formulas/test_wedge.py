"""Wedge: driving, drawing, holding, in the numbers of a key at 1:96."""

import pytest

from taperkey.formulas.wedge import (
    drive_ratio,
    driving_efficiency,
    driving_force_lbf,
    friction_share,
    normal_from_drive_lbf,
    normal_from_pull_lbf,
    self_holding,
    withdraw_ratio,
    withdrawal_force_lbf,
)

TAPER = 1 / 96


@pytest.mark.parametrize(
    ("friction", "drive", "withdraw", "efficiency_percent"),
    [(0.10, 0.2105, 0.1895, 4.9), (0.15, 0.3107, 0.2894, 3.4), (0.20, 0.4109, 0.3892, 2.5)],
)
def test_regression_ratios_at_1_in_96(friction, drive, withdraw, efficiency_percent):
    key = {"taper_in_per_in": TAPER, "floor_friction": friction, "roof_friction": friction}
    assert drive_ratio(**key) == pytest.approx(drive, abs=0.00005)
    assert withdraw_ratio(**key) == pytest.approx(withdraw, abs=0.00005)
    assert 100 * driving_efficiency(**key) == pytest.approx(efficiency_percent, abs=0.06)
    assert friction_share(**key) == pytest.approx(1 - efficiency_percent / 100, abs=0.0006)


def test_the_two_faces_may_differ():
    greased_floor = drive_ratio(taper_in_per_in=TAPER, floor_friction=0.1, roof_friction=0.3)
    greased_roof = drive_ratio(taper_in_per_in=TAPER, floor_friction=0.3, roof_friction=0.1)
    assert greased_floor == pytest.approx(0.1 + (0.3 + TAPER) / (1 - 0.3 * TAPER), rel=1e-12)
    assert greased_roof == pytest.approx(0.3 + (0.1 + TAPER) / (1 - 0.1 * TAPER), rel=1e-12)


def test_it_holds_below_the_sum_of_both_friction_angles():
    # 1:96 is 0.5968 deg: one face alone at friction .0105 holds, at .0103 does not
    for floor, roof in ((0.0105, 0), (0, 0.0105)):
        answer = self_holding(taper_in_per_in=TAPER, floor_friction=floor, roof_friction=roof)
        assert answer.holds
    slack = self_holding(taper_in_per_in=TAPER, floor_friction=0.0103, roof_friction=0)
    assert not slack.holds
    assert slack.reason == (
        "slope 0.597 deg is not below the two friction angles together, 0.590 deg, so the key"
        " creeps out by itself."
    )


def test_a_key_that_does_not_hold_needs_a_negative_pull():
    pull = withdrawal_force_lbf(
        normal_force_lbf=1000, taper_in_per_in=TAPER, floor_friction=0.001, roof_friction=0.001
    )
    assert pull < 0
    seat = normal_from_pull_lbf(
        pull_lbf=100, taper_in_per_in=TAPER, floor_friction=0.001, roof_friction=0.001
    )
    assert seat is None


def test_push_and_pull_lead_back_to_the_normal_force():
    key = {"taper_in_per_in": TAPER, "floor_friction": 0.12, "roof_friction": 0.2}
    push = driving_force_lbf(normal_force_lbf=90000, **key)
    assert normal_from_drive_lbf(push_lbf=push, **key) == pytest.approx(90000, rel=1e-12)
    pull = withdrawal_force_lbf(normal_force_lbf=90000, **key)
    assert normal_from_pull_lbf(pull_lbf=pull, **key) == pytest.approx(90000, rel=1e-12)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            {"taper_in_per_in": 1.25},
            "taper is 1.25 in/in; it must be from 0 to 0.6 in/in. Divide the taper per foot by 12.",
        ),
        (
            {"floor_friction": 27},
            "floor friction is 27; it must be from 0 to 1.5. Take it from the friction table as a"
            " decimal.",
        ),
        ({"normal_force_lbf": -5}, "normal force is -5 lbf; it must be 0 or more."),
    ],
)
def test_meaningless_input_gets_one_sentence(change, message):
    key = {
        "normal_force_lbf": 1000,
        "taper_in_per_in": TAPER,
        "floor_friction": 0.1,
        "roof_friction": 0.1,
    }
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole sentence is compared
        driving_force_lbf(**(key | change))
    assert str(caught.value) == message


def test_a_straight_key_has_no_wedge_action():
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        normal_from_drive_lbf(push_lbf=10, taper_in_per_in=0, floor_friction=0.1, roof_friction=0.1)
    assert str(caught.value) == (
        "taper is 0 in/in; it must be above 0. A straight key does not wedge."
    )
