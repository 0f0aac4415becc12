"""A sentence with numbers in it: words with places, and the numbers beside them.

Benches, formulas and refusals say their sentences in inches and pounds. A :class:`Said` is that
sentence, and keeps its numbers too, so that a page writes them in a metric shop's units
(`ShopUnits.say`) and nobody rewrites a finished sentence.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

__all__ = ["Number", "Said", "number", "numbers", "what_was_said"]

_SIGNS = {"in2": "in²", "in3": "in³"}  # how a unit of the code is read on a page

Way = Literal["near", "down", "up", "outward", "inward", "leaf"]


@dataclass(frozen=True)
class Number:
    """A number of a sentence, or several that share a unit.

    Attributes
    ----------
    values : tuple of float
        In `unit`.
    shown : tuple of str
        The same as they are read in inches and pounds.
    unit : str
        The course's own unit, "in", "lbf", "psi" …; empty for a pure number.
    between : str
        What stands between several numbers, such as " to ".
    way : str
        How another unit is rounded: a capacity "down", what is needed "up", a range "outward",
        what may be typed "inward"; a "leaf" is a feeler gauge, to 0.01 mm.
    """

    values: tuple[float, ...]
    shown: tuple[str, ...]
    unit: str
    between: str = ""
    way: Way = "near"

    def __str__(self) -> str:
        """Return it as it is read in inches and pounds."""
        unit = _SIGNS.get(self.unit, self.unit)
        return self.between.join(self.shown) + (f" {unit}" if unit else "")


def number(value: float, unit: str, form: str = ",.0f", *, way: Way = "near") -> Number:
    """Return a number for a sentence, read in inches and pounds as `form` shows it.

    Examples
    --------
    >>> str(number(28_504.0, "lbf"))
    '28,504 lbf'
    """
    return Number((value,), (format(value, form),), unit, way=way)


def numbers(
    *values: float, unit: str, form: str = ",.0f", between: str = " to ", way: Way = "outward"
) -> Number:
    """Return numbers that share a unit.

    Examples
    --------
    >>> str(numbers(4.0, 3.5, unit="in", form="g", between=" × "))
    '4 × 3.5 in'
    """
    return Number(values, tuple(format(one, form) for one in values), unit, between, way)


class Said(str):
    """A sentence; as text it is read in inches and pounds.

    Examples
    --------
    >>> said = Said("It starts at {start} and comes {out}.", start=number(28_504.0, "lbf"),
    ...             out=number(0.12, "in", ".2f"))
    >>> said
    'It starts at 28,504 lbf and comes 0.12 in.'
    >>> said.told(lambda one: f"<{one.unit}>")
    'It starts at <lbf> and comes <in>.'
    """

    words: str
    places: dict[str, Number | str]

    def __new__(cls, words: str, /, **places: Number | str) -> Said:
        """Fill the places of `words`; braces in what is filled in stay as they are."""
        filled = {name: str(one) for name, one in places.items()}
        sentence = super().__new__(cls, words.format(**filled))
        sentence.words, sentence.places = words, places
        return sentence

    def __getnewargs_ex__(self) -> tuple[tuple[str], dict[str, Number | str]]:
        """Return what a copy is made from, so that it keeps its numbers."""
        return (self.words,), self.places

    def __add__(self, other: str) -> Said:
        """Return this and the next sentence, numbers kept."""
        return Said("{first}{then}", first=self, then=other)

    def told(self, write: Callable[[Number], str]) -> str:
        """Return the words with their numbers as `write` puts them."""

        def put(one: Number | str) -> str:
            if isinstance(one, Number):
                return write(one)
            return one.told(write) if isinstance(one, Said) else str(one)

        return self.words.format(**{name: put(one) for name, one in self.places.items()})


def what_was_said(refused: Exception) -> str:
    """Return the sentence of a refusal with its numbers still beside it.

    Examples
    --------
    >>> type(what_was_said(ValueError(Said("It is {h}.", h=number(1.0, "in", "g"))))).__name__
    'Said'
    """
    first = refused.args[0] if refused.args else ""
    return first if isinstance(first, Said) else str(refused)
