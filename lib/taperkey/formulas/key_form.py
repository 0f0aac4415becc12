"""What the slot and the puller ask of the key's form: step, eased edges, tapped end.

Every name here can also be had from `key`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from taperkey.arrays import np
from taperkey.checks import require_non_negative, require_positive, sentence
from taperkey.formulas.measure import Values

__all__ = [
    "SteppedKey",
    "TappedEnd",
    "chamfer_clears",
    "held_off_height_in",
    "stepped_key",
    "tapped_end",
]


@dataclass(frozen=True, slots=True)
class SteppedKey:
    """Key for slots of unequal width: the portion in the hub, the portion in the shaft, the step.

    `step_in` is the step on each side; `wide_portion` says which portion is wide.
    """

    wide_portion: Literal["hub", "shaft", "neither"]
    hub_width_in: float
    shaft_width_in: float
    step_in: float
    shaft_portion_height_in: float
    hub_portion_large_end_in: float
    hub_portion_small_end_in: float


def stepped_key(
    *,
    hub_slot_width_in: float,
    shaft_slot_width_in: float,
    shaft_slot_side_depth_in: float,
    large_end_height_in: float,
    small_end_height_in: float,
    side_clearance_in: float = 0.0,
    relief_in: float = 0.0,
) -> SteppedKey:
    r"""Find widths and heights of a stepped key.

    .. math:: b = w - c, \quad s = |b_h - b_s| / 2, \quad h_s = d \pm r, \quad h_h = H - h_s

    plus where the hub portion is wide, minus where the shaft portion is.

    Parameters
    ----------
    hub_slot_width_in : float
        Width of the hub slot, above 0 [in].
    shaft_slot_width_in : float
        Width of the shaft slot, above 0 [in].
    shaft_slot_side_depth_in : float
        Depth d of the shaft slot along its side wall, above 0 [in].
    large_end_height_in : float
        Whole height of the key at its large end, above 0 [in].
    small_end_height_in : float
        Whole height at the small end, above 0, not above that of the large end [in].
    side_clearance_in : float
        Both sides together in each slot, 0 or more [in].
    relief_in : float
        Height r by which the step keeps off the corner it faces, 0 or more [in].

    Returns
    -------
    SteppedKey
        Which portion is wide, both widths, the step on each side, and both portions' heights;
        the shaft portion has one height, the hub portion carries the taper [in].

    Raises
    ------
    ValueError
        If a value is out of its range or a portion has no height left.

    Assumptions
    -----------
    Slots centered on each other and straight. The wide portion ends short of the narrow slot's
    edge by the relief, so that the step never bears.

    Examples
    --------
    >>> key = stepped_key(
    ...     hub_slot_width_in=1.03, shaft_slot_width_in=1.0, shaft_slot_side_depth_in=0.48,
    ...     large_end_height_in=1.01, small_end_height_in=0.93, relief_in=0.02)
    >>> key.wide_portion, round(key.step_in, 4), round(key.shaft_portion_height_in, 4)
    ('hub', 0.015, 0.5)
    >>> round(key.hub_portion_large_end_in, 4), round(key.hub_portion_small_end_in, 4)
    (0.51, 0.43)

    Source
    ------
    Derived here; stepped keys for worn slots: common practice.
    """
    require_positive("width of the hub slot", hub_slot_width_in, "in", "Measure it again.")
    require_positive("width of the shaft slot", shaft_slot_width_in, "in", "Measure it again.")
    require_positive("depth of the shaft slot", shaft_slot_side_depth_in, "in", "Measure it.")
    require_positive("height of the small end", small_end_height_in, "in")
    if not small_end_height_in <= large_end_height_in < math.inf:
        rule = f"{small_end_height_in:.6g} in or more, as at the small end"
        raise ValueError(
            sentence("height of the large end", float(large_end_height_in), "in", rule)
        )
    require_non_negative("side clearance", side_clearance_in, "in")
    require_non_negative("relief", relief_in, "in")
    hub = hub_slot_width_in - side_clearance_in
    shaft = shaft_slot_width_in - side_clearance_in
    require_positive("width of the key", min(hub, shaft), "in", "Lower the side clearance.")
    wide: Literal["hub", "shaft", "neither"]
    if hub > shaft:
        wide, height = "hub", shaft_slot_side_depth_in + relief_in
    elif hub < shaft:
        wide, height = "shaft", shaft_slot_side_depth_in - relief_in
    else:
        wide, height = "neither", shaft_slot_side_depth_in
    require_positive("height of the shaft portion", height, "in", "Lower the relief.")
    require_positive(
        "height of the hub portion", small_end_height_in - height, "in", "Check both depths."
    )
    return SteppedKey(
        wide_portion=wide,
        hub_width_in=hub,
        shaft_width_in=shaft,
        step_in=abs(hub - shaft) / 2,
        shaft_portion_height_in=height,
        hub_portion_large_end_in=large_end_height_in - height,
        hub_portion_small_end_in=small_end_height_in - height,
    )


def held_off_height_in(
    *, slot_radius_in: Values, chamfer_in: Values, side_gap_in: Values = 0.0
) -> Values:
    r"""Height by which a key rides on the corner radii because its edges are not eased enough.

    .. math:: \delta = \max\left(0,\; f(g) - c,\; f(g + c)\right), \quad
        f(x) = r - \sqrt{r^2 - (r - x)^2} \text{ for } x < r, \text{ else } 0

    Parameters
    ----------
    slot_radius_in : float or array
        Radius r in the corner of the slot, 0 or more [in].
    chamfer_in : float or array
        Leg c of the 45 degree chamfer on the key, 0 or more [in].
    side_gap_in : float or array
        Gap g between key and side wall, 0 or more [in].

    Returns
    -------
    float or array
        Gap left under the key [in]; 0 when the edge clears the radius.

    Raises
    ------
    ValueError
        If a value is below 0.

    Assumptions
    -----------
    True quarter-circle in the corner; nothing gives.

    Examples
    --------
    A 1/16 in radius and a 1/32 in chamfer, key against the wall:

    >>> held_off_height_in(slot_radius_in=0.0625, chamfer_in=0.03125)
    0.03125
    >>> held_off_height_in(slot_radius_in=0.0625, chamfer_in=0.078125)
    0.0

    Source
    ------
    Derived here: the free space beside a quarter-circle bulges outward, so the two ends of the
    chamfer touch first.
    """
    require_non_negative("radius in the slot", slot_radius_in, "in", "Use a radius gauge.")
    require_non_negative("chamfer", chamfer_in, "in")
    require_non_negative("side gap", side_gap_in, "in")
    r, c, g = slot_radius_in, chamfer_in, side_gap_in
    side = _fillet_height(r, g) - c
    bottom = _fillet_height(r, g + c)
    if isinstance(side, float) and isinstance(bottom, float):
        return max(0.0, side, bottom)
    return np.maximum(np.maximum(side, bottom), 0.0)


def _fillet_height(r: Values, x: Values) -> Values:
    if isinstance(r, (int, float)) and isinstance(x, (int, float)):
        return 0.0 if x >= r else r - math.sqrt(x * (2 * r - x))
    r, x = np.broadcast_arrays(np.asarray(r, dtype=float), np.asarray(x, dtype=float))
    covered = np.minimum(x, r)
    return r - np.sqrt(covered * (2 * r - covered))


def chamfer_clears(*, slot_radius_in: float, chamfer_in: float) -> bool:
    """Tell whether an eased edge clears the corner of the slot.

    The chamfer must be larger than the radius; equal is too near to call clear.

    Parameters
    ----------
    slot_radius_in : float
        Radius in the corner of the slot, 0 or more [in].
    chamfer_in : float
        Leg of the 45 degree chamfer on the key, 0 or more [in].

    Returns
    -------
    bool
        True when the chamfer is larger.

    Raises
    ------
    ValueError
        If a value is below 0.

    Assumptions
    -----------
    Key against the side wall, the worst case; see `held_off_height_in`.

    Examples
    --------
    >>> chamfer_clears(slot_radius_in=0.0625, chamfer_in=0.078125)
    True

    Source
    ------
    Derived here; every pair of ASME B17.1's fillet table keeps it.
    """
    require_non_negative("radius in the slot", slot_radius_in, "in", "Use a radius gauge.")
    require_non_negative("chamfer", chamfer_in, "in")
    return chamfer_in > slot_radius_in


@dataclass(frozen=True, slots=True)
class TappedEnd:
    """What a tapped hole leaves of the key.

    Wall and section at the bottom of the hole, where the tapered key is thinnest.
    """

    end_section_in2: float
    smallest_section_in2: float
    top_wall_in: float
    side_wall_in: float
    fits: bool


def tapped_end(
    *,
    width_in: float,
    large_end_height_in: float,
    taper_in_per_in: float,
    hole_diameter_in: float,
    hole_depth_in: float,
) -> TappedEnd:
    r"""Find the walls and the steel left round a tapped hole in the large end.

    .. math:: A = W (H - t x) - \frac{\pi d^2}{4}, \quad x = 0 \text{ and } x = \text{depth}

    Parameters
    ----------
    width_in : float
        Key width W, above 0 [in].
    large_end_height_in : float
        Height H at the large end, above 0 [in].
    taper_in_per_in : float
        Taper t of the key, 0 or more [in/in].
    hole_diameter_in : float
        Major diameter d of the thread, above 0 [in].
    hole_depth_in : float
        Depth of the hole, 0 or more [in].

    Returns
    -------
    TappedEnd
        ``end_section_in2`` at the end and ``smallest_section_in2`` at the bottom of the hole
        [in2], ``top_wall_in`` over or under and ``side_wall_in`` beside the hole there [in], and
        ``fits``: whether a wall is left on all sides.

    Raises
    ------
    ValueError
        If a value is out of its range or the key has no height left at the hole's bottom.

    Assumptions
    -----------
    Hole in the middle of the section at its bottom, threads counted at their full diameter.

    Examples
    --------
    >>> end = tapped_end(width_in=1.0, large_end_height_in=1.0, taper_in_per_in=0.01,
    ...                  hole_diameter_in=0.5, hole_depth_in=1.5)
    >>> round(end.end_section_in2, 3), round(end.smallest_section_in2, 3)
    (0.804, 0.789)
    >>> round(end.top_wall_in, 4), end.side_wall_in
    (0.2425, 0.25)

    Source
    ------
    Derived here: rectangle less circle.
    """
    require_positive("key width", width_in, "in")
    require_positive("height of the large end", large_end_height_in, "in")
    require_non_negative("taper", taper_in_per_in, "in/in")
    require_positive("hole diameter", hole_diameter_in, "in", "Enter the thread's diameter.")
    require_non_negative("hole depth", hole_depth_in, "in")
    height = large_end_height_in - taper_in_per_in * hole_depth_in
    require_positive("key height at the bottom of the hole", height, "in", "Check the depth.")
    hole = math.pi * hole_diameter_in**2 / 4
    top = (height - hole_diameter_in) / 2
    side = (width_in - hole_diameter_in) / 2
    return TappedEnd(
        end_section_in2=width_in * large_end_height_in - hole,
        smallest_section_in2=width_in * height - hole,
        top_wall_in=top,
        side_wall_in=side,
        fits=top > 0 and side > 0,
    )
