"""Readings of a keyway opening: what clearance, tilt and warmth do to them, and how well they hold.

The hub hangs on the top of the shaft. Angles around the shaft are measured
from that line of contact, so the bottom is at pi rad.
"""

from __future__ import annotations

import math

from taperkey.arrays import np
from taperkey.checks import (
    require_finite,
    require_non_negative,
    require_positive,
    require_range,
)
from taperkey.formulas.uncertainty import (
    CombinedUncertainty,
    Contribution,
    MeanReading,
    Outlier,
    Values,
    combine_uncertainty,
    coverage_factor,
    find_outlier,
    grubbs_limit,
    mean_reading,
    reading_uncertainty_in,
)

__all__ = [
    "REFERENCE_TEMPERATURE_DEGF",
    "STEEL_EXPANSION_PER_DEGF",
    "CombinedUncertainty",
    "Contribution",
    "MeanReading",
    "Outlier",
    "Values",
    "combine_uncertainty",
    "coverage_factor",
    "exact_gap_at_angle_in",
    "find_outlier",
    "gap_at_angle_in",
    "grubbs_limit",
    "height_left_out_in",
    "mean_reading",
    "reading_uncertainty_in",
    "size_at_reference_in",
    "thermal_growth_in",
    "tilted_span_in",
    "travel_from_height_left_out_in",
]


REFERENCE_TEMPERATURE_DEGF = 68.0  # ISO 1: 20 degC
STEEL_EXPANSION_PER_DEGF = 11.5e-6 / 1.8  # 11.5e-6 per degC, JCGM 100:2008 H.1


def _cos(angle: Values) -> Values:
    return math.cos(angle) if isinstance(angle, (int, float)) else np.cos(angle)


def _sin(angle: Values) -> Values:
    return math.sin(angle) if isinstance(angle, (int, float)) else np.sin(angle)


def _sqrt(value: Values) -> Values:
    return math.sqrt(value) if isinstance(value, (int, float)) else np.sqrt(value)


def gap_at_angle_in(*, diametral_clearance_in: Values, angle_rad: Values) -> Values:
    r"""Gap between bore and shaft at an angle from where the hub hangs, the usual rule.

    .. math:: g = \frac{c}{2} (1 - \cos\theta)

    Parameters
    ----------
    diametral_clearance_in : float or array
        Bore diameter less shaft diameter, 0 or more [in].
    angle_rad : float or array
        Angle around the shaft from the line of contact at the top [rad].

    Returns
    -------
    float or array
        Radial gap [in], from 0 at the top to the whole clearance at the bottom.

    Raises
    ------
    ValueError
        If the clearance is below 0 or a value is not finite.

    Assumptions
    -----------
    Clearance small against the shaft; the rule is then too large by at most
    ``c**2 / (4 D)`` with D the shaft diameter, see `exact_gap_at_angle_in`.

    Examples
    --------
    >>> round(gap_at_angle_in(diametral_clearance_in=0.008, angle_rad=math.pi / 2), 4)
    0.004

    Source
    ------
    Derived here: two circles touching on the inside, first order in the clearance.
    """
    require_non_negative("clearance", diametral_clearance_in, "in", _CLEARANCE_STEP)
    require_finite("angle from the top", angle_rad, "rad")
    return diametral_clearance_in / 2 * (1 - _cos(angle_rad))


def exact_gap_at_angle_in(
    *, shaft_diameter_in: Values, diametral_clearance_in: Values, angle_rad: Values
) -> Values:
    r"""Gap between bore and shaft at an angle from where the hub hangs, for true circles.

    .. math:: g = e (1 - \cos\theta) - \frac{e^2 \sin^2\theta}{R + \sqrt{R^2 - e^2 \sin^2\theta}}

    with :math:`e = c/2` and bore radius :math:`R = D/2 + e`.

    Parameters
    ----------
    shaft_diameter_in : float or array
        Shaft diameter, above 0 [in].
    diametral_clearance_in : float or array
        Bore diameter less shaft diameter, 0 or more [in].
    angle_rad : float or array
        Angle around the shaft from the line of contact at the top [rad].

    Returns
    -------
    float or array
        Gap along the shaft's radius [in].

    Raises
    ------
    ValueError
        If the diameter is not above 0, the clearance is below 0 or a value is not finite.

    Assumptions
    -----------
    Round bore and shaft with parallel axes, touching along one line at the top.

    Examples
    --------
    The rule of `gap_at_angle_in` gives 0.004 in here, two millionths more.

    >>> gap = exact_gap_at_angle_in(
    ...     shaft_diameter_in=4.0, diametral_clearance_in=0.008, angle_rad=math.pi / 2
    ... )
    >>> round(gap, 6)
    0.003996

    Source
    ------
    Derived here: distance from the shaft's center to a circle whose center is e below it.
    """
    require_positive("shaft diameter", shaft_diameter_in, "in", "Enter the shaft's diameter.")
    require_non_negative("clearance", diametral_clearance_in, "in", _CLEARANCE_STEP)
    require_finite("angle from the top", angle_rad, "rad")
    e = diametral_clearance_in / 2
    R = shaft_diameter_in / 2 + e
    across = e * _sin(angle_rad)
    return e * (1 - _cos(angle_rad)) - across**2 / (R + _sqrt(R**2 - across**2))


