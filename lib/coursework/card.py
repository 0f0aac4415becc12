"""The job card: what one apprentice has in hand for one exercise, drawn again at will."""

from __future__ import annotations

import re
from dataclasses import dataclass

__all__ = ["RESIT", "JobCard", "require_class_code"]

RESIT = 1000  # drawings of one card are counted within this many, those of a resit in the next


@dataclass(frozen=True, kw_only=True)
class JobCard:
    """Whose card it is, and for which exercise; a course adds what stands on it, all hashable.

    Attributes
    ----------
    class_code : str
        The class, such as "QQ-26".
    exercise : str
        Name of an exercise of the course.
    number : int
        The apprentice's number.
    attempt : int
        How often the numbers were drawn again because two answers lay too close.
    """

    class_code: str
    exercise: str
    number: int
    attempt: int

    @property
    def metric(self) -> bool:
        """Whether the card's numbers are in millimeters."""
        return False


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
