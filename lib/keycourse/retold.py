"""What the bench and the formulas say in inches and pounds, said again in a shop's units.

They work in one unit system and write their notes, reasons and refusals in it. Here a number
with its unit is found in such a sentence and written as the shop writes it; the words stay.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial

from coursework.ink.shop import ShopUnits

__all__ = ["retold"]

_NUMBER = r"(?<![\w./-])\d+(?:,\d{3})*(?:\.\d+)?"
_PLACES = {0: 1, 1: 1, 2: 1}  # decimals in inches: decimals in millimetres; more get 2 or 3
_SMALL_IN = 0.03  # a length below it is a difference of heights
_KN_PER_MM_TO_N = 1000


def _value(words: str) -> float:
    return float(words.replace(",", ""))


def _length(words: str, units: ShopUnits) -> str:
    if not _value(words):
        return "0"
    decimals = len(words.partition(".")[2])
    places = _PLACES.get(decimals, 3 if _value(words) < _SMALL_IN else 2)
    return f"{_value(words) * units.per_in:.{places}f}"


def _area(words: str, units: ShopUnits) -> str:
    return f"{_value(words) * units.per_in**2:,.0f} {units.unit}²"


def _lengths(found: re.Match[str], units: ShopUnits) -> str:
    return re.sub(_NUMBER, lambda one: _length(one[0], units), found[1]) + f" {units.unit}"


def _line_load(words: str, units: ShopUnits) -> str:
    newtons = _KN_PER_MM_TO_N * _value(words) * units.force_per_lbf / units.per_in
    return f"{newtons:,.0f} N/{units.unit}"


#: The more particular comes first: it takes its number away from the ones below it.
_WRITTEN: tuple[tuple[str, Callable[[re.Match[str], ShopUnits], str]], ...] = (
    (rf"({_NUMBER}) in leaf\b", lambda m, u: f"{u.leaf(_value(m[1]))} leaf"),
    (rf"({_NUMBER}) in2(?!\w)", lambda m, u: _area(m[1], u)),
    (rf"({_NUMBER}) lbf/in\b", lambda m, u: _line_load(m[1], u)),
    (rf"({_NUMBER}) lbf in\b(?! the)", lambda m, u: u.energy(_value(m[1]))),
    (
        rf"\bmust be from ({_NUMBER}) to ({_NUMBER}) lbf\b",
        lambda m, u: f"must be from {u.load(_value(m[1]))} to {u.load(_value(m[2]), 'down')}",
    ),
    (
        rf"\bfrom ({_NUMBER}) to ({_NUMBER}) lbf\b",
        lambda m, u: f"from {u.load(_value(m[1]))} to {u.load(_value(m[2]))}",
    ),
    (
        rf"({_NUMBER}) to ({_NUMBER}) lbf\b",
        lambda m, u: u.load_range(_value(m[1]), _value(m[2])),
    ),
    (
        rf"({_NUMBER}) lbf working load\b",
        lambda m, u: f"{u.load(_value(m[1]), 'down')} working load",
    ),
    (rf"\bwork to ({_NUMBER}) lbf\b", lambda m, u: f"work to {u.load(_value(m[1]), 'down')}"),
    (rf"({_NUMBER}) lbf\b", lambda m, u: u.load(_value(m[1]))),
    (rf"({_NUMBER}) psi\b", lambda m, u: u.pressure(_value(m[1]))),
    (rf"({_NUMBER}) F\b", lambda m, u: u.warmer(_value(m[1]))),
    (rf"((?:{_NUMBER} (?:x|to) )*{_NUMBER}) in(?![\w-]| \()", _lengths),
)


def _write(
    write: Callable[[re.Match[str], ShopUnits], str], units: ShopUnits, found: re.Match[str]
) -> str:
    return write(found, units)


def retold(sentence: str, *, units: ShopUnits) -> str:
    """Return a sentence of the bench or of a formula with its numbers in a shop's units.

    Parameters
    ----------
    sentence : str
        With its numbers in inches, pounds, psi and differences of °F.
    units : ShopUnits
        How the shop writes; for inches the sentence stays as it is.

    Examples
    --------
    >>> from coursework.ink.shop import METRIC
    >>> retold("It starts with a bang at 28,504 lbf and comes 0.12 in; from there", units=METRIC)
    'It starts with a bang at 126.8 kN and comes 3.0 mm; from there'
    >>> retold("4 x 3.5 in bar, 36,000 psi yield", units=METRIC)
    '101.6 x 88.9 mm bar, 248 MPa yield'
    """
    if units.metric:
        for pattern, write in _WRITTEN:
            sentence = re.sub(pattern, partial(_write, write, units), sentence)
    return sentence
