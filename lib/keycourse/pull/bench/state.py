"""Key and rig of a pull as they are at one moment, and what was seen of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from keycourse.pull.bench.breaches import Committed
from keycourse.pull.bench.seated import SeatedKey
from taperkey.checks import require_in, require_positive, require_range

__all__ = [
    "HOT",
    "IN_LINE",
    "LINK_NAMES",
    "NO_LIMIT_LBF",
    "STANDS",
    "THROUGH_BEARING",
    "WELDS",
    "PullObservation",
    "PullingState",
    "RigLink",
    "by_blows",
]

NO_LIMIT_LBF = 1.0e7
"""Earlier pulls have jacks without limit on a slide hammer; they stay out of sight [lbf]."""

IN_LINE = "in line"
STANDS = ("to the side", IN_LINE)
"""Where whoever pumps, strikes or pushes stands."""

HOT, THROUGH_BEARING = "hot", "through the bearing"
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
    broken: tuple[str, ...] = ()
    over_working: tuple[str, ...] = ()
    observations: tuple[PullObservation, ...] = ()

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
