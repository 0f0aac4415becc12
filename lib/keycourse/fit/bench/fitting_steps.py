"""What each step on the fitting bench does to the key."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from coursework.bench import Acts, act_of
from coursework.draws import Draws
from keycourse.fit.bench.blueing import (
    FILM_IN,
    Marks,
    feel_gaps,
    read_marks,
)
from keycourse.fit.bench.bodies import Bodies, key_in_slot
from keycourse.fit.bench.contact import Seat
from keycourse.fit.bench.driving import RESTITUTION, Blow, drive_key
from keycourse.fit.bench.filing import CUT_PER_STROKE_IN3, FACES, file_spot
from keycourse.fit.bench.insertion import insert_key
from keycourse.fit.bench.keyblank import KeyFaces, KeyParameters
from keycourse.measure.bench.slot import SlotGrid, TrueSlot
from taperkey import practice
from taperkey.checks import require_in, require_range
from taperkey.counts import counted
from taperkey.said import Said, number

__all__ = [
    "BLUE_FRICTION",
    "LEFT_TO_DRIVE",
    "LUBRICANT_FRICTION",
    "STEP_NAMES",
    "FittingState",
    "Observation",
    "Push",
    "begin",
    "carry_out",
    "still_to_come_off_in",
]

BLUE_FRICTION = 0.15
"""Friction while fitting, faces wet with blue. Common practice for greasy steel [-]."""

LUBRICANT_FRICTION = {"anti-seize": 0.10, "oil": 0.15, "none": 0.25}
"""Friction while driving. Course values within the published spread, .10 to .30 [-]."""

MOST_PUSH_LBF = practice.value("hand_push")
"""Heaviest push from which the key still comes out by hand [lbf]."""

LEFT_TO_DRIVE = practice.rule("left_to_drive")
"""Stand-out at which filing stops; this key ends flush, so its stand-out is its travel to home."""

HUB_BORE_IN, HUB_OUTSIDE_IN = 6.0, 12.0
"""The hub of this bench, as long as its key: bore and outside diameter [in]."""

_CHIP_HEIGHT_IN = 0.0020
_CLOG_PER_STROKE = 1 / 2500
_CLOG_PER_STROKE_IN_BLUE = 1 / 600
_MOST_FILM_IN = 0.0015


@dataclass(frozen=True, kw_only=True)
class Observation:
    """What the apprentice saw and felt at one step; plain values.

    Parameters
    ----------
    step : str
        What was done.
    note : str
        One or two sentences.
    values : dict
        Numbers that can be read on the bench, with unit suffix.
    """

    step: str
    note: str
    values: dict[str, Any]

    def to_dict(self) -> dict[str, Any]:
        """Return the observation ready for JSON."""
        return asdict(self)


@dataclass(frozen=True, kw_only=True)
class Push:
    """One fitting: a push with blue on.

    Parameters
    ----------
    load_lbf, projection_in : float
        Push [lbf] and stand-out under it [in].
    share, length_share : float
        Bright marks, 0 to 1.
    """

    load_lbf: float
    projection_in: float
    share: float
    length_share: float


@dataclass(frozen=True, kw_only=True)
class FittingState:
    """The key as it is now.

    Parameters
    ----------
    key : KeyFaces
        Its faces, fields of shape (k, n) [in].
    film_in : float
        Blue on it; 0 for none [in].
    dirty : bool
        Filings lie on it.
    used_blue : bool
        The blue has been pushed once.
    marks : Marks or None
        Of the last push, until cleaned.
    seat : Seat or None
        Contact at the last push or after the drive.
    projection_in : float
        Stand-out at the last push or after the drive [in].
    clog : float
        How full the file is, 0 to 1.
    lubricant : str
        What is on the faces for the drive.
    strokes, unmarked_strokes : int
        File strokes so far, and those where nothing was bright.
    pushes_not_cleaned : int
        Pushes with old blue or filings on the key.
    driven : bool
        Whether the key has been driven.
    blows : tuple of Blow
        Of the drive.
    seat_force_lbf, normal_force_lbf : float
        Push at the end of the drive, and force on the faces [lbf].
    pushes : tuple of Push
        Pushes with blue, in order.
    observations : tuple of Observation
        What the apprentice saw, in order.
    """

    key: KeyFaces
    film_in: float = 0.0
    dirty: bool = False
    used_blue: bool = False
    marks: Marks | None = None
    seat: Seat | None = None
    projection_in: float = 1.0
    clog: float = 0.0
    lubricant: str = "none"
    strokes: int = 0
    unmarked_strokes: int = 0
    pushes_not_cleaned: int = 0
    driven: bool = False
    blows: tuple[Blow, ...] = ()
    seat_force_lbf: float = 0.0
    normal_force_lbf: float = 0.0
    pushes: tuple[Push, ...] = ()
    observations: tuple[Observation, ...] = ()

    @property
    def friction(self) -> float:
        """Friction coefficient of the driven key."""
        return LUBRICANT_FRICTION[self.lubricant]


@dataclass(frozen=True, kw_only=True)
class _Bench:
    grid: SlotGrid
    slot: TrueSlot
    key_parameters: KeyParameters
    seed: str

    @property
    def bodies(self) -> Bodies:
        return bodies_of(grid=self.grid, slot=self.slot)


def bodies_of(*, grid: SlotGrid, slot: TrueSlot) -> Bodies:
    """Return what gives way around the key of this bench.

    Parameters
    ----------
    grid : SlotGrid
        The slot's grid, where the key bears [in].
    slot : TrueSlot
        The slot.

    Returns
    -------
    Bodies
        Key, bore sides and hub.

    Source
    ------
    The hub is this bench's own.
    """
    m, n = grid.floor_in.shape
    parameters = slot.parameters
    height = parameters.mouth_height_in - parameters.taper_in_per_in * parameters.length_in / 2
    return key_in_slot(
        length_in=parameters.length_in,
        width_in=round(float(grid.y_in[1] - grid.y_in[0]) * n, 9),
        height_in=round(height, 9),
        length_count=m,
        width_count=n,
        hub=(HUB_BORE_IN, HUB_OUTSIDE_IN, round(height / 2, 9), parameters.hub_width_in),
        clearance_in=parameters.diametral_clearance_in,
    )


def still_to_come_off_in(stand_out_in: float, taper_in_per_in: float) -> float:
    """Return the height that the file still has to take off, both faces together.

    still to come off = (stand-out - left to drive) taper, 0 at the least

    Parameters
    ----------
    stand_out_in : float
        Of a key that ends flush: its travel to home [in].
    taper_in_per_in : float
        Taper of the key [in/in].

    Returns
    -------
    float
        Height [in].

    Examples
    --------
    >>> round(still_to_come_off_in(0.48, 1 / 96), 4)
    0.0037

    Source
    ------
    Derived here; left to drive: practice.csv.
    """
    return max(0.0, stand_out_in - LEFT_TO_DRIVE.value) * taper_in_per_in


def begin(*, key: KeyFaces) -> FittingState:
    """Return the state with a clean, dry blank on the bench.

    Parameters
    ----------
    key : KeyFaces
        The blank, fields of shape (k, n) [in].

    Returns
    -------
    FittingState
        Nothing done yet.

    Source
    ------
    Derived here.
    """
    return FittingState(key=key)


def carry_out(
    *,
    state: FittingState,
    step: dict[str, Any],
    grid: SlotGrid,
    slot: TrueSlot,
    key_parameters: KeyParameters,
    seed: str,
) -> FittingState:
    """Return the state after one step.

    Parameters
    ----------
    state : FittingState
        Before the step.
    step : dict
        "do" and the choices of the step.
    grid : SlotGrid
        The slot, fields of shape (m, n) [in].
    slot : TrueSlot
        The slot.
    key_parameters : KeyParameters
        The blank.
    seed : str
        Decides where filings lie.

    Returns
    -------
    FittingState
        With one more observation.

    Raises
    ------
    ValueError
        If the step cannot be done now, or a choice is outside its range.

    Assumptions
    -----------
    See each step.

    Source
    ------
    Order of work: common practice; the model is derived here.
    """
    act, choices = act_of(step, _STEPS)
    if state.driven and step["do"] != "feel":
        raise ValueError(
            "The key is driven: only the feeler gauge can still be tried. Start over with a new key"
            " to fit again."
        )
    bench = _Bench(grid=grid, slot=slot, key_parameters=key_parameters, seed=seed)
    done: FittingState = act(state, bench, **choices)
    return done


def _seen(state: FittingState, step: str, note: str, **values: Any) -> FittingState:
    observation = Observation(step=step, note=note, values=values)
    return replace(state, observations=(*state.observations, observation))


def _blue(state: FittingState, bench: _Bench) -> FittingState:
    film = min(state.film_in + FILM_IN, _MOST_FILM_IN)
    note = "There is a thin, even film of high-spot blue on both faces."
    if state.film_in > 0:
        note = "The new blue lies on the old, so the film is thick now. Thick blue bridges gaps."
    return _seen(replace(state, film_in=film, used_blue=False, marks=None), "blue", note)


def _clean(state: FittingState, bench: _Bench) -> FittingState:
    state = replace(state, film_in=0.0, dirty=False, used_blue=False)
    return _seen(state, "clean", "The blue and the filings are off the key and the slot.")


def _clean_file(state: FittingState, bench: _Bench) -> FittingState:
    return _seen(replace(state, clog=0.0), "clean file", "The file is brushed clean.")


def _push(state: FittingState, bench: _Bench, *, load_lbf: float) -> FittingState:
    require_range(
        "push", load_lbf, 1.0, MOST_PUSH_LBF, "lbf", "Above that the key is driven, not fitted."
    )
    key = state.key
    if state.dirty:
        key = _with_chips(key, Draws(f"{bench.seed}:chips"))
    guess = state.projection_in if state.pushes else None
    went = insert_key(
        key=key,
        grid=bench.grid,
        bodies=bench.bodies,
        load_lbf=load_lbf,
        floor_friction=BLUE_FRICTION,
        roof_friction=BLUE_FRICTION,
        guess_in=guess,
        start=state.seat,
    )
    unclean = state.dirty or state.used_blue or state.film_in > 1.5 * FILM_IN
    moved = replace(
        state,
        key=state.key if state.dirty else _set_flat(key, went.seat, went.projection_in),
        seat=went.seat,
        projection_in=went.projection_in,
        used_blue=state.film_in > 0,
        pushes_not_cleaned=state.pushes_not_cleaned + int(unclean),
    )
    if state.film_in <= 0:
        note = "The key was pushed in and drawn. There was no blue on it, so it shows nothing."
        return _seen(moved, "push", note, projection_in=round(went.projection_in, 4))
    marks = read_marks(
        key=key, seat=went.seat, projection_in=went.projection_in, film_in=state.film_in
    )
    push = Push(
        load_lbf=float(load_lbf),
        projection_in=went.projection_in,
        share=marks.share,
        length_share=marks.length_share,
    )
    before = state.pushes[-1].projection_in if state.pushes else went.projection_in
    note = (
        "Pushed in and drawn. It bore where the metal is bright, not where the blue is untouched."
    )
    if went.home:
        note = "The key slid home on this push: nothing is left to drive."
    return _seen(
        replace(moved, marks=marks, pushes=(*state.pushes, push)),
        "push",
        note,
        projection_in=round(went.projection_in, 4),
        travel_in=round(before - went.projection_in, 4),
        still_off_in=round(still_to_come_off_in(went.projection_in, key.taper_in_per_in), 5),
        share=round(marks.share, 4),
        length_share=round(marks.length_share, 4),
    )


def _file(
    state: FittingState, bench: _Bench, *, face: str, spots: list[list[float]], strokes: int
) -> FittingState:
    require_in("face", face, FACES)
    require_range("strokes on each spot", strokes, 1, 200)
    require_range("number of spots", len(spots), 1, 200, "", "Choose the spots to file.")
    key, clog, unmarked = state.key, state.clog, 0
    per_stroke = _CLOG_PER_STROKE_IN_BLUE if state.film_in > 0 else _CLOG_PER_STROKE
    removed = 0.0
    for u, y in spots:
        sharp = 1 - 0.75 * clog
        key, off = file_spot(
            key=key, face=face, u_in=u, y_in=y, volume_in3=strokes * CUT_PER_STROKE_IN3 * sharp
        )
        removed += off
        clog = min(1.0, clog + strokes * per_stroke)
        if _is_unmarked(state, face, u, y):
            unmarked += int(strokes)
    note = (
        f"{counted(len(spots), 'spot')} filed on the {face} face, "
        f"{counted(int(strokes), 'stroke')} each."
    )
    if clog > 0.6:
        note += " The file is clogged: it slides more than it cuts."
    if unmarked:
        note += " Some of that metal was not bright."
    state = replace(
        state,
        key=key,
        clog=clog,
        dirty=True,
        strokes=state.strokes + int(strokes) * len(spots),
        unmarked_strokes=state.unmarked_strokes + unmarked,
    )
    return _seen(state, "file", note, spots=len(spots), strokes=int(strokes))


def _lubricate(state: FittingState, bench: _Bench, *, lubricant: str) -> FittingState:
    require_in("lubricant", lubricant, LUBRICANT_FRICTION)
    note = f"There is {lubricant} on both faces."
    if lubricant == "none":
        note = "Both faces are dry. A key driven dry can gall and may never come out whole."
    return _seen(replace(state, lubricant=lubricant), "lubricate", note)


def _feel(state: FittingState, bench: _Bench, *, leaf_in: float = 0.0015) -> FittingState:
    require_range("feeler leaf", leaf_in, 0.0005, 0.050, "in")
    if state.seat is None:
        raise ValueError(
            "The key has not been in the slot yet: there is no gap to feel. Push it in first."
        )
    side = (bench.slot.bearing_width_in() - bench.key_parameters.width_in) / 2
    check = feel_gaps(key=state.key, seat=state.seat, side_gap_in=side, leaf_in=leaf_in)
    where = [
        name
        for name, deep in (
            ("at the top from the mouth", check.top_mouth_in),
            ("at the top from the far end", check.top_far_in),
            ("at the bottom from the mouth", check.bottom_mouth_in),
            ("at the bottom from the far end", check.bottom_far_in),
        )
        if deep >= 0.125
    ]
    note: str = Said(
        "The {leaf} leaf goes in {where}.",
        leaf=number(leaf_in, "in", ".4f", way="leaf"),
        where=", ".join(where) or "nowhere at top or bottom",
    )
    note += " It goes in at the sides." if check.side_enters else " The sides are tight."
    return _seen(state, "feel", note, **check.to_dict())


def _drive(
    state: FittingState, bench: _Bench, *, blows: int, energy_in_lbf: float = 1000.0
) -> FittingState:
    require_range("blows", blows, 1, 12)
    require_range("energy of a blow", energy_in_lbf, 50.0, 5000.0, "in-lbf")
    key = _with_chips(state.key, Draws(f"{bench.seed}:chips")) if state.dirty else state.key
    draws = Draws(f"{bench.seed}:blows")
    drive = drive_key(
        key=key,
        grid=bench.grid,
        bodies=bench.bodies,
        friction=state.friction,
        energy_lbf_in=energy_in_lbf,
        restitutions=[draws.uniform(low=RESTITUTION[0], high=RESTITUTION[1]) for _ in range(blows)],
        guess_in=state.projection_in,
        start=state.seat,
    )
    last = drive.blows[-1]
    end = last.stands_out_in
    proud = Said(
        "The key stands {end} proud, and these blows drive it no further.",
        end=number(end, "in", ".3f"),
    )
    note: str = Said(
        "{blows}. {where}",
        blows=counted(len(drive.blows), "blow"),
        where="The large end is flush." if end <= 1 / 64 else proud,
    )
    if last.sound == "ringing":
        note += " The last blow rang: it hardly moved the key."
    if state.dirty or state.film_in > 0:
        note += " It was driven without being cleaned."
    state = replace(
        state,
        seat=drive.seat,
        key=_set_flat(key, drive.seat, end),
        projection_in=end,
        driven=True,
        blows=drive.blows,
        seat_force_lbf=drive.push_lbf,
        normal_force_lbf=drive.seat.normal_force_lbf,
        pushes_not_cleaned=state.pushes_not_cleaned + int(state.dirty),
    )
    return _seen(
        state,
        "drive",
        note,
        projection_in=round(end, 4),
        advances_in=[round(one.advance_in, 4) for one in drive.blows],
        sounds=[one.sound for one in drive.blows],
        blows=len(drive.blows),
    )


def _set_flat(key: KeyFaces, seat: Seat, projection_in: float) -> KeyFaces:
    """Return the key with what the slot pressed flat for good, half of it in the key."""
    if not (seat.roof_set_in.any() or seat.floor_set_in.any()):
        return key
    first = round(projection_in / key.spacing_in)
    top, bottom = key.top_in.copy(), key.bottom_in.copy()
    rows = min(len(seat.roof_set_in), len(top) - first)
    top[first : first + rows] -= seat.roof_set_in[:rows] / 2
    bottom[first : first + rows] += seat.floor_set_in[:rows] / 2
    return replace(key, top_in=top, bottom_in=bottom)


def _is_unmarked(state: FittingState, face: str, u: float, y: float) -> bool:
    """Whether the spot was in the slot and has nothing bright within 0.3 in."""
    if state.marks is None:
        return True
    if u < state.projection_in:
        return False  # it stood outside; the blue says nothing about it
    field = state.marks.top if face == "top" else state.marks.bottom
    near_u = np.abs(state.key.u_in() - u) <= 0.3
    near_y = np.abs(state.key.y_in - y) <= 0.3
    return not bool((field[near_u][:, near_y] >= 1).any())


def _with_chips(key: KeyFaces, draws: Draws) -> KeyFaces:
    """Lay two crushed filings on the top face."""
    u, y = key.u_in()[:, None], key.y_in[None, :]
    top = key.top_in
    for _ in range(2):
        at_u = draws.uniform(low=0.15, high=0.85) * key.length_in
        at_y = draws.uniform(low=0.8, high=-0.8) * float(key.y_in[-1])
        height = _CHIP_HEIGHT_IN * draws.uniform(low=0.6, high=1.0)
        top = top + height * np.exp(-(((u - at_u) / 0.10) ** 2) - ((y - at_y) / 0.10) ** 2)
    return replace(key, top_in=top)


_STEPS: Acts = {
    "blue": (_blue, ()),
    "push": (_push, ("load_lbf",)),
    "clean": (_clean, ()),
    "file": (_file, ("face", "spots", "strokes")),
    "clean file": (_clean_file, ()),
    "lubricate": (_lubricate, ("lubricant",)),
    "feel": (_feel, ("leaf_in",)),
    "drive": (_drive, ("blows", "energy_in_lbf")),
}
STEP_NAMES = tuple(_STEPS)
"""Steps of the fitting bench."""
