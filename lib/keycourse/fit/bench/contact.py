"""A key pressed between two faces of steel: where it bears, how hard, how much it gives way.

The key lies on a plane S = lift + pitch X + roll Y, with X and Y counted from the middle of
the faces. ``under_in`` is the floor less the key's underside, ``over_in`` the roof less the
key's top; the key goes in where ``under <= S <= over``. Both are fields on an even grid. What
gives way, and how much, is told by :class:`~keycourse.fit.bench.bodies.Bodies`.

The answer is the pressure that makes the work of the steel, less what the gaps give back, least:

    min p (K p / 2 + gap), p from 0 to the hardness, force and both moments the same above and below

with K of both faces in one cosine transform. It is found by conjugate gradients on the places
that bear: each step is made better by 1/K, then clipped to where pressure can be, brought back
into balance, and taken as far as the work falls.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.fft import dctn, idctn

from keycourse.fit.bench.bodies import Bodies, beam_shapes
from keycourse.fit.bench.fewplaces import press_few
from keycourse.fit.bench.touch import Faces, first_touch
from taperkey.checks import require_finite, require_positive, sentence
from taperkey.said import Number, Said
from taperkey.units import number_text

__all__ = ["HARDNESS_PSI", "Seat", "press_faces", "squeeze_faces"]

Array = NDArray[np.float64]

HARDNESS_PSI = 2.8 * 54_000.0
"""Pressure at which a high spot flattens: 2.8 times yield, held in by the metal around it.

