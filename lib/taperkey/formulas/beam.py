"""The strongback as a beam: bending and shear of a bar across two supports.

Book symbols in the bodies: P load, L span, a and b distances of the load from the
supports, M moment, S section modulus, E modulus, I second moment of area.
"""

from __future__ import annotations

from taperkey.checks import require_non_negative, require_positive, require_range

__all__ = [
    "bar_second_moment_in4",
    "bar_section_modulus_in3",
    "bar_shear_stress_psi",
    "deflection_at_centre_in",
    "deflection_two_loads_in",
    "moment_one_load_lbf_in",
    "moment_two_loads_lbf_in",
]


def bar_section_modulus_in3(*, width_in: float, depth_in: float, hole_in: float = 0.0) -> float:
    """Return the section modulus of a flat bar, a hole along the depth taken off.

    S = (w - hole) d^2 / 6

    Parameters
    ----------
    width_in : float
        Width, square to the pull, above 0 [in].
    depth_in : float
        Depth, along the pull, above 0 [in].
    hole_in : float
        Diameter of the hole for the rod, 0 to below the width [in].

    Returns
    -------
    float
        Elastic section modulus at the hole [in3].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Solid rectangle, straight edges.

    Examples
    --------
    >>> bar_section_modulus_in3(width_in=4, depth_in=3, hole_in=1)
    4.5

    Source
    ------
    Any beam table (memory: S = b d^2/6).
    """
    require_positive("bar width", width_in, "in")
    require_positive("bar depth", depth_in, "in")
    require_non_negative("rod hole", hole_in, "in")
    require_positive("bar width less the hole", width_in - hole_in, "in", "Take a wider bar.")
    return (width_in - hole_in) * depth_in**2 / 6


def bar_second_moment_in4(*, width_in: float, depth_in: float) -> float:
    """Return the second moment of area of a flat bar.

    I = w d^3 / 12

    Parameters
    ----------
    width_in : float
        Width, square to the pull, above 0 [in].
    depth_in : float
        Depth, along the pull, above 0 [in].

    Returns
    -------
    float
        Second moment of area [in4].

    Raises
    ------
    ValueError
        If an argument is not above 0.

    Assumptions
    -----------
    Solid rectangle; the hole hardly changes the deflection.

    Examples
    --------
    >>> bar_second_moment_in4(width_in=3, depth_in=2)
    2.0

    Source
    ------
    Any beam table.
    """
    require_positive("bar width", width_in, "in")
    require_positive("bar depth", depth_in, "in")
    return width_in * depth_in**3 / 12


def moment_one_load_lbf_in(
    *, load_lbf: float, span_in: float, distance_in: float | None = None
) -> float:
    """Return the greatest moment of one load between two supports.

    M = P a b / L; at the center P L / 4

    Parameters
    ----------
    load_lbf : float
        Load, 0 or more [lbf].
    span_in : float
        Distance between the supports, such as two jacks, above 0 [in].
    distance_in : float or None
        Load from one support, 0 to the span; None is the center [in].

    Returns
    -------
    float
        Moment under the load [lbf_in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Free supports; the bar's own weight is left out.

    Examples
    --------
    >>> moment_one_load_lbf_in(load_lbf=40000, span_in=12)
    120000.0

    Source
    ------
    *Civil Engineering Formulas*, figure 2.2.
    """
    require_non_negative("load", load_lbf, "lbf")
    require_positive("span", span_in, "in")
    a = span_in / 2 if distance_in is None else distance_in
    require_range("distance of the load", a, 0, span_in, "in")
    return load_lbf * a * (span_in - a) / span_in


def moment_two_loads_lbf_in(*, each_load_lbf: float, distance_in: float) -> float:
    """Return the moment between two equal loads set equally in from the supports.

    M = P a

    Parameters
    ----------
    each_load_lbf : float
        Each load, 0 or more [lbf].
    distance_in : float
        Each load from its own support, 0 or more [in].

    Returns
    -------
    float
        Moment between the loads [lbf_in].

    Raises
    ------
    ValueError
        If an argument is below 0.

    Assumptions
    -----------
    As for `moment_one_load_lbf_in`.

    Examples
    --------
    >>> moment_two_loads_lbf_in(each_load_lbf=20000, distance_in=4)
    80000

    Source
    ------
    AISC Manual beam tables, as quoted in an open page.
    """
    require_non_negative("each load", each_load_lbf, "lbf")
    require_non_negative("distance of each load", distance_in, "in")
    return each_load_lbf * distance_in


