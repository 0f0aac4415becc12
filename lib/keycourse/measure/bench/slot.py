"""The true slot: floor in the shaft, roof in the hub, as fields of height.

Directions: x runs inward from the mouth, y across the width from the middle,
z up from the nominal floor. The floor lies in the shaft, the roof in the hub.
The roof falls by the taper, so the opening gets lower going in; in a hub that
was turned around the taper is negative and the opening gets higher going in.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

from coursework.draws import Draws
from taperkey.arrays import np
from taperkey.checks import require_finite, require_non_negative, require_positive, require_range
from taperkey.formulas.measure import gap_at_angle_in

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = [
    "KEYWAY_AT_BOTTOM_RAD",
    "Field",
    "SlotGrid",
    "SlotParameters",
    "TrueSlot",
    "draw_slot",
    "draw_surface",
]

Array: TypeAlias = "NDArray[np.float64]"

KEYWAY_AT_BOTTOM_RAD = math.pi
"""Keyway turned to the bottom, counted from the line where hub and shaft touch [rad]."""


@dataclass(frozen=True, kw_only=True)
class SlotParameters:
    """What is asked of a slot; all lengths in inches.

    Parameters
    ----------
    length_in : float
        Length of the slot in the hub, mouth to far end, above 0 [in].
    mouth_height_in : float
        Nominal opening at the mouth with all clearance included, that is with
        the keyway at the bottom: the height that the key must fill [in].
    taper_in_per_in : float
        Loss of height per inch going in; negative for a reversed hub [in/in].
    hub_width_in, shaft_width_in : float
        Width of the slot in the hub and in the shaft, above 0 [in].
    diametral_clearance_in : float
        Bore less shaft diameter, 0 or more [in].
    form_error_in : float
        Long-wave error of each face, peak to valley, 0 or more [in].
    waviness_in : float
        Short-wave error of each face, peak to valley, 0 or more [in].
    cross_tilt_in : float
        Difference of the opening from one side wall to the other [in].
    high_spot_count : int
        Local high spots on each face, 0 or more.
    high_spot_height_in : float
        Greatest height of a high spot, 0 or more [in].
    burr_height_in : float
        Burr along the edge of the mouth, on the roof, 0 or more [in].
    bell_mouth_in, bell_length_in : float
        How much the roof opens at the mouth, and over what length [in].
    wear_step_in, wear_step_station_in : float
        Roof worn away by this much from the mouth to this station [in].
    corner_radius_in : float
        Radius in the corners of floor and roof, 0 or more [in].

    Source
    ------
    The list follows common practice in looking over a used slot.
    """

    length_in: float = 8.0
    mouth_height_in: float = 1.0
    taper_in_per_in: float = 1 / 96
    hub_width_in: float = 1.5
    shaft_width_in: float = 1.5
    diametral_clearance_in: float = 0.004
    form_error_in: float = 0.0012
    waviness_in: float = 0.0004
    cross_tilt_in: float = 0.0
    high_spot_count: int = 2
    high_spot_height_in: float = 0.0006
    burr_height_in: float = 0.0
    bell_mouth_in: float = 0.0
    bell_length_in: float = 0.5
    wear_step_in: float = 0.0
    wear_step_station_in: float = 0.0
    corner_radius_in: float = 0.03

    def __post_init__(self) -> None:
        """Refuse a slot that cannot be."""
        require_positive("slot length", self.length_in, "in")
        require_positive("mouth height", self.mouth_height_in, "in")
        require_range("taper", self.taper_in_per_in, -0.1, 0.1, "in/in")
        require_positive("hub slot width", self.hub_width_in, "in")
        require_positive("shaft slot width", self.shaft_width_in, "in")
        require_positive("bell mouth length", self.bell_length_in, "in")
        require_finite("cross tilt", self.cross_tilt_in, "in")
        for name, value in (
            ("clearance", self.diametral_clearance_in),
            ("form error", self.form_error_in),
            ("waviness", self.waviness_in),
            ("number of high spots", self.high_spot_count),
            ("height of high spots", self.high_spot_height_in),
            ("burr height", self.burr_height_in),
            ("bell mouth", self.bell_mouth_in),
            ("wear step", self.wear_step_in),
            ("station of the wear step", self.wear_step_station_in),
            ("corner radius", self.corner_radius_in),
        ):
            require_non_negative(name, value, "" if name.startswith("number") else "in")
        require_range(
            "corner radius",
            self.corner_radius_in,
            0.0,
            min(self.hub_width_in, self.shaft_width_in) / 2,
            "in",
        )
        low = self.mouth_height_in - abs(self.taper_in_per_in) * self.length_in
        require_positive(
            "lowest opening", low, "in", "Use a higher mouth, a shorter slot or less taper."
        )

    def to_dict(self) -> dict[str, Any]:
        """Return the parameters as plain numbers, ready for JSON."""
        return asdict(self)

    @classmethod
    def from_dict(cls, values: dict[str, Any]) -> SlotParameters:
        """Return the parameters that :meth:`to_dict` gave."""
        return cls(**values)


@dataclass(frozen=True, kw_only=True)
class Field:
    """A smooth field of height over x and y: plane, cosines and round bumps.

    Parameters
    ----------
    plane : tuple of float
        Height, slope along x and slope along y.
    waves : tuple of (float, float, float, float)
        Each: amplitude [in], wave number along x and y [rad/in], phase [rad].
    bumps : tuple of (float, float, float, float, float)
        Each: height [in], center x and y [in], half-width along x and y [in].

    Source
    ------
    Derived here; height = plane + sum a cos(kx x + ky y + phase)
    + sum h exp(-((x - x0)/sx)^2/2 - ((y - y0)/sy)^2/2).
    """

    plane: tuple[float, float, float] = (0.0, 0.0, 0.0)
    waves: tuple[tuple[float, float, float, float], ...] = ()
    bumps: tuple[tuple[float, float, float, float, float], ...] = ()

    def height_in(self, x_in: Any, y_in: Any) -> Array:
        """Return the height at x, y [in]; shapes as numpy broadcasts them."""
        x = np.asarray(x_in, dtype=np.float64)
        y = np.asarray(y_in, dtype=np.float64)
        total = self.plane[0] + self.plane[1] * x + self.plane[2] * y
        for amplitude, kx, ky, phase in self.waves:
            total = total + amplitude * np.cos(kx * x + ky * y + phase)
        for height, x0, y0, sx, sy in self.bumps:
            total = total + height * np.exp(-(((x - x0) / sx) ** 2) / 2) * np.exp(
                -(((y - y0) / sy) ** 2) / 2
            )
        return np.asarray(total, dtype=np.float64)


@dataclass(frozen=True, kw_only=True)
class SlotGrid:
    """Floor and roof on an even grid.

    Parameters
    ----------
    x_in : ndarray, shape (m,)
        Stations, middle of each strip, from the mouth [in].
    y_in : ndarray, shape (n,)
        Places across the bearing width, from the middle [in].
    floor_in, roof_in : ndarray, shape (m, n)
        Height of floor and roof above the nominal floor [in].
    """

    x_in: Array
    y_in: Array
    floor_in: Array
    roof_in: Array


@dataclass(frozen=True, kw_only=True)
class TrueSlot:
    """A drawn slot, known exactly; hidden from the apprentice.

    Parameters
    ----------
    parameters : SlotParameters
        What was asked.
    seed : int
        What was drawn.
    floor_error, roof_error : Field
        Error of each face, positive where metal stands into the opening.
    """

    parameters: SlotParameters
    seed: int
    floor_error: Field
    roof_error: Field

    def floor_in(self, x_in: Any, y_in: Any) -> Array:
        """Return the height of the floor at x, y above the nominal floor [in].

        Source
        ------
        Derived here; error field plus the corner fillets.
        """
        fillet = _fillet_in(y_in, self.parameters.shaft_width_in, self.parameters.corner_radius_in)
        return np.asarray(self.floor_error.height_in(x_in, y_in) + fillet, dtype=np.float64)

    def roof_in(self, x_in: Any, y_in: Any) -> Array:
        """Return the height of the roof at x, y with the keyway at the bottom [in].

        roof = mouth height - taper x - error - fillet + wear + bell mouth - burr

        Source
        ------
        Derived here.
        """
        p = self.parameters
        x = np.asarray(x_in, dtype=np.float64)
        roof = p.mouth_height_in - p.taper_in_per_in * x - self.roof_error.height_in(x_in, y_in)
        roof = roof - _fillet_in(y_in, p.hub_width_in, p.corner_radius_in)
        if p.wear_step_in > 0:
            roof = roof + p.wear_step_in / (1 + np.exp((x - p.wear_step_station_in) / 0.02))
        if p.bell_mouth_in > 0:
            roof = roof + p.bell_mouth_in * np.clip(1 - x / p.bell_length_in, 0.0, 1.0) ** 2
        if p.burr_height_in > 0:
            roof = roof - p.burr_height_in * np.exp(-((x / 0.03) ** 2))
        return np.asarray(roof, dtype=np.float64)

    def height_in(
        self, x_in: Any, y_in: Any = 0.0, angle_rad: float = KEYWAY_AT_BOTTOM_RAD
    ) -> Array:
        """Return the opening at x, y with the keyway at an angle.

        height = roof - floor - c + (c/2)(1 - cos angle)

        Parameters
        ----------
        x_in, y_in : float or ndarray
            Station from the mouth and place from the middle [in].
        angle_rad : float
            Keyway from the line where hub and shaft touch; pi at the bottom [rad].

        Returns
        -------
        ndarray
            Opening, shape as x and y broadcast [in].

        Source
        ------
        Derived here: gap of two touching circles, see
        `taperkey.formulas.measure.gap_at_angle_in`.
        """
        c = self.parameters.diametral_clearance_in
        gain = gap_at_angle_in(diametral_clearance_in=c, angle_rad=angle_rad)
        full = self.roof_in(x_in, y_in) - self.floor_in(x_in, y_in)
        return np.asarray(full - c + gain, dtype=np.float64)

    def bearing_width_in(self) -> float:
        """Return the width of face that hub and shaft slot share [in]."""
        return min(self.parameters.hub_width_in, self.parameters.shaft_width_in)

    def line(self, *, station_count: int = 65) -> tuple[float, float]:
        """Return the true mouth height [in] and taper [in/in] of the middle line.

        Least squares through `station_count` even stations, keyway at the
        bottom.

        Source
        ------
        Straight line by least squares, derived here.
        """
        x = np.linspace(0.0, self.parameters.length_in, station_count)
        h = self.height_in(x)
        spread = x - x.mean()
        slope = float(spread @ (h - h.mean()) / (spread @ spread))
        return float(h.mean() - slope * x.mean()), -slope

    def grid(self, *, length_count: int = 256, width_count: int = 48, ease_in: float) -> SlotGrid:
        """Return floor and roof on an even grid over the bearing width.

        Parameters
        ----------
        length_count, width_count : int
            Strips along and across, 2 or more.
        ease_in : float
            Width taken off each side for the eased edges of the key [in].

        Returns
        -------
        SlotGrid
            Middle of each strip; the outer strips are taken at their edge,
            where a corner radius would be met first.

        Source
        ------
        Derived here.
        """
        require_range("strips along the length", length_count, 2, 4096)
        require_range("strips across the width", width_count, 2, 1024)
        half = self.bearing_width_in() / 2 - ease_in
        require_positive("half bearing width", half, "in", "Ease the edges less.")
        length = self.parameters.length_in
        x = np.linspace(0.5, length_count - 0.5, length_count) * (length / length_count)
        y = np.linspace(-1 + 1 / width_count, 1 - 1 / width_count, width_count) * half
        edge = y.copy()
        edge[[0, -1]] = -half, half  # the outer strips feel the corner that their edge meets
        column, row = x[:, None], edge[None, :]
        return SlotGrid(
            x_in=x,
            y_in=y,
            floor_in=np.ascontiguousarray(self.floor_in(column, row)),
            roof_in=np.ascontiguousarray(self.roof_in(column, row)),
        )


def draw_slot(*, parameters: SlotParameters, seed: int) -> TrueSlot:
    """Return a slot drawn from its parameters.

    Parameters
    ----------
    parameters : SlotParameters
        What is asked.
    seed : int
        Same seed, same slot.

    Returns
    -------
    TrueSlot
        The slot; its form error and waviness have the asked peak to valley
        on each face after the best plane is taken off.

    Raises
    ------
    ValueError
        From :class:`SlotParameters`, if the slot cannot be.

    Assumptions
    -----------
    Errors are smooth sums of a few cosines and round bumps.

    Examples
    --------
    >>> slot = draw_slot(parameters=SlotParameters(form_error_in=0.0, waviness_in=0.0,
    ...     high_spot_count=0), seed=1)
    >>> round(float(slot.height_in(4.8)), 6)
    0.95

    Source
    ------
    Derived here; sizes of error are common practice.
    """
    floor = _draw_face(parameters, Draws(f"{seed}:floor"), 0.0)
    roof = _draw_face(parameters, Draws(f"{seed}:roof"), parameters.cross_tilt_in)
    return TrueSlot(parameters=parameters, seed=seed, floor_error=floor, roof_error=roof)


def draw_surface(
    *,
    length_in: float,
    width_in: float,
    form_error_in: float,
    waviness_in: float,
    draws: Draws,
) -> Field:
    """Return an error field with the asked peak to valley.

    Parameters
    ----------
    length_in, width_in : float
        Size of the face, above 0 [in].
    form_error_in, waviness_in : float
        Peak to valley of the long and the short waves [in].
    draws : Draws
        Where the numbers come from.

    Returns
    -------
    Field
        Best plane of each part taken off, so taper and mean height stay.

    Source
    ------
    Derived here.
    """
    x = np.linspace(0.0, length_in, 97)[:, None]
    y = np.linspace(-width_in / 2, width_in / 2, 13)[None, :]
    flat = np.column_stack(
        [
            np.ones(97 * 13),
            np.broadcast_to(x, (97, 13)).ravel(),
            np.broadcast_to(y, (97, 13)).ravel(),
        ]
    )
    plane = [0.0, 0.0, 0.0]
    waves: list[tuple[float, float, float, float]] = []
    for amount, low, high, count in (
        (form_error_in, 0.45 * length_in, 1.6 * length_in, 3),
        (waviness_in, 0.12 * length_in, 0.35 * length_in, 4),
    ):
        part = []
        for _ in range(count):
            kx = 2 * math.pi / draws.uniform(low=low, high=high)
            ky = 2 * math.pi / (width_in * draws.uniform(low=1.5, high=6.0))
            ky *= 1.0 if draws.uniform(low=-1.0, high=1.0) > 0 else -1.0
            size = draws.uniform(low=0.4, high=1.0)
            part.append((size, kx, ky, draws.uniform(low=0.0, high=2 * math.pi)))
        raw = Field(waves=tuple(part)).height_in(x, y)
        best = np.linalg.lstsq(flat, raw.ravel(), rcond=None)[0]
        rest = raw.ravel() - flat @ best
        scale = amount / float(np.ptp(rest))
        waves += [(a * scale, kx, ky, phase) for a, kx, ky, phase in part]
        plane = [old - scale * float(new) for old, new in zip(plane, best, strict=True)]
    return Field(plane=(plane[0], plane[1], plane[2]), waves=tuple(waves))


def _draw_face(parameters: SlotParameters, draws: Draws, cross_tilt_in: float) -> Field:
    width = min(parameters.hub_width_in, parameters.shaft_width_in)
    length = parameters.length_in
    field = draw_surface(
        length_in=length,
        width_in=width,
        form_error_in=parameters.form_error_in,
        waviness_in=parameters.waviness_in,
        draws=draws,
    )
    bumps = tuple(
        (
            parameters.high_spot_height_in * draws.uniform(low=0.5, high=1.0),
            draws.uniform(low=0.08, high=0.92) * length,
            draws.uniform(low=-0.35, high=0.35) * width,
            draws.uniform(low=0.04, high=0.12) * length,
            draws.uniform(low=0.12, high=0.35) * width,
        )
        for _ in range(int(parameters.high_spot_count))
    )
    tilt = field.plane[2] + cross_tilt_in / width
    return Field(plane=(field.plane[0], field.plane[1], tilt), waves=field.waves, bumps=bumps)


def _fillet_in(y_in: Any, width_in: float, radius_in: float) -> Array:
    """Height of the corner fillet: r - sqrt(r^2 - s^2), s counted from its start."""
    y = np.abs(np.asarray(y_in, dtype=np.float64))
    if radius_in <= 0:
        return np.zeros_like(y)
    s = np.clip(y - (width_in / 2 - radius_in), 0.0, radius_in)
    return np.asarray(radius_in - np.sqrt(radius_in**2 - s**2), dtype=np.float64)
