"""The job card: what one apprentice has in hand for one exercise, drawn again at will."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from taperkey.bench.draws import Draws
from taperkey.checks import require_range
from taperkey.jobcard import fit, key, measure, pull, start, taper, whole
from taperkey.jobcard.drive import Drive, System, draw_drive
from taperkey.jobcard.fit import FitCase
from taperkey.jobcard.key import KeyOrder
from taperkey.jobcard.measure import OpeningReadings
from taperkey.jobcard.pull import PullCase
from taperkey.jobcard.start import StartReadings
from taperkey.jobcard.taper import StationReadings
from taperkey.jobcard.whole import WholeJob

__all__ = ["EXERCISES", "JobCard", "draw_card", "require_class_code"]

_PARTS: dict[str, Callable[..., dict[str, Any]]] = {
    "00-start": lambda **drawn: {"start": start.draw(**drawn)},
    "01-measure": lambda **drawn: {"opening": measure.draw(**drawn)},
    "02-taper": lambda **drawn: {"stations": taper.draw(**drawn)},
    "03-key": lambda **drawn: {"key": key.draw(**drawn)},
    "04-fit": lambda **drawn: {"fit": fit.draw(**drawn)},
    "05-pull": lambda **drawn: {"pull": pull.draw(**drawn)},
    "06-whole-job": lambda **drawn: {"whole": whole.draw(**drawn)},
}
EXERCISES = tuple(_PARTS)
_SMALLEST_SHAFT_IN = {
    "05-pull": pull.SMALLEST_SHAFT_IN,
    "06-whole-job": pull.SMALLEST_SHAFT_IN,
}


@dataclass(frozen=True, kw_only=True)
class JobCard:
    """One drive with everything that one exercise needs.

    Attributes
    ----------
    class_code : str
        The class, such as "QQ-26".
    exercise : str
        One of ``EXERCISES``.
    number : int
        The apprentice's number.
    attempt : int
        How often the numbers were drawn again because two answers lay too close.
    drive : Drive
        The machine.
    start : StartReadings or None
        Tools to read and a drive to judge, exercise 00.
    opening : OpeningReadings or None
        Readings of one opening, exercise 01.
    stations : StationReadings or None
        Heights along one opening, exercise 02.
    key : KeyOrder or None
        An order for a key, exercise 03.
    fit : FitCase or None
        A key between two fittings, exercise 04.
    pull : PullCase or None
        A key to draw, exercise 05.
    whole : WholeJob or None
        One drive from readings to pull, exercise 06.
    """

    class_code: str
    exercise: str
    number: int
    attempt: int
    drive: Drive
    start: StartReadings | None = None
    opening: OpeningReadings | None = None
    stations: StationReadings | None = None
    key: KeyOrder | None = None
    fit: FitCase | None = None
    pull: PullCase | None = None
    whole: WholeJob | None = None

    @property
    def metric(self) -> bool:
        """Whether the card's numbers are in millimetres."""
        return self.drive.system == "metric"


def require_class_code(class_code: str) -> None:
    """Refuse a class code that could not be a file name everywhere.

    Raises
    ------
    ValueError
        One sentence.
    """
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9-]{0,23}", class_code):
        shown = class_code if len(class_code) <= 24 else class_code[:24] + "…"
        raise ValueError(
            f"class code is “{shown}”; it must be 1 to 24 letters, digits and hyphens, such as "
            "QQ-26. Ask the instructor for the code of your class."
        )


def draw_card(*, class_code: str, exercise: str, number: int, attempt: int = 0) -> JobCard:
    """Draw the job card of one apprentice for one exercise.

    Parameters
    ----------
    class_code : str
        1 to 24 letters, digits and hyphens.
    exercise : str
        One of ``EXERCISES``.
    number : int
        The apprentice's number, 1 to 999999.
    attempt : int
        Draw the numbers again, 0 for the first time.

    Returns
    -------
    JobCard
        The same for the same arguments, on any machine.

    Raises
    ------
    ValueError
        One sentence, where an argument is outside its range.

    Examples
    --------
    >>> one = draw_card(class_code="QQ-26", exercise="02-taper", number=7)
    >>> one == draw_card(class_code="QQ-26", exercise="02-taper", number=7)
    True
    >>> one == draw_card(class_code="QQ-26", exercise="02-taper", number=8)
    False
    """
    require_class_code(class_code)
    require_range("apprentice number", number, 1, 999_999, "", "Look at your name tag.")
    if exercise not in EXERCISES:
        raise ValueError(
            f"exercise is “{exercise[:30]}”; it must be one of: {', '.join(EXERCISES)}."
        )
    draws = Draws(f"{class_code}/{exercise}/{number}/{attempt}")
    turn = number + Draws(f"{class_code}/turn").whole(low=0, high=29)
    system: System = "metric" if (turn + int(exercise[:2])) % 5 == 3 else "inch"
    drive = draw_drive(
        draws=draws,
        place=turn + 3 * int(exercise[:2]),
        system=system,
        smallest_shaft_in=_SMALLEST_SHAFT_IN.get(exercise, {}).get(system, 0.0),
    )
    return JobCard(
        class_code=class_code,
        exercise=exercise,
        number=number,
        attempt=attempt,
        drive=drive,
        **_PARTS[exercise](draws=draws, turn=turn, drive=drive),
    )
