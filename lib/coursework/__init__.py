"""The job card: one drive, drawn from class, exercise and apprentice number.

The same three always give the same card, on any machine, so an apprentice has
numbers of their own and a marker can draw the card again. What a card holds is
what a mechanic would have in hand: names, sizes and readings with honest
scatter, taken on the bench from a true slot. The true slot itself is not on it.

One module an exercise says what its card holds and draws it.
"""

from taperkey.jobcard.card import EXERCISES, JobCard, draw_card, require_class_code
from taperkey.jobcard.drive import Drive, System, rounded
from taperkey.jobcard.fit import FitCase
from taperkey.jobcard.key import KeyOrder
from taperkey.jobcard.measure import OpeningReadings
from taperkey.jobcard.pull import PullCase
from taperkey.jobcard.start import StartReadings
from taperkey.jobcard.taper import StationReadings
from taperkey.jobcard.whole import WholeJob

__all__ = [
    "EXERCISES",
    "Drive",
    "FitCase",
    "JobCard",
    "KeyOrder",
    "OpeningReadings",
    "PullCase",
    "StartReadings",
    "StationReadings",
    "System",
    "WholeJob",
    "draw_card",
    "require_class_code",
    "rounded",
]
