"""A gauge between floor and roof, leaning in two planes, and the smallest span on its way.

The axis of the gauge leans by `along` in the plane along the slot and by `across` in the plane
across it. Its ends are round. Rocked through square it is pushed in to the smallest span it meets;
between faces that taper that is not where it stands square to the floor, but square to the plane
midway between floor and roof.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from taperkey.checks import require_non_negative, require_positive, require_range

__all__ = [
    "MOST_LEAN_RAD",
    "Faces",
    "Lean",
    "largest_across_rad",
    "round_span_in",
    "smallest_on_the_way",
    "turning_point_rad",
]

MOST_LEAN_RAD = 0.6
"""Beyond it no gauge is read."""

Lean = tuple[float, float]
"""Lean along the slot and across it [rad]."""

Faces = Callable[[float, float, float, float], float]
"""Opening between a place on the floor and one on the roof: x and y of the foot, of the top."""


def round_span_in(
    *, faces: Faces, station_in: float, offset_in: float, lean_rad: Lean, end_radius_in: float
) -> float:
    r"""Return the span over the round ends of a leaning gauge.

    .. math:: s = \frac{h - 2 r}{\cos\gamma} + 2 r, \qquad \cos\gamma = \cos a \cos b

    between faces without taper; `faces` gives h at the two places where the ends stand.

    Parameters
    ----------
    faces : callable
        Opening from the foot of the gauge to its top, square to the floor.
    station_in, offset_in : float
        Middle of the gauge along the slot and across it [in].
    lean_rad : tuple of (float, float)
        Lean along and across, each -0.6 to 0.6 [rad].
    end_radius_in : float
        Radius of the ends, 0 or more and at most half of the opening [in].

    Returns
    -------
    float
        What a micrometer over the ends would show [in].

    Raises
    ------
    ValueError
        If a value is outside its range.

    Assumptions
    -----------
    The ends are parts of spheres on the axis; where an end stands the face is level.

    Examples
    --------
    1 in between level faces, 0.1 rad along: with pointed ends 1/cos(0.1); with a ball of 1 in
    the lean costs nothing.

    >>> level = lambda *_: 1.0
    >>> at = {"faces": level, "station_in": 0.0, "offset_in": 0.0, "lean_rad": (0.1, 0.0)}
    >>> round(round_span_in(end_radius_in=0.0, **at), 5)
    1.00502
    >>> round_span_in(end_radius_in=0.5, **at)
    1.0

    Source
    ------
    Derived here: the line between the two centers is the opening less twice the radius high.
    """
    along, across = lean_rad
    for name, value in (("lean along the slot", along), ("lean across the slot", across)):
        require_range(name, value, -MOST_LEAN_RAD, MOST_LEAN_RAD, "rad")
    require_non_negative("radius of the ends", end_radius_in, "in")
    # the axis: sin a cos b along, sin b across, cos a cos b up
    east, north = math.sin(along) * math.cos(across), math.sin(across)
    up = math.cos(along) * math.cos(across)
    between = faces(station_in, offset_in, station_in, offset_in) - 2 * end_radius_in
    require_range("diameter of the ends", 2 * end_radius_in, 0.0, between + 2 * end_radius_in, "in")
    for _ in range(4):
        dx, dy = between / 2 * east, between / 2 * north
        high = faces(station_in - dx, offset_in - dy, station_in + dx, offset_in + dy)
        between = (high - 2 * end_radius_in) / up
    return between + 2 * end_radius_in


def turning_point_rad(*, taper_in_per_in: float) -> float:
    """Return the lean along the slot at which a rocked gauge is shortest.

    tan(a) = taper / 2

    Parameters
    ----------
    taper_in_per_in : float
        Loss of height per inch going in [in/in].

    Returns
    -------
    float
        Lean; half of the angle between floor and roof, nearly [rad].

    Examples
    --------
    At 1/8 in per foot it is 0.3 degrees from square to the floor:

    >>> round(math.degrees(turning_point_rad(taper_in_per_in=1 / 96)), 2)
    0.3

    Source
    ------
    Derived here: s = h / (cos a + (taper/2) sin a) is least there.
    """
    require_range("taper", taper_in_per_in, -0.1, 0.1, "in/in")
    return math.atan(taper_in_per_in / 2)


def smallest_on_the_way(
    *, span: Callable[[Lean], float], way: Sequence[Lean]
) -> tuple[float, Lean]:
    """Return the smallest span that a rocked gauge meets, and its lean there.

    Parameters
    ----------
    span : callable
        Span at a lean.
    way : sequence of (float, float)
        Leans in order, along and across; from one to the next straight, at least one.

    Returns
    -------
    tuple of (float, (float, float))
        Span in inches, lean in radians.

    Raises
    ------
    ValueError
        If there is no lean.

    Examples
    --------
    Rocked along from 5 to -5 hundredths while it is rolled by 3: it stays rolled.

    >>> smallest_on_the_way(span=lambda lean: 1 + lean[0] ** 2 + lean[1] ** 2,
    ...                     way=[(0.05, 0.03), (-0.05, 0.03)])
    (1.0009, (0.0, 0.03))

    Source
    ------
    Derived here: five places of each stretch, then the best ones narrowed down by thirds.
    """
    if not way:
        raise ValueError("number of leans is 0; it must be 1 or more.")
    stretches = list(zip(way, way[1:], strict=False)) or [(way[0], way[0])]
    met = [
        min((span(_on(stretch, part)), part) for part in (0.0, 0.25, 0.5, 0.75, 1.0))
        for stretch in stretches
    ]
    near = sorted(zip(met, stretches, strict=True))[:_NARROWED]
    return min(_narrowed(span, stretch, part, least) for (least, part), stretch in near)


_NARROWED = 3  # stretches that are looked at more closely: the nearest to the least


def _narrowed(
    span: Callable[[Lean], float], stretch: tuple[Lean, Lean], part: float, least: float
) -> tuple[float, Lean]:
    """Return the smallest span around a place of a stretch, and its lean."""
    low, high = max(part - 0.25, 0.0), min(part + 0.25, 1.0)
    for _ in range(14):
        third = (high - low) / 3
        if span(_on(stretch, low + third)) <= span(_on(stretch, high - third)):
            high -= third
        else:
            low += third
    found = _on(stretch, (low + high) / 2)
    narrowed = span(found)
    return (narrowed, found) if narrowed < least else (least, _on(stretch, part))


def _on(stretch: tuple[Lean, Lean], part: float) -> Lean:
    (along, across), (along_then, across_then) = stretch
    return along + part * (along_then - along), across + part * (across_then - across)


def largest_across_rad(*, height_in: float, width_in: float, end_radius_in: float) -> float:
    """Return how far the gauge can lean across before an end touches a wall.

    (h/2 - r) sin(b) + r = w/2

    Parameters
    ----------
    height_in, width_in : float
        Opening and width of the slot, above 0 [in].
    end_radius_in : float
        Radius of the ends [in].

    Returns
    -------
    float
        Lean, at most 0.15 [rad].

    Examples
    --------
    A slot as wide as the gauge's ends lets it lean no way at all:

    >>> largest_across_rad(height_in=1.0, width_in=0.5, end_radius_in=0.25)
    0.0

    Source
    ------
    Derived here.
    """
    require_positive("opening", height_in, "in")
    require_positive("width", width_in, "in")
    require_non_negative("radius of the ends", end_radius_in, "in")
    arm, room = height_in / 2 - end_radius_in, width_in / 2 - end_radius_in
    if room <= 0:
        return 0.0
    if arm <= 0 or room >= arm * math.sin(0.15):
        return 0.15
    return math.asin(room / arm)
