"""How a stuck key breaks away: a stretched rig lets go, and the key runs till that is spent."""

from __future__ import annotations

import math
from dataclasses import dataclass

from taperkey.checks import require_at_least, require_non_negative, require_positive

__all__ = ["Breakaway", "breakaway", "sliding_force_lbf", "springs_in_a_row_lbf_per_in"]


def springs_in_a_row_lbf_per_in(*, stiffnesses_lbf_per_in: tuple[float, ...]) -> float:
    """Return the stiffness of parts that carry the same load one after the other.

    1/k = 1/k1 + 1/k2 + ...

    Parameters
    ----------
    stiffnesses_lbf_per_in : tuple of float
        Of each part, each above 0 [lbf/in].

    Returns
    -------
    float
        Stiffness of all together [lbf/in].

    Raises
    ------
    ValueError
        If there is no part, or one is not above 0.

    Assumptions
    -----------
    Elastic.

    Examples
    --------
    >>> springs_in_a_row_lbf_per_in(stiffnesses_lbf_per_in=(1e6, 1e6))
    500000.0

    Source
    ------
    Hooke's law: the stretches add.
    """
    require_at_least("number of parts", len(stiffnesses_lbf_per_in), 1)
    for one in stiffnesses_lbf_per_in:
        require_positive("stiffness of a part", one, "lbf/in")
    return 1 / sum(1 / one for one in stiffnesses_lbf_per_in)


def sliding_force_lbf(*, first_lbf: float, free_in: float, travel_in: float) -> float:
    """Return what holds a key that has slid by so much: less and less, and none once it is free.

    R = R0 (1 - u/u0), not below 0

    Parameters
    ----------
    first_lbf : float
        Where the slide begins, 0 or more [lbf].
    free_in : float
        Travel after which nothing squeezes the key, above 0 [in].
    travel_in : float
        Travel, 0 or more [in].

    Returns
    -------
    float
        Force against the slide [lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Key, shaft and hub are springs, so that the force on the faces falls with the squeeze.

    Examples
    --------
    >>> sliding_force_lbf(first_lbf=20_000, free_in=0.1, travel_in=0.025)
    15000.0

    Source
    ------
    Derived here.
    """
    require_non_negative("force at the start of the slide", first_lbf, "lbf")
    require_positive("travel to free", free_in, "in")
    require_non_negative("travel", travel_in, "in")
    return first_lbf * max(0.0, 1 - travel_in / free_in)


@dataclass(frozen=True, kw_only=True)
class Breakaway:
    """What one jump of the key came to, and where the energy of the rig went.

    Attributes
    ----------
    travel_in : float
        How far the key ran [in].
    pull_after_lbf : float
        Load left on the rig [lbf].
    free : bool
        Whether nothing squeezes the key any more.
    released_lbf_in : float
        Energy that the rig gave up [lbf_in].
    rubbed_lbf_in : float
        Part of it that the faces took up [lbf_in].
    thrown_lbf_in : float
        The rest: what key and rod still have of speed when the key is free [lbf_in].
    """

    travel_in: float
    pull_after_lbf: float
    free: bool
    released_lbf_in: float
    rubbed_lbf_in: float
    thrown_lbf_in: float


def breakaway(
    *, pull_lbf: float, sliding_lbf: float, free_in: float, stiffness_lbf_per_in: float
) -> Breakaway:
    """Return how far a key jumps as it starts, and what that leaves on the rig.

    P u - k u^2/2 = R0 (u - u^2/(2 u0)) where it stops

    Parameters
    ----------
    pull_lbf : float
        Pull at which it starts, above 0 [lbf].
    sliding_lbf : float
        What holds it as soon as it slides, from 0 to the pull [lbf].
    free_in : float
        Travel after which nothing squeezes it, above 0 [in].
    stiffness_lbf_per_in : float
        Of all that is stretched and bent, above 0 [lbf/in].

    Returns
    -------
    Breakaway
        Travel [in], load left [lbf], energies [lbf_in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    The jacks do not follow during the jump; a rod pulls and does not push, so that a slack one
    lets the key run on by itself; damping other than the rubbing of the faces is left out, so
    that a real jump is a little shorter.

    Examples
    --------
    A spring that is let go against steady friction overshoots by as much as it was short, so it
    runs twice the way to balance:

    >>> jump = breakaway(pull_lbf=10_000, sliding_lbf=8_000, free_in=1e6,
    ...                  stiffness_lbf_per_in=100_000)
    >>> round(jump.travel_in, 4), round(jump.pull_after_lbf)
    (0.04, 6000)

    Source
    ------
    Derived here: work and energy, as for stick-slip in any textbook of vibrations.
    """
    require_positive("pull", pull_lbf, "lbf")
    require_non_negative("sliding force", sliding_lbf, "lbf")
    require_at_least("pull", pull_lbf, sliding_lbf, "lbf", "It starts above what holds it after.")
    require_positive("travel to free", free_in, "in")
    require_positive("stiffness", stiffness_lbf_per_in, "lbf/in")
    k, slack = stiffness_lbf_per_in, pull_lbf / stiffness_lbf_per_in

    def rubbed(travel: float) -> float:
        way = min(travel, free_in)
        return sliding_lbf * (way - way**2 / (2 * free_in))

    def given(travel: float) -> float:
        way = min(travel, slack)
        return pull_lbf * way - k * way**2 / 2

    falls = k - sliding_lbf / free_in  # how much faster the pull falls than what holds
    stop = 2 * (pull_lbf - sliding_lbf) / falls if falls > 0 else math.inf
    if stop > slack:  # the rod is slack before the key stands: its speed carries it on
        left = (
            max(0.0, 1 - 2 * pull_lbf * slack / 2 / (sliding_lbf * free_in)) if sliding_lbf else 0
        )
        stop = free_in * (1 - math.sqrt(left)) if left > 0 else math.inf
    travel = min(stop, free_in)
    free = travel >= free_in
    return Breakaway(
        travel_in=travel,
        pull_after_lbf=0.0 if free else max(0.0, pull_lbf - k * travel),
        free=free,
        released_lbf_in=given(math.inf if free else travel),
        rubbed_lbf_in=rubbed(travel),
        thrown_lbf_in=max(0.0, given(slack) - rubbed(travel)) if free else 0.0,
    )
