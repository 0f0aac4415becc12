"""The border: what a person types becomes a float in the course's own units, and back.

Inside the course there is one unit system, as plain floats: inch, lbf, psi,
lbf*in, radian, degF, and inch per inch for tapers. Text crosses here and only
here. An entry is read by a small grammar; nothing that is typed is ever
evaluated. The units are in ``taperkey.unit_table``; the conversion factors come
from pint, once per unit.

How an entry is read:

- A number, then a unit: a decimal, a fraction (3/8) or a mixed number (1-3/8).
  A bare number is in the unit that the entry names.
- A comma before groups of three figures and a decimal point is a thousands comma
  (1,234.5); any other single comma is a decimal comma (0,5). One comma before
  exactly three figures (1,375) could be either: in units that are written in whole
  numbers (lbf, N, psi, lbf in, lbf ft, N m) it is a thousands comma; otherwise it
  is read as whichever of the two lies in the range that the entry asks for, and
  refused where both do or neither does.
- A ratio, where n of 1 : n is asked: 1:98.8, 1 : 98,8, 1 in 98.8, 1 to 98.8,
  1/98.8, or n alone. Only there is a number without a unit a ratio.
- A taper: a number with a taper's unit (0.125 in/ft, 1.04 mm/100 mm); a length
  over a length, with "/", "per" or "in" between (10.4 thou/in, 0.125 in per foot,
  1.04 mm in 100 mm); or a ratio with ":", "in" or "to" (1:96, 1 in 96). A fraction
  without a unit (1/8) is a number in the unit that the entry names, as everywhere.
- "in" is the inch behind a number and the word in between two: "1 in 96" is a ratio
  where a taper or a ratio is asked, and refused as a length; it is never 1 inch.
"""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from taperkey.unit_table import DIMENSIONS, Dimension

__all__ = [
    "KN_PER_LBF",
    "MM_PER_IN",
    "System",
    "DIMENSIONS",
    "EntryError",
    "Quantity",
    "force_text",
    "fraction_text",
    "from_internal",
    "length_text",
    "number_text",
    "parse_quantity",
    "quantity_text",
    "to_internal",
]

System = Literal["inch", "metric"]
MM_PER_IN = 25.4  # exact
KN_PER_LBF = 0.0044482216152605  # exact: 0.45359237 kg × 9.80665 m/s²

LONGEST_ENTRY = 60  # characters; no reading of the trade needs more


class EntryError(ValueError):
    """An entry that cannot be read, as one sentence for the person who typed it."""


@dataclass(frozen=True, kw_only=True)
class Quantity:
    """What was typed, understood.

    Attributes
    ----------
    value : float
        In the course's own unit of the dimension, [in, lbf, psi, lbf_in, rad, degF, in/in].
    unit : str
        The unit as understood, in the course's spelling, such as "in" or "mm".
    entered : float
        The number in that unit.
    text : str
        The raw text, exactly as typed.
    half_place : float
        Half of the last decimal place typed, in the course's own unit; 0 without decimals.
    """

    value: float
    unit: str
    entered: float
    text: str
    half_place: float = 0.0


_VULGAR = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅓": "1/3",
    "⅔": "2/3",
}
_LOOKS = str.maketrans(
    {
        "−": "-",
        "–": "-",
        "—": "-",
        "‐": "-",
        "‑": "-",
        "″": '"',
        "”": '"',
        "“": '"',
        "„": '"',
        "′": "'",
        "’": "'",
        "‘": "'",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
        "\t": " ",
        "µ": "u",
        "μ": "u",
        "⁄": "/",
        "∕": "/",
        "∶": ":",
        "：": ":",
        "º": "°",
        "·": " ",
        "²": "2",
    }
)

