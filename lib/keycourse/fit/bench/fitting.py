"""A session on the fitting bench: blue, push, read, clean, file, again; then drive.

The session is a list of steps; every change returns a new session. What the
apprentice may see is in ``observations``; what is hidden is in ``summary``.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any, ClassVar

from coursework.bench import Steps
from keycourse.fit.bench.blueing import feel_gaps
from keycourse.fit.bench.fitting_steps import (
    STEP_NAMES,
    FittingState,
    Observation,
    begin,
    bodies_of,
    carry_out,
)
from keycourse.fit.bench.insertion import insert_key
from keycourse.fit.bench.keyblank import KeyFaces, KeyParameters, draw_key
from keycourse.measure.bench.slot import SlotGrid, TrueSlot
from taperkey import practice
from taperkey.checks import require_in
from taperkey.formulas.wedge import withdrawal_force_lbf
from taperkey.tables.rigging import friction_range
from taperkey.tables.stock import feeler_leaves_in

__all__ = ["MODEL", "FittingSession", "FittingSummary", "start_fitting"]

MODEL = 2
"""Steel that a record was made on: 1 springs side by side, 2 elastic bodies; each record has it."""

LOOSE_PSI = practice.value("loose_pressure")
"""Mean pressure on the faces below which a driven key counts as loose [psi]."""

PROUD_IN = practice.value("proud")
"""Stand-out after the drive above which a key counts as not home [in]."""

EARLY_DRAW_IN = practice.value("driven_early")
"""Stand-out from which the drive counts as early [in]."""

LEAST_BEARING = practice.value("bearing_after_drive")
"""Share of the faces that must press after the drive."""

LEAST_TAP_BEARING = practice.value("bearing_at_tap")
"""Bright share that the last tap should have shown."""

LEAST_DRAW_IN = practice.span("file_to")[0]
"""Stand-out below which too much metal is off [in]."""

FEELER_LEAF_IN = feeler_leaves_in()[0]
"""Leaf of the feeler gauge check after the drive; the thinnest of a common set [in]."""

RUSTED_FRICTION = friction_range(state="rusted").low
"""Friction with a thick oxide film: low end of that state in the friction table [-]."""


@dataclass(frozen=True, kw_only=True)
class FittingSummary:
    """What a fitting came to; for the end of the practice or the marker.

    Parameters
    ----------
    fittings : int
        Pushes with blue before the drive.
    first_projection_in, draw_in : float
        Stand-out at the first push and at the last push before the drive [in].
    travel_in : float
        Difference of the two [in].
    share, length_share : float
        Bright spots at the last push, 0 to 1.
    strokes, unmarked_strokes : int
        File strokes, and those where nothing was bright.
    pushes_not_cleaned : int
        Pushes with old blue or filings on the key.
    driven, home : bool
        Whether it was driven, and whether the large end came flush.
    projection_in : float
        Stand-out at the end [in].
    seat_force_lbf, normal_force_lbf : float
        Push at the end of the drive, and force on the faces [lbf].
    mean_pressure_psi : float
        On the faces after the drive [psi].
    ring_in : float
        How far the hub's ring is open after the drive [in].
    bearing_share : float
        Share of both faces that press after the drive, 0 to 1.
    tap_gap_in, drive_gap_in : float
        Largest gap above or below the key under the last tap and after the drive [in].
    feeler_top_in, feeler_bottom_in : float
        How far a 0.0015 in leaf enters above and below the driven key, from the
        worse end; 0 before the drive [in].
    feeler_sides : bool
        Whether that leaf enters at the sides, as it should.
    filed_off_in : float
        Metal filed off both faces together, mean over the faces [in].
    travel_per_thousandth_in : float
        Travel for each thousandth filed off; 0 if nothing was filed. Filing only where
        it bears makes it more than the 0.096 in of an even cut at 1:96 [in].
    over_filed_in : float
        Height that is missing to a draw of 1/16 in at the last push; 0 if none is. At
        a draw of 0 it is the least that is missing [in].
    pull_clean_lbf, pull_rusted_lbf : float
        Pull that starts the key with the lubricant used, and once rusted [lbf].
    faults : tuple of str
        Any of "proud", "early", "loose", "bearing", "gaps", "unmarked", "not cleaned",
        "not driven", "dry".
    """

    fittings: int
    first_projection_in: float
    draw_in: float
    travel_in: float
    share: float
    length_share: float
    strokes: int
    unmarked_strokes: int
    pushes_not_cleaned: int
    driven: bool
    home: bool
    projection_in: float
    seat_force_lbf: float
    normal_force_lbf: float
    mean_pressure_psi: float
    ring_in: float
    bearing_share: float
    tap_gap_in: float
    drive_gap_in: float
    feeler_top_in: float
    feeler_bottom_in: float
    feeler_sides: bool
    filed_off_in: float
    travel_per_thousandth_in: float
    over_filed_in: float
    pull_clean_lbf: float
    pull_rusted_lbf: float
    faults: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class FittingSession(Steps):
    """A fitting session: the hidden slot, the key, and the steps so far.

    Parameters
    ----------
    slot : TrueSlot
        The hidden slot.
    key_parameters : KeyParameters
        The blank as it came from the machine.
    seed : int
        Decides the key's surface and where filings lie.
    length_count, width_count : int
        Grid, strips along and across.
    steps : tuple of dict
        What was done, in order; plain values.
    """

    bench: ClassVar[str] = "fitting"
    slot: TrueSlot
    key_parameters: KeyParameters
    seed: int
    length_count: int = 128
    width_count: int = 24
    steps: tuple[dict[str, Any], ...] = ()
    _grid: SlotGrid = field(compare=False, repr=False)
    _state: FittingState = field(compare=False, repr=False)

    @property
    def state(self) -> FittingState:
        """Key, marks and contact as they are now; hidden from the apprentice."""
        return self._state

    @property
    def grid(self) -> SlotGrid:
        """The slot on the session's grid; hidden from the apprentice."""
        return self._grid

    @property
    def observations(self) -> tuple[Observation, ...]:
        """What the apprentice saw, one for each step."""
        return self._state.observations

    @property
    def finished(self) -> bool:
        """Whether the key has been driven."""
        return self._state.driven

    def do(self, step: str, **choices: Any) -> FittingSession:
        """Return the session with one more step.

        Parameters
        ----------
        step : str
            "blue", "push" (`load_lbf`), "clean", "file" (`face`, `spots`,
            `strokes`), "clean file", "lubricate" (`lubricant`), "feel"
            (`leaf_in`) or "drive" (`blows`, `energy_in_lbf`).
        **choices
            As the step needs; plain values.

        Raises
        ------
        ValueError
            If the step cannot be done now, or a choice is outside its range.
        """
        require_in("step", step, STEP_NAMES)
        plain = {"do": step, **choices}
        state = carry_out(
            state=self._state,
            step=plain,
            grid=self._grid,
            slot=self.slot,
            key_parameters=self.key_parameters,
            seed=f"{self.seed}:{len(self.steps)}",
        )
        return replace(self, steps=(*self.steps, plain), _state=state)

    def record(self) -> dict[str, Any]:
        """Return seed, steps and the model they were done on; no hidden value is in it."""
        return {**super().record(), "model": MODEL}

    def emptied(self, *, seed: int) -> FittingSession:
        """Return the session on the same slot and blank with nothing done."""
        return start_fitting(
            slot=self.slot,
            seed=seed,
            key_parameters=self.key_parameters,
            length_count=self.length_count,
            width_count=self.width_count,
        )

    def again(self, step: dict[str, Any]) -> FittingSession:
        """Return the session with a step of a record done."""
        return self.do(**{"step" if name == "do" else name: one for name, one in step.items()})

    def summary(self) -> FittingSummary:
        """Return what the fitting came to, hidden values included.

        Source
        ------
        Derived here; limits as named in this module.
        """
        return _summarise(self)