def height_left_out_in(*, diametral_clearance_in: Values, angle_rad: Values) -> Values:
    r"""Height that a key comes out too thin by when the keyway was not turned to the bottom.

    .. math:: c - g(\theta) = \frac{c}{2} (1 + \cos\theta)

    Parameters
    ----------
    diametral_clearance_in : float or array
        Bore diameter less shaft diameter, 0 or more [in].
    angle_rad : float or array
        Where the keyway stood, from the line of contact at the top [rad].

    Returns
    -------
    float or array
        Missing key height [in]: the whole clearance at the top, 0 at the bottom.

    Raises
    ------
    ValueError
        If the clearance is below 0 or a value is not finite.

    Assumptions
    -----------
    The driven key takes up all the clearance on its own side. Clearance small against the shaft.

    Examples
    --------
    >>> round(height_left_out_in(diametral_clearance_in=0.008, angle_rad=math.pi / 2), 4)
    0.004

    Source
    ------
    Derived here from `gap_at_angle_in`.
    """
    require_non_negative("clearance", diametral_clearance_in, "in", _CLEARANCE_STEP)
    require_finite("angle from the top", angle_rad, "rad")
    return diametral_clearance_in / 2 * (1 + _cos(angle_rad))


def travel_from_height_left_out_in(
    *, diametral_clearance_in: Values, angle_rad: Values, taper_in_per_in: Values
) -> Values:
    r"""Extra travel of a key that was measured with the keyway away from the bottom.

    .. math:: \frac{c (1 + \cos\theta)}{2 t}

    Parameters
    ----------
    diametral_clearance_in : float or array
        Bore diameter less shaft diameter, 0 or more [in].
    angle_rad : float or array
        Where the keyway stood, from the line of contact at the top [rad].
    taper_in_per_in : float or array
        Taper of key and slot, above 0 [in/in].

    Returns
    -------
    float or array
        How much further the key goes in before it is tight [in].

    Raises
    ------
    ValueError
        If the clearance is below 0, the taper is not above 0 or a value is not finite.

    Assumptions
    -----------
    Key and slot have the same taper; see `height_left_out_in`.

    Examples
    --------
    >>> round(travel_from_height_left_out_in(
    ...     diametral_clearance_in=0.008, angle_rad=0.0, taper_in_per_in=1 / 96), 3)
    0.768

    Source
    ------
    Derived here: missing height over taper.
    """
    require_positive("taper", taper_in_per_in, "in/in", "Enter the taper as a positive number.")
    missing = height_left_out_in(diametral_clearance_in=diametral_clearance_in, angle_rad=angle_rad)
    return missing / taper_in_per_in


def tilted_span_in(*, height_in: Values, tilt_rad: Values) -> Values:
    r"""Span of a gauge that leans between two parallel faces.

    .. math:: s = h / \cos\tau

    Parameters
    ----------
    height_in : float or array
        True distance between the faces, above 0 [in].
    tilt_rad : float or array
        Lean of the gauge from square, between -pi/2 and pi/2 [rad].

    Returns
    -------
    float or array
        Span of the gauge [in], never below the height: rocking finds the least.

    Raises
    ------
    ValueError
        If the height is not above 0 or the lean reaches pi/2.

    Assumptions
    -----------
    Point contacts; faces parallel in the plane of the lean.

    Examples
    --------
    >>> round(tilted_span_in(height_in=1.0, tilt_rad=math.radians(2)), 4)
    1.0006

    Source
    ------
    Derived here: right triangle.
    """
    require_positive("height", height_in, "in")
    limit = math.pi / 2 - 1e-9
    require_range("lean of the gauge", tilt_rad, -limit, limit, "rad", "Hold it nearer to square.")
    return height_in / _cos(tilt_rad)


