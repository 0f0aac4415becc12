"""The card of a check: other numbers in each of the three forms, and another case of each choice.

Each form's numbers come out of one shuffled row a person, so that no two forms share one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

from coursework.card import JobCard
from coursework.draws import Draws

__all__ = ["FORMS", "CheckCard", "draw"]

Item = TypeVar("Item")
End = Literal["mouth", "inside", "cannot"]
Spots = Literal["more", "less", "same"]
Decision = Literal["go", "change", "first"]
Missing = Literal["lock", "try", "block", "go"]

FORMS = ("check-before", "check-after", "check-later")


@dataclass(frozen=True, kw_only=True)
class CheckCard(JobCard):
    """What one person has before them in one form.

    Attributes
    ----------
    sleeve, lines, thimble : int
        Of a 0 to 1 in micrometer: last number out, lines after it, thimble line.
    readings_in : tuple of float
        Three readings of one height; two agree.
    mouth_in, inside_in, base_in : float
        Two heights of a slot, and how far apart.
    ends_in : tuple of float
        Heights of another slot at its mouth and inside.
    end : str
        Which of them is the large end, or "cannot".
    small_in, length_in : float
        Of a key.
    travel_in : float
        What another key still has to go in.
    spots : str
        What its spots say of its taper.
    carries_lbf : tuple of int
        What rod, nut, chain and jack carry.
    pull_lbf : tuple of int
        Lowest and highest pull expected.
    limit_lbf : int
        What the weakest part of that rig carries.
    decision, missing : str
        What is to be done, and what is missing.
    """

    sleeve: int
    lines: int
    thimble: int
    readings_in: tuple[float, float, float]
    mouth_in: float
    inside_in: float
    base_in: float
    ends_in: tuple[float, float]
    end: End
    small_in: float
    length_in: float
    travel_in: float
    spots: Spots
    carries_lbf: tuple[int, int, int, int]
    pull_lbf: tuple[int, int]
    limit_lbf: int
    decision: Decision
    missing: Missing


def draw(*, class_code: str, exercise: str, number: int) -> CheckCard:
    """Draw the card of one person and form; the same for the same."""
    form = FORMS.index(exercise)
    row = Draws(f"{class_code}/check/{number}")

    def one(items: Sequence[Item]) -> Item:
        """Shuffle, and take this form's."""
        left = list(items)
        for place in range(len(left) - 1, 0, -1):
            other = row.whole(low=0, high=place)
            left[place], left[other] = left[other], left[place]
        return left[form]

    height = one(range(1050, 1900, 17)) / 1000
    off = one((0.008, 0.010, 0.012, 0.014)) * one((1, -1, 1, -1))
    readings = [height, height + 0.001, height + off]
    turn = one((0, 1, 2))
    first, second, third = readings[turn:] + readings[:turn]
    mouth = one(range(900, 1600, 13)) / 1000
    base = one((3.0, 3.5, 4.0, 4.5, 5.0, 5.5))
    drop = round(one((0.118, 0.121, 0.127, 0.129, 0.132)) / 12 * base, 4)
    end: End = one(("mouth", "inside", "cannot"))
    ends = one(range(700, 1500, 19)) / 1000
    higher = {"mouth": 0.034, "inside": -0.034, "cannot": 0.0002}[end]
    limit = one(range(8000, 15000, 300))
    decision: Decision = one(("go", "change", "first"))
    highest = limit - 1400 if decision == "go" else limit + 1700
    carries = one(range(7000, 12000, 400))
    stronger = [carries + 1100, carries + 2600, carries + 3300]
    place = one((0, 1, 2, 3))
    parts = [*stronger[:place], carries, *stronger[place:]]
    return CheckCard(
        class_code=class_code,
        exercise=exercise,
        number=number,
        attempt=0,
        sleeve=one(range(1, 9)),
        lines=one((1, 2, 3)),
        thimble=one(range(3, 23)),
        readings_in=(first, second, third),
        mouth_in=mouth,
        inside_in=mouth - drop,
        base_in=base,
        ends_in=(ends, ends - higher),
        end=end,
        small_in=one(range(500, 900, 15)) / 1000,
        length_in=one((4.0, 5.0, 7.0, 8.0, 9.0)),
        travel_in=one((0.6, 0.9, 1.2, 1.5, 1.8, 2.1, 2.4)),
        spots=one(("more", "less", "same")),
        carries_lbf=(parts[0], parts[1], parts[2], parts[3]),
        pull_lbf=(round(highest * 0.6 / 100) * 100, highest),
        limit_lbf=limit,
        decision=decision,
        missing=one(("lock", "try", "block", "go")),
    )