def start_fitting(
    *,
    slot: TrueSlot,
    seed: int,
    key_parameters: KeyParameters | None = None,
    length_count: int = 128,
    width_count: int = 24,
) -> FittingSession:
    """Return a fitting session with the blank on the bench.

    Parameters
    ----------
    slot : TrueSlot
        The hidden slot.
    seed : int
        Decides the key's surface and where filings lie.
    key_parameters : KeyParameters, optional
        The blank; by default 0.010 in over size at 1:96, narrower than the slot by 0.006 in.
    length_count, width_count : int
        Grid, strips along and across.

    Returns
    -------
    FittingSession
        With no step yet.

    Raises
    ------
    ValueError
        If the key does not belong to the slot.

    Assumptions
    -----------
    The key's sides are already fitted.

    Examples
    --------
    >>> from keycourse.measure.bench.slot import SlotParameters, draw_slot
    >>> session = start_fitting(slot=draw_slot(parameters=SlotParameters(), seed=1), seed=1,
    ...     length_count=64, width_count=12)
    >>> session = session.do("blue").do("push", load_lbf=50.0)
    >>> [one.step for one in session.observations]
    ['blue', 'push']

    Source
    ------
    Derived here; what is left on: practice.csv, fitting_allowance.
    """
    parameters = key_parameters
    if parameters is None:
        parameters = KeyParameters(width_in=slot.bearing_width_in() - 0.006)
    key, grid = draw_key(
        slot=slot,
        parameters=parameters,
        seed=f"{seed}:key",
        length_count=length_count,
        width_count=width_count,
    )
    return FittingSession(
        slot=slot,
        key_parameters=parameters,
        seed=seed,
        length_count=length_count,
        width_count=width_count,
        _grid=grid,
        _state=begin(key=key),
    )