_MIXED = re.compile(
    r"(?P<whole>[0-9]{1,6})(?: +|-| *- *)(?P<over>[0-9]{1,4}) ?/ ?(?P<under>[0-9]{1,4})"
)
_FRACTION = re.compile(r"(?P<over>[0-9]{1,6}) ?/ ?(?P<under>[0-9]{1,4})")
_DECIMAL = re.compile(r"[.,]?[0-9][0-9.,]*")
_WHOLE_UNITS = ("lbf", "N", "psi", "lbf in", "lbf ft", "N m")  # thousands, not thousandths
_RATIO = re.compile(
    r"(?P<over>[0-9]{1,3}(?:[.,][0-9]{1,6})?)(?P<sign> ?[:/] ?| in | to )"
    r"(?P<minus>-?)(?P<under>[0-9][0-9.,]{0,14})"
)
_RISE_AND_RUN = re.compile(
    r"(?P<rise>[a-z'\".]+)(?: ?/ ?| per | in )(?P<run>[0-9]{0,4}) ?(?P<unit>[a-z'\".]+)"
)
_DEGREES = re.compile(
    r"(?P<deg>[0-9]{1,3}) ?° ?(?P<min>[0-9]{1,2}(?:[.,][0-9]{1,6})?) ?'"
    r"(?: ?(?P<sec>[0-9]{1,2}(?:[.,][0-9]{1,6})?) ?(?:\"|''))?"
)


@functools.cache
def _registry() -> object:
    import pint

    return pint.UnitRegistry(cache_folder=None)


@functools.cache
def _factor(pint_name: str, internal: str) -> float:
    if pint_name == internal:
        return 1.0
    registry = _registry()
    return float(registry.Quantity(1.0, pint_name).to(internal).magnitude)  # type: ignore[attr-defined]


def to_internal(value: float, *, dimension: str, unit: str) -> float:
    """Convert a number in one of the course's named units to the course's own unit.

    Parameters
    ----------
    value : float
        The number in `unit`.
    dimension : str
        A key of ``DIMENSIONS``.
    unit : str
        The unit's name in the course's spelling.

    Returns
    -------
    float
        The number in the course's own unit.

    Examples
    --------
    >>> to_internal(10.0, dimension="force", unit="tons")  # a short ton-force is 2000 lbf
    20000.0
    """
    table = DIMENSIONS[dimension]
    named = next(one for one in table.units if one.name == unit)
    if dimension == "temperature":
        return value if unit == "degF" else value * 9 / 5 + 32
    return value * _factor(named.pint_name, table.internal)


def from_internal(value: float, *, dimension: str, unit: str) -> float:
    """Convert a number in the course's own unit to one of the named units.

    Examples
    --------
    >>> round(from_internal(1.0, dimension="length", unit="mm"), 6)
    25.4
    """
    if dimension == "temperature":
        return value if unit == "degF" else (value - 32) * 5 / 9
    return value / to_internal(1.0, dimension=dimension, unit=unit)


def _shown(text: str) -> str:
    short = text if len(text) <= 24 else text[:24] + "…"
    return "".join(letter if letter.isprintable() else "?" for letter in short)


def _decimal(
    text: str,
    label: str,
    raw: str,
    *,
    thousands: bool = False,
    fits: Callable[[float], bool] | None = None,
) -> float:
    """Read digits with a decimal point or comma; refuse what can be read two ways.

    `fits` tells whether a number lies in the range that the entry asks for.
    """
    whole, mark, after = text.rpartition(".") if "." in text else (text, "", "")
    if "," in text and not mark:
        before, _, last = text.partition(",")
        if "," not in last and len(last) == 3 and len(before) <= 3 and before.strip("0"):
            if thousands:
                return float(before + last)
            readings = (float(f"{before}.{last}"), float(before + last))
            likely = [one for one in readings if fits is not None and fits(one)]
            if len(likely) != 1:
                raise EntryError(
                    f"{label} is “{_shown(raw)}”, which can be read two ways; "
                    f"write {before}.{last} or {before}{last}."
                )
            return likely[0]
        if "," not in last:  # a decimal comma
            return float(f"{before or 0}.{last or 0}")
    groups = whole.split(",")
    grouped = len(groups) == 1 or (
        1 <= len(groups[0]) <= 3 and all(len(part) == 3 for part in groups[1:])
    )
    if not grouped or "." in whole or "," in after:
        raise EntryError(
            f"{label} is “{_shown(raw)}”; that is not a number. "
            "Write it with one decimal point, such as 1.0104."
        )
    return float(f"{''.join(groups) or 0}.{after or 0}")


