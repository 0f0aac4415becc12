"""What a file takes off: a slightly crowned file resting on the metal."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from keycourse.fit.bench.keyblank import KeyFaces
from taperkey.checks import require_in, require_non_negative, require_range

__all__ = ["CUT_PER_STROKE_IN3", "FACES", "file_spot"]

Array = NDArray[np.float64]

CUT_PER_STROKE_IN3 = 1.0e-4
"""Metal taken by one stroke of a clean file; this bench's own model [in3].

A stroke is some 100 in-lbf of work (15 lbf over 7 in), and steel takes about 1,000,000 in-lbf for
each cubic inch that fine teeth cut off it; both from memory.
"""

DEEPEST_VISIT_IN = 0.0025
"""How far a file goes down on one spot before it is moved on; this bench's own model [in]."""

FACES = ("top", "bottom")
"""Faces of the key that bear: top in the hub, bottom on the shaft."""

_HALF_LENGTH_IN = 1.0
_HALF_WIDTH_IN = 0.75
_CROWN_ALONG_IN = 400.0
_CROWN_ACROSS_IN = 800.0
_EDGE_LIFT_IN = 0.004


def file_spot(
    *,
    key: KeyFaces,
    face: str,
    u_in: float,
    y_in: float,
    volume_in3: float,
    deepest_in: float = DEEPEST_VISIT_IN,
) -> tuple[KeyFaces, float]:
    """Return the key after filing one spot, and the volume that came off.

    metal <- min(metal, H - d + x^2/2R1 + y^2/2R2), H where the file first rests, d so that
    the volume is what the strokes take

    Parameters
    ----------
    key : KeyFaces
        Fields of shape (k, n) [in].
    face : {"top", "bottom"}
        Which face.
    u_in : float
        Middle of the spot from the large end, on the key [in].
    y_in : float
        Middle of the spot from the middle of the width, on the key [in].
    volume_in3 : float
        What the strokes can take, 0 or more [in3].
    deepest_in : float
        How far the file goes down from where it first rests, at most 0.01 [in].

    Returns
    -------
    tuple of KeyFaces and float
        New faces, and volume removed; less than the strokes can take where
        the file was down as far as it goes [in3].

    Raises
    ------
    ValueError
        If the face is not known or the spot is off the key.

    Assumptions
    -----------
    The file lies along the face's own slope. Crown radii 400 in along and
    800 in across, over 2 in by 1-1/2 in, edges rounded. A narrow spot goes down
    fast, a wide one slowly: the same metal comes off.

    Examples
    --------
    >>> from keycourse.fit.bench.keyblank import KeyParameters, draw_key
    >>> from keycourse.measure.bench.slot import SlotParameters, draw_slot
    >>> key, _ = draw_key(slot=draw_slot(parameters=SlotParameters(), seed=1),
    ...     parameters=KeyParameters(form_error_in=0.0, waviness_in=0.0), seed=1)
    >>> filed, off = file_spot(key=key, face="top", u_in=4.0, y_in=0.0, volume_in3=0.0003)
    >>> round(off, 6), round(float((key.top_in - filed.top_in).max()), 4)
    (0.0003, 0.0004)

    Source
    ------
    Derived here; the crown of a file is common practice. Metal a stroke: own model.
    """
    require_in("face", face, FACES)
    half = float(key.y_in[-1]) + 0.5 * float(key.y_in[1] - key.y_in[0])
    require_range("spot along the key", u_in, 0.0, key.length_in, "in")
    require_range("spot across the key", y_in, -half, half, "in")
    require_non_negative("volume of the cut", volume_in3, "in3")
    require_range("depth of the cut", deepest_in, 0.0, 0.01, "in")
    u = key.u_in()
    first, last = np.searchsorted(u, (u_in - _HALF_LENGTH_IN, u_in + _HALF_LENGTH_IN))
    left, right = np.searchsorted(key.y_in, (y_in - _HALF_WIDTH_IN, y_in + _HALF_WIDTH_IN))
    along = (u[first:last] - u_in)[:, None]
    across = (key.y_in[left:right] - y_in)[None, :]
    file = along**2 / (2 * _CROWN_ALONG_IN) + across**2 / (2 * _CROWN_ACROSS_IN)
    file = file + _edge(along / _HALF_LENGTH_IN) + _edge(across / _HALF_WIDTH_IN)
    slope = -key.taper_in_per_in if face == "top" else 0.0
    field = key.top_in if face == "top" else -key.bottom_in
    window = field[first:last, left:right] - slope * along
    under = window - file
    rest = float(under.max())
    patch = key.spacing_in * float(key.y_in[1] - key.y_in[0])
    depth = min(_depth(rest - under, volume_in3 / patch), deepest_in)
    filed = np.minimum(window, rest - depth + file)
    off = float((window - filed).sum()) * patch
    changed = field.copy()
    changed[first:last, left:right] = filed + slope * along
    if face == "top":
        return replace(key, top_in=changed), off
    return replace(key, bottom_in=-changed), off


def _depth(room: Array, amount: float) -> float:
    """Return how far the file goes down until the depths below it add up to an amount."""
    low = np.sort(room, axis=None)
    have = np.arange(low.size) * low - np.concatenate([[0.0], np.cumsum(low)[:-1]])
    count = int(np.searchsorted(have, amount, side="right"))
    return float((amount + low[:count].sum()) / count)


def _edge(place: Array) -> Array:
    """Round the edge of the file: lift that starts at 0.7 of the half size."""
    return np.asarray(_EDGE_LIFT_IN * np.clip((np.abs(place) - 0.7) / 0.3, 0.0, None) ** 2)
