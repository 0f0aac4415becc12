"""Welds: what a fillet or a groove weld carries by allowable stress.

Book symbols in the bodies: w leg, E throat, FEXX tensile strength of the weld metal,
theta angle of the load to the line of the weld, beta length reduction. The allowable
is 0.60 FEXX over 2.0 in shear, 0.60 FEXX over 1.88 in tension across a groove weld.
"""

from __future__ import annotations

import math

from taperkey.checks import require_in, require_non_negative, require_positive, require_range

__all__ = [
    "METHODS",
    "angle_increase",
    "fillet_strength_lbf_per_in",
    "groove_strength_lbf_per_in",
    "length_reduction",
    "plate_shear_lbf_per_in",
]

METHODS = ("allowable", "factored", "nominal")
SHEAR = {"allowable": 1 / 2.0, "factored": 0.75, "nominal": 1.0}
GROOVE_TENSION = {"allowable": 1 / 1.88, "factored": 0.80, "nominal": 1.0}
WELD_SHARE = 0.60
THROAT_SHARE = math.sqrt(0.5)


def angle_increase(*, load_angle_rad: float) -> float:
    """Return how much stronger a fillet is when loaded at an angle to its line.

    increase = 1 + .5 sin(theta)^1.5

    Parameters
    ----------
    load_angle_rad : float
        Angle between load and line of the weld, 0 to pi/2 [rad].

    Returns
    -------
    float
        Factor, 1 along to 1.5 across [-].

    Raises
    ------
    ValueError
        If the angle is outside its range.

    Assumptions
    -----------
    All fillets of the group are loaded at the same angle.

    Examples
    --------
    >>> angle_increase(load_angle_rad=0.0)
    1.0

    Source
    ------
    AISC 360, section J2.4 (memory of the clause); AISC Design Guide 29, p. 62 uses it.
    """
    require_range("load angle", load_angle_rad, 0, math.pi / 2, "rad")
    return 1 + 0.5 * math.pow(math.sin(load_angle_rad), 1.5)


def length_reduction(*, length_in: float, leg_in: float) -> float:
    """Return what is left of the strength of a long end-loaded fillet.

    beta = 1.2 - .002 l/w, at most 1; beyond 300 legs only 180 of them count: 180 w/l

    Parameters
    ----------
    length_in : float
        Length of the weld, above 0 [in].
    leg_in : float
        Leg of the fillet, above 0 [in].

    Returns
    -------
    float
        Factor [-]; 1 up to 100 legs, .6 at 300, less beyond.

    Raises
    ------
    ValueError
        If length or leg is not above 0.

    Assumptions
    -----------
    Load along the weld, put in at one end.

    Examples
    --------
    >>> round(length_reduction(length_in=27, leg_in=3 / 16), 3)
    0.912

    Source
    ------
    AISC 360, equation J2-1; AISC Design Examples v16, Example J.1.
    """
    require_positive("weld length", length_in, "in")
    require_positive("weld leg", leg_in, "in")
    legs = length_in / leg_in
    return 180 / legs if legs > 300 else min(1.0, 1.2 - 0.002 * legs)


def fillet_strength_lbf_per_in(
    *,
    leg_in: float,
    electrode_psi: float,
    load_angle_rad: float = 0.0,
    method: str = "allowable",
) -> float:
    """Return the strength of an inch of fillet weld.

    r = .60 FEXX .7071 w (1 + .5 sin(theta)^1.5) / 2.0

    Parameters
    ----------
    leg_in : float
        Leg, above 0 [in].
    electrode_psi : float
        Tensile strength of the weld metal, above 0 [psi].
    load_angle_rad : float
        Angle between load and line of the weld, 0 to pi/2; 0 is the cautious one [rad].
    method : str
        "allowable" (over 2.0), "factored" (times 0.75, against factored loads) or
        "nominal" (neither).

    Returns
    -------
    float
        Strength for each inch of one fillet [lbf/in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Equal legs, sound weld, qualified welder. Base metal is checked apart.

    Examples
    --------
    >>> round(fillet_strength_lbf_per_in(leg_in=1 / 16, electrode_psi=70000))
    928

    Source
    ------
    AISC Manual equation 8-2, as used in AISC Design Guide 29.
    """
    require_positive("weld leg", leg_in, "in")
    require_positive("electrode strength", electrode_psi, "psi")
    require_in("method", method, METHODS)
    throat = THROAT_SHARE * leg_in
    increase = angle_increase(load_angle_rad=load_angle_rad)
    return WELD_SHARE * electrode_psi * throat * increase * SHEAR[method]


def groove_strength_lbf_per_in(
    *,
    throat_in: float,
    electrode_psi: float,
    load_angle_rad: float = 0.0,
    method: str = "allowable",
) -> float:
    """Return the strength of an inch of a groove weld that goes part of the way through.

    r = 1 / sqrt((sin(theta)/r_tension)^2 + (cos(theta)/r_shear)^2)

    Parameters
    ----------
    throat_in : float
        Effective throat, of both sides together if both are welded, above 0 [in].
    electrode_psi : float
        Tensile strength of the weld metal, above 0 [psi].
    load_angle_rad : float
        Angle between load and line of the weld, 0 along to pi/2 across [rad].
    method : str
        "allowable", "factored" or "nominal".

    Returns
    -------
    float
        Strength for each inch of joint [lbf/in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Shear and tension add as two sides of a square corner. A groove weld that goes
    right through is as strong as the base metal: use that.

    Examples
    --------
    Half an inch of throat at 60 degrees, E70, 200,000 lbf:

    >>> import math
    >>> strength = groove_strength_lbf_per_in(throat_in=0.5, electrode_psi=70000,
    ...                                       load_angle_rad=math.radians(60))
    >>> round(200000 / strength, 1)
    18.2

    Source
    ------
    AISC 360, Table J2.5; AISC Design Examples v16, Example J.2B.
    """
    require_positive("throat", throat_in, "in")
    require_positive("electrode strength", electrode_psi, "psi")
    require_range("load angle", load_angle_rad, 0, math.pi / 2, "rad")
    require_in("method", method, METHODS)
    nominal = WELD_SHARE * electrode_psi * throat_in
    across = math.sin(load_angle_rad) / (nominal * GROOVE_TENSION[method])
    along = math.cos(load_angle_rad) / (nominal * SHEAR[method])
    return 1 / math.hypot(across, along)


def plate_shear_lbf_per_in(
    *, thickness_in: float, tensile_psi: float, method: str = "allowable"
) -> float:
    """Return the shear strength of an inch of base metal beside a weld.

    r = .60 Fu t / 2.0

    Parameters
    ----------
    thickness_in : float
        Thickness in shear; for one fillet its leg, 0 or more [in].
    tensile_psi : float
        Tensile strength of the base metal, above 0 [psi].
    method : str
        "allowable", "factored" or "nominal".

    Returns
    -------
    float
        Strength for each inch [lbf/in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    The heat of welding has not made the base metal brittle: medium-carbon key
    steel must be preheated by whoever is qualified to weld it.

    Examples
    --------
    >>> round(plate_shear_lbf_per_in(thickness_in=0.5, tensile_psi=58000))
    8700

    Source
    ------
    AISC 360, equation J4-4 (memory).
    """
    require_non_negative("thickness", thickness_in, "in")
    require_positive("tensile strength", tensile_psi, "psi")
    require_in("method", method, METHODS)
    return WELD_SHARE * tensile_psi * thickness_in * SHEAR[method]
