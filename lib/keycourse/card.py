"""The job card of the course: one drive, with what an exercise reads off it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from coursework import card as engine
from keycourse.drive import Drive

__all__ = ["JobCard", "of_this_course"]

Readings = TypeVar("Readings")


@dataclass(frozen=True, kw_only=True)
class JobCard(engine.JobCard):
    """One drive with everything that one exercise needs.

    Attributes
    ----------
    drive : Drive
        The machine.
    readings : object
        What the exercise's own ``card`` module drew.
    """

    drive: Drive
    readings: object

    @property
    def metric(self) -> bool:
        """Whether the card's numbers are in millimeters."""
        return self.drive.system == "metric"

    def read(self, kind: type[Readings]) -> Readings:
        """Return the readings, where they are of this kind.

        Raises
        ------
        LookupError
            The card belongs to another exercise.
        """
        if not isinstance(self.readings, kind):
            raise LookupError(f"job card for {self.exercise} has no {kind.__name__}")
        return self.readings


def of_this_course(card: engine.JobCard) -> JobCard:
    """Return a card that the engine hands over, as the course's own.

    Raises
    ------
    LookupError
        It belongs to another course.
    """
    if not isinstance(card, JobCard):
        raise LookupError(f"job card for {card.exercise} belongs to another course")
    return card
