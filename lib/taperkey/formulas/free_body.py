"""Free bodies: every force on key, hub and shaft, and a wedge under a guided load.

Book symbols in the bodies: V normal force on the flat floor, N2 pressure of the
roof square to the roof, t taper, mu1 floor and mu2 roof friction, W load, w weight
of the wedge, mu_w friction at the wall. Inward and outward are positive.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from taperkey.checks import require_in, require_non_negative, require_range
from taperkey.formulas.wedge import MAX_FRICTION, require_wedge

__all__ = [
    "Force",
    "lowering_force_lbf",
    "raising_force_lbf",
    "wedge_free_body",
]


@dataclass(frozen=True, kw_only=True)
class Force:
    """One force of a free body.

    Attributes
    ----------
    body : str
        On which body it acts: "key", "hub" or "shaft".
    name : str
        What it is, in the trade's words.
    along_lbf : float
        Part along the shaft, inward positive [lbf].
    outward_lbf : float
        Part square to the shaft, from shaft to hub positive [lbf].
    """

    body: str
    name: str
    along_lbf: float
    outward_lbf: float


def wedge_free_body(
    *,
    normal_force_lbf: float,
    taper_in_per_in: float,
    floor_friction: float,
    roof_friction: float,
    direction: str,
) -> tuple[Force, ...]:
    """Return every force on key, hub and shaft while the key moves.

    roof normal N2 = V / (cos(alpha) -/+ mu2 sin(alpha)), minus when driving

    Parameters
    ----------
    normal_force_lbf : float
        Force square to the flat face, 0 or more [lbf].
    taper_in_per_in : float
        Taper of the roof, 0 to 0.6 [in/in].
    floor_friction : float
        Friction coefficient of the flat face on the shaft, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of the tapered face in the hub, 0 to 1.5 [-].
    direction : str
        "driving" or "withdrawing".

    Returns
    -------
    tuple of Force
        Forces in [lbf]; on each body they add to nothing both ways.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Two directions only: turning moments are taken up by where along the faces the
    pressure sits. Shaft and hub meet opposite the key, without friction there;
    each is held along the shaft by its own stop. Weights are left out.

    Examples
    --------
    >>> forces = wedge_free_body(normal_force_lbf=1000, taper_in_per_in=0.01, floor_friction=0.1,
    ...                          roof_friction=0.1, direction="driving")
    >>> [force.name for force in forces if force.body == "key"]
    ['push', 'floor pressure', 'floor friction', 'roof pressure', 'roof friction']

    Source
    ------
    Derived here; the push agrees with `driving_force_lbf`.
    """
    require_in("direction", direction, ("driving", "withdrawing"))
    require_non_negative("normal force", normal_force_lbf, "lbf")
    require_wedge(
        taper_in_per_in=taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )
    way = 1.0 if direction == "driving" else -1.0  # the way the key moves
    t, mu1, mu2, V = taper_in_per_in, floor_friction, roof_friction, normal_force_lbf
    cos = 1 / math.hypot(1, t)
    sin = t * cos
    N2 = V / (cos - way * mu2 * sin)
    # the hub presses the roof down and, because it slopes, outward along the shaft
    roof_pressure = (-N2 * sin, -N2 * cos)
    roof_friction_force = (-way * mu2 * N2 * cos, way * mu2 * N2 * sin)
    along = mu1 * way * V - roof_pressure[0] - roof_friction_force[0]
    act = "push" if direction == "driving" else "pull"
    hub_hold = roof_pressure[0] + roof_friction_force[0]
    return (
        Force(body="key", name=act, along_lbf=along, outward_lbf=0.0),
        Force(body="key", name="floor pressure", along_lbf=0.0, outward_lbf=V),
        Force(body="key", name="floor friction", along_lbf=-way * mu1 * V, outward_lbf=0.0),
        Force(body="key", name="roof pressure", along_lbf=roof_pressure[0],
              outward_lbf=roof_pressure[1]),
        Force(body="key", name="roof friction", along_lbf=roof_friction_force[0],
              outward_lbf=roof_friction_force[1]),
        Force(body="hub", name="roof pressure", along_lbf=-roof_pressure[0],
              outward_lbf=-roof_pressure[1]),
        Force(body="hub", name="roof friction", along_lbf=-roof_friction_force[0],
              outward_lbf=-roof_friction_force[1]),
        Force(body="hub", name="bore on shaft, opposite the key", along_lbf=0.0, outward_lbf=-V),
        Force(body="hub", name="stop", along_lbf=hub_hold, outward_lbf=0.0),
        Force(body="shaft", name="floor pressure", along_lbf=0.0, outward_lbf=-V),
        Force(body="shaft", name="floor friction", along_lbf=way * mu1 * V, outward_lbf=0.0),
        Force(body="shaft", name="bore on shaft, opposite the key", along_lbf=0.0, outward_lbf=V),
        Force(body="shaft", name="stop", along_lbf=-way * mu1 * V, outward_lbf=0.0),
    )  # fmt: skip


def raising_force_lbf(
    *,
    load_lbf: float,
    taper_in_per_in: float,
    floor_friction: float,
    roof_friction: float,
    wall_friction: float = 0.0,
    wedge_weight_lbf: float = 0.0,
) -> float:
    """Return the push on a wedge that raises a load guided by a wall.

    V = W / (1 - mu_w tan(phi2 + alpha));  P = V tan(phi2 + alpha) + mu1 (V + w)

    Parameters
    ----------
    load_lbf : float
        Weight of the load, 0 or more [lbf].
    taper_in_per_in : float
        Slope of the upper face of the wedge, 0 to 0.6 [in/in].
    floor_friction : float
        Friction coefficient of wedge on floor, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of load on wedge, 0 to 1.5 [-].
    wall_friction : float
        Friction coefficient of load on wall, 0 for rollers, to 1.5 [-].
    wedge_weight_lbf : float
        Weight of the wedge itself, 0 or more [lbf].

    Returns
    -------
    float
        Push along the floor [lbf]; infinity if wall and slope jam.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    The wall stands square to the floor and rubs as the load rises.

    Examples
    --------
    >>> import math
    >>> round(raising_force_lbf(load_lbf=400, taper_in_per_in=math.tan(math.radians(8)),
    ...     floor_friction=0.35, roof_friction=0.35, wall_friction=0.35))
    423

    Source
    ------
    Beer and Johnston, *Vector Mechanics: Statics*, Sample Problem 8.4 (as in its
    open companion), formula derived here from the two free bodies.
    """
    require_wedge(
        taper_in_per_in=taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )
    require_non_negative("load", load_lbf, "lbf")
    require_range("wall friction", wall_friction, 0, MAX_FRICTION)
    require_non_negative("wedge weight", wedge_weight_lbf, "lbf")
    lean = (roof_friction + taper_in_per_in) / (1 - roof_friction * taper_in_per_in)
    if wall_friction * lean >= 1:
        return math.inf
    V = load_lbf / (1 - wall_friction * lean)
    return V * lean + floor_friction * (V + wedge_weight_lbf)


def lowering_force_lbf(
    *,
    load_lbf: float,
    taper_in_per_in: float,
    floor_friction: float,
    roof_friction: float,
    wall_friction: float = 0.0,
    wedge_weight_lbf: float = 0.0,
) -> float:
    """Return the pull on a wedge that lowers a load guided by a wall.

    V = W / (1 + mu_w |tan(phi2 - alpha)|);  P = V tan(phi2 - alpha) + mu1 (V + w)

    Parameters
    ----------
    load_lbf : float
        Weight of the load, 0 or more [lbf].
    taper_in_per_in : float
        Slope of the upper face of the wedge, 0 to 0.6 [in/in].
    floor_friction : float
        Friction coefficient of wedge on floor, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of load on wedge, 0 to 1.5 [-].
    wall_friction : float
        Friction coefficient of load on wall, 0 for rollers, to 1.5 [-].
    wedge_weight_lbf : float
        Weight of the wedge itself, 0 or more [lbf].

    Returns
    -------
    float
        Pull along the floor [lbf]; 0 or less if the wedge slips out by itself.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    A wall stands on either side of the load and rubs as the load sinks.

    Examples
    --------
    >>> import math
    >>> round(lowering_force_lbf(load_lbf=400, taper_in_per_in=math.tan(math.radians(8)),
    ...     floor_friction=0.35, roof_friction=0.35, wall_friction=0.35), 1)
    205.5

    Source
    ------
    Beer and Johnston, *Vector Mechanics: Statics*, Sample Problem 8.4 (as in its
    open companion; printed 206 lb), formula derived here from the two free bodies.
    """
    require_wedge(
        taper_in_per_in=taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )
    require_non_negative("load", load_lbf, "lbf")
    require_range("wall friction", wall_friction, 0, MAX_FRICTION)
    require_non_negative("wedge weight", wedge_weight_lbf, "lbf")
    lean = (roof_friction - taper_in_per_in) / (1 + roof_friction * taper_in_per_in)
    V = load_lbf / (1 + wall_friction * abs(lean))
    return V * lean + floor_friction * (V + wedge_weight_lbf)
