"""How the sheet writes a number: in inches, in millimeters, or in both."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Literal

from taperkey.tables.rigging import LBF_PER_US_TON
from taperkey.units import MM_PER_IN, fraction_text, from_internal

__all__ = ["Writer"]

Way = Literal["near", "down", "up"]
_WAYS: dict[str, Way] = {"force": "near", "force-up": "up", "force-down": "down"}
_ROUND: dict[str, Callable[[float], float]] = {"near": round, "down": math.floor, "up": math.ceil}


class Writer:
    """Writes numbers in the units of a job.

    Parameters
    ----------
    units : str
        "inch", "metric" or "mixed": inches with millimeters behind them.
    """

    def __init__(self, units: str) -> None:
        self.units = units

    def _both(self, inch: str, metric: str) -> str:
        if self.units == "inch":
            return inch
        return metric if self.units == "metric" else f"{inch} ({metric})"

    def fine(self, value_in: float) -> str:
        """Write a height or a width: to 0.0001 in or 0.001 mm."""
        return self._both(f"{value_in:.4f} in", f"{value_in * MM_PER_IN:.3f} mm")

    def long(self, value_in: float) -> str:
        """Write a length along the key: to 0.01 in or 0.1 mm."""
        return self._both(f"{value_in:.2f} in", f"{value_in * MM_PER_IN:.1f} mm")

    def inside(self, value_in: float) -> str:
        """Write a length that has to go in somewhere: rounded down, to 0.01 in or 0.1 mm."""
        inch, metric = (
            math.floor(value_in * 100 + 1e-6),
            math.floor(value_in * MM_PER_IN * 10 + 1e-6),
        )
        return self._both(f"{inch / 100:.2f} in", f"{metric / 10:.1f} mm")

    def tons(self, value_tons: float) -> str:
        """Write what is on a jack's plate: US tons, or the same in kilonewtons."""
        metric = from_internal(value_tons * LBF_PER_US_TON, dimension="force", unit="kN")
        return self._both(f"{value_tons:g} tons", f"{metric:.0f} kN")

    def travel(self, value_in: float) -> str:
        """Write a travel for a small height: to 0.001 in or 0.01 mm."""
        return self._both(f"{value_in:.3f} in", f"{value_in * MM_PER_IN:.2f} mm")

    def shop(self, value_in: float) -> str:
        """Write a bar or an edge: a shop fraction, or to 0.1 mm."""
        return self._both(fraction_text(value_in), f"{value_in * MM_PER_IN:.1f} mm")

    def nominal(self, value_in: float) -> str:
        """Write a nominal size: a shop fraction, or millimeters as the standard has them."""
        return self._both(fraction_text(value_in), f"{value_in * MM_PER_IN:g} mm")

    def force(self, value_lbf: float, way: Way = "near") -> str:
        """Write a force to three figures at most; a load rounds up, a capacity down."""
        newton = from_internal(value_lbf, dimension="force", unit="kN")
        return self._both(
            f"{_rounded(value_lbf, way):,.0f} lbf", f"{_ROUND[way](newton * 10) / 10:,.1f} kN"
        )

    def pressure(self, value_psi: float) -> str:
        """Write a pressure to three figures."""
        metric = from_internal(value_psi, dimension="pressure", unit="MPa")
        return self._both(f"{_rounded(value_psi, 'near'):,.0f} psi", f"{metric:.1f} MPa")

    def torque(self, value_lbf_in: float, way: Way = "near") -> str:
        """Write a torque to three figures at most; a capacity rounds down."""
        metric = from_internal(value_lbf_in, dimension="torque", unit="N m")
        return self._both(
            f"{_rounded(value_lbf_in, way):,.0f} lbf in", f"{_rounded(metric, way):,.0f} N m"
        )

    def tap_drill(self, value_in: float) -> str:
        """Write the drill for a tap: to the nearest 64th of an inch, or to 0.1 mm."""
        inch = f"{fraction_text(round(value_in * 64) / 64)} ({value_in:.3f} in)"
        return self._both(inch, f"{round(round(value_in * MM_PER_IN, 3), 1):.1f} mm")

    def wrench(self, value_lbf_in: float) -> str:
        """Write a torque for a wrench: foot-pounds or newton meters, two figures, rounded down."""
        metric = from_internal(value_lbf_in, dimension="torque", unit="N m")
        return self._both(
            f"{_rounded(value_lbf_in / 12, 'down', 2):,.0f} lbf ft",
            f"{_rounded(metric, 'down', 2):,.0f} N m",
        )

    def energy(self, value_lbf_in: float) -> str:
        """Write an energy: foot-pounds or joules."""
        metric = from_internal(value_lbf_in, dimension="torque", unit="N m")
        return self._both(f"{math.ceil(value_lbf_in / 12):,} ft lbf", f"{math.ceil(metric):,} J")

    def weight(self, value_lb: float) -> str:
        """Write the weight of a hammer."""
        metric = from_internal(value_lb, dimension="force", unit="kN") * 1000 / 9.80665
        return self._both(f"{value_lb:g} lb", f"{metric:.1f} kg")

    def warmer(self, low_degF: float, high_degF: float | None = None) -> str:  # noqa: N803
        """Write a difference of temperature, or a range of it outward, to two figures."""

        def told(scale: float) -> str:
            low = f"{_rounded(low_degF / scale, 'down', 2):.0f}"
            if high_degF is None:
                return low
            return f"{low} to {_rounded(high_degF / scale, 'up', 2):.0f}"

        return self._both(f"{told(1.0)} °F", f"{told(1.8)} °C")

    def temperature(self, value_degF: float) -> str:  # noqa: N803
        """Write a temperature that is not to be passed, rounded down."""
        return self._both(f"{value_degF:.0f} °F", f"{(value_degF - 32) / 1.8 // 5 * 5:.0f} °C")

    def drill(self, value_in: float) -> str:
        """Write the size of a drill: a shop fraction, or a whole number of millimeters."""
        return self._both(fraction_text(value_in), f"{value_in * MM_PER_IN:.0f} mm")

    def drop(self, value_in: float) -> str:
        """Write a height to fall from: feet or meters, rounded up."""
        metres = value_in * MM_PER_IN / 1000
        return self._both(f"{math.ceil(value_in / 12):,} ft", f"{math.ceil(metres * 10) / 10:g} m")

    def taper(self, value: float) -> str:
        """Write a taper per inch and as a ratio, or in millimeters for 100."""
        if value == 0:
            return "0"
        inch, metric = f"{value:.5f} in/in", f"{value * 100:.3f} mm in 100 mm"
        return self._both(inch, metric)

    def slope(self, value: float) -> str:
        """Write a taper as the shop says it: per foot, or per 100 mm."""
        return self._both(f"{value * 12:.4f} in per foot", f"{value * 100:.3f} mm in 100 mm")

    def any(self, value: float, dimension: str) -> str:
        """Write a number of any dimension."""
        if dimension == "length":
            return self.fine(value)
        if dimension == "number":
            return f"{value:g}"
        if dimension.startswith("force"):
            return self.force(value, _WAYS[dimension])
        if dimension == "pressure":
            return self.pressure(value)
        return self.torque(value) if dimension == "torque" else self.taper(value)


def _rounded(value: float, way: Way, figures: int = 3) -> float:
    if value == 0:
        return 0.0
    step = 10.0 ** max(0, math.floor(math.log10(abs(value))) + 1 - figures)
    return float(_ROUND[way](value / step) * step)
