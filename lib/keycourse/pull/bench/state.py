"""Key and rig of a pull as they are at one moment, and what was seen of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from keycourse.hazards import sentences
from keycourse.pull.bench.breaches import Committed
from keycourse.pull.bench.give import Give, heat_left
from keycourse.pull.bench.seated import SeatedKey
from taperkey.checks import require_in, require_positive, require_range
from taperkey.formulas.squeeze import opening_growth_in

__all__ = [
    "FEET",
    "HAZARDS",
    "HOT",
    "IN_LINE",
    "LINK_NAMES",
    "NO_LIMIT_LBF",
    "NO_RIG",
    "PUMPED",
    "STANDS",
    "STILL",
    "THROUGH_BEARING",
    "WELDS",
    "PullObservation",
    "PullingState",
    "RigLink",
    "by_blows",
    "observed",
]

NO_LIMIT_LBF = 1.0e7
"""Earlier pulls have jacks without limit on a slide hammer; they stay out of sight [lbf]."""

IN_LINE = "in line"
STANDS = ("to the side", IN_LINE)
"""Where whoever pumps, strikes or pushes stands."""

HOT, THROUGH_BEARING = "hot", "through the bearing"
FEET = ("hub", "shaft")
"""Where the jacks stand: on the face of the hub or on the end of the shaft."""

PUMPED = ("in turn", "one first", "one pump")
"""How two jacks are pumped: a stroke each, one of them first, or both from one pump."""

WELDS = ("cooled", HOT, THROUGH_BEARING)
"""How a weld was made: earthed on key or bar and left to cool, loaded hot, earthed on the shaft."""

LINK_NAMES = {
    "jacks": "The jack passes its relief valve or its seal goes: the load drops at once.",
    "rod": "The rod parts and flies out along the line of the pull.",
    "nut": "The nut strips off the rod and flies along the line of the pull; what stood under it"
    " drops.",
    "thread": "The thread strips out of the key: the hole is spoiled for the next pull.",
    "key section": "The end of the key tears off around the hole and flies out on the rod; the rest"
    " has no thread left to hold it by.",
    "weld": "The weld tears off the key, and a piece of the key with it.",
    "strongback": "The strongback bends and slides off the jacks.",
    "seat": "The feet of the jacks sink into the face of the hub: the rig tips and kicks out"
    " sideways.",
    "head": "The head shears off the key: nothing is left to hold it by.",
}
"""Links of a rig, and what it would have hurt when one goes. Common practice."""


HAZARDS: dict[str, tuple[str, ...]] = {
    "rig": ("hot-work", "fumes", "hot-weld"),
    "load": ("starts", "in-line", "under-load", "oil"),
    "pump": ("starts", "in-line", "under-load", "oil"),
    "heat": ("hot-work", "fumes", "heat"),
    "penetrant": ("penetrant",),
    "jacks": ("more-jack",),
    "push": ("push",),
    "remove hub": ("loose-hub", "hanging"),
}
"""Hazards of each step, by names of keycourse/hazards.toml."""

NO_RIG = "No rig stands on the key: there is nothing to pull with. Set up a rig first."
STILL = "{load}, and nothing moves."


@dataclass(frozen=True, kw_only=True)
class RigLink:
    """One link of the rig, with plain capacities.

    Parameters
    ----------
    name : str
        One of :data:`LINK_NAMES`.
    working_lbf : float
        What it may be loaded to, above 0 [lbf].
    breaking_lbf : float
        Where it goes, on average, above the working load [lbf].
    """

    name: str
    working_lbf: float
    breaking_lbf: float

    def __post_init__(self) -> None:
        """Refuse a link that cannot be."""
        require_in("link", self.name, LINK_NAMES)
        require_positive("working load", self.working_lbf, "lbf")
        require_range("breaking load", self.breaking_lbf, self.working_lbf, 1e9, "lbf")


@dataclass(frozen=True, kw_only=True)
class PullObservation:
    """What the apprentice saw at one step; plain values.

    Parameters
    ----------
    step : str
        What was done.
    outcome : str
        "still", "moved", "tightened", "gave way", "done" or "refused".
    note : str
        One or a few sentences.
    cautions : tuple of str
        What to heed at this spot.
    values : dict
        Numbers that can be read on the bench, with unit suffix.
    breaches : tuple of Committed
        What was done out of turn, or was stopped before it was done.
    """

    step: str
    outcome: str
    note: str
    cautions: tuple[str, ...]
    values: dict[str, Any]
    breaches: tuple[Committed, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """Return the observation ready for JSON."""
        return asdict(self)


@dataclass(frozen=True, kw_only=True)
class PullingState:
    """The key and the rig as they are now.

    Parameters
    ----------
    key : SeatedKey
        As it sits now; hidden.
    links : tuple of RigLink
        The rig set up.
    strengths_lbf : tuple of float
        Where each link really goes; hidden [lbf].
    load_lbf, peak_lbf : float
        On now, and highest so far [lbf].
    out, hub_off, measured, oiled : bool
        Key out; hub off; both ends measured; penetrant on the faces.
    soaked_h : float
        How long penetrant has worked, all soaks together [h].
    blows : int
        Blows struck since penetrant or heat last helped.
    weld : str
        One of :data:`WELDS`.
    give : Give or None
        How the rig gives; None for one that strikes, and for a rig of a record that tells nothing
        of it: its loads come out as they did then.
    feet : str
        One of :data:`FEET`: where the jacks stand.
    bore_friction : float
        Of the hub on its shaft; hidden [-].
    minutes : float
        Since the session began [min].
    hot_f, hot_at_min : float
        Hub above shaft at the key when the torch went out, and when that was [F], [min].
    set_in, crept_in, tilt_in : float
        Rod longer for good; key crept out; one jack above the other [in].
    slack_in : float
        What the jacks run before the rig is tight, with what the key has crept since [in].
    runs_in : tuple of float
        How far each jack has run out; empty for a rig that was never pumped [in].
    rested_lbf : float
        Load that was held last [lbf].
    pumped_lbf_in, crept_lbf_in, set_lbf_in : float
        Energy of the pump since the rig was set up, and what of it a creeping key and a stretching
        rod took up [lbf_in].
    wet_h : float
        Time in which penetrant has crept, dry hours left out [h].
    open_share : float or None
        How open the joint was to it; None before any. Hidden.
    soaked_share : float
        Part of rust and friction that it has taken off by now; hidden.
    broken, over_working : tuple of str
        Links that gave way, and links loaded over their working load.
    observations : tuple of PullObservation
        What the apprentice saw, in order.
    """

    key: SeatedKey
    links: tuple[RigLink, ...] = ()
    strengths_lbf: tuple[float, ...] = ()
    load_lbf: float = 0.0
    peak_lbf: float = 0.0
    out: bool = False
    hub_off: bool = False
    measured: bool = False
    oiled: bool = False
    soaked_h: float = 0.0
    blows: int = 0
    weld: str = WELDS[0]
    give: Give | None = None
    feet: str = FEET[0]
    bore_friction: float = 1.0
    minutes: float = 0.0
    hot_f: float = 0.0
    hot_at_min: float = 0.0
    set_in: float = 0.0
    crept_in: float = 0.0
    tilt_in: float = 0.0
    slack_in: float = 0.0
    runs_in: tuple[float, ...] = ()
    rested_lbf: float = 0.0
    pumped_lbf_in: float = 0.0
    crept_lbf_in: float = 0.0
    set_lbf_in: float = 0.0
    wet_h: float = 0.0
    open_share: float | None = None
    soaked_share: float = 0.0
    broken: tuple[str, ...] = ()
    over_working: tuple[str, ...] = ()
    observations: tuple[PullObservation, ...] = ()

    @property
    def growth_in(self) -> float:
        """How much more open the slot is for the heat that is left [in]."""
        left_f = self.hot_f * heat_left(self.minutes - self.hot_at_min)
        if left_f <= 0:
            return 0.0
        return opening_growth_in(
            difference_degF=left_f, bore_in=self.key.bore_in, height_in=self.key.height_mouth_in
        )

    @property
    def key_now(self) -> SeatedKey:
        """The key with the heat that is left in the hub; hidden."""
        growth = self.growth_in
        return self.key if growth == 0 else self.key.eased(growth)

    @property
    def weakest(self) -> RigLink | None:
        """Link with the lowest working load; None without a rig."""
        return min(self.links, key=lambda link: link.working_lbf, default=None)

    @property
    def under_load(self) -> bool:
        """Whether a pull is on now; a blow is over as soon as it is struck."""
        return self.load_lbf > 0 and not by_blows(self.links)


def by_blows(links: Sequence[RigLink]) -> bool:
    """Return whether a rig strikes blows: a rod without jacks.

    Parameters
    ----------
    links : sequence of RigLink
        The rig; none of it strikes nothing.
    """
    jacks = [o for o in links if o.name == "jacks" and o.working_lbf < NO_LIMIT_LBF]
    return bool(links) and not jacks


def observed(
    state: PullingState, step: str, outcome: str, note: str, **values: Any
) -> PullingState:
    """Return the state with what was seen at a step.

    Parameters
    ----------
    state : PullingState
        After the step.
    step : str
        What was done.
    outcome : str
        As in :class:`PullObservation`.
    note : str
        One or a few sentences.
    values : dict
        Numbers that can be read on the bench, with unit suffix.
    """
    observation = PullObservation(
        step=step,
        outcome=outcome,
        note=note,
        cautions=tuple(sentences(HAZARDS[step])) if step in HAZARDS else (),
        values=values,
    )
    return replace(state, observations=(*state.observations, observation))