def _half_place(digits: str, entered: float) -> float:
    """Return half of the last decimal place of these digits, read as this number."""
    tail = re.search(r"[.,]([0-9]+)$", digits)
    if tail is None or entered == float(re.sub(r"[.,]", "", digits)):
        return 0.0  # whole, or with thousands commas only
    return 0.5 * 10.0 ** -len(tail[1])


def _ratio(
    match: re.Match[str], label: str, raw: str, fits: Callable[[float], bool], *, turned: bool
) -> tuple[float, float]:
    """Return over ÷ under (`turned`: under ÷ over) and half of the last place of under there."""
    over = _decimal(match["over"], label, raw)

    def ratio(under: float) -> float:
        above, below = (under, over) if turned else (over, under)
        size = above / below if below else math.inf
        return -size if match["minus"] else size

    under = _decimal(match["under"], label, raw, fits=lambda one: fits(ratio(one)))
    if not under or (turned and not over):
        which = "first" if turned and not over else "second"
        raise EntryError(f"{label} is “{_shown(raw)}”; the {which} number must be above 0.")
    half = _half_place(match["under"], under)
    return ratio(under), abs(ratio(under)) * half / under


def _rise_over_run(rest: str) -> float | None:
    """Return the taper of 1 in a unit such as "thou/in" or "mm in 100 mm", if it is one."""
    match = _RISE_AND_RUN.fullmatch(rest.lower())
    if match is None:
        return None
    sizes = {
        spelled: _factor(unit.pint_name, "inch")
        for unit in DIMENSIONS["length"].units
        for spelled in unit.spellings
    }
    run = float(match["run"] or 1) * sizes.get(match["unit"], 0.0)
    rise = sizes.get(match["rise"], 0.0)
    return rise / run if rise and run else None


