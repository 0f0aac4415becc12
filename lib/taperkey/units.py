"""The border: what a person types becomes a float in the course's own units, and back.

Inside the course there is one unit system, as plain floats: inch, lbf, psi,
lbf*in, radian, degF, and inch per inch for tapers. Text crosses here and only
here. An entry is read by a small grammar (a decimal, a fraction or a mixed
number, then a unit from a short list); nothing that is typed is ever
evaluated. The conversion factors come from pint, once per unit.
"""

from __future__ import annotations

import functools
import math
import re
from dataclasses import dataclass

__all__ = [
    "DIMENSIONS",
    "EntryError",
    "Quantity",
    "force_text",
    "fraction_text",
    "from_internal",
    "length_text",
    "parse_quantity",
    "to_internal",
]

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
    """

    value: float
    unit: str
    entered: float
    text: str


@dataclass(frozen=True)
class _Unit:
    name: str  # the course's spelling
    pint_name: str
    spellings: tuple[str, ...]


@dataclass(frozen=True)
class _Dimension:
    internal: str  # pint name of the course's own unit
    what: str  # for sentences
    units: tuple[_Unit, ...]


DIMENSIONS: dict[str, _Dimension] = {
    "length": _Dimension(
        "inch",
        "a length, such as 1.0104 in, 1-3/8 in or 0.5 mm",
        (
            _Unit("in", "inch", ("in", "inch", "inches", '"', "in.", "''")),
            _Unit("thou", "thou", ("thou", "thous", "thousandths", "mil", "mils")),
            _Unit("mm", "millimeter", ("mm", "millimeter", "millimetre", "mm.")),
            _Unit("cm", "centimeter", ("cm",)),
            _Unit("m", "meter", ("m",)),
            _Unit("um", "micrometer", ("um", "micron", "microns")),
            _Unit("ft", "foot", ("ft", "foot", "feet", "'", "ft.")),
        ),
    ),
    "force": _Dimension(
        "pound_force",
        "a force, such as 28000 lbf, 14 tons or 125 kN",
        (
            _Unit("lbf", "pound_force", ("lbf", "lb", "lbs", "pounds", "pound", "#")),
            _Unit("kip", "kip", ("kip", "kips", "klbf")),
            _Unit("tons", "ton_force", ("ton", "tons", "tonf", "short tons", "short ton")),
            _Unit("N", "newton", ("n", "newton", "newtons")),
            _Unit("kN", "kilonewton", ("kn",)),
        ),
    ),
    "pressure": _Dimension(
        "psi",
        "a pressure or stress, such as 13000 psi, 13 ksi or 90 MPa",
        (
            _Unit("psi", "psi", ("psi", "lb/in2", "lbf/in2", "lbf/in^2")),
            _Unit("ksi", "ksi", ("ksi",)),
            _Unit("MPa", "megapascal", ("mpa", "n/mm2", "n/mm^2")),
            _Unit("bar", "bar", ("bar",)),
        ),
    ),
    "torque": _Dimension(
        "pound_force * inch",
        "a torque, such as 4200 lbf in, 350 lbf ft or 475 N m",
        (
            _Unit(
                "lbf in",
                "pound_force * inch",
                (
                    "lbf in",
                    "lbfin",
                    "lbf-in",
                    "in lbf",
                    "in-lbf",
                    "in lb",
                    "in-lb",
                    "lb in",
                    "lb-in",
                ),
            ),
            _Unit(
                "lbf ft",
                "pound_force * foot",
                (
                    "lbf ft",
                    "lbfft",
                    "lbf-ft",
                    "ft lbf",
                    "ft-lbf",
                    "ft lb",
                    "ft-lb",
                    "lb ft",
                    "lb-ft",
                ),
            ),
            _Unit("N m", "newton * meter", ("n m", "nm", "n-m")),
            _Unit("kN m", "kilonewton * meter", ("kn m", "knm", "kn-m")),
        ),
    ),
    "angle": _Dimension(
        "radian",
        "an angle, such as 0.597 deg or 0° 35' 48\"",
        (
            _Unit("deg", "degree", ("deg", "degree", "degrees", "°", "degs")),
            _Unit("rad", "radian", ("rad", "radian", "radians")),
            _Unit("min", "arcminute", ("min", "arcmin", "'", "minutes")),
        ),
    ),
    "taper": _Dimension(
        "dimensionless",
        "a taper, such as 0.125 in/ft, 0.0104 in/in or 1:96",
        (
            _Unit("in/in", "inch / inch", ("in/in", "in per in", "in per inch", "inch per inch")),
            _Unit("in/ft", "inch / foot", ("in/ft", "in per ft", "in per foot", "inch per foot")),
            _Unit("mm/m", "millimeter / meter", ("mm/m", "mm per m")),
            _Unit("mm/mm", "millimeter / millimeter", ("mm/mm", "mm per mm")),
            _Unit("mm/100 mm", "percent", ("mm/100 mm", "mm/100mm", "mm per 100 mm")),
            _Unit("%", "percent", ("%", "percent")),
        ),
    ),
    "temperature": _Dimension(
        "degF",
        "a temperature, such as 68 degF or 20 degC",
        (
            _Unit("degF", "degF", ("degf", "f", "°f", "deg f")),
            _Unit("degC", "degC", ("degc", "c", "°c", "deg c")),
        ),
    ),
    "number": _Dimension(
        "dimensionless",
        "a plain number, such as 2 or 0.15",
        (_Unit("", "dimensionless", ()), _Unit("%", "percent", ("%", "percent"))),
    ),
}

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
_WHOLE_UNITS = ("lbf", "N", "psi", "lbf in", "lbf ft")  # written in thousands, not in thousandths
_RATIO = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,6})?) ?: ?([0-9]{1,6}(?:[.,][0-9]{1,6})?)")
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


def _decimal(text: str, label: str, raw: str, *, thousands: bool = False) -> float:
    """Read digits with a decimal point or comma; refuse what can be read two ways."""
    whole, mark, after = text.rpartition(".") if "." in text else (text, "", "")
    if "," in text and not mark:
        before, _, last = text.partition(",")
        if "," not in last and len(last) == 3 and len(before) <= 3 and before.strip("0"):
            if not thousands:
                raise EntryError(
                    f"{label} is “{_shown(raw)}”, which can be read two ways; "
                    f"write {before}.{last} or {before}{last}."
                )
            return float(before + last)
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


def _ratio(match: re.Match[str], label: str, raw: str) -> float:
    over, under = (_decimal(part, label, raw) for part in match.groups())
    if under == 0:
        raise EntryError(f"{label} is “{_shown(raw)}”; the second number must be above 0.")
    return over / under


def parse_quantity(
    text: str, *, dimension: str = "length", default_unit: str = "in", label: str = "entry"
) -> Quantity:
    """Read one entry: a number, then a unit, and nothing else.

    Parameters
    ----------
    text : str
        What was typed: a decimal with point or comma, a fraction (3/8), a mixed
        number (1-3/8 or 1 3/8), then a unit. At most 60 characters.
    dimension : str
        A key of ``DIMENSIONS``.
    default_unit : str
        Unit that a bare number is taken in.
    label : str
        What the entry is called, for the sentence when it cannot be read.

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
    match = _DEGREES.fullmatch(body) if dimension == "angle" else None
    if match:
        minutes = _decimal(match["min"], label, text)
        seconds = _decimal(match["sec"], label, text) if match["sec"] else 0.0
        entered = int(match["deg"]) + minutes / 60 + seconds / 3600
        value, unit = math.radians(entered), "deg"
    elif dimension == "taper" and (match := _RATIO.fullmatch(body)):
        entered = value = _ratio(match, label, text)
        unit = "in/in"
    else:
        digits, rest = _number(body, label, text)
        unit = _unit(rest, table, default_unit, label, text)
        entered = (
            _decimal(digits, label, text, thousands=unit in _WHOLE_UNITS)
            if isinstance(digits, str)
            else digits
        )
        value = to_internal(entered, dimension=dimension, unit=unit)
    if negative:
        entered, value = -entered, -value
    if not math.isfinite(value):
        raise EntryError(
            f"{label} is “{_shown(text)}”; the number is too large to be {table.what}."
        )
    return Quantity(value=value, unit=unit, entered=entered, text=text)


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


def _unit(rest: str, table: _Dimension, default_unit: str, label: str, raw: str) -> str:
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
        return f"{number:.1f} {unit}"
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
        Length, 0 or more [in].
    parts : int
        Finest division of the rule.

    Returns
    -------
    str
        Such as "1-3/8 in", or "1.0104 in" where no fraction fits within 0.0001 in.

    Examples
    --------
    >>> fraction_text(1.375), fraction_text(2.0), fraction_text(1.0104)
    ('1-3/8 in', '2 in', '1.0104 in')
    """
    over = round(value_in * parts)
    if abs(value_in - over / parts) > 0.00005:
        return length_text(value_in)
    whole, rest = divmod(over, parts)
    if rest == 0:
        return f"{whole} in"
    shrink = math.gcd(rest, parts)
    fraction = f"{rest // shrink}/{parts // shrink}"
    return f"{whole}-{fraction} in" if whole else f"{fraction} in"
