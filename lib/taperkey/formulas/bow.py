"""The bow of a bar whose skin is under pull, when some of it is cut off.

Book symbols in the bodies: h height, s pull in the skin, a and b cuts, E modulus, k curvature.
"""

from __future__ import annotations

from taperkey.checks import require_non_negative, require_positive, require_range
from taperkey.formulas.squeeze import STEEL_MODULUS_PSI

__all__ = ["bow_of_cut_bar_in", "locked_stress_psi"]


def locked_stress_psi(*, place_in: float, height_in: float, skin_pull_psi: float) -> float:
    """Return the stress along a drawn bar, at a place of its height; pull is positive.

    s(y) = s/2 (3 (2 y/h)^2 - 1)

    Parameters
    ----------
    place_in : float
        Place y over the middle of the height, from -h/2 to h/2 [in].
    height_in : float
        Height h of the bar before anything is cut, above 0 [in].
    skin_pull_psi : float
        Pull s in the skin, 0 or more [psi].

    Returns
    -------
    float
        Stress along the bar [psi].

    Raises
    ------
    ValueError
        If the height is not above 0, the place outside the bar, or the pull below 0.

    Assumptions
    -----------
    A parabola, in balance over the height: half as much push in the middle as pull in the skin. The
    same all along and across. (Own model; how a bar was drawn decides.)

    Examples
    --------
    >>> locked_stress_psi(place_in=0.5, height_in=1, skin_pull_psi=20000)
    20000.0
    >>> locked_stress_psi(place_in=0, height_in=1, skin_pull_psi=20000)
    -10000.0

    Source
    ------
    Own model of what layer removal measures (Stoney 1909, and after him).
    """
    require_positive("height of the bar", height_in, "in", "Measure it.")
    require_range("place over the middle", place_in, -height_in / 2, height_in / 2, "in")
    require_non_negative("pull in the skin", skin_pull_psi, "psi")
    return skin_pull_psi / 2 * (3 * (2 * place_in / height_in) ** 2 - 1)


def bow_of_cut_bar_in(
    *,
    height_in: float,
    length_in: float,
    top_cut_in: float,
    bottom_cut_in: float,
    skin_pull_psi: float,
    modulus_psi: float = STEEL_MODULUS_PSI,
) -> float:
    """Return how far a bar bows after cuts off its two faces; positive hollow at the bottom.

    k = 6 s (a - b) / (E h^2),  bow = k L^2 / 8

    Parameters
    ----------
    height_in : float
        Height h of the bar before anything is cut, above 0 [in].
    length_in : float
        Length L, above 0 [in].
    top_cut_in, bottom_cut_in : float
        What is cut off the top a and off the bottom b, all along, 0 or more [in].
    skin_pull_psi : float
        Pull s in the skin, 0 or more [psi].
    modulus_psi : float
        Modulus of elasticity E, above 0; of steel if left out [psi].

    Returns
    -------
    float
        From the line through the ends to the middle [in].

    Raises
    ------
    ValueError
        If a size is out of its range, or the cuts leave nothing of the bar.

    Assumptions
    -----------
    Stress as in `locked_stress_psi`; elastic, free to bow, cuts as deep all along. Cutting itself
    leaves no stress.

    Examples
    --------
    Skin off one face of a bar 1-1/8 in high and 9 in long, then off both alike:

    >>> bar = {"height_in": 1.125, "length_in": 9.0, "skin_pull_psi": 20000.0}
    >>> round(bow_of_cut_bar_in(top_cut_in=0.1, bottom_cut_in=0, **bar), 4)
    0.0032
    >>> bow_of_cut_bar_in(top_cut_in=0.1, bottom_cut_in=0.1, **bar)
    0.0

    Source
    ------
    G. G. Stoney, *Proc. R. Soc. Lond. A* 82 (1909), 172, for a thin layer: k = 6 s a / (E h^2).
    With a parabola of stress it holds for cuts of any depth: derived here.
    """
    require_positive("height of the bar", height_in, "in", "Measure it.")
    require_positive("length of the bar", length_in, "in")
    require_non_negative("cut off the top", top_cut_in, "in")
    require_non_negative("cut off the bottom", bottom_cut_in, "in")
    require_non_negative("pull in the skin", skin_pull_psi, "psi")
    require_positive("modulus of elasticity", modulus_psi, "psi")
    require_positive(
        "height that is left", height_in - top_cut_in - bottom_cut_in, "in", "Cut less off."
    )
    curve = 6 * skin_pull_psi * (top_cut_in - bottom_cut_in) / (modulus_psi * height_in**2)
    return curve * length_in**2 / 8