def bar_shear_stress_psi(*, shear_lbf: float, width_in: float, depth_in: float) -> float:
    """Return the greatest shear stress of a flat bar.

    tau = 1.5 V / (w d)

    Parameters
    ----------
    shear_lbf : float
        Shear force at the section, 0 or more [lbf].
    width_in : float
        Width of metal left, above 0 [in].
    depth_in : float
        Depth, above 0 [in].

    Returns
    -------
    float
        Shear stress at mid-depth [psi].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Solid rectangle.

    Examples
    --------
    >>> bar_shear_stress_psi(shear_lbf=20000, width_in=3, depth_in=2)
    5000.0

    Source
    ------
    Shear of a rectangular beam, any text on strength of materials.
    """
    require_non_negative("shear force", shear_lbf, "lbf")
    require_positive("bar width", width_in, "in")
    require_positive("bar depth", depth_in, "in")
    return 1.5 * shear_lbf / (width_in * depth_in)


def deflection_at_centre_in(
    *, load_lbf: float, span_in: float, modulus_psi: float, second_moment_in4: float
) -> float:
    """Return the bend at the center under one load there.

    delta = P L^3 / (48 E I)

    Parameters
    ----------
    load_lbf : float
        Load at the center, 0 or more [lbf].
    span_in : float
        Distance between the supports, above 0 [in].
    modulus_psi : float
        Modulus of elasticity, above 0 [psi].
    second_moment_in4 : float
        Second moment of area, above 0 [in4].

    Returns
    -------
    float
        Deflection [in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Slender bar, elastic; a short deep bar bends more, by shear.

    Examples
    --------
    >>> deflection_at_centre_in(load_lbf=48000, span_in=10, modulus_psi=1e7, second_moment_in4=1)
    0.1

    Source
    ------
    Any beam table (memory).
    """
    require_non_negative("load", load_lbf, "lbf")
    require_positive("span", span_in, "in")
    require_positive("modulus", modulus_psi, "psi")
    require_positive("second moment of area", second_moment_in4, "in4")
    return load_lbf * span_in**3 / (48 * modulus_psi * second_moment_in4)


def deflection_two_loads_in(
    *,
    each_load_lbf: float,
    span_in: float,
    distance_in: float,
    modulus_psi: float,
    second_moment_in4: float,
) -> float:
    """Return the bend at the center under two equal loads, equally set in.

    delta = P a (3 L^2 - 4 a^2) / (24 E I)

    Parameters
    ----------
    each_load_lbf : float
        Each load, 0 or more [lbf].
    span_in : float
        Distance between the supports, above 0 [in].
    distance_in : float
        Each load from its own support, 0 to half the span [in].
    modulus_psi : float
        Modulus of elasticity, above 0 [psi].
    second_moment_in4 : float
        Second moment of area, above 0 [in4].

    Returns
    -------
    float
        Deflection [in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    As for `deflection_at_centre_in`, which it meets when both loads stand at the center.

    Examples
    --------
    >>> deflection_two_loads_in(each_load_lbf=24000, span_in=10, distance_in=5, modulus_psi=1e7,
    ...                         second_moment_in4=1)
    0.1

    Source
    ------
    AISC Manual 2005 beam tables, as quoted in an open page.
    """
    require_non_negative("each load", each_load_lbf, "lbf")
    require_positive("span", span_in, "in")
    require_range("distance of each load", distance_in, 0, span_in / 2, "in")
    require_positive("modulus", modulus_psi, "psi")
    require_positive("second moment of area", second_moment_in4, "in4")
    a = distance_in
    stiffness = 24 * modulus_psi * second_moment_in4
    return each_load_lbf * a * (3 * span_in**2 - 4 * a**2) / stiffness
