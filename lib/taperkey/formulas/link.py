"""One link of a pulling rig: what it may carry, by which rule, and what to change first."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Link"]


@dataclass(frozen=True, kw_only=True)
class Link:
    """One link of the chain between jack and key.

    Attributes
    ----------
    name : str
        "jacks", "rod", "tapped hole", "key section", "nut", "strongback", "weld", "head" or
        "seat".
    capacity_lbf : float
        Pull along the key that this link allows [lbf].
    basis : str
        How the allowance was reckoned, with its numbers.
    source : str
        Rule or table behind it.
    advice : str
        What to change first when this link governs, as a clause.
    """

    name: str
    capacity_lbf: float
    basis: str
    source: str
    advice: str