def parse_quantity(
    text: str,
    *,
    dimension: str = "length",
    default_unit: str = "in",
    label: str = "entry",
    within: tuple[float, float] = (math.inf, -math.inf),
) -> Quantity:
    """Read one entry, as the head of this module says.

    Parameters
    ----------
    text : str
        What was typed, at most 60 characters.
    dimension : str
        A key of ``DIMENSIONS``.
    default_unit : str
        Unit that a bare number is taken in.
    label : str
        What the entry is called, for the sentence when it cannot be read.
    within : tuple of float
        Lowest and highest that are asked for, in the course's own unit. It decides how a
        comma before three figures is read and nothing else; left out, no such comma is read.

    Returns
    -------
    Quantity
        The number in the course's own unit, with the raw text.

    Raises
    ------
    EntryError
        One sentence that says what was typed, why it cannot be read, and what to write.

    Examples
    --------
    >>> parse_quantity("1-3/8 in").value
    1.375
    >>> round(parse_quantity("0,5 mm").value, 7)
    0.019685
    >>> parse_quantity("1:96", dimension="taper", default_unit="in/in").value == 1 / 96
    True
    >>> round(parse_quantity("10.4 thou").value, 7)
    0.0104
    >>> parse_quantity("1 in 98.8", dimension="ratio", default_unit="").value
    98.8
    >>> parse_quantity("1,375 in", within=(0.0, 4.0)).value
    1.375
    """
    table = DIMENSIONS[dimension]
    if len(text) > LONGEST_ENTRY:
        raise EntryError(
            f"{label} has {len(text)} characters; it must be {LONGEST_ENTRY} or fewer. "
            f"Write {table.what}."
        )
    clean = text
    for sign, plain in _VULGAR.items():
        clean = clean.replace(sign, f" {plain}")
    clean = " ".join(clean.translate(_LOOKS).split())
    if not clean:
        raise EntryError(f"{label} is empty; it must be {table.what}.")
    odd = next((one for one in clean if not (one.isascii() or one == "°")), None)
    if odd is not None or not clean.isprintable():
        raise EntryError(
            f"{label} is “{_shown(text)}”; the sign “{_shown(odd or '?')}” is not one the course "
            f"reads. Write {table.what}."
        )
    negative = clean.startswith("-")
    body = clean[1:].lstrip() if clean[0] in "+-" else clean
    value: float
    half = 0.0
    low, high = within

    def fits(number: float) -> bool:
        return low <= (-number if negative else number) <= high

    match = _DEGREES.fullmatch(body) if dimension == "angle" else None
    if match:
        minutes = _decimal(match["min"], label, text)
        seconds = _decimal(match["sec"], label, text) if match["sec"] else 0.0
        entered = int(match["deg"]) + minutes / 60 + seconds / 3600
        value, unit = math.radians(entered), "deg"
    elif (match := _RATIO.fullmatch(body)) and (
        dimension == "ratio" or (dimension == "taper" and match["sign"].strip() != "/")
    ):
        value, half = _ratio(match, label, text, fits, turned=dimension == "ratio")
        entered, unit = value, "" if dimension == "ratio" else "in/in"
    else:
        digits, rest = _number(body, label, text)
        slope = _rise_over_run(rest) if dimension in ("taper", "ratio") else None
        unit = "in/in" if slope else _unit(rest, table, default_unit, label, text)

        def inside(number: float) -> float:
            if slope is None:
                return to_internal(number, dimension=dimension, unit=unit)
            return number * slope

        if isinstance(digits, str):
            entered = _decimal(
                digits,
                label,
                text,
                thousands=unit in _WHOLE_UNITS,
                fits=lambda number: fits(inside(number)),
            )
            half = abs(inside(_half_place(digits, entered)) - inside(0.0))
        else:
            entered = digits
        value = inside(entered)
        if slope:
            entered = value
    if negative:
        entered, value = -entered, -value
    if not math.isfinite(value):
        raise EntryError(
            f"{label} is “{_shown(text)}”; the number is too large to be {table.what}."
        )
    return Quantity(value=value, unit=unit, entered=entered, text=text, half_place=half)


def _number(body: str, label: str, raw: str) -> tuple[float | str, str]:
    """Return the number at the start (a fraction's value or its digits) and the rest, the unit."""
    for pattern in (_MIXED, _FRACTION):
        match = pattern.match(body)
        if match:
            under = int(match["under"])
            if under == 0:
                raise EntryError(
                    f"{label} is “{_shown(raw)}”; the lower number of a fraction must be above 0."
                )
            whole = int(match.groupdict().get("whole") or 0)
            return whole + int(match["over"]) / under, body[match.end() :].strip()
    match = _DECIMAL.match(body)
    if match is None:
        raise EntryError(
            f"{label} is “{_shown(raw)}”; it must start with a number. "
            "Write the number first, then the unit."
        )
    return match[0], body[match.end() :].strip()


def _unit(rest: str, table: Dimension, default_unit: str, label: str, raw: str) -> str:
    if not rest:
        return default_unit
    spelled = rest.lower()
    for unit in table.units:
        if rest == unit.name or spelled in unit.spellings:
            return unit.name
    names = ", ".join(unit.name for unit in table.units if unit.name)
    allowed = f"one of: {names}" if names else "left out"
    raise EntryError(
        f"{label} is “{_shown(raw)}”; the part “{_shown(rest)}” is not a unit used here. "
        f"The unit must be {allowed}."
    )


