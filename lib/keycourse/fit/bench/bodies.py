"""What gives way when a key is pressed: the key, the steel behind its faces, the hub's ring.

A face that carries p cos(qx x) cos(qy y) sinks by a multiple of the same wave. The multiples
are the kernel here, in inches per psi, for all waves that an even grid can show, so that a
cosine transform turns pressure into sinking. Beside the kernel there are few numbers: how
easily the key bends as a beam, and how far the hub's ring opens. ``contact.py`` uses all three.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.special import k0

from taperkey import practice
from taperkey.checks import require_non_negative, require_positive
from taperkey.formulas.hubring import (
    CLOSE,
    LOOSE,
    ring_closing_in_per_lbf,
    ring_opening_in_per_lbf,
)

__all__ = ["Bodies", "Ring", "beam_shapes", "half_space", "key_between", "key_in_slot"]

Array = NDArray[np.float64]

_MODULUS_PSI = practice.value("steel_modulus")
_POISSON = practice.value("steel_poisson")
#: E / (1 - nu^2), of a wide body [psi]
_PLANE_PSI = _MODULUS_PSI / (1 - _POISSON**2)
_SHEAR_PSI = _MODULUS_PSI / (2 * (1 + _POISSON))
#: part of a rectangular section that carries shear
_SHEAR_SHARE = 5 / 6
#: roots of cosh b cos b = 1, a beam free at both ends
_BEAM_ROOTS = (4.730040745, 7.853204624, 10.99560784, 14.13716549)


@dataclass(frozen=True, kw_only=True)
class Ring:
    """How the hub's ring opens under the force of the key.

    Parameters
    ----------
    loose_in_per_lbf, close_in_per_lbf : float
        Opening while the shaft is loose in the bore, and once its sides are held [in/lbf].
    close_from_lbf : float
        Force at which the sides of the bore come to the shaft [lbf].
    """

    loose_in_per_lbf: float = 0.0
    close_in_per_lbf: float = 0.0
    close_from_lbf: float = math.inf

    def opening_in(self, force_lbf: float) -> float:
        """Return how far the ring is open under a force [in]."""
        free = min(force_lbf, self.close_from_lbf)
        return self.loose_in_per_lbf * free + self.close_in_per_lbf * (force_lbf - free)


@dataclass(frozen=True, kw_only=True, eq=False)
class Bodies:
    """Everything that gives way, on one grid.

    Parameters
    ----------
    length_in, width_in : float
        Of the faces, above 0 [in].
    kernel_in_per_psi : ndarray, shape (m, n)
        Sinking of one face for a cosine wave of pressure on it [in/psi].
    bending_in_per_lbf : ndarray, shape (k,)
        Deflection of the key in each of its beam shapes for 1 lbf in that shape [in/lbf].
    ring : Ring
        The hub's ring.
    """

    length_in: float
    width_in: float
    kernel_in_per_psi: Array
    bending_in_per_lbf: Array
    ring: Ring

    @property
    def patch_area_in2(self) -> float:
        """Area of one grid patch [in2]."""
        return self.length_in * self.width_in / self.kernel_in_per_psi.size


def _waves(
    length_in: float, width_in: float, length_count: int, width_count: int
) -> tuple[Array, Array]:
    """Return all wave numbers, and those along only [rad/in]."""
    along = np.pi * np.arange(length_count) / length_in
    across = np.pi * np.arange(width_count) / width_in
    both: Array = np.hypot(along[:, None], across[None, :])
    return both, np.asarray(along, dtype=np.float64)


def _deep(wave: Array) -> Array:
    """Sinking of a deep body, 2 / (E' q); nothing for q = 0, which has no answer."""
    return np.divide(2 / _PLANE_PSI, wave, out=np.zeros_like(wave), where=wave > 0)


def _half_key(wave: Array, half_height_in: float) -> Array:
    """Sinking of a key's face against its middle when both faces carry the same."""
    depth = np.clip(wave * half_height_in, 1e-9, 20.0)
    share = 2 * np.sinh(depth) ** 2 / (np.sinh(2 * depth) + 2 * depth)
    return np.where(wave > 0, _deep(wave) * share, half_height_in / _PLANE_PSI)


def _bore_side(wave: Array, along: Array, length_in: float, width_in: float) -> Array:
    """Sinking of a deep body that is loaded on a strip as wide as the key, its mean across."""
    kernel = _deep(wave)
    for i, q in enumerate(along):
        if i:
            far = min(width_in, 40 / q)
            mean, _ = quad(lambda s, q=q: (width_in - s) * k0(q * s), 0, far)
            kernel[i, 0] = 4 / (math.pi * _PLANE_PSI * width_in) * mean
    kernel[0, 0] = _rectangle_mean(length_in, width_in)
    return kernel


def _rectangle_mean(length_in: float, width_in: float) -> float:
    """Mean sinking of an evenly loaded rectangle on a deep body [in/psi].

    The four-fold integral of 1/r between two points of the rectangle, in closed form.
    """
    a, b = length_in, width_in
    r = math.hypot(a, b)
    whole = 2 * a * b * (a * math.asinh(b / a) + b * math.asinh(a / b))
    whole += 2 / 3 * (a**3 + b**3 - r**3)
    return whole / (math.pi * _PLANE_PSI * a * b)


def beam_shapes(place: Array) -> Array:
    """Return the first four shapes of a beam free at both ends, mean square 1.

    Parameters
    ----------
    place : ndarray, shape (m,)
        Places along the beam as parts of its length, 0 to 1.

    Returns
    -------
    ndarray, shape (4, m)
        A shape in each row.

    Source
    ------
    Any text on vibration of beams; from memory.
    """
    rows = []
    for root in _BEAM_ROOTS:
        ratio = (math.cosh(root) - math.cos(root)) / (math.sinh(root) - math.sin(root))
        at = root * place
        rows.append(np.cosh(at) + np.cos(at) - ratio * (np.sinh(at) + np.sin(at)))
    return np.array(rows)


def half_space(*, length_in: float, width_in: float, length_count: int, width_count: int) -> Bodies:
    """Return two deep bodies under faces that go on as in a mirror at every edge.

    u = 2 p / (E' q)

    Parameters
    ----------
    length_in, width_in : float
        Of the faces, above 0 [in].
    length_count, width_count : int
        Strips along and across.

    Returns
    -------
    Bodies
        Without bending and ring; an even pressure sinks by nothing.

    Raises
    ------
    ValueError
        If a size is not above 0.

    Assumptions
    -----------
    Steel, no friction on the faces.

    Examples
    --------
    A wave of 2 in, q = 3.14/in, sinks by 2 / (32.97e6 x 3.14) in for 1 psi:

    >>> bodies = half_space(length_in=1.0, width_in=1.0, length_count=8, width_count=1)
    >>> f"{bodies.kernel_in_per_psi[1, 0]:.3e}"
    '1.931e-08'

    Source
    ------
    Johnson, Contact Mechanics, 1985, section 13.2 (wavy surface); from memory.
    """
    require_positive("length of the face", length_in, "in")
    require_positive("width of the face", width_in, "in")
    wave, _ = _waves(length_in, width_in, length_count, width_count)
    return Bodies(
        length_in=length_in,
        width_in=width_in,
        kernel_in_per_psi=_deep(wave),
        bending_in_per_lbf=np.zeros(0),
        ring=Ring(),
    )


def key_between(
    *,
    length_in: float,
    width_in: float,
    height_in: float,
    length_count: int,
    width_count: int,
    ring: Ring | None = None,
    bends: bool = True,
) -> Bodies:
    """Return a key between two deep bodies, loaded on a strip as wide as it bears.

    u = 2 p f(q c) / (E' q) + bore side, f(x) = 2 sinh^2 x / (sinh 2x + 2x), c half the height

    Parameters
    ----------
    length_in, width_in : float
        Of the faces that bear, above 0 [in].
    height_in : float
        Mean height of the key, above 0 [in].
    length_count, width_count : int
        Strips along and across.
    ring : Ring, optional
        The hub's ring; a stiff one when left out.
    bends : bool
        Whether the key bends as a beam.

    Returns
    -------
    Bodies
        Of steel throughout.

    Raises
    ------
    ValueError
        If a size is not above 0.

    Assumptions
    -----------
    The same pressure above and below for the squeeze of the key; the difference
    bends it, in four shapes with their shear. The faces go on as in a mirror at
    the edges. No friction on the faces.

    Examples
    --------
    An even 1,000 psi squeezes half of a 1 in key by 1,000 x 0.5 / 32.97e6 in, and the
    steel behind it, 8 in by 1.5 in, by more:

    >>> bodies = key_between(length_in=8, width_in=1.5, height_in=1, length_count=64,
    ...     width_count=12)
    >>> f"{1000 * bodies.kernel_in_per_psi[0, 0]:.3e}"
    '9.998e-05'

    Source
    ------
    Layer: Johnson, Contact Mechanics, 1985, section 5.8, from memory. Strip on a
    deep body and key bending: derived here from the point load and the beam.
    """
    require_positive("length of the face", length_in, "in")
    require_positive("width of the face", width_in, "in")
    require_positive("height of the key", height_in, "in")
    wave, along = _waves(length_in, width_in, length_count, width_count)
    kernel = _half_key(wave, height_in / 2) + _bore_side(wave, along, length_in, width_in)
    roots = np.array(_BEAM_ROOTS) / length_in
    stiff = _MODULUS_PSI * width_in * height_in**3 / 12
    shear = _SHEAR_SHARE * _SHEAR_PSI * width_in * height_in
    bending = 1 / (stiff * roots**4 * length_in) + 1 / (shear * roots**2 * length_in)
    kernel.flags.writeable = False
    return Bodies(
        length_in=length_in,
        width_in=width_in,
        kernel_in_per_psi=kernel,
        bending_in_per_lbf=bending if bends else np.zeros(0),
        ring=Ring() if ring is None else ring,
    )


@functools.lru_cache(maxsize=64)
def key_in_slot(
    *,
    length_in: float,
    width_in: float,
    height_in: float,
    length_count: int,
    width_count: int,
    hub: tuple[float, float, float, float],
    clearance_in: float,
) -> Bodies:
    """Return a key in the slot of a hub, the hub's ring with it.

    opening = loose N until closing N = clearance, from there close

    Parameters
    ----------
    length_in, width_in, height_in : float
        Of the key's faces [in].
    length_count, width_count : int
        Strips along and across.
    hub : tuple of float
        Bore, outside diameter, depth and width of its keyway [in].
    clearance_in : float
        Bore less shaft diameter, 0 or more [in].

    Returns
    -------
    Bodies
        As :func:`key_between`, with the ring.

    Raises
    ------
    ValueError
        If a size is outside its range.

    Assumptions
    -----------
    The hub is as long as the key, and its ring opens evenly along it.

    Source
    ------
    `taperkey.formulas.hubring`.
    """
    require_non_negative("clearance of the shaft", clearance_in, "in")
    bore, outside, depth, width = hub
    plain = {"outside_in": outside, "bore_in": bore, "length_in": length_in}

    def opening(shaft: str) -> float:
        return ring_opening_in_per_lbf(
            **plain, keyway_depth_in=depth, key_width_in=width, shaft=shaft
        )

    ring = Ring(
        loose_in_per_lbf=opening(LOOSE),
        close_in_per_lbf=opening(CLOSE),
        close_from_lbf=clearance_in / ring_closing_in_per_lbf(**plain),
    )
    return key_between(
        length_in=length_in,
        width_in=width_in,
        height_in=height_in,
        length_count=length_count,
        width_count=width_count,
        ring=ring,
    )
