"""The hub as a ring that the driven key pushes open against the shaft.

The key presses the hub one way and the shaft the other, and the shaft presses on the far side of
the bore. How it lies there nobody sees, so two ways are reckoned: loose, on a line at the far side,
and close, on the whole far half of the bore.

Book symbols in the bodies: W load, R radius of the centroid, A section, e distance from the
centroid to the neutral axis, E modulus, nu Poisson's ratio.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from taperkey.arrays import np
from taperkey.checks import (
    require_above,
    require_in,
    require_non_negative,
    require_positive,
    require_range,
)
from taperkey.formulas.shrink import STEEL_POISSON
from taperkey.formulas.squeeze import STEEL_MODULUS_PSI

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = [
    "CLOSE",
    "LOOSE",
    "HubStress",
    "hoop_stress_psi",
    "ring_closing_in_per_lbf",
    "ring_opening_in_per_lbf",
    "squeeze_force_lbf",
]

LOOSE, CLOSE = "loose", "close"
_SHEAR_SHAPE = 1.2  # F of a rectangle, in the shear's part of the energy
_STEPS = 360  # pieces of the half ring, each with its middle


@dataclass(frozen=True, kw_only=True)
class HubStress:
    """Tension in the hub's ring under the force of the key.

    Attributes
    ----------
    beside_psi : float
        At the bore, a quarter turn from the key [psi].
    over_keyway_psi : float
        At the outside, over the keyway [psi].
    """

    beside_psi: float
    over_keyway_psi: float

    @property
    def greatest_psi(self) -> float:
        """The greater of the two [psi]."""
        return max(self.beside_psi, self.over_keyway_psi)


@dataclass(frozen=True, kw_only=True)
class _Section:
    inner: float
    outer: float
    length: float

    @property
    def wall(self) -> float:
        return self.outer - self.inner

    @property
    def area(self) -> float:
        return self.wall * self.length

    @property
    def centroid(self) -> float:
        return (self.outer + self.inner) / 2

    @property
    def neutral(self) -> float:
        return self.wall / math.log(self.outer / self.inner)

    @property
    def e(self) -> float:
        return self.centroid - self.neutral

    def bending_psi(self, moment: float, radius: float) -> float:
        """Stress of a moment that bends the bar more, at a radius; tension above 0 [psi]."""
        return moment * (radius - self.neutral) / (self.area * self.e * radius)


@dataclass(frozen=True, kw_only=True)
class _Bent:
    """The half ring under one lbf, from the key (angle 0) to the far side."""

    ring: _Section
    left: _Section
    modulus: float
    angle: NDArray[np.float64]
    weaker: NDArray[np.float64]
    normal: NDArray[np.float64]
    shear: NDArray[np.float64]
    moment: NDArray[np.float64]
    at_key: float
    normal_at_key: float

    def opening(self, poisson: float) -> float:
        """Return the growth of the diameter in the line of the load, by the work of the load."""
        ring = self.ring
        step = math.pi / _STEPS
        bending = self.weaker * self.moment**2 / (ring.area * ring.e)
        both = 2 * self.moment * self.normal / ring.area
        pull = self.normal**2 * ring.centroid / ring.area
        shear = 2 * (1 + poisson) * _SHEAR_SHAPE * self.shear**2 * ring.centroid / ring.area
        return float(np.sum(bending + both + pull + shear)) * 2 * step / self.modulus


def _bent(
    *,
    outside_in: float,
    bore_in: float,
    length_in: float,
    modulus_psi: float,
    poisson: float,
    keyway_depth_in: float,
    key_width_in: float,
    shaft: str,
) -> _Bent:
    """Return forces and moments in the half ring under one lbf of the key."""
    require_positive("bore", bore_in, "in")
    require_above("outside diameter of the hub", outside_in, bore_in, "in")
    require_positive("length of the hub", length_in, "in")
    require_positive("hub modulus", modulus_psi, "psi")
    require_range("Poisson's ratio", poisson, 0, 0.5)
    require_non_negative("depth of the keyway", keyway_depth_in, "in")
    require_range("key width", key_width_in, 0, 0.9 * bore_in, "in")
    require_in("how the shaft lies", shaft, (LOOSE, CLOSE), "Choose one.")
    ring = _Section(inner=bore_in / 2, outer=outside_in / 2, length=length_in)
    require_above("wall of the hub", ring.wall, keyway_depth_in, "in",
                  "The keyway would go through.")  # fmt: skip
    left = _Section(inner=ring.inner + keyway_depth_in, outer=ring.outer, length=length_in)
    radius = ring.centroid
    angle = (np.arange(_STEPS) + 0.5) * math.pi / _STEPS
    in_keyway = angle < math.asin(key_width_in / bore_in)
    weaker = np.where(in_keyway, ring.area * ring.e / (left.area * left.e), 1.0)

    sine, cosine = np.sin(angle), np.cos(angle)
    normal, shear, lever = sine / 2, cosine / 2, radius * sine / 2
    if shaft == CLOSE:  # pressure as the cosine from the far side, on the far half
        far = angle > math.pi / 2
        turn = angle - math.pi / 2
        normal = np.where(
            far,
            (np.cos(turn) + 2 / math.pi * (np.sin(turn) - turn * np.cos(turn))) / 2,
            normal,
        )
        shear = np.where(far, -np.sin(turn) * (1 - 2 * turn / math.pi) / 2, shear)
        rest = np.cos(turn) - 1 + 2 / math.pi * (np.sin(turn) - turn * np.cos(turn))
        lever = np.where(far, radius * (1 + rest) / 2, lever)
    if key_width_in > 1e-6 * bore_in:  # an even push on the width of the key
        spread, across = key_width_in / 2, radius * sine
        near = (across < spread) & (angle < math.pi / 2)
        shear = np.where(near, shear * across / spread, shear)
        lever = np.where(near, across**2 / (4 * spread), lever - spread / 4)

    # moment and pull in the section under the key, from no turning and no shift there
    area, e = ring.area, ring.e
    off = radius * (1 - cosine)
    turn_by = (weaker / (area * e), weaker * off / (area * e) + cosine / area)
    turn_load = -weaker * lever / (area * e) + normal / area
    stiff = 2 * (1 + poisson) * _SHEAR_SHAPE * radius / area
    shift_by_pull = (
        weaker * off**2 / (area * e)
        + 2 * off * cosine / area
        + radius * cosine**2 / area
        + stiff * sine**2
    )
    shift_load = (
        -weaker * lever * off / (area * e)
        + (normal * off - lever * cosine) / area
        + radius * normal * cosine / area
        - stiff * shear * sine
    )
    matrix = [
        [float(np.sum(turn_by[0])), float(np.sum(turn_by[1]))],
        [float(np.sum(turn_by[1])), float(np.sum(shift_by_pull))],
    ]
    at_key, pull = np.linalg.solve(matrix, [-float(np.sum(turn_load)), -float(np.sum(shift_load))])
    return _Bent(
        ring=ring,
        left=left,
        modulus=modulus_psi,
        angle=angle,
        weaker=weaker,
        normal=normal + pull * cosine,
        shear=shear - pull * sine,
        moment=at_key + pull * off - lever,
        at_key=float(at_key),
        normal_at_key=float(pull),
    )


def ring_opening_in_per_lbf(
    *,
    outside_in: float,
    bore_in: float,
    length_in: float,
    modulus_psi: float = STEEL_MODULUS_PSI,
    poisson: float = STEEL_POISSON,
    keyway_depth_in: float = 0.0,
    key_width_in: float = 0.0,
    shaft: str = LOOSE,
) -> float:
    """Return how far each lbf of the key opens the hub.

    plain ring, loose shaft: R^2/(E A e) [k1 pi/4 - 2 k2^2/pi], k2 = 1 - e/R,
    k1 = k2 + 2.4 (1 + nu) e/R; else by the work of bending, pull and shear round the half ring

    Parameters
    ----------
    outside_in : float
        Outside diameter of the hub, above the bore [in].
    bore_in : float
        Bore of the hub, above 0 [in].
    length_in : float
        Length of the hub, above 0 [in].
    modulus_psi : float
        Modulus of elasticity of the hub, above 0 [psi].
    poisson : float
        Poisson's ratio of the hub, 0 to 0.5 [-].
    keyway_depth_in : float
        Depth of the keyway from the bore, 0 or more and below the wall [in].
    key_width_in : float
        Width of the key, which presses evenly on it; 0 for a line [in].
    shaft : str
        "loose": it presses on a line at the far side; "close": on the far half of the bore.

    Returns
    -------
    float
        Growth of the opening for each lbf [in/lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Elastic; a plain round hub, no arms, no flange, no split; no friction in the bore. Loose, it is
    the greatest that the opening can be. A shaft without any clearance in a thick hub lets it open
    about a tenth less than "close" says.

    Examples
    --------
    >>> thin = ring_opening_in_per_lbf(outside_in=20.2, bore_in=19.8, length_in=1)
    >>> round(thin * 30e6 * 0.2**3 / 12 / 10**3, 3)
    0.149

    Source
    ------
    Roark's Formulas for Stress and Strain, circular rings, case 1, with the factors for thick
    rings: the deflection from memory, derived again here by Castigliano's theorem.
    """
    bent = _bent(
        outside_in=outside_in,
        bore_in=bore_in,
        length_in=length_in,
        modulus_psi=modulus_psi,
        poisson=poisson,
        keyway_depth_in=keyway_depth_in,
        key_width_in=key_width_in,
        shaft=shaft,
    )
    return bent.opening(poisson)


def ring_closing_in_per_lbf(
    *,
    outside_in: float,
    bore_in: float,
    length_in: float,
    modulus_psi: float = STEEL_MODULUS_PSI,
    poisson: float = STEEL_POISSON,
) -> float:
    """Return how far each lbf of the key brings the sides of a hub nearer to a loose shaft.

    closing/W = R^2/(E A e) [k1/2 - k2 + 2 k2^2/pi]

    Parameters
    ----------
    outside_in : float
        Outside diameter of the hub, above the bore [in].
    bore_in : float
        Bore of the hub, above 0 [in].
    length_in : float
        Length of the hub, above 0 [in].
    modulus_psi : float
        Modulus of elasticity of the hub, above 0 [psi].
    poisson : float
        Poisson's ratio of the hub, 0 to 0.5 [-].

    Returns
    -------
    float
        Loss of the diameter square to the force, for each lbf [in/lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    A plain ring under two opposite loads, each on a line. Where the loss reaches bore less shaft,
    the sides lie on the shaft, and the hub is loose no more.

    Examples
    --------
    >>> thin = ring_closing_in_per_lbf(outside_in=20.2, bore_in=19.8, length_in=1)
    >>> round(thin * 30e6 * 0.2**3 / 12 / 10**3, 3)
    0.137

    Source
    ------
    Roark's Formulas for Stress and Strain, circular rings, case 1: from memory.
    """
    require_positive("bore", bore_in, "in")
    require_above("outside diameter of the hub", outside_in, bore_in, "in")
    require_positive("length of the hub", length_in, "in")
    require_positive("hub modulus", modulus_psi, "psi")
    require_range("Poisson's ratio", poisson, 0, 0.5)
    ring = _Section(inner=bore_in / 2, outer=outside_in / 2, length=length_in)
    alpha = ring.e / ring.centroid
    k2 = 1 - alpha
    k1 = k2 + 2 * _SHEAR_SHAPE * (1 + poisson) * alpha
    shape = k1 / 2 - k2 + 2 * k2**2 / math.pi
    return ring.centroid**2 / (modulus_psi * ring.area * ring.e) * shape


def hoop_stress_psi(
    *,
    force_lbf: float,
    outside_in: float,
    bore_in: float,
    keyway_depth_in: float,
    key_width_in: float,
    length_in: float,
    shaft: str = LOOSE,
) -> HubStress:
    """Return the tension that the force of a key puts into the hub's ring.

    S = N/A + M (r - rn)/(A e r); plain ring, loose shaft: M = W R k2/pi under the key, there
    N = 0, and W R (1/2 - k2/pi) beside it, there N = W/2

    Parameters
    ----------
    force_lbf : float
        Force of the key square to its face, 0 or more [lbf].
    outside_in : float
        Outside diameter of the hub, above the bore [in].
    bore_in : float
        Bore of the hub, above 0 [in].
    keyway_depth_in : float
        Depth of the keyway from the bore, 0 or more and below the wall [in].
    key_width_in : float
        Width of the key, which presses evenly on it; 0 for a line [in].
    length_in : float
        Length of the hub, above 0 [in].
    shaft : str
        "loose": it presses on a line at the far side; "close": on the far half of the bore.

    Returns
    -------
    HubStress
        Tension at the bore beside the key, and at the outside over the keyway.

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Elastic; a plain round hub, no arms, no flange, no split, no crack, no friction in the bore; the
    key presses along the whole hub. The corner of the keyway is not in it: a sharp corner has
    several times the stress beside it, and a hub cracks from there.

    Examples
    --------
    >>> stress = hoop_stress_psi(force_lbf=40_000, outside_in=8, bore_in=4, keyway_depth_in=0,
    ...                          key_width_in=0, length_in=4)
    >>> round(stress.beside_psi, -1), round(stress.over_keyway_psi, -1)
    (13730.0, 11170.0)

    Source
    ------
    Roark's Formulas for Stress and Strain, circular rings, cases 1 and 2 (the moments are those
    printed, with k2 for thick rings), with the stresses of a curved bar; keyway and width of the
    key by Castigliano's theorem.
    """
    require_non_negative("force of the key", force_lbf, "lbf")
    bent = _bent(
        outside_in=outside_in,
        bore_in=bore_in,
        length_in=length_in,
        modulus_psi=1.0,
        poisson=STEEL_POISSON,
        keyway_depth_in=keyway_depth_in,
        key_width_in=key_width_in,
        shaft=shaft,
    )
    ring, left = bent.ring, bent.left
    bore = bent.normal / ring.area + np.array(
        [ring.bending_psi(float(one), ring.inner) for one in bent.moment]
    )
    beside = float(np.max(bore[np.abs(bent.angle - math.pi / 2) < math.pi / 4]))
    over = bent.normal_at_key / left.area + left.bending_psi(bent.at_key, left.outer)
    return HubStress(beside_psi=force_lbf * beside, over_keyway_psi=force_lbf * over)


def squeeze_force_lbf(
    *, squeeze_in: float, face_area_in2: float, seat_in_per_psi: float, ring_in_per_lbf: float
) -> float:
    """Return the force that a squeeze puts on the faces of a key, the hub opening under it.

    N = squeeze / (give of the seat / area + opening of the ring)

    Parameters
    ----------
    squeeze_in : float
        Height by which the driven key is too high for its slot, 0 or more [in].
    face_area_in2 : float
        Width times length that bears, above 0 [in2].
    seat_in_per_psi : float
        Give of key, shaft and hub right at the faces, for each psi, 0 or more [in/psi].
    ring_in_per_lbf : float
        Opening of the hub's ring for each lbf, above 0 [in/lbf].

    Returns
    -------
    float
        Force square to the faces [lbf].

    Raises
    ------
    ValueError
        If an argument is outside its range.

    Assumptions
    -----------
    Elastic; the key bears all along before the squeeze begins.

    Examples
    --------
    >>> round(squeeze_force_lbf(squeeze_in=0.0013, face_area_in2=4, seat_in_per_psi=8e-8,
    ...                         ring_in_per_lbf=6e-8))
    16250

    Source
    ------
    Springs in a row.
    """
    require_non_negative("squeeze", squeeze_in, "in")
    require_positive("area of the face", face_area_in2, "in2")
    require_non_negative("give of the seat", seat_in_per_psi, "in/psi")
    require_positive("opening of the ring", ring_in_per_lbf, "in/lbf")
    return squeeze_in / (seat_in_per_psi / face_area_in2 + ring_in_per_lbf)
