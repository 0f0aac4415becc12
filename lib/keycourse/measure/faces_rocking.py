"""The pair of sliders that rocks a tool in the slot, and what is said of how it stands."""

from __future__ import annotations

import math
from collections.abc import Callable

from coursework.page.controls import LabelledSlider
from keycourse.measure.bench.rocking import Lean

__all__ = ["Rocking"]

_MOST_CORNERS = 60  # of a way; more is no rocking but a fidget
_SQUARE_RAD = math.radians(0.7)
_GOES_IN_DEG = (5.0, 3.0)


class Rocking:
    """Where a tool leans now, and the way it was rocked on since it was put in.

    Parameters
    ----------
    along, across : LabelledSlider
        Lean in either plane, in degrees.
    changed : callable
        Called when the hand moved it.
    """

    def __init__(
        self, *, along: LabelledSlider, across: LabelledSlider, changed: Callable[[], None]
    ) -> None:
        self.along, self.across = along, across
        self.way: list[Lean] = [(0.0, 0.0)]
        self._most = (math.inf, math.inf)
        self._planes: tuple[str, ...] = ()
        self._quiet, self._changed = False, changed
        for one in (along, across):
            one.observe(lambda _: self._moved(), names="value")

    def put_in(self, *, planes: tuple[str, ...], most: Lean) -> None:
        """Put the tool in afresh, leaning in its planes as far as it goes, or 5 and 3 degrees."""
        self._planes, self._most = planes, most
        self._quiet = True
        for plane, slider, largest, goes_in in zip(
            ("along", "across"), (self.along, self.across), most, _GOES_IN_DEG, strict=True
        ):
            start = min(math.degrees(largest), goes_in) if plane in planes else 0.0
            slider.slider.value = math.floor(10 * start) / 10
            slider.widget.layout.display = None if plane in planes else "none"
        self._quiet = False
        self.way = [self.now]

    @property
    def now(self) -> Lean:
        """How it leans, no further than the slot lets it [rad]."""
        along, across = (
            max(-most, min(most, math.radians(slider.value)))
            for slider, most in zip((self.along, self.across), self._most, strict=True)
        )
        return along, across

    def _moved(self) -> None:
        if self._quiet:
            return
        if self.now != self.way[-1] and len(self.way) < _MOST_CORNERS:
            if len(self.way) > 1 and _goes_on(self.way[-2], self.way[-1], self.now):
                self.way[-1] = self.now
            else:
                self.way.append(self.now)
        self._changed()

    def said(self, name: str) -> str:
        """Return how the tool stands and what it was rocked through, in one or two sentences."""
        for plane, slider, most in zip(
            ("along", "across"), (self.along, self.across), self._most, strict=True
        ):
            if plane in self._planes and abs(math.radians(slider.value)) > most + 1e-9:
                touches = "handle touches the edge of the mouth"
                if plane == "across":
                    touches = "tool touches a side wall"
                return f"The {touches} at {math.degrees(most):.1f}°. It cannot lean further here."
        nearest = min(
            (_nearest(*stretch) for stretch in zip(self.way, self.way[1:], strict=False)),
            key=lambda lean: math.hypot(*lean),
            default=self.way[0],
        )
        left = [
            (plane, abs(lean))
            for plane, lean in zip(("along", "across"), nearest, strict=True)
            if plane in self._planes and abs(lean) > _SQUARE_RAD
        ]
        if not left:
            both = " in both planes" if len(self._planes) == 2 else ""
            return f"The {name} has passed through square{both}."
        said = [f"{plane} the slot it is left at {math.degrees(lean):.1f}°" for plane, lean in left]
        if len(left) == len(self._planes):
            return f"The {name} has not passed through square yet: {' and '.join(said)}."
        done = "across" if left[0][0] == "along" else "along"
        return f"The {name} has passed through square {done} the slot, but {' and '.join(said)}."


def _goes_on(before: Lean, last: Lean, now: Lean) -> bool:
    """Whether the hand goes on in the direction in which it moved."""
    first = (last[0] - before[0], last[1] - before[1])
    then = (now[0] - last[0], now[1] - last[1])
    aside = first[0] * then[1] - first[1] * then[0]
    on = first[0] * then[0] + first[1] * then[1]
    return on > 0 and abs(aside) < 1e-9


def _nearest(first: Lean, last: Lean) -> Lean:
    """Return the place of a stretch that comes nearest to square."""
    run = (last[0] - first[0], last[1] - first[1])
    square = run[0] ** 2 + run[1] ** 2
    part = 0.0 if not square else -(first[0] * run[0] + first[1] * run[1]) / square
    part = min(1.0, max(0.0, part))
    return first[0] + part * run[0], first[1] + part * run[1]
