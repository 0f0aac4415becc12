"""Exercise 04: what comes out on a card, what the card says, and how it is worked out."""

from __future__ import annotations

from collections.abc import Callable

from coursework.question import Answer, Fact, WorkedLine
from coursework.words import words_beside
from keycourse.card import JobCard
from keycourse.common import (
    Given,
    distance_text,
    length_text,
    rule_text,
)
from keycourse.fit.card import (
    BRIGHT,
    THINNED,
    ZONES,
    FacePattern,
    FitCase,
)
from keycourse.fit.marked_zones import draw_marked_zones, zone_letters
from taperkey.formulas.key import height_for_travel_in, travel_for_height_in
from taperkey.units import MM_PER_IN, fraction_text

WORDS = words_beside(__file__)

_SAID = WORDS.options("04-cause")
NO_CAUSE = _SAID["no-cause"]
MORE_TAPER = _SAID["more-taper"]
LESS_TAPER = _SAID["less-taper"]
TOO_WIDE = _SAID["too-wide"]
OLD_BLUE = _SAID["old-blue"]
CAUSES = tuple(_SAID.values())

_SAID = WORDS.options("04-decide")
FILE = _SAID["file"]
CLEAN = _SAID["clean"]
SIDES = _SAID["sides"]
BETWEEN = _SAID["between"]
HOME = _SAID["home"]
STEPS = tuple(_SAID.values())

_SAID = WORDS.options("04-lubricant")
WHITE_LEAD = _SAID["white-lead"]
DRY = _SAID["dry"]
ANTI_SEIZE = _SAID["anti-seize"]
BLUE_ON = _SAID["blue-on"]
LUBRICANTS = tuple(_SAID.values())

_SAID = WORDS.options("04-verdict")
ACCEPTED = _SAID["accepted"]
GAP = _SAID["gap"]
PROUD = _SAID["proud"]
LOOSE = _SAID["loose"]
VERDICTS = tuple(_SAID.values())

LETTERS = zone_letters(count=2 * ZONES)


ROUND = tuple("CEBFAD")
"""The right order of the steps of one round, as they stand in the question."""


def case_of(card: JobCard) -> FitCase:
    """Return the card's key on the bench."""
    return card.read(FitCase)


# --- marks --------------------------------------------------------------------------------------


def at_level(pattern: FacePattern, *levels: int) -> tuple[str, ...]:
    """Return the letters of the zones at these levels."""
    return tuple(name for name, level in zip(LETTERS, pattern.both, strict=True) if level in levels)


def bear(card: JobCard, given: Given) -> Answer:
    """Return the zones that bore at the first push."""
    return at_level(case_of(card).first, BRIGHT)


def to_file_zones(card: JobCard, given: Given) -> Answer:
    """Return the zones to file after the push that followed."""
    return at_level(case_of(card).following, BRIGHT)


def picture(which: str, title: str) -> Callable[[JobCard], str]:
    """Return a picture of one of the card's pushes."""

    def drawn(card: JobCard) -> str:
        pattern: FacePattern = getattr(case_of(card), which)
        return draw_marked_zones(
            top=pattern.top,
            bottom=pattern.bottom,
            seed=f"{card.class_code}/{card.number}/{card.attempt}/{which}",
            title=title,
        ).html()

    return drawn


# --- heights and travel -------------------------------------------------------------------------


def height(card: JobCard, travel_in: float) -> float:
    """Return the height that goes with a travel on this card's taper [in]."""
    return float(
        height_for_travel_in(travel_in=travel_in, taper_in_per_in=case_of(card).taper_in_per_in)
    )


def travel(card: JobCard, height_in: float) -> float:
    """Return the travel that goes with a height on this card's taper [in]."""
    return float(
        travel_for_height_in(height_in=height_in, taper_in_per_in=case_of(card).taper_in_per_in)
    )


def small_height(card: JobCard) -> float:
    """Return the small height of the first sum: a thousandth, or a hundredth of a mm [in]."""
    return 0.01 / MM_PER_IN if card.metric else 0.001


def small_travel(card: JobCard, given: Given) -> float:
    """Return the travel for it [in]."""
    return travel(card, small_height(card))


