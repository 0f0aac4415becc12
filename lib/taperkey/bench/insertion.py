"""The key in the slot: its own two faces, how far it goes in, and with what force.

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

from taperkey.bench.contact import (
    FACE_STIFFNESS_PSI_PER_IN,
    YIELD_PSI,
    Faces,
    FirstTouch,
    Seat,
    first_touch,
    press_faces,
    squeeze_faces,
)
from taperkey.bench.draws import Draws
from taperkey.bench.slot import SlotGrid, TrueSlot, draw_surface
from taperkey.checks import require_non_negative, require_positive, require_range
from taperkey.formulas.wedge import drive_ratio

__all__ = [
    "Insertion",
    "KeyFaces",
    "KeyParameters",
    "draw_key",
    "faces_at",
    "first_projection",
    "insert_key",
    "seat_at",
]

Array = NDArray[np.float64]

_LONGEST_MOVE_IN = 0.5


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

    oversize_in: float = 0.010
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
    def length_in(self) -> float:
        """Length of the key [in]."""
        return self.spacing_in * int(self.top_in.shape[0])

    def u_in(self) -> Array:
        """Return the middle of each strip, from the large end [in]."""
        count = self.top_in.shape[0]
        return np.linspace(0.5, count - 0.5, count) * self.spacing_in


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
    Derived here; 0.010 in left for fitting is common practice.
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
                f"stand-out at first touch is {place:.6g} in or more; it must be below"
                f" {most:.6g} in. Take metal off the blank first."
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
        As in `taperkey.bench.contact.press_faces`.

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
        As in `taperkey.bench.contact.press_faces`.

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
    As in `taperkey.bench.contact.press_faces`.

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
