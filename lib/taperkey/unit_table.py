"""The units that an entry may be typed in, and how each kind of number may be written.

Read by ``taperkey.units``, which turns typed text into a number of the course's own unit; the
conversion factors are not here, they come from the unit's name. `examples` are shown beside an
entry and in the sentence that refuses one: each of them can be typed as it stands.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["DIMENSIONS", "Dimension", "Unit"]


@dataclass(frozen=True)
class Unit:
    """One unit.

    Attributes
    ----------
    name : str
        The course's spelling.
    pint_name : str
        What the conversion is looked up by.
    spellings : tuple of str
        How people type it, in small letters.
    """

    name: str
    pint_name: str
    spellings: tuple[str, ...]


@dataclass(frozen=True)
class Dimension:
    """One kind of number.

    Attributes
    ----------
    internal : str
        What the course's own unit is looked up by.
    noun : str
        What it is called, such as "a length".
    examples : tuple of str
        Ways to type it, different from each other.
    units : tuple of Unit
        The units that it may be typed in.
    """

    internal: str
    noun: str
    examples: tuple[str, ...]
    units: tuple[Unit, ...]

    @property
    def forms(self) -> str:
        """The examples in a row, such as "1:60, 1 in 60 or 60"."""
        return f"{', '.join(self.examples[:-1])} or {self.examples[-1]}"

    @property
    def what(self) -> str:
        """What must be typed, for a sentence, such as "a taper, such as 1:96"."""
        return f"{self.noun}, such as {self.forms}"


DIMENSIONS: dict[str, Dimension] = {
    "length": Dimension(
        "inch",
        "a length",
        ("1.0104 in", "1-3/8 in", "0.5 mm"),
        (
            Unit("in", "inch", ("in", "inch", "inches", '"', "in.", "''")),
            Unit("thou", "thou", ("thou", "thous", "thousandths", "mil", "mils")),
            Unit("mm", "millimeter", ("mm", "millimeter", "millimetre", "mm.")),
            Unit("cm", "centimeter", ("cm",)),
            Unit("m", "meter", ("m",)),
            Unit("um", "micrometer", ("um", "micron", "microns")),
            Unit("ft", "foot", ("ft", "foot", "feet", "'", "ft.")),
        ),
    ),
    "force": Dimension(
        "pound_force",
        "a force",
        ("28000 lbf", "14 tons", "125 kN"),
        (
            Unit("lbf", "pound_force", ("lbf", "lb", "lbs", "pounds", "pound", "#")),
            Unit("kip", "kip", ("kip", "kips", "klbf")),
            Unit("tons", "ton_force", ("ton", "tons", "tonf", "short tons", "short ton")),
            Unit("N", "newton", ("n", "newton", "newtons")),
            Unit("kN", "kilonewton", ("kn",)),
        ),
    ),
    "pressure": Dimension(
        "psi",
        "a pressure or stress",
        ("13000 psi", "13 ksi", "90 MPa"),
        (
            Unit("psi", "psi", ("psi", "lb/in2", "lbf/in2", "lbf/in^2")),
            Unit("ksi", "ksi", ("ksi",)),
            Unit("MPa", "megapascal", ("mpa", "n/mm2", "n/mm^2")),
            Unit("bar", "bar", ("bar",)),
        ),
    ),
    "torque": Dimension(
        "pound_force * inch",
        "a torque",
        ("4200 lbf in", "350 lbf ft", "475 N m"),
        (
            Unit(
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
            Unit(
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
            Unit("N m", "newton * meter", ("n m", "nm", "n-m")),
            Unit("kN m", "kilonewton * meter", ("kn m", "knm", "kn-m")),
        ),
    ),
    "angle": Dimension(
        "radian",
        "an angle",
        ("0.597 deg", "0° 35' 48\""),
        (
            Unit("deg", "degree", ("deg", "degree", "degrees", "°", "degs")),
            Unit("rad", "radian", ("rad", "radian", "radians")),
            Unit("min", "arcminute", ("min", "arcmin", "'", "minutes")),
        ),
    ),
    "taper": Dimension(
        "dimensionless",
        "a taper",
        ("10.4 thou/in", "0.125 in/ft", "1.04 mm/100 mm", "1:96", "1 in 96"),
        (
            Unit("in/in", "inch / inch", ("in/in",)),
            Unit("in/ft", "inch / foot", ("in/ft",)),
            Unit("thou/in", "thou / inch", ("thou/in",)),
            Unit("mm/m", "millimeter / meter", ("mm/m",)),
            Unit("mm/mm", "millimeter / millimeter", ("mm/mm",)),
            Unit("mm/100 mm", "percent", ("mm/100 mm", "mm/100mm")),
            Unit("%", "percent", ("%", "percent")),
        ),
    ),
    "ratio": Dimension(
        "dimensionless",
        "the n of 1 : n",
        ("1:60", "1 in 60", "60"),
        (Unit("", "dimensionless", ()),),
    ),
    "temperature": Dimension(
        "degF",
        "a temperature",
        ("68 degF", "20 degC"),
        (
            Unit("degF", "degF", ("degf", "f", "°f", "deg f")),
            Unit("degC", "degC", ("degc", "c", "°c", "deg c")),
        ),
    ),
    "number": Dimension(
        "dimensionless",
        "a plain number",
        ("2", "0.15"),
        (Unit("", "dimensionless", ()), Unit("%", "percent", ("%", "percent"))),
    ),
}
