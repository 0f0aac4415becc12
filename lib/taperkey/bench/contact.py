"""A stiff key between two faces: where it first touches, and how a load spreads.

The key lies on a plane S = lift + pitch X + roll Y, with X and Y counted from
the middle of the faces. ``under_in`` is the floor less the key's underside,
``over_in`` the roof less the key's top; the key goes in where
``under <= S <= over``. Both are fields on an even grid.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from taperkey.checks import require_finite, require_positive

__all__ = [
    "FACE_STIFFNESS_PSI_PER_IN",
    "YIELD_PSI",
    "Faces",
    "FirstTouch",
    "Seat",
    "first_touch",
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

_MOST_EXCHANGES = 400
_MOST_STEPS = 80


@dataclass(frozen=True, kw_only=True)
class Faces:
    """Floor and roof against the key, on the length where they meet.

    Parameters
    ----------
    x_in : ndarray, shape (m,)
        Stations from the mouth [in].
    y_in : ndarray, shape (n,)
        Places across [in].
    under_in, over_in : ndarray, shape (m, n)
        Floor less underside of the key; roof less top of the key [in].
    row_share : ndarray, shape (m,)
        Share of each strip that the key covers, 0 to 1.
    patch_area_in2 : float
        Area of one grid patch [in2].
    """

    x_in: Array
    y_in: Array
    under_in: Array
    over_in: Array
    row_share: Array
    patch_area_in2: float


@dataclass(frozen=True, kw_only=True)
class FirstTouch:
    """The key standing free, as far from both faces as it can be.

    Parameters
    ----------
    clearance_in : float
        Largest clearance left at both faces at once; negative if it does not fit [in].
    lift_in, pitch_rad, roll_rad : float
        Its plane; not always the only one.
    points : tuple of (str, int, int)
        The four places that decide: "floor" or "roof", strip along, strip across.
    exchanges : int
        How many exchanges it took.
    """

    clearance_in: float
    lift_in: float
    pitch_rad: float
    roll_rad: float
    points: tuple[tuple[str, int, int], ...]
    exchanges: int


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


def first_touch(
    *, faces: Faces, start: tuple[tuple[str, int, int], ...] | None = None
) -> FirstTouch:
    """Return the largest clearance at both faces at once.

    max c with under + c <= lift + pitch X + roll Y <= over - c

    Parameters
    ----------
    faces : Faces
        Fields of shape (m, n) [in].
    start : tuple of four points, optional
        The `points` of an earlier answer on a like grid, for speed.

    Returns
    -------
    FirstTouch
        Clearance [in], plane, and the four deciding places.

    Raises
    ------
    ValueError
        If a field holds a value that is not finite.

    Assumptions
    -----------
    Stiff key, stiff faces.

    Source
    ------
    Derived here: a linear programme in four unknowns, solved by single
    exchange (dual simplex) on four active places, the most violated place
    entering; exchange as for best uniform approximation (Stiefel, 1959).
    """
    search = _Exchange(faces)
    return search.solve(start)


class _Exchange:
    """Single exchange on four rows g v >= h of v = (lift, pitch, roll, clearance)."""

    def __init__(self, faces: Faces) -> None:
        self.under, self.over = faces.under_in, faces.over_in
        self.middle = 0.5 * float(faces.x_in[0] + faces.x_in[-1])
        x, y = faces.x_in - self.middle, faces.y_in
        self.x_scale = max(float(x[-1]), 1e-9)
        self.y_scale = max(float(np.abs(y).max()), 1e-9)
        self.x, self.y = x / self.x_scale, y / self.y_scale

    def solve(self, start: tuple[tuple[str, int, int], ...] | None) -> FirstTouch:
        m, n = self.under.shape
        total = 0
        points = list(start) if start is not None else []
        inside = all(i < m and j < n for _, i, j in points)
        if not (len(points) == 4 and inside and self._holds(points)):
            points = [
                ("floor", 0, 0),
                ("floor", 0, n - 1),
                ("floor", m - 1, n // 2),
                ("roof", m // 2, n // 2),
            ]
            if m >= 64 and n >= 16:  # a coarse net first, then every place
                points, _, total = self._run(points, m // 32, n // 8)
        points, v, more = self._run(points, 1, 1)
        return FirstTouch(
            clearance_in=float(v[3]),
            lift_in=float(v[0]),
            pitch_rad=float(v[1]) / self.x_scale,
            roll_rad=float(v[2]) / self.y_scale,
            points=tuple(points),
            exchanges=total + more,
        )

    def _row(self, point: tuple[str, int, int]) -> tuple[list[float], float]:
        side, i, j = point
        x, y = float(self.x[i]), float(self.y[j])
        if side == "floor":
            return [1.0, x, y, -1.0], float(self.under[i, j])
        return [-1.0, -x, -y, -1.0], -float(self.over[i, j])

    def _holds(self, points: list[tuple[str, int, int]]) -> bool:
        matrix = np.array([self._row(point)[0] for point in points])
        if abs(np.linalg.det(matrix)) < 1e-9:
            return False
        return bool((-np.linalg.inv(matrix)[3] >= -1e-9).all())

    def _run(
        self, points: list[tuple[str, int, int]], every_x: int, every_y: int
    ) -> tuple[list[tuple[str, int, int]], Array, int]:
        under, over = self.under[::every_x, ::every_y], self.over[::every_x, ::every_y]
        x, y = self.x[::every_x, None], self.y[None, ::every_y]
        columns = under.shape[1]
        work, plane = np.empty(under.shape), np.empty(under.shape)
        rows = [self._row(point) for point in points]
        matrix = np.array([row for row, _ in rows])
        sides = np.array([side for _, side in rows])
        for count in range(_MOST_EXCHANGES):
            inverse = np.linalg.inv(matrix)
            v = inverse @ sides
            share = -inverse[3]
            np.add(v[0] + v[1] * x, v[2] * y, out=plane)
            np.subtract(under, plane, out=work)
            low = int(work.argmax())
            worst_low = work.item(low) + v.item(3)
            np.subtract(plane, over, out=work)
            high = int(work.argmax())
            worst_high = work.item(high) + v.item(3)
            worst = max(worst_low, worst_high)
            if not math.isfinite(worst_low + worst_high):
                require_finite("gap between key and slot", worst_low + worst_high, "in")
            if worst <= 1e-14:
                return points, v, count
            side, flat = ("floor", low) if worst_low >= worst_high else ("roof", high)
            enter = (side, flat // columns * every_x, flat % columns * every_y)
            row, bound = self._row(enter)
            change = np.array(row) @ inverse
            ratio = [
                part / gain if gain > 1e-12 else math.inf
                for part, gain in zip(share.tolist(), change.tolist(), strict=True)
            ]
            leave = ratio.index(min(ratio))
            if enter in points or not math.isfinite(ratio[leave]):
                return points, v, count  # what is left is rounding
            points = [*points[:leave], enter, *points[leave + 1 :]]
            matrix[leave] = row
            sides[leave] = bound
        raise ArithmeticError("first touch was not found; the faces repeat too exactly")


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

    Source
    ------
    Elastic foundation: Johnson, Contact Mechanics, 1985, section 4.3;
    solved here by semi-smooth Newton steps.
    """
    require_positive("force on the faces", normal_force_lbf, "lbf")
    able = yield_psi * float(faces.row_share.sum()) * faces.y_in.size * faces.patch_area_in2
    if normal_force_lbf >= able:
        raise ValueError(
            f"force on the faces is {normal_force_lbf:.6g} lbf; it must be below {able:.6g} lbf,"
            " what the whole face carries at yield. Use less force."
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
        As in :func:`press_faces`.
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
    if not solved and start is not None:
        return _newton(faces, normal_force_lbf, squeeze_in, stiffness_psi_per_in, yield_psi, None)
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
