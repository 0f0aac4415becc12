"""All registers that go with marks, one after the other."""

from __future__ import annotations

from pathlib import Path

from coursework.mark.byhand import by_hand_register
from coursework.mark.kept import arrivals_register
from coursework.mark.register import Register
from coursework.mark.replaced import replaced_register
from coursework.mark.second import second_register
from coursework.mark.signoff import sign_off_register

__all__ = ["registers_of_marks"]


def registers_of_marks(folder: Path) -> tuple[Register, ...]:
    """Return the registers that marks come from or go into."""
    return (
        arrivals_register(folder),
        by_hand_register(folder),
        replaced_register(folder),
        sign_off_register(folder),
        second_register(folder),
    )
