"""Key sizes, keyseat depths, fillets, gib heads and alignment, by shaft diameter or key size."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from taperkey.checks import require_in, require_positive, sentence
from taperkey.tables.reader import read_table, row_between
from taperkey.units import MM_PER_IN

__all__ = [
    "Alignment",
    "Fillet",
    "Form",
    "GibHead",
    "InchKeySize",
    "MetricKeySize",
    "depth_constant_in",
    "gib_head_inch",
    "gib_head_metric",
    "inch_key_size",
    "keyseat_alignment",
    "keyseat_fillet",
    "metric_key_size",
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
    """A row of DIN 6886, in inches, with the nominal millimetres that name the key."""

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


@dataclass(frozen=True, slots=True)
class GibHead:
    """Height of a gib head above the key's flat face, and its length; None where not listed."""

    head_height_in: float
    head_length_in: float | None
    status: str


@dataclass(frozen=True, slots=True)
class Alignment:
    """How far a keyseat may stand off the shaft's centre line, and run askew along it."""

    offset_in: float
    lead_in: float
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
        Width, height and depths in inches; width and height also in millimetres.

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


def gib_head_inch(*, width_in: float, form: str, height_in: float | None = None) -> GibHead:
    """Return the gib head of an inch key, ASME B17.1 Table 3.

    Parameters
    ----------
    width_in : float
        Nominal key width: one of the table, or over 3-1/2 to and including 7 [in].
    form : str
        ``"square"`` or ``"rectangular"``.
    height_in : float, optional
        Nominal key height; needed over 3-1/2 in width, where head height is 1.8 and head
        length 1.2 times it [in].

    Returns
    -------
    GibHead
        Height and length of the head.

    Raises
    ------
    ValueError
        If the table has no such key, or the height is missing where it is needed.

    Examples
    --------
    >>> head = gib_head_inch(width_in=1.0, form="square")
    >>> head.head_height_in, head.head_length_in
    (1.625, 1.125)
    """
    require_in("form of key", form, ("square", "rectangular"))
    require_positive("key width", width_in, "in")
    for row in read_table("inch_gib_heads"):
        if row["form"] == form and row["width_in"] == round(width_in, 9):
            return GibHead(row["head_height_in"], row["head_length_in"], row["status"])
    if 3.5 < width_in <= 7:
        height = 0.0 if height_in is None else height_in
        require_positive("key height", height, "in", "Enter the height of this large key.")
        return GibHead(1.8 * height, 1.2 * height, "memory")
    rule = "a width of the gib-head table, such as 0.5 in, or over 3.5 in, up to 7 in"
    raise ValueError(sentence("key width", float(width_in), "in", rule, "Enter the nominal width."))


def gib_head_metric(*, width_in: float) -> GibHead:
    """Return the height of the gib head of a metric key, DIN 6887.

    Parameters
    ----------
    width_in : float
        Nominal key width, 4 mm to 50 mm of the table, given in inches [in].

    Returns
    -------
    GibHead
        Height of the head; the length is not listed.

    Raises
    ------
    ValueError
        If the table has no such key.

    Examples
    --------
    >>> round(gib_head_metric(width_in=20 / 25.4).head_height_in * 25.4, 6)
    20.0
    """
    require_positive("key width", width_in, "in")
    width_mm = width_in * MM_PER_IN
    for row in read_table("metric_gib_heads"):
        if row["width_mm"] == round(width_mm, 6):
            return GibHead(row["head_height_mm"] / MM_PER_IN, None, row["status"])
    rule = "a width of DIN 6887, from 4 mm to 50 mm"
    raise ValueError(sentence("key width", width_mm, "mm", rule, "Enter the nominal width."))


def keyseat_alignment(*, length_in: float) -> Alignment:
    """Return the largest offset and lead of a keyseat, ASME B17.1.

    Parameters
    ----------
    length_in : float
        Length of the keyseat, above 0, up to 1000 [in].

    Returns
    -------
    Alignment
        Offset and lead: .002 to 4 in, .0005 for each inch to 10 in, then .005.

    Raises
    ------
    ValueError
        If the length is not above 0.

    Examples
    --------
    >>> keyseat_alignment(length_in=8.0).lead_in
    0.004
    """
    row = row_between(
        table="inch_keyseat_alignment",
        value=length_in,
        what="length of the keyseat",
        next_step="Measure it along the shaft.",
    )
    lead = row["lead_in"] + row["lead_per_in"] * length_in
    return Alignment(row["offset_in"], lead, row["status"])
