"""How a shop writes lengths, loads and tapers: in inches and pounds, or in millimeters and kN.

Inside, everything stays in inches and pounds; here it is only written, and what is set on a
slider in the shop's own unit is brought back.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from taperkey.said import Number, Said
from taperkey.units import KN_PER_LBF, MM_PER_IN, fraction_text

__all__ = ["INCH", "METRIC", "ShopUnits", "shop_units"]

KG_PER_LB = 0.45359237
FREEZING_F = 32.0
_SMALL_IN = 0.03  # a length below it is a difference of heights
_NOBODY_MEANT = 1e12

Way = Literal["near", "down", "up"]
_WAYS: dict[str, Way] = {"": "near", "near": "near", "down": "down", "up": "up"}


@dataclass(frozen=True, kw_only=True)
class ShopUnits:
    """One way of writing.

    Attributes
    ----------
    unit : str
        Of a height or a distance.
    per_in : float
        How many of them an inch is.
    fine, fine_places : str, int
        What small differences are written in, and with how many decimals.
    fine_per_in : float
        How many of those an inch is.
    taper_unit : str
        What a taper is written in.
    taper_times : float
        Taper in that unit for a taper of 1.
    places, taper_places : int
        Decimals of a height and of a taper.
    force_unit : str
        Of a force.
    force_per_lbf : float
        How many of them a pound-force is.
    fine_head : str
        Unit of small differences over a column of a table.
    travel_places, long_places : int
        Decimals of a stand-out, and of a place along the key.
    finest, finest_places, finest_per_in : str, int, float
        What a scatter is written in, with how many decimals, and how many of them an inch is.
    pressure_unit, pressure_per_psi : str, float
        Of a pressure, and how many of them a psi is.
    energy_unit, energy_per_in_lbf : str, float
        Of a blow, and how many of them an inch-pound is.
    degree, degree_per_f : str, float
        Of a temperature, and how many of them a difference of 1 °F is.
    """

    unit: str
    per_in: float
    fine: str
    fine_places: int
    fine_per_in: float
    taper_unit: str
    taper_times: float
    places: int
    taper_places: int
    force_unit: str
    force_per_lbf: float
    fine_head: str
    travel_places: int
    long_places: int
    finest: str
    finest_places: int
    finest_per_in: float
    pressure_unit: str
    pressure_per_psi: float
    energy_unit: str
    energy_per_in_lbf: float
    degree: str
    degree_per_f: float

    @property
    def metric(self) -> bool:
        """Whether millimeters come first."""
        return self.unit == "mm"

    # lengths

    def height(self, value_in: float) -> str:
        """Write a height as it is read.

        Examples
        --------
        >>> INCH.height(1.0104), METRIC.height(1.0104)
        ('1.0104 in', '25.664 mm')
        """
        return f"{value_in * self.per_in:.{self.places}f} {self.unit}"

    def distance(self, value_in: float) -> str:
        """Write a distance along the slot.

        Examples
        --------
        >>> INCH.distance(4.0), METRIC.distance(100 / 25.4)
        ('4 in', '100 mm')
        """
        return f"{round(value_in * self.per_in, 2):g} {self.unit}"

    def place(self, value_in: float) -> str:
        """Write a place along the slot as it was chosen.

        Examples
        --------
        >>> INCH.place(0.625), METRIC.place(0.75)
        ('0.625 in', '19.05 mm')
        """
        return f"{value_in * self.per_in:g} {self.unit}"

    def span(self, first_in: float, last_in: float) -> str:
        """Write a stretch between two places.

        Examples
        --------
        >>> INCH.span(0.0, 4.0), METRIC.span(0.0, 4.0)
        ('0 to 4 in', '0 to 101.6 mm')
        """
        return f"{first_in * self.per_in:g} to {self.place(last_in)}"

    def travel(self, value_in: float) -> str:
        """Write a stand-out or a travel.

        Examples
        --------
        >>> INCH.travel(0.125), METRIC.travel(0.125)
        ('0.125 in', '3.17 mm')
        """
        return f"{value_in * self.per_in:.{self.travel_places}f} {self.unit}"

    def long(self, value_in: float) -> str:
        """Write a length along the key.

        Examples
        --------
        >>> INCH.long(1.5), METRIC.long(1.5)
        ('1.50 in', '38.1 mm')
        """
        return f"{value_in * self.per_in:.{self.long_places}f} {self.unit}"

    def roughly(self, value_in: float) -> str:
        """Write a length that is found by hand.

        Examples
        --------
        >>> INCH.roughly(3.98), METRIC.roughly(3.98)
        ('4.0 in', '101 mm')
        """
        return f"{value_in * self.per_in:.{self.long_places - 1}f} {self.unit}"

    def about(self, value_in: float) -> str:
        """Write a length of common practice: a shop fraction, or whole millimeters.

        Examples
        --------
        >>> INCH.about(0.125), METRIC.about(0.125)
        ('1/8 in', '3 mm')
        """
        return f"{value_in * MM_PER_IN:.0f} mm" if self.metric else fraction_text(value_in)

    def beside(self, name: str, written: str) -> str:
        """Write a size that goes by an inch name; a metric shop has its own figure beside it.

        Examples
        --------
        >>> INCH.beside("1/2 in", INCH.long(0.5)), METRIC.beside("1/2 in", METRIC.long(0.5))
        ('1/2 in', '1/2 in (12.7 mm)')
        """
        return f"{name} ({written})" if self.metric else name

    def leaf(self, value_in: float) -> str:
        """Write a feeler leaf: by its inch size, or by its size in a metric set.

        Examples
        --------
        >>> INCH.leaf(0.0015), METRIC.leaf(0.0015)
        ('0.0015 in', '0.04 mm')
        """
        return f"{value_in * MM_PER_IN:.2f} mm" if self.metric else f"{value_in:.4f} in"

    def finer(self, value_in: float) -> str:
        """Write a scatter.

        Examples
        --------
        >>> INCH.finer(0.00042), METRIC.finer(0.00042)
        ('0.42 thousandths', '10.7 µm')
        """
        return f"{value_in * self.finest_per_in:.{self.finest_places}f} {self.finest}"

    def small(self, value_in: float, *, sign: Literal["", "+"] = "") -> str:
        """Write a small difference, with its sign where one is asked for.

        Examples
        --------
        >>> INCH.small(0.008), METRIC.small(0.008)
        ('8.0 thousandths', '0.203 mm')
        """
        return f"{value_in * self.fine_per_in:{sign}.{self.fine_places}f} {self.fine}"

    def taper(self, taper_in_per_in: float, *, fewer: int = 0) -> str:
        """Write a taper, with so many decimals `fewer` than usual.

        Examples
        --------
        >>> INCH.taper(1 / 96), METRIC.taper(1 / 100)
        ('0.1250 in per foot', '1.000 mm in 100 mm')
        """
        places = self.taper_places - fewer
        return f"{taper_in_per_in * self.taper_times:.{places}f} {self.taper_unit}"

    # loads

    def force(self, value_lbf: float) -> str:
        """Write the size of a force, to the nearest 10 lbf where it is above 1,000.

        Examples
        --------
        >>> INCH.force(-28_504), METRIC.force(-28_504)
        ('28,500 lbf', '126.8 kN')
        """
        size = abs(value_lbf)
        if self.force_unit == "lbf":
            return f"{round(size, -1) if size >= 1000 else size:,.0f} lbf"
        return f"{size * self.force_per_lbf:,.1f} {self.force_unit}"

    def load(self, value_lbf: float, way: Way = "near") -> str:
        """Write a load to the pound, or to 0.1 kN; a capacity is rounded down.

        Examples
        --------
        >>> INCH.load(28_504.0), METRIC.load(28_504.0), METRIC.load(28_504.0, "down")
        ('28,504 lbf', '126.8 kN', '126.7 kN')
        >>> METRIC.load(50.0)
        '222 N'
        """
        if not self.metric:
            return f"{value_lbf:,.0f} lbf"
        size = value_lbf * self.force_per_lbf
        if abs(size) >= 1:
            return f"{_tenths(size, way):,.1f} kN"
        return f"{1000 * size:,.0f} N" if size else "0 kN"

    def load_range(self, low_lbf: float, high_lbf: float) -> str:
        """Write a range of loads, rounded outward.

        Examples
        --------
        >>> INCH.load_range(12_300.0, 14_500.0), METRIC.load_range(12_300.0, 14_500.0)
        ('12,300 to 14,500 lbf', '54.7 to 64.5 kN')
        """
        if not self.metric:
            return f"{low_lbf:,.0f} to {high_lbf:,.0f} lbf"
        low, high = (value * self.force_per_lbf for value in (low_lbf, high_lbf))
        return f"{_tenths(low, 'down'):,.1f} to {_tenths(high, 'up'):,.1f} kN"

    def pressure(self, value_psi: float) -> str:
        """Write a pressure.

        Examples
        --------
        >>> INCH.pressure(4000.0), METRIC.pressure(4000.0)
        ('4,000 psi', '28 MPa')
        """
        return f"{value_psi * self.pressure_per_psi:,.0f} {self.pressure_unit}"

    def gauge(self, value_psi: float) -> str:
        """Write what a gauge of a jack shows.

        Examples
        --------
        >>> INCH.gauge(4020.0), METRIC.gauge(4020.0)
        ('4,020 psi', '277 bar')
        """
        if not self.metric:
            return self.pressure(value_psi)
        return f"{10 * value_psi * self.pressure_per_psi:,.0f} bar"

    def energy(self, value_in_lbf: float) -> str:
        """Write the energy of a blow.

        Examples
        --------
        >>> INCH.energy(1000.0), METRIC.energy(1000.0)
        ('1,000 in·lbf', '113 J')
        """
        return f"{value_in_lbf * self.energy_per_in_lbf:,.0f} {self.energy_unit}"

    def mass(self, value_lb: float) -> str:
        """Write a weight.

        Examples
        --------
        >>> INCH.mass(30.0), METRIC.mass(30.0)
        ('30 lb', '13.6 kg')
        """
        return f"{value_lb * KG_PER_LB:.1f} kg" if self.metric else f"{value_lb:g} lb"

    def speed(self, value_ft_per_s: float) -> str:
        """Write a speed.

        Examples
        --------
        >>> INCH.speed(30.0), METRIC.speed(30.0)
        ('30 ft/s', '9.1 m/s')
        """
        if self.metric:
            return f"{value_ft_per_s * 12 * MM_PER_IN / 1000:.1f} m/s"
        return f"{value_ft_per_s:g} ft/s"

    def any(self, value: float, dimension: str) -> str:
        """Write a number of a dimension, for a sentence that holds its place.

        Examples
        --------
        >>> INCH.any(16_000.0, "force"), METRIC.any(16_000.0, "force-down"), INCH.any(11, "number")
        ('16,000 lbf', '71.1 kN', '11')
        """
        kind, _, way = dimension.partition("-")
        if kind == "force":
            return self.load(value, _WAYS[way])
        return f"{value:g}"

    # sentences

    def say(self, sentence: str) -> str:
        """Return a sentence of a bench or a formula with its numbers in the shop's units.

        Examples
        --------
        >>> from taperkey.said import number, numbers
        >>> bar = numbers(4.0, 3.5, unit="in", form="g", between=" × ")
        >>> METRIC.say(Said("{bar} bar, {steel} yield", bar=bar, steel=number(36_000.0, "psi")))
        '101.6 × 88.9 mm bar, 248 MPa yield'
        """
        if self.metric and isinstance(sentence, Said):
            return sentence.told(self.number)
        return str(sentence)

    def number(self, one: Number) -> str:
        """Write a number of a sentence, or several that share a unit.

        Examples
        --------
        >>> from taperkey.said import number, numbers
        >>> INCH.number(number(0.12, "in", ".2f")), METRIC.number(number(0.12, "in", ".2f"))
        ('0.12 in', '3.0 mm')
        >>> METRIC.number(numbers(1_000.0, 2_000.0, unit="lbf"))
        '4.4 to 8.9 kN'
        """
        if not self.metric or any(not abs(value) < _NOBODY_MEANT for value in one.values):
            return str(one)
        first, last = one.values[0], one.values[-1]
        if one.unit == "in":
            if one.way == "leaf":
                return self.leaf(first)
            sizes = map(self._as_fine, one.values, one.shown)
            return f"{one.between.join(sizes)} {self.unit}"
        if one.unit == "lbf" and one.way == "outward":
            return self.load_range(first, last)
        if one.unit == "lbf" and one.way == "inward":
            return f"{self.load(first, 'up')}{one.between}{self.load(last, 'down')}"
        if one.unit == "lbf":
            return one.between.join(self.load(value, _WAYS[one.way]) for value in one.values)
        write = {
            "psi": self.pressure,
            "F": self.warmer,
            "lbf in": self.energy,
            "in2": self._area,
            "lbf/in": self._line_load,
        }.get(one.unit)
        return one.between.join(map(write, one.values)) if write else str(one)

    def _as_fine(self, value_in: float, shown: str) -> str:
        """Write a length about as finely as it is read in inches."""
        if not value_in:
            return "0"
        decimals = len(shown.partition(".")[2])
        places = 1 if decimals < 3 else 3 if abs(value_in) < _SMALL_IN else 2
        return f"{value_in * self.per_in:.{places}f}"

    def _area(self, value_in2: float) -> str:
        return f"{value_in2 * self.per_in**2:,.0f} {self.unit}²"

    def _line_load(self, value_lbf_per_in: float) -> str:
        return f"{1000 * value_lbf_per_in * self.force_per_lbf / self.per_in:,.0f} N/{self.unit}"

    # temperatures

    def degrees(self, value_f: float) -> float:
        """Return a temperature in the shop's degrees.

        Examples
        --------
        >>> INCH.degrees(68.0), METRIC.degrees(68.0)
        (68.0, 20.0)
        """
        return round((value_f - FREEZING_F) / 1.8, 6) if self.metric else value_f

    def temperature(self, value_f: float) -> str:
        """Write a temperature.

        Examples
        --------
        >>> INCH.temperature(68.0), METRIC.temperature(68.0)
        ('68 °F', '20 °C')
        """
        return f"{round(self.degrees(value_f), 1):g} {self.degree}"

    def both_temperatures(self, value_f: float) -> str:
        """Write a temperature in the shop's degrees, and in the other ones.

        Examples
        --------
        >>> INCH.both_temperatures(68.0), METRIC.both_temperatures(68.0)
        ('68 °F (20 °C)', '20 °C (68 °F)')
        """
        other = INCH if self.metric else METRIC
        return f"{self.temperature(value_f)} ({round(other.degrees(value_f)):d} {other.degree})"

    def warmer(self, difference_f: float) -> str:
        """Write a difference of temperatures.

        Examples
        --------
        >>> INCH.warmer(90.0), METRIC.warmer(90.0)
        ('90 °F', '50 °C')
        """
        return f"{round(difference_f * self.degree_per_f, 1):g} {self.degree}"

    # back from what is set in the shop's unit

    def to_in(self, shown: float) -> float:
        """Return a length that is set in the shop's unit [in].

        Examples
        --------
        >>> INCH.to_in(2.25), METRIC.to_in(57.15)
        (2.25, 2.25)
        """
        return round(shown / self.per_in, 9)

    def fine_to_in(self, shown: float) -> float:
        """Return a small difference that is set in the shop's unit [in].

        Examples
        --------
        >>> INCH.fine_to_in(-2.0), METRIC.fine_to_in(-0.0508)
        (-0.002, -0.002)
        """
        return round(shown / self.fine_per_in, 9)

    def to_lbf(self, shown: float) -> float:
        """Return a load that is set in the shop's unit [lbf].

        Examples
        --------
        >>> INCH.to_lbf(5000.0), round(METRIC.to_lbf(22.2411), 1)
        (5000.0, 5000.0)
        """
        return round(shown / self.force_per_lbf, 6)

    def set_load(self, value_lbf: float) -> float:
        """Return what a slider is set to for a load; never less than the load.

        Examples
        --------
        >>> INCH.set_load(3500.0), METRIC.set_load(3500.0)
        (3500.0, 15.6)
        """
        return _tenths(value_lbf * self.force_per_lbf, "up") if self.metric else value_lbf

    def to_f(self, shown: float) -> float:
        """Return a temperature that is set in the shop's degrees [F].

        Examples
        --------
        >>> INCH.to_f(86.0), METRIC.to_f(30.0)
        (86.0, 86.0)
        """
        return round(shown * 1.8 + FREEZING_F, 6) if self.metric else shown

    def warmer_f(self, shown: float) -> float:
        """Return a difference of temperatures that is set in the shop's degrees [F].

        Examples
        --------
        >>> INCH.warmer_f(90.0), METRIC.warmer_f(50.0)
        (90.0, 90.0)
        """
        return round(shown / self.degree_per_f, 6)


def _tenths(value: float, way: Way) -> float:
    tens = round(10 * value, 6)
    if way == "near":
        return round(tens) / 10
    return (math.floor(tens) if way == "down" else math.ceil(tens)) / 10


INCH = ShopUnits(
    unit="in",
    per_in=1.0,
    fine="thousandths",
    fine_places=1,
    fine_per_in=1000.0,
    taper_unit="in per foot",
    taper_times=12.0,
    places=4,
    taper_places=4,
    force_unit="lbf",
    force_per_lbf=1.0,
    fine_head="0.001 in",
    travel_places=3,
    long_places=2,
    finest="thousandths",
    finest_places=2,
    finest_per_in=1000.0,
    pressure_unit="psi",
    pressure_per_psi=1.0,
    energy_unit="in·lbf",
    energy_per_in_lbf=1.0,
    degree="°F",
    degree_per_f=1.0,
)
METRIC = ShopUnits(
    unit="mm",
    per_in=MM_PER_IN,
    fine="mm",
    fine_places=3,
    fine_per_in=MM_PER_IN,
    taper_unit="mm in 100 mm",
    taper_times=100.0,
    places=3,
    taper_places=3,
    force_unit="kN",
    force_per_lbf=KN_PER_LBF,
    fine_head="mm",
    travel_places=2,
    long_places=1,
    finest="µm",
    finest_places=1,
    finest_per_in=1000 * MM_PER_IN,
    pressure_unit="MPa",
    pressure_per_psi=1000 * KN_PER_LBF / MM_PER_IN**2,
    energy_unit="J",
    energy_per_in_lbf=KN_PER_LBF * MM_PER_IN,
    degree="°C",
    degree_per_f=1 / 1.8,
)


def shop_units(system: str) -> ShopUnits:
    """Return the way of writing of a system, "inch" or "metric"."""
    return METRIC if system == "metric" else INCH
