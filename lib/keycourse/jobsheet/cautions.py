"""Cautions of the sheet, stage by stage, and what it stands on."""

from __future__ import annotations

__all__ = [
    "ASSUMPTIONS",
    "BEFORE",
    "CUTTING",
    "DRIVING",
    "FINAL_CHECKS",
    "NOT_A_SUBSTITUTE",
    "PULLING",
    "SOURCES",
    "STOP_WHEN",
]

BEFORE = (
    "Lock out, tag out and try to start, by the rules of the site; block what can roll, turn or"
    " drop. Hub and shaft hang on something rated for their weight.",
    "Eye protection from here on. Hands stay out of bore and slot while anything can turn.",
)
CUTTING = (
    "Clamp on a clean vise with soft jaws; hands away from the cutter; stop it before you measure."
    " Chips are sharp and hot.",
)
DRIVING = (
    "Hammer and key throw chips: face shield, a sledge with a dressed face on a plain bolt, nobody"
    " in line with the key. Hub backed up against creeping, never against a bearing.",
    "Lubricate with the lead-free anti-seize that the site allows. Old white lead is poisonous:"
    " gloves, no dry scraping.",
)
PULLING = (
    "A pull stores energy in rod and jacks: nobody in line with the rod, shield or blanket over it,"
    " hose and fittings looked at before pumping.",
    "Chain or strap the hub, the key and the rig, so that nothing flies or drops when it lets go.",
    "Welding or heat only by hot-work permit, by a qualified welder, with fumes drawn off: old"
    " grease and lead paint give poisonous fumes.",
)
STOP_WHEN = (
    "the load reaches the stop load, and the key has not moved;",
    "the load drops, something cracks, bends, creaks, leaks or turns;",
    "rod, jacks or strongback stand out of line;",
    "the key moves the wrong way, or the hub moves instead;",
    "anybody calls stop. Let the pressure off, walk away from the line, ask whoever answers for"
    " the lift.",
)
FINAL_CHECKS = (
    "Bright spots run the whole length of both faces, top and bottom",
    "Thinnest feeler does not enter at the top, nor at the bottom, at either end",
    "A slight gap at the sides is there: a taper key carries at top and bottom",
    "The key stands out as planned, and is not against the bottom of its slot",
    "The last blows moved it less and less; it rings solid",
    "Hub where it sat before the drive, alignment and runout as before; no shims anywhere",
    "Looked at again after the first shift: key, hub, runout (date, initials): ______________",
    "Bolt in the tapped end turns freely by hand, end not swelled; thread greased, plug in",
    "Set position marked on key and hub; driven with (lubricant): ____________________",
)
ASSUMPTIONS = (
    "Straight slots; the height holds the whole clearance only with the keyway at the bottom.",
    "Friction and seat force are ranges, not measurements; the rig is held against the high end.",
    "Pull in line with the key. Rust grown across the faces can hold beyond any friction here.",
    "Strengths are those of the tables: use the certificate of the bar or rod where there is one."
    " The nut is counted as a grade 5 part.",
)
SOURCES = (
    "ASME B17.1-1967 (R2013) and DIN 6886 for keys; JCGM 100:2008 for uncertainty; wedge with dry"
    " friction, any statics text; AISC 360 and ASME B1.1 with H28 for links of the rig; threads and"
    " grades as named in the course's tables. Allowances, shares and seat pressure: common practice"
    " or the course's own model, marked in the appendix."
)
NOT_A_SUBSTITUTE = (
    "This sheet compares numbers with numbers. It is not a substitute for site rules, local codes"
    " and licensed people; whoever answers for the work decides."
)
