"""What is said where a clock was wrong: that of the class was set back, or a page's is ahead.

Every register of a class only grows, so what came first stands first, whatever the clock said. The
times in it are what the clock said then; they are never put right afterwards.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import datetime, timedelta
from pathlib import Path

from coursework.mark.lateness import local_text, utc_of
from coursework.mark.register import Register
from coursework.mark.registers import registers_of_marks
from coursework.room.attempts import releases_register
from coursework.room.classfolder import ClassFolder
from coursework.room.intake import Admitted
from coursework.room.nextsteps import who
from coursework.room.people import people_register

__all__ = ["ahead_told", "registers_of_class", "right_from", "set_back_told"]

CLOCKS_APART = timedelta(minutes=10)  # two clocks that are looked after differ by less


def registers_of_class(folder: Path) -> tuple[Register, ...]:
    """Return all registers of a class."""
    return (*registers_of_marks(folder), people_register(folder), releases_register(folder))


def right_from(folder: Path) -> float:
    """Return after which moment a clock is not told of as set back, in s since 1970."""
    newest = _newest(folder)
    return newest[0].timestamp() - CLOCKS_APART.total_seconds() if newest else -math.inf


def set_back_told(folder: Path, now: datetime) -> list[str]:
    """Return a sentence where the clock says an earlier time than the newest line of a register."""
    newest = _newest(folder)
    if newest is None or newest[0] - now < CLOCKS_APART:
        return []
    when, name = newest
    return [
        f"The clock of this computer says {local_text(now)}, and the last line of {name} was "
        f"written at {local_text(when)}: the clock was set back, or was ahead then. What came "
        "first still stands first, and nothing is lost. Look at the clock."
    ]


def _newest(folder: Path) -> tuple[datetime, str] | None:
    """Return when the newest line of all registers was written, and in which one it stands."""
    found = [
        (when, register.path.name)
        for register in registers_of_class(folder)
        if (when := _moment(register.last_time()))
    ]
    return max(found, default=None)


def _moment(text: str) -> datetime | None:
    try:
        return utc_of(text)
    except ValueError:
        return None


def ahead_told(class_folder: ClassFolder, admitted: Iterable[Admitted], came: str) -> list[str]:
    """Return a sentence for each hand-in that says it was made after it came."""
    return [
        f"Look: {who(class_folder, [one.number])}, {one.page}: its page says it was made at "
        f"{local_text(made)}, and it came at {local_text(utc_of(came))}; one of the two clocks is "
        "wrong. It counts as handed in when it came."
        for one in admitted
        if (made := _moment(one.made)) and made - utc_of(came) > CLOCKS_APART
    ]
