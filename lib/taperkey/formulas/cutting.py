"""From bar to blank: stock choice, straight relief cut, master key and depth of cut.

The key lies flat face down on a master key of the opposite taper in the vise: the master's high
end goes under the blank's small end, so that the cutter, running level, leaves the taper.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from taperkey.checks import require_in, require_non_negative, require_positive, sentence
from taperkey.tables.stock import (
    Bar,
    Tolerance,
    key_tolerance,
    metric_bar_tolerance,
    stock_bars,
)
from taperkey.units import System

__all__ = ["CuttingPlan", "StockChoice", "choose_stock", "cutting_plan"]


@dataclass(frozen=True, slots=True)
class StockChoice:
    """Bar to cut the key from, its tolerance, and what comes off at nominal size."""

    width_in: float
    height_in: float
    form: str
    tolerance: Tolerance
    width_to_remove_in: float
    height_to_remove_in: float


def choose_stock(
    *,
    key_width_in: float,
    key_height_in: float,
    width_clean_up_in: float = 0.0,
    height_clean_up_in: float = 0.0,
    kind: str = "bar",
    system: System = "inch",
) -> StockChoice:
    r"""Choose the smallest bar that still holds the key at the low limit of its tolerance.

    .. math:: W_{bar} + \Delta_{low} \ge W + c_W, \quad H_{bar} + \Delta_{low} \ge H + c_H

    Parameters
    ----------
    key_width_in : float
        Width of the blank, the wide portion of a stepped key, above 0 [in].
    key_height_in : float
        Height of the blank at its large end, above 0 [in].
    width_clean_up_in : float
        Least that must come off the width, both sides together, 0 or more [in].
    height_clean_up_in : float
        Least that must come off the height, relief cut and taper face together, 0 or more [in].
    kind : str
        ``"bar"`` (never over size) or ``"keystock"`` (never under size in width; inch only).
    system : str
        "inch" or "metric": which shop's bars.

    Returns
    -------
    StockChoice
        Bar, tolerance, and what comes off width and height at nominal size [in].

    Raises
    ------
    ValueError
        If a value is out of its range, or no bar of the list is large enough.

    Assumptions
    -----------
    Bars of common practice at hand; smallest section is least to cut. The bar's two faces may
    change places: only the longer side is called width.

    Examples
    --------
    A 1 in slot height with 0.010 in for fitting and 1/32 in of clean-up no longer comes out of a
    1 in square:

    >>> stock = choose_stock(key_width_in=1.0, key_height_in=1.010, height_clean_up_in=0.03125)
    >>> stock.width_in, stock.height_in
    (1.125, 1.125)

    Source
    ------
    ASME B17.1-1967 (R2013), tolerances of bar and keystock; sizes: common practice. Metric:
    ISO 286-2, h11, and sizes from memory.
    """
    require_positive("key width", key_width_in, "in", "Enter the width of the blank.")
    require_positive("key height", key_height_in, "in", "Enter the height of the large end.")
    require_non_negative("clean-up of the width", width_clean_up_in, "in")
    require_non_negative("clean-up of the height", height_clean_up_in, "in")
    least_width = key_width_in + width_clean_up_in
    least_height = key_height_in + height_clean_up_in
    require_in("system of the shop", system, ("inch", "metric"))
    for bar in stock_bars(system=system):
        tolerance = (
            metric_bar_tolerance(bar=bar)
            if system == "metric"
            else key_tolerance(kind=kind, form=bar.form, width_in=bar.width_in)
        )
        sides = [
            (bar.width_in, bar.width_in + tolerance.width_lower_in),
            (bar.height_in, bar.height_in + tolerance.height_lower_in),
        ]
        for (width, low_width), (height, low_height) in (sides, sides[::-1]):
            if low_width >= least_width - _ROUNDING and low_height >= least_height - _ROUNDING:
                return StockChoice(
                    width, height, bar.form, tolerance, width - key_width_in, height - key_height_in
                )
    largest: Bar = stock_bars(system=system)[-1]
    rule = (
        f"within the largest bar of the list, {largest.width_in:.6g} x {largest.height_in:.6g} in"
    )
    size = f"{least_width:.6g} x {least_height:.6g}"
    raise ValueError(sentence("stock needed", size, "in", rule, "Cut it from plate or a forging."))


_ROUNDING = 1e-9  # in; a key of nominal width is in keystock of nominal width


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """Order of cuts: straight relief cut first, then the taper on the master key.

    Depths are from the surface after the relief cut, at the large and at the small end.
    """

    relief_cut_in: float
    height_after_relief_in: float
    large_end_cut_in: float
    small_end_cut_in: float
    taper_in_per_in: float
    master_key_rise_in: float
    passes: int
    depth_per_pass_in: float


def cutting_plan(
    *,
    stock_height_in: float,
    large_end_height_in: float,
    small_end_height_in: float,
    length_in: float,
    relief_cut_in: float,
    deepest_pass_in: float,
) -> CuttingPlan:
    r"""Plan the relief cut, the master key and the depth of the taper cut at both ends.

    .. math:: B' = B - r, \quad z_L = B' - H, \quad z_S = B' - H_s, \quad
        t = \frac{H - H_s}{L}, \quad n = \lceil z_S / z_{max} \rceil

    Parameters
    ----------
    stock_height_in : float
        Height B of the bar as measured, above 0 [in].
    large_end_height_in : float
        Height H of the blank at its large end, above 0 [in].
    small_end_height_in : float
        Height of the blank at its small end, above 0, below that of the large end [in].
    length_in : float
        Length L of the blank, above 0 [in].
    relief_cut_in : float
        Relief cut r on the side opposite the taper, above 0: without it the key bows [in].
    deepest_pass_in : float
        Deepest pass that cutter and vise take, above 0 [in].

    Returns
    -------
    CuttingPlan
        Relief cut, height after it, depth at both ends, taper [in/in], rise of the master key
        along the blank, number of passes of the taper cut and depth of each, at the small
        end [in].

    Raises
    ------
    ValueError
        If a value is out of its range, or the bar is too low for relief cut and blank.

    Assumptions
    -----------
    Height is measured square to the flat face; on the master it leans by the taper's angle,
    which changes it by half the taper squared, 5 parts in 100,000 at 1:96.

    Examples
    --------
    >>> plan = cutting_plan(stock_height_in=1.125, large_end_height_in=1.010,
    ...                     small_end_height_in=0.910, length_in=9.6, relief_cut_in=0.03,
    ...                     deepest_pass_in=0.05)
    >>> round(plan.large_end_cut_in, 4), round(plan.small_end_cut_in, 4), plan.passes
    (0.085, 0.185, 4)
    >>> round(plan.master_key_rise_in, 4)
    0.1

    Source
    ------
    Derived here; relief cut and master key: common practice.
    """
    require_positive("height of the bar", stock_height_in, "in", "Measure the bar.")
    require_positive("height of the small end", small_end_height_in, "in")
    require_positive("length of the blank", length_in, "in")
    require_positive("relief cut", relief_cut_in, "in", "Without it the key bows.")
    require_positive("deepest pass", deepest_pass_in, "in")
    if not small_end_height_in < large_end_height_in < math.inf:
        rule = f"above {small_end_height_in:.6g} in, the height of the small end"
        raise ValueError(
            sentence("height of the large end", float(large_end_height_in), "in", rule)
        )
    after = stock_height_in - relief_cut_in
    if after < large_end_height_in - _ROUNDING:
        rule = f"{large_end_height_in + relief_cut_in:.6g} in or more, large end and relief cut"
        raise ValueError(
            sentence("height of the bar", float(stock_height_in), "in", rule, "Take a larger bar.")
        )
    small_cut = after - small_end_height_in
    passes = max(1, math.ceil(small_cut / deepest_pass_in - _ROUNDING))
    return CuttingPlan(
        relief_cut_in=relief_cut_in,
        height_after_relief_in=after,
        large_end_cut_in=max(0.0, after - large_end_height_in),
        small_end_cut_in=small_cut,
        taper_in_per_in=(large_end_height_in - small_end_height_in) / length_in,
        master_key_rise_in=large_end_height_in - small_end_height_in,
        passes=passes,
        depth_per_pass_in=small_cut / passes,
    )
