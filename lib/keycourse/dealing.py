"""Which kind of card each apprentice gets for each exercise: a set that tests everybody.

Each lesson's ``card`` names its kinds and the traps that each holds. They are dealt to one
apprentice independently of each other, and dealt again until the whole set holds ``WANTED``. So
everybody meets every trap, and neither a neighbor's cards nor a machine's name tells anything.
"""

from __future__ import annotations

import functools
from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from coursework.draws import Draws
from keycourse.drive import MACHINES

__all__ = ["METRIC_SHARE", "WANTED", "Dealt", "Deck", "deal"]

#: In how many exercises of one set each trap is met at least.
WANTED: Mapping[str, int] = MappingProxyType(
    {
        "reversed": 2,
        "ordinary": 2,
        "cannot tell": 1,
        "off standard": 1,
        "short base": 1,
        "weak rig": 1,
        "rusted": 1,
        "not tapped": 1,
    }
)
#: Share of metric cards as they are dealt; at least one of a set is.
METRIC_SHARE = 0.2
# One in four of the sets that want their last card for this is dealt again: it could be foretold.
_WAYS = ("reversed", "ordinary", "cannot tell")
_MOST_DEALS = 10_000


@dataclass(frozen=True, kw_only=True)
class Deck:
    """The kinds of card of one exercise.

    Attributes
    ----------
    exercise : str
        Its name.
    kinds : tuple
        Each kind as often as it shall be drawn.
    traps_of : callable
        Which traps a card of a kind holds.
    """

    exercise: str
    kinds: tuple[Hashable, ...]
    traps_of: Callable[[Any], frozenset[str]]


@dataclass(frozen=True, kw_only=True)
class Dealt:
    """What one exercise is dealt.

    Attributes
    ----------
    turn : int
        Place in the deck's kinds.
    metric : bool
        Whether the card is metric.
    machine : int
        Which machine of the quarry it is about; another one for each exercise.
    traps : frozenset of str
        The traps that the card holds.
    """

    turn: int
    metric: bool
    machine: int
    traps: frozenset[str]


@functools.lru_cache(maxsize=4096)
def deal(
    decks: tuple[Deck, ...], *, class_code: str, number: int, again: int = 0
) -> Mapping[str, Dealt]:
    """Deal one apprentice's set.

    Parameters
    ----------
    decks : tuple of Deck
        One an exercise, in the order of the course.
    class_code : str
        The class.
    number, again : int
        The apprentice's number; 0 for the first set, 1 for that of the first resit.

    Returns
    -------
    mapping of str to Dealt
        By exercise; the same for the same arguments.

    Raises
    ------
    ValueError
        No set of these decks holds what is wanted.
    """
    draws = Draws(f"{class_code}/{number}/deal/{again}")
    for _ in range(_MOST_DEALS):
        turns = [draws.whole(low=0, high=len(deck.kinds) - 1) for deck in decks]
        metric = [draws.uniform(low=0.0, high=1.0) < METRIC_SHARE for _ in decks]
        traps = [deck.traps_of(deck.kinds[turn]) for deck, turn in zip(decks, turns, strict=True)]
        last_is_open = _holds_all(traps[:-1], _WAYS) or draws.uniform(low=0.0, high=1.0) < 0.75
        if any(metric) and _holds_all(traps) and last_is_open:
            break
    else:
        raise ValueError(
            f"no set of cards holds {', '.join(WANTED)}; the kinds of the lessons must hold each "
            "in enough exercises. Look at KINDS and traps_of in the card modules."
        )
    machines = _shuffled(draws, len(MACHINES))
    return MappingProxyType(
        {
            deck.exercise: Dealt(
                turn=turns[place],
                metric=metric[place],
                machine=machines[place % len(machines)],
                traps=traps[place],
            )
            for place, deck in enumerate(decks)
        }
    )


def _holds_all(traps: Sequence[frozenset[str]], of: Iterable[str] = WANTED) -> bool:
    met = Counter(trap for held in traps for trap in held)
    return all(met[trap] >= WANTED[trap] for trap in of)


def _shuffled(draws: Draws, count: int) -> list[int]:
    left = list(range(count))
    return [left.pop(draws.whole(low=0, high=high)) for high in reversed(range(count))]
