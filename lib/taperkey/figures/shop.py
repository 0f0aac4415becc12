"""How a shop writes lengths and tapers: in inches and thousandths, or in millimetres.

Inside, everything stays in inches; here it is only written.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["INCH", "METRIC", "ShopUnits", "shop_units"]

MM_PER_IN = 25.4
KN_PER_LBF = 0.0044482216152605  # exact: 0.45359237 kg × 9.80665 m/s²


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

    def small(self, value_in: float) -> str:
        """Write a small difference.

        Examples
        --------
        >>> INCH.small(0.008), METRIC.small(0.008)
        ('8.0 thousandths', '0.203 mm')
        """
        return f"{value_in * self.fine_per_in:.{self.fine_places}f} {self.fine}"

    def taper(self, taper_in_per_in: float) -> str:
        """Write a taper.

        Examples
        --------
        >>> INCH.taper(1 / 96), METRIC.taper(1 / 100)
        ('0.1250 in per foot', '1.000 mm in 100 mm')
        """
        return f"{taper_in_per_in * self.taper_times:.{self.taper_places}f} {self.taper_unit}"

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
)


def shop_units(system: str) -> ShopUnits:
    """Return the way of writing of a system, "inch" or "metric"."""
    return METRIC if system == "metric" else INCH
