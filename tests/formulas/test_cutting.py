"""Cuts from bar to blank: each field by hand, and what just fits."""

from __future__ import annotations

import math

import pytest

from taperkey.formulas.cutting import choose_stock, cutting_plan

PLAN = {
    "stock_height_in": 1.125, "large_end_height_in": 1.010, "small_end_height_in": 0.910,
    "length_in": 9.6, "relief_cut_in": 0.03, "deepest_pass_in": 0.05,
}  # fmt: skip


def refused(**arguments: float) -> str:
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole sentence is compared
        cutting_plan(**(PLAN | arguments))
    return str(caught.value)


def test_every_number_of_a_plan() -> None:
    # 1.125 - 0.030 = 1.095; to 1.010 and 0.910 are 0.085 and 0.185; 0.185 / 0.05 is 3.7: 4 passes
    plan = cutting_plan(**PLAN)
    assert plan.relief_cut_in == 0.03
    assert plan.height_after_relief_in == pytest.approx(1.095)
    assert plan.large_end_cut_in == pytest.approx(0.085)
    assert plan.small_end_cut_in == pytest.approx(0.185)
    assert plan.taper_in_per_in == pytest.approx(1 / 96)
    assert plan.master_key_rise_in == pytest.approx(0.1)
    assert plan.passes == 4
    assert plan.depth_per_pass_in == pytest.approx(0.04625)


def test_a_shallow_cut_is_one_pass() -> None:
    plan = cutting_plan(**(PLAN | {"deepest_pass_in": 0.2}))
    assert (plan.passes, plan.depth_per_pass_in) == (1, pytest.approx(0.185))
    # however deep the cutter may go
    assert cutting_plan(**(PLAN | {"deepest_pass_in": 1e9})).passes == 1


@pytest.mark.parametrize("relief", [0.01, 0.02, 0.03, 0.06, 0.07])
def test_a_bar_that_just_holds_relief_and_blank_is_taken(relief: float) -> None:
    # 1.010 and the relief cut make the bar, but for the rounding of the sum: nothing is left at
    # the large end, the rise of the master, 0.1 in, at the small end
    plan = cutting_plan(**(PLAN | {"stock_height_in": 1.010 + relief, "relief_cut_in": relief}))
    assert plan.large_end_cut_in == pytest.approx(0.0, abs=1e-12)
    assert plan.large_end_cut_in >= 0.0
    assert plan.small_end_cut_in == pytest.approx(0.1)


def test_a_bar_a_hair_too_low_is_refused() -> None:
    assert refused(stock_height_in=1.03999) == (
        "height of the bar is 1.03999 in; it must be 1.04 in or more, large end and relief cut. "
        "Take a larger bar."
    )


def test_a_key_without_taper_or_without_end_is_refused() -> None:
    rule = "it must be above 0.91 in, the height of the small end."
    assert refused(large_end_height_in=0.91) == f"height of the large end is 0.91 in; {rule}"
    assert refused(large_end_height_in=math.inf).startswith("height of the large end is inf in; ")
    assert refused(large_end_height_in=math.nan).startswith("height of the large end is nan in; ")


def test_a_rule_says_its_numbers_to_six_figures() -> None:
    assert refused(small_end_height_in=0.91234567, large_end_height_in=0.5) == (
        "height of the large end is 0.5 in; it must be above 0.912346 in, the height of the small "
        "end."
    )
    assert refused(large_end_height_in=1.2345678, relief_cut_in=0.03) == (
        "height of the bar is 1.125 in; it must be 1.26457 in or more, large end and relief cut. "
        "Take a larger bar."
    )


def test_a_square_bar_names_itself_and_what_comes_off() -> None:
    # ASME B17.1: a square bar over 3/4 to 1-1/2 in may be 0.003 in under size, so that 1.000 in
    # does not come out of 1 in; the next is 1-1/8 in
    stock = choose_stock(key_width_in=1.0, key_height_in=1.010)
    assert (stock.width_in, stock.height_in, stock.form) == (1.125, 1.125, "square")
    assert (stock.tolerance.width_upper_in, stock.tolerance.width_lower_in) == (0.0, -0.003)
    assert stock.width_to_remove_in == pytest.approx(0.125)
    assert stock.height_to_remove_in == pytest.approx(0.115)


def test_a_rectangular_bar_has_its_own_tolerance() -> None:
    # 1-1/2 x 1 in has the smallest section of those that hold 1.4 x 0.9; its width is in the row
    # over 3/4 to 1-1/2 in, 0.004 in under size
    stock = choose_stock(key_width_in=1.4, key_height_in=0.9)
    assert (stock.width_in, stock.height_in, stock.form) == (1.5, 1.0, "rectangular")
    assert stock.tolerance.height_lower_in == -0.004
    assert stock.width_to_remove_in == pytest.approx(0.1)
    assert stock.height_to_remove_in == pytest.approx(0.1)


def test_clean_up_is_added_to_its_own_side() -> None:
    # 1.496 is what a bar of 1-1/2 x 1 in surely has, 0.996 the other way: one hundredth more each
    # way does not come out of it
    plain = {"key_width_in": 1.49, "key_height_in": 0.99}
    assert choose_stock(**plain).width_in == 1.5
    assert choose_stock(**plain, width_clean_up_in=0.006).width_in == 1.5
    assert choose_stock(**plain, height_clean_up_in=0.006).width_in == 1.5
    wider = choose_stock(**plain, width_clean_up_in=0.01)
    assert (wider.width_in, wider.height_in) == (1.75, 1.0)
    higher = choose_stock(**plain, height_clean_up_in=0.01)
    assert (higher.width_in, higher.height_in) == (1.5, 1.25)
