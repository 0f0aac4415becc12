"""The contact where few places bear: exact, one set of places after the other.

Under a light push a key may stand on a handful of places. Then the search of ``contact.py`` may
take away a place without which the rest cannot balance. Here the set of bearing places is built up
from those of first touch: on a set the pressures come from one linear system; where one of them
would pull, the way is gone up to there and the place is dropped; where metal overlaps, places join.
The work falls at every turn, so it comes to an end.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["MOST_PLACES", "kernel_table", "press_few"]

Array = NDArray[np.float64]
Places = NDArray[np.int64]

MOST_PLACES = 500
_MOST_TURNS = 2000
_JOIN_AT_ONCE = 12
_ROUNDING = 1e-10


@functools.lru_cache(maxsize=16)
def _table(kernel: bytes, shape: tuple[int, int]) -> Array:
    waves = np.zeros((2 * shape[0], shape[1] + 1))
    part = np.frombuffer(kernel).reshape(shape)
    waves[: shape[0], : shape[1]] = part
    waves[shape[0] + 1 :, : shape[1]] = part[:0:-1]
    return np.fft.irfft2(waves, s=(2 * shape[0], 2 * shape[1]))


def kernel_table(kernel: Array) -> Array:
    """Return the sinking at a distance from a pressed place, without the mirrors.

    Parameters
    ----------
    kernel : ndarray, shape (m, n)
        Sinking for each cosine wave [in/psi].

    Returns
    -------
    ndarray, shape (2 m, 2 n)
        Sinking at each distance in places, for 1 psi on one place [in/psi].
    """
    return _table(np.ascontiguousarray(kernel).tobytes(), (kernel.shape[0], kernel.shape[1]))


def _sinking(table: Array, at: Places, of: Places) -> Array:
    """Return the sinking at places for 1 psi on others; rows (side, along, across)."""
    total = np.zeros((len(at), len(of)))
    i, j = at[:, 1][:, None], at[:, 2][:, None]
    k, m = of[:, 1][None, :], of[:, 2][None, :]
    for along in (np.abs(i - k), i + k + 1):
        for across in (np.abs(j - m), j + m + 1):
            total += table[along, across]
    return np.asarray(np.where(at[:, 0][:, None] == of[:, 0][None, :], total, 0.0))


def press_few(
    *, search: Any, points: Sequence[tuple[str, int, int]], overlap_in: float = 1e-9
) -> tuple[Array, Array] | None:
    """Return pressure and plane of the search's faces and force; None where many places bear.

    Parameters
    ----------
    search : object
        The search of ``contact.py``: its gap, kernel, aim, columns and bending.
    points : sequence of (str, int, int)
        Places of first touch: "floor" or "roof", strip along, strip across.
    overlap_in : float
        Overlap that may be left beside the bearing places [in].

    Returns
    -------
    tuple of ndarray, shapes (2, m, n) and (4,), or None
        Pressure, in balance [psi], and the strict unknowns.

    Source
    ------
    Primal active sets for a quadratic program, any text on optimization; written anew here.
    """
    table = kernel_table(search.kernel)
    places = np.array([[int(side == "roof"), i, j] for side, i, j in points])
    columns = search.columns_at(places)
    pressure = np.linalg.lstsq(columns[:, search.strict].T, search.aim, rcond=None)[0]
    pressure = np.maximum(pressure, 0.0)
    stiff = _sinking(table, places, places)
    join = _JOIN_AT_ONCE
    for _ in range(_MOST_TURNS):
        columns = search.columns_at(places)
        strict, bends = columns[:, search.strict], columns[:, search.bends]
        work = stiff + (bends * search.bending) @ bends.T
        size, count = len(places), len(search.aim)
        system = np.zeros((size + count, size + count))
        system[:size, :size] = work
        system[:size, size:] = strict
        system[size:, :size] = strict.T
        gaps = search.gap[places[:, 0], places[:, 1], places[:, 2]]
        try:
            found = np.linalg.solve(system, np.concatenate([-gaps, search.aim]))
        except np.linalg.LinAlgError:
            found = np.linalg.lstsq(system, np.concatenate([-gaps, search.aim]), rcond=None)[0]
        best = found[:size]
        pulls = best < -_ROUNDING * np.abs(best).max()
        if pulls.any():
            way = np.where(pulls, pressure / np.maximum(pressure - best, 1e-300), np.inf)
            step = float(way.min())
            pressure = pressure + step * (best - pressure)
            keep = ~(pulls & (way <= step * (1 + 1e-12)))
            join = _JOIN_AT_ONCE if step > 0 else 1
            if keep.all():
                return None
            places, pressure = places[keep], np.maximum(pressure[keep], 0.0)
            stiff = stiff[np.ix_(keep, keep)]
            continue
        pressure = np.maximum(best, 0.0)
        whole = np.zeros(search.gap.shape)
        whole[places[:, 0], places[:, 1], places[:, 2]] = pressure
        gap = search.gap_of(whole, found[size:])
        gap[places[:, 0], places[:, 1], places[:, 2]] = 0.0
        deep = np.argsort(gap, axis=None)[:join]
        deep = deep[gap.ravel()[deep] < -overlap_in]
        if not deep.size:
            return (whole, found[size:]) if pressure.max() < search.hardness else None
        if size + deep.size > MOST_PLACES:
            return None
        more = np.stack(np.unravel_index(deep, gap.shape), axis=1)
        beside = _sinking(table, more, places)
        stiff = np.block([[stiff, beside.T], [beside, _sinking(table, more, more)]])
        places = np.concatenate([places, more])
        pressure = np.concatenate([pressure, np.zeros(len(more))])
    return None
