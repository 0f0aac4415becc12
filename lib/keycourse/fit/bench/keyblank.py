"""The key as it comes from the machine: height, taper and its own two surfaces.

The key coordinate u runs from the large end.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coursework.draws import Draws
from keycourse.measure.bench.slot import SlotGrid, TrueSlot, draw_surface
from taperkey.checks import require_non_negative, require_positive, require_range
from taperkey.formulas.key import FITTING_ALLOWANCE_IN

__all__ = ["KeyFaces", "KeyParameters", "draw_key"]

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class KeyParameters:
    """What is asked of a key blank.

    Parameters
    ----------
    oversize_in : float
        Height left on for fitting and drive, -0.02 to 0.05 [in].
    taper_in_per_in : float
        Taper cut on the key, above 0 [in/in].
    taper_error_in : float
        Error of the taper, as height over the length of the key; positive
        leaves the small end high [in].
    form_error_in, waviness_in : float
        Peak to valley of each face, 0 or more [in].
    width_in : float
        Width of the key, above 0 [in].
    edge_ease_in : float
        Chamfer on the edges, 0 or more [in].
    """

    oversize_in: float = FITTING_ALLOWANCE_IN
    taper_in_per_in: float = 1 / 96
    taper_error_in: float = 0.0
    form_error_in: float = 0.0003
    waviness_in: float = 0.0001
    width_in: float = 1.494
    edge_ease_in: float = 0.045

    def __post_init__(self) -> None:
        """Refuse a key that cannot be."""
        require_range("height left for fitting", self.oversize_in, -0.02, 0.05, "in")
        require_positive("taper of the key", self.taper_in_per_in, "in/in")
        require_range("taper error", self.taper_error_in, -0.03, 0.03, "in")
        require_non_negative("form error of the key", self.form_error_in, "in")
        require_non_negative("waviness of the key", self.waviness_in, "in")
        require_positive("key width", self.width_in, "in")
        require_non_negative("eased edge", self.edge_ease_in, "in")


@dataclass(frozen=True, kw_only=True)
class KeyFaces:
    """Both faces of a key on the grid of its slot.

    Parameters
    ----------
    spacing_in : float
        Strip length along, the same as the slot's [in].
    y_in : ndarray, shape (n,)
        Places across [in].
    bottom_in : ndarray, shape (k, n)
        Underside, from the large end; below 0 where metal is gone [in].
    top_in : ndarray, shape (k, n)
        Top above the nominal underside [in].
    taper_in_per_in : float
        Nominal taper [in/in].
    """

    spacing_in: float
    y_in: Array
    bottom_in: Array
    top_in: Array
    taper_in_per_in: float

    @property
    def width_in(self) -> float:
        """Width of the face that bears [in]."""
        return float(self.y_in[1] - self.y_in[0]) * self.y_in.size

    @property
    def length_in(self) -> float:
        """Length of the key [in]."""
        return self.spacing_in * int(self.top_in.shape[0])

    def u_in(self) -> Array:
        """Return the middle of each strip, from the large end [in]."""
        return _middles_in(self.top_in.shape[0], self.spacing_in)


@functools.lru_cache(maxsize=64)
def _middles_in(count: int, spacing_in: float) -> Array:
    middles: Array = np.linspace(0.5, count - 0.5, count) * spacing_in
    middles.flags.writeable = False  # everybody gets the same one
    return middles


def draw_key(
    *,
    slot: TrueSlot,
    parameters: KeyParameters,
    seed: int | str,
    length_count: int = 256,
    width_count: int = 48,
) -> tuple[KeyFaces, SlotGrid]:
    """Return a key blank for a slot, and the slot on the same grid.

    top(u) = mouth height + oversize - taper u + taper error u/L + surface

    Parameters
    ----------
    slot : TrueSlot
        The slot; its mouth height sets the height of the key.
    parameters : KeyParameters
        What is asked of the key.
    seed : int or str
        Same seed, same surface.
    length_count, width_count : int
        Strips along and across.

    Returns
    -------
    tuple of KeyFaces and SlotGrid
        Key fields of shape (length_count, width_count) [in].

    Raises
    ------
    ValueError
        If a value is outside its range, or the key is wider than the slot.

    Assumptions
    -----------
    Key as long as the slot. Its height is taken at the middle of the slot's
    own line, so the asked oversize is the mean metal to be removed.

    Source
    ------
    Derived here; what is left for fitting: practice.csv, fitting_allowance.
    """
    width = slot.bearing_width_in()
    require_range(
        "key width", parameters.width_in, 0.5 * width, width, "in", "Fit the sides first."
    )
    half = parameters.width_in / 2
    flat_half = half - parameters.edge_ease_in
    require_positive("half width left on the face", flat_half, "in", "Ease the edges less.")
    margin = min(parameters.edge_ease_in, 0.5 * half)
    # the grid ends where the face ends; a chamfer smaller than the fillet rides on the fillet
    grid = slot.grid(
        length_count=length_count, width_count=width_count, ease_in=width / 2 - half + margin
    )
    spacing = slot.parameters.length_in / length_count
    u = (np.linspace(0.5, length_count - 0.5, length_count) * spacing)[:, None]
    y = grid.y_in[None, :]
    length = slot.parameters.length_in
    true_mouth, true_taper = slot.line()
    middle = true_mouth - true_taper * length / 2 + parameters.taper_in_per_in * length / 2
    surfaces = [
        draw_surface(
            length_in=length,
            width_in=width,
            form_error_in=parameters.form_error_in,
            waviness_in=parameters.waviness_in,
            draws=Draws(f"{seed}:{face}"),
        ).height_in(u, y)
        for face in ("bottom", "top")
    ]
    top = middle + parameters.oversize_in - parameters.taper_in_per_in * u
    top = top + parameters.taper_error_in * (u / length - 0.5) + surfaces[1]
    key = KeyFaces(
        spacing_in=spacing,
        y_in=grid.y_in,
        bottom_in=np.ascontiguousarray(-surfaces[0]),
        top_in=np.ascontiguousarray(top),
        taper_in_per_in=parameters.taper_in_per_in,
    )
    return key, grid
