"""A session on the pulling bench: measure, rig, load in steps, help it, or stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, ClassVar

from coursework.bench import Steps
from keycourse.pull.bench.breaches import BREACHES, Committed
from keycourse.pull.bench.pulling_steps import STEP_NAMES, carry_out, left_undone
from keycourse.pull.bench.seated import SeatedKey
from keycourse.pull.bench.state import (
    PullingState,
    PullObservation,
    RigLink,
)
from keycourse.pull.bench.watching import watched
from taperkey.checks import require_in
from taperkey.formulas.reversed_hub import SmallEndPull, pull_from_small_end

__all__ = ["PullingSession", "PullingSummary", "start_pulling"]


@dataclass(frozen=True, kw_only=True)
class PullingSummary:
    """What a pull came to; for the end of the practice or the marker.

    Parameters
    ----------
    outcome : str
        "out", "hub off", "stuck" (nothing done or nothing moved) or "broken".
    peak_lbf : float
        Highest load [lbf].
    start_lbf, start_first_lbf : float
        Pull or push that starts the key now, and when the session began [lbf].
    weakest : str
        Link with the lowest working load of the rig that stands; empty without a rig.
    weakest_lbf : float
        Its working load; 0 without a rig [lbf].
    margin_lbf : float
        Working load less the pull that starts the key [lbf].
    broken : tuple of str
        Links that gave way, in order.
    small_end : SmallEndPull or None
        For a reversed hub: why the highest pull could not draw the key.
    faults : tuple of str
        Keys of :data:`keycourse.pull.bench.breaches.BREACHES`, each once, in its order.
    """

    outcome: str
    peak_lbf: float
    start_lbf: float
    start_first_lbf: float
    weakest: str
    weakest_lbf: float
    margin_lbf: float
    broken: tuple[str, ...]
    small_end: SmallEndPull | None
    faults: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class PullingSession(Steps):
    """A pulling session: the hidden seat and the steps so far.

    Parameters
    ----------
    key : SeatedKey
        As it was found; hidden.
    seed : int
        Decides where links go, and the scatter of readings.
    steps : tuple of dict
        What was done, in order; plain values.
    """

    bench: ClassVar[str] = "pulling"
    key: SeatedKey
    seed: int
    steps: tuple[dict[str, Any], ...] = ()
    _state: PullingState = field(compare=False, repr=False)

    @property
    def state(self) -> PullingState:
        """Key and rig as they are now; hidden from the apprentice."""
        return self._state

    @property
    def observations(self) -> tuple[PullObservation, ...]:
        """What the apprentice saw, one for each step."""
        return self._state.observations

    @property
    def breaches(self) -> tuple[Committed, ...]:
        """What was done out of turn or stopped, in order; some of it hidden until the end."""
        return tuple(one for seen in self.observations for one in seen.breaches)

    @property
    def finished(self) -> bool:
        """Whether the key is out or the hub is off."""
        return self._state.out or self._state.hub_off

    def do(self, step: str, **choices: Any) -> PullingSession:
        """Return the session with one more step.

        Parameters
        ----------
        step : str
            "measure ends", "rig" (`links`, each with `name`, `working_lbf`,
            `breaking_lbf`; `weld`, `feet`, `give`), "jacks" (`working_lbf`, `breaking_lbf`;
            `give`), "load" (`load_lbf`; `stand`, `held_min` before it, `pumped`), "ease",
            "penetrant" (`hours`), "wipe", "heat" (`difference_f`; `cools`), "push"
            (`load_lbf`; `stand`), "remove hub" (`slung`), "look", "knock", "take up" or
            "feel hose".
        **choices
            As the step needs; plain values.

        Raises
        ------
        ValueError
            If the step cannot be done now, or a choice is outside its range.
        """
        plain = {"do": step, **choices}
        done, found = self._tried(plain)
        stops = [one.name for one in found if BREACHES[one.name].stopped]
        if stops and done.observations[-1].outcome != "refused":
            plain["stopped"] = stops[0]
        return self.again(plain)

    def again(self, step: dict[str, Any]) -> PullingSession:
        """Return the session with a step of a record done as it was done then.

        A step that was stopped says so under "stopped"; one of an earlier record that would be
        stopped today was carried out, and stays so.
        """
        plain = dict(step)
        stopped = plain.pop("stopped", None)
        state, found = self._tried(plain)
        if stopped is not None:
            require_in("stopped", stopped, BREACHES)
            state = left_undone(before=self._state, step=plain)
        *earlier, seen = state.observations
        state = replace(state, observations=(*earlier, replace(seen, breaches=found)))
        return replace(self, steps=(*self.steps, dict(step)), _state=state)

    def _tried(self, plain: dict[str, Any]) -> tuple[PullingState, tuple[Committed, ...]]:
        require_in("step", plain.get("do"), STEP_NAMES)
        after = carry_out(state=self._state, step=plain, seed=f"{self.seed}:{len(self.steps)}")
        return after, watched(before=self._state, after=after, step=plain)

    def rig(self, links: Sequence[RigLink]) -> PullingSession:
        """Return the session with a rig set up from links."""
        plain = [
            {
                "name": link.name,
                "working_lbf": link.working_lbf,
                "breaking_lbf": link.breaking_lbf,
            }
            for link in links
        ]
        return self.do("rig", links=plain)

    def emptied(self, *, seed: int) -> PullingSession:
        """Return the session on the same key with nothing done."""
        return start_pulling(key=self.key, seed=seed)

    def summary(self) -> PullingSummary:
        """Return what the pull came to, hidden values included.

        Source
        ------
        Derived here.
        """
        return _summarise(self)


def start_pulling(*, key: SeatedKey, seed: int) -> PullingSession:
    """Return a pulling session with the key in its hub.

    Parameters
    ----------
    key : SeatedKey
        The hidden seat.
    seed : int
        Decides where links go, and the scatter of readings.

    Returns
    -------
    PullingSession
        With no step yet.

    Raises
    ------
    ValueError
        From :class:`SeatedKey`, if the key cannot be.

    Assumptions
    -----------
    The drive is stopped and locked out.

    Examples
    --------
    >>> key = SeatedKey(normal_force_lbf=150_000.0, squeeze_in=0.00125)
    >>> session = start_pulling(key=key, seed=1).do("measure ends")
    >>> session.observations[0].note
    'The key gets lower going in: the large end shows, a pull can draw it.'

    Source
    ------
    Derived here.
    """
    return PullingSession(key=key, seed=seed, _state=PullingState(key=key))


def _summarise(session: PullingSession) -> PullingSummary:
    state = session.state
    outcome = "stuck"
    if state.out:
        outcome = "out"
    elif state.hub_off:
        outcome = "hub off"
    elif state.broken:
        outcome = "broken"
    committed = {one.name for one in session.breaches}
    faults = tuple(name for name in BREACHES if name in committed)
    small_end = None
    if session.key.small_end_shows:
        small_end = pull_from_small_end(
            pull_lbf=state.peak_lbf,
            normal_force_lbf=session.key.normal_force_lbf,
            taper_in_per_in=session.key.taper_in_per_in,
            floor_friction=session.key.floor_friction,
            roof_friction=session.key.roof_friction,
        )
    weakest = state.weakest
    weakest_lbf = weakest.working_lbf if weakest else 0.0
    return PullingSummary(
        outcome=outcome,
        peak_lbf=state.peak_lbf,
        start_lbf=state.key_now.start_lbf,
        start_first_lbf=session.key.start_lbf,
        weakest=weakest.name if weakest else "",
        weakest_lbf=weakest_lbf,
        margin_lbf=weakest_lbf - state.key_now.start_lbf,
        broken=state.broken,
        small_end=small_end,
        faults=faults,
    )
