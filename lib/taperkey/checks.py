"""One wording for bad input: name, value and unit, rule, next step.

Every check returns nothing and raises ``ValueError`` with one sentence that an
apprentice can read, such as "mouth height is 0 in; it must be above 0. Enter
the reading at the open end." Scalars are checked with plain Python; arrays
element by element, and the sentence names the first bad value.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable
from typing import Any

from taperkey.said import Number, Said, Way
from taperkey.units import number_text

__all__ = [
    "require_above",
    "require_at_least",
    "require_finite",
    "require_in",
    "require_non_negative",
    "require_one_each",
    "require_positive",
    "require_range",
    "sentence",
]


TINY, HUGE = 1e-6, 1e12
LARGE = 64  # elements of an array from which on its ends are looked at first


def sentence(name: str, value: object, unit: str, rule: str, next_step: str = "") -> str:
    """Return the one sentence that every refusal uses.

    Parameters
    ----------
    name : str
        What the value is called in the trade, such as "mouth height".
    value : object
        The value as it came; floats are shown with up to six figures.
    unit : str
        Unit after the value; empty for a pure number.
    rule : str
        What must hold, such as "above 0".
    next_step : str
        What to do now, as a sentence; empty for none.

    Returns
    -------
    str
        One sentence, and the next step where there is one.

    Examples
    --------
    >>> sentence("mouth height", 0.0, "in", "above 0", "Enter the reading at the open end.")
    'mouth height is 0 in; it must be above 0. Enter the reading at the open end.'
    >>> sentence("pull", 139_622.0, "lbf", "45,400 lbf or less")
    'pull is 139,622 lbf; it must be 45,400 lbf or less.'
    """
    told = _number(value, unit=unit)
    text = Said("{name} is {value}; it must be {rule}.", name=name, value=told, rule=rule)
    return text + f" {next_step}" if next_step else text


def _number(*values: object, unit: str, way: Way = "near") -> Number | str:
    shown = tuple(_written(one, unit) for one in values)
    sizes = tuple(float(one) for one in values if isinstance(one, (int, float)))
    if len(sizes) < len(values):
        return f"{shown[0]} {unit}" if unit else shown[0]
    return Number(sizes, shown, unit, between=" to ", way=way)


def _written(value: object, unit: str) -> str:
    """Return a value as the pages write one; a whole number without a unit, such as a port, as is.

    What nobody meant, such as 1e+300, keeps its power of ten.
    """
    if isinstance(value, float):
        sensible = not value or TINY <= abs(value) < HUGE
        return number_text(value) if sensible else f"{value:.6g}"
    return f"{value:,}" if unit and type(value) is int else str(value)


def _values(value: Any) -> Iterable[float]:
    if isinstance(value, (int, float)):
        return (value,)
    if hasattr(value, "dimensionality"):  # a quantity with units passes through unchanged
        return ()
    if hasattr(value, "ravel"):
        flat: Iterable[float] = value.ravel().tolist()
        return flat
    if isinstance(value, Iterable):
        return [item for part in value for item in _values(part)]
    return (float(value),)


def _ends_hold(value: Any, holds: Callable[[float], bool]) -> bool:
    """Tell whether a large array is right by its two ends; every rule here is one of an interval.

    A value that is no number becomes an end, so it does not pass.
    """
    if hasattr(value, "dimensionality") or getattr(value, "size", 0) < LARGE:
        return False
    ends = (float(value.min()), float(value.max()))
    return all(math.isfinite(one) and holds(one) for one in ends)


def _require(
    name: str,
    value: Any,
    unit: str,
    rule: Callable[[], str],
    next_step: str,
    holds: Callable[[float], bool],
) -> None:
    if isinstance(value, float) and math.isfinite(value) and holds(value):
        return
    if _ends_hold(value, holds):
        return
    for one in _values(value):
        if not (math.isfinite(one) and holds(one)):
            broken = rule() if math.isfinite(one) else "a finite number"
            raise ValueError(sentence(name, one, unit, broken, next_step))


def require_finite(name: str, value: Any, unit: str = "", next_step: str = "") -> None:
    """Refuse a value that is not a finite number."""
    _require(name, value, unit, lambda: "a finite number", next_step, lambda one: True)


def require_positive(name: str, value: Any, unit: str = "", next_step: str = "") -> None:
    """Refuse a value that is not above 0."""
    _require(name, value, unit, lambda: "above 0", next_step, lambda one: one > 0)


def require_non_negative(name: str, value: Any, unit: str = "", next_step: str = "") -> None:
    """Refuse a value that is below 0."""
    _require(name, value, unit, lambda: "0 or more", next_step, lambda one: one >= 0)


def require_above(name: str, value: Any, low: float, unit: str = "", next_step: str = "") -> None:
    """Refuse a value that is not above `low`."""

    def rule() -> Said:
        return Said("above {low}", low=_number(low, unit=unit))

    _require(name, value, unit, rule, next_step, lambda one: one > low)


def require_at_least(
    name: str, value: Any, low: float, unit: str = "", next_step: str = ""
) -> None:
    """Refuse a value below `low`."""

    def rule() -> Said:
        return Said("{low} or more", low=_number(low, unit=unit))

    _require(name, value, unit, rule, next_step, lambda one: one >= low)


def require_range(
    name: str, value: Any, low: float, high: float, unit: str = "", next_step: str = ""
) -> None:
    """Refuse a value outside `low` to `high`, both ends allowed."""

    def rule() -> Said:
        return Said("from {range}", range=_number(low, high, unit=unit, way="inward"))

    _require(name, value, unit, rule, next_step, lambda one: low <= one <= high)


def require_in(name: str, value: object, allowed: Collection[str], next_step: str = "") -> None:
    """Refuse a word that is not one of the `allowed` words."""
    if value not in allowed:
        listed = ", ".join(sorted(allowed))
        raise ValueError(sentence(name, repr(value), "", f"one of: {listed}", next_step))


def require_one_each(name: str, count: int, stations: int) -> None:
    """Refuse another number of values than there are stations."""
    if count != stations:
        raise ValueError(
            sentence(f"number of {name}", count, "", f"{stations}, one for each station")
        )
