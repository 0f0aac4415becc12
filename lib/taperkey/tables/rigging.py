"""Jacks and friction ranges by name."""

from __future__ import annotations

from dataclasses import dataclass

from taperkey.checks import require_in
from taperkey.tables.reader import read_table

__all__ = [
    "LBF_PER_US_TON",
    "FrictionRange",
    "Jack",
    "friction_range",
    "jack",
    "jack_names",
    "surface_states",
]

LBF_PER_US_TON = 2000.0  # the short ton as a force, by which jacks are rated


@dataclass(frozen=True, kw_only=True)
class Jack:
    """A hydraulic jack as it commonly comes.

    Attributes
    ----------
    name : str
        Such as "10-ton solid".
    kind : str
        "solid" or "hollow".
    rated_tons : float
        Rating in US tons of force, 2000 lbf each [tons].
    rated_lbf : float
        The same rating [lbf].
    hole_in : float or None
        Center hole of a hollow-ram jack; None for a solid one [in].
    """

    name: str
    kind: str
    rated_tons: float
    rated_lbf: float
    hole_in: float | None


@dataclass(frozen=True, kw_only=True)
class FrictionRange:
    """What friction may be for a state of the faces: two ends, never one number.

    Attributes
    ----------
    state : str
        State of the surfaces.
    low : float
        Low end of the range [-].
    high : float
        High end of the range [-].
    note : str
        What sets the two ends.
    status : str
        How well the range is known.
    """

    state: str
    low: float
    high: float
    note: str
    status: str


def jack_names() -> tuple[str, ...]:
    """Return the names of all jacks in the table.

    Returns
    -------
    tuple of str
        Names for `jack`.

    Examples
    --------
    >>> jack_names()[1]
    '10-ton solid'

    Source
    ------
    Table ``jacks.csv``: common practice.
    """
    return tuple(row["name"] for row in read_table("jacks"))


def jack(*, name: str) -> Jack:
    """Return a jack by its name.

    Parameters
    ----------
    name : str
        One of `jack_names`.

    Returns
    -------
    Jack
        Rating in US tons and in [lbf], hole in [in].

    Raises
    ------
    ValueError
        If the name is not in the table.

    Examples
    --------
    >>> jack(name="10-ton solid").rated_lbf
    20000.0

    Source
    ------
    Table ``jacks.csv``: common practice; the plate on the jack rules.
    """
    require_in("jack", name, jack_names(), "Read the rating on the jack.")
    row = next(row for row in read_table("jacks") if row["name"] == name)
    return Jack(
        name=name,
        kind=row["kind"],
        rated_tons=row["rated_tons"],
        rated_lbf=row["rated_tons"] * LBF_PER_US_TON,
        hole_in=row["hole_in"],
    )


def surface_states() -> tuple[str, ...]:
    """Return the states of the faces that have a friction range.

    Returns
    -------
    tuple of str
        Names for `friction_range`.

    Examples
    --------
    >>> surface_states()
    ('lubricated', 'dry', 'rusted')

    Source
    ------
    Table ``friction_states.csv``.
    """
    return tuple(row["name"] for row in read_table("friction_states"))


def friction_range(*, state: str) -> FrictionRange:
    """Return the range of friction for a state of the faces.

    Parameters
    ----------
    state : str
        One of `surface_states`.

    Returns
    -------
    FrictionRange
        Low and high end [-], what sets them, and how well they are known.

    Raises
    ------
    ValueError
        If the state is not in the table.

    Examples
    --------
    >>> rusted = friction_range(state="rusted")
    >>> rusted.low, rusted.high
    (0.27, 0.78)

    Source
    ------
    Table ``friction_states.csv``: own choice inside ``friction_published.csv``.
    """
    require_in("surface state", state, surface_states(), "Look at the end that shows.")
    row = next(row for row in read_table("friction_states") if row["name"] == state)
    return FrictionRange(
        state=state,
        low=row["low"],
        high=row["high"],
        note=row["note"],
        status=row["status"],
    )
