"""The grip of a driven key: what its range rests on, and its ends."""

from __future__ import annotations

import pytest

from taperkey.formulas.grip import friction_torque

GRIP = {
    "seat_low_lbf": 80_000.0, "seat_high_lbf": 160_000.0, "friction_low": 0.1,
    "friction_high": 0.2, "shaft_diameter_in": 6.0, "depth_in_shaft_in": 0.5, "height_in": 1.0,
}  # fmt: skip


def test_the_range_says_what_it_rests_on() -> None:
    assert friction_torque(**GRIP).assumption == (
        "seat force 80,000 to 160,000 lbf and friction 0.1 to 0.2, the same on bore and key."
    )


def test_a_deeper_slot_grips_on_shorter_arms() -> None:
    # 1 in deep in a radius of 3: floor at 2, roof at 3, arms 3 + 2 and 3 + 3, middle at 2.5
    shallow = friction_torque(**(GRIP | {"depth_in_shaft_in": 1.0}))
    assert shallow.low_lbf_in == pytest.approx(8_000 * 5)
    assert shallow.high_lbf_in == pytest.approx(32_000 * 6)
    assert shallow.bore_share == pytest.approx(3 / 5.5)
    # 2 in deep: floor at 1, roof at 2, middle at 1.5
    deep = friction_torque(**(GRIP | {"depth_in_shaft_in": 2.0}))
    assert deep.low_lbf_in == pytest.approx(8_000 * 4)
    assert deep.high_lbf_in == pytest.approx(32_000 * 5)
    assert deep.bore_share == pytest.approx(3 / 4.5)


def test_known_force_and_friction_leave_only_the_key_height() -> None:
    # both ends alike: what is left of the range is mu N H
    grip = friction_torque(**(GRIP | {"seat_high_lbf": 80_000.0, "friction_high": 0.1}))
    assert grip.high_lbf_in - grip.low_lbf_in == pytest.approx(0.1 * 80_000 * 1.0)