def number_text(value: float, *, places: int | None = None) -> str:
    """Write a number with a comma before each three figures.

    Parameters
    ----------
    value : float
        Any number.
    places : int, optional
        Decimals; left out, as many as six figures need.

    Returns
    -------
    str
        Never with a power of ten.

    Examples
    --------
    >>> number_text(139_622.4), number_text(3e6), number_text(0.125), number_text(7_606, places=1)
    ('139,622', '3,000,000', '0.125', '7,606.0')
    """
    if not math.isfinite(value):
        return str(value)
    if places is not None:
        return f"{value:,.{places}f}"
    figures = 5 - math.floor(math.log10(abs(value))) if value else 0
    text = f"{round(value, figures):,.{min(max(figures, 0), 15)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def quantity_text(value: float, *, dimension: str, unit: str, places: int | None = None) -> str:
    """Write a number of any dimension with its unit, so that it can be typed as it stands.

    Parameters
    ----------
    value : float
        In the course's own unit.
    dimension, unit : str
        As in ``parse_quantity``.
    places : int, optional
        Decimals; left out, as many as six figures need. A force in lbf has three figures.

    Returns
    -------
    str
        Number and unit.

    Examples
    --------
    >>> quantity_text(139_622.0, dimension="force", unit="lbf", places=0)
    '140,000 lbf'
    >>> quantity_text(98.8, dimension="ratio", unit="", places=1)
    '1:98.8'
    """
    if unit == "lbf" and places == 0:
        return force_text(value)
    number = number_text(from_internal(value, dimension=dimension, unit=unit), places=places)
    return f"1:{number}" if dimension == "ratio" else f"{number} {unit}".rstrip()


def length_text(value_in: float, *, unit: str = "in", places: int | None = None) -> str:
    """Write a length with its unit: inches to a tenth of a thousandth, mm to a micrometre.

    Parameters
    ----------
    value_in : float
        Length [in].
    unit : str
        "in", "thou" or "mm".
    places : int, optional
        Decimals; by default 4 for in, 1 for thou, 3 for mm.

    Returns
    -------
    str
        Number and unit.

    Examples
    --------
    >>> length_text(1.0104), length_text(0.0104, unit="thou"), length_text(1.0, unit="mm", places=1)
    ('1.0104 in', '10.4 thou', '25.4 mm')
    """
    usual = {"in": 4, "thou": 1, "mm": 3}.get(unit, 3)
    number = from_internal(value_in, dimension="length", unit=unit)
    return f"{number:.{usual if places is None else places}f} {unit}"


def force_text(value_lbf: float, *, unit: str = "lbf") -> str:
    """Write a force with its unit, rounded to what a gauge shows.

    Parameters
    ----------
    value_lbf : float
        Force [lbf].
    unit : str
        "lbf", "tons" or "kN".

    Returns
    -------
    str
        Number and unit; lbf to three figures.

    Examples
    --------
    >>> force_text(28_413.0), force_text(28_413.0, unit="tons")
    ('28,400 lbf', '14.2 tons')
    """
    number = from_internal(value_lbf, dimension="force", unit=unit)
    if unit != "lbf":
        return f"{number_text(number, places=1)} {unit}"
    if number == 0:
        return "0 lbf"
    digits = max(0, 2 - math.floor(math.log10(abs(number))))
    rounded = round(number, 2 - math.floor(math.log10(abs(number))))
    return f"{rounded:,.{digits}f} lbf"


def fraction_text(value_in: float, *, parts: int = 64) -> str:
    """Write a length as a shop fraction where it is one, else as a decimal.

    Parameters
    ----------
    value_in : float
        Length [in].
    parts : int
        Finest division of the rule.

    Returns
    -------
    str
        Such as "1-3/8 in", or "1.0104 in" where no fraction fits within 0.0001 in.

    Examples
    --------
    >>> fraction_text(1.375), fraction_text(2.0), fraction_text(1.0104), fraction_text(-0.0625)
    ('1-3/8 in', '2 in', '1.0104 in', '-1/16 in')
    """
    if value_in < 0:
        return f"-{fraction_text(-value_in, parts=parts)}"
    over = round(value_in * parts)
    if abs(value_in - over / parts) > 0.00005:
        return length_text(value_in)
    whole, rest = divmod(over, parts)
    if rest == 0:
        return f"{whole} in"
    shrink = math.gcd(rest, parts)
    fraction = f"{rest // shrink}/{parts // shrink}"
    return f"{whole}-{fraction} in" if whole else f"{fraction} in"