def taken_off(card: JobCard, given: Given) -> float:
    """Return the height that the last two rounds took off [in]."""
    outs = case_of(card).stand_outs_in
    return height(card, outs[0] - outs[-1])


def still_off(card: JobCard, given: Given) -> float:
    """Return the height still to come off until only the draw is left [in]."""
    case = case_of(card)
    return height(card, case.stand_outs_in[-1] - case.draw_in)


def next_out(card: JobCard, given: Given) -> float:
    """Return the stand-out after the next filing [in]."""
    case = case_of(card)
    return case.stand_outs_in[-1] - travel(card, case.next_cut_in)


# --- what it means ------------------------------------------------------------------------------


def by_place(pattern: FacePattern) -> str:
    """Return what marks tell by where they lie, if they can be trusted."""
    half = ZONES // 2
    near = [BRIGHT in face[:half] for face in (pattern.top, pattern.bottom)]
    far = [BRIGHT in face[half:] for face in (pattern.top, pattern.bottom)]
    if all(near) and not any(far):
        return MORE_TAPER
    if all(far) and not any(near):
        return LESS_TAPER
    return NO_CAUSE


def cause(card: JobCard, given: Given) -> Answer:
    """Return what the marks of now tell, with what else the card says."""
    case = case_of(card)
    if case.blue_over_blue:
        return OLD_BLUE
    return TOO_WIDE if case.sides_rubbed else by_place(case.now)


def whole_length(card: JobCard) -> bool:
    """Return whether the marks of now run the whole length of both faces."""
    now = case_of(card).now
    return all(
        face[0] == face[-1] == BRIGHT and face.count(BRIGHT) >= ZONES - 1
        for face in (now.top, now.bottom)
    )


def decide(card: JobCard, given: Given) -> Answer:
    """Return what is done now."""
    case = case_of(card)
    told = cause(card, given)
    if told == OLD_BLUE:
        return CLEAN
    if told == TOO_WIDE:
        return SIDES
    close = case.stand_outs_in[-1] - case.draw_in < 0.08
    return HOME if close and whole_length(card) else FILE


def verdict(card: JobCard, given: Given) -> Answer:
    """Return whether the second key's fit is accepted."""
    return {"fits": ACCEPTED, "gap": GAP, "proud": PROUD, "loose": LOOSE}[case_of(card).end]


def doubt(card: JobCard, given: Given) -> str:
    """Return why the card is a near miss, or nothing."""
    case = case_of(card)
    both = (case.now.top, case.now.bottom)
    if cause(card, given) == NO_CAUSE and not all(
        BRIGHT in (*face[:2], *face[-2:]) for face in both
    ):
        return "04-cause: marks neither at an end nor spread"
    if (case.sides_rubbed or case.blue_over_blue) and by_place(case.now) != NO_CAUSE:
        return "04-cause: two causes at once"
    if bear(card, given) == to_file_zones(card, given):
        return "04-file: the marks are those of the first push"
    if not all(set(pattern.both) >= {BRIGHT, THINNED} for pattern in (case.first, case.following)):
        return "04-bear: nothing is thinned"
    return ""


# --- the card -----------------------------------------------------------------------------------


def draw_text(card: JobCard) -> str:
    """Write the draw that the shop leaves."""
    value = case_of(card).draw_in
    return distance_text(card, value) if card.metric else fraction_text(value)


def cut_text(card: JobCard, value_in: float) -> str:
    """Write a small height."""
    return f"{value_in * MM_PER_IN:.3f} mm" if card.metric else f"{value_in:.4f} in"


def taper_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the key's taper."""
    return (Fact("Taper of the key", f"1:{case_of(card).taper_ratio}"),)


def push_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what goes with the first two pushes."""
    return (Fact("First two pushes", "key and slot clean, blue fresh and thin"),)


def out_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the stand-outs."""
    outs = case_of(card).stand_outs_in
    return (
        *taper_facts(card),
        Fact(
            "Stand-out, same push each time",
            f"two rounds ago {rule_text(card, outs[0])}; last round {rule_text(card, outs[1])}; "
            f"now {rule_text(card, outs[2])}",
        ),
    )


