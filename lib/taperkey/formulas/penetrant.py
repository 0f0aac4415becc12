"""How far penetrant creeps into a joint."""

from __future__ import annotations

import math

from taperkey.checks import require_non_negative, require_positive, require_range

__all__ = ["crept_depth_in", "wetted_share"]


def crept_depth_in(*, hours: float, first_hour_in: float) -> float:
    """Return how far penetrant has crept from where it was put on.

    x = x1 sqrt(t / 1 h)

    Parameters
    ----------
    hours : float
        Since it was put on, kept wet, 0 or more [h].
    first_hour_in : float
        Depth after the first hour, 0 or more [in].

    Returns
    -------
    float
        Depth [in].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    An even joint, fed all the time; weight of the liquid left out.

    Examples
    --------
    Four times the time creeps twice as far:

    >>> crept_depth_in(hours=1, first_hour_in=0.5), crept_depth_in(hours=4, first_hour_in=0.5)
    (0.5, 1.0)

    Source
    ------
    Washburn, The Dynamics of Capillary Flow, Physical Review 17 (1921): the square of the depth
    grows with time.
    """
    require_non_negative("soaking time", hours, "h")
    require_non_negative("depth after an hour", first_hour_in, "in")
    return first_hour_in * math.sqrt(hours)


def wetted_share(*, depth_in: float, length_in: float, ends: int = 2) -> float:
    """Return the part of a joint's length that penetrant has reached.

    share = ends x / L, 1 at most

    Parameters
    ----------
    depth_in : float
        From each end, 0 or more [in].
    length_in : float
        Of the joint, above 0 [in].
    ends : int
        From how many ends it creeps, 1 or 2 [-].

    Returns
    -------
    float
        Share, 0 to 1 [-].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    It creeps from the ends only, along the key.

    Examples
    --------
    >>> wetted_share(depth_in=2, length_in=8), wetted_share(depth_in=5, length_in=8)
    (0.5, 1.0)

    Source
    ------
    Lengths.
    """
    require_non_negative("depth", depth_in, "in")
    require_positive("length of the joint", length_in, "in")
    require_range("number of ends", ends, 1, 2)
    return min(1.0, ends * depth_in / length_in)
