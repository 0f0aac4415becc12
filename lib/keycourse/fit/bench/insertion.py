"""The key in the slot: how far it goes in, and with what force.

The key coordinate u runs from the large end. With the large end standing out
by the projection p, station x of the slot meets u = x + p of the key. The key
is home when the large end is flush, p = 0.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from keycourse.fit.bench.contact import (
    FACE_STIFFNESS_PSI_PER_IN,
    YIELD_PSI,
    Seat,
    press_faces,
    squeeze_faces,
)
from keycourse.fit.bench.keyblank import KeyFaces
from keycourse.fit.bench.touch import Faces, FirstTouch, first_touch
from keycourse.measure.bench.slot import SlotGrid
from taperkey.checks import require_positive, require_range
from taperkey.formulas.wedge import drive_ratio
from taperkey.said import Said, number

__all__ = [
    "Insertion",
    "faces_at",
    "first_projection",
    "insert_key",
    "seat_at",
]

Array = NDArray[np.float64]

_LONGEST_MOVE_IN = 0.5


@dataclass(frozen=True, kw_only=True)
class Insertion:
    """Where a key came to rest.

    Parameters
    ----------
    projection_in : float
        Large end proud of the mouth; 0 is home [in].
    load_lbf : float
        Push along the key [lbf].
    home : bool
        Whether the large end came flush before the load was used up.
    seat : Seat or None
        Contact there; None if the key stands free.
    faces : Faces
        The faces as they met.
    """

    projection_in: float
    load_lbf: float
    home: bool
    seat: Seat
    faces: Faces


def faces_at(*, key: KeyFaces, grid: SlotGrid, projection_in: float) -> Faces:
    """Return the faces that meet with the large end standing out.

    under = floor(x) - bottom(x + p), over = roof(x) - top(x + p)

    Parameters
    ----------
    key : KeyFaces
        Fields of shape (k, n) [in].
    grid : SlotGrid
        Fields of shape (m, n) [in].
    projection_in : float
        p, 0 to less than the length of the key [in].

    Returns
    -------
    Faces
        On the strips that meet.

    Raises
    ------
    ValueError
        If the key stands out by its whole length.

    Assumptions
    -----------
    Straight lines between the strips of the key.

    Source
    ------
    Derived here.
    """
    require_range("projection", projection_in, 0.0, 0.9 * key.length_in, "in")
    places = projection_in / key.spacing_in
    whole = int(places)
    part = places - whole
    have = key.top_in.shape[0] - whole
    rows = min(grid.x_in.size, have)
    share = np.ones(rows)
    if part > 0 and have <= grid.x_in.size:
        share[-1] = 1 - part

    def shifted(field: Array) -> Array:
        now = field[whole : whole + rows]
        if part == 0:
            return now
        after = field[whole + 1 : whole + 1 + rows]
        if after.shape[0] < rows:
            after = np.concatenate([after, (2 * field[-1] - field[-2])[None, :]])
        return np.asarray((1 - part) * now + part * after, dtype=np.float64)

    width = float(key.y_in[1] - key.y_in[0])
    return Faces(
        x_in=grid.x_in[:rows],
        y_in=grid.y_in,
        under_in=grid.floor_in[:rows] - shifted(key.bottom_in),
        over_in=grid.roof_in[:rows] - shifted(key.top_in),
        row_share=share,
        patch_area_in2=key.spacing_in * width,
    )


def first_projection(
    *, key: KeyFaces, grid: SlotGrid, guess_in: float = 1.0
) -> tuple[float, FirstTouch]:
    """Return where the key first touches top and bottom as it slides in.

    p <- p - 2 c / taper until the clearance c is 0

    Parameters
    ----------
    key : KeyFaces
        Fields of shape (k, n) [in].
    grid : SlotGrid
        Fields of shape (m, n) [in].
    guess_in : float
        Where to start [in].

    Returns
    -------
    tuple of float and FirstTouch
        Projection [in]; 0 if the key slides home free.

    Raises
    ------
    ValueError
        If the key does not enter the slot.

    Assumptions
    -----------
    Stiff key and faces.

    Examples
    --------
    0.010 in over size at 1:96 stands out 0.96 in:

    >>> from keycourse.fit.bench.keyblank import KeyParameters, draw_key
    >>> from keycourse.measure.bench.slot import SlotParameters, draw_slot
    >>> slot = draw_slot(parameters=SlotParameters(form_error_in=0.0, waviness_in=0.0,
    ...     high_spot_count=0), seed=1)
    >>> key, grid = draw_key(slot=slot, parameters=KeyParameters(form_error_in=0.0,
    ...     waviness_in=0.0), seed=1, length_count=64, width_count=12)
    >>> round(first_projection(key=key, grid=grid)[0], 4)
    0.96

    Source
    ------
    Derived here.
    """
    touch: FirstTouch | None = None

    def room_in(projection_in: float) -> float:
        nonlocal touch
        faces = faces_at(key=key, grid=grid, projection_in=projection_in)
        touch = first_touch(faces=faces, start=touch.points if touch else None)
        return 2 * touch.clearance_in

    projection = _slide_in(room_in, guess_in, key, 1e-7)
    assert touch is not None
    return projection, touch


def _slide_in(
    room_in: Callable[[float], float], guess_in: float, key: KeyFaces, within_in: float
) -> float:
    """Find the projection where the room left is 0; 0 if there is room even at home.

    Secant steps, kept between the last place with room and the last without.
    """
    most = 0.6 * key.length_in
    tight, free = -1.0, most + 1.0
    place = min(max(guess_in, 0.0), most)
    slope = key.taper_in_per_in
    last: tuple[float, float] | None = None
    for _ in range(40):
        room = room_in(place)
        if room >= 0:
            free = place
        else:
            tight = place
        if (place <= 0.0 and room >= 0) or room == 0:
            return place
        if place >= most and room < 0:
            raise ValueError(
                Said(
                    "stand-out at first touch is {place} or more; it must be below {most}."
                    " Take metal off the blank first.",
                    place=number(place, "in", ".6g"),
                    most=number(most, "in", ".6g"),
                )
            )
        if last is not None and place != last[0]:
            slope = (room - last[1]) / (place - last[0])
        if not 0.3 * key.taper_in_per_in < slope < 30 * key.taper_in_per_in:
            slope = key.taper_in_per_in
        last = (place, room)
        move = min(max(-room / slope, -_LONGEST_MOVE_IN), _LONGEST_MOVE_IN)
        moved = min(max(place + move, 0.0), most)
        if abs(moved - place) < within_in:
            return moved
        if not tight < moved < free:
            moved = 0.5 * (max(tight, 0.0) + min(free, most))
            if abs(moved - place) < within_in:
                return moved
        place = moved
    return place


def insert_key(
    *,
    key: KeyFaces,
    grid: SlotGrid,
    load_lbf: float,
    floor_friction: float,
    roof_friction: float,
    guess_in: float | None = None,
    stiffness_psi_per_in: float = FACE_STIFFNESS_PSI_PER_IN,
    yield_psi: float = YIELD_PSI,
) -> Insertion:
    """Return where the key stops under a push.

    N = F / (tan phi1 + tan(phi2 + alpha)); p <- p - squeeze / taper until squeeze is 0

    Parameters
    ----------
    key : KeyFaces
        Fields of shape (k, n) [in].
    grid : SlotGrid
        Fields of shape (m, n) [in].
    load_lbf : float
        F, push along the key, above 0 [lbf].
    floor_friction, roof_friction : float
        Friction coefficients while driving.
    guess_in : float, optional
        A projection to start from, for speed [in].
    stiffness_psi_per_in, yield_psi : float
        As in `keycourse.fit.bench.contact.press_faces` [psi/in], [psi].

    Returns
    -------
    Insertion
        If the key comes home on less, `load_lbf` is what it took.

    Raises
    ------
    ValueError
        If the load is not above 0 or the key does not enter.

    Assumptions
    -----------
    Steady push; the key holds by friction when the push ends.

    Examples
    --------
    >>> from keycourse.fit.bench.keyblank import KeyParameters, draw_key
    >>> from keycourse.measure.bench.slot import SlotParameters, draw_slot
    >>> slot = draw_slot(parameters=SlotParameters(), seed=1)
    >>> key, grid = draw_key(slot=slot, parameters=KeyParameters(), seed=1,
    ...     length_count=64, width_count=12)
    >>> light, firm = (insert_key(key=key, grid=grid, load_lbf=load, floor_friction=0.1,
    ...     roof_friction=0.1) for load in (50.0, 1000.0))
    >>> firm.projection_in < light.projection_in
    True

    Source
    ------
    Derived here from the wedge formula and the elastic foundation.
    """
    require_positive("push", load_lbf, "lbf")
    ratio = drive_ratio(
        taper_in_per_in=key.taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )
    settings: dict[str, Any] = {
        "stiffness_psi_per_in": stiffness_psi_per_in,
        "yield_psi": yield_psi,
    }
    if guess_in is None:
        guess_in, _ = first_projection(key=key, grid=grid)
    seat: Seat | None = None
    faces: Faces | None = None

    def room_in(projection_in: float) -> float:
        nonlocal seat, faces
        faces = faces_at(key=key, grid=grid, projection_in=projection_in)
        start = None if seat is None else replace(seat, squeeze_in=0.0)
        seat = press_faces(faces=faces, normal_force_lbf=load_lbf / ratio, start=start, **settings)
        return seat.squeeze_in

    projection = _slide_in(room_in, guess_in, key, 2e-5)
    assert seat is not None
    assert faces is not None
    if projection <= 0.0 and seat.squeeze_in > 0:
        at_home = seat_at(key=key, grid=grid, projection_in=0.0, start=seat, **settings)
        took = at_home[0].normal_force_lbf * ratio
        return Insertion(
            projection_in=0.0, load_lbf=took, home=True, seat=at_home[0], faces=at_home[1]
        )
    return Insertion(
        projection_in=projection, load_lbf=load_lbf, home=False, seat=seat, faces=faces
    )


def seat_at(
    *,
    key: KeyFaces,
    grid: SlotGrid,
    projection_in: float,
    start: Seat | None = None,
    stiffness_psi_per_in: float = FACE_STIFFNESS_PSI_PER_IN,
    yield_psi: float = YIELD_PSI,
) -> tuple[Seat, Faces]:
    """Return the contact with the key held at a projection.

    Parameters
    ----------
    key : KeyFaces
        Fields of shape (k, n) [in].
    grid : SlotGrid
        Fields of shape (m, n) [in].
    projection_in : float
        Large end proud of the mouth [in].
    start : Seat, optional
        An earlier answer to start from.
    stiffness_psi_per_in, yield_psi : float
        As in `keycourse.fit.bench.contact.press_faces` [psi/in], [psi].

    Returns
    -------
    tuple of Seat and Faces
        Force 0 lbf if the key stands free.

    Raises
    ------
    ValueError
        If the projection is outside its range.

    Assumptions
    -----------
    As in `keycourse.fit.bench.contact.press_faces`.

    Source
    ------
    Derived here.
    """
    faces = faces_at(key=key, grid=grid, projection_in=projection_in)
    seat = squeeze_faces(
        faces=faces,
        squeeze_in=0.0,
        stiffness_psi_per_in=stiffness_psi_per_in,
        yield_psi=yield_psi,
        start=start,
    )
    return seat, faces
