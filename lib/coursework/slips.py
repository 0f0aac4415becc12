"""Which known slip an answer is; and the slips of writing, which any number can suffer.

A slip of writing is one of the decimal point or the unit, made in the box only. ``Words.question``
joins it to the words of the same name in the course's shared words; one without words there is
not looked for. It is tried after a question's own slips, and what is worked out from it later is
judged both ways: on the number in the box, and on the one that was on the paper.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Sequence
from typing import Any

from coursework.card import JobCard
from coursework.question import Answer, Given, Kind, Measure, Question, Slip
from taperkey.units import MM_PER_IN

__all__ = ["slip_of", "writing_slips", "written_wrong"]

_POINT = {
    "decimal point one place right": 10.0,
    "decimal point one place left": 0.1,
    "decimal point two places right": 100.0,
    "decimal point two places left": 0.01,
    "decimal point three places left": 0.001,
}
_LENGTH = {"millimeters as inches": MM_PER_IN, "inches as millimeters": 1 / MM_PER_IN}
_THREE_RIGHT = "decimal point three places right"
_THOUSANDTHS = "thousandths as inches"  # the same, where the entry is in inches


def written_wrong(right: float, *, length: bool, inches: bool) -> dict[str, float]:
    """Return what comes of a number by each slip of writing.

    Parameters
    ----------
    right : float
        The right number.
    length, inches : bool
        Whether it is a length, and whether the entry is in inches, or in inches over a length.

    Examples
    --------
    >>> written_wrong(0.012, length=True, inches=True)["thousandths as inches"]
    12.0
    """
    factors = _POINT | (_LENGTH if length else {})
    factors[_THOUSANDTHS if inches else _THREE_RIGHT] = 1000.0
    return {name: right * factor for name, factor in factors.items()}


def writing_slips(
    kind: Kind, expected: Callable[[Any, Given], Answer]
) -> dict[str, Callable[[Any, Given], Answer | None]]:
    """Return what each slip of writing makes of the right value, by its name.

    Parameters
    ----------
    kind : Kind
        What kind of answer is asked for; only a ``Measure`` is written as a number.
    expected : callable
        The right value from the card and the earlier answers.
    """
    if not isinstance(kind, Measure):
        return {}
    length = kind.dimension == "length"

    @functools.cache
    def factors(metric: bool) -> dict[str, float]:
        unit = (kind.in_metric() if metric else kind).unit
        inches = unit == "in" or (kind.dimension == "taper" and unit.startswith("in"))
        return written_wrong(1.0, length=length, inches=inches)

    def by(name: str) -> Callable[[Any, Given], Answer | None]:
        def value(card: Any, given: Given) -> Answer | None:
            factor = factors(bool(card.metric)).get(name)
            right = expected(card, given)
            return right * factor if factor and isinstance(right, float) and right else None

        return value

    names = [*_POINT, *(_LENGTH if length else ()), _THREE_RIGHT]
    if length or kind.dimension == "taper":
        names.append(_THOUSANDTHS)
    return {name: by(name) for name in names}


def slip_of(
    question: Question,
    card: JobCard,
    answer: Answer,
    givens: Sequence[Given],
    *,
    rounding: float,
) -> Slip | None:
    """Return the known slip whose value lies nearest, one of writing only if no other is near.

    A slip made on the first of the earlier answers, the apprentice's own, goes before one made
    on the right ones.

    Near is its share of the tolerance and the rounding of what was typed, the latter up to
    3 % of the value.
    """
    best: tuple[bool, int, float, Slip] | None = None
    for turn, given in enumerate(givens):
        try:
            wanted = question.expected(card, given)
            tolerance = question.tolerated(card, given)
        except (ArithmeticError, ValueError, LookupError):
            continue
        for slip in question.slips:
            try:
                value = slip.value(card, given)
            except (ArithmeticError, ValueError, LookupError):
                continue
            if value is None or (slip.of_writing and not answer):
                continue  # a zero has no digits to stand in the wrong place
            if isinstance(answer, float) and isinstance(value, (int, float)):
                scale = abs(value / wanted) if isinstance(wanted, float) and wanted else 1.0
                allowed = tolerance * min(max(scale, 0.02), 1e6)
                # what was typed is off by the hand and by its rounding, the one on top of the other
                allowed += min(rounding, 0.03 * abs(value))
                distance = abs(answer - value) / allowed if allowed else math.inf
                here = (slip.of_writing, turn, distance)
                if distance <= 1 + 1e-9 and (best is None or here < best[:3]):
                    best = (*here, slip)
            elif answer == value and best is None:
                best = (False, turn, 0.0, slip)
    return best[3] if best else None