def _filed_off_in(session: FittingSession) -> float:
    """Return the metal filed off, as the mean of both faces together [in]."""
    blank, _ = draw_key(
        slot=session.slot,
        parameters=session.key_parameters,
        seed=f"{session.seed}:key",
        length_count=session.length_count,
        width_count=session.width_count,
    )
    key = session.state.key
    return float((blank.top_in - key.top_in).mean() + (key.bottom_in - blank.bottom_in).mean())


def _pull(normal_force_lbf: float, key: KeyFaces, friction: float) -> float:
    return withdrawal_force_lbf(
        normal_force_lbf=normal_force_lbf,
        taper_in_per_in=key.taper_in_per_in,
        floor_friction=friction,
        roof_friction=friction,
    )


def _summarise(session: FittingSession) -> FittingSummary:
    state = session.state
    key = state.key
    pushes = state.pushes
    draw = pushes[-1].projection_in if pushes else 0.0
    first = pushes[0].projection_in if pushes else 0.0
    normal = state.normal_force_lbf if state.driven else 0.0
    area = key.length_in * key.width_in
    tap_gap = drive_gap = ring = bearing = 0.0
    feeler_top = feeler_bottom = 0.0
    feeler_sides = leaf_enters = False
    if pushes:
        tap = insert_key(
            key=key,
            grid=session.grid,
            bodies=bodies_of(grid=session.grid, slot=session.slot),
            load_lbf=1000.0,
            floor_friction=0.15,
            roof_friction=0.15,
            guess_in=draw,
            start=state.seat,
        )
        tap_gap = max(float(tap.seat.roof_gap_in.max()), float(tap.seat.floor_gap_in.max()))
    seat = state.seat
    if state.driven and seat is not None:
        drive_gap = max(0.0, float(seat.roof_gap_in.max()), float(seat.floor_gap_in.max()))
        ring, bearing = seat.ring_in, seat.bearing_share
        felt = feel_gaps(
            key=key,
            seat=seat,
            side_gap_in=(session.slot.bearing_width_in() - session.key_parameters.width_in) / 2,
            leaf_in=FEELER_LEAF_IN,
        )
        feeler_top = max(felt.top_mouth_in, felt.top_far_in)
        feeler_bottom = max(felt.bottom_mouth_in, felt.bottom_far_in)
        feeler_sides, leaf_enters = felt.side_enters, felt.enters
    filed = _filed_off_in(session) if state.strokes else 0.0
    short = max(0.0, LEAST_DRAW_IN - draw) if pushes else 0.0
    mean = normal / area
    faults = []
    if not state.driven:
        faults.append("not driven")
    else:
        if state.projection_in > PROUD_IN:
            faults.append("proud")
        if draw > EARLY_DRAW_IN or not pushes:
            faults.append("early")
        if mean < LOOSE_PSI:
            faults.append("loose")
        if bearing < LEAST_BEARING or (pushes and pushes[-1].share < LEAST_TAP_BEARING):
            faults.append("bearing")
        if leaf_enters:
            faults.append("gaps")
        if state.lubricant == "none":
            faults.append("dry")
    if state.unmarked_strokes > 0.02 * max(1, state.strokes):
        faults.append("unmarked")
    if state.pushes_not_cleaned:
        faults.append("not cleaned")
    return FittingSummary(
        fittings=len(pushes),
        first_projection_in=first,
        draw_in=draw,
        travel_in=first - draw,
        share=pushes[-1].share if pushes else 0.0,
        length_share=pushes[-1].length_share if pushes else 0.0,
        strokes=state.strokes,
        unmarked_strokes=state.unmarked_strokes,
        pushes_not_cleaned=state.pushes_not_cleaned,
        driven=state.driven,
        home=state.driven and state.projection_in <= PROUD_IN,
        projection_in=state.projection_in,
        seat_force_lbf=state.seat_force_lbf,
        normal_force_lbf=normal,
        mean_pressure_psi=mean,
        ring_in=ring,
        bearing_share=bearing,
        tap_gap_in=tap_gap,
        drive_gap_in=drive_gap,
        feeler_top_in=feeler_top,
        feeler_bottom_in=feeler_bottom,
        feeler_sides=feeler_sides,
        filed_off_in=filed,
        travel_per_thousandth_in=(first - draw) / (1000 * filed) if filed > 0 else 0.0,
        over_filed_in=short * key.taper_in_per_in,
        pull_clean_lbf=_pull(normal, key, state.friction),
        pull_rusted_lbf=_pull(normal, key, max(RUSTED_FRICTION, state.friction)),
        faults=tuple(faults),
    )
