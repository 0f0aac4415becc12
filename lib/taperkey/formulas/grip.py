"""The grip of a driven taper key: the torque that friction carries before it slips.

Book symbols in the body: N normal force, mu friction, D shaft diameter, H key height.
"""

from __future__ import annotations

from dataclasses import dataclass

from taperkey.checks import require_at_least, require_positive, require_range
from taperkey.formulas.wedge import MAX_FRICTION

__all__ = ["FrictionTorque", "friction_torque"]


@dataclass(frozen=True, kw_only=True)
class FrictionTorque:
    """Torque that a driven taper key carries by friction before it slips.

    Attributes
    ----------
    low_lbf_in : float
        Torque at the low ends of seat force and friction [lbf_in].
    high_lbf_in : float
        Torque at the high ends [lbf_in].
    bore_share : float
        Part of it carried where the bore sits on the shaft, opposite the key [-].
    assumption : str
        What the range rests on.
    """

    low_lbf_in: float
    high_lbf_in: float
    bore_share: float
    assumption: str


def friction_torque(
    *,
    seat_low_lbf: float,
    seat_high_lbf: float,
    friction_low: float,
    friction_high: float,
    shaft_diameter_in: float,
    depth_in_shaft_in: float,
    height_in: float,
) -> FrictionTorque:
    """Return the torque range that the grip of a driven taper key carries.

    T low = mu N (D/2 + D/2 - depth);  T high = mu N (D/2 + D/2 - depth + H)

    Parameters
    ----------
    seat_low_lbf : float
        Low end of the normal force of the driven key, above 0 [lbf].
    seat_high_lbf : float
        High end of the normal force, not below the low end [lbf].
    friction_low : float
        Low end of the friction of the faces, above 0 to 1.5 [-].
    friction_high : float
        High end of the friction, not below the low end, to 1.5 [-].
    shaft_diameter_in : float
        Shaft diameter, above 0 [in].
    depth_in_shaft_in : float
        Depth of the floor below the top of the shaft, above 0, below the radius [in].
    height_in : float
        Key height, above 0 [in].

    Returns
    -------
    FrictionTorque
        Range in [lbf_in], never one number.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    The key presses the bore onto the far side of the shaft with the same force N.
    There friction acts at the radius D/2. At the key, friction acts on floor and
    roof; the turning of the key is balanced by the pressure moving sideways, so
    its arm lies between the floor and the roof radius: the two ends of the range.
    Holds for clear sides, mu H below the key width, the same friction everywhere,
    a bore that touches in a narrow strip (a wide strip carries more), and no
    weight or belt pull. When it slips, the sides take the load as an ordinary key.

    Examples
    --------
    >>> torque = friction_torque(seat_low_lbf=100000, seat_high_lbf=100000, friction_low=0.1,
    ...     friction_high=0.1, shaft_diameter_in=6, depth_in_shaft_in=0.5, height_in=1)
    >>> round(torque.low_lbf_in), round(torque.high_lbf_in)
    (55000, 65000)

    Source
    ------
    Derived here from the equilibrium of shaft, key and hub; no published worked
    example was found.
    """
    require_positive("seat force, low end", seat_low_lbf, "lbf")
    require_at_least("seat force, high end", seat_high_lbf, seat_low_lbf, "lbf")
    require_positive("friction, low end", friction_low)
    require_range("friction, high end", friction_high, friction_low, MAX_FRICTION)
    require_positive("shaft diameter", shaft_diameter_in, "in")
    require_positive("key height", height_in, "in")
    radius = shaft_diameter_in / 2
    require_range("depth in the shaft", depth_in_shaft_in, 0, radius, "in")
    floor, roof = radius - depth_in_shaft_in, radius - depth_in_shaft_in + height_in
    middle = (floor + roof) / 2
    return FrictionTorque(
        low_lbf_in=friction_low * seat_low_lbf * (radius + floor),
        high_lbf_in=friction_high * seat_high_lbf * (radius + roof),
        bore_share=radius / (radius + middle),
        assumption=(
            f"seat force {seat_low_lbf:,.0f} to {seat_high_lbf:,.0f} lbf and friction"
            f" {friction_low:g} to {friction_high:g}, the same on bore and key."
        ),
    )