Source: Johnson, Contact Mechanics, 1985, section 6.3, from memory; yield of 1018 cold drawn,
Shigley, 9th ed., Table A-20 [psi].
"""

_CLOSE_ENOUGH = 0.01  # gap left where it bears, over the mean sinking
_MOST_STEPS, _MOST_FAILED = 150, 10
_AT_WORST = 0.3  # gap left over the mean sinking, where the search comes no nearer
_EDGE_SHARE = (np.pi - 1 + np.log(2)) / 24
_BALANCED, _BALANCED_AT_END = 1e-9, 1e-6  # of the force
_FAR_IN = 1.0  # gap beyond the end of the key
_FIRST_REACH, _LEAST_REACH, _MOST_REACH = 0.65, 0.01, 1.2
_HELD_WITHIN = 1e-4  # of the squeeze, where it is given
_LIGHTEST_LBF = 0.01


@dataclass(frozen=True, kw_only=True, eq=False)
class Seat:
    """The key under load.

    Parameters
    ----------
    normal_force_lbf : float
        Force square to the faces [lbf].
    squeeze_in : float
        Extra thickness of key that this force takes up, the ring's opening in it [in].
    ring_in : float
        How far the hub's ring is open [in].
    lift_in, pitch_rad, roll_rad : float
        Its plane.
    floor_gap_in, roof_gap_in : ndarray, shape (m, n)
        Gap at each place, 0 where it bears [in].
    floor_pressure_psi, roof_pressure_psi : ndarray, shape (m, n)
        Pressure at each place [psi].
    floor_set_in, roof_set_in : ndarray, shape (m, n)
        How far metal is squeezed flat for good, where the hardness is reached [in].
    unbalance : tuple of float
        What is left of force [lbf] and of the two moments [lbf_in].
    steps : int
        Steps taken.
    """

    normal_force_lbf: float
    squeeze_in: float
    ring_in: float
    lift_in: float
    pitch_rad: float
    roll_rad: float
    floor_gap_in: Array
    roof_gap_in: Array
    floor_pressure_psi: Array
    roof_pressure_psi: Array
    floor_set_in: Array
    roof_set_in: Array
    unbalance: tuple[float, float, float]
    steps: int

    @property
    def bearing_share(self) -> float:
        """Share of both faces that presses, 0 to 1; a place at the edge counts in part.

        Source
        ------
        Yastrebov, Anciaux and Molinari, Tribology International 114, 2017, from memory:
        a grid shows too much by (pi - 1 + ln 2)/24 of its spacing along the edge.
        """
        shares = []
        for pressure in (self.floor_pressure_psi, self.roof_pressure_psi):
            bears = pressure > 0
            edges = sum(int(np.diff(bears, axis=axis).sum()) for axis in (0, 1))
            shares.append((bears.sum() - _EDGE_SHARE * edges) / bears.size)
        return float(sum(shares) / 2)


def press_faces(
    *,
    faces: Faces,
    bodies: Bodies,
    normal_force_lbf: float,
    hardness_psi: float = HARDNESS_PSI,
    start: Seat | None = None,
    close_enough: float = _CLOSE_ENOUGH,
) -> Seat:
    """Return how a force square to the faces spreads.

    sinking = K p; gap + sinking = plane where it bears; sum p A = N above and below

    Parameters
    ----------
    faces : Faces
        Fields of shape (m, n); at most as many strips along as the bodies have [in].
    bodies : Bodies
        What gives way.
    normal_force_lbf : float
        N, above 0 [lbf].
    hardness_psi : float
        Cap of the pressure, above 0 [psi].
    start : Seat, optional
        An earlier answer to start from, for speed.
    close_enough : float
        Gap that may be left where it bears, over the mean sinking, above 0.

    Returns
    -------
    Seat
        `squeeze_in` is how much thicker the key could be at this force.

    Raises
    ------
    ValueError
        If a number is not above 0, or the faces cannot carry the force.

    Assumptions
    -----------
    Elastic up to the hardness; no friction on the faces. The couple of the friction
    on both faces is left out.

    Examples
    --------
    On 12 in2 of flat face 120,000 lbf is 10,000 psi everywhere:

    >>> from keycourse.fit.bench.bodies import key_between
    >>> flat = Faces(x_in=np.arange(0.5, 8), y_in=np.array([-0.5, 0.0, 0.5]),
    ...     under_in=np.zeros((8, 3)), over_in=np.zeros((8, 3)), patch_area_in2=0.5)
    >>> bodies = key_between(length_in=8, width_in=1.5, height_in=1, length_count=8, width_count=3)
    >>> seat = press_faces(faces=flat, bodies=bodies, normal_force_lbf=120_000)
    >>> round(float(seat.roof_pressure_psi.max())), round(seat.squeeze_in, 5)
    (10000, 0.002)

    Source
    ------
    Conjugate gradients with clipping: Polonsky and Keer, Wear 231, 1999; with a Fourier
    preconditioner: Vollebregt, 2014; both from memory, written anew here.
    """
    require_positive("force on the faces", normal_force_lbf, "lbf")
    require_positive("hardness", hardness_psi, "psi")
    require_positive("closeness", close_enough)
    for field in (faces.under_in, faces.over_in):
        require_finite("gap between key and slot", float(field.sum()), "in")
    able = hardness_psi * faces.under_in.size * bodies.patch_area_in2
    if normal_force_lbf >= 0.999 * able:
        raise ValueError(
            sentence(
                "force on the faces",
                float(normal_force_lbf),
                "lbf",
                Said(
                    "below {able}, what the whole face carries when it flattens",
                    able=Number((able,), (number_text(able),), "lbf", way="down"),
                ),
                "Use less force.",
            )
        )
    search = _Search(faces, bodies, normal_force_lbf, hardness_psi)
    for pressure in search.starts(start):
        seat = None if pressure is None else search.solve(pressure, close_enough)
        if seat is not None:
            return seat
    seat = search.on_few_places()
    if seat is not None:
        return seat
    for heavier in (3.0, 10.0):  # come down to it
        if heavier * normal_force_lbf < 0.5 * able:
            above = _Search(faces, bodies, heavier * normal_force_lbf, hardness_psi)
            seat = above.solve(above.evenly(), close_enough)
            pressure = search.shifted(seat)
            seat = None if pressure is None else search.solve(pressure, close_enough)
            if seat is not None:
                return seat
    if search.best[1] is not None:
        return search.settled(*search.best[1])
    raise ArithmeticError("the contact did not settle; the faces are too rough for this model")


def squeeze_faces(
    *,
    faces: Faces,
    bodies: Bodies,
    squeeze_in: float = 0.0,
    hardness_psi: float = HARDNESS_PSI,
    start: Seat | None = None,
    close_enough: float = _CLOSE_ENOUGH,
) -> Seat | None:
    """Return the contact when the key is held where it is.

    force N with squeeze(N) = squeeze

    Parameters
    ----------
    faces : Faces
        Fields of shape (m, n) [in].
    bodies : Bodies
        What gives way.
    squeeze_in : float
        Extra thickness of the key [in].
    hardness_psi : float
        As in :func:`press_faces` [psi].
    start : Seat, optional
        An earlier answer to start from, for speed.
    close_enough : float
        As in :func:`press_faces`.

    Returns
    -------
    Seat or None
        None if the key stands free.

    Raises
    ------
    ValueError
        If a number is not finite, or not above 0 where it must be.

    Assumptions
    -----------
    As in :func:`press_faces`.

    Examples
    --------
    >>> from keycourse.fit.bench.bodies import key_between
    >>> flat = Faces(x_in=np.arange(0.5, 8), y_in=np.array([-0.5, 0.0, 0.5]),
    ...     under_in=np.zeros((8, 3)), over_in=np.zeros((8, 3)), patch_area_in2=0.5)
    >>> bodies = key_between(length_in=8, width_in=1.5, height_in=1, length_count=8, width_count=3)
    >>> round(squeeze_faces(faces=flat, bodies=bodies, squeeze_in=0.001).normal_force_lbf, -2)
    60000.0
    >>> squeeze_faces(faces=flat, bodies=bodies, squeeze_in=-0.001) is None
    True

    Source
    ------
    As in :func:`press_faces`; the force by regula falsi in its logarithm.
    """
    require_finite("squeeze", squeeze_in, "in")

    def pressed(force_lbf: float, near: Seat | None) -> Seat:
        return press_faces(
            faces=faces,
            bodies=bodies,
            normal_force_lbf=force_lbf,
            hardness_psi=hardness_psi,
            start=near,
            close_enough=close_enough,
        )

    most = 0.99 * hardness_psi * faces.under_in.size * bodies.patch_area_in2
    give = 2 * float(bodies.kernel_in_per_psi[0, 0]) / (bodies.length_in * bodies.width_in)
    give += bodies.ring.opening_in(1.0)
    force = start.normal_force_lbf if start is not None else 1_000.0
    seat = pressed(force, start)
    below: tuple[float, float] | None = None
    above: tuple[float, float] | None = None
    for _ in range(60):
        off = seat.squeeze_in - squeeze_in
        if abs(off) <= _HELD_WITHIN * max(abs(squeeze_in), seat.squeeze_in - squeeze_in, give):
            break
        if off > 0:
            above = (force, off)
        else:
            below = (force, off)
        if below is None:
            if force <= _LIGHTEST_LBF:
                return None
            force = max(min(force - off / give, 0.9 * force), force / 30, _LIGHTEST_LBF)
        elif above is None:
            if force >= most:
                break
            force = min(max(force - off / give, 1.1 * force), 10 * force, most)
        else:
            share = -below[1] / (above[1] - below[1])
            force = below[0] + min(max(share, 0.02), 0.98) * (above[0] - below[0])
            if above[0] - below[0] < 1e-6 * above[0]:
                break
        seat = pressed(force, seat)
    return seat


class _Search:
    """Balance, planes and bending on one pair of faces, and the search for the pressure.

    Unknowns beside the pressure stand in one list: lift, pitch, one for each beam shape, roll,
    squeeze. Lift, pitch, roll and squeeze are strict (their forces must balance), the shapes give.
    """

    def __init__(self, faces: Faces, bodies: Bodies, force_lbf: float, hardness_psi: float) -> None:
        self.faces, self.bodies = faces, bodies
        self.kernel, self.hardness = bodies.kernel_in_per_psi, hardness_psi
        m, n = self.kernel.shape
        self.shape, self.rows = (2, m, n), faces.under_in.shape[0]
        self.area = bodies.patch_area_in2
        step = bodies.length_in / m
        x = faces.x_in[0] + step * np.arange(m)
        self.x_middle, self.x_scale = float(x[0] + x[-1]) / 2, float(x[-1] - x[0]) / 2 or 1.0
        self.y_scale = float(np.abs(faces.y_in).max()) or 1.0
        self.y = faces.y_in / self.y_scale
        self.across = np.stack([np.ones(n), self.y, self.y**2], axis=1)
        shapes = [np.ones((1, m)), ((x - self.x_middle) / self.x_scale)[None, :]]
        self.bending = bodies.bending_in_per_lbf * self.area
        if self.bending.size:
            place = np.clip((x + faces.key_out_in) / bodies.length_in, 0.0, 1.0)
            shapes.append(beam_shapes(place)[: self.bending.size])
        self.along = np.vstack(shapes)
        self.count = len(self.along)
        self.pairs = np.triu_indices(self.count)
        self.products = self.along[self.pairs[0]] * self.along[self.pairs[1]]
        self.strict = np.array([0, 1, self.count, self.count + 1])
        self.bends = slice(2, self.count)
        with np.errstate(divide="ignore"):
            self.better = np.where(self.kernel > 0, 1 / self.kernel, 0.0)
        self.softness = 1 / float(self.kernel[1:6, 0].mean()) if m > 1 else 0.0
        self.aim = np.array([0.0, 0.0, 0.0, -force_lbf / self.area])
        self.force = force_lbf
        self.gap = np.full(self.shape, _FAR_IN)
        self.gap[0, : self.rows] = -faces.under_in
        self.gap[1, : self.rows] = faces.over_in
        self.best: tuple[float, tuple[Array, Array, Array, int] | None] = (_AT_WORST, None)

    # sums over the faces and fields from unknowns

    def _turned(self, field: Array, kernel: Array) -> Array:
        waves = dctn(field, axes=(1, 2))
        waves *= kernel
        result: Array = idctn(waves, axes=(1, 2), overwrite_x=True)
        return result

    def _sums(self, field: Array, columns: int) -> Array:
        rows = field.reshape(-1, self.shape[2]) @ self.across[:, :columns]
        return rows.reshape(2, self.shape[1], columns)

    def _loads(self, field: Array) -> Array:
        """Return what a field of pressure does to each unknown."""
        sums = self._sums(field, 2)
        apart = sums[0] - sums[1]
        loads = np.empty(self.count + 2)
        loads[: self.count] = self.along @ apart[:, 0]
        loads[self.count] = apart[:, 1].sum()
        loads[self.count + 1] = -sums[1, :, 0].sum()
        return loads

    def _field(self, unknowns: Array) -> Array:
        """Return the gaps that lift, tilt, bending and squeeze open."""
        plane = (unknowns[: self.count] @ self.along)[:, None]
        plane = plane + (unknowns[self.count] * self.y)[None, :]
        field = np.empty(self.shape)
        field[0] = plane
        np.subtract(-unknowns[self.count + 1], plane, out=field[1])
        return field

    def _squares(self, weight: Array) -> Array:
        """Return the products of all unknowns with one another, weighted place by place."""
        sums = self._sums(weight, 3)
        both, roof = sums[0] + sums[1], sums[1]
        count = self.count
        squares = np.empty((count + 2, count + 2))
        squares[self.pairs] = self.products @ both[:, 0]
        squares[self.pairs[1], self.pairs[0]] = squares[self.pairs]
        squares[:count, count] = squares[count, :count] = self.along @ both[:, 1]
        squares[count, count] = both[:, 2].sum()
        squares[:count, count + 1] = squares[count + 1, :count] = self.along @ roof[:, 0]
        squares[count, count + 1] = squares[count + 1, count] = roof[:, 1].sum()
        squares[count + 1, count + 1] = roof[:, 0].sum()
        squares[np.diag_indices(count + 2)] *= 1 + 1e-10  # two or three places bear
        return squares

    def _balanced(self, pressure: Array, rounds: int) -> Array:
        """Return the pressure with force and moments put right, each place by its own share."""
        for _ in range(rounds):
            need = self.aim - self._loads(pressure)[self.strict]
            if float(np.abs(need).max()) <= _BALANCED * abs(float(self.aim[-1])):
                break
            carries = np.where(pressure < self.hardness, pressure, 0.0)
            squares = self._squares(carries)[np.ix_(self.strict, self.strict)]
            unknowns = np.zeros(self.count + 2)
            unknowns[self.strict] = _solved(squares, need)
            change = self._field(unknowns)
            np.clip(change, -0.9, 9.0, out=change)
            pressure = pressure + carries * change
            np.minimum(pressure, self.hardness, out=pressure)
        return pressure

    # the search

    def evenly(self) -> Array:
        """Return the force spread evenly on all that meets."""
        pressure = np.where(self.gap < _FAR_IN, self.force / (self.area * self.gap[0].size), 0.0)
        return self._balanced(pressure, 20)

    def starts(self, start: Seat | None) -> Iterator[Array | None]:
        """Yield pressures to start from, the likeliest first."""
        yield self.shifted(start)
        yield self.evenly()

    def on_few_places(self) -> Seat | None:
        """Return the seat where few places bear; None where many do."""
        found = press_few(search=self, points=first_touch(faces=self.faces).points)
        if found is None:
            return None
        plane = np.zeros(self.count + 2)
        plane[self.strict] = found[1]
        return self.settled(found[0], self.gap_of(*found), plane, 0)

    def columns_at(self, places: NDArray[np.int64]) -> Array:
        """Return what 1 psi at each place does to each unknown."""
        sign = 1.0 - 2.0 * places[:, 0]
        columns = np.empty((len(places), self.count + 2))
        columns[:, : self.count] = (self.along[:, places[:, 1]] * sign).T
        columns[:, self.count] = self.y[places[:, 2]] * sign
        columns[:, self.count + 1] = -places[:, 0]
        return columns

    def gap_of(self, pressure: Array, plane: Array) -> Array:
        """Return the gaps under a pressure, on a plane given by its strict unknowns."""
        unknowns = np.zeros(self.count + 2)
        unknowns[self.bends] = self.bending * self._loads(pressure)[self.bends]
        unknowns[self.strict] = plane
        gap: Array = self._turned(pressure, self.kernel) + self.gap + self._field(unknowns)
        return gap

    def shifted(self, start: Seat | None) -> Array | None:
        """Return the pressure of an earlier answer, brought to the force."""
        if start is None:
            return None
        pressure = np.zeros(self.shape)
        rows = min(self.rows, start.floor_pressure_psi.shape[0])
        pressure[0, :rows] = start.floor_pressure_psi[:rows]
        pressure[1, :rows] = start.roof_pressure_psi[:rows]
        if (pressure > 0).reshape(2, -1).sum(axis=1).min() < 3:
            return None
        return self._balanced(pressure * (self.force / start.normal_force_lbf), 20)

    def solve(self, pressure: Array, close_enough: float) -> Seat | None:
        """Return the seat, its gap closed within `close_enough`; None if it does not settle."""
        sinking, loads = self._turned(pressure, self.kernel), self._loads(pressure)
        move: Array | None = None
        rest_before = np.zeros(0)
        reach, failed, plain = _FIRST_REACH, 0, False
        steps = 0
        while True:
            steps += 1
            if steps > _MOST_STEPS:
                return None
            unknowns = np.zeros(self.count + 2)
            unknowns[self.bends] = self.bending * loads[self.bends]
            gap = sinking + self.gap
            gap += self._field(unknowns)
            free = (pressure > 0) & (pressure < self.hardness)
            bears = free.astype(np.float64)
            plane = np.zeros(self.count + 2)
            squares = self._squares(bears)[np.ix_(self.strict, self.strict)]
            plane[self.strict] = _solved(squares, -self._loads(gap * bears)[self.strict])
            gap += self._field(plane)
            may = free | ((pressure <= 0) & (gap < 0)) | ((pressure >= self.hardness) & (gap > 0))
            works = may.astype(np.float64)
            rest = gap * works
            left = float(np.vdot(rest, rest)) / max(float(bears.sum()), 1.0)
            mean = float(np.vdot(sinking, pressure)) * self.area / (2 * self.force)
            off = float(np.abs(self.aim - loads[self.strict]).max())
            if off <= 10 * _BALANCED_AT_END * abs(self.aim[-1]) and left**0.5 < self.best[0] * mean:
                self.best = (left**0.5 / mean, (pressure, gap, plane, steps))
            if left**0.5 <= close_enough * mean and off <= _BALANCED_AT_END * abs(self.aim[-1]):
                break
            toward = self._steepest(rest) / reach if plain else self._toward(rest, works)
            downhill = toward
            if move is not None:
                change = rest - rest_before
                along = float(np.vdot(move, change))
                if along > 0:
                    again = float(np.vdot(toward, change)) / along
                    mixed = toward - min(max(again, 0.0), 1.0) * move * works
                    fall = float(np.vdot(rest, toward))
                    if float(np.vdot(rest, mixed)) > 0.2 * fall:
                        downhill = mixed
            tried = pressure - reach * downhill
            np.clip(tried, 0.0, self.hardness, out=tried)
            tried = self._balanced(tried, 6)
            move = tried - pressure
            move_sinking, move_loads = self._turned(move, self.kernel), self._loads(move)
            slope = float(np.vdot(gap, move))
            curve = float(np.vdot(move, move_sinking))
            curve += float(self.bending @ move_loads[self.bends] ** 2)
            far = -slope / curve if curve > 0 else 0.0  # where the work along the move is least
            if far <= 0:  # clipping has thrown the balance: put it right, and go on with less
                failed += 1
                if failed > _MOST_FAILED:
                    return None
                reach, move, plain = max(0.3 * reach, _LEAST_REACH), None, not plain
                pressure = self._balanced(pressure if plain else tried, 20)
                sinking, loads = self._turned(pressure, self.kernel), self._loads(pressure)
                continue
            reach = min(max(reach * min(max(far, 0.3), 2.0), _LEAST_REACH), _MOST_REACH)
            if far < 1:
                move, move_sinking, move_loads = (
                    far * move,
                    far * move_sinking,
                    far * move_loads,
                )
            pressure = pressure + move
            sinking, loads = sinking + move_sinking, loads + move_loads
            rest_before, plain = rest, False
        return self.settled(pressure, gap, plane, steps)

    def _steepest(self, rest: Array) -> Array:
        """Return the gap that is left as pressure, as far as it goes down best; slow but sure."""
        sinking = self._turned(rest, self.kernel)
        return rest * (float(np.vdot(rest, rest)) / max(float(np.vdot(rest, sinking)), 1e-300))

    def _toward(self, rest: Array, works: Array) -> Array:
        """Return the gap that is left, turned into pressure by 1/K within force and moments."""
        squares = self._squares(works)
        bends = np.arange(2, self.count)
        if bends.size:  # the shapes give: only part of what bends the key is taken out
            size = np.diag(squares)[bends]
            share = np.sqrt(1 + self.softness * self.bending * size) - 1
            squares[bends, bends] += size / np.maximum(share, 1e-12)
        inverse = np.linalg.inv(squares)

        def within(field: Array) -> Array:
            out = self._field(inverse @ self._loads(field))
            out *= works
            return np.asarray(field - out)

        better = self._turned(within(rest), self.better)
        better *= works
        return within(better)

    def settled(self, pressure: Array, gap: Array, plane: Array, steps: int) -> Seat:
        """Return the seat of a pressure with its gaps and its plane."""
        force = float(pressure[1].sum()) * self.area
        loads = self._loads(pressure) * self.area
        flat = pressure >= self.hardness
        set_in = np.where(flat, np.maximum(-gap, 0.0), 0.0)[:, : self.rows]
        shown = np.where(pressure > 0, 0.0, np.maximum(gap, 0.0))[:, : self.rows]
        ring = self.bodies.ring.opening_in(force)
        return Seat(
            normal_force_lbf=force,
            squeeze_in=float(plane[self.count + 1]) + ring,
            ring_in=ring,
            lift_in=float(plane[0]),
            pitch_rad=float(plane[1]) / self.x_scale,
            roll_rad=float(plane[self.count]) / self.y_scale,
            floor_gap_in=shown[0],
            roof_gap_in=shown[1],
            floor_pressure_psi=pressure[0, : self.rows],
            roof_pressure_psi=pressure[1, : self.rows],
            floor_set_in=set_in[0],
            roof_set_in=set_in[1],
            unbalance=(
                float(loads[0]),
                float(loads[1]) * self.x_scale,
                float(loads[self.count]) * self.y_scale,
            ),
            steps=steps,
        )


def _solved(matrix: Array, right: Array) -> Any:
    try:
        return np.linalg.solve(matrix, right)
    except np.linalg.LinAlgError:  # all that bears lies in one line
        return np.linalg.lstsq(matrix, right, rcond=None)[0]
