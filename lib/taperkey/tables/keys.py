"""Key sizes, keyseat depths and fillets, by shaft diameter or key size."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from taperkey.checks import require_in
from taperkey.tables.reader import read_table, row_between
from taperkey.units import MM_PER_IN

__all__ = [
    "Fillet",
    "Form",
    "InchKeySize",
    "MetricKeySize",
    "depth_constant_in",
    "inch_key_size",
    "keyseat_fillet",
    "metric_key_size",
    "metric_keyseat_fillet",
]

Form = Literal["square", "rectangular"]

_DIAMETER_STEP = "Enter the shaft's diameter, or look further in the standard."


@dataclass(frozen=True, slots=True)
class InchKeySize:
    """A row of ASME B17.1, Table 1; a height is None where the form is not listed."""

    over_in: float
    to_in: float
    width_in: float
    square_height_in: float | None
    rectangular_height_in: float | None
    preferred: Form
    status: str


@dataclass(frozen=True, slots=True)
class MetricKeySize:
    """A row of DIN 6886, in inches, with the nominal millimeters that name the key."""

    over_mm: float
    to_mm: float
    width_mm: float
    height_mm: float
    width_in: float
    height_in: float
    shaft_depth_in: float
    hub_depth_taper_in: float
    hub_depth_parallel_in: float
    status: str


@dataclass(frozen=True, slots=True)
class Fillet:
    """Radius in the corner of the keyseat, and the chamfer of the key that clears it."""

    fillet_radius_in: float
    chamfer_in: float
    status: str


def inch_key_size(*, shaft_diameter_in: float) -> InchKeySize:
    """Return the inch key for a shaft, ASME B17.1 Table 1.

    Parameters
    ----------
    shaft_diameter_in : float
        Shaft diameter, over 5/16 to and including 30 [in].

    Returns
    -------
    InchKeySize
        Width, heights and preferred form.

    Raises
    ------
    ValueError
        If the table has no row for the shaft.

    Examples
    --------
    >>> size = inch_key_size(shaft_diameter_in=4.5)
    >>> size.width_in, size.square_height_in, size.preferred
    (1.0, 1.0, 'square')
    """
    row = row_between(
        table="inch_key_sizes",
        value=shaft_diameter_in,
        what="shaft diameter",
        next_step=_DIAMETER_STEP,
    )
    return InchKeySize(**row)


@cache
def _metric_sizes() -> dict[float, MetricKeySize]:
    return {
        row["over_mm"]: MetricKeySize(
            over_mm=row["over_mm"],
            to_mm=row["to_mm"],
            width_mm=row["width_mm"],
            height_mm=row["height_mm"],
            width_in=row["width_mm"] / MM_PER_IN,
            height_in=row["height_mm"] / MM_PER_IN,
            shaft_depth_in=row["shaft_depth_mm"] / MM_PER_IN,
            hub_depth_taper_in=row["hub_depth_taper_mm"] / MM_PER_IN,
            hub_depth_parallel_in=row["hub_depth_parallel_mm"] / MM_PER_IN,
            status=row["status"],
        )
        for row in read_table("metric_key_sizes")
    }


def metric_key_size(*, shaft_diameter_in: float) -> MetricKeySize:
    """Return the metric taper key for a shaft, DIN 6886.

    Parameters
    ----------
    shaft_diameter_in : float
        Shaft diameter, over 6 mm to and including 260 mm, given in inches [in].

    Returns
    -------
    MetricKeySize
        Width, height and depths in inches; width and height also in millimeters.

    Raises
    ------
    ValueError
        If the table has no row for the shaft.

    Examples
    --------
    >>> size = metric_key_size(shaft_diameter_in=75 / 25.4)
    >>> size.width_mm, size.height_mm
    (20.0, 12.0)
    """
    row = row_between(
        table="metric_key_sizes",
        value=shaft_diameter_in * MM_PER_IN,
        what="shaft diameter",
        unit="mm",
        next_step=_DIAMETER_STEP,
    )
    return _metric_sizes()[row["over_mm"]]


def depth_constant_in(*, kind: str) -> float:
    """Return the constant C of the hub depth, ASME B17.1.

    Parameters
    ----------
    kind : str
        ``"taper"`` or ``"parallel"``.

    Returns
    -------
    float
        Constant [in]: the hub of a taper key is cut shallower, the key is driven up.

    Raises
    ------
    ValueError
        If the kind is neither.

    Examples
    --------
    >>> depth_constant_in(kind="taper"), depth_constant_in(kind="parallel")
    (-0.02, 0.005)
    """
    constants = {row["kind"]: float(row["constant_in"]) for row in read_table(_CONSTANTS)}
    require_in("kind of key", kind, constants)
    return constants[kind]


_CONSTANTS = "inch_depth_constants"


def keyseat_fillet(*, key_height_in: float) -> Fillet:
    """Return the suggested corner radius of the keyseat and chamfer of the key, ASME B17.1.

    Parameters
    ----------
    key_height_in : float
        Nominal key height; half of it over 1/8 to and including 2-1/2 [in].

    Returns
    -------
    Fillet
        Radius and chamfer.

    Raises
    ------
    ValueError
        If the table has no row for the height.

    Examples
    --------
    >>> fillet = keyseat_fillet(key_height_in=1.0)
    >>> fillet.fillet_radius_in, fillet.chamfer_in
    (0.0625, 0.078125)
    """
    row = row_between(
        table="inch_keyseat_fillets",
        value=key_height_in / 2,
        what="half the key height",
        next_step="Measure the radius in the slot and ease the edge by more than that.",
    )
    return Fillet(row["fillet_radius_in"], row["chamfer_in"], row["status"])


def metric_keyseat_fillet(*, key_width_in: float) -> Fillet:
    """Return the largest corner radius of the keyseat and chamfer of the key, DIN 6885 and 6886.

    Parameters
    ----------
    key_width_in : float
        Key width, up to 70 mm, given in inches [in].

    Returns
    -------
    Fillet
        Radius and chamfer.

    Raises
    ------
    ValueError
        If the table has no row for the width.

    Examples
    --------
    >>> fillet = metric_keyseat_fillet(key_width_in=28 / 25.4)
    >>> round(fillet.fillet_radius_in * 25.4, 3), round(fillet.chamfer_in * 25.4, 3)
    (0.6, 0.8)
    """
    row = row_between(
        table="metric_keyseat_fillets",
        value=key_width_in * MM_PER_IN,
        what="key width",
        unit="mm",
        next_step="Measure the radius in the slot and chamfer the edge by more than that.",
    )
    return Fillet(row["fillet_radius_mm"] / MM_PER_IN, row["chamfer_mm"] / MM_PER_IN, row["status"])
