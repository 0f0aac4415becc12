"""The key in the slot: how far it goes in, and with what force.

The key coordinate u runs from the large end. With the large end standing out
by the projection p, station x of the slot meets u = x + p of the key. The key
is home when the large end is flush, p = 0.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from keycourse.fit.bench.bodies import Bodies
from keycourse.fit.bench.contact import Seat, press_faces, squeeze_faces
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
_EASED_IN = 0.004  # round of the small end's edge, over the last strip
_ROUGHLY = 0.05  # closeness of the contact until the place is nearly found
_NEARLY_IN = 0.004
_FOUND_IN = 2e-4  # of place: 2e-6 in of height


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
    seat : Seat
        Contact there.
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
    Straight lines between the strips of the key. The edge of the small end is eased.

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

    def shifted(field: Array) -> Array:
        now = field[whole : whole + rows]
        if part == 0:
            return now
        after = field[whole + 1 : whole + 1 + rows]
        if after.shape[0] < rows:
            after = np.concatenate([after, (2 * field[-1] - field[-2])[None, :]])
        return np.asarray((1 - part) * now + part * after, dtype=np.float64)

    width = float(key.y_in[1] - key.y_in[0])
    under = grid.floor_in[:rows] - shifted(key.bottom_in)
    over = grid.roof_in[:rows] - shifted(key.top_in)
    if have <= grid.x_in.size:  # of the last strip only a part is in
        under[-1] -= part * _EASED_IN
        over[-1] += part * _EASED_IN
    return Faces(
        x_in=grid.x_in[:rows],
        y_in=grid.y_in,
        under_in=under,
        over_in=over,
        patch_area_in2=key.spacing_in * width,
        key_out_in=projection_in,
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
    bodies: Bodies,
    load_lbf: float,
    floor_friction: float,
    roof_friction: float,
    guess_in: float | None = None,
    start: Seat | None = None,
) -> Insertion:
    """Return where the key stops under a push.

    N = F / (tan phi1 + tan(phi2 + alpha)); p <- p - squeeze / taper until squeeze is 0

    Parameters
    ----------
    key : KeyFaces
        Fields of shape (k, n) [in].
    grid : SlotGrid
        Fields of shape (m, n) [in].
    bodies : Bodies
        What gives way.
    load_lbf : float
        F, push along the key, above 0 [lbf].
    floor_friction, roof_friction : float
        Friction coefficients while driving.
    guess_in : float, optional
        A projection to start from, for speed [in].
    start : Seat, optional
        A contact to start from, for speed.

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
    >>> from keycourse.fit.bench.bodies import key_between
    >>> from keycourse.fit.bench.keyblank import KeyParameters, draw_key
    >>> from keycourse.measure.bench.slot import SlotParameters, draw_slot
    >>> slot = draw_slot(parameters=SlotParameters(), seed=1)
    >>> key, grid = draw_key(slot=slot, parameters=KeyParameters(), seed=1,
    ...     length_count=64, width_count=12)
    >>> bodies = key_between(length_in=8, width_in=key.width_in, height_in=1.0,
    ...     length_count=64, width_count=12)
    >>> light, firm = (insert_key(key=key, grid=grid, bodies=bodies, load_lbf=load,
    ...     floor_friction=0.1, roof_friction=0.1) for load in (50.0, 1000.0))
    >>> firm.projection_in < light.projection_in
    True

    Source
    ------
    Derived here from the wedge formula and the contact.
    """
    require_positive("push", load_lbf, "lbf")
    ratio = drive_ratio(
        taper_in_per_in=key.taper_in_per_in,
        floor_friction=floor_friction,
        roof_friction=roof_friction,
    )
    if guess_in is None:
        guess_in, _ = first_projection(key=key, grid=grid)
    seat, faces = start, None
    before: float | None = None

    def room_in(projection_in: float) -> float:
        nonlocal seat, faces, before
        faces = faces_at(key=key, grid=grid, projection_in=projection_in)
        near = before is not None and abs(projection_in - before) < _NEARLY_IN
        seat = press_faces(
            faces=faces,
            bodies=bodies,
            normal_force_lbf=load_lbf / ratio,
            start=seat,
            **({} if near else {"close_enough": _ROUGHLY}),
        )
        before = projection_in
        return seat.squeeze_in

    projection = _slide_in(room_in, guess_in, key, _FOUND_IN)
    assert seat is not None
    assert faces is not None
    if projection <= 0.0 and seat.squeeze_in > 0:
        held = seat_at(key=key, grid=grid, bodies=bodies, projection_in=0.0, start=seat)
        if held is not None:  # else it slides home free, and is as this push presses it
            seat = held
            load_lbf = seat.normal_force_lbf * ratio
        return Insertion(projection_in=0.0, load_lbf=load_lbf, home=True, seat=seat, faces=faces)
    return Insertion(
        projection_in=projection, load_lbf=load_lbf, home=False, seat=seat, faces=faces
    )


def seat_at(
    *,
    key: KeyFaces,
    grid: SlotGrid,
    bodies: Bodies,
    projection_in: float,
    start: Seat | None = None,
) -> Seat | None:
    """Return the contact with the key held at a projection.

    Parameters
    ----------
    key : KeyFaces
        Fields of shape (k, n) [in].
    grid : SlotGrid
        Fields of shape (m, n) [in].
    bodies : Bodies
        What gives way.
    projection_in : float
        Large end proud of the mouth [in].
    start : Seat, optional
        An earlier answer to start from.

    Returns
    -------
    Seat or None
        None if the key stands free.

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
    return squeeze_faces(faces=faces, bodies=bodies, start=start)
