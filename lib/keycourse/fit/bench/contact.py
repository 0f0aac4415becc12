"""A stiff key between two faces that give way: how a load spreads.

The key lies on a plane S = lift + pitch X + roll Y, with X and Y counted from
the middle of the faces. ``under_in`` is the floor less the key's underside,
``over_in`` the roof less the key's top; the key goes in where
``under <= S <= over``. Both are fields on an even grid.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from keycourse.fit.bench.touch import Faces
from taperkey.checks import require_finite, require_positive, sentence
from taperkey.said import Number, Said
from taperkey.units import number_text

__all__ = [
    "FACE_STIFFNESS_PSI_PER_IN",
    "YIELD_PSI",
    "Seat",
    "press_faces",
    "squeeze_faces",
]

Array = NDArray[np.float64]

FACE_STIFFNESS_PSI_PER_IN = 2.0e7
"""Pressure per inch that one face gives way: half a 1 in high steel key and part of the bore.

Source: derived here from E = 30e6 psi over about 1.5 in of steel [psi/in].
"""

YIELD_PSI = 54_000.0
"""Pressure at which high spots flatten. Source: Shigley, 9th ed., Table A-20, 1018 CD [psi]."""

_MOST_STEPS = 80
_HEAVIER_STARTS = 4  # tenfold forces that a push may be come down from


@dataclass(frozen=True, kw_only=True)
class Seat:
    """The key under load.

    Parameters
    ----------
    normal_force_lbf : float
        Force square to the faces [lbf].
    squeeze_in : float
        Extra thickness of key that this force takes up [in].
    lift_in, pitch_rad, roll_rad : float
        Its plane.
    floor_gap_in, roof_gap_in : ndarray, shape (m, n)
        Gap at each place; negative where the metal is squeezed [in].
    floor_pressure_psi, roof_pressure_psi : ndarray, shape (m, n)
        Pressure at each place [psi].
    unbalance : tuple of float
        What is left of force [lbf] and of the two moments [lbf_in].
    steps : int
        Newton steps taken.
    """

    normal_force_lbf: float
    squeeze_in: float
    lift_in: float
    pitch_rad: float
    roll_rad: float
    floor_gap_in: Array
    roof_gap_in: Array
    floor_pressure_psi: Array
    roof_pressure_psi: Array
    unbalance: tuple[float, float, float]
    steps: int


def press_faces(
    *,
    faces: Faces,
    normal_force_lbf: float,
    stiffness_psi_per_in: float = FACE_STIFFNESS_PSI_PER_IN,
    yield_psi: float = YIELD_PSI,
    start: Seat | None = None,
) -> Seat:
    """Return how a force square to the faces spreads.

    min over lift, pitch, roll, d of sum A e(under - S) + sum A e(S - over + d) - N d,
    e(a) the work per area of pressure min(k a, yield) for a above 0

    Parameters
    ----------
    faces : Faces
        Fields of shape (m, n) [in].
    normal_force_lbf : float
        N, above 0 [lbf].
    stiffness_psi_per_in : float
        k of one face, above 0 [psi/in].
    yield_psi : float
        Cap of the pressure, above 0 [psi].
    start : Seat, optional
        An earlier answer to start from, for speed.

    Returns
    -------
    Seat
        `squeeze_in` is d: how much thicker the key could be at this force.

    Raises
    ------
    ValueError
        If a number is not above 0, or the faces cannot carry the force.

    Assumptions
    -----------
    Springs side by side: too soft for bumps shorter than about 1/2 in. The
    key does not bend. The couple of the friction on both faces is left out.

    Examples
    --------
    On 8 in2 of flat face 80,000 lbf is 10,000 psi, 0.0005 in on each side:

    >>> flat = Faces(x_in=np.array([1.0, 3.0]), y_in=np.array([-0.5, 0.5]),
    ...     under_in=np.zeros((2, 2)), over_in=np.zeros((2, 2)),
    ...     row_share=np.ones(2), patch_area_in2=2.0)
    >>> round(press_faces(faces=flat, normal_force_lbf=80_000).squeeze_in, 6)
    0.001

    Source
    ------
    Elastic foundation: Johnson, Contact Mechanics, 1985, section 4.3;
    solved here by semi-smooth Newton steps.
    """
    require_positive("force on the faces", normal_force_lbf, "lbf")
    able = yield_psi * float(faces.row_share.sum()) * faces.y_in.size * faces.patch_area_in2
    if normal_force_lbf >= able:
        raise ValueError(
            sentence(
                "force on the faces",
                float(normal_force_lbf),
                "lbf",
                Said(
                    "below {able}, what the whole face carries at yield",
                    able=Number((able,), (number_text(able),), "lbf", way="down"),
                ),
                "Use less force.",
            )
        )
    return _newton(faces, normal_force_lbf, None, stiffness_psi_per_in, yield_psi, start)


def squeeze_faces(
    *,
    faces: Faces,
    squeeze_in: float = 0.0,
    stiffness_psi_per_in: float = FACE_STIFFNESS_PSI_PER_IN,
    yield_psi: float = YIELD_PSI,
    start: Seat | None = None,
) -> Seat:
    """Return the force when the key is held where it is.

    min over lift, pitch, roll of the work of :func:`press_faces` with d given

    Parameters
    ----------
    faces : Faces
        Fields of shape (m, n) [in].
    squeeze_in : float
        d, extra thickness of the key [in].
    stiffness_psi_per_in, yield_psi : float
        As in :func:`press_faces` [psi/in], [psi].
    start : Seat, optional
        An earlier answer to start from, for speed.

    Returns
    -------
    Seat
        Force 0 lbf if the key stands free.

    Raises
    ------
    ValueError
        If a number is not finite or not above 0 where it must be.

    Assumptions
    -----------
    As in :func:`press_faces`.

    Examples
    --------
    >>> flat = Faces(x_in=np.array([1.0, 3.0]), y_in=np.array([-0.5, 0.5]),
    ...     under_in=np.zeros((2, 2)), over_in=np.zeros((2, 2)),
    ...     row_share=np.ones(2), patch_area_in2=2.0)
    >>> round(squeeze_faces(faces=flat, squeeze_in=0.001).normal_force_lbf)
    80000

    Source
    ------
    As in :func:`press_faces`.
    """
    require_finite("squeeze", squeeze_in, "in")
    return _newton(faces, None, squeeze_in, stiffness_psi_per_in, yield_psi, start)


class _Foundation:
    """Work and forces of both faces, in units of stiffness times patch area."""

    def __init__(self, faces: Faces, cap_in: float) -> None:
        self.under, self.over, self.cap = faces.under_in, faces.over_in, cap_in
        middle = 0.5 * float(faces.x_in[0] + faces.x_in[-1])
        x = faces.x_in - middle
        self.x_scale = max(float(np.abs(x).max()), 1e-9)
        self.y_scale = max(float(np.abs(faces.y_in).max()), 1e-9)
        self.x, self.y = x / self.x_scale, faces.y_in / self.y_scale
        self.across = np.ascontiguousarray(np.stack([np.ones_like(self.y), self.y, self.y**2], 1))
        share = faces.row_share
        self.along = np.stack([share, share * self.x, share * self.x**2])
        self.share = share
        self.size = float(share.sum()) * self.y.size

    def moments(self, field: Array) -> Array:
        """Return the sums of field X^i Y^j, i and j from 0 to 2."""
        result: Array = self.along @ (field @ self.across)
        return result

    def look(self, v: Array) -> tuple[float, Array, Array, Array, Array, Array]:
        """Return work, force vector, both depths, both pressures (as depths)."""
        plane = (v[0] + v[1] * self.x)[:, None] + (v[2] * self.y)[None, :]
        low = self.under - plane
        high = plane - self.over
        high += v[3]
        press_low = np.clip(low, 0.0, self.cap)
        press_high = np.clip(high, 0.0, self.cap)
        work = 0.0
        for depth, press in ((low, press_low), (high, press_high)):
            work += float(self.share @ np.einsum("ij,ij->i", press, depth - 0.5 * press))
        a = self.moments(press_low)
        b = self.moments(press_high)
        force = np.array([b[0, 0] - a[0, 0], b[1, 0] - a[1, 0], b[0, 1] - a[0, 1], b[0, 0]])
        return work, force, low, high, press_low, press_high

    def stiffness(self, low: Array, high: Array) -> Array:
        """Return the second derivatives where the springs work."""
        a = self.moments(((low > 0) & (low < self.cap)).astype(np.float64))
        b = self.moments(((high > 0) & (high < self.cap)).astype(np.float64))
        return _hessian(a, b)


def _hessian(a: Array, b: Array) -> Array:
    c = a + b
    return np.array(
        [
            [c[0, 0], c[1, 0], c[0, 1], b[0, 0]],
            [c[1, 0], c[2, 0], c[1, 1], b[1, 0]],
            [c[0, 1], c[1, 1], c[0, 2], b[0, 1]],
            [b[0, 0], b[1, 0], b[0, 1], b[0, 0]],
        ]
    )


def _newton(
    faces: Faces,
    normal_force_lbf: float | None,
    squeeze_in: float | None,
    stiffness_psi_per_in: float,
    yield_psi: float,
    start: Seat | None,
    heavier: int = _HEAVIER_STARTS,
) -> Seat:
    require_positive("stiffness of a face", stiffness_psi_per_in, "psi/in")
    require_positive("yield pressure", yield_psi, "psi")
    unit = stiffness_psi_per_in * faces.patch_area_in2
    base = _Foundation(faces, yield_psi / stiffness_psi_per_in)
    free = 4 if squeeze_in is None else 3
    pull = np.array([0.0, 0.0, 0.0, 0.0 if normal_force_lbf is None else normal_force_lbf / unit])
    if start is not None:
        v = np.array(
            [
                start.lift_in,
                start.pitch_rad * base.x_scale,
                start.roll_rad * base.y_scale,
                start.squeeze_in,
            ]
        )
    else:
        v = np.zeros(4)
    if squeeze_in is not None:
        v[3] = squeeze_in
    if start is None:  # as if both faces were glued on: one linear step
        full = base.moments(np.ones_like(base.under))
        a, b = base.moments(base.under), base.moments(base.over)
        right = np.array(
            [a[0, 0] + b[0, 0], a[1, 0] + b[1, 0], a[0, 1] + b[0, 1], b[0, 0] + pull[3]]
        )
        glued = _hessian(full, full)
        if free == 4:
            v = np.linalg.solve(glued, right)
        else:
            v[:3] = np.linalg.solve(glued[:3, :3], right[:3] - glued[:3, 3] * v[3])
    work, force, low, high, press_low, press_high = base.look(v)
    steps, damping, solved = 0, 1e-9, False
    while steps < _MOST_STEPS:
        steps += 1
        rest = (force - pull)[:free]
        aim = float(pull[3]) if free == 4 else max(float(force[3]), 1e-9)
        if float(np.abs(rest).max()) <= 1e-10 * aim:
            solved = True
            break
        matrix = base.stiffness(low, high)[:free, :free]
        matrix[np.diag_indices(free)] += damping * base.size
        step = np.zeros(4)
        step[:free] = np.linalg.solve(matrix, -rest)
        slope = float(step[:free] @ rest)
        merit = work - float(pull @ v)
        size = 1.0
        while True:
            trial = v + size * step
            looked = base.look(trial)
            gain = looked[0] - float(pull @ trial) - merit
            if gain <= 1e-4 * size * slope + 1e-13 * abs(merit) or size < 1e-4:
                break
            size *= 0.5
        damping = min(damping * 100, 1e-2) if size < 0.2 else max(damping / 100, 1e-9)
        if gain > 0 and size < 1e-4:
            continue
        v = trial
        work, force, low, high, press_low, press_high = looked
        if float(np.abs(size * step).max()) < 1e-15:
            solved = float(np.abs((force - pull)[:free]).max()) <= 1e-6 * aim
            break
    rest_of = (stiffness_psi_per_in, yield_psi)
    if not solved and start is not None:
        return _newton(faces, normal_force_lbf, squeeze_in, *rest_of, None, heavier)
    if not solved and normal_force_lbf is not None and heavier:
        # so light a push that three or four places bear: come down to it from a heavier one
        above = _newton(faces, 10 * normal_force_lbf, None, *rest_of, None, heavier - 1)
        return _newton(faces, normal_force_lbf, None, *rest_of, above, 0)
    if not solved:
        raise ArithmeticError("the contact did not settle; the faces are too rough for this model")
    return Seat(
        normal_force_lbf=float(force[3]) * unit,
        squeeze_in=float(v[3]),
        lift_in=float(v[0]),
        pitch_rad=float(v[1]) / base.x_scale,
        roll_rad=float(v[2]) / base.y_scale,
        floor_gap_in=-low,
        roof_gap_in=-high,
        floor_pressure_psi=press_low * stiffness_psi_per_in,
        roof_pressure_psi=press_high * stiffness_psi_per_in,
        unbalance=(
            float(force[0]) * unit,
            float(force[1]) * unit * base.x_scale,
            float(force[2]) * unit * base.y_scale,
        ),
        steps=steps,
    )
