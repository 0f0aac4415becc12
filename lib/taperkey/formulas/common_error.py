"""An error that all readings of one tool have in common: it cancels in a difference, not in a sum.

The scatter of readings gets smaller in a mean and larger in a difference; what the tool itself is
off is the same in each of them.
"""

from __future__ import annotations

import math

from taperkey.arrays import np
from taperkey.checks import require_finite, require_non_negative

__all__ = ["sd_with_common"]


def sd_with_common(*, weights: list[float], own_sd: float, common_sd: float) -> float:
    """Return the standard uncertainty of a weighted sum of readings of one tool.

    u^2 = sum (w_i s)^2 + (sum w_i)^2 b^2: the readings are correlated by what they share

    Parameters
    ----------
    weights : list of float
        By what each reading enters: 1 for a height, 1/L and -1/L for a taper.
    own_sd : float
        Standard uncertainty that each reading has by itself, 0 or more.
    common_sd : float
        Standard uncertainty that all of them share, 0 or more, in the same unit.

    Returns
    -------
    float
        Standard uncertainty of the sum.

    Raises
    ------
    ValueError
        If a weight is no number or an uncertainty is below 0.

    Assumptions
    -----------
    What is shared is the same in every reading, and has nothing to do with their own scatter.

    Examples
    --------
    A height, and a taper over 4 in, whose weights have no sum:

    >>> round(sd_with_common(weights=[1], own_sd=0.0003, common_sd=0.0004), 6)
    0.0005
    >>> round(sd_with_common(weights=[1 / 4, -1 / 4], own_sd=0.0003, common_sd=0.0004), 6)
    0.000106

    Source
    ------
    JCGM 100:2008, 5.2.2, equation 13 and F.1.2.3.
    """
    for one in weights:
        require_finite("weight of a reading", one)
    require_non_negative("uncertainty of a reading", own_sd)
    require_non_negative("common uncertainty", common_sd)
    each = np.asarray(weights, dtype=float)
    return math.hypot(own_sd * float(np.sqrt(np.sum(each**2))), common_sd * float(np.sum(each)))
