"""The chain from jack to key: which link governs, what to change, go or stop.

A chain is as strong as its weakest link, so every link must be there before the
chain can be read. The demand is a range; the high end is what is compared.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from taperkey.checks import require_at_least, require_in, require_non_negative
from taperkey.formulas.link import Link

__all__ = [
    "REQUIRED_LINKS",
    "CapacityChain",
    "ChainLink",
    "PullDecision",
    "capacity_chain",
    "pull_decision",
]

REQUIRED_LINKS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "strongback": ("jacks", "rod", "tapped hole", "key section", "nut", "strongback", "seat"),
        "hollow-ram": ("jacks", "rod", "tapped hole", "key section", "nut", "seat"),
        "welded strongback": ("jacks", "strongback", "weld", "seat"),
        "slide hammer": ("rod", "tapped hole", "key section", "nut"),
    }
)
ENDS = ("large", "small", "unknown")


@dataclass(frozen=True, kw_only=True)
class ChainLink:
    """A link with the demand set against it.

    Attributes
    ----------
    name : str
        Name of the link.
    capacity_lbf : float
        Pull that the link allows [lbf].
    demand_lbf : float
        High end of the pull [lbf].
    utilisation : float
        Demand over capacity; above 1 is over; infinity at a capacity of 0 [-].
    basis : str
        How the allowance was reckoned.
    source : str
        Rule or table behind it.
    """

    name: str
    capacity_lbf: float
    demand_lbf: float
    utilisation: float
    basis: str
    source: str


@dataclass(frozen=True, kw_only=True)
class CapacityChain:
    """A whole rig against a pull.

    Attributes
    ----------
    method : str
        A key of `REQUIRED_LINKS`.
    links : tuple of ChainLink
        All links, the most used first.
    governing : ChainLink
        The weakest link.
    capacity_lbf : float
        Pull that the chain allows: that of its weakest link [lbf].
    demand_low_lbf : float
        Low end of the pull [lbf].
    demand_high_lbf : float
        High end of the pull [lbf].
    margin_lbf : float
        Capacity less the high end; below 0 is short [lbf].
    within : bool
        True if the high end is not above the capacity.
    change_first : str
        What to change first, as a sentence.
    """

    method: str
    links: tuple[ChainLink, ...]
    governing: ChainLink
    capacity_lbf: float
    demand_low_lbf: float
    demand_high_lbf: float
    margin_lbf: float
    within: bool
    change_first: str


def _require_links(method: str, links: Sequence[Link]) -> None:
    names = [link.name for link in links]
    needed = REQUIRED_LINKS[method]
    lacking = [name for name in needed if name not in names]
    if lacking:
        raise ValueError(
            f"rig by {method} has no {' and no '.join(lacking)}; it must have every link:"
            f" {', '.join(needed)}. Work out what is missing first."
        )
    strange = [name for name in names if name not in needed]
    if strange:
        raise ValueError(
            f"rig by {method} has {strange[0]}; it must have only: {', '.join(needed)}."
            " Leave it out or choose another method."
        )
    twice = [name for name in needed if names.count(name) > 1]
    if twice:
        raise ValueError(
            f"rig by {method} has {twice[0]} {names.count(twice[0])} times; it must have it once."
            " Give the weaker one."
        )


def capacity_chain(
    *,
    method: str,
    links: Sequence[Link],
    demand_low_lbf: float,
    demand_high_lbf: float,
) -> CapacityChain:
    """Return which link governs, the margin, and what to change first.

    capacity = min over links;  utilisation = demand high / capacity

    Parameters
    ----------
    method : str
        "strongback", "hollow-ram", "welded strongback" or "slide hammer".
    links : sequence of Link
        Every link of the method, once each, capacities in [lbf].
    demand_low_lbf : float
        Low end of the pull, 0 or more [lbf].
    demand_high_lbf : float
        High end of the pull, not below the low end [lbf].

    Returns
    -------
    CapacityChain
        Links with demand and utilisation, governing link, margin [lbf], advice.

    Raises
    ------
    ValueError
        If the method is unknown, a link is missing, strange or there twice, or the
        demand is the wrong way round.

    Assumptions
    -----------
    All links see the same pull, in line. A pull out of line bends the rod, and
    that is not in this chain.

    Examples
    --------
    >>> def plain(name, capacity):
    ...     return Link(name=name, capacity_lbf=capacity, basis="", source="",
    ...                 advice="take a larger one")
    >>> chain = capacity_chain(method="welded strongback", demand_low_lbf=10000,
    ...     demand_high_lbf=20000, links=[plain("jacks", 32000), plain("strongback", 30000),
    ...                                   plain("weld", 16000), plain("seat", 90000)])
    >>> chain.governing.name, chain.capacity_lbf, chain.margin_lbf, chain.within
    ('weld', 16000, -4000, False)

    Source
    ------
    Derived here: links in a row carry the same force.
    """
    require_in("method", method, REQUIRED_LINKS, "Choose the rig first.")
    require_non_negative("pull, low end", demand_low_lbf, "lbf")
    require_at_least("pull, high end", demand_high_lbf, demand_low_lbf, "lbf")
    _require_links(method, links)
    ordered = sorted(links, key=lambda link: link.capacity_lbf)
    against = tuple(
        ChainLink(
            name=link.name,
            capacity_lbf=link.capacity_lbf,
            demand_lbf=demand_high_lbf,
            utilisation=(
                demand_high_lbf / link.capacity_lbf if link.capacity_lbf > 0 else float("inf")
            ),
            basis=link.basis,
            source=link.source,
        )
        for link in ordered
    )
    weakest = ordered[0]
    next_up = ordered[1]
    capacity = weakest.capacity_lbf
    change = (
        f"{weakest.name} governs at {capacity:,.0f} lbf: {weakest.advice}; then {next_up.name}"
        f" governs at {next_up.capacity_lbf:,.0f} lbf."
    )
    return CapacityChain(
        method=method,
        links=against,
        governing=against[0],
        capacity_lbf=capacity,
        demand_low_lbf=demand_low_lbf,
        demand_high_lbf=demand_high_lbf,
        margin_lbf=capacity - demand_high_lbf,
        within=demand_high_lbf <= capacity,
        change_first=change,
    )


@dataclass(frozen=True, kw_only=True)
class PullDecision:
    """Go or stop, and why.

    Attributes
    ----------
    go : bool
        True only if nothing speaks against the pull.
    reasons : tuple of str
        Sentences with the numbers compared; at a stop, every reason to stop.
    stop_at_lbf : float or None
        Pull at which to stop pumping; None when no pull is to be made [lbf].
    """

    go: bool
    reasons: tuple[str, ...]
    stop_at_lbf: float | None


def _chain_reason(chain: CapacityChain) -> str:
    demand = f"{chain.demand_low_lbf:,.0f} to {chain.demand_high_lbf:,.0f} lbf"
    against = f"{chain.capacity_lbf:,.0f} lbf that the {chain.governing.name} allows"
    if chain.within:
        return (
            f"The pull of {demand} is within the {against}"
            f" ({chain.governing.utilisation * 100:.0f} % at the high end)."
        )
    if chain.demand_low_lbf <= chain.capacity_lbf:
        return (
            f"The pull of {demand} has its high end above the {against}: a stronger rig is"
            f" needed, or better knowledge of the friction. {chain.change_first}"
        )
    return (
        f"The pull of {demand} is above the {against} from end to end: this rig cannot draw"
        f" the key. {chain.change_first}"
    )


def pull_decision(
    *,
    chain: CapacityChain | None,
    showing_end: str,
    rod_grade_known: bool,
    key_tapped: bool,
) -> PullDecision:
    """Return go or stop for a pull, with every reason.

    go = large end shows and the chain is complete and demand high <= capacity

    Parameters
    ----------
    chain : CapacityChain or None
        The rig against the pull [lbf]; None if it could not be worked out.
    showing_end : str
        Which end of the key shows, from the heights at both ends: "large", "small"
        or "unknown".
    rod_grade_known : bool
        True if the grade of the rod is known from its mark or certificate; it is
        not asked of a welded strongback.
    key_tapped : bool
        True if the key's end is drilled and tapped for the rod; it is not asked of
        a welded strongback.

    Returns
    -------
    PullDecision
        go or stop, reasons, and where to stop pumping [lbf].

    Raises
    ------
    ValueError
        If showing_end is not one of its words.

    Assumptions
    -----------
    Lock-out, guarding, permits and who may stand where are decided by site rules,
    not here.

    Examples
    --------
    >>> decision = pull_decision(chain=None, showing_end="small", rod_grade_known=True,
    ...                          key_tapped=True)
    >>> decision.go, len(decision.reasons)
    (False, 2)

    Source
    ------
    Derived here; the reversed hub is explained by `pull_from_small_end`.
    """
    require_in("showing end", showing_end, ENDS, "Measure the height at both ends.")
    stops: list[str] = []
    if showing_end == "small":
        stops.append(
            "The small end shows: a pull here tightens the key, whatever the force. The hub comes"
            " off first, or the key is pushed out from this end."
        )
    elif showing_end == "unknown":
        stops.append(
            "It is not known which end shows: measure the height of the opening at both ends first."
        )
    uses_rod = chain is None or "rod" in REQUIRED_LINKS[chain.method]
    if uses_rod and not rod_grade_known:
        stops.append("The grade of the rod is not known, so its strength is not known.")
    if uses_rod and not key_tapped:
        stops.append("The key is not tapped: the rod has nothing to hold in.")
    if chain is None:
        stops.append("The rig has not been worked out link by link.")
    elif not chain.within:
        stops.append(_chain_reason(chain))
    if stops or chain is None:
        return PullDecision(go=False, reasons=tuple(stops), stop_at_lbf=None)
    reasons = (
        _chain_reason(chain),
        f"Stop pumping at {chain.capacity_lbf:,.0f} lbf: if the key has not moved by then, the seat"
        " force or the friction is more than was reckoned.",
    )
    return PullDecision(go=True, reasons=reasons, stop_at_lbf=chain.capacity_lbf)
