"""The reversed hub: the end that shows is the small one, and a pull on it tightens the key.

Book symbols in the body: V normal force on the flat floor, P pull.
"""

from __future__ import annotations

from dataclasses import dataclass

from taperkey.checks import require_non_negative, require_positive
from taperkey.formulas.wedge import drive_ratio
from taperkey.said import Said, number, numbers

__all__ = ["SmallEndPull", "pull_from_small_end"]


@dataclass(frozen=True, kw_only=True)
class SmallEndPull:
    """What comes of pulling the small end: nothing, and a tighter key.

    Attributes
    ----------
    possible : bool
        Always False: this pull cannot draw the key.
    pull_lbf : float
        The pull looked at [lbf].
    pull_to_move_lbf : float
        Pull at which the key starts to move, further in [lbf].
    normal_force_lbf : float
        Force on the faces before the pull [lbf].
    normal_force_after_lbf : float
        Force on the faces at that pull [lbf].
    added_normal_per_pull : float
        Pounds of normal force that each further pound of pull adds [lbf/lbf].
    reason : str
        Why it cannot come, with the numbers, and what to do.
    """

    possible: bool
    pull_lbf: float
    pull_to_move_lbf: float
    normal_force_lbf: float
    normal_force_after_lbf: float
    added_normal_per_pull: float
    reason: str


def pull_from_small_end(
    *,
    pull_lbf: float,
    normal_force_lbf: float,
    taper_in_per_in: float,
    floor_friction: float,
    roof_friction: float,
) -> SmallEndPull:
    """Return what a pull on the small end does: the reversed hub.

    V after = max(V, P / (mu1 + tan(phi2 + alpha)))

    Parameters
    ----------
    pull_lbf : float
        Pull on the end that shows, the small one, 0 or more [lbf].
    normal_force_lbf : float
        Force square to the flat face before the pull, 0 or more [lbf].
    taper_in_per_in : float
        Taper of the roof, above 0 to 0.6 [in/in].
    floor_friction : float
        Friction coefficient of the flat face on the shaft, 0 to 1.5 [-].
    roof_friction : float
        Friction coefficient of the tapered face in the hub, 0 to 1.5 [-].

    Returns
    -------
    SmallEndPull
        possible is False whatever the force; forces in [lbf] and the reason.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Pulling the small end is driving the key: the same formula, the other end.
    Metal does not give way first.

    Examples
    --------
    >>> result = pull_from_small_end(pull_lbf=40000, normal_force_lbf=150000,
    ...     taper_in_per_in=1 / 96, floor_friction=0.1, roof_friction=0.1)
    >>> result.possible, round(result.pull_to_move_lbf, -2), round(result.added_normal_per_pull, 2)
    (False, 31600.0, 4.75)

    Source
    ------
    Derived here from the wedge formula of `drive_ratio`.
    """
    require_non_negative("pull", pull_lbf, "lbf")
    require_non_negative("normal force", normal_force_lbf, "lbf")
    require_positive("taper", taper_in_per_in, "in/in", "Measure the height at both ends first.")
    ratio = drive_ratio(
        taper_in_per_in=taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )
    to_move = normal_force_lbf * ratio
    after = max(normal_force_lbf, pull_lbf / ratio)
    goes_in = (
        "does not move the key: it takes {to_move} to move it, and then it goes further in"
        if pull_lbf <= to_move
        else "pulls the key further in and raises the force on the faces from {faces}"
    )
    reason = Said(
        f"{{pull}} on the small end {goes_in}; each {{each}} beyond {{to_move}} adds {{adds}} to"
        " the grip, so no pull draws it from this end: push it out from this end, or take the hub"
        " off first.",
        pull=number(pull_lbf, "lbf"),
        to_move=number(to_move, "lbf"),
        faces=numbers(normal_force_lbf, after, unit="lbf", way="near"),
        each=number(1000.0, "lbf"),
        adds=number(1000 / ratio, "lbf"),
    )
    return SmallEndPull(
        possible=False,
        pull_lbf=pull_lbf,
        pull_to_move_lbf=to_move,
        normal_force_lbf=normal_force_lbf,
        normal_force_after_lbf=after,
        added_normal_per_pull=1 / ratio,
        reason=reason,
    )
