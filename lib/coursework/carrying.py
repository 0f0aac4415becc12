"""What is carried forward: an earlier entry that somebody can have come to with the card in hand.

A right entry is, and one that a known slip explains. A number that is off in another way is
carried where it was itself worked on from such entries; a number read straight off the card, where
it is within a hundredth of the right one, or a slip of the pen or of the subtraction away (one
digit off, one missing or too many, two that changed places). A blank box or a number out of the
air carries nothing: then the right value stands in, and an answer that follows from nothing earns
nothing, nor does a slip on the way there.
"""

from __future__ import annotations

from collections.abc import Mapping

from coursework.question import Answer, Measure, Question, Verdict
from taperkey.units import EntryError, from_internal, parse_quantity

__all__ = ["FROM_NOTHING", "from_nothing", "has_footing"]

FROM_NOTHING = "follows from nothing"
_NEAR = 0.01  # of the right number


def from_nothing(question: Question, without: Mapping[str, str]) -> str:
    """Return the sentence for an answer whose earlier entries all lack a footing."""
    named = " and ".join(f"“{without[key]}”" for key in question.needs)
    return (
        f"This one earns its marks together with {named}: it follows from there, and what stands "
        "there does not come from your card. Work that out first, then this."
    )


def has_footing(
    question: Question, verdict: Verdict, *, right: Answer, without: Mapping[str, str]
) -> bool:
    """Return whether later answers are judged on this entry.

    Parameters
    ----------
    question : Question
        As the card asks it.
    verdict : Verdict
        How the entry was judged.
    right : number, str or tuple of str
        The right answer.
    without : mapping
        Keys of the earlier entries that have no footing.
    """
    if verdict.state in ("right", "carried"):
        return True
    if verdict.state == "slip":
        return not question.needs or any(key not in without for key in question.needs)
    if verdict.state != "wrong":
        return False
    kind = question.kind
    if not isinstance(kind, Measure):
        return True  # somebody's own judgement of what the card shows
    if question.needs:
        return any(key not in without for key in question.needs)
    number = _number_of(kind, verdict.entered)
    if number is None or not isinstance(right, (int, float)):
        return False
    wanted = from_internal(right, dimension=kind.dimension, unit=kind.unit)
    near = abs(number - wanted) <= _NEAR * abs(wanted)
    return near or _slip_of_the_pen(_digits(number, kind), _digits(wanted, kind))


def _number_of(kind: Measure, text: str) -> float | None:
    """Return what was typed, in the unit asked for."""
    try:
        value = parse_quantity(
            text, dimension=kind.dimension, default_unit=kind.unit, label="entry"
        ).value
    except EntryError:
        return None
    return from_internal(value, dimension=kind.dimension, unit=kind.unit)


def _digits(number: float, kind: Measure) -> str:
    return f"{abs(number):.{kind.places}f}".replace(".", "").lstrip("0")


def _slip_of_the_pen(typed: str, wanted: str) -> bool:
    """Return whether one digit is another, one is missing or too many, or two changed places."""
    if len(typed) == len(wanted):
        off = [place for place, sign in enumerate(wanted) if typed[place] != sign]
        if len(off) == 2 and off[1] == off[0] + 1:
            return typed[off[0]] == wanted[off[1]] and typed[off[1]] == wanted[off[0]]
        return len(off) == 1
    longer, shorter = sorted((typed, wanted), key=len, reverse=True)
    return len(longer) == len(shorter) + 1 and any(
        longer[:place] + longer[place + 1 :] == shorter for place in range(len(longer))
    )
