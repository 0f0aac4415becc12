"""What rod, tapped hole, nut and key section say of themselves, and their numbers by hand."""

from __future__ import annotations

import math

import pytest

from taperkey.formulas.rod import key_section_link, nut_link, rod_link, tapped_hole_link

B7 = {"thread_name": "3/4-10 UNC", "grade_name": "ASTM A193 B7"}


def test_a_grade_without_proof_is_used_to_a_share_of_its_yield() -> None:
    # ASME B1.1: 0.334 in2; B7 yields at 105,000 psi, 0.9 of it is 94,500; three quarters are used
    rod = rod_link(**B7)
    assert rod.name == "rod"
    assert rod.capacity_lbf == pytest.approx(0.334 * 94_500 * 0.75)
    assert rod.basis == (
        "3/4-10 UNC ASTM A193 B7: stress area 0.334 in² × 94,500 psi 0.9 of yield × condition 1 ×"
        " share 0.75"
    )
    assert rod.source == "ASME B1.1; ASTM A193 (memory)"
    assert rod.advice == "take a stronger grade or a larger rod of known grade"


def test_a_grade_with_proof_is_used_to_its_proof() -> None:
    # grade 5 to 1 in has a proof of 85,000 psi; a rod at 0.9 of its condition, half of that used
    rod = rod_link(
        thread_name="1-8 UNC", grade_name="SAE J429 grade 5", condition_factor=0.9,
        working_share=0.5,
    )  # fmt: skip
    assert rod.capacity_lbf == pytest.approx(0.606 * 85_000 * 0.45)
    assert rod.basis == (
        "1-8 UNC SAE J429 grade 5: stress area 0.606 in² × 85,000 psi proof × condition 0.9 ×"
        " share 0.5"
    )
    assert rod.source == "ASME B1.1; Shigley-Mischke 5e p. 341 (found)"


def test_a_grade_changes_with_the_size_of_the_rod() -> None:
    # grade 2 has a proof of 55,000 psi up to 3/4 in and 33,000 psi above it
    small, large = (
        rod_link(thread_name=name, grade_name="SAE J429 grade 2", working_share=1)
        for name in ("3/4-10 UNC", "7/8-9 UNC")
    )
    assert small.capacity_lbf == pytest.approx(0.334 * 55_000)
    assert large.capacity_lbf == pytest.approx(0.462 * 33_000)


def test_a_tapped_hole_says_which_thread_strips() -> None:
    # a key of 54,000 psi against a rod of 105,000: the hole's area is larger by less than half
    hole = tapped_hole_link(**B7, engagement_in=0.75, key_yield_psi=54_000)
    assert hole.name == "tapped hole"
    assert hole.basis == (
        "3/4-10 UNC, 0.75 in of full thread, hole in the key strips first at shear yield (0.577"
        " of yield), design factor 2"
    )
    assert hole.source == "H28 and ASME B1.1 stripping areas; factor: common practice"
    assert hole.advice == "tap the hole deeper, or drill and tap it for a larger rod"


def test_a_nut_strips_on_the_weaker_thread() -> None:
    # published for an engagement of one diameter: hole 1.29 in2, rod 0.910 in2
    soft = nut_link(**B7, height_in=0.75, nut_yield_psi=54_000)
    assert soft.name == "nut"
    assert soft.capacity_lbf == pytest.approx(1.29 * 0.577 * 54_000 / 2, rel=0.003)
    assert soft.basis == (
        "3/4-10 UNC, 0.75 in of full thread, nut strips first at shear yield (0.577 of yield),"
        " design factor 2"
    )
    assert soft.source == "H28 and ASME B1.1 stripping areas; factor: common practice"
    assert soft.advice == "take a higher nut, or one of a stronger grade"
    hard = nut_link(**B7, height_in=0.75, nut_yield_psi=105_000, design_factor=4)
    # the printed area rests on a minor diameter to 0.001 in, half of which is 0.5 % of the area
    assert hard.capacity_lbf == pytest.approx(0.910 * 0.577 * 105_000 / 4, rel=0.005)
    assert "rod strips first" in hard.basis


def test_metal_left_around_the_hole_is_pulled() -> None:
    # 1.5 x 1 in less a hole of 3/4 in: 1.5 - 0.4418 = 1.0582 in2, at two thirds of its yield
    section = key_section_link(width_in=1.5, height_in=1, hole_in=0.75, key_yield_psi=54_000)
    assert section.name == "key section"
    assert section.capacity_lbf == pytest.approx(1.0582 * 36_000, rel=1e-4)
    assert section.basis == ("1.06 in² left around the hole × 54,000 psi yield, design factor 1.5")
    assert section.source == "force over area; factor: common practice"
    assert section.advice == (
        "use a smaller thread of a stronger grade, so that more of the key is left"
    )


def test_a_key_may_stand_either_way_up() -> None:
    # width and height change places: the same metal, and the narrower side decides
    flat, upright = (
        key_section_link(width_in=w, height_in=h, hole_in=0.5, key_yield_psi=60_000)
        for w, h in ((2.0, 0.75), (0.75, 2.0))
    )
    assert flat.capacity_lbf == pytest.approx(upright.capacity_lbf)
    assert flat.capacity_lbf == pytest.approx((1.5 - math.pi / 16) * 40_000)


def test_factors_may_be_at_their_ends() -> None:
    # nothing held back: the whole proof, the whole yield
    whole = rod_link(
        thread_name="1-8 UNC", grade_name="SAE J429 grade 5", condition_factor=1, working_share=1
    )
    assert whole.capacity_lbf == pytest.approx(0.606 * 85_000)
    section = key_section_link(
        width_in=1, height_in=1, hole_in=0.5, key_yield_psi=50_000, design_factor=1
    )
    assert section.capacity_lbf == pytest.approx((1 - math.pi / 16) * 50_000)
    for link in (
        tapped_hole_link(**B7, engagement_in=0.75, key_yield_psi=54_000, design_factor=1),
        nut_link(**B7, height_in=0.75, nut_yield_psi=54_000, design_factor=1),
    ):
        assert link.capacity_lbf == pytest.approx(1.29 * 0.577 * 54_000, rel=0.003)