def thermal_growth_in(
    *, length_in: Values, expansion_per_degF: Values, temperature_change_degF: Values
) -> Values:
    r"""Growth of a length when it warms.

    .. math:: \Delta L = L \alpha \, \Delta T

    Parameters
    ----------
    length_in : float or array
        Length before the change, above 0 [in].
    expansion_per_degF : float or array
        Coefficient of expansion [1/degF].
    temperature_change_degF : float or array
        Later temperature less the first; negative when it cools [degF].

    Returns
    -------
    float or array
        Growth [in]; negative when it shrinks.

    Raises
    ------
    ValueError
        If the length is not above 0 or a value is not finite.

    Assumptions
    -----------
    One coefficient over the change; the whole part at one temperature.

    Examples
    --------
    >>> round(thermal_growth_in(length_in=12.0, expansion_per_degF=STEEL_EXPANSION_PER_DEGF,
    ...                         temperature_change_degF=18.0), 5)
    0.00138

    Source
    ------
    Definition of the linear coefficient; steel 11.5e-6 per degC from JCGM 100:2008 H.1.
    """
    require_positive("length", length_in, "in")
    require_finite("coefficient of expansion", expansion_per_degF, "1/degF")
    require_finite("temperature change", temperature_change_degF, "degF")
    return length_in * expansion_per_degF * temperature_change_degF


def size_at_reference_in(
    *,
    reading_in: Values,
    part_temperature_degF: Values,
    tool_temperature_degF: Values,
    part_expansion_per_degF: Values = STEEL_EXPANSION_PER_DEGF,
    tool_expansion_per_degF: Values = STEEL_EXPANSION_PER_DEGF,
    reference_temperature_degF: float = REFERENCE_TEMPERATURE_DEGF,
) -> Values:
    r"""Size that the part has at the reference temperature, from a reading taken warm or cold.

    .. math:: L_0 = l \frac{1 + \alpha_t (T_t - T_0)}{1 + \alpha_p (T_p - T_0)}

    Parameters
    ----------
    reading_in : float or array
        Reading as taken, above 0 [in].
    part_temperature_degF : float or array
        Temperature of the part [degF].
    tool_temperature_degF : float or array
        Temperature of the measuring tool [degF].
    part_expansion_per_degF : float or array
        Coefficient of the part; steel if left out [1/degF].
    tool_expansion_per_degF : float or array
        Coefficient of the tool; steel if left out [1/degF].
    reference_temperature_degF : float
        Temperature at which sizes are stated; 68 if left out [degF].

    Returns
    -------
    float or array
        Size at the reference temperature [in].

    Raises
    ------
    ValueError
        If the reading is not above 0 or a value is not finite.

    Assumptions
    -----------
    Tool right at the reference temperature; part and tool each at one temperature.

    Examples
    --------
    Part and tool of the same steel, equally warm: nothing to correct.

    >>> size_at_reference_in(
    ...     reading_in=6.0, part_temperature_degF=95.0, tool_temperature_degF=95.0
    ... )
    6.0
    >>> round(size_at_reference_in(
    ...     reading_in=6.0, part_temperature_degF=168.0, tool_temperature_degF=68.0), 4)
    5.9962

    Source
    ------
    Derived here from the linear coefficient; reference temperature 20 degC: ISO 1.
    """
    require_positive("reading", reading_in, "in")
    require_finite("temperature of the part", part_temperature_degF, "degF")
    require_finite("temperature of the tool", tool_temperature_degF, "degF")
    require_finite("coefficient of the part", part_expansion_per_degF, "1/degF")
    require_finite("coefficient of the tool", tool_expansion_per_degF, "1/degF")
    tool = 1 + tool_expansion_per_degF * (tool_temperature_degF - reference_temperature_degF)
    part = 1 + part_expansion_per_degF * (part_temperature_degF - reference_temperature_degF)
    return reading_in * (tool / part)


_CLEARANCE_STEP = "Enter bore diameter less shaft diameter."