def draw_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return stand-outs and the draw that is left for the drive."""
    return (
        *out_facts(card),
        Fact("Left to drive, in this shop", f"about {draw_text(card)} of stand-out"),
    )


def cut_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return stand-outs and the next cut."""
    cut = cut_text(card, case_of(card).next_cut_in)
    return (
        *out_facts(card),
        Fact("Another filing takes, both faces together", cut),
    )


def now_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what goes with the marks of now."""
    case = case_of(card)
    outs = case.stand_outs_in
    blue = (
        "fresh blue over that of the round before"
        if case.blue_over_blue
        else "key and slot cleaned, blue fresh and thin"
    )
    sides = "rubbed bright on both sides" if case.sides_rubbed else "no marks"
    return (
        Fact(
            "Width of slot and key",
            f"slot {length_text(card, case.slot_width_in)}; "
            f"key {length_text(card, case.key_width_in)}",
        ),
        Fact("Before the push of now", blue),
        Fact("Sides of the key, now", sides),
        Fact(
            "Filed in the last rounds",
            "the marks, on both faces" if case.filed_at == "both faces" else "the large end only",
        ),
        Fact("Stand-out now; left to drive", f"{rule_text(card, outs[-1])}; {draw_text(card)}"),
    )


def shelf_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what stands on the shelf."""
    return (
        Fact(
            "On the shelf",
            "a tin of lead-free anti-seize, on the site's list; an old tin, label: white lead",
        ),
    )


def end_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return how the second key's drive ended."""
    case = case_of(card)
    leaf = f"{case.leaf_in * MM_PER_IN:.2f} mm" if card.metric else f"{case.leaf_in:.4f} in"
    place = "above" if case.gap_above else "below"
    other = "below" if case.gap_above else "above"
    enters = (
        f"{place} it enters {rule_text(card, case.leaf_depth_in)}, {other} nowhere"
        if case.end == "gap"
        else "above and below it enters nowhere"
    )
    marks = "a tenth of the length" if case.end == "loose" else "the whole length, both faces"
    blows = (
        "three light ones, no harder at the end"
        if case.end == "loose"
        else "each moved it less; at the last it hardly moved"
    )
    out = "flush" if case.end != "proud" else f"stands out {rule_text(card, case.proud_in)}"
    return (
        Fact("Second key, marks at the last tap", marks),
        Fact("Its blows", blows),
        Fact("After the drive", out),
        Fact(f"Thinnest leaf of the feeler, {leaf}", f"{enters}; at the sides it enters"),
    )


def round_facts(card: JobCard) -> tuple[Fact, ...]:
    """Return what is said of the round whose steps are put in order."""
    return (Fact("On the bench", "a clean key and a clean slot, soft jaws, the drive locked out"),)


def facts(card: JobCard) -> tuple[Fact, ...]:
    """Return the lines of the printed card."""
    return (
        *push_facts(card),
        *draw_facts(card),
        Fact(
            "Another filing takes, both faces together", cut_text(card, case_of(card).next_cut_in)
        ),
        *now_facts(card)[:-1],
        *shelf_facts(card),
        *end_facts(card),
    )


# --- worked ---------------------------------------------------------------------------------------

Lines = tuple[WorkedLine, ...]


def bear_work(card: JobCard, given: Given) -> Lines:
    """Work out which zones bore."""
    return (
        WorkedLine(
            why="Where the key bears, the film is pressed away and metal shines. Where the blue "
            "is only thin, there is still a gap, smaller than the film.",
            formula="bears = bright, on both faces",
            result=" ".join(at_level(case_of(card).first, BRIGHT)),
        ),
    )


def file_work(card: JobCard, given: Given) -> Lines:
    """Work out which zones to file."""
    return (
        WorkedLine(
            why="Bright is high. The marks of this push count, not those of the last one, and "
            "both faces are filed.",
            formula="file = bright now, on both faces",
            result=" ".join(at_level(case_of(card).following, BRIGHT)),
        ),
    )


def small_work(card: JobCard, given: Given) -> Lines:
    """Work out the travel for a small height."""
    ratio = case_of(card).taper_ratio
    small = "0.01 mm" if card.metric else "0.001 in"
    return (
        WorkedLine(
            why="On 1:n the key goes n times as far in as it loses in height.",
            formula="travel = height × n",
            numbers=f"{small} × {ratio}",
            result=length_text(card, small_travel(card, given)),
        ),
    )


