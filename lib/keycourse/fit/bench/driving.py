"""Driving a key home, blow by blow: what of a hammer's energy moves the key, and how it rings.

A blow first has to press bolt and key together until they push as hard as the wedge holds;
what that takes comes back as the bounce of the hammer. Only the rest moves the key. So the
blows move it less and less, and the last ones ring.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from keycourse.fit.bench.bodies import Bodies
from keycourse.fit.bench.contact import Seat
from keycourse.fit.bench.insertion import first_projection, insert_key
from keycourse.fit.bench.keyblank import KeyFaces
from keycourse.measure.bench.slot import SlotGrid
from taperkey import practice
from taperkey.checks import require_positive, require_range
from taperkey.formulas.seat import blow_energy_lbf_in

__all__ = ["RESTITUTION", "SLEDGE_BLOW_IN_LBF", "Blow", "Drive", "blow_share", "drive_key"]

SLEDGE_LB = practice.value("drive_hammer")
"""The hammer that drives [lb]."""

SLEDGE_BLOW_IN_LBF = blow_energy_lbf_in(
    weight_lbf=SLEDGE_LB, speed_in_per_s=12 * practice.value("drive_hammer_speed")
)
"""Energy of a full swing of it [in_lbf]."""

RESTITUTION = practice.span("drive_restitution")
"""Speed apart after a blow over speed together before it; from a soft bolt to a hard one [-]."""

_STEEL_LB_PER_IN3 = 0.283
_STRIKE_LBF_PER_IN = 3.0e6  # hammer's face, bolt and half the key in line
_FIRST_LBF = 100.0
_DULL_IN, _RINGS_IN = 1 / 20, 1 / 50  # travel of a blow, from a dull sound to a ring
_MOST_POINTS = 24


@dataclass(frozen=True, kw_only=True)
class Blow:
    """What one blow did.

    Parameters
    ----------
    advance_in : float
        How far it moved the key [in].
    stands_out_in : float
        Large end proud of the mouth after it [in].
    returned_share : float
        Part of its useful energy that came back as bounce, 0 to 1.
    """

    advance_in: float
    stands_out_in: float
    returned_share: float

    @property
    def sound(self) -> str:
        """How it sounds: "dull" while the key moves, "ringing" once it hardly does."""
        if self.advance_in > _DULL_IN:
            return "dull"
        return "clear" if self.advance_in > _RINGS_IN else "ringing"


@dataclass(frozen=True, kw_only=True)
class Drive:
    """A key driven, blow by blow.

    Parameters
    ----------
    blows : tuple of Blow
        Those struck; fewer than asked for when the key is flush before.
    push_lbf : float
        Push along the key at the end of the drive [lbf].
    seat : Seat
        Contact there.
    """

    blows: tuple[Blow, ...]
    push_lbf: float
    seat: Seat


def blow_share(*, hammer_lb: float, struck_lb: float, restitution: float) -> float:
    """Return the part of a blow's energy that is left after hammer and key have met.

    share = (W + e^2 P) / (W + P)

    Parameters
    ----------
    hammer_lb, struck_lb : float
        Weight W of the hammer and P of what it strikes, above 0 [lb].
    restitution : float
        e, 0 to 1 [-].

    Returns
    -------
    float
        Share, 0 to 1.

    Raises
    ------
    ValueError
        If a value is outside its range.

    Assumptions
    -----------
    Both free to move while they meet.

    Examples
    --------
    A 12 lb sledge on a 4 lb key and bolt, no bounce: 12/16.

    >>> blow_share(hammer_lb=12, struck_lb=4, restitution=0)
    0.75

    Source
    ------
    Hiley's pile formula: Chellis, Pile Foundations, 1961, from memory.
    """
    require_positive("weight of the hammer", hammer_lb, "lb")
    require_positive("weight that is struck", struck_lb, "lb")
    require_range("restitution", restitution, 0.0, 1.0)
    return (hammer_lb + restitution**2 * struck_lb) / (hammer_lb + struck_lb)


def drive_key(
    *,
    key: KeyFaces,
    grid: SlotGrid,
    bodies: Bodies,
    friction: float,
    energy_lbf_in: float,
    restitutions: Sequence[float],
    guess_in: float = 1.0,
    start: Seat | None = None,
) -> Drive:
    """Return what blows of one energy do to a key; one blow for each restitution.

    share energy = work of the wedge along the advance + F^2 / 2 k at its end

    Parameters
    ----------
    key : KeyFaces
        Fields of shape (k, n) [in].
    grid : SlotGrid
        Fields of shape (m, n) [in].
    bodies : Bodies
        What gives way.
    friction : float
        Friction coefficient on both faces.
    energy_lbf_in : float
        Of each blow as the hammer strikes, above 0 [lbf_in].
    restitutions : sequence of float
        Of each blow, 0 to 1 [-].
    guess_in : float
        Where the key is about to touch [in].
    start : Seat, optional
        A contact to start from, for speed.

    Returns
    -------
    Drive
        Blows stop when the key is flush.

    Raises
    ------
    ValueError
        If the energy is not above 0, or the key does not enter.

    Assumptions
    -----------
    The hammer is the 12 lb sledge. The push while driving is that of a steady push
    to the same place. Hammer, bolt and key give way 1 in for 3,000,000 lbf in line.

    Source
    ------
    Derived here; the share is :func:`blow_share`, the stiffness this bench's own model.
    """
    require_positive("energy of a blow", energy_lbf_in, "in-lbf")
    struck = _STEEL_LB_PER_IN3 * key.length_in * key.width_in * float(key.top_in.mean())
    useful = [
        energy_lbf_in * blow_share(hammer_lb=SLEDGE_LB, struck_lb=struck, restitution=one)
        for one in restitutions
    ]
    touch, _ = first_projection(key=key, grid=grid, guess_in=guess_in)
    places, pushes, work = [touch], [0.0], [0.0]
    seat, push, home = start, _FIRST_LBF, touch <= 0
    strongest = (2 * _STRIKE_LBF_PER_IN * max(useful)) ** 0.5
    while not home and len(places) < _MOST_POINTS and push < 2 * strongest:
        went = insert_key(
            key=key,
            grid=grid,
            bodies=bodies,
            load_lbf=push,
            floor_friction=friction,
            roof_friction=friction,
            guess_in=places[-1],
            start=seat,
        )
        seat, home = went.seat, went.home
        work.append(
            work[-1] + 0.5 * (went.load_lbf + pushes[-1]) * (places[-1] - went.projection_in)
        )
        places.append(went.projection_in)
        pushes.append(went.load_lbf)
        if work[-1] > sum(useful):
            break
        push *= 1.6
    blows, at = [], 0.0  # `at` is the work done so far
    path = np.array([work, pushes, places])
    for energy in useful:
        before = _along(path, at)[1]
        at, returned = _strike(path, at, energy)
        place = _along(path, at)[1]
        blows.append(Blow(advance_in=before - place, stands_out_in=place, returned_share=returned))
        if place <= 0:
            break
    push, place = _along(path, at)
    if not (home and place <= 0):
        went = insert_key(
            key=key,
            grid=grid,
            bodies=bodies,
            load_lbf=max(push, 1.0),
            floor_friction=friction,
            roof_friction=friction,
            guess_in=place,
            start=seat,
        )
        seat, push = went.seat, went.load_lbf
    if seat is None:  # it slid home free, and nothing holds it
        went = insert_key(
            key=key,
            grid=grid,
            bodies=bodies,
            load_lbf=1.0,
            floor_friction=friction,
            roof_friction=friction,
            guess_in=0.0,
        )
        seat, push = went.seat, went.load_lbf
    return Drive(blows=tuple(blows), push_lbf=push, seat=seat)


def _along(path: np.ndarray, work: float) -> tuple[float, float]:
    """Return push and place after some work along the path."""
    return float(np.interp(work, path[0], path[1])), float(np.interp(work, path[0], path[2]))


def _strike(path: np.ndarray, at: float, energy: float) -> tuple[float, float]:
    """Return the work done after one more blow, and the part of it that bounced."""

    def bounce(work: float) -> float:
        return _along(path, work)[0] ** 2 / (2 * _STRIKE_LBF_PER_IN)

    if bounce(at) >= energy:
        return at, 1.0
    low, high = at, at + energy
    for _ in range(50):
        middle = 0.5 * (low + high)
        if middle - at + bounce(middle) < energy:
            low = middle
        else:
            high = middle
    return min(low, float(path[0, -1])), min(1.0, bounce(low) / energy)
