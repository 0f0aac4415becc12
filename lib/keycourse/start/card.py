"""What exercise 00 has in hand: four tools to read, two sums, one drive to judge."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coursework.draws import Draws
from keycourse.drive import Drive
from taperkey.formulas.key import FITTING_ALLOWANCE_IN
from taperkey.units import MM_PER_IN

__all__ = ["DRIVE_STATES", "KINDS", "DriveState", "StartReadings", "draw", "traps_of"]

DriveState = Literal["stopped", "their-lock", "untried", "loaded", "tag-only", "made-ready"]
#: How far the drive on the card has been made ready; a class meets each.
DRIVE_STATES: tuple[DriveState, ...] = (
    "stopped",
    "untried",
    "their-lock",
    "loaded",
    "made-ready",
    "tag-only",
)
#: Each as often as it is dealt: no answer to what comes first is right on most cards.
KINDS: tuple[DriveState, ...] = (
    *DRIVE_STATES,
    *("untried", "loaded", "made-ready"),
)
# Left on a key's height for fitting: the usual allowance, and two thousandths to either side.
_ALLOWANCES_IN = tuple(round(FITTING_ALLOWANCE_IN + more, 3) for more in (-0.002, 0.0, 0.002))
_BARS_IN = (0.5, 0.625, 0.75, 0.875, 0.9375, 1.0, 1.125, 1.5)
_KEYS_MM = (12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 25.0, 28.0, 32.0, 36.0)  # DIN 6886 widths


@dataclass(frozen=True, kw_only=True)
class StartReadings:
    """What the drawn tools show, and what else the first exercise asks about.

    Attributes
    ----------
    micrometer_in : float
        Reading of the inch micrometer, on a whole 0.001 in [in].
    vernier_in : float
        Reading of the inch micrometer with a vernier, on a whole 0.0001 in [in].
    micrometer_mm : float
        Reading of the metric micrometer, on a whole 0.01 mm [mm].
    caliper_in : float
        Reading of the inch vernier caliper, on a whole 0.001 in [in].
    caliper_mm : float
        Reading of the metric vernier caliper, on a whole 0.02 mm [mm].
    sixteenths : int
        Finished height of a key, in sixteenths of an inch; odd, so that it stays sixteenths.
    allowance_in : float
        What is left on that height for fitting and drive [in].
    bar_in : float
        Width of a bar of key stock [in].
    key_mm : float
        Width that a metric key cut from it must have; a little less [mm].
    drive_state : str
        How far the drive has been made ready for a hand; one of ``DRIVE_STATES``.
    """

    micrometer_in: float
    vernier_in: float
    micrometer_mm: float
    caliper_in: float
    caliper_mm: float
    sixteenths: int
    allowance_in: float
    bar_in: float
    key_mm: float
    drive_state: DriveState


def _pick(draws: Draws, row: tuple[float, ...]) -> float:
    return row[draws.whole(low=0, high=len(row) - 1)]


def traps_of(kind: DriveState) -> frozenset[str]:
    """Return which traps a card of this kind holds."""
    return frozenset({kind})


def draw(*, draws: Draws, turn: int, drive: Drive) -> StartReadings:
    """Draw the readings; each tool shows something to trip over, such as a line just coming out."""

    def sleeve() -> int:
        return draws.whole(low=4, high=38)  # lines of 0.025 in

    def thimble() -> int:
        """Return thimble lines: half of them where a line of the sleeve is easily miscounted."""
        if draws.uniform(low=0.0, high=1.0) < 0.5:
            return draws.whole(low=21, high=24)
        return draws.whole(low=1, high=11)

    tenths = (2, 3, 4, 6, 7, 8)[draws.whole(low=0, high=5)]
    bar, key = _bar_and_key(draws)
    return StartReadings(
        micrometer_in=round(0.025 * sleeve() + 0.001 * thimble(), 3),
        vernier_in=round(0.025 * sleeve() + 0.001 * thimble() + 0.0001 * tenths, 4),
        micrometer_mm=round(
            0.5 * draws.whole(low=8, high=47) + 0.01 * draws.whole(low=1, high=49), 2
        ),
        caliper_in=round(0.025 * draws.whole(low=22, high=150) + 0.001 * thimble(), 3),
        caliper_mm=round(draws.whole(low=14, high=95) + 0.02 * draws.whole(low=3, high=46), 2),
        sixteenths=2 * draws.whole(low=4, high=14) + 1,
        allowance_in=_pick(draws, _ALLOWANCES_IN),
        bar_in=bar,
        key_mm=key,
        drive_state=KINDS[turn % len(KINDS)],
    )


def _bar_and_key(draws: Draws) -> tuple[float, float]:
    """Return a bar of key stock [in] and a metric key [mm] that can be cut from it with little."""
    pairs = [
        (bar, key) for bar in _BARS_IN for key in _KEYS_MM if 0.2 <= MM_PER_IN * bar - key <= 2.5
    ]
    return pairs[draws.whole(low=0, high=len(pairs) - 1)]
