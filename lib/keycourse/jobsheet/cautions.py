"""Cautions of the sheet, stage by stage, and what it stands on."""

from __future__ import annotations

import re

from keycourse.hazards import gravest, hazards, rules
from keycourse.jobsheet.blocks import Points
from taperkey import practice

__all__ = [
    "ASSUMPTIONS",
    "BEFORE",
    "CUTTING",
    "DRIVING",
    "FINAL_CHECKS",
    "NOT_A_SUBSTITUTE",
    "PULLING",
    "SOURCES",
    "STOP_STRIKING",
    "STOP_WHEN",
    "STRIKING",
    "UNDECIDED",
    "WELDING",
    "hazard_points",
]

#: Hazards of each stage, by names of keycourse/hazards.toml.
BEFORE = ("starts", "hanging")
CUTTING = ("spindle", "chips")
DRIVING = ("hammer", "creep", "lead")
PULLING = ("in-line", "under-load", "oil")
STRIKING = ("in-line", "slide", "stored")
UNDECIDED = ("both-ends", "in-line")  # while there is no pull
WELDING = ("hot-work", "fumes")  # and these where the rig is welded on, or rust may ask for heat

_LAW = re.compile(r" \(in the United States [^)]*\)")  # for the course; a sheet has no room


def hazard_points(names: tuple[str, ...]) -> Points:
    """Return the hazards of a stage as a box of the sheet, headed by the gravest."""
    said = tuple(_LAW.sub("", hazards()[name].text) for name in names)
    return Points(items=(*said, *((rules(),) if names == BEFORE else ())), kind=gravest(names))


STOP_WHEN = (
    "the load reaches the stop load, and the key has not moved;",
    "the load drops, something cracks, bends, creaks, leaks or turns;",
    "rod, jacks or strongback stand out of line;",
    "the key moves the wrong way, or the hub moves instead;",
    "anybody calls stop. Let the pressure off, walk away from the line, ask whoever answers for"
    " the lift.",
)
STOP_STRIKING = (
    f"{practice.value('most_blows'):.0f} blows have moved nothing: it is the wrong rig;",
    "rod, thread or stop nut bends, cracks, loosens or turns;",
    "the key moves the wrong way, or the hub moves instead;",
    "anybody calls stop.",
)
FINAL_CHECKS = (
    "Bright spots run the whole length of both faces, top and bottom",
    "Thinnest feeler leaf does not enter at the top, nor at the bottom, at either end",
    "A slight gap at the sides is there: a taper key carries at top and bottom",
    "The key stands out as planned, and is not against the bottom of its slot",
    "Short swings, each moving it less; stopped at the line. Stood out ________ before the first"
    " blow, ________ after the last: whoever draws it needs both",
    "Hub where it sat before the drive, alignment and runout as before; no shims anywhere",
    "Looked at again after the first shift: key, hub, runout (date, initials): ______________",
    "Bolt in the tapped end turns freely by hand, end not swelled; thread greased, plug in",
    "Set position marked on key and hub; driven with (lubricant): ____________________",
)
ASSUMPTIONS = (
    "Straight slots; the height holds the whole clearance only with the keyway at the bottom.",
    "Friction and seat force are ranges, not measurements; the rig is held against the high end.",
    "A key sits as hard as its travel past full contact has squeezed it: the new one is reckoned by"
    " what is left to drive, the old one by the travel or the pressure that is known, else as one"
    " that an unknown hand drove.",
    "Pull in line with the key. Rust grown across the faces can hold beyond any friction here.",
    "Strengths are those of the tables: use the certificate of the bar or rod where there is one."
    " The nut is counted as a grade 5 part.",
)
SOURCES = (
    "ASME B17.1-1967 (R2013) and DIN 6886 for keys; JCGM 100:2008 for uncertainty, JCGM 101:2008"
    " for trials; wedge with dry friction, any statics text; AISC 360 and ASME B1.1 with H28 for"
    " links of the rig; Roark's rings for the hub; threads and"
    " grades as named in the course's tables. Allowances, shares and seat pressure: common practice"
    " or the course's own model, marked in the appendix."
)
NOT_A_SUBSTITUTE = (
    "This sheet compares numbers with numbers. It is not a substitute for site rules, local codes"
    " and licensed people; whoever answers for the work decides."
)
