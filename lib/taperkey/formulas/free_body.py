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
    "Reaction",
    "lowering_force_lbf",
    "raising_force_lbf",
    "reaction_of_pull",
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


@dataclass(frozen=True, kw_only=True)
class Reaction:
    """Where a pull on the key goes, and what the rig's feet have to do about it.

    Attributes
    ----------
    hub_lbf : float
        Part that drags the hub along with the key, by its tapered face [lbf].
    shaft_lbf : float
        Part that drags the shaft along, by the flat face [lbf].
    normal_lbf : float
        Force that the key presses hub and shaft together with, opposite itself [lbf].
    friction_to_hold : float
        Friction in the bore below which a rig on the shaft draws hub and key along together [-].
    """

    hub_lbf: float
    shaft_lbf: float
    normal_lbf: float
    friction_to_hold: float


def reaction_of_pull(
    *, pull_lbf: float, taper_in_per_in: float, floor_friction: float, roof_friction: float
) -> Reaction:
    """Return what a pull on the key drags along, in the moment that the key starts.

    hub = N tan(phi2 - alpha);  shaft = N mu1;  pull = hub + shaft

    Parameters
    ----------
    pull_lbf : float
        Pull that starts the key, 0 or more [lbf].
    taper_in_per_in : float
        Taper of the roof, 0 to 0.6 [in/in].
    floor_friction : float
        Friction coefficient of the flat face on the shaft, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of the tapered face in the hub, 0 to 1.5 [-].

    Returns
    -------
    Reaction
        A rig on the hub takes the whole pull at the hub's face and passes the shaft's part on
        through the bore; a rig on the shaft leaves the hub's part to friction in the bore.

    Raises
    ------
    ValueError
        If an argument is outside its range, or the key comes out by itself.

    Assumptions
    -----------
    As in `wedge_free_body`; no shoulder, collar or set screw holds the hub.

    Examples
    --------
    >>> found = reaction_of_pull(pull_lbf=28_400, taper_in_per_in=1 / 96, floor_friction=0.1,
    ...                          roof_friction=0.1)
    >>> round(found.hub_lbf), round(found.shaft_lbf), round(found.friction_to_hold, 3)
    (13412, 14988, 0.089)

    Source
    ------
    Derived here, from the free bodies of `wedge_free_body`.
    """
    require_non_negative("pull", pull_lbf, "lbf")
    forces = wedge_free_body(
        normal_force_lbf=1.0,
        taper_in_per_in=taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
        direction="withdrawing",
    )
    along = {(one.body, one.name): one.along_lbf for one in forces}
    for_each = -along["key", "pull"]
    if for_each <= 0:
        raise ValueError(
            f"floor and roof friction are {floor_friction:g} and {roof_friction:g}; they must hold"
            " the key: with so little it comes out by itself."
        )
    normal = pull_lbf / for_each
    hub = -sum(along["hub", name] for name in ("roof pressure", "roof friction"))
    return Reaction(
        hub_lbf=normal * hub,
        shaft_lbf=-normal * along["shaft", "floor friction"],
        normal_lbf=normal,
        friction_to_hold=hub,
    )


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
