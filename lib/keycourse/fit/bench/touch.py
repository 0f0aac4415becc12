"""Where a stiff key first touches floor and roof.

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

from taperkey.checks import require_finite

__all__ = ["Faces", "FirstTouch", "first_touch"]

Array = NDArray[np.float64]

_MOST_EXCHANGES = 400


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
    patch_area_in2 : float
        Area of one grid patch [in2].
    key_out_in : float
        How far the key's large end stands out of the mouth [in].
    """

    x_in: Array
    y_in: Array
    under_in: Array
    over_in: Array
    patch_area_in2: float
    key_out_in: float = 0.0


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

    Examples
    --------
    Flat faces 0.003 in apart leave half of it on each side:

    >>> flat = Faces(x_in=np.array([1.0, 3.0]), y_in=np.array([-0.5, 0.5]),
    ...     under_in=np.zeros((2, 2)), over_in=np.full((2, 2), 0.003),
    ...     patch_area_in2=2.0)
    >>> round(first_touch(faces=flat).clearance_in, 6)
    0.0015

    Source
    ------
    Derived here: a linear program in four unknowns, solved by single
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