def off_work(card: JobCard, given: Given) -> Lines:
    """Work out what came off."""
    case = case_of(card)
    outs = case.stand_outs_in
    return (
        WorkedLine(
            why="How far the key went further in, at the same push, tells what was filed off.",
            formula="taken off = (stand-out then − stand-out now) ÷ n",
            numbers=f"({rule_text(card, outs[0])} − {rule_text(card, outs[-1])}) ÷ "
            f"{case.taper_ratio}",
            result=length_text(card, taken_off(card, given)),
        ),
    )


def still_work(card: JobCard, given: Given) -> Lines:
    """Work out what is still to come off."""
    case = case_of(card)
    return (
        WorkedLine(
            why="The last bit of stand-out is not filed away: the drive squeezes it in.",
            formula="still to file = (stand-out now − left to drive) ÷ n",
            numbers=f"({rule_text(card, case.stand_outs_in[-1])} − {draw_text(card)}) ÷ "
            f"{case.taper_ratio}",
            result=length_text(card, still_off(card, given)),
        ),
    )


def next_work(card: JobCard, given: Given) -> Lines:
    """Work out the next stand-out."""
    case = case_of(card)
    return (
        WorkedLine(
            why="Metal off lets the key further in, n times as far.",
            formula="next stand-out = stand-out now − cut × n",
            numbers=f"{rule_text(card, case.stand_outs_in[-1])} − "
            f"{cut_text(card, case.next_cut_in)} × {case.taper_ratio}",
            result=rule_text(card, next_out(card, given)),
        ),
    )


def cause_work(card: JobCard, given: Given) -> Lines:
    """Work out what the marks tell."""
    told = str(cause(card, given))
    why = {
        NO_CAUSE: "The film was fresh, the sides are clear, and marks lie toward both ends.",
        MORE_TAPER: "Both faces bear at the large end only: there the key is high, so it gets "
        "lower too fast going in.",
        LESS_TAPER: "Both faces bear at the small end only: the large end was filed alone and is "
        "low now.",
        TOO_WIDE: "The key is hardly narrower than the slot, and its sides are rubbed bright. It "
        "hangs there and cannot come down on its faces.",
        OLD_BLUE: "Fresh blue lies over old blue. Old marks show through, and a thick film marks "
        "where there is still a gap.",
    }[told]
    return (WorkedLine(why=why, result=told),)


def decide_work(card: JobCard, given: Given) -> Lines:
    """Work out what is done now."""
    step = str(decide(card, given))
    why = {
        FILE: "The marks are good and there is metal left: file what is bright, on both faces.",
        CLEAN: "A mark that cannot be trusted is not filed.",
        SIDES: "A key that hangs by its sides shows nothing true on its faces.",
        HOME: "Marks run the whole length of both faces, and about the draw is left.",
    }[step]
    return (WorkedLine(why=why, result=step),)


def round_work(card: JobCard, given: Given) -> Lines:
    """Say why the steps come in that order."""
    return (
        WorkedLine(
            why="The stand-out is measured while the key is in; the marks are read before they "
            "are wiped; and it is wiped before it is filed, because blue clogs the file.",
            result="blue, push, measure, draw and read, wipe, file",
        ),
    )


def lubricant_work(card: JobCard, given: Given) -> Lines:
    """Say which lubricant."""
    return (
        WorkedLine(
            why="Dry steel galls and rusts in. White lead did the job, but it is poisonous.",
            result=ANTI_SEIZE,
        ),
    )


def verdict_work(card: JobCard, given: Given) -> Lines:
    """Work out the verdict."""
    why = {
        "fits": "It bore over its whole length, tightened blow by blow, is home, and the leaf "
        "enters nowhere above or below. A slight gap at the sides is right.",
        "gap": "The thinnest leaf goes in above or below: there it does not bear, whatever the "
        "blows felt like.",
        "proud": "It hardly moves any more and is not home: it is held somewhere. More hammer "
        "does not make more bearing.",
        "loose": "Three light blows squeeze nothing, and it bore over a tenth of its length. The "
        "feeler alone does not tell: a drive closes small gaps.",
    }[case_of(card).end]
    return (WorkedLine(why=why, result=str(verdict(card, given))),)
