"""The invented class: twelve apprentices at Quillmoor Quarry, each with a habit that shows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["HABITS", "Habit"]


@dataclass(frozen=True, kw_only=True)
class Habit:
    """One invented apprentice and what they tend to do.

    Attributes
    ----------
    name : str
        The apprentice.
    what : str
        The habit in words.
    slips : tuple of str
        Names of the slips made wherever a question knows them.
    only : tuple of str
        Questions that the slips are limited to; empty for all.
    typed : mapping of str to str
        Entries typed as they stand here.
    in_mm : bool
        Lengths are changed to millimeters and typed so, which is right.
    copies : bool
        Takes the numbers from the card of the apprentice before.
    of_the_pen : bool
        The slip is one of writing only: the work goes on with what was meant.
    corrects : bool
        Hands in a second time, put right.
    words : mapping of str to str
        Written answers.
    by_hand : mapping of str to float
        What the assessor gives, by question.
    assessed : float
        Share of the marks that the assessor gives for the rest of the written answers
        and sign-offs; 0: they still wait.
    not_passed : tuple of str
        Practical tasks in which something is left out that must be done.
    resits : str
        An exercise that is sat again, on another card and without the slips.
    until : str
        The last exercise handed in so far; empty for all.
    hurries, no_code, code_late : tuple of str
        Exercises typed within two minutes and without practice; handed in without the code of the
        card; with the code typed the day after.
    knew, learned, kept : int or None
        How many of the ten questions of the check are right before the course, after it and a month
        later; None where it was not done.
    """

    name: str
    what: str
    slips: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    typed: Mapping[str, str] = field(default_factory=dict)
    in_mm: bool = False
    copies: bool = False
    of_the_pen: bool = False
    corrects: bool = False
    words: Mapping[str, str] = field(default_factory=dict)
    by_hand: Mapping[str, float] = field(default_factory=dict)
    assessed: float = 0.0
    not_passed: tuple[str, ...] = ()
    resits: str = ""
    until: str = ""
    hurries: tuple[str, ...] = ()
    no_code: tuple[str, ...] = ()
    code_late: tuple[str, ...] = ()
    knew: int | None = None
    learned: int | None = None
    kept: int | None = None


_NO_TWELVE = ("× 12 left out", "× 100 left out")  # on inch cards, on metric cards
_FULL = {
    "00-why-zero": "Dirt or wear moves the zero, and then every reading is out by the same amount. "
    "Taking more readings does not help. So I wipe the faces, close it, and set it or take the "
    "error off each reading.",
    "01-why-bottom": "The hub hangs on the top of the shaft, so all the clearance is underneath. "
    "With the keyway at the bottom that clearance is in the height. Anywhere else the key comes "
    "out too thin.",
    "02-why-longer": "One reading is only good to half a thousandth. Over 1 in that is too rough "
    "to tell 1:96 from 1:100. Go as far in as you can reach and read each place three times.",
    "03-why-straight": "A cold-drawn bar has stress in its skin. Take the skin off one side only "
    "and the key bows. So I cut the flat side first; then it lies flat in the shaft.",
    "03-why-bolt": "While it is driven the bolt takes the blows and the end does not spread. Later "
    "a rod goes into the same thread and pulls it straight. Without it somebody has to weld to it.",
    "04-why-both": "The key holds by top and bottom, so both have to bear and both are filed where "
    "they are bright. Filing one face only tips it. A little gap at the sides is right; tight "
    "there it hangs and wedges the slot open.",
    "05-why-range": "Nobody knows the friction or the seat exactly, and rust raises it. Low with "
    "low and high with high give the two ends. Every link of the rig must carry the high one.",
    "05-no-harder": "Stop, keep out of the line, let the load off from the side. The small end "
    "shows, so we are driving it in. I report it; the hub comes off first with the lifting people.",
    "06-hand-over": "Both readings over shaft and key are on the sheet, and which end is large. "
    "High pull and weakest link are beside each other; what falls short is changed first. Stop at "
    "the marked load, call the foreman, locked out, nobody in line with the rod.",
}
_SHORT = {
    "00-why-zero": "So that it reads right.",
    "01-why-bottom": "Because the clearance is under the shaft.",
    "02-why-longer": "Measure further in.",
    "03-why-straight": "It bends otherwise.",
    "04-why-both": "Both sides of the key have to touch.",
    "05-why-range": "Because it is not sure.",
}

HABITS = (
    Habit(
        name="Priya Osterley",
        what="keeps the bad reading",
        knew=3,
        learned=8,
        kept=7,
        slips=("bad reading kept",),
        words=_FULL,
        by_hand={"01-why-bottom": 3, "02-why-longer": 2, "01-sign-off": 3, "02-sign-off": 4},
        assessed=0.8,
    ),
    Habit(
        name="Sorcha Lindell",
        what="loses the sign of the taper",
        knew=2,
        learned=7,
        slips=("sign kept", "shaft less bore", "taken for granted", "heights mixed up"),
        words=_FULL,
        by_hand={"01-why-bottom": 3, "02-why-longer": 3, "01-sign-off": 5},
        resits="02-taper",
        until="05-pull",
    ),
    Habit(
        name="Marek Dubrow",
        what="measures with the keyway not at the bottom",
        knew=4,
        learned=7,
        kept=6,
        slips=("angle from the bottom", "angle thought not to matter", *_NO_TWELVE),
        words={**_FULL, "01-why-bottom": "So that the gauge does not fall out."},
        by_hand={"01-why-bottom": 0, "02-why-longer": 2, "01-sign-off": 2, "02-sign-off": 4},
    ),
    Habit(
        name="Ada Brindle",
        what="careful",
        knew=5,
        learned=10,
        kept=9,
        words=_FULL,
        by_hand={"01-why-bottom": 3, "02-why-longer": 3, "01-sign-off": 5, "02-sign-off": 5},
        assessed=1.0,
    ),
    Habit(
        name="Tom Harrowgate",
        what="forgets × 12",
        knew=3,
        learned=6,
        kept=6,
        slips=(*_NO_TWELVE, "angle from the bottom"),
        words=_FULL,
        by_hand={"01-why-bottom": 2, "02-why-longer": 2, "01-sign-off": 4, "02-sign-off": 4},
        assessed=0.6,
    ),
    Habit(
        name="Zoë Ferrant",
        what="writes thousandths as inches",
        knew=2,
        of_the_pen=True,
        slips=("thousandths as inches",),
        only=("01-clearance", "01-missed-height", "02-difference"),
        words=_FULL,
        by_hand={"01-why-bottom": 3, "02-why-longer": 3, "01-sign-off": 4},
        until="03-key",
    ),
    Habit(
        name="Ines Calloway",
        what="mixes millimeters and inches",
        knew=1,
        learned=5,
        of_the_pen=True,
        slips=("millimeters as inches", "inches as millimeters"),
        only=("01-mouth-height", "01-hub-width", "02-parallel"),
        in_mm=True,
        words=_SHORT,
        by_hand={"01-why-bottom": 1, "02-why-longer": 1},
    ),
    Habit(
        name="Jonas Peckwith",
        what="leaves blanks",
        slips=(*_NO_TWELVE, "radius for diameter"),
        typed={
            key: ""
            for key in (
                "01-inside-height",
                "01-missed-height",
                "01-why-bottom",
                "02-ratio",
                "02-uncertainty",
                "02-parallel",
                "02-what-first",
            )
        },
        words=_SHORT,
        by_hand={"02-why-longer": 1, "01-sign-off": 3, "02-sign-off": 3},
        until="02-taper",
    ),
    Habit(
        name="Viktor Aldane",
        what="is off by a decimal place",
        knew=4,
        learned=9,
        kept=8,
        of_the_pen=True,
        slips=("decimal point one place right", "decimal point one place left"),
        only=("01-clearance", "01-shaft-width", "02-per-inch", "02-ratio"),
        words=_FULL,
        by_hand={"01-why-bottom": 2, "01-sign-off": 5, "02-sign-off": 4},
        hurries=("03-key",),
    ),
    Habit(
        name="Colm Wetherby",
        what="takes the radius for the diameter",
        knew=2,
        learned=6,
        slips=("radius for diameter", "angle from the bottom", "stand-out left out"),
        words=_FULL,
        by_hand={"01-why-bottom": 2, "01-sign-off": 4},
        not_passed=("01-sign-off",),
        code_late=("04-fit",),
    ),
    Habit(
        name="Dana Rooke",
        what="copies from a neighbor",
        knew=1,
        learned=3,
        copies=True,
        typed={
            "01-clearance": "same as Colm",
            "02-difference": "=1+1",
            "02-per-foot": "about a thumb",
        },
        words={
            "01-why-bottom": "<script>alert('marks')</script> It said so in the lesson.",
            "02-why-longer": "=cmd|' /c calc'!A1",
        },
        by_hand={"01-why-bottom": 0, "02-why-longer": 0},
        until="04-fit",
        no_code=("03-key",),
    ),
    Habit(
        name="Hetty Marlowe",
        what="hands in again, put right",
        knew=3,
        learned=9,
        kept=8,
        slips=("× 12 done twice", "inside station for mouth", "base not divided"),
        corrects=True,
        words=_FULL,
        by_hand={"02-why-longer": 3, "02-sign-off": 5},
        assessed=0.8,
    ),
)
