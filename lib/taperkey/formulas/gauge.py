"""What is seen of a pull: gauge, strokes of a pump, energy in the rod, torque on a nut."""

from __future__ import annotations

import math

from taperkey.checks import require_non_negative, require_positive

__all__ = ["gauge_reading_psi", "nut_torque_lbf_in", "pump_strokes", "spring_energy_lbf_in"]


def gauge_reading_psi(
    *, load_each_lbf: float, effective_area_in2: float, division_psi: float
) -> float:
    """Return the mark of the gauge up to which a load may go: rounded down to a division.

    p = floor(F / A / d) d

    Parameters
    ----------
    load_each_lbf : float
        Load on one jack, 0 or more [lbf].
    effective_area_in2 : float
        Effective area of its ram, above 0 [in2].
    division_psi : float
        One division of the gauge, above 0 [psi].

    Returns
    -------
    float
        Pressure at that mark [psi].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    No friction in the ram; the gauge reads right.

    Examples
    --------
    >>> gauge_reading_psi(load_each_lbf=20_000, effective_area_in2=2.24, division_psi=200)
    8800.0

    Source
    ------
    Pressure is force over area.
    """
    require_non_negative("load on a jack", load_each_lbf, "lbf")
    require_positive("effective area", effective_area_in2, "in2", "Read the jack's plate.")
    require_positive("division of the gauge", division_psi, "psi")
    # a load that lies on a mark belongs to that mark, whatever the last digit of the division
    return float(
        math.floor(load_each_lbf / effective_area_in2 / division_psi + 1e-9) * division_psi
    )


def pump_strokes(*, stretch_in: float, effective_area_in2: float, stroke_in3: float) -> float:
    """Return the strokes of a hand pump that stretch a rod by so much, once all is tight.

    n = A x / v

    Parameters
    ----------
    stretch_in : float
        Stretch of the rod, 0 or more [in].
    effective_area_in2 : float
        Effective area of all rams together, above 0 [in2].
    stroke_in3 : float
        Oil of one stroke, above 0 [in3].

    Returns
    -------
    float
        Strokes, not rounded [-].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Only the rod gives; what the strongback and the hub give as well makes it more strokes.

    Examples
    --------
    >>> pump_strokes(stretch_in=0.03, effective_area_in2=4.0, stroke_in3=0.12)
    1.0

    Source
    ------
    Volume of the oil.
    """
    require_non_negative("stretch of the rod", stretch_in, "in")
    require_positive("effective area", effective_area_in2, "in2")
    require_positive("oil of one stroke", stroke_in3, "in3")
    return stretch_in * effective_area_in2 / stroke_in3


def spring_energy_lbf_in(*, pull_lbf: float, stiffness_lbf_per_in: float) -> float:
    """Return the energy that waits in a stretched rod, or in a bent bar.

    U = F^2 / (2 k)

    Parameters
    ----------
    pull_lbf : float
        Pull on it, 0 or more [lbf].
    stiffness_lbf_per_in : float
        Force that stretches or bends it by an inch, above 0 [lbf/in].

    Returns
    -------
    float
        Energy [lbf_in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Elastic; one part alone. Oil and hoses store more.

    Examples
    --------
    >>> spring_energy_lbf_in(pull_lbf=20_000, stiffness_lbf_per_in=1_000_000)
    200.0

    Source
    ------
    Strain energy of a bar or beam, any text on strength of materials.
    """
    require_non_negative("pull", pull_lbf, "lbf")
    require_positive("stiffness", stiffness_lbf_per_in, "lbf/in")
    return pull_lbf**2 / (2 * stiffness_lbf_per_in)


def nut_torque_lbf_in(*, pull_lbf: float, diameter_in: float, nut_factor: float) -> float:
    """Return the torque on a nut that brings a pull on its rod.

    T = K F d

    Parameters
    ----------
    pull_lbf : float
        Pull in the rod, 0 or more [lbf].
    diameter_in : float
        Nominal diameter of the thread, above 0 [in].
    nut_factor : float
        Torque coefficient K, above 0 [-].

    Returns
    -------
    float
        Torque [lbf_in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    K holds all friction; it scatters by a quarter either way, and so does the pull.

    Examples
    --------
    >>> round(nut_torque_lbf_in(pull_lbf=25_000, diameter_in=0.75, nut_factor=0.2))
    3750

    Source
    ------
    Shigley's Mechanical Engineering Design, 9th ed., equation 8-27.
    """
    require_non_negative("pull", pull_lbf, "lbf")
    require_positive("diameter", diameter_in, "in")
    require_positive("nut factor", nut_factor)
    return nut_factor * pull_lbf * diameter_in
